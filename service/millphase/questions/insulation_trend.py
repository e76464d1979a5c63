"""Is the insulation getting better or worse, apart from temperature and weather?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from millphase.answer import Answer, Outcome, Sheet
from millphase.physics import humidity, insulation, trend
from millphase.quantity import Quantity, significant
from millphase.questions import _insulation as shared
from millphase.questions import _insulation_readings as taken
from millphase.questions.base import Part, Question, Request, View, fields, out

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
    readings = sorted(request["readings"], key=lambda reading: reading["at"])
    exact = [reading for reading in readings if not reading.get("over_range", False)]
    record = collect(sheet, exact) if exact else None
    fits = fit_laws(sheet, request, record) if record else []
    direction = judge_direction(sheet, record, fits)
    sheet.value("direction", direction)
    if record and fits:
        report_slope(sheet, record, fits[0], direction)
        forecast(sheet, record, fits, least, direction)
        check_doubt(sheet, record, fits[0], least, direction)
    if exact:
        judge_latest(sheet, request, exact[-1], limit, least)
    judge_over_range(sheet, readings, exact)
    judge_method(sheet, request)
    advise(sheet, direction)
    return sheet.answer(summary(sheet, direction, exact))


def collect(sheet: Sheet, readings: list[dict[str, Any]]) -> Record:
    """The readings to fit; those without a winding temperature are left out where others have one."""
    measured = [reading for reading in readings if "winding_temperature" in reading]
    if measured and len(measured) < len(readings):
        rule = sheet.book.constant("insulation/halving-step")
        because = f"{len(readings) - len(measured)} of {len(readings)} readings have no winding temperature and are left out of the fit."
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
        margins(sheet, chosen) if measured and all("air" in reading for reading in chosen) else None,
    )


def margins(sheet: Sheet, readings: list[dict[str, Any]]) -> list[float]:
    """Winding temperature above the dew point at every reading [K]."""
    water = sheet.book.coefficients("insulation/dew-point-over-water")
    a, b = water["a"].si, water["b"].si
    found = []
    for reading in readings:
        air = reading["air"]
        exponent = humidity.magnus_exponent(air["relative_humidity"].si, air["temperature"].si, a, b)
        found.append(reading["winding_temperature"].si - humidity.condensation_temperature(exponent, a, b))
    return found


def fit_laws(sheet: Sheet, request: dict[str, Any], record: Record) -> list[Fit]:
    """Fit the record by the halving law and, where it may hold and matter, by the thermosetting law."""
    if len(record.days) < sheet.book.constant("insulation/trend-least-readings").value.si or record.length <= 0.0:
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
    count = Quantity.si_value(float(len(record.days)) if record else 0.0, "1")
    if record is None or not fits:
        because = f"{count} readings at different times can be fitted; {enough.value} are needed for a direction."
        sheet.find(Outcome.INCONCLUSIVE, enough, because=because, measured=count, limit=enough.value)
        return "too-few-readings"
    found = {direction_of(fit.line, record.length, change.value.si) for fit in fits}
    direction = found.pop() if len(found) == 1 else "steady"
    if found:
        because = "One correction law shows a change and the other does not: the winding's temperature may be all there is to it."
        sheet.find(Outcome.INCONCLUSIVE, book.coefficients("insulation/thermosetting-correction"), because=because)
        sheet.next_step("Take the next readings at one winding temperature, near 20 to 30 °C.")
        return direction
    because = {
        "worsening": "The resistance at 40 °C is falling.",
        "improving": "The resistance at 40 °C is rising.",
        "steady": "No change of the resistance at 40 °C is shown.",
    }[direction]
    sheet.find(Outcome.CAUTION if direction == "worsening" else Outcome.ACCEPT, change, because=because)
    return direction


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
    later = sheet.step(
        "resistance one length of the record ahead, at worst", "Rlow = Rnow × exp(b × L)", unit=now.unit, rule=rule,
        Rnow=now, b=per_day(fit.line.low), L=Quantity.of(record.length, "d"),
    )  # fmt: skip
    if later.si < least.si <= now.si:
        because = f"The readings scatter too much to exclude a fall to {shared.brief(later)} within as long again."
        sheet.find(Outcome.INCONCLUSIVE, rule, because=because, measured=later, limit=least)
        sheet.next_step("Take more readings the same way; the interval on the slope narrows with their number.")


def judge_latest(sheet: Sheet, request: dict[str, Any], reading: dict[str, Any], limit: Any, least: Quantity) -> None:
    """The latest reading against the floor as read, and against the least value at 40 °C."""
    book, resistance = sheet.book, reading["resistance"]
    floor, coldest = book.limit("insulation/floor-to-energise"), book.constant("insulation/coldest-winding")
    sheet.value("floor_to_energise", floor.value)
    sheet.compare(floor, resistance, because=f"The latest reading is {resistance}.")
    temperature = reading.get("winding_temperature", coldest.value)
    gate = shared.refer_to_40c(
        sheet, "Latest reading", resistance, temperature, request.get("insulation_system", "unknown")
    ).gate
    known = "winding_temperature" in reading
    because = f"The latest reading is {shared.brief(gate)} at 40 °C{'' if known else ', were the winding as cold as it can be'}."
    otherwise = Outcome.CAUTION if known else Outcome.INCONCLUSIVE
    sheet.compare(limit, gate, because=because, against=least, otherwise=otherwise)
    if known:
        sheet.value("resistance_at_40c", gate)


def judge_over_range(sheet: Sheet, readings: list[dict[str, Any]], exact: list[dict[str, Any]]) -> None:
    """Over-range readings are lower bounds: they are not fitted, but a fall from beyond the range shows."""
    beyond = [reading for reading in readings if reading.get("over_range", False)]
    if not beyond:
        return
    rule = sheet.book.constant("insulation/trend-least-change")
    because = (
        f"{len(beyond)} of {len(readings)} readings lie beyond the instrument's range and are left out of the fit."
    )
    sheet.find(Outcome.ACCEPT, rule, because=because, decides=False)
    highest = max(beyond, key=lambda reading: reading["resistance"].si)
    if exact and exact[-1]["at"] > highest["at"] and exact[-1]["resistance"].si < highest["resistance"].si:
        because = f"The resistance has come down from beyond {highest['resistance']} to {exact[-1]['resistance']}."
        sheet.find(
            Outcome.CAUTION, rule, because=because, measured=exact[-1]["resistance"], limit=highest["resistance"]
        )


def judge_method(sheet: Sheet, request: dict[str, Any]) -> None:
    """Only a valid method can acquit: insulation tester, its voltage, drive off."""
    book = sheet.book
    row, lowest, _ = taken.test_voltages(sheet, request, "motor")
    voltage, ohmmeter = request.get("test_voltage"), book.constant("insulation/ohmmeter-voltage")
    instrument = request.get("instrument")
    if voltage is None or voltage.si < row.q(lowest).si or instrument == "multimeter":
        because = f"The readings are not shown to be taken with an insulation tester at {row.q(lowest)} or more."
        sheet.find(Outcome.INCONCLUSIVE, ohmmeter, because=because, measured=voltage, limit=row.q(lowest))
        sheet.next_step(f"Test with an insulation tester at {row.q(lowest)} and say so.")
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


def summary(sheet: Sheet, direction: str, exact: list[dict[str, Any]]) -> str:
    """One or two sentences for the machinist."""
    said = {
        "worsening": "The insulation is getting worse",
        "improving": "The insulation is getting better",
        "steady": "No change of the insulation is shown",
        "too-few-readings": "There are too few readings for a direction",
    }[direction]
    for name, words in (("halving_time", "halving in"), ("doubling_time", "doubling in")):
        time = sheet.values.get(name)
        if isinstance(time, Quantity):
            said += f", {words} about {shared.brief(time)}"
    if "reaches_minimum_at" in sheet.values:
        said += f"; at this rate it crosses the least value on {str(sheet.values['reaches_minimum_at'])[:10]}"
    floor = next((f for f in sheet.findings if f.cited.rule == "insulation/floor-to-energise"), None)
    if floor is not None and floor.outcome is Outcome.REJECT:
        return f"{said}. Do not energise: the latest reading, {exact[-1]['resistance']}, is below the floor of {floor.limit}."
    if sheet.outcome is Outcome.ACCEPT:
        return f"{said}, and the latest reading passes."
    deciding = [found for found in sheet.findings if found.decides and found.outcome is sheet.outcome]
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
