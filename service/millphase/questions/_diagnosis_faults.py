"""What the evidence shows by itself: faults located, faults beside each other, observations that do not fit."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from millphase.quantity import Quantity
from millphase.questions._diagnosis_evidence import (
    NEAR,
    STEPS,
    Scene,
    could_acquit,
    fit_of_type,
    grade,
    grades,
    holds_above_rating,
    leak,
    ramp_grade,
    residual_at,
)
from millphase.questions._residual_current import said

DRIVE_POWERED = STEPS[2:]
# Steps that connect more and more of the same things; the other loads stand outside the drive's own steps.
CHAINS = ([STEPS[0], *STEPS[2:]], [STEPS[0], STEPS[1], STEPS[5]])
# Steps at which a part is connected, so that a fault in it can show.
CONNECTED = {
    "motor": STEPS[4:], "cable": STEPS[3:], "motor-and-cable": STEPS[3:], "fixed-wiring": STEPS, "rcd": STEPS,
    "drive": DRIVE_POWERED, "other-loads": [STEPS[1], STEPS[5]],
}  # fmt: skip


@dataclass(frozen=True)
class Located:
    """A fault that a reading shows by itself.

    Attributes
    ----------
    place : str
        Where it is; a key of :data:`CONNECTED`.
    words : str
        What shows it.
    """

    place: str
    words: str


@dataclass(frozen=True)
class Disagreement:
    """Observations that do not fit together, in words, and the tests to repeat."""

    words: str
    tests: tuple[str, ...]


def condemned(scene: Scene) -> set[str]:
    """Parts whose insulation can trip the RCD by itself."""
    return {reading["part"] for reading, graded in grades(scene) if graded == "trips-alone"}


def located(scene: Scene) -> list[Located]:
    """Every fault that a reading shows by itself, one for each place."""
    found: dict[str, str] = {}
    if ramp_grade(scene) == "ramp-low":
        found["rcd"] = f"the RCD itself, which ramps out at {scene.request['rcd']['ramp_trip_current']}"
    for reading, graded in grades(scene):
        part = reading["part"]
        whole = part == "motor-and-cable" and condemned(scene) & {"motor", "cable"}
        if graded == "trips-alone" and not whole:
            found.setdefault(part, f"the {_plain(part)} at {reading['resistance']} to earth")
    for step, place, words in (
        ("loads-without-drive", "other-loads", "the other loads"),
        ("drive-without-cable", "drive", "the drive with its motor cable off"),
    ):
        current = residual_at(scene, step)
        if current is not None and current.si > scene.limits.no_trip.si * NEAR and not _background(scene):
            found[place] = f"{words} with {said(current)}"
    return [Located(place, words) for place, words in found.items()]


def _background(scene: Scene) -> bool:
    """Whether as much flows with everything off, so that a reading says nothing about what was connected."""
    current = residual_at(scene, STEPS[0])
    return current is not None and current.si > scene.limits.no_trip.si * NEAR


def unexplained(scene: Scene, shown: list[Located]) -> list[str]:
    """Steps at which it trips although nothing that was located is connected."""
    reached = {step for fault in shown for step in CONNECTED[fault.place]}
    return [step for step in STEPS if step in _tripped(scene) and step not in reached]


def on_both_sides(scene: Scene) -> bool:
    """Whether it trips with the other loads alone and with the drive alone, and holds with everything off."""
    tripped = _tripped(scene)
    return STEPS[0] not in tripped and STEPS[1] in tripped and bool(tripped & set(STEPS[2:5]))


def unsafe(scene: Scene) -> set[str]:
    """Tests that would energise what is known to be poor, or rest on an RCD that does not protect.

    A part that only adds to other leakage is bad enough to stay dead until it has been judged.
    """
    if holds_above_rating(scene) or ramp_grade(scene) == "ramp-high" or "fixed-wiring" in condemned(scene):
        return set(STEPS)
    poor = {reading["part"] for reading, graded in grades(scene) if graded != "cannot"} - {"fixed-wiring"}
    found = {step for part in poor for step in CONNECTED[part]}
    return found | set(DRIVE_POWERED) if fit_of_type(scene) == "unsuited" else found


def disagreements(scene: Scene) -> list[Disagreement]:
    """Observations and readings that cannot all describe one steady fault."""
    return [
        *_trips_twice(scene), *_trips_with_less(scene), *_falling_currents(scene), *_readings_that_differ(scene),
    ]  # fmt: skip


def _trips_twice(scene: Scene) -> Iterator[Disagreement]:
    for step in STEPS:
        if {True, False} <= {o.get("trips") for o in _observed(scene, step)}:
            yield Disagreement(f"at {step} it was seen to trip and to hold", (step,))


def _pairs() -> list[tuple[str, str]]:
    """Steps of which the second connects what the first does and more."""
    return list(dict.fromkeys(pair for chain in CHAINS for pair in combinations(chain, 2)))


def _trips_with_less(scene: Scene) -> Iterator[Disagreement]:
    for less, more in _pairs():
        trips = any(o.get("trips") for o in _observed(scene, less))
        if trips and any(o.get("trips") is False for o in _observed(scene, more)):
            words = f"it trips at {less} but holds at {more}, where more is connected"
            yield Disagreement(words, (less, more))


def _falling_currents(scene: Scene) -> Iterator[Disagreement]:
    share = scene.book.constant("diagnosis/falling-share").value.si
    for less, more in _pairs():
        before, after = residual_at(scene, less), residual_at(scene, more)
        if before is not None and after is not None and after.si < share * before.si / NEAR:
            words = f"the residual current falls from {before} at {less} to {after} at {more}, where more is connected"
            yield Disagreement(words, (less, more))


def _readings_that_differ(scene: Scene) -> Iterator[Disagreement]:
    """A part against itself, the whole against its parts, and the parts against the whole."""
    ratio = scene.book.constant("diagnosis/reading-ratio").value.si
    least: dict[str, Quantity] = {}
    proven: dict[str, Quantity] = {}
    for reading, _ in grades(scene):
        part, value = reading["part"], reading["resistance"]
        least[part] = min(least.get(part, value), value, key=lambda q: q.si)
        if could_acquit(scene, reading):
            proven[part] = max(proven.get(part, value), value, key=lambda q: q.si)
    for part, value in proven.items():
        ends = [grade(scene, leak(scene, end)) for end in (least[part], value)]
        if ends == ["trips-alone", "cannot"]:
            yield Disagreement(f"the {_plain(part)} reads {least[part]} and {value}", (f"insulation-of-{part}",))
    whole = proven.get("motor-and-cable")
    for part in ("motor", "cable"):
        if whole is not None and part in least and whole.si > ratio * least[part].si:
            words = f"the {part} reads {least[part]} alone but {whole} together with the rest"
            yield Disagreement(words, (f"insulation-of-{part}", "insulation-of-motor-and-cable"))
    if "motor-and-cable" in least and {"motor", "cable"} <= set(proven):
        yield from _less_than_parallel(scene, least["motor-and-cable"], proven["motor"], proven["cable"], ratio)


def _less_than_parallel(
    scene: Scene, whole: Quantity, motor: Quantity, cable: Quantity, ratio: float
) -> Iterator[Disagreement]:
    parallel = scene.sheet.step(
        "resistance to earth that motor and cable should show together", "R = Ra × Rb / (Ra + Rb)", unit=motor.unit,
        Ra=motor, Rb=cable,
    )  # fmt: skip
    if ratio * whole.si < parallel.si:
        words = (
            f"motor and cable read {whole} together, but the motor alone {motor} and the cable alone {cable}, "
            f"which makes {said(parallel)}"
        )
        yield Disagreement(words, ("insulation-of-motor-and-cable", "insulation-of-motor", "insulation-of-cable"))


def _observed(scene: Scene, step: str) -> list[dict[str, Any]]:
    return [observation for observation in scene.request.get("observations", []) if observation["step"] == step]


def _tripped(scene: Scene) -> set[str]:
    return {step for step in STEPS if any(o.get("trips") for o in _observed(scene, step))}


def _plain(part: str) -> str:
    return part.replace("-", " ")
