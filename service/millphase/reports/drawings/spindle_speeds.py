"""Torque against spindle speed for every pulley step, with the limits marked."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from millphase.answer import Sheet
from millphase.physics import belt
from millphase.quantity import Quantity, number_text
from millphase.questions import _speeds_curve as curves
from millphase.questions import spindle_speeds
from millphase.questions._speeds_curve import Drive, Step
from millphase.questions.base import View
from millphase.reports import svg

_LEFT, _RIGHT, _TOP, _BOTTOM, _WIDTH = 80.0, 560.0, 60.0, 450.0, 860.0
_LEGEND, _ENTRY = _RIGHT + 24.0, 38.0
# Width of a letter over its height, on the safe side for any sans-serif face.
_LETTER = 0.6
_SAMPLES = 48
# With more curves than this their numbers would cover one another at rated frequency and are spread along the curves.
_FEW, _SPREAD = 8, 4
_DASHES = ["", "9 4", "2 4", "12 3 2 3", "5 5", "14 5"]


@dataclass(frozen=True)
class _Curve:
    """Spindle speed [r/min] and torque of one step over the usable frequencies."""

    step: Step
    binding: str
    points: list[tuple[float, float]]
    short_time: list[tuple[float, float]]
    rated: tuple[float, float]


@dataclass(frozen=True)
class _Scale:
    """Logarithmic scales, on which constant power is a straight line."""

    x0: float
    x1: float
    y0: float
    y1: float

    def at(self, speed: float, torque: float) -> tuple[float, float]:
        """Position on the paper."""
        across = math.log(speed / self.x0) / math.log(self.x1 / self.x0)
        up = math.log(torque / self.y0) / math.log(self.y1 / self.y0)
        return _LEFT + across * (_RIGHT - _LEFT), _BOTTOM - up * (_BOTTOM - _TOP)


def draw(request: dict[str, Any], book: View) -> str:
    """Draw the chart of one request to spindle-speeds.

    Parameters
    ----------
    request : dict
        The checked request.
    book : View
        Rules, as the question itself uses them.
    """
    sheet = Sheet("spindle-speeds", book)
    drive = curves.prepare(sheet, book, request)
    limit, rim = (
        spindle_speeds.motor_limit(sheet, book, request, drive),
        spindle_speeds.belt_limit_of(sheet, book, request),
    )
    found = []
    for step in curves.steps(sheet, request):
        top, binding = spindle_speeds.top_of(sheet, drive, request, step, limit, rim)
        found.append(_curve(sheet, book, request, drive, step, top, binding))
    scale = _scale(found, request)
    body = _grid(scale, drive) + _spindle_limit(scale, request)
    body += "".join(_line(scale, curve, number) for number, curve in enumerate(found, start=1))
    every = _SPREAD if len(found) > _FEW else 1
    body += "".join(_number(scale, curve, number, every) for number, curve in enumerate(found, start=1)) + _legend(
        found, every
    )
    wanted = request["frequency_range"]
    title = f"Spindle torque and speed from {wanted['lowest']} to {wanted['highest']}"
    height = max(510.0, 130.0 + _ENTRY * len(found))
    body += svg.text(_LEFT, 30.0, title, font_size=17, font_weight="bold")
    return svg.document(_width(found), height, title, _described(found), body)


def _curve(
    sheet: Sheet, book: View, request: dict[str, Any], drive: Drive, step: Step, top: Quantity, binding: str
) -> _Curve:
    low = request["frequency_range"]["lowest"]
    points = []
    short = []
    for index in range(_SAMPLES + 1 if top.si > low.si else 0):
        frequency = Quantity.of(low.si * (top.si / low.si) ** (index / _SAMPLES), "Hz")
        at = curves.point(sheet, book, drive, frequency)
        points.append(_at_spindle(drive, step, at.speed.si, at.torque_share.si))
        if frequency.si <= drive.base_frequency.si:
            short.append(_at_spindle(drive, step, at.speed.si, 1.0))
    rated = curves.point(sheet, book, drive, drive.rated_frequency)
    return _Curve(step, binding, points, short, _at_spindle(drive, step, rated.speed.si, rated.torque_share.si))


def _at_spindle(drive: Drive, step: Step, motor_rev_per_s: float, share: float) -> tuple[float, float]:
    """Spindle speed [r/min] and torque [N·m, or over rated motor torque where the power is not known]."""
    rated = drive.torque.si if drive.torque is not None else 1.0
    return (
        60.0 * belt.spindle_speed(motor_rev_per_s, step.reduction.si),
        belt.spindle_torque(share * rated, step.reduction.si, step.efficiency.si),
    )


def _scale(found: list[_Curve], request: dict[str, Any]) -> _Scale:
    points = [point for curve in found for point in [*curve.points, *curve.short_time, curve.rated]]
    speeds, torques = (list(values) for values in zip(*points, strict=True))
    if any(curve.binding == "spindle-limit" for curve in found):
        speeds.append(request["spindle_limit"].number("r/min"))
    return _Scale(min(speeds) / 1.25, max(speeds) * 1.25, min(torques) / 1.25, max(torques) * 1.25)


def _ticks(low: float, high: float) -> list[float]:
    """Round numbers between two values: 1, 2, 5 in every decade, more of them where the range is short."""
    steps: tuple[float, ...] = (1.0, 2.0, 5.0)
    if high / low <= 2.5:
        steps = (1.0, 1.2, 1.4, 1.6, 1.8, 2.0, 2.5, 3.0, 3.5, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0)
    elif high / low <= 8.0:
        steps = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 7.0)
    decades = range(math.floor(math.log10(low)), math.ceil(math.log10(high)) + 1)
    return [m * 10.0**d for d in decades for m in steps if low <= m * 10.0**d <= high]


def _grid(scale: _Scale, drive: Drive) -> str:
    body = ""
    for speed in _ticks(scale.x0, scale.x1):
        x, _ = scale.at(speed, scale.y0)
        body += svg.line(x, _TOP, x, _BOTTOM, stroke="#bbb") + svg.text(
            x, _BOTTOM + 18.0, number_text(speed), text_anchor="middle"
        )
    for torque in _ticks(scale.y0, scale.y1):
        _, y = scale.at(scale.x0, torque)
        body += svg.line(_LEFT, y, _RIGHT, y, stroke="#bbb") + svg.text(
            _LEFT - 8.0, y + 4.0, number_text(torque), text_anchor="end"
        )
    unit = "in N.m" if drive.torque is not None else "over rated motor torque"
    middle = (_TOP + _BOTTOM) / 2.0
    return (
        body
        + svg.element("rect", x=_LEFT, y=_TOP, width=_RIGHT - _LEFT, height=_BOTTOM - _TOP, fill="none", stroke="black")
        + svg.text((_LEFT + _RIGHT) / 2.0, _BOTTOM + 40.0, "spindle speed in r/min (logarithmic)", text_anchor="middle")
        + svg.text(
            24.0,
            middle,
            f"torque at the spindle {unit}",
            text_anchor="middle",
            transform=f"rotate(-90 24 {svg.num(middle)})",
        )
    )


def _spindle_limit(scale: _Scale, request: dict[str, Any]) -> str:
    if "spindle_limit" not in request:
        return ""
    speed = request["spindle_limit"].number("r/min")
    if not scale.x0 < speed < scale.x1:
        return ""
    x, _ = scale.at(speed, scale.y0)
    return svg.line(x, _TOP, x, _BOTTOM, stroke="black", stroke_width=3) + svg.text(
        x - 4.0, _TOP - 6.0, f"spindle limit {number_text(speed)} r/min", text_anchor="middle"
    )


def _path(scale: _Scale, points: list[tuple[float, float]]) -> str:
    placed = [scale.at(*point) for point in points]
    return "M " + " L ".join(f"{svg.num(x)} {svg.num(y)}" for x, y in placed)


def _line(scale: _Scale, curve: _Curve, number: int) -> str:
    """The continuous torque of a step, its short-time torque dotted, and a bar where its limit ends it."""
    if not curve.points:
        return ""
    dash = _DASHES[(number - 1) % len(_DASHES)]
    body = svg.element(
        "path",
        d=_path(scale, curve.points),
        fill="none",
        stroke="black",
        stroke_width=2,
        stroke_dasharray=dash or "none",
        data_step=str(number),
    )
    if curve.short_time and curve.short_time[0][1] > curve.points[0][1] * 1.001:
        body += svg.element(
            "path",
            d=_path(scale, curve.short_time),
            fill="none",
            stroke="black",
            stroke_width=0.8,
            stroke_dasharray="1 3",
        )
    x, y = scale.at(*curve.points[-1])
    return body + svg.line(x, y - 8.0, x, y + 8.0, stroke="black", stroke_width=3)


def _number(scale: _Scale, curve: _Curve, number: int, every: int) -> str:
    """A dot at rated frequency and the number of the step, there or moved along the curve towards low speed."""
    rated = scale.at(*curve.rated)
    body = svg.element("circle", cx=rated[0], cy=rated[1], r=3, fill="black") if curve.points else ""
    below = [point for point in curve.points if point[0] <= curve.rated[0]]
    back = (number - 1) % every / _SPREAD
    x, y = scale.at(*below[round((1.0 - back) * (len(below) - 1))]) if back and below else rated
    # A number in a broken ring stands where a step would be that cannot be used.
    ring = {} if curve.points else {"stroke_dasharray": "2 2"}
    return (
        body
        + svg.element("circle", cx=x, cy=y, r=9, fill="white", stroke="black", stroke_width=1.5, **ring)
        + svg.text(x, y + 4.5, str(number), text_anchor="middle", font_size=12)
    )


def _name(curve: _Curve) -> str:
    return f"{curve.step.label}{', back gear' if curve.step.back_gear else ''}"


def _entry(curve: _Curve) -> str:
    """What the legend says below the name of a step."""
    ends = f"{'ends at' if curve.points else 'not usable:'} {spindle_speeds.SAID[curve.binding]}"
    return f"back gear, {ends}" if curve.step.back_gear else ends


def _width(found: list[_Curve]) -> float:
    """Width of the paper: as wide as the longest line of the legend needs."""
    longest = max(max(13.0 * (len(curve.step.label) + 4), 11.0 * len(_entry(curve))) for curve in found)
    return max(_WIDTH, math.ceil(_LEGEND + 42.0 + _LETTER * longest + 10.0))


def _legend(found: list[_Curve], every: int) -> str:
    x, y = _LEGEND, _TOP + 8.0
    body = ""
    for number, curve in enumerate(found, start=1):
        dash = _DASHES[(number - 1) % len(_DASHES)] or "none"
        body += svg.line(x, y, x + 34.0, y, stroke="black", stroke_width=2, stroke_dasharray=dash)
        body += svg.text(x + 42.0, y + 4.0, f"{number}  {curve.step.label}")
        body += svg.text(x + 42.0, y + 19.0, _entry(curve), font_size=11)
        y += _ENTRY
    rated = "number" if every == 1 else "dot"
    notes = [f"{rated}: rated frequency", "bar: where its limit ends it", "thin dots: rated torque, for minutes"]
    return body + "".join(svg.text(x, y + 6.0 + 15.0 * line, note, font_size=11) for line, note in enumerate(notes))


def _described(found: list[_Curve]) -> str:
    said = []
    for number, curve in enumerate(found, start=1):
        if not curve.points:
            said.append(f"Step {number}, {_name(curve)}, cannot be used: {spindle_speeds.SAID[curve.binding]} binds.")
            continue
        (slow, low), (fast, high) = curve.points[0], curve.points[-1]
        said.append(
            f"Step {number}, {_name(curve)}: from {number_text(slow, 3)} r/min with {number_text(low, 3)} to {number_text(fast, 3)} r/min "
            f"with {number_text(high, 3)}; rated {number_text(curve.rated[0], 3)} r/min with {number_text(curve.rated[1], 3)}; "
            f"ends at {spindle_speeds.SAID[curve.binding]}."
        )
    return "Continuous torque at the spindle against speed. " + " ".join(said)
