"""The record file against a model of it: after any order of entering, changing, withdrawing and deleting, both say the same."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path
from typing import Any

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from millphase.records import machines, readings, workshops
from millphase.records.keys import InUseError, NotStoredError, Once, StaleError
from millphase.records.readings import New, WithdrawnError
from millphase.records.store import Store

NUMBERS = st.integers(0, 1000)
DAYS = st.integers(1, 28).map(lambda day: f"2026-02-{day:02d}T08:00:00Z")


class Book(RuleBasedStateMachine):
    """Two workshops, a few machines, many readings; the model is two dictionaries."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.records = Store(self.folder / "records.sqlite3")
        self.plates: dict[str, list[dict[str, Any]]] = {}
        self.visits: dict[str, dict[str, Any]] = {}

    def teardown(self) -> None:
        del self.records
        shutil.rmtree(self.folder)

    @initialize()
    def two_workshops(self) -> None:
        self.shops = [workshops.store(self.records, Once(None, None, {}), {"name": n})[0].id for n in "ab"]
        self.owner: dict[str, str] = {}

    def some_machine(self, number: int) -> str | None:
        known = sorted(self.plates)
        return known[number % len(known)] if known else None

    @rule(number=NUMBERS)
    def enter(self, number: int) -> None:
        shop, body = self.shops[number % 2], {"name": str(number)}
        made, _ = machines.store(self.records, Once(shop, None, {}), shop, body)
        self.plates[made.id], self.owner[made.id] = [body], shop

    @rule(number=NUMBERS, seen=st.integers(1, 4))
    def change(self, number: int, seen: int) -> None:
        if (machine := self.some_machine(number)) is None:
            return
        body, now = {"name": f"changed {number}"}, len(self.plates[machine])
        try:
            machines.change(self.records, self.owner[machine], machine, lambda version: version == seen, body)
            assert seen == now
            self.plates[machine].append(body)
        except StaleError:
            assert seen != now

    @rule(number=NUMBERS)
    def delete(self, number: int) -> None:
        if (machine := self.some_machine(number)) is None:
            return
        used = any(visit["machine"] == machine for visit in self.visits.values())
        try:
            machines.delete(self.records, None, machine, lambda _: True)
            assert not used
            del self.plates[machine]
        except InUseError:
            assert used

    @rule(number=NUMBERS, days=st.lists(DAYS, min_size=1, max_size=4), insulation=st.booleans())
    def visit(self, number: int, days: list[str], insulation: bool) -> None:
        if (machine := self.some_machine(number)) is None:
            return
        new = [New(day, {"air": {"n": number}}, insulation) for day in days]
        stored, _ = readings.store(self.records, Once(None, None, {}), machine, new)
        for one in stored:
            self.visits[one.id] = {
                "machine": machine, "at": one.at, "place": one.sequence, "insulation": insulation, "withdrawn": False,
            }  # fmt: skip

    @rule(number=NUMBERS)
    def withdraw(self, number: int) -> None:
        if not self.visits:
            return
        identity = sorted(self.visits)[number % len(self.visits)]
        try:
            readings.withdraw(self.records, None, identity, lambda _: True, "wrong")
            assert not self.visits[identity]["withdrawn"]
            self.visits[identity]["withdrawn"] = True
        except WithdrawnError:
            assert self.visits[identity]["withdrawn"]

    @rule(number=NUMBERS)
    def look_from_the_other_workshop(self, number: int) -> None:
        if (machine := self.some_machine(number)) is None:
            return
        other = self.shops[self.shops.index(self.owner[machine]) - 1]
        try:
            machines.get(self.records, other, machine)
        except NotStoredError:
            return
        raise AssertionError("a machine of another workshop was shown")

    @invariant()
    def machines_are_as_in_the_model(self) -> None:
        listed, end = machines.page(self.records, None, 1000)
        assert end is None
        assert {machine.id: (machine.version, machine.body) for machine in listed} == {
            identity: (len(bodies), bodies[-1]) for identity, bodies in self.plates.items()
        }
        for identity, bodies in self.plates.items():
            states, _ = machines.states(self.records, None, identity, 1000)
            assert [state.body for state in states] == bodies[::-1]

    @invariant()
    def readings_are_as_in_the_model(self) -> None:
        for machine in self.plates:
            mine = {identity: visit for identity, visit in self.visits.items() if visit["machine"] == machine}
            order = sorted(mine, key=lambda identity: (mine[identity]["at"], mine[identity]["place"]), reverse=True)
            listed, place = readings.page(self.records, None, machine, 3)
            while place is not None:
                more, place = readings.page(self.records, None, machine, 3, place)
                listed += more
            assert [one.id for one in listed] == order
            count = [one for one in order if mine[one]["insulation"] and not mine[one]["withdrawn"]]
            found, number = readings.insulation(self.records, machines.get(self.records, None, machine), 1000)
            assert ([one.id for one in found], number) == (count, len(count))
            _, latest = readings.machine_and_latest_test(self.records, None, machine)
            assert latest == (mine[count[0]]["at"] if count else None)


Book.TestCase.settings = settings(max_examples=15, stateful_step_count=25, deadline=None)
TestBook = Book.TestCase
