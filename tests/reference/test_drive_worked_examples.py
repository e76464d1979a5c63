"""Laws of drives, chokes, reflection and braking against published figures and worked examples."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from millphase.physics import braking, drive, reflection
from millphase.physics.rectifier import Circuit, steady_state


def test_drive_at_50_degrees_keeps_nine_tenths() -> None:
    # Drive maker A, technical catalogue, derating: 1 % per kelvin above 40 °C.
    assert drive.straight_derating(0.01, 50, 40) == pytest.approx(0.90)
    assert drive.straight_derating(0.01, 40, 40) == 1
    assert drive.straight_derating(0.03, 90, 40) == 0


def test_altitude_of_2000_m_costs_a_tenth() -> None:
    # Drive makers A and F: 1 % per 100 m above 1000 m.
    assert drive.altitude_derating(0.01, 2000, 1000, 100) == pytest.approx(0.90)
    assert drive.altitude_derating(0.01, 1000, 1000, 100) == 1


def test_output_by_carrier_frequency_of_a_maker() -> None:
    # Drive maker D: 9.6 A at 2 kHz, 8.0 A at 8 kHz, 6.4 A at 15 kHz; its factors printed to two places.
    assert drive.output_current_left(9.6, 0.83, 1, 1, 1) == pytest.approx(8.0, abs=0.1)
    assert drive.output_current_left(9.6, 0.67, 1, 1, 1) == pytest.approx(6.4, abs=0.1)


def test_motor_power_and_current_of_catalogues() -> None:
    # Motor maker's IE3 catalogue: 4 kW, 400 V, 7.7 A, power factor 0.85, efficiency 88.1 %.
    assert drive.three_phase_power(400, 7.7, 0.85) == pytest.approx(drive.power_taken(4000, 0.881), rel=0.005)


def test_choke_named_by_its_drop() -> None:
    # Choke maker's guide: L = z·U/(2·π·f·I), with I = P/U.
    assert drive.choke_inductance(0.03, 230, 50, 2300) == pytest.approx(0.03 * 230 / (2 * math.pi * 50 * 10))


def test_reference_impedance_splits_into_itself() -> None:
    # IEC 60725: 0.4 + j0.25 ohm.
    whole = math.hypot(0.4, 0.25)
    assert drive.share_of_impedance(whole, 0.4, 0.25) == pytest.approx(0.4)
    assert drive.share_of_impedance(whole, 0.25, 0.4) == pytest.approx(0.25)


def test_charging_current_of_a_screened_cable() -> None:
    # Rule of thumb of the trade: 200 pF/m, 325 V, 8 kHz: 20 m take 10 mA, 100 m 52 mA.
    assert drive.charging_current(200e-12, 20, 325, 8e3) == pytest.approx(10.4e-3, rel=0.05)
    assert drive.charging_current(200e-12, 100, 325, 8e3) == pytest.approx(52e-3, rel=0.005)


def test_three_phase_drive_on_one_phase_loses_output_voltage() -> None:
    # Drive maker E: 228 V of supply give 207 V at the motor with its choke; never more than the ideal link allows.
    assert 207 < drive.greatest_output_voltage(drive.crest_voltage(228)) == pytest.approx(228)


@pytest.mark.parametrize(("rise_us", "length_m"), [(0.05, 3.75), (0.1, 7.5), (0.2, 15), (0.4, 30), (2, 150)])
def test_critical_length(rise_us: float, length_m: float) -> None:
    # Standard theory l = v·t/2 at 150 m/µs (wave speed: journal paper on reflection in motor cables).
    assert reflection.critical_length(150e6, rise_us * 1e-6) == pytest.approx(length_m)


def test_published_case_of_a_long_cable() -> None:
    # Case study of a reflected wave: 480 V, link 680 V, 0.10 µs, 120 m: critical length 7.5 m, full doubling.
    assert reflection.terminal_peak(680, 120, reflection.critical_length(1.5e8, 1e-7)) == pytest.approx(1360)


def test_estimates_of_makers() -> None:
    # Drive makers' hardware manuals: 440 V supply: 2 × 1.35 × 440 = 1188 V, or 2 × 1.41 × 440 = 1241 V.
    assert reflection.terminal_peak(1.35 * 440, 1000, 10) == pytest.approx(1188)
    assert reflection.terminal_peak(1.41 * 440, 1000, 10) == pytest.approx(1241, rel=5e-3)


@pytest.mark.parametrize(
    ("length_m", "rise_us", "peak_v", "steepness_kv_per_us"),
    [(36, 0.226, 616, 2.142), (50, 0.262, 626, 1.908), (100, 0.650, 614, 0.757), (5, 0.13, 510, 3.090), (50, 0.23, 590, 2.034)],
)  # fmt: skip
def test_measured_peaks_stay_below_full_reflection(
    length_m: float, rise_us: float, peak_v: float, steepness_kv_per_us: float
) -> None:
    # Drive maker's design guide: measured on 230 and 240 V drives.
    assert reflection.steepness(peak_v, rise_us * 1e-6) == pytest.approx(steepness_kv_per_us * 1e9, rel=0.03)
    assert peak_v < reflection.terminal_peak(drive.crest_voltage(240), 1000, 10)
    assert length_m > 0


def test_brake_pulses_of_a_worked_example() -> None:
    # Drive manual, choice of the brake resistor: 1580 W and 998 W for 0.2 s each in 8.4 s load it as 288 W do.
    both = math.hypot(braking.effective_power(1580, 0.2, 8.4), braking.effective_power(998, 0.2, 8.4))
    assert both == pytest.approx(288, rel=0.01)


def test_imperial_torque_formula() -> None:
    # Resistor maker's guide: T (lb·ft) = Wk² (lb·ft²) × ΔN (r/min) / (308 × t).
    torque = braking.braking_torque(50 * 0.042140110, 1750 / 60, 3) / 1.3558179
    assert torque == pytest.approx(50 * 1750 / (308 * 3), rel=3e-3)


def test_energy_and_power_of_a_stop() -> None:
    # Textbook: E = ½·J·ω²; a stop at a constant rate begins with twice the mean power.
    energy = braking.stored_energy(0.5, 25)
    assert energy == pytest.approx(0.5 * 0.5 * (2 * math.pi * 25) ** 2)
    assert braking.peak_power(energy, 4) == pytest.approx(2 * braking.mean_power(energy, 4))
    assert braking.peak_power(energy, 4) == pytest.approx(braking.braking_torque(0.5, 25, 4) * 2 * math.pi * 25)


def test_inertia_of_solid_and_ring() -> None:
    # Textbook: solid cylinder ½·m·r²; ring ½·m·(r1² + r2²); through a gear J·(n2/n1)².
    assert braking.ring_inertia(10, 0.2, 0) == pytest.approx(0.5 * 10 * 0.1**2)
    assert braking.ring_inertia(10, 0.2, 0.1) == pytest.approx(0.5 * 10 * (0.1**2 + 0.05**2))
    assert braking.reflected_inertia(1, 10, 20) == pytest.approx(0.25)


def test_mass_of_a_steel_disc() -> None:
    # Handbook density of steel, 7850 kg/m³: a disc of 100 mm × 10 mm weighs 0.6165 kg.
    assert braking.ring_mass(7850, 0.1, 0, 0.01) == pytest.approx(0.6165, rel=1e-3)


@pytest.mark.parametrize(
    ("power_w", "capacitance_f", "input_a"),
    [(560, 470e-6, 6.1), (1015, 680e-6, 11.4), (1900, 1360e-6, 16.8), (2730, 2000e-6, 21.0)],
)
def test_on_a_stiff_supply_the_bridge_draws_what_a_maker_prints(
    power_w: float, capacitance_f: float, input_a: float
) -> None:
    # Drive maker A, ratings: single-phase input currents of its 0.37, 0.75, 1.5 and 2.2 kW drives without a choke.
    # A plausibility band, not a target: the maker states neither its supply nor its capacitor.
    stiff = Circuit(230, 50, 0.1, 0.05 / (2 * math.pi * 50), capacitance_f, power_w)
    assert steady_state(stiff).current_a == pytest.approx(input_a, rel=0.2)


@pytest.mark.parametrize(("power_w", "choke", "distortion"), [(1015, 0.03, 0.8), (1900, 0.05, 0.7), (2730, 0.03, 0.8)])
def test_chokes_bring_distortion_to_what_the_trade_says(power_w: float, choke: float, distortion: float) -> None:
    # Common practice: over 100 % without a choke, about 80 % with 3 % and 70 % with 5 %.
    bare = Circuit(230, 50, 0.4, 0.25 / (2 * math.pi * 50), 0.72e-6 * power_w, power_w)
    choked = replace(bare, choke_inductance_h=drive.choke_inductance(choke, 230, 50, power_w))
    assert steady_state(bare).distortion > 1
    assert steady_state(choked).distortion == pytest.approx(distortion, rel=0.1)
