"""Flip single digits in the rules and see whether some test notices.

``python tests/rulebook/mutate.py [--sample N] [--seed N] [--minutes N] [--rules PATTERN] [--guard] [TESTS …]``

Takes a sample of the digits of all rule values (every digit of every number, and of every text cell of a table), the
same one for the same seed. One run of the tests records which test looks at which rule. Then, for each digit, a forked
process changes that digit in the loaded set, also for tests that took hold of it when they were imported, and runs the
tests that look at its rule, quickest first, until one fails. Prints what was caught, and every digit that was not. Tests that read the rule files themselves, instead of the
loaded set, do not see the change. Once a version is released, a guard holds the set to its pack: it notices every
digit, and says nothing about whether the value was right. It is left out unless ``--guard`` asks for it.
"""

from __future__ import annotations

import argparse
import os
import random
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from copy import deepcopy
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Any
from weakref import WeakSet

import pytest
from _pytest.runner import runtestprotocol

from millphase.rulebook import Rulebook, library, sets
from millphase.rulebook.book import View

ROOT = Path(__file__).resolve().parents[2]
TESTS = ["tests/reference", "tests/questions", "tests/physics", "tests/rulebook/test_health.py"]
EVERY = "*"
GUARD = "test_the_set_that_answers_is_the_one_released_under_its_version"
LONGEST = 30.0
"""Longest time [s] that one digit may take."""

Place = tuple[str, tuple[Any, ...], int]


def places(rules: dict[str, Any]) -> Iterator[Place]:
    """Every digit of every value: rule, path to the value, and which of its digits."""
    for rule, data in rules.items():
        for path in _values(data):
            text = str(_at(data, path))
            for index, sign in enumerate(text):
                if sign.isdigit() and not text[:index].endswith("e-"):
                    yield rule, path, index


def _values(data: dict[str, Any]) -> Iterator[tuple[Any, ...]]:
    if "value" in data:
        yield ("value",)
    for name in data.get("values", {}):
        yield "values", name
    for index, band in enumerate(data.get("bands", ())):
        for edge in {"from", "below"} & set(band):
            # One edge stands in two bands; changing it in one only is a gap that the loader refuses.
            if edge == "below":
                yield "bands", index, edge
    for row, cells in enumerate(data.get("rows", ())):
        for column, cell in enumerate(cells):
            if cell is not None and "choices" not in data["columns"][column]:
                yield "rows", row, column


def _at(data: Any, path: tuple[Any, ...]) -> Any:
    for key in path:
        data = data[key]
    return data


def flipped(rules: dict[str, Any], place: Place, rng: random.Random) -> tuple[dict[str, Any], str]:
    """The rule with that digit changed, and words for it."""
    rule, path, index = place
    data = deepcopy(rules[rule])
    old = _at(data, path)
    text = str(old)
    digit = rng.choice([other for other in "0123456789" if other != text[index]])
    changed: Any = text[:index] + digit + text[index + 1 :]
    if not isinstance(old, str):
        changed = float(changed) if isinstance(old, float) else int(changed)
    *parents, last = path
    _at(data, tuple(parents))[last] = changed
    if path[0] == "bands":
        data["bands"][path[1] + 1]["from"] = changed
    where = "/".join(str(part) for part in path)
    if path[0] == "rows":
        names = [column["name"] for column in data["columns"]]
        key = ", ".join(f"{name} {rules[rule]['rows'][path[1]][names.index(name)]}" for name in data["key"])
        where = f"{names[path[2]]} at {key}"
    return data, f"{rule} {where}: {text} -> {changed}"


class Watched(dict[str, Any]):
    """The rules of a set, noting which are looked at."""

    seen: set[str]

    def __getitem__(self, key: str) -> Any:
        self.seen.add(key)
        return super().__getitem__(key)

    def get(self, key: str, default: Any = None) -> Any:
        """As in any mapping."""
        self.seen.add(key)
        return super().get(key, default)

    def values(self) -> Any:
        """Whoever takes all of them looks at all of them."""
        self.seen.add(EVERY)
        return super().values()

    def items(self) -> Any:
        """Whoever takes all of them looks at all of them."""
        self.seen.add(EVERY)
        return super().items()


class Mutation:
    """A pytest plugin that runs the tests once as they are, and then the ones that matter for each digit."""

    def __init__(self, options: argparse.Namespace) -> None:
        self.options = options
        self.book = sets.workshop()
        self.pack = dict(self.book.pack)
        self.book.rules = Watched(self.book.rules)
        self.seen: set[str] = set()
        self.book.rules.seen = self.seen
        self.views: WeakSet[View] = WeakSet()
        self._watch_views()

    def _watch_views(self) -> None:
        """A view keeps the rules it was asked for, so a test with a view of its own would look at each of them only once."""
        made, asked = View.__init__, View._get

        def init(view: View, *arguments: Any) -> None:
            made(view, *arguments)
            self.views.add(view)

        def get(view: View, rule_id: str, kind: Any) -> Any:
            self.seen.add(rule_id)
            return asked(view, rule_id, kind)

        View.__init__, View._get = init, get  # type: ignore[method-assign,assignment]

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Take over the running of the tests."""
        looks, cost = self._as_they_are(session)
        rng = random.Random(self.options.seed)
        wanted = [place for place in places(self.pack["rules"]) if fnmatchcase(place[0], self.options.rules)]
        sample = rng.sample(wanted, min(self.options.sample, len(wanted)))
        print(f"{len(wanted)} digits, {len(sample)} sampled with seed {self.options.seed}", flush=True)
        until = time.monotonic() + 60 * self.options.minutes
        told: Counter[str] = Counter()
        survivors = []
        for place in sample:
            if time.monotonic() > until:
                break
            data, words = flipped(self.pack["rules"], place, rng)
            items = sorted({*looks[place[0]], *looks[EVERY]}, key=lambda item: cost[item])
            found = self._child(items, place[0], data)
            told[found] += 1
            if found != "caught":
                survivors.append(f"{found}: {words}")
        done = sum(told.values())
        print("".join(f"{line}\n" for line in sorted(survivors)), end="")
        caught = told["caught"]
        print(
            f"{caught} of {done} caught ({100 * caught / max(done, 1):.1f} %), {len(sample) - done} not tried",
            flush=True,
        )
        return True

    def _as_they_are(self, session: pytest.Session) -> tuple[dict[str, list[pytest.Item]], dict[pytest.Item, float]]:
        looks: dict[str, list[pytest.Item]] = defaultdict(list)
        cost: dict[pytest.Item, float] = {}
        broken = 0
        for number, item in enumerate(session.items):
            self.seen.clear()
            start = time.monotonic()
            following = session.items[number + 1] if number + 1 < len(session.items) else None
            reports = runtestprotocol(item, log=False, nextitem=following)
            cost[item] = time.monotonic() - start
            if any(report.failed for report in reports):
                broken += 1
                continue
            # The guard looks at the pack as a whole, not at one rule after the other.
            for rule in {EVERY} if item.name == GUARD else self.seen:
                looks[rule].append(item)
        print(f"\n{len(cost)} tests, {broken} of them failing as things are and left out", flush=True)
        return looks, cost

    def _child(self, items: list[pytest.Item], rule: str, data: dict[str, Any]) -> str:
        child = os.fork()
        if child == 0:
            os._exit(self._try(items, rule, data))
        _, status = os.waitpid(child, 0)
        return {0: "not caught", 1: "caught", 2: "out of time"}.get(os.waitstatus_to_exitcode(status), "caught")

    def _try(self, items: list[pytest.Item], rule: str, data: dict[str, Any]) -> int:
        """0 when no test notices, 1 when one does, 2 when time ran out."""
        try:
            changed = Rulebook({**self.pack, "rules": {**self.pack["rules"], rule: data}})
        except Exception:
            return 1
        self.book.pack, self.book.rules[rule] = changed.pack, changed.rules[rule]
        for kept in ("digest", "canonical", "additions"):
            self.book.__dict__.pop(kept, None)
        for view in self.views:
            view.asked.clear()
        sets.load_set = library.load_set = lambda _: self.book
        until = time.monotonic() + LONGEST
        for item in items:
            if any(report.failed for report in runtestprotocol(item, log=False, nextitem=None)):
                return 1
            if time.monotonic() > until:
                return 2
        return 0


def main() -> int:
    """Run the tests under the plugin."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sample", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=10)
    parser.add_argument("--rules", default="*")
    parser.add_argument("--guard", action="store_true", help="also hold the set to its released pack")
    parser.add_argument("tests", nargs="*", default=TESTS)
    options = parser.parse_args()
    if options.guard:
        options.tests = [*options.tests, f"tests/rulebook/test_release.py::{GUARD}"]
    os.chdir(ROOT)
    mutation = Mutation(options)
    return int(
        pytest.main(
            [
                "-n",
                "0",
                "-q",
                "--no-header",
                "--no-summary",
                "-p",
                "no:cacheprovider",
                "-p",
                "no:randomly",
                "-s",
                *options.tests,
            ],
            [mutation],
        )
    )


if __name__ == "__main__":
    sys.exit(main())
