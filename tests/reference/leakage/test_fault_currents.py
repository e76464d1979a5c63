"""Fault-current laws against two independent circuits: a time-stepped one and a circuit simulator's.

No page that could be read gives a formula for the single-phase-fed case, so these two stand in for it.
The tolerance is 2 %; both circuits have small resistances that the ideal laws leave out.
"""

from __future__ import annotations

import json
import shutil
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from millphase.physics import leakage
from reference.leakage import spice
from reference.leakage.simulation import Circuit, Waveform, run

STORED = json.loads((Path(__file__).parent / "motor_fault_results.json").read_text(encoding="utf-8"))
WITHIN = 0.02
LINE_NEUTRAL = ((1.0, 0.0), (0.0, 0.0))
CENTRE_EARTHED = ((1.0, 0.0), (1.0, 180.0))
TWO_OF_THREE = ((1.0, 0.0), (1.0, 120.0))
THREE = ((1.0, 0.0), (1.0, 120.0), (1.0, 240.0))

simulated = cache(run)


@pytest.mark.parametrize("fault_ohm", [1000.0, 18000.0])
def test_motor_fault_behind_line_neutral_drive(fault_ohm: float) -> None:
    wave: Waveform = simulated(Circuit(fault_ohm))
    assert wave.rms() == pytest.approx(leakage.fault_current_total(230, fault_ohm), rel=WITHIN)
    assert wave.part(50) == pytest.approx(leakage.fault_current_mains(230, fault_ohm), rel=WITHIN)
    assert wave.part(25) == pytest.approx(leakage.fault_current_motor_frequency(0.5, 230, fault_ohm), rel=WITHIN)
    assert abs(wave.mean()) < WITHIN * wave.rms()


def test_modulation_moves_current_between_frequencies_but_not_the_total() -> None:
    still = simulated(Circuit(1000.0, modulation=0.0))
    full = simulated(Circuit(1000.0, modulation=0.95))
    assert full.rms() == pytest.approx(still.rms(), rel=WITHIN)
    assert full.part(25) == pytest.approx(leakage.fault_current_motor_frequency(0.95, 230, 1000), rel=WITHIN)


def test_motor_fault_never_exceeds_the_bounding_case() -> None:
    # motor at supply frequency: both parts fall on 50 Hz and add by phase
    for modulation in (0.0, 0.5, 0.95):
        wave = simulated(Circuit(1000.0, motor_hz=50.0, modulation=modulation))
        assert wave.part(50) < leakage.fault_current_supply_side(230, 1000)


@pytest.mark.parametrize(("pole", "sign"), [("upper-pole", 1), ("lower-pole", -1)])
def test_pole_fault_is_a_half_wave(pole: str, sign: int) -> None:
    wave = simulated(Circuit(1000.0, fault_at=pole))
    assert wave.rms() == pytest.approx(leakage.fault_current_total(230, 1000), rel=WITHIN)
    assert wave.mean() == pytest.approx(sign * leakage.fault_current_pole_mean(230, 1000), rel=WITHIN)
    assert wave.part(50) == pytest.approx(leakage.fault_current_mains(230, 1000), rel=WITHIN)


def test_centre_earthed_supply_puts_line_to_earth_voltage_on_the_fault() -> None:
    wave = simulated(Circuit(1000.0, voltage_v=120.0, lines=CENTRE_EARTHED))
    assert wave.rms() == pytest.approx(leakage.fault_current_supply_side(120, 1000), rel=WITHIN)
    assert wave.part(50) < WITHIN * wave.rms()


def test_two_lines_of_a_star_stay_under_the_line_line_bound() -> None:
    wave = simulated(Circuit(1000.0, lines=TWO_OF_THREE))
    assert wave.rms() < leakage.fault_current_supply_side(230, 1000) * (1 + WITHIN)
    assert wave.part(50) < leakage.fault_current_mains(230, 1000)


@pytest.mark.parametrize("place", ["terminal", "upper-pole"])
def test_three_phase_bridge(place: str) -> None:
    wave = simulated(Circuit(1000.0, lines=THREE, fault_at=place))
    assert wave.rms() == pytest.approx(leakage.fault_current_total_three_phase(230, 1000), rel=WITHIN)


def test_three_phase_pole_fault_is_nearly_smooth() -> None:
    # textbook mean of a three-pulse rectifier: 3·√3·Û/(2·π) = 1.170 U
    wave = simulated(Circuit(1000.0, lines=THREE, fault_at="upper-pole"))
    assert wave.mean() == pytest.approx(1.170 * 0.230, rel=WITHIN)


def test_boost_stage_leaves_smooth_current() -> None:
    wave = simulated(Circuit(1000.0, boost_v=400.0, modulation=0.0))
    assert wave.rms() == pytest.approx(leakage.fault_current_total_boost(400, 230, 1000), rel=WITHIN)
    assert wave.mean() > 0.3 * wave.rms()


@pytest.mark.parametrize(
    ("lines", "link_v"),
    [(CENTRE_EARTHED, 400.0), (CENTRE_EARTHED, 700.0), (TWO_OF_THREE, 563.4), (THREE, 563.4), (THREE, 700.0)],
)
def test_motor_fault_behind_any_boost_stage_stays_under_the_link_voltage_bound(lines: Any, link_v: float) -> None:
    voltage = 120.0 if lines is CENTRE_EARTHED else 230.0
    wave = simulated(Circuit(1000.0, voltage_v=voltage, lines=lines, boost_v=link_v))
    assert wave.rms() < leakage.fault_current_supply_side(link_v, 1000)


@pytest.mark.parametrize("stored", STORED["runs"], ids=lambda run: f"{run['fault_ohm']} ohm")
def test_circuit_simulator_agrees(stored: dict[str, float]) -> None:
    fault = stored["fault_ohm"]
    assert leakage.fault_current_total(230, fault) == pytest.approx(stored["total"], rel=WITHIN)
    assert leakage.fault_current_mains(230, fault) == pytest.approx(stored["at_50_hz"], rel=WITHIN)
    assert leakage.fault_current_motor_frequency(0.5, 230, fault) == pytest.approx(stored["at_25_hz"], rel=WITHIN)


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="the circuit simulator is not installed")
@pytest.mark.parametrize("stored", STORED["runs"], ids=lambda run: f"{run['fault_ohm']} ohm")
def test_stored_results_are_what_the_netlist_gives(stored: dict[str, float], tmp_path: Path) -> None:
    found = spice.figures(spice.residual_current(stored["fault_ohm"], tmp_path))
    for name in ("total", "at_50_hz", "at_25_hz"):
        assert found[name] == pytest.approx(stored[name], rel=STORED["within"])
    assert abs(found["mean"]) < STORED["within"] * found["total"]
