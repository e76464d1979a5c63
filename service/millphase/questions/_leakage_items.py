"""Standing leakage, item by item: loads, wiring, drive filters, motor cables."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from millphase.answer import HasCitation, Sheet
from millphase.physics import leakage
from millphase.quantity import Quantity
from millphase.questions._residual_current import Supply, the_row
from millphase.questions.base import View, contradiction

CLASS_KINDS = ["plug-equipment", "fixed-equipment", "heating-appliance", "undeclared-load"]


@dataclass(frozen=True)
class Item:
    """One source of leakage.

    Attributes
    ----------
    what, kind, basis : str
        Name, sort, and how the figure was come by.
    expected, limit : Quantity
        Typical current and the most it may be; equal where the figure is declared or measured.
    counts : bool
        False for carrier-frequency current, which an RCD sees only in part.
    drive : int
        Index of the drive it belongs to, -1 for anything else.
    count : int
        How many such loads are in it.
    """

    what: str
    kind: str
    basis: str
    expected: Quantity
    limit: Quantity
    counts: bool = True
    drive: int = -1
    count: int = 1

    def row(self) -> dict[str, Any]:
        """The item as it stands in the answer."""
        return {
            "what": self.what, "kind": self.kind, "basis": self.basis, "expected": self.expected,
            "current": self.limit, "counts": self.counts,
        }  # fmt: skip


@dataclass(frozen=True)
class Bench:
    """What every item is worked out with."""

    sheet: Sheet
    book: View
    supply: Supply
    lines: str = ""  # what the two lines of a line-line fed drive are; empty where there is none
    links: dict[int, Quantity] = field(default_factory=dict)
    capacitances: dict[int, Quantity] = field(default_factory=dict)
    of_drives: dict[int, list[Item]] = field(default_factory=dict)


def drive_name(drive: dict[str, Any], index: int) -> str:
    """The caller's name of a drive, or its place in the list."""
    return str(drive.get("name", f"drive {index + 1}"))


def items_of(bench: Bench, request: dict[str, Any]) -> list[Item]:
    """Every source of leakage behind the RCD, listed or measured."""
    drives = request.get("drives", [])
    carriers = [item for index, drive in enumerate(drives) for item in _carrier(bench, drive, index)]
    if "measured_standing" in request:
        measured = request["measured_standing"].to("mA")
        return [Item("measured standing leakage", "measured", "measured", measured, measured), *carriers]
    found = [_load(bench, load, index) for index, load in enumerate(request.get("loads", []))]
    found += [_circuit(bench, circuit, index) for index, circuit in enumerate(request.get("circuits", []))]
    for index, drive in enumerate(drives):
        found += drive_items(bench, drive, index)
    return found + carriers


def drive_items(bench: Bench, drive: dict[str, Any], index: int) -> list[Item]:
    """Filter and motor cable of one drive; worked out once."""
    if index not in bench.of_drives:
        bench.of_drives[index] = [_filter(bench, drive, index), *_motor_cable(bench, drive, index)]
    return bench.of_drives[index]


def _load(bench: Bench, load: dict[str, Any], index: int) -> Item:
    each, typical, basis, rule = _load_figure(bench, load, index)
    name, count = load.get("name", load.get("kind", f"load {index + 1}")), load.get("count", 1)
    if count == 1:
        total, expected = each, typical
    else:
        total = bench.sheet.step(f"leakage of {count} × {name}", "I = n × i", unit="mA", rule=rule, n=count, i=each)
        expected = total
        if typical.si != each.si:
            what = f"typical leakage of {count} × {name}"
            expected = bench.sheet.step(what, "I = n × i", unit="mA", rule=rule, n=count, i=typical)
    what = f"{count} × {name}" if count > 1 else name
    return Item(what, "load", basis, expected.to("mA"), total.to("mA"), count=count)


def _load_figure(bench: Bench, load: dict[str, Any], index: int) -> tuple[Quantity, Quantity, str, HasCitation | None]:
    """Most and typical leakage of one such load, on what basis, and the rule behind it."""
    if "leakage" in load:
        return load["leakage"], load["leakage"], "declared", None
    if "kind" not in load:
        raise contradiction(
            f"/loads/{index}", "a load with neither leakage nor kind; measure its leakage or name its kind"
        )
    kind = load["kind"]
    if kind in CLASS_KINDS:
        return _class_figure(bench, load, index)
    row = the_row(bench.book.table("leakage/load-kind"), kind=kind)
    most = bench.sheet.looked_up(f"most leakage of one {kind}", row["limit"])
    return most, row.q("typical"), "table of kinds", row["limit"]


def _class_figure(bench: Bench, load: dict[str, Any], index: int) -> tuple[Quantity, Quantity, str, HasCitation | None]:
    kind = load["kind"]
    needed = "rated_power" if kind == "heating-appliance" else "rated_current"
    if needed not in load:
        raise contradiction(
            f"/loads/{index}", f"{kind} is judged by its {needed.replace('_', ' ')}; read it off the plate"
        )
    rule = bench.book.coefficients(f"leakage/{kind}")
    what = f"leakage allowed to a {kind}"
    if kind == "undeclared-load":
        length = load.get("length", Quantity.of(0, "m"))
        found = bench.sheet.step(
            what, leakage.undeclared_leakage, unit="mA", rule=rule, i=rule["per_ampere"], Ib=load["rated_current"],
            w=rule["per_metre"], l=length,
        )  # fmt: skip
    elif kind == "heating-appliance":
        kilowatts = load["rated_power"].to("kW").value
        found = bench.sheet.step(
            what, leakage.class_limit, unit="mA", rule=rule, a=rule["least"], b=kilowatts, k=rule["per_kilowatt"],
            c=rule["most"],
        )  # fmt: skip
    else:
        found = bench.sheet.step(
            what, leakage.class_limit, unit="mA", rule=rule, a=rule["least"], b=load["rated_current"],
            k=rule["per_ampere"], c=rule["most"],
        )  # fmt: skip
    return found, found, "class of equipment", rule


def _circuit(bench: Bench, circuit: dict[str, Any], index: int) -> Item:
    wiring = circuit.get("wiring", "cable")
    row = the_row(bench.book.table("leakage/wiring"), wiring=wiring)
    name = circuit.get("name", f"circuit {index + 1}")
    found = bench.sheet.step(
        f"leakage of the wiring of {name}", leakage.wiring_leakage, unit="mA", rule=row["per_metre"],
        i=row.q("per_metre"), l=circuit["length"], U=bench.supply.voltage, U1=row.q("voltage"),
        f=bench.supply.frequency, f1=row.q("frequency"),
    )  # fmt: skip
    return Item(f"wiring of {name}", "wiring", "by length", found, found)


def _filter(bench: Bench, drive: dict[str, Any], index: int) -> Item:
    name = drive_name(drive, index)
    what = f"filter of {name}"
    if "filter_leakage" not in drive and "y_capacitance" not in drive:
        rule = bench.book.coefficients("leakage/undeclared-drive-filter")
        bench.sheet.assume(f"drives/{index}/filter_leakage", rule["limit"], rule)
        bench.sheet.next_step(f"Read the earth leakage of {name} in its instructions and ask again with that figure.")
        reference = (rule["voltage"], rule["frequency"])
        limit = _scaled(bench, what, rule["limit"], reference, rule)
        expected = _scaled(bench, f"{what}, typical,", rule["typical"], reference, rule)
        return Item(what, "drive-filter", "assumed", expected, limit, drive=index)
    found: list[tuple[Quantity, str]] = []
    if "filter_leakage" in drive:
        found.append((_declared(bench, what, drive, index), "declared"))
    if "y_capacitance" in drive:
        found.append((_by_capacitance(bench, what, drive, index), "by capacitance"))
    limit, basis = max(found, key=lambda pair: pair[0].si)
    return Item(what, "drive-filter", basis, limit, limit, drive=index)


def _declared(bench: Bench, what: str, drive: dict[str, Any], index: int) -> Quantity:
    """The drive's own figure at this supply."""
    given = {
        "filter_leakage_voltage": bench.supply.voltage, "filter_leakage_frequency": bench.supply.frequency,
    }  # fmt: skip
    for name, in_force in given.items():
        if name in drive:
            given[name] = drive[name]
        else:
            bench.sheet.assume(f"drives/{index}/{name}", in_force, bench.book.rule("leakage/declared-for-this-supply"))
    return _scaled(bench, what, drive["filter_leakage"], (*given.values(),), None)


def _by_capacitance(bench: Bench, what: str, drive: dict[str, Any], index: int) -> Quantity:
    """Current through the capacitor between one line and earth."""
    if drive["input"] != "line-neutral":
        rule = bench.book.rule("leakage/one-line-open")
        bench.sheet.assume(f"drives/{index}/y_capacitance", bench.book.text(rule.id), rule)
    return bench.sheet.step(
        f"leakage of the {what} by its capacitor to earth", leakage.capacitive_leakage, unit="mA",
        f=bench.supply.frequency, C=drive["y_capacitance"], U=bench.supply.voltage,
    )  # fmt: skip


def _scaled(
    bench: Bench, what: str, declared: Quantity, reference: tuple[Quantity, ...], rule: HasCitation | None
) -> Quantity:
    """A declared leakage at this supply; unchanged, and without a line of working, where it was declared for it."""
    voltage, frequency = reference
    if voltage.si == bench.supply.voltage.si and frequency.si == bench.supply.frequency.si:
        return declared.to("mA")
    return bench.sheet.step(
        f"leakage of the {what} at this supply", leakage.scaled_leakage, unit="mA", rule=rule, I1=declared,
        U1=voltage, U2=bench.supply.voltage, f1=frequency, f2=bench.supply.frequency,
    )  # fmt: skip


def _capacitance(bench: Bench, drive: dict[str, Any], index: int) -> Quantity | None:
    """Capacitance to earth of motor cable and motor, or None where no cable is described; worked out once."""
    cable = drive.get("motor_cable")
    if cable is None:
        return None
    if index not in bench.capacitances:
        table = bench.book.table("leakage/motor-cable")
        if "screened" not in cable:
            bench.sheet.assume(f"drives/{index}/motor_cable/screened", "yes", table)
        row = the_row(table, screened="yes" if cable.get("screened", True) else "no")
        motor = bench.book.constant("leakage/motor-capacitance")
        bench.capacitances[index] = bench.sheet.step(
            f"capacitance to earth of motor cable and motor of {drive_name(drive, index)}", "C = c × l + Cm", unit="nF",
            rule=row["capacitance"], c=row.q("capacitance"), l=cable["length"], Cm=motor.value,
        )  # fmt: skip
    return bench.capacitances[index]


def _motor_cable(bench: Bench, drive: dict[str, Any], index: int) -> list[Item]:
    capacitance = _capacitance(bench, drive, index)
    if capacitance is None:
        return []
    name = drive_name(drive, index)
    found = bench.sheet.step(
        f"supply-frequency leakage of motor cable and motor of {name}", leakage.capacitive_leakage, unit="mA",
        rule=bench.book.table("leakage/motor-cable"), f=bench.supply.frequency, C=capacitance, U=bench.supply.voltage,
    )  # fmt: skip
    return [Item(f"motor cable and motor of {name}", "motor-cable", "by capacitance", found, found, drive=index)]


def _carrier(bench: Bench, drive: dict[str, Any], index: int) -> list[Item]:
    capacitance = _capacitance(bench, drive, index)
    if "carrier_frequency" not in drive or capacitance is None:
        return []
    name = drive_name(drive, index)
    found = bench.sheet.step(
        f"order of size of the carrier-frequency leakage of {name}", leakage.carrier_leakage, unit="mA",
        rule=bench.book.table("leakage/motor-cable"), fc=drive["carrier_frequency"], C=capacitance,
        Ud=link_voltage(bench, drive, index),
    )  # fmt: skip
    return [Item(f"carrier-frequency current of {name}", "carrier", "by capacitance", found, found, False, index)]


def link_voltage(bench: Bench, drive: dict[str, Any], index: int) -> Quantity:
    """DC link voltage: the crest between what feeds the drive, or more where a boost stage holds it; worked out once."""
    if index not in bench.links:
        spans = {"line-neutral": 2.0, "three-phase": 6.0, "line-line": 8.0 if bench.lines == "split-phase" else 6.0}
        link = bench.sheet.step(
            f"crest of the supply, which the DC link of {drive_name(drive, index)} stands at", "Ud = √(k) × U", unit="V",
            k=spans[drive["input"]], U=bench.supply.voltage,
        )  # fmt: skip
        if drive["boost_stage"]:
            boosted = bench.sheet.looked_up(
                "link voltage of a boost stage", bench.book.constant("leakage/boosted-link-voltage")
            )
            link = max(link, boosted, key=lambda u: u.si)
        bench.links[index] = link
    return bench.links[index]
