"""Cable sizing: the smallest conductor that carries, delivers and protects, under the wiring rules the user lives under."""

from __future__ import annotations

from typing import Any

from millphase.answer import Answer
from millphase.questions import _cable_metric, _cable_nfpa
from millphase.questions._cable_circuit import CABLES, INSULATIONS, METHODS, read_circuit
from millphase.questions._cable_device import NAMES
from millphase.questions.base import Part, Question, Request, View, fields, out

GAUGES = [f"{number}-awg" for number in ("14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0")]


class ProtectiveDevice(Part):
    """The device at the origin of the circuit."""

    kind = fields.Choice(list(NAMES), help="Kind of device; without it a type B breaker is chosen.")
    rating = fields.Quantity(
        "current", low="1 A", high="1 kA", help="Rated current; without it the next rating above the design current."
    )
    breaking_capacity = fields.Quantity(
        "current", low="100 A", high="500 kA", help="Breaking capacity (interrupting rating) marked on the device."
    )


class ResidualDevice(Part):
    """The RCD ahead of the circuit."""

    rated_residual_current = fields.Quantity(
        "current", low="5 mA", high="30 A", required=True, help="Rated residual operating current IΔn."
    )
    type = fields.Choice(["AC", "A", "F", "B", "class-a-gfci", "class-c-gfci"], help="Type marked on the RCD.")
    delay = fields.Choice(["none", "short", "selective"], help="Time delay; a selective RCD carries the mark S.")


class CableRequest(Request):
    """A circuit: its load, its way, its protection."""

    design_current = fields.Quantity(
        "current", low="1 mA", high="2 kA", required=True,
        help="Current the load takes continuously; for a drive its rated input current.",
    )  # fmt: skip
    feeds = fields.Choice(["drive", "motor", "motor-from-drive", "other"], help="What the cable feeds.")
    motor_power = fields.Quantity(
        "power", low="10 W", high="1 MW", help="Rated motor power, for the table current of nfpa-70."
    )
    phases = fields.WholeChoice([1, 3], help="1 for single phase (two loaded conductors), 3 for three phase.")
    voltage = fields.Quantity(
        "voltage",
        low="24 V",
        high="1 kV",
        help="Nominal voltage: line to neutral for one phase (from 380 V up between two lines), line to line for three.",
    )
    length = fields.Quantity("length", low="10 mm", high="10 km", help="Length of the run, one way.")
    installation_method = fields.Choice(
        METHODS,
        help="Reference method a1 to e (bs-7671 also 100 to 103); raceway, cable, direct-buried or free-air for nfpa-70.",
    )
    cable = fields.Choice(CABLES, help="Construction of the cable.")
    insulation = fields.Choice(
        INSULATIONS, help="Insulation and its temperature; thermoplastic-75 and thermoplastic-90 are for nfpa-70."
    )
    ambient = fields.Quantity(
        "temperature", low="-50 degC", high="200 degC", help="Hottest surroundings: air, or ground for buried cable."
    )
    grouped_circuits = fields.Count(low=1, high=100, help="Circuits lying together, this one counted.")
    grouping = fields.Choice(
        ["bunched", "single-layer", "single-layer-spaced", "under-ceiling"],
        help="How grouped cables lie, for methods c and e; without it bunched is taken.",
    )
    thermal_insulation = fields.Quantity(
        "length", zero=True, high="1 km", help="Length over which the cable is wholly surrounded by thermal insulation."
    )
    soil_resistivity = fields.Quantity(
        "thermal-resistivity", low="0.1 K.m/W", high="20 K.m/W", help="Soil, for d1 and d2."
    )
    drum = fields.Choice(
        ["radial-ventilated", "radial-unventilated", "one-layer", "two-layers", "three-layers", "four-layers"],
        help="Drum a flexible cable stays wound on.",
    )
    terminal_temperature = fields.Quantity(
        "temperature", low="30 degC", high="200 degC", help="Temperature the terminals at both ends are marked for."
    )
    protective_device = fields.Part(ProtectiveDevice, help="Breaker or fuse at the origin of the circuit.")
    prospective_fault_current = fields.Quantity(
        "current", low="1 A", high="500 kA", help="Prospective (available) fault current where the device sits."
    )
    circuit = fields.Choice(
        ["final-fixed", "final-sockets", "distribution"], help="Kind of circuit, for the disconnection time."
    )
    rcd = fields.Part(ResidualDevice, help="RCD ahead of the circuit, if there is one.")
    voltage_drop_limit = fields.Quantity(
        "ratio", low="0.1 %", high="50 %", help="Most voltage drop allowed as a share of the supply voltage."
    )
    external_loop_impedance = fields.Quantity(
        "resistance", low="1 mohm", high="10000 ohm", help="Earth-fault loop impedance at the origin of the circuit."
    )
    electrode_resistance = fields.Quantity(
        "resistance", low="10 mohm", high="1 Mohm", help="Resistance of the earth electrode of a TT supply."
    )
    earthing = fields.Choice(["tn-s", "tn-c-s", "tt"], help="Earthing arrangement of the supply.")
    protective_conductor_current = fields.Quantity(
        "current", zero=True, high="10 A", help="Current that flows in the protective conductor in normal operation."
    )
    connection = fields.Choice(
        ["fixed", "industrial-plug", "household-plug"],
        help="How the load is connected, for high protective-conductor current.",
    )
    second_protective_conductor = fields.Flag(help="Whether a second, separate protective conductor is run.")
    protective_conductor_cross_section = fields.Quantity(
        "area", low="0.5 mm2", high="400 mm2", help="Protective conductor as fitted, where it is not the cable's own."
    )
    protective_conductor_protected = fields.Flag(
        help="Whether the protective conductor is protected against mechanical damage beyond the cable's sheath."
    )
    cross_section = fields.Quantity(
        "area", low="0.1 mm2", high="1000 mm2", help="Check this size; without it the smallest that passes is found."
    )
    gauge = fields.Choice(GAUGES, help="Check this gauge under nfpa-70.")


def answer(request: dict[str, Any], book: View) -> Answer:
    """Size the circuit under its wiring rules."""
    sheet = QUESTION.sheet(book)
    circuit = read_circuit(request, book, sheet)
    if circuit.rules == "nfpa-70":
        return _cable_nfpa.answer(circuit)
    return _cable_metric.answer(circuit)


QUESTION = Question(
    name="cable-sizing",
    order=60,
    title="Cable sizing",
    summary="Which cable and protective device a circuit needs, by heat, voltage drop and fault protection.",
    request=CableRequest,
    values={
        "cross_section": out.quantity("area", "mm2", "Smallest size that passes, or the one asked about if it does."),
        "gauge": out.choice(GAUGES, "The same as a gauge, under nfpa-70."),
        "protective_device_rating": out.quantity("current", "A", "Rating of the protective device."),
        "required_ampacity": out.quantity("current", "A", "Ampacity the conductors must have, under nfpa-70."),
        "tabulated_capacity_needed": out.quantity("current", "A", "Capacity to look for in the table."),
        "corrected_capacity": out.quantity("current", "A", "Capacity of the size where it lies."),
        "voltage_drop": out.quantity("voltage", "V", "Voltage drop at the design current."),
        "voltage_drop_share": out.quantity("ratio", "%", "Voltage drop as a share of the supply voltage."),
        "voltage_drop_from_resistance": out.quantity("voltage", "V", "The same from the conductor's impedance, hot."),
        "loop_impedance": out.quantity("resistance", "ohm", "Earth-fault loop impedance at the far end, conductors hot."),
        "loop_impedance_limit": out.quantity(
            "resistance", "ohm", "Highest loop impedance at which the protection disconnects in time."
        ),
        "loop_impedance_limit_with_rcd": out.quantity("resistance", "ohm", "Highest loop impedance behind the RCD."),
        "electrode_resistance_limit": out.quantity("resistance", "ohm", "Highest electrode resistance behind the RCD."),
        "protective_conductor": out.quantity("area", "mm2", "Protective conductor to fit."),
        "protective_conductor_gauge": out.choice(GAUGES, "The same as a gauge, under nfpa-70."),
        "adiabatic_minimum": out.quantity("area", "mm2", "Least protective conductor by the heat of a fault."),
        "longest_run": out.quantity("length", "m", "Length at which the size judged reaches its first limit."),
        "limiting_checks": out.texts("Checks that the next smaller size fails, or the size itself where none passes."),
        "candidates": out.rows(
            {
                "cross_section": out.quantity("area", "mm2", "Size tried."),
                "gauge": out.choice(GAUGES, "Gauge tried, under nfpa-70."),
                "passes": out.flag("Whether it passes every check."),
                "why": out.text("Why it passes or fails."),
                "fails": out.texts("Checks it fails."),
                "corrected_capacity": out.quantity("current", "A", "Its capacity where it lies."),
                "voltage_drop": out.quantity("voltage", "V", "Its voltage drop."),
                "voltage_drop_share": out.quantity("ratio", "%", "The same as a share of the supply voltage."),
                "loop_impedance": out.quantity("resistance", "ohm", "Loop impedance at its far end."),
                "protective_conductor": out.quantity("area", "mm2", "Its protective conductor."),
                "adiabatic_minimum": out.quantity("area", "mm2", "Least protective conductor by heat."),
            },
            "Every size that was tried.",
        ),
    },
    answer=answer,
    rules=("cable/*", "cable-iec-60364/*", "cable-bs-7671/*", "cable-nfpa-70/*", "rcd/least-type", "caution/*"),
    example={
        "wiring_rules": "bs-7671", "design_current": "19.4 A", "feeds": "drive", "phases": 1, "voltage": "230 V",
        "length": "31 m", "installation_method": "c", "cable": "armoured", "insulation": "xlpe-90", "ambient": "30 degC",
        "protective_device": {"kind": "mcb-c", "rating": "25 A"}, "earthing": "tn-c-s", "external_loop_impedance": "0.27 ohm",
        "protective_conductor_current": "4.2 mA", "second_protective_conductor": True,
    },
)  # fmt: skip
