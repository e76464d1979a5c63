"""Input side of a drive: what its rectifier takes from the supply, with and without a choke."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from millphase.answer import Outcome, Sheet
from millphase.physics import drive as laws
from millphase.physics import rectifier
from millphase.physics.rectifier import Circuit, NoSteadyStateError, SteadyState
from millphase.quantity import Quantity
from millphase.questions import _drive_supply as supplies
from millphase.questions._drive_circuit import (
    Supplied,
    doubles_voltage,
    idle_link,
    is_200_v_class,
    is_single_phase,
    put_together,
    work_out,
)
from millphase.questions._drive_output import on_one_phase, short
from millphase.questions.base import View

# Prints as 100 % with three digits.
_AS_GOOD_AS_WHOLE = 0.9995


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
    if doubles_voltage(book, request):
        return _doubled(sheet, book, request)
    supplied, power = put_together(sheet, book, request, apparent)
    try:
        settled = rectifier.steady_state(supplied.circuit)
    except NoSteadyStateError as fault:
        return _cannot(sheet, book, power, fault)
    readings = _readings(sheet, supplied, settled)
    current = _for_the_circuit(sheet, book, request, readings["input_current"])
    _report(sheet, supplied, settled, readings, current)
    _choke_options(sheet, book, supplied, readings)
    _check_half_waves(sheet, book, settled)
    _check_link(sheet, book, request, supplied, settled)
    supplies.judge(sheet, book, request, supplied, settled, current)
    if request["wiring_rules"] != "nfpa-70":
        supplies.harmonics(sheet, book, power, settled, current)
    advice = supplies.connect(sheet, book, request, current, settled)
    return Input(current, readings["power_factor"], advice=advice)


def _cannot(sheet: Sheet, book: View, power: Quantity, fault: NoSteadyStateError) -> Input:
    """The supply cannot deliver the power: say so, with the greatest that can be had and what limits it."""
    greatest = Quantity.si_value(fault.greatest_power_w, "W")
    limit = book.limit("rectifier/supply-power")
    reach = f"no more than about {short(greatest, 2)}" if greatest.si else "next to nothing"
    because = (
        f"There is no steady state: {fault}; the drive would take {short(power)}, and {reach} can be had through this "
        f"supply into this capacitor."
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


def _readings(sheet: Sheet, supplied: Supplied, settled: SteadyState, where: str = "") -> dict[str, Quantity]:
    """Write what one settled rectifier takes and holds, by the names of an option's columns."""

    def reading(what: str, function: Callable[..., float], result: float, unit: str) -> Quantity:
        return work_out(sheet, supplied, f"{what}{where}", function, result, unit)

    voltage = Quantity.si_value(supplied.circuit.voltage_v, "V")
    current = reading("input current, r.m.s.", rectifier.bridge_input_current, settled.current_a, "A")
    peak = reading("peak of the input current", rectifier.bridge_peak_current, settled.peak_current_a, "A")
    first = reading("fundamental of it", rectifier.bridge_fundamental_current, settled.fundamental_a, "A")
    power = reading("power from the supply", rectifier.bridge_input_power, settled.input_power_w, "W")
    unequal: dict[str, Any] = {}
    if settled.direct_a:
        direct = reading("direct component of it", rectifier.bridge_direct_current, settled.direct_a, "A")
        distorted = sheet.step(
            f"distortion{where}", laws.distortion_beside_direct, unit="%", I=current, J=first, K=direct
        )
        unequal = {"direct_current": direct, "remark": "unequal half-waves take turns"}
    else:
        distorted = sheet.step(f"distortion{where}", laws.distortion, unit="%", I=current, J=first)
    return {
        "choke_inductance": Quantity.si_value(supplied.circuit.choke_inductance_h, "mH"),
        "input_current": current,
        "input_current_peak": peak,
        "crest_factor": sheet.step(f"crest factor{where}", laws.share_of, unit="1", a=peak, b=current),
        "distortion": distorted,
        "power_factor": sheet.step(
            f"true power factor{where}", laws.true_power_factor, unit="1", P=power, U=voltage, I=current
        ),
        "dc_link_voltage": reading("mean DC link voltage", rectifier.bridge_dc_voltage, settled.dc_voltage_v, "V"),
        **unequal,
    }


def _report(
    sheet: Sheet, supplied: Supplied, settled: SteadyState, readings: dict[str, Quantity], current: Quantity
) -> None:
    """Write the values of the input side."""
    sheet.value("input_current", current)
    sheet.value("computed_input_current", readings["input_current"])
    sheet.value("input_current_peak", readings["input_current_peak"])
    sheet.value("input_crest_factor", readings["crest_factor"])
    sheet.value("input_current_distortion", readings["distortion"])
    sheet.value("input_power_factor", readings["power_factor"])
    if "direct_current" in readings:
        sheet.value("input_direct_current", readings["direct_current"])
    first, power = Quantity.si_value(settled.fundamental_a, "A"), Quantity.si_value(settled.input_power_w, "W")
    voltage = Quantity.si_value(supplied.circuit.voltage_v, "V")
    cosine = sheet.step("displacement factor", laws.true_power_factor, unit="1", P=power, U=voltage, I=first)
    sheet.value("input_displacement_factor", cosine)
    sheet.value("input_power", power)
    reactive = rectifier.bridge_reactive_power
    sheet.value(
        "fundamental_reactive_power",
        work_out(sheet, supplied, "reactive power, lagging", reactive, settled.reactive_power_var, "var"),
    )
    sheet.value("harmonics", _spectrum(sheet, supplied, settled, first))
    sheet.value("dc_link_voltage", readings["dc_link_voltage"])
    sheet.value(
        "dc_link_ripple",
        work_out(sheet, supplied, "DC link ripple", rectifier.bridge_dc_ripple, settled.dc_ripple_v, "V"),
    )


def _spectrum(sheet: Sheet, supplied: Supplied, settled: SteadyState, first: Quantity) -> list[dict[str, Any]]:
    rows = []
    for order, amperes in settled.harmonics_a.items():
        current = work_out(
            sheet, supplied, f"harmonic {order}", rectifier.bridge_harmonic_current, amperes, "A", order=float(order)
        )
        share = sheet.step(f"harmonic {order} over the fundamental", laws.share_of, unit="%", a=current, b=first)
        rows.append({"order": float(order), "current": current, "share": share})
    return rows


def _for_the_circuit(sheet: Sheet, book: View, request: dict[str, Any], computed: Quantity) -> Quantity:
    """The larger of the computed and the maker's input current, with the difference explained."""
    drive = request.get("drive", {})
    published = book.table("rectifier/maker-input-currents").row_at_or_below("power", request["motor"]["power"])
    if "rated_input_current" not in drive:
        if published is not None and is_200_v_class(request["supply"]["voltage"]):
            sheet.find(
                Outcome.ACCEPT, published, decides=False, measured=computed,
                because=(
                    f"On a stiff supply and without a choke, makers print {published.q('least')} to {published.q('greatest')} for "
                    f"their {published.q('power')} drives; impedance and chokes lower it."
                ),
            )  # fmt: skip
        return computed
    rated: Quantity = drive["rated_input_current"]
    _check_ratio(sheet, book, request)
    larger = sheet.step("input current for the circuit", "I = max(I1, I2)", unit="A", I1=computed, I2=rated)
    word = "less" if computed.si < rated.si else "more"
    tested = "three phases" if on_one_phase(request) else "the supply it was tested on"
    sheet.find(
        Outcome.ACCEPT, book.rule("drive/own-figures"), decides=False, measured=computed, limit=rated,
        because=(
            f"The computed {short(computed)} is {word} than the maker's {rated}: the maker's holds for the drive's own full load on "
            f"{tested}, the computed one for this motor on this supply. The larger goes on to the circuit."
        ),
    )  # fmt: skip
    return larger


def _check_ratio(sheet: Sheet, book: View, request: dict[str, Any]) -> None:
    """Note a rated input current that does not fit the rated output current."""
    drive = request["drive"]
    of_this_kind = drive.get("input_phases") != 3 and is_200_v_class(request["supply"]["voltage"])
    if "rated_output_current" not in drive or not of_this_kind:
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
            Outcome.CAUTION, bound, decides=False, measured=ratio, limit=bound.value,
            because=(
                f"The rated input current is {ratio.si:.3g} times the rated output current, while single-phase drives without a "
                f"choke print {least.value} to {greatest.value} times: check both on the drive's plate."
            ),
        )  # fmt: skip


def _choke_options(sheet: Sheet, book: View, supplied: Supplied, readings: dict[str, Quantity]) -> None:
    """Lay the input side with other chokes, and on another supply, beside it."""
    rows: list[dict[str, Any]] = [{"option": "as-asked", **readings}]
    for name, circuit in _options(sheet, book, supplied):
        try:
            settled = rectifier.steady_state(circuit)
        except NoSteadyStateError:
            rows.append({"option": name, "remark": "no steady state: too much impedance for this load"})
        else:
            rows.append({"option": name, **_readings(sheet, replace(supplied, circuit=circuit), settled, f", {name}")})
    sheet.value("choke_options", rows)


def _options(sheet: Sheet, book: View, supplied: Supplied) -> list[tuple[str, Circuit]]:
    """The circuits to compare with: without a choke, with either usual one, and on the reference supply."""
    bare = replace(supplied.circuit, choke_inductance_h=0.0)
    options = [("without-choke", bare)] if supplied.circuit.choke_inductance_h else []
    for name, rule in (("choke-3-percent", "rectifier/choke-small"), ("choke-5-percent", "rectifier/choke-large")):
        share = book.constant(rule)
        inductance = sheet.step(
            f"inductance of a {short(share.value)} choke", laws.choke_inductance, unit="mH", rule=share,
            z=share.value, U=Quantity.si_value(bare.voltage_v, "V"), f=supplied.frequency, P=Quantity.si_value(bare.power_w, "W"),
        )  # fmt: skip
        options.append((name, replace(bare, choke_inductance_h=inductance.si)))
    if not supplied.impedance_known:
        weak = book.coefficients("rectifier/reference-impedance")
        inductance = sheet.step(
            "inductance of the reference supply", laws.inductance_of_reactance, unit="mH", rule=weak,
            X=weak["reactance"], f=supplied.frequency,
        )  # fmt: skip
        other = replace(supplied.circuit, resistance_ohm=weak["resistance"].si, inductance_h=inductance.si)
        options.append(("reference-supply", other))
    return options


def _check_half_waves(sheet: Sheet, book: View, settled: SteadyState) -> None:
    """A circuit that rings so that large and small half-waves take turns is no good on any supply."""
    if not settled.direct_a:
        return
    direct, swing = Quantity.si_value(settled.direct_a, "A"), Quantity.si_value(settled.dc_ripple_v, "V")
    sheet.find(
        Outcome.CAUTION, book.rule("rectifier/unequal-half-waves"), measured=direct,
        because=(
            f"Choke, supply and capacitor ring: large and small half-waves take turns, the DC link swings by {short(swing)}, and the "
            f"supply current has a direct component of {short(direct)}."
        ),
    )  # fmt: skip
    sheet.next_step(
        "Take another choke or a drive with a larger capacitor: here the half-waves come out unequal, which no supply should carry."
    )


def _check_link(sheet: Sheet, book: View, request: dict[str, Any], supplied: Supplied, settled: SteadyState) -> None:
    """Whether the DC link stays high enough for the drive to run and for the motor to get its voltage."""
    idle = idle_link(sheet, book, request)
    least = work_out(sheet, supplied, "least DC link voltage", rectifier.bridge_dc_least, settled.dc_least_v, "V")
    limit = book.limit("drive/least-dc-link")
    share = sheet.step("least DC link voltage over the idle one", laws.share_of, unit="%", rule=limit, a=least, b=idle)
    sheet.compare(
        limit, share,
        because=(
            f"The DC link falls to {short(least)} between two charges, {short(share)} of the idle one, and drives trip on "
            f"undervoltage below about {limit.value}."
        ),
    )  # fmt: skip
    link = Quantity.si_value(settled.dc_voltage_v, "V")
    greatest = sheet.step("greatest output voltage", laws.greatest_output_voltage, unit="V", V=link)
    sheet.value("greatest_output_voltage", greatest)
    rated, limit = request["motor"]["voltage"], book.limit("drive/least-output-voltage")
    share = sheet.step("output voltage over the motor's", laws.share_of, unit="%", rule=limit, a=greatest, b=rated)
    reach = "" if share.si >= _AS_GOOD_AS_WHOLE else f": full torque ends at {short(share)} of its frequency"
    because = f"At full load the drive can make about {short(greatest)} for a motor of {rated}{reach}."
    sheet.compare(limit, share, otherwise=Outcome.CAUTION, because=because)


def _doubled(sheet: Sheet, book: View, request: dict[str, Any]) -> Input:
    """A drive that doubles the voltage of its DC link: only its maker knows what it takes."""
    rule = book.rule("drive/voltage-doubling")
    if "doubles_voltage" not in request.get("drive", {}):
        sheet.assume("drive.doubles_voltage", "true", rule)
    current: Quantity | None = request.get("drive", {}).get("rated_input_current")
    if current is None:
        motor, supply = request["motor"]["voltage"], request["supply"]["voltage"]
        sheet.find(
            Outcome.INCONCLUSIVE, rule, measured=supply,
            because=(
                f"Only a drive that doubles the voltage of its DC link feeds a {motor} motor from {supply}; what it takes from "
                f"the supply is not worked out here."
            ),
        )  # fmt: skip
        sheet.next_step(
            "Read the rated input current from the drive's manual and give it as rated_input_current; a supply of twice the "
            "voltage halves it."
        )
        return Input(
            None, failed="what it takes from the supply must come from its manual, since it doubles the voltage"
        )
    sheet.find(
        Outcome.ACCEPT, rule, decides=False, measured=current,
        because=f"The drive doubles the voltage of its DC link: its rated input current of {current} is taken, not a calculated one.",
    )  # fmt: skip
    sheet.value("input_current", current)
    supplies.check_fuse(sheet, book, request["supply"], current)
    return Input(current, advice=supplies.connect(sheet, book, request, current))


def _three_phase(sheet: Sheet, book: View, request: dict[str, Any]) -> Input:
    """A three-phase supply: the maker's input current, or an estimate; its rectifier is not integrated."""
    supply, drive = request["supply"], request.get("drive", {})
    mean = book.constant("drive/three-phase-link")
    sheet.value(
        "dc_link_voltage",
        sheet.step("mean DC link voltage", "V = k × U", unit="V", rule=mean, k=mean.value, U=supply["voltage"]),
    )
    ratio = book.constant("drive/three-phase-input-ratio")
    current = drive.get("rated_input_current")
    if current is None:
        current = sheet.step(
            "estimated input current", "I = k × I2", unit="A", rule=ratio, k=ratio.value, I2=request["motor"]["current"]
        )
        sheet.find(
            Outcome.CAUTION, ratio, measured=current,
            because="On three phases the input current is only estimated from the motor's, and the drive's manual has its own.",
        )  # fmt: skip
    sheet.value("input_current", current)
    if "house_fuse" in supply:
        supplies.check_fuse(sheet, book, supply, current)
    return Input(current, advice=supplies.connect(sheet, book, request, current))
