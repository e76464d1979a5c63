"""The schemas of rule files are valid themselves; loading a rule set relies on it."""

from __future__ import annotations

import pytest
from jsonschema import Draft202012Validator

from millphase.rulebook import check
from millphase.rulebook.places import data_root, schema

NAMES = sorted(path.name.removesuffix(".schema.json") for path in (data_root("rules") / "schema").glob("*.schema.json"))


@pytest.mark.parametrize("name", NAMES)
def test_the_schema_is_valid(name: str) -> None:
    Draft202012Validator.check_schema(schema(name))


@pytest.mark.parametrize("kind", check.PARTS)
def test_the_schema_of_each_kind_is_valid(kind: str) -> None:
    Draft202012Validator.check_schema(check._validator("rule", kind).schema)
