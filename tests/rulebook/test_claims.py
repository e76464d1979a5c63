"""What a club's set says of its changes: loosening must show, in files, in packs from elsewhere, and on top of another club."""

from __future__ import annotations

import json
from collections.abc import Callable
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest

import trial_sets
from millphase.answer import Sheet
from millphase.quantity import Quantity
from millphase.questions.base import ask, registry
from millphase.rulebook import RuleFaults, load_set, packs, released, workshop
from millphase.rulebook.book import Rulebook
from millphase.rulebook.claims import claim_faults
from millphase.rulebook.difference import differences
from millphase.rulebook.library import Library, UnknownRuleSet
from millphase.rulebook.overlay import Overlay
from millphase.rulebook.places import BASE
from millphase.rulebook.sets import compile_set, held
from trial_sets import PRACTICE, REASON, change, club_set

Pack = dict[str, Any]


@pytest.fixture
def root(tmp_path: Path) -> Path:
    trial_sets.base_set(tmp_path)
    return tmp_path


def _honest(root: Path) -> Pack:
    """A club's pack with a change of each kind."""
    added = {key: value for key, value in trial_sets.limit("trial/barn", "9 Mohm").items() if key != "id"}
    return compile_set(
        club_set(
            root,
            [
                change("trial/floor", "tighten", value="10 Mohm", cite=PRACTICE),
                change("trial/barn", "add", **added),
                change("trial/words", "withdraw"),
                change("trial/default", "replace", loosens=True, value="30 degC", cite=PRACTICE),
            ],
        )
    )


def test_an_honest_club_passes(root: Path) -> None:
    base = compile_set(root / "base-set")
    assert claim_faults(_honest(root), base, "pack") == []
    assert held(Rulebook(_honest(root)), root, root / "packs")
    assert held(Rulebook(base), root, root / "packs")


def _edit(rule: str, drop: tuple[str, ...] = (), **parts: Any) -> Callable[[Pack], None]:
    def edit(pack: Pack) -> None:
        kept = {key: value for key, value in pack["rules"].get(rule, {}).items() if key not in drop}
        pack["rules"][rule] = {**kept, **parts}

    return edit


TIGHTENED = {"by": "barn-club@1.0.0", "change": "tighten", "reason": REASON}
LIES: dict[str, tuple[Callable[[Pack], None], str]] = {
    "a limit without a word": (_edit("trial/floor", ("changed",), value="1 Mohm"), "does not say that the club changed it"),
    "a limit called stricter": (_edit("trial/floor", value="1 Mohm"), "1 Mohm is not stricter than 5 Mohm"),
    "a limit turned round": (_edit("trial/floor", sense="at-most"), "more than the value of a limit differs"),
    "a cell without a word": (_edit("trial/sizes", rows=[[1.5, 90], [2.5, 99]]), "does not say that the club changed it"),
    "a cell called stricter": (
        _edit("trial/sizes", rows=[[1.5, 90], [2.5, 99]], changed=TIGHTENED), "more than the value of a limit differs",
    ),
    "bands without a word": (
        _edit("trial/classes", bands=[{"below": 1, "label": "poor"}, {"from": 1, "label": "good"}]), "does not say that",
    ),
    "coefficients without a word": (_edit("trial/constants", values={"a": 1, "b": "243.12 degC"}), "does not say that"),
    "a constant without a word": (_edit("trial/default", ("changed",), value="5 degC"), "does not say that"),
    "other names under loosening": (
        _edit("trial/constants", values={"c": 1}, changed={**TIGHTENED, "change": "loosen"}), "has another form at /values/a",
    ),
    "steps without a word": (_edit("trial/order", steps=["Work live."]), "does not say that the club changed it"),
    "withdrawn and altered": (_edit("trial/words", text="Fingers in."), "is withdrawn and altered besides"),
    "a rule dropped": (lambda pack: pack["rules"].pop("trial/order"), "is missing, though a set can only withdraw"),
    "a rule slipped in": (_edit("trial/barn", ("changed",)), "does not say that the club added it"),
    "a source renamed": (
        lambda pack: pack["sources"].update({"trial-page": {**pack["sources"]["trial-page"], "title": "A standard"}}),
        "is another record than in its base",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", list(LIES))
def test_a_pack_that_hides_a_change_is_not_used(name: str, root: Path) -> None:
    edit, words = LIES[name]
    pack = deepcopy(_honest(root))
    edit(pack)
    book = packs.from_bytes(released.canonical(pack), "the pack")
    with pytest.raises(RuleFaults) as caught:
        held(book, root, root / "packs")
    assert any(words in fault.message for fault in caught.value.faults), str(caught.value)
    assert all("ask its keeper" in fault.message for fault in caught.value.faults)


def test_a_cell_that_the_base_has_cannot_be_emptied(tmp_path: Path) -> None:
    table = {
        "id": "trial/two", "title": "Two capacities by size", "kind": "table", "cite": PRACTICE, "key": ["size"],
        "columns": [{"name": "size", "text": True}] + [
            {"name": name, "dimension": "current", "unit": "A"} for name in ("buried", "in_air")
        ],
        "rows": [["small", 10, None], ["large", 20, 25]],
    }  # fmt: skip
    trial_sets.write(tmp_path / "base-set", trial_sets.head("base-set"), [table], trial_sets.SOURCES[:1])
    rows = [["small", 9, 11], ["large", 20, None], ["huge", 30, None]]
    folder = club_set(tmp_path, [change("trial/two", "replace", loosens=True, rows=rows, cite=PRACTICE)])
    with pytest.raises(RuleFaults, match="the base has in_air at size large, and questions rely on it; give a value"):
        compile_set(folder)
    rows[1][2] = 24
    club_set(tmp_path, [change("trial/two", "replace", loosens=True, rows=rows, cite=PRACTICE)])
    assert compile_set(folder)["rules"]["trial/two"]["rows"] == rows


def test_without_its_base_nothing_is_proved(root: Path) -> None:
    pack = _honest(root)
    pack["base"] = {**pack["base"], "digest": "sha256:" + "0" * 64}
    assert not held(Rulebook(pack), root, root / "packs")


def test_the_service_does_not_answer_under_a_pack_that_hides_a_change(tmp_path: Path) -> None:
    rules, fetched = tmp_path / "rules", tmp_path / "packs"
    fetched.mkdir()
    trial_sets.write(rules / BASE, trial_sets.head(BASE), trial_sets.trial_rules(), trial_sets.SOURCES)
    base = compile_set(rules / BASE)
    named = {"name": BASE, "version": "1.0.0", "digest": released.digest_of_bytes(released.canonical(base))}
    pack = {**base, "name": "loft-club", "base": named}
    (fetched / "loft-club-1.0.0.json").write_bytes(released.canonical(pack))
    load_set.cache_clear()
    assert Library.load(rules, fetched).find("loft-club@1.0.0").name == "loft-club"
    looser = {**pack, "rules": {**pack["rules"], "trial/floor": trial_sets.limit("trial/floor", "1 Mohm")}}
    (fetched / "loft-club-1.0.0.json").write_bytes(released.canonical(looser))
    with pytest.raises(UnknownRuleSet, match="differs and does not say that the club changed it"):
        Library.load(rules, fetched).find("loft-club@1.0.0")


@pytest.mark.parametrize(
    ("about", "words"),
    [
        ({"withdrawn": "Nobody needs it any more."}, "withdrawn by a club that says so"),
        ({"changed": {**TIGHTENED, "change": "withdraw"}}, "withdrawn by a club that says so"),
        ({"note": "It reads \x1b[31m red"}, r"nobody can see \(U\+001B\)"),
    ],
)
def test_packs_that_contradict_themselves(about: Pack, words: str, root: Path) -> None:
    pack = compile_set(root / "base-set")
    pack["rules"]["trial/floor"] = {**pack["rules"]["trial/floor"], **about}
    with pytest.raises(RuleFaults, match=words):
        packs.from_bytes(released.canonical(pack), "the pack")


@pytest.mark.parametrize("depth", [12, 200, 900, 990])
def test_a_pack_as_deep_as_a_well(depth: int, root: Path) -> None:
    deep = b"[" * depth + b"]" * depth
    raw = released.canonical({**compile_set(root / "base-set"), "title": []}).replace(b'"title":[]', b'"title":' + deep)
    with pytest.raises(RuleFaults, match=r"is nested deeper than 12 levels|not the canonical form"):
        packs.from_bytes(raw, "the pack")


def test_a_fault_is_told_in_a_line_however_long_the_value(root: Path) -> None:
    pack = {**compile_set(root / "base-set"), "title": ["z" * 50] * 10_000}
    with pytest.raises(RuleFaults) as caught:
        packs.from_bytes(released.canonical(pack), "the pack")
    assert len(str(caught.value)) < 400


def _second(root: Path, first: Rulebook, changes: list[Pack], name: str = "loft-club") -> Rulebook:
    named = {"name": first.name, "version": first.version, "digest": first.digest}
    return load_set(trial_sets.write(root / "clubs" / name, trial_sets.head(name, base=named), changes))


def _cautions(book: Rulebook) -> list[str]:
    sheet = Sheet("trial", book.view(("*",)))
    sheet.compare(sheet.book.limit("trial/floor"), Quantity.of(3, "Mohm"), because="The winding reads 3 Mohm.")
    return list(sheet.answer("Trial.").cautions)


def test_a_club_upon_a_club_does_not_hide_that_a_limit_is_looser_than_it_was(root: Path) -> None:
    """5 Mohm loosened to 1 Mohm by the first club, and "tightened" to 2 Mohm by the second, is still loosened."""
    first = load_set(club_set(root, [change("trial/floor", "replace", loosens=True, value="1 Mohm", cite=PRACTICE)]))
    second = _second(root, first, [change("trial/floor", "tighten", value="2 Mohm", cite=PRACTICE)])
    [caution] = _cautions(second)
    assert "Rule set loft-club@1.0.0 has loosened trial/floor" in caution
    assert "from 5 Mohm to 2 Mohm" in caution
    assert held(second, root, root / "packs")
    restored = _second(root, first, [change("trial/floor", "tighten", value="6 Mohm", cite=PRACTICE)], "hill-club")
    assert _cautions(restored) == []


@pytest.mark.parametrize("was", [{}, {"was": "much more"}])
def test_a_loosened_limit_of_unknown_origin_stays_loosened(was: Pack, root: Path) -> None:
    """A fetched base may say that it loosened a limit, and not from what."""
    base = compile_set(root / "base-set")
    note = {"by": "barn-club@1.0.0", "change": "loosen", "reason": REASON, **was}
    base["rules"]["trial/floor"] = {**base["rules"]["trial/floor"], "changed": note}
    overlay = Overlay({"name": "loft-club", "version": "1.0.0"}, base, base["sources"])
    overlay.apply(change("trial/floor", "tighten", value="6 Mohm", cite=PRACTICE), {}, "trial/floor.yaml")
    assert overlay.faults == []
    assert overlay.rules["trial/floor"]["changed"]["change"] == "loosen"


def test_clubs_that_build_on_each_other_in_a_circle(root: Path) -> None:
    for name, base in (("a-club", "b-club"), ("b-club", "a-club")):
        named = {"name": base, "version": "1.0.0", "digest": "sha256:" + "0" * 64}
        trial_sets.write(root / "clubs" / name, trial_sets.head(name, base=named), [])
    with pytest.raises(RuleFaults, match=r"build on each other in a circle \(a-club, b-club, a-club\)"):
        compile_set(root / "clubs" / "a-club")


def test_a_limit_with_two_sides_is_never_tightened_unseen(tmp_path: Path) -> None:
    share = trial_sets.limit("trial/floor", two_sided=True)
    trial_sets.write(tmp_path / "base-set", trial_sets.head("base-set"), [share], trial_sets.SOURCES[:1])
    folder = club_set(tmp_path, [change("trial/floor", "tighten", value="6 Mohm", cite=PRACTICE)])
    with pytest.raises(RuleFaults, match="stricter for one question and looser for another, and which way is stricter"):
        compile_set(folder)
    for value in ("6 Mohm", "4 Mohm"):
        club_set(tmp_path, [change("trial/floor", "replace", loosens=True, value=value, cite=PRACTICE)])
        load_set.cache_clear()
        book = load_set(folder)
        [caution] = _cautions(book)
        assert (
            f"has loosened trial/floor (Least resistance of a trial winding) from 5 Mohm to {value}, which is"
            in caution
        )
        [difference] = [
            one for one in differences(compile_set(tmp_path / "base-set"), book.pack) if one.kind == "limit"
        ]
        assert difference.direction == "unknown"


def test_a_rule_that_only_the_club_has_is_told_where_a_question_used_it(root: Path) -> None:
    """A default or a table that the base does without can turn an open question into an accept."""
    added = {key: value for key, value in trial_sets.limit("trial/barn", "1 Mohm").items() if key != "id"}
    sheet = Sheet("trial", load_set(club_set(root, [change("trial/barn", "add", **added)])).view(("*",)))
    assert sheet.book.has("trial/barn")
    assert sheet.answer("Trial.").cautions == []
    sheet.compare(sheet.book.limit("trial/barn"), Quantity.of(3, "Mohm"), because="The winding reads 3 Mohm.")
    [caution] = sheet.answer("Trial.").cautions
    assert "has added trial/barn (Least resistance of a trial winding), which its base does without" in caution


def test_an_accept_that_hangs_on_what_a_club_added_says_so() -> None:
    """Without a loop impedance the base leaves the cable open; a club that adds what its distributor declares closes it."""
    pack = json.loads(json.dumps(workshop().pack))
    declared = "cable-iec-60364/external-loop-impedance"
    note = {"by": "barn-club@1.0.0", "change": "add", "reason": REASON}
    british = pack["rules"]["cable-bs-7671/external-loop-impedance"]
    pack["rules"][declared] = {**british, "id": declared, "changed": note}
    request = {
        "design_current": "10 A", "phases": 1, "voltage": "230 V", "length": "12 m", "installation_method": "c",
        "cable": "multicore", "insulation": "pvc-70", "earthing": "tn-s", "voltage_drop_limit": "5 %",
        "protective_device": {"kind": "mcb-b", "rating": "16 A"},
    }  # fmt: skip
    plain, club = (ask("cable-sizing", request, book).as_json() for book in (workshop(), Rulebook(pack)))
    assert (plain["outcome"], club["outcome"]) == ("inconclusive", "accept")
    assert [caution for caution in club["cautions"] if f"has added {declared}" in caution]


@pytest.mark.parametrize(
    ("parts", "words"),
    [
        ({"withdrawn": REASON, "changed": {**TIGHTENED, "change": "withdraw"}}, "has withdrawn insulation/barn"),
        ({"changed": {**TIGHTENED, "change": "loosen", "was": "9 Mohm"}}, "has loosened insulation/barn"),
    ],
)
def test_an_addition_that_a_second_club_took_back_is_told(parts: Pack, words: str) -> None:
    question = "insulation-acceptance"
    pack = json.loads(json.dumps(workshop().pack))
    pack["rules"]["insulation/barn"] = {
        **trial_sets.limit("insulation/barn", "1 Mohm"),
        "applies_to": {"question": question, "value": "resistance_at_40c"}, **parts,
    }  # fmt: skip
    answer = ask(question, dict(registry()[question].example), Rulebook(pack)).as_json()
    assert any(words in caution for caution in answer["cautions"])
    assert answer["outcome"] == ask(question, dict(registry()[question].example), workshop()).as_json()["outcome"]


def test_no_kind_of_rule_can_be_changed_without_owning_up(root: Path) -> None:
    """Whatever `tighten` can do at all makes the limit stricter; all else needs ``loosens: true``."""
    for rule in trial_sets.trial_rules():
        club_set(root, [change(rule["id"], "tighten", value="4 Mohm", cite=PRACTICE)])
        with pytest.raises(RuleFaults):
            compile_set(root / "clubs" / "barn-club")
        (root / "clubs" / "barn-club" / f"{rule['id']}.yaml").unlink()
