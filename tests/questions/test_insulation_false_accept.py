"""What an accept must rest on, whatever set of readings it was given for."""

from __future__ import annotations

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from millphase.answer import Outcome
from millphase.questions.base import Invalid, ask
from millphase.rulebook import workshop

MOTOR, WIRING = ("motor", "motor-and-cable"), ("cable", "fixed-wiring")
SINGLES, CORES = {"U-earth", "V-earth", "W-earth"}, {"L-earth", "N-earth"}
JOINED = {"UVW-earth", "conductors-earth"}


def mostly(good: Any, *other: Any) -> st.SearchStrategy[Any]:
    """The value of a valid test in most draws, otherwise something that spoils it; None leaves it out."""
    return st.integers(0, 24).flatmap(lambda n: st.just(good) if n else st.sampled_from(other))


readings = st.lists(
    st.fixed_dictionaries(
        {
            "between": st.sampled_from(["UVW-earth", *sorted(SINGLES), "conductors-earth", *sorted(CORES)]),
            "resistance": mostly("90 Mohm", "0.9 Mohm", "4 Mohm", "5 Gohm"),
            "under_test": mostly("motor", "motor-and-cable", *WIRING),
            "test_voltage": mostly("500 V", "250 V", "2500 V", None),
            "instrument": mostly("insulation-tester", None),
            "after": mostly("60 s", "30 s", "600 s", None),
            "winding_temperature": mostly("20 degC", "12 degC", "16 degC", None),
            "over_range": mostly(None, True),
            "measurement_accuracy": mostly(None, {"absolute": "100 Mohm"}),
        }
    ).map(lambda reading: {name: value for name, value in reading.items() if value is not None}),
    min_size=1,
    max_size=4,
)
requests = st.fixed_dictionaries(
    {
        "readings": readings, "drive_disconnected": mostly(True, False, None),
        "links": st.sampled_from(["fitted", "removed", None]),
        # 18 °C and 80 % have a dew point of 14.5 °C (psychrometric chart), so a winding is dry from 17.5 °C.
        "air": st.sampled_from([None, {"temperature": "18 degC", "relative_humidity": "80 %"}]),
    }
).map(lambda request: {name: value for name, value in request.items() if value is not None})  # fmt: skip


@settings(max_examples=800, deadline=None)
@given(requests)
def test_an_accept_rests_on_a_whole_and_valid_test(request: dict[str, Any]) -> None:
    try:
        answer = ask("insulation-acceptance", {"rated_voltage": "400 V", "manufactured": 1998} | request, workshop())
    except Invalid:
        return
    if answer.outcome is not Outcome.ACCEPT:
        return
    assert request.get("drive_disconnected") is True
    # "More than 0.9 Mohm" after 30 s is no more than the start of a rise; 0.9 Mohm is below the floor whenever it was read.
    assert all(
        reading["resistance"] != "0.9 Mohm" or (reading.get("over_range") and reading.get("after") == "30 s")
        for reading in request["readings"]
    )
    motor = [reading for reading in request["readings"] if reading["under_test"] in MOTOR]
    if motor:
        check_motor(motor, request)
    for part in WIRING:
        check_wiring([reading for reading in request["readings"] if reading["under_test"] == part])


def check_motor(readings: list[dict[str, Any]], request: dict[str, Any]) -> None:
    """IEEE 43: the whole winding, one minute, 500 to 1000 V, dry, and 5 Mohm at 40 °C by halving every 10 K."""
    minute = [reading for reading in readings if reading.get("after") == "60 s"]
    points = {reading["between"] for reading in minute}
    assert points & JOINED or points >= SINGLES or (request.get("links") == "fitted" and points & SINGLES)
    for reading in minute:
        assert reading.get("test_voltage") == "500 V"
        assert reading["resistance"] != "4 Mohm"
        assert "winding_temperature" in reading or reading["resistance"] == "5 Gohm"
        assert "measurement_accuracy" not in reading or reading["resistance"] == "5 Gohm"
        assert "air" not in request or reading.get("winding_temperature") == "20 degC"


def check_wiring(readings: list[dict[str, Any]]) -> None:
    """IEC 60364-6 6.4.3.3: every live conductor to earth at 500 V or more."""
    minute = [reading for reading in readings if reading.get("after") == "60 s"]
    points = {reading["between"] for reading in minute}
    assert not readings or points & JOINED or points >= SINGLES or points >= CORES
    assert all(reading.get("test_voltage") in ("500 V", "2500 V") for reading in minute)
