"""Time-stepped circuit: mains, diode bridge, DC link, three modulated legs, one terminal with R to earth.

Written for the tests only and independent of the formulas under test: it knows nothing but Kirchhoff's laws,
diodes with a small forward resistance, a link capacitor and a carrier comparison. The potential of the lower
pole is found at every step from the sum of currents into the link.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

DIODE_OHM = 0.5  # forward resistance with source resistance; small beside any fault, large enough to solve


@dataclass(frozen=True)
class Circuit:
    """What is wired up; voltages in V r.m.s. line to earth, lines as (amplitude factor, phase in degrees)."""

    fault_ohm: float
    voltage_v: float = 230.0
    frequency_hz: float = 50.0
    lines: tuple[tuple[float, float], ...] = ((1.0, 0.0), (0.0, 0.0))  # line and earthed neutral
    carrier_hz: float = 4000.0
    motor_hz: float = 25.0
    modulation: float = 0.5
    load_w: float = 500.0
    link_f: float = 1e-3
    fault_at: str = "terminal"  # terminal, upper-pole or lower-pole
    boost_v: float = 0.0  # link voltage held by a boost stage, 0 for a plain link


@dataclass
class Waveform:
    """Samples of the residual current over whole periods of supply and motor."""

    step_s: float
    current_a: list[float] = field(default_factory=list)

    def rms(self) -> float:
        return math.sqrt(math.fsum(i * i for i in self.current_a) / len(self.current_a))

    def mean(self) -> float:
        return math.fsum(self.current_a) / len(self.current_a)

    def part(self, frequency_hz: float) -> float:
        """R.m.s. value of one frequency by correlation."""
        turn = 2 * math.pi * frequency_hz * self.step_s
        cosine = math.fsum(i * math.cos(turn * k) for k, i in enumerate(self.current_a))
        sine = math.fsum(i * math.sin(turn * k) for k, i in enumerate(self.current_a))
        return math.sqrt(2) * math.hypot(cosine, sine) / len(self.current_a)


def _into_link(lower_v: float, link_v: float, lines_v: list[float]) -> tuple[float, float]:
    """Current into the upper pole and current out of the lower pole through the diodes."""
    upper_v = lower_v + link_v
    into = sum(max(0.0, line - upper_v) for line in lines_v) / DIODE_OHM
    out = sum(max(0.0, lower_v - line) for line in lines_v) / DIODE_OHM
    return into, out


def _lower_pole(link_v: float, lines_v: list[float], on_upper: bool, fault_ohm: float) -> float:
    """Potential of the lower pole at which the currents of the whole link sum to zero (bracketed Newton steps)."""
    low, high = min(lines_v) - link_v - 50.0, max(lines_v) + 50.0
    shift = link_v if on_upper else 0.0
    middle = (low + high) / 2
    for _ in range(60):
        current, slope = -(middle + shift) / fault_ohm, 1 / fault_ohm
        for line in lines_v:
            if line > middle + link_v:
                current += (line - middle - link_v) / DIODE_OHM
                slope += 1 / DIODE_OHM
            if middle > line:
                current -= (middle - line) / DIODE_OHM
                slope += 1 / DIODE_OHM
        low, high = (middle, high) if current > 0 else (low, middle)
        step = current / slope
        if abs(step) < 1e-9:
            break
        middle = middle + step if low < middle + step < high else (low + high) / 2
    return middle


def run(circuit: Circuit, *, settle_s: float = 0.02, periods_s: float = 0.04, step_s: float = 1e-5) -> Waveform:
    """Step through the circuit and return the residual current once it is periodic."""
    peak = math.sqrt(2) * circuit.voltage_v
    span = max(
        (a[0] * math.cos(math.radians(a[1] + t)) - b[0] * math.cos(math.radians(b[1] + t))) * peak
        for a in circuit.lines for b in circuit.lines for t in range(360)
    )  # fmt: skip
    link_v = circuit.boost_v or span
    wave = Waveform(step_s)
    total, first = round((settle_s + periods_s) / step_s), round(settle_s / step_s)
    for k in range(total):
        t = k * step_s
        turn = 2 * math.pi * circuit.frequency_hz * t
        lines_v = [peak * a * math.sin(turn + math.radians(p)) for a, p in circuit.lines]
        duty = 0.5 + circuit.modulation / 2 * math.sin(2 * math.pi * circuit.motor_hz * t)
        ramp = abs(2 * ((t * circuit.carrier_hz) % 1) - 1)
        on_upper = {"terminal": duty > ramp, "upper-pole": True, "lower-pole": False}[circuit.fault_at]
        lower_v = _lower_pole(link_v, lines_v, on_upper, circuit.fault_ohm)
        if circuit.boost_v:
            lower_v = min(lines_v)  # the stage draws current all through the period and holds the lower pole
        else:
            into, _ = _into_link(lower_v, link_v, lines_v)
            link_v += (into - circuit.load_w / link_v) * step_s / circuit.link_f
        if k >= first:
            wave.current_a.append((lower_v + link_v if on_upper else lower_v) / circuit.fault_ohm)
    return wave
