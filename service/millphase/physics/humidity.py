"""Moist air: the dew point and the frost point by the Magnus form."""

from __future__ import annotations

import math

from millphase.physics.law import law


@law("g = ln(H) + a × T/(b + T)", H="relative_humidity", T="air_temperature_c", a="a", b="b_c")
def magnus_exponent(relative_humidity: float, air_temperature_c: float, a: float, b_c: float) -> float:
    """Logarithm of the water vapour pressure over the Magnus reference pressure [1].

    Parameters
    ----------
    relative_humidity : float
        Over water, as a share of 1.
    air_temperature_c : float
        Air temperature [°C].
    a, b_c : float
        Magnus constants over water [1, °C].

    Raises
    ------
    ValueError
        For humidity of zero or less, which has no dew point.
    """
    return math.log(relative_humidity) + a * air_temperature_c / (b_c + air_temperature_c)


@law("Td = b × g/(a − g)", g="exponent", a="a", b="b_c")
def condensation_temperature(exponent: float, a: float, b_c: float) -> float:
    """Temperature at which the vapour saturates [°C].

    With the constants over water it is the dew point, with those over ice the frost point; both sets
    share the reference pressure, so one exponent serves both.

    Parameters
    ----------
    exponent : float
        Logarithm of vapour pressure over the reference pressure [1].
    a, b_c : float
        Magnus constants [1, °C].
    """
    return b_c * exponent / (a - exponent)
