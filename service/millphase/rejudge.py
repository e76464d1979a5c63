"""Judge a stored assessment again: under the rules of its day, under others, and say why they differ."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from millphase.questions.base import Invalid, load, registry, run
from millphase.rulebook import Rulebook
from millphase.rulebook.difference import differences

MATTERS = ("outcome", "values", "findings")
"""Parts of an answer that are compared; a reworded sentence is no other judgement."""


def rejudge(
    question: str, request: Mapping[str, Any], answer: Mapping[str, Any], then: Rulebook | None, now: Rulebook
) -> dict[str, Any]:
    """Compare a stored answer with what `now` makes of the same readings.

    Parameters
    ----------
    question : str
        Name of the question.
    request, answer : mapping
        As they were stored.
    then : Rulebook or None
        The rule set the answer names, or None where it is no longer here.
    now : Rulebook
        The rule set to judge under.

    Returns
    -------
    dict
        ``then`` and ``now`` with rule set, outcome and summary; ``reproduced`` (whether this program still gives the
        stored judgement under the rules of its day; None where those are not here), ``same``, ``because`` (the rules
        that differ and were used), ``findings`` that ended otherwise, and ``summary``.
    """
    again = _judge(question, request, now)
    replayed = _judge(question, request, then) if then is not None else None
    reproduced = None if replayed is None else all(replayed.get(part) == answer[part] for part in MATTERS)
    used = _rules_of(answer) | _rules_of(again) | (_rules_of(replayed) if replayed else set())
    changed = [
        difference.as_json()
        for difference in (differences(then.pack, now.pack) if then is not None else [])
        if difference.rule in used and difference.kind != "wording"
    ]
    same = all(again.get(part) == answer[part] for part in MATTERS)
    return {
        "question": question,
        "then": _shown(answer),
        "now": _shown(again),
        "same": same,
        "reproduced": reproduced,
        "because": changed,
        "findings": _moved(answer, again),
        "summary": _summary(answer, again, same=same, reproduced=reproduced, changed=changed),
    }


def _judge(question: str, request: Mapping[str, Any], book: Rulebook) -> dict[str, Any]:
    """The answer under `book`, whatever set the stored request pins."""
    asked = registry()[question]
    try:
        loaded = load(asked, {name: value for name, value in request.items() if name != "rule_set"})
        return run(asked, loaded, book).as_json()
    except Invalid as invalid:
        first = invalid.faults[0]
        return {
            "outcome": "no-answer", "summary": f"Not answered: at {first.pointer or '/'}: {first.message}.",
            "values": {}, "findings": [], "working": [], "assumptions": [], "rule_set": book.identity,
        }  # fmt: skip


def _rules_of(answer: Mapping[str, Any]) -> set[str]:
    parts = (*answer["findings"], *answer["working"], *answer["assumptions"])
    return {part["rule"] for part in parts if "rule" in part}


def _shown(answer: Mapping[str, Any]) -> dict[str, Any]:
    return {key: answer[key] for key in ("rule_set", "outcome", "summary")}


def _moved(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Findings that ended otherwise, by rule and place among that rule's findings."""
    old, new = _by_place(before), _by_place(after)
    return [
        {"rule": place[0], "then": old.get(place, "not-judged"), "now": new.get(place, "not-judged")}
        for place in {**old, **new}
        if old.get(place) != new.get(place)
    ]


def _by_place(answer: Mapping[str, Any]) -> dict[tuple[str, int], str]:
    found: dict[tuple[str, int], str] = {}
    for finding in answer["findings"]:
        count = sum(1 for rule, _ in found if rule == finding["rule"])
        found[finding["rule"], count] = finding["outcome"]
    return found


def _summary(
    before: Mapping[str, Any], after: Mapping[str, Any], *, same: bool, reproduced: bool | None, changed: list[dict[str, Any]]
) -> str:  # fmt: skip
    sets = ["{name}@{version}".format(**answer["rule_set"]) for answer in (before, after)]
    if same:
        return f"{before['outcome'].capitalize()} under {sets[0]}, and the same under {sets[1]}."
    if before["outcome"] == after["outcome"]:
        first = f"{before['outcome'].capitalize()} under {sets[0]} and under {sets[1]}, but values or findings differ"
    else:
        first = f"{before['outcome'].capitalize()} under {sets[0]}, {after['outcome']} under {sets[1]}"
    if reproduced is None:
        return f"{first}. The rules of its day are not here, so the cause cannot be told apart."
    if not reproduced:
        program = "this version of the program no longer gives the stored answer under the rules of its day"
        return f"{first}: {program}{'; rules differ too' if changed else ''}."
    words = "; ".join(difference["words"] for difference in changed)
    return f"{first}: {words or 'no rule used by either answer differs in itself'}."
