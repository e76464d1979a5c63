"""Drive sizing: what the drive must give, what it takes from the supply, what the motor sees, and how it stops."""

from __future__ import annotations

from typing import Any

from millphase.answer import Answer, Outcome, Sheet
from millphase.questions import _drive_braking as braking
from millphase.questions import _drive_input as inputs
from millphase.questions import _drive_motor_side as motor_side
from millphase.questions import _drive_output as outputs
from millphase.questions import _drive_plate as plates
from millphase.questions._drive_fields import DriveRequest
from millphase.questions._drive_input import Input
from millphase.questions._drive_output import Output, short
from millphase.questions.base import Question, View, out

# Rules of which a finding that decides is told by the parts of the sentence themselves.
_TOLD = (
    "drive/output-current",
    "rectifier/supply-power",
    "rectifier/plug-",
    "braking/peak-share",
    "drive/voltage-doubling",
)


def answer(request: dict[str, Any], book: View) -> Answer:
    """Output side, input side, motor side, braking; then one sentence."""
    sheet = QUESTION.sheet(book)
    apparent = plates.check_plate(sheet, book, request["motor"])
    carrier = outputs.carrier_frequency(sheet, book, request)
    output = outputs.size(sheet, book, request, carrier)
    taken = inputs.feed(sheet, book, request, apparent) if "supply" in request else None
    if taken is None:
        sheet.next_step("Give the supply's voltage and impedance to have the input side worked out.")
    motor_side.judge(sheet, book, request, carrier)
    stop = braking.stop(sheet, book, request) if "braking" in request else ""
    sheet.caution("caution/isolate-and-lock-off", "caution/dc-link-wait", "caution/local-code-and-licensed-practice")
    parts = [_output_words(request, output, sheet), _input_words(taken), stop, *_reasons(sheet)]
    return sheet.answer("; ".join(part for part in parts if part) + ".")


_LED_BY = {Outcome.REJECT: "refused because", Outcome.INCONCLUSIVE: "open because", Outcome.CAUTION: "mind that"}


def _reasons(sheet: Sheet) -> list[str]:
    """What makes the outcome what it is, in the words of the findings, beyond what the sentence says anyway."""
    if sheet.outcome is Outcome.ACCEPT:
        return []
    return [
        f"{_LED_BY[sheet.outcome]} {finding.because[0].lower()}{finding.because[1:].rstrip('.')}"
        for finding in sheet.findings
        if finding.decides and finding.outcome is sheet.outcome and not finding.cited.rule.startswith(_TOLD)
    ]


def _output_words(request: dict[str, Any], output: Output, sheet: Sheet) -> str:
    if output.available is None:
        return f"The motor needs a drive that can give {short(output.needed)}"
    if not output.enough:
        return (
            f"The drive cannot feed this motor: {short(output.available)} is left of its "
            f"{request['drive']['rated_output_current']} and {short(output.needed)} is needed: {output.remedy}"
        )
    doubt = " by the figures so far" if sheet.outcome is Outcome.INCONCLUSIVE else ""
    return f"The drive can feed this motor{doubt}: {short(output.available)} is left where {short(output.needed)} is needed"


def _input_words(taken: Input | None) -> str:
    if taken is None:
        return ""
    if taken.current is None:
        return taken.failed
    factor = f" at a true power factor of {short(taken.power_factor, 2)}" if taken.power_factor else ""
    return f"it takes {short(taken.current)} from the supply{factor}" + (
        f", and {taken.advice}" if taken.advice else ""
    )


_OPTION = {
    "option": out.text("as-asked, without-choke, choke-3-percent, choke-5-percent or reference-supply"),
    "choke_inductance": out.quantity("inductance", "mH", "line choke"),
    "input_current": out.quantity("current", "A", "r.m.s."),
    "input_current_peak": out.quantity("current", "A", "peak"),
    "crest_factor": out.quantity("ratio", "1", "peak over r.m.s."),
    "distortion": out.quantity("ratio", "%", "harmonics over fundamental"),
    "power_factor": out.quantity("ratio", "1", "true power factor"),
    "dc_link_voltage": out.quantity("voltage", "V", "mean"),
    "direct_current": out.quantity("current", "A", "direct component, where half-waves are unequal"),
    "remark": out.text("why there are no figures, or what is amiss with them"),
}
_HARMONIC = {
    "order": out.number("order"),
    "current": out.quantity("current", "A", "r.m.s."),
    "share": out.quantity("ratio", "%", "of the fundamental"),
}
_VALUES = {
    "required_output_current": out.quantity("current", "A", "rated output current the drive must have left"),
    "available_output_current": out.quantity("current", "A", "output current left after all deratings"),
    "output_current_share": out.quantity("ratio", "%", "needed over left"),
    "carrier_factor": out.quantity("ratio", "%", "share left by the carrier frequency"),
    "ambient_factor": out.quantity("ratio", "%", "share left by the ambient temperature"),
    "altitude_factor": out.quantity("ratio", "%", "share left by the altitude"),
    "single_phase_factor": out.quantity("ratio", "%", "share left by one phase at a three-phase input"),
    "input_current": out.quantity("current", "A", "for the circuit: the larger of computed and maker's, r.m.s."),
    "computed_input_current": out.quantity("current", "A", "computed input current, r.m.s."),
    "input_current_peak": out.quantity("current", "A", "peak of the computed input current"),
    "input_crest_factor": out.quantity("ratio", "1", "peak over r.m.s."),
    "input_current_distortion": out.quantity("ratio", "%", "all harmonics over the fundamental"),
    "input_direct_current": out.quantity("current", "A", "direct component of the supply current, where half-waves are unequal"),
    "input_displacement_factor": out.quantity("ratio", "1", "cosine of the fundamental's angle"),
    "input_power_factor": out.quantity("ratio", "1", "true power factor, against the undisturbed supply voltage"),
    "input_power": out.quantity("power", "W", "power from the supply, its own losses included"),
    "fundamental_reactive_power": out.quantity("reactive-power", "var", "lagging positive"),
    "harmonics": out.rows(_HARMONIC, "odd orders of the input current to 25; even ones are nil unless half-waves are unequal"),
    "dc_link_voltage": out.quantity("voltage", "V", "mean, at full load"),
    "dc_link_ripple": out.quantity("voltage", "V", "peak to peak"),
    "dc_link_idle_voltage": out.quantity("voltage", "V", "without load"),
    "greatest_output_voltage": out.quantity("voltage", "V", "greatest output voltage at full load"),
    "greatest_rectifier_power": out.quantity("power", "W", "greatest load with a steady state, where the one asked for has none"),
    "choke_options": out.rows(_OPTION, "the input side with other chokes side by side"),
    "supply_voltage_drop": out.quantity("ratio", "%", "input current times supply impedance, over the voltage"),
    "crest_voltage_drop": out.quantity("ratio", "%", "by how much the crest of the supply voltage is flattened"),
    "house_fuse_share": out.quantity("ratio", "%", "input current over the house's supply fuse"),
    "protective_device_rating": out.quantity("current", "A", "least standard rating that carries the input current"),
    "critical_cable_length": out.quantity("length", "m", "from which reflection doubles the voltage in full"),
    "terminal_peak_voltage": out.quantity("voltage", "V", "peak at the motor's terminals"),
    "terminal_peak_voltage_braking": out.quantity("voltage", "V", "the same while a brake resistor works"),
    "voltage_steepness": out.quantity("voltage-rate", "V/us", "steepness of the edges at the motor"),
    "greatest_carrier_frequency": out.quantity("frequency", "kHz", "greatest carrier frequency for this motor cable"),
    "cable_charging_current": out.quantity("current", "mA", "recharging the motor cable, mean per phase"),
    "braking_inertia": out.quantity("moment-of-inertia", "kg.m2", "at the motor's shaft"),
    "braking_energy": out.quantity("energy", "J", "to be taken out"),
    "braking_peak_power": out.quantity("power", "W", "at the start of the stop"),
    "braking_mean_power": out.quantity("power", "W", "over the stop"),
    "braking_torque": out.quantity("torque", "N.m", "at the motor's shaft"),
    "braking_resistance_limit": out.quantity("resistance", "ohm", "greatest brake resistance"),
    "braking_cycle_power": out.quantity("power", "W", "mean over the time from stop to stop"),
    "braking_effective_power": out.quantity("power", "W", "root of the mean square over the cycle"),
    "stop_time_without_resistor": out.quantity("duration", "s", "estimate from the losses of motor and drive"),
}  # fmt: skip

QUESTION = Question(
    name="drive-sizing",
    order=50,
    title="Drive sizing",
    summary="What the drive must give, what it takes from the supply, what the motor sees, and how it stops.",
    request=DriveRequest,
    values=_VALUES,
    answer=answer,
    rules=(
        "drive/*", "rectifier/*", "braking/*", "motor/*", "connection/supply-frequency", "connection/drive-rise-time",
        "connection/peak-voltage-*", "connection/rise-time-general-purpose", "cable-nfpa-70/continuous-load-device",
        "cable-nfpa-70/standard-ratings", "caution/*",
    ),
    example={
        "motor": {"power": "2.2 kW", "voltage": "230 V", "current": "8.7 A", "poles": 4},
        "duty": "heavy",
        "supply": {
            "voltage": "230 V", "frequency": "50 Hz", "phases": 1, "resistance": "0.4 ohm", "reactance": "0.25 ohm",
            "house_fuse": "80 A",
        },
        "drive": {
            "rated_output_current": "10.4 A", "dc_link_capacitance": "2000 uF", "carrier_frequency": "4 kHz", "input_phases": 1,
        },
        "site": {"ambient": "35 degC", "altitude": "200 m"},
        "motor_cable": {"length": "6 m", "screened": True},
        "braking": {"inertia": "0.04 kg.m2", "speed": "1430 r/min", "stop_time": "1.5 s", "stops_every": "60 s"},
    },
)  # fmt: skip
