"""Quantities at the edge: what is read, what is refused, and that the unit of entry never matters."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

import working
from millphase import quantity, units
from millphase.quantity import Quantity, QuantityError, parse

# NIST SP 811 (2008), appendix B.8, conversion factors (exact where the definition is exact).
SP811 = [
    ("1 in", "length", 0.0254), ("1 ft", "length", 0.3048), ("1 hp", "power", 745.6999), ("1 lbf", "force", 4.448222),
    ("1 lbf.ft", "torque", 1.355818), ("1 psi", "pressure", 6894.757), ("1 lb", "mass", 0.45359237),
    ("1 lb.ft2", "moment-of-inertia", 0.04214011), ("1 min", "duration", 60.0), ("1 d", "duration", 86400.0),
    ("212 degF", "temperature", 100.0), ("32 degF", "temperature", 0.0), ("1 ft/min", "speed", 0.00508),
]  # fmt: skip


@pytest.mark.parametrize(("text", "dimension", "si"), SP811)
def test_factor_agrees_with_the_published_one(text: str, dimension: str, si: float) -> None:
    assert math.isclose(parse(text, dimension).si, si, rel_tol=2e-7, abs_tol=1e-9)


@pytest.mark.parametrize("dimension", units.dimensions())
def test_every_unit_agrees_with_the_independent_table(dimension: str) -> None:
    for code, unit in units.table()[dimension].items():
        if code != "degF":
            assert math.isclose(unit.factor, working.FACTORS[code], rel_tol=1e-12), code


@pytest.mark.parametrize(
    ("text", "dimension", "wanted"),
    [
        ("47 kΩ", "resistance", 47e3), ("47kohm", "resistance", 47e3), ("1.5e-3 H", "inductance", 1.5e-3),
        ("1420 rpm", "rotational-frequency", 1420 / 60), ("1420 r/min", "rotational-frequency", 1420 / 60),
        ("85 %", "ratio", 0.85), ("0.85", "ratio", 0.85), ("2.5 mm²", "area", 2.5e-6), ("-5 °C", "temperature", -5.0),
        ("10 µF", "capacitance", 1e-5), ("10 μF", "capacitance", 1e-5), ("14.7 N·m", "torque", 14.7),
    ],
)  # fmt: skip
def test_reads_what_the_trade_writes(text: str, dimension: str, wanted: float) -> None:
    assert math.isclose(parse(text, dimension).si, wanted, rel_tol=1e-12)


@pytest.mark.parametrize(
    "text",
    [
        5, 5.0, True, None, [], {}, "", "5", "V", "5 V ", " 5 V", "5  V", "nan V", "inf V", "9**9**9 V", "1e999 V", "5 ohm",
        "5 PV", "0x10 V", "5,0 V", "٣ V", "5 V" + "V" * 100, "5\u00a0V", "--5 V", "1_0 V", "5 (V)", "5 V\n", "1e5",
    ],
)  # fmt: skip
def test_refuses_with_an_example_of_what_to_send(text: object) -> None:
    with pytest.raises(QuantityError, match=re.escape('"230 V"')):
        parse(text, "voltage")


@given(st.floats(1e-3, 9e8), st.sampled_from(["ohm", "kohm", "Mohm", "Gohm", "mohm"]))
def test_unit_of_display_never_changes_the_value(number: float, unit: str) -> None:
    value = Quantity.of(number, "ohm")
    assert math.isclose(value.to(unit).number("ohm"), number, rel_tol=1e-12)


@given(st.sampled_from(sorted(quantity.EXAMPLES)), st.booleans(), st.booleans())
def test_the_published_example_matches_the_published_pattern(dimension: str, negative: bool, zero: bool) -> None:
    assert re.match(quantity.pattern(dimension, negative=negative, zero=zero), quantity.EXAMPLES[dimension])


@given(st.from_regex(re.compile(quantity.pattern("voltage", negative=True, zero=True), re.ASCII), fullmatch=True))
def test_whatever_matches_the_pattern_is_read(text: str) -> None:
    assert parse(text.rstrip("\n"), "voltage").dimension == "voltage"


def test_showing_in_a_unit_of_another_dimension_is_refused() -> None:
    with pytest.raises(QuantityError, match="cannot be shown"):
        Quantity.of(1, "V").to("A")
    with pytest.raises(QuantityError, match="no unit"):
        Quantity.of(1, "parsec")
    with pytest.raises(QuantityError, match="not a number"):
        quantity.parse_any("5 parsec")


@pytest.mark.parametrize(
    ("number", "text"),
    [(0.0, "0"), (1234567.0, "1234570"), (-0.25, "−0.25"), (0.0000123, "0.0000123"), (3.75, "3.75"), (2e13, "2e+13")],
)
def test_numbers_print_plainly(number: float, text: str) -> None:
    assert quantity.number_text(number) == text


@pytest.mark.parametrize("text", ["0.5 ohm", "0.50 ohm", "0.0800 Mohm", "0.123456789 kohm", "00.10 ohm"])
def test_a_trailing_zero_is_a_plain_number(text: str) -> None:
    assert re.match(quantity.pattern("resistance", negative=False, zero=False), text)
    assert parse(text, "resistance").si > 0


@pytest.mark.parametrize("text", ["0.50 mm", "0.150 mm", "0.000000001 mm", "0.010 mm"])
def test_trailing_zeros_of_a_small_number_are_accepted(text: str) -> None:
    wanted = re.compile(quantity.pattern("length", negative=False, zero=False).replace("$", r"\Z"))
    assert wanted.match(text)
    assert not wanted.match("0.000 mm")
    assert not wanted.match("0.0000000001 mm")


@pytest.mark.parametrize(
    ("text", "fits"),
    [
        ("0.750 in", True),
        ("0.75 in", True),
        ("1.000 mm", True),
        ("0.000000001 m", True),
        ("0.000000000 m", False),
        ("0.0 m", False),
    ],
)
def test_zeros_at_the_end_of_a_decimal_are_no_fault(text: str, fits: bool) -> None:
    assert bool(re.match(quantity.pattern("length", negative=False, zero=False), text)) is fits


def test_a_quantity_of_a_rule_file_is_read_by_its_unit() -> None:
    assert quantity.parse_any("243.12 degC").dimension == "temperature"
    with pytest.raises(QuantityError, match="not a number"):
        quantity.parse_any("twelve")
