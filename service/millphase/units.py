"""The closed table of units: what a caller may write, and the factor to SI behind it.

Every unit is built once from this table by pint, with our own definition file. Text from a caller
is looked up here and never reaches an expression parser, which untrusted text can stall.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from importlib.resources import files
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import pint


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit a caller may write: ``si = factor * number + offset``."""

    code: str
    dimension: str
    factor: float
    offset: float = 0.0


# dimension -> (canonical expression for pint, {code: expression for pint}). The canonical unit is SI except that
# temperatures stay in °C (the trade's laws are written so) and rotational frequency is in r/s (ISO 80000-3).
_DIMENSIONS: dict[str, tuple[str, dict[str, str]]] = {
    "resistance": (
        "ohm",
        {"ohm": "ohm", "mohm": "milliohm", "kohm": "kiloohm", "Mohm": "megaohm", "Gohm": "gigaohm"},
    ),
    "voltage": ("volt", {"V": "volt", "mV": "millivolt", "kV": "kilovolt"}),
    "current": ("ampere", {"A": "ampere", "mA": "milliampere", "uA": "microampere", "kA": "kiloampere"}),
    "power": ("watt", {"W": "watt", "kW": "kilowatt", "MW": "megawatt", "hp": "horsepower"}),
    "apparent-power": ("volt*ampere", {"VA": "volt*ampere", "kVA": "kilovolt*ampere"}),
    "reactive-power": ("volt*ampere", {"var": "volt*ampere", "kvar": "kilovolt*ampere"}),
    "energy": ("joule", {"J": "joule", "kJ": "kilojoule", "Wh": "watt*hour", "kWh": "kilowatt*hour"}),
    "length": (
        "metre",
        {
            "m": "metre",
            "mm": "millimetre",
            "cm": "centimetre",
            "km": "kilometre",
            "um": "micrometre",
            "in": "inch",
            "thou": "thou",
            "ft": "foot",
        },
    ),
    "area": (
        "metre**2",
        {"mm2": "millimetre**2", "cm2": "centimetre**2", "m2": "metre**2", "in2": "inch**2"},
    ),
    "frequency": ("hertz", {"Hz": "hertz", "kHz": "kilohertz", "MHz": "megahertz"}),
    "rotational-frequency": ("1/second", {"r/s": "1/second", "r/min": "1/minute"}),
    "speed": ("metre/second", {"m/s": "metre/second", "m/min": "metre/minute", "ft/min": "foot/minute"}),
    "duration": (
        "second",
        {
            "s": "second",
            "ms": "millisecond",
            "us": "microsecond",
            "ns": "nanosecond",
            "min": "minute",
            "h": "hour",
            "d": "day",
        },
    ),
    "force": ("newton", {"N": "newton", "kN": "kilonewton", "lbf": "pound_force"}),
    "torque": (
        "newton*metre",
        {
            "N.m": "newton*metre",
            "kN.m": "kilonewton*metre",
            "N.mm": "newton*millimetre",
            "lbf.ft": "pound_force*foot",
            "lbf.in": "pound_force*inch",
        },
    ),
    "mass": ("kilogram", {"kg": "kilogram", "g": "gram", "lb": "pound"}),
    "moment-of-inertia": ("kilogram*metre**2", {"kg.m2": "kilogram*metre**2", "lb.ft2": "pound*foot**2"}),
    "pressure": (
        "pascal",
        {
            "Pa": "pascal",
            "kPa": "kilopascal",
            "MPa": "megapascal",
            "GPa": "gigapascal",
            "N/mm2": "newton/millimetre**2",
            "psi": "pound_force/inch**2",
        },
    ),
    "capacitance": (
        "farad",
        {"F": "farad", "mF": "millifarad", "uF": "microfarad", "nF": "nanofarad", "pF": "picofarad"},
    ),
    "inductance": ("henry", {"H": "henry", "mH": "millihenry", "uH": "microhenry"}),
    "resistance-per-length": (
        "ohm/metre",
        {"ohm/km": "ohm/kilometre", "ohm/m": "ohm/metre", "mohm/m": "milliohm/metre"},
    ),
    "voltage-drop-coefficient": (
        "volt/ampere/metre",
        {"mV/A/m": "millivolt/ampere/metre", "V/A/m": "volt/ampere/metre"},
    ),
    "capacitance-per-length": (
        "farad/metre",
        {
            "pF/m": "picofarad/metre",
            "nF/m": "nanofarad/metre",
            "nF/km": "nanofarad/kilometre",
            "uF/km": "microfarad/kilometre",
        },
    ),
    "current-per-length": (
        "ampere/metre",
        {"uA/m": "microampere/metre", "mA/m": "milliampere/metre", "mA/km": "milliampere/kilometre"},
    ),
    "voltage-rate": (
        "volt/second",
        {"V/us": "volt/microsecond", "kV/us": "kilovolt/microsecond", "V/s": "volt/second"},
    ),
    "temperature": ("degree_celsius", {"degC": "degree_celsius", "degF": "degree_fahrenheit"}),
    "temperature-difference": ("kelvin", {"K": "kelvin"}),
    "thermal-resistivity": ("kelvin*metre/watt", {"K.m/W": "kelvin*metre/watt"}),
    "ratio": ("", {"1": "", "%": "percent"}),
    "rate": ("1/second", {"%/h": "percent/hour", "%/d": "percent/day", "1/h": "1/hour", "1/d": "1/day"}),
}

# The usual signs, accepted beside the ASCII code; answers use the ASCII code.
_SIGNS: dict[str, tuple[str, ...]] = {
    "ohm": ("Ω", "Ω"), "mohm": ("mΩ",), "kohm": ("kΩ",), "Mohm": ("MΩ",), "Gohm": ("GΩ",),
    "uA": ("µA", "μA"), "um": ("µm", "μm"), "us": ("µs", "μs"), "uF": ("µF", "μF"), "uH": ("µH", "μH"),
    "mm2": ("mm²",), "cm2": ("cm²",), "m2": ("m²",), "in2": ("in²",), "N.m": ("N·m", "Nm"), "kg.m2": ("kg·m²",),
    "N/mm2": ("N/mm²",), "degC": ("°C",), "degF": ("°F",), "r/min": ("rpm",),
    "V/us": ("V/µs",), "kV/us": ("kV/µs",), "ohm/km": ("Ω/km",), "ohm/m": ("Ω/m",), "mohm/m": ("mΩ/m",),
}  # fmt: skip


def _make_registry() -> pint.UnitRegistry[float]:
    # pint loads NumPy wherever it is installed. It has no use for it here, and it would cost 15 MiB and 0.1 s.
    hidden = "numpy" not in sys.modules
    if hidden:
        sys.modules["numpy"] = None  # type: ignore[assignment]
    try:
        made: pint.UnitRegistry[float] = import_module("pint").UnitRegistry(None, autoconvert_offset_to_baseunit=True)
    finally:
        if hidden:
            del sys.modules["numpy"]
    return made


@cache
def _registry() -> pint.UnitRegistry[float]:
    registry = _make_registry()
    registry.load_definitions((files("millphase") / "units.txt").read_text("utf-8").splitlines())
    return registry


def _build(code: str, dimension: str, expression: str, canonical: str) -> Unit:
    registry = _registry()
    unit, target = registry.parse_units(expression), registry.parse_units(canonical)
    zero = float(registry.Quantity(0.0, unit).to(target).magnitude)
    ten = float(registry.Quantity(10.0, unit).to(target).magnitude)
    # 13 digits: beyond any plate or meter, and free of the conversion's last-bit noise.
    return Unit(code, dimension, float(f"{(ten - zero) / 10.0:.13g}"), float(f"{zero:.13g}"))


@cache
def table() -> dict[str, dict[str, Unit]]:
    """Every dimension with its unit codes; ``table()["length"]["mm"].factor`` is 0.001."""
    return {
        dimension: {code: _build(code, dimension, expression, canonical) for code, expression in codes.items()}
        for dimension, (canonical, codes) in _DIMENSIONS.items()
    }


@cache
def spellings(dimension: str) -> dict[str, Unit]:
    """Every accepted spelling of a dimension's units, the usual signs included."""
    found = {}
    for code, unit in table()[dimension].items():
        found[code] = unit
        for sign in _SIGNS.get(code, ()):
            found[sign] = unit
    return found


def dimensions() -> tuple[str, ...]:
    """Names of all dimensions, in the order of the table."""
    return tuple(_DIMENSIONS)


def codes(dimension: str) -> tuple[str, ...]:
    """ASCII unit codes of a dimension."""
    return tuple(_DIMENSIONS[dimension][1])
