"""Packs from elsewhere: nothing of one is believed before all of it has been checked."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from millphase.rulebook import check
from millphase.rulebook.book import Rulebook
from millphase.rulebook.loader import RuleFault, RuleFaults, unseen
from millphase.rulebook.released import file_name, pack_of, read_pack

RULES_LIMIT = 5000
"""Most rules in a pack from elsewhere."""
_DEPTH = 12


def pack_faults(pack: Mapping[str, Any], shown: str) -> list[RuleFault]:
    """Everything wrong with a compiled set, by the checks that rule files go through."""
    hidden = _hidden(pack)
    if hidden:
        return [RuleFault(shown, 0, "", f"{hidden}; ask its keeper for a clean one")]
    head = {key: value for key, value in pack.items() if key not in ("sources", "rules")}
    faults = check.schema_faults("ruleset", head, {}, shown)
    sources, rules = pack.get("sources"), pack.get("rules")
    if not isinstance(sources, dict) or not isinstance(rules, dict):
        return [*faults, RuleFault(shown, 0, "", "sources and rules must be objects by id; this is no rule set")]
    if len(rules) > RULES_LIMIT:
        return [*faults, RuleFault(shown, 0, "/rules", f"more than {RULES_LIMIT} rules; split the set")]
    for source, record in sources.items():
        listed = {"sources": [{**record, "id": source} if isinstance(record, dict) else record]}
        faults += check.schema_faults("sources", listed, {}, f"{shown}: source {source}")
    if faults:
        return faults
    for rule_id, data in rules.items():
        faults += _rule_faults(rule_id, data, sources, shown)
    return faults


def _hidden(pack: Any) -> str | None:
    """What no reader of the pack would see: a character without a shape, in keys too, or what lies deeper than any rule."""
    level = [pack]
    for _ in range(_DEPTH):
        for text in level:
            found = unseen(text) if isinstance(text, str) else None
            if found:
                return found
        groups = [part for node in level if isinstance(node, dict) for part in (*node, *node.values())]
        level = groups + [part for node in level if isinstance(node, list) for part in node]
        if not level:
            return None
    return f"is nested deeper than {_DEPTH} levels"


def _rule_faults(rule_id: str, data: Any, sources: Mapping[str, Any], shown: str) -> list[RuleFault]:
    where = f"{rule_id}.yaml"
    if not isinstance(data, dict):
        return [RuleFault(shown, 0, f"/rules/{rule_id}", "a rule must be an object")]
    about = {key: data[key] for key in ("changed", "withdrawn", "applies_to") if key in data}
    plain = {key: value for key, value in data.items() if key not in about}
    faults = check.schema_faults("rule", plain, {}, where) + check.schema_faults("about", about, {}, where)
    if faults:
        return faults
    if ("withdrawn" in about) != (about.get("changed", {}).get("change") == "withdraw"):
        faults.append(
            RuleFault(where, 0, "/withdrawn", "a rule is withdrawn by a club that says so; add changed, or restore it")
        )
    return faults + check.rule_faults(plain, {}, where, sources)


def read_foreign(path: Path) -> Rulebook:
    """Load a pack that came from elsewhere.

    Raises
    ------
    RuleFaults
        Its file name, form or content is wrong.
    """
    pack, digest = read_pack(path)
    return checked(pack, digest, path.name)


def from_bytes(raw: bytes, shown: str, digest: str | None = None) -> Rulebook:
    """The rule set in the bytes of a pack; see :func:`read_foreign`."""
    pack, own = pack_of(raw, shown, digest)
    return checked(pack, own, shown)


def checked(pack: dict[str, Any], digest: str, shown: str) -> Rulebook:
    """A rule set from a pack, once nothing is wrong with it."""
    faults = pack_faults(pack, shown)
    if not faults and shown.endswith(".json") and shown != file_name(pack["name"], pack["version"]):
        message = f"holds {pack['name']}@{pack['version']}; name the file {file_name(pack['name'], pack['version'])}"
        faults = [RuleFault(shown, 0, "/name", message)]
    if faults:
        raise RuleFaults(faults)
    return Rulebook(pack, digest)
