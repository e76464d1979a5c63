"""The record file: opening, migrating, and the one way to write to it."""

from __future__ import annotations

import sqlite3
import threading
import weakref
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import resources
from pathlib import Path

BUSY_MILLISECONDS = 5000
"""How long a writer waits for the one before it [ms]."""


class StoreError(Exception):
    """The records cannot be reached or written; nothing of the attempt was stored."""


class StoreFullError(StoreError):
    """There is no room left for the record; nothing of the attempt was stored."""


def migrations() -> list[str]:
    """Return the migration scripts in order; script n brings a file from version n − 1 to n."""
    folder = resources.files("millphase.records") / "migrations"
    scripts = sorted((script for script in folder.iterdir() if script.name.endswith(".sql")), key=lambda s: s.name)
    return [script.read_text("utf-8") for script in scripts]


class Store:
    """One SQLite file in write-ahead mode, synchronised at each commit, with one writer at a time.

    Parameters
    ----------
    path : Path
        The file; it and its directory are made at the first use. ``path-wal`` and ``path-shm`` belong to it.
        Network file systems are not supported.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._migrated = False
        self._migrating = threading.Lock()

    @contextmanager
    def reading(self) -> Iterator[sqlite3.Connection]:
        """Give a connection that sees one state of the file throughout.

        Raises
        ------
        StoreError
            The file cannot be opened or read, or is of a newer version than this program.
        """
        with self._connection() as connection:
            connection.execute("BEGIN")
            yield connection
            connection.execute("ROLLBACK")

    @contextmanager
    def writing(self) -> Iterator[sqlite3.Connection]:
        """Give a connection in a write transaction; committed to the disk on return, undone on any error.

        ``BEGIN IMMEDIATE`` takes the writer's place at once: a plain ``BEGIN`` that reads first and writes
        later fails under contention however long it waits.

        Raises
        ------
        StoreFullError
            The disk, or the quota, is full.
        StoreError
            The file cannot be opened or written, or another writer held it too long.
        """
        with self._connection() as connection:
            connection.execute("BEGIN IMMEDIATE")
            try:
                yield connection
            except BaseException:
                _undo(connection)
                raise
            try:
                connection.execute("COMMIT")
            except sqlite3.Error:
                _undo(connection)
                raise

    @contextmanager
    def _connection(self) -> Iterator[sqlite3.Connection]:
        connection = None
        try:
            with self._migrating:
                if not self._migrated:
                    self._migrate()
            connection = self._open()
            yield connection
        except sqlite3.Error as error:
            raise _explained(error) from error
        except OSError as error:
            raise StoreError(f"the record file cannot be made: {error.strerror}") from error
        finally:
            if connection is not None:
                connection.close()

    def _open(self) -> sqlite3.Connection:
        # Each connection serves one thread at a time; the one kept open may be closed by another than opened it.
        connection = sqlite3.connect(
            self.path, timeout=BUSY_MILLISECONDS / 1000, isolation_level=None, check_same_thread=False
        )
        try:
            connection.row_factory = sqlite3.Row
            connection.execute("PRAGMA foreign_keys = ON")
            connection.execute("PRAGMA trusted_schema = OFF")
            connection.execute("PRAGMA synchronous = FULL")
        except BaseException:
            connection.close()
            raise
        return connection

    def _migrate(self) -> None:
        self.path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        scripts = migrations()
        connection = self._open()
        try:
            # A file that is up to date is not locked: readers need not wait for a writer.
            if _version(connection) != len(scripts):
                connection.execute("PRAGMA journal_mode = WAL")
                connection.execute("BEGIN IMMEDIATE")
                _apply(connection, scripts)
                connection.execute("COMMIT")
        except BaseException:
            connection.close()
            raise
        # Kept open and idle: whoever closes the last connection brings the write-ahead log into the file and deletes it,
        # which would cost each request more than all that it reads.
        weakref.finalize(self, connection.close)
        self._migrated = True


def _version(connection: sqlite3.Connection) -> int:
    return int(connection.execute("PRAGMA user_version").fetchone()[0])


def _apply(connection: sqlite3.Connection, scripts: list[str]) -> None:
    """Run the scripts that the file has not had; another process may have run them a moment ago."""
    version = _version(connection)
    if version > len(scripts):
        raise StoreError(f"the record file is of version {version}: this program is too old for it")
    for number, script in enumerate(scripts[version:], start=version + 1):
        for statement in _statements(script):
            connection.execute(statement)
        connection.execute(f"PRAGMA user_version = {number}")


def _statements(script: str) -> Iterator[str]:
    """Split a script; ``executescript`` would commit the transaction that holds the migration together."""
    statement = ""
    for line in script.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""


def _undo(connection: sqlite3.Connection) -> None:
    # SQLite has already rolled back by itself after some errors (a full disk among them).
    if connection.in_transaction:
        connection.execute("ROLLBACK")


def _explained(error: sqlite3.Error) -> StoreError:
    code = getattr(error, "sqlite_errorcode", 0) & 0xFF
    if code == sqlite3.SQLITE_FULL:
        return StoreFullError("the disk is full")
    reasons = {
        sqlite3.SQLITE_BUSY: "another writer holds the record file",
        sqlite3.SQLITE_CANTOPEN: "the record file cannot be opened",
        sqlite3.SQLITE_READONLY: "the record file is read-only",
        sqlite3.SQLITE_NOTADB: "the record file is not a record file",
        sqlite3.SQLITE_CORRUPT: "the record file is damaged: restore it from a copy",
        sqlite3.SQLITE_IOERR: "the disk does not take or give the record",
    }
    return StoreError(reasons.get(code, f"the record file refuses: {error}"))
