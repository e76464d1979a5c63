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
_IEC = re.compile(r"(?:IEC)?(\d{2,3})([SML]?)[A-D]?(?:[-/]\d{1,2})?")
_NEMA = re.compile(r"(?:NEMA)?[A-Z]?(\d{2,3})(H?T?)C?([YZ]*)")


@dataclass
class Motor:
    """One motor's mounting dimensions; `sources` holds the citation of each that came from a table."""

    standard: str
    frame: str
    row: Row | None
    sizes: dict[str, Quantity]
    sources: dict[str, Cited] = field(default_factory=dict)
    bolt: str = ""

    @property
    def name(self) -> str:
        """System and frame: a NEMA 56 and an IEC 56 are different motors."""
        return f"{self.standard.upper()} frame {self.frame}"

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
    plain = re.sub(r"[\s_.]", "", text.upper())
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


def _iec_names(plain: str, names: list[str]) -> list[str]:
    match = _IEC.fullmatch(plain)
    if not match:
        return []
    number, letter = match[1], match[2]
    same = [name for name in names if name.rstrip("SML") == number]
    if number in names:
        return [number] if letter in ("", "M") else []
    return [number + letter] if letter else same


def _nema_names(plain: str, pointer: str) -> list[str]:
    match = _NEMA.fullmatch(plain)
    if not match:
        return []
    if match[3]:
        raise contradiction(
            pointer,
            "a suffix Y or Z means a foot or shaft of the maker's own; measure it and give the frame without it",
        )
    return [match[1] + match[2]]


def read_motor(sheet: Sheet, given: Mapping[str, Any], pointer: str) -> Motor:
    """Sizes of a motor: what was measured wins, the frame's table fills the rest."""
    standard = given.get("standard", "iec")
    row = frame_row(sheet.book, standard, given["frame"], f"{pointer}/frame") if "frame" in given else None
    motor = Motor(standard, row.text("frame") if row else "", row, {}, bolt=row.text("bolt") if row else "")
    measured = {name: given[name] for name in ("centre_height", "shaft_diameter", "shaft_length") if name in given}
    measured |= given.get("feet", {})
    for name, what in WHAT.items():
        if name in measured:
            motor.sizes[name] = measured[name].to("mm")
        elif row is not None and isinstance(row[name].value, Quantity):
            cell = row[name]
            which = "new" if pointer == "/new_motor" else "old"
            motor.sizes[name] = sheet.looked_up(f"{what} of the {which} motor, {motor.name}", cell).to("mm")
            motor.sources[name] = cell.cited
    return motor


def report_new(sheet: Sheet, motor: Motor) -> None:
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
    unread = motor.from_memory(*WHAT)
    if unread:
        listed = ", ".join(WHAT[name] for name in unread)
        because = f"{motor.name}: from memory, not from a text that was read: {listed}. Measure the motor before drilling or boring."
        sheet.find(Outcome.CAUTION, motor.sources[unread[0]], because=because, decides=False)
    _report_outputs(sheet, motor)


def _report_outputs(sheet: Sheet, motor: Motor) -> None:
    if motor.standard != "iec":
        return
    row = sheet.book.table("frame/iec-output").row(frame=motor.frame)
    if row is not None:
        found = [(poles, row[f"poles_{poles}"].value) for poles in (2, 4, 6)]
        sheet.value("usual_outputs", [f"{poles}-pole: {output}" for poles, output in found if output])


def compare_motors(sheet: Sheet, new: Motor, old: Motor, given: Mapping[str, Any], hub_length: Quantity | None) -> None:
    """What changes when the new motor stands where the old one stood."""
    if old.row is not None and old.standard != new.standard:
        sheet.find(Outcome.CAUTION, sheet.book.rule("frame/interchange"), because=sheet.book.text("frame/interchange"))
    for name, value in (("shaft_diameter", "shaft_diameter_change"), ("shaft_length", "shaft_length_change")):
        if old.has(name):
            what = f"change of the {WHAT[name]}"
            sheet.value(value, sheet.step(what, "Δ = A − A0", unit="mm", A=new.sizes[name], A0=old.sizes[name]))
    if old.has("centre_height"):
        _compare_height(sheet, new, old, given)
    if old.has("shaft_length", "to_shoulder"):
        _compare_belt_line(sheet, new, old, given, hub_length)
    if old.has("across", "along"):
        _compare_feet(sheet, new, old)


def _compare_height(sheet: Sheet, new: Motor, old: Motor, given: Mapping[str, Any]) -> None:
    change = sheet.step(
        "rise of the shaft",
        mounting.height_change,
        unit="mm",
        H=new.sizes["centre_height"],
        H0=old.sizes["centre_height"],
    )
    sheet.value("height_change", change)
    limit = sheet.book.limit("frame/height-tolerance")
    if abs(change.si) <= limit.value.si * (1 + 1e-9):
        sheet.find(
            Outcome.ACCEPT,
            limit,
            because=f"Shaft heights differ by {change}, which shims take up.",
            measured=change,
            limit=limit.value,
        )
    elif change.si < 0:
        packing = sheet.step(
            "packing under the new feet",
            "p = H0 − H",
            unit="mm",
            H0=old.sizes["centre_height"],
            H=new.sizes["centre_height"],
        )
        sheet.value("packing", packing)
        because = f"The new shaft sits {packing} lower; pack the feet by that much."
        sheet.find(Outcome.CAUTION, limit, because=because, measured=change, limit=limit.value)
        sheet.next_step(
            f"Pack under the new feet by {packing}: one machined plate under both feet, not loose strips, then shim to line."
        )
    else:
        _higher(sheet, change, limit, given.get("belt_take_up"))


def _higher(sheet: Sheet, change: Quantity, limit: HasCitation, take_up: Quantity | None) -> None:
    if take_up is not None and change.si > take_up.si * (1 + 1e-9):
        because = f"The new shaft sits {change} higher and the belts can be taken up by {take_up} only; on this base they may not go on or not tighten."
        sheet.find(Outcome.REJECT, limit, because=because, measured=change, limit=take_up)
        sheet.next_step(f"Lower the base by {change}, mount the motor on another face, or fit other belts.")
    else:
        reach = f" within the {take_up} of belt take-up" if take_up is not None else ""
        outcome = Outcome.CAUTION if take_up is None else Outcome.ACCEPT
        because = f"The new shaft sits {change} higher{reach}."
        sheet.find(outcome, limit, because=because, measured=change, limit=take_up)
        sheet.next_step(f"Lower the base by {change}, or check that the belt adjustment covers the whole of it.")


def _compare_belt_line(
    sheet: Sheet, new: Motor, old: Motor, given: Mapping[str, Any], hub_length: Quantity | None
) -> None:
    reach = {
        which: sheet.step(f"front foot holes to shaft end, {which} motor", mounting.reach, unit="mm", C=motor.sizes["to_shoulder"], E=motor.sizes["shaft_length"])
        for which, motor in (("old", old), ("new", new))
    }  # fmt: skip
    sheet.value(
        "shaft_end_change",
        sheet.step(
            "change of the shaft end from the front holes", "Δ = R − R0", unit="mm", R=reach["new"], R0=reach["old"]
        ),
    )
    ends = [old.sizes["shaft_length"], new.sizes["shaft_length"]]
    hub = min([hub_length.to("mm"), *ends] if hub_length is not None else ends, key=lambda length: length.si)
    if hub_length is None:
        sheet.assume("pulley.hub_length", hub, sheet.book.rule("frame/belt-line"))
    shift = sheet.step(
        "least move of the motor along its shaft to keep the belt line", mounting.belt_line_shift, unit="mm",
        R0=reach["old"], R=reach["new"], C=new.sizes["to_shoulder"], l=hub,
    )  # fmt: skip
    sheet.value("belt_line_shift", shift)
    rule, allowed = sheet.book.rule("frame/belt-line"), given.get("axial_adjustment")
    if shift.si <= 1e-9:
        sheet.find(
            Outcome.ACCEPT,
            rule,
            because="The pulley can stand on the old belt line without moving the feet along the shaft.",
            measured=shift,
        )
    elif allowed is not None and shift.si <= allowed.si * (1 + 1e-9):
        sheet.find(
            Outcome.ACCEPT,
            rule,
            because=f"The belt line returns by moving the motor {shift}, within its adjustment.",
            measured=shift,
            limit=allowed,
        )
    else:
        because = f"The belt line is off by {shift}; the feet must move that far along the shaft."
        sheet.find(Outcome.CAUTION, rule, because=because, measured=shift, limit=allowed)
        sheet.next_step(f"Move the foot holes {shift} along the shaft, so that the belts run in line.")


def _compare_feet(sheet: Sheet, new: Motor, old: Motor) -> None:
    play = sheet.step(
        "play of the bolts in the foot holes", "j = K − b", unit="mm", K=new.sizes["hole"], b=new.sizes["bolt_diameter"]
    )
    worst = 0.0
    for name, value in (("across", "feet_across_change"), ("along", "feet_along_change")):
        change = sheet.step(
            f"change of the {WHAT[name]}", "Δ = A − A0", unit="mm", A=new.sizes[name], A0=old.sizes[name]
        )
        sheet.value(value, change)
        worst = max(worst, abs(change.si))
    unread = (
        new.from_memory("across", "along", "hole") if (new.standard, new.frame) != (old.standard, old.frame) else []
    )
    rule = new.sources.get("across", sheet.book.rule("frame/interchange").cited)
    if worst <= play.si * (1 + 1e-9):
        outcome = Outcome.CAUTION if unread else Outcome.ACCEPT
        tail = "; measure the new motor first, its foot sizes are from memory" if unread else ""
        sheet.find(
            outcome,
            rule,
            because=f"The old bolt pattern takes the new feet within {play} of play{tail}.",
            measured=Quantity.si_value(worst, "mm"),
            limit=play,
        )
        sheet.value("base", "bolts-on")
        return
    _drill(sheet, new, old, rule, worst, play)


def _drill(sheet: Sheet, new: Motor, old: Motor, rule: HasCitation, worst: float, play: Quantity) -> None:
    measured = Quantity.si_value(worst, "mm")
    because = f"The foot holes differ by {measured}, more than the {play} of play: new holes or a new base plate."
    sheet.find(Outcome.CAUTION, rule, because=because, measured=measured, limit=play)
    base = "new-holes"
    if old.has("to_shoulder", "shaft_length", "hole"):
        web = _least_web(sheet, new, old, play)
        limit = sheet.book.limit("frame/hole-web")
        share = sheet.step(
            "metal between the nearest holes in hole diameters",
            "q = e / k",
            unit="1",
            rule=limit,
            e=web,
            k=new.sizes["hole"],
        )
        because = f"{short(web)} of metal between the nearest old and new hole{' - they run into each other' if web.si < 0 else ''}."
        found = sheet.compare(limit, share, because=because, otherwise=Outcome.CAUTION)
        base = "new-holes" if found.outcome is Outcome.ACCEPT else "new-plate"
    sheet.value("base", base)
    plate = "a new base plate" if base == "new-plate" else "new holes in the base"
    sheet.next_step(
        f"Make {plate}: {new.sizes['across']} across and {new.sizes['along']} along, holes {new.sizes['hole']}; spot through the feet of the motor in hand."
    )


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
        if motor.has("across", "along", "to_shoulder", "shaft_length", "hole")
        for place, (x, y) in foot_holes(motor).items()
        for side, sign in (("left", -1.0), ("right", 1.0))
    ]  # fmt: skip
