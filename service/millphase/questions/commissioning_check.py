"""Is the machine fit to hand over? Every test of the trade, each against its limit; a missing test proves nothing."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from millphase.answer import Answer, Finding, Outcome, Sheet
from millphase.physics import leakage
from millphase.quantity import Quantity
from millphase.questions._leakage_rcd import report_protection
from millphase.questions._residual_current import (
    INTERRUPTERS,
    RcdPart,
    Supply,
    SupplyPart,
    said,
    said_at_most,
    supply_in_force,
    the_row,
    thresholds,
)
from millphase.questions.base import (
    Part,
    Question,
    Request,
    View,
    accuracy_part,
    contradiction,
    fields,
    half_width,
    out,
)

NEAR = 1 + 1e-9
BREAKERS = ["mcb-b", "mcb-c", "mcb-d"]
FUSES = ["fuse-gg", "fuse-bs1362"]
RESULTS = {
    Outcome.ACCEPT: "passed", Outcome.CAUTION: "caution", Outcome.INCONCLUSIVE: "missing", Outcome.REJECT: "failed",
}  # fmt: skip
TESTS = [
    "rcd-half", "rcd-one", "rcd-five", "loop-impedance", "earth-electrode", "bonding", "insulation", "polarity",
    "rotation", "no-load-current", "emergency-stop", "no-restart",
]  # fmt: skip


class TripTimesPart(Part):
    """Break times read at multiples of the rating."""

    half = fields.Quantity(
        "duration", low="1 ms", high="10 s",
        help="At half of the rating: the time at which it tripped, or the whole test time where it held.",
    )  # fmt: skip
    one = fields.Quantity("duration", low="1 ms", high="10 s", help="At the rating, the slower of both half-waves.")
    five = fields.Quantity("duration", low="1 ms", high="10 s", help="At five times the rating.")


class TestedRcdPart(RcdPart):
    """The RCD with its measured times."""

    trip_times = fields.Part(TripTimesPart, help="Measured with the loads disconnected.")


class ProtectiveDevicePart(Part):
    """The device that clears an earth fault."""

    kind = fields.Choice(BREAKERS + FUSES, required=True, help="Kind of device.")
    rating = fields.Quantity("current", low="1 A", high="125 A", required=True, help="Rated current.")


class InsulationPart(Part):
    """Insulation of the circuit and machine, drive disconnected."""

    resistance = fields.Quantity(
        "resistance", low="1 ohm", high="1000 Gohm", required=True, help="Live conductors to earth."
    )
    test_voltage = fields.Quantity("voltage", low="0.5 V", high="5 kV", required=True, help="DC test voltage.")
    equipment_connected = fields.Flag(
        default=False, help="Whether equipment stayed connected (live conductors joined); the drive never does."
    )
    measurement_accuracy = accuracy_part("resistance")


class ConductorPart(Part):
    """Protective conductor from the supply terminal to the point tested."""

    length = fields.Quantity("length", low="0.1 m", high="500 m", required=True, help="Length of the conductor.")
    cross_section = fields.Quantity("area", low="0.5 mm2", high="50 mm2", required=True, help="Copper cross-section.")


class CommissioningRequest(Request):
    """Test results of one machine."""

    rcd = fields.Part(TestedRcdPart, required=True, help="The RCD ahead of the machine.")
    supply = fields.Part(SupplyPart, help="The supply; earthing decides between loop and electrode.")
    loop_impedance = fields.Quantity("resistance", low="1 mohm", high="100 kohm", help="Measured cold at the machine.")
    loop_impedance_accuracy = accuracy_part("resistance")
    protective_device = fields.Part(ProtectiveDevicePart, help="Breaker or fuse of the circuit.")
    bonding_resistance = fields.Quantity(
        "resistance",
        low="0.1 mohm",
        high="100 ohm",
        help="Protective terminal to the machine's metal, greatest reading.",
    )
    bonding_conductor = fields.Part(ConductorPart, help="The conductor it was measured along, where it is known.")
    insulation = fields.Part(InsulationPart, help="Insulation to earth, drive disconnected on both sides.")
    polarity_correct = fields.Flag(help="Line on the line terminal, switch and breaker in the line.")
    rotation_correct = fields.Flag(help="Motor turns the right way.")
    no_load_current = fields.Quantity("current", low="1 mA", high="500 A", help="Motor line current, belt or tool off.")
    rated_current = fields.Quantity(
        "current", low="10 mA", high="500 A", help="Plate current for the connection in use."
    )
    emergency_stop_works = fields.Flag(help="It stops the machine and does not let it run again when released.")
    no_restart_after_power_return = fields.Flag(help="The machine stays still when the supply returns.")


@dataclass
class Bench:
    """What each test is judged with, and the list it is entered in."""

    sheet: Sheet
    book: View
    request: dict[str, Any]
    supply: Supply
    rows: list[dict[str, Any]] = field(default_factory=list)

    def enter(self, test: str, finding: Finding, reading: str = "") -> None:
        """Enter a judged test in the list."""
        row = {"test": test, "result": RESULTS[finding.outcome], "because": finding.because}
        self.rows.append({**row, "reading": reading} if reading else row)

    def missing(self, test: str, what: str) -> None:
        """Enter a test that was not made."""
        rule = self.book.rule("commissioning/missing-test")
        because = f"{what} was not tested."
        self.enter(test, self.sheet.find(Outcome.INCONCLUSIVE, rule, because=because))
        self.sheet.next_step(f"Test {what[0].lower()}{what[1:]}.")

    def function(self, test: str, name: str, rule_id: str, passed: str, failed: str) -> None:
        """Judge a test by function: true, false or not made."""
        rule = self.book.rule(rule_id)
        if name not in self.request:
            self.missing(test, rule.title)
            return
        good = self.request[name]
        finding = self.sheet.find(Outcome.ACCEPT if good else Outcome.REJECT, rule, because=passed if good else failed)
        self.enter(test, finding)
        if not good:
            self.sheet.next_step(self.book.text(rule_id))


def _rcd_half(bench: Bench, times: dict[str, Quantity], delay: str) -> None:
    if "half" not in times:
        bench.missing("rcd-half", "The RCD at half of its rating")
        return
    name = "half-hold-bs-7671" if bench.request["wiring_rules"] == "bs-7671" else "half-hold"
    if delay == "selective" and name == "half-hold":
        name = "half-hold-selective"
    limit = bench.book.limit(f"commissioning/{name}")
    held = times["half"]
    because = f"At half of its rating the RCD held for {held}; {limit.value} is asked for."
    finding = bench.sheet.compare(limit, held, because=because)
    bench.enter("rcd-half", finding, str(held))
    if finding.outcome is Outcome.REJECT:
        bench.sheet.next_step(bench.book.text("commissioning/trips-below-half"))


def _rcd_time(bench: Bench, test: str, reading: Quantity, point: str, delay: str) -> None:
    """One break time against the longest, and for a selective device the shortest, that its kind may take."""
    suffix = "-selective" if delay == "selective" else ""
    limit = bench.book.limit(f"commissioning/break-time-at-{point}{suffix}")
    words = "its rating" if point == "rating" else "five times its rating"
    because = f"At {words} the RCD broke in {reading}; {limit.value} is the longest allowed."
    finding = bench.sheet.compare(limit, reading, because=because)
    if finding.outcome is Outcome.REJECT:
        bench.sheet.next_step(bench.book.text("commissioning/trips-below-half"))
    if suffix:
        shortest = bench.book.limit(f"commissioning/non-trip-time-at-{point}-selective")
        because = f"A selective RCD must wait {shortest.value} at {words}; it broke in {reading}."
        waited = bench.sheet.compare(shortest, reading, because=because, otherwise=Outcome.CAUTION)
        finding = max(finding, waited, key=lambda found: found.outcome)
        if point == "five" and _protects_people(bench):
            general = bench.book.limit("commissioning/break-time-at-five")
            because = (
                f"Additional protection asks for {general.value} at {words}; this selective RCD broke in {reading}."
            )
            personal = bench.sheet.compare(general, reading, because=because, otherwise=Outcome.CAUTION)
            finding = max(finding, personal, key=lambda found: found.outcome)
    bench.enter(test, finding, str(reading))


def _judge_rcd(bench: Bench) -> None:
    rcd = bench.request["rcd"]
    times, delay = rcd.get("trip_times", {}), rcd.get("delay", "none")
    bench.sheet.next_step(bench.book.text("commissioning/rcd-test-point"))
    report_protection(bench.sheet, bench.book, bench.request)
    if rcd.get("type") in INTERRUPTERS:
        _judge_interrupter(bench, rcd, times)
        return
    _rcd_half(bench, times, delay)
    if "one" in times:
        _rcd_time(bench, "rcd-one", times["one"], "rating", delay)
        _report_other_views(bench, times["one"], delay)
        _report_short_delay(bench, rcd, times["one"], delay)
    else:
        bench.missing("rcd-one", "The RCD at its rating")
    _rcd_five(bench, times, delay)


def _protects_people(bench: Bench) -> bool:
    """Whether the rating is low enough to protect a person."""
    limit = bench.book.limit("rcd/additional-protection").value
    return bool(bench.request["rcd"]["rated_residual_current"].si <= limit.si * NEAR)


def _rcd_five(bench: Bench, times: dict[str, Quantity], delay: str) -> None:
    if "five" in times:
        _rcd_time(bench, "rcd-five", times["five"], "five", delay)
        return
    row = the_row(bench.book.table("commissioning/five-times-test"), wiring_rules=bench.request["wiring_rules"])
    if row.text("asked") == "yes" and _protects_people(bench):
        bench.missing("rcd-five", "The RCD at five times its rating")


def _report_other_views(bench: Bench, reading: Quantity, delay: str) -> None:
    """Laxer and stricter readings of the rules, reported beside the product standard."""
    if bench.request["wiring_rules"] == "iec-60364":
        lax = bench.book.limit("commissioning/break-time-iec-wiring-rules")
        because = f"Some read {lax.value} from the IEC wiring rules; the product standard decides."
        bench.sheet.compare(lax, reading, because=because, decides=False)
    if bench.supply.earthing == "tt" and delay != "selective":
        strict = bench.book.limit("commissioning/disconnection-time-tt")
        because = (
            f"A final circuit of a TT system is to disconnect in {strict.value}; at its rating the RCD took {reading}."
        )
        bench.sheet.compare(strict, reading, because=because, otherwise=Outcome.CAUTION, decides=False)


def _report_short_delay(bench: Bench, rcd: dict[str, Any], reading: Quantity, delay: str) -> None:
    """A short-time-delayed device that is quicker than its delay will not ride through a rush of current."""
    if delay != "short" and rcd.get("type") != "F":
        return
    shortest = bench.book.limit("commissioning/non-trip-time-short-delay")
    because = f"A short-time-delayed RCD waits about {shortest.value}; it broke in {reading}."
    bench.sheet.compare(shortest, reading, because=because, otherwise=Outcome.CAUTION, decides=False)


def _judge_interrupter(bench: Bench, rcd: dict[str, Any], times: dict[str, Quantity]) -> None:
    """North American device: break times against its inverse curve."""
    curve = bench.book.coefficients("rcd/ground-fault-interrupter-curve")
    limits = thresholds(rcd, bench.sheet, bench.book)
    trip = limits.must_trip
    if "half" in times:
        because = f"An interrupter is not timed at half of its rating: it must hold {said(limits.no_trip)}. Press its test button instead."
        bench.sheet.find(Outcome.ACCEPT, limits.no_trip_rule, because=because, decides=False)
    for test, name, multiple in (("rcd-one", "one", 1), ("rcd-five", "five", 5)):
        if name not in times:
            if name == "one":
                bench.missing(test, "The interrupter at its trip current")
            continue
        current = bench.sheet.step(f"test current, {multiple} times", "I = n × It", unit="mA", n=multiple, It=trip)
        longest = bench.sheet.step(
            f"longest trip time at {said(current)}", leakage.inverse_trip_time, unit="ms", rule=curve,
            A=curve["current"], I=current, n=curve["exponent"],
        )  # fmt: skip
        outcome = Outcome.ACCEPT if times[name].si <= longest.si * NEAR else Outcome.REJECT
        because = f"At {said(current)} it broke in {times[name]}; {said(longest)} is the longest allowed."
        finding = bench.sheet.find(outcome, curve, because=because, measured=times[name], limit=longest)
        bench.enter(test, finding, str(times[name]))


def _device_limit(bench: Bench, device: dict[str, Any]) -> Quantity:
    """Loop impedance at which breaker or fuse still disconnects in time, conductors warm."""
    if device["kind"] in BREAKERS:
        row = the_row(bench.book.table("commissioning/breaker-trip-multiple"), kind=device["kind"])
        factor = bench.book.constant("commissioning/loop-voltage-factor")
        return bench.sheet.step(
            "loop impedance at which the breaker trips at once", leakage.loop_limit, unit="ohm", rule=row["multiple"],
            c=factor.value, U=bench.supply.voltage, k=row.q("multiple"), In=device["rating"],
        )  # fmt: skip
    table = bench.book.table("commissioning/fuse-loop-limit")
    found = table.row(kind=device["kind"], rating=device["rating"])
    if found is None:
        known = ", ".join(str(entry.q("rating")) for entry in table.rows(kind=device["kind"]))
        message = f"no loop limit is tabulated for a {device['kind']} of {device['rating']}; known are {known}"
        raise contradiction("/protective_device/rating", message)
    return bench.sheet.looked_up("loop impedance at which the fuse disconnects in time", found["impedance"])


def _judge_loop(bench: Bench) -> None:
    request, sheet = bench.request, bench.sheet
    if bench.supply.earthing == "it":
        rule = bench.book.rule("commissioning/unearthed-supply")
        bench.enter("loop-impedance", sheet.find(Outcome.INCONCLUSIVE, rule, because=bench.book.text(rule.id)))
        sheet.next_step("Have an electrician judge how a first and a second earth fault are found and cleared here.")
        return
    if bench.supply.earthing == "tt" or (request["wiring_rules"] == "nfpa-70" and "loop_impedance" not in request):
        return
    if "loop_impedance" not in request or "protective_device" not in request:
        bench.missing("loop-impedance", "The earth fault loop impedance (with the protective device named)")
        return
    warm = _device_limit(bench, request["protective_device"])
    cold = bench.book.limit("commissioning/loop-limit")
    limit = sheet.step(
        "greatest loop impedance when measured cold", "Zc = k × Z", unit="ohm", rule=cold, k=cold.value, Z=warm
    )
    sheet.value("loop_impedance_limit", limit)
    measured = request["loop_impedance"]
    touch = bench.book.constant("rcd/touch-voltage").value.si / request["rcd"]["rated_residual_current"].si
    relies = limit.si < measured.si <= touch
    because = f"The loop reads {measured}; {said(limit)} lets the {request['protective_device']['kind']} clear a fault in time."
    if relies:
        because += " Only the RCD clears an earth fault here."
        sheet.next_step(
            "Find out why the loop impedance is high: the breaker or fuse alone does not clear an earth fault."
        )
    finding = sheet.compare(
        cold, measured, against=limit, because=because, otherwise=Outcome.CAUTION if relies else Outcome.REJECT,
        accuracy=half_width(measured, request.get("loop_impedance_accuracy")),
    )  # fmt: skip
    bench.enter("loop-impedance", finding, str(measured))


def _judge_electrode(bench: Bench) -> None:
    stated = bench.supply.electrode_resistance
    if bench.supply.earthing != "tt":
        if stated is not None:
            because = f"An earth electrode of {stated} is not judged on a {bench.supply.earthing.upper()} supply."
            rule = bench.book.rule("commissioning/electrode")
            bench.sheet.find(Outcome.ACCEPT, rule, because=because, measured=stated, decides=False)
        return
    measured = stated or bench.request.get("loop_impedance")
    if measured is None:
        bench.missing("earth-electrode", "The earth electrode or the loop through it")
        return
    touch = bench.book.constant("rcd/touch-voltage")
    limit = bench.sheet.step(
        "greatest resistance of the earth electrode", leakage.electrode_limit, unit="ohm", rule=touch, Ut=touch.value,
        I=bench.request["rcd"]["rated_residual_current"],
    )  # fmt: skip
    bench.sheet.value("electrode_resistance_limit", limit)
    because = f"The electrode reads {measured}; up to {said_at_most(limit)} the RCD keeps the touch voltage below {touch.value}."
    accuracy = half_width(measured, bench.request.get("loop_impedance_accuracy"))
    outcome = Outcome.ACCEPT if measured.si <= limit.si * NEAR else Outcome.REJECT
    if outcome is Outcome.ACCEPT and accuracy is not None and measured.si + accuracy.si > limit.si * NEAR:
        outcome = Outcome.CAUTION
    rule = bench.book.rule("commissioning/electrode")
    finding = bench.sheet.find(outcome, rule, because=because, measured=measured, limit=limit)
    stable = bench.book.limit("rcd/stable-electrode")
    because = f"An electrode above {stable.value} may drift with the weather; this one reads {measured}."
    steady = bench.sheet.compare(stable, measured, because=because, otherwise=Outcome.CAUTION)
    bench.enter("earth-electrode", max(finding, steady, key=lambda found: found.outcome), str(measured))


def _judge_bonding(bench: Bench) -> None:
    request, sheet = bench.request, bench.sheet
    if "bonding_resistance" not in request:
        bench.missing("bonding", "The continuity of the protective bonding")
        return
    rule = bench.book.limit("commissioning/bonding-resistance")
    limit = rule.value
    conductor = request.get("bonding_conductor")
    if conductor is not None:
        table = bench.book.table("commissioning/bonding-fits-conductor")
        row = table.row_at_or_below("cross_section", conductor["cross_section"])
        if row is None:
            raise contradiction(
                "/bonding_conductor/cross_section", "thinner than any protective conductor; measure it again"
            )
        fits = sheet.step(
            "resistance that length and cross-section make", "R = r × l", unit="mohm", rule=row["resistance"],
            r=row.q("resistance"), l=conductor["length"],
        )  # fmt: skip
        limit = max(limit, fits, key=lambda resistance: resistance.si)
    sheet.value("bonding_resistance_limit", limit)
    measured = request["bonding_resistance"]
    because = f"The protective bonding reads {measured}; {said(limit)} is the most it should."
    bench.enter("bonding", sheet.compare(rule, measured, against=limit, because=because), str(measured))


def _judge_insulation(bench: Bench) -> None:
    reading = bench.request.get("insulation")
    if reading is None:
        bench.missing("insulation", "The insulation to earth, the drive disconnected")
        return
    sheet, measured = bench.sheet, reading["resistance"]
    limit = bench.book.limit("commissioning/insulation-minimum")
    accuracy = half_width(measured, reading.get("measurement_accuracy"))
    because = f"Insulation to earth reads {measured} at {reading['test_voltage']}; {limit.value} is the least."
    finding = sheet.compare(limit, measured, because=because, accuracy=accuracy)
    suffix = "-equipment" if reading["equipment_connected"] else ""
    voltage = bench.book.limit(f"commissioning/insulation-test-voltage{suffix}")
    because = f"Tested at {reading['test_voltage']}; below {voltage.value} a good reading proves nothing."
    proof = sheet.compare(voltage, reading["test_voltage"], because=because, otherwise=Outcome.INCONCLUSIVE)
    bench.enter("insulation", max(finding, proof, key=lambda found: found.outcome), str(measured))
    if proof.outcome is not Outcome.ACCEPT:
        sheet.next_step(f"Repeat the insulation test at {voltage.value} DC, the drive disconnected on both sides.")
    sheet.caution("caution/never-test-through-a-drive", "caution/discharge-after-test")


def _judge_no_load(bench: Bench) -> None:
    request, sheet = bench.request, bench.sheet
    if "no_load_current" not in request or "rated_current" not in request:
        bench.missing("no-load-current", "The no-load current against the plate")
        return
    limit, usual = (
        bench.book.limit("commissioning/no-load-current"),
        bench.book.limit("commissioning/usual-no-load-current"),
    )
    share = sheet.step(
        "no-load current as a share of the plate current", "k = I0 / In", unit="%", rule=limit,
        I0=request["no_load_current"], In=request["rated_current"],
    )  # fmt: skip
    sheet.value("no_load_share", share)
    words = f"Without load the motor draws {request['no_load_current']}, {said(share)} of its plate current"
    least = bench.book.limit("commissioning/least-no-load-current")
    if share.si < least.value.si / NEAR:
        because = (
            f"{words}: too little to magnetise it. Look for an open phase, a dead drive output or the wrong range."
        )
        finding = sheet.compare(least, share, because=because, otherwise=Outcome.CAUTION)
    elif share.si <= limit.value.si * NEAR:
        finding = sheet.compare(
            usual, share, because=f"{words}; up to {usual.value} is usual.", otherwise=Outcome.CAUTION
        )
    else:
        finding = sheet.compare(limit, share, because=f"{words}: its iron is saturated or it is wrongly connected.")
    bench.enter("no-load-current", finding, str(request["no_load_current"]))
    if finding.outcome is not Outcome.ACCEPT:
        sheet.next_step(
            "Check the connection against the plate and the voltage at the base frequency (connection-choice)."
        )


def _summary(rows: list[dict[str, Any]]) -> str:
    """How many tests passed, and what stands in the way."""
    names = {result: [row["test"] for row in rows if row["result"] == result] for result in RESULTS.values()}
    passed = f"{len(names['passed'])} of {len(rows)} tests passed"
    troubles = [
        f"{word}: {', '.join(names[result])}"
        for result, word in (("failed", "failed"), ("missing", "not proven"), ("caution", "to be watched"))
        if names[result]
    ]
    if not troubles:
        return f"{passed}; the machine is fit to hand over."
    fit = "; it must not be used" if names["failed"] else ""
    return f"{passed} ({'; '.join(troubles)}){fit}."


def answer(request: dict[str, Any], book: View) -> Answer:
    """Answer the question: the tests in the order they are made, dead tests and live ones alike."""
    sheet = QUESTION.sheet(book)
    bench = Bench(sheet, book, request, supply_in_force(request, sheet, book))
    if not bench.supply.earthing and request["wiring_rules"] != "nfpa-70":
        rule = book.rule("commissioning/earthing-when-unstated")
        sheet.assume("supply/earthing", book.text(rule.id), rule)
    sheet.caution("caution/isolate-and-lock-off", "caution/local-code-and-licensed-practice")
    _judge_bonding(bench)
    _judge_insulation(bench)
    bench.function(
        "polarity", "polarity_correct", "commissioning/polarity", "Line and neutral are on their terminals.",
        "Line and neutral are swapped: switching off leaves the machine live.",
    )  # fmt: skip
    _judge_loop(bench)
    _judge_electrode(bench)
    _judge_rcd(bench)
    bench.function(
        "rotation", "rotation_correct", "commissioning/rotation", "The motor turns the right way.",
        "The motor turns the wrong way: a chuck or tool can unscrew.",
    )  # fmt: skip
    _judge_no_load(bench)
    bench.function(
        "emergency-stop", "emergency_stop_works", "commissioning/emergency-stop",
        "The emergency stop stops the machine and holds it stopped.", "The emergency stop does not work.",
    )  # fmt: skip
    bench.function(
        "no-restart", "no_restart_after_power_return", "commissioning/restart",
        "The machine stays still when the supply returns.", "The machine starts by itself when the supply returns.",
    )  # fmt: skip
    sheet.value("tests", bench.rows)
    sheet.value("missing", [row["test"] for row in bench.rows if row["result"] == "missing"])
    return sheet.answer(_summary(bench.rows))


QUESTION = Question(
    name="commissioning-check",
    order=110,
    title="Commissioning check",
    summary="Whether the tests before handing over were all made and passed: RCD, loop, bonding, insulation, functions.",
    request=CommissioningRequest,
    values={
        "tests": out.rows(
            {
                "test": out.choice(TESTS, "Which test."),
                "result": out.choice(list(RESULTS.values()), "How it ended."),
                "reading": out.text("What was read."),
                "because": out.text("Reading against limit."),
            },
            "Every test that belongs to this machine, in the order made.",
        ),
        "missing": out.texts("Tests that were not made, or not in a way that proves anything."),
        "loop_impedance_limit": out.quantity("resistance", "ohm", "Greatest loop impedance, measured cold."),
        "electrode_resistance_limit": out.quantity("resistance", "ohm", "TT: greatest electrode resistance."),
        "bonding_resistance_limit": out.quantity("resistance", "ohm", "Greatest resistance of the bonding."),
        "no_load_share": out.quantity("ratio", "%", "No-load current as a share of the plate current."),
    },
    answer=answer,
    rules=("commissioning/*", "rcd/*", "leakage/supply-default", "caution/*"),
    example={
        "wiring_rules": "bs-7671",
        "rcd": {"rated_residual_current": "30 mA", "type": "F", "trip_times": {"half": "2000 ms", "one": "38 ms", "five": "19 ms"}},
        "supply": {"earthing": "tn-c-s"},
        "loop_impedance": "0.62 ohm",
        "protective_device": {"kind": "mcb-c", "rating": "16 A"},
        "bonding_resistance": "0.07 ohm",
        "insulation": {"resistance": "48 Mohm", "test_voltage": "500 V"},
        "polarity_correct": True,
        "rotation_correct": True,
        "no_load_current": "2.6 A",
        "rated_current": "5.4 A",
        "emergency_stop_works": True,
        "no_restart_after_power_return": True,
    },
)  # fmt: skip
