"""Ask every reference case again under another rule set, and say whose outcome changes.

The cases are those under ``tests/reference/cases``. They are part of a checkout, not of an installed program:
there is no replay without them, and whoever calls must say so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from millphase.questions.base import Invalid, load, registry, run
from millphase.rulebook import Rulebook
from millphase.rulebook.places import checkout


@dataclass(frozen=True, slots=True)
class Case:
    """One question asked with one request; where it comes from is its name."""

    question: str
    name: str
    request: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class OutcomeChange:
    """A case that ends otherwise under another rule set."""

    case: Case
    before: str
    after: str

    @property
    def words(self) -> str:
        """One sentence for a person."""
        return f"{self.case.question}, {self.case.name}: {self.before} became {self.after}"

    def as_json(self) -> dict[str, str]:
        """The change as plain JSON data."""
        return {
            "question": self.case.question,
            "case": self.case.name,
            "before": self.before,
            "after": self.after,
        }


def corpus(folder: Path | None = None) -> list[Case] | None:
    """Every reference case and the example of every question; None where there is no checkout to read them from."""
    root = checkout()
    place = folder or (root / "tests" / "reference" / "cases" if root else None)
    if place is None or not place.is_dir():
        return None
    cases = [Case(name, "the published example", question.example) for name, question in registry().items()]
    for path in sorted(place.glob("*/*.yaml")):
        for case in yaml.safe_load(path.read_text("utf-8")):
            cases.append(Case(path.parent.name, case["name"], case["request"]))
    return cases


def outcome_of(case: Case, book: Rulebook) -> str:
    """How a case ends under `book`: an outcome's word, or that its input contradicts itself."""
    question = registry()[case.question]
    try:
        request = load(question, dict(case.request))
        request.pop("rule_set", None)
        return run(question, request, book).outcome.word
    except Invalid:
        return "contradictory input"


def outcome_changes(cases: Sequence[Case], before: Rulebook, after: Rulebook) -> list[OutcomeChange]:
    """Cases whose outcome differs between two sets; a case that the later set cannot answer counts as changed.

    The earlier set is lent the rules that came after it, as it is wherever it is pinned.
    """
    found = []
    earlier = before.completed_by(after)
    for case in cases:
        words = [_safely(case, book) for book in (earlier, after)]
        if words[0] != words[1]:
            found.append(OutcomeChange(case, *words))
    return found


def _safely(case: Case, book: Rulebook) -> str:
    try:
        return outcome_of(case, book)
    except LookupError as error:
        return f"no answer ({error.args[0]})"
