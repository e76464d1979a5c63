"""Motor figures printed outside the project: efficiencies, currents, slip, torque, the 87 Hz connection, belts."""

from __future__ import annotations

import math

import pytest

from millphase.physics import belt, motor
from millphase.quantity import Quantity
from millphase.questions._connection_fill import POLE_WORDS
from millphase.rulebook import workshop

BOOK = workshop().view(("*",))
RPM = 1 / 60

# Least efficiencies of IEC 60034-30(-1), percent, columns 2, 4 and 6 poles: the table of energie.ch (energiesparmotor)
# and a maker's catalogue page that restate IEC 60034-30:2008. They test the coefficients of UK SI 2021/745 in the rules.
PRINTED = {
    "ie2": {
        0.75: (77.4, 79.6, 75.9), 1.1: (79.6, 81.4, 78.1), 1.5: (81.3, 82.8, 79.8), 2.2: (83.2, 84.3, 81.8),
        3.0: (84.6, 85.5, 83.3), 4.0: (85.8, 86.6, 84.6), 5.5: (87.0, 87.7, 86.0), 7.5: (88.1, 88.7, 87.2),
    },
    "ie3": {
        0.75: (80.7, 82.5, 78.9), 1.1: (82.7, 84.1, 81.0), 1.5: (84.2, 85.3, 82.5), 2.2: (85.9, 86.7, 84.3),
        3.0: (87.1, 87.7, 85.6), 4.0: (88.1, 88.6, 86.8), 5.5: (89.2, 89.6, 88.0), 7.5: (90.1, 90.4, 89.1),
    },
    # IE2 and IE3 below 0.75 kW and IE4: from memory of IEC 60034-30-1:2014, agreeing with the regulation's formula.
    "ie4": {0.75: (83.5, 85.7, 82.7), 2.2: (88.0, 89.5, 87.4), 7.5: (91.7, 92.6, 91.3), 0.37: (78.1, 81.1, 78.0)},
}  # fmt: skip
EFFICIENCIES = [
    (name, power, poles, value)
    for name, rows in PRINTED.items()
    for power, values in rows.items()
    for poles, value in zip((2, 4, 6), values, strict=True)
]


@pytest.mark.parametrize(("name", "power_kw", "poles", "printed"), EFFICIENCIES)
def test_least_efficiency(name: str, power_kw: float, poles: int, printed: float) -> None:
    table = BOOK.table("motor/efficiency-coefficients")
    row = table.row_at_or_above("up_to", Quantity.of(power_kw, "kW"), efficiency_class=name, poles=POLE_WORDS[poles])
    assert row is not None
    a, b, c, d = (row.q(letter).si for letter in "abcd")
    share = motor.least_efficiency(a, b, c, d, math.log10(power_kw))
    assert 100 * share == pytest.approx(printed, abs=0.06)  # the printed values are rounded to 0.1


# energie.ch, least efficiencies IE1, 2/4/6 poles
@pytest.mark.parametrize(
    ("power_kw", "printed"),
    [(0.75, (72.1, 72.1, 70.0)), (1.5, (77.2, 77.2, 75.2)), (2.2, (79.7, 79.7, 77.7)), (7.5, (86.0, 86.0, 84.7))],
)
def test_least_efficiency_of_old_motors(power_kw: float, printed: tuple[float, float, float]) -> None:
    row = BOOK.table("motor/efficiency-ie1").row(power=Quantity.of(power_kw, "kW"))
    assert row is not None
    assert [row.q(f"poles_{poles}").number("%") for poles in (2, 4, 6)] == list(printed)


@pytest.mark.parametrize(
    ("poles", "hertz", "printed_rpm"),
    # Synchronous speeds of every motor textbook.
    [
        (2, 50, 3000),
        (4, 50, 1500),
        (6, 50, 1000),
        (8, 50, 750),
        (2, 60, 3600),
        (4, 60, 1800),
        (6, 60, 1200),
        (8, 60, 900),
    ],
)
def test_synchronous_speed(poles: int, hertz: float, printed_rpm: float) -> None:
    assert 60 * motor.synchronous_speed(hertz, poles) == pytest.approx(printed_rpm, rel=1e-12)


@pytest.mark.parametrize(
    ("hertz", "poles", "slip_percent", "rpm"),
    [
        (50, 4, 4, 1440),  # sarthaks.com question 2713326
        (50, 4, 3, 1455),  # textbook example, four poles at 3 %
        (60, 6, 5, 1140),  # usual plate of a six-pole 60 Hz motor
        (50, 8, 3, 727.5),  # textbook: alternator of 12 poles at 500 r/min feeding an eight-pole motor
        (50, 6, 4, 960),  # textbook: rotor at 2 Hz; Electrical machines, three-phase induction motors, ch. 8
    ],
)
def test_slip_examples(hertz: float, poles: int, slip_percent: float, rpm: float) -> None:
    field = motor.synchronous_speed(hertz, poles)
    assert motor.slip(field, rpm * RPM) == pytest.approx(slip_percent / 100, rel=1e-9)
    assert motor.poles_from_speed(hertz, rpm * RPM) == poles


def test_rotor_frequency_examples() -> None:
    # Textbook, six poles on 50 Hz at 960 r/min: rotor 2 Hz. Four poles at 900 and at 600 r/min: 20 and 30 Hz.
    assert motor.rotor_frequency(0.04, 50) == pytest.approx(2)
    for rpm, rotor in ((900, 20), (600, 30)):
        assert motor.rotor_frequency(motor.slip(25, rpm * RPM), 50) == pytest.approx(rotor)


@pytest.mark.parametrize(("rpm", "poles"), [(1380, 4), (940, 6), (2850, 2), (700, 8)])
def test_poles_from_a_plate_speed(rpm: float, poles: int) -> None:
    # Plates of small motors in makers' catalogues.
    assert motor.poles_from_speed(50, rpm * RPM) == poles


@pytest.mark.parametrize(
    ("kw", "rpm", "printed"),
    [
        # Motive catalogue, four-pole motors, torque column.
        (0.25, 1370, 1.74), (0.37, 1366, 2.59), (0.55, 1391, 3.78), (0.75, 1413, 5.07), (1.1, 1362, 7.71), (1.5, 1413, 10.14),
        (2.2, 1431, 14.68), (3, 1418, 20.20), (4, 1453, 26.29), (5.5, 1455, 36.10), (7.5, 1462, 48.99),
        # Worked examples: 15 kW at 1200, 960 and 720 r/min.
        (15, 1200, 119.375), (15, 960, 149.2), (15, 720, 198.94),
        # SOGA MT3 sheet, two-pole motors.
        (2.2, 2900, 7.3), (4, 2930, 13.0), (5.5, 2950, 17.8),
    ],
)  # fmt: skip
def test_rated_torque(kw: float, rpm: float, printed: float) -> None:
    # Printed torques and speeds are rounded to three digits, those of the sheet to two.
    assert motor.torque(kw * 1000, rpm * RPM) == pytest.approx(printed, rel=0.008)


@pytest.mark.parametrize(
    ("kw", "volts", "efficiency", "power_factor", "printed"),
    [
        # SOGA MT3 IE3 sheet, 400 V: rated currents from efficiency and power factor of the same rows.
        (0.75, 400, 0.807, 0.81, 1.6), (1.5, 400, 0.842, 0.83, 3.1), (2.2, 400, 0.859, 0.81, 4.5), (3, 400, 0.871, 0.84, 5.9),
        (4, 400, 0.881, 0.85, 7.7), (5.5, 400, 0.892, 0.83, 10.7), (7.5, 400, 0.901, 0.87, 13.8),
        (0.75, 400, 0.825, 0.77, 1.7),  # Mecha sheet, 80M IE3
    ],
)  # fmt: skip
def test_line_current(kw: float, volts: float, efficiency: float, power_factor: float, printed: float) -> None:
    # The sheets print one decimal and cut rather than round some of them.
    assert motor.line_current(kw * 1000, volts, efficiency, power_factor) == pytest.approx(printed, abs=0.065)


def test_worked_example_of_power_and_torque() -> None:
    # Example: 400 V, 80 A, power factor 0.75, efficiency 85 %, six poles, 50 Hz, slip 4 %: 35.33 kW and 351.5 N.m.
    kilowatts = math.sqrt(3) * 400 * 80 * 0.75 * 0.85 / 1000
    assert motor.efficiency(kilowatts * 1000, 400, 80, 0.75) == pytest.approx(0.85)
    assert motor.power_factor(kilowatts * 1000, 400, 80, 0.85) == pytest.approx(0.75)
    assert motor.torque(35330, 960 * RPM) == pytest.approx(351.5, rel=0.001)
    assert motor.power(960 * RPM, 351.5) == pytest.approx(35330, rel=0.001)


# Plate pairs 230/400 V of a rated-current table (Omron switchgear appendix, typical 1500 r/min motors): delta over star.
PAIRS = [(0.72, 0.41), (1.4, 0.8), (2.0, 1.1), (2.7, 1.5), (4.6, 2.6), (6.3, 3.6), (8.7, 5.0), (11.5, 6.6), (14.8, 8.5),
         (19.6, 11.3), (26.4, 15.2)]  # fmt: skip


@pytest.mark.parametrize(("delta", "star"), PAIRS)
def test_delta_and_star_currents_of_printed_plates(delta: float, star: float) -> None:
    assert motor.delta_current(star) == pytest.approx(delta, rel=0.05)
    assert motor.star_current(delta) == pytest.approx(star, rel=0.05)


class TestEightySevenHertz:
    """A 230/400 V motor in delta on a 400 V drive."""

    def test_power_by_the_voltages(self) -> None:
        # Siemens drive manual, p. 82: 120 W motor, 0.73 A in delta and 0.42 A in star, gives 207 W at 87 Hz.
        assert motor.power_at_rated_torque(120, 87, 50) == pytest.approx(207, rel=0.01)
        assert motor.delta_current(0.42) == pytest.approx(0.73, rel=0.01)

    def test_base_frequency(self) -> None:
        # Siemens power module manual, p. 58, and Eaton manual, p. 17: 87 Hz (50 Hz × √3 = 86.6 Hz).
        assert motor.extended_base_frequency(50, 400 / 230) == pytest.approx(87, rel=0.005)

    def test_second_example(self) -> None:
        # js-technik: 1.5 kW, 3.21 A in star gives 2.6 kW with 5.55 A.
        assert motor.power_at_rated_torque(1500, 50 * math.sqrt(3), 50) == pytest.approx(2600, rel=0.01)
        assert motor.delta_current(3.21) == pytest.approx(5.55, rel=0.01)

    def test_speed_keeps_the_slip_in_revolutions(self) -> None:
        # Siemens formula with constant slip in r/min: 87 × 30 − 70 = 2540 r/min.
        at_87 = 60 * motor.speed_at_rated_flux(87, 4, 70 * RPM, 1.0)
        assert at_87 == pytest.approx(2540, rel=1e-9)
        # js-technik and Eaton multiply the plate speed by √3 and print 2474 r/min: 3 % lower, not followed.
        assert at_87 == pytest.approx(2474, rel=0.03)


@pytest.mark.parametrize(
    ("volts", "hertz", "to_hertz", "printed"),
    # Constant volts per hertz: 460 V 60 Hz is 383 V at 50 Hz; 400 V 50 Hz is 480 V at 60 Hz; 230 V 60 Hz is 192 V.
    [(460, 60, 50, 383), (400, 50, 60, 480), (230, 60, 50, 192), (230, 50, 60, 276)],
)
def test_volts_per_hertz(volts: float, hertz: float, to_hertz: float, printed: float) -> None:
    assert motor.voltage_for_rated_flux(volts, to_hertz, hertz) == pytest.approx(printed, rel=0.002)
    assert motor.flux_ratio(printed / volts, hertz, to_hertz) == pytest.approx(1, rel=0.002)


def test_star_starting() -> None:
    # Star-delta starting (IIT Guwahati virtual lab; Nidec note on wye start): 58 % voltage, a third of the torque.
    ratio = motor.voltage_ratio(motor.winding_voltage(400, math.sqrt(3)), 400)
    assert ratio == pytest.approx(0.58, abs=0.005)
    assert motor.torque_ratio(ratio) == pytest.approx(1 / 3, rel=1e-9)


def test_pull_out_example() -> None:
    # Example: pull-out twice rated torque at 10 % slip gives 2.68 % slip at rated load, 1460 r/min (four poles, 50 Hz).
    # Kloss: T/Tk = 2 / (s/sk + sk/s). The straight line used here is the small-slip part of that curve.
    slip = 0.1 * (2 - math.sqrt(3))
    assert 60 * motor.synchronous_speed(50, 4) * (1 - slip) == pytest.approx(1460, rel=0.001)
    half = 60 * motor.speed_at_rated_flux(50, 4, slip * 25, 0.5)
    exact = 1500 * (1 - 0.1 * (4 - math.sqrt(15)))
    assert half == pytest.approx(exact, rel=0.001)


def test_constant_power_above_base() -> None:
    # Siemens economy drive manual, p. 24: above base torque falls as 1/f; textbooks: pull-out as 1/f².
    assert motor.torque_share_above_base(1, 50, 80, 3.0, 1.0) == pytest.approx(50 / 80)
    assert motor.torque_share_above_base(1, 50, 100, 1.6, 1.0) == pytest.approx(1.6 / 4)
    assert motor.torque_share_above_base(0.5, 50, 60, 3.0, 1.0) == 0.5


def test_slip_in_field_weakening_against_the_equivalent_circuit() -> None:
    """Torque from the equivalent circuit with constant voltage: T = 3 U² (R/s) / ω0 / ((R/s)² + X²), small slip.

    Textbook form, stator resistance and magnetising branch left out. R is set so that the rated point has 70 r/min.
    """
    volts, omega, reactance = 230.0, 2 * math.pi * 25, 0.6
    slip, torque = 70 / 1500, 14.69
    resistance = 3 * volts**2 * slip / omega / torque
    hertz = 80.0

    def circuit(slip_share: float) -> float:
        branch = resistance / slip_share
        x = reactance * hertz / 50
        return 3 * volts**2 * branch / (omega * hertz / 50) / (branch**2 + x**2)

    wanted = 0.625 * torque
    low, high = 1e-4, 0.2
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if circuit(middle) < wanted else (low, middle)
    exact = 2400 * (1 - low)
    assert 60 * motor.speed_in_field_weakening(hertz, 4, 70 * RPM, 0.625, 50) == pytest.approx(exact, rel=0.001)


class TestBelts:
    """Belt formulas of a belt maker's technical page (v = d n / 19100) and a design example."""

    def test_belt_speed(self) -> None:
        # 100 mm at 1430 r/min: 7.49 m/s by the page's formula.
        assert belt.belt_speed(0.1, 1430 * RPM) == pytest.approx(100 * 1430 / 19100, rel=0.001)
        # Design example: 212 mm at 1450 r/min, 16.1 m/s (shreegeeimpex.com, belt design).
        assert belt.belt_speed(0.212, 1450 * RPM) == pytest.approx(16.1, rel=0.002)

    def test_largest_pulley_for_thirty_metres_a_second(self) -> None:
        # 30 m/s at 2474 r/min: 232 mm.
        assert 60 * belt.speed_at_belt_speed(30, 0.232) == pytest.approx(2474, rel=0.005)

    def test_reduction(self) -> None:
        # Design example: 1450 to 310 r/min is a ratio of 4.68; pulleys 212 and 990 mm give it within 0.3 %.
        assert belt.reduction(0.212, 0.990) == pytest.approx(4.68, rel=0.003)
        assert 60 * belt.spindle_speed(1450 * RPM, 4.68) == pytest.approx(310, rel=0.001)
        assert 60 * belt.motor_speed(310 * RPM, 4.68) == pytest.approx(1450, rel=0.001)

    def test_torque_through_a_reduction_keeps_power(self) -> None:
        into = motor.power(1430 * RPM, 14.69)
        out = motor.power(belt.spindle_speed(1430 * RPM, 2.0), belt.spindle_torque(14.69, 2.0, 0.95))
        assert out == pytest.approx(0.95 * into)


# IEC 60947-4-1 Annex G through the Electrical Installation Guide, fig. A4, at 230 and 400 V.
@pytest.mark.parametrize(
    ("kw", "at_230", "at_400"),
    [(0.37, 1.9, 1.1), (0.75, 3.3, 1.9), (1.1, 4.7, 2.7), (1.5, 6.3, 3.6), (2.2, 8.5, 4.9), (3, 11.3, 6.5), (4, 15, 8.5),
     (5.5, 20, 11.5), (7.5, 27, 15.5), (11, 38, 22)],
)  # fmt: skip
def test_operational_current(kw: float, at_230: float, at_400: float) -> None:
    row = BOOK.table("motor/operational-current").row(power=Quantity.of(kw, "kW"))
    assert row is not None
    assert (row.q("at_230").si, row.q("at_400").si) == (at_230, at_400)
    # The two columns are one motor: root three apart, within rounding.
    assert motor.delta_current(at_400) == pytest.approx(at_230, rel=0.04)


# NEC table 430.250 in a wire maker's reprint, 208, 230 and 460 V.
@pytest.mark.parametrize(
    ("hp", "amperes"),
    [(0.5, (2.4, 2.2, 1.1)), (1, (4.6, 4.2, 2.1)), (2, (7.5, 6.8, 3.4)), (3, (10.6, 9.6, 4.8)), (5, (16.7, 15.2, 7.6)),
     (10, (30.8, 28, 14))],
)  # fmt: skip
def test_operational_current_60_hertz(hp: float, amperes: tuple[float, float, float]) -> None:
    row = BOOK.table("motor/operational-current-60-hertz").row(power=Quantity.of(hp, "hp"))
    assert row is not None
    assert tuple(row.q(f"at_{volts}").si for volts in (208, 230, 460)) == amperes
