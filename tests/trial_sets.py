"""Small rule sets written to a folder of a test's own, so that no test hangs on the rules that ship."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from millphase.rulebook import released
from millphase.rulebook.sets import compile_set

PRACTICE: dict[str, Any] = {
    "source": "common-practice",
    "locator": "-",
    "basis": "common-practice",
    "checked": "memory",
}
REASON = "Our machines stand in an unheated barn."
SOURCES = [
    {"id": "common-practice", "kind": "practice", "title": "Common practice of the trade", "publisher": "none"},
    {"id": "trial-page", "kind": "page", "title": "A page about trial windings", "publisher": "none"},
]


def head(name: str, version: str = "1.0.0", **more: Any) -> dict[str, Any]:
    return {"schema": 1, "name": name, "version": version, "title": "Trial rules", "licence": "CC-BY-4.0", **more}


def limit(rule: str, value: str = "5 Mohm", **more: Any) -> dict[str, Any]:
    return {
        "id": rule, "title": "Least resistance of a trial winding", "kind": "limit", "dimension": "resistance",
        "sense": "at-least", "value": value, "cite": PRACTICE, **more,
    }  # fmt: skip


def trial_rules() -> list[dict[str, Any]]:
    """One rule of every kind."""
    read = {"source": "trial-page", "locator": "p. 3", "basis": "maker", "checked": "read", "seen_on": "2026-11-25"}
    return [
        limit("trial/floor"),
        {
            "id": "trial/default", "title": "Winding temperature taken when none was measured", "kind": "constant",
            "dimension": "temperature", "value": "20 degC", "cite": PRACTICE,
        },
        {
            "id": "trial/constants", "title": "Constants of a trial formula", "kind": "coefficients",
            "values": {"a": 17.62, "b": "243.12 degC"}, "cite": PRACTICE,
        },
        {
            "id": "trial/classes", "title": "Classes of a trial resistance", "kind": "bands", "dimension": "resistance",
            "unit": "Mohm", "bands": [{"below": 2, "label": "poor"}, {"from": 2, "label": "good"}], "cite": PRACTICE,
        },
        {
            "id": "trial/sizes", "title": "Capacity of a trial cable by size", "kind": "table",
            "columns": [
                {"name": "cross_section", "dimension": "area", "unit": "mm2"},
                {"name": "capacity", "dimension": "current", "unit": "A"},
            ],
            "key": ["cross_section"], "rows": [[1.5, 14.5], [2.5, 19.5]], "rising": [["cross_section", "capacity"]],
            "cell_cites": [{"rows": {"cross_section": [2.5]}, "columns": ["capacity"], "cite": read}], "cite": PRACTICE,
        },
        {"id": "trial/words", "title": "A caution for trials", "kind": "text", "text": "Keep your fingers out.", "cite": PRACTICE},
        {
            "id": "trial/order", "title": "The order of a trial", "kind": "steps",
            "steps": ["Isolate and lock off.", "Prove dead."], "cite": PRACTICE,
        },
    ]  # fmt: skip


def write(folder: Path, about: dict[str, Any], rules: list[dict[str, Any]], sources: list[Any] | None = None) -> Path:
    """Write a set; JSON is YAML too, so the files need no YAML writer."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "ruleset.yaml").write_text(json.dumps(about, indent=1))
    if sources:
        (folder / "sources").mkdir(exist_ok=True)
        (folder / "sources" / "all.yaml").write_text(json.dumps({"sources": sources}, indent=1))
    for rule in rules:
        path = folder / f"{rule['id']}.yaml"
        path.parent.mkdir(exist_ok=True)
        path.write_text(json.dumps(rule, indent=1))
    return folder


def base_set(root: Path, version: str = "1.0.0", **more: Any) -> Path:
    return write(root / "base-set", head("base-set", version, **more), trial_rules(), SOURCES)


def club_set(root: Path, changes: list[dict[str, Any]], **more: Any) -> Path:
    base = compile_set(root / "base-set")
    named = {
        "name": base["name"],
        "version": base["version"],
        "digest": released.digest_of_bytes(released.canonical(base)),
    }
    return write(root / "clubs" / "barn-club", head("barn-club", "1.0.0", base=named, **more), changes)


def change(rule: str, what: str, **more: Any) -> dict[str, Any]:
    return {"id": rule, "change": what, "reason": REASON, **more}
