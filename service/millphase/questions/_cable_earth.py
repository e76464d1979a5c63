"""The protective conductor of equipment that leaks by design, as a drive's filter does."""

from __future__ import annotations

from millphase.answer import Outcome
from millphase.quantity import Quantity
from millphase.questions._cable_circuit import Circuit, short, size_text
from millphase.questions._cable_device import Device
from millphase.questions._cable_sizes import Size
from millphase.rulebook import Limit

PLUG, HOUSEHOLD, FIXED = "industrial-plug", "household-plug", "fixed"


def connection(circuit: Circuit) -> str:
    """How the circuit's end is connected: fixed unless the request says otherwise or the device is a plug fuse."""
    usual = HOUSEHOLD if circuit.request.get("protective_device", {}).get("kind") == "fuse-bs1362" else FIXED
    return str(circuit.request.get("connection", usual))


def _above(circuit: Circuit, rule: str) -> bool:
    leakage: Quantity | None = circuit.request.get("protective_conductor_current")
    limit = circuit.book.limit(rule)
    return leakage is not None and leakage.si > limit.value.si * (1 + 1e-9)


def _reinforced(circuit: Circuit) -> bool:
    return _above(circuit, f"{circuit.topic}/high-current-threshold")


def core_needed(circuit: Circuit, device: Device | None) -> Quantity | None:
    """Protective core that a flexible cable on an industrial plug must have, or None where nothing is asked."""
    if not _reinforced(circuit) or connection(circuit) != PLUG:
        return None
    table = circuit.book.table(f"{circuit.topic}/high-current-flexible")
    rating = device.rating if device is not None and device.rating is not None else circuit.current
    row = table.row_at_or_above("up_to", rating) or table.rows()[-1]
    return circuit.sheet.looked_up("protective core needed behind an industrial plug", row["protective_conductor"])


def prescribed(circuit: Circuit, size: Size) -> Quantity:
    """The protective conductor to fit: that of the cable, or the reinforced one where the leakage asks for it."""
    asked = "protective_conductor_cross_section" in circuit.request or circuit.request.get(
        "second_protective_conductor"
    )
    if not _reinforced(circuit) or connection(circuit) != FIXED or asked:
        return size.protective
    least = _reinforcing(circuit).value
    return least if least.si > size.protective.si else size.protective


def _reinforcing(circuit: Circuit) -> Limit:
    """Least reinforced conductor; some wiring rules ask for less of one that nothing can strike."""
    protected = f"{circuit.topic}/high-current-protected"
    if circuit.request.get("protective_conductor_protected") and circuit.book.has(protected):
        return circuit.book.limit(protected)
    return circuit.book.limit(f"{circuit.topic}/high-current-conductor")


def judge(circuit: Circuit, device: Device | None, size: Size) -> None:
    """Findings on the protective-conductor current; nothing where the request does not give it."""
    leakage: Quantity | None = circuit.request.get("protective_conductor_current")
    if leakage is None:
        return
    sheet, book, topic = circuit.sheet, circuit.book, circuit.topic
    how = connection(circuit)
    if "connection" not in circuit.request:
        sheet.assume("connection", how, book.limit(f"{topic}/high-current-plug"))
    if how == HOUSEHOLD:
        because = (
            "A household plug can be pulled: above this leakage it must be a fixed connection or an industrial plug."
        )
        sheet.compare(book.limit(f"{topic}/high-current-plug"), leakage, because=because)
        if _above(circuit, f"{topic}/high-current-plug"):
            sheet.next_step("Connect the drive permanently, or through an industrial plug and socket.")
    if _reinforced(circuit):
        _reinforcement(circuit, device, size, how)
    _drive_standard(circuit, size, how)
    sheet.caution("caution/never-lift-earth")


def _reinforcement(circuit: Circuit, device: Device | None, size: Size, how: str) -> None:
    sheet, book, topic = circuit.sheet, circuit.book, circuit.topic
    leakage: Quantity = circuit.request["protective_conductor_current"]
    rule = _reinforcing(circuit)
    if how == PLUG:
        needed = core_needed(circuit, device)
        table = book.table(f"{topic}/high-current-flexible")
        because = (
            f"With {short(leakage)} in it the protective core behind an industrial plug must be at least this thick."
        )
        fits = needed is not None and size.protective.si >= needed.si * (1 - 1e-9)
        outcome = Outcome.ACCEPT if fits else Outcome.REJECT
        sheet.find(outcome, table, because=because, measured=size.protective, limit=needed)
        return
    if circuit.request.get("second_protective_conductor"):
        because = "Two protective conductors, each on its own, stand in for one reinforced one."
        sheet.find(Outcome.ACCEPT, rule, because=because, measured=size.protective, limit=rule.value)
        return
    fitted = prescribed(circuit, size)
    because = f"With {short(leakage)} in it a broken protective conductor would be deadly, so it is reinforced."
    sheet.compare(rule, fitted, because=because)
    if fitted.si > size.protective.si:
        sheet.next_step(
            f"Fit a protective conductor of {size_text(fitted)}, or a second one of {size_text(size.protective)} beside that "
            "of the cable, each with its own terminal."
        )
    elif fitted.si < rule.value.si:
        sheet.next_step(f"Fit a second protective conductor, or one of {size_text(rule.value)}.")


def _drive_standard(circuit: Circuit, size: Size, how: str) -> None:
    """What the drive's own product standard asks above 3.5 mA; deciding only where the load is said to be a drive."""
    threshold = "cable/drive-protective-conductor-threshold"
    if not _above(circuit, threshold) or how == PLUG:
        return
    sheet, rule = circuit.sheet, circuit.book.limit("cable/drive-protective-conductor")
    decides = circuit.request.get("feeds") == "drive"
    if circuit.request.get("second_protective_conductor"):
        because = "A second protective conductor of the same size meets the drive's product standard."
        sheet.find(Outcome.ACCEPT, rule, because=because, measured=size.protective, decides=decides)
        return
    because = "The product standard of drives asks for this, or for a second protective conductor of the same size."
    finding = sheet.compare(
        rule, prescribed(circuit, size), because=because, otherwise=Outcome.CAUTION, decides=decides
    )
    if finding.outcome is Outcome.CAUTION and decides:
        sheet.next_step("Fit a second protective conductor of the same size, as the drive's instructions will ask for.")
