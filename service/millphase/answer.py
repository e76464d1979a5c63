"""An answer and the sheet it is worked out on: outcome, findings with sources, and the calculation step by step."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import IntEnum
from typing import Any, Protocol

from millphase import formula as notation
from millphase.physics.law import Law
from millphase.quantity import Quantity, significant
from millphase.rulebook.book import View
from millphase.rulebook.model import Cell, Cited, Constant, Limit


class Outcome(IntEnum):
    """How an answer ends; a higher number is worse, and an answer is as bad as its worst deciding finding."""

    ACCEPT = 0
    CAUTION = 1
    INCONCLUSIVE = 2
    REJECT = 3

    @property
    def word(self) -> str:
        """The outcome as it is written in an answer."""
        return self.name.lower()


class HasCitation(Protocol):
    """Anything from a rule set that can be cited."""

    @property
    def cited(self) -> Cited:
        """Rule id and source."""


class Contradiction(ValueError):
    """Input that cannot all be true; `pointer` says where, the message what to measure or enter again."""

    def __init__(self, pointer: str, message: str) -> None:
        super().__init__(message)
        self.pointer, self.message = pointer, message


@dataclass(frozen=True, slots=True)
class Finding:
    """One comparison or observation, with the rule behind it."""

    cited: Cited
    outcome: Outcome
    because: str
    measured: Quantity | None = None
    limit: Quantity | None = None
    margin: float | None = None
    decides: bool = True

    def as_json(self) -> dict[str, Any]:
        """The finding as it stands in an answer."""
        found: dict[str, Any] = {
            "rule": self.cited.rule,
            "outcome": self.outcome.word,
            "decides": self.decides,
        }
        if self.measured is not None:
            found["measured"] = self.measured.as_json()
        if self.limit is not None:
            found["limit"] = self.limit.as_json()
        if self.margin is not None:
            found["margin"] = self.margin
        return {**found, "because": self.because, "source": dict(self.cited.source)}


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the working."""

    what: str
    formula: str
    substituted: str
    gives: Quantity
    cited: Cited | None

    def as_json(self) -> dict[str, Any]:
        """The step as it stands in an answer."""
        found: dict[str, Any] = {
            "what": self.what, "formula": self.formula, "with": self.substituted,
            "gives": {"value": significant(self.gives.value, 9), "unit": self.gives.unit},
        }  # fmt: skip
        if self.cited is not None:
            found |= {"rule": self.cited.rule, "source": dict(self.cited.source)}
        return found


Value = Quantity | str | list[Any] | dict[str, Any]


@dataclass(frozen=True)
class Answer:
    """What a question answers; :meth:`as_json` is the body a caller gets."""

    question: str
    outcome: Outcome
    summary: str
    values: Mapping[str, Value]
    findings: Sequence[Finding]
    working: Sequence[Step]
    next_steps: Sequence[str]
    cautions: Sequence[str]
    assumptions: Sequence[tuple[str, str, Cited]]
    rule_set: Mapping[str, str]

    def quantity(self, name: str) -> Quantity | None:
        """The quantity `name` among the values, or None where the answer has none."""
        value = self.values.get(name)
        return value if isinstance(value, Quantity) else None

    def as_json(self) -> dict[str, Any]:
        """The answer as plain JSON data, keys in the order a reader wants them."""
        return {
            "question": self.question,
            "outcome": self.outcome.word,
            "summary": self.summary,
            "values": {name: plain(value) for name, value in self.values.items()},
            "findings": [finding.as_json() for finding in self.findings],
            "working": [step.as_json() for step in self.working],
            "next_steps": list(self.next_steps),
            "cautions": list(self.cautions),
            "assumptions": [
                {"field": name, "assumed": assumed, "rule": cited.rule, "source": dict(cited.source)}
                for name, assumed, cited in self.assumptions
            ],
            "rule_set": dict(self.rule_set),
        }


def plain(value: Any) -> Any:
    """A value as JSON data; quantities become ``{value, unit}``."""
    if isinstance(value, Quantity | Answer):
        return value.as_json()
    if isinstance(value, Mapping):
        return {name: plain(part) for name, part in value.items()}
    if isinstance(value, list | tuple):
        return [plain(part) for part in value]
    if isinstance(value, float):
        return significant(value)
    return value


@dataclass
class Sheet:
    """A calculation sheet: everything that goes into an answer is written here as it is worked out.

    Parameters
    ----------
    question : str
        Name of the question.
    book : View
        The rules this question may use.
    declared : mapping, optional
        Value names the question declares; writing another is a fault of the program.
    """

    question: str
    book: View
    declared: Mapping[str, Any] | None = None
    values: dict[str, Value] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    working: list[Step] = field(default_factory=list)
    next_steps: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    assumptions: list[tuple[str, str, Cited]] = field(default_factory=list)

    def step(
        self,
        what: str,
        how: Law[...] | str,
        *,
        unit: str,
        rule: HasCitation | None = None,
        **symbols: Quantity | float,
    ) -> Quantity:
        """Work out one formula and write the line.

        Parameters
        ----------
        what : str
            What the result is, in plain words.
        how : Law or str
            A law from ``physics``, or formula text that is evaluated as written.
        unit : str
            Unit the result is shown in.
        rule : cited object, optional
            Where the formula or its coefficient comes from.
        **symbols
            Value of every symbol of the formula.

        Returns
        -------
        Quantity
            The unrounded result.

        Raises
        ------
        Contradiction
            When the formula has no finite value for these arguments.
        """
        numbers = {name: value.si if isinstance(value, Quantity) else value for name, value in symbols.items()}
        try:
            if isinstance(how, Law):
                result = float(how(**{how.symbols[name]: number for name, number in numbers.items()}))
                text = how.formula
            else:
                result, text = notation.evaluate(how, numbers), how
        except (ArithmeticError, ValueError) as error:
            raise Contradiction("", f"the {what} has no value for these inputs ({error}); check them") from error
        return self._write(what, text, notation.substitute(text, symbols), self._finite(what, result, unit), rule)

    def procedure(
        self, what: str, function: Callable[..., float], *, unit: str, rule: HasCitation | None = None,
        result: float | None = None, **arguments: Quantity | float,
    ) -> Quantity:  # fmt: skip
        """Write a result that has no closed form: ``name(argument = value, …)``; `result` in SI if already known."""
        numbers = {name: value.si if isinstance(value, Quantity) else value for name, value in arguments.items()}
        name = function.__name__
        number = function(**numbers) if result is None else result
        text = f"{name}({', '.join(arguments)})"
        given = ", ".join(f"{key} = {notation.printed(value)}" for key, value in arguments.items())
        return self._write(what, text, f"{name}({given})", self._finite(what, number, unit), rule)

    def looked_up(self, what: str, found: Constant | Cell) -> Quantity:
        """Write a value taken from a rule or from a cell of a table, and return it."""
        value = found.value
        if not isinstance(value, Quantity):
            raise KeyError(f"{what}: {found.cited.rule} holds no quantity here")
        return self._write(what, "from the rule", notation.precise(value), value, found)

    def _finite(self, what: str, number: float, unit: str) -> Quantity:
        if not math.isfinite(number):
            raise Contradiction("", f"the {what} has no finite value for these inputs; check them")
        return Quantity.si_value(number, unit)

    def _write(self, what: str, formula: str, substituted: str, gives: Quantity, rule: HasCitation | None) -> Quantity:
        self.working.append(Step(what, formula, substituted, gives, rule.cited if rule else None))
        return gives

    def compare(
        self, limit: Limit, measured: Quantity, *, because: str, against: Quantity | None = None, accuracy: Quantity | None = None,
        otherwise: Outcome = Outcome.REJECT, decides: bool = True,
    ) -> Finding:  # fmt: skip
        """Compare with a limit and write the finding.

        Parameters
        ----------
        limit : Limit
            The rule; its sense says which side is safe.
        measured : Quantity
            What was read or worked out.
        because : str
            One plain sentence.
        against : Quantity, optional
            The limit's value where it depends on the case (default: the rule's own value).
        accuracy : Quantity, optional
            Half-width of the measurement's interval; a limit inside it makes an accept a caution.
        otherwise : Outcome
            Outcome when the limit is not kept.
        decides : bool
            False for an informative comparison.
        """
        bound = against if against is not None else limit.value
        sign = 1.0 if limit.sense == "at-least" else -1.0
        room = sign * (measured.si - bound.si)
        slack = 1e-9 * max(abs(bound.si), abs(measured.si))
        outcome = Outcome.ACCEPT if room >= -slack else otherwise
        if outcome is Outcome.ACCEPT and accuracy is not None and room < accuracy.si - slack:
            outcome = Outcome.CAUTION
        margin = significant(room / abs(bound.si)) if bound.si else None
        finding = Finding(limit.cited, outcome, because, measured, bound, margin, decides)
        self.findings.append(finding)
        return finding

    def find(
        self, outcome: Outcome, rule: HasCitation, *, because: str, measured: Quantity | None = None,
        limit: Quantity | None = None, decides: bool = True,
    ) -> Finding:  # fmt: skip
        """Write a finding that is not a plain comparison."""
        finding = Finding(rule.cited, outcome, because, measured, limit, None, decides)
        self.findings.append(finding)
        return finding

    def assume(self, name: str, assumed: Quantity | str, rule: HasCitation) -> None:
        """Note a default that was filled in for request field `name`."""
        self.assumptions.append((name, str(assumed), rule.cited))

    def value(self, name: str, value: Value) -> None:
        """Write one of the declared values of the answer."""
        if self.declared is not None and name not in self.declared:
            raise KeyError(f"{self.question} does not declare the value {name}")
        self.values[name] = value

    def caution(self, *rule_ids: str) -> None:
        """Add cautions by rule id, each once."""
        for rule_id in rule_ids:
            text = self.book.text(rule_id)
            if text not in self.cautions:
                self.cautions.append(text)

    def next_step(self, *texts: str) -> None:
        """Add what to do next, each once."""
        self.next_steps.extend(text for text in texts if text not in self.next_steps)

    @property
    def outcome(self) -> Outcome:
        """The worst deciding finding so far; without any, nothing has been shown."""
        return max((finding.outcome for finding in self.findings if finding.decides), default=Outcome.INCONCLUSIVE)

    def answer(self, summary: str) -> Answer:
        """Close the sheet; rules that the set has loosened are named among the cautions."""
        self.cautions.extend(text for text in self.book.notices() if text not in self.cautions)
        return Answer(
            self.question, self.outcome, summary, self.values, self.findings, self.working, self.next_steps, self.cautions,
            self.assumptions, self.book.identity,
        )  # fmt: skip
