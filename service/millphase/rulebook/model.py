"""What a rule is once it is loaded: a value, which way is stricter, and where it comes from."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

from millphase.quantity import Quantity, parse, parse_any


@dataclass(frozen=True)
class Cited:
    """A rule id with the source record that an answer repeats."""

    rule: str
    source: Mapping[str, str]

    @property
    def cited(self) -> Cited:
        """Itself, so that anything cited can be handed on alike."""
        return self


def citation(cite: Mapping[str, str], sources: Mapping[str, Mapping[str, str]]) -> dict[str, str]:
    """The source as it stands in an answer: no publisher, but where, on what basis, and how far checked."""
    return {
        "id": cite["source"],
        "title": sources[cite["source"]]["title"],
        "locator": cite["locator"],
        "basis": cite["basis"],
        "checked": cite["checked"],
    }


def to_quantity(value: object, dimension: str | None = None) -> Quantity:
    """A value of a rule file: text with its unit, or a plain number for a ratio."""
    if isinstance(value, str):
        return parse(value, dimension) if dimension else parse_any(value)
    return Quantity(float(value), "1", "ratio")  # type: ignore[arg-type]


class Rule:
    """One rule as data, with its citation resolved."""

    def __init__(self, data: Mapping[str, Any], sources: Mapping[str, Mapping[str, str]]) -> None:
        self.data, self.sources = data, sources
        self.id: str = data["id"]
        self.title: str = data["title"]
        self.kind: str = data["kind"]

    @cached_property
    def cited(self) -> Cited:
        """Id and source of the rule as a whole."""
        return Cited(self.id, citation(self.data["cite"], self.sources))


class Constant(Rule):
    """A single value: a coefficient of the trade or a default."""

    @cached_property
    def value(self) -> Quantity:
        """The value with its unit."""
        return to_quantity(self.data["value"], self.data["dimension"])


class Limit(Constant):
    """A value to compare with; `sense` is ``at-least`` or ``at-most``."""

    @property
    def sense(self) -> str:
        """Which side of the limit is the safe one."""
        return str(self.data["sense"])


class Coefficients(Rule):
    """Named values that belong together, such as the constants of one published formula."""

    @cached_property
    def values(self) -> dict[str, Quantity]:
        """Every value by name."""
        return {name: to_quantity(value) for name, value in self.data["values"].items()}

    def __getitem__(self, name: str) -> Quantity:
        return self.values[name]


class Bands(Rule):
    """Contiguous ranges of one quantity, each with a label."""

    @cached_property
    def _edges(self) -> list[tuple[float, str]]:
        unit = self.data["unit"]
        return [
            (Quantity.of(band["below"], unit).si if "below" in band else math.inf, band["label"])
            for band in self.data["bands"]
        ]

    def of(self, quantity: Quantity) -> str:
        """Label of the band that `quantity` lies in; an edge belongs to the band above it."""
        return next(label for edge, label in self._edges if quantity.si < edge)


@dataclass(frozen=True)
class Cell:
    """One value of a table with the citation that holds for this very cell."""

    column: str
    value: Quantity | str | None
    cited: Cited


class Row:
    """One row of a table."""

    def __init__(self, table: Table, index: int) -> None:
        self.table, self.index = table, index

    def __getitem__(self, column: str) -> Cell:
        return self.table.cell(self.index, column)

    @property
    def cited(self) -> Cited:
        """Citation of the table the row stands in."""
        return self.table.cited

    def q(self, column: str) -> Quantity:
        """The quantity in `column`; a cell that is not tabulated is a KeyError."""
        value = self[column].value
        if not isinstance(value, Quantity):
            raise KeyError(f"{self.table.id} has no quantity in {column} of row {self.index}")
        return value

    def text(self, column: str) -> str:
        """The text in `column`."""
        return str(self[column].value)


class Table(Rule):
    """Rows of tabulated values; looked up exactly or to the next row, never interpolated."""

    @cached_property
    def _columns(self) -> dict[str, tuple[int, Mapping[str, Any]]]:
        return {column["name"]: (index, column) for index, column in enumerate(self.data["columns"])}

    @cached_property
    def _cells(self) -> list[list[Quantity | str | None]]:
        columns = self.data["columns"]
        return [
            [self._value(column, value) for column, value in zip(columns, row, strict=True)]
            for row in self.data["rows"]
        ]

    @staticmethod
    def _value(column: Mapping[str, Any], value: Any) -> Quantity | str | None:
        if value is None or "dimension" not in column:
            return value if value is None else str(value)
        return Quantity.of(float(value), column["unit"])

    @cached_property
    def _exceptions(self) -> list[tuple[Mapping[str, Any], list[str], Cited]]:
        return [
            (
                entry.get("rows", {}),
                entry.get("columns", []),
                Cited(self.id, citation(entry["cite"], self.sources)),
            )
            for entry in self.data.get("cell_cites", [])
        ]

    @cached_property
    def _made(self) -> dict[tuple[int, str], Cell]:
        # A table never changes, and one answer looks into the same cells hundreds of times.
        return {}

    def cell(self, index: int, column: str) -> Cell:
        """The cell in row `index` and `column`, with its own citation where the file gives one."""
        made = self._made.get((index, column))
        if made is None:
            made = self._made[index, column] = self._cell(index, column)
        return made

    def _cell(self, index: int, column: str) -> Cell:
        position = self._columns[column][0]
        cited = self.cited
        raw = self.data["rows"][index]
        for rows, columns, exception in self._exceptions:
            if (not columns or column in columns) and all(
                raw[self._columns[name][0]] in wanted for name, wanted in rows.items()
            ):
                cited = exception
        return Cell(column, self._cells[index][position], cited)

    def _matches(self, index: int, wanted: Iterable[tuple[str, Quantity | str]]) -> bool:
        for name, value in wanted:
            cell = self._cells[index][self._columns[name][0]]
            if isinstance(value, Quantity):
                if not isinstance(cell, Quantity) or not math.isclose(cell.si, value.si, rel_tol=1e-9, abs_tol=1e-12):
                    return False
            elif cell != value:
                return False
        return True

    def _find(self, wanted: tuple[tuple[str, Quantity | str], ...]) -> list[Row]:
        return [Row(self, index) for index in range(len(self._cells)) if self._matches(index, wanted)]

    @cached_property
    def _finder(self) -> Callable[[tuple[tuple[str, Quantity | str], ...]], list[Row]]:
        # One request looks into the same few rows again and again; a table never changes.
        return lru_cache(maxsize=256)(self._find)

    def rows(self, **wanted: Quantity | str) -> list[Row]:
        """Every row that matches `wanted`, in the order of the file."""
        return list(self._finder(tuple(wanted.items())))

    def row(self, **wanted: Quantity | str) -> Row | None:
        """The first row that matches, or None where the table has none."""
        found = self.rows(**wanted)
        return found[0] if found else None

    def row_at_or_above(self, column: str, quantity: Quantity, **wanted: Quantity | str) -> Row | None:
        """The row with the least `column` not below `quantity`, or None past the end of the table."""
        rows = [row for row in self.rows(**wanted) if row.q(column).si >= quantity.si * (1 - 1e-9) - 1e-12]
        return min(rows, key=lambda row: row.q(column).si, default=None)

    def row_at_or_below(self, column: str, quantity: Quantity, **wanted: Quantity | str) -> Row | None:
        """The row with the greatest `column` not above `quantity`, or None before the start of the table."""
        rows = [row for row in self.rows(**wanted) if row.q(column).si <= quantity.si * (1 + 1e-9) + 1e-12]
        return max(rows, key=lambda row: row.q(column).si, default=None)
