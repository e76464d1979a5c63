"""ISO 286 limits worked out from grades and fundamental deviations, against tables printed elsewhere, to the micrometre."""

from __future__ import annotations

import pytest

from millphase.answer import Sheet
from millphase.physics import fits
from millphase.quantity import Quantity
from millphase.questions._fit_bore import deviations
from millphase.questions.motor_fit import QUESTION
from millphase.rulebook import workshop

SIZES = (3, 6, 10, 18, 30, 50, 80, 120)  # each the upper, inclusive end of its range

# source: extract of DIN ISO 286 part 2 for bores and shafts (studylib.net/doc/27157987), ranges up to 3 … up to 120 mm
BORES = {
    "H7": [(0, 10), (0, 12), (0, 15), (0, 18), (0, 21), (0, 25), (0, 30), (0, 35)],
    "H8": [(0, 14), (0, 18), (0, 22), (0, 27), (0, 33), (0, 39), (0, 46), (0, 54)],
    "H9": [(0, 25), (0, 30), (0, 36), (0, 43), (0, 52), (0, 62), (0, 74), (0, 87)],
    "JS9": [(-12.5, 12.5), (-15, 15), (-18, 18), (-21.5, 21.5), (-26, 26), (-31, 31), (-37, 37), (-43.5, 43.5)],
    "N9": [(-29, -4), (-30, 0), (-36, 0), (-43, 0), (-52, 0), (-62, 0), (-74, 0), (-87, 0)],
    "P9": [(-31, -6), (-42, -12), (-51, -15), (-61, -18), (-74, -22), (-88, -26), (-106, -32), (-124, -37)],
}  # fmt: skip
# source: keyway table after the JIS handbook of machine elements 2001, p. 1030 (e-uparts.com), widths up to 3, 6, 10, 18 mm
KEYWAYS = {"D10": [(20, 60), (30, 78), (40, 98), (50, 120)]}
# source: JIS B 0401 (1999), dimensional tolerances for regularly used shaft fits (catalogue reprint), up to 3 … up to 80 mm
SHAFTS = {
    "g6": [(-8, -2), (-12, -4), (-14, -5), (-17, -6), (-20, -7), (-25, -9), (-29, -10)],
    "h6": [(-6, 0), (-8, 0), (-9, 0), (-11, 0), (-13, 0), (-16, 0), (-19, 0)],
    "k6": [(0, 6), (1, 9), (1, 10), (1, 12), (2, 15), (2, 18), (2, 21)],
    "m6": [(2, 8), (4, 12), (6, 15), (7, 18), (8, 21), (9, 25), (11, 30)],
}
PRINTED = [
    (tolerance, size, low, high)
    for table in (BORES, KEYWAYS, SHAFTS)
    for tolerance, rows in table.items()
    for size, (low, high) in zip(SIZES, rows, strict=False)
] + [
    # source: shaft tolerances of rolling bearing seats (germany-bearing.com), j6
    ("j6", 18, -3, 8), ("j6", 30, -4, 9),
    # source: EASA AR100-2020, Table 2-10, spigots of IEC machines after IEC 60072-1 C.1.7, j6
    ("j6", 50, -5, 11), ("j6", 80, -7, 12), ("j6", 120, -9, 13),
]  # fmt: skip


def sheet() -> Sheet:
    return QUESTION.sheet(workshop().view(QUESTION.rules))


def micrometres(quantity: Quantity) -> float:
    return quantity.number("um")


@pytest.mark.parametrize(("tolerance", "size", "low", "high"), PRINTED)
def test_limits_of_a_class_equal_the_printed_table(tolerance: str, size: int, low: float, high: float) -> None:
    below, above, _ = deviations(sheet(), Quantity.of(size, "mm"), tolerance, "part")
    assert (micrometres(below), micrometres(above)) == (low, high)


@pytest.mark.parametrize("tolerance", ["H7", "H8", "k6", "m6", "j6", "h6"])
@pytest.mark.parametrize("edge", SIZES[:-1])
def test_a_range_ends_with_its_upper_figure_and_the_next_begins_just_above(tolerance: str, edge: int) -> None:
    # source: ISO 286-1, ranges are "above … up to and including"
    at, just_above, next_end = (
        deviations(sheet(), Quantity.of(size, "mm"), tolerance, "part")[:2]
        for size in (edge, edge + 1e-6, SIZES[SIZES.index(edge) + 1])
    )
    assert just_above == next_end
    assert at != just_above


@pytest.mark.parametrize(
    ("size", "hole", "shaft", "clearance", "interference"),
    [
        # source: Engineering fit, encyclopaedia article with the worked examples 50 H8/f7 and 25 H7/h6
        (50, "H8", "f7", 89, 0), (25, "H7", "h6", 34, 0),
        # source: printed tables of H7, H8 above against j6, k6, m6, subtracted by hand
        (14, "H7", "j6", 21, 8), (19, "H7", "j6", 25, 9), (28, "H7", "j6", 25, 9), (28, "H7", "k6", 19, 15),
        (28, "H7", "m6", 13, 21), (38, "H7", "k6", 23, 18), (38, "H8", "k6", 37, 18), (55, "H7", "m6", 19, 30),
        (11, "H8", "j6", 30, 8), (42, "H7", "k6", 23, 18),
    ],
)  # fmt: skip
def test_fit_of_hole_and_shaft(size: int, hole: str, shaft: str, clearance: float, interference: float) -> None:
    nominal = Quantity.of(size, "mm")
    (hole_low, hole_high), (shaft_low, shaft_high) = (
        deviations(sheet(), nominal, c, "part")[:2] for c in (hole, shaft)
    )
    assert round(fits.clearance(hole_high.si, shaft_low.si) * 1e6, 6) == clearance
    assert round(fits.interference(shaft_high.si, hole_low.si) * 1e6, 6) == interference


@pytest.mark.parametrize("size", [9, 11, 14, 18, 19, 24, 28, 30, 38, 42, 48, 50])
@pytest.mark.parametrize("shaft", ["f7", "g6", "h6", "k6", "m6", "n6", "p6"])
def test_a_general_purpose_fits_library_agrees(size: int, shaft: str) -> None:
    library = pytest.importorskip(
        "pressfit"
    )  # source: pressfit 0.1.0, an independent table of ISO 286 for hole-basis fits
    for hole in ("H6", "H7", "H8", "H9"):
        other = library.fit(f"{size} {hole}/{shaft}")
        ours = [
            micrometres(limit)
            for tolerance in (hole, shaft)
            for limit in deviations(sheet(), Quantity.of(size, "mm"), tolerance, "part")[:2]
        ]
        assert ours == [other.hole_ei_um, other.hole_es_um, other.shaft_ei_um, other.shaft_es_um]
