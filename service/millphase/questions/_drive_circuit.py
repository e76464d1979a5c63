"""The rectifier's circuit as a request describes it, with what is missing filled in."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from millphase.answer import Sheet
from millphase.physics import drive as laws
from millphase.physics.rectifier import Circuit
from millphase.quantity import Quantity
from millphase.questions._drive_plate import motor_power
from millphase.questions.base import View, contradiction

# Drives for 200 to 240 V, with the supply's usual tolerance on either side.
_CLASS_200_V = (180.0, 265.0)
# No drive for one voltage class can feed a motor of half as much again unless it doubles its DC link.
_OUT_OF_REACH = 1.5
# Two instruments on one loop agree within this factor.
_LOOP_TOLERANCE = 1.1

_UNITS = {
    "voltage_v": "V", "frequency_hz": "Hz", "resistance_ohm": "ohm", "inductance_h": "mH", "capacitance_f": "uF",
    "power_w": "W", "choke_inductance_h": "mH",
}  # fmt: skip


@dataclass(frozen=True)
class Supplied:
    """The rectifier's circuit, and whether its impedance was measured rather than assumed."""

    circuit: Circuit
    resistance: Quantity
    reactance: Quantity
    frequency: Quantity
    impedance_known: bool


def is_single_phase(request: dict[str, Any]) -> bool:
    """Whether one phase feeds the rectifier: by the supply, or by the drive's input."""
    return bool(request["supply"]["phases"] == 1 or request.get("drive", {}).get("input_phases") == 1)


def is_200_v_class(voltage: Quantity) -> bool:
    """Whether a supply or motor voltage belongs to drives for 200 to 240 V."""
    return _CLASS_200_V[0] <= voltage.si <= _CLASS_200_V[1]


def doubles_voltage(book: View, request: dict[str, Any]) -> bool:
    """Whether the DC link stands at twice the supply's crest: as entered, or because no other drive could feed the motor."""
    said: bool | None = request.get("drive", {}).get("doubles_voltage")
    if said is not None:
        return said
    supply = request["supply"]["voltage"]
    low = supply.si <= book.constant("drive/doubled-supply-greatest").value.si
    return low and is_single_phase(request) and request["motor"]["voltage"].si >= _OUT_OF_REACH * supply.si


def idle_link(sheet: Sheet, book: View, request: dict[str, Any]) -> Quantity:
    """DC link voltage of the idle drive, worked out once: the supply's crest, or twice that."""
    known = sheet.values.get("dc_link_idle_voltage")
    if isinstance(known, Quantity):
        return known
    supply, what = request["supply"]["voltage"], "DC link voltage without load"
    if doubles_voltage(book, request):
        rule = book.rule("drive/voltage-doubling")
        idle = sheet.step(f"{what}, doubled", "V = 2 × √(2) × U", unit="V", rule=rule, U=supply)
    else:
        idle = sheet.step(what, laws.crest_voltage, unit="V", U=supply)
    sheet.value("dc_link_idle_voltage", idle)
    return idle


def put_together(sheet: Sheet, book: View, request: dict[str, Any], apparent: Quantity) -> tuple[Supplied, Quantity]:
    """Put the rectifier's circuit together; returns it with the power the drive takes from it."""
    power = _rectifier_power(sheet, book, request, apparent)
    return _circuit(sheet, book, request, power), power


def _rectifier_power(sheet: Sheet, book: View, request: dict[str, Any], apparent: Quantity) -> Quantity:
    """Power the inverter takes from the DC link when the motor gives its rated power."""
    taken = motor_power(sheet, book, request["motor"], apparent)
    efficiency = request.get("drive", {}).get("efficiency")
    if efficiency is None:
        usual = book.constant("drive/efficiency")
        efficiency = usual.value
        sheet.assume("drive.efficiency", efficiency, usual)
    return sheet.step("power taken by the drive", laws.power_taken, unit="W", P2=taken, η=efficiency)


def _circuit(sheet: Sheet, book: View, request: dict[str, Any], power: Quantity) -> Supplied:
    """Put the rectifier's circuit together."""
    supply, drive = request["supply"], request.get("drive", {})
    frequency = supply.get("frequency")
    if frequency is None:
        usual = book.coefficients("connection/supply-frequency")
        frequency = usual[request["wiring_rules"].replace("-", "_")]
        sheet.assume("supply.frequency", frequency, usual)
    resistance, reactance, known = _impedance(sheet, book, supply)
    inductance = sheet.step("supply inductance", laws.inductance_of_reactance, unit="mH", X=reactance, f=frequency)
    circuit = Circuit(
        voltage_v=supply["voltage"].si, frequency_hz=frequency.si, resistance_ohm=resistance.si, inductance_h=inductance.si,
        capacitance_f=_capacitance(sheet, book, request).si, power_w=power.si,
        choke_inductance_h=drive["choke_inductance"].si if "choke_inductance" in drive else 0.0,
    )  # fmt: skip
    return Supplied(circuit, resistance, reactance, frequency, known)


def _capacitance(sheet: Sheet, book: View, request: dict[str, Any]) -> Quantity:
    given: Quantity | None = request.get("drive", {}).get("dc_link_capacitance")
    if given is not None:
        return given
    usual = book.coefficients("rectifier/capacitance-by-power")
    supply = request["supply"]["voltage"]
    stated = book.constant("rectifier/capacitance-voltage").value
    found = sheet.step(
        "DC link capacitance", "C = C0 × P / P0 × (U0 / U)²", unit="uF", rule=usual,
        C0=usual["capacitance"], P=request["motor"]["power"], P0=usual["power"], U0=stated, U=supply,
    )  # fmt: skip
    sheet.assume("drive.dc_link_capacitance", found, usual)
    return found


def _impedance(sheet: Sheet, book: View, supply: dict[str, Any]) -> tuple[Quantity, Quantity, bool]:
    """Resistance and reactance of the supply: given, split from a loop impedance, or those of a stiff supply."""
    pattern = book.coefficients("rectifier/reference-impedance")
    _check_loop(supply)
    if "resistance" in supply and "reactance" in supply:
        return supply["resistance"], supply["reactance"], True
    if "resistance" in supply and "loop_impedance" in supply:
        reactance = sheet.step(
            "supply reactance, the rest of the loop impedance", "X = √(max(0, Z² − R²))", unit="ohm",
            Z=supply["loop_impedance"], R=supply["resistance"],
        )  # fmt: skip
        return supply["resistance"], reactance, True
    if "resistance" in supply:
        reactance = sheet.step(
            "supply reactance, in the proportion of the reference impedance", "X = R × X0 / R0", unit="ohm", rule=pattern,
            R=supply["resistance"], X0=pattern["reactance"], R0=pattern["resistance"],
        )  # fmt: skip
        sheet.assume("supply.reactance", reactance, pattern)
        return supply["resistance"], reactance, True
    if "loop_impedance" in supply:
        return *_split(sheet, pattern, supply["loop_impedance"]), True
    stiff = book.coefficients("rectifier/stiff-impedance")
    sheet.assume("supply.resistance", stiff["resistance"], stiff)
    if "reactance" not in supply:
        sheet.assume("supply.reactance", stiff["reactance"], stiff)
    sheet.next_step(
        "Have the line-to-neutral loop impedance measured: a weaker supply takes less current but sags more."
    )
    return stiff["resistance"], supply.get("reactance", stiff["reactance"]), False


def _check_loop(supply: dict[str, Any]) -> None:
    """Refuse a loop impedance that its own resistance and reactance contradict."""
    loop, resistance, reactance = supply.get("loop_impedance"), supply.get("resistance"), supply.get("reactance")
    if loop is None:
        return
    least = math.hypot(resistance.si if resistance else 0.0, reactance.si if reactance else 0.0)
    whole = resistance is not None and reactance is not None
    if least > loop.si * _LOOP_TOLERANCE or (whole and least * _LOOP_TOLERANCE < loop.si):
        raise contradiction(
            "/supply/loop_impedance",
            f"a loop impedance of {loop} does not go with the resistance and reactance entered, {least:.3g} ohm together; "
            "measure the loop again, or enter only one of the two",
        )


def _split(sheet: Sheet, pattern: Any, impedance: Quantity) -> tuple[Quantity, Quantity]:
    """Split the magnitude of an impedance in the proportion of the reference impedance."""
    resistance = sheet.step(
        "resistance of the loop, in the proportion of the reference impedance", laws.share_of_impedance, unit="ohm",
        rule=pattern, Z=impedance, R0=pattern["resistance"], X0=pattern["reactance"],
    )  # fmt: skip
    reactance = sheet.step(
        "reactance of the loop, in the same proportion", laws.share_of_impedance, unit="ohm", rule=pattern,
        Z=impedance, R0=pattern["reactance"], X0=pattern["resistance"],
    )  # fmt: skip
    sheet.assume("supply.resistance", resistance, pattern)
    sheet.assume("supply.reactance", reactance, pattern)
    return resistance, reactance


def work_out(
    sheet: Sheet, supplied: Supplied, what: str, function: Callable[..., float], result: float, unit: str,
    **more: Quantity | float,
) -> Quantity:  # fmt: skip
    """Write one reading of the settled rectifier with the circuit it belongs to."""
    given: dict[str, Quantity | float] = more | {
        name: Quantity.si_value(getattr(supplied.circuit, name), shown)
        for name, shown in _UNITS.items()
        if name != "choke_inductance_h" or supplied.circuit.choke_inductance_h
    }
    return sheet.procedure(what, function, unit=unit, rule=None, result=result, **given)
