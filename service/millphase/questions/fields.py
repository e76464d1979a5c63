"""Strict request fields: each says in its JSON Schema what it accepts, and accepts exactly that.

The fields of the library underneath are lenient (text for numbers, 5.9 for 5, "yes" for true), which would make
the published document and the service disagree. Every field here has :meth:`json_schema`.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import Any

from marshmallow import Schema, ValidationError
from marshmallow import fields as ma

from millphase import quantity as quantities
from millphase.quantity import QuantityError
from millphase.quantity import parse as parse_quantity

# Widest magnitudes (SI) that any workshop quantity can have. They keep absurd text away from the physics.
_WIDEST: dict[str, tuple[float, float]] = {
    "resistance": (1e-6, 1e14), "voltage": (1e-3, 1e6), "current": (1e-9, 1e5), "power": (1e-3, 1e8),
    "apparent-power": (1e-3, 1e8), "reactive-power": (1e-3, 1e8), "energy": (1e-6, 1e10), "length": (1e-7, 1e5),
    "area": (1e-9, 1e2), "frequency": (1e-3, 1e7), "rotational-frequency": (1e-4, 2e3), "speed": (1e-4, 1e3),
    "duration": (1e-9, 1e10), "force": (1e-3, 1e8), "torque": (1e-4, 1e6), "mass": (1e-5, 1e6),
    "moment-of-inertia": (1e-9, 1e6), "pressure": (1e-1, 1e12), "capacitance": (1e-13, 1e1), "inductance": (1e-9, 1e3),
    "resistance-per-length": (1e-7, 1e2), "voltage-drop-coefficient": (1e-7, 1e2), "capacitance-per-length": (1e-14, 1e-5),
    "current-per-length": (1e-9, 1e1), "voltage-rate": (1e0, 1e14), "temperature": (-273.15, 2000.0),
    "temperature-difference": (1e-3, 2000.0), "thermal-resistivity": (1e-2, 1e3), "ratio": (1e-6, 1e6), "rate": (1e-12, 1e3),
}  # fmt: skip


class Implausible(str):
    """Message about a value that is well-formed but contradicts the physical world."""

    __slots__ = ()


class _Field(ma.Field[Any]):
    """Common base: a required field has no default, and null is never a value."""

    default_error_messages = {  # noqa: RUF012 - the library declares it so
        "required": "required; add this field",
        "null": "null is not a value; leave the field out",
    }

    def __init__(self, *, required: bool = False, default: Any = None, help: str = "") -> None:
        given: dict[str, Any] = {} if required or default is None else {"load_default": default}
        super().__init__(required=required, metadata={"help": help}, **given)

    def json_schema(self) -> dict[str, Any]:
        """JSON Schema 2020-12 of what this field accepts."""
        raise NotImplementedError

    def _described(self, schema: dict[str, Any]) -> dict[str, Any]:
        text = self.metadata["help"]
        return {**schema, "description": text} if text else schema


class Quantity(_Field):
    """A number with its unit as text.

    Parameters
    ----------
    dimension : str
        Which units are allowed.
    low, high : str, optional
        Plausible range as quantities; outside it the input contradicts the physical world.
    zero, negative : bool
        Whether zero or a negative number can be meant.
    bare : bool
        For ratios only: a JSON number is accepted too, since it can mean one thing only.
    default : str, optional
        Quantity filled in silently; for anything the trade could argue about use a rule and an assumption instead.
    """

    def __init__(
        self, dimension: str, *, low: str | None = None, high: str | None = None, zero: bool = False, negative: bool = False,
        bare: bool = False, required: bool = False, default: str | None = None, help: str = "",
    ) -> None:  # fmt: skip
        self.dimension, self.zero, self.negative, self.bare = (
            dimension,
            zero,
            negative or dimension == "temperature",
            bare,
        )
        self.zero = zero or self.negative
        least = parse_quantity(low, dimension) if low else None
        most = parse_quantity(high, dimension) if high else None
        widest = _WIDEST[dimension]
        self.low = least.si if least else -widest[1] if negative else 0.0 if zero else widest[0]
        if dimension == "temperature" and not low:
            self.low = widest[0]
        self.high = most.si if most else widest[1]
        self.bounds = (low, high)
        self.example = quantities.example_within(dimension, least, most)
        self.pattern = quantities.pattern(dimension, negative=self.negative, zero=self.zero)
        self._full = re.compile(self.pattern.replace("$", r"\Z"))
        super().__init__(required=required, default=parse_quantity(default, dimension) if default else None, help=help)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> quantities.Quantity:
        if self.bare and isinstance(value, int | float) and not isinstance(value, bool):
            found = quantities.Quantity(float(value), "1", "ratio")
            if value < 0 or (value == 0 and not self.zero):
                raise ValidationError("must be greater than zero; send e.g. 0.8")
        else:
            try:
                found = parse_quantity(value, self.dimension, self.example)
            except QuantityError as error:
                raise ValidationError(str(error)) from None
            if not self._full.match(value):
                raise ValidationError(self._misfit(found))
        if (
            not self.low * (1 - 1e-9) <= found.si <= self.high * (1 + 1e-9)
            if self.low >= 0
            else not self.low <= found.si <= self.high
        ):
            raise ValidationError(
                [
                    Implausible(
                        f"{found} is outside what is plausible here{self._range()}; check the number and its unit"
                    )
                ]
            )
        return found

    def _misfit(self, found: quantities.Quantity) -> str:
        example = self.example
        if found.si < 0 and not self.negative:
            return f'must not be negative; send e.g. "{example}"'
        if found.si == 0 and not self.zero:
            return f'must be greater than zero; send e.g. "{example}"'
        return f'write the number plainly, at most 9 digits before and after the point, without a plus sign; e.g. "{example}"'

    def _range(self) -> str:
        low, high = self.bounds
        if low and high:
            return f" ({low} to {high})"
        return f" (at least {low})" if low else f" (at most {high})" if high else ""

    def json_schema(self) -> dict[str, Any]:
        """Text of a closed pattern; the plausible range stands in the description."""
        schema: dict[str, Any] = {
            "type": "string", "pattern": self.pattern, "maxLength": quantities.TEXT_LIMIT,
            "examples": [self.example],
        }  # fmt: skip
        if self.bare:
            number = {"type": "number", "minimum": 0} if self.zero else {"type": "number", "exclusiveMinimum": 0}
            schema = {"anyOf": [schema, number]}
        text = self.metadata["help"] + (f" Plausible range{self._range()}." if self._range() else "")
        return {**schema, "description": text.strip()} if text.strip() else schema


class Choice(_Field):
    """One of a closed list of words."""

    def __init__(
        self, choices: list[str], *, required: bool = False, default: str | None = None, help: str = ""
    ) -> None:
        self.choices = choices
        super().__init__(required=required, default=default, help=help)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> str:
        if not isinstance(value, str) or value not in self.choices:
            raise ValidationError(f"use one of {', '.join(self.choices)}")
        return value

    def json_schema(self) -> dict[str, Any]:
        """An enumeration."""
        return self._described({"type": "string", "enum": list(self.choices)})


class WholeChoice(_Field):
    """One of a closed list of whole numbers, e.g. the number of leads."""

    def __init__(
        self, choices: list[int], *, required: bool = False, default: int | None = None, help: str = ""
    ) -> None:
        self.choices = choices
        super().__init__(required=required, default=default, help=help)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int | float) or value not in self.choices:
            raise ValidationError(f"use one of {', '.join(map(str, self.choices))}")
        return int(value)

    def json_schema(self) -> dict[str, Any]:
        """An enumeration of integers."""
        return self._described({"type": "integer", "enum": list(self.choices)})


class Count(_Field):
    """A whole number in a range."""

    def __init__(
        self, *, low: int, high: int, required: bool = False, default: int | None = None, help: str = ""
    ) -> None:
        self.low, self.high = low, high
        super().__init__(required=required, default=default, help=help)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> int:
        if isinstance(value, bool) or not isinstance(value, int | float) or value != value // 1:
            raise ValidationError(f"send a whole number from {self.low} to {self.high}")
        if not self.low <= value <= self.high:
            raise ValidationError(f"must be from {self.low} to {self.high}")
        return int(value)

    def json_schema(self) -> dict[str, Any]:
        """An integer with bounds."""
        return self._described({"type": "integer", "minimum": self.low, "maximum": self.high})


class Number(_Field):
    """A plain number without a unit, in a range."""

    def __init__(
        self, *, low: float, high: float, required: bool = False, default: float | None = None, help: str = ""
    ) -> None:
        self.low, self.high = low, high
        super().__init__(required=required, default=default, help=help)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise ValidationError(f"send a number from {self.low} to {self.high}")
        if not self.low <= value <= self.high:
            raise ValidationError(f"must be from {self.low} to {self.high}")
        return float(value)

    def json_schema(self) -> dict[str, Any]:
        """A number with bounds."""
        return self._described({"type": "number", "minimum": self.low, "maximum": self.high})


class Flag(_Field):
    """True or false, nothing that merely looks so."""

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> bool:
        if not isinstance(value, bool):
            raise ValidationError("send true or false")
        return value

    def json_schema(self) -> dict[str, Any]:
        """A boolean."""
        return self._described({"type": "boolean"})


class Text(_Field):
    """Short text; control characters and lone surrogates are refused.

    Parameters
    ----------
    pattern : str, optional
        ECMA-262 pattern that the whole text must match.
    """

    _ALLOWED = r"^[^\u0000-\u001f\u007f-\u009f]*$"

    def __init__(
        self, *, high: int = 200, low: int = 1, pattern: str = "", example: str = "", required: bool = False, help: str = ""
    ) -> None:  # fmt: skip
        self.low, self.high, self.pattern, self.example = low, high, pattern, example
        self._full = re.compile(pattern.replace("$", r"\Z")) if pattern else None
        super().__init__(required=required, help=help)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> str:
        if not isinstance(value, str):
            raise ValidationError("send text")
        if not self.low <= len(value) <= self.high:
            raise ValidationError(f"send {self.low} to {self.high} characters")
        if any(ord(c) < 32 or 0x7F <= ord(c) <= 0x9F or 0xD800 <= ord(c) <= 0xDFFF for c in value):
            raise ValidationError("remove control characters")
        if self._full and not self._full.match(value):
            raise ValidationError(f'write it like "{self.example}"')
        return value

    def json_schema(self) -> dict[str, Any]:
        """A bounded string."""
        schema = {
            "type": "string",
            "minLength": self.low,
            "maxLength": self.high,
            "pattern": self.pattern or self._ALLOWED,
        }
        return self._described({**schema, "examples": [self.example]} if self.example else schema)


class Moment(_Field):
    """A date, or a date and time with its offset (RFC 3339); loaded as an aware time in UTC."""

    _PATTERN = (
        r"^(19|20)[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])"
        r"(T([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9](Z|[+-](0[0-9]|1[0-3]):[0-5][0-9]))?$"
    )
    _FULL = re.compile(_PATTERN.replace("$", r"\Z"))

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> datetime:
        advice = 'send a date "2026-11-25" or a time with offset "2026-11-25T18:30:00Z"'
        if not isinstance(value, str) or not self._FULL.match(value):
            raise ValidationError(advice)
        try:
            moment = datetime.fromisoformat(value)
            moment = moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)
        except (ValueError, OverflowError):
            raise ValidationError([Implausible(f"no such day or time; {advice}")]) from None
        return moment

    def json_schema(self) -> dict[str, Any]:
        """A date or date-time by pattern."""
        return self._described(
            {
                "type": "string",
                "pattern": self._PATTERN,
                "maxLength": 30,
                "examples": ["2026-11-25T18:30:00Z"],
            }
        )


class Part(_Field):
    """A nested object."""

    def __init__(self, schema: type[Schema], *, required: bool = False, help: str = "") -> None:
        self.schema = schema
        self._loader: Schema | None = None
        super().__init__(required=required, help=help)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> dict[str, Any]:
        if not isinstance(value, dict):
            raise ValidationError("send an object")
        if self._loader is None:
            self._loader = self.schema()
        loaded: dict[str, Any] = self._loader.load(value)
        return loaded

    def json_schema(self) -> dict[str, Any]:
        """The nested object's own schema."""
        return self._described(object_schema(self.schema))


class Many(_Field):
    """A list of one kind of item."""

    def __init__(self, item: _Field, *, low: int = 0, high: int = 100, required: bool = False, help: str = "") -> None:
        self.item, self.low, self.high = item, low, high
        super().__init__(required=required, help=help)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> list[Any]:
        if not isinstance(value, list):
            raise ValidationError("send a list")
        if not self.low <= len(value) <= self.high:
            raise ValidationError(f"send {self.low} to {self.high} items")
        loaded: list[Any] = []
        errors: dict[int, Any] = {}
        for index, entry in enumerate(value):
            if entry is None:
                errors[index] = ["null is not a value; leave the item out"]
                continue
            try:
                loaded.append(self.item.deserialize(entry))
            except ValidationError as error:
                errors[index] = error.messages
        if errors:
            raise ValidationError(errors)
        return loaded

    def json_schema(self) -> dict[str, Any]:
        """An array with bounds."""
        return self._described(
            {"type": "array", "items": self.item.json_schema(), "minItems": self.low, "maxItems": self.high}
        )


def object_schema(schema: type[Schema]) -> dict[str, Any]:
    """JSON Schema of a request object: closed, with its required fields."""
    declared: dict[str, Any] = schema._declared_fields
    required = [name for name, field in declared.items() if field.required]
    described: dict[str, Any] = {
        "type": "object",
        "properties": {name: field.json_schema() for name, field in declared.items()},
        "additionalProperties": False,
    }
    return {**described, "required": required} if required else described
