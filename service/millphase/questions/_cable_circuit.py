"""What a circuit is before it is sized: the request read, its defaults noted, its nonsense refused."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from millphase.answer import Finding, Outcome, Sheet
from millphase.quantity import Quantity, number_text
from millphase.questions.base import View, contradiction
from millphase.rulebook import Cell, Row

CABLES = ["single-core", "multicore", "flat-twin-and-earth", "armoured", "screened", "flexible"]
INSULATIONS = ["pvc-70", "xlpe-90", "rubber-60", "thermoplastic-75", "thermoplastic-90"]
METHODS = [
    "a1", "a2", "b1", "b2", "c", "d1", "d2", "e", "100", "101", "102", "103",
    "raceway", "cable", "direct-buried", "free-air",
]  # fmt: skip
BURIED = ("d1", "d2")
NOT_IN_NFPA = {
    "thermal_insulation": "nfpa-70 tabulates no factor for surrounding insulation; leave it out and keep the cable clear",
    "drum": "nfpa-70 tabulates no factor for drums; leave it out and unreel the cable",
    "soil_resistivity": "the tables of nfpa-70 used here have no factor for soil; leave it out",
    "grouping": "nfpa-70 counts conductors together whatever their layer; leave it out and give grouped_circuits",
}
NO_METHOD = "none"
MOTOR_CABLE = "motor-from-drive"


@dataclass(frozen=True)
class Circuit:
    """A circuit with everything that does not depend on its cross-section.

    Attributes
    ----------
    topic : str
        Rule topic of the wiring rules; look-ups go through it, so that nothing of another set can slip in.
    """

    request: Mapping[str, Any]
    book: View
    sheet: Sheet
    topic: str
    current: Quantity
    phases: int
    voltage: Quantity
    cable: str
    insulation: str
    method: str
    method_row: Row | None

    @property
    def rules(self) -> str:
        """Name of the wiring rules."""
        return self.topic.removeprefix("cable-")

    @property
    def length(self) -> Quantity | None:
        """Length of the run, where it is known."""
        return self.request.get("length")

    @property
    def loaded(self) -> str:
        """Word for the number of loaded conductors, as the tables have it."""
        return "three" if self.phases == 3 else "two"

    @property
    def described(self) -> str:
        """Cable, insulation, method and number of phases in words."""
        way = "" if self.method == NO_METHOD else f", method {self.method}"
        return f"{self.cable} cable with {self.insulation}{way}, {'three' if self.phases == 3 else 'single'}-phase"

    @property
    def on_drive_output(self) -> bool:
        """Whether the cable runs from a drive to its motor."""
        return self.request.get("feeds") == MOTOR_CABLE


def short(quantity: Quantity, digits: int = 4) -> str:
    """A quantity in a sentence, rounded to what a person reads."""
    return str(Quantity.of(float(f"{quantity.value:.{digits}g}"), quantity.unit))


def listed(words: Sequence[str]) -> str:
    """Words in a sentence: one; one and two; one, two and three."""
    return " and ".join([part for part in (", ".join(words[:-1]), words[-1]) if part])


def rejecting(sheet: Sheet) -> Finding:
    """The first finding that decides against the circuit."""
    return next(found for found in sheet.findings if found.decides and found.outcome is Outcome.REJECT)


def note_next_row(sheet: Sheet, name: str, given: Quantity, row: Row, column: str) -> None:
    """Say that the table has no row for what was given and the next, worse one was taken."""
    taken = row.q(column)
    if abs(taken.si - given.si) > 1e-9 * max(abs(taken.si), 1.0):
        sheet.assume(name, f"{taken}, the next row of the table", row)


def remembered(cell: Cell) -> str:
    """A warning to add to a sentence where a tabulated value was not seen in print; empty otherwise."""
    if cell.cited.source["checked"] != "memory":
        return ""
    return f" The tabulated {cell.value} is from memory: check it in {cell.cited.source['locator']}."


def note_scope(circuit: Circuit) -> None:
    """Write down what kind of circuit is judged, and what of it is left out."""
    _note(circuit, "conductors", "copper, one to each line, a radial circuit", "cable/scope")
    if circuit.request.get("feeds") == "drive" and circuit.phases == 1 and circuit.rules != "nfpa-70":
        _note(circuit, "neutral", "not shared with other circuits", "cable/neutral")
    if circuit.cable == "armoured":
        _note(circuit, "protective_conductor", "a core of the cable; the armour is not counted", "cable/armour")


def _note(circuit: Circuit, name: str, assumed: str, rule_id: str) -> None:
    """Note an assumption under a rule that older rule sets do not have."""
    if circuit.book.has(rule_id):
        circuit.sheet.assume(name, assumed, circuit.book.rule(rule_id))


def insulation_limit(circuit: Circuit) -> Quantity:
    """Highest conductor temperature the insulation stands in service."""
    return circuit.book.coefficients("cable/insulation-temperature")[circuit.insulation.replace("-", "_")]


def size_text(quantity: Quantity) -> str:
    """A cross-section in a sentence."""
    return f"{number_text(quantity.number('mm2'), 4)} mm²"


def read_circuit(request: Mapping[str, Any], book: View, sheet: Sheet) -> Circuit:
    """Read the request, fill in what is missing with an assumption each, and find the reference method.

    Raises
    ------
    Contradiction
        For fields that cannot go together.
    """
    topic = f"cable-{request['wiring_rules']}"
    phases = _phases(request, book, sheet)
    voltage = request.get("voltage") or _nominal_voltage(request, topic, phases, book, sheet)
    cable = _filled(request, "cable", "multicore", sheet, book)
    insulation = _filled(request, "insulation", _usual_insulation(topic, cable), sheet, book)
    methods = book.table(f"{topic}/reference-methods")
    method = request.get("installation_method") or _default_method(topic, cable, book, sheet)
    row = methods.row(cable=cable, insulation=insulation, installation_method=method)
    _refuse_misfits(request, cable, method)
    return Circuit(
        request, book, sheet, topic, request["design_current"], phases, voltage, cable, insulation, method, row
    )


def _phases(request: Mapping[str, Any], book: View, sheet: Sheet) -> int:
    if "phases" in request:
        return int(request["phases"])
    phases = 3 if request.get("feeds") == MOTOR_CABLE else 1
    sheet.assume("phases", str(phases), book.rule("cable/defaults"))
    return phases


def _nominal_voltage(request: Mapping[str, Any], topic: str, phases: int, book: View, sheet: Sheet) -> Quantity:
    """Nominal voltage of the supply; a drive on a single-phase supply gives its motor no more than it gets."""
    single = phases == 1 or request.get("feeds") == MOTOR_CABLE
    rule = book.constant(f"{topic}/nominal-voltage-{'one' if single else 'three'}-phase")
    sheet.assume("voltage", rule.value, rule)
    return rule.value


def _filled(request: Mapping[str, Any], name: str, usual: str, sheet: Sheet, book: View) -> str:
    if name not in request:
        sheet.assume(name, usual, book.rule("cable/defaults"))
    return str(request.get(name, usual))


def _usual_insulation(topic: str, cable: str) -> str:
    if topic == "cable-nfpa-70":
        return "thermoplastic-75"
    return "rubber-60" if cable == "flexible" else "pvc-70"


def _default_method(topic: str, cable: str, book: View, sheet: Sheet) -> str:
    table = book.table(f"{topic}/default-method")
    row = table.row(cable=cable)
    if row is None:
        return NO_METHOD
    method = row.text("installation_method")
    sheet.assume("installation_method", method, row["installation_method"])
    return method


def _refuse_misfits(request: Mapping[str, Any], cable: str, method: str) -> None:
    metric = request["wiring_rules"] != "nfpa-70"
    if not metric:
        for name, message in NOT_IN_NFPA.items():
            if name in request:
                raise contradiction(f"/{name}", message)
    if "soil_resistivity" in request and method not in BURIED:
        raise contradiction(
            "/soil_resistivity", f"soil has no part in method {method}; leave it out or choose d1 or d2"
        )
    surrounded: Quantity | None = request.get("thermal_insulation")
    if method in BURIED and surrounded is not None and surrounded.si > 0:
        raise contradiction(
            "/thermal_insulation",
            f"a cable of method {method} lies in the ground; leave it out, and judge the part indoors by its own method",
        )
    if "drum" in request and cable != "flexible":
        raise contradiction(
            "/drum", f"cable of the kind {cable} is not used on a drum; leave drum out or choose flexible"
        )
    if "grouping" in request and method not in ("c", "e"):
        raise contradiction(
            "/grouping", f"cables of method {method} have one way of lying together; leave grouping out"
        )
    if metric and "gauge" in request:
        raise contradiction("/gauge", "these wiring rules size in mm²; give cross_section instead")
    if metric and "motor_power" in request:
        raise contradiction(
            "/motor_power", "only nfpa-70 takes the current from the motor's power; give design_current alone"
        )


def methods_open_to(circuit: Circuit) -> str:
    """Say which combinations the wiring rules do have a table for."""
    table = circuit.book.table(f"{circuit.topic}/reference-methods")
    same = [row for row in table.rows(cable=circuit.cable, insulation=circuit.insulation) if _serves(row, circuit)]
    if same:
        named = ", ".join(row.text("installation_method") for row in same)
        return f"For {circuit.cable} cable with {circuit.insulation} under {circuit.rules} choose method {named}."
    same = [row for row in table.rows(cable=circuit.cable) if _serves(row, circuit)]
    if same:
        named = ", ".join(dict.fromkeys(row.text("insulation") for row in same))
        return f"For {circuit.cable} cable under {circuit.rules} choose insulation {named}."
    usable = [row for row in table.rows() if _serves(row, circuit)]
    named = ", ".join(dict.fromkeys(row.text("cable") for row in usable))
    return f"Under {circuit.rules} choose cable {named}; or name the wiring rules this cable belongs to."


def _serves(row: Row, circuit: Circuit) -> bool:
    return row[f"{circuit.loaded}_column"].value is not None


def table_missing(circuit: Circuit) -> bool:
    """Whether the wiring rules have no capacity table for this circuit."""
    return circuit.method_row is None or not _serves(circuit.method_row, circuit)
