"""Will the RCD hold with what stands behind it, and does it still protect?

In the trade's order: what leaks with everything sound; what the wiring rules leave room for; what a worn motor
adds through the drive; whether the device is of a type that sees such currents; what stands ahead of it; then
what to do, with the number each remedy would bring.
"""

from __future__ import annotations

from typing import Any

from millphase.answer import Answer, Outcome, Sheet
from millphase.physics import leakage
from millphase.quantity import Quantity
from millphase.questions import _leakage_rcd as device
from millphase.questions._leakage_faults import fault_points, faults_of, worst_voltage
from millphase.questions._leakage_items import CLASS_KINDS, Bench, Item, drive_name, items_of
from millphase.questions._leakage_remedies import (
    NEAR,
    Case,
    add,
    comparison,
    leak_together,
    own_items,
    remedies,
    several,
)
from millphase.questions._residual_current import (
    INPUTS,
    INTERRUPTER_NAMES,
    INTERRUPTERS,
    TYPES,
    RcdPart,
    SupplyPart,
    budget_limit,
    said,
    said_against,
    supply_in_force,
    the_row,
    thresholds,
)  # fmt: skip
from millphase.questions.base import Part, Question, Request, View, accuracy_part, fields, half_width, out
from millphase.rulebook.model import Limit

KINDS = [
    "class-ii-appliance", "class-i-portable", "class-i-stationary-motor", "computer", "monitor", "printer", "copier",
    "washing-machine", "tumble-dryer", "dishwasher", "ballast", "led-luminaire", "lamp-circuit", "dc-supply", "mains-motor",
]  # fmt: skip
VERDICTS = ["within-budget", "over-budget", "may-trip", "certain-trip"]
STRONG_EARTH = ["single-10-mm2", "two", "monitored"]


class LoadPart(Part):
    """A load that is not a drive."""

    name = fields.Text(high=60, help="What it is called.")
    kind = fields.Choice(KINDS + CLASS_KINDS, help="Sort of load, where its leakage is not known.")
    leakage = fields.Quantity("current", low="0 mA", high="1 A", zero=True, help="Declared or measured leakage of one.")
    count = fields.Count(low=1, high=1000, default=1, help="How many of them.")
    rated_current = fields.Quantity("current", low="10 mA", high="125 A", help="For the kinds judged by rated current.")
    rated_power = fields.Quantity("power", low="10 W", high="50 kW", help="For a heating appliance.")
    length = fields.Quantity("length", low="0.1 m", high="500 m", help="Run of wire to an undeclared load.")


class MotorCablePart(Part):
    """Cable between drive and motor."""

    length = fields.Quantity("length", low="0.1 m", high="300 m", required=True, help="Length of the motor cable.")
    screened = fields.Flag(help="Whether it is screened; taken as screened, the greater leakage, where not stated.")


class DrivePart(Part):
    """A variable-frequency drive."""

    name = fields.Text(high=60, help="What it is called.")
    filter_leakage = fields.Quantity(
        "current", low="0 mA", high="1 A", zero=True, help="Earth leakage from the drive's instructions, filter in."
    )
    filter_leakage_voltage = fields.Quantity("voltage", low="50 V", high="500 V", help="Voltage it is declared for.")
    filter_leakage_frequency = fields.Quantity(
        "frequency", low="40 Hz", high="70 Hz", help="Frequency it is declared for."
    )
    y_capacitance = fields.Quantity("capacitance", low="10 pF", high="10 uF", help="Filter capacitor, line to earth.")
    input = fields.Choice(INPUTS, default="line-neutral", help="How the drive is fed.")
    boost_stage = fields.Flag(
        default=False, help="Active power-factor stage, doubler or half-wave rectifier ahead of the DC link."
    )
    carrier_frequency = fields.Quantity("frequency", low="500 Hz", high="100 kHz", help="Carrier frequency in use.")
    motor_cable = fields.Part(MotorCablePart, help="Cable to the motor.")
    motor_insulation = fields.Quantity(
        "resistance", low="1 ohm", high="1000 Gohm", help="Least insulation resistance of motor and cable to earth."
    )
    rcd_type_instruction = fields.Choice(["A", "F", "B"], help="RCD type that the drive's own instructions name.")
    connection = fields.Choice(["plug", "industrial-plug", "fixed"], help="How it is connected to the supply.")
    protective_conductor = fields.Choice(
        ["single", *STRONG_EARTH], help="Its protective conductor: single, single of 10 mm2, two, or monitored."
    )


class CircuitPart(Part):
    """A run of fixed wiring behind the RCD."""

    name = fields.Text(high=60, help="What it is called.")
    length = fields.Quantity("length", low="0.1 m", high="2000 m", required=True, help="Length of line conductor.")
    wiring = fields.Choice(["cable", "metal-conduit"], default="cable", help="How it is run.")


class LeakageSupplyPart(SupplyPart):
    """The supply, with what a line-line fed drive hangs on."""

    lines = fields.Choice(
        ["split-phase", "star"],
        help="Line-line fed drives: the two halves of a centre-earthed supply (120/240 V), or two lines of a star.",
    )


class LeakageRequest(Request):
    """What stands behind one RCD."""

    rcd = fields.Part(RcdPart, required=True, help="The device that trips, or is to hold.")
    upstream_rcd = fields.Part(RcdPart, help="The device ahead of it, where there is one.")
    supply = fields.Part(LeakageSupplyPart, help="The supply.")
    # marshmallow has a method of this name, which its metaclass keeps out of reach of the field
    loads = fields.Many(fields.Part(LoadPart), high=100, help="Loads other than drives.")  # type: ignore[assignment]
    drives = fields.Many(fields.Part(DrivePart), high=20, help="Drives.")
    circuits = fields.Many(fields.Part(CircuitPart), high=50, help="Fixed wiring.")
    measured_standing = fields.Quantity(
        "current", low="0 mA", high="30 A", zero=True,
        help="Residual current read with everything connected and switched on, motors at standstill. It takes the "
        "place of what is listed.",
    )  # fmt: skip
    measured_bandwidth = fields.Choice(
        ["low-pass", "wideband"], help="Whether the clamp's low-pass filter was on; taken as wideband if not stated."
    )
    measurement_accuracy = accuracy_part("current")


def _lines(request: dict[str, Any], sheet: Sheet, book: View) -> str:
    """What the two lines of line-line fed drives are; empty where there is no such drive."""
    inputs = {drive["input"] for drive in request.get("drives", [])}
    if inputs - {"line-neutral"} and "voltage" in request.get("supply", {}):
        rule = book.rule("leakage/voltage-to-earth")
        sheet.assume("supply/voltage", f"{request['supply']['voltage']} {book.text(rule.id)}", rule)
    if "line-line" not in inputs:
        return ""
    stated = request.get("supply", {}).get("lines")
    if stated is None:
        row = the_row(book.table("leakage/two-lines"), wiring_rules=request["wiring_rules"])
        stated = row.text("lines")
        sheet.assume("supply/lines", stated, row["lines"])
    return str(stated)


def _work_out(bench: Bench, request: dict[str, Any]) -> Case:
    """Standing leakage, budget and running currents, each on the sheet."""
    sheet, book = bench.sheet, bench.book
    items = items_of(bench, request)
    counted = [item for item in items if item.counts]
    limits = thresholds(request["rcd"], sheet, book)
    share = budget_limit(request, book)
    budget = sheet.step(
        "budget for standing leakage", "B = k × In", unit="mA", rule=share, k=share.value, In=limits.rating
    )
    if several(counted):
        factor = book.constant("leakage/coincidence")
        sheet.assume("coincidence factor", factor.value, factor)
    standing = leak_together(bench, "standing leakage, every item at its limit", counted)
    typical = standing
    if any(item.expected.si != item.limit.si for item in counted):
        typical = leak_together(bench, "standing leakage as expected", counted, expected=True)
    faults = faults_of(bench, request)
    present = [fault for fault in faults if fault is not None]
    if not present:
        return Case(bench, request, items, limits, budget, standing, typical, typical, standing, faults)
    mains = add(bench, "insulation currents at supply frequency", [fault.mains for fault in present])
    bounds = add(bench, "insulation currents, bounding", [fault.bound for fault in present])
    expected = sheet.step(
        "expected residual current at supply frequency, running",
        leakage.quadrature_sum,
        unit="mA",
        Ic=typical,
        Ir=mains,
    )
    bound = add(bench, "bounding residual current, running", [standing, bounds])
    return Case(bench, request, items, limits, budget, standing, typical, expected, bound, faults)


def _judge_standing(case: Case) -> None:
    """Budget, holding and certain trip; the sum that cannot be exceeded decides."""
    sheet, request = case.bench.sheet, case.request
    share = budget_limit(request, case.bench.book)
    if not any(item.counts for item in case.items):
        sheet.find(Outcome.INCONCLUSIVE, share, because="Nothing behind the RCD is listed and nothing was measured.")
        sheet.next_step("List the loads and drives behind the RCD, or measure its standing leakage with a clamp.")
        return
    doubtful = _judge_bandwidth(case)
    accuracy = None
    if "measured_standing" in request:
        accuracy = half_width(request["measured_standing"], request.get("measurement_accuracy"))
        _judge_against_declared(case)
    sheet.compare(
        share, case.standing, against=case.budget, accuracy=accuracy,
        otherwise=Outcome.INCONCLUSIVE if doubtful else Outcome.CAUTION,
        because=f"Standing leakage {said_against(case.standing, case.budget)} against a budget of {said(case.budget)} "
        f"({said(share.value.to('%'))} of {case.limits.rating}).",
    )  # fmt: skip
    older = case.bench.book.limit("leakage/older-budget-share")
    strict = Quantity(older.value.si * case.limits.rating.si, "mA", "current")
    if strict.si * NEAR < case.standing.si <= case.budget.si * NEAR:
        because = f"Over the {said(strict)} that older practice allowed; not deciding."
        sheet.compare(older, case.standing, against=strict, otherwise=Outcome.CAUTION, decides=False, because=because)
    _judge_hold(case, doubtful, accuracy)


def _wideband(request: dict[str, Any]) -> bool:
    """Whether the standing leakage rests on a reading that may hold carrier-frequency current."""
    return "measured_standing" in request and request.get("measured_bandwidth") != "low-pass"


def _judge_bandwidth(case: Case) -> bool:
    """Say what a wideband reading is worth; true where it leaves the question open."""
    if not _wideband(case.request):
        return False
    if "measured_bandwidth" not in case.request:
        case.bench.sheet.assume("measured_bandwidth", "wideband", case.bench.book.rule("leakage/reading-when-unstated"))
    if case.standing.si > case.budget.si * NEAR:
        case.bench.sheet.next_step(
            "Repeat the reading with the clamp's low-pass filter on. "
            + case.bench.book.text("leakage/reading-bandwidth")
        )
    return True


def _judge_against_declared(case: Case) -> None:
    """A reading far below what the filters are declared for was hardly taken with the drives switched on."""
    limit = case.bench.book.limit("leakage/reading-against-declared")
    declared = [
        item.limit for item in _filters(case)
        if case.drives[item.drive]["input"] == "line-neutral" and item.basis != "assumed"
    ]  # fmt: skip
    if not declared:
        return
    total = add(case.bench, "leakage the filters are declared for", declared)
    share = case.bench.sheet.step(
        "reading as a share of it", "k = S / D", unit="%", rule=limit, S=case.standing, D=total
    )
    if share.si < limit.value.si / NEAR:
        because = (
            f"{said(case.standing)} was read where the filters alone are declared for {said(total)}: were the drives "
            "switched on, and line and neutral in the clamp together?"
        )
        case.bench.sheet.compare(limit, share, because=because, otherwise=Outcome.INCONCLUSIVE)
        case.bench.sheet.next_step(
            "Repeat the reading with every drive switched on, line and neutral together in the clamp."
        )


def _judge_hold(case: Case, doubtful: bool, accuracy: Quantity | None) -> None:
    sheet, limits = case.bench.sheet, case.limits
    estimated = case.typical.si + case.bound.si - case.standing.si <= limits.no_trip.si * NEAR
    otherwise = Outcome.INCONCLUSIVE if doubtful else Outcome.CAUTION if estimated else Outcome.REJECT
    what = f"{said_against(case.standing, limits.no_trip)} standing"
    if case.typical.si < case.standing.si / NEAR:
        what += f" at the limits ({said(case.typical)} as a rule)"
    if case.bound.si > case.standing.si * NEAR:
        what += f" and {said(case.expected)} expected while running, at most {said_against(case.bound, limits.no_trip)}"
    sheet.compare(
        limits.no_trip_rule, case.bound, against=limits.no_trip, otherwise=otherwise, accuracy=accuracy,
        because=f"The device must hold up to {limits.no_trip}; there is {what}.",
    )  # fmt: skip
    if case.verdict(case.standing, case.bound, case.expected) == "certain-trip":
        _time_interrupter(case)
        sheet.find(
            Outcome.INCONCLUSIVE if doubtful else Outcome.REJECT, limits.must_trip_rule, measured=case.expected,
            limit=limits.must_trip, because=f"{said(case.expected)} is at or above {limits.must_trip}: the RCD must trip.",
        )  # fmt: skip
    if estimated and case.bound.si > limits.no_trip.si * NEAR:
        sheet.next_step("Measure the standing leakage with a low-pass clamp: the sum rests on limits, not on readings.")


def _time_interrupter(case: Case) -> None:
    """How long a North American device may take over the expected current, by its inverse curve."""
    if case.request["rcd"].get("type") not in INTERRUPTERS:
        return
    curve = case.bench.book.coefficients("rcd/ground-fault-interrupter-curve")
    longest = case.bench.sheet.step(
        "longest time the interrupter may take to trip", leakage.inverse_trip_time, unit="s", rule=curve,
        A=curve["current"], I=case.expected, n=curve["exponent"],
    )  # fmt: skip
    case.bench.sheet.value("longest_trip_time", longest)


def _judge_insulation(case: Case) -> None:
    """Can a motor's insulation be what trips the RCD?"""
    limit = case.bench.book.limit("leakage/cannot-be-the-cause")
    for index, (drive, fault) in enumerate(zip(case.drives, case.faults, strict=True)):
        if fault is None:
            continue
        name = drive_name(drive, index)
        share = case.bench.sheet.step(
            f"share of the rating that the motor insulation of {name} can let through", "k = I / In", unit="%",
            rule=limit, I=fault.bound, In=case.limits.must_trip,
        )  # fmt: skip
        if share.si <= limit.value.si * NEAR:
            alone = "by itself " if case.insulation_matters else ""
            because = (
                f"{drive['motor_insulation']} lets at most {said(fault.bound)} through: the motor of {name} cannot {alone}be "
                "what trips this RCD; look elsewhere."
            )
            case.bench.sheet.next_step(
                f"Look for the trip elsewhere than in the insulation of {name}: filter, motor cable, other loads, or "
                "the RCD itself (trip-diagnosis puts them in order)."
            )
        else:
            because = (
                f"{drive['motor_insulation']} lets {said(fault.total)} through in all, {said(fault.mains)} of it at supply "
                f"frequency, and never more than {said(fault.bound)}."
            )
            case.bench.sheet.next_step(
                f"Judge the motor insulation of {name} with insulation-acceptance before it runs."
            )
        case.bench.sheet.compare(limit, share, because=because, otherwise=Outcome.CAUTION)


def _ageing(case: Case) -> None:
    """From what insulation resistance downwards the RCD may trip, and below what it must."""
    sheet, voltage, limits = case.bench.sheet, case.bench.supply.voltage, case.limits
    if case.standing.si * NEAR >= limits.no_trip.si:
        return
    worst, what = worst_voltage(case.bench, case.drives), "insulation resistance below which the RCD may trip"
    begins = sheet.step(
        what, "R = U / (I − S)", unit="kohm", rule=limits.no_trip_rule, U=worst, I=limits.no_trip, S=case.standing
    )
    sheet.value("insulation_for_half_trip", begins)
    if case.typical.si < limits.must_trip.si and not any(device.smooth_dc(drive) for drive in case.drives):
        formula = "R = U / (2 × √(I² − S²))" if case.drives else "R = U / √(I² − S²)"
        certain = sheet.step(
            "insulation resistance below which the RCD must trip", formula, unit="kohm", rule=limits.must_trip_rule,
            U=voltage, I=limits.must_trip, S=case.typical,
        )  # fmt: skip
        sheet.value("insulation_for_certain_trip", certain)


def _filters(case: Case) -> list[Item]:
    """The filter of every drive that has one, also where a reading stands for the whole circuit."""
    own = [item for index in range(len(case.drives)) for item in own_items(case, index)]
    return [item for item in own if item.kind == "drive-filter" and item.limit.si > 0]


def _judge_earth(case: Case) -> None:
    """What the protective conductors must be for the current they carry in normal use."""
    sheet, book = case.bench.sheet, case.bench.book
    least = book.limit("leakage/protective-conductor-current")
    for item in _filters(case):
        if item.limit.si > least.value.si * NEAR:
            _judge_drive_earth(case, item, least)
    circuit = book.limit("leakage/high-integrity-earth-current")
    if case.standing.si > circuit.value.si * NEAR:
        because = f"The circuit carries {said(case.standing)} in its protective conductor, above {circuit.value}."
        sheet.compare(circuit, case.standing, because=because, otherwise=Outcome.CAUTION, decides=False)
        sheet.next_step(book.text("leakage/high-integrity-earth"))


def _judge_drive_earth(case: Case, item: Item, least: Limit) -> None:
    """A drive above the current from which it needs more than an ordinary plug and conductor."""
    sheet, book, drive = case.bench.sheet, case.bench.book, case.drives[item.drive]
    rule, need = book.rule("leakage/reinforced-earth"), book.text("leakage/reinforced-earth")
    name, current = drive_name(drive, item.drive), said(item.limit)
    connection, conductor = drive.get("connection"), drive.get("protective_conductor")
    if connection in ("fixed", "industrial-plug") and conductor in STRONG_EARTH:
        because = f"{name} carries {current} in its protective conductor and has the connection this asks for."
        sheet.find(Outcome.ACCEPT, rule, because=because)
        return
    stated = connection is not None and conductor is not None
    because = f"{name} carries {current} in its protective conductor, above {least.value}: it needs a reinforced earth."
    outcome = Outcome.REJECT if stated else Outcome.CAUTION
    sheet.compare(least, item.limit, because=because, otherwise=outcome, decides=stated)
    sheet.next_step(f"{name}: {need[0].lower()}{need[1:]}")


def _judge_circumstances(case: Case) -> None:
    """Carrier current, unearthed supplies, and the rush of current at switch-on."""
    sheet, book, request = case.bench.sheet, case.bench.book, case.request
    for item in case.items:
        if item.kind == "carrier" and item.limit.si > case.limits.must_trip.si * NEAR:
            rule = book.rule("leakage/carrier-current")
            because = (
                f"The {item.what} is of the order of {said(item.limit)}; how much of it an RCD sees depends on the RCD."
            )
            sheet.find(Outcome.CAUTION, rule, because=because, measured=item.limit, decides=False)
            sheet.next_step(book.text(rule.id))
    filters = _filters(case)
    if not filters:
        return
    sheet.assume("supply neutral", book.text("leakage/neutral-earthed"), book.rule("leakage/neutral-earthed"))
    if case.bench.supply.earthing == "it":
        rule = book.rule("leakage/filter-on-unearthed-supply")
        sheet.find(Outcome.CAUTION, rule, because="The supply is unearthed and a drive has a filter to earth.")
        sheet.next_step(book.text("leakage/filter-on-unearthed-supply"))
    rcd = request["rcd"]
    if rcd.get("type") in ("AC", "A", *INTERRUPTERS) and rcd.get("delay", "none") == "none":
        because = f"{len(filters)} drive filter{'s' if len(filters) > 1 else ''} behind an RCD without delay."
        sheet.find(Outcome.CAUTION, book.rule("leakage/switch-on"), because=because, decides=False)
        sheet.next_step(book.text("leakage/switch-on"))


def _values(case: Case, least: str) -> None:
    """Everything worked out, by its name."""
    sheet = case.bench.sheet
    share = sheet.step("share of the budget", "k = S / B", unit="%", S=case.standing, B=case.budget)
    trip = sheet.step(
        "share of the trip current, bounding", "k = I / In", unit="%", rule=case.limits.no_trip_rule, I=case.bound,
        In=case.limits.must_trip,
    )  # fmt: skip
    present = [fault for fault in case.faults if fault is not None]
    if any(item.counts for item in case.items):
        sheet.value("verdict", case.verdict(case.standing, case.bound, case.expected))
    sheet.value("standing_leakage", case.standing.to("mA"))
    sheet.value("standing_leakage_expected", case.typical.to("mA"))
    sheet.value("budget", case.budget)
    sheet.value("budget_share", share)
    sheet.value("trip_share", trip)
    sheet.value("running_current_expected", case.expected.to("mA"))
    sheet.value("running_current_bounding", case.bound.to("mA"))
    sheet.value("least_rcd_type", least)
    sheet.value("protective_conductor_current", case.standing.to("mA"))
    if present:
        sheet.value(
            "fault_current_50hz", add(case.bench, "fault current at supply frequency", [f.mains for f in present])
        )
        sheet.value(
            "fault_current_total", add(case.bench, "fault current, all frequencies", [f.total for f in present])
        )
        sheet.value("fault_current_bounding", add(case.bench, "fault current, bounding", [f.bound for f in present]))
        sheet.value("fault_points", fault_points(case.bench, case.request))
    sheet.value("items", [item.row() for item in case.items])
    sheet.value("trip_windows", device.windows(case.bench, case.request))


def _remedy(case: Case) -> None:
    alone = comparison(case)
    case.bench.sheet.value("comparison", alone)
    found: list[dict[str, Any]] = []
    if case.verdict(case.standing, case.bound, case.expected) != "within-budget":
        found = remedies(case, alone[1:])
        case.bench.sheet.next_step(*(row["advice"] for row in found))
    case.bench.sheet.value("remedies", found)
    case.bench.sheet.value("never", case.bench.book.steps("leakage/never-a-remedy"))


def _summary(case: Case, least: str) -> str:
    """One sentence: what it comes to, whether it holds, and the type."""
    kind = case.request["rcd"].get("type")
    named = f"the {case.limits.rating} RCD" if kind in (*TYPES, None) else f"the {INTERRUPTER_NAMES[kind]}"
    if not any(item.counts for item in case.items):
        return f"Nothing is known of what stands behind {named}; list it or measure it."
    limits = case.limits
    verdict = {
        "within-budget": f"is within its budget of {said(case.budget)}",
        "over-budget": f"is over its budget of {said(case.budget)} but must hold up to {said(limits.no_trip)}",
        "may-trip": f"may trip: it need only hold {said(limits.no_trip)}",
        "certain-trip": f"must trip: it trips at {said(limits.must_trip)}",
    }[case.verdict(case.standing, case.bound, case.expected)]
    beside = case.budget if case.standing.si <= limits.no_trip.si * NEAR else limits.no_trip
    current = f"{said_against(case.standing, beside)} of standing leakage"
    if case.insulation_matters:
        motors = "motor" if sum(fault is not None for fault in case.faults) == 1 else "motors"
        current += f" and up to {said_against(case.bound, limits.no_trip)} with the {motors} running"
    sentence = f"With {current}, {named} {verdict}"
    worse = _other_trouble(case)
    if worse:
        return f"{sentence}, but {worse}"
    if _wideband(case.request) and case.standing.si > case.budget.si * NEAR:
        return f"{sentence}; but a wideband reading may hold current that the RCD does not see: repeat it with the filter on."
    if kind in TYPES and TYPES.index(kind) < TYPES.index(least):
        sentence += f", and type {least} is asked for where it is type {kind}"
    if any(case.faults) and not case.insulation_matters:
        sentence += "; the motor insulation cannot be what trips it"
    return sentence + "."


def _other_trouble(case: Case) -> str:
    """Why the answer is refused or left open on other grounds than the amount of leakage, or nothing."""
    findings = case.bench.sheet.findings
    amount = {
        case.limits.no_trip_rule.id,
        case.limits.must_trip_rule.id,
        budget_limit(case.request, case.bench.book).id,
    }
    worst = case.bench.sheet.outcome
    if worst < Outcome.INCONCLUSIVE or any(
        f.outcome is worst and f.cited.rule in amount for f in findings if f.decides
    ):
        return ""
    words = next(f.because for f in findings if f.outcome is worst and f.decides)
    return (
        words
        if words.startswith(tuple(drive_name(d, n) for n, d in enumerate(case.drives)))
        else words[0].lower() + words[1:]
    )


def answer(request: dict[str, Any], book: View) -> Answer:
    """Answer the question, in the order an electrician would take it."""
    sheet = QUESTION.sheet(book)
    bench = Bench(sheet, book, supply_in_force(request, sheet, book), _lines(request, sheet, book))
    case = _work_out(bench, request)
    least = device.least_type(bench, request)
    _values(case, least)
    _judge_standing(case)
    _judge_insulation(case)
    _ageing(case)
    device.judge_type(bench, request, least)
    device.judge_upstream(bench, request, least, case.standing)
    device.judge_electrode(bench, request)
    device.report_protection(sheet, book, request)
    _judge_earth(case)
    _judge_circumstances(case)
    _remedy(case)
    sheet.caution("caution/never-defeat-rcd", "caution/never-lift-earth")
    if case.drives:
        sheet.caution("caution/isolate-and-lock-off", "caution/dc-link-wait")
    sheet.caution("caution/local-code-and-licensed-practice")
    return sheet.answer(_summary(case, least))


_CURRENT_ROW = {
    "current": out.quantity("current", "mA", "Residual current it comes to, bounding."),
    "trip_share": out.quantity("ratio", "%", "That current as a share of the trip current."),
    "verdict": out.choice(VERDICTS, "How the RCD takes it."),
}

QUESTION = Question(
    name="leakage-budget",
    order=80,
    title="Leakage budget",
    summary="Whether an RCD holds with the drives and loads behind it, whether it still protects, and what to change.",
    request=LeakageRequest,
    values={
        "verdict": out.choice(VERDICTS, "In one word how the RCD takes what stands behind it."),
        "standing_leakage": out.quantity("current", "mA", "Sum of what leaks with everything sound, each at its limit."),
        "standing_leakage_expected": out.quantity("current", "mA", "The same with typical figures where they are known."),
        "budget": out.quantity("current", "mA", "What the wiring rules leave to standing leakage."),
        "budget_share": out.quantity("ratio", "%", "Standing leakage as a share of the budget."),
        "trip_share": out.quantity("ratio", "%", "Bounding current as a share of the current that must trip the RCD."),
        "running_current_expected": out.quantity(
            "current", "mA", "Residual current at supply frequency with the motors running, in quadrature."
        ),
        "running_current_bounding": out.quantity("current", "mA", "Plain sum that cannot be exceeded; it decides."),
        "fault_current_50hz": out.quantity("current", "mA", "Motor insulation current at supply frequency."),
        "fault_current_total": out.quantity("current", "mA", "Motor insulation current, all frequencies."),
        "fault_current_bounding": out.quantity("current", "mA", "The same fault on the supply side of the drive."),
        "fault_points": out.rows(
            {
                "drive": out.text("Which drive."),
                "fault_at": out.choice(["motor", "dc-link-pole", "supply-side"], "Where the fault is."),
                "total": out.quantity("current", "mA", "All frequencies, r.m.s."),
                "at_supply_frequency": out.quantity("current", "mA", "Part at supply frequency."),
                "at_motor_frequency": out.quantity("current", "mA", "Part at the motor's frequency, full modulation."),
                "mean": out.quantity("current", "mA", "Mean of a pulsating current."),
            },
            "The stated insulation resistance as a fault at three places.",
        ),
        "insulation_for_half_trip": out.quantity(
            "resistance", "kohm", "Insulation resistance below which the RCD may begin to trip, bounding."
        ),
        "insulation_for_certain_trip": out.quantity(
            "resistance", "kohm", "Insulation resistance below which the RCD must trip, expected."
        ),
        "least_rcd_type": out.choice(TYPES, "Least RCD type that detects what these loads can let through."),
        "longest_trip_time": out.quantity(
            "duration", "s", "Interrupters: the longest they may take to trip, where they must."
        ),
        "electrode_resistance_limit": out.quantity("resistance", "ohm", "TT supplies: greatest electrode resistance."),
        "protective_conductor_current": out.quantity("current", "mA", "What the protective conductor carries in normal use."),
        "items": out.rows(
            {
                "what": out.text("Source of leakage."),
                "kind": out.choice(["load", "wiring", "drive-filter", "motor-cable", "carrier", "measured"], "Sort."),
                "basis": out.text("How the figure was come by."),
                "expected": out.quantity("current", "mA", "Typical."),
                "current": out.quantity("current", "mA", "At its limit."),
                "counts": out.flag("False for carrier-frequency current, which an RCD sees only in part."),
            },
            "Leakage by source.",
        ),
        "trip_windows": out.rows(
            {
                "waveform": out.text("Waveform of the residual current."),
                "no_trip": out.quantity("current", "mA", "Up to here the device must hold."),
                "must_trip": out.quantity("current", "mA", "From here it must trip."),
                "checked": out.choice(["read", "secondary", "memory"], "How far the figure was checked."),
            },
            "Between which currents a device of this type may trip.",
        ),
        "comparison": out.rows(
            {"arrangement": out.text("Which arrangement."), **_CURRENT_ROW}, "All on one RCD against each drive on its own."
        ),
        "remedies": out.rows(
            {"remedy": out.text("Remedy."), **_CURRENT_ROW, "advice": out.text("How.")}, "What would help, best first."
        ),
        "never": out.texts("What is never a remedy."),
    },
    answer=answer,
    rules=("leakage/*", "rcd/*", "caution/*"),
    example={
        "rcd": {"rated_residual_current": "30 mA", "type": "A"},
        "supply": {"voltage": "230 V", "frequency": "50 Hz", "earthing": "tn-c-s"},
        "drives": [
            {"name": "shaper drive", "filter_leakage": "10 mA", "motor_cable": {"length": "4 m", "screened": True},
             "carrier_frequency": "4 kHz", "motor_insulation": "12 Mohm"},
        ],
        "loads": [{"name": "machine lamp", "kind": "led-luminaire"}],
        "circuits": [{"name": "workshop sockets", "length": "22 m"}],
    },
)  # fmt: skip
