"""Line styles and scales that the drawings of machine parts share: new solid, old dashed, black on white."""

from __future__ import annotations

from typing import Any

from millphase.reports.svg import element, text

PIXELS_PER_MM = 96 / 25.4  # CSS: 96 pixels an inch, so that a print at 100 % keeps the scale
SCALES = (1, 2, 2.5, 4, 5, 10)  # reductions a drawing office uses
WIDEST = 620.0
NEW: dict[str, Any] = {"stroke": "black", "fill": "none", "stroke_width": 2.0}
OLD: dict[str, Any] = {"stroke": "black", "fill": "none", "stroke_width": 1.2, "stroke_dasharray": "7 4"}
THIN: dict[str, Any] = {"stroke": "black", "stroke_width": 0.7}
CENTRE: dict[str, Any] = {**THIN, "stroke_dasharray": "14 3 3 3"}


def reduction(millimetres: float) -> float:
    """The reduction at which a length [mm] fits the paper: a usual one, or whatever it takes."""
    fits = [scale for scale in SCALES if millimetres * PIXELS_PER_MM / scale <= WIDEST]
    return fits[0] if fits else millimetres * PIXELS_PER_MM / WIDEST


def scale_bar(x: float, y: float, scale: float) -> str:
    """A bar of 100 mm with the scale written beside it."""
    long = 50 * PIXELS_PER_MM / scale
    bar = element("rect", x=x, y=y, width=long, height=6, fill="black") + element(
        "rect", x=x + long, y=y, width=long, height=6, fill="white", stroke="black"
    )
    return bar + text(x + 2 * long + 12, y + 8, f"100 mm; scale 1:{scale:.3g} when printed at 100 %", font_size=12)
