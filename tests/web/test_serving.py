"""The socket: loopback unless there are tokens, problems for broken HTTP, and a stop that loses no answer."""

from __future__ import annotations

import http.client
import json
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from millphase.questions.base import registry
from millphase.settings import Settings, SettingsError, Tokens, digest_of
from millphase.web.serving import LARGEST_RECEIVED, Server, is_loopback

NAME = next(iter(registry()))
BODY = json.dumps(dict(registry()[NAME].example))


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    server = Server(port=0, settings=Settings(database=tmp_path / "records.sqlite3"))
    thread = threading.Thread(target=server.run)
    thread.start()
    yield server
    server.stop()
    thread.join(10)
    assert not thread.is_alive()


def raw(server: Server, data: bytes) -> tuple[int, dict[str, str], bytes]:
    """Send bytes as they are and return status, headers and body of the first response."""
    with socket.create_connection((server.host, server.port), timeout=5) as connection:
        connection.sendall(data)
        response = http.client.HTTPResponse(connection)
        response.begin()
        return response.status, {name.lower(): value for name, value in response.getheaders()}, response.read()


@pytest.mark.parametrize(
    ("sent", "status", "slug"),
    [
        (b"NONSENSE\r\n\r\n", 400, "malformed-request"),
        (b"GET /v1 HTTP/1.1\r\nbad header\r\n\r\n", 400, "malformed-request"),
        (b"POST /v1/batch HTTP/1.1\r\nContent-Length: -1\r\n\r\n", 400, "malformed-request"),
        (b"POST /v1/batch HTTP/1.1\r\nTransfer-Encoding: gzip\r\n\r\n", 501, "not-implemented"),
        (b"GET /v1 HTTP/1.1\r\nX: " + b"a" * 300_000 + b"\r\n\r\n", 431, "headers-too-large"),
        (b"POST /v1/batch HTTP/1.1\r\nContent-Length: 99999999999\r\n\r\n", 413, "body-too-large"),
        (b"POST /v1/batch HTTP/1.1\r\nContent-Length: %d\r\n\r\n" % (LARGEST_RECEIVED + 1), 413, "body-too-large"),
        (b"TRACE /v1 HTTP/1.1\r\nHost: localhost\r\n\r\n", 405, "method-not-allowed"),
        (b"GET /v1/questions HTTP/1.1\r\nHost: a b\r\n\r\n", 200, ""),
        (b"GET /%ff%00 HTTP/1.1\r\nHost: localhost\r\n\r\n", 404, "not-found"),
    ],
)
def test_broken_http(server: Server, sent: bytes, status: int, slug: str) -> None:
    got, headers, body = raw(server, sent)
    if slug:
        assert headers["content-type"] == "application/problem+json"
        assert json.loads(body)["type"] == f"/problems/{slug}"
        assert json.loads(body)["status"] == got
    assert got == status


def test_stopping_does_not_race_the_closing(server: Server, monkeypatch: pytest.MonkeyPatch) -> None:
    """The wake-up must find its descriptor open, however late it comes and however early the loop notices."""
    pull = server._server.pull_trigger

    def slowly() -> None:
        pull()
        time.sleep(0.3)
        pull()

    monkeypatch.setattr(server._server, "pull_trigger", slowly)
    server.stop()
    server.stop()


def test_a_body_in_chunks(server: Server) -> None:
    head = f"POST /v1/{NAME} HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n"
    data = BODY.encode()
    chunks = b"".join(b"%x\r\n%s\r\n" % (len(part), part) for part in (data[:10], data[10:])) + b"0\r\n\r\n"
    assert raw(server, head.encode() + chunks)[0] == 200
    large = b"%x\r\n%s\r\n0\r\n\r\n" % (70_000, b" " * 70_000)
    assert raw(server, head.encode() + large)[0] == 413


def test_a_caller_who_never_finishes_does_not_stop_the_others(server: Server) -> None:
    idle = [socket.create_connection((server.host, server.port)) for _ in range(20)]
    for connection in idle:
        connection.sendall(b"POST /v1/batch HTTP/1.1\r\nContent-Length: 100\r\n\r\nhalf")
    assert raw(server, b"GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n")[0] == 200
    for connection in idle:
        connection.close()


def test_stop_finishes_what_is_in_progress(tmp_path: Path) -> None:
    server = Server(port=0, settings=Settings(database=tmp_path / "records.sqlite3"))
    entered, thread = threading.Event(), threading.Thread(target=server.run)

    @server.app.get("/slow")
    def slow() -> str:
        entered.set()
        time.sleep(0.3)
        return "done"

    thread.start()
    answers = []
    ask = threading.Thread(
        target=lambda: answers.append(raw(server, b"GET /slow HTTP/1.1\r\nHost: localhost\r\n\r\n")[2])
    )
    ask.start()
    assert entered.wait(5)
    server.stop()
    ask.join(5)
    thread.join(5)
    assert answers == [b"done"]
    assert not thread.is_alive()
    with pytest.raises(OSError):  # noqa: PT011 - any error of connecting will do
        socket.create_connection((server.host, server.port), timeout=0.5)


def test_other_addresses_need_tokens(tmp_path: Path) -> None:
    settings = Settings(database=tmp_path / "records.sqlite3")
    for host in ("0.0.0.0", "::", "192.0.2.1"):
        with pytest.raises(SettingsError, match="MILLPHASE_TOKENS"):
            Server(host, 0, settings)
    guarded = Settings(database=tmp_path / "records.sqlite3", tokens=Tokens({"panel": digest_of("x")}))
    server = Server("0.0.0.0", 0, guarded)
    server.stop()
    server.run()


def test_an_address_that_cannot_be_had(server: Server, tmp_path: Path) -> None:
    settings = Settings(database=tmp_path / "records.sqlite3", tokens=Tokens({"panel": digest_of("x")}))
    for host, port in ((server.host, server.port), ("192.0.2.1", 0), ("no such host", 0), ("127.0.0.1", 99999)):
        with pytest.raises(SettingsError, match=r"cannot listen|is not an address"):
            Server(host, port, settings)


def test_loopback() -> None:
    assert is_loopback("127.0.0.1")
    assert is_loopback("127.1.2.3")
    assert is_loopback("::1")
    assert not is_loopback("0.0.0.0")
    assert not is_loopback("192.0.2.1")
    assert not is_loopback("no such host")


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_the_command_stops_cleanly_on_a_signal(tmp_path: Path, number: signal.Signals) -> None:
    environment = {
        **os.environ,
        "PYTHONPATH": os.pathsep.join(sys.path),
        "MILLPHASE_DATABASE": str(tmp_path / "r.sqlite3"),
    }
    command = [sys.executable, "-m", "millphase", "serve", "--port", "0"]
    with subprocess.Popen(
        command, env=environment, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        assert "http://127.0.0.1:" in process.stdout.readline()
        process.send_signal(number)
        assert process.wait(10) == 0
        assert process.stderr is not None
        assert process.stderr.read() == ""
