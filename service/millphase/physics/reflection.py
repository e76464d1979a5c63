"""A steep voltage edge that runs along a motor cable and is thrown back at the motor."""

from __future__ import annotations

from millphase.physics.law import law


@law("l0 = v × t / 2", v="wave_speed_m_per_s", t="rise_time_s")
def critical_length(wave_speed_m_per_s: float, rise_time_s: float) -> float:
    """Cable length from which the reflected edge doubles the voltage at the motor in full.

    The edge is back at its start no sooner than it has risen: there and back takes the rise time.

    Parameters
    ----------
    wave_speed_m_per_s : float
        Speed of an edge along the cable [m/s].
    rise_time_s : float
        Rise time of the edge [s].

    Returns
    -------
    float
        Length [m].
    """
    return wave_speed_m_per_s * rise_time_s / 2


@law("V1 = V × (1 + min(1, l / l0))", V="step_v", l="length_m", l0="critical_m")
def terminal_peak(step_v: float, length_m: float, critical_m: float) -> float:
    """Peak voltage between two motor terminals when the motor reflects the whole edge.

    Parameters
    ----------
    step_v : float
        Height of the edge: the DC link voltage [V].
    length_m, critical_m : float
        Cable length and critical length [m].

    Returns
    -------
    float
        Peak voltage [V].
    """
    return step_v * (1 + min(1.0, length_m / critical_m))


@law("s = 0.8 × V1 / t", V1="peak_v", t="rise_time_s")
def steepness(peak_v: float, rise_time_s: float) -> float:
    """Steepness of an edge measured between 10 % and 90 % of its peak.

    Parameters
    ----------
    peak_v : float
        Peak voltage [V].
    rise_time_s : float
        Time from 10 % to 90 % [s].

    Returns
    -------
    float
        Rate of rise [V/s].
    """
    return 0.8 * peak_v / rise_time_s
