"""Replay of the reference corpus, judging stored assessments again, and what a club adds to a question."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from millphase.questions.base import ask, registry
from millphase.rejudge import rejudge
from millphase.replay import Case, corpus, outcome_changes, outcome_of
from millphase.rulebook import Rulebook, workshop
from trial_sets import PRACTICE, REASON

QUESTION = "insulation-acceptance"
FLOOR = "insulation/random-wound-minimum"


def _with(rule: str, version: str = "9.0.0", **parts: Any) -> Rulebook:
    """The base set with one rule changed; the numbers are of no workshop and cite nothing."""
    pack = json.loads(json.dumps(workshop().pack))
    pack["version"] = version
    pack["rules"][rule] = {**pack["rules"].get(rule, {"id": rule}), **parts}
    return Rulebook(pack)


def _request(resistance: str) -> dict[str, Any]:
    """One reading at 40 °C, where nothing is corrected, of a winding that has been dry for a day."""
    return {
        "rated_voltage": "400 V", "winding": "random-wound", "under_test": "motor", "drive_disconnected": True,
        "readings": [
            {
                "between": "UVW-earth", "resistance": resistance, "test_voltage": "500 V", "after": "60 s",
                "instrument": "insulation-tester", "winding_temperature": "40 degC",
            }
        ],
    }  # fmt: skip


def test_the_corpus_is_that_of_the_checkout(tmp_path: Path) -> None:
    cases = corpus()
    assert cases is not None
    assert {case.question for case in cases} == set(registry())
    assert corpus(tmp_path / "nowhere") is None
    (tmp_path / QUESTION).mkdir()
    (tmp_path / QUESTION / "few.yaml").write_text(json.dumps([{"name": "a case", "request": _request("7 Mohm")}]))
    small = corpus(tmp_path)
    assert small is not None
    assert [case.name for case in small if case.name != "the published example"] == ["a case"]


def test_without_a_checkout_there_is_no_corpus(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("millphase.replay.checkout", lambda: None)
    assert corpus() is None


def test_an_outcome_that_changes_is_found() -> None:
    case = Case(QUESTION, "a motor in the barn", {**_request("7 Mohm"), "rule_set": f"workshop@{workshop().version}"})
    stricter = _with(FLOOR, value="10 Mohm")
    assert outcome_of(case, workshop()) != outcome_of(case, stricter) == "caution"
    [change] = outcome_changes([case], workshop(), stricter)
    assert change.words == f"{QUESTION}, a motor in the barn: {change.before} became caution"
    assert change.as_json()["case"] == "a motor in the barn"
    assert outcome_changes([case], workshop(), workshop()) == []


def test_a_rule_that_came_later_changes_no_outcome_by_being_lent() -> None:
    earlier = dict(workshop().pack)
    earlier["rules"] = {
        name: rule for name, rule in earlier["rules"].items() if name != "insulation/random-wound-minimum"
    }
    case = Case(QUESTION, "lent", _request("7 Mohm"))
    assert outcome_changes([case], Rulebook(earlier), workshop()) == []


def test_input_that_contradicts_itself_and_rules_that_are_gone_are_outcomes_too() -> None:
    broken = Case(QUESTION, "no readings", {"rated_voltage": "400 V", "readings": []})
    assert outcome_of(broken, workshop()) == "contradictory input"
    pack = json.loads(json.dumps(workshop().pack))
    del pack["rules"][FLOOR]
    [change] = outcome_changes([Case(QUESTION, "gone", _request("7 Mohm"))], workshop(), Rulebook(pack))
    assert change.after.startswith("no answer (")


# ---- judging again


def _stored(request: dict[str, Any]) -> dict[str, Any]:
    answer: dict[str, Any] = json.loads(json.dumps(ask(QUESTION, request, workshop()).as_json()))
    return answer


def test_the_same_under_the_same_rules() -> None:
    request = _request("70 Mohm")
    found = rejudge(QUESTION, request, _stored(request), workshop(), workshop())
    assert (found["same"], found["reproduced"], found["because"], found["findings"]) == (True, True, [], [])
    assert found["summary"].endswith(f"and the same under workshop@{workshop().version}.")


def test_the_rule_that_makes_the_difference_is_named() -> None:
    request = {**_request("7 Mohm"), "rule_set": f"workshop@{workshop().version}"}
    stored = _stored(request)
    found = rejudge(QUESTION, request, stored, workshop(), _with(FLOOR, value="10 Mohm"))
    assert (found["then"]["outcome"], found["now"]["outcome"]) == (stored["outcome"], "caution")
    assert found["now"]["rule_set"]["version"] == "9.0.0"
    assert [(change["rule"], change["direction"]) for change in found["because"]] == [(FLOOR, "stricter")]
    assert {"rule": FLOOR, "then": "accept", "now": "caution"} in found["findings"]
    assert f"{FLOOR}: at least 5 Mohm became at least 10 Mohm, stricter" in found["summary"]
    assert "caution under workshop@9.0.0" in found["summary"]


def test_a_changed_rule_that_was_not_used_is_no_cause() -> None:
    request = _request("70 Mohm")
    other = _with("insulation/armature-minimum", value="7 Mohm")
    found = rejudge(QUESTION, request, _stored(request), workshop(), other)
    assert (found["same"], found["because"]) == (True, [])


def test_values_can_differ_under_one_outcome() -> None:
    request = _request("70 Mohm")
    found = rejudge(QUESTION, request, _stored(request), workshop(), _with(FLOOR, value="6 Mohm"))
    assert not found["same"]
    assert "but values or findings differ" in found["summary"]


def test_rules_of_that_day_that_are_no_longer_here() -> None:
    request = _request("7 Mohm")
    found = rejudge(QUESTION, request, _stored(request), None, _with(FLOOR, value="10 Mohm"))
    assert found["reproduced"] is None
    assert "The rules of its day are not here" in found["summary"]


def test_a_program_that_judges_otherwise_is_told_apart_from_rules_that_do() -> None:
    request = _request("7 Mohm")
    stored = {**_stored(request), "outcome": "inconclusive"}
    found = rejudge(QUESTION, request, stored, workshop(), workshop())
    assert found["reproduced"] is False
    assert "this version of the program no longer gives the stored answer" in found["summary"]
    assert "rules differ too" not in found["summary"]
    both = rejudge(QUESTION, request, stored, workshop(), _with(FLOOR, value="10 Mohm"))
    assert "; rules differ too" in both["summary"]


def test_a_request_that_is_no_longer_accepted() -> None:
    request = _request("7 Mohm")
    found = rejudge(QUESTION, {**request, "readings": []}, _stored(request), workshop(), workshop())
    assert found["now"]["outcome"] == "no-answer"
    assert "Not answered: at /readings" in found["now"]["summary"]


# ---- what a club adds


def _added(kind: str, **parts: Any) -> Rulebook:
    note = {"by": "barn-club@1.0.0", "change": "add", "reason": REASON}
    more = {"title": "A rule of the barn club", "kind": kind, "cite": PRACTICE, "changed": note}
    return _with("insulation/barn", **more, **parts)


def _limit(
    value: str, sense: str = "at-least", of: str = "resistance_at_40c", dimension: str = "resistance"
) -> Rulebook:
    wanted = {"question": QUESTION, "value": of}
    return _added("limit", dimension=dimension, sense=sense, value=value, applies_to=wanted)


def test_an_added_limit_judges_a_value_of_the_answer() -> None:
    plain = ask(QUESTION, _request("70 Mohm"), workshop()).as_json()
    kept = ask(QUESTION, _request("70 Mohm"), _limit("50 Mohm")).as_json()
    assert (kept["outcome"], kept["summary"]) == (plain["outcome"], plain["summary"])
    assert (kept["findings"][-1]["rule"], kept["findings"][-1]["outcome"]) == ("insulation/barn", "accept")
    failed = ask(QUESTION, _request("70 Mohm"), _limit("90 Mohm")).as_json()
    assert failed["outcome"] == "reject"
    assert (
        "But rule set workshop adds a limit that is not kept: A rule of the barn club: at least 90 Mohm, and it is 70 Mohm."
        in failed["summary"]
    )
    assert failed["findings"][:-1] == plain["findings"]


def test_an_added_limit_may_only_caution() -> None:
    wanted = {"question": QUESTION, "value": "resistance_at_40c", "otherwise": "caution"}
    book = _added("limit", dimension="resistance", sense="at-least", value="90 Mohm", applies_to=wanted)
    answer = ask(QUESTION, _request("70 Mohm"), book).as_json()
    assert (answer["outcome"], answer["findings"][-1]["outcome"]) == ("caution", "caution")
    assert ask(QUESTION, _request("50 kohm"), book).as_json()["outcome"] == "reject"


def test_an_added_limit_never_acquits() -> None:
    rejected = ask(QUESTION, _request("50 kohm"), _limit("10 kohm")).as_json()
    assert rejected["outcome"] == "reject"


def test_an_added_limit_on_a_value_that_the_answer_lacks_is_silent() -> None:
    plain = ask(QUESTION, _request("70 Mohm"), workshop()).as_json()
    for book in (
        _limit("3 K", of="dew_point_margin", dimension="temperature-difference"),
        _limit("3 V", dimension="voltage"),
    ):
        answer = ask(QUESTION, _request("70 Mohm"), book).as_json()
        assert answer["findings"] == plain["findings"]


def test_an_added_text_is_a_caution() -> None:
    book = _added("text", text="Sweep the straw away first.", applies_to={"question": QUESTION})
    assert "Sweep the straw away first." in ask(QUESTION, _request("70 Mohm"), book).as_json()["cautions"]
    name, other = next((name, question) for name, question in registry().items() if name != QUESTION)
    assert "Sweep the straw away first." not in ask(name, dict(other.example), book).as_json()["cautions"]


def test_an_added_rule_that_was_withdrawn_is_silent() -> None:
    book = _added(
        "text", text="Sweep the straw away first.", applies_to={"question": QUESTION}, withdrawn="The straw is gone now.",
    )  # fmt: skip
    assert "Sweep the straw away first." not in ask(QUESTION, _request("70 Mohm"), book).as_json()["cautions"]


def test_a_withdrawn_rule_makes_the_answer_inconclusive_and_says_why() -> None:
    answer = ask(QUESTION, _request("70 Mohm"), _with(FLOOR, withdrawn="The club tests with its own rig.")).as_json()
    assert answer["outcome"] == "inconclusive"
    assert "withdrawn" in answer["summary"]
    assert "its own rig" in answer["summary"]


@pytest.mark.parametrize("name", list(registry()))
def test_no_question_hides_that_a_rule_was_loosened(name: str) -> None:
    """With every rule loosened, every rule that an answer cites is named among its cautions."""
    pack = json.loads(json.dumps(workshop().pack))
    for rule in pack["rules"].values():
        rule["changed"] = {"by": "barn-club@1.0.0", "change": "loosen", "reason": REASON}
    answer = ask(name, dict(registry()[name].example), Rulebook(pack)).as_json()
    parts = [*answer["findings"], *answer["working"], *answer["assumptions"]]
    cited = {part["rule"] for part in parts if "rule" in part}
    told = "\n".join(answer["cautions"])
    assert cited
    assert [rule for rule in sorted(cited) if f"has loosened {rule} (" not in told] == []
