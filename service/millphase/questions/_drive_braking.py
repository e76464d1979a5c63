"""Braking: inertia, energy, power, the brake resistor, and how long a stop takes without one."""

from __future__ import annotations

from typing import Any

from millphase.answer import Outcome, Sheet
from millphase.physics import braking as laws
from millphase.physics import drive as drives
from millphase.quantity import Quantity
from millphase.questions._drive_output import short
from millphase.questions.base import View, contradiction

_HIGHEST_200_V_CLASS_V = 265.0
SOLID = Quantity.of(0, "mm")


def stop(sheet: Sheet, book: View, request: dict[str, Any]) -> str:
    """Work out the stop that is asked for; returns what the summary says of it."""
    braking, power = request["braking"], request["motor"]["power"]
    inertia = _inertia(sheet, book, braking)
    energy = sheet.step("energy to be taken out", laws.stored_energy, unit="J", J=inertia, n=braking["speed"])
    sheet.value("braking_inertia", inertia)
    sheet.value("braking_energy", energy)
    losses = book.constant("braking/losses-share")
    alone = sheet.step(
        "stop without a brake resistor, about",
        laws.stop_without_resistor,
        unit="s",
        rule=losses,
        E=energy,
        s=losses.value,
        P=power,
    )
    sheet.value("stop_time_without_resistor", alone)
    sheet.caution("caution/braking-is-no-safety-stop")
    if "stop_time" not in braking:
        return f"without a brake resistor a stop takes about {short(alone, 2)}"
    time: Quantity = braking["stop_time"]
    peak = sheet.step("braking power at the start", laws.peak_power, unit="W", E=energy, t=time)
    sheet.value("braking_peak_power", peak)
    mean = sheet.step("mean braking power", laws.mean_power, unit="W", E=energy, t=time)
    sheet.value("braking_mean_power", mean)
    sheet.value(
        "braking_torque",
        sheet.step("braking torque", laws.braking_torque, unit="N.m", J=inertia, n=braking["speed"], t=time),
    )
    possible = _within_overload(sheet, book, request, peak, energy)
    if time.si >= alone.si:
        sheet.find(
            Outcome.ACCEPT, losses, measured=time, limit=alone,
            because="The losses of motor and drive alone stop it in that time: no brake resistor is needed.",
        )  # fmt: skip
        return f"it stops in {short(time)} without a brake resistor"
    _resistor(sheet, book, request, peak)
    if "stops_every" in braking:
        _heating(sheet, braking, energy, mean)
    if not possible:
        return f"a stop in {short(time)} is beyond the drive"
    return f"a stop in {short(time)} needs a brake resistor that takes {short(peak)}"


def _inertia(sheet: Sheet, book: View, braking: dict[str, Any]) -> Quantity:
    """Inertia at the motor's shaft: what is given, and every mass reflected through its speed ratio."""
    found = [braking["inertia"]] if "inertia" in braking else []
    for index, mass in enumerate(braking.get("masses", [])):
        found.append(_reflected(sheet, book, braking, mass, index))
    if not found:
        raise contradiction(
            "/braking", "a stop needs the inertia, or the masses that turn; weigh and measure the chuck"
        )
    total: Quantity = found[0]
    for more in found[1:]:
        total = sheet.step("inertia at the motor's shaft", "J = J1 + J2", unit="kg.m2", J1=total, J2=more)
    return total


def _reflected(sheet: Sheet, book: View, braking: dict[str, Any], mass: dict[str, Any], index: int) -> Quantity:
    bore = mass.get("bore", SOLID)
    if bore.si >= mass["outside_diameter"].si:
        raise contradiction(
            f"/braking/masses/{index}/bore", "the bore is not smaller than the outside; measure both again"
        )
    weight = mass.get("mass")
    if weight is None:
        weight = _weighed(sheet, book, mass, bore, index)
    own = sheet.step(
        f"inertia of mass {index + 1}", laws.ring_inertia, unit="kg.m2", m=weight, D=mass["outside_diameter"], d=bore
    )
    if "speed" not in mass:
        return own
    return sheet.step(
        f"inertia of mass {index + 1} at the motor's shaft", laws.reflected_inertia, unit="kg.m2",
        J=own, n2=mass["speed"], n1=braking["speed"],
    )  # fmt: skip


def _weighed(sheet: Sheet, book: View, mass: dict[str, Any], bore: Quantity, index: int) -> Quantity:
    if "width" not in mass:
        raise contradiction(f"/braking/masses/{index}", "give the mass, or the width from which it can be worked out")
    metre = book.coefficients("braking/mass-of-cubic-metre")
    if "material" not in mass:
        sheet.assume(f"braking.masses.{index}.material", "steel", metre)
    density = metre[mass.get("material", "steel").replace("-", "_")]
    return sheet.step(
        f"mass {index + 1}",
        laws.ring_mass,
        unit="kg",
        rule=metre,
        ρ=density,
        D=mass["outside_diameter"],
        d=bore,
        w=mass["width"],
    )


def _within_overload(sheet: Sheet, book: View, request: dict[str, Any], peak: Quantity, energy: Quantity) -> bool:
    """Whether the drive's overload covers the start of the stop: its own where it is given, else the usual one."""
    power, limit = request["motor"]["power"], book.limit("braking/peak-share")
    allowed: Quantity = request.get("drive", {}).get("overload", limit.value)
    share = sheet.step("braking power over the motor's", drives.share_of, unit="%", rule=limit, a=peak, b=power)
    found = sheet.compare(
        limit,
        share,
        against=allowed,
        because=f"The stop begins with {short(peak)}, {short(share)} of the motor's {power}.",
    )
    if found.outcome is Outcome.ACCEPT:
        return True
    quickest = sheet.step(
        "quickest stop within the overload",
        "t = 2 × E / (k × P)",
        unit="s",
        rule=limit,
        E=energy,
        k=allowed,
        P=power,
    )
    sheet.next_step(f"Allow at least {short(quickest)} for the stop, or turn less mass or slower.")
    return False


def _resistor(sheet: Sheet, book: View, request: dict[str, Any], peak: Quantity) -> None:
    """Bounds of the brake resistor, and what it must stand."""
    braking = request["braking"]
    chopper = _chopper(sheet, book, request)
    greatest = sheet.step("greatest brake resistance", laws.resistance_limit, unit="ohm", V=chopper, P=peak)
    sheet.value("braking_resistance_limit", greatest)
    if "least_resistance" in braking:
        _reachable(sheet, book, braking["least_resistance"], greatest)
    else:
        sheet.find(
            Outcome.CAUTION, book.limit("braking/least-resistance"), limit=greatest,
            because=f"The stop needs {short(greatest)} or less, and the least resistance the drive allows is not known.",
        )  # fmt: skip
        sheet.next_step("Look up the least brake resistance the drive allows: a lower one destroys its chopper.")
    if "resistance" in braking:
        _fitted(sheet, book, braking, greatest)
    maker = book.table("braking/maker-resistors").row_at_or_above("power", request["motor"]["power"])
    if maker is not None and _is_low(request):
        sheet.find(
            Outcome.ACCEPT, maker, decides=False, measured=greatest, limit=maker.q("resistance"),
            because=f"One maker fits {maker.q('resistance')} and {maker.q('rating')} to its {maker.q('power')} drive.",
        )  # fmt: skip
    sheet.next_step("Mount the brake resistor where its heat and its surface can harm nothing, with a thermal trip.")


def _is_low(request: dict[str, Any]) -> bool:
    """Whether the drive belongs to the 200 V class, by its supply or, for want of it, by the motor."""
    voltage: Quantity = request.get("supply", {}).get("voltage", request["motor"]["voltage"])
    return voltage.si <= _HIGHEST_200_V_CLASS_V


def _chopper(sheet: Sheet, book: View, request: dict[str, Any]) -> Quantity:
    given: Quantity | None = request["braking"].get("chopper_voltage")
    low = _is_low(request)
    if given is not None:
        sheet.compare(
            book.limit("braking/overvoltage-trip" if low else "braking/overvoltage-trip-400"),
            given,
            otherwise=Outcome.CAUTION,
            because=f"The chopper works at {given}, and must do so before the drive trips on overvoltage.",
        )
        return given
    usual = book.constant("braking/chopper-voltage" if low else "braking/chopper-voltage-400")
    sheet.assume("braking.chopper_voltage", usual.value, usual)
    return usual.value


def _reachable(sheet: Sheet, book: View, least: Quantity, greatest: Quantity) -> None:
    limit = book.limit("braking/resistance")
    share = sheet.step("least resistance over the greatest", drives.share_of, unit="%", rule=limit, a=least, b=greatest)
    found = sheet.compare(
        limit, share, because=f"The stop needs {short(greatest)} or less, and the drive allows {least} or more."
    )
    if found.outcome is not Outcome.ACCEPT:
        sheet.next_step("Allow more time for the stop, or take a drive with a stronger brake chopper.")


def _fitted(sheet: Sheet, book: View, braking: dict[str, Any], greatest: Quantity) -> None:
    resistance = braking["resistance"]
    limit = book.limit("braking/resistance")
    share = sheet.step(
        "brake resistance over the greatest", drives.share_of, unit="%", rule=limit, a=resistance, b=greatest
    )
    sheet.compare(
        limit, share, because=f"The brake resistor has {resistance}, and the stop needs {short(greatest)} or less."
    )
    if "least_resistance" in braking:
        floor = book.limit("braking/least-resistance")
        share = sheet.step(
            "brake resistance over the least",
            drives.share_of,
            unit="%",
            rule=floor,
            a=resistance,
            b=braking["least_resistance"],
        )
        sheet.compare(floor, share, because=f"The drive allows {braking['least_resistance']} or more.")


def _heating(sheet: Sheet, braking: dict[str, Any], energy: Quantity, pulse: Quantity) -> None:
    """What the resistor must dissipate with one stop in every cycle."""
    cycle, time = braking["stops_every"], braking["stop_time"]
    if cycle.si <= time.si:
        raise contradiction(
            "/braking/stops_every", "the time between stops is not longer than a stop; give the whole cycle"
        )
    sheet.value(
        "braking_cycle_power", sheet.step("mean power over the cycle", laws.mean_power, unit="W", E=energy, t=cycle)
    )
    sheet.value(
        "braking_effective_power",
        sheet.step("effective power of the brake resistor", laws.effective_power, unit="W", P=pulse, t=time, T=cycle),
    )
