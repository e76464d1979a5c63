"""Routes to the stored assessments."""

from __future__ import annotations

import re
from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, Request, Response, g, request

from millphase.questions.base import RULE_SET_PATTERN, registry
from millphase.records import assessments
from millphase.records.assessments import Assessment, Entry, KeyReusedError, NotStoredError
from millphase.rejudge import rejudge
from millphase.rulebook import Rulebook
from millphase.rulebook.library import UnknownRuleSet
from millphase.web import auth, body
from millphase.web.answers import answer_of, envelope, rule_set
from millphase.web.problems import Fault, Problem
from millphase.web.replies import reply, tagged
from millphase.web.service import service

routes = Blueprint("records", __name__)

PRIVATE = "private, no-cache"

PAGE = 50
"""Entries on a page unless the caller says otherwise."""

LARGEST_BODY = max(question.largest_body for question in registry().values())
"""Largest body of a record: any question's [bytes]."""

LIST_ENDPOINT = "records.list_assessments"

LIST_PARAMETERS = {
    "limit": r"[1-9][0-9]?|100",
    "cursor": r"[1-9][0-9]{0,17}",
    "question": "|".join(registry()),
}
"""Query parameters of the list."""

AGAIN_ENDPOINT = "records.judge_again"

AGAIN_PARAMETERS = {"rule_set": RULE_SET_PATTERN.strip("^$")}
"""Query parameters of judging again."""

_KEY = re.compile(r'"([A-Za-z0-9._~:-]{1,64})"|([A-Za-z0-9._~:-]{1,64})', re.ASCII)


@routes.before_request
def open_to_caller() -> None:
    """Refuse callers who may not see the records, before anything else is looked at."""
    auth.require(request, service().settings.tokens)


@routes.post("/v1/assessments")
def store_assessment() -> Response:
    """Answer a question and store request and answer; the record is on the disk before the reply is sent."""
    key = idempotency_key(request)
    question, asked = envelope(body.read(request, LARGEST_BODY))
    answer = answer_of(question, asked)
    try:
        stored, replayed = assessments.store(service().records, question, asked, answer, key)
    except KeyReusedError:
        fault = Fault("Use a new key for a different request.", parameter="Idempotency-Key")
        raise Problem("idempotency-key-reused", faults=[fault]) from None
    headers = {
        "Location": address(stored.id),
        "ETag": f'"{stored.row_version}"',
        "Cache-Control": PRIVATE,
    }
    if replayed:
        headers["Idempotency-Replayed"] = "true"
    return reply(assessment_json(stored), 201, headers)


@routes.get("/v1/assessments")
def list_assessments() -> Response:
    """List stored assessments, newest first."""
    asked = g.query
    limit = int(asked.get("limit", PAGE))
    before = int(asked["cursor"]) if "cursor" in asked else None
    page, following = assessments.entries(service().records, limit, before, asked.get("question"))
    result: dict[str, Any] = {"items": [entry_json(entry) for entry in page]}
    headers = {"Cache-Control": PRIVATE}
    if following is not None:
        result["next"] = f"/v1/assessments?{urlencode({**asked, 'cursor': following})}"
        headers["Link"] = f'<{result["next"]}>; rel="next"'
    return reply(result, headers=headers)


@routes.get("/v1/assessments/<assessment_id>")
def get_assessment(assessment_id: str) -> Response:
    """Return a stored assessment."""
    stored = _stored(assessment_id)
    return tagged(request, assessment_json(stored), str(stored.row_version), cache=PRIVATE)


@routes.get("/v1/assessments/<assessment_id>/judged-again")
def judge_again(assessment_id: str) -> Response:
    """Judge the readings of a stored assessment under another rule set, and say why the judgements differ."""
    stored = _stored(assessment_id)
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


def _stored(assessment_id: str) -> Assessment:
    try:
        return assessments.get(service().records, assessment_id)
    except NotStoredError:
        raise Problem("not-found", "No assessment of this id is stored here.") from None


def address(assessment_id: str) -> str:
    """Return the address of an assessment."""
    return f"/v1/assessments/{assessment_id}"


def assessment_json(stored: Assessment) -> dict[str, Any]:
    """Return an assessment as it goes over the wire."""
    return {
        "id": stored.id,
        "question": stored.question,
        "created_at": stored.created_at,
        "request": stored.request,
        "answer": stored.answer,
    }


def entry_json(entry: Entry) -> dict[str, Any]:
    """Return a line of the list as it goes over the wire."""
    return {
        "id": entry.id,
        "question": entry.question,
        "outcome": entry.outcome,
        "summary": entry.summary,
        "rule_set": entry.rule_set,
        "created_at": entry.created_at,
        "href": address(entry.id),
    }


def idempotency_key(asked: Request) -> str | None:
    """Return the caller's key, bare or in the quotes of a structured field.

    Raises
    ------
    Problem
        400 for a key of another form.
    """
    text = asked.headers.get("Idempotency-Key")
    if text is None:
        return None
    match = _KEY.fullmatch(text)
    if match is None:
        message = "Send 1 to 64 letters, digits, or the signs . _ ~ : - (a UUID will do)."
        raise Problem("malformed-request", message, [Fault(message, parameter="Idempotency-Key")])
    return match[1] or match[2]
