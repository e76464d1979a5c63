"""What the insulation of each motor lets through while its drive runs it, by how the drive is fed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from millphase.physics import leakage
from millphase.quantity import Quantity
from millphase.questions._leakage_items import Bench, drive_name, link_voltage

NOTHING = Quantity(0.0, "mA", "current")


@dataclass(frozen=True)
class Fault:
    """Residual current of the insulation fault stated for one drive's motor.

    Attributes
    ----------
    mains, total, bound : Quantity
        Part at supply frequency, all frequencies, and what it cannot exceed.
    """

    mains: Quantity
    total: Quantity
    bound: Quantity


def faults_of(bench: Bench, request: dict[str, Any]) -> list[Fault | None]:
    """One entry per drive, None where no motor insulation is stated."""
    return [
        _fault(bench, drive, index) if "motor_insulation" in drive else None
        for index, drive in enumerate(request.get("drives", []))
    ]


def _fault(bench: Bench, drive: dict[str, Any], index: int) -> Fault:
    mains = _mains_part(bench, drive, index)
    if drive["boost_stage"]:
        return _behind_boost_stage(bench, drive, index, mains)
    sheet, name = bench.sheet, drive_name(drive, index)
    what = f"residual current by the motor insulation of {name}, all frequencies"
    known: dict[str, Any] = {"unit": "mA", "U": bench.supply.voltage, "R": drive["motor_insulation"]}
    if drive["input"] == "three-phase":
        total = sheet.step(what, leakage.fault_current_total_three_phase, **known)
        return Fault(mains, total, total)
    bound = sheet.step(f"most it can be, as on the supply side, {name}", leakage.fault_current_supply_side, **known)
    if drive["input"] == "line-line":
        return Fault(mains, bound, bound)
    return Fault(mains, sheet.step(what, leakage.fault_current_total, **known), bound)


def _mains_part(bench: Bench, drive: dict[str, Any], index: int) -> Quantity:
    """Part at supply frequency: none where the poles swing evenly about earth."""
    if drive["input"] == "three-phase" or (drive["input"] == "line-line" and bench.lines == "split-phase"):
        return NOTHING
    return bench.sheet.step(
        f"part of it at supply frequency, {drive_name(drive, index)}", leakage.fault_current_mains, unit="mA",
        U=bench.supply.voltage, R=drive["motor_insulation"],
    )  # fmt: skip


def _behind_boost_stage(bench: Bench, drive: dict[str, Any], index: int, mains: Quantity) -> Fault:
    name, link, resistance = drive_name(drive, index), link_voltage(bench, drive, index), drive["motor_insulation"]
    bound = bench.sheet.step(
        f"most it can be, {name}", leakage.fault_current_supply_side, unit="mA", U=link, R=resistance
    )
    if drive["input"] != "line-neutral":
        return Fault(mains, bound, bound)
    total = bench.sheet.step(
        f"residual current by the motor insulation of {name}, all frequencies", leakage.fault_current_total_boost,
        unit="mA", Ud=link, U=bench.supply.voltage, R=resistance,
    )  # fmt: skip
    return Fault(mains, total, bound)


def worst_voltage(bench: Bench, drives: list[dict[str, Any]]) -> Quantity:
    """Greatest r.m.s. voltage that a supply or a drive behind it puts on a fault to earth."""
    worst = bench.supply.voltage
    for index, drive in enumerate(drives):
        if drive["boost_stage"]:
            worst = max(worst, link_voltage(bench, drive, index), key=lambda u: u.si)
        elif drive["input"] == "three-phase":
            per_volt = leakage.fault_current_total_three_phase(1.0, 1.0)
            bridge = bench.sheet.step(
                "voltage that a six-pulse bridge puts on a fault", "Uf = k × U", unit="V", k=per_volt,
                U=bench.supply.voltage,
            )  # fmt: skip
            worst = max(worst, bridge, key=lambda u: u.si)
    return worst


def fault_points(bench: Bench, request: dict[str, Any]) -> list[dict[str, Any]]:
    """The same fault at three places of a line-neutral fed drive: says which number belongs to which."""
    found = []
    for index, drive in enumerate(request.get("drives", [])):
        if "motor_insulation" not in drive or drive["boost_stage"] or drive["input"] != "line-neutral":
            continue
        name = drive_name(drive, index)
        known: dict[str, Any] = {"unit": "mA", "U": bench.supply.voltage, "R": drive["motor_insulation"]}
        half = bench.sheet.step(f"half-wave fault, r.m.s., {name}", leakage.fault_current_total, **known)
        mains = bench.sheet.step(f"half-wave fault, supply frequency, {name}", leakage.fault_current_mains, **known)
        mean = bench.sheet.step(
            f"fault on a pole of the DC link, mean, {name}", leakage.fault_current_pole_mean, **known
        )
        turning = bench.sheet.step(
            f"motor fault, part at the motor's frequency at full modulation, {name}",
            leakage.fault_current_motor_frequency, m=1.0, **known,
        )  # fmt: skip
        supply = bench.sheet.step(f"fault ahead of the drive, {name}", leakage.fault_current_supply_side, **known)
        found += [
            {
                "drive": name, "fault_at": "motor", "total": half, "at_supply_frequency": mains,
                "at_motor_frequency": turning,
            },
            {"drive": name, "fault_at": "dc-link-pole", "total": half, "at_supply_frequency": mains, "mean": mean},
            {"drive": name, "fault_at": "supply-side", "total": supply, "at_supply_frequency": supply},
        ]  # fmt: skip
    return found
