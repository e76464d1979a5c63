"""A check of our own for schemathesis: the only 422 that a schema-valid request may get is contradictory-input."""

from __future__ import annotations

import json

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
