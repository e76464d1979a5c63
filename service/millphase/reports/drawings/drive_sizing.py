"""Supply voltage, DC link and supply current of a single-phase drive over one cycle."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from millphase.answer import Sheet
from millphase.physics import rectifier
from millphase.physics.rectifier import Circuit, NoSteadyStateError, SteadyState
from millphase.quantity import number_text
from millphase.questions._drive_circuit import doubles_voltage, is_single_phase, put_together
from millphase.questions._drive_plate import check_plate
from millphase.questions.base import View
from millphase.reports import svg

_WIDTH, _HEIGHT, _LEFT, _RIGHT = 860.0, 620.0, 80.0, 640.0
_SOURCE_SAMPLES = 120
_ROUND = (1.0, 2.0, 5.0, 10.0)

Point = tuple[float, float]


@dataclass(frozen=True)
class _Panel:
    """One chart: its place on the paper and the value at its upper edge; the lower edge has the same below zero."""

    top: float
    bottom: float
    highest: float
    cycle_s: float

    def at(self, time_s: float, value: float) -> Point:
        """Position on the paper."""
        middle = (self.top + self.bottom) / 2
        return (
            _LEFT + time_s / self.cycle_s * (_RIGHT - _LEFT),
            middle - value / self.highest * (self.bottom - self.top) / 2,
        )


def draw(request: dict[str, Any], book: View) -> str:
    """Draw the input side of one request to drive-sizing.

    Parameters
    ----------
    request : dict
        The checked request.
    book : View
        Rules, as the question itself uses them.

    Returns
    -------
    str
        The SVG document; it says why where there is nothing to draw.
    """
    if "supply" not in request or not is_single_phase(request):
        return _nothing("The picture needs a single-phase supply: add it to the request.")
    if doubles_voltage(book, request):
        return _nothing("The drive doubles the voltage of its DC link: what it takes is not worked out here.")
    sheet = Sheet("drive-sizing", book)
    apparent = check_plate(sheet, book, request["motor"])
    supplied, _ = put_together(sheet, book, request, apparent)
    try:
        settled = rectifier.steady_state(supplied.circuit)
    except NoSteadyStateError as fault:
        return _nothing(f"There is no steady state: {fault}.")
    return _picture(supplied.circuit, settled)


def _nothing(reason: str) -> str:
    title = "Input side of the drive"
    body = svg.text(30.0, 40.0, title, font_size=17, font_weight="bold") + svg.text(30.0, 75.0, reason)
    return svg.document(_WIDTH, 110.0, title, reason, body)


def _picture(circuit: Circuit, settled: SteadyState) -> str:
    cycle = 1 / circuit.frequency_hz
    crest = math.sqrt(2) * circuit.voltage_v
    voltages = _Panel(60.0, 320.0, 1.2 * max(crest, settled.dc_greatest_v), cycle)
    currents = _Panel(360.0, 560.0, 1.15 * settled.peak_current_a, cycle)
    title = (
        f"One cycle: {number_text(circuit.voltage_v)} V {number_text(circuit.frequency_hz)} Hz, "
        f"{number_text(settled.load_power_w, 3)} W into the drive"
    )
    body = svg.text(_LEFT, 30.0, title, font_size=17, font_weight="bold")
    body += _grid(voltages, "voltage in V", with_time=False) + _grid(currents, "supply current in A", with_time=True)
    body += _voltages(voltages, settled, crest) + _currents(currents, settled)
    return svg.document(_WIDTH, _HEIGHT, title, _described(settled), body)


def _tick(highest: float) -> float:
    """A round step that gives three to six lines between zero and `highest`."""
    decade = 10.0 ** math.floor(math.log10(highest / 3))
    return max(step * decade for step in _ROUND if 3 * step * decade <= highest)


def _grid(panel: _Panel, name: str, *, with_time: bool) -> str:
    body = ""
    step = _tick(panel.highest)
    for number in range(-int(panel.highest / step), int(panel.highest / step) + 1):
        x, y = panel.at(0.0, number * step)
        stroke = "black" if number == 0 else "#bbb"
        body += svg.line(x, y, _RIGHT, y, stroke=stroke)
        body += svg.text(x - 8.0, y + 4.0, number_text(number * step), text_anchor="end")
    for quarter in range(5):
        x, _ = panel.at(quarter * panel.cycle_s / 4, 0.0)
        body += svg.line(x, panel.top, x, panel.bottom, stroke="#bbb")
        if with_time:
            time = number_text(1000 * quarter * panel.cycle_s / 4, 3)
            body += svg.text(x, panel.bottom + 18.0, time, text_anchor="middle")
    if with_time:
        body += svg.text((_LEFT + _RIGHT) / 2, panel.bottom + 40.0, "time in ms", text_anchor="middle")
    middle = (panel.top + panel.bottom) / 2
    turned = f"rotate(-90 24 {svg.num(middle)})"
    return body + svg.text(24.0, middle, name, text_anchor="middle", transform=turned)


def _path(panel: _Panel, points: list[Point], **attributes: str | float) -> str:
    placed = [panel.at(*point) for point in points]
    data = "M " + " L ".join(f"{svg.num(x)} {svg.num(y)}" for x, y in placed)
    return svg.element("path", d=data, **{"fill": "none", "stroke": "black", **attributes})


def _sine(panel: _Panel, crest: float, angle: float) -> list[Point]:
    steps = range(_SOURCE_SAMPLES + 1)
    return [
        (panel.cycle_s * k / _SOURCE_SAMPLES, crest * math.sin(2 * math.pi * k / _SOURCE_SAMPLES + angle))
        for k in steps
    ]


def _key(y: float, name: str, detail: str, **attributes: str | float) -> str:
    x = _RIGHT + 20.0
    line = svg.line(x, y, x + 34.0, y, **{"stroke": "black", **attributes})
    return line + svg.text(x + 42.0, y + 4.0, name) + svg.text(x + 42.0, y + 20.0, detail, font_size=11)


def _voltages(panel: _Panel, settled: SteadyState, crest: float) -> str:
    source: dict[str, str | float] = {"stroke_width": 1, "stroke_dasharray": "2 3"}
    terminal: dict[str, str | float] = {"stroke_width": 1.2}
    link: dict[str, str | float] = {"stroke_width": 3}
    body = _path(panel, _sine(panel, crest, 0.0), **source)
    body += _path(panel, list(zip(settled.times_s, settled.terminal_voltages_v, strict=True)), **terminal)
    body += _path(panel, list(zip(settled.times_s, settled.dc_voltages_v, strict=True)), **link)
    top = panel.top + 14.0
    lost = crest - settled.terminal_crest_v
    body += _key(top, "supply, undisturbed", f"crest {number_text(crest, 3)} V", **source)
    word = "lower" if lost >= 0 else "higher"
    body += _key(top + 48.0, "at the drive", f"crest {number_text(abs(lost), 2)} V {word}", **terminal)
    mean, ripple = number_text(settled.dc_voltage_v, 3), number_text(settled.dc_ripple_v, 2)
    return body + _key(top + 96.0, "DC link", f"mean {mean} V, ripple {ripple} V", **link)


def _currents(panel: _Panel, settled: SteadyState) -> str:
    pulse: dict[str, str | float] = {"stroke_width": 2}
    first: dict[str, str | float] = {"stroke_width": 1, "stroke_dasharray": "9 4"}
    level: dict[str, str | float] = {"stroke_width": 1, "stroke_dasharray": "2 3"}
    angle = -math.copysign(math.acos(min(1.0, settled.displacement_factor)), settled.reactive_power_var)
    body = _path(panel, _sine(panel, math.sqrt(2) * settled.fundamental_a, angle), **first)
    body += _path(panel, list(zip(settled.times_s, settled.currents_a, strict=True)), **pulse)
    body += _path(panel, [(0.0, settled.current_a), (panel.cycle_s, settled.current_a)], **level)
    top = panel.top + 14.0
    body += _key(top, "supply current", f"peak {number_text(settled.peak_current_a, 3)} A", **pulse)
    body += _key(top + 48.0, "its fundamental", f"{number_text(settled.fundamental_a, 3)} A r.m.s.", **first)
    crest = number_text(settled.crest_factor, 3)
    return body + _key(
        top + 96.0, "r.m.s. value", f"{number_text(settled.current_a, 3)} A, crest factor {crest}", **level
    )


def _described(settled: SteadyState) -> str:
    return (
        f"The supply current flows only near the crest of the voltage, {number_text(1000 * settled.conduction_s, 2)} ms in each "
        f"half-wave: r.m.s. {number_text(settled.current_a, 3)} A, peak {number_text(settled.peak_current_a, 3)} A, distortion "
        f"{number_text(100 * settled.distortion, 3)} %, true power factor {number_text(settled.power_factor, 2)}. The DC link lies "
        f"between {number_text(settled.dc_least_v, 3)} and {number_text(settled.dc_greatest_v, 3)} V."
    )
