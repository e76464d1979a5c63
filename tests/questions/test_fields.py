"""Request fields accept exactly what their published schema says, and every refusal says what to send."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from marshmallow import ValidationError

from millphase.quantity import Quantity
from millphase.questions import base, fields
from millphase.questions.base import Fault, Invalid, Part, Question, Request, accuracy_part, half_width


class Reading(Part):
    resistance = fields.Quantity("resistance", low="1 ohm", high="1000 Gohm", required=True, help="Reading.")
    measurement_accuracy = accuracy_part("resistance")


class Everything(Request):
    rated = fields.Quantity("voltage", required=True)
    offset = fields.Quantity("voltage", negative=True)
    standing = fields.Quantity("current", zero=True)
    factor = fields.Quantity("ratio", bare=True, low="0.01", high="1")
    share = fields.Quantity("ratio", bare=True, zero=True, high="100 %", default="0 %")
    ambient = fields.Quantity("temperature", low="-40 degC", high="90 degC")
    cold = fields.Quantity("temperature")
    winding = fields.Choice(["random-wound", "form-wound"], default="random-wound")
    leads = fields.WholeChoice([3, 6, 9, 12])
    poles = fields.Count(low=2, high=12)
    level = fields.Number(low=0, high=1)
    fitted = fields.Flag()
    name = fields.Text(high=20)
    at = fields.Moment()
    reading = fields.Part(Reading)
    readings = fields.Many(fields.Part(Reading), low=1, high=3)


VALIDATOR = Draft202012Validator(fields.object_schema(Everything))


def _accepts(body: dict[str, Any]) -> bool:
    try:
        Everything().load(body)
    except ValidationError:
        return False
    return True


GOOD: list[dict[str, Any]] = [
    {"offset": "-3 V"}, {"standing": "0 mA"}, {"factor": 0.8}, {"factor": "0.8"}, {"factor": "80 %"}, {"share": 0},
    {"ambient": "-5 degC"}, {"cold": "-20 °C"}, {"winding": "form-wound"}, {"leads": 6}, {"leads": 6.0}, {"poles": 4.0},
    {"level": 1}, {"fitted": False}, {"name": "Nº 3 shaper"}, {"at": "2026-11-25"}, {"at": "2026-11-25T18:30:00+01:00"},
    {"readings": [{"resistance": "5 Mohm"}]}, {"reading": {"resistance": "5 Mohm", "measurement_accuracy": {"relative": "5 %"}}},
]  # fmt: skip
BAD: list[dict[str, Any]] = [
    {"rated": 400}, {"rated": "400"}, {"rated": "-400 V"}, {"rated": "0 V"}, {"rated": "400 A"}, {"rated": None}, {"rated": "+5 V"},
    {"standing": "-1 mA"}, {"factor": 0}, {"factor": -0.5}, {"factor": True}, {"winding": "random"}, {"winding": 1}, {"leads": 7},
    {"leads": "6"}, {"leads": True}, {"poles": 3.5}, {"poles": 14}, {"poles": "4"}, {"poles": False}, {"level": "1"},
    {"level": 2}, {"fitted": "yes"}, {"fitted": 1}, {"name": ""}, {"name": "x" * 21}, {"name": 5}, {"name": "a\u0007"}, {"at": "yesterday"},
    {"at": "2026-13-01"}, {"at": "2026-11-25T18:30:00"}, {"at": 5}, {"reading": []}, {"reading": {}}, {"readings": []},
    {"readings": {}}, {"readings": [{"resistance": "1 ohm"}] * 4}, {"readings": [None]}, {"unknown": 1},
    {"reading": {"resistance": "5 Mohm", "unknown": 1}}, {"rule_set": "x"}, {"wiring_rules": "other"},
]  # fmt: skip


@pytest.mark.parametrize("part", GOOD)
def test_accepted_by_field_and_schema(part: dict[str, Any]) -> None:
    body = {"rated": "400 V", **part}
    assert VALIDATOR.is_valid(body)
    assert _accepts(body)


@pytest.mark.parametrize("part", BAD)
def test_refused_by_field_and_schema(part: dict[str, Any]) -> None:
    body = {"rated": "400 V", **part}
    assert not VALIDATOR.is_valid(body)
    assert not _accepts(body)


@given(
    st.one_of(
        st.none(),
        st.booleans(),
        st.integers(),
        st.floats(allow_nan=False, allow_infinity=False),
        st.text(max_size=12),
        st.lists(st.integers(), max_size=2),
    ),
    st.sampled_from(sorted(set(Everything._declared_fields) - {"rule_set"})),
)
def test_field_and_schema_agree_on_anything(value: Any, name: str) -> None:
    body = {"rated": "400 V", name: value}
    try:
        Everything().load(body)
        accepted = True
    except ValidationError as error:
        codes = {fault.code for fault in base._faults(error.messages, "", Everything)}
        accepted = codes == {"contradictory-input"}  # well-formed, only implausible
    assert accepted == VALIDATOR.is_valid(body)


@pytest.mark.parametrize(
    ("part", "pointer", "words"),
    [
        ({"ambient": "200 degC"}, "/ambient", "-40 degC to 90 degC"), ({"factor": "120 %"}, "/factor", "plausible"),
        ({"factor": 1.5}, "/factor", "plausible"), ({"cold": "-300 degC"}, "/cold", "plausible"), ({"at": "2026-02-30"}, "/at", "no such day"),
        ({"reading": {"resistance": "0.5 ohm"}}, "/reading/resistance", "1 ohm"), ({"share": "150 %"}, "/share", "at most 100 %"),
        ({"readings": [{"resistance": "5 Mohm"}, {"resistance": "0.1 ohm"}]}, "/readings/1/resistance", "check the number"),
    ],
)  # fmt: skip
def test_well_formed_but_impossible_is_a_contradiction(part: dict[str, Any], pointer: str, words: str) -> None:
    faults = _load_faults({"rated": "400 V", **part})
    assert [fault.pointer for fault in faults] == [pointer]
    assert Invalid(faults).contradictory
    assert words in faults[0].message


def _load_faults(body: dict[str, Any]) -> list[Fault]:
    with pytest.raises(ValidationError) as caught:
        Everything().load(body)
    return list(base._faults(caught.value.messages, "", Everything))


def test_all_faults_at_once_each_with_its_pointer() -> None:
    faults = _load_faults(
        {"factors": 1, "readings": [{"resistance": 5}, {"resistance": "5 V", "x/y~z": 1}], "poles": None}
    )
    found = {fault.pointer: fault for fault in faults}
    assert set(found) == {
        "/rated",
        "/factors",
        "/readings/0/resistance",
        "/readings/1/resistance",
        "/readings/1/x~1y~0z",
        "/poles",
    }
    assert found["/rated"].code == "required"
    assert "did you mean factor?" in found["/factors"].message
    assert "47 kohm" in found["/readings/0/resistance"].message
    assert "null is not a value" in found["/poles"].message
    assert not Invalid(faults).contradictory
    assert "/poles: null" in str(Invalid(faults))


def test_defaults_are_loaded_as_quantities() -> None:
    loaded = Everything().load({"rated": "400 V"})
    assert loaded["share"].si == 0.0
    assert loaded["winding"] == "random-wound"
    assert "factor" not in loaded


def test_half_width_adds_both_parts() -> None:
    reading = Quantity.of(5, "Mohm")
    loaded = Reading().load(
        {"resistance": "5 Mohm", "measurement_accuracy": {"relative": "5 %", "absolute": "20 kohm"}}
    )
    width = half_width(reading, loaded["measurement_accuracy"])
    assert width is not None
    assert width.si == pytest.approx(0.27e6)
    assert half_width(reading, None) is None


def test_a_question_can_be_declared() -> None:
    question = Question("a", 1, "A", "s", Everything, {}, lambda r, b: None, (), {})  # type: ignore[arg-type, return-value]
    assert question.name == "a"


def test_declarations_of_ours_are_checked() -> None:
    with pytest.raises(ValueError, match="no unit of resistance"):
        base.out.quantity("resistance", "V", "a slip")
    with pytest.raises(NotImplementedError):
        fields._Field().json_schema()
    assert Fault("/a", "invalid", "send b").as_json() == {"pointer": "/a", "code": "invalid", "message": "send b"}


def quantities_of(schema: type[Part], path: str) -> Iterator[tuple[str, fields.Quantity]]:
    for name, declared in schema._declared_fields.items():
        field = declared.item if isinstance(declared, fields.Many) else declared
        if isinstance(field, fields.Quantity):
            yield f"{path}/{name}", field
        elif isinstance(field, fields.Part):
            yield from quantities_of(field.schema, f"{path}/{name}")


OFFERED = [found for question in base.registry().values() for found in quantities_of(question.request, question.name)]


@pytest.mark.parametrize(("path", "field"), OFFERED, ids=[path for path, _ in OFFERED])
def test_a_field_offers_an_example_that_it_accepts(path: str, field: fields.Quantity) -> None:
    """What a refusal tells the caller to send must not be refused in turn."""
    assert field.json_schema().get("examples", [field.example]) == [field.example]
    assert field.deserialize(field.example).si > 0


@pytest.mark.parametrize(("low", "high", "expected"), [
    (None, None, "47 kohm"), ("1 ohm", "1 Mohm", "47 kohm"), (None, "100 ohm", "100 ohm"), ("1 Mohm", None, "1 Mohm"),
    ("10 mohm", "1 ohm", "0.1 ohm"),  # the geometric middle
])  # fmt: skip
def test_the_example_lies_in_the_range(low: str | None, high: str | None, expected: str) -> None:
    field = fields.Quantity("resistance", low=low, high=high)
    assert field.example == expected
    with pytest.raises(ValidationError, match=re.escape(expected)):
        field.deserialize(5)
