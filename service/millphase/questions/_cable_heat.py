"""Heat: the factors of the place, and the capacity that the cable must have."""

from __future__ import annotations

from dataclasses import dataclass, field

from millphase.quantity import Quantity
from millphase.questions._cable_circuit import BURIED, Circuit, note_next_row
from millphase.questions._cable_device import Device
from millphase.rulebook import Cell, Row, Table

BESIDE_INSULATION = ("a1", "a2", "100", "101", "102", "103")


@dataclass
class Factors:
    """Factors of the place: formula symbol to factor; `missing` says why one has no value."""

    found: dict[str, Quantity] = field(default_factory=dict)
    missing: list[tuple[Table, str]] = field(default_factory=list)

    @property
    def product(self) -> str:
        """The product of all factors as formula text."""
        return " × ".join(self.found)


def place_factors(circuit: Circuit, row: Row) -> Factors:
    """Factors for ambient, grouping, thermal insulation, soil and drum, each looked up and written."""
    factors = Factors()
    _ambient(circuit, row, factors)
    _grouping(circuit, row, factors)
    _thermal_insulation(circuit, factors)
    _soil(circuit, row, factors)
    if "drum" in circuit.request:
        table = circuit.book.table(f"{circuit.topic}/drum")
        drum = table.rows(drum=circuit.request["drum"])[0]
        factors.found["Cd"] = circuit.sheet.looked_up("drum factor", drum["factor"])
    return factors


def _thermal_insulation(circuit: Circuit, factors: Factors) -> None:
    length: Quantity | None = circuit.request.get("thermal_insulation")
    if length is None or length.si == 0:
        return
    table = circuit.book.table(f"{circuit.topic}/thermal-insulation")
    found = table.row_at_or_above("length", length)
    if found is None:
        found = table.rows()[-1]
    else:
        note_next_row(circuit.sheet, "thermal_insulation", length, found, "length")
    factors.found["Ci"] = circuit.sheet.looked_up("thermal-insulation factor", found["factor"])
    if circuit.method in BESIDE_INSULATION:
        circuit.sheet.next_step(
            f"Method {circuit.method} already counts thermal insulation beside the cable, and the factor for a cable surrounded "
            "by it comes on top: leave thermal_insulation out where the cable is not wholly surrounded."
        )


def _soil(circuit: Circuit, row: Row, factors: Factors) -> None:
    if circuit.method not in BURIED:
        return
    table = circuit.book.table(f"{circuit.topic}/soil")
    given: Quantity | None = circuit.request.get("soil_resistivity")
    if given is None:
        given = circuit.book.constant(f"{circuit.topic}/reference-soil").value
        circuit.sheet.assume("soil_resistivity", given, table)
    soil = table.row_at_or_above("resistivity", given)
    if soil is not None:
        note_next_row(circuit.sheet, "soil_resistivity", given, soil, "resistivity")
    _take(circuit, factors, "Cs", "soil factor", table, soil[row.text("soil")] if soil else None)


def _take(circuit: Circuit, factors: Factors, symbol: str, what: str, table: Table, cell: Cell | None) -> None:
    if cell is None or cell.value is None:
        factors.missing.append((table, what))
        return
    factors.found[symbol] = circuit.sheet.looked_up(what, cell)


def ambient_of(circuit: Circuit, row: Row) -> Quantity:
    """The ambient given, or the one the capacity table stands on: ground for buried cable, air elsewhere."""
    given: Quantity | None = circuit.request.get("ambient")
    return given or _reference_ambient(circuit, row).q("ambient")


def _reference_ambient(circuit: Circuit, row: Row) -> Row:
    return circuit.book.table(f"{circuit.topic}/reference-ambient").rows(factors=row.text("ambient"))[0]


def _ambient(circuit: Circuit, row: Row, factors: Factors) -> None:
    table = circuit.book.table(f"{circuit.topic}/{row.text('ambient')}")
    ambient = ambient_of(circuit, row)
    found = table.row_at_or_above("ambient", ambient)
    if found is not None:
        note_next_row(circuit.sheet, "ambient", ambient, found, "ambient")
    column = circuit.insulation.replace("-", "_")
    _take(circuit, factors, "Ca", "ambient factor", table, found[column] if found else None)


def _grouping(circuit: Circuit, row: Row, factors: Factors) -> None:
    table = circuit.book.table(f"{circuit.topic}/{row.text('grouping')}")
    number = circuit.request.get("grouped_circuits", 1)
    buried = circuit.method in BURIED
    column = "touching" if buried else circuit.request.get("grouping", "bunched").replace("-", "_")
    circuits = Quantity.of(float(number), "1")
    found = table.row_at_or_above("circuits", circuits)
    if found is not None:
        note_next_row(circuit.sheet, "grouped_circuits", circuits, found, "circuits")
    _take(circuit, factors, "Cg", "grouping factor", table, found[column] if found else None)


def note_place_defaults(circuit: Circuit, row: Row) -> None:
    """Write down what was taken for ambient and grouping where the request is silent."""
    if "ambient" not in circuit.request:
        reference = _reference_ambient(circuit, row)
        circuit.sheet.assume("ambient", reference.q("ambient"), reference)
    table = circuit.book.table(f"{circuit.topic}/{row.text('grouping')}")
    if "grouped_circuits" not in circuit.request:
        circuit.sheet.assume("grouped_circuits", "1", table)
    elif circuit.request["grouped_circuits"] > 1 and circuit.method in ("c", "e") and "grouping" not in circuit.request:
        circuit.sheet.assume("grouping", "bunched", table)


def capacity_needed(circuit: Circuit, device: Device | None, factors: Factors) -> Quantity:
    """The capacity that the cable must keep in its place [A], and the tabulated capacity behind it."""
    sheet, book, topic = circuit.sheet, circuit.book, circuit.topic
    if device is None:
        limit = book.limit(f"{topic}/load-capacity")
        need = sheet.step(
            "capacity the cable must keep", "In = n × Ib", unit="A", rule=limit, n=limit.value, Ib=circuit.current
        )
    else:
        limit, shares = book.limit(f"{topic}/overload-capacity"), _overload_shares(circuit, device)
        formula = f"I = n × In/({' × '.join(shares)})" if shares else "I = n × In"
        need = sheet.step(
            "capacity the cable must keep", formula, unit="A", rule=limit, n=limit.value, In=device.rating or circuit.current,
            **shares,
        )  # fmt: skip
    if not factors.missing:
        tabulated = sheet.step(
            "tabulated capacity needed",
            f"It = I/({factors.product})",
            unit="A",
            rule=book.limit(f"{topic}/overload-capacity"),
            I=need,
            **factors.found,
        )
        sheet.value("tabulated_capacity_needed", tabulated)
    return need


def _overload_shares(circuit: Circuit, device: Device) -> dict[str, Quantity]:
    """Shares of the capacity that may be used because the device protects less well against overload than it seems."""
    book, sheet, topic = circuit.book, circuit.sheet, circuit.topic
    shares: dict[str, Quantity] = {}
    if device.kind == "fuse-bs3036":
        factor = book.constant(f"{topic}/rewirable-fuse-factor")
        shares["Cf"] = sheet.looked_up("share of the capacity behind a rewirable fuse", factor)
    buried = f"{topic}/buried-overload-factor"
    if circuit.method in BURIED and book.has(buried):
        shares["Cc"] = sheet.looked_up("share of the capacity of a cable in the ground", book.constant(buried))
    return shares
