"""Stored assessments: a question, the request, the answer given, and the rules of that day."""

from __future__ import annotations

import hashlib
import json
import uuid
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from sqlite3 import Connection, Row
from typing import Any

import rfc8785

from millphase.records.store import Store

KEY_LIFE = timedelta(hours=24)
"""How long a repeated Idempotency-Key gives back the record it made."""


class KeyReusedError(Exception):
    """The key came before, with a different request."""


class NotStoredError(LookupError):
    """There is no assessment of that id."""


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


def store(
    records: Store,
    question: str,
    request: dict[str, Any],
    answer: dict[str, Any],
    key: str | None = None,
    now: datetime | None = None,
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

    Returns
    -------
    tuple
        The assessment, on the disk by now, and whether an earlier request with the same key made it.

    Raises
    ------
    KeyReusedError
        `key` came within 24 h with a different question or request.
    StoreError
        The record file cannot be written; nothing was stored.
    """
    moment = datetime.now(UTC) if now is None else now
    with records.writing() as connection:
        _forget_old_keys(connection, moment)
        if key is not None:
            earlier = _made_by(connection, key, _fingerprint(question, request))
            if earlier is not None:
                return earlier, True
        stored = _insert(connection, question, request, answer, moment)
        if key is not None:
            connection.execute(
                "INSERT INTO idempotency_keys (key, fingerprint, assessment_id, created_at) VALUES (?, ?, ?, ?)",
                (key, _fingerprint(question, request), stored.id, stored.created_at),
            )
    return stored, False


def get(records: Store, assessment_id: str) -> Assessment:
    """Return the assessment of that id.

    Raises
    ------
    NotStoredError
        There is none.
    StoreError
        The record file cannot be read.
    """
    with records.reading() as connection:
        row = connection.execute("SELECT * FROM assessments WHERE id = ?", (assessment_id,)).fetchone()
    if row is None:
        raise NotStoredError(assessment_id)
    return _assessment(row)


def entries(
    records: Store, limit: int, before: int | None = None, question: str | None = None
) -> tuple[list[Entry], int | None]:
    """Return up to `limit` entries, newest first, and the sequence to continue before, or None at the end.

    Raises
    ------
    StoreError
        The record file cannot be read.
    """
    with records.reading() as connection:
        rows = connection.execute(
            "SELECT sequence, id, question, outcome, summary, rule_set_name, rule_set_version,"
            " rule_set_digest, created_at FROM assessments WHERE (:before IS NULL OR sequence < :before)"
            " AND (:question IS NULL OR question = :question) ORDER BY sequence DESC LIMIT :limit",
            {"before": before, "question": question, "limit": limit + 1},
        ).fetchall()
    page = [_entry(row) for row in rows[:limit]]
    return page, page[-1].sequence if len(rows) > limit else None


def _fingerprint(question: str, request: dict[str, Any]) -> str:
    return hashlib.sha256(rfc8785.dumps({"question": question, "request": request})).hexdigest()


def _forget_old_keys(connection: Connection, moment: datetime) -> None:
    connection.execute("DELETE FROM idempotency_keys WHERE created_at < ?", (_text(moment - KEY_LIFE),))


def _made_by(connection: Connection, key: str, fingerprint: str) -> Assessment | None:
    row = connection.execute("SELECT fingerprint, assessment_id FROM idempotency_keys WHERE key = ?", (key,)).fetchone()
    if row is None:
        return None
    if row["fingerprint"] != fingerprint:
        raise KeyReusedError(key)
    made = connection.execute("SELECT * FROM assessments WHERE id = ?", (row["assessment_id"],)).fetchone()
    return _assessment(made)


def _insert(
    connection: Connection, question: str, request: dict[str, Any], answer: dict[str, Any], moment: datetime
) -> Assessment:
    identity, created_at = str(uuid.uuid4()), _text(moment)
    rule_set = answer["rule_set"]
    cursor = connection.execute(
        "INSERT INTO assessments (id, question, request, answer, outcome, summary, rule_set_name,"
        " rule_set_version, rule_set_digest, created_at) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        (
            identity,
            question,
            _json(request),
            _json(answer),
            answer["outcome"],
            answer["summary"],
            rule_set["name"],
            rule_set["version"],
            rule_set["digest"],
            created_at,
        ),
    )
    sequence = cursor.lastrowid
    if sequence is None:
        raise AssertionError("an INSERT gives its row a number")
    return Assessment(sequence, identity, question, request, answer, created_at, 1)


def _assessment(row: Row) -> Assessment:
    return Assessment(
        row["sequence"],
        row["id"],
        row["question"],
        json.loads(row["request"]),
        json.loads(row["answer"]),
        row["created_at"],
        row["row_version"],
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
    )


def _json(value: dict[str, Any]) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _text(moment: datetime) -> str:
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
