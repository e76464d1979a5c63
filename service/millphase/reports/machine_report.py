"""The report of a machine: its plate, its readings, their trend, and what to take care of, for a page to be signed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from millphase.questions import _upkeep as upkeep
from millphase.questions.base import Invalid, ask
from millphase.records.machines import Machine
from millphase.records.readings import Reading
from millphase.reports.drawings import picture
from millphase.rulebook import Rulebook
from millphase.rulebook.book import RuleWithdrawn

Json = Mapping[str, Any]

PLATE_FIRST = ("description", "serial_number", "place", "rated_voltage", "winding", "manufactured")
"""Fields of a machine that a report shows first; the others follow in the order in which they were sent."""

NOT_ON_THE_PLATE = ("name", "retired")


@dataclass(frozen=True, slots=True)
class Line:
    """One reading as a row: when, what, and whether it counts."""

    at: str
    told: Sequence[str]
    withdrawn: str = ""


@dataclass(frozen=True, slots=True)
class Report:
    """What the page shows.

    Attributes
    ----------
    name : str
        What the workshop calls the machine.
    status : mapping
        Its status, as pollers get it.
    plate : sequence of (str, str)
        Label and value of each field.
    readings : sequence of Line
        The latest readings, withdrawn ones among them.
    drawing : str
        SVG of the trend; empty where there is nothing to draw.
    next_steps, cautions : sequence of str
        From the judgement of the latest test and of the trend.
    """

    name: str
    status: Json
    plate: Sequence[tuple[str, str]]
    readings: Sequence[Line]
    drawing: str
    next_steps: Sequence[str]
    cautions: Sequence[str]


def report(
    machine: Machine, tests: Sequence[Json], readings: Sequence[Reading], now: datetime, book: Rulebook
) -> Report:
    """Put together the report of a machine.

    Parameters
    ----------
    machine : Machine
        The record.
    tests : sequence of mapping
        Readings that count and test the winding, the latest first.
    readings : sequence of Reading
        The readings to list, the latest first.
    now : datetime
        The time of printing.
    book : Rulebook
        The rules to judge by.
    """
    answers = _answers(machine.body, tests, book)
    return Report(
        machine.body["name"],
        upkeep.status(machine.body, tests, now, book),
        list(_plate(machine.body)),
        [_line(reading) for reading in readings],
        _drawing(machine.body, tests, book),
        list(dict.fromkeys(step for answer in answers for step in answer["next_steps"])),
        [
            *dict.fromkeys(caution for answer in answers for caution in answer["cautions"]),
            *upkeep.interval_notices(book),
        ],
    )


def _answers(machine: Json, tests: Sequence[Json], book: Rulebook) -> list[dict[str, Any]]:
    """The answers that next steps and cautions are taken from: the latest test's, and the trend's."""
    try:
        found = [upkeep.trend(machine, tests, book)[0]]
        if tests:
            found.insert(0, ask("insulation-acceptance", upkeep.acceptance_request(machine, tests[0]), book))
    except Invalid:
        # The status says so; the cautions of a test hold all the same.
        found = [upkeep.trend(machine, [], book)[0]]
    return [answer.as_json() for answer in found]


def _drawing(machine: Json, tests: Sequence[Json], book: Rulebook) -> str:
    try:
        record = upkeep.trend_record(machine, tests, book.view(upkeep.RULES))
        if not record.request["readings"]:
            return ""
        return picture("insulation-trend", upkeep.loaded_trend(record), book)
    except (Invalid, RuleWithdrawn):
        return ""


def _plate(machine: Json) -> Iterator[tuple[str, str]]:
    names = [name for name in PLATE_FIRST if name in machine]
    names += [name for name in machine if name not in (*PLATE_FIRST, *NOT_ON_THE_PLATE)]
    for name in names:
        if isinstance(machine[name], Mapping):
            inner = machine[name].items()
            yield from ((f"{_words(name)}: {part.replace('_', ' ')}", _value(value)) for part, value in inner)
        else:
            yield _words(name), _value(machine[name])


def _line(reading: Reading) -> Line:
    told = list(_told(reading.body))
    if "note" in reading.body:
        told.append(reading.body["note"])
    withdrawn = "" if reading.withdrawn is None else f"Withdrawn {reading.withdrawn[0][:10]}: {reading.withdrawn[1]}"
    return Line(reading.at.replace("T", " ").replace("Z", " UTC"), told, withdrawn)


def _told(body: Json) -> Iterator[str]:
    """What was measured, in words."""
    for item in body.get("insulation", ()):
        more = "more than " if item.get("over_range") else ""
        how = [
            _value(item[name])
            for name in ("test_voltage", "after", "winding_temperature", "instrument")
            if name in item
        ]
        yield f"Insulation {item['between']}: {more}{item['resistance']}" + (f" ({', '.join(how)})" if how else "")
    if "winding_balance" in body:
        pairs = body["winding_balance"]["resistances"].items()
        yield f"Winding, {body['winding_balance']['connection']}: " + ", ".join(f"{name} {ohm}" for name, ohm in pairs)
    for name in ("residual_current", "winding_temperature"):
        if name in body:
            yield f"{_words(name)} {_value(body[name])}"
    if "air" in body:
        yield f"Air {_value(body['air']['temperature'])}, {body['air']['relative_humidity']}"


def _words(name: str) -> str:
    return name.replace("_", " ").capitalize()


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return re.sub(r"deg([CF])$", r"°\1", str(value))
