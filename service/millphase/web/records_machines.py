"""Routes to the machines: their plates, and what the plates said before."""

from __future__ import annotations

from typing import Any

from flask import Response, g

from millphase.questions._machine import MachinePart, NewMachinePart
from millphase.questions.base import Fault as BodyFault
from millphase.questions.base import Invalid
from millphase.records import machines
from millphase.records.keys import NotStoredError
from millphase.records.machines import Machine
from millphase.web.answers import CONTRADICTORY, refusal
from millphase.web.problems import Fault, Problem
from millphase.web.records_base import (
    CURSOR,
    ID,
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

PARAMETERS = {
    "records.list_machines": {"limit": LIMIT, "cursor": CURSOR, "workshop": ID, "retired": "yes|no"},
    "records.list_machine_versions": {"limit": LIMIT, "cursor": CURSOR},
}


@routes.post("/v1/machines")
def create_machine() -> Response:
    """Enter a machine of a workshop."""
    sent, loaded = received(NewMachinePart)
    check_plate(loaded)
    workshop = sent.pop("workshop")
    this = once("machine", {"workshop": workshop, "body": sent})
    try:
        stored, replayed = machines.store(service().records, this, workshop, sent)
    except NotStoredError:
        message = "No workshop of this id is stored here: /v1/workshops lists them."
        raise Problem("not-found", message, [Fault(message, "/workshop", code="not-found")]) from None
    return created(machine_json(stored), address(stored.id), stored.version, replayed=replayed)


@routes.get("/v1/machines")
def list_machines() -> Response:
    """List the machines that the caller may see, newest first, those out of use among them."""
    retired = {"yes": True, "no": False}.get(g.query.get("retired", ""))
    page, following = machines.page(
        service().records, scope(), page_limit(), page_before(), g.query.get("workshop"), retired
    )
    return paged([machine_json(stored) for stored in page], following)


@routes.get("/v1/machines/<machine_id>")
def get_machine(machine_id: str) -> Response:
    """Read a machine."""
    stored = machines.get(service().records, scope(), machine_id)
    return shown(machine_json(stored), stored.version)


@routes.put("/v1/machines/<machine_id>")
def change_machine(machine_id: str) -> Response:
    """Change a machine, or retire it; the record is replaced as a whole, what it said before is kept."""
    machines.get(service().records, scope(), machine_id)
    sent, loaded = received(MachinePart)
    check_plate(loaded)
    stored = machines.change(service().records, scope(), machine_id, expected, sent)
    return changed(machine_json(stored), stored.version)


@routes.delete("/v1/machines/<machine_id>")
def delete_machine(machine_id: str) -> Response:
    """Delete a machine that was entered by mistake and has no readings."""
    machines.delete(service().records, scope(), machine_id, expected)
    return deleted()


@routes.get("/v1/machines/<machine_id>/versions")
def list_machine_versions(machine_id: str) -> Response:
    """List what a machine says and said before, today's version first."""
    page, following = machines.states(service().records, scope(), machine_id, page_limit(), page_before())
    return paged([{"version": state.version, "since": state.since, **state.body} for state in page], following)


def check_plate(machine: dict[str, Any]) -> None:
    """Refuse a machine whose plate says two things at once.

    Raises
    ------
    Problem
        422, contradictory input.
    """
    plate = machine.get("nameplate", {})
    if {"thermal_class"} <= machine.keys() & plate.keys() and machine["thermal_class"] != plate["thermal_class"]:
        message = (
            f"the plate's own thermal_class is {plate['thermal_class']}; read the plate again and send one of them"
        )
        raise refusal(Invalid([BodyFault("/thermal_class", CONTRADICTORY, message)]))


def machine_json(stored: Machine) -> dict[str, Any]:
    """Return a machine as it goes over the wire."""
    return {
        "id": stored.id,
        "workshop": stored.workshop,
        "version": stored.version,
        "created_at": stored.created_at,
        "changed_at": stored.changed_at,
        **stored.body,
    }


def address(machine_id: str) -> str:
    """Return the address of a machine."""
    return f"/v1/machines/{machine_id}"
