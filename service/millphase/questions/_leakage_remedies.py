"""Where a circuit stands against its RCD, alone and together, and what each remedy would bring it to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from millphase.quantity import Quantity
from millphase.questions._leakage_items import Bench, Item, drive_items, drive_name
from millphase.questions._residual_current import Thresholds

NOTHING = Quantity(0.0, "mA", "current")
NEAR = 1 + 1e-9


@dataclass(frozen=True)
class Fault:
    """Residual current of the insulation fault stated for one drive's motor."""

    mains: Quantity
    total: Quantity
    bound: Quantity


@dataclass(frozen=True)
class Case:
    """Everything that was worked out about the circuit.

    Attributes
    ----------
    standing, typical : Quantity
        Standing leakage at its limit and as expected.
    expected, bound : Quantity
        Residual current with the motors running: in quadrature, and as a plain sum that cannot be exceeded.
    faults : list
        One entry per drive, None where no motor insulation is stated.
    """

    bench: Bench
    request: dict[str, Any]
    items: list[Item]
    limits: Thresholds
    budget: Quantity
    standing: Quantity
    typical: Quantity
    expected: Quantity
    bound: Quantity
    faults: list[Fault | None]

    @property
    def insulation_matters(self) -> bool:
        """Whether the motors together let more through than can be neglected."""
        least = self.bench.book.limit("leakage/cannot-be-the-cause").value.si * self.limits.must_trip.si
        return sum(fault.bound.si for fault in self.faults if fault is not None) > least * NEAR

    @property
    def drives(self) -> list[dict[str, Any]]:
        """The drives of the request."""
        return list(self.request.get("drives", []))

    def verdict(self, standing: Quantity, bound: Quantity, expected: Quantity) -> str:
        """In one word how the RCD takes it."""
        if expected.si * NEAR >= self.limits.must_trip.si:
            return "certain-trip"
        if bound.si > self.limits.no_trip.si * NEAR:
            return "may-trip"
        return "over-budget" if standing.si > self.budget.si * NEAR else "within-budget"

    def row(self, name: str, standing: Quantity, bound: Quantity, expected: Quantity) -> dict[str, Any]:
        """One line of a comparison."""
        what = f"share of the trip current, {name}"
        share = self.bench.sheet.step(what, "k = I / In", unit="%", I=bound, In=self.limits.must_trip)
        return {
            "current": bound.to("mA"), "trip_share": share, "verdict": self.verdict(standing, bound, expected),
        }  # fmt: skip


def add(bench: Bench, what: str, parts: list[Quantity]) -> Quantity:
    """Plain sum of currents, written out."""
    if not parts:
        return NOTHING
    symbols = {f"I{index}": part for index, part in enumerate(parts, 1)}
    return bench.sheet.step(what, "I = " + " + ".join(symbols), unit="mA", rule=None, **symbols)


def _drive_alone(case: Case, index: int) -> dict[str, Any]:
    """One drive on an RCD of its own, of the same rating."""
    drive = case.drives[index]
    name = drive_name(drive, index)
    own = _own_items(case, index)
    fault = case.faults[index]
    standing = add(case.bench, f"standing leakage of {name} alone", [item.limit for item in own])
    if fault is None:
        return case.row(f"{name} on its own RCD", standing, standing, standing)
    bound = add(case.bench, f"bounding residual current of {name} alone", [standing, fault.bound])
    expected = case.bench.sheet.step(
        f"expected residual current of {name} alone", "I = √(Ic² + Ir²)", unit="mA", Ic=standing, Ir=fault.mains
    )
    return case.row(f"{name} on its own RCD", standing, bound, expected)


def _own_items(case: Case, index: int) -> list[Item]:
    """Filter and motor cable of one drive, also where a reading stands for the whole circuit."""
    listed = [item for item in case.items if item.drive == index and item.counts]
    return listed or drive_items(case.bench, case.drives[index], index)


def comparison(case: Case) -> list[dict[str, Any]]:
    """All on one RCD against each drive on its own."""
    together = case.row("all on this RCD", case.standing, case.bound, case.expected)
    found = [{"arrangement": "all on this RCD", **together}]
    for index, drive in enumerate(case.drives):
        found.append({"arrangement": f"{drive_name(drive, index)} alone on its own RCD", **_drive_alone(case, index)})
    return found


def _replaced(case: Case, what: str, each: Quantity) -> Quantity | None:
    """Standing leakage with the filters that leak more than `each` brought down to it; None where none does."""
    own = [item for index in range(len(case.drives)) for item in _own_items(case, index)]
    filters = [item.limit for item in own if item.kind == "drive-filter" and item.limit.si > each.si * NEAR]
    if not filters:
        return None
    total = add(case.bench, f"leakage of the filters that would be changed, {what}", filters)
    return case.bench.sheet.step(
        f"standing leakage with {what}", "I = max(S − F, 0) + n × i", unit="mA", S=case.standing, F=total,
        n=len(filters), i=each,
    )  # fmt: skip


def remedies(case: Case, alone: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """What would help, best first, each with the residual current it would bring."""
    found: list[dict[str, Any]] = []
    book = case.bench.book
    advice = {row.text("remedy"): row.text("advice") for row in book.table("leakage/remedies").rows()}

    def offer(remedy: str, standing: Quantity, bound: Quantity, expected: Quantity) -> None:
        row = case.row(remedy, standing, bound, expected)
        found.append({"remedy": remedy, **row, "advice": advice[remedy]})

    if case.insulation_matters:
        offer("repair-insulation", case.standing, case.standing, case.standing)
    worst = max(alone, key=lambda row: row["current"].si, default=None)
    if worst is not None and worst["current"].si * NEAR < case.bound.si:
        row = {name: worst[name] for name in ("current", "trip_share", "verdict")}
        found.append({"remedy": "own-rcd", **row, "advice": advice["own-rcd"]})
    for remedy, what in (("low-leakage-filter", "filters of low leakage"), ("filter-removed", "filters disconnected")):
        replaced = _replaced(case, what, book.constant(f"leakage/{remedy}").value)
        if replaced is not None:
            offer(remedy, replaced, *_with_faults(case, what, replaced))
    if len(case.drives) == 1 and "measured_standing" not in case.request:
        rest = _without_drive(case)
        offer("isolating-transformer", rest, rest, rest)
    return found


def _with_faults(case: Case, what: str, standing: Quantity) -> tuple[Quantity, Quantity]:
    """Bound and expectation with the motors' insulation as it is: changing a filter does not mend a winding."""
    present = [fault for fault in case.faults if fault is not None]
    if not present:
        return standing, standing
    mains = add(case.bench, "insulation currents at supply frequency", [fault.mains for fault in present])
    bound = add(case.bench, f"bounding residual current with {what}", [standing, *(fault.bound for fault in present)])
    expected = case.bench.sheet.step(
        f"expected residual current with {what}", "I = √(Ic² + Ir²)", unit="mA", Ic=standing, Ir=mains
    )
    return bound, expected


def _without_drive(case: Case) -> Quantity:
    """Standing leakage of everything but the one drive."""
    rest = [item.limit for item in case.items if item.drive < 0 and item.counts]
    return add(case.bench, "standing leakage of everything but the drive", rest)
