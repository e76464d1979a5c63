"""Temperature correction of insulation resistance against printed tables and worked examples."""

from __future__ import annotations

import math

import pytest

from millphase.physics import insulation

# Motor maker's operating instructions B (copy on a manual site), table of correction factors to 40 °C, 10 to 30 °C,
# https://manualshive.com/en/manual/seepex/bn-5-12-series/1233212?page=245; seen 2026-11-25.
PRINTED_FACTORS = [
    0.125, 0.134, 0.144, 0.154, 0.165, 0.177, 0.189, 0.203, 0.218, 0.233, 0.250, 0.268, 0.287, 0.308, 0.330, 0.354,
    0.379, 0.406, 0.435, 0.467, 0.500,
]  # fmt: skip


@pytest.mark.parametrize(("temperature", "factor"), list(enumerate(PRINTED_FACTORS, 10)))
def test_printed_correction_factor(temperature: int, factor: float) -> None:
    assert insulation.resistance_at_40c_halving(1.0, temperature, 10.0) == pytest.approx(factor, abs=0.0006)


# Worked examples whose results are printed in the source.
@pytest.mark.parametrize(
    ("megohm", "from_c", "to_c", "printed"),
    [
        pytest.param(10.0, 55.0, 25.0, 80.0, id="motor maker's answer on the significance of insulation resistance"),
        pytest.param(15.0, 70.0, 40.0, 120.0, id="exercise on a direct-current motor, factor 8.0"),
        pytest.param(2.0, 20.0, 40.0, 0.5, id="instrument maker's note on heat"),
        pytest.param(200.0, 20.0, 50.0, 25.0, id="guide to temperature correction"),
        pytest.param(20.0, 20.0, 40.0, 5.0, id="motor maker's sheet, 5 Mohm at 40 and 20 Mohm at 20"),
        pytest.param(20.0, 20.0, 30.0, 10.0, id="motor maker's sheet, 10 Mohm at 30"),
    ],
)
def test_worked_example_of_halving(megohm: float, from_c: float, to_c: float, printed: float) -> None:
    at_40c = insulation.resistance_at_40c_halving(megohm, from_c, 10.0)
    back = at_40c / insulation.resistance_at_40c_halving(1.0, to_c, 10.0)
    assert back == pytest.approx(printed, rel=1e-9)


@pytest.mark.parametrize("temperature", [10.0, 20.0, 40.0, 55.0, 70.0, 85.0])
def test_closed_form_printed_elsewhere(temperature: float) -> None:
    # Engineers' forum thread 63142: K = 10^(0.0301 t - 1.2041) refers to 40 °C.
    printed = 10 ** (0.0301 * temperature - 1.2041)
    assert insulation.resistance_at_40c_halving(1.0, temperature, 10.0) == pytest.approx(printed, rel=2e-3)


def test_trap_of_an_inconsistent_table() -> None:
    # An instrument maker's manual prints 6.0 and 8.0 for 50 and 60 °C on a 20 °C base beside its own rule of doubling,
    # which gives 8 and 16: the table must not be reproduced.
    at_20c = insulation.resistance_at_40c_halving(1.0, 20.0, 10.0)
    assert insulation.resistance_at_40c_halving(1.0, 50.0, 10.0) / at_20c == pytest.approx(8.0)
    assert insulation.resistance_at_40c_halving(1.0, 60.0, 10.0) / at_20c == pytest.approx(16.0)


def test_maker_with_another_step() -> None:
    # Motor makers' instructions that halve per 20 °C from 25 °C: 65 °C is a quarter.
    at_25c = insulation.resistance_at_25c_halving(1.0, 65.0, 20.0)
    assert at_25c == pytest.approx(4.0)


def test_reading_of_the_standards_curve() -> None:
    # Teaching page reading K at 70 °C from the curve of IEEE 43-2000 as about 7, so 3 Mohm become about 21; a graph reading.
    assert insulation.resistance_at_40c_halving(3.0, 70.0, 10.0) == pytest.approx(21.0, rel=0.16)


# IEEE 43-2013, 6.3, constants from memory: factors worked out by hand from exp(-E (1/(T+273) - 1/313)).
@pytest.mark.parametrize(
    ("temperature", "energy", "factor"),
    [
        (10, 1245, 0.656),
        (20, 1245, 0.762),
        (30, 1245, 0.877),
        (40, 1245, 1.0),
        (50, 4230, 1.520),
        (60, 4230, 2.252),
        (80, 4230, 4.625),
    ],
)
def test_thermosetting_factor(temperature: float, energy: float, factor: float) -> None:
    found = insulation.resistance_at_40c_thermosetting(1.0, temperature, energy)
    assert found == pytest.approx(factor, abs=0.0006)


def test_thermosetting_is_an_arrhenius_law() -> None:
    # General-purpose check: the same exponential written with Boltzmann's constant from scipy (absolute zero at -273 °C).
    from scipy import constants

    electronvolts = 1245 * constants.k / constants.e
    assert electronvolts == pytest.approx(0.1073, abs=0.0005)
    expected = math.exp(electronvolts * constants.e / constants.k * (1 / 313 - 1 / 293))
    assert insulation.resistance_at_40c_thermosetting(1.0, 20.0, 1245.0) == pytest.approx(expected, rel=1e-12)


@pytest.mark.parametrize(("volts", "least"), [(400, 1.4), (230, 1.23), (690, 1.69), (3300, 4.3), (6600, 7.6)])
def test_kilovolt_plus_one(volts: float, least: float) -> None:
    # IEEE 43: kV + 1 in megohm, arithmetic.
    assert insulation.kilovolt_plus_one_minimum(1e6, 1e6, volts) == pytest.approx(least * 1e6)


@pytest.mark.parametrize(("megohm", "percent"), [(1.0, 0), (7.0, 3), (13.0, 250)])
def test_parallel_parts_by_conductance(megohm: float, percent: float) -> None:
    # Kirchhoff: conductances add.
    import numpy as np

    cable = megohm * (2 + percent / 100)
    both = 1.0 / np.sum([1.0 / megohm, 1.0 / cable])
    assert insulation.resistance_behind_cable(float(both), cable) == pytest.approx(megohm)
    assert insulation.three_in_parallel(megohm, cable, both) == pytest.approx(
        1 / np.sum([1 / megohm, 1 / cable, 1 / both])
    )
