"""Sizing by gauge under nfpa-70: 125 % of the current, the terminal's temperature column, and the equipment grounding conductor."""

from __future__ import annotations

from dataclasses import dataclass, field

from millphase.answer import Answer, Finding, Outcome
from millphase.physics import conductor
from millphase.quantity import Quantity
from millphase.questions._cable_circuit import Circuit, methods_open_to, note_next_row, remembered, short, table_missing
from millphase.questions._cable_heat import NAMES, Device
from millphase.questions.base import contradiction
from millphase.rulebook import Cell, Limit, Row

TOPIC = "cable-nfpa-70"
OWN_KINDS = ("inverse-time-breaker", "time-delay-fuse", "non-time-delay-fuse")
HEAT, TERMINALS, DROP, OVERCURRENT = "heat", "terminals", "voltage drop", "overcurrent protection"
CHECKS = (HEAT, TERMINALS, DROP, OVERCURRENT)
SLACK = 1e-9
MULTIPLES = {
    "drive": "drive-supply-conductors", "motor": "motor-conductors", "other": "continuous-load-conductors",
    "motor-from-drive": "drive-output-conductors",
}  # fmt: skip


@dataclass
class Gauge:
    """One gauge with everything worked out for it; `fails` maps a check to its reason."""

    name: str
    area: Quantity
    cell: Cell
    corrected: Quantity
    at_terminals: Quantity
    drop: Quantity | None = None
    share: Quantity | None = None
    allowed: Quantity | None = None
    fails: dict[str, str] = field(default_factory=dict)

    @property
    def text(self) -> str:
        """The gauge in a sentence."""
        return self.name.replace("-awg", " AWG")


@dataclass(frozen=True)
class Need:
    """What every gauge is held against."""

    load: str
    current: Quantity
    ampacity: Quantity
    factors: dict[str, Quantity]
    device: Device | None
    marked: Quantity | None
    drop_limit: Quantity
    drop_gates: bool


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
    factors = _factors(circuit, rule, ampacity)
    if factors is None:
        return sheet.answer("No gauge can be given: the tables end before this ambient or this number of conductors.")
    drop_rule = book.limit(f"{TOPIC}/voltage-drop")
    need = Need(
        load, current, ampacity, factors, device, _marked_terminals(circuit),
        circuit.request.get("voltage_drop_limit", drop_rule.value), "voltage_drop_limit" in circuit.request,
    )  # fmt: skip
    gauges = _gauges(circuit, need)
    passing = [gauge for gauge in gauges if not gauge.fails]
    judged = passing[0] if passing else min(reversed(gauges), key=lambda gauge: len(gauge.fails))
    device_holds = _find(circuit, need, judged, rule, drop_rule)
    chosen = judged if passing and device_holds else None
    _write(circuit, need, gauges, judged, chosen)
    return sheet.answer(_summary(circuit, need, gauges, judged, chosen))


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


def _standard_rating(circuit: Circuit, current: Quantity, kind: str) -> Quantity | None:
    """The next standard rating at or above a current; None past the end of the table."""
    table = circuit.book.table(f"{TOPIC}/standard-ratings")
    fuse = kind != "inverse-time-breaker"
    ratings = [row.q("rating") for row in table.rows() if fuse or row.text("applies") == "breaker-and-fuse"]
    return next((rating for rating in ratings if rating.si >= current.si * (1 - SLACK)), None)


def _device(circuit: Circuit, load: str, current: Quantity) -> Device | None:
    """The protective device asked for, or a starting point of 125 %; a drive guards its own output."""
    sheet, book = circuit.sheet, circuit.book
    given = circuit.request.get("protective_device", {})
    if load == "motor-from-drive":
        if given:
            raise contradiction(
                "/protective_device", "a drive guards its own motor cable; leave the device out or size the supply"
            )
        return None
    kind = given.get("kind", "inverse-time-breaker")
    if kind not in OWN_KINDS:
        rule = book.rule(f"{TOPIC}/device-kind")
        sheet.find(
            Outcome.INCONCLUSIVE, rule, because=f"A {NAMES[kind]} of other standards cannot be judged by these rules."
        )
        sheet.next_step(f"Name the device as one of {', '.join(OWN_KINDS)}.")
        kind = "inverse-time-breaker"
    elif not given:
        sheet.assume("protective_device/kind", kind, book.rule(f"{TOPIC}/device-kind"))
    if "rating" in given:
        rating: Quantity | None = given["rating"]
    else:
        wanted = _motor_device_limit(circuit, current, kind) if load == "motor" else _least_device(circuit, current)
        rating = _standard_rating(circuit, wanted, kind)
    if rating is not None:
        sheet.value("protective_device_rating", rating)
    return Device(kind, rating, True)


def _least_device(circuit: Circuit, current: Quantity) -> Quantity:
    rule = circuit.book.limit(f"{TOPIC}/continuous-load-device")
    return circuit.sheet.step("least device rating", "In = n × Ib", unit="A", rule=rule, n=rule.value, Ib=current)


def _motor_device_limit(circuit: Circuit, current: Quantity, kind: str) -> Quantity:
    shares = circuit.book.coefficients(f"{TOPIC}/motor-protection")
    return circuit.sheet.step(
        "most device rating worked out",
        "In = n × Ib",
        unit="A",
        rule=shares,
        n=shares[kind.replace("-", "_")],
        Ib=current,
    )


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


def _factors(circuit: Circuit, rule: Limit, ampacity: Quantity) -> dict[str, Quantity] | None:
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
    factors = {
        "Ca": sheet.looked_up("ambient factor", row[column]),
        "Cn": sheet.looked_up("adjustment for conductors together", count["factor"]),
    }
    tabulated = sheet.step("tabulated ampacity needed", "It = I/(Ca × Cn)", unit="A", rule=rule, I=ampacity, **factors)
    sheet.value("tabulated_capacity_needed", tabulated)
    return factors


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


def _terminal_column(circuit: Circuit, need: Need, gauge: str) -> str:
    """Column of the ampacity table that the terminals allow for a gauge."""
    table = circuit.book.table(f"{TOPIC}/terminal-temperature")
    limit = need.marked or table.rows(gauge=gauge)[0].q("temperature")
    temperatures = circuit.book.coefficients(f"{TOPIC}/insulation-temperature").values
    return [name for name, temperature in temperatures.items() if temperature.si <= limit.si + SLACK][-1]


def _gauges(circuit: Circuit, need: Need) -> list[Gauge]:
    assert circuit.method_row is not None  # noqa: S101  # a missing table has been answered before
    table = circuit.book.table(f"{TOPIC}/{circuit.method_row.text('capacity')}")
    rows = _asked_for(circuit, table.rows())
    return [_try_gauge(circuit, need, row, circuit.method_row.text(f"{circuit.loaded}_column")) for row in rows]


def _asked_for(circuit: Circuit, rows: list[Row]) -> list[Row]:
    """All rows, or the one of the gauge (or cross-section) asked about."""
    gauge, area = circuit.request.get("gauge"), circuit.request.get("cross_section")
    if gauge is None and area is None:
        return rows
    pointer = "/gauge" if gauge is not None else "/cross_section"
    found = [row for row in rows if gauge in (None, row.text("gauge")) and _same_area(area, row.q("cross_section"))]
    if not found:
        named = ", ".join(f"{row.text('gauge')} ({row.q('cross_section')})" for row in rows)
        raise contradiction(pointer, f"no such conductor in the table that holds here; it has {named}")
    return found


def _same_area(area: Quantity | None, tabulated: Quantity) -> bool:
    return area is None or abs(area.si - tabulated.si) <= 0.01 * tabulated.si


def _try_gauge(circuit: Circuit, need: Need, row: Row, column: str) -> Gauge:
    sheet, book = circuit.sheet, circuit.book
    name = row.text("gauge").replace("-awg", " AWG")
    corrected = sheet.step(
        f"corrected ampacity of {name}",
        "Iz = It × Ca × Cn",
        unit="A",
        rule=row[column],
        It=row.q(column),
        **need.factors,
    )
    terminal_row = book.table(f"{TOPIC}/capacity-raceway").rows(gauge=row.text("gauge"))[0]
    at_terminals = sheet.looked_up(
        f"ampacity of {name} at the terminals", terminal_row[_terminal_column(circuit, need, row.text("gauge"))]
    )
    gauge = Gauge(row.text("gauge"), row.q("cross_section"), row[column], corrected, at_terminals)
    if corrected.si < need.ampacity.si * (1 - SLACK):
        gauge.fails[HEAT] = f"carries {short(corrected)} of the {short(need.ampacity)} needed"
    if at_terminals.si < need.ampacity.si * (1 - SLACK):
        gauge.fails[TERMINALS] = f"its terminals allow {short(at_terminals)} of the {short(need.ampacity)} needed"
    _drop(circuit, need, gauge)
    gauge.allowed = _allowed_rating(circuit, need, gauge)
    rating = need.device.rating if need.device is not None else None
    if gauge.allowed is not None and rating is not None and rating.si > gauge.allowed.si * (1 + SLACK):
        gauge.fails[OVERCURRENT] = f"a {short(rating)} device is above the {short(gauge.allowed)} it may have"
    return gauge


def _drop(circuit: Circuit, need: Need, gauge: Gauge) -> None:
    if circuit.length is None:
        return
    sheet, book = circuit.sheet, circuit.book
    row = book.table(f"{TOPIC}/conductor-impedance").rows(gauge=gauge.name)[0]
    impedance = sheet.step(
        f"impedance of {gauge.text}", conductor.impedance_per_length, unit="mohm/m", rule=row,
        r=row.q("resistance"), x=row.q("reactance"),
    )  # fmt: skip
    law = conductor.voltage_drop_three_wire if circuit.phases == 3 else conductor.voltage_drop_two_wire
    gauge.drop = sheet.step(
        f"voltage drop of {gauge.text}", law, unit="V", I=need.current, L=circuit.length, z=impedance
    )
    gauge.share = sheet.step(
        f"share of the supply voltage, {gauge.text}", "share = dU/U", unit="%", dU=gauge.drop, U=circuit.voltage
    )
    if need.drop_gates and gauge.share.si > need.drop_limit.si * (1 + SLACK):
        gauge.fails[DROP] = f"{short(gauge.drop)} is {short(gauge.share)}, above {short(need.drop_limit)}"


def _allowed_rating(circuit: Circuit, need: Need, gauge: Gauge) -> Quantity | None:
    """Highest rating that may guard this conductor; None where article 430 rules instead."""
    if need.load != "other" or need.device is None:
        return None
    small = circuit.book.table(f"{TOPIC}/small-conductors").row(gauge=gauge.name)
    least = min(gauge.corrected, gauge.at_terminals, key=lambda ampacity: ampacity.si)
    most = small.q("rating") if small is not None else _standard_rating(circuit, least, need.device.kind)
    return None if most is None else _permitted(circuit, "overcurrent-rating", gauge.text, most)


def _permitted(circuit: Circuit, rule_name: str, what: str, most: Quantity) -> Quantity:
    """Rating that the rules in force permit of the one that the code's table gives."""
    rule = circuit.book.limit(f"{TOPIC}/{rule_name}")
    return circuit.sheet.step(
        f"most device rating permitted, {what}", "In = n × Im", unit="A", rule=rule, n=rule.value, Im=most
    )


def _find(circuit: Circuit, need: Need, judged: Gauge, rule: Limit, drop_rule: Limit) -> bool:
    """Write the findings of the judged gauge; True where the device and the earthing do not stand against it."""
    sheet = circuit.sheet
    because = (
        f"{judged.text} is tabulated at {judged.cell.value} ({judged.cell.cited.source['locator']}); where it lies it must "
        f"carry {rule.value} of {short(need.current)}.{remembered(judged.cell)}"
    )
    sheet.compare(rule, judged.corrected, against=need.ampacity, because=because)
    terminals = circuit.book.table(f"{TOPIC}/terminal-temperature")
    outcome = Outcome.REJECT if TERMINALS in judged.fails else Outcome.ACCEPT
    because = "The conductor must not overheat the terminals it ends in: their own column holds, whatever the insulation stands."
    sheet.find(outcome, terminals, because=because, measured=judged.at_terminals, limit=need.ampacity)
    _find_drop(circuit, need, judged, drop_rule)
    _find_leakage(circuit)
    return all(
        finding is None or finding.outcome is not Outcome.REJECT
        for finding in (_find_device(circuit, need, judged), _find_earth(circuit))
    )


def _find_drop(circuit: Circuit, need: Need, judged: Gauge, rule: Limit) -> None:
    sheet = circuit.sheet
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
        return sheet.find(Outcome.ACCEPT, rule, because=book.text(rule.id), decides=False)
    if device.rating is None:
        rule = book.rule(f"{TOPIC}/standard-ratings")
        because = f"No standard rating is high enough for {short(need.current)}; split the load."
        return sheet.find(Outcome.REJECT, rule, because=because, measured=need.current)
    if need.load == "motor":
        return _find_motor_device(circuit, need, device, device.rating)
    least = book.limit(f"{TOPIC}/continuous-load-device")
    against = _least_device(circuit, need.current)
    finding = sheet.compare(
        least, device.rating, against=against,
        because=f"The {device} must carry a continuous {short(need.current)} without tripping.",
        otherwise=Outcome.REJECT if need.load == "other" else Outcome.CAUTION,
    )  # fmt: skip
    if judged.allowed is not None:
        because = f"The {device} must guard {judged.text}."
        sheet.compare(book.limit(f"{TOPIC}/overcurrent-rating"), device.rating, against=judged.allowed, because=because)
    if need.load == "drive":
        rule = book.rule(f"{TOPIC}/drive-protection")
        sheet.find(Outcome.ACCEPT, rule, because=book.text(rule.id), measured=device.rating, decides=False)
        sheet.next_step(
            "Read the largest rating and the type of protective device from the drive's instructions; they rule."
        )
    return finding


def _find_motor_device(circuit: Circuit, need: Need, device: Device, rating: Quantity) -> Finding | None:
    worked_out = _motor_device_limit(circuit, need.current, device.kind)
    most = _standard_rating(circuit, worked_out, device.kind)
    rule = circuit.book.limit(f"{TOPIC}/motor-protection-rating")
    if most is None:
        because = f"The table of standard ratings ends below the {short(worked_out)} worked out for this motor."
        return circuit.sheet.find(Outcome.INCONCLUSIVE, rule, because=because, measured=rating)
    because = (
        f"The {device} guards against short circuit only; the motor's overload relay does the rest. Worked out "
        f"{short(worked_out)}, next standard rating {short(most)}."
    )
    permitted = _permitted(circuit, "motor-protection-rating", "motor", most)
    return circuit.sheet.compare(rule, rating, against=permitted, because=because)


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


def _grounding(circuit: Circuit, need: Need, gauges: list[Gauge], judged: Gauge) -> Quantity | None:
    """Equipment grounding conductor by the device's rating, in proportion where the circuit was enlarged for its drop."""
    if need.device is None or need.device.rating is None:
        return None
    row = circuit.book.table(f"{TOPIC}/equipment-grounding").row_at_or_above("up_to", need.device.rating)
    if row is None:
        return None
    found = circuit.sheet.looked_up("equipment grounding conductor", row["cross_section"])
    enough = next((gauge for gauge in gauges if set(gauge.fails) <= {DROP}), judged)
    if enough.area.si < judged.area.si:
        wanted = circuit.sheet.step(
            "equipment grounding conductor in proportion", "S = Sg × Sc/Sn", unit="mm2", rule=row, Sg=found,
            Sc=judged.area, Sn=enough.area,
        )  # fmt: skip
        found = next(gauge.area for gauge in gauges if gauge.area.si >= min(wanted.si, judged.area.si))
    return found if found.si <= judged.area.si else judged.area


def _write(circuit: Circuit, need: Need, gauges: list[Gauge], judged: Gauge, chosen: Gauge | None) -> None:
    sheet = circuit.sheet
    if chosen is not None:
        sheet.value("cross_section", chosen.area)
        sheet.value("gauge", chosen.name)
    sheet.value("corrected_capacity", judged.corrected)
    if judged.drop is not None and judged.share is not None:
        sheet.value("voltage_drop", judged.drop)
        sheet.value("voltage_drop_share", judged.share)
    grounding = _grounding(circuit, need, gauges, judged)
    if grounding is not None:
        sheet.value("protective_conductor", grounding)
    sheet.value("candidates", [_row(need, gauge) for gauge in gauges])
    smaller = gauges[: gauges.index(judged)]
    failing = judged if judged.fails else smaller[-1] if smaller else None
    if failing is not None:
        sheet.value("limiting_checks", [check for check in CHECKS if check in failing.fails])
    if judged.fails:
        sheet.next_step("Take a larger gauge, shorten the run, group fewer circuits, or split the load.")
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
    told = f"passes: carries {short(least)} of {short(need.ampacity)} needed"
    if gauge.drop is not None and gauge.share is not None:
        told += f", drops {short(gauge.drop)} ({short(gauge.share)})"
    return told


def _summary(circuit: Circuit, need: Need, gauges: list[Gauge], judged: Gauge, chosen: Gauge | None) -> str:
    asked = "gauge" in circuit.request or "cross_section" in circuit.request
    if chosen is not None:
        start = f"{judged.text} passes" if asked else f"Use {judged.text}"
        told = f"{start}: it {_why(need, judged).removeprefix('passes: ')}."
        smaller = gauges[: gauges.index(judged)]
        if smaller:
            told += f" {smaller[-1].text} fails on {' and '.join(c for c in CHECKS if c in smaller[-1].fails)}."
        return told
    if not judged.fails:
        return f"Reject: {judged.text} would carry the load, but its protective device or its earthing does not fit."
    if asked:
        return f"Reject: {judged.text} {_why(need, judged)}."
    return f"Reject: no tabulated gauge passes; {judged.text} {_why(need, judged)}."
