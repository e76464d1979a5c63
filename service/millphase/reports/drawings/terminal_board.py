"""The terminal board of a motor with its links and line conductors, beside a sketch of the windings."""

from __future__ import annotations

from collections.abc import Mapping

from millphase.questions import _connection_links as links
from millphase.questions._connection_links import Links
from millphase.questions._connection_plate import CONNECTIONS
from millphase.questions.base import Part, View, contradiction, fields
from millphase.reports import svg
from millphase.reports.drawings import _winding_sketch as sketch

_WIDTH, _HEIGHT = 780.0, 430.0
_COLUMN, _FIRST = 100.0, 80.0
_ROWS = (170.0, 250.0)
_STUD, _BAR, _STACK = 11.0, 30.0, 48.0
_SKETCH = (580.0, 215.0)


class Parameters(Part):
    """Which board is drawn."""

    marking = fields.Choice(links.MARKINGS, default="iec", help="How the leads are marked.")
    connection = fields.Choice(CONNECTIONS, required=True, help="Connection to draw.")
    leads = fields.Choice(
        ["3", "6", "9", "12"], help="Leads of the winding; six for star and delta, nine for the others, if not given."
    )


PARAMETERS = Parameters


def draw(parameters: Mapping[str, str], book: View) -> str:
    """Draw the board of one marking and connection.

    Parameters
    ----------
    parameters : mapping
        ``marking``, ``connection`` and optionally ``leads``, as :data:`PARAMETERS` loads them.
    book : View
        Rules with the link tables.

    Raises
    ------
    Contradiction
        When the marking has no such connection.
    """
    marking, connection = parameters.get("marking", "iec"), parameters["connection"]
    group = lead_group(parameters.get("leads"), connection)
    found = links.find(book, marking, group, connection)
    if found is None:
        raise contradiction(
            "/connection",
            f"{connection} is not tabulated for {group} leads in marking {marking}; nine and twelve leads are marked nema",
        )
    return board(group, connection, found, sketch.parts(book, marking, group))


def lead_group(leads: str | None, connection: str) -> str:
    """Row group of the link tables for a number of leads and a connection."""
    if leads is None:
        leads = "6" if connection in ("star", "delta") else "9"
    if leads == "9":
        return "nine-delta" if connection.endswith("delta") else "nine-wye"
    return {"3": "three", "6": "six", "12": "twelve"}[leads]


def board(group: str, connection: str, found: Links, parts: list[tuple[str, str]]) -> str:
    """The drawing itself."""
    places = _places(group, found, parts)
    joined = [group_.split("-") for group_ in found.joined]
    body = _frame(group) + _earth()
    body += "".join(_link(terminals, places) for terminals in joined)
    body += "".join(_line(number, terminal, places) for number, terminal in enumerate(found.lines, start=1))
    body += "".join(_stud(name, at) for name, at in places.items())
    body += sketch.draw(connection, found, parts, *_SKETCH)
    body += svg.text(
        _SKETCH[0], 405.0, "windings" if parts else "windings, joined inside the motor", text_anchor="middle"
    )
    title = f"{connection.replace('-', ' ').capitalize()}: {_said(group, found, places)}"
    body += svg.text(_WIDTH / 2.0, 28.0, title, text_anchor="middle", font_size=17, font_weight="bold")
    return svg.document(_WIDTH, _HEIGHT, title, describe(found), body)


def describe(found: Links) -> str:
    """The drawing in words, for a reader who does not see it."""
    said = [f"L{number} goes on {terminal}" for number, terminal in enumerate(found.lines, start=1)]
    words = f"Line conductors: {', '.join(said)}. "
    if found.joined:
        words += f"Joined: {'; '.join(group.replace('-', ' with ') for group in found.joined)}. "
    else:
        words += "No terminals are joined. "
    return words + "The protective conductor goes on the earth terminal alone."


def _said(group: str, found: Links, places: Mapping[str, tuple[float, float]]) -> str:
    """The terminals as a heading names them."""
    if group in ("three", "six"):
        others = [name for name in places if name not in found.lines]
        return f"{group} terminals {' '.join(found.lines)}{', ' + ' '.join(others) if others else ''}"
    return f"{group.partition('-')[0]} leads T1 to T{len(places)}"


def _places(group: str, found: Links, parts: list[tuple[str, str]]) -> dict[str, tuple[float, float]]:
    """Centre of every terminal: the board as it is built for six, otherwise the joined leads side by side."""
    across = [_FIRST + _COLUMN * index for index in range(3)]
    places = {terminal: (x, _ROWS[0]) for terminal, x in zip(found.lines, across, strict=True)}
    if group == "three":
        return places
    ends = {start: end for start, end in parts if end != "inside"}
    if group == "six":
        # The row of ends is shifted by one, so that a straight link never bridges a winding.
        shifted = [ends[found.lines[index]] for index in (2, 0, 1)]
        return places | {terminal: (x, _ROWS[1]) for terminal, x in zip(shifted, across, strict=True)}
    return places | _loose(found, across)


def _loose(found: Links, across: list[float]) -> dict[str, tuple[float, float]]:
    """Leads of a motor without a board: those joined to a line hang under it, pairs and star bridges stand below."""
    groups = [group.split("-") for group in found.joined]
    hanging = [group for group in groups if group[0] in found.lines]
    places: dict[str, tuple[float, float]] = {}
    for group in hanging:
        x = across[found.lines.index(group[0])]
        places |= {terminal: (x, _ROWS[0] + _STACK * depth) for depth, terminal in enumerate(group) if depth}
    below = _ROWS[0] + _STACK * (max((len(group) for group in hanging), default=1) - 1) + 50.0
    pairs = [group for group in groups if len(group) == 2 and group not in hanging]
    for x, (upper, lower) in zip(across, pairs, strict=False):
        places |= {upper: (x, below), lower: (x, below + _STACK)}
    if pairs:
        below += _STACK + 50.0
    for bridge in (group for group in groups if len(group) == 3 and group not in hanging):
        places |= {terminal: (x, below) for terminal, x in zip(bridge, across, strict=True)}
        below += 46.0
    return places


def _frame(group: str) -> str:
    if group in ("three", "six"):
        depth = 60.0 if group == "three" else 140.0
        return svg.element(
            "rect",
            x=46,
            y=_ROWS[0] - 30.0,
            width=324,
            height=depth,
            rx=8,
            fill="none",
            stroke="black",
            stroke_width=1.5,
        )
    return ""


def _earth() -> str:
    """Earth terminal with its sign, apart from the winding."""
    x, y = 385.0, 385.0
    bars = "".join(
        svg.line(x - half, y + 10.0 + 5.0 * i, x + half, y + 10.0 + 5.0 * i, stroke="black", stroke_width=2)
        for i, half in enumerate((11.0, 7.0, 3.0))
    )
    return (
        svg.element("circle", cx=x, cy=y - 12.0, r=8, fill="white", stroke="black", stroke_width=1.5)
        + svg.line(x, y - 4.0, x, y + 10.0, stroke="black", stroke_width=2)
        + bars
        + svg.text(x + 14.0, y - 8.0, "PE")
    )


def _stud(name: str, at: tuple[float, float]) -> str:
    x, y = at
    circle = svg.element(
        "circle", cx=x, cy=y, r=_STUD, fill="white", stroke="black", stroke_width=2, data_terminal=name
    )
    return circle + svg.text(x + _BAR / 2.0 + 5.0, y + 5.0, name, font_weight="bold", font_size=15)


def _link(terminals: list[str], places: Mapping[str, tuple[float, float]]) -> str:
    xs, ys = zip(*(places[terminal] for terminal in terminals), strict=True)
    half = _BAR / 2.0
    return svg.element(
        "rect", x=min(xs) - half, y=min(ys) - half, width=max(xs) - min(xs) + _BAR, height=max(ys) - min(ys) + _BAR,
        rx=half, fill="#c8c8c8", stroke="black", stroke_width=2, data_joins=" ".join(terminals),
    )  # fmt: skip


def _line(number: int, terminal: str, places: Mapping[str, tuple[float, float]]) -> str:
    x, y = places[terminal]
    return (
        svg.line(x, 82.0, x, y, stroke="black", stroke_width=4, data_line=f"L{number}", data_terminal=terminal)
        + svg.element("path", d=f"M {svg.num(x - 7)} 108 L {svg.num(x + 7)} 108 L {svg.num(x)} 124 Z", fill="black")
        + svg.text(x, 72.0, f"L{number}", text_anchor="middle", font_size=16, font_weight="bold")
    )
