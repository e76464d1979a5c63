"""What is wrong with a folder of rule sets as a whole: names given twice, released packs altered or left behind."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from millphase.rulebook import released
from millphase.rulebook.book import Rulebook
from millphase.rulebook.loader import RuleFault, RuleFaults
from millphase.rulebook.packs import pack_faults
from millphase.rulebook.places import HEAD, folders_of, packs_folder
from millphase.rulebook.sets import compile_set, held
from millphase.rulebook.versions import Version, newest

Told = RuleFault | str


def released_faults(root: Path) -> list[Told]:
    """What is wrong with the released packs: altered, missing, unlisted, or left behind by the files."""
    place = root / released.FOLDER
    try:
        listed = released.index(place)
    except RuleFaults as error:
        return list(error.faults)
    names = {released.file_name(*identity.split("@")): entry["digest"] for identity, entry in listed.items()}
    found = sorted(place.glob("*.json")) if place.is_dir() else []
    unlisted = [path.name for path in found if path.name not in (released.INDEX, *names)]
    return [
        *(f"{name}: not in {released.INDEX}; a pack is written by 'millphase rules release' only" for name in unlisted),
        *(fault for name, digest in names.items() for fault in _pack(root, place / name, digest)),
        *_left_behind(root, listed),
    ]


def _pack(root: Path, path: Path, digest: str) -> Iterator[Told]:
    if not path.is_file():
        yield f"{path.name}: missing, though {released.INDEX} lists it; restore it"
        return
    try:
        pack, _ = released.read_pack(path, digest)
        faults = pack_faults(pack, path.name)
        yield from faults
        if not faults:
            held(Rulebook(pack, digest), root, packs_folder())
    except RuleFaults as error:
        yield from error.faults


def _left_behind(root: Path, listed: Mapping[str, Mapping[str, str]]) -> Iterator[str]:
    """Sets of files that differ from the pack released under their version, or whose version went backwards."""
    for name, folder in folders_of(root).items():
        try:
            pack: dict[str, Any] = compile_set(folder)
        except RuleFaults:
            continue
        identity = f"{pack['name']}@{pack['version']}"
        last = newest(listed, pack["name"])
        if last is not None and Version.read(pack["version"]) < last:
            yield f"{name}: {HEAD}: /version: {pack['version']} is before {last}, which is released; versions only go up"
        if identity in listed and released.digest_of_bytes(released.canonical(pack)) != listed[identity]["digest"]:
            yield (
                f"{name}: its files differ from the released {identity}; 'millphase rules release --dry-run {name}' "
                "says which version they need"
            )
