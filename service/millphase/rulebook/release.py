"""Release a rule set: decide what step of version its changes need, and write the pack that never changes."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from millphase.rulebook import released
from millphase.rulebook.difference import Difference, differences
from millphase.rulebook.places import rules_root
from millphase.rulebook.sets import compile_set
from millphase.rulebook.versions import STEPS, Version, newest

Replay = Callable[[Mapping[str, Any], Mapping[str, Any]], Sequence[str]]
"""Replays the reference corpus under two packs; one sentence for each case whose outcome changes."""


class ReleaseRefused(ValueError):
    """The set cannot be released as it is; the message says what to do first."""


@dataclass(frozen=True)
class Plan:
    """What a release would do, and why.

    Attributes
    ----------
    identity : str
        ``name@version`` as the set calls itself now.
    last : str or None
        Version of the last release.
    step : str
        The least step its changes need: ``none``, ``patch``, ``minor`` or ``major``.
    why : list of str
        The changes that ask for this step.
    differences : list of Difference
        All changes since the last release.
    """

    identity: str
    last: str | None
    step: str
    why: list[str]
    differences: list[Difference]


def last_release(folder: Path, name: str) -> tuple[str, Mapping[str, Any]] | None:
    """Version and pack of the newest release of the set `name`, or None."""
    listed = released.index(folder)
    version = newest(listed, name)
    if version is None:
        return None
    path = folder / released.file_name(name, str(version))
    return str(version), released.read_pack(path, listed[f"{name}@{version}"]["digest"])[0]


def needed_step(changes: Sequence[Difference], outcomes: Sequence[str] | None) -> tuple[str, list[str]]:
    """The least step of version that these changes need, and the reasons for it.

    Parameters
    ----------
    changes : sequence of Difference
        What differs from the last release.
    outcomes : sequence of str or None
        Reference cases whose outcome changes; None where the corpus is not at hand. Without it no value can be shown
        to leave every outcome alone, so every change of a value counts as major.
    """
    major = [f"outcome: {words}" for words in outcomes or ()]
    minor, patch = [], []
    for change in changes:
        unproved = change.kind == "value" and outcomes is None
        if change.kind in ("removed", "withdrawn", "restored", "limit") or unproved:
            major.append(change.words)
        elif change.kind in ("added", "value"):
            minor.append(change.words)
        else:
            patch.append(change.words)
    for step, reasons in (("major", major), ("minor", minor), ("patch", patch)):
        if reasons:
            return step, reasons
    return "none", []


def plan(folder: Path, replay: Replay | None) -> tuple[Plan, dict[str, Any]]:
    """Compile the set in `folder` and compare it with its last release.

    Raises
    ------
    RuleFaults
        The set has faults.
    """
    pack = compile_set(folder)
    identity = f"{pack['name']}@{pack['version']}"
    last = last_release(rules_root(folder) / released.FOLDER, pack["name"])
    if last is None:
        return Plan(identity, None, "none", ["this is the first release"], []), pack
    version, before = last
    changes = differences(before, pack)
    head = [key for key in ("title", "licence", "description", "base") if before.get(key) != pack.get(key)]
    if head:
        kind = "value" if "base" in head else "wording"
        direction = "unknown" if "base" in head else "none"
        changes.append(Difference("ruleset", kind, direction, f"ruleset.yaml: {' and '.join(head)} changed"))
    step, why = needed_step(changes, replay(before, pack) if replay and changes else (None if replay is None else []))
    return Plan(identity, version, step, why, changes), pack


def release(folder: Path, replay: Replay | None, *, write: bool = True) -> tuple[Plan, Path | None]:
    """Write the pack of the set in `folder`, if its version tells the truth about its changes.

    Returns
    -------
    tuple
        The plan, and the pack's path; None when nothing has changed since the last release.

    Raises
    ------
    ReleaseRefused
        The version does not step as far as the changes need, or the changelog is silent about it.
    RuleFaults
        The set has faults.
    """
    found, pack = plan(folder, replay)
    name, version = pack["name"], Version.read(pack["version"])
    if found.last is not None:
        last = Version.read(found.last)
        if found.step == "none" and version == last:
            _remember(folder, pack, released.canonical(pack), write=write)
            return found, None
        allowed = [last.after(step) for step in STEPS[max(1, STEPS.index(found.step)) :]]
        if version not in allowed:
            reasons = "".join(f"\n  {reason}" for reason in found.why[:20])
            raise ReleaseRefused(
                f"{name} was last released as {last} and its changes need a {found.step} step: write version "
                f'"{allowed[0]}" into ruleset.yaml (it says {version}), and an entry into CHANGELOG.md{reasons}'
            )
    if not changelog_entry(folder, str(version)):
        raise ReleaseRefused(f"CHANGELOG.md has no entry for {version}; write '## {version}' and what changed for whom")
    raw = released.canonical(pack)
    path = rules_root(folder) / released.FOLDER / released.file_name(name, str(version))
    if write:
        try:
            released.write_once(path, raw)
        except FileExistsError as error:
            raise ReleaseRefused(f"{error}; take the next version") from None
        _remember(folder, pack, raw, write=True)
    return found, path


def changelog_entry(folder: Path, version: str) -> str:
    """What the changelog beside a set says of `version`; empty where it says nothing."""
    try:
        text = (folder / "CHANGELOG.md").read_text("utf-8")
    except FileNotFoundError:
        return ""
    found = re.search(rf"^## {re.escape(version)}\b[^\n]*\n(.*?)(?=^## |\Z)", text, re.MULTILINE | re.DOTALL)
    return found[1].strip() if found else ""


def _remember(folder: Path, pack: Mapping[str, Any], raw: bytes, *, write: bool) -> None:
    place = rules_root(folder) / released.FOLDER
    identity = f"{pack['name']}@{pack['version']}"
    entry = {"digest": released.digest_of_bytes(raw), "files": released.fingerprint(folder)}
    listed = released.index(place)
    if write and listed.get(identity) != entry:
        listed[identity] = entry
        text = json.dumps(dict(sorted(listed.items())), indent=2) + "\n"
        released.replace(place / released.INDEX, text.encode())
