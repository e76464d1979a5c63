"""Types of every request and of the values in every answer; written by openapi/build.py, not by hand."""
# fmt: off

from __future__ import annotations

from typing import Literal, NotRequired, TypedDict

from .models import Quantity


class InsulationAcceptanceRequestAir(TypedDict):
    """Air beside the winding, for the dew point."""

    temperature: str
    """Air temperature beside the winding. Plausible range (-40 degC to 60 degC)."""
    relative_humidity: str
    """Relative humidity of the air, e.g. 65 %. Plausible range (1 % to 100 %)."""


class InsulationAcceptanceRequestReadingsMeasurementAccuracy(TypedDict):
    """Accuracy of the instrument for this reading."""

    relative: NotRequired[str]
    """Share of the reading, e.g. 5 %. Plausible range (at most 100 %)."""
    absolute: NotRequired[str]
    """Fixed part, e.g. the value of two counts."""


class InsulationAcceptanceRequestReadings(TypedDict):
    """A part of it."""

    between: Literal["UVW-earth", "winding-earth", "conductors-earth", "LN-earth", "U-earth", "V-earth", "W-earth", "L-earth", "N-earth", "L1-earth", "L2-earth", "L3-earth", "U-V", "V-W", "W-U", "L-N", "L1-L2", "L2-L3", "L3-L1"]
    """What the tester's leads join; UVW-earth is all windings joined, winding-earth any whole winding, conductors-earth all live conductors joined."""
    resistance: str
    """Resistance read."""
    over_range: NotRequired[bool]
    """The instrument showed more than `resistance`, its highest reading."""
    test_voltage: NotRequired[str]
    """Direct test voltage. Plausible range (0.1 V to 20 kV)."""
    instrument: NotRequired[Literal["insulation-tester", "multimeter"]]
    """A multimeter applies a few volts only."""
    after: NotRequired[str]
    """Time from applying the voltage to the reading. Plausible range (1 s to 1 h)."""
    winding_temperature: NotRequired[str]
    """Winding temperature at the reading. Plausible range (-40 degC to 200 degC)."""
    under_test: NotRequired[Literal["motor", "motor-and-cable", "cable", "fixed-wiring"]]
    """Where this reading differs from the request's `under_test`."""
    measurement_accuracy: NotRequired[InsulationAcceptanceRequestReadingsMeasurementAccuracy]
    """Accuracy of the instrument for this reading."""


class InsulationAcceptanceRequest(TypedDict):
    """Request of InsulationAcceptance."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    rated_voltage: str
    """Rated voltage between lines. Plausible range (1 V to 15 kV)."""
    winding: NotRequired[Literal["random-wound", "form-wound", "field", "armature"]]
    """Kind of winding; a small motor is random-wound."""
    manufactured: NotRequired[int]
    """Year the winding was made or last rewound."""
    thermal_class: NotRequired[Literal["A", "E", "B", "F", "H"]]
    """Thermal class on the plate."""
    insulation_system: NotRequired[Literal["thermoplastic", "thermosetting", "unknown"]]
    """Thermosetting: modern resin; thermoplastic: older."""
    under_test: NotRequired[Literal["motor", "motor-and-cable", "cable", "fixed-wiring"]]
    """What the readings were taken on."""
    drive_disconnected: NotRequired[bool]
    """Whether the motor cable was off the drive's terminals during the test; true also where there is no drive."""
    links: NotRequired[Literal["fitted", "removed"]]
    """Star or delta links in the terminal box during the test."""
    separated_extra_low_voltage: NotRequired[bool]
    """For wiring: a SELV or PELV circuit."""
    air: NotRequired[InsulationAcceptanceRequestAir]
    """Air beside the winding, for the dew point."""
    readings: list[InsulationAcceptanceRequestReadings]
    """Every reading taken."""


class InsulationAcceptanceValues(TypedDict):
    """Values in the answer; each is there where it applies."""

    lowest_resistance: NotRequired[Quantity]
    """lowest resistance read"""
    resistance_at_40c: NotRequired[Quantity]
    """lowest resistance referred to 40 °C by the law that gates"""
    resistance_at_40c_halving: NotRequired[Quantity]
    """the same reading by the halving law"""
    resistance_at_40c_thermosetting: NotRequired[Quantity]
    """the same reading by the thermosetting law"""
    minimum_at_40c: NotRequired[Quantity]
    """least one-minute resistance of the winding at 40 °C"""
    floor_to_energise: NotRequired[Quantity]
    """resistance below which nothing is energised"""
    motor_resistance: NotRequired[Quantity]
    """resistance of the motor behind its cable, by subtraction"""
    motor_resistance_low: NotRequired[Quantity]
    """lower end of its interval"""
    motor_resistance_high: NotRequired[Quantity]
    """upper end of its interval, where there is one"""
    windings: NotRequired[Literal["joined", "alike"]]
    """what three equal low readings tell: joined by links, or alike without"""
    low_windings: NotRequired[list[str]]
    """windings that fail where others pass"""
    absorption_ratio: NotRequired[Quantity]
    """resistance at 60 s over that at 30 s"""
    absorption_class: NotRequired[str]
    """class of the absorption ratio"""
    polarization_index: NotRequired[Quantity]
    """resistance at 10 min over that at 1 min"""
    polarization_class: NotRequired[str]
    """class of the polarization index"""
    dew_point: NotRequired[Quantity]
    """dew point of the air"""
    dew_point_margin: NotRequired[Quantity]
    """least winding temperature above it"""
    discharge_time: NotRequired[Quantity]
    """how long the winding is discharged after the test"""


class TripDiagnosisRequestRcd(TypedDict):
    """The RCD that trips."""

    rated_residual_current: str
    """Rated residual current on the label, e.g. 30 mA. Plausible range (4 mA to 30 A)."""
    type: NotRequired[Literal["AC", "A", "F", "B", "class-a-gfci", "class-c-gfci"]]
    """Type on the label; leave it out while it is not known. North American devices have a class instead."""
    delay: NotRequired[Literal["none", "short", "selective"]]
    """Delay mark: none, short (G or K) or selective (S)."""
    ramp_trip_current: NotRequired[str]
    """Where it trips on a slow ramp, circuits disconnected. Plausible range (0.1 mA to 30 A)."""


class TripDiagnosisRequestSupply(TypedDict):
    """The supply."""

    voltage: NotRequired[str]
    """Line to earth; 120 V on a 120/240 V supply. Default by wiring rules. Plausible range (50 V to 500 V)."""
    frequency: NotRequired[str]
    """Default by wiring rules. Plausible range (40 Hz to 70 Hz)."""
    earthing: NotRequired[Literal["tn-s", "tn-c-s", "tt", "it"]]
    """How the supply is earthed."""
    electrode_resistance: NotRequired[str]
    """Measured resistance of the earth electrode of a TT supply. Plausible range (0.1 ohm to 100 kohm)."""


class TripDiagnosisRequestObservations(TypedDict):
    """A part of it."""

    step: Literal["everything-off", "loads-without-drive", "drive-without-cable", "drive-and-cable", "drive-cable-and-motor", "running"]
    """everything-off: all loads unplugged or isolated. loads-without-drive: other loads on, drive isolated. drive-without-cable: drive alone, powered, motor cable off. drive-and-cable: drive started on its cable, motor off. drive-cable-and-motor: all connected, started at low speed. running: in normal work."""
    trips: NotRequired[bool]
    """Whether the RCD trips."""
    residual_current: NotRequired[str]
    """Line and neutral together in a low-pass clamp. Plausible range (0 mA to 30 A)."""


class TripDiagnosisRequestInsulation(TypedDict):
    """A part of it."""

    part: Literal["motor", "cable", "motor-and-cable", "fixed-wiring"]
    """What was tested, the drive disconnected."""
    resistance: str
    """Resistance to earth. Plausible range (1 ohm to 1000 Gohm)."""
    test_voltage: NotRequired[str]
    """Test voltage; without it a good reading is not counted. Plausible range (0.5 V to 5 kV)."""


class TripDiagnosisRequest(TypedDict):
    """Request of TripDiagnosis."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    rcd: TripDiagnosisRequestRcd
    """The RCD that trips."""
    supply: NotRequired[TripDiagnosisRequestSupply]
    """The supply."""
    drive_input: NotRequired[Literal["line-neutral", "line-line", "three-phase"]]
    """How the drive is fed."""
    boost_stage: NotRequired[bool]
    """Active power-factor stage or doubler in the drive."""
    observations: NotRequired[list[TripDiagnosisRequestObservations]]
    """Steps of the search made so far."""
    insulation: NotRequired[list[TripDiagnosisRequestInsulation]]
    """Insulation readings."""
    circumstances: NotRequired[list[Literal["at-switch-on", "while-running", "at-some-speeds", "in-damp-weather", "under-heavy-load", "at-random"]]]
    """When it trips, as far as noticed."""


TripDiagnosisValuesSuspects = TypedDict("TripDiagnosisValuesSuspects", {"suspect": NotRequired[Literal["rcd", "neutral-earth-fault", "other-loads", "drive-filter", "cable-capacitance", "cable-insulation", "motor-winding", "damp", "wrong-rcd-type", "switch-on-transient", "cumulative-leakage"]], "is": NotRequired[str], "probability": NotRequired[Quantity], "for": NotRequired[list[str]], "against": NotRequired[list[str]]})


class TripDiagnosisValues(TypedDict):
    """Values in the answer; each is there where it applies."""

    first_suspect: NotRequired[Literal["rcd", "neutral-earth-fault", "other-loads", "drive-filter", "cable-capacitance", "cable-insulation", "motor-winding", "damp", "wrong-rcd-type", "switch-on-transient", "cumulative-leakage"]]
    """The most likely suspect."""
    suspects: NotRequired[list[TripDiagnosisValuesSuspects]]
    """Every suspect, the likeliest first."""
    next_test: NotRequired[Literal["everything-off", "loads-without-drive", "drive-without-cable", "drive-and-cable", "drive-cable-and-motor", "running", "ramp-test", "insulation-of-motor", "insulation-of-cable", "insulation-of-motor-and-cable", "insulation-of-fixed-wiring", "none"]]
    """The test that removes most doubt; none where one suspect stands."""
    next_test_information: NotRequired[Quantity]
    """Doubt it removes on average, in bit."""
    overturned_by: NotRequired[str]
    """Result of a test not yet made that would shake the conclusion most."""


class InsulationTrendRequestReadingsAir(TypedDict):
    """Air beside the winding, to tell weather from ageing."""

    temperature: str
    """Air temperature beside the winding. Plausible range (-40 degC to 60 degC)."""
    relative_humidity: str
    """Relative humidity of the air, e.g. 65 %. Plausible range (1 % to 100 %)."""


class InsulationTrendRequestReadingsMeasurementAccuracy(TypedDict):
    """Accuracy of the instrument for this reading."""

    relative: NotRequired[str]
    """Share of the reading, e.g. 5 %. Plausible range (at most 100 %)."""
    absolute: NotRequired[str]
    """Fixed part, e.g. the value of two counts."""


class InsulationTrendRequestReadings(TypedDict):
    """A part of it."""

    at: str
    """When it was read."""
    resistance: str
    """Resistance of the whole winding to earth."""
    over_range: NotRequired[bool]
    """The instrument showed more than `resistance`, its highest reading."""
    winding_temperature: NotRequired[str]
    """Winding temperature at the reading. Plausible range (-40 degC to 200 degC)."""
    air: NotRequired[InsulationTrendRequestReadingsAir]
    """Air beside the winding, to tell weather from ageing."""
    measurement_accuracy: NotRequired[InsulationTrendRequestReadingsMeasurementAccuracy]
    """Accuracy of the instrument for this reading."""


class InsulationTrendRequest(TypedDict):
    """Request of InsulationTrend."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    rated_voltage: str
    """Rated voltage between lines. Plausible range (1 V to 15 kV)."""
    winding: NotRequired[Literal["random-wound", "form-wound", "field", "armature"]]
    """Kind of winding; a small motor is random-wound."""
    manufactured: NotRequired[int]
    """Year the winding was made or last rewound."""
    insulation_system: NotRequired[Literal["thermoplastic", "thermosetting", "unknown"]]
    """Thermosetting: modern resin; thermoplastic: older."""
    instrument: NotRequired[Literal["insulation-tester", "multimeter"]]
    """Instrument of all readings."""
    test_voltage: NotRequired[str]
    """Direct test voltage of all readings. Plausible range (0.1 V to 20 kV)."""
    after: NotRequired[str]
    """Time from applying the voltage to every reading. Plausible range (1 s to 1 h)."""
    drive_disconnected: NotRequired[bool]
    """Whether the drive was off the cable at every reading; true where there is none."""
    readings: list[InsulationTrendRequestReadings]
    """The record, in any order."""


class InsulationTrendValues(TypedDict):
    """Values in the answer; each is there where it applies."""

    direction: NotRequired[Literal["improving", "steady", "worsening", "too-few-readings"]]
    """direction at 40 °C"""
    slope: NotRequired[Quantity]
    """continuous growth of the resistance at 40 °C"""
    slope_low: NotRequired[Quantity]
    """lower end of its 95 % interval"""
    slope_high: NotRequired[Quantity]
    """upper end of its 95 % interval"""
    doubling_time: NotRequired[Quantity]
    """time to double, where it improves"""
    halving_time: NotRequired[Quantity]
    """time to halve, where it worsens"""
    reaches_minimum_at: NotRequired[str]
    """when the least value is crossed, within one length of the record ahead"""
    minimum_at_40c: NotRequired[Quantity]
    """least one-minute resistance of the winding at 40 °C"""
    floor_to_energise: NotRequired[Quantity]
    """resistance below which nothing is energised"""
    resistance_at_40c: NotRequired[Quantity]
    """latest reading referred to 40 °C by the law that gates"""
    dew_point: NotRequired[Quantity]
    """dew point of the air at the latest reading"""
    dew_point_margin: NotRequired[Quantity]
    """winding temperature above it"""
    weather: NotRequired[Literal["separated", "no-effect", "cannot-tell", "not-measured"]]
    """what the air data tell"""
    weather_effect: NotRequired[Quantity]
    """change of resistance for each kelvin above the dew point"""


class ConnectionChoiceRequestNameplate(TypedDict):
    """What the motor's plate says."""

    delta_voltage: NotRequired[str]
    """Voltage in delta, the lower of the two on a plate such as 230/400 V. Plausible range (20 V to 1000 V)."""
    star_voltage: NotRequired[str]
    """Voltage in star, the higher of the two. Plausible range (20 V to 1000 V)."""
    delta_current: NotRequired[str]
    """Line current in delta, the higher of the two. Plausible range (50 mA to 2000 A)."""
    star_current: NotRequired[str]
    """Line current in star, the lower of the two. Plausible range (50 mA to 2000 A)."""
    low_voltage: NotRequired[str]
    """Lower voltage of a motor with nine or twelve leads. Plausible range (20 V to 1000 V)."""
    high_voltage: NotRequired[str]
    """Higher voltage of a motor with nine or twelve leads. Plausible range (20 V to 1000 V)."""
    low_current: NotRequired[str]
    """Line current at the lower voltage. Plausible range (50 mA to 2000 A)."""
    high_current: NotRequired[str]
    """Line current at the higher voltage. Plausible range (50 mA to 2000 A)."""
    frequency: NotRequired[str]
    """Rated frequency. Plausible range (16 Hz to 400 Hz)."""
    power: NotRequired[str]
    """Rated shaft power. Plausible range (10 W to 500 kW)."""
    speed: NotRequired[str]
    """Speed at rated load. Plausible range (100 r/min to 24000 r/min)."""
    second_speed: NotRequired[str]
    """The other speed of a two-speed motor. Plausible range (50 r/min to 24000 r/min)."""
    poles: NotRequired[Literal[2, 4, 6, 8, 10, 12]]
    """Number of poles, if the plate gives it."""
    power_factor: NotRequired[str | float]
    """Power factor (cos φ). Plausible range (0.2 to 1)."""
    efficiency: NotRequired[str]
    """Efficiency at rated load. Plausible range (10 % to 100 %)."""
    efficiency_class: NotRequired[Literal["ie1", "ie2", "ie3", "ie4"]]
    """Efficiency class, if the plate gives one."""
    thermal_class: NotRequired[Literal["A", "E", "B", "F", "H"]]
    """Thermal class of the insulation."""
    built_for_drive: NotRequired[bool]
    """True if plate or maker says the winding is built for a drive."""


class ConnectionChoiceRequestFedFrom(TypedDict):
    """What feeds the motor."""

    kind: Literal["drive", "mains"]
    """A variable-frequency drive, or the mains directly."""
    voltage: NotRequired[str]
    """Mains voltage: of the motor, or of the drive's input. Line to line for three phases. Plausible range (90 V to 1000 V)."""
    phases: NotRequired[Literal[1, 3]]
    """Phases of the mains."""
    frequency: NotRequired[str]
    """Mains frequency. Plausible range (16 Hz to 400 Hz)."""
    output_voltage: NotRequired[str]
    """Highest output voltage of the drive; without a boost stage that of its input. Plausible range (90 V to 1000 V)."""
    maximum_frequency: NotRequired[str]
    """Highest output frequency of the drive. Plausible range (10 Hz to 4 kHz)."""


class ConnectionChoiceRequest(TypedDict):
    """Request of ConnectionChoice."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    nameplate: ConnectionChoiceRequestNameplate
    """What the motor's plate says."""
    leads: Literal[3, 6, 9, 12]
    """Leads or terminals of the winding, earth not counted."""
    marking: NotRequired[Literal["iec", "din", "gost", "bs", "nema", "unmarked"]]
    """How the leads are marked: iec U1 V1 W1 U2 V2 W2, din U V W X Y Z, gost C1 to C6, bs A1 A2 B1 B2 C1 C2, nema T1 to T12."""
    arrangement: NotRequired[Literal["wye", "delta"]]
    """For nine and twelve leads: the connection the plate's voltages hold for."""
    fed_from: ConnectionChoiceRequestFedFrom
    """What feeds the motor."""
    present_connection: NotRequired[Literal["star", "delta", "parallel-star", "series-star", "parallel-delta", "series-delta"]]
    """How the motor is connected now."""
    extended_range: NotRequired[bool]
    """True to ask for the low-voltage connection on a drive of the high voltage, with the base frequency raised to match."""


class ConnectionChoiceValuesCandidates(TypedDict):
    """A part of it."""

    connection: NotRequired[Literal["star", "delta", "parallel-star", "series-star", "parallel-delta", "series-delta"]]
    """Connection."""
    rated_voltage: NotRequired[Quantity]
    """Line voltage the winding is made for in this connection."""
    on_plate: NotRequired[bool]
    """Whether the plate itself gives this connection."""
    chosen: NotRequired[bool]
    """Whether this is the connection to use."""
    winding_voltage_ratio: NotRequired[Quantity]
    """Winding voltage over rated winding voltage."""
    flux_ratio: NotRequired[Quantity]
    """Flux over rated flux at rated frequency, or at the mains frequency."""
    torque_ratio: NotRequired[Quantity]
    """Starting and pull-out torque over rated."""
    full_torque_up_to: NotRequired[Quantity]
    """Frequency up to which a drive gives rated torque."""
    load_current_ratio: NotRequired[Quantity]
    """Winding current at rated torque over rated, where the flux is low."""
    line_current: NotRequired[Quantity]
    """Plate current of this connection."""
    effect: NotRequired[str]
    """What this connection does on this supply."""


class ConnectionChoiceValuesDriveSettings(TypedDict):
    """A part of it."""

    setting: NotRequired[Literal["motor-voltage", "base-frequency", "motor-current", "thermal-protection", "rated-power", "rated-speed", "power-factor", "poles"]]
    """What the setting is for; drives name it in their own way."""
    value: NotRequired[str]
    """Value with its unit."""
    taken_from: NotRequired[Literal["plate", "worked-out", "table"]]
    """Where the value comes from."""


class ConnectionChoiceValues(TypedDict):
    """Values in the answer; each is there where it applies."""

    connection: NotRequired[Literal["star", "delta", "parallel-star", "series-star", "parallel-delta", "series-delta"]]
    """Connection to use; for an unsuitable motor the one that comes nearest."""
    links: NotRequired[list[str]]
    """Groups of terminals to join, e.g. U1-W2; empty where nothing is joined. Absent for an unsuitable motor."""
    lines: NotRequired[list[str]]
    """Terminal of each line conductor, e.g. L1: U1."""
    winding_voltage_ratio: NotRequired[Quantity]
    """Winding voltage over rated winding voltage. Of the present connection where that differs from the one to use, otherwise of the connection to use."""
    torque_ratio: NotRequired[Quantity]
    """Starting and pull-out torque over rated, at rated frequency. Of the present connection where that differs from the one to use, otherwise of the connection to use."""
    full_torque_up_to: NotRequired[Quantity]
    """Highest frequency with rated torque on this drive. Of the present connection where that differs from the one to use, otherwise of the connection to use."""
    line_current: NotRequired[Quantity]
    """Rated line current in the connection to use: what protection is set to."""
    available_power: NotRequired[Quantity]
    """Power left when the motor moves to another mains frequency."""
    candidates: NotRequired[list[ConnectionChoiceValuesCandidates]]
    """Every legal connection of these leads with its effect on this supply."""
    drive_settings: NotRequired[list[ConnectionChoiceValuesDriveSettings]]
    """What the drive must be told."""


WindingBalanceRequestResistances = TypedDict("WindingBalanceRequestResistances", {"U-V": NotRequired[str], "V-W": NotRequired[str], "W-U": NotRequired[str], "U": NotRequired[str], "V": NotRequired[str], "W": NotRequired[str]})


class WindingBalanceRequestMeasurementAccuracy(TypedDict):
    """Accuracy of the instrument for this reading."""

    relative: NotRequired[str]
    """Share of the reading, e.g. 5 %. Plausible range (at most 100 %)."""
    absolute: NotRequired[str]
    """Fixed part, e.g. the value of two counts."""


class WindingBalanceRequest(TypedDict):
    """Request of WindingBalance."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    connection: Literal["star", "delta", "separate"]
    """How the windings are joined while measured; separate: links off."""
    resistances: WindingBalanceRequestResistances
    """U-V, V-W, W-U between lines; or U, V, W with the links off."""
    open_circuit: NotRequired[list[Literal["U-V", "V-W", "W-U", "U", "V", "W"]]]
    """Readings that showed an open circuit."""
    temperature: NotRequired[str]
    """Winding temperature. Plausible range (-40 degC to 200 degC)."""
    lead_resistance: NotRequired[str]
    """Test leads shorted together, taken off each reading; 0 ohm when measured with four wires or already taken off. Plausible range (at most 100 ohm)."""
    measurement_accuracy: NotRequired[WindingBalanceRequestMeasurementAccuracy]
    """Accuracy of the instrument for this reading."""
    winding: NotRequired[Literal["random-wound", "form-wound"]]
    """Kind of winding; a small motor is random-wound."""
    conductor: NotRequired[Literal["copper", "aluminium"]]
    """Conductor of the winding."""
    through_cable: NotRequired[bool]
    """Measured at the far end of the motor cable, not at the motor's terminals."""
    phase_resistance: NotRequired[str]
    """Resistance of one winding known from elsewhere, to check the links. Plausible range (at most 1 Mohm)."""
    phase_resistance_temperature: NotRequired[str]
    """Temperature of `phase_resistance`. Plausible range (-40 degC to 200 degC)."""
    earlier_unbalance: NotRequired[str]
    """Unbalance at an earlier, sound time. Plausible range (at most 100 %)."""


class WindingBalanceValuesLegs(TypedDict):
    """A part of it."""

    winding: NotRequired[str]
    """which"""
    resistance: NotRequired[Quantity]
    """its resistance"""


class WindingBalanceValues(TypedDict):
    """Values in the answer; each is there where it applies."""

    mean: NotRequired[Quantity]
    """mean of the three readings, leads taken off"""
    unbalance: NotRequired[Quantity]
    """largest deviation from the mean"""
    spread: NotRequired[Quantity]
    """highest less lowest over the mean"""
    unbalance_growth: NotRequired[Quantity]
    """growth over the earlier unbalance"""
    phase_resistance_at_20c: NotRequired[Quantity]
    """resistance of one winding at 20 °C"""
    legs: NotRequired[list[WindingBalanceValuesLegs]]
    """each winding, worked out from the line readings"""
    suspects: NotRequired[list[str]]
    """windings or connections that stand out"""
    links_found: NotRequired[Literal["star", "delta"]]
    """how the links are set, where it is not as said"""


class MotorFitRequestNewMotorFeet(TypedDict):
    """Measured foot holes."""

    across: NotRequired[str]
    """Foot holes across the shaft, centre to centre (A, 2E). Plausible range (1 mm to 2 m)."""
    along: NotRequired[str]
    """Foot holes along the shaft, centre to centre (B, 2F). Plausible range (1 mm to 2 m)."""
    to_shoulder: NotRequired[str]
    """Shaft shoulder to the nearest foot holes (C, BA). Plausible range (1 mm to 2 m)."""
    hole: NotRequired[str]
    """Diameter of the foot holes or width of the slots (K, H). Plausible range (2 mm to 60 mm)."""


class MotorFitRequestNewMotor(TypedDict):
    """The replacement motor."""

    standard: Literal["iec", "nema"]
    """System of the frame."""
    frame: str
    """Frame as on the plate, e.g. 90S, 100L, 56, 143T."""
    mounting: NotRequired[Literal["foot", "flange", "face"]]
    """Feet (B3), flange with clearance holes (B5) or tapped face (B14, C-face)."""
    power: NotRequired[str]
    """Rated output, for torque and belt. Plausible range (10 W to 100 kW)."""
    speed: NotRequired[str]
    """Rated speed, for torque and belt. Plausible range (100 r/min to 12000 r/min)."""
    centre_height: NotRequired[str]
    """Measured shaft height. Plausible range (20 mm to 500 mm)."""
    shaft_diameter: NotRequired[str]
    """Nominal shaft diameter where it is not the frame's. Plausible range (6.1 mm to 110 mm)."""
    shaft_length: NotRequired[str]
    """Measured length of the shaft end. Plausible range (5 mm to 400 mm)."""
    shaft_tolerance: NotRequired[Literal["g6", "h6", "j6", "k6", "m6"]]
    """Tolerance class of the shaft where it is known."""
    feet: NotRequired[MotorFitRequestNewMotorFeet]
    """Measured foot holes."""


class MotorFitRequestOldMotorFeet(TypedDict):
    """Measured foot holes."""

    across: NotRequired[str]
    """Foot holes across the shaft, centre to centre (A, 2E). Plausible range (1 mm to 2 m)."""
    along: NotRequired[str]
    """Foot holes along the shaft, centre to centre (B, 2F). Plausible range (1 mm to 2 m)."""
    to_shoulder: NotRequired[str]
    """Shaft shoulder to the nearest foot holes (C, BA). Plausible range (1 mm to 2 m)."""
    hole: NotRequired[str]
    """Diameter of the foot holes or width of the slots (K, H). Plausible range (2 mm to 60 mm)."""


class MotorFitRequestOldMotorFlange(TypedDict):
    """Flange or face of the old motor, as measured."""

    bolt_circle: NotRequired[str]
    """Bolt circle (M, AJ). Plausible range (1 mm to 2 m)."""
    spigot: NotRequired[str]
    """Centring spigot (N, AK). Plausible range (1 mm to 2 m)."""


class MotorFitRequestOldMotor(TypedDict):
    """The motor that comes out."""

    standard: NotRequired[Literal["iec", "nema"]]
    """System of the frame; without it the one that has the frame, IEC where both have it."""
    frame: NotRequired[str]
    """Frame, where it has a tabulated one."""
    centre_height: NotRequired[str]
    """Measured shaft height. Plausible range (20 mm to 500 mm)."""
    shaft_diameter: NotRequired[str]
    """Measured shaft diameter. Plausible range (3 mm to 110 mm)."""
    shaft_length: NotRequired[str]
    """Measured length of the shaft end. Plausible range (5 mm to 400 mm)."""
    feet: NotRequired[MotorFitRequestOldMotorFeet]
    """Measured foot holes."""
    flange: NotRequired[MotorFitRequestOldMotorFlange]
    """Flange or face of the old motor, as measured."""
    belt_line: NotRequired[str]
    """Nearest foot holes to the middle of the old pulley's hub, along the shaft. Plausible range (1 mm to 2 m)."""
    belt_take_up: NotRequired[str]
    """How far the motor can still be moved to tighten the belts. Plausible range (at most 1 m)."""
    axial_adjustment: NotRequired[str]
    """How far the motor can be moved along its shaft. Plausible range (at most 1 m)."""


class MotorFitRequestPulleyMeasurementAccuracy(TypedDict):
    """Accuracy of the instrument for this reading."""

    relative: NotRequired[str]
    """Share of the reading, e.g. 5 %. Plausible range (at most 100 %)."""
    absolute: NotRequired[str]
    """Fixed part, e.g. the value of two counts."""


class MotorFitRequestPulley(TypedDict):
    """The pulley that is to be used."""

    bore: NotRequired[str]
    """Bore as it is; without it the old shaft's diameter is taken. Plausible range (3 mm to 200 mm)."""
    bore_far_end: NotRequired[str]
    """Bore at the other end of the hub; a difference is taper or bell mouth. Plausible range (3 mm to 200 mm)."""
    measurement_accuracy: NotRequired[MotorFitRequestPulleyMeasurementAccuracy]
    """Accuracy of the instrument for this reading."""
    condition: NotRequired[Literal["sound", "scored", "worn-keyway", "cracked", "tapered"]]
    """What the hub looks like once it is clean."""
    hub_diameter: NotRequired[str]
    """Outside diameter of the hub. Plausible range (6 mm to 500 mm)."""
    hub_length: NotRequired[str]
    """Length of the hub, which the key carries over. Plausible range (3 mm to 500 mm)."""
    hub_material: NotRequired[Literal["cast-iron", "steel", "aluminium"]]
    """Material of the hub."""
    bore_tolerance: NotRequired[Literal["H6", "H7", "H8", "H9"]]
    """Tolerance class to bore to; H7 where nothing is said."""
    keyway_fit: NotRequired[Literal["free", "normal", "close"]]
    """Fit of the key in both keyways; normal where nothing is said."""
    extra_width: NotRequired[str]
    """Width to add to the hub keyway, when it is cut without a key to try. Plausible range (at most 5 mm)."""
    key_system: NotRequired[Literal["din-6885", "asme-b17", "bs-46"]]
    """Standard that the pulley's present keyway follows."""
    keyway_depth: NotRequired[str]
    """Measured depth of that keyway below the bore. Plausible range (0.5 mm to 30 mm)."""
    keyway_width: NotRequired[str]
    """Measured width of the pulley's present keyway. Plausible range (1 mm to 60 mm)."""


class MotorFitRequestBelt(TypedDict):
    """The belt drive."""

    section: NotRequired[Literal["z", "a", "b", "c", "spz", "spa", "spb", "spc"]]
    """V-belt section."""
    pulley_diameter: str
    """Pitch diameter of the motor pulley. Plausible range (10 mm to 2 m)."""
    driven_diameter: NotRequired[str]
    """Pitch diameter of the driven pulley. Plausible range (10 mm to 3 m)."""
    centre_distance: NotRequired[str]
    """Distance between the two shafts. Plausible range (20 mm to 10 m)."""


class MotorFitRequest(TypedDict):
    """Request of MotorFit."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    new_motor: MotorFitRequestNewMotor
    """The replacement motor."""
    old_motor: NotRequired[MotorFitRequestOldMotor]
    """The motor that comes out."""
    pulley: NotRequired[MotorFitRequestPulley]
    """The pulley that is to be used."""
    torque: NotRequired[str]
    """Rated torque; without it power and speed of the new motor give it."""
    starting_torque: NotRequired[str]
    """Greatest torque at starting or stalling."""
    belt: NotRequired[MotorFitRequestBelt]
    """The belt drive."""


class MotorFitValuesHolePositions(TypedDict):
    """A part of it."""

    motor: NotRequired[Literal["old", "new"]]
    """Which motor."""
    hole: NotRequired[str]
    """Which hole."""
    across: NotRequired[Quantity]
    """From the shaft axis; left is negative."""
    from_shaft_end: NotRequired[Quantity]
    """Back from the shaft end."""
    diameter: NotRequired[Quantity]
    """Hole diameter."""


class MotorFitValues(TypedDict):
    """Values in the answer; each is there where it applies."""

    shaft_diameter: NotRequired[Quantity]
    """Shaft diameter of the new motor."""
    shaft_length: NotRequired[Quantity]
    """Length of its shaft end."""
    centre_height: NotRequired[Quantity]
    """Its shaft height."""
    feet_across: NotRequired[Quantity]
    """Its foot holes across the shaft."""
    feet_along: NotRequired[Quantity]
    """Its foot holes along the shaft."""
    shoulder_to_feet: NotRequired[Quantity]
    """Its shaft shoulder to the nearest foot holes."""
    foot_hole: NotRequired[Quantity]
    """Diameter of its foot holes."""
    foot_bolt: NotRequired[str]
    """Foot bolt."""
    usual_outputs: NotRequired[list[str]]
    """Usual rated outputs of the frame by number of poles."""
    height_change: NotRequired[Quantity]
    """Rise of the shaft; negative means lower."""
    packing: NotRequired[Quantity]
    """Packing under the new feet."""
    shaft_end_change: NotRequired[Quantity]
    """How much further from the front foot holes the new shaft ends."""
    belt_line_shift: NotRequired[Quantity]
    """Least move along the shaft that keeps the belt line."""
    feet_across_change: NotRequired[Quantity]
    """Change of the foot holes across the shaft."""
    feet_along_change: NotRequired[Quantity]
    """Change of the foot holes along the shaft."""
    shaft_diameter_change: NotRequired[Quantity]
    """New shaft diameter less the old one."""
    shaft_length_change: NotRequired[Quantity]
    """New shaft length less the old one."""
    base: NotRequired[Literal["bolts-on", "new-holes", "new-plate"]]
    """What the base needs."""
    hole_positions: NotRequired[list[MotorFitValuesHolePositions]]
    """Foot holes of both motors with shaft axes and shaft ends in line."""
    flange_circle: NotRequired[Quantity]
    """Bolt circle of the new flange or face."""
    flange_spigot: NotRequired[Quantity]
    """Spigot of the new flange or face."""
    flange: NotRequired[Literal["bolts-on", "measure", "adapter-ring"]]
    """Whether the new flange or face goes on."""
    flange_outside: NotRequired[Quantity]
    """Outside diameter of the new flange or face."""
    flange_spigot_height: NotRequired[Quantity]
    """Height of its spigot."""
    flange_hole: NotRequired[str]
    """Holes of the new flange or face."""
    shaft_tolerance: NotRequired[Literal["g6", "h6", "j6", "k6", "m6", "nema"]]
    """Tolerance class of the shaft."""
    shaft_minimum: NotRequired[Quantity]
    """Smallest shaft."""
    shaft_maximum: NotRequired[Quantity]
    """Largest shaft."""
    bore_minimum: NotRequired[Quantity]
    """Smallest bore."""
    bore_maximum: NotRequired[Quantity]
    """Largest bore."""
    clearance_maximum: NotRequired[Quantity]
    """Greatest clearance of the fit."""
    interference_maximum: NotRequired[Quantity]
    """Greatest interference of the fit."""
    metal_to_remove: NotRequired[Quantity]
    """Metal to take out of the present bore, on diameter."""
    nominal_looseness: NotRequired[Quantity]
    """How much larger the present bore is than the shaft."""
    pulley_remedy: NotRequired[Literal["none", "rebore", "bush", "bore-out-and-bush", "taper-bush", "new-pulley"]]
    """What the pulley needs."""
    bush_wall: NotRequired[Quantity]
    """Wall of a bush in the present bore."""
    bush_outside_diameter: NotRequired[Quantity]
    """Outside diameter of a bush that carries the keyway."""
    key_width: NotRequired[Quantity]
    """Key width."""
    key_height: NotRequired[Quantity]
    """Key height."""
    key_length: NotRequired[Quantity]
    """Length over which the key carries."""
    shaft_keyway_depth: NotRequired[Quantity]
    """Depth of the keyway in the shaft."""
    hub_keyway_depth: NotRequired[Quantity]
    """Depth of the keyway in the hub, least."""
    hub_keyway_depth_maximum: NotRequired[Quantity]
    """Depth of the keyway in the hub, most."""
    shaft_keyway_width_minimum: NotRequired[Quantity]
    """Least width of the shaft keyway."""
    shaft_keyway_width_maximum: NotRequired[Quantity]
    """Greatest width of the shaft keyway."""
    hub_keyway_width_minimum: NotRequired[Quantity]
    """Least width of the hub keyway."""
    hub_keyway_width_maximum: NotRequired[Quantity]
    """Greatest width of the hub keyway."""
    across_shaft_and_key: NotRequired[Quantity]
    """Over shaft and key, to check the motor in hand."""
    across_bore_and_keyway: NotRequired[Quantity]
    """From the wall of the bore to the bottom of the hub keyway."""
    keyseat_to_far_side: NotRequired[Quantity]
    """From the keyseat's bottom to the far side of an inch shaft."""
    key_side_play: NotRequired[Quantity]
    """Side play of a nominal key in the widened hub keyway."""
    old_keyway_left: NotRequired[Quantity]
    """Depth of the pulley's old keyway that boring out leaves."""
    pulley_keyway_width: NotRequired[Quantity]
    """Width of the keyway the pulley has."""
    wall_over_keyway: NotRequired[Quantity]
    """Metal left between keyway and hub outside."""
    set_screw: NotRequired[str]
    """Set screw over the key."""
    torque: NotRequired[Quantity]
    """Rated torque on the key."""
    key_force: NotRequired[Quantity]
    """Force on the side of the key."""
    key_shear_stress: NotRequired[Quantity]
    """Shear stress in the key at rated torque."""
    key_bearing_stress: NotRequired[Quantity]
    """Pressure on the hub keyway at rated torque."""
    key_shear_stress_at_start: NotRequired[Quantity]
    """Shear stress in the key at starting torque."""
    key_bearing_stress_at_start: NotRequired[Quantity]
    """Pressure on the hub keyway at starting torque."""
    least_pulley_diameter: NotRequired[Quantity]
    """Smallest pulley for the belt section."""
    belt_speed: NotRequired[Quantity]
    """Belt speed at rated motor speed."""
    belt_pull: NotRequired[Quantity]
    """Pull of the belts on the shaft."""
    belt_pull_limit: NotRequired[Quantity]
    """Radial force the bearings take at mid shaft."""
    wrap: NotRequired[Quantity]
    """Share of a turn that the belt wraps the small pulley."""
    puller_thread: NotRequired[str]
    """Thread of the two puller holes in the hub face."""
    puller_drill: NotRequired[Quantity]
    """Tapping drill for them."""
    puller_choices: NotRequired[list[str]]
    """Threads that do for the puller holes, each with its tapping drill."""
    puller_torque: NotRequired[Quantity]
    """Torque to stop at on each puller screw."""
    puller_force: NotRequired[Quantity]
    """Force of each puller screw at that torque."""
    centre_thread: NotRequired[str]
    """Thread in the centre of the shaft end."""
    pulling_off: NotRequired[list[str]]
    """How the old pulley comes off."""
    fitting_on: NotRequired[list[str]]
    """How the pulley goes on."""
    beside_in_inches: NotRequired[list[str]]
    """The lengths above in inches, clearances in thousandths."""


class DriveSizingRequestMotor(TypedDict):
    """The motor."""

    power: str
    """Rated shaft power. Plausible range (10 W to 45 kW)."""
    voltage: str
    """Rated voltage at the connection used. Plausible range (90 V to 700 V)."""
    current: str
    """Rated current at the connection used. Plausible range (0.1 A to 200 A)."""
    efficiency: NotRequired[str | float]
    """Rated efficiency. Plausible range (20 % to 98 %)."""
    power_factor: NotRequired[str | float]
    """Rated power factor. Plausible range (0.3 to 1)."""
    poles: NotRequired[Literal[2, 4, 6, 8]]
    """Number of poles."""
    insulation: NotRequired[Literal["general-purpose", "built-for-drives", "unknown"]]
    """Whether the winding is built for a drive; unknown counts as general-purpose."""
    manufactured: NotRequired[int]
    """Year the winding was made or last rewound."""


class DriveSizingRequestSupply(TypedDict):
    """The supply; without it nothing is said about the input side."""

    voltage: str
    """Voltage across the drive's input, without load. Plausible range (90 V to 520 V)."""
    frequency: NotRequired[str]
    """Frequency. Plausible range (45 Hz to 66 Hz)."""
    phases: NotRequired[Literal[1, 3]]
    """Phases brought to the drive."""
    resistance: NotRequired[str]
    """Resistance of the supply, line and neutral together. Plausible range (5 mohm to 20 ohm)."""
    reactance: NotRequired[str]
    """Reactance of the supply, line and neutral together. Plausible range (at most 20 ohm)."""
    loop_impedance: NotRequired[str]
    """Line-to-neutral loop impedance, measured or declared, where resistance and reactance are not both known. Plausible range (5 mohm to 20 ohm)."""
    connected_by: NotRequired[Literal["plug-13a", "plug-16a", "plug-32a", "plug-15a", "plug-20a", "fixed"]]
    """How the drive is, or will be, connected."""
    device_rating: NotRequired[str]
    """Rating of the protective device of this circuit. Plausible range (1 A to 400 A)."""
    house_fuse: NotRequired[str]
    """Supply fuse of the house or workshop. Plausible range (10 A to 400 A)."""


class DriveSizingRequestDrive(TypedDict):
    """The drive; without it only what it must give is said."""

    rated_output_current: NotRequired[str]
    """Rated output current for the duty asked for. Plausible range (0.2 A to 200 A)."""
    overload: NotRequired[str | float]
    """Short overload (60 s) it allows, over the rated current. Plausible range (100 % to 300 %)."""
    rated_input_current: NotRequired[str]
    """Rated input current. Plausible range (0.2 A to 400 A)."""
    input_phases: NotRequired[Literal[1, 3]]
    """Phases its input is made for."""
    doubles_voltage: NotRequired[bool]
    """Whether it doubles the voltage of its DC link, as drives for 100 to 127 V do that feed a 200 to 240 V motor."""
    dc_link_capacitance: NotRequired[str]
    """Capacitance of the DC link. Plausible range (5 uF to 200 mF)."""
    choke_inductance: NotRequired[str]
    """Line choke fitted or meant. Plausible range (1 uH to 1 H)."""
    carrier_frequency: NotRequired[str]
    """Carrier frequency set. Plausible range (500 Hz to 40 kHz)."""
    carrier_factor: NotRequired[str | float]
    """Share of the rated current its manual allows at this carrier frequency. Plausible range (5 % to 100 %)."""
    ambient_derating: NotRequired[str]
    """Loss for each kelvin above 40 °C, from its manual. Plausible range (0.1 % to 10 %)."""
    single_phase_factor: NotRequired[str | float]
    """Share of the rated current its manual allows on one phase, for a three-phase input. Plausible range (5 % to 100 %)."""
    efficiency: NotRequired[str | float]
    """Efficiency. Plausible range (50 % to 99.5 %)."""
    rise_time: NotRequired[str]
    """Rise time of its output voltage. Plausible range (10 ns to 20 us)."""


class DriveSizingRequestSite(TypedDict):
    """Where the drive stands."""

    ambient: NotRequired[str]
    """Air temperature inside the enclosure, at its highest. Plausible range (-20 degC to 70 degC)."""
    altitude: NotRequired[str]
    """Height above sea level. Plausible range (at most 5000 m)."""


class DriveSizingRequestMotorCable(TypedDict):
    """The cable between drive and motor."""

    length: str
    """Length. Plausible range (0.1 m to 300 m)."""
    screened: NotRequired[bool]
    """Whether it is screened or armoured."""


class DriveSizingRequestBrakingMasses(TypedDict):
    """A part of it."""

    mass: NotRequired[str]
    """Mass; or give width and material. Plausible range (10 g to 5000 kg)."""
    outside_diameter: str
    """Outside diameter. Plausible range (5 mm to 3 m)."""
    bore: NotRequired[str]
    """Bore; none if solid. Plausible range (at most 3 m)."""
    width: NotRequired[str]
    """Width. Plausible range (1 mm to 5 m)."""
    material: NotRequired[Literal["steel", "cast-iron"]]
    """Material, for a mass given by its width."""
    speed: NotRequired[str]
    """Its own speed at the start of the stop; the motor's if not given. Plausible range (1 r/min to 60000 r/min)."""


class DriveSizingRequestBraking(TypedDict):
    """The stop that is wanted."""

    inertia: NotRequired[str]
    """Inertia at the motor's shaft, all told. Plausible range (at most 10000 kg.m2)."""
    masses: NotRequired[list[DriveSizingRequestBrakingMasses]]
    """Turning masses to be added, each with its own speed."""
    speed: str
    """Motor speed at the start. Plausible range (1 r/min to 60000 r/min)."""
    stop_time: NotRequired[str]
    """Time in which it is to stop. Plausible range (10 ms to 1 h)."""
    stops_every: NotRequired[str]
    """Time from one stop to the next. Plausible range (0.1 s to 1 d)."""
    resistance: NotRequired[str]
    """Brake resistor fitted or meant. Plausible range (1 ohm to 100 kohm)."""
    least_resistance: NotRequired[str]
    """Least resistance the drive allows. Plausible range (1 ohm to 100 kohm)."""
    chopper_voltage: NotRequired[str]
    """DC link voltage at which the brake chopper works. Plausible range (150 V to 1200 V)."""


class DriveSizingRequest(TypedDict):
    """Request of DriveSizing."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    motor: DriveSizingRequestMotor
    """The motor."""
    duty: NotRequired[Literal["heavy", "normal"]]
    """heavy: 150 % for 60 s, as saws and planers need; normal: 110 %, as fans and pumps."""
    supply: NotRequired[DriveSizingRequestSupply]
    """The supply; without it nothing is said about the input side."""
    drive: NotRequired[DriveSizingRequestDrive]
    """The drive; without it only what it must give is said."""
    site: NotRequired[DriveSizingRequestSite]
    """Where the drive stands."""
    motor_cable: NotRequired[DriveSizingRequestMotorCable]
    """The cable between drive and motor."""
    braking: NotRequired[DriveSizingRequestBraking]
    """The stop that is wanted."""


class DriveSizingValuesHarmonics(TypedDict):
    """A part of it."""

    order: NotRequired[float]
    """order"""
    current: NotRequired[Quantity]
    """r.m.s."""
    share: NotRequired[Quantity]
    """of the fundamental"""


class DriveSizingValuesChokeOptions(TypedDict):
    """A part of it."""

    option: NotRequired[str]
    """as-asked, without-choke, choke-3-percent, choke-5-percent or reference-supply"""
    choke_inductance: NotRequired[Quantity]
    """line choke"""
    input_current: NotRequired[Quantity]
    """r.m.s."""
    input_current_peak: NotRequired[Quantity]
    """peak"""
    crest_factor: NotRequired[Quantity]
    """peak over r.m.s."""
    distortion: NotRequired[Quantity]
    """harmonics over fundamental"""
    power_factor: NotRequired[Quantity]
    """true power factor"""
    dc_link_voltage: NotRequired[Quantity]
    """mean"""
    direct_current: NotRequired[Quantity]
    """direct component, where half-waves are unequal"""
    remark: NotRequired[str]
    """why there are no figures, or what is amiss with them"""


class DriveSizingValues(TypedDict):
    """Values in the answer; each is there where it applies."""

    required_output_current: NotRequired[Quantity]
    """rated output current the drive must have left"""
    available_output_current: NotRequired[Quantity]
    """output current left after all deratings"""
    output_current_share: NotRequired[Quantity]
    """needed over left"""
    carrier_factor: NotRequired[Quantity]
    """share left by the carrier frequency"""
    ambient_factor: NotRequired[Quantity]
    """share left by the ambient temperature"""
    altitude_factor: NotRequired[Quantity]
    """share left by the altitude"""
    single_phase_factor: NotRequired[Quantity]
    """share left by one phase at a three-phase input"""
    input_current: NotRequired[Quantity]
    """for the circuit: the larger of computed and maker's, r.m.s."""
    computed_input_current: NotRequired[Quantity]
    """computed input current, r.m.s."""
    input_current_peak: NotRequired[Quantity]
    """peak of the computed input current"""
    input_crest_factor: NotRequired[Quantity]
    """peak over r.m.s."""
    input_current_distortion: NotRequired[Quantity]
    """all harmonics over the fundamental"""
    input_direct_current: NotRequired[Quantity]
    """direct component of the supply current, where half-waves are unequal"""
    input_displacement_factor: NotRequired[Quantity]
    """cosine of the fundamental's angle"""
    input_power_factor: NotRequired[Quantity]
    """true power factor, against the undisturbed supply voltage"""
    input_power: NotRequired[Quantity]
    """power from the supply, its own losses included"""
    fundamental_reactive_power: NotRequired[Quantity]
    """lagging positive"""
    harmonics: NotRequired[list[DriveSizingValuesHarmonics]]
    """odd orders of the input current to 25; even ones are nil unless half-waves are unequal"""
    dc_link_voltage: NotRequired[Quantity]
    """mean, at full load"""
    dc_link_ripple: NotRequired[Quantity]
    """peak to peak"""
    dc_link_idle_voltage: NotRequired[Quantity]
    """without load"""
    greatest_output_voltage: NotRequired[Quantity]
    """greatest output voltage at full load"""
    greatest_rectifier_power: NotRequired[Quantity]
    """greatest load with a steady state, where the one asked for has none"""
    choke_options: NotRequired[list[DriveSizingValuesChokeOptions]]
    """the input side with other chokes side by side"""
    supply_voltage_drop: NotRequired[Quantity]
    """input current times supply impedance, over the voltage"""
    crest_voltage_drop: NotRequired[Quantity]
    """by how much the crest of the supply voltage is flattened"""
    house_fuse_share: NotRequired[Quantity]
    """input current over the house's supply fuse"""
    protective_device_rating: NotRequired[Quantity]
    """least standard rating that carries the input current"""
    critical_cable_length: NotRequired[Quantity]
    """from which reflection doubles the voltage in full"""
    terminal_peak_voltage: NotRequired[Quantity]
    """peak at the motor's terminals"""
    terminal_peak_voltage_braking: NotRequired[Quantity]
    """the same while a brake resistor works"""
    voltage_steepness: NotRequired[Quantity]
    """steepness of the edges at the motor"""
    greatest_carrier_frequency: NotRequired[Quantity]
    """greatest carrier frequency for this motor cable"""
    cable_charging_current: NotRequired[Quantity]
    """recharging the motor cable, mean per phase"""
    braking_inertia: NotRequired[Quantity]
    """at the motor's shaft"""
    braking_energy: NotRequired[Quantity]
    """to be taken out"""
    braking_peak_power: NotRequired[Quantity]
    """at the start of the stop"""
    braking_mean_power: NotRequired[Quantity]
    """over the stop"""
    braking_torque: NotRequired[Quantity]
    """at the motor's shaft"""
    braking_resistance_limit: NotRequired[Quantity]
    """greatest brake resistance"""
    braking_cycle_power: NotRequired[Quantity]
    """mean over the time from stop to stop"""
    braking_effective_power: NotRequired[Quantity]
    """root of the mean square over the cycle"""
    stop_time_without_resistor: NotRequired[Quantity]
    """estimate from the losses of motor and drive"""


class CableSizingRequestProtectiveDevice(TypedDict):
    """Breaker or fuse at the origin of the circuit."""

    kind: NotRequired[Literal["mcb-b", "mcb-c", "mcb-d", "fuse-gg", "fuse-bs1362", "fuse-bs3036", "inverse-time-breaker", "time-delay-fuse", "non-time-delay-fuse"]]
    """Kind of device; without it a type B breaker is chosen."""
    rating: NotRequired[str]
    """Rated current; without it the next rating above the design current. Plausible range (1 A to 1 kA)."""
    breaking_capacity: NotRequired[str]
    """Breaking capacity (interrupting rating) marked on the device. Plausible range (100 A to 500 kA)."""


class CableSizingRequestRcd(TypedDict):
    """RCD ahead of the circuit, if there is one."""

    rated_residual_current: str
    """Rated residual operating current IΔn. Plausible range (5 mA to 30 A)."""
    type: NotRequired[Literal["AC", "A", "F", "B", "class-a-gfci", "class-c-gfci"]]
    """Type marked on the RCD."""
    delay: NotRequired[Literal["none", "short", "selective"]]
    """Time delay; a selective RCD carries the mark S."""


class CableSizingRequest(TypedDict):
    """Request of CableSizing."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    design_current: str
    """Current the load takes continuously; for a drive its rated input current. Plausible range (1 mA to 2 kA)."""
    feeds: NotRequired[Literal["drive", "motor", "motor-from-drive", "other"]]
    """What the cable feeds."""
    motor_power: NotRequired[str]
    """Rated motor power, for the table current of nfpa-70. Plausible range (10 W to 1 MW)."""
    phases: NotRequired[Literal[1, 3]]
    """1 for single phase (two loaded conductors), 3 for three phase."""
    voltage: NotRequired[str]
    """Nominal voltage: line to neutral for one phase (from 380 V up between two lines), line to line for three. Plausible range (24 V to 1 kV)."""
    length: NotRequired[str]
    """Length of the run, one way. Plausible range (10 mm to 10 km)."""
    installation_method: NotRequired[Literal["a1", "a2", "b1", "b2", "c", "d1", "d2", "e", "100", "101", "102", "103", "raceway", "cable", "direct-buried", "free-air"]]
    """Reference method a1 to e (bs-7671 also 100 to 103); raceway, cable, direct-buried or free-air for nfpa-70."""
    cable: NotRequired[Literal["single-core", "multicore", "flat-twin-and-earth", "armoured", "screened", "flexible"]]
    """Construction of the cable."""
    insulation: NotRequired[Literal["pvc-70", "xlpe-90", "rubber-60", "thermoplastic-75", "thermoplastic-90"]]
    """Insulation and its temperature; thermoplastic-75 and thermoplastic-90 are for nfpa-70."""
    ambient: NotRequired[str]
    """Hottest surroundings: air, or ground for buried cable. Plausible range (-50 degC to 200 degC)."""
    grouped_circuits: NotRequired[int]
    """Circuits lying together, this one counted."""
    grouping: NotRequired[Literal["bunched", "single-layer", "single-layer-spaced", "under-ceiling"]]
    """How grouped cables lie, for methods c and e; without it bunched is taken."""
    thermal_insulation: NotRequired[str]
    """Length over which the cable is wholly surrounded by thermal insulation. Plausible range (at most 1 km)."""
    soil_resistivity: NotRequired[str]
    """Soil, for d1 and d2. Plausible range (0.1 K.m/W to 20 K.m/W)."""
    drum: NotRequired[Literal["radial-ventilated", "radial-unventilated", "one-layer", "two-layers", "three-layers", "four-layers"]]
    """Drum a flexible cable stays wound on."""
    terminal_temperature: NotRequired[str]
    """Temperature the terminals at both ends are marked for. Plausible range (30 degC to 200 degC)."""
    protective_device: NotRequired[CableSizingRequestProtectiveDevice]
    """Breaker or fuse at the origin of the circuit."""
    prospective_fault_current: NotRequired[str]
    """Prospective (available) fault current where the device sits. Plausible range (1 A to 500 kA)."""
    circuit: NotRequired[Literal["final-fixed", "final-sockets", "distribution"]]
    """Kind of circuit, for the disconnection time."""
    rcd: NotRequired[CableSizingRequestRcd]
    """RCD ahead of the circuit, if there is one."""
    voltage_drop_limit: NotRequired[str]
    """Most voltage drop allowed as a share of the supply voltage. Plausible range (0.1 % to 50 %)."""
    external_loop_impedance: NotRequired[str]
    """Earth-fault loop impedance at the origin of the circuit. Plausible range (1 mohm to 10000 ohm)."""
    electrode_resistance: NotRequired[str]
    """Resistance of the earth electrode of a TT supply. Plausible range (10 mohm to 1 Mohm)."""
    earthing: NotRequired[Literal["tn-s", "tn-c-s", "tt"]]
    """Earthing arrangement of the supply."""
    protective_conductor_current: NotRequired[str]
    """Current that flows in the protective conductor in normal operation. Plausible range (at most 10 A)."""
    connection: NotRequired[Literal["fixed", "industrial-plug", "household-plug"]]
    """How the load is connected, for high protective-conductor current."""
    second_protective_conductor: NotRequired[bool]
    """Whether a second, separate protective conductor is run."""
    protective_conductor_cross_section: NotRequired[str]
    """Protective conductor as fitted, where it is not the cable's own. Plausible range (0.5 mm2 to 400 mm2)."""
    protective_conductor_protected: NotRequired[bool]
    """Whether the protective conductor is protected against mechanical damage beyond the cable's sheath."""
    cross_section: NotRequired[str]
    """Check this size; without it the smallest that passes is found. Plausible range (0.1 mm2 to 1000 mm2)."""
    gauge: NotRequired[Literal["14-awg", "12-awg", "10-awg", "8-awg", "6-awg", "4-awg", "3-awg", "2-awg", "1-awg", "1/0-awg", "2/0-awg", "3/0-awg", "4/0-awg"]]
    """Check this gauge under nfpa-70."""


class CableSizingValuesCandidates(TypedDict):
    """A part of it."""

    cross_section: NotRequired[Quantity]
    """Size tried."""
    gauge: NotRequired[Literal["14-awg", "12-awg", "10-awg", "8-awg", "6-awg", "4-awg", "3-awg", "2-awg", "1-awg", "1/0-awg", "2/0-awg", "3/0-awg", "4/0-awg"]]
    """Gauge tried, under nfpa-70."""
    passes: NotRequired[bool]
    """Whether it passes every check."""
    why: NotRequired[str]
    """Why it passes or fails."""
    fails: NotRequired[list[str]]
    """Checks it fails."""
    corrected_capacity: NotRequired[Quantity]
    """Its capacity where it lies."""
    voltage_drop: NotRequired[Quantity]
    """Its voltage drop."""
    voltage_drop_share: NotRequired[Quantity]
    """The same as a share of the supply voltage."""
    loop_impedance: NotRequired[Quantity]
    """Loop impedance at its far end."""
    protective_conductor: NotRequired[Quantity]
    """Its protective conductor."""
    adiabatic_minimum: NotRequired[Quantity]
    """Least protective conductor by heat."""


class CableSizingValues(TypedDict):
    """Values in the answer; each is there where it applies."""

    cross_section: NotRequired[Quantity]
    """Smallest size that passes, or the one asked about if it does."""
    gauge: NotRequired[Literal["14-awg", "12-awg", "10-awg", "8-awg", "6-awg", "4-awg", "3-awg", "2-awg", "1-awg", "1/0-awg", "2/0-awg", "3/0-awg", "4/0-awg"]]
    """The same as a gauge, under nfpa-70."""
    protective_device_rating: NotRequired[Quantity]
    """Rating of the protective device."""
    required_ampacity: NotRequired[Quantity]
    """Ampacity the conductors must have, under nfpa-70."""
    tabulated_capacity_needed: NotRequired[Quantity]
    """Capacity to look for in the table."""
    corrected_capacity: NotRequired[Quantity]
    """Capacity of the size where it lies."""
    voltage_drop: NotRequired[Quantity]
    """Voltage drop at the design current."""
    voltage_drop_share: NotRequired[Quantity]
    """Voltage drop as a share of the supply voltage."""
    voltage_drop_from_resistance: NotRequired[Quantity]
    """The same from the conductor's impedance, hot."""
    loop_impedance: NotRequired[Quantity]
    """Earth-fault loop impedance at the far end, conductors hot."""
    loop_impedance_limit: NotRequired[Quantity]
    """Highest loop impedance at which the protection disconnects in time."""
    loop_impedance_limit_with_rcd: NotRequired[Quantity]
    """Highest loop impedance behind the RCD."""
    electrode_resistance_limit: NotRequired[Quantity]
    """Highest electrode resistance behind the RCD."""
    protective_conductor: NotRequired[Quantity]
    """Protective conductor to fit."""
    protective_conductor_gauge: NotRequired[Literal["14-awg", "12-awg", "10-awg", "8-awg", "6-awg", "4-awg", "3-awg", "2-awg", "1-awg", "1/0-awg", "2/0-awg", "3/0-awg", "4/0-awg"]]
    """The same as a gauge, under nfpa-70."""
    adiabatic_minimum: NotRequired[Quantity]
    """Least protective conductor by the heat of a fault."""
    longest_run: NotRequired[Quantity]
    """Length at which the size judged reaches its first limit."""
    limiting_checks: NotRequired[list[str]]
    """Checks that the next smaller size fails, or the size itself where none passes."""
    candidates: NotRequired[list[CableSizingValuesCandidates]]
    """Every size that was tried."""


class LeakageBudgetRequestRcd(TypedDict):
    """The device that trips, or is to hold."""

    rated_residual_current: str
    """Rated residual current on the label, e.g. 30 mA. Plausible range (4 mA to 30 A)."""
    type: NotRequired[Literal["AC", "A", "F", "B", "class-a-gfci", "class-c-gfci"]]
    """Type on the label; leave it out while it is not known. North American devices have a class instead."""
    delay: NotRequired[Literal["none", "short", "selective"]]
    """Delay mark: none, short (G or K) or selective (S)."""


class LeakageBudgetRequestUpstreamRcd(TypedDict):
    """The device ahead of it, where there is one."""

    rated_residual_current: str
    """Rated residual current on the label, e.g. 30 mA. Plausible range (4 mA to 30 A)."""
    type: NotRequired[Literal["AC", "A", "F", "B", "class-a-gfci", "class-c-gfci"]]
    """Type on the label; leave it out while it is not known. North American devices have a class instead."""
    delay: NotRequired[Literal["none", "short", "selective"]]
    """Delay mark: none, short (G or K) or selective (S)."""


class LeakageBudgetRequestSupply(TypedDict):
    """The supply."""

    voltage: NotRequired[str]
    """Line to earth; 120 V on a 120/240 V supply. Default by wiring rules. Plausible range (50 V to 500 V)."""
    frequency: NotRequired[str]
    """Default by wiring rules. Plausible range (40 Hz to 70 Hz)."""
    earthing: NotRequired[Literal["tn-s", "tn-c-s", "tt", "it"]]
    """How the supply is earthed."""
    electrode_resistance: NotRequired[str]
    """Measured resistance of the earth electrode of a TT supply. Plausible range (0.1 ohm to 100 kohm)."""
    lines: NotRequired[Literal["split-phase", "star"]]
    """Line-line fed drives: the two halves of a centre-earthed supply (120/240 V), or two lines of a star."""


class LeakageBudgetRequestLoads(TypedDict):
    """A part of it."""

    name: NotRequired[str]
    """What it is called."""
    kind: NotRequired[Literal["class-ii-appliance", "class-i-portable", "class-i-stationary-motor", "computer", "monitor", "printer", "copier", "washing-machine", "tumble-dryer", "dishwasher", "ballast", "led-luminaire", "lamp-circuit", "dc-supply", "mains-motor", "plug-equipment", "fixed-equipment", "heating-appliance", "undeclared-load"]]
    """Sort of load, where its leakage is not known."""
    leakage: NotRequired[str]
    """Declared or measured leakage of one. Plausible range (0 mA to 1 A)."""
    count: NotRequired[int]
    """How many of them."""
    rated_current: NotRequired[str]
    """For the kinds judged by rated current. Plausible range (10 mA to 125 A)."""
    rated_power: NotRequired[str]
    """For a heating appliance. Plausible range (10 W to 50 kW)."""
    length: NotRequired[str]
    """Run of wire to an undeclared load. Plausible range (0.1 m to 500 m)."""


class LeakageBudgetRequestDrivesMotorCable(TypedDict):
    """Cable to the motor."""

    length: str
    """Length of the motor cable. Plausible range (0.1 m to 300 m)."""
    screened: NotRequired[bool]
    """Whether it is screened; taken as screened, the greater leakage, where not stated."""


class LeakageBudgetRequestDrives(TypedDict):
    """A part of it."""

    name: NotRequired[str]
    """What it is called."""
    filter_leakage: NotRequired[str]
    """Earth leakage from the drive's instructions, filter in. Plausible range (0 mA to 1 A)."""
    filter_leakage_voltage: NotRequired[str]
    """Voltage it is declared for. Plausible range (50 V to 500 V)."""
    filter_leakage_frequency: NotRequired[str]
    """Frequency it is declared for. Plausible range (40 Hz to 70 Hz)."""
    y_capacitance: NotRequired[str]
    """Filter capacitor, line to earth. Plausible range (10 pF to 10 uF)."""
    input: NotRequired[Literal["line-neutral", "line-line", "three-phase"]]
    """How the drive is fed."""
    boost_stage: NotRequired[bool]
    """Active power-factor stage, doubler or half-wave rectifier ahead of the DC link."""
    carrier_frequency: NotRequired[str]
    """Carrier frequency in use. Plausible range (500 Hz to 100 kHz)."""
    motor_cable: NotRequired[LeakageBudgetRequestDrivesMotorCable]
    """Cable to the motor."""
    motor_insulation: NotRequired[str]
    """Least insulation resistance of motor and cable to earth. Plausible range (1 ohm to 1000 Gohm)."""
    rcd_type_instruction: NotRequired[Literal["A", "F", "B"]]
    """RCD type that the drive's own instructions name."""
    connection: NotRequired[Literal["plug", "industrial-plug", "fixed"]]
    """How it is connected to the supply."""
    protective_conductor: NotRequired[Literal["single", "single-10-mm2", "two", "monitored"]]
    """Its protective conductor: single, single of 10 mm2, two, or monitored."""


class LeakageBudgetRequestCircuits(TypedDict):
    """A part of it."""

    name: NotRequired[str]
    """What it is called."""
    length: str
    """Length of line conductor. Plausible range (0.1 m to 2000 m)."""
    wiring: NotRequired[Literal["cable", "metal-conduit"]]
    """How it is run."""


class LeakageBudgetRequestMeasurementAccuracy(TypedDict):
    """Accuracy of the instrument for this reading."""

    relative: NotRequired[str]
    """Share of the reading, e.g. 5 %. Plausible range (at most 100 %)."""
    absolute: NotRequired[str]
    """Fixed part, e.g. the value of two counts."""


class LeakageBudgetRequest(TypedDict):
    """Request of LeakageBudget."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    rcd: LeakageBudgetRequestRcd
    """The device that trips, or is to hold."""
    upstream_rcd: NotRequired[LeakageBudgetRequestUpstreamRcd]
    """The device ahead of it, where there is one."""
    supply: NotRequired[LeakageBudgetRequestSupply]
    """The supply."""
    loads: NotRequired[list[LeakageBudgetRequestLoads]]
    """Loads other than drives."""
    drives: NotRequired[list[LeakageBudgetRequestDrives]]
    """Drives."""
    circuits: NotRequired[list[LeakageBudgetRequestCircuits]]
    """Fixed wiring."""
    measured_standing: NotRequired[str]
    """Residual current read with everything connected and switched on, motors at standstill. It takes the place of what is listed. Plausible range (0 mA to 30 A)."""
    measured_bandwidth: NotRequired[Literal["low-pass", "wideband"]]
    """Whether the clamp's low-pass filter was on; taken as wideband if not stated."""
    measurement_accuracy: NotRequired[LeakageBudgetRequestMeasurementAccuracy]
    """Accuracy of the instrument for this reading."""


class LeakageBudgetValuesFaultPoints(TypedDict):
    """A part of it."""

    drive: NotRequired[str]
    """Which drive."""
    fault_at: NotRequired[Literal["motor", "dc-link-pole", "supply-side"]]
    """Where the fault is."""
    total: NotRequired[Quantity]
    """All frequencies, r.m.s."""
    at_supply_frequency: NotRequired[Quantity]
    """Part at supply frequency."""
    at_motor_frequency: NotRequired[Quantity]
    """Part at the motor's frequency, full modulation."""
    mean: NotRequired[Quantity]
    """Mean of a pulsating current."""


class LeakageBudgetValuesItems(TypedDict):
    """A part of it."""

    what: NotRequired[str]
    """Source of leakage."""
    kind: NotRequired[Literal["load", "wiring", "drive-filter", "motor-cable", "carrier", "measured"]]
    """Sort."""
    basis: NotRequired[str]
    """How the figure was come by."""
    expected: NotRequired[Quantity]
    """Typical."""
    current: NotRequired[Quantity]
    """At its limit."""
    counts: NotRequired[bool]
    """False for carrier-frequency current, which an RCD sees only in part."""


class LeakageBudgetValuesTripWindows(TypedDict):
    """A part of it."""

    waveform: NotRequired[str]
    """Waveform of the residual current."""
    no_trip: NotRequired[Quantity]
    """Up to here the device must hold."""
    must_trip: NotRequired[Quantity]
    """From here it must trip."""
    checked: NotRequired[Literal["read", "secondary", "memory"]]
    """How far the figure was checked."""


class LeakageBudgetValuesComparison(TypedDict):
    """A part of it."""

    arrangement: NotRequired[str]
    """Which arrangement."""
    current: NotRequired[Quantity]
    """Residual current it comes to, bounding."""
    trip_share: NotRequired[Quantity]
    """That current as a share of the trip current."""
    verdict: NotRequired[Literal["within-budget", "over-budget", "may-trip", "certain-trip"]]
    """How the RCD takes it."""


class LeakageBudgetValuesRemedies(TypedDict):
    """A part of it."""

    remedy: NotRequired[str]
    """Remedy."""
    current: NotRequired[Quantity]
    """Residual current it comes to, bounding."""
    trip_share: NotRequired[Quantity]
    """That current as a share of the trip current."""
    verdict: NotRequired[Literal["within-budget", "over-budget", "may-trip", "certain-trip"]]
    """How the RCD takes it."""
    advice: NotRequired[str]
    """How."""


class LeakageBudgetValues(TypedDict):
    """Values in the answer; each is there where it applies."""

    verdict: NotRequired[Literal["within-budget", "over-budget", "may-trip", "certain-trip"]]
    """In one word how the RCD takes what stands behind it."""
    standing_leakage: NotRequired[Quantity]
    """Sum of what leaks with everything sound, each at its limit."""
    standing_leakage_expected: NotRequired[Quantity]
    """The same with typical figures where they are known."""
    budget: NotRequired[Quantity]
    """What the wiring rules leave to standing leakage."""
    budget_share: NotRequired[Quantity]
    """Standing leakage as a share of the budget."""
    trip_share: NotRequired[Quantity]
    """Bounding current as a share of the current that must trip the RCD."""
    running_current_expected: NotRequired[Quantity]
    """Residual current at supply frequency with the motors running, in quadrature."""
    running_current_bounding: NotRequired[Quantity]
    """Plain sum that cannot be exceeded; it decides."""
    fault_current_50hz: NotRequired[Quantity]
    """Motor insulation current at supply frequency."""
    fault_current_total: NotRequired[Quantity]
    """Motor insulation current, all frequencies."""
    fault_current_bounding: NotRequired[Quantity]
    """The same fault on the supply side of the drive."""
    fault_points: NotRequired[list[LeakageBudgetValuesFaultPoints]]
    """The stated insulation resistance as a fault at three places."""
    insulation_for_half_trip: NotRequired[Quantity]
    """Insulation resistance below which the RCD may begin to trip, bounding."""
    insulation_for_certain_trip: NotRequired[Quantity]
    """Insulation resistance below which the RCD must trip, expected."""
    least_rcd_type: NotRequired[Literal["AC", "A", "F", "B"]]
    """Least RCD type that detects what these loads can let through."""
    longest_trip_time: NotRequired[Quantity]
    """Interrupters: the longest they may take to trip, where they must."""
    electrode_resistance_limit: NotRequired[Quantity]
    """TT supplies: greatest electrode resistance."""
    protective_conductor_current: NotRequired[Quantity]
    """What the protective conductor carries in normal use."""
    items: NotRequired[list[LeakageBudgetValuesItems]]
    """Leakage by source."""
    trip_windows: NotRequired[list[LeakageBudgetValuesTripWindows]]
    """Between which currents a device of this type may trip."""
    comparison: NotRequired[list[LeakageBudgetValuesComparison]]
    """All on one RCD against each drive on its own."""
    remedies: NotRequired[list[LeakageBudgetValuesRemedies]]
    """What would help, best first."""
    never: NotRequired[list[str]]
    """What is never a remedy."""


class SpindleSpeedsRequestMotor(TypedDict):
    """The motor."""

    rated_speed: str
    """Speed at rated load. Plausible range (100 r/min to 24000 r/min)."""
    frequency: NotRequired[str]
    """Rated frequency. Plausible range (16 Hz to 400 Hz)."""
    poles: NotRequired[Literal[2, 4, 6, 8, 10, 12]]
    """Number of poles; worked out from the speed if not given."""
    power: NotRequired[str]
    """Rated shaft power; without it torque is given as a share only. Plausible range (10 W to 500 kW)."""
    frame: NotRequired[Literal["56", "63", "71", "80", "90", "90S", "90L", "100", "100L", "112", "112M", "132", "132S", "132M", "160", "160M", "160L", "180", "180M", "180L", "200", "200L", "225", "225S", "225M"]]
    """Frame of an IEC motor: its centre height in mm, with or without the length letter."""
    cooling: NotRequired[Literal["ic-01", "ic-411", "ic-416"]]
    """ic-01 open, ic-411 own fan outside, ic-416 separately driven fan."""
    maximum_speed: NotRequired[str]
    """Largest speed on the plate. Plausible range (100 r/min to 60000 r/min)."""
    pull_out_torque: NotRequired[str | float]
    """Pull-out torque over rated torque, from the maker. Plausible range (1.2 to 6)."""
    full_torque_up_to: NotRequired[str]
    """Frequency up to which the drive holds rated torque, from connection-choice; the rated frequency if not given. Plausible range (5 Hz to 400 Hz)."""


class SpindleSpeedsRequestSteps(TypedDict):
    """A part of it."""

    driver: str
    """Pitch diameter of the driving pulley. Plausible range (5 mm to 2 m)."""
    driven: str
    """Pitch diameter of the driven pulley. Plausible range (5 mm to 2 m)."""
    name: NotRequired[str]
    """What the step is called on the machine."""


class SpindleSpeedsRequestCountershaft(TypedDict):
    """A fixed belt from the motor to a countershaft that carries the steps."""

    driver: str
    """Pitch diameter of the driving pulley. Plausible range (5 mm to 2 m)."""
    driven: str
    """Pitch diameter of the driven pulley. Plausible range (5 mm to 2 m)."""


class SpindleSpeedsRequestFrequencyRange(TypedDict):
    """Lowest and highest frequency wanted."""

    lowest: str
    """Lowest frequency. Plausible range (0.5 Hz to 400 Hz)."""
    highest: str
    """Highest frequency. Plausible range (1 Hz to 400 Hz)."""


class SpindleSpeedsRequest(TypedDict):
    """Request of SpindleSpeeds."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    motor: SpindleSpeedsRequestMotor
    """The motor."""
    steps: list[SpindleSpeedsRequestSteps]
    """Every step of the pulleys."""
    countershaft: NotRequired[SpindleSpeedsRequestCountershaft]
    """A fixed belt from the motor to a countershaft that carries the steps."""
    back_gear: NotRequired[float]
    """How many times slower the spindle turns with the back gear engaged."""
    frequency_range: SpindleSpeedsRequestFrequencyRange
    """Lowest and highest frequency wanted."""
    spindle_limit: NotRequired[str]
    """Lowest of the limits of spindle, chuck and faceplate. Plausible range (10 r/min to 60000 r/min)."""
    belt: NotRequired[Literal["classical", "wedge", "flat"]]
    """Kind of belt."""
    belt_efficiency: NotRequired[str]
    """Efficiency of one belt. Plausible range (50 % to 100 %)."""
    back_gear_efficiency: NotRequired[str]
    """Efficiency of the back gear. Plausible range (50 % to 100 %)."""
    pulleys_balanced: NotRequired[bool]
    """True if wedge belt pulleys are dynamically balanced."""


class SpindleSpeedsValuesSpeeds(TypedDict):
    """A part of it."""

    step: NotRequired[str]
    """Name of the step, or its pulleys."""
    back_gear: NotRequired[bool]
    """Whether the back gear is engaged."""
    reduction: NotRequired[Quantity]
    """Motor speed over spindle speed."""
    usable: NotRequired[bool]
    """Whether the step can be used in the wanted range."""
    highest_frequency: NotRequired[Quantity]
    """Highest usable frequency of the step."""
    binds_at_top: NotRequired[Literal["frequency-range", "motor-speed", "belt-speed", "spindle-limit"]]
    """What limits the step at the top."""
    belt_speed: NotRequired[Quantity]
    """Belt speed at the highest usable frequency."""
    lowest: NotRequired[Quantity]
    """Spindle speed at the lowest frequency, loaded."""
    torque_at_lowest: NotRequired[Quantity]
    """Continuous spindle torque at the lowest frequency."""
    torque_share_at_lowest: NotRequired[Quantity]
    """Continuous motor torque over rated at the lowest frequency."""
    power_at_lowest: NotRequired[Quantity]
    """Continuous motor power at the lowest frequency."""
    rated: NotRequired[Quantity]
    """Spindle speed at the rated frequency, loaded."""
    torque_at_rated: NotRequired[Quantity]
    """Continuous spindle torque at the rated frequency."""
    torque_share_at_rated: NotRequired[Quantity]
    """Continuous motor torque over rated at the rated frequency."""
    power_at_rated: NotRequired[Quantity]
    """Continuous motor power at the rated frequency."""
    highest: NotRequired[Quantity]
    """Spindle speed at the highest usable frequency, loaded."""
    torque_at_highest: NotRequired[Quantity]
    """Continuous spindle torque at the highest usable frequency."""
    torque_share_at_highest: NotRequired[Quantity]
    """Continuous motor torque over rated at the highest usable frequency."""
    power_at_highest: NotRequired[Quantity]
    """Continuous motor power at the highest usable frequency."""


class SpindleSpeedsValues(TypedDict):
    """Values in the answer; each is there where it applies."""

    speeds: NotRequired[list[SpindleSpeedsValuesSpeeds]]
    """One row per step, and per step with back gear; rated is at the plate's frequency."""
    slowest: NotRequired[Quantity]
    """Slowest loaded spindle speed."""
    fastest: NotRequired[Quantity]
    """Fastest loaded spindle speed within all limits."""
    belt_speed: NotRequired[Quantity]
    """Fastest belt within all limits."""
    motor_speed_limit: NotRequired[Quantity]
    """Largest mechanical speed of the motor, the strictest rule."""
    motor_torque: NotRequired[Quantity]
    """Rated torque of the motor."""
    highest_frequency: NotRequired[Quantity]
    """Highest frequency that every step stands: what the drive is set to."""
    binds_at_top: NotRequired[Literal["frequency-range", "motor-speed", "belt-speed", "spindle-limit"]]
    """What limits the highest frequency."""


class ChangeoverRequestInsulationAir(TypedDict):
    """Air beside the winding, for the dew point."""

    temperature: str
    """Air temperature beside the winding. Plausible range (-40 degC to 60 degC)."""
    relative_humidity: str
    """Relative humidity of the air, e.g. 65 %. Plausible range (1 % to 100 %)."""


class ChangeoverRequestInsulationReadingsMeasurementAccuracy(TypedDict):
    """Accuracy of the instrument for this reading."""

    relative: NotRequired[str]
    """Share of the reading, e.g. 5 %. Plausible range (at most 100 %)."""
    absolute: NotRequired[str]
    """Fixed part, e.g. the value of two counts."""


class ChangeoverRequestInsulationReadings(TypedDict):
    """A part of it."""

    between: Literal["UVW-earth", "winding-earth", "conductors-earth", "LN-earth", "U-earth", "V-earth", "W-earth", "L-earth", "N-earth", "L1-earth", "L2-earth", "L3-earth", "U-V", "V-W", "W-U", "L-N", "L1-L2", "L2-L3", "L3-L1"]
    """What the tester's leads join; UVW-earth is all windings joined, winding-earth any whole winding, conductors-earth all live conductors joined."""
    resistance: str
    """Resistance read."""
    over_range: NotRequired[bool]
    """The instrument showed more than `resistance`, its highest reading."""
    test_voltage: NotRequired[str]
    """Direct test voltage. Plausible range (0.1 V to 20 kV)."""
    instrument: NotRequired[Literal["insulation-tester", "multimeter"]]
    """A multimeter applies a few volts only."""
    after: NotRequired[str]
    """Time from applying the voltage to the reading. Plausible range (1 s to 1 h)."""
    winding_temperature: NotRequired[str]
    """Winding temperature at the reading. Plausible range (-40 degC to 200 degC)."""
    under_test: NotRequired[Literal["motor", "motor-and-cable", "cable", "fixed-wiring"]]
    """Where this reading differs from the request's `under_test`."""
    measurement_accuracy: NotRequired[ChangeoverRequestInsulationReadingsMeasurementAccuracy]
    """Accuracy of the instrument for this reading."""


class ChangeoverRequestInsulation(TypedDict):
    """Request of insulation-acceptance; what an earlier part finds may be left out."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    rated_voltage: NotRequired[str]
    """Rated voltage between lines. Plausible range (1 V to 15 kV)."""
    winding: NotRequired[Literal["random-wound", "form-wound", "field", "armature"]]
    """Kind of winding; a small motor is random-wound."""
    manufactured: NotRequired[int]
    """Year the winding was made or last rewound."""
    thermal_class: NotRequired[Literal["A", "E", "B", "F", "H"]]
    """Thermal class on the plate."""
    insulation_system: NotRequired[Literal["thermoplastic", "thermosetting", "unknown"]]
    """Thermosetting: modern resin; thermoplastic: older."""
    under_test: NotRequired[Literal["motor", "motor-and-cable", "cable", "fixed-wiring"]]
    """What the readings were taken on."""
    drive_disconnected: NotRequired[bool]
    """Whether the motor cable was off the drive's terminals during the test; true also where there is no drive."""
    links: NotRequired[Literal["fitted", "removed"]]
    """Star or delta links in the terminal box during the test."""
    separated_extra_low_voltage: NotRequired[bool]
    """For wiring: a SELV or PELV circuit."""
    air: NotRequired[ChangeoverRequestInsulationAir]
    """Air beside the winding, for the dew point."""
    readings: list[ChangeoverRequestInsulationReadings]
    """Every reading taken."""


ChangeoverRequestWindingResistances = TypedDict("ChangeoverRequestWindingResistances", {"U-V": NotRequired[str], "V-W": NotRequired[str], "W-U": NotRequired[str], "U": NotRequired[str], "V": NotRequired[str], "W": NotRequired[str]})


class ChangeoverRequestWindingMeasurementAccuracy(TypedDict):
    """Accuracy of the instrument for this reading."""

    relative: NotRequired[str]
    """Share of the reading, e.g. 5 %. Plausible range (at most 100 %)."""
    absolute: NotRequired[str]
    """Fixed part, e.g. the value of two counts."""


class ChangeoverRequestWinding(TypedDict):
    """Request of winding-balance; what an earlier part finds may be left out."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    connection: Literal["star", "delta", "separate"]
    """How the windings are joined while measured; separate: links off."""
    resistances: ChangeoverRequestWindingResistances
    """U-V, V-W, W-U between lines; or U, V, W with the links off."""
    open_circuit: NotRequired[list[Literal["U-V", "V-W", "W-U", "U", "V", "W"]]]
    """Readings that showed an open circuit."""
    temperature: NotRequired[str]
    """Winding temperature. Plausible range (-40 degC to 200 degC)."""
    lead_resistance: NotRequired[str]
    """Test leads shorted together, taken off each reading; 0 ohm when measured with four wires or already taken off. Plausible range (at most 100 ohm)."""
    measurement_accuracy: NotRequired[ChangeoverRequestWindingMeasurementAccuracy]
    """Accuracy of the instrument for this reading."""
    winding: NotRequired[Literal["random-wound", "form-wound"]]
    """Kind of winding; a small motor is random-wound."""
    conductor: NotRequired[Literal["copper", "aluminium"]]
    """Conductor of the winding."""
    through_cable: NotRequired[bool]
    """Measured at the far end of the motor cable, not at the motor's terminals."""
    phase_resistance: NotRequired[str]
    """Resistance of one winding known from elsewhere, to check the links. Plausible range (at most 1 Mohm)."""
    phase_resistance_temperature: NotRequired[str]
    """Temperature of `phase_resistance`. Plausible range (-40 degC to 200 degC)."""
    earlier_unbalance: NotRequired[str]
    """Unbalance at an earlier, sound time. Plausible range (at most 100 %)."""


class ChangeoverRequestFitNewMotorFeet(TypedDict):
    """Measured foot holes."""

    across: NotRequired[str]
    """Foot holes across the shaft, centre to centre (A, 2E). Plausible range (1 mm to 2 m)."""
    along: NotRequired[str]
    """Foot holes along the shaft, centre to centre (B, 2F). Plausible range (1 mm to 2 m)."""
    to_shoulder: NotRequired[str]
    """Shaft shoulder to the nearest foot holes (C, BA). Plausible range (1 mm to 2 m)."""
    hole: NotRequired[str]
    """Diameter of the foot holes or width of the slots (K, H). Plausible range (2 mm to 60 mm)."""


class ChangeoverRequestFitNewMotor(TypedDict):
    """The replacement motor."""

    standard: Literal["iec", "nema"]
    """System of the frame."""
    frame: str
    """Frame as on the plate, e.g. 90S, 100L, 56, 143T."""
    mounting: NotRequired[Literal["foot", "flange", "face"]]
    """Feet (B3), flange with clearance holes (B5) or tapped face (B14, C-face)."""
    power: NotRequired[str]
    """Rated output, for torque and belt. Plausible range (10 W to 100 kW)."""
    speed: NotRequired[str]
    """Rated speed, for torque and belt. Plausible range (100 r/min to 12000 r/min)."""
    centre_height: NotRequired[str]
    """Measured shaft height. Plausible range (20 mm to 500 mm)."""
    shaft_diameter: NotRequired[str]
    """Nominal shaft diameter where it is not the frame's. Plausible range (6.1 mm to 110 mm)."""
    shaft_length: NotRequired[str]
    """Measured length of the shaft end. Plausible range (5 mm to 400 mm)."""
    shaft_tolerance: NotRequired[Literal["g6", "h6", "j6", "k6", "m6"]]
    """Tolerance class of the shaft where it is known."""
    feet: NotRequired[ChangeoverRequestFitNewMotorFeet]
    """Measured foot holes."""


class ChangeoverRequestFitOldMotorFeet(TypedDict):
    """Measured foot holes."""

    across: NotRequired[str]
    """Foot holes across the shaft, centre to centre (A, 2E). Plausible range (1 mm to 2 m)."""
    along: NotRequired[str]
    """Foot holes along the shaft, centre to centre (B, 2F). Plausible range (1 mm to 2 m)."""
    to_shoulder: NotRequired[str]
    """Shaft shoulder to the nearest foot holes (C, BA). Plausible range (1 mm to 2 m)."""
    hole: NotRequired[str]
    """Diameter of the foot holes or width of the slots (K, H). Plausible range (2 mm to 60 mm)."""


class ChangeoverRequestFitOldMotorFlange(TypedDict):
    """Flange or face of the old motor, as measured."""

    bolt_circle: NotRequired[str]
    """Bolt circle (M, AJ). Plausible range (1 mm to 2 m)."""
    spigot: NotRequired[str]
    """Centring spigot (N, AK). Plausible range (1 mm to 2 m)."""


class ChangeoverRequestFitOldMotor(TypedDict):
    """The motor that comes out."""

    standard: NotRequired[Literal["iec", "nema"]]
    """System of the frame; without it the one that has the frame, IEC where both have it."""
    frame: NotRequired[str]
    """Frame, where it has a tabulated one."""
    centre_height: NotRequired[str]
    """Measured shaft height. Plausible range (20 mm to 500 mm)."""
    shaft_diameter: NotRequired[str]
    """Measured shaft diameter. Plausible range (3 mm to 110 mm)."""
    shaft_length: NotRequired[str]
    """Measured length of the shaft end. Plausible range (5 mm to 400 mm)."""
    feet: NotRequired[ChangeoverRequestFitOldMotorFeet]
    """Measured foot holes."""
    flange: NotRequired[ChangeoverRequestFitOldMotorFlange]
    """Flange or face of the old motor, as measured."""
    belt_line: NotRequired[str]
    """Nearest foot holes to the middle of the old pulley's hub, along the shaft. Plausible range (1 mm to 2 m)."""
    belt_take_up: NotRequired[str]
    """How far the motor can still be moved to tighten the belts. Plausible range (at most 1 m)."""
    axial_adjustment: NotRequired[str]
    """How far the motor can be moved along its shaft. Plausible range (at most 1 m)."""


class ChangeoverRequestFitPulleyMeasurementAccuracy(TypedDict):
    """Accuracy of the instrument for this reading."""

    relative: NotRequired[str]
    """Share of the reading, e.g. 5 %. Plausible range (at most 100 %)."""
    absolute: NotRequired[str]
    """Fixed part, e.g. the value of two counts."""


class ChangeoverRequestFitPulley(TypedDict):
    """The pulley that is to be used."""

    bore: NotRequired[str]
    """Bore as it is; without it the old shaft's diameter is taken. Plausible range (3 mm to 200 mm)."""
    bore_far_end: NotRequired[str]
    """Bore at the other end of the hub; a difference is taper or bell mouth. Plausible range (3 mm to 200 mm)."""
    measurement_accuracy: NotRequired[ChangeoverRequestFitPulleyMeasurementAccuracy]
    """Accuracy of the instrument for this reading."""
    condition: NotRequired[Literal["sound", "scored", "worn-keyway", "cracked", "tapered"]]
    """What the hub looks like once it is clean."""
    hub_diameter: NotRequired[str]
    """Outside diameter of the hub. Plausible range (6 mm to 500 mm)."""
    hub_length: NotRequired[str]
    """Length of the hub, which the key carries over. Plausible range (3 mm to 500 mm)."""
    hub_material: NotRequired[Literal["cast-iron", "steel", "aluminium"]]
    """Material of the hub."""
    bore_tolerance: NotRequired[Literal["H6", "H7", "H8", "H9"]]
    """Tolerance class to bore to; H7 where nothing is said."""
    keyway_fit: NotRequired[Literal["free", "normal", "close"]]
    """Fit of the key in both keyways; normal where nothing is said."""
    extra_width: NotRequired[str]
    """Width to add to the hub keyway, when it is cut without a key to try. Plausible range (at most 5 mm)."""
    key_system: NotRequired[Literal["din-6885", "asme-b17", "bs-46"]]
    """Standard that the pulley's present keyway follows."""
    keyway_depth: NotRequired[str]
    """Measured depth of that keyway below the bore. Plausible range (0.5 mm to 30 mm)."""
    keyway_width: NotRequired[str]
    """Measured width of the pulley's present keyway. Plausible range (1 mm to 60 mm)."""


class ChangeoverRequestFitBelt(TypedDict):
    """The belt drive."""

    section: NotRequired[Literal["z", "a", "b", "c", "spz", "spa", "spb", "spc"]]
    """V-belt section."""
    pulley_diameter: str
    """Pitch diameter of the motor pulley. Plausible range (10 mm to 2 m)."""
    driven_diameter: NotRequired[str]
    """Pitch diameter of the driven pulley. Plausible range (10 mm to 3 m)."""
    centre_distance: NotRequired[str]
    """Distance between the two shafts. Plausible range (20 mm to 10 m)."""


class ChangeoverRequestFit(TypedDict):
    """Request of motor-fit; what an earlier part finds may be left out."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    new_motor: NotRequired[ChangeoverRequestFitNewMotor]
    """The replacement motor."""
    old_motor: NotRequired[ChangeoverRequestFitOldMotor]
    """The motor that comes out."""
    pulley: NotRequired[ChangeoverRequestFitPulley]
    """The pulley that is to be used."""
    torque: NotRequired[str]
    """Rated torque; without it power and speed of the new motor give it."""
    starting_torque: NotRequired[str]
    """Greatest torque at starting or stalling."""
    belt: NotRequired[ChangeoverRequestFitBelt]
    """The belt drive."""


class ChangeoverRequestConnectionNameplate(TypedDict):
    """What the motor's plate says."""

    delta_voltage: NotRequired[str]
    """Voltage in delta, the lower of the two on a plate such as 230/400 V. Plausible range (20 V to 1000 V)."""
    star_voltage: NotRequired[str]
    """Voltage in star, the higher of the two. Plausible range (20 V to 1000 V)."""
    delta_current: NotRequired[str]
    """Line current in delta, the higher of the two. Plausible range (50 mA to 2000 A)."""
    star_current: NotRequired[str]
    """Line current in star, the lower of the two. Plausible range (50 mA to 2000 A)."""
    low_voltage: NotRequired[str]
    """Lower voltage of a motor with nine or twelve leads. Plausible range (20 V to 1000 V)."""
    high_voltage: NotRequired[str]
    """Higher voltage of a motor with nine or twelve leads. Plausible range (20 V to 1000 V)."""
    low_current: NotRequired[str]
    """Line current at the lower voltage. Plausible range (50 mA to 2000 A)."""
    high_current: NotRequired[str]
    """Line current at the higher voltage. Plausible range (50 mA to 2000 A)."""
    frequency: NotRequired[str]
    """Rated frequency. Plausible range (16 Hz to 400 Hz)."""
    power: NotRequired[str]
    """Rated shaft power. Plausible range (10 W to 500 kW)."""
    speed: NotRequired[str]
    """Speed at rated load. Plausible range (100 r/min to 24000 r/min)."""
    second_speed: NotRequired[str]
    """The other speed of a two-speed motor. Plausible range (50 r/min to 24000 r/min)."""
    poles: NotRequired[Literal[2, 4, 6, 8, 10, 12]]
    """Number of poles, if the plate gives it."""
    power_factor: NotRequired[str | float]
    """Power factor (cos φ). Plausible range (0.2 to 1)."""
    efficiency: NotRequired[str]
    """Efficiency at rated load. Plausible range (10 % to 100 %)."""
    efficiency_class: NotRequired[Literal["ie1", "ie2", "ie3", "ie4"]]
    """Efficiency class, if the plate gives one."""
    thermal_class: NotRequired[Literal["A", "E", "B", "F", "H"]]
    """Thermal class of the insulation."""
    built_for_drive: NotRequired[bool]
    """True if plate or maker says the winding is built for a drive."""


class ChangeoverRequestConnectionFedFrom(TypedDict):
    """What feeds the motor."""

    kind: NotRequired[Literal["drive", "mains"]]
    """A variable-frequency drive, or the mains directly."""
    voltage: NotRequired[str]
    """Mains voltage: of the motor, or of the drive's input. Line to line for three phases. Plausible range (90 V to 1000 V)."""
    phases: NotRequired[Literal[1, 3]]
    """Phases of the mains."""
    frequency: NotRequired[str]
    """Mains frequency. Plausible range (16 Hz to 400 Hz)."""
    output_voltage: NotRequired[str]
    """Highest output voltage of the drive; without a boost stage that of its input. Plausible range (90 V to 1000 V)."""
    maximum_frequency: NotRequired[str]
    """Highest output frequency of the drive. Plausible range (10 Hz to 4 kHz)."""


class ChangeoverRequestConnection(TypedDict):
    """Request of connection-choice; what an earlier part finds may be left out."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    nameplate: ChangeoverRequestConnectionNameplate
    """What the motor's plate says."""
    leads: Literal[3, 6, 9, 12]
    """Leads or terminals of the winding, earth not counted."""
    marking: NotRequired[Literal["iec", "din", "gost", "bs", "nema", "unmarked"]]
    """How the leads are marked: iec U1 V1 W1 U2 V2 W2, din U V W X Y Z, gost C1 to C6, bs A1 A2 B1 B2 C1 C2, nema T1 to T12."""
    arrangement: NotRequired[Literal["wye", "delta"]]
    """For nine and twelve leads: the connection the plate's voltages hold for."""
    fed_from: NotRequired[ChangeoverRequestConnectionFedFrom]
    """What feeds the motor."""
    present_connection: NotRequired[Literal["star", "delta", "parallel-star", "series-star", "parallel-delta", "series-delta"]]
    """How the motor is connected now."""
    extended_range: NotRequired[bool]
    """True to ask for the low-voltage connection on a drive of the high voltage, with the base frequency raised to match."""


class ChangeoverRequestDriveMotor(TypedDict):
    """The motor."""

    power: NotRequired[str]
    """Rated shaft power. Plausible range (10 W to 45 kW)."""
    voltage: NotRequired[str]
    """Rated voltage at the connection used. Plausible range (90 V to 700 V)."""
    current: NotRequired[str]
    """Rated current at the connection used. Plausible range (0.1 A to 200 A)."""
    efficiency: NotRequired[str | float]
    """Rated efficiency. Plausible range (20 % to 98 %)."""
    power_factor: NotRequired[str | float]
    """Rated power factor. Plausible range (0.3 to 1)."""
    poles: NotRequired[Literal[2, 4, 6, 8]]
    """Number of poles."""
    insulation: NotRequired[Literal["general-purpose", "built-for-drives", "unknown"]]
    """Whether the winding is built for a drive; unknown counts as general-purpose."""
    manufactured: NotRequired[int]
    """Year the winding was made or last rewound."""


class ChangeoverRequestDriveSupply(TypedDict):
    """The supply; without it nothing is said about the input side."""

    voltage: NotRequired[str]
    """Voltage across the drive's input, without load. Plausible range (90 V to 520 V)."""
    frequency: NotRequired[str]
    """Frequency. Plausible range (45 Hz to 66 Hz)."""
    phases: NotRequired[Literal[1, 3]]
    """Phases brought to the drive."""
    resistance: NotRequired[str]
    """Resistance of the supply, line and neutral together. Plausible range (5 mohm to 20 ohm)."""
    reactance: NotRequired[str]
    """Reactance of the supply, line and neutral together. Plausible range (at most 20 ohm)."""
    loop_impedance: NotRequired[str]
    """Line-to-neutral loop impedance, measured or declared, where resistance and reactance are not both known. Plausible range (5 mohm to 20 ohm)."""
    connected_by: NotRequired[Literal["plug-13a", "plug-16a", "plug-32a", "plug-15a", "plug-20a", "fixed"]]
    """How the drive is, or will be, connected."""
    device_rating: NotRequired[str]
    """Rating of the protective device of this circuit. Plausible range (1 A to 400 A)."""
    house_fuse: NotRequired[str]
    """Supply fuse of the house or workshop. Plausible range (10 A to 400 A)."""


class ChangeoverRequestDriveDrive(TypedDict):
    """The drive; without it only what it must give is said."""

    rated_output_current: NotRequired[str]
    """Rated output current for the duty asked for. Plausible range (0.2 A to 200 A)."""
    overload: NotRequired[str | float]
    """Short overload (60 s) it allows, over the rated current. Plausible range (100 % to 300 %)."""
    rated_input_current: NotRequired[str]
    """Rated input current. Plausible range (0.2 A to 400 A)."""
    input_phases: NotRequired[Literal[1, 3]]
    """Phases its input is made for."""
    doubles_voltage: NotRequired[bool]
    """Whether it doubles the voltage of its DC link, as drives for 100 to 127 V do that feed a 200 to 240 V motor."""
    dc_link_capacitance: NotRequired[str]
    """Capacitance of the DC link. Plausible range (5 uF to 200 mF)."""
    choke_inductance: NotRequired[str]
    """Line choke fitted or meant. Plausible range (1 uH to 1 H)."""
    carrier_frequency: NotRequired[str]
    """Carrier frequency set. Plausible range (500 Hz to 40 kHz)."""
    carrier_factor: NotRequired[str | float]
    """Share of the rated current its manual allows at this carrier frequency. Plausible range (5 % to 100 %)."""
    ambient_derating: NotRequired[str]
    """Loss for each kelvin above 40 °C, from its manual. Plausible range (0.1 % to 10 %)."""
    single_phase_factor: NotRequired[str | float]
    """Share of the rated current its manual allows on one phase, for a three-phase input. Plausible range (5 % to 100 %)."""
    efficiency: NotRequired[str | float]
    """Efficiency. Plausible range (50 % to 99.5 %)."""
    rise_time: NotRequired[str]
    """Rise time of its output voltage. Plausible range (10 ns to 20 us)."""


class ChangeoverRequestDriveSite(TypedDict):
    """Where the drive stands."""

    ambient: NotRequired[str]
    """Air temperature inside the enclosure, at its highest. Plausible range (-20 degC to 70 degC)."""
    altitude: NotRequired[str]
    """Height above sea level. Plausible range (at most 5000 m)."""


class ChangeoverRequestDriveMotorCable(TypedDict):
    """The cable between drive and motor."""

    length: str
    """Length. Plausible range (0.1 m to 300 m)."""
    screened: NotRequired[bool]
    """Whether it is screened or armoured."""


class ChangeoverRequestDriveBrakingMasses(TypedDict):
    """A part of it."""

    mass: NotRequired[str]
    """Mass; or give width and material. Plausible range (10 g to 5000 kg)."""
    outside_diameter: str
    """Outside diameter. Plausible range (5 mm to 3 m)."""
    bore: NotRequired[str]
    """Bore; none if solid. Plausible range (at most 3 m)."""
    width: NotRequired[str]
    """Width. Plausible range (1 mm to 5 m)."""
    material: NotRequired[Literal["steel", "cast-iron"]]
    """Material, for a mass given by its width."""
    speed: NotRequired[str]
    """Its own speed at the start of the stop; the motor's if not given. Plausible range (1 r/min to 60000 r/min)."""


class ChangeoverRequestDriveBraking(TypedDict):
    """The stop that is wanted."""

    inertia: NotRequired[str]
    """Inertia at the motor's shaft, all told. Plausible range (at most 10000 kg.m2)."""
    masses: NotRequired[list[ChangeoverRequestDriveBrakingMasses]]
    """Turning masses to be added, each with its own speed."""
    speed: str
    """Motor speed at the start. Plausible range (1 r/min to 60000 r/min)."""
    stop_time: NotRequired[str]
    """Time in which it is to stop. Plausible range (10 ms to 1 h)."""
    stops_every: NotRequired[str]
    """Time from one stop to the next. Plausible range (0.1 s to 1 d)."""
    resistance: NotRequired[str]
    """Brake resistor fitted or meant. Plausible range (1 ohm to 100 kohm)."""
    least_resistance: NotRequired[str]
    """Least resistance the drive allows. Plausible range (1 ohm to 100 kohm)."""
    chopper_voltage: NotRequired[str]
    """DC link voltage at which the brake chopper works. Plausible range (150 V to 1200 V)."""


class ChangeoverRequestDrive(TypedDict):
    """Request of drive-sizing; what an earlier part finds may be left out."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    motor: NotRequired[ChangeoverRequestDriveMotor]
    """The motor."""
    duty: NotRequired[Literal["heavy", "normal"]]
    """heavy: 150 % for 60 s, as saws and planers need; normal: 110 %, as fans and pumps."""
    supply: NotRequired[ChangeoverRequestDriveSupply]
    """The supply; without it nothing is said about the input side."""
    drive: NotRequired[ChangeoverRequestDriveDrive]
    """The drive; without it only what it must give is said."""
    site: NotRequired[ChangeoverRequestDriveSite]
    """Where the drive stands."""
    motor_cable: NotRequired[ChangeoverRequestDriveMotorCable]
    """The cable between drive and motor."""
    braking: NotRequired[ChangeoverRequestDriveBraking]
    """The stop that is wanted."""


class ChangeoverRequestLeakageRcd(TypedDict):
    """The device that trips, or is to hold."""

    rated_residual_current: str
    """Rated residual current on the label, e.g. 30 mA. Plausible range (4 mA to 30 A)."""
    type: NotRequired[Literal["AC", "A", "F", "B", "class-a-gfci", "class-c-gfci"]]
    """Type on the label; leave it out while it is not known. North American devices have a class instead."""
    delay: NotRequired[Literal["none", "short", "selective"]]
    """Delay mark: none, short (G or K) or selective (S)."""


class ChangeoverRequestLeakageUpstreamRcd(TypedDict):
    """The device ahead of it, where there is one."""

    rated_residual_current: str
    """Rated residual current on the label, e.g. 30 mA. Plausible range (4 mA to 30 A)."""
    type: NotRequired[Literal["AC", "A", "F", "B", "class-a-gfci", "class-c-gfci"]]
    """Type on the label; leave it out while it is not known. North American devices have a class instead."""
    delay: NotRequired[Literal["none", "short", "selective"]]
    """Delay mark: none, short (G or K) or selective (S)."""


class ChangeoverRequestLeakageSupply(TypedDict):
    """The supply."""

    voltage: NotRequired[str]
    """Line to earth; 120 V on a 120/240 V supply. Default by wiring rules. Plausible range (50 V to 500 V)."""
    frequency: NotRequired[str]
    """Default by wiring rules. Plausible range (40 Hz to 70 Hz)."""
    earthing: NotRequired[Literal["tn-s", "tn-c-s", "tt", "it"]]
    """How the supply is earthed."""
    electrode_resistance: NotRequired[str]
    """Measured resistance of the earth electrode of a TT supply. Plausible range (0.1 ohm to 100 kohm)."""
    lines: NotRequired[Literal["split-phase", "star"]]
    """Line-line fed drives: the two halves of a centre-earthed supply (120/240 V), or two lines of a star."""


class ChangeoverRequestLeakageLoads(TypedDict):
    """A part of it."""

    name: NotRequired[str]
    """What it is called."""
    kind: NotRequired[Literal["class-ii-appliance", "class-i-portable", "class-i-stationary-motor", "computer", "monitor", "printer", "copier", "washing-machine", "tumble-dryer", "dishwasher", "ballast", "led-luminaire", "lamp-circuit", "dc-supply", "mains-motor", "plug-equipment", "fixed-equipment", "heating-appliance", "undeclared-load"]]
    """Sort of load, where its leakage is not known."""
    leakage: NotRequired[str]
    """Declared or measured leakage of one. Plausible range (0 mA to 1 A)."""
    count: NotRequired[int]
    """How many of them."""
    rated_current: NotRequired[str]
    """For the kinds judged by rated current. Plausible range (10 mA to 125 A)."""
    rated_power: NotRequired[str]
    """For a heating appliance. Plausible range (10 W to 50 kW)."""
    length: NotRequired[str]
    """Run of wire to an undeclared load. Plausible range (0.1 m to 500 m)."""


class ChangeoverRequestLeakageDrivesMotorCable(TypedDict):
    """Cable to the motor."""

    length: str
    """Length of the motor cable. Plausible range (0.1 m to 300 m)."""
    screened: NotRequired[bool]
    """Whether it is screened; taken as screened, the greater leakage, where not stated."""


class ChangeoverRequestLeakageDrives(TypedDict):
    """A part of it."""

    name: NotRequired[str]
    """What it is called."""
    filter_leakage: NotRequired[str]
    """Earth leakage from the drive's instructions, filter in. Plausible range (0 mA to 1 A)."""
    filter_leakage_voltage: NotRequired[str]
    """Voltage it is declared for. Plausible range (50 V to 500 V)."""
    filter_leakage_frequency: NotRequired[str]
    """Frequency it is declared for. Plausible range (40 Hz to 70 Hz)."""
    y_capacitance: NotRequired[str]
    """Filter capacitor, line to earth. Plausible range (10 pF to 10 uF)."""
    input: NotRequired[Literal["line-neutral", "line-line", "three-phase"]]
    """How the drive is fed."""
    boost_stage: NotRequired[bool]
    """Active power-factor stage, doubler or half-wave rectifier ahead of the DC link."""
    carrier_frequency: NotRequired[str]
    """Carrier frequency in use. Plausible range (500 Hz to 100 kHz)."""
    motor_cable: NotRequired[ChangeoverRequestLeakageDrivesMotorCable]
    """Cable to the motor."""
    motor_insulation: NotRequired[str]
    """Least insulation resistance of motor and cable to earth. Plausible range (1 ohm to 1000 Gohm)."""
    rcd_type_instruction: NotRequired[Literal["A", "F", "B"]]
    """RCD type that the drive's own instructions name."""
    connection: NotRequired[Literal["plug", "industrial-plug", "fixed"]]
    """How it is connected to the supply."""
    protective_conductor: NotRequired[Literal["single", "single-10-mm2", "two", "monitored"]]
    """Its protective conductor: single, single of 10 mm2, two, or monitored."""


class ChangeoverRequestLeakageCircuits(TypedDict):
    """A part of it."""

    name: NotRequired[str]
    """What it is called."""
    length: str
    """Length of line conductor. Plausible range (0.1 m to 2000 m)."""
    wiring: NotRequired[Literal["cable", "metal-conduit"]]
    """How it is run."""


class ChangeoverRequestLeakageMeasurementAccuracy(TypedDict):
    """Accuracy of the instrument for this reading."""

    relative: NotRequired[str]
    """Share of the reading, e.g. 5 %. Plausible range (at most 100 %)."""
    absolute: NotRequired[str]
    """Fixed part, e.g. the value of two counts."""


class ChangeoverRequestLeakage(TypedDict):
    """Request of leakage-budget; what an earlier part finds may be left out."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    rcd: ChangeoverRequestLeakageRcd
    """The device that trips, or is to hold."""
    upstream_rcd: NotRequired[ChangeoverRequestLeakageUpstreamRcd]
    """The device ahead of it, where there is one."""
    supply: NotRequired[ChangeoverRequestLeakageSupply]
    """The supply."""
    loads: NotRequired[list[ChangeoverRequestLeakageLoads]]
    """Loads other than drives."""
    drives: NotRequired[list[ChangeoverRequestLeakageDrives]]
    """Drives."""
    circuits: NotRequired[list[ChangeoverRequestLeakageCircuits]]
    """Fixed wiring."""
    measured_standing: NotRequired[str]
    """Residual current read with everything connected and switched on, motors at standstill. It takes the place of what is listed. Plausible range (0 mA to 30 A)."""
    measured_bandwidth: NotRequired[Literal["low-pass", "wideband"]]
    """Whether the clamp's low-pass filter was on; taken as wideband if not stated."""
    measurement_accuracy: NotRequired[ChangeoverRequestLeakageMeasurementAccuracy]
    """Accuracy of the instrument for this reading."""


class ChangeoverRequestCableProtectiveDevice(TypedDict):
    """Breaker or fuse at the origin of the circuit."""

    kind: NotRequired[Literal["mcb-b", "mcb-c", "mcb-d", "fuse-gg", "fuse-bs1362", "fuse-bs3036", "inverse-time-breaker", "time-delay-fuse", "non-time-delay-fuse"]]
    """Kind of device; without it a type B breaker is chosen."""
    rating: NotRequired[str]
    """Rated current; without it the next rating above the design current. Plausible range (1 A to 1 kA)."""
    breaking_capacity: NotRequired[str]
    """Breaking capacity (interrupting rating) marked on the device. Plausible range (100 A to 500 kA)."""


class ChangeoverRequestCableRcd(TypedDict):
    """RCD ahead of the circuit, if there is one."""

    rated_residual_current: NotRequired[str]
    """Rated residual operating current IΔn. Plausible range (5 mA to 30 A)."""
    type: NotRequired[Literal["AC", "A", "F", "B", "class-a-gfci", "class-c-gfci"]]
    """Type marked on the RCD."""
    delay: NotRequired[Literal["none", "short", "selective"]]
    """Time delay; a selective RCD carries the mark S."""


class ChangeoverRequestCable(TypedDict):
    """Request of cable-sizing; what an earlier part finds may be left out."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    design_current: NotRequired[str]
    """Current the load takes continuously; for a drive its rated input current. Plausible range (1 mA to 2 kA)."""
    feeds: NotRequired[Literal["drive", "motor", "motor-from-drive", "other"]]
    """What the cable feeds."""
    motor_power: NotRequired[str]
    """Rated motor power, for the table current of nfpa-70. Plausible range (10 W to 1 MW)."""
    phases: NotRequired[Literal[1, 3]]
    """1 for single phase (two loaded conductors), 3 for three phase."""
    voltage: NotRequired[str]
    """Nominal voltage: line to neutral for one phase (from 380 V up between two lines), line to line for three. Plausible range (24 V to 1 kV)."""
    length: NotRequired[str]
    """Length of the run, one way. Plausible range (10 mm to 10 km)."""
    installation_method: NotRequired[Literal["a1", "a2", "b1", "b2", "c", "d1", "d2", "e", "100", "101", "102", "103", "raceway", "cable", "direct-buried", "free-air"]]
    """Reference method a1 to e (bs-7671 also 100 to 103); raceway, cable, direct-buried or free-air for nfpa-70."""
    cable: NotRequired[Literal["single-core", "multicore", "flat-twin-and-earth", "armoured", "screened", "flexible"]]
    """Construction of the cable."""
    insulation: NotRequired[Literal["pvc-70", "xlpe-90", "rubber-60", "thermoplastic-75", "thermoplastic-90"]]
    """Insulation and its temperature; thermoplastic-75 and thermoplastic-90 are for nfpa-70."""
    ambient: NotRequired[str]
    """Hottest surroundings: air, or ground for buried cable. Plausible range (-50 degC to 200 degC)."""
    grouped_circuits: NotRequired[int]
    """Circuits lying together, this one counted."""
    grouping: NotRequired[Literal["bunched", "single-layer", "single-layer-spaced", "under-ceiling"]]
    """How grouped cables lie, for methods c and e; without it bunched is taken."""
    thermal_insulation: NotRequired[str]
    """Length over which the cable is wholly surrounded by thermal insulation. Plausible range (at most 1 km)."""
    soil_resistivity: NotRequired[str]
    """Soil, for d1 and d2. Plausible range (0.1 K.m/W to 20 K.m/W)."""
    drum: NotRequired[Literal["radial-ventilated", "radial-unventilated", "one-layer", "two-layers", "three-layers", "four-layers"]]
    """Drum a flexible cable stays wound on."""
    terminal_temperature: NotRequired[str]
    """Temperature the terminals at both ends are marked for. Plausible range (30 degC to 200 degC)."""
    protective_device: NotRequired[ChangeoverRequestCableProtectiveDevice]
    """Breaker or fuse at the origin of the circuit."""
    prospective_fault_current: NotRequired[str]
    """Prospective (available) fault current where the device sits. Plausible range (1 A to 500 kA)."""
    circuit: NotRequired[Literal["final-fixed", "final-sockets", "distribution"]]
    """Kind of circuit, for the disconnection time."""
    rcd: NotRequired[ChangeoverRequestCableRcd]
    """RCD ahead of the circuit, if there is one."""
    voltage_drop_limit: NotRequired[str]
    """Most voltage drop allowed as a share of the supply voltage. Plausible range (0.1 % to 50 %)."""
    external_loop_impedance: NotRequired[str]
    """Earth-fault loop impedance at the origin of the circuit. Plausible range (1 mohm to 10000 ohm)."""
    electrode_resistance: NotRequired[str]
    """Resistance of the earth electrode of a TT supply. Plausible range (10 mohm to 1 Mohm)."""
    earthing: NotRequired[Literal["tn-s", "tn-c-s", "tt"]]
    """Earthing arrangement of the supply."""
    protective_conductor_current: NotRequired[str]
    """Current that flows in the protective conductor in normal operation. Plausible range (at most 10 A)."""
    connection: NotRequired[Literal["fixed", "industrial-plug", "household-plug"]]
    """How the load is connected, for high protective-conductor current."""
    second_protective_conductor: NotRequired[bool]
    """Whether a second, separate protective conductor is run."""
    protective_conductor_cross_section: NotRequired[str]
    """Protective conductor as fitted, where it is not the cable's own. Plausible range (0.5 mm2 to 400 mm2)."""
    protective_conductor_protected: NotRequired[bool]
    """Whether the protective conductor is protected against mechanical damage beyond the cable's sheath."""
    cross_section: NotRequired[str]
    """Check this size; without it the smallest that passes is found. Plausible range (0.1 mm2 to 1000 mm2)."""
    gauge: NotRequired[Literal["14-awg", "12-awg", "10-awg", "8-awg", "6-awg", "4-awg", "3-awg", "2-awg", "1-awg", "1/0-awg", "2/0-awg", "3/0-awg", "4/0-awg"]]
    """Check this gauge under nfpa-70."""


class ChangeoverRequestSpeedsMotor(TypedDict):
    """The motor."""

    rated_speed: NotRequired[str]
    """Speed at rated load. Plausible range (100 r/min to 24000 r/min)."""
    frequency: NotRequired[str]
    """Rated frequency. Plausible range (16 Hz to 400 Hz)."""
    poles: NotRequired[Literal[2, 4, 6, 8, 10, 12]]
    """Number of poles; worked out from the speed if not given."""
    power: NotRequired[str]
    """Rated shaft power; without it torque is given as a share only. Plausible range (10 W to 500 kW)."""
    frame: NotRequired[Literal["56", "63", "71", "80", "90", "90S", "90L", "100", "100L", "112", "112M", "132", "132S", "132M", "160", "160M", "160L", "180", "180M", "180L", "200", "200L", "225", "225S", "225M"]]
    """Frame of an IEC motor: its centre height in mm, with or without the length letter."""
    cooling: NotRequired[Literal["ic-01", "ic-411", "ic-416"]]
    """ic-01 open, ic-411 own fan outside, ic-416 separately driven fan."""
    maximum_speed: NotRequired[str]
    """Largest speed on the plate. Plausible range (100 r/min to 60000 r/min)."""
    pull_out_torque: NotRequired[str | float]
    """Pull-out torque over rated torque, from the maker. Plausible range (1.2 to 6)."""
    full_torque_up_to: NotRequired[str]
    """Frequency up to which the drive holds rated torque, from connection-choice; the rated frequency if not given. Plausible range (5 Hz to 400 Hz)."""


class ChangeoverRequestSpeedsSteps(TypedDict):
    """A part of it."""

    driver: str
    """Pitch diameter of the driving pulley. Plausible range (5 mm to 2 m)."""
    driven: str
    """Pitch diameter of the driven pulley. Plausible range (5 mm to 2 m)."""
    name: NotRequired[str]
    """What the step is called on the machine."""


class ChangeoverRequestSpeedsCountershaft(TypedDict):
    """A fixed belt from the motor to a countershaft that carries the steps."""

    driver: str
    """Pitch diameter of the driving pulley. Plausible range (5 mm to 2 m)."""
    driven: str
    """Pitch diameter of the driven pulley. Plausible range (5 mm to 2 m)."""


class ChangeoverRequestSpeedsFrequencyRange(TypedDict):
    """Lowest and highest frequency wanted."""

    lowest: str
    """Lowest frequency. Plausible range (0.5 Hz to 400 Hz)."""
    highest: str
    """Highest frequency. Plausible range (1 Hz to 400 Hz)."""


class ChangeoverRequestSpeeds(TypedDict):
    """Request of spindle-speeds; what an earlier part finds may be left out."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    motor: NotRequired[ChangeoverRequestSpeedsMotor]
    """The motor."""
    steps: list[ChangeoverRequestSpeedsSteps]
    """Every step of the pulleys."""
    countershaft: NotRequired[ChangeoverRequestSpeedsCountershaft]
    """A fixed belt from the motor to a countershaft that carries the steps."""
    back_gear: NotRequired[float]
    """How many times slower the spindle turns with the back gear engaged."""
    frequency_range: ChangeoverRequestSpeedsFrequencyRange
    """Lowest and highest frequency wanted."""
    spindle_limit: NotRequired[str]
    """Lowest of the limits of spindle, chuck and faceplate. Plausible range (10 r/min to 60000 r/min)."""
    belt: NotRequired[Literal["classical", "wedge", "flat"]]
    """Kind of belt."""
    belt_efficiency: NotRequired[str]
    """Efficiency of one belt. Plausible range (50 % to 100 %)."""
    back_gear_efficiency: NotRequired[str]
    """Efficiency of the back gear. Plausible range (50 % to 100 %)."""
    pulleys_balanced: NotRequired[bool]
    """True if wedge belt pulleys are dynamically balanced."""


class ChangeoverRequestCommissioningRcdTripTimes(TypedDict):
    """Measured with the loads disconnected."""

    half: NotRequired[str]
    """At half of the rating: the time at which it tripped, or the whole test time where it held. Plausible range (1 ms to 10 s)."""
    one: NotRequired[str]
    """At the rating, the slower of both half-waves. Plausible range (1 ms to 10 s)."""
    five: NotRequired[str]
    """At five times the rating. Plausible range (1 ms to 10 s)."""


class ChangeoverRequestCommissioningRcd(TypedDict):
    """The RCD ahead of the machine."""

    rated_residual_current: NotRequired[str]
    """Rated residual current on the label, e.g. 30 mA. Plausible range (4 mA to 30 A)."""
    type: NotRequired[Literal["AC", "A", "F", "B", "class-a-gfci", "class-c-gfci"]]
    """Type on the label; leave it out while it is not known. North American devices have a class instead."""
    delay: NotRequired[Literal["none", "short", "selective"]]
    """Delay mark: none, short (G or K) or selective (S)."""
    trip_times: NotRequired[ChangeoverRequestCommissioningRcdTripTimes]
    """Measured with the loads disconnected."""


class ChangeoverRequestCommissioningSupply(TypedDict):
    """The supply; earthing decides between loop and electrode."""

    voltage: NotRequired[str]
    """Line to earth; 120 V on a 120/240 V supply. Default by wiring rules. Plausible range (50 V to 500 V)."""
    frequency: NotRequired[str]
    """Default by wiring rules. Plausible range (40 Hz to 70 Hz)."""
    earthing: NotRequired[Literal["tn-s", "tn-c-s", "tt", "it"]]
    """How the supply is earthed."""
    electrode_resistance: NotRequired[str]
    """Measured resistance of the earth electrode of a TT supply. Plausible range (0.1 ohm to 100 kohm)."""


class ChangeoverRequestCommissioningLoopImpedanceAccuracy(TypedDict):
    """Accuracy of the instrument for this reading."""

    relative: NotRequired[str]
    """Share of the reading, e.g. 5 %. Plausible range (at most 100 %)."""
    absolute: NotRequired[str]
    """Fixed part, e.g. the value of two counts."""


class ChangeoverRequestCommissioningProtectiveDevice(TypedDict):
    """Breaker or fuse of the circuit."""

    kind: NotRequired[Literal["mcb-b", "mcb-c", "mcb-d", "fuse-gg", "fuse-bs1362"]]
    """Kind of device."""
    rating: NotRequired[str]
    """Rated current. Plausible range (1 A to 125 A)."""


class ChangeoverRequestCommissioningBondingConductor(TypedDict):
    """The conductor it was measured along, where it is known."""

    length: str
    """Length of the conductor. Plausible range (0.1 m to 500 m)."""
    cross_section: str
    """Copper cross-section. Plausible range (0.5 mm2 to 50 mm2)."""


class ChangeoverRequestCommissioningInsulationMeasurementAccuracy(TypedDict):
    """Accuracy of the instrument for this reading."""

    relative: NotRequired[str]
    """Share of the reading, e.g. 5 %. Plausible range (at most 100 %)."""
    absolute: NotRequired[str]
    """Fixed part, e.g. the value of two counts."""


class ChangeoverRequestCommissioningInsulation(TypedDict):
    """Insulation to earth, drive disconnected on both sides."""

    resistance: str
    """Live conductors to earth. Plausible range (1 ohm to 1000 Gohm)."""
    test_voltage: str
    """DC test voltage. Plausible range (0.5 V to 5 kV)."""
    equipment_connected: NotRequired[bool]
    """Whether equipment stayed connected (live conductors joined); the drive never does."""
    measurement_accuracy: NotRequired[ChangeoverRequestCommissioningInsulationMeasurementAccuracy]
    """Accuracy of the instrument for this reading."""


class ChangeoverRequestCommissioning(TypedDict):
    """Request of commissioning-check; what an earlier part finds may be left out."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    rcd: NotRequired[ChangeoverRequestCommissioningRcd]
    """The RCD ahead of the machine."""
    supply: NotRequired[ChangeoverRequestCommissioningSupply]
    """The supply; earthing decides between loop and electrode."""
    loop_impedance: NotRequired[str]
    """Measured cold at the machine. Plausible range (1 mohm to 100 kohm)."""
    loop_impedance_accuracy: NotRequired[ChangeoverRequestCommissioningLoopImpedanceAccuracy]
    """Accuracy of the instrument for this reading."""
    protective_device: NotRequired[ChangeoverRequestCommissioningProtectiveDevice]
    """Breaker or fuse of the circuit."""
    bonding_resistance: NotRequired[str]
    """Protective terminal to the machine's metal, greatest reading. Plausible range (0.1 mohm to 100 ohm)."""
    bonding_conductor: NotRequired[ChangeoverRequestCommissioningBondingConductor]
    """The conductor it was measured along, where it is known."""
    insulation: NotRequired[ChangeoverRequestCommissioningInsulation]
    """Insulation to earth, drive disconnected on both sides."""
    polarity_correct: NotRequired[bool]
    """Line on the line terminal, switch and breaker in the line."""
    rotation_correct: NotRequired[bool]
    """Motor turns the right way."""
    no_load_current: NotRequired[str]
    """Motor line current, belt or tool off. Plausible range (1 mA to 500 A)."""
    rated_current: NotRequired[str]
    """Plate current for the connection in use. Plausible range (10 mA to 500 A)."""
    emergency_stop_works: NotRequired[bool]
    """It stops the machine and does not let it run again when released."""
    no_restart_after_power_return: NotRequired[bool]
    """The machine stays still when the supply returns."""


class ChangeoverRequest(TypedDict):
    """Request of Changeover."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    insulation: NotRequired[ChangeoverRequestInsulation]
    """Request of insulation-acceptance; what an earlier part finds may be left out."""
    winding: NotRequired[ChangeoverRequestWinding]
    """Request of winding-balance; what an earlier part finds may be left out."""
    fit: NotRequired[ChangeoverRequestFit]
    """Request of motor-fit; what an earlier part finds may be left out."""
    connection: NotRequired[ChangeoverRequestConnection]
    """Request of connection-choice; what an earlier part finds may be left out."""
    drive: NotRequired[ChangeoverRequestDrive]
    """Request of drive-sizing; what an earlier part finds may be left out."""
    leakage: NotRequired[ChangeoverRequestLeakage]
    """Request of leakage-budget; what an earlier part finds may be left out."""
    cable: NotRequired[ChangeoverRequestCable]
    """Request of cable-sizing; what an earlier part finds may be left out."""
    speeds: NotRequired[ChangeoverRequestSpeeds]
    """Request of spindle-speeds; what an earlier part finds may be left out."""
    commissioning: NotRequired[ChangeoverRequestCommissioning]
    """Request of commissioning-check; what an earlier part finds may be left out."""


ChangeoverValuesAnswers = TypedDict("ChangeoverValuesAnswers", {"insulation-acceptance": NotRequired[dict[str, object]], "trip-diagnosis": NotRequired[dict[str, object]], "insulation-trend": NotRequired[dict[str, object]], "connection-choice": NotRequired[dict[str, object]], "winding-balance": NotRequired[dict[str, object]], "motor-fit": NotRequired[dict[str, object]], "drive-sizing": NotRequired[dict[str, object]], "cable-sizing": NotRequired[dict[str, object]], "leakage-budget": NotRequired[dict[str, object]], "spindle-speeds": NotRequired[dict[str, object]], "commissioning-check": NotRequired[dict[str, object]]})


class ChangeoverValuesChecklist(TypedDict):
    """A part of it."""

    order: NotRequired[float]
    """Place in the working order."""
    question: NotRequired[str]
    """Question the step comes from."""
    do: NotRequired[str]
    """What to do."""


class ChangeoverValues(TypedDict):
    """Values in the answer; each is there where it applies."""

    answers: NotRequired[ChangeoverValuesAnswers]
    """The answer of every part, by the name of its question."""
    checklist: NotRequired[list[ChangeoverValuesChecklist]]
    """What to do, in working order."""


class CommissioningCheckRequestRcdTripTimes(TypedDict):
    """Measured with the loads disconnected."""

    half: NotRequired[str]
    """At half of the rating: the time at which it tripped, or the whole test time where it held. Plausible range (1 ms to 10 s)."""
    one: NotRequired[str]
    """At the rating, the slower of both half-waves. Plausible range (1 ms to 10 s)."""
    five: NotRequired[str]
    """At five times the rating. Plausible range (1 ms to 10 s)."""


class CommissioningCheckRequestRcd(TypedDict):
    """The RCD ahead of the machine."""

    rated_residual_current: str
    """Rated residual current on the label, e.g. 30 mA. Plausible range (4 mA to 30 A)."""
    type: NotRequired[Literal["AC", "A", "F", "B", "class-a-gfci", "class-c-gfci"]]
    """Type on the label; leave it out while it is not known. North American devices have a class instead."""
    delay: NotRequired[Literal["none", "short", "selective"]]
    """Delay mark: none, short (G or K) or selective (S)."""
    trip_times: NotRequired[CommissioningCheckRequestRcdTripTimes]
    """Measured with the loads disconnected."""


class CommissioningCheckRequestSupply(TypedDict):
    """The supply; earthing decides between loop and electrode."""

    voltage: NotRequired[str]
    """Line to earth; 120 V on a 120/240 V supply. Default by wiring rules. Plausible range (50 V to 500 V)."""
    frequency: NotRequired[str]
    """Default by wiring rules. Plausible range (40 Hz to 70 Hz)."""
    earthing: NotRequired[Literal["tn-s", "tn-c-s", "tt", "it"]]
    """How the supply is earthed."""
    electrode_resistance: NotRequired[str]
    """Measured resistance of the earth electrode of a TT supply. Plausible range (0.1 ohm to 100 kohm)."""


class CommissioningCheckRequestLoopImpedanceAccuracy(TypedDict):
    """Accuracy of the instrument for this reading."""

    relative: NotRequired[str]
    """Share of the reading, e.g. 5 %. Plausible range (at most 100 %)."""
    absolute: NotRequired[str]
    """Fixed part, e.g. the value of two counts."""


class CommissioningCheckRequestProtectiveDevice(TypedDict):
    """Breaker or fuse of the circuit."""

    kind: Literal["mcb-b", "mcb-c", "mcb-d", "fuse-gg", "fuse-bs1362"]
    """Kind of device."""
    rating: str
    """Rated current. Plausible range (1 A to 125 A)."""


class CommissioningCheckRequestBondingConductor(TypedDict):
    """The conductor it was measured along, where it is known."""

    length: str
    """Length of the conductor. Plausible range (0.1 m to 500 m)."""
    cross_section: str
    """Copper cross-section. Plausible range (0.5 mm2 to 50 mm2)."""


class CommissioningCheckRequestInsulationMeasurementAccuracy(TypedDict):
    """Accuracy of the instrument for this reading."""

    relative: NotRequired[str]
    """Share of the reading, e.g. 5 %. Plausible range (at most 100 %)."""
    absolute: NotRequired[str]
    """Fixed part, e.g. the value of two counts."""


class CommissioningCheckRequestInsulation(TypedDict):
    """Insulation to earth, drive disconnected on both sides."""

    resistance: str
    """Live conductors to earth. Plausible range (1 ohm to 1000 Gohm)."""
    test_voltage: str
    """DC test voltage. Plausible range (0.5 V to 5 kV)."""
    equipment_connected: NotRequired[bool]
    """Whether equipment stayed connected (live conductors joined); the drive never does."""
    measurement_accuracy: NotRequired[CommissioningCheckRequestInsulationMeasurementAccuracy]
    """Accuracy of the instrument for this reading."""


class CommissioningCheckRequest(TypedDict):
    """Request of CommissioningCheck."""

    wiring_rules: NotRequired[Literal["iec-60364", "bs-7671", "nfpa-70"]]
    """Wiring rules the user lives under."""
    rule_set: NotRequired[str]
    """Pin a rule set as name@version; without it the service's own set is used."""
    rcd: CommissioningCheckRequestRcd
    """The RCD ahead of the machine."""
    supply: NotRequired[CommissioningCheckRequestSupply]
    """The supply; earthing decides between loop and electrode."""
    loop_impedance: NotRequired[str]
    """Measured cold at the machine. Plausible range (1 mohm to 100 kohm)."""
    loop_impedance_accuracy: NotRequired[CommissioningCheckRequestLoopImpedanceAccuracy]
    """Accuracy of the instrument for this reading."""
    protective_device: NotRequired[CommissioningCheckRequestProtectiveDevice]
    """Breaker or fuse of the circuit."""
    bonding_resistance: NotRequired[str]
    """Protective terminal to the machine's metal, greatest reading. Plausible range (0.1 mohm to 100 ohm)."""
    bonding_conductor: NotRequired[CommissioningCheckRequestBondingConductor]
    """The conductor it was measured along, where it is known."""
    insulation: NotRequired[CommissioningCheckRequestInsulation]
    """Insulation to earth, drive disconnected on both sides."""
    polarity_correct: NotRequired[bool]
    """Line on the line terminal, switch and breaker in the line."""
    rotation_correct: NotRequired[bool]
    """Motor turns the right way."""
    no_load_current: NotRequired[str]
    """Motor line current, belt or tool off. Plausible range (1 mA to 500 A)."""
    rated_current: NotRequired[str]
    """Plate current for the connection in use. Plausible range (10 mA to 500 A)."""
    emergency_stop_works: NotRequired[bool]
    """It stops the machine and does not let it run again when released."""
    no_restart_after_power_return: NotRequired[bool]
    """The machine stays still when the supply returns."""


class CommissioningCheckValuesTests(TypedDict):
    """A part of it."""

    test: NotRequired[Literal["rcd-half", "rcd-one", "rcd-five", "loop-impedance", "earth-electrode", "bonding", "insulation", "polarity", "rotation", "no-load-current", "emergency-stop", "no-restart"]]
    """Which test."""
    result: NotRequired[Literal["passed", "caution", "missing", "failed"]]
    """How it ended."""
    reading: NotRequired[str]
    """What was read."""
    because: NotRequired[str]
    """Reading against limit."""


class CommissioningCheckValues(TypedDict):
    """Values in the answer; each is there where it applies."""

    tests: NotRequired[list[CommissioningCheckValuesTests]]
    """Every test that belongs to this machine, in the order made."""
    missing: NotRequired[list[str]]
    """Tests that were not made, or not in a way that proves anything."""
    loop_impedance_limit: NotRequired[Quantity]
    """Greatest loop impedance, measured cold."""
    electrode_resistance_limit: NotRequired[Quantity]
    """TT: greatest electrode resistance."""
    bonding_resistance_limit: NotRequired[Quantity]
    """Greatest resistance of the bonding."""
    no_load_share: NotRequired[Quantity]
    """No-load current as a share of the plate current."""


class WorkshopRequest(TypedDict):
    """Request of Workshop."""

    name: str
    """Name of the workshop."""
    note: NotRequired[str]
    """Anything worth knowing, for people."""


class MachineRequestNameplate(TypedDict):
    """What the motor's plate says, as for connection-choice."""

    delta_voltage: NotRequired[str]
    """Voltage in delta, the lower of the two on a plate such as 230/400 V. Plausible range (20 V to 1000 V)."""
    star_voltage: NotRequired[str]
    """Voltage in star, the higher of the two. Plausible range (20 V to 1000 V)."""
    delta_current: NotRequired[str]
    """Line current in delta, the higher of the two. Plausible range (50 mA to 2000 A)."""
    star_current: NotRequired[str]
    """Line current in star, the lower of the two. Plausible range (50 mA to 2000 A)."""
    low_voltage: NotRequired[str]
    """Lower voltage of a motor with nine or twelve leads. Plausible range (20 V to 1000 V)."""
    high_voltage: NotRequired[str]
    """Higher voltage of a motor with nine or twelve leads. Plausible range (20 V to 1000 V)."""
    low_current: NotRequired[str]
    """Line current at the lower voltage. Plausible range (50 mA to 2000 A)."""
    high_current: NotRequired[str]
    """Line current at the higher voltage. Plausible range (50 mA to 2000 A)."""
    frequency: NotRequired[str]
    """Rated frequency. Plausible range (16 Hz to 400 Hz)."""
    power: NotRequired[str]
    """Rated shaft power. Plausible range (10 W to 500 kW)."""
    speed: NotRequired[str]
    """Speed at rated load. Plausible range (100 r/min to 24000 r/min)."""
    second_speed: NotRequired[str]
    """The other speed of a two-speed motor. Plausible range (50 r/min to 24000 r/min)."""
    poles: NotRequired[Literal[2, 4, 6, 8, 10, 12]]
    """Number of poles, if the plate gives it."""
    power_factor: NotRequired[str | float]
    """Power factor (cos φ). Plausible range (0.2 to 1)."""
    efficiency: NotRequired[str]
    """Efficiency at rated load. Plausible range (10 % to 100 %)."""
    efficiency_class: NotRequired[Literal["ie1", "ie2", "ie3", "ie4"]]
    """Efficiency class, if the plate gives one."""
    thermal_class: NotRequired[Literal["A", "E", "B", "F", "H"]]
    """Thermal class of the insulation."""
    built_for_drive: NotRequired[bool]
    """True if plate or maker says the winding is built for a drive."""


class MachineRequestRetired(TypedDict):
    """Present when the machine is out of use; its readings stay."""

    at: str
    """When it went out of use."""
    reason: str
    """Why, and where it went."""


class MachineRequest(TypedDict):
    """Request of Machine."""

    name: str
    """What the workshop calls it."""
    description: NotRequired[str]
    """What it is, for people."""
    serial_number: NotRequired[str]
    """Number of the machine or its motor."""
    place: NotRequired[str]
    """Where it stands."""
    rated_voltage: str
    """Rated voltage between lines of the winding. Plausible range (1 V to 15 kV)."""
    winding: NotRequired[Literal["random-wound", "form-wound", "field", "armature"]]
    """Kind of winding; a small motor is random-wound."""
    manufactured: NotRequired[int]
    """Year the winding was made or last rewound."""
    thermal_class: NotRequired[Literal["A", "E", "B", "F", "H"]]
    """Thermal class on the plate."""
    insulation_system: NotRequired[Literal["thermoplastic", "thermosetting", "unknown"]]
    """Thermosetting: modern resin; thermoplastic: older."""
    nameplate: NotRequired[MachineRequestNameplate]
    """What the motor's plate says, as for connection-choice."""
    leads: NotRequired[Literal[3, 6, 9, 12]]
    """Leads or terminals of the winding, earth not counted."""
    marking: NotRequired[Literal["iec", "din", "gost", "bs", "nema", "unmarked"]]
    """How the leads are marked."""
    arrangement: NotRequired[Literal["wye", "delta"]]
    """For nine and twelve leads: the connection the plate's voltages hold for."""
    present_connection: NotRequired[Literal["star", "delta", "parallel-star", "series-star", "parallel-delta", "series-delta"]]
    """How the motor is connected now."""
    stands_idle: NotRequired[bool]
    """True for a machine that stands unused for months, or in the damp."""
    retired: NotRequired[MachineRequestRetired]
    """Present when the machine is out of use; its readings stay."""
    note: NotRequired[str]
    """Anything else worth knowing, for people."""
    workshop: str
    """Id of the workshop; it stays the same."""


class MachineChangeNameplate(TypedDict):
    """What the motor's plate says, as for connection-choice."""

    delta_voltage: NotRequired[str]
    """Voltage in delta, the lower of the two on a plate such as 230/400 V. Plausible range (20 V to 1000 V)."""
    star_voltage: NotRequired[str]
    """Voltage in star, the higher of the two. Plausible range (20 V to 1000 V)."""
    delta_current: NotRequired[str]
    """Line current in delta, the higher of the two. Plausible range (50 mA to 2000 A)."""
    star_current: NotRequired[str]
    """Line current in star, the lower of the two. Plausible range (50 mA to 2000 A)."""
    low_voltage: NotRequired[str]
    """Lower voltage of a motor with nine or twelve leads. Plausible range (20 V to 1000 V)."""
    high_voltage: NotRequired[str]
    """Higher voltage of a motor with nine or twelve leads. Plausible range (20 V to 1000 V)."""
    low_current: NotRequired[str]
    """Line current at the lower voltage. Plausible range (50 mA to 2000 A)."""
    high_current: NotRequired[str]
    """Line current at the higher voltage. Plausible range (50 mA to 2000 A)."""
    frequency: NotRequired[str]
    """Rated frequency. Plausible range (16 Hz to 400 Hz)."""
    power: NotRequired[str]
    """Rated shaft power. Plausible range (10 W to 500 kW)."""
    speed: NotRequired[str]
    """Speed at rated load. Plausible range (100 r/min to 24000 r/min)."""
    second_speed: NotRequired[str]
    """The other speed of a two-speed motor. Plausible range (50 r/min to 24000 r/min)."""
    poles: NotRequired[Literal[2, 4, 6, 8, 10, 12]]
    """Number of poles, if the plate gives it."""
    power_factor: NotRequired[str | float]
    """Power factor (cos φ). Plausible range (0.2 to 1)."""
    efficiency: NotRequired[str]
    """Efficiency at rated load. Plausible range (10 % to 100 %)."""
    efficiency_class: NotRequired[Literal["ie1", "ie2", "ie3", "ie4"]]
    """Efficiency class, if the plate gives one."""
    thermal_class: NotRequired[Literal["A", "E", "B", "F", "H"]]
    """Thermal class of the insulation."""
    built_for_drive: NotRequired[bool]
    """True if plate or maker says the winding is built for a drive."""


class MachineChangeRetired(TypedDict):
    """Present when the machine is out of use; its readings stay."""

    at: str
    """When it went out of use."""
    reason: str
    """Why, and where it went."""


class MachineChange(TypedDict):
    """A part of it."""

    name: str
    """What the workshop calls it."""
    description: NotRequired[str]
    """What it is, for people."""
    serial_number: NotRequired[str]
    """Number of the machine or its motor."""
    place: NotRequired[str]
    """Where it stands."""
    rated_voltage: str
    """Rated voltage between lines of the winding. Plausible range (1 V to 15 kV)."""
    winding: NotRequired[Literal["random-wound", "form-wound", "field", "armature"]]
    """Kind of winding; a small motor is random-wound."""
    manufactured: NotRequired[int]
    """Year the winding was made or last rewound."""
    thermal_class: NotRequired[Literal["A", "E", "B", "F", "H"]]
    """Thermal class on the plate."""
    insulation_system: NotRequired[Literal["thermoplastic", "thermosetting", "unknown"]]
    """Thermosetting: modern resin; thermoplastic: older."""
    nameplate: NotRequired[MachineChangeNameplate]
    """What the motor's plate says, as for connection-choice."""
    leads: NotRequired[Literal[3, 6, 9, 12]]
    """Leads or terminals of the winding, earth not counted."""
    marking: NotRequired[Literal["iec", "din", "gost", "bs", "nema", "unmarked"]]
    """How the leads are marked."""
    arrangement: NotRequired[Literal["wye", "delta"]]
    """For nine and twelve leads: the connection the plate's voltages hold for."""
    present_connection: NotRequired[Literal["star", "delta", "parallel-star", "series-star", "parallel-delta", "series-delta"]]
    """How the motor is connected now."""
    stands_idle: NotRequired[bool]
    """True for a machine that stands unused for months, or in the damp."""
    retired: NotRequired[MachineChangeRetired]
    """Present when the machine is out of use; its readings stay."""
    note: NotRequired[str]
    """Anything else worth knowing, for people."""


class ReadingRequestInsulationMeasurementAccuracy(TypedDict):
    """Accuracy of the instrument for this reading."""

    relative: NotRequired[str]
    """Share of the reading, e.g. 5 %. Plausible range (at most 100 %)."""
    absolute: NotRequired[str]
    """Fixed part, e.g. the value of two counts."""


class ReadingRequestInsulation(TypedDict):
    """A part of it."""

    between: Literal["UVW-earth", "winding-earth", "conductors-earth", "LN-earth", "U-earth", "V-earth", "W-earth", "L-earth", "N-earth", "L1-earth", "L2-earth", "L3-earth", "U-V", "V-W", "W-U", "L-N", "L1-L2", "L2-L3", "L3-L1"]
    """What the tester's leads join; UVW-earth is all windings joined, winding-earth any whole winding, conductors-earth all live conductors joined."""
    resistance: str
    """Resistance read."""
    over_range: NotRequired[bool]
    """The instrument showed more than `resistance`, its highest reading."""
    test_voltage: NotRequired[str]
    """Direct test voltage. Plausible range (0.1 V to 20 kV)."""
    instrument: NotRequired[Literal["insulation-tester", "multimeter"]]
    """A multimeter applies a few volts only."""
    after: NotRequired[str]
    """Time from applying the voltage to the reading. Plausible range (1 s to 1 h)."""
    winding_temperature: NotRequired[str]
    """Winding temperature at the reading. Plausible range (-40 degC to 200 degC)."""
    under_test: NotRequired[Literal["motor", "motor-and-cable", "cable", "fixed-wiring"]]
    """Where this reading differs from the request's `under_test`."""
    measurement_accuracy: NotRequired[ReadingRequestInsulationMeasurementAccuracy]
    """Accuracy of the instrument for this reading."""


ReadingRequestWindingBalanceResistances = TypedDict("ReadingRequestWindingBalanceResistances", {"U-V": NotRequired[str], "V-W": NotRequired[str], "W-U": NotRequired[str], "U": NotRequired[str], "V": NotRequired[str], "W": NotRequired[str]})


class ReadingRequestWindingBalanceMeasurementAccuracy(TypedDict):
    """Accuracy of the instrument for this reading."""

    relative: NotRequired[str]
    """Share of the reading, e.g. 5 %. Plausible range (at most 100 %)."""
    absolute: NotRequired[str]
    """Fixed part, e.g. the value of two counts."""


class ReadingRequestWindingBalance(TypedDict):
    """Resistances of the windings."""

    connection: Literal["star", "delta", "separate"]
    """How the windings are joined while measured; separate: links off."""
    resistances: ReadingRequestWindingBalanceResistances
    """U-V, V-W, W-U between lines; or U, V, W with the links off."""
    open_circuit: NotRequired[list[Literal["U-V", "V-W", "W-U", "U", "V", "W"]]]
    """Readings that showed an open circuit."""
    temperature: NotRequired[str]
    """Winding temperature. Plausible range (-40 degC to 200 degC)."""
    lead_resistance: NotRequired[str]
    """Test leads shorted together; 0 ohm when already taken off. Plausible range (at most 100 ohm)."""
    measurement_accuracy: NotRequired[ReadingRequestWindingBalanceMeasurementAccuracy]
    """Accuracy of the instrument for this reading."""
    through_cable: NotRequired[bool]
    """Measured at the far end of the motor cable, not at the motor's terminals."""


class ReadingRequestAir(TypedDict):
    """Air beside the winding."""

    temperature: str
    """Air temperature beside the winding. Plausible range (-40 degC to 60 degC)."""
    relative_humidity: str
    """Relative humidity of the air, e.g. 65 %. Plausible range (1 % to 100 %)."""


class ReadingRequest(TypedDict):
    """Request of Reading."""

    at: NotRequired[str]
    """When it was measured; the time of arrival if left out."""
    insulation: NotRequired[list[ReadingRequestInsulation]]
    """The readings of one insulation test, as for insulation-acceptance."""
    under_test: NotRequired[Literal["motor", "motor-and-cable", "cable", "fixed-wiring"]]
    """What the insulation readings were taken on; the motor if left out."""
    drive_disconnected: NotRequired[bool]
    """Whether the motor cable was off the drive's terminals during the test; true also where there is no drive."""
    links: NotRequired[Literal["fitted", "removed"]]
    """Star or delta links in the terminal box during the test."""
    winding_balance: NotRequired[ReadingRequestWindingBalance]
    """Resistances of the windings."""
    residual_current: NotRequired[str]
    """Current that does not return, as a clamp round all live conductors reads it. Plausible range (at most 100 A)."""
    winding_temperature: NotRequired[str]
    """Winding temperature at the time. Plausible range (-40 degC to 200 degC)."""
    air: NotRequired[ReadingRequestAir]
    """Air beside the winding."""
    note: NotRequired[str]
    """Who measured, with what, and anything unusual."""
