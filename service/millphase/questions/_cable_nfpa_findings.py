"""The findings on the gauge judged under nfpa-70: ampacity, terminals, drop, device, grounding conductor."""

from __future__ import annotations

from millphase.answer import Finding, Outcome
from millphase.quantity import Quantity
from millphase.questions._cable_circuit import Circuit, remembered, short
from millphase.questions._cable_device import Device, judge_breaking
from millphase.questions._cable_gauges import (
    SLACK,
    TERMINALS,
    TOPIC,
    Gauge,
    Need,
    least_enough,
    permitted,
    standard_rating,
)
from millphase.rulebook import Limit, Row


def least_device(circuit: Circuit, current: Quantity) -> Quantity:
    """Least rating for a load that runs for hours [A]."""
    rule = circuit.book.limit(f"{TOPIC}/continuous-load-device")
    return circuit.sheet.step("least device rating", "In = n × Ib", unit="A", rule=rule, n=rule.value, Ib=current)


def motor_device_limit(circuit: Circuit, current: Quantity, kind: str) -> Quantity:
    """Most rating of a motor's short-circuit device, before it is rounded to a standard one [A]."""
    shares = circuit.book.coefficients(f"{TOPIC}/motor-protection")
    return circuit.sheet.step(
        "most device rating worked out",
        "In = n × Ib",
        unit="A",
        rule=shares,
        n=shares[kind.replace("-", "_")],
        Ib=current,
    )


def write_findings(circuit: Circuit, need: Need, judged: Gauge, rule: Limit) -> bool:
    """Write the findings of the judged gauge; True where the device and the earthing do not stand against it."""
    _find_ampacity(circuit, need, judged, rule)
    terminals = circuit.book.table(f"{TOPIC}/terminal-temperature")
    outcome = Outcome.REJECT if TERMINALS in judged.fails else Outcome.ACCEPT
    because = "The conductor must not overheat the terminals it ends in: their own column holds, whatever the insulation stands."
    circuit.sheet.find(outcome, terminals, because=because, measured=judged.at_terminals, limit=need.ampacity)
    _find_nonmetallic(circuit, need, judged)
    _find_drop(circuit, need, judged)
    _find_leakage(circuit)
    found = (_find_device(circuit, need, judged), _find_earth(circuit), _find_grounding(circuit, need, judged))
    stands = all(finding is None or finding.outcome is not Outcome.REJECT for finding in found)
    breaks = need.device is None or judge_breaking(circuit, None)
    return stands and breaks


def _find_ampacity(circuit: Circuit, need: Need, judged: Gauge, rule: Limit) -> None:
    told = f"{judged.text} is tabulated at {judged.cell.value} ({judged.cell.cited.source['locator']})"
    if need.carried.si == need.ampacity.si:
        because = f"{told}; where it lies it must carry {rule.value} of {short(need.current)}.{remembered(judged.cell)}"
        circuit.sheet.compare(rule, judged.corrected, against=need.ampacity, because=because)
        return
    own = circuit.book.limit(f"{TOPIC}/load-conductors")
    because = f"{told}; where it lies it must carry {own.value} of {short(need.current)}.{remembered(judged.cell)}"
    circuit.sheet.compare(own, judged.corrected, against=need.carried, because=because)
    because = (
        f"Before any correction it must have {rule.value} of the continuous {short(need.current)}, by its terminals."
    )
    circuit.sheet.compare(rule, judged.at_terminals, against=need.ampacity, because=because)


def _find_nonmetallic(circuit: Circuit, need: Need, judged: Gauge) -> None:
    """Cable of the household kind has a cap of its own, and only the one who buys it knows that it is of that kind."""
    own = f"{TOPIC}/nonmetallic-cable"
    if circuit.method != "cable" or circuit.cable != "multicore" or need.marked is None or not circuit.book.has(own):
        return
    row = circuit.book.table(f"{TOPIC}/capacity-raceway").rows(gauge=judged.name)[0]
    if judged.at_terminals.si > row.q("rated_60").si * (1 + SLACK):
        rule = circuit.book.rule(own)
        circuit.sheet.find(
            Outcome.CAUTION, rule, because=circuit.book.text(rule.id), measured=judged.at_terminals, limit=row.q("rated_60")
        )  # fmt: skip


def _find_drop(circuit: Circuit, need: Need, judged: Gauge) -> None:
    sheet, rule = circuit.sheet, circuit.book.limit(f"{TOPIC}/voltage-drop")
    if judged.share is None:
        if need.drop_gates:
            sheet.find(
                Outcome.INCONCLUSIVE, rule, because="Without the length of the run the voltage drop cannot be judged."
            )
        sheet.next_step("Measure the length of the run and ask again with length, so that the voltage drop is known.")
        return
    otherwise = Outcome.REJECT if need.drop_gates else Outcome.CAUTION
    because = (
        "Voltage lost in the run is missing at the load; without a limit of your own the recommended share is used."
    )
    finding = sheet.compare(rule, judged.share, against=need.drop_limit, because=because, otherwise=otherwise)
    if finding.outcome is Outcome.CAUTION:
        sheet.next_step("Ask again with voltage_drop_limit to get the gauge that keeps the recommended voltage drop.")
    if need.drop_limit.si > rule.value.si * (1 + SLACK):
        because = f"The limit asked for is looser than the recommended {rule.value}."
        sheet.compare(rule, judged.share, because=because, otherwise=Outcome.CAUTION)
    own = f"{TOPIC}/voltage-drop-most"
    if not circuit.book.has(own):
        return
    most = circuit.book.limit(own)
    if judged.share.si > most.value.si * (1 + SLACK):
        because = f"With more than {most.value} lost on the way the load need not work at all."
        sheet.compare(most, judged.share, because=because)


def _find_leakage(circuit: Circuit) -> None:
    """These rules are silent on leakage in the grounding conductor; the drive's product standard is not."""
    leakage: Quantity | None = circuit.request.get("protective_conductor_current")
    if leakage is None:
        return
    sheet, rule = circuit.sheet, circuit.book.limit("cable/drive-protective-conductor-threshold")
    second = bool(circuit.request.get("second_protective_conductor"))
    because = "Above this the product standard of drives asks for a second or a thicker protective conductor."
    finding = sheet.compare(rule, leakage, because=because, otherwise=Outcome.CAUTION, decides=not second)
    if finding.outcome is Outcome.CAUTION and not second:
        sheet.next_step("Run a second equipment grounding conductor of the same size, as the drive's instructions ask.")
    sheet.caution("caution/never-lift-earth")


def _find_device(circuit: Circuit, need: Need, judged: Gauge) -> Finding | None:
    sheet, book, device = circuit.sheet, circuit.book, need.device
    if device is None:
        rule = book.rule("cable/motor-cable-protection")
        sheet.next_step(
            "Ask for the supply circuit of the drive too: the equipment grounding conductor of the motor cable follows the device there."
        )
        return sheet.find(Outcome.ACCEPT, rule, because=book.text(rule.id), decides=False)
    if device.rating is None:
        rule = book.rule(f"{TOPIC}/standard-ratings")
        because = f"No standard rating is high enough for {short(need.current)}; split the load."
        return sheet.find(Outcome.REJECT, rule, because=because, measured=need.current)
    if need.load == "motor":
        return _find_motor_device(circuit, need, device, device.rating)
    least = book.limit(f"{TOPIC}/continuous-load-device")
    against = least_device(circuit, need.current)
    short_of_load = device.rating.si < need.current.si * (1 - SLACK)
    finding = sheet.compare(
        least, device.rating, against=against,
        because=f"The {device} must carry a continuous {short(need.current)} without tripping.",
        otherwise=Outcome.REJECT if need.load == "other" or short_of_load else Outcome.CAUTION,
    )  # fmt: skip
    if finding.outcome is not Outcome.ACCEPT:
        sheet.next_step(f"Choose a protective device of at least {short(against)}.")
    if judged.allowed is not None:
        because = f"The {device} must guard {judged.text}."
        sheet.compare(book.limit(f"{TOPIC}/overcurrent-rating"), device.rating, against=judged.allowed, because=because)
    if need.load == "drive" and not short_of_load:
        return _find_drive_device(circuit, need, device, device.rating)
    return finding


def _find_drive_device(circuit: Circuit, need: Need, device: Device, rating: Quantity) -> Finding:
    """The drive's instructions rule; without them a device above what a motor of this current may have is too large."""
    sheet, book = circuit.sheet, circuit.book
    rule = book.rule(f"{TOPIC}/drive-protection")
    sheet.next_step(
        "Read the largest rating and the type of protective device from the drive's instructions; they rule."
    )
    start = standard_rating(circuit, least_device(circuit, need.current), device.kind)
    if start is None or rating.si <= start.si * (1 + SLACK):
        return sheet.find(Outcome.ACCEPT, rule, because=book.text(rule.id), measured=rating, decides=False)
    because = (
        f"The {device} is above the starting point of {short(start)}: only the drive's instructions can permit it."
    )
    sheet.find(Outcome.CAUTION, rule, because=because, measured=rating, limit=start)
    worked_out = motor_device_limit(circuit, need.current, device.kind)
    most = permitted(
        circuit, "motor-protection-rating", "drive", standard_rating(circuit, worked_out, device.kind) or worked_out
    )
    because = (
        f"No motor of this current may have more: worked out {short(worked_out)}, next standard rating {short(most)}. A motor "
        "behind a drive that takes this much draws less."
    )
    return sheet.compare(book.limit(f"{TOPIC}/motor-protection-rating"), rating, against=most, because=because)


def _find_motor_device(circuit: Circuit, need: Need, device: Device, rating: Quantity) -> Finding | None:
    worked_out = motor_device_limit(circuit, need.current, device.kind)
    most = standard_rating(circuit, worked_out, device.kind)
    rule = circuit.book.limit(f"{TOPIC}/motor-protection-rating")
    if most is None:
        because = f"The table of standard ratings ends below the {short(worked_out)} worked out for this motor."
        return circuit.sheet.find(Outcome.INCONCLUSIVE, rule, because=because, measured=rating)
    because = (
        f"The {device} guards this motor against short circuit only and may be at most {short(most)}: worked out "
        f"{short(worked_out)}, next standard rating {short(most)}. The overload relay does the rest."
    )
    against = permitted(circuit, "motor-protection-rating", "motor", most)
    return circuit.sheet.compare(rule, rating, against=against, because=because)


def _find_earth(circuit: Circuit) -> Finding | None:
    sheet, book, request = circuit.sheet, circuit.book, circuit.request
    if request.get("earthing") == "tt" or "electrode_resistance" in request:
        rule = book.rule(f"{TOPIC}/earth-not-a-path")
        sheet.next_step("Run an equipment grounding conductor from the source to the machine.")
        return sheet.find(Outcome.REJECT, rule, because=book.text(rule.id))
    if "external_loop_impedance" in request:
        rule = book.rule(f"{TOPIC}/no-loop-limit")
        return sheet.find(
            Outcome.ACCEPT, rule, because=book.text(rule.id), measured=request["external_loop_impedance"], decides=False
        )
    return None


def _grounding(circuit: Circuit, need: Need, rating: Quantity, judged: Gauge) -> Row | None:
    """Equipment grounding conductor by the device's rating, in proportion where the circuit is larger than it need be.

    Returns
    -------
    Row or None
        A row with ``gauge`` and ``cross_section``; None past the end of the table.
    """
    found = circuit.book.table(f"{TOPIC}/equipment-grounding").row_at_or_above("up_to", rating)
    if found is None:
        return None
    least = circuit.sheet.looked_up("equipment grounding conductor", found["cross_section"])
    enough = least_enough(circuit, need)
    wanted = least
    if enough is not None and enough.area.si < judged.area.si * (1 - SLACK):
        wanted = circuit.sheet.step(
            "equipment grounding conductor in proportion", "S = Sg × Sc/Sn", unit="mm2", rule=found, Sg=least,
            Sc=judged.area, Sn=enough.area,
        )  # fmt: skip
    wires = circuit.book.table(f"{TOPIC}/capacity-raceway").rows()
    return next(row for row in wires if row.q("cross_section").si >= min(wanted.si, judged.area.si) * (1 - SLACK))


def _find_grounding(circuit: Circuit, need: Need, judged: Gauge) -> Finding | None:
    if need.device is None or need.device.rating is None:
        return None
    sheet, table = circuit.sheet, circuit.book.table(f"{TOPIC}/equipment-grounding")
    row = _grounding(circuit, need, need.device.rating, judged)
    if row is None:
        because = f"The table of equipment grounding conductors ends below {short(need.device.rating)}."
        return sheet.find(Outcome.INCONCLUSIVE, table, because=because, measured=need.device.rating)
    sheet.value("protective_conductor", row.q("cross_section"))
    sheet.value("protective_conductor_gauge", row.text("gauge"))
    name = row.text("gauge").replace("-awg", " AWG")
    because = f"Behind the {need.device} a circuit of {judged.text} needs an equipment grounding conductor of {name}."
    fitted: Quantity | None = circuit.request.get("protective_conductor_cross_section")
    small = fitted is not None and fitted.si < row.q("cross_section").si * 0.99
    if small:
        sheet.next_step(f"Run an equipment grounding conductor of {name}.")
    return sheet.find(
        Outcome.REJECT if small else Outcome.ACCEPT, table, because=because, measured=fitted or row.q("cross_section"),
        limit=row.q("cross_section"), decides=fitted is not None,
    )  # fmt: skip
