"""What stands in for a silent plate: current, power, speed and power factor, each from a cited table."""

from __future__ import annotations

import math

from millphase.answer import Sheet
from millphase.physics import motor
from millphase.quantity import Quantity
from millphase.questions._connection_plate import PATHS, Plate
from millphase.questions._motor_speed import Speed, from_plate
from millphase.questions.base import View
from millphase.rulebook import Row, Table

POLE_WORDS = {2: "two", 4: "four", 6: "six", 8: "eight"}
# Mains frequency [Hz] to its table of currents, and the voltage [V] of every column.
_CURRENTS = {
    50.0: ("motor/operational-current", {"at_230": 230.0, "at_400": 400.0, "at_500": 500.0, "at_690": 690.0}),
    60.0: ("motor/operational-current-60-hertz", {"at_208": 208.0, "at_230": 230.0, "at_460": 460.0}),
}
_NEAR_HZ = 5.0


def plate_speed(sheet: Sheet, book: View, plate: Plate) -> Speed | None:
    """Number of poles and slip, where the plate gives the speed; a speed that cannot be is refused on any supply."""
    if "speed" not in plate.given:
        return None
    return from_plate(sheet, book, plate.frequency, plate.given["speed"], plate.given.get("poles"), "/nameplate/speed")


def typical_speed(sheet: Sheet, book: View, plate: Plate, power: Quantity | None) -> Speed | None:
    """Speed of a typical four-pole 50 Hz motor of this power; other motors are left without one."""
    if power is None or plate.given.get("poles", 4) != 4 or plate.frequency.si != 50.0:
        return None
    table = book.table("motor/typical-four-pole")
    row = _listed(book, table, power) or table.row_at_or_above("power", power)
    if row is None:
        return None
    sheet.assume("nameplate.speed", row.q("speed"), table)
    rated = sheet.looked_up("speed of a typical four-pole motor of this power", row["speed"])
    return from_plate(sheet, book, plate.frequency, rated, plate.given.get("poles"), "/nameplate/speed")


def _equals(book: View, power: Quantity) -> list[Quantity]:
    """The power, and the standard rating in hp and kW that it stands for."""
    spread = book.limit("motor/rating-spread").value.si
    for row in book.table("motor/standard-ratings").rows():
        both = [row.q("horsepower"), row.q("kilowatts")]
        if any(abs(power.si / each.si - 1.0) <= spread for each in both):
            return [power, *both]
    return [power]


def _listed(book: View, table: Table, power: Quantity) -> Row | None:
    """The row of `table` for this power, in whichever unit the table lists it."""
    spread = book.limit("motor/rating-spread").value.si
    for each in _equals(book, power):
        for row in table.rows():
            if abs(each.si / row.q("power").si - 1.0) <= spread:
                return row
    return None


def _current_table(book: View, plate: Plate, voltage: Quantity) -> tuple[Table, str, Quantity] | None:
    """Table of currents for the plate's frequency, the column nearest to a voltage, and the voltage of that column.

    None where the plate is for neither of the two mains frequencies.
    """
    for hertz, (name, columns) in _CURRENTS.items():
        if abs(plate.frequency.si - hertz) < _NEAR_HZ:
            column = min(columns, key=lambda each: abs(math.log(columns[each] / voltage.si)))
            return book.table(name), column, Quantity.of(columns[column], "V")
    return None


def current_of(sheet: Sheet, book: View, plate: Plate, connection: str, voltage: Quantity) -> Quantity | None:
    """Rated line current in `connection`: the plate's, or another plate current converted, or a table's."""
    if connection in plate.currents:
        return plate.currents[connection]
    for known, current in plate.currents.items():
        return sheet.step(
            f"line current in {connection} from the plate's {known} current", "I = I1 × q / q1", unit="A",
            I1=current, q=PATHS[connection], q1=PATHS[known],
        )  # fmt: skip
    power, found = plate.given.get("power"), _current_table(book, plate, voltage)
    if power is None or found is None:
        return None
    table, column, tabulated = found
    listed = _tabled_current(sheet, book, table, column, power)
    if listed is None:
        return None
    current = sheet.step(
        f"current at the {connection} voltage", "I = It × Ut / U", unit="A", rule=table, It=listed, Ut=tabulated, U=voltage,
    )  # fmt: skip
    sheet.assume("nameplate.current", Quantity.of(round(current.value, 2), "A"), table)
    return current


def _tabled_current(sheet: Sheet, book: View, table: Table, column: str, power: Quantity) -> Quantity | None:
    """Current of a listed rating, or on the straight line between the two ratings a power lies between."""
    row = _listed(book, table, power)
    if row is not None:
        rating = row.q("power")
        if abs(rating.si / power.si - 1.0) > 1e-9:
            sheet.assume("nameplate.power", f"{power}, listed as {rating}", book.table("motor/standard-ratings"))
        return sheet.looked_up(f"rated current of a {rating} motor from the table", row[column])
    lower, upper = table.row_at_or_below("power", power), table.row_at_or_above("power", power)
    if lower is None or upper is None:
        return None
    return sheet.step(
        f"rated current between the table's {lower.q('power')} and {upper.q('power')}", motor.between, unit="A", rule=table,
        x=power, x1=lower.q("power"), k1=lower.q(column), x2=upper.q("power"), k2=upper.q(column),
    )  # fmt: skip


def power_of(sheet: Sheet, book: View, plate: Plate, voltage: Quantity, current: Quantity | None) -> Quantity | None:
    """Rated power: the plate's, or that of the table row whose current is nearest; nothing outside the table."""
    found = _current_table(book, plate, voltage)
    if "power" in plate.given or current is None or found is None:
        return plate.given.get("power")
    table, column, tabulated = found
    referred = sheet.step(
        "current referred to the table's voltage", "It = I × U / Ut", unit="A", rule=table, I=current, U=voltage, Ut=tabulated,
    )  # fmt: skip
    if table.row_at_or_below(column, referred) is None or table.row_at_or_above(column, referred) is None:
        return None
    row = min(table.rows(), key=lambda each: abs(math.log(each.q(column).si / referred.si)))
    sheet.assume("nameplate.power", row.q("power"), table)
    return sheet.looked_up("rated power of the nearest current in the table", row["power"])


def power_factor_of(
    sheet: Sheet, book: View, plate: Plate, speed: Speed | None, voltage: Quantity, current: Quantity | None,
    power: Quantity | None,
) -> Quantity | None:  # fmt: skip
    """Power factor: the plate's, or what fits power, current and the efficiency of plate, class or old motors."""
    if "power_factor" in plate.given:
        found: Quantity = plate.given["power_factor"]
        return found
    if power is None or current is None:
        return None
    share = plate.given.get("efficiency") or _class_efficiency(sheet, book, plate, speed, power)
    least, most = book.limit("motor/least-power-factor"), book.limit("motor/largest-power-factor")
    if share is not None:
        fitted = sheet.step(
            "power factor that fits power, current and efficiency", motor.power_factor, unit="1",
            P=power, U=voltage, I=current, η=share,
        )  # fmt: skip
        if least.value.si <= fitted.si <= most.value.si:
            sheet.assume("nameplate.power_factor", Quantity.of(round(fitted.si, 2), "1"), most)
            return fitted
    table = book.table("motor/typical-four-pole")
    row = _listed(book, table, power) or table.row_at_or_above("power", power)
    if row is None or row["power_factor"].value is None:
        return None
    sheet.assume("nameplate.power_factor", row.q("power_factor"), table)
    return sheet.looked_up("power factor of a typical motor of this power", row["power_factor"])


def _class_efficiency(sheet: Sheet, book: View, plate: Plate, speed: Speed | None, power: Quantity) -> Quantity | None:
    poles = speed.poles if speed else 4
    named = plate.given.get("efficiency_class", "ie1")
    if named == "ie1":
        table = book.table("motor/efficiency-ie1")
        row = _listed(book, table, power) or table.row_at_or_below("power", power)
        if row is None or poles > 6:
            return None
        sheet.assume("nameplate.efficiency", row.q(f"poles_{poles}"), row[f"poles_{poles}"])
        return sheet.looked_up("least efficiency of class IE1 at this power", row[f"poles_{poles}"])
    table = book.table("motor/efficiency-coefficients")
    if poles not in POLE_WORDS:
        return None
    row = table.row_at_or_above("up_to", power, efficiency_class=named, poles=POLE_WORDS[poles])
    if row is None or power.si < 120.0:
        return None
    logarithm = sheet.step(
        "decimal logarithm of the power in kW", "L = log10(P / P0)", unit="1", P=power, P0=Quantity.of(1, "kW")
    )
    share = sheet.step(
        f"least efficiency of class {named.upper()}", motor.least_efficiency, unit="%", rule=table,
        A=row.q("a"), B=row.q("b"), C=row.q("c"), D=row.q("d"), L=logarithm,
    )  # fmt: skip
    sheet.assume("nameplate.efficiency", Quantity.of(round(share.to("%").value, 1), "%"), table)
    return share
