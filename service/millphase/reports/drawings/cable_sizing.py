"""Capacity of every size against the capacity needed, with voltage drop, loop impedance and verdict below each."""

from __future__ import annotations

from typing import Any

from millphase.answer import Answer
from millphase.quantity import Quantity, number_text
from millphase.questions.base import View
from millphase.questions.cable_sizing import QUESTION
from millphase.reports import svg

_LEFT, _TOP, _BOTTOM, _BAR, _GAP, _HIGHEST = 170.0, 96.0, 360.0, 44.0, 18.0, 2.4
_ROW = 24.0
_CODES = {
    "least size": "S", "heat": "H", "terminals": "T", "voltage drop": "V", "loop impedance": "L", "adiabatic": "A",
    "protective conductor": "P", "overcurrent protection": "O",
}  # fmt: skip


def draw(request: dict[str, Any], book: View) -> str:
    """Draw the chart of one request to cable-sizing.

    Parameters
    ----------
    request : dict
        The checked request.
    book : View
        Rules, as the question itself uses them.
    """
    answer = QUESTION.answer(request, book)
    candidates = answer.values.get("candidates")
    if not isinstance(candidates, list):
        return _without_sizes(answer)
    needed = _needed(answer)
    width = max(760.0, _LEFT + len(candidates) * (_BAR + _GAP) + 40.0)
    title = "Cable sizing: capacity needed against each size"
    body = _patterns() + svg.text(24.0, 32.0, title, font_size=17, font_weight="bold")
    body += svg.text(24.0, 54.0, _heading(answer, candidates, needed))
    body += _axis(needed, width)
    body += "".join(_bar(answer, row, index, needed) for index, row in enumerate(candidates))
    body += _need_line(needed, width)
    body += "".join(_figures(answer, row, index, needed) for index, row in enumerate(candidates))
    body += _row_names(answer) + _legend(answer, candidates)
    return svg.document(width, _BOTTOM + 6 * _ROW + 70.0, title, answer.summary, body)


def _without_sizes(answer: Answer) -> str:
    title = "Cable sizing: no size can be drawn"
    words, lines = answer.summary.split(), [""]
    for word in words:
        if len(lines[-1]) + len(word) > 92:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    body = svg.text(24.0, 32.0, title, font_size=17, font_weight="bold")
    body += "".join(svg.text(24.0, 64.0 + 20.0 * index, line) for index, line in enumerate(lines))
    return svg.document(760.0, 90.0 + 20.0 * len(lines), title, answer.summary, body)


def _needed(answer: Answer) -> float:
    """Capacity that the cable must keep where it lies [A]: what the last step of these names worked out."""
    names = ("capacity the cable must keep", "conductor ampacity needed", "ampacity needed after the corrections")
    return [step.gives.si for step in answer.working if step.what in names][-1]


def _heading(answer: Answer, candidates: list[Any], needed: float) -> str:
    chosen = answer.quantity("cross_section")
    passing = any(row["passes"] for row in candidates)
    verdict = f"chosen: {_size(answer, chosen)}" if chosen else "none chosen" if passing else "no size passes"
    return f"needed where it lies: {number_text(needed, 4)} A; {verdict}; outcome: {answer.outcome.word}"


def _size(answer: Answer, area: Quantity) -> str:
    gauge = answer.values.get("gauge")
    return f"{gauge}".replace("-awg", " AWG") if gauge is not None else f"{number_text(area.number('mm2'), 4)} mm²"


def _patterns() -> str:
    hatch = svg.element("path", d="M0,8 L8,0", stroke="black", stroke_width=1.0)
    return svg.element(
        "defs", svg.element("pattern", hatch, id="hatch", width=8.0, height=8.0, patternUnits="userSpaceOnUse")
    )


def _height(capacity: float, needed: float) -> float:
    """Height of a bar; one that is far above the need ends at the top of the chart."""
    return (_BOTTOM - _TOP) * min(capacity / needed, _HIGHEST) / _HIGHEST


def _axis(needed: float, width: float) -> str:
    body = svg.line(_LEFT - 10.0, _BOTTOM, width - 24.0, _BOTTOM, stroke="black")
    body += svg.text(_LEFT - 20.0, _BOTTOM, "0 A", text_anchor="end")
    for share in (0.5, 1.5, 2.0):
        y = _BOTTOM - _height(share * needed, needed)
        body += svg.line(_LEFT - 10.0, y, width - 24.0, y, stroke="black", stroke_width=0.4, stroke_dasharray="2 4")
        body += svg.text(_LEFT - 20.0, y + 4.0, f"{number_text(share * needed, 3)} A", text_anchor="end")
    return body + svg.text(24.0, _TOP - 10.0, "corrected capacity")


def _need_line(needed: float, width: float) -> str:
    y = _BOTTOM - _height(needed, needed)
    words = svg.text(_LEFT - 20.0, y + 4.0, f"needed {number_text(needed, 4)} A", text_anchor="end", font_weight="bold")
    around = svg.line(_LEFT - 10.0, y, width - 24.0, y, stroke="white", stroke_width=6.0)
    return around + svg.line(_LEFT - 10.0, y, width - 24.0, y, stroke="black", stroke_width=2.5) + words


def _is_chosen(answer: Answer, row: dict[str, Any]) -> bool:
    chosen = answer.quantity("cross_section")
    return chosen is not None and row["passes"] and chosen.si == row["cross_section"].si


def _bar(answer: Answer, row: dict[str, Any], index: int, needed: float) -> str:
    x = _LEFT + index * (_BAR + _GAP)
    capacity: Quantity = row["corrected_capacity"]
    tall = _height(capacity.si, needed)
    fill = "black" if _is_chosen(answer, row) else "url(#hatch)" if row["passes"] else "white"
    body = svg.element(
        "rect", x=x, y=_BOTTOM - tall, width=_BAR, height=tall, fill=fill, stroke="black", stroke_width=1.2
    )
    if capacity.si > _HIGHEST * needed:
        tear = f"M{svg.num(x - 3)},{svg.num(_TOP + 9)} l12,-6 l12,6 l12,-6 l14,6"
        body += svg.element("path", d=tear, stroke="white", stroke_width=5.0, fill="none")
        body += svg.element("path", d=tear, stroke="black", stroke_width=1.0, fill="none")
    return body


def _figures(answer: Answer, row: dict[str, Any], index: int, needed: float) -> str:
    """The capacity above the bar and the column of figures below it; drawn last, so that no line crosses them."""
    middle = _LEFT + index * (_BAR + _GAP) + _BAR / 2
    capacity: Quantity = row["corrected_capacity"]
    tall = _height(capacity.si, needed)
    body = svg.text(
        middle, _BOTTOM - tall - 5.0, number_text(capacity.value, 3), text_anchor="middle", font_size=12, stroke="white",
        stroke_width=4.0, paint_order="stroke",
    )  # fmt: skip
    cells = [_column_head(row), *_column(row)]
    for line, words in enumerate(cells, start=1):
        weight = "bold" if line == 1 or _is_chosen(answer, row) else "normal"
        body += svg.text(middle, _BOTTOM + line * _ROW, words, text_anchor="middle", font_weight=weight, font_size=12)
    return body


def _column_head(row: dict[str, Any]) -> str:
    if "gauge" in row:
        return str(row["gauge"]).removesuffix("-awg")
    return number_text(row["cross_section"].number("mm2"), 4)


def _column(row: dict[str, Any]) -> list[str]:
    share, loop = row.get("voltage_drop_share"), row.get("loop_impedance")
    fails = "".join(_CODES[check] for check in row["fails"])
    return [
        number_text(share.number("%"), 3) if share is not None else "–",
        number_text(loop.number("ohm"), 3) if loop is not None else "–",
        fails or "passes",
    ]


def _row_names(answer: Answer) -> str:
    american = "required_ampacity" in answer.values
    limit = answer.quantity("loop_impedance_limit")
    drop = next(
        (f.limit for f in answer.findings if f.cited.rule.endswith("/voltage-drop") and f.limit is not None), None
    )
    names = [
        "size, AWG" if american else "size, mm²",
        f"drop, % (limit {number_text(drop.number('%'), 3)})" if drop is not None else "drop, %",
        f"loop, ohm (limit {number_text(limit.si, 3)})" if limit is not None else "loop, ohm (no limit)" if american else "loop, ohm",
        "fails on",
    ]  # fmt: skip
    return "".join(
        svg.text(14.0, _BOTTOM + line * _ROW, name, font_size=12) for line, name in enumerate(names, start=1)
    )


def _legend(answer: Answer, candidates: list[Any]) -> str:
    y = _BOTTOM + 5 * _ROW + 16.0
    body = ""
    for index, (fill, words) in enumerate((("black", "chosen"), ("url(#hatch)", "passes too"), ("white", "fails"))):
        x = 24.0 + index * 130.0
        body += svg.element("rect", x=x, y=y - 12.0, width=22.0, height=14.0, fill=fill, stroke="black")
        body += svg.text(x + 30.0, y, words)
    used = [check for check in _CODES if any(check in row["fails"] for row in candidates)]
    told = [f"{_CODES[check]} = {check}" for check in used]
    residual = answer.quantity("loop_impedance_limit_with_rcd")
    if residual is not None:
        told.append(f"where the RCD disconnects the loop may reach {number_text(residual.si, 4)} ohm")
    return body + svg.text(24.0, y + 28.0, "; ".join(told))
