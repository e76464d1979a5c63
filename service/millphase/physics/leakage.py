"""Currents to earth: filters, wiring, insulation faults on either side of a drive, and what an RCD makes of them.

The fault laws assume an ideal diode bridge without a boost stage (unless said), a DC link without capacitance
to earth, and output legs that spend half of the time at either pole. The neutral is earthed. A time-stepped
simulation and a circuit simulator confirm them in ``tests/reference/leakage``.
"""

from __future__ import annotations

import math

from millphase.physics.law import law


@law("I = 2 × π × f × C × U", f="frequency_hz", C="capacitance_f", U="voltage_v")
def capacitive_leakage(frequency_hz: float, capacitance_f: float, voltage_v: float) -> float:
    """Current through a capacitance from a line to earth [A].

    Only the capacitor on the line counts while the neutral is earthed and connected: the one from neutral to
    earth has next to no voltage across it.

    Parameters
    ----------
    frequency_hz : float
        Supply frequency [Hz].
    capacitance_f : float
        Capacitance between line and earth [F].
    voltage_v : float
        Line to earth [V] r.m.s.
    """
    return 2 * math.pi * frequency_hz * capacitance_f * voltage_v


@law(
    "I2 = I1 × U2 / U1 × f2 / f1",
    I1="declared_current_a",
    U1="declared_voltage_v",
    U2="voltage_v",
    f1="declared_frequency_hz",
    f2="frequency_hz",
)
def scaled_leakage(
    declared_current_a: float,
    declared_voltage_v: float,
    voltage_v: float,
    declared_frequency_hz: float,
    frequency_hz: float,
) -> float:
    """A declared capacitive leakage taken to another supply [A]; it goes with voltage and with frequency.

    Parameters
    ----------
    declared_current_a : float
        Leakage as declared [A].
    declared_voltage_v, voltage_v : float
        Voltage it is declared for, and voltage of the supply [V].
    declared_frequency_hz, frequency_hz : float
        Frequency it is declared for, and frequency of the supply [Hz].
    """
    return declared_current_a * voltage_v / declared_voltage_v * frequency_hz / declared_frequency_hz


@law("I = i × l × U / U1 × f / f1", i="per_length_a_m", l="length_m", U="voltage_v", U1="declared_voltage_v",
     f="frequency_hz", f1="declared_frequency_hz")  # fmt: skip
def wiring_leakage(
    per_length_a_m: float,
    length_m: float,
    voltage_v: float,
    declared_voltage_v: float,
    frequency_hz: float,
    declared_frequency_hz: float,
) -> float:
    """Leakage of a run of wiring [A] from a figure per metre that was stated for one voltage and frequency.

    Parameters
    ----------
    per_length_a_m : float
        Stated figure [A/m].
    length_m : float
        Length of line conductor [m].
    voltage_v, declared_voltage_v : float
        Voltage of the supply and of the statement [V].
    frequency_hz, declared_frequency_hz : float
        Frequency of the supply and of the statement [Hz].
    """
    return per_length_a_m * length_m * voltage_v / declared_voltage_v * frequency_hz / declared_frequency_hz


@law("I = min(max(a, b × k), c)", a="least_a", b="rated", k="per_rated_a", c="most_a")
def class_limit(least_a: float, rated: float, per_rated_a: float, most_a: float) -> float:
    """Protective-conductor current an equipment standard allows [A].

    Parameters
    ----------
    least_a : float
        Allowance of the smallest equipment [A].
    rated : float
        Rated current [A] or power [kW] that the allowance grows with.
    per_rated_a : float
        Growth [A per unit of `rated`].
    most_a : float
        Allowance of the largest equipment [A].
    """
    return min(max(least_a, rated * per_rated_a), most_a)


@law("I = i × Ib + w × l", i="per_load_ratio", Ib="load_current_a", w="per_length_a_m", l="length_m")
def undeclared_leakage(per_load_ratio: float, load_current_a: float, per_length_a_m: float, length_m: float) -> float:
    """Standing leakage reckoned from load current and length of run where nothing is declared [A].

    Parameters
    ----------
    per_load_ratio : float
        Leakage as a share of the load current [1].
    load_current_a : float
        Load current [A].
    per_length_a_m : float
        Leakage per metre of line conductor [A/m].
    length_m : float
        Length of line conductor [m].
    """
    return per_load_ratio * load_current_a + per_length_a_m * length_m


@law("I = U / R", U="voltage_v", R="resistance_ohm")
def fault_current_supply_side(voltage_v: float, resistance_ohm: float) -> float:
    """Residual current of an insulation fault on the supply side of a drive [A r.m.s.]: a plain sine.

    Parameters
    ----------
    voltage_v : float
        Line to earth [V] r.m.s.
    resistance_ohm : float
        Insulation resistance at the fault [ohm].
    """
    return voltage_v / resistance_ohm


@law("It = U / (√(2) × R)", U="voltage_v", R="resistance_ohm")
def fault_current_total(voltage_v: float, resistance_ohm: float) -> float:
    """Residual current of a fault at the motor behind a line-neutral fed drive [A r.m.s., every frequency].

    The faulty terminal stands at the upper pole, which follows the positive half-waves of the line, or at the
    lower pole, which follows the negative ones. Either has the r.m.s. value U/√2, so any duty gives the same.

    Parameters
    ----------
    voltage_v : float
        Line to earth [V] r.m.s.
    resistance_ohm : float
        Insulation resistance at the fault [ohm].
    """
    return voltage_v / (math.sqrt(2) * resistance_ohm)


@law("Im = U / (2 × R)", U="voltage_v", R="resistance_ohm")
def fault_current_mains(voltage_v: float, resistance_ohm: float) -> float:
    """Part of :func:`fault_current_total` at supply frequency [A r.m.s.]: at half duty the mean of both poles.

    Parameters
    ----------
    voltage_v : float
        Line to earth [V] r.m.s.
    resistance_ohm : float
        Insulation resistance at the fault [ohm].
    """
    return voltage_v / (2 * resistance_ohm)


@law("If = m × U / (π × R)", m="modulation", U="voltage_v", R="resistance_ohm")
def fault_current_motor_frequency(modulation: float, voltage_v: float, resistance_ohm: float) -> float:
    """Part of :func:`fault_current_total` at the motor's frequency [A r.m.s.] for a modulation of 0 to 1.

    Parameters
    ----------
    modulation : float
        Modulation of the output legs, 0 to 1 [1].
    voltage_v : float
        Line to earth [V] r.m.s.
    resistance_ohm : float
        Insulation resistance at the fault [ohm].
    """
    return modulation * voltage_v / (math.pi * resistance_ohm)


@law("Id = √(2) × U / (π × R)", U="voltage_v", R="resistance_ohm")
def fault_current_pole_mean(voltage_v: float, resistance_ohm: float) -> float:
    """Mean residual current of a fault on one pole of the DC link [A]: half-waves, r.m.s. U/(√2·R).

    Parameters
    ----------
    voltage_v : float
        Line to earth [V] r.m.s.
    resistance_ohm : float
        Insulation resistance at the fault [ohm].
    """
    return math.sqrt(2) * voltage_v / (math.pi * resistance_ohm)


@law("It = U × √(1 + 3 × √(3) / (4 × π)) / R", U="voltage_v", R="resistance_ohm")
def fault_current_total_three_phase(voltage_v: float, resistance_ohm: float) -> float:
    """Residual current of a motor fault behind a six-pulse bridge on a star-earthed supply [A r.m.s.].

    The pole follows the highest of three lines; `voltage_v` is line to earth. A pole fault has the same r.m.s.
    value and is nearly smooth.

    Parameters
    ----------
    voltage_v : float
        Line to earth [V] r.m.s.
    resistance_ohm : float
        Insulation resistance at the fault [ohm].
    """
    return voltage_v * math.sqrt(1 + 3 * math.sqrt(3) / (4 * math.pi)) / resistance_ohm


@law("It = √(Ud² / 2 − √(2) × U × Ud / π + U² / 2) / R", Ud="link_voltage_v", U="voltage_v", R="resistance_ohm")
def fault_current_total_boost(link_voltage_v: float, voltage_v: float, resistance_ohm: float) -> float:
    """Residual current of a motor fault behind a line-neutral fed bridge with a boost stage [A r.m.s.].

    The lower pole follows the negative half-waves of the line, the upper pole stands the boosted link voltage
    above it, so that the current has a smooth DC part.

    Parameters
    ----------
    link_voltage_v : float
        DC link voltage held by the boost stage [V].
    voltage_v : float
        Line to earth [V] r.m.s.
    resistance_ohm : float
        Insulation resistance at the fault [ohm].
    """
    square = link_voltage_v**2 / 2 - math.sqrt(2) * voltage_v * link_voltage_v / math.pi + voltage_v**2 / 2
    return math.sqrt(square) / resistance_ohm


@law("I = √(Ic² + Ir²)", Ic="capacitive_a", Ir="resistive_a")
def quadrature_sum(capacitive_a: float, resistive_a: float) -> float:
    """Sum of two currents of one frequency a quarter period apart [A r.m.s.].

    Parameters
    ----------
    capacitive_a, resistive_a : float
        The two currents [A r.m.s.].
    """
    return math.hypot(capacitive_a, resistive_a)


@law("I = 2 × fc × C × Ud", fc="carrier_hz", C="capacitance_f", Ud="link_voltage_v")
def carrier_leakage(carrier_hz: float, capacitance_f: float, link_voltage_v: float) -> float:
    """Order of size of the running carrier-frequency leakage [A, mean rectified].

    Each carrier period charges and discharges cable and winding once through the whole link voltage, one third
    per leg. It grows with carrier and length; how much of it an RCD sees depends on the RCD.

    Parameters
    ----------
    carrier_hz : float
        Carrier frequency [Hz].
    capacitance_f : float
        Capacitance of cable and winding to earth [F].
    link_voltage_v : float
        DC link voltage [V].
    """
    return 2 * carrier_hz * capacitance_f * link_voltage_v


@law("R = Ut / I", Ut="touch_voltage_v", I="rated_residual_current_a")
def electrode_limit(touch_voltage_v: float, rated_residual_current_a: float) -> float:
    """Greatest resistance of an earth electrode [ohm] at which an RCD holds the touch voltage limit.

    Parameters
    ----------
    touch_voltage_v : float
        Touch voltage limit [V].
    rated_residual_current_a : float
        Rated residual current of the RCD [A].
    """
    return touch_voltage_v / rated_residual_current_a


@law("Z = c × U / (k × In)", c="voltage_factor", U="voltage_v", k="trip_multiple", In="rated_current_a")
def loop_limit(voltage_factor: float, voltage_v: float, trip_multiple: float, rated_current_a: float) -> float:
    """Greatest loop impedance [ohm] at which a circuit breaker trips at once on an earth fault.

    Parameters
    ----------
    voltage_factor : float
        Allowance for a low supply voltage [1].
    voltage_v : float
        Nominal voltage line to earth [V].
    trip_multiple : float
        Multiple of the rating at which the breaker trips at once [1].
    rated_current_a : float
        Rating of the breaker [A].
    """
    return voltage_factor * voltage_v / (trip_multiple * rated_current_a)


@law("t = (A / I)^n", A="reference_a", I="residual_current_a", n="exponent")
def inverse_trip_time(reference_a: float, residual_current_a: float, exponent: float) -> float:
    """Longest trip time of a device with an inverse curve [s], as North American practice sets it.

    Parameters
    ----------
    reference_a : float
        Current at which the curve reads one second [A].
    residual_current_a : float
        Residual current [A].
    exponent : float
        Steepness of the curve [1].
    """
    return float((reference_a / residual_current_a) ** exponent)
