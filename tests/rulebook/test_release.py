"""Versions, differences and releases: what changed, which step it needs, and that a released pack never changes."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

import trial_sets
from millphase.rulebook import Rulebook, load_set, released, workshop
from millphase.rulebook.difference import Difference, differences
from millphase.rulebook.places import checkout, data_root
from millphase.rulebook.release import ReleaseRefused, changelog_entry, needed_step, plan, release
from millphase.rulebook.sets import compile_set
from millphase.rulebook.versions import Version, split_identity

numbers = st.integers(0, 9999)


@given(numbers, numbers, numbers)
def test_versions_read_back_and_order_by_number(major: int, minor: int, patch: int) -> None:
    version = Version.read(f"{major}.{minor}.{patch}")
    assert str(version) == f"{major}.{minor}.{patch}"
    assert version == version.after("none")
    assert version < version.after("patch") < version.after("minor") < version.after("major")


@pytest.mark.parametrize("text", ["1.0", "1.0.0.0", "01.0.0", "1.0.0-rc1", "v1.0.0", "1.0.0\n", "", "1.0.12345"])
def test_text_that_is_no_version(text: str) -> None:
    with pytest.raises(ValueError, match=r"write major\.minor\.patch"):
        Version.read(text)


@pytest.mark.parametrize("text", ["workshop", "workshop@1.0", "Work Shop@1.0.0", "../x@1.0.0", "a@1.0.0\n", "-a@1.0.0"])
def test_text_that_names_no_set(text: str) -> None:
    with pytest.raises(ValueError, match="write name@version"):
        split_identity(text)
    assert split_identity("barn-club@1.10.0") == ("barn-club", "1.10.0")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = trial_sets.base_set(tmp_path)
    (made / "CHANGELOG.md").write_text("# Changes\n\n## 1.0.0\n\nFirst set.\n")
    return made


def _edit(folder: Path, rule: str, **parts: Any) -> None:
    path = folder / f"{rule}.yaml"
    path.write_text(json.dumps({**json.loads(path.read_text()), **parts}))


def _version(folder: Path, version: str, *, entry: bool = True) -> None:
    head = json.loads((folder / "ruleset.yaml").read_text())
    (folder / "ruleset.yaml").write_text(json.dumps({**head, "version": version}))
    if entry:
        with (folder / "CHANGELOG.md").open("a") as stream:
            stream.write(f"\n## {version}\n\nSomething for somebody.\n")


def _pack(folder: Path) -> Path:
    return folder.parent / "released" / "base-set-1.0.0.json"


def test_first_release(folder: Path) -> None:
    found, path = release(folder, None)
    assert (found.last, path) == (None, _pack(folder))
    raw = _pack(folder).read_bytes()
    assert raw == rfc8785.dumps(json.loads(raw))
    listed = json.loads((folder.parent / "released" / "index.json").read_text())
    assert listed["base-set@1.0.0"]["digest"] == load_set(folder).digest == released.digest_of_bytes(raw)
    assert release(folder, None)[1] is None


def test_no_release_without_a_word_in_the_changelog(folder: Path) -> None:
    (folder / "CHANGELOG.md").write_text("# Changes\n\n## 1.0.0\n\n## 0.9.0\n\nOlder.\n")
    with pytest.raises(ReleaseRefused, match=r"CHANGELOG.md has no entry for 1.0.0; write '## 1.0.0'"):
        release(folder, None)
    (folder / "CHANGELOG.md").unlink()
    assert changelog_entry(folder, "1.0.0") == ""
    assert not _pack(folder).exists()


def test_a_trial_release_writes_nothing(folder: Path) -> None:
    _, path = release(folder, None, write=False)
    assert path == _pack(folder)
    assert not (folder.parent / "released").exists()


def _none(_: object, __: object) -> list[str]:
    return []


def _one(_: object, __: object) -> list[str]:
    return ["winding-balance, a motor in the barn: accept became reject"]


def _change(folder: Path, what: str) -> None:
    if what == "new rule":
        (folder / "trial" / "new.yaml").write_text(json.dumps(trial_sets.limit("trial/new")))
    elif what == "rule gone":
        (folder / "trial" / "words.yaml").unlink()
    elif what == "licence":
        (folder / "ruleset.yaml").write_text(json.dumps(trial_sets.head("base-set", licence="CC0-1.0")))
    else:
        rule, key, value = {
            "note": ("trial/floor", "note", "Reworded."),
            "same limit": ("trial/floor", "value", "5000 kohm"),
            "limit": ("trial/floor", "value", "6 Mohm"),
            "value": ("trial/default", "value", "30 degC"),
        }[what]
        _edit(folder, rule, **{key: value})


@pytest.mark.parametrize(
    ("edit", "replay", "step"),
    [
        ("note", _none, "patch"), ("same limit", _none, "patch"), ("licence", _none, "patch"), ("note", None, "patch"),
        ("new rule", _none, "minor"), ("value", _none, "minor"),
        ("value", _one, "major"), ("new rule", _one, "major"), ("note", _one, "major"), ("value", None, "major"),
        ("limit", _none, "major"), ("rule gone", _none, "major"),
    ],
)  # fmt: skip
def test_the_step_that_changes_need(folder: Path, edit: str, replay: Any, step: str) -> None:
    release(folder, None)
    _change(folder, edit)
    found, _ = plan(folder, replay)
    assert found.step == step, found.why
    assert found.why
    wanted = {
        "patch": ["1.0.1", "1.1.0", "2.0.0"],
        "minor": ["1.1.0", "2.0.0"],
        "major": ["2.0.0"],
    }[step]
    refused = [version for version in ("1.0.0", "1.0.1", "1.1.0", "1.0.2", "3.0.0", "0.9.0") if version not in wanted]
    for version in refused:
        _version(folder, version)
        with pytest.raises(ReleaseRefused, match=f'a {step} step: write version "{wanted[0]}"'):
            release(folder, replay)
    _version(folder, wanted[0])
    _, path = release(folder, replay)
    assert path is not None
    assert path.name == f"base-set-{wanted[0]}.json"


def test_a_new_version_without_any_change_is_refused_a_skip(folder: Path) -> None:
    release(folder, None)
    _version(folder, "1.2.0")
    with pytest.raises(ReleaseRefused, match="none step"):
        release(folder, _none)
    _version(folder, "1.0.1")
    assert release(folder, _none)[1] is not None


def test_only_the_files_changed_not_the_set(folder: Path) -> None:
    """A comment changes no rule: there is nothing to release, but the pack stands for the new files too."""
    release(folder, None)
    path = folder / "trial" / "floor.yaml"
    path.write_text("# a remark\n" + path.read_text())
    before = released.index(folder.parent / "released")
    assert release(folder, None)[1] is None
    after = released.index(folder.parent / "released")
    assert before["base-set@1.0.0"]["digest"] == after["base-set@1.0.0"]["digest"]
    assert after["base-set@1.0.0"]["files"] == released.fingerprint(folder) != before["base-set@1.0.0"]["files"]


def test_a_released_pack_is_never_written_over(folder: Path) -> None:
    release(folder, None)
    raw = _pack(folder).read_bytes()
    (folder.parent / "released" / "index.json").unlink()
    _edit(folder, "trial/floor", value="1 Mohm")
    with pytest.raises(ReleaseRefused, match="never changes under one version; take the next version"):
        release(folder, None)
    assert _pack(folder).read_bytes() == raw


def test_a_new_base_is_a_major_step_for_a_club(folder: Path) -> None:
    club = trial_sets.club_set(folder.parent, [])
    (club / "CHANGELOG.md").write_text("## 1.0.0\n\nFirst.\n")
    release(club, None)
    _edit(folder, "trial/words", note="Reworded.")
    load_set.cache_clear()
    trial_sets.club_set(folder.parent, [])
    found, _ = plan(club, None)
    assert found.step == "major"
    assert plan(club, _none)[0].step == "minor"


def test_written_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    for write in (released.write_once, released.replace):
        with pytest.raises(OSError, match="No space"):
            write(tmp_path / "packs" / "a.json" if write is released.write_once else tmp_path / "a.json", b"x")
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []


def test_two_writers_cannot_both_win(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    link, target = os.link, tmp_path / "a.json"

    def late(source: str, path: Path) -> None:
        target.write_bytes(b"first")
        link(source, path)

    monkeypatch.setattr(os, "link", late)
    with pytest.raises(FileExistsError, match="is there with other content"):
        released.write_once(target, b"second")
    assert target.read_bytes() == b"first"
    target.unlink()
    assert released.write_once(target, b"first") is False


# ---- differences


def test_differences_tell_direction_and_cells(tmp_path: Path) -> None:
    folder = trial_sets.base_set(tmp_path)
    before = compile_set(folder)
    ceiling = trial_sets.limit("trial/ceiling", "9 Mohm", sense="at-most")
    (folder / "trial" / "ceiling.yaml").write_text(json.dumps(ceiling))
    _edit(folder, "trial/floor", value="10 Mohm", note="Stricter now.")
    _edit(folder, "trial/default", value="30 degC")
    _edit(folder, "trial/constants", values={"a": 17.6, "b": "243.12 degC"})
    _edit(folder, "trial/classes", bands=[{"below": 3, "label": "poor"}, {"from": 3, "label": "good"}])
    _edit(folder, "trial/sizes", rows=[[1.5, 14.5], [2.5, 20], [4, 26]])
    _edit(folder, "trial/order", steps=["Prove dead."])
    (folder / "trial" / "words.yaml").unlink()
    found = {(change.rule, change.kind): change for change in differences(before, compile_set(folder))}
    assert found["trial/floor", "limit"].words == "trial/floor: at least 5 Mohm became at least 10 Mohm, stricter"
    assert found["trial/floor", "limit"].direction == "stricter"
    assert found["trial/floor", "wording"].words == "trial/floor: note reworded"
    assert found["trial/default", "value"].words == "trial/default: value was 20 degC, is 30 degC"
    assert found["trial/default", "value"].as_json()["before"] == "20 degC"
    assert found["trial/constants", "value"].words == "trial/constants: a was 17.62, is 17.6"
    assert found["trial/classes", "value"].words.startswith("trial/classes: bands was")
    assert found["trial/sizes", "value"].words == (
        "trial/sizes: at cross_section 2.5 capacity was 19.5, is 20; a row more at cross_section 4"
    )
    assert found["trial/order", "value"].words == "trial/order: the steps differ"
    assert found["trial/words", "removed"].as_json() == {
        "rule": "trial/words", "kind": "removed", "direction": "unknown",
        "words": "trial/words is gone: A caution for trials",
    }  # fmt: skip
    assert found["trial/ceiling", "added"].after == "9 Mohm"
    back = {(change.rule, change.kind): change for change in differences(compile_set(folder), before)}
    assert back["trial/floor", "limit"].direction == "looser"
    assert "a row less at cross_section 4" in back["trial/sizes", "value"].words


def test_more_differences(tmp_path: Path) -> None:
    before = compile_set(trial_sets.base_set(tmp_path))
    after = json.loads(json.dumps(before))
    rules = after["rules"]
    rules["trial/floor"]["sense"] = "at-most"
    rules["trial/sizes"]["rows"].reverse()
    rules["trial/words"]["text"] = "Keep your thumbs out."
    rules["trial/default"]["withdrawn"] = "No longer wanted here."
    after["sources"]["common-practice"]["title"] = "Practice that is common"
    found = {change.rule: change for change in differences(before, after)}
    assert (found["trial/floor"].kind, found["trial/floor"].direction) == ("limit", "unknown")
    assert found["trial/sizes"].words == "trial/sizes: the rows stand in another order"
    assert found["trial/words"].words == "trial/words: the text differs"
    assert found["trial/default"].words == "trial/default is withdrawn: No longer wanted here."
    assert found["sources"].words == "source records differ: common-practice"
    assert {change.kind for change in differences(after, before)} >= {"restored"}
    rules["trial/sizes"]["key"] = ["capacity"]
    assert "the table has another form" in {c.rule: c for c in differences(before, after)}["trial/sizes"].words
    rules["trial/floor"] = {**trial_sets.limit("trial/floor", "5 mA"), "dimension": "current"}
    assert {c.rule: c for c in differences(before, after)}["trial/floor"].direction == "unknown"


def test_no_difference(tmp_path: Path) -> None:
    pack = compile_set(trial_sets.base_set(tmp_path))
    assert differences(pack, pack) == []
    assert needed_step([], []) == ("none", [])


def test_a_limit_that_changes_is_major_whatever_the_corpus_says() -> None:
    change = Difference("trial/floor", "limit", "stricter", "words")
    assert needed_step([change], [])[0] == "major"


# ---- the packs that ship


def test_released_packs_never_change() -> None:
    """Git remembers: a pack file under rules/released was added once and not touched since."""
    root = checkout()
    if root is None or shutil.which("git") is None or not (root / ".git").exists():
        pytest.skip("needs the history of a checkout")
    told = subprocess.run(
        ["git", "log", "--no-merges", "--format=", "--name-status", "--diff-filter=MDRT", "--", "rules/released/*-[0-9]*.json"],
        cwd=root, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert told.stdout.strip() == ""


def test_the_set_that_answers_is_the_one_released_under_its_version() -> None:
    """Any digit that changes without a new version is noticed here, whether or not a check of its value exists."""
    book = workshop()
    entry = released.index(data_root("rules") / released.FOLDER).get(f"{book.name}@{book.version}")
    if entry is None:
        pytest.skip(f"{book.name}@{book.version} is not released yet")
    assert Rulebook(book.pack).digest == entry["digest"]
