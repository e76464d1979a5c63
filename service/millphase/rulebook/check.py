"""Checks of rule files beyond their spelling: shape (JSON Schema), values, citations, and the set as a whole."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from datetime import date
from difflib import get_close_matches
from functools import cache
from pathlib import PurePosixPath
from typing import TYPE_CHECKING, Any

from millphase import units
from millphase.quantity import QuantityError
from millphase.rulebook.loader import RuleFault
from millphase.rulebook.model import to_quantity
from millphase.rulebook.places import schema
from millphase.rulebook.tables import bands, table
from millphase.rulebook.told import Lines, Told

if TYPE_CHECKING:
    from jsonschema import Draft202012Validator

# What a rule of each kind must and may hold beside id, title, kind, note, history and cite.
PARTS: dict[str, tuple[tuple[str, ...], tuple[str, ...]]] = {
    "limit": (("dimension", "sense", "value"), ("two_sided",)),
    "constant": (("dimension", "value"), ()),
    "coefficients": (("values",), ()),
    "table": (("columns", "key", "rows"), ("rising", "falling", "cell_cites")),
    "bands": (("dimension", "unit", "bands"), ()),
    "text": (("text",), ()),
    "steps": (("steps",), ()),
}
_COMMON = ("id", "title", "kind", "note", "history", "cite")
_LEADING_ZERO = re.compile(r"[+-]?0[0-9]")
_TYPES = {
    "string": "text", "number": "a number", "object": "a group of keys", "array": "a list", "null": "null",
}  # fmt: skip
_BOUNDS = {
    "minLength": "is shorter than {} characters", "maxLength": "is longer than {} characters",
    "minItems": "has fewer than {} entries", "maxItems": "has more than {} entries",
    "minProperties": "has fewer than {} keys", "maxProperties": "has more than {} keys",
    "uniqueItems": "names one thing twice", "const": "is not {}",
}  # fmt: skip


@cache
def _validator(name: str, kind: str | None = None) -> Draft202012Validator:
    # That the schema is itself valid is tested, not checked again at every start: it would take a third of it.
    document = schema(name)
    if kind is not None:
        document = _of_kind(_inlined(document, document["$defs"]), kind)
    from jsonschema import Draft202012Validator  # 4 MiB that a service answering from released packs never needs

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
    told = Told(shown, lines)
    if not isinstance(data, dict):
        told.at("", f"{_short(data)} is not a group of keys; write key: value, one on each line")
        return told.faults
    kind = data.get("kind") if name == "rule" else None
    validator = _validator(name, kind if isinstance(kind, str) and kind in PARTS else None)
    document: Any = validator.schema
    for error in validator.iter_errors(data):
        deepest = error if error.validator == "oneOf" else max(error.context or [error], key=_depth)
        place = "".join(f"/{part}" for part in deepest.absolute_path)
        for key, message in _advice(deepest, document):
            told.at(f"{place}{key}", message)
    return told.faults


def _depth(error: Any) -> int:
    return len(error.absolute_path)


def _short(value: Any) -> str:
    """A value as it stands in a file, cut where it is long: a hostile pack must not fill the screen."""
    text = json.dumps(value, ensure_ascii=False)
    return text if len(text) <= 80 else f"{text[:77]}…"


def _advice(error: Any, document: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """What to do about one fault against a schema; the first of each pair goes on from the fault's own place."""
    described = error.schema.get("description")
    if error.validator == "additionalProperties":
        yield from _unknown_keys(error)
    elif error.validator == "oneOf" and isinstance(error.instance, dict):
        yield "", f"these keys do not go together: {', '.join(error.instance)}; {described or 'see the schema'}"
    elif error.validator == "required":
        missing = next(name for name in error.validator_value if name not in error.instance)
        more = document["properties"].get(missing, {}).get("description", "")
        yield "", f"'{missing}' is missing; add it{f' ({more})' if more and not error.absolute_path else ''}"
    elif error.validator == "not":
        wrong = error.validator_value["required"][0]
        yield f"/{wrong}", f"{wrong} does not go with change: {error.instance['change']}; remove the key"
    elif error.validator == "enum":
        yield "", f"{_short(error.instance)} is not allowed; use one of {', '.join(map(str, error.validator_value))}"
    else:
        yield "", f"{_short(error.instance)} {_trouble(error)}; {described or 'correct the value'}"


def _trouble(error: Any) -> str:
    if error.validator == "type":
        types = error.validator_value if isinstance(error.validator_value, list) else [error.validator_value]
        return f"is not {' or '.join(_TYPES[name] for name in types)}"
    if error.validator in ("minItems", "minProperties", "minLength") and error.validator_value == 1:
        return "is empty"
    return _BOUNDS.get(error.validator, "is not allowed here").format(_short(error.validator_value))


def _unknown_keys(error: Any) -> Iterator[tuple[str, str]]:
    known = list(error.schema["properties"])
    for key in [key for key in error.instance if key not in known][:20]:
        near = get_close_matches(key, known, n=1, cutoff=0.75)
        meant = f" (did you mean {near[0]}?)" if near else ""
        yield f"/{key}", f"{_short(key)} does not belong here{meant}; remove the key or correct its spelling"


def rule_faults(data: Mapping[str, Any], lines: Lines, shown: str, sources: Mapping[str, Any]) -> list[RuleFault]:
    """Faults of one rule that JSON Schema cannot see."""
    told = Told(shown, lines)
    expected = str(PurePosixPath(shown).with_suffix(""))
    if data["id"] != expected:
        told.at("/id", f"id must equal the path: write {expected}")
    _cite(data["cite"], "/cite", told, sources)
    for index, entry in enumerate(data.get("cell_cites", [])):
        _cite(entry["cite"], f"/cell_cites/{index}/cite", told, sources)
    kind = data["kind"]
    if kind in ("limit", "constant"):
        _value(data["value"], data["dimension"], "/value", told)
    elif kind == "coefficients":
        for name, value in data["values"].items():
            _value(value, None, f"/values/{name}", told)
    elif kind == "bands":
        bands(data, told)
    elif kind == "table":
        table(data, told)
    return told.faults


def _value(value: object, dimension: str | None, key: str, told: Told) -> None:
    """One value: text with a unit of `dimension` (of any, if None), or a plain number for a ratio."""
    if not isinstance(value, str) and dimension not in (None, "ratio"):
        told.at(key, f"a {dimension} needs a unit; write e.g. {units.codes(str(dimension))[0]!r} after the number")
        return
    if isinstance(value, str) and _LEADING_ZERO.match(value):
        told.at(key, f"{value!r} begins with a zero, which some read as octal; write the number without it")
        return
    try:
        found = to_quantity(value, dimension)
    except QuantityError as error:
        told.at(key, str(error))
        return
    told.sign(key, found.value, found.dimension)


def _cite(cite: Mapping[str, Any], key: str, told: Told, sources: Mapping[str, Any]) -> None:
    for name in ("source", "through"):
        if name in cite and cite[name] not in sources:
            told.at(f"{key}/{name}", f"no source record {cite[name]!r}; add it under sources/ or correct the id")
    if "seen_on" in cite and not _is_day(cite["seen_on"]):
        told.at(f"{key}/seen_on", f"there was no such day as {_short(cite['seen_on'])}; write the day it was read")
    checked = cite["checked"]
    if checked != "memory" and "seen_on" not in cite:
        told.at(key, f"checked: {checked} needs seen_on, the day it was read")
    if checked == "memory" and ("through" in cite or "seen_on" in cite):
        told.at(key, "checked: memory was not read anywhere; drop through and seen_on, or say where it was read")
    if checked == "read" and "through" in cite:
        told.at(f"{key}/through", "checked: read has no go-between; drop through, or write checked: secondary")
    if checked == "secondary" and cite.get("through", cite["source"]) == cite["source"]:
        told.at(
            key, "checked: secondary needs through, another source that restates it; if it was read itself, write read"
        )
    if cite["basis"] == "common-practice" and checked == "read":
        told.at(key, "common practice has no text to read; use checked: memory or secondary")


def _is_day(text: str) -> bool:
    try:
        date.fromisoformat(text)
    except ValueError:
        return False
    return True


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
