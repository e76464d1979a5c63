"""What to say beside the findings: how far the size reaches, what bound it, what to change, and the answer in a sentence."""

from __future__ import annotations

from collections.abc import Sequence

from millphase.answer import Outcome
from millphase.physics import fault
from millphase.quantity import Quantity
from millphase.questions._cable_circuit import Circuit, listed, rejecting, short, size_text
from millphase.questions._cable_device import Device, ask_for_breaking
from millphase.questions._cable_sizes import ADIABATIC, CHECKS, DROP, EARTH, HEAT, LEAST, LOOP, Demand, Size, why


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


def advise(circuit: Circuit, demand: Demand, sizes: Sequence[Size], judged: Size, chosen: Size | None) -> None:
    """Say how far the size reaches, what kept a smaller one out, what to do next, and what to beware of."""
    sheet = circuit.sheet
    longest = _longest_run(circuit, demand, judged)
    if longest is not None and (judged.loop is not None or circuit.on_drive_output):
        sheet.value("longest_run", longest)
    _name_limiting(circuit, demand, sizes, judged)
    if chosen is None:
        _advise_change(circuit, demand, sizes, judged, longest)
    if chosen is not None and judged.loop is not None:
        sheet.next_step("Once it is wired measure the loop impedance at the far end; commissioning-check judges it.")
    if circuit.request.get("feeds") == "motor" and "protective_device" not in circuit.request:
        sheet.next_step(
            "A motor switched straight onto the mains draws several times its current at the start and may trip a type B breaker "
            "at once: ask again with mcb-c or mcb-d as the device."
        )
    ask_for_breaking(circuit)
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


_WHOLE = Quantity.of(1.0, "1")
_RULES = {
    LEAST: "minimum-fixed", HEAT: "overload-capacity", DROP: "voltage-drop", LOOP: "loop-impedance",
    ADIABATIC: "adiabatic", EARTH: "high-current-flexible",
}  # fmt: skip


def _advise_change(
    circuit: Circuit, demand: Demand, sizes: Sequence[Size], judged: Size, longest: Quantity | None
) -> None:
    sheet, name = circuit.sheet, size_text(judged.cross_section)
    if "cross_section" in circuit.request and judged.fails:
        sheet.next_step("Leave cross_section out to get the smallest size that passes.")
    if HEAT in judged.fails:
        sheet.next_step(_heat_advice(circuit, demand, sizes))
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


_COOLER = {
    "Ca": "choose a cooler place", "Cg": "lay fewer circuits together", "Ci": "keep the cable out of thermal insulation",
    "Cs": "choose a method above ground", "Cd": "unreel the cable",
}  # fmt: skip


def _heat_advice(circuit: Circuit, demand: Demand, sizes: Sequence[Size]) -> str:
    """What would let a cable carry more: whatever lowers its capacity now, another cable, or less load."""
    ways = [words for symbol, words in _COOLER.items() if demand.factors.found.get(symbol, _WHOLE).si < 1.0 - 1e-9]
    if "cross_section" not in circuit.request:
        ways.append(
            f"choose another cable or method, as the table that holds here ends at {size_text(sizes[-1].cross_section)}"
        )
    told = "; or ".join([*ways, "split the load over two circuits"])
    return f"{told[0].upper()}{told[1:]}."


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


def summary(
    circuit: Circuit, demand: Demand, device: Device | None, sizes: Sequence[Size], judged: Size, chosen: Size | None
) -> str:
    """The answer in one sentence or two."""
    name = size_text(judged.cross_section)
    behind = f" behind {device.with_article}" if device is not None else " behind the drive"
    if chosen is not None:
        start = f"{name} passes" if "cross_section" in circuit.request else f"Use {name}"
        if circuit.sheet.outcome is Outcome.INCONCLUSIVE:
            start = f"As far as it can be judged, {start[0].lower()}{start[1:]}"
        told = f"{start}{behind}: it {why(circuit, chosen, demand).removeprefix('passes: ')}."
        if circuit.sheet.outcome is Outcome.REJECT:
            return f"Reject: {rejecting(circuit.sheet).because} The cable is not at fault. {told}"
        smaller = [size for size in sizes if size.cross_section.si < chosen.cross_section.si]
        if smaller:
            told += f" {size_text(smaller[-1].cross_section)} fails on {listed([check for check in CHECKS if check in smaller[-1].fails])}."
        return told
    if demand.protection is not None and demand.protection.forbidden:
        return (
            "Reject: this TT supply has no RCD, and no breaker or fuse disconnects an earth fault through an electrode. "
            f"{name} would suit the load once an RCD is fitted."
            if set(judged.fails) == {LOOP}
            else "Reject: this TT supply has no RCD, and the cable has other faults too."
        )
    if not judged.fails:
        return f"Reject: {rejecting(circuit.sheet).because} {name} would carry the load behind a device that fits."
    if "cross_section" in circuit.request:
        return f"Reject: {name}{behind} {why(circuit, judged, demand)}."
    return f"Reject: no tabulated size passes{behind}; {name} {why(circuit, judged, demand)}."
