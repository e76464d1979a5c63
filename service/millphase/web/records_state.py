"""Routes that judge the stored readings of a machine: trend, status, and a report to print."""

from __future__ import annotations

import hashlib
from collections import OrderedDict
from collections.abc import Callable
from datetime import UTC, datetime
from threading import Lock
from typing import Any

from flask import Response, render_template, request

from millphase.questions import _upkeep as upkeep
from millphase.questions.base import Invalid
from millphase.records import assessments, machines, readings, workshops
from millphase.records.machines import Machine
from millphase.reports import machine_report
from millphase.web.answers import refusal
from millphase.web.pages import HTML
from millphase.web.records_base import PRIVATE, routes, scope
from millphase.web.replies import json_bytes, reply, tagged
from millphase.web.service import service

STATUSES_KEPT = 128
"""Statuses kept for pollers; about 1 kB each."""

READINGS_PRINTED = 100
"""Most readings in a report: the latest."""

ASSESSMENTS_PRINTED = 10
"""Most assessments in a report: the latest."""


class Kept:
    """The last few results of a calculation, by what they depend on."""

    def __init__(self, most: int) -> None:
        self._most, self._kept, self._lock = most, OrderedDict[object, bytes](), Lock()

    def get(self, key: object, make: Callable[[], bytes]) -> bytes:
        """Return what is kept under `key`, else what `make` gives."""
        with self._lock:
            if key in self._kept:
                self._kept.move_to_end(key)
                return self._kept[key]
        made = make()
        with self._lock:
            self._kept[key] = made
            if len(self._kept) > self._most:
                self._kept.popitem(last=False)
        return made


_STATUSES = Kept(STATUSES_KEPT)


@routes.get("/v1/machines/<machine_id>/trend")
def machine_trend(machine_id: str) -> Response:
    """Answer insulation-trend over the stored readings of a machine."""
    machine = machines.get(service().records, scope(), machine_id)
    tests, count = _tests(machine)
    try:
        answer, record = upkeep.trend(machine.body, tests, service().book)
    except Invalid as invalid:
        raise refusal(invalid) from None
    left_out = record.left_out | ({"older": count - len(tests)} if count > len(tests) else {})
    found = {
        "machine": machine.id,
        "used": len(record.request["readings"]),
        "left_out": [{"because": why, "readings": number} for why, number in left_out.items()],
        "answer": answer.as_json(),
    }
    return reply(found, headers={"Cache-Control": PRIVATE})


@routes.get("/v1/machines/<machine_id>/status")
def machine_status(machine_id: str) -> Response:
    """Say in one flat object how a machine is and when its winding is to be tested again."""
    machine, latest = readings.machine_and_latest_test(service().records, scope(), machine_id)
    now = datetime.now(UTC)
    age = "none" if latest is None else upkeep.age_days(latest, now)
    # All that a status depends on, and cheap to know: an unchanged one is answered without working anything out.
    tag = f"{machine.version}.{machine.insulation_version}.{age}.{service().book.digest[7:19]}"
    if request.if_none_match.contains_weak(tag):
        return tagged(request, b"", tag, cache=PRIVATE)
    return tagged(request, _STATUSES.get((machine.id, tag), lambda: json_bytes(_status(machine, now))), tag, PRIVATE)


@routes.get("/v1/machines/<machine_id>/report")
def machine_report_page(machine_id: str) -> Response:
    """Show the report of a machine, to be printed and signed."""
    records, book = service().records, service().book
    machine = machines.get(records, scope(), machine_id)
    workshop = workshops.get(records, scope(), machine.workshop)
    page, following = readings.page(records, scope(), machine.id, READINGS_PRINTED)
    tests, _ = _tests(machine)
    entries, _ = assessments.entries(records, ASSESSMENTS_PRINTED, machine=machine.id, scope=scope())
    now = datetime.now(UTC)
    shown = render_template(
        "machine_report.html",
        report=machine_report.report(machine, tests, page, now, book),
        workshop=workshop.body["name"],
        more=following is not None,
        assessments=entries,
        book=book,
        printed=f"{now:%Y-%m-%d}",
    ).encode()
    return tagged(request, shown, hashlib.sha256(shown).hexdigest(), cache=PRIVATE, media_type=HTML)


def _tests(machine: Machine) -> tuple[list[dict[str, Any]], int]:
    """Return the insulation tests that count, the latest first, as the questions see them; and how many there are."""
    found, count = readings.insulation(service().records, machine, upkeep.MOST_TESTS)
    return [{**reading.body, "at": reading.at} for reading in found], count


def _status(machine: Machine, now: datetime) -> dict[str, Any]:
    tests, _ = _tests(machine)
    told = upkeep.status(machine.body, tests, now, service().book)
    return {"machine": machine.id, "name": machine.body["name"], **told}
