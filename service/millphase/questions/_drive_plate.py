"""The motor's plate: whether its values belong together, and the power the motor takes."""

from __future__ import annotations

from typing import Any

from millphase.answer import Sheet
from millphase.physics import drive as laws
from millphase.physics import motor as motors
from millphase.quantity import Quantity
from millphase.questions._drive_output import short
from millphase.questions.base import View, contradiction

_TABLE_POLES = 4


def motor_power(sheet: Sheet, book: View, motor: dict[str, Any], apparent: Quantity) -> Quantity:
    """Power the motor takes: from efficiency, from power factor, the larger of both, or from a table."""
    found: list[Quantity] = []
    if "power_factor" in motor:
        taken = sheet.step(
            "power taken by the motor, from its power factor", laws.three_phase_power, unit="W",
            U=motor["voltage"], I=motor["current"], k=motor["power_factor"],
        )  # fmt: skip
        found.append(taken)
    if "efficiency" in motor or not found:
        efficiency = motor.get("efficiency") or _efficiency(sheet, book, motor)
        taken = sheet.step(
            "power taken by the motor, from its efficiency", laws.power_taken, unit="W", P2=motor["power"], η=efficiency
        )
        found.append(taken if taken.si <= apparent.si or found else apparent)
    return max(found, key=lambda power: power.si)


def check_plate(sheet: Sheet, book: View, motor: dict[str, Any]) -> Quantity:
    """Refuse a plate whose values cannot belong together; returns the apparent power (shown in watts)."""
    apparent = sheet.step(
        "apparent power of the motor", laws.three_phase_power, unit="W", U=motor["voltage"], I=motor["current"], k=1.0
    )
    share = sheet.step(
        "shaft power over volt-amperes", motors.power_per_volt_ampere, unit="1",
        P=motor["power"], U=motor["voltage"], I=motor["current"],
    )  # fmt: skip
    most = book.limit("motor/largest-power-per-volt-ampere").value
    if share.si > most.si:
        raise contradiction(
            "/motor/current",
            f"{motor['power']} is {share.si:.3g} of the volt-amperes at {motor['voltage']} and {motor['current']}, over {most}: "
            "voltage and current must be those of the connection used; read both from the same line of the plate",
        )
    if "efficiency" in motor and motor["power"].si / motor["efficiency"].si > apparent.si * (1 + 1e-9):
        raise contradiction(
            "/motor/efficiency",
            f"at an efficiency of {motor['efficiency']} the motor would take more than its {short(apparent)} of volt-amperes; "
            "read efficiency, voltage and current again",
        )
    if "power_factor" in motor and apparent.si * motor["power_factor"].si < motor["power"].si:
        raise contradiction(
            "/motor/power_factor",
            f"at a power factor of {motor['power_factor']} the motor would take less than the {motor['power']} it gives; "
            "read power factor, voltage and current again",
        )
    return apparent


def _efficiency(sheet: Sheet, book: View, motor: dict[str, Any]) -> Quantity:
    """Efficiency of a motor of this size and number of poles from a table, at the next smaller power."""
    poles = motor.get("poles", _TABLE_POLES)
    table, column = book.table("motor/efficiency-ie1"), f"poles_{min(poles, 6)}"
    row = table.row_at_or_below("power", motor["power"]) or table.rows()[0]
    if poles == _TABLE_POLES:
        real = book.table("motor/typical-four-pole")
        nearest = real.row_at_or_below("power", motor["power"])
        if nearest is not None and nearest["efficiency"].value is not None:
            row, column = nearest, "efficiency"
    efficiency = sheet.looked_up("efficiency of motors of this size", row[column])
    sheet.assume("motor.efficiency", efficiency, row[column])
    return efficiency
