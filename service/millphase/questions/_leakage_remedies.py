"""Where a circuit stands against its RCD, alone and together, and what each remedy would bring it to."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from millphase.physics import leakage
from millphase.quantity import Quantity
from millphase.questions._leakage_faults import NOTHING, Fault
from millphase.questions._leakage_items import Bench, Item, drive_items, drive_name
from millphase.questions._residual_current import Thresholds

NEAR = 1 + 1e-9


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


def several(items: list[Item]) -> bool:
    """Whether more than one thing leaks."""
    return sum(item.count for item in items) > 1


def leak_together(bench: Bench, what: str, items: list[Item], *, expected: bool = False) -> Quantity:
    """Sum of leakages that flow at once, with the coincidence factor of the rule set where it is not one."""
    total = add(bench, what, [item.expected if expected else item.limit for item in items])
    factor = bench.book.constant("leakage/coincidence")
    if not several(items) or factor.value.si == 1:
        return total
    return bench.sheet.step(f"{what}, coinciding", "I = k × S", unit="mA", rule=factor, k=factor.value, S=total)


def _drive_alone(case: Case, index: int) -> dict[str, Any]:
    """One drive on an RCD of its own, of the same rating."""
    name, own = drive_name(case.drives[index], index), own_items(case, index)
    standing = leak_together(case.bench, f"standing leakage of {name} alone", own)
    typical = _typical(case, f"standing leakage of {name} alone, as expected", own, standing)
    faults = [case.faults[index]]
    return case.row(f"{name} on its own RCD", standing, *_with_faults(case, f"{name} alone", standing, typical, faults))


def _typical(case: Case, what: str, items: list[Item], standing: Quantity) -> Quantity:
    """Sum of what is expected, the sum of limits itself where the two do not differ."""
    if all(item.expected.si == item.limit.si for item in items):
        return standing
    return leak_together(case.bench, what, items, expected=True)


def own_items(case: Case, index: int) -> list[Item]:
    """Filter and motor cable of one drive, also where a reading stands for the whole circuit."""
    return drive_items(case.bench, case.drives[index], index)


def comparison(case: Case) -> list[dict[str, Any]]:
    """All on one RCD against each drive on its own, and what would be left on this one."""
    together = case.row("all on this RCD", case.standing, case.bound, case.expected)
    found = [{"arrangement": "all on this RCD", **together}]
    for index, drive in enumerate(case.drives):
        found.append({"arrangement": f"{drive_name(drive, index)} alone on its own RCD", **_drive_alone(case, index)})
    if case.drives:
        rest, typical = _rest(case)
        if rest.si > 0:
            row = case.row("what is left on this RCD without the drives", rest, rest, typical)
            found.append({"arrangement": "everything but the drives on this RCD", **row})
    return found


def _rest(case: Case) -> tuple[Quantity, Quantity]:
    """Standing leakage of everything but the drives, at its limit and as expected."""
    what = "standing leakage of everything but the drives"
    if "measured_standing" not in case.request:
        rest = [item for item in case.items if item.drive < 0 and item.counts]
        limit = leak_together(case.bench, what, rest)
        return limit, _typical(case, f"{what}, as expected", rest, limit)
    own = [item.limit for index in range(len(case.drives)) for item in own_items(case, index)]
    drives = add(case.bench, "leakage of the drives by their instructions", own)
    left = case.bench.sheet.step(what, "I = max(S − D, 0)", unit="mA", S=case.standing, D=drives)
    return left, left


def _replaced(case: Case, what: str, each: Quantity) -> tuple[Quantity, Quantity] | None:
    """Standing leakage with the filters that leak more than `each` brought down to it; None where none does."""
    own = [item for index in range(len(case.drives)) for item in own_items(case, index)]
    filters = [item for item in own if item.kind == "drive-filter" and item.limit.si > each.si * NEAR]
    if not filters:
        return None
    formula = "I = max(S − F, 0) + n × i"
    known: dict[str, Any] = {"unit": "mA", "n": len(filters), "i": each}
    total = add(case.bench, f"leakage of the filters that would be changed, {what}", [item.limit for item in filters])
    standing = case.bench.sheet.step(f"standing leakage with {what}", formula, S=case.standing, F=total, **known)
    if case.typical.si == case.standing.si and all(item.expected.si == item.limit.si for item in filters):
        return standing, standing
    expected = _typical(case, f"the same filters as expected, {what}", filters, total)
    typical = case.bench.sheet.step(
        f"standing leakage with {what}, as expected", formula, S=case.typical, F=expected, **known
    )
    return standing, typical


def remedies(case: Case, arrangements: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """What would help, best first, each with the residual current it would bring.

    Parameters
    ----------
    case : Case
        The circuit.
    arrangements : list
        The comparison without its first row: drives alone, and what is left.
    """
    found: list[dict[str, Any]] = []
    book = case.bench.book
    advice = {row.text("remedy"): row.text("advice") for row in book.table("leakage/remedies").rows()}
    advice["divide-loads"] = book.text("leakage/divide-loads")

    def offer(remedy: str, standing: Quantity, bound: Quantity, expected: Quantity) -> None:
        row = case.row(remedy, standing, bound, expected)
        found.append({"remedy": remedy, **row, "advice": advice[remedy]})

    if case.insulation_matters:
        offer("repair-insulation", case.standing, case.standing, case.typical)
    worst = max(arrangements, key=lambda row: row["current"].si, default=None)
    if worst is not None and worst["current"].si * NEAR < case.bound.si:
        row = {name: worst[name] for name in ("current", "trip_share", "verdict")}
        found.append({"remedy": "own-rcd", **row, "advice": advice["own-rcd"]})
    shares = _divided(case)
    if shares is not None:
        offer("divide-loads", *shares)
    for remedy, what in (("low-leakage-filter", "filters of low leakage"), ("filter-removed", "filters disconnected")):
        replaced = _replaced(case, what, book.constant(f"leakage/{remedy}").value)
        if replaced is not None:
            bound, expected = _with_faults(case, what, *replaced, case.faults)
            offer(remedy, replaced[0], bound, expected)
    if len(case.drives) == 1:
        rest, typical = _rest(case)
        offer("isolating-transformer", rest, rest, typical)
    return found


def _divided(case: Case) -> tuple[Quantity, Quantity, Quantity] | None:
    """Loads without the drives shared out evenly over as many RCDs as bring each within budget; None where one will do."""
    rest, typical = _rest(case)
    if rest.si <= case.budget.si * NEAR:
        return None
    count = math.ceil(rest.si / case.budget.si / NEAR)
    known: dict[str, Any] = {"unit": "mA", "n": count}
    share = case.bench.sheet.step(f"leakage of the loads shared out over {count} RCDs", "I = S / n", S=rest, **known)
    expected = share
    if typical.si != rest.si:
        expected = case.bench.sheet.step(f"the same as expected, {count} RCDs", "I = S / n", S=typical, **known)
    return share, share, expected


def _with_faults(
    case: Case, what: str, standing: Quantity, typical: Quantity, faults: list[Fault | None]
) -> tuple[Quantity, Quantity]:
    """Bound and expectation with the motors' insulation as it is: changing a filter does not mend a winding."""
    present = [fault for fault in faults if fault is not None]
    if not present:
        return standing, typical
    mains = add(case.bench, f"insulation currents at supply frequency, {what}", [fault.mains for fault in present])
    bounds = [standing, *(fault.bound for fault in present)]
    bound = add(case.bench, f"bounding residual current, {what}", bounds)
    expected = case.bench.sheet.step(
        f"expected residual current, {what}", leakage.quadrature_sum, unit="mA", Ic=typical, Ir=mains
    )
    return bound, expected
