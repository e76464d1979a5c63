"""Dew and frost point against printed values and a psychrometric library."""

from __future__ import annotations

import psychrolib
import pytest

from millphase.physics import humidity
from millphase.rulebook import workshop

psychrolib.SetUnitSystem(psychrolib.SI)


def point(air_c: float, humidity_percent: float, rule: str = "dew-point-over-water") -> float:
    water = workshop().rules["insulation/dew-point-over-water"].values  # type: ignore[attr-defined]
    used = workshop().rules[f"insulation/{rule}"].values  # type: ignore[attr-defined]
    exponent = humidity.magnus_exponent(humidity_percent / 100, air_c, water["a"].si, water["b"].si)
    return humidity.condensation_temperature(exponent, used["a"].si, used["b"].si)


# Humidity sensor maker's note on dew-point calculation: printed results.
@pytest.mark.parametrize(("air", "rh", "printed"), [(25, 10, -8.77), (50, 90, 47.90)])
def test_sensor_makers_examples(air: float, rh: float, printed: float) -> None:
    assert point(air, rh) == pytest.approx(printed, abs=0.01)


# Coating maker's information sheet 1650 (June 2013), dew-point table, printed to a tenth.
@pytest.mark.parametrize(
    ("air", "rh", "printed"),
    [
        (10, 50, 0.1), (10, 60, 2.6), (10, 80, 6.7), (15, 90, 13.4), (20, 50, 9.3), (20, 60, 12.0), (22, 50, 11.1),
        (25, 50, 13.8), (30, 50, 18.4), (30, 60, 21.4),
    ],
)  # fmt: skip
def test_coating_table(air: float, rh: float, printed: float) -> None:
    assert point(air, rh) == pytest.approx(printed, abs=0.11)


def test_frost_point_of_the_coating_table() -> None:
    # The same sheet prints -4.1 for 5 °C and 50 %: the frost point. Over water it would be -4.57, the stricter one is used.
    assert point(5, 50, "frost-point-over-ice") == pytest.approx(-4.1, abs=0.11)
    assert point(5, 50) == pytest.approx(-4.57, abs=0.01)


@pytest.mark.parametrize("air", [5.0, 10.0, 18.0, 25.0, 35.0])
@pytest.mark.parametrize("rh", [45.0, 60.0, 80.0, 95.0])
def test_against_psychrometric_library(air: float, rh: float) -> None:
    # PsychroLib follows the ASHRAE handbook; above freezing both describe water.
    expected = psychrolib.GetTDewPointFromRelHum(air, rh / 100)
    if expected > 0.5:
        assert point(air, rh) == pytest.approx(expected, abs=0.06)


@pytest.mark.parametrize(("air", "rh"), [(0.0, 40.0), (-5.0, 60.0), (2.0, 30.0)])
def test_frost_point_against_vapour_pressure_over_ice(air: float, rh: float) -> None:
    # Vapour pressure of the library: saturated over ice at the frost point equals that of the air (humidity over water).
    import math

    over_water = 611.2 * math.exp(17.62 * air / (243.12 + air)) * rh / 100
    assert psychrolib.GetSatVapPres(point(air, rh, "frost-point-over-ice")) == pytest.approx(over_water, rel=6e-3)


def test_older_constants_agree() -> None:
    # Exercise with 17.27 and 237.7: 22 °C and 78 %; that set is good to 0.4 °C.
    exponent = humidity.magnus_exponent(0.78, 22.0, 17.27, 237.7)
    assert point(22, 78) == pytest.approx(humidity.condensation_temperature(exponent, 17.27, 237.7), abs=0.05)


def test_heated_winding_leaves_the_dew_point() -> None:
    # Arithmetic on the Magnus form: air of 10 °C and 95 % becomes 68 % at +5 K and 50 % at +10 K.
    dew = point(10, 95)
    assert point(15, 68) == pytest.approx(dew, abs=0.1)
    assert point(20, 50) == pytest.approx(dew, abs=0.1)
