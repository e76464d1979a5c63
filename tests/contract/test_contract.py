"""Fuzzes the service against its own document: all checks, no operation skipped, zero failures.

The configuration is the one that the command line uses; see schemathesis.toml for the one widened status.
"""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from millphase.settings import Settings
from millphase.web.serving import Server

HERE = Path(__file__).parent
ROOT = HERE.parents[1]


@pytest.fixture
def server(tmp_path: Path) -> Iterator[Server]:
    server = Server(port=0, settings=Settings(database=tmp_path / "records.sqlite3"))
    thread = threading.Thread(target=server.run)
    thread.start()
    yield server
    server.stop()
    thread.join(10)


def fuzz(server: Server, *options: str, cwd: Path = ROOT) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "schemathesis.cli", "--config-file", str(HERE / "schemathesis.toml"), "run"]
    return subprocess.run(
        [*command, f"{server.url}/v1/openapi.json", *options],
        cwd=cwd,
        env={**os.environ, "NO_COLOR": "1"},
        capture_output=True,
        text=True,
        timeout=900,
        check=False,
    )


DOCUMENT = json.loads((ROOT / "openapi" / "openapi.json").read_text("utf-8"))
TAGS_OF_OPERATIONS = [operation["tags"] for methods in DOCUMENT["paths"].values() for operation in methods.values()]

TAGS_WITH_LINKS = {
    operation["tags"][0]
    for methods in DOCUMENT["paths"].values()
    for operation in methods.values()
    for response in operation["responses"].values()
    if "links" in response
}


@pytest.mark.parametrize("tag", [tag["name"] for tag in DOCUMENT["tags"]])
def test_the_service_keeps_its_document(server: Server, tag: str) -> None:
    """One run for each tag, so that they share the processors; together they are every operation."""
    # Stateful tests follow links; a run over operations without any would be an error.
    phases = "examples,coverage,fuzzing" + (",stateful" if tag in TAGS_WITH_LINKS else "")
    run = fuzz(
        server, "--include-tag", tag, "--phases", phases, "--max-examples", "10", "--generation-database", "none"
    )
    assert run.returncode == 0, run.stdout[-6000:] + run.stderr[-2000:]
    counted = re.search(r"Selected: (\d+)/(\d+)\s+Tested: (\d+)", run.stdout)
    assert counted is not None
    expected = TAGS_OF_OPERATIONS.count([tag])
    assert [int(number) for number in counted.groups()] == [expected, len(TAGS_OF_OPERATIONS), expected]
    cases = re.search(r"(\d+) generated, (\d+) passed", run.stdout)
    assert cases is not None
    print(f"\n{tag}: {expected} operations, {cases[1]} requests, 0 failures")


def test_every_operation_is_in_one_run() -> None:
    assert all(len(tags) == 1 for tags in TAGS_OF_OPERATIONS)
