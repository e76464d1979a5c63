"""The drawing of a record: a whole SVG whatever the record, with what a reader needs in words."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

import pytest

from millphase.questions.base import load, registry
from millphase.reports.drawings import of_question
from millphase.rulebook import workshop

QUESTION = registry()["insulation-trend"]
NAMESPACE = "{http://www.w3.org/2000/svg}"


def drawn(request: dict[str, Any]) -> ElementTree.Element:
    draw = of_question(QUESTION.name)
    assert draw is not None
    return ElementTree.fromstring(draw(load(QUESTION, request), workshop().view(QUESTION.rules)))


def titled(root: ElementTree.Element) -> str:
    return str(root.findtext(f"{NAMESPACE}title"))


def test_the_example_shows_readings_line_interval_and_forecast() -> None:
    root = drawn(dict(QUESTION.example))
    assert "getting worse" in titled(root)
    assert len(root.findall(f"{NAMESPACE}polyline")) == 4
    assert len(root.findall(f"{NAMESPACE}circle")) == 6 + 1
    assert "6 readings" in str(root.findtext(f"{NAMESPACE}desc"))


def test_few_readings_have_no_line() -> None:
    root = drawn({"rated_voltage": "400 V", "readings": [{"at": "2026-01-01", "resistance": "30 Mohm"}]})
    assert "too few" in titled(root)
    assert "as read" in titled(root)
    assert not root.findall(f"{NAMESPACE}polyline")


def test_a_steady_record_has_no_forecast() -> None:
    readings = [{"at": f"2026-0{month}-01", "resistance": "80 Mohm"} for month in range(1, 8)]
    root = drawn({"rated_voltage": "400 V", "readings": readings})
    assert "no change" in titled(root)
    assert len(root.findall(f"{NAMESPACE}polyline")) == 3


def test_nothing_but_over_range_readings() -> None:
    readings = [{"at": "2026-01-01", "resistance": "2000 Mohm", "over_range": True}]
    assert "beyond" in titled(drawn({"rated_voltage": "400 V", "readings": readings}))


@pytest.mark.parametrize(("resistance", "label"), [("40 ohm", "10 ohm"), ("5 Gohm", "10 Gohm")])
def test_decades_are_labelled_in_their_own_unit(resistance: str, label: str) -> None:
    root = drawn({"rated_voltage": "400 V", "readings": [{"at": "2026-01-01", "resistance": resistance}]})
    assert label in {text.text for text in root.findall(f"{NAMESPACE}text")}


def test_a_loose_interval_stays_inside_the_frame() -> None:
    readings = [
        {"at": f"2026-01-0{day}", "resistance": f"{megohm} Mohm"}
        for day, megohm in enumerate([20, 90, 11, 85, 12, 95, 30], start=1)
    ]
    root = drawn({"rated_voltage": "400 V", "readings": readings})
    for line in root.findall(f"{NAMESPACE}polyline"):
        heights = [float(point.split(",")[1]) for point in str(line.get("points")).split()]
        assert all(60.0 <= height <= 400.0 for height in heights)
