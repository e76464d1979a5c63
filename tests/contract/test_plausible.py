"""Whatever plausible readings come in, the answer is one that the published document promises, and its working can be redone."""

from __future__ import annotations

import importlib.util
import json
import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT202012

import working
from millphase.questions.base import Invalid, ask, registry
from millphase.rulebook import workshop

EXAMPLES = int(os.environ.get("MILLPHASE_FUZZ_EXAMPLES", "25"))
"""Requests drawn for each question; a thousand make a nightly run."""


def _load(path: Path, name: str) -> Any:
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


HERE = Path(__file__).parent
REQUESTS = _load(HERE / "plausible.py", "plausible").requests
BUILD = _load(HERE.parents[1] / "openapi" / "build.py", "openapi_build_for_fuzzing")
DOCUMENT = json.loads(BUILD.build())
KNOWN: Any = Registry().with_resource("urn:document", Resource(DOCUMENT, DRAFT202012))


def validator(question: str, kind: str) -> Draft202012Validator:
    return Draft202012Validator(
        {"$ref": f"urn:document#/components/schemas/{BUILD.camel(question)}{kind}"}, registry=KNOWN
    )


def outcome_of(name: str, request: dict[str, Any]) -> dict[str, Any] | Invalid:
    try:
        return ask(name, request, workshop()).as_json()
    except Invalid as refused:
        return refused


@pytest.mark.parametrize("name", registry())
def test_plausible_requests_get_promised_answers(name: str) -> None:
    question, book = registry()[name], workshop()
    request_schema, answer_schema = validator(name, "Request"), validator(name, "Answer")
    answered = 0

    @settings(max_examples=EXAMPLES, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(REQUESTS(question))
    def keeps_the_promise(request: dict[str, Any]) -> None:
        nonlocal answered
        request_schema.validate(request)
        result = outcome_of(name, request)
        if isinstance(result, Invalid):
            assert result.contradictory, result
            assert all(fault.message for fault in result.faults)
            return
        answer = result
        answered += 1
        answer_schema.validate(answer)
        working.check(answer)
        text = json.dumps(answer, allow_nan=False)
        assert json.dumps(outcome_of(name, request)) == text, "same request, same bytes"
        cited = {finding["rule"] for finding in answer["findings"]} | {entry["rule"] for entry in answer["assumptions"]}
        assert cited <= set(book.rules)
        assert answer["summary"]
        assert "None" not in text
        assert answer["outcome"] == "inconclusive" or any(finding["decides"] for finding in answer["findings"])

    keeps_the_promise()
    assert answered, "no request was plausible enough to be answered: the declared ranges are wrong"


def test_the_strategies_know_every_kind_of_field() -> None:
    for question in registry().values():
        assert isinstance(REQUESTS(question), st.SearchStrategy)
