"""The drawing of the input side: well-formed, accessible, and true to the circuit."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

import pytest

from millphase.questions import base
from millphase.reports.drawings.drive_sizing import draw
from millphase.rulebook import workshop

QUESTION = base.registry()["drive-sizing"]
SVG = "{http://www.w3.org/2000/svg}"


def drawn(request: dict[str, Any]) -> ElementTree.Element:
    return ElementTree.fromstring(draw(base.load(QUESTION, request), workshop().view(("*",))))


def test_shows_voltage_link_and_current_over_one_cycle() -> None:
    picture = drawn(dict(QUESTION.example))
    assert picture.get("role") == "img"
    assert "r.m.s. 18.3 A" in picture.findtext(f"{SVG}desc", "")
    assert len(picture.findall(f"{SVG}path")) == 6
    words = {element.text for element in picture.iter(f"{SVG}text")}
    assert {"supply, undisturbed", "at the drive", "DC link", "supply current", "time in ms", "20"} <= words


def test_every_curve_stays_on_the_paper() -> None:
    for path in drawn(dict(QUESTION.example)).findall(f"{SVG}path"):
        numbers = [float(part) for part in path.get("d", "").replace("M", "").replace("L", "").split()]
        assert all(79 <= x <= 641 for x in numbers[::2])
        assert all(59 <= y <= 561 for y in numbers[1::2])


@pytest.mark.parametrize(
    ("supply", "words"),
    [
        (None, "single-phase supply"),
        ({"voltage": "400 V", "phases": 3}, "single-phase supply"),
        ({"voltage": "230 V", "resistance": "10 ohm", "reactance": "0 ohm"}, "no steady state"),
        ({"voltage": "120 V"}, "doubles the voltage"),
    ],
)
def test_says_why_there_is_nothing_to_draw(supply: dict[str, Any] | None, words: str) -> None:
    request: dict[str, Any] = {"motor": {"power": "2.2 kW", "voltage": "230 V", "current": "8.7 A"}}
    picture = drawn(request if supply is None else {**request, "supply": supply})
    assert words in picture.findtext(f"{SVG}desc", "")
    assert not picture.findall(f"{SVG}path")


def test_a_crest_lifted_by_the_end_of_the_pulse_is_not_called_lower() -> None:
    # The current ends in the supply's inductance after the crest: L·di/dt lifts the voltage above it.
    stiff = {"voltage": "240 V", "frequency": "60 Hz", "resistance": "0.02 ohm", "reactance": "0.01 ohm"}
    motor = {"power": "0.37 kW", "voltage": "230 V", "current": "2 A"}
    words = [element.text or "" for element in drawn({"motor": motor, "supply": stiff}).iter(f"{SVG}text")]
    (crest,) = [text for text in words if text.startswith("crest") and text.endswith(("lower", "higher"))]
    assert crest.endswith("V higher")
    assert "-" not in crest
    assert "−" not in crest
