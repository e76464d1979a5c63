"""Whether the supply can feed the drive: voltage drop, house fuse, harmonics, plug and protective device."""

from __future__ import annotations

from typing import Any

from millphase.answer import Outcome, Sheet
from millphase.physics import drive as laws
from millphase.physics import rectifier
from millphase.physics.rectifier import SteadyState
from millphase.quantity import Quantity
from millphase.questions._drive_circuit import Supplied, work_out
from millphase.questions._drive_output import on_one_phase, short
from millphase.questions.base import View, contradiction
from millphase.rulebook.model import Row

# Household plugs are made for 250 V; the supply's tolerance is allowed for.
_HOUSEHOLD_PLUG_V = 265.0
_HOUSEHOLD_PLUGS = ("plug-13a", "plug-15a", "plug-20a")


def judge(
    sheet: Sheet, book: View, request: dict[str, Any], supplied: Supplied, settled: SteadyState, current: Quantity
) -> None:
    """Voltage drop, flattened crest, and share of the house's supply fuse."""
    supply = request["supply"]
    voltage = Quantity.si_value(supplied.circuit.voltage_v, "V")
    drop = book.limit("drive/supply-drop")
    share = sheet.step(
        "voltage drop at the input current", laws.voltage_drop_share, unit="%", rule=drop,
        I=Quantity.si_value(settled.current_a, "A"), R=supplied.resistance, X=supplied.reactance, U=voltage,
    )  # fmt: skip
    sheet.value("supply_voltage_drop", share)
    crest = work_out(
        sheet, supplied, "drop at the crest of the voltage", rectifier.bridge_crest_drop, settled.crest_drop, "%"
    )
    sheet.value("crest_voltage_drop", crest)
    if supplied.impedance_known:
        flattened = f" and flattens its crest by {short(crest, 2)}" if crest.si > 0 else ""
        because = f"The input current drops {short(share)} of the voltage in the supply's impedance{flattened}."
        sheet.compare(drop, share, otherwise=Outcome.CAUTION, because=because)
    else:
        because = "The supply's impedance is not known, so its voltage drop has not been judged."
        sheet.find(Outcome.CAUTION, drop, because=because)
    if on_one_phase(request):
        _check_one_phase_choke(sheet, book, supplied)
    check_fuse(sheet, book, supply, current)


def _check_one_phase_choke(sheet: Sheet, book: View, supplied: Supplied) -> None:
    """A three-phase input on one phase needs a choke: its two busy diodes and its capacitor carry it all."""
    limit = book.limit("drive/one-phase-choke")
    share = sheet.step(
        "choke fitted, by its voltage drop", "z = 2 × π × f × L × P / U²", unit="%", rule=limit, f=supplied.frequency,
        L=Quantity.si_value(supplied.circuit.choke_inductance_h, "mH"), P=Quantity.si_value(supplied.circuit.power_w, "W"),
        U=Quantity.si_value(supplied.circuit.voltage_v, "V"),
    )  # fmt: skip
    found = sheet.compare(
        limit,
        share,
        otherwise=Outcome.CAUTION,
        because=f"The drive is made for three phases and has a choke of {short(share)}.",
    )
    if found.outcome is not Outcome.ACCEPT:
        sheet.next_step(
            "Fit a line choke: a three-phase drive on one phase overloads its rectifier and capacitor without it."
        )


def check_fuse(sheet: Sheet, book: View, supply: dict[str, Any], current: Quantity) -> None:
    """Share of the house's supply fuse that the drive takes."""
    fuse = supply.get("house_fuse")
    if fuse is None:
        usual = book.constant("rectifier/house-fuse")
        fuse = usual.value
        sheet.assume("supply.house_fuse", fuse, usual)
    limit = book.limit("rectifier/house-fuse-share")
    share = sheet.step("share of the house's supply fuse", laws.share_of, unit="%", rule=limit, a=current, b=fuse)
    sheet.value("house_fuse_share", share)
    over = Outcome.REJECT if share.si > 1 else Outcome.CAUTION
    sheet.compare(limit, share, otherwise=over, because=f"The drive takes {short(share)} of a {fuse} supply fuse.")


def harmonics(sheet: Sheet, book: View, power: Quantity, settled: SteadyState, current: Quantity) -> None:
    """Which harmonic limits apply; informative, since they bind whoever sells the drive."""
    scope, professional = book.limit("rectifier/harmonic-scope"), book.limit("rectifier/harmonic-professional")
    if current.si > scope.value.si:
        sheet.find(
            Outcome.ACCEPT, scope, decides=False, measured=current, limit=scope.value,
            because="Above 16 A the wider harmonic rules apply, which ask for a strong supply or a choke; the network operator may be asked.",
        )  # fmt: skip
        return
    if power.si > professional.value.si:
        sheet.find(
            Outcome.ACCEPT, professional, decides=False, measured=power, limit=professional.value,
            because="Professional equipment above 1 kW has no limits under 16 A; equipment sold to the public has.",
        )  # fmt: skip
        return
    for row in book.table("rectifier/harmonic-class-a").rows():
        order = round(row.q("order").si)
        measured = Quantity.si_value(settled.harmonics_a[order], "A")
        bound = row.q("current")
        sheet.find(
            Outcome.ACCEPT if measured.si <= bound.si else Outcome.CAUTION, row, decides=False, measured=measured, limit=bound,
            because=f"Harmonic {order} of the input current against the limit for small equipment.",
        )  # fmt: skip


def connect(
    sheet: Sheet, book: View, request: dict[str, Any], current: Quantity, settled: SteadyState | None = None
) -> str:
    """Plug or fixed wiring, and the protective device; returns the advice for the summary."""
    supply, american = request["supply"], request["wiring_rules"] == "nfpa-70"
    rating = device(sheet, book, supply, current, american=american)
    if rating is not None and settled is not None and not american:
        _recurrent_peaks(sheet, book, rating, settled)
    means = supply.get("connected_by")
    named = _plug(supply, means, american=american)
    circuit = f"a dedicated circuit{f' with a {short(rating)} device' if rating else ''} is needed"
    if named is None:
        return f"a {short(rating)} device carries it" if rating else ""
    plug = book.limit(f"rectifier/{named}")
    words = _spoken(named)
    finding = sheet.compare(
        plug, current, decides=means != "fixed", otherwise=Outcome.CAUTION if means is None else Outcome.REJECT,
        because=f"The drive takes {short(current)} where {words} may carry {short(plug.value)} all day.",
    )  # fmt: skip
    if finding.outcome is Outcome.ACCEPT and means == "fixed":
        return ""
    if finding.outcome is Outcome.ACCEPT:
        sheet.next_step(
            "Before relying on a plug have the leakage budget work out the protective-conductor current: a drive with "
            "a filter may need fixed wiring or an industrial plug."
        )
        return f"{words} can feed it"
    if means == "fixed":
        sheet.next_step("Give the drive a circuit of its own, and size its cable.")
    else:
        sheet.next_step(
            f"{words[0].upper()}{words[1:]} cannot feed the drive: provide a dedicated circuit, and size its cable."
        )
    return f"{words} cannot feed it: {circuit}"


def _spoken(plug: str) -> str:
    return f"a {plug.removeprefix('plug-').removesuffix('a')} A plug"


def _plug(supply: dict[str, Any], means: str | None, *, american: bool) -> str | None:
    """The plug to hold the current against: the one named, else the household one where that could be used at all."""
    three_phases, high = supply["phases"] == 3, supply["voltage"].si > _HOUSEHOLD_PLUG_V
    if (three_phases and means == "plug-13a") or (high and means in _HOUSEHOLD_PLUGS):
        raise contradiction(
            "/supply/connected_by",
            f"{_spoken(str(means))} does not bring {supply['voltage']} {'three-phase' if three_phases else 'single-phase'}; "
            "look at the plug and the supply again",
        )
    if means not in (None, "fixed"):
        return means
    if three_phases or high:
        return None
    return "plug-20a" if american else "plug-13a"


def device(sheet: Sheet, book: View, supply: dict[str, Any], current: Quantity, *, american: bool) -> Quantity | None:
    """Rating of the circuit's device: the one given if it is enough, else the least standard one that carries the current."""
    needed = _continuous(sheet, book, current) if american else current
    given: Quantity | None = supply.get("device_rating")
    if given is not None:
        limit = book.limit("rectifier/device-rating")
        share = sheet.step(
            "current needed over the device's rating", laws.share_of, unit="%", rule=limit, a=needed, b=given
        )
        verb = "is within" if share.si <= 1 else "is more than"
        because = f"The device must be rated for {short(needed)}, which {verb} the {given} of the one given."
        if sheet.compare(limit, share, because=because).outcome is Outcome.ACCEPT:
            return given
    row = _next_rating(book, needed, american=american)
    if row is None:
        return None
    rating = sheet.looked_up("least standard rating that carries it", row["rating"])
    sheet.value("protective_device_rating", rating)
    fuses = book.table("rectifier/maker-fuses")
    sheet.find(
        Outcome.ACCEPT, fuses, decides=False, measured=rating,
        because="Makers' own fuses for one size of drive differ by a factor of two: the drive's manual goes before this rating.",
    )  # fmt: skip
    return rating


def _continuous(sheet: Sheet, book: View, current: Quantity) -> Quantity:
    """North American rules take a drive as a continuous load: its device is rated above its current."""
    limit = book.limit("cable-nfpa-70/continuous-load-device")
    return sheet.step(
        "least device rating for a continuous load", "I1 = k × I", unit="A", rule=limit, k=limit.value, I=current
    )


def _next_rating(book: View, needed: Quantity, *, american: bool) -> Row | None:
    if american:
        return book.table("cable-nfpa-70/standard-ratings").row_at_or_above(
            "rating", needed, applies="breaker-and-fuse"
        )
    return book.table("rectifier/device-ratings").row_at_or_above("rating", needed)


def _recurrent_peaks(sheet: Sheet, book: View, rating: Quantity, settled: SteadyState) -> None:
    """Whether the current's peaks come near the instantaneous trip of a type B circuit-breaker."""
    least = book.constant("rectifier/instantaneous-b")
    crest = sheet.step(
        "crest at which a type B device may trip at once",
        "I = √(2) × k × I0",
        unit="A",
        rule=least,
        k=least.value,
        I0=rating,
    )
    peak = Quantity.si_value(settled.peak_current_a, "A")
    near = peak.si > crest.si
    sheet.find(
        Outcome.CAUTION if near else Outcome.ACCEPT, least, decides=False, measured=peak, limit=crest,
        because=f"Every half-wave peaks at {short(peak)}; a type B circuit-breaker of {short(rating)} may trip at {short(crest)}.",
    )  # fmt: skip
    if near:
        sheet.next_step("Take a circuit-breaker of type C or a fuse: the peaks of the current would trip type B.")
