"""Routes to the stored assessments."""

from __future__ import annotations

import re
from typing import Any

from flask import Response, g, request

from millphase.questions.base import RULE_SET_PATTERN, registry
from millphase.records import assessments, machines
from millphase.records.assessments import Assessment, Entry
from millphase.records.keys import NotStoredError
from millphase.rejudge import rejudge
from millphase.rulebook import Rulebook
from millphase.rulebook.library import UnknownRuleSet
from millphase.web import body
from millphase.web.answers import answer_of, envelope, rule_set
from millphase.web.problems import Fault, Problem
from millphase.web.records_base import (
    CURSOR,
    ID,
    LIMIT,
    PRIVATE,
    created,
    idempotency_key,
    page_before,
    page_limit,
    paged,
    routes,
    scope,
    shown,
)
from millphase.web.replies import reply
from millphase.web.service import service

LARGEST_BODY = max(question.largest_body for question in registry().values())
"""Largest body of a record: any question's [bytes]."""

PARAMETERS = {
    "records.list_assessments": {
        "limit": LIMIT,
        "cursor": CURSOR,
        "question": "|".join(registry()),
        "machine": ID,
    },
    "records.judge_again": {"rule_set": RULE_SET_PATTERN.strip("^$")},
}
"""Query parameters of the routes that take any."""


@routes.post("/v1/assessments")
def store_assessment() -> Response:
    """Answer a question and store request and answer; the record is on the disk before the reply is sent."""
    key = idempotency_key()
    sent = body.read(request, LARGEST_BODY)
    machine = _machine(sent)
    question, asked = envelope(sent)
    answer = answer_of(question, asked)
    stored, replayed = assessments.store(
        service().records, question, asked, answer, key, machine=machine, scope=scope()
    )
    return created(assessment_json(stored), address(stored.id), stored.row_version, replayed=replayed)


def _machine(sent: dict[str, Any]) -> str | None:
    """Take the machine out of an assessment's body; it must be one that the caller may see."""
    if "machine" not in sent:
        return None
    machine = sent.pop("machine")
    if not isinstance(machine, str) or re.fullmatch(ID, machine) is None:
        message = "send the id of a machine, as /v1/machines lists it"
        raise Problem("invalid-request", f"At /machine: {message}", [Fault(message, "/machine", code="invalid")])
    try:
        return machines.get(service().records, scope(), machine).id
    except NotStoredError:
        message = "No machine of this id is stored here: /v1/machines lists them."
        raise Problem("not-found", message, [Fault(message, "/machine", code="not-found")]) from None


@routes.get("/v1/assessments")
def list_assessments() -> Response:
    """List stored assessments, newest first."""
    asked = g.query
    page, following = assessments.entries(
        service().records, page_limit(), page_before(), asked.get("question"), asked.get("machine"), scope()
    )
    return paged([entry_json(entry) for entry in page], following)


@routes.get("/v1/assessments/<assessment_id>")
def get_assessment(assessment_id: str) -> Response:
    """Return a stored assessment."""
    stored = assessments.get(service().records, assessment_id, scope())
    return shown(assessment_json(stored), stored.row_version)


@routes.get("/v1/assessments/<assessment_id>/judged-again")
def judge_again(assessment_id: str) -> Response:
    """Judge the readings of a stored assessment under another rule set, and say why the judgements differ."""
    stored = assessments.get(service().records, assessment_id, scope())
    pinned = g.query.get("rule_set")
    now = service().book if pinned is None else rule_set(pinned)
    found = rejudge(stored.question, stored.request, stored.answer, _of_its_day(stored), now)
    return reply(found, headers={"Cache-Control": PRIVATE})


def _of_its_day(stored: Assessment) -> Rulebook | None:
    """Return the rule set that the answer names, if the very same is here."""
    named = stored.answer["rule_set"]
    try:
        book = service().library.find(f"{named['name']}@{named['version']}")
    except UnknownRuleSet:
        return None
    return book if book.digest == named["digest"] else None


def address(assessment_id: str) -> str:
    """Return the address of an assessment."""
    return f"/v1/assessments/{assessment_id}"


def assessment_json(stored: Assessment) -> dict[str, Any]:
    """Return an assessment as it goes over the wire."""
    return {
        "id": stored.id,
        "question": stored.question,
        **({} if stored.machine is None else {"machine": stored.machine}),
        "created_at": stored.created_at,
        "request": stored.request,
        "answer": stored.answer,
    }


def entry_json(entry: Entry) -> dict[str, Any]:
    """Return a line of the list as it goes over the wire."""
    return {
        "id": entry.id,
        "question": entry.question,
        **({} if entry.machine is None else {"machine": entry.machine}),
        "outcome": entry.outcome,
        "summary": entry.summary,
        "rule_set": entry.rule_set,
        "created_at": entry.created_at,
        "href": address(entry.id),
    }
