"""A sketch of the windings as they are connected: star, delta, two stars, or part windings in series or parallel."""

from __future__ import annotations

import math

from millphase.questions._connection_links import Links
from millphase.questions.base import View
from millphase.reports import svg

Point = tuple[float, float]
_COIL, _THICK = 34.0, 14.0


def parts(book: View, marking: str, group: str) -> list[tuple[str, str]]:
    """Start and end of every part winding; nothing for three leads, whose inside is not brought out."""
    row = book.table("connection/windings").row(marking=marking, leads=group)
    if row is None:
        return []
    return [(start, end) for start, _, end in (part.partition("-") for part in row.text("parts").split())]


def draw(connection: str, found: Links, windings: list[tuple[str, str]], x: float, y: float) -> str:
    """The sketch centred at x, y."""
    nodes = _nodes(found)
    if not windings:
        inside = [(line, "") for line in found.lines]
        return (
            _star(inside, nodes, x, y, 105.0)
            if connection == "star"
            else _delta([[part] for part in inside], found, nodes, x, y)
        )
    first, second = windings[:3], windings[3:]
    if connection == "parallel-star":
        return _star(first, nodes, x, y - 76.0, 66.0) + _star(second, nodes, x, y + 84.0, 66.0)
    if connection.endswith("star"):
        return _star(first, nodes, x, y, 105.0 if not second else 135.0, second)
    return _delta(
        [list(pair) for pair in zip(first, second, strict=True)] if second else [[part] for part in first],
        found,
        nodes,
        x,
        y,
    )


def _nodes(found: Links) -> dict[str, str]:
    """Label of the node a terminal belongs to: all terminals joined there."""
    return {terminal: " ".join(group.split("-")) for group in found.joined for terminal in group.split("-")}


def _label(terminal: str, nodes: dict[str, str]) -> str:
    return nodes.get(terminal, terminal)


def _along(start: Point, end: Point, share: float) -> Point:
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def _wire(start: Point, end: Point) -> str:
    return svg.line(*start, *end, stroke="black", stroke_width=1.5)


def _coil(middle: Point, towards: Point) -> str:
    """A part winding as a plain box on its wire."""
    angle = math.atan2(towards[1] - middle[1], towards[0] - middle[0])
    x, y = middle
    turn = f"rotate({svg.num(math.degrees(angle))} {svg.num(x)} {svg.num(y)})"
    return svg.element(
        "rect", x=x - _COIL / 2.0, y=y - _THICK / 2.0, width=_COIL, height=_THICK, fill="white", stroke="black", stroke_width=1.5,
        transform=turn,
    )  # fmt: skip


def _dot(at: Point) -> str:
    return svg.element("circle", cx=at[0], cy=at[1], r=3.5, fill="black")


def _words(at: Point, outward: float, words: str, gap: float = 12.0) -> str:
    """Text beside a point, on the side the angle `outward` points to."""
    dx, dy = math.cos(outward), math.sin(outward)
    anchor = "middle" if abs(dx) < 0.4 else "start" if dx > 0 else "end"
    return svg.text(at[0] + gap * dx, at[1] + gap * dy + 4.0 + 4.0 * dy, words, text_anchor=anchor)


def _star(
    first: list[tuple[str, str]], nodes: dict[str, str], x: float, y: float, reach: float, second: list[tuple[str, str]] | None = None
) -> str:  # fmt: skip
    """Three limbs meeting in a star point; `second` are the inner halves of a series star."""
    centre = (x, y)
    body = ""
    for index, (start, end) in enumerate(first):
        angle = math.radians(-90.0 + 120.0 * index)
        tip = (x + reach * math.cos(angle), y + reach * math.sin(angle))
        body += _wire(centre, tip)
        shares = (0.6,) if not second else (0.36, 0.78)
        body += "".join(_coil(_along(centre, tip, share), tip) for share in shares) + _dot(tip)
        body += _words(tip, angle, _label(start, nodes) or start)
        if second:
            middle = _along(centre, tip, 0.57)
            body += _dot(middle) + _words(middle, angle + math.pi / 2.0, _label(end, nodes), 14.0)
    inner = [end for _, end in second or first]
    return body + _dot(centre) + _words(centre, math.radians(-30.0), _label(inner[0], nodes), 16.0)


def _delta(limbs: list[list[tuple[str, str]]], found: Links, nodes: dict[str, str], x: float, y: float) -> str:
    """Three sides between the line conductors, each of one winding or of two in series or parallel."""
    reach = 108.0
    angles = [math.radians(-90.0 + 120.0 * index) for index in range(3)]
    corners = [(x + reach * math.cos(angle), y + 20.0 + reach * math.sin(angle)) for angle in angles]
    body = ""
    for index, limb in enumerate(limbs):
        start, end = corners[index], corners[(index + 1) % 3]
        body += _side(limb, nodes, start, end)
    for index, line in enumerate(found.lines):
        body += _dot(corners[index]) + _words(corners[index], angles[index], _label(line, nodes))
    return body


def _side(limb: list[tuple[str, str]], nodes: dict[str, str], start: Point, end: Point) -> str:
    """One side of a delta: a winding, or two in series or in parallel."""
    middle = _along(start, end, 0.5)
    if len(limb) == 1:
        return _wire(start, end) + _coil(middle, end)
    outer, inner = limb
    if nodes.get(outer[1]) != nodes.get(inner[0], ""):
        return _two_paths(start, end)
    outward = math.atan2(end[1] - start[1], end[0] - start[0]) - math.pi / 2.0
    coils = _coil(_along(start, end, 0.27), end) + _coil(_along(start, end, 0.73), end)
    return _wire(start, end) + coils + _dot(middle) + _words(middle, outward, nodes[outer[1]])


def _two_paths(start: Point, end: Point) -> str:
    """Two windings side by side between the same corners; nothing runs between them."""
    fork, join = _along(start, end, 0.27), _along(start, end, 0.73)
    angle = math.atan2(end[1] - start[1], end[0] - start[0])
    body = _wire(start, fork) + _wire(join, end) + _dot(fork) + _dot(join)
    for offset in (-12.0, 12.0):
        dx, dy = -offset * math.sin(angle), offset * math.cos(angle)
        ends = [(at[0] + dx, at[1] + dy) for at in (fork, join)]
        body += (
            _wire(fork, ends[0]) + _wire(*ends) + _wire(ends[1], join) + _coil(_along(ends[0], ends[1], 0.5), ends[1])
        )
    return body
