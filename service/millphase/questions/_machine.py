"""What the record of a machine and of one reading are made of: the fields of the questions, under the same names."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import Any

from marshmallow import ValidationError

from millphase.questions import _connection_links as links
from millphase.questions import _insulation as shared
from millphase.questions import _insulation_readings as taken
from millphase.questions import winding_balance as balance
from millphase.questions._connection_plate import CONNECTIONS, Nameplate
from millphase.questions.base import Part, accuracy_part, fields
from millphase.questions.insulation_acceptance import ReadingPart as InsulationReadingPart

MEASURED = ("insulation", "winding_balance", "residual_current", "winding_temperature", "air")
"""What a reading can hold; it holds at least one of them."""

UUID = "^[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}$"


class Instant(fields.Moment):
    """A time with its offset (RFC 3339), with or without a fraction of a second; loaded in UTC, in whole seconds."""

    _PATTERN = (
        r"^(19|20)[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])"
        r"T([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9](\.[0-9]{1,9})?(Z|[+-](0[0-9]|1[0-3]):[0-5][0-9])$"
    )
    _FULL = re.compile(_PATTERN.replace("$", r"\Z"))

    def _deserialize(self, value: Any, attr: str | None, data: Any, **kwargs: Any) -> datetime:
        if not isinstance(value, str) or not self._FULL.match(value):
            raise ValidationError('send a time with its offset, e.g. "2026-11-25T18:30:00Z"')
        # Whole seconds are all that is kept, and no Python reads nine decimals.
        whole = re.sub(r"\.[0-9]+", "", value)
        moment: datetime = super()._deserialize(whole, attr, data, **kwargs)
        return moment

    def json_schema(self) -> dict[str, Any]:
        """A date-time by pattern."""
        return {**super().json_schema(), "pattern": self._PATTERN, "maxLength": 35}


class WorkshopPart(Part):
    """A workshop: a place with machines, and whoever may see them."""

    name = fields.Text(high=100, required=True, example="Tansy Yard Workshop", help="Name of the workshop.")
    note = fields.Text(help="Anything worth knowing, for people.")


class RetiredPart(Part):
    """That a machine is out of use."""

    at = Instant(required=True, help="When it went out of use.")
    reason = fields.Text(required=True, help="Why, and where it went.")


class MachinePart(Part):
    """A machine: what its plate says and how it is used; the fields of the questions have the questions' names."""

    name = fields.Text(high=100, required=True, example="shaping machine", help="What the workshop calls it.")
    description = fields.Text(help="What it is, for people.")
    serial_number = fields.Text(high=60, help="Number of the machine or its motor.")
    place = fields.Text(high=100, help="Where it stands.")
    rated_voltage = fields.Quantity(
        "voltage", low="1 V", high="15 kV", required=True, help="Rated voltage between lines of the winding."
    )
    winding = fields.Choice(shared.WINDINGS, help="Kind of winding; a small motor is random-wound.")
    manufactured = fields.Count(low=1880, high=2100, help="Year the winding was made or last rewound.")
    thermal_class = fields.Choice(["A", "E", "B", "F", "H"], help="Thermal class on the plate.")
    insulation_system = fields.Choice(
        shared.INSULATION_SYSTEMS, help="Thermosetting: modern resin; thermoplastic: older."
    )
    nameplate = fields.Part(Nameplate, help="What the motor's plate says, as for connection-choice.")
    leads = fields.WholeChoice([3, 6, 9, 12], help="Leads or terminals of the winding, earth not counted.")
    marking = fields.Choice([*links.MARKINGS, "unmarked"], help="How the leads are marked.")
    arrangement = fields.Choice(
        ["wye", "delta"], help="For nine and twelve leads: the connection the plate's voltages hold for."
    )
    present_connection = fields.Choice(CONNECTIONS, help="How the motor is connected now.")
    stands_idle = fields.Flag(help="True for a machine that stands unused for months, or in the damp.")
    retired = fields.Part(RetiredPart, help="Present when the machine is out of use; its readings stay.")
    note = fields.Text(help="Anything else worth knowing, for people.")


class NewMachinePart(MachinePart):
    """A machine to be entered, with the workshop that it belongs to."""

    workshop = fields.Text(
        low=36, high=36, pattern=UUID, example="6f1f2a52-7c1e-4c3e-9d0a-2b8a5c9d1e77", required=True,
        help="Id of the workshop; it stays the same.",
    )  # fmt: skip


class WindingBalancePart(Part):
    """Winding resistances of one visit, as for winding-balance."""

    connection = fields.Choice(
        ["star", "delta", "separate"], required=True,
        help="How the windings are joined while measured; separate: links off.",
    )  # fmt: skip
    resistances = fields.Part(
        balance.ResistancesPart, required=True, help="U-V, V-W, W-U between lines; or U, V, W with the links off."
    )
    open_circuit = fields.Many(
        fields.Choice([*balance.LINES, *balance.PHASES]), low=1, high=6, help="Readings that showed an open circuit."
    )
    temperature = fields.Quantity("temperature", low="-40 degC", high="200 degC", help="Winding temperature.")
    lead_resistance = fields.Quantity(
        "resistance", high="100 ohm", zero=True, help="Test leads shorted together; 0 ohm when already taken off."
    )
    measurement_accuracy = accuracy_part("resistance")
    through_cable = fields.Flag(help="Measured at the far end of the motor cable, not at the motor's terminals.")


class ReadingPart(Part):
    """One visit to the machine: when, and what was measured; a sensor sends one of them alone."""

    at = Instant(help="When it was measured; the time of arrival if left out.")
    insulation = fields.Many(
        fields.Part(InsulationReadingPart), low=1, high=20,
        help="The readings of one insulation test, as for insulation-acceptance.",
    )  # fmt: skip
    under_test = fields.Choice(taken.PARTS, help="What the insulation readings were taken on; the motor if left out.")
    drive_disconnected = fields.Flag(
        help="Whether the motor cable was off the drive's terminals during the test; true also where there is no drive."
    )
    links = fields.Choice(["fitted", "removed"], help="Star or delta links in the terminal box during the test.")
    winding_balance = fields.Part(WindingBalancePart, help="Resistances of the windings.")
    residual_current = fields.Quantity(
        "current", high="100 A", zero=True,
        help="Current that does not return, as a clamp round all live conductors reads it."
    )  # fmt: skip
    winding_temperature = fields.Quantity(
        "temperature", low="-40 degC", high="200 degC", help="Winding temperature at the time."
    )
    air = fields.Part(shared.AirPart, help="Air beside the winding.")
    note = fields.Text(help="Who measured, with what, and anything unusual.")


class WithdrawalPart(Part):
    """Why a reading does not count."""

    reason = fields.Text(low=3, required=True, example="read on the wrong machine", help="What was wrong with it.")


def reading_schema() -> dict[str, Any]:
    """JSON Schema of a reading: closed, and with at least one thing measured."""
    return {**fields.object_schema(ReadingPart), "anyOf": [{"required": [name]} for name in MEASURED]}


def utc_text(moment: datetime) -> str:
    """A time as it is stored and shown: RFC 3339, UTC, whole seconds."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
