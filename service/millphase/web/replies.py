"""Successful responses: JSON, entity tags, and the few parameters that an address may carry."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from flask import Request, Response

from millphase.web.problems import Fault, Problem

JSON = "application/json"

QUERY_LIMIT = 2048
"""Longest query [characters]."""


def json_bytes(body: Any) -> bytes:
    """Return JSON data as it goes over the wire.

    A number that is not finite raises ValueError: an answer never hides a failed calculation behind ``null``.
    """
    return json.dumps(body, ensure_ascii=False, allow_nan=False).encode()


def reply(body: Any, status: int = 200, headers: Mapping[str, str] | None = None, media_type: str = JSON) -> Response:
    """Return a response; `body` is JSON data, or finished bytes."""
    content = body if isinstance(body, bytes) else json_bytes(body)
    response = Response(content, status, content_type=media_type)
    for name, value in (headers or {}).items():
        response.headers[name] = value
    return response


def tagged(request: Request, body: Any, tag: str, cache: str = "no-cache", media_type: str = JSON) -> Response:
    """Return `body` under the strong entity tag `tag`, or 304 when the caller already has it (RFC 9110, 13.1.2)."""
    headers = {"ETag": f'"{tag}"', "Cache-Control": cache}
    # contains_weak: If-None-Match compares weakly, so that a cache that weakened the tag is still answered 304.
    if request.if_none_match.contains_weak(tag):
        response = Response(status=304)
        response.headers.update(headers)
        return response
    return reply(body, headers=headers, media_type=media_type)


def query(request: Request, patterns: Mapping[str, str]) -> dict[str, str]:
    """Return the query parameters, each of which must be known, come once, and match its pattern.

    Parameters
    ----------
    request : flask.Request
        The request.
    patterns : mapping
        Name of each parameter to the regular expression of its whole value.

    Raises
    ------
    Problem
        400 for a query that is too long, 422 with every faulty parameter.
    """
    if len(request.query_string) > QUERY_LIMIT:
        raise Problem("address-too-long")
    faults: list[Fault] = []
    found: dict[str, str] = {}
    for name, values in request.args.lists():
        pattern = patterns.get(name)
        if pattern is None:
            known = f"use {', '.join(patterns)}" if patterns else "this address takes none"
            faults.append(Fault(f"Unknown query parameter: {known}.", parameter=name))
        elif len(values) > 1:
            faults.append(Fault("Send this query parameter once.", parameter=name))
        elif re.fullmatch(pattern, values[0], re.ASCII) is None:
            faults.append(Fault(f"Send a value of the form {pattern}.", parameter=name))
        else:
            found[name] = values[0]
    if faults:
        first = faults[0]
        raise Problem("invalid-request", f"{first.parameter}: {first.message}", faults)
    return found
