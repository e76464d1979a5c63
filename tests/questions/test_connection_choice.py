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
    # 16 % of 1500 r/min; a 50 Hz speed beside 60 Hz is 1 - 50/60 = 16.7 % and its own slip
    on_drive("230 V", {**PLATE, "speed": "1260 r/min", "poles": 4})
    with pytest.raises(Invalid):
        on_drive("230 V", {**PLATE, "speed": "1259 r/min", "poles": 4})
    on_drive("230 V", {**PLATE, "star_voltage": "422 V"})  # 230 V × √3 × 1.06 = 422.3 V
    with pytest.raises(Invalid):
        on_drive("230 V", {**PLATE, "star_voltage": "423 V"})
    on_drive("230 V", {**PLATE, "star_voltage": "375 V"})  # 230 V × √3 × 0.94 = 374.5 V
    with pytest.raises(Invalid):
        on_drive("230 V", {**PLATE, "star_voltage": "374 V"})


@pytest.mark.parametrize("speed", ["2900 r/min", "1450 r/min", "960 r/min", "720 r/min"])
def test_a_fifty_hertz_speed_beside_sixty_hertz_is_refused(speed: str) -> None:
    # Speeds of 50 Hz motors of 2, 4, 6 and 8 poles in any catalogue; at 60 Hz they would slip 19 to 20 %.
    with pytest.raises(Invalid, match="it is a speed of 50 Hz motors"):
        on_drive("230 V", {**PLATE, "frequency": "60 Hz", "speed": speed})


@pytest.mark.parametrize(("speed", "outcome"), [("870 r/min", "accept"), ("869 r/min", "caution")])
def test_slip_of_ordinary_motors_at_its_limit(speed: str, outcome: str) -> None:
    # EASA handbook, speed-torque characteristics: design D slips 8 to 13 %; 13 % of 1000 r/min
    assert on_drive("230 V", {**PLATE, "speed": speed})["outcome"] == outcome


@pytest.mark.parametrize(
    ("small", "large"),
    [
        ("0.2 A", "0.4 A"),  # 0.23 A and 0.4 A as printed with one decimal
        ("1.1 A", "2.0 A"),  # the 0.37 kW row of a switchgear maker's table, 400 and 230 V
        ("5.24 A", "8.7 A"),  # (8.7 + 0.05) / (5.24 - 0.05) = 1.686, 2.7 % below the root of three
        ("4.71 A", "8.7 A"),
    ],
)
def test_currents_within_rounding_of_a_plate(small: str, large: str) -> None:
    plate = {"delta_voltage": "230 V", "star_voltage": "400 V", "delta_current": large, "star_current": small}
    assert on_drive("230 V", plate)["values"]["line_current"]["value"] == float(large.split()[0])


@pytest.mark.parametrize(("small", "large"), [("5.5 A", "8.7 A"), ("4.5 A", "8.7 A"), ("0.05 A", "0.5 A")])
def test_currents_beyond_rounding_are_refused(small: str, large: str) -> None:
    plate = {"delta_voltage": "230 V", "star_voltage": "400 V", "delta_current": large, "star_current": small}
    with pytest.raises(Invalid, match="rounding"):
        on_drive("230 V", plate)


@pytest.mark.parametrize(
    ("leads", "plate", "words"),
    [
        (9, {"low_voltage": "208 V", "high_voltage": "460 V"}, "208-230/460 V enter 230"),
        (6, {"delta_voltage": "230 V", "star_voltage": "460 V"}, "nine or twelve leads"),
    ],
)
def test_voltages_that_do_not_belong_together_say_what_to_enter(leads: int, plate: dict[str, str], words: str) -> None:
    with pytest.raises(Invalid, match=words):
        answer({"nameplate": plate, "leads": leads, "fed_from": {"kind": "drive", "voltage": "230 V"}})


class TestPowerOfThePlate:
    """What a plate gives against what it takes; all from P = √3 U I η cos φ."""

    def test_efficiency_must_fit_the_other_four(self) -> None:
        # 2.2 kW / (√3 × 230 V × 8.7 A × 0.79) = 80.35 %; 10 % either way of that
        for efficiency in ("73.1 %", "89.2 %"):
            on_drive("230 V", {**PLATE, "efficiency": efficiency})
        for efficiency in ("73 %", "89.4 %"):
            with pytest.raises(Invalid, match="read all four again"):
                on_drive("230 V", {**PLATE, "efficiency": efficiency})

    def test_efficiency_that_asks_a_power_factor_over_one(self) -> None:
        # 2.2 kW / (√3 × 230 V × 7 A) = 78.9 %
        plate = {key: value for key, value in PLATE.items() if key not in ("power_factor", "star_current")}
        plate |= {"delta_current": "7 A"}
        on_drive("230 V", plate | {"efficiency": "79 %"})
        with pytest.raises(Invalid, match="power factor over 1"):
            on_drive("230 V", plate | {"efficiency": "78.8 %"})

    def test_a_current_without_its_voltage_is_checked_too(self) -> None:
        # 8.7 A in delta at 400 V / √3 = 230.9 V; √3 × 230.9 V × 8.7 A = 3.48 kVA, and 3.2 kW is 0.92 of it
        plate = {"star_voltage": "400 V", "delta_current": "8.7 A", "frequency": "50 Hz", "power": "3.2 kW"}
        with pytest.raises(Invalid, match=r"at 230\.9 V and 8\.7 A"):
            on_drive("230 V", plate)

    def test_volt_amperes_are_checked_beside_the_power_factor(self) -> None:
        # 3.2 kW / 3466 VA = 0.923 with a power factor of 0.95: an efficiency of 97 %, which no small motor has
        with pytest.raises(Invalid, match="volt-amperes"):
            on_drive("230 V", {**PLATE, "power": "3.2 kW", "power_factor": 0.95})

    @pytest.mark.parametrize(
        ("power", "outcome"), [("0.867 kW", "accept"), ("0.866 kW", "caution"), ("0.22 kW", "caution")]
    )
    def test_too_little_power_for_the_current(self, power: str, outcome: str) -> None:
        # 0.25 × √3 × 230 V × 8.7 A = 866.5 W
        assert on_drive("230 V", {**PLATE, "power": power})["outcome"] == outcome


class TestListedRatings:
    """Powers in kW read in a table of hp, and the other way round; 10 CFR 431.25 pairs the ratings."""

    @pytest.mark.parametrize(
        ("power", "amperes"),
        # NEC table 430.250, 230 V: 1/2 hp 2.2, 3/4 hp 3.2, 1 hp 4.2, 2 hp 6.8, 3 hp 9.6, 5 hp 15.2, 10 hp 28 A
        [("0.37 kW", 2.2), ("0.55 kW", 3.2), ("0.75 kW", 4.2), ("1.5 kW", 6.8), ("2.2 kW", 9.6), ("3.7 kW", 15.2),
         ("7.5 kW", 28.0), ("2 hp", 6.8), ("1492 W", 6.8)],
    )  # fmt: skip
    def test_kilowatts_at_sixty_hertz(self, power: str, amperes: float) -> None:
        plate = {"low_voltage": "230 V", "high_voltage": "460 V", "frequency": "60 Hz", "power": power}
        found = answer(
            {"nameplate": plate, "leads": 9, "arrangement": "wye", "fed_from": {"kind": "drive", "voltage": "230 V"}}
        )
        assert found["values"]["line_current"]["value"] == pytest.approx(amperes)

    @pytest.mark.parametrize(
        ("power", "amperes"),
        # IEC 60947-4-1 Annex G, 230 V: 0.37 kW 1.9, 1.1 kW 4.7, 1.5 kW 6.3, 2.2 kW 8.5, 5.5 kW 20, 7.5 kW 27 A
        [
            ("0.5 hp", 1.9),
            ("1.5 hp", 4.7),
            ("2 hp", 6.3),
            ("3 hp", 8.5),
            ("7.5 hp", 20.0),
            ("10 hp", 27.0),
            ("4 hp", 11.3),
        ],
    )
    def test_horsepower_at_fifty_hertz(self, power: str, amperes: float) -> None:
        plate = {"delta_voltage": "230 V", "star_voltage": "400 V", "frequency": "50 Hz", "power": power}
        assert on_drive("230 V", plate)["values"]["line_current"]["value"] == pytest.approx(amperes)

    @pytest.mark.parametrize("hertz", ["25 Hz", "87 Hz", "400 Hz"])
    def test_other_frequencies_have_no_table(self, hertz: str) -> None:
        # The tables are for 50 and 60 Hz motors; a 400 Hz spindle of the same power is another motor.
        plate = {"delta_voltage": "230 V", "star_voltage": "400 V", "frequency": hertz}
        found = on_drive("230 V", {**plate, "power": "2.2 kW"})
        assert (found["outcome"], "line_current" in found["values"]) == ("inconclusive", False)
        assert "rated-power" not in settings_of(on_drive("230 V", {**plate, "delta_current": "8.7 A"}))

    def test_between_two_ratings_the_straight_line(self) -> None:
        # 3 kW is 4.023 hp: 9.6 A + (15.2 - 9.6) A × 1.023 / 2 between 3 and 5 hp of NEC table 430.250
        plate = {"low_voltage": "230 V", "high_voltage": "460 V", "frequency": "60 Hz", "power": "3 kW"}
        found = answer(
            {"nameplate": plate, "leads": 9, "arrangement": "wye", "fed_from": {"kind": "drive", "voltage": "230 V"}}
        )
        assert found["values"]["line_current"]["value"] == pytest.approx(9.6 + 5.6 * (3 / 0.745700 - 3) / 2, rel=1e-4)

    @pytest.mark.parametrize(
        ("amperes", "power"),
        # Annex G at 230 V: 6.3 A is 1.5 kW, 8.5 A is 2.2 kW; between them the nearer by ratio, √(6.3 × 8.5) = 7.32 A
        [("8.4 A", "2.2 kW"), ("8.7 A", "2.2 kW"), ("7.4 A", "2.2 kW"), ("7.2 A", "1.5 kW"), ("100 A", None)],
    )
    def test_power_of_the_nearest_current(self, amperes: str, power: str | None) -> None:
        plate = {"delta_voltage": "230 V", "star_voltage": "400 V", "delta_current": amperes, "frequency": "50 Hz"}
        assert settings_of(on_drive("230 V", plate)).get("rated-power") == power


class TestWhatTheDriveCanDo:
    """A drive holds back voltage it has to spare and cannot make up what it lacks."""

    def test_voltage_to_spare_before_voltage_missing(self) -> None:
        # 310 V is 77.5 % of 400 V and 135 % of 230 V; set to 230 V the drive gives delta its rated flux
        found = on_drive("310 V")
        assert (found["outcome"], found["values"]["connection"]) == ("caution", "delta")
        assert settings_of(found)["motor-voltage"] == "230 V"
        assert on_drive("320 V")["values"]["connection"] == "star"  # 80 %: the least flux ratio

    def test_a_drive_that_stops_below_rated_frequency(self) -> None:
        for hertz, outcome in (("50 Hz", "accept"), ("49 Hz", "caution")):
            fed = {"kind": "drive", "voltage": "230 V", "maximum_frequency": hertz}
            assert answer({"nameplate": PLATE, "leads": 6, "fed_from": fed})["outcome"] == outcome

    @pytest.mark.parametrize(("volts", "boosts"), [("241 V", False), ("242 V", True), ("400 V", True)])
    def test_more_out_than_in_is_told(self, volts: str, boosts: bool) -> None:
        # 5 % over the input
        fed = {"kind": "drive", "voltage": "230 V", "phases": 1, "output_voltage": volts}
        found = answer({"nameplate": PLATE, "leads": 6, "fed_from": fed})
        assert any(f["rule"] == "connection/drive-output-voltage" for f in found["findings"]) is boosts


class TestExtendedRange:
    """The low-voltage connection on a drive of the high voltage."""

    def ask(self, leads: int, arrangement: str | None, plate: dict[str, Any], volts: str) -> dict[str, Any]:
        request: dict[str, Any] = {
            "nameplate": {"thermal_class": "F", **plate}, "leads": leads, "extended_range": True,
            "fed_from": {"kind": "drive", "voltage": volts, "phases": 3, "maximum_frequency": "400 Hz"},
        }  # fmt: skip
        return answer(request | ({"arrangement": arrangement} if arrangement else {}))

    def test_a_twelve_lead_wye_stays_with_what_its_plate_gives(self) -> None:
        # 460 / 230 = 2, so 120 Hz in parallel star; parallel delta, 133 V, would make it 208 Hz
        plate = {"low_voltage": "230 V", "high_voltage": "460 V", "low_current": "15.2 A", "frequency": "60 Hz"}
        found = self.ask(12, "wye", plate, "460 V")["values"]
        assert found["connection"] == "parallel-star"
        assert found["full_torque_up_to"]["value"] == pytest.approx(120.0)

    @pytest.mark.parametrize(("speed", "outcome"), [("2870 r/min", "accept"), ("2600 r/min", "caution")])
    def test_speed_against_the_motor(self, speed: str, outcome: str) -> None:
        # two poles, 50 Hz × 400/230: 5217 r/min without load against twice the rated speed, 5740 and 5200 r/min
        found = self.ask(6, None, {**PLATE, "speed": speed}, "400 V")
        assert [f["outcome"] for f in found["findings"] if f["rule"] == "speeds/motor-speed-factor"] == [outcome]
        assert any("highest frequency to 86 Hz" in step for step in found["next_steps"]) is (outcome == "caution")

    def test_speed_against_the_cap(self) -> None:
        # two poles at 60 Hz × 2 = 120 Hz turn 7200 r/min without load; twice 3450 is 6900, the cap 6000 r/min is 100 Hz
        plate = {"low_voltage": "230 V", "high_voltage": "460 V", "low_current": "15.2 A", "speed": "3450 r/min"}
        found = self.ask(9, "wye", {**plate, "frequency": "60 Hz"}, "460 V")
        assert [f["outcome"] for f in found["findings"] if f["rule"] == "speeds/motor-speed-cap"] == ["caution"]
        assert any("highest frequency to 100 Hz" in step for step in found["next_steps"])

    def test_without_a_speed_the_frequencies_are_compared(self) -> None:
        plate = {key: value for key, value in PLATE.items() if key != "speed"}
        found = self.ask(6, None, plate, "400 V")
        assert [f["outcome"] for f in found["findings"] if f["rule"] == "speeds/motor-speed-factor"] == ["accept"]

    def test_the_mains_has_no_extended_range(self) -> None:
        with pytest.raises(Invalid, match="only a drive"):
            on_mains("400 V", extended_range=True)


class TestTwoSpeeds:
    """A pole-changing motor has leads like a star-delta motor (EASA handbook, two-speed single winding)."""

    def test_no_links_and_the_way_to_tell(self) -> None:
        found = on_drive("400 V", {"star_voltage": "400 V", "speed": "1430 r/min", "second_speed": "710 r/min"})
        assert found["outcome"] == "inconclusive"
        assert "links" not in found["values"]
        assert any("T6 T4 T5" in step for step in found["next_steps"])

    def test_one_speed_given_twice(self) -> None:
        with pytest.raises(Invalid, match="leave second_speed out"):
            on_drive("400 V", {"star_voltage": "400 V", "speed": "1430 r/min", "second_speed": "1430 r/min"})


def test_three_leads_without_marks_need_no_identifying() -> None:
    # Any order of three leads turns the motor; exchanging two reverses it.
    plate = {"star_voltage": "230 V", "star_current": "8 A", "frequency": "50 Hz"}
    fed = {"kind": "drive", "voltage": "230 V"}
    found = answer({"nameplate": plate, "leads": 3, "marking": "unmarked", "fed_from": fed})
    assert found["outcome"] == "accept"
    assert found["values"]["lines"] == ["L1: first lead", "L2: second lead", "L3: third lead"]


def test_a_speed_above_its_field_is_refused_on_any_supply() -> None:
    with pytest.raises(Invalid):
        on_mains("230 V", plate={**PLATE, "speed": "1520 r/min", "poles": 4})
    with pytest.raises(Invalid):
        on_drive("100 V", {**PLATE, "speed": "1520 r/min", "poles": 4})


class TestMovedFrequency:
    """Power of a motor on the other mains frequency."""

    def power(self, volts: str, hertz: str, plate: dict[str, Any]) -> float | None:
        found = on_mains(volts, hertz, plate)["values"].get("available_power")
        return None if found is None else float(found["value"])

    @pytest.mark.parametrize(
        ("volts", "share"),
        # Nidec note, totally enclosed: 380 V 0.80, 400 V 0.75, 415 V 0.70; the table ends there
        [("380 V", 0.80), ("400 V", 0.75), ("415 V", 0.70), ("420 V", None)],
    )
    def test_sixty_hertz_motor_on_fifty(self, volts: str, share: float | None) -> None:
        plate = {"star_voltage": "460 V", "frequency": "60 Hz", "power": "1 kW"}
        assert self.power(volts, "50 Hz", plate) == (None if share is None else pytest.approx(share))

    @pytest.mark.parametrize(("volts", "share"), [("360 V", 360 / 460), ("345 V", 0.75)])
    def test_no_more_power_than_voltage(self, volts: str, share: float) -> None:
        # First principles: at rated current the power is at most that share of rated which the voltage is.
        plate = {"star_voltage": "460 V", "frequency": "60 Hz", "power": "1 kW"}
        assert self.power(volts, "50 Hz", plate) == pytest.approx(share)

    def test_fifty_hertz_motor_on_sixty_below_the_table(self) -> None:
        # 390 / 400 of rated voltage at rated current
        plate = {"star_voltage": "400 V", "frequency": "50 Hz", "power": "1 kW"}
        assert self.power("390 V", "60 Hz", plate) == pytest.approx(0.975)


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


class TestMissingFrequency:
    """A frequency that neither plate nor speed tells is taken with a caution, and on the side that costs only torque."""

    def frequency(self, leads: int, plate: dict[str, Any], rules: str = "iec-60364") -> tuple[str, bool]:
        request: dict[str, Any] = {"nameplate": plate, "leads": leads, "wiring_rules": rules}
        request |= {"fed_from": {"kind": "drive", "voltage": "230 V"}} | ({"arrangement": "wye"} if leads > 6 else {})
        found = answer(request)
        assumed = {entry["field"]: entry["assumed"] for entry in found["assumptions"]}
        doubted = any(f["rule"] == "connection/plate-frequency" for f in found["findings"])
        assert doubted is (found["outcome"] == "caution")
        return assumed["nameplate.frequency"], doubted

    @pytest.mark.parametrize(
        ("speed", "rules", "expected"),
        [
            ("1430 r/min", "nfpa-70", ("50 Hz", False)),  # 1800 r/min less 20 % is no motor
            ("1725 r/min", "iec-60364", ("60 Hz", False)),  # 3000 r/min less 42 % is no motor
            ("700 r/min", "iec-60364", ("50 Hz", True)),  # 8 poles of 50 Hz, or 10 poles of 60 Hz
            ("700 r/min", "nfpa-70", ("60 Hz", True)),
        ],
    )
    def test_speed_tells_it_where_it_fits_one_mains_only(
        self, speed: str, rules: str, expected: tuple[str, bool]
    ) -> None:
        plate = {"delta_voltage": "230 V", "star_voltage": "400 V", "delta_current": "8.7 A", "speed": speed}
        assert self.frequency(6, plate, rules) == expected

    def test_nine_leads_are_a_sixty_hertz_motor_anywhere(self) -> None:
        # Common practice: 230/460 V with nine leads is a 60 Hz plate; 50 Hz would give it a fifth too much flux.
        plate = {"low_voltage": "230 V", "high_voltage": "460 V", "low_current": "6.8 A"}
        assert self.frequency(9, plate) == ("60 Hz", True)

    def test_nothing_tells_it(self) -> None:
        plate = {"delta_voltage": "230 V", "star_voltage": "400 V", "delta_current": "8.7 A"}
        assert self.frequency(6, plate) == ("50 Hz", True)
