"""The bridge against an independent circuit simulator: stored results, and the netlists run again where it is installed.

Source of every expected value: ngspice 39 (https://ngspice.sourceforge.io), netlists beside the results in
``rectifier/``. Its diodes drop about 0.1 V and have a little leakage, which the comparison allows for.
"""

from __future__ import annotations

import json
import math
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from millphase.physics.rectifier import Circuit, NoSteadyStateError, SteadyState, steady_state

NETLISTS = Path(__file__).parent / "rectifier"
STORED = json.loads((NETLISTS / "results.json").read_text("utf-8"))
OVERLOAD = "without-steady-state"
CASES = sorted(path.stem for path in NETLISTS.glob("*.cir") if path.stem != OVERLOAD)
MAIN_VALUES, DISTORTION = 0.015, 0.03


def _settled(case: str) -> SteadyState:
    comments = [line for line in (NETLISTS / f"{case}.cir").read_text("utf-8").splitlines() if line.startswith("*")]
    parameters = re.findall(r"(\w+)=(\S+)", " ".join(comments))
    return steady_state(Circuit(**{name: float(value) for name, value in parameters}))


def _measured(output: str) -> dict[str, float]:
    found = {
        name: float(value) for name, value in re.findall(r"^(rms|peak|dc|low|high|direct)\s+=\s+(\S+)", output, re.M)
    }
    percent, crest = re.search(r"THD: (\S+) %", output), re.search(r"^ 1\s+\S+\s+(\S+)", output, re.M)
    assert percent
    assert crest
    return {**found, "distortion": float(percent[1]) / 100, "fundamental": float(crest[1]) / math.sqrt(2)}


def _run(simulator: str, case: str) -> dict[str, float]:
    done = subprocess.run([simulator, "-b", NETLISTS / f"{case}.cir"], capture_output=True, text=True, timeout=120)
    return _measured(done.stdout + done.stderr)


def test_there_are_cases_from_a_quarter_to_four_kilowatts_at_both_frequencies() -> None:
    assert sorted(STORED["results"]) == CASES
    assert len(CASES) >= 12


@pytest.mark.parametrize("case", CASES)
def test_agrees_with_the_stored_result(case: str) -> None:
    ours, theirs = _settled(case), STORED["results"][case]
    assert ours.current_a == pytest.approx(theirs["rms"], rel=MAIN_VALUES)
    assert ours.peak_current_a == pytest.approx(theirs["peak"], rel=MAIN_VALUES)
    assert ours.dc_voltage_v == pytest.approx(theirs["dc"], rel=MAIN_VALUES)
    assert ours.dc_least_v == pytest.approx(theirs["low"], rel=MAIN_VALUES)
    assert ours.dc_greatest_v == pytest.approx(theirs["high"], rel=MAIN_VALUES)
    assert ours.fundamental_a == pytest.approx(theirs["fundamental"], rel=MAIN_VALUES)
    assert ours.distortion == pytest.approx(theirs["distortion"], rel=DISTORTION)
    assert ours.direct_a == pytest.approx(theirs.get("direct", 0.0), rel=MAIN_VALUES)


@pytest.mark.skipif(shutil.which("ngspice") is None, reason="the circuit simulator is not installed")
@pytest.mark.parametrize("case", CASES)
def test_the_stored_result_is_what_the_simulator_gives(case: str) -> None:
    simulator = shutil.which("ngspice")
    assert simulator
    assert _run(simulator, case) == pytest.approx(STORED["results"][case], rel=5e-3)


def test_what_has_no_steady_state_here_collapses_there() -> None:
    # The netlist's load stops being one of constant power at 20 V: the simulator's link falls to where it draws less.
    with pytest.raises(NoSteadyStateError):
        _settled(OVERLOAD)
    simulator = shutil.which("ngspice")
    if simulator is not None:
        assert _run(simulator, OVERLOAD)["high"] < 0.5 * math.sqrt(2) * 230
