"""Fault protection: will the device disconnect in time, and will the protective conductor stand the heat until then?"""

from __future__ import annotations

from dataclasses import dataclass

from millphase.answer import Outcome
from millphase.physics import fault
from millphase.quantity import Quantity
from millphase.questions._cable_circuit import Circuit, short
from millphase.questions._cable_device import BREAKERS, Device
from millphase.questions.base import contradiction

SHORT_TIME = 0.4
SLACK = 1e-9
SPREAD = 0.8  # how far two readings of the same loop may lie apart before one of them must be wrong


@dataclass
class Protection:
    """What fault protection asks of every cross-section alike.

    Attributes
    ----------
    external : Quantity or None
        Loop impedance at the origin; None where it is not known.
    limit : Quantity or None
        Loop limit of the overcurrent device; None where it does not protect here or is not tabulated.
    residual_limit : Quantity or None
        Loop limit of the RCD.
    declared : bool
        Whether the loop impedance at the origin is a declared highest value, not a measured one.
    unknown : str
        Why the loop cannot be judged, or empty.
    forbidden : bool
        A TT supply without an RCD.
    """

    earthing: str
    external: Quantity | None = None
    limit: Quantity | None = None
    tripping: Quantity | None = None
    seconds: Quantity | None = None
    residual_limit: Quantity | None = None
    near: Quantity | None = None
    minimum: Quantity | None = None
    limited_minimum: Quantity | None = None
    residual_minimum: Quantity | None = None
    residual_limited_minimum: Quantity | None = None
    declared: bool = False
    unknown: str = ""
    forbidden: bool = False

    def judge(self, loop: Quantity) -> str:
        """How a fault with this loop is disconnected: ``device``, ``rcd``, or ``none``."""
        if self.limit is not None and _within(loop, self.limit):
            return "device"
        return "rcd" if self.residual_limit is not None and _within(loop, self.residual_limit) else "none"

    def adiabatic(self, loop: Quantity, fitted: Quantity) -> Quantity | None:
        """Least protective conductor for a fault with this loop.

        The breaker's limiting class is called upon only where its opening time alone asks for more than is fitted.
        """
        plain, limited = self.minimum, self.limited_minimum
        if self.judge(loop) == "rcd":
            plain, limited = self.residual_minimum, self.residual_limited_minimum
        return limited if plain is not None and limited is not None and not _within(plain, fitted) else plain

    def calls_on_class(self, minimum: Quantity) -> bool:
        """Whether this minimum stands on the breaker's limiting class."""
        return minimum is self.limited_minimum or minimum is self.residual_limited_minimum


def _within(value: Quantity, limit: Quantity) -> bool:
    return value.si <= limit.si * (1 + SLACK)


def protection_of(circuit: Circuit, device: Device) -> Protection:
    """Work out the loop limits and the let-through energy of the circuit."""
    protection = Protection(_earthing(circuit))
    _external(circuit, protection)
    voltage = _voltage_to_earth(circuit)
    protection.seconds = _seconds(circuit, device, protection, voltage)
    if protection.earthing != "tt":
        protection.tripping = _tripping_current(circuit, device, protection.seconds)
        if protection.tripping is not None:
            protection.limit = _loop_limit(circuit, "loop-impedance limit of the device", voltage, protection.tripping)
            circuit.sheet.value("loop_impedance_limit", protection.limit)
        elif "rcd" not in circuit.request:
            protection.unknown = f"no tripping current is tabulated for the {device}"
    _residual(circuit, protection, voltage)
    _energy(circuit, device, protection, voltage)
    return protection


def _earthing(circuit: Circuit) -> str:
    request = circuit.request
    if "earthing" in request:
        return str(request["earthing"])
    if "electrode_resistance" in request:
        circuit.sheet.assume("earthing", "tt", circuit.book.limit(f"{circuit.topic}/electrode-resistance"))
        return "tt"
    circuit.sheet.assume("earthing", "tn-s", circuit.book.table(f"{circuit.topic}/disconnection-time"))
    return "unknown"


def _external(circuit: Circuit, protection: Protection) -> None:
    request, sheet, book = circuit.request, circuit.sheet, circuit.book
    external, electrode = request.get("external_loop_impedance"), request.get("electrode_resistance")
    if protection.earthing == "tt":
        if external and electrode and external.si < electrode.si:
            raise contradiction(
                "/external_loop_impedance",
                "in a TT system the loop runs through the electrode and cannot be lower than it; measure both again",
            )
        protection.external = external or electrode
    else:
        protection.external = external
        if electrode:
            rule = book.rule("cable/electrode-not-in-loop")
            sheet.find(Outcome.ACCEPT, rule, because=book.text(rule.id), measured=electrode, decides=False)
    declared = f"{circuit.topic}/external-loop-impedance"
    if protection.external is None and book.has(declared):
        row = book.table(declared).row(earthing=protection.earthing)
        if row is not None:
            protection.external, protection.declared = row.q("impedance"), True
            sheet.assume("external_loop_impedance", protection.external, row["impedance"])
    if protection.external is None:
        protection.unknown = "the loop impedance at the origin of the circuit is not known"


def _voltage_to_earth(circuit: Circuit) -> Quantity:
    """Voltage of one line to earth; a single-phase load on a line voltage hangs between two lines."""
    row = circuit.book.table("cable/voltage-to-earth").row(line_voltage=circuit.voltage)
    if row is None and circuit.phases == 1:
        return _single_phase_to_earth(circuit)
    if row is not None and circuit.phases == 1:
        circuit.sheet.assume("phases", f"1, between two lines of {short(circuit.voltage)}", row)
    if row is not None:
        return circuit.sheet.looked_up("voltage to earth", row["voltage_to_earth"])
    return circuit.sheet.step("voltage to earth", "U0 = U/√(3)", unit="V", U=circuit.voltage)


def _single_phase_to_earth(circuit: Circuit) -> Quantity:
    """The supply voltage itself, but half of it where the wiring rules know it as one with an earthed midpoint."""
    own = f"{circuit.topic}/reduced-low-voltage"
    if not circuit.book.has(own):
        return circuit.voltage
    supply = circuit.book.coefficients(own)
    if abs(circuit.voltage.si - supply["line"].si) > SLACK * supply["line"].si:
        return circuit.voltage
    circuit.sheet.assume("voltage", f"{supply['line']} with an earthed midpoint, {supply['to_earth']} to earth", supply)
    return supply["to_earth"]


def _seconds(circuit: Circuit, device: Device, protection: Protection, voltage: Quantity) -> Quantity:
    """Permitted disconnection time; the long one for distribution circuits and above the rating of the short one."""
    book, sheet, topic = circuit.book, circuit.sheet, circuit.topic
    system = "tt" if protection.earthing == "tt" else "tn"
    kind = circuit.request.get("circuit", "final-fixed")
    scope = book.coefficients(f"{topic}/final-circuit-rating")
    highest = scope["sockets" if kind == "final-sockets" else "fixed"]
    rating = device.rating or circuit.current
    if "circuit" not in circuit.request:
        sheet.assume("circuit", kind, scope)
    if kind == "distribution" or rating.si > highest.si * (1 + SLACK):
        long = book.coefficients(f"{topic}/disconnection-time-distribution")
        return sheet.step("disconnection time permitted", "t = T", unit="s", rule=long, T=long[system])
    table = book.table(f"{topic}/disconnection-time")
    row = table.row_at_or_above("up_to", _nominal(circuit, voltage)) or table.rows()[-1]
    return sheet.looked_up("disconnection time permitted", row[system])


def _nominal(circuit: Circuit, voltage: Quantity) -> Quantity:
    """Nominal voltage to earth that the disconnection time goes by: 230 V for supplies once called 220 V or 240 V."""
    if not circuit.book.has("cable/supply-voltage"):
        return voltage
    band = circuit.book.coefficients("cable/supply-voltage")
    nominal = band["nominal"]
    if not band["from"].si <= voltage.si <= band["to"].si or abs(voltage.si - nominal.si) < SLACK:
        return voltage
    circuit.sheet.assume("voltage", f"{nominal} to earth for the disconnection time", band)
    return nominal


def _tripping_current(circuit: Circuit, device: Device, seconds: Quantity) -> Quantity | None:
    """Current at which the device surely disconnects in time; None where nothing is tabulated."""
    book, sheet = circuit.book, circuit.sheet
    rating = device.rating
    if rating is None:
        return None
    if device.kind in BREAKERS:
        multiples = book.coefficients("cable/breaker-multiples")
        return sheet.step(
            "current that surely trips the breaker at once", "Ia = m × In", unit="A", rule=multiples,
            m=multiples[device.kind[-1]], In=rating,
        )  # fmt: skip
    row = book.table(f"{circuit.topic}/{device.kind}").row(rating=rating)
    column = "within_5_s" if seconds.si >= 5 else "within_0_4_s" if seconds.si >= SHORT_TIME else None
    if row is None or column is None or row[column].value is None:
        return None
    if row.q(column).dimension == "current":
        return sheet.looked_up("current that surely blows the fuse in time", row[column])
    factor = book.constant(f"{circuit.topic}/voltage-factor")
    printed = book.constant(f"{circuit.topic}/fuse-voltage")
    return sheet.step(
        "current behind the printed limit of the fuse", "Ia = c × Un/Zt", unit="A", rule=row[column],
        c=factor.value, Un=printed.value, Zt=row.q(column),
    )  # fmt: skip


def _loop_limit(circuit: Circuit, what: str, voltage: Quantity, tripping: Quantity) -> Quantity:
    factor = circuit.book.constant(f"{circuit.topic}/voltage-factor")
    share = circuit.book.limit(f"{circuit.topic}/loop-impedance").value
    return circuit.sheet.step(
        what, fault.loop_impedance_limit, unit="ohm", rule=factor, n=share, c=factor.value, U0=voltage, Ia=tripping
    )


def _residual(circuit: Circuit, protection: Protection, voltage: Quantity) -> None:
    """Loop limit of the RCD: touch voltage in TT, and in TN the stricter of what the wiring rules hold."""
    book, sheet, topic = circuit.book, circuit.sheet, circuit.topic
    rcd = circuit.request.get("rcd")
    if rcd is None:
        protection.forbidden = protection.earthing == "tt"
        return
    touch = book.limit(f"{topic}/touch-voltage")
    rated = rcd["rated_residual_current"]
    multiple = f"{topic}/residual-device-multiple"
    if protection.earthing == "tt" or not book.has(multiple):
        protection.residual_limit = sheet.step(
            "highest loop impedance behind the RCD", fault.residual_current_loop_limit, unit="ohm", rule=touch,
            n=book.limit(f"{topic}/electrode-resistance").value, Ut=touch.value, IdN=rated,
        )  # fmt: skip
    else:
        rule = book.constant(multiple)
        current = sheet.step(
            "residual current that surely trips the RCD in time", "Ia = n × IdN", unit="A", rule=rule,
            n=rule.value, IdN=rated,
        )  # fmt: skip
        protection.residual_limit = _loop_limit(circuit, "highest loop impedance behind the RCD", voltage, current)
    if protection.earthing == "tt":
        sheet.value("electrode_resistance_limit", protection.residual_limit)
        sheet.value("loop_impedance_limit", protection.residual_limit)
    else:
        sheet.value("loop_impedance_limit_with_rcd", protection.residual_limit)


def _energy(circuit: Circuit, device: Device, protection: Protection, voltage: Quantity) -> None:
    """Adiabatic minimum for disconnection by the device, and for disconnection by the RCD."""
    if protection.external is None or protection.forbidden:
        return
    protection.near = _current_at_origin(circuit, protection, voltage)
    energy = _device_energy(circuit, device, protection)
    limited = _limited(circuit, device, protection.near, energy) if energy is not None else None
    if energy is not None:
        protection.minimum = _minimum(circuit, "adiabatic minimum behind the device", energy)
    if limited is not None:
        protection.limited_minimum = _minimum(
            circuit, "adiabatic minimum behind a breaker of limiting class 3", limited
        )
    if protection.residual_limit is None:
        return
    slow = _residual_energy(circuit, protection, protection.near)
    worst = max((slow, energy or slow), key=lambda found: found.si)
    protection.residual_minimum = _minimum(circuit, "adiabatic minimum behind the RCD", worst)
    if limited is not None:
        worst = max((slow, limited), key=lambda found: found.si)
        what = "adiabatic minimum behind the RCD and a breaker of limiting class 3"
        protection.residual_limited_minimum = _minimum(circuit, what, worst)


def _current_at_origin(circuit: Circuit, protection: Protection, voltage: Quantity) -> Quantity:
    """Earth-fault current at the origin; the prospective current where the loop impedance is only a declared highest.

    Raises
    ------
    Contradiction
        When the prospective fault current is lower than a measured loop allows.
    """
    assert protection.external is not None  # noqa: S101  # asked only where it is known
    near = circuit.sheet.step(
        "earth-fault current at the origin", fault.fault_current, unit="A", U0=voltage, Z=protection.external
    )
    measured: Quantity | None = circuit.request.get("prospective_fault_current")
    if measured is not None and not protection.declared and measured.si < SPREAD * near.si:
        raise contradiction(
            "/prospective_fault_current",
            f"a loop of {short(protection.external)} alone lets {short(near)} flow, so the prospective fault current cannot be "
            "lower; measure both again where the device sits",
        )
    return measured if protection.declared and measured is not None and measured.si > near.si else near


def _residual_energy(circuit: Circuit, protection: Protection, near: Quantity) -> Quantity:
    """Energy [A²s] until the RCD opens, at the greatest current that the overcurrent device leaves to it."""
    times = circuit.book.coefficients("cable/residual-device-time")
    tripping = protection.tripping
    reached = tripping if tripping is not None and tripping.si < near.si else near
    return circuit.sheet.step(
        "let-through energy until the RCD opens [A²s]", fault.let_through, unit="1", rule=times, I=reached,
        t=times[str(circuit.request["rcd"].get("delay", "none"))],
    )  # fmt: skip


def _minimum(circuit: Circuit, what: str, energy: Quantity) -> Quantity:
    table = circuit.book.table(f"{circuit.topic}/adiabatic-factor")
    k = table.rows(insulation=circuit.insulation)[0].q("k")
    multiple = circuit.book.limit(f"{circuit.topic}/adiabatic").value
    return circuit.sheet.step(what, fault.adiabatic_cross_section, unit="mm2", rule=table, n=multiple, E=energy, k=k)


def _device_energy(circuit: Circuit, device: Device, protection: Protection) -> Quantity | None:
    """Most energy [A²s] the overcurrent device lets through for a fault anywhere on the cable."""
    sheet, book, tripping, near = circuit.sheet, circuit.book, protection.tripping, protection.near
    if tripping is None or near is None or protection.seconds is None:
        return None
    if device.kind not in BREAKERS:
        return sheet.step(
            "let-through energy of the fuse at the slowest permitted [A²s]", fault.let_through, unit="1",
            I=tripping, t=protection.seconds,
        )  # fmt: skip
    time = book.constant("cable/breaker-time")
    return sheet.step(
        "let-through energy of the breaker for a fault at the origin [A²s]", fault.let_through, unit="1", rule=time,
        I=near, t=time.value,
    )  # fmt: skip


def _limited(circuit: Circuit, device: Device, near: Quantity, energy: Quantity) -> Quantity | None:
    """Let-through energy by the limiting class, where that is less than the opening time alone gives."""
    if device.kind not in BREAKERS or device.rating is None:
        return None
    table = circuit.book.table("cable/breaker-let-through")
    curve = device.kind[-1]
    ratings = table.row_at_or_above("rating", device.rating, curve=curve)
    if ratings is None:
        return None
    row = table.row_at_or_above("prospective", near, curve=curve, rating=ratings.q("rating"))
    if row is None or row.q("let_through").si >= energy.si:
        return None
    return circuit.sheet.looked_up("let-through energy of the breaker, limiting class 3 [A²s]", row["let_through"])
