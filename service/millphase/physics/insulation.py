"""Insulation resistance: temperature correction, least values, parts in parallel."""

from __future__ import annotations

import math

from millphase.physics.law import law


@law("R40 = R × 0.5^((40 − T)/S)", R="resistance_ohm", T="temperature_c", S="halving_step_k")
def resistance_at_40c_halving(resistance_ohm: float, temperature_c: float, halving_step_k: float) -> float:
    """Insulation resistance referred to 40 °C, taken to halve with every step of warming [ohm].

    Parameters
    ----------
    resistance_ohm : float
        Resistance read [ohm].
    temperature_c : float
        Winding temperature at the reading [°C].
    halving_step_k : float
        Rise that halves the resistance [K]; 10 K in IEEE 43.
    """
    return resistance_ohm * math.pow(0.5, (40.0 - temperature_c) / halving_step_k)


@law("R40 = R × exp(E × (1/313 − 1/(T + 273)))", R="resistance_ohm", T="temperature_c", E="activation_k")
def resistance_at_40c_thermosetting(resistance_ohm: float, temperature_c: float, activation_k: float) -> float:
    """Insulation resistance of a thermosetting system referred to 40 °C [ohm].

    Parameters
    ----------
    resistance_ohm : float
        Resistance read [ohm].
    temperature_c : float
        Winding temperature at the reading [°C].
    activation_k : float
        Constant of the exponential [K]; the standard has one below and one above 40 °C.

    Notes
    -----
    The form is that of IEEE 43-2013, 6.3, which rounds absolute zero to −273 °C.
    """
    return resistance_ohm * math.exp(activation_k * (1.0 / 313.0 - 1.0 / (temperature_c + 273.0)))


@law("Rmin = A + B × U/1000", A="base_ohm", B="per_kilovolt_ohm", U="rated_voltage_v")
def kilovolt_plus_one_minimum(base_ohm: float, per_kilovolt_ohm: float, rated_voltage_v: float) -> float:
    """Least resistance of an older winding: a base plus a share per kilovolt of rated voltage [ohm].

    With 1 Mohm and 1 Mohm per kV it is the "kV + 1" rule of IEEE 43.

    Parameters
    ----------
    base_ohm, per_kilovolt_ohm : float
        The base, and what each kilovolt adds [ohm].
    rated_voltage_v : float
        Rated voltage between lines [V].
    """
    return base_ohm + per_kilovolt_ohm * rated_voltage_v / 1000.0


@law("R25 = R × 0.5^((25 − T)/S)", R="resistance_ohm", T="temperature_c", S="halving_step_k")
def resistance_at_25c_halving(resistance_ohm: float, temperature_c: float, halving_step_k: float) -> float:
    """Insulation resistance referred to 25 °C, the reference of several motor makers [ohm].

    Parameters
    ----------
    resistance_ohm : float
        Resistance read [ohm].
    temperature_c : float
        Winding temperature at the reading [°C].
    halving_step_k : float
        Rise that halves the resistance [K].
    """
    return resistance_ohm * math.pow(0.5, (25.0 - temperature_c) / halving_step_k)


@law("Rm = 1/(1/Rmc − 1/Rc)", Rmc="together_ohm", Rc="cable_ohm")
def resistance_behind_cable(together_ohm: float, cable_ohm: float) -> float:
    """Insulation resistance of the motor, from motor and cable together and the cable alone [ohm].

    Both lie in parallel to earth. The cable alone must read more than the two together.

    Parameters
    ----------
    together_ohm, cable_ohm : float
        Motor and cable together, and the cable alone [ohm].
    """
    return 1.0 / (1.0 / together_ohm - 1.0 / cable_ohm)


@law("R = 1/(1/Ru + 1/Rv + 1/Rw)", Ru="first_ohm", Rv="second_ohm", Rw="third_ohm")
def three_in_parallel(first_ohm: float, second_ohm: float, third_ohm: float) -> float:
    """Insulation resistance to earth of three windings joined together [ohm].

    Parameters
    ----------
    first_ohm, second_ohm, third_ohm : float
        Each winding alone [ohm].
    """
    return 1.0 / (1.0 / first_ohm + 1.0 / second_ohm + 1.0 / third_ohm)
