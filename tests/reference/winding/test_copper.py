"""Winding resistance against standards, handbook tables and a network solver."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from millphase.physics import winding

# IEC 60228:2004, class 2 copper at 20 °C [ohm/km] (from memory), and the voltage drop of two-core PVC cable at 70 °C
# printed in wiring tables [mV/A/m]: two conductors at 70 °C.
CONDUCTORS = [
    (1.5, 12.1, 29.0),
    (2.5, 7.41, 18.0),
    (4.0, 4.61, 11.0),
    (6.0, 3.08, 7.3),
    (10.0, 1.83, 4.4),
    (16.0, 1.15, 2.8),
]


@pytest.mark.parametrize(("section", "at_20c", "printed"), CONDUCTORS)
def test_warm_conductor(section: float, at_20c: float, printed: float) -> None:
    one_conductor_at_70c = printed / 2.0
    assert winding.resistance_at_20c(one_conductor_at_70c, 235.0, 70.0) == pytest.approx(at_20c, rel=0.03)


# IEC 60228, annex with the factors that refer a measured resistance to 20 °C (from memory). The printed factors are
# those of the round form 250/(230 + t); the exact constant of copper gives the same within 0.2 %.
CONDUCTOR_FACTORS = [(0, 1.087), (5, 1.064), (10, 1.042), (15, 1.020), (20, 1.0), (25, 0.980), (30, 0.962), (40, 0.926)]


@pytest.mark.parametrize(("temperature", "factor"), CONDUCTOR_FACTORS)
def test_correction_factor_of_the_conductor_standard(temperature: int, factor: float) -> None:
    assert winding.resistance_at_20c(1.0, 230.0, temperature) == pytest.approx(factor, abs=0.0006)
    assert winding.resistance_at_20c(1.0, 234.5, temperature) == pytest.approx(factor, rel=2e-3)


def test_temperature_from_resistance_exercise() -> None:
    # Physics forum exercise 381286: 80 ohm at 20 °C, later 100 ohm, k = 234.5: 83.63 °C, a rise of 63.6 K. With 235: 83.75.
    assert winding.temperature_from_resistance(80.0, 100.0, 20.0, 234.5) == pytest.approx(83.63, abs=0.01)
    assert winding.temperature_from_resistance(80.0, 100.0, 20.0, 235.0) == pytest.approx(83.75, abs=0.01)


def test_temperature_coefficient_of_copper() -> None:
    # Semiconductor maker's note SPRUHJ1I: 0.00393 per °C at 20 °C; 1/254.5 for k = 234.5.
    per_kelvin = 1.0 / winding.resistance_at_20c(1.0, 234.5, 21.0) - 1.0
    assert per_kelvin == pytest.approx(0.00393, abs=1e-5)


@pytest.mark.parametrize("temperature", [20.0, 75.0, 95.0, 115.0, 150.0])
def test_european_and_american_copper_agree(temperature: float) -> None:
    # Known: 235 and 234.5 differ under 0.1 % of the resistance from 20 to 150 °C.
    assert winding.resistance_at_20c(1.0, 235.0, temperature) == pytest.approx(
        winding.resistance_at_20c(1.0, 234.5, temperature), rel=1e-3
    )


def across(network: list[tuple[int, int, float]], a: int, b: int, nodes: int) -> float:
    """Resistance between two nodes of a network, by nodal analysis."""
    laplacian = np.zeros((nodes, nodes))
    for i, j, ohm in network:
        laplacian[[i, j], [i, j]] += 1.0 / ohm
        laplacian[i, j] -= 1.0 / ohm
        laplacian[j, i] -= 1.0 / ohm
    inverse = np.linalg.pinv(laplacian)
    return float(inverse[a, a] + inverse[b, b] - 2.0 * inverse[a, b])


LEGS = [(11.1, 10.5, 12.3), (3.7, 3.7, 3.7), (1.0, 1.1, 0.7), (5.0, 20.0, 9.0)]


@pytest.mark.parametrize("legs", LEGS)
def test_star_legs_against_nodal_analysis(legs: tuple[float, float, float]) -> None:
    network = [(0, 3, legs[0]), (1, 3, legs[1]), (2, 3, legs[2])]
    uv, vw, wu = (across(network, a, b, 4) for a, b in ((0, 1), (1, 2), (2, 0)))
    found = (winding.star_leg(uv, wu, vw), winding.star_leg(uv, vw, wu), winding.star_leg(vw, wu, uv))
    assert found == pytest.approx(legs)


@pytest.mark.parametrize("legs", LEGS)
def test_delta_legs_against_nodal_analysis(legs: tuple[float, float, float]) -> None:
    network = [(0, 1, legs[0]), (1, 2, legs[1]), (2, 0, legs[2])]
    uv, vw, wu = (across(network, a, b, 3) for a, b in ((0, 1), (1, 2), (2, 0)))
    found = (winding.delta_leg(vw, wu, uv), winding.delta_leg(wu, uv, vw), winding.delta_leg(uv, vw, wu))
    assert found == pytest.approx(legs)


def test_line_and_phase_rules() -> None:
    # Instrument maker's note: star 2 windings, delta 2/3 of one; 3.7 ohm of an academic 2.2 kW machine.
    star = across([(0, 3, 3.7), (1, 3, 3.7), (2, 3, 3.7)], 0, 1, 4)
    delta = across([(0, 1, 3.7), (1, 2, 3.7), (2, 0, 3.7)], 0, 1, 3)
    assert star == pytest.approx(7.40)
    assert delta == pytest.approx(2.467, abs=0.001)
    assert star / delta == pytest.approx(3.0)
    assert winding.phase_of_star(star) == pytest.approx(3.7)
    assert winding.phase_of_delta(delta) == pytest.approx(3.7)


@pytest.mark.parametrize("readings", list(itertools.permutations((97.0, 100.0, 104.0)))[:3])
def test_unbalance_definitions_against_numpy(readings: tuple[float, float, float]) -> None:
    values = np.array(readings)
    mean = winding.mean(*readings)
    assert mean == pytest.approx(np.mean(values))
    assert winding.unbalance_from_mean(*readings, mean) == pytest.approx(
        np.max(np.abs(values - values.mean())) / values.mean()
    )
    assert winding.spread_over_mean(*readings, mean) == pytest.approx(np.ptp(values) / values.mean())
