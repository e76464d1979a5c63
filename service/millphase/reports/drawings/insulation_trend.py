"""A record of insulation readings at 40 °C over time, with the fitted line, its interval and the least value."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from millphase.answer import Sheet
from millphase.quantity import Quantity
from millphase.questions import _insulation as shared
from millphase.questions import insulation_trend as question
from millphase.questions.base import View
from millphase.questions.insulation_trend import Fit, Record
from millphase.reports import svg

_LEFT, _RIGHT, _TOP, _BOTTOM, _WIDTH, _HEIGHT = 90.0, 610.0, 60.0, 400.0, 860.0, 470.0
_WORDS = {
    "worsening": "getting worse", "improving": "getting better", "steady": "no change shown",
    "too-few-readings": "too few readings for a direction",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Scale:
    """Days across, logarithm of the resistance upward."""

    days: float
    low: float
    high: float

    def x(self, day: float) -> float:
        """Place of a day on the paper."""
        return _LEFT + day / self.days * (_RIGHT - _LEFT)

    def y(self, log: float) -> float:
        """Place of a logarithm of a resistance on the paper."""
        return _BOTTOM - (log - self.low) / (self.high - self.low) * (_BOTTOM - _TOP)


def draw(request: dict[str, Any], book: View) -> str:
    """Draw the record of one request to insulation-trend.

    Parameters
    ----------
    request : dict
        The checked request.
    book : View
        Rules, as the question itself uses them.
    """
    sheet = Sheet("insulation-trend", book)
    _, least = shared.least_at_40c(sheet, request)
    exact = question.fitted(sheet, sorted(request["readings"], key=lambda reading: reading["at"]))
    if not exact:
        return _empty()
    record = question.collect(sheet, exact)
    fits = question.fit_laws(sheet, request, record)
    direction = question.judge_direction(sheet, record, fits)
    logs = fits[0].logs if fits else [math.log(ohm) for ohm in question.halved(sheet, record)]
    scale = _scale(record, logs, math.log(least.si), direction)
    body = _decades(scale) + _dates(scale, record) + _least(scale, least)
    if fits:
        body += _lines(scale, record, fits[0], direction)
    body += "".join(
        svg.element("circle", cx=scale.x(day), cy=scale.y(log), r=4, fill="black")
        for day, log in zip(record.days, logs, strict=True)
    )
    reference = "at 40 °C" if record.temperature else "as read"
    title = f"Insulation resistance {reference}: {_WORDS[direction]}"
    body += svg.text(_LEFT, 30.0, title, font_size=17, font_weight="bold") + _legend(bool(fits))
    return svg.document(_WIDTH, _HEIGHT, title, _described(record, logs, least, reference, direction), body)


def _empty() -> str:
    title = "Insulation resistance: every reading lies beyond the instrument's range or is void"
    return svg.document(_WIDTH, 80.0, title, "There is nothing to draw.", svg.text(20.0, 40.0, title, font_size=17))


def _scale(record: Record, logs: list[float], least: float, direction: str) -> _Scale:
    """Whole decades around the readings and the least value; room for a forecast where there is one."""
    ten = math.log(10.0)
    low, high = math.floor(min(*logs, least) / ten) * ten, math.ceil(max(*logs, least) / ten + 1e-9) * ten
    ahead = 2.0 if direction in ("improving", "worsening") else 1.05
    return _Scale(max(record.length, 1e-3) * ahead, low, high)


def _decades(scale: _Scale) -> str:
    ten, body = math.log(10.0), ""
    for exponent in range(round(scale.low / ten), round(scale.high / ten) + 1):
        y = scale.y(exponent * ten)
        body += svg.line(_LEFT, y, _RIGHT, y, stroke="black", stroke_width=0.5)
        body += svg.text(_LEFT - 8.0, y + 4.0, str(_resistance(exponent * ten)), text_anchor="end")
    return body


def _resistance(log: float) -> Quantity:
    ohm = math.exp(log)
    unit = next(
        (unit for unit, factor in (("Gohm", 1e9), ("Mohm", 1e6), ("kohm", 1e3)) if ohm >= factor * 0.999999), "ohm"
    )
    return Quantity.si_value(ohm, unit)


def _dates(scale: _Scale, record: Record) -> str:
    body = svg.line(_LEFT, _TOP, _LEFT, _BOTTOM, stroke="black") + svg.line(
        _LEFT, _BOTTOM, _RIGHT, _BOTTOM, stroke="black"
    )
    style = "%Y-%m-%d" if scale.days > 5.0 else "%m-%d %H:%M"
    for part in range(5):
        day = scale.days * part / 4.0
        x = scale.x(day)
        body += svg.line(x, _BOTTOM, x, _BOTTOM + 6.0, stroke="black")
        body += svg.text(
            x, _BOTTOM + 22.0, (record.start + timedelta(days=day)).strftime(style), text_anchor="middle", font_size=12
        )
    return body


def _least(scale: _Scale, least: Quantity) -> str:
    y = scale.y(math.log(least.si))
    line = svg.line(_LEFT, y, _RIGHT, y, stroke="black", stroke_width=2.5, stroke_dasharray="12 5")
    return line + svg.text(_RIGHT - 4.0, y - 7.0, f"least value {least}", text_anchor="end")


def _lines(scale: _Scale, record: Record, fit: Fit, direction: str) -> str:
    """The fitted line over the record, dotted one length ahead, and the ends of its interval."""
    line, middle = fit.line, record.length / 2.0
    centre = line.intercept + line.slope * middle
    body = _stroke(scale, 0.0, record.length, middle, centre, line.slope, "")
    for slope in (line.low, line.high):
        body += _stroke(scale, 0.0, record.length, middle, centre, slope, "3 4")
    if direction in ("improving", "worsening"):
        body += _stroke(scale, record.length, scale.days, middle, centre, line.slope, "1 5")
    return body


def _stroke(
    scale: _Scale, start: float, end: float, middle: float, centre: float, slope: float, dashes: str
) -> str:  # fmt: skip
    """A straight line through the middle of the record, kept inside the frame."""
    steps = 48
    inside = []
    for part in range(steps + 1):
        day = start + (end - start) * part / steps
        log = centre + slope * (day - middle)
        if scale.low <= log <= scale.high:
            inside.append(f"{svg.num(scale.x(day))},{svg.num(scale.y(log))}")
    return svg.element(
        "polyline",
        points=" ".join(inside),
        fill="none",
        stroke="black",
        stroke_width=1.5,
        stroke_dasharray=dashes or "none",
    )


def _legend(fitted: bool) -> str:
    x = _RIGHT + 10.0
    body = svg.element("circle", cx=x + 14.0, cy=_TOP + 6.0, r=4, fill="black") + svg.text(
        x + 36.0, _TOP + 10.0, "reading"
    )
    if fitted:
        for number, (dashes, words) in enumerate(
            (("none", "median of all pairs"), ("3 4", "its 95 % interval"), ("1 5", "one record ahead")), start=1
        ):
            y = _TOP + 6.0 + 22.0 * number
            body += svg.line(x, y, x + 28.0, y, stroke="black", stroke_width=1.5, stroke_dasharray=dashes)
            body += svg.text(x + 36.0, y + 4.0, words)
    return body


def _described(record: Record, logs: list[float], least: Quantity, reference: str, direction: str) -> str:
    first, last = (shared.brief(_resistance(log)) for log in (logs[0], logs[-1]))
    return (
        f"{len(logs)} readings from {record.start:%Y-%m-%d} over {shared.brief(Quantity.of(record.length, 'd'))}, "
        f"from {first} to {last} {reference}; least value {least}; {_WORDS[direction]}."
    )
