"""Sizing by gauge under nfpa-70: 125 % of the current, the terminal's temperature column, and the equipment grounding conductor."""

from __future__ import annotations

from collections.abc import Sequence

from millphase.answer import Answer, Outcome
from millphase.quantity import Quantity
from millphase.questions._cable_circuit import (
    Circuit,
    listed,
    methods_open_to,
    note_next_row,
    note_scope,
    rejecting,
    short,
    table_missing,
)
from millphase.questions._cable_device import NAMES, Device, ask_for_breaking, refuse_behind_drive
from millphase.questions._cable_gauges import CHECKS, SLACK, TOPIC, Gauge, Need, gauges, standard_rating
from millphase.questions._cable_nfpa_findings import least_device, motor_device_limit, write_findings
from millphase.questions.base import contradiction

OWN_KINDS = ("inverse-time-breaker", "time-delay-fuse", "non-time-delay-fuse")
MULTIPLES = {
    "drive": "drive-supply-conductors", "motor": "motor-conductors", "other": "continuous-load-conductors",
    "motor-from-drive": "drive-output-conductors",
}  # fmt: skip


def answer(circuit: Circuit) -> Answer:
    """Ampacity needed, device, factors, terminals; then the smallest gauge that passes, or the one asked about."""
    sheet, book = circuit.sheet, circuit.book
    load = _load(circuit)
    current = _current(circuit, load)
    rule = book.limit(f"{TOPIC}/{MULTIPLES[load]}")
    ampacity = sheet.step("conductor ampacity needed", "I = n × Ib", unit="A", rule=rule, n=rule.value, Ib=current)
    sheet.value("required_ampacity", ampacity)
    device = _device(circuit, load, current)
    if table_missing(circuit):
        return _no_table(circuit, ampacity)
    note_scope(circuit)
    _note_unused(circuit)
    factors = _factors(circuit)
    if factors is None:
        return sheet.answer("No gauge can be given: the tables end before this ambient or this number of conductors.")
    need = Need(
        load, current, ampacity, _carried(circuit, load, current, ampacity), factors, device, _marked_terminals(circuit),
        circuit.request.get("voltage_drop_limit", book.limit(f"{TOPIC}/voltage-drop").value),
        "voltage_drop_limit" in circuit.request, _drop_most(circuit),
    )  # fmt: skip
    _write_tabulated(circuit, need)
    tried = gauges(circuit, need)
    passing = [gauge for gauge in tried if not gauge.fails]
    judged = passing[0] if passing else min(reversed(tried), key=lambda gauge: len(gauge.fails))
    holds = write_findings(circuit, need, judged, rule)
    chosen = judged if passing and holds else None
    _write(circuit, need, tried, judged, chosen)
    return sheet.answer(_summary(circuit, need, tried, judged, chosen))


def _note_unused(circuit: Circuit) -> None:
    """Say which fields of the request these rules have no use for."""
    unused = [name for name in ("rcd", "circuit", "connection") if name in circuit.request]
    if unused:
        circuit.sheet.next_step(f"Under nfpa-70 nothing is judged by {listed(unused)} here.")
    if "rcd" in unused:
        circuit.sheet.next_step("Ask leakage-budget whether the load holds behind the ground-fault interrupter.")


def _carried(circuit: Circuit, load: str, current: Quantity, ampacity: Quantity) -> Quantity:
    """Ampacity to be left after the corrections: of a load that is neither motor nor drive its bare current."""
    own = f"{TOPIC}/load-conductors"
    if load != "other" or not circuit.book.has(own):
        return ampacity
    rule = circuit.book.limit(own)
    return circuit.sheet.step(
        "ampacity needed after the corrections", "I = n × Ib", unit="A", rule=rule, n=rule.value, Ib=current
    )


def _drop_most(circuit: Circuit) -> Quantity | None:
    """The drop that decides: the request's own limit, or what no load bears where the rule set says so."""
    own = f"{TOPIC}/voltage-drop-most"
    asked: Quantity | None = circuit.request.get("voltage_drop_limit")
    return asked if asked is not None or not circuit.book.has(own) else circuit.book.limit(own).value


def _write_tabulated(circuit: Circuit, need: Need) -> None:
    """Ampacity to look for in the insulation's column; its terminals may ask for more in theirs."""
    what, ambient, together = "tabulated ampacity needed", need.factors["Ca"], need.factors["Cn"]
    if need.carried.si != need.ampacity.si:
        tabulated = circuit.sheet.step(
            what, "It = max(I, Ib/(Ca × Cn))", unit="A", I=need.ampacity, Ib=need.carried, Ca=ambient, Cn=together
        )
    else:
        tabulated = circuit.sheet.step(what, "It = I/(Ca × Cn)", unit="A", I=need.ampacity, Ca=ambient, Cn=together)
    circuit.sheet.value("tabulated_capacity_needed", tabulated)


def _load(circuit: Circuit) -> str:
    load = circuit.request.get("feeds")
    if load is None:
        circuit.sheet.assume("feeds", "drive", circuit.book.limit(f"{TOPIC}/drive-supply-conductors"))
        return "drive"
    return str(load)


def _current(circuit: Circuit, load: str) -> Quantity:
    """The design current; for a motor of known power the current of the table, which these rules put before the nameplate."""
    power: Quantity | None = circuit.request.get("motor_power")
    if power is None:
        if load == "motor":
            circuit.sheet.assume("motor_power", "not known", circuit.book.limit(f"{TOPIC}/motor-conductors"))
            circuit.sheet.next_step(
                "Ask again with motor_power: these rules size a motor's conductors by the current of their table, not by the "
                "nameplate."
            )
        return circuit.current
    if load != "motor":
        raise contradiction("/motor_power", "the table current is for a motor without a drive; leave motor_power out")
    name = "three" if circuit.phases == 3 else "single"
    table = circuit.book.table(f"{TOPIC}/motor-current-{name}-phase")
    column = f"at_{_motor_voltage(circuit)}_v"
    row = table.row_at_or_above("power", power)
    if row is None or column not in [c["name"] for c in table.data["columns"]]:
        raise contradiction(
            "/motor_power", f"the table of motor currents has no {power} at {circuit.voltage}; leave motor_power out"
        )
    note_next_row(circuit.sheet, "motor_power", power, row, "power")
    found = circuit.sheet.looked_up("motor current from the table", row[column])
    because = f"The table current of {short(found)} stands before the nameplate's for conductors and short-circuit protection."
    circuit.sheet.find(
        Outcome.ACCEPT, row[column], because=because, measured=circuit.current, limit=found, decides=False
    )
    return found


def _motor_voltage(circuit: Circuit) -> int:
    """Motor voltage of the table that stands for the supply's nominal voltage."""
    nominal = round(circuit.voltage.si)
    return {120: 115, 240: 230, 480: 460}.get(nominal, nominal)


def _device(circuit: Circuit, load: str, current: Quantity) -> Device | None:
    """The protective device asked for, or a starting point of 125 %; a drive guards its own output."""
    sheet, book = circuit.sheet, circuit.book
    given = circuit.request.get("protective_device", {})
    if load == "motor-from-drive":
        refuse_behind_drive(circuit)
        return None
    kind = given.get("kind", "inverse-time-breaker")
    if kind not in OWN_KINDS:
        rule = book.rule(f"{TOPIC}/device-kind")
        sheet.find(
            Outcome.INCONCLUSIVE, rule, because=f"A {NAMES[kind]} of other standards cannot be judged by these rules."
        )
        sheet.next_step(f"Name the device as one of {', '.join(OWN_KINDS)}.")
        kind = "inverse-time-breaker"
    elif "kind" not in given:
        sheet.assume("protective_device/kind", kind, book.rule(f"{TOPIC}/device-kind"))
    if "rating" in given:
        rating: Quantity | None = given["rating"]
    else:
        wanted = motor_device_limit(circuit, current, kind) if load == "motor" else least_device(circuit, current)
        rating = standard_rating(circuit, wanted, kind)
    if rating is not None:
        sheet.value("protective_device_rating", rating)
    return Device(kind, rating, True)


def _no_table(circuit: Circuit, ampacity: Quantity) -> Answer:
    sheet, book = circuit.sheet, circuit.book
    what = f"{circuit.rules} has no ampacity table for {circuit.described}"
    rule = book.rule("cable/table-missing")
    sheet.find(Outcome.INCONCLUSIVE, rule, because=f"{what}; a table of other wiring rules must not be borrowed.")
    if "ambient" not in circuit.request and circuit.request.get("grouped_circuits", 1) == 1:
        sheet.value("tabulated_capacity_needed", ampacity)
    sheet.next_step(methods_open_to(circuit))
    return sheet.answer(
        f"The conductors need {short(ampacity)} of ampacity, but no gauge can be given: {what}. {methods_open_to(circuit)}"
    )


def _insulation_column(circuit: Circuit) -> str:
    """Temperature column of the insulation, which also governs the correction for ambient."""
    columns = {"rubber-60": "rated_60", "thermoplastic-75": "rated_75"}
    return columns.get(circuit.insulation, "rated_90")


def _factors(circuit: Circuit) -> dict[str, Quantity] | None:
    sheet, book, request = circuit.sheet, circuit.book, circuit.request
    table = book.table(f"{TOPIC}/ambient-air")
    usual = book.constant(f"{TOPIC}/reference-ambient")
    ambient = request.get("ambient")
    if ambient is None:
        ambient = usual.value
        sheet.assume("ambient", ambient, usual)
    row = table.row_at_or_above("ambient", ambient)
    if row is not None:
        note_next_row(sheet, "ambient", ambient, row, "ambient")
    together = book.table(f"{TOPIC}/conductors-together")
    circuits = request.get("grouped_circuits", 1)
    if "grouped_circuits" not in request:
        sheet.assume("grouped_circuits", "1", together)
    conductors = Quantity.of(float(circuits * (3 if circuit.phases == 3 else 2)), "1")
    count = together.row_at_or_above("up_to", conductors)
    column = _insulation_column(circuit)
    if row is None or row[column].value is None or count is None:
        because = "The tables give no factor for this ambient or this number of conductors together."
        sheet.find(Outcome.INCONCLUSIVE, table if count is not None else together, because=because)
        sheet.next_step("Choose a cooler place, insulation for a higher temperature, or fewer circuits together.")
        return None
    return {
        "Ca": sheet.looked_up("ambient factor", row[column]),
        "Cn": sheet.looked_up("adjustment for conductors together", count["factor"]),
    }


def _marked_terminals(circuit: Circuit) -> Quantity | None:
    """Temperature the terminals are marked for; None where the table of unmarked ones holds."""
    book, sheet = circuit.book, circuit.sheet
    marked: Quantity | None = circuit.request.get("terminal_temperature")
    if marked is None:
        table = book.table(f"{TOPIC}/terminal-temperature")
        sheet.assume("terminal_temperature", "60 °C up to 1 AWG, 75 °C above", table)
    elif marked.si < book.coefficients(f"{TOPIC}/insulation-temperature")["rated_60"].si - SLACK:
        raise contradiction(
            "/terminal_temperature", "terminals are marked 60, 75 or 90 °C here; read the marking again"
        )
    return marked


def _write(circuit: Circuit, need: Need, tried: Sequence[Gauge], judged: Gauge, chosen: Gauge | None) -> None:
    sheet = circuit.sheet
    if chosen is not None:
        sheet.value("cross_section", chosen.area)
        sheet.value("gauge", chosen.name)
    sheet.value("corrected_capacity", judged.corrected)
    if judged.drop is not None and judged.share is not None:
        sheet.value("voltage_drop", judged.drop)
        sheet.value("voltage_drop_share", judged.share)
    sheet.value("candidates", [_row(need, gauge) for gauge in tried])
    smaller = tried[: tried.index(judged)]
    failing = judged if judged.fails else smaller[-1] if smaller else None
    if failing is not None:
        sheet.value("limiting_checks", [check for check in CHECKS if check in failing.fails])
    if judged.fails:
        sheet.next_step("Take a larger gauge, shorten the run, group fewer circuits, or split the load.")
    ask_for_breaking(circuit)
    sheet.caution("caution/isolate-and-lock-off", "caution/local-code-and-licensed-practice")


def _row(need: Need, gauge: Gauge) -> dict[str, object]:
    row: dict[str, object] = {
        "cross_section": gauge.area, "gauge": gauge.name, "passes": not gauge.fails, "why": _why(need, gauge),
        "fails": [check for check in CHECKS if check in gauge.fails], "corrected_capacity": gauge.corrected,
    }  # fmt: skip
    if gauge.drop is not None and gauge.share is not None:
        row |= {"voltage_drop": gauge.drop, "voltage_drop_share": gauge.share}
    return row


def _why(need: Need, gauge: Gauge) -> str:
    if gauge.fails:
        return "fails: " + "; ".join(f"{check} ({gauge.fails[check]})" for check in CHECKS if check in gauge.fails)
    least = min(gauge.corrected, gauge.at_terminals, key=lambda ampacity: ampacity.si)
    told = f"passes: carries {short(least)} where {short(need.ampacity)} is needed"
    if need.carried.si != need.ampacity.si:
        told = (
            f"passes: carries {short(gauge.corrected)} where {short(need.carried)} is needed, and its terminals allow "
        )
        told += f"{short(gauge.at_terminals)} where {short(need.ampacity)} is needed"
    if gauge.drop is not None and gauge.share is not None:
        told += f", drops {short(gauge.drop)} ({short(gauge.share)})"
    return told


def _summary(circuit: Circuit, need: Need, tried: Sequence[Gauge], judged: Gauge, chosen: Gauge | None) -> str:
    asked = "gauge" in circuit.request or "cross_section" in circuit.request
    if chosen is not None:
        start = f"{judged.text} passes" if asked else f"Use {judged.text}"
        if circuit.sheet.outcome is Outcome.INCONCLUSIVE:
            start = f"As far as it can be judged, {start[0].lower()}{start[1:]}"
        told = f"{start}: it {_why(need, judged).removeprefix('passes: ')}."
        smaller = tried[: tried.index(judged)]
        if smaller:
            told += f" {smaller[-1].text} fails on {listed([check for check in CHECKS if check in smaller[-1].fails])}."
        return told
    if not judged.fails:
        return f"Reject: {rejecting(circuit.sheet).because} {judged.text} would carry the load."
    if asked:
        return f"Reject: {judged.text} {_why(need, judged)}."
    return f"Reject: no tabulated gauge passes; {judged.text} {_why(need, judged)}."
