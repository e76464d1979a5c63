"""Currents, powers and impedances around a drive: what its motor needs and what is left of its rating."""

from __future__ import annotations

import math

from millphase.physics.law import law


@law("P1 = P2 / η", P2="shaft_power_w", η="efficiency")
def power_taken(shaft_power_w: float, efficiency: float) -> float:
    """Power taken by a machine that delivers `shaft_power_w` at `efficiency`.

    Parameters
    ----------
    shaft_power_w : float
        Power delivered [W].
    efficiency : float
        Delivered over taken [1].

    Returns
    -------
    float
        Power taken [W].
    """
    return shaft_power_w / efficiency


@law("P1 = √(3) × U × I × k", U="voltage_v", I="current_a", k="power_factor")
def three_phase_power(voltage_v: float, current_a: float, power_factor: float) -> float:
    """Power a three-phase machine takes from its lines.

    Parameters
    ----------
    voltage_v : float
        Line-to-line voltage, r.m.s. [V].
    current_a : float
        Line current, r.m.s. [A].
    power_factor : float
        Power over apparent power [1]; 1 gives the apparent power.

    Returns
    -------
    float
        Power [W].
    """
    return math.sqrt(3) * voltage_v * current_a * power_factor


@law("I0 = I × max(1, k / o)", I="motor_current_a", k="overload_needed", o="overload_allowed")
def output_current_needed(motor_current_a: float, overload_needed: float, overload_allowed: float) -> float:
    """Rated output current a drive must have for a motor and its duty.

    The drive must carry the motor's rated current all day, and the duty's short overload within its own.

    Parameters
    ----------
    motor_current_a : float
        Motor's rated current at the connection used [A].
    overload_needed : float
        Short overload of the duty, over the motor's rated current [1].
    overload_allowed : float
        Short overload of the drive, over its rated output current [1].

    Returns
    -------
    float
        Current [A].
    """
    return motor_current_a * max(1.0, overload_needed / overload_allowed)


@law("f = max(0, 1 − r × max(0, x − x0))", r="rate", x="value", x0="free_up_to")
def straight_derating(rate: float, value: float, free_up_to: float) -> float:
    """Share of the rating left when it falls in a straight line beyond a limit.

    Parameters
    ----------
    rate : float
        Loss for each unit of `value` beyond the limit [1 per unit].
    value : float
        What the drive works in, e.g. the ambient temperature [°C].
    free_up_to : float
        Where the loss begins, in the same unit [°C].

    Returns
    -------
    float
        Share of the rating [1].
    """
    return max(0.0, 1 - rate * max(0.0, value - free_up_to))


@law("f = max(0, 1 − r × max(0, h − h0) / s)", r="rate", h="altitude_m", h0="free_up_to_m", s="step_m")
def altitude_derating(rate: float, altitude_m: float, free_up_to_m: float, step_m: float) -> float:
    """Share of the rating left in thin air.

    Parameters
    ----------
    rate : float
        Loss for each step of height [1].
    altitude_m, free_up_to_m, step_m : float
        Height above sea level, height at which the loss begins, and step the rate holds for [m].

    Returns
    -------
    float
        Share of the rating [1].
    """
    return max(0.0, 1 - rate * max(0.0, altitude_m - free_up_to_m) / step_m)


@law("I1 = I × c × a × h × s", I="rated_a", c="by_carrier", a="by_ambient", h="by_altitude", s="by_input")
def output_current_left(
    rated_a: float, by_carrier: float, by_ambient: float, by_altitude: float, by_input: float
) -> float:
    """Output current a drive can give where it stands.

    Parameters
    ----------
    rated_a : float
        Rated output current [A].
    by_carrier, by_ambient, by_altitude, by_input : float
        Shares left by the carrier frequency, the ambient temperature, the altitude, and one phase at the
        input of a three-phase drive [1].

    Returns
    -------
    float
        Current [A].
    """
    return rated_a * by_carrier * by_ambient * by_altitude * by_input


@law("L = X / (2 × π × f)", X="reactance_ohm", f="frequency_hz")
def inductance_of_reactance(reactance_ohm: float, frequency_hz: float) -> float:
    """Inductance that has a given reactance.

    Parameters
    ----------
    reactance_ohm : float
        Reactance [ohm].
    frequency_hz : float
        Frequency [Hz].

    Returns
    -------
    float
        Inductance [H].
    """
    return reactance_ohm / (2 * math.pi * frequency_hz)


@law("L = z × U² / (2 × π × f × P)", z="share", U="voltage_v", f="frequency_hz", P="power_w")
def choke_inductance(share: float, voltage_v: float, frequency_hz: float, power_w: float) -> float:
    """Inductance of a line choke that is named by its voltage drop in per cent.

    Parameters
    ----------
    share : float
        Drop at the load's active current, over the supply voltage [1].
    voltage_v, frequency_hz : float
        Supply voltage, r.m.s. [V], and frequency [Hz].
    power_w : float
        Power of the load [W].

    Returns
    -------
    float
        Inductance [H].
    """
    return share * voltage_v**2 / (2 * math.pi * frequency_hz * power_w)


@law("R = Z × R0 / √(R0² + X0²)", Z="impedance_ohm", R0="pattern_ohm", X0="other_ohm")
def share_of_impedance(impedance_ohm: float, pattern_ohm: float, other_ohm: float) -> float:
    """One component of an impedance of which only the magnitude is known.

    Parameters
    ----------
    impedance_ohm : float
        Magnitude [ohm].
    pattern_ohm, other_ohm : float
        The wanted and the other component of an impedance of the same angle [ohm].

    Returns
    -------
    float
        The wanted component [ohm].
    """
    return impedance_ohm * pattern_ohm / math.hypot(pattern_ohm, other_ohm)


@law("d = √(max(0, I² − J²)) / J", I="current_a", J="fundamental_a")
def distortion(current_a: float, fundamental_a: float) -> float:
    """Total harmonic distortion of a current.

    Parameters
    ----------
    current_a, fundamental_a : float
        The current and its fundamental, r.m.s. [A].

    Returns
    -------
    float
        Harmonics over fundamental [1].
    """
    return math.sqrt(max(0.0, current_a**2 - fundamental_a**2)) / fundamental_a


@law("d = √(max(0, I² − J² − K²)) / J", I="current_a", J="fundamental_a", K="direct_a")
def distortion_beside_direct(current_a: float, fundamental_a: float, direct_a: float) -> float:
    """Total harmonic distortion of a current that has a direct component, which is no harmonic.

    Parameters
    ----------
    current_a, fundamental_a : float
        The current and its fundamental, r.m.s. [A].
    direct_a : float
        Its direct component [A].

    Returns
    -------
    float
        Harmonics over fundamental [1].
    """
    return math.sqrt(max(0.0, current_a**2 - fundamental_a**2 - direct_a**2)) / fundamental_a


@law("k = P / (U × I)", P="power_w", U="voltage_v", I="current_a")
def true_power_factor(power_w: float, voltage_v: float, current_a: float) -> float:
    """True power factor; with the fundamental of the current, the displacement factor.

    Parameters
    ----------
    power_w : float
        Mean power [W].
    voltage_v, current_a : float
        Voltage [V] and current [A], r.m.s.

    Returns
    -------
    float
        Power over apparent power [1].
    """
    return power_w / (voltage_v * current_a)


@law("k = a / b", a="part", b="whole")
def share_of(part: float, whole: float) -> float:
    """One quantity over another of the same kind.

    Parameters
    ----------
    part, whole : float
        The two, in the same unit [any].

    Returns
    -------
    float
        Their ratio [1].
    """
    return part / whole


@law("u = I × √(R² + X²) / U", I="current_a", R="resistance_ohm", X="reactance_ohm", U="voltage_v")
def voltage_drop_share(current_a: float, resistance_ohm: float, reactance_ohm: float, voltage_v: float) -> float:
    """Largest voltage drop a current can make in an impedance, over the voltage.

    Parameters
    ----------
    current_a : float
        Current, r.m.s. [A].
    resistance_ohm, reactance_ohm : float
        Impedance of the whole loop [ohm].
    voltage_v : float
        Voltage, r.m.s. [V].

    Returns
    -------
    float
        Share of the voltage [1].
    """
    return current_a * math.hypot(resistance_ohm, reactance_ohm) / voltage_v


@law("V = √(2) × U", U="voltage_v")
def crest_voltage(voltage_v: float) -> float:
    """Crest of a sinusoidal voltage: what the DC link of an idle drive charges to.

    Parameters
    ----------
    voltage_v : float
        Supply voltage, line to neutral for a single-phase input, r.m.s. [V].

    Returns
    -------
    float
        Voltage [V].
    """
    return math.sqrt(2) * voltage_v


@law("U2 = V / √(2)", V="dc_voltage_v")
def greatest_output_voltage(dc_voltage_v: float) -> float:
    """Greatest sinusoidal line-to-line voltage an inverter makes of its DC link without overmodulation.

    Parameters
    ----------
    dc_voltage_v : float
        Mean DC link voltage [V].

    Returns
    -------
    float
        Voltage, r.m.s. [V].
    """
    return dc_voltage_v / math.sqrt(2)


@law("I = c × l × V × f", c="capacitance_per_metre_f", l="length_m", V="dc_voltage_v", f="carrier_hz")
def charging_current(capacitance_per_metre_f: float, length_m: float, dc_voltage_v: float, carrier_hz: float) -> float:
    """Mean current, per phase, with which a drive recharges its motor cable at every edge.

    Parameters
    ----------
    capacitance_per_metre_f : float
        Of one core against the others and the screen [F/m].
    length_m : float
        Cable length [m].
    dc_voltage_v : float
        Height of the edge [V].
    carrier_hz : float
        Carrier frequency [Hz].

    Returns
    -------
    float
        Current [A].
    """
    return capacitance_per_metre_f * length_m * dc_voltage_v * carrier_hz
