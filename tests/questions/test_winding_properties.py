"""What must hold for every set of winding resistances."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from millphase.answer import Outcome
from millphase.questions.base import Answer, ask
from millphase.rulebook import workshop

few = settings(max_examples=80, deadline=None)
spreads = st.lists(st.integers(min_value=900, max_value=1100), min_size=3, max_size=3)


def judge(values: list[float], unit: str, connection: str, names: list[str], **more: Any) -> Answer:
    resistances = {name: f"{value:.9g} {unit}" for name, value in zip(names, values, strict=True)}
    request = {
        "connection": connection,
        "resistances": resistances,
        "winding": "random-wound",
        "lead_resistance": "0 ohm",
    } | more
    return ask("winding-balance", request, workshop())


@few
@given(spreads, st.permutations(["U", "V", "W"]))
def test_order_of_the_windings_does_not_matter(values: list[float], order: list[str]) -> None:
    first = judge(values, "mohm", "separate", ["U", "V", "W"])
    second = judge(values, "mohm", "separate", order)
    assert first.outcome == second.outcome
    assert abs(first.quantity("unbalance").si - second.quantity("unbalance").si) < 1e-12  # type: ignore[union-attr]


@few
@given(spreads, st.sampled_from([1, 10, 1000]))
def test_size_and_unit_do_not_matter(values: list[float], factor: int) -> None:
    small = judge(values, "mohm", "star", ["U-V", "V-W", "W-U"])
    large = judge([value * factor / 1000 for value in values], "ohm", "star", ["U-V", "V-W", "W-U"])
    assert small.outcome == large.outcome


@few
@given(spreads, st.integers(min_value=0, max_value=500))
def test_more_unbalance_is_never_better(values: list[float], more: int) -> None:
    ordered = sorted(values)
    worse = [ordered[0], ordered[1], ordered[2] + more]
    # Raising the highest reading alone moves it further from the mean; the lowest moves away too.
    names = ["U", "V", "W"]
    assert judge(worse, "mohm", "separate", names).outcome >= judge(ordered, "mohm", "separate", names).outcome


@few
@given(spreads)
def test_a_coarser_meter_is_never_better(values: list[float]) -> None:
    names = ["U", "V", "W"]
    fine = judge(values, "mohm", "separate", names, measurement_accuracy={"absolute": "1 mohm"})
    coarse = judge(values, "mohm", "separate", names, measurement_accuracy={"absolute": "12 mohm"})
    assert coarse.outcome >= fine.outcome


@few
@given(spreads)
def test_equal_windings_pass_and_unequal_ones_do_not(values: list[float]) -> None:
    unbalance = max(abs(v - sum(values) / 3) for v in values) / (sum(values) / 3)
    outcome = judge(values, "mohm", "separate", ["U", "V", "W"]).outcome
    if unbalance < 0.0199:
        assert outcome is Outcome.ACCEPT
    if unbalance > 0.0201:
        assert outcome in (Outcome.CAUTION, Outcome.REJECT)
    if unbalance > 0.0501:
        assert outcome is Outcome.REJECT


def _between_lines(connection: str, legs: list[float]) -> list[float]:
    """Resistances U-V, V-W, W-U by series and parallel connection; in delta the legs lie across U-V, V-W, W-U."""
    u, v, w = legs
    if connection == "star":
        return [u + v, v + w, w + u]
    return [a * (b + c) / (a + b + c) for a, b, c in ((u, v, w), (v, w, u), (w, u, v))]


@few
@given(
    st.sampled_from(["star", "delta", "separate"]),
    st.integers(min_value=0, max_value=2),
    st.sampled_from([0.01, 0.08, 0.5, 0.8, 1.5, 12.0, 18.0]),
    st.lists(st.floats(min_value=0.995, max_value=1.005), min_size=3, max_size=3),
    st.floats(min_value=0.1, max_value=200.0),
)
def test_the_winding_at_fault_is_the_one_named(
    connection: str, faulty: int, factor: float, spread: list[float], ohm: float
) -> None:
    legs = [ohm * share for share in spread]
    legs[faulty] *= factor
    lines = connection != "separate"
    names = ["U-V", "V-W", "W-U"] if lines else ["U", "V", "W"]
    answer = judge(
        [round(value, 9) for value in (_between_lines(connection, legs) if lines else legs)], "ohm", connection, names
    )
    name = f"winding across {names[faulty]}" if connection == "delta" else f"winding {'UVW'[faulty]}"
    assert answer.outcome is Outcome.REJECT
    assert name in answer.values["suspects"]  # type: ignore[operator]
