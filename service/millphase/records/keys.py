"""Creating something once: the key of a request and what it made are written in one transaction."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from sqlite3 import Connection
from typing import Any

import rfc8785

from millphase.records.store import Store

KEY_LIFE = timedelta(hours=24)
"""How long a repeated Idempotency-Key gives back the record it made."""


class KeyReusedError(Exception):
    """The key came before, with a different request."""


class NotStoredError(LookupError):
    """There is no record of that id, or none that this caller may see."""


class StaleError(Exception):
    """The record has another version than the caller expects; somebody changed it meanwhile."""


class InUseError(Exception):
    """The record has other records and is not deleted."""


@dataclass(frozen=True, slots=True)
class Once:
    """What makes a request one that can be told from its repeat.

    Attributes
    ----------
    scope : str or None
        Workshop that the caller is bound to; None for one that sees all.
    key : str or None
        The caller's Idempotency-Key.
    content : mapping
        All of the request that decides what is made, as JSON data.
    """

    scope: str | None
    key: str | None
    content: Mapping[str, Any]

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the content in RFC 8785 form."""
        return hashlib.sha256(rfc8785.dumps(dict(self.content))).hexdigest()


def create(
    records: Store, once: Once, insert: Callable[[Connection, str], str], now: datetime | None = None
) -> tuple[str, bool]:
    """Insert something in one transaction, unless the same request made it before.

    Parameters
    ----------
    records : Store
        The record file.
    once : Once
        What the request is.
    insert : callable
        Writes it, given a connection and the time as text, and returns its id.
    now : datetime, optional
        Time of writing; the clock's if absent.

    Returns
    -------
    tuple
        The id of what was made, on the disk by now, and whether an earlier request with the same key made it.

    Raises
    ------
    KeyReusedError
        The key came within 24 h with different content.
    StoreError
        The record file cannot be written; nothing was stored.
    """
    moment = datetime.now(UTC) if now is None else now
    with records.writing() as connection:
        connection.execute("DELETE FROM request_keys WHERE created_at < ?", (stamp(moment - KEY_LIFE),))
        earlier = _made_before(connection, once)
        if earlier is not None:
            return earlier, True
        made = insert(connection, stamp(moment))
        if once.key is not None:
            connection.execute(
                "INSERT INTO request_keys (scope, key, fingerprint, made, created_at) VALUES (?, ?, ?, ?, ?)",
                (once.scope or "", once.key, once.fingerprint, made, stamp(moment)),
            )
    return made, False


def _made_before(connection: Connection, once: Once) -> str | None:
    row = connection.execute(
        "SELECT fingerprint, made FROM request_keys WHERE scope = ? AND key = ?", (once.scope or "", once.key)
    ).fetchone()
    if row is None:
        return None
    if row["fingerprint"] != once.fingerprint:
        raise KeyReusedError(once.key)
    return str(row["made"])


def stamp(moment: datetime) -> str:
    """Return a time of writing as it is stored: UTC, with its fraction, so that order is kept."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")


def now_text() -> str:
    """Return the time of writing, as it is stored."""
    return stamp(datetime.now(UTC))


def json_text(value: Mapping[str, Any]) -> str:
    """Return JSON data as it is stored."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False)
