"""Motor fit: does the replacement bolt on, does the old pulley go on its shaft, and does the key carry the torque."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from millphase.answer import Answer, Outcome, Sheet
from millphase.quantity import Quantity, number_text
from millphase.questions import _fit_belt as belts
from millphase.questions import _fit_bore as bores
from millphase.questions import _fit_flange as flanges
from millphase.questions import _fit_frames as frames
from millphase.questions import _fit_key as fit_keys
from millphase.questions.base import Part, Question, Request, accuracy_part, contradiction, fields, out
from millphase.rulebook.book import View

# A size or a range of sizes in a sentence, as long as its inches do not stand behind it already.
_MILLIMETRES = re.compile(r"(\d+(?:\.\d+)?)(?: to (\d+(?:\.\d+)?))? mm\b(?! \([\d.]+(?: to [\d.]+)? in\))")


class FeetPart(Part):
    """Foot holes of a motor, centre to centre."""

    across = fields.Quantity(
        "length", low="1 mm", high="2 m", help="Foot holes across the shaft, centre to centre (A, 2E)."
    )
    along = fields.Quantity(
        "length", low="1 mm", high="2 m", help="Foot holes along the shaft, centre to centre (B, 2F)."
    )
    to_shoulder = fields.Quantity(
        "length", low="1 mm", high="2 m", help="Shaft shoulder to the nearest foot holes (C, BA)."
    )
    hole = fields.Quantity(
        "length", low="2 mm", high="60 mm", help="Diameter of the foot holes or width of the slots (K, H)."
    )


class FlangePart(Part):
    """Flange or face that a motor is bolted by."""

    bolt_circle = fields.Quantity("length", low="1 mm", high="2 m", help="Bolt circle (M, AJ).")
    spigot = fields.Quantity("length", low="1 mm", high="2 m", help="Centring spigot (N, AK).")


class NewMotorPart(Part):
    """The replacement; what was measured on it wins over the frame's table."""

    standard = fields.Choice(["iec", "nema"], required=True, help="System of the frame.")
    frame = fields.Text(high=20, required=True, example="100L", help="Frame as on the plate, e.g. 90S, 100L, 56, 143T.")
    mounting = fields.Choice(
        ["foot", "flange", "face"],
        default="foot",
        help="Feet (B3), flange with clearance holes (B5) or tapped face (B14, C-face).",
    )
    power = fields.Quantity("power", low="10 W", high="100 kW", help="Rated output, for torque and belt.")
    speed = fields.Quantity(
        "rotational-frequency", low="100 r/min", high="12000 r/min", help="Rated speed, for torque and belt."
    )
    centre_height = fields.Quantity("length", low="20 mm", high="500 mm", help="Measured shaft height.")
    shaft_diameter = fields.Quantity(
        "length", low="6.1 mm", high="110 mm", help="Nominal shaft diameter where it is not the frame's."
    )
    shaft_length = fields.Quantity("length", low="5 mm", high="400 mm", help="Measured length of the shaft end.")
    shaft_tolerance = fields.Choice(bores.SHAFT_CLASSES, help="Tolerance class of the shaft where it is known.")
    feet = fields.Part(FeetPart, help="Measured foot holes.")


class OldMotorPart(Part):
    """The motor that comes out: its frame, or its sizes as measured."""

    standard = fields.Choice(
        ["iec", "nema"], help="System of the frame; without it the one that has the frame, IEC where both have it."
    )
    frame = fields.Text(high=20, example="90L", help="Frame, where it has a tabulated one.")
    centre_height = fields.Quantity("length", low="20 mm", high="500 mm", help="Measured shaft height.")
    shaft_diameter = fields.Quantity("length", low="3 mm", high="110 mm", help="Measured shaft diameter.")
    shaft_length = fields.Quantity("length", low="5 mm", high="400 mm", help="Measured length of the shaft end.")
    feet = fields.Part(FeetPart, help="Measured foot holes.")
    flange = fields.Part(FlangePart, help="Flange or face of the old motor, as measured.")
    belt_line = fields.Quantity(
        "length",
        low="1 mm",
        high="2 m",
        help="Nearest foot holes to the middle of the old pulley's hub, along the shaft.",
    )
    belt_take_up = fields.Quantity(
        "length", zero=True, high="1 m", help="How far the motor can still be moved to tighten the belts."
    )
    axial_adjustment = fields.Quantity(
        "length", zero=True, high="1 m", help="How far the motor can be moved along its shaft."
    )


class PulleyPart(Part):
    """The pulley that is to run on the new shaft."""

    bore = fields.Quantity(
        "length", low="3 mm", high="200 mm", help="Bore as it is; without it the old shaft's diameter is taken."
    )
    bore_far_end = fields.Quantity(
        "length",
        low="3 mm",
        high="200 mm",
        help="Bore at the other end of the hub; a difference is taper or bell mouth.",
    )
    measurement_accuracy = accuracy_part("length")
    condition = fields.Choice(bores.CONDITIONS, help="What the hub looks like once it is clean.")
    hub_diameter = fields.Quantity("length", low="6 mm", high="500 mm", help="Outside diameter of the hub.")
    hub_length = fields.Quantity(
        "length", low="3 mm", high="500 mm", help="Length of the hub, which the key carries over."
    )
    hub_material = fields.Choice(["cast-iron", "steel", "aluminium"], help="Material of the hub.")
    bore_tolerance = fields.Choice(bores.BORE_CLASSES, help="Tolerance class to bore to; H7 where nothing is said.")
    keyway_fit = fields.Choice(fit_keys.FITS, help="Fit of the key in both keyways; normal where nothing is said.")
    extra_width = fields.Quantity(
        "length", zero=True, high="5 mm", help="Width to add to the hub keyway, when it is cut without a key to try."
    )
    key_system = fields.Choice(list(fit_keys.SYSTEMS), help="Standard that the pulley's present keyway follows.")
    keyway_depth = fields.Quantity(
        "length", low="0.5 mm", high="30 mm", help="Measured depth of that keyway below the bore."
    )
    keyway_width = fields.Quantity(
        "length", low="1 mm", high="60 mm", help="Measured width of the pulley's present keyway."
    )


class BeltPart(Part):
    """The belt drive."""

    section = fields.Choice(belts.SECTIONS, help="V-belt section.")
    pulley_diameter = fields.Quantity(
        "length", low="10 mm", high="2 m", required=True, help="Pitch diameter of the motor pulley."
    )
    driven_diameter = fields.Quantity("length", low="10 mm", high="3 m", help="Pitch diameter of the driven pulley.")
    centre_distance = fields.Quantity("length", low="20 mm", high="10 m", help="Distance between the two shafts.")


class MotorFitRequest(Request):
    """What is known about the new motor, the old one, the pulley and the belt."""

    new_motor = fields.Part(NewMotorPart, required=True, help="The replacement motor.")
    old_motor = fields.Part(OldMotorPart, help="The motor that comes out.")
    pulley = fields.Part(PulleyPart, help="The pulley that is to be used.")
    torque = fields.Quantity("torque", help="Rated torque; without it power and speed of the new motor give it.")
    starting_torque = fields.Quantity("torque", help="Greatest torque at starting or stalling.")
    belt = fields.Part(BeltPart, help="The belt drive.")


def answer(request: dict[str, Any], book: View) -> Answer:
    """Compare the frames, fit the pulley to the shaft, prove key and hub, and say what to do in which order."""
    sheet = QUESTION.sheet(book)
    new = frames.read_motor(sheet, request["new_motor"], "/new_motor")
    old = frames.read_motor(sheet, request["old_motor"], "/old_motor") if "old_motor" in request else None
    pulley = request.get("pulley", {})
    bore = bores.present_bore(sheet, pulley, old)
    _check_pulley(pulley, bore)
    frames.report_new(sheet, new, request["new_motor"].get("power"))
    _compare(sheet, request, new, old)
    limits = bores.shaft_and_bore(sheet, new, request["new_motor"], pulley)
    key = fit_keys.key_of_shaft(sheet, new)
    if bore is not None:
        belts.pull_off(sheet, bore.wide, pulley)
    remedy = _fit_pulley(sheet, limits, key, bore, new, _with_old_key(sheet, pulley, bore, old))
    torque = fit_keys.rated_torque(sheet, request)
    if key is not None:
        fit_keys.carry(sheet, key, new, torque, request, pulley)
    if "belt" in request:
        belts.judge_belt(sheet, new, torque, request)
    belts.fit_on(sheet, new)
    sheet.caution("caution/isolate-and-lock-off", "caution/dc-link-wait", "caution/local-code-and-licensed-practice")
    if not any(finding.decides for finding in sheet.findings):
        _nothing_to_fit(sheet)
    inches = in_inches(request) or new.standard == "nema"
    if inches:
        _beside_in_inches(sheet)
    return sheet.answer(_summary(sheet, limits, key, bore, remedy, new, inches))


def _with_old_key(
    sheet: Sheet, pulley: Mapping[str, Any], bore: bores.Bore | None, old: frames.Motor | None
) -> Mapping[str, Any]:  # fmt: skip
    """The pulley with the key system of the frame it came off, where nothing is said about its keyway."""
    known = {"key_system", "keyway_width", "keyway_depth"} & set(pulley)
    if bore is None or known or old is None or old.row is None or "shaft_diameter" not in old.sources or old.flat:
        return pulley
    if abs(bore.wide.si - old.sizes["shaft_diameter"].si) > sheet.book.limit("fit/shaft-agreement").value.si:
        return pulley
    system = "din-6885" if old.standard == "iec" else "asme-b17"
    sheet.assume("pulley.key_system", system, sheet.book.rule(fit_keys.SYSTEMS[system]))
    return {**pulley, "key_system": system}


def _check_pulley(pulley: Mapping[str, Any], bore: bores.Bore | None) -> None:
    """Sizes of one pulley that cannot all be true."""
    if "bore_far_end" in pulley and "bore" not in pulley:
        raise contradiction("/pulley/bore_far_end", "one end of the bore is given without the other; measure both ends")
    if bore is None:
        return
    if "hub_diameter" in pulley and pulley["hub_diameter"].si <= bore.wide.si:
        raise contradiction(
            "/pulley/hub_diameter", "the hub is no larger than its bore; measure the hub's outside diameter again"
        )
    if "keyway_width" in pulley and pulley["keyway_width"].si >= bore.wide.si:
        raise contradiction("/pulley/keyway_width", "the keyway is as wide as the bore; measure its width again")
    depth = pulley.get("keyway_depth")
    if depth is not None and "hub_diameter" in pulley and bore.wide.si / 2 + depth.si >= pulley["hub_diameter"].si / 2:
        raise contradiction(
            "/pulley/keyway_depth", "the keyway would come out through the hub; measure depth and hub diameter again"
        )


def _compare(sheet: Sheet, request: Mapping[str, Any], new: frames.Motor, old: frames.Motor | None) -> None:
    given, mounting = request.get("old_motor", {}), request["new_motor"]["mounting"]
    if mounting != "foot":
        flanges.judge_flange(sheet, new, mounting, given.get("flange", {}), old)
        if old is not None:
            frames.compare_shafts(sheet, new, old)
    elif "flange" in given:
        flanges.foot_for_flange(sheet)
    if mounting == "foot" and old is not None:
        frames.compare_motors(sheet, new, old, given, request.get("pulley", {}).get("hub_length"))
        sheet.value("hole_positions", frames.hole_rows({"old": old, "new": new}))
    if old is None and "pulley" not in request and "torque" not in request and "belt" not in request:
        _nothing_to_fit(sheet)


def _nothing_to_fit(sheet: Sheet) -> None:
    because = "Nothing was given that this motor has to fit: too little of the old motor, no pulley and no torque."
    sheet.find(Outcome.INCONCLUSIVE, sheet.book.rule("frame/belt-line"), because=because)
    sheet.next_step(
        "Measure the old motor's shaft height, foot holes, shaft diameter and length, and the pulley's bore, hub and keyway."
    )


def _fit_pulley(
    sheet: Sheet, limits: bores.Limits, key: fit_keys.Key | None, bore: bores.Bore | None, new: frames.Motor, pulley: Mapping[str, Any]
) -> str:  # fmt: skip
    remedy = bores.judge_condition(sheet, pulley)
    if remedy == "none" and bore is not None:
        remedy = bores.judge_bore(sheet, limits, bore, pulley)
        if remedy != "none":
            bores.near_miss(sheet, limits, bore, new.standard)
    elif pulley and bore is None:
        sheet.assume("pulley.bore", "still to be bored", sheet.book.rule("fit/pulley-bore-class"))
    hub_depth = key.hub_depth if key is not None else Quantity.of(0.0, "mm")
    hub = bores.judge_hub(sheet, limits, hub_depth, bore, pulley)
    if hub is not None and hub.refused:
        remedy = "new-pulley"
    elif bore is not None and remedy == "bush":
        remedy = bores.plan_bush(sheet, limits, bore, hub_depth, pulley)
    if remedy == "rebore" or (bore is None and remedy == "none" and pulley):
        bores.bore_out(sheet, limits)
    if key is not None:
        fit_keys.report_key(sheet, key, new, pulley)
        cut = fit_keys.pulley_keyway(sheet, key, limits.nominal, bore, remedy, pulley)
        if cut and remedy != "new-pulley":
            fit_keys.cutting(sheet, key, pulley)
    fit_keys.set_screw(sheet, limits.nominal, hub.wall if hub is not None else None, pulley, keyed=key is not None)
    if bore is not None or remedy != "none":
        sheet.value("pulley_remedy", remedy)
    return remedy


def in_inches(given: Any) -> bool:
    """Whether any length of the request was entered in inches, thousandths or feet."""
    if isinstance(given, Quantity):
        return given.unit in ("in", "thou", "ft")
    if isinstance(given, Mapping):
        return any(in_inches(part) for part in given.values())
    return False


def _lengths(sheet: Sheet) -> Iterator[tuple[str, Quantity]]:
    for name, value in sheet.values.items():
        if isinstance(value, Quantity) and value.dimension == "length":
            yield name, value


def _beside_in_inches(sheet: Sheet) -> None:
    shown = [
        f"{name}: {value} = {_fixed(value.number('thou'), 2)} thou"
        if value.unit == "um"
        else f"{name}: {value} = {_fixed(value.number('in'), 4)} in"
        for name, value in _lengths(sheet)
    ]
    sheet.value("beside_in_inches", shown)
    sheet.next_steps[:] = [_MILLIMETRES.sub(_inches, step) for step in sheet.next_steps]


def _inches(found: re.Match[str]) -> str:
    """The millimetres of a sentence with inches in brackets behind them."""
    sizes = [f"{float(size) / 25.4:.4f}" for size in (found[1], found[2]) if size is not None]
    return f"{found[0]} ({' to '.join(sizes)} in)"


def _fixed(number: float, places: int) -> str:
    """A number with fixed decimals and the minus sign that quantities are printed with."""
    return f"{number:.{places}f}".replace("-", "−")


def _beside(size: Quantity, inches: bool) -> str:
    """A length of the summary, with inches beside it for those who entered inches."""
    if not inches:
        return str(size)
    return f"{size} ({number_text(size.number('in'), 4)} in)"


def _summary(
    sheet: Sheet, limits: bores.Limits, key: fit_keys.Key | None, bore: bores.Bore | None, remedy: str, new: frames.Motor, inches: bool
) -> str:  # fmt: skip
    told = _pulley_text(limits, bore, remedy, inches)
    with_key = f", key {fit_keys.size_text(key)}" if key is not None else ""
    because = f" {reason}" if (reason := _reason(sheet, remedy)) else ""
    shaft = _beside(limits.nominal, new.standard == "nema")
    return f"{new.name} has a shaft of {shaft}{with_key}: {told}.{_base_text(sheet, inches)}{because}"


def _pulley_text(limits: bores.Limits, bore: bores.Bore | None, remedy: str, inches: bool) -> str:
    size = bores.span(limits.smallest_bore, limits.largest_bore)
    if remedy == "taper-bush":
        return f"a tapered bore does not go on it; the plain bore would be {size}"
    if bore is None:
        return f"a pulley for it is bored {size}"
    wide = _beside(bore.wide, inches)
    if bore.wide.si > limits.largest_bore.si * (1 + 1e-9):
        cures = {
            "bush": "bush it",
            "bore-out-and-bush": "bore the hub out and bush it, or replace the pulley",
            "new-pulley": "get another pulley, bored for this shaft",
        }
        return f"the bore of {wide} is too large; {cures[remedy]}"
    if bore.narrow.si < limits.smallest_bore.si * (1 - 1e-9):
        way = (
            "must be bored out to"
            if remedy == "rebore"
            else "would have to be bored out, which this pulley does not stand, to"
        )
        return f"the bore of {_beside(bore.narrow, inches)} {way} {size}"
    return f"the bore of {wide} fits{', but the pulley is not fit to be used' if remedy == 'new-pulley' else ''}"


def _reason(sheet: Sheet, remedy: str) -> str:
    """The finding that decides the outcome, where bore and base do not already say it."""
    if sheet.outcome is Outcome.ACCEPT:
        return ""
    told = {"fit/tolerance-grades", "fit/no-shims"} if remedy not in ("none", "taper-bush") else set()
    if sheet.outcome is Outcome.CAUTION:
        told.add("frame/height-tolerance")
        if sheet.values.get("base") in ("new-holes", "new-plate"):
            told |= {"frame/hole-web", "frame/iec-foot", "frame/nema-foot"}
    deciding = (f for f in sheet.findings if f.decides and f.outcome is sheet.outcome and f.cited.rule not in told)
    return next((f.because for f in deciding), "")


def _base_text(sheet: Sheet, inches: bool) -> str:
    words = {
        "bolts-on": " The feet bolt on.",
        "new-holes": " The base needs new foot holes.",
        "new-plate": " It needs a new base plate.",
    }
    base = words.get(str(sheet.values.get("base", "")), "")
    if sheet.values.get("flange") == "bolts-on":
        base = " The flange bolts on."
    rise, packing = sheet.values.get("height_change"), sheet.values.get("packing")
    if isinstance(packing, Quantity):
        return f"{base} Pack the feet by {_beside(packing, inches)}."
    if sheet.outcome is not Outcome.CAUTION:
        return base
    higher = isinstance(rise, Quantity) and rise.si > sheet.book.limit("frame/height-tolerance").value.si * (1 + 1e-9)
    return base + (f" Its shaft sits {_beside(rise, inches)} higher." if higher and isinstance(rise, Quantity) else "")


VALUES = {
    "shaft_diameter": out.quantity("length", "mm", "Shaft diameter of the new motor."),
    "shaft_length": out.quantity("length", "mm", "Length of its shaft end."),
    "centre_height": out.quantity("length", "mm", "Its shaft height."),
    "feet_across": out.quantity("length", "mm", "Its foot holes across the shaft."),
    "feet_along": out.quantity("length", "mm", "Its foot holes along the shaft."),
    "shoulder_to_feet": out.quantity("length", "mm", "Its shaft shoulder to the nearest foot holes."),
    "foot_hole": out.quantity("length", "mm", "Diameter of its foot holes."),
    "foot_bolt": out.text("Foot bolt."),
    "usual_outputs": out.texts("Usual rated outputs of the frame by number of poles."),
    "height_change": out.quantity("length", "mm", "Rise of the shaft; negative means lower."),
    "packing": out.quantity("length", "mm", "Packing under the new feet."),
    "shaft_end_change": out.quantity("length", "mm", "How much further from the front foot holes the new shaft ends."),
    "belt_line_shift": out.quantity("length", "mm", "Least move along the shaft that keeps the belt line."),
    "feet_across_change": out.quantity("length", "mm", "Change of the foot holes across the shaft."),
    "feet_along_change": out.quantity("length", "mm", "Change of the foot holes along the shaft."),
    "shaft_diameter_change": out.quantity("length", "mm", "New shaft diameter less the old one."),
    "shaft_length_change": out.quantity("length", "mm", "New shaft length less the old one."),
    "base": out.choice(["bolts-on", "new-holes", "new-plate"], "What the base needs."),
    "hole_positions": out.rows(
        {
            "motor": out.choice(["old", "new"], "Which motor."),
            "hole": out.text("Which hole."),
            "across": out.quantity("length", "mm", "From the shaft axis; left is negative."),
            "from_shaft_end": out.quantity("length", "mm", "Back from the shaft end."),
            "diameter": out.quantity("length", "mm", "Hole diameter."),
        },
        "Foot holes of both motors with shaft axes and shaft ends in line.",
    ),
    "flange_circle": out.quantity("length", "mm", "Bolt circle of the new flange or face."),
    "flange_spigot": out.quantity("length", "mm", "Spigot of the new flange or face."),
    "flange": out.choice(["bolts-on", "measure", "adapter-ring"], "Whether the new flange or face goes on."),
    "flange_outside": out.quantity("length", "mm", "Outside diameter of the new flange or face."),
    "flange_spigot_height": out.quantity("length", "mm", "Height of its spigot."),
    "flange_hole": out.text("Holes of the new flange or face."),
    "shaft_tolerance": out.choice([*bores.SHAFT_CLASSES, "nema"], "Tolerance class of the shaft."),
    "shaft_minimum": out.quantity("length", "mm", "Smallest shaft."),
    "shaft_maximum": out.quantity("length", "mm", "Largest shaft."),
    "bore_minimum": out.quantity("length", "mm", "Smallest bore."),
    "bore_maximum": out.quantity("length", "mm", "Largest bore."),
    "clearance_maximum": out.quantity("length", "um", "Greatest clearance of the fit."),
    "interference_maximum": out.quantity("length", "um", "Greatest interference of the fit."),
    "metal_to_remove": out.quantity("length", "mm", "Metal to take out of the present bore, on diameter."),
    "nominal_looseness": out.quantity("length", "um", "How much larger the present bore is than the shaft."),
    "pulley_remedy": out.choice(
        ["none", "rebore", "bush", "bore-out-and-bush", "taper-bush", "new-pulley"], "What the pulley needs."
    ),
    "bush_wall": out.quantity("length", "mm", "Wall of a bush in the present bore."),
    "bush_outside_diameter": out.quantity("length", "mm", "Outside diameter of a bush that carries the keyway."),
    "key_width": out.quantity("length", "mm", "Key width."),
    "key_height": out.quantity("length", "mm", "Key height."),
    "key_length": out.quantity("length", "mm", "Length over which the key carries."),
    "shaft_keyway_depth": out.quantity("length", "mm", "Depth of the keyway in the shaft."),
    "hub_keyway_depth": out.quantity("length", "mm", "Depth of the keyway in the hub, least."),
    "hub_keyway_depth_maximum": out.quantity("length", "mm", "Depth of the keyway in the hub, most."),
    "shaft_keyway_width_minimum": out.quantity("length", "mm", "Least width of the shaft keyway."),
    "shaft_keyway_width_maximum": out.quantity("length", "mm", "Greatest width of the shaft keyway."),
    "hub_keyway_width_minimum": out.quantity("length", "mm", "Least width of the hub keyway."),
    "hub_keyway_width_maximum": out.quantity("length", "mm", "Greatest width of the hub keyway."),
    "across_shaft_and_key": out.quantity("length", "mm", "Over shaft and key, to check the motor in hand."),
    "across_bore_and_keyway": out.quantity(
        "length", "mm", "From the wall of the bore to the bottom of the hub keyway."
    ),
    "keyseat_to_far_side": out.quantity("length", "mm", "From the keyseat's bottom to the far side of an inch shaft."),
    "key_side_play": out.quantity("length", "um", "Side play of a nominal key in the widened hub keyway."),
    "old_keyway_left": out.quantity("length", "mm", "Depth of the pulley's old keyway that boring out leaves."),
    "pulley_keyway_width": out.quantity("length", "mm", "Width of the keyway the pulley has."),
    "wall_over_keyway": out.quantity("length", "mm", "Metal left between keyway and hub outside."),
    "set_screw": out.text("Set screw over the key."),
    "torque": out.quantity("torque", "N.m", "Rated torque on the key."),
    "key_force": out.quantity("force", "N", "Force on the side of the key."),
    "key_shear_stress": out.quantity("pressure", "MPa", "Shear stress in the key at rated torque."),
    "key_bearing_stress": out.quantity("pressure", "MPa", "Pressure on the hub keyway at rated torque."),
    "key_shear_stress_at_start": out.quantity("pressure", "MPa", "Shear stress in the key at starting torque."),
    "key_bearing_stress_at_start": out.quantity("pressure", "MPa", "Pressure on the hub keyway at starting torque."),
    "least_pulley_diameter": out.quantity("length", "mm", "Smallest pulley for the belt section."),
    "belt_speed": out.quantity("speed", "m/s", "Belt speed at rated motor speed."),
    "belt_pull": out.quantity("force", "N", "Pull of the belts on the shaft."),
    "belt_pull_limit": out.quantity("force", "N", "Radial force the bearings take at mid shaft."),
    "wrap": out.quantity("ratio", "1", "Share of a turn that the belt wraps the small pulley."),
    "puller_thread": out.text("Thread of the two puller holes in the hub face."),
    "puller_drill": out.quantity("length", "mm", "Tapping drill for them."),
    "puller_choices": out.texts("Threads that do for the puller holes, each with its tapping drill."),
    "puller_torque": out.quantity("torque", "N.m", "Torque to stop at on each puller screw."),
    "puller_force": out.quantity("force", "kN", "Force of each puller screw at that torque."),
    "centre_thread": out.text("Thread in the centre of the shaft end."),
    "pulling_off": out.texts("How the old pulley comes off."),
    "fitting_on": out.texts("How the pulley goes on."),
    "beside_in_inches": out.texts("The lengths above in inches, clearances in thousandths."),
}

QUESTION = Question(
    name="motor-fit",
    order=40,
    title="Motor fit",
    summary="Does the replacement motor bolt on, does the pulley go on its shaft, and does the key carry the torque?",
    request=MotorFitRequest,
    values=VALUES,
    answer=answer,
    rules=("frame/*", "fit/*", "key/*", "hub/*", "thread/*", "belt/*", "caution/*"),
    example={
        "new_motor": {"standard": "iec", "frame": "100L", "power": "2.2 kW", "speed": "1430 r/min"},
        "old_motor": {
            "centre_height": "4.5 in", "shaft_diameter": "0.75 in", "shaft_length": "2 in",
            "feet": {"across": "7 in", "along": "5 in", "to_shoulder": "2.5 in", "hole": "0.4375 in"},
        },
        "pulley": {"bore": "0.75 in", "hub_diameter": "60 mm", "hub_length": "40 mm", "hub_material": "cast-iron"},
        "belt": {"section": "a", "pulley_diameter": "100 mm"},
    },
)  # fmt: skip
