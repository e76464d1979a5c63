"""The record file: migration, one writer at a time, nothing half written."""

from __future__ import annotations

import gc
import sqlite3
import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from millphase.records import assessments
from millphase.records.keys import KEY_LIFE, KeyReusedError, NotStoredError
from millphase.records.store import Store, StoreError, migrations

ANSWER: dict[str, Any] = {
    "outcome": "accept",
    "summary": "Fine.",
    "rule_set": {"name": "workshop", "version": "1.0.0", "digest": "sha256:" + "0" * 64},
}


@pytest.fixture
def records(tmp_path: Path) -> Store:
    return Store(tmp_path / "deep" / "records.sqlite3")


def test_the_file_is_made_with_the_durable_settings(records: Store) -> None:
    assessments.store(records, "q", {}, ANSWER)
    with records.reading() as connection:
        pragma = lambda name: connection.execute(f"PRAGMA {name}").fetchone()[0]  # noqa: E731
        assert pragma("journal_mode") == "wal"
        assert pragma("synchronous") == 2, "FULL"
        assert pragma("foreign_keys") == 1
        assert pragma("user_version") == len(migrations())
        strict = connection.execute("SELECT name FROM pragma_table_list WHERE schema = 'main' AND type = 'table'"
                                    " AND NOT strict AND name NOT LIKE 'sqlite_%'").fetchall()  # fmt: skip
        assert strict == []
    assert records.path.parent.stat().st_mode & 0o077 == 0, "records are the owner's"


def test_the_log_lives_as_long_as_the_store(records: Store) -> None:
    """Closed after every request, it would be written back and deleted each time; closed at the end, one file is left."""
    store = Store(records.path)
    assessments.store(store, "q", {}, ANSWER)
    log = records.path.with_name(records.path.name + "-wal")
    assert log.is_file()
    del store
    gc.collect()
    assert not log.exists()
    assert len(assessments.entries(records, 10)[0]) == 1


def test_a_stored_assessment_never_changes(records: Store) -> None:
    stored, _ = assessments.store(records, "q", {"a": "1 V"}, ANSWER)
    with pytest.raises(StoreError, match="never changed"), records.writing() as connection:
        connection.execute("UPDATE assessments SET outcome = 'reject'")
    assert assessments.get(records, stored.id) == stored


@pytest.mark.parametrize("column", ["question", "outcome", "summary", "rule_set_digest", "created_at"])
def test_the_file_itself_refuses_nonsense(records: Store, column: str) -> None:
    assessments.store(records, "q", {}, ANSWER)
    columns = [
        "question", "request", "answer", "outcome", "summary", "rule_set_name", "rule_set_version", "rule_set_digest", "created_at",
    ]  # fmt: skip
    wanted = ", ".join("NULL" if name == column else name for name in columns)
    with pytest.raises(StoreError), records.writing() as connection:
        connection.execute(
            f"INSERT INTO assessments (id, {', '.join(columns)}) SELECT '{'x' * 36}', {wanted} FROM assessments"
        )


def test_an_error_undoes_everything(records: Store) -> None:
    assessments.store(records, "q", {}, ANSWER)
    with pytest.raises(ZeroDivisionError), records.writing() as connection:
        connection.execute("DELETE FROM assessments").fetchall()[1 // 0]
    assert len(assessments.entries(records, 10)[0]) == 1


def test_a_key_is_forgotten_after_its_time(records: Store) -> None:
    start = datetime(2026, 11, 25, 12, tzinfo=UTC)
    first, replayed = assessments.store(records, "q", {"a": 1}, ANSWER, "k", start)
    assert not replayed
    with pytest.raises(KeyReusedError):
        assessments.store(records, "q", {"a": 2}, ANSWER, "k", start + KEY_LIFE)
    again, replayed = assessments.store(records, "q", {"a": 1}, ANSWER, "k", start + KEY_LIFE)
    assert replayed
    assert again == first
    later, replayed = assessments.store(records, "q", {"a": 2}, ANSWER, "k", start + KEY_LIFE + timedelta(seconds=1))
    assert not replayed
    assert later.id != first.id
    with pytest.raises(NotStoredError):
        assessments.get(records, "none")


def test_times_are_written_in_utc(records: Store) -> None:
    from datetime import timezone

    moment = datetime(2026, 11, 25, 1, tzinfo=timezone(timedelta(hours=2)))
    stored, _ = assessments.store(records, "q", {}, ANSWER, now=moment)
    assert stored.created_at == "2026-11-24T23:00:00.000000Z"


def test_a_newer_file_is_left_alone(records: Store) -> None:
    assessments.store(records, "q", {}, ANSWER)
    connection = sqlite3.connect(records.path)
    connection.execute(f"PRAGMA user_version = {len(migrations()) + 1}")
    connection.close()
    with pytest.raises(StoreError, match="too old"), Store(records.path).reading():
        pass


def test_writers_at_the_same_time_lose_nothing(records: Store) -> None:
    """Two stores stand for two processes; each write reads first, which a plain BEGIN would not survive."""
    other = Store(records.path)
    assessments.store(records, "q", {}, ANSWER)

    def write(number: int) -> str:
        return assessments.store((records, other)[number % 2], "q", {"n": number}, ANSWER, f"key-{number}")[0].id

    with ThreadPoolExecutor(8) as pool:
        made = list(pool.map(write, range(160)))
    listed, before = assessments.entries(records, 1000)
    assert before is None
    assert {entry.id for entry in listed} >= set(made)
    assert len(listed) == 161


def test_one_key_from_many_writers_stores_once(records: Store) -> None:
    gate = threading.Barrier(8)

    def write(_: int) -> tuple[str, bool]:
        gate.wait()
        stored, replayed = assessments.store(records, "q", {"n": 1}, ANSWER, "same")
        return stored.id, replayed

    with ThreadPoolExecutor(8) as pool:
        results = list(pool.map(write, range(8)))
    assert len({identity for identity, _ in results}) == 1
    assert sorted(replayed for _, replayed in results) == [False] + [True] * 7


def test_many_first_uses_at_the_same_time(tmp_path: Path) -> None:
    """Each store thinks that it has to make the file."""
    stores = [Store(tmp_path / "new" / "records.sqlite3") for _ in range(8)]
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(lambda store: assessments.store(store, "q", {}, ANSWER), stores))
    assert len(assessments.entries(stores[0], 100)[0]) == 8


def test_a_writer_that_never_ends_is_not_waited_for_for_ever(records: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("millphase.records.store.BUSY_MILLISECONDS", 50)
    assessments.store(records, "q", {}, ANSWER)
    with records.writing():
        with pytest.raises(StoreError, match="another writer"):
            assessments.store(Store(records.path), "q", {}, ANSWER)
        assert len(assessments.entries(Store(records.path), 10)[0]) == 1, "readers do not wait for writers"
