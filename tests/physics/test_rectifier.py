"""The bridge's integration: closed forms at its limits, energy balance, convergence, honesty and speed."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import asdict, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from millphase.physics import rectifier
from millphase.physics.rectifier import (
    Circuit,
    NoSteadyStateError,
    SteadyState,
    _Bridge,
    _newton,
    _over_a_cycle,
    _settled,
    steady_state,
)

OMEGA = 2 * math.pi * 50
REFERENCE = Circuit(230, 50, 0.4, 0.25 / OMEGA, 2000e-6, 2730)


def imbalance(found: SteadyState) -> float:
    spent = found.load_power_w + found.resistance_loss_w + found.diode_loss_w
    return abs(found.input_power_w - spent) / found.input_power_w


def test_without_load_the_capacitor_charges_to_the_crest() -> None:
    # Closed form: √2 · U.
    found = steady_state(replace(REFERENCE, power_w=1))
    assert found.dc_voltage_v == pytest.approx(math.sqrt(2) * 230, rel=2e-3)


def test_resistive_load_without_capacitor_draws_a_sine() -> None:
    # Closed forms: I = U/R, P = U²/R, unity power factor, mean 2√2/π · U.
    found = steady_state(Circuit(230, 50, 1e-6, 0, 1e-12, 0, conductance_s=1 / 50))
    assert found.current_a == pytest.approx(230 / 50, rel=1e-4)
    assert found.peak_current_a == pytest.approx(math.sqrt(2) * 230 / 50, rel=1e-4)
    assert found.load_power_w == pytest.approx(230**2 / 50, rel=1e-4)
    assert found.power_factor == pytest.approx(1, abs=1e-4)
    assert found.distortion == pytest.approx(0, abs=1e-2)
    assert found.dc_voltage_v == pytest.approx(2 * math.sqrt(2) / math.pi * 230, rel=1e-3)


def test_a_large_choke_into_a_large_capacitor_has_a_closed_form() -> None:
    # Continuous current into constant voltage V: i(φ) = i(φ+π) = 0 gives cos φ = π·V/(2·E), the mean of |i| is
    # 2·E·sin φ/(π·ω·L), and it equals g·V; hence V = (2·E/π)/√(1 + (g·ω·L)²). First principles.
    found = steady_state(Circuit(230, 50, 1e-3, 0.05, 0.5, 0, conductance_s=0.1))
    assert found.conduction_s == pytest.approx(0.01, rel=1e-6)
    expected = 2 * math.sqrt(2) * 230 / math.pi / math.hypot(1, 0.1 * OMEGA * 0.05)
    assert found.dc_voltage_v == pytest.approx(expected, rel=2e-3)


@pytest.mark.parametrize(
    "circuit",
    [
        REFERENCE,
        replace(REFERENCE, diode_drop_v=1.0),
        replace(REFERENCE, choke_inductance_h=3e-3, choke_resistance_ohm=0.2),
        replace(REFERENCE, inductance_h=0, resistance_ohm=0.05),
        replace(REFERENCE, frequency_hz=60, power_w=560, capacitance_f=470e-6),
        replace(REFERENCE, power_w=1000, conductance_s=0.01),
    ],
)
def test_input_power_is_load_plus_losses(circuit: Circuit) -> None:
    assert imbalance(steady_state(circuit)) < 1e-3


@pytest.mark.parametrize("circuit", [REFERENCE, replace(REFERENCE, power_w=300), replace(REFERENCE, inductance_h=5e-5)])
def test_halving_the_step_moves_the_current_by_less_than_a_thousandth(circuit: Circuit) -> None:
    coarse, fine = steady_state(circuit), steady_state(circuit, 512)
    assert coarse.current_a == pytest.approx(fine.current_a, rel=1e-3)
    assert coarse.dc_voltage_v == pytest.approx(fine.dc_voltage_v, rel=1e-3)
    assert coarse.distortion == pytest.approx(fine.distortion, rel=2e-3)


def test_is_the_same_to_the_last_digit_every_time() -> None:
    first = steady_state(REFERENCE)
    steady_state.cache_clear()
    assert steady_state(REFERENCE) == first


def test_spectrum_and_power_factor_belong_together() -> None:
    # Identity for a sinusoidal source: power factor = displacement factor / √(1 + distortion²).
    found = steady_state(REFERENCE)
    assert found.power_factor == pytest.approx(found.displacement_factor / math.hypot(1, found.distortion), rel=1e-4)
    assert sorted(found.harmonics_a) == list(range(1, 26, 2))
    assert math.hypot(*found.harmonics_a.values()) == pytest.approx(found.current_a, rel=1e-3)
    assert found.reactive_power_var == pytest.approx(
        230 * found.fundamental_a * math.sqrt(1 - found.displacement_factor**2), rel=1e-3
    )


def test_capacitor_voltage_between_pulses_falls_as_constant_power_takes_its_energy() -> None:
    # Closed form: ½·C·(V1² − V2²) = P · (time without conduction).
    found = steady_state(replace(REFERENCE, resistance_ohm=0.02, inductance_h=1e-6))
    energy = 0.5 * 2000e-6 * (found.dc_greatest_v**2 - found.dc_least_v**2)
    assert energy == pytest.approx(2730 * (0.01 - found.conduction_s), rel=0.02)


@pytest.mark.parametrize("power_w", [1400.0, 2730.0, 1e5])
def test_more_than_the_supply_can_deliver_has_no_steady_state(power_w: float) -> None:
    # First principles: no load can draw more than U²/(4R) through R: 230²/40 = 1322 W.
    start = time.process_time()
    with pytest.raises(NoSteadyStateError) as caught:
        steady_state(Circuit(230, 50, 10, 0, 2000e-6, power_w))
    assert time.process_time() - start < 0.5
    assert 500 < caught.value.greatest_power_w < 1322
    assert not caught.value.capacitor_too_small


def test_just_below_the_greatest_power_there_is_a_steady_state() -> None:
    with pytest.raises(NoSteadyStateError) as caught:
        steady_state(Circuit(230, 50, 10, 0, 2000e-6, 5000))
    greatest = caught.value.greatest_power_w
    assert imbalance(steady_state(Circuit(230, 50, 10, 0, 2000e-6, greatest))) < 1e-3


def test_a_capacitor_that_empties_between_half_waves_is_named() -> None:
    with pytest.raises(NoSteadyStateError) as caught:
        steady_state(Circuit(230, 50, 0.1, 1e-4, 20e-6, 2730))
    assert caught.value.capacitor_too_small


def test_a_load_reached_only_by_a_ramp_is_found() -> None:
    # Close to the greatest power, started at once, the circuit swings past the state it would settle in.
    circuit = Circuit(230, 50, 1.136, 4.65e-3, 510e-6, 2338, choke_inductance_h=0.0194)
    with pytest.raises(NoSteadyStateError):
        _settled(circuit, 256)
    found = steady_state(circuit)
    assert imbalance(found) < 1e-3
    assert found.dc_greatest_v < math.sqrt(2) * 230


def test_critical_damping_is_between_its_neighbours() -> None:
    # R = 2·√(L/C) in powers of two, so that the discriminant is exactly nil.
    at = [steady_state(Circuit(230, 50, r, 2**-10, 2**-10, 500)).current_a for r in (2 * 0.999, 2.0, 2 * 1.001)]
    assert at[0] > at[1] > at[2]
    assert at[1] == pytest.approx((at[0] + at[2]) / 2, rel=1e-5)


def test_a_current_that_never_passes_to_the_other_pair_is_refused() -> None:
    bridge = _Bridge(replace(REFERENCE, choke_inductance_h=1), 256)
    with pytest.raises(NoSteadyStateError, match="pair to the other"):
        bridge.half_wave((1000.0, 300.0))


def test_a_circuit_that_chatters_is_refused_in_a_bounded_number_of_steps() -> None:
    with pytest.raises(NoSteadyStateError, match="pair to the other"):
        _Bridge(Circuit(230, 50, 1e-3, 0, 1e-9, 0, conductance_s=1 / 50), 1024).half_wave((0.0, 1.0))


def test_a_map_that_leaves_every_state_where_it_is_has_no_newton_step() -> None:
    assert _newton((0.0, 300.0), (0.0, 299.0), (0.0, 0.0, 0.0, 1.0)) is None


@pytest.mark.parametrize(
    ("function", "attribute"),
    [
        (rectifier.bridge_input_current, "current_a"),
        (rectifier.bridge_peak_current, "peak_current_a"),
        (rectifier.bridge_fundamental_current, "fundamental_a"),
        (rectifier.bridge_input_power, "input_power_w"),
        (rectifier.bridge_reactive_power, "reactive_power_var"),
        (rectifier.bridge_dc_voltage, "dc_voltage_v"),
        (rectifier.bridge_dc_least, "dc_least_v"),
        (rectifier.bridge_dc_ripple, "dc_ripple_v"),
        (rectifier.bridge_crest_drop, "crest_drop"),
    ],
)
def test_a_single_reading_is_that_of_the_steady_state(function: Callable[..., float], attribute: str) -> None:
    assert function(**asdict(REFERENCE)) == getattr(steady_state(REFERENCE), attribute)


def test_a_single_harmonic_is_that_of_the_spectrum() -> None:
    spectrum = steady_state(REFERENCE).harmonics_a
    assert rectifier.bridge_harmonic_current(order=3.0, **asdict(REFERENCE)) == spectrum[3]


def test_the_crest_at_the_terminals_stands_between_capacitor_and_source() -> None:
    # Without a choke the terminals follow the capacitor while diodes conduct; a choke divides the difference.
    bare = steady_state(REFERENCE)
    choked = steady_state(replace(REFERENCE, choke_inductance_h=3e-3))
    assert bare.terminal_crest_v == pytest.approx(bare.dc_greatest_v, rel=2e-3)
    assert bare.crest_drop == pytest.approx(1 - bare.terminal_crest_v / (math.sqrt(2) * 230))
    assert choked.dc_greatest_v < choked.terminal_crest_v < math.sqrt(2) * 230


@pytest.mark.parametrize(
    "wrong", [{"voltage_v": 0}, {"resistance_ohm": 0}, {"power_w": 0}, {"inductance_h": -1}, {"diode_drop_v": -1}]
)
def test_circuits_without_meaning_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(ValueError, match="above zero"):
        steady_state(replace(REFERENCE, **wrong))


@settings(max_examples=20, deadline=None)
@given(
    voltage=st.floats(90, 520), frequency=st.floats(45, 66), resistance=st.floats(-2.3, 1.3), reactance=st.floats(-4, 1.3),
    capacitance=st.floats(-5.3, -0.7), power=st.floats(1, 4.7), choke=st.floats(-6, 0),
)  # fmt: skip
def test_anything_the_request_allows_is_answered_or_refused_quickly(
    voltage: float,
    frequency: float,
    resistance: float,
    reactance: float,
    capacitance: float,
    power: float,
    choke: float,
) -> None:
    circuit = Circuit(
        voltage, frequency, 10**resistance, 10**reactance / (2 * math.pi * frequency), 10**capacitance, 10**power,
        choke_inductance_h=10**choke,
    )  # fmt: skip
    start = time.process_time()
    try:
        found = steady_state(circuit)
    except NoSteadyStateError as fault:
        possible = fault.greatest_power_w < circuit.power_w
    else:
        possible = imbalance(found) < 5e-3 and found.dc_greatest_v < 2.1 * math.sqrt(2) * voltage
        possible &= 0 < found.current_a < found.peak_current_a * (1 + 1e-9) and 0 < found.power_factor <= 1
        possible &= found.dc_least_v <= found.dc_voltage_v <= found.dc_greatest_v
    assert possible
    assert time.process_time() - start < 2


@settings(max_examples=8, deadline=None)
@given(st.floats(200, 3500), st.floats(1.05, 1.6))
def test_more_power_takes_more_current_and_sags_the_link(power: float, factor: float) -> None:
    less, more = (steady_state(replace(REFERENCE, power_w=p)) for p in (power, power * factor))
    assert more.current_a > less.current_a
    assert more.dc_voltage_v < less.dc_voltage_v


@settings(max_examples=6, deadline=None)
@given(st.floats(2e-4, 3e-3), st.floats(1.1, 2))
def test_a_larger_choke_lowers_crest_factor_and_distortion(choke: float, factor: float) -> None:
    less, more = (steady_state(replace(REFERENCE, choke_inductance_h=c)) for c in (choke, choke * factor))
    assert more.crest_factor < less.crest_factor
    assert more.distortion < less.distortion


RINGING = Circuit(
    voltage_v=208, frequency_hz=50, resistance_ohm=0.2, inductance_h=5e-5, capacitance_f=1e-3, power_w=2800,
    choke_inductance_h=3e-3,
)  # fmt: skip


def test_half_waves_that_take_turns_balance_and_do_not_hang_on_the_step() -> None:
    # First principles: what the source gives is what is lost and used, over the whole cycle.
    found = steady_state(RINGING)
    assert found.direct_a > 1
    assert found.input_power_w == pytest.approx(found.resistance_loss_w + found.load_power_w, rel=1e-3)
    mean = sum(
        (after - before) * (one + two) / 2
        for before, after, one, two in zip(
            found.times_s, found.times_s[1:], found.currents_a, found.currents_a[1:], strict=False
        )
    ) * RINGING.frequency_hz  # fmt: skip
    assert abs(mean) == pytest.approx(found.direct_a, rel=2e-3)
    finer = steady_state(RINGING, 512)
    assert finer.current_a == pytest.approx(found.current_a, rel=1e-3)
    assert finer.direct_a == pytest.approx(found.direct_a, rel=1e-3)


def test_equal_half_waves_have_no_direct_component_and_mirror_each_other() -> None:
    found = steady_state(replace(RINGING, capacitance_f=3e-3))
    assert found.direct_a == 0
    half = len(found.times_s) // 2
    assert found.currents_a[half:] == tuple(-ampere for ampere in found.currents_a[:half])
    assert found.dc_voltages_v[half:] == found.dc_voltages_v[:half]


def test_a_search_for_unequal_half_waves_that_finds_equal_ones_says_so() -> None:
    found = _over_a_cycle(_Bridge(REFERENCE, 256), (0.0, 290.0))
    assert found is not None
    assert len(found) == 1
    assert found[0] == pytest.approx(_settled(REFERENCE, 256)[1][0], rel=1e-6)


def test_half_waves_that_never_come_again_are_no_steady_state() -> None:
    # The simulator's link wanders from cycle to cycle at this load; a capacitor ten times as large carries it.
    wandering = Circuit(
        voltage_v=230, frequency_hz=60, resistance_ohm=0.2, inductance_h=8e-4, capacitance_f=4.7e-4, power_w=2800,
        choke_inductance_h=3e-3,
    )  # fmt: skip
    with pytest.raises(NoSteadyStateError) as caught:
        steady_state(wandering)
    assert caught.value.capacitor_too_small
    assert 0 < caught.value.greatest_power_w < 2800
    assert steady_state(replace(wandering, capacitance_f=4.7e-3)).direct_a == 0
