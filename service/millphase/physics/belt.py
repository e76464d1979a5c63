"""Belt drives between motor and spindle: speeds, torque and rim speed from pitch diameters."""

from __future__ import annotations

import math

from millphase.physics.law import law


@law("v = π × d × n", d="diameter_m", n="speed_rev_per_s")
def belt_speed(diameter_m: float, speed_rev_per_s: float) -> float:
    """Belt speed [m/s] on a pulley of pitch diameter `diameter_m` [m] at `speed_rev_per_s` [r/s].

    Parameters
    ----------
    diameter_m : float
        Pitch diameter of the pulley [m].
    speed_rev_per_s : float
        Shaft speed [r/s].
    """
    return math.pi * diameter_m * speed_rev_per_s


@law("n = v / (π × d)", v="belt_speed_m_per_s", d="diameter_m")
def speed_at_belt_speed(belt_speed_m_per_s: float, diameter_m: float) -> float:
    """Pulley speed [r/s] at which the belt runs at `belt_speed_m_per_s` [m/s].

    Parameters
    ----------
    belt_speed_m_per_s : float
        Belt speed [m/s].
    diameter_m : float
        Pitch diameter of the pulley [m].
    """
    return belt_speed_m_per_s / (math.pi * diameter_m)


@law("i = dd / d", d="driver_m", dd="driven_m")
def reduction(driver_m: float, driven_m: float) -> float:
    """How many times slower the driven pulley turns [1]; slip of the belt neglected.

    Parameters
    ----------
    driver_m : float
        Pitch diameter of the driving pulley [m].
    driven_m : float
        Pitch diameter of the driven pulley [m].
    """
    return driven_m / driver_m


@law("n = nm / i", nm="motor_rev_per_s", i="total_reduction")
def spindle_speed(motor_rev_per_s: float, total_reduction: float) -> float:
    """Spindle speed [r/s] behind a total reduction [1].

    Parameters
    ----------
    motor_rev_per_s : float
        Motor speed [r/s].
    total_reduction : float
        Motor speed over spindle speed [1].
    """
    return motor_rev_per_s / total_reduction


@law("n = ns × i", ns="spindle_rev_per_s", i="total_reduction")
def motor_speed(spindle_rev_per_s: float, total_reduction: float) -> float:
    """Motor speed [r/s] that gives a spindle speed behind a total reduction [1].

    Parameters
    ----------
    spindle_rev_per_s : float
        Spindle speed [r/s].
    total_reduction : float
        Motor speed over spindle speed [1].
    """
    return spindle_rev_per_s * total_reduction


@law("T = Tm × i × η", Tm="motor_torque_n_m", i="total_reduction", η="efficiency")
def spindle_torque(motor_torque_n_m: float, total_reduction: float, efficiency: float) -> float:
    """Torque at the spindle [N·m] after a reduction [1] with transmission efficiency [1].

    Parameters
    ----------
    motor_torque_n_m : float
        Motor torque [N·m].
    total_reduction : float
        Motor speed over spindle speed [1].
    efficiency : float
        Efficiency [1].
    """
    return motor_torque_n_m * total_reduction * efficiency
