"""The demo: a made-up workshop, the real service on a free loopback port, and the real client."""

from __future__ import annotations

import json
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from typing import Any, TextIO

from millphase.questions.base import registry
from millphase.reports.terminal import Terminal

TITLE = "Tansy Yard Workshop, the shaping machine"
STORY = (
    "A made-up workshop. An old three-phase shaping machine has been given a newer motor and stands on a "
    "variable-frequency drive, fed from a single-phase 230 V circuit 24 m from the house. Some mornings the 30 mA RCD "
    "trips. Plates and meters have been read; nothing is energised yet. May it run, what must be changed, and in "
    "which order?"
)


def client_module() -> Any:
    """The Python client: the one installed beside the service, or the copy the wheel carries."""
    return import_module("millphase_client" if find_spec("millphase_client") else "millphase._client")


@contextmanager
def running_service() -> Iterator[str]:
    """Address of a service on a free loopback port, with a database of its own that is gone afterwards."""
    from millphase.settings import Settings
    from millphase.web.serving import Server

    with tempfile.TemporaryDirectory(prefix="millphase-demo-") as folder:
        server = Server(port=0, settings=Settings(database=Path(folder) / "records.sqlite3"))
        thread = threading.Thread(target=server.run, name="service")
        thread.start()
        try:
            yield server.url
        finally:
            server.stop()
            thread.join()


def run(stream: TextIO, *, as_json: bool, working: bool) -> int:
    """Ask the whole job over HTTP and print what comes back; returns the exit code."""
    request = registry()["changeover"].example
    with running_service() as url, client_module().Client(url) as client:
        answer = client.changeover(request).raw
        client.store_assessment("changeover", request)
    if as_json:
        stream.write(json.dumps(answer, indent=2, ensure_ascii=False) + "\n")
        return 0
    _print(Terminal(stream), answer, working=working)
    return 0


def _print(terminal: Terminal, answer: dict[str, Any], *, working: bool) -> None:
    terminal.line(TITLE)
    terminal.lines(terminal.wrapped(STORY, "  "))
    terminal.line()
    for name, part in answer["values"]["answers"].items():
        terminal.answer(part, registry()[name].title, working=working, brief=True)
        terminal.line()
    terminal.numbered(
        "Working order",
        [f"{entry['do']}  ({registry()[entry['question']].title.lower()})" for entry in answer["values"]["checklist"]],
    )
    terminal.line()
    terminal.bulleted("Take care", answer["cautions"])
    terminal.line()
    between = [finding for finding in answer["findings"] if finding["rule"].startswith("changeover/")]
    terminal.answer({**answer, "findings": between, "values": {}}, "The whole job", brief=True)
    book = answer["rule_set"]
    terminal.lines(terminal.wrapped(f"rule set {book['name']}@{book['version']}  {book['digest']}", "  "))
    ways = "'millphase demo --working' prints the calculation sheets, --json the raw answer."
    terminal.lines(terminal.wrapped(ways, "  "))
