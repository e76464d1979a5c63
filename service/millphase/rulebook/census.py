"""Count what a rule set holds and how far it was checked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

CHECKED = ("read", "secondary", "memory")


@dataclass(frozen=True)
class Census:
    """Counts of one rule set.

    Attributes
    ----------
    rules, tables, sources, values : int
        Rules, tables among them, source records, and single values (a cell of a table counts as one).
    rules_by_check, values_by_check : mapping
        Rules and values by ``read``, ``secondary`` and ``memory``.
    """

    rules: int
    tables: int
    sources: int
    values: int
    rules_by_check: Mapping[str, int]
    values_by_check: Mapping[str, int]

    def lines(self) -> list[str]:
        """The counts as lines for a person."""
        return [
            ", ".join(
                f"{number} {word if number != 1 else word.removesuffix('s')}"
                for word, number in self.as_json().items()
                if isinstance(number, int)
            ),
            f"rules:  {_shares(self.rules_by_check)}",
            f"values: {_shares(self.values_by_check)}",
        ]

    def as_json(self) -> dict[str, Any]:
        """The counts as plain JSON data."""
        return {
            "rules": self.rules,
            "tables": self.tables,
            "sources": self.sources,
            "values": self.values,
            "rules_by_check": dict(self.rules_by_check),
            "values_by_check": dict(self.values_by_check),
        }


def _shares(counts: Mapping[str, int]) -> str:
    total = sum(counts.values()) or 1
    return ", ".join(f"{word} {100 * counts[word] / total:.0f} %" for word in CHECKED)


def census(pack: Mapping[str, Any]) -> Census:
    """Count the rules, tables, sources and values of a compiled set."""
    in_force = [rule for rule in pack["rules"].values() if "withdrawn" not in rule]
    values = Counter(checked for rule in in_force for checked in _values(rule))
    rules = Counter(rule["cite"]["checked"] for rule in in_force)
    return Census(
        len(in_force), sum(rule["kind"] == "table" for rule in in_force), len(pack["sources"]), values.total(),
        {word: rules[word] for word in CHECKED}, {word: values[word] for word in CHECKED},
    )  # fmt: skip


def _values(rule: Mapping[str, Any]) -> Iterator[str]:
    """How far each single value of a rule was checked."""
    checked = rule["cite"]["checked"]
    if rule["kind"] == "table":
        names = [column["name"] for column in rule["columns"]]
        for row in rule["rows"]:
            cells = dict(zip(names, row, strict=True))
            for name, value in cells.items():
                if value is not None and name not in rule["key"]:
                    yield _cell(rule, cells, name)["checked"]
        return
    count = {"coefficients": "values", "bands": "bands", "steps": "steps"}.get(rule["kind"])
    yield from [checked] * (len(rule[count]) if count else 1)


def _cell(rule: Mapping[str, Any], cells: Mapping[str, Any], column: str) -> Mapping[str, Any]:
    cite: Mapping[str, Any] = rule["cite"]
    for entry in rule.get("cell_cites", []):
        columns = entry.get("columns", [])
        if (not columns or column in columns) and all(
            cells[name] in wanted for name, wanted in entry.get("rows", {}).items()
        ):
            cite = entry["cite"]
    return cite
