"""Checks of rule files beyond their spelling: shape (JSON Schema), sense, citations, order of tables."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import cache
from itertools import pairwise
from pathlib import PurePosixPath
from typing import Any

from jsonschema import Draft202012Validator

from millphase import units
from millphase.quantity import QuantityError
from millphase.rulebook.loader import RuleFault
from millphase.rulebook.model import to_quantity

Lines = Mapping[str, int]


# What a rule of each kind must and may hold beside id, title, kind, note, history and cite.
PARTS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "limit": (("dimension", "sense", "value"), ()),
    "constant": (("dimension", "value"), ()),
    "coefficients": (("values",), ()),
    "table": (("columns", "key", "rows"), ("rising", "falling", "cell_cites")),
    "bands": (("dimension", "unit", "bands"), ()),
    "text": (("text",), ()),
    "steps": (("steps",), ()),
}
_COMMON = ("id", "title", "kind", "note", "history", "cite")
_CELL_TEXT = 400


@cache
def _validator(name: str, kind: str | None = None) -> Draft202012Validator:
    from millphase.rulebook.sets import schema

    # That the schema is itself valid is tested, not checked again at every start: it would take a third of it.
    document = schema(name)
    if kind is not None:
        document = _of_kind(_inlined(document, document["$defs"]), kind)
    return Draft202012Validator(document, format_checker=Draft202012Validator.FORMAT_CHECKER)


def _inlined(node: Any, definitions: Mapping[str, Any]) -> Any:
    """A schema with its references written out, which is several times faster to check against."""
    if isinstance(node, dict):
        if "$ref" in node:
            return _inlined(definitions[node["$ref"].rpartition("/")[2]], definitions)
        return {key: _inlined(part, definitions) for key, part in node.items() if key != "$defs"}
    return [_inlined(part, definitions) for part in node] if isinstance(node, list) else node


def _of_kind(document: Mapping[str, Any], kind: str) -> dict[str, Any]:
    """The schema of a rule of one kind: only its own keys, and no cases to try; cells are checked with their columns."""
    needed, optional = PARTS[kind]
    properties = {name: document["properties"][name] for name in (*_COMMON, *needed, *optional)}
    if "rows" in properties:
        properties["rows"] = {**properties["rows"], "items": {"type": "array"}}
    return {
        "type": "object",
        "required": [*document["required"], *needed],
        "properties": properties,
        "additionalProperties": False,
    }


def schema_faults(name: str, data: Any, lines: Lines, shown: str) -> list[RuleFault]:
    """Faults against ``rules/schema/<name>.schema.json``, with the line of each."""
    faults = []
    kind = data.get("kind") if name == "rule" and isinstance(data, dict) else None
    for error in _validator(name, kind if isinstance(kind, str) and kind in PARTS else None).iter_errors(data):
        deepest = error if error.validator == "oneOf" else max(error.context or [error], key=_depth)
        key = "".join(f"/{part}" for part in deepest.absolute_path)
        faults.append(RuleFault(shown, line_of(lines, key), key, _advice(deepest)))
    return faults


def _depth(error: Any) -> int:
    return len(error.absolute_path)


def line_of(lines: Lines, key: str) -> int:
    """Line of the value at `key`, or of what holds it."""
    while key and key not in lines:
        key = key.rpartition("/")[0]
    return lines.get(key, 1)


def _advice(error: Any) -> str:
    described = error.schema.get("description") if isinstance(error.schema, dict) else None
    if error.validator == "additionalProperties":
        return f"{error.message}; remove the key or correct its spelling"
    if error.validator == "oneOf" and isinstance(error.instance, dict):
        return f"these keys do not go together: {', '.join(map(str, error.instance))}; {described or 'see the schema'}"
    if error.validator == "required":
        return f"{error.message}; add it"
    if error.validator == "enum":
        return f"{error.message.split(' is not one of')[0]} is not allowed; use one of {', '.join(map(str, error.validator_value))}"
    return f"{error.message}; {described}" if described else f"{error.message}; correct the value"


def _value_fault(value: object, dimension: str, lines: Lines, key: str, shown: str) -> list[RuleFault]:
    if dimension != "ratio" and not isinstance(value, str):
        return [
            RuleFault(
                shown,
                line_of(lines, key),
                key,
                f"a {dimension} needs a unit; write e.g. {units.codes(dimension)[0]!r} after the number",
            )
        ]
    try:
        to_quantity(value, dimension)
    except QuantityError as error:
        return [RuleFault(shown, line_of(lines, key), key, str(error))]
    return []


def _cite_faults(
    cite: Mapping[str, Any], lines: Lines, key: str, shown: str, sources: Mapping[str, Any]
) -> list[RuleFault]:
    faults = []
    for name in ("source", "through"):
        if name in cite and cite[name] not in sources:
            message = f"no source record {cite[name]!r}; add it under sources/ or correct the id"
            faults.append(RuleFault(shown, line_of(lines, f"{key}/{name}"), f"{key}/{name}", message))
    checked = cite["checked"]
    if "seen_on" in cite and not _is_day(cite["seen_on"]):
        message = f"there was no such day as {cite['seen_on']}; write the day it was read"
        faults.append(RuleFault(shown, line_of(lines, f"{key}/seen_on"), f"{key}/seen_on", message))
    if checked != "memory" and "seen_on" not in cite:
        faults.append(
            RuleFault(shown, line_of(lines, key), key, f"checked: {checked} needs seen_on, the day it was read")
        )
    if checked == "secondary" and "through" not in cite:
        faults.append(
            RuleFault(shown, line_of(lines, key), key, "checked: secondary needs through, the source that restates it")
        )
    if checked == "memory" and ("through" in cite or "seen_on" in cite):
        faults.append(
            RuleFault(
                shown,
                line_of(lines, key),
                key,
                "checked: memory was not read anywhere; drop through and seen_on, or say where it was read",
            )
        )
    if cite["basis"] == "common-practice" and checked == "read":
        faults.append(
            RuleFault(
                shown,
                line_of(lines, key),
                key,
                "common practice has no text to read; use checked: memory or secondary",
            )
        )
    return faults


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


def rule_faults(data: Mapping[str, Any], lines: Lines, shown: str, sources: Mapping[str, Any]) -> list[RuleFault]:
    """Faults of one rule that JSON Schema cannot see."""
    faults = []
    expected = str(PurePosixPath(shown).with_suffix(""))
    if data["id"] != expected:
        faults.append(RuleFault(shown, line_of(lines, "/id"), "/id", f"id must equal the path: write {expected}"))
    faults += _cite_faults(data["cite"], lines, "/cite", shown, sources)
    kind = data["kind"]
    if kind in ("limit", "constant"):
        faults += _value_fault(data["value"], data["dimension"], lines, "/value", shown)
    if kind == "coefficients":
        for name, value in data["values"].items():
            try:
                to_quantity(value)
            except QuantityError as error:
                faults.append(RuleFault(shown, line_of(lines, f"/values/{name}"), f"/values/{name}", str(error)))
    if kind == "bands":
        faults += _band_faults(data, lines, shown)
    if kind == "table":
        faults += _table_faults(data, lines, shown, sources)
    return faults


def _band_faults(data: Mapping[str, Any], lines: Lines, shown: str) -> list[RuleFault]:
    faults = []
    if data["unit"] not in units.table()[data["dimension"]]:
        faults.append(
            RuleFault(shown, line_of(lines, "/unit"), "/unit", f"{data['unit']} is no unit of {data['dimension']}")
        )
    bands = data["bands"]
    if "from" in bands[0] or "below" in bands[-1]:
        faults.append(
            RuleFault(
                shown,
                line_of(lines, "/bands"),
                "/bands",
                "the first band has no from and the last no below, so that every value falls in one",
            )
        )
    for index, (lower, upper) in enumerate(pairwise(bands)):
        key = f"/bands/{index + 1}"
        if lower.get("below") != upper.get("from"):
            faults.append(
                RuleFault(
                    shown,
                    line_of(lines, key),
                    key,
                    f"gap or overlap: from must equal the band before, {lower.get('below')}",
                )
            )
        elif "below" in upper and upper["below"] <= upper["from"]:
            faults.append(RuleFault(shown, line_of(lines, key), key, "below must be greater than from"))
    return faults


def _table_faults(data: Mapping[str, Any], lines: Lines, shown: str, sources: Mapping[str, Any]) -> list[RuleFault]:
    faults: list[RuleFault] = []
    columns = {column["name"]: (index, column) for index, column in enumerate(data["columns"])}
    if len(columns) != len(data["columns"]):
        return [RuleFault(shown, line_of(lines, "/columns"), "/columns", "two columns have the same name; rename one")]
    for index, column in enumerate(data["columns"]):
        if "dimension" in column and column["unit"] not in units.table()[column["dimension"]]:
            faults.append(
                RuleFault(
                    shown,
                    line_of(lines, f"/columns/{index}"),
                    f"/columns/{index}/unit",
                    f"{column['unit']} is no unit of {column['dimension']}",
                )
            )
    for index, row in enumerate(data["rows"]):
        faults += _row_faults(row, data["columns"], lines, f"/rows/{index}", shown)
    named = [
        *data["key"],
        *(name for pair in (*data.get("rising", []), *data.get("falling", [])) for name in pair),
    ]
    for name in named:
        if name not in columns:
            faults.append(
                RuleFault(
                    shown,
                    line_of(lines, "/key"),
                    "/key",
                    f"no column {name!r}; name one of {', '.join(columns)}",
                )
            )
    for name in {name for pair in (*data.get("rising", []), *data.get("falling", [])) for name in pair}:
        if name in columns and "dimension" not in columns[name][1]:
            message = f"{name} holds no numbers, so it can neither rise nor fall; name a column with a dimension"
            faults.append(RuleFault(shown, line_of(lines, "/columns"), "/columns", message))
    if faults:
        return faults
    seen: set[tuple[Any, ...]] = set()
    for index, row in enumerate(data["rows"]):
        key = tuple(row[columns[name][0]] for name in data["key"])
        if None in key:
            message = "a key cannot be null, or the row is never found; give every key column a value"
            faults.append(RuleFault(shown, line_of(lines, f"/rows/{index}"), f"/rows/{index}", message))
        elif key in seen:
            faults.append(
                RuleFault(
                    shown,
                    line_of(lines, f"/rows/{index}"),
                    f"/rows/{index}",
                    f"a second row for {key}; keep one",
                )
            )
        seen.add(key)
    faults += _order_faults(data, columns, lines, shown)
    for index, entry in enumerate(data.get("cell_cites", [])):
        faults += _cite_faults(entry["cite"], lines, f"/cell_cites/{index}/cite", shown, sources)
        faults += _cell_cite_faults(entry, data, columns, lines, f"/cell_cites/{index}", shown)
    return faults


def _cell_cite_faults(
    entry: Mapping[str, Any], data: Mapping[str, Any], columns: Mapping[str, tuple[int, Any]], lines: Lines, key: str, shown: str
) -> list[RuleFault]:  # fmt: skip
    """A citation for cells that are not there would be lost without a word."""
    for name in [*entry.get("rows", {}), *entry.get("columns", [])]:
        if name not in columns:
            return [RuleFault(shown, line_of(lines, key), key, f"no column {name!r}; name one of {', '.join(columns)}")]
    for name, wanted in entry.get("rows", {}).items():
        present = {row[columns[name][0]] for row in data["rows"]}
        for value in wanted:
            if value not in present:
                message = f"no row has {name} {value}; correct the citation of these cells"
                return [RuleFault(shown, line_of(lines, key), key, message)]
    return []


def _row_faults(
    row: list[Any], columns: list[Mapping[str, Any]], lines: Lines, key: str, shown: str
) -> list[RuleFault]:
    if len(row) != len(columns):
        return [
            RuleFault(
                shown,
                line_of(lines, key),
                key,
                f"{len(row)} values for {len(columns)} columns; use null for a value that is not tabulated",
            )
        ]
    faults = []
    for position, (value, column) in enumerate(zip(row, columns, strict=True)):
        place = f"{key}/{position}"
        if value is None:
            continue
        if "dimension" in column:
            if isinstance(value, bool) or not isinstance(value, int | float):
                faults.append(
                    RuleFault(
                        shown,
                        line_of(lines, place),
                        place,
                        f"{column['name']} is a number in {column['unit']}; write the number alone",
                    )
                )
        elif not isinstance(value, str):
            faults.append(RuleFault(shown, line_of(lines, place), place, f"{column['name']} is text; quote the value"))
        elif len(value) > _CELL_TEXT:
            message = f"longer than {_CELL_TEXT} characters; put it into a rule of kind text"
            faults.append(RuleFault(shown, line_of(lines, place), place, message))
        elif "choices" in column and value not in column["choices"]:
            faults.append(
                RuleFault(
                    shown,
                    line_of(lines, place),
                    place,
                    f"{value!r} is not one of {', '.join(column['choices'])}",
                )
            )
    return faults


def _order_faults(
    data: Mapping[str, Any], columns: Mapping[str, tuple[int, Any]], lines: Lines, shown: str
) -> list[RuleFault]:
    faults = []
    for direction, sign in (("rising", 1), ("falling", -1)):
        for by, name in data.get(direction, []):
            others = [columns[key][0] for key in data["key"] if key != by]
            groups: dict[tuple[Any, ...], list[tuple[float, float, int]]] = {}
            for index, row in enumerate(data["rows"]):
                if row[columns[name][0]] is not None and row[columns[by][0]] is not None:
                    group = tuple(row[other] for other in others)
                    groups.setdefault(group, []).append((row[columns[by][0]], row[columns[name][0]], index))
            for entries in groups.values():
                for (_, before, _), (_, after, index) in pairwise(sorted(entries)):
                    if (after - before) * sign < 0:
                        key = f"/rows/{index}"
                        faults.append(
                            RuleFault(
                                shown,
                                line_of(lines, key),
                                key,
                                f"{name} must be {direction} with {by}: {before} then {after}",
                            )
                        )
    return faults


def set_faults(rules: Mapping[str, Any], sources: Mapping[str, Any]) -> list[RuleFault]:
    """Faults of the set as a whole: a source record that nothing cites."""
    used = {"common-practice"}
    for data in rules.values():
        for cite in (data["cite"], *(entry["cite"] for entry in data.get("cell_cites", []))):
            used.update(cite[name] for name in ("source", "through") if name in cite)
    return [
        RuleFault("sources", 0, source, "no rule cites this source; cite it or remove the record")
        for source in sources
        if source not in used
    ]
