"""Input side of a drive: what its rectifier takes from the supply, and whether that supply can feed it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from millphase.answer import Outcome, Sheet
from millphase.physics import drive as laws
from millphase.physics import motor as motors
from millphase.physics import rectifier
from millphase.physics.rectifier import Circuit, NoSteadyStateError, SteadyState
from millphase.quantity import Quantity
from millphase.questions._drive_output import on_one_phase, short
from millphase.questions.base import View, contradiction

_UNITS = {
    "voltage_v": "V", "frequency_hz": "Hz", "resistance_ohm": "ohm", "inductance_h": "mH", "capacitance_f": "uF",
    "power_w": "W", "choke_inductance_h": "mH",
}  # fmt: skip
_TABLE_POLES = 4


@dataclass(frozen=True)
class Supplied:
    """The rectifier's circuit, and whether its impedance was measured rather than assumed."""

    circuit: Circuit
    resistance: Quantity
    reactance: Quantity
    frequency: Quantity
    impedance_known: bool


@dataclass(frozen=True)
class Input:
    """What the input side comes to; without a current nothing could be worked out."""

    current: Quantity | None
    power_factor: Quantity | None = None
    failed: str = ""
    advice: str = ""


def feed(sheet: Sheet, book: View, request: dict[str, Any], apparent: Quantity) -> Input:
    """Work out the input current, then hold it against the supply."""
    if not is_single_phase(request):
        return _three_phase(sheet, book, request)
    supplied, power = put_together(sheet, book, request, apparent)
    try:
        settled = rectifier.steady_state(supplied.circuit)
    except NoSteadyStateError as fault:
        return _cannot(sheet, book, power, fault)
    computed = _report(sheet, supplied, settled)
    current = _for_the_circuit(sheet, book, request, computed)
    sheet.value("input_current", current)
    _choke_options(sheet, book, supplied, settled)
    _check_link(sheet, book, request, supplied, settled)
    _check_supply(sheet, book, request, supplied, settled, current)
    _check_harmonics(sheet, book, power, settled, current)
    factor = sheet.values["input_power_factor"]
    return Input(
        current, factor if isinstance(factor, Quantity) else None, advice=_connect(sheet, book, request, current)
    )


def is_single_phase(request: dict[str, Any]) -> bool:
    """Whether one phase feeds the rectifier: by the supply, or by the drive's input."""
    return bool(request["supply"]["phases"] == 1 or request.get("drive", {}).get("input_phases") == 1)


def put_together(sheet: Sheet, book: View, request: dict[str, Any], apparent: Quantity) -> tuple[Supplied, Quantity]:
    """Put the rectifier's circuit together; returns it with the power the drive takes from it."""
    power = _rectifier_power(sheet, book, request, apparent)
    return _circuit(sheet, book, request, power), power


def _rectifier_power(sheet: Sheet, book: View, request: dict[str, Any], apparent: Quantity) -> Quantity:
    """Power the inverter takes from the DC link when the motor gives its rated power."""
    taken = _motor_power(sheet, book, request["motor"], apparent)
    efficiency = request.get("drive", {}).get("efficiency")
    if efficiency is None:
        usual = book.constant("drive/efficiency")
        efficiency = usual.value
        sheet.assume("drive.efficiency", efficiency, usual)
    return sheet.step("power taken by the drive", laws.power_taken, unit="W", P2=taken, η=efficiency)


def _motor_power(sheet: Sheet, book: View, motor: dict[str, Any], apparent: Quantity) -> Quantity:
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
    found = sheet.step(
        "DC link capacitance", "C = C0 × P / P0", unit="uF", rule=usual,
        C0=usual["capacitance"], P=request["motor"]["power"], P0=usual["power"],
    )  # fmt: skip
    sheet.assume("drive.dc_link_capacitance", found, usual)
    return found


def _impedance(sheet: Sheet, book: View, supply: dict[str, Any]) -> tuple[Quantity, Quantity, bool]:
    """Resistance and reactance of the supply: given, split from a loop impedance, or those of a stiff supply."""
    pattern = book.coefficients("rectifier/reference-impedance")
    if "resistance" in supply and "reactance" in supply:
        return supply["resistance"], supply["reactance"], True
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


def _cannot(sheet: Sheet, book: View, power: Quantity, fault: NoSteadyStateError) -> Input:
    """The supply cannot deliver the power: say so, with the greatest that can be had and what limits it."""
    greatest = Quantity.si_value(fault.greatest_power_w, "W")
    limit = book.limit("rectifier/supply-power")
    cause = "the capacitor is too small" if fault.capacitor_too_small else "the supply is too weak"
    reach = f"no more than about {short(greatest, 2)}" if greatest.si else "next to nothing"
    because = (
        f"There is no steady state: the drive would take {short(power)} but {reach} can be had through this supply "
        f"into this capacitor; {cause} ({fault})."
    )
    sheet.find(Outcome.REJECT, limit, measured=power, limit=greatest, because=because)
    sheet.value("greatest_rectifier_power", greatest)
    if fault.capacitor_too_small:
        sheet.next_step(
            "Check the DC link capacitance in the drive's manual, and take a smaller choke or a larger drive."
        )
    else:
        sheet.next_step("Take less power, a smaller choke, or a supply of lower impedance: a thicker or shorter cable.")
    return Input(
        None, failed=f"this supply cannot feed it: {reach} can be had, and the drive would take {short(power)}"
    )


def _work_out(
    sheet: Sheet, supplied: Supplied, what: str, function: Callable[..., float], result: float, unit: str
) -> Quantity:
    """Write one reading of the settled rectifier with the circuit it belongs to."""
    given = {
        name: Quantity.si_value(getattr(supplied.circuit, name), shown)
        for name, shown in _UNITS.items()
        if name != "choke_inductance_h" or supplied.circuit.choke_inductance_h
    }
    return sheet.procedure(what, function, unit=unit, rule=None, result=result, **given)


def _report(sheet: Sheet, supplied: Supplied, settled: SteadyState) -> Quantity:
    """Write what the supply gives and the DC link holds; returns the r.m.s. input current."""

    def reading(what: str, function: Callable[..., float], result: float, unit: str) -> Quantity:
        return _work_out(sheet, supplied, what, function, result, unit)

    voltage = Quantity.si_value(supplied.circuit.voltage_v, "V")
    current = reading("input current, r.m.s.", rectifier.bridge_input_current, settled.current_a, "A")
    peak = reading("its peak", rectifier.bridge_peak_current, settled.peak_current_a, "A")
    first = reading("its fundamental", rectifier.bridge_fundamental_current, settled.fundamental_a, "A")
    power = reading("power from the supply", rectifier.bridge_input_power, settled.input_power_w, "W")
    link = reading("mean DC link voltage", rectifier.bridge_dc_voltage, settled.dc_voltage_v, "V")
    sheet.value("computed_input_current", current)
    sheet.value("input_current_peak", peak)
    sheet.value("input_crest_factor", sheet.step("crest factor", laws.share_of, unit="1", a=peak, b=current))
    sheet.value(
        "input_current_distortion",
        sheet.step("total harmonic distortion", laws.distortion, unit="%", I=current, J=first),
    )
    sheet.value(
        "input_displacement_factor",
        sheet.step("displacement factor", laws.true_power_factor, unit="1", P=power, U=voltage, I=first),
    )
    sheet.value(
        "input_power_factor",
        sheet.step("true power factor", laws.true_power_factor, unit="1", P=power, U=voltage, I=current),
    )
    sheet.value("input_power", power)
    sheet.value(
        "fundamental_reactive_power",
        reading(
            "reactive power of the fundamental, lagging",
            rectifier.bridge_reactive_power,
            settled.reactive_power_var,
            "var",
        ),
    )
    sheet.value("dc_link_voltage", link)
    sheet.value(
        "dc_link_ripple", reading("DC link ripple, peak to peak", rectifier.bridge_dc_ripple, settled.dc_ripple_v, "V")
    )
    sheet.value("harmonics", _spectrum(settled))
    return current


def _spectrum(settled: SteadyState) -> list[dict[str, Any]]:
    return [
        {
            "order": float(order),
            "current": Quantity.si_value(current, "A"),
            "share": Quantity.si_value(current / settled.fundamental_a, "%"),
        }
        for order, current in settled.harmonics_a.items()
    ]


def _for_the_circuit(sheet: Sheet, book: View, request: dict[str, Any], computed: Quantity) -> Quantity:
    """The larger of the computed and the maker's input current, with the difference explained."""
    drive = request.get("drive", {})
    published = book.table("rectifier/maker-input-currents").row_at_or_below("power", request["motor"]["power"])
    if "rated_input_current" not in drive:
        if published is not None:
            sheet.find(
                Outcome.ACCEPT, published, decides=False, measured=computed,
                because=(
                    f"On a stiff supply and without a choke, makers print {published.q('least')} to {published.q('greatest')} for "
                    f"their {published.q('power')} drives; impedance and chokes lower it."
                ),
            )  # fmt: skip
        return computed
    rated: Quantity = drive["rated_input_current"]
    _check_ratio(sheet, book, drive)
    larger = sheet.step("input current for the circuit", "I = max(I1, I2)", unit="A", I1=computed, I2=rated)
    word = "less" if computed.si < rated.si else "more"
    sheet.find(
        Outcome.ACCEPT, book.table("rectifier/maker-input-currents"), decides=False, measured=computed, limit=rated,
        because=(
            f"The computed {short(computed)} is {word} than the maker's {rated}: the maker's holds for the drive's own full load on "
            f"the supply it was tested on, the computed one for this motor on this supply. The larger goes on to the circuit."
        ),
    )  # fmt: skip
    return larger


def _check_ratio(sheet: Sheet, book: View, drive: dict[str, Any]) -> None:
    """Note a rated input current that does not fit the rated output current."""
    if "rated_output_current" not in drive or drive.get("input_phases") == 3:
        return
    least, greatest = book.constant("drive/input-ratio-least"), book.constant("drive/input-ratio-greatest")
    ratio = sheet.step(
        "rated input over output current",
        laws.share_of,
        unit="1",
        a=drive["rated_input_current"],
        b=drive["rated_output_current"],
    )
    if not least.value.si <= ratio.si <= greatest.value.si:
        bound = least if ratio.si < least.value.si else greatest
        sheet.find(
            Outcome.ACCEPT, bound, decides=False, measured=ratio, limit=bound.value,
            because=(
                f"The rated input current is {ratio.si:.3g} times the rated output current, while single-phase drives without a "
                f"choke print {least.value} to {greatest.value} times: check both on the drive's plate."
            ),
        )  # fmt: skip


def _choke_options(sheet: Sheet, book: View, supplied: Supplied, settled: SteadyState) -> None:
    """Lay the input side with other chokes, and on other supplies, beside it."""
    rows = [_option("as-asked", supplied, settled)]
    bare = replace(supplied.circuit, choke_inductance_h=0.0)
    options: list[tuple[str, Circuit]] = []
    if supplied.circuit.choke_inductance_h:
        options.append(("without-choke", bare))
    for name, rule in (("choke-3-percent", "rectifier/choke-small"), ("choke-5-percent", "rectifier/choke-large")):
        share = book.constant(rule)
        inductance = sheet.step(
            f"inductance of a {short(share.value)} choke", laws.choke_inductance, unit="mH", rule=share,
            z=share.value, U=Quantity.si_value(bare.voltage_v, "V"), f=supplied.frequency, P=Quantity.si_value(bare.power_w, "W"),
        )  # fmt: skip
        options.append((name, replace(bare, choke_inductance_h=inductance.si)))
    if not supplied.impedance_known:
        weak = book.coefficients("rectifier/reference-impedance")
        inductance_h = weak["reactance"].si / (2 * math.pi * bare.frequency_hz)
        circuit = replace(supplied.circuit, resistance_ohm=weak["resistance"].si, inductance_h=inductance_h)
        options.append(("reference-supply", circuit))
    for name, circuit in options:
        other = replace(supplied, circuit=circuit)
        try:
            state = rectifier.steady_state(circuit)
        except NoSteadyStateError:
            rows.append({"option": name, "remark": "no steady state: too much impedance for this load"})
            continue
        _work_out(sheet, other, f"input current, {name}", rectifier.bridge_input_current, state.current_a, "A")
        rows.append(_option(name, other, state))
    sheet.value("choke_options", rows)


def _option(name: str, supplied: Supplied, state: SteadyState) -> dict[str, Any]:
    return {
        "option": name,
        "choke_inductance": Quantity.si_value(supplied.circuit.choke_inductance_h, "mH"),
        "input_current": Quantity.si_value(state.current_a, "A"),
        "input_current_peak": Quantity.si_value(state.peak_current_a, "A"),
        "crest_factor": Quantity.si_value(state.crest_factor, "1"),
        "distortion": Quantity.si_value(state.distortion, "%"),
        "power_factor": Quantity.si_value(state.power_factor, "1"),
        "dc_link_voltage": Quantity.si_value(state.dc_voltage_v, "V"),
    }


def _check_link(sheet: Sheet, book: View, request: dict[str, Any], supplied: Supplied, settled: SteadyState) -> None:
    """Whether the DC link stays high enough for the drive to run and for the motor to get its voltage."""
    voltage = Quantity.si_value(supplied.circuit.voltage_v, "V")
    idle = sheet.step("DC link voltage without load", laws.crest_voltage, unit="V", U=voltage)
    sheet.value("dc_link_idle_voltage", idle)
    least = _work_out(sheet, supplied, "least DC link voltage", rectifier.bridge_dc_least, settled.dc_least_v, "V")
    limit = book.limit("drive/least-dc-link")
    sheet.compare(
        limit, sheet.step("least DC link voltage over the idle one", laws.share_of, unit="%", rule=limit, a=least, b=idle),
        because=f"The DC link falls to {short(least)} between two charges; drives trip on undervoltage below the limit.",
    )  # fmt: skip
    link = Quantity.si_value(settled.dc_voltage_v, "V")
    greatest = sheet.step("greatest output voltage", laws.greatest_output_voltage, unit="V", V=link)
    sheet.value("greatest_output_voltage", greatest)
    rated, limit = request["motor"]["voltage"], book.limit("drive/least-output-voltage")
    sheet.compare(
        limit, sheet.step("output voltage over the motor's", laws.share_of, unit="%", rule=limit, a=greatest, b=rated),
        otherwise=Outcome.CAUTION,
        because=f"At full load the drive can give the motor about {short(greatest)} of its {rated}; above that frequency torque falls.",
    )  # fmt: skip


def _check_supply(
    sheet: Sheet, book: View, request: dict[str, Any], supplied: Supplied, settled: SteadyState, current: Quantity
) -> None:
    """Voltage drop, flattened crest, house fuse, harmonics and protective device."""
    supply = request["supply"]
    voltage = Quantity.si_value(supplied.circuit.voltage_v, "V")
    drop = book.limit("drive/supply-drop")
    share = sheet.step(
        "voltage drop at the input current", laws.voltage_drop_share, unit="%", rule=drop,
        I=Quantity.si_value(settled.current_a, "A"), R=supplied.resistance, X=supplied.reactance, U=voltage,
    )  # fmt: skip
    sheet.value("supply_voltage_drop", share)
    sheet.compare(
        drop, share, otherwise=Outcome.CAUTION, decides=supplied.impedance_known,
        because=f"The input current drops {short(share)} of the voltage in the supply's impedance.",
    )  # fmt: skip
    if on_one_phase(request):
        _check_one_phase_choke(sheet, book, supplied)
    crest = _work_out(
        sheet,
        supplied,
        "crest of the voltage at the drive",
        rectifier.bridge_terminal_crest,
        settled.terminal_crest_v,
        "V",
    )
    sheet.value(
        "crest_voltage_drop", sheet.step("drop at the crest", laws.crest_drop_share, unit="%", V=crest, U=voltage)
    )
    _check_fuse(sheet, book, supply, current)


def _check_one_phase_choke(sheet: Sheet, book: View, supplied: Supplied) -> None:
    """A three-phase input on one phase needs a choke: its two busy diodes and its capacitor carry it all."""
    limit = book.limit("drive/one-phase-choke")
    share = sheet.step(
        "choke fitted, by its voltage drop", "z = 2 × π × f × L × P / U²", unit="%", rule=limit, f=supplied.frequency,
        L=Quantity.si_value(supplied.circuit.choke_inductance_h, "mH"), P=Quantity.si_value(supplied.circuit.power_w, "W"),
        U=Quantity.si_value(supplied.circuit.voltage_v, "V"),
    )  # fmt: skip
    found = sheet.compare(
        limit,
        share,
        otherwise=Outcome.CAUTION,
        because=f"The drive is made for three phases and has a choke of {short(share)}.",
    )
    if found.outcome is not Outcome.ACCEPT:
        sheet.next_step(
            "Fit a line choke: a three-phase drive on one phase overloads its rectifier and capacitor without it."
        )


def _check_fuse(sheet: Sheet, book: View, supply: dict[str, Any], current: Quantity) -> None:
    fuse = supply.get("house_fuse")
    if fuse is None:
        usual = book.constant("rectifier/house-fuse")
        fuse = usual.value
        sheet.assume("supply.house_fuse", fuse, usual)
    limit = book.limit("rectifier/house-fuse-share")
    share = sheet.step("share of the house's supply fuse", laws.share_of, unit="%", rule=limit, a=current, b=fuse)
    sheet.value("house_fuse_share", share)
    over = Outcome.REJECT if share.si > 1 else Outcome.CAUTION
    sheet.compare(limit, share, otherwise=over, because=f"The drive takes {short(share)} of a {fuse} supply fuse.")


def _check_harmonics(sheet: Sheet, book: View, power: Quantity, settled: SteadyState, current: Quantity) -> None:
    """Which harmonic limits apply; informative, since they bind whoever sells the drive."""
    scope, professional = book.limit("rectifier/harmonic-scope"), book.limit("rectifier/harmonic-professional")
    if current.si > scope.value.si:
        sheet.find(
            Outcome.ACCEPT, scope, decides=False, measured=current, limit=scope.value,
            because="Above 16 A the wider harmonic rules apply, which ask for a strong supply or a choke; the network operator may be asked.",
        )  # fmt: skip
        return
    if power.si > professional.value.si:
        sheet.find(
            Outcome.ACCEPT, professional, decides=False, measured=power, limit=professional.value,
            because="Professional equipment above 1 kW has no limits under 16 A; equipment sold to the public has.",
        )  # fmt: skip
        return
    for row in book.table("rectifier/harmonic-class-a").rows():
        order = round(row.q("order").si)
        measured = Quantity.si_value(settled.harmonics_a[order], "A")
        bound = row.q("current")
        sheet.find(
            Outcome.ACCEPT if measured.si <= bound.si else Outcome.CAUTION, row, decides=False, measured=measured, limit=bound,
            because=f"Harmonic {order} of the input current against the limit for small equipment.",
        )  # fmt: skip


def _connect(sheet: Sheet, book: View, request: dict[str, Any], current: Quantity) -> str:
    """Plug or fixed wiring, and the protective device; returns the advice for the summary."""
    supply = request["supply"]
    device = _device(sheet, book, supply, current)
    means = supply.get("connected_by")
    plug = book.limit("rectifier/plug-13a" if means in (None, "fixed") else f"rectifier/{means}")
    named = f"a {short(plug.value)} plug"
    fits = current.si <= plug.value.si * (1 + 1e-9)
    because = f"The drive takes {short(current)}: {named} {'can' if fits else 'cannot'} feed it."
    sheet.compare(
        plug, current, because=because, decides=means != "fixed",
        otherwise=Outcome.CAUTION if means is None else Outcome.REJECT,
    )  # fmt: skip
    if fits:
        return "" if means == "fixed" else f"{named} can feed it"
    dedicated = f"a dedicated circuit{f' with a {short(device)} device' if device else ''} is needed"
    sheet.next_step(
        f"{named[0].upper()}{named[1:]} cannot feed the drive: provide a dedicated circuit, and size its cable."
    )
    return f"{named} cannot feed it and {dedicated}"


def _device(sheet: Sheet, book: View, supply: dict[str, Any], current: Quantity) -> Quantity | None:
    """Rating of the circuit's protective device: the one given, or the least preferred one that carries the current."""
    given: Quantity | None = supply.get("device_rating")
    if given is not None:
        limit = book.limit("rectifier/device-rating")
        share = sheet.step(
            "input current over the device's rating", laws.share_of, unit="%", rule=limit, a=current, b=given
        )
        sheet.compare(limit, share, because=f"The input current of {short(current)} against the device's {given}.")
        return given
    row = book.table("rectifier/device-ratings").row_at_or_above("rating", current)
    if row is None:
        return None
    rating = sheet.looked_up("least preferred rating that carries it", row["rating"])
    sheet.value("protective_device_rating", rating)
    fuse = book.table("rectifier/maker-fuses")
    sheet.find(
        Outcome.ACCEPT, fuse, decides=False, measured=rating,
        because="Makers' own fuses for one size of drive differ by a factor of two: the drive's manual goes before this rating.",
    )  # fmt: skip
    return rating


def _three_phase(sheet: Sheet, book: View, request: dict[str, Any]) -> Input:
    """A three-phase supply: the maker's input current, or an estimate; its rectifier is not integrated."""
    supply, drive = request["supply"], request.get("drive", {})
    mean = book.constant("drive/three-phase-link")
    sheet.value(
        "dc_link_voltage",
        sheet.step("mean DC link voltage", "V = k × U", unit="V", rule=mean, k=mean.value, U=supply["voltage"]),
    )
    sheet.value(
        "dc_link_idle_voltage",
        sheet.step("DC link voltage without load", laws.crest_voltage, unit="V", U=supply["voltage"]),
    )
    ratio = book.constant("drive/three-phase-input-ratio")
    current = drive.get("rated_input_current")
    if current is None:
        current = sheet.step(
            "estimated input current", "I = k × I2", unit="A", rule=ratio, k=ratio.value, I2=request["motor"]["current"]
        )
        sheet.find(
            Outcome.CAUTION, ratio, measured=current,
            because="On three phases the input current is only estimated from the motor's; the drive's manual has its own.",
        )  # fmt: skip
    sheet.value("input_current", current)
    return Input(current, advice=_connect_three(sheet, book, supply, current))


def _connect_three(sheet: Sheet, book: View, supply: dict[str, Any], current: Quantity) -> str:
    device = _device(sheet, book, supply, current)
    return f"a {short(device)} device carries it" if device else ""
