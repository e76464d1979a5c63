"""Every tabulated cross-section of a circuit, tried: what it carries, drops and lets flow in a fault."""

from __future__ import annotations

from dataclasses import dataclass, field

from millphase.physics import conductor, fault
from millphase.quantity import Quantity
from millphase.questions._cable_circuit import Circuit, insulation_limit, short, size_text
from millphase.questions._cable_fault import Protection
from millphase.questions._cable_heat import Factors
from millphase.questions.base import contradiction
from millphase.rulebook import Cell, Limit, Row

HEAT, DROP, LOOP, ADIABATIC, LEAST, EARTH = (
    "heat", "voltage drop", "loop impedance", "adiabatic", "least size", "protective conductor",
)  # fmt: skip
CHECKS = (LEAST, HEAT, DROP, LOOP, ADIABATIC, EARTH)
SLACK = 1e-9


@dataclass
class Size:
    """One cross-section with everything that was worked out for it; `fails` maps a check to its reason."""

    cross_section: Quantity
    cell: Cell
    corrected: Quantity
    hot: Quantity
    protective: Quantity
    drop: Quantity | None = None
    share: Quantity | None = None
    hot_protective: Quantity | None = None
    loop: Quantity | None = None
    minimum: Quantity | None = None
    by: str = ""
    fails: dict[str, str] = field(default_factory=dict)

    @property
    def passes(self) -> bool:
        """Whether no check fails."""
        return not self.fails


@dataclass(frozen=True)
class Demand:
    """What every size is held against."""

    need: Quantity
    factors: Factors
    protection: Protection | None
    drop_limit: Quantity
    least: Limit
    drop_rule: Limit
    earth_core: Quantity | None


def capacity_rows(circuit: Circuit, row: Row) -> list[tuple[Quantity, Cell]]:
    """Cross-sections and capacities of the table that holds for this cable, method and number of conductors."""
    table = circuit.book.table(f"{circuit.topic}/{row.text(f'{circuit.loaded}_loaded')}")
    column = row.text(f"{circuit.loaded}_column")
    made = circuit.book.table(f"{circuit.topic}/{_protective_table(circuit)}")
    return [
        (line.q("cross_section"), line[column])
        for line in table.rows()
        if line[column].value is not None and made.row(cross_section=line.q("cross_section")) is not None
    ]


def _protective_table(circuit: Circuit) -> str:
    """Table of the protective conductor that comes with the cable; flat cable is made in few sizes, with a thin one."""
    return "twin-and-earth-protective-conductor" if circuit.cable == "flat-twin-and-earth" else "protective-conductor"


def try_size(circuit: Circuit, demand: Demand, cross_section: Quantity, cell: Cell) -> Size:
    """Work one cross-section through every check."""
    name, sheet = size_text(cross_section), circuit.sheet
    formula = f"Iz = It × {demand.factors.product}"
    assert isinstance(cell.value, Quantity)  # noqa: S101  # rows without a capacity are left out above
    corrected = sheet.step(
        f"corrected capacity of {name}", formula, unit="A", rule=cell, It=cell.value, **demand.factors.found
    )
    size = Size(
        cross_section, cell, corrected, _hot_resistance(circuit, cross_section, f"of {name}"),
        _protective_conductor(circuit, cross_section),
    )  # fmt: skip
    _check_least(demand, size)
    if corrected.si < demand.need.si * (1 - SLACK):
        size.fails[HEAT] = f"carries {short(corrected)} of the {short(demand.need)} needed"
    _check_drop(circuit, demand, size)
    if demand.protection is not None:
        _check_fault(circuit, demand.protection, size)
    if demand.earth_core is not None and size.protective.si < demand.earth_core.si * (1 - SLACK):
        size.fails[EARTH] = (
            f"its protective conductor of {size_text(size.protective)} is below {size_text(demand.earth_core)}"
        )
    return size


def _check_least(demand: Demand, size: Size) -> None:
    if size.cross_section.si < demand.least.value.si * (1 - SLACK):
        size.fails[LEAST] = f"power circuits start at {size_text(demand.least.value)}"


def _resistance_row(circuit: Circuit, cross_section: Quantity) -> Row | None:
    kind = 5 if circuit.cable == "flexible" else 2
    return circuit.book.table(f"cable/conductor-resistance-class-{kind}").row(cross_section=cross_section)


def _hot_resistance(circuit: Circuit, cross_section: Quantity, whose: str) -> Quantity:
    row = _resistance_row(circuit, cross_section)
    if row is None:
        raise contradiction(
            "/protective_conductor_cross_section",
            f"{size_text(cross_section)} is no standard cross-section; read the marking on the cable again",
        )
    limit = insulation_limit(circuit)
    return circuit.sheet.step(
        f"resistance {whose} at {short(limit)}", conductor.resistance_at_temperature, unit="mohm/m",
        rule=row["resistance"], R20=row.q("resistance"), T=limit,
    )  # fmt: skip


def _protective_conductor(circuit: Circuit, cross_section: Quantity) -> Quantity:
    given: Quantity | None = circuit.request.get("protective_conductor_cross_section")
    if given is not None:
        return given
    own = _protective_table(circuit)
    return circuit.book.table(f"{circuit.topic}/{own}").rows(cross_section=cross_section)[0].q("protective_conductor")


def _check_drop(circuit: Circuit, demand: Demand, size: Size) -> None:
    if circuit.length is None:
        return
    sheet, name = circuit.sheet, size_text(size.cross_section)
    cell = drop_cell(circuit, size.cross_section)
    if cell is None:
        size.drop = drop_by_resistance(circuit, size)
    else:
        assert isinstance(cell.value, Quantity)  # noqa: S101  # voltage-drop tables have no gaps
        size.drop = sheet.step(
            f"voltage drop of {name}", conductor.voltage_drop_from_table, unit="V", rule=cell, d=cell.value,
            I=circuit.current, L=circuit.length,
        )  # fmt: skip
    size.share = sheet.step(
        f"share of the supply voltage, {name}", "share = dU/U", unit="%", rule=demand.drop_rule, dU=size.drop,
        U=circuit.voltage,
    )  # fmt: skip
    if size.share.si > demand.drop_limit.si * (1 + SLACK):
        size.fails[DROP] = f"{short(size.drop)} is {short(size.share)}, above {short(demand.drop_limit)}"


def drop_cell(circuit: Circuit, cross_section: Quantity) -> Cell | None:
    """Tabulated drop per ampere and metre, where the wiring rules have such a table."""
    index = f"{circuit.topic}/voltage-drop-tables"
    if not circuit.book.has(index):
        return None
    row = circuit.book.table(index).row(cable=circuit.cable, insulation=circuit.insulation)
    line = circuit.book.table(f"{circuit.topic}/{row.text('table')}").row(cross_section=cross_section) if row else None
    return line[f"{circuit.loaded}_loaded"] if line else None


def drop_by_resistance(circuit: Circuit, size: Size) -> Quantity:
    """Voltage drop from the conductor's impedance, hot [V]; the highest at any power factor."""
    sheet, name = circuit.sheet, size_text(size.cross_section)
    reactance = circuit.book.constant("cable/reactance")
    impedance = sheet.step(
        f"impedance of {name}", conductor.impedance_per_length, unit="mohm/m", rule=reactance, r=size.hot,
        x=reactance.value,
    )  # fmt: skip
    law = conductor.voltage_drop_three_wire if circuit.phases == 3 else conductor.voltage_drop_two_wire
    assert circuit.length is not None  # noqa: S101  # asked only where a length is given
    return sheet.step(
        f"voltage drop of {name} from its impedance", law, unit="V", I=circuit.current, L=circuit.length, z=impedance
    )


def _check_fault(circuit: Circuit, protection: Protection, size: Size) -> None:
    if protection.forbidden:
        size.fails[LOOP] = "a TT supply needs an RCD"
        return
    if protection.external is None or circuit.length is None or protection.unknown:
        return
    name = size_text(size.cross_section)
    size.hot_protective = size.hot
    if abs(size.protective.si - size.cross_section.si) > SLACK * size.cross_section.si:
        size.hot_protective = _hot_resistance(
            circuit, size.protective, f"of the {size_text(size.protective)} protective conductor"
        )
    size.loop = circuit.sheet.step(
        f"loop impedance at the end of {name}", fault.loop_impedance, unit="ohm", Ze=protection.external,
        R1=size.hot, R2=size.hot_protective, L=circuit.length,
    )  # fmt: skip
    size.by = protection.judge(size.loop)
    if size.by == "none":
        limit = protection.residual_limit or protection.limit
        assert limit is not None  # noqa: S101  # without any limit the loop is unknown
        size.fails[LOOP] = f"{short(size.loop)} is above {short(limit)}"
    size.minimum = protection.adiabatic(size.loop, size.protective)
    if size.minimum is not None and size.protective.si < size.minimum.si * (1 - SLACK):
        size.fails[ADIABATIC] = (
            f"its protective conductor of {size_text(size.protective)} is below {size_text(size.minimum)}"
        )


def why(circuit: Circuit, size: Size, demand: Demand) -> str:
    """Why a size passed or failed, in one line."""
    if size.fails:
        return "fails: " + "; ".join(f"{check} ({size.fails[check]})" for check in CHECKS if check in size.fails)
    parts = [f"carries {short(size.corrected)} where {short(demand.need)} is needed"]
    if size.share is not None and size.drop is not None:
        parts.append(f"drops {short(size.drop)} ({short(size.share)}, limit {short(demand.drop_limit)})")
    protection = demand.protection
    if protection is not None and size.loop is not None:
        if size.by == "rcd" or protection.limit is None:
            parts.append(f"loop {short(size.loop)}, disconnected by the RCD")
        else:
            parts.append(f"loop {short(size.loop)} (limit {short(protection.limit)})")
    elif not circuit.on_drive_output:
        parts.append("loop not judged")
    return "passes: " + ", ".join(parts)
