"""The nameplate of a motor: what it says, whether it can be true, and what is filled in where it is silent."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from millphase.answer import Sheet
from millphase.physics import motor
from millphase.quantity import Quantity
from millphase.questions._motor_speed import Speed, from_plate, rated_frequency
from millphase.questions.base import Part, View, contradiction, fields

CONNECTIONS = ["star", "delta", "parallel-star", "series-star", "parallel-delta", "series-delta"]
# Line voltage over the voltage of one part winding, and line current over the current of one part winding.
TURNS = {
    "star": motor.ROOT_3, "delta": 1.0, "parallel-star": motor.ROOT_3, "series-star": 2.0 * motor.ROOT_3,
    "parallel-delta": 1.0, "series-delta": 2.0,
}  # fmt: skip
PATHS = {
    "star": 1.0, "delta": motor.ROOT_3, "parallel-star": 2.0, "series-star": 1.0,
    "parallel-delta": 2.0 * motor.ROOT_3, "series-delta": motor.ROOT_3,
}  # fmt: skip
POLE_WORDS = {2: "two", 4: "four", 6: "six", 8: "eight"}


def _voltage(words: str) -> fields.Quantity:
    return fields.Quantity("voltage", low="20 V", high="1000 V", help=words)


def _current(words: str) -> fields.Quantity:
    return fields.Quantity("current", low="50 mA", high="2000 A", help=words)


class Nameplate(Part):
    """What the plate of the motor says."""

    delta_voltage = _voltage("Voltage in delta, the lower of the two on a plate such as 230/400 V.")
    star_voltage = _voltage("Voltage in star, the higher of the two.")
    delta_current = _current("Line current in delta, the higher of the two.")
    star_current = _current("Line current in star, the lower of the two.")
    low_voltage = _voltage("Lower voltage of a motor with nine or twelve leads.")
    high_voltage = _voltage("Higher voltage of a motor with nine or twelve leads.")
    low_current = _current("Line current at the lower voltage.")
    high_current = _current("Line current at the higher voltage.")
    frequency = fields.Quantity("frequency", low="16 Hz", high="400 Hz", help="Rated frequency.")
    power = fields.Quantity("power", low="10 W", high="500 kW", help="Rated shaft power.")
    speed = fields.Quantity("rotational-frequency", low="100 r/min", high="24000 r/min", help="Speed at rated load.")
    poles = fields.WholeChoice([2, 4, 6, 8, 10, 12], help="Number of poles, if the plate gives it.")
    power_factor = fields.Quantity("ratio", low="0.2", high="1", bare=True, help="Power factor (cos φ).")
    efficiency = fields.Quantity("ratio", low="10 %", high="100 %", help="Efficiency at rated load.")
    efficiency_class = fields.Choice(["ie1", "ie2", "ie3", "ie4"], help="Efficiency class, if the plate gives one.")
    thermal_class = fields.Choice(["A", "E", "B", "F", "H"], help="Thermal class of the insulation.")
    built_for_drive = fields.Flag(help="True if plate or maker says the winding is built for a drive.")


@dataclass(frozen=True)
class Plate:
    """A plate that can be true.

    Attributes
    ----------
    leads : str
        Row group of the link tables: three, six, nine-wye, nine-delta or twelve.
    voltages, currents : mapping
        Plate values by connection; only what the plate says.
    rated_winding : Quantity
        Voltage one part winding is made for.
    frequency : Quantity
        Rated frequency.
    given : mapping
        The plate's fields as sent.
    """

    leads: str
    voltages: Mapping[str, Quantity]
    currents: Mapping[str, Quantity]
    rated_winding: Quantity
    frequency: Quantity
    given: Mapping[str, Any]

    @property
    def highest_voltage(self) -> Quantity:
        """Highest voltage on the plate: no connection may ask more of the insulation."""
        return max(self.voltages.values(), key=lambda voltage: voltage.si)

    @property
    def pair(self) -> str:
        """The plate's voltages as they are spoken of, e.g. 230/400 V."""
        numbers = sorted({voltage.value for voltage in self.voltages.values()})
        return "/".join(f"{number:g}" for number in numbers) + " V"


def read(sheet: Sheet, book: View, request: dict[str, Any]) -> Plate:
    """Read the plate, refuse it where it contradicts itself, and find rated winding voltage and frequency."""
    given = request["nameplate"]
    leads = lead_group(request)
    names = _names(request, given)
    _check_pair(book, given, names, "voltage", "connection/plate-voltage-spread", rising=True)
    _check_pair(book, given, names, "current", "connection/plate-current-spread", rising=False)
    voltages = {
        connection: given[f"{name}_voltage"] for connection, name in names.items() if f"{name}_voltage" in given
    }
    if not voltages:
        fields_wanted = "low_voltage or high_voltage" if request["leads"] > 6 else "delta_voltage or star_voltage"
        raise contradiction("/nameplate", f"without a rated voltage no connection can be chosen; read {fields_wanted}")
    if leads == "three":
        voltages = _inside(request, voltages)
    currents = {c: given[f"{n}_current"] for c, n in names.items() if f"{n}_current" in given}
    first = next(connection for connection in names if connection in voltages)
    rated = sheet.step(
        f"voltage the winding is made for, from the plate's {first} voltage", motor.winding_voltage, unit="V",
        rule=book.rule("connection/plate-voltages"), U=voltages[first], m=TURNS[first],
    )  # fmt: skip
    frequency = rated_frequency(
        sheet, book, request["wiring_rules"], given.get("frequency"), given.get("speed"), "nameplate.frequency"
    )
    return Plate(leads, voltages, currents, rated, frequency, given)


def lead_group(request: dict[str, Any]) -> str:
    """Row group of the link tables for the leads of a request."""
    count, arrangement = request["leads"], request.get("arrangement")
    if count in (3, 6):
        if arrangement:
            raise contradiction(
                "/arrangement", "only nine or twelve leads have an arrangement; count the leads or leave it out"
            )
        return "three" if count == 3 else "six"
    return "twelve" if count == 12 else f"nine-{arrangement or 'wye'}"


def _names(request: dict[str, Any], given: Mapping[str, Any]) -> dict[str, str]:
    """Connection to the word its plate fields begin with, the low-voltage connection first."""
    star_delta = [name for name in given if name.startswith(("delta_", "star_"))]
    low_high = [name for name in given if name.startswith(("low_", "high_"))]
    if star_delta and low_high:
        raise contradiction(
            f"/nameplate/{low_high[0]}", "a plate gives delta and star or low and high, not both; keep one pair"
        )
    if request["leads"] in (3, 6):
        return {"delta": "low", "star": "high"} if low_high else {"delta": "delta", "star": "star"}
    if star_delta:
        raise contradiction(
            f"/nameplate/{star_delta[0]}",
            "nine or twelve leads have a low and a high voltage; enter low_voltage and high_voltage from the plate",
        )
    kind = "delta" if request.get("arrangement") == "delta" else "star"
    return {f"parallel-{kind}": "low", f"series-{kind}": "high"}


def _check_pair(
    book: View, given: Mapping[str, Any], names: Mapping[str, str], what: str, rule: str, *, rising: bool
) -> None:
    first, second = (f"{name}_{what}" for name in names.values())
    if first not in given or second not in given:
        return
    small, large = (given[first], given[second]) if rising else (given[second], given[first])
    if small.si >= large.si:
        order = "below" if rising else "above"
        raise contradiction(f"/nameplate/{first}", f"{first} must be {order} {second}; read both again")
    nominal = motor.ROOT_3 if "delta" in names and "star" in names else 2.0
    spread = book.limit(rule).value
    if abs(large.si / small.si / nominal - 1.0) > spread.si:
        raise contradiction(
            f"/nameplate/{second}",
            f"{small} and {large} are not in the ratio {nominal:.3g} within {spread} as one winding would have them; read the plate again",
        )


def _inside(request: dict[str, Any], voltages: dict[str, Quantity]) -> dict[str, Quantity]:
    """With three leads only the connection made inside counts."""
    present = request.get("present_connection")
    if present in voltages:
        return {present: voltages[present]}
    if present:
        raise contradiction(
            "/present_connection",
            f"the plate gives no {present} voltage; enter the voltage of the connection made inside",
        )
    if len(voltages) > 1:
        raise contradiction(
            "/leads",
            "three leads suit one voltage and the plate names two; count the leads, or say in present_connection how the inside is made",
        )
    return voltages


def speed_of(sheet: Sheet, book: View, plate: Plate, power: Quantity | None) -> Speed | None:
    """Number of poles and slip; a plate without speed is filled from the table of typical motors."""
    rated = plate.given.get("speed") or _typical_speed(sheet, book, plate, power)
    if rated is None:
        return None
    return from_plate(sheet, book, plate.frequency, rated, plate.given.get("poles"), "/nameplate/speed")


def _typical_speed(sheet: Sheet, book: View, plate: Plate, power: Quantity | None) -> Quantity | None:
    if power is None or plate.given.get("poles", 4) != 4 or plate.frequency.si != 50.0:
        return None
    table = book.table("motor/typical-four-pole")
    row = table.row_at_or_above("power", power)
    if row is None:
        return None
    sheet.assume("nameplate.speed", row.q("speed"), table)
    return sheet.looked_up("speed of a typical four-pole motor of this power", row["speed"])


def _current_table(plate: Plate) -> tuple[str, dict[str, float]]:
    if plate.frequency.si < 55.0:
        return "motor/operational-current", {"at_230": 230.0, "at_400": 400.0, "at_500": 500.0, "at_690": 690.0}
    return "motor/operational-current-60-hertz", {"at_208": 208.0, "at_230": 230.0, "at_460": 460.0}


def current_of(sheet: Sheet, book: View, plate: Plate, connection: str, voltage: Quantity) -> Quantity | None:
    """Rated line current in `connection`: the plate's, or another plate current converted, or a table's."""
    if connection in plate.currents:
        return plate.currents[connection]
    for known, current in plate.currents.items():
        return sheet.step(
            f"line current in {connection} from the plate's {known} current", "I = I1 × q / q1", unit="A",
            I1=current, q=PATHS[connection], q1=PATHS[known],
        )  # fmt: skip
    power = plate.given.get("power")
    if power is None:
        return None
    name, columns = _current_table(plate)
    table = book.table(name)
    row = table.row_at_or_above("power", power)
    if row is None:
        return None
    column = min(columns, key=lambda c: abs(math.log(columns[c] / voltage.si)))
    listed = sheet.looked_up("rated current from the table", row[column])
    current = sheet.step(
        f"current at the {connection} voltage", "I = It × Ut / U", unit="A", rule=table,
        It=listed, Ut=Quantity.of(columns[column], "V"), U=voltage,
    )  # fmt: skip
    sheet.assume("nameplate.current", Quantity.of(round(current.value, 2), "A"), table)
    return current


def power_of(sheet: Sheet, book: View, plate: Plate, voltage: Quantity, current: Quantity | None) -> Quantity | None:
    """Rated power: the plate's, or that of the table row whose current the motor reaches."""
    if "power" in plate.given or current is None:
        return plate.given.get("power")
    name, columns = _current_table(plate)
    table = book.table(name)
    column = min(columns, key=lambda c: abs(math.log(columns[c] / voltage.si)))
    referred = sheet.step(
        "current referred to the table's voltage", "It = I × U / Ut", unit="A", rule=table,
        I=current, U=voltage, Ut=Quantity.of(columns[column], "V"),
    )  # fmt: skip
    row = table.row_at_or_below(column, referred)
    if row is None:
        return None
    sheet.assume("nameplate.power", row.q("power"), table)
    return sheet.looked_up("rated power from the table", row["power"])


def check_power(sheet: Sheet, book: View, plate: Plate, voltage: Quantity, current: Quantity | None) -> None:
    """Refuse a plate that gives more than it takes, or more than any small motor can."""
    given = plate.given
    if "power" not in given or current is None or not plate.currents:
        return
    if "power_factor" in given:
        share = sheet.step(
            "efficiency that the plate implies", motor.efficiency, unit="%",
            P=given["power"], U=voltage, I=current, k=given["power_factor"],
        )  # fmt: skip
        if share.si > book.limit("motor/largest-efficiency").value.si:
            raise contradiction(
                "/nameplate/power",
                f"{given['power']} from {voltage}, {current} and power factor {given['power_factor']} would be an efficiency of "
                f"{100 * share.si:.4g} %; read power, current and power factor again",
            )
        return
    ratio = sheet.step(
        "power over volt-amperes", motor.power_per_volt_ampere, unit="1", P=given["power"], U=voltage, I=current
    )
    most = book.limit("motor/largest-power-per-volt-ampere").value
    if ratio.si > most.si:
        raise contradiction(
            "/nameplate/power",
            f"{given['power']} is {ratio.si:.3g} of the volt-amperes at {voltage} and {current}, over {most}; read power and current again",
        )


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
    row = table.row_at_or_above("power", power)
    if row is None or row["power_factor"].value is None:
        return None
    sheet.assume("nameplate.power_factor", row.q("power_factor"), table)
    return sheet.looked_up("power factor of a typical motor of this power", row["power_factor"])


def _class_efficiency(sheet: Sheet, book: View, plate: Plate, speed: Speed | None, power: Quantity) -> Quantity | None:
    poles = speed.poles if speed else 4
    named = plate.given.get("efficiency_class", "ie1")
    if named == "ie1":
        table = book.table("motor/efficiency-ie1")
        row = table.row_at_or_below("power", power)
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
