"""What stored readings say: which question each answers, which can be compared, how the machine is, when it is tested next.

Least values: IEEE 43-2013, 5 Mohm at 40 °C for a random-wound stator. Halving for each 10 K of winding temperature. The
intervals are the rules' own; here only their choice and their arithmetic are checked, by the calendar.
"""

from __future__ import annotations

from copy import deepcopy
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from millphase.questions import _machine as fields_of
from millphase.questions import _upkeep as upkeep
from millphase.questions.base import Invalid, load_part
from millphase.rulebook import Rulebook, workshop

MACHINE = {"name": "shaper", "rated_voltage": "400 V", "winding": "random-wound", "manufactured": 1987}
NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
RULES = workshop().view(upkeep.RULES)


def visit_of(at: str, ohms: str = "85 Mohm", **item: Any) -> dict[str, Any]:
    whole = {
        "between": "UVW-earth", "resistance": ohms, "test_voltage": "500 V", "instrument": "insulation-tester",
        "after": "60 s", "winding_temperature": "20 degC",
    }  # fmt: skip
    made = {name: value for name, value in {**whole, **item}.items() if value is not None}
    return {"at": at, "insulation": [made], "drive_disconnected": True}


def status(tests: list[dict[str, Any]], **machine: Any) -> dict[str, Any]:
    found = upkeep.status({**MACHINE, **machine}, tests, NOW, workshop())
    assert not [value for value in found.values() if value is None or isinstance(value, dict | list)], "flat, no nulls"
    return found


def test_a_machine_without_tests_is_not_accepted() -> None:
    found = status([])
    assert (found["outcome"], found["attention"], found["tests"]) == ("inconclusive", True, 0)
    assert "test it before it runs" in found["summary"]
    assert "resistance" not in found


def test_one_good_test_is_accepted_with_its_numbers_in_one_unit() -> None:
    found = status([visit_of("2026-11-01T08:00:00Z", "0.085 Gohm")])
    # 85 Mohm × 0.5^((40 − 20)/10) = 21.25 Mohm, which is 4.25 times the 5 Mohm asked: a margin of 3.25.
    assert (found["outcome"], found["attention"]) == ("accept", False)
    assert (found["resistance"], found["resistance_at_40c"], found["minimum_at_40c"]) == (85.0, 21.25, 5.0)
    assert found["margin"] == pytest.approx(3.25)
    assert (found["age_days"], found["next_due"], found["overdue"]) == (24, "2027-11-01", False)
    assert "2027-11-01" in found["summary"]


def test_a_reading_beyond_the_range_is_told_as_such() -> None:
    found = status([visit_of("2026-11-01T08:00:00Z", "200 Mohm", over_range=True)])
    assert (found["outcome"], found["over_range"]) == ("accept", True)
    assert "more than 200 Mohm" in found["summary"]
    assert status([visit_of("2026-11-01T08:00:00Z")])["over_range"] is False


def test_an_unknown_temperature_leaves_no_comfortable_margin() -> None:
    found = status([visit_of("2026-11-01T08:00:00Z", winding_temperature=None)])
    # 85 Mohm at −20 °C would be 85 × 0.5^6 = 1.33 Mohm at 40 °C, of the 5 Mohm asked.
    assert found["outcome"] == "inconclusive"
    assert found["margin"] == pytest.approx(85 * 0.5**6 / 5 - 1, rel=1e-4)
    assert found["due_by_rule"] == "insulation/retest-near-minimum"


@pytest.mark.parametrize(("ohms", "outcome"), [("40 kohm", "reject"), ("16 Mohm", "caution"), ("20 Mohm", "accept")])
def test_the_latest_test_decides(ohms: str, outcome: str) -> None:
    # 20 Mohm at 20 °C is exactly the 5 Mohm asked at 40 °C; 16 Mohm is 4 Mohm.
    found = status([visit_of("2026-11-01T08:00:00Z", ohms), visit_of("2026-10-01T08:00:00Z", "500 Mohm")])
    assert found["outcome"] == outcome


def test_a_cheap_test_does_not_acquit() -> None:
    meter = visit_of("2026-11-01T08:00:00Z", "20 Mohm", instrument="multimeter", test_voltage=None)
    assert status([meter])["outcome"] == "inconclusive"
    unsaid = visit_of("2026-11-01T08:00:00Z")
    del unsaid["drive_disconnected"]
    assert status([unsaid])["outcome"] == "inconclusive"


@pytest.mark.parametrize(("at", "age", "overdue"), [
    ("2025-11-25T12:00:01Z", 364, False), ("2025-11-25T12:00:00Z", 365, True), ("2026-11-25T18:00:00Z", 0, False),
])  # fmt: skip
def test_a_year_later_the_test_is_due(at: str, age: int, overdue: bool) -> None:
    found = status([visit_of(at)])
    assert (found["age_days"], found["overdue"]) == (age, overdue)
    assert found["outcome"] == ("caution" if overdue else "accept")
    assert ("test again" in found["summary"]) or not overdue


def test_an_idle_machine_is_due_sooner_and_one_near_its_least_value_sooner_still() -> None:
    good, near = visit_of("2026-11-01T08:00:00Z"), visit_of("2026-11-01T08:00:00Z", "36 Mohm")
    assert status([good])["due_by_rule"] == "insulation/retest-ordinary"
    # 183 days from 1 November: 29 + 31 + 31 + 28 + 31 + 30 = 180 to 30 April, and three more.
    assert status([good], stands_idle=True)["next_due"] == "2027-05-03"
    # 36 Mohm at 20 °C is 9 Mohm at 40 °C, under twice the 5 Mohm asked; 91 days from 1 November is 31 January.
    found = status([near], stands_idle=True)
    assert (found["due_by_rule"], found["next_due"]) == ("insulation/retest-near-minimum", "2027-01-31")
    assert status([visit_of("2026-11-01T08:00:00Z", "40 Mohm")])["due_by_rule"] == "insulation/retest-ordinary"


def falling() -> list[dict[str, Any]]:
    """A year in which the resistance halves, the latest first."""
    return [
        visit_of(f"2026-{month:02d}-01T08:00:00Z", f"{400 * 0.5 ** (month / 12):.2f} Mohm")
        for month in range(11, 0, -1)
    ]


def test_a_falling_trend_is_told_although_the_latest_test_passes() -> None:
    found = status(falling())
    assert (found["outcome"], found["direction"], found["attention"]) == ("caution", "worsening", True)
    assert found["due_by_rule"] == "insulation/retest-near-minimum"
    assert "getting worse" in found["summary"]
    old = [{**test, "at": test["at"].replace("2026", "2025")} for test in falling()]
    assert "The next test was due on 2026-01-31." in status(old)["summary"]


def test_a_retired_machine_asks_for_nothing() -> None:
    found = status(falling(), retired={"at": "2026-11-20T00:00:00Z", "reason": "sold"})
    assert (found["retired"], found["attention"]) == (True, False)
    assert "next_due" not in found
    assert found["outcome"] == "caution", "the judgement itself stays"


def _with(**changes: dict[str, Any]) -> Rulebook:
    """The base set with rules changed, by the second part of their ids."""
    pack = workshop().pack
    changed = {f"insulation/{name.replace('_', '-')}": change for name, change in changes.items()}
    rules = {rule: {**data, **changed.get(rule, {})} for rule, data in pack["rules"].items()}
    return Rulebook({**pack, "rules": rules}, digest="sha256:" + "0" * 64)


def _without(*rules: str) -> Rulebook:
    names = [rule.partition("/")[2].replace("-", "_") for rule in rules]
    return _with(**{name: {"withdrawn": "for this test"} for name in names})


def test_withdrawn_rules_leave_out_what_they_decided() -> None:
    tests = [visit_of("2020-11-01T08:00:00Z", "36 Mohm")]
    names = ["insulation/retest-ordinary", "insulation/retest-near-minimum", "insulation/near-minimum"]
    found = upkeep.status(MACHINE, tests, NOW, _without(*names))
    assert "next_due" not in found
    assert found["outcome"] == "accept"
    assert "test again by" not in found["summary"]
    bare = upkeep.status(MACHINE, tests, NOW, _without("insulation/floor-to-energise"))
    assert bare["outcome"] == "inconclusive"
    assert "margin" not in bare


def test_a_loosened_interval_is_never_silent() -> None:
    changed = {
        "change": "loosen",
        "by": "barn club 1.0.0",
        "was": "365 d",
        "reason": "machines are used on Sundays only",
    }
    loosened = _with(retest_ordinary={"value": "730 d", "changed": changed})
    (told,) = upkeep.interval_notices(loosened)
    assert "from 365 d to 730 d" in told
    assert "Sundays" in told
    assert upkeep.interval_notices(workshop()) == []


@pytest.mark.parametrize("rule", sorted(rule for rule in workshop().rules if rule.startswith("insulation/")))
def test_no_withdrawn_rule_brings_the_status_down(rule: str) -> None:
    """Whatever a club withdraws, a status is told, and nothing is accepted that was not before."""
    book = _without(rule)
    for tests in ([], falling(), [visit_of("2026-11-01T08:00:00Z", "40 kohm")]):
        assert upkeep.status(MACHINE, tests, NOW, book)["outcome"] != "accept"
        upkeep.trend(MACHINE, tests, book)
    linked = {**visit_of("2026-11-01T08:00:00Z", between="U-earth"), "links": "fitted"}
    assert upkeep.status(MACHINE, [linked], NOW, book)["outcome"] in ("accept", "inconclusive")


def test_readings_that_new_rules_find_contradictory_are_told_not_hidden() -> None:
    tests = [visit_of("2026-11-01T08:00:00Z", "9 Mohm", instrument="multimeter", test_voltage="9 V")]
    found = upkeep.status(MACHINE, tests, NOW, _with(ohmmeter_voltage={"value": "5 V"}))
    assert found["outcome"] == "inconclusive"
    assert "contradict each other" in found["summary"]


# Which readings make one record


def picked(*tests: dict[str, Any]) -> tuple[list[str], dict[str, int]]:
    record = upkeep.trend_record(MACHINE, tests, RULES)
    return [reading["resistance"] for reading in record.request["readings"]], record.left_out


def test_only_what_was_taken_the_same_way_is_compared() -> None:
    tests = [
        visit_of("2026-11-01T08:00:00Z", "1 Mohm"),
        visit_of("2026-10-01T08:00:00Z", "2 Mohm", test_voltage="0.5 kV"),
        visit_of("2026-09-01T08:00:00Z", "3 Mohm", test_voltage="250 V"),
        visit_of("2026-08-01T08:00:00Z", "4 Mohm", instrument=None),
        visit_of("2026-07-01T08:00:00Z", "5 Mohm", after="600 s"),
        visit_of("2026-06-01T08:00:00Z", "6 Mohm", after=None),
        visit_of("2026-05-01T08:00:00Z", "7 Mohm", between="U-earth"),
        visit_of("2026-04-01T08:00:00Z", "8 Mohm", under_test="cable"),
        visit_of("2026-03-01T08:00:00Z", "0 ohm"),
        visit_of("2026-02-01T08:00:00Z", "9 Mohm", under_test="motor-and-cable"),
    ]
    resistances, left_out = picked(*tests)
    assert resistances == ["1 Mohm", "2 Mohm", "6 Mohm"]
    assert left_out == {
        "another-method": 3,
        "not-after-one-minute": 1,
        "not-the-whole-winding": 1,
        "not-the-motor": 1,
        "zero": 1,
    }


def test_three_readings_of_linked_windings_are_one() -> None:
    visit = visit_of("2026-11-01T08:00:00Z")
    (whole,) = visit["insulation"]
    visit["insulation"] = [
        {**whole, "between": f"{name}-earth", "resistance": f"{ohms} Mohm"}
        for name, ohms in zip("UVW", (9, 8, 10), strict=True)
    ]
    assert picked(visit)[1] == {"not-the-whole-winding": 3}
    alike = {
        **visit,
        "insulation": [{**item, "resistance": f"{80 + n} Mohm"} for n, item in enumerate(visit["insulation"])],
    }
    assert picked({**alike, "links": "fitted"}) == (["80 Mohm"], {})
    assert picked({**visit_of("2026-11-01T08:00:00Z"), "links": "fitted"}) == (["85 Mohm"], {})
    late = {
        **alike,
        "insulation": [
            *alike["insulation"],
            {**whole, "between": "U-earth", "resistance": "240 Mohm", "after": "10 min"},
        ],
    }
    assert picked({**late, "links": "fitted"}) == (["80 Mohm"], {"not-after-one-minute": 1})
    # 8 and 10 Mohm cannot be one and the same joined winding: the links are not what they were said to be.
    assert picked({**visit, "links": "fitted"})[1] == {"not-the-whole-winding": 3}


def test_the_request_says_what_every_reading_says() -> None:
    tests = [
        {**visit_of(f"2026-1{n}-01T08:00:00Z"), "air": {"temperature": "9 degC", "relative_humidity": "70 %"}}
        for n in (1, 0)
    ]
    request = upkeep.trend_record(MACHINE, tests, RULES).request
    assert (request["instrument"], request["test_voltage"], request["drive_disconnected"]) == (
        "insulation-tester",
        "500 V",
        True,
    )
    assert request["readings"][0]["air"] == tests[0]["air"]
    assert request["readings"][0]["winding_temperature"] == "20 degC"
    del tests[1]["drive_disconnected"]
    unsure = upkeep.trend_record(MACHINE, tests, RULES).request
    assert "drive_disconnected" not in unsure
    bare = [visit_of("2026-11-01T08:00:00Z", instrument=None, test_voltage=None)]
    assert not {"instrument", "test_voltage"} & upkeep.trend_record(MACHINE, bare, RULES).request.keys()


def test_a_temperature_of_the_visit_holds_for_its_readings() -> None:
    visit = {**visit_of("2026-11-01T08:00:00Z", winding_temperature=None), "winding_temperature": "30 degC"}
    assert upkeep.acceptance_request(MACHINE, visit)["readings"][0]["winding_temperature"] == "30 degC"
    assert upkeep.trend_record(MACHINE, [visit], RULES).request["readings"][0]["winding_temperature"] == "30 degC"
    own = {**visit_of("2026-11-01T08:00:00Z"), "winding_temperature": "30 degC"}
    assert upkeep.acceptance_request(MACHINE, own)["readings"][0]["winding_temperature"] == "20 degC"


def test_a_trend_without_readings_knows_no_direction() -> None:
    answer, record = upkeep.trend(MACHINE, [], workshop())
    assert answer.values["direction"] == "too-few-readings"
    assert answer.outcome.word == "inconclusive"
    assert record.request["readings"] == []


# What is refused at the door

BALANCE = {"connection": "star", "resistances": {"U-V": "7.42 ohm", "V-W": "7.38 ohm", "W-U": "7.45 ohm"}}


def test_a_winding_balance_takes_winding_and_temperature_from_the_machine_and_the_visit() -> None:
    reading = {"winding_balance": BALANCE, "winding_temperature": "18 degC"}
    assert upkeep.balance_request(MACHINE, reading) == {**BALANCE, "temperature": "18 degC", "winding": "random-wound"}
    assert upkeep.balance_request({**MACHINE, "winding": "armature"}, {"winding_balance": BALANCE}) == BALANCE
    upkeep.check(MACHINE, reading, workshop())


@pytest.mark.parametrize(("change", "pointer"), [
    ({"links": "fitted", "insulation": [{"between": "U-V", "resistance": "1 ohm"}]}, "/insulation/0/between"),
    ({"winding_balance": {**BALANCE, "lead_resistance": "9 ohm"}}, "/winding_balance/lead_resistance"),
])  # fmt: skip
def test_contradictions_name_their_place_in_the_reading(change: dict[str, Any], pointer: str) -> None:
    with pytest.raises(Invalid) as refused:
        upkeep.check(MACHINE, change, workshop())
    assert [fault.pointer for fault in refused.value.faults] == [pointer]


def test_a_fault_outside_the_list_of_readings_keeps_its_name() -> None:
    with pytest.raises(Invalid) as refused:
        upkeep.check({**MACHINE, "rated_voltage": "900 kV"}, visit_of("2026-11-01T08:00:00Z"), workshop())
    assert [fault.pointer for fault in refused.value.faults] == ["/rated_voltage"]


@pytest.mark.parametrize(("reading", "tells"), [
    (visit_of("2026-11-01T08:00:00Z"), True), (visit_of("2026-11-01T08:00:00Z", under_test="cable"), False),
    ({**visit_of("2026-11-01T08:00:00Z"), "under_test": "fixed-wiring"}, False), ({"residual_current": "3 mA"}, False),
])  # fmt: skip
def test_only_tests_of_the_motor_tell_of_its_winding(reading: dict[str, Any], tells: bool) -> None:
    assert upkeep.tests_winding(reading) is tells


# Properties

OHMS = st.floats(0.3, 5000).map(lambda ohms: f"{ohms:.4g} Mohm")


@given(ohms=OHMS, other=OHMS)
def test_more_resistance_is_never_worse(ohms: str, other: str) -> None:
    order = ["accept", "caution", "inconclusive", "reject"]
    low, high = sorted((ohms, other), key=lambda text: float(text.split()[0]))
    worse, better = (order.index(status([visit_of("2026-11-01T08:00:00Z", text)])["outcome"]) for text in (low, high))
    assert better <= worse


@given(ohms=st.lists(OHMS, min_size=1, max_size=8))
def test_judging_changes_nothing_and_gives_the_same_again(ohms: list[str]) -> None:
    tests = [visit_of(f"2026-{11 - n:02d}-01T08:00:00Z", text) for n, text in enumerate(ohms)]
    before = deepcopy(tests)
    assert status(tests) == status(tests)
    assert tests == before


# Fields of the records


@pytest.mark.parametrize(("sent", "kept"), [
    ("2026-11-25T18:30:00Z", "2026-11-25T18:30:00Z"), ("2026-11-25T18:30:00.123456789+13:00", "2026-11-25T05:30:00Z"),
])  # fmt: skip
def test_an_instant_is_kept_in_whole_seconds_of_utc(sent: str, kept: str) -> None:
    loaded = load_part(fields_of.ReadingPart, {"at": sent})
    assert fields_of.utc_text(loaded["at"]) == kept


@pytest.mark.parametrize(
    "sent",
    ["2026-11-25", "2026-11-25T18:30:00", "2026-11-25T18:30Z", "2026-11-25 18:30:00Z", 5, "2026-02-30T00:00:00Z"],
)
def test_what_is_no_instant(sent: object) -> None:
    with pytest.raises(Invalid):
        load_part(fields_of.ReadingPart, {"at": sent})


def test_a_machine_carries_the_fields_of_the_questions_under_their_names() -> None:
    # Design of the questions: names that are fixed for callers written today.
    wanted = {"rated_voltage", "winding", "manufactured", "thermal_class", "insulation_system", "nameplate", "leads", "marking",
              "arrangement", "present_connection"}  # fmt: skip
    assert wanted <= fields_of.MachinePart._declared_fields.keys()
    assert fields_of.reading_schema()["anyOf"] == [{"required": [name]} for name in fields_of.MEASURED]
    assert set(fields_of.MEASURED) <= fields_of.ReadingPart._declared_fields.keys()
