"""A rule set that was released goes on answering: rules that came later must not be taken for granted.

No expectation about the numbers stands here; those of a released set are what they were on its day.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

import working
from millphase.questions.base import Invalid, ask
from millphase.rulebook.library import Library

HERE = Path(__file__).parent
RULES = HERE.parents[1] / "rules"
QUESTIONS = ("connection-choice", "spindle-speeds")


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Library:
    return Library.load(RULES, tmp_path_factory.mktemp("packs"))


def _requests(question: str) -> Iterator[dict[str, Any]]:
    for path in sorted((HERE / "cases" / question).glob("*.yaml")):
        for case in yaml.safe_load(path.read_text("utf-8")):
            yield case["request"]


@pytest.mark.parametrize("question", QUESTIONS)
def test_every_set_here_answers_every_case_or_refuses_it(library: Library, question: str) -> None:
    for book in library.usable():
        for request in _requests(question):
            try:
                answer = ask(question, request, book).as_json()
            except Invalid:
                continue
            working.check(answer)
            assert answer["rule_set"] == book.identity


@pytest.mark.parametrize(
    ("nameplate", "refused"),
    [
        # 8.7 A and 4.6 A: a ratio 9.2 % over the root of three; the first sets allow 10 % and set no rounding aside
        ({"delta_voltage": "230 V", "star_voltage": "400 V", "delta_current": "8.7 A", "star_current": "4.6 A"}, False),
        ({"delta_voltage": "230 V", "star_voltage": "400 V", "delta_current": "8.7 A", "star_current": "4.5 A"}, True),
        ({"star_voltage": "400 V", "speed": "1430 r/min", "second_speed": "710 r/min"}, True),
        # Too little power for its current, and an efficiency that does not fit: judged only by later sets.
        ({"delta_voltage": "230 V", "delta_current": "8.7 A", "power": "0.22 kW", "frequency": "50 Hz"}, False),
        (
            {
                "delta_voltage": "230 V", "delta_current": "8.7 A", "power": "2.2 kW", "power_factor": 0.79,
                "efficiency": "95 %", "frequency": "50 Hz",
            },
            False,
        ),
    ],
)  # fmt: skip
def test_what_only_later_sets_know(library: Library, nameplate: dict[str, Any], refused: bool) -> None:
    fed = {"kind": "drive", "voltage": "230 V", "maximum_frequency": "40 Hz"}
    request = {"nameplate": nameplate, "leads": 6, "fed_from": fed}
    if refused:
        with pytest.raises(Invalid):
            ask("connection-choice", request, library.find("workshop@1.0.0"))
    else:
        assert ask("connection-choice", request, library.find("workshop@1.0.0")).values["connection"] == "delta"
