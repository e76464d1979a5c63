"""What differs between two rule sets, rule by rule, in words and as data."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from millphase.quantity import QuantityError
from millphase.rulebook.overlay import compare_limits

_WORDS = ("title", "note", "cite", "history", "cell_cites", "two_sided")
"""Parts of a rule that no answer is computed from."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One rule that differs.

    Attributes
    ----------
    rule : str
        Its id.
    kind : str
        ``added``, ``removed``, ``withdrawn``, ``restored``, ``limit``, ``value`` (anything else that answers are
        computed from) or ``wording``.
    direction : str
        ``stricter`` or ``looser`` for a limit; ``unknown`` for any other value; ``none`` for wording.
    words : str
        One sentence for a person.
    before, after : object
        What changed, where it is a single value.
    """

    rule: str
    kind: str
    direction: str
    words: str
    before: Any = None
    after: Any = None

    def as_json(self) -> dict[str, Any]:
        """The difference as plain JSON data."""
        found: dict[str, Any] = {
            "rule": self.rule,
            "kind": self.kind,
            "direction": self.direction,
            "words": self.words,
        }
        if self.before is not None:
            found["before"] = self.before
        if self.after is not None:
            found["after"] = self.after
        return found


def differences(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[Difference]:
    """Every rule that differs between two compiled sets, in order of id."""
    old, new = before["rules"], after["rules"]
    found = [difference for rule in sorted({*old, *new}) for difference in _of_rule(rule, old.get(rule), new.get(rule))]
    if before["sources"] != after["sources"]:
        changed = sorted(
            source
            for source in {*before["sources"], *after["sources"]}
            if before["sources"].get(source) != after["sources"].get(source)
        )
        found.append(Difference("sources", "wording", "none", f"source records differ: {', '.join(changed)}"))
    return found


def _of_rule(rule: str, old: Any, new: Any) -> Iterator[Difference]:
    if old is None:
        yield Difference(
            rule, "added", "unknown", f"{rule} is new: {new['title']}{_shown(new)}", after=new.get("value")
        )
        return
    if new is None:
        yield Difference(rule, "removed", "unknown", f"{rule} is gone: {old['title']}{_shown(old)}", old.get("value"))
        return
    if ("withdrawn" in old) != ("withdrawn" in new):
        withdrawn = "withdrawn" in new
        reason = f": {new['withdrawn']}" if withdrawn else ""
        words = f"{rule} is {'withdrawn' if withdrawn else 'in force again'}{reason}"
        yield Difference(rule, "withdrawn" if withdrawn else "restored", "unknown", words)
    if old["kind"] == new["kind"] == "limit" and (old["value"], old["sense"]) != (new["value"], new["sense"]):
        yield _limit(rule, old, new)
    else:
        changes = list(_value_changes(old, new))
        if changes:
            before, after = (
                (old.get("value"), new.get("value")) if old.get("value") != new.get("value") else (None, None)
            )
            yield Difference(rule, "value", "unknown", f"{rule}: {'; '.join(changes)}", before, after)
    worded = [part for part in _WORDS if old.get(part) != new.get(part)]
    if worded:
        yield Difference(rule, "wording", "none", f"{rule}: {' and '.join(worded)} reworded")


def _shown(rule: Mapping[str, Any]) -> str:
    return f" ({rule['value']})" if "value" in rule else ""


def _limit(rule: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> Difference:
    direction = "unknown"
    if old["sense"] == new["sense"] and not {"two_sided"} & ({*old} | {*new}):
        try:
            direction = compare_limits(old, new)
        except QuantityError:
            direction = "unknown"
    if direction == "no stricter":
        words = f"{rule}: {old['value']} is now written {new['value']}, the same limit"
        return Difference(rule, "wording", "none", words, old["value"], new["value"])
    senses = [f"{one['sense'].replace('-', ' ')} {one['value']}" for one in (old, new)]
    words = f"{rule}: {senses[0]} became {senses[1]}{f', {direction}' if direction != 'unknown' else ''}"
    return Difference(rule, "limit", direction, words, old["value"], new["value"])


def _value_changes(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[str]:
    skipped = {*_WORDS, "changed", "withdrawn", "id", "rows", "values", "text", "steps"}
    for key in sorted(({*old, *new}) - skipped):
        if old.get(key) != new.get(key):
            yield f"{key} was {old.get(key)}, is {new.get(key)}"
    for name in sorted({*old.get("values", {}), *new.get("values", {})}):
        was, now = old.get("values", {}).get(name), new.get("values", {}).get(name)
        if was != now:
            yield f"{name} was {was}, is {now}"
    for key in ("text", "steps"):
        if old.get(key) != new.get(key):
            yield f"the {key} differ" if key == "steps" else "the text differs"
    if old.get("rows") != new.get("rows"):
        yield from _row_changes(old, new)


def _row_changes(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[str]:
    if old.get("columns") != new.get("columns") or old.get("key") != new.get("key"):
        yield "the table has another form"
        return
    names = [column["name"] for column in old["columns"]]
    by_key = [
        {tuple(row[names.index(name)] for name in table["key"]): row for row in table["rows"]} for table in (old, new)
    ]
    if list(by_key[0]) != list(by_key[1]) and by_key[0] == by_key[1]:
        yield "the rows stand in another order"
    for key in {**by_key[0], **by_key[1]}:
        place = ", ".join(f"{name} {part}" for name, part in zip(old["key"], key, strict=True))
        was, now = by_key[0].get(key), by_key[1].get(key)
        if was is None or now is None:
            yield f"a row {'more' if was is None else 'less'} at {place}"
        elif was != now:
            cells = [f"{name} was {a}, is {b}" for name, a, b in zip(names, was, now, strict=True) if a != b]
            yield f"at {place} {', '.join(cells)}"
