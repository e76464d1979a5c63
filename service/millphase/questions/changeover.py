"""The whole job in one call: each part is answered by its own question, and what one finds feeds the next."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from copy import deepcopy
from typing import Any

from marshmallow import ValidationError

from millphase.answer import Answer, Sheet
from millphase.questions._changeover_feeds import FEEDS, PARTS, Job, Path, feed
from millphase.questions.base import Invalid, Outcome, Question, Request, View, contradiction, fields, load, out, run

# A changeover is decided on these together; the rest is asked where it is needed.
CORE = ("insulation", "connection", "drive", "leakage", "cable")


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
        self.fed = [entry.path for entry in FEEDS if entry.part == part]
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
        _check_rule_set(part, job, book)
        _one_installation(part, job, request["wiring_rules"], sheet)
        feed(part, job, sheet)
        _ask(part, job, sheet)
    missing = _not_asked(job, sheet)
    sheet.value("answers", {PARTS[part].name: found for part, found in job.answers.items()})
    sheet.value("checklist", _checklist(job, sheet))
    for found in job.answers.values():
        sheet.cautions.extend(text for text in found.cautions if text not in sheet.cautions)
    sheet.caution("caution/isolate-and-lock-off", "caution/local-code-and-licensed-practice")
    return sheet.answer(_summary(job, sheet, missing))


def _check_rule_set(part: str, job: Job, book: View) -> None:
    """One job is judged by one rule set; another named inside a part would be passed over."""
    pinned = job.requests[part].pop("rule_set", None)
    if pinned not in (None, f"{book.identity['name']}@{book.identity['version']}"):
        raise contradiction(
            f"/{part}/rule_set", "one job is judged by one rule set; name it once, beside the parts and not inside one"
        )


def _one_installation(part: str, job: Job, rules: str, sheet: Sheet) -> None:
    """The job's wiring rules hold for a part that names none; one that names others is asked about."""
    own = job.requests[part].setdefault("wiring_rules", rules)
    if own == rules:
        return
    sheet.find(
        Outcome.CAUTION, sheet.book.limit("changeover/fed-value-tolerance"),
        because=f"Wiring rules: {own} entered for {PARTS[part].title.lower()}, {rules} for the job; {own} is used there.",
    )  # fmt: skip
    job.contradictions.append("wiring rules")


def _ask(part: str, job: Job, sheet: Sheet) -> None:
    question = PARTS[part]
    try:
        loaded = load(question, job.requests[part])
    except Invalid as error:
        for fault in error.faults:
            if fault.code != "required":
                raise contradiction(f"/{part}{fault.pointer}", fault.message) from None
        missing = ", ".join(f"{part}{fault.pointer}".replace("/", ".") for fault in error.faults)
        verb = "is" if len(error.faults) == 1 else "are"
        _open(sheet, f"{question.title} is open: {missing} {verb} neither entered nor found by an earlier part.")
        sheet.next_step(f"Enter or measure {missing}, then ask again.")
        return
    try:
        found = run(question, loaded, sheet.book.book)
    except Invalid as error:
        raise contradiction(f"/{part}{error.faults[0].pointer}", error.faults[0].message) from None
    job.answers[part] = found
    deciding = [finding for finding in found.findings if finding.decides]
    sheet.findings.extend(deciding)
    if found.outcome > max((finding.outcome for finding in deciding), default=Outcome.ACCEPT):
        _open(sheet, f"{question.title} shows nothing either way.")


def _open(sheet: Sheet, because: str) -> None:
    sheet.find(Outcome.INCONCLUSIVE, sheet.book.rule("changeover/part-not-answered"), because=because)


def _not_asked(job: Job, sheet: Sheet) -> list[str]:
    """The parts a changeover is decided on and that were not sent; a motor on the mains needs no drive."""
    on_mains = job.given("connection", "fed_from", "kind") == "mains"
    missing = [part for part in CORE if part not in job.requests and not (on_mains and part == "drive")]
    for part in missing:
        _open(sheet, f"{PARTS[part].title} was not asked.")
    if missing:
        sheet.next_step(f"Ask the rest of the job too: {', '.join(missing)}.")
    return missing


def _checklist(job: Job, sheet: Sheet) -> list[dict[str, Any]]:
    """What to do, each once: make safe, then each part's next steps, then what is missing; the supply comes on last."""
    entries: dict[str, str] = {}
    for question, text in _in_order(job, sheet):
        entries.setdefault(text, question)
    return [
        {"order": order, "question": question, "do": text} for order, (text, question) in enumerate(entries.items(), 1)
    ]


def _in_order(job: Job, sheet: Sheet) -> Iterator[tuple[str, str]]:
    """Every step with the question it comes from."""

    def own(steps: list[str]) -> Iterator[tuple[str, str]]:
        return ((QUESTION.name, text) for text in steps)

    yield from own(sheet.book.steps("changeover/before-work"))
    for part, found in job.answers.items():
        if part != "commissioning":
            yield from ((PARTS[part].name, text) for text in found.next_steps)
    yield from own(sheet.next_steps)
    yield from own(sheet.book.steps("changeover/before-energising"))
    if "commissioning" in job.answers:
        yield from ((PARTS["commissioning"].name, text) for text in job.answers["commissioning"].next_steps)
    yield from own(sheet.book.steps("changeover/hand-over"))


def _summary(job: Job, sheet: Sheet, missing: list[str]) -> str:
    def titles(parts: list[str]) -> str:
        return ", ".join(PARTS[part].title.lower() for part in parts)

    if sheet.outcome is Outcome.ACCEPT:
        tests = "" if "commissioning" in job.requests else "have the commissioning tests judged, "
        return f"All {len(job.requests)} parts are accepted: follow the checklist, {tests}then hand the machine over."
    worst = [part for part, found in job.answers.items() if found.outcome is sheet.outcome]
    unanswered = [part for part in job.requests if part not in job.answers]
    accepted = sum(found.outcome is Outcome.ACCEPT for found in job.answers.values())
    verdict = {
        Outcome.CAUTION: "Go on only after reading the cautions",
        Outcome.INCONCLUSIVE: "Not decided yet: a test, an input or a part is missing",
        Outcome.REJECT: "Do not energise or hand over yet",
    }[sheet.outcome]
    counted = f"{accepted} of {len(job.requests)} parts sent {'is' if accepted == 1 else 'are'} accepted"
    told = ((f"{sheet.outcome.word} from", worst), ("lacking an input:", unanswered), ("not asked:", missing))
    parts = [f"{verdict}: {counted}", *(f"{words} {titles(named)}" for words, named in told if named)]
    if job.contradictions:
        parts.append(f"the parts do not agree on {', '.join(dict.fromkeys(job.contradictions))}")
    return "; ".join(parts) + "."


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
