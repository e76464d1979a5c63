"""Motor fit: how frames are read, both sides of each limit, units, monotony, and that nothing rests on memory unsaid."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import working
from millphase.answer import Sheet
from millphase.quantity import Quantity
from millphase.questions._fit_bore import row_for, row_of, tolerance_row
from millphase.questions._fit_frames import TABLES
from millphase.questions.base import Invalid, ask
from millphase.questions.motor_fit import QUESTION
from millphase.rulebook import workshop
from millphase.rulebook.model import Table


def answer(**request: Any) -> dict[str, Any]:
    found = ask("motor-fit", request, workshop()).as_json()
    working.check(found)
    return found


def iec(frame: str, **more: Any) -> dict[str, Any]:
    return answer(new_motor={"standard": "iec", "frame": frame}, **more)


def outcomes(found: dict[str, Any], rule: str) -> list[str]:
    return [finding["outcome"] for finding in found["findings"] if finding["rule"] == rule]


def table(rule: str) -> Table:
    found = workshop().rules[rule]
    assert isinstance(found, Table)
    return found


@pytest.mark.parametrize(
    ("standard", "written", "height"),
    [
        ("iec", "100L", 100), ("iec", "100 LA", 100), ("iec", "100", 100), ("iec", "IEC 100L", 100), ("iec", "80", 80), ("iec", "80M", 80),
        ("iec", "80B", 80), ("iec", "132mb", 132), ("iec", "90L-4", 90), ("iec", "56", 56), ("nema", "56", 88.9), ("nema", "56C", 88.9),
        ("nema", "56H", 88.9), ("nema", "56HC", 88.9), ("nema", "143tc", 88.9), ("nema", "NEMA 182T", 114.3), ("nema", "L184T", 114.3),
        ("nema", "215", 133.35),
    ],
)  # fmt: skip
def test_frames_as_plates_write_them(standard: str, written: str, height: float) -> None:
    found = answer(new_motor={"standard": standard, "frame": written})
    assert found["values"]["centre_height"]["value"] == height


@pytest.mark.parametrize(
    ("standard", "written", "says"),
    [
        ("iec", "90", "90S and 90L"), ("iec", "132", "132S and 132M"), ("iec", "80L", "no IEC frame"), ("iec", "145T", "standard nema"),
        ("nema", "90L", "standard iec"), ("nema", "145TY", "suffix Y or Z"), ("nema", "100", "no NEMA frame"), ("iec", "?", "no IEC frame"),
        ("nema", "144T", "143T"), ("nema", "motor", "no NEMA frame"),
    ],
)  # fmt: skip
def test_a_frame_that_says_too_little_or_nothing_is_refused_with_advice(standard: str, written: str, says: str) -> None:
    with pytest.raises(Invalid) as caught:
        answer(new_motor={"standard": standard, "frame": written})
    assert caught.value.contradictory
    assert caught.value.faults[0].pointer == "/new_motor/frame"
    assert says in caught.value.faults[0].message


def test_an_old_frame_is_pointed_at_too() -> None:
    with pytest.raises(Invalid) as caught:
        iec("90L", old_motor={"frame": "90"})
    assert caught.value.faults[0].pointer == "/old_motor/frame"


@pytest.mark.parametrize("standard", TABLES)
def test_every_tabulated_frame_is_answered_and_says_what_is_from_memory(standard: str) -> None:
    for row in table(TABLES[standard]).rows():
        found = answer(
            new_motor={"standard": standard, "frame": row.text("frame")},
            pulley={"hub_diameter": "120 mm"},
            torque="1 N.m",
        )
        names = ("across", "along", "to_shoulder", "hole", "shaft_diameter", "shaft_length", "centre_height")
        unread = [name for name in names if row[name].cited.source["checked"] == "memory"]
        told = [f for f in found["findings"] if f["rule"] == TABLES[standard] and f["source"]["checked"] == "memory"]
        if unread:
            assert any("Measure the motor" in finding["because"] for finding in told), row.text("frame")


@pytest.mark.parametrize("frame", ["182", "184", "213", "215", "213T"])
def test_the_key_of_a_nema_frame_is_the_key_of_its_shaft(frame: str) -> None:
    row = table("frame/nema-foot").row(frame=frame)
    assert row is not None
    found = answer(new_motor={"standard": "nema", "frame": frame})
    assert found["values"]["key_width"]["value"] == pytest.approx(row.q("key_width").number("mm"))


def test_where_british_and_american_keys_differ() -> None:
    # source: BS 46-1:1958 and ANSI B17.1 tables read side by side
    differ = {"3/8": True, "9/16": True, "7/8": True, "1-1/8": True, "1-1/4": True, "1-3/8": True,
              "1/2": False, "5/8": False, "3/4": False, "1": False, "1-1/2": False}  # fmt: skip
    told = workshop().rules["key/system-conflict"].data["text"].split(";")
    for name, different in differ.items():
        size = Quantity.of(eval(name.replace("-", "+")), "in")
        rows = [row_for(table(rule), size) for rule in ("key/bs-46-square", "key/asme-parallel")]
        widths = {row.q("width").si for row in rows if row is not None}
        assert (len(widths) == 2) is different, name
        assert name in told[0 if different else 1].replace(",", " ").split(), name


def test_inches_and_millimetres_say_the_same() -> None:
    metric = iec("100L", pulley={"bore": "19.05 mm", "hub_diameter": "63.5 mm"}, torque="14.68 N.m")
    inch = iec("100L", pulley={"bore": "0.75 in", "hub_diameter": "2500 thou"}, torque="10.8274 lbf.ft")
    for name, value in metric["values"].items():
        if isinstance(value, dict):
            assert inch["values"][name]["value"] == pytest.approx(value["value"], rel=1e-5), name
    assert "beside_in_inches" not in metric["values"]
    assert "bore_maximum: 28.021 mm = 1.1032 in" in inch["values"]["beside_in_inches"]
    assert "clearance_maximum: 25 um = 0.98 thou" in inch["values"]["beside_in_inches"]


def test_both_sides_of_the_bore_limits() -> None:
    for bore, outcome, remedy in (
        ("27.999 mm", "caution", "rebore"), ("28 mm", "accept", "none"), ("28.021 mm", "accept", "none"), ("28.022 mm", "reject", "bore-out-and-bush"),
    ):  # fmt: skip
        found = iec("100L", pulley={"bore": bore, "keyway_width": "8 mm"})
        assert (found["outcome"], found["values"]["pulley_remedy"]) == (outcome, remedy), bore


@pytest.mark.parametrize(
    ("material", "wall", "outcome"),
    [
        # source: common practice, stated as such: 0.1 and 0.2 shaft diameters (28 mm); aluminium 0.15 and 0.3
        ("cast-iron", 2.79, "reject"), ("cast-iron", 2.8, "caution"), ("cast-iron", 5.59, "caution"), ("cast-iron", 5.6, "accept"),
        ("steel", 5.6, "accept"), ("aluminium", 4.19, "reject"), ("aluminium", 4.2, "caution"), ("aluminium", 8.39, "caution"), ("aluminium", 8.4, "accept"),
    ],
)  # fmt: skip
def test_both_sides_of_the_hub_wall_limits(material: str, wall: float, outcome: str) -> None:
    hub = 2 * (14 + 3.3 + wall)
    found = iec("100L", pulley={"hub_diameter": f"{hub:.2f} mm", "hub_material": material})
    assert outcomes(found, "hub/wall-over-keyway") == [outcome]


def test_both_sides_of_the_shear_limit() -> None:
    # source: Mott: 0.5 of yield over 3; with 300 MPa taken, 50 MPa; tau = 2T/(D W L) on 28 mm, 8 x 40: 224 N.m gives 50 MPa
    for torque, outcome in (("224 N.m", "accept"), ("224.1 N.m", "reject")):
        found = iec(
            "100L", pulley={"hub_length": "40 mm", "hub_material": "steel"}, torque=torque, starting_torque=torque
        )
        assert outcomes(found, "key/shear-limit")[0] == outcome


def test_both_sides_of_the_keyway_agreement() -> None:
    for width, outcome in (
        ("7.944 mm", "caution"),
        ("7.945 mm", "accept"),
        ("8.15 mm", "accept"),
        ("8.151 mm", "reject"),
    ):
        found = iec("100L", pulley={"bore": "28.01 mm", "keyway_width": width})
        assert outcomes(found, "key/width-agreement") == [outcome], width


def test_a_wide_keyway_in_a_hub_that_is_bored_anyway_is_a_caution() -> None:
    found = iec("100L", pulley={"bore": "25 mm", "keyway_width": "10 mm"})
    assert outcomes(found, "key/width-agreement") == ["caution"]


def test_the_set_screw_thread_warns_below_its_limit() -> None:
    # source: common practice, stated as such: one screw diameter of thread in cast iron; M8 on a 28 mm shaft
    for wall, outcome in ((7.99, "caution"), (8.0, "accept")):
        found = iec("100L", pulley={"hub_diameter": f"{2 * (17.3 + wall):.2f} mm"})
        assert outcomes(found, "hub/screw-thread") == [outcome]


def test_what_an_inch_pulley_may_carry() -> None:
    nema = {"standard": "nema", "frame": "143T"}
    wide = answer(
        new_motor=nema,
        pulley={"bore": "0.875 in", "keyway_width": "0.1875 in", "extra_width": "0.1 mm", "hub_length": "1 in"},
    )
    assert outcomes(wide, "key/metric-fit-classes") == ["caution"]
    american = answer(new_motor=nema, pulley={"bore": "0.875 in", "key_system": "asme-b17"})
    assert american["outcome"] == "accept"
    far = answer(new_motor=nema, pulley={"bore": "2 in"})
    assert outcomes(far, "key/system-conflict") == []
    beyond = answer(new_motor=nema, pulley={"bore": "2 in", "key_system": "bs-46"})
    assert "pulley_keyway_width" not in beyond["values"]


def test_an_inch_shaft_outside_the_key_table_is_refused() -> None:
    with pytest.raises(Invalid) as caught:
        answer(new_motor={"standard": "nema", "frame": "215T", "shaft_diameter": "3 in"})
    assert caught.value.faults[0].pointer == "/new_motor/shaft_diameter"


def test_a_measured_inch_shaft_has_no_tabulated_keyseat() -> None:
    found = answer(new_motor={"standard": "nema", "frame": "48", "shaft_diameter": "0.625 in"}, torque="2 N.m")
    assert found["values"]["key_length"]["value"] == pytest.approx(0.9375 * 25.4, rel=1e-5)  # 1.5 shafts
    assert found["values"]["key_width"]["value"] == pytest.approx(4.7625)


def test_a_metric_key_in_a_british_keyway_that_is_deep_enough_is_no_fault() -> None:
    # source: BS 46-1: at 5/16 in the hub keyway is .060 in (1.52 mm) deep or more; DIN 6885-1: 10 mm shaft, 3 x 3, stands 1.2 mm
    found = answer(
        new_motor={"standard": "iec", "frame": "56", "shaft_diameter": "10 mm"},
        pulley={"bore": "10 mm", "key_system": "bs-46"},
    )
    assert outcomes(found, "key/bs-46-square") == ["reject"]  # 1/8 in is 0.175 mm wider than 3 mm
    shallow = answer(
        new_motor={"standard": "iec", "frame": "56", "shaft_diameter": "24 mm"},
        pulley={"bore": "24 mm", "key_system": "asme-b17"},
    )
    assert outcomes(shallow, "key/asme-parallel") == ["caution"]  # 1/4 in is narrower than 8 mm


def test_a_chosen_shaft_class_is_taken_as_given() -> None:
    found = answer(new_motor={"standard": "iec", "frame": "100L", "shaft_tolerance": "h6"}, pulley={"bore": "28 mm"})
    assert found["values"]["interference_maximum"]["value"] == 0
    assert found["values"]["clearance_maximum"]["value"] == 34
    assert "new_motor.shaft_tolerance" not in [entry["field"] for entry in found["assumptions"]]


def test_a_hub_longer_than_the_shaft_end() -> None:
    found = iec("90L", pulley={"hub_length": "60 mm"}, torque="10 N.m")
    assert found["values"]["key_length"]["value"] == 50
    assert any("longer than the shaft end" in finding["because"] for finding in found["findings"])
    assert any("Face the hub back to 50 mm" in step for step in found["next_steps"])
    assert outcomes(found, "frame/belt-line") == ["caution"]
    assert outcomes(found, "key/length-cap") == ["caution"]


def test_a_large_shaft_has_no_tabulated_set_screw_or_thread() -> None:
    found = answer(new_motor={"standard": "iec", "frame": "180L", "shaft_diameter": "100 mm"}, pulley={"bore": "90 mm"})
    assert not {"set_screw", "centre_thread", "puller_thread"} & set(found["values"])


def test_sheave_table_ends() -> None:
    strong = answer(
        new_motor={"standard": "nema", "frame": "215T", "power": "20 hp", "speed": "1750 r/min"},
        belt={"pulley_diameter": "5 in"},
    )
    assert outcomes(strong, "belt/nema-least-sheave") == []
    blank = answer(
        new_motor={"standard": "nema", "frame": "56", "power": "0.5 hp", "speed": "3450 r/min"},
        belt={"pulley_diameter": "2 in"},
    )
    assert outcomes(blank, "belt/nema-least-sheave") == []


def test_a_wedge_belt_has_no_exceptional_pulley() -> None:
    for diameter, outcome in (("90 mm", "accept"), ("89.9 mm", "reject")):
        found = iec("100L", belt={"section": "spa", "pulley_diameter": diameter})
        assert outcomes(found, "belt/section-limits") == [outcome]


def test_feet_without_shaft_sizes_still_ask_for_holes() -> None:
    found = iec("100L", old_motor={"feet": {"across": "150 mm", "along": "140 mm"}})
    assert found["values"]["base"] == "new-holes"
    assert found["values"]["hole_positions"][0]["motor"] == "new"


def test_hole_positions_stand_behind_the_shaft_end() -> None:
    found = iec("100L", old_motor={"standard": "iec", "frame": "90L"})
    rows = {(row["motor"], row["hole"]): row for row in found["values"]["hole_positions"]}
    assert len(rows) == 8
    assert rows["new", "front left"]["from_shaft_end"]["value"] == 123
    assert rows["new", "rear right"]["across"]["value"] == 80
    assert rows["old", "rear left"]["from_shaft_end"]["value"] == 56 + 50 + 125


@settings(max_examples=30, deadline=None)
@given(hub=st.floats(40.0, 200.0), more=st.floats(0.5, 50.0))
def test_a_larger_hub_never_leaves_less_metal_or_a_worse_outcome(hub: float, more: float) -> None:
    rank = ["accept", "caution", "reject"]
    small, large = (iec("100L", pulley={"hub_diameter": f"{size:.3f} mm"}) for size in (hub, hub + more))
    assert large["values"]["wall_over_keyway"]["value"] > small["values"]["wall_over_keyway"]["value"]
    first, second = (rank.index(outcomes(found, "hub/wall-over-keyway")[0]) for found in (small, large))
    assert second <= first


@settings(max_examples=30, deadline=None)
@given(torque=st.floats(0.5, 200.0), length=st.floats(6.0, 55.0))
def test_stress_rises_with_torque_and_falls_with_length(torque: float, length: float) -> None:
    def shear(load: float, hub: float) -> float:
        found = iec("100L", torque=f"{load:.3f} N.m", pulley={"hub_length": f"{hub:.3f} mm"})
        return float(found["values"]["key_shear_stress"]["value"])

    assert shear(torque * 1.1, length) > shear(torque, length) > shear(torque, length * 1.05)


def test_rules_that_hold_no_row_are_a_fault_of_the_program() -> None:
    sheet: Sheet = QUESTION.sheet(workshop().view(QUESTION.rules))
    with pytest.raises(KeyError, match="no row"):
        row_of(sheet, "hub/wall-over-keyway", material="wood")
    with pytest.raises(KeyError, match="no row"):
        tolerance_row(sheet, "fit/tolerance-grades", Quantity.of(500, "mm"))
