"""One drawing a module, found by the name of its question."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from importlib.util import find_spec
from pkgutil import iter_modules
from typing import Any

from millphase.questions.base import Contradiction, Part, refused
from millphase.rulebook.book import Rulebook, View

Draw = Callable[[dict[str, Any], View], str]


def of_question(name: str) -> Draw | None:
    """The drawing of a question, or None where it has none: ``draw(request, book) -> svg``."""
    module = f"{__name__}.{name.replace('-', '_')}"
    if find_spec(module) is None:
        return None
    found: Draw = import_module(module).draw
    return found


def picture(name: str, request: dict[str, Any], book: Rulebook) -> str:
    """The drawing of a checked request to a question that has one.

    Raises
    ------
    Invalid
        When the input cannot all be true, just as the question itself refuses it.
    RuleWithdrawn
        When the set has withdrawn a rule that the drawing needs; a picture cannot say "inconclusive".
    """
    draw = of_question(name)
    if draw is None:
        raise KeyError(f"{name} has no drawing")
    try:
        return draw(request, book.view(("*",)))
    except Contradiction as error:
        raise refused(error) from None


def of_parameters() -> dict[str, tuple[type[Part], Draw]]:
    """The drawings that are asked for by parameters in the address, by name: schema of the parameters and function."""
    found = {}
    for module in iter_modules(__path__):
        loaded = import_module(f"{__name__}.{module.name}")
        if hasattr(loaded, "PARAMETERS"):
            found[module.name.replace("_", "-")] = (loaded.PARAMETERS, loaded.draw)
    return found
