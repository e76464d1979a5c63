"""Turn what was seen into evidence: for each piece, how likely it is under each suspect, from the rules."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

from millphase.answer import HasCitation, Outcome, Sheet
from millphase.physics import evidence, leakage
from millphase.quantity import Quantity
from millphase.questions._residual_current import (
    INTERRUPTERS,
    TYPES,
    Thresholds,
    budget_limit,
    said,
    the_row,
    type_rank,
)
from millphase.questions.base import View
from millphase.rulebook.model import Row

STEPS = [
    "everything-off",
    "loads-without-drive",
    "drive-without-cable",
    "drive-and-cable",
    "drive-cable-and-motor",
    "running",
]
PARTS = ["motor", "cable", "motor-and-cable", "fixed-wiring"]
CUMULATIVE = "cumulative-leakage"
# The drive's own steps with what hangs on it at each, other loads unplugged.
DRIVE_STEPS: dict[str, set[str]] = {
    "drive-without-cable": set(),
    "drive-and-cable": {"cable"},
    "drive-cable-and-motor": {"motor", "cable", "motor-and-cable"},
}
MEASURED = {"ramp-weak", "ramp-high", "trips-below-half"}
PARTS_OF_THE_WHOLE = {"insulation of motor", "insulation of cable"}
NEAR = 1 + 1e-9


@dataclass(frozen=True)
class Evidence:
    """One piece of evidence.

    Attributes
    ----------
    label : str
        What was seen, in plain words.
    likelihoods : dict
        How likely that is under each suspect, from 0 to 1.
    cited : cited object
        Table behind it.
    """

    label: str
    likelihoods: dict[str, float]
    cited: HasCitation


@dataclass(frozen=True)
class Scene:
    """What the evidence is read with."""

    sheet: Sheet
    book: View
    request: dict[str, Any]
    limits: Thresholds
    voltage: Quantity
    suspects: list[str]
    known: dict[tuple[str, int], dict[str, float]] = field(default_factory=dict)
    rows: dict[tuple[str, ...], Row] = field(default_factory=dict)

    def likelihoods(self, row: Row) -> dict[str, float]:
        """The probabilities of one table row by suspect; each row is read once."""
        key = (row.table.id, row.index)
        if key not in self.known:
            self.known[key] = {suspect: self._likelihood(row, suspect) for suspect in self.suspects}
        return self.known[key]

    def _likelihood(self, row: Row, suspect: str) -> float:
        """One probability; what adds up has a table of its own, so that rule sets made before it go on answering."""
        if suspect != CUMULATIVE:
            return row.q(suspect.replace("-", "_")).si
        evidence_table, entry = row.table.id.partition("/")[2], row.text(row.table.data["key"][-1])
        return self.row("diagnosis/cumulative-likelihood", evidence=evidence_table, entry=entry).q("likelihood").si

    def suspect(self, suspect: str) -> Row:
        """What a suspect is, how often it is met, and what to do about it."""
        table = "diagnosis/further-suspect" if suspect == CUMULATIVE else "diagnosis/suspect"
        return self.row(table, suspect=suspect)

    def row(self, table: str, **key: str) -> Row:
        """A row that the tables of the rule set must have; each is looked up once."""
        asked = (table, *key.values())
        if asked not in self.rows:
            found = the_row(self.book.table(table), **key)
            self.rows[asked] = found
        return self.rows[asked]


def opposite(likelihoods: dict[str, float]) -> dict[str, float]:
    """Likelihoods of the other result of a yes-or-no observation."""
    return {suspect: 1 - share for suspect, share in likelihoods.items()}


def gather(scene: Scene) -> list[Evidence]:
    """Every piece of evidence the request holds."""
    found = [*_trip_pattern(scene), *_current_pattern(scene)]
    for index, reading in enumerate(scene.request.get("insulation", [])):
        found += _of_insulation(scene, reading, index)
    for circumstance in dict.fromkeys(scene.request.get("circumstances", [])):
        row = scene.row("diagnosis/circumstance-likelihood", circumstance=circumstance)
        found.append(Evidence(f"reported: {circumstance.replace('-', ' ')}", scene.likelihoods(row), row))
    return found + _of_sum(scene) + _of_device(scene)


def trips_seen(scene: Scene) -> list[tuple[str, bool]]:
    """Steps at which it was seen to trip or to hold."""
    return [(o["step"], o["trips"]) for o in scene.request.get("observations", []) if "trips" in o]


def patterns(scene: Scene, table: str, seen: list[tuple[str, bool]]) -> dict[str, dict[str, float]]:
    """Arguments of the pattern law for every suspect: q, t, h and i."""
    rows = [(scene.likelihoods(scene.row(table, step=step)), yes) for step, yes in seen]
    return {
        suspect: {
            "q": scene.suspect(suspect).q("steady").si,
            "t": min((shares[suspect] for shares, yes in rows if yes), default=1.0),
            "h": max((shares[suspect] for shares, yes in rows if not yes), default=0.0),
            "i": math.prod(shares[suspect] if yes else 1 - shares[suspect] for shares, yes in rows),
        }
        for suspect in scene.suspects
    }


def pattern_likelihoods(scene: Scene, table: str, seen: list[tuple[str, bool]]) -> dict[str, float]:
    """How likely a pattern is under each suspect, without a line of working."""
    law = evidence.pattern_likelihood
    return {
        suspect: law(**{law.symbols[symbol]: value for symbol, value in arguments.items()})
        for suspect, arguments in patterns(scene, table, seen).items()
    }


def _trip_pattern(scene: Scene) -> list[Evidence]:
    seen = trips_seen(scene)
    table = scene.book.table("diagnosis/trip-likelihood")
    labels = [
        (step, yes, scene.row("diagnosis/test", test=step).text("positive" if yes else "negative"))
        for step, yes in seen
    ]
    return _pattern_evidence(scene, table.id, labels)


def _current_pattern(scene: Scene) -> list[Evidence]:
    labels = []
    budget = budget_limit(scene.request, scene.book).value.si * scene.limits.rating.si
    for observation in scene.request.get("observations", []):
        if "residual_current" in observation:
            current, words = observation["residual_current"], observation["step"].replace("-", " ")
            raised = current.si > budget * NEAR
            where = "above the budget" if raised else "within the budget"
            labels.append((observation["step"], raised, f"{said(current)} at {words}, {where}"))
    return _pattern_evidence(scene, "diagnosis/raised-likelihood", labels)


def _pattern_evidence(scene: Scene, table: str, labels: list[tuple[str, bool, str]]) -> list[Evidence]:
    """One piece of evidence for the whole pattern, worked out line by line; nothing where nothing was seen."""
    if not labels:
        return []
    seen = [(step, yes) for step, yes, _ in labels]
    what = "trips and holds" if table == "diagnosis/trip-likelihood" else "residual currents"
    likelihoods = {
        suspect: scene.sheet.step(
            f"how likely the {what} are under {suspect}", evidence.pattern_likelihood, unit="1",
            rule=scene.book.table(table), **arguments,
        ).si
        for suspect, arguments in patterns(scene, table, seen).items()
    }  # fmt: skip
    return [Evidence("; ".join(label for *_, label in labels), likelihoods, scene.book.table(table))]


def residual_at(scene: Scene, step: str) -> Quantity | None:
    """Greatest residual current read at a step, or None."""
    found = [
        observation["residual_current"] for observation in scene.request.get("observations", [])
        if observation["step"] == step and "residual_current" in observation
    ]  # fmt: skip
    return max(found, key=lambda current: current.si, default=None)


def leak(scene: Scene, resistance: Quantity) -> Quantity:
    """Most that an insulation resistance lets through at the supply voltage, without a line of working."""
    return Quantity(leakage.fault_current_supply_side(scene.voltage.si, resistance.si), "mA", "current")


def grades(scene: Scene) -> list[tuple[dict[str, Any], str]]:
    """Every insulation reading with its grade."""
    return [
        (reading, grade(scene, leak(scene, reading["resistance"]))) for reading in scene.request.get("insulation", [])
    ]


def together(scene: Scene) -> dict[str, Quantity]:
    """Leakages read apart that flow at once in normal work: other loads, drive, and insulation not yet connected.

    Empty where the current of normal work was read itself, or fewer than two of them are known.
    """
    if residual_at(scene, "running") is not None:
        return {}
    found = {}
    loads = residual_at(scene, "loads-without-drive")
    if loads is not None:
        found["other loads"] = loads
    connected: set[str] = set()
    for step, reached in DRIVE_STEPS.items():
        current = residual_at(scene, step)
        if current is not None:
            found["drive"], connected = current, reached
    for reading, graded in grades(scene):
        part = reading["part"]
        if graded == "adds" and part in ("motor", "cable", "motor-and-cable") and part not in connected:
            found[f"insulation of {part.replace('-', ' ')}"] = leak(scene, reading["resistance"])
    if "insulation of motor and cable" in found:  # the parts are in it
        found = {name: current for name, current in found.items() if name not in PARTS_OF_THE_WHOLE}
    return found if len(found) > 1 else {}


def _of_sum(scene: Scene) -> list[Evidence]:
    """Is one leakage enough alone, or do they together reach what none of them does?"""
    hold = scene.limits.no_trip
    for step in ("loads-without-drive", *DRIVE_STEPS):
        current = residual_at(scene, step)
        if current is not None and current.si > hold.si * NEAR:
            row = scene.row("diagnosis/measured-likelihood", fact="enough-alone")
            return [
                Evidence(f"{said(current)} at {step.replace('-', ' ')} is enough alone", scene.likelihoods(row), row)
            ]
    parts = together(scene)
    if not parts:
        return []
    symbols: dict[str, Any] = {f"I{number}": current for number, current in enumerate(parts.values(), 1)}
    total = scene.sheet.step(
        f"residual current in normal work, {' and '.join(parts)} together", "I = " + " + ".join(symbols), unit="mA",
        rule=scene.book.rule("diagnosis/cumulative"), **symbols,
    )  # fmt: skip
    listed = " and ".join(f"{name} {said(current)}" for name, current in parts.items())
    trips = total.si > hold.si * NEAR
    if trips:
        _report_sum(scene, listed, total)
    elif not {"other loads", "drive"} <= set(parts):
        return []
    row = scene.row("diagnosis/measured-likelihood", fact="sum-trips" if trips else "sum-holds")
    return [Evidence(f"{listed} make {said(total)} together", scene.likelihoods(row), row)]


def _report_sum(scene: Scene, listed: str, total: Quantity) -> None:
    hold, rule = scene.limits.no_trip, scene.book.rule("diagnosis/cumulative")
    because = f"Together {listed} make {said(total)}; the RCD need only hold {said(hold)}, and none of them reaches that alone."
    scene.sheet.find(Outcome.CAUTION, rule, because=because, measured=total, limit=hold)
    scene.sheet.next_step(scene.book.text(rule.id))


def through(scene: Scene, reading: dict[str, Any], index: int) -> Quantity:
    """Most that the insulation lets through at the supply voltage; each reading is worked out once."""
    what = f"most that {reading['part'].replace('-', ' ')} lets through at the supply voltage, reading {index + 1}"
    return scene.sheet.step(
        what, leakage.fault_current_supply_side, unit="mA", U=scene.voltage, R=reading["resistance"]
    )


def grade(scene: Scene, current: Quantity) -> str:
    """Whether a current of that size trips the RCD alone, adds to others, or cannot matter."""
    if current.si >= scene.limits.no_trip.si / NEAR:
        return "trips-alone"
    small = scene.book.limit("leakage/cannot-be-the-cause").value.si * scene.limits.must_trip.si
    return "cannot" if current.si <= small * NEAR else "adds"


def could_acquit(scene: Scene, reading: dict[str, Any]) -> bool:
    """Whether the test voltage was high enough for a good reading to count."""
    least = scene.book.limit("diagnosis/insulation-test-voltage").value
    return "test_voltage" in reading and reading["test_voltage"].si >= least.si / NEAR


def _of_insulation(scene: Scene, reading: dict[str, Any], index: int) -> list[Evidence]:
    current = through(scene, reading, index)
    graded = grade(scene, current)
    part = reading["part"].replace("-", " ")
    if graded == "cannot" and not could_acquit(scene, reading):
        return []
    row = scene.row("diagnosis/insulation-likelihood", part=reading["part"], reading=graded)
    words = {"trips-alone": "enough to trip alone", "adds": "adds to other leakage", "cannot": "too little to matter"}
    label = f"{part} reads {reading['resistance']}: at most {said(current)}, {words[graded]}"
    return [Evidence(label, scene.likelihoods(row), row)]


def smooth_input(scene: Scene) -> bool:
    """Whether the drive's input can let smooth DC through to earth."""
    return bool(scene.request["boost_stage"]) or scene.request["drive_input"] != "line-neutral"


def fit_of_type(scene: Scene) -> str:
    """How the RCD's type suits the drive: suited, tolerated or unsuited; empty where it is not known."""
    kind = scene.request["rcd"].get("type")
    if kind not in TYPES:
        return ""
    smooth = smooth_input(scene)
    row = scene.row("rcd/least-type", circuit="smooth-dc-drive" if smooth else "line-neutral-drive")
    if type_rank(kind) >= type_rank(row.text("least_type")):
        return "suited"
    return "tolerated" if kind == "A" and not smooth else "unsuited"


def holds_above_rating(scene: Scene) -> list[dict[str, Any]]:
    """Observations in which the RCD held a current at which it must trip."""
    return [
        observation for observation in scene.request.get("observations", [])
        if observation.get("trips") is False
        and "residual_current" in observation
        and observation["residual_current"].si >= scene.limits.must_trip.si / NEAR
    ]  # fmt: skip


def trips_below_half(scene: Scene) -> list[dict[str, Any]]:
    """Observations in which the RCD tripped at a current it must hold."""
    return [
        observation for observation in scene.request.get("observations", [])
        if observation.get("trips")
        and "residual_current" in observation
        and observation["residual_current"].si <= scene.limits.no_trip.si * NEAR
    ]  # fmt: skip


def usual_ramp(scene: Scene) -> Quantity:
    """Least current at which a healthy RCD of this rating is found to trip on a ramp."""
    share = scene.book.limit("diagnosis/usual-ramp-share").value
    return Quantity(share.si * scene.limits.rating.si, "mA", "current")


def ramp_grade(scene: Scene) -> str:
    """How a ramp test found the RCD: low, weak, healthy or high; empty where there was none."""
    ramp = scene.request["rcd"].get("ramp_trip_current")
    if ramp is None:
        return ""
    if ramp.si < scene.limits.no_trip.si / NEAR:
        return "ramp-low"
    if ramp.si > scene.limits.must_trip.si * NEAR:
        return "ramp-high"
    of_a_type = scene.request["rcd"].get("type") not in INTERRUPTERS
    return "ramp-weak" if of_a_type and ramp.si < usual_ramp(scene).si / NEAR else "ramp-healthy"


def _of_device(scene: Scene) -> list[Evidence]:
    facts: list[tuple[str, str]] = []
    rcd = scene.request["rcd"]
    ramp = ramp_grade(scene)
    if ramp:
        facts.append((ramp, f"the RCD ramps out at {rcd['ramp_trip_current']}"))
    fit = fit_of_type(scene)
    if fit:
        facts.append((f"type-{fit}", f"the RCD's type {rcd['type']} is {fit} for this drive"))
    delay = rcd.get("delay", "")
    if rcd.get("type") == "F" and delay in ("", "none"):
        delay = "short, which type F has built in"
    if delay:
        facts.append(("undelayed" if delay == "none" else "delayed", f"the RCD's delay: {delay}"))
    facts += [
        ("holds-above-rating", f"it held {said(observation['residual_current'])}")
        for observation in holds_above_rating(scene)
    ]
    facts += [
        ("trips-below-half", f"it tripped at {said(observation['residual_current'])}, which it must hold")
        for observation in trips_below_half(scene)[:1]
    ]
    found = []
    for fact, label in facts:
        table = "measured-likelihood" if fact in MEASURED else "rcd-likelihood"
        row = scene.row(f"diagnosis/{table}", fact=fact)
        found.append(Evidence(label, scene.likelihoods(row), row))
    return found
