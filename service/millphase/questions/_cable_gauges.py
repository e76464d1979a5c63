"""Every tabulated gauge of a circuit under nfpa-70, tried: ampacity where it lies and at its terminals, drop, device."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from millphase.answer import Sheet
from millphase.physics import conductor
from millphase.quantity import Quantity
from millphase.questions._cable_circuit import Circuit, short
from millphase.questions._cable_device import Device
from millphase.questions.base import contradiction
from millphase.rulebook import Cell, Row

TOPIC = "cable-nfpa-70"
HEAT, TERMINALS, DROP, OVERCURRENT = "heat", "terminals", "voltage drop", "overcurrent protection"
CHECKS = (HEAT, TERMINALS, DROP, OVERCURRENT)
SLACK = 1e-9


@dataclass
class Gauge:
    """One gauge with everything worked out for it; `fails` maps a check to its reason."""

    name: str
    area: Quantity
    cell: Cell
    corrected: Quantity
    at_terminals: Quantity
    drop: Quantity | None = None
    share: Quantity | None = None
    allowed: Quantity | None = None
    fails: dict[str, str] = field(default_factory=dict)

    @property
    def text(self) -> str:
        """The gauge in a sentence."""
        return self.name.replace("-awg", " AWG")


@dataclass(frozen=True)
class Need:
    """What every gauge is held against.

    Attributes
    ----------
    ampacity : Quantity
        Ampacity that the terminals must allow, 125 % of the current [A].
    carried : Quantity
        Ampacity that must be left after the corrections of the place: the same, but the bare current where the load is
        neither motor nor drive [A].
    drop_most : Quantity or None
        Drop that decides: the limit of the request, or what no load bears; None where the rule set has no such rule.
    """

    load: str
    current: Quantity
    ampacity: Quantity
    carried: Quantity
    factors: dict[str, Quantity]
    device: Device | None
    marked: Quantity | None
    drop_limit: Quantity
    drop_gates: bool
    drop_most: Quantity | None


def standard_rating(circuit: Circuit, current: Quantity, kind: str) -> Quantity | None:
    """The next standard rating of fuses or breakers at or above a current; None past the end of the table."""
    table = circuit.book.table(f"{TOPIC}/standard-ratings")
    fuse = kind != "inverse-time-breaker"
    ratings = [row.q("rating") for row in table.rows() if fuse or row.text("applies") == "breaker-and-fuse"]
    return next((rating for rating in ratings if rating.si >= current.si * (1 - SLACK)), None)


def _terminal_column(circuit: Circuit, need: Need, gauge: str) -> str:
    """Column of the ampacity table that the terminals allow for a gauge."""
    table = circuit.book.table(f"{TOPIC}/terminal-temperature")
    limit = need.marked or table.rows(gauge=gauge)[0].q("temperature")
    temperatures = circuit.book.coefficients(f"{TOPIC}/insulation-temperature").values
    return [name for name, temperature in temperatures.items() if temperature.si <= limit.si + SLACK][-1]


def gauges(circuit: Circuit, need: Need) -> list[Gauge]:
    """The gauges of the table that holds here, tried; only the one asked about where the request names one."""
    return [_try_gauge(circuit, need, row) for row in _asked_for(circuit, _tabulated(circuit))]


def least_enough(circuit: Circuit, need: Need) -> Gauge | None:
    """The smallest gauge with enough ampacity, whatever it drops and whichever one was asked about; its working is not kept."""
    aside = replace(circuit, sheet=Sheet(circuit.sheet.question, circuit.book))
    tried = (_try_gauge(aside, need, row) for row in _tabulated(circuit))
    return next((gauge for gauge in tried if set(gauge.fails) <= {DROP}), None)


def _tabulated(circuit: Circuit) -> Sequence[Row]:
    assert circuit.method_row is not None  # noqa: S101  # a missing table has been answered before
    return circuit.book.table(f"{TOPIC}/{circuit.method_row.text('capacity')}").rows()


def _asked_for(circuit: Circuit, rows: Sequence[Row]) -> Sequence[Row]:
    """All rows, or the one of the gauge (or cross-section) asked about."""
    gauge, area = circuit.request.get("gauge"), circuit.request.get("cross_section")
    if gauge is None and area is None:
        return rows
    pointer = "/gauge" if gauge is not None else "/cross_section"
    found = [row for row in rows if gauge in (None, row.text("gauge")) and _same_area(area, row.q("cross_section"))]
    if not found:
        named = ", ".join(f"{row.text('gauge')} ({row.q('cross_section')})" for row in rows)
        raise contradiction(pointer, f"no such conductor in the table that holds here; it has {named}")
    return found


def _same_area(area: Quantity | None, tabulated: Quantity) -> bool:
    return area is None or abs(area.si - tabulated.si) <= 0.01 * tabulated.si


def _try_gauge(circuit: Circuit, need: Need, row: Row) -> Gauge:
    assert circuit.method_row is not None  # noqa: S101  # a missing table has been answered before
    sheet, book = circuit.sheet, circuit.book
    column = circuit.method_row.text(f"{circuit.loaded}_column")
    name = row.text("gauge").replace("-awg", " AWG")
    corrected = sheet.step(
        f"corrected ampacity of {name}",
        "Iz = It × Ca × Cn",
        unit="A",
        rule=row[column],
        It=row.q(column),
        **need.factors,
    )
    terminal_row = book.table(f"{TOPIC}/capacity-raceway").rows(gauge=row.text("gauge"))[0]
    at_terminals = sheet.looked_up(
        f"ampacity of {name} at the terminals", terminal_row[_terminal_column(circuit, need, row.text("gauge"))]
    )
    gauge = Gauge(row.text("gauge"), row.q("cross_section"), row[column], corrected, at_terminals)
    if corrected.si < need.carried.si * (1 - SLACK):
        gauge.fails[HEAT] = f"carries {short(corrected)} of the {short(need.carried)} needed"
    if at_terminals.si < need.ampacity.si * (1 - SLACK):
        gauge.fails[TERMINALS] = f"its terminals allow {short(at_terminals)} of the {short(need.ampacity)} needed"
    _drop(circuit, need, gauge)
    gauge.allowed = _allowed_rating(circuit, need, gauge)
    rating = need.device.rating if need.device is not None else None
    if gauge.allowed is not None and rating is not None and rating.si > gauge.allowed.si * (1 + SLACK):
        gauge.fails[OVERCURRENT] = f"the {short(rating)} device is above the {short(gauge.allowed)} it may have"
    return gauge


def _drop(circuit: Circuit, need: Need, gauge: Gauge) -> None:
    if circuit.length is None:
        return
    sheet, book = circuit.sheet, circuit.book
    row = book.table(f"{TOPIC}/conductor-impedance").rows(gauge=gauge.name)[0]
    impedance = sheet.step(
        f"impedance of {gauge.text}", conductor.impedance_per_length, unit="mohm/m", rule=row,
        r=row.q("resistance"), x=row.q("reactance"),
    )  # fmt: skip
    law = conductor.voltage_drop_three_wire if circuit.phases == 3 else conductor.voltage_drop_two_wire
    gauge.drop = sheet.step(
        f"voltage drop of {gauge.text}", law, unit="V", I=need.current, L=circuit.length, z=impedance
    )
    gauge.share = sheet.step(
        f"share of the supply voltage, {gauge.text}", "share = dU/U", unit="%", dU=gauge.drop, U=circuit.voltage
    )
    most = need.drop_most
    if most is not None and gauge.share.si > most.si * (1 + SLACK):
        gauge.fails[DROP] = f"{short(gauge.drop)} is {short(gauge.share)}, above {short(most)}"


def _allowed_rating(circuit: Circuit, need: Need, gauge: Gauge) -> Quantity | None:
    """Highest rating that may guard this conductor; None where article 430 rules instead."""
    if need.load != "other" or need.device is None:
        return None
    small = circuit.book.table(f"{TOPIC}/small-conductors").row(gauge=gauge.name)
    least = min(gauge.corrected, gauge.at_terminals, key=lambda ampacity: ampacity.si)
    most = small.q("rating") if small is not None else standard_rating(circuit, least, need.device.kind)
    return None if most is None else permitted(circuit, "overcurrent-rating", gauge.text, most)


def permitted(circuit: Circuit, rule_name: str, what: str, most: Quantity) -> Quantity:
    """Rating that the rules in force permit of the one that the code's table gives."""
    rule = circuit.book.limit(f"{TOPIC}/{rule_name}")
    return circuit.sheet.step(
        f"most device rating permitted, {what}", "In = n × Im", unit="A", rule=rule, n=rule.value, Im=most
    )
