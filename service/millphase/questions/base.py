"""What a question is: a request schema, the values it can return, and a procedure that answers it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cache
from importlib import import_module
from itertools import islice
from pkgutil import iter_modules
from typing import Any

from marshmallow import RAISE, Schema, ValidationError

from millphase.answer import Answer, Contradiction, Outcome, Sheet
from millphase.quantity import Quantity
from millphase.questions import fields, out
from millphase.questions.out import Out
from millphase.rulebook import Limit, Rulebook
from millphase.rulebook.book import RuleWithdrawn, View, notice

FAULTS_TOLD = 100
WIRING_RULES = ["iec-60364", "bs-7671", "nfpa-70"]


RULE_SET_PATTERN = r"^[a-z0-9-]{1,60}@[0-9]{1,4}\.[0-9]{1,4}\.[0-9]{1,4}$"


class Part(Schema):
    """A part of a request; unknown fields are refused."""

    error_messages = {"unknown": "unknown field", "type": "send an object"}  # noqa: RUF012 - the library declares it so

    class Meta:
        """Refuse what is not declared."""

        unknown = RAISE


class Request(Part):
    """Fields that every question understands."""

    wiring_rules = fields.Choice(WIRING_RULES, default="iec-60364", help="Wiring rules the user lives under.")
    rule_set = fields.Text(
        high=80, pattern=RULE_SET_PATTERN, example="workshop@1.0.0",
        help="Pin a rule set as name@version; without it the service's own set is used.",
    )  # fmt: skip


def accuracy_part(dimension: str) -> fields.Part:
    """Field ``measurement_accuracy`` for readings of `dimension`: a share of the reading, a fixed part, or both."""
    relative = fields.Quantity("ratio", high="100 %", zero=True, help="Share of the reading, e.g. 5 %.")
    absolute = fields.Quantity(dimension, zero=True, help="Fixed part, e.g. the value of two counts.")
    schema = type("Accuracy", (Part,), {"relative": relative, "absolute": absolute})
    return fields.Part(schema, help="Accuracy of the instrument for this reading.")


def half_width(reading: Quantity, accuracy: Mapping[str, Quantity] | None) -> Quantity | None:
    """Half-width of the interval a reading stands for, or None where no accuracy is stated."""
    if not accuracy:
        return None
    relative = accuracy["relative"].si if "relative" in accuracy else 0.0
    absolute = accuracy["absolute"].si if "absolute" in accuracy else 0.0
    return Quantity(abs(reading.si) * relative + absolute, reading.unit, reading.dimension)


@dataclass(frozen=True)
class Question:
    """One question of the trade.

    Attributes
    ----------
    name : str
        Kebab-case name; the path is ``/v1/<name>``.
    order : int
        Place in the working order of the job.
    title, summary : str
        For people.
    request : type of Request
        Schema of the request.
    values : mapping
        Every named value the answer may carry.
    answer : callable
        ``answer(request, book)``; reads like the trade's procedure.
    rules : tuple of str
        Patterns of the rule ids it may ask for.
    example : mapping
        A valid request of a made-up workshop.
    largest_body : int
        Most bytes a request may have; more where a long record of readings can be sent.
    """

    name: str
    order: int
    title: str
    summary: str
    request: type[Request]
    values: Mapping[str, Out]
    answer: Callable[[dict[str, Any], View], Answer]
    rules: tuple[str, ...]
    example: Mapping[str, Any]
    largest_body: int = 64 * 1024

    def sheet(self, book: View) -> Sheet:
        """A fresh calculation sheet for this question."""
        return Sheet(self.name, book, self.values)


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of a request: RFC 6901 pointer, short code, and what to do."""

    pointer: str
    code: str
    message: str

    def as_json(self) -> dict[str, str]:
        """The fault as it stands in a problem document."""
        return {"pointer": self.pointer, "code": self.code, "message": self.message}


class Invalid(ValueError):
    """A request that does not fit its schema, or that contradicts itself; all faults at once."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = faults
        super().__init__("; ".join(f"{fault.pointer or '/'}: {fault.message}" for fault in faults))

    @property
    def contradictory(self) -> bool:
        """Whether the request fits its schema but cannot be true."""
        return all(fault.code == "contradictory-input" for fault in self.faults)


def contradiction(pointer: str, message: str) -> Contradiction:
    """A 422 for input that cannot all be true: ``raise contradiction("/readings/0", "…; measure it again")``."""
    return Contradiction(pointer, message)


def refused(error: Contradiction) -> Invalid:
    """A contradiction as the refusal that every caller of a question gets."""
    return Invalid([Fault(error.pointer, "contradictory-input", error.message)])


@cache
def registry() -> dict[str, Question]:
    """Every question by name, in working order; found by looking into this package."""
    package = import_module("millphase.questions")
    found: list[Question] = []
    for module in iter_modules(package.__path__):
        if not module.name.startswith("_") and module.name not in ("base", "fields", "out"):
            found.append(import_module(f"millphase.questions.{module.name}").QUESTION)
    return {question.name: question for question in sorted(found, key=lambda q: (q.order, q.name))}


@cache
def _loader(schema: type[Part]) -> Part:
    return schema()


def escape(part: object) -> str:
    """One reference token of a JSON pointer (RFC 6901)."""
    return str(part).replace("~", "~0").replace("/", "~1")


def _faults(messages: Any, pointer: str, schema: Any) -> Iterator[Fault]:
    if isinstance(messages, Mapping):
        for key, inner in messages.items():
            yield from _faults(inner, pointer if key == "_schema" else f"{pointer}/{escape(key)}", schema)
        return
    for message in messages if isinstance(messages, list) else [messages]:
        text = str(message)
        if text == "unknown field":
            yield Fault(
                pointer,
                "unknown-field",
                f"unknown field{_suggestion(pointer, schema)}; remove it or correct its name",
            )
        elif isinstance(message, fields.Implausible):
            yield Fault(pointer, "contradictory-input", text)
        else:
            yield Fault(pointer, "required" if text.startswith("required") else "invalid", text)


@cache
def _object_schema(schema: type[Schema]) -> dict[str, Any]:
    return fields.object_schema(schema)


def _suggestion(pointer: str, schema: Any) -> str:
    node: Any = _object_schema(schema)
    *path, name = pointer.split("/")[1:]
    for part in path:
        node = node.get("items", {}) if part.isdigit() else node.get("properties", {}).get(part, {})
    near = get_close_matches(name, list(node.get("properties", {})), n=1)
    return f" (did you mean {near[0]}?)" if near else ""


def load(question: Question, data: Any) -> dict[str, Any]:
    """Check a request against its schema.

    Raises
    ------
    Invalid
        With all faults, each with its pointer.
    """
    return load_part(question.request, data)


def load_part(schema: type[Part], data: Any) -> dict[str, Any]:
    """Check JSON data against any schema of these fields; raises as :func:`load`."""
    try:
        loaded: dict[str, Any] = _loader(schema).load(data)
    except ValidationError as error:
        # A hostile body can hold ten thousand faults; a hundred tell the reader enough.
        raise Invalid(list(islice(_faults(error.messages, "", schema), FAULTS_TOLD))) from None
    return loaded


def with_additions(answer: Answer, book: Rulebook) -> Answer:
    """The answer with what a club's set adds to its question: limits on its values, and cautions."""
    added = book.additions.get(answer.question)
    if not added:
        return answer
    sheet = Sheet(answer.question, book.view(("*",)), findings=list(answer.findings), cautions=list(answer.cautions))
    summary = answer.summary
    for rule in added:
        told = notice(rule)
        if told is not None and told not in sheet.cautions:
            sheet.cautions.append(told)
        if "withdrawn" in rule.data:
            continue
        if not isinstance(rule, Limit):
            sheet.caution(rule.id)
            continue
        measured = answer.quantity(rule.data["applies_to"]["value"])
        if measured is not None and measured.dimension == rule.value.dimension:
            because = f"{rule.title}: {rule.sense.replace('-', ' ')} {rule.value}, and it is {measured}."
            otherwise = Outcome[rule.data["applies_to"].get("otherwise", "reject").upper()]
            found = sheet.compare(rule, measured, because=because, otherwise=otherwise)
            if found.outcome > answer.outcome:
                summary = f"{summary} But rule set {book.name} adds a limit that is not kept: {because}"
    outcome = max(answer.outcome, sheet.outcome) if len(sheet.findings) > len(answer.findings) else answer.outcome
    return replace(answer, outcome=outcome, summary=summary, findings=sheet.findings, cautions=sheet.cautions)


def run(question: Question, request: dict[str, Any], book: Rulebook) -> Answer:
    """Answer a checked request under `book`.

    Raises
    ------
    Invalid
        When the input cannot all be true.
    """
    view = book.view(question.rules)
    try:
        return with_additions(question.answer(request, view), book)
    except Contradiction as error:
        raise refused(error) from None
    except RuleWithdrawn as error:
        sheet = question.sheet(book.view(("*",)))
        because = (
            f"Rule {error.rule.id} is withdrawn in rule set {book.name} {book.version}: {error.reason.rstrip('.')}"
        )
        sheet.find(Outcome.INCONCLUSIVE, error.rule, because=because)
        sheet.next_step("Ask the keeper of the rule set for a replacement, or pin another rule set.")
        return sheet.answer(f"This cannot be answered: {because}.")


def ask(name: str, data: Any, book: Rulebook) -> Answer:
    """Load and answer in one go: what HTTP, batch, CLI and changeover all call."""
    question = registry()[name]
    return run(question, load(question, data), book)


__all__ = [
    "WIRING_RULES", "Answer", "Contradiction", "Fault", "Invalid", "Outcome", "Part", "Question", "Request", "Sheet", "View",
    "accuracy_part", "ask", "contradiction", "escape", "fields", "half_width", "load", "load_part", "out", "refused", "registry", "run",
]  # fmt: skip
