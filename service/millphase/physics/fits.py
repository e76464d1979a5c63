"""Limits of size and fits of a hole on a shaft (ISO 286-1): plain sums of deviations, exact to the micrometre."""

from __future__ import annotations

from millphase.physics.law import law


@law("B = D + E", D="nominal_m", E="deviation_m")
def limit_of_size(nominal_m: float, deviation_m: float) -> float:
    """Limit of size [m] of a hole or shaft: `nominal_m` [m] plus its limit `deviation_m` [m] (ISO 286-1)."""
    return nominal_m + deviation_m


@law("E = e + IT", e="lower_deviation_m", IT="tolerance_m")
def upper_deviation(lower_deviation_m: float, tolerance_m: float) -> float:
    """Upper deviation [m] one `tolerance_m` [m] above the `lower_deviation_m` [m] (ISO 286-1)."""
    return lower_deviation_m + tolerance_m


@law("E = e − IT", e="upper_deviation_m", IT="tolerance_m")
def lower_deviation(upper_deviation_m: float, tolerance_m: float) -> float:
    """Lower deviation [m] one `tolerance_m` [m] below the `upper_deviation_m` [m] (ISO 286-1)."""
    return upper_deviation_m - tolerance_m


@law("S = B − d", B="hole_m", d="shaft_m")
def clearance(hole_m: float, shaft_m: float) -> float:
    """Play [m] of a hole of size `hole_m` [m] on a shaft of size `shaft_m` [m]; negative means interference."""
    return hole_m - shaft_m


@law("I = max(0, d − B)", d="largest_shaft_m", B="smallest_hole_m")
def interference(largest_shaft_m: float, smallest_hole_m: float) -> float:
    """Greatest interference [m] of `largest_shaft_m` in `smallest_hole_m` [m]; zero for a clearance fit."""
    return max(0.0, largest_shaft_m - smallest_hole_m)
