"""Motor fit, the pulley: metal in the hub, what is left of an old keyway, damaged hubs, and what is said of each."""

from __future__ import annotations

from typing import Any

import pytest

import working
from millphase.questions.base import Invalid, ask
from millphase.rulebook import workshop


def answer(**request: Any) -> dict[str, Any]:
    found = ask("motor-fit", request, workshop()).as_json()
    working.check(found)
    return found


def iec(frame: str, **pulley: Any) -> dict[str, Any]:
    return answer(new_motor={"standard": "iec", "frame": frame}, pulley=pulley)


def outcomes(found: dict[str, Any], rule: str) -> list[str]:
    return [finding["outcome"] for finding in found["findings"] if finding["rule"] == rule]


def told(found: dict[str, Any]) -> str:
    return " ".join([found["summary"], *found["next_steps"], *(finding["because"] for finding in found["findings"])])


@pytest.mark.parametrize(
    ("pulley", "wall", "outcome"),
    [
        # source: plane geometry, hub radius less the deepest cut: 50/2 - (28/2 + 7), 50/2 - (28/2 + 3.3), 40/2 - 36/2, 60/2 - (24/2 + 8)
        ({"bore": "28 mm", "hub_diameter": "50 mm", "keyway_depth": "7 mm"}, 4.0, "caution"),
        ({"bore": "28 mm", "hub_diameter": "50 mm", "keyway_depth": "3 mm"}, 7.7, "accept"),
        ({"bore": "36 mm", "hub_diameter": "40 mm"}, 2.0, "reject"),
        ({"bore": "24 mm", "hub_diameter": "60 mm", "keyway_depth": "8 mm"}, 10.0, "accept"),
    ],
)
def test_the_wall_is_measured_over_the_deepest_cut(pulley: dict[str, str], wall: float, outcome: str) -> None:
    found = iec("100L", **pulley)
    assert found["values"]["wall_over_keyway"]["value"] == pytest.approx(wall)
    assert outcomes(found, "hub/wall-over-keyway") == [outcome]


def test_a_hub_that_must_not_be_bored_is_not_told_to_be_bored() -> None:
    # source: plane geometry: 38/2 - (28/2 + 3.3) = 1.7 mm, below a tenth of 28 mm
    found = iec("100L", bore="0.75 in", hub_diameter="38 mm")
    assert found["outcome"] == "reject"
    assert found["values"]["pulley_remedy"] == "new-pulley"
    assert "and bore it to" not in told(found)
    assert "this pulley does not stand" in found["summary"]
    # 26/2 - (28/2 + 3.3) is less than nothing
    assert "come out through its side" in iec("100L", bore="19 mm", hub_diameter="26 mm")["summary"]
    # a bore that fits in a hub that is too thin: 37/2 - 17.3 = 1.2 mm
    assert "not fit to be used" in iec("100L", bore="28 mm", hub_diameter="37 mm")["summary"]


@pytest.mark.parametrize(
    ("pulley", "left", "says"),
    [
        # source: plane geometry, old radius plus depth less new radius: 12 + 3.3 - 14, 9.525 + 2.235 - 14, 12 + 1.9 - 14
        ({"bore": "24 mm", "keyway_width": "8 mm", "keyway_depth": "3.3 mm"}, 1.3, "Cut the old keyway on to 3.3 mm"),
        ({"bore": "24 mm", "keyway_width": "7 mm", "keyway_depth": "3.3 mm"}, 1.3, "quarter turn away"),
        ({"bore": "24 mm", "keyway_depth": "3.3 mm"}, 1.3, "quarter turn away"),
        ({"bore": "0.75 in", "key_system": "bs-46"}, None, "takes the old keyway away"),
        ({"bore": "0.75 in", "key_system": "asme-b17"}, None, "takes the old keyway away"),
        ({"bore": "24 mm", "key_system": "din-6885"}, 1.3, "Cut the old keyway on"),
        ({"bore": "24 mm", "keyway_depth": "1.9 mm"}, None, "takes the old keyway away"),
        ({"bore": "24 mm"}, None, "Look into the bored hub"),
    ],
)
def test_what_boring_out_leaves_of_the_old_keyway(pulley: dict[str, str], left: float | None, says: str) -> None:
    found = iec("100L", **pulley)
    assert found["values"]["pulley_remedy"] == "rebore"
    assert says in told(found)
    if left is None:
        assert "old_keyway_left" not in found["values"]
    else:
        assert found["values"]["old_keyway_left"]["value"] == pytest.approx(left)


def test_the_keyway_of_a_pulley_follows_the_frame_it_came_off() -> None:
    # source: IEC 90L: 24 mm, DIN 6885-1 hub depth 3.3 mm; NEMA 143T: 7/8 in, ASME B17.1 half of 3/16 in: 11.1125 + 2.38125 - 12
    metric = answer(
        new_motor={"standard": "iec", "frame": "100L"}, old_motor={"frame": "90L"}, pulley={"hub_diameter": "60 mm"}
    )
    assert metric["values"]["old_keyway_left"]["value"] == pytest.approx(1.3)
    inch = answer(
        new_motor={"standard": "iec", "frame": "90L"},
        old_motor={"standard": "nema", "frame": "143T"},
        pulley={"hub_diameter": "60 mm"},
    )
    assert inch["values"]["old_keyway_left"]["value"] == pytest.approx(1.49375)
    assert "asme-b17" in [entry["assumed"] for entry in inch["assumptions"]]
    # a bore that is not that of the old shaft says nothing about the key
    other = answer(
        new_motor={"standard": "iec", "frame": "100L"}, old_motor={"frame": "90L"}, pulley={"bore": "0.75 in"}
    )
    assert "old_keyway_left" not in other["values"]


def test_a_pulley_without_a_bore_may_have_a_keyway() -> None:
    found = iec("90L", keyway_width="6 mm")
    assert "has to be widened" in found["summary"]
    assert "pulley_remedy" not in found["values"]
    assert "and bore it to 24.000 to 24.021 mm" in told(found)


def test_a_keyway_that_is_not_of_the_standard_named() -> None:
    # source: BS 46-1: 1/4 in at 7/8 in; ASME B17.1: 3/16 in
    found = answer(
        new_motor={"standard": "nema", "frame": "143T"},
        pulley={"bore": "0.875 in", "keyway_width": "4.76 mm", "key_system": "bs-46"},
    )
    assert found["outcome"] == "caution"
    assert "BS 46 for a bore of 22.225 mm has 6.35 mm (0.25 in)" in found["summary"]
    assert outcomes(found, "key/width-agreement") == ["accept"]


def test_a_measured_depth_counts_before_the_british_one() -> None:
    # source: BS 46-1: at 1 in the hub keyway is .115 in deep or more; a 1/4 in key stands .125 in
    inch = {"standard": "nema", "frame": "182T", "shaft_diameter": "1 in"}
    tabulated = answer(new_motor=inch, pulley={"bore": "1 in", "key_system": "bs-46"})
    measured = answer(new_motor=inch, pulley={"bore": "1 in", "key_system": "bs-46", "keyway_depth": "0.13 in"})
    assert (tabulated["outcome"], measured["outcome"]) == ("caution", "accept")
    assert iec("90L", bore="24 mm", keyway_depth="2 mm")["outcome"] == "caution"


@pytest.mark.parametrize(
    ("condition", "outcome", "remedy", "says"),
    [
        ("sound", "accept", "none", "The hub is sound"),
        ("scored", "caution", "none", "gauge it at both ends"),
        ("worn-keyway", "caution", "none", "A new key in a worn keyway works loose again"),
        ("cracked", "reject", "new-pulley", "at speed it bursts"),
        ("tapered", "reject", "taper-bush", "taper bush"),
    ],
)
def test_what_a_damaged_hub_is_good_for(condition: str, outcome: str, remedy: str, says: str) -> None:
    # source: common practice, stated as such
    found = iec("100L", bore="28 mm", hub_diameter="60 mm", keyway_width="8 mm", condition=condition)
    assert (found["outcome"], found["values"]["pulley_remedy"]) == (outcome, remedy)
    assert says in told(found)


def test_a_cracked_pulley_is_never_bushed_or_bored() -> None:
    for bore in ("19 mm", "30 mm"):
        found = iec("100L", bore=bore, condition="cracked")
        assert found["values"]["pulley_remedy"] == "new-pulley"
        assert "press" not in told(found).replace("pressed", "")
        assert "and bore it to" not in told(found)


@pytest.mark.parametrize(
    ("ends", "outcome", "says"),
    [
        # source: ISO 286-1: 28 H7 is 28.000 to 28.021 mm
        (("28.005 mm", "28.015 mm"), "accept", "28.005 mm at one end and 28.015 mm at the other"),
        (("28.060 mm", "28.005 mm"), "reject", "60 um larger"),
        (("27.900 mm", "28.010 mm"), "caution", "0.1 mm smaller"),
    ],
)
def test_a_bore_is_judged_at_both_ends(ends: tuple[str, str], outcome: str, says: str) -> None:
    found = iec("100L", bore=ends[0], bore_far_end=ends[1], keyway_width="8 mm")
    assert found["outcome"] == outcome
    assert says in told(found)


@pytest.mark.parametrize(
    ("bore", "again"),
    [("27.99 mm", True), ("27.97 mm", False), ("28.03 mm", True), ("28.05 mm", False)],
)
def test_a_difference_within_the_accuracy_is_gauged_again(bore: str, again: bool) -> None:
    found = iec("100L", bore=bore, measurement_accuracy={"absolute": "0.02 mm"})
    assert ("Gauge the bore again" in told(found)) is again
    assert found["outcome"] != "accept"


@pytest.mark.parametrize(
    ("pulley", "pointer"),
    [
        ({"bore_far_end": "28 mm"}, "/pulley/bore_far_end"),
        ({"bore": "20 mm", "keyway_width": "20 mm"}, "/pulley/keyway_width"),
        ({"bore": "20 mm", "hub_diameter": "40 mm", "keyway_depth": "10 mm"}, "/pulley/keyway_depth"),
    ],
)
def test_sizes_of_a_pulley_that_cannot_be_true(pulley: dict[str, str], pointer: str) -> None:
    with pytest.raises(Invalid) as caught:
        iec("100L", **pulley)
    assert caught.value.contradictory
    assert caught.value.faults[0].pointer == pointer


def test_a_bush_larger_than_its_hub() -> None:
    # source: common practice, stated as such: 19 + 2 x (2.8 + 3) = 30.6 mm of bush
    found = iec("80", bore="19.05 mm", hub_diameter="30 mm")
    assert "A bush of 30.6 mm does not go into a hub of 30 mm" in told(found)
    assert found["values"]["pulley_remedy"] == "new-pulley"


def test_british_keys_are_not_compared_beyond_their_table() -> None:
    inch = {"standard": "nema", "frame": "256T", "shaft_diameter": "2 in"}
    found = answer(new_motor=inch, pulley={"bore": "2 in"})
    assert outcomes(found, "key/system-conflict") == []


def test_a_hub_smaller_than_the_old_shaft_cannot_be_true() -> None:
    with pytest.raises(Invalid) as caught:
        answer(
            new_motor={"standard": "iec", "frame": "100L"},
            old_motor={"shaft_diameter": "28 mm"},
            pulley={"hub_diameter": "25 mm"},
        )
    assert caught.value.faults[0].pointer == "/pulley/hub_diameter"


@pytest.mark.parametrize(("hub", "room"), [("42.99 mm", False), ("43.05 mm", True)])
def test_puller_holes_need_metal_around_the_bore(hub: str, room: bool) -> None:
    # source: common practice, stated as such: two screw diameters; M6 for a 19.05 mm bore: 19.05 + 2 x 12 = 43.05 mm
    found = iec("80", bore="19.05 mm", hub_diameter=hub)
    assert ("use a jaw puller" in told(found)) is not room
    assert ("two puller screws, M6 or BSW 1/4 or UNC 1/4-20," in told(found)) is room


def test_getting_off_and_on_never_asks_for_a_blow() -> None:
    found = iec("100L", bore="24 mm", hub_diameter="60 mm")
    for steps in (found["values"]["pulling_off"], found["values"]["fitting_on"]):
        for step in steps:
            before, blow, _ = step.lower().partition("hammer" if "hammer" in step else "strike")
            assert not blow or "never" in before, step
        assert any("lock" in step for step in steps)


def test_a_shaft_with_a_flat_is_not_told_of_a_key() -> None:
    # source: NEMA MG 1: frame 48 drives through a flat; the pull of 3 N.m on 63.5 mm is 2.2 x 2T/d
    found = answer(
        new_motor={"standard": "nema", "frame": "48"},
        pulley={"bore": "0.5 in", "hub_diameter": "0.8 in"},
        torque="3 N.m",
        belt={"pulley_diameter": "2.5 in"},
    )
    assert not any("over the key and holds" in step for step in found["next_steps"])
    assert "Over the flat the set screw" in told(found)
    assert found["values"]["belt_pull"]["value"] == pytest.approx(2.2 * 2 * 3 / 0.0635, rel=1e-4)


def test_only_metric_shafts_are_said_to_carry_a_centre_thread() -> None:
    # source: DIN 332-2 is a standard of metric shaft ends: 24 mm M8; NEMA MG 1 tabulates no centre thread
    assert iec("90L", bore="24 mm")["values"]["centre_thread"] == "M8"
    inch = answer(new_motor={"standard": "nema", "frame": "145T"}, pulley={"bore": "0.875 in"})
    assert "centre_thread" not in inch["values"]
    assert "Look for a thread in the shaft's centre" in told(inch)


def test_an_inch_keyway_has_no_class_of_fit() -> None:
    found = answer(
        new_motor={"standard": "nema", "frame": "143T"},
        pulley={"bore": "0.875 in", "keyway_width": "0.1875 in", "keyway_fit": "close"},
    )
    assert found["outcome"] == "accept"
    assert outcomes(found, "key/asme-limits") == ["caution"]


def test_a_wide_class_is_named_as_such() -> None:
    for wanted, said in (("H7", []), ("H8", ["caution"]), ("H9", ["caution"])):
        found = iec("100L", bore="28.01 mm", keyway_width="8 mm", bore_tolerance=wanted)
        assert outcomes(found, "fit/pulley-bore-class") == said
        assert found["outcome"] == "accept"


def test_advice_on_cutting_is_for_keyways_that_are_cut() -> None:
    cutting = workshop().rules["key/no-trial-key"].data["text"].strip()
    assert cutting not in iec("100L", bore="28 mm", keyway_width="8 mm")["next_steps"]
    assert cutting in iec("100L", bore="28 mm", keyway_width="6 mm")["next_steps"]
    assert cutting in iec("100L", bore="24 mm")["next_steps"]


def test_inches_stand_beside_millimetres_in_the_summary() -> None:
    found = answer(
        new_motor={"standard": "iec", "frame": "100L"},
        old_motor={"centre_height": "4.5 in"},
        pulley={"bore": "0.75 in"},
    )
    assert "the bore of 19.05 mm (0.75 in)" in found["summary"]
    assert "Pack the feet by 14.3 mm (0.563 in)" in found["summary"]
    # source: 28.000 and 28.021 mm over 25.4
    assert any("bore it to 28.000 to 28.021 mm (1.1024 to 1.1032 in)" in step for step in found["next_steps"])
    assert any("feet by 14.3 mm (0.5630 in): one machined plate" in step for step in found["next_steps"])
    metric = answer(new_motor={"standard": "iec", "frame": "100L"}, pulley={"bore": "19.05 mm"})
    assert not any(" in)" in step for step in metric["next_steps"])
    assert any(entry == "height_change: −14.3 mm = −0.5630 in" for entry in found["values"]["beside_in_inches"])


@pytest.mark.parametrize(
    ("torque", "outcome"),
    [
        # source: Mott: tau = 2T/(D W L), 28 mm, 8 x 40: 224 N.m gives 50 MPa, 672 N.m 150 MPa, half the yield of 300 MPa
        ("224 N.m", "accept"), ("224.1 N.m", "caution"), ("672 N.m", "caution"), ("672.1 N.m", "reject"),
    ],
)  # fmt: skip
def test_a_starting_torque_alone_is_judged(torque: str, outcome: str) -> None:
    found = answer(
        new_motor={"standard": "iec", "frame": "100L"}, starting_torque=torque, pulley={"hub_length": "40 mm"}
    )
    assert outcomes(found, "key/shear-limit") == [outcome]
    assert "key_shear_stress" not in found["values"]


def test_two_torques_that_disagree() -> None:
    # source: T = P/(2 pi n): 5.5 kW at 1430 r/min is 36.73 N.m; 2.2 kW 14.69 N.m
    motor = {"standard": "iec", "frame": "100L", "power": "5.5 kW", "speed": "1430 r/min"}
    pulley = {"hub_length": "40 mm"}
    greater = answer(new_motor=motor, torque="14.68 N.m", pulley=pulley)
    assert greater["values"]["torque"]["value"] == pytest.approx(36.728, rel=1e-4)
    assert outcomes(greater, "key/torque-agreement") == ["caution"]
    rounded = answer(new_motor={**motor, "power": "2.2 kW"}, torque="14.1 N.m", pulley=pulley)
    assert rounded["values"]["torque"]["value"] == pytest.approx(14.1)
    assert outcomes(rounded, "key/torque-agreement") == []
