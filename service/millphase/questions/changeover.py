"""The whole job in one call: each part is answered by its own question, and what one finds feeds the next."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from marshmallow import ValidationError

from millphase.answer import Answer, Sheet
from millphase.physics import motor
from millphase.quantity import Quantity, parse
from millphase.questions import (
    cable_sizing,
    commissioning_check,
    connection_choice,
    drive_sizing,
    insulation_acceptance,
    leakage_budget,
    motor_fit,
    spindle_speeds,
    winding_balance,
)
from millphase.questions.base import Invalid, Outcome, Question, Request, View, contradiction, fields, load, out, run

Path = tuple[str | int, ...]

# The parts in working order, with the question that answers each.
PARTS: dict[str, Question] = {
    "insulation": insulation_acceptance.QUESTION,
    "winding": winding_balance.QUESTION,
    "fit": motor_fit.QUESTION,
    "connection": connection_choice.QUESTION,
    "drive": drive_sizing.QUESTION,
    "leakage": leakage_budget.QUESTION,
    "cable": cable_sizing.QUESTION,
    "speeds": spindle_speeds.QUESTION,
    "commissioning": commissioning_check.QUESTION,
}


@dataclass
class Job:
    """What has been asked and answered so far."""

    requests: dict[str, dict[str, Any]]
    answers: dict[str, Answer] = field(default_factory=dict)

    def given(self, part: str, *path: str | int) -> Any:
        """What the user entered at `path` of a part, or None."""
        return _at(self.requests.get(part, {}), path)

    def found(self, part: str, value: str) -> Quantity | None:
        """A quantity that an earlier part has answered, or None."""
        answer = self.answers.get(part)
        return answer.quantity(value) if answer else None


@dataclass(frozen=True)
class Feed:
    """One value that flows from an earlier part into a later one."""

    part: str
    path: Path
    what: str
    source: Callable[[Job, Sheet], Any]
    larger: str = ""
    """Dimension of a value of which the larger of entered and found is carried on; empty: the entered one stands."""


def _answered(part: str, value: str) -> Callable[[Job, Sheet], Any]:
    return lambda job, sheet: job.found(part, value)


def _entered(part: str, *path: str | int) -> Callable[[Job, Sheet], Any]:
    return lambda job, sheet: job.given(part, *path)


def _torque(job: Job, sheet: Sheet) -> Quantity | None:
    power, speed = job.given("connection", "nameplate", "power"), job.given("connection", "nameplate", "speed")
    if not isinstance(power, str) or not isinstance(speed, str):
        return None
    return sheet.step(
        "rated torque of the motor, for its key", motor.torque, unit="N.m",
        P=parse(power, "power"), n=parse(speed, "rotational-frequency"),
    )  # fmt: skip


def _motor_insulation(job: Job, _: Sheet) -> Quantity | None:
    measured_on = job.given("insulation", "under_test") or "motor"
    return job.found("insulation", "lowest_resistance") if measured_on in ("motor", "motor-and-cable") else None


def _drive_fed(job: Job, _: Sheet) -> str | None:
    return "drive" if "drive" in job.requests else None


RCD_LABEL = ("rated_residual_current", "type", "delay")

FEEDS: tuple[Feed, ...] = (
    Feed("fit", ("torque",), "torque on the key", _torque),
    Feed("drive", ("motor", "current"), "motor current at the connection chosen", _answered("connection", "line_current"), "current"),
    Feed("drive", ("motor", "voltage"), "drive output voltage", _entered("connection", "fed_from", "output_voltage")),
    Feed("drive", ("motor", "power"), "motor power", _entered("connection", "nameplate", "power")),
    Feed("drive", ("motor", "power_factor"), "motor power factor", _entered("connection", "nameplate", "power_factor")),
    Feed("leakage", ("supply", "voltage"), "supply voltage", _entered("drive", "supply", "voltage")),
    Feed("leakage", ("supply", "frequency"), "supply frequency", _entered("drive", "supply", "frequency")),
    Feed("leakage", ("drives", 0, "motor_cable"), "motor cable", _entered("drive", "motor_cable")),
    Feed("leakage", ("drives", 0, "carrier_frequency"), "carrier frequency", _entered("drive", "drive", "carrier_frequency")),
    Feed("leakage", ("drives", 0, "motor_insulation"), "motor insulation resistance", _motor_insulation),
    Feed("cable", ("design_current",), "design current of the circuit", _answered("drive", "input_current"), "current"),
    Feed("cable", ("feeds",), "what the cable feeds", _drive_fed),
    Feed("cable", ("voltage",), "supply voltage", _entered("drive", "supply", "voltage")),
    Feed("cable", ("phases",), "supply phases", _entered("drive", "supply", "phases")),
    Feed("cable", ("protective_conductor_current",), "protective-conductor current", _answered("leakage", "protective_conductor_current"), "current"),
    *(Feed("cable", ("rcd", name), "RCD", _entered("leakage", "rcd", name)) for name in RCD_LABEL),
    Feed("speeds", ("motor", "rated_speed"), "rated speed", _entered("connection", "nameplate", "speed")),
    Feed("speeds", ("motor", "frequency"), "rated frequency", _entered("connection", "nameplate", "frequency")),
    Feed("speeds", ("motor", "power"), "motor power", _entered("connection", "nameplate", "power")),
    *(Feed("commissioning", ("rcd", name), "RCD", _entered("leakage", "rcd", name)) for name in RCD_LABEL),
    Feed("commissioning", ("rated_current",), "motor current", _answered("connection", "line_current")),
)  # fmt: skip


def _at(node: Any, path: Path) -> Any:
    for part in path:
        if isinstance(node, Mapping):
            node = node.get(part)
        elif isinstance(node, list) and isinstance(part, int):
            node = node[part] if part < len(node) else None
        else:
            return None
    return node


def _put(node: Any, path: Path, value: Any) -> None:
    """Set a value, making objects on the way; a list that is not there, or another kind of node, is left alone."""
    for part, following in pairwise(path):
        if isinstance(node, dict) and part not in node and isinstance(following, str):
            node[part] = {}
        node = _at(node, (part,))
    if isinstance(node, dict):
        node[path[-1]] = value


def _without_fed(messages: Any, fed: list[Path], pointer: Path = ()) -> Any:
    """The faults that remain once a fed field may be missing; faults beside it stay as they are."""
    if isinstance(messages, Mapping):
        kept = {key: _without_fed(inner, fed, (*pointer, key)) for key, inner in messages.items()}
        return {key: inner for key, inner in kept.items() if inner}
    may_be_missing = any(path[: len(pointer)] == pointer for path in fed)
    return [
        message
        for message in (messages if isinstance(messages, list) else [messages])
        if not (may_be_missing and str(message).startswith("required"))
    ]


class Open(fields.Part):
    """A part whose fed fields may be left out; kept as entered, for they are filled in before it is asked."""

    def __init__(self, part: str) -> None:
        self.question = PARTS[part]
        self.fed = [feed.path for feed in FEEDS if feed.part == part]
        help_text = f"Request of {self.question.name}; what an earlier part finds may be left out."
        super().__init__(self.question.request, help=help_text)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> dict[str, Any]:
        try:
            super()._deserialize(value, attr, data, **kwargs)
        except ValidationError as error:
            remaining = _without_fed(error.messages, self.fed)
            if remaining:
                raise ValidationError(remaining) from None
        return deepcopy(value)

    def json_schema(self) -> dict[str, Any]:
        """The question's schema, fed fields not required."""
        schema = deepcopy(super().json_schema())
        for path in self.fed:
            node: Any = schema
            for part in path:
                if isinstance(part, int):
                    node = node.get("items", {})
                    continue
                if part in node.get("required", []):
                    node["required"].remove(part)
                    if not node["required"]:
                        del node["required"]
                node = node.get("properties", {}).get(part, {})
        return schema


ChangeoverRequest: type[Request] = type("ChangeoverRequest", (Request,), {part: Open(part) for part in PARTS})


def answer(request: dict[str, Any], book: View) -> Answer:
    """Answer every part that was sent, in working order, feeding each from the ones before it."""
    sheet = QUESTION.sheet(book)
    if not any(part in request for part in PARTS):
        raise contradiction(
            "", f"a changeover without a part has nothing to answer; send at least one of {', '.join(PARTS)}"
        )
    job = Job({part: deepcopy(request[part]) for part in PARTS if part in request})
    for part in job.requests:
        job.requests[part].setdefault("wiring_rules", request["wiring_rules"])
        _feed(part, job, sheet)
        _ask(part, job, sheet)
    sheet.value("answers", {PARTS[part].name: found for part, found in job.answers.items()})
    sheet.value("checklist", _checklist(job, sheet))
    for found in job.answers.values():
        sheet.cautions.extend(text for text in found.cautions if text not in sheet.cautions)
    sheet.caution("caution/isolate-and-lock-off", "caution/local-code-and-licensed-practice")
    return sheet.answer(_summary(job, sheet))


def _feed(part: str, job: Job, sheet: Sheet) -> None:
    for feed in FEEDS:
        if feed.part != part:
            continue
        value = feed.source(job, sheet)
        entered = job.given(part, *feed.path)
        if value is None or (entered is not None and not feed.larger):
            continue
        if entered is not None:
            value = _larger(feed, entered, value, sheet)
        _put(job.requests[part], feed.path, _as_text(value))


def _as_text(value: Any) -> Any:
    return f"{value.value:.6g} {value.unit}" if isinstance(value, Quantity) else deepcopy(value)


def _larger(feed: Feed, entered: str, found: Quantity, sheet: Sheet) -> Quantity:
    """The larger of what was entered and what was found; a difference beyond the tolerance is a caution."""
    given = parse(entered, feed.larger)
    rule = sheet.book.limit("changeover/fed-value-tolerance")
    difference = sheet.step(
        f"difference between entered and calculated {feed.what}", "d = abs(a − b)/max(a, b)", unit="%", a=given, b=found
    )
    larger = max(given, found, key=lambda quantity: quantity.si)
    because = f"{feed.what.capitalize()}: {given} entered, {found} worked out; {larger} is carried on"
    sheet.compare(rule, difference, because=because, otherwise=Outcome.CAUTION)
    return larger


def _ask(part: str, job: Job, sheet: Sheet) -> None:
    question = PARTS[part]
    try:
        loaded = load(question, job.requests[part])
    except Invalid as error:
        for fault in error.faults:
            if fault.code != "required":
                raise contradiction(f"/{part}{fault.pointer}", fault.message) from None
        missing = ", ".join(f"{part}{fault.pointer}".replace("/", ".") for fault in error.faults)
        rule = sheet.book.rule("changeover/part-not-answered")
        sheet.find(
            Outcome.INCONCLUSIVE,
            rule,
            because=f"{question.title} is open: {missing} is neither entered nor found by an earlier part",
        )
        sheet.next_step(f"Enter or measure {missing}, then ask again.")
        return
    try:
        found = run(question, loaded, sheet.book.book)
    except Invalid as error:
        raise contradiction(f"/{part}{error.faults[0].pointer}", error.faults[0].message) from None
    job.answers[part] = found
    sheet.findings.extend(finding for finding in found.findings if finding.decides)


def _checklist(job: Job, sheet: Sheet) -> list[dict[str, Any]]:
    """What to do, in working order: make safe, then each part's next steps, then hand over."""
    steps = [("changeover", text) for text in sheet.book.steps("changeover/before-work")]
    for part, found in job.answers.items():
        steps += [(PARTS[part].name, text) for text in found.next_steps]
    steps += [("changeover", text) for text in sheet.next_steps]
    steps += [("changeover", text) for text in sheet.book.steps("changeover/hand-over")]
    return [{"order": order, "question": question, "do": text} for order, (question, text) in enumerate(steps, 1)]


def _summary(job: Job, sheet: Sheet) -> str:
    worst = [PARTS[part].title.lower() for part, found in job.answers.items() if found.outcome is sheet.outcome]
    accepted = sum(found.outcome is Outcome.ACCEPT for found in job.answers.values())
    counted = f"{accepted} of {len(job.requests)} parts are accepted"
    if sheet.outcome is Outcome.ACCEPT:
        return f"All {len(job.requests)} parts are accepted: follow the checklist, then hand the machine over."
    blocking = f"; {sheet.outcome.word} from {', '.join(worst)}" if worst else ""
    verdict = {
        Outcome.CAUTION: "Go on only after reading the cautions",
        Outcome.INCONCLUSIVE: "Not decided yet: a test or an input is missing",
        Outcome.REJECT: "Do not energise or hand over yet",
    }[sheet.outcome]
    return f"{verdict}: {counted}{blocking}."


# A made-up shaping machine in a made-up workshop; the demo tells the same story in words.
EXAMPLE: dict[str, Any] = {
    "insulation": {
        "rated_voltage": "400 V", "winding": "random-wound", "manufactured": 2009, "under_test": "motor", "drive_disconnected": True,
        "links": "removed", "air": {"temperature": "14 degC", "relative_humidity": "65 %"},
        "readings": [
            {"between": f"{winding}-earth", "resistance": resistance, "test_voltage": "500 V", "instrument": "insulation-tester",
             "after": "60 s", "winding_temperature": "19 degC"}
            for winding, resistance in (("U", "310 Mohm"), ("V", "290 Mohm"), ("W", "325 Mohm"))
        ],
    },
    "connection": {
        "nameplate": {"delta_voltage": "230 V", "star_voltage": "400 V", "delta_current": "6.1 A", "star_current": "3.5 A",
                      "frequency": "50 Hz", "power": "1.5 kW", "speed": "1415 r/min", "power_factor": 0.78},
        "leads": 6, "marking": "iec", "present_connection": "star",
        "fed_from": {"kind": "drive", "voltage": "230 V", "phases": 1, "output_voltage": "230 V", "maximum_frequency": "80 Hz"},
    },
    "drive": {
        "motor": {"poles": 4}, "duty": "heavy",
        "supply": {"voltage": "230 V", "frequency": "50 Hz", "phases": 1, "resistance": "0.31 ohm", "reactance": "0.08 ohm"},
        "drive": {"rated_output_current": "7.4 A", "rated_input_current": "15.9 A", "dc_link_capacitance": "1360 uF",
                  "carrier_frequency": "4 kHz", "input_phases": 1},
        "motor_cable": {"length": "3 m", "screened": True},
    },
    "leakage": {
        "rcd": {"rated_residual_current": "30 mA", "type": "A"}, "supply": {"earthing": "tn-c-s"},
        "loads": [{"name": "bench lights", "kind": "led-luminaire", "count": 2}],
        "drives": [{"name": "shaper", "filter_leakage": "9.5 mA", "input": "line-neutral"}],
        "circuits": [{"length": "24 m"}],
    },
    "cable": {
        "length": "24 m", "installation_method": "c", "cable": "armoured", "insulation": "xlpe-90", "ambient": "30 degC",
        "grouped_circuits": 1, "protective_device": {"kind": "mcb-c"}, "external_loop_impedance": "0.31 ohm", "earthing": "tn-c-s",
    },
}  # fmt: skip

QUESTION = Question(
    name="changeover",
    order=100,
    title="Changeover",
    summary="The whole job in one call: insulation, winding, fit, connection, drive, leakage, cable, speeds, commissioning.",
    request=ChangeoverRequest,
    values={
        "answers": out.answers("The answer of every part, by the name of its question."),
        "checklist": out.rows(
            {
                "order": out.number("Place in the working order."),
                "question": out.text("Question the step comes from."),
                "do": out.text("What to do."),
            },
            "What to do, in working order.",
        ),
    },
    answer=answer,
    rules=("*",),
    example=EXAMPLE,
    largest_body=256 * 1024,
)
