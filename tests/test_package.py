"""The built wheel carries rules, OpenAPI document and client, and works from an empty directory."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]


@pytest.fixture(scope="module")
def unpacked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    built = tmp_path_factory.mktemp("dist")
    command = [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(built)]
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    (wheel,) = built.glob("*.whl")
    place = tmp_path_factory.mktemp("site")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(place)
    return place


def _run(unpacked: Path, empty: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    env = {name: value for name, value in os.environ.items() if not name.startswith("MILLPHASE")}
    env["PYTHONPATH"] = str(unpacked)
    return subprocess.run(
        [sys.executable, *arguments], cwd=empty, env=env, capture_output=True, text=True, check=False, timeout=60
    )


def test_wheel_holds_the_data_and_nothing_stray(unpacked: Path) -> None:
    assert (unpacked / "millphase/_data/rules/workshop/ruleset.yaml").is_file()
    assert (unpacked / "millphase/_data/rules/schema/rule.schema.json").is_file()
    assert (unpacked / "millphase/_data/openapi/openapi.json").is_file()
    assert (unpacked / "millphase/_client/client.py").is_file()
    assert (unpacked / "millphase/units.txt").is_file()
    assert {path.name for path in unpacked.iterdir() if not path.name.endswith(".dist-info")} == {"millphase"}


def test_version_and_rules_from_an_empty_directory(unpacked: Path, tmp_path: Path) -> None:
    where = _run(unpacked, tmp_path, "-c", "import millphase; print(millphase.__file__)")
    assert where.stdout.startswith(str(unpacked))
    done = _run(unpacked, tmp_path, "-m", "millphase", "rules", "check")
    assert done.returncode == 0, done.stderr
    assert "0 faults" in done.stdout
    assert list(tmp_path.iterdir()) == []


def test_demo_from_an_empty_directory(unpacked: Path, tmp_path: Path) -> None:
    done = _run(unpacked, tmp_path, "-m", "millphase", "demo", "--json")
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    assert answer["question"] == "changeover"
    assert len(answer["values"]["answers"]) >= 5
    assert list(tmp_path.iterdir()) == []


def test_the_client_does_not_import_the_service() -> None:
    for path in (ROOT / "clients/python/src").rglob("*.py"):
        text = path.read_text("utf-8")
        assert "import millphase\n" not in text, path
        assert "from millphase " not in text, path
        assert "from millphase." not in text, path
