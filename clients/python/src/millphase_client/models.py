"""What the service answers, as frozen dataclasses; what a newer service adds is kept in ``extra``."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, Generic, Self, TypeVar, cast

Item = TypeVar("Item")
Values = TypeVar("Values")


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with its unit, as shown."""

    value: float
    unit: str

    def __str__(self) -> str:
        return f"{self.value:g} {self.unit}"


def quantities(value: Any) -> Any:
    """Return `value` with each ``{value, unit}`` object in it turned into a :class:`Quantity`."""
    if isinstance(value, dict):
        if value.keys() == {"value", "unit"}:
            return Quantity(value["value"], value["unit"])
        return {name: quantities(part) for name, part in value.items()}
    if isinstance(value, list):
        return [quantities(part) for part in value]
    return value


class _Model:
    """Builds a dataclass from a JSON object, part by part."""

    __slots__ = ()

    @classmethod
    def read(cls, data: Mapping[str, Any]) -> Self:
        """Return the model of one JSON object."""
        known = {part.name for part in fields(cls) if part.name not in ("extra", "raw")}  # type: ignore[arg-type]
        taken = {name: cls._part(name, value) for name, value in data.items() if name in known}
        extra = {name: value for name, value in data.items() if name not in known}
        build: Any = cls
        return cast("Self", build(**taken, extra=extra) if extra else build(**taken))

    @classmethod
    def _part(cls, name: str, value: Any) -> Any:  # noqa: ARG003 - models below tell parts apart by name
        return quantities(value)


@dataclass(frozen=True, slots=True)
class Source(_Model):
    """Where a limit comes from, and whether somebody read it there."""

    id: str
    title: str
    locator: str
    basis: str
    checked: str
    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Finding(_Model):
    """One comparison that decided, or informed: what was measured, against which limit, of which source."""

    rule: str
    outcome: str
    because: str
    source: Source
    measured: Any = None
    limit: Any = None
    margin: float | None = None
    decides: bool = True
    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)

    @classmethod
    def _part(cls, name: str, value: Any) -> Any:
        return Source.read(value) if name == "source" else quantities(value)


@dataclass(frozen=True, slots=True)
class Step(_Model):
    """One step of the working: formula, substitution, result."""

    what: str
    formula: str | None = None
    substitution: str | None = None
    gives: Any = None
    rule: str | None = None
    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)

    @classmethod
    def read(cls, data: Mapping[str, Any]) -> Self:
        """Return the step; ``with`` is a word of the language, so it is called ``substitution`` here."""
        renamed = {"substitution" if name == "with" else name: value for name, value in data.items()}
        return super(Step, cls).read(renamed)


@dataclass(frozen=True, slots=True)
class Assumption(_Model):
    """A field that was left out, and what was assumed by which rule."""

    field: str
    assumed: Any
    rule: str | None = None
    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class RuleSet(_Model):
    """The rules that answered, down to the byte."""

    name: str
    version: str
    digest: str
    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Answer(_Model, Generic[Values]):
    """A decision: one sentence to act on, the values, every finding with its source, and the working."""

    question: str
    outcome: str
    summary: str
    values: Values
    findings: tuple[Finding, ...]
    working: tuple[Step, ...]
    next_steps: tuple[str, ...]
    cautions: tuple[str, ...]
    assumptions: tuple[Assumption, ...]
    rule_set: RuleSet
    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)
    raw: Mapping[str, Any] = dataclasses.field(default_factory=dict, repr=False, compare=False)

    @property
    def answers(self) -> dict[str, Answer[Any]]:
        """The answers of the parts of a changeover, by question; empty for any other question."""
        parts = self.raw.get("values", {}).get("answers", {})
        return {question: Answer.read(part) for question, part in parts.items()}

    @classmethod
    def read(cls, data: Mapping[str, Any]) -> Self:
        """Return the answer, with the JSON object it was read from as ``raw``."""
        return dataclasses.replace(super(Answer, cls).read(data), raw=data)

    @classmethod
    def _part(cls, name: str, value: Any) -> Any:
        match name:
            case "findings":
                return tuple(Finding.read(part) for part in value)
            case "working":
                return tuple(Step.read(part) for part in value)
            case "assumptions":
                return tuple(Assumption.read(part) for part in value)
            case "next_steps" | "cautions":
                return tuple(value)
            case "rule_set":
                return RuleSet.read(value)
            case _:
                return quantities(value)


@dataclass(frozen=True, slots=True)
class Fault(_Model):
    """One thing wrong with a request: where, and what to send instead."""

    message: str
    pointer: str | None = None
    parameter: str | None = None
    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ProblemDetails(_Model):
    """An RFC 9457 problem."""

    title: str
    status: int
    type: str = "about:blank"
    detail: str = ""
    instance: str | None = None
    errors: tuple[Fault, ...] = ()
    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)

    @classmethod
    def _part(cls, name: str, value: Any) -> Any:
        return tuple(Fault.read(part) for part in value) if name == "errors" else value


@dataclass(frozen=True, slots=True)
class QuestionSummary(_Model):
    """A question that the service answers."""

    name: str
    summary: str
    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class BatchResult(_Model):
    """What became of one item of a batch: an answer, or the problem with that item alone."""

    status: int
    answer: Answer[Any] | None = None
    problem: ProblemDetails | None = None
    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)

    @classmethod
    def _part(cls, name: str, value: Any) -> Any:
        if name == "answer":
            return Answer.read(value)
        return ProblemDetails.read(value) if name == "problem" else value


@dataclass(frozen=True, slots=True)
class Assessment(_Model):
    """A stored answer with the request that led to it."""

    id: str
    question: str
    request: Mapping[str, Any]
    answer: Answer[Any]
    created_at: str
    machine: str | None = None
    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)

    @classmethod
    def _part(cls, name: str, value: Any) -> Any:
        return Answer.read(value) if name == "answer" else value


@dataclass(frozen=True, slots=True)
class Entry(_Model):
    """One line of the list of stored assessments."""

    id: str
    question: str
    outcome: str
    summary: str
    rule_set: RuleSet
    created_at: str
    href: str = ""
    machine: str | None = None
    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)

    @classmethod
    def _part(cls, name: str, value: Any) -> Any:
        return RuleSet.read(value) if name == "rule_set" else value


class _Record(_Model):
    """A record that was sent: what the service adds to it, and `fields`, all of it that can be sent again."""

    __slots__ = ()

    @classmethod
    def read(cls, data: Mapping[str, Any]) -> Self:
        """Return the record; what the caller sent, or may have sent, is in ``fields`` as it was sent."""
        own = {part.name for part in fields(cls) if part.name != "fields"}  # type: ignore[arg-type]
        known = {name: cls._part(name, value) for name, value in data.items() if name in own}
        build: Any = cls
        return cast("Self", build(**known, fields={name: value for name, value in data.items() if name not in own}))


@dataclass(frozen=True, slots=True)
class Workshop(_Record):
    """A workshop; pass it back to change or delete it. `fields` is the record that can be sent again."""

    id: str
    version: int
    created_at: str
    changed_at: str
    fields: Mapping[str, Any] = dataclasses.field(default_factory=dict)

    @property
    def name(self) -> str:
        """Name of the workshop."""
        return str(self.fields["name"])


@dataclass(frozen=True, slots=True)
class Machine(_Record):
    """A machine; pass it back to change or delete it. `fields` is the record that can be sent again, quantities as text."""

    id: str
    workshop: str
    version: int
    created_at: str
    changed_at: str
    fields: Mapping[str, Any] = dataclasses.field(default_factory=dict)

    @property
    def name(self) -> str:
        """What the workshop calls it."""
        return str(self.fields["name"])


@dataclass(frozen=True, slots=True)
class MachineVersion(_Record):
    """What a machine said from `since` on."""

    version: int
    since: str
    fields: Mapping[str, Any] = dataclasses.field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Withdrawal(_Model):
    """When a reading was withdrawn, and why."""

    at: str
    reason: str
    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Reading(_Record):
    """One visit to a machine; `fields` has what was measured, with quantities as text."""

    id: str
    machine: str
    at: str
    version: int
    created_at: str
    withdrawn: Withdrawal | None = None
    fields: Mapping[str, Any] = dataclasses.field(default_factory=dict)

    @classmethod
    def _part(cls, name: str, value: Any) -> Any:
        return Withdrawal.read(value) if name == "withdrawn" else value


@dataclass(frozen=True, slots=True)
class LeftOut(_Model):
    """How many readings a trend leaves out, and why."""

    because: str
    readings: int
    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class MachineTrend(_Model):
    """The insulation trend over the stored readings of a machine."""

    machine: str
    used: int
    left_out: tuple[LeftOut, ...]
    answer: Answer[Any]
    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)

    @classmethod
    def _part(cls, name: str, value: Any) -> Any:
        match name:
            case "left_out":
                return tuple(LeftOut.read(part) for part in value)
            case "answer":
                return Answer.read(value)
            case _:
                return value


@dataclass(frozen=True, slots=True)
class MachineStatus(_Model):
    """How a machine is; what is not known is None. Every resistance is in `unit`."""

    machine: str
    name: str
    outcome: str
    summary: str
    direction: str
    attention: bool
    retired: bool
    tests: int
    rule_set: str
    measured_at: str | None = None
    age_days: int | None = None
    unit: str | None = None
    resistance: float | None = None
    over_range: bool | None = None
    resistance_at_40c: float | None = None
    minimum_at_40c: float | None = None
    margin: float | None = None
    next_due: str | None = None
    due_by_rule: str | None = None
    overdue: bool | None = None
    extra: Mapping[str, Any] = dataclasses.field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Page(Generic[Item]):
    """A page of a list; `cursor` asks for the page after it, and is None on the last one."""

    items: tuple[Item, ...]
    cursor: str | None = None
