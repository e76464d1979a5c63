"""Cage induction motor: speed, slip, torque, flux, current and efficiency on any voltage and frequency.

Rotational frequency is in r/s, so that T = P / (2π n) and n0 = 2 f / p with p poles. Slip is handled as a
difference of two speeds, because at constant flux it follows the torque and not the frequency.
"""

from __future__ import annotations

import math

from millphase.physics.law import law

ROOT_3 = math.sqrt(3.0)
_LEAST_POLES, _MOST_POLES = 2, 12


@law("n0 = 2 × f / p", f="frequency_hz", p="poles")
def synchronous_speed(frequency_hz: float, poles: float) -> float:
    """Speed of the rotating field [r/s] of a winding with `poles` poles on `frequency_hz` [Hz].

    Source: definition; every textbook on induction machines (n0 = 120 f / p in r/min).

    Parameters
    ----------
    frequency_hz : float
        Frequency of the supply [Hz].
    poles : float
        Number of poles [1].
    """
    return 2.0 * frequency_hz / poles


@law("Δn = n0 − n", n0="synchronous_rev_per_s", n="speed_rev_per_s")
def slip_speed(synchronous_rev_per_s: float, speed_rev_per_s: float) -> float:
    """How far the rotor lags behind the field [r/s]. Source: definition.

    Parameters
    ----------
    synchronous_rev_per_s : float
        Speed of the rotating field [r/s].
    speed_rev_per_s : float
        Shaft speed [r/s].
    """
    return synchronous_rev_per_s - speed_rev_per_s


@law("s = (n0 − n) / n0", n0="synchronous_rev_per_s", n="speed_rev_per_s")
def slip(synchronous_rev_per_s: float, speed_rev_per_s: float) -> float:
    """Slip as a share of the synchronous speed [1]. Source: definition.

    Parameters
    ----------
    synchronous_rev_per_s : float
        Speed of the rotating field [r/s].
    speed_rev_per_s : float
        Shaft speed [r/s].
    """
    return (synchronous_rev_per_s - speed_rev_per_s) / synchronous_rev_per_s


@law("fr = s × f", s="slip_share", f="frequency_hz")
def rotor_frequency(slip_share: float, frequency_hz: float) -> float:
    """Frequency of the rotor currents [Hz]. Source: definition.

    Parameters
    ----------
    slip_share : float
        Slip [1].
    frequency_hz : float
        Frequency of the supply [Hz].
    """
    return slip_share * frequency_hz


@law("T = P / (2 × π × n)", P="power_w", n="speed_rev_per_s")
def torque(power_w: float, speed_rev_per_s: float) -> float:
    """Shaft torque [N·m] that gives `power_w` [W] at `speed_rev_per_s` [r/s]. Source: first principles.

    Parameters
    ----------
    power_w : float
        Shaft power [W].
    speed_rev_per_s : float
        Shaft speed [r/s].
    """
    return power_w / (2.0 * math.pi * speed_rev_per_s)


@law("P = 2 × π × n × T", n="speed_rev_per_s", T="torque_n_m")
def power(speed_rev_per_s: float, torque_n_m: float) -> float:
    """Shaft power [W]. Source: first principles.

    Parameters
    ----------
    speed_rev_per_s : float
        Shaft speed [r/s].
    torque_n_m : float
        Shaft torque [N·m].
    """
    return 2.0 * math.pi * speed_rev_per_s * torque_n_m


@law("I = P / (√(3) × U × η × k)", P="power_w", U="line_voltage_v", η="efficiency", k="power_factor")
def line_current(power_w: float, line_voltage_v: float, efficiency: float, power_factor: float) -> float:
    """Line current [A] at shaft power `power_w` [W]. Source: definition of three-phase power.

    Parameters
    ----------
    power_w : float
        Shaft power [W].
    line_voltage_v : float
        Voltage between lines [V].
    efficiency : float
        Efficiency [1].
    power_factor : float
        Power factor [1].
    """
    return power_w / (ROOT_3 * line_voltage_v * efficiency * power_factor)


@law("η = P / (√(3) × U × I × k)", P="power_w", U="line_voltage_v", I="current_a", k="power_factor")
def efficiency(power_w: float, line_voltage_v: float, current_a: float, power_factor: float) -> float:
    """Efficiency [1] implied by a plate's power, voltage, current and power factor.

    Source: as :func:`line_current`.

    Parameters
    ----------
    power_w : float
        Shaft power [W].
    line_voltage_v : float
        Voltage between lines [V].
    current_a : float
        Line current [A].
    power_factor : float
        Power factor [1].
    """
    return power_w / (ROOT_3 * line_voltage_v * current_a * power_factor)


@law("k = P / (√(3) × U × I × η)", P="power_w", U="line_voltage_v", I="current_a", η="efficiency_share")
def power_factor(power_w: float, line_voltage_v: float, current_a: float, efficiency_share: float) -> float:
    """Power factor [1] that fits power, voltage, current and efficiency. Source: as :func:`line_current`.

    Parameters
    ----------
    power_w : float
        Shaft power [W].
    line_voltage_v : float
        Voltage between lines [V].
    current_a : float
        Line current [A].
    efficiency_share : float
        Efficiency [1].
    """
    return power_w / (ROOT_3 * line_voltage_v * current_a * efficiency_share)


@law("a = P / (√(3) × U × I)", P="power_w", U="line_voltage_v", I="current_a")
def power_per_volt_ampere(power_w: float, line_voltage_v: float, current_a: float) -> float:
    """Shaft power per apparent power [1]: efficiency times power factor. Source: as :func:`line_current`.

    Parameters
    ----------
    power_w : float
        Shaft power [W].
    line_voltage_v : float
        Voltage between lines [V].
    current_a : float
        Line current [A].
    """
    return power_w / (ROOT_3 * line_voltage_v * current_a)


@law("I = Iy × √(3)", Iy="star_current_a")
def delta_current(star_current_a: float) -> float:
    """Line current in delta [A] of a winding that draws `star_current_a` in star, winding voltage equal.

    Parameters
    ----------
    star_current_a : float
        Line current in star [A].
    """
    return star_current_a * ROOT_3


@law("I = Id / √(3)", Id="delta_current_a")
def star_current(delta_current_a: float) -> float:
    """Line current in star [A] of a winding that draws `delta_current_a` in delta, winding voltage equal.

    Parameters
    ----------
    delta_current_a : float
        Line current in delta [A].
    """
    return delta_current_a / ROOT_3


@law("Uw = U / m", U="line_voltage_v", m="turns_share")
def winding_voltage(line_voltage_v: float, turns_share: float) -> float:
    """Voltage across one part winding [V].

    Source: circuit geometry.

    Parameters
    ----------
    line_voltage_v : float
        Voltage between lines [V].
    turns_share : float
        Line voltage over the part winding's voltage [1]: 1 in (parallel) delta, √3 in (parallel) star, 2 in series
        delta, 2√3 in series star.
    """
    return line_voltage_v / turns_share


@law("r = Uw / Un", Uw="winding_voltage_v", Un="rated_winding_voltage_v")
def voltage_ratio(winding_voltage_v: float, rated_winding_voltage_v: float) -> float:
    """Winding voltage as a share of what the winding is made for [1].

    Parameters
    ----------
    winding_voltage_v : float
        Voltage across the part winding [V].
    rated_winding_voltage_v : float
        Voltage it is made for [V].
    """
    return winding_voltage_v / rated_winding_voltage_v


@law("φ = r × fn / f", r="ratio", fn="rated_frequency_hz", f="frequency_hz")
def flux_ratio(ratio: float, rated_frequency_hz: float, frequency_hz: float) -> float:
    """Flux as a share of rated flux [1]: voltage per hertz over its rated value, stator drop neglected.

    Parameters
    ----------
    ratio : float
        Winding voltage over rated winding voltage [1].
    rated_frequency_hz : float
        Frequency on the plate [Hz].
    frequency_hz : float
        Frequency of the supply [Hz].
    """
    return ratio * rated_frequency_hz / frequency_hz


@law("t = min(φ, 1)^2", φ="flux_share")
def torque_ratio(flux_share: float) -> float:
    """Starting and pull-out torque as a share of their rated values [1]: they follow the square of the flux.

    Flux above rated saturates the iron and is not counted on.
    Source: equivalent circuit of the induction machine; a star-started motor gives a third.

    Parameters
    ----------
    flux_share : float
        Flux over rated flux [1].
    """
    return min(flux_share, 1.0) ** 2


@law("c = 1 / φ", φ="flux_share")
def load_current_ratio(flux_share: float) -> float:
    """Winding current at rated torque over rated current [1] when the flux is below rated.

    Torque is flux times rotor current, so the missing flux is made up by current; magnetising current is neglected.
    Source: equivalent circuit.

    Parameters
    ----------
    flux_share : float
        Flux over rated flux [1].
    """
    return 1.0 / flux_share


@law("U = Un × f / fn", Un="rated_voltage_v", f="frequency_hz", fn="rated_frequency_hz")
def voltage_for_rated_flux(rated_voltage_v: float, frequency_hz: float, rated_frequency_hz: float) -> float:
    """Line voltage [V] that gives rated flux at another frequency: voltage per hertz stays the same.

    Parameters
    ----------
    rated_voltage_v : float
        Line voltage on the plate [V].
    frequency_hz : float
        Frequency of the supply [Hz].
    rated_frequency_hz : float
        Frequency on the plate [Hz].
    """
    return rated_voltage_v * frequency_hz / rated_frequency_hz


@law("fb = fn × min(r, 1)", fn="rated_frequency_hz", r="ratio")
def full_torque_frequency(rated_frequency_hz: float, ratio: float) -> float:
    """Highest frequency [Hz] with rated voltage per hertz, hence rated torque, the drive being set to plate voltage.

    Parameters
    ----------
    rated_frequency_hz : float
        Frequency on the plate [Hz].
    ratio : float
        Winding voltage over rated winding voltage [1].
    """
    return rated_frequency_hz * min(ratio, 1.0)


@law("fb = fn × r", fn="rated_frequency_hz", r="ratio")
def extended_base_frequency(rated_frequency_hz: float, ratio: float) -> float:
    """Base frequency [Hz] at which a voltage of `ratio` [1] times rated gives rated voltage per hertz.

    Parameters
    ----------
    rated_frequency_hz : float
        Frequency on the plate [Hz].
    ratio : float
        Winding voltage over rated winding voltage [1].
    """
    return rated_frequency_hz * ratio


@law("P1 = Pn × f / fn", Pn="rated_power_w", f="frequency_hz", fn="rated_frequency_hz")
def power_at_rated_torque(rated_power_w: float, frequency_hz: float, rated_frequency_hz: float) -> float:
    """Shaft power [W] at rated torque and `frequency_hz`, the change of slip share neglected.

    Parameters
    ----------
    rated_power_w : float
        Power on the plate [W].
    frequency_hz : float
        Frequency of the supply [Hz].
    rated_frequency_hz : float
        Frequency on the plate [Hz].
    """
    return rated_power_w * frequency_hz / rated_frequency_hz


@law("n = 2 × f / p − Δn × t", f="frequency_hz", p="poles", Δn="rated_slip_rev_per_s", t="torque_share")
def speed_at_rated_flux(frequency_hz: float, poles: float, rated_slip_rev_per_s: float, torque_share: float) -> float:
    """Shaft speed [r/s] at rated flux and `torque_share` [1] of rated torque.

    At constant flux the slip in r/s is proportional to torque and independent of the frequency.
    Source: linear part of the torque curve, equivalent circuit.

    Parameters
    ----------
    frequency_hz : float
        Frequency of the supply [Hz].
    poles : float
        Number of poles [1].
    rated_slip_rev_per_s : float
        Slip at rated torque [r/s].
    torque_share : float
        Torque over rated torque [1].
    """
    return 2.0 * frequency_hz / poles - rated_slip_rev_per_s * torque_share


@law("n = 2 × f / p − Δn × t × (f / fb)^2", f="frequency_hz", p="poles", Δn="rated_slip_rev_per_s",
     t="torque_share", fb="base_frequency_hz")  # fmt: skip
def speed_in_field_weakening(
    frequency_hz: float, poles: float, rated_slip_rev_per_s: float, torque_share: float, base_frequency_hz: float
) -> float:
    """Shaft speed [r/s] above the base frequency.

    Torque is flux times slip times flux, and the flux falls as 1/f, so the same torque takes slip as f².
    At constant power, where torque falls as 1/f, the slip as a share stays that of the base point.
    Source: linear part of the torque curve, equivalent circuit.

    Parameters
    ----------
    frequency_hz : float
        Frequency of the supply [Hz].
    poles : float
        Number of poles [1].
    rated_slip_rev_per_s : float
        Slip at rated torque and rated flux [r/s].
    torque_share : float
        Torque over rated torque [1].
    base_frequency_hz : float
        Frequency up to which the voltage follows the frequency [Hz].
    """
    return 2.0 * frequency_hz / poles - rated_slip_rev_per_s * torque_share * (frequency_hz / base_frequency_hz) ** 2


@law("t = min(k, fb / f, m × (fb / f)^2 / c)", k="cooling_share", fb="base_frequency_hz", f="frequency_hz",
     m="pull_out_share", c="margin")  # fmt: skip
def torque_share_above_base(
    cooling_share: float, base_frequency_hz: float, frequency_hz: float, pull_out_share: float, margin: float
) -> float:
    """Usable torque over rated torque [1] above the base frequency.

    The least of what cooling allows, of constant power (1/f), and of what keeps `margin` to the pull-out torque,
    which falls with the square of the flux (1/f²). Source: equivalent circuit, stator resistance neglected.

    Parameters
    ----------
    cooling_share : float
        Continuous torque over rated torque that the cooling allows [1].
    base_frequency_hz : float
        Frequency up to which the voltage follows the frequency [Hz].
    frequency_hz : float
        Frequency of the supply [Hz].
    pull_out_share : float
        Pull-out torque over rated torque at the base frequency [1].
    margin : float
        Pull-out torque over the torque used [1].
    """
    shrink = base_frequency_hz / frequency_hz
    return min(cooling_share, shrink, pull_out_share * shrink**2 / margin)


@law("f = n × p / 2", n="speed_rev_per_s", p="poles")
def frequency_at_synchronous_speed(speed_rev_per_s: float, poles: float) -> float:
    """Frequency [Hz] at which an unloaded motor turns at `speed_rev_per_s`.

    Parameters
    ----------
    speed_rev_per_s : float
        Speed that must not be passed even without load [r/s].
    poles : float
        Number of poles [1].
    """
    return speed_rev_per_s * poles / 2.0


@law("f = fb × m / c", fb="base_frequency_hz", m="pull_out_share", c="margin")
def pull_out_frequency(base_frequency_hz: float, pull_out_share: float, margin: float) -> float:
    """Frequency [Hz] above which pull-out with `margin` allows less than constant power.

    Parameters
    ----------
    base_frequency_hz : float
        Frequency up to which the voltage follows the frequency [Hz].
    pull_out_share : float
        Pull-out torque over rated torque at the base frequency [1].
    margin : float
        Pull-out torque over the torque used [1].
    """
    return base_frequency_hz * pull_out_share / margin


@law("η = (A × L^3 + B × L^2 + C × L + D) / 100", A="a", B="b", C="c", D="d", L="log_power")
def least_efficiency(a: float, b: float, c: float, d: float, log_power: float) -> float:
    """Least efficiency of an efficiency class [1]; `log_power` is log10 of the rated power in kW.

    Source: interpolation formula of IEC 60034-30-1, coefficients in the rules.

    Parameters
    ----------
    a : float
        Coefficient of L³ [1].
    b : float
        Coefficient of L² [1].
    c : float
        Coefficient of L [1].
    d : float
        Constant term [1].
    log_power : float
        Decimal logarithm L of the rated power in kW [1].
    """
    return (a * log_power**3 + b * log_power**2 + c * log_power + d) / 100.0


@law("k = k1 + (k2 − k1) × (x − x1) / (x2 − x1)", x="at", x1="lower_at", k1="lower", x2="upper_at", k2="upper")
def between(at: float, lower_at: float, lower: float, upper_at: float, upper: float) -> float:
    """Value on the straight line between two tabulated points [unit of `lower`].

    Parameters
    ----------
    at : float
        Where the value is wanted [any unit].
    lower_at : float
        First point [unit of `at`].
    lower : float
        Value there [any unit].
    upper_at : float
        Second point [unit of `at`].
    upper : float
        Value there [unit of `lower`].
    """
    return lower + (upper - lower) * (at - lower_at) / (upper_at - lower_at)


def poles_from_speed(frequency_hz: float, speed_rev_per_s: float) -> int:
    """Even number of poles whose synchronous speed lies next above `speed_rev_per_s` [r/s].

    Raises
    ------
    ValueError
        When no motor of 2 to 12 poles runs below synchronous speed at this speed.
    """
    for poles in range(_MOST_POLES, 0, -2):
        if 2.0 * frequency_hz / poles > speed_rev_per_s:
            return poles
    raise ValueError(f"faster than the {_LEAST_POLES}-pole synchronous speed")
