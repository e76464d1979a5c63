"""What the routes of one application share: its settings, rules, records and published document."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import cast

from flask import Flask, current_app

from millphase.records.store import Store
from millphase.rulebook import Rulebook
from millphase.rulebook.library import Library
from millphase.rulebook.places import openapi_document
from millphase.settings import Settings

_KEY = "millphase"

ANSWERS_KEPT = 16
"""Answers kept for callers who ask the same again; the largest is about 150 kB."""


@dataclass
class Service:
    """The parts behind the routes.

    Parameters
    ----------
    settings : Settings
        What the operator decided.
    library : Library
        Every rule set that can answer; the default one does unless a request pins another.
    records : Store
        Stored assessments.
    """

    settings: Settings
    library: Library
    records: Store

    @cached_property
    def document(self) -> bytes:
        """The published OpenAPI document."""
        return openapi_document()

    @property
    def book(self) -> Rulebook:
        """The rules that answer unless a request pins others."""
        return self.library.default

    @cached_property
    def document_tag(self) -> str:
        """Entity tag of the published OpenAPI document."""
        return hashlib.sha256(self.document).hexdigest()

    @cached_property
    def answer(self) -> Callable[[str, bytes], bytes]:
        """Answer a question: its name and the body of the request to the body of the response.

        The same request under the same rules has the same answer, byte for byte, and whoever polls a decision asks the
        same again and again; so the last few answers are kept. A refusal is raised, not kept.
        """
        from millphase.web import answers  # it needs this module

        return lru_cache(maxsize=ANSWERS_KEPT)(answers.answer_bytes)

    def attach(self, app: Flask) -> None:
        """Make this the service behind `app`."""
        app.extensions[_KEY] = self


def service() -> Service:
    """Return the service behind the request being answered."""
    return cast(Service, current_app.extensions[_KEY])
