"""One drawing a module, found by the name of its question."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from importlib.util import find_spec
from pkgutil import iter_modules
from typing import Any

from millphase.questions.base import Part
from millphase.rulebook.book import View

Draw = Callable[[dict[str, Any], View], str]


def of_question(name: str) -> Draw | None:
    """The drawing of a question, or None where it has none: ``draw(request, book) -> svg``."""
    module = f"{__name__}.{name.replace('-', '_')}"
    if find_spec(module) is None:
        return None
    found: Draw = import_module(module).draw
    return found


def of_parameters() -> dict[str, tuple[type[Part], Draw]]:
    """The drawings that are asked for by parameters in the address, by name: schema of the parameters and function."""
    found = {}
    for module in iter_modules(__path__):
        loaded = import_module(f"{__name__}.{module.name}")
        if hasattr(loaded, "PARAMETERS"):
            found[module.name.replace("_", "-")] = (loaded.PARAMETERS, loaded.draw)
    return found
