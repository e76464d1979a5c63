"""Robust straight-line fit: the median of all pairwise slopes, with Sen's interval.

The estimator of Theil (1950) and Sen (1968): exact, but without forming all n(n − 1)/2 slopes of a long
record. Slopes up to a value s are counted as inversions of y − s·x in O(n log n); a sample of slopes
brackets the wanted ranks; only slopes inside the bracket are formed and sorted.
"""

from __future__ import annotations

import math
from array import array
from bisect import bisect_left, insort
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist, median

SAMPLE = 3000
_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0


@dataclass(frozen=True, slots=True)
class Line:
    """A fitted line: median slope, its two-sided interval, and the intercept at x = 0."""

    slope: float
    low: float
    high: float
    intercept: float


def theil_sen(x: Sequence[float], y: Sequence[float], confidence: float) -> Line:
    """Median of pairwise slopes with Sen's distribution-free interval.

    Parameters
    ----------
    x, y : sequence of float
        Readings, in any order; equal x are allowed and form no slope.
    confidence : float
        Two-sided confidence of the interval, such as 0.95.

    Raises
    ------
    ValueError
        When all x are equal, or there are fewer than two readings.

    Notes
    -----
    Interval after Sen, J. Am. Stat. Assoc. 63 (1968), equation 2.6, with the correction for ties. The
    intercept is the median of y − slope·x.
    """
    points = sorted(zip(x, y, strict=True))
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    slopes = _pairs(len(xs)) - sum(_pairs(k) for k in Counter(xs).values())
    if slopes == 0:
        raise ValueError("a slope needs readings at two different x")
    low, high = _interval_ranks(xs, ys, slopes, confidence)
    wanted = (low, (slopes - 1) // 2, slopes // 2, high)
    found = _slopes_of_rank(xs, ys, slopes, wanted)
    slope = (found[1] + found[2]) / 2.0
    return Line(slope, found[0], found[3], median(b - slope * a for a, b in points))


def _pairs(count: int) -> int:
    return count * (count - 1) // 2


def _interval_ranks(xs: list[float], ys: list[float], slopes: int, confidence: float) -> tuple[int, int]:
    n = len(xs)
    tied = sum(k * (k - 1) * (2 * k + 5) for values in (xs, ys) for k in Counter(values).values())
    deviation = math.sqrt(max(n * (n - 1) * (2 * n + 5) - tied, 0) / 18.0)
    reach = NormalDist().inv_cdf(0.5 + confidence / 2.0) * deviation
    return max(round((slopes - reach) / 2.0) - 1, 0), min(round((slopes + reach) / 2.0), slopes - 1)


def _slopes_of_rank(xs: list[float], ys: list[float], slopes: int, wanted: Sequence[int]) -> list[float]:
    """The pairwise slopes that stand at the `wanted` ranks (from 0, rising) among all of them."""
    sample = _sampled_slopes(xs, ys) if slopes > SAMPLE else []
    duplicates = sum(_pairs(k) for k in Counter(zip(xs, ys, strict=True)).values())
    margin = 0.8 * math.sqrt(len(sample))
    while sample:
        first = int(wanted[0] / slopes * len(sample) - margin)
        last = int(wanted[-1] / slopes * len(sample) + margin) + 1
        if first < 0 or last >= len(sample):
            break
        pad = _blur(xs, ys, sample[first], sample[last])
        low, high = sample[first] - pad, sample[last] + pad
        below = _count_up_to(xs, ys, low) - duplicates
        if below <= wanted[0] and _count_up_to(xs, ys, high) - duplicates > wanted[-1]:
            if high - low <= 4.0 * pad:
                return [(low + high) / 2.0] * len(wanted)
            inside = sorted(_slopes_between(xs, ys, low, high))
            return [inside[rank - below] for rank in wanted]
        margin *= 2.0
    everything = sorted((ys[j] - ys[i]) / (xs[j] - xs[i]) for j in range(len(xs)) for i in range(j) if xs[j] > xs[i])
    return [everything[rank] for rank in wanted]


def _blur(xs: list[float], ys: list[float], low: float, high: float) -> float:
    """A difference of slope far below what anyone can measure.

    The bracket is widened by it so that it never stands on a slope, and readings on one exact line, whose
    slopes differ by rounding alone, need no sorting.
    """
    return 1e-9 * max(abs(low), abs(high)) + 1e-12 * (1.0 + max(map(abs, ys))) / (xs[-1] - xs[0])


@lru_cache(maxsize=8)
def _sampled_pairs(count: int) -> tuple[array[int], array[int]]:
    """Earlier and later reading of pairs spread evenly over all pairs by the golden ratio: same input, same output."""
    total, place = _pairs(count), 0.0
    earlier, later = array("I"), array("I")
    for _ in range(SAMPLE):
        place = (place + _GOLDEN) % 1.0
        pair = int(place * total)
        second = (1 + math.isqrt(1 + 8 * pair)) // 2
        earlier.append(pair - _pairs(second))
        later.append(second)
    return earlier, later


def _sampled_slopes(xs: list[float], ys: list[float]) -> list[float]:
    """Slopes of the sampled pairs, rising."""
    pairs = zip(*_sampled_pairs(len(xs)), strict=True)
    return sorted([(ys[j] - ys[i]) / (xs[j] - xs[i]) for i, j in pairs if xs[j] > xs[i]])


def _count_up_to(xs: list[float], ys: list[float], slope: float) -> int:
    """Pairs whose slope is at most `slope`, plus the pairs that coincide."""
    seen: list[float] = []
    count = 0
    for a, b in zip(xs, ys, strict=True):
        level = b - slope * a
        count += len(seen) - bisect_left(seen, level)
        insort(seen, level)
    return count


def _slopes_between(xs: list[float], ys: list[float], low: float, high: float) -> list[float]:
    """Slopes above `low` and up to `high`: the pairs that change order between y − low·x and y − high·x."""
    order = sorted(range(len(xs)), key=lambda i: (ys[i] - low * xs[i], -i))
    levels: list[float] = []
    members: list[int] = []
    found = []
    for j in order:
        a, b = xs[j], ys[j]
        level = b - high * a
        at = bisect_left(levels, level)
        found.extend([(ys[i] - b) / (xs[i] - a) for i in members[at:] if xs[i] != a])
        levels.insert(at, level)
        members.insert(at, j)
    return found


def kendall(x: Sequence[float], y: Sequence[float]) -> float:
    """Rank correlation of two sequences (Kendall's tau-a) [1]: agreeing less disagreeing pairs, over all pairs."""
    total = _pairs(len(x))
    agreeing = _rising(x, y)
    disagreeing = _rising(x, [-b for b in y])
    return (agreeing - disagreeing) / total if total else 0.0


def _rising(x: Sequence[float], y: Sequence[float]) -> int:
    """Pairs in which both x and y rise."""
    seen: list[float] = []
    count = 0
    # Within equal x, the highest y first: such a pair is never counted as rising.
    for _, level in sorted(zip(x, y, strict=True), key=lambda p: (p[0], -p[1])):
        count += bisect_left(seen, level)
        insort(seen, level)
    return count


def robust_growth_rate(**readings: float) -> float:
    """Median of the pairwise growth rates of a resistance [1/s].

    Parameters
    ----------
    **readings : float
        ``t1``, ``R1``, ``t2``, ``R2``, …: times [s] and resistances [ohm].

    Raises
    ------
    ValueError
        When the times do not differ.
    """
    times = [value for name, value in readings.items() if name[0] == "t"]
    logs = [math.log(value) for name, value in readings.items() if name[0] == "R"]
    return theil_sen(times, logs, 0.95).slope


@dataclass(frozen=True, slots=True)
class Weather:
    """What a second influence explains: its effect with an interval, and the line in time without it.

    The line is None where the interval of the effect includes zero, which is no proven effect.
    """

    effect: float
    low: float
    high: float
    line: Line | None


def beside_weather(
    time: Sequence[float], weather: Sequence[float], y: Sequence[float], confidence: float
) -> Weather | None:
    """Fit y = a + b·time + c·weather robustly.

    Parameters
    ----------
    time, weather, y : sequence of float
        Equally long, in order of time; `weather` is counted from its median, so that the line is that at
        median weather.
    confidence : float
        Two-sided confidence of both intervals.

    Returns
    -------
    Weather or None
        None when the weather does not vary, or time follows it exactly.

    Notes
    -----
    The part of time that follows the weather is taken out first (least squares, x = time − d·weather), so
    that one median-slope fit does not disturb the other. Then y = a + b·x + (c + b·d)·weather is fitted
    in turn: b, then the weather's coefficient from what is left, then b again with its interval. The
    coefficient of the weather comes from at most 250 readings taken evenly through a longer record.
    """
    centre = median(weather)
    mild = [value - centre for value in weather]
    mean_time, mean_mild = sum(time) / len(time), sum(mild) / len(mild)
    spread = sum((m - mean_mild) ** 2 for m in mild)
    if spread == 0.0:
        return None
    follow = sum((t - mean_time) * (m - mean_mild) for t, m in zip(time, mild, strict=True)) / spread
    apart = [t - follow * m for t, m in zip(time, mild, strict=True)]
    chosen = range(0, len(y), max(1, -(-len(y) // 250)))
    some_apart, some_mild, some_y = ([values[i] for i in chosen] for values in (apart, mild, y))
    if len(set(some_apart)) < 2 or len(set(some_mild)) < 2:
        return None
    first = theil_sen(some_apart, some_y, confidence)
    left = [b - first.slope * a for a, b in zip(some_apart, some_y, strict=True)]
    effect = theil_sen(some_mild, left, confidence)
    shift = first.slope * follow
    if effect.low - shift <= 0.0 <= effect.high - shift:
        return Weather(effect.slope - shift, effect.low - shift, effect.high - shift, None)
    line = theil_sen(apart, [b - effect.slope * m for b, m in zip(y, mild, strict=True)], confidence)
    shift = line.slope * follow
    return Weather(effect.slope - shift, effect.low - shift, effect.high - shift, line)
