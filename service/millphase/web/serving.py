"""Serves the application on a socket: loopback unless there are tokens, and a clean stop."""

from __future__ import annotations

import gc
import ipaddress
import json
import logging
import signal
import socket
import threading
import time
from collections.abc import Callable
from typing import Any

from waitress import wasyncore
from waitress.channel import HTTPChannel
from waitress.server import create_server
from waitress.task import ErrorTask

from millphase.settings import Settings, SettingsError
from millphase.web import create_app
from millphase.web.problems import MEDIA_TYPE, Problem

DEFAULT_HOST = "127.0.0.1"
DEFAULT_PORT = 8421

LARGEST_PORT = 65535

THREADS = 4

LARGEST_RECEIVED = 4 * 1024 * 1024
"""Bodies up to this are received in full, so that the caller hears why they are refused [bytes]."""

STOP_SECONDS = 5.0
"""How long requests in progress may take to finish after SIGTERM [s]."""

_SLUGS = {
    400: "malformed-request",
    413: "body-too-large",
    431: "headers-too-large",
    501: "not-implemented",
}


class _ProblemTask(ErrorTask):  # type: ignore[misc]
    """Answers what the server itself cannot parse in the same form as every other error."""

    def execute(self) -> None:
        problem = Problem(_SLUGS.get(self.request.error.code, "internal-error"))
        body = json.dumps(problem.document(), ensure_ascii=False).encode()
        self.status = f"{problem.kind.status} {self.request.error.reason}"
        self.response_headers.append(("Content-Type", MEDIA_TYPE))
        self.response_headers.append(("X-Content-Type-Options", "nosniff"))
        self.set_close_on_finish()
        self.content_length = len(body)
        self.write(body)


class _Channel(HTTPChannel):  # type: ignore[misc]
    error_task_class = _ProblemTask


def is_loopback(host: str) -> bool:
    """Return whether every address of `host` is reachable from this machine only."""
    try:
        found = socket.getaddrinfo(host, None, type=socket.SOCK_STREAM)
    except OSError:
        return False
    addresses = [ipaddress.ip_address(str(entry[4][0]).partition("%")[0]) for entry in found]
    return bool(addresses) and all(address.is_loopback for address in addresses)


class Server:
    """The application on one listening socket.

    Parameters
    ----------
    host : str
        Address to listen on; any other than loopback needs tokens in the settings.
    port : int
        TCP port; 0 takes a free one, which :attr:`port` then tells.
    settings : Settings
        Settings of the application.

    Raises
    ------
    SettingsError
        The address is not loopback and there are no tokens, or it cannot be listened on.
    """

    def __init__(self, host: str = DEFAULT_HOST, port: int = DEFAULT_PORT, settings: Settings | None = None) -> None:
        chosen = Settings.from_environment() if settings is None else settings
        if not chosen.tokens and not is_loopback(host):
            raise SettingsError(
                f"{host} is reachable from other machines: set MILLPHASE_TOKENS to a token file,"
                f" or listen on {DEFAULT_HOST}"
            )
        self._sockets: dict[int, Any] = {}
        self._stopping = False
        # Held while the sockets are woken or closed: a wake-up after the close would write to a descriptor
        # that is gone, or that another file has by then.
        self._waking = threading.Lock()
        self._closed = False
        self._listening = _listen(host, port)
        self.host, self.port = self._listening.getsockname()[:2]
        self.app = create_app(chosen)
        self._server = create_server(
            self.app,
            map=self._sockets,
            sockets=[self._listening],
            threads=THREADS,
            ident=None,
            max_request_body_size=LARGEST_RECEIVED,
            clear_untrusted_proxy_headers=True,
        )
        self._server.channel_class = _Channel
        # A request that waits a moment for a free thread is no warning.
        logging.getLogger("waitress.queue").setLevel(logging.ERROR)

    @property
    def url(self) -> str:
        """Return the base address of the service."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"http://{host}:{self.port}"

    def run(self) -> None:
        """Serve until :meth:`stop`, then finish what is in progress and close."""
        # What has been loaded stays: the collector need not look through it again at every full run.
        gc.collect()
        gc.freeze()
        while not self._stopping:
            wasyncore.loop(timeout=1, map=self._sockets, use_poll=True, count=1)
        self._server.accepting = False
        deadline = time.monotonic() + STOP_SECONDS
        while self._busy() and time.monotonic() < deadline:
            wasyncore.loop(timeout=0.05, map=self._sockets, use_poll=True, count=1)
        self._server.task_dispatcher.shutdown(timeout=1)
        with self._waking:
            self._closed = True
            wasyncore.close_all(self._sockets)

    def stop(self) -> None:
        """Ask :meth:`run` to return; may be called from another thread or a signal handler, and more than once."""
        # Closing follows the first call only, so a handler that interrupts the closing returns here
        # and never waits for the lock its own thread holds.
        if self._stopping:
            return
        self._stopping = True
        with self._waking:
            if not self._closed:
                self._server.pull_trigger()

    def _busy(self) -> bool:
        channels = list(self._server.active_channels.values())
        return any(channel.requests or channel.total_outbufs_len for channel in channels)


def serve(
    host: str = DEFAULT_HOST,
    port: int = DEFAULT_PORT,
    settings: Settings | None = None,
    ready: Callable[[str], None] | None = None,
) -> None:
    """Serve until SIGTERM or SIGINT; `ready` is told the base address once the socket listens.

    Raises
    ------
    SettingsError
        See :class:`Server`.
    """
    server = Server(host, port, settings)
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: server.stop())
    if ready is not None:
        ready(server.url)
    server.run()


def _listen(host: str, port: int) -> socket.socket:
    if not 0 <= port <= LARGEST_PORT:
        raise SettingsError(f"cannot listen on port {port}: use 1 to {LARGEST_PORT}, or 0 for a free one")
    try:
        family, kind, protocol, _, address = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
        listening = socket.socket(family, kind, protocol)
    except OSError as error:
        raise SettingsError(f"{host} is not an address of this machine: {error.strerror}") from None
    try:
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind(address)
    except OSError as error:
        listening.close()
        raise SettingsError(f"cannot listen on {host} port {port}: {error}") from None
    listening.setblocking(False)
    return listening
