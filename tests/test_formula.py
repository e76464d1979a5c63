"""The notation of printed formulas, against plain arithmetic."""

from __future__ import annotations

import math

import pytest

import working
from millphase import formula
from millphase.quantity import Quantity


@pytest.mark.parametrize(
    ("text", "values", "wanted"),
    [
        ("x = a + b × c", {"a": 1, "b": 2, "c": 3}, 7),
        ("x = (a + b) × c", {"a": 1, "b": 2, "c": 3}, 9),
        ("x = a − b − c", {"a": 9, "b": 2, "c": 3}, 4),
        ("x = a / b / c", {"a": 12, "b": 2, "c": 3}, 2),
        ("x = -a^2", {"a": 3}, -9),
        ("x = 2^3^2", {}, 512),
        ("x = a²/b³", {"a": 4, "b": 2}, 2),
        ("x = √(a² + b²)", {"a": 3, "b": 4}, 5),
        ("x = max(a, b) − min(a, b)", {"a": 3, "b": 4}, 1),
        ("x = 2 × π × f × C × U", {"f": 50, "C": 138e-9, "U": 230}, 2 * math.pi * 50 * 138e-9 * 230),
        ("x = ln(exp(a)) + log10(1000)", {"a": 2}, 5),
        ("x = U/(√(2) × R)", {"U": 230, "R": 1000}, 0.16263455967290593),
        ("η_m = P_2/P_1", {"P_2": 3, "P_1": 4}, 0.75),
        ("x = a·b", {"a": 3, "b": 4}, 12),
        ("x = 1.5e3 × a", {"a": 2}, 3000),
    ],
)
def test_value(text: str, values: dict[str, float], wanted: float) -> None:
    assert math.isclose(formula.evaluate(text, values), wanted, rel_tol=1e-12)
    assert math.isclose(working.redo(formula.substitute(text, values)), wanted, rel_tol=1e-8)


@pytest.mark.parametrize(
    "text", ["x = a +", "x = (a", "x = a b", "x = ?", "x = a ) b", "x = ×a", "x = √a", "x = min(a"]
)
def test_a_formula_of_ours_that_does_not_parse_is_an_error(text: str) -> None:
    with pytest.raises(formula.FormulaError):
        formula.evaluate(text, {"a": 1.0, "b": 1.0})


@pytest.mark.parametrize(
    ("text", "a"), [("x = 1/a", 0.0), ("x = √(a)", -1.0), ("x = ln(a)", 0.0), ("x = 10^a", 400.0), ("x = (0-1)^a", 0.5)]
)
def test_no_finite_value_is_said_so(text: str, a: float) -> None:
    with pytest.raises(formula.FormulaError, match="value"):
        formula.evaluate(text, {"a": a})


def test_substitution_shows_units_and_bare_temperatures() -> None:
    shown = formula.substitute(
        "R40 = R × 0.5^((40 − T)/10)", {"R": Quantity.of(15, "Mohm"), "T": Quantity.of(-5, "degC")}
    )
    assert shown == "15 Mohm × 0.5^((40 − (−5))/10)"
    assert formula.substitute("P = U²/R", {"U": Quantity.of(230, "V"), "R": 10.0}) == "(230 V)²/10"


def test_an_infinite_value_is_said_so() -> None:
    with pytest.raises(formula.FormulaError, match="no finite value"):
        formula.evaluate("x = a × a", {"a": 1e200})
