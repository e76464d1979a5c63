"""Requests per second of each question, as a ratio to a bare Flask JSON echo on the same server in the same run.

"fresh" asks with a body that has not come before, so everything is worked out; "again" repeats one body, as a poller does.

``pytest tests/benchmarks -n 0 -s`` prints the table; ``MILLPHASE_BENCHMARK_SECONDS`` sets how long each is asked. Ratios
are printed, not asserted: the machine is shared, and a slow neighbour is no fault of the program. Memory and the start of
the command are asserted.
"""

from __future__ import annotations

import json
import os
import re
import socket
import subprocess
import sys
import threading
import time
from pathlib import Path

from millphase.questions.base import registry
from millphase_client import Client

SECONDS = float(os.environ.get("MILLPHASE_BENCHMARK_SECONDS", "0.2"))
CALLERS = 4
MARK = 64

REQUESTS = 1000
MEBIBYTES = 60
"""Most resident memory after 1,000 requests [MiB]."""

ENVIRONMENT = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}


class Caller(threading.Thread):
    """Sends one request again and again over one connection, with as little work of its own as possible."""

    def __init__(self, port: int, path: str, body: bytes, until: float, *, fresh: bool) -> None:
        super().__init__()
        length = len(body) + MARK
        head = f"POST {path} HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: {length}\r\n\r\n"
        self.port, self.until, self.done, self.fresh = port, until, 0, fresh
        self.message = head.encode() + body

    def mark(self) -> bytes:
        """Space after JSON means nothing, and makes the body one that has not come before."""
        number = time.monotonic_ns() if self.fresh else 0
        return f"{number:0{MARK}b}".replace("0", " ").replace("1", "\t").encode()

    def run(self) -> None:
        with socket.create_connection(("127.0.0.1", self.port)) as connection:
            connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            while time.perf_counter() < self.until:
                connection.sendall(self.message + self.mark())
                received = connection.recv(65536)
                assert received.startswith(b"HTTP/1.1 200"), received[:300]
                length = re.search(rb"Content-Length: (\d+)", received)
                assert length is not None
                missing = received.index(b"\r\n\r\n") + 4 + int(length[1]) - len(received)
                while missing > 0:
                    missing -= len(connection.recv(65536))
                self.done += 1


def per_second(port: int, path: str, body: bytes, *, fresh: bool = True, seconds: float = SECONDS) -> float:
    start = time.perf_counter()
    callers = [Caller(port, path, body, start + seconds, fresh=fresh) for _ in range(CALLERS)]
    for caller in callers:
        caller.start()
    for caller in callers:
        caller.join()
    return sum(caller.done for caller in callers) / (time.perf_counter() - start)


def test_throughput(tmp_path: Path) -> None:
    command = [sys.executable, str(Path(__file__).with_name("serve.py")), str(tmp_path / "records.sqlite3")]
    print(f"\n{'question':<24}{'echo/s':>8}{'fresh/s':>9}{'ratio':>7}{'again/s':>9}{'ratio':>7}")
    with subprocess.Popen(command, env=ENVIRONMENT, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        port = int(process.stdout.readline())
        try:
            for name, question in registry().items():
                path, body = f"/v1/{name}", json.dumps(dict(question.example)).encode()
                per_second(port, path, body, seconds=SECONDS / 4)
                echo = per_second(port, "/echo", body)
                fresh, again = per_second(port, path, body), per_second(port, path, body, fresh=False)
                print(f"{name:<24}{echo:>8.0f}{fresh:>9.0f}{fresh / echo:>7.2f}{again:>9.0f}{again / echo:>7.2f}")
                assert fresh > 0
        finally:
            process.terminate()


def keep_and_poll(client: Client) -> None:
    """Enter a few machines with readings, poll them, and print the report of each."""
    workshop = client.create_workshop({"name": "Tansy Yard"})
    test = {"between": "UVW-earth", "resistance": "85 Mohm", "test_voltage": "500 V", "after": "60 s"}
    for number in range(6):
        plate = {"workshop": workshop.id, "name": f"lathe {number}", "rated_voltage": "400 V"}
        machine = client.create_machine(plate).id
        client.import_readings(machine, [{"insulation": [test], "at": f"2026-0{n}-01T08:00:00Z"} for n in range(1, 9)])
        for _ in range(20):
            client.machine_status(machine)
        client.machine_report(machine)


def test_memory_after_a_thousand_requests(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "millphase", "serve", "--port", "0", "--database", str(tmp_path / "r.sqlite3")]
    with subprocess.Popen(command, env=ENVIRONMENT, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        url = process.stdout.readline().split()[-1]
        with Client(url) as client:
            questions = list(registry().items())
            for number in range(REQUESTS):
                name, question = questions[number % len(questions)]
                client.ask(name, dict(question.example))
            client.documentation()
            client.store_assessment(questions[0][0], dict(questions[0][1].example))
            keep_and_poll(client)
        status = Path(f"/proc/{process.pid}/status").read_text("ascii")
        process.terminate()
    resident = re.search(r"VmRSS:\s+(\d+) kB", status)
    assert resident is not None
    print(f"\nresident after {REQUESTS} requests: {int(resident[1]) / 1024:.1f} MiB")
    assert int(resident[1]) / 1024 < MEBIBYTES


def test_start_of_the_command() -> None:
    taken, worked = [], []
    for _ in range(4):
        start, before = time.perf_counter(), os.times()
        subprocess.run([sys.executable, "-m", "millphase", "version"], env=ENVIRONMENT, check=True, capture_output=True)
        after = os.times()
        taken.append(time.perf_counter() - start)
        worked.append(after.children_user + after.children_system - before.children_user - before.children_system)
    print(f"\nmillphase version: {min(taken):.3f} s, of which {min(worked):.3f} s processor")
