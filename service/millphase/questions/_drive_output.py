"""Output side of a drive: what motor and duty need, and what is left of the drive's rating where it stands."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from millphase.answer import Outcome, Sheet
from millphase.physics import drive as laws
from millphase.quantity import Quantity
from millphase.questions.base import View
from millphase.rulebook.model import Rule, Table

WHOLE = Quantity.of(1, "1")


def short(quantity: Quantity, digits: int = 3) -> str:
    """A quantity for a sentence."""
    return str(Quantity.of(float(f"{quantity.value:.{digits}g}"), quantity.unit))


@dataclass(frozen=True)
class Factors:
    """Shares of the rated output current that are left, one by one."""

    carrier: Quantity
    ambient: Quantity
    altitude: Quantity
    one_phase: Quantity
    one_phase_assumed: bool

    @property
    def together(self) -> float:
        """Their product [1]."""
        return self.carrier.si * self.ambient.si * self.altitude.si * self.one_phase.si


@dataclass(frozen=True)
class Output:
    """What the output side comes to."""

    needed: Quantity
    available: Quantity | None = None
    enough: bool = False
    remedy: str = ""


def size(sheet: Sheet, book: View, request: dict[str, Any], carrier: Quantity) -> Output:
    """Work out the current needed and the current left, and compare."""
    drive = request.get("drive", {})
    needed = _needed(sheet, book, request)
    sheet.value("required_output_current", needed)
    limit = book.limit("drive/output-current")
    if "rated_output_current" not in drive:
        sheet.find(Outcome.INCONCLUSIVE, limit, measured=needed, because="No drive is named yet.")
        sheet.next_step(f"Choose a drive whose rated output current, after all deratings, is at least {short(needed)}.")
        return Output(needed)
    rated = drive["rated_output_current"]
    factors = _factors(sheet, book, request, carrier)
    available = sheet.step(
        "output current left", laws.output_current_left, unit="A",
        I=rated, c=factors.carrier, a=factors.ambient, h=factors.altitude, s=factors.one_phase,
    )  # fmt: skip
    sheet.value("available_output_current", available)
    if not available.si:
        sheet.find(
            Outcome.REJECT,
            limit,
            measured=needed,
            limit=available,
            because="The deratings leave nothing of the drive's rating.",
        )
        remedy = "bring it cooler air, or mount it elsewhere"
        sheet.next_step("Bring the drive cooler air, or mount it elsewhere.")
        return Output(needed, available, remedy=remedy)
    share = sheet.step("share of it the motor needs", laws.share_of, unit="%", rule=limit, a=needed, b=available)
    finding = sheet.compare(
        limit,
        share,
        because=f"The motor and its duty need {short(needed)}; {short(available)} of the drive's {rated} is left.",
    )
    sheet.value("output_current_share", share)
    enough = finding.outcome is Outcome.ACCEPT
    if enough and factors.one_phase_assumed:
        _ask_the_maker(sheet, book, needed, available, factors)
    remedy = "" if enough else _remedy(sheet, book, drive, needed, factors, carrier)
    return Output(needed, available, enough, remedy)


def _needed(sheet: Sheet, book: View, request: dict[str, Any]) -> Quantity:
    """Rated output current that the motor's current and the duty ask for."""
    heavy = book.constant("drive/overload-heavy")
    if "duty" not in request:
        sheet.assume("duty", "heavy", heavy)
    duty = heavy if request.get("duty", "heavy") == "heavy" else book.constant("drive/overload-normal")
    allowed = request.get("drive", {}).get("overload")
    if allowed is None:
        allowed = duty.value
        sheet.assume("drive.overload", allowed, duty)
    return sheet.step(
        "rated output current needed", laws.output_current_needed, unit="A", rule=duty,
        I=request["motor"]["current"], k=duty.value, o=allowed,
    )  # fmt: skip


def carrier_frequency(sheet: Sheet, book: View, request: dict[str, Any]) -> Quantity:
    """The carrier frequency set, or the usual one."""
    given: Quantity | None = request.get("drive", {}).get("carrier_frequency")
    if given is not None:
        return given
    usual = book.constant("drive/carrier-frequency")
    sheet.assume("drive.carrier_frequency", usual.value, usual)
    return usual.value


def _factors(sheet: Sheet, book: View, request: dict[str, Any], carrier: Quantity) -> Factors:
    drive, site = request.get("drive", {}), request.get("site", {})
    factors = Factors(
        _carrier_factor(sheet, book, drive, carrier),
        _ambient_factor(sheet, book, drive, site),
        _altitude_factor(sheet, book, site),
        *_one_phase_factor(sheet, book, request),
    )
    for name, factor in (
        ("carrier_factor", factors.carrier),
        ("ambient_factor", factors.ambient),
        ("altitude_factor", factors.altitude),
        ("single_phase_factor", factors.one_phase),
    ):
        sheet.value(name, factor.to("%"))
    return factors


def _carrier_factor(sheet: Sheet, book: View, drive: dict[str, Any], carrier: Quantity) -> Quantity:
    """The maker's factor, or the typical curve at the next frequency above; nothing is interpolated."""
    typical = book.table("drive/carrier-derating")
    if "carrier_factor" in drive:
        given: Quantity = drive["carrier_factor"]
        _cost(
            sheet,
            book.rule("drive/own-figures"),
            given,
            f"the drive's own manual, at a carrier frequency of {carrier},",
        )
        return given
    row = typical.row_at_or_above("carrier", carrier) or typical.rows()[-1]
    factor = sheet.looked_up(f"share left at a carrier frequency of {carrier}", row["factor"])
    sheet.assume("drive.carrier_factor", factor, row)
    _cost(sheet, typical, factor, f"a carrier frequency of {carrier} (typical curve)")
    mild = book.table("drive/carrier-derating-mild")
    other = mild.row_at_or_above("carrier", carrier)
    if other is not None:
        sheet.find(
            Outcome.ACCEPT, mild, decides=False, measured=other.q("factor"),
            because=f"Another maker leaves {100 * other.q('factor').si:.3g} % at {other.q('carrier')}; the stricter is used.",
        )  # fmt: skip
    if carrier.si > row.q("carrier").si:
        sheet.find(
            Outcome.INCONCLUSIVE, typical, measured=carrier, limit=row.q("carrier"),
            because=f"The typical curve ends at {row.q('carrier')}; look up the drive's own factor for {carrier}.",
        )  # fmt: skip
    return factor


def _cost(sheet: Sheet, rule: Rule, factor: Quantity, what: str) -> None:
    """Note what one factor costs."""
    if factor.si < 1:
        sheet.find(
            Outcome.ACCEPT, rule, decides=False, measured=factor.to("%"),
            because=f"{what[0].upper()}{what[1:]} leaves {100 * factor.si:.3g} % of the rated output current.",
        )  # fmt: skip


def _ambient_factor(sheet: Sheet, book: View, drive: dict[str, Any], site: dict[str, Any]) -> Quantity:
    free = book.constant("drive/ambient-free")
    if "ambient" not in site:
        sheet.assume("site.ambient", free.value, free)
        return WHOLE
    ambient = site["ambient"]
    if ambient.si <= free.value.si:
        return WHOLE
    rule, rate = _ambient_rate(sheet, book, drive)
    factor = sheet.step(
        "share left at the ambient temperature",
        laws.straight_derating,
        unit="%",
        rule=rule,
        r=rate,
        x=ambient,
        x0=free.value,
    )
    _cost(sheet, rule, factor, f"air of {ambient}")
    greatest = book.limit("drive/ambient-greatest")
    sheet.compare(
        greatest, ambient, otherwise=Outcome.CAUTION,
        because=f"The air around the drive reaches {ambient}, and derating is stated for {greatest.value} at most.",
    )  # fmt: skip
    return factor


def _ambient_rate(sheet: Sheet, book: View, drive: dict[str, Any]) -> tuple[Rule, Quantity]:
    """Loss for each kelvin: the maker's, or the strictest of those seen."""
    if "ambient_derating" in drive:
        return book.rule("drive/own-figures"), drive["ambient_derating"]
    strictest, mildest = book.constant("drive/ambient-derating"), book.constant("drive/ambient-derating-mild")
    sheet.assume("drive.ambient_derating", strictest.value, strictest)
    sheet.find(
        Outcome.ACCEPT, mildest, decides=False, measured=mildest.value,
        because=f"Makers lose from {mildest.value} to {strictest.value} for each kelvin; the strictest is used.",
    )  # fmt: skip
    return strictest, strictest.value


def _altitude_factor(sheet: Sheet, book: View, site: dict[str, Any]) -> Quantity:
    free = book.constant("drive/altitude-free")
    if "altitude" not in site:
        sheet.assume("site.altitude", free.value, free)
        return WHOLE
    altitude = site["altitude"]
    if altitude.si <= free.value.si:
        return WHOLE
    greatest = book.limit("drive/altitude-greatest")
    high = altitude.si > greatest.value.si
    rate = book.constant("drive/altitude-derating-high" if high else "drive/altitude-derating")
    factor = sheet.step(
        "share left in thin air", laws.altitude_derating, unit="%", rule=rate,
        r=rate.value, h=altitude, h0=free.value, s=book.constant("drive/altitude-step").value,
    )  # fmt: skip
    _cost(sheet, rate, factor, f"a site at {altitude}")
    sheet.compare(
        greatest, altitude, otherwise=Outcome.CAUTION,
        because=f"The drive stands at {altitude}, and above {greatest.value} its manual restricts the kind of supply.",
    )  # fmt: skip
    return factor


def on_one_phase(request: dict[str, Any]) -> bool:
    """Whether a drive made for three phases is fed with one."""
    inlet, supplied = request.get("drive", {}).get("input_phases"), request.get("supply", {}).get("phases")
    return (inlet, supplied) == (3, 1)


def _one_phase_factor(sheet: Sheet, book: View, request: dict[str, Any]) -> tuple[Quantity, bool]:
    """Share left on one phase at a three-phase input, and whether it is assumed: the usual rule, for want of the maker's."""
    if not on_one_phase(request):
        return WHOLE, False
    given: Quantity | None = request["drive"].get("single_phase_factor")
    if given is not None:
        _cost(
            sheet,
            book.rule("drive/own-figures"),
            given,
            "the drive's own manual, for one phase at a three-phase input,",
        )
        return given, False
    usual = book.constant("drive/one-phase-on-three")
    factor = sheet.looked_up("share left on one phase", usual)
    sheet.assume("drive.single_phase_factor", factor, usual)
    sheet.find(
        Outcome.CAUTION, usual, measured=factor.to("%"),
        because="The drive is made for three phases: some makers forbid one, others trip on a missing phase.",
    )  # fmt: skip
    sheet.next_step("Ask the drive's maker whether it may be fed with one phase, and what is left of its rating then.")
    return factor, True


def _ask_the_maker(sheet: Sheet, book: View, needed: Quantity, available: Quantity, factors: Factors) -> None:
    """Enough by the usual rule for one phase is open while it is not enough by the strictest."""
    strict = book.constant("drive/one-phase-on-three-strict")
    left = sheet.step(
        "output current left by the strictest rule for one phase", "I2 = I1 × s2 / s", unit="A", rule=strict,
        I1=available, s2=strict.value, s=factors.one_phase,
    )  # fmt: skip
    enough = left.si >= needed.si
    sheet.find(
        Outcome.ACCEPT if enough else Outcome.INCONCLUSIVE, strict, measured=needed, limit=left,
        because=(
            f"The strictest rule for one phase at a three-phase input leaves {short(left)} where {short(needed)} is needed"
            f"{', which is enough' if enough else ': only the maker can say whether this drive will do'}."
        ),
    )  # fmt: skip


def _remedy(
    sheet: Sheet, book: View, drive: dict[str, Any], needed: Quantity, factors: Factors, carrier: Quantity
) -> str:
    """Say what would make it enough: a lower carrier frequency, or a larger drive."""
    larger = sheet.step(
        "rated output current that would do under these conditions", "I2 = I0 / (c × a × h × s)", unit="A",
        I0=needed, c=factors.carrier, a=factors.ambient, h=factors.altitude, s=factors.one_phase,
    )  # fmt: skip
    remedy = f"take a drive of at least {short(larger)}"
    others = drive["rated_output_current"].si * factors.together / factors.carrier.si
    lower = _lower_carrier(book.table("drive/carrier-derating"), carrier, needed.si / others)
    if lower:
        remedy = f"run it at {lower} or less (then check the drive's own factor there), or {remedy}"
    sheet.next_step(f"{remedy[0].upper()}{remedy[1:]}.")
    return remedy


def _lower_carrier(curve: Table, carrier: Quantity, share_needed: float) -> Quantity | None:
    """Highest carrier frequency below the one set at which the typical curve leaves enough, where one does."""
    fits = [
        row.q("carrier")
        for row in curve.rows()
        if row.q("carrier").si < carrier.si and row.q("factor").si >= share_needed
    ]
    return max(fits, key=lambda frequency: frequency.si, default=None)
