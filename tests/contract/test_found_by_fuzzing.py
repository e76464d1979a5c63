"""What fuzzing has found, each as a case of its own."""

from __future__ import annotations

from copy import deepcopy

import pytest

from millphase.quantity import parse
from millphase.questions.base import Invalid, ask, registry
from millphase.rulebook import workshop


def test_leading_zeros_fit_the_pattern_and_are_read() -> None:
    assert parse("0380460941 W", "power").si == 380460941.0
    assert parse("0005716 Hz", "frequency").si == 5716.0


def test_a_fed_field_may_be_missing_beside_a_reading_that_cannot_be() -> None:
    request = deepcopy(dict(registry()["changeover"].example))
    # The rated speed comes from the plate; a pulley of 224 m does not.
    request["speeds"] = {
        "motor": {"cooling": "ic-411"},
        "steps": [{"driver": "71 mm", "driven": "224 m"}],
        "frequency_range": {"lowest": "20 Hz", "highest": "80 Hz"},
    }
    with pytest.raises(Invalid) as refused:
        ask("changeover", request, workshop())
    assert [(fault.pointer, fault.code) for fault in refused.value.faults] == [
        ("/speeds/steps/0/driven", "contradictory-input")
    ]
