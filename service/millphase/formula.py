"""The notation of printed formulas: parse, evaluate, substitute.

A formula is ``result = expression``. The expression knows numbers, symbols, ``+ − × / ^ ² ³``,
parentheses, ``√(…)``, a few functions with ``,`` between arguments, and ``π``. The printed text *is* the
calculation: it is evaluated as written, so the working shown to a reader cannot differ from what was done.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from functools import cache

from millphase.quantity import Quantity, number_text

_TOKEN = re.compile(r"\s*(?:(\d+(?:\.\d+)?(?:[eE][+-]?\d+)?)|([^\W\d²³][^\W²³]*)|([+−\-×·/^²³()√,]))")
FUNCTIONS: dict[str, Callable[..., float]] = {
    "ln": math.log, "log10": math.log10, "exp": math.exp, "sin": math.sin, "cos": math.cos, "tan": math.tan,
    "atan": math.atan, "min": min, "max": max, "abs": abs, "ceil": math.ceil,
}  # fmt: skip
Node = Callable[[Mapping[str, float]], float]


class FormulaError(ValueError):
    """A formula of ours that does not parse, or that has no finite value for these arguments."""


def _tokens(text: str) -> list[str]:
    found, at = [], 0
    text = text.rstrip()
    while at < len(text):
        match = _TOKEN.match(text, at)
        if not match:
            raise FormulaError(f"cannot read {text[at:]!r} in formula {text!r}")
        found.append(match[1] or match[2] or match[3])
        at = match.end()
    return found


class _Parser:
    def __init__(self, text: str) -> None:
        self.text, self.tokens, self.at = text, _tokens(text), 0

    def peek(self) -> str:
        return self.tokens[self.at] if self.at < len(self.tokens) else ""

    def take(self, wanted: str = "") -> str:
        token = self.peek()
        if not token or (wanted and token != wanted):
            raise FormulaError(f"expected {wanted or 'a value'} in formula {self.text!r}")
        self.at += 1
        return token

    def parse(self) -> Node:
        node = self.sum()
        if self.peek():
            raise FormulaError(f"unexpected {self.peek()!r} in formula {self.text!r}")
        return node

    def sum(self) -> Node:
        node = self.product()
        while self.peek() and self.peek() in "+−-":
            left, negative, right = node, self.take() in "−-", self.product()
            node = _difference(left, right) if negative else _total(left, right)
        return node

    def product(self) -> Node:
        node = self.power()
        while self.peek() and self.peek() in "×·/":
            left, divide, right = node, self.take() == "/", self.power()
            node = _quotient(left, right) if divide else _product(left, right)
        return node

    def power(self) -> Node:
        if self.peek() and self.peek() in "−-":
            self.take()
            inner = self.power()
            return lambda v: -inner(v)
        base = self.atom()
        while self.peek() and self.peek() in "²³":
            base = _raised(base, 2 if self.take() == "²" else 3)
        if self.peek() == "^":
            self.take()
            left, right = base, self.power()
            return lambda v: left(v) ** right(v)
        return base

    def atom(self) -> Node:
        token = self.take()
        if token == "(":
            node = self.sum()
            self.take(")")
            return node
        if token == "√":
            self.take("(")
            inner = self.sum()
            self.take(")")
            return lambda v: math.sqrt(inner(v))
        if token[0].isdigit():
            number = float(token)
            return lambda v: number
        if token == "π":
            return lambda v: math.pi
        if self.peek() == "(" and token in FUNCTIONS:
            return self.call(FUNCTIONS[token])
        if token[0].isalpha() or token[0] == "_":
            return lambda v: v[token]
        raise FormulaError(f"unexpected {token!r} in formula {self.text!r}")

    def call(self, function: Callable[..., float]) -> Node:
        self.take("(")
        arguments = [self.sum()]
        while self.peek() == ",":
            self.take()
            arguments.append(self.sum())
        self.take(")")
        return lambda v: function(*(argument(v) for argument in arguments))


def _total(left: Node, right: Node) -> Node:
    return lambda v: left(v) + right(v)


def _difference(left: Node, right: Node) -> Node:
    return lambda v: left(v) - right(v)


def _raised(base: Node, exponent: int) -> Node:
    return lambda v: base(v) ** exponent


def _product(left: Node, right: Node) -> Node:
    return lambda v: left(v) * right(v)


def _quotient(left: Node, right: Node) -> Node:
    return lambda v: left(v) / right(v)


@cache
def _parsed(formula: str) -> Node:
    return _Parser(expression_of(formula)).parse()


def expression_of(formula: str) -> str:
    """The right-hand side of ``result = expression``."""
    return formula.split("=", 1)[1].strip()


def evaluate(formula: str, values: Mapping[str, float]) -> float:
    """Value of `formula` for SI `values` of its symbols.

    Raises
    ------
    FormulaError
        When the result is not a finite number.
    """
    try:
        result = float(_parsed(formula)(values))
    except (ArithmeticError, ValueError, TypeError) as error:
        raise FormulaError(f"{formula} has no value here: {error}") from error
    if not math.isfinite(result):
        raise FormulaError(f"{formula} has no finite value here")
    return result


@cache
def _template(formula: str) -> tuple[tuple[str, bool, bool], ...]:
    """Pieces of the right-hand side: (text, is a symbol, is raised to a power), white space kept."""
    expression = expression_of(formula)
    pieces, at = [], 0
    for match in re.finditer(r"(?<![\w.])[^\W\d²³][^\W²³]*", expression):
        pieces.append((expression[at : match.start()], False, False))
        symbol = match[0] not in FUNCTIONS and match[0] != "π"
        pieces.append((match[0], symbol, expression.startswith(("^", "²", "³"), match.end())))
        at = match.end()
    pieces.append((expression[at:], False, False))
    return tuple(pieces)


def substitute(formula: str, values: Mapping[str, Quantity | float]) -> str:
    """The right-hand side with every symbol replaced by its printed value."""
    parts = []
    for text, symbol, raised in _template(formula):
        if not symbol:
            parts.append(text)
            continue
        shown = printed(values[text])
        parts.append(f"({shown})" if shown[0] == "−" or (raised and " " in shown) else shown)
    return "".join(parts)


def printed(value: Quantity | float) -> str:
    """A value as it stands in a substitution; temperatures are bare numbers, being in °C throughout."""
    if isinstance(value, Quantity):
        return number_text(value.si, 9) if value.dimension == "temperature" else precise(value)
    return number_text(value, 9)


def precise(value: Quantity) -> str:
    """A quantity with enough digits that a reader's recalculation agrees."""
    return f"{number_text(value.value, 9)} {value.unit}".removesuffix(" 1")
