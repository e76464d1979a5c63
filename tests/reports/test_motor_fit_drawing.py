"""The foot-pattern drawing: to scale, both motors told apart without colour, readable by a screen reader."""

from __future__ import annotations

from typing import Any
from xml.etree import ElementTree as ET

import pytest

from millphase.questions.base import Invalid, load
from millphase.questions.motor_fit import QUESTION
from millphase.reports.drawings.motor_fit import PIXELS_PER_MM, draw
from millphase.rulebook import workshop

SVG = "{http://www.w3.org/2000/svg}"
OLD = {
    "centre_height": "4.5 in", "shaft_diameter": "0.75 in", "shaft_length": "2 in",
    "feet": {"across": "7 in", "along": "5 in", "to_shoulder": "2.5 in", "hole": "0.4375 in"},
}  # fmt: skip


def drawn(frame: str = "100L", standard: str = "iec", mounting: str = "foot", **more: Any) -> tuple[ET.Element, str]:
    request = load(QUESTION, {"new_motor": {"standard": standard, "frame": frame, "mounting": mounting}, **more})
    markup = draw(request, workshop().view(("*",)))
    return ET.fromstring(markup), "".join(ET.fromstring(markup).itertext())


def holes(root: ET.Element) -> list[tuple[float, float, float, bool]]:
    return [
        (float(c.get("cx", 0)), float(c.get("cy", 0)), float(c.get("r", 0)), "stroke-dasharray" in c.attrib)
        for c in root.iter(f"{SVG}circle")
    ]


def test_holes_lie_where_the_sizes_put_them_to_scale() -> None:
    root, words = drawn(old_motor=OLD)
    assert "scale 1:2" in words
    unit = PIXELS_PER_MM / 2
    new = [hole for hole in holes(root) if not hole[3]]
    old = [hole for hole in holes(root) if hole[3]]
    assert len(new) == len(old) == 4
    for found, across, along, diameter, front in (
        (new, 160.0, 140.0, 12.0, 123.0),
        (old, 177.8, 127.0, 11.1125, 114.3),
    ):
        xs, ys = sorted({x for x, *_ in found}), sorted({y for _, y, *_ in found})
        assert (xs[1] - xs[0]) / unit == pytest.approx(along, abs=0.02)
        assert (ys[1] - ys[0]) / unit == pytest.approx(across, abs=0.02)
        assert found[0][2] * 2 / unit == pytest.approx(diameter, abs=0.02)
        assert (xs[0] - 70.0) / unit == pytest.approx(front, abs=0.02)


def test_the_picture_tells_itself() -> None:
    root, words = drawn(old_motor=OLD)
    assert root.get("role") == "img"
    title, description = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert description is not None
    assert "dashed" in (description.text or "")
    assert "new shaft 14.3 mm lower" in words
    assert "from memory" not in words
    assert {element.get("stroke") for element in root.iter() if element.get("stroke")} == {"black"}


def test_other_cases_of_height_and_knowledge() -> None:
    assert "from memory" in drawn("180L")[1]  # its foot hole was read nowhere
    assert "Shaft height: new 90 mm" in drawn("90L")[1]
    assert "(level)" in drawn("90L", old_motor={"standard": "iec", "frame": "90S"})[1]
    assert "10 mm higher" in drawn("100L", old_motor={"standard": "iec", "frame": "90S"})[1]
    partly = drawn("90L", old_motor={"shaft_diameter": "24 mm"})
    assert "sizes missing" in partly[1]
    assert len(holes(partly[0])) == 4


@pytest.mark.parametrize(("standard", "frame"), [("iec", "56"), ("iec", "180L"), ("nema", "48"), ("nema", "215T")])
def test_every_size_of_frame_fits_the_paper(standard: str, frame: str) -> None:
    root, _ = drawn(frame, standard)
    width, height = float(root.get("width", 0)), float(root.get("height", 0))
    assert all(0 < x < width and 0 < y < height for x, y, *_ in holes(root))


def test_very_long_feet_are_reduced_further() -> None:
    root, words = drawn("100L", old_motor={**OLD, "feet": {**OLD["feet"], "along": "1.9 m"}})  # type: ignore[dict-item]
    assert "scale 1:12" in words or "scale 1:13" in words
    assert len(holes(root)) == 8


def circles(root: ET.Element) -> dict[tuple[str, bool], float]:
    """Diameter in millimetres of each circle at 1:2, by name and whether it is dashed."""
    return {
        (c.get("class", ""), "stroke-dasharray" in c.attrib): float(c.get("r", 0)) * 2 / (PIXELS_PER_MM / 2)
        for c in root.iter(f"{SVG}circle")
    }


def test_a_flange_is_drawn_by_its_circles() -> None:
    # source: IEC 60072-1: FF215 has P 250, N 180 mm, FF165 has P 200, N 130 mm
    root, words = drawn("100L", mounting="flange", old_motor={"frame": "90L"})
    assert "scale 1:2" in words
    found = {key: round(size, 1) for key, size in circles(root).items()}
    assert found == {
        ("outside", False): 250, ("circle", False): 215, ("spigot", False): 180,
        ("outside", True): 200, ("circle", True): 165, ("spigot", True): 130,
    }  # fmt: skip
    assert {element.get("stroke") for element in root.iter() if element.get("stroke")} == {"black"}
    description = root.find(f"{SVG}desc")
    assert description is not None
    assert "New solid, old dashed" in (description.text or "")


def test_a_measured_flange_counts_before_its_frame() -> None:
    root, words = drawn("56C", "nema", mounting="face", old_motor={"frame": "90L", "flange": {"bolt_circle": "130 mm"}})
    assert {name for name, dashed in circles(root) if dashed} == {"circle"}
    assert "bolt circle 130 mm" in words
    assert "4 × 3/8-16 tapped" in words


def test_a_flange_of_which_nothing_is_known_says_so() -> None:
    root, words = drawn("56", "nema", mounting="flange", old_motor={"shaft_diameter": "16 mm"})
    assert not circles(root)
    assert words.count("no size known, measure it") >= 2
    assert "old motor, as measured" in words
    assert "partly from memory" in drawn("56", mounting="face")[1]


def test_inches_stand_in_the_list_for_those_who_entered_them() -> None:
    # source: 63 + 60 = 123 mm = 4.843 in
    assert "4.843 and 10.354 back" in drawn(old_motor=OLD)[1]
    assert "(in:" not in drawn(old_motor={"frame": "90L"})[1]


def test_narrow_feet_still_leave_a_body() -> None:
    root, _ = drawn("56", old_motor={**OLD, "feet": {**OLD["feet"], "across": "20 mm"}})  # type: ignore[dict-item]
    assert all(float(box.get("width", 0)) > 0 and float(box.get("height", 0)) > 0 for box in root.iter(f"{SVG}rect"))


def test_an_unknown_frame_is_refused() -> None:
    with pytest.raises(Invalid) as caught:
        drawn("101L")
    assert caught.value.contradictory
