"""Single-phase diode bridge that charges a capacitor through the impedance of its supply.

The circuit: a sinusoidal source behind its resistance and inductance, a line choke, four diodes, the DC-link
capacitor, and a load that takes constant power (a drive that holds its motor at one speed and torque), constant
resistance, or both. No closed form is good enough, so the circuit is integrated to its periodic steady state.

How: between two switching instants the circuit is linear except for the current of the constant-power load,
which is held over one short step at its value in the middle of that step. Each step is therefore an exact
solution, however small the inductance; switching instants are found by bisection on that solution. The steady
state is the fixed point of the map over one half-wave, found by letting the circuit run and then by Newton's
method. Where inductance and capacitance ring near twice the supply's frequency that state does not hold: then
half-waves of two kinds take turns, and the fixed point of the map over a whole cycle is found instead. Nothing is
random, and every loop is bounded.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

STEPS_PER_CYCLE = 256
GREATEST_ORDER = 25

_LEAST_INDUCTANCE_H = 1e-9  # a centimetre of wire has more: it only keeps the equations from dividing by zero
_COLLAPSE = 0.1  # of the source's crest: no constant-power load comes back from so low a capacitor voltage
_GREATEST_HALF_WAVES = 40
_GREATEST_CYCLES = 12
_GREATEST_STEPS = 4096
_SETTLED = 1e-11
_RUNGS = 8  # a pair that turns on is followed with short steps that double: its current may rise steeply
_NEWTON_AFTER = 3
_NUDGE = 1e-4
_HIGHEST = 2.0  # of the crest: no choke rings the capacitor higher, and an idle one there would seem to be settled
_BISECTIONS = 44
_FIRST_STRIDE = 0.25
_PUSHES = (0.03, 0.1, 0.25)  # of the crest: how far from equal half-waves the search for unequal ones begins
_ALIKE = 1e-6  # of the crest: half-waves that begin so close to one another are of one kind
_SWINGS = 3  # whole cycles it is let run first
_LAST_STRIDE = 1 / 32  # of the share reached: the greatest power is told to about 3 %
_LEAST_SHARE = 1 / 4096
_RAMP_HALF_WAVES = 16
_RAMP_STEPS = 64  # in one cycle: a quarter of the usual number finds the greatest power as well as it is told
_AMPLE = 20.0  # of the energy drawn in a cycle: such a capacitor's ripple is a few per cent
_SCAN = (1.0, 0.99, 0.98, 0.96, 0.94, 0.91, 0.88, 0.84, 0.8, 0.75, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2)
_CARRIED_OVER = 6

_TOO_WEAK = "the supply is too weak: its impedance lets less power through than the load takes"
_TOO_SMALL = "the capacitor is too small to carry the load steadily from one half-wave to the next"

Matrix = tuple[float, float, float, float]
State = tuple[float, float]
Orbit = tuple[State, ...]  # state at the start of each half-wave that differs from the one before: one, or two
Turn = Callable[[State], State]


class NoSteadyStateError(ValueError):
    """The circuit has no periodic steady state: the load takes more than reaches the capacitor.

    Attributes
    ----------
    greatest_power_w : float
        Greatest constant power at which a steady state was found, 0 if at none [W].
    capacitor_too_small : bool
        Whether an ample capacitor would carry the load from this supply.
    """

    def __init__(self, reason: str, greatest_power_w: float = 0.0, *, capacitor_too_small: bool = False) -> None:
        super().__init__(reason)
        self.greatest_power_w = greatest_power_w
        self.capacitor_too_small = capacitor_too_small


@dataclass(frozen=True, slots=True)
class Circuit:
    """What the bridge stands between.

    Parameters
    ----------
    voltage_v : float
        Open-circuit voltage of the source, r.m.s. [V].
    frequency_hz : float
        Its frequency [Hz].
    resistance_ohm, inductance_h : float
        Of the supply, line and neutral together [ohm], [H].
    capacitance_f : float
        DC-link capacitance [F].
    power_w : float
        Power of the constant-power load [W].
    choke_resistance_ohm, choke_inductance_h : float
        Of the line choke [ohm], [H].
    conductance_s : float
        Conductance of a resistive load [S].
    diode_drop_v : float
        Forward voltage of one diode [V]; two conduct in series.

    Raises
    ------
    ValueError
        If a value has no meaning (the total resistance must be above zero).
    """

    voltage_v: float
    frequency_hz: float
    resistance_ohm: float
    inductance_h: float
    capacitance_f: float
    power_w: float
    choke_resistance_ohm: float = 0.0
    choke_inductance_h: float = 0.0
    conductance_s: float = 0.0
    diode_drop_v: float = 0.0

    def __post_init__(self) -> None:
        above_zero = (
            self.voltage_v,
            self.frequency_hz,
            self.capacitance_f,
            self.resistance_ohm + self.choke_resistance_ohm,
            self.power_w + self.conductance_s,
        )
        not_below_zero = (
            self.resistance_ohm,
            self.inductance_h,
            self.choke_resistance_ohm,
            self.choke_inductance_h,
            self.power_w,
            self.conductance_s,
            self.diode_drop_v,
        )
        if min(above_zero) <= 0 or min(not_below_zero) < 0:
            raise ValueError("voltage, frequency, capacitance, resistance and load above zero, the rest not below")


@dataclass(frozen=True, slots=True)
class SteadyState:
    """One settled cycle of the bridge and what is read from it.

    Attributes
    ----------
    source_crest_v : float
        Crest of the undisturbed source [V].
    current_a, peak_current_a, fundamental_a : float
        Supply current: r.m.s., peak, and r.m.s. of its fundamental [A].
    harmonics_a : dict
        R.m.s. current by odd order, 1 to 25 [A]; where the half-waves mirror each other, even orders are nil.
    direct_a : float
        Direct component of the supply current, whatever its sense: nil where the half-waves mirror each other [A].
    displacement_factor, power_factor : float
        Cosine of the fundamental's angle, and true power factor, both against the sinusoidal source [1].
    input_power_w, resistance_loss_w, diode_loss_w, load_power_w : float
        Mean powers [W]; the first is the sum of the others.
    reactive_power_var : float
        Of the fundamental, positive when the current lags [var].
    dc_voltage_v, dc_least_v, dc_greatest_v : float
        Capacitor voltage: mean, least, greatest [V].
    conduction_s : float
        Time in one half-wave during which diodes conduct, the mean where half-waves differ [s].
    times_s, currents_a, dc_voltages_v, terminal_voltages_v : tuple of float
        Samples over the cycle that begins at the source's rising zero [s], [A], [V], [V].
    """

    source_crest_v: float
    current_a: float
    peak_current_a: float
    fundamental_a: float
    harmonics_a: dict[int, float]
    direct_a: float
    displacement_factor: float
    power_factor: float
    input_power_w: float
    resistance_loss_w: float
    diode_loss_w: float
    load_power_w: float
    reactive_power_var: float
    dc_voltage_v: float
    dc_least_v: float
    dc_greatest_v: float
    conduction_s: float
    times_s: tuple[float, ...]
    currents_a: tuple[float, ...]
    dc_voltages_v: tuple[float, ...]
    terminal_voltages_v: tuple[float, ...]

    @property
    def terminal_crest_v(self) -> float:
        """Crest of the flattened voltage at the drive's terminals, before any choke [V]."""
        return max(abs(voltage) for voltage in self.terminal_voltages_v)

    @property
    def crest_factor(self) -> float:
        """Peak over r.m.s. supply current [1]."""
        return self.peak_current_a / self.current_a

    @property
    def distortion(self) -> float:
        """All harmonics of the supply current together, over its fundamental [1]."""
        return math.sqrt(max(self.current_a**2 - self.fundamental_a**2 - self.direct_a**2, 0.0)) / self.fundamental_a

    @property
    def crest_drop(self) -> float:
        """By what share of it the source's crest is cut at the drive's terminals [1]."""
        return 1 - self.terminal_crest_v / self.source_crest_v

    @property
    def dc_ripple_v(self) -> float:
        """Capacitor voltage, greatest less least [V]."""
        return self.dc_greatest_v - self.dc_least_v


@dataclass(frozen=True, slots=True)
class _Piece:
    """A step of the solution: start, middle and end of the line current and of the capacitor voltage."""

    start_s: float
    length_s: float
    sign: int
    currents_a: tuple[float, float, float]
    voltages_v: tuple[float, float, float]


class _Bridge:
    """The bridge's equations, with everything that does not change worked out once."""

    def __init__(self, circuit: Circuit, steps_per_cycle: int) -> None:
        self.circuit = circuit
        self.crest_v = math.sqrt(2) * circuit.voltage_v
        self.drop_v = 2 * circuit.diode_drop_v
        self.angular = 2 * math.pi * circuit.frequency_hz
        self.half_wave_s = 0.5 / circuit.frequency_hz
        self.resistance = circuit.resistance_ohm + circuit.choke_resistance_ohm
        self.inductance = max(circuit.inductance_h + circuit.choke_inductance_h, _LEAST_INDUCTANCE_H)
        self.capacitance = circuit.capacitance_f
        self.conductance = circuit.conductance_s
        self.floor_v = _COLLAPSE * self.crest_v if circuit.power_w else 0.0
        self._prepare()
        self.step_s = self._step(2 * self.half_wave_s / steps_per_cycle)
        durations = [self.step_s / 2**halvings for halvings in range(_RUNGS - 1, -1, -1)]
        self.ladder = [(time, self.transition(time), self.transition(time / 2)) for time in durations]

    def _prepare(self) -> None:
        """Work out the damping of the free response and the phasors of the forced one."""
        shunt = self.conductance / self.capacitance
        series = self.resistance / self.inductance
        self.damping = (series + shunt) / 2
        self.skew = (series - shunt) / 2
        self.product = (1 + self.resistance * self.conductance) / (self.inductance * self.capacitance)
        self.discriminant = self.skew**2 - 1 / (self.inductance * self.capacitance)
        admittance = complex(self.conductance, self.angular * self.capacitance)
        current = self.crest_v / (complex(self.resistance, self.angular * self.inductance) + 1 / admittance)
        self.forced_current = current
        self.forced_voltage = current / admittance

    def _step(self, wanted_s: float) -> float:
        """Shorten the step where the free response rings faster than it, within bounds."""
        if self.discriminant >= 0:
            return wanted_s
        ring_s = 2 * math.pi / math.sqrt(-self.discriminant)
        return min(wanted_s, max(ring_s / 16, wanted_s / 8))

    def transition(self, duration_s: float) -> Matrix:
        """Return the matrix that carries the free response of (current, voltage) over `duration_s`."""
        if self.discriminant < 0:
            ring = math.sqrt(-self.discriminant)
            fade = math.exp(-self.damping * duration_s)
            even, odd = fade * math.cos(ring * duration_s), fade * math.sin(ring * duration_s) / ring
        elif self.discriminant == 0:
            even = math.exp(-self.damping * duration_s)
            odd = duration_s * even
        else:
            root = math.sqrt(self.discriminant)
            slow = math.exp(-self.product / (self.damping + root) * duration_s)
            fast = math.exp(-(self.damping + root) * duration_s)
            even, odd = (slow + fast) / 2, (slow - fast) / (2 * root)
        return (
            even - odd * self.skew,
            -odd / self.inductance,
            odd / self.capacitance,
            even + odd * self.skew,
        )

    def advance(
        self, start_s: float, duration_s: float, state: State, sign: int, load_a: float, matrix: Matrix
    ) -> State:
        """Return (current, voltage) of a conducting pair after `duration_s` with the load drawing `load_a`."""
        resting_v = -(self.drop_v + self.resistance * load_a) / (1 + self.resistance * self.conductance)
        resting_a = load_a + self.conductance * resting_v
        forced_a, forced_v = self.forced_current, self.forced_voltage
        sine, cosine = sign * math.sin(self.angular * start_s), sign * math.cos(self.angular * start_s)
        free_a = state[0] - resting_a - (forced_a.real * sine + forced_a.imag * cosine)
        free_v = state[1] - resting_v - (forced_v.real * sine + forced_v.imag * cosine)
        angle = self.angular * (start_s + duration_s)
        sine, cosine = sign * math.sin(angle), sign * math.cos(angle)
        a_a, a_v, v_a, v_v = matrix
        return (
            resting_a + forced_a.real * sine + forced_a.imag * cosine + a_a * free_a + a_v * free_v,
            resting_v + forced_v.real * sine + forced_v.imag * cosine + v_a * free_a + v_v * free_v,
        )

    def load_current(self, voltage_v: float) -> float:
        """Return the current of the constant-power part of the load [A]."""
        return self.circuit.power_w / max(voltage_v, self.floor_v) if self.circuit.power_w else 0.0

    def conduct(
        self, start_s: float, state: State, sign: int, rung: int, pieces: list[_Piece] | None
    ) -> tuple[float, State]:
        """Carry a conducting pair one step on, or to the instant at which its current ends."""
        duration, whole, half = self.ladder[min(rung, _RUNGS - 1)]
        if start_s + duration > self.half_wave_s:
            duration = self.half_wave_s - start_s
            whole, half = self.transition(duration), self.transition(duration / 2)
        middle = self.advance(start_s, duration / 2, state, sign, self.load_current(state[1]), half)
        load_a = self.load_current(middle[1])
        end = self.advance(start_s, duration, state, sign, load_a, whole)
        if end[0] <= 0:

            def after(elapsed_s: float) -> State:
                return self.advance(start_s, elapsed_s, state, sign, load_a, self.transition(elapsed_s))

            duration = _last_above_zero(lambda elapsed_s: after(elapsed_s)[0], duration)
            end = (0.0, after(duration)[1])
        if end[1] < self.floor_v:
            raise NoSteadyStateError("the supply's impedance lets less power through than the load takes")
        if pieces is not None:
            middle = self.advance(start_s, duration / 2, state, sign, load_a, self.transition(duration / 2))
            amperes = (sign * state[0], sign * middle[0], sign * end[0])
            pieces.append(_Piece(start_s, duration, sign, amperes, (state[1], middle[1], end[1])))
        return start_s + duration, end

    def coasting_voltage(self, voltage_v: float, duration_s: float) -> float:
        """Return the capacitor voltage after `duration_s` with no diode conducting (closed form) [V]."""
        power, conductance = self.circuit.power_w, self.conductance
        if conductance == 0:
            squared = voltage_v**2 - 2 * power * duration_s / self.capacitance
        else:
            decay = math.exp(-2 * conductance * duration_s / self.capacitance)
            squared = (voltage_v**2 + power / conductance) * decay - power / conductance
        return math.sqrt(max(squared, 0.0))

    def surplus(self, at_s: float, voltage_v: float) -> float:
        """By how much the source, less two diode drops, exceeds the capacitor voltage [V]."""
        return self.crest_v * math.sin(self.angular * at_s) - self.drop_v - voltage_v

    def coast(self, start_s: float, voltage_v: float, pieces: list[_Piece] | None) -> tuple[float, float, bool]:
        """Carry the idle bridge one step on, or to the instant at which a pair turns on."""
        duration = min(self.step_s, self.half_wave_s - start_s)
        end = self.coasting_voltage(voltage_v, duration)
        turns_on = self.surplus(start_s + duration, end) > 0
        if turns_on:
            duration = _last_above_zero(
                lambda elapsed_s: -self.surplus(start_s + elapsed_s, self.coasting_voltage(voltage_v, elapsed_s)),
                duration,
            )
            end = self.coasting_voltage(voltage_v, duration)
        if end < self.floor_v:
            raise NoSteadyStateError("the capacitor is empty before the next half-wave can charge it")
        if pieces is not None:
            middle = self.coasting_voltage(voltage_v, duration / 2)
            pieces.append(_Piece(start_s, duration, 0, (0.0, 0.0, 0.0), (voltage_v, middle, end)))
        return start_s + duration, end, turns_on

    def half_wave(self, state: State, pieces: list[_Piece] | None = None) -> State:
        """Carry the state over one half-wave that begins at the source's rising zero.

        The state is the current still flowing in the pair of the half-wave before, and the capacitor voltage.
        """
        at_s, sign, rung = 0.0, -1 if state[0] > 0 else 0, _RUNGS
        for _ in range(_GREATEST_STEPS):
            if at_s >= self.half_wave_s * (1 - 1e-12):
                if sign < 0:
                    break
                return state
            if sign:
                at_s, state = self.conduct(at_s, state, sign, rung, pieces)
                rung += 1
                if state[0] <= 0:
                    sign, rung = int(sign < 0 and self.surplus(at_s, state[1]) > 0), 0
            else:
                at_s, voltage, turns_on = self.coast(at_s, state[1], pieces)
                state, sign, rung = (0.0, voltage), int(turns_on), 0
        raise NoSteadyStateError("the current does not pass from one diode pair to the other")


def _last_above_zero(function: Callable[[float], float], end: float) -> float:
    """Return by bisection where `function`, above zero from 0 on, falls to zero before `end`."""
    low, high = 0.0, end
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2
        if function(middle) > 0:
            low = middle
        else:
            high = middle
    return high


def _slopes(bridge: _Bridge, turn: Turn, state: State, image: State) -> Matrix:
    """Return the derivatives of `turn`, a map over one or two half-waves, at `state`, whose image is known, by small nudges."""
    nudge_v = _NUDGE * bridge.crest_v
    nudged = turn((state[0], state[1] + nudge_v))
    by_voltage = ((nudged[0] - image[0]) / nudge_v, (nudged[1] - image[1]) / nudge_v)
    if state[0] <= 0:
        return 0.0, by_voltage[0], 0.0, by_voltage[1]
    nudge_a = _NUDGE * state[0]
    nudged = turn((state[0] + nudge_a, state[1]))
    return (nudged[0] - image[0]) / nudge_a, by_voltage[0], (nudged[1] - image[1]) / nudge_a, by_voltage[1]


def _newton(state: State, image: State, slopes: Matrix) -> State | None:
    """Return the fixed point of the map's tangent, or nothing where it has none."""
    a_a, a_v, v_a, v_v = 1 - slopes[0], -slopes[1], -slopes[2], 1 - slopes[3]
    determinant = a_a * v_v - a_v * v_a
    if determinant == 0:
        return None
    off_a, off_v = image[0] - state[0], image[1] - state[1]
    current = state[0] + (v_v * off_a - a_v * off_v) / determinant
    voltage = state[1] + (a_a * off_v - v_a * off_a) / determinant
    return max(current, 0.0), voltage


def _spectral_radius(slopes: Matrix) -> float:
    """Return the greatest growth of a disturbance over one half-wave [1]."""
    half_trace = (slopes[0] + slopes[3]) / 2
    determinant = slopes[0] * slopes[3] - slopes[1] * slopes[2]
    spread = half_trace**2 - determinant
    return math.sqrt(determinant) if spread < 0 else abs(half_trace) + math.sqrt(spread)


def _first_guess(bridge: _Bridge) -> State:
    """Return the greatest of a row of capacitor voltages at which a half-wave brings more than the load takes.

    From the crest itself a large capacitor under a light load would take many half-waves to reach its level. At
    each voltage the current that a choke carries over from half-wave to half-wave is let settle first.
    """
    for share in _SCAN:
        state = image = (0.0, share * bridge.crest_v)
        for _ in range(_CARRIED_OVER):
            try:
                image = bridge.half_wave(state)
            except NoSteadyStateError:
                return 0.0, bridge.crest_v
            if image[0] == state[0]:
                break
            state = (image[0], state[1])
        if image[1] > state[1]:
            return state
    return 0.0, bridge.crest_v


def _settle(bridge: _Bridge, start: Orbit, most: int = _GREATEST_HALF_WAVES) -> Orbit:
    """Return what the circuit settles in from `start` within `most` turns: equal half-waves, or two that take turns."""
    if len(start) == 2:
        found = _over_a_cycle(bridge, start[0])
        if found:
            return found
    state, slopes, settled = _fixed_point(bridge, bridge.half_wave, start[0], most)
    if settled and _spectral_radius(slopes) < 1:
        return (state,)
    if slopes[0] + slopes[3] >= 0:
        raise NoSteadyStateError("the capacitor voltage does not settle at this load")
    return _taking_turns(bridge, state)


def _taking_turns(bridge: _Bridge, near: State) -> Orbit:
    """Return the two unequal half-waves that take turns around the equal ones that do not hold."""
    for push in _PUSHES:
        state = near[0], near[1] + push * bridge.crest_v
        try:
            for _ in range(2 * _SWINGS):
                state = bridge.half_wave(state)
        except NoSteadyStateError:
            continue
        found = _over_a_cycle(bridge, state)
        if found:
            return found
    raise NoSteadyStateError("no two half-waves of the current that follow one another come again")


def _over_a_cycle(bridge: _Bridge, start: State) -> Orbit | None:
    """Return the half-waves, two or two alike, that the circuit settles in from `start` and stays in; or nothing."""

    def cycle(state: State) -> State:
        return bridge.half_wave(bridge.half_wave(state))

    try:
        state, slopes, settled = _fixed_point(bridge, cycle, start, _GREATEST_CYCLES)
    except NoSteadyStateError:
        return None
    if not settled or _spectral_radius(slopes) >= 1:
        return None
    second = bridge.half_wave(state)
    return (state, second) if abs(second[1] - state[1]) > _ALIKE * bridge.crest_v else (state,)


def _fixed_point(bridge: _Bridge, turn: Turn, start: State, most: int) -> tuple[State, Matrix, bool]:
    """Return the state that `turn` carries into itself, its derivatives there, and whether `most` turns sufficed."""

    def distance(one: State, other: State) -> float:
        return (abs(one[1] - other[1]) + abs(one[0] - other[0]) * bridge.resistance) / bridge.crest_v

    state, image, wait = start, turn(start), _NEWTON_AFTER
    for _ in range(most):
        if distance(state, image) < _SETTLED:
            return image, _slopes(bridge, turn, state, image), True
        wait -= 1
        if wait < 0:
            guess = _tried(bridge, turn, state, image)
            if guess and distance(*guess) < distance(state, image) / 2:
                state, image = guess
                continue
            wait = _NEWTON_AFTER
        state, image = image, turn(image)
    return image, _slopes(bridge, turn, state, image), False


def _tried(bridge: _Bridge, turn: Turn, state: State, image: State) -> tuple[State, State] | None:
    """Return Newton's guess at the settled state with its image, or nothing where it leads out of range."""
    try:
        guess = _newton(state, image, _slopes(bridge, turn, state, image))
        if guess is None or not 0 < guess[1] < _HIGHEST * bridge.crest_v:
            return None
        return guess, turn(guess)
    except NoSteadyStateError:
        return None


def _ramp(circuit: Circuit, steps_per_cycle: int) -> tuple[_Bridge, Orbit]:
    """Raise the load step by step, as a drive's ramp does, each time from the state settled before.

    Raises
    ------
    NoSteadyStateError
        With the greatest power reached, if that is not the whole.
    """
    share, stride = 0.0, _FIRST_STRIDE
    settled: tuple[_Bridge, Orbit] | None = None
    while True:
        steps, most = min(_RAMP_STEPS, steps_per_cycle), _RAMP_HALF_WAVES
        if share + stride >= 1:
            steps, most = steps_per_cycle, _GREATEST_HALF_WAVES
        bridge = _Bridge(replace(circuit, power_w=(share + stride) * circuit.power_w), steps)
        try:
            settled = bridge, _settle(bridge, settled[1] if settled else (_first_guess(bridge),), most)
        except NoSteadyStateError as fault:
            stride /= 2
            if stride < max(share * _LAST_STRIDE, _LEAST_SHARE):
                raise NoSteadyStateError(str(fault), share * circuit.power_w) from None
            continue
        share += stride
        if share >= 1:
            return settled
        stride = min(stride, 1 - share)


def _settled(circuit: Circuit, steps_per_cycle: int) -> tuple[_Bridge, Orbit]:
    """Return the bridge and what it settles in."""
    bridge = _Bridge(circuit, steps_per_cycle)
    return bridge, _settle(bridge, (_first_guess(bridge),))


@lru_cache(maxsize=32)
def steady_state(circuit: Circuit, steps_per_cycle: int = STEPS_PER_CYCLE) -> SteadyState:
    """Integrate the bridge to its periodic steady state.

    Parameters
    ----------
    circuit : Circuit
        Supply, choke, capacitor and load.
    steps_per_cycle : int
        Steps of the solution in one cycle of the supply.

    Returns
    -------
    SteadyState
        What the supply gives and the capacitor holds.

    Raises
    ------
    NoSteadyStateError
        If the load takes more than the supply can deliver through its impedance, or the capacitor is too small
        to carry it from one half-wave to the next.
    """
    try:
        bridge, orbit = _settled(circuit, steps_per_cycle)
    except NoSteadyStateError:
        bridge, orbit = _ramped_or_explained(circuit, steps_per_cycle)
    half_waves = []
    for state in orbit:
        pieces: list[_Piece] = []
        bridge.half_wave(state, pieces)
        half_waves.append(pieces)
    return _measured(bridge, half_waves[0], half_waves[-1])


def _ramped_or_explained(circuit: Circuit, steps_per_cycle: int) -> tuple[_Bridge, Orbit]:
    """Return what a ramp of the load settles at, or say what is too small for it."""
    try:
        return _ramp(circuit, steps_per_cycle)
    except NoSteadyStateError as fault:
        ample_f = _AMPLE * circuit.power_w / (circuit.frequency_hz * circuit.voltage_v**2)
        larger = replace(circuit, capacitance_f=max(ample_f, 10 * circuit.capacitance_f))
        try:
            _settled(larger, min(_RAMP_STEPS, steps_per_cycle))
        except NoSteadyStateError:
            raise NoSteadyStateError(_TOO_WEAK, fault.greatest_power_w) from None
        raise NoSteadyStateError(_TOO_SMALL, fault.greatest_power_w, capacitor_too_small=True) from None


def _mean(bridge: _Bridge, pieces: list[_Piece], value: Callable[[_Piece, int], float]) -> float:
    """Return the mean of `value` over a cycle, by Simpson's rule on the start, middle and end of each piece."""
    total = sum(piece.length_s * (value(piece, 0) + 4 * value(piece, 1) + value(piece, 2)) / 6 for piece in pieces)
    return total / (2 * bridge.half_wave_s)


def _harmonic(bridge: _Bridge, pieces: list[_Piece], order: int) -> complex:
    """Return the r.m.s. phasor of one odd order of the line current, in phase + j × leading by a quarter.

    Each half-wave is counted from its own zero: for an odd order the second one adds as the first does.
    """

    def product(wave: Callable[[float], float]) -> float:
        return math.sqrt(2) * _mean(
            bridge,
            pieces,
            lambda piece, k: (
                piece.currents_a[k] * wave(order * bridge.angular * (piece.start_s + k * piece.length_s / 2))
            ),
        )

    return complex(product(math.sin), product(math.cos))


def _terminal_voltage(bridge: _Bridge, piece: _Piece, k: int) -> float:
    """Return the voltage between supply and choke at the start, middle or end of a piece, its half-wave taken as positive [V]."""
    circuit, current = bridge.circuit, piece.currents_a[k]
    source = bridge.crest_v * math.sin(bridge.angular * (piece.start_s + k * piece.length_s / 2))
    if not piece.sign:
        return source
    across_inductance = source - bridge.resistance * current - piece.sign * (piece.voltages_v[k] + bridge.drop_v)
    supply_share = circuit.inductance_h / bridge.inductance
    return source - circuit.resistance_ohm * current - supply_share * across_inductance


def _direct(bridge: _Bridge, first: list[_Piece], second: list[_Piece]) -> float:
    """Return the direct component of the line current: what the two half-waves do not take from each other [A]."""
    whole, back = (_mean(bridge, pieces, lambda piece, k: piece.currents_a[k]) for pieces in (first, second))
    return abs(whole - back)


def _measured(bridge: _Bridge, first: list[_Piece], second: list[_Piece]) -> SteadyState:
    """Read the settled cycle: two half-waves, each as if its source were positive."""
    circuit = bridge.circuit
    pieces = [*first, *second]
    conducting = [piece for piece in pieces if piece.sign]
    current = math.sqrt(_mean(bridge, conducting, lambda piece, k: piece.currents_a[k] ** 2))
    rectified = _mean(bridge, conducting, lambda piece, k: abs(piece.currents_a[k]))
    harmonics = {order: _harmonic(bridge, conducting, order) for order in range(1, GREATEST_ORDER + 1, 2)}
    fundamental = harmonics[1]
    squared_voltage = _mean(bridge, pieces, lambda piece, k: piece.voltages_v[k] ** 2)
    voltages = [voltage for piece in pieces for voltage in piece.voltages_v]
    input_power = circuit.voltage_v * fundamental.real
    placed = [(0.0, 1, piece) for piece in first] + [(bridge.half_wave_s, -1, piece) for piece in second]
    return SteadyState(
        source_crest_v=bridge.crest_v,
        current_a=current,
        peak_current_a=max(abs(ampere) for piece in conducting for ampere in piece.currents_a),
        fundamental_a=abs(fundamental),
        harmonics_a={order: abs(phasor) for order, phasor in harmonics.items()},
        direct_a=_direct(bridge, first, second),
        displacement_factor=fundamental.real / abs(fundamental),
        power_factor=input_power / (circuit.voltage_v * current),
        input_power_w=input_power,
        resistance_loss_w=bridge.resistance * current**2,
        diode_loss_w=bridge.drop_v * rectified,
        load_power_w=circuit.power_w + circuit.conductance_s * squared_voltage,
        reactive_power_var=-circuit.voltage_v * fundamental.imag,
        dc_voltage_v=_mean(bridge, pieces, lambda piece, k: piece.voltages_v[k]),
        dc_least_v=min(voltages),
        dc_greatest_v=max(voltages),
        conduction_s=sum(piece.length_s for piece in conducting) / 2,
        times_s=tuple(begin + piece.start_s + k * piece.length_s / 2 for begin, _, piece in placed for k in range(3)),
        currents_a=tuple(sign * ampere for _, sign, piece in placed for ampere in piece.currents_a),
        dc_voltages_v=tuple(voltages),
        terminal_voltages_v=tuple(
            sign * _terminal_voltage(bridge, piece, k) for _, sign, piece in placed for k in range(3)
        ),
    )


def bridge_input_current(**circuit: float) -> float:
    """Return the r.m.s. supply current of a settled :class:`Circuit` given by its parameters [A]."""
    return steady_state(Circuit(**circuit)).current_a


def bridge_peak_current(**circuit: float) -> float:
    """Return the peak supply current of a settled :class:`Circuit` [A]."""
    return steady_state(Circuit(**circuit)).peak_current_a


def bridge_fundamental_current(**circuit: float) -> float:
    """Return the r.m.s. fundamental of the supply current of a settled :class:`Circuit` [A]."""
    return steady_state(Circuit(**circuit)).fundamental_a


def bridge_harmonic_current(order: float, **circuit: float) -> float:
    """Return the r.m.s. current of one odd `order`, to 25, of a settled :class:`Circuit` [A]."""
    return steady_state(Circuit(**circuit)).harmonics_a[round(order)]


def bridge_direct_current(**circuit: float) -> float:
    """Return the direct component of the supply current of a settled :class:`Circuit` [A]."""
    return steady_state(Circuit(**circuit)).direct_a


def bridge_input_power(**circuit: float) -> float:
    """Return the mean power that a settled :class:`Circuit` takes from its source [W]."""
    return steady_state(Circuit(**circuit)).input_power_w


def bridge_reactive_power(**circuit: float) -> float:
    """Return the fundamental reactive power of a settled :class:`Circuit`, lagging positive [var]."""
    return steady_state(Circuit(**circuit)).reactive_power_var


def bridge_dc_voltage(**circuit: float) -> float:
    """Return the mean capacitor voltage of a settled :class:`Circuit` [V]."""
    return steady_state(Circuit(**circuit)).dc_voltage_v


def bridge_dc_least(**circuit: float) -> float:
    """Return the least capacitor voltage of a settled :class:`Circuit` [V]."""
    return steady_state(Circuit(**circuit)).dc_least_v


def bridge_dc_ripple(**circuit: float) -> float:
    """Return the capacitor voltage's greatest less least value of a settled :class:`Circuit` [V]."""
    return steady_state(Circuit(**circuit)).dc_ripple_v


def bridge_crest_drop(**circuit: float) -> float:
    """Return by what share of it the crest of the source is cut at the terminals of a settled :class:`Circuit` [1]."""
    return steady_state(Circuit(**circuit)).crest_drop
