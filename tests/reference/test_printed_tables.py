"""Tables of the rules against tables typed a second time, from the pages gathered for this project or from memory.

Each file under ``printed/`` says beside each table where its numbers were read, or that they are from memory. They were
typed without looking at the rules; a number that differs is a slip in one of the two, to be settled by the source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from millphase.rulebook import Table, workshop
from millphase.rulebook.model import to_quantity

PRINTED = Path(__file__).parent / "printed"
SINGLE = PRINTED / "single-values.txt"


@dataclass(frozen=True)
class Printed:
    """One table as it was typed here: column names and rows of text."""

    rule: str
    columns: list[str]
    rows: list[list[str]]


def _tables() -> Iterator[Printed]:
    for path in sorted(set(PRINTED.glob("*.txt")) - {SINGLE}):
        rules: list[str] = []
        lines: list[list[str]] = []
        for line in [*path.read_text("utf-8").splitlines(), ""]:
            if line.startswith("rule "):
                rules = line.split()[1:]
            elif line.strip() and not line.startswith("#"):
                lines.append(line.split())
            elif lines:
                yield from (Printed(rule, lines[0], lines[1:]) for rule in rules)
                lines = []


def _same(cell: object, text: str) -> bool:
    if text == "-":
        return cell is None
    if isinstance(cell, int | float):
        return abs(float(cell) - float(text)) <= 1e-9
    # A blank inside a cell is written _ here.
    return cell == text.replace("_", " ")


@pytest.mark.parametrize("printed", list(_tables()), ids=lambda table: f"{table.rule} {table.columns[-1]}")
def test_table_as_it_was_typed_a_second_time(printed: Printed) -> None:
    rule = workshop().rules[printed.rule]
    assert isinstance(rule, Table)
    names = [column["name"] for column in rule.data["columns"]]
    keys = [name for name in printed.columns if name in rule.data["key"]]
    assert keys
    for row in printed.rows:
        wanted = dict(zip(printed.columns, row, strict=True))
        found = [
            dict(zip(names, cells, strict=True))
            for cells in rule.data["rows"]
            if all(_same(cells[names.index(name)], wanted[name]) for name in keys)
        ]
        assert len(found) == 1, (printed.rule, [wanted[name] for name in keys])
        differing = {name: (found[0][name], text) for name, text in wanted.items() if not _same(found[0][name], text)}
        assert differing == {}, (printed.rule, [wanted[name] for name in keys])


def _single() -> Iterator[tuple[str, str, str]]:
    """Rule, name of the value (empty for the only one), and its text."""
    for line in SINGLE.read_text("utf-8").splitlines():
        if line and not line.startswith("#"):
            rule, *rest = line.split()
            yield rule, " ".join(rest[:-2]), " ".join(rest[-2:])


@pytest.mark.parametrize(("rule", "name", "text"), list(_single()), ids=lambda part: part)
def test_value_as_it_was_typed_a_second_time(rule: str, name: str, text: str) -> None:
    data = workshop().rules[rule].data
    value = to_quantity(data["values"][name] if name else data["value"])
    # A plain number is typed with the unit 1.
    typed = to_quantity(float(text.removesuffix(" 1")) if text.endswith(" 1") else text)
    assert (value.si, value.dimension) == (pytest.approx(typed.si, rel=1e-12), typed.dimension)


def test_corrections_for_ambient_follow_the_square_root_law() -> None:
    """Heat goes as the square of the current: √((T − ambient)/(T − 30)) for a conductor of T [°C]; printed to two decimals,
    some of them cut off. IEC 60364-5-52, B.52.2.1 gives the law."""
    table = workshop().rules["cable-bs-7671/ambient-flexible"].data
    for ambient, pvc, rubber, thermosetting in table["rows"]:
        for limit, printed in ((60, pvc), (60, rubber), (90, thermosetting)):
            if printed is not None:
                assert printed == pytest.approx(((limit - ambient) / (limit - 30)) ** 0.5, abs=0.0101), ambient
    assert [row[0] for row in table["rows"]] == list(range(30, 90, 5))


def test_an_inch_keyway_leaves_the_same_room_in_every_size() -> None:
    """BS 46-1: the widths of shaft and hub meet, each within a thousandth, and both depths together exceed the square key by
    its clearance of six to eight thousandths. Sizes 3/16 to 3/8 were read in a page; the law holds them together."""
    for row in workshop().rules["key/bs-46-square"].data["rows"]:
        _, _, key, shaft, shaft_most, down, down_most, hub, hub_most, up, up_most = row
        assert shaft_most == hub == pytest.approx(key, abs=0.00051)
        assert (shaft_most - shaft, hub_most - hub) == pytest.approx((0.001, 0.001))
        assert (down_most - down, up_most - up) == pytest.approx((0.006, 0.006))
        assert 0.006 <= down + up - key <= 0.008


def test_a_carrier_factor_is_the_current_over_the_greatest() -> None:
    for _, factor, rated in workshop().rules["drive/carrier-derating-mild"].data["rows"]:
        assert factor == pytest.approx(rated / 9.6, abs=0.005)


def test_let_through_is_limited_at_each_breaking_capacity() -> None:
    """EN 60898-1 states the energy of class 3 for breaking capacities of 3 kA, 6 kA and 10 kA, up to 16 A and up to 32 A."""
    rows = workshop().rules["cable/breaker-let-through"].data["rows"]
    wanted = [
        (curve, rating, kiloamperes * 1000) for curve in "bc" for rating in (16, 32) for kiloamperes in (3, 6, 10)
    ]
    assert [tuple(row[:3]) for row in rows] == wanted


@pytest.mark.parametrize(
    ("rule", "classes"),
    [
        ("polarization-index", "dangerous 1 poor 1.5 questionable 2 fair 3 good 4 excellent"),
        ("absorption-ratio", "poor 1.1 questionable 1.25 fair 1.4 good 1.6 excellent"),
    ],
)
def test_classes_of_insulation_as_a_motor_maker_prints_them(rule: str, classes: str) -> None:
    """A motor maker's instructions, tables of absorption; a value between two printed classes belongs to the lower one."""
    bands = workshop().rules[f"insulation/{rule}-classes"].data["bands"]
    # An edge is a number however it is written: a released set says 2 where the file says 2.0.
    edges = [f"{band['label']} {band['below']:g}" if "below" in band else band["label"] for band in bands]
    assert " ".join(edges) == classes


@pytest.mark.parametrize(
    "rule",
    [
        rule
        for rule, found in workshop().rules.items()
        if rule.startswith("cable-bs-7671/voltage-drop-") and found.kind == "table" and not rule.endswith("tables")
    ],
)
def test_three_phases_drop_half_the_root_of_three_of_two_conductors(rule: str) -> None:
    """First principles: one conductor's drop times √3 against twice it; small sizes, where resistance is all there is."""
    table = workshop().rules[rule].data
    names = [column["name"] for column in table["columns"]]
    for row in table["rows"]:
        cells = dict(zip(names, row, strict=True))
        pairs = [(name, name.replace("two_loaded", "three_loaded")) for name in names if "two_loaded" in name]
        for two, three in pairs:
            if cells["cross_section"] <= 16 and cells[two] is not None and cells.get(three) is not None:
                assert cells[three] == pytest.approx(cells[two] * 3**0.5 / 2, rel=0.07), (rule, cells["cross_section"])
