"""The drawing of cable sizing: well-formed, accessible, and true to the answer."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree

from millphase.questions import base
from millphase.reports.drawings.cable_sizing import draw
from millphase.rulebook import workshop

QUESTION = base.registry()["cable-sizing"]
SVG = "{http://www.w3.org/2000/svg}"
PLAIN = {
    "design_current": "21 A", "phases": 1, "length": "18 m", "installation_method": "c", "cable": "multicore",
    "insulation": "pvc-70", "protective_device": {"kind": "mcb-c", "rating": "25 A"}, "earthing": "tn-s",
    "external_loop_impedance": "0.5 ohm",
}  # fmt: skip


def drawn(request: dict[str, Any]) -> ElementTree.Element:
    return ElementTree.fromstring(draw(base.load(QUESTION, request), workshop().view(("*",))))


def words(picture: ElementTree.Element) -> list[str]:
    return [element.text or "" for element in picture.iter(f"{SVG}text")]


def test_shows_the_need_every_size_and_why_it_fails() -> None:
    picture = drawn(PLAIN)
    answer = base.ask("cable-sizing", PLAIN, workshop())
    assert picture.get("role") == "img"
    assert picture.findtext(f"{SVG}desc") == answer.summary
    said = words(picture)
    assert "needed 25 A" in said
    assert "loop, ohm (limit 0.874)" in said
    assert "drop, % (limit 5)" in said
    assert "H = heat; L = loop impedance" in said
    bars = [
        r for r in picture.iter(f"{SVG}rect") if r.get("y") and float(r.get("y", "0")) < 359 and r.get("width") == "44"
    ]
    assert len(bars) == len(answer.values["candidates"])
    assert [bar.get("fill") for bar in bars].count("black") == 1


def test_a_bar_reaches_the_line_exactly_where_the_size_carries_enough() -> None:
    picture = drawn(PLAIN)
    line = next(e for e in picture.iter(f"{SVG}line") if e.get("stroke-width") == "2.5")
    bars = [r for r in picture.iter(f"{SVG}rect") if r.get("width") == "44"]
    carries = [float(bar.get("y", "0")) <= float(line.get("y1", "0")) for bar in bars]
    rows: Any = base.ask("cable-sizing", PLAIN, workshop()).values["candidates"]
    assert carries == ["heat" not in row["fails"] for row in rows]


def test_gauges_and_missing_lengths_are_drawn_too() -> None:
    said = words(drawn({"wiring_rules": "nfpa-70", "design_current": "36 A", "cable": "single-core"}))
    assert "size, AWG" in said
    assert "1/0" in said
    assert "drop, %" in said
    assert any("chosen: 6 AWG" in text for text in said)


def test_nothing_passes() -> None:
    said = words(drawn({**PLAIN, "length": "900 m"}))
    assert any("no size passes; outcome: reject" in text for text in said)


def test_without_a_table_the_drawing_says_so() -> None:
    said = words(drawn({"design_current": "9 A", "cable": "flat-twin-and-earth"}))
    assert said[0] == "Cable sizing: no size can be drawn"
    assert any("no capacity table" in text for text in said)
