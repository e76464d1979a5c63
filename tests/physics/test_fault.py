"""Earth faults: limits and directions of the laws."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from millphase.physics import fault

positive = st.floats(1e-3, 1e3)


def test_touch_voltage_rule() -> None:
    # IEC 60364-4-41 411.5.3: 50 V; electriciansforums.net prints 1667 ohm for 30 mA
    assert fault.residual_current_loop_limit(1.0, 50, 0.030) == pytest.approx(1667, abs=0.5)


@given(external=positive, line=positive, earth=positive, length=positive)
def test_a_longer_run_never_lowers_the_loop(external: float, line: float, earth: float, length: float) -> None:
    loop = fault.loop_impedance(external, line, earth, length)
    assert loop >= external
    assert fault.loop_impedance(external, line, earth, 2 * length) >= loop


@given(external=positive, line=positive, earth=positive, length=positive)
def test_longest_run_inverts_the_loop(external: float, line: float, earth: float, length: float) -> None:
    loop = fault.loop_impedance(external, line, earth, length)
    assert fault.longest_run_for_loop(loop, external, line, earth) == pytest.approx(length, rel=1e-6, abs=1e-6)


def test_energy_and_section() -> None:
    # IEC 60364-5-54 543.1.2: S = √(I²t)/k, first principles
    energy = fault.let_through(1000, 0.1)
    assert energy == pytest.approx(100_000)
    assert fault.adiabatic_cross_section(1.0, energy, 143) == pytest.approx(2.2114e-6, rel=1e-4)


def test_limit_and_current_are_each_others_inverse() -> None:
    assert fault.fault_current(230, fault.loop_impedance_limit(1.0, 1.0, 230, 160)) == pytest.approx(160)
