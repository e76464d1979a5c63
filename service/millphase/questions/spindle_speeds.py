"""Spindle speed, torque and power on every pulley step of a machine on a drive, and which limit binds."""

from __future__ import annotations

import re
from typing import Any

from millphase.answer import Answer, Sheet
from millphase.physics import belt, motor
from millphase.quantity import Quantity, number_text
from millphase.questions import _speeds_curve as curves
from millphase.questions._speeds_curve import Drive, Point, Step
from millphase.questions.base import Outcome, Part, Question, Request, View, fields, out

LIMITS = ["frequency-range", "motor-speed", "belt-speed", "spindle-limit"]
SAID = {
    "frequency-range": "the frequency range",
    "motor-speed": "the motor's mechanical speed limit",
    "belt-speed": "the belt speed",
    "spindle-limit": "the spindle limit",
}


class MotorPart(Part):
    """The motor, from its plate."""

    rated_speed = fields.Quantity(
        "rotational-frequency", low="100 r/min", high="24000 r/min", required=True, help="Speed at rated load."
    )
    frequency = fields.Quantity("frequency", low="16 Hz", high="400 Hz", help="Rated frequency.")
    poles = fields.WholeChoice([2, 4, 6, 8, 10, 12], help="Number of poles; worked out from the speed if not given.")
    power = fields.Quantity(
        "power", low="10 W", high="500 kW", help="Rated shaft power; without it torque is given as a share only."
    )
    frame = fields.Choice(
        curves.FRAMES, help="Frame of an IEC motor: its centre height in mm, with or without the length letter."
    )
    cooling = fields.Choice(
        ["ic-01", "ic-411", "ic-416"], help="ic-01 open, ic-411 own fan outside, ic-416 separately driven fan."
    )
    maximum_speed = fields.Quantity(
        "rotational-frequency", low="100 r/min", high="60000 r/min", help="Largest speed on the plate."
    )
    pull_out_torque = fields.Quantity(
        "ratio", low="1.2", high="6", bare=True, help="Pull-out torque over rated torque, from the maker."
    )
    full_torque_up_to = fields.Quantity(
        "frequency", low="5 Hz", high="400 Hz",
        help="Frequency up to which the drive holds rated torque, from connection-choice; the rated frequency if not given.",
    )  # fmt: skip


def _diameter(words: str) -> fields.Quantity:
    return fields.Quantity("length", low="5 mm", high="2 m", required=True, help=words)


class Pair(Part):
    """Two pulleys and the belt between them."""

    driver = _diameter("Pitch diameter of the driving pulley.")
    driven = _diameter("Pitch diameter of the driven pulley.")


class StepPart(Pair):
    """One step of the pulleys on motor (or countershaft) and spindle."""

    name = fields.Text(high=40, help="What the step is called on the machine.")


class RangePart(Part):
    """What the drive will be set to."""

    lowest = fields.Quantity("frequency", low="0.5 Hz", high="400 Hz", required=True, help="Lowest frequency.")
    highest = fields.Quantity("frequency", low="1 Hz", high="400 Hz", required=True, help="Highest frequency.")


class SpeedsRequest(Request):
    """Motor, pulleys and the wanted range."""

    motor = fields.Part(MotorPart, required=True, help="The motor.")
    steps = fields.Many(fields.Part(StepPart), low=1, high=16, required=True, help="Every step of the pulleys.")
    countershaft = fields.Part(Pair, help="A fixed belt from the motor to a countershaft that carries the steps.")
    back_gear = fields.Number(
        low=1.0, high=100.0, help="How many times slower the spindle turns with the back gear engaged."
    )
    frequency_range = fields.Part(RangePart, required=True, help="Lowest and highest frequency wanted.")
    spindle_limit = fields.Quantity(
        "rotational-frequency",
        low="10 r/min",
        high="60000 r/min",
        help="Lowest of the limits of spindle, chuck and faceplate.",
    )
    belt = fields.Choice(["classical", "wedge", "flat"], help="Kind of belt.")
    belt_efficiency = fields.Quantity("ratio", low="50 %", high="100 %", help="Efficiency of one belt.")
    back_gear_efficiency = fields.Quantity("ratio", low="50 %", high="100 %", help="Efficiency of the back gear.")
    pulleys_balanced = fields.Flag(help="True if wedge belt pulleys are dynamically balanced.")


def answer(request: dict[str, Any], book: View) -> Answer:
    """Motor limits, then every step: what binds at the top, speed and torque at lowest, rated and highest frequency."""
    sheet = QUESTION.sheet(book)
    drive = curves.prepare(sheet, book, request)
    limit = motor_limit(sheet, book, request, drive)
    belt_limit = belt_limit_of(sheet, book, request)
    lowest = curves.point(sheet, book, drive, request["frequency_range"]["lowest"])
    steps = curves.steps(sheet, request)
    rows, used = [], []
    for step in steps:
        top, binding = top_of(sheet, drive, request, step, limit, belt_limit)
        rows.append(_row(sheet, book, drive, lowest, step, top, binding))
        used.append((step, top, binding))
    _findings(sheet, book, request, drive, belt_limit, used, rows)
    _values(sheet, drive, limit, rows, used)
    _advice(sheet, book, request, drive, used)
    return sheet.answer(_summary(request, rows, used, lowest))


def motor_limit(sheet: Sheet, book: View, request: dict[str, Any], drive: Drive) -> Quantity:
    """The strictest mechanical limit of the motor, each compared with its no-load speed at the highest frequency."""
    given, highest = request["motor"], request["frequency_range"]["highest"]
    fastest = drive.fastest
    factor, cap = book.limit("speeds/motor-speed-factor"), book.limit("speeds/motor-speed-cap")
    doubled = sheet.step(
        "speed the bearings are commonly good for",
        "n = c × nr",
        unit="r/min",
        rule=factor,
        c=factor.value,
        nr=given["rated_speed"],
    )
    bounds = [(doubled, factor.cited, "commonly good for"), (cap.value, cap.cited, "good for in any case")]
    tabled = _tabled_speed(sheet, book, given, drive)
    if tabled is not None:
        bounds.append(tabled)
    if "maximum_speed" in given:
        bounds.append((given["maximum_speed"], book.rule("speeds/motor-maximum-speed").cited, "allowed by its plate"))
        # A plate replaces general rules: its maker knows the rotor.
        bounds = [bounds[-1]]
    for bound, cited, words in bounds:
        sheet.find(
            Outcome.ACCEPT if fastest.si <= bound.si else Outcome.CAUTION, cited, measured=fastest, limit=bound,
            because=f"At {highest} the motor turns up to {_rpm(fastest)} without load; {_rpm(bound)} is what it is {words}.",
        )  # fmt: skip
    return min((bound for bound, _, _ in bounds), key=lambda bound: bound.si)


def _tabled_speed(sheet: Sheet, book: View, given: dict[str, Any], drive: Drive) -> tuple[Quantity, Any, str] | None:
    if "frame" not in given or drive.poles > 6:
        return None
    height = Quantity.of(float(re.sub(r"\D", "", given["frame"])), "mm")
    row = book.table("speeds/motor-maximum-speed").row_at_or_above("centre_height", height)
    if row is None:
        return None
    cell = row[f"poles_{drive.poles}"]
    return sheet.looked_up("largest safe speed by frame and poles", cell), cell.cited, "allowed by frame and poles"


def belt_limit_of(sheet: Sheet, book: View, request: dict[str, Any]) -> tuple[Quantity, str]:
    """Largest belt speed of the kind of belt, and the rule it comes from."""
    kind = request.get("belt")
    if kind is None:
        kind = "classical"
        sheet.assume("belt", kind, book.limit("speeds/belt-speed-classical"))
    name = f"speeds/belt-speed-{kind}"
    if kind == "wedge" and not request.get("pulleys_balanced"):
        name = "speeds/belt-speed-wedge-balance"
    limit = book.limit(name)
    return sheet.looked_up("largest belt speed", limit), name


def top_of(
    sheet: Sheet, drive: Drive, request: dict[str, Any], step: Step, limit: Quantity, belt_limit: tuple[Quantity, str]
) -> tuple[Quantity, str]:
    """Highest usable frequency of a step and what binds it; speed limits hold without load, where there is no slip."""
    poles = float(drive.poles)
    bounds = [(request["frequency_range"]["highest"], "frequency-range")]
    bounds.append(
        (
            sheet.step(
                "frequency at the motor's speed limit",
                motor.frequency_at_synchronous_speed,
                unit="Hz",
                n=limit,
                p=poles,
            ),
            "motor-speed",
        )
    )
    for diameter, before in step.belts:
        speed = sheet.step(
            f"{step.name}: pulley speed at the belt limit",
            belt.speed_at_belt_speed,
            unit="r/min",
            v=belt_limit[0],
            d=diameter,
        )
        if before is not None:
            speed = sheet.step(
                f"{step.name}: motor speed at the belt limit", belt.motor_speed, unit="r/min", ns=speed, i=before
            )
        bounds.append(
            (
                sheet.step(
                    f"{step.name}: frequency at the belt limit",
                    motor.frequency_at_synchronous_speed,
                    unit="Hz",
                    n=speed,
                    p=poles,
                ),
                "belt-speed",
            )
        )
    if "spindle_limit" in request:
        speed = sheet.step(
            f"{step.name}: motor speed at the spindle limit",
            belt.motor_speed,
            unit="r/min",
            ns=request["spindle_limit"],
            i=step.reduction,
        )
        bounds.append(
            (
                sheet.step(
                    f"{step.name}: frequency at the spindle limit",
                    motor.frequency_at_synchronous_speed,
                    unit="Hz",
                    n=speed,
                    p=poles,
                ),
                "spindle-limit",
            )
        )
    return min(bounds, key=lambda bound: bound[0].si)


def _row(
    sheet: Sheet, book: View, drive: Drive, lowest: Point, step: Step, top: Quantity, binding: str
) -> dict[str, Any]:
    """One line of the table: speed, torque and power at lowest, rated and highest frequency."""
    usable = top.si > lowest.frequency.si
    row: dict[str, Any] = {
        "step": step.label, "back_gear": step.back_gear, "reduction": step.reduction, "usable": usable, "binds_at_top": binding,
    }  # fmt: skip
    points = {"rated": curves.point(sheet, book, drive, drive.rated_frequency)}
    if usable:
        row["highest_frequency"] = top
        points = {"lowest": lowest, "highest": curves.point(sheet, book, drive, top), **points}
        fastest = sheet.step(
            "no-load motor speed at the top", motor.synchronous_speed, unit="r/min", f=top, p=float(drive.poles)
        )
        row["belt_speed"] = _belt_speed(sheet, step, fastest)
    for name, at in points.items():
        row[name] = sheet.step(
            f"{step.name}: spindle speed at {_hz(at.frequency)}",
            belt.spindle_speed,
            unit="r/min",
            nm=at.speed,
            i=step.reduction,
        )
        row[f"torque_share_at_{name}"] = at.torque_share
        if at.torque is not None:
            row[f"torque_at_{name}"] = sheet.step(
                f"{step.name}: spindle torque at {_hz(at.frequency)}", belt.spindle_torque, unit="N.m",
                Tm=at.torque, i=step.reduction, η=step.efficiency,
            )  # fmt: skip
            row[f"power_at_{name}"] = at.power
    return row


def _belt_speed(sheet: Sheet, step: Step, motor_speed: Quantity) -> Quantity:
    """Speed of the faster belt of a step."""
    found = []
    for diameter, before in step.belts:
        speed = motor_speed
        if before is not None:
            speed = sheet.step(
                f"{step.name}: countershaft speed", belt.spindle_speed, unit="r/min", nm=motor_speed, i=before
            )
        found.append(
            sheet.step(f"{step.name}: belt speed at the top", belt.belt_speed, unit="m/s", d=diameter, n=speed)
        )
    return max(found, key=lambda speed: speed.si)


def _findings(
    sheet: Sheet, book: View, request: dict[str, Any], drive: Drive, belt_limit: tuple[Quantity, str],
    used: list[tuple[Step, Quantity, str]], rows: list[dict[str, Any]],
) -> None:  # fmt: skip
    _belt_findings(sheet, book, request, drive, belt_limit, used, rows)
    _spindle_finding(sheet, book, request, drive, drive.fastest, used)
    if drive.cooling != "ic-416":
        _cooling_findings(sheet, book, request, drive)
    lowest = request["frequency_range"]["lowest"]
    sheet.compare(
        book.limit("speeds/lowest-frequency"), lowest, otherwise=Outcome.CAUTION,
        because=f"The range begins at {_hz(lowest)}; far below that of its plate a motor turns unevenly and a simple drive loses torque.",
    )  # fmt: skip
    reach = max((top for _, top, _ in used), key=lambda top: top.si)
    sheet.compare(
        book.limit("speeds/extra-losses"), reach, otherwise=Outcome.CAUTION,
        because=f"The range goes to {_hz(reach)}; core and friction losses grow with frequency.",
    )  # fmt: skip
    edge = sheet.step(
        "frequency above which the margin to pull-out limits the torque", motor.pull_out_frequency, unit="Hz",
        fb=drive.base_frequency, m=drive.pull_out, c=drive.margin,
    )  # fmt: skip
    if reach.si > edge.si:
        sheet.find(
            Outcome.CAUTION, book.constant("motor/pull-out-margin"), measured=reach, limit=edge,
            because=f"Above {_hz(edge)} the margin to pull-out allows less than constant power.",
        )  # fmt: skip
        if "pull_out_torque" not in request["motor"]:
            sheet.next_step(
                "Give pull_out_torque from the maker's sheet; most motors have 2 to 3 times rated torque and then more is left at the top."
            )
    for step, top, binding in used:
        _step_finding(sheet, book, request, drive, step, top, binding)


def _belt_findings(
    sheet: Sheet, book: View, request: dict[str, Any], drive: Drive, belt_limit: tuple[Quantity, str],
    used: list[tuple[Step, Quantity, str]], rows: list[dict[str, Any]],
) -> None:  # fmt: skip
    """The belt at the highest frequency wanted, and the pulley rims where the belt would allow more than they do."""
    quickest = max((_belt_speed(sheet, step, drive.fastest) for step, _, _ in used), key=lambda speed: speed.si)
    sheet.compare(
        book.limit(belt_limit[1]), quickest, otherwise=Outcome.CAUTION,
        because=f"At {request['frequency_range']['highest']} the fastest belt runs {number_text(quickest.si, 3)} m/s.",
    )  # fmt: skip
    if belt_limit[1] == "speeds/belt-speed-classical":
        sheet.compare(
            book.limit("speeds/belt-speed-classical-balance"), quickest, otherwise=Outcome.CAUTION, decides=False,
            because=f"The standard for classical pulleys grades their balance for no more than this; the belt runs {number_text(quickest.si, 3)} m/s.",
        )  # fmt: skip
    rim = book.limit("speeds/rim-speed")
    running = max((row["belt_speed"].si for row in rows if row["usable"]), default=0.0)
    if running and belt_limit[0].si > rim.value.si:
        sheet.compare(
            rim, Quantity.si_value(running, "m/s"), otherwise=Outcome.CAUTION,
            because=f"Within all limits the fastest pulley rim runs {number_text(running, 3)} m/s; pulleys of ordinary iron are not made for every speed the belt stands.",
        )  # fmt: skip


def _step_finding(
    sheet: Sheet, book: View, request: dict[str, Any], drive: Drive, step: Step, top: Quantity, binding: str
) -> None:
    """A step whose limit lies below rated frequency, or below the whole range, is refused."""
    wanted = request["frequency_range"]
    needed = min(drive.rated_frequency, wanted["highest"], key=lambda frequency: frequency.si)
    if top.si >= needed.si:
        return
    words = "cannot be used in this range" if top.si <= wanted["lowest"].si else f"must not run above {_hz(top)}"
    sheet.find(
        Outcome.REJECT, book.rule("speeds/guarding"), measured=needed, limit=top,
        because=f"{step.name} {words}: {SAID[binding]} binds below the rated frequency.",
    )  # fmt: skip


def _spindle_finding(
    sheet: Sheet,
    book: View,
    request: dict[str, Any],
    drive: Drive,
    fastest: Quantity,
    used: list[tuple[Step, Quantity, str]],
) -> None:
    """Top spindle speed against the spindle limit; without a limit, against the old top speed."""
    quick = min((step for step, _, _ in used), key=lambda step: step.reduction.si)
    top = sheet.step(
        f"{quick.name}: fastest spindle speed without load",
        belt.spindle_speed,
        unit="r/min",
        nm=fastest,
        i=quick.reduction,
    )
    rule = book.rule("speeds/guarding")
    highest = request["frequency_range"]["highest"]
    if "spindle_limit" in request:
        bound = request["spindle_limit"]
        outcome = Outcome.ACCEPT if top.si <= bound.si else Outcome.CAUTION
        sheet.find(
            outcome,
            rule,
            measured=top,
            limit=bound,
            because=f"At {highest} the spindle reaches up to {_rpm(top)}; its limit is {_rpm(bound)}.",
        )
    elif highest.si > drive.rated_frequency.si:
        sheet.find(
            Outcome.CAUTION,
            rule,
            measured=top,
            because=f"At {highest} the spindle reaches up to {_rpm(top)}, more than before, and no spindle limit is given.",
        )
        sheet.next_step(
            "Find the lowest speed limit of spindle bearings, chuck and faceplate and give it as spindle_limit."
        )


def _cooling_findings(sheet: Sheet, book: View, request: dict[str, Any], drive: Drive) -> None:
    lowest = request["frequency_range"]["lowest"]
    share = sheet.step("lowest over rated frequency", "x = f / fn", unit="%", f=lowest, fn=drive.rated_frequency)
    allowed = curves.point(sheet, book, drive, lowest).cooling_share
    because = f"At {_hz(lowest)} the motor's own fan leaves about {number_text(100 * allowed.si, 3)} % of rated torque for continuous work."
    sheet.compare(book.limit("speeds/self-ventilated-lowest"), lowest, otherwise=Outcome.CAUTION, because=because)
    sheet.compare(book.limit("speeds/self-ventilated-half-speed"), share, otherwise=Outcome.CAUTION, because=because)


def _values(
    sheet: Sheet, drive: Drive, limit: Quantity, rows: list[dict[str, Any]],
    used: list[tuple[Step, Quantity, str]],
) -> None:  # fmt: skip
    sheet.value("speeds", rows)
    sheet.value("motor_speed_limit", limit)
    if drive.torque is not None:
        sheet.value("motor_torque", drive.torque)
    running = [row for row in rows if row["usable"]]
    sheet.value("highest_frequency", min((top for _, top, _ in used), key=lambda top: top.si))
    sheet.value("binds_at_top", min(used, key=lambda entry: entry[1].si)[2])
    if running:
        sheet.value("belt_speed", max((row["belt_speed"] for row in running), key=lambda speed: speed.si))
        sheet.value("slowest", min((row["lowest"] for row in running), key=lambda speed: speed.si))
        sheet.value("fastest", max((row["highest"] for row in running), key=lambda speed: speed.si))


def _advice(
    sheet: Sheet, book: View, request: dict[str, Any], drive: Drive, used: list[tuple[Step, Quantity, str]]
) -> None:
    wanted = request["frequency_range"]
    top, binding = min(((top, binding) for _, top, binding in used), key=lambda entry: entry[0].si)
    if top.si < wanted["highest"].si:
        sheet.next_step(
            f"Set the drive's highest frequency to {_floor(top)} (not {wanted['highest']}): {SAID[binding]} binds."
        )
    else:
        sheet.next_step(f"Set the drive's frequency range to {wanted['lowest']} to {wanted['highest']}.")
    if drive.cooling != "ic-416" and wanted["lowest"].si < book.limit("speeds/self-ventilated-lowest").value.si:
        sheet.next_step(
            "For long work at low speed use the back gear or a slower step, or fit a separately driven fan; ask the motor's maker for its torque curve."
        )
    if wanted["highest"].si > drive.rated_frequency.si:
        sheet.next_step(book.text("speeds/guarding"))
    sheet.caution("caution/isolate-and-lock-off", "caution/no-switching-behind-drive")


def _summary(
    request: dict[str, Any], rows: list[dict[str, Any]], used: list[tuple[Step, Quantity, str]], lowest: Point
) -> str:
    wanted = request["frequency_range"]
    running = [row for row in rows if row["usable"]]
    if not running:
        return f"No step can be used from {wanted['lowest']} to {wanted['highest']}: {SAID[used[0][2]]} binds first."
    slow = min((row["lowest"] for row in running), key=lambda speed: speed.si)
    fast = max(running, key=lambda row: row["highest"].si)
    rated = ", ".join(_rpm(row["rated"]) for row in rows[:4]) + (" …" if len(rows) > 4 else "")
    return (
        f"From {wanted['lowest']} to {wanted['highest']} the spindle runs {_rpm(slow)} to {_rpm(fast['highest'])} (rated {rated}); "
        f"at the top {SAID[fast['binds_at_top']]} binds, and at {_hz(lowest.frequency)} "
        f"{number_text(100 * lowest.torque_share.si, 3)} % of rated torque is left for continuous work."
    )


def _rpm(speed: Quantity) -> str:
    return f"{number_text(speed.number('r/min'), 4)} r/min"


def _hz(frequency: Quantity) -> str:
    return f"{number_text(frequency.si, 3)} Hz"


def _floor(frequency: Quantity) -> str:
    """A frequency rounded down: a limit is never rounded past."""
    return f"{number_text(int(frequency.si * 10.0) / 10.0)} Hz"


_AT = {"lowest": "lowest frequency", "rated": "rated frequency", "highest": "highest usable frequency"}
_COLUMNS: dict[str, out.Out] = {
    "step": out.text("Name of the step, or its pulleys."),
    "back_gear": out.flag("Whether the back gear is engaged."),
    "reduction": out.quantity("ratio", "1", "Motor speed over spindle speed."),
    "usable": out.flag("Whether the step can be used in the wanted range."),
    "highest_frequency": out.quantity("frequency", "Hz", "Highest usable frequency of the step."),
    "binds_at_top": out.choice(LIMITS, "What limits the step at the top."),
    "belt_speed": out.quantity("speed", "m/s", "Belt speed at the highest usable frequency."),
}
for _name, _words in _AT.items():
    _COLUMNS[_name] = out.quantity("rotational-frequency", "r/min", f"Spindle speed at the {_words}, loaded.")
    _COLUMNS[f"torque_at_{_name}"] = out.quantity("torque", "N.m", f"Continuous spindle torque at the {_words}.")
    _COLUMNS[f"torque_share_at_{_name}"] = out.quantity(
        "ratio", "1", f"Continuous motor torque over rated at the {_words}."
    )
    _COLUMNS[f"power_at_{_name}"] = out.quantity("power", "kW", f"Continuous motor power at the {_words}.")

QUESTION = Question(
    name="spindle-speeds",
    order=80,
    title="Spindle speeds",
    summary="Speed, torque and power of the spindle on every pulley step over a drive's frequency range, and which limit binds.",
    request=SpeedsRequest,
    values={
        "speeds": out.rows(_COLUMNS, "One row per step, and per step with back gear; rated is at the plate's frequency."),
        "slowest": out.quantity("rotational-frequency", "r/min", "Slowest loaded spindle speed."),
        "fastest": out.quantity("rotational-frequency", "r/min", "Fastest loaded spindle speed within all limits."),
        "belt_speed": out.quantity("speed", "m/s", "Fastest belt within all limits."),
        "motor_speed_limit": out.quantity("rotational-frequency", "r/min", "Largest mechanical speed of the motor, the strictest rule."),
        "motor_torque": out.quantity("torque", "N.m", "Rated torque of the motor."),
        "highest_frequency": out.quantity("frequency", "Hz", "Highest frequency that every step stands: what the drive is set to."),
        "binds_at_top": out.choice(LIMITS, "What limits the highest frequency."),
    },
    answer=answer,
    rules=("speeds/*", "motor/*", "connection/largest-plate-slip", "connection/usual-plate-slip", "connection/supply-frequency", "connection/plate-frequency", "caution/*"),
    example={
        "motor": {"rated_speed": "1430 r/min", "frequency": "50 Hz", "power": "2.2 kW", "frame": "100L", "cooling": "ic-411"},
        "steps": [
            {"name": "slow", "driver": "71 mm", "driven": "224 mm"},
            {"name": "middle", "driver": "100 mm", "driven": "200 mm"},
            {"name": "fast", "driver": "150 mm", "driven": "150 mm"},
        ],
        "back_gear": 6.5,
        "frequency_range": {"lowest": "20 Hz", "highest": "80 Hz"},
        "spindle_limit": "2000 r/min",
    },
)  # fmt: skip
