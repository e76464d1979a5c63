"""Motor fit: does the flange or face of the new motor go where the old one was bolted."""

from __future__ import annotations

from collections.abc import Mapping

from millphase.answer import Outcome, Sheet
from millphase.quantity import Quantity
from millphase.questions._fit_frames import Motor, short
from millphase.rulebook.book import View
from millphase.rulebook.model import Cell, Row

# column of the tables, field of the request, value of the answer, limit of agreement
SIZES = (
    ("circle", "bolt_circle", "flange_circle", "frame/flange-agreement"),
    ("spigot", "spigot", "flange_spigot", "frame/spigot-agreement"),
)


def judge_flange(
    sheet: Sheet, new: Motor, mounting: str, measured: Mapping[str, Quantity], old: Motor | None
) -> None:  # fmt: skip
    """Bolt circle and spigot of the new motor against those of the old one, measured or by its frame."""
    row = flange_row(sheet.book, new, mounting)
    tie = sheet.book.rule("frame/flange-tie")
    if row is None:
        because = f"No {mounting} is tabulated for {new.name}; measure the bolt circle and the spigot of both motors."
        sheet.find(Outcome.INCONCLUSIVE, tie, because=because)
        return
    _report(sheet, row, new, mounting)
    framed = flange_row(sheet.book, old, mounting) if old is not None else None
    before = len(sheet.findings)
    for column, field, name, agreement in SIZES:
        size = sheet.looked_up(f"{field.replace('_', ' ')} of {new.name}, {mounting}", row[column]).to("mm")
        sheet.value(name, size)
        told = f"{field.replace('_', ' ').capitalize()} of the new {mounting}: {size}"
        if field in measured:
            _measured(sheet, row[column], size, measured[field].to("mm"), told, agreement)
        elif framed is not None and old is not None:
            _by_frame(sheet, row[column], size, framed.q(column).to("mm"), f"{told}, of {old.name}", mounting)
        else:
            sheet.find(Outcome.CAUTION, row[column], because=f"{told}; measure the old one and compare.", measured=size)
    worst = max(finding.outcome for finding in sheet.findings[before:])
    fits = {Outcome.ACCEPT: "bolts-on", Outcome.CAUTION: "measure", Outcome.REJECT: "adapter-ring"}
    sheet.value("flange", fits[worst])
    if worst is Outcome.REJECT:
        sheet.next_step(
            "Ask for the motor with the face of the old one, larger faces are sold for the same frame, or have an adapter ring turned."
            if mounting == "face"
            else "Ask for the frame whose flange the old motor had, or have an adapter ring turned."
        )
    sheet.find(Outcome.CAUTION, tie, because=sheet.book.text("frame/flange-tie"), decides=False)


def foot_for_flange(sheet: Sheet) -> None:
    """A flange was given of the old motor, and the new one is taken to stand on feet."""
    because = (
        "A flange of the old motor was given, and the new motor is taken to stand on feet: the flange was not compared."
    )
    sheet.find(Outcome.INCONCLUSIVE, sheet.book.rule("frame/flange-tie"), because=because)
    sheet.next_step("Where the motor is bolted by its flange or face, say so in new_motor.mounting.")


def flange_row(book: View, motor: Motor, mounting: str) -> Row | None:
    """Row of the flange or face that belongs to a motor's frame; None where none is tabulated."""
    if motor.row is None:
        return None
    if motor.standard == "iec":
        return book.table("frame/iec-flange").row(frame_number=motor.number, mounting=mounting)
    return book.table("frame/nema-face").row(frame=motor.frame) if mounting == "face" else None


def _report(sheet: Sheet, row: Row, new: Motor, mounting: str) -> None:
    sheet.value("flange_hole", row.text("hole"))
    if new.standard == "iec":
        for column, name in (("outside", "flange_outside"), ("spigot_height", "flange_spigot_height")):
            sheet.value(name, sheet.looked_up(f"{column.replace('_', ' ')} of {new.name}, {mounting}", row[column]))
    if row["hole"].cited.source["checked"] == "memory":
        because = f"Holes of the new {mounting}, {row.text('hole')}: from memory; look at the motor before drilling."
        sheet.find(Outcome.CAUTION, row["hole"], because=because, decides=False)


def _measured(sheet: Sheet, cell: Cell, size: Quantity, old: Quantity, told: str, agreement: str) -> None:
    apart, limit = abs(old.si - size.si), sheet.book.limit(agreement)
    coarse = sheet.book.limit("frame/flange-agreement").value
    unread = cell.cited.source["checked"] == "memory"
    if apart > coarse.si * (1 + 1e-9):
        because = f"{told}, of the old one {old}: it does not bolt on without an adapter ring."
        sheet.find(Outcome.REJECT, cell, because=because, measured=old, limit=size)
    elif apart > limit.value.si * (1 + 1e-9):
        off = short(Quantity.si_value(apart, "mm"))
        because = (
            f"{told}, of the old one {old}: {off} apart, which a spigot does not forgive; gauge spigot and recess."
        )
        sheet.find(Outcome.CAUTION, limit, because=because, measured=old, limit=size)
        sheet.next_step("Gauge the recess of the machine and the spigot of the new motor before bolting it on.")
    elif unread:
        because = f"{told}, the same as the old one; from memory, measure the new motor too."
        sheet.find(Outcome.CAUTION, cell, because=because, measured=size)
    else:
        sheet.find(Outcome.ACCEPT, cell, because=f"{told}, the same as the old one.", measured=size)


def _by_frame(sheet: Sheet, cell: Cell, size: Quantity, old: Quantity, told: str, mounting: str) -> None:
    """A flange goes with its frame; of faces a larger one is sold beside the frame's own."""
    if abs(size.si - old.si) > 1e-9:
        because = f"{told} {old}: it does not bolt on without an adapter ring."
        sheet.find(Outcome.REJECT, cell, because=because, measured=old, limit=size)
    elif mounting == "flange" and cell.cited.source["checked"] != "memory":
        sheet.find(Outcome.ACCEPT, cell, because=f"{told} the same by its frame.", measured=size)
    else:
        because = f"{told} the same by its frame, which does not prove a face; measure both motors."
        sheet.find(Outcome.CAUTION, cell, because=because, measured=size)
