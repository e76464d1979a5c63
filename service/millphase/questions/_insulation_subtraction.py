"""Motor behind its cable: the motor's own resistance from the two together and the cable alone."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from millphase.answer import Outcome, Sheet
from millphase.physics import insulation
from millphase.quantity import Quantity
from millphase.questions import _insulation as shared
from millphase.questions._insulation_readings import JOINED, Reading
from millphase.questions.base import contradiction
from millphase.rulebook import Limit


def split(
    sheet: Sheet, request: Mapping[str, Any], motor: list[Reading], wiring: list[Reading], limit: Limit,
    least_of: Mapping[str, Quantity],
) -> None:  # fmt: skip
    """Judge the motor alone where motor-and-cable and cable readings allow.

    The motor-and-cable reading is given the motor's share, and then does not decide itself at 40 °C.

    Parameters
    ----------
    least_of : mapping
        Least value at 40 °C of every motor reading, by its pointer.
    """
    together = [
        r for r in motor if r.part == "motor-and-cable" and not r.over_range and not r.void and r.resistance.si > 0.0
    ]
    cable = [
        r for r in wiring if r.part == "cable" and not r.over_range and r.resistance.si > 0.0 and r.is_judged(wiring)
    ]
    # Only readings between the same points can be subtracted.
    pairs = [(both, alone) for both in together for alone in cable if same_points(both, alone)]
    if not pairs:
        return
    both, alone = min(pairs, key=lambda pair: (pair[0].resistance.si, pair[1].resistance.si))
    equal = sheet.book.constant("insulation/equal-readings")
    slack = (both.accuracy.si if both.accuracy else 0.0) + (alone.accuracy.si if alone.accuracy else 0.0)
    if both.resistance.si > (alone.resistance.si + slack) * (1.0 + equal.value.si):
        message = (
            f"motor and cable together cannot read more than the cable alone, {alone.resistance}; measure both again"
        )
        raise contradiction(f"{both.pointer}/resistance", message)
    _judge(sheet, request, both, alone, limit, least_of[both.pointer])


def same_points(both: Reading, alone: Reading) -> bool:
    """Whether both were taken between the same points; all conductors joined goes by several names."""
    return both.between == alone.between or (both.between in JOINED and alone.between in JOINED)


def _judge(
    sheet: Sheet, request: Mapping[str, Any], both: Reading, alone: Reading, limit: Limit, least: Quantity
) -> None:
    low, high = _interval(both, alone)
    read = f"Motor and cable read {both.resistance} and the cable alone {alone.resistance}"
    if not math.isfinite(high):
        _not_told(
            sheet, f"{read}: the difference lies inside the accuracy, so the motor cannot be told apart from the cable."
        )
        return
    motor = sheet.step(
        "resistance of the motor behind the cable", insulation.resistance_behind_cable, unit=both.resistance.unit,
        Rmc=both.resistance, Rc=alone.resistance,
    )  # fmt: skip
    sheet.value("motor_resistance", motor)
    if both.accuracy is None or alone.accuracy is None:
        _not_told(
            sheet,
            f"{read}: no accuracy is stated, so nobody knows how good the {shared.brief(motor)} left for the motor is.",
        )
        return
    lower, upper = Quantity(low, motor.unit, motor.dimension), Quantity(high, motor.unit, motor.dimension)
    sheet.value("motor_resistance_low", lower)
    sheet.value("motor_resistance_high", upper)
    if both.temperature is None:
        return
    system = request.get("insulation_system", "unknown")
    both.motor_share = shared.refer_to_40c(sheet, "Motor behind the cable", motor, both.temperature, system)
    referred = both.motor_share.gate
    accuracy = Quantity((motor.si - low) * referred.si / motor.si, motor.unit, motor.dimension)
    because = (
        f"The motor behind the cable has {shared.brief(motor)} ({shared.brief(lower)} to {shared.brief(upper)}): "
        f"{shared.brief(referred)} at 40 °C."
    )
    sheet.compare(limit, referred, because=because, against=least, accuracy=accuracy, otherwise=Outcome.CAUTION)


def _not_told(sheet: Sheet, because: str) -> None:
    """Say that the motor's share decides nothing, and name the test that would."""
    sheet.find(Outcome.CAUTION, sheet.book.constant("insulation/equal-readings"), because=because, decides=False)
    sheet.next_step("Take the cable off in the motor's terminal box and test the motor alone.")


def _interval(both: Reading, alone: Reading) -> tuple[float, float]:
    """Ends of the motor's resistance [ohm]; the upper end is infinite when the two cannot be told apart."""
    wide_both = both.accuracy.si if both.accuracy else 0.0
    wide_alone = alone.accuracy.si if alone.accuracy else 0.0
    most = 1.0 / max(both.resistance.si - wide_both, 1e-3) - 1.0 / (alone.resistance.si + wide_alone)
    fewest = 1.0 / (both.resistance.si + wide_both) - 1.0 / max(alone.resistance.si - wide_alone, 1e-3)
    return 1.0 / most if most > 0.0 else math.inf, 1.0 / fewest if fewest > 0.0 else math.inf
