"""Where a foot-mounted motor stands: packing, belt line along the shaft, belt pull, wrap and edges between holes."""

from __future__ import annotations

import math

from millphase.physics.law import law


@law("Δh = H − H0", H="new_height_m", H0="old_height_m")
def height_change(new_height_m: float, old_height_m: float) -> float:
    """Rise [m] of the shaft: `new_height_m` less `old_height_m` [m]; negative is what packing makes up."""
    return new_height_m - old_height_m


@law("R = C + E", C="to_shoulder_m", E="shaft_m")
def reach(to_shoulder_m: float, shaft_m: float) -> float:
    """Distance [m] from the front foot holes to the shaft end: `to_shoulder_m` plus shaft extension `shaft_m` [m]."""
    return to_shoulder_m + shaft_m


@law("s = max(0, R0 − R, C + l − R0)", R0="old_reach_m", R="new_reach_m", C="to_shoulder_m", l="hub_m")
def belt_line_shift(old_reach_m: float, new_reach_m: float, to_shoulder_m: float, hub_m: float) -> float:
    """Least move [m] of the motor along its shaft that brings the belt line back.

    The old hub's outer face stood `old_reach_m` [m] from the front holes. The same hub of length `hub_m` [m] may stand
    on the new shaft anywhere from the shoulder, `to_shoulder_m` [m], to `new_reach_m` [m].
    """
    return max(0.0, old_reach_m - new_reach_m, to_shoulder_m + hub_m - old_reach_m)


@law("w = √(x² + y²)", x="across_m", y="along_m")
def pattern_difference(across_m: float, along_m: float) -> float:
    """How far [m] two bolt patterns differ whose spacings differ by `across_m` and `along_m` [m].

    Shared between both ends, each bolt sits half of it off the middle of its hole: the patterns go together while it is
    no more than hole less bolt.
    """
    return math.hypot(across_m, along_m)


@law("e = √(x² + y²) − (k + k0) / 2", x="across_m", y="along_m", k="new_hole_m", k0="old_hole_m")
def web_between_holes(across_m: float, along_m: float, new_hole_m: float, old_hole_m: float) -> float:
    """Metal [m] between the edges of two holes whose centres lie `across_m` and `along_m` [m] apart.

    Diameters `new_hole_m` and `old_hole_m` [m]; negative where the holes run into each other.
    """
    return math.hypot(across_m, along_m) - (new_hole_m + old_hole_m) / 2


@law("Fr = k × 2 × T / dp", k="pull_factor", T="torque_n_m", dp="pulley_m")
def belt_pull(pull_factor: float, torque_n_m: float, pulley_m: float) -> float:
    """Radial force [N] of a tensioned belt on the shaft.

    `pull_factor` [1] times the effective pull of `torque_n_m` [N·m] on a pulley of pitch diameter `pulley_m` [m].
    """
    return pull_factor * 2.0 * torque_n_m / pulley_m


@law("w = 0.5 − atan(x / √(1 − x²)) / π", x="lean")
def small_pulley_wrap(lean: float) -> float:
    """Share [1] of a full turn that an open belt wraps the small pulley; `lean` [1] is (D − d)/(2·centre distance)."""
    return 0.5 - math.atan(lean / math.sqrt(1.0 - lean**2)) / math.pi


@law("Fn = F × (n0 / n)^(1 / 3)", F="force_n", n0="base_rev_per_s", n="speed_rev_per_s")
def bearing_force_at_speed(force_n: float, base_rev_per_s: float, speed_rev_per_s: float) -> float:
    """Radial force [N] that a ball bearing carries at `speed_rev_per_s` for the same life in hours (ISO 281, exponent 3).

    It carries `force_n` [N] at `base_rev_per_s`; both speeds in [r/s].
    """
    return force_n * math.cbrt(base_rev_per_s / speed_rev_per_s)
