"""What feeds the motor, and what every legal connection makes of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from millphase.answer import Sheet
from millphase.physics import motor
from millphase.quantity import Quantity, number_text
from millphase.questions._connection_plate import TURNS, Plate
from millphase.questions.base import Part, View, contradiction, fields


class FedFrom(Part):
    """What feeds the motor."""

    kind = fields.Choice(["drive", "mains"], required=True, help="A variable-frequency drive, or the mains directly.")
    voltage = fields.Quantity(
        "voltage",
        low="90 V",
        high="1000 V",
        help="Mains voltage: of the motor, or of the drive's input. Line to line for three phases.",
    )
    phases = fields.WholeChoice([1, 3], help="Phases of the mains.")
    frequency = fields.Quantity("frequency", low="16 Hz", high="400 Hz", help="Mains frequency.")
    output_voltage = fields.Quantity(
        "voltage",
        low="90 V",
        high="1000 V",
        help="Highest output voltage of the drive; without a boost stage that of its input.",
    )
    maximum_frequency = fields.Quantity(
        "frequency", low="10 Hz", high="4 kHz", help="Highest output frequency of the drive."
    )


@dataclass(frozen=True)
class Supply:
    """What reaches the motor's terminals."""

    kind: str
    voltage: Quantity
    input_voltage: Quantity
    frequency: Quantity
    maximum_frequency: Quantity | None

    @property
    def is_drive(self) -> bool:
        """Whether voltage and frequency can be set."""
        return self.kind == "drive"


@dataclass(frozen=True)
class Candidate:
    """One legal connection with what the supply makes of it.

    Attributes
    ----------
    on_plate, offered : bool
        Whether the plate gives it, and whether it asks no more of the insulation than the plate.
    state : str
        low, rated or high: the flux against zones A and B.
    """

    connection: str
    rated_voltage: Quantity
    on_plate: bool
    offered: bool
    ratio: Quantity
    flux: Quantity
    torque: Quantity
    full_torque_up_to: Quantity
    load_current: Quantity | None
    state: str


def read_supply(sheet: Sheet, book: View, request: dict[str, Any], plate: Plate) -> Supply | None:
    """The supply, or None where it has one phase and no drive."""
    fed = request["fed_from"]
    if fed["kind"] == "mains":
        for name in ("output_voltage", "maximum_frequency"):
            if name in fed:
                raise contradiction(
                    f"/fed_from/{name}", "the mains has no such setting; leave it out, or say kind drive"
                )
        if "voltage" not in fed:
            raise contradiction("/fed_from", "the mains voltage is missing; measure it between two line conductors")
        if fed.get("phases", 3) == 1:
            return None
        if "phases" not in fed:
            sheet.assume("fed_from.phases", "3", book.rule("connection/three-phase-supply"))
        return Supply("mains", fed["voltage"], fed["voltage"], _mains_frequency(sheet, book, request), None)
    if "output_voltage" not in fed and "voltage" not in fed:
        raise contradiction(
            "/fed_from", "the drive's output voltage is missing; read it, or the input voltage, from its plate"
        )
    output = fed.get("output_voltage")
    if output is None:
        share = book.constant("connection/drive-output-voltage")
        output = sheet.step(
            "output voltage of the drive", "U = k × Us", unit="V", rule=share, k=share.value, Us=fed["voltage"]
        )
        sheet.assume("fed_from.output_voltage", output, share)
    return Supply("drive", output, fed.get("voltage", output), plate.frequency, fed.get("maximum_frequency"))


def _mains_frequency(sheet: Sheet, book: View, request: dict[str, Any]) -> Quantity:
    if "frequency" in request["fed_from"]:
        found: Quantity = request["fed_from"]["frequency"]
        return found
    usual = book.coefficients("connection/supply-frequency")
    assumed = usual[request["wiring_rules"].replace("-", "_")]
    sheet.assume("fed_from.frequency", assumed, usual)
    return assumed


def legal(request: dict[str, Any], plate: Plate) -> list[str]:
    """Every connection these leads can be put in; a present connection outside it is a contradiction."""
    present = request.get("present_connection")
    possible = {
        "three": list(plate.voltages), "six": ["star", "delta"], "nine-wye": ["series-star", "parallel-star"],
        "nine-delta": ["series-delta", "parallel-delta"],
        "twelve": ["series-star", "series-delta", "parallel-star", "parallel-delta"],
    }[plate.leads]  # fmt: skip
    if present and present not in possible:
        raise contradiction(
            "/present_connection",
            f"{request['leads']} leads can be connected in {' or '.join(possible)}; look at the links again or correct leads and arrangement",
        )
    return possible


def evaluate(sheet: Sheet, book: View, plate: Plate, supply: Supply, connection: str) -> Candidate:
    """Voltage, flux and torque of one connection on this supply."""
    turns = TURNS[connection]
    rated = plate.voltages.get(connection)
    on_plate = rated is not None
    if rated is None:
        what = f"line voltage the winding is made for in {connection}"
        rated = sheet.step(what, "U = Un × m", unit="V", Un=plate.rated_winding, m=turns)
    spread = book.limit("connection/plate-voltage-spread").value
    offered = on_plate or rated.si <= plate.highest_voltage.si * (1.0 + spread.si)
    winding = sheet.step(f"winding voltage in {connection}", motor.winding_voltage, unit="V", U=supply.voltage, m=turns)
    what = f"winding voltage ratio in {connection}"
    ratio = sheet.step(what, motor.voltage_ratio, unit="1", Uw=winding, Un=plate.rated_winding)
    flux = ratio
    if supply.frequency.si != plate.frequency.si:
        what = f"flux ratio in {connection}"
        flux = sheet.step(what, motor.flux_ratio, unit="1", r=ratio, fn=plate.frequency, f=supply.frequency)
    state = _state(book, flux)
    what = f"starting and pull-out torque in {connection}, over rated"
    torque = sheet.step(what, motor.torque_ratio, unit="1", φ=flux)
    load = None
    if state == "low":
        what = f"winding current at rated torque in {connection}, over rated"
        load = sheet.step(what, motor.load_current_ratio, unit="1", φ=flux)
    full = plate.frequency
    if supply.is_drive:
        what = f"frequency up to which {connection} gives rated torque"
        full = sheet.step(what, motor.full_torque_frequency, unit="Hz", fn=plate.frequency, r=ratio)
    return Candidate(connection, rated, on_plate, offered, ratio, flux, torque, full, load, state)


def _state(book: View, flux: Quantity) -> str:
    if flux.si > 1.0 + book.limit("connection/zone-b-voltage").value.si + 1e-9:
        return "high"
    return "low" if flux.si < 1.0 - book.limit("connection/zone-a-voltage").value.si - 1e-9 else "rated"


def nearest(book: View, candidates: list[Candidate], supply: Supply) -> Candidate:
    """The offered connection whose flux is nearest to rated.

    A drive can hold back voltage it has to spare but cannot make up what it lacks, so on a drive a connection with
    enough voltage comes before one without.
    """
    pool = [candidate for candidate in candidates if candidate.offered]
    if supply.is_drive:
        least = book.limit("connection/least-flux-ratio").value
        pool = [candidate for candidate in pool if candidate.ratio.si >= least.si - 1e-9] or pool
    return min(pool, key=lambda candidate: max(candidate.flux.si, 1.0 / candidate.flux.si))


def extended(book: View, candidates: list[Candidate]) -> Candidate | None:
    """The connection for the extended range: one the plate gives, with voltage to spare; None where there is none."""
    spare = 1.0 + book.limit("connection/zone-b-voltage").value.si
    pool = [candidate for candidate in candidates if candidate.offered and candidate.ratio.si > spare]
    return min(pool, key=lambda candidate: (not candidate.on_plate, candidate.ratio.si), default=None)


def raised_base(sheet: Sheet, plate: Plate, chosen: Candidate) -> Quantity:
    """Base frequency of the extended range: where the higher voltage gives rated voltage per hertz."""
    return sheet.step(
        "raised base frequency", motor.extended_base_frequency, unit="Hz", fn=plate.frequency, r=chosen.ratio
    )


def percent(quantity: Quantity) -> str:
    """A ratio as a percentage with three digits."""
    return f"{number_text(100.0 * quantity.si, 3)} %"


def short(quantity: Quantity, digits: int = 3) -> str:
    """A quantity as sentences give it."""
    return f"{number_text(quantity.value, digits)} {quantity.unit}"


def effect_of(supply: Supply, candidate: Candidate) -> str:
    """What a connection does, in words."""
    flux = "" if candidate.flux.si == candidate.ratio.si else f" and {percent(candidate.flux)} of its flux"
    start = f"the winding gets {percent(candidate.ratio)} of its voltage{flux}"
    if candidate.state == "high":
        harm = "the iron saturates, the no-load current rises many times over and the winding burns in minutes"
        if supply.is_drive:
            return f"{start}: unless the drive is set to {short(candidate.rated_voltage)} {harm}"
        return f"{start}: {harm}"
    if candidate.state == "rated" or candidate.load_current is None:
        return f"{start} and the motor gives its rated torque"
    where = f", full torque lasts only to {short(candidate.full_torque_up_to)}" if supply.is_drive else ""
    return (
        f"{start}, starting and pull-out torque fall to {percent(candidate.torque)}{where}, "
        f"and rated torque takes about {percent(candidate.load_current)} of rated current or stalls the motor"
    )


def row_of(plate: Plate, supply: Supply, candidate: Candidate, *, chosen: bool) -> dict[str, Any]:
    """One line of the table of candidates."""
    row: dict[str, Any] = {
        "connection": candidate.connection, "rated_voltage": candidate.rated_voltage, "on_plate": candidate.on_plate,
        "chosen": chosen, "winding_voltage_ratio": candidate.ratio, "flux_ratio": candidate.flux,
        "torque_ratio": candidate.torque, "effect": effect_of(supply, candidate),
    }  # fmt: skip
    if candidate.load_current is not None:
        row["load_current_ratio"] = candidate.load_current
    if supply.is_drive:
        row["full_torque_up_to"] = candidate.full_torque_up_to
    if candidate.connection in plate.currents:
        row["line_current"] = plate.currents[candidate.connection]
    return row
