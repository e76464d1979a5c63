"""May this winding, cable or circuit be energised? The insulation test, judged."""

from __future__ import annotations

from typing import Any

from millphase.answer import Answer, Outcome, Sheet
from millphase.physics import insulation
from millphase.quantity import Quantity
from millphase.questions import _insulation as shared
from millphase.questions import _insulation_absorption as absorption
from millphase.questions import _insulation_readings as taken
from millphase.questions import _insulation_subtraction as subtraction
from millphase.questions._insulation_readings import MOTOR_PARTS, PAIRS, PARTS, Reading
from millphase.questions.base import Part, Question, Request, View, accuracy_part, contradiction, fields, out
from millphase.rulebook import Limit


class ReadingPart(Part):
    """One insulation reading."""

    between = fields.Choice(
        taken.BETWEEN, required=True,
        help="What the tester's leads join; UVW-earth is all windings joined, winding-earth any whole winding, conductors-earth all live conductors joined.",
    )  # fmt: skip
    resistance = fields.Quantity("resistance", zero=True, required=True, help="Resistance read.")
    over_range = fields.Flag(help="The instrument showed more than `resistance`, its highest reading.")
    test_voltage = fields.Quantity("voltage", low="0.1 V", high="20 kV", help="Direct test voltage.")
    instrument = fields.Choice(["insulation-tester", "multimeter"], help="A multimeter applies a few volts only.")
    after = fields.Quantity("duration", low="1 s", high="1 h", help="Time from applying the voltage to the reading.")
    winding_temperature = fields.Quantity(
        "temperature", low="-40 degC", high="200 degC", help="Winding temperature at the reading."
    )
    under_test = fields.Choice(PARTS, help="Where this reading differs from the request's `under_test`.")
    measurement_accuracy = accuracy_part("resistance")


class InsulationAcceptanceRequest(Request):
    """Readings of an insulation test and how they were taken."""

    rated_voltage = fields.Quantity(
        "voltage", low="1 V", high="15 kV", required=True, help="Rated voltage between lines."
    )
    winding = fields.Choice(shared.WINDINGS, help="Kind of winding; a small motor is random-wound.")
    manufactured = fields.Count(low=1880, high=2100, help="Year the winding was made or last rewound.")
    thermal_class = fields.Choice(["A", "E", "B", "F", "H"], help="Thermal class on the plate.")
    insulation_system = fields.Choice(
        shared.INSULATION_SYSTEMS, help="Thermosetting: modern resin; thermoplastic: older."
    )
    under_test = fields.Choice(PARTS, help="What the readings were taken on.")
    drive_disconnected = fields.Flag(
        help="Whether the motor cable was off the drive's terminals during the test; true also where there is no drive."
    )
    links = fields.Choice(["fitted", "removed"], help="Star or delta links in the terminal box during the test.")
    separated_extra_low_voltage = fields.Flag(help="For wiring: a SELV or PELV circuit.")
    air = fields.Part(shared.AirPart, help="Air beside the winding, for the dew point.")
    readings = fields.Many(fields.Part(ReadingPart), low=1, high=100, required=True, help="Every reading taken.")


def answer(request: dict[str, Any], book: View) -> Answer:
    """Judge the readings as a motor repairer would: is the test valid, what condemns, what is missing."""
    sheet = QUESTION.sheet(book)
    readings = taken.collect(sheet, request)
    check_sense(readings, request, book)
    sheet.caution(*shared.TEST_CAUTIONS)
    void_by_drive(sheet, request, readings)
    motor = [reading for reading in readings if reading.part in MOTOR_PARTS]
    wiring = [reading for reading in readings if reading.part not in MOTOR_PARTS]
    if motor:
        judge_motor(sheet, request, motor, wiring)
    if wiring:
        judge_wiring(sheet, request, wiring)
    report_lowest(sheet, readings)
    discharge(sheet, readings)
    advise(sheet, request, readings)
    return sheet.answer(summary(sheet, request, readings))


def check_sense(readings: list[Reading], request: dict[str, Any], book: View) -> None:
    """Refuse readings that cannot be what they are said to be."""
    ohmmeter = book.constant("insulation/ohmmeter-voltage").value
    ceiling = book.constant("insulation/separated-extra-low-voltage-ceiling").value
    if request.get("separated_extra_low_voltage") and request["rated_voltage"].si > ceiling.si:
        message = (
            f"a separated extra-low-voltage circuit has at most {ceiling}; correct rated_voltage or leave this out"
        )
        raise contradiction("/separated_extra_low_voltage", message)
    for reading in readings:
        if reading.instrument == "multimeter" and reading.test_voltage and reading.test_voltage.si > ohmmeter.si:
            message = (
                f"a multimeter's ohms range applies less than {ohmmeter}; name the instrument or the voltage again"
            )
            raise contradiction(f"{reading.pointer}/test_voltage", message)
        if reading.part in MOTOR_PARTS and reading.between in PAIRS and request.get("links") == "fitted":
            message = (
                "with the links fitted this reads the copper of the windings; take the links off, or measure to earth"
            )
            raise contradiction(f"{reading.pointer}/between", message)
        if reading.is_late and not any(other.is_one_minute for other in readings if other.same_points(reading)):
            message = "a reading later than one minute needs the one-minute reading beside it; measure at 60 s again"
            raise contradiction(f"{reading.pointer}/after", message)


def void_by_drive(sheet: Sheet, request: dict[str, Any], readings: list[Reading]) -> None:
    """A drive left connected makes every reading void; not knowing stops an accept."""
    rule = sheet.book.rule("caution/never-test-through-a-drive")
    supply_side = all(reading.part == "fixed-wiring" for reading in readings)
    if request.get("drive_disconnected") is False:
        for reading in readings:
            reading.void = True
        because = "The drive was connected: the readings include its own paths and the test voltage can destroy it, so the test is void."
        sheet.find(Outcome.INCONCLUSIVE, rule, because=because)
        sheet.next_step(
            "Take the wiring off the drive's supply terminals, disconnect all other equipment, and test again."
            if supply_side
            else "Take the motor cable off the drive's U, V and W terminals and test again at the cable end."
        )
        if any(reading.instrument != "multimeter" for reading in readings):
            sheet.next_step("The test voltage may have harmed the drive: check it by its manual before it runs again.")
    elif "drive_disconnected" not in request:
        sheet.find(Outcome.INCONCLUSIVE, rule, because="It is not said whether the drive was disconnected.")
        what = "the drive was off the wiring" if supply_side else "the motor cable was off the drive"
        sheet.next_step(f"Say whether {what} during the test; if it was not, test again.")


def judge_motor(sheet: Sheet, request: dict[str, Any], readings: list[Reading], wiring: list[Reading]) -> None:
    """Judge every motor reading, then the set of them."""
    floor = sheet.book.limit("insulation/floor-to-energise")
    sheet.value("floor_to_energise", floor.value)
    limit, least = shared.least_at_40c(sheet, request)
    sheet.value("minimum_at_40c", least)
    if request.get("separated_extra_low_voltage"):
        because = (
            "The limits of a separated extra-low-voltage circuit hold for its wiring; a motor is judged as any motor."
        )
        sheet.find(Outcome.ACCEPT, floor, because=because, decides=False)
    check_moisture(sheet, request, readings)
    judged = [reading for reading in readings if reading.is_judged(readings)]
    single = sheet.book.constant("insulation/single-winding-multiple")
    joined = taken.are_joined(sheet, request, judged)
    for reading in judged:
        reading.alone = reading.between in taken.SINGLES and not joined
    alone = [reading for reading in judged if reading.alone]
    least_alone = least
    if alone:
        least_alone = sheet.step(
            "least resistance of one winding alone",
            "Rone = n × Rmin",
            unit="Mohm",
            rule=single,
            n=single.value,
            Rmin=least,
        )
    least_of = {reading.pointer: least_alone if reading.alone else least for reading in judged}
    subtraction.split(sheet, request, judged, wiring, limit, least_of)
    for reading in judged:
        judge_reading(sheet, request, reading, limit, least_of[reading.pointer])
    for reading in readings:
        if reading.is_late:
            compare_floor(sheet, floor, reading)
        elif not reading.is_judged(readings):
            check_early(sheet, floor, reading)
    combine_windings(sheet, alone, limit, least)
    report_windings(sheet, request, judged)
    absorption.ratios(sheet, request, readings)
    check_coverage(sheet, request, judged, joined=joined)


def check_moisture(sheet: Sheet, request: dict[str, Any], readings: list[Reading]) -> None:
    """Compare each winding with the dew point: at or below it the reading is void, close to it damp."""
    book = sheet.book
    wet, damp = book.limit("insulation/dew-point-margin"), book.limit("insulation/damp-margin")
    if "air" not in request:
        sheet.assume("air", "dry enough that the winding is above the dew point", wet)
        return
    dew = shared.dew_point(sheet, request["air"])
    if any(reading.temperature is None and reading.is_judged(readings) for reading in readings):
        because = f"Without the winding temperature nobody knows whether the winding was above the dew point of {shared.brief(dew)}."
        sheet.find(Outcome.CAUTION, wet, because=because, limit=wet.value)
        sheet.next_step("Measure the winding temperature beside the air, and compare it with the dew point.")
    margins = []
    for reading in readings:
        if reading.temperature is None:
            continue
        margin = sheet.step(
            f"{reading.name}: winding above the dew point",
            "dT = T − Td",
            unit="K",
            rule=wet,
            T=reading.temperature,
            Td=dew,
        )
        margins.append(margin)
        if margin.si < wet.value.si:
            reading.void = True
            because = (
                f"{reading.name}: the winding at {reading.temperature} is not above the dew point of {shared.brief(dew)}; "
                "water lies on it, so the test is void, not failed."
            )
            sheet.find(Outcome.INCONCLUSIVE, wet, because=because, measured=margin, limit=wet.value)
            sheet.next_step(
                f"Warm the winding to at least {damp.value} above the dew point, let it dry off, and test again; "
                "do not energise before."
            )
        else:
            because = f"{reading.name}: the winding is {shared.brief(margin)} above the dew point"
            because += ", so close that it may be damp." if margin.si < damp.value.si else "."
            sheet.compare(damp, margin, because=because, otherwise=Outcome.CAUTION, decides=not reading.void)
    if margins:
        sheet.value("dew_point_margin", min(margins, key=lambda margin: margin.si))


def compare_floor(sheet: Sheet, floor: Limit, reading: Reading) -> None:
    """Compare a reading as read with the floor; an over-range reading below it cannot be told."""
    decides = not reading.void
    if reading.over_range and reading.resistance.si < floor.value.si:
        because = f"{reading.name}: the instrument ends at {reading.resistance}, below the floor; it cannot show more."
        sheet.find(
            Outcome.INCONCLUSIVE, floor, because=because, measured=reading.resistance, limit=floor.value, decides=decides
        )  # fmt: skip
        return
    because = f"{reading.name} reads {reading.shown}"
    if reading.accuracy is not None and 0.0 <= reading.resistance.si - floor.value.si < reading.accuracy.si:
        because += f", but its accuracy reaches below {floor.value}"
    found = sheet.compare(floor, reading.resistance, because=f"{because}.", accuracy=reading.accuracy, decides=decides)
    reading.outcomes.append(found.outcome)
    reading.fails |= found.outcome is Outcome.REJECT


def check_early(sheet: Sheet, floor: Limit, reading: Reading) -> None:
    """A reading before the minute is not judged, but one below the floor is not passed over either."""
    if reading.over_range or reading.resistance.si >= floor.value.si:
        return
    because = (
        f"{reading.name} read {reading.shown} after {reading.after}, below the floor of {floor.value}, "
        "and more only later in the test."
    )
    sheet.find(
        Outcome.CAUTION, floor, because=because, measured=reading.resistance, limit=floor.value, decides=not reading.void
    )  # fmt: skip
    sheet.next_step("Discharge the winding, repeat the test, and write down the reading every ten seconds.")


def judge_reading(sheet: Sheet, request: dict[str, Any], reading: Reading, limit: Limit, least: Quantity) -> None:
    """Floor as read, then whether the evidence could have shown a fault, then the least value at 40 °C."""
    compare_floor(sheet, sheet.book.limit("insulation/floor-to-energise"), reading)
    if not reading.fails and not reading.void:
        taken.check_evidence(sheet, request, reading)
    if reading.fails and reading.between in PAIRS and "links" not in request:
        rule = sheet.book.rule("insulation/whole-winding")
        because = f"{reading.name} reads the copper of the windings if the links were fitted; it is not said that they were off."
        sheet.find(Outcome.CAUTION, rule, because=because, decides=False)
        sheet.next_step("Take the links off before testing winding to winding, and say so.")
    # A reading under the floor is condemned whatever its temperature.
    if reading.resistance.si > 0.0 and not (reading.fails and reading.temperature is None):
        judge_at_40c(sheet, request, reading, limit, least)


def judge_at_40c(sheet: Sheet, request: dict[str, Any], reading: Reading, limit: Limit, least: Quantity) -> None:
    """Refer the reading to 40 °C and compare it with the least value, less the accuracy of the reading."""
    temperature, at = reading.temperature, f"at {reading.temperature}"
    if temperature is None:
        temperature = shared.coldest_winding(sheet.book, request)
        at = f"at an unknown temperature, taken as {temperature}"
        coldest = sheet.book.constant("insulation/coldest-winding")
        sheet.assume(f"{reading.pointer[1:]}/winding_temperature".replace("/", "."), temperature, coldest)
    system = request.get("insulation_system", "unknown")
    reading.referred = shared.refer_to_40c(sheet, reading.name, reading.resistance, temperature, system)
    gate = reading.referred.gate
    short = gate.si < least.si * (1.0 - 1e-9)
    because = (
        f"{reading.name} reads {reading.shown} {at}: {shared.brief(gate)} at 40 °C by the "
        f"{reading.referred.law} law, {'below' if short else 'against'} the {shared.brief(least)} asked"
    )
    if short and (reading.over_range or reading.temperature is None):
        not_proven_short(sheet, reading, limit, (gate, least), because)
        return
    if reading.accuracy is not None:
        width = reading.accuracy.si * gate.si / reading.resistance.si
        reading.gate_accuracy = Quantity(width, gate.unit, gate.dimension)
        if not short and gate.si - width < least.si * (1.0 - 1e-9):
            because += "; the accuracy of the reading reaches below that"
    found = sheet.compare(
        limit, gate, because=f"{because}.", against=least, accuracy=reading.gate_accuracy, otherwise=Outcome.CAUTION,
        decides=not reading.void and reading.motor_share is None,
    )  # fmt: skip
    if reading.motor_share is None:
        reading.outcomes.append(found.outcome)
        reading.fails |= short
    compare_maker(sheet, request, reading)


def not_proven_short(
    sheet: Sheet, reading: Reading, limit: Limit, compared: tuple[Quantity, Quantity], because: str
) -> None:
    """Below the least value only as a lower bound, or only if the winding was cold: neither passed nor failed."""
    gate, least = compared
    if reading.over_range:
        because += "; but that is a lower bound only"
        sheet.next_step("Use a range, or an instrument, that the reading does not exceed.")
    if reading.temperature is None:
        sheet.next_step("Measure the winding temperature with the next test.")
    sheet.find(
        Outcome.INCONCLUSIVE, limit, because=f"{because}.", measured=gate, limit=least,
        decides=not reading.void,
    )  # fmt: skip


def compare_maker(sheet: Sheet, request: dict[str, Any], reading: Reading) -> None:
    """What one maker asks of a whole winding near 25 °C, beside the standard and not decisive."""
    maker = sheet.book.limit("insulation/maker-whole-winding-at-25c")
    low_voltage = sheet.book.constant("insulation/form-wound-low-voltage").value
    if shared.winding_kind(sheet.book, request) != "random-wound" or request["rated_voltage"].si > low_voltage.si:
        return
    if reading.over_range or reading.temperature is None or reading.alone or reading.between in PAIRS:
        return
    step = sheet.book.constant("insulation/halving-step")
    at_25c = sheet.step(
        f"{reading.name}, referred to 25 °C by halving", insulation.resistance_at_25c_halving,
        unit=reading.resistance.unit, rule=step, R=reading.resistance, T=reading.temperature, S=step.value,
    )  # fmt: skip
    because = f"One maker asks {maker.value} of the whole winding near 25 °C; here it is {shared.brief(at_25c)}."
    sheet.compare(maker, at_25c, because=because, otherwise=Outcome.CAUTION, decides=False)


def combine_windings(sheet: Sheet, alone: list[Reading], limit: Limit, least: Quantity) -> None:
    """Three windings measured apart, joined on paper: the whole winding must still reach the least value."""
    lowest: dict[str, tuple[Quantity, Quantity | None]] = {}
    for reading in alone:
        if reading.referred is None or reading.void:
            continue
        gate = reading.referred.gate
        if reading.between not in lowest or gate.si < lowest[reading.between][0].si:
            lowest[reading.between] = gate, reading.gate_accuracy
    if len(lowest) < 3:
        return
    (first, _), (second, _), (third, _) = (lowest[name] for name in taken.SINGLES)
    whole = sheet.step(
        "the three windings joined, at 40 °C", insulation.three_in_parallel, unit="Mohm", rule=limit,
        Ru=first, Rv=second, Rw=third,
    )  # fmt: skip
    # Each winding's error counts by the square of its share of the conductance.
    width = sum(width.si * (whole.si / gate.si) ** 2 for gate, width in lowest.values() if width is not None)
    unsure = any(reading.over_range or reading.temperature is None for reading in alone)
    word = "below" if whole.si < least.si * (1.0 - 1e-9) else "against"
    because = (
        f"Joined, the three windings come to {shared.brief(whole)} at 40 °C, {word} the {shared.brief(least)} asked "
        "of the whole winding."
    )
    sheet.compare(
        limit, whole, because=because, against=least,
        accuracy=Quantity(width, whole.unit, whole.dimension),
        otherwise=Outcome.INCONCLUSIVE if unsure else Outcome.CAUTION,
    )  # fmt: skip


def report_windings(sheet: Sheet, request: dict[str, Any], readings: list[Reading]) -> None:
    """Say what three readings of three windings tell: joined, damp all over, or one winding at fault."""
    singles = [reading for reading in readings if reading.between in taken.SINGLES and not reading.void]
    if {reading.between for reading in singles} != set(taken.SINGLES):
        return
    bad = sorted(
        {reading.between[0] for reading in singles if max(reading.outcomes, default=Outcome.ACCEPT) > Outcome.ACCEPT}
    )
    rule = sheet.book.constant("insulation/equal-readings")
    equal = taken.are_alike(sheet, [reading.resistance.si for reading in singles])
    links = request.get("links")
    if not equal and links == "fitted":
        because = "The links join the windings, yet the readings differ: a link is loose or a winding is open."
        sheet.find(Outcome.CAUTION, rule, because=because, decides=False)
        if bad and len(bad) < 3:
            sheet.value("low_windings", bad)
        sheet.next_step("Check the links and each winding for continuity, then read each winding to earth again.")
    elif bad and equal:
        because = {
            "fitted": "The links join the three windings, so the three equal readings are one reading of all of them.",
            "removed": "All three windings read alike with the links off: damp or dirt all over rather than one fault, or they are still joined somewhere.",
            None: "All three readings are equal: the windings are probably joined by the links.",
        }[links]
        sheet.find(Outcome.CAUTION, rule, because=because, decides=False)
        sheet.value("windings", "joined" if links != "removed" else "alike")
        sheet.next_step(*sheet.book.steps("insulation/separate-windings"))
    elif bad and len(bad) < 3:
        sheet.value("low_windings", bad)


def check_coverage(sheet: Sheet, request: dict[str, Any], readings: list[Reading], *, joined: bool) -> None:
    """The whole winding must have been tested to earth; a part of it proves nothing about the rest."""
    rule = sheet.book.rule("insulation/whole-winding")
    found = {reading.between for reading in readings}
    singles = found & set(taken.SINGLES)
    if found & set(taken.JOINED) or (singles and joined) or len(singles) == 3:
        if not found & set(PAIRS) and not any(reading.fails for reading in readings):
            sheet.next_step(
                "The test to earth says nothing about the insulation between windings: take the links off once and test winding to winding."
            )
        return
    if not singles:
        sheet.find(Outcome.INCONCLUSIVE, rule, because="No motor reading to earth was given.")
        sheet.next_step("Join U, V and W and test them to the frame for one minute.")
        return
    missing = " and ".join(name[0] for name in taken.SINGLES if name not in singles)
    is_are = "are" if " and " in missing else "is"
    because = f"Only a part of the winding was tested to earth; {missing} {is_are} missing"
    if request.get("links") == "fitted":
        because += ", and readings that differ do not bear out that links join the windings."
        sheet.next_step(f"Check the links, and test {missing} to earth too.")
    else:
        because += " unless the links were fitted."
        sheet.next_step(f"Test {missing} to earth too, or say that the links were fitted.")
    sheet.find(Outcome.INCONCLUSIVE, rule, because=because)


def judge_wiring(sheet: Sheet, request: dict[str, Any], readings: list[Reading]) -> None:
    """Cable and fixed wiring: the limits of the wiring rules, as read."""
    book = sheet.book
    separated = request.get("separated_extra_low_voltage", False)
    limit = book.limit("insulation/wiring-minimum-separated" if separated else "insulation/wiring-minimum")
    if request.get("wiring_rules") == "nfpa-70":
        sheet.assume("wiring_rules", "the figures of IEC 60364-6; NFPA 70 sets no least insulation resistance", limit)
    if "floor_to_energise" not in sheet.values:
        sheet.value("floor_to_energise", limit.value)
    for reading in readings:
        compare_floor(sheet, limit, reading)
        if not reading.fails and not reading.void and reading.is_judged(readings):
            taken.check_evidence(sheet, request, reading)
    for part in dict.fromkeys(reading.part for reading in readings):
        check_conductors(sheet, limit, part, {reading.between for reading in readings if reading.part == part})


def check_conductors(sheet: Sheet, limit: Limit, part: str, found: set[str]) -> None:
    """Every conductor of a cable or circuit must have been tested to earth, and better also to the others."""
    cores = {name for between in found for name in taken.CORES.get(between, ())}
    name = part.replace("-", " ")
    if not any(wanted <= cores for wanted in taken.WHOLE):
        sheet.find(Outcome.INCONCLUSIVE, limit, because=f"Not every conductor of the {name} was tested to earth.")
        sheet.next_step("Test every conductor to earth, both ends free, or all of them joined.")
    if found <= taken.CORES.keys():
        sheet.next_step(
            f"The test to earth says nothing about the insulation between the conductors of the {name}: with "
            "everything that uses current disconnected, test them against each other too."
        )


def report_lowest(sheet: Sheet, readings: list[Reading]) -> None:
    """The lowest reading, and the lowest at 40 °C, among the values."""
    sheet.value("lowest_resistance", min((r.resistance for r in readings), key=lambda q: q.si))
    valid = [(r.motor_share or r.referred) for r in readings if r.temperature is not None and not r.void]
    referred = [found for found in valid if found is not None]
    if referred:
        worst = min(referred, key=lambda found: found.gate.si)
        sheet.value("resistance_at_40c", worst.gate)
        sheet.value("resistance_at_40c_halving", worst.halving)
        if worst.thermosetting is not None:
            sheet.value("resistance_at_40c_thermosetting", worst.thermosetting)


def discharge(sheet: Sheet, readings: list[Reading]) -> None:
    """How long the winding must be discharged after the longest test."""
    multiple = sheet.book.constant("insulation/discharge-multiple")
    longest = max((r.after for r in readings if r.after), key=lambda q: q.si, default=None)
    longest = longest or sheet.book.constant("insulation/test-duration").value
    time = sheet.step("time to discharge", "td = n × t", unit="s", rule=multiple, n=multiple.value, t=longest)
    sheet.value("discharge_time", time)


def advise(sheet: Sheet, request: dict[str, Any], readings: list[Reading]) -> None:
    """What to do next, by outcome."""
    motor = [reading for reading in readings if reading.part in MOTOR_PARTS]
    low = any(r.fails for r in motor if not r.void)
    if any(max(r.outcomes, default=Outcome.ACCEPT) is Outcome.CAUTION and not r.fails for r in readings if not r.void):
        sheet.next_step("A limit lies within the accuracy of a reading: repeat it with an instrument that is sure.")
    if any(r.part == "motor-and-cable" for r in motor) and low and "motor_resistance" not in sheet.values:
        sheet.next_step("Take the cable off in the motor's terminal box and test motor and cable apart.")
    for reading in readings:
        if reading.instrument == "multimeter":
            row, lowest, _ = taken.test_voltages(sheet, request, reading.part)
            sheet.next_step(
                f"Repeat with an insulation tester at {row.q(lowest)} for one minute; an ohmmeter applies too little "
                "voltage to acquit."
            )
    if low:
        shared.advise_drying(sheet, request.get("thermal_class"))
    if any(r.fails for r in readings if r not in motor and not r.void):
        sheet.next_step("Find the faulty conductor: test each one to earth and to the others, both ends free.")
    if motor and "air" not in request:
        sheet.next_step("Note air temperature and humidity with the next test, so that the dew point can be checked.")
    if sheet.outcome is Outcome.ACCEPT:
        sheet.next_step(
            "Write the reading down with winding temperature and weather; the next one is judged against it."
        )


def summary(sheet: Sheet, request: dict[str, Any], readings: list[Reading]) -> str:
    """One sentence for the machinist."""
    if request.get("drive_disconnected") is False:
        return "The test is void because the drive was connected: disconnect it, test again, and do not energise until then."
    if sheet.outcome is Outcome.REJECT:
        return condemned(sheet, request, readings)
    if any(reading.void for reading in readings):
        wet = next(found for found in sheet.findings if found.cited.rule == "insulation/dew-point-margin")
        return f"The test is void. {wet.because} Warm it, let it dry off and test again; do not energise before."
    deciding = [found for found in sheet.findings if found.decides and found.outcome is sheet.outcome]
    if sheet.outcome is Outcome.ACCEPT:
        spoken = {"motor-and-cable": "motor with its cable", "fixed-wiring": "fixed wiring"}
        parts = " and the ".join(dict.fromkeys(spoken.get(reading.part, reading.part) for reading in readings))
        shares = [reading.motor_share.gate for reading in readings if reading.motor_share]
        if shares:
            return f"The insulation of the {parts} may be accepted: behind its cable the motor alone has {shared.brief(shares[0])} at 40 °C, and the cable passes."
        judged = [reading for reading in readings if reading.is_judged(readings)]
        lowest = min(judged, key=lambda reading: reading.resistance.si)
        return f"The insulation of the {parts} may be accepted: the lowest reading, {lowest.shown}, passes every limit in a valid test."
    if sheet.outcome is Outcome.INCONCLUSIVE:
        return f"The readings neither condemn nor acquit. {deciding[0].because}"
    return f"Do not energise yet. {deciding[0].because}"


def condemned(sheet: Sheet, request: dict[str, Any], readings: list[Reading]) -> str:
    """What is below its floor, as far as the readings can tell, and how to find out which winding it is."""
    found = {id(reading.resistance): reading for reading in readings}
    below = [finding for finding in sheet.findings if finding.decides and finding.outcome is Outcome.REJECT]
    floor, worst = min(
        ((finding.limit, found[id(finding.measured)]) for finding in below), key=lambda pair: pair[1].resistance.si
    )
    named = sheet.values.get("low_windings")
    what = f"the {worst.part.replace('-', ' ')}"
    if isinstance(named, list) and worst.between[0] in named:
        what = f"winding {worst.between[0]}"
    said = f"Do not energise: the insulation of {what} reads {worst.resistance}, below the floor of {floor}."
    if sheet.values.get("windings") != "joined":
        return said
    row, lowest, _ = taken.test_voltages(sheet, request, worst.part)
    sure = "" if request.get("links") else "probably "
    return f"{said} The windings are {sure}joined by the links: take the links off and test each winding at {row.q(lowest)}."


QUESTION = Question(
    name="insulation-acceptance",
    order=10,
    title="Insulation acceptance",
    summary="Whether a motor, cable or circuit may be energised after an insulation test, and what to do if not.",
    request=InsulationAcceptanceRequest,
    values={
        "lowest_resistance": out.quantity("resistance", "Mohm", "lowest resistance read"),
        "resistance_at_40c": out.quantity("resistance", "Mohm", "lowest resistance referred to 40 °C by the law that gates"),
        "resistance_at_40c_halving": out.quantity("resistance", "Mohm", "the same reading by the halving law"),
        "resistance_at_40c_thermosetting": out.quantity("resistance", "Mohm", "the same reading by the thermosetting law"),
        "minimum_at_40c": out.quantity("resistance", "Mohm", "least one-minute resistance of the winding at 40 °C"),
        "floor_to_energise": out.quantity("resistance", "Mohm", "resistance below which nothing is energised"),
        "motor_resistance": out.quantity("resistance", "Mohm", "resistance of the motor behind its cable, by subtraction"),
        "motor_resistance_low": out.quantity("resistance", "Mohm", "lower end of its interval"),
        "motor_resistance_high": out.quantity("resistance", "Mohm", "upper end of its interval, where there is one"),
        "windings": out.choice(["joined", "alike"], "what three equal low readings tell: joined by links, or alike without"),
        "low_windings": out.texts("windings that fail where others pass"),
        "absorption_ratio": out.quantity("ratio", "1", "resistance at 60 s over that at 30 s"),
        "absorption_class": out.text("class of the absorption ratio"),
        "polarization_index": out.quantity("ratio", "1", "resistance at 10 min over that at 1 min"),
        "polarization_class": out.text("class of the polarization index"),
        "dew_point": out.quantity("temperature", "degC", "dew point of the air"),
        "dew_point_margin": out.quantity("temperature-difference", "K", "least winding temperature above it"),
        "discharge_time": out.quantity("duration", "s", "how long the winding is discharged after the test"),
    },
    answer=answer,
    rules=("insulation/*", "caution/*"),
    example={
        "rated_voltage": "400 V",
        "winding": "random-wound",
        "manufactured": 1998,
        "drive_disconnected": True,
        "links": "fitted",
        "air": {"temperature": "18 degC", "relative_humidity": "60 %"},
        "readings": [
            {
                "between": "UVW-earth", "resistance": "85 Mohm", "test_voltage": "500 V", "instrument": "insulation-tester",
                "after": "60 s", "winding_temperature": "19 degC",
            }
        ],
    },
)  # fmt: skip
