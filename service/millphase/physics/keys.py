"""Parallel keys: depths seen across shaft and hub, metal left in the hub, and the stress the key carries."""

from __future__ import annotations

import math

from millphase.physics.law import law


@law("GA = D − t1 + h", D="shaft_m", t1="shaft_depth_m", h="key_height_m")
def across_shaft_and_key(shaft_m: float, shaft_depth_m: float, key_height_m: float) -> float:
    """Size [m] over shaft and key: `shaft_m` less `shaft_depth_m` plus `key_height_m` [m] (symbol GA of motor sheets)."""
    return shaft_m - shaft_depth_m + key_height_m


@law("G = D + t2", D="bore_m", t2="hub_depth_m")
def across_bore_and_keyway(bore_m: float, hub_depth_m: float) -> float:
    """Size [m] from the wall of the bore to the keyway's bottom: `bore_m` plus `hub_depth_m` [m]."""
    return bore_m + hub_depth_m


@law("y = (D − √(max(0, D² − W²))) / 2", D="shaft_m", W="key_width_m")
def chord_height(shaft_m: float, key_width_m: float) -> float:
    """Height [m] of the round that a keyway `key_width_m` [m] wide cuts off a shaft of `shaft_m` [m] (circle geometry)."""
    return (shaft_m - math.sqrt(max(0.0, shaft_m**2 - key_width_m**2))) / 2


@law("S = D − y − H / 2", D="shaft_m", y="chord_height_m", H="key_height_m")
def keyseat_to_far_side(shaft_m: float, chord_height_m: float, key_height_m: float) -> float:
    """Size [m] from a keyseat's bottom to the far side of the shaft (ASME B17.1).

    `shaft_m`, `chord_height_m` and `key_height_m` in [m]; the keyseat is half the key deep at its side.
    """
    return shaft_m - chord_height_m - key_height_m / 2


@law("G = D − y + H / 2 + C", D="bore_m", y="chord_height_m", H="key_height_m", C="allowance_m")
def bore_to_keyseat_top(bore_m: float, chord_height_m: float, key_height_m: float, allowance_m: float) -> float:
    """Size [m] from the wall of the bore to the top of the hub keyseat (ASME B17.1).

    `bore_m`, `chord_height_m`, `key_height_m` and the clearance `allowance_m` over the key in [m].
    """
    return bore_m - chord_height_m + key_height_m / 2 + allowance_m


@law("w = O / 2 − (d / 2 + t2)", O="hub_m", d="bore_m", t2="hub_depth_m")
def wall_over_keyway(hub_m: float, bore_m: float, hub_depth_m: float) -> float:
    """Metal [m] left over a keyway `hub_depth_m` deep in a hub of outside diameter `hub_m` and bore `bore_m` [m]."""
    return hub_m / 2 - (bore_m / 2 + hub_depth_m)


@law("u = B / 2 + t − D / 2", B="bore_m", t="keyway_depth_m", D="new_bore_m")
def keyway_left(bore_m: float, keyway_depth_m: float, new_bore_m: float) -> float:
    """Depth [m] left of a keyway `keyway_depth_m` deep in a bore of `bore_m` when that is bored out to `new_bore_m` [m].

    Zero or less means that boring out takes the keyway away.
    """
    return bore_m / 2 + keyway_depth_m - new_bore_m / 2


@law("w = (B − d) / 2", B="outside_m", d="inside_m")
def bush_wall(outside_m: float, inside_m: float) -> float:
    """Wall [m] of a bush between `outside_m` and `inside_m` diameter [m]."""
    return (outside_m - inside_m) / 2


@law("F = 2 × T / D", T="torque_n_m", D="shaft_m")
def key_force(torque_n_m: float, shaft_m: float) -> float:
    """Force [N] on the side of a key that carries `torque_n_m` [N·m] at the surface of a shaft of `shaft_m` [m]."""
    return 2.0 * torque_n_m / shaft_m


@law("τ = 2 × T / (D × W × L)", T="torque_n_m", D="shaft_m", W="key_width_m", L="length_m")
def key_shear_stress(torque_n_m: float, shaft_m: float, key_width_m: float, length_m: float) -> float:
    """Shear stress [Pa] in a key: `torque_n_m` [N·m], `shaft_m`, `key_width_m`, carrying `length_m` [m].

    Textbook of machine elements (R. L. Mott): τ = 2T/(D·W·L).
    """
    return 2.0 * torque_n_m / (shaft_m * key_width_m * length_m)


@law("p = 2 × T / (D × b × L)", T="torque_n_m", D="shaft_m", b="bearing_height_m", L="length_m")
def key_bearing_stress(torque_n_m: float, shaft_m: float, bearing_height_m: float, length_m: float) -> float:
    """Pressure [Pa] of a key on a keyway wall that touches over `bearing_height_m` and `length_m` [m].

    `torque_n_m` [N·m], `shaft_m` [m]. With half the key's height this is the textbook's 4T/(D·L·H).
    """
    return 2.0 * torque_n_m / (shaft_m * bearing_height_m * length_m)


@law("b = h − t1", h="key_height_m", t1="shaft_depth_m")
def height_in_hub(key_height_m: float, shaft_depth_m: float) -> float:
    """Height [m] of the key that stands in the hub: `key_height_m` less `shaft_depth_m` [m]."""
    return key_height_m - shaft_depth_m


@law("F = M / (k × d)", M="torque_n_m", k="nut_factor", d="screw_m")
def screw_force(torque_n_m: float, nut_factor: float, screw_m: float) -> float:
    """Axial force [N] of a screw `screw_m` [m] tightened to `torque_n_m` [N·m]; `nut_factor` [1] covers friction."""
    return torque_n_m / (nut_factor * screw_m)
