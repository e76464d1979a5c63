"""Poles, slip and rated frequency of a motor from what its plate says, refused where they cannot be true."""

from __future__ import annotations

import math
from dataclasses import dataclass

from millphase.answer import Sheet
from millphase.physics import motor
from millphase.quantity import Quantity
from millphase.questions.base import Outcome, View, contradiction
from millphase.rulebook import Constant

_MAINS_FREQUENCIES = (50.0, 60.0)


@dataclass(frozen=True)
class Speed:
    """Poles and slip of a motor.

    Attributes
    ----------
    poles : int
        Number of poles.
    rated : Quantity
        Speed at rated load.
    slip_speed : Quantity
        Synchronous speed less rated speed.
    """

    poles: int
    rated: Quantity
    slip_speed: Quantity


def from_plate(
    sheet: Sheet, book: View, frequency: Quantity, rated: Quantity, poles: int | None, pointer: str
) -> Speed:
    """Number of poles and slip from plate speed and frequency; a speed that no motor can have is a contradiction.

    A slip that only special motors have is a caution.
    """
    if poles is None:
        poles = _count_poles(sheet, frequency, rated, pointer)
    synchronous = sheet.step("synchronous speed", motor.synchronous_speed, unit="r/min", f=frequency, p=float(poles))
    if rated.si >= synchronous.si:
        raise contradiction(
            pointer,
            f"a motor of {poles} poles at {frequency} stays below {synchronous}; read speed, poles and frequency again",
        )
    share = sheet.step("slip", motor.slip, unit="%", n0=synchronous, n=rated)
    most = book.limit("connection/largest-plate-slip").value
    if share.si > most.si:
        raise contradiction(
            pointer,
            f"{rated} with {poles} poles at {frequency} is a slip of {100 * share.si:.3g} %, over {most}; read speed and frequency again{_other(book, frequency, rated)}",
        )
    usual = book.limit("connection/usual-plate-slip")
    if share.si > usual.value.si:
        sheet.compare(
            usual, share, otherwise=Outcome.CAUTION,
            because=f"{rated} with {poles} poles at {frequency} is a slip of {100 * share.si:.3g} %, more than ordinary motors have.",
        )  # fmt: skip
        sheet.next_step("Read the plate's speed and frequency again: they may belong to different lines of the plate.")
    return Speed(poles, rated, sheet.step("slip in r/min", motor.slip_speed, unit="r/min", n0=synchronous, n=rated))


def _count_poles(sheet: Sheet, frequency: Quantity, rated: Quantity, pointer: str) -> int:
    try:
        counted = sheet.procedure(
            "number of poles: the next synchronous speed above the plate speed", motor.poles_from_speed, unit="1",
            frequency_hz=frequency, speed_rev_per_s=rated,
        )  # fmt: skip
    except ValueError as error:
        raise contradiction(pointer, f"{rated} at {frequency} is {error}; read speed and frequency again") from None
    return round(counted.si)


def rated_frequency(
    sheet: Sheet, book: View, wiring_rules: str, given: Quantity | None, speed: Quantity | None, field: str,
    usual: Constant | None = None,
) -> Quantity:  # fmt: skip
    """The plate's frequency; without one, the mains frequency that alone fits the speed, or the usual one with a caution.

    `usual` is what stands in, where it is not the mains frequency of the wiring rules.
    """
    if given is not None:
        return given
    by_rules = book.coefficients("connection/supply-frequency")
    fitting = _fitting(book, speed)
    if len(fitting) == 1:
        found = Quantity.of(fitting[0], "Hz")
        sheet.assume(field, found, by_rules)
        return found
    assumed = usual.value if usual is not None else by_rules[wiring_rules.replace("-", "_")]
    sheet.assume(field, assumed, usual or by_rules)
    why = "its speed fits both mains frequencies" if fitting else "its speed does not tell it"
    sheet.find(
        Outcome.CAUTION, book.rule("connection/plate-frequency"),
        because=f"The plate's frequency is not given and {why if speed is not None else 'no speed tells it'}; {assumed} is taken.",
    )  # fmt: skip
    sheet.next_step("Read the rated frequency on the plate and ask again with it before the motor is set up.")
    return assumed


def _other(book: View, frequency: Quantity, speed: Quantity) -> str:
    """The other mains frequency, where the speed is one of its motors'."""
    fitting = [hertz for hertz in _fitting(book, speed) if hertz != frequency.si]
    return f" (it is a speed of {fitting[0]:.0f} Hz motors)" if fitting else ""


def _fitting(book: View, speed: Quantity | None) -> list[float]:
    """Mains frequencies [Hz] at which a motor of this speed would have an ordinary slip."""
    if speed is None:
        return []
    most = book.limit("connection/usual-plate-slip").value.si
    return [hertz for hertz in _MAINS_FREQUENCIES if _slip_at(hertz, speed.si) <= most]


def _slip_at(frequency_hz: float, speed_rev_per_s: float) -> float:
    try:
        poles = motor.poles_from_speed(frequency_hz, speed_rev_per_s)
    except ValueError:
        return math.inf
    return motor.slip(motor.synchronous_speed(frequency_hz, poles), speed_rev_per_s)
