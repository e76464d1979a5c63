"""What the routes of one application share: its settings, rules, records and published document."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cached_property
from typing import cast

from flask import Flask, current_app

from millphase.records.store import Store
from millphase.rulebook import Rulebook
from millphase.rulebook.library import Library
from millphase.rulebook.sets import openapi_document
from millphase.settings import Settings

_KEY = "millphase"


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

    def attach(self, app: Flask) -> None:
        """Make this the service behind `app`."""
        app.extensions[_KEY] = self


def service() -> Service:
    """Return the service behind the request being answered."""
    return cast(Service, current_app.extensions[_KEY])
