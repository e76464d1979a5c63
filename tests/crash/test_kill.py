"""kill -9 in the middle of writing: every record that was acknowledged is there afterwards, and none is half there."""

from __future__ import annotations

import json
import os
import resource
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from millphase.questions.base import registry
from millphase.records import assessments, machines
from millphase.records.store import Store
from millphase_client import Client, Conflict, MillphaseError, ServerError

NAME = next(iter(registry()))
EXAMPLE = dict(registry()[NAME].example)

ROUNDS = 5


def start(database: Path, file_limit: int | None = None) -> tuple[subprocess.Popen[str], str]:
    """Start the service and return it with its address; `file_limit` bounds the size of any file it writes [bytes]."""

    def limit() -> None:
        if file_limit is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (file_limit, file_limit))

    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    command = [sys.executable, "-m", "millphase", "serve", "--port", "0", "--database", str(database)]
    process = subprocess.Popen(
        command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, preexec_fn=limit
    )
    assert process.stdout is not None
    return process, process.stdout.readline().split()[-1]


def write_until_gone(url: str, acknowledged: list[str]) -> None:
    with Client(url, retries=0) as client:
        try:
            while True:
                acknowledged.append(client.store_assessment(NAME, EXAMPLE).id)
        except MillphaseError:
            return


def test_no_acknowledged_record_is_lost(tmp_path: Path) -> None:
    database = tmp_path / "records.sqlite3"
    acknowledged: list[str] = []
    for number in range(ROUNDS):
        process, url = start(database)
        with process, ThreadPoolExecutor(4) as pool:
            before = len(acknowledged)
            writers = [pool.submit(write_until_gone, url, acknowledged) for _ in range(4)]
            deadline = time.monotonic() + 20
            while len(acknowledged) < before + 10 + 7 * number and time.monotonic() < deadline:
                time.sleep(0.002)
            process.send_signal(signal.SIGKILL)
            for writer in writers:
                writer.result(30)
        assert len(acknowledged) > before
    store = Store(database)
    kept = {assessments.get(store, identity).id for identity in acknowledged}
    assert len(kept) == len(acknowledged)
    connection = sqlite3.connect(database)
    assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    rows = connection.execute("SELECT request, answer FROM assessments").fetchall()
    connection.close()
    # At most the one write of each caller that was under way may be there without having been acknowledged.
    assert len(acknowledged) <= len(rows) <= len(acknowledged) + 4 * ROUNDS
    for request, answer in rows:
        assert json.loads(request) == EXAMPLE
        assert json.loads(answer)["question"] == NAME


def test_a_repeat_after_a_crash_stores_nothing_twice(tmp_path: Path) -> None:
    """The caller cannot know whether the lost answer was stored, and need not: the key makes the repeat harmless."""
    database = tmp_path / "records.sqlite3"
    process, url = start(database)
    done = threading.Event()

    def kill_soon() -> None:
        time.sleep(0.15)
        process.send_signal(signal.SIGKILL)
        done.set()

    keys: list[str] = []
    with process, Client(url, retries=0) as client:
        threading.Thread(target=kill_soon).start()
        try:
            while True:
                keys.append(f"key-{len(keys)}")
                client.store_assessment(NAME, EXAMPLE, idempotency_key=keys[-1])
        except MillphaseError:
            assert done.wait(5)
    again, url = start(database)
    with again, Client(url) as client:
        for key in keys:
            client.store_assessment(NAME, EXAMPLE, idempotency_key=key)
        assert len(list(client.every_assessment())) == len(keys)
        again.terminate()


READING = {"insulation": [{"between": "UVW-earth", "resistance": "85 Mohm"}]}
EACH = 40


def import_until_gone(url: str, machine: str, acknowledged: list[str]) -> None:
    with Client(url, retries=0) as client:
        try:
            while True:
                acknowledged += [reading.id for reading in client.import_readings(machine, [READING] * EACH)]
        except MillphaseError:
            return


def test_an_import_is_there_whole_or_not_at_all(tmp_path: Path) -> None:
    database = tmp_path / "records.sqlite3"
    acknowledged: list[str] = []
    machine = ""
    for _ in range(3):
        process, url = start(database)
        with process, Client(url) as client, ThreadPoolExecutor(4) as pool:
            if not machine:
                workshop = client.create_workshop({"name": "Tansy Yard"})
                made = client.create_machine({"workshop": workshop.id, "name": "shaper", "rated_voltage": "400 V"})
                machine = made.id
            before = len(acknowledged)
            writers = [pool.submit(import_until_gone, url, machine, acknowledged) for _ in range(4)]
            deadline = time.monotonic() + 20
            while len(acknowledged) < before + 4 * EACH and time.monotonic() < deadline:
                time.sleep(0.002)
            process.send_signal(signal.SIGKILL)
            for writer in writers:
                writer.result(30)
        assert len(acknowledged) > before
    connection = sqlite3.connect(database)
    assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
    kept = {row[0] for row in connection.execute("SELECT id FROM readings")}
    entries = connection.execute("SELECT count(*) FROM readings GROUP BY entry").fetchall()
    counted = connection.execute("SELECT insulation_version FROM machines").fetchone()[0]
    connection.close()
    assert set(acknowledged) <= kept
    assert {count for (count,) in entries} == {EACH}
    assert counted == len(entries), "the counter moved with every import, in its transaction"


def change_until_gone(url: str, machine: str, acknowledged: list[int]) -> None:
    with Client(url, retries=0) as client:
        try:
            while True:
                try:
                    now = client.machine(machine)
                    changed = client.change_machine(now, {**now.fields, "note": f"after {now.version}"})
                    acknowledged.append(changed.version)
                except Conflict:
                    continue
        except MillphaseError:
            return


def test_no_acknowledged_change_and_no_former_state_is_lost(tmp_path: Path) -> None:
    """Writers that meet are told so; whoever is told that a change was made finds it, and what was there before it."""
    database = tmp_path / "records.sqlite3"
    process, url = start(database)
    acknowledged: list[int] = []
    with process, Client(url) as client, ThreadPoolExecutor(4) as pool:
        workshop = client.create_workshop({"name": "Tansy Yard"})
        machine = client.create_machine({"workshop": workshop.id, "name": "shaper", "rated_voltage": "400 V"}).id
        writers = [pool.submit(change_until_gone, url, machine, acknowledged) for _ in range(4)]
        deadline = time.monotonic() + 20
        while len(acknowledged) < 30 and time.monotonic() < deadline:
            time.sleep(0.002)
        process.send_signal(signal.SIGKILL)
        for writer in writers:
            writer.result(30)
    assert len(acknowledged) == len(set(acknowledged)), "two changes never make the same version"
    states, following = machines.states(Store(database), None, machine, 10_000)
    assert following is None
    assert [state.version for state in states] == list(range(len(states), 0, -1))
    assert set(acknowledged) <= {state.version for state in states}
    assert all(state.body["note"] == f"after {state.version - 1}" for state in states[:-1])


def store_for_ever(client: Client, kept: list[str]) -> None:
    while True:
        kept.append(client.store_assessment(NAME, EXAMPLE).id)


def test_a_disk_that_takes_no_more(tmp_path: Path) -> None:
    """A bound on the size of files stands for a full disk: writing fails in the operating system itself."""
    database = tmp_path / "records.sqlite3"
    process, url = start(database, file_limit=400_000)
    kept: list[str] = []
    with process, Client(url, retries=0) as client:
        workshop = client.create_workshop({"name": "Tansy Yard"})
        machine = client.create_machine({"workshop": workshop.id, "name": "shaper", "rated_voltage": "400 V"})
        first = client.add_reading(machine.id, READING)
        with pytest.raises(ServerError) as refused:
            store_for_ever(client, kept)
        assert refused.value.status in {503, 507}
        assert refused.value.problem.type in {"/problems/storage-full", "/problems/storage-unavailable"}
        assert client.ask(NAME, EXAMPLE).question == NAME, "questions go on"
        assert kept
        with pytest.raises(ServerError):
            client.import_readings(machine.id, [READING] * 1000)
        assert client.machine(machine.id) == machine, "what is stored can be read"
        process.terminate()
        assert process.wait(10) == 0
    again, url = start(database)
    with again, Client(url) as client:
        assert client.store_assessment(NAME, EXAMPLE).id
        assert {entry.id for entry in client.every_assessment()} >= set(kept)
        assert client.machine(machine.id) == machine
        assert client.readings(machine.id).items == (first,)
        again.terminate()
