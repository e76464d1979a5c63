"""Stopping a turning mass: inertia, energy, power and the resistor that takes it."""

from __future__ import annotations

import math

from millphase.physics.law import law


@law("m = ρ × π × (D² − d²) × w / 4", ρ="density_kg_per_m3", D="diameter_m", d="bore_m", w="width_m")
def ring_mass(density_kg_per_m3: float, diameter_m: float, bore_m: float, width_m: float) -> float:
    """Mass of a cylinder with a bore.

    Parameters
    ----------
    density_kg_per_m3 : float
        Density [kg/m³].
    diameter_m, bore_m, width_m : float
        Outside diameter, bore (0 if solid) and width [m].

    Returns
    -------
    float
        Mass [kg].
    """
    return density_kg_per_m3 * math.pi * (diameter_m**2 - bore_m**2) * width_m / 4


@law("J = m × (D² + d²) / 8", m="mass_kg", D="diameter_m", d="bore_m")
def ring_inertia(mass_kg: float, diameter_m: float, bore_m: float) -> float:
    """Moment of inertia of a cylinder about its axis.

    Parameters
    ----------
    mass_kg : float
        Mass [kg].
    diameter_m, bore_m : float
        Outside diameter and bore (0 if solid) [m].

    Returns
    -------
    float
        Moment of inertia [kg·m²].
    """
    return mass_kg * (diameter_m**2 + bore_m**2) / 8


@law("J1 = J × (n2 / n1)²", J="inertia_kg_m2", n2="own_rev_per_s", n1="motor_rev_per_s")
def reflected_inertia(inertia_kg_m2: float, own_rev_per_s: float, motor_rev_per_s: float) -> float:
    """Inertia behind a belt or gear as the motor's shaft feels it.

    Parameters
    ----------
    inertia_kg_m2 : float
        Moment of inertia about its own shaft [kg·m²].
    own_rev_per_s, motor_rev_per_s : float
        Speed of that shaft and of the motor's [r/s].

    Returns
    -------
    float
        Moment of inertia [kg·m²].
    """
    return inertia_kg_m2 * (own_rev_per_s / motor_rev_per_s) ** 2


@law("E = 2 × π² × J × n²", J="inertia_kg_m2", n="speed_rev_per_s")
def stored_energy(inertia_kg_m2: float, speed_rev_per_s: float) -> float:
    """Kinetic energy of a turning mass, ½·J·ω².

    Parameters
    ----------
    inertia_kg_m2 : float
        Moment of inertia [kg·m²].
    speed_rev_per_s : float
        Speed [r/s].

    Returns
    -------
    float
        Energy [J].
    """
    return 2 * math.pi**2 * inertia_kg_m2 * speed_rev_per_s**2


@law("P1 = 2 × E / t", E="energy_j", t="stop_s")
def peak_power(energy_j: float, stop_s: float) -> float:
    """Power at the beginning of a stop at a constant rate.

    Parameters
    ----------
    energy_j : float
        Energy to be taken out [J].
    stop_s : float
        Time of the stop [s].

    Returns
    -------
    float
        Power [W].
    """
    return 2 * energy_j / stop_s


@law("P0 = E / t", E="energy_j", t="time_s")
def mean_power(energy_j: float, time_s: float) -> float:
    """Mean power over a time: over the stop, or over the time from one stop to the next.

    Parameters
    ----------
    energy_j : float
        Energy [J].
    time_s : float
        Time [s].

    Returns
    -------
    float
        Power [W].
    """
    return energy_j / time_s


@law("P3 = P × √(t / T)", P="pulse_w", t="pulse_s", T="cycle_s")
def effective_power(pulse_w: float, pulse_s: float, cycle_s: float) -> float:
    """Power that loads a resistor as one pulse in every cycle does, by the root of the mean square.

    Parameters
    ----------
    pulse_w : float
        Power of the pulse [W].
    pulse_s, cycle_s : float
        Length of the pulse and of the cycle [s].

    Returns
    -------
    float
        Power [W].
    """
    return pulse_w * math.sqrt(pulse_s / cycle_s)


@law("R = V² / P", V="dc_voltage_v", P="power_w")
def resistance_limit(dc_voltage_v: float, power_w: float) -> float:
    """Greatest resistance that takes a power at a voltage.

    Parameters
    ----------
    dc_voltage_v : float
        DC link voltage at which the brake chopper works [V].
    power_w : float
        Peak braking power [W].

    Returns
    -------
    float
        Resistance [ohm].
    """
    return dc_voltage_v**2 / power_w


@law("T = 2 × π × J × n / t", J="inertia_kg_m2", n="speed_rev_per_s", t="stop_s")
def braking_torque(inertia_kg_m2: float, speed_rev_per_s: float, stop_s: float) -> float:
    """Torque that stops a turning mass at a constant rate.

    Parameters
    ----------
    inertia_kg_m2 : float
        Moment of inertia [kg·m²].
    speed_rev_per_s : float
        Speed at the beginning [r/s].
    stop_s : float
        Time of the stop [s].

    Returns
    -------
    float
        Torque [N·m].
    """
    return 2 * math.pi * inertia_kg_m2 * speed_rev_per_s / stop_s


@law("t = 2 × E / (s × P)", E="energy_j", s="share", P="motor_power_w")
def stop_without_resistor(energy_j: float, share: float, motor_power_w: float) -> float:
    """Shortest stop at a constant rate when only the losses of motor and drive take the energy.

    Parameters
    ----------
    energy_j : float
        Energy to be taken out [J].
    share : float
        What the losses take, over the motor's rated power [1].
    motor_power_w : float
        Motor's rated power [W].

    Returns
    -------
    float
        Time [s].
    """
    return 2 * energy_j / (share * motor_power_w)
