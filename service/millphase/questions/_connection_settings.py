"""What a drive must be told about the motor, each value with where it comes from."""

from __future__ import annotations

from typing import Any, Protocol

from millphase.answer import Sheet
from millphase.physics import motor
from millphase.quantity import Quantity, number_text
from millphase.questions import _connection_fill as fill
from millphase.questions._connection_plate import Plate
from millphase.questions._motor_speed import Speed
from millphase.questions.base import Outcome, View, out

NAMES = [
    "motor-voltage", "base-frequency", "motor-current", "thermal-protection", "rated-power", "rated-speed", "power-factor",
    "poles",
]  # fmt: skip
COLUMNS = {
    "setting": out.choice(NAMES, "What the setting is for; drives name it in their own way."),
    "value": out.text("Value with its unit."),
    "taken_from": out.choice(["plate", "worked-out", "table"], "Where the value comes from."),
}


class Chosen(Protocol):
    """The connection the settings are for."""

    @property
    def connection(self) -> str:
        """Its name."""

    @property
    def rated_voltage(self) -> Quantity:
        """Line voltage it is made for."""


def write(
    sheet: Sheet, book: View, plate: Plate, chosen: Chosen, current: Quantity | None, *, speed: Speed | None,
    base: Quantity | None, output: Quantity,
) -> None:  # fmt: skip
    """Write ``drive_settings``; `base` is the raised base frequency of the extended range, or None."""
    power = fill.power_of(sheet, book, plate, chosen.rated_voltage, current)
    speed = speed or fill.typical_speed(sheet, book, plate, power)
    factor = fill.power_factor_of(sheet, book, plate, speed, chosen.rated_voltage, current, power)
    given = plate.given
    rows: list[dict[str, Any]] = []

    def add(setting: str, value: Quantity | None, source: str, digits: int = 4) -> None:
        if value is not None:
            shown = f"{number_text(value.value, digits)} {value.unit}".removesuffix(" 1")
            rows.append({"setting": setting, "value": shown, "taken_from": source})

    worked = "worked-out"
    if base is None:
        add("motor-voltage", chosen.rated_voltage, "plate" if chosen.connection in plate.voltages else worked)
        add("base-frequency", plate.frequency, "plate" if "frequency" in given else "table")
    else:
        add("motor-voltage", output, worked)
        add("base-frequency", base, worked)
    origin = "plate" if chosen.connection in plate.currents else worked if plate.currents else "table"
    add("motor-current", current, origin)
    add("thermal-protection", _protection(sheet, book, current, origin), origin)
    raised = None
    if base is not None and power is not None:
        raised = sheet.step(
            "power at rated torque and the raised base frequency",
            motor.power_at_rated_torque,
            unit=power.unit,
            Pn=power,
            f=base,
            fn=plate.frequency,
        )
    add("rated-power", raised or power, worked if raised else "plate" if "power" in given else "table")
    if speed is not None:
        shown = speed.rated
        if base is not None:
            shown = sheet.step(
                "speed at rated torque and the raised base frequency, slip in r/min unchanged", motor.speed_at_rated_flux, unit="r/min",
                f=base, p=float(speed.poles), Δn=speed.slip_speed, t=1.0,
            )  # fmt: skip
        add("rated-speed", shown, worked if base is not None else "plate" if "speed" in given else "table")
        add("poles", Quantity(float(speed.poles), "1", "ratio"), "plate" if "poles" in given else worked)
    add("power-factor", factor, "plate" if "power_factor" in given else worked, digits=2)
    sheet.value("drive_settings", rows)


def _protection(sheet: Sheet, book: View, current: Quantity | None, origin: str) -> Quantity | None:
    rule = book.constant("motor/overload-setting")
    if current is None:
        sheet.find(
            Outcome.INCONCLUSIVE,
            rule,
            because="The plate gives no current and no table has one for it, so the thermal protection cannot be set.",
        )
        sheet.next_step(
            "Read the rated current on the plate, or have it measured at rated load, before the motor runs on the drive."
        )
        return None
    setting = sheet.step(
        "setting of the thermal protection", "Is = k × I", unit="A", rule=rule, k=rule.value, I=current
    )
    if origin == "table":
        sheet.find(
            Outcome.CAUTION,
            rule,
            measured=setting,
            because="The current comes from a table, not from this motor's plate.",
        )
        sheet.next_step(
            "Read no-load and loaded current on the drive's display in the first hour and lower the thermal protection if the motor runs hot."
        )
    return setting
