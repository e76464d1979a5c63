"""Flange or face of the old and the new motor laid over each other, seen on the shaft end and drawn to scale."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from millphase.quantity import Quantity
from millphase.questions._fit_flange import flange_row
from millphase.questions._fit_frames import Motor
from millphase.reports.drawings._paper import CENTRE, NEW, OLD, PIXELS_PER_MM, THIN, reduction, scale_bar
from millphase.reports.svg import document, element, line, num, text
from millphase.rulebook.book import View

TOP, LEFT = 90.0, 60.0
NAMES = {"outside": "outside", "circle": "bolt circle", "spigot": "spigot"}


@dataclass(frozen=True)
class Face:
    """What is known of one motor's flange: diameters [mm], and words for the list below the picture."""

    name: str
    sizes: Mapping[str, float]
    holes: str = ""
    unread: bool = False

    def told(self) -> str:
        """The sizes in words."""
        known = [f"{NAMES[name]} {num(size)} mm" for name, size in self.sizes.items()]
        words = ", ".join([*known, *([self.holes] if self.holes else [])]) or "no size known, measure it"
        return f"{self.name}: {words}{'; partly from memory, measure first' if self.unread else ''}"


def faces(book: View, motors: Mapping[str, Motor], mounting: str, measured: Mapping[str, Quantity]) -> dict[str, Face]:
    """Both flanges: by frame, and of the old one what was measured, which counts before its frame."""
    found = {}
    for which, motor in motors.items():
        row = flange_row(book, motor, mounting)
        columns = ("outside", "circle", "spigot") if motor.standard == "iec" else ("circle", "spigot")
        sizes = {column: row.q(column).si * 1000 for column in columns} if row is not None else {}
        if which == "old":
            own = {"circle": "bolt_circle", "spigot": "spigot"}
            given = {column: measured[field].si * 1000 for column, field in own.items() if field in measured}
            sizes = ({} if given else sizes) | given
        tabulated = [row[column] for column in columns] if row is not None and which == "new" else []
        unread = any(cell.cited.source["checked"] == "memory" for cell in tabulated)
        holes = row.text("hole") if row is not None and which == "new" else ""
        found[which] = Face(
            f"{which} motor{f', {motor.name}' if motor.frame else ', as measured'}", sizes, holes, unread
        )
    return found


def svg(found: Mapping[str, Face]) -> str:
    """The whole drawing; holes stand at 45 degrees, four to the circle, as crosses, their size is in the words."""
    widest = max((size for face in found.values() for size in face.sizes.values()), default=100.0) + 20
    scale = reduction(widest)
    unit, half = PIXELS_PER_MM / scale, widest / 2 * PIXELS_PER_MM / scale
    x, y = LEFT + half, TOP + half
    body = text(20, 28, "Flanges seen on the shaft end, shaft axes in line", font_size=17, font_weight="bold")
    body += _legend(found)
    body += line(x - half, y, x + half, y, **CENTRE) + line(x, y - half, x, y + half, **CENTRE)
    for which, face in found.items():
        body += "".join(_circle(x, y, size * unit / 2, name, which == "new") for name, size in face.sizes.items())
    below = TOP + 2 * half + 40
    for row, face in enumerate(found.values()):
        body += text(20, below + 20 * row, face.told(), font_size=12)
    body += scale_bar(20, below + 20 * len(found) + 10, scale)
    told = "; ".join(face.told() for face in found.values())
    words = f"To scale 1:{scale:.3g}. {told}. New solid, old dashed."
    return document(max(2 * (LEFT + half), 760.0), below + 90, "Flanges of the old and the new motor", words, body)


def _legend(found: Mapping[str, Face]) -> str:
    words, at = "", 20.0
    for which, face in found.items():
        style = NEW if which == "new" else OLD
        words += line(at, 50, at + 44, 50, **{k: v for k, v in style.items() if k != "fill"})
        words += text(at + 52, 54, face.name)
        at += 72 + 7.2 * len(face.name)
    return words


def _circle(x: float, y: float, radius: float, name: str, new: bool) -> str:
    style = dict(NEW if new else OLD)
    if name == "circle":
        style["stroke_width"] = 0.7
    round_ = element("circle", cx=x, cy=y, r=radius, class_=name, **style)
    return round_ + (_crosses(x, y, radius, upright=new) if name == "circle" else "")


def _crosses(x: float, y: float, radius: float, *, upright: bool) -> str:
    """Four bolt holes as crosses, upright for the new motor and lying for the old one."""
    marks = ""
    for quarter in range(4):
        angle = math.pi / 4 + quarter * math.pi / 2
        at, across = x + radius * math.cos(angle), y + radius * math.sin(angle)
        for turn in (0.0, math.pi / 2):
            lean = turn + (0.0 if upright else math.pi / 4)
            dx, dy = 7 * math.cos(lean), 7 * math.sin(lean)
            marks += line(at - dx, across - dy, at + dx, across + dy, **THIN)
    return marks
