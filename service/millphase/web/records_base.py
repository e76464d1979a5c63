"""What all routes to the records share: who may see them, keys, versions, pages."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, Response, g, request

from millphase.questions.base import Invalid, Part, load_part
from millphase.records.keys import InUseError, KeyReusedError, NotStoredError, Once, StaleError
from millphase.records.readings import WithdrawnError
from millphase.web import auth, body
from millphase.web.answers import refusal
from millphase.web.problems import Fault, Problem, respond
from millphase.web.replies import reply, tagged
from millphase.web.service import service

routes = Blueprint("records", __name__)

PRIVATE = "private, no-cache"

PAGE = 50
"""Entries on a page unless the caller says otherwise."""

LIMIT = r"[1-9][0-9]?|100"

CURSOR = r"[1-9][0-9]{0,17}"

ID = r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}"

_KEY = re.compile(r'"([A-Za-z0-9._~:-]{1,64})"|([A-Za-z0-9._~:-]{1,64})', re.ASCII)


@routes.before_request
def open_to_caller() -> None:
    """Refuse callers who may not see the records, before anything else is looked at."""
    g.workshop = auth.require(request, service().settings.tokens)


_PROBLEMS: dict[type[Exception], Problem] = {
    # The same words whether there is none or it is another workshop's: the difference is nobody's business.
    NotStoredError: Problem("not-found", "No record of this id is stored here."),
    KeyReusedError: Problem(
        "idempotency-key-reused",
        faults=[Fault("Use a new key for a different request.", parameter="Idempotency-Key")],
    ),
    StaleError: Problem(
        "changed-meanwhile", faults=[Fault("Read the record again and send its new ETag.", parameter="If-Match")]
    ),
    InUseError: Problem("has-records"),
    WithdrawnError: Problem("already-withdrawn"),
}


def _refused(error: Exception) -> Response:
    return respond(_PROBLEMS[type(error)])


for kind in _PROBLEMS:
    routes.register_error_handler(kind, _refused)


def scope() -> str | None:
    """Return the workshop that the caller is bound to, or None for one that sees all."""
    found: str | None = g.workshop
    return found


def once(kind: str, content: Mapping[str, Any]) -> Once:
    """Return what makes this request one that can be told from its repeat; `kind` keeps addresses apart."""
    return Once(scope(), idempotency_key(), {"kind": kind, **content})


def idempotency_key() -> str | None:
    """Return the caller's key, bare or in the quotes of a structured field.

    Raises
    ------
    Problem
        400 for a key of another form.
    """
    text = request.headers.get("Idempotency-Key")
    if text is None:
        return None
    match = _KEY.fullmatch(text)
    if match is None:
        message = "Send 1 to 64 letters, digits, or the signs . _ ~ : - (a UUID will do)."
        raise Problem("malformed-request", message, [Fault(message, parameter="Idempotency-Key")])
    return match[1] or match[2]


def expected(version: int) -> bool:
    """Return whether the caller's If-Match names this version of a record (RFC 9110, 13.1.1).

    Raises
    ------
    Problem
        428 when the caller names none.
    """
    if "If-Match" not in request.headers:
        fault = Fault("Send the ETag of the record as you know it.", parameter="If-Match")
        raise Problem("precondition-required", faults=[fault])
    return request.if_match.contains(str(version))


def received(schema: type[Part], limit: int = body.LIMIT) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the body of the request, checked against a schema, as it was sent and as it was understood.

    Raises
    ------
    Problem
        As :func:`body.read`, and 422 with every fault.
    """
    sent = body.read(request, limit)
    try:
        return sent, load_part(schema, sent)
    except Invalid as invalid:
        raise refusal(invalid) from None


def created(shown: Mapping[str, Any], address: str, version: int, *, replayed: bool) -> Response:
    """Return the reply to a request that made a record, or that repeated one."""
    headers = {"Location": address, "ETag": f'"{version}"', "Cache-Control": PRIVATE}
    if replayed:
        headers["Idempotency-Replayed"] = "true"
    return reply(shown, 201, headers)


def shown(record: Mapping[str, Any], version: int) -> Response:
    """Return a record under its entity tag."""
    return tagged(request, record, str(version), cache=PRIVATE)


def changed(record: Mapping[str, Any], version: int) -> Response:
    """Return the reply to a request that changed a record."""
    return reply(record, headers={"ETag": f'"{version}"', "Cache-Control": PRIVATE})


def deleted() -> Response:
    """Return the reply to a request that deleted a record."""
    response = Response(status=204, headers={"Cache-Control": PRIVATE})
    del response.headers["Content-Type"]  # there is no content
    return response


def page_limit() -> int:
    """Return how many entries the caller wants on a page."""
    return int(g.query.get("limit", PAGE))


def page_before() -> int | None:
    """Return the place that the caller's cursor names in a list by sequence."""
    return int(g.query["cursor"]) if "cursor" in g.query else None


def paged(items: Sequence[Mapping[str, Any]], cursor: object | None) -> Response:
    """Return a page of a list; `next` leads to the page after it, if there is one."""
    result: dict[str, Any] = {"items": list(items)}
    headers = {"Cache-Control": PRIVATE}
    if cursor is not None:
        result["next"] = f"{request.path}?{urlencode({**g.query, 'cursor': cursor})}"
        headers["Link"] = f'<{result["next"]}>; rel="next"'
    return reply(result, headers=headers)
