"""Lengths keep their micrometres on the terminal; everything else keeps four digits."""

from __future__ import annotations

import pytest

from millphase.reports.terminal import spelt


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (28.021, "mm", "28.021 mm"),
        (1.10319, "in", "1.10319 in"),
        (21.5, "um", "21.5 um"),
        (1048.571, "N", "1049 N"),
        (0.1234567, "m", "0.1235 m"),
    ],
)
def test_lengths_on_the_terminal(value: float, unit: str, shown: str) -> None:
    assert spelt({"value": value, "unit": unit}) == shown
