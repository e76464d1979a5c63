"""A record file of an older program is brought up to date: nothing in it is lost, and keys keep their meaning."""

from __future__ import annotations

import sqlite3
import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from millphase.records import assessments, store
from millphase.records.keys import KeyReusedError
from millphase.records.store import Store, StoreError, migrations

ANSWER: dict[str, Any] = {
    "outcome": "reject",
    "summary": "Do not energise.",
    "rule_set": {"name": "workshop", "version": "1.0.0", "digest": "sha256:" + "0" * 64},
}
THEN = datetime(2026, 11, 25, 12, tzinfo=UTC)

# What the first program stored: written out here as it stood in its file, not made with today's code.
OLD_ROWS = f"""
INSERT INTO assessments (id, question, request, answer, outcome, summary, rule_set_name, rule_set_version,
    rule_set_digest, created_at)
VALUES ('6d0f3a52-5b1e-4c3e-9d0a-2b8a5c9d1e77', 'winding-balance', '{{"a": "1 V"}}',
    '{{"outcome": "reject", "summary": "Do not energise.", "rule_set": {{"name": "workshop"}}}}', 'reject',
    'Do not energise.', 'workshop', '1.0.0', 'sha256:{"0" * 64}', '2026-11-25T12:00:00.000000Z');
INSERT INTO idempotency_keys (key, fingerprint, assessment_id, created_at)
VALUES ('mine', '{{fingerprint}}', '6d0f3a52-5b1e-4c3e-9d0a-2b8a5c9d1e77', '2026-11-25T12:00:00.000000Z');
"""
OLD_ID = "6d0f3a52-5b1e-4c3e-9d0a-2b8a5c9d1e77"


def old_file(path: Path) -> Path:
    """A file of schema version 1 with an assessment and its key in it."""
    import hashlib

    # RFC 8785 of this small object is its compact form with sorted names.
    fingerprint = hashlib.sha256(b'{"question":"winding-balance","request":{"a":"1 V"}}').hexdigest()
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA journal_mode = WAL")
    connection.executescript(migrations()[0] + OLD_ROWS.replace("{fingerprint}", fingerprint))
    connection.execute("PRAGMA user_version = 1")
    connection.close()
    return path


def test_an_old_file_keeps_its_assessments_and_keys(tmp_path: Path) -> None:
    records = Store(old_file(tmp_path / "records.sqlite3"))
    kept = assessments.get(records, OLD_ID)
    assert (kept.request, kept.created_at, kept.machine) == ({"a": "1 V"}, "2026-11-25T12:00:00.000000Z", None)
    assert [entry.id for entry in assessments.entries(records, 10)[0]] == [OLD_ID]
    again, replayed = assessments.store(records, "winding-balance", {"a": "1 V"}, ANSWER, "mine", THEN)
    assert (again.id, replayed) == (OLD_ID, True)
    with pytest.raises(KeyReusedError):
        assessments.store(records, "winding-balance", {"a": "2 V"}, ANSWER, "mine", THEN)
    with pytest.raises(StoreError, match="never changed"), records.writing() as connection:
        connection.execute("UPDATE assessments SET outcome = 'accept'")
    with records.reading() as connection:
        assert connection.execute("PRAGMA user_version").fetchone()[0] == len(migrations())
        assert connection.execute("PRAGMA integrity_check").fetchone()[0] == "ok"
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []


def test_an_old_file_ends_with_the_same_schema_as_a_new_one(tmp_path: Path) -> None:
    def schema(records: Store) -> list[tuple[str, ...]]:
        with records.reading() as connection:
            rows = connection.execute("SELECT type, name, tbl_name FROM sqlite_schema ORDER BY type, name").fetchall()
            columns = [
                (row["name"], *tuple(column))
                for row in rows
                if row["type"] == "table"
                for column in connection.execute(f"PRAGMA table_xinfo({row['name']})").fetchall()
            ]
        return [*map(tuple, rows), *columns]

    assert schema(Store(old_file(tmp_path / "old.sqlite3"))) == schema(Store(tmp_path / "new.sqlite3"))


def test_many_first_uses_of_an_old_file(tmp_path: Path) -> None:
    path = old_file(tmp_path / "records.sqlite3")
    gate = threading.Barrier(6)

    def use(_: int) -> int:
        gate.wait()
        return len(assessments.entries(Store(path), 10)[0])

    with ThreadPoolExecutor(6) as pool:
        assert list(pool.map(use, range(6))) == [1] * 6


def test_a_migration_that_fails_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = old_file(tmp_path / "records.sqlite3")
    first, second = migrations()[:2]
    monkeypatch.setattr(store, "migrations", lambda: [first, second, "CREATE TABLE workshops (a TEXT) STRICT;"])
    with pytest.raises(StoreError), Store(path).reading():
        pass
    connection = sqlite3.connect(path)
    assert connection.execute("PRAGMA user_version").fetchone()[0] == 1
    assert connection.execute("SELECT count(*) FROM idempotency_keys").fetchone()[0] == 1
    assert connection.execute("SELECT count(*) FROM sqlite_schema WHERE name = 'machines'").fetchone()[0] == 0
    connection.close()
