"""Stored assessments: a question, the request, the answer given, and the rules of that day."""

from __future__ import annotations

import json
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from sqlite3 import Connection, Row
from typing import Any

from millphase.records import machines, workshops
from millphase.records.keys import NotStoredError, Once, create, json_text
from millphase.records.store import Store

_SELECT = (
    "SELECT assessments.*, machines.id AS machine_id, workshops.id AS workshop_id FROM assessments"
    " LEFT JOIN machines ON machines.sequence = assessments.machine"
    " LEFT JOIN workshops ON workshops.sequence = assessments.workshop"
)


@dataclass(frozen=True, slots=True)
class Assessment:
    """One stored assessment. `sequence` orders them; `row_version` is its ETag."""

    sequence: int
    id: str
    question: str
    request: dict[str, Any]
    answer: dict[str, Any]
    created_at: str
    row_version: int
    machine: str | None


@dataclass(frozen=True, slots=True)
class Entry:
    """What a list shows of an assessment."""

    sequence: int
    id: str
    question: str
    outcome: str
    summary: str
    rule_set: dict[str, str]
    created_at: str
    machine: str | None


def store(
    records: Store,
    question: str,
    request: dict[str, Any],
    answer: dict[str, Any],
    key: str | None = None,
    now: datetime | None = None,
    *,
    machine: str | None = None,
    scope: str | None = None,
) -> tuple[Assessment, bool]:
    """Store an assessment, or return the one that `key` already made.

    Parameters
    ----------
    records : Store
        The record file.
    question : str
        Name of the question.
    request, answer : dict
        As they came and went over the wire.
    key : str, optional
        The caller's Idempotency-Key.
    now : datetime, optional
        Time of storing; the clock's if absent.
    machine : str, optional
        Id of the machine that it is about; it then belongs to the machine's workshop.
    scope : str, optional
        Workshop that the caller is bound to; without a machine the assessment belongs to it.

    Returns
    -------
    tuple
        The assessment, on the disk by now, and whether an earlier request with the same key made it.

    Raises
    ------
    NotStoredError
        There is no such machine that the caller may see.
    KeyReusedError
        `key` came within 24 h with a different question, request or machine.
    StoreError
        The record file cannot be written; nothing was stored.
    """
    content: dict[str, Any] = {"question": question, "request": request}
    if machine is not None:
        content["machine"] = machine

    def insert(connection: Connection, moment: str) -> str:
        identity = str(uuid.uuid4())
        about = _belongs(connection, scope, machine)
        _insert(connection, (identity, question, json_text(request), json_text(answer)), answer, moment, about)
        return identity

    identity, replayed = create(records, Once(scope, key, content), insert, now)
    return get(records, identity, scope), replayed


def get(records: Store, assessment_id: str, scope: str | None = None) -> Assessment:
    """Return the assessment of that id, if a caller bound to `scope` may see it.

    Raises
    ------
    NotStoredError
        There is none.
    StoreError
        The record file cannot be read.
    """
    with records.reading() as connection:
        row = connection.execute(f"{_SELECT} WHERE assessments.id = ?", (assessment_id,)).fetchone()
    if row is None or scope not in (None, row["workshop_id"]):
        raise NotStoredError(assessment_id)
    return _assessment(row)


def entries(
    records: Store, limit: int, before: int | None = None, question: str | None = None, machine: str | None = None,
    scope: str | None = None,
) -> tuple[list[Entry], int | None]:  # fmt: skip
    """Return up to `limit` entries, newest first, and the sequence to continue before, or None at the end.

    Raises
    ------
    StoreError
        The record file cannot be read.
    """
    with records.reading() as connection:
        rows = connection.execute(
            "SELECT assessments.sequence, assessments.id, question, outcome, summary, rule_set_name, rule_set_version,"
            " rule_set_digest, assessments.created_at, machines.id AS machine_id FROM assessments"
            " LEFT JOIN machines ON machines.sequence = assessments.machine"
            " LEFT JOIN workshops ON workshops.sequence = assessments.workshop"
            " WHERE (:before IS NULL OR assessments.sequence < :before) AND (:question IS NULL OR question = :question)"
            " AND (:machine IS NULL OR machines.id = :machine) AND (:scope IS NULL OR workshops.id = :scope)"
            " ORDER BY assessments.sequence DESC LIMIT :limit",
            {"before": before, "question": question, "machine": machine, "scope": scope, "limit": limit + 1},
        ).fetchall()
    page = [_entry(row) for row in rows[:limit]]
    return page, page[-1].sequence if len(rows) > limit else None


def _belongs(connection: Connection, scope: str | None, machine: str | None) -> tuple[int | None, int | None]:
    """Return the machine that an assessment is about and the workshop that it belongs to, by sequence."""
    if machine is None:
        return None, None if scope is None else workshops.found(connection, scope, scope).sequence
    about = machines.found(connection, scope, machine)
    return about.sequence, workshops.found(connection, scope, about.workshop).sequence


def _insert(
    connection: Connection, told: tuple[str, str, str, str], answer: Mapping[str, Any], moment: str,
    belongs: tuple[int | None, int | None],
) -> None:  # fmt: skip
    rule_set = answer["rule_set"]
    judged = (answer["outcome"], answer["summary"], rule_set["name"], rule_set["version"], rule_set["digest"])
    connection.execute(
        "INSERT INTO assessments (id, question, request, answer, outcome, summary, rule_set_name, rule_set_version,"
        " rule_set_digest, created_at, machine, workshop) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (*told, *judged, moment, *belongs),
    )


def _assessment(row: Row) -> Assessment:
    return Assessment(
        row["sequence"],
        row["id"],
        row["question"],
        json.loads(row["request"]),
        json.loads(row["answer"]),
        row["created_at"],
        row["row_version"],
        row["machine_id"],
    )


def _entry(row: Row) -> Entry:
    rule_set = {part: row[f"rule_set_{part}"] for part in ("name", "version", "digest")}
    return Entry(
        row["sequence"],
        row["id"],
        row["question"],
        row["outcome"],
        row["summary"],
        rule_set,
        row["created_at"],
        row["machine_id"],
    )
