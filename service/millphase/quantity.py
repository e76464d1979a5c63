"""A quantity at the edge: a number and a unit as text outside, an SI float inside."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

from millphase import units

_NUMBER = r"[+-]?[0-9]{1,12}(?:\.[0-9]{1,17})?(?:[eE][+-]?[0-9]{1,2})?"
_SPLIT = re.compile(rf"({_NUMBER}) ?([^\s0-9.+-]\S{{0,7}})\Z")
_BARE = re.compile(rf"{_NUMBER}\Z")
TEXT_LIMIT = 60


class QuantityError(ValueError):
    """Text that is not a quantity of the wanted dimension; the message says what to send."""


# The same few numbers are printed again and again: in a finding, in the working, in a sentence, in the values.
@lru_cache(maxsize=1024)
def significant(number: float, digits: int = 6) -> float:
    """Round `number` to `digits` significant digits, so that equal inputs print equal text."""
    return float(f"{number:.{digits}g}") or 0.0


@lru_cache(maxsize=1024)
def number_text(number: float, digits: int = 6) -> str:
    """Plain decimal text where that is readable, exponent text elsewhere; a true minus sign is used."""
    text = f"{number or 0.0:.{digits}g}"
    if "e" in text:
        rounded = float(text)
        if 1e-6 <= abs(rounded) < 1e12:
            text = f"{rounded:.12f}".rstrip("0").rstrip(".") if abs(rounded) < 1 else f"{rounded:.0f}"
    return text.replace("-", "−", 1) if text.startswith("-") else text


@dataclass(frozen=True, slots=True)
class Quantity:
    """A physical quantity: an SI value and the unit it is shown in.

    Attributes
    ----------
    si : float
        Value in SI; temperatures in °C, rotational frequency in r/s.
    unit : str
        Code from :mod:`millphase.units` used when the quantity is printed.
    dimension : str
        Name of the dimension, e.g. ``resistance``.
    """

    si: float
    unit: str
    dimension: str

    @classmethod
    def of(cls, value: float, unit: str) -> Quantity:
        """Make a quantity from a number in `unit`: ``Quantity.of(15, "Mohm")``."""
        found = _unit(unit)
        return cls(value * found.factor + found.offset, unit, found.dimension)

    @classmethod
    def si_value(cls, si: float, unit: str) -> Quantity:
        """Make a quantity from an SI value that is to be shown in `unit`."""
        return cls(si, unit, _unit(unit).dimension)

    @property
    def value(self) -> float:
        """The number in :attr:`unit`, free of conversion noise."""
        found = _unit(self.unit)
        return significant((self.si - found.offset) / found.factor, 13)

    def number(self, unit: str | None = None) -> float:
        """The number in `unit` (default: the unit shown)."""
        found = _unit(unit or self.unit)
        if found.dimension != self.dimension:
            raise QuantityError(f"{self.dimension} cannot be shown in {unit}, a unit of {found.dimension}")
        return significant((self.si - found.offset) / found.factor, 13)

    def to(self, unit: str) -> Quantity:
        """The same quantity, shown in `unit`."""
        self.number(unit)
        return Quantity(self.si, unit, self.dimension)

    def __str__(self) -> str:
        if self.unit == "1":
            return number_text(self.value)
        return f"{number_text(self.value)} {_PRINTED.get(self.unit, self.unit)}"

    def as_json(self) -> dict[str, Any]:
        """``{"value": …, "unit": …}`` with six significant digits."""
        return {"value": significant(self.value), "unit": self.unit}


_PRINTED = {"degC": "°C", "degF": "°F"}


@cache
def _unit(code: str) -> units.Unit:
    for codes in units.table().values():
        if code in codes:
            return codes[code]
    raise QuantityError(f"no unit {code!r} in the table of units")


def parse(text: object, dimension: str, example: str | None = None) -> Quantity:
    """Read ``"47 kohm"`` as a quantity of `dimension`; `example` is what a refusal offers to send instead.

    Raises
    ------
    QuantityError
        With a sentence that says what to send instead.
    """
    example = example or EXAMPLES[dimension]
    if isinstance(text, bool) or not isinstance(text, str):
        if isinstance(text, int | float) and not isinstance(text, bool):
            raise QuantityError(f'a bare number has no unit; send text with number and unit, e.g. "{example}"')
        raise QuantityError(f'send text with number and unit, e.g. "{example}"')
    if len(text) > TEXT_LIMIT:
        raise QuantityError(f'at most {TEXT_LIMIT} characters; send number and unit, e.g. "{example}"')
    if _BARE.match(text):
        if dimension == "ratio":
            return Quantity(float(text), "1", dimension)
        raise QuantityError(f'the unit is missing; send number and unit, e.g. "{example}"')
    found = _SPLIT.match(text)
    allowed = units.spellings(dimension)
    if not found:
        raise QuantityError(f'not a plain number followed by a unit; send e.g. "{example}"')
    unit = allowed.get(found[2])
    if unit is None:
        codes = ", ".join(units.codes(dimension))
        raise QuantityError(f'unknown unit of {dimension}; use one of {codes}, e.g. "{example}"')
    return Quantity(float(found[1]) * unit.factor + unit.offset, unit.code, dimension)


def example_within(dimension: str, low: Quantity | None, high: Quantity | None) -> str:
    """Text that a caller may copy: the usual one of `dimension` where the range holds it, else one from the range."""
    usual = parse(EXAMPLES[dimension], dimension)
    ends = [end for end in (low, high) if end is not None]
    if (low is None or low.si <= usual.si) and (high is None or usual.si <= high.si):
        return EXAMPLES[dimension]
    if len(ends) == 1:
        return _typed(ends[0].value, ends[0].unit)
    least, most = ends
    # Resistances and times span decades, temperatures do not.
    middle = (least.si + most.si) / 2 if least.si <= 0 or dimension == "temperature" else math.sqrt(least.si * most.si)
    return _typed(significant(Quantity.si_value(middle, most.unit).value, 1), most.unit)


def _typed(number: float, unit: str) -> str:
    return f"{number:g} {unit}".removesuffix(" 1")


def parse_any(text: str) -> Quantity:
    """Read a quantity of whichever dimension its unit belongs to (for rule files)."""
    found = _SPLIT.match(text)
    if found:
        for dimension in units.dimensions():
            if found[2] in units.spellings(dimension):
                return parse(text, dimension)
    raise QuantityError(f"{text!r} is not a number followed by a known unit")


@cache
def pattern(dimension: str, *, negative: bool, zero: bool) -> str:
    """ECMA-262 regular expression of the texts accepted for `dimension`."""
    spelt = [re.escape(unit).replace("/", r"\/") for unit in units.spellings(dimension) if unit[0] != "1"]
    ending = "[ ]?(?:" + "|".join(spelt) + ")"
    # The number is written so that sign and zero are part of the published schema, not a surprise after it.
    if dimension == "ratio":
        ending = f"(?:{ending})?"
    digits = r"(?:[0-9]{1,9}(?:\.[0-9]{1,9})?)"
    if not zero:
        # One alternative per count of leading zeros: 0.50 is as good as 0.5, and nine decimals stay nine.
        decimals = "|".join(f"0{{{zeros}}}[1-9][0-9]{{0,{8 - zeros}}}" for zeros in range(9))
        digits = rf"(?:0{{0,3}}[1-9][0-9]{{0,8}}(?:\.[0-9]{{1,9}})?|0{{1,3}}\.(?:{decimals}))"
    sign = "[+-]?" if negative else ""
    return f"^{sign}{digits}(?:[eE][+-]?[0-9]{{1,2}})?{ending}$"


EXAMPLES: dict[str, str] = {
    "resistance": "47 kohm", "voltage": "230 V", "current": "8.7 A", "power": "2.2 kW", "apparent-power": "3 kVA",
    "reactive-power": "1.2 kvar", "energy": "850 J", "length": "24 mm", "area": "2.5 mm2", "frequency": "50 Hz",
    "rotational-frequency": "1420 r/min", "speed": "7.5 m/s", "duration": "60 s", "force": "950 N", "torque": "14.7 N.m",
    "mass": "12 kg", "moment-of-inertia": "0.12 kg.m2", "pressure": "40 MPa", "capacitance": "138 nF",
    "inductance": "3 mH", "resistance-per-length": "7.41 ohm/km", "voltage-drop-coefficient": "18 mV/A/m",
    "capacitance-per-length": "200 pF/m", "current-per-length": "10 uA/m", "voltage-rate": "3.1 kV/us",
    "temperature": "20 degC", "temperature-difference": "3 K", "thermal-resistivity": "2.5 K.m/W", "ratio": "85 %",
    "rate": "5 %/h",
}  # fmt: skip
