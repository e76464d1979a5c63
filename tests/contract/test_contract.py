"""Fuzzes the service against its own document: all checks, no operation skipped, zero failures.

The configuration is the one that the command line uses; see schemathesis.toml for the one widened status. To stay under a
minute, storing an assessment is left to the other phases here: its request is that of every question in turn, and the
coverage phase would repeat for it all that it does for the questions. The draws are the same on every run.
``MILLPHASE_FUZZ_EXAMPLES`` makes a long run, with nothing shortened and fresh draws.
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


LONG = os.environ.get("MILLPHASE_FUZZ_EXAMPLES")

SHORTER = """
[[operations]]
include-operation-id = "store_assessment"
phases.coverage.enabled = false
"""


def fuzz(server: Server, folder: Path, *options: str) -> subprocess.CompletedProcess[str]:
    config = folder / "schemathesis.toml"
    config.write_text((HERE / "schemathesis.toml").read_text("utf-8") + ("" if LONG else SHORTER), "utf-8")
    command = [sys.executable, "-m", "schemathesis.cli", "--config-file", str(config), "run"]
    return subprocess.run(
        [*command, f"{server.url}/v1/openapi.json", *options],
        cwd=ROOT,
        env={**os.environ, "NO_COLOR": "1"},
        capture_output=True,
        text=True,
        timeout=3600 if LONG else 900,
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
def test_the_service_keeps_its_document(server: Server, tmp_path: Path, tag: str) -> None:
    """One run for each tag, so that they share the processors; together they are every operation."""
    # Stateful tests follow links; a run over operations without any would be an error.
    phases = "examples,coverage,fuzzing" + (",stateful" if tag in TAGS_WITH_LINKS else "")
    examples = ("--max-examples", LONG or "10", "--generation-database", "none", *(() if LONG else ("--seed", "1")))
    run = fuzz(server, tmp_path, "--include-tag", tag, "--phases", phases, *examples)
    assert run.returncode == 0, run.stdout[-6000:] + run.stderr[-2000:]
    counted = re.search(r"Selected: (\d+)/\d+\s+Tested: (\d+)", run.stdout)
    assert counted is not None
    expected = TAGS_OF_OPERATIONS.count([tag])
    assert [int(number) for number in counted.groups()] == [expected, expected]
    cases = re.search(r"(\d+) generated, (\d+) passed", run.stdout)
    assert cases is not None
    print(f"\n{tag}: {expected} operations, {cases[1]} requests, 0 failures")


def test_every_operation_is_in_one_run() -> None:
    assert all(len(tags) == 1 for tags in TAGS_OF_OPERATIONS)
