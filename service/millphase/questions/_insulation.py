"""What the insulation questions share: the least value, the correction to 40 °C, moist air and drying."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from millphase.answer import Outcome, Sheet
from millphase.physics import humidity, insulation
from millphase.quantity import Quantity, significant
from millphase.questions.base import Part, View, fields
from millphase.rulebook import Limit

WINDINGS = ["random-wound", "form-wound", "field", "armature"]
INSULATION_SYSTEMS = ["thermoplastic", "thermosetting", "unknown"]
TEST_CAUTIONS = (
    "caution/isolate-and-lock-off",
    "caution/dc-link-wait",
    "caution/never-test-through-a-drive",
    "caution/discharge-after-test",
    "caution/local-code-and-licensed-practice",
)


def brief(quantity: Quantity) -> str:
    """A quantity as it is spoken of in a sentence: four digits."""
    return str(Quantity.of(significant(quantity.value, 4), quantity.unit))


class AirPart(Part):
    """Air around the winding."""

    temperature = fields.Quantity(
        "temperature", low="-40 degC", high="60 degC", required=True, help="Air temperature beside the winding."
    )
    relative_humidity = fields.Quantity(
        "ratio", low="1 %", high="100 %", required=True, help="Relative humidity of the air, e.g. 65 %."
    )


def is_low_voltage(book: View, request: Mapping[str, Any]) -> bool:
    """Whether the winding is rated below the voltage from which windings are formed."""
    rated: Quantity = request["rated_voltage"]
    return rated.si < book.constant("insulation/form-wound-low-voltage").value.si


def winding_kind(book: View, request: Mapping[str, Any]) -> str:
    """Kind of winding: as said, otherwise by the rated voltage."""
    assumed = "random-wound" if is_low_voltage(book, request) else "form-wound"
    return str(request.get("winding", assumed))


def least_at_40c(sheet: Sheet, request: Mapping[str, Any]) -> tuple[Limit, Quantity]:
    """Least one-minute resistance at 40 °C by kind of winding and era, with the limit it comes from."""
    book, rated = sheet.book, request["rated_voltage"]
    modern = book.constant("insulation/early-winding-year")
    winding = winding_kind(book, request)
    if "winding" not in request:
        sheet.assume("winding", winding, book.constant("insulation/form-wound-low-voltage"))
    if "manufactured" not in request and winding != "field":
        sheet.assume("manufactured", f"{modern.value} or later", modern)
    if winding == "field" or request.get("manufactured", modern.value.si) < modern.value.si:
        limit = book.limit("insulation/early-winding-minimum")
        least = sheet.step(
            "least resistance at 40 °C", insulation.kilovolt_plus_one_minimum, unit="Mohm", rule=limit,
            A=limit.value, B=book.constant("insulation/early-winding-per-kilovolt").value, U=rated,
        )  # fmt: skip
        return limit, least
    if winding == "armature":
        name = "armature-minimum"
    elif not is_low_voltage(book, request):
        # The standard's "random-wound and form-wound below 1 kV" can be read either way: the stricter holds.
        name = "form-wound-minimum"
    else:
        name = {"random-wound": "random-wound-minimum", "form-wound": "form-wound-below-1-kv-minimum"}[winding]
    limit = book.limit(f"insulation/{name}")
    return limit, limit.value


@dataclass(frozen=True, slots=True)
class Referred:
    """A reading referred to 40 °C: by each law, and by the one that gates."""

    halving: Quantity
    thermosetting: Quantity | None
    gate: Quantity
    law: str


def refer_to_40c(sheet: Sheet, name: str, resistance: Quantity, temperature: Quantity, system: str) -> Referred:
    """Refer a reading to 40 °C by both published laws; the stricter result gates.

    A winding hotter than the laws reach is taken at their upper end, which is the stricter way. Below the
    range of the thermosetting law only the halving law is used; it is the stricter of the two there.
    """
    book = sheet.book
    ceiling, step = book.constant("insulation/correction-ceiling"), book.constant("insulation/halving-step")
    constants = book.coefficients("insulation/thermosetting-correction")
    cool = book.limit("insulation/test-temperature")
    if temperature.si > cool.value.si:
        because = f"{name}: the winding at {brief(temperature)} was hotter than {cool.value}; much of the result is correction, so test again when it is cool."
        sheet.compare(cool, temperature, because=because, otherwise=Outcome.CAUTION, decides=False)
    if temperature.si > ceiling.value.si:
        because = f"{name}: the winding at {brief(temperature)} is hotter than the correction laws reach; {ceiling.value} is used instead, which is stricter."
        sheet.find(Outcome.CAUTION, ceiling, because=because, measured=temperature, limit=ceiling.value, decides=False)
        temperature = ceiling.value
    halving = sheet.step(
        f"{name}, referred to 40 °C by halving", insulation.resistance_at_40c_halving, unit=resistance.unit, rule=step,
        R=resistance, T=temperature, S=step.value,
    )  # fmt: skip
    if system == "thermoplastic":
        return Referred(halving, None, halving, "halving")
    if temperature.si < constants["lowest"].si:
        because = f"{name}: a winding at {brief(temperature)} is colder than the thermosetting law reaches; only the halving law is used, which is the stricter here."
        sheet.find(
            Outcome.ACCEPT, constants, because=because, measured=temperature, limit=constants["lowest"], decides=False
        )
        return Referred(halving, None, halving, "halving")
    energy = constants["hot" if temperature.si > 40.0 else "cold"]
    thermosetting = sheet.step(
        f"{name}, referred to 40 °C by the thermosetting law", insulation.resistance_at_40c_thermosetting,
        unit=resistance.unit, rule=constants, R=resistance, T=temperature, E=energy,
    )  # fmt: skip
    if thermosetting.si < halving.si:
        return Referred(halving, thermosetting, thermosetting, "thermosetting")
    return Referred(halving, thermosetting, halving, "halving")


def dew_point(sheet: Sheet, air: Mapping[str, Quantity]) -> Quantity:
    """Temperature at which the air wets (or frosts) a surface; writes the dew point among the values."""
    book = sheet.book
    water, ice = (
        book.coefficients("insulation/dew-point-over-water"),
        book.coefficients("insulation/frost-point-over-ice"),
    )
    exponent = sheet.step(
        "logarithm of the vapour pressure", humidity.magnus_exponent, unit="1", rule=water,
        H=air["relative_humidity"], T=air["temperature"], a=water["a"], b=water["b"],
    )  # fmt: skip
    dew = sheet.step(
        "dew point", humidity.condensation_temperature, unit="degC", rule=water, g=exponent, a=water["a"], b=water["b"]
    )
    sheet.value("dew_point", dew)
    if dew.si >= 0.0:
        return dew
    return sheet.step(
        "frost point", humidity.condensation_temperature, unit="degC", rule=ice, g=exponent, a=ice["a"], b=ice["b"]
    )


def margin_above_dew_point(book: View, winding: Quantity, air: Mapping[str, Quantity]) -> Quantity:
    """Winding temperature above the dew point, below freezing above the frost point; without working."""
    water, ice = (
        book.coefficients("insulation/dew-point-over-water"),
        book.coefficients("insulation/frost-point-over-ice"),
    )
    exponent = humidity.magnus_exponent(
        air["relative_humidity"].si, air["temperature"].si, water["a"].si, water["b"].si
    )
    wet = humidity.condensation_temperature(exponent, water["a"].si, water["b"].si)
    if wet < 0.0:
        wet = humidity.condensation_temperature(exponent, ice["a"].si, ice["b"].si)
    return Quantity.si_value(winding.si - wet, "K")


def coldest_winding(book: View, request: Mapping[str, Any]) -> Quantity:
    """Temperature taken for a winding whose own was not measured: the coldest it may have been."""
    coldest = book.constant("insulation/coldest-winding").value
    if "air" in request and request["air"]["temperature"].si < coldest.si:
        found: Quantity = request["air"]["temperature"]
        return found
    return coldest


def advise_drying(sheet: Sheet, thermal_class: str | None) -> None:
    """Add how to dry the winding, how hot, when to stop and when to test again."""
    book = sheet.book
    table = book.table("insulation/drying-temperature")
    highest = table.rows(thermal_class=thermal_class or "A")[0].q("highest")
    if thermal_class is None:
        sheet.assume("thermal_class", "A, for drying", table)
    for part in ("open", "heat", "warnings", "record"):
        sheet.next_step(*book.steps(f"insulation/drying-{part}"))
    wait = book.constant("insulation/drying-constant-time").value
    sheet.next_step(
        f"Keep the winding at or below {highest} while drying, and stop when its resistance at 40 °C is above the "
        f"least value and has stayed constant for {wait}."
    )
    sheet.next_step(*book.steps("insulation/retest-after-drying"), *book.steps("insulation/retest-interval"))
