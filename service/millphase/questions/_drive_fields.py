"""What a drive-sizing request says about motor, supply, drive, site, motor cable and braking."""

from __future__ import annotations

from millphase.questions.base import Part, Request, fields


class Motor(Part):
    """The motor at the connection it will run in."""

    power = fields.Quantity("power", low="10 W", high="45 kW", required=True, help="Rated shaft power.")
    voltage = fields.Quantity(
        "voltage", low="90 V", high="700 V", required=True, help="Rated voltage at the connection used."
    )
    current = fields.Quantity(
        "current", low="0.1 A", high="200 A", required=True, help="Rated current at the connection used."
    )
    efficiency = fields.Quantity("ratio", low="20 %", high="98 %", bare=True, help="Rated efficiency.")
    power_factor = fields.Quantity("ratio", low="0.3", high="1", bare=True, help="Rated power factor.")
    poles = fields.WholeChoice([2, 4, 6, 8], help="Number of poles.")
    insulation = fields.Choice(
        ["general-purpose", "built-for-drives", "unknown"],
        help="Whether the winding is built for a drive; unknown counts as general-purpose.",
    )
    manufactured = fields.Count(low=1880, high=2100, help="Year the winding was made or last rewound.")


class Supply(Part):
    """The supply at the drive's input."""

    voltage = fields.Quantity(
        "voltage", low="90 V", high="520 V", required=True, help="Voltage across the drive's input, without load."
    )
    frequency = fields.Quantity("frequency", low="45 Hz", high="66 Hz", help="Frequency.")
    phases = fields.WholeChoice([1, 3], default=1, help="Phases brought to the drive.")
    resistance = fields.Quantity(
        "resistance", low="5 mohm", high="20 ohm", help="Resistance of the supply, line and neutral together."
    )
    reactance = fields.Quantity(
        "resistance", high="20 ohm", zero=True, help="Reactance of the supply, line and neutral together."
    )
    loop_impedance = fields.Quantity(
        "resistance",
        low="5 mohm",
        high="20 ohm",
        help="Line-to-neutral loop impedance, measured or declared, where resistance and reactance are not both known.",
    )
    connected_by = fields.Choice(
        ["plug-13a", "plug-16a", "plug-32a", "plug-15a", "plug-20a", "fixed"],
        help="How the drive is, or will be, connected.",
    )
    device_rating = fields.Quantity(
        "current", low="1 A", high="400 A", help="Rating of the protective device of this circuit."
    )
    house_fuse = fields.Quantity("current", low="10 A", high="400 A", help="Supply fuse of the house or workshop.")


class Drive(Part):
    """The drive, as its manual describes it."""

    rated_output_current = fields.Quantity(
        "current", low="0.2 A", high="200 A", help="Rated output current for the duty asked for."
    )
    overload = fields.Quantity(
        "ratio", low="100 %", high="300 %", bare=True, help="Short overload (60 s) it allows, over the rated current."
    )
    rated_input_current = fields.Quantity("current", low="0.2 A", high="400 A", help="Rated input current.")
    input_phases = fields.WholeChoice([1, 3], help="Phases its input is made for.")
    doubles_voltage = fields.Flag(
        help="Whether it doubles the voltage of its DC link, as drives for 100 to 127 V do that feed a 200 to 240 V motor."
    )
    dc_link_capacitance = fields.Quantity("capacitance", low="5 uF", high="200 mF", help="Capacitance of the DC link.")
    choke_inductance = fields.Quantity("inductance", low="1 uH", high="1 H", help="Line choke fitted or meant.")
    carrier_frequency = fields.Quantity("frequency", low="500 Hz", high="40 kHz", help="Carrier frequency set.")
    carrier_factor = fields.Quantity(
        "ratio", low="5 %", high="100 %", bare=True, help="Share of the rated current its manual allows at this carrier frequency."
    )  # fmt: skip
    ambient_derating = fields.Quantity(
        "ratio", low="0.1 %", high="10 %", help="Loss for each kelvin above 40 °C, from its manual."
    )
    single_phase_factor = fields.Quantity(
        "ratio", low="5 %", high="100 %", bare=True, help="Share of the rated current its manual allows on one phase, for a three-phase input."
    )  # fmt: skip
    efficiency = fields.Quantity("ratio", low="50 %", high="99.5 %", bare=True, help="Efficiency.")
    rise_time = fields.Quantity("duration", low="10 ns", high="20 us", help="Rise time of its output voltage.")


class Site(Part):
    """Where the drive stands."""

    ambient = fields.Quantity(
        "temperature", low="-20 degC", high="70 degC", help="Air temperature inside the enclosure, at its highest."
    )
    altitude = fields.Quantity("length", zero=True, high="5000 m", help="Height above sea level.")


class MotorCable(Part):
    """The cable between drive and motor."""

    length = fields.Quantity("length", low="0.1 m", high="300 m", required=True, help="Length.")
    screened = fields.Flag(help="Whether it is screened or armoured.")


class Mass(Part):
    """A round mass that turns with the machine: a chuck, a flywheel, a pulley."""

    mass = fields.Quantity("mass", low="10 g", high="5000 kg", help="Mass; or give width and material.")
    outside_diameter = fields.Quantity("length", low="5 mm", high="3 m", required=True, help="Outside diameter.")
    bore = fields.Quantity("length", zero=True, high="3 m", help="Bore; none if solid.")
    width = fields.Quantity("length", low="1 mm", high="5 m", help="Width.")
    material = fields.Choice(["steel", "cast-iron"], help="Material, for a mass given by its width.")
    speed = fields.Quantity(
        "rotational-frequency", low="1 r/min", high="60000 r/min", help="Its own speed at the start of the stop; the motor's if not given."
    )  # fmt: skip


class Braking(Part):
    """The stop that is wanted."""

    inertia = fields.Quantity("moment-of-inertia", high="10000 kg.m2", help="Inertia at the motor's shaft, all told.")
    masses = fields.Many(fields.Part(Mass), low=1, high=20, help="Turning masses to be added, each with its own speed.")
    speed = fields.Quantity(
        "rotational-frequency", low="1 r/min", high="60000 r/min", required=True, help="Motor speed at the start."
    )
    stop_time = fields.Quantity("duration", low="10 ms", high="1 h", help="Time in which it is to stop.")
    stops_every = fields.Quantity("duration", low="0.1 s", high="1 d", help="Time from one stop to the next.")
    resistance = fields.Quantity("resistance", low="1 ohm", high="100 kohm", help="Brake resistor fitted or meant.")
    least_resistance = fields.Quantity(
        "resistance", low="1 ohm", high="100 kohm", help="Least resistance the drive allows."
    )
    chopper_voltage = fields.Quantity(
        "voltage", low="150 V", high="1200 V", help="DC link voltage at which the brake chopper works."
    )


class DriveRequest(Request):
    """Motor, and as much of drive, supply, site, cable and braking as is known."""

    motor = fields.Part(Motor, required=True, help="The motor.")
    duty = fields.Choice(
        ["heavy", "normal"], help="heavy: 150 % for 60 s, as saws and planers need; normal: 110 %, as fans and pumps."
    )
    supply = fields.Part(Supply, help="The supply; without it nothing is said about the input side.")
    drive = fields.Part(Drive, help="The drive; without it only what it must give is said.")
    site = fields.Part(Site, help="Where the drive stands.")
    motor_cable = fields.Part(MotorCable, help="The cable between drive and motor.")
    braking = fields.Part(Braking, help="The stop that is wanted.")
