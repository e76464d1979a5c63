"""Workshops: the places that machines belong to, and that a token can be bound to."""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from sqlite3 import Connection, Row
from typing import Any

from millphase.records.keys import InUseError, NotStoredError, Once, StaleError, create, json_text, now_text
from millphase.records.store import Store

Expected = Callable[[int], bool]
"""Whether the caller means this version of a record."""


@dataclass(frozen=True, slots=True)
class Workshop:
    """One workshop; `version` is its ETag, `body` what was sent of it."""

    sequence: int
    id: str
    body: dict[str, Any]
    created_at: str
    changed_at: str
    version: int


def store(records: Store, once: Once, body: Mapping[str, Any]) -> tuple[Workshop, bool]:
    """Store a workshop, or return the one that the same request made before; see :func:`keys.create`."""

    def insert(connection: Connection, moment: str) -> str:
        identity = str(uuid.uuid4())
        connection.execute(
            "INSERT INTO workshops (id, body, created_at, changed_at) VALUES (?, ?, ?, ?)",
            (identity, json_text(body), moment, moment),
        )
        return identity

    identity, replayed = create(records, once, insert)
    return get(records, once.scope, identity), replayed


def get(records: Store, scope: str | None, identity: str) -> Workshop:
    """Return a workshop that a caller bound to `scope` may see.

    Raises
    ------
    NotStoredError
        There is none.
    """
    with records.reading() as connection:
        return found(connection, scope, identity)


def found(connection: Connection, scope: str | None, identity: str) -> Workshop:
    """Return a workshop within a transaction; raises as :func:`get`."""
    row = connection.execute("SELECT * FROM workshops WHERE id = ?", (identity,)).fetchone()
    if row is None or scope not in (None, identity):
        raise NotStoredError(identity)
    return _workshop(row)


def page(records: Store, scope: str | None, limit: int, before: int | None = None) -> tuple[list[Workshop], int | None]:
    """Return up to `limit` workshops, newest first, and the sequence to continue before, or None at the end."""
    with records.reading() as connection:
        rows = connection.execute(
            "SELECT * FROM workshops WHERE (:before IS NULL OR sequence < :before) AND (:scope IS NULL OR id = :scope)"
            " ORDER BY sequence DESC LIMIT :limit",
            {"before": before, "scope": scope, "limit": limit + 1},
        ).fetchall()
    shown = [_workshop(row) for row in rows[:limit]]
    return shown, shown[-1].sequence if len(rows) > limit else None


def change(
    records: Store, scope: str | None, identity: str, expected: Expected, body: Mapping[str, Any]
) -> Workshop:  # fmt: skip
    """Replace what a workshop says; what it said before is kept.

    Raises
    ------
    NotStoredError
        There is none that the caller may see.
    StaleError
        It has another version than expected.
    """
    with records.writing() as connection:
        if not expected(found(connection, scope, identity).version):
            raise StaleError(identity)
        connection.execute(
            "UPDATE workshops SET body = ?, changed_at = ?, row_version = row_version + 1 WHERE id = ?",
            (json_text(body), now_text(), identity),
        )
        return found(connection, scope, identity)


def delete(records: Store, scope: str | None, identity: str, expected: Expected) -> None:
    """Delete a workshop that nothing belongs to.

    Raises
    ------
    NotStoredError, StaleError
        As for :func:`change`.
    InUseError
        Machines or assessments belong to it.
    """
    with records.writing() as connection:
        stored = found(connection, scope, identity)
        if not expected(stored.version):
            raise StaleError(identity)
        in_use = connection.execute(
            "SELECT EXISTS (SELECT 1 FROM machines WHERE workshop = :it)"
            " OR EXISTS (SELECT 1 FROM assessments WHERE workshop = :it)",
            {"it": stored.sequence},
        ).fetchone()[0]
        if in_use:
            raise InUseError(identity)
        connection.execute("DELETE FROM workshops WHERE sequence = ?", (stored.sequence,))


def _workshop(row: Row) -> Workshop:
    return Workshop(
        row["sequence"], row["id"], json.loads(row["body"]), row["created_at"], row["changed_at"], row["row_version"]
    )
