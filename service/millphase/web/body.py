"""Reads a JSON body strictly, so that what the published schema refuses never reaches a question.

JSON as Python reads it is wider than JSON as it is written down: NaN, numbers beyond double precision, the
last of two equal names, half a surrogate pair. Each is refused here, with a pointer and a sentence that says
what to send instead.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from flask import Request
from werkzeug.http import parse_options_header

from millphase.web.problems import Fault, Problem, pointer

LIMIT = 64 * 1024
"""Largest body of a question [bytes]."""

BATCH_LIMIT = 1024 * 1024
"""Largest body of a batch [bytes]."""

DEPTH = 32
"""Deepest nesting of objects and arrays."""

MEMBERS = 100_000
"""Most members and elements in one body; keeps the cost of a hostile megabyte under 50 ms."""

EXACT_DIGITS = 15
"""Every integer of so many digits is exact in double precision."""

_SURROGATE = re.compile("[\ud800-\udfff]")
_HALF = "Half a surrogate pair is not a character: send well-formed Unicode."
_TOO_DEEP = f"Nested too deep: send at most {DEPTH} levels of objects and arrays."


@dataclass(frozen=True, slots=True)
class _Unreadable:
    """Stands where a number stood that must be refused."""

    why: str


class _Repeated(dict[str, Any]):
    """An object in which a name came more than once."""

    names: tuple[str, ...] = ()


def read(request: Request, limit: int = LIMIT) -> dict[str, Any]:
    """Return the JSON object in the body of `request`.

    Parameters
    ----------
    request : flask.Request
        The request whose body is read.
    limit : int
        Largest body [bytes].

    Raises
    ------
    Problem
        415 for another media type, 413 for too much, 400 for what is not safe JSON, 422 for what is not an
        object.
    """
    return parse(raw(request, limit), limit)


def raw(request: Request, limit: int = LIMIT) -> bytes:
    """Return the bytes of a body that is declared as JSON and not too large; see :func:`read`."""
    _check_media_type(request)
    return _received(request, limit)


def parse(received: bytes, limit: int = LIMIT) -> dict[str, Any]:
    """Return the JSON object in the bytes of a body; see :func:`read`."""
    value = _decode(_text(received), limit)
    faults = _faults(value)
    if faults:
        raise Problem("malformed-json", _sentence(faults), faults)
    if not isinstance(value, dict):
        fault = Fault("Send a JSON object: names in double quotes, each with its value, in braces.", pointer="")
        raise Problem("invalid-request", fault.message, [fault])
    return value


def _sentence(faults: list[Fault]) -> str:
    first = faults[0]
    where = f"At {first.pointer}: " if first.pointer else ""
    more = f" ({len(faults) - 1} more below)" if len(faults) > 1 else ""
    return f"{where}{first.message}{more}"


def _check_media_type(request: Request) -> None:
    accept = {"Accept": "application/json", "Accept-Encoding": "identity"}
    media_type, options = parse_options_header(request.headers.get("Content-Type", ""))
    if media_type.lower() != "application/json":
        named = f"not as {media_type}" if media_type else "and name the media type"
        raise Problem("unsupported-media-type", f"Send the body as application/json, {named}.", headers=accept)
    charset = options.pop("charset", "utf-8")
    if charset.lower() not in {"utf-8", "utf8"} or options:
        raise Problem(
            "unsupported-media-type",
            "Send application/json in UTF-8, without other parameters.",
            headers=accept,
        )
    if request.headers.get("Content-Encoding", "identity").strip().lower() not in {"identity", ""}:
        raise Problem("unsupported-media-type", "Send the body without a Content-Encoding.", headers=accept)


def _received(request: Request, limit: int) -> bytes:
    too_large = Problem("body-too-large", f"Send at most {limit // 1024} KiB in one body to this address.")
    if request.content_length is not None and request.content_length > limit:
        raise too_large
    # A chunked body has no length beforehand, so one byte more than allowed is asked for.
    received = b""
    while len(received) <= limit and (more := request.stream.read(limit + 1 - len(received))):
        received += more
    if len(received) > limit:
        raise too_large
    return received


def _text(received: bytes) -> str:
    try:
        text = received.decode("utf-8")
    except UnicodeDecodeError as error:
        message = f"Send UTF-8: byte {error.start + 1} of the body cannot be part of it."
        raise Problem("malformed-json", message, [Fault(message, pointer="")]) from None
    if not text.strip(" \t\r\n"):
        message = "The body is empty: send a JSON object."
        raise Problem("malformed-json", message, [Fault(message, pointer="")])
    return text


def _decode(text: str, limit: int) -> Any:
    if limit > LIMIT and text.count(",") + text.count("[") + text.count("{") > MEMBERS:
        message = f"Send at most {MEMBERS} members and elements in one body; split it."
        raise Problem("malformed-json", message, [Fault(message, pointer="")])
    try:
        return _DECODER.decode(text)
    except json.JSONDecodeError as error:
        reason = error.msg[:1].lower() + error.msg[1:]
        message = f"Not JSON at line {error.lineno}, column {error.colno}: {reason}. Send a JSON object in UTF-8."
    except RecursionError:
        message = _TOO_DEEP
    raise Problem("malformed-json", message, [Fault(message, pointer="")])


def _pairs(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    value = dict(pairs)
    if len(value) == len(pairs):
        return value
    seen: set[str] = set()
    repeated = _Repeated(value)
    repeated.names = tuple(dict.fromkeys(name for name, _ in pairs if name in seen or seen.add(name)))  # type: ignore[func-returns-value]
    return repeated


def _integer(text: str) -> int | float | _Unreadable:
    # RFC 7493: beyond 2^53 an integer is read as the nearest double, by us as by everybody else.
    return int(text) if len(text) <= EXACT_DIGITS else _real(text)


def _real(text: str) -> float | _Unreadable:
    number = float(text)
    if number in (float("inf"), float("-inf")):
        return _Unreadable("This number is too large for double precision: send a smaller number.")
    return number


def _constant(text: str) -> _Unreadable:
    return _Unreadable(f"{text} is not JSON: send a finite number, or leave the field out.")


_DECODER = json.JSONDecoder(object_pairs_hook=_pairs, parse_int=_integer, parse_float=_real, parse_constant=_constant)


def _faults(value: Any) -> list[Fault]:
    """Return everything that makes the value unsafe to read, each with its pointer."""
    faults: list[Fault] = []
    pending: list[tuple[tuple[object, ...], Any]] = [((), value)]
    while pending:
        path, part = pending.pop()
        kind = type(part)
        if kind is str:
            # Printable text holds no surrogate; the quick test spares the slow one.
            if not part.isprintable() and _SURROGATE.search(part):
                faults.append(Fault(_HALF, pointer(path)))
        elif kind is list or kind is dict or kind is _Repeated:
            if len(path) >= DEPTH:
                return [Fault(_TOO_DEEP, pointer(path))]
            if kind is list:
                pending.extend([((*path, position), element) for position, element in enumerate(part)])
            else:
                faults.extend(_faults_of_names(part, path))
                pending.extend([((*path, name), element) for name, element in part.items()])
        elif kind is _Unreadable:
            faults.append(Fault(part.why, pointer(path)))
    return faults


def _faults_of_names(part: dict[str, Any], path: tuple[object, ...]) -> Iterator[Fault]:
    for name in getattr(part, "names", ()):
        yield Fault("This name comes more than once in its object: send it once.", pointer((*path, name)))
    for name in part:
        if not name.isprintable() and _SURROGATE.search(name):
            yield Fault(_HALF, pointer((*path, name)))
