"""What flows from one part of a changeover into the next, and what is said where the two do not agree."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any

from millphase.answer import Answer, Sheet
from millphase.physics import motor
from millphase.quantity import Quantity, parse
from millphase.questions import (
    _speeds_curve,
    cable_sizing,
    commissioning_check,
    connection_choice,
    drive_sizing,
    insulation_acceptance,
    leakage_budget,
    motor_fit,
    spindle_speeds,
    winding_balance,
)
from millphase.questions.base import Outcome, Question

Path = tuple[str | int, ...]

# The parts in working order, with the question that answers each.
PARTS: dict[str, Question] = {
    "insulation": insulation_acceptance.QUESTION,
    "winding": winding_balance.QUESTION,
    "fit": motor_fit.QUESTION,
    "connection": connection_choice.QUESTION,
    "drive": drive_sizing.QUESTION,
    "leakage": leakage_budget.QUESTION,
    "cable": cable_sizing.QUESTION,
    "speeds": spindle_speeds.QUESTION,
    "commissioning": commissioning_check.QUESTION,
}

# In a path: every drive of the leakage budget but the first.
OTHERS = -1
RCD_LABEL = ("rated_residual_current", "type", "delay")
_LINE_TO_LINE_V = 200.0
_HIGHEST_TO_EARTH_V = 265.0
_PLUGS = {
    "plug-13a": "household-plug", "plug-15a": "household-plug", "plug-20a": "household-plug",
    "plug-16a": "industrial-plug", "plug-32a": "industrial-plug", "fixed": "fixed",
}  # fmt: skip


@dataclass
class Job:
    """What has been asked and answered so far."""

    requests: dict[str, dict[str, Any]]
    answers: dict[str, Answer] = field(default_factory=dict)
    contradictions: list[str] = field(default_factory=list)

    def given(self, part: str, *path: str | int) -> Any:
        """What the user entered, or an earlier part fed, at `path` of a part; or None."""
        return at(self.requests.get(part, {}), path)

    def found(self, part: str, value: str) -> Quantity | None:
        """A quantity that an earlier part has answered, or None."""
        answer = self.answers.get(part)
        return answer.quantity(value) if answer else None


Source = Callable[[Job, Sheet], Any]


@dataclass(frozen=True)
class Feed:
    """One value that flows into a part.

    Attributes
    ----------
    part, path : str, tuple
        Where it goes; a path through ``OTHERS`` is a stand-in for every drive but the first.
    what : str
        What it is, in plain words.
    source : callable
        Gives the value, or None where there is none.
    dimension : str
        Of a quantity; empty for a word or an object.
    larger : bool
        Whether the larger of entered and found is carried on; else the entered one stands.
    tells : bool
        Whether a contradiction is told here; false where the same two values meet again in a later part.
    """

    part: str
    path: Path
    what: str
    source: Source
    dimension: str = ""
    larger: bool = False
    tells: bool = True


def at(node: Any, path: Path) -> Any:
    """What stands at `path`, or None."""
    for part in path:
        if isinstance(node, Mapping):
            node = node.get(part)
        elif isinstance(node, list) and isinstance(part, int):
            node = node[part] if part < len(node) else None
        else:
            return None
    return node


def _put(node: Any, path: Path, value: Any) -> None:
    """Set a value, making objects on the way; a list that is not there, or another kind of node, is left alone."""
    for part, following in pairwise(path):
        if isinstance(node, dict) and part not in node and isinstance(following, str):
            node[part] = {}
        node = at(node, (part,))
    if isinstance(node, dict):
        node[path[-1]] = value


def _answered(part: str, value: str) -> Source:
    return lambda job, _: job.found(part, value)


def _entered(*places: Path) -> Source:
    """The first of several places that was filled in; each begins with its part."""

    def first(job: Job, _: Sheet) -> Any:
        found = (job.given(str(part), *path) for part, *path in places)
        return next((value for value in found if value is not None), None)

    return first


def _quantity(value: Any, dimension: str) -> Quantity:
    """A value as entered or found; a plain number is a ratio."""
    if isinstance(value, Quantity):
        return value
    return Quantity.of(float(value), "1") if isinstance(value, int | float) else parse(value, dimension)


def _torque(job: Job, sheet: Sheet) -> Quantity | None:
    power, speed = job.given("connection", "nameplate", "power"), job.given("connection", "nameplate", "speed")
    if power is None or speed is None:
        return None
    return sheet.step(
        "rated torque of the motor, for its key", motor.torque, unit="N.m",
        P=parse(power, "power"), n=parse(speed, "rotational-frequency"),
    )  # fmt: skip


def _measured_on_the_motor(job: Job) -> bool:
    return (job.given("insulation", "under_test") or "motor") in ("motor", "motor-and-cable")


def _motor_insulation(job: Job, _: Sheet) -> Quantity | None:
    """The lowest reading of the motor; one that proves nothing may not acquit the motor in the leakage budget either."""
    answer = job.answers.get("insulation")
    if answer is None or answer.outcome is Outcome.INCONCLUSIVE or not _measured_on_the_motor(job):
        return None
    return answer.quantity("lowest_resistance")


def _winding_year(job: Job, _: Sheet) -> Any:
    return job.given("insulation", "manufactured") if _measured_on_the_motor(job) else None


def _motor_voltage(job: Job, _: Sheet) -> Any:
    """Rated voltage in the connection chosen; the drive's output voltage where none was chosen."""
    answer = job.answers.get("connection")
    rows: Any = answer.values.get("candidates", []) if answer else []
    chosen = answer.values.get("connection") if answer else None
    found = (row["rated_voltage"] for row in rows if row["connection"] == chosen)
    return next(found, job.given("connection", "fed_from", "output_voltage"))


def _highest_on_plate(job: Job, sheet: Sheet) -> Any:
    """The higher voltage of the plate: what the winding is insulated for."""
    names = ("star_voltage", "high_voltage", "delta_voltage", "low_voltage")
    return _entered(*(("connection", "nameplate", name) for name in names))(job, sheet)


def _built_for_drives(job: Job, _: Sheet) -> str | None:
    return "built-for-drives" if job.given("connection", "nameplate", "built_for_drive") else None


def _poles(job: Job, _: Sheet) -> Any:
    """Poles of the plate, as far as drive sizing tells them apart."""
    poles = job.given("connection", "nameplate", "poles")
    return poles if poles in (2, 4, 6, 8) else None


def _fed_by(kind: str) -> Callable[[Job], bool]:
    return lambda job: (job.given("connection", "fed_from", "kind") or "drive") == kind


def _when(holds: Callable[[Job], bool], source: Source) -> Source:
    return lambda job, sheet: source(job, sheet) if holds(job) else None


def _without_drive(job: Job) -> bool:
    return "drive" not in job.requests and _fed_by("mains")(job)


def _feeds(job: Job, _: Sheet) -> str | None:
    if "drive" in job.requests:
        return "drive"
    return "motor" if "connection" in job.requests and _without_drive(job) else None


def _kind(job: Job, _: Sheet) -> str | None:
    return "drive" if "drive" in job.requests else None


def _to_earth(job: Job, sheet: Sheet) -> Any:
    """Voltage of a line to earth: that of a single-phase supply with a neutral, or of one line of three."""
    supply = job.given("drive", "supply") or {}
    if "voltage" not in supply or job.given("leakage", "wiring_rules") == "nfpa-70":
        return None
    voltage = parse(supply["voltage"], "voltage")
    if supply.get("phases") == 3:
        return sheet.step("voltage of a line to earth", "U0 = U / √(3)", unit="V", U=voltage)
    return voltage if voltage.si <= _HIGHEST_TO_EARTH_V else None


def _doubled(job: Job, _: Sheet) -> bool | None:
    """Whether the drive doubles its DC link: as entered, or as drive sizing had to assume."""
    entered = job.given("drive", "drive", "doubles_voltage")
    answer = job.answers.get("drive")
    assumed = answer is not None and any(name == "drive.doubles_voltage" for name, _, _ in answer.assumptions)
    return True if entered is None and assumed else entered


def _drive_input(job: Job, _: Sheet) -> str | None:
    """How the drive is fed, where its supply says more than that it has one phase."""
    supply = job.given("drive", "supply") or {}
    if job.given("drive", "drive", "input_phases") != 1 and supply.get("phases") == 3:
        return "three-phase"
    american = job.given("leakage", "wiring_rules") == "nfpa-70"
    if american and "voltage" in supply and parse(supply["voltage"], "voltage").si >= _LINE_TO_LINE_V:
        return "line-line"
    return None


def _means(words: Mapping[str, str]) -> Source:
    return lambda job, _: words.get(job.given("drive", "supply", "connected_by") or "")


def _circuit(job: Job, _: Sheet) -> list[dict[str, Any]] | None:
    length = job.given("cable", "length")
    return [{"name": "circuit of this cable", "length": length}] if length else None


def _frame(job: Job, _: Sheet) -> Any:
    frame = job.given("fit", "new_motor", "frame")
    return frame if job.given("fit", "new_motor", "standard") == "iec" and frame in _speeds_curve.FRAMES else None


def _device(value: Source) -> Source:
    """Kind or rating of the circuit's device, where both are known and commissioning-check knows the kind."""

    def known(job: Job, sheet: Sheet) -> Any:
        kind, rating = job.given("cable", "protective_device", "kind"), job.found("cable", "protective_device_rating")
        kinds = commissioning_check.BREAKERS + commissioning_check.FUSES
        return value(job, sheet) if kind in kinds and rating is not None else None

    return known


_SUPPLY = _fed_by("drive")
_EARTHING = (("leakage", "supply", "earthing"), ("cable", "earthing"), ("commissioning", "supply", "earthing"))
_ELECTRODE = (
    ("leakage", "supply", "electrode_resistance"), ("cable", "electrode_resistance"),
    ("commissioning", "supply", "electrode_resistance"),
)  # fmt: skip

FEEDS: tuple[Feed, ...] = (
    Feed("insulation", ("rated_voltage",), "rated voltage of the motor", _highest_on_plate, "voltage", tells=False),
    Feed("fit", ("torque",), "torque on the key", _torque, "torque"),
    Feed("fit", ("new_motor", "power"), "motor power", _entered(("connection", "nameplate", "power")), "power"),
    Feed("fit", ("new_motor", "speed"), "rated speed", _entered(("connection", "nameplate", "speed")), "rotational-frequency"),
    Feed("connection", ("fed_from", "kind"), "what feeds the motor", _kind),
    Feed("connection", ("fed_from", "voltage"), "supply voltage", _when(_SUPPLY, _entered(("drive", "supply", "voltage"))), "voltage", tells=False),
    Feed("connection", ("fed_from", "phases"), "supply phases", _when(_SUPPLY, _entered(("drive", "supply", "phases"))), tells=False),
    Feed("drive", ("motor", "current"), "motor current at the connection chosen", _answered("connection", "line_current"), "current", larger=True),
    Feed("drive", ("motor", "voltage"), "motor voltage at the connection chosen", _motor_voltage, "voltage"),
    Feed("drive", ("motor", "power"), "motor power", _entered(("connection", "nameplate", "power")), "power"),
    Feed("drive", ("motor", "power_factor"), "motor power factor", _entered(("connection", "nameplate", "power_factor")), "ratio"),
    Feed("drive", ("motor", "efficiency"), "motor efficiency", _entered(("connection", "nameplate", "efficiency")), "ratio"),
    Feed("drive", ("motor", "poles"), "number of poles", _poles),
    Feed("drive", ("motor", "insulation"), "insulation of the winding", _built_for_drives),
    Feed("drive", ("motor", "manufactured"), "year of the winding", _winding_year),
    Feed("drive", ("supply", "voltage"), "supply voltage", _when(_SUPPLY, _entered(("connection", "fed_from", "voltage"))), "voltage"),
    Feed("drive", ("supply", "phases"), "supply phases", _when(_SUPPLY, _entered(("connection", "fed_from", "phases")))),
    Feed("drive", ("supply", "frequency"), "supply frequency", _when(_SUPPLY, _entered(("connection", "fed_from", "frequency"))), "frequency"),
    Feed("leakage", ("supply", "voltage"), "voltage of a line to earth", _to_earth, "voltage"),
    Feed("leakage", ("supply", "frequency"), "supply frequency", _entered(("drive", "supply", "frequency")), "frequency"),
    Feed("leakage", ("supply", "earthing"), "earthing of the supply", _entered(*_EARTHING[1:]), tells=False),
    Feed("leakage", ("supply", "electrode_resistance"), "resistance of the earth electrode", _entered(*_ELECTRODE[1:]), "resistance", tells=False),
    Feed("leakage", ("circuits",), "fixed wiring", _circuit),
    Feed("leakage", ("drives", 0, "motor_cable"), "motor cable", _entered(("drive", "motor_cable"))),
    Feed("leakage", ("drives", 0, "carrier_frequency"), "carrier frequency", _entered(("drive", "drive", "carrier_frequency")), "frequency"),
    Feed("leakage", ("drives", 0, "motor_insulation"), "motor insulation resistance", _motor_insulation, "resistance"),
    Feed("leakage", ("drives", 0, "input"), "how the drive is fed", _drive_input),
    Feed("leakage", ("drives", 0, "boost_stage"), "doubled DC link", _doubled),
    Feed("leakage", ("drives", 0, "connection"), "how the drive is connected", _means({key: word.replace("household-", "") for key, word in _PLUGS.items()})),
    Feed("leakage", ("drives", OTHERS, "motor_cable"), "motor cable", _entered(("drive", "motor_cable"))),
    Feed("leakage", ("drives", OTHERS, "carrier_frequency"), "carrier frequency", _entered(("drive", "drive", "carrier_frequency"))),
    Feed("cable", ("design_current",), "design current of the circuit", _answered("drive", "input_current"), "current", larger=True),
    Feed("cable", ("design_current",), "motor current", _when(_without_drive, _answered("connection", "line_current")), "current", larger=True),
    Feed("cable", ("feeds",), "what the cable feeds", _feeds),
    Feed("cable", ("voltage",), "supply voltage", _entered(("drive", "supply", "voltage")), "voltage"),
    Feed("cable", ("voltage",), "supply voltage", _when(_without_drive, _entered(("connection", "fed_from", "voltage"))), "voltage"),
    Feed("cable", ("phases",), "supply phases", _entered(("drive", "supply", "phases"))),
    Feed("cable", ("phases",), "supply phases", _when(_without_drive, _entered(("connection", "fed_from", "phases")))),
    Feed("cable", ("protective_device", "rating"), "rating of the protective device", _entered(("drive", "supply", "device_rating")), "current"),
    Feed("cable", ("connection",), "how the drive is connected", _means(_PLUGS)),
    Feed("cable", ("earthing",), "earthing of the supply", _entered(_EARTHING[0], _EARTHING[2])),
    Feed("cable", ("electrode_resistance",), "resistance of the earth electrode", _entered(_ELECTRODE[0], _ELECTRODE[2]), "resistance"),
    Feed("cable", ("protective_conductor_current",), "protective-conductor current", _answered("leakage", "protective_conductor_current"), "current", larger=True),
    *(Feed("cable", ("rcd", name), f"RCD, {name.replace('_', ' ')}", _entered(("leakage", "rcd", name)), "current" if name == RCD_LABEL[0] else "") for name in RCD_LABEL),
    Feed("speeds", ("motor", "rated_speed"), "rated speed", _entered(("connection", "nameplate", "speed")), "rotational-frequency"),
    Feed("speeds", ("motor", "frequency"), "rated frequency", _entered(("connection", "nameplate", "frequency")), "frequency"),
    Feed("speeds", ("motor", "power"), "motor power", _entered(("connection", "nameplate", "power")), "power"),
    Feed("speeds", ("motor", "poles"), "number of poles", _entered(("connection", "nameplate", "poles"), ("drive", "motor", "poles"))),
    Feed("speeds", ("motor", "frame"), "frame", _frame),
    Feed("speeds", ("motor", "full_torque_up_to"), "frequency up to which the drive gives full torque", _answered("connection", "full_torque_up_to"), "frequency"),
    *(Feed("commissioning", ("rcd", name), f"RCD, {name.replace('_', ' ')}", _entered(("leakage", "rcd", name)), "current" if name == RCD_LABEL[0] else "") for name in RCD_LABEL),
    Feed("commissioning", ("supply", "voltage"), "voltage of a line to earth", _entered(("leakage", "supply", "voltage")), "voltage"),
    Feed("commissioning", ("supply", "earthing"), "earthing of the supply", _entered(*_EARTHING[:2])),
    Feed("commissioning", ("supply", "electrode_resistance"), "resistance of the earth electrode", _entered(*_ELECTRODE[:2]), "resistance"),
    Feed("commissioning", ("protective_device", "kind"), "kind of the protective device", _device(_entered(("cable", "protective_device", "kind")))),
    Feed("commissioning", ("protective_device", "rating"), "rating of the protective device", _device(_answered("cable", "protective_device_rating")), "current"),
    Feed("commissioning", ("rated_current",), "motor current", _answered("connection", "line_current"), "current"),
)  # fmt: skip


def feed(part: str, job: Job, sheet: Sheet) -> None:
    """Fill in what earlier parts know, and report what they contradict."""
    if part == "leakage" and "drive" in job.requests and not job.given("leakage", "drives"):
        job.requests[part]["drives"] = [{"name": "the drive sized"}]
        sheet.assume("leakage.drives", "the drive that is sized", sheet.book.rule("changeover/every-drive"))
    for entry in FEEDS:
        if entry.part == part:
            _apply(entry, job, sheet)


def _apply(entry: Feed, job: Job, sheet: Sheet) -> None:
    value = entry.source(job, sheet)
    if value is None:
        return
    for path in _places(entry, job):
        entered = job.given(entry.part, *path)
        if OTHERS in entry.path:
            _stand_in(entry, path, value, entered, job, sheet)
            continue
        carried = value if entered is None else _settled(entry, entered, value, job, sheet)
        if carried is not None:
            _put(job.requests[entry.part], path, _as_text(carried))


def _places(entry: Feed, job: Job) -> Iterator[Path]:
    """The place of a feed, or its place in every drive but the first."""
    if OTHERS not in entry.path:
        yield entry.path
        return
    for index in range(1, len(job.given("leakage", "drives") or [])):
        yield tuple(index if part == OTHERS else part for part in entry.path)


def _stand_in(entry: Feed, path: Path, value: Any, entered: Any, job: Job, sheet: Sheet) -> None:
    """Take for another drive what is known of the first, as an assumption; without it that drive would leak too little."""
    if entered is not None:
        return
    _put(job.requests[entry.part], path, deepcopy(value))
    name = ".".join(map(str, (entry.part, *path)))
    words = value["length"] if isinstance(value, Mapping) else value
    sheet.assume(name, f"{words}, as of the drive that is sized", sheet.book.rule("changeover/every-drive"))


def _as_text(value: Any) -> Any:
    return f"{value.value:.6g} {value.unit}" if isinstance(value, Quantity) else deepcopy(value)


def _settled(entry: Feed, entered: Any, found: Any, job: Job, sheet: Sheet) -> Quantity | None:
    """What to carry on in place of what was entered, or None where that stands; a contradiction is a caution."""
    if entry.dimension:
        given, worked_out = _quantity(entered, entry.dimension), _quantity(found, entry.dimension)
        return _compared(entry, given, worked_out, job, sheet)
    if isinstance(entered, Mapping) and isinstance(found, Mapping) and "length" in entered and "length" in found:
        _compared(entry, parse(entered["length"], "length"), parse(found["length"], "length"), job, sheet)
    elif not isinstance(entered, list | Mapping) and entered != found and entry.tells:
        rule = sheet.book.limit("changeover/fed-value-tolerance")
        sheet.find(Outcome.CAUTION, rule, because=_because(entry, entered, found, entered))
        job.contradictions.append(entry.what)
    return None


def _compared(entry: Feed, given: Quantity, found: Quantity, job: Job, sheet: Sheet) -> Quantity | None:
    """The larger of two where the feed asks for it; a difference beyond the tolerance is a caution."""
    rule = sheet.book.limit("changeover/fed-value-tolerance")
    apart = abs(given.si - found.si) > rule.value.si * max(given.si, found.si)
    carried = max(given, found, key=lambda quantity: quantity.si) if entry.larger else given
    if entry.tells and (apart or entry.larger):
        difference = sheet.step(
            f"difference in the {entry.what}", "d = abs(a − b)/max(a, b)", unit="%", a=given, b=found
        )
        because = _because(entry, given, found, carried)
        sheet.compare(rule, difference, because=because, otherwise=Outcome.CAUTION)
    if entry.tells and apart:
        job.contradictions.append(entry.what)
    return carried if entry.larger else None


def _because(entry: Feed, entered: Any, found: Any, carried: Any) -> str:
    name = PARTS[entry.part].title.lower()
    source = "worked out" if entry.larger else "elsewhere in the job"
    return f"{entry.what[0].upper()}{entry.what[1:]}: {entered} entered for {name}, {found} {source}; {carried} is carried on."
