"""The demo runs the real service and client, and every number it prints can be traced to a source."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from typing import Any

import pytest

import working
from millphase import demo
from millphase.questions.base import registry

NUMBER = re.compile(r"(?<![\w.−-])(\d+(?:\.\d+)?)(?![\w.]*\d)")


@pytest.fixture(scope="module")
def raw() -> dict[str, Any]:
    out = io.StringIO()
    assert demo.run(out, as_json=True, working=False) == 0
    answer: dict[str, Any] = json.loads(out.getvalue())
    return answer


@pytest.fixture(scope="module")
def printed() -> str:
    out = io.StringIO()
    assert demo.run(out, as_json=False, working=True) == 0
    return out.getvalue()


def _numbers(node: Any) -> Iterator[float]:
    if isinstance(node, dict):
        for part in node.values():
            yield from _numbers(part)
    elif isinstance(node, list):
        for part in node:
            yield from _numbers(part)
    elif isinstance(node, int | float) and not isinstance(node, bool):
        yield float(node)
    elif isinstance(node, str):
        yield from (float(text) for text in NUMBER.findall(node))


def _traced(text: str, known: list[float]) -> bool:
    """Whether some known number, in this unit or a thousandfold one, rounds to the printed text."""
    decimals = len(text.partition(".")[2])
    for number in known:
        for scale in (1.0, 100.0, 1e3, 1e-3, 1e6, 1e-6):
            if abs(number * scale - float(text)) <= 0.5 * 10**-decimals * (1 + 1e-9):
                return True
    return False


def test_it_prints_for_a_person(printed: str) -> None:
    assert "\x1b" not in printed
    assert all(len(line) <= 100 for line in printed.splitlines())
    for question in ("insulation-acceptance", "connection-choice", "drive-sizing", "leakage-budget", "cable-sizing"):
        assert registry()[question].title in printed
    assert "Working order" in printed
    assert "Take care" in printed
    assert "calculation sheet" in printed
    assert "checked:" in printed


def test_every_part_is_redone_from_its_printed_working(raw: dict[str, Any]) -> None:
    parts = raw["values"]["answers"]
    assert len(parts) >= 5
    assert all(working.check(part) for part in parts.values())


def test_every_finding_and_assumption_names_its_source(raw: dict[str, Any]) -> None:
    for part in (raw, *raw["values"]["answers"].values()):
        for entry in (*part["findings"], *part["assumptions"]):
            assert entry["rule"]
            assert entry["source"]["title"]
            assert entry["source"]["locator"]
            assert entry["source"]["basis"] in {"standard", "handbook", "maker", "common-practice", "physics"}
            assert entry["source"]["checked"] in {"read", "secondary", "memory"}


def test_every_number_of_a_sentence_is_in_the_numbers_behind_it(raw: dict[str, Any]) -> None:
    request = registry()["changeover"].example
    for name, part in raw["values"]["answers"].items():
        behind = [
            *_numbers({key: part[key] for key in ("values", "findings", "assumptions", "working")}),
            *_numbers(request),
        ]
        for text in NUMBER.findall(part["summary"]):
            assert _traced(text, behind), f"{name}: {text} in {part['summary']!r} has nothing behind it"


def test_the_story_is_invented_and_stored(raw: dict[str, Any]) -> None:
    assert raw["question"] == "changeover"
    assert "made-up" in demo.STORY
    assert demo.client_module().__name__ in ("millphase_client", "millphase._client")
