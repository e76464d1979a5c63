"""Sizing in square millimetres, under the two sets of wiring rules that share the IEC's way of thinking."""

from __future__ import annotations

from collections.abc import Sequence

from millphase.answer import Answer, Outcome
from millphase.quantity import Quantity
from millphase.questions import _cable_advice as advice
from millphase.questions import _cable_earth as earth
from millphase.questions import _cable_findings as findings
from millphase.questions._cable_circuit import (
    Circuit,
    insulation_limit,
    methods_open_to,
    note_scope,
    short,
    size_text,
    table_missing,
)
from millphase.questions._cable_device import NAMES, Device, judge_breaking, judge_device, protective_device
from millphase.questions._cable_fault import Protection, protection_of
from millphase.questions._cable_heat import (
    Factors,
    ambient_of,
    capacity_needed,
    note_place_defaults,
    place_factors,
)
from millphase.questions._cable_sizes import CHECKS, LOOP, Demand, Size, capacity_rows, try_size, why
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
    note_scope(circuit)
    factors = place_factors(circuit, circuit.method_row)
    need = capacity_needed(circuit, device, factors)
    if factors.missing:
        return _no_factor(circuit, circuit.method_row, factors)
    holds, protection = True, None
    if device is not None:
        holds = judge_device(circuit, device)
        protection = protection_of(circuit, device)
        holds &= judge_breaking(circuit, protection.near)
    demand = _demand(circuit, device, need, factors, protection)
    sizes = _sizes(circuit, circuit.method_row, demand)
    if not sizes:
        return _below_least(circuit, demand)
    judged, chosen = _judge(sizes, holds)
    _write_values(circuit, demand, sizes, judged, chosen)
    findings.write_findings(circuit, circuit.method_row, demand, device, judged)
    earth.judge(circuit, device, judged)
    advice.advise(circuit, demand, sizes, judged, chosen)
    return sheet.answer(advice.summary(circuit, demand, device, sizes, judged, chosen))


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
