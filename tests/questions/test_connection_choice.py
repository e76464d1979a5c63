"""Boundaries and properties of connection-choice that hold for any plate and supply."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import working
from millphase.physics import motor
from millphase.questions.base import Invalid, ask
from millphase.rulebook import workshop

PLATE = {
    "delta_voltage": "230 V", "star_voltage": "400 V", "delta_current": "8.7 A", "star_current": "5.0 A", "frequency": "50 Hz",
    "power": "2.2 kW", "speed": "1430 r/min", "power_factor": 0.79,
}  # fmt: skip


def answer(request: dict[str, Any]) -> dict[str, Any]:
    found = ask("connection-choice", request, workshop()).as_json()
    working.check(found)
    return found


def on_drive(volts: str, plate: dict[str, Any] | None = None, **more: Any) -> dict[str, Any]:
    return answer(
        {
            "nameplate": plate or PLATE,
            "leads": 6,
            "marking": "iec",
            "fed_from": {"kind": "drive", "voltage": volts},
            **more,
        }
    )


def on_mains(volts: str, hertz: str = "50 Hz", plate: dict[str, Any] | None = None, **more: Any) -> dict[str, Any]:
    fed = {"kind": "mains", "voltage": volts, "phases": 3, "frequency": hertz}
    return answer({"nameplate": plate or PLATE, "leads": 6, "marking": "iec", "fed_from": fed, **more})


@pytest.mark.parametrize(
    ("volts", "outcome"),
    [
        ("218.5 V", "accept"), ("218.4 V", "caution"),  # 5 % below 230 V: edge of zone A
        ("207 V", "caution"), ("184 V", "caution"),  # 80 %: least flux ratio
        ("183.9 V", "reject"),
        ("253 V", "accept"), ("253.1 V", "caution"),  # 10 % above: only the drive's setting protects
    ],
)  # fmt: skip
def test_drive_voltage_at_each_limit(volts: str, outcome: str) -> None:
    found = on_drive(volts)
    assert found["values"]["connection"] == "delta"
    assert found["outcome"] == outcome


@pytest.mark.parametrize(
    ("volts", "outcome"),
    [
        ("218.5 V", "accept"), ("218.4 V", "caution"), ("207 V", "caution"), ("206.9 V", "reject"),
        ("241.5 V", "accept"), ("241.6 V", "caution"), ("253 V", "caution"), ("253.1 V", "reject"),
    ],
)  # fmt: skip
def test_mains_voltage_at_each_limit(volts: str, outcome: str) -> None:
    found = on_mains(volts)
    assert found["values"]["connection"] == "delta"
    assert found["outcome"] == outcome


@pytest.mark.parametrize(
    ("hertz", "outcome"),
    [("51 Hz", "accept"), ("51.1 Hz", "caution"), ("49 Hz", "accept"), ("48.9 Hz", "caution"), ("51.5 Hz", "caution")],
)
def test_mains_frequency_at_each_limit(hertz: str, outcome: str) -> None:
    # volts follow the frequency, so that the flux stays rated and only the frequency is judged
    volts = f"{230 * float(hertz.split()[0]) / 50:.3f} V"
    assert on_mains(volts, hertz)["outcome"] == outcome


def test_highest_plate_voltage_limits_the_drive() -> None:
    # 440 V is 10 % over 400 V
    assert on_drive("440 V")["outcome"] == "caution"
    assert on_drive("440.5 V")["outcome"] == "reject"


@pytest.mark.parametrize(("volts", "outcome"), [("353.5 V", "accept"), ("353.6 V", "caution")])
def test_peak_voltage_at_its_limit(volts: str, outcome: str) -> None:
    # 2 × √2 × 353.55 V = 1000 V
    found = on_drive(volts)
    peak = [f for f in found["findings"] if f["rule"] == "connection/peak-voltage-general-purpose"]
    assert peak[0]["outcome"] == outcome


@pytest.mark.parametrize(("supplied", "outcome"), [("438.2 V", "accept"), ("438.5 V", "caution")])
def test_peak_voltage_of_a_motor_built_for_drives(supplied: str, outcome: str) -> None:
    # 3.1 × 400 V = 1240 V is reached at 438.4 V
    found = on_drive(supplied, {**PLATE, "built_for_drive": True})
    peak = [f for f in found["findings"] if f["rule"] == "connection/peak-voltage-drive-duty"]
    assert peak[0]["outcome"] == outcome


def test_slip_and_spread_at_their_limits() -> None:
    on_drive("230 V", {**PLATE, "speed": "1200 r/min", "poles": 4})
    with pytest.raises(Invalid):
        on_drive("230 V", {**PLATE, "speed": "1199 r/min", "poles": 4})
    on_drive("230 V", {**PLATE, "star_voltage": "422 V"})  # 230 V × √3 × 1.06 = 422.3 V
    with pytest.raises(Invalid):
        on_drive("230 V", {**PLATE, "star_voltage": "423 V"})
    on_drive("230 V", {**PLATE, "star_current": "4.57 A"})  # 8.7 A / √3 / 1.1 = 4.566 A
    with pytest.raises(Invalid):
        on_drive("230 V", {**PLATE, "star_current": "4.56 A"})


def test_efficiency_of_exactly_one_is_not_refused() -> None:
    watts = math.sqrt(3) * 230 * 8.7 * 0.79
    on_drive("230 V", {**PLATE, "power": f"{watts * 0.9999:.4f} W"})
    with pytest.raises(Invalid):
        on_drive("230 V", {**PLATE, "power": f"{watts * 1.0001:.4f} W"})


@pytest.mark.parametrize(("maximum", "outcome"), [("86.9 Hz", "reject"), ("87 Hz", "caution")])
def test_extended_range_needs_the_frequency(maximum: str, outcome: str) -> None:
    fed = {"kind": "drive", "voltage": "400 V", "maximum_frequency": maximum}
    request = {"nameplate": {**PLATE, "thermal_class": "F"}, "leads": 6, "extended_range": True, "fed_from": fed}
    assert answer(request)["outcome"] == outcome


def test_extended_range_only_up_to_the_highest_plate_voltage() -> None:
    # 5 % over 400 V
    fed = {"kind": "drive", "voltage": "420 V", "maximum_frequency": "400 Hz"}
    request: dict[str, Any] = {
        "nameplate": {**PLATE, "thermal_class": "F"},
        "leads": 6,
        "extended_range": True,
        "fed_from": fed,
    }
    assert answer(request)["outcome"] == "caution"
    fed["voltage"] = "420.5 V"
    assert answer(request)["outcome"] == "reject"


def test_wiring_rules_supply_the_frequency() -> None:
    plate = {"delta_voltage": "230 V", "star_voltage": "400 V", "star_current": "5.0 A"}
    for rules, hertz in (("iec-60364", "50 Hz"), ("bs-7671", "50 Hz"), ("nfpa-70", "60 Hz")):
        found = answer(
            {"nameplate": plate, "leads": 6, "wiring_rules": rules, "fed_from": {"kind": "mains", "voltage": "400 V"}}
        )
        assumed = {entry["field"]: entry["assumed"] for entry in found["assumptions"]}
        assert assumed["nameplate.frequency"] == assumed["fed_from.frequency"] == hertz
        assert assumed["fed_from.phases"] == "3"


@pytest.mark.parametrize(
    ("speed", "hertz"),
    [("1430 r/min", "50 Hz"), ("1725 r/min", "60 Hz"), ("2850 r/min", "50 Hz"), ("3450 r/min", "60 Hz")],
)
def test_speed_supplies_the_frequency(speed: str, hertz: str) -> None:
    plate = {key: value for key, value in PLATE.items() if key != "frequency"} | {"speed": speed}
    found = on_drive("230 V", plate)
    assert {"nameplate.frequency": hertz}.items() <= {e["field"]: e["assumed"] for e in found["assumptions"]}.items()


def settings_of(found: dict[str, Any]) -> dict[str, str]:
    return {row["setting"]: row["value"] for row in found["values"]["drive_settings"]}


class TestFillingIn:
    """What stands in for a silent plate, and what is left out rather than guessed."""

    def test_efficiency_class_gives_the_power_factor(self) -> None:
        # 0.75 kW IE3 four poles: 82.5 % (IEC 60034-30-1); 750 / (√3 × 400 × 1.8 × 0.825) = 0.729
        plate = {
            "star_voltage": "400 V",
            "star_current": "1.8 A",
            "power": "0.75 kW",
            "speed": "1430 r/min",
            "efficiency_class": "ie3",
        }
        assert settings_of(on_drive("400 V", plate))["power-factor"] == "0.73"

    def test_plate_efficiency_comes_before_any_class(self) -> None:
        plate = {
            "star_voltage": "400 V",
            "star_current": "1.7 A",
            "power": "0.75 kW",
            "speed": "1445 r/min",
            "efficiency": "82.5 %",
        }
        # Mecha sheet of a 0.75 kW IE3 motor: 1.7 A, 82.5 %, power factor 0.77
        assert settings_of(on_drive("400 V", plate))["power-factor"] == "0.77"

    @pytest.mark.parametrize(
        ("changes", "power_factor"),
        [
            ({"power": "0.1 kW", "star_current": "0.36 A"}, None),  # below every table: left out
            ({"efficiency_class": "ie3", "power": "0.1 kW", "star_current": "0.36 A"}, None),
            ({"efficiency_class": "ie3", "speed": "470 r/min"}, "0.76"),  # twelve poles: no class; typical 1.5 kW motor
            ({"speed": "700 r/min"}, "0.76"),  # IE1 is tabulated to six poles
            ({"star_current": "2.6 A"}, "0.76"),  # 1.08 of the largest power factor: not believed
        ],
    )
    def test_typical_power_factor_where_no_class_applies(
        self, changes: dict[str, str], power_factor: str | None
    ) -> None:
        plate = {
            "star_voltage": "400 V",
            "star_current": "3.6 A",
            "power": "1.5 kW",
            "speed": "1413 r/min",
            "frequency": "50 Hz",
        }
        assert settings_of(on_drive("400 V", plate | changes)).get("power-factor") == power_factor

    def test_nothing_is_guessed_beyond_the_tables(self) -> None:
        plate = {"star_voltage": "400 V", "star_current": "21 A", "power": "250 kW", "frequency": "50 Hz"}
        with pytest.raises(Invalid):  # and 250 kW from 14.5 kVA is refused
            on_drive("400 V", plate)
        found = settings_of(on_drive("400 V", plate | {"star_current": "430 A", "efficiency_class": "ie3"}))
        assert "power-factor" not in found
        assert "rated-speed" not in found
        found = settings_of(on_drive("400 V", {"star_voltage": "400 V", "power": "250 kW"}))
        assert "motor-current" not in found
        found = settings_of(on_drive("400 V", {"star_voltage": "400 V", "star_current": "0.2 A"}))
        assert "rated-power" not in found

    def test_poles_of_the_plate_are_used(self) -> None:
        plate = {key: value for key, value in PLATE.items() if key != "speed"}
        assert "rated-speed" not in settings_of(on_drive("230 V", plate | {"poles": 6}))
        assert settings_of(on_drive("230 V", PLATE | {"poles": 4}))["poles"] == "4"

    def test_typical_speed_is_for_50_hertz(self) -> None:
        plate = {key: value for key, value in PLATE.items() if key != "speed"} | {"frequency": "60 Hz"}
        assert "rated-speed" not in settings_of(on_drive("230 V", plate))


def test_low_and_high_voltage_of_six_leads_are_delta_and_star() -> None:
    # EASA handbook, six leads, ratio 1.732: low is delta, high is wye
    plate = {"low_voltage": "230 V", "high_voltage": "400 V", "low_current": "8.7 A"}
    assert on_drive("230 V", plate)["values"]["connection"] == "delta"


def test_every_candidate_says_what_it_does() -> None:
    rows = {row["connection"]: row for row in on_drive("400 V")["values"]["candidates"]}
    assert "iron saturates" in rows["delta"]["effect"]
    assert "400 V" not in rows["delta"]["effect"].split("unless")[0]
    assert rows["star"]["chosen"]
    low = {row["connection"]: row for row in on_drive("230 V")["values"]["candidates"]}["star"]
    # A third of the torque; rated torque would take √3 times the current.
    assert low["load_current_ratio"]["value"] == pytest.approx(math.sqrt(3), rel=1e-5)
    assert low["line_current"] == {"value": 5.0, "unit": "A"}


def test_the_present_star_is_named_beside_an_extended_range() -> None:
    fed = {"kind": "drive", "voltage": "400 V"}
    found = answer(
        {"nameplate": PLATE, "leads": 6, "extended_range": True, "present_connection": "star", "fed_from": fed}
    )
    assert found["values"]["connection"] == "delta"
    assert any("ordinary connection" in step for step in found["next_steps"])


def test_a_star_made_inside_that_delta_would_not_suit_either() -> None:
    found = answer(
        {"nameplate": {"star_voltage": "690 V"}, "leads": 3, "fed_from": {"kind": "drive", "voltage": "230 V"}}
    )
    assert found["outcome"] == "reject"
    assert not any("brought out" in step for step in found["next_steps"])


VOLTS = st.floats(100.0, 690.0)


@settings(deadline=None, max_examples=40)
@given(volts=VOLTS, present=st.sampled_from(["star", "delta", None]))
def test_any_supply_gets_an_answer_whose_working_can_be_redone(volts: float, present: str | None) -> None:
    more = {"present_connection": present} if present else {}
    for found in (on_drive(f"{volts:.3f} V", **more), on_mains(f"{volts:.3f} V", **more)):
        assert ("links" in found["values"]) == found["summary"].startswith("Connect")
        for row in found["values"]["candidates"]:
            assert row["torque_ratio"]["value"] <= 1.0
            turns = math.sqrt(3) if row["connection"] == "star" else 1.0
            assert row["winding_voltage_ratio"]["value"] == pytest.approx(volts / turns / 230.0, rel=2e-5)


@settings(deadline=None, max_examples=25)
@given(volts=st.floats(150.0, 300.0))
def test_units_do_not_change_the_answer(volts: float) -> None:
    kilovolts = {**PLATE, "delta_voltage": "0.23 kV", "power": "2200 W"}
    one, other = on_drive(f"{volts:.3f} V"), on_drive(f"{volts / 1000:.6f} kV", kilovolts)
    assert one["outcome"] == other["outcome"]
    assert one["values"]["full_torque_up_to"]["value"] == pytest.approx(
        other["values"]["full_torque_up_to"]["value"], rel=1e-5
    )


@settings(deadline=None, max_examples=25)
@given(low=st.floats(140.0, 229.0), step=st.floats(0.5, 20.0))
def test_more_voltage_never_gives_less_torque(low: float, step: float) -> None:
    less, more = on_drive(f"{low:.3f} V")["values"], on_drive(f"{min(low + step, 230.0):.3f} V")["values"]
    for name in ("torque_ratio", "full_torque_up_to"):
        assert less[name]["value"] <= more[name]["value"] + 1e-9


@settings(max_examples=50)
@given(hertz=st.floats(5.0, 100.0), torque=st.floats(0.0, 1.0))
def test_slip_follows_torque_not_frequency(hertz: float, torque: float) -> None:
    field = motor.synchronous_speed(hertz, 4)
    assert field - motor.speed_at_rated_flux(hertz, 4, 70 / 60, torque) == pytest.approx(torque * 70 / 60, abs=1e-9)


def test_star_and_delta_currents_undo_each_other() -> None:
    assert motor.star_current(motor.delta_current(5.0)) == pytest.approx(5.0)
