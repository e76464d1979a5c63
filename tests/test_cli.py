"""The command line: what it prints, where, and with which exit code."""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from millphase import cli
from millphase.questions.base import ask, registry
from millphase.reports.terminal import Terminal
from millphase.rulebook import workshop
from millphase.settings import Tokens

READING = {
    "rated_voltage": "400 V",
    "winding": "random-wound",
    "readings": [{"between": "UVW-earth", "resistance": "18 kohm", "instrument": "multimeter"}],
}


# The delta voltage of a motor is the lower one.
SWAPPED = {
    "nameplate": {"delta_voltage": "400 V", "star_voltage": "230 V", "power": "2.2 kW", "speed": "1430 r/min"},
    "leads": 6,
    "fed_from": {"kind": "drive", "voltage": "230 V", "phases": 1},
}
# The example club withdraws the default of how a cable runs.
WITHDRAWN = {
    "rule_set": "cold-barn-club@1.0.0", "design_current": "16 A", "phases": 1, "voltage": "230 V", "length": "10 m",
    "cable": "multicore", "insulation": "pvc-70",
}  # fmt: skip


def _run(monkeypatch: pytest.MonkeyPatch, *arguments: str, stdin: bytes = b"") -> int:
    class _In:
        buffer = io.BytesIO(stdin)

    monkeypatch.setattr(sys, "stdin", _In())
    return cli.main(arguments)


def test_ask_reads_standard_input_and_prints_for_people(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _run(monkeypatch, "ask", "insulation-acceptance", "-", "--working", stdin=json.dumps(READING).encode()) == 0
    out = capsys.readouterr().out
    assert "REJECT" in out
    assert "checked:" in out
    assert "calculation sheet" in out
    assert "\x1b" not in out


def test_ask_prints_json(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "request.json"
    file.write_text(json.dumps(READING), "utf-8")
    assert _run(monkeypatch, "ask", "insulation-acceptance", "--json", str(file)) == 0
    assert json.loads(capsys.readouterr().out)["outcome"] == "reject"


@pytest.mark.parametrize("name", list(registry()))
def test_every_question_prints_an_example_that_it_answers(
    name: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert _run(monkeypatch, "ask", name, "--example") == 0
    example = capsys.readouterr().out.encode()
    assert _run(monkeypatch, "ask", name, "-", "--working", stdin=example) == 0
    assert registry()[name].title in capsys.readouterr().out


def test_list_names_every_question(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert _run(monkeypatch, "ask", "list") == 0
    out = capsys.readouterr().out
    assert all(name in out for name in registry())


@pytest.mark.parametrize(
    ("arguments", "stdin", "words"),
    [
        (("ask", "insulation-acceptence"), b"{}", "did you mean insulation-acceptance?"),
        (("ask", "zzz"), b"{}", "ask list"),
        (("ask", "insulation-acceptance"), b"{}", "/rated_voltage"),
        (("ask", "insulation-acceptance"), b"[", "JSON"),
        (("ask", "insulation-acceptance"), b'{"rated_voltage": 400}', "bare number"),
        (("ask", "insulation-acceptance"), b"[" * 100_000, "deep"),
        (("ask", "insulation-acceptance", "/nowhere/file.json"), b"", "cannot read"),
        (("ask", "insulation-acceptance", "--rules", "/nowhere"), json.dumps(READING).encode(), "/nowhere"),
        (("draw", "winding-balance"), b"{}", "has no picture"),
        (("draw", "connection"), b"{}", "no question"),
        (("draw", "connection-choice"), json.dumps(SWAPPED).encode(), "/nameplate/delta_voltage"),
        (("draw", "cable-sizing"), json.dumps(WITHDRAWN).encode(), "is withdrawn"),
        (("rules", "check", "--rules", "/nowhere"), b"", "MILLPHASE_RULES"),
        (("serve", "--host", "0.0.0.0"), b"", "token"),
        (("serve", "--port", "99999"), b"", "port"),
        (("token", "Not A Label"), b"", "label"),
        (("token", "panel", "--workshop", "Tansy Yard"), b"", "its id"),
    ],
)
def test_bad_input_is_told_on_standard_error(
    arguments: tuple[str, ...],
    stdin: bytes,
    words: str,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert _run(monkeypatch, *arguments, stdin=stdin) == cli.BAD_INPUT
    captured = capsys.readouterr()
    assert captured.out == ""
    assert words.lower() in captured.err.lower()
    assert captured.err.startswith("millphase: ")


@pytest.mark.parametrize(
    "command", [[], ["ask"], ["draw"], ["serve"], ["demo"], ["rules"], ["rules", "check"], ["version"], ["token"]]
)
def test_help_shows_an_example(command: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stop:
        cli.main([*command, "--help"])
    assert stop.value.code == 0
    assert "example: " in capsys.readouterr().out


def test_a_token_can_be_bound_to_a_workshop(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    workshop = "6f1f2a52-7c1e-4c3e-9d0a-2b8a5c9d1e77"
    assert cli.main(["token", "north-barn", "--workshop", workshop]) == 0
    (tmp_path / "tokens").write_text(capsys.readouterr().out, "utf-8")
    assert Tokens.load(tmp_path / "tokens").workshops == {"north-barn": workshop}


def test_token_line_goes_to_standard_output_and_the_secret_beside_it(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["token", "shop-panel"]) == 0
    captured = capsys.readouterr()
    assert captured.out.startswith("shop-panel sha256:")
    assert "give this to its holder" in captured.err


def _fresh(*arguments: str, **environment: str) -> tuple[subprocess.CompletedProcess[bytes], float]:
    # importlib mode and pytest's path setting do not reach a child, so it is told where the packages are.
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(p for p in sys.path if p), **environment}
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, "-W", "error", "-m", "millphase", *arguments], capture_output=True, env=env, check=False
    )
    return done, time.perf_counter() - start


def test_version_in_a_fresh_process() -> None:
    done, _ = _fresh("version")
    assert done.returncode == 0, done.stderr
    assert b"rule set workshop@" in done.stdout
    assert b"sha256:" in done.stdout


def test_a_terminal_without_the_signs_gets_plain_text() -> None:
    done, _ = _fresh("ask", "insulation-acceptance", "--example", PYTHONIOENCODING="ascii:strict")
    assert done.returncode == 0, done.stderr


@pytest.mark.parametrize(
    ("columns", "tty", "widest"), [(60, True, 60), (80, True, 80), (200, True, 96), (60, False, 96)]
)
def test_a_narrow_terminal_gets_narrow_lines(
    columns: int, tty: bool, widest: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    monkeypatch.setenv("NO_COLOR", "1")
    stream = io.StringIO()
    monkeypatch.setattr(stream, "isatty", lambda: tty)
    answer = ask("drive-sizing", dict(registry()["drive-sizing"].example), workshop()).as_json()
    Terminal(stream).answer(answer, "Drive sizing", working=True)
    lengths = [len(line) for line in stream.getvalue().splitlines() if not line.startswith("         ")]
    assert widest - 12 < max(lengths) <= widest


def test_colour_only_on_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    class _Tty(io.StringIO):
        encoding = "ascii"

        def isatty(self) -> bool:
            return True

    monkeypatch.delenv("NO_COLOR", raising=False)
    stream: Any = _Tty()
    terminal = Terminal(stream)
    assert terminal.tint("reject", "x").startswith("\x1b[")
    terminal.line("3 × 4 ≥ 5 °C − 1 Ω")
    assert stream.getvalue() == "3 x 4 >= 5 deg C - 1 ohm\n"
    monkeypatch.setenv("NO_COLOR", "1")
    assert Terminal(_Tty()).tint("reject", "x") == "x"


def test_a_changeover_says_what_each_part_says_and_numbers_its_steps() -> None:
    answer = ask("changeover", dict(registry()["changeover"].example), workshop()).as_json()
    stream = io.StringIO()
    Terminal(stream).answer(answer, "Changeover")
    text = " ".join(stream.getvalue().split())
    for name, part in answer["values"]["answers"].items():
        assert f"{name}: {part['outcome']}. {part['summary'][:60]}" in text
    assert "1 Isolate the machine at the supply, lock it off, and keep the key. (changeover)" in text
    assert "order 1" not in text


def test_a_number_stays_on_one_line_with_its_unit() -> None:
    lines = list(Terminal(io.StringIO()).wrapped(f"{'x' * 90} 6.1 A and 85 % of it", "  "))
    assert lines == [f"  {'x' * 90}", "  6.1 A and 85 % of it"]
