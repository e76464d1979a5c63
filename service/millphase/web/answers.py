"""From the JSON of a request to the JSON of an answer, for one question, a batch, and a stored assessment alike."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from millphase.questions import base
from millphase.questions.base import Invalid, Question
from millphase.rulebook import Rulebook
from millphase.rulebook.library import UnknownRuleSet
from millphase.web import body
from millphase.web.problems import Fault, Problem
from millphase.web.replies import json_bytes
from millphase.web.service import service

BATCH_ITEMS = 1000
"""Most items in one batch."""

CONTRADICTORY = "contradictory-input"


def answer_of(name: str, asked: Any) -> dict[str, Any]:
    """Return the answer to a question, as it goes over the wire.

    Parameters
    ----------
    name : str
        Name of a question.
    asked : object
        The request, as JSON data.

    Raises
    ------
    Problem
        404 for an unknown question or rule set, 422 for a request of another form or for readings that cannot be.
    """
    question = base.registry().get(name)
    if question is None:
        known = ", ".join(base.registry())
        raise Problem("not-found", f"There is no question of that name; the questions are {known}.")
    try:
        request = base.load(question, asked)
        return base.run(question, request, book_for(request)).as_json()
    except Invalid as invalid:
        raise refusal(invalid) from None


def answer_bytes(name: str, received: bytes) -> bytes:
    """Return the body of the response to a question asked with the bytes of a body; raises as :func:`answer_of`."""
    return json_bytes(answer_of(name, body.parse(received, base.registry()[name].largest_body)))


def book_for(request: Mapping[str, Any]) -> Rulebook:
    """Return the rule set that a request pins, else the default one.

    Raises
    ------
    Problem
        404 when the pinned set is not here, or cannot be used.
    """
    pinned = request.get("rule_set")
    return service().book if pinned is None else rule_set(pinned, "/rule_set")


def rule_set(identity: str, pointer: str | None = None) -> Rulebook:
    """Return the rule set ``name@version``; `pointer` says where the caller named it.

    Raises
    ------
    Problem
        404 when it is not here, or cannot be used.
    """
    try:
        return service().library.find(identity)
    except UnknownRuleSet as unknown:
        faults = [Fault(str(unknown), pointer, code="unknown-rule-set")] if pointer else []
        raise Problem("unknown-rule-set", str(unknown), faults) from None


def envelope(payload: dict[str, Any]) -> tuple[str, dict[str, Any]]:
    """Return question and request of an object that holds both and nothing else.

    Raises
    ------
    Problem
        422 with every fault.
    """
    faults = list(_envelope_faults(payload))
    if faults:
        raise Problem("invalid-request", f"At {faults[0].pointer}: {faults[0].message}", faults)
    return payload["question"], payload["request"]


def batch(payload: dict[str, Any]) -> list[dict[str, Any]]:
    """Return one result for each item: an answer, or the problem with that item alone.

    Raises
    ------
    Problem
        422 when there is no list of 1 to 1000 items.
    """
    items = payload.get("items")
    if payload.keys() != {"items"} or not isinstance(items, list) or not 1 <= len(items) <= BATCH_ITEMS:
        message = f'Send {{"items": […]}} with 1 to {BATCH_ITEMS} items, each {{"question": …, "request": …}}.'
        raise Problem("invalid-request", message, [Fault(message, "/items", code="invalid")])
    return [_result(item) for item in items]


def listed(question: Question) -> dict[str, Any]:
    """Return what the list of questions shows of one."""
    return {
        "name": question.name,
        "title": question.title,
        "summary": question.summary,
        "href": f"/v1/{question.name}",
    }


def _result(item: Any) -> dict[str, Any]:
    try:
        if not isinstance(item, dict):
            message = 'Send an object {"question": …, "request": …}.'
            raise Problem("invalid-request", message, [Fault(message, "", code="invalid")])
        return {"status": 200, "answer": answer_of(*envelope(item))}
    except Problem as problem:
        return {"status": problem.kind.status, "problem": problem.document()}


def _envelope_faults(payload: dict[str, Any]) -> list[Fault]:
    faults = [
        Fault("unknown field; send question and request", f"/{base.escape(name)}", code="unknown-field")
        for name in payload
        if name not in {"question", "request"}
    ]
    if not isinstance(payload.get("question"), str):
        faults.append(Fault("send the name of a question", "/question", code="invalid"))
    if not isinstance(payload.get("request"), dict):
        faults.append(Fault("send the request of that question, an object", "/request", code="invalid"))
    return faults


def refusal(invalid: Invalid) -> Problem:
    """Return the problem for a request that a question refuses."""
    faults = [Fault(fault.message, fault.pointer, code=fault.code) for fault in invalid.faults]
    slug = CONTRADICTORY if invalid.contradictory else "invalid-request"
    first = faults[0]
    more = f" ({len(faults) - 1} more below)" if len(faults) > 1 else ""
    where = f"At {first.pointer}: " if first.pointer else ""
    return Problem(slug, f"{where}{first.message}{more}", faults)
