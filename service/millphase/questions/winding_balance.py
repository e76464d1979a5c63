"""Are the three windings alike? Resistance between lines or of each phase, judged."""

from __future__ import annotations

from typing import Any

from millphase.answer import Answer, Outcome, Sheet
from millphase.physics import winding as law
from millphase.quantity import Quantity
from millphase.questions import _insulation as shared
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
from millphase.rulebook import Constant, Limit

LINES = ("U-V", "V-W", "W-U")
PHASES = ("U", "V", "W")
# The winding of a star that two lines share, and the two lines beside the one across a delta leg.
SHARED = {"U": ("U-V", "W-U", "V-W"), "V": ("U-V", "V-W", "W-U"), "W": ("V-W", "W-U", "U-V")}
BESIDE = {"U-V": ("V-W", "W-U"), "V-W": ("W-U", "U-V"), "W-U": ("U-V", "V-W")}

ResistancesPart = type(
    "ResistancesPart",
    (Part,),
    {
        name: fields.Quantity(
            "resistance", high="1 Mohm", help=f"Resistance {'between lines' if '-' in name else 'of winding'} {name}."
        )
        for name in (*LINES, *PHASES)
    },
)


class WindingBalanceRequest(Request):
    """Resistances of the windings and how they were measured."""

    connection = fields.Choice(
        ["star", "delta", "separate"],
        required=True,
        help="How the windings are joined while measured; separate: links off.",
    )
    resistances = fields.Part(
        ResistancesPart, required=True, help="U-V, V-W, W-U between lines; or U, V, W with the links off."
    )
    open_circuit = fields.Many(
        fields.Choice([*LINES, *PHASES]), low=1, high=6, help="Readings that showed an open circuit."
    )
    temperature = fields.Quantity("temperature", low="-40 degC", high="200 degC", help="Winding temperature.")
    lead_resistance = fields.Quantity(
        "resistance", high="100 ohm", zero=True,
        help="Test leads shorted together, taken off each reading; 0 ohm when measured with four wires or already taken off.",
    )  # fmt: skip
    measurement_accuracy = accuracy_part("resistance")
    winding = fields.Choice(["random-wound", "form-wound"], help="Kind of winding; a small motor is random-wound.")
    conductor = fields.Choice(["copper", "aluminium"], help="Conductor of the winding.")
    through_cable = fields.Flag(help="Measured at the far end of the motor cable, not at the motor's terminals.")
    phase_resistance = fields.Quantity(
        "resistance", high="1 Mohm", help="Resistance of one winding known from elsewhere, to check the links."
    )
    phase_resistance_temperature = fields.Quantity(
        "temperature", low="-40 degC", high="200 degC", help="Temperature of `phase_resistance`."
    )
    earlier_unbalance = fields.Quantity("ratio", high="100 %", help="Unbalance at an earlier, sound time.")


def answer(request: dict[str, Any], book: View) -> Answer:
    """Take off the leads, look for open and shorted windings, then judge the unbalance."""
    sheet = QUESTION.sheet(book)
    sheet.caution("caution/isolate-and-lock-off", "caution/dc-link-wait", "caution/local-code-and-licensed-practice")
    names = PHASES if request["connection"] == "separate" else LINES
    check_sense(request, names)
    readings = without_leads(sheet, request)
    opened = find_open(sheet, request, names, readings)
    if opened:
        return sheet.answer(judge_open(sheet, request, opened, readings))
    missing = [name for name in names if name not in readings]
    if missing:
        because = (
            f"{' and '.join(missing)} {'was' if len(missing) == 1 else 'were'} not measured; balance needs all three."
        )
        sheet.find(Outcome.INCONCLUSIVE, unbalance_limit(sheet, request), because=because)
        sheet.next_step(f"Measure {', '.join(missing)} too, or name it in open_circuit when it reads open.")
        return sheet.answer(f"The windings cannot be compared yet: {because}")
    mean = judge_balance(sheet, request, names, readings)
    legs = resolve_legs(sheet, request, readings)
    check_method(sheet, request, mean)
    if "suspects" not in sheet.values:
        # With a winding open or shorted the mean is that of nothing.
        name_suspect(sheet, legs)
        check_links(sheet, request, mean)
        refer_to_20c(sheet, request, mean)
        check_growth(sheet, request)
    return sheet.answer(summary(sheet))


def check_sense(request: dict[str, Any], names: tuple[str, ...]) -> None:
    """Refuse readings that do not belong to the connection, or that were both read and open."""
    opened = request.get("open_circuit", [])
    for name in (*request["resistances"], *opened):
        if name not in names:
            how = "of each winding" if names is PHASES else "between lines"
            place = "/resistances" if name in request["resistances"] else "/open_circuit"
            raise contradiction(
                place, f"with {request['connection']} the readings are {how}: {', '.join(names)}; send those"
            )
    both = [name for name in opened if name in request["resistances"]]
    if both:
        raise contradiction("/open_circuit", f"{both[0]} cannot be open and have a resistance; measure it again")


def without_leads(sheet: Sheet, request: dict[str, Any]) -> dict[str, Quantity]:
    """The readings less the test leads."""
    leads = request.get("lead_resistance")
    if leads is None:
        unknown = sheet.book.constant("winding/unknown-leads")
        sheet.assume("lead_resistance", f"at most {unknown.value}", unknown)
        return dict(request["resistances"])
    found = {}
    for name, reading in request["resistances"].items():
        if leads.si >= reading.si:
            raise contradiction(
                "/lead_resistance", f"the leads cannot have more than the reading {name}; measure both again"
            )
        found[name] = sheet.step(f"{name} without the leads", law.without_leads, unit=reading.unit, R=reading, Rl=leads)
    return found


def find_open(
    sheet: Sheet, request: dict[str, Any], names: tuple[str, ...], readings: dict[str, Quantity]
) -> list[str]:
    """Readings that are open, as said or by their size."""
    opened = set(request.get("open_circuit", []))
    ratio = sheet.book.constant("winding/open-ratio")
    lowest = min((reading.si for reading in readings.values()), default=0.0)
    by_size = [name for name, reading in readings.items() if reading.si > ratio.value.si * lowest]
    if request["connection"] == "separate" and len(by_size) == 2:
        # Two windings that agree are sound, and the third is shorted; two open ones read whatever leaks.
        first, second = (readings[name].si for name in by_size)
        agree = abs(first - second) <= sheet.book.constant("winding/pattern-tolerance").value.si * max(first, second)
        by_size = [] if agree else by_size
    opened.update(by_size)
    if request["connection"] != "separate" and len(opened) == 1 and len(readings.keys() - opened) == 2:
        name = next(iter(opened))
        message = f"in star or delta {name} cannot be open while the two others read; measure it again"
        raise contradiction(f"/resistances/{name}" if name in readings else "/open_circuit", message)
    return [name for name in names if name in opened]


def judge_open(sheet: Sheet, request: dict[str, Any], opened: list[str], readings: dict[str, Quantity]) -> str:
    """An open winding condemns; name it where the pattern allows."""
    connection, said = request["connection"], request.get("open_circuit", [])
    fault = "open" if said else "open or badly joined"
    if connection == "separate":
        suspects = [f"winding {name}" for name in opened]
        where = f"{' and '.join(suspects)} {'are' if len(suspects) > 1 else 'is'} {fault}"
    else:
        common = [phase for phase in PHASES if all(phase in name for name in opened)]
        what = "winding" if connection == "star" else "line connection"
        suspects = [f"{what} {phase}" for phase in common] if len(opened) < 3 else []
        where = f"{' or '.join(suspects) or 'more than one winding or its connection'} is {fault}"
        bridged = [name for name in readings if name not in opened]
        if connection == "delta" and len(suspects) == 1 and not said and bridged:
            # Two readings that are only high beside the third: the third may be the faulty one.
            suspects.append(f"winding across {bridged[0]}")
            where += f", or the winding across {bridged[0]} is shorted through"
    beside = "open" if said else "open beside the lowest"
    because = f"{' and '.join(opened)} {'reads' if len(opened) == 1 else 'read'} {beside}: {where}."
    sheet.find(Outcome.REJECT, sheet.book.constant("winding/open-ratio"), because=because)
    sheet.value("suspects", suspects or list(opened))
    sheet.next_step(*sheet.book.steps("winding/separate"))
    return f"Do not run the motor: {where}."


def unbalance_limit(sheet: Sheet, request: dict[str, Any]) -> Limit:
    """Limit of the unbalance by kind of winding; the wider one is assumed for a workshop motor."""
    kind = request.get("winding", "random-wound")
    return sheet.book.limit(f"winding/unbalance-{kind}")


def judge_balance(
    sheet: Sheet, request: dict[str, Any], names: tuple[str, ...], readings: dict[str, Quantity]
) -> Quantity:
    """Mean, largest deviation from it, and the other published measure; returns the mean."""
    book = sheet.book
    first, second, third = (readings[name] for name in names)
    mean = sheet.step("mean resistance", law.mean, unit=first.unit, A=first, B=second, C=third)
    limit = unbalance_limit(sheet, request)
    if "winding" not in request:
        sheet.assume("winding", "random-wound", limit)
    unbalance = sheet.step(
        "unbalance", law.unbalance_from_mean, unit="%", rule=limit, A=first, B=second, C=third, Rm=mean
    )
    spread_limit = book.limit("winding/spread-widest")
    spread = sheet.step(
        "spread over the mean", law.spread_over_mean, unit="%", rule=spread_limit, A=first, B=second, C=third, Rm=mean
    )
    sheet.value("mean", mean)
    sheet.value("unbalance", unbalance)
    sheet.value("spread", spread)
    judge_unbalance(sheet, unbalance, accuracy_of_unbalance(sheet, request, mean), limit)
    small = mean.si < book.constant("winding/four-wire-below").value.si
    if small and "lead_resistance" not in request and unbalance.si <= limit.value.si:
        doubt_leads(sheet, mean, unbalance, limit)
    because = f"Highest less lowest is {shared.brief(spread)} of the mean."
    sheet.compare(spread_limit, spread, because=because, otherwise=Outcome.CAUTION, decides=False)
    return mean


def judge_unbalance(sheet: Sheet, unbalance: Quantity, accuracy: Quantity | None, limit: Limit) -> None:
    """The unbalance against its own limit and the widest one, as far as the meter can tell."""
    widest = sheet.book.limit("winding/unbalance-widest")
    because = f"The largest deviation from the mean is {shared.brief(unbalance)}"
    if accuracy is None or accuracy.si < limit.value.si:
        close = accuracy is not None and 0.0 <= limit.value.si - unbalance.si < accuracy.si
        because += "; the meter's accuracy reaches over the limit." if close else "."
        sheet.compare(limit, unbalance, because=because, accuracy=accuracy, otherwise=Outcome.CAUTION)
        sheet.compare(widest, unbalance, because=because)
        return
    because += f"; the meter leaves {shared.brief(accuracy)} of that open, more than the limit of {limit.value}."
    sure = unbalance.si - accuracy.si
    outcome = Outcome.CAUTION if sure > limit.value.si else Outcome.INCONCLUSIVE
    sheet.find(outcome, limit, because=because, measured=unbalance, limit=limit.value)
    if sure > widest.value.si:
        sheet.find(Outcome.REJECT, widest, because=because, measured=unbalance, limit=widest.value)
    sheet.next_step("Measure with a four-wire ohmmeter that resolves a thousandth of the reading.")


def doubt_leads(sheet: Sheet, mean: Quantity, unbalance: Quantity, limit: Limit) -> None:
    """Leads that were not taken off add alike to every reading and so hide an unbalance."""
    leads = sheet.book.constant("winding/unknown-leads")
    if mean.si > leads.value.si:
        hidden = sheet.step(
            "unbalance at most, leads taken off", "ul = u × Rm/(Rm − Rl)", unit="%", rule=leads,
            u=unbalance, Rm=mean, Rl=leads.value,
        )  # fmt: skip
        if hidden.si <= limit.value.si:
            return
        because = f"Test leads that were not taken off could hide an unbalance of {shared.brief(hidden)}."
        sheet.find(Outcome.CAUTION, leads, because=because, measured=hidden, limit=limit.value)
    else:
        because = f"The readings are no larger than test leads may be, {leads.value}, which were not taken off."
        sheet.find(Outcome.INCONCLUSIVE, leads, because=because, measured=mean, limit=leads.value)
    sheet.next_step(
        "Short the test leads together, enter their resistance as lead_resistance, or measure with four wires."
    )


def accuracy_of_unbalance(sheet: Sheet, request: dict[str, Any], mean: Quantity) -> Quantity | None:
    """Half-width of the unbalance from that of the readings.

    A reading moves its deviation from the mean by 2/3 of its own error, and each of the others by 1/3.
    """
    leads = request.get("lead_resistance")
    # The meter reads winding and leads together, and its share of the reading goes with both.
    read = Quantity(mean.si + (leads.si if leads else 0.0), mean.unit, mean.dimension)
    width = half_width(read, request.get("measurement_accuracy"))
    if width is None:
        sheet.assume("measurement_accuracy", "none stated", sheet.book.rule("winding/readings"))
        return None
    return sheet.step("accuracy of the unbalance", "du = 4/3 × dR/Rm", unit="%", dR=width, Rm=mean)


def resolve_legs(sheet: Sheet, request: dict[str, Any], readings: dict[str, Quantity]) -> dict[str, Quantity]:
    """Resistance of each winding; one far from the two others shows here and condemns."""
    connection, legs = request["connection"], readings
    if connection != "separate":
        tolerance = sheet.book.constant("winding/pattern-tolerance")
        high = max(LINES, key=lambda name: readings[name].si)
        around = readings[high].si / sum(readings[name].si for name in BESIDE[high])
        if around > 1.0 + tolerance.value.si:
            message = f"{high} reads more than the two others together, which no {connection} can; measure it again"
            raise contradiction(f"/resistances/{high}", message)
        if connection == "delta" and around >= 1.0 - 1e-9:
            condemn(sheet, tolerance, f"winding across {high}", "is open: it reads as much as the two others together")
            return {}
        legs = delta_legs(sheet, readings) if connection == "delta" else star_legs(sheet, readings)
        sheet.value("legs", [{"winding": name, "resistance": leg} for name, leg in legs.items()])
    find_pattern(sheet, legs)
    return legs


def delta_legs(sheet: Sheet, readings: dict[str, Quantity]) -> dict[str, Quantity]:
    """Resistance of the winding across each pair of lines."""
    legs = {}
    for name in LINES:
        first, second = (readings[other] for other in BESIDE[name])
        legs[name] = sheet.step(f"leg {name}", law.delta_leg, unit=first.unit, Ra=first, Rb=second, R=readings[name])
    return legs


def star_legs(sheet: Sheet, readings: dict[str, Quantity]) -> dict[str, Quantity]:
    """Resistance of the winding from each line to the star point."""
    legs = {}
    for name in PHASES:
        first, second, opposite = (readings[other] for other in SHARED[name])
        legs[name] = sheet.step(f"winding {name}", law.star_leg, unit=first.unit, Ra=first, Rb=second, Ro=opposite)
    return legs


def find_pattern(sheet: Sheet, legs: dict[str, Quantity]) -> None:
    """A winding with next to nothing beside the two others is shorted, one with many times as much is open."""
    tolerance = sheet.book.constant("winding/pattern-tolerance")
    far = (1.0 - tolerance.value.si) / tolerance.value.si
    low, middle, high = sorted(legs, key=lambda name: legs[name].si)
    if legs[high].si >= far * legs[middle].si:
        condemn(sheet, tolerance, spoken(high), "is open or badly joined: it has many times what the two others have")
    elif legs[low].si * far <= legs[middle].si:
        condemn(sheet, tolerance, spoken(low), "is shorted through: it has next to nothing beside the two others")


def spoken(name: str) -> str:
    """A winding as it is spoken of: by its own name, or in delta by the lines it lies across."""
    return f"winding {name}" if "-" not in name else f"winding across {name}"


def condemn(sheet: Sheet, rule: Constant, suspect: str, why: str) -> None:
    """An open or shorted winding condemns the motor."""
    sheet.find(Outcome.REJECT, rule, because=f"{suspect[0].upper()}{suspect[1:]} {why}.")
    sheet.value("suspects", [suspect])
    sheet.next_step(*sheet.book.steps("winding/separate"))


def name_suspect(sheet: Sheet, legs: dict[str, Quantity]) -> None:
    """Name the winding that stands out when the three are out of balance."""
    if sheet.outcome is Outcome.ACCEPT:
        return
    low, middle, high = sorted(legs, key=lambda name: legs[name].si)
    down, up = legs[middle].si - legs[low].si, legs[high].si - legs[middle].si
    if down == up:
        return
    name, why = (
        (low, "low: shorted turns or a parallel path") if down > up else (high, "high: a bad joint or broken strands")
    )
    sheet.value("suspects", [spoken(name)])
    rule = sheet.book.rule("winding/readings")
    sheet.find(Outcome.CAUTION, rule, because=f"{name} stands out {why}.", measured=legs[name], decides=False)
    sheet.next_step(*sheet.book.steps("winding/separate"))


def check_links(sheet: Sheet, request: dict[str, Any], mean: Quantity) -> None:
    """Compare with a winding known from elsewhere: a star reads three times a delta of the same windings."""
    known = request.get("phase_resistance")
    if known is None:
        return
    book = sheet.book
    missing = [place for place in ("temperature", "phase_resistance_temperature") if place not in request]
    for place in missing:
        other = "known winding" if place == "temperature" else "readings"
        sheet.assume(place, f"that of the {other}", book.rule("winding/readings"))
    if not missing:
        mean, known = (
            to_20c(sheet, request, what, resistance, request[place])
            for what, resistance, place in (
                ("mean at 20 °C", mean, "temperature"),
                ("known winding at 20 °C", known, "phase_resistance_temperature"),
            )
        )
    ratio = sheet.step("line reading over winding", "n = R/Rph", unit="1", R=mean, Rph=known)
    tolerance = book.constant("winding/pattern-tolerance")
    expected = {"star": 2.0, "delta": 2.0 / 3.0}
    if request["connection"] == "separate":
        expected["separate"] = 1.0
    near = [name for name, value in expected.items() if abs(ratio.si / value - 1.0) <= tolerance.value.si]
    rule = book.rule("winding/line-and-phase")
    if near == [request["connection"]]:
        what = "the known winding, measured by itself" if near[0] == "separate" else near[0]
        sheet.find(Outcome.ACCEPT, rule, because=f"The readings fit {what}.", measured=ratio)
    elif near:
        sheet.value("links_found", near[0])
        because = f"The readings fit {near[0]}, not {request['connection']}: the links are set otherwise than said."
        sheet.find(Outcome.REJECT, rule, because=because, measured=ratio)
        sheet.next_step("Open the terminal box and look at the links before anything is connected.")
    else:
        wanted = (
            "neither star, delta nor one winding" if "separate" in expected else "neither star nor delta of windings"
        )
        because = f"The readings fit {wanted} of {known}: wrong links, a wrong winding or other windings."
        sheet.find(Outcome.CAUTION, rule, because=because, measured=ratio)
        sheet.next_step(*sheet.book.steps("winding/separate"))


def to_20c(sheet: Sheet, request: dict[str, Any], what: str, resistance: Quantity, temperature: Quantity) -> Quantity:
    """A winding resistance at 20 °C."""
    constants = sheet.book.coefficients("winding/zero-resistance")
    return sheet.step(
        what, law.resistance_at_20c, unit=resistance.unit, rule=constants,
        R=resistance, k=constants[request.get("conductor", "copper")], T=temperature,
    )  # fmt: skip


def refer_to_20c(sheet: Sheet, request: dict[str, Any], mean: Quantity) -> None:
    """Resistance of one winding at 20 °C, to compare with the next measurement."""
    if "temperature" not in request:
        sheet.next_step("Measure the winding temperature too, so that the resistance can be compared with later ones.")
        return
    if "conductor" not in request:
        sheet.assume("conductor", "copper", sheet.book.coefficients("winding/zero-resistance"))
    rule = sheet.book.rule("winding/line-and-phase")
    phase = mean
    if request["connection"] == "star":
        phase = sheet.step("resistance of one winding", law.phase_of_star, unit=mean.unit, rule=rule, R=mean)
    elif request["connection"] == "delta":
        phase = sheet.step("resistance of one winding", law.phase_of_delta, unit=mean.unit, rule=rule, R=mean)
    sheet.value(
        "phase_resistance_at_20c", to_20c(sheet, request, "one winding at 20 °C", phase, request["temperature"])
    )


def check_growth(sheet: Sheet, request: dict[str, Any]) -> None:
    """Growth of the unbalance over an earlier one: a warning even below the limit."""
    earlier, now = request.get("earlier_unbalance"), sheet.values["unbalance"]
    if earlier is None or not isinstance(now, Quantity):
        return
    rule = sheet.book.coefficients("winding/baseline-change")
    growth = sheet.step("growth of the unbalance", "w = u/u0 − 1", unit="%", rule=rule, u=now, u0=earlier)
    sheet.value("unbalance_growth", growth)
    grown = next((name for name in ("alarm", "caution") if growth.si > rule[name].si), None)
    because = f"The unbalance has changed by {shared.brief(growth)} since the earlier measurement{f': {grown}' if grown else ''}."
    outcome = Outcome.CAUTION if grown else Outcome.ACCEPT
    sheet.find(outcome, rule, because=because, measured=growth, limit=rule[grown or "caution"])


def check_method(sheet: Sheet, request: dict[str, Any], mean: Quantity) -> None:
    """Where and how it was measured decides what the figures can show."""
    rule = sheet.book.rule("winding/readings")
    if request.get("through_cable"):
        because = "Measured through the cable, whose resistance hides an unbalance of the motor or brings its own."
        sheet.find(Outcome.INCONCLUSIVE, rule, because=because)
        sheet.next_step("Measure again at the motor's own terminals, cable off.")
    elif "through_cable" not in request:
        sheet.assume("through_cable", "no: measured at the motor's terminals", rule)
    low = sheet.book.constant("winding/four-wire-below").value
    if mean.si < low.si:
        sheet.next_step(
            f"Below {low} use the four-wire method, average two polarities, and state the meter's accuracy."
        )


def summary(sheet: Sheet) -> str:
    """One sentence for the machinist."""
    deciding = [found for found in sheet.findings if found.decides and found.outcome is sheet.outcome]
    if sheet.outcome is Outcome.ACCEPT:
        return f"The windings are alike. {deciding[0].because}"
    suspects = sheet.values.get("suspects")
    chosen = deciding[-1 if sheet.outcome is Outcome.REJECT else 0]
    named = ""
    if isinstance(suspects, list) and chosen.cited.rule != "winding/pattern-tolerance":
        named = f" Look at {' and '.join(map(str, suspects))}."
    lead = {Outcome.REJECT: "Do not run the motor", Outcome.CAUTION: "Look before you run the motor"}
    return f"{lead.get(sheet.outcome, 'This does not settle it')}. {chosen.because}{named}"


QUESTION = Question(
    name="winding-balance",
    order=30,
    title="Winding balance",
    summary="Whether the three windings are alike, or one is open, shorted or wrongly linked.",
    request=WindingBalanceRequest,
    values={
        "mean": out.quantity("resistance", "ohm", "mean of the three readings, leads taken off"),
        "unbalance": out.quantity("ratio", "%", "largest deviation from the mean"),
        "spread": out.quantity("ratio", "%", "highest less lowest over the mean"),
        "unbalance_growth": out.quantity("ratio", "%", "growth over the earlier unbalance"),
        "phase_resistance_at_20c": out.quantity("resistance", "ohm", "resistance of one winding at 20 °C"),
        "legs": out.rows(
            {"winding": out.text("which"), "resistance": out.quantity("resistance", "ohm", "its resistance")},
            "each winding, worked out from the line readings",
        ),
        "suspects": out.texts("windings or connections that stand out"),
        "links_found": out.choice(["star", "delta"], "how the links are set, where it is not as said"),
    },
    answer=answer,
    rules=("winding/*", "caution/*"),
    example={
        "connection": "star",
        "resistances": {"U-V": "7.42 ohm", "V-W": "7.38 ohm", "W-U": "7.45 ohm"},
        "temperature": "18 degC",
        "lead_resistance": "0.06 ohm",
        "winding": "random-wound",
        "measurement_accuracy": {"absolute": "0.01 ohm"},
        "through_cable": False,
    },
)
