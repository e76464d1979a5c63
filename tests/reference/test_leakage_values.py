"""Leakage, fault-current and trip-time laws against figures printed elsewhere, or worked out by first principles."""

from __future__ import annotations

import math

import pytest

from millphase.physics import evidence, leakage

MILLI, NANO = 1e-3, 1e-9


@pytest.mark.parametrize(
    ("nanofarad", "milliampere"),
    # first principles, 2π·50 Hz·C·230 V = 0.07226 mA/nF; the 0.41 and 1.9 mA are FN 685/686 data (xonelec), +20 %
    [(1.0, 0.0723), (48.0, 3.47), (125.0, 9.03), (138.0, 9.97), (277.0, 20.0), (4.7 * 1.2, 0.41), (22 * 1.2, 1.9)],
)
def test_filter_capacitor(nanofarad: float, milliampere: float) -> None:
    assert leakage.capacitive_leakage(50, nanofarad * NANO, 230) / MILLI == pytest.approx(milliampere, rel=0.01)


def test_cable_capacitance_and_conduit_figure_agree() -> None:
    # 300 pF/m (upper end, Industrial Monitor Direct) at 230 V 50 Hz beside 20 mA/km at 200 V 60 Hz (Mitsubishi)
    by_capacitance = leakage.capacitive_leakage(50, 300e-12, 230)
    by_conduit = leakage.wiring_leakage(20e-6, 1.0, 230, 200, 50, 60)
    assert by_capacitance == pytest.approx(by_conduit, rel=0.15)


def test_star_wiring_of_a_drive_maker() -> None:
    # Mitsubishi D700 example: 66 mA/km over three, 5 m and 60 m, drive 1, motor 0.36: 2.79 mA
    third = 66e-6 / 3
    total = leakage.wiring_leakage(third, 5, 230, 230, 50, 50) + leakage.wiring_leakage(third, 60, 230, 230, 50, 50)
    assert total / MILLI + 1 + 0.36 == pytest.approx(2.79, abs=0.005)


@pytest.mark.parametrize(
    ("supply", "expected"),
    # Emerson getting-started instructions: proportional to voltage and frequency; figures by arithmetic
    [((230, 50), 10.0), ((240, 60), 12.52), ((115, 50), 5.0), ((230, 60), 12.0)],
)
def test_declared_leakage_scales(supply: tuple[float, float], expected: float) -> None:
    found = leakage.scaled_leakage(10 * MILLI, 230, supply[0], 50, supply[1])
    assert found / MILLI == pytest.approx(expected, rel=1e-3)


@pytest.mark.parametrize(
    ("kiloohm", "milliampere"),
    # insulation.md figures, I = V/R by arithmetic: 230 V over 1 Mohm, 7.67, 15.3 and 37 kohm (EngX thread: 6.2 mA)
    [(1000.0, 0.23), (7.67, 30.0), (15.3, 15.0), (37.0, 6.2), (18.0, 12.8)],
)
def test_fault_ahead_of_the_drive(kiloohm: float, milliampere: float) -> None:
    found = leakage.fault_current_supply_side(230, kiloohm * 1e3) / MILLI
    assert found == pytest.approx(milliampere, rel=0.005)


@pytest.mark.parametrize(
    ("kiloohm", "mean", "rms"),
    # half-wave textbook values: mean Û/(π·R), r.m.s. Û/(2·R)
    [(10.0, 10.4, 16.3), (5.42, 19.1, 30.0), (1.0, 103.5, 162.6)],
)
def test_pole_fault(kiloohm: float, mean: float, rms: float) -> None:
    assert leakage.fault_current_pole_mean(230, kiloohm * 1e3) / MILLI == pytest.approx(mean, rel=0.005)
    assert leakage.fault_current_total(230, kiloohm * 1e3) / MILLI == pytest.approx(rms, rel=0.005)


def test_half_wave_has_the_form_factor_of_the_textbook() -> None:
    # r.m.s. over mean of a half-wave is π/2
    ratio = leakage.fault_current_total(230, 1e3) / leakage.fault_current_pole_mean(230, 1e3)
    assert ratio == pytest.approx(math.pi / 2, rel=1e-9)


def test_six_pulse_pole_by_integration() -> None:
    # r.m.s. of the highest of three sines over one third of a period
    steps = 20000
    squares = (math.cos(-math.pi / 3 + 2 * math.pi / 3 * (k + 0.5) / steps) ** 2 for k in range(steps))
    crest = math.sqrt(2) * 230
    expected = crest * math.sqrt(sum(squares) / steps)
    assert leakage.fault_current_total_three_phase(230, 1.0) == pytest.approx(expected, rel=1e-6)


@pytest.mark.parametrize(
    ("current", "seconds"),
    # UL 943 curve as quoted by the Electrical Contractor Network: (20/I)^1.43; 264 mA gives 25 ms (Building Code Forum)
    [(6, 5.59), (20, 1.0), (30, 0.56), (264, 0.0250)],
)
def test_interrupter_curve(current: float, seconds: float) -> None:
    assert leakage.inverse_trip_time(0.020, current * MILLI, 1.43) == pytest.approx(seconds, rel=0.003)


@pytest.mark.parametrize(
    ("kind", "multiple", "rating", "ohm"),
    # maxzs.co.uk, maximum loop impedance with Cmin 0.95
    [
        ("B", 5, 6, 7.28), ("B", 5, 10, 4.37), ("B", 5, 16, 2.73), ("B", 5, 20, 2.19), ("B", 5, 32, 1.37), ("B", 5, 63, 0.69),
        ("C", 10, 6, 3.64), ("C", 10, 10, 2.19), ("C", 10, 16, 1.37), ("C", 10, 32, 0.68), ("C", 10, 63, 0.35),
        ("D", 20, 6, 1.82), ("D", 20, 16, 0.68), ("D", 20, 32, 0.34), ("D", 20, 63, 0.17),
    ],
)  # fmt: skip
def test_loop_limits_of_breakers(kind: str, multiple: float, rating: float, ohm: float) -> None:
    assert leakage.loop_limit(0.95, 230, multiple, rating) == pytest.approx(ohm, abs=0.0055)


@pytest.mark.parametrize(
    ("milliampere", "ohm"),
    # Electricians Forums (1 667 ohm) and the On-Site Guide quoted at DIYnot (200 ohm with 250 mA); rest by arithmetic
    [(30, 1667), (100, 500), (250, 200), (300, 166.7), (500, 100)],
)
def test_electrode(milliampere: float, ohm: float) -> None:
    assert leakage.electrode_limit(50, milliampere * MILLI) == pytest.approx(ohm, rel=0.001)


def test_carrier_leakage_is_the_charge_moved_each_period() -> None:
    # first principles: the line of three legs moves C·Ud up and C·Ud down in each carrier period
    assert leakage.carrier_leakage(4000, 5e-9, 325) / MILLI == pytest.approx(13.0, rel=0.001)
    assert leakage.carrier_leakage(16000, 5e-9, 325) / MILLI == pytest.approx(52.0, rel=0.001)


def test_quadrature_of_three_four_five() -> None:
    assert leakage.quadrature_sum(3.0, 4.0) == 5.0


def test_bayes_on_a_textbook_test() -> None:
    # screening example of any statistics text: 1 % ill, 99 % sensitive, 5 % false alarms: 16.7 % ill given an alarm
    after = evidence.updated({"ill": 0.01, "well": 0.99}, {"ill": 0.99, "well": 0.05})
    assert after["ill"] == pytest.approx(0.1667, abs=5e-5)


@pytest.mark.parametrize(
    ("shares", "bits"),
    # Shannon: a fair coin is 1 bit, four equal chances 2 bits, certainty none; 0.9/0.1 is 0.469 bit
    [((0.5, 0.5), 1.0), ((0.25,) * 4, 2.0), ((1.0, 0.0), 0.0), ((0.9, 0.1), 0.469)],
)
def test_entropy(shares: tuple[float, ...], bits: float) -> None:
    assert evidence.entropy_bit(dict(enumerate(shares))) == pytest.approx(bits, abs=5e-4)  # type: ignore[arg-type]


def test_information_of_a_binary_symmetric_channel() -> None:
    # Shannon: capacity of a channel that errs with 11 % is 0.5 bit
    told = evidence.yes_no_information_bit(p1=0.5, p2=0.5, t1=0.89, t2=0.11)
    assert told == pytest.approx(0.5, abs=1e-3)


def test_a_perfect_test_tells_everything_and_a_blind_one_nothing() -> None:
    assert evidence.yes_no_information_bit(p1=0.5, p2=0.5, t1=1.0, t2=0.0) == pytest.approx(1.0)
    assert evidence.yes_no_information_bit(p1=0.3, p2=0.7, t1=0.4, t2=0.4) == pytest.approx(0.0, abs=1e-12)
