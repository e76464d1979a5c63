"""Trip-search scenarios written from the trade's procedures: at least nine in ten right, and none unsafe."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

import working
from millphase.questions._diagnosis_evidence import STEPS
from millphase.questions.base import ask
from millphase.rulebook import workshop

SCENARIOS: list[dict[str, Any]] = yaml.safe_load((Path(__file__).parent / "scenarios.yaml").read_text("utf-8"))
NAMES = [scenario["name"] for scenario in SCENARIOS]
# Wrong by the trade's procedure; kept in sight rather than tuned away.
KNOWN_WRONG = {
    "the same, motor reads 50 Mohm at 500 V",
    "trips at night in wet weather with nobody there",
    "brand-new RCD of type A, long screened cable, trips only while running, motor and cable read 300 Mohm",
    "first switch-on of the day",
    "60 m screened, sound cable and motor",
    "trips without the drive, holds with it",
}
ON_THE_DRIVE = re.compile(r"drive-without-cable|drive-and-cable|drive-cable-and-motor|insulation-of-(motor|cable)")
FORBIDDEN = re.compile(
    r"\b(bypass|bridge|defeat|lift|hold in|higher rating|without (the|an) earth"
    r"|(remove|disconnect|open|cut|take off) (the )?(protective )?(earth|conductor))\b",
    re.IGNORECASE,
)


@cache
def _answer(name: str) -> dict[str, Any]:
    scenario = SCENARIOS[NAMES.index(name)]
    return ask("trip-diagnosis", scenario["request"], workshop()).as_json()


def _right(scenario: dict[str, Any]) -> bool:
    values = _answer(scenario["name"])["values"]
    return all(
        values[value] in scenario.get(name, [values[value]])
        for name, value in (("first", "first_suspect"), ("next", "next_test"))
    )


def test_at_least_nine_in_ten_are_right() -> None:
    assert len(SCENARIOS) >= 20
    wrong = {scenario["name"] for scenario in SCENARIOS if not _right(scenario)}
    assert wrong == KNOWN_WRONG
    assert len(wrong) <= len(SCENARIOS) / 10


@pytest.mark.parametrize(
    "scenario", [s for s in SCENARIOS if {"says", "not", "outcome"} & s.keys()], ids=lambda s: s["name"]
)
def test_what_the_answer_must_say(scenario: dict[str, Any]) -> None:
    answer = _answer(scenario["name"])
    said = " ".join([answer["summary"], *answer["next_steps"], *(f["because"] for f in answer["findings"])])
    assert re.search(scenario.get("says", ""), said)
    assert "not" not in scenario or not re.search(scenario["not"], said)
    assert answer["outcome"] == scenario.get("outcome", answer["outcome"])


@pytest.mark.parametrize("name", NAMES)
def test_no_test_energises_what_a_reading_condemns(name: str) -> None:
    """By the same procedures: a part that can trip the RCD by itself stays dead until it is put right."""
    request = next(s for s in SCENARIOS if s["name"] == name)["request"]
    condemned = {
        f["because"].split(" at ")[0].removeprefix("The ")
        for f in _answer(name)["findings"]
        if "trip the RCD alone" in f["because"]
    }
    energises = {
        "motor": {"drive-cable-and-motor", "running"},
        "cable": {"drive-and-cable", "drive-cable-and-motor", "running"},
        "motor and cable": {"drive-and-cable", "drive-cable-and-motor", "running"},
        "fixed wiring": set(STEPS),
    }
    assert condemned <= energises.keys()
    for part in condemned:
        assert _answer(name)["values"]["next_test"] not in energises[part], request


@pytest.mark.parametrize("name", NAMES)
def test_working_is_redone(name: str) -> None:
    answer = _answer(name)
    working.check(answer)
    assert sum(row["probability"]["value"] for row in answer["values"]["suspects"]) == pytest.approx(100, abs=1e-3)


@pytest.mark.parametrize("name", NAMES)
def test_no_step_is_unsafe(name: str) -> None:
    answer = _answer(name)
    steps = answer["next_steps"]
    assert not [step for step in steps if FORBIDDEN.search(re.sub(r"[Nn]ever[^.;]*", "", step))]
    cautions = " ".join(answer["cautions"])
    assert "Isolate the machine at the supply" in cautions
    assert "Never bypass" in cautions
    assert "protective earth" in cautions


@pytest.mark.parametrize("name", NAMES)
def test_next_test_isolates_first(name: str) -> None:
    answer = _answer(name)
    test = answer["values"]["next_test"]
    if test == "none":
        return
    steps = workshop().rules[f"diagnosis/test-{test}"].data["steps"]
    assert steps == [step for step in answer["next_steps"] if step in steps]
    assert re.search(r"[Ii]solate", steps[0])
    if ON_THE_DRIVE.fullmatch(test):
        assert "DC link" in steps[0]
    if test.startswith("insulation"):
        assert any("off the drive" in step or "disconnect" in step.lower() or "both ends" in step for step in steps)
        assert any("ischarge" in step for step in steps)


@pytest.mark.parametrize("name", NAMES)
def test_a_standing_suspect_says_what_would_overturn_it(name: str) -> None:
    values = _answer(name)["values"]
    if values["next_test"] == "none" and values["suspects"][0]["probability"]["value"] >= 66:
        assert values["overturned_by"]
