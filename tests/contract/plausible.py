"""Requests as a workshop could send them: every field within its plausible range, in any of its units.

Fuzzing by the published schema draws a voltage of 10 nV as readily as one of 230 V, so most of its requests are refused before
they reach the trade's procedure. These strategies are drawn from the same declarations, and reach it.
"""

from __future__ import annotations

import math
from typing import Any

from hypothesis import strategies as st

from millphase import units
from millphase.questions import fields
from millphase.questions.base import Question

Draw = Any


@st.composite
def quantities(draw: Draw, field: fields.Quantity, near: float | None) -> str | float:
    """Text of a quantity within the field's range; often near a given SI value where there is one."""
    low, high = field.low, field.high
    if near is not None and near != 0 and draw(st.integers(0, 3)):
        factor = draw(st.sampled_from([0.3, 0.5, 0.8, 0.95, 1.0, 1.05, 1.25, 2.0, 4.0]))
        si = min(max(near * factor, low), high)
    elif low > 0:
        si = math.exp(draw(st.floats(math.log(low), math.log(high))))
    else:
        si = low + (high - low) * draw(st.integers(0, 1000)) / 1000
    if field.bare and draw(st.booleans()):
        return min(max(float(f"{si:.6g}"), low), high)
    code = draw(st.sampled_from([code for code in units.codes(field.dimension) if code != "1"]))
    unit = units.table()[field.dimension][code]
    return f"{(si - unit.offset) / unit.factor:.6g} {code}"


def moments() -> st.SearchStrategy[str]:
    dates = st.dates().filter(lambda day: 1900 <= day.year < 2100).map(str)
    return dates | dates.map(lambda day: f"{day}T08:30:00Z") | dates.map(lambda day: f"{day}T23:59:59+02:00")


@st.composite
def value(draw: Draw, field: Any, example: Any, change: int) -> Any:
    """A value for one field; the example's own, where it has one, unless chance (`change` per cent) wants another."""
    if isinstance(field, fields.Part):
        return draw(parts(field.schema, example or {}, change))
    if isinstance(field, fields.Many):
        return draw(lists(field, example, change))
    if example is not None and draw(st.integers(0, 99)) >= change:
        return example
    return draw(fresh(field, example))


def fresh(field: Any, example: Any) -> st.SearchStrategy[Any]:
    """Any value that the field takes."""
    match field:
        case fields.Quantity():
            return quantities(field, field.deserialize(example).si if example is not None else None)
        case fields.Choice() | fields.WholeChoice():
            return st.sampled_from(field.choices)
        case fields.Count():
            return st.integers(field.low, field.high)
        case fields.Number():
            return st.floats(field.low, field.high)
        case fields.Flag():
            return st.booleans()
        case fields.Text():
            return st.just(field.example) if field.pattern else st.text("abc äΩ", min_size=field.low, max_size=20)
        case fields.Moment():
            return moments()
        case _:
            raise TypeError(f"no strategy for {field!r}")


@st.composite
def lists(draw: Draw, field: fields.Many, example: list[Any] | None, change: int) -> list[Any]:
    """The example's items, each perhaps changed; or a few new ones."""
    if example is not None and draw(st.integers(0, 99)) >= change:
        return [draw(value(field.item, item, change)) for item in example]
    size = draw(st.integers(field.low, max(field.low, min(field.high, 4))))
    return [draw(value(field.item, None, 100)) for _ in range(size)]


@st.composite
def parts(draw: Draw, schema: Any, example: dict[str, Any], change: int) -> dict[str, Any]:
    """An object: what the example has, unless chance leaves it out; what it lacks, now and then."""
    made = {}
    for name, field in schema._declared_fields.items():
        if name == "rule_set":
            continue
        wanted = 100 - change // 2 if name in example else change // 4
        if field.required or draw(st.integers(0, 99)) < wanted:
            made[name] = draw(value(field, example.get(name), change))
    return made


def requests(question: Question) -> st.SearchStrategy[dict[str, Any]]:
    """Requests of a question, from its example outwards to whatever its declaration allows."""
    return st.sampled_from([0, 2, 4, 8, 16, 32, 100]).flatmap(
        lambda change: parts(question.request, dict(question.example), change)
    )
