"""Workshops, machines and readings in the file: nothing is lost, nothing changes unseen, nobody sees another's."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from millphase.records import assessments, machines, readings, workshops
from millphase.records.keys import InUseError, KeyReusedError, NotStoredError, Once, StaleError
from millphase.records.machines import Machine
from millphase.records.readings import New, WithdrawnError
from millphase.records.store import Store, StoreError
from millphase.records.workshops import Workshop

ANSWER: dict[str, Any] = {
    "outcome": "accept",
    "summary": "Fine.",
    "rule_set": {"name": "workshop", "version": "1.0.0", "digest": "sha256:" + "0" * 64},
}


@pytest.fixture
def records(tmp_path: Path) -> Store:
    return Store(tmp_path / "records.sqlite3")


def once(content: object = None, key: str | None = None, scope: str | None = None) -> Once:
    return Once(scope, key, {"content": content})


def any_version(_: int) -> bool:
    return True


def workshop(records: Store, name: str = "Tansy Yard") -> Workshop:
    return workshops.store(records, once(), {"name": name})[0]


def machine(records: Store, owner: Workshop, **body: Any) -> Machine:
    return machines.store(records, once(), owner.id, {"name": "shaper", **body})[0]


def new(at: str = "2026-11-25T08:00:00Z", *, insulation: bool = True, **body: Any) -> New:
    return New(at, body or {"insulation": []}, insulation)


def test_a_record_comes_back_as_it_was_sent(records: Store) -> None:
    owner = workshop(records)
    assert workshops.get(records, None, owner.id) == owner
    made = machine(records, owner, rated_voltage="400 V")
    assert machines.get(records, None, made.id) == made
    assert (made.body, made.workshop, made.version) == ({"name": "shaper", "rated_voltage": "400 V"}, owner.id, 1)
    (reading,), replayed = readings.store(records, once(), made.id, [new(air={"temperature": "9 degC"})])
    assert readings.get(records, None, reading.id) == reading
    assert (reading.body, reading.machine, replayed) == ({"air": {"temperature": "9 degC"}}, made.id, False)


def test_a_change_keeps_what_was_said_before(records: Store) -> None:
    made = machine(records, workshop(records))
    for number in range(2, 6):
        changed = machines.change(
            records, None, made.id, lambda version, number=number: version == number - 1, {"name": str(number)}
        )
        assert (changed.version, changed.body) == (number, {"name": str(number)})
    states, following = machines.states(records, None, made.id, 3)
    assert [(state.version, state.body["name"]) for state in states] == [(5, "5"), (4, "4"), (3, "3")]
    rest, end = machines.states(records, None, made.id, 3, following)
    assert [(state.version, state.body["name"]) for state in rest] == [(2, "2"), (1, "shaper")]
    assert end is None
    assert [state.since for state in states + rest] == sorted((s.since for s in states + rest), reverse=True)
    with pytest.raises(StaleError):
        machines.change(records, None, made.id, lambda version: version == 1, {"name": "x"})
    assert machines.get(records, None, made.id).body == {"name": "5"}


def test_one_of_many_changes_at_the_same_time_wins(records: Store) -> None:
    made = machine(records, workshop(records))

    def change(number: int) -> bool:
        try:
            machines.change(records, None, made.id, lambda version: version == 1, {"name": str(number)})
        except StaleError:
            return False
        return True

    with ThreadPoolExecutor(8) as pool:
        assert sum(pool.map(change, range(16))) == 1
    assert machines.get(records, None, made.id).version == 2


def test_a_reading_is_never_changed_and_never_deleted(records: Store) -> None:
    made = machine(records, workshop(records))
    (reading,), _ = readings.store(records, once(), made.id, [new()])
    for statement in ("UPDATE readings SET body = '{}'", "UPDATE readings SET at = '2020-01-01T00:00:00Z'",
                      "UPDATE readings SET machine = 2", "DELETE FROM readings", "DELETE FROM machines"):  # fmt: skip
        with pytest.raises(StoreError), records.writing() as connection:
            connection.execute(statement)
    assert readings.get(records, None, reading.id) == reading


@pytest.mark.parametrize("column", ["id", "machine", "entry", "at", "body", "insulation", "created_at"])
def test_the_file_itself_refuses_half_a_reading(records: Store, column: str) -> None:
    made = machine(records, workshop(records))
    readings.store(records, once(), made.id, [new()])
    columns = ["id", "machine", "entry", "at", "body", "insulation", "created_at"]
    wanted = ", ".join("NULL" if name == column else f"'{'x' * 36}'" if name == "id" else name for name in columns)
    with pytest.raises(StoreError), records.writing() as connection:
        connection.execute(f"INSERT INTO readings ({', '.join(columns)}) SELECT {wanted} FROM readings")


def test_a_withdrawn_reading_stays_and_stays_withdrawn(records: Store) -> None:
    made = machine(records, workshop(records))
    (reading,), _ = readings.store(records, once(), made.id, [new()])
    assert machines.get(records, None, made.id).insulation_version == 1
    with pytest.raises(StaleError):
        readings.withdraw(records, None, reading.id, lambda version: version == 2, "wrong machine")
    withdrawn = readings.withdraw(records, None, reading.id, lambda version: version == 1, "wrong machine")
    assert withdrawn.withdrawn is not None
    assert withdrawn.withdrawn[1] == "wrong machine"
    assert withdrawn.version == 2
    assert readings.page(records, None, made.id, 10)[0] == [withdrawn]
    now = machines.get(records, None, made.id)
    assert now.insulation_version == 2
    assert now.version == 1, "readings do not touch the plate's ETag"
    assert readings.insulation(records, now, 10) == ([], 0)
    assert readings.machine_and_latest_test(records, None, made.id) == (now, None)
    with pytest.raises(WithdrawnError):
        readings.withdraw(records, None, reading.id, any_version, "again")
    with pytest.raises(StoreError, match="stays withdrawn"), records.writing() as connection:
        connection.execute("UPDATE readings SET withdrawn_at = NULL, withdrawn_reason = NULL")


def test_sensor_readings_do_not_move_the_counter_of_insulation(records: Store) -> None:
    made = machine(records, workshop(records))
    (warm,), _ = readings.store(records, once(), made.id, [new(insulation=False, winding_temperature="30 degC")])
    readings.withdraw(records, None, warm.id, any_version, "sensor fell off")
    assert machines.get(records, None, made.id).insulation_version == 0


def test_an_import_is_all_or_nothing(records: Store) -> None:
    made = machine(records, workshop(records))
    broken = [*(new() for _ in range(500)), New("not a time", {}, insulation=False)]
    with pytest.raises(StoreError):
        readings.store(records, once(key="k"), made.id, broken)
    assert readings.page(records, None, made.id, 10)[0] == []
    stored, replayed = readings.store(records, once(key="k"), made.id, broken[:-1])
    assert (len(stored), replayed) == (500, False), "a key of a request that failed is free"
    again, replayed = readings.store(records, once(key="k"), made.id, broken[:-1])
    assert (again, replayed) == (stored, True)


def test_pages_follow_the_time_of_measuring(records: Store) -> None:
    made = machine(records, workshop(records))
    times = [f"2026-{month:02d}-01T00:00:00Z" for month in (3, 1, 2, 2, 5)]
    stored, _ = readings.store(records, once(), made.id, [new(at) for at in times])
    seen, place, pages = [], None, 0
    while True:
        page, place = readings.page(records, None, made.id, 2, place)
        seen += page
        pages += 1
        # Entered while somebody turns the pages: before the place it does not show, behind it it does.
        readings.store(records, once(), made.id, [new("2026-12-01T00:00:00Z")])
        if place is None:
            break
    assert [reading.at for reading in seen] == sorted(times, reverse=True)
    assert len({reading.id for reading in seen}) == len(stored)
    assert pages == 3
    warm, _ = readings.store(records, once(), made.id, [new(insulation=False, winding_temperature="30 degC")])
    assert readings.page(records, None, made.id, 10, measured="winding_temperature")[0] == warm


def test_what_has_records_is_not_deleted(records: Store) -> None:
    owner = workshop(records)
    made = machine(records, owner)
    readings.store(records, once(), made.id, [new()])
    with pytest.raises(InUseError):
        machines.delete(records, None, made.id, any_version)
    with pytest.raises(InUseError):
        workshops.delete(records, None, owner.id, any_version)
    other = machine(records, owner)
    assessments.store(records, "q", {}, ANSWER, machine=other.id)
    with pytest.raises(InUseError):
        machines.delete(records, None, other.id, any_version)


def test_what_was_entered_by_mistake_goes_but_is_not_forgotten(records: Store) -> None:
    owner = workshop(records)
    made = machine(records, owner)
    for part, identity in ((machines, made.id), (workshops, owner.id)):
        with pytest.raises(StaleError):
            part.delete(records, None, identity, lambda version: version == 2)
        part.delete(records, None, identity, any_version)
        with pytest.raises(NotStoredError):
            part.get(records, None, identity)
    with records.reading() as connection:
        rows = connection.execute("SELECT record, body FROM former_states ORDER BY sequence").fetchall()
    assert [row["record"] for row in rows] == [made.id, owner.id]
    assert "shaper" in rows[0]["body"]


def test_a_key_of_a_deleted_record_makes_no_second_one(records: Store) -> None:
    made, _ = workshops.store(records, once("a", "k"), {"name": "a"})
    workshops.delete(records, None, made.id, any_version)
    with pytest.raises(NotStoredError):
        workshops.store(records, once("a", "k"), {"name": "a"})
    assert workshops.page(records, None, 10)[0] == []


def test_nothing_of_another_workshop_exists(records: Store) -> None:
    mine, theirs = workshop(records, "mine"), workshop(records, "theirs")
    made = machine(records, theirs)
    (reading,), _ = readings.store(records, once(), made.id, [new()])
    about, _ = assessments.store(records, "q", {}, ANSWER, machine=made.id)
    free, _ = assessments.store(records, "q", {}, ANSWER)
    for attempt in (
        lambda: workshops.get(records, mine.id, theirs.id),
        lambda: workshops.change(records, mine.id, theirs.id, any_version, {}),
        lambda: workshops.delete(records, mine.id, theirs.id, any_version),
        lambda: machines.get(records, mine.id, made.id),
        lambda: machines.states(records, mine.id, made.id, 10),
        lambda: machines.change(records, mine.id, made.id, any_version, {}),
        lambda: machines.delete(records, mine.id, made.id, any_version),
        lambda: machines.store(records, once(scope=mine.id), theirs.id, {"name": "x"}),
        lambda: readings.store(records, once(scope=mine.id), made.id, [new()]),
        lambda: readings.get(records, mine.id, reading.id),
        lambda: readings.page(records, mine.id, made.id, 10),
        lambda: readings.withdraw(records, mine.id, reading.id, any_version, "no"),
        lambda: assessments.get(records, about.id, mine.id),
        lambda: assessments.get(records, free.id, mine.id),
        lambda: assessments.store(records, "q", {}, ANSWER, machine=made.id, scope=mine.id),
    ):
        with pytest.raises(NotStoredError):
            attempt()
    assert workshops.page(records, mine.id, 10)[0] == [mine]
    assert machines.page(records, mine.id, 10)[0] == []
    assert assessments.entries(records, 10, scope=mine.id)[0] == []
    own, _ = assessments.store(records, "q", {}, ANSWER, scope=mine.id)
    assert [entry.id for entry in assessments.entries(records, 10, scope=mine.id)[0]] == [own.id]
    assert [entry.id for entry in assessments.entries(records, 10, scope=theirs.id)[0]] == [about.id]
    assert [entry.id for entry in assessments.entries(records, 10, machine=made.id)[0]] == [about.id]
    assert assessments.get(records, about.id).machine == made.id


def test_keys_of_two_workshops_do_not_meet(records: Store) -> None:
    one, two = workshop(records), workshop(records)
    first, _ = machines.store(records, once("a", "k", one.id), one.id, {"name": "a"})
    second, replayed = machines.store(records, once("b", "k", two.id), two.id, {"name": "b"})
    assert not replayed
    assert first.id != second.id
    with pytest.raises(KeyReusedError):
        machines.store(records, once("b", "k", one.id), one.id, {"name": "b"})


def test_lists_of_machines_by_workshop_and_use(records: Store) -> None:
    one, two = workshop(records), workshop(records)
    used = machine(records, one)
    gone = machine(records, one, retired={"at": "2026-01-01T00:00:00Z", "reason": "sold"})
    other = machine(records, two)

    def ids(**asked: Any) -> list[str]:
        return [found.id for found in machines.page(records, None, 10, **asked)[0]]

    assert ids() == [other.id, gone.id, used.id]
    assert ids(workshop=one.id) == [gone.id, used.id]
    assert ids(retired=True) == [gone.id]
    assert ids(retired=False) == [other.id, used.id]
    assert ids(before=other.sequence) == [gone.id, used.id]
    page, following = machines.page(records, None, 2)
    assert following == page[-1].sequence


def test_sensors_of_many_machines_at_the_same_time(records: Store) -> None:
    other = Store(records.path)
    owner = workshop(records)
    made = [machine(records, owner) for _ in range(4)]

    def send(number: int) -> str:
        store, about = (records, other)[number % 2], made[number % 4]
        sent = [new(f"2026-11-25T08:{number % 60:02d}:00Z", n=number)]
        return readings.store(store, once(number, f"k{number}"), about.id, sent)[0][0].id

    with ThreadPoolExecutor(8) as pool:
        ids = list(pool.map(send, range(120)))
    kept = [reading.id for one in made for reading in readings.page(records, None, one.id, 1000)[0]]
    assert sorted(kept) == sorted(ids)
    assert [machines.get(records, None, one.id).insulation_version for one in made] == [30] * 4
