"""What one part finds feeds the next, the cautious value is carried on, and nothing is passed over in silence."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import replace
from typing import Any

import pytest

from millphase.questions import changeover
from millphase.questions._changeover_feeds import PARTS
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


def _sound() -> dict[str, Any]:
    """The example with everything that asks for a caution put right."""
    request = deepcopy(EXAMPLE)
    request["connection"]["present_connection"] = "delta"
    request["drive"]["supply"]["connected_by"] = "fixed"
    request["leakage"] = {
        "rcd": {"rated_residual_current": "30 mA", "type": "F"},
        "drives": [{"name": "shaper", "filter_leakage": "3 mA"}],
    }
    request["cable"]["second_protective_conductor"] = True
    return request


def test_all_accepted() -> None:
    answer = _ask(_sound())
    assert answer["outcome"] == "accept"
    assert answer["summary"].startswith("All 5 parts are accepted")
    assert "have the commissioning tests judged" in answer["summary"]


@pytest.mark.parametrize("part", changeover.CORE)
def test_a_job_is_not_accepted_while_a_core_part_was_not_asked(part: str) -> None:
    request = _sound()
    del request[part]
    answer = _ask(request)
    assert answer["outcome"] == "inconclusive"
    assert f"not asked: {PARTS[part].title.lower()}" in answer["summary"]
    assert any(f"Ask the rest of the job too: {part}" in entry["do"] for entry in answer["values"]["checklist"])


def test_a_refused_part_outweighs_one_that_was_not_asked() -> None:
    request = {"insulation": deepcopy(EXAMPLE["insulation"])}
    request["insulation"]["readings"][0]["resistance"] = "20 kohm"
    answer = _ask(request)
    assert answer["outcome"] == "reject"
    assert "0 of 1 parts sent are accepted" in answer["summary"]


def test_a_motor_on_the_mains_needs_no_drive() -> None:
    # Line current of the plate, straight into the cable: no drive stands between.
    request = {
        "connection": deepcopy(EXAMPLE["connection"]) | {"present_connection": "star", "fed_from": {"kind": "mains", "voltage": "400 V", "phases": 3}},
        "cable": {"length": "20 m", "installation_method": "c", "cable": "multicore", "insulation": "pvc-70", "ambient": "30 degC"},
    }  # fmt: skip
    answer = _ask(request)
    assert "drive sizing" not in answer["summary"]
    alone = request["cable"] | {"design_current": "3.5 A", "feeds": "motor", "voltage": "400 V", "phases": 3}
    assert _part(answer, "cable-sizing") == ask("cable-sizing", alone, workshop()).as_json()


def test_every_drive_of_the_leakage_budget_has_its_cable_and_carrier() -> None:
    request = deepcopy(EXAMPLE)
    request["drive"]["drive"]["carrier_frequency"] = "8 kHz"
    request["leakage"]["drives"] += [
        {"name": "coolant pump", "filter_leakage": "2 mA"},
        {"name": "feed", "filter_leakage": "2 mA", "motor_cable": {"length": "9 m", "screened": False}},
    ]
    answer = _ask(request)
    own = {"carrier_frequency": "8 kHz", "motor_cable": {"length": "3 m", "screened": True}}
    alone = deepcopy(request["leakage"])
    alone["drives"][0] |= own | {"motor_insulation": "290 Mohm"}
    alone["drives"][1] |= own
    alone["drives"][2] |= {"carrier_frequency": "8 kHz"}
    alone["supply"] |= {"voltage": "230 V", "frequency": "50 Hz"}
    assert _part(answer, "leakage-budget") == ask("leakage-budget", alone, workshop()).as_json()
    assumed = {entry["field"]: entry["assumed"] for entry in answer["assumptions"]}
    assert set(assumed) == {
        f"leakage.drives.{name}" for name in ("1.motor_cable", "1.carrier_frequency", "2.carrier_frequency")
    }
    assert assumed["leakage.drives.1.motor_cable"].startswith("3 m, as of the drive")


def test_the_drive_that_is_sized_stands_in_the_leakage_budget_even_if_it_is_not_listed() -> None:
    request = deepcopy(EXAMPLE)
    del request["leakage"]["drives"]
    answer = _ask(request)
    alone = deepcopy(request["leakage"])
    alone["supply"] |= {"voltage": "230 V", "frequency": "50 Hz"}
    without = ask("leakage-budget", alone, workshop())
    listed = _part(answer, "leakage-budget")
    found = without.quantity("standing_leakage")
    assert found is not None
    assert listed["values"]["standing_leakage"]["value"] > found.value
    assert listed["outcome"] != "accept"
    assert "leakage.drives" in {entry["field"] for entry in answer["assumptions"]}


def test_a_reading_that_proves_nothing_does_not_acquit_the_motor_in_the_leakage_budget() -> None:
    # A few volts can condemn insulation but not acquit it.
    request = deepcopy(EXAMPLE)
    request["insulation"]["readings"] = [
        {"between": "UVW-earth", "resistance": "20 Mohm", "test_voltage": "9 V", "instrument": "multimeter"}
    ]
    answer = _ask(request)
    assert "cannot be what trips" not in _part(answer, "leakage-budget")["summary"]
    request["insulation"]["readings"][0]["resistance"] = "1 kohm"
    assert "fault_current_total" in _part(_ask(request), "leakage-budget")["values"]


def test_full_torque_of_the_connection_reaches_the_spindle() -> None:
    # A 400 V star-only motor on a 230 V drive: full torque to 230 / 400 × 50 Hz = 28.75 Hz.
    connection = {
        "nameplate": {"star_voltage": "400 V", "star_current": "3.5 A", "frequency": "50 Hz", "power": "1.5 kW", "speed": "1415 r/min"},
        "leads": 3, "fed_from": {"kind": "drive", "voltage": "230 V", "phases": 1, "output_voltage": "230 V"},
    }  # fmt: skip
    speeds = {
        "motor": {"cooling": "ic-411"}, "steps": [{"driver": "80 mm", "driven": "160 mm"}],
        "frequency_range": {"lowest": "20 Hz", "highest": "60 Hz"},
    }  # fmt: skip
    answer = _ask(
        {"connection": connection, "speeds": speeds, "fit": {"new_motor": {"standard": "iec", "frame": "90L"}}}
    )
    plate = {
        "rated_speed": "1415 r/min",
        "frequency": "50 Hz",
        "power": "1.5 kW",
        "frame": "90L",
        "full_torque_up_to": "28.75 Hz",
    }
    alone = speeds | {"motor": {"cooling": "ic-411", **plate}}
    assert _part(answer, "spindle-speeds") == ask("spindle-speeds", alone, workshop()).as_json()


@pytest.mark.parametrize(
    ("part", "path", "value", "said"),
    [
        ("leakage", ("supply", "voltage"), "120 V", "voltage of a line to earth"),
        ("cable", ("phases",), 3, "supply phases"),
        ("cable", ("rcd",), {"type": "AC"}, "RCD, type"),
        ("cable", ("earthing",), "tt", "earthing of the supply"),
        ("drive", ("motor", "power"), "1.1 kW", "motor power"),
        ("drive", ("supply", "voltage"), "208 V", "supply voltage"),
        ("leakage", ("drives", 0, "motor_cable"), {"length": "9 m"}, "motor cable"),
    ],
)
def test_what_was_entered_stands_but_a_contradiction_is_told(
    part: str, path: tuple[Any, ...], value: Any, said: str
) -> None:
    request = deepcopy(EXAMPLE)
    node: Any = request[part]
    for name in path[:-1]:
        node = node[name] if isinstance(name, int) else node.setdefault(name, {})
    node[path[-1]] = value
    answer = _ask(request)
    told = [
        f for f in answer["findings"] if f["rule"] == "changeover/fed-value-tolerance" and f["outcome"] == "caution"
    ]
    assert any(f["because"].lower().startswith(said.lower()) for f in told), told
    assert said in answer["summary"]


def test_a_small_difference_is_no_contradiction() -> None:
    request = deepcopy(EXAMPLE)
    request["leakage"]["supply"]["voltage"] = "240 V"  # within 5 % of 230 V
    assert "do not agree" not in _ask(request)["summary"]


def test_a_rule_set_named_inside_a_part_is_refused_unless_it_is_the_one_in_use() -> None:
    request = deepcopy(EXAMPLE)
    request["cable"]["rule_set"] = "workshop@1.0.0"
    with pytest.raises(Invalid) as caught:
        _ask(request)
    assert caught.value.contradictory
    assert caught.value.faults[0].pointer == "/cable/rule_set"
    request["cable"]["rule_set"] = f"workshop@{workshop().version}"
    assert _ask(request)["outcome"] == _ask(EXAMPLE)["outcome"]


@pytest.mark.parametrize(
    ("rules", "supply", "fed"),
    [
        # Between a line and earth of a 400 V three-phase supply stand 400 V / √3.
        ("iec-60364", {"voltage": "400 V", "phases": 3}, {"supply": {"voltage": "230.94 V"}, "input": "three-phase"}),
        ("iec-60364", {"voltage": "230 V", "phases": 1}, {"supply": {"voltage": "230 V"}}),
        ("iec-60364", {"voltage": "400 V", "phases": 1}, {"supply": {}}),
        # 240 V between the two lines of a North American service is 120 V to earth, its default there.
        ("nfpa-70", {"voltage": "240 V", "phases": 1}, {"supply": {}, "input": "line-line"}),
        ("nfpa-70", {"voltage": "120 V", "phases": 1}, {"supply": {}, "boost_stage": True}),
    ],
)
def test_the_leakage_budget_counts_from_a_line_to_earth(
    rules: str, supply: dict[str, Any], fed: dict[str, Any]
) -> None:
    drive = {"motor": {"power": "0.37 kW", "voltage": "230 V", "current": "2 A"}, "supply": supply}
    leakage = {"rcd": {"rated_residual_current": "30 mA", "type": "F"}, "drives": [{"filter_leakage": "3 mA"}]}
    answer = _ask({"wiring_rules": rules, "drive": drive, "leakage": leakage})
    alone = deepcopy(leakage) | {"wiring_rules": rules, "supply": fed.pop("supply")}
    alone["drives"][0] |= fed
    found, wanted = _part(answer, "leakage-budget"), ask("leakage-budget", alone, workshop()).as_json()
    assert found["values"] == wanted["values"]
    assert found["outcome"] == wanted["outcome"]


def test_the_plate_says_what_the_insulation_is_made_for() -> None:
    request = deepcopy(EXAMPLE)
    del request["insulation"]["rated_voltage"]
    assert _part(_ask(request), "insulation-acceptance") == _part(_ask(EXAMPLE), "insulation-acceptance")
    del request["connection"]
    answer = _ask(request)
    assert "insulation.rated_voltage is neither entered nor found" in " ".join(f["because"] for f in answer["findings"])


def test_plate_year_and_device_reach_the_parts_that_use_them() -> None:
    request = deepcopy(EXAMPLE)
    request["insulation"]["manufactured"] = 1958
    request["connection"]["nameplate"] |= {"poles": 4, "built_for_drive": True}
    request["drive"]["motor"] = {}
    request["drive"]["supply"] = {
        "resistance": "0.31 ohm",
        "reactance": "0.08 ohm",
        "device_rating": "20 A",
        "connected_by": "plug-16a",
    }
    request["commissioning"] = {"rcd": {"trip_times": {"one": "40 ms"}}, "loop_impedance": "0.6 ohm"}
    answer = _ask(request)
    drive = deepcopy(request["drive"])
    drive["motor"] = {
        "current": "6.1 A", "voltage": "230 V", "power": "1.5 kW", "power_factor": 0.78, "poles": 4,
        "insulation": "built-for-drives", "manufactured": 1958,
    }  # fmt: skip
    drive["supply"] |= {"voltage": "230 V", "phases": 1}
    assert _part(answer, "drive-sizing") == ask("drive-sizing", drive, workshop()).as_json()
    cable = _part(answer, "cable-sizing")["values"]
    assert cable["protective_device_rating"]["value"] == 20
    tests = request["commissioning"] | {
        "rcd": EXAMPLE["leakage"]["rcd"] | {"trip_times": {"one": "40 ms"}},
        "supply": {"earthing": "tn-c-s", "voltage": "230 V"},
        "protective_device": {"kind": "mcb-c", "rating": "20 A"}, "rated_current": "6.1 A",
    }  # fmt: skip
    assert _part(answer, "commissioning-check") == ask("commissioning-check", tests, workshop()).as_json()


def test_nothing_is_said_twice_and_the_supply_comes_on_last() -> None:
    request = deepcopy(EXAMPLE)
    request["commissioning"] = {}
    texts = [entry["do"] for entry in _ask(request)["values"]["checklist"]]
    assert len(texts) == len(set(texts))

    def place(words: str) -> int:
        return next(number for number, text in enumerate(texts) if words in text)

    dead, without, unlock = place("dead with a voltage"), place("still locked off"), place("Take off the lock")
    assert place("Isolate the machine") < dead < place("Join U1-W2") < without < unlock < place("Run the machine light")
    tests = [
        entry["order"] for entry in _ask(request)["values"]["checklist"] if entry["question"] == "commissioning-check"
    ]
    assert all(order > unlock for order in tests)
    assert tests


def test_a_part_in_which_nothing_was_compared_leaves_the_job_open(monkeypatch: pytest.MonkeyPatch) -> None:
    silent = replace(
        PARTS["winding"], answer=lambda request, book: PARTS["winding"].sheet(book).answer("Nothing compared.")
    )
    monkeypatch.setitem(PARTS, "winding", silent)
    request = _sound() | {
        "winding": {"connection": "star", "resistances": {"U-V": "4 ohm", "V-W": "4 ohm", "W-U": "4 ohm"}}
    }
    answer = _ask(request)
    assert answer["outcome"] == "inconclusive"
    assert any("shows nothing either way" in finding["because"] for finding in answer["findings"])


def test_a_leakage_budget_without_a_drive_is_fed_no_motor() -> None:
    request = {
        "insulation": EXAMPLE["insulation"],
        "leakage": {"rcd": EXAMPLE["leakage"]["rcd"], "loads": [{"kind": "computer"}]},
    }
    alone = ask("leakage-budget", request["leakage"], workshop()).as_json()
    assert _part(_ask(request), "leakage-budget") == alone


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
    assert "do not agree on wiring rules" in again["summary"]
    assert not any("bs-7671" in f["rule"] for f in _part(again, "cable-sizing")["findings"])


def test_the_checklist_makes_safe_first_and_hands_over_last() -> None:
    answer = _ask(EXAMPLE)
    checklist = answer["values"]["checklist"]
    assert [entry["order"] for entry in checklist] == list(range(1, len(checklist) + 1))
    assert "Isolate" in checklist[0]["do"]
    assert checklist[-1]["question"] == "changeover"
    questions = [entry["question"] for entry in checklist if entry["question"] != "changeover"]
    order = [question.name for question in PARTS.values()]
    assert questions == sorted(questions, key=order.index)
