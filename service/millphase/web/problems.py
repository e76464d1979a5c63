"""RFC 9457 problems: the one form of every answer that is not a success, the framework's own included."""

from __future__ import annotations

import json
import logging
import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from flask import Flask, Response, g
from werkzeug.exceptions import HTTPException

LOGGER = logging.getLogger("millphase.web")

MEDIA_TYPE = "application/problem+json"

FAULTS_SHOWN = 100
"""Most faults listed in one problem; a body with ten thousand needs no list of ten thousand."""


@dataclass(frozen=True, slots=True)
class Kind:
    """One kind of problem: its address is ``/problems/<slug>``."""

    slug: str
    status: int
    title: str
    advice: str

    @property
    def type(self) -> str:
        """Return the problem type, a relative URI reference."""
        return f"/problems/{self.slug}"


KINDS = {
    kind.slug: kind
    for kind in (
        Kind("malformed-json", 400, "The body is not JSON that can be read safely",
             "Send one JSON object in UTF-8: each name once, at most 32 levels deep, ordinary numbers."),
        Kind("malformed-request", 400, "The request itself cannot be read",
             "Send a well-formed HTTP request: valid headers, a valid Host, a valid request line."),
        Kind("token-required", 401, "These records need a token",
             "Send the header `Authorization: Bearer <token>` with a token that this service knows."),
        Kind("not-allowed-here", 403, "Records are open only to callers on this machine",
             "Call the service by a loopback name, or start it with tokens and send one."),
        Kind("token-of-one-workshop", 403, "This token opens one workshop and cannot make another",
             "Use a token that is not bound to a workshop, as its keeper has."),
        Kind("not-found", 404, "There is nothing at this address",
             "Start from /v1, which links to everything the service offers."),
        Kind("unknown-rule-set", 404, "The rule set that the request names is not here",
             "Take one of those that /v1/rule-sets lists, or leave `rule_set` out to be answered under the service's own."),
        Kind("method-not-allowed", 405, "This address does not take that method",
             "Use one of the methods in the Allow header."),
        Kind("idempotency-key-reused", 409, "This Idempotency-Key was used for a different request",
             "Use a new key for each new record; repeat a key only with the same body."),
        Kind("has-records", 409, "This record has other records and is not deleted",
             "Retire a machine instead: send its record with `retired`. A workshop goes when nothing belongs to it."),
        Kind("already-withdrawn", 409, "This reading is withdrawn already",
             "Nothing is left to do: it counts in no judgement."),
        Kind("changed-meanwhile", 412, "The record was changed since it was read",
             "Read it again, look at what changed, and repeat with the new ETag in If-Match."),
        Kind("body-too-large", 413, "The body is larger than the service takes",
             "Send at most what /docs says of the operation; split a longer batch."),
        Kind("address-too-long", 400, "The query of the address is too long",
             "Keep the query under 2 KiB; send longer input as a JSON body."),
        Kind("unsupported-media-type", 415, "The body is not declared as JSON",
             "Send `Content-Type: application/json` in UTF-8, without a Content-Encoding."),
        Kind("invalid-request", 422, "The request does not have the form that is published",
             "Compare it with /v1/openapi.json; each entry of `errors` says where and what to send."),
        Kind("contradictory-input", 422, "The readings contradict each other or cannot be",
             "Each entry of `errors` says what cannot be and what to measure or read again."),
        Kind("precondition-required", 428, "To change this record, say which version of it you mean",
             "Read the record, and send its ETag back in the header If-Match."),
        Kind("headers-too-large", 431, "The request headers are too large",
             "Send fewer or shorter headers."),
        Kind("internal-error", 500, "The service failed; the fault is in the service, not in the request",
             "Report the fault with the `instance` of the problem; do not act on a missing answer."),
        Kind("not-implemented", 501, "The service does not implement what the request asks of HTTP",
             "Send plain HTTP/1.1 with a Content-Length or chunked body."),
        Kind("storage-unavailable", 503, "The records cannot be reached at the moment",
             "Nothing was stored. Try again after the time in Retry-After."),
        Kind("storage-full", 507, "There is no room to store the record",
             "Nothing was stored and nothing was lost. Make room on the disk, then send the request again."),
    )
}  # fmt: skip

_KIND_OF_STATUS = {
    400: "malformed-request",
    401: "token-required",
    404: "not-found",
    405: "method-not-allowed",
    413: "body-too-large",
    415: "unsupported-media-type",
    422: "invalid-request",
    431: "headers-too-large",
    500: "internal-error",
    501: "not-implemented",
}


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong: where (RFC 6901 pointer, or a parameter's name) and what to send."""

    message: str
    pointer: str | None = None
    parameter: str | None = None
    code: str = "malformed"

    def as_dict(self) -> dict[str, str]:
        """Return the fault as it stands in the problem's ``errors``."""
        found = {"pointer": self.pointer} if self.parameter is None else {"parameter": self.parameter}
        where = {**found, "code": self.code}
        return {name: printable(text) for name, text in {**where, "message": self.message}.items() if text is not None}


class Problem(Exception):
    """Raise to answer with a problem.

    Parameters
    ----------
    slug : str
        Key of :data:`KINDS`.
    detail : str
        One sentence about this very request, for a person.
    faults : iterable of Fault
        Everything found wrong, all at once.
    headers : mapping
        Further response headers (``Allow``, ``Retry-After``, …).
    """

    def __init__(
        self,
        slug: str,
        detail: str | None = None,
        faults: Iterable[Fault] = (),
        headers: Mapping[str, str] | None = None,
    ) -> None:
        self.kind = KINDS[slug]
        self.detail = self.kind.advice if detail is None else detail
        self.faults = list(faults)
        self.headers = dict(headers or {})
        super().__init__(self.detail)

    def document(self, instance: str | None = None) -> dict[str, Any]:
        """Return the RFC 9457 object; `instance` names this one occurrence."""
        document: dict[str, Any] = {
            "type": self.kind.type,
            "title": self.kind.title,
            "status": self.kind.status,
            "detail": printable(self.detail),
        }
        if instance is not None:
            document["instance"] = instance
        if self.faults:
            document["errors"] = [fault.as_dict() for fault in self.faults[:FAULTS_SHOWN]]
            more = len(self.faults) - FAULTS_SHOWN
            if more > 0:
                document["errors_not_shown"] = more
        return document


def printable(text: str) -> str:
    """Return `text` without lone surrogates, which no UTF-8 answer can carry."""
    return text.encode("utf-8", "replace").decode("utf-8")


def pointer_token(name: object) -> str:
    """Return one RFC 6901 reference token."""
    return str(name).replace("~", "~0").replace("/", "~1")


def pointer(path: Iterable[object]) -> str:
    """Return the RFC 6901 pointer of a path of names and positions."""
    return "".join("/" + pointer_token(part) for part in path)


def request_id() -> str:
    """Return the URN of the request being answered."""
    if "request_id" not in g:
        g.request_id = uuid.uuid4().urn
    return str(g.request_id)


def respond(problem: Problem) -> Response:
    """Return the HTTP response of a problem."""
    body = json.dumps(problem.document(request_id()), ensure_ascii=False).encode()
    response = Response(body, problem.kind.status, content_type=MEDIA_TYPE)
    for name, value in problem.headers.items():
        response.headers[name] = value
    return response


def from_http(error: HTTPException) -> Problem:
    """Return the problem for an error that the framework raised; headers such as Allow are kept."""
    slug = _KIND_OF_STATUS.get(error.code or 500)
    if slug is None:
        slug = "malformed-request" if (error.code or 500) < 500 else "internal-error"
    kept = {name: value for name, value in error.get_headers() if name.lower() != "content-type"}
    return Problem(slug, headers=kept)


def install(app: Flask) -> None:
    """Answer every error of `app` as a problem; what happened in an unforeseen one goes to the log only."""

    @app.errorhandler(Problem)
    def own(error: Problem) -> Response:
        return respond(error)

    @app.errorhandler(HTTPException)
    def framework(error: HTTPException) -> Response:
        return respond(from_http(error))

    @app.errorhandler(Exception)
    def unforeseen(error: Exception) -> Response:
        LOGGER.error("%s: unforeseen error", request_id(), exc_info=error)
        return respond(Problem("internal-error"))
