"""The club that ships as an example: each of its changes as a user meets it."""

from __future__ import annotations

from typing import Any

from millphase.questions.base import ask, registry
from millphase.rulebook import Rulebook, workshop
from millphase.rulebook.library import Library

READING: dict[str, Any] = {
    "between": "UVW-earth", "resistance": "70 Mohm", "test_voltage": "500 V", "after": "60 s",
    "instrument": "insulation-tester", "winding_temperature": "20 degC",
}  # fmt: skip
REQUEST: dict[str, Any] = {
    "rated_voltage": "400 V",
    "winding": "random-wound",
    "under_test": "motor",
    "drive_disconnected": True,
    "readings": [READING],
}


def _club() -> Rulebook:
    return Library.load()["cold-barn-club@1.0.0"]


def test_its_base_is_the_released_set() -> None:
    library = Library.load()
    base = _club().pack["base"]
    assert library[f"{base['name']}@{base['version']}"].name == "workshop"
    assert base["digest"].startswith("sha256:")


def test_the_stricter_limit_cautions_where_the_base_accepts() -> None:
    request = {**REQUEST, "readings": [{**READING, "resistance": "7 Mohm", "winding_temperature": "40 degC"}]}
    assert ask("insulation-acceptance", request, workshop()).outcome.word == "accept"
    assert ask("insulation-acceptance", request, _club()).outcome.word == "caution"


def test_the_added_margin_judges_the_dew_point_and_the_added_text_is_a_caution() -> None:
    damp = {**REQUEST, "air": {"temperature": "20 degC", "relative_humidity": "78 %"}}
    base, club = (ask("insulation-acceptance", damp, book).as_json() for book in (workshop(), _club()))
    # Dew point of 20 °C and 78 %: 16.1 °C by the Magnus form, so the winding stands 3.9 K above it (by hand).
    assert abs(base["values"]["dew_point_margin"]["value"] - 3.9) < 0.1
    assert base["outcome"] == "accept"
    assert club["outcome"] == "caution"
    assert club["findings"][-1]["rule"] == "insulation/barn-dew-margin"
    assert any("Open both barn doors" in caution for caution in club["cautions"])


def test_the_loosened_default_is_named_in_every_answer_that_used_it() -> None:
    request = {**REQUEST, "readings": [{key: value for key, value in READING.items() if key != "winding_temperature"}]}
    cautions = ask("insulation-acceptance", request, _club()).as_json()["cautions"]
    assert any("has loosened insulation/coldest-winding" in caution for caution in cautions)
    assert any("from 0 degC to 5 degC" in caution and "A frost guard keeps" in caution for caution in cautions)
    told = ask("insulation-acceptance", request, workshop()).as_json()["cautions"]
    assert not any("loosened" in caution for caution in told)


def test_without_the_withdrawn_default_no_cable_is_sized() -> None:
    example = registry()["cable-sizing"].example
    request = {key: value for key, value in example.items() if key != "installation_method"} | {
        "wiring_rules": "iec-60364"
    }
    answer = ask("cable-sizing", request, _club()).as_json()
    assert answer["outcome"] == "inconclusive"
    assert "A member says how the cable runs" in answer["summary"]
    assert ask("cable-sizing", request, workshop()).outcome.word != "inconclusive"
