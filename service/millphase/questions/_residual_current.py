"""Request parts and small look-ups that the questions on residual currents share."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from millphase.answer import Sheet
from millphase.quantity import Quantity, significant
from millphase.questions.base import Part, View, contradiction, fields
from millphase.rulebook.book import RuleWithdrawn
from millphase.rulebook.model import Limit, Row, Table

TYPES = ["AC", "A", "F", "B"]  # each also detects what those before it detect
INTERRUPTERS = ["class-a-gfci", "class-c-gfci"]
INTERRUPTER_NAMES = {
    "class-a-gfci": "class A ground-fault interrupter", "class-c-gfci": "class C ground-fault interrupter",
}  # fmt: skip
EARTHINGS = ["tn-s", "tn-c-s", "tt", "it"]
INPUTS = ["line-neutral", "line-line", "three-phase"]


class RcdPart(Part):
    """The label of a residual current device."""

    rated_residual_current = fields.Quantity(
        "current", low="4 mA", high="30 A", required=True, help="Rated residual current on the label, e.g. 30 mA."
    )
    type = fields.Choice(
        TYPES + INTERRUPTERS,
        help="Type on the label; leave it out while it is not known. North American devices have a class instead.",
    )
    delay = fields.Choice(["none", "short", "selective"], help="Delay mark: none, short (G or K) or selective (S).")


class SupplyPart(Part):
    """The supply at the device."""

    voltage = fields.Quantity(
        "voltage", low="50 V", high="500 V", help="Line to earth; 120 V on a 120/240 V supply. Default by wiring rules."
    )
    frequency = fields.Quantity("frequency", low="40 Hz", high="70 Hz", help="Default by wiring rules.")
    earthing = fields.Choice(EARTHINGS, help="How the supply is earthed.")
    electrode_resistance = fields.Quantity(
        "resistance", low="0.1 ohm", high="100 kohm", help="Measured resistance of the earth electrode of a TT supply."
    )


@dataclass(frozen=True)
class Supply:
    """Supply in force for a calculation."""

    voltage: Quantity
    frequency: Quantity
    earthing: str
    electrode_resistance: Quantity | None


@dataclass(frozen=True)
class Thresholds:
    """Residual currents between which a device may or may not trip on a sine."""

    rating: Quantity
    no_trip: Quantity
    must_trip: Quantity
    no_trip_rule: Limit
    must_trip_rule: Limit


def the_row(table: Table, **key: str) -> Row:
    """A row that the procedure cannot do without.

    Raises
    ------
    RuleWithdrawn
        When the rule set in force has taken the row out; the answer then says so.
    """
    row = table.row(**key)
    if row is None:
        raise RuleWithdrawn(table, f"it has no row for {', '.join(key.values())}")
    return row


def supply_in_force(request: dict[str, Any], sheet: Sheet, book: View) -> Supply:
    """The stated supply, with what is missing filled in by the wiring rules and noted as assumed."""
    given = request.get("supply", {})
    table = book.table("leakage/supply-default")
    row = the_row(table, wiring_rules=request["wiring_rules"])
    found = {}
    for name in ("voltage", "frequency"):
        found[name] = given.get(name, row.q(name))
        if name not in given:
            sheet.assume(f"supply/{name}", row.q(name), row[name])
    electrode, earthing = given.get("electrode_resistance"), given.get("earthing", "")
    if electrode is not None and not earthing:
        rule, earthing = book.rule("rcd/electrode-means-tt"), "tt"
        sheet.assume("supply/earthing", earthing, rule)
    return Supply(found["voltage"], found["frequency"], earthing, electrode)


def thresholds(rcd: dict[str, Any], sheet: Sheet, book: View, pointer: str = "/rcd") -> Thresholds:
    """Where the device holds and where it must trip, by its rating or its class."""
    rating, kind = rcd["rated_residual_current"], rcd.get("type")
    if kind in INTERRUPTERS:
        hold, trip = book.limit(f"rcd/{kind}-no-trip"), book.limit(f"rcd/{kind}-must-trip")
        if not hold.value.si <= rating.si <= trip.value.si * (1 + 1e-9):
            raise contradiction(
                f"{pointer}/rated_residual_current",
                f"a {kind} trips between {hold.value} and {trip.value}, not at {rating}; read the label again",
            )
        return Thresholds(trip.value, hold.value, trip.value, hold, trip)
    hold, trip = book.limit("rcd/no-trip-share"), book.limit("rcd/certain-trip-share")
    half = sheet.step(
        "residual current up to which the RCD must hold", "I = k × In", unit="mA", rule=hold, k=hold.value, In=rating
    )
    return Thresholds(rating, half, rating, hold, trip)


def budget_limit(request: dict[str, Any], book: View) -> Limit:
    """The share of the rating that the wiring rules in force leave to standing leakage."""
    return book.limit(f"leakage/budget-share-{request['wiring_rules']}")


def said(value: Quantity) -> str:
    """A quantity as a sentence says it: three significant digits."""
    return str(Quantity.of(significant(value.value, 3), value.unit))


def said_against(value: Quantity, limit: Quantity) -> str:
    """A quantity as a sentence says it beside a limit: with as many more digits as tell the two apart."""
    shown = [str(Quantity.of(significant(value.value, digits), value.unit)) for digits in range(3, 8)]
    if value.si == limit.si:
        return shown[0]
    return next((words for words in shown if words != said(limit.to(value.unit))), shown[-1])


def said_at_most(limit: Quantity) -> str:
    """A greatest value as a sentence says it: four significant digits, rounded down so that it is never overstated."""
    digits = 3 - math.floor(math.log10(limit.value))
    return str(Quantity.of(math.floor(limit.value * 10**digits * (1 + 1e-9)) / 10**digits, limit.unit))


def type_rank(kind: str) -> int:
    """Place in the order of types."""
    return TYPES.index(kind)
