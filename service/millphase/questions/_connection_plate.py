"""The nameplate of a motor: what it says, and whether it can be true."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from millphase.answer import Sheet
from millphase.physics import motor
from millphase.quantity import Quantity, significant
from millphase.questions._motor_speed import rated_frequency
from millphase.questions.base import Outcome, Part, View, contradiction, fields

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
    second_speed = fields.Quantity(
        "rotational-frequency", low="50 r/min", high="24000 r/min", help="The other speed of a two-speed motor."
    )
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


def has_voltage(given: Mapping[str, Any]) -> bool:
    """Whether the plate gives any voltage."""
    return any(name in given for name in ("delta_voltage", "star_voltage", "low_voltage", "high_voltage"))


def read(sheet: Sheet, book: View, request: dict[str, Any]) -> Plate:
    """Read a plate with a voltage, refuse it where it contradicts itself, and find rated winding voltage and frequency."""
    given = request["nameplate"]
    leads = lead_group(request)
    names = _names(request, given)
    _check_voltages(book, given, names)
    _check_currents(book, given, names)
    voltages = {
        connection: given[f"{name}_voltage"] for connection, name in names.items() if f"{name}_voltage" in given
    }
    if leads == "three":
        voltages = _inside(request, voltages)
    currents = {c: given[f"{n}_current"] for c, n in names.items() if f"{n}_current" in given}
    first = next(connection for connection in names if connection in voltages)
    rated = sheet.step(
        f"voltage the winding is made for, from the plate's {first} voltage", motor.winding_voltage, unit="V",
        rule=book.rule("connection/plate-voltages"), U=voltages[first], m=TURNS[first],
    )  # fmt: skip
    many = book.constant("connection/many-leads-frequency") if request["leads"] > 6 else None
    frequency = rated_frequency(
        sheet, book, request["wiring_rules"], given.get("frequency"), given.get("speed"), "nameplate.frequency", many
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


def _check_voltages(book: View, given: Mapping[str, Any], names: Mapping[str, str]) -> None:
    """Refuse two voltages that one winding cannot have."""
    first, second = (f"{name}_voltage" for name in names.values())
    if first not in given or second not in given:
        return
    low, high = given[first], given[second]
    if low.si >= high.si:
        raise contradiction(f"/nameplate/{first}", f"{first} must be below {second}; read both again")
    nominal = _fixed_ratio(names)
    spread = book.limit("connection/plate-voltage-spread").value
    if abs(high.si / low.si / nominal - 1.0) <= spread.si:
        return
    hint = "of a range such as 208-230/460 V enter 230 and 460 V"
    if nominal < 2.0 and abs(high.si / low.si / 2.0 - 1.0) <= spread.si:
        hint = "a ratio of two belongs to nine or twelve leads, so count the leads"
    raise contradiction(
        f"/nameplate/{second}",
        f"{low} and {high} are not in the ratio {nominal:.3g} within {spread} as one winding would have them; read the plate again; {hint}",
    )


def _check_currents(book: View, given: Mapping[str, Any], names: Mapping[str, str]) -> None:
    """Refuse two currents that one winding cannot have, whatever the printing has rounded away."""
    first, second = (f"{name}_current" for name in names.values())
    if first not in given or second not in given:
        return
    large, small = given[first], given[second]
    if small.si >= large.si:
        raise contradiction(f"/nameplate/{first}", f"{first} must be above {second}; read both again")
    nominal = _fixed_ratio(names)
    spread = book.limit("connection/plate-current-spread").value
    rounding = book.constant("connection/plate-current-rounding").value.si
    least = (large.si - rounding) / (small.si + rounding)
    # A small current that may be all rounding bounds nothing from above.
    fits_above = small.si <= rounding or (large.si + rounding) / (small.si - rounding) >= nominal * (1.0 - spread.si)
    if least > nominal * (1.0 + spread.si) or not fits_above:
        raise contradiction(
            f"/nameplate/{second}",
            f"{small} and {large} are not in the ratio {nominal:.3g} within {spread} and rounding as one winding would have them; read the plate again",
        )


def _fixed_ratio(names: Mapping[str, str]) -> float:
    """High over low voltage: star over delta, or two halves in series over the same in parallel."""
    return motor.ROOT_3 if "delta" in names and "star" in names else 2.0


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


def check_power(sheet: Sheet, book: View, plate: Plate) -> None:
    """Refuse a plate that gives more than it takes, or more than any small motor can; doubt one that gives too little."""
    given = plate.given
    if "power" not in given or not plate.currents:
        return
    # Voltage and current of one connection, so that a refusal speaks of what is printed.
    connection = next((each for each in plate.currents if each in plate.voltages), next(iter(plate.currents)))
    current, voltage = plate.currents[connection], plate.voltages.get(connection)
    if voltage is None:
        voltage = Quantity.of(significant(plate.rated_winding.si * TURNS[connection], 4), "V")
    ratio = sheet.step(
        "power over volt-amperes", motor.power_per_volt_ampere, unit="1", P=given["power"], U=voltage, I=current
    )
    if "power_factor" in given:
        _check_efficiency(sheet, book, plate, voltage, current)
    elif "efficiency" in given and ratio.si > given["efficiency"].si * (1.0 + 1e-9):
        raise contradiction(
            "/nameplate/efficiency",
            f"{given['power']} from {voltage} and {current} at an efficiency of {given['efficiency']} would be a power factor over 1; "
            "read power, current and efficiency again",
        )
    most = book.limit("motor/largest-power-per-volt-ampere")
    if ratio.si > most.value.si:
        raise contradiction(
            "/nameplate/power",
            f"{given['power']} is {ratio.si:.3g} of the volt-amperes at {voltage} and {current}, over {most.value}; read power and current again",
        )
    least = book.limit("motor/least-power-per-volt-ampere")
    if ratio.si < least.value.si:
        because = f"{given['power']} is little for {current} at {voltage}; one of them is misread, most often by a decimal place."
        sheet.compare(least, ratio, otherwise=Outcome.CAUTION, because=because)
        sheet.next_step("Read power and current on the plate again before the thermal protection is set.")


def _check_efficiency(sheet: Sheet, book: View, plate: Plate, voltage: Quantity, current: Quantity) -> None:
    """Efficiency implied by power, current and power factor against one, and against the plate's own."""
    given = plate.given
    share = sheet.step(
        "efficiency that the plate implies", motor.efficiency, unit="%",
        P=given["power"], U=voltage, I=current, k=given["power_factor"],
    )  # fmt: skip
    stated = f"{given['power']} from {voltage}, {current} and power factor {given['power_factor']} would be an efficiency of {100 * share.si:.4g} %"
    if share.si > book.limit("motor/largest-efficiency").value.si:
        raise contradiction("/nameplate/power", f"{stated}; read power, current and power factor again")
    spread = book.limit("motor/plate-power-spread").value
    if "efficiency" in given and abs(share.si / given["efficiency"].si - 1.0) > spread.si:
        raise contradiction(
            "/nameplate/efficiency",
            f"{stated}, and the plate is said to give {given['efficiency']}; read all four again",
        )
