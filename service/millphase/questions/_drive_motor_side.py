"""Between drive and motor: voltage peaks by reflection, cable charging, carrier frequency and cable length."""

from __future__ import annotations

from typing import Any

from millphase.answer import Outcome, Sheet
from millphase.physics import drive as laws
from millphase.physics import reflection
from millphase.quantity import Quantity
from millphase.questions._drive_circuit import idle_link
from millphase.questions._drive_output import short
from millphase.questions.base import View


def judge(sheet: Sheet, book: View, request: dict[str, Any], carrier: Quantity) -> None:
    """Judge what the motor's insulation and the drive's output see of the cable between them."""
    if "supply" in request:
        _peaks(sheet, book, request)
    if "motor_cable" in request:
        _carrier(sheet, book, request["motor_cable"], carrier)
        if "supply" in request:
            _charging(sheet, book, request, carrier)
    sheet.next_step(book.text("drive/no-capacitor"), book.text("drive/power-up-interval"))
    sheet.caution("caution/no-switching-behind-drive")


def _peaks(sheet: Sheet, book: View, request: dict[str, Any]) -> None:
    """Peak voltage at the motor by reflection, against what the winding stands."""
    rise = request.get("drive", {}).get("rise_time")
    if rise is None:
        usual = book.constant("connection/drive-rise-time")
        rise = usual.value
        sheet.assume("drive.rise_time", rise, usual)
    speed = book.constant("drive/wave-speed")
    critical = sheet.step(
        "critical cable length", reflection.critical_length, unit="m", rule=speed, v=speed.value, t=rise
    )
    sheet.value("critical_cable_length", critical)
    length = request.get("motor_cable", {}).get("length")
    if length is None:
        length = critical
        sheet.assume("motor_cable.length", f"{short(critical)} or more", speed)
    idle = idle_link(sheet, book, request)
    whole = book.constant("connection/peak-voltage-reflection")
    peak = sheet.step(
        "peak voltage at the motor's terminals",
        reflection.terminal_peak,
        unit="V",
        rule=whole,
        V=idle,
        l=length,
        l0=critical,
    )
    sheet.value("terminal_peak_voltage", peak)
    sheet.value(
        "voltage_steepness", sheet.step("steepness of the edges", reflection.steepness, unit="V/us", V1=peak, t=rise)
    )
    braked = None
    if "braking" in request:
        rising = book.constant("drive/braking-rise")
        braked = sheet.step("peak voltage while braking", "V = k × V1", unit="V", rule=rising, k=rising.value, V1=peak)
        sheet.value("terminal_peak_voltage_braking", braked)
    _withstand(sheet, book, request["motor"], braked or peak, "while braking" if braked else "at the motor")
    _age(sheet, book, request["motor"], braked or peak)
    shortest = book.limit("connection/rise-time-general-purpose")
    sheet.compare(
        shortest, rise, otherwise=Outcome.CAUTION, decides=False,
        because="Drives switch faster than general-purpose motors were made for; it matters when the peak is near its limit.",
    )  # fmt: skip


def _withstand(sheet: Sheet, book: View, motor: dict[str, Any], peak: Quantity, where: str) -> None:
    """The winding's limit: of a general-purpose motor, or the higher one of a winding built for drives."""
    general = book.limit("connection/peak-voltage-general-purpose")
    stands = general.value
    if "insulation" not in motor:
        sheet.assume("motor.insulation", "general-purpose", general)
    if motor.get("insulation") == "built-for-drives":
        built = book.constant("connection/peak-voltage-drive-duty")
        stands = sheet.step(
            "peak the winding stands",
            "V = max(k × U, V0)",
            unit="V",
            rule=built,
            k=built.value,
            U=motor["voltage"],
            V0=stands,
        )
    finding = sheet.compare(
        general, peak, against=stands, otherwise=Outcome.CAUTION,
        because=f"The voltage {where} peaks at {short(peak)}, and the winding stands {short(stands)}.",
    )  # fmt: skip
    if finding.outcome is not Outcome.ACCEPT:
        sheet.next_step(
            "Keep the motor cable well below its critical length, or fit an output filter, or use a motor built for drives."
        )


def _age(sheet: Sheet, book: View, motor: dict[str, Any], peak: Quantity) -> None:
    """A winding from before drives were common was never tested against steep edges."""
    year = book.constant("drive/winding-year")
    if motor.get("manufactured", year.value.si) >= year.value.si:
        return
    sheet.find(
        Outcome.CAUTION, year, decides=False, measured=peak,
        because=f"The winding is older than {year.value}: its wire was never tested against steep edges.",
    )  # fmt: skip
    sheet.next_step(
        "With so old a winding keep the motor cable short, or fit an output choke, which makes the edges less steep."
    )


def _carrier(sheet: Sheet, book: View, cable: dict[str, Any], carrier: Quantity) -> None:
    """Carrier frequency and output choke by the length of the cable."""
    length: Quantity = cable["length"]
    table = book.table("drive/carrier-by-length")
    row = table.row_at_or_above("length", length) or table.rows()[-1]
    greatest = sheet.looked_up("greatest carrier frequency for this cable", row["carrier"])
    sheet.value("greatest_carrier_frequency", greatest)
    sheet.find(
        Outcome.ACCEPT if carrier.si <= greatest.si else Outcome.CAUTION, row, measured=carrier, limit=greatest,
        because=f"With {length} of motor cable one maker allows a carrier frequency of {greatest}, and it is {carrier}.",
    )  # fmt: skip
    if carrier.si > greatest.si:
        sheet.next_step(f"Set the carrier frequency to {greatest} or less for this motor cable.")
    choke = book.limit("drive/choke-from-length")
    found = sheet.compare(
        choke,
        length,
        otherwise=Outcome.CAUTION,
        because=f"The motor cable is {length} long, and beyond {choke.value} an output choke is wanted.",
    )
    if found.outcome is not Outcome.ACCEPT:
        sheet.next_step("Fit an output choke at the drive, or bring the drive nearer to the motor.")
    sheet.next_step(
        "Keep the motor cable as short as can be; bond its screen all round at both ends."
        if cable.get("screened")
        else "Keep the motor cable as short as can be; a screened one radiates less."
    )


def _charging(sheet: Sheet, book: View, request: dict[str, Any], carrier: Quantity) -> None:
    """Current that only recharges the cable, against the drive's rating."""
    cable, drive = request["motor_cable"], request.get("drive", {})
    screened = cable.get("screened")
    stray = book.constant("drive/unscreened-capacitance" if screened is False else "drive/screened-capacitance")
    if screened is None:
        sheet.assume("motor_cable.screened", "true", stray)
    current = sheet.step(
        "charging current of the motor cable", laws.charging_current, unit="mA", rule=stray,
        c=stray.value, l=cable["length"], V=idle_link(sheet, book, request), f=carrier,
    )  # fmt: skip
    sheet.value("cable_charging_current", current)
    rated = drive.get("rated_output_current", request["motor"]["current"])
    limit = book.limit("drive/charging-current")
    share = sheet.step("share of the output current", laws.share_of, unit="%", rule=limit, a=current, b=rated)
    sheet.compare(
        limit,
        share,
        otherwise=Outcome.CAUTION,
        because=f"Recharging the motor cable takes {short(current)} at {carrier}.",
    )
