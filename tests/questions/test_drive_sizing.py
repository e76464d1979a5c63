"""Drive sizing as a whole: same bytes, speed, monotony, and no fault on anything the schema lets through."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import working
from millphase.answer import Answer
from millphase.physics.rectifier import steady_state
from millphase.questions.base import Invalid, ask, registry
from millphase.rulebook import workshop

BOOK = workshop()
MOTOR = {"power": "2.2 kW", "voltage": "230 V", "current": "8.7 A"}
SUPPLY = {"voltage": "230 V", "frequency": "50 Hz", "resistance": "0.4 ohm", "reactance": "0.25 ohm"}
DRIVE = {"rated_output_current": "10.4 A", "dc_link_capacitance": "2000 uF"}


def answered(**request: Any) -> Answer:
    return ask("drive-sizing", {"motor": MOTOR, **request}, BOOK)


def number(answer: Answer, name: str) -> float:
    found = answer.quantity(name)
    assert found is not None
    return found.si


def test_same_request_same_bytes() -> None:
    example = dict(registry()["drive-sizing"].example)
    first = json.dumps(ask("drive-sizing", example, BOOK).as_json())
    steady_state.cache_clear()
    assert json.dumps(ask("drive-sizing", example, BOOK).as_json()) == first


def test_chokes_stand_side_by_side_in_order() -> None:
    options = answered(supply=SUPPLY, drive=DRIVE).as_json()["values"]["choke_options"]
    assert [row["option"] for row in options] == ["as-asked", "choke-3-percent", "choke-5-percent"]
    for name, falling in (
        ("input_current", True),
        ("crest_factor", True),
        ("distortion", True),
        ("power_factor", False),
    ):
        numbers = [row[name]["value"] for row in options]
        assert numbers == sorted(numbers, reverse=falling)


def test_a_choke_that_is_fitted_is_compared_with_none() -> None:
    options = answered(supply=SUPPLY, drive={**DRIVE, "choke_inductance": "2 mH"}).as_json()["values"]["choke_options"]
    assert [row["option"] for row in options][:2] == ["as-asked", "without-choke"]


def test_an_unknown_supply_is_taken_as_stiff_and_compared_with_the_reference() -> None:
    supply = {"voltage": "230 V", "frequency": "50 Hz"}
    answer = answered(supply=supply, drive=DRIVE).as_json()
    assert {"supply.resistance", "supply.reactance"} <= {entry["field"] for entry in answer["assumptions"]}
    options = {row["option"]: row for row in answer["values"]["choke_options"]}
    stiff, weak = options["as-asked"]["input_current"]["value"], options["reference-supply"]["input_current"]["value"]
    assert stiff > weak


def test_options_without_a_steady_state_say_so() -> None:
    # Near the limit of what a small capacitor can carry, the impedance of a choke is too much.
    answer = answered(supply=SUPPLY, drive={**DRIVE, "dc_link_capacitance": "400 uF"}).as_json()
    options = answer["values"]["choke_options"]
    assert "input_current" in options[0]
    assert all("no steady state" in row["remark"] and "input_current" not in row for row in options[1:])


def test_every_default_is_an_assumption() -> None:
    answer = answered(supply={"voltage": "230 V"}, drive={"rated_output_current": "10.4 A"}).as_json()
    assert {entry["field"] for entry in answer["assumptions"]} == {
        "duty", "drive.overload", "drive.carrier_frequency", "drive.carrier_factor", "site.ambient", "site.altitude",
        "motor.efficiency", "drive.efficiency", "supply.frequency", "supply.resistance", "supply.reactance",
        "drive.dc_link_capacitance", "supply.house_fuse", "drive.rise_time", "motor_cable.length", "motor.insulation",
    }  # fmt: skip


def test_no_step_of_the_working_stands_there_twice() -> None:
    request = dict(registry()["drive-sizing"].example)
    whats = [step["what"] for step in ask("drive-sizing", request, BOOK).as_json()["working"]]
    assert len(whats) == len(set(whats))


def test_the_usual_capacitance_holds_the_same_energy_at_any_supply_voltage() -> None:
    # ½·C·(√2·U)² for a load of one size; 900 µF/kW at 230 V is from memory.
    def assumed(volts: float) -> float:
        motor = {"power": "200 W", "voltage": f"{volts} V", "current": f"{1.2 * 230 / volts:.3f} A"}
        supply = {**SUPPLY, "voltage": f"{volts} V"}
        entries = ask("drive-sizing", {"motor": motor, "supply": supply}, BOOK).as_json()["assumptions"]
        (text,) = [entry["assumed"] for entry in entries if entry["field"] == "drive.dc_link_capacitance"]
        return float(text.removesuffix(" uF"))

    assert assumed(230) == pytest.approx(180)
    assert assumed(120) * 120**2 == pytest.approx(assumed(230) * 230**2, rel=1e-4)


@settings(max_examples=8, deadline=None)
@given(st.floats(1, 9.9))
def test_the_peak_at_the_motor_grows_with_the_cable_up_to_twice_the_link(length: float) -> None:
    def peak(metres: float) -> float:
        cable = {"length": f"{metres:.3f} m"}
        return number(
            answered(supply=SUPPLY, drive={**DRIVE, "rise_time": "0.1 us"}, motor_cable=cable), "terminal_peak_voltage"
        )

    assert peak(length) <= peak(length * 1.2) <= peak(200) == pytest.approx(650.54, rel=1e-4)


@settings(max_examples=8, deadline=None)
@given(st.sampled_from([4, 5, 6, 8, 10, 12, 14, 16]), st.integers(20, 60), st.integers(0, 3000))
def test_no_derating_ever_adds_current(carrier: int, ambient: int, altitude: int) -> None:
    site = {"ambient": f"{ambient} degC", "altitude": f"{altitude} m"}
    answer = answered(drive={**DRIVE, "carrier_frequency": f"{carrier} kHz"}, site=site)
    assert 0 <= number(answer, "available_output_current") <= 10.4


def quantity(low: float, high: float, unit: str) -> st.SearchStrategy[str]:
    return st.floats(low, high).map(lambda number: f"{number:.6g} {unit}").filter(lambda text: "e" not in text)


REQUESTS = st.fixed_dictionaries(
    {"motor": st.fixed_dictionaries({"power": quantity(0.01, 45, "kW"), "voltage": quantity(90, 700, "V"), "current": quantity(0.1, 200, "A")})},
    optional={
        "supply": st.fixed_dictionaries(
            {"voltage": quantity(90, 520, "V")},
            optional={
                "phases": st.sampled_from([1, 3]), "resistance": quantity(0.005, 20, "ohm"), "reactance": quantity(0.0001, 20, "ohm"),
                "loop_impedance": quantity(0.005, 20, "ohm"), "connected_by": st.sampled_from(["plug-13a", "fixed", "plug-20a"]),
            },
        ),
        "drive": st.fixed_dictionaries(
            {},
            optional={
                "rated_output_current": quantity(0.2, 200, "A"), "input_phases": st.sampled_from([1, 3]),
                "dc_link_capacitance": quantity(5, 200000, "uF"), "choke_inductance": quantity(0.001, 1000, "mH"),
                "carrier_frequency": quantity(0.5, 40, "kHz"), "rated_input_current": quantity(0.2, 400, "A"),
                "ambient_derating": quantity(0.1, 10, "%"),
            },
        ),
        "site": st.fixed_dictionaries({"ambient": quantity(10, 70, "degC"), "altitude": quantity(0, 5000, "m")}),
        "motor_cable": st.fixed_dictionaries({"length": quantity(0.1, 300, "m")}),
        "braking": st.fixed_dictionaries(
            {"speed": quantity(1, 60000, "r/min"), "inertia": quantity(0.0001, 10000, "kg.m2")},
            optional={"stop_time": quantity(0.01, 3600, "s"), "stops_every": quantity(0.1, 86400, "s")},
        ),
    },
)  # fmt: skip


@settings(max_examples=30, deadline=None)
@given(REQUESTS)
def test_anything_plausible_is_answered_or_called_contradictory(request: dict[str, Any]) -> None:
    try:
        answer = ask("drive-sizing", request, BOOK).as_json()
    except Invalid as invalid:
        pointers = [fault.pointer for fault in invalid.faults]
        contradictory = invalid.contradictory and all(pointers)
    else:
        contradictory = False
        working.check(answer)
        json.dumps(answer, allow_nan=False)
    assert contradictory or answer["summary"]
