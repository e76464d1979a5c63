"""Torque curve of a motor on a drive, and the reductions of the pulley steps: shared by answer and chart."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from millphase.answer import Sheet
from millphase.physics import belt, motor
from millphase.quantity import Quantity
from millphase.questions._motor_speed import from_plate, rated_frequency
from millphase.questions.base import View, contradiction

_LENGTHS = ["56", "63", "71", "80", "90", "90S", "90L", "100", "100L", "112", "112M", "132", "132S", "132M"]
FRAMES = [*_LENGTHS, "160", "160M", "160L", "180", "180M", "180L", "200", "200L", "225", "225S", "225M"]

# A shaft this slow against its field stands still for all practical purposes (1 % of the synchronous speed).
_STANDSTILL = 0.02
# How far above the slip frequency of rated torque a range is advised to begin.
_CLEAR = 1.1


@dataclass(frozen=True)
class Point:
    """What the motor does at one frequency; `cooling_share` is the torque its cooling alone allows, over rated."""

    frequency: Quantity
    cooling_share: Quantity
    speed: Quantity
    torque_share: Quantity
    torque: Quantity | None
    power: Quantity | None


@dataclass(frozen=True)
class Drive:
    """The motor on its drive; `fastest` is its no-load speed at the highest frequency wanted.

    `known` keeps points already worked out, so that each is written once.
    """

    poles: int
    rated_frequency: Quantity
    base_frequency: Quantity
    slip_speed: Quantity
    torque: Quantity | None
    cooling: str
    pull_out: Quantity
    margin: Quantity
    fastest: Quantity
    known: dict[float, Point] = field(default_factory=dict)


@dataclass(frozen=True)
class Step:
    """One pulley step, with or without back gear.

    Attributes
    ----------
    label, name : str
        What the table shows, and how sentences speak of it.
    reduction : Quantity
        Motor speed over spindle speed.
    efficiency : Quantity
        Of all belts and gears together.
    belts : list of tuple
        Driving pulley of each belt, with the reduction before it (None for a pulley on the motor).
    """

    label: str
    name: str
    back_gear: bool
    reduction: Quantity
    efficiency: Quantity
    belts: list[tuple[Quantity, Quantity | None]]


def prepare(sheet: Sheet, book: View, request: dict[str, Any]) -> Drive:
    """Read the motor: frequency, poles, slip, rated torque, and what stands in for values that are not given."""
    given, wanted = request["motor"], request["frequency_range"]
    if wanted["lowest"].si >= wanted["highest"].si:
        raise contradiction("/frequency_range/lowest", "the lowest frequency must be below the highest; exchange them")
    rated = given["rated_speed"]
    frequency = rated_frequency(sheet, book, request["wiring_rules"], given.get("frequency"), rated, "motor.frequency")
    speed = from_plate(sheet, book, frequency, rated, given.get("poles"), "/motor/rated_speed")
    if "maximum_speed" in given and given["maximum_speed"].si < rated.si:
        raise contradiction(
            "/motor/maximum_speed",
            f"a motor that turns {rated} at rated load is not limited to {given['maximum_speed']}; read both again",
        )
    torque = None
    if "power" in given:
        torque = sheet.step("rated torque of the motor", motor.torque, unit="N.m", P=given["power"], n=rated)
    cooling = given.get("cooling")
    if cooling is None:
        cooling = "ic-411"
        sheet.assume("motor.cooling", cooling, book.rule("speeds/cooling"))
    pull_out = given.get("pull_out_torque")
    if pull_out is None:
        default = book.constant("motor/pull-out-torque")
        pull_out = sheet.looked_up("pull-out torque over rated torque", default)
        sheet.assume("motor.pull_out_torque", pull_out, default)
    margin = sheet.looked_up("margin kept to the pull-out torque", book.constant("motor/pull-out-margin"))
    base = given.get("full_torque_up_to", frequency)
    fastest = sheet.step(
        "no-load speed at the highest frequency", motor.synchronous_speed, unit="r/min",
        f=wanted["highest"], p=float(speed.poles),
    )  # fmt: skip
    return Drive(speed.poles, frequency, base, speed.slip_speed, torque, cooling, pull_out, margin, fastest)


def point(sheet: Sheet, book: View, drive: Drive, frequency: Quantity) -> Point:
    """Loaded speed and continuous torque at one frequency.

    Up to the base frequency flux is rated: slip follows the torque. Above it power is constant until the margin
    to pull-out takes over.
    """
    if frequency.si in drive.known:
        return drive.known[frequency.si]
    at = f"{frequency.value:.4g} Hz"
    cooled = share = _cooling_share(sheet, book, drive, frequency)
    poles, slip = float(drive.poles), drive.slip_speed
    if frequency.si <= drive.base_frequency.si:
        speed = sheet.step(
            f"motor speed at {at}", motor.speed_at_rated_flux, unit="r/min", f=frequency, p=poles, Δn=slip, t=share
        )
    else:
        share = sheet.step(
            f"usable torque over rated at {at}", motor.torque_share_above_base, unit="1",
            k=share, fb=drive.base_frequency, f=frequency, m=drive.pull_out, c=drive.margin,
        )  # fmt: skip
        speed = sheet.step(
            f"motor speed at {at}", motor.speed_in_field_weakening, unit="r/min",
            f=frequency, p=poles, Δn=slip, t=share, fb=drive.base_frequency,
        )  # fmt: skip
    if speed.si <= _STANDSTILL * frequency.si / drive.poles:
        raise contradiction(
            "/frequency_range/lowest",
            f"at {at} the slip takes all the speed and the motor stands still under load; begin the range above {_CLEAR * slip.si * poles / 2.0:.2g} Hz",
        )
    torque = power = None
    if drive.torque is not None:
        torque = sheet.step(f"motor torque at {at}", "T = t × Tn", unit="N.m", t=share, Tn=drive.torque)
        power = sheet.step(f"motor power at {at}", motor.power, unit="kW", n=speed, T=torque)
    found = Point(frequency, cooled, speed, share, torque, power)
    drive.known[frequency.si] = found
    return found


def _cooling_share(sheet: Sheet, book: View, drive: Drive, frequency: Quantity) -> Quantity:
    """Continuous torque that the cooling allows, over rated torque."""
    full = Quantity(1.0, "1", "ratio")
    if drive.cooling == "ic-416" or frequency.si >= drive.rated_frequency.si:
        return full
    table = book.table("speeds/self-ventilated-torque")
    x = sheet.step("frequency over rated frequency", "x = f / fn", unit="1", f=frequency, fn=drive.rated_frequency)
    rows = sorted(table.rows(), key=lambda row: row.q("frequency_share").si)
    above = next(index for index, row in enumerate(rows) if row.q("frequency_share").si >= x.si)
    lower, upper = rows[above - 1], rows[above]
    return sheet.step(
        "continuous torque over rated torque", motor.between, unit="1", rule=table, x=x,
        x1=lower.q("frequency_share"), k1=lower.q("torque_share"), x2=upper.q("frequency_share"), k2=upper.q("torque_share"),
    )  # fmt: skip


def _efficiency(sheet: Sheet, request: dict[str, Any], field_name: str, rule: str) -> Quantity:
    """Efficiency given in the request, or the usual one as an assumption."""
    given: Quantity | None = request.get(field_name)
    if given is not None:
        return given
    usual = sheet.book.constant(rule)
    sheet.assume(field_name, usual.value, usual)
    return usual.value


def steps(sheet: Sheet, request: dict[str, Any]) -> list[Step]:
    """Every pulley step, and every step with back gear where there is one."""
    belts = _efficiency(sheet, request, "belt_efficiency", "speeds/belt-efficiency")
    efficiency = belts
    before = None
    counter = request.get("countershaft")
    if counter:
        before = sheet.step(
            "reduction to the countershaft", belt.reduction, unit="1", d=counter["driver"], dd=counter["driven"]
        )
        efficiency = sheet.step("efficiency of two belts", "η = b × b", unit="%", b=belts)
    found = []
    for index, pair in enumerate(request["steps"], start=1):
        label = pair.get("name") or f"{pair['driver']} on {pair['driven']}"
        name = f"Step {pair['name']}" if "name" in pair else f"Step {index}"
        reduction = sheet.step(f"{name}: reduction", belt.reduction, unit="1", d=pair["driver"], dd=pair["driven"])
        if before is not None:
            reduction = sheet.step(
                f"{name}: reduction with countershaft", "i = i1 × i2", unit="1", i1=before, i2=reduction
            )
        rims = [(pair["driver"], before)]
        if counter:
            rims.append((counter["driver"], None))
        found.append(Step(label, name, False, reduction, efficiency, rims))
    return found + _geared(sheet, request, found)


def _geared(sheet: Sheet, request: dict[str, Any], direct: list[Step]) -> list[Step]:
    ratio = request.get("back_gear")
    if not ratio:
        return []
    gears = _efficiency(sheet, request, "back_gear_efficiency", "speeds/back-gear-efficiency")
    efficiency = sheet.step("efficiency with back gear", "η = b × g", unit="%", b=direct[0].efficiency, g=gears)
    found = []
    for step in direct:
        name = f"{step.name} with back gear"
        reduction = sheet.step(f"{name}: reduction", "i = i1 × g", unit="1", i1=step.reduction, g=ratio)
        found.append(Step(step.label, name, True, reduction, efficiency, step.belts))
    return found
