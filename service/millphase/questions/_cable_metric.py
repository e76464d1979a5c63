"""Sizing in square millimetres, under the two sets of wiring rules that share the IEC's way of thinking."""

from __future__ import annotations

from collections.abc import Sequence

from millphase.answer import Answer, Outcome
from millphase.physics import conductor, fault
from millphase.quantity import Quantity
from millphase.questions import _cable_earth as earth
from millphase.questions._cable_circuit import (
    Circuit,
    insulation_limit,
    methods_open_to,
    remembered,
    short,
    size_text,
    table_missing,
)
from millphase.questions._cable_fault import Protection, protection_of
from millphase.questions._cable_heat import (
    NAMES,
    Device,
    Factors,
    ambient_of,
    capacity_needed,
    judge_device,
    note_place_defaults,
    place_factors,
    protective_device,
)
from millphase.questions._cable_sizes import (
    ADIABATIC,
    CHECKS,
    DROP,
    EARTH,
    HEAT,
    LEAST,
    LOOP,
    Demand,
    Size,
    capacity_rows,
    drop_by_resistance,
    drop_cell,
    try_size,
    why,
)
from millphase.questions.base import contradiction
from millphase.rulebook import Row


def answer(circuit: Circuit) -> Answer:
    """Device, heat, voltage drop, fault, protective conductor; then the smallest size that passes, or the one asked about."""
    sheet = circuit.sheet
    device = protective_device(circuit)
    if device is not None and device.rating is not None:
        sheet.value("protective_device_rating", device.rating)
    if table_missing(circuit) or circuit.method_row is None:
        return _no_table(circuit, device)
    if device is not None and not device.known:
        return _unknown_device(circuit, device)
    note_place_defaults(circuit, circuit.method_row)
    factors = place_factors(circuit, circuit.method_row)
    need = capacity_needed(circuit, device, factors)
    if factors.missing:
        return _no_factor(circuit, circuit.method_row, factors)
    holds = judge_device(circuit, device) if device is not None else True
    protection = protection_of(circuit, device) if device is not None else None
    demand = _demand(circuit, device, need, factors, protection)
    sizes = _sizes(circuit, circuit.method_row, demand)
    if not sizes:
        return _below_least(circuit, demand)
    judged, chosen = _judge(sizes, holds)
    _write_values(circuit, demand, sizes, judged, chosen)
    _write_findings(circuit, circuit.method_row, demand, device, judged)
    earth.judge(circuit, device, judged)
    _advise(circuit, demand, sizes, judged, chosen)
    return sheet.answer(_summary(circuit, demand, device, sizes, judged, chosen))


def _no_table(circuit: Circuit, device: Device | None) -> Answer:
    sheet, book = circuit.sheet, circuit.book
    rule = book.rule("cable/table-missing")
    what = f"{circuit.rules} has no capacity table for {circuit.described}"
    sheet.find(Outcome.INCONCLUSIVE, rule, because=f"{what}; a table of other wiring rules must not be borrowed.")
    if device is not None and device.rating is not None:
        judge_device(circuit, device)
    sheet.next_step(methods_open_to(circuit))
    start = "Reject: the device does not carry the load, and no" if sheet.outcome is Outcome.REJECT else "No"
    return sheet.answer(f"{start} size can be given: {what}. {methods_open_to(circuit)}")


def _unknown_device(circuit: Circuit, device: Device) -> Answer:
    sheet = circuit.sheet
    rule = circuit.book.rule(f"{circuit.topic}/overload-design-current")
    advice = "Choose mcb-b, mcb-c, mcb-d or fuse-gg, or the wiring rules that the device belongs to."
    because = f"{circuit.rules} has no {NAMES[device.kind]}, so what it protects cannot be judged."
    sheet.find(Outcome.INCONCLUSIVE, rule, because=because)
    sheet.next_step(advice)
    return sheet.answer(f"No size can be given: {because} {advice}")


def _no_factor(circuit: Circuit, row: Row, factors: Factors) -> Answer:
    sheet = circuit.sheet
    limit = insulation_limit(circuit)
    ambient = ambient_of(circuit, row)
    if ambient.si >= limit.si:
        table = factors.missing[0][0]
        because = (
            f"At {short(ambient)} around it {circuit.insulation} insulation, good for {short(limit)}, carries nothing."
        )
        sheet.find(Outcome.REJECT, table, because=because, measured=ambient, limit=limit)
        sheet.next_step("Route the cable through a cooler place, or choose insulation for a higher temperature.")
        return sheet.answer(f"Reject: {because}")
    what = " and ".join(name for _, name in factors.missing)
    for table, name in factors.missing:
        because = f"The table ends before this circuit: it gives no {name} here."
        sheet.find(Outcome.INCONCLUSIVE, table, because=because)
    advice = (
        "Choose a cooler place, fewer circuits together, or other insulation, so that the tables reach the circuit."
    )
    sheet.next_step(advice)
    return sheet.answer(f"No size can be given: the tables of {circuit.rules} hold no {what} for this place.")


def _demand(
    circuit: Circuit, device: Device | None, need: Quantity, factors: Factors, protection: Protection | None
) -> Demand:
    book, sheet, topic = circuit.book, circuit.sheet, circuit.topic
    drop_rule = book.limit(f"{topic}/voltage-drop")
    drop_limit = circuit.request.get("voltage_drop_limit")
    if drop_limit is None:
        drop_limit = drop_rule.value
        sheet.assume("voltage_drop_limit", drop_limit, drop_rule)
    least = book.limit(f"{topic}/minimum-{'flexible' if circuit.cable == 'flexible' else 'fixed'}")
    return Demand(need, factors, protection, drop_limit, least, drop_rule, earth.core_needed(circuit, device))


def _sizes(circuit: Circuit, row: Row, demand: Demand) -> list[Size]:
    """Every tabulated size tried; only the one asked about where the request names one; none where it is too small."""
    rows = capacity_rows(circuit, row)
    wanted: Quantity | None = circuit.request.get("cross_section")
    if wanted is not None:
        if wanted.si < demand.least.value.si * (1 - 1e-9) and wanted.si < rows[0][0].si * (1 - 1e-9):
            return []
        named = ", ".join(size_text(size) for size, _ in rows)
        rows = [(size, cell) for size, cell in rows if abs(size.si - wanted.si) <= 1e-9 * wanted.si]
        if not rows:
            raise contradiction(
                "/cross_section", f"{size_text(wanted)} is not in the table that holds here; it has {named}"
            )
    return [try_size(circuit, demand, size, cell) for size, cell in rows]


def _below_least(circuit: Circuit, demand: Demand) -> Answer:
    wanted: Quantity = circuit.request["cross_section"]
    because = f"{size_text(wanted)} is below the least size of a power circuit, {size_text(demand.least.value)}."
    circuit.sheet.compare(demand.least, wanted, because=because)
    circuit.sheet.next_step("Leave cross_section out to get the smallest size that passes.")
    return circuit.sheet.answer(f"Reject: {because}")


def _judge(sizes: Sequence[Size], holds: bool) -> tuple[Size, Size | None]:
    """The size the findings speak of, and the size chosen: None where nothing passes."""
    if holds:
        for size in sizes:
            if size.passes:
                return size, size
    for size in sizes:
        if set(size.fails) <= {LOOP} and (size.loop is None or not holds):
            return size, None
    return min(reversed(sizes), key=lambda size: len(size.fails)), None


def _write_values(circuit: Circuit, demand: Demand, sizes: Sequence[Size], judged: Size, chosen: Size | None) -> None:
    sheet = circuit.sheet
    if chosen is not None:
        sheet.value("cross_section", chosen.cross_section)
    sheet.value("corrected_capacity", judged.corrected)
    sheet.value("protective_conductor", earth.prescribed(circuit, judged))
    for name, value in _measured(judged).items():
        sheet.value(name, value)
    sheet.value("candidates", [_row(circuit, size, demand) for size in sizes])


def _row(circuit: Circuit, size: Size, demand: Demand) -> dict[str, object]:
    row: dict[str, object] = {
        "cross_section": size.cross_section, "passes": size.passes, "why": why(circuit, size, demand),
        "fails": [check for check in CHECKS if check in size.fails], "corrected_capacity": size.corrected,
        "protective_conductor": size.protective,
    }  # fmt: skip
    return row | _measured(size)


def _measured(size: Size) -> dict[str, Quantity]:
    """What could be worked out for a size, by value name."""
    found = {
        "voltage_drop": size.drop, "voltage_drop_share": size.share, "loop_impedance": size.loop,
        "adiabatic_minimum": size.minimum,
    }  # fmt: skip
    return {name: value for name, value in found.items() if value is not None}


def _write_findings(circuit: Circuit, row: Row, demand: Demand, device: Device | None, judged: Size) -> None:
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


def _find_fault(circuit: Circuit, protection: Protection, device: Device | None, judged: Size) -> None:
    sheet, book, topic = circuit.sheet, circuit.book, circuit.topic
    rule = book.limit(f"{topic}/loop-impedance")
    if protection.earthing == "tt":
        _find_electrode(circuit, protection)
    if protection.forbidden:
        return
    if judged.loop is None:
        reason = protection.unknown or "the length of the run is not known"
        sheet.find(Outcome.INCONCLUSIVE, rule, because=f"Disconnection in a fault cannot be judged: {reason}.")
        _ask_for_loop(circuit, protection)
        return
    name = size_text(judged.cross_section)
    if protection.limit is not None:
        because = f"A fault at the end of {name} must make the {device} disconnect in time, conductors hot."
        sheet.compare(rule, judged.loop, against=protection.limit, because=because, decides=judged.by != "rcd")
    _find_residual_type(circuit)
    if protection.residual_limit is not None:
        because = "The RCD disconnects an earth fault through this loop."
        sheet.compare(
            rule, judged.loop, against=protection.residual_limit, because=because,
            decides=judged.by == "rcd" or protection.limit is None or judged.by == "none",
        )  # fmt: skip
    _find_adiabatic(circuit, protection, judged)


def _find_residual_type(circuit: Circuit) -> None:
    """A drive's residual current is no sine wave, so a type AC device may not see it."""
    if circuit.request.get("feeds") != "drive" or circuit.request.get("rcd", {}).get("type") != "AC":
        return
    rule = circuit.book.rule("cable/residual-device-for-drive")
    circuit.sheet.find(Outcome.CAUTION, rule, because=circuit.book.text(rule.id))
    circuit.sheet.next_step("Ask leakage-budget for the least type of RCD that this drive allows.")


def _find_adiabatic(circuit: Circuit, protection: Protection, judged: Size) -> None:
    rule = circuit.book.limit(f"{circuit.topic}/adiabatic")
    if judged.minimum is not None:
        if judged.minimum is protection.limited_minimum:
            table = circuit.book.table("cable/breaker-let-through")
            circuit.sheet.assume("protective_device", "energy-limiting class 3", table)
            circuit.sheet.next_step(
                "Check that the breaker bears a 3 in a square, the mark of its energy-limiting class."
            )
        because = "The protective conductor must not be damaged by the heat of the fault before it is cleared."
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


def _longest_run(circuit: Circuit, demand: Demand, size: Size) -> Quantity | None:
    """Length at which the first of voltage drop and loop impedance reaches its limit."""
    sheet, protection = circuit.sheet, demand.protection
    if circuit.length is None or size.share is None:
        return None
    by_drop = sheet.step(
        "longest run by voltage drop", "Lmax = L × limit/share", unit="m", L=circuit.length, limit=demand.drop_limit,
        share=size.share,
    )  # fmt: skip
    if protection is None or size.loop is None or protection.external is None or size.hot_protective is None:
        return by_drop
    limit = protection.residual_limit or protection.limit
    if limit is None or limit.si <= protection.external.si:
        return None
    by_loop = sheet.step(
        "longest run by loop impedance", fault.longest_run_for_loop, unit="m", Zmax=limit, Ze=protection.external,
        R1=size.hot, R2=size.hot_protective,
    )  # fmt: skip
    return min(by_drop, by_loop, key=lambda length: length.si)


def _advise(circuit: Circuit, demand: Demand, sizes: Sequence[Size], judged: Size, chosen: Size | None) -> None:
    sheet = circuit.sheet
    longest = _longest_run(circuit, demand, judged)
    if longest is not None:
        sheet.value("longest_run", longest)
    _name_limiting(circuit, demand, sizes, judged)
    if chosen is None:
        _advise_change(circuit, demand, judged, longest)
    if chosen is not None and judged.loop is not None:
        sheet.next_step("Once it is wired measure the loop impedance at the far end; commissioning-check judges it.")
    if circuit.cable == "screened":
        sheet.next_step(circuit.book.text("cable/motor-cable-screen"))
    if circuit.on_drive_output:
        sheet.caution("caution/no-switching-behind-drive")
    if "rcd" in circuit.request:
        sheet.caution("caution/never-defeat-rcd")
    sheet.caution("caution/isolate-and-lock-off", "caution/local-code-and-licensed-practice")


def _name_limiting(circuit: Circuit, demand: Demand, sizes: Sequence[Size], judged: Size) -> None:
    """Which check kept the size from being smaller; or which ones it fails."""
    smaller = [size for size in sizes if size.cross_section.si < judged.cross_section.si]
    failing = judged if judged.fails else smaller[-1] if smaller else None
    if failing is None:
        return
    circuit.sheet.value("limiting_checks", [check for check in CHECKS if check in failing.fails])
    if failing is judged:
        return
    sheet, name = circuit.sheet, size_text(failing.cross_section)
    rule = circuit.book.rule(f"{circuit.topic}/{_RULES[next(check for check in CHECKS if check in failing.fails)]}")
    sheet.find(Outcome.REJECT, rule, because=f"{name} {why(circuit, failing, demand)}.", decides=False)
    if set(failing.fails) == {LOOP} and "rcd" not in circuit.request:
        sheet.next_step(f"{name} would do if an RCD disconnected earth faults: its loop is the only thing against it.")


_RULES = {
    LEAST: "minimum-fixed", HEAT: "overload-capacity", DROP: "voltage-drop", LOOP: "loop-impedance",
    ADIABATIC: "adiabatic", EARTH: "high-current-flexible",
}  # fmt: skip


def _advise_change(circuit: Circuit, demand: Demand, judged: Size, longest: Quantity | None) -> None:
    sheet, name = circuit.sheet, size_text(judged.cross_section)
    if "cross_section" in circuit.request and judged.fails:
        sheet.next_step("Leave cross_section out to get the smallest size that passes.")
    if HEAT in judged.fails:
        sheet.next_step(
            "Lay fewer circuits together, choose a cooler place or a method that sheds heat better (c or e), or split the load."
        )
    if DROP in judged.fails and longest is not None:
        sheet.next_step(
            f"Shorten the run: {name} reaches {short(longest, 3)}. Or move the supply nearer, or split the load."
        )
    if LOOP in judged.fails and judged.loop is not None:
        sheet.next_step(_loop_advice(demand))
    if ADIABATIC in judged.fails:
        sheet.next_step("Run a larger separate protective conductor, or choose a device that lets less energy through.")
    if EARTH in judged.fails:
        sheet.next_step("Choose a cable with a larger protective conductor, or connect the drive permanently.")


def _loop_advice(demand: Demand) -> str:
    protection = demand.protection
    external = protection.external if protection else None
    limit = protection.limit if protection else None
    advice = (
        "Let an RCD disconnect earth faults, or choose a device that trips at less current (type B before C before D)."
    )
    if external is not None and limit is not None and external.si > limit.si:
        return f"The loop at the origin, {short(external)}, is already above {short(limit)}: no cable can mend it. {advice}"
    return advice


def _summary(
    circuit: Circuit, demand: Demand, device: Device | None, sizes: Sequence[Size], judged: Size, chosen: Size | None
) -> str:
    name = size_text(judged.cross_section)
    behind = f" behind a {device}" if device is not None else " behind the drive"
    if chosen is not None:
        start = f"{name} passes" if "cross_section" in circuit.request else f"Use {name}"
        if circuit.sheet.outcome is Outcome.INCONCLUSIVE:
            start = f"As far as it can be judged, {start[0].lower()}{start[1:]}"
        told = f"{start}{behind}: it {why(circuit, chosen, demand).removeprefix('passes: ')}."
        if circuit.sheet.outcome is Outcome.REJECT:
            against = next(
                found for found in circuit.sheet.findings if found.decides and found.outcome is Outcome.REJECT
            )
            return f"Reject: {against.because} The cable is not at fault. {told}"
        smaller = [size for size in sizes if size.cross_section.si < chosen.cross_section.si]
        if smaller:
            told += f" {size_text(smaller[-1].cross_section)} fails on {_and(smaller[-1])}."
        return told
    if demand.protection is not None and demand.protection.forbidden:
        return (
            "Reject: this TT supply has no RCD, and no breaker or fuse disconnects an earth fault through an electrode. "
            f"{name} would suit the load once an RCD is fitted."
            if set(judged.fails) == {LOOP}
            else "Reject: this TT supply has no RCD, and the cable has other faults too."
        )
    if not judged.fails:
        return f"Reject: the protective device does not fit the load of {short(circuit.current)}."
    if "cross_section" in circuit.request:
        return f"Reject: {name}{behind} {why(circuit, judged, demand)}."
    return f"Reject: no tabulated size passes{behind}; {name} {why(circuit, judged, demand)}."


def _and(size: Size) -> str:
    return " and ".join(check for check in CHECKS if check in size.fails)
