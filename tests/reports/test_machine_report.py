"""The report of a machine: what stands on it, and that nothing stored or withdrawn is left out."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import pytest

from millphase.questions import _upkeep as upkeep
from millphase.records.machines import Machine
from millphase.records.readings import Reading
from millphase.reports.machine_report import Report, report
from millphase.rulebook import Rulebook, workshop

NOW = datetime(2026, 11, 25, 12, tzinfo=UTC)
TEST = {
    "between": "UVW-earth", "resistance": "85 Mohm", "test_voltage": "500 V", "instrument": "insulation-tester",
    "after": "60 s", "winding_temperature": "20 degC",
}  # fmt: skip


def machine(**body: Any) -> Machine:
    plate = {"rated_voltage": "400 V", "name": "shaper", "place": "north wall", **body}
    return Machine(1, "m", "w", plate, "", "", 1, 0)


def reading(body: dict[str, Any], withdrawn: tuple[str, str] | None = None) -> Reading:
    return Reading(1, "r", "m", "2026-11-01T08:00:00Z", body, "", withdrawn, 1)


def made(
    body: dict[str, Any], withdrawn: tuple[str, str] | None = None, book: Rulebook | None = None, **plate: Any
) -> Report:
    tests = [{**body, "at": "2026-11-01T08:00:00Z"}] if upkeep.tests_winding(body) and withdrawn is None else []
    return report(machine(**plate), tests, [reading(body, withdrawn)], NOW, book or workshop())


def test_the_plate_comes_first_things_first() -> None:
    plate = {
        "leads": 6,
        "stands_idle": True,
        "nameplate": {"delta_voltage": "230 V", "built_for_drive": False},
        "manufactured": 1987,
    }
    assert made({}, **plate).plate == [
        ("Place", "north wall"), ("Rated voltage", "400 V"), ("Manufactured", "1987"), ("Leads", "6"), ("Stands idle", "yes"),
        ("Nameplate: delta voltage", "230 V"), ("Nameplate: built for drive", "no"),
    ]  # fmt: skip


@pytest.mark.parametrize(("body", "words"), [
    ({"insulation": [TEST]}, "Insulation UVW-earth: 85 Mohm (500 V, 60 s, 20 °C, insulation-tester)"),
    ({"insulation": [{"between": "U-earth", "resistance": "2 Gohm", "over_range": True}]}, "Insulation U-earth: more than 2 Gohm"),
    ({"winding_balance": {"connection": "star", "resistances": {"U-V": "7.4 ohm", "V-W": "7.5 ohm"}}},
     "Winding, star: U-V 7.4 ohm, V-W 7.5 ohm"),
    ({"residual_current": "4.2 mA"}, "Residual current 4.2 mA"),
    ({"winding_temperature": "88 degF"}, "Winding temperature 88 °F"),
    ({"air": {"temperature": "-3 degC", "relative_humidity": "90 %"}}, "Air -3 °C, 90 %"),
    ({"residual_current": "4.2 mA", "note": "clamp at the board"}, "clamp at the board"),
])  # fmt: skip
def test_what_was_measured_is_told_in_words(body: dict[str, Any], words: str) -> None:
    (line,) = made(body).readings
    assert words in line.told
    assert line.at == "2026-11-01 08:00:00 UTC"


def test_a_withdrawn_reading_stays_with_its_reason() -> None:
    found = made({"insulation": [TEST]}, ("2026-11-02T09:00:00.000000Z", "wrong motor"))
    assert found.readings[0].withdrawn == "Withdrawn 2026-11-02: wrong motor"
    assert found.readings[0].told
    assert found.drawing == ""
    assert found.status["outcome"] == "inconclusive"


def test_the_drawing_and_the_cautions_belong_to_the_judgement() -> None:
    found = made({"insulation": [TEST], "drive_disconnected": True})
    assert found.drawing.startswith("<svg")
    assert any("lock it off" in caution for caution in found.cautions)
    assert any("discharge" in caution.lower() or "holds a dangerous charge" in caution for caution in found.cautions)
    assert found.next_steps


def _with(rule: str, **change: Any) -> Rulebook:
    pack = workshop().pack
    rules = {**pack["rules"], rule: {**pack["rules"][rule], **change}}
    return Rulebook({**pack, "rules": rules}, digest="sha256:" + "0" * 64)


def test_rules_that_changed_leave_a_page_that_says_so() -> None:
    meter = {"between": "UVW-earth", "resistance": "9 Mohm", "instrument": "multimeter", "test_voltage": "9 V"}
    found = made({"insulation": [meter]}, book=_with("insulation/ohmmeter-voltage", value="5 V"))
    assert "contradict each other" in found.status["summary"]
    assert found.cautions
    without = made({"insulation": [TEST]}, book=_with("insulation/halving-step", withdrawn="for this test"))
    assert without.drawing == ""
    assert without.status["outcome"] == "inconclusive"


def test_a_loosened_interval_is_told() -> None:
    changed = {"change": "loosen", "by": "barn club 1.0.0", "was": "365 d", "reason": "used on Sundays only"}
    found = made({"insulation": [TEST]}, book=_with("insulation/retest-ordinary", value="730 d", changed=changed))
    assert any("used on Sundays only" in caution for caution in found.cautions)
