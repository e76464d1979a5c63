"""What must hold for every insulation test, whatever the readings."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from millphase.answer import Outcome
from millphase.questions.base import Answer, ask
from millphase.rulebook import workshop

few = settings(max_examples=80, deadline=None)
resistances = st.floats(min_value=1e-3, max_value=9e4).map(lambda megohm: float(f"{megohm:.4g}"))
temperatures = st.integers(min_value=-20, max_value=120)


def text(megohm: float) -> str:
    return f"{megohm:.9f} Mohm"


def readings() -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries(
        {"between": st.sampled_from(["UVW-earth", "U-earth", "winding-earth"]), "resistance": resistances.map(text)},
        optional={
            "instrument": st.sampled_from(["insulation-tester", "multimeter"]),
            "test_voltage": st.sampled_from(["9 V", "250 V", "500 V", "1000 V"]),
            "after": st.sampled_from(["30 s", "60 s"]),
            "winding_temperature": temperatures.map(lambda c: f"{c} degC"),
            "over_range": st.booleans(),
            "under_test": st.sampled_from(["motor", "motor-and-cable", "cable"]),
            "measurement_accuracy": st.sampled_from([{"relative": "5 %"}, {"absolute": "200 kohm"}]),
        },
    ).filter(lambda r: not (r.get("instrument") == "multimeter" and r.get("test_voltage", "9 V") != "9 V"))


def requests() -> st.SearchStrategy[dict[str, Any]]:
    return st.fixed_dictionaries(
        {"rated_voltage": st.sampled_from(["230 V", "400 V", "690 V", "3300 V"]), "reading": readings()},
        optional={
            "winding": st.sampled_from(["random-wound", "form-wound", "field", "armature"]),
            "manufactured": st.integers(1940, 2024),
            "insulation_system": st.sampled_from(["thermoplastic", "thermosetting", "unknown"]),
            "drive_disconnected": st.sampled_from([True, True, True, False]),
            "links": st.sampled_from(["fitted", "removed"]),
        },
    )


def judge(request: dict[str, Any], **changes: Any) -> Answer:
    asked = {key: value for key, value in request.items() if key != "reading"}
    return ask("insulation-acceptance", asked | {"readings": [request["reading"] | changes]}, workshop())


@few
@given(requests(), resistances, st.floats(min_value=1.0, max_value=1000.0))
def test_higher_resistance_is_never_worse(request: dict[str, Any], low: float, factor: float) -> None:
    high = min(low * factor, 9e7)
    assert judge(request, resistance=text(high)).outcome <= judge(request, resistance=text(low)).outcome


@few
@given(requests(), temperatures, st.integers(min_value=0, max_value=80))
def test_hotter_winding_at_equal_reading_is_never_worse(request: dict[str, Any], cold: int, rise: int) -> None:
    hotter = judge(request, winding_temperature=f"{cold + rise} degC")
    assert hotter.outcome <= judge(request, winding_temperature=f"{cold} degC").outcome


@few
@given(requests(), st.integers(min_value=2, max_value=8_000_000), temperatures)
def test_unit_of_entry_never_matters(request: dict[str, Any], kilohm: int, celsius: int) -> None:
    given_kohm = judge(request, resistance=f"{kilohm} kohm", winding_temperature=f"{celsius} degC")
    in_mohm = f"{kilohm // 1000}.{kilohm % 1000:03d} Mohm"
    given_mohm = judge(request, resistance=in_mohm, winding_temperature=f"{celsius * 9 / 5 + 32:.1f} degF")
    assert given_kohm.outcome == given_mohm.outcome
    a, b = given_kohm.quantity("lowest_resistance"), given_mohm.quantity("lowest_resistance")
    assert a is not None
    assert b is not None
    assert abs(a.si - b.si) <= 1e-9 * a.si


@few
@given(requests())
def test_no_accept_without_a_valid_test(request: dict[str, Any]) -> None:
    answer = judge(request)
    reading = request["reading"]
    if answer.outcome is not Outcome.ACCEPT:
        return
    assert request["drive_disconnected"] is True
    assert reading.get("instrument", "insulation-tester") == "insulation-tester"
    assert reading["after"] == "60 s"
    assert float(reading["test_voltage"].split()[0]) >= 500
    assert float(reading["resistance"].split()[0]) >= 1.0


@few
@given(requests())
def test_every_outcome_but_accept_says_what_to_do(request: dict[str, Any]) -> None:
    answer = judge(request)
    assert answer.next_steps
    assert answer.cautions
    assert answer.summary


@few
@given(st.lists(resistances, min_size=3, max_size=3), st.permutations(["U", "V", "W"]))
def test_names_of_the_windings_do_not_matter(values: list[float], order: list[str]) -> None:
    def outcome(names: list[str]) -> Outcome:
        taken = [
            {"between": f"{name}-earth", "resistance": text(value), "test_voltage": "500 V", "after": "60 s",
             "winding_temperature": "30 degC"}
            for name, value in zip(names, values, strict=True)
        ]  # fmt: skip
        request = {"rated_voltage": "400 V", "links": "removed", "drive_disconnected": True, "readings": taken}
        return ask("insulation-acceptance", request, workshop()).outcome

    assert outcome(["U", "V", "W"]) == outcome(order)
