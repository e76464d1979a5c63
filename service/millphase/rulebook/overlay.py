"""A club's own set: what it tightens, adds, withdraws or loosens in a base that it names by version and digest.

Nothing is merged by guessing. Every change is held against the very base it was written for; one that no longer
fits (the base has moved on, the limit is stricter there already, the rule is gone) is a fault with file and line.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from millphase.quantity import QuantityError
from millphase.rulebook import check
from millphase.rulebook.loader import RuleFault
from millphase.rulebook.model import to_quantity
from millphase.rulebook.told import Lines, line_of

_ABOUT_CHANGE = ("change", "loosens", "reason")
_REASON_LIMIT = 600


class Overlay:
    """Applies one club's changes to its base, and keeps the faults met on the way.

    Parameters
    ----------
    head : mapping
        The club's ``ruleset.yaml``.
    base : mapping
        The compiled set it builds on.
    sources : mapping
        Source records of base and club together.
    """

    def __init__(self, head: Mapping[str, Any], base: Mapping[str, Any], sources: Mapping[str, Any]) -> None:
        self.by = f"{head['name']}@{head['version']}"
        self.base, self.sources = base, sources
        self.rules: dict[str, Any] = dict(base["rules"])
        self.faults: list[RuleFault] = []
        self.changed: dict[str, str] = {}

    def apply(self, data: Any, lines: Lines, shown: str) -> None:
        """Apply the change that one file asks for, or note what is wrong with it."""
        found = check.schema_faults("change", data, lines, shown)
        if found:
            self.faults += found
            return
        self.changed[data["id"]] = shown
        before = self.base["rules"].get(data["id"])
        change = data["change"]
        if change == "add":
            self._add(data, lines, shown, before)
        elif before is None:
            self._fault(
                shown,
                lines,
                "/id",
                f"the base {self._base_name} has no rule {data['id']}; to bring one in, write change: add",
            )
        elif "withdrawn" in before:
            self._fault(
                shown, lines, "/id", f"the base has withdrawn {data['id']}: {before['withdrawn']}; remove this file"
            )
        elif change == "withdraw":
            note = {"by": self.by, "change": "withdraw", "reason": data["reason"]}
            self.rules[data["id"]] = {**before, "withdrawn": data["reason"], "changed": note}
        elif change == "tighten":
            self._tighten(data, lines, shown, before)
        else:
            self._replace(data, lines, shown, before)

    @property
    def _base_name(self) -> str:
        return f"{self.base['name']}@{self.base['version']}"

    def _fault(self, shown: str, lines: Lines, key: str, message: str) -> None:
        self.faults.append(RuleFault(shown, line_of(lines, key), key, message))

    def _checked(self, rule: dict[str, Any], lines: Lines, shown: str) -> bool:
        plain = {key: value for key, value in rule.items() if key != "applies_to"}
        found = check.schema_faults("rule", plain, lines, shown) or check.rule_faults(plain, lines, shown, self.sources)
        self.faults += found
        return not found

    def _add(self, data: Mapping[str, Any], lines: Lines, shown: str, before: Any) -> None:
        if before is not None:
            message = f"the base {self._base_name} has a rule {data['id']} already; take another name, or write change: tighten"
            self._fault(shown, lines, "/id", message)
            return
        rule = {key: value for key, value in data.items() if key not in _ABOUT_CHANGE}
        if not self._checked(rule, lines, shown):
            return
        if "applies_to" in rule:
            wanted = "limit" if "value" in rule["applies_to"] else "text"
            if rule["kind"] != wanted:
                message = "a limit applies to a question's value, a text to a question; give value for a limit only"
                self._fault(shown, lines, "/applies_to", message)
                return
        self.rules[data["id"]] = {**rule, "changed": {"by": self.by, "change": "add", "reason": data["reason"]}}

    def _tighten(self, data: Mapping[str, Any], lines: Lines, shown: str, before: Mapping[str, Any]) -> None:
        if before["kind"] != "limit" or "two_sided" in before:
            what = "limit that is stricter for one question and looser for another"
            message = (
                f"{data['id']} is a {before['kind'] if before['kind'] != 'limit' else what}, and which way is stricter "
                "cannot be told; write change: replace with loosens: true and a reason"
            )
            self._fault(shown, lines, "/change", message)
            return
        rule = self._with(before, {key: data[key] for key in ("value", "cite", "note") if key in data})
        if not self._checked(rule, lines, shown):
            return
        direction = compare_limits(before, rule)
        if direction != "stricter":
            message = f"{data['value']} is {direction} than the base's {before['value']} ({before['sense']}); "
            message += (
                "remove this file"
                if direction == "no stricter"
                else "to loosen, write change: replace, loosens: true and a reason"
            )
            self._fault(shown, lines, "/value", message)
            return
        self.rules[data["id"]] = {**rule, "changed": self._still_loosened(data, before, rule)}

    def _replace(self, data: Mapping[str, Any], lines: Lines, shown: str, before: Mapping[str, Any]) -> None:
        parts = sum(check.PARTS[before["kind"]], ())
        allowed = {"id", "change", "loosens", "reason", "cite", "note", "title", *parts}
        for key in data:
            if key not in allowed:
                message = f"a {before['kind']} has no {key}, or it cannot be replaced; remove the key"
                self._fault(shown, lines, f"/{key}", message)
                return
        given = {key: value for key, value in data.items() if key not in _ABOUT_CHANGE}
        needed = check.PARTS[before["kind"]][0]
        if all(given.get(key, before[key]) == before[key] for key in needed):
            self._fault(shown, lines, "", f"nothing is replaced; give a new {' or '.join(needed)}, or remove this file")
            return
        rule = self._with(before, given)
        clash = unfit(before, rule)
        if clash:
            self._fault(shown, lines, clash[0], clash[1])
            return
        if not self._checked(rule, lines, shown):
            return
        clash = unlike(before, rule)
        if clash:
            self._fault(shown, lines, clash[0], clash[1])
            return
        if before["kind"] == "limit" and "two_sided" not in before and compare_limits(before, rule) != "looser":
            message = f"{rule['value']} is not looser than the base's {before['value']}; write change: tighten, or remove this file"
            self._fault(shown, lines, "/value", message)
            return
        self.rules[data["id"]] = {**rule, "changed": self._note("loosen", data, before)}

    @staticmethod
    def _with(before: Mapping[str, Any], given: Mapping[str, Any]) -> dict[str, Any]:
        kept = {key: value for key, value in before.items() if key not in ("changed", "history")}
        if "rows" in given:
            # Citations of single cells belong to the rows they were written for.
            kept.pop("cell_cites", None)
        return {**kept, **given}

    def _still_loosened(
        self, data: Mapping[str, Any], before: Mapping[str, Any], rule: Mapping[str, Any]
    ) -> dict[str, Any]:
        """The note of a tightened limit: where the base had loosened it further than that, it stays loosened."""
        earlier = before.get("changed", {})
        if earlier.get("change") != "loosen" or compare_limits({**before, "value": earlier["was"]}, rule) != "looser":
            return self._note("tighten", data, before)
        reason = f"{earlier['reason']} ({earlier['by']}) {data['reason']}"
        return {"by": self.by, "change": "loosen", "reason": reason[:_REASON_LIMIT], "was": earlier["was"]}

    def _note(self, change: str, data: Mapping[str, Any], before: Mapping[str, Any]) -> dict[str, Any]:
        note = {"by": self.by, "change": change, "reason": data["reason"]}
        return {**note, "was": before["value"]} if "value" in before else note


def compare_limits(before: Mapping[str, Any], after: Mapping[str, Any]) -> str:
    """Whether limit `after` is ``stricter``, ``looser`` or ``no stricter`` (equal) than `before`.

    Raises
    ------
    QuantityError
        One of them has no quantity of its dimension.
    """
    if before["dimension"] != after["dimension"]:
        raise QuantityError(f"a limit of {before['dimension']} cannot be held against one of {after['dimension']}")
    old, new = (to_quantity(rule["value"], rule["dimension"]).si for rule in (before, after))
    if old == new:
        return "no stricter"
    return "stricter" if (new > old) == (before["sense"] == "at-least") else "looser"


def unfit(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[str, str] | None:
    """Where a replacement has another form than questions rely on: key and advice, or None."""
    for key in ("kind", "dimension", "sense", "two_sided", "columns", "key", "unit"):
        if before.get(key) != after.get(key):
            return f"/{key}", f"{key} must stay as in the base, since questions rely on it: {before.get(key)}"
    return None


def unlike(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[str, str] | None:
    """Where a sound replacement does not fit the questions that use the rule: key and advice, or None."""
    if before["kind"] == "coefficients":
        for name in sorted(set(before["values"]) ^ set(after["values"])):
            return f"/values/{name}", f"the names must stay as in the base: {', '.join(before['values'])}"
        for name, value in after["values"].items():
            dimensions = [to_quantity(rule["values"][name]).dimension for rule in (before, after)]
            if dimensions[0] != dimensions[1]:
                return f"/values/{name}", f"{value} must be a {dimensions[0]}, as in the base"
    if before["kind"] == "table":
        return _rows_gone(before, after)
    if before["kind"] == "bands":
        labels = {band["label"] for band in before["bands"]}
        for index, band in enumerate(after["bands"]):
            if band["label"] not in labels:
                return f"/bands/{index}/label", f"use a label of the base: {', '.join(sorted(labels))}"
    return None


def _rows_gone(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[str, str] | None:
    """A row or cell of the base that a replacement no longer has: a question that looks it up would find nothing."""
    names = [column["name"] for column in before["columns"]]
    keys = [names.index(name) for name in before["key"]]
    kept = {tuple(row[key] for key in keys): row for row in after["rows"]}
    for row in before["rows"]:
        key = tuple(row[key] for key in keys)
        place = ", ".join(f"{name} {part}" for name, part in zip(before["key"], key, strict=True))
        if key not in kept:
            return "/rows", f"the base has a row at {place}, and questions rely on it; keep it, or withdraw the rule"
        for name, was, now in zip(names, row, kept[key], strict=True):
            if was is not None and now is None:
                return "/rows", f"the base has {name} at {place}, and questions rely on it; give a value"
    return None
