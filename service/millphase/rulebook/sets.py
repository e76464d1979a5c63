"""Find and load rule sets: in a checkout, in an installed wheel, or where the user says."""

from __future__ import annotations

import json
import os
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from millphase.rulebook import check
from millphase.rulebook.book import Rulebook
from millphase.rulebook.loader import RuleFault, RuleFaults, read

ENVIRONMENT = "MILLPHASE_RULES"


def _checkout() -> Path | None:
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
    tried: list[str] = []
    named = explicit or (os.environ.get(ENVIRONMENT) if folder == "rules" else None)
    packaged = Path(str(files("millphase"))) / "_data" / folder
    root = _checkout()
    for place in [Path(named)] if named else [packaged, *([root / folder] if root else [])]:
        if place.is_dir():
            return place
        tried.append(str(place))
    raise FileNotFoundError(
        f"no {folder} folder found; tried {', '.join(tried)}. Give --rules DIR or set {ENVIRONMENT} to a folder of rule sets."
    )


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
                line = lines.get(f"/sources/{index}", 0)
                faults.append(
                    RuleFault(
                        shown,
                        line,
                        f"/sources/{index}/id",
                        f"source {record['id']} stands twice; keep one record",
                    )
                )
            sources[record["id"]] = {key: value for key, value in record.items() if key != "id"}
    return sources, faults


def compile_set(folder: Path) -> dict[str, Any]:
    """Read a folder of rule files into one checked pack.

    Raises
    ------
    RuleFaults
        With every fault found, not only the first.
    """
    faults: list[RuleFault] = []
    try:
        head, lines = read(folder / "ruleset.yaml", "ruleset.yaml")
        faults += check.schema_faults("ruleset", head, lines, "ruleset.yaml")
    except FileNotFoundError:
        raise RuleFaults(
            [RuleFault("ruleset.yaml", 0, "", f"missing in {folder}; a rule set needs name, version and licence")]
        ) from None
    sources, found = _sources(folder)
    faults += found
    rules: dict[str, Any] = {}
    for path in sorted(folder.glob("*/*.yaml")):
        if path.parent.name == "sources":
            continue
        shown = f"{path.parent.name}/{path.name}"
        try:
            data, lines = read(path, shown)
        except RuleFaults as unreadable:
            faults += unreadable.faults
            continue
        found = check.schema_faults("rule", data, lines, shown) or check.rule_faults(data, lines, shown, sources)
        faults += found
        if not found:
            rules[data["id"]] = data
    faults += check.set_faults(rules, sources)
    if faults:
        raise RuleFaults(faults)
    return {**head, "sources": sources, "rules": rules}


@cache
def load_set(folder: Path) -> Rulebook:
    """Load and check the rule set in `folder`; the result is kept, rule files being fixed while a process runs."""
    return Rulebook(compile_set(folder))


def workshop(rules: str | os.PathLike[str] | None = None) -> Rulebook:
    """The base set that ships with the program, or the one in folder `rules`."""
    return load_set(data_root("rules", rules) / "workshop")


def openapi_document() -> bytes:
    """The committed OpenAPI document, byte for byte."""
    return (data_root("openapi") / "openapi.json").read_bytes()


def schema(name: str) -> Any:
    """A JSON Schema from ``rules/schema``."""
    return json.loads((data_root("rules") / "schema" / f"{name}.schema.json").read_text("utf-8"))
