"""Why does the RCD trip? Weigh what was seen, name the suspects in order, and say which test to make next.

Every piece of evidence multiplies a suspect's prior by how likely that evidence is under it (Bayes); the tables
are rules. The next test is the one that removes most doubt, and none is on the list that opens an
earth, bridges the RCD or puts a test voltage on a drive.
"""

from __future__ import annotations

from typing import Any

from millphase.answer import Answer, Outcome, Sheet
from millphase.physics import evidence as weighing
from millphase.quantity import Quantity, number_text
from millphase.questions._diagnosis_evidence import (
    CUMULATIVE,
    NEAR,
    PARTS,
    STEPS,
    Evidence,
    Scene,
    could_acquit,
    fit_of_type,
    gather,
    grade,
    holds_above_rating,
    leak,
    opposite,
    pattern_likelihoods,
    ramp_grade,
    smooth_input,
    through,
    trips_below_half,
    trips_seen,
    usual_ramp,
)
from millphase.questions._diagnosis_faults import (
    Located,
    disagreements,
    located,
    on_both_sides,
    unexplained,
    unsafe,
)
from millphase.questions._residual_current import INPUTS, RcdPart, SupplyPart, said, supply_in_force, thresholds
from millphase.questions.base import Part, Question, Request, View, contradiction, fields, out

SUSPECTS = [
    "rcd", "neutral-earth-fault", "other-loads", "drive-filter", "cable-capacitance", "cable-insulation",
    "motor-winding", "damp", "wrong-rcd-type", "switch-on-transient", CUMULATIVE,
]  # fmt: skip
CIRCUMSTANCES = ["at-switch-on", "while-running", "at-some-speeds", "in-damp-weather", "under-heavy-load", "at-random"]
INSULATION_TESTS = [f"insulation-of-{part}" for part in PARTS]  # the most specific first
TESTS = [*STEPS, "ramp-test", *INSULATION_TESTS]
ON_THE_DRIVE = {*STEPS[2:5], *INSULATION_TESTS[:3]}
SUSPECT_AT = {
    "rcd": "rcd", "motor": "motor-winding", "cable": "cable-insulation", "motor-and-cable": "motor-winding",
    "fixed-wiring": "neutral-earth-fault", "other-loads": "other-loads", "drive": "drive-filter",
}  # fmt: skip
# What each step of the search connects, or the suspect it points to; in normal work everything is connected.
ADDED_AT = {
    "everything-off": "neutral-earth-fault", "loads-without-drive": "other-loads", "drive-without-cable": "drive-filter",
    "drive-and-cable": "cable-insulation", "drive-cable-and-motor": "motor-winding",
}  # fmt: skip


class TestedRcdPart(RcdPart):
    """The RCD, with a ramp test where one was made."""

    ramp_trip_current = fields.Quantity(
        "current", low="0.1 mA", high="30 A", help="Where it trips on a slow ramp, circuits disconnected."
    )


class ObservationPart(Part):
    """What happened with some of the parts connected."""

    step = fields.Choice(
        STEPS, required=True,
        help="everything-off: all loads unplugged or isolated. loads-without-drive: other loads on, drive isolated. "
        "drive-without-cable: drive alone, powered, motor cable off. drive-and-cable: drive started on its cable, "
        "motor off. drive-cable-and-motor: all connected, started at low speed. running: in normal work.",
    )  # fmt: skip
    trips = fields.Flag(help="Whether the RCD trips.")
    residual_current = fields.Quantity(
        "current", low="0 mA", high="30 A", zero=True, help="Line and neutral together in a low-pass clamp."
    )


class InsulationPart(Part):
    """An insulation reading to earth."""

    part = fields.Choice(PARTS, required=True, help="What was tested, the drive disconnected.")
    resistance = fields.Quantity(
        "resistance", low="1 ohm", high="1000 Gohm", required=True, help="Resistance to earth."
    )
    test_voltage = fields.Quantity(
        "voltage", low="0.5 V", high="5 kV", help="Test voltage; without it a good reading is not counted."
    )


class DiagnosisRequest(Request):
    """What is known about the trips."""

    rcd = fields.Part(TestedRcdPart, required=True, help="The RCD that trips.")
    supply = fields.Part(SupplyPart, help="The supply.")
    drive_input = fields.Choice(INPUTS, default="line-neutral", help="How the drive is fed.")
    boost_stage = fields.Flag(default=False, help="Active power-factor stage or doubler in the drive.")
    observations = fields.Many(fields.Part(ObservationPart), high=40, help="Steps of the search made so far.")
    insulation = fields.Many(fields.Part(InsulationPart), high=20, help="Insulation readings.")
    circumstances = fields.Many(fields.Choice(CIRCUMSTANCES), high=6, help="When it trips, as far as noticed.")


def _probabilities(sheet: Sheet, scene: Scene, found: list[Evidence]) -> dict[str, Quantity]:
    """Probability of every suspect, worked out line by line."""
    weights = {}
    symbols = {f"e{number}": number - 1 for number in range(1, len(found) + 1)}
    formula = " × ".join(["w = p", *symbols])
    for suspect in scene.suspects:
        prior = scene.suspect(suspect)
        likelihoods = {symbol: found[index].likelihoods[suspect] for symbol, index in symbols.items()}
        weights[suspect] = sheet.step(
            f"weight of {suspect}: how often it is met, times how likely each piece of evidence is under it",
            formula, unit="1", rule=prior["prior"], p=prior.q("prior"), **likelihoods,
        )  # fmt: skip
    parts: dict[str, Any] = {f"w{number}": weight for number, weight in enumerate(weights.values(), 1)}
    total = sheet.step("sum of the weights", "s = " + " + ".join(parts), unit="1", **parts)
    return {
        suspect: sheet.step(f"probability of {suspect}", "P = w / s", unit="%", w=weight, s=total)
        for suspect, weight in weights.items()
    }


def _ranked(probabilities: dict[str, Quantity], shown: list[Located], apart: list[str]) -> list[tuple[str, Quantity]]:
    """The likeliest first; ahead of them what readings show in more than one place, or by one reading that is enough."""
    by_probability = sorted(probabilities.items(), key=lambda pair: -pair[1].si)
    front = {SUSPECT_AT[fault.place] for fault in shown}
    if len(shown) < 2 and not apart and (not _enough(shown) or by_probability[0][0] == "damp"):
        return by_probability
    return sorted(by_probability, key=lambda pair: pair[0] not in front)


def _enough(shown: list[Located]) -> bool:
    """Whether a single reading is enough to stop: it names the part, and no other load or leakage is in it."""
    return len(shown) == 1 and shown[0].place in ("rcd", "motor", "cable", "fixed-wiring")


def _reasons(scene: Scene, found: list[Evidence], suspect: str) -> tuple[list[str], list[str]]:
    """What speaks for and against a suspect, compared with the rest of the field."""
    speaks = scene.book.constant("diagnosis/speaks").value.si
    pro, con = [], []
    for piece in found:
        others = [share for name, share in piece.likelihoods.items() if name != suspect]
        ratio = piece.likelihoods[suspect] / (sum(others) / len(others))
        if ratio >= speaks:
            pro.append(piece.label)
        elif ratio <= 1 / speaks:
            con.append(piece.label)
    return pro, con


def _says_yes(scene: Scene, test: str) -> dict[str, float]:
    """How likely a test gives its positive result under each suspect."""
    if test in STEPS:
        seen, table = trips_seen(scene), "diagnosis/trip-likelihood"
        before = pattern_likelihoods(scene, table, seen)
        after = pattern_likelihoods(scene, table, [*seen, (test, True)])
        return {suspect: after[suspect] / before[suspect] for suspect in before}
    if test == "ramp-test":
        return scene.likelihoods(scene.row("diagnosis/rcd-likelihood", fact="ramp-low"))
    part = test.removeprefix("insulation-of-")
    cannot = scene.row("diagnosis/insulation-likelihood", part=part, reading="cannot")
    return opposite(scene.likelihoods(cannot))


def _open_tests(scene: Scene) -> list[str]:
    """Tests that have not been made, or not in a way that counts."""
    request = scene.request
    made = {observation["step"] for observation in request.get("observations", []) if "trips" in observation}
    if "ramp_trip_current" in request["rcd"]:
        made.add("ramp-test")
    for reading in request.get("insulation", []):
        current = Quantity(scene.voltage.si / reading["resistance"].si, "mA", "current")
        if could_acquit(scene, reading) or grade(scene, current) != "cannot":
            made.add(f"insulation-of-{reading['part']}")
    if {"insulation-of-motor", "insulation-of-cable"} & made:  # the other part alone then tells more
        made.add("insulation-of-motor-and-cable")
    return [test for test in TESTS if test not in made | unsafe(scene)]


def _next_test(scene: Scene, shares: dict[str, float]) -> str:
    """The test that removes most doubt, the least trouble among near equals; none where no test tells enough."""
    told = {}
    for test in _open_tests(scene):
        yes = _says_yes(scene, test)
        told[test] = weighing.expected_information_bit(shares, [yes, opposite(yes)])
    most = max(told.values(), default=0.0)
    if most < scene.book.constant("diagnosis/least-information").value.si:
        return "none"
    near = scene.book.constant("diagnosis/near-equal").value.si * most
    return _least_trouble(scene, [test for test, information in told.items() if information >= near])


def _least_trouble(scene: Scene, tests: list[str]) -> str:
    """The test of least effort, the first named among equals; empty where there is none."""
    return min(tests, key=lambda test: scene.row("diagnosis/test", test=test).q("effort").si, default="")


def _overturned_by(scene: Scene, shares: dict[str, float], suspect: str) -> str:
    """The result of a test not yet made that would shake the standing suspect most."""
    worst, words = shares[suspect], ""
    for test in _open_tests(scene):
        yes = _says_yes(scene, test)
        for result, likelihoods in (("positive", yes), ("negative", opposite(yes))):
            after = weighing.updated(shares, likelihoods)[suspect]
            if after < worst:
                worst, words = after, scene.row("diagnosis/test", test=test).text(result)
    return words


def _judge(scene: Scene) -> None:
    """Facts that decide by themselves, whatever the suspects."""
    for index, reading in enumerate(scene.request.get("insulation", [])):
        _judge_reading(scene, reading, index)
    _judge_device(scene)
    _judge_type(scene)
    sheet, book = scene.sheet, scene.book
    if "everything-off" in {step for step, trips in trips_seen(scene) if trips}:
        sheet.next_step(book.text("diagnosis/trips-with-loads-off"))


def _judge_disagreements(scene: Scene) -> list[str]:
    """Name what does not fit together; the tests to repeat, none where the trouble is said to come and go."""
    steady = not {"at-random", "at-switch-on"} & set(scene.request.get("circumstances", []))
    found = disagreements(scene)
    for disagreement in found:
        because = f"These do not fit together: {disagreement.words}."
        rule = scene.book.rule("diagnosis/disagreement")
        scene.sheet.find(Outcome.INCONCLUSIVE, rule, because=because, decides=steady)
        if steady:
            scene.sheet.next_step(f"Repeat: {disagreement.words}.")
    return [test for disagreement in found for test in disagreement.tests] if steady else []


def _judge_reading(scene: Scene, reading: dict[str, Any], index: int) -> None:
    """An insulation reading that condemns its part, or a good one that proves nothing."""
    sheet, part = scene.sheet, reading["part"].replace("-", " ")
    current = leak(scene, reading["resistance"])
    if grade(scene, current) == "trips-alone":
        current = through(scene, reading, index)
        because = f"The {part} at {reading['resistance']} can let {said(current)} through and trip the RCD alone."
        sheet.compare(scene.limits.no_trip_rule, current, against=scene.limits.no_trip, because=because)
        sheet.next_step(f"Do not energise the {part} until the insulation is put right.")
    elif grade(scene, current) == "adds":
        sheet.next_step(
            f"Judge the reading of the {part} (insulation-acceptance for a motor) before it is energised again."
        )
    elif not could_acquit(scene, reading):
        limit = scene.book.limit("diagnosis/insulation-test-voltage")
        because = f"A good reading of the {part} without at least {limit.value} proves nothing."
        sheet.find(Outcome.INCONCLUSIVE, limit, because=because, decides=False)


def _judge_device(scene: Scene) -> None:
    """What the observations and the ramp test say of the RCD itself."""
    sheet, book, limits = scene.sheet, scene.book, scene.limits
    ramp, graded = scene.request["rcd"].get("ramp_trip_current"), ramp_grade(scene)
    for observation in holds_above_rating(scene):
        current = observation["residual_current"]
        because = f"{said(current)} flows and the RCD does not trip: it protects nobody."
        rule = book.rule("diagnosis/does-not-trip")
        sheet.find(Outcome.REJECT, rule, measured=current, limit=limits.must_trip, because=because)
        sheet.next_step(book.text("diagnosis/does-not-trip"))
    if graded == "ramp-low":
        because = f"On a ramp the RCD trips at {ramp}, below {said(limits.no_trip)}, which it must hold."
        rule = book.rule("diagnosis/ramp-below-half")
        sheet.find(Outcome.REJECT, rule, measured=ramp, limit=limits.no_trip, because=because)
        sheet.next_step(book.text("diagnosis/ramp-below-half"))
    elif graded == "ramp-high":
        because = f"On a ramp the RCD trips at {ramp}; it must trip by {said(limits.must_trip)}: it protects nobody."
        rule = book.rule("diagnosis/ramp-above-rating")
        sheet.find(Outcome.REJECT, rule, measured=ramp, limit=limits.must_trip, because=because)
        sheet.next_step(book.text("diagnosis/ramp-above-rating"))
    elif graded == "ramp-weak":
        usual = usual_ramp(scene)
        because = (
            f"On a ramp the RCD trips at {ramp}: allowed, but a sound one usually holds to {said(usual)}; suspect it."
        )
        share = book.limit("diagnosis/usual-ramp-share")
        sheet.compare(share, ramp, against=usual, otherwise=Outcome.CAUTION, because=because, decides=False)
    for observation in trips_below_half(scene):
        current, step = observation["residual_current"], observation["step"].replace("-", " ")
        because = f"At {step} it trips with {said(current)}; an RCD must hold {said(limits.no_trip)}, so something else trips it than this current."
        rule = book.rule("diagnosis/trips-below-half")
        sheet.find(Outcome.INCONCLUSIVE, rule, measured=current, limit=limits.no_trip, because=because, decides=False)
        if not graded:
            sheet.next_step(book.text("diagnosis/trips-below-half"))


def _judge_type(scene: Scene) -> None:
    fit, sheet, book = fit_of_type(scene), scene.sheet, scene.book
    kind = scene.request["rcd"].get("type")
    if kind == "AC":
        because = "Type AC ahead of a drive: a fault there can leave it unable to trip."
        sheet.find(Outcome.REJECT, book.rule("rcd/no-ac-for-drives"), because=because)
    elif fit == "unsuited":
        because = f"Type {kind} ahead of a drive whose input can let smooth DC through: type B is needed."
        sheet.find(Outcome.REJECT, book.table("rcd/least-type"), because=because)
    elif fit == "tolerated":
        because = "Type F is asked for ahead of such a drive by most sources; some drive makers tolerate type A."
        sheet.find(Outcome.CAUTION, book.table("rcd/least-type"), because=because, decides=False)
    if fit == "unsuited":
        wanted = "B" if kind != "AC" or smooth_input(scene) else "F"
        sheet.next_step(
            f"Have the RCD replaced by a type {wanted} of the same rating before the drive is powered again."
        )


def _conclude(scene: Scene, ranked: list[tuple[str, Quantity]], shown: list[Located], apart: list[str]) -> str:
    """Does the evidence locate a fault, or one suspect stand? If not, what to test next."""
    repeat = _judge_disagreements(scene)
    if len(shown) > 1 or apart:
        return _conclude_more_than_one(scene, shown, apart)
    if repeat:
        return _conclude_open(scene, ranked, repeat)
    probability, limit = ranked[0][1], scene.book.limit("diagnosis/stands")
    if _enough(shown) or probability.si >= limit.value.si / NEAR:
        return _conclude_standing(scene, ranked, shown)
    if on_both_sides(scene):
        rule = scene.book.rule("diagnosis/common-or-two")
        because = (
            "It trips with the other loads alone and with the drive alone: one cause common to both, or two faults."
        )
        scene.sheet.find(Outcome.INCONCLUSIVE, rule, because=because, decides=False)
        scene.sheet.next_step(scene.book.text(rule.id))
    return _conclude_open(scene, ranked, ["ramp-test"] if trips_below_half(scene) and not ramp_grade(scene) else [])


def _conclude_more_than_one(scene: Scene, shown: list[Located], apart: list[str]) -> str:
    """Two faults or more: name each and what to do about it; the ranking of single suspects cannot."""
    sheet, book = scene.sheet, scene.book
    words = [fault.words for fault in shown]
    for step in apart:
        trips = scene.row("diagnosis/test", test=step).text("positive")
        words.append(f"something else as well, because {trips}")
    because = f"The evidence shows more than one fault: {'; '.join(words)}."
    rule = book.rule("diagnosis/more-than-one-fault")
    sheet.find(Outcome.CAUTION, rule, because=because)
    sheet.value("next_test", "none")
    places = [*(SUSPECT_AT[fault.place] for fault in shown), *(ADDED_AT[step] for step in apart)]
    for suspect in dict.fromkeys(places):
        sheet.next_step(scene.suspect(suspect).text("remedy"))
    sheet.next_step(book.text(rule.id))
    return because


def _conclude_standing(scene: Scene, ranked: list[tuple[str, Quantity]], shown: list[Located]) -> str:
    """One suspect stands, or one reading is enough by itself: what to do, and what would overturn it."""
    sheet = scene.sheet
    (first, probability), limit = ranked[0], scene.book.limit("diagnosis/stands")
    row = scene.suspect(first)
    percent = _percent(probability)
    stands = probability.si >= limit.value.si / NEAR
    if stands:
        because = f"The evidence points to {row.text('is')} with {percent}; put it right before the machine is used."
        sheet.find(Outcome.CAUTION, limit, because=because, measured=probability, limit=limit.value)
    else:
        rule = scene.book.rule("diagnosis/shown-by-a-reading")
        sheet.find(Outcome.CAUTION, rule, because=f"One reading is enough: {shown[0].words}.")
        sheet.next_step(scene.book.text(rule.id))
    sheet.value("next_test", "none")
    sheet.next_step(row.text("remedy"))
    words = _overturned_by(scene, {suspect: share.si for suspect, share in ranked}, first)
    if words:
        sheet.value("overturned_by", words)
        sheet.next_step(f"This would be overturned if {words}.")
    if not stands:
        return f"A reading shows {shown[0].words}: put that right first, then see whether it still trips."
    by = f": {shown[0].words}" if shown else ""
    return f"It is most likely {row.text('is')} ({percent}){by}; the search can stop here."


def _conclude_open(scene: Scene, ranked: list[tuple[str, Quantity]], due: list[str]) -> str:
    """Nothing stands yet: make the test that is due, or choose the one that tells most, and say how it is made."""
    sheet = scene.sheet
    (first, probability), limit = ranked[0], scene.book.limit("diagnosis/stands")
    shares = {suspect: share.si for suspect, share in ranked}
    row, percent = scene.suspect(first), _percent(probability)
    because = f"No suspect stands yet: the first, {row.text('is')}, has {percent}."
    sheet.find(Outcome.INCONCLUSIVE, limit, because=because, measured=probability, limit=limit.value)
    test = _least_trouble(scene, [test for test in due if test not in unsafe(scene)]) or _next_test(scene, shares)
    sheet.value("next_test", test)
    if test == "none":
        sheet.next_step(
            "No further test on the list would tell enough: have an electrician trace the circuit with a leakage clamp."
        )
        return f"Most likely is {row.text('is')} ({percent}), but no test on the list would settle it."
    _work_out_information(scene, shares, test)
    sheet.next_step(*scene.book.steps(f"diagnosis/test-{test}"))
    if test in ON_THE_DRIVE:
        sheet.caution("caution/dc-link-wait")
    if test in INSULATION_TESTS:
        sheet.caution("caution/never-test-through-a-drive", "caution/discharge-after-test")
    does = scene.row("diagnosis/test", test=test).text("does")
    return f"Most likely so far is {row.text('is')} ({percent}); isolate, then {does}."


def _percent(probability: Quantity) -> str:
    return f"{number_text(probability.to('%').value, 3)} %"


def _with_what_decides(scene: Scene, conclusion: str) -> str:
    """The conclusion behind the first fact that condemns something, which a reader must not miss."""
    refused = [f.because for f in scene.sheet.findings if f.outcome is Outcome.REJECT and f.decides]
    unsteady = [f.because for f in scene.sheet.findings if f.cited.rule == "diagnosis/disagreement" and f.decides]
    return " ".join([*refused[:1], *unsteady[:1], conclusion])


def _work_out_information(scene: Scene, shares: dict[str, float], test: str) -> None:
    """Write how much the chosen test tells."""
    yes = _says_yes(scene, test)
    numbers: dict[str, Any] = {}
    for number, suspect in enumerate(scene.suspects, 1):
        numbers |= {f"p{number}": shares[suspect], f"t{number}": yes[suspect]}
    told = scene.sheet.procedure(
        f"doubt in bit that the test {test} removes on average", weighing.yes_no_information_bit, unit="1",
        rule=scene.book.table("diagnosis/test"), **numbers,
    )  # fmt: skip
    scene.sheet.value("next_test_information", told)


def answer(request: dict[str, Any], book: View) -> Answer:
    """Answer the question: evidence, probabilities, deciding facts, conclusion."""
    sheet = QUESTION.sheet(book)
    for index, observation in enumerate(request.get("observations", [])):
        if "trips" not in observation and "residual_current" not in observation:
            raise contradiction(
                f"/observations/{index}", "nothing was observed; say whether it trips or read the residual current"
            )
    supply = supply_in_force(request, sheet, book)
    scene = Scene(sheet, book, request, thresholds(request["rcd"], sheet, book), supply.voltage, SUSPECTS)
    found = gather(scene)
    probabilities = _probabilities(sheet, scene, found)
    shown = located(scene)
    apart = unexplained(scene, shown) if shown else []
    ranked = _ranked(probabilities, shown, apart)
    rows = []
    for suspect, probability in ranked:
        pro, con = _reasons(scene, found, suspect)
        words = scene.suspect(suspect).text("is")
        rows.append({"suspect": suspect, "is": words, "probability": probability, "for": pro, "against": con})
    sheet.value("first_suspect", ranked[0][0])
    sheet.value("suspects", rows)
    sheet.caution(
        "caution/isolate-and-lock-off", "caution/never-defeat-rcd", "caution/never-lift-earth",
        "caution/local-code-and-licensed-practice",
    )  # fmt: skip
    _judge(scene)
    return sheet.answer(_with_what_decides(scene, _conclude(scene, ranked, shown, apart)))


QUESTION = Question(
    name="trip-diagnosis",
    order=10,
    title="Trip diagnosis",
    summary="Which part trips the RCD: suspects in order with reasons, and the safe test that tells most next.",
    request=DiagnosisRequest,
    values={
        "first_suspect": out.choice(SUSPECTS, "The most likely suspect."),
        "suspects": out.rows(
            {
                "suspect": out.choice(SUSPECTS, "Suspect."),
                "is": out.text("What it is."),
                "probability": out.quantity("ratio", "%", "How likely it is, given the evidence."),
                "for": out.texts("Evidence that speaks for it."),
                "against": out.texts("Evidence that speaks against it."),
            },
            "Every suspect, the likeliest first.",
        ),
        "next_test": out.choice([*TESTS, "none"], "The test that removes most doubt; none where one suspect stands."),
        "next_test_information": out.quantity("ratio", "1", "Doubt it removes on average, in bit."),
        "overturned_by": out.text("Result of a test not yet made that would shake the conclusion most."),
    },
    answer=answer,
    rules=("diagnosis/*", "leakage/*", "rcd/*", "caution/*"),
    example={
        "rcd": {"rated_residual_current": "30 mA", "type": "A", "delay": "none"},
        "observations": [
            {"step": "everything-off", "trips": False},
            {"step": "loads-without-drive", "trips": False, "residual_current": "1.2 mA"},
            {"step": "running", "trips": True},
        ],
        "circumstances": ["while-running"],
    },
)  # fmt: skip
