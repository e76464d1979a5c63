"""What the readings of a machine say today: which question each answers, how the machine is, and when it is tested next."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from millphase.answer import Answer, Finding, Outcome, Sheet
from millphase.quantity import Quantity, parse, significant
from millphase.questions import _insulation_readings as taken
from millphase.questions import insulation_acceptance, insulation_trend, winding_balance
from millphase.questions.base import Fault, Invalid, Part, ask, load, load_part, run
from millphase.rulebook import Limit, Rulebook
from millphase.rulebook.book import View, notice

Json = Mapping[str, Any]

UNIT = "Mohm"
"""Unit of every resistance in a status, so that a graph of it never changes scale."""

RULES = ("insulation/*",)

ORDINARY, IDLE, NEAR = "insulation/retest-ordinary", "insulation/retest-idle", "insulation/retest-near-minimum"
"""The intervals between tests: for any motor, for one that stands idle, for one near its least value or getting worse."""

NEAR_MINIMUM = "insulation/near-minimum"
"""How much resistance is still near the least value."""

MOST_TESTS = 1000
"""Most insulation tests of a machine that one trend is worked out of: the latest."""

_OF_THE_MACHINE = ("rated_voltage", "winding", "manufactured", "insulation_system")


def tests_winding(reading: Json) -> bool:
    """Whether a reading holds an insulation test of the motor itself, with its cable or without."""
    return any(_part(reading, item) in taken.MOTOR_PARTS for item in reading.get("insulation", ()))


def acceptance_request(machine: Json, reading: Json) -> dict[str, Any]:
    """The request to insulation-acceptance that a reading of a machine amounts to."""
    shared = {name: machine[name] for name in (*_OF_THE_MACHINE, "thermal_class") if name in machine}
    visit = {name: reading[name] for name in ("under_test", "drive_disconnected", "links", "air") if name in reading}
    warm = {name: reading[name] for name in ("winding_temperature",) if name in reading}
    return {**shared, **visit, "readings": [{**warm, **item} for item in reading["insulation"]]}


def balance_request(machine: Json, reading: Json) -> dict[str, Any]:
    """The request to winding-balance that a reading of a machine amounts to."""
    request = dict(reading["winding_balance"])
    if "winding_temperature" in reading:
        request.setdefault("temperature", reading["winding_temperature"])
    if machine.get("winding") in ("random-wound", "form-wound"):
        request["winding"] = machine["winding"]
    return request


def check(machine: Json, reading: Json, book: Rulebook) -> None:
    """Refuse a reading that the questions would refuse: it would be of no use later.

    Raises
    ------
    Invalid
        What cannot be, with its place in the reading.
    """
    for field, question, request, place in (
        ("insulation", insulation_acceptance.QUESTION, acceptance_request, "/readings"),
        ("winding_balance", winding_balance.QUESTION, balance_request, ""),
    ):
        if field not in reading:
            continue
        try:
            run(question, load(question, request(machine, reading)), book)
        except Invalid as refused:
            raise Invalid([_moved(fault, place, field) for fault in refused.faults]) from None


def _moved(fault: Fault, place: str, field: str) -> Fault:
    """A fault of a question's request as a fault of the reading; what is beside the list keeps its name."""
    if fault.pointer.startswith(f"{place}/"):
        return Fault(f"/{field}{fault.pointer.removeprefix(place)}", fault.code, fault.message)
    return fault


@dataclass(frozen=True, slots=True)
class Record:
    """The tests that can be compared with each other, as a request to insulation-trend; what was left out, by reason."""

    request: dict[str, Any]
    left_out: dict[str, int]


def trend_record(machine: Json, tests: Sequence[Json], book: View) -> Record:
    """Pick from a machine's tests what was taken the same way as the latest: whole winding, one minute, same voltage.

    Parameters
    ----------
    machine : mapping
        The machine's record.
    tests : sequence of mapping
        Readings that count and test the winding, the latest first.
    book : View
        The rules, for what counts as one minute and as alike.
    """
    sheet = Sheet(insulation_trend.QUESTION.name, book)
    left_out: dict[str, int] = {}
    chosen: list[tuple[Json, Json]] = []
    method: tuple[Any, ...] | None = None
    for test in tests:
        usable = []
        joined = _joined(sheet, test)
        for item in test["insulation"]:
            why = _unusable(sheet, test, item, joined=joined)
            if why is None and method is None:
                method = _method(test, item)
            if why is None and _method(test, item) != method:
                why = "another-method"
            if why is None:
                usable.append(item)
            else:
                left_out[why] = left_out.get(why, 0) + 1
        if usable:
            # Three readings of one visit are three readings of the same joined windings.
            chosen.append((test, min(usable, key=_ohms)))
    request: dict[str, Any] = {name: machine[name] for name in _OF_THE_MACHINE if name in machine}
    if method is not None:
        request |= _said_of_all([test for test, _ in chosen], method)
    return Record({**request, "readings": [_trend_reading(test, item) for test, item in chosen]}, left_out)


def _joined(sheet: Sheet, test: Json) -> bool:
    """Whether the links join the windings in a test: said to be fitted, and borne out by readings that agree."""
    if test.get("links") != "fitted" or not sheet.book.has("insulation/equal-readings"):
        return False
    lowest: dict[str, float] = {}
    for item in test["insulation"]:
        if item["between"] in taken.SINGLES:
            lowest[item["between"]] = min(_ohms(item), lowest.get(item["between"], math.inf))
    return taken.are_alike(sheet, list(lowest.values()))


def _unusable(sheet: Sheet, test: Json, item: Json, *, joined: bool) -> str | None:
    """Why a reading cannot stand in a record of the whole winding, or None."""
    if _part(test, item) not in taken.MOTOR_PARTS:
        return "not-the-motor"
    if item["between"] not in ("UVW-earth", "winding-earth") and not (joined and item["between"] in taken.SINGLES):
        return "not-the-whole-winding"
    if "after" in item and not _after_one_minute(sheet.book, item):
        return "not-after-one-minute"
    return "zero" if _ohms(item) == 0.0 else None


def _after_one_minute(book: View, item: Json) -> bool:
    """Whether a reading was taken one minute after applying the voltage; never where the rules do not say what that is."""
    minute, slack = "insulation/test-duration", "insulation/test-duration-tolerance"
    if not (book.has(minute) and book.has(slack)):
        return False
    return abs(parse(item["after"], "duration").si - book.constant(minute).value.si) <= book.constant(slack).value.si


def _ohms(item: Json) -> float:
    return parse(item["resistance"], "resistance").si


def _part(test: Json, item: Json) -> str:
    return str(item.get("under_test", test.get("under_test", "motor")))


def _method(test: Json, item: Json) -> tuple[Any, ...]:
    """How a reading was taken, as far as that changes what it shows."""
    voltage = item.get("test_voltage")
    return (
        _part(test, item),
        item.get("instrument"),
        None if voltage is None else significant(parse(voltage, "voltage").si),
    )


def _said_of_all(tests: Sequence[Json], method: tuple[Any, ...]) -> dict[str, Any]:
    """What the request says of every reading: instrument, voltage, and that the drive was off, if each says so."""
    _, instrument, voltage = method
    said: dict[str, Any] = {}
    if instrument is not None:
        said["instrument"] = instrument
    if voltage is not None:
        said["test_voltage"] = f"{voltage:.6g} V"
    if all(test.get("drive_disconnected") is True for test in tests):
        said["drive_disconnected"] = True
    return said


def _trend_reading(test: Json, item: Json) -> dict[str, Any]:
    warm = {name: part[name] for part in (test, item) for name in ("winding_temperature",) if name in part}
    kept = {name: item[name] for name in ("resistance", "over_range") if name in item}
    air = {"air": test["air"]} if "air" in test else {}
    return {"at": test["at"], **kept, **warm, **air}


class _WithoutReadings(Part):
    """What a trend is asked with before there is any reading."""

    rated_voltage = insulation_trend.InsulationTrendRequest._declared_fields["rated_voltage"]
    winding = insulation_trend.InsulationTrendRequest._declared_fields["winding"]
    manufactured = insulation_trend.InsulationTrendRequest._declared_fields["manufactured"]
    insulation_system = insulation_trend.InsulationTrendRequest._declared_fields["insulation_system"]


def loaded_trend(record: Record) -> dict[str, Any]:
    """The checked request of a record; one without readings has an empty list, which no caller can send."""
    if record.request["readings"]:
        return load(insulation_trend.QUESTION, record.request)
    bare = {name: value for name, value in record.request.items() if name != "readings"}
    return {**load_part(_WithoutReadings, bare), "readings": []}


def trend(machine: Json, tests: Sequence[Json], book: Rulebook) -> tuple[Answer, Record]:
    """Answer insulation-trend over the stored tests of a machine; without any, the direction is unknown.

    Raises
    ------
    Invalid
        The rules of today find a contradiction in readings that were stored under others.
    """
    record = trend_record(machine, tests, book.view(RULES))
    return run(insulation_trend.QUESTION, loaded_trend(record), book), record


def status(machine: Json, tests: Sequence[Json], moment: datetime, book: Rulebook) -> dict[str, Any]:
    """How a machine is, as one flat object without nulls.

    Parameters
    ----------
    machine : mapping
        The machine's record.
    tests : sequence of mapping
        Readings that count and test the winding, the latest first.
    moment : datetime
        Now, for the age of the latest test.
    book : Rulebook
        The rules.
    """
    try:
        found = _judged(machine, tests, moment, book)
    except Invalid as refused:
        # Only rules that changed after a reading was stored can find a contradiction in it.
        words = f"The stored readings contradict each other under {book.name}@{book.version}: {refused}"
        found = {"outcome": Outcome.INCONCLUSIVE.word, "summary": words, "direction": "too-few-readings"}
    if "retired" in machine:
        found["summary"] = f"Out of use since {machine['retired']['at'][:10]}. {found['summary']}"
    attention = found["outcome"] != Outcome.ACCEPT.word and "retired" not in machine
    counted = {"attention": attention, "retired": "retired" in machine, "tests": len(tests)}
    return {**found, **counted, "rule_set": f"{book.name}@{book.version}"}


def _judged(machine: Json, tests: Sequence[Json], moment: datetime, book: Rulebook) -> dict[str, Any]:
    run_of_tests, _ = trend(machine, tests, book)
    # No direction at all means that the trend could not be judged by these rules, which is not to be passed over.
    unjudged = "direction" not in run_of_tests.values
    direction = str(run_of_tests.values.get("direction", "too-few-readings"))
    if not tests:
        words = "No insulation test of this motor is stored: test it before it runs."
        return {"outcome": Outcome.INCONCLUSIVE.word, "summary": words, "direction": direction}
    latest = ask(insulation_acceptance.QUESTION.name, acceptance_request(machine, tests[0]), book)
    shown = _shown(latest, tests[0], age_days(tests[0]["at"], moment))
    due = _due(machine, shown, direction, book.view(RULES))
    judged = [(latest.outcome, latest.summary)]
    if direction != "too-few-readings" or unjudged:
        judged.append((run_of_tests.outcome, run_of_tests.summary))
    if due.get("overdue"):
        judged.append((Outcome.CAUTION, _overdue(shown, due)))
    outcome, summary = max(judged, key=lambda pair: pair[0])
    if outcome is Outcome.ACCEPT:
        summary = _well(shown, due)
    elif due.get("overdue") and summary != _overdue(shown, due):
        summary += f" The next test was due on {due['next_due']}."
    return {"outcome": outcome.word, "summary": summary, "direction": direction, **shown, **due}


def age_days(at: str, moment: datetime) -> int:
    """Whole days since a time; none for one that lies ahead, as a clock that runs a little fast gives."""
    return max((moment - datetime.fromisoformat(at)).days, 0)


def _shown(latest: Answer, test: Json, age: int) -> dict[str, Any]:
    """The latest test in plain numbers, each resistance in the one unit."""
    shown: dict[str, Any] = {"measured_at": test["at"], "age_days": age, "unit": UNIT}
    for name, key in (("resistance", "lowest_resistance"), ("resistance_at_40c", ""), ("minimum_at_40c", "")):
        value = latest.quantity(key or name)
        if value is not None:
            shown[name] = significant(value.number(UNIT))
    if "resistance" in shown:
        shown["over_range"] = min(test["insulation"], key=_ohms).get("over_range", False)
    margins = [room for room in map(_room, latest.findings) if room is not None]
    if margins:
        shown["margin"] = significant(min(margins))
    return shown


def _room(found: Finding) -> float | None:
    """Room to a least resistance as a share of it; also where the reading cannot be relied on, and so has no margin."""
    measured, limit = found.measured, found.limit
    if not found.decides or measured is None or limit is None or limit.dimension != "resistance":
        return None
    return measured.si / limit.si - 1.0


def _due(machine: Json, shown: Json, direction: str, book: View) -> dict[str, Any]:
    """When the winding is to be tested again: the shortest interval of those that apply; nothing for a retired machine."""
    if "retired" in machine:
        return {}
    names = [ORDINARY]
    if machine.get("stands_idle"):
        names.append(IDLE)
    if direction == "worsening" or _near_minimum(shown, book):
        names.append(NEAR)
    limits: list[Limit] = [book.limit(name) for name in names if book.has(name)]
    if not limits:
        return {}
    shortest = min(limits, key=lambda limit: limit.value.si)
    due = datetime.fromisoformat(shown["measured_at"]) + timedelta(seconds=shortest.value.si)
    overdue = Quantity.of(float(shown["age_days"]), "d").si >= shortest.value.si
    return {"next_due": due.strftime("%Y-%m-%d"), "due_by_rule": shortest.id, "overdue": overdue}


def interval_notices(book: Rulebook) -> list[str]:
    """What a reader must know where a club has loosened or withdrawn a rule that sets when the next test is due."""
    found = (book.find(name) for name in (ORDINARY, IDLE, NEAR, NEAR_MINIMUM))
    return [told for told in (notice(rule) for rule in found if rule is not None) if told]


def _near_minimum(shown: Json, book: View) -> bool:
    """Whether the latest test leaves less room to its least value than the rule asks for ordinary intervals."""
    if "margin" not in shown or not book.has(NEAR_MINIMUM):
        return False
    return bool(1.0 + shown["margin"] < book.limit(NEAR_MINIMUM).value.si)


def _overdue(shown: Json, due: Json) -> str:
    return f"The last insulation test, of {shown['measured_at'][:10]}, is {shown['age_days']} days old: test again; it was due on {due['next_due']}."


def _well(shown: Json, due: Json) -> str:
    next_test = f"; test again by {due['next_due']}" if due else ""
    more = "more than " if shown["over_range"] else ""
    return f"The insulation read {more}{shown['resistance']:g} {UNIT} on {shown['measured_at'][:10]} and passes{next_test}."
