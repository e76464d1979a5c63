"""Readings: one visit to a machine each; never changed, never deleted, withdrawn with a reason when wrong."""

from __future__ import annotations

import json
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from sqlite3 import Connection, Row
from typing import Any

from millphase.records import machines
from millphase.records.keys import NotStoredError, Once, StaleError, create, json_text, now_text
from millphase.records.store import Store
from millphase.records.workshops import Expected

_SELECT = (
    "SELECT readings.*, machines.id AS machine_id, workshops.id AS workshop_id FROM readings"
    " JOIN machines ON machines.sequence = readings.machine JOIN workshops ON workshops.sequence = machines.workshop"
)

Place = tuple[str, int]
"""Where a list goes on: time of the last reading shown, and its sequence."""


class WithdrawnError(Exception):
    """The reading is withdrawn already."""


@dataclass(frozen=True, slots=True)
class New:
    """A reading to be stored: its time (UTC text of fixed width), its body, and whether it tests the winding."""

    at: str
    body: Mapping[str, Any]
    insulation: bool


@dataclass(frozen=True, slots=True)
class Reading:
    """One stored reading; `version` is its ETag, `withdrawn` has time and reason where it does not count."""

    sequence: int
    id: str
    machine: str
    at: str
    body: dict[str, Any]
    created_at: str
    withdrawn: tuple[str, str] | None
    version: int


def store(records: Store, once: Once, machine: str, new: Sequence[New]) -> tuple[list[Reading], bool]:
    """Store readings of a machine, all or none, or return those that the same request stored before.

    Raises
    ------
    NotStoredError
        There is no such machine that the caller may see.
    KeyReusedError, StoreError
        As for :func:`keys.create`; nothing of the request was stored.
    """

    def insert(connection: Connection, moment: str) -> str:
        owner, entry = machines.found(connection, once.scope, machine), str(uuid.uuid4())
        connection.executemany(
            "INSERT INTO readings (id, machine, entry, at, body, insulation, created_at) VALUES (?, ?, ?, ?, ?, ?, ?)",
            [
                (str(uuid.uuid4()), owner.sequence, entry, one.at, json_text(one.body), one.insulation, moment)
                for one in new
            ],
        )
        if any(one.insulation for one in new):
            _insulation_changed(connection, owner.sequence)
        return entry

    entry, replayed = create(records, once, insert)
    with records.reading() as connection:
        rows = connection.execute(f"{_SELECT} WHERE entry = ? ORDER BY readings.sequence", (entry,)).fetchall()
    return [_reading(row) for row in rows], replayed


def get(records: Store, scope: str | None, identity: str) -> Reading:
    """Return a reading that a caller bound to `scope` may see.

    Raises
    ------
    NotStoredError
        There is none.
    """
    with records.reading() as connection:
        return _reading(_row(connection, scope, identity))


def page(
    records: Store, scope: str | None, machine: str, limit: int, before: Place | None = None,
    measured: str | None = None,
) -> tuple[list[Reading], Place | None]:  # fmt: skip
    """Return up to `limit` readings of a machine, the latest first, and the place to go on from, or None at the end.

    Parameters
    ----------
    measured : str, optional
        Only readings that hold this.

    Raises
    ------
    NotStoredError
        There is no such machine that the caller may see.
    """
    at, sequence = before or (None, None)
    with records.reading() as connection:
        owner = machines.found(connection, scope, machine)
        rows = connection.execute(
            f"{_SELECT} WHERE readings.machine = :owner AND (:at IS NULL OR (at, readings.sequence) < (:at, :sequence))"
            " AND (:measured IS NULL OR json_type(readings.body, '$.' || :measured) IS NOT NULL)"
            " ORDER BY at DESC, readings.sequence DESC LIMIT :limit",
            {"owner": owner.sequence, "at": at, "sequence": sequence, "measured": measured, "limit": limit + 1},
        ).fetchall()
    shown = [_reading(row) for row in rows[:limit]]
    return shown, (shown[-1].at, shown[-1].sequence) if len(rows) > limit else None


def insulation(records: Store, machine: machines.Machine, limit: int) -> tuple[list[Reading], int]:
    """Return the latest tests of a winding that count, the latest first, and how many there are in all."""
    given = {"owner": machine.sequence, "limit": limit}
    with records.reading() as connection:
        rows = connection.execute(
            f"{_SELECT} WHERE readings.machine = :owner AND insulation = 1 AND withdrawn_at IS NULL"
            " ORDER BY at DESC, readings.sequence DESC LIMIT :limit",
            given,
        ).fetchall()
        count = connection.execute(
            "SELECT count(*) FROM readings WHERE machine = :owner AND insulation = 1 AND withdrawn_at IS NULL", given
        ).fetchone()[0]
    return [_reading(row) for row in rows], count


def machine_and_latest_test(
    records: Store, scope: str | None, machine: str
) -> tuple[machines.Machine, str | None]:  # fmt: skip
    """Return a machine and when its winding was last tested, or None; two look-ups by index, for pollers.

    Raises
    ------
    NotStoredError
        There is no such machine that the caller may see.
    """
    with records.reading() as connection:
        owner = machines.found(connection, scope, machine)
        row = connection.execute(
            "SELECT at FROM readings WHERE machine = ? AND insulation = 1 AND withdrawn_at IS NULL"
            " ORDER BY at DESC LIMIT 1",
            (owner.sequence,),
        ).fetchone()
    return owner, None if row is None else str(row["at"])


def withdraw(records: Store, scope: str | None, identity: str, expected: Expected, reason: str) -> Reading:
    """Withdraw a reading: it stays and is shown, and counts in no judgement.

    Raises
    ------
    NotStoredError
        There is none that the caller may see.
    StaleError
        It has another version than expected.
    WithdrawnError
        It is withdrawn already.
    """
    with records.writing() as connection:
        row = _row(connection, scope, identity)
        if not expected(row["row_version"]):
            raise StaleError(identity)
        if row["withdrawn_at"] is not None:
            raise WithdrawnError(identity)
        connection.execute(
            "UPDATE readings SET withdrawn_at = ?, withdrawn_reason = ?, row_version = row_version + 1 WHERE id = ?",
            (now_text(), reason, identity),
        )
        if row["insulation"]:
            _insulation_changed(connection, row["machine"])
        return _reading(_row(connection, scope, identity))


def _insulation_changed(connection: Connection, machine: int) -> None:
    connection.execute("UPDATE machines SET insulation_version = insulation_version + 1 WHERE sequence = ?", (machine,))


def _row(connection: Connection, scope: str | None, identity: str) -> Row:
    row: Row | None = connection.execute(f"{_SELECT} WHERE readings.id = ?", (identity,)).fetchone()
    if row is None or scope not in (None, row["workshop_id"]):
        raise NotStoredError(identity)
    return row


def _reading(row: Row) -> Reading:
    withdrawn = None if row["withdrawn_at"] is None else (row["withdrawn_at"], row["withdrawn_reason"])
    return Reading(
        row["sequence"],
        row["id"],
        row["machine_id"],
        row["at"],
        json.loads(row["body"]),
        row["created_at"],
        withdrawn,
        row["row_version"],
    )
