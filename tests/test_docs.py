"""The documentation is complete and its examples run: questions, problems, units, commands, links, README."""

from __future__ import annotations

import argparse
import io
import json
import os
import re
import shutil
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import redirect_stdout
from pathlib import Path
from typing import Any

import pytest

from millphase import cli, units
from millphase.questions.base import ask, registry
from millphase.rulebook import workshop
from millphase.settings import Settings
from millphase.web.problems import KINDS
from millphase.web.serving import Server
from millphase_client import Client

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "docs"
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md", *sorted(DOCS.rglob("*.md"))]


def _blocks(text: str, language: str) -> list[str]:
    return re.findall(rf"^```{language}\n(.*?)^```", text, re.DOTALL | re.MULTILINE)


def _commands(parser: argparse.ArgumentParser, path: str) -> Iterator[tuple[str, list[str]]]:
    options = [o for action in parser._actions for o in action.option_strings if o not in ("-h", "--help")]
    yield path, options
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for name, child in action.choices.items():
                yield from _commands(child, f"{path} {name}")


@pytest.mark.parametrize("name", list(registry()))
def test_every_question_has_a_page_whose_request_is_answered(name: str) -> None:
    text = (DOCS / "reference/questions" / f"{name}.md").read_text("utf-8")
    assert text.startswith(f"# {name}\n")
    for field in registry()[name].request._declared_fields:
        if field not in ("wiring_rules", "rule_set"):
            assert f"`{field}" in text, f"{field} is not described"
    for block in _blocks(text, "json"):
        body = json.loads(block)
        if "question" not in body and "outcome" not in body:
            assert ask(name, body, workshop()).question == name


def test_every_problem_has_a_heading() -> None:
    text = (DOCS / "reference/problems.md").read_text("utf-8")
    headings = re.findall(r"^## (.+)$", text, re.MULTILINE)
    assert sorted(headings) == sorted(kind.slug for kind in KINDS.values())


def test_every_field_of_a_record_is_described() -> None:
    text = (DOCS / "reference/records.md").read_text("utf-8")
    document = json.loads((ROOT / "openapi/openapi.json").read_text("utf-8"))["components"]["schemas"]
    for name in ("WorkshopRequest", "MachineRequest", "ReadingRequest", "MachineStatus", "MachineTrend"):
        for field in document[name]["properties"]:
            assert f"`{field}`" in text, f"{name}.{field}"
    for field in document["ReadingRequest"]["properties"]["winding_balance"]["properties"]:
        assert f"`{field}`" in text, field
    for reason in ("another-method", "not-the-whole-winding", "not-after-one-minute", "not-the-motor", "zero", "older"):
        assert f"`{reason}`" in text, reason


def test_examples_of_records_are_taken(address: str) -> None:
    """Every JSON block of the pages about records is a body that the service takes."""
    with Client(address) as client:
        workshop = client.create_workshop({"name": "Tansy Yard Workshop"})
        (plate,) = _blocks((DOCS / "reference/records.md").read_text("utf-8"), "json")
        machine = client.create_machine({**json.loads(plate), "workshop": workshop.id})
        (visit,) = _blocks((DOCS / "how-to/keep-machine-records.md").read_text("utf-8"), "json")
        client.add_reading(machine.id, json.loads(visit))
        page = (DOCS / "how-to/poll-a-machine.md").read_text("utf-8")
        bodies = re.findall(r"/readings .*-d '(\{.*\})'", page)
        assert len(bodies) == 3
        for body in bodies:
            client.add_reading(machine.id, json.loads(body))
        assert client.machine_status(machine.id).outcome == "accept"


def test_every_unit_is_listed() -> None:
    text = (DOCS / "reference/quantities.md").read_text("utf-8")
    for dimension in units.dimensions():
        assert f"| {dimension} |" in text
        for spelling in units.spellings(dimension):
            assert spelling == "1" or f"`{spelling}`" in text, spelling


def test_every_command_and_option_is_described() -> None:
    text = (DOCS / "reference/command-line.md").read_text("utf-8")
    for path, options in _commands(cli._parser(), "millphase"):
        assert f"`{path}" in text, path
        for option in options:
            assert f"`{option}" in text, f"{path} {option}"


def test_every_kind_and_key_of_a_rule_is_described() -> None:
    text = (DOCS / "reference/rule-files.md").read_text("utf-8")
    schema = json.loads((ROOT / "rules/schema/rule.schema.json").read_text("utf-8"))
    for key in (*schema["properties"], *schema["properties"]["kind"]["enum"], *schema["$defs"]["cite"]["properties"]):
        assert f"`{key}`" in text, key


def test_every_setting_of_the_environment_is_described() -> None:
    told = "\n".join(page.read_text("utf-8") for page in PAGES)
    used = set()
    for path in (ROOT / "service").rglob("*.py"):
        used |= set(re.findall(r"MILLPHASE_[A-Z]+", path.read_text("utf-8")))
    for path in (ROOT / "clients").rglob("*.py"):
        used |= set(re.findall(r"MILLPHASE_[A-Z]+", path.read_text("utf-8")))
    assert [name for name in sorted(used) if name not in told] == []


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_links_lead_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", page.read_text("utf-8")):
        if not target.startswith("http"):
            assert (page.parent / target).exists(), target


@pytest.fixture
def address(tmp_path: Path) -> Iterator[str]:
    server = Server(port=0, settings=Settings(database=tmp_path / "records.sqlite3"))
    thread = threading.Thread(target=server.run)
    thread.start()
    yield server.url
    server.stop()
    thread.join(10)


def _readme() -> str:
    return (ROOT / "README.md").read_text("utf-8")


def _shell(script: str, tmp_path: Path) -> str:
    command = tmp_path / "millphase"
    command.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m millphase "$@"\n', "utf-8")
    command.chmod(0o755)
    path = os.pathsep.join(part for part in sys.path if part)
    env = {**os.environ, "PATH": f"{tmp_path}{os.pathsep}{os.environ['PATH']}", "PYTHONPATH": path}
    done = subprocess.run(["sh", "-ec", script], env=env, capture_output=True, text=True, check=False, timeout=60)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_readme_command_line_example(tmp_path: Path) -> None:
    (script,) = [block for block in _blocks(_readme(), "sh") if "millphase ask" in block]
    out = _shell(script, tmp_path)
    assert "REJECT" in out
    assert "calculation sheet" in out


@pytest.mark.skipif(shutil.which("curl") is None, reason="needs curl")
def test_readme_http_example(tmp_path: Path, address: str) -> None:
    (script,) = [block for block in _blocks(_readme(), "sh") if "curl" in block]
    answer = json.loads(_shell(script.replace("http://127.0.0.1:8421", address), tmp_path))
    # IEC 60034-8, six-terminal box: delta joins U1-W2, V1-U2, W1-V2.
    assert answer["values"]["connection"] == "delta"
    assert sorted(answer["values"]["links"]) == ["U1-W2", "V1-U2", "W1-V2"]


def test_readme_client_example(address: str) -> None:
    (code,) = _blocks(_readme(), "python")
    out = io.StringIO()
    names: dict[str, Any] = {}
    with redirect_stdout(out):
        exec(compile(code.replace("http://127.0.0.1:8421", address), "README", "exec"), names)
    # 30 % of 30 mA is 9 mA (BS 7671 531.3.2): a 10 mA filter is over budget.
    assert out.getvalue().startswith(("caution", "inconclusive", "reject"))


def test_readme_opens_with_the_job_and_has_the_two_commands() -> None:
    text = _readme()
    first = [block.strip() for block in _blocks(text, "sh")[:2]]
    assert first == [
        "python3 -m venv .venv && .venv/bin/pip install . && .venv/bin/millphase demo",
        "python3 -m venv .venv && .venv/bin/pip install -e '.[test]' -e clients/python && .venv/bin/pytest",
    ]
    assert text.index("You run old three-phase machine tools") < text.index("```")


def test_the_build_runs_the_readme_command() -> None:
    text = (ROOT / ".ci/run").read_text("utf-8")
    assert "README.md" in text
    assert ".venv/bin/pytest" in text
