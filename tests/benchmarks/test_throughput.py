"""Requests per second of each question, as a ratio to a bare Flask JSON echo on the same server in the same run.

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

REQUESTS = 1000
MEBIBYTES = 60
"""Most resident memory after 1,000 requests [MiB]."""

START_SECONDS = 0.5
"""Longest time of ``millphase version`` [s]."""

ENVIRONMENT = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}


class Caller(threading.Thread):
    """Sends one request again and again over one connection, with as little work of its own as possible."""

    def __init__(self, port: int, path: str, body: bytes, until: float) -> None:
        super().__init__()
        head = f"POST {path} HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nContent-Length: {len(body)}\r\n\r\n"
        self.port, self.message, self.until, self.done = port, head.encode() + body, until, 0

    def run(self) -> None:
        with socket.create_connection(("127.0.0.1", self.port)) as connection:
            connection.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
            while time.perf_counter() < self.until:
                connection.sendall(self.message)
                received = connection.recv(65536)
                assert received.startswith(b"HTTP/1.1 200"), received[:300]
                length = re.search(rb"Content-Length: (\d+)", received)
                assert length is not None
                missing = received.index(b"\r\n\r\n") + 4 + int(length[1]) - len(received)
                while missing > 0:
                    missing -= len(connection.recv(65536))
                self.done += 1


def per_second(port: int, path: str, body: bytes, seconds: float = SECONDS) -> float:
    start = time.perf_counter()
    callers = [Caller(port, path, body, start + seconds) for _ in range(CALLERS)]
    for caller in callers:
        caller.start()
    for caller in callers:
        caller.join()
    return sum(caller.done for caller in callers) / (time.perf_counter() - start)


def test_throughput(tmp_path: Path) -> None:
    command = [sys.executable, str(Path(__file__).with_name("serve.py")), str(tmp_path / "records.sqlite3")]
    print(f"\n{'question':<24}{'answers/s':>10}{'echoes/s':>10}{'ratio':>8}")
    with subprocess.Popen(command, env=ENVIRONMENT, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        port = int(process.stdout.readline())
        try:
            for name, question in registry().items():
                body = json.dumps(dict(question.example)).encode()
                per_second(port, f"/v1/{name}", body, SECONDS / 4)
                answers, echoes = per_second(port, f"/v1/{name}", body), per_second(port, "/echo", body)
                print(f"{name:<24}{answers:>10.0f}{echoes:>10.0f}{answers / echoes:>8.2f}")
                assert answers > 0
        finally:
            process.terminate()


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
        status = Path(f"/proc/{process.pid}/status").read_text("ascii")
        process.terminate()
    resident = re.search(r"VmRSS:\s+(\d+) kB", status)
    assert resident is not None
    print(f"\nresident after {REQUESTS} requests: {int(resident[1]) / 1024:.1f} MiB")
    assert int(resident[1]) / 1024 < MEBIBYTES


def test_the_command_starts_quickly() -> None:
    taken = []
    for _ in range(4):
        start = time.perf_counter()
        subprocess.run([sys.executable, "-m", "millphase", "version"], env=ENVIRONMENT, check=True, capture_output=True)
        taken.append(time.perf_counter() - start)
    print(f"\nmillphase version: {min(taken):.3f} s")
    # The best of several, since other programs share the machine.
    assert min(taken) < START_SECONDS
