"""Checks of rules that hold many values: bands without gap or overlap, tables with sound rows in order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import pairwise
from typing import Any

from millphase import units
from millphase.rulebook.told import Told

Columns = Mapping[str, tuple[int, Mapping[str, Any]]]
_CELL_TEXT = 400


def bands(data: Mapping[str, Any], told: Told) -> None:
    """Note what is wrong with a rule of kind ``bands``."""
    entries, dimension = data["bands"], data["dimension"]
    if data["unit"] not in units.table()[dimension]:
        told.at("/unit", f"{data['unit']} is no unit of {dimension}; use one of {', '.join(units.codes(dimension))}")
    if "from" in entries[0] or "below" in entries[-1]:
        told.at("/bands", "the first band has no from and the last no below, so that every value falls in one")
    for index, (lower, upper) in enumerate(pairwise(entries), start=1):
        edge = lower.get("below")
        if edge is None:
            told.at(f"/bands/{index - 1}", "only the last band has no below; write where this one ends")
        elif upper.get("from") != edge:
            told.at(f"/bands/{index}", f"gap or overlap: from must equal the band before, {edge}")
        else:
            told.sign(f"/bands/{index}/from", edge, dimension)
            if upper["label"] == lower["label"]:
                told.at(f"/bands/{index}/label", "the band before has this label too; join the two")
            if "below" in upper and upper["below"] <= edge:
                told.at(f"/bands/{index}", "below must be greater than from")


def table(data: Mapping[str, Any], told: Told) -> None:
    """Note what is wrong with a rule of kind ``table``."""
    columns: Columns = {column["name"]: (index, column) for index, column in enumerate(data["columns"])}
    if len(columns) != len(data["columns"]):
        told.at("/columns", "two columns have the same name; rename one")
        return
    _units(data, told)
    for index, row in enumerate(data["rows"]):
        _row(row, data["columns"], f"/rows/{index}", told)
    _names(data, columns, told)
    if told.faults:
        return
    _keys(data, columns, told)
    _order(data, columns, told)
    for index, entry in enumerate(data.get("cell_cites", [])):
        for message in _lost_citation(entry, data, columns):
            told.at(f"/cell_cites/{index}", message)


def _units(data: Mapping[str, Any], told: Told) -> None:
    for index, column in enumerate(data["columns"]):
        dimension = column.get("dimension")
        if dimension and column["unit"] not in units.table()[dimension]:
            allowed = ", ".join(units.codes(dimension))
            told.at(f"/columns/{index}/unit", f"{column['unit']} is no unit of {dimension}; use one of {allowed}")


def _row(row: list[Any], columns: list[Mapping[str, Any]], key: str, told: Told) -> None:
    if len(row) != len(columns):
        told.at(key, f"{len(row)} values for {len(columns)} columns; use null for a value that is not tabulated")
        return
    for position, (value, column) in enumerate(zip(row, columns, strict=True)):
        if value is not None:
            _cell(value, column, f"{key}/{position}", told)


def _cell(value: Any, column: Mapping[str, Any], key: str, told: Told) -> None:
    if "dimension" in column:
        if isinstance(value, bool) or not isinstance(value, int | float):
            told.at(key, f"{column['name']} is a number in {column['unit']}; write the number alone")
        else:
            told.sign(key, value, column["dimension"])
    elif not isinstance(value, str):
        told.at(key, f"{column['name']} is text; quote the value")
    elif len(value) > _CELL_TEXT:
        told.at(key, f"longer than {_CELL_TEXT} characters; put it into a rule of kind text")
    elif "choices" in column and value not in column["choices"]:
        told.at(key, f"{value!r} is not one of {', '.join(column['choices'])}")


def _names(data: Mapping[str, Any], columns: Columns, told: Told) -> None:
    """Columns that key and order name: they must be there, and what rises or falls must be numbers."""
    for part in ("key", "rising", "falling"):
        for entry in data.get(part, []):
            for name in [entry] if part == "key" else entry:
                if name not in columns:
                    told.at(f"/{part}", f"no column {name!r}; name one of {', '.join(columns)}")
                elif part != "key" and "dimension" not in columns[name][1]:
                    message = (
                        f"{name} holds no numbers, so it can neither rise nor fall; name a column with a dimension"
                    )
                    told.at(f"/{part}", message)


def _keys(data: Mapping[str, Any], columns: Columns, told: Told) -> None:
    seen: set[tuple[Any, ...]] = set()
    for index, row in enumerate(data["rows"]):
        key = tuple(row[columns[name][0]] for name in data["key"])
        if None in key:
            told.at(f"/rows/{index}", "a key cannot be null, or the row is never found; give every key column a value")
        elif key in seen:
            told.at(f"/rows/{index}", f"a second row for {', '.join(map(str, key))}; keep one")
        seen.add(key)
        rest = [cell for name, (column, _) in columns.items() for cell in [row[column]] if name not in data["key"]]
        if rest and all(cell is None for cell in rest):
            told.at(f"/rows/{index}", "nothing is tabulated in this row; give it a value or remove it")


def _order(data: Mapping[str, Any], columns: Columns, told: Told) -> None:
    for direction, sign in (("rising", 1), ("falling", -1)):
        for by, name in data.get(direction, []):
            for entries in _groups(data, columns, by, name):
                for (_, before, _), (_, after, index) in pairwise(sorted(entries)):
                    if (after - before) * sign < 0:
                        told.at(f"/rows/{index}", f"{name} must be {direction} with {by}: {before} then {after}")


def _groups(data: Mapping[str, Any], columns: Columns, by: str, name: str) -> Iterator[list[tuple[float, float, int]]]:
    """Value of `by`, of `name`, and row, for the rows alike in every other key that have both."""
    others = [columns[key][0] for key in data["key"] if key != by]
    groups: dict[tuple[Any, ...], list[tuple[float, float, int]]] = {}
    for index, row in enumerate(data["rows"]):
        place, value = row[columns[by][0]], row[columns[name][0]]
        if place is not None and value is not None:
            groups.setdefault(tuple(row[other] for other in others), []).append((place, value, index))
    yield from groups.values()


def _lost_citation(entry: Mapping[str, Any], data: Mapping[str, Any], columns: Columns) -> Iterator[str]:
    """A citation for cells that are not there would be lost without a word."""
    absent = [name for name in (*entry.get("rows", {}), *entry.get("columns", [])) if name not in columns]
    if absent:
        yield f"no column {absent[0]!r}; name one of {', '.join(columns)}"
        return
    for name, wanted in entry.get("rows", {}).items():
        present = {row[columns[name][0]] for row in data["rows"]}
        yield from (
            f"no row has {name} {value}; correct the citation of these cells"
            for value in wanted
            if value not in present
        )
