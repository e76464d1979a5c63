"""Motor fit: what the belt asks of the new shaft, and how the pulley comes off and goes on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from millphase.answer import HasCitation, Outcome, Sheet
from millphase.physics import keys, mounting
from millphase.quantity import Quantity
from millphase.questions._fit_bore import row_for, row_of
from millphase.questions._fit_frames import Motor, short
from millphase.questions.base import contradiction
from millphase.rulebook.model import Row

SECTIONS = ["z", "a", "b", "c", "spz", "spa", "spb", "spc"]
# Between the synchronous speeds of 50 and 60 Hz motors of two, four and six poles (r/s).
_POLES = ((1350 / 60, "poles_6"), (2200 / 60, "poles_4"), (float("inf"), "poles_2"))
# Between the three tabulated full-load speeds of 60 Hz motors the nearer one counts (r/s).
_SHEAVE_SPEEDS = ((1455 / 60, "at_1160"), (2600 / 60, "at_1750"), (float("inf"), "at_3450"))


def judge_belt(sheet: Sheet, motor: Motor, torque: Quantity | None, request: Mapping[str, Any]) -> None:
    """Pulley diameters, belt speed, pull on the bearings and wrap."""
    belt = request["belt"]
    pulley: Quantity = belt["pulley_diameter"].to("mm")
    if pulley.si <= motor.sizes["shaft_diameter"].si:
        raise contradiction(
            "/belt/pulley_diameter",
            "the pulley is no larger than the shaft it runs on; measure its pitch diameter again",
        )
    row = sheet.book.table("belt/section-limits").row(section=belt["section"]) if "section" in belt else None
    speed, power = request["new_motor"].get("speed"), request["new_motor"].get("power")
    if row is not None:
        _least_pulley(sheet, row, belt)
    else:
        sheet.next_step("Give the belt section: it sets the smallest pulley and the greatest belt speed.")
    if speed is not None:
        _belt_speed(sheet, row, pulley, speed)
    if torque is not None:
        _pull(sheet, motor, pulley, torque, speed)
    else:
        because = "Without torque, or power and speed, the pull of the belts on the motor's bearings is not known."
        sheet.find(Outcome.CAUTION, sheet.book.rule("belt/pull-factor"), because=because, decides=False)
        sheet.next_step("Give torque, or power and speed, so that the pull on the motor's bearings can be judged.")
    if "driven_diameter" in belt and "centre_distance" in belt:
        _wrap(sheet, pulley, belt)
    elif "driven_diameter" in belt or "centre_distance" in belt:
        sheet.next_step(
            "Give driven pulley and centre distance both: together they tell how far the belt wraps the small pulley."
        )
    if motor.standard == "nema" and power is not None and speed is not None:
        _least_sheave(sheet, pulley, power, speed)


def _least_pulley(sheet: Sheet, row: Row, belt: Mapping[str, Any]) -> None:
    section = belt["section"].upper()
    least = sheet.looked_up(f"smallest pulley for section {section}", row["least_diameter"])
    sheet.value("least_pulley_diameter", least)
    exceptional = row["exceptional_diameter"].value
    floor = exceptional if isinstance(exceptional, Quantity) else least
    for field, which in (("pulley_diameter", "motor"), ("driven_diameter", "driven")):
        if field not in belt:
            continue
        pulley = belt[field].to("mm")
        if pulley.si >= least.si * (1 - 1e-9):
            outcome, tail = Outcome.ACCEPT, "large enough"
        elif pulley.si >= floor.si * (1 - 1e-9):
            outcome, tail = Outcome.CAUTION, "for drives that have no other choice; the belt lives shorter"
        else:
            outcome, tail = Outcome.REJECT, "too small, the belt cracks and the bearings suffer"
        because = f"A {which} pulley of {pulley} with section {section}: {tail}."
        sheet.find(outcome, row, because=because, measured=pulley, limit=least)


def _belt_speed(sheet: Sheet, row: Row | None, pulley: Quantity, speed: Quantity) -> None:
    run = sheet.step("belt speed", "v = π × d × n", unit="m/s", d=pulley, n=speed)
    sheet.value("belt_speed", run)
    if row is not None:
        most = row.q("greatest_speed")
        kept = run.si <= most.si * (1 + 1e-9)
        sheet.find(
            Outcome.ACCEPT if kept else Outcome.REJECT,
            row["greatest_speed"],
            because=f"The belt runs at {short(run)}.",
            measured=run,
            limit=most,
        )
        _balance(sheet, most, run)
    low = sheet.book.limit("belt/low-speed")
    sheet.compare(
        low,
        run,
        because=f"The belt runs at {short(run)}; slow belts pull hard.",
        otherwise=Outcome.CAUTION,
        decides=False,
    )


def _balance(sheet: Sheet, most: Quantity, run: Quantity) -> None:
    """A belt that may run faster than 30 m/s asks for balanced pulleys when it does."""
    limit = sheet.book.limit("belt/balance-speed")
    if most.si > limit.value.si and run.si > limit.value.si * (1 + 1e-9):
        because = f"At {short(run)} the belt is fast enough for its pulleys to need dynamic balancing; an old pulley that was bored out has none."
        sheet.find(Outcome.CAUTION, limit, because=because, measured=run, limit=limit.value)


def _pull(sheet: Sheet, motor: Motor, pulley: Quantity, torque: Quantity, speed: Quantity | None) -> None:
    factor = sheet.book.constant("belt/pull-factor")
    pull = sheet.step(
        "pull of the belts on the shaft", mounting.belt_pull, unit="N", rule=factor, k=factor.value, T=torque, dp=pulley
    )
    sheet.value("belt_pull", pull)
    found = _bearing_limits(sheet, motor, speed) if motor.standard == "iec" else []
    if not found:
        sheet.next_step(
            f"Compare the pull of {short(pull)} with the radial force that the motor's maker allows; no figure is known for this frame."
        )
        return
    allowed, rule = min(found, key=lambda pair: pair[0].si)
    sheet.value("belt_pull_limit", allowed)
    kept = pull.si <= allowed.si * (1 + 1e-9)
    because = f"The belts pull with {short(pull)} at most; a motor of this frame takes about {short(allowed)} at the middle of its shaft."
    sheet.find(Outcome.ACCEPT if kept else Outcome.CAUTION, rule, because=because, measured=pull, limit=allowed)
    if not kept:
        sheet.next_step(
            "Use a larger motor pulley, keep the pulley close to the motor and the belts no tighter than they need, or ask the motor's maker."
        )


def _bearing_limits(sheet: Sheet, motor: Motor, speed: Quantity | None) -> list[tuple[Quantity, HasCitation]]:
    """Radial force at mid shaft by each maker whose figure is known, for the speed of the motor."""
    found: list[tuple[Quantity, HasCitation]] = []
    base = sheet.book.constant("belt/radial-force-speed")
    row = sheet.book.table("belt/radial-force").row(frame_number=motor.number)
    if row is not None:
        force = sheet.looked_up("radial force the bearings take at mid shaft, four poles", row["force"])
        if speed is not None and speed.si > base.value.si:
            what, law = "radial force at the speed of this motor", mounting.bearing_force_at_speed
            force = sheet.step(what, law, unit="N", rule=base, F=force, n0=base.value, n=speed)
        found.append((force, row))
    other = sheet.book.table("belt/radial-force-by-poles").row(frame_number=motor.number)
    poles = _poles(speed)
    if other is not None and isinstance(other[poles].value, Quantity):
        what = f"radial force by another maker, {poles.removeprefix('poles_')} poles"
        found.append((sheet.looked_up(what, other[poles]), other))
    return found


def _poles(speed: Quantity | None) -> str:
    """Column of the table by poles; without a speed four poles, as the other table has it."""
    if speed is None:
        return "poles_4"
    return next(column for most, column in _POLES if speed.si <= most)


def _wrap(sheet: Sheet, pulley: Quantity, belt: Mapping[str, Any]) -> None:
    driven, centres = belt["driven_diameter"].to("mm"), belt["centre_distance"].to("mm")
    if centres.si <= (driven.si + pulley.si) / 2:
        raise contradiction(
            "/belt/centre_distance", "the pulleys would overlap; measure the centre distance and both diameters again"
        )
    lean = sheet.step("lean of the belt", "q = abs(D − d) / (2 × a)", unit="1", D=driven, d=pulley, a=centres)
    wrap = sheet.step("wrap on the small pulley as a share of a turn", mounting.small_pulley_wrap, unit="1", x=lean)
    sheet.value("wrap", wrap)
    limit = sheet.book.limit("belt/least-wrap")
    because = f"The belt wraps {wrap.si * 360:.3g} degrees of the small pulley; 120 degrees are wanted."
    sheet.compare(limit, wrap, because=because, otherwise=Outcome.CAUTION)


def _least_sheave(sheet: Sheet, pulley: Quantity, power: Quantity, speed: Quantity) -> None:
    row = sheet.book.table("belt/nema-least-sheave").row_at_or_above("power", power.to("hp"))
    column = next(name for most, name in _SHEAVE_SPEEDS if speed.si <= most)
    if row is None or not isinstance(row[column].value, Quantity):
        return
    least = sheet.looked_up("smallest sheave for this power and speed", row[column]).to("mm")
    kept = pulley.si >= least.si * (1 - 1e-9)
    because = f"A pulley of {pulley} where {power} at {speed} asks for {least} at least."
    sheet.find(Outcome.ACCEPT if kept else Outcome.CAUTION, row[column], because=because, measured=pulley, limit=least)


def _drill_text(sheet: Sheet, thread: str, row: Row) -> str:
    loose = sheet.book.table("thread/whitworth-loose-drills").row(thread=thread)
    easier = f", or {loose.q('drill')} for an easier, looser thread" if loose is not None else ""
    return f"{thread}: drill {row.q('drill')}{easier}"


def pull_off(sheet: Sheet, bore: Quantity, pulley: Mapping[str, Any]) -> None:
    """Puller holes in the hub of the old pulley, with drill, torque and force."""
    sheet.value("pulling_off", sheet.book.steps("hub/pull-off"))
    jack = row_for(sheet.book.table("hub/jacking"), bore)
    if jack is None:
        return
    drills = {
        str(jack[form].value): row_of(sheet, "thread/tapping-drills", thread=str(jack[form].value))
        for form in ("thread", "whitworth", "unified")
        if jack[form].value is not None
    }
    metric = jack.text("thread")
    sheet.value("puller_thread", metric)
    sheet.value("puller_drill", sheet.looked_up(f"tapping drill {metric}", drills[metric]["drill"]))
    sheet.value("puller_choices", [_drill_text(sheet, thread, row) for thread, row in drills.items()])
    torque = sheet.looked_up("torque to stop at on each puller screw", jack["torque"])
    sheet.value("puller_torque", torque)
    factor = sheet.book.constant("hub/screw-force")
    force = sheet.step(
        "force of each puller screw", keys.screw_force, unit="kN", rule=factor,
        M=torque, k=factor.value, d=jack.q("screw_diameter"),
    )  # fmt: skip
    sheet.value("puller_force", force)
    if "hub_diameter" in pulley and not _room_for_holes(sheet, bore, pulley["hub_diameter"].to("mm"), jack):
        return
    sheet.next_step(
        f"Take the old pulley off with two puller screws, {' or '.join(drills)}, at most {torque} on each; never a hammer."
    )


def _room_for_holes(sheet: Sheet, bore: Quantity, hub: Quantity, jack: Row) -> bool:
    limit = sheet.book.limit("hub/jacking-metal")
    metal = sheet.step("metal between bore and hub outside", keys.bush_wall, unit="mm", B=hub, d=bore)
    what = "metal for a puller hole in screw diameters"
    share = sheet.step(what, "q = w / d", unit="1", rule=limit, w=metal, d=jack.q("screw_diameter"))
    because = f"{short(metal)} of metal around the bore for puller holes {jack.text('thread')}."
    found = sheet.compare(limit, share, because=because, otherwise=Outcome.CAUTION, decides=False)
    if found.outcome is Outcome.ACCEPT:
        return True
    sheet.next_step(
        f"The hub has no room for puller holes {jack.text('thread')}: use a jaw puller close behind the hub; never a hammer."
    )
    return False


def fit_on(sheet: Sheet, motor: Motor) -> None:
    """The thread in the shaft's centre that draws the pulley on, which NEMA shafts need not have, and the steps of fitting."""
    sheet.value("fitting_on", sheet.book.steps("hub/fit-on"))
    diameter = motor.sizes["shaft_diameter"]
    centre = row_for(sheet.book.table("thread/centre-thread"), diameter) if motor.standard == "iec" else None
    if centre is None:
        sheet.next_step(
            "Look for a thread in the shaft's centre and draw the pulley on by it; where there is none, warm the hub and push it on by hand; never a hammer."
        )
        return
    thread = centre.text("thread")
    sheet.value("centre_thread", thread)
    because = f"A shaft of {diameter} usually carries {thread} in its centre."
    sheet.find(Outcome.ACCEPT, centre["thread"], because=because, decides=False)
    sheet.next_step(f"Draw the pulley on by the thread in the shaft centre ({thread}), never with a hammer.")
