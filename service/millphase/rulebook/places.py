"""Where rule sets, packs and schemas are: in a checkout, in an installed wheel, or where the user says."""

from __future__ import annotations

import json
import os
from importlib.resources import files
from pathlib import Path
from typing import Any

from millphase.rulebook.released import FOLDER

ENVIRONMENT = "MILLPHASE_RULES"
PACKS_ENVIRONMENT = "MILLPHASE_PACKS"
BASE = "workshop"
CLUBS = "clubs"
HEAD = "ruleset.yaml"


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


def roots(root: Path) -> list[Path]:
    """`root`, and the program's own rules where `root` holds clubs' sets or packs only, without a base of their own."""
    if (root / BASE / HEAD).is_file() or not (folders_of(root) or (root / FOLDER).is_dir()):
        return [root]
    return [root, *(place for place in _own_places("rules") if place.is_dir())]


def rules_root(folder: Path) -> Path:
    """Folder that holds `folder`'s set together with the others and the released packs."""
    return folder.parent.parent if folder.parent.name == CLUBS else folder.parent


def folders_of(root: Path) -> dict[str, Path]:
    """Folders of rule files under `root` by name: the base set, if it is there, and the clubs' sets."""
    found = [root / BASE, *(path.parent for path in sorted((root / CLUBS).glob(f"*/{HEAD}")))]
    return {folder.name: folder for folder in found if (folder / HEAD).is_file()}


def base_folder(root: Path) -> Path:
    """Folder of the base set: in `root`, or else the program's own, see :func:`roots`."""
    return next((place / BASE for place in roots(root) if (place / BASE / HEAD).is_file()), root / BASE)


def packs_folder(explicit: str | os.PathLike[str] | None = None) -> Path:
    """Where fetched packs are kept: the folder named, ``MILLPHASE_PACKS``, else the user's data directory."""
    named = explicit or os.environ.get(PACKS_ENVIRONMENT)
    if named:
        return Path(named)
    data = os.environ.get("XDG_DATA_HOME")
    base = Path(data) if data and Path(data).is_absolute() else Path.home() / ".local" / "share"
    return base / "millphase" / "rule-sets"


def released_folders(root: Path) -> list[Path]:
    """Folders of released packs: `root`'s, and the program's own."""
    return [place / FOLDER for place in roots(root)]


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
