"""A corpus of rule files that are wrong in one way each: file, line, key, and words that say what to do."""

from __future__ import annotations

import shutil
from dataclasses import dataclass
from pathlib import Path

import pytest

import trial_sets
from millphase.rulebook import RuleFaults
from millphase.rulebook.sets import compile_set

BROKEN = Path(__file__).parent / "broken"


@dataclass
class Expected:
    """What the first comment lines of a broken file ask of its fault."""

    at: str
    key: str
    says: list[str]
    line: str


def _expected(path: Path) -> Expected:
    found = Expected(f"trial/{path.stem}", "", [], "any")
    for line in path.read_text("utf-8").splitlines():
        if not line.startswith("# "):
            break
        word, _, rest = line[2:].partition(": ")
        if word == "says":
            found.says.append(rest)
        else:
            setattr(found, word, "" if rest == "(none)" else rest)
    return found


def _files(kind: str) -> list[object]:
    return [pytest.param(path, id=path.stem) for path in sorted((BROKEN / kind).glob("*.yaml"))]


def _only_fault(folder: Path, expected: Expected, shown: str) -> None:
    with pytest.raises(RuleFaults) as caught:
        compile_set(folder)
    fault = caught.value.faults[0]
    assert [other for other in caught.value.faults if other.file != fault.file] == []
    assert (fault.file, fault.key) == (shown, expected.key), str(fault)
    for words in expected.says:
        assert words in fault.message, str(fault)
    if expected.line != "any":
        assert fault.line == int(expected.line), str(fault)


@pytest.mark.parametrize("path", _files("rules"))
def test_broken_rule(path: Path, tmp_path: Path) -> None:
    expected = _expected(path)
    folder = trial_sets.base_set(tmp_path)
    target = folder / f"{expected.at}.yaml"
    shutil.copyfile(path, target)
    _only_fault(folder, expected, f"{expected.at}.yaml")


@pytest.mark.parametrize("path", _files("sources"))
def test_broken_sources(path: Path, tmp_path: Path) -> None:
    folder = trial_sets.base_set(tmp_path)
    shutil.copyfile(path, folder / "sources" / path.name)
    shown = "sources" if path.stem == "uncited" else f"sources/{path.name}"
    _only_fault(folder, _expected(path), shown)


@pytest.mark.parametrize("path", _files("heads"))
def test_broken_head(path: Path, tmp_path: Path) -> None:
    folder = trial_sets.base_set(tmp_path)
    shutil.copyfile(path, folder / "ruleset.yaml")
    _only_fault(folder, _expected(path), "ruleset.yaml")


@pytest.mark.parametrize("path", _files("overlays"))
def test_broken_head_of_an_overlay(path: Path, tmp_path: Path) -> None:
    trial_sets.base_set(tmp_path)
    folder = trial_sets.club_set(tmp_path, [])
    shutil.copyfile(path, folder / "ruleset.yaml")
    _only_fault(folder, _expected(path), "ruleset.yaml")


@pytest.mark.parametrize("path", _files("changes"))
def test_broken_change(path: Path, tmp_path: Path) -> None:
    trial_sets.base_set(tmp_path)
    folder = trial_sets.club_set(tmp_path, [])
    expected = _expected(path)
    (folder / "trial").mkdir()
    shutil.copyfile(path, folder / f"{expected.at}.yaml")
    _only_fault(folder, expected, f"{expected.at}.yaml")


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"\xff\xfe\x00", "save the file as UTF-8"),
        (b"id: \x01", "remove control characters"),
        (b"#" * 65_537, "larger than 65536 bytes; split the rule"),
    ],
)
def test_file_that_is_no_text(raw: bytes, words: str, tmp_path: Path) -> None:
    folder = trial_sets.base_set(tmp_path)
    (folder / "trial" / "odd.yaml").write_bytes(raw)
    with pytest.raises(RuleFaults, match=words):
        compile_set(folder)


def test_file_in_a_place_that_is_not_read(tmp_path: Path) -> None:
    folder = trial_sets.base_set(tmp_path)
    (folder / "trial" / "deeper").mkdir()
    (folder / "trial" / "deeper" / "lost.yaml").write_text("id: trial/deeper/lost")
    (folder / "trial" / "misnamed.yml").write_text("id: trial/misnamed")
    with pytest.raises(RuleFaults) as caught:
        compile_set(folder)
    assert [fault.file for fault in caught.value.faults] == ["trial/deeper/lost.yaml", "trial/misnamed.yml"]
    assert "move or remove it" in caught.value.faults[0].message


def test_a_cell_as_long_as_a_page(tmp_path: Path) -> None:
    folder = trial_sets.base_set(tmp_path)
    table = next(rule for rule in trial_sets.trial_rules() if rule["id"] == "trial/sizes")
    columns = [table["columns"][0], {"name": "remark", "text": True}]
    wordy = {"columns": columns, "key": ["cross_section"], "rows": [[1.5, "word " * 100]]}
    trial_sets.write(
        folder, trial_sets.head("base-set"), [{key: table[key] for key in ("id", "title", "kind", "cite")} | wordy]
    )
    with pytest.raises(RuleFaults, match="longer than 400 characters; put it into a rule of kind text"):
        compile_set(folder)


def test_set_without_a_head(tmp_path: Path) -> None:
    with pytest.raises(RuleFaults, match="a rule set needs name, version and licence"):
        compile_set(tmp_path)


def test_every_fault_is_told_at_once(tmp_path: Path) -> None:
    folder = trial_sets.base_set(tmp_path)
    for name in ("unit-missing", "unknown-kind", "duplicate-key"):
        shutil.copyfile(BROKEN / "rules" / f"{name}.yaml", folder / "trial" / f"{name}.yaml")
    with pytest.raises(RuleFaults) as caught:
        compile_set(folder)
    assert [fault.file for fault in caught.value.faults] == [
        "trial/duplicate-key.yaml", "trial/unit-missing.yaml", "trial/unknown-kind.yaml",
    ]  # fmt: skip


def test_the_corpus_is_large_enough() -> None:
    assert len(list(BROKEN.rglob("*.yaml"))) >= 180
