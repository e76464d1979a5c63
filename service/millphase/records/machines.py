"""Machines: what their plates say, what they said before, and who may see them."""

from __future__ import annotations

import json
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from sqlite3 import Connection, Row
from typing import Any

from millphase.records import workshops
from millphase.records.keys import InUseError, NotStoredError, Once, StaleError, create, json_text, now_text
from millphase.records.store import Store
from millphase.records.workshops import Expected

_SELECT = (
    "SELECT machines.*, workshops.id AS workshop_id FROM machines"
    " JOIN workshops ON workshops.sequence = machines.workshop"
)


@dataclass(frozen=True, slots=True)
class Machine:
    """One machine; `version` is its ETag, `insulation_version` moves with its insulation readings."""

    sequence: int
    id: str
    workshop: str
    body: dict[str, Any]
    created_at: str
    changed_at: str
    version: int
    insulation_version: int


@dataclass(frozen=True, slots=True)
class State:
    """What a machine said from `since` until the version after it."""

    version: int
    since: str
    body: dict[str, Any]


def store(records: Store, once: Once, workshop: str, body: Mapping[str, Any]) -> tuple[Machine, bool]:
    """Store a machine of a workshop, or return the one that the same request made before.

    Raises
    ------
    NotStoredError
        There is no such workshop that the caller may see.
    KeyReusedError, StoreError
        As for :func:`keys.create`.
    """

    def insert(connection: Connection, moment: str) -> str:
        owner = workshops.found(connection, once.scope, workshop)
        identity = str(uuid.uuid4())
        connection.execute(
            "INSERT INTO machines (id, workshop, body, retired, created_at, changed_at) VALUES (?, ?, ?, ?, ?, ?)",
            (identity, owner.sequence, json_text(body), "retired" in body, moment, moment),
        )
        return identity

    identity, replayed = create(records, once, insert)
    return get(records, once.scope, identity), replayed


def get(records: Store, scope: str | None, identity: str) -> Machine:
    """Return a machine that a caller bound to `scope` may see.

    Raises
    ------
    NotStoredError
        There is none.
    """
    with records.reading() as connection:
        return found(connection, scope, identity)


def found(connection: Connection, scope: str | None, identity: str) -> Machine:
    """Return a machine within a transaction; raises as :func:`get`."""
    row = connection.execute(f"{_SELECT} WHERE machines.id = ?", (identity,)).fetchone()
    if row is None or scope not in (None, row["workshop_id"]):
        raise NotStoredError(identity)
    return _machine(row)


def page(
    records: Store, scope: str | None, limit: int, before: int | None = None, workshop: str | None = None,
    retired: bool | None = None,
) -> tuple[list[Machine], int | None]:  # fmt: skip
    """Return up to `limit` machines, newest first, and the sequence to continue before, or None at the end."""
    with records.reading() as connection:
        rows = connection.execute(
            f"{_SELECT} WHERE (:before IS NULL OR machines.sequence < :before)"
            " AND (:scope IS NULL OR workshops.id = :scope) AND (:workshop IS NULL OR workshops.id = :workshop)"
            " AND (:retired IS NULL OR machines.retired = :retired) ORDER BY machines.sequence DESC LIMIT :limit",
            {"before": before, "scope": scope, "workshop": workshop, "retired": retired, "limit": limit + 1},
        ).fetchall()
    shown = [_machine(row) for row in rows[:limit]]
    return shown, shown[-1].sequence if len(rows) > limit else None


def change(records: Store, scope: str | None, identity: str, expected: Expected, body: Mapping[str, Any]) -> Machine:
    """Replace what a machine says; what it said before is kept.

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
            "UPDATE machines SET body = ?, retired = ?, changed_at = ?, row_version = row_version + 1 WHERE id = ?",
            (json_text(body), "retired" in body, now_text(), identity),
        )
        return found(connection, scope, identity)


def delete(records: Store, scope: str | None, identity: str, expected: Expected) -> None:
    """Delete a machine that was entered by mistake.

    Raises
    ------
    NotStoredError, StaleError
        As for :func:`change`.
    InUseError
        It has readings or assessments: it can be retired, not deleted.
    """
    with records.writing() as connection:
        stored = found(connection, scope, identity)
        if not expected(stored.version):
            raise StaleError(identity)
        in_use = connection.execute(
            "SELECT EXISTS (SELECT 1 FROM readings WHERE machine = :it)"
            " OR EXISTS (SELECT 1 FROM assessments WHERE machine = :it)",
            {"it": stored.sequence},
        ).fetchone()[0]
        if in_use:
            raise InUseError(identity)
        connection.execute("DELETE FROM machines WHERE sequence = ?", (stored.sequence,))


def states(
    records: Store, scope: str | None, identity: str, limit: int, before: int | None = None
) -> tuple[list[State], int | None]:
    """Return up to `limit` states of a machine, today's first, and the version to continue before.

    Raises
    ------
    NotStoredError
        There is no such machine that the caller may see.
    """
    with records.reading() as connection:
        today = found(connection, scope, identity)
        rows = connection.execute(
            "SELECT row_version, since, body FROM former_states WHERE record = :it"
            " UNION ALL SELECT row_version, changed_at, body FROM machines WHERE id = :it",
            {"it": today.id},
        ).fetchall()
    known = sorted(rows, key=lambda row: row["row_version"], reverse=True)
    rest = [row for row in known if before is None or row["row_version"] < before]
    shown = [State(row["row_version"], row["since"], json.loads(row["body"])) for row in rest[:limit]]
    return shown, shown[-1].version if len(rest) > limit else None


def _machine(row: Row) -> Machine:
    return Machine(
        row["sequence"],
        row["id"],
        row["workshop_id"],
        json.loads(row["body"]),
        row["created_at"],
        row["changed_at"],
        row["row_version"],
        row["insulation_version"],
    )
