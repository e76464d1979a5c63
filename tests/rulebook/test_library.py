"""Several rule sets at once: which there are, which one answers, and what happens to one that cannot be used."""

from __future__ import annotations

import contextlib
import json
from collections.abc import Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import trial_sets
from millphase.rulebook import RuleFaults, load_set, packs, places, released
from millphase.rulebook.library import Library, UnknownRuleSet
from millphase.rulebook.places import BASE, packs_folder
from millphase.rulebook.release import release
from millphase.rulebook.sets import compile_set
from trial_sets import PRACTICE, change


@pytest.fixture
def root(tmp_path: Path) -> Path:
    """A folder of rule sets whose base set is a trial one, released once and changed since."""
    folder = tmp_path / "rules" / BASE
    trial_sets.write(folder, trial_sets.head(BASE), trial_sets.trial_rules(), trial_sets.SOURCES)
    (folder / "CHANGELOG.md").write_text("## 1.0.0\n\nFirst.\n\n## 2.0.0\n\nStricter.\n")
    release(folder, None)
    rules = [trial_sets.limit("trial/floor", "6 Mohm"), *trial_sets.trial_rules()[1:]]
    trial_sets.write(folder, trial_sets.head(BASE, "2.0.0"), rules, trial_sets.SOURCES)
    (tmp_path / "packs").mkdir()
    return tmp_path


def _library(root: Path, default: str | None = None) -> Library:
    load_set.cache_clear()
    return Library.load(root / "rules", root / "packs", default)


def _club(root: Path) -> None:
    base = compile_set(root / "rules" / BASE)
    named = {
        "name": BASE,
        "version": "2.0.0",
        "digest": released.digest_of_bytes(released.canonical(base)),
    }
    changes = [change("trial/floor", "tighten", value="7 Mohm", cite=PRACTICE)]
    trial_sets.write(root / "rules" / "clubs" / "barn-club", trial_sets.head("barn-club", base=named), changes)


def test_the_base_set_answers_and_the_others_can_be_pinned(root: Path) -> None:
    _club(root)
    library = _library(root)
    assert list(library) == ["workshop@2.0.0", "barn-club@1.0.0", "workshop@1.0.0"]
    assert len(library) == 3
    assert "workshop@1.0.0" in library
    assert "workshop@3.0.0" not in library
    assert library.default is library["workshop@2.0.0"]
    floors = {name: str(library[name].view(("*",)).limit("trial/floor").value) for name in library}
    assert floors == {"workshop@2.0.0": "6 Mohm", "barn-club@1.0.0": "7 Mohm", "workshop@1.0.0": "5 Mohm"}
    assert library.find("barn-club@1.0.0") is library.find("barn-club@1.0.0")
    assert [book.version for book in library.history("workshop")] == ["1.0.0", "2.0.0"]


def test_another_set_can_answer_by_default(root: Path) -> None:
    _club(root)
    library = _library(root, "barn-club@1.0.0")
    assert library.default.name == "barn-club"
    assert list(library) == ["barn-club@1.0.0", "workshop@1.0.0", "workshop@2.0.0"]
    assert library.find("workshop@2.0.0").version == "2.0.0"
    assert _library(root, "workshop@2.0.0").default.version == "2.0.0"
    with pytest.raises(UnknownRuleSet):
        _library(root, "loft-club@1.0.0")


def test_a_pinned_set_is_lent_the_rules_that_came_after_it(root: Path) -> None:
    """Its own rules decide wherever it has them; what it does not have is named, with the set that lent it."""
    rules = [*trial_sets.trial_rules(), trial_sets.limit("trial/later", "2 Mohm")]
    trial_sets.write(root / "rules" / BASE, trial_sets.head(BASE, "2.0.0"), rules, trial_sets.SOURCES)
    view = _library(root)["workshop@1.0.0"].view(("*",))
    assert str(view.limit("trial/floor").value) == "5 Mohm"
    assert view.notices() == []
    assert view.has("trial/later")
    assert str(view.limit("trial/later").value) == "2 Mohm"
    assert view.notices() == [
        "Rule set workshop 1.0.0 does not have these rules yet; they were taken from workshop 2.0.0: trial/later."
    ]
    assert not view.has("trial/never")
    with pytest.raises(KeyError, match="no rule trial/never"):
        view.limit("trial/never")


def test_a_set_that_is_not_here_is_told_with_those_that_are(root: Path) -> None:
    with pytest.raises(
        UnknownRuleSet, match=r"no rule set workshop@9.0.0 here; there are workshop@2.0.0, workshop@1.0.0"
    ):
        _library(root).find("workshop@9.0.0")


def test_a_fetched_pack_is_checked_again_when_it_is_loaded(root: Path) -> None:
    pack = {**compile_set(root / "rules" / BASE), "name": "loft-club"}
    path = root / "packs" / "loft-club-2.0.0.json"
    path.write_bytes(released.canonical(pack))
    assert _library(root)["loft-club@2.0.0"].name == "loft-club"
    pack["rules"]["trial/floor"]["value"] = "5 mA"
    path.write_bytes(released.canonical(pack))
    library = _library(root)
    with pytest.raises(UnknownRuleSet, match=r"loft-club@2.0.0 cannot be used: .*unknown unit of resistance"):
        library.find("loft-club@2.0.0")
    assert [book.name for book in library.usable()] == ["workshop", "workshop"]


def test_a_pack_that_is_fetched_while_the_service_runs_is_found(root: Path) -> None:
    library = _library(root)
    for name in ("loft-club", "barn-club"):
        pack = {**compile_set(root / "rules" / BASE), "name": name}
        (root / "packs" / f"{name}-2.0.0.json").write_bytes(released.canonical(pack))
    assert library.find("loft-club@2.0.0").name == "loft-club"
    assert [book.name for book in library.usable()] == ["workshop", "barn-club", "loft-club", "workshop"]
    assert [book.name for book in Library(library.default).usable()] == ["workshop"]


def test_a_pack_under_another_name_is_refused(root: Path) -> None:
    pack = {**compile_set(root / "rules" / BASE), "name": "loft-club"}
    (root / "packs" / "barn-club-2.0.0.json").write_bytes(released.canonical(pack))
    (root / "packs" / "notes.json").write_text("{}")
    library = _library(root)
    assert "barn-club@2.0.0" in library
    with pytest.raises(UnknownRuleSet, match=r"holds loft-club@2.0.0; name the file loft-club-2.0.0.json"):
        library.find("barn-club@2.0.0")


def test_a_released_pack_that_was_altered_is_not_used(root: Path) -> None:
    path = root / "rules" / "released" / "workshop-1.0.0.json"
    path.write_bytes(path.read_bytes().replace(b"5 Mohm", b"1 Mohm"))
    with pytest.raises(UnknownRuleSet, match="it was altered; fetch or restore it"):
        _library(root).find("workshop@1.0.0")


def test_a_pack_that_nobody_released_is_not_listed(root: Path) -> None:
    pack = {**compile_set(root / "rules" / BASE), "version": "7.0.0"}
    (root / "rules" / "released" / "workshop-7.0.0.json").write_bytes(released.canonical(pack))
    assert "workshop@7.0.0" not in _library(root)


def test_a_club_whose_base_is_gone_does_not_stop_the_service(root: Path) -> None:
    _club(root)
    trial_sets.write(root / "rules" / BASE, trial_sets.head(BASE, "3.0.0"), [])
    library = _library(root)
    with pytest.raises(UnknownRuleSet, match=r"barn-club@1.0.0 cannot be used.*the base workshop@2.0.0 is not here"):
        library.find("barn-club@1.0.0")


def test_a_club_without_a_readable_head_is_passed_over(root: Path) -> None:
    for name, text in (
        ("a-club", "name: ["),
        ("b-club", "name: b-club"),
        ("c-club", "- 1"),
        ("d-club", 'name: "D d"\nversion: "1"'),
    ):
        folder = root / "rules" / "clubs" / name
        folder.mkdir(parents=True)
        (folder / "ruleset.yaml").write_text(text)
    assert list(_library(root)) == ["workshop@2.0.0", "workshop@1.0.0"]


def test_only_packs_are_settled(root: Path) -> None:
    """Files may still change under their version; a released or a fetched pack cannot."""
    (root / "packs" / "loft-club-2.0.0.json").write_bytes(
        released.canonical({**compile_set(root / "rules" / BASE), "name": "loft-club"})
    )
    library = _library(root)
    settled = {name: library.settled(library[name]) for name in library}
    assert settled == {"workshop@2.0.0": False, "workshop@1.0.0": True, "loft-club@2.0.0": True}
    release(root / "rules" / BASE, None)
    assert library.settled(library.default)
    assert not Library(library.default).settled(library.default)


def test_signature_beside_a_pack(root: Path) -> None:
    library = _library(root)
    assert library.signature("workshop@1.0.0") is None
    (root / "rules" / "released" / "workshop-1.0.0.json.signature").write_bytes(b"{}")
    assert library.signature("workshop@1.0.0") == b"{}"
    (root / "rules" / "released" / "workshop-1.0.0.json.signature").write_bytes(b"x" * 5000)
    assert library.signature("workshop@1.0.0") is None


def test_where_fetched_packs_are_kept(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("MILLPHASE_PACKS", str(tmp_path / "named"))
    assert packs_folder() == tmp_path / "named"
    assert packs_folder(tmp_path / "given") == tmp_path / "given"
    monkeypatch.delenv("MILLPHASE_PACKS")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert packs_folder() == tmp_path / "millphase" / "rule-sets"
    monkeypatch.setenv("XDG_DATA_HOME", "relative")
    assert packs_folder() == Path.home() / ".local" / "share" / "millphase" / "rule-sets"


def test_the_files_of_a_release_are_loaded_from_its_pack(root: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The fast way: no rule file is parsed where the fingerprint is that of a release."""
    folder = root / "rules" / BASE
    release(folder, None)

    def no_parsing(_: Path) -> None:
        raise AssertionError("a rule file was parsed")

    load_set.cache_clear()
    monkeypatch.setattr("millphase.rulebook.sets.compile_set", no_parsing)
    book = load_set(folder)
    assert (book.version, book.digest) == ("2.0.0", released.digest_of_bytes(book.canonical))
    (folder / "trial" / "words.yaml").write_text(
        (folder / "trial" / "words.yaml").read_text().replace("fingers", "thumbs")
    )
    load_set.cache_clear()
    with pytest.raises(AssertionError, match="a rule file was parsed"):
        load_set(folder)


def test_a_pack_swapped_under_a_release_is_refused(root: Path) -> None:
    folder = root / "rules" / BASE
    release(folder, None)
    path = root / "rules" / "released" / "workshop-2.0.0.json"
    path.write_bytes(path.read_bytes().replace(b"6 Mohm", b"1 Mohm"))
    load_set.cache_clear()
    with pytest.raises(RuleFaults, match="it was altered"):
        load_set(folder)


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "not the canonical form"),
        (b"[]", "not the canonical form"),
        (b"{", "not the canonical form"),
        (b'{"b": 1, "a": 2}', "not the canonical form"),
        (b'{"a":1e400}', "not the canonical form"),
        (b"[" * 100_000, "not the canonical form"),
        (b"{}", "sources and rules must be objects by id"),
    ],
)
def test_bytes_that_are_no_pack(raw: bytes, words: str) -> None:
    with pytest.raises(RuleFaults, match=words):
        packs.from_bytes(raw, "the pack")


def test_a_pack_that_is_too_large_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "workshop-1.0.0.json"
    with path.open("wb") as stream:
        stream.truncate(released.PACK_LIMIT + 1)
    with pytest.raises(RuleFaults, match="larger than 8388608 bytes"):
        packs.read_foreign(path)


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("name", "Two Words", "is not allowed here; write a name in lower case"),
        ("rules", {"trial/floor": 1}, "a rule must be an object"),
        ("rules", {f"trial/r{number}": {} for number in range(5001)}, "more than 5000 rules"),
        ("rules", {"trial/floor": {"kind": "limit"}}, "is missing; add it"),
        (
            "rules",
            {"trial/floor": {**trial_sets.limit("trial/floor"), "changed": {"by": "me"}}},
            "is missing; add it",
        ),
        ("rules", {"trial/other": trial_sets.limit("trial/floor")}, "id must equal the path"),
        ("sources", {"common-practice": 1}, "is not a group of keys"),
        ("sources", {}, "no source record"),
    ],
)
def test_packs_with_a_fault(tmp_path: Path, key: str, value: object, words: str) -> None:
    pack = compile_set(trial_sets.base_set(tmp_path))
    pack[key] = value
    with pytest.raises(RuleFaults) as caught:
        packs.from_bytes(released.canonical(pack), "the pack")
    assert words in str(caught.value)


def _places(node: object, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    yield path
    if isinstance(node, dict | list):
        for key, part in node.items() if isinstance(node, dict) else enumerate(node):
            yield from _places(part, (*path, key))


JUNK = [None, True, -1, 0.5, 1e300, "", "5 mA", "text", [], {}, [[]], [1, "a", None], {"a": 1}, ["cross_section"]]


@settings(max_examples=100, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_a_damaged_pack_gives_faults_and_nothing_else(tmp_path: Path, data: st.DataObject) -> None:
    pack = _pack(tmp_path)
    for _ in range(data.draw(st.integers(1, 3))):
        *path, last = data.draw(st.sampled_from(sorted((place for place in _places(pack) if place), key=str)))
        node = pack
        for key in path:
            node = node[key]
        node[last] = deepcopy(data.draw(st.sampled_from(JUNK)))
    # Any other exception than RuleFaults is a fault of the program.
    with contextlib.suppress(RuleFaults):
        assert packs.from_bytes(released.canonical(pack), "the pack").digest.startswith("sha256:")


def _pack(folder: Path) -> dict[str, Any]:
    path = folder / "pack.json"
    if not path.exists():
        path.write_text(json.dumps(compile_set(trial_sets.base_set(folder))))
    found: dict[str, Any] = json.loads(path.read_text())
    return found


def test_index_that_is_no_json(root: Path) -> None:
    (root / "rules" / "released" / "index.json").write_text("{")
    with pytest.raises(RuleFaults, match="restore the file"):
        _library(root)
    sound = {"digest": "sha256:0", "files": "sha256:0"}
    for entry in (
        [], {"workshop@1.0.0": "sha256:0"}, {"workshop@1.0.0": {"digest": 1, "files": ""}}, {"workshop": sound}, {"a@b": sound},
    ):  # fmt: skip
        (root / "rules" / "released" / "index.json").write_text(json.dumps(entry))
        with pytest.raises(RuleFaults, match="not a list of packs"):
            _library(root)


def test_program_outside_a_checkout(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setattr(places, "__file__", str(tmp_path / "a" / "b" / "c" / "places.py"))
    assert places.checkout() is None
    monkeypatch.setattr(places, "files", lambda _: tmp_path)
    with pytest.raises(FileNotFoundError, match="no schema rule; the installation is incomplete"):
        places.schema("rule")
    with pytest.raises(FileNotFoundError, match="no rules folder found; tried"):
        places.data_root("rules")


def test_a_citation_is_cited_as_itself(root: Path) -> None:
    cited = _library(root).default.view(("*",)).limit("trial/floor").cited
    assert cited.cited is cited
