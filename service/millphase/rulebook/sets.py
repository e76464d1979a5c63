"""Compile and load rule sets: files checked whole, or the released pack that was made from them."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from millphase.rulebook import check, packs, released
from millphase.rulebook.book import Rulebook
from millphase.rulebook.claims import claim_faults
from millphase.rulebook.loader import RuleFault, RuleFaults, read
from millphase.rulebook.overlay import Overlay
from millphase.rulebook.places import (
    CLUBS,
    HEAD,
    base_folder,
    data_root,
    packs_folder,
    released_folders,
    roots,
    rules_root,
)  # fmt: skip
from millphase.rulebook.told import line_of
from millphase.rulebook.versions import is_identity

Found = tuple[Mapping[str, Any], str]
"""A pack and its digest."""


def _sources(folder: Path) -> tuple[dict[str, Any], list[RuleFault]]:
    sources: dict[str, Any] = {}
    faults: list[RuleFault] = []
    for path in sorted((folder / "sources").glob("*.yaml")):
        shown = f"sources/{path.name}"
        try:
            data, lines = read(path, shown)
        except RuleFaults as found:
            faults += found.faults
            continue
        faults += check.schema_faults("sources", data, lines, shown)
        for index, record in enumerate(data.get("sources", []) if isinstance(data, dict) else []):
            if not isinstance(record, dict) or not isinstance(record.get("id"), str):
                continue
            if record["id"] in sources:
                line = line_of(lines, f"/sources/{index}")
                message = f"source {record['id']} stands twice; keep one record"
                faults.append(RuleFault(shown, line, f"/sources/{index}/id", message))
            sources[record["id"]] = {key: value for key, value in record.items() if key != "id"}
    return sources, faults


def _rule_files(folder: Path, faults: list[RuleFault]) -> Iterator[tuple[str, Any, Mapping[str, int]]]:
    """Every readable rule file: path shown, data and lines; unreadable ones go to `faults`."""
    for path in sorted(folder.glob("*/*.yaml")):
        if path.parent.name == "sources":
            continue
        shown = f"{path.parent.name}/{path.name}"
        try:
            yield shown, *read(path, shown)
        except RuleFaults as unreadable:
            faults += unreadable.faults


def _misplaced(folder: Path) -> list[RuleFault]:
    """Files that no set reads: a rule one level too high or too deep would be lost without a word."""
    faults = []
    for path in sorted(folder.rglob("*")):
        shown = path.relative_to(folder).as_posix()
        if path.is_dir() or shown in (HEAD, "CHANGELOG.md"):
            continue
        if path.suffix != ".yaml" or shown.count("/") != 1:
            message = (
                "not read here: rules stand in <topic>/<name>.yaml, sources in sources/<topic>.yaml; move or remove it"
            )
            faults.append(RuleFault(shown, 0, "", message))
    return faults


def compile_set(folder: Path, above: Sequence[Path] = ()) -> dict[str, Any]:
    """Read a folder of rule files into one checked pack; a set with a base is compiled upon that base.

    Parameters
    ----------
    folder : Path
        The set.
    above : sequence of Path
        Folders of the sets that are being compiled upon this one.

    Raises
    ------
    RuleFaults
        With every fault found, not only the first.
    """
    try:
        head, lines = read(folder / HEAD, HEAD)
    except FileNotFoundError:
        message = f"missing in {folder}; a rule set needs name, version and licence"
        raise RuleFaults([RuleFault(HEAD, 0, "", message)]) from None
    faults = check.schema_faults("ruleset", head, lines, HEAD) + _misplaced(folder)
    sources, found = _sources(folder)
    faults += found
    if isinstance(head, dict) and "base" in head:
        if faults:
            raise RuleFaults(faults)
        return _compile_overlay(folder, head, lines, sources, above)
    rules: dict[str, Any] = {}
    for shown, data, places in _rule_files(folder, faults):
        found = check.schema_faults("rule", data, places, shown) or check.rule_faults(data, places, shown, sources)
        faults += found
        if not found:
            rules[data["id"]] = data
    if not faults:
        # Only a set without other faults can be told that nothing cites a source.
        faults += check.set_faults(rules, sources)
    if faults:
        raise RuleFaults(faults)
    return {**head, "sources": sources, "rules": rules}


def _compile_overlay(
    folder: Path, head: dict[str, Any], lines: Mapping[str, int], own: Mapping[str, Any], above: Sequence[Path]
) -> dict[str, Any]:
    base = _base_of(folder, head, lines, above)
    faults: list[RuleFault] = []
    for source, record in own.items():
        if base["sources"].get(source, record) != record:
            message = f"the base has another record {source}; give the club's record its own id"
            faults.append(RuleFault("sources", 0, source, message))
    sources = {**base["sources"], **own}
    overlay = Overlay(head, base, sources)
    for shown, data, places in _rule_files(folder, faults):
        expected = shown.removesuffix(".yaml")
        if isinstance(data, dict) and data.get("id", expected) != expected:
            faults.append(RuleFault(shown, line_of(places, "/id"), "/id", f"id must equal the path: write {expected}"))
            continue
        overlay.apply(data, places, shown)
    faults += overlay.faults
    if not faults:
        mine = {rule: overlay.rules[rule] for rule in overlay.changed}
        faults += check.set_faults(mine, own)
    if faults:
        raise RuleFaults(faults)
    return {**head, "sources": sources, "rules": overlay.rules}


def _base_of(
    folder: Path, head: Mapping[str, Any], lines: Mapping[str, int], above: Sequence[Path]
) -> Mapping[str, Any]:
    """The compiled set that an overlay in `folder` builds on; RuleFaults where it is not here, or is another."""
    wanted, chain = head["base"], (*above, folder)
    identity = f"{wanted['name']}@{wanted['version']}"
    key, message, other = "/base", "", ""
    if head["name"] == wanted["name"]:
        key, message = "/name", "this is the name of the base; give the club's set a name of its own"
    elif folder in above:
        message = (
            f"the sets build on each other in a circle ({', '.join(place.name for place in chain)}); name another base"
        )
    else:
        for pack, digest in _found(wanted, rules_root(folder), packs_folder(), chain):
            if digest == wanted["digest"]:
                return pack
            other = other or digest
        key = "/base/digest" if other else key
        message = (
            f"{identity} here has digest {other}, not the one this set was written for; "
            "read what changed with 'millphase rules diff', then name the new digest"
            if other
            else f"the base {identity} is not here; fetch it with 'millphase rules pull', or name one that is here "
            "('millphase rules check' lists sets with their digests)"
        )
    raise RuleFaults([RuleFault(HEAD, line_of(lines, key), key, message)])


def _found(wanted: Mapping[str, str], root: Path, fetched: Path, chain: Sequence[Path] = ()) -> Iterator[Found]:
    """Every set here with this name and version: released packs, fetched ones, and sets of files."""
    name = released.file_name(wanted["name"], wanted["version"])
    for path in (place / name for place in released_folders(root)):
        if path.is_file():
            yield released.read_pack(path)
    if (fetched / name).is_file():
        book = packs.read_foreign(fetched / name)
        yield book.pack, book.digest
    for place in (part for each in roots(root) for part in (each / wanted["name"], each / CLUBS / wanted["name"])):
        if identity_of(place / HEAD) == f"{wanted['name']}@{wanted['version']}":
            book = Rulebook(compile_set(place, chain)) if place.parent.name == CLUBS else load_set(place)
            yield book.pack, book.digest


def identity_of(head: Path) -> str | None:
    """``name@version`` as a ``ruleset.yaml`` states it; None where there is none that can be read."""
    try:
        data, _ = read(head, HEAD)
        identity = f"{data['name']}@{data['version']}"
    except (OSError, RuleFaults, KeyError, TypeError):
        return None
    return identity if is_identity(identity) else None


def base_here(book: Rulebook, root: Path, fetched: Path) -> Rulebook | None:
    """The base that a set names, where it is here with the digest that the set names."""
    wanted: Mapping[str, str] = book.pack.get("base", {})
    found = _found(wanted, root, fetched) if wanted else ()
    return next((Rulebook(pack, digest) for pack, digest in found if digest == wanted["digest"]), None)


def held(book: Rulebook, root: Path, fetched: Path) -> bool:
    """Hold a set from elsewhere against its base; False where it has one that is not here to be held against.

    Raises
    ------
    RuleFaults
        It changes its base otherwise than it says.
    """
    base = base_here(book, root, fetched)
    if base is None:
        return "base" not in book.pack
    faults = claim_faults(book.pack, base.pack, released.file_name(book.name, book.version))
    if faults:
        raise RuleFaults(faults)
    return True


def load_fetched(path: Path, root: Path) -> Rulebook:
    """Load a pack that was fetched: checked rule by rule, and held against its base where that is here.

    Raises
    ------
    RuleFaults
        Its file name, form or content is wrong, or it hides what it changes.
    """
    book = packs.read_foreign(path)
    held(book, root, path.parent)
    return book


@cache
def load_set(folder: Path) -> Rulebook:
    """Load the rule set in `folder`; the result is kept, rule files being fixed while a process runs.

    Where the files are those of a released pack, that pack is loaded: it was checked then, and its digest is proved.
    Otherwise every file is read and checked.

    Raises
    ------
    RuleFaults
        With every fault found.
    """
    place = rules_root(folder) / released.FOLDER
    listed = released.index(place)
    if listed:
        own = released.fingerprint(folder)
        for identity, entry in listed.items():
            if entry["files"] == own:
                path = place / released.file_name(*identity.split("@"))
                if path.is_file():
                    return Rulebook(*released.read_pack(path, entry["digest"]))
    return Rulebook(compile_set(folder))


def workshop(rules: str | os.PathLike[str] | None = None) -> Rulebook:
    """The base set: the one in folder `rules` if it holds one, else the one that ships with the program."""
    return load_set(base_folder(data_root("rules", rules)))
