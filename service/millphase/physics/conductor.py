"""Copper conductors of a circuit: resistance, heat and voltage drop."""

from __future__ import annotations

import math

from .law import law


@law("RT = R20 × (234.5 + T)/254.5", R20="resistance_at_20c_ohm_per_m", T="temperature_c")
def resistance_at_temperature(resistance_at_20c_ohm_per_m: float, temperature_c: float) -> float:
    """Resistance per length of a copper conductor at working temperature [ohm/m].

    Parameters
    ----------
    resistance_at_20c_ohm_per_m : float
        Resistance per length at 20 °C [ohm/m].
    temperature_c : float
        Conductor temperature [°C].

    Notes
    -----
    Annealed copper extrapolates to zero resistance at −234.5 °C (IEC 60028); the round factors 1.20 (70 °C) and 1.28
    (90 °C) of wiring tables are this ratio rounded up.
    """
    return resistance_at_20c_ohm_per_m * (234.5 + temperature_c) / 254.5


@law("T = Ta + (Tm − Ta) × (I/Iz)²", Ta="ambient_c", Tm="limit_c", I="current_a", Iz="capacity_a")
def temperature_at_current(ambient_c: float, limit_c: float, current_a: float, capacity_a: float) -> float:
    """Temperature of a conductor that carries less than its capacity [°C].

    Parameters
    ----------
    ambient_c : float
        Ambient of the circuit [°C].
    limit_c : float
        Conductor temperature when it carries `capacity_a` [°C].
    current_a, capacity_a : float
        Load current, and capacity corrected for the circuit's own conditions [A].
    """
    return ambient_c + (limit_c - ambient_c) * (current_a / capacity_a) ** 2


@law("z = √(r² + x²)", r="resistance_ohm_per_m", x="reactance_ohm_per_m")
def impedance_per_length(resistance_ohm_per_m: float, reactance_ohm_per_m: float) -> float:
    """Impedance per length of one conductor [ohm/m].

    The most that r·cos φ + x·sin φ can be at any power factor, from `resistance_ohm_per_m` [ohm/m] and
    `reactance_ohm_per_m` [ohm/m].
    """
    return math.hypot(resistance_ohm_per_m, reactance_ohm_per_m)


@law("dU = 2 × I × L × z", I="current_a", L="length_m", z="impedance_ohm_per_m")
def voltage_drop_two_wire(current_a: float, length_m: float, impedance_ohm_per_m: float) -> float:
    """Voltage drop of a single-phase circuit, out and back [V].

    Parameters
    ----------
    current_a : float
        Design current [A].
    length_m : float
        Length of the run, one way [m].
    impedance_ohm_per_m : float
        Impedance of one conductor, hot [ohm/m].
    """
    return 2.0 * current_a * length_m * impedance_ohm_per_m


@law("dU = √(3) × I × L × z", I="current_a", L="length_m", z="impedance_ohm_per_m")
def voltage_drop_three_wire(current_a: float, length_m: float, impedance_ohm_per_m: float) -> float:
    """Line-to-line voltage drop of a balanced three-phase circuit [V].

    Parameters
    ----------
    current_a : float
        Design current in each line [A].
    length_m : float
        Length of the run, one way [m].
    impedance_ohm_per_m : float
        Impedance of one conductor, hot [ohm/m].
    """
    return math.sqrt(3.0) * current_a * length_m * impedance_ohm_per_m


@law("dU = d × I × L", d="drop_v_per_a_m", I="current_a", L="length_m")
def voltage_drop_from_table(drop_v_per_a_m: float, current_a: float, length_m: float) -> float:
    """Voltage drop from a tabulated drop per ampere and metre [V].

    Parameters
    ----------
    drop_v_per_a_m : float
        Tabulated drop [V/(A·m)], for the whole circuit (out and back, or line to line).
    current_a : float
        Design current [A].
    length_m : float
        Length of the run, one way [m].
    """
    return drop_v_per_a_m * current_a * length_m
