"""Heat: the protective device, the factors of the place, and the capacity that the cable must have."""

from __future__ import annotations

from dataclasses import dataclass, field

from millphase.answer import Outcome
from millphase.quantity import Quantity
from millphase.questions._cable_circuit import BURIED, Circuit, note_next_row, short
from millphase.questions.base import contradiction
from millphase.rulebook import Cell, Row, Table

BREAKERS = ("mcb-b", "mcb-c", "mcb-d")
FUSES = ("fuse-gg", "fuse-bs1362", "fuse-bs3036")
NAMES = {
    "mcb-b": "type B circuit-breaker", "mcb-c": "type C circuit-breaker", "mcb-d": "type D circuit-breaker",
    "fuse-gg": "gG fuse", "fuse-bs1362": "plug fuse", "fuse-bs3036": "rewirable fuse",
    "inverse-time-breaker": "inverse-time breaker", "time-delay-fuse": "time-delay fuse",
    "non-time-delay-fuse": "fuse without time delay",
}  # fmt: skip


@dataclass(frozen=True)
class Device:
    """The protective device at the origin of the circuit; `rating` is None where no rating is great enough."""

    kind: str
    rating: Quantity | None
    known: bool

    def __str__(self) -> str:
        return f"{short(self.rating)} {NAMES[self.kind]}" if self.rating else NAMES[self.kind]


@dataclass
class Factors:
    """Factors of the place: formula symbol to factor; `missing` says why one has no value."""

    found: dict[str, Quantity] = field(default_factory=dict)
    missing: list[tuple[Table, str]] = field(default_factory=list)

    @property
    def product(self) -> str:
        """The product of all factors as formula text."""
        return " × ".join(self.found)


def protective_device(circuit: Circuit) -> Device | None:
    """The device asked for, or the next preferred rating; None behind a drive, which guards its own output.

    Raises
    ------
    Contradiction
        When a device is named on a drive's output.
    """
    request, book, sheet = circuit.request, circuit.book, circuit.sheet
    given = request.get("protective_device", {})
    if circuit.on_drive_output:
        if given:
            raise contradiction(
                "/protective_device", "a drive guards its own motor cable; leave the device out or size the supply"
            )
        return None
    kind = given.get("kind")
    if kind is None:
        kind = "mcb-b"
        sheet.assume("protective_device/kind", kind, book.rule("cable/default-device"))
    ratings = _ratings(circuit, kind)
    if "rating" in given:
        return Device(kind, given["rating"], ratings is not None)
    row = ratings.row_at_or_above("rating", circuit.current) if ratings else None
    return Device(kind, sheet.looked_up("next preferred rating", row["rating"]) if row else None, ratings is not None)


def _ratings(circuit: Circuit, kind: str) -> Table | None:
    if kind in BREAKERS:
        return circuit.book.table("cable/breaker-ratings")
    own = f"{circuit.topic}/{kind}"
    return circuit.book.table(own) if kind in FUSES and circuit.book.has(own) else None


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
    elif device.kind == "fuse-bs3036":
        factor = book.constant(f"{topic}/rewirable-fuse-factor")
        need = sheet.step(
            "capacity the cable must keep", "I = n × In/Cf", unit="A", rule=factor,
            n=book.limit(f"{topic}/overload-capacity").value, In=device.rating or circuit.current, Cf=factor.value,
        )  # fmt: skip
    else:
        limit = book.limit(f"{topic}/overload-capacity")
        need = sheet.step(
            "capacity the cable must keep", "I = n × In", unit="A", rule=limit, n=limit.value,
            In=device.rating or circuit.current,
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


def judge_device(circuit: Circuit, device: Device) -> bool:
    """Compare the device with the design current; True where it can stay closed under the load."""
    book, sheet, topic = circuit.book, circuit.sheet, circuit.topic
    limit = book.limit(f"{topic}/overload-design-current")
    if device.rating is None:
        because = f"No {NAMES[device.kind]} in the tables is rated for {short(circuit.current)}; choose another kind."
        sheet.find(Outcome.REJECT, limit, because=because, measured=circuit.current)
        sheet.next_step("Choose another kind of protective device, or split the load over two circuits.")
        return False
    against = sheet.step("least device rating", "In = n × Ib", unit="A", rule=limit, n=limit.value, Ib=circuit.current)
    finding = sheet.compare(
        limit, device.rating, against=against,
        because=f"The {device} must carry the design current of {short(circuit.current)} without tripping.",
    )  # fmt: skip
    if finding.outcome is Outcome.REJECT:
        sheet.next_step(f"Choose a protective device of at least {short(against)}.")
    return finding.outcome is not Outcome.REJECT
