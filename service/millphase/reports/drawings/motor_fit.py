"""Foot patterns, or flanges, of the old and the new motor laid over each other and drawn to scale."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from millphase.answer import Contradiction
from millphase.questions._fit_frames import PATTERN, Motor, foot_holes, read_motor
from millphase.questions.base import Fault, Invalid
from millphase.questions.motor_fit import QUESTION, in_inches
from millphase.reports.drawings import _flange_faces as flange_faces
from millphase.reports.drawings._paper import CENTRE, NEW, OLD, PIXELS_PER_MM, THIN, reduction, scale_bar
from millphase.reports.svg import document, element, line, num, text
from millphase.rulebook.book import View

LEFT, TOP, BELOW = 70.0, 96.0, 250.0
NEEDED = PATTERN


def draw(request: dict[str, Any], book: View) -> str:
    """SVG of both foot patterns with shaft axes and shaft ends in line, or of both flanges seen on the shaft end.

    Parameters
    ----------
    request : dict
        A checked request of ``motor-fit``.
    book : View
        The rules in force.

    Raises
    ------
    Invalid
        For a frame that is not tabulated.
    """
    sheet = QUESTION.sheet(book)
    motors: dict[str, Motor] = {}
    try:
        for which in ("old", "new"):
            if f"{which}_motor" in request:
                motors[which] = read_motor(sheet, request[f"{which}_motor"], f"/{which}_motor")
    except Contradiction as error:
        raise Invalid([Fault(error.pointer, "contradictory-input", error.message)]) from None
    mounting = request["new_motor"]["mounting"]
    if mounting != "foot":
        return flange_faces.svg(
            flange_faces.faces(book, motors, mounting, request.get("old_motor", {}).get("flange", {}))
        )
    drawn = {which: motor for which, motor in motors.items() if motor.has(*NEEDED)}
    return _Plan(drawn, motors, inches=in_inches(request)).svg()


class _Plan:
    """The plan view: x runs back from the shaft end, y across the shaft."""

    def __init__(self, drawn: Mapping[str, Motor], motors: Mapping[str, Motor], *, inches: bool) -> None:
        self.drawn, self.motors, self.inches = drawn, motors, inches
        self.long = max(foot_holes(motor)["rear"][1] for motor in drawn.values()) * 1000 + 25
        self.wide = max(motor.sizes["across"].si for motor in drawn.values()) * 1000 + 50
        self.scale = reduction(self.long)
        self.unit = PIXELS_PER_MM / self.scale
        self.axis = TOP + 30 + self.wide / 2 * self.unit

    def x(self, millimetres: float) -> float:
        """Pixels of a distance from the shaft end."""
        return LEFT + millimetres * self.unit

    def y(self, millimetres: float) -> float:
        """Pixels of a distance across from the shaft axis."""
        return self.axis + millimetres * self.unit

    def svg(self) -> str:
        """The whole drawing."""
        bottom = self.y(self.wide / 2)
        width = max(LEFT + self.long * self.unit + 120, 760.0)
        body = self._head() + "".join(self._motor(which, motor) for which, motor in self.drawn.items())
        body += line(LEFT - 30, self.axis, self.x(self.long), self.axis, **CENTRE)
        body += line(LEFT, TOP + 8, LEFT, bottom + 14, **CENTRE) + text(LEFT - 4, TOP + 4, "shaft end", font_size=11)
        body += self._dimensions(bottom) + self._table(bottom + 112) + scale_bar(20, bottom + 188, self.scale)
        return document(width, bottom + BELOW, "Foot holes of the old and the new motor", self._description(), body)

    def _head(self) -> str:
        names = {
            which: f"{which} motor{f', {motor.name}' if motor.frame else ', as measured'}"
            for which, motor in self.motors.items()
        }
        lines = text(
            20, 28, "Foot holes seen from above, shaft axes and shaft ends in line", font_size=17, font_weight="bold"
        )
        at = 20.0
        for which, told in names.items():
            style = NEW if which == "new" else OLD
            known = "" if which in self.drawn else " (sizes missing, not drawn)"
            lines += line(at, 50, at + 44, 50, **{k: v for k, v in style.items() if k != "fill"})
            lines += text(at + 52, 54, told + known)
            at += 72 + 7.2 * len(told + known)
        return lines + text(20, 76, self._height())

    def _height(self) -> str:
        new, old = self.motors["new"], self.motors.get("old")
        told = f"Shaft height: new {new.sizes['centre_height']}"
        if old is None or not old.has("centre_height"):
            return told
        rise = (new.sizes["centre_height"].si - old.sizes["centre_height"].si) * 1000
        way = (
            "level"
            if abs(rise) < 0.05
            else f"new shaft {num(abs(rise))} mm {'higher' if rise > 0 else 'lower: pack the feet'}"
        )
        return f"{told}, old {old.sizes['centre_height']} ({way})"

    def _motor(self, which: str, motor: Motor) -> str:
        style = NEW if which == "new" else OLD
        (half, front), (_, rear) = (tuple(v * 1000 for v in hole) for hole in foot_holes(motor).values())
        inner = max(half - 14, half * 0.6)  # the feet are sketched 28 mm wide and stand beside the body
        shaft, shoulder = (
            motor.sizes["shaft_diameter"].si * 1000 if motor.has("shaft_diameter") else 20.0,
            motor.sizes["shaft_length"].si * 1000,
        )
        parts = self._box(0, -shaft / 2, shoulder, shaft, style) + self._box(
            shoulder, -inner, rear - shoulder + 12, 2 * inner, style
        )
        for side in (-1, 1):
            parts += self._box(front - 14, side * half - 14, rear - front + 28, 28, {**style, "stroke_width": 0.8})
            for along in (front, rear):
                parts += self._hole(along, side * half, motor.sizes["hole"].si * 500, which == "new")
        return element("g", parts)

    def _box(self, x: float, y: float, long: float, wide: float, style: Mapping[str, Any]) -> str:
        return element("rect", x=self.x(x), y=self.y(y), width=long * self.unit, height=wide * self.unit, **style)

    def _hole(self, x: float, y: float, radius: float, new: bool) -> str:
        at, across, reach = self.x(x), self.y(y), (radius + 3) * self.unit
        circle = element(
            "circle", cx=at, cy=across, r=radius * self.unit, **(NEW if new else {**OLD, "stroke_dasharray": "3 2"})
        )
        if new:
            return (
                circle
                + line(at - reach, across, at + reach, across, **THIN)
                + line(at, across - reach, at, across + reach, **THIN)
            )
        reach *= 0.7
        return (
            circle
            + line(at - reach, across - reach, at + reach, across + reach, **THIN)
            + line(at - reach, across + reach, at + reach, across - reach, **THIN)
        )

    def _dimensions(self, bottom: float) -> str:
        parts = ""
        for row, (which, motor) in enumerate(self.drawn.items()):
            (half, front), (_, rear) = (tuple(v * 1000 for v in hole) for hole in foot_holes(motor).values())
            level = bottom + 24 + row * 34
            parts += self._along(0, front, level, f"{which} {num(front)}") + self._along(
                front, rear, level, f"{which} {num(rear - front)}"
            )
            right = self.x(self.long) + 18 + row * 46
            parts += self._across(half, right, f"{which} {num(2 * half)}")
        return parts

    def _along(self, start: float, end: float, level: float, told: str) -> str:
        a, b = self.x(start), self.x(end)
        ticks = "".join(line(at, level - 5, at, level + 5, **THIN) for at in (a, b))
        return (
            line(a, level, b, level, **THIN)
            + ticks
            + text((a + b) / 2, level - 4, told, text_anchor="middle", font_size=11)
        )

    def _across(self, half: float, at: float, told: str) -> str:
        a, b = self.y(-half), self.y(half)
        ticks = "".join(line(at - 5, level, at + 5, level, **THIN) for level in (a, b))
        turned = f"rotate(-90 {num(at - 5)} {num(self.axis)})"
        return (
            line(at, a, at, b, **THIN)
            + ticks
            + text(at - 5, self.axis, told, text_anchor="middle", font_size=11, transform=turned)
        )

    def _table(self, top: float) -> str:
        head = (
            "Holes and shaft to scale, outlines sketched. Centres in mm from shaft end and axis; "
            "mark them through the feet of the motor in hand."
        )
        rows = text(20, top, head, font_size=12)
        for row, (which, motor) in enumerate(self.drawn.items()):
            (half, front), (_, rear) = (tuple(v * 1000 for v in hole) for hole in foot_holes(motor).values())
            told = f"{which}: {num(front)} and {num(rear)} back, ±{num(half)} across, holes {num(motor.sizes['hole'].si * 1000)}"
            if self.inches:
                told += f" (in: {front / 25.4:.3f} and {rear / 25.4:.3f} back, ±{half / 25.4:.3f} across)"
            if motor.from_memory(*NEEDED):
                told += "; sizes partly from memory, measure first"
            rows += text(20, top + 20 * (row + 1), told, font_size=12)
        return rows

    def _description(self) -> str:
        told = [
            f"{which} motor: foot holes {motor.sizes['across']} across and {motor.sizes['along']} along, front holes "
            f"{num(foot_holes(motor)['front'][1] * 1000)} mm behind the shaft end"
            for which, motor in self.drawn.items()
        ]
        return f"Plan to scale 1:{self.scale:.3g}. " + "; ".join(told) + ". New solid, old dashed."
