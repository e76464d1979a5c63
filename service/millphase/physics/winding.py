"""Resistance of windings: copper and temperature, star and delta legs, unbalance."""

from __future__ import annotations

from millphase.physics.law import law


@law("R20 = R × (k + 20)/(k + T)", R="resistance_ohm", k="zero_resistance_k", T="temperature_c")
def resistance_at_20c(resistance_ohm: float, zero_resistance_k: float, temperature_c: float) -> float:
    """Conductor resistance referred to 20 °C [ohm].

    Parameters
    ----------
    resistance_ohm : float
        Resistance read [ohm].
    zero_resistance_k : float
        Magnitude of the temperature at which the resistance would vanish [K]: 235 for copper, 225 for
        aluminium in IEC 60034-1; 234.5 for copper in American practice.
    temperature_c : float
        Conductor temperature at the reading [°C].
    """
    return resistance_ohm * (zero_resistance_k + 20.0) / (zero_resistance_k + temperature_c)


@law("t2 = R2/R1 × (k + t1) − k", R1="cold_ohm", R2="hot_ohm", t1="cold_c", k="zero_resistance_k")
def temperature_from_resistance(cold_ohm: float, hot_ohm: float, cold_c: float, zero_resistance_k: float) -> float:
    """Winding temperature from its resistance hot and cold [°C] (IEC 60034-1, 8.6).

    Parameters
    ----------
    cold_ohm, hot_ohm : float
        Resistance cold and hot [ohm].
    cold_c : float
        Temperature at the cold reading [°C].
    zero_resistance_k : float
        As for :func:`resistance_at_20c` [K].
    """
    return hot_ohm / cold_ohm * (zero_resistance_k + cold_c) - zero_resistance_k


@law("Rn = R − Rl", R="reading_ohm", Rl="lead_ohm")
def without_leads(reading_ohm: float, lead_ohm: float) -> float:
    """A reading less the resistance of the test leads [ohm].

    Parameters
    ----------
    reading_ohm, lead_ohm : float
        What the meter shows, and its leads shorted together [ohm].
    """
    return reading_ohm - lead_ohm


@law("Rm = (A + B + C)/3", A="first_ohm", B="second_ohm", C="third_ohm")
def mean(first_ohm: float, second_ohm: float, third_ohm: float) -> float:
    """Mean of the three readings [ohm].

    Parameters
    ----------
    first_ohm, second_ohm, third_ohm : float
        The readings [ohm].
    """
    # Counted from the first, so that three equal readings have exactly their own value as mean.
    return first_ohm + ((second_ohm - first_ohm) + (third_ohm - first_ohm)) / 3.0


@law("u = max(abs(A − Rm), abs(B − Rm), abs(C − Rm))/Rm", A="first_ohm", B="second_ohm", C="third_ohm", Rm="mean_ohm")
def unbalance_from_mean(first_ohm: float, second_ohm: float, third_ohm: float, mean_ohm: float) -> float:
    """Largest deviation from the mean, as a share of the mean [1].

    Parameters
    ----------
    first_ohm, second_ohm, third_ohm : float
        The readings [ohm].
    mean_ohm : float
        Their mean [ohm].
    """
    return max(abs(first_ohm - mean_ohm), abs(second_ohm - mean_ohm), abs(third_ohm - mean_ohm)) / mean_ohm


@law("s = (max(A, B, C) − min(A, B, C))/Rm", A="first_ohm", B="second_ohm", C="third_ohm", Rm="mean_ohm")
def spread_over_mean(first_ohm: float, second_ohm: float, third_ohm: float, mean_ohm: float) -> float:
    """Highest less lowest, as a share of the mean [1]: the other published measure of unbalance.

    Parameters
    ----------
    first_ohm, second_ohm, third_ohm : float
        The readings [ohm].
    mean_ohm : float
        Their mean [ohm].
    """
    readings = (first_ohm, second_ohm, third_ohm)
    return (max(readings) - min(readings)) / mean_ohm


@law("Rph = R/2", R="line_ohm")
def phase_of_star(line_ohm: float) -> float:
    """Phase resistance of a balanced star from the resistance between two lines [ohm].

    Parameters
    ----------
    line_ohm : float
        Between two lines [ohm].
    """
    return line_ohm / 2.0


@law("Rph = 1.5 × R", R="line_ohm")
def phase_of_delta(line_ohm: float) -> float:
    """Phase resistance of a balanced delta from the resistance between two lines [ohm].

    Parameters
    ----------
    line_ohm : float
        Between two lines [ohm].
    """
    return 1.5 * line_ohm


@law("leg = (Ra + Rb − Ro)/2", Ra="first_ohm", Rb="second_ohm", Ro="opposite_ohm")
def star_leg(first_ohm: float, second_ohm: float, opposite_ohm: float) -> float:
    """Leg of a star from the two line readings that contain it and the one that does not [ohm].

    Parameters
    ----------
    first_ohm, second_ohm : float
        The two line readings that contain the leg [ohm].
    opposite_ohm : float
        The line reading that does not [ohm].
    """
    return (first_ohm + second_ohm - opposite_ohm) / 2.0


@law("leg = 2 × Ra × Rb/(Ra + Rb − R) + (R − Ra − Rb)/2", Ra="first_ohm", Rb="second_ohm", R="across_ohm")
def delta_leg(first_ohm: float, second_ohm: float, across_ohm: float) -> float:
    """Leg of a delta from the reading across it and the two other readings [ohm].

    Parameters
    ----------
    first_ohm, second_ohm : float
        The two other line readings [ohm].
    across_ohm : float
        The line reading across the leg [ohm].

    Raises
    ------
    ZeroDivisionError
        When the reading across equals the other two together, which is a leg that is open.
    """
    around = first_ohm + second_ohm - across_ohm
    return 2.0 * first_ohm * second_ohm / around - around / 2.0
