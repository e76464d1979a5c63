"""A second, independent judgement of one reading of a whole winding: accept exactly when every condition holds."""

from __future__ import annotations

import math
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from millphase.answer import Outcome
from millphase.questions.base import ask
from millphase.rulebook import workshop

# IEEE 43 (through makers' instructions): least megohms at 40 °C and test voltages; IEC 60204-1 18.3: floor.
TESTED_AT = [(1000, 500, 1000), (2500, 500, 1000), (5000, 1000, 2500), (12000, 2500, 5000), (15000, 5000, 10000)]


def least(volts: int, winding: str, year: int) -> float:
    if winding == "field" or year < 1970:
        return 1 + volts / 1000
    # "Random-wound and form-wound below 1 kV": 5; every other alternating-current winding 100.
    return 100.0 if winding != "armature" and volts >= 1000 else 5.0


def at_40c(megohm: float, celsius: float, system: str) -> float:
    celsius = min(celsius, 85.0)
    halving = megohm * 2 ** ((celsius - 40) / 10)
    if system == "thermoplastic" or celsius < 10:
        return halving
    energy = 4230 if celsius > 40 else 1245
    return min(halving, megohm * math.exp(-energy * (1 / (celsius + 273) - 1 / 313)))


def expected(case: dict[str, Any]) -> str:
    if not case["drive_off"]:
        return "inconclusive"
    dew = case["dew"]
    if dew is not None and case["celsius"] - dew < 0.1:
        return "inconclusive"
    bound = at_40c(case["megohm"], case["celsius"], case["system"])
    need = least(case["volts"], case["winding"], case["year"])
    if case["megohm"] < 1:
        return "inconclusive" if case["over_range"] else "reject"
    enough, most = next((low, high) for rated, low, high in TESTED_AT if case["volts"] <= rated)
    if case["tested_at"] < enough or case["after"] != 60 or (bound < need and case["over_range"]):
        return "inconclusive"
    if bound < need or (dew is not None and case["celsius"] - dew < 3) or case["tested_at"] > most:
        return "caution"
    close = bound * (1 - case["accuracy"]) < need or case["megohm"] * (1 - case["accuracy"]) < 1
    return "caution" if close else "accept"


cases = st.fixed_dictionaries(
    {
        "volts": st.sampled_from([230, 400, 690, 1500, 3300, 6600]),
        "winding": st.sampled_from(["random-wound", "form-wound", "field", "armature"]),
        "year": st.sampled_from([1955, 1969, 1970, 1998]),
        "system": st.sampled_from(["thermoplastic", "thermosetting", "unknown"]),
        "megohm": st.floats(min_value=0.05, max_value=2000.0).map(lambda value: float(f"{value:.3g}")),
        "celsius": st.integers(min_value=-15, max_value=110),
        "tested_at": st.sampled_from([250, 500, 1000, 2500, 5000]),
        "after": st.sampled_from([30, 60, 60, 60]),
        "over_range": st.booleans(),
        "drive_off": st.sampled_from([True, True, True, False]),
        "accuracy": st.sampled_from([0.0, 0.05, 0.3]),
        "dew": st.sampled_from([None, None, 14.5]),
    }
)


@settings(max_examples=200, deadline=None)
@given(cases)
def test_outcome_of_one_whole_winding(case: dict[str, Any]) -> None:
    reading: dict[str, Any] = {
        "between": "UVW-earth", "resistance": f"{case['megohm']:.6f} Mohm", "over_range": case["over_range"],
        "test_voltage": f"{case['tested_at']} V", "after": f"{case['after']} s",
        "winding_temperature": f"{case['celsius']} degC",
    }  # fmt: skip
    if case["accuracy"]:
        reading["measurement_accuracy"] = {"relative": f"{case['accuracy'] * 100:.0f} %"}
    request: dict[str, Any] = {
        "rated_voltage": f"{case['volts']} V", "winding": case["winding"], "manufactured": case["year"],
        "insulation_system": case["system"], "drive_disconnected": case["drive_off"], "readings": [reading],
    }  # fmt: skip
    if case["dew"] is not None:
        # 18 °C and 80 % have a dew point of 14.50 °C (psychrometric chart).
        request["air"] = {"temperature": "18 degC", "relative_humidity": "80 %"}
    outcome = ask("insulation-acceptance", request, workshop()).outcome
    assert outcome.word == expected(case), case
    assert outcome is not Outcome.ACCEPT or case["drive_off"]
