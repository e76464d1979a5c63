"""leakage-budget: overlays, monotony, units, and the corners the reference cases do not reach."""

from __future__ import annotations

import copy
import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from millphase.answer import Outcome
from millphase.questions.base import Invalid, ask, load, registry
from millphase.reports.drawings import leakage_budget as drawing
from millphase.rulebook import Rulebook, workshop

WORST = {"within-budget": 0, "over-budget": 1, "may-trip": 2, "certain-trip": 3}


def budget(**request: Any) -> dict[str, Any]:
    rcd = request.pop("rcd", {"rated_residual_current": "30 mA", "type": "F"})
    return ask("leakage-budget", {"rcd": rcd, **request}, request.pop("book", workshop())).as_json()


def tightened(share: str) -> Rulebook:
    """The workshop's set with a stricter share, as a club's overlay makes it."""
    pack = copy.deepcopy(dict(workshop().pack))
    pack["rules"]["leakage/budget-share-iec-60364"]["value"] = share
    return Rulebook(pack)


def test_a_club_that_allows_a_quarter_finds_ten_screens_exactly_at_budget() -> None:
    loads = [
        {"name": "computer", "leakage": "0.75 mA", "count": 5},
        {"name": "monitor", "leakage": "0.75 mA", "count": 5},
    ]
    request = {"rcd": {"rated_residual_current": "30 mA", "type": "A"}, "loads": loads}
    answer = ask("leakage-budget", request, tightened("25 %")).as_json()
    assert answer["outcome"] == "accept"
    assert answer["values"]["standing_leakage"] == {"value": 7.5, "unit": "mA"}
    assert answer["values"]["budget"] == {"value": 7.5, "unit": "mA"}
    assert answer["values"]["budget_share"] == {"value": 100.0, "unit": "%"}
    loads[0]["count"] = 6
    assert ask("leakage-budget", request, tightened("25 %")).outcome is Outcome.CAUTION
    assert ask("leakage-budget", request, workshop()).outcome is Outcome.ACCEPT


def test_a_club_that_reckons_with_coincidence_has_it_in_the_sum() -> None:
    # ABB handbook p.118: leakages of several loads add with 0.7 to 0.8; here 0.75 of 12 mA
    pack = copy.deepcopy(dict(workshop().pack))
    pack["rules"]["leakage/coincidence"]["value"] = "75 %"
    loads = [{"name": "bench", "leakage": "4 mA"}, {"name": "lamp", "leakage": "8 mA"}]
    request = {"rcd": {"rated_residual_current": "30 mA", "type": "A"}, "loads": loads}
    answer = ask("leakage-budget", request, Rulebook(pack)).as_json()
    assert answer["values"]["standing_leakage"] == {"value": 9.0, "unit": "mA"}
    assert answer["outcome"] == "accept"
    alone = ask("leakage-budget", {**request, "loads": loads[1:]}, Rulebook(pack)).as_json()
    assert alone["values"]["standing_leakage"] == {"value": 8.0, "unit": "mA"}
    two = ask("leakage-budget", {**request, "loads": [{"leakage": "4 mA", "count": 2}]}, Rulebook(pack)).as_json()
    assert two["values"]["standing_leakage"] == {"value": 6.0, "unit": "mA"}


@settings(max_examples=40, deadline=None)
@given(low=st.floats(0.01, 60), more=st.floats(0.01, 60))
def test_more_leakage_is_never_better(low: float, more: float) -> None:
    first, second = (budget(drives=[{"filter_leakage": f"{current:.6f} mA"}]) for current in (low, low + more))
    assert WORST[first["values"]["verdict"]] <= WORST[second["values"]["verdict"]]
    assert first["values"]["trip_share"]["value"] <= second["values"]["trip_share"]["value"]
    assert Outcome[first["outcome"].upper()] <= Outcome[second["outcome"].upper()]


@settings(max_examples=40, deadline=None)
@given(high=st.floats(1, 5000), less=st.floats(0.01, 0.99))
def test_worse_insulation_is_never_better(high: float, less: float) -> None:
    first, second = (
        budget(drives=[{"filter_leakage": "5 mA", "motor_insulation": f"{resistance:.6f} kohm"}])
        for resistance in (high, max(0.01, high * less))
    )
    assert WORST[first["values"]["verdict"]] <= WORST[second["values"]["verdict"]]
    assert Outcome[first["outcome"].upper()] <= Outcome[second["outcome"].upper()]


@pytest.mark.parametrize(("milli", "plain"), [("10 mA", "0.01 A"), ("10 mA", "10000 uA"), ("0.5 mA", "500 uA")])
def test_unit_of_the_leakage_does_not_matter(milli: str, plain: str) -> None:
    first, second = (budget(drives=[{"filter_leakage": text}])["values"] for text in (milli, plain))
    assert first == second


def test_expected_current_lies_between_its_parts_and_their_sum() -> None:
    values = budget(drives=[{"filter_leakage": "7 mA", "motor_insulation": "40 kohm"}])["values"]
    expected, bound = values["running_current_expected"]["value"], values["running_current_bounding"]["value"]
    assert 7 < expected < bound


def test_measured_circuit_still_compares_each_drive_alone() -> None:
    drives = [{"name": "a", "filter_leakage": "9 mA"}, {"name": "b", "filter_leakage": "9 mA"}]
    values = budget(measured_standing="17 mA", measured_bandwidth="low-pass", drives=drives)["values"]
    assert [row["current"]["value"] for row in values["comparison"]] == [17.0, 9.0, 9.0]
    assert [row["remedy"] for row in values["remedies"]] == ["own-rcd", "low-leakage-filter", "filter-removed"]
    assert values["remedies"][1]["current"]["value"] == pytest.approx(3.4)


@pytest.mark.parametrize(("fed", "told"), [("line-neutral", False), ("line-line", True), ("three-phase", True)])
def test_a_voltage_given_for_a_drive_between_lines_is_said_to_be_to_earth(fed: str, told: bool) -> None:
    answer = budget(
        rcd={"rated_residual_current": "30 mA", "type": "B"}, supply={"voltage": "230 V"},
        drives=[{"filter_leakage": "1 mA", "input": fed}],
    )  # fmt: skip
    assumed = [a["assumed"] for a in answer["assumptions"] if a["field"] == "supply/voltage"]
    assert assumed == (["230 V between a line and earth"] if told else [])


def test_each_remedy_is_worked_out_and_none_is_on_the_never_list() -> None:
    answer = budget(
        drives=[{"filter_leakage": "10 mA", "motor_insulation": "18 kohm"}],
        loads=[{"kind": "washing-machine", "count": 2}],
    )
    found = {row["remedy"]: row["current"]["value"] for row in answer["values"]["remedies"]}
    assert found["repair-insulation"] == pytest.approx(20.0)
    assert found["own-rcd"] == pytest.approx(10 + 12.7778, rel=1e-4)
    assert found["low-leakage-filter"] == pytest.approx(11.7 + 12.7778, rel=1e-4)
    assert found["filter-removed"] == pytest.approx(11.0 + 12.7778, rel=1e-4)
    assert found["isolating-transformer"] == pytest.approx(10.0)
    assert any("higher rating" in words for words in answer["values"]["never"])
    assert not any("higher rating" in step for step in answer["next_steps"])


def test_no_remedy_is_offered_where_none_is_needed() -> None:
    assert budget(drives=[{"filter_leakage": "3 mA"}])["values"]["remedies"] == []


def test_line_crest_is_used_where_a_boost_stage_is_weaker_than_three_phases() -> None:
    drives = [{"boost_stage": True, "filter_leakage": "1 mA"}, {"input": "three-phase", "filter_leakage": "1 mA"}]
    values = budget(rcd={"rated_residual_current": "30 mA", "type": "B"}, drives=drives)["values"]
    # 400 V of the link is more than 1.189 times 230 V, so it bounds: 400 V over 13 mA
    assert values["insulation_for_half_trip"]["value"] == pytest.approx(30.77, rel=1e-3)


def test_electrode_is_sized_for_the_greater_rating() -> None:
    request = {
        "rcd": {"rated_residual_current": "30 mA", "type": "A"},
        "upstream_rcd": {"rated_residual_current": "300 mA", "type": "A", "delay": "selective"},
        "supply": {"earthing": "tt"}, "loads": [{"leakage": "1 mA"}],
    }  # fmt: skip
    answer = ask("leakage-budget", request, workshop()).as_json()
    assert answer["values"]["electrode_resistance_limit"]["value"] == pytest.approx(166.667, rel=1e-4)
    assert any("electrode measured" in step for step in answer["next_steps"])


def test_upstream_must_hold_this_circuit_too() -> None:
    answer = budget(
        rcd={"rated_residual_current": "100 mA", "type": "A"},
        upstream_rcd={"rated_residual_current": "30 mA", "type": "A", "delay": "selective"},
        loads=[{"leakage": "16 mA"}],
    )
    assert [f["outcome"] for f in answer["findings"] if f["rule"] == "rcd/no-trip-share"] == ["accept", "caution"]


def test_a_drive_with_its_filter_out_brings_no_switch_on_rush() -> None:
    rules = {f["rule"] for f in budget(drives=[{"filter_leakage": "0 mA"}])["findings"]}
    assert "leakage/switch-on" not in rules
    assert "leakage/protective-conductor-current" not in rules


def test_class_c_interrupter_rejects_an_impossible_rating() -> None:
    with pytest.raises(Invalid) as caught:
        budget(rcd={"rated_residual_current": "5 mA", "type": "class-c-gfci"}, loads=[{"leakage": "1 mA"}])
    assert caught.value.faults[0].pointer == "/rcd/rated_residual_current"


def test_interrupter_without_drives_is_judged_by_its_currents_alone() -> None:
    answer = budget(
        rcd={"rated_residual_current": "6 mA", "type": "class-a-gfci"},
        wiring_rules="nfpa-70",
        loads=[{"leakage": "1 mA"}],
    )
    assert answer["outcome"] == "accept"
    assert answer["values"]["trip_windows"] == []


@pytest.mark.parametrize("named", ["lathe", None])
def test_drawing_names_every_source_and_limit(named: str | None) -> None:
    question = registry()["leakage-budget"]
    drive = {"filter_leakage": "10 mA", "motor_insulation": "18 kohm"} | ({"name": named} if named else {})
    loads = [{"name": f"load <{number}>", "leakage": "0.4 mA"} for number in range(12)]
    request = {"rcd": {"rated_residual_current": "30 mA", "type": "F"}, "drives": [drive], "loads": loads}
    picture = drawing.draw(load(question, request), workshop().view(("*",)))
    assert picture.startswith("<svg")
    assert "<title" in picture
    assert "<desc" in picture
    assert f"filter of {named or 'drive 1'}: 10 mA" in picture
    assert "5 smaller ones" in picture
    assert "load &lt;0&gt;" in picture
    assert "load <0>" not in picture
    for words in (
        "budget, 30 %: 9 mA",
        "must hold to here: 15 mA",
        "must trip: 30 mA",
        "motor insulation, at most: 12.8 mA",
    ):
        assert words in picture


def test_no_two_pieces_of_a_bar_look_alike() -> None:
    question = registry()["leakage-budget"]
    loads = [{"name": f"load {number}", "leakage": f"{number}.1 mA"} for number in range(1, 12)]
    drives = [{"filter_leakage": "10 mA", "motor_insulation": "18 kohm"}]
    request = {"rcd": {"rated_residual_current": "30 mA", "type": "F"}, "drives": drives, "loads": loads}
    picture = drawing.draw(load(question, request), workshop().view(("*",)))
    strokes = re.findall(r'<path d="([^"]+)"', picture.split("</defs>")[0])
    assert len(strokes) == 10
    assert len(set(strokes)) == len(strokes)


def test_drawing_of_an_interrupter_names_it() -> None:
    question = registry()["leakage-budget"]
    request = {
        "wiring_rules": "nfpa-70", "rcd": {"rated_residual_current": "6 mA", "type": "class-a-gfci"},
        "drives": [{"filter_leakage": "0.3 mA"}],
    }  # fmt: skip
    picture = drawing.draw(load(question, request), workshop().view(("*",)))
    for words in (
        "Leakage behind the class A ground-fault interrupter",
        "budget, 33.3 %: 2 mA",
        "must hold to here: 4 mA",
    ):
        assert words in picture


def test_drawing_of_nothing_is_still_a_drawing() -> None:
    question = registry()["leakage-budget"]
    request = {"rcd": {"rated_residual_current": "30 A", "type": "F"}}
    picture = drawing.draw(load(question, request), workshop().view(("*",)))
    assert "nothing listed" in picture
    assert "url(#hatch" not in picture


def test_a_rule_set_that_lacks_a_row_answers_that_it_does() -> None:
    pack = copy.deepcopy(dict(workshop().pack))
    rows = pack["rules"]["leakage/wiring"]["rows"]
    pack["rules"]["leakage/wiring"]["rows"] = [row for row in rows if row[0] != "metal-conduit"]
    request = {
        "rcd": {"rated_residual_current": "30 mA", "type": "A"}, "circuits": [{"length": "5 m", "wiring": "metal-conduit"}],
    }  # fmt: skip
    answer = ask("leakage-budget", request, Rulebook(pack))
    assert answer.outcome is Outcome.INCONCLUSIVE
    assert "no row for metal-conduit" in answer.summary
