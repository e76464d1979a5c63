"""Fuzzes the service against its own document: all checks, no operation skipped, zero failures.

The configuration is the one that the command line uses; see schemathesis.toml for the one widened status.
"""

from __future__ import annotations

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
        timeout=300,
        check=False,
    )


def test_the_service_keeps_its_document(server: Server) -> None:
    run = fuzz(server, "--max-examples", "10", "--generation-database", "none")
    assert run.returncode == 0, run.stdout[-6000:] + run.stderr[-2000:]
    selected = re.search(r"Selected: (\d+)/(\d+)\s+Tested: (\d+)", run.stdout)
    assert selected is not None
    assert len(set(selected.groups())) == 1, "no operation is left out"
    cases = re.search(r"(\d+) generated, (\d+) passed", run.stdout)
    assert cases is not None
    print(f"\n{selected[1]} operations, {cases[1]} requests, 0 failures")
