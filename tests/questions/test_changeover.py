"""What one part finds feeds the next, the cautious value is carried on, and nothing is passed over in silence."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

import pytest

from millphase.questions import changeover
from millphase.questions.base import Invalid, ask, load
from millphase.rulebook import workshop

EXAMPLE = changeover.EXAMPLE


def _ask(request: dict[str, Any]) -> dict[str, Any]:
    return ask("changeover", request, workshop()).as_json()


def _part(answer: dict[str, Any], question: str) -> dict[str, Any]:
    found: dict[str, Any] = answer["values"]["answers"][question]
    return found


def test_each_part_is_the_answer_its_own_question_gives() -> None:
    answer = _ask(EXAMPLE)
    connection = ask("connection-choice", EXAMPLE["connection"], workshop()).as_json()
    assert _part(answer, "connection-choice") == connection
    drive = deepcopy(EXAMPLE["drive"])
    drive["motor"] |= {"current": "6.1 A", "voltage": "230 V", "power": "1.5 kW", "power_factor": 0.78}
    assert _part(answer, "drive-sizing") == ask("drive-sizing", drive, workshop()).as_json()
    leakage = _part(answer, "leakage-budget")["values"]["protective_conductor_current"]
    cable = EXAMPLE["cable"] | {
        "design_current": "15.9 A", "feeds": "drive", "voltage": "230 V", "phases": 1, "rcd": EXAMPLE["leakage"]["rcd"],
        "protective_conductor_current": f"{leakage['value']} {leakage['unit']}",
    }  # fmt: skip
    assert _part(answer, "cable-sizing") == ask("cable-sizing", cable, workshop()).as_json()


def test_the_overall_outcome_is_the_worst_of_the_parts() -> None:
    order = ["accept", "caution", "inconclusive", "reject"]
    answer = _ask(EXAMPLE)
    assert answer["outcome"] == max((part["outcome"] for part in answer["values"]["answers"].values()), key=order.index)
    worse = deepcopy(EXAMPLE)
    worse["insulation"]["readings"][0]["resistance"] = "20 kohm"
    again = _ask(worse)
    assert again["outcome"] == "reject"
    assert again["summary"].startswith("Do not energise")
    assert "insulation acceptance" in again["summary"]


def test_all_accepted() -> None:
    answer = _ask({"insulation": EXAMPLE["insulation"]})
    assert answer["outcome"] == "accept"
    assert answer["summary"].startswith("All 1 parts are accepted")


@pytest.mark.parametrize(("entered", "carried"), [("9 A", 9.0), ("4 A", 6.1), ("6.1 A", 6.1)])
def test_the_larger_current_is_carried_on(entered: str, carried: float) -> None:
    request = deepcopy(EXAMPLE)
    request["drive"]["motor"]["current"] = entered
    answer = _ask(request)
    found = [f for f in answer["findings"] if f["rule"] == "changeover/fed-value-tolerance"]
    motor = [f for f in found if "Motor current" in f["because"]]
    assert [f["outcome"] for f in motor] == ["accept" if entered == "6.1 A" else "caution"]
    alone = deepcopy(request["drive"])
    alone["motor"] |= {"current": f"{carried} A", "voltage": "230 V", "power": "1.5 kW", "power_factor": 0.78}
    assert _part(answer, "drive-sizing") == ask("drive-sizing", alone, workshop()).as_json()


def test_the_motor_insulation_feeds_the_leakage_only_when_it_is_the_motors() -> None:
    request = deepcopy(EXAMPLE)
    request["insulation"]["under_test"] = "cable"
    without = _part(_ask(request), "leakage-budget")
    request["insulation"]["under_test"] = "motor"
    with_motor = _part(_ask(request), "leakage-budget")
    assert without != with_motor


def test_torque_is_worked_out_for_the_key() -> None:
    request = {
        "connection": EXAMPLE["connection"],
        "fit": {
            "new_motor": {"standard": "iec", "frame": "90L"},
            "pulley": {"bore": "24 mm", "hub_diameter": "50 mm", "hub_length": "40 mm"},
        },
    }
    answer = _ask(request)
    # T = P / ω: 1500 W at 1415 r/min is 10.12 N·m.
    (step,) = [step for step in answer["working"] if "torque" in step["what"]]
    assert step["gives"]["value"] == pytest.approx(10.12, abs=0.01)
    request["connection"] = {"nameplate": {"power": 5}}
    with pytest.raises(Invalid):
        _ask(request)


def test_a_part_that_feeds_an_absurd_value_is_named() -> None:
    drives = [{"name": f"drive {number}", "filter_leakage": "1 A"} for number in range(11)]
    request = {
        "leakage": EXAMPLE["leakage"] | {"drives": drives},
        "cable": EXAMPLE["cable"] | {"design_current": "10 A"},
    }
    with pytest.raises(Invalid) as caught:
        _ask(request)
    assert caught.value.contradictory
    assert caught.value.faults[0].pointer == "/cable/protective_conductor_current"
    assert "plausible" in caught.value.faults[0].message


def test_nothing_is_fed_where_there_is_no_place_for_it() -> None:
    request = {
        "drive": EXAMPLE["drive"] | {"motor": {"power": "1.5 kW", "voltage": "230 V", "current": "6.1 A", "poles": 4}},
        "leakage": {"rcd": EXAMPLE["leakage"]["rcd"], "supply": {"voltage": "230 V"}, "loads": [{"kind": "computer"}]},
        "fit": {"new_motor": {"standard": "iec", "frame": "90L"}},
    }
    answer = _ask(request)
    assert set(answer["values"]["answers"]) == {"motor-fit", "drive-sizing", "leakage-budget"}
    assert answer["working"] == []


def test_a_part_alone_is_told_what_it_lacks() -> None:
    answer = _ask({"leakage": {"rcd": {"rated_residual_current": "30 mA", "type": "F"}}, "cable": {"length": "10 m"}})
    assert answer["outcome"] == "inconclusive"
    open_part = [f for f in answer["findings"] if f["rule"] == "changeover/part-not-answered"]
    assert open_part
    assert "cable.design_current" in open_part[0]["because"]
    assert any("cable.design_current" in entry["do"] for entry in answer["values"]["checklist"])


def test_faults_that_no_feed_can_fill_are_refused_at_once() -> None:
    with pytest.raises(Invalid) as caught:
        load(changeover.QUESTION, {"cable": {"length": 5}, "drive": {"duty": "light"}, "winding": [], "fit": None})
    pointers = {fault.pointer for fault in caught.value.faults}
    assert {"/cable/length", "/drive/duty", "/winding", "/fit"} <= pointers
    assert not any(fault.pointer == "/cable/design_current" for fault in caught.value.faults)


def test_wiring_rules_reach_every_part_unless_it_names_its_own() -> None:
    request = deepcopy(EXAMPLE) | {"wiring_rules": "bs-7671"}
    answer = _ask(request)
    assert any("bs-7671" in f["rule"] for f in _part(answer, "cable-sizing")["findings"])
    request["cable"]["wiring_rules"] = "iec-60364"
    again = _ask(request)
    assert not any("bs-7671" in f["rule"] for f in _part(again, "cable-sizing")["findings"])


def test_the_checklist_makes_safe_first_and_hands_over_last() -> None:
    answer = _ask(EXAMPLE)
    checklist = answer["values"]["checklist"]
    assert [entry["order"] for entry in checklist] == list(range(1, len(checklist) + 1))
    assert "Isolate" in checklist[0]["do"]
    assert checklist[-1]["question"] == "changeover"
    questions = [entry["question"] for entry in checklist if entry["question"] != "changeover"]
    order = [question.name for question in changeover.PARTS.values()]
    assert questions == sorted(questions, key=order.index)
