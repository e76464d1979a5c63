"""Routes to the workshops."""

from __future__ import annotations

from typing import Any

from flask import Response

from millphase.questions._machine import WorkshopPart
from millphase.records import workshops
from millphase.records.workshops import Workshop
from millphase.web.problems import Problem
from millphase.web.records_base import (
    CURSOR,
    LIMIT,
    changed,
    created,
    deleted,
    expected,
    once,
    page_before,
    page_limit,
    paged,
    received,
    routes,
    scope,
    shown,
)
from millphase.web.service import service

PARAMETERS = {"records.list_workshops": {"limit": LIMIT, "cursor": CURSOR}}


@routes.post("/v1/workshops")
def create_workshop() -> Response:
    """Enter a workshop."""
    if scope() is not None:
        raise Problem("token-of-one-workshop")
    sent, _ = received(WorkshopPart)
    stored, replayed = workshops.store(service().records, once("workshop", {"body": sent}), sent)
    return created(workshop_json(stored), f"/v1/workshops/{stored.id}", stored.version, replayed=replayed)


@routes.get("/v1/workshops")
def list_workshops() -> Response:
    """List the workshops that the caller may see, newest first."""
    page, following = workshops.page(service().records, scope(), page_limit(), page_before())
    return paged([workshop_json(stored) for stored in page], following)


@routes.get("/v1/workshops/<workshop_id>")
def get_workshop(workshop_id: str) -> Response:
    """Read a workshop."""
    stored = workshops.get(service().records, scope(), workshop_id)
    return shown(workshop_json(stored), stored.version)


@routes.put("/v1/workshops/<workshop_id>")
def change_workshop(workshop_id: str) -> Response:
    """Change a workshop; the record is replaced as a whole."""
    workshops.get(service().records, scope(), workshop_id)
    sent, _ = received(WorkshopPart)
    stored = workshops.change(service().records, scope(), workshop_id, expected, sent)
    return changed(workshop_json(stored), stored.version)


@routes.delete("/v1/workshops/<workshop_id>")
def delete_workshop(workshop_id: str) -> Response:
    """Delete a workshop that nothing belongs to."""
    workshops.delete(service().records, scope(), workshop_id, expected)
    return deleted()


def workshop_json(stored: Workshop) -> dict[str, Any]:
    """Return a workshop as it goes over the wire."""
    return {
        "id": stored.id,
        "version": stored.version,
        "created_at": stored.created_at,
        "changed_at": stored.changed_at,
        **stored.body,
    }
