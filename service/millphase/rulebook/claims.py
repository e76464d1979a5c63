"""Whether a club's pack says the truth about its base: what it changed it must own up to.

A pack from elsewhere states for each rule whether the club tightened, loosened, added or withdrew it. Nothing
forces the sender to be honest, so where the base is at hand every rule is held against it: one that differs without
saying so, or is looser though it says stricter, is a fault.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from millphase.rulebook.loader import RuleFault
from millphase.rulebook.overlay import compare_limits, unfit, unlike

_TIGHTENED = {"value", "cite", "note", "history", "changed"}


def claim_faults(pack: Mapping[str, Any], base: Mapping[str, Any], shown: str) -> list[RuleFault]:
    """What a pack changes in `base` without saying so, or otherwise than it says."""
    named = f"{base['name']}@{base['version']}"
    found: list[tuple[str, str]] = []
    for rule_id in sorted({*base["rules"], *pack["rules"]}):
        for message in _of_rule(base["rules"].get(rule_id), pack["rules"].get(rule_id)):
            found.append(
                (f"/rules/{rule_id}", f"{message} (held against its base {named}); do not use it, ask its keeper")
            )
    for source, record in base["sources"].items():
        if pack["sources"].get(source) != record:
            found.append(
                (f"/sources/{source}", f"is another record than in its base {named}; do not use it, ask its keeper")
            )
    return [RuleFault(shown, 0, key, message) for key, message in found]


def _of_rule(before: Any, after: Any) -> Iterator[str]:
    if before == after:
        return
    said = (after or {}).get("changed", {}).get("change")
    if after is None:
        yield "is missing, though a set can only withdraw a rule, saying why"
    elif before is None:
        if said != "add":
            yield "is new and does not say that the club added it"
    elif said == "tighten":
        yield from _tightened(before, after)
    elif said == "loosen":
        clash = unfit(before, after) or unlike(before, after)
        if clash:
            yield f"has another form at {clash[0]}"
    elif said == "withdraw":
        if _without(before, "changed") != _without(after, "changed", "withdrawn"):
            yield "is withdrawn and altered besides"
    else:
        yield "differs and does not say that the club changed it"


def _tightened(before: Mapping[str, Any], after: Mapping[str, Any]) -> Iterator[str]:
    if before["kind"] != "limit" or _without(before, *_TIGHTENED) != _without(after, *_TIGHTENED):
        yield "says that it was tightened, but more than the value of a limit differs"
    elif "two_sided" in before or compare_limits(before, after) != "stricter":
        yield f"says that it was tightened, but {after['value']} is not stricter than {before['value']}"


def _without(rule: Mapping[str, Any], *keys: str) -> dict[str, Any]:
    return {key: value for key, value in rule.items() if key not in keys}
