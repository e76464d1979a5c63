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

PRINTED = Path(__file__).parent / "printed"


@dataclass(frozen=True)
class Printed:
    """One table as it was typed here: column names and rows of text."""

    rule: str
    columns: list[str]
    rows: list[list[str]]


def _tables() -> Iterator[Printed]:
    for path in sorted(PRINTED.glob("*.txt")):
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
