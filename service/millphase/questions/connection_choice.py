"""Which connection suits the supply: star, delta or their parallel and series forms, links and drive settings."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from millphase.answer import Answer, Sheet
from millphase.physics import motor
from millphase.quantity import Quantity, number_text
from millphase.questions import _connection_fill as fill
from millphase.questions import _connection_links as links
from millphase.questions import _connection_plate as plates
from millphase.questions import _connection_settings as settings
from millphase.questions._connection_judge import judge, judge_present
from millphase.questions._connection_plate import CONNECTIONS, Plate
from millphase.questions._connection_supply import (
    Candidate,
    FedFrom,
    Supply,
    effect_of,
    evaluate,
    extended,
    legal,
    nearest,
    percent,
    raised_base,
    read_supply,
    row_of,
    short,
)
from millphase.questions.base import Outcome, Question, Request, View, contradiction, fields, out


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


def answer(request: dict[str, Any], book: View) -> Answer:
    """Plate, supply, every legal connection, the best of them, then links and settings."""
    sheet = QUESTION.sheet(book)
    if not plates.has_voltage(request["nameplate"]):
        return _unknown_voltage(sheet, book)
    plate = plates.read(sheet, book, request)
    supply = read_supply(sheet, book, request, plate)
    if supply is None:
        return _no_three_phases(sheet, book, request)
    if "second_speed" in plate.given:
        return _two_speeds(sheet, book, plate)
    if request["leads"] > 6 and "arrangement" not in request:
        return _unknown_arrangement(sheet, book, request)
    speed = fill.plate_speed(sheet, book, plate)
    plates.check_power(sheet, book, plate)
    candidates = [evaluate(sheet, book, plate, supply, connection) for connection in legal(request, plate)]
    wanted = bool(request.get("extended_range"))
    raised = _extended(book, supply, candidates) if wanted else None
    best = raised or nearest(book, candidates, supply)
    base = raised_base(sheet, plate, raised) if raised else None
    current = fill.current_of(sheet, book, plate, best.connection, best.rated_voltage)
    judge(sheet, book, plate, supply, best, speed=speed, base=base, wanted=wanted)
    suitable = sheet.outcome is not Outcome.REJECT
    present = judge_present(sheet, book, request, supply, candidates, best, extended=base is not None)
    shown = present if present and suitable else best
    _values(sheet, supply, best, shown, base, current)
    rows = [row_of(plate, supply, each, chosen=suitable and each is best) for each in candidates]
    sheet.value("candidates", rows)
    _cautions(sheet, supply)
    if not suitable:
        return _unsuitable(sheet, book, plate, supply, best, base)
    joined = _links(sheet, book, request, plate, best)
    if supply.is_drive:
        settings.write(sheet, book, plate, best, current, speed=speed, base=base, output=supply.voltage)
    else:
        _moved_frequency(sheet, book, plate, supply, best)
    return _suitable(sheet, book, request, plate, supply, best, present, joined, base=base, current=current)


def _values(
    sheet: Sheet, supply: Supply, best: Candidate, shown: Candidate, base: Quantity | None, current: Quantity | None
) -> None:
    sheet.value("connection", best.connection)
    sheet.value("winding_voltage_ratio", shown.ratio)
    sheet.value("torque_ratio", shown.torque)
    if supply.is_drive:
        sheet.value("full_torque_up_to", base if base is not None and shown is best else shown.full_torque_up_to)
    if current is not None:
        sheet.value("line_current", current)


def _extended(book: View, supply: Supply, candidates: list[Candidate]) -> Candidate | None:
    if not supply.is_drive:
        raise contradiction(
            "/extended_range",
            "the mains has one frequency and only a drive can raise it; leave it out, or say kind drive",
        )
    return extended(book, candidates)


def _unknown_voltage(sheet: Sheet, book: View) -> Answer:
    """A plate without a voltage: the winding does not show what it is made for."""
    sheet.find(
        Outcome.INCONCLUSIVE, book.rule("connection/unknown-voltage"),
        because="The plate gives no voltage, and neither leads nor power tell it.",
    )  # fmt: skip
    sheet.next_step(*book.steps("connection/unknown-voltage"))
    sheet.caution("caution/isolate-and-lock-off", "caution/local-code-and-licensed-practice")
    return sheet.answer("Without a rated voltage no connection can be chosen: find the motor's voltage first.")


def _two_speeds(sheet: Sheet, book: View, plate: Plate) -> Answer:
    """A pole-changing motor: its leads look like those of a star-delta motor and must not be linked like them."""
    if "speed" in plate.given and plate.given["second_speed"].si == plate.given["speed"].si:
        raise contradiction("/nameplate/second_speed", "both speeds are the same; leave second_speed out")
    sheet.find(
        Outcome.INCONCLUSIVE, book.rule("connection/two-speed-leads"),
        because="The plate has two speeds: the leads change the number of poles, and no link table for one speed holds.",
    )  # fmt: skip
    sheet.next_step(*book.steps("connection/two-speed-leads"))
    sheet.caution(
        "caution/isolate-and-lock-off",
        "caution/no-switching-behind-drive",
        "caution/local-code-and-licensed-practice",
    )
    return sheet.answer(
        "This is a two-speed motor: fit no star or delta links; connect one of its speeds by the diagram in its lid."
    )


def _unknown_arrangement(sheet: Sheet, book: View, request: dict[str, Any]) -> Answer:
    rule = book.rule("connection/identify-nine-leads")
    leads = request["leads"]
    sheet.find(Outcome.INCONCLUSIVE, rule, because=f"{leads} leads can be a wye or a delta, and the links differ.")
    sheet.next_step(*book.steps("connection/identify-nine-leads"))
    sheet.next_step("Ask again with the arrangement found.")
    sheet.caution("caution/isolate-and-lock-off", "caution/local-code-and-licensed-practice")
    return sheet.answer(f"Whether the {leads} leads are a wye or a delta must be found before any link is fitted.")


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


def _cautions(sheet: Sheet, supply: Supply) -> None:
    sheet.caution("caution/isolate-and-lock-off")
    if supply.is_drive:
        sheet.caution("caution/dc-link-wait", "caution/no-switching-behind-drive")
    sheet.caution("caution/local-code-and-licensed-practice")


def _links(sheet: Sheet, book: View, request: dict[str, Any], plate: Plate, best: Candidate) -> links.Links | None:
    """Joined terminals in the motor's own marking; without a marking the procedure that finds it."""
    marking = links.marking_of(book, request.get("marking"), plate.leads)
    if "marking" not in request:
        sheet.assume("marking", marking, book.table("connection/marking-by-leads"))
    found = links.find(book, marking, plate.leads, best.connection)
    if found is None and plate.leads == "three":
        return _any_order(sheet, book)
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
    said = _instruction(found)
    sheet.next_step(f"{said[0].upper()}{said[1:]}; insulate every joint and every lead that carries no line.")
    if best.connection.endswith("star") and found.joined:
        sheet.next_step(book.text("connection/star-point-stays-free"))
    sheet.next_step(book.text("connection/rotation"))
    return found


def _any_order(sheet: Sheet, book: View) -> links.Links:
    """Three leads without marks: any order runs the motor, one way round or the other."""
    found = links.Links(
        [], ["first lead", "second lead", "third lead"], book.rule("connection/single-voltage-leads").cited
    )
    sheet.value("links", found.joined)
    sheet.value("lines", [f"L{phase}: {lead}" for phase, lead in enumerate(found.lines, start=1)])
    sheet.next_step(
        "Put one line conductor on each of the three leads, in any order.",
        "Run the motor without load for a moment; if it turns the wrong way, isolate and exchange any two line conductors.",
    )
    return found


def _instruction(found: links.Links) -> str:
    if found.lines[0] == "first lead":
        return "put one line conductor on each lead, in any order"
    lines = f"put the line conductors on {' '.join(found.lines)}"
    return f"join {', '.join(found.joined)} and {lines}" if found.joined else lines


def _moved_frequency(sheet: Sheet, book: View, plate: Plate, supply: Supply, best: Candidate) -> None:
    """Power left when a motor moves from 60 to 50 Hz mains or back."""
    power = plate.given.get("power")
    ratio = supply.frequency.si / plate.frequency.si
    if power is None or abs(ratio - 1.0) <= book.limit("connection/zone-b-frequency").value.si:
        return
    slower = ratio < 1.0
    table = book.table("connection/sixty-hertz-motor-on-fifty" if slower else "connection/fifty-hertz-motor-on-sixty")
    # The voltage on the plate of the motors that the two tables are for.
    reference = Quantity.of(460.0 if slower else 400.0, "V")
    scaled = sheet.step(
        "mains voltage referred to the table's motor", "Ut = U × Ur / Un", unit="V", rule=table,
        U=supply.voltage, Ur=reference, Un=best.rated_voltage,
    )  # fmt: skip
    row = table.row_at_or_above("voltage", scaled) if slower else table.row_at_or_below("voltage", scaled)
    if row is not None:
        share = sheet.looked_up("power over rated power from the table", row["enclosed" if slower else "power"])
    elif slower:
        sheet.next_step(
            f"The table of powers ends below {short(supply.voltage)}; ask the maker what the motor may give on {short(supply.frequency)}."
        )
        return
    else:
        share = sheet.step(
            "power over rated power below the table",
            "k = min(f / fn, 1)",
            unit="1",
            f=supply.frequency,
            fn=plate.frequency,
        )
    # At rated current no motor gives more of its power than it gets of its voltage.
    left = sheet.step(
        "power available", "P1 = P × min(k, r)", unit=power.unit, rule=table, P=power, k=share, r=best.ratio
    )
    sheet.value("available_power", left)
    sheet.next_step(
        f"Load the motor to {short(left)} at most on {short(supply.frequency)}; its speed becomes {number_text(ratio, 3)} times that of the plate."
    )


def _feeder(supply: Supply) -> str:
    return f"a drive output of {short(supply.voltage)}" if supply.is_drive else f"{short(supply.voltage)} mains"


def _unsuitable(
    sheet: Sheet, book: View, plate: Plate, supply: Supply, best: Candidate, base: Quantity | None
) -> Answer:
    """Numbers and honest ways out."""
    if base is not None:
        reason = next(finding.because for finding in sheet.findings if finding.outcome is Outcome.REJECT)
        sheet.next_step("Ask again without extended_range for the ordinary connection.")
        return sheet.answer(f"This {plate.pair} motor is not for the extended range. {reason}")
    needed = best.rated_voltage
    if supply.frequency.si != plate.frequency.si:
        needed = sheet.step(
            "line voltage that gives rated flux at this frequency", motor.voltage_for_rated_flux, unit="V",
            Un=best.rated_voltage, f=supply.frequency, fn=plate.frequency,
        )  # fmt: skip
    _star_point(sheet, book, plate, supply, best)
    if supply.is_drive and best.state == "low":
        sheet.next_step(
            f"Use a drive with {short(needed)} output: from a three-phase {short(needed)} supply, from a drive that boosts its single-phase input, or behind a step-up transformer.",
            f"Or use a motor that has {short(supply.voltage)} as its delta (or only) voltage.",
            f"What it would do as it is: rated torque to {short(best.full_torque_up_to)}, above that at most {percent(best.ratio)} of rated power, "
            f"and at {short(plate.frequency)} a pull-out torque of {percent(best.torque)} of rated; at the spindle full torque ends a little below {percent(best.ratio)} of the rated speed.",
        )
        return sheet.answer(
            f"This {plate.pair} motor is not suitable for {_feeder(supply)}: even in {best.connection} {effect_of(supply, best)}."
        )
    sheet.next_step(
        f"Use a supply, a transformer or a drive that gives {short(needed)} at {short(supply.frequency)}.",
        f"Or use a motor with {short(supply.voltage)} on its plate.",
    )
    return sheet.answer(
        f"This {plate.pair} motor is not suitable for {_feeder(supply)}: in {best.connection}, the nearest connection, {effect_of(supply, best)}."
    )


def _star_point(sheet: Sheet, book: View, plate: Plate, supply: Supply, best: Candidate) -> None:
    """The way out of a star made inside, where delta would suit."""
    if plate.leads != "three" or best.connection != "star":
        return
    opened = sheet.step("voltage in delta once the star point is out", "U = Uy / √(3)", unit="V", Uy=best.rated_voltage)
    if abs(supply.voltage.si / opened.si - 1.0) <= book.limit("connection/zone-b-voltage").value.si:
        sheet.next_step(
            f"Have the star point brought out: in delta the motor then suits {number_text(opened.value, 3)} V.",
            *book.steps("connection/bring-out-star-point"),
        )


def _suitable(
    sheet: Sheet, book: View, request: dict[str, Any], plate: Plate, supply: Supply, best: Candidate,
    present: Candidate | None, joined: links.Links | None, *, base: Quantity | None, current: Quantity | None,
) -> Answer:  # fmt: skip
    """The sentence to act on, and what to do at the drive."""
    if supply.is_drive:
        voltage, frequency = (best.rated_voltage, plate.frequency) if base is None else (supply.voltage, base)
        sheet.next_step(
            f"Set motor voltage {short(voltage)} and base frequency {short(frequency, 4)} on the drive before the first start, with the other drive_settings."
        )
    if base is not None:
        sheet.next_step(*book.steps("connection/extended-range"))
        sheet.next_step("Ask spindle-speeds whether motor, belt and spindle stand the raised speed.")
    how = f" with a base frequency of {short(base)}" if base is not None else ""
    if joined is None:
        parts = [
            f"{best.connection.capitalize()} suits this {plate.pair} motor on {_feeder(supply)}{how}, but find out which lead is which before anything is joined"
        ]
    elif plate.leads == "three":
        parts = [f"This three-lead {plate.pair} motor suits {_feeder(supply)} as it is", _instruction(joined)]
    else:
        parts = [
            f"Connect this {plate.pair} motor in {best.connection} for {_feeder(supply)}{how}",
            _instruction(joined),
        ]
    if current is not None:
        parts.append(
            f"rated line current {short(current)}"
            if plate.currents
            else f"line current about {short(current)} by table"
        )
    if request.get("present_connection") == best.connection:
        parts.append("that is how it is connected now")
    summary = "; ".join(parts) + "."
    if present is not None:
        summary += f" It is now in {present.connection}, where {effect_of(supply, present)}."
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
    "load_current_ratio": out.quantity(
        "ratio", "1", "Winding current at rated torque over rated, where the flux is low."
    ),
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
    rules=("connection/*", "motor/*", "speeds/motor-speed-factor", "speeds/motor-speed-cap", "caution/*"),
    example={
        "nameplate": {
            "delta_voltage": "230 V", "star_voltage": "400 V", "delta_current": "8.7 A", "star_current": "5.0 A",
            "frequency": "50 Hz", "power": "2.2 kW", "speed": "1430 r/min", "power_factor": 0.79,
        },
        "leads": 6, "marking": "iec", "present_connection": "star",
        "fed_from": {"kind": "drive", "voltage": "230 V", "phases": 1, "output_voltage": "230 V", "maximum_frequency": "400 Hz"},
    },
)  # fmt: skip
