"""Sends requests with finite timeouts, retries what may be retried, and turns problems into typed errors."""

from __future__ import annotations

import ipaddress
import json
import os
import random
import time
from collections.abc import Mapping
from typing import Any

import httpx2

from .errors import UnreachableError, error_for
from .models import ProblemDetails

DEFAULT_URL = "http://127.0.0.1:8421"

TRANSIENT = frozenset({502, 503, 504})

NOT_DONE = frozenset({503})
"""What the service answers when it has not carried out the request, and may soon be able to."""

LONGEST_PAUSE = 5.0
"""Longest pause before a retry, whatever Retry-After asks [s]."""


class Transport:
    """One HTTP connection pool to one service.

    Most operations may be sent twice without harm: questions store nothing, and records are created under an
    Idempotency-Key. A change of a record is not so: when its answer is lost, nobody knows whether it was made, and the
    second attempt would be refused as stale. It is retried only where it certainly was not made.
    """

    def __init__(
        self,
        base_url: str | None,
        token: str | None,
        timeout: float,
        retries: int,
        transport: httpx2.BaseTransport | None,
        user_agent: str,
    ) -> None:
        if not 0 < timeout < float("inf"):
            raise ValueError("timeout is a positive number of seconds")
        if retries < 0:
            raise ValueError("retries is 0 or more")
        url = httpx2.URL(base_url or os.environ.get("MILLPHASE_URL") or DEFAULT_URL)
        headers = {"User-Agent": user_agent, "Accept": "application/json, application/problem+json"}
        if token is not None:
            headers["Authorization"] = f"Bearer {token}"
        self.retries = retries
        self._url = url
        self._http = httpx2.Client(
            base_url=url,
            headers=headers,
            timeout=httpx2.Timeout(timeout, connect=min(timeout, 2.0)),
            transport=transport,
            follow_redirects=False,
            # A proxy of the environment cannot reach a service that listens on this machine only.
            trust_env=not _is_loopback(url.host),
        )

    def close(self) -> None:
        """Close the connections."""
        self._http.close()

    def send(
        self,
        method: str,
        path: str,
        body: Mapping[str, object] | None = None,
        query: Mapping[str, str] | None = None,
        headers: Mapping[str, str] | None = None,
        *,
        repeatable: bool = True,
    ) -> httpx2.Response:
        """Return the successful response.

        Parameters
        ----------
        method, path, body, query, headers
            The request; `body` is JSON data.
        repeatable : bool
            Whether the request may be sent again although it may have been carried out.

        Raises
        ------
        ApiError
            The service answered with a problem; the type tells which.
        UnreachableError
            No answer came in time.
        """
        sent = dict(headers or {})
        content = None
        if body is not None:
            sent["Content-Type"] = "application/json"
            content = json.dumps(body, ensure_ascii=False, allow_nan=False).encode()
        for attempt in range(self.retries + 1):
            last = attempt == self.retries
            try:
                response = self._http.request(method, path, content=content, params=query, headers=sent)
            except httpx2.TransportError as error:
                if last or not (repeatable or isinstance(error, httpx2.ConnectError | httpx2.ConnectTimeout)):
                    raise UnreachableError(f"no answer from {self._url}: {error or type(error).__name__}") from error
                time.sleep(_pause(attempt, None))
                continue
            if response.status_code in (TRANSIENT if repeatable else NOT_DONE) and not last:
                time.sleep(_pause(attempt, response.headers.get("Retry-After")))
                continue
            return _checked(response)
        raise AssertionError("the last attempt returns or raises")

    def json(self, method: str, path: str, **parts: Any) -> Any:
        """Send, and return the JSON of the response; takes what :meth:`send` takes."""
        response = self.send(method, path, **parts)
        try:
            return response.json()
        except ValueError as error:
            raise UnreachableError(f"{self._url}{path} did not answer in JSON: is it this service?") from error


def _is_loopback(host: str) -> bool:
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def _pause(attempt: int, asked: str | None) -> float:
    if asked is not None and asked.isascii() and asked.isdigit():
        return min(float(asked), LONGEST_PAUSE)
    # Jitter keeps many clients from coming back at the same moment.
    return min(0.2 * 2.0**attempt, LONGEST_PAUSE) * random.uniform(0.5, 1.0)  # noqa: S311 - no secret


def _checked(response: httpx2.Response) -> httpx2.Response:
    if response.is_success:
        return response
    try:
        problem = ProblemDetails.read(response.json())
    except (ValueError, TypeError, AttributeError):
        problem = ProblemDetails(title=response.reason_phrase or "no reason given", status=response.status_code)
    raise error_for(problem, response.status_code, problem.instance or response.headers.get("X-Request-Id"))
