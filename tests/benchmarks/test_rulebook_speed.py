"""Times of rule sets: loading the base set and an overlay of a thousand rules, and the look-ups of one answer."""

from __future__ import annotations

import json
import shutil
import statistics
import time
from collections.abc import Callable
from pathlib import Path

import coverage
import pytest

import trial_sets
from millphase.questions.base import load, registry, run
from millphase.rulebook import load_set, released, workshop
from millphase.rulebook.book import View
from millphase.rulebook.places import BASE, data_root
from millphase.rulebook.release import release
from millphase.rulebook.sets import compile_set
from trial_sets import PRACTICE, change

pytestmark = pytest.mark.skipif(coverage.Coverage.current() is not None, reason="coverage slows every line down")


def _best(call: Callable[[], object], times: int) -> float:
    """The shortest of several runs [s]: what the work itself takes, without what else the machine does."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        taken.append(time.perf_counter() - start)
    return min(taken)


def _fresh(folder: Path) -> str:
    load_set.cache_clear()
    return load_set(folder).digest


def test_load_of_the_base_set(tmp_path: Path) -> None:
    """As released, which is what users load; files that were changed since are parsed and checked one by one."""
    folder = shutil.copytree(data_root("rules") / BASE, tmp_path / BASE)
    checked = _best(lambda: compile_set(folder), 3)
    (folder / "CHANGELOG.md").write_text(f"## {workshop().version}\n\nFor this test.\n")
    release(folder, None)
    loaded = _best(lambda: _fresh(folder), 5)
    print(
        f"\n{len(workshop().rules)} rules: {1000 * loaded:.0f} ms released, {1000 * checked:.0f} ms parsed and checked"
    )


def test_load_of_an_overlay_of_a_thousand_rules(tmp_path: Path) -> None:
    rules = [trial_sets.limit(f"topic-{number % 20}/rule-{number}") for number in range(1000)]
    trial_sets.write(tmp_path / "base-set", trial_sets.head("base-set"), rules, trial_sets.SOURCES[:1])
    (tmp_path / "base-set" / "CHANGELOG.md").write_text("## 1.0.0\n\nFor this test.\n")
    release(tmp_path / "base-set", None)
    folder = trial_sets.club_set(
        tmp_path, [change(rule["id"], "tighten", value="6 Mohm", cite=PRACTICE) for rule in rules]
    )
    taken = _best(lambda: _fresh(folder), 3)
    print(f"\n1,000 changes on 1,000 rules: {1000 * taken:.0f} ms")
    assert all(rule.data["value"] == "6 Mohm" for rule in load_set(folder).rules.values())


@pytest.mark.parametrize("name", list(registry()))
def test_look_ups_of_one_answer(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The time of all look-ups that the published example makes, done again by themselves."""
    question, book = registry()[name], workshop()
    asked: list[str] = []
    get = View._get

    def watch(view: View, rule: str, kind: type) -> object:
        asked.append(rule)
        return get(view, rule, kind)

    monkeypatch.setattr(View, "_get", watch)
    run(question, load(question, json.loads(json.dumps(question.example))), book)
    monkeypatch.undo()
    patterns = ("*",) if name == "changeover" else question.rules
    kinds = [(rule, type(book.rules[rule])) for rule in asked]

    def again() -> None:
        view = book.view(patterns)
        for rule, kind in kinds:
            view._get(rule, kind)

    taken = statistics.median(_best(again, 20) for _ in range(5))
    print(f"\n{name}: {len(asked)} look-ups, {1e6 * taken:.1f} µs")


def test_reading_a_released_pack_proves_its_digest(tmp_path: Path) -> None:
    path = tmp_path / "workshop.json"
    path.write_bytes(workshop().canonical)
    taken = _best(lambda: released.read_pack(path, workshop().digest), 5)
    print(f"\n{path.stat().st_size / 1e3:.0f} kB read and proved in {1000 * taken:.1f} ms")
