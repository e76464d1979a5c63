"""Declarations of what a question can return, from which response schema, client types and pages are made."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from millphase import units


@dataclass(frozen=True)
class Out:
    """One named value of an answer: its JSON Schema, what it means, and the dimension of a quantity."""

    schema: Mapping[str, Any]
    help: str
    dimension: str | None = None

    def json_schema(self) -> dict[str, Any]:
        """JSON Schema 2020-12 of the value."""
        return {**self.schema, "description": self.help}


def quantity(dimension: str, unit: str, help: str) -> Out:  # noqa: A002
    """A quantity, usually shown in `unit`; the answer may choose another unit of the same dimension."""
    if unit not in units.codes(dimension):
        raise ValueError(f"{unit} is no unit of {dimension}")
    return Out(
        {
            "type": "object", "required": ["value", "unit"], "additionalProperties": False,
            "properties": {"value": {"type": "number"}, "unit": {"type": "string", "enum": list(units.codes(dimension))}},
        },
        help,
        dimension,
    )  # fmt: skip


def choice(choices: list[str], help: str) -> Out:  # noqa: A002
    """One word of a closed list."""
    return Out({"type": "string", "enum": choices}, help)


def text(help: str) -> Out:  # noqa: A002
    """A piece of plain text."""
    return Out({"type": "string"}, help)


def texts(help: str) -> Out:  # noqa: A002
    """A list of texts."""
    return Out({"type": "array", "items": {"type": "string"}}, help)


def flag(help: str) -> Out:  # noqa: A002
    """True or false."""
    return Out({"type": "boolean"}, help)


def number(help: str) -> Out:  # noqa: A002
    """A plain number, e.g. a count."""
    return Out({"type": "number"}, help)


def rows(columns: Mapping[str, Out], help: str) -> Out:  # noqa: A002
    """A list of objects; every column may be missing where it does not apply."""
    return Out(
        {
            "type": "array",
            "items": {
                "type": "object", "additionalProperties": False,
                "properties": {name: column.json_schema() for name, column in columns.items()},
            },
        },
        help,
    )  # fmt: skip


def answers(help: str) -> Out:  # noqa: A002
    """Whole answers of other questions, by question name."""
    return Out({"type": "object", "additionalProperties": {"type": "object"}}, help)
