"""Which connection suits the supply: star, delta or their parallel and series forms, links and drive settings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from millphase.answer import Answer, Sheet
from millphase.physics import motor
from millphase.quantity import Quantity, number_text
from millphase.questions import _connection_links as links
from millphase.questions import _connection_plate as plates
from millphase.questions import _connection_settings as settings
from millphase.questions._connection_plate import CONNECTIONS, TURNS, Plate
from millphase.questions.base import Outcome, Part, Question, Request, View, contradiction, fields, out


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


class ConnectionRequest(Request):
    """Nameplate, leads, and what feeds the motor."""

    nameplate = fields.Part(plates.Nameplate, required=True, help="What the motor's plate says.")
    leads = fields.WholeChoice(
        [3, 6, 9, 12], required=True, help="Leads or terminals of the winding, earth not counted."
    )
    marking = fields.Choice(
        [*links.MARKINGS, "unmarked"],
        help="How the leads are marked: iec U1 V1 W1 U2 V2 W2, din U V W X Y Z, gost C1 to C6, bs A1 A2 B1 B2 C1 C2, nema T1 to T12.",
    )
    arrangement = fields.Choice(
        ["wye", "delta"], help="For nine and twelve leads: the connection the plate's voltages hold for."
    )
    fed_from = fields.Part(FedFrom, required=True, help="What feeds the motor.")
    present_connection = fields.Choice(CONNECTIONS, help="How the motor is connected now.")
    extended_range = fields.Flag(
        help="True to ask for the low-voltage connection on a drive of the high voltage, with the base frequency raised to match."
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
    """One legal connection with what the supply makes of it."""

    connection: str
    rated_voltage: Quantity
    on_plate: bool
    offered: bool
    ratio: Quantity
    flux: Quantity
    torque: Quantity
    full_torque_up_to: Quantity


def answer(request: dict[str, Any], book: View) -> Answer:
    """Plate, supply, every legal connection, the best of them, then links and settings."""
    sheet = QUESTION.sheet(book)
    plate = plates.read(sheet, book, request)
    supply = _supply(sheet, book, request, plate)
    if supply is None:
        return _no_three_phases(sheet, book, request)
    candidates = [_candidate(sheet, book, plate, supply, connection) for connection in _legal(request, plate)]
    wanted = bool(request.get("extended_range"))
    best = _best(candidates, supply, extended=wanted)
    base = _raised_base(sheet, book, plate, supply, best) if wanted else None
    current = plates.current_of(sheet, book, plate, best.connection, best.rated_voltage)
    plates.check_power(sheet, book, plate, best.rated_voltage, current)
    _judge(sheet, book, plate, supply, best, base=base, wanted=wanted)
    suitable = sheet.outcome is not Outcome.REJECT
    present = _judge_present(sheet, book, request, supply, candidates, best, extended=base is not None)
    shown = present if present and suitable else best
    sheet.value("connection", best.connection)
    sheet.value("winding_voltage_ratio", shown.ratio)
    sheet.value("torque_ratio", shown.torque)
    if supply.is_drive:
        sheet.value("full_torque_up_to", base if base is not None and shown is best else shown.full_torque_up_to)
    if current is not None:
        sheet.value("line_current", Quantity.of(round(current.value, 4), "A"))
    sheet.value("candidates", [_row(plate, supply, candidate, best, suitable=suitable) for candidate in candidates])
    _cautions(sheet, supply)
    if not suitable:
        return _unsuitable(sheet, book, plate, supply, best)
    joined = _links(sheet, book, request, plate, best)
    if supply.is_drive:
        settings.write(sheet, book, plate, best, current, base=base, output=supply.voltage)
    else:
        _moved_frequency(sheet, book, plate, supply, best)
    return _suitable(sheet, plate, supply, best, present, joined, base=base, current=current)


def _supply(sheet: Sheet, book: View, request: dict[str, Any], plate: Plate) -> Supply | None:
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


def _no_three_phases(sheet: Sheet, book: View, request: dict[str, Any]) -> Answer:
    rule = book.rule("connection/three-phase-supply")
    sheet.find(Outcome.REJECT, rule, because="The supply named has one phase and the motor needs three.")
    voltage = request["fed_from"]["voltage"]
    sheet.next_step(
        f"Feed the motor from a drive with a single-phase input of {voltage} and ask again with kind drive.",
        "Or bring in a three-phase supply.",
    )
    sheet.caution("caution/isolate-and-lock-off", "caution/local-code-and-licensed-practice")
    return sheet.answer(
        f"A three-phase motor cannot be connected to a single-phase supply of {voltage}: it needs a drive or three phases."
    )


def _legal(request: dict[str, Any], plate: Plate) -> list[str]:
    present = request.get("present_connection")
    legal = {
        "three": list(plate.voltages), "six": ["star", "delta"], "nine-wye": ["series-star", "parallel-star"],
        "nine-delta": ["series-delta", "parallel-delta"],
        "twelve": ["series-star", "series-delta", "parallel-star", "parallel-delta"],
    }[plate.leads]  # fmt: skip
    if present and present not in legal:
        raise contradiction(
            "/present_connection",
            f"{request['leads']} leads can be connected in {' or '.join(legal)}; look at the links again or correct leads and arrangement",
        )
    return legal


def _candidate(sheet: Sheet, book: View, plate: Plate, supply: Supply, connection: str) -> Candidate:
    rated = plate.voltages.get(connection)
    on_plate = rated is not None
    if rated is None:
        rated = sheet.step(
            f"line voltage the winding is made for in {connection}",
            "U = Un × m",
            unit="V",
            Un=plate.rated_winding,
            m=TURNS[connection],
        )
    spread = book.limit("connection/plate-voltage-spread").value
    offered = on_plate or rated.si <= plate.highest_voltage.si * (1.0 + spread.si)
    winding = sheet.step(
        f"winding voltage in {connection}", motor.winding_voltage, unit="V", U=supply.voltage, m=TURNS[connection]
    )
    ratio = sheet.step(
        f"winding voltage ratio in {connection}", motor.voltage_ratio, unit="1", Uw=winding, Un=plate.rated_winding
    )
    flux = ratio
    if supply.frequency.si != plate.frequency.si:
        flux = sheet.step(
            f"flux ratio in {connection}", motor.flux_ratio, unit="1", r=ratio, fn=plate.frequency, f=supply.frequency
        )
    torque = sheet.step(
        f"starting and pull-out torque in {connection}, over rated", motor.torque_ratio, unit="1", φ=flux
    )
    full = sheet.step(
        f"frequency up to which {connection} gives rated torque", motor.full_torque_frequency, unit="Hz", fn=plate.frequency, r=ratio
    ) if supply.is_drive else plate.frequency  # fmt: skip
    return Candidate(connection, rated, on_plate, offered, ratio, flux, torque, full)


def _best(candidates: list[Candidate], supply: Supply, *, extended: bool) -> Candidate:
    """The offered connection whose flux is nearest to rated; for the extended range the one with the most voltage to spare."""
    offered = [candidate for candidate in candidates if candidate.offered]
    if extended and supply.is_drive:
        return max(offered, key=lambda candidate: candidate.ratio.si)
    return min(offered, key=lambda candidate: max(candidate.flux.si, 1.0 / candidate.flux.si))


def _raised_base(sheet: Sheet, book: View, plate: Plate, supply: Supply, best: Candidate) -> Quantity | None:
    """Base frequency of the extended range, or None where the supply has no voltage to spare."""
    if not supply.is_drive or best.ratio.si <= 1.0 + book.limit("connection/zone-b-voltage").value.si:
        return None
    return sheet.step(
        "raised base frequency", motor.extended_base_frequency, unit="Hz", fn=plate.frequency, r=best.ratio
    )


def _percent(quantity: Quantity) -> str:
    return f"{number_text(100.0 * quantity.si, 3)} %"


def _short(quantity: Quantity, digits: int = 3) -> str:
    return f"{number_text(quantity.value, digits)} {quantity.unit}"


def _judge(
    sheet: Sheet, book: View, plate: Plate, supply: Supply, best: Candidate, *, base: Quantity | None, wanted: bool
) -> None:
    """Findings on the best connection."""
    if not best.on_plate:
        sheet.find(
            Outcome.CAUTION, book.rule("connection/plate-voltages"), measured=best.rated_voltage,
            because=f"The plate does not give {best.connection}; its {_short(best.rated_voltage)} follows from the plate's {plate.pair}.",
        )  # fmt: skip
        sheet.next_step(f"Ask the maker, or look at the winding, whether {best.connection} is meant to be used.")
    if plate.leads == "three":
        sheet.find(
            Outcome.ACCEPT, book.rule("connection/single-voltage-leads"), decides=False,
            because=f"Three leads: the {best.connection} is made inside and suits {_short(best.rated_voltage)} only.",
        )  # fmt: skip
    if wanted and base is None:
        sheet.find(
            Outcome.CAUTION, book.rule("connection/extended-range-current"),
            because="The supply has no voltage to spare over any connection of this motor, so there is no extended range.",
        )  # fmt: skip
    if base is not None:
        _judge_extended(sheet, book, plate, supply, best, base)
    elif supply.is_drive:
        _judge_on_drive(sheet, book, plate, supply, best)
    else:
        _judge_on_mains(sheet, book, plate, supply, best)
    if supply.is_drive:
        _judge_peak(sheet, book, plate, supply)


def _judge_on_drive(sheet: Sheet, book: View, plate: Plate, supply: Supply, best: Candidate) -> None:
    lack = sheet.step("voltage missing at full output", "d = max(1 − r, 0)", unit="%", r=best.ratio)
    sheet.compare(
        book.limit("connection/zone-a-voltage"), lack, otherwise=Outcome.CAUTION,
        because=f"In {best.connection} the drive's {_short(supply.voltage)} gives the winding {_percent(best.ratio)} of its rated voltage.",
    )  # fmt: skip
    sheet.compare(
        book.limit("connection/least-flux-ratio"), best.ratio,
        because=f"Full torque lasts to {_short(best.full_torque_up_to)} of {_short(plate.frequency)}; above that torque falls.",
    )  # fmt: skip
    wide = book.limit("connection/zone-b-voltage")
    excess = sheet.step(
        "output voltage over the highest plate voltage",
        "d = U / Um − 1",
        unit="%",
        U=supply.voltage,
        Um=plate.highest_voltage,
    )
    if excess.si > wide.value.si:
        sheet.compare(
            wide, excess,
            because=f"The plate goes to {_short(plate.highest_voltage)} and the drive puts out {_short(supply.voltage)}; the insulation is not stated for that.",
        )  # fmt: skip
    elif best.ratio.si > 1.0 + wide.value.si:
        sheet.find(
            Outcome.CAUTION, wide, measured=best.ratio,
            because=f"The drive can give the winding {_percent(best.ratio)} of its voltage; only its setting of {_short(best.rated_voltage)} keeps the iron from saturating.",
        )  # fmt: skip


def _judge_on_mains(sheet: Sheet, book: View, plate: Plate, supply: Supply, best: Candidate) -> None:
    shift = sheet.step("frequency deviation", "d = abs(f / fn − 1)", unit="%", f=supply.frequency, fn=plate.frequency)
    moved = shift.si > book.limit("connection/zone-b-frequency").value.si
    sheet.compare(
        book.limit("connection/zone-a-frequency"), shift, otherwise=Outcome.CAUTION,
        because=f"The plate is for {_short(plate.frequency)}, the mains has {_short(supply.frequency)}.",
    )  # fmt: skip
    deviation = sheet.step("deviation from rated voltage per hertz", "d = abs(φ − 1)", unit="%", φ=best.flux)
    because = f"In {best.connection} on {_short(supply.voltage)} the winding gets {_percent(best.ratio)} of its voltage and {_percent(best.flux)} of its flux."
    sheet.compare(book.limit("connection/zone-a-voltage"), deviation, otherwise=Outcome.CAUTION, because=because)
    if moved and best.flux.si < 1.0:
        sheet.compare(book.limit("connection/least-flux-ratio"), best.flux, because=because)
    else:
        sheet.compare(book.limit("connection/zone-b-voltage"), deviation, because=because)
    if plate.given.get("frequency") and plate.frequency.si == 60.0:
        sheet.compare(
            book.limit("connection/voltage-variation-mg1"),
            deviation,
            because=f"{because} United States practice.",
            decides=False,
        )


def _judge_extended(sheet: Sheet, book: View, plate: Plate, supply: Supply, best: Candidate, base: Quantity) -> None:
    excess = sheet.step(
        "output voltage over the highest plate voltage",
        "d = U / Um − 1",
        unit="%",
        U=supply.voltage,
        Um=plate.highest_voltage,
    )
    sheet.compare(
        book.limit("connection/zone-a-voltage"), excess,
        because=f"In {best.connection} the winding sees {_short(supply.voltage)}; the plate's highest is {_short(plate.highest_voltage)}.",
    )  # fmt: skip
    conditions = book.rule("connection/extended-range")
    if supply.maximum_frequency is not None:
        reached = supply.maximum_frequency.si >= base.si
        sheet.find(
            Outcome.ACCEPT if reached else Outcome.REJECT, conditions, measured=supply.maximum_frequency, limit=base,
            because=f"The base frequency must be {_short(base)}; the drive goes to {_short(supply.maximum_frequency)}.",
        )  # fmt: skip
    gain = sheet.step(
        "power over rated power at the raised base frequency", "g = f / fn", unit="1", f=base, fn=plate.frequency
    )
    sheet.compare(
        book.limit("connection/extended-range-power"), gain, otherwise=Outcome.CAUTION,
        because=f"At {_short(base)} the motor can give {number_text(gain.si, 3)} times its rated power; for long periods use less.",
    )  # fmt: skip
    thermal = plate.given.get("thermal_class")
    good = thermal in ("F", "H")
    words = f"is {thermal}" if thermal else "is not known"
    outcome = Outcome.ACCEPT if good else Outcome.REJECT if thermal else Outcome.CAUTION
    sheet.find(
        outcome, conditions, because=f"The extended range wants thermal class F or better; the winding's {words}."
    )
    sheet.find(
        Outcome.CAUTION,
        book.rule("connection/extended-range-duty"),
        because="The motor runs hotter and louder; for short periods.",
    )
    sheet.next_step(*book.steps("connection/extended-range"))
    sheet.next_step("Ask spindle-speeds whether motor, belt and spindle stand the raised speed.")


def _judge_peak(sheet: Sheet, book: View, plate: Plate, supply: Supply) -> None:
    """Voltage peaks of the drive against what the insulation stands."""
    feeding = max(supply.voltage, supply.input_voltage, key=lambda voltage: voltage.si)
    reflected = book.constant("connection/peak-voltage-reflection")
    peak = sheet.step(
        "voltage peak at the motor terminals, full reflection",
        "Up = k × √(2) × U",
        unit="V",
        rule=reflected,
        k=reflected.value,
        U=feeding,
    )
    general = book.limit("connection/peak-voltage-general-purpose")
    if plate.given.get("built_for_drive"):
        factor = book.constant("connection/peak-voltage-drive-duty")
        withstand = sheet.step(
            "voltage peak a motor built for drives stands",
            "Uw = k × Un",
            unit="V",
            rule=factor,
            k=factor.value,
            Un=plate.highest_voltage,
        )
        sheet.find(
            Outcome.ACCEPT if peak.si <= withstand.si else Outcome.CAUTION, factor, measured=peak, limit=withstand,
            because=f"The motor is said to be built for a drive; peaks reach {_short(peak)}.",
        )  # fmt: skip
        return
    finding = sheet.compare(
        general, peak, otherwise=Outcome.CAUTION,
        because=f"With a long motor cable the peaks reach {_short(peak)}; an old winding was made for the mains.",
    )  # fmt: skip
    sheet.compare(
        book.limit("connection/peak-voltage-maker"), peak, otherwise=Outcome.CAUTION, decides=False,
        because=f"Peaks of {_short(peak)} against one maker's requirement.",
    )  # fmt: skip
    rise = book.constant("connection/drive-rise-time")
    sheet.compare(
        book.limit("connection/rise-time-general-purpose"), rise.value, otherwise=Outcome.CAUTION, decides=False,
        because="Drives switch faster than general-purpose motors were made for; it matters when the peak is near its limit.",
    )  # fmt: skip
    if finding.outcome is not Outcome.ACCEPT:
        sheet.next_step(
            "Keep the motor cable short, or fit an output choke or du/dt filter at the drive, before an old winding runs on it."
        )


def _judge_present(
    sheet: Sheet,
    book: View,
    request: dict[str, Any],
    supply: Supply,
    candidates: list[Candidate],
    best: Candidate,
    *,
    extended: bool,
) -> Candidate | None:
    """The present connection, if it is known and another than the best."""
    present = next((c for c in candidates if c.connection == request.get("present_connection")), None)
    if present is None or present is best:
        return None
    wide = book.limit("connection/zone-b-voltage")
    over = present.flux.si > 1.0 + wide.value.si
    because = f"It is now in {present.connection}, where {_effect(supply, present)}."
    sheet.find(Outcome.REJECT if over else Outcome.CAUTION, wide, measured=present.flux, because=because)
    if over:
        sheet.next_step(f"Do not start the motor in {present.connection}.")
    elif extended:
        sheet.next_step(
            f"{present.connection.capitalize()} is the ordinary connection; go back to it if the extended range is not needed."
        )
    return present


def _effect(supply: Supply, candidate: Candidate) -> str:
    """What a connection does, in words."""
    voltage = _percent(candidate.ratio)
    if candidate.flux.si > 1.1:
        start = f"the winding gets {voltage} of its voltage"
        harm = "the iron saturates, the no-load current rises many times over and the winding burns in minutes"
        if supply.is_drive:
            return f"{start}: unless the drive is set to {_short(candidate.rated_voltage)} {harm}"
        return f"{start}: {harm}"
    if candidate.flux.si >= 0.95:
        return f"the winding gets {voltage} of its voltage and the motor gives its rated torque"
    where = f", and full torque lasts only to {_short(candidate.full_torque_up_to)}" if supply.is_drive else ""
    return (
        f"the winding gets {voltage} of its voltage, starting and pull-out torque fall to {_percent(candidate.torque)}{where}; "
        "under its rated load it draws too much current or stalls"
    )


def _row(plate: Plate, supply: Supply, candidate: Candidate, best: Candidate, *, suitable: bool) -> dict[str, Any]:
    row: dict[str, Any] = {
        "connection": candidate.connection, "rated_voltage": candidate.rated_voltage, "on_plate": candidate.on_plate,
        "chosen": candidate is best and suitable, "winding_voltage_ratio": candidate.ratio, "flux_ratio": candidate.flux,
        "torque_ratio": candidate.torque, "effect": _effect(supply, candidate),
    }  # fmt: skip
    if supply.is_drive:
        row["full_torque_up_to"] = candidate.full_torque_up_to
    if candidate.connection in plate.currents:
        row["line_current"] = plate.currents[candidate.connection]
    return row


def _cautions(sheet: Sheet, supply: Supply) -> None:
    sheet.caution("caution/isolate-and-lock-off")
    if supply.is_drive:
        sheet.caution("caution/dc-link-wait", "caution/no-switching-behind-drive")
    sheet.caution("caution/local-code-and-licensed-practice")


def _links(sheet: Sheet, book: View, request: dict[str, Any], plate: Plate, best: Candidate) -> links.Links | None:
    """Joined terminals in the motor's own marking; without a marking the procedure that finds it."""
    marking = request.get("marking")
    if marking is None:
        table = book.table("connection/marking-by-leads")
        row = table.rows(leads=plate.leads.partition("-")[0])[0]
        marking = row.text("marking")
        sheet.assume("marking", marking, table)
    if plate.leads.startswith(("nine", "twelve")) and "arrangement" not in request:
        sheet.find(
            Outcome.INCONCLUSIVE, book.rule("connection/identify-nine-leads"),
            because=f"{request['leads']} leads can be a wye or a delta, and the links differ.",
        )  # fmt: skip
        sheet.next_step(*book.steps("connection/identify-nine-leads"))
        return None
    found = links.find(book, marking, plate.leads, best.connection)
    if found is None:
        rule = "connection/identify-six-leads" if request["leads"] <= 6 else "connection/identify-nine-leads"
        sheet.find(
            Outcome.INCONCLUSIVE, book.rule(rule),
            because=f"There is no link table for {request['leads']} leads marked {marking}: the leads must be identified first.",
        )  # fmt: skip
        sheet.next_step(*book.steps(rule))
        return None
    sheet.value("links", found.joined)
    sheet.value("lines", [f"L{phase}: {terminal}" for phase, terminal in enumerate(found.lines, start=1)])
    sheet.find(
        Outcome.ACCEPT, found.cited, decides=False,
        because=f"Marking {marking}, {request['leads']} leads, {best.connection}: {_instruction(found)}.",
    )  # fmt: skip
    sheet.next_step(
        f"{_instruction(found).capitalize() if not found.joined else 'J' + _instruction(found)[1:]}; insulate every joint and terminal that carries no line."
    )
    if best.connection.endswith("star") and found.joined:
        sheet.next_step(book.text("connection/star-point-stays-free"))
    sheet.next_step(book.text("connection/rotation"))
    return found


def _instruction(found: links.Links) -> str:
    lines = " ".join(found.lines)
    return (
        f"join {', '.join(found.joined)} and put the line conductors on {lines}"
        if found.joined
        else f"put the line conductors on {lines}"
    )


def _moved_frequency(sheet: Sheet, book: View, plate: Plate, supply: Supply, best: Candidate) -> None:
    """Power left when a motor moves from 60 to 50 Hz mains or back."""
    power = plate.given.get("power")
    ratio = supply.frequency.si / plate.frequency.si
    if power is None or abs(ratio - 1.0) <= book.limit("connection/zone-b-frequency").value.si:
        return
    slower = ratio < 1.0
    table = book.table("connection/sixty-hertz-motor-on-fifty" if slower else "connection/fifty-hertz-motor-on-sixty")
    reference = Quantity.of(460.0 if slower else 400.0, "V")
    scaled = sheet.step(
        "mains voltage referred to the table's motor", "Ut = U × Ur / Un", unit="V", rule=table,
        U=supply.voltage, Ur=reference, Un=best.rated_voltage,
    )  # fmt: skip
    row = table.row_at_or_above("voltage", scaled) if slower else table.row_at_or_below("voltage", scaled)
    if row is not None:
        share = sheet.looked_up("power over rated power from the table", row["enclosed" if slower else "power"])
    else:
        share = sheet.step(
            "power over rated power, not more than the frequency allows",
            "k = min(f / fn, 1)",
            unit="1",
            f=supply.frequency,
            fn=plate.frequency,
        )
    left = sheet.step("power available", "P1 = P × k", unit=power.unit, rule=table, P=power, k=share)
    sheet.value("available_power", left)
    sheet.next_step(
        f"Load the motor to {_short(left)} at most on {_short(supply.frequency)}; its speed becomes {number_text(ratio, 3)} times that of the plate."
    )


def _unsuitable(sheet: Sheet, book: View, plate: Plate, supply: Supply, best: Candidate) -> Answer:
    """Numbers and honest ways out."""
    feeder = f"a drive output of {_short(supply.voltage)}" if supply.is_drive else f"{_short(supply.voltage)} mains"
    if best.flux.si >= 1.0:
        lowest = _short(plate.highest_voltage)
        sheet.next_step(
            f"Use a supply, a transformer or a drive of {lowest}.",
            f"Or use a motor with {_short(supply.voltage)} on its plate.",
        )
        return sheet.answer(
            f"This {plate.pair} motor is not suitable for {feeder}: {_effect(supply, best)}, or its insulation is not stated for it."
        )
    needed = _short(best.rated_voltage)
    if plate.leads == "three" and best.connection == "star":
        opened = sheet.step(
            "voltage in delta once the star point is out", "U = Uy / √(3)", unit="V", Uy=best.rated_voltage
        )
        if abs(supply.voltage.si / opened.si - 1.0) <= book.limit("connection/zone-b-voltage").value.si:
            sheet.next_step(
                f"Have the star point brought out: in delta the motor then suits {number_text(opened.value, 3)} V.",
                *book.steps("connection/bring-out-star-point"),
            )
    if supply.is_drive:
        sheet.next_step(
            f"Use a drive with {needed} output: from a three-phase {needed} supply, from a drive that boosts its single-phase input, or behind a step-up transformer.",
            f"Or use a motor that has {_short(supply.voltage)} as its delta (or only) voltage.",
            f"What it would do as it is: rated torque to {_short(best.full_torque_up_to)}, above that at most {_percent(best.ratio)} of rated power, "
            f"and at {_short(plate.frequency)} a pull-out torque of {_percent(best.torque)} of rated; at the spindle full torque ends at about {_percent(best.ratio)} of the rated speed.",
        )
    else:
        sheet.next_step(
            f"Use a supply, a transformer or a drive of {needed}.",
            f"Or use a motor with {_short(supply.voltage)} on its plate.",
        )
    return sheet.answer(
        f"This {plate.pair} motor is not suitable for {feeder}: even in {best.connection} {_effect(supply, best)}."
    )


def _suitable(
    sheet: Sheet, plate: Plate, supply: Supply, best: Candidate, present: Candidate | None, joined: links.Links | None,
    *, base: Quantity | None, current: Quantity | None,
) -> Answer:  # fmt: skip
    feeder = f"a drive output of {_short(supply.voltage)}" if supply.is_drive else f"{_short(supply.voltage)} mains"
    how = f" with a base frequency of {_short(base)}" if base is not None else ""
    parts = [f"Connect this {plate.pair} motor in {best.connection} for {feeder}{how}"]
    if plate.leads == "three":
        parts = [f"This three-lead {plate.pair} motor suits {feeder} as it is"]
    if joined is not None:
        parts.append(_instruction(joined))
    if current is not None:
        parts.append(f"rated line current {_short(current)}")
    summary = "; ".join(parts) + "."
    if present is not None:
        summary += f" It is now in {present.connection}, where {_effect(supply, present)}."
    return sheet.answer(summary)


_PRESENT = "Of the present connection where that differs from the one to use, otherwise of the connection to use."
_CANDIDATE: Mapping[str, out.Out] = {
    "connection": out.choice(CONNECTIONS, "Connection."),
    "rated_voltage": out.quantity("voltage", "V", "Line voltage the winding is made for in this connection."),
    "on_plate": out.flag("Whether the plate itself gives this connection."),
    "chosen": out.flag("Whether this is the connection to use."),
    "winding_voltage_ratio": out.quantity("ratio", "1", "Winding voltage over rated winding voltage."),
    "flux_ratio": out.quantity("ratio", "1", "Flux over rated flux at rated frequency, or at the mains frequency."),
    "torque_ratio": out.quantity("ratio", "1", "Starting and pull-out torque over rated."),
    "full_torque_up_to": out.quantity("frequency", "Hz", "Frequency up to which a drive gives rated torque."),
    "line_current": out.quantity("current", "A", "Plate current of this connection."),
    "effect": out.text("What this connection does on this supply."),
}

QUESTION = Question(
    name="connection-choice",
    order=30,
    title="Connection choice",
    summary="Star or delta (or parallel or series): which connection suits the supply, which terminals are joined, and what the drive must be told.",
    request=ConnectionRequest,
    values={
        "connection": out.choice(CONNECTIONS, "Connection to use; for an unsuitable motor the one that comes nearest."),
        "links": out.texts("Groups of terminals to join, e.g. U1-W2; empty where nothing is joined. Absent for an unsuitable motor."),
        "lines": out.texts("Terminal of each line conductor, e.g. L1: U1."),
        "winding_voltage_ratio": out.quantity("ratio", "1", f"Winding voltage over rated winding voltage. {_PRESENT}"),
        "torque_ratio": out.quantity("ratio", "1", f"Starting and pull-out torque over rated, at rated frequency. {_PRESENT}"),
        "full_torque_up_to": out.quantity("frequency", "Hz", f"Highest frequency with rated torque on this drive. {_PRESENT}"),
        "line_current": out.quantity("current", "A", "Rated line current in the connection to use: what protection is set to."),
        "available_power": out.quantity("power", "kW", "Power left when the motor moves to another mains frequency."),
        "candidates": out.rows(_CANDIDATE, "Every legal connection of these leads with its effect on this supply."),
        "drive_settings": out.rows(settings.COLUMNS, "What the drive must be told."),
    },
    answer=answer,
    rules=("connection/*", "motor/*", "caution/*"),
    example={
        "nameplate": {
            "delta_voltage": "230 V", "star_voltage": "400 V", "delta_current": "8.7 A", "star_current": "5.0 A",
            "frequency": "50 Hz", "power": "2.2 kW", "speed": "1430 r/min", "power_factor": 0.79,
        },
        "leads": 6, "marking": "iec", "present_connection": "star",
        "fed_from": {"kind": "drive", "voltage": "230 V", "phases": 1, "output_voltage": "230 V", "maximum_frequency": "400 Hz"},
    },
)  # fmt: skip
