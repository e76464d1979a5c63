"""Routes to the readings of a machine."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

from flask import Response, g

from millphase.questions import _upkeep as upkeep
from millphase.questions._machine import MEASURED, ReadingPart, WithdrawalPart, utc_text
from millphase.questions.base import Fault, Invalid, Part, fields
from millphase.records import machines, readings
from millphase.records.machines import Machine
from millphase.records.readings import New, Reading
from millphase.web.answers import CONTRADICTORY, refusal
from millphase.web.body import BATCH_LIMIT
from millphase.web.records_base import (
    LIMIT,
    PRIVATE,
    changed,
    created,
    expected,
    once,
    page_limit,
    paged,
    received,
    routes,
    scope,
    shown,
)
from millphase.web.replies import reply
from millphase.web.service import service

IMPORTED = 1000
"""Most readings in one import."""

AHEAD = timedelta(days=1)
"""How far ahead of this machine's clock another's may run, time zones mistaken included."""

CURSOR = r"[0-9]{14}-[1-9][0-9]{0,17}"

PARAMETERS = {"records.list_readings": {"limit": LIMIT, "cursor": CURSOR, "measured": "|".join(MEASURED)}}


class ImportPart(Part):
    """Many readings of one machine, stored together or not at all."""

    items = fields.Many(
        fields.Part(ReadingPart), low=1, high=IMPORTED, required=True, help="The readings, in any order."
    )


@routes.post("/v1/machines/<machine_id>/readings")
def add_reading(machine_id: str) -> Response:
    """Store a reading of a machine; the reading is on the disk before the reply is sent."""
    machine = machines.get(service().records, scope(), machine_id)
    sent, loaded = received(ReadingPart)
    stored, replayed = _store(machine, "reading", [sent], [loaded], "")
    return created(reading_json(stored[0]), address(stored[0].id), stored[0].version, replayed=replayed)


@routes.post("/v1/machines/<machine_id>/readings/import")
def import_readings(machine_id: str) -> Response:
    """Store up to 1,000 readings of a machine in one transaction: all of them, or none."""
    machine = machines.get(service().records, scope(), machine_id)
    sent, loaded = received(ImportPart, BATCH_LIMIT)
    stored, replayed = _store(machine, "import", sent["items"], loaded["items"], "/items")
    headers = {"Cache-Control": PRIVATE} | ({"Idempotency-Replayed": "true"} if replayed else {})
    return reply({"items": [reading_json(reading) for reading in stored]}, 201, headers)


@routes.get("/v1/machines/<machine_id>/readings")
def list_readings(machine_id: str) -> Response:
    """List the readings of a machine, the latest first, withdrawn ones among them."""
    page, following = readings.page(
        service().records, scope(), machine_id, page_limit(), _place(), g.query.get("measured")
    )
    return paged([reading_json(reading) for reading in page], None if following is None else _cursor(*following))


@routes.get("/v1/readings/<reading_id>")
def get_reading(reading_id: str) -> Response:
    """Read a reading."""
    stored = readings.get(service().records, scope(), reading_id)
    return shown(reading_json(stored), stored.version)


@routes.post("/v1/readings/<reading_id>/withdrawal")
def withdraw_reading(reading_id: str) -> Response:
    """Withdraw a wrong reading with a reason: it stays in the list and counts in no judgement."""
    readings.get(service().records, scope(), reading_id)
    sent, _ = received(WithdrawalPart)
    stored = readings.withdraw(service().records, scope(), reading_id, expected, sent["reason"])
    return changed(reading_json(stored), stored.version)


def _store(
    machine: Machine, kind: str, sent: list[dict[str, Any]], loaded: list[dict[str, Any]], place: str
) -> tuple[list[Reading], bool]:  # fmt: skip
    now = datetime.now(UTC)
    this = once(kind, {"machine": machine.id, "body": sent})
    faults = list(_faults(machine, sent, loaded, place, now))
    if faults:
        raise refusal(Invalid(faults))
    new = [
        New(utc_text(part.get("at", now)), {name: value for name, value in one.items() if name != "at"},
            upkeep.tests_winding(one))
        for one, part in zip(sent, loaded, strict=True)
    ]  # fmt: skip
    return readings.store(service().records, this, machine.id, new)


def _faults(
    machine: Machine, sent: list[dict[str, Any]], loaded: list[dict[str, Any]], place: str, now: datetime
) -> Iterator[Fault]:  # fmt: skip
    """What the published schema cannot say of readings, each with its place in the body."""
    for number, (one, part) in enumerate(zip(sent, loaded, strict=True)):
        here = f"{place}/{number}" if place else ""
        if part.get("at", now) > now + AHEAD:
            words = "this time lies ahead; check the clock, the date and the offset"
            yield Fault(f"{here}/at", CONTRADICTORY, words)
        if not any(name in one for name in MEASURED):
            words = f"nothing was measured; send at least one of {', '.join(MEASURED)}"
            yield Fault(here, "required", words)
        try:
            upkeep.check(machine.body, one, service().book)
        except Invalid as invalid:
            yield from (Fault(here + fault.pointer, fault.code, fault.message) for fault in invalid.faults)


def _cursor(at: str, sequence: int) -> str:
    return f"{datetime.fromisoformat(at):%Y%m%d%H%M%S}-{sequence}"


def _place() -> readings.Place | None:
    if "cursor" not in g.query:
        return None
    when, _, sequence = g.query["cursor"].partition("-")
    at = f"{when[:4]}-{when[4:6]}-{when[6:8]}T{when[8:10]}:{when[10:12]}:{when[12:]}Z"
    return at, int(sequence)


def reading_json(stored: Reading) -> dict[str, Any]:
    """Return a reading as it goes over the wire."""
    found = {
        "id": stored.id,
        "machine": stored.machine,
        "version": stored.version,
        "created_at": stored.created_at,
        "at": stored.at,
        **stored.body,
    }
    if stored.withdrawn is not None:
        found["withdrawn"] = dict(zip(("at", "reason"), stored.withdrawn, strict=True))
    return found


def address(reading_id: str) -> str:
    """Return the address of a reading."""
    return f"/v1/readings/{reading_id}"
