"""Motor fit: limits of shaft and bore, what the pulley's present bore is worth, and the metal left in its hub."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from millphase.answer import Outcome, Sheet
from millphase.physics import fits, keys
from millphase.quantity import Quantity
from millphase.questions._fit_frames import Motor, short
from millphase.questions.base import half_width
from millphase.rulebook.model import Cell, Row, Table

BORE_CLASSES = ["H6", "H7", "H8", "H9"]
SHAFT_CLASSES = ["g6", "h6", "j6", "k6", "m6"]
CONDITIONS = ["sound", "scored", "worn-keyway", "cracked", "tapered"]


@dataclass(frozen=True)
class Limits:
    """Limits of size of shaft and bore, with the cell that the bore's tolerance came from."""

    nominal: Quantity
    smallest_shaft: Quantity
    largest_shaft: Quantity
    smallest_bore: Quantity
    largest_bore: Quantity
    bore_class: str
    grade: Cell


@dataclass(frozen=True)
class Bore:
    """The pulley's bore as it is, measured at both ends; one size where one end was given."""

    narrow: Quantity
    wide: Quantity


def row_for(table: Table, size: Quantity) -> Row | None:
    """The row whose range, over … up to and including …, holds `size`; None outside the table."""
    row = table.row_at_or_above("up_to", size)
    return row if row is not None and size.si > row.q("over").si * (1 + 1e-9) else None


def row_of(sheet: Sheet, table: str, **wanted: str) -> Row:
    """The row of a table that holds one row for every choice a request can make."""
    row = sheet.book.table(table).row(**wanted)
    if row is None:
        raise KeyError(f"{table} has no row for {wanted}")
    return row


def span(least: Quantity, most: Quantity) -> str:
    """Two limits of size as a drawing shows them, to the micrometre."""
    return f"{least.value:.3f} to {most.value:.3f} mm"


def tolerance_row(sheet: Sheet, table: str, size: Quantity) -> Row:
    """Row of a tolerance table; the bounds of the request keep every shaft and key inside it."""
    row = row_for(sheet.book.table(table), size)
    if row is None:
        raise KeyError(f"{table} has no row for {size}")
    return row


def deviations(sheet: Sheet, size: Quantity, tolerance: str, what: str) -> tuple[Quantity, Quantity, Cell]:
    """Lower and upper deviation of a tolerance class such as ``j6`` or ``H7`` at `size`, and its grade's cell."""
    letter = tolerance.rstrip("0123456789")
    grade = tolerance.removeprefix(letter)
    cell = tolerance_row(sheet, "fit/tolerance-grades", size)[f"it{grade}"]
    width = sheet.looked_up(f"tolerance grade IT{grade} at {size}", cell)
    lower, upper = f"lower deviation of {what} {tolerance}", f"upper deviation of {what} {tolerance}"
    if letter == "JS":
        high = sheet.step(upper, "E = IT / 2", unit="um", rule=cell, IT=width)
        return sheet.step(lower, fits.lower_deviation, unit="um", rule=cell, e=high, IT=width), high, cell
    row = tolerance_row(sheet, "fit/hole-deviations" if letter.isupper() else "fit/shaft-deviations", size)
    if letter in ("f", "g", "h", "N", "P"):
        high = sheet.looked_up(f"{upper} at {size}", row[f"{letter.lower()}_upper"])
        return sheet.step(lower, fits.lower_deviation, unit="um", rule=cell, e=high, IT=width), high, cell
    low = sheet.looked_up(f"{lower} at {size}", row[f"{letter.lower()}_lower"])
    return low, sheet.step(upper, fits.upper_deviation, unit="um", rule=cell, e=low, IT=width), cell


def shaft_and_bore(sheet: Sheet, motor: Motor, given: Mapping[str, Any], pulley: Mapping[str, Any]) -> Limits:
    """Limits of the shaft by its system and of the bore by its class, and what fit they make."""
    nominal = motor.sizes["shaft_diameter"]
    low, high = _shaft_deviations(sheet, motor, given)
    wanted, classes = pulley.get("bore_tolerance", "H7"), sheet.book.rule("fit/pulley-bore-class")
    if "bore_tolerance" not in pulley:
        sheet.assume("pulley.bore_tolerance", wanted, classes)
    elif wanted in ("H8", "H9"):
        sheet.find(Outcome.CAUTION, classes, because=sheet.book.text("fit/pulley-bore-class"), decides=False)
    bore_low, bore_high, cell = deviations(sheet, nominal, wanted, "bore")
    sizes = {
        name: sheet.step(name.replace("_", " "), fits.limit_of_size, unit="mm", D=nominal, E=deviation)
        for name, deviation in (("smallest_shaft", low), ("largest_shaft", high), ("smallest_bore", bore_low), ("largest_bore", bore_high))
    }  # fmt: skip
    limits = Limits(nominal, **sizes, bore_class=wanted, grade=cell)
    for name in ("smallest_shaft", "largest_shaft"):
        sheet.value(f"shaft_{'minimum' if name == 'smallest_shaft' else 'maximum'}", sizes[name])
    sheet.value("bore_minimum", limits.smallest_bore)
    sheet.value("bore_maximum", limits.largest_bore)
    sheet.value(
        "clearance_maximum",
        sheet.step("greatest clearance", fits.clearance, unit="um", B=limits.largest_bore, d=limits.smallest_shaft),
    )
    sheet.value(
        "interference_maximum",
        sheet.step(
            "greatest interference", fits.interference, unit="um", d=limits.largest_shaft, B=limits.smallest_bore
        ),
    )
    return limits


def _shaft_deviations(sheet: Sheet, motor: Motor, given: Mapping[str, Any]) -> tuple[Quantity, Quantity]:
    nominal, wanted = motor.sizes["shaft_diameter"], given.get("shaft_tolerance")
    if wanted is None and motor.standard == "nema":
        cell = tolerance_row(sheet, "fit/nema-shaft", nominal)["below_nominal"]
        below = sheet.looked_up("shaft tolerance, all below nominal", cell)
        sheet.value("shaft_tolerance", "nema")
        _tell_class(sheet, cell, f"The shaft may be up to {below} under its nominal {nominal}, never over.")
        return sheet.step("lower deviation of the shaft", "e = 0 − a", unit="um", rule=cell, a=below), Quantity.of(
            0.0, "um"
        )
    if wanted is None:
        cell = tolerance_row(sheet, "fit/motor-shaft-class", nominal)["tolerance"]
        wanted = str(cell.value)
        sheet.assume("new_motor.shaft_tolerance", wanted, cell)
        _tell_class(sheet, cell, f"A motor shaft of {nominal} is made to {wanted}.")
    sheet.value("shaft_tolerance", wanted)
    low, high, _ = deviations(sheet, nominal, wanted, "shaft")
    return low, high


def _tell_class(sheet: Sheet, cell: Cell, because: str) -> None:
    sheet.find(Outcome.ACCEPT, cell, because=because, decides=False)


def present_bore(sheet: Sheet, pulley: Mapping[str, Any], old: Motor | None) -> Bore | None:
    """The pulley's bore as it is: measured, or that of the shaft it came off."""
    if "bore" in pulley:
        ends = sorted(
            (pulley[end].to("mm") for end in ("bore", "bore_far_end") if end in pulley), key=lambda end: end.si
        )
        return Bore(ends[0], ends[-1])
    if pulley and old is not None and old.has("shaft_diameter"):
        sheet.assume("pulley.bore", old.sizes["shaft_diameter"], sheet.book.rule("fit/pulley-bore-class"))
        return Bore(old.sizes["shaft_diameter"], old.sizes["shaft_diameter"])
    return None


def judge_condition(sheet: Sheet, pulley: Mapping[str, Any]) -> str:
    """What the look of the hub decides: ``none``, ``taper-bush`` or ``new-pulley``."""
    if "condition" not in pulley:
        return "none"
    row = row_of(sheet, "hub/condition", condition=pulley["condition"])
    outcome = Outcome[row.text("verdict").upper()]
    sheet.find(outcome, row, because=row.text("advice"))
    if outcome is not Outcome.ACCEPT:
        sheet.next_step(row.text("advice"))
    return {"cracked": "new-pulley", "tapered": "taper-bush"}.get(pulley["condition"], "none")


def judge_bore(sheet: Sheet, limits: Limits, bore: Bore, pulley: Mapping[str, Any]) -> str:
    """What the present bore is worth: ``none`` to do, ``rebore``, or too large (``bush`` for now)."""
    accuracy = half_width(bore.wide, pulley.get("measurement_accuracy"))
    slack = accuracy.si if accuracy is not None else 0.0
    range_text = span(limits.smallest_bore, limits.largest_bore)
    if bore.wide.si > limits.largest_bore.si * (1 + 1e-9):
        _too_large(sheet, limits, bore)
        if bore.wide.si - slack <= limits.largest_bore.si:
            sheet.next_step(
                "Gauge the bore again before the pulley is given up: the excess lies within the accuracy stated."
            )
        return "bush"
    if bore.narrow.si < limits.smallest_bore.si * (1 - 1e-9):
        what = "metal to take out of the bore, on diameter"
        metal = sheet.step(what, "a = D − B", unit="mm", D=limits.nominal, B=bore.narrow)
        sheet.value("metal_to_remove", metal)
        because = f"The bore of {bore.narrow} is {short(metal)} smaller than the shaft; it has to be {range_text}."
        sheet.find(Outcome.CAUTION, limits.grade, because=because, measured=bore.narrow, limit=limits.smallest_bore)
        if bore.narrow.si + slack >= limits.smallest_bore.si:
            sheet.next_step(
                "Gauge the bore again before any metal comes out: the difference lies within the accuracy stated."
            )
        return "rebore"
    room = min(bore.narrow.si - limits.smallest_bore.si, limits.largest_bore.si - bore.wide.si)
    unsure = "bore" not in pulley or room < slack - 1e-12
    tail = "; gauge it to the micrometre before trusting it" if unsure else ""
    because = f"The bore of {_ends(bore)} lies within {range_text}{tail}."
    outcome = Outcome.CAUTION if unsure else Outcome.ACCEPT
    sheet.find(outcome, limits.grade, because=because, measured=bore.wide, limit=limits.largest_bore)
    sheet.next_step("Prove the bore with a plug gauge or a bore micrometer before the pulley goes on.")
    return "none"


def _ends(bore: Bore) -> str:
    return str(bore.wide) if bore.wide == bore.narrow else f"{bore.narrow} at one end and {bore.wide} at the other"


def play_text(play: Quantity) -> str:
    """Play in micrometres, from a millimetre on in millimetres."""
    return short(play.to("mm") if abs(play.si) >= 1e-3 else play.to("um"))


def _too_large(sheet: Sheet, limits: Limits, bore: Bore) -> None:
    loose = sheet.step(
        "nominal looseness of the bore as it is", fits.clearance, unit="um", B=bore.wide, d=limits.nominal
    )
    sheet.value("nominal_looseness", loose)
    what = "clearance of the bore as it is on the smallest shaft"
    play = sheet.step(what, fits.clearance, unit="um", B=bore.wide, d=limits.smallest_shaft)
    fit = (limits.largest_bore, limits.smallest_shaft)
    allowed = sheet.step("play that the fit allows", fits.clearance, unit="um", B=fit[0], d=fit[1])
    because = (
        f"The bore of {_ends(bore)} is {play_text(loose)} larger than the shaft of {limits.nominal}: "
        f"up to {play_text(play)} of play where {limits.bore_class} allows {play_text(allowed)}."
    )
    sheet.find(Outcome.REJECT, limits.grade, because=because, measured=play, limit=allowed)
    sheet.find(Outcome.REJECT, sheet.book.rule("fit/no-shims"), because=sheet.book.text("fit/no-shims"))


def bore_out(sheet: Sheet, limits: Limits) -> None:
    """How a hub is bored to the new shaft."""
    sheet.next_step(
        f"Set the pulley up true to its rim or groove without squeezing the rim, and bore it to "
        f"{span(limits.smallest_bore, limits.largest_bore)} ({limits.bore_class}); a reamer alone follows the old bore."
    )


def near_miss(sheet: Sheet, limits: Limits, bore: Bore, standard: str) -> None:
    """Name the inch size that is about to be mistaken for a metric one, or the other way round."""
    limit = sheet.book.limit("fit/near-miss")
    apart = abs(bore.wide.si - limits.nominal.si)
    if apart > limit.value.si * (1 + 1e-9) or apart < 1e-6:
        return
    slip = sheet.book.constant("fit/bore-named").value
    names = sheet.book.table("fit/inch-sizes").rows()
    inch = next((row for row in names if abs(row.q("size").si - bore.wide.si) <= slip.si), None)
    if standard == "iec" and inch is not None:
        told = f"{inch.text('name')} ({inch.q('size').to('mm')})"
    elif standard == "nema" and abs(bore.wide.si * 1000 - round(bore.wide.si * 1000)) <= slip.si * 1000:
        told = f"{round(bore.wide.si * 1000)} mm"
    else:
        return
    difference = sheet.step("bore less shaft", "a = B − D", unit="mm", B=bore.wide, D=limits.nominal)
    way = "goes on by hand and runs loose" if difference.si > 0 else "will not go on"
    against = f"{short(Quantity.si_value(apart, 'mm'))} {'larger' if difference.si > 0 else 'smaller'} than the shaft of {limits.nominal}"
    because = f"A {told} bore is {against}: it {way}."
    sheet.find(Outcome.CAUTION, limit, because=because, measured=difference, limit=limit.value, decides=False)


@dataclass(frozen=True)
class Hub:
    """The metal over the keyway, and whether it is too little."""

    wall: Quantity
    refused: bool


def judge_hub(
    sheet: Sheet, limits: Limits, hub_depth: Quantity, bore: Bore | None, pulley: Mapping[str, Any]
) -> Hub | None:
    """Metal left over the deepest keyway once the hub carries the new bore and keyway beside what is cut in it now."""
    if "hub_diameter" not in pulley:
        return None
    hub: Quantity = pulley["hub_diameter"].to("mm")
    cuts = [(limits.nominal, hub_depth)]
    if bore is not None:
        cuts.append((bore.wide, pulley.get("keyway_depth", Quantity.of(0.0, "mm")).to("mm")))
    diameter, depth = max(cuts, key=lambda cut: cut[0].si / 2 + cut[1].si)
    wall = sheet.step("wall over the keyway", keys.wall_over_keyway, unit="mm", O=hub, d=diameter, t2=depth)
    sheet.value("wall_over_keyway", wall)
    material = hub_material(sheet, pulley)
    row = row_of(sheet, "hub/wall-over-keyway", material=material)
    what = "wall as a share of the shaft diameter"
    share = sheet.step(what, "q = w / D", unit="1", rule=row, w=wall, D=limits.nominal)
    refuse, warn = row.q("refuse_below"), row.q("warn_below")
    metal = f"{short(wall)} of {material.replace('-', ' ')}"
    if share.si < refuse.si * (1 - 1e-9):
        because = (
            f"Only {metal} would stand over the keyway ({short(share)} of the shaft diameter): the hub would split."
        )
        if wall.si <= 0:
            because = f"The hub of {hub} has no metal left over bore and keyway: they come out through its side."
        sheet.find(Outcome.REJECT, row, because=because, measured=share, limit=refuse)
        sheet.next_step(
            "Do not bore this hub; get a pulley with a larger hub, or a bored and keyed one for this shaft."
        )
        return Hub(wall, refused=True)
    if share.si < warn.si * (1 - 1e-9):
        because = f"{metal} over the keyway ({short(share)} of the shaft diameter) is thin; light, steady drives only."
        sheet.find(Outcome.CAUTION, row, because=because, measured=share, limit=warn)
    else:
        because = f"{metal} stays over the keyway."
        sheet.find(Outcome.ACCEPT, row, because=because, measured=share, limit=warn)
    return Hub(wall, refused=False)


def hub_material(sheet: Sheet, pulley: Mapping[str, Any]) -> str:
    """Hub material; without a word about it a pulley of an old machine is cast iron."""
    if "hub_material" not in pulley and not any(name == "pulley.hub_material" for name, _, _ in sheet.assumptions):
        sheet.assume("pulley.hub_material", "cast-iron", sheet.book.rule("hub/wall-over-keyway"))
    return str(pulley.get("hub_material", "cast-iron"))


def plan_bush(sheet: Sheet, limits: Limits, bore: Bore, hub_depth: Quantity, pulley: Mapping[str, Any]) -> str:
    """How a bore that is too large can be saved: a bush in it, a bush after boring out, or not at all."""
    limit = sheet.book.limit("fit/bush-wall")
    wall = sheet.step("wall of a bush in the bore as it is", keys.bush_wall, unit="mm", B=bore.wide, d=limits.nominal)
    sheet.value("bush_wall", wall)
    because = f"A bush in the present bore would have a wall of {short(wall)}."
    sheet.compare(limit, wall, because=because, otherwise=Outcome.CAUTION, decides=False)
    outside = sheet.step(
        "outside diameter of a bush that carries the keyway", "O = max(B, D + 2 × (t + w))", unit="mm", rule=limit,
        B=bore.wide, D=limits.nominal, t=hub_depth, w=limit.value,
    )  # fmt: skip
    sheet.value("bush_outside_diameter", outside)
    if "hub_diameter" in pulley and not _holds_bush(sheet, limits, outside, pulley):
        sheet.next_step("The hub is too small for a bush that carries the keyway: get a pulley bored for this shaft.")
        return "new-pulley"
    last = f"bored to {span(limits.smallest_bore, limits.largest_bore)} and keyed in place; or a new pulley."
    if outside.si <= bore.wide.si * (1 + 1e-9):
        sheet.next_step(f"Fit a steel bush, {short(outside)} outside, pressed and pinned, {last}")
        return "bush"
    sheet.next_step(f"Bore the hub out to {short(outside)}, press in a steel bush, pin it, then have it {last}")
    return "bore-out-and-bush"


def _holds_bush(sheet: Sheet, limits: Limits, outside: Quantity, pulley: Mapping[str, Any]) -> bool:
    hub = pulley["hub_diameter"].to("mm")
    left = sheet.step("hub wall left around the bush", keys.bush_wall, unit="mm", B=hub, d=outside)
    what = "hub wall around the bush as a share of the shaft diameter"
    share = sheet.step(what, "q = w / D", unit="1", w=left, D=limits.nominal)
    row = row_of(sheet, "hub/wall-over-keyway", material=hub_material(sheet, pulley))
    least = row.q("warn_below")
    if share.si >= least.si * (1 - 1e-9):
        return True
    because = f"Only {short(left)} of hub would stand around a bush of {short(outside)}."
    if left.si <= 0:
        because = f"A bush of {short(outside)} does not go into a hub of {hub}."
    sheet.find(Outcome.CAUTION, row, because=because, measured=share, limit=least, decides=False)
    return False
