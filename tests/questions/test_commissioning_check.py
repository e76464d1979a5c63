"""commissioning-check: what is missing is said once, and nothing passes by default."""

from __future__ import annotations

import pytest

from millphase.questions.base import ask, registry
from millphase.rulebook import workshop

QUESTION = registry()["commissioning-check"]
NEEDED = [
    "loop_impedance", "protective_device", "bonding_resistance", "insulation", "polarity_correct", "rotation_correct",
    "no_load_current", "rated_current", "emergency_stop_works", "no_restart_after_power_return",
]  # fmt: skip


@pytest.mark.parametrize("left_out", NEEDED)
def test_leaving_out_a_test_is_inconclusive(left_out: str) -> None:
    request = {name: value for name, value in QUESTION.example.items() if name != left_out}
    answer = ask(QUESTION.name, request, workshop()).as_json()
    assert answer["outcome"] == "inconclusive"
    assert len(answer["values"]["missing"]) == 1
    assert [f["rule"] for f in answer["findings"] if f["outcome"] == "inconclusive"] == ["commissioning/missing-test"]


def test_every_test_stands_once_in_the_list() -> None:
    tests = [row["test"] for row in ask(QUESTION.name, dict(QUESTION.example), workshop()).as_json()["values"]["tests"]]
    assert len(tests) == len(set(tests)) == 11


def test_weak_test_voltage_is_listed_as_missing() -> None:
    request = dict(QUESTION.example) | {"insulation": {"resistance": "9 Mohm", "test_voltage": "100 V"}}
    assert ask(QUESTION.name, request, workshop()).as_json()["values"]["missing"] == ["insulation"]


def test_low_reading_at_a_weak_test_voltage_still_condemns() -> None:
    request = dict(QUESTION.example) | {"insulation": {"resistance": "40 kohm", "test_voltage": "9 V"}}
    assert ask(QUESTION.name, request, workshop()).as_json()["outcome"] == "reject"
