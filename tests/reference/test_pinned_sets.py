"""A set that somebody pinned goes on answering: every reference case, under every released pack.

What it answers is its own affair, since its values may differ; that it answers, and shows how, is not.
"""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

import working
from millphase.questions.base import Invalid, ask
from millphase.rulebook import Rulebook, workshop

ROOT = Path(__file__).parents[2]
PACKS = sorted((ROOT / "rules" / "released").glob("*-[0-9]*.json"))
HERE = Path(__file__).parent
FILES = {path: path.parent.name for path in sorted((HERE / "cases").glob("*/*.yaml"))}
FILES[HERE / "diagnosis" / "scenarios.yaml"] = "trip-diagnosis"


@cache
def _book(pack: Path) -> Rulebook:
    return Rulebook(json.loads(pack.read_text("utf-8"))).completed_by(workshop())


@pytest.mark.parametrize("pack", PACKS, ids=lambda path: path.stem)
@pytest.mark.parametrize("file", FILES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_every_case_is_answered_under_a_set_pinned_earlier(file: Path, pack: Path) -> None:
    cases: list[dict[str, Any]] = yaml.safe_load(file.read_text("utf-8"))
    for case in cases:
        try:
            answer = ask(FILES[file], case["request"], _book(pack)).as_json()
        except Invalid:  # a case that is about a contradiction is one under every set
            continue
        working.check(answer)
