"""Every law agrees with its printed formula, and says in its docstring what it takes and where it comes from."""

from __future__ import annotations

import math
import random
from typing import Any

import pytest

import working
from millphase import formula
from millphase.physics.law import Law

LAWS = {name: found for name, found in working.physics_functions().items() if isinstance(found, Law)}


@pytest.mark.parametrize("name", sorted(LAWS) or ["none"])
def test_formula_and_function_agree(name: str) -> None:
    if name == "none":
        return
    law: Any = LAWS[name]
    draw = random.Random(name)
    agreed = 0
    for _ in range(200):
        values = {symbol: draw.uniform(0.05, 3.0) for symbol in law.symbols}
        try:
            printed = formula.evaluate(law.formula, values)
        except formula.FormulaError:
            continue
        assert math.isclose(law(**{law.symbols[s]: v for s, v in values.items()}), printed, rel_tol=1e-9, abs_tol=1e-12)
        agreed += 1
    assert agreed >= 20, "the formula has no value for most arguments"


@pytest.mark.parametrize("name", sorted(LAWS) or ["none"])
def test_docstring_names_every_argument_with_its_unit(name: str) -> None:
    if name == "none":
        return
    law: Any = LAWS[name]
    for argument in law.symbols.values():
        assert argument in (law.__doc__ or ""), f"{name}: docstring does not describe {argument}"
    assert "[" in law.__doc__, f"{name}: give units in square brackets"
