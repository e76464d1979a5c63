"""Corners of the robust fit: ties, plateaus, samples that mislead, influences that cannot be parted."""

from __future__ import annotations

import math

import pytest

from millphase.physics import trend


def brute(x: list[float], y: list[float]) -> list[float]:
    return sorted((y[j] - y[i]) / (x[j] - x[i]) for j in range(len(x)) for i in range(j) if x[j] > x[i])


def test_one_moment_has_no_slope() -> None:
    with pytest.raises(ValueError, match="two different"):
        trend.theil_sen([1.0, 1.0], [2.0, 3.0], 0.95)


def test_ranks_at_both_ends_of_all_slopes() -> None:
    # No interval asks for them, but the selection must not depend on that.
    x = [float(i) for i in range(100)]
    y = [math.sin(i) for i in range(100)]
    slopes = brute(x, y)
    assert trend._slopes_of_rank(x, y, len(slopes), (0, len(slopes) - 1)) == [slopes[0], slopes[-1]]


def test_a_sample_that_misses_the_rank_is_widened() -> None:
    x = [float(i) for i in range(120)]
    y = [math.sin(48.0 * i) for i in range(120)]
    slopes = brute(x, y)
    middle = len(slopes) // 2
    assert trend.theil_sen(x, y, 0.95).slope == pytest.approx((slopes[middle - 1] + slopes[middle]) / 2, rel=1e-12)


def test_a_plateau_of_equal_readings() -> None:
    x = [float(i) for i in range(600)]
    y = [5.0] * 580 + [9.0] * 20
    line = trend.theil_sen(x, y, 0.95)
    assert line.slope == pytest.approx(0.0, abs=1e-12)
    assert line.intercept == pytest.approx(5.0)


def test_weather_that_is_time_cannot_be_parted() -> None:
    assert trend.beside_weather([0.0, 1.0, 2.0], [0.0, 1.0, 2.0], [1.0, 2.0, 3.0], 0.95) is None


def test_weather_that_does_not_vary_cannot_be_parted() -> None:
    assert trend.beside_weather([0.0, 1.0, 2.0], [4.0, 4.0, 4.0], [1.0, 2.0, 3.0], 0.95) is None


def test_growth_rate_of_named_readings() -> None:
    # Doubling every 100 s is ln 2 / 100 per second.
    rate = trend.robust_growth_rate(t1=0.0, R1=1e6, t2=100.0, R2=2e6, t3=200.0, R3=4e6)
    assert rate == pytest.approx(math.log(2) / 100)
