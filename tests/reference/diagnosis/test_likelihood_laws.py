"""What holds for the likelihoods of the search for a fault whatever their figures: the figures are judgement, these are not.

Sources: the law of total probability (what must end in one of several ways ends in exactly one of them), and the order of
the search, which is the trade's: connect one thing at a time, so what is not connected yet cannot show, and whatever is
added only adds leakage.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from millphase.rulebook import workshop

STEPS = ["drive-without-cable", "drive-and-cable", "drive-cable-and-motor", "running"]
SUSPECTS = [
    "rcd", "neutral_earth_fault", "other_loads", "drive_filter", "cable_capacitance", "cable_insulation", "motor_winding",
    "damp", "wrong_rcd_type", "switch_on_transient",
]  # fmt: skip
# What each step has connected, or what can show without any of it: the fixed wiring, the RCD, water wherever it stands.
ANYWHERE = {"rcd", "neutral_earth_fault", "damp"}
BEHIND_THE_DRIVE = {"cable_insulation", "motor_winding"}
OF_THE_DRIVE = {"drive_filter", "cable_capacitance", *BEHIND_THE_DRIVE}


def _table(rule: str, *keys: str) -> dict[str, dict[str, float]]:
    """Likelihood by row and suspect; a row of two keys is named by both."""
    data = workshop().rules[f"diagnosis/{rule}"].data
    names = [column["name"] for column in data["columns"]]
    rows = [dict(zip(names, row, strict=True)) for row in data["rows"]]
    return {" ".join(row[key] for key in keys): {name: row[name] for name in SUSPECTS} for row in rows}


EXHAUSTIVE = [
    ("ramp-low", "ramp-weak", "ramp-healthy", "ramp-high"),
    ("type-unsuited", "type-tolerated", "type-suited"),
    ("undelayed", "delayed"),
    ("sum-trips", "sum-holds"),
]
READINGS = ("trips-alone", "adds", "cannot")


@pytest.mark.parametrize("suspect", SUSPECTS)
def test_what_is_exhaustive_adds_up_to_certainty(suspect: str) -> None:
    readings = _table("insulation-likelihood", "part", "reading")
    for part in ("motor", "cable", "motor-and-cable", "fixed-wiring"):
        assert sum(readings[f"{part} {reading}"][suspect] for reading in READINGS) == pytest.approx(1), part
    facts = _table("rcd-likelihood", "fact") | _table("measured-likelihood", "fact")
    for ways in EXHAUSTIVE:
        assert sum(facts[way][suspect] for way in ways) == pytest.approx(1), ways


def test_it_adds_up_for_leakages_that_add_up_too() -> None:
    rows = workshop().rules["diagnosis/cumulative-likelihood"].data["rows"]
    shares = {entry: share for evidence, entry, share in rows if not evidence.startswith(("trip", "raised"))}
    for ways in (*EXHAUSTIVE, READINGS):
        assert sum(shares[way] for way in ways) == pytest.approx(1), ways


def test_a_fact_about_the_rcd_does_not_tell_faults_of_other_things_apart() -> None:
    elsewhere = sorted({"other_loads", "damp"} | OF_THE_DRIVE)
    for fact, likelihood in _table("rcd-likelihood", "fact").items():
        assert len({likelihood[suspect] for suspect in elsewhere}) == 1, fact


def test_a_reading_does_not_tell_apart_what_it_says_nothing_about() -> None:
    """A sound part reads alike whichever other thing is at fault, and a faulty one alike alone or together."""
    about = {
        "motor": {"motor_winding"},
        "cable": {"cable_insulation"},
        "motor-and-cable": BEHIND_THE_DRIVE,
        "fixed-wiring": {"neutral_earth_fault"},
    }
    for row, likelihood in _table("insulation-likelihood", "part", "reading").items():
        part = row.split()[0]
        silent = [suspect for suspect in SUSPECTS if suspect not in about[part] | {"damp"}]
        assert len({likelihood[suspect] for suspect in silent}) == 1, row
        assert len({likelihood[suspect] for suspect in about[part]}) == 1, row


@pytest.mark.parametrize("rule", ["trip-likelihood", "raised-likelihood"])
def test_what_is_not_connected_does_not_show(rule: str) -> None:
    """Its likelihood is that of a chance event, the same for everything that is not connected at a step."""
    table = _table(rule, "step")
    absent = {
        "everything-off": set(SUSPECTS) - ANYWHERE,
        "loads-without-drive": OF_THE_DRIVE,
        "drive-without-cable": BEHIND_THE_DRIVE,
    }
    for step, suspects in absent.items():
        assert len({table[step][suspect] for suspect in suspects}) == 1, step
        connected = min(table[step][suspect] for suspect in SUSPECTS if suspect not in suspects)
        assert table[step][next(iter(suspects))] <= connected, step
    assert len({table[step]["other_loads"] for step in STEPS[:3]}) == 1
    for step in STEPS[:3]:
        assert table[step]["other_loads"] < table["loads-without-drive"]["other_loads"], step


@pytest.mark.parametrize("rule", ["trip-likelihood", "raised-likelihood"])
def test_connecting_more_never_takes_leakage_away(rule: str) -> None:
    table = _table(rule, "step")
    for suspect in set(SUSPECTS) - {"switch_on_transient"}:
        for before, after in pairwise(STEPS):
            assert table[before][suspect] <= table[after][suspect], (suspect, after)
    for suspect in ("rcd", "neutral_earth_fault"):
        # The fixed wiring does not change while only the drive's side is built up, motor standing.
        assert len({table[step][suspect] for step in STEPS[:3]}) == 1, suspect
        assert table["everything-off"][suspect] < table["loads-without-drive"][suspect], suspect
    for step in STEPS[2:]:
        assert table[step]["cable_insulation"] >= table[STEPS[1]]["cable_insulation"]
    assert table["drive-and-cable"]["cable_insulation"] == table["drive-cable-and-motor"]["cable_insulation"]
    assert table["running"]["cable_insulation"] == table["running"]["motor_winding"]


def test_a_transient_comes_with_switching_and_leaves_no_standing_current() -> None:
    """The filter charges whenever the drive is switched on, whatever hangs on its output; a clamp on standing current, read at
    leisure, shows neither that nor which type the RCD is."""
    trips, raised = _table("trip-likelihood", "step"), _table("raised-likelihood", "step")
    assert len({trips[step]["switch_on_transient"] for step in STEPS[:3]}) == 1
    assert trips["running"]["switch_on_transient"] < trips[STEPS[0]]["switch_on_transient"]
    assert len({raised[step]["switch_on_transient"] for step in STEPS}) == 1
    for step in ("everything-off", "loads-without-drive"):
        unseen = {"wrong_rcd_type", "switch_on_transient", "cable_capacitance"}
        assert len({raised[step][suspect] for suspect in unseen}) == 1, step


def test_each_circumstance_speaks_most_for_what_the_trade_says() -> None:
    """At switch-on: the filter charging. While running and at some speeds: what the carrier makes, and an RCD that sees it
    wrongly. In damp weather: damp. Under heavy load: a borrowed neutral, whose current grows with it. At random: the RCD.

    Sources: a drive maker's instructions (influences on leakage; trips at switch-on), a chapter on crossed neutrals, a page
    on trips in wet weather; as cited in the rule.
    """
    table = _table("circumstance-likelihood", "circumstance")
    most = {name: max(likelihood, key=lambda suspect: likelihood[suspect]) for name, likelihood in table.items()}
    assert most == {
        "at-switch-on": "switch_on_transient", "while-running": "cable_capacitance", "at-some-speeds": "wrong_rcd_type",
        "in-damp-weather": "damp", "under-heavy-load": "neutral_earth_fault", "at-random": "rcd",
    }  # fmt: skip
    for circumstance, likelihood in table.items():
        if circumstance not in ("in-damp-weather", "under-heavy-load"):
            assert likelihood["cable_insulation"] == likelihood["motor_winding"], circumstance
