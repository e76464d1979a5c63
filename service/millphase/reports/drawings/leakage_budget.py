"""Leakage by source as one bar, against the budget, the least and the certain trip current."""

from __future__ import annotations

from dataclasses import dataclass
from textwrap import wrap
from typing import Any

from millphase.quantity import Quantity, number_text
from millphase.questions import leakage_budget
from millphase.questions._residual_current import INTERRUPTER_NAMES, budget_limit, said, thresholds
from millphase.questions.base import View
from millphase.reports import svg

_LEFT, _RIGHT, _TOP, _WIDTH = 60.0, 800.0, 164.0, 860.0
# keeps words readable across a line
_HALO: dict[str, Any] = {"stroke": "white", "stroke_width": 4.0, "paint_order": "stroke"}
_BAR, _GAP, _LINE, _MOST = 46.0, 34.0, 22.0, 8
# Hatchings that stay apart in print, one for each piece a bar can have: direction and spacing of strokes, dots, waves.
_HATCHINGS = [
    "M0 8 L8 0", "M0 0 L8 8", "M0 4 L8 4", "M4 0 L4 8", "M0 8 L8 0 M0 0 L8 8", "M0 4 L8 4 M4 0 L4 8",
    "M0 2 L8 2 M0 6 L8 6", "M2 0 L2 8 M6 0 L6 8", "M3 3 h2 v2 h-2 z", "M0 2 L4 6 L8 2",
]  # fmt: skip


@dataclass(frozen=True)
class _Segment:
    """One piece of a bar."""

    label: str
    basis: str
    current: Quantity


@dataclass(frozen=True)
class _Mark:
    """A current drawn as a line across the bars."""

    label: str
    current: Quantity
    dash: str


def draw(request: dict[str, Any], book: View) -> str:
    """Draw the bar of one request to leakage-budget.

    Parameters
    ----------
    request : dict
        The checked request.
    book : View
        Rules, as the question itself uses them.
    """
    answer = leakage_budget.answer(request, book)
    segments = _segments(answer.values["items"])  # type: ignore[arg-type]
    fault = answer.quantity("fault_current_bounding")
    bars = [("standing, motors at rest", segments)]
    if fault is not None:
        added = _Segment("motor insulation, at most", "by the resistance", fault)
        bars.append(("motors running, at most", [*segments, added]))
    marks = _marks(request, book, answer.quantity("budget"))
    full = 1.08 * max([mark.current.si for mark in marks] + [_total(pieces) for _, pieces in bars])
    kind = INTERRUPTER_NAMES.get(request["rcd"].get("type", ""), f"{request['rcd']['rated_residual_current']} RCD")
    title = f"Leakage behind the {kind}"
    legend = bars[-1][1]
    bottom = _TOP + len(bars) * (_BAR + _GAP)
    height = bottom + 70 + _LINE * len(legend)
    body = _patterns(len(legend)) + svg.text(_LEFT, 30, title, font_size=17, font_weight="bold")
    for number, words in enumerate(wrap(answer.summary, 125)):
        body += svg.text(_LEFT, 52 + 16 * number, words, font_size=12)
    places = [_TOP + number * (_BAR + _GAP) for number in range(len(bars))]
    for (_, pieces), y in zip(bars, places, strict=True):
        body += _bar(pieces, y, full)
    body += _scale(marks, full, bottom)
    for (name, pieces), y in zip(bars, places, strict=True):
        total = Quantity(_total(pieces), "mA", "current")
        body += svg.text(_LEFT, y - 6, f"{name}: {said(total)}", font_size=13, **_HALO)
    body += _legend(legend, bottom + 52)
    return svg.document(_WIDTH, height, title, _described(bars, marks), body)


def _segments(items: list[dict[str, Any]]) -> list[_Segment]:
    """What counts against the budget, the small ones beyond the first eight put together."""
    counted = [_Segment(item["what"], item["basis"], item["current"]) for item in items if item["counts"]]
    counted.sort(key=lambda segment: -segment.current.si)
    rest = counted[_MOST:]
    if not rest:
        return counted
    total = Quantity(sum(segment.current.si for segment in rest), "mA", "current")
    return [*counted[:_MOST], _Segment(f"{len(rest)} smaller ones", "together", total)]


def _marks(request: dict[str, Any], book: View, budget: Quantity | None) -> list[_Mark]:
    sheet = leakage_budget.QUESTION.sheet(book)
    limits = thresholds(request["rcd"], sheet, book)
    share = budget_limit(request, book).value.to("%")
    found = [] if budget is None else [_Mark(f"budget, {said(share)}", budget, "3 3")]
    return [*found, _Mark("must hold to here", limits.no_trip, "9 4"), _Mark("must trip", limits.must_trip, "")]


def _total(pieces: list[_Segment]) -> float:
    return sum(piece.current.si for piece in pieces)


def _x(current_a: float, full_a: float) -> float:
    return _LEFT + current_a / full_a * (_RIGHT - _LEFT)


def _patterns(count: int) -> str:
    found = ""
    for number in range(count):
        stroke = svg.element(
            "path", d=_HATCHINGS[number % len(_HATCHINGS)], stroke="black", stroke_width=1, fill="none"
        )
        paper = svg.element("rect", width=8, height=8, fill="white")
        found += svg.element(
            "pattern", paper + stroke, id=f"hatch{number}", width=8, height=8, patternUnits="userSpaceOnUse"
        )
    return svg.element("defs", found) if found else ""


def _bar(pieces: list[_Segment], y: float, full: float) -> str:
    body, start = "", 0.0
    for number, piece in enumerate(pieces):
        left, right = _x(start, full), _x(start + piece.current.si, full)
        body += svg.element(
            "rect", x=left, y=y, width=right - left, height=_BAR, fill=f"url(#hatch{number})", stroke="black"
        )
        if right - left > 18:
            middle = (left + right) / 2
            body += svg.element("circle", cx=middle, cy=y + _BAR / 2, r=9.0, fill="white", stroke="black")
            body += svg.text(middle, y + _BAR / 2 + 4, str(number + 1), text_anchor="middle", font_size=11)
        start += piece.current.si
    return body


def _scale(marks: list[_Mark], full: float, bottom: float) -> str:
    """The three limits as lines with their labels, and the axis in milliamperes below."""
    body = svg.line(_LEFT, bottom, _RIGHT, bottom, stroke="black")
    # A wrong reading can make the bar as long as it likes; the axis has at most fourteen divisions whatever it is.
    step = next(
        digit * 10.0**power
        for power in range(-1, 30)
        for digit in (1, 2, 5)
        if full * 1e3 / (digit * 10.0**power) <= 14
    )
    for tick in range(int(full * 1e3 / step) + 1):
        x = _x(tick * step / 1e3, full)
        body += svg.line(x, bottom, x, bottom + 5, stroke="black")
        body += svg.text(x, bottom + 19, number_text(tick * step), text_anchor="middle", font_size=11)
    body += svg.text(_RIGHT + 24, bottom + 19, "mA", font_size=11)
    for number, mark in enumerate(marks):
        x = _x(mark.current.si, full)
        top = 100.0 + 14 * number
        body += svg.line(x, top + 4, x, bottom, stroke="black", stroke_width=1.8, stroke_dasharray=mark.dash or "none")
        side = "end" if x > (_LEFT + _RIGHT) / 2 else "start"
        body += svg.text(
            x + (-5 if side == "end" else 5),
            top + 6,
            f"{mark.label}: {said(mark.current)}",
            text_anchor=side,
            font_size=11,
        )
    return body


def _legend(pieces: list[_Segment], y: float) -> str:
    body = ""
    for number, piece in enumerate(pieces):
        line = y + number * _LINE
        body += svg.element(
            "rect", x=_LEFT, y=line - 12, width=26, height=14, fill=f"url(#hatch{number})", stroke="black"
        )
        body += svg.text(
            _LEFT + 36, line, f"{number + 1}: {piece.label}: {said(piece.current)}, {piece.basis}", font_size=12
        )
    return body


def _described(bars: list[tuple[str, list[_Segment]]], marks: list[_Mark]) -> str:
    """The drawing in words."""
    parts = [
        f"{name}: " + (", ".join(f"{piece.label} {said(piece.current)}" for piece in pieces) or "nothing listed")
        for name, pieces in bars
    ]
    return "; ".join(parts) + ". Limits: " + ", ".join(f"{mark.label} {said(mark.current)}" for mark in marks) + "."
