"""Redo a printed calculation independently of the service: its text, plain arithmetic, and a unit table of our own reading."""

from __future__ import annotations

import math
import re
from importlib import import_module
from pkgutil import iter_modules
from typing import Any

# Factors to SI from the SI Brochure (9th edition) and the international yard and pound; °C and r/s as the service defines them.
FACTORS = {
    "ohm": 1, "mohm": 1e-3, "kohm": 1e3, "Mohm": 1e6, "Gohm": 1e9, "V": 1, "mV": 1e-3, "kV": 1e3, "A": 1, "mA": 1e-3,
    "uA": 1e-6, "kA": 1e3, "W": 1, "kW": 1e3, "MW": 1e6, "hp": 745.6998715822702, "VA": 1, "kVA": 1e3, "var": 1, "kvar": 1e3,
    "J": 1, "kJ": 1e3, "Wh": 3600, "kWh": 3.6e6, "m": 1, "mm": 1e-3, "cm": 1e-2, "km": 1e3, "um": 1e-6, "in": 0.0254,
    "thou": 2.54e-5, "ft": 0.3048, "mm2": 1e-6, "cm2": 1e-4, "m2": 1, "in2": 0.0254**2, "Hz": 1, "kHz": 1e3, "MHz": 1e6,
    "r/s": 1, "r/min": 1 / 60, "m/s": 1, "m/min": 1 / 60, "ft/min": 0.00508, "s": 1, "ms": 1e-3, "us": 1e-6, "ns": 1e-9,
    "min": 60, "h": 3600, "d": 86400, "N": 1, "kN": 1e3, "lbf": 4.4482216152605, "N.m": 1, "kN.m": 1e3, "N.mm": 1e-3,
    "lbf.ft": 1.3558179483314004, "lbf.in": 0.1129848290276167, "kg": 1, "g": 1e-3, "lb": 0.45359237, "kg.m2": 1,
    "lb.ft2": 0.042140110093804, "Pa": 1, "kPa": 1e3, "MPa": 1e6, "GPa": 1e9, "N/mm2": 1e6, "psi": 6894.757293168361,
    "F": 1, "mF": 1e-3, "uF": 1e-6, "nF": 1e-9, "pF": 1e-12, "H": 1, "mH": 1e-3, "uH": 1e-6, "ohm/km": 1e-3, "ohm/m": 1,
    "mohm/m": 1e-3, "mV/A/m": 1e-3, "V/A/m": 1, "pF/m": 1e-12, "nF/m": 1e-9, "nF/km": 1e-12, "uF/km": 1e-9, "uA/m": 1e-6,
    "mA/m": 1e-3, "mA/km": 1e-6, "V/us": 1e6, "kV/us": 1e9, "V/s": 1, "degC": 1, "K": 1, "K.m/W": 1, "1": 1, "%": 0.01,
    "%/h": 0.01 / 3600, "%/d": 0.01 / 86400, "1/h": 1 / 3600, "1/d": 1 / 86400,
}  # fmt: skip
_UNITS = "|".join(re.escape(unit) for unit in sorted(FACTORS, key=len, reverse=True) if unit != "1")
_QUANTITY = re.compile(rf"(\d+(?:\.\d+)?(?:e[+-]?\d+)?) ({_UNITS})(?![\w²])")
_SIGNS = {"−": "-", "×": "*", "·": "*", "^": "**", "²": "**2", "³": "**3", "√": "sqrt", "π": "pi"}


def physics_functions() -> dict[str, Any]:
    """Every public function of the physics package by name."""
    package = import_module("millphase.physics")
    found: dict[str, Any] = {}
    for module in iter_modules(package.__path__):
        loaded = import_module(f"millphase.physics.{module.name}")
        found.update(
            {name: value for name, value in vars(loaded).items() if callable(value) and not name.startswith("_")}
        )
    return found


def redo(substitution: str) -> float:
    """Value in SI of a printed substitution."""
    text = _QUANTITY.sub(lambda m: f"({float(m[1])!r}*{FACTORS[m[2]]!r})", substitution)
    for sign, operator in _SIGNS.items():
        text = text.replace(sign, operator)
    names: dict[str, Any] = {
        name: getattr(math, name) for name in ("sqrt", "pi", "log10", "exp", "sin", "cos", "tan", "atan", "ceil")
    }
    names |= {"ln": math.log, "min": min, "max": max, "abs": abs}
    return float(eval(text, {"__builtins__": {}}, physics_functions() | names))


def check(answer: dict[str, Any]) -> int:
    """Redo every step of an answer's working; returns how many were redone."""
    for step in answer["working"]:
        given = step["gives"]
        printed = given["value"] * FACTORS[given["unit"]]
        again = redo(step["with"])
        assert math.isclose(again, printed, rel_tol=1e-4, abs_tol=1e-15), (step, again, printed)
    return len(answer["working"])
