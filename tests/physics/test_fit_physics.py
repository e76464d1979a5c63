"""Fits, keys and mounting: signs, zero crossings and monotony of each law."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from millphase.physics import fits, keys, mounting

lengths = st.floats(1e-3, 1.0)


@given(hole=lengths, shaft=lengths)
def test_a_joint_is_either_loose_or_tight(hole: float, shaft: float) -> None:
    assert fits.interference(shaft, hole) == pytest.approx(max(0.0, -fits.clearance(hole, shaft)))


@given(lower=st.floats(-1e-4, 1e-4), width=st.floats(1e-6, 1e-4))
def test_deviations_lie_one_tolerance_apart(lower: float, width: float) -> None:
    assert fits.lower_deviation(fits.upper_deviation(lower, width), width) == pytest.approx(lower, abs=1e-15)


@given(shaft=lengths, share=st.floats(0.05, 0.6))
def test_the_chord_grows_with_the_key_and_never_passes_the_axis(shaft: float, share: float) -> None:
    chord = keys.chord_height(shaft, share * shaft)
    assert 0 < chord < shaft / 2
    assert keys.chord_height(shaft, 1.2 * share * shaft) > chord
    assert chord == pytest.approx(shaft / 2 * (1 - math.cos(math.asin(share))), rel=1e-6)


def test_a_key_as_wide_as_the_shaft_cuts_to_the_axis() -> None:
    assert keys.chord_height(0.02, 0.02) == pytest.approx(0.01)
    assert keys.chord_height(0.02, 0.05) == pytest.approx(0.01)


@given(torque=st.floats(0.1, 500), shaft=lengths, width=lengths, height=lengths, length=lengths)
def test_force_over_area_is_stress(torque: float, shaft: float, width: float, height: float, length: float) -> None:
    force = keys.key_force(torque, shaft)
    assert keys.key_shear_stress(torque, shaft, width, length) == pytest.approx(force / (width * length))
    assert keys.key_bearing_stress(torque, shaft, height, length) == pytest.approx(force / (height * length))


@pytest.mark.parametrize(
    ("old_end", "new_end", "shoulder", "hub", "shift"),
    [
        (123, 123, 63, 40, 0.0),  # the same motor
        (106, 123, 56, 40, 0.0),  # a longer new motor carries the pulley further in
        (123, 106, 56, 40, 17.0),  # a shorter one must come out by the difference
        (90, 123, 63, 40, 13.0),  # the old belt line lies behind the new shoulder: 63 + 40 − 90
        (103, 123, 63, 40, 0.0),  # just clear of the shoulder
    ],
)
def test_belt_line(old_end: float, new_end: float, shoulder: float, hub: float, shift: float) -> None:
    found = mounting.belt_line_shift(old_end / 1e3, new_end / 1e3, shoulder / 1e3, hub / 1e3)
    assert found * 1e3 == pytest.approx(shift, abs=1e-9)


def test_holes_that_touch_leave_no_metal() -> None:
    assert mounting.web_between_holes(0.003, 0.004, 0.006, 0.004) == pytest.approx(0.0, abs=1e-12)
    assert mounting.web_between_holes(0.0, 0.0, 0.010, 0.010) == pytest.approx(-0.010)


@given(lean=st.floats(0.0, 0.95))
def test_wrap_falls_from_half_a_turn(lean: float) -> None:
    wrap = mounting.small_pulley_wrap(lean)
    assert wrap == pytest.approx(0.5 - math.asin(lean) / math.pi)
    assert mounting.small_pulley_wrap(lean + 0.01) < wrap


def test_packing_and_jacking_by_hand() -> None:
    assert mounting.height_change(0.100, 0.1143) == pytest.approx(-0.0143)
    assert mounting.reach(0.063, 0.060) == pytest.approx(0.123)
    assert keys.screw_force(5.0, 0.2, 0.006) == pytest.approx(4166.67, rel=1e-6)
