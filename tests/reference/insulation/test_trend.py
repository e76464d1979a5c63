"""The robust fit against scipy and numpy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from millphase.physics import trend


def series(kind: str, count: int, seed: int) -> tuple[list[float], list[float]]:
    draw = np.random.default_rng(seed)
    if kind == "noisy":
        x = draw.uniform(0, 1000, count)
        return list(x), list(0.002 * x + draw.normal(0, 0.4, count))
    if kind == "ties":
        return [float(v) for v in draw.integers(0, 40, count)], [float(v) for v in draw.integers(0, 9, count)]
    if kind == "outliers":
        y = np.arange(count) * -0.01 + draw.normal(0, 0.05, count)
        y[:: max(1, count // 6)] += 5.0
        return [float(v) for v in range(count)], list(y)
    if kind == "constant":
        return [float(v) for v in range(count)], [3.0] * count
    return [float(v) for v in range(count)], [0.5 - 0.01 * v for v in range(count)]


@pytest.mark.parametrize("kind", ["noisy", "ties", "outliers", "constant", "exact"])
@pytest.mark.parametrize("count", [5, 12, 60, 90, 250, 700])
def test_slope_and_interval_against_scipy(kind: str, count: int) -> None:
    x, y = series(kind, count, seed=count)
    found = trend.theil_sen(x, y, 0.95)
    expected = stats.theilslopes(y, x, 0.95, method="joint")
    for got, wanted in zip(
        (found.slope, found.low, found.high, found.intercept),
        (expected.slope, expected.low_slope, expected.high_slope, expected.intercept),
        strict=True,
    ):
        assert got == pytest.approx(wanted, rel=1e-8, abs=1e-11)


@pytest.mark.parametrize("count", [5, 40, 300])
def test_rank_correlation_against_scipy(count: int) -> None:
    # Without ties tau-a and tau-b are the same.
    draw = np.random.default_rng(count)
    x, y = draw.normal(size=count), draw.normal(size=count)
    assert trend.kendall(list(x), list(x + y)) == pytest.approx(stats.kendalltau(x, x + y).statistic)
    assert trend.kendall(list(x), list(-x)) == pytest.approx(-1.0)


def test_rank_correlation_counts_no_tie() -> None:
    assert trend.kendall([1.0, 1.0, 2.0], [1.0, 2.0, 2.0]) == pytest.approx(1 / 3)
    assert trend.kendall([1.0], [1.0]) == 0.0


@pytest.mark.parametrize("count", [30, 240, 900])
def test_weather_against_least_squares_on_clean_data(count: int) -> None:
    # Without noise every consistent estimator finds the plane; numpy's least squares says which.
    draw = np.random.default_rng(count)
    time = np.sort(draw.uniform(0, 700, count))
    weather = 5 + 4 * np.sin(time / 9) + 0.004 * time + draw.normal(0, 1, count)
    y = 12 - 0.003 * time + 0.06 * weather
    plane = np.linalg.lstsq(np.column_stack([np.ones(count), time, weather]), y, rcond=None)[0]
    found = trend.beside_weather(list(time), list(weather), list(y), 0.95)
    assert found is not None
    assert found.line is not None
    assert found.line.slope == pytest.approx(plane[1], rel=0.02)
    assert found.effect == pytest.approx(plane[2], rel=0.02)


def test_weather_with_noise_holds_the_truth_in_its_interval() -> None:
    draw = np.random.default_rng(7)
    time = np.arange(200.0)
    weather = 5 + 4 * np.sin(time / 9) + draw.normal(0, 1, 200)
    y = 12 - 0.004 * time + 0.06 * weather + draw.normal(0, 0.05, 200)
    found = trend.beside_weather(list(time), list(weather), list(y), 0.95)
    assert found is not None
    assert found.line is not None
    assert found.line.low < -0.004 < found.line.high
    assert found.low < 0.06 < found.high


def test_five_readings_are_the_least_for_95_percent() -> None:
    # Kendall's exact distribution: two-sided chance of perfect order is 2/n!; 1/12 for four, 1/60 for five.
    assert stats.kendalltau(range(4), range(4), method="exact").pvalue == pytest.approx(1 / 12)
    assert stats.kendalltau(range(5), range(5), method="exact").pvalue == pytest.approx(1 / 60)
