"""What must hold for every record of insulation readings."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from millphase.answer import Outcome
from millphase.questions.base import Answer, ask
from millphase.rulebook import workshop

few = settings(max_examples=60, deadline=None)
START = datetime(2024, 1, 1, tzinfo=UTC)
records = st.lists(
    st.tuples(st.integers(0, 900), st.floats(min_value=0.01, max_value=5000.0)),
    min_size=1,
    max_size=20,
    unique_by=lambda p: p[0],
)


def judge(record: list[tuple[float, float]], temperature: str | None = "20 degC", **more: Any) -> Answer:
    readings = []
    for day, megohm in record:
        reading = {
            "at": (START + timedelta(days=day)).strftime("%Y-%m-%dT%H:%M:%SZ"),
            "resistance": f"{megohm:.7f} Mohm",
        }
        if temperature:
            reading["winding_temperature"] = temperature
        readings.append(reading)
    return ask("insulation-trend", {"rated_voltage": "400 V", "readings": readings} | more, workshop())


@few
@given(records, st.randoms(use_true_random=False))
def test_order_of_entry_does_not_matter(record: list[tuple[float, float]], random: Any) -> None:
    shuffled = list(record)
    random.shuffle(shuffled)
    assert judge(record).as_json() == judge(shuffled).as_json()


@few
@given(records)
def test_direction_does_not_hang_on_the_temperature_all_readings_share(record: list[tuple[float, float]]) -> None:
    assert judge(record, "10 degC").values["direction"] == judge(record, "35 degC").values["direction"]
    assert judge(record, None).values["direction"] == judge(record, "35 degC").values["direction"]


@few
@given(records)
def test_a_record_turned_round_turns_its_direction(record: list[tuple[float, float]]) -> None:
    mirrored = [(900 - day, megohm) for day, megohm in record]
    turned = {"improving": "worsening", "worsening": "improving"}
    direction = str(judge(record).values["direction"])
    assert judge(mirrored).values["direction"] == turned.get(direction, direction)


@few
@given(st.integers(6, 20), st.floats(min_value=20.0, max_value=400.0), st.sampled_from([-1, 1]))
def test_a_clean_exponential_is_found(count: int, days: float, sign: int) -> None:
    record = [(10.0 * i, 500.0 * 2.0 ** (sign * 10.0 * i / days)) for i in range(count)]
    answer = judge(record)
    if 10.0 * (count - 1) / days < math.log2(1.1) * 1.01:
        return
    name = "doubling_time" if sign > 0 else "halving_time"
    assert answer.values["direction"] == ("improving" if sign > 0 else "worsening")
    assert math.isclose(answer.quantity(name).to("d").value, days, rel_tol=2e-3)  # type: ignore[union-attr]


@few
@given(records, st.booleans())
def test_no_accept_without_a_valid_method(record: list[tuple[float, float]], tester: bool) -> None:
    method = {"instrument": "insulation-tester", "test_voltage": "500 V", "drive_disconnected": True} if tester else {}
    answer = judge(record, **method)
    if answer.outcome is Outcome.ACCEPT:
        assert tester
        assert answer.values["direction"] in ("steady", "improving")
        assert answer.quantity("resistance_at_40c").si >= 5e6 * (1 - 1e-9)  # type: ignore[union-attr]


@few
@given(records)
def test_no_date_past_the_length_of_the_record(record: list[tuple[float, float]]) -> None:
    reached = judge(record).values.get("reaches_minimum_at")
    if reached is not None:
        first, last = min(day for day, _ in record), max(day for day, _ in record)
        moment = datetime.fromisoformat(str(reached))
        assert START + timedelta(days=last) <= moment <= START + timedelta(days=2 * last - first, minutes=1)


@few
@given(st.floats(min_value=30.0, max_value=70.0), st.integers(8, 24))
def test_warming_at_fixed_moisture_never_reads_as_worsening(rise: float, count: int) -> None:
    readings = []
    for i in range(count):
        celsius = 20.0 + rise * i / (count - 1)
        megohm = 800.0 * 0.5 ** ((celsius - 20.0) / 10.0)
        at = (START + timedelta(minutes=30 * i)).strftime("%Y-%m-%dT%H:%M:%SZ")
        readings.append({"at": at, "resistance": f"{megohm:.7f} Mohm", "winding_temperature": f"{celsius:.5f} degC"})
    answer = ask("insulation-trend", {"rated_voltage": "400 V", "readings": readings}, workshop())
    assert answer.values["direction"] != "worsening"


mixed = st.lists(
    st.fixed_dictionaries(
        {
            "at": st.sampled_from([f"2026-03-0{day}" for day in range(1, 8)]),
            "resistance": st.sampled_from(["0.8 Mohm", "20 Mohm", "90 Mohm", "300 Mohm"]),
        },
        optional={
            "winding_temperature": st.sampled_from(["10 degC", "20 degC", "35 degC"]),
            "air": st.just({"temperature": "18 degC", "relative_humidity": "80 %"}),
            "over_range": st.booleans(),
            "measurement_accuracy": st.just({"relative": "10 %"}),
        },
    ),
    min_size=1,
    max_size=16,
)
METHOD = {
    "rated_voltage": "400 V", "instrument": "insulation-tester", "test_voltage": "500 V", "drive_disconnected": True
}  # fmt: skip


@few
@given(mixed, st.randoms(use_true_random=False))
def test_order_decides_nothing_even_within_one_moment(readings: list[dict[str, Any]], random: Any) -> None:
    shuffled = list(readings)
    random.shuffle(shuffled)
    first, second = (ask("insulation-trend", METHOD | {"readings": r}, workshop()) for r in (readings, shuffled))
    assert first.outcome is second.outcome
    assert first.as_json()["values"] == second.as_json()["values"]


@pytest.mark.parametrize("order", [1, -1])
def test_the_margin_told_is_the_least_of_the_moment(order: int) -> None:
    """18 °C and 80 % have a dew point of 14.5 °C (psychrometric chart): a winding of 10 °C is 4.5 K below it."""
    air = {"temperature": "18 degC", "relative_humidity": "80 %"}
    warm, cold = (
        {"at": "2026-03-01", "resistance": "90 Mohm", "winding_temperature": f"{winding} degC", "air": air}
        for winding in (20, 10)
    )
    answer = ask("insulation-trend", METHOD | {"readings": [warm, cold][::order]}, workshop())
    margin = answer.quantity("dew_point_margin")
    assert margin is not None
    assert margin.si == pytest.approx(-4.5, abs=0.05)


@few
@given(mixed)
def test_an_accept_rests_on_every_reading_of_the_latest_moment(readings: list[dict[str, Any]]) -> None:
    if ask("insulation-trend", METHOD | {"readings": readings}, workshop()).outcome is not Outcome.ACCEPT:
        return
    for reading in (r for r in readings if r["at"] == max(r["at"] for r in readings)):
        assert reading["resistance"] != "0.8 Mohm"
        # 18 °C and 80 % have a dew point of 14.5 °C (psychrometric chart): 10 °C is wet, 20 °C is 5.5 K above it.
        assert "air" not in reading or reading.get("winding_temperature") != "10 degC"
        # Halving every 10 K: 20 Mohm reach 5 Mohm at 40 °C from 20 °C up, 300 Mohm do not at -20 °C.
        assert "winding_temperature" in reading
        assert reading["resistance"] != "20 Mohm" or reading["winding_temperature"] != "10 degC"
