"""The client's types name what the service takes and gives: every field of a request, every value of an answer."""

from __future__ import annotations

from typing import Any, get_args, get_origin, get_type_hints

import pytest

from millphase.questions.base import registry
from millphase.questions.fields import object_schema
from millphase_client import Client, types
from millphase_client.models import Quantity


def camel(name: str) -> str:
    return "".join(part.capitalize() for part in name.split("-"))


@pytest.mark.parametrize("name", registry())
def test_every_field_and_value_is_named(name: str) -> None:
    question = registry()[name]
    request = getattr(types, f"{camel(name)}Request")
    schema = object_schema(question.request)
    assert get_type_hints(request).keys() == schema["properties"].keys()
    assert request.__required_keys__ | request.__optional_keys__ == schema["properties"].keys()
    values = get_type_hints(getattr(types, f"{camel(name)}Values"))
    assert values.keys() == question.values.keys()
    for value, declared in question.values.items():
        if "unit" in declared.schema.get("properties", {}):
            assert values[value] is Quantity


def test_inner_objects_are_typed_too() -> None:
    readings = get_type_hints(types.InsulationAcceptanceRequest)["readings"]
    assert get_origin(readings) is list
    assert "resistance" in get_type_hints(get_args(readings)[0])


@pytest.mark.parametrize("name", registry())
def test_methods_use_the_types(name: str) -> None:
    hints: dict[str, Any] = getattr(Client, name.replace("-", "_")).__annotations__
    assert hints["request"] == f"types.{camel(name)}Request"
    assert hints["return"] == f"Answer[types.{camel(name)}Values]"
