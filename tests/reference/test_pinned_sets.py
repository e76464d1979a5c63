"""A rule set that was released goes on answering, whatever rules came later.

No expectation about the numbers stands here; those of a released set are what they were on its day.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from millphase.questions.base import Invalid, ask, registry
from millphase.rulebook.library import Library

HERE = Path(__file__).parent
RULES = HERE.parents[1] / "rules"


@pytest.fixture(scope="module")
def library(tmp_path_factory: pytest.TempPathFactory) -> Library:
    return Library.load(RULES, tmp_path_factory.mktemp("packs"))


def _requests(question: str) -> Iterator[dict[str, Any]]:
    for path in sorted((HERE / "cases" / question).glob("*.yaml")):
        for case in yaml.safe_load(path.read_text("utf-8")):
            yield case["request"]


@pytest.mark.parametrize("question", registry())
def test_every_set_here_answers_every_case_or_refuses_it(library: Library, question: str) -> None:
    for book in library.usable():
        for request in _requests(question):
            try:
                answer = ask(question, request, book)
            except Invalid:
                continue
            assert answer.rule_set == book.identity
