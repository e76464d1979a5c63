"""The protective device at the origin of the circuit: which one, whether it carries the load, and whether it can break a fault."""

from __future__ import annotations

from dataclasses import dataclass

from millphase.answer import Outcome
from millphase.quantity import Quantity
from millphase.questions._cable_circuit import Circuit, short
from millphase.questions.base import contradiction
from millphase.rulebook import Table

BREAKERS = ("mcb-b", "mcb-c", "mcb-d")
FUSES = ("fuse-gg", "fuse-bs1362", "fuse-bs3036")
PLUG_FUSE = "fuse-bs1362"
NAMES = {
    "mcb-b": "type B circuit-breaker", "mcb-c": "type C circuit-breaker", "mcb-d": "type D circuit-breaker",
    "fuse-gg": "gG fuse", "fuse-bs1362": "plug fuse", "fuse-bs3036": "rewirable fuse",
    "inverse-time-breaker": "inverse-time breaker", "time-delay-fuse": "time-delay fuse",
    "non-time-delay-fuse": "fuse without time delay",
}  # fmt: skip
SLACK = 1e-9


@dataclass(frozen=True)
class Device:
    """The protective device at the origin of the circuit; `rating` is None where no rating is great enough."""

    kind: str
    rating: Quantity | None
    known: bool

    def __str__(self) -> str:
        return f"{short(self.rating)} {NAMES[self.kind]}" if self.rating else NAMES[self.kind]

    @property
    def with_article(self) -> str:
        """The device in a sentence: a 16 A, an 80 A breaker."""
        spoken = str(self)
        return f"an {spoken}" if spoken.startswith(("8", "11 ", "18 ", "inverse")) else f"a {spoken}"


def protective_device(circuit: Circuit) -> Device | None:
    """The device asked for, or the next preferred rating; None behind a drive, which guards its own output.

    Raises
    ------
    Contradiction
        When a device is named on a drive's output, or a plug fuse that nobody makes.
    """
    request, book, sheet = circuit.request, circuit.book, circuit.sheet
    given = request.get("protective_device", {})
    if circuit.on_drive_output:
        refuse_behind_drive(circuit)
        return None
    kind = given.get("kind")
    if kind is None:
        kind = "mcb-b"
        sheet.assume("protective_device/kind", kind, book.rule("cable/default-device"))
    ratings = _ratings(circuit, kind)
    if "rating" in given:
        if kind == PLUG_FUSE and ratings is not None:
            _refuse_large_plug_fuse(ratings, given["rating"])
        return Device(kind, given["rating"], ratings is not None)
    row = ratings.row_at_or_above("rating", circuit.current) if ratings else None
    return Device(kind, sheet.looked_up("next preferred rating", row["rating"]) if row else None, ratings is not None)


def refuse_behind_drive(circuit: Circuit) -> None:
    """Refuse a protective device or an RCD between a drive and its motor.

    Raises
    ------
    Contradiction
        When the request names either.
    """
    if circuit.request.get("protective_device"):
        raise contradiction(
            "/protective_device", "a drive guards its own motor cable; leave the device out or size the supply"
        )
    if "rcd" in circuit.request:
        raise contradiction(
            "/rcd", "an RCD stands ahead of the drive, never behind it; leave it out or size the supply"
        )


def _refuse_large_plug_fuse(ratings: Table, rating: Quantity) -> None:
    largest = ratings.rows()[-1].q("rating")
    if rating.si > largest.si * (1 + SLACK):
        raise contradiction(
            "/protective_device/rating", f"no plug fuse is rated above {largest}; read the marking on the fuse again"
        )


def _ratings(circuit: Circuit, kind: str) -> Table | None:
    if kind in BREAKERS:
        return circuit.book.table("cable/breaker-ratings")
    own = f"{circuit.topic}/{kind}"
    return circuit.book.table(own) if kind in FUSES and circuit.book.has(own) else None


def judge_device(circuit: Circuit, device: Device) -> bool:
    """Compare the device with the design current; True where it can stay closed under the load."""
    book, sheet, topic = circuit.book, circuit.sheet, circuit.topic
    limit = book.limit(f"{topic}/overload-design-current")
    if device.rating is None:
        because = f"No {NAMES[device.kind]} in the tables is rated for {short(circuit.current)}; choose another kind."
        sheet.find(Outcome.REJECT, limit, because=because, measured=circuit.current)
        sheet.next_step("Choose another kind of protective device, or split the load over two circuits.")
        return False
    against = sheet.step("least device rating", "In = n × Ib", unit="A", rule=limit, n=limit.value, Ib=circuit.current)
    finding = sheet.compare(
        limit, device.rating, against=against,
        because=f"The {device} must carry the design current of {short(circuit.current)} without tripping.",
    )  # fmt: skip
    if finding.outcome is Outcome.REJECT:
        sheet.next_step(f"Choose a protective device of at least {short(against)}.")
    _judge_marking(circuit, device, device.rating)
    return finding.outcome is not Outcome.REJECT and _plug_holds(circuit)


def _plug_holds(circuit: Circuit) -> bool:
    """Whether a household plug, where the load has one, is rated for its current."""
    own = f"{circuit.topic}/household-plug-rating"
    if circuit.request.get("connection") != "household-plug" or not circuit.book.has(own):
        return True
    limit = circuit.book.limit(own)
    because = f"A household plug and its socket-outlet carry at most {short(limit.value)}; the load takes {short(circuit.current)}."
    finding = circuit.sheet.compare(limit, circuit.current, because=because)
    if finding.outcome is Outcome.REJECT:
        circuit.sheet.next_step("Connect the load permanently, or through an industrial plug and socket.")
        return False
    return True


def _judge_marking(circuit: Circuit, device: Device, rating: Quantity) -> None:
    """A breaker above the standard's range has no letter that says when it trips; a rating off the list may be misread."""
    coarse = f"{circuit.topic}/plug-fuse-overload"
    if device.kind == PLUG_FUSE and circuit.book.has(coarse):
        circuit.sheet.find(Outcome.ACCEPT, circuit.book.rule(coarse), because=circuit.book.text(coarse), decides=False)
    if device.kind not in BREAKERS:
        return
    table = circuit.book.table("cable/breaker-ratings")
    largest = table.rows()[-1]["rating"]
    if rating.si > table.rows()[-1].q("rating").si * (1 + SLACK):
        because = (
            f"Breakers with a type letter end at {largest.value}: when one of {short(rating)} trips stands in its own data, "
            "not in its letter."
        )
        circuit.sheet.find(Outcome.INCONCLUSIVE, largest, because=because, measured=rating)
        circuit.sheet.next_step(
            "Read the breaker's trip settings and its tripping current within the time allowed from its data sheet."
        )
    elif table.row(rating=rating) is None:
        because = f"{short(rating)} is not a preferred rating of circuit-breakers."
        circuit.sheet.find(Outcome.CAUTION, table, because=because, measured=rating, decides=False)
        circuit.sheet.next_step("Read the rating and the type letter on the breaker again.")


def judge_breaking(circuit: Circuit, near: Quantity | None) -> bool:
    """Hold the breaking capacity against the fault current where the device sits; True where that does not reject.

    Parameters
    ----------
    circuit : Circuit
        The circuit.
    near : Quantity or None
        Earth-fault current at the origin, worked out from a measured loop: the prospective current is at least that, so it
        can condemn a device but not clear it.
    """
    request, sheet, own = circuit.request, circuit.sheet, f"{circuit.topic}/breaking-capacity"
    if not circuit.book.has(own):
        return True
    rule = circuit.book.limit(own)
    capacity: Quantity | None = request.get("protective_device", {}).get("breaking_capacity")
    prospective: Quantity | None = request.get("prospective_fault_current")
    if capacity is None:
        if prospective is not None:
            because = (
                f"Whether the device can break {short(prospective)} stands on its front, not in its kind or rating."
            )
            sheet.find(Outcome.INCONCLUSIVE, rule, because=because, measured=prospective)
        return True
    reached = prospective or near
    if reached is not None and (prospective is not None or capacity.si < reached.si):
        least = sheet.step("least breaking capacity", "Icn = n × Ip", unit="kA", rule=rule, n=rule.value, Ip=reached)
        because = f"The device must break the fault current of {short(reached)} where it sits without bursting."
        finding = sheet.compare(rule, capacity, against=least, because=because)
        if finding.outcome is Outcome.REJECT:
            sheet.next_step(
                "Choose a device that can break more, or have the back-up protection upstream proved for it."
            )
        return finding.outcome is not Outcome.REJECT
    because = f"Without the prospective fault current it is not known whether {short(capacity)} is enough."
    sheet.find(Outcome.INCONCLUSIVE, rule, because=because, measured=capacity, decides=False)
    return True


def ask_for_breaking(circuit: Circuit) -> None:
    """Say what to read and measure where the breaking capacity could not be judged."""
    device = circuit.request.get("protective_device", {})
    known = "breaking_capacity" in device and "prospective_fault_current" in circuit.request
    known &= circuit.book.has(f"{circuit.topic}/breaking-capacity")
    if not known and not circuit.on_drive_output:
        circuit.sheet.next_step(
            "Read the breaking capacity on the protective device and measure the prospective fault current where it sits: "
            "without both it has not been judged whether the device can break a fault."
        )
