"""Insulation readings: how they were taken, and whether they could have shown a fault."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from millphase.answer import Outcome, Sheet
from millphase.quantity import Quantity
from millphase.questions._insulation import Referred
from millphase.questions.base import half_width
from millphase.rulebook import Row

PARTS = ["motor", "motor-and-cable", "cable", "fixed-wiring"]
MOTOR_PARTS = ("motor", "motor-and-cable")
SINGLES = ("U-earth", "V-earth", "W-earth")
PAIRS = ("U-V", "V-W", "W-U")
JOINED = ("UVW-earth", "winding-earth", "conductors-earth")
# Conductors that each reading to earth covers, and the sets that make up a whole circuit.
CORES: dict[str, tuple[str, ...]] = {
    "UVW-earth": ("all",), "winding-earth": ("all",), "conductors-earth": ("all",), "LN-earth": ("L", "N"),
    "U-earth": ("U",), "V-earth": ("V",), "W-earth": ("W",), "L-earth": ("L",), "N-earth": ("N",),
    "L1-earth": ("L1",), "L2-earth": ("L2",), "L3-earth": ("L3",),
}  # fmt: skip
WHOLE = ({"all"}, {"L", "N"}, {"U", "V", "W"}, {"L1", "L2", "L3"})
BETWEEN = [*CORES, *PAIRS, "L-N", "L1-L2", "L2-L3", "L3-L1"]


@dataclass(eq=False)
class Reading:
    """One reading, with what the judging of it found."""

    pointer: str
    between: str
    resistance: Quantity
    part: str
    over_range: bool
    instrument: str | None
    test_voltage: Quantity | None
    after: Quantity | None
    temperature: Quantity | None
    accuracy: Quantity | None
    is_one_minute: bool
    is_late: bool
    void: bool = False
    # One winding alone to earth; with the links fitted and the readings alike it is all of them.
    alone: bool = False
    # Below a limit at face value, and not only within the accuracy of it.
    fails: bool = False
    # Of a motor behind its cable: what subtraction leaves for the motor, which is judged instead.
    motor_share: Referred | None = None
    referred: Referred | None = None
    gate_accuracy: Quantity | None = None
    outcomes: list[Outcome] = field(default_factory=list)

    @property
    def name(self) -> str:
        """The reading as it is spoken of, e.g. "Motor U-earth"."""
        return f"{self.part.replace('-', ' ').capitalize()} {self.between}"

    @property
    def shown(self) -> str:
        """The resistance as the instrument showed it."""
        return f"more than {self.resistance}" if self.over_range else str(self.resistance)

    def same_points(self, other: Reading) -> bool:
        """Whether both were taken between the same points of the same part."""
        return (self.between, self.part) == (other.between, other.part)

    def is_judged(self, readings: list[Reading]) -> bool:
        """Whether this reading is judged itself, and not only a part of a ratio with a one-minute reading."""
        if self.is_one_minute or self.after is None:
            return True
        return not any(other.is_one_minute and other.same_points(self) for other in readings)


def collect(sheet: Sheet, request: Mapping[str, Any]) -> list[Reading]:
    """The readings of a request, with the defaults filled in and noted."""
    book = sheet.book
    minute, slack = (
        book.constant("insulation/test-duration").value.si,
        book.constant("insulation/test-duration-tolerance").value.si,
    )
    ohmmeter = book.constant("insulation/ohmmeter-voltage")
    default = request.get("under_test", "motor")
    if "under_test" not in request and any("under_test" not in given for given in request["readings"]):
        sheet.assume("under_test", "motor", book.rule("insulation/whole-winding"))
    if any("measurement_accuracy" not in given for given in request["readings"]):
        sheet.assume("measurement_accuracy", "none stated", book.rule("insulation/face-value"))
    found = []
    for index, given in enumerate(request["readings"]):
        instrument, voltage, after = given.get("instrument"), given.get("test_voltage"), given.get("after")
        if instrument is None and voltage is not None and voltage.si > ohmmeter.value.si:
            instrument = "insulation-tester"
            sheet.assume(f"readings.{index}.instrument", instrument, ohmmeter)
        found.append(
            Reading(
                pointer=f"/readings/{index}", between=given["between"], resistance=given["resistance"],
                part=given.get("under_test", default), over_range=given.get("over_range", False), instrument=instrument,
                test_voltage=voltage, after=after, temperature=given.get("winding_temperature"),
                accuracy=half_width(given["resistance"], given.get("measurement_accuracy")),
                is_one_minute=after is not None and abs(after.si - minute) <= slack,
                is_late=after is not None and after.si > minute + slack,
            )
        )  # fmt: skip
    return found


def are_joined(sheet: Sheet, request: Mapping[str, Any], readings: list[Reading]) -> bool:
    """Whether the links join the windings: said to be fitted, and borne out by readings that agree."""
    lowest: dict[str, float] = {}
    for reading in readings:
        if reading.between in SINGLES and not reading.void:
            lowest[reading.between] = min(reading.resistance.si, lowest.get(reading.between, reading.resistance.si))
    return request.get("links") == "fitted" and are_alike(sheet, list(lowest.values()))


def are_alike(sheet: Sheet, resistances: list[float]) -> bool:
    """Whether readings [ohm] count as equal."""
    spread = sheet.book.constant("insulation/equal-readings").value.si
    return not resistances or max(resistances) - min(resistances) <= spread * max(resistances)


def check_evidence(sheet: Sheet, request: Mapping[str, Any], reading: Reading) -> None:
    """What keeps a passing reading from acquitting: instrument, test voltage, duration."""
    book = sheet.book
    ohmmeter, minute = book.constant("insulation/ohmmeter-voltage"), book.constant("insulation/test-duration")
    if reading.instrument != "insulation-tester":
        what = "was taken with a multimeter" if reading.instrument else "does not name its instrument"
        because = f"{reading.name} {what}; a few volts can condemn insulation but not acquit it."
        sheet.find(Outcome.INCONCLUSIVE, ohmmeter, because=because)
        sheet.next_step("Test with an insulation tester, not an ohmmeter, and name it.")
    if not reading.is_one_minute:
        read = f"was read after {reading.after}" if reading.after else "does not say when it was read"
        rule = (
            "the least values hold for one minute" if reading.part in MOTOR_PARTS else "it is judged after one minute"
        )
        because = f"{reading.name} {read}; {rule}."
        sheet.find(Outcome.INCONCLUSIVE, minute, because=because, measured=reading.after, limit=minute.value)
        sheet.next_step("Read the resistance one minute after applying the test voltage.")
    _check_voltage(sheet, request, reading)


def test_voltages(sheet: Sheet, request: Mapping[str, Any], part: str) -> tuple[Row, str, str]:
    """Row of test voltages for a part of the circuit, and the columns of its lowest and highest."""
    book, rated = sheet.book, request["rated_voltage"]
    if part in MOTOR_PARTS:
        table = book.table("insulation/test-voltage")
        row = table.row_at_or_above("rated_voltage", rated) or table.rows()[-1]
        return row, "lowest", "highest"
    circuit = "up-to-500-v" if rated.si <= book.constant("insulation/wiring-low-voltage").value.si else "above-500-v"
    if request.get("separated_extra_low_voltage"):
        circuit = "separated-extra-low-voltage"
    return book.table("insulation/wiring-test-voltage").rows(circuit=circuit)[0], "test_voltage", "test_voltage"


def _check_voltage(sheet: Sheet, request: Mapping[str, Any], reading: Reading) -> None:
    row, low, high = test_voltages(sheet, request, reading.part)
    lowest, highest = row.q(low), row.q(high)
    voltage, rated = reading.test_voltage, request["rated_voltage"]
    if voltage is None or voltage.si < lowest.si * (1.0 - 1e-9):
        given = f"was tested at {voltage}" if voltage else "does not say at what voltage it was tested"
        because = f"{reading.name} {given}; {lowest} is needed for a rated voltage of {rated}."
        sheet.find(Outcome.INCONCLUSIVE, row[low], because=because, measured=voltage, limit=lowest)
        sheet.next_step(f"Test at {lowest} direct voltage.")
    elif voltage.si > highest.si * (1.0 + 1e-9):
        # Too much for a winding may have harmed it; wiring is proof-tested far higher.
        is_winding = reading.part in MOTOR_PARTS
        because = f"{reading.name} was tested at {voltage}, more than the {highest} usual for {rated}"
        because += ", which may have harmed the winding." if is_winding else "."
        sheet.find(Outcome.CAUTION, row[high], because=because, measured=voltage, limit=highest, decides=is_winding)
        sheet.next_step(f"Do not test this part above {highest} again.")
        if is_winding:
            sheet.next_step(f"Repeat the one-minute test at {lowest}; only that shows whether the winding stood it.")
