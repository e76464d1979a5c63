"""Boundaries and properties of spindle-speeds."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import working
from millphase.answer import Contradiction
from millphase.physics import motor
from millphase.questions.base import Invalid, ask, load, registry
from millphase.reports.drawings import spindle_speeds as chart
from millphase.rulebook import workshop

MOTOR = {"rated_speed": "1430 r/min", "frequency": "50 Hz", "power": "2.2 kW", "cooling": "ic-411"}
STEP = {"driver": "100 mm", "driven": "200 mm"}


def request(**changes: Any) -> dict[str, Any]:
    base: dict[str, Any] = {
        "motor": MOTOR, "steps": [STEP], "frequency_range": {"lowest": "30 Hz", "highest": "50 Hz"}, "spindle_limit": "3000 r/min",
    }  # fmt: skip
    return base | changes


def answer(**changes: Any) -> dict[str, Any]:
    found = ask("spindle-speeds", request(**changes), workshop()).as_json()
    working.check(found)
    return found


def row(**changes: Any) -> dict[str, Any]:
    found: dict[str, Any] = answer(**changes)["values"]["speeds"][0]
    return found


@pytest.mark.parametrize(("lowest", "outcome"), [("30 Hz", "accept"), ("29.9 Hz", "caution")])
def test_lowest_frequency_of_a_self_ventilated_motor(lowest: str, outcome: str) -> None:
    assert answer(frequency_range={"lowest": lowest, "highest": "50 Hz"})["outcome"] == outcome


@pytest.mark.parametrize(
    ("hertz", "share"), [("5 Hz", 0.5), ("10 Hz", 0.7), ("17.5 Hz", 0.8), ("25 Hz", 0.9), ("37.5 Hz", 0.95)]
)
def test_cooling_points_and_the_lines_between(hertz: str, share: float) -> None:
    # common practice: 0.5 at 5 Hz, 0.7 at 10 Hz, 0.9 at 25 Hz, 1 at 50 Hz
    found = row(frequency_range={"lowest": hertz, "highest": "50 Hz"})
    assert found["torque_share_at_lowest"]["value"] == pytest.approx(share)


@pytest.mark.parametrize(("limit", "binding"), [("1200 r/min", "frequency-range"), ("1199 r/min", "spindle-limit")])
def test_spindle_limit_at_the_edge(limit: str, binding: str) -> None:
    # 80 Hz, four poles, ratio 2: 1200 r/min without load
    found = row(frequency_range={"lowest": "30 Hz", "highest": "80 Hz"}, spindle_limit=limit)
    assert found["binds_at_top"] == binding


@pytest.mark.parametrize(("driver", "binding"), [("381 mm", "frequency-range"), ("383 mm", "belt-speed")])
def test_belt_limit_at_the_edge(driver: str, binding: str) -> None:
    # 30 m/s / (π × 1500/60) = 0.38197 m
    found = row(steps=[{"driver": driver, "driven": "500 mm"}])
    assert found["binds_at_top"] == binding


def test_the_faster_belt_counts() -> None:
    # Second belt: countershaft at 1500 × 2 = 3000 r/min carries a 250 mm pulley, 39 m/s; the first runs 15.7 m/s.
    found = row(countershaft={"driver": "200 mm", "driven": "100 mm"}, steps=[{"driver": "250 mm", "driven": "500 mm"}])
    assert found["binds_at_top"] == "belt-speed"
    assert found["belt_speed"]["value"] == pytest.approx(30.0, rel=1e-5)


@pytest.mark.parametrize(("highest", "word"), [("85 Hz", "accept"), ("85.1 Hz", "caution")])
def test_extra_losses_at_the_edge(highest: str, word: str) -> None:
    found = answer(frequency_range={"lowest": "30 Hz", "highest": highest})
    assert [f["outcome"] for f in found["findings"] if f["rule"] == "speeds/extra-losses"] == [word]


@pytest.mark.parametrize(("highest", "binds"), [("61.5 Hz", False), ("61.6 Hz", True)])
def test_pull_out_edge(highest: str, binds: bool) -> None:
    # 50 Hz × 1.6 / 1.3 = 61.54 Hz
    found = answer(frequency_range={"lowest": "30 Hz", "highest": highest})
    assert any(f["rule"] == "motor/pull-out-margin" for f in found["findings"]) is binds


def test_frame_letters_do_not_matter_and_large_frames_are_slower() -> None:
    limits = {
        frame: answer(motor={**MOTOR, "rated_speed": "2850 r/min", "frame": frame})["values"]["motor_speed_limit"][
            "value"
        ]
        for frame in ("100", "100L", "112M", "132S", "200L")
    }
    # two poles, IEC 60034-1 from memory
    assert limits == {"100": 5200.0, "100L": 5200.0, "112M": 5200.0, "132S": 4500.0, "200L": 4500.0}


def test_eight_poles_have_no_row_in_the_table() -> None:
    found = answer(motor={**MOTOR, "rated_speed": "700 r/min", "frame": "100L"})
    assert found["values"]["motor_speed_limit"] == {"value": 1400.0, "unit": "r/min"}
    assert not any(f["rule"] == "speeds/motor-maximum-speed" for f in found["findings"])


def test_larger_frames_than_the_table_fall_back_on_twice_rated_speed() -> None:
    found = answer(motor={**MOTOR, "frame": "225S"})
    assert found["values"]["motor_speed_limit"] == {"value": 2860.0, "unit": "r/min"}


def test_frequency_is_found_from_the_speed() -> None:
    plate = {"rated_speed": "1725 r/min", "power": "2.2 kW", "cooling": "ic-416"}
    found = answer(motor=plate, frequency_range={"lowest": "30 Hz", "highest": "60 Hz"})
    assert {"motor.frequency": "60 Hz"}.items() <= {e["field"]: e["assumed"] for e in found["assumptions"]}.items()


def test_efficiencies_may_be_given() -> None:
    found = answer(belt_efficiency="90 %", back_gear_efficiency="80 %", back_gear=4)
    direct, geared = found["values"]["speeds"]
    # 14.69 N.m × 2 × 0.9, and × 4 × 0.8 behind the gear
    assert direct["torque_at_rated"]["value"] == pytest.approx(26.44, rel=1e-3)
    assert geared["torque_at_rated"]["value"] == pytest.approx(26.44 * 3.2, rel=1e-3)
    assert not any("efficiency" in entry["field"] for entry in found["assumptions"])


def test_many_steps_are_summed_up() -> None:
    steps = [{"name": str(n), "driver": f"{60 + 10 * n} mm", "driven": "150 mm"} for n in range(6)]
    assert "…" in answer(steps=steps)["summary"]


def test_a_smaller_range_than_rated_needs_no_spindle_limit() -> None:
    asked = request()
    del asked["spindle_limit"]
    found = ask("spindle-speeds", asked, workshop()).as_json()
    assert found["outcome"] == "accept"


def test_base_frequency_below_rated_with_its_own_fan() -> None:
    # Star on a 230 V drive: at 40 Hz the fan allows 0.96, constant power 28.87/40 = 0.72, pull-out 1.6/1.3 × 0.72² = 0.64.
    plate = {**MOTOR, "full_torque_up_to": "28.8675 Hz"}
    found = row(motor=plate, frequency_range={"lowest": "20 Hz", "highest": "40 Hz"})
    assert found["torque_share_at_highest"]["value"] == pytest.approx(1.6 / 1.3 * (28.8675 / 40) ** 2, rel=1e-5)


@settings(deadline=None, max_examples=30)
@given(low=st.floats(12.0, 30.0), high=st.floats(31.0, 84.0), driver=st.floats(60.0, 160.0), gear=st.floats(1.5, 10.0))
def test_speeds_torques_and_powers_hang_together(low: float, high: float, driver: float, gear: float) -> None:
    found = answer(
        frequency_range={"lowest": f"{low:.3f} Hz", "highest": f"{high:.3f} Hz"},
        steps=[{"driver": f"{driver:.2f} mm", "driven": "160 mm"}], back_gear=round(gear, 3),
    )  # fmt: skip
    direct, geared = found["values"]["speeds"]
    for each, efficiency in ((direct, 0.95), (geared, 0.95 * 0.95)):
        assert each["lowest"]["value"] < each["highest"]["value"]
        for at in ("lowest", "rated", "highest"):
            spindle = 2 * math.pi * each[at]["value"] / 60 * each[f"torque_at_{at}"]["value"]
            assert spindle == pytest.approx(1000 * each[f"power_at_{at}"]["value"] * efficiency, rel=1e-4)
            assert each[f"torque_share_at_{at}"]["value"] <= 1.0
    assert direct["rated"]["value"] / geared["rated"]["value"] == pytest.approx(round(gear, 3), rel=1e-4)


@settings(max_examples=60)
@given(hertz=st.floats(50.0, 150.0), more=st.floats(0.1, 20.0), pull=st.floats(1.4, 4.0))
def test_torque_never_rises_above_base(hertz: float, more: float, pull: float) -> None:
    here = motor.torque_share_above_base(1.0, 50.0, hertz, pull, 1.3)
    there = motor.torque_share_above_base(1.0, 50.0, hertz + more, pull, 1.3)
    assert there < here or here == there == 1.0


@pytest.mark.parametrize(("lowest", "outcome"), [("6 Hz", "accept"), ("5.9 Hz", "caution")])
def test_lowest_frequency_whatever_the_cooling(lowest: str, outcome: str) -> None:
    # Electrical Engineering Portal, motor torque and speed requirements: below about 6 Hz a special motor may be needed.
    plate = {**MOTOR, "cooling": "ic-416"}
    assert answer(motor=plate, frequency_range={"lowest": lowest, "highest": "50 Hz"})["outcome"] == outcome


def test_where_a_range_can_begin_is_told() -> None:
    # 70 r/min of slip with four poles is 2.33 Hz; a tenth more is 2.6 Hz
    plate = {**MOTOR, "cooling": "ic-416"}
    with pytest.raises(Invalid, match=r"begin the range above 2\.6 Hz"):
        answer(motor=plate, frequency_range={"lowest": "2 Hz", "highest": "50 Hz"})
    assert row(motor=plate, frequency_range={"lowest": "2.6 Hz", "highest": "50 Hz"})["usable"]


def test_a_plate_cannot_limit_a_motor_below_its_rated_speed() -> None:
    assert row(motor={**MOTOR, "maximum_speed": "1500 r/min"})["usable"]
    with pytest.raises(Invalid, match="read both again"):
        answer(motor={**MOTOR, "maximum_speed": "1429 r/min"})


def test_what_the_fan_leaves_is_not_what_the_voltage_leaves() -> None:
    # Star on a 230 V drive from 40 Hz: the fan allows 0.9 + 0.1 × (0.8 - 0.5) / 0.5 = 0.96, the voltage far less.
    plate = {**MOTOR, "full_torque_up_to": "28.8675 Hz"}
    found = answer(motor=plate, frequency_range={"lowest": "40 Hz", "highest": "50 Hz"})
    fan = [f["because"] for f in found["findings"] if f["rule"] == "speeds/self-ventilated-lowest"]
    assert "about 96 %" in fan[0]


def test_classical_pulleys_are_balanced_for_no_more_than_the_belt_allows() -> None:
    # GOST 20889: balance grades to 30 m/s; 383 mm × π × 25 r/s = 30.1 m/s
    found = answer(steps=[{"driver": "383 mm", "driven": "500 mm"}])
    graded = [f for f in found["findings"] if f["rule"] == "speeds/belt-speed-classical-balance"]
    assert [(f["outcome"], f["decides"]) for f in graded] == [("caution", False)]


@pytest.mark.parametrize(("driver", "outcome"), [("210.2 mm", "accept"), ("210.3 mm", "caution")])
def test_rim_speed_at_its_limit(driver: str, outcome: str) -> None:
    # MPTA-B13i: 6500 ft/min = 33.02 m/s; two poles at 50 Hz turn 50 r/s without load, so 33.02 / (π × 50) = 210.21 mm
    found = answer(
        motor={**MOTOR, "rated_speed": "2860 r/min", "cooling": "ic-416"}, belt="wedge", pulleys_balanced=True,
        steps=[{"driver": driver, "driven": "300 mm"}],
    )  # fmt: skip
    assert found["outcome"] == outcome


class TestChart:
    """The chart is the answer, drawn."""

    def drawn(self, **changes: Any) -> ET.Element:
        loaded = load(registry()["spindle-speeds"], request(**changes))
        return ET.fromstring(chart.draw(loaded, workshop().view(("*",))))

    def test_one_curve_for_every_row_and_a_description_in_words(self) -> None:
        root = self.drawn(
            back_gear=6.5, frequency_range={"lowest": "20 Hz", "highest": "80 Hz"}, spindle_limit="1100 r/min"
        )
        assert [path.get("data-step") for path in root.iter() if path.get("data-step")] == ["1", "2"]
        told = str(root.find("{http://www.w3.org/2000/svg}desc").text)  # type: ignore[union-attr]
        rows = answer(
            back_gear=6.5, frequency_range={"lowest": "20 Hz", "highest": "80 Hz"}, spindle_limit="1100 r/min"
        )
        for each in rows["values"]["speeds"]:
            assert f"{each['rated']['value']:.3g} r/min" in told
        assert "spindle limit 1100 r/min" in ET.tostring(root, "unicode")

    @pytest.mark.parametrize(
        "changes",
        [
            {"motor": {"rated_speed": "1430 r/min"}},
            {"motor": {**MOTOR, "cooling": "ic-416"}},
            {"frequency_range": {"lowest": "25 Hz", "highest": "50 Hz"}, "spindle_limit": "300 r/min"},
            {"spindle_limit": "50000 r/min"},
            {
                "steps": [{"name": str(n), "driver": f"{60 + 4 * n} mm", "driven": "150 mm"} for n in range(16)],
                "back_gear": 6,
            },
            {"steps": [{"name": "W" * 40, "driver": "100 mm", "driven": "150 mm"}], "back_gear": 6},
            {"steps": [{"driver": "100 mm", "driven": "150 mm"}], "spindle_limit": "20 r/min"},
        ],
    )
    def test_nothing_leaves_the_paper(self, changes: dict[str, Any]) -> None:
        root = self.drawn(**changes)
        _, _, width, height = (float(n) for n in str(root.get("viewBox")).split())
        for text in root.iter("{http://www.w3.org/2000/svg}text"):
            size = float(text.get("font-size", "13"))
            x, y = float(text.attrib["x"]), float(text.attrib["y"])
            assert 0 <= y <= height, text.text
            if text.get("text-anchor") is None:
                assert x + 0.54 * size * len(str(text.text)) <= width, text.text

    def test_numbers_of_many_steps_do_not_cover_one_another(self) -> None:
        steps = [{"name": str(n), "driver": f"{60 + 10 * n} mm", "driven": "150 mm"} for n in range(16)]
        root = self.drawn(steps=steps, spindle_limit="20000 r/min")
        rings = [ring for ring in root.iter("{http://www.w3.org/2000/svg}circle") if ring.get("r") == "9"]
        places = [(float(ring.attrib["cx"]), float(ring.attrib["cy"])) for ring in rings]
        assert len(places) == 16
        for index, (x, y) in enumerate(places):
            for other_x, other_y in places[index + 1 :]:
                assert math.hypot(x - other_x, y - other_y) > 9.0

    def test_a_step_that_cannot_be_used_has_no_curve(self) -> None:
        root = self.drawn(frequency_range={"lowest": "25 Hz", "highest": "50 Hz"}, spindle_limit="300 r/min")
        assert not [path for path in root.iter() if path.get("data-step")]
        assert "cannot be used" in str(root.find("{http://www.w3.org/2000/svg}desc").text)  # type: ignore[union-attr]

    def test_the_chart_refuses_what_the_question_refuses(self) -> None:
        for lowest in ("60 Hz", "1 Hz"):
            with pytest.raises(Contradiction):
                self.drawn(motor={**MOTOR, "cooling": "ic-416"}, frequency_range={"lowest": lowest, "highest": "50 Hz"})

    def test_without_a_spindle_limit(self) -> None:
        asked = request()
        del asked["spindle_limit"]
        loaded = load(registry()["spindle-speeds"], asked)
        assert "spindle limit" not in chart.draw(loaded, workshop().view(("*",)))
