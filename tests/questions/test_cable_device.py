"""Cable sizing: what the protective device must break, how it is marked, and what stands behind an RCD."""

from __future__ import annotations

import json
from typing import Any

import pytest

import working
from millphase.questions.base import Invalid, ask, load, registry
from millphase.reports.drawings.cable_sizing import draw
from millphase.rulebook import Rulebook, workshop
from millphase.rulebook.sets import data_root
from questions.test_cable_sizing import PLAIN, SHED, US, answered, outcomes, size_of

BRITISH = {**PLAIN, "wiring_rules": "bs-7671"}
TT = {"earthing": "tt", "external_loop_impedance": None, "electrode_resistance": "60 ohm"}


def device(**changes: Any) -> dict[str, Any]:
    return {"kind": "mcb-b", "rating": "16 A", **changes}


# --- breaking capacity ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("rules", ["iec-60364", "bs-7671"])
@pytest.mark.parametrize(("current", "outcome"), [("6 kA", "accept"), ("6.01 kA", "reject")])
def test_device_must_break_the_prospective_current(rules: str, current: str, outcome: str) -> None:
    # BS 7671 434.5.1 and the IEC clause of the same number: breaking capacity at least the prospective current
    answer = answered(
        PLAIN, wiring_rules=rules, protective_device=device(breaking_capacity="6 kA"), prospective_fault_current=current
    )
    assert outcomes(answer, f"cable-{rules}/breaking-capacity") == [outcome]
    assert (size_of(answer) is None) is (outcome == "reject")


def test_rejected_device_is_named_in_the_summary() -> None:
    answer = answered(
        PLAIN, protective_device=device(breaking_capacity="6 kA"), prospective_fault_current="7 kA", length="5 m"
    )
    assert answer["summary"].startswith("Reject: The device must break the fault current of 7 kA")
    assert any("back-up protection" in step for step in answer["next_steps"])


def test_measured_loop_condemns_a_device_but_does_not_clear_it() -> None:
    # 230 V / 0.03 ohm = 7.67 kA of earth-fault current; the prospective current is at least that
    strong = answered(PLAIN, external_loop_impedance="0.03 ohm", protective_device=device(breaking_capacity="6 kA"))
    assert outcomes(strong, "cable-iec-60364/breaking-capacity") == ["reject"]
    weak = answered(PLAIN, protective_device=device(breaking_capacity="6 kA"))
    assert outcomes(weak, "cable-iec-60364/breaking-capacity", decides=False) == ["inconclusive"]
    assert weak["outcome"] == "accept"
    assert any("measure the prospective fault current" in step for step in weak["next_steps"])


def test_prospective_current_without_a_breaking_capacity_is_open() -> None:
    answer = answered(PLAIN, prospective_fault_current="3 kA")
    assert outcomes(answer, "cable-iec-60364/breaking-capacity") == ["inconclusive"]
    assert answer["outcome"] == "inconclusive"


def test_prospective_current_stands_in_for_a_declared_loop_in_the_heat_of_a_fault() -> None:
    # 6 kA for 0.1 s is 3.6 MA²s; limiting class 3 of a 16 A type B at 6 kA lets 35 000 A²s through (IEC 60898, memory):
    # √35 000 / 115 = 1.63 mm²
    base = {**BRITISH, "external_loop_impedance": None, "cross_section": "2.5 mm2"}
    given = answered(base, protective_device=device(breaking_capacity="10 kA"), prospective_fault_current="6 kA")
    assert given["values"]["adiabatic_minimum"]["value"] == pytest.approx(1.627, abs=0.001)
    assert not any(step.startswith("Measure the loop impedance at the origin") for step in given["next_steps"])


def test_interrupting_rating_under_nfpa() -> None:
    # NEC 110.9
    base = {**US, "protective_device": {"kind": "inverse-time-breaker", "rating": "45 A", "breaking_capacity": "10 kA"}}
    fits = answered(base, prospective_fault_current="9.9 kA")
    assert outcomes(fits, "cable-nfpa-70/breaking-capacity") == ["accept"]
    assert not any("prospective fault current" in step for step in fits["next_steps"])
    bursts = answered(base, prospective_fault_current="12 kA")
    assert outcomes(bursts, "cable-nfpa-70/breaking-capacity") == ["reject"]
    assert "gauge" not in bursts["values"]
    assert bursts["summary"].startswith("Reject: The device must break")


# --- marking ----------------------------------------------------------------------------------------------------


def test_breaker_beyond_the_standard_has_no_letter_to_go_by() -> None:
    # IEC 60898-1 covers rated currents up to 125 A
    big = {**PLAIN, "design_current": "100 A", "installation_method": "e", "external_loop_impedance": "0.05 ohm"}
    assert answered(big, protective_device=device(rating="125 A"))["outcome"] == "accept"
    beyond = answered(big, protective_device=device(rating="160 A"))
    assert outcomes(beyond, "cable/breaker-ratings") == ["inconclusive"]
    assert any("data sheet" in step for step in beyond["next_steps"])


def test_rating_off_the_list_is_read_again() -> None:
    answer = answered(PLAIN, design_current="7 A", protective_device=device(rating="8 A"))
    assert outcomes(answer, "cable/breaker-ratings", decides=False) == ["caution"]
    assert "behind an 8 A type B" in answer["summary"]


@pytest.mark.parametrize(("rating", "refused"), [("13 A", False), ("13.1 A", True)])
def test_plug_fuses_end_at_thirteen_amperes(rating: str, refused: bool) -> None:
    # BS 1362: 13 A is the largest
    flex = {**BRITISH, "cable": "flexible", "insulation": "rubber-60", "design_current": "9 A"}
    flex["protective_device"] = {"kind": "fuse-bs1362", "rating": rating}
    if refused:
        with pytest.raises(Invalid) as caught:
            answered(flex)
        assert caught.value.faults[0].pointer == "/protective_device/rating"
    else:
        answer = answered(flex)
        assert answer["outcome"] == "accept"
        # 13 A at 30 A: 1 to 400 s (liquisearch.com, BS 1363 fuses)
        assert any("400 s" in f["because"] for f in answer["findings"] if not f["decides"])


def test_rcd_belongs_ahead_of_the_drive() -> None:
    with pytest.raises(Invalid) as caught:
        answered({"design_current": "8 A", "feeds": "motor-from-drive", "rcd": {"rated_residual_current": "30 mA"}})
    assert caught.value.faults[0].pointer == "/rcd"


# --- RCDs that must disconnect ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("phases", "marked", "outcome"),
    [
        (1, "AC", "reject"), (1, "A", "accept"), (1, "F", "accept"), (1, None, "caution"),
        (3, "A", "reject"), (3, "F", "reject"), (3, "B", "accept"),
    ],
)  # fmt: skip
def test_rcd_that_must_disconnect_has_to_see_the_drives_current(phases: int, marked: str | None, outcome: str) -> None:
    # types and waveforms of an RCD maker's handbook; IEC 61800-5-1 4.2.10 (memory): B for three-phase drives
    rcd = {"rated_residual_current": "30 mA", **({"type": marked} if marked else {})}
    volts = "400 V" if phases == 3 else "230 V"
    answer = answered(PLAIN, feeds="drive", phases=phases, voltage=volts, rcd=rcd, **TT)
    assert answer["outcome"] == outcome


def test_rcd_type_is_a_caution_where_the_breaker_disconnects() -> None:
    answer = answered(
        PLAIN, feeds="drive", phases=3, voltage="400 V", rcd={"rated_residual_current": "30 mA", "type": "A"}
    )
    assert answer["outcome"] == "caution"
    assert outcomes(answer, "rcd/least-type") == ["caution"]


def test_breaker_of_limiting_class_also_helps_behind_an_rcd() -> None:
    # near the origin the breaker clears the fault: 15 000 A²s (limiting class 3), √15 000 / 115 = 1.07 mm²; far away the RCD
    # takes over below 5 × 16 A: 80² × 0.3 = 1920 A²s
    answer = answered(
        BRITISH, design_current="2 A", length="120 m", cross_section="1.5 mm2", rcd={"rated_residual_current": "30 mA"},
        external_loop_impedance="0.3 ohm",
    )  # fmt: skip
    assert answer["outcome"] == "accept"
    assert answer["values"]["adiabatic_minimum"]["value"] == pytest.approx(1.065, abs=0.001)
    assert "disconnected by the RCD" in answer["summary"]


@pytest.mark.parametrize(
    ("rating", "rcd", "found"),
    [
        ("32 A", None, ["caution"]), ("32 A", "100 mA", ["caution"]), ("32 A", "30 mA", ["accept"]), ("40 A", None, []),
    ],
)  # fmt: skip
@pytest.mark.parametrize("rules", ["iec-60364", "bs-7671"])
def test_sockets_need_an_rcd_that_protects_a_person(rules: str, rating: str, rcd: str | None, found: list[str]) -> None:
    # BS 7671 411.3.3 and 415.1.1: socket-outlets up to 32 A, 30 mA
    base = {**PLAIN, "wiring_rules": rules, "circuit": "final-sockets", "protective_device": device(rating=rating)}
    if rcd is not None:
        base["rcd"] = {"rated_residual_current": rcd}
    assert outcomes(answered(base), f"cable-{rules}/additional-protection") == found


# --- supply, drop, place ----------------------------------------------------------------------------------------


def test_single_phase_load_between_two_lines() -> None:
    # 400 V between lines is 230 V to earth: 0.95 × 230 V / (10 × 16 A) = 1.366 ohm, not 2.375 ohm
    answer = answered(PLAIN, voltage="400 V", protective_device=device(kind="mcb-c"))
    assert answer["values"]["loop_impedance_limit"]["value"] == pytest.approx(1.3656, abs=0.0001)
    assert any(a["field"] == "phases" and "between two lines" in a["assumed"] for a in answer["assumptions"])


@pytest.mark.parametrize(("volts", "outcome"), [("220 V", "accept"), ("253 V", "accept"), ("254 V", "inconclusive")])
def test_older_names_of_the_nominal_voltage_keep_its_time(volts: str, outcome: str) -> None:
    # IEC 60038: 230 V ± 10 %; table 41.1 gives 0.4 s for it and 0.2 s above, for which no fuse is tabulated
    fuse = {"kind": "fuse-gg", "rating": "16 A"}
    assert answered(BRITISH, voltage=volts, protective_device=fuse)["outcome"] == outcome


def test_a_looser_drop_limit_than_the_rules_have_is_a_caution() -> None:
    base = {**BRITISH, "cross_section": "1.5 mm2"}
    # 29 mV/A/m × 16 A × 30 m = 13.9 V = 6.05 %
    assert outcomes(answered(base, length="30 m", voltage_drop_limit="8 %"), "cable-bs-7671/voltage-drop") == [
        "accept",
        "caution",
    ]
    assert outcomes(answered(base, length="10 m", voltage_drop_limit="8 %"), "cable-bs-7671/voltage-drop") == [
        "accept",
        "accept",
    ]
    loose = answered(US, length="150 m", voltage_drop_limit="6 %")
    assert outcomes(loose, "cable-nfpa-70/voltage-drop") == ["accept", "caution"]


@pytest.mark.parametrize(("length", "limit"), [("100 m", None), ("150 m", 5.25), ("200 m", 5.5), ("300 m", 5.5)])
def test_allowance_beyond_a_hundred_metres_is_told_only(length: str, limit: float | None) -> None:
    # NF C 15-100 as a thesis quotes it: 0.005 % a metre beyond 100 m, at most 0.5 %
    answer = answered(PLAIN, length=length, design_current="2 A")
    told = [f for f in answer["findings"] if "beyond 100 m" in f["because"]]
    assert [f["limit"]["value"] for f in told] == ([] if limit is None else [pytest.approx(limit)])
    assert all(not f["decides"] for f in told)


def test_motor_cable_of_a_single_phase_fed_drive_is_judged_at_its_voltage() -> None:
    # the drive gives no more than it gets: √3 × 9.6 A × 60 m × 14.48 mohm/m = 14.4 V is 6.3 % of 230 V
    answer = answered(
        {"design_current": "9.6 A", "feeds": "motor-from-drive", "length": "60 m", "installation_method": "c"}
    )
    assert ("voltage", "230 V") in [(a["field"], a["assumed"]) for a in answer["assumptions"]]
    assert size_of(answer) == 2.5


def test_thermal_insulation_and_the_method() -> None:
    flat = {**BRITISH, "cable": "flat-twin-and-earth", "installation_method": "101", "design_current": "5 A"}
    twice = answered(flat, thermal_insulation="600 mm", protective_device=device(rating="6 A"))
    assert any("already counts thermal insulation" in step for step in twice["next_steps"])
    buried = {**PLAIN, "cable": "armoured", "installation_method": "d2"}
    assert answered(buried, thermal_insulation="0 mm")["outcome"] == "accept"
    with pytest.raises(Invalid) as caught:
        answered(buried, thermal_insulation="600 mm")
    assert caught.value.faults[0].pointer == "/thermal_insulation"


def test_advice_on_heat_names_only_what_helps() -> None:
    flex = {**PLAIN, "cable": "flexible", "insulation": "rubber-60", "design_current": "40 A"}
    flex["protective_device"] = device(rating="40 A")
    plain = next(step for step in answered(flex)["next_steps"] if "split the load" in step)
    assert "ends at 4 mm²" in plain
    assert "circuits together" not in plain
    crowded = answered(flex, grouped_circuits=3, ambient="40 degC", drum="two-layers")
    told = next(step for step in crowded["next_steps"] if "split the load" in step)
    assert all(words in told for words in ("cooler place", "fewer circuits together", "nreel"))
    asked = answered(flex, cross_section="4 mm2")
    assert any(step == "Split the load over two circuits." for step in asked["next_steps"])


def test_what_kind_of_circuit_is_judged_is_said() -> None:
    noted = {a["field"]: a["assumed"] for a in answered(SHED, feeds="drive")["assumptions"]}
    assert noted["conductors"].startswith("copper")
    assert "armour is not counted" in noted["protective_conductor"]
    assert noted["neutral"] == "not shared with other circuits"


@pytest.mark.parametrize(("fitted", "outcome"), [("4 mm2", "accept"), ("2.5 mm2", "reject")])
def test_protected_conductor_of_four_square_millimetres_under_bs(fitted: str, outcome: str) -> None:
    # BS 7671 543.7.1.203 (ii), quoted at diynot.com
    leaking = {"protective_conductor_current": "15 mA", "protective_conductor_cross_section": fitted}
    answer = answered(BRITISH, connection="fixed", protective_conductor_protected=True, **leaking)
    assert answer["outcome"] == outcome
    continental = answered(PLAIN, connection="fixed", protective_conductor_protected=True, **leaking)
    assert continental["outcome"] == "reject"


# --- nfpa-70 ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rating", "outcome"), [("45 A", "accept"), ("50 A", "caution"), ("90 A", "caution"), ("100 A", "reject")]
)
def test_device_ahead_of_a_drive_has_an_upper_end(rating: str, outcome: str) -> None:
    # NEC 430.52: 250 % × 36 A = 90 A; 430.130 (memory): the drive's instructions rule
    answer = answered(US, length="10 m", protective_device={"kind": "inverse-time-breaker", "rating": rating})
    assert answer["outcome"] == outcome


def test_continuous_load_is_corrected_once() -> None:
    # NEC 210.19(A): 125 % × 24 A = 30 A before the corrections (10 AWG of 35 A at 75 °C), 24 A after them: 35 A × 0.8 = 28 A;
    # a 30 A device may guard 28 A as the next standard rating (240.4(B)) and 10 AWG (240.4(D))
    base = {
        **US,
        "phases": 3,
        "voltage": "208 V",
        "design_current": "24 A",
        "grouped_circuits": 2,
        "terminal_temperature": "75 degC",
    }
    answer = answered(base, feeds="other", length="10 m")
    assert answer["values"]["gauge"] == "10-awg"
    assert answer["values"]["corrected_capacity"]["value"] == pytest.approx(28)
    assert answer["values"]["tabulated_capacity_needed"]["value"] == pytest.approx(30)
    # a drive or motor asks for 125 % after the corrections too (430.122, 430.22): 30 A, so 8 AWG of 50 A × 0.8
    assert answered(base, feeds="drive", length="10 m")["values"]["gauge"] == "8-awg"


def test_grounding_conductor_grows_with_a_gauge_that_was_asked_for() -> None:
    # NEC 250.122(B): 20 A device, 12 AWG enough and 12 AWG grounding conductor; a 6 AWG circuit takes it up to 6 AWG
    base = {**US, "feeds": "other", "design_current": "16 A", "length": "60 m"}
    base["protective_device"] = {"kind": "inverse-time-breaker", "rating": "20 A"}
    asked = answered(base, gauge="6-awg")
    assert asked["values"]["protective_conductor_gauge"] == "6-awg"
    enough = answered(base, gauge="12-awg")
    assert enough["values"]["protective_conductor_gauge"] == "12-awg"
    assert enough["values"]["protective_conductor"]["value"] == 3.31
    hopeless = answered({**base, "design_current": "300 A", "protective_device": None}, gauge="4/0-awg")
    assert hopeless["outcome"] == "reject"


@pytest.mark.parametrize(("fitted", "outcome"), [("5.26 mm2", "accept"), ("3.31 mm2", "reject")])
def test_grounding_conductor_as_fitted(fitted: str, outcome: str) -> None:
    # NEC 250.122: up to 60 A, 10 AWG
    answer = answered(US, length="10 m", protective_conductor_cross_section=fitted)
    assert outcomes(answer, "cable-nfpa-70/equipment-grounding") == [outcome]


def test_nonmetallic_cable_keeps_its_own_ampacity() -> None:
    # NEC 334.80: the 60 °C column
    base = {
        **US,
        "cable": "multicore",
        "installation_method": "cable",
        "insulation": "thermoplastic-90",
        "length": "10 m",
    }
    hot = answered(base, design_current="21 A", terminal_temperature="75 degC")
    assert outcomes(hot, "cable-nfpa-70/nonmetallic-cable") == ["caution"]
    assert (
        outcomes(
            answered(base, design_current="21 A", terminal_temperature="60 degC"), "cable-nfpa-70/nonmetallic-cable"
        )
        == []
    )
    assert outcomes(answered(base, design_current="21 A"), "cable-nfpa-70/nonmetallic-cable") == []


def test_assumptions_and_unused_fields_are_said() -> None:
    motor = answered({**US, "feeds": "motor", "phases": 3, "voltage": "230 V", "design_current": "8 A"})
    assert any("motor_power" in step for step in motor["next_steps"])
    between = answered(
        {**US, "feeds": "motor", "motor_power": "2.2 kW", "phases": 3, "voltage": "230 V", "design_current": "8 A"}
    )
    assert ("motor_power", "3 hp, the next row of the table") in [
        (a["field"], a["assumed"]) for a in between["assumptions"]
    ]
    unnamed = answered(US, protective_device={"rating": "45 A"})
    assert ("protective_device/kind", "inverse-time-breaker") in [
        (a["field"], a["assumed"]) for a in unnamed["assumptions"]
    ]
    idle = answered(US, rcd={"rated_residual_current": "5 mA", "type": "class-a-gfci"}, circuit="final-fixed")
    assert any("nothing is judged by rcd and circuit" in step for step in idle["next_steps"])
    assert any("leakage-budget" in step for step in idle["next_steps"])
    assert not any("leakage-budget" in step for step in answered(US, circuit="final-fixed")["next_steps"])


def test_drawing_of_a_device_that_does_not_fit_chooses_nothing() -> None:
    question = registry()["cable-sizing"]
    request = {**PLAIN, "design_current": "17 A"}
    assert "none chosen" in draw(load(question, request), workshop().view(question.rules))
    shed = {**SHED, "rcd": {"rated_residual_current": "30 mA"}}
    assert "the loop may reach 1667 ohm" in draw(load(question, shed), workshop().view(question.rules))


def test_motor_on_the_mains_may_trip_a_type_b_breaker() -> None:
    # IEC 60898-1: type B trips at 3 to 5 times its rating; a direct start draws more than that (common practice)
    motor = {**PLAIN, "feeds": "motor", "design_current": "8 A", "protective_device": None}
    assert any("mcb-c or mcb-d" in step for step in answered(motor)["next_steps"])
    named = answered({**motor, "protective_device": device(kind="mcb-d")}, length="5 m")
    assert not any("mcb-c or mcb-d" in step for step in named["next_steps"])


@pytest.mark.parametrize(("field", "value"), [("soil_resistivity", "1 K.m/W"), ("grouping", "bunched")])
def test_advice_on_a_refused_field_fits_the_rules(field: str, value: str) -> None:
    with pytest.raises(Invalid) as caught:
        answered(US, installation_method="direct-buried", **{field: value})
    assert "d1" not in caught.value.faults[0].message


@pytest.mark.parametrize(("length", "failing"), [("115 m", False), ("123 m", True)])
def test_drop_that_no_motor_bears_decides_under_nfpa(length: str, failing: bool) -> None:
    # NEMA MG 1 12.44: ± 10 %; 14 AWG 10.3 mohm/m: 2 × 10 A × 10.303 mohm/m × 116.5 m = 24 V
    answer = answered(US, design_current="10 A", length=length, gauge="14-awg", insulation="thermoplastic-75")
    assert ("voltage drop" in answer["values"].get("limiting_checks", [])) is failing
    assert answer["outcome"] == ("reject" if failing else "caution")


@pytest.mark.parametrize(("rating", "outcome"), [("35 A", "reject"), ("40 A", "caution"), ("45 A", "accept")])
def test_device_below_the_load_itself_trips(rating: str, outcome: str) -> None:
    answer = answered(US, length="10 m", protective_device={"kind": "inverse-time-breaker", "rating": rating})
    assert answer["outcome"] == outcome
    assert any(step == "Choose a protective device of at least 45 A." for step in answer["next_steps"]) is (
        rating != "45 A"
    )


def test_open_answer_under_nfpa_says_so() -> None:
    answer = answered(US, length="10 m", prospective_fault_current="8 kA")
    assert answer["summary"].startswith("As far as it can be judged, use 6 AWG")


@pytest.mark.parametrize(("rules", "needed"), [("bs-7671", 35.56), ("iec-60364", 32.0)])
def test_cable_in_the_ground_keeps_a_tenth_in_hand_under_bs(rules: str, needed: float) -> None:
    # BS 7671 appendix 4, 5.1.2: Cc 0.9 in the ground (engx.theiet.org thread 21726); the IEC standard has no such factor
    base = {**SHED, "wiring_rules": rules, "installation_method": "d2", "ambient": "20 degC", "length": "5 m"}
    answer = answered(base)
    assert answer["values"]["tabulated_capacity_needed"]["value"] == pytest.approx(needed, abs=0.01)


def test_rewirable_fuse_and_ground_together() -> None:
    # BS 7671 appendix 4, 5.1.2: Cf × Cc = 0.725 × 0.9 = 0.653
    fuse = {"kind": "fuse-bs3036", "rating": "20 A"}
    answer = answered(
        {**SHED, "installation_method": "d1", "ambient": "20 degC"}, protective_device=fuse, design_current="15 A"
    )
    assert answer["values"]["tabulated_capacity_needed"]["value"] == pytest.approx(20 / 0.653, rel=1e-3)


@pytest.mark.parametrize("method", ["d1", "d2"])
def test_circuits_in_the_ground_beyond_the_table(method: str) -> None:
    # BS 7671 tables 4C2 and 4C3 end at six circuits (engx.theiet.org threads 24336 and 29870)
    base = {**SHED, "installation_method": method, "ambient": "20 degC", "length": "5 m"}
    assert "cross_section" in answered(base, grouped_circuits=6)["values"]
    beyond = answered(base, grouped_circuits=7)
    assert beyond["outcome"] == "inconclusive"
    assert "cross_section" not in beyond["values"]


def test_grounding_conductor_of_a_motor_cable_follows_the_supply() -> None:
    motor = answered(
        {"wiring_rules": "nfpa-70", "feeds": "motor-from-drive", "design_current": "9 A", "length": "10 m"}
    )
    assert "protective_conductor" not in motor["values"]
    assert any("supply circuit of the drive" in step for step in motor["next_steps"])


@pytest.mark.parametrize(("rules", "fits", "trips"), [("bs-7671", "13 A", "13.1 A"), ("iec-60364", "16 A", "16.1 A")])
def test_load_on_a_household_plug(rules: str, fits: str, trips: str) -> None:
    # BS 1363: 13 A (liquisearch.com); IEC 60884-1: 16 A (memory)
    base = {
        **PLAIN,
        "wiring_rules": rules,
        "connection": "household-plug",
        "protective_device": device(rating="20 A"),
        "length": "5 m",
    }
    assert answered(base, design_current=fits)["outcome"] == "accept"
    answer = answered(base, design_current=trips)
    assert outcomes(answer, f"cable-{rules}/household-plug-rating") == ["reject"]
    assert answer["summary"].startswith("Reject: A household plug")


@pytest.mark.parametrize(("current", "refused"), [("400 A", True), ("480 A", False)])
def test_prospective_current_below_what_the_measured_loop_lets_flow(current: str, refused: bool) -> None:
    # 230 V / 0.4 ohm = 575 A
    if not refused:
        assert "values" in answered(PLAIN, prospective_fault_current=current)
        return
    with pytest.raises(Invalid) as caught:
        answered(PLAIN, prospective_fault_current=current)
    assert caught.value.faults[0].pointer == "/prospective_fault_current"


@pytest.mark.parametrize(
    ("rules", "volts", "limit"),
    [("bs-7671", "110 V", 0.653), ("bs-7671", "120 V", 1.425), ("iec-60364", "110 V", 1.306)],
)
def test_supply_of_a_hundred_and_ten_volts_has_an_earthed_midpoint_under_bs(
    rules: str, volts: str, limit: float
) -> None:
    # BS 7671 411.8.1.2 (memory): 55 V to earth; 0.95 × 55 V / 80 A = 0.653 ohm
    answer = answered(PLAIN, wiring_rules=rules, voltage=volts, length="1 m")
    assert answer["values"]["loop_impedance_limit"]["value"] == pytest.approx(limit, abs=0.001)


# --- rule sets released before these rules -----------------------------------------------------------------------

EARLIER = [
    {**BRITISH, "voltage": "110 V", "connection": "household-plug"},
    SHED, {**PLAIN, "circuit": "final-sockets", "length": "120 m"}, {**BRITISH, "voltage": "240 V"}, {**US, "length": "400 m"},
    {**US, "feeds": "other", "length": "10 m"},
    {**US, "cable": "multicore", "installation_method": "cable", "terminal_temperature": "75 degC", "length": "10 m"},
    {**BRITISH, "cable": "flexible", "insulation": "rubber-60", "design_current": "9 A", "protective_device": {"kind": "fuse-bs1362"}},
    {**SHED, "installation_method": "d2", "protective_conductor_current": "12 mA", "protective_conductor_protected": True},
]  # fmt: skip


@pytest.mark.parametrize("version", ["1.0.0", "2.0.0"])
@pytest.mark.parametrize("request_", EARLIER)
def test_a_rule_set_without_the_newer_rules_still_answers(version: str, request_: dict[str, Any]) -> None:
    pack = json.loads((data_root("rules") / "released" / f"workshop-{version}.json").read_text("utf-8"))
    request = {key: value for key, value in request_.items() if value is not None}
    answer = ask("cable-sizing", request, Rulebook(pack)).as_json()
    working.check(answer)
    assert answer["rule_set"]["version"] == version
    cited = {finding["rule"] for finding in answer["findings"]} | {entry["rule"] for entry in answer["assumptions"]}
    assert cited <= set(pack["rules"])
    assert any("whether the device can break a fault" in step for step in answer["next_steps"])
