"""Absorption ratio and polarization index: how the reading rises while the voltage stays on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from millphase.answer import Outcome, Sheet
from millphase.quantity import Quantity
from millphase.questions._insulation import brief, winding_kind
from millphase.questions._insulation_readings import Reading

_WORRYING = ("dangerous", "poor", "questionable")


def ratios(sheet: Sheet, request: Mapping[str, Any], readings: list[Reading]) -> None:
    """Work out both ratios where the readings allow, and judge them by kind of winding."""
    book = sheet.book
    start, end = book.constant("insulation/absorption-start").value, book.constant("insulation/polarization-end").value
    minutes = [reading for reading in readings if reading.is_one_minute and reading.resistance.si > 0.0]
    early = _lowest(sheet, "absorption ratio", "DAR = R60/R30", [(_at(r, readings, start), r) for r in minutes])
    late = _lowest(sheet, "polarization index", "PI = R600/R60", [(r, _at(r, readings, end)) for r in minutes])
    if early:
        _absorption(sheet, early[0])
        _falling(sheet, "thirty seconds", "one minute", *early)
    if late:
        _polarization(sheet, request, *late)
        _falling(sheet, "one minute", "ten minutes", *late)


def _at(minute: Reading, readings: list[Reading], time: Quantity) -> Reading | None:
    slack = max(5.0, 0.02 * time.si)
    for reading in readings:
        near = reading.after is not None and abs(reading.after.si - time.si) <= slack
        if near and reading.same_points(minute) and not reading.over_range and reading.resistance.si > 0.0:
            return reading
    return None


def _lowest(
    sheet: Sheet, what: str, formula: str, pairs: list[tuple[Reading | None, Reading | None]]
) -> tuple[Quantity, Reading] | None:
    """Lowest ratio of later to earlier reading, with the one-minute reading behind it."""
    found: list[tuple[Quantity, Reading]] = []
    for first, second in pairs:
        if first is None or second is None or first.over_range or second.over_range:
            continue
        minute = first if first.is_one_minute else second
        symbols = formula.split(" = ")[1].split("/")
        given = {symbols[0]: second.resistance, symbols[1]: first.resistance}
        found.append((sheet.step(f"{minute.name}: {what}", formula, unit="1", rule=None, **given), minute))
    return min(found, key=lambda pair: pair[0].si, default=None)


def _falling(sheet: Sheet, start: str, end: str, ratio: Quantity, minute: Reading) -> None:
    """Absorption that has died leaves the reading standing; one that falls under the voltage is damp or damage."""
    equal = sheet.book.constant("insulation/equal-readings")
    if ratio.si >= 1.0 - equal.value.si:
        return
    because = (
        f"{minute.name} falls from {start} to {end} while the voltage stays on: damp, dirt or damage, in any winding."
    )
    sheet.find(Outcome.CAUTION, equal, because=because, measured=ratio, decides=not minute.void)
    sheet.next_step(
        "Dry and clean the winding and repeat the test; a reading must not fall while the voltage stays on."
    )


def _absorption(sheet: Sheet, ratio: Quantity) -> None:
    bands = sheet.book.bands("insulation/absorption-ratio-classes")
    label = bands.of(ratio)
    sheet.value("absorption_ratio", ratio)
    sheet.value("absorption_class", label)
    outcome = Outcome.CAUTION if label in _WORRYING else Outcome.ACCEPT
    sheet.find(
        outcome, bands, because=f"The absorption ratio is {brief(ratio)}: {label}.", measured=ratio, decides=False
    )


def _polarization(sheet: Sheet, request: Mapping[str, Any], index: Quantity, minute: Reading) -> None:
    book = sheet.book
    bands, aside = (
        book.bands("insulation/polarization-index-classes"),
        book.constant("insulation/polarization-index-set-aside"),
    )
    sheet.value("polarization_index", index)
    sheet.value("polarization_class", bands.of(index))
    if minute.referred is not None and minute.temperature is not None and minute.referred.gate.si > aside.value.si:
        because = f"The polarization index of {brief(index)} is set aside: one minute reads {brief(minute.referred.gate)} at 40 °C."
        sheet.find(
            Outcome.ACCEPT, aside, because=because, measured=minute.referred.gate, limit=aside.value, decides=False
        )
        return
    thermal_class = request.get("thermal_class")
    limit = book.limit("insulation/polarization-index-minimum" + ("-class-a" if thermal_class == "A" else ""))
    if thermal_class is None:
        sheet.assume("thermal_class", "B or higher, for the polarization index", limit)
    random_wound = winding_kind(book, request) == "random-wound"
    brittle = book.limit("insulation/polarization-index-brittle")
    label = "higher than sound insulation has" if index.si > brittle.value.si else bands.of(index)
    because = f"The polarization index is {brief(index)} ({label})"
    because += "; for a random-wound winding it is information only." if random_wound else "."
    sheet.compare(
        limit, index, because=because, otherwise=Outcome.CAUTION, decides=not random_wound and not minute.void
    )
    if index.si > brittle.value.si:
        because = f"An index of {brief(index)} can mean dried-out, brittle insulation: look at it and tap it."
        sheet.compare(brittle, index, because=because, otherwise=Outcome.CAUTION, decides=False)
