"""Run the netlist beside this file in a circuit simulator and reduce its waveform to a few figures."""

from __future__ import annotations

import math
import re
import subprocess
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

HERE = Path(__file__).parent
CONTROL = ".control\nrun\nwrdata residual.data i(Vearth)\nquit\n.endc\n.end\n"
Samples = list[tuple[float, float]]


def residual_current(fault_ohm: float, folder: Path) -> Samples:
    """Time [s] and residual current [A] over two supply periods.

    Raises
    ------
    subprocess.CalledProcessError
        When the simulator does not finish.
    """
    text = (HERE / "motor_fault.cir").read_text(encoding="utf-8")
    text = re.sub(r"(?m)^\.param fault=.*$", f".param fault={fault_ohm:g}", text)
    netlist = folder / "motor_fault.cir"
    netlist.write_text(text.replace(".end\n", CONTROL), encoding="utf-8")
    subprocess.run(["ngspice", "-b", netlist.name], check=True, capture_output=True, timeout=120, cwd=folder)
    rows = (folder / "residual.data").read_text(encoding="utf-8").splitlines()
    return [(float(row.split()[0]), float(row.split()[1])) for row in rows if row.strip()]


def figures(samples: Samples) -> dict[str, float]:
    """R.m.s. value, mean, supply-frequency and motor-frequency part [A] of unevenly spaced samples."""
    span = samples[-1][0] - samples[0][0]

    def average(of: Callable[[float, float], float]) -> float:
        pairs = pairwise(samples)
        return math.fsum((b[0] - a[0]) * (of(*a) + of(*b)) / 2 for a, b in pairs) / span

    def part(frequency_hz: float) -> float:
        turn = 2 * math.pi * frequency_hz
        cosine = average(lambda t, i: i * math.cos(turn * t))
        sine = average(lambda t, i: i * math.sin(turn * t))
        return math.sqrt(2) * math.hypot(cosine, sine)

    return {
        "total": math.sqrt(average(lambda _, i: i * i)),
        "mean": average(lambda _, i: i),
        "at_50_hz": part(50.0),
        "at_25_hz": part(25.0),
    }
