"""Conductors: limits and directions of the laws."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from millphase.physics import conductor

positive = st.floats(1e-3, 1e3)


def test_copper_is_a_fifth_up_at_70_and_more_than_a_quarter_at_90() -> None:
    # uecables.com divides by 0.833 and 0.781, wiring practice multiplies by 1.20 and 1.28: both round this ratio.
    assert conductor.resistance_at_temperature(1.0, 20) == 1.0
    assert conductor.resistance_at_temperature(1.0, 70) == pytest.approx(1 / 0.833, rel=0.005)
    assert conductor.resistance_at_temperature(1.0, 90) == pytest.approx(1 / 0.781, rel=0.005)


def test_conductor_is_at_ambient_without_load_and_at_its_limit_at_capacity() -> None:
    assert conductor.temperature_at_current(35, 90, 0, 40) == 35
    assert conductor.temperature_at_current(35, 90, 40, 40) == 90


@given(current=positive, length=positive, impedance=positive)
def test_three_wires_drop_less_than_two(current: float, length: float, impedance: float) -> None:
    three = conductor.voltage_drop_three_wire(current, length, impedance)
    assert three == pytest.approx(conductor.voltage_drop_two_wire(current, length, impedance) * 3**0.5 / 2)


@given(current=positive, length=positive)
def test_table_drop_is_linear(current: float, length: float) -> None:
    once = conductor.voltage_drop_from_table(0.011, current, length)
    assert conductor.voltage_drop_from_table(0.011, 2 * current, length) == pytest.approx(2 * once)


@given(resistance=positive, reactance=positive)
def test_impedance_is_at_least_each_part(resistance: float, reactance: float) -> None:
    assert conductor.impedance_per_length(resistance, reactance) >= max(resistance, reactance)
