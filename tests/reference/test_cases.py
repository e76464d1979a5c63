"""Every reference case of every question: outcome, values and findings from the outside world, and the working redone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

import working
from millphase.quantity import parse, parse_any
from millphase.questions.base import Invalid, ask, registry
from millphase.rulebook import workshop

CASES = Path(__file__).parent / "cases"
KEYS = {
    "outcome", "values", "within", "findings", "summary_has", "next_steps_have", "cautions_have", "absent", "problem",
    "findings_because",
}  # fmt: skip


def _load() -> list[Any]:
    found = []
    for path in sorted(CASES.glob("*/*.yaml")):
        for case in yaml.safe_load(path.read_text("utf-8")):
            assert set(case) == {"name", "source", "request", "expect"}, (path, case.get("name"))
            assert set(case["expect"]) <= KEYS, (path, case["name"])
            found.append(pytest.param(path.parent.name, case, id=f"{path.parent.name}: {case['name']}"))
    return found


def _agrees(got: Any, wanted: Any, within: float) -> bool:
    if isinstance(got, dict) and isinstance(wanted, str | int | float):
        expected = parse_any(wanted) if isinstance(wanted, str) else parse(str(wanted), "ratio")
        measured = parse_si(got)
        return abs(measured - expected.si) <= within * abs(expected.si) + 1e-12
    if isinstance(wanted, dict) and isinstance(got, dict):
        return all(_agrees(got.get(key), value, within) for key, value in wanted.items())
    if isinstance(wanted, list) and isinstance(got, list):
        return len(got) == len(wanted) and all(_agrees(g, w, within) for g, w in zip(got, wanted, strict=True))
    return bool(got == wanted)


def parse_si(given: dict[str, Any]) -> float:
    """SI value of a quantity of an answer."""
    return float(given["value"]) * working.FACTORS[given["unit"]]


@pytest.mark.parametrize(("question", "case"), _load())
def test_reference_case(question: str, case: dict[str, Any]) -> None:
    expect = case["expect"]
    if "problem" in expect:
        with pytest.raises(Invalid) as caught:
            ask(question, case["request"], workshop())
        assert caught.value.contradictory, caught.value.faults
        assert expect["problem"] in [fault.pointer for fault in caught.value.faults]
        return
    answer = ask(question, case["request"], workshop()).as_json()
    working.check(answer)
    described = {"type": "object", "properties": {k: v.json_schema() for k, v in registry()[question].values.items()}}
    Draft202012Validator(described).validate(answer["values"])
    if "outcome" in expect:
        assert answer["outcome"] == expect["outcome"], answer["summary"]
    within = parse(str(expect.get("within", "0.5 %")), "ratio").si
    for name, wanted in expect.get("values", {}).items():
        assert name in answer["values"], sorted(answer["values"])
        assert _agrees(answer["values"][name], wanted, within), (name, answer["values"][name], wanted)
    for rule, outcome in expect.get("findings", {}).items():
        assert outcome in [f["outcome"] for f in answer["findings"] if f["rule"] == rule], (rule, answer["findings"])
    for rule, words in expect.get("findings_because", {}).items():
        assert any(words in f["because"] for f in answer["findings"] if f["rule"] == rule), (rule, answer["findings"])
    for words in expect.get("summary_has", []):
        assert words in answer["summary"]
    for words in expect.get("next_steps_have", []):
        assert any(words in step for step in answer["next_steps"]), answer["next_steps"]
    for rule in expect.get("cautions_have", []):
        assert workshop().rules[rule].data["text"] in answer["cautions"]
    for name in expect.get("absent", []):
        assert name not in answer["values"]


def test_every_example_is_answered() -> None:
    for question in registry().values():
        answer = ask(question.name, dict(question.example), workshop()).as_json()
        working.check(answer)
