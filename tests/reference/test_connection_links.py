"""Every row of the link tables, checked as a circuit: do the joined terminals really make that star or delta?"""

# The part windings below do not come from the rules. Six leads: starts and ends of IEC 60034-8 and of the older schemes
# (operating instructions of a motor maker, p. 70; a page on C1 to C6; a page on the polarity test of A1 A2, B1 B2, C1 C2).
# Nine and twelve leads: EASA Electrical Engineering Handbook, terminal markings, and Megger, insulation testing of
# delta connected nine-lead motors (triples 1-4-9, 2-5-7, 3-6-8).

from __future__ import annotations

import cmath
import math
import re
import xml.etree.ElementTree as ET
from typing import Any

import pytest

from millphase.answer import Contradiction
from millphase.questions._connection_links import LEAD_GROUPS, MARKINGS, find
from millphase.questions._connection_plate import CONNECTIONS, TURNS
from millphase.questions.base import load, registry
from millphase.reports.drawings import connection_choice, terminal_board
from millphase.rulebook import workshop

BOOK = workshop().view(("*",))

# phase of the rotating field -> part windings as (start, end); every part winding of a phase has the same polarity
SIX = {
    "iec": [[("U1", "U2")], [("V1", "V2")], [("W1", "W2")]],
    "din": [[("U", "X")], [("V", "Y")], [("W", "Z")]],
    "gost": [[("C1", "C4")], [("C2", "C5")], [("C3", "C6")]],
    "bs": [[("A1", "A2")], [("B1", "B2")], [("C1", "C2")]],
    "nema": [[("T1", "T4")], [("T2", "T5")], [("T3", "T6")]],
}
NINE_WYE = [[("T1", "T4"), ("T7", "n")], [("T2", "T5"), ("T8", "n")], [("T3", "T6"), ("T9", "n")]]
NINE_DELTA = [[("T1", "T4"), ("T7", "T2")], [("T2", "T5"), ("T8", "T3")], [("T3", "T6"), ("T9", "T1")]]
TWELVE = [[("T1", "T4"), ("T7", "T10")], [("T2", "T5"), ("T8", "T11")], [("T3", "T6"), ("T9", "T12")]]


def windings(marking: str, leads: str) -> list[list[tuple[str, str]]]:
    """Part windings of the three phases."""
    return {"six": SIX[marking], "nine-wye": NINE_WYE, "nine-delta": NINE_DELTA, "twelve": TWELVE}[leads]


def node_voltages(coils: list[tuple[str, str]], lines: list[str], joined: list[list[str]]) -> dict[str, complex]:
    """Potential of every terminal on a balanced supply of 1 V between lines, all part windings being equal impedances."""
    terminals = sorted({t for coil in coils for t in coil} | set(lines))
    root = {terminal: terminal for terminal in terminals}

    def top(terminal: str) -> str:
        while root[terminal] != terminal:
            terminal = root[terminal]
        return terminal

    for group in joined:
        for other in group[1:]:
            root[top(other)] = top(group[0])
    nodes = sorted({top(t) for t in terminals})
    at = {node: index for index, node in enumerate(nodes)}
    fixed = {at[top(line)]: cmath.rect(1 / math.sqrt(3), -2 * math.pi * n / 3) for n, line in enumerate(lines)}
    neighbours: list[list[int]] = [[] for _ in nodes]
    for start, end in coils:
        a, b = at[top(start)], at[top(end)]
        neighbours[a].append(b)
        neighbours[b].append(a)
    # Equal impedances: a free node sits at the mean of its neighbours. Repeated averaging converges fast on so few nodes.
    potential = [fixed.get(index, 0j) for index in range(len(nodes))]
    for _ in range(400):
        for index, near in enumerate(neighbours):
            if index not in fixed:
                potential[index] = sum(potential[other] for other in near) / len(near)
    return {terminal: potential[at[top(terminal)]] for terminal in terminals}


def check_circuit(marking: str, leads: str, connection: str, lines: list[str], joined: list[list[str]]) -> None:
    """Every part winding sees the same voltage, its phase's angle, and the share of the line voltage the name promises."""
    phases = windings(marking, leads)
    coils = [coil for phase in phases for coil in phase]
    voltage = node_voltages(coils, lines, joined)
    across = [[voltage[start] - voltage[end] for start, end in phase] for phase in phases]
    reference = across[0][0]
    for phase, parts in enumerate(across):
        for part in parts:
            assert abs(part) == pytest.approx(1 / TURNS[connection], rel=1e-9), "shorted, or not the promised voltage"
            turned = part * cmath.rect(1, 2 * math.pi * phase / 3)
            assert turned == pytest.approx(reference, rel=1e-9), "reversed, or the phases are out of order"
    used = [terminal for group in joined for terminal in group]
    assert len(used) == len(set(used)), "a terminal in two groups"
    assert set(used) | set(lines) == {t for coil in coils for t in coil if t != "n"}, "a terminal left hanging"


ROWS = [
    (marking, leads, connection)
    for marking in MARKINGS
    for leads in LEAD_GROUPS
    for connection in CONNECTIONS
    if find(BOOK, marking, leads, connection) is not None
]


def test_every_legal_connection_has_a_row() -> None:
    six = {(m, "six", c) for m in MARKINGS for c in ("star", "delta")}
    three = {(m, "three", c) for m in MARKINGS for c in ("star", "delta")}
    many = {("nema", "nine-wye", c) for c in ("parallel-star", "series-star")}
    many |= {("nema", "nine-delta", c) for c in ("parallel-delta", "series-delta")}
    many |= {("nema", "twelve", c) for c in ("parallel-star", "series-star", "parallel-delta", "series-delta")}
    assert set(ROWS) == six | three | many


@pytest.mark.parametrize(("marking", "leads", "connection"), [row for row in ROWS if row[1] != "three"])
def test_joined_terminals_make_the_connection(marking: str, leads: str, connection: str) -> None:
    found = find(BOOK, marking, leads, connection)
    assert found is not None
    check_circuit(marking, leads, connection, found.lines, [group.split("-") for group in found.joined])


@pytest.mark.parametrize(("marking", "connection"), [(m, c) for m in MARKINGS for c in ("star", "delta")])
def test_three_leads_are_never_joined(marking: str, connection: str) -> None:
    found = find(BOOK, marking, "three", connection)
    assert found is not None
    assert found.joined == []
    assert len(found.lines) == 3


@pytest.mark.parametrize(
    ("leads", "connection", "joined"),
    [
        ("six", "star", [["T1", "T4"], ["T2", "T5"], ["T3", "T6"]]),  # links straight across the windings: shorted
        ("six", "star", [["T4", "T5", "T3"]]),  # one winding turned over, its start in the star point
        ("nine-wye", "series-star", [["T1", "T6"], ["T2", "T4"], ["T3", "T5"]]),  # misprint of a trade page
        ("nine-wye", "series-star", [["T4", "T8"], ["T5", "T7"], ["T6", "T9"]]),  # halves of two phases mixed up
        ("nine-delta", "parallel-delta", [["T1", "T6", "T7"], ["T2", "T5", "T8"], ["T3", "T4", "T9"]]),
    ],
)
def test_the_circuit_check_finds_wrong_links(leads: str, connection: str, joined: list[list[str]]) -> None:
    with pytest.raises(AssertionError):
        check_circuit("nema", leads, connection, ["T1", "T2", "T3"], joined)


# EASA Electrical Engineering Handbook, terminal markings and connections, three-phase motors, single speed:
# leads on L1, L2, L3, then leads joined together.
EASA = [
    ("six", "star", "1", "2", "3", ["4-5-6"]),
    ("six", "delta", "1,6", "2,4", "3,5", []),
    ("nine-wye", "parallel-star", "1,7", "2,8", "3,9", ["4-5-6"]),
    ("nine-wye", "series-star", "1", "2", "3", ["4-7", "5-8", "6-9"]),
    ("nine-delta", "parallel-delta", "1,6,7", "2,4,8", "3,5,9", []),
    ("nine-delta", "series-delta", "1", "2", "3", ["4-7", "5-8", "6-9"]),
    ("twelve", "parallel-star", "1,7", "2,8", "3,9", ["4-5-6", "10-11-12"]),
    ("twelve", "series-star", "1", "2", "3", ["4-7", "5-8", "6-9", "10-11-12"]),
    ("twelve", "parallel-delta", "1,6,7,12", "2,4,8,10", "3,5,9,11", []),
    ("twelve", "series-delta", "1,12", "2,10", "3,11", ["4-7", "5-8", "6-9"]),
]


@pytest.mark.parametrize(("leads", "connection", "l1", "l2", "l3", "join"), EASA)
def test_nema_rows_against_the_repair_trade_handbook(
    leads: str, connection: str, l1: str, l2: str, l3: str, join: list[str]
) -> None:
    found = find(BOOK, "nema", leads, connection)
    assert found is not None
    groups = {frozenset(f"T{n}" for n in on.split(",")) for on in (l1, l2, l3) if "," in on}
    groups |= {frozenset(f"T{n}" for n in together.split("-")) for together in join}
    assert {frozenset(group.split("-")) for group in found.joined} == groups
    assert found.lines == [f"T{on.split(',')[0]}" for on in (l1, l2, l3)]


# Six-terminal schemes: joined pairs as printed. IEC 60034-8 layout in three makers' manuals; DIN from an air handler's
# manual (third pair by symmetry, it is misprinted there); A B C from pages on the polarity test; C1 to C6 by symmetry.
PAIRS = [
    ("iec", "star", ["U2-V2-W2"]), ("iec", "delta", ["U1-W2", "U2-V1", "V2-W1"]),
    ("din", "star", ["X-Y-Z"]), ("din", "delta", ["U-Z", "V-X", "W-Y"]),
    ("gost", "star", ["C4-C5-C6"]), ("gost", "delta", ["C1-C6", "C2-C4", "C3-C5"]),
    ("bs", "star", ["A2-B2-C2"]), ("bs", "delta", ["A2-B1", "B2-C1", "C2-A1"]),
]  # fmt: skip


@pytest.mark.parametrize(("marking", "connection", "printed"), PAIRS)
def test_six_terminal_pairs_as_printed(marking: str, connection: str, printed: list[str]) -> None:
    found = find(BOOK, marking, "six", connection)
    assert found is not None
    assert {frozenset(g.split("-")) for g in found.joined} == {frozenset(p.split("-")) for p in printed}


# Megger: delta connected nine-lead motors fall into three triples; machineryequipmentonline.com: wye into three
# pairs and one triple.
GROUPS = {
    "nine-delta": [{"T1", "T4", "T9"}, {"T2", "T5", "T7"}, {"T3", "T6", "T8"}],
    "nine-wye": [{"T1", "T4"}, {"T2", "T5"}, {"T3", "T6"}, {"T7", "T8", "T9"}],
    "twelve": [{"T1", "T4"}, {"T2", "T5"}, {"T3", "T6"}, {"T7", "T10"}, {"T8", "T11"}, {"T9", "T12"}],
}


@pytest.mark.parametrize("leads", sorted(GROUPS))
def test_part_windings_of_the_rule_give_the_published_continuity_groups(leads: str) -> None:
    row = BOOK.table("connection/windings").row(marking="nema", leads=leads)
    assert row is not None
    groups: list[set[str]] = []
    for part in row.text("parts").split():
        ends = set(part.split("-"))
        touching = [group for group in groups if group & ends]
        groups = [group for group in groups if not group & ends] + [ends.union(*touching)]
    assert sorted(sorted(g - {"inside"}) for g in groups) == sorted(sorted(g) for g in GROUPS[leads])


def test_part_windings_of_the_rule_agree_with_the_published_starts_and_ends() -> None:
    for marking in MARKINGS:
        row = BOOK.table("connection/windings").row(marking=marking, leads="six")
        assert row is not None
        assert [tuple(part.split("-")) for part in row.text("parts").split()] == [phase[0] for phase in SIX[marking]]


def _drawn(marking: str, leads: str, connection: str) -> ET.Element:
    number = {"three": "3", "six": "6", "nine-wye": "9", "nine-delta": "9", "twelve": "12"}[leads]
    return ET.fromstring(terminal_board.draw({"marking": marking, "connection": connection, "leads": number}, BOOK))


def _inside(bar: Any, circle: Any) -> bool:
    x, y = float(circle.get("cx")), float(circle.get("cy"))
    left, top = float(bar.get("x")), float(bar.get("y"))
    return left < x < left + float(bar.get("width")) and top < y < top + float(bar.get("height"))


@pytest.mark.parametrize(("marking", "leads", "connection"), ROWS)
def test_the_drawing_shows_the_same_circuit(marking: str, leads: str, connection: str) -> None:
    root = _drawn(marking, leads, connection)
    studs = {
        circle.get("data-terminal"): circle
        for circle in root.iter()
        if circle.get("cx") and circle.get("data-terminal")
    }
    bars = [bar for bar in root.iter() if bar.get("data-joins")]
    joined = [[name for name, circle in studs.items() if name and _inside(bar, circle)] for bar in bars]
    for bar, terminals in zip(bars, joined, strict=True):
        assert set(str(bar.get("data-joins")).split()) == set(terminals), "a bar covers a terminal it does not join"
    wires = {str(wire.get("data-line")): wire for wire in root.iter() if wire.get("data-line")}
    lines = []
    for name in ("L1", "L2", "L3"):
        stud = studs[wires[name].get("data-terminal")]
        assert (wires[name].get("x2"), wires[name].get("y2")) == (stud.get("cx"), stud.get("cy"))
        lines.append(str(wires[name].get("data-terminal")))
    if leads == "three":
        assert joined == []
        return
    check_circuit(marking, leads, connection, lines, joined)


@pytest.mark.parametrize(("marking", "leads", "connection"), ROWS)
def test_the_drawing_is_readable_without_eyes_and_without_colour(marking: str, leads: str, connection: str) -> None:
    root = _drawn(marking, leads, connection)
    space = "{http://www.w3.org/2000/svg}"
    title, description = root.find(f"{space}title"), root.find(f"{space}desc")
    assert title is not None
    assert description is not None
    found = find(BOOK, marking, leads, connection)
    assert found is not None
    for number, terminal in enumerate(found.lines, start=1):
        assert f"L{number} goes on {terminal}" in str(description.text)
    for group in found.joined:
        assert group.replace("-", " with ") in str(description.text)
    assert root.get("role") == "img"
    colours = {str(value) for each in root.iter() for key, value in each.attrib.items() if key in ("fill", "stroke")}
    for colour in colours - {"none", "black", "white"}:
        assert re.fullmatch(r"#(..)\1\1|#(.)\2\2", colour), "grey only"


@pytest.mark.parametrize(("marking", "leads", "connection"), ROWS)
def test_no_label_of_the_drawing_leaves_the_paper_or_hides_another(marking: str, leads: str, connection: str) -> None:
    """Boxes of the texts, 8 px a letter at 15 px as in a common sans serif."""
    root = _drawn(marking, leads, connection)
    _, _, width, height = (float(n) for n in str(root.get("viewBox")).split())
    boxes = []
    for text in root.iter("{http://www.w3.org/2000/svg}text"):
        size = float(text.get("font-size", "13"))
        long = 0.54 * size * len(str(text.text))
        x, y = float(text.attrib["x"]), float(text.attrib["y"])
        left = x - {"middle": long / 2, "end": long}.get(str(text.get("text-anchor")), 0.0)
        boxes.append((left, y - 0.75 * size, left + long, y, str(text.text)))
    for left, top, right, bottom, words in boxes:
        assert left >= 0, words
        assert top >= 0, words
        assert right <= width, words
        assert bottom <= height, words
    for index, one in enumerate(boxes):
        for other in boxes[index + 1 :]:
            apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
            assert apart, (one, other)


def test_leads_may_be_left_out() -> None:
    assert terminal_board.lead_group(None, "star") == "six"
    assert terminal_board.lead_group(None, "series-delta") == "nine-delta"
    assert "L1 goes on U1" in terminal_board.draw({"connection": "delta"}, BOOK)


@pytest.mark.parametrize(
    ("marking", "connection", "leads"), [("iec", "parallel-star", "9"), ("nema", "star", "9"), ("gost", "star", "12")]
)
def test_a_board_that_does_not_exist_is_refused(marking: str, connection: str, leads: str) -> None:
    with pytest.raises(Contradiction):
        terminal_board.draw({"marking": marking, "connection": connection, "leads": leads}, BOOK)


def test_parameters_are_declared_for_the_address() -> None:
    loaded = terminal_board.PARAMETERS().load({"connection": "delta", "marking": "din"})
    assert "L1 goes on U" in terminal_board.draw(loaded, BOOK)


def _asked(**changes: Any) -> ET.Element:
    plate = {"delta_voltage": "230 V", "star_voltage": "400 V", "delta_current": "6.3 A", "power": "1.5 kW"}
    asked = {"nameplate": plate, "leads": 6, "fed_from": {"kind": "drive", "voltage": "230 V"}} | changes
    return ET.fromstring(connection_choice.draw(load(registry()["connection-choice"], asked), BOOK))


@pytest.mark.parametrize(("changes", "line"), [({}, "U1"), ({"marking": "din"}, "U"), ({"marking": "nema"}, "T1")])
def test_the_drawing_of_an_answer_is_the_board_it_names(changes: dict[str, Any], line: str) -> None:
    told = _asked(**changes).find("{http://www.w3.org/2000/svg}desc")
    assert told is not None
    assert f"L1 goes on {line}," in str(told.text)


@pytest.mark.parametrize(
    "changes",
    [
        {"marking": "unmarked"},
        {"fed_from": {"kind": "mains", "voltage": "690 V", "phases": 3}},
        {"fed_from": {"kind": "mains", "voltage": "230 V", "phases": 1}},
    ],
)
def test_no_board_is_drawn_where_no_links_are_given(changes: dict[str, Any]) -> None:
    root = _asked(**changes)
    assert "No links" in ET.tostring(root, "unicode")
    assert not [each for each in root.iter() if each.get("data-terminal")]
