"""What is wrong with one file, gathered with the line of every fault."""

from __future__ import annotations

from collections.abc import Mapping

from millphase.rulebook.loader import RuleFault

Lines = Mapping[str, int]

# A temperature, a difference, a deviation from a size and a share may lie below zero; nothing else may.
_SIGNED = frozenset({"temperature", "temperature-difference", "length", "ratio", "rate"})


def line_of(lines: Lines, key: str) -> int:
    """Line of the value at `key`, or of what holds it."""
    while key and key not in lines:
        key = key.rpartition("/")[0]
    return lines.get(key, 1)


class Told:
    """The faults of one file.

    Parameters
    ----------
    shown : str
        The file, as a person is told of it.
    lines : mapping
        Line of every value by its JSON pointer.
    """

    def __init__(self, shown: str, lines: Lines) -> None:
        self.shown, self.lines = shown, lines
        self.faults: list[RuleFault] = []

    def at(self, key: str, message: str) -> None:
        """Note a fault at the value that the JSON pointer `key` names."""
        self.faults.append(RuleFault(self.shown, line_of(self.lines, key), key, message))

    def sign(self, key: str, number: float, dimension: str) -> None:
        """Note a number below zero where its dimension has none."""
        if number < 0 and dimension not in _SIGNED:
            self.at(key, f"no {dimension} is below zero; correct the sign")
