"""One drawing a module, found by the name of its question."""

from __future__ import annotations

from collections.abc import Callable
from importlib import import_module
from importlib.util import find_spec
from typing import Any

from millphase.rulebook.book import View


def of_question(name: str) -> Callable[[dict[str, Any], View], str] | None:
    """The drawing of a question, or None where it has none: ``draw(request, book) -> svg``."""
    module = f"{__name__}.{name.replace('-', '_')}"
    if find_spec(module) is None:
        return None
    found: Callable[[dict[str, Any], View], str] = import_module(module).draw
    return found
