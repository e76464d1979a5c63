"""Is the insulation getting better or worse, apart from temperature and weather?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from millphase.answer import Answer, Outcome, Sheet
from millphase.physics import insulation, trend
from millphase.quantity import Quantity, significant
from millphase.questions import _insulation as shared
from millphase.questions import _insulation_readings as taken
from millphase.questions.base import Part, Question, Request, View, accuracy_part, fields, half_width, out
from millphase.rulebook import Limit

# A longer record is not printed reading by reading; its fit is.
PRINTED = 24
DAY_S = 86400.0


class TrendReadingPart(Part):
    """One reading of the record."""

    at = fields.Moment(required=True, help="When it was read.")
    resistance = fields.Quantity("resistance", required=True, help="Resistance of the whole winding to earth.")
    over_range = fields.Flag(help="The instrument showed more than `resistance`, its highest reading.")
    winding_temperature = fields.Quantity(
        "temperature", low="-40 degC", high="200 degC", help="Winding temperature at the reading."
    )
    air = fields.Part(shared.AirPart, help="Air beside the winding, to tell weather from ageing.")
    measurement_accuracy = accuracy_part("resistance")


class InsulationTrendRequest(Request):
    """A record of insulation readings, all taken the same way."""

    rated_voltage = fields.Quantity(
        "voltage", low="1 V", high="15 kV", required=True, help="Rated voltage between lines."
    )
    winding = fields.Choice(shared.WINDINGS, help="Kind of winding; a small motor is random-wound.")
    manufactured = fields.Count(low=1880, high=2100, help="Year the winding was made or last rewound.")
    insulation_system = fields.Choice(
        shared.INSULATION_SYSTEMS, help="Thermosetting: modern resin; thermoplastic: older."
    )
    instrument = fields.Choice(["insulation-tester", "multimeter"], help="Instrument of all readings.")
    test_voltage = fields.Quantity("voltage", low="0.1 V", high="20 kV", help="Direct test voltage of all readings.")
    after = fields.Quantity("duration", low="1 s", high="1 h", help="Time from applying the voltage to every reading.")
    drive_disconnected = fields.Flag(
        help="Whether the drive was off the cable at every reading; true where there is none."
    )
    readings = fields.Many(
        fields.Part(TrendReadingPart), low=1, high=1000, required=True, help="The record, in any order."
    )


@dataclass(frozen=True, slots=True)
class Record:
    """The readings that can be fitted: days from the first, resistance, temperature and margin above the dew point."""

    start: datetime
    days: list[float]
    resistance: list[Quantity]
    temperature: list[Quantity] | None
    margin: list[float] | None

    @property
    def length(self) -> float:
        """Days from the first reading to the last."""
        return self.days[-1]


@dataclass(frozen=True, slots=True)
class Fit:
    """The fitted line by one correction law [days, ln ohm], and what the weather explains of it."""

    line: trend.Line
    weather: trend.Weather | None
    logs: list[float]


def answer(request: dict[str, Any], book: View) -> Answer:
    """Correct each reading to 40 °C, fit the change robustly, and say how far that carries."""
    sheet = QUESTION.sheet(book)
    sheet.caution(*shared.TEST_CAUTIONS)
    limit, least = shared.least_at_40c(sheet, request)
    sheet.value("minimum_at_40c", least)
    # At one moment the lowest reading last, so that the order of entry decides nothing.
    readings = sorted(request["readings"], key=lambda reading: (reading["at"], -reading["resistance"].si))
    exact = fitted(sheet, readings)
    record = collect(sheet, exact) if exact else None
    fits = fit_laws(sheet, request, record) if record else []
    direction = judge_direction(sheet, record, fits)
    sheet.value("direction", direction)
    if record and fits:
        report_slope(sheet, record, fits[0], direction)
        forecast(sheet, record, fits, least, direction)
        check_doubt(sheet, record, fits[0], least, direction)
    latest = [reading for reading in readings if reading["at"] == readings[-1]["at"]]
    judge_latest(sheet, request, wettest_last(book, latest), limit, least)
    judge_over_range(sheet, readings, exact)
    judge_method(sheet, request)
    advise(sheet, direction)
    return sheet.answer(summary(sheet, direction, corrected=record is None or record.temperature is not None))


def fitted(sheet: Sheet, readings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The readings that tell the state of the insulation: not beyond the range, not wet with dew."""
    dry = [reading for reading in readings if not is_wet(sheet.book, reading)]
    if len(dry) < len(readings):
        rule = sheet.book.limit("insulation/dew-point-margin")
        told = share_of(len(readings) - len(dry), readings, "was", "were")
        because = f"{told} taken with the winding not above the dew point: void, and left out of the fit."
        sheet.find(Outcome.CAUTION, rule, because=because, decides=False)
    return [reading for reading in dry if not reading.get("over_range", False)]


def share_of(count: int, readings: list[dict[str, Any]], singular: str, plural: str) -> str:
    """How many of the readings, with the verb that follows."""
    return f"{count} of {len(readings)} readings {singular if count == 1 else plural}"


def is_wet(book: View, reading: dict[str, Any]) -> bool:
    """Whether the winding was known not to be above the dew point."""
    if "air" not in reading or "winding_temperature" not in reading:
        return False
    margin = shared.margin_above_dew_point(book, reading["winding_temperature"], reading["air"])
    return margin.si < book.limit("insulation/dew-point-margin").value.si


def wettest_last(book: View, latest: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Readings of one moment, the one nearest to its dew point last, whose margin is told."""

    def key(reading: dict[str, Any]) -> tuple[float, float]:
        if "air" not in reading or "winding_temperature" not in reading:
            return -math.inf, 0.0
        margin = shared.margin_above_dew_point(book, reading["winding_temperature"], reading["air"])
        return -margin.si, reading["winding_temperature"].si

    return sorted(latest, key=key)


def collect(sheet: Sheet, readings: list[dict[str, Any]]) -> Record:
    """The readings to fit; those without a winding temperature are left out where others have one."""
    measured = [reading for reading in readings if "winding_temperature" in reading]
    if measured and len(measured) < len(readings):
        rule = sheet.book.constant("insulation/halving-step")
        told = share_of(len(readings) - len(measured), readings, "has", "have")
        because = f"{told} no winding temperature and no place in the fit."
        sheet.find(Outcome.CAUTION, rule, because=because, decides=False)
    if not measured:
        coldest = sheet.book.constant("insulation/coldest-winding")
        sheet.assume("readings.winding_temperature", "the same at every reading", coldest)
    chosen = measured or readings
    start = chosen[0]["at"]
    return Record(
        start,
        [significant((reading["at"] - start).total_seconds() / DAY_S, 9) for reading in chosen],
        [reading["resistance"] for reading in chosen],
        [reading["winding_temperature"] for reading in chosen] if measured else None,
        [
            shared.margin_above_dew_point(sheet.book, reading["winding_temperature"], reading["air"]).si
            for reading in chosen
        ]
        if measured and all("air" in reading for reading in chosen)
        else None,
    )


def fit_laws(sheet: Sheet, request: dict[str, Any], record: Record) -> list[Fit]:
    """Fit the record by the halving law and, where it may hold and matter, by the thermosetting law."""
    if len(set(record.days)) < sheet.book.constant("insulation/trend-least-readings").value.si:
        return []
    halving = [math.log(r) for r in halved(sheet, record)]
    usable = weather_usable(sheet, record)
    fits = [fit(sheet, record, halving, usable)]
    if record.temperature is not None and request.get("insulation_system", "unknown") != "thermoplastic":
        constants = sheet.book.coefficients("insulation/thermosetting-correction")
        cold, hot = constants["cold"].si, constants["hot"].si
        thermosetting = [
            math.log(insulation.resistance_at_40c_thermosetting(r.si, t.si, hot if t.si > 40.0 else cold))
            for r, t in zip(record.resistance, record.temperature, strict=True)
        ]
        apart = [a - b for a, b in zip(halving, thermosetting, strict=True)]
        if max(apart) - min(apart) > 0.01:
            fits.append(fit(sheet, record, thermosetting, usable))
    return fits


def halved(sheet: Sheet, record: Record) -> list[float]:
    """Every reading referred to 40 °C by the halving law [ohm]; as read where no temperature was measured."""
    step = sheet.book.constant("insulation/halving-step")
    if record.temperature is None:
        return [resistance.si for resistance in record.resistance]
    if len(record.days) > PRINTED:
        return [
            insulation.resistance_at_40c_halving(resistance.si, temperature.si, step.value.si)
            for resistance, temperature in zip(record.resistance, record.temperature, strict=True)
        ]
    corrected = [
        sheet.step(
            f"reading {number}, referred to 40 °C by halving", insulation.resistance_at_40c_halving,
            unit=resistance.unit, rule=step, R=resistance, T=temperature, S=step.value,
        )
        for number, (resistance, temperature) in enumerate(zip(record.resistance, record.temperature, strict=True), 1)
    ]  # fmt: skip
    # Carried on as printed, so that a reader who redoes the fit from the sheet gets the same slope.
    return [Quantity.of(significant(found.value, 9), found.unit).si for found in corrected]


def weather_usable(sheet: Sheet, record: Record) -> bool:
    """Whether the air data can tell weather from ageing at all; says so where they cannot."""
    book = sheet.book
    least, most = (
        book.constant("insulation/trend-weather-spread"),
        book.constant("insulation/trend-weather-confounding"),
    )
    if record.margin is None:
        sheet.value("weather", "not-measured")
        return False
    spread = Quantity.si_value(max(record.margin) - min(record.margin), "K")
    together = Quantity.si_value(abs(trend.kendall(record.days, record.margin)), "1")
    if spread.si < least.value.si:
        because = f"The margin above the dew point varies by {shared.brief(spread)} only: too little to see what weather does."
        sheet.find(Outcome.ACCEPT, least, because=because, measured=spread, limit=least.value, decides=False)
    elif together.si > most.value.si:
        because = "Weather and time changed together, so the record cannot tell the one from the other."
        sheet.find(Outcome.CAUTION, most, because=because, measured=together, limit=most.value, decides=False)
        sheet.next_step("Keep recording until the weather has changed both ways, then ask again.")
    else:
        return True
    sheet.value("weather", "cannot-tell")
    return False


def fit(sheet: Sheet, record: Record, logs: list[float], usable: bool) -> Fit:
    """Robust line through the record, without the weather's share where that is proven."""
    confidence = sheet.book.constant("insulation/trend-confidence").value.si
    if usable and record.margin is not None:
        weather = trend.beside_weather(record.days, record.margin, logs, confidence)
        if weather and weather.line:
            return Fit(weather.line, weather, logs)
    return Fit(trend.theil_sen(record.days, logs, confidence), None, logs)


def judge_direction(sheet: Sheet, record: Record | None, fits: list[Fit]) -> str:
    """Direction that holds under every law that may apply; otherwise no change is shown."""
    book = sheet.book
    enough, change = book.constant("insulation/trend-least-readings"), book.constant("insulation/trend-least-change")
    if record is None or not fits:
        count = Quantity.si_value(float(len(set(record.days)) if record else 0), "1")
        readings = "reading" if count.si == 1.0 else "readings"
        because = f"{count} {readings} at different times can be fitted; {enough.value} are needed for a direction."
        sheet.find(Outcome.INCONCLUSIVE, enough, because=because, measured=count, limit=enough.value)
        return "too-few-readings"
    found = {direction_of(fit.line, record.length, change.value.si) for fit in fits}
    direction = found.pop() if len(found) == 1 else "steady"
    if found:
        because = "One correction law shows a change and the other does not: the winding's temperature may be all there is to it."
        sheet.find(Outcome.INCONCLUSIVE, book.coefficients("insulation/thermosetting-correction"), because=because)
        sheet.next_step("Take the next readings at one winding temperature, near 20 to 30 °C.")
        return direction
    what = "at 40 °C" if record.temperature else "as read"
    because = {
        "worsening": f"The resistance {what} is falling.",
        "improving": f"The resistance {what} is rising.",
        "steady": f"No change of the resistance {what} is shown.",
    }[direction]
    sheet.find(Outcome.CAUTION if direction == "worsening" else Outcome.ACCEPT, change, because=because)
    if record.temperature is None and direction != "steady":
        doubt_temperature(sheet, record, fits[0], direction)
    return direction


def doubt_temperature(sheet: Sheet, record: Record, fit: Fit, direction: str) -> None:
    """Without winding temperatures a change may be a winding that warmed or cooled; say how little that takes."""
    step = sheet.book.constant("insulation/halving-step")
    change = sheet.step(
        "change of winding temperature that alone would do as much", "dT = S × abs(b) × L/ln(2)", unit="K", rule=step,
        S=step.value, b=per_day(fit.line.slope), L=Quantity.of(record.length, "d"),
    )  # fmt: skip
    verb = "warmed" if direction == "worsening" else "cooled"
    because = f"No winding temperature was measured; a winding that {verb} by {shared.brief(change)} reads the same."
    sheet.find(Outcome.INCONCLUSIVE, step, because=because, measured=change)
    sheet.next_step("Measure the winding temperature with every reading.")


def direction_of(line: trend.Line, length: float, least_change: float) -> str:
    """Direction of one fitted line: proven by its interval, and large enough over the record to matter."""
    matters = abs(line.slope) * length >= math.log1p(least_change)
    if matters and line.low > 0.0:
        return "improving"
    return "worsening" if matters and line.high < 0.0 else "steady"


def report_slope(sheet: Sheet, record: Record, fit: Fit, direction: str) -> None:
    """Slope with its interval, doubling or halving time, and the weather's share."""
    rule = sheet.book.constant("insulation/trend-confidence")
    slope = per_day(fit.line.slope)
    if len(record.days) <= PRINTED and fit.weather is None:
        given: dict[str, Quantity | float] = {}
        for number, (day, log, read) in enumerate(zip(record.days, fit.logs, record.resistance, strict=True), 1):
            given[f"t{number}"] = Quantity.of(day, "d")
            given[f"R{number}"] = Quantity.si_value(math.exp(log), read.unit)
        slope = sheet.procedure(
            "growth of the resistance at 40 °C, median of all pairs", trend.robust_growth_rate, unit="%/d", rule=rule,
            result=slope.si, **given,
        )  # fmt: skip
    sheet.value("slope", slope)
    sheet.value("slope_low", per_day(fit.line.low))
    sheet.value("slope_high", per_day(fit.line.high))
    if direction == "improving":
        sheet.value("doubling_time", sheet.step("time to double", "t2 = ln(2)/b", unit="d", b=slope))
    elif direction == "worsening":
        sheet.value("halving_time", sheet.step("time to halve", "th = ln(2)/abs(b)", unit="d", b=slope))
    if fit.weather is not None:
        sheet.value("weather", "separated")
        sheet.value("weather_effect", Quantity.si_value(math.expm1(fit.weather.effect), "%"))
    elif "weather" not in sheet.values:
        sheet.value("weather", "no-effect")


def per_day(slope: float) -> Quantity:
    """A slope in ln ohm per day as a rate."""
    return Quantity.of(slope * 100.0, "%/d")


def forecast(sheet: Sheet, record: Record, fits: list[Fit], least: Quantity, direction: str) -> None:
    """When the least value is crossed, at most one length of the record ahead; of two laws the worse."""
    if direction not in ("improving", "worsening"):
        return
    if record.temperature is None:
        sheet.next_step(
            "No date is given for the least value: it holds at 40 °C, and no winding temperature was measured."
        )
        return
    ahead = []
    for fit in fits:
        now = Quantity.si_value(
            math.exp(fit.line.intercept + fit.line.slope * record.length), record.resistance[-1].unit
        )
        if (now.si > least.si) == (direction == "worsening"):
            ahead.append((now, per_day(fit.line.slope)))
    if len(ahead) < len(fits) if direction == "improving" else not ahead:
        return
    waits = [
        sheet.step("time to the least value", "tm = ln(Rmin/Rnow)/b", unit="d", Rmin=least, Rnow=now, b=slope)
        for now, slope in ahead
    ]
    wait = (min if direction == "worsening" else max)(waits, key=lambda q: q.si)
    if wait.si <= record.length * DAY_S:
        moment = record.start + timedelta(days=record.length, seconds=wait.si)
        sheet.value("reaches_minimum_at", moment.strftime("%Y-%m-%dT%H:%M:%SZ"))
    else:
        length = Quantity.of(record.length, "d")
        sheet.next_step(
            f"No date is given for the least value: it lies further ahead than the record is long ({shared.brief(length)})."
        )


def check_doubt(sheet: Sheet, record: Record, fit: Fit, least: Quantity, direction: str) -> None:
    """A record that shows no change may still be too loose to exclude a fall to the least value."""
    if direction != "steady":
        return
    rule = sheet.book.constant("insulation/trend-confidence")
    now = Quantity.si_value(math.exp(fit.line.intercept + fit.line.slope * record.length), record.resistance[-1].unit)
    if record.temperature is None:
        step, coldest = sheet.book.constant("insulation/halving-step"), shared.coldest_winding(sheet.book, {})
        now = sheet.step(
            "last resistance at 40 °C, were the winding as cold as it can be", insulation.resistance_at_40c_halving,
            unit=now.unit, rule=step, R=now, T=coldest, S=step.value,
        )  # fmt: skip
    later = sheet.step(
        "resistance one length of the record ahead, at worst", "Rlow = Rnow × exp(b × L)", unit=now.unit, rule=rule,
        Rnow=now, b=per_day(fit.line.low), L=Quantity.of(record.length, "d"),
    )  # fmt: skip
    if later.si < least.si <= now.si:
        because = f"The readings scatter too much to exclude a fall to {shared.brief(later)} within as long again."
        sheet.find(Outcome.INCONCLUSIVE, rule, because=because, measured=later, limit=least)
        sheet.next_step("Take more readings the same way; the interval on the slope narrows with their number.")


def judge_latest(
    sheet: Sheet, request: dict[str, Any], latest: list[dict[str, Any]], limit: Limit, least: Quantity
) -> None:
    """Every reading of the latest moment against floor and least value, unless it is void."""
    sheet.value("floor_to_energise", sheet.book.limit("insulation/floor-to-energise").value)
    dry = [reading for reading in latest if not check_moisture(sheet, reading)]
    if any("measurement_accuracy" not in reading for reading in dry):
        sheet.assume("readings.measurement_accuracy", "none stated", sheet.book.rule("insulation/face-value"))
    gates = [judge_reading(sheet, request, reading, limit, least) for reading in dry]
    known = [gate for gate in gates if gate is not None]
    if known:
        sheet.value("resistance_at_40c", min(known, key=lambda gate: gate.si))


def judge_reading(
    sheet: Sheet, request: dict[str, Any], reading: dict[str, Any], limit: Limit, least: Quantity
) -> Quantity | None:
    """Compare one reading with the floor as read and with the least value; returns it at 40 °C where that is known."""
    floor, resistance = sheet.book.limit("insulation/floor-to-energise"), reading["resistance"]
    bound, known = reading.get("over_range", False), "winding_temperature" in reading
    accuracy = half_width(resistance, reading.get("measurement_accuracy"))
    because = f"The latest reading is {'more than ' if bound else ''}{resistance}"
    otherwise = Outcome.INCONCLUSIVE if bound else Outcome.REJECT
    sheet.compare(floor, resistance, because=f"{because}.", accuracy=accuracy, otherwise=otherwise)
    temperature = reading.get("winding_temperature", shared.coldest_winding(sheet.book, reading))
    if not known:
        coldest = sheet.book.constant("insulation/coldest-winding")
        sheet.assume("readings.winding_temperature", f"{temperature} at the latest reading", coldest)
        sheet.next_step("Measure the winding temperature with every reading.")
    system = request.get("insulation_system", "unknown")
    gate = shared.refer_to_40c(sheet, "Latest reading", resistance, temperature, system).gate
    because += f", {shared.brief(gate)} at 40 °C{'' if known else ' were the winding as cold as it can be'}"
    if gate.si < least.si * (1.0 - 1e-9):
        because += f", below the {shared.brief(least)} asked"
        if known and not bound:
            sheet.next_step("Do not energise until the winding is dried and cleaned and a test of it passes.")
    width = accuracy and Quantity(accuracy.si * gate.si / resistance.si, gate.unit, gate.dimension)
    if width and 0.0 <= gate.si - least.si < width.si:
        because += "; its accuracy reaches below the least value"
    otherwise = Outcome.CAUTION if known and not bound else Outcome.INCONCLUSIVE
    sheet.compare(limit, gate, because=f"{because}.", against=least, accuracy=width, otherwise=otherwise)
    return gate if known else None


def check_moisture(sheet: Sheet, reading: dict[str, Any]) -> bool:
    """Compare the latest reading with its dew point; True where it is void."""
    if "air" not in reading or "winding_temperature" not in reading:
        return False
    book = sheet.book
    wet, damp = book.limit("insulation/dew-point-margin"), book.limit("insulation/damp-margin")
    winding, dew = reading["winding_temperature"], shared.dew_point(sheet, reading["air"])
    margin = sheet.step(
        "latest reading: winding above the dew point", "dT = T − Td", unit="K", rule=wet, T=winding, Td=dew
    )
    sheet.value("dew_point_margin", margin)
    if is_wet(book, reading):
        because = (
            f"The latest reading was taken with the winding at {winding}, not above the dew point of "
            f"{shared.brief(dew)}: it is void, not failed."
        )
        sheet.find(Outcome.INCONCLUSIVE, wet, because=because, measured=margin, limit=wet.value)
        sheet.next_step(
            f"Warm the winding to at least {damp.value} above the dew point, let it dry off, and test again; "
            "do not energise before."
        )
        return True
    because = f"At the latest reading the winding was {shared.brief(margin)} above the dew point"
    because += ", so close that it may be damp." if margin.si < damp.value.si else "."
    sheet.compare(damp, margin, because=because, otherwise=Outcome.CAUTION)
    return False


def judge_over_range(sheet: Sheet, readings: list[dict[str, Any]], exact: list[dict[str, Any]]) -> None:
    """Over-range readings are lower bounds: they are not fitted, but a fall from beyond the range shows."""
    beyond = [reading for reading in readings if reading.get("over_range", False)]
    if not beyond:
        return
    rule = sheet.book.constant("insulation/trend-least-change")
    told = share_of(len(beyond), readings, "lies", "lie")
    because = f"{told} beyond the instrument's range and outside the fit."
    sheet.find(Outcome.ACCEPT, rule, because=because, decides=False)
    highest = max(beyond, key=lambda reading: reading["resistance"].si)
    if exact and exact[-1]["at"] > highest["at"] and exact[-1]["resistance"].si < highest["resistance"].si:
        because = f"The resistance has come down from beyond {highest['resistance']} to {exact[-1]['resistance']}."
        sheet.find(
            Outcome.CAUTION, rule, because=because, measured=exact[-1]["resistance"], limit=highest["resistance"]
        )


def judge_method(sheet: Sheet, request: dict[str, Any]) -> None:
    """Only a valid method can acquit: insulation tester, its voltage, one minute, drive off."""
    book = sheet.book
    row, low, high = taken.test_voltages(sheet, request, "motor")
    lowest, highest, voltage = row.q(low), row.q(high), request.get("test_voltage")
    ohmmeter, minute = book.constant("insulation/ohmmeter-voltage"), book.constant("insulation/test-duration")
    if voltage is None or voltage.si < lowest.si * (1.0 - 1e-9) or request.get("instrument") == "multimeter":
        because = f"The readings are not shown to be taken with an insulation tester at {lowest} or more."
        sheet.find(Outcome.INCONCLUSIVE, ohmmeter, because=because, measured=voltage, limit=lowest)
        sheet.next_step(f"Test with an insulation tester at {lowest} and say so.")
    elif voltage.si > highest.si * (1.0 + 1e-9):
        because = f"The readings were taken at {voltage}, more than the {highest} usual for {request['rated_voltage']}, which may have harmed the winding."
        sheet.find(Outcome.CAUTION, row[high], because=because, measured=voltage, limit=highest)
        sheet.next_step(f"Test at {lowest} and not above {highest} again.")
    if "after" not in request:
        sheet.assume("after", f"{minute.value} at every reading", minute)
    elif abs(request["after"].si - minute.value.si) > book.constant("insulation/test-duration-tolerance").value.si:
        because = f"The readings were taken after {request['after']}; the least values hold for one minute."
        sheet.find(Outcome.INCONCLUSIVE, minute, because=because, measured=request["after"], limit=minute.value)
        sheet.next_step("Read the resistance one minute after applying the test voltage.")
    if request.get("drive_disconnected") is not True:
        rule = book.rule("caution/never-test-through-a-drive")
        sheet.find(
            Outcome.INCONCLUSIVE, rule, because="It is not said that the drive was off the cable at every reading."
        )
        sheet.next_step("Take the motor cable off the drive before every test, and say so.")


def advise(sheet: Sheet, direction: str) -> None:
    """What to do next, by direction."""
    wait = sheet.book.constant("insulation/drying-constant-time").value
    sheet.next_step(
        *{
            "worsening": [
                "Look for damp, dirt and oil, dry and clean the winding, and shorten the interval between tests."
            ],
            "improving": [
                f"When drying, go on until the resistance at 40 °C is above the least value and constant for {wait}."
            ],
            "steady": ["Go on recording at one winding temperature, with the weather beside it."],
            "too-few-readings": [
                "Take at least five readings, days or weeks apart, the same way and at one winding temperature."
            ],
        }[direction]
    )
    sheet.next_step(*sheet.book.steps("insulation/retest-interval"))


def summary(sheet: Sheet, direction: str, *, corrected: bool) -> str:
    """One or two sentences for the machinist."""
    said = {
        "worsening": "The insulation is getting worse" if corrected else "The readings are falling",
        "improving": "The insulation is getting better" if corrected else "The readings are rising",
        "steady": "No change of the insulation is shown",
        "too-few-readings": "There are too few readings for a direction",
    }[direction]
    confounded = any(found.cited.rule == "insulation/trend-weather-confounding" for found in sheet.findings)
    if confounded and direction in ("worsening", "improving"):
        said += ", or only the weather has changed"
    for name, words in (("halving_time", "halving in"), ("doubling_time", "doubling in")):
        time = sheet.values.get(name)
        if isinstance(time, Quantity):
            said += f", {words} about {shared.brief(time if time.si >= 2.0 * DAY_S else time.to('h'))}"
    if "reaches_minimum_at" in sheet.values:
        said += f"; at this rate it crosses the least value on {str(sheet.values['reaches_minimum_at'])[:10]}"
    if sheet.outcome is Outcome.REJECT:
        floor = next(found for found in sheet.findings if found.outcome is Outcome.REJECT)
        return f"{said}. Do not energise: the latest reading, {floor.measured}, is below the floor of {floor.limit}."
    if sheet.outcome is Outcome.ACCEPT:
        return f"{said}, and the latest reading passes."
    deciding = [found for found in sheet.findings if found.decides and found.outcome is sheet.outcome]
    # The direction has been said; what else holds the outcome back says more.
    deciding.sort(key=lambda found: found.cited.rule == "insulation/trend-least-change")
    return f"{said}. {deciding[0].because}"


QUESTION = Question(
    largest_body=256 * 1024,
    name="insulation-trend",
    order=20,
    title="Insulation trend",
    summary="Whether a record of insulation readings gets better or worse, apart from temperature and weather.",
    request=InsulationTrendRequest,
    values={
        "direction": out.choice(["improving", "steady", "worsening", "too-few-readings"], "direction at 40 °C"),
        "slope": out.quantity("rate", "%/d", "continuous growth of the resistance at 40 °C"),
        "slope_low": out.quantity("rate", "%/d", "lower end of its 95 % interval"),
        "slope_high": out.quantity("rate", "%/d", "upper end of its 95 % interval"),
        "doubling_time": out.quantity("duration", "d", "time to double, where it improves"),
        "halving_time": out.quantity("duration", "d", "time to halve, where it worsens"),
        "reaches_minimum_at": out.text("when the least value is crossed, within one length of the record ahead"),
        "minimum_at_40c": out.quantity("resistance", "Mohm", "least one-minute resistance of the winding at 40 °C"),
        "floor_to_energise": out.quantity("resistance", "Mohm", "resistance below which nothing is energised"),
        "resistance_at_40c": out.quantity(
            "resistance", "Mohm", "latest reading referred to 40 °C by the law that gates"
        ),
        "dew_point": out.quantity("temperature", "degC", "dew point of the air at the latest reading"),
        "dew_point_margin": out.quantity("temperature-difference", "K", "winding temperature above it"),
        "weather": out.choice(["separated", "no-effect", "cannot-tell", "not-measured"], "what the air data tell"),
        "weather_effect": out.quantity("ratio", "%", "change of resistance for each kelvin above the dew point"),
    },
    answer=answer,
    rules=("insulation/*", "caution/*"),
    example={
        "rated_voltage": "400 V",
        "winding": "random-wound",
        "manufactured": 1987,
        "instrument": "insulation-tester",
        "test_voltage": "500 V",
        "drive_disconnected": True,
        "readings": [
            {"at": "2026-01-10", "resistance": "210 Mohm", "winding_temperature": "16 degC"},
            {"at": "2026-03-02", "resistance": "190 Mohm", "winding_temperature": "15 degC"},
            {"at": "2026-05-04", "resistance": "118 Mohm", "winding_temperature": "19 degC"},
            {"at": "2026-07-01", "resistance": "72 Mohm", "winding_temperature": "23 degC"},
            {"at": "2026-08-30", "resistance": "64 Mohm", "winding_temperature": "22 degC"},
            {"at": "2026-10-28", "resistance": "70 Mohm", "winding_temperature": "17 degC"},
        ],
    },
)
