"""A fault to earth: the loop it flows in, the current, and the heat the protective conductor must swallow."""

from __future__ import annotations

import math

from .law import law


@law(
    "Zs = Ze + (R1 + R2) × L",
    Ze="external_ohm",
    R1="line_ohm_per_m",
    R2="protective_ohm_per_m",
    L="length_m",
)
def loop_impedance(external_ohm: float, line_ohm_per_m: float, protective_ohm_per_m: float, length_m: float) -> float:
    """Impedance of the earth-fault loop at the far end of a circuit [ohm].

    Parameters
    ----------
    external_ohm : float
        Loop impedance at the origin of the circuit [ohm].
    line_ohm_per_m, protective_ohm_per_m : float
        Resistance per length of the line and the protective conductor, hot [ohm/m].
    length_m : float
        Length of the run, one way [m].

    Notes
    -----
    Magnitudes are added as numbers, which never understates the loop.
    """
    return external_ohm + (line_ohm_per_m + protective_ohm_per_m) * length_m


@law("Zmax = n × c × U0/Ia", n="share", c="voltage_factor", U0="voltage_to_earth_v", Ia="tripping_current_a")
def loop_impedance_limit(
    share: float, voltage_factor: float, voltage_to_earth_v: float, tripping_current_a: float
) -> float:
    """Highest loop impedance at which the device still disconnects in time [ohm].

    Parameters
    ----------
    share : float
        Share of the limit that the rules in force allow [1].
    voltage_factor : float
        Lowest supply voltage as a share of nominal [1].
    voltage_to_earth_v : float
        Nominal voltage between a line and earth [V].
    tripping_current_a : float
        Current that makes the device disconnect within the permitted time [A].

    Notes
    -----
    IEC 60364-4-41, 411.4: Zs × Ia ≤ U0.
    """
    return share * voltage_factor * voltage_to_earth_v / tripping_current_a


@law("R = n × Ut/IdN", n="share", Ut="touch_voltage_v", IdN="residual_current_a")
def residual_current_loop_limit(share: float, touch_voltage_v: float, residual_current_a: float) -> float:
    """Highest earth resistance (or loop impedance) at which an RCD holds the touch voltage [ohm].

    Parameters
    ----------
    share : float
        Share of the limit that the rules in force allow [1].
    touch_voltage_v : float
        Permitted touch voltage [V].
    residual_current_a : float
        Rated residual operating current [A].

    Notes
    -----
    IEC 60364-4-41, 411.5.3: RA × IΔn ≤ 50 V.
    """
    return share * touch_voltage_v / residual_current_a


@law("If = U0/Z", U0="voltage_to_earth_v", Z="loop_impedance_ohm")
def fault_current(voltage_to_earth_v: float, loop_impedance_ohm: float) -> float:
    """Prospective earth-fault current [A]: `voltage_to_earth_v` [V] over `loop_impedance_ohm` [ohm]."""
    return voltage_to_earth_v / loop_impedance_ohm


@law("E = I² × t", I="current_a", t="duration_s")
def let_through(current_a: float, duration_s: float) -> float:
    """Joule integral of a steady fault current [A²s]: `current_a` [A] for `duration_s` [s]."""
    return current_a**2 * duration_s


@law("S = n × √(E)/(k × 10^6)", n="multiple", E="let_through_a2s", k="material_factor")
def adiabatic_cross_section(multiple: float, let_through_a2s: float, material_factor: float) -> float:
    """Least cross-section that swallows the heat of a short fault [m²].

    Parameters
    ----------
    multiple : float
        Multiple of the bare minimum that the rules in force ask for [1].
    let_through_a2s : float
        Joule integral I²t that reaches the conductor, of a fault of at most 5 s [A²s].
    material_factor : float
        k of conductor and insulation, as it is printed [A·√s/mm²].

    Notes
    -----
    IEC 60364-5-54, 543.1.2: no heat is taken to leave the conductor during the fault.
    """
    return multiple * math.sqrt(let_through_a2s) / (material_factor * 1e6)


@law("L = (Zmax − Ze)/(R1 + R2)", Zmax="limit_ohm", Ze="external_ohm", R1="line_ohm_per_m", R2="protective_ohm_per_m")
def longest_run_for_loop(
    limit_ohm: float, external_ohm: float, line_ohm_per_m: float, protective_ohm_per_m: float
) -> float:
    """Length at which the earth-fault loop just reaches its limit [m].

    Parameters
    ----------
    limit_ohm, external_ohm : float
        Limit of the loop, and loop impedance at the origin of the circuit [ohm].
    line_ohm_per_m, protective_ohm_per_m : float
        Resistance per length of the line and the protective conductor, hot [ohm/m].
    """
    return (limit_ohm - external_ohm) / (line_ohm_per_m + protective_ohm_per_m)
