"""The RCD itself: the type the loads ask for, what stands ahead of it, the earth electrode, its trip windows."""

from __future__ import annotations

from typing import Any

from millphase.answer import Outcome, Sheet
from millphase.physics import leakage
from millphase.quantity import Quantity
from millphase.questions._leakage_items import CLASS_KINDS, Bench, drive_name
from millphase.questions._residual_current import (
    INTERRUPTER_NAMES,
    INTERRUPTERS,
    TYPES,
    said,
    said_at_most,
    the_row,
    thresholds,
    type_rank,
)  # fmt: skip
from millphase.questions.base import View
from millphase.rulebook.model import Row


def smooth_dc(drive: dict[str, Any]) -> bool:
    """Whether a fault behind the drive can let smooth DC through to earth."""
    return bool(drive["boost_stage"]) or drive["input"] != "line-neutral"


def _least_row(bench: Bench, circuit: str) -> Row:
    return the_row(bench.book.table("rcd/least-type"), circuit=circuit)


def _circuits(bench: Bench, request: dict[str, Any]) -> list[str]:
    """What kinds of circuit stand behind the RCD."""
    found = ["smooth-dc-drive" if smooth_dc(drive) else "line-neutral-drive" for drive in request.get("drives", [])]
    for load in request.get("loads", []):
        kind = load.get("kind", "")
        row = bench.book.table("leakage/load-kind").row(kind=kind) if kind and kind not in CLASS_KINDS else None
        found.append("resistive" if row is not None and row.text("least_type") == "AC" else "electronics")
    return found


def least_type(bench: Bench, request: dict[str, Any]) -> str:
    """The least type that detects every residual current the loads can make, makers' instructions first."""
    needed = [_least_row(bench, circuit).text("least_type") for circuit in _circuits(bench, request)]
    for index, drive in enumerate(request.get("drives", [])):
        needed[index] = drive.get("rcd_type_instruction", needed[index])
    return max(needed, key=type_rank, default="AC")


def judge_type(bench: Bench, request: dict[str, Any], least: str) -> None:
    """Is the RCD of a type that protects behind these loads? One finding per drive, one for the rest."""
    kind = request["rcd"].get("type")
    drives = request.get("drives", [])
    if kind is None:
        bench.sheet.find(
            Outcome.INCONCLUSIVE, bench.book.table("rcd/least-type"),
            because=f"The type of the RCD is not stated; these loads ask for at least type {least}.",
        )  # fmt: skip
        bench.sheet.next_step("Read the type symbol on the RCD's label (AC, A, F or B).")
        return
    if kind in INTERRUPTERS:
        _judge_interrupter(bench, kind, bool(drives))
        _judge_interrupter_and_dc(bench, kind, drives)
        return
    if not drives and not request.get("loads"):
        because = "What stands behind the RCD is not listed, so that its type cannot be judged."
        rule = bench.book.table("rcd/least-type")
        bench.sheet.find(Outcome.INCONCLUSIVE, rule, because=because, decides=kind == "AC")
        return
    for index, drive in enumerate(drives):
        _judge_drive(bench, kind, drive, index)
    if not drives:
        _judge_plain(bench, kind, least)


def _judge_interrupter(bench: Bench, kind: str, has_drives: bool) -> None:
    rule = bench.book.rule("rcd/ground-fault-interrupter-and-drives")
    if has_drives:
        bench.sheet.find(
            Outcome.CAUTION, rule,
            because=f"A drive behind a {INTERRUPTER_NAMES[kind]} that is not marked for high frequency commonly trips it.",
        )  # fmt: skip
        bench.sheet.next_step(bench.book.text("rcd/ground-fault-interrupter-and-drives"))


def _judge_interrupter_and_dc(bench: Bench, kind: str, drives: list[dict[str, Any]]) -> None:
    rule = bench.book.table("rcd/least-type")
    for index, drive in enumerate(drives):
        if smooth_dc(drive):
            because = (
                f"A fault behind {drive_name(drive, index)} can let smooth DC through, which a "
                f"{INTERRUPTER_NAMES[kind]} is not made to detect."
            )
            bench.sheet.find(Outcome.CAUTION, rule, because=because)


def _judge_plain(bench: Bench, kind: str, least: str) -> None:
    rule = bench.book.table("rcd/least-type")
    if type_rank(kind) >= type_rank(least):
        bench.sheet.find(
            Outcome.ACCEPT, rule, because=f"Type {kind} detects what these loads can let through to earth."
        )
        return
    bench.sheet.find(
        Outcome.CAUTION, rule, because=f"Type {kind} where electronic loads ask for at least type {least}."
    )
    bench.sheet.next_step(f"Have the RCD replaced by a type {least} of the same rating.")


def _judge_drive(bench: Bench, kind: str, drive: dict[str, Any], index: int) -> None:
    name, sheet, book = drive_name(drive, index), bench.sheet, bench.book
    row = _least_row(bench, "smooth-dc-drive" if smooth_dc(drive) else "line-neutral-drive")
    general, told = row.text("least_type"), drive.get("rcd_type_instruction")
    wanted = told or general
    if kind == "AC":
        sheet.find(
            Outcome.REJECT, book.rule("rcd/no-ac-for-drives"),
            because=f"The RCD ahead of {name} is a type AC: a fault there can leave it unable to trip.",
        )  # fmt: skip
        sheet.next_step(f"Have the RCD replaced by a type {wanted} of the same rating before the drive is used again.")
        return
    if told is not None:
        _judge_by_instruction(bench, kind, name, told, general)
        return
    enough = type_rank(kind) >= type_rank(general)
    if enough:
        outcome = Outcome.ACCEPT
        because = f"Type {kind} detects {row.text('waveform')}, which a fault behind {name} can let through."
    elif general == "B":
        outcome = Outcome.REJECT
        because = f"A fault behind {name} can let smooth DC through, which blinds a type {kind}; type B is needed."
    else:
        outcome = Outcome.CAUTION
        because = f"Type {general} is asked for ahead of {name} by most sources; type {kind} is tolerated by some drive makers."
    sheet.find(outcome, row["least_type"], because=because)
    if general == "F":
        _report_opinions(bench)
    if not enough:
        sheet.next_step(
            f"Fit a type {general} RCD of the same rating for {name}, unless its own instructions name another type."
        )


def _judge_by_instruction(bench: Bench, kind: str, name: str, told: str, general: str) -> None:
    sheet, book = bench.sheet, bench.book
    rule = book.rule("rcd/maker-instruction")
    if type_rank(kind) < type_rank(told):
        sheet.find(
            Outcome.REJECT, rule, because=f"The instructions of {name} name type {told}; the RCD is a type {kind}."
        )
        sheet.next_step(f"Fit a type {told} RCD of the same rating for {name}, as its instructions say.")
    elif general == "B" and type_rank(told) < type_rank("B"):
        because = (
            f"The instructions of {name} allow type {told}, although its input can let smooth DC through; "
            "keep the maker's statement with the machine's papers."
        )
        sheet.find(Outcome.CAUTION, rule, because=because)
    else:
        sheet.find(Outcome.ACCEPT, rule, because=f"Type {kind} is what the instructions of {name} ask for, or better.")
        if type_rank(kind) < type_rank(general):
            sheet.find(
                Outcome.CAUTION, _least_row(bench, "line-neutral-drive")["least_type"], decides=False,
                because=f"Without that instruction type {general} would be asked for.",
            )  # fmt: skip


def _report_opinions(bench: Bench) -> None:
    """Say who asks for what; reported once, not deciding."""
    table = bench.book.table("rcd/type-opinions")
    if any(finding.cited.rule == table.id for finding in bench.sheet.findings):
        return
    for row in table.rows():
        because = (
            f"Sources differ on drives fed between line and neutral: {row.text('who')} ask for type {row.text('type')}."
        )
        bench.sheet.find(Outcome.ACCEPT, row["type"], because=because, decides=False)


def judge_upstream(bench: Bench, request: dict[str, Any], least: str, standing: Quantity) -> None:
    """What the device ahead of this one does: blinded, of the right type, selective, holding this circuit."""
    upstream = request.get("upstream_rcd")
    if upstream is None:
        return
    rcd, kind = request["rcd"], upstream.get("type")
    needs_b = least == "B" or rcd.get("type") == "B"
    rule = bench.book.rule("rcd/blinding")
    if kind is None:
        bench.sheet.find(Outcome.INCONCLUSIVE, rule, because="The type of the upstream RCD is not stated.")
        bench.sheet.next_step("Read the type symbol on the upstream RCD's label.")
    elif kind != "B" and needs_b:
        _refuse_blinding(bench, _called(kind), rcd.get("type") == "B")
    elif kind == "AC" and request.get("drives"):
        bench.sheet.find(
            Outcome.REJECT, bench.book.rule("rcd/no-ac-for-drives"),
            because="The upstream RCD is a type AC and a drive's current flows through it.",
        )  # fmt: skip
        bench.sheet.next_step("Have the upstream RCD replaced, or feed the drive from ahead of it.")
    else:
        bench.sheet.find(Outcome.ACCEPT, rule, because=f"The upstream device is a {_called(kind)} and is not blinded.")
        _judge_upstream_type(bench, kind, least, bool(request.get("drives")))
    _judge_selectivity(bench, rcd, upstream, standing)


def _refuse_blinding(bench: Bench, upstream: str, behind_is_b: bool) -> None:
    """Smooth DC through a device that is not made for it."""
    what = "Type B" if behind_is_b else "A drive that can let smooth DC through"
    why = "smooth DC that the type B lets pass" if behind_is_b else "its smooth DC"
    bench.sheet.find(
        Outcome.REJECT, bench.book.rule("rcd/blinding"),
        because=f"{what} behind a {upstream}: {why} blinds the upstream RCD, which then protects nobody behind it.",
    )  # fmt: skip
    bench.sheet.next_step(
        "Feed what needs type B from ahead of the upstream device, or have the upstream one replaced by a type B."
    )


def _judge_upstream_type(bench: Bench, kind: str, least: str, has_drives: bool) -> None:
    """The drive's mixed frequencies flow through the upstream device too."""
    if kind in INTERRUPTERS:
        _judge_interrupter(bench, kind, has_drives)
    elif type_rank(kind) < type_rank(least):
        because = f"The upstream RCD is a type {kind}; what stands behind it asks for type {least} there too."
        bench.sheet.find(Outcome.CAUTION, bench.book.table("rcd/least-type"), because=because, decides=False)


def _called(kind: str) -> str:
    return f"type {kind}" if kind in TYPES else INTERRUPTER_NAMES[kind]


def _judge_selectivity(bench: Bench, rcd: dict[str, Any], upstream: dict[str, Any], standing: Quantity) -> None:
    ahead, behind = upstream["rated_residual_current"], rcd["rated_residual_current"]
    limit = bench.book.limit("rcd/selectivity-ratio")
    ratio = bench.sheet.step(
        "rating of the upstream RCD against this one", "k = I1 / I2", unit="1", I1=ahead, I2=behind
    )
    because = f"The upstream RCD is rated {ahead}, {said(ratio)} times this one; {limit.value} times is asked for."
    bench.sheet.compare(limit, ratio, because=because, otherwise=Outcome.CAUTION)
    if upstream.get("delay") != "selective":
        bench.sheet.find(
            Outcome.CAUTION, bench.book.rule("rcd/selectivity-delay"),
            because="The upstream RCD is not marked selective (S): either one may trip on a fault here.",
        )  # fmt: skip
        bench.sheet.next_step(bench.book.text("rcd/selectivity-delay"))
    hold = thresholds(upstream, bench.sheet, bench.book, "/upstream_rcd")
    bench.sheet.compare(
        hold.no_trip_rule, standing, against=hold.no_trip, otherwise=Outcome.CAUTION,
        because=f"Of this circuit alone {said(standing)} also flows through the upstream device, which must hold "
        f"{said(hold.no_trip)}.",
    )  # fmt: skip


def judge_electrode(bench: Bench, request: dict[str, Any]) -> None:
    """TT: can the electrode trip the RCD before the touch voltage limit?"""
    touch, measured = bench.book.constant("rcd/touch-voltage"), bench.supply.electrode_resistance
    if bench.supply.earthing != "tt":
        if measured is not None:
            because = f"An earth electrode of {measured} is not judged on a {bench.supply.earthing.upper()} supply."
            bench.sheet.find(Outcome.ACCEPT, touch, because=because, measured=measured, decides=False)
        return
    ratings = [request["rcd"]["rated_residual_current"]]
    if "upstream_rcd" in request:
        ratings.append(request["upstream_rcd"]["rated_residual_current"])
    limit = bench.sheet.step(
        "greatest resistance of the earth electrode", leakage.electrode_limit, unit="ohm", rule=touch, Ut=touch.value,
        I=max(ratings, key=lambda rating: rating.si),
    )  # fmt: skip
    bench.sheet.value("electrode_resistance_limit", limit)
    if measured is None:
        because = "The resistance of the earth electrode is not stated, and without it the RCD may not protect."
        bench.sheet.find(Outcome.INCONCLUSIVE, touch, because=because, limit=limit)
        bench.sheet.next_step(f"Have the earth electrode measured: at most {said_at_most(limit)}.")
        return
    outcome = Outcome.ACCEPT if measured.si <= limit.si * (1 + 1e-9) else Outcome.REJECT
    because = f"The electrode reads {measured}; the RCD keeps the touch voltage below {touch.value} up to {said_at_most(limit)}."
    bench.sheet.find(outcome, touch, because=because, measured=measured, limit=limit)
    stable = bench.book.limit("rcd/stable-electrode")
    bench.sheet.compare(
        stable, measured, otherwise=Outcome.CAUTION,
        because=f"An electrode above {stable.value} may drift with the weather; this one reads {measured}.",
    )  # fmt: skip


def report_protection(sheet: Sheet, book: View, request: dict[str, Any]) -> None:
    """Whether the device protects a person; reported, since its amount or its times are judged elsewhere."""
    rcd = request["rcd"]
    limit, rating = book.limit("rcd/additional-protection"), rcd["rated_residual_current"]
    if request["wiring_rules"] == "nfpa-70" and rcd.get("type") != "class-a-gfci":
        rule = book.rule("rcd/equipment-ground-fault")
        because = f"Rated {rating}, it protects equipment; a person is protected by a class A ground-fault interrupter."
        if rcd.get("type") == "class-c-gfci":
            because = "A class C interrupter protects a person only on earthed equipment, and where the code allows it."
        sheet.find(Outcome.CAUTION, rule, because=because, measured=rating, decides=False)
        sheet.next_step(book.text(rule.id))
    elif rating.si > limit.value.si * (1 + 1e-9):
        because = (
            f"Rated {rating}: it protects against fire and indirect contact, not a person who touches a live part."
        )
        sheet.compare(limit, rating, because=because, otherwise=Outcome.CAUTION, decides=False)
        sheet.next_step(f"Keep every socket-outlet behind an RCD of at most {limit.value}.")
    elif rcd.get("delay") == "selective":
        rule = book.rule("rcd/selective-protects-nobody")
        sheet.find(Outcome.CAUTION, rule, because=book.text(rule.id), decides=False)


def windows(bench: Bench, request: dict[str, Any]) -> list[dict[str, Any]]:
    """Currents between which a device of this type may trip, for each waveform it detects."""
    rcd = request["rcd"]
    rating = rcd["rated_residual_current"]
    column = "must_trip_small" if rating.si <= 0.010 * (1 + 1e-9) else "must_trip"
    found = []
    for row in bench.book.table("rcd/trip-window").rows(type=rcd.get("type", "")):
        waveform = row.text("waveform")
        ends = {}
        for name, cell, what in (("no_trip", "no_trip", "must not trip"), ("must_trip", column, "must trip")):
            ends[name] = bench.sheet.step(
                f"residual current of waveform {waveform} at which the RCD {what}", "I = k × In", unit="mA",
                rule=row[cell], k=row.q(cell), In=rating,
            )  # fmt: skip
        found.append({"waveform": waveform, **ends, "checked": row[column].cited.source["checked"]})
    return found
