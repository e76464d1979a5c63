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
from millphase.rulebook.told import Lines, Told

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
        told = Told(shown, lines)
        told.faults += check.schema_faults("change", data, lines, shown)
        if not told.faults:
            self.changed[data["id"]] = shown
            self._apply(data, told, self.base["rules"].get(data["id"]))
        self.faults += told.faults

    def _apply(self, data: Mapping[str, Any], told: Told, before: Any) -> None:
        rule, base = data["id"], f"{self.base['name']}@{self.base['version']}"
        if data["change"] == "add":
            if before is None:
                self._add(data, told)
            else:
                told.at(
                    "/id", f"the base {base} has a rule {rule} already; take another name, or write change: tighten"
                )
        elif before is None:
            told.at("/id", f"the base {base} has no rule {rule}; to bring one in, write change: add")
        elif "withdrawn" in before:
            told.at("/id", f"the base has withdrawn {rule}: {before['withdrawn']}; remove this file")
        elif data["change"] == "withdraw":
            self.rules[rule] = {**before, "withdrawn": data["reason"], "changed": self._note("withdraw", data)}
        elif data["change"] == "tighten":
            self._tighten(data, told, before)
        else:
            self._replace(data, told, before)

    def _sound(self, rule: dict[str, Any], told: Told) -> bool:
        plain = {key: value for key, value in rule.items() if key != "applies_to"}
        told.faults += check.schema_faults("rule", plain, told.lines, told.shown) or check.rule_faults(
            plain, told.lines, told.shown, self.sources
        )
        return not told.faults

    def _add(self, data: Mapping[str, Any], told: Told) -> None:
        rule = {key: value for key, value in data.items() if key not in _ABOUT_CHANGE}
        if not self._sound(rule, told):
            return
        applies_to = rule.get("applies_to")
        if applies_to is not None and rule["kind"] != ("limit" if "value" in applies_to else "text"):
            message = "a limit applies to a question's value, a text to a question; give value for a limit only"
            told.at("/applies_to", message)
            return
        self.rules[data["id"]] = {**rule, "changed": self._note("add", data)}

    def _tighten(self, data: Mapping[str, Any], told: Told, before: Mapping[str, Any]) -> None:
        if before["kind"] != "limit" or "two_sided" in before:
            two_sided = "limit that is stricter for one question and looser for another"
            what = two_sided if before["kind"] == "limit" else before["kind"]
            message = f"{data['id']} is a {what}, and which way is stricter cannot be told; write change: replace"
            told.at("/change", f"{message} with loosens: true and a reason")
            return
        rule = self._with(before, {key: data[key] for key in ("value", "cite", "note") if key in data})
        if not self._sound(rule, told):
            return
        direction = compare_limits(before, rule)
        if direction != "stricter":
            advice = "to loosen, write change: replace, loosens: true and a reason"
            message = f"{data['value']} is {direction} than the base's {before['value']} ({before['sense']})"
            told.at("/value", f"{message}; {advice if direction == 'looser' else 'remove this file'}")
            return
        self.rules[data["id"]] = {**rule, "changed": self._still_loosened(data, before, rule)}

    def _replace(self, data: Mapping[str, Any], told: Told, before: Mapping[str, Any]) -> None:
        needed, optional = check.PARTS[before["kind"]]
        allowed = {"id", "cite", "note", "title", *_ABOUT_CHANGE, *needed, *optional}
        for key in [key for key in data if key not in allowed]:
            told.at(f"/{key}", f"a {before['kind']} has no {key}, or it cannot be replaced; remove the key")
        given = {key: value for key, value in data.items() if key not in _ABOUT_CHANGE}
        if not told.faults and all(given.get(key, before[key]) == before[key] for key in needed):
            told.at("", f"nothing is replaced; give a new {' or '.join(needed)}, or remove this file")
        if told.faults:
            return
        rule = self._with(before, given)
        clash = unfit(before, rule)
        if clash is None and self._sound(rule, told):
            clash = unlike(before, rule) or _not_looser(before, rule)
        if clash:
            told.at(*clash)
        if not told.faults:
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
        if earlier.get("change") != "loosen":
            return self._note("tighten", data, before)
        origin = {**before, "value": earlier.get("was", before["value"])}
        try:
            restored = "was" in earlier and compare_limits(origin, rule) != "looser"
        except QuantityError:
            restored = False
        if restored:
            return self._note("tighten", data, before)
        reason = f"{earlier['reason']} ({earlier['by']}) {data['reason']}"[:_REASON_LIMIT]
        return {**self._note("loosen", {"reason": reason}), "was": origin["value"]}

    def _note(self, change: str, data: Mapping[str, Any], before: Mapping[str, Any] | None = None) -> dict[str, Any]:
        note = {"by": self.by, "change": change, "reason": data["reason"]}
        return {**note, "was": before["value"]} if before is not None and "value" in before else note


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


def _not_looser(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[str, str] | None:
    if before["kind"] != "limit" or "two_sided" in before or compare_limits(before, after) == "looser":
        return None
    message = f"{after['value']} is not looser than the base's {before['value']}"
    return "/value", f"{message}; write change: tighten, or remove this file"


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
