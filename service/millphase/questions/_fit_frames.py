"""Motor fit: which frame is meant, its dimensions with the source of each, and what changes against the old motor."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from millphase.answer import HasCitation, Outcome, Sheet
from millphase.physics import mounting
from millphase.quantity import Quantity, number_text
from millphase.questions.base import contradiction
from millphase.rulebook.book import View
from millphase.rulebook.model import Cell, Cited, Row

TABLES = {"iec": "frame/iec-foot", "nema": "frame/nema-foot"}
WHAT = {
    "centre_height": "shaft height", "across": "foot holes across the shaft", "along": "foot holes along the shaft",
    "to_shoulder": "shaft shoulder to the nearest foot holes", "hole": "foot hole diameter", "bolt_diameter": "foot bolt diameter",
    "shaft_diameter": "shaft diameter", "shaft_length": "shaft length",
}  # fmt: skip
PATTERN = ("across", "along", "to_shoulder", "shaft_length", "hole")
# After the letter of the length, makers write A to D or 1 and 2 for the length of the core.
_IEC = re.compile(r"(?:IEC)?(\d{2,3})(?:([SML])[A-D12]?|[A-D])?(?:[-/]\d{1,2})?")
_NEMA = re.compile(r"(?:NEMA)?[A-Z]?(\d{2,3})(H?T?)(C?)([YZ]*)")


@dataclass
class Motor:
    """One motor's mounting dimensions; `sources` holds the citation of each that came from a table."""

    standard: str
    frame: str
    row: Row | None
    sizes: dict[str, Quantity]
    sources: dict[str, Cited] = field(default_factory=dict)
    bolt: str = ""
    faced: str = ""

    @property
    def name(self) -> str:
        """System and frame: a NEMA 56 and an IEC 56 are different motors."""
        return f"{self.standard.upper()} frame {self.frame}{self.faced}"

    @property
    def number(self) -> str:
        """Frame number without its length letter."""
        return self.frame.rstrip("SML")

    def has(self, *names: str) -> bool:
        """Whether every one of these sizes is known."""
        return all(name in self.sizes for name in names)

    @property
    def keyseat(self) -> Cell | None:
        """Cell with the length of the tabulated keyseat of a NEMA shaft; None where the shaft is not the table's."""
        if self.row is None or self.standard != "nema" or "shaft_diameter" not in self.sources:
            return None
        return self.row["key_length"]

    @property
    def flat(self) -> bool:
        """Whether the tabulated shaft has a flat instead of a keyseat."""
        return self.keyseat is not None and self.keyseat.value is None

    def from_memory(self, *names: str) -> list[str]:
        """Those of `names` whose tabulated value nobody has read in a source."""
        return [name for name in names if name in self.sources and self.sources[name].source["checked"] == "memory"]


def short(quantity: Quantity) -> str:
    """A quantity to four digits, as a sentence needs it; the values and the working keep the rest."""
    return f"{number_text(quantity.value, 4)} {quantity.unit}".removesuffix(" 1")


def frame_row(book: View, standard: str, text: str, pointer: str) -> Row:
    """The table row that a frame as written on a plate means.

    Raises
    ------
    Contradiction
        For a frame that is not tabulated, is incomplete, or belongs to the other system.
    """
    table = book.table(TABLES[standard])
    names = [row.text("frame") for row in table.rows()]
    plain = _plain(text)
    wanted = _iec_names(plain, names) if standard == "iec" else _nema_names(plain, pointer)
    found = [name for name in wanted if name in names]
    if len(found) == 1:
        return table.rows(frame=found[0])[0]
    if found:
        raise contradiction(
            pointer, f"frame {text} is built as {' and '.join(found)} with different foot holes; give the letter"
        )
    other = "nema" if standard == "iec" else "iec"
    hint = f"; give its measured sizes with a tabulated frame, or check whether it is a frame of standard {other}"
    raise contradiction(pointer, f"no {standard.upper()} frame {text} in the table, which has {', '.join(names)}{hint}")


def _plain(text: str) -> str:
    return re.sub(r"[\s_.]", "", text.upper())


def _iec_names(plain: str, names: list[str]) -> list[str]:
    match = _IEC.fullmatch(plain)
    if not match:
        return []
    number, letter = match[1], match[2] or ""
    same = [name for name in names if name.rstrip("SML") == number]
    if number in names:
        return [number] if letter in ("", "M") else []
    return [number + letter] if letter else same


def _nema_names(plain: str, pointer: str) -> list[str]:
    match = _NEMA.fullmatch(plain)
    if not match:
        return []
    if match[4]:
        raise contradiction(
            pointer,
            "a suffix Y or Z means a foot or shaft of the maker's own; measure it and give the frame without it",
        )
    return [match[1] + match[2]]


def read_motor(sheet: Sheet, given: Mapping[str, Any], pointer: str) -> Motor:
    """Sizes of a motor: what was measured wins, the frame's table fills the rest."""
    standard = given["standard"] if "standard" in given else _likely_standard(sheet, given)
    row = frame_row(sheet.book, standard, given["frame"], f"{pointer}/frame") if "frame" in given else None
    motor = Motor(standard, row.text("frame") if row else "", row, {}, bolt=row.text("bolt") if row else "")
    cells = {name: row[name] for name in WHAT} if row is not None else {}
    if row is not None and standard == "nema" and (match := _NEMA.fullmatch(_plain(given["frame"]))) and match[3]:
        motor.faced = match[3]
        cells |= _face_cells(sheet.book, motor)
    measured = {name: given[name] for name in ("centre_height", "shaft_diameter", "shaft_length") if name in given}
    measured |= given.get("feet", {})
    for name, what in WHAT.items():
        if name in measured:
            motor.sizes[name] = measured[name].to("mm")
        elif name in cells and isinstance(cells[name].value, Quantity):
            cell = cells[name]
            which = "new" if pointer == "/new_motor" else "old"
            motor.sizes[name] = sheet.looked_up(f"{what} of the {which} motor, {motor.name}", cell).to("mm")
            motor.sources[name] = cell.cited
    _check_height(sheet, motor, f"{pointer}/centre_height")
    if "hole" in measured and motor.has("bolt_diameter"):
        _bolt_for_hole(sheet, motor, f"{pointer}/feet/hole")
    return motor


def _likely_standard(sheet: Sheet, given: Mapping[str, Any]) -> str:
    """The system that has the frame of an old motor; a bare 56 is taken for the IEC frame, 56C and 56H for NEMA ones."""
    if "frame" not in given:
        return "iec"
    plain, match = _plain(given["frame"]), _NEMA.fullmatch(_plain(given["frame"]))
    names = {system: [row.text("frame") for row in sheet.book.table(table).rows()] for system, table in TABLES.items()}
    inch = match is not None and match[1] + match[2] in names["nema"]
    lettered = match is not None and bool(match[2] or match[3])
    standard = "nema" if inch and (lettered or not _iec_names(plain, names["iec"])) else "iec"
    sheet.assume("old_motor.standard", standard, sheet.book.rule("frame/interchange"))
    return standard


def _check_height(sheet: Sheet, motor: Motor, pointer: str) -> None:
    """A frame is named for its shaft height: a measure far from it is another frame or another measure."""
    if motor.row is None or "centre_height" in motor.sources:
        return
    own, limit = motor.row.q("centre_height").to("mm"), sheet.book.limit("frame/height-agreement")
    if abs(motor.sizes["centre_height"].si - own.si) > own.si * limit.value.si * (1 + 1e-9):
        message = f"{motor.name} has its shaft at {own}, not {motor.sizes['centre_height']}; measure it again from the underside of the feet, or read the frame again"
        raise contradiction(pointer, message)


def _face_cells(book: View, motor: Motor) -> dict[str, Cell]:
    """Where a motor with suffix C carries its feet and how far its shaft stands out, both counted from the face."""
    face = book.table("frame/nema-face").row(frame=motor.frame)
    shaft = book.table("frame/nema-face-shaft").row(frame=motor.frame)
    if face is None or shaft is None or face["face_to_feet"].value is None:
        return {}
    return {"to_shoulder": face["face_to_feet"], "shaft_length": shaft["shaft_length"]}


def _bolt_for_hole(sheet: Sheet, motor: Motor, pointer: str) -> None:
    """The bolt that goes with a measured foot hole, which need not be the frame's."""
    hole = motor.sizes["hole"]
    if motor.standard == "iec":
        row = sheet.book.table("thread/clearance-holes").row_at_or_below("medium", hole)
        if row is not None:
            motor.bolt = row.text("thread")
            motor.sizes["bolt_diameter"] = sheet.looked_up("bolt for the measured foot holes", row["diameter"])
            motor.sources["bolt_diameter"] = row["diameter"].cited
    if motor.sizes["bolt_diameter"].si >= hole.si:
        message = f"no bolt of {motor.name} passes a hole of {hole}; measure the foot holes and the frame again"
        raise contradiction(pointer, message)


def report_new(sheet: Sheet, motor: Motor, power: Quantity | None) -> None:
    """Values of the new motor, and one finding for each source they rest on."""
    for name in ("shaft_diameter", "shaft_length", "centre_height"):
        sheet.value(name, motor.sizes[name])
    names = {"across": "feet_across", "along": "feet_along", "to_shoulder": "shoulder_to_feet", "hole": "foot_hole"}
    for size, name in names.items():
        sheet.value(name, motor.sizes[size])
    sheet.value("foot_bolt", motor.bolt)
    if "shaft_diameter" in motor.sources:
        because = f"{motor.name} has a shaft of {motor.sizes['shaft_diameter']}."
        sheet.find(
            Outcome.ACCEPT,
            motor.sources["shaft_diameter"],
            because=because,
            measured=motor.sizes["shaft_diameter"],
            decides=False,
        )
    else:
        _doubt_shaft(sheet, motor)
    tell_memory(sheet, motor)
    if motor.standard == "iec":
        _report_outputs(sheet, motor, power)


def tell_memory(sheet: Sheet, motor: Motor) -> None:
    """One finding for the sizes of a motor that nobody has read in a source."""
    unread = motor.from_memory(*WHAT)
    if unread:
        listed = ", ".join(WHAT[name] for name in unread)
        because = f"{motor.name}: from memory, not from a text that was read: {listed}. Measure the motor before drilling or boring."
        sheet.find(Outcome.CAUTION, motor.sources[unread[0]], because=because, decides=False)


def _doubt_shaft(sheet: Sheet, motor: Motor) -> None:
    """A shaft entered a hair beside the frame's own is that shaft as measured, and then worn or undersize."""
    shaft = motor.sizes["shaft_diameter"]
    limit, own = sheet.book.limit("fit/shaft-agreement"), motor.row.q("shaft_diameter").to("mm") if motor.row else shaft
    apart = sheet.step("shaft less the frame's shaft", "Δ = A − A0", unit="mm", A=shaft, A0=own)
    if 1e-9 < abs(apart.si) <= limit.value.si * (1 + 1e-9):
        because = (
            f"The shaft is entered as {shaft} and {motor.name} has {own}: if that was measured, leave the size "
            "out and judge the shaft by a micrometer, it may be worn or not the frame's; the limits here take it as its nominal size."
        )
        sheet.find(Outcome.CAUTION, limit, because=because, measured=apart, limit=limit.value)


def _report_outputs(sheet: Sheet, motor: Motor, power: Quantity | None) -> None:
    row = sheet.book.table("frame/iec-output").row(frame=motor.frame)
    if row is None:
        return
    found = [(poles, row[f"poles_{poles}"].value) for poles in (2, 4, 6)]
    sheet.value("usual_outputs", [f"{poles}-pole: {output}" for poles, output in found if output])
    greatest = sheet.book.table("frame/greatest-output").row(frame=motor.frame)
    if power is None or greatest is None or power.si <= greatest.q("output").si:
        return
    limit, most = sheet.book.limit("frame/output-agreement"), greatest.q("output")
    share = sheet.step("output against the greatest usual one", "q = P / P0", unit="1", P=power, P0=most)
    because = f"{power} from {motor.name}, which is built up to {most} as a rule: look at the plate, frame and power may not belong together."
    sheet.compare(limit, share, because=because, otherwise=Outcome.CAUTION)


def compare_motors(sheet: Sheet, new: Motor, old: Motor, given: Mapping[str, Any], hub_length: Quantity | None) -> None:
    """What changes when the new motor stands where the old one stood."""
    if old.row is not None and old.standard != new.standard:
        sheet.find(Outcome.CAUTION, sheet.book.rule("frame/interchange"), because=sheet.book.text("frame/interchange"))
    if (old.standard, old.frame) != (new.standard, new.frame):
        tell_memory(sheet, old)
    compare_shafts(sheet, new, old)
    if old.has("centre_height"):
        _compare_height(sheet, new, old, given)
    if "belt_line" in given or old.has("shaft_length", "to_shoulder"):
        _compare_belt_line(sheet, new, old, given, hub_length)
    if old.has("across") or old.has("along"):
        _compare_feet(sheet, new, old)


def compare_shafts(sheet: Sheet, new: Motor, old: Motor) -> None:
    """How much thicker and longer the new shaft end is."""
    for name, value in (("shaft_diameter", "shaft_diameter_change"), ("shaft_length", "shaft_length_change")):
        if old.has(name):
            what = f"change of the {WHAT[name]}"
            sheet.value(value, sheet.step(what, "Δ = A − A0", unit="mm", A=new.sizes[name], A0=old.sizes[name]))


def _compare_height(sheet: Sheet, new: Motor, old: Motor, given: Mapping[str, Any]) -> None:
    now, before = new.sizes["centre_height"], old.sizes["centre_height"]
    change = sheet.step("rise of the shaft", mounting.height_change, unit="mm", H=now, H0=before)
    sheet.value("height_change", change)
    limit = sheet.book.limit("frame/height-tolerance")
    if abs(change.si) <= limit.value.si * (1 + 1e-9):
        told = f"differ by {short(change)}, which shims take up" if abs(change.si) > 1e-9 else "are the same"
        sheet.find(Outcome.ACCEPT, limit, because=f"Shaft heights {told}.", measured=change, limit=limit.value)
    elif change.si < 0:
        packing = sheet.step("packing under the new feet", "p = H0 − H", unit="mm", H0=before, H=now)
        sheet.value("packing", packing)
        because = f"The new shaft sits {short(packing)} lower; pack the feet by that much."
        sheet.find(Outcome.CAUTION, limit, because=because, measured=change, limit=limit.value)
        sheet.next_step(
            f"Pack under the new feet by {short(packing)}: one machined plate under both feet, not loose strips, with foot bolts longer "
            "by as much; then shim to line."
        )
    else:
        _higher(sheet, change, limit, given.get("belt_take_up"))


def _higher(sheet: Sheet, change: Quantity, limit: HasCitation, take_up: Quantity | None) -> None:
    told = f"The new shaft sits {short(change)} higher"
    if take_up is None:
        sheet.find(Outcome.CAUTION, limit, because=f"{told}.", measured=change)
        sheet.next_step(f"Lower the base by {short(change)}, or check that the belt adjustment covers the whole of it.")
    elif change.si > take_up.si * (1 + 1e-9):
        because = (
            f"{told} and the belts can be taken up by {take_up} only; on this base they may not go on or not tighten."
        )
        sheet.find(Outcome.REJECT, limit, because=because, measured=change, limit=take_up)
        sheet.next_step(f"Lower the base by {short(change)}, mount the motor on another face, or fit other belts.")
    else:
        because = f"{told} within the {take_up} of belt take-up."
        sheet.find(Outcome.ACCEPT, limit, because=because, measured=change, limit=take_up)


def _compare_belt_line(
    sheet: Sheet, new: Motor, old: Motor, given: Mapping[str, Any], hub_length: Quantity | None
) -> None:
    rule = sheet.book.rule("frame/belt-line")
    reach = sheet.step("front foot holes to shaft end, new motor", mounting.reach, unit="mm", C=new.sizes["to_shoulder"], E=new.sizes["shaft_length"])  # fmt: skip
    ends = [motor.sizes["shaft_length"] for motor in (old, new) if motor.has("shaft_length")]
    hub = min([*ends, *([hub_length.to("mm")] if hub_length is not None else [])], key=lambda length: length.si)
    if hub_length is None:
        sheet.assume("pulley.hub_length", hub, rule)
    face = _old_face(sheet, old, given, hub)
    if old.has("shaft_length", "to_shoulder"):
        what = "change of the shaft end from the front holes"
        sheet.value("shaft_end_change", sheet.step(what, "Δ = R − R0", unit="mm", R=reach, R0=_old_reach(sheet, old)))
    shift = sheet.step(
        "least move of the motor along its shaft to keep the belt line", mounting.belt_line_shift, unit="mm",
        R0=face, R=reach, C=new.sizes["to_shoulder"], l=hub,
    )  # fmt: skip
    sheet.value("belt_line_shift", shift)
    _judge_belt_line(sheet, shift, "towards the pulley" if face.si > reach.si else "away from the pulley", given)


def _old_reach(sheet: Sheet, old: Motor) -> Quantity:
    what = "front foot holes to shaft end, old motor"
    return sheet.step(what, mounting.reach, unit="mm", C=old.sizes["to_shoulder"], E=old.sizes["shaft_length"])


def _old_face(sheet: Sheet, old: Motor, given: Mapping[str, Any], hub: Quantity) -> Quantity:
    """Distance from the front foot holes to the outer face of the old pulley's hub: measured, or the old shaft end."""
    if "belt_line" in given:
        line: Quantity = given["belt_line"].to("mm")
        return sheet.step("front foot holes to the outer face of the hub", "R0 = m + l / 2", unit="mm", m=line, l=hub)
    sheet.assume("old_motor.belt_line", "old pulley flush with the old shaft end", sheet.book.rule("frame/belt-line"))
    return _old_reach(sheet, old)


def _judge_belt_line(sheet: Sheet, shift: Quantity, way: str, given: Mapping[str, Any]) -> None:
    rule, allowed = sheet.book.rule("frame/belt-line"), given.get("axial_adjustment")
    if shift.si <= 1e-9:
        because = "The pulley can stand on the old belt line without moving the feet along the shaft."
        sheet.find(Outcome.ACCEPT, rule, because=because, measured=shift)
    elif allowed is not None and shift.si <= allowed.si * (1 + 1e-9):
        because = f"The belt line returns by moving the motor {short(shift)} {way}, within its adjustment."
        sheet.find(Outcome.ACCEPT, rule, because=because, measured=shift, limit=allowed)
    else:
        because = f"The belt line is off by {short(shift)}; the feet must move that far along the shaft, {way}."
        sheet.find(Outcome.CAUTION, rule, because=because, measured=shift, limit=allowed)
        sheet.next_step(f"Move the foot holes {short(shift)} along the shaft, {way}, so that the belts run in line.")


def _compare_feet(sheet: Sheet, new: Motor, old: Motor) -> None:
    hole, bolt = new.sizes["hole"], new.sizes["bolt_diameter"]
    old_bolt = old.sizes.get("bolt_diameter", bolt)
    if bolt.si < old_bolt.si <= hole.si:
        bolt = old_bolt
    play = sheet.step("play of the bolts in the foot holes", "j = K − b", unit="mm", K=hole, b=bolt)
    changes = {}
    for name, value in (("across", "feet_across_change"), ("along", "feet_along_change")):
        if old.has(name):
            what = f"change of the {WHAT[name]}"
            changes[name] = sheet.step(what, "Δ = A − A0", unit="mm", A=new.sizes[name], A0=old.sizes[name])
            sheet.value(value, changes[name])
    nothing = Quantity.of(0.0, "mm")
    apart = sheet.step(
        "how far the two patterns differ, corner to corner", mounting.pattern_difference, unit="mm",
        x=changes.get("across", nothing), y=changes.get("along", nothing),
    )  # fmt: skip
    rule = new.sources.get("across", sheet.book.rule("frame/interchange").cited)
    if apart.si > play.si * (1 + 1e-9):
        _drill(sheet, new, old, rule, apart, play, bolt)
    elif old_bolt.si > hole.si:
        _thick_bolts(sheet, new, old_bolt, rule)
    elif len(changes) < 2:
        missing = next(WHAT[name] for name in ("across", "along") if name not in changes)
        because = f"The {missing} of the old motor were not given, so the bolt pattern is not proved."
        sheet.find(Outcome.INCONCLUSIVE, rule, because=because, measured=apart, limit=play)
        sheet.next_step(f"Measure the {missing} of the old motor, centre to centre.")
    else:
        _bolts_on(sheet, new, old, rule, apart, play)


def _thick_bolts(sheet: Sheet, new: Motor, bolt: Quantity, rule: HasCitation) -> None:
    because = f"The old foot bolts of {short(bolt)} do not pass the new foot holes of {short(new.sizes['hole'])}."
    sheet.find(Outcome.CAUTION, rule, because=because, measured=bolt, limit=new.sizes["hole"])
    sheet.value("base", "new-holes")
    sheet.next_step(
        f"Plug the old holes and drill the base again, {_bolts(sheet, new)}; do not open up the feet of the motor."
    )


def _bolts_on(sheet: Sheet, new: Motor, old: Motor, rule: HasCitation, apart: Quantity, play: Quantity) -> None:
    same = (new.standard, new.frame) == (old.standard, old.frame)
    unread = [] if same else [*new.from_memory("across", "along", "hole"), *old.from_memory("across", "along")]
    tail = "; measure the motor first, its foot sizes are from memory" if unread else ""
    because = f"The old bolt pattern takes the new feet within {short(play)} of play{tail}."
    sheet.find(Outcome.CAUTION if unread else Outcome.ACCEPT, rule, because=because, measured=apart, limit=play)
    sheet.value("base", "bolts-on")


def _drill(
    sheet: Sheet, new: Motor, old: Motor, rule: HasCitation, apart: Quantity, play: Quantity, bolt: Quantity
) -> None:  # fmt: skip
    room = f"the {short(play)} of play of {short(bolt)} bolts in {short(new.sizes['hole'])} holes"
    because = f"The foot holes differ by {short(apart)}, more than {room}: new holes or a new base plate."
    sheet.find(Outcome.CAUTION, rule, because=because, measured=apart, limit=play)
    base = "new-holes"
    if old.has(*PATTERN):
        web = _least_web(sheet, new, old, play)
        limit = sheet.book.limit("frame/hole-web")
        what = "metal between the nearest holes in hole diameters"
        share = sheet.step(what, "q = e / k", unit="1", rule=limit, e=web, k=new.sizes["hole"])
        because = f"{short(web)} of metal between the nearest old and new hole."
        if web.si <= 0:
            because = f"The nearest old and new hole run into each other by {short(Quantity.si_value(-web.si, 'mm'))}."
        found = sheet.compare(limit, share, because=because, otherwise=Outcome.CAUTION)
        base = "new-holes" if found.outcome is Outcome.ACCEPT else "new-plate"
    sheet.value("base", base)
    plate = "a new base plate" if base == "new-plate" else "new holes in the base"
    sheet.next_step(
        f"Make {plate}: {new.sizes['across']} across and {new.sizes['along']} along, {_bolts(sheet, new)}; spot through the feet of the motor in hand."
    )


def _bolts(sheet: Sheet, motor: Motor) -> str:
    """The foot bolts and how the base is drilled for them."""
    drill = sheet.book.table("thread/tapping-drills").row(thread=motor.bolt)
    clear = next(
        (row for row in sheet.book.table("thread/clearance-holes").rows() if row.text("thread") == motor.bolt), None
    )
    if drill is None or clear is None:
        return f"for {motor.bolt} bolts"
    return f"for {motor.bolt} bolts, {clear.q('medium')} clear or drilled {drill.q('drill')} and tapped"


def foot_holes(motor: Motor) -> dict[str, tuple[float, float]]:
    """Centres [m] of one side's foot holes: half the spacing across, and distance back from the shaft end."""
    front = motor.sizes["to_shoulder"].si + motor.sizes["shaft_length"].si
    half = motor.sizes["across"].si / 2
    return {"front": (half, front), "rear": (half, front + motor.sizes["along"].si)}


def _least_web(sheet: Sheet, new: Motor, old: Motor, play: Quantity) -> Quantity:
    """Metal between the nearest two holes; a new hole that falls on an old one within the play is simply used."""
    pairs = [(a, b) for a in foot_holes(new).values() for b in foot_holes(old).values()]
    apart = [pair for pair in pairs if math.dist(*pair) > play.si / 2 * (1 + 1e-9)]
    near, far = min(apart, key=lambda pair: math.dist(*pair))
    return sheet.step(
        "metal between the nearest old and new hole, shaft ends in line", mounting.web_between_holes, unit="mm",
        x=Quantity.si_value(abs(near[0] - far[0]), "mm"), y=Quantity.si_value(abs(near[1] - far[1]), "mm"),
        k=new.sizes["hole"], k0=old.sizes["hole"],
    )  # fmt: skip


def hole_rows(motors: Mapping[str, Motor]) -> list[dict[str, Any]]:
    """Foot hole centres of the motors whose feet are known, measured from shaft axis and shaft end."""
    return [
        {
            "motor": which, "hole": f"{place} {side}", "across": Quantity.si_value(sign * x, "mm"),
            "from_shaft_end": Quantity.si_value(y, "mm"), "diameter": motor.sizes["hole"],
        }
        for which, motor in motors.items()
        if motor.has(*PATTERN)
        for place, (x, y) in foot_holes(motor).items()
        for side, sign in (("left", -1.0), ("right", 1.0))
    ]  # fmt: skip
