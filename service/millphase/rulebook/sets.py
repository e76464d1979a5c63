"""Find and load rule sets: in a checkout, in an installed wheel, or where the user says."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from millphase.rulebook import check, released
from millphase.rulebook.book import Rulebook
from millphase.rulebook.loader import RuleFault, RuleFaults, read
from millphase.rulebook.overlay import Overlay

ENVIRONMENT = "MILLPHASE_RULES"
BASE = "workshop"
CLUBS = "clubs"


def checkout() -> Path | None:
    """Root of the source tree this program runs from, or None for an installed one."""
    root = Path(__file__).resolve().parents[3]
    project = root / "pyproject.toml"
    if project.is_file() and 'name = "millphase"' in project.read_text("utf-8"):
        return root
    return None


def data_root(folder: str, explicit: str | os.PathLike[str] | None = None) -> Path:
    """Folder ``rules`` or ``openapi``: the one named, the packaged one, or the checkout's.

    Raises
    ------
    FileNotFoundError
        Listing every place that was tried.
    """
    named = explicit or (os.environ.get(ENVIRONMENT) if folder == "rules" else None)
    places = [Path(named)] if named else _own_places(folder)
    for place in places:
        if place.is_dir():
            return place
    tried = ", ".join(str(place) for place in places)
    raise FileNotFoundError(
        f"no {folder} folder found; tried {tried}. Give --rules DIR or set {ENVIRONMENT} to a folder of rule sets."
    )


def _own_places(folder: str) -> list[Path]:
    packaged = Path(str(files("millphase"))) / "_data" / folder
    root = checkout()
    return [packaged, *([root / folder] if root else [])]


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
                line = check.line_of(lines, f"/sources/{index}")
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
        if path.is_dir() or shown in ("ruleset.yaml", "CHANGELOG.md"):
            continue
        if path.suffix != ".yaml" or shown.count("/") != 1:
            message = (
                "not read here: rules stand in <topic>/<name>.yaml, sources in sources/<topic>.yaml; move or remove it"
            )
            faults.append(RuleFault(shown, 0, "", message))
    return faults


def compile_set(folder: Path) -> dict[str, Any]:
    """Read a folder of rule files into one checked pack; a set with a base is compiled upon that base.

    Raises
    ------
    RuleFaults
        With every fault found, not only the first.
    """
    try:
        head, lines = read(folder / "ruleset.yaml", "ruleset.yaml")
    except FileNotFoundError:
        message = f"missing in {folder}; a rule set needs name, version and licence"
        raise RuleFaults([RuleFault("ruleset.yaml", 0, "", message)]) from None
    faults = check.schema_faults("ruleset", head, lines, "ruleset.yaml") + _misplaced(folder)
    sources, found = _sources(folder)
    faults += found
    if isinstance(head, dict) and "base" in head:
        if faults:
            raise RuleFaults(faults)
        return _compile_overlay(folder, head, lines, sources)
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
    folder: Path, head: dict[str, Any], lines: Mapping[str, int], own: Mapping[str, Any]
) -> dict[str, Any]:
    base = base_of(folder, head["base"], lines)
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
            line = check.line_of(places, "/id")
            faults.append(RuleFault(shown, line, "/id", f"id must equal the path: write {expected}"))
            continue
        overlay.apply(data, places, shown)
    faults += overlay.faults
    if not faults:
        mine = {rule: overlay.rules[rule] for rule in overlay.changed}
        faults += check.set_faults(mine, own)
    if faults:
        raise RuleFaults(faults)
    return {**head, "sources": sources, "rules": overlay.rules}


def rules_root(folder: Path) -> Path:
    """Folder that holds `folder`'s set together with the others and the released packs."""
    return folder.parent.parent if folder.parent.name == CLUBS else folder.parent


def base_of(folder: Path, wanted: Mapping[str, str], lines: Mapping[str, int]) -> Mapping[str, Any]:
    """The compiled set that an overlay in `folder` builds on, content and all.

    Raises
    ------
    RuleFaults
        There is no set of that name and version, or it has another digest.
    """
    root = rules_root(folder)
    identity = f"{wanted['name']}@{wanted['version']}"
    pack: Mapping[str, Any] | None = None
    path = root / released.FOLDER / released.file_name(wanted["name"], wanted["version"])
    if path.is_file():
        pack, digest = released.read_pack(path)
    else:
        for place in (root / wanted["name"], root / CLUBS / wanted["name"]):
            if place != folder and (place / "ruleset.yaml").is_file():
                book = load_set(place)
                if book.version == wanted["version"]:
                    pack, digest = book.pack, book.digest
    if pack is None:
        message = (
            f"the base {identity} is not in {root}; fetch it with 'millphase rules pull', or name one that is there"
        )
        raise RuleFaults([RuleFault("ruleset.yaml", check.line_of(lines, "/base"), "/base", message)])
    if digest != wanted["digest"]:
        message = (
            f"{identity} here has digest {digest}, not the one this set was written for; "
            "read what changed with 'millphase rules diff', then name the new digest"
        )
        line = check.line_of(lines, "/base/digest")
        raise RuleFaults([RuleFault("ruleset.yaml", line, "/base/digest", message)])
    return pack


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
    """The base set that ships with the program, or the one in folder `rules`."""
    return load_set(data_root("rules", rules) / BASE)


def openapi_document() -> bytes:
    """The committed OpenAPI document, byte for byte."""
    return (data_root("openapi") / "openapi.json").read_bytes()


def schema(name: str) -> Any:
    """A JSON Schema from the program's own ``rules/schema``, whichever rules are in use."""
    for place in _own_places("rules"):
        path = place / "schema" / f"{name}.schema.json"
        if path.is_file():
            return json.loads(path.read_text("utf-8"))
    raise FileNotFoundError(f"no schema {name}; the installation is incomplete")
