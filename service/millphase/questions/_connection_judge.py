"""Findings on the connection to use, on the one found, and on what a drive does to the winding."""

from __future__ import annotations

from typing import Any

from millphase.answer import Sheet
from millphase.physics import motor
from millphase.quantity import Quantity, number_text
from millphase.questions._connection_plate import Plate
from millphase.questions._connection_supply import Candidate, Supply, effect_of, percent, short
from millphase.questions._motor_speed import Speed
from millphase.questions.base import Outcome, View


def judge(
    sheet: Sheet, book: View, plate: Plate, supply: Supply, best: Candidate, *, speed: Speed | None, base: Quantity | None,
    wanted: bool,
) -> None:  # fmt: skip
    """Findings on the best connection."""
    if not best.on_plate:
        sheet.find(
            Outcome.CAUTION, book.rule("connection/plate-voltages"), measured=best.rated_voltage,
            because=f"The plate does not give {best.connection}; its {short(best.rated_voltage)} follows from the plate's {plate.pair}.",
        )  # fmt: skip
        sheet.next_step(f"Ask the maker, or look at the winding, whether {best.connection} is meant to be used.")
    if plate.leads == "three":
        sheet.find(
            Outcome.ACCEPT, book.rule("connection/single-voltage-leads"), decides=False,
            because=f"Three leads: the {best.connection} is made inside and suits {short(best.rated_voltage)} only.",
        )  # fmt: skip
    if wanted and base is None:
        sheet.find(
            Outcome.CAUTION, book.rule("connection/extended-range-current"),
            because="The drive has no voltage to spare over any connection of this motor, so there is no extended range.",
        )  # fmt: skip
    if base is not None:
        _judge_extended(sheet, book, plate, supply, best, base)
        _judge_raised_speed(sheet, book, plate, speed, base)
    elif supply.is_drive:
        _judge_on_drive(sheet, book, plate, supply, best)
    else:
        _judge_on_mains(sheet, book, plate, supply, best)
    if supply.is_drive:
        _judge_reach(sheet, book, plate, supply)
        _judge_peak(sheet, book, plate, supply)


def _judge_on_drive(sheet: Sheet, book: View, plate: Plate, supply: Supply, best: Candidate) -> None:
    lack = sheet.step("voltage missing at full output", "d = max(1 − r, 0)", unit="%", r=best.ratio)
    sheet.compare(
        book.limit("connection/zone-a-voltage"), lack, otherwise=Outcome.CAUTION,
        because=f"In {best.connection} the drive's {short(supply.voltage)} gives the winding {percent(best.ratio)} of its rated voltage.",
    )  # fmt: skip
    sheet.compare(
        book.limit("connection/least-flux-ratio"), best.ratio.to("%"),
        because=f"Full torque lasts to {short(best.full_torque_up_to)} of {short(plate.frequency)}; above that torque falls.",
    )  # fmt: skip
    wide = book.limit("connection/zone-b-voltage")
    excess = sheet.step(
        "output voltage over the highest plate voltage",
        "d = U / Um − 1",
        unit="%",
        U=supply.voltage,
        Um=plate.highest_voltage,
    )
    if excess.si > wide.value.si:
        sheet.compare(
            wide, excess,
            because=f"The plate goes to {short(plate.highest_voltage)} and the drive puts out {short(supply.voltage)}; the insulation is not stated for that.",
        )  # fmt: skip
    elif best.state == "high":
        sheet.find(
            Outcome.CAUTION, wide, measured=best.ratio.to("%"),
            because=f"The drive can give the winding {percent(best.ratio)} of its voltage; only its setting of {short(best.rated_voltage)} keeps the iron from saturating.",
        )  # fmt: skip


def _judge_on_mains(sheet: Sheet, book: View, plate: Plate, supply: Supply, best: Candidate) -> None:
    shift = sheet.step("frequency deviation", "d = abs(f / fn − 1)", unit="%", f=supply.frequency, fn=plate.frequency)
    moved = shift.si > book.limit("connection/zone-b-frequency").value.si
    sheet.compare(
        book.limit("connection/zone-a-frequency"), shift, otherwise=Outcome.CAUTION,
        because=f"The plate is for {short(plate.frequency)}, the mains has {short(supply.frequency)}.",
    )  # fmt: skip
    deviation = sheet.step("deviation from rated voltage per hertz", "d = abs(φ − 1)", unit="%", φ=best.flux)
    because = f"In {best.connection} on {short(supply.voltage)} the winding gets {percent(best.ratio)} of its voltage and {percent(best.flux)} of its flux."
    sheet.compare(book.limit("connection/zone-a-voltage"), deviation, otherwise=Outcome.CAUTION, because=because)
    if moved and best.flux.si < 1.0:
        sheet.compare(book.limit("connection/least-flux-ratio"), best.flux.to("%"), because=because)
    else:
        sheet.compare(book.limit("connection/zone-b-voltage"), deviation, because=because)
    if plate.frequency.si == 60.0:
        sheet.compare(
            book.limit("connection/voltage-variation-mg1"),
            deviation,
            because=f"{because} United States practice.",
            decides=False,
        )


def _judge_extended(sheet: Sheet, book: View, plate: Plate, supply: Supply, best: Candidate, base: Quantity) -> None:
    excess = sheet.step(
        "output voltage over the highest plate voltage",
        "d = U / Um − 1",
        unit="%",
        U=supply.voltage,
        Um=plate.highest_voltage,
    )
    sheet.compare(
        book.limit("connection/zone-a-voltage"), excess,
        because=f"In {best.connection} the winding sees {short(supply.voltage)}; the plate's highest is {short(plate.highest_voltage)}.",
    )  # fmt: skip
    conditions = book.rule("connection/extended-range")
    if supply.maximum_frequency is not None:
        reached = supply.maximum_frequency.si >= base.si
        sheet.find(
            Outcome.ACCEPT if reached else Outcome.REJECT, conditions, measured=supply.maximum_frequency, limit=base,
            because=f"The base frequency must be {short(base)}; the drive goes to {short(supply.maximum_frequency)}.",
        )  # fmt: skip
    gain = sheet.step(
        "power over rated power at the raised base frequency", "g = f / fn", unit="1", f=base, fn=plate.frequency
    )
    sheet.compare(
        book.limit("connection/extended-range-power"), gain, otherwise=Outcome.CAUTION,
        because=f"At {short(base)} the motor can give {number_text(gain.si, 3)} times its rated power; for long periods use less.",
    )  # fmt: skip
    thermal = plate.given.get("thermal_class")
    words = f"is of thermal class {thermal}" if thermal else "is of unknown thermal class"
    outcome = Outcome.ACCEPT if thermal in ("F", "H") else Outcome.REJECT if thermal else Outcome.CAUTION
    sheet.find(outcome, conditions, because=f"The winding {words}; the extended range wants F or better.")
    sheet.find(
        Outcome.CAUTION,
        book.rule("connection/extended-range-duty"),
        because="The motor runs hotter and louder; for short periods.",
    )


def _judge_raised_speed(sheet: Sheet, book: View, plate: Plate, speed: Speed | None, base: Quantity) -> None:
    """No-load speed at the raised base frequency against what bearings and rotor are commonly good for."""
    factor, cap = book.limit("speeds/motor-speed-factor"), book.limit("speeds/motor-speed-cap")
    if speed is None:
        rise = sheet.step("raised over rated frequency", "g = f / fn", unit="1", f=base, fn=plate.frequency)
        sheet.compare(
            factor, rise, otherwise=Outcome.CAUTION,
            because=f"At {short(base)} the motor turns {number_text(rise.si, 3)} times as fast as on its plate.",
        )  # fmt: skip
        return
    fastest = sheet.step(
        "no-load speed at the raised base frequency",
        motor.synchronous_speed,
        unit="r/min",
        f=base,
        p=float(speed.poles),
    )
    doubled = sheet.step(
        "speed the bearings are commonly good for",
        "n = c × nr",
        unit="r/min",
        rule=factor,
        c=factor.value,
        nr=speed.rated,
    )
    limit, bound = min((factor, doubled), (cap, cap.value), key=lambda each: each[1].si)
    found = sheet.compare(
        limit, fastest, against=bound, otherwise=Outcome.CAUTION,
        because=f"At {short(base)} the motor turns up to {short(fastest, 4)}; {short(bound, 4)} is what it is commonly good for.",
    )  # fmt: skip
    if found.outcome is not Outcome.ACCEPT:
        edge = sheet.step(
            "frequency at the motor's speed limit", motor.frequency_at_synchronous_speed, unit="Hz",
            n=bound, p=float(speed.poles),
        )  # fmt: skip
        sheet.next_step(
            f"Set the drive's highest frequency to {int(edge.si)} Hz, unless the motor's maker allows more; the base frequency stays {short(base)}."
        )


def _judge_reach(sheet: Sheet, book: View, plate: Plate, supply: Supply) -> None:
    """Whether the drive as it is described can put out what it is said to."""
    highest = supply.maximum_frequency
    if highest is not None and highest.si < plate.frequency.si:
        sheet.find(
            Outcome.CAUTION, book.rule("connection/drive-frequency"), measured=highest, limit=plate.frequency,
            because=f"The drive goes to {short(highest)}, so the motor does not reach its rated speed at {short(plate.frequency)}.",
        )  # fmt: skip
    share = book.constant("connection/drive-output-voltage")
    if supply.voltage.si > supply.input_voltage.si * share.value.si * (
        1.0 + book.limit("connection/zone-a-voltage").value.si
    ):
        sheet.find(
            Outcome.CAUTION, share, measured=supply.voltage, limit=supply.input_voltage, decides=False,
            because=f"Only a drive that boosts its input gives {short(supply.voltage)} from {short(supply.input_voltage)}; see that its plate says so.",
        )  # fmt: skip


def _judge_peak(sheet: Sheet, book: View, plate: Plate, supply: Supply) -> None:
    """Voltage peaks of the drive against what the insulation stands."""
    feeding = max(supply.voltage, supply.input_voltage, key=lambda voltage: voltage.si)
    reflected = book.constant("connection/peak-voltage-reflection")
    peak = sheet.step(
        "voltage peak at the motor terminals, full reflection",
        "Up = k × √(2) × U",
        unit="V",
        rule=reflected,
        k=reflected.value,
        U=feeding,
    )
    general = book.limit("connection/peak-voltage-general-purpose")
    if plate.given.get("built_for_drive"):
        factor = book.constant("connection/peak-voltage-drive-duty")
        withstand = sheet.step(
            "voltage peak a motor built for drives stands",
            "Uw = k × Un",
            unit="V",
            rule=factor,
            k=factor.value,
            Un=plate.highest_voltage,
        )
        sheet.find(
            Outcome.ACCEPT if peak.si <= withstand.si else Outcome.CAUTION, factor, measured=peak, limit=withstand,
            because=f"The motor is said to be built for a drive; peaks reach {short(peak)}.",
        )  # fmt: skip
        return
    finding = sheet.compare(
        general, peak, otherwise=Outcome.CAUTION,
        because=f"With a long motor cable the peaks reach {short(peak)}; an old winding was made for the mains.",
    )  # fmt: skip
    sheet.compare(
        book.limit("connection/peak-voltage-maker"), peak, otherwise=Outcome.CAUTION, decides=False,
        because=f"Peaks of {short(peak)} against one maker's requirement.",
    )  # fmt: skip
    rise = book.constant("connection/drive-rise-time")
    sheet.compare(
        book.limit("connection/rise-time-general-purpose"), rise.value, otherwise=Outcome.CAUTION, decides=False,
        because="Drives switch faster than general-purpose motors were made for; it matters when the peak is near its limit.",
    )  # fmt: skip
    if finding.outcome is not Outcome.ACCEPT:
        sheet.next_step(
            "Keep the motor cable short, or fit an output choke or du/dt filter at the drive, before an old winding runs on it."
        )


def judge_present(
    sheet: Sheet,
    book: View,
    request: dict[str, Any],
    supply: Supply,
    candidates: list[Candidate],
    best: Candidate,
    *,
    extended: bool,
) -> Candidate | None:
    """The present connection, if it is known and another than the best."""
    present = next((c for c in candidates if c.connection == request.get("present_connection")), None)
    if present is None or present is best:
        return None
    over = present.state == "high"
    zone = book.limit("connection/zone-b-voltage" if over else "connection/zone-a-voltage")
    edge = None
    if present.state != "rated":
        edge = Quantity.of(100.0 + (1.0 if over else -1.0) * zone.value.number("%"), "%")
    because = f"It is now in {present.connection}, where {effect_of(supply, present)}."
    outcome = Outcome.REJECT if over else Outcome.CAUTION
    sheet.find(outcome, zone, measured=present.flux.to("%"), limit=edge, because=because)
    if over:
        sheet.next_step(f"Do not start the motor in {present.connection}.")
    elif extended:
        sheet.next_step(
            f"{present.connection.capitalize()} is the ordinary connection; go back to it if the extended range is not needed."
        )
    return present
