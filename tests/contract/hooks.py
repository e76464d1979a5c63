"""What this project adds to schemathesis: checks of its own, and records for drawn requests to meet.

The only 422 that a schema-valid request may get is contradictory-input; every error is a problem. A drawn id is nobody's, so
half of the valid requests to records are sent to records that are there; the other half keep theirs, and get 404.
"""

from __future__ import annotations

import json
import urllib.request
import zlib
from functools import cache
from typing import Any

import schemathesis
from schemathesis.core.transport import Response

CONTRADICTORY = "/problems/contradictory-input"


@schemathesis.check
def refuses_only_contradictions(ctx: schemathesis.CheckContext, response: Response, case: schemathesis.Case) -> None:
    """Fail on a 422 for schema-valid data whose problem is of another type."""
    if case.meta is None or not case.meta.generation.mode.is_positive or response.status_code != 422:
        return
    problem = json.loads(response.content)
    if problem["type"] != CONTRADICTORY:
        others = [fault for fault in problem.get("errors", []) if fault["code"] != "contradictory-input"]
        raise AssertionError(f"schema-valid request refused as {problem['type']}: {others or problem['detail']}")
    for fault in problem["errors"]:
        if not fault["message"] or fault["code"] != "contradictory-input":
            raise AssertionError(f"a contradiction must say what to measure or enter again: {fault}")


@schemathesis.check
def problems_are_problems(ctx: schemathesis.CheckContext, response: Response, case: schemathesis.Case) -> None:
    """Fail on an error that is not an RFC 9457 problem, or that repeats another status than the response has."""
    if response.status_code < 400:
        return
    problem = json.loads(response.content)
    if response.headers["content-type"] != ["application/problem+json"] or problem["status"] != response.status_code:
        raise AssertionError(f"not a problem: {response.headers['content-type']} {problem}")


READING = {
    "insulation": [{"between": "UVW-earth", "resistance": "85 Mohm", "test_voltage": "500 V",
                    "instrument": "insulation-tester", "after": "60 s", "winding_temperature": "19 degC"}],
    "drive_disconnected": True,
}  # fmt: skip


def _post(url: str, path: str, body: dict[str, Any]) -> dict[str, Any]:
    sent = urllib.request.Request(url + path, json.dumps(body).encode(), {"Content-Type": "application/json"})
    with urllib.request.urlopen(sent, timeout=30) as response:
        return json.load(response)


def _machine(url: str, workshop: str) -> str:
    return _post(url, "/v1/machines", {"workshop": workshop, "name": "shaper", "rated_voltage": "400 V"})["id"]


@cache
def _known(url: str) -> dict[str, str]:
    """A record of each kind, by the name of its id; the machine has a year of readings."""
    workshop = _post(url, "/v1/workshops", {"name": "Tansy Yard Workshop"})["id"]
    machine = _machine(url, workshop)
    items = [{**READING, "at": f"2025-{month:02d}-07T08:00:00Z"} for month in range(1, 13)]
    readings = _post(url, f"/v1/machines/{machine}/readings/import", {"items": items})["items"]
    return {"workshop_id": workshop, "machine_id": machine, "reading_id": readings[0]["id"]}


def _fresh(url: str, operation: str) -> dict[str, str]:
    """A record of its own for a request that changes or deletes it."""
    known = _known(url)
    match operation.partition("_")[2]:
        case "workshop":
            return {"workshop_id": _post(url, "/v1/workshops", {"name": "Tansy Yard Workshop"})["id"]}
        case "machine":
            return {"machine_id": _machine(url, known["workshop_id"])}
        case _:
            return {"reading_id": _post(url, f"/v1/machines/{known['machine_id']}/readings", READING)["id"]}


CHANGES = {"change_workshop", "delete_workshop", "change_machine", "delete_machine", "withdraw_reading"}


@schemathesis.hook
def before_call(ctx: schemathesis.HookContext, case: schemathesis.Case, kwargs: dict[str, Any]) -> None:
    """Send every other valid request to a record that is there; stateful tests find theirs by links."""
    drawn = case.meta is not None and case.meta.generation.mode.is_positive and case.meta.phase.name.value != "stateful"
    if (
        not drawn
        or "records" not in case.operation.tags
        or zlib.crc32(repr((case.path_parameters, case.body)).encode("utf-8", "replace")) % 2
    ):
        return
    url = case.operation.base_url.rstrip("/")
    name = case.operation.definition.raw["operationId"]
    ids = _fresh(url, name) if name in CHANGES else _known(url)
    case.path_parameters.update({key: value for key, value in ids.items() if key in case.path_parameters})
    if name in CHANGES:
        case.headers["If-Match"] = '"1"'
    if isinstance(case.body, dict):
        case.body.update({key: ids[f"{key}_id"] for key in ("workshop", "machine") if key in case.body})
