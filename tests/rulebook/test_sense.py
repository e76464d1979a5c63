"""A club may tighten any limit unseen; so no limit, made stricter, may turn an answer that warned into one that accepts.

First principles: `sense` says which side of a limit is safe. Where two questions read one limit in opposite ways, neither
way is stricter, and the rule must say ``two_sided: true``. The reference corpus is asked again with each limit made stricter
by three tenths.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest

from millphase.answer import Outcome
from millphase.quantity import Quantity
from millphase.questions.base import Invalid, load, registry, run
from millphase.replay import Case, corpus
from millphase.rulebook import Limit, Rulebook, workshop
from millphase.rulebook.book import View
from millphase.rulebook.model import to_quantity

STRICTER = 1.3


class Watched(Rulebook):
    """A rule set that keeps the views it hands out, which know what was asked for."""

    def __init__(self, pack: Any) -> None:
        super().__init__(pack)
        self.views: list[View] = []

    def view(self, patterns: Any) -> View:
        """As in any rule set."""
        self.views.append(super().view(patterns))
        return self.views[-1]


def _outcome(case: Case, book: Rulebook) -> Outcome | None:
    question = registry()[case.question]
    try:
        request = load(question, dict(case.request))
        request.pop("rule_set", None)
        return run(question, request, book).outcome
    except Invalid:
        return None


@cache
def _askers() -> dict[str, list[tuple[Case, Outcome]]]:
    """Cases that use a rule, with their outcome, by rule. A size that is chosen is left out: a stricter limit chooses another."""
    found: dict[str, list[tuple[Case, Outcome]]] = defaultdict(list)
    book = Watched(workshop().pack)
    for case in corpus() or []:
        if case.question == "changeover" or (case.question == "cable-sizing" and "cross_section" not in case.request):
            continue
        book.views.clear()
        outcome = _outcome(case, book)
        # An accept cannot get any better.
        if outcome is not None and outcome is not Outcome.ACCEPT:
            for rule in {rule for view in book.views for rule in view.asked}:
                found[rule].append((case, outcome))
    return found


def _stricter(rule: dict[str, Any]) -> dict[str, Any]:
    limit = to_quantity(rule["value"], rule["dimension"])
    by = STRICTER if rule["sense"] == "at-least" else 1 / STRICTER
    # Degrees have no natural zero: a temperature is moved by as much of a hundred degrees.
    si = limit.si + 100 * (by - 1) if limit.dimension == "temperature" else limit.si * by
    number = Quantity(si, limit.unit, limit.dimension).value
    return {**rule, "value": f"{number:.9g}" if limit.unit == "1" else f"{number:.9g} {limit.unit}"}


def _limits() -> Iterator[str]:
    for name, rule in workshop().pack["rules"].items():
        if rule["kind"] == "limit" and "two_sided" not in rule:
            yield name


@pytest.mark.parametrize("name", list(_limits()))
def test_a_stricter_limit_acquits_nobody(name: str) -> None:
    book = Rulebook({**workshop().pack, "rules": {}})
    book.rules = {**workshop().rules, name: Limit(_stricter(dict(workshop().rules[name].data)), workshop().sources)}
    for case, before in _askers()[name]:
        after = _outcome(case, book)
        if after is not None and after < before:
            assert after is not Outcome.ACCEPT, (case.question, case.name)
            assert before is not Outcome.REJECT, (case.question, case.name)
