"""Voltage drop against an independent power-flow library on a feeder of two buses."""

from __future__ import annotations

import math

import numpy as np
import pytest
from power_grid_model import LoadGenType, PowerGridModel, initialize_array

from millphase.physics import conductor
from millphase.questions.base import ask
from millphase.rulebook import workshop


def power_flow_drop(line_voltage: float, resistance: float, reactance: float, current: float) -> float:
    """Line-to-line drop [V] of a three-phase feeder whose load has the impedance angle of the cable, the worst there is."""
    node = initialize_array("input", "node", 2)
    node["id"], node["u_rated"] = [1, 2], line_voltage
    line = initialize_array("input", "line", 1)
    for name, value in {
        "id": 3, "from_node": 1, "to_node": 2, "from_status": 1, "to_status": 1, "r1": resistance, "x1": reactance, "c1": 0,
        "tan1": 0, "i_n": 1000,
    }.items():  # fmt: skip
        line[name] = value
    angle = math.atan2(reactance, resistance)
    apparent = math.sqrt(3) * line_voltage * current
    load = initialize_array("input", "sym_load", 1)
    for name, value in {
        "id": 4, "node": 2, "status": 1, "type": LoadGenType.const_current, "p_specified": apparent * math.cos(angle),
        "q_specified": apparent * math.sin(angle),
    }.items():  # fmt: skip
        load[name] = value
    source = initialize_array("input", "source", 1)
    for name, value in {"id": 5, "node": 1, "status": 1, "u_ref": 1.0, "sk": 1e15}.items():
        source[name] = value
    model = PowerGridModel({"node": node, "line": line, "sym_load": load, "source": source}, system_frequency=50.0)
    voltage = model.calculate_power_flow(symmetric=True, error_tolerance=1e-12, max_iterations=50)["node"]["u"]
    return float(np.asarray(voltage).ravel()[0] - np.asarray(voltage).ravel()[1])


@pytest.mark.parametrize(
    ("current", "length", "resistance", "reactance"),
    [(16, 30, 0.0145, 0.00008), (32, 55, 0.0059, 0.00008), (63, 80, 0.00147, 0.00008), (100, 150, 0.00067, 0.00008)],
)
def test_three_phase_drop(current: float, length: float, resistance: float, reactance: float) -> None:
    impedance = conductor.impedance_per_length(resistance, reactance)
    ours = conductor.voltage_drop_three_wire(current, length, impedance)
    assert ours == pytest.approx(power_flow_drop(400, resistance * length, reactance * length, current), rel=1e-6)


def test_single_phase_drop_counts_both_wires() -> None:
    # One phase of a balanced feeder with twice the impedance is the same loop as line and neutral out and back.
    impedance = conductor.impedance_per_length(0.00945, 0.00008)
    ours = conductor.voltage_drop_two_wire(22, 25, impedance)
    feeder = power_flow_drop(230 * math.sqrt(3), 2 * 0.00945 * 25, 2 * 0.00008 * 25, 22) / math.sqrt(3)
    assert ours == pytest.approx(feeder, rel=1e-6)


def test_the_answer_agrees_with_the_power_flow() -> None:
    request = {
        "design_current": "41 A", "phases": 3, "voltage": "400 V", "length": "64 m", "installation_method": "e",
        "cable": "multicore", "insulation": "xlpe-90", "earthing": "tn-s", "external_loop_impedance": "0.2 ohm",
        "cross_section": "10 mm2",
    }  # fmt: skip
    drop = ask("cable-sizing", request, workshop()).quantity("voltage_drop")
    assert drop is not None
    # 1.83 ohm/km at 20 °C (IEC 60228), conductors at 90 °C
    resistance = 1.83e-3 * 64 * (234.5 + 90) / 254.5
    assert drop.si == pytest.approx(power_flow_drop(400, resistance, 0.08e-3 * 64, 41), rel=1e-6)
