"""The findings on the size judged: each limit, the source behind it, and the margin."""

from __future__ import annotations

from millphase.answer import Outcome
from millphase.physics import conductor
from millphase.quantity import Quantity
from millphase.questions._cable_circuit import Circuit, insulation_limit, remembered, short, size_text
from millphase.questions._cable_device import Device
from millphase.questions._cable_fault import Protection
from millphase.questions._cable_heat import ambient_of
from millphase.questions._cable_sizes import HEAT, LEAST, SLACK, Demand, Size, drop_by_resistance, drop_cell
from millphase.rulebook import Row


def write_findings(circuit: Circuit, row: Row, demand: Demand, device: Device | None, judged: Size) -> None:
    """Write every comparison that decides on the judged size, each with its rule."""
    sheet, book, topic = circuit.sheet, circuit.book, circuit.topic
    name = size_text(judged.cross_section)
    if LEAST in judged.fails:
        sheet.compare(demand.least, judged.cross_section, because=f"{name}: {judged.fails[LEAST]}.")
    rule = book.limit(f"{topic}/{'load-capacity' if device is None else 'overload-capacity'}")
    because = (
        f"{name} is tabulated at {judged.cell.value} ({judged.cell.cited.source['locator']}); where it lies it must carry "
        f"{short(demand.need)} for the {device or 'motor'}.{remembered(judged.cell)}"
    )
    sheet.compare(rule, judged.corrected, against=demand.need, because=because)
    _find_terminals(circuit, row, judged)
    _find_drop(circuit, demand, judged)
    if demand.protection is None:
        rule_text = book.rule("cable/motor-cable-protection")
        sheet.find(Outcome.ACCEPT, rule_text, because=book.text(rule_text.id), decides=False)
        return
    _find_fault(circuit, demand.protection, device, judged)


def _find_terminals(circuit: Circuit, row: Row, judged: Size) -> None:
    """Warn where the conductor would be hotter than the terminals it ends in stand."""
    if HEAT in judged.fails or (circuit.insulation != "xlpe-90" and "terminal_temperature" not in circuit.request):
        return
    sheet, book = circuit.sheet, circuit.book
    limit = book.limit(f"{circuit.topic}/terminal-temperature")
    allowed = circuit.request.get("terminal_temperature", limit.value)
    hot = sheet.step(
        "conductor temperature at the design current", conductor.temperature_at_current, unit="degC",
        Ta=ambient_of(circuit, row), Tm=insulation_limit(circuit), I=circuit.current,
        Iz=judged.corrected,
    )  # fmt: skip
    finding = sheet.compare(
        limit, hot, against=allowed, otherwise=Outcome.CAUTION,
        because="The terminals must stand the temperature that the conductor reaches at the design current.",
    )  # fmt: skip
    if finding.outcome is Outcome.CAUTION:
        sheet.next_step("Ask for terminals that stand more, or choose a larger size, which runs cooler.")


def _find_drop(circuit: Circuit, demand: Demand, judged: Size) -> None:
    sheet, book, rule = circuit.sheet, circuit.book, demand.drop_rule
    if judged.share is None:
        because = "Without the length of the run the voltage drop cannot be judged."
        sheet.find(Outcome.INCONCLUSIVE, rule, because=because)
        sheet.next_step("Measure the length of the cable run and ask again with length.")
        return
    cell = drop_cell(circuit, judged.cross_section)
    because = f"The load must get at least what is left of {short(circuit.voltage)} after {short(demand.drop_limit)}."
    if cell is not None:
        because += remembered(cell)
    sheet.compare(rule, judged.share, against=demand.drop_limit, because=because)
    _find_other_drop_limits(circuit, demand, judged.share)
    if cell is not None:
        other = drop_by_resistance(circuit, judged)
        sheet.value("voltage_drop_from_resistance", other)
        share = sheet.step("share from the impedance", "share = dU/U", unit="%", dU=other, U=circuit.voltage)
        because = f"Worked out from the conductor's own impedance the drop is {short(other)}; the table rounds."
        sheet.compare(rule, share, against=demand.drop_limit, because=because, decides=False)
    if circuit.request.get("feeds") == "drive":
        wish = book.limit("cable/drive-voltage-drop")
        because = "A drive wants little drop between transformer and input: its capacitors charge in short high peaks."
        sheet.compare(wish, judged.share, because=because, otherwise=Outcome.CAUTION)


def _find_other_drop_limits(circuit: Circuit, demand: Demand, share: Quantity) -> None:
    """Where the request sets a looser limit than the rules, theirs still counts; beyond 100 m they allow a little more."""
    sheet, rule = circuit.sheet, demand.drop_rule
    if "voltage_drop_limit" in circuit.request:
        if demand.drop_limit.si > rule.value.si * (1 + SLACK):
            because = f"The limit asked for is looser than the {rule.value} of {circuit.rules} for a public supply."
            sheet.compare(rule, share, because=because, otherwise=Outcome.CAUTION)
        return
    own = f"{circuit.topic}/voltage-drop-long-run"
    if not circuit.book.has(own):
        return
    allowance = circuit.book.coefficients(own)
    if circuit.length is None or circuit.length.si <= allowance["beyond"].si:
        return
    allowed = sheet.step(
        "limit with the allowance for a long run", "most = limit + min((L − Lo) × p, m)", unit="%", rule=allowance,
        limit=rule.value, L=circuit.length, Lo=allowance["beyond"], p=allowance["per_metre"], m=allowance["most"],
    )  # fmt: skip
    because = (
        f"For a run beyond {allowance['beyond']} the rules allow {short(allowed)}; the size is not chosen by that."
    )
    sheet.compare(rule, share, against=allowed, because=because, decides=False)


def _find_fault(circuit: Circuit, protection: Protection, device: Device | None, judged: Size) -> None:
    sheet, book, topic = circuit.sheet, circuit.book, circuit.topic
    rule = book.limit(f"{topic}/loop-impedance")
    _find_additional_protection(circuit, device)
    if protection.earthing == "tt":
        _find_electrode(circuit, protection)
    if protection.forbidden:
        return
    _find_residual_type(circuit, relied=protection.earthing == "tt" or judged.by == "rcd")
    if judged.loop is None:
        reason = protection.unknown or "the length of the run is not known"
        sheet.find(Outcome.INCONCLUSIVE, rule, because=f"Disconnection in a fault cannot be judged: {reason}.")
        _ask_for_loop(circuit, protection)
        return
    name = size_text(judged.cross_section)
    if protection.limit is not None:
        because = f"A fault at the end of {name} must make the {device} disconnect in time, conductors hot."
        sheet.compare(rule, judged.loop, against=protection.limit, because=because, decides=judged.by != "rcd")
    if protection.residual_limit is not None:
        because = (
            f"The RCD disconnects an earth fault through this loop; a short circuit between live conductors it does not see, and "
            f"the {device} does."
        )
        sheet.compare(
            rule, judged.loop, against=protection.residual_limit, because=because,
            decides=judged.by == "rcd" or protection.limit is None or judged.by == "none",
        )  # fmt: skip
    _find_adiabatic(circuit, protection, judged)


def _find_residual_type(circuit: Circuit, *, relied: bool) -> None:
    """A drive's residual current is no sine wave: an RCD that must disconnect faults of a drive must be made for it."""
    sheet, book, rcd = circuit.sheet, circuit.book, circuit.request.get("rcd")
    if circuit.request.get("feeds") != "drive" or rcd is None:
        return
    rule, marked = book.rule("cable/residual-device-for-drive"), rcd.get("type")
    if marked == "AC":
        sheet.find(Outcome.REJECT if relied else Outcome.CAUTION, rule, because=book.text(rule.id))
    elif circuit.phases == 3 and marked in ("A", "F"):
        least = book.table("rcd/least-type").rows(circuit="smooth-dc-drive")[0]
        because = (
            f"A drive fed from three lines can let smooth DC to earth, which blinds a type {marked}: it needs type "
            f"{least.text('least_type')}."
        )
        sheet.find(Outcome.REJECT if relied else Outcome.CAUTION, least["least_type"], because=because)
    elif marked is None and relied:
        because = (
            "The RCD is what disconnects here, and its type is not known: type AC may not see a drive's fault current."
        )
        sheet.find(Outcome.CAUTION, rule, because=because)
        sheet.next_step("Read the type mark on the RCD and ask again with rcd/type.")
    else:
        return
    sheet.next_step("Ask leakage-budget for the least type of RCD that this drive allows.")


def _find_additional_protection(circuit: Circuit, device: Device | None) -> None:
    """Socket-outlets that anybody may plug into need an RCD that protects a person."""
    own = f"{circuit.topic}/additional-protection"
    if circuit.request.get("circuit") != "final-sockets" or device is None or device.rating is None:
        return
    if not circuit.book.has(own):
        return
    rule = circuit.book.coefficients(own)
    rcd = circuit.request.get("rcd")
    rated: Quantity | None = rcd["rated_residual_current"] if rcd is not None else None
    if device.rating.si > rule["sockets_up_to"].si * (1 + SLACK):
        return
    most = rule["rated_residual_current"]
    fits = rated is not None and rated.si <= most.si * (1 + SLACK)
    because = (
        f"Socket-outlets up to {rule['sockets_up_to']} need an RCD of at most {most}, unless the rules except them."
    )
    circuit.sheet.find(Outcome.ACCEPT if fits else Outcome.CAUTION, rule, because=because, measured=rated, limit=most)
    if not fits:
        circuit.sheet.next_step(f"Fit an RCD of {most} for the socket-outlets.")


def _find_adiabatic(circuit: Circuit, protection: Protection, judged: Size) -> None:
    rule = circuit.book.limit(f"{circuit.topic}/adiabatic")
    if judged.minimum is not None:
        if protection.calls_on_class(judged.minimum):
            table = circuit.book.table("cable/breaker-let-through")
            circuit.sheet.assume("protective_device", "energy-limiting class 3", table)
            circuit.sheet.next_step(
                "Check that the breaker bears a 3 in a square, the mark of its energy-limiting class."
            )
        because = "The protective conductor must not be damaged by the heat of the fault before it is cleared."
        if protection.declared and "prospective_fault_current" not in circuit.request:
            because += " The fault current is that of the declared loop impedance; a lower one lets more current flow."
            circuit.sheet.next_step(
                "Measure the loop impedance at the origin and ask again with it: the declared value is the highest there is."
            )
        circuit.sheet.compare(rule, judged.protective, against=judged.minimum, because=because)


def _find_electrode(circuit: Circuit, protection: Protection) -> None:
    sheet, book, topic = circuit.sheet, circuit.book, circuit.topic
    rule = book.limit(f"{topic}/electrode-resistance")
    if protection.forbidden:
        touch = book.limit(f"{topic}/touch-voltage").value
        because = (
            "On a TT supply the earth electrode keeps the fault current far too low for a breaker or fuse: an RCD must "
            f"disconnect, with the electrode at most {short(touch)} divided by its rated residual current."
        )
        sheet.find(Outcome.REJECT, rule, because=because)
        sheet.next_step("Fit an RCD at the origin of the circuit and name it as rcd; measure the electrode.")
        return
    electrode: Quantity | None = circuit.request.get("electrode_resistance") or protection.external
    limit = protection.residual_limit
    if electrode is None or limit is None:
        return
    because = f"The electrode must hold the touch voltage while the RCD opens: at most {short(limit)}."
    sheet.compare(rule, electrode, against=limit, because=because)
    steady = f"{topic}/electrode-stability"
    if book.has(steady):
        because = "An electrode of high resistance may not stay stable through dry and frosty weather."
        sheet.compare(book.limit(steady), electrode, because=because, otherwise=Outcome.CAUTION)


def _ask_for_loop(circuit: Circuit, protection: Protection) -> None:
    sheet = circuit.sheet
    if protection.external is not None:
        if protection.unknown:
            sheet.next_step(
                "Choose a rating for which a tripping current is tabulated, or a type B breaker, or let an RCD disconnect "
                "earth faults."
            )
        return
    if protection.earthing == "tt":
        limit = protection.residual_limit
        assert limit is not None  # noqa: S101  # TT without an RCD never comes here
        sheet.next_step(
            f"Measure the electrode resistance and ask again with electrode_resistance: it must be at most {short(limit)}."
        )
    else:
        sheet.next_step(
            "Measure the loop impedance at the origin of the circuit, or ask the distributor for it, and ask again with "
            "external_loop_impedance and earthing."
        )
