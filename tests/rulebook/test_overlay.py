"""A club's own set: what it may change in its base, and what users are told of it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

import trial_sets
from millphase.answer import Outcome, Sheet
from millphase.quantity import Quantity
from millphase.rulebook import RuleFaults, load_set
from millphase.rulebook.book import Rulebook, RuleWithdrawn
from millphase.rulebook.sets import compile_set
from trial_sets import PRACTICE, REASON, change, club_set


@pytest.fixture
def root(tmp_path: Path) -> Path:
    trial_sets.base_set(tmp_path)
    return tmp_path


def _loosened(value: str = "2 Mohm") -> dict[str, Any]:
    return change("trial/floor", "replace", loosens=True, value=value, cite=PRACTICE)


def test_a_club_tightens_adds_and_withdraws(root: Path) -> None:
    added = {key: value for key, value in trial_sets.limit("trial/barn", "9 Mohm").items() if key != "id"}
    folder = club_set(
        root,
        [
            change("trial/floor", "tighten", value="10 Mohm", cite=PRACTICE, note="Damp is our worst enemy."),
            change("trial/barn", "add", **added),
            change("trial/words", "withdraw"),
        ],
    )
    book = load_set(folder)
    base = compile_set(root / "base-set")
    assert str(book.view(("*",)).limit("trial/floor").value) == "10 Mohm"
    assert book.rules["trial/floor"].data["changed"] == {
        "by": "barn-club@1.0.0", "change": "tighten", "reason": REASON, "was": "5 Mohm",
    }  # fmt: skip
    assert str(book.view(("*",)).limit("trial/barn").value) == "9 Mohm"
    assert not book.view(("*",)).has("trial/words")
    with pytest.raises(RuleWithdrawn, match="unheated barn"):
        book.view(("*",)).text("trial/words")
    assert {rule for rule in book.rules if book.rules[rule].data == base["rules"].get(rule)} == {
        "trial/default", "trial/constants", "trial/classes", "trial/sizes", "trial/order",
    }  # fmt: skip


def test_tightening_an_at_most_limit_means_less(tmp_path: Path) -> None:
    ceiling = trial_sets.limit("trial/ceiling", "10 Mohm", sense="at-most")
    trial_sets.write(tmp_path / "base-set", trial_sets.head("base-set"), [ceiling], trial_sets.SOURCES[:1])
    folder = club_set(tmp_path, [change("trial/ceiling", "tighten", value="9 Mohm", cite=PRACTICE)])
    assert str(load_set(folder).view(("*",)).limit("trial/ceiling").value) == "9 Mohm"
    club_set(tmp_path, [change("trial/ceiling", "tighten", value="11 Mohm", cite=PRACTICE)])
    with pytest.raises(RuleFaults, match=r"11 Mohm is looser than the base's 10 Mohm \(at-most\)"):
        compile_set(folder)


def _answer(book: Rulebook) -> Any:
    sheet = Sheet("trial", book.view(("*",)))
    limit = sheet.book.limit("trial/floor")
    sheet.compare(limit, Quantity.of(3, "Mohm"), because="The winding reads 3 Mohm.")
    return sheet.answer("Trial.")


def test_every_answer_that_used_a_loosened_rule_says_so(root: Path) -> None:
    answer = _answer(load_set(club_set(root, [_loosened()])))
    assert answer.outcome is Outcome.ACCEPT
    assert list(answer.cautions) == [
        "Rule set barn-club@1.0.0 has loosened trial/floor (Least resistance of a trial winding) from 5 Mohm to 2 Mohm. "
        f"Reason given: {REASON}"
    ]


def test_an_answer_that_did_not_use_it_is_not_burdened(root: Path) -> None:
    book = load_set(club_set(root, [_loosened()]))
    sheet = Sheet("trial", book.view(("*",)))
    sheet.assume("winding_temperature", "20 degC", sheet.book.constant("trial/default"))
    assert sheet.answer("Trial.").cautions == []


def test_a_tightened_rule_needs_no_caution(root: Path) -> None:
    answer = _answer(load_set(club_set(root, [change("trial/floor", "tighten", value="6 Mohm", cite=PRACTICE)])))
    assert (answer.outcome, answer.cautions) == (Outcome.REJECT, [])


def test_a_withdrawn_rule_that_was_looked_for_is_told(root: Path) -> None:
    book = load_set(club_set(root, [change("trial/floor", "withdraw")]))
    sheet = Sheet("trial", book.view(("*",)))
    assert not sheet.book.has("trial/floor")
    assert not sheet.book.has("trial/never-was")
    [caution] = sheet.answer("Trial.").cautions
    assert caution.startswith("Rule set barn-club@1.0.0 has withdrawn trial/floor")


def test_rules_of_every_kind_can_be_replaced_openly(root: Path) -> None:
    openly = {"loosens": True, "cite": PRACTICE}
    folder = club_set(
        root,
        [
            change("trial/default", "replace", value="30 degC", **openly),
            change("trial/constants", "replace", values={"a": 17.6, "b": "240 degC"}, **openly),
            change(
                "trial/classes",
                "replace",
                bands=[{"below": 1, "label": "poor"}, {"from": 1, "label": "good"}],
                **openly,
            ),
            change("trial/sizes", "replace", rows=[[1.5, 15], [2.5, 20]], **openly),
            change("trial/words", "replace", text="Keep your fingers to yourself.", **openly),
            change("trial/order", "replace", steps=["Prove dead.", "Lock off."], **openly),
        ],
    )
    book = load_set(folder)
    view = book.view(("*",))
    assert str(view.constant("trial/default").value) == "30 °C"
    assert view.bands("trial/classes").of(Quantity.of(1.5, "Mohm")) == "good"
    row = view.table("trial/sizes").row(cross_section=Quantity.of(2.5, "mm2"))
    assert row is not None
    assert (str(row.q("capacity")), row["capacity"].cited.source["checked"]) == ("20 A", "memory")
    assert len(view.notices()) == 3
    view.text("trial/words")
    assert "has loosened trial/words (A caution for trials). Reason" in view.notices()[-1]


def test_a_club_may_build_on_a_club(root: Path) -> None:
    first = club_set(root, [change("trial/floor", "tighten", value="10 Mohm", cite=PRACTICE)])
    book = load_set(first)
    named = {"name": "barn-club", "version": "1.0.0", "digest": book.digest}
    second = trial_sets.write(
        root / "clubs" / "loft-club", trial_sets.head("loft-club", base=named),
        [change("trial/floor", "tighten", value="20 Mohm", cite=PRACTICE)],
    )  # fmt: skip
    assert str(load_set(second).view(("*",)).limit("trial/floor").value) == "20 Mohm"


def test_a_source_record_of_the_club_may_not_hide_one_of_the_base(root: Path) -> None:
    folder = club_set(root, [])
    other = [{"id": "trial-page", "kind": "page", "title": "Quite another page", "publisher": "none"}]
    (folder / "sources").mkdir()
    (folder / "sources" / "own.yaml").write_text(str({"sources": other}).replace("'", '"'))
    with pytest.raises(RuleFaults, match="the base has another record trial-page; give the club's record its own id"):
        compile_set(folder)


def test_when_the_base_moves_on_every_change_that_no_longer_fits_is_reported(root: Path) -> None:
    folder = club_set(
        root,
        [change("trial/floor", "tighten", value="6 Mohm", cite=PRACTICE), change("trial/words", "withdraw")],
    )
    rules = [
        {**rule, "value": "8 Mohm"} if rule["id"] == "trial/floor" else rule
        for rule in trial_sets.trial_rules()
        if rule["id"] != "trial/words"
    ]
    (root / "base-set" / "trial" / "words.yaml").unlink()
    trial_sets.write(root / "base-set", trial_sets.head("base-set", "2.0.0"), rules, trial_sets.SOURCES)
    with pytest.raises(RuleFaults, match=r"the base base-set@1.0.0 is not here"):
        compile_set(folder)
    load_set.cache_clear()
    club_set(root, [])
    with pytest.raises(RuleFaults) as caught:
        compile_set(folder)
    told = [fault.message for fault in caught.value.faults]
    assert "6 Mohm is looser than the base's 8 Mohm (at-least)" in told[0]
    assert "the base base-set@2.0.0 has no rule trial/words" in told[1]


def test_a_rule_that_the_base_has_withdrawn_cannot_be_changed(root: Path) -> None:
    book = load_set(club_set(root, [change("trial/floor", "withdraw")]))
    named = {"name": "barn-club", "version": "1.0.0", "digest": book.digest}
    second = trial_sets.write(
        root / "clubs" / "loft-club", trial_sets.head("loft-club", base=named),
        [change("trial/floor", "tighten", value="20 Mohm", cite=PRACTICE)],
    )  # fmt: skip
    with pytest.raises(RuleFaults, match="the base has withdrawn trial/floor"):
        compile_set(second)


def test_unreadable_changes_are_told(root: Path) -> None:
    folder = club_set(root, [])
    (folder / "trial").mkdir()
    (folder / "trial" / "floor.yaml").write_text("id: [")
    with pytest.raises(RuleFaults, match="not readable as YAML"):
        compile_set(folder)
    (folder / "trial" / "floor.yaml").write_text("- a list")
    with pytest.raises(RuleFaults, match="is not a group of keys"):
        compile_set(folder)


def test_a_club_brings_its_own_sources(root: Path) -> None:
    added = {key: value for key, value in trial_sets.limit("trial/barn").items() if key != "id"}
    own = {"source": "barn-book", "locator": "page 3", "basis": "handbook", "checked": "memory"}
    folder = club_set(root, [change("trial/barn", "add", **{**added, "cite": own})])
    (folder / "sources").mkdir()
    record = (
        '{"sources": [{"id": "barn-book", "kind": "handbook", "title": "The book of the barn", "publisher": "none"}]}'
    )
    (folder / "sources" / "own.yaml").write_text(record)
    book = load_set(folder)
    assert book.rules["trial/barn"].cited.source["title"] == "The book of the barn"
    (folder / "trial" / "barn.yaml").unlink()
    with pytest.raises(RuleFaults, match="no rule cites this source"):
        compile_set(folder)
