"""A law of nature: a pure function that carries its own printed formula."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Generic, ParamSpec

P = ParamSpec("P")


class Law(Generic[P]):
    """A function together with the formula that a reader can redo with pencil and paper.

    Parameters
    ----------
    function : callable
        Pure function of floats in SI units (temperatures in °C, rotational frequency in r/s).
    formula : str
        ``result = expression`` in the notation of :mod:`millphase.formula`.
    symbols : mapping
        Formula symbol to argument name, e.g. ``{"R": "resistance_ohm"}``.

    Notes
    -----
    A test evaluates every formula beside its function, so the two cannot drift apart.
    """

    def __init__(self, function: Callable[P, float], formula: str, symbols: Mapping[str, str]) -> None:
        self.function = function
        self.formula = formula
        self.symbols = dict(symbols)
        self.__name__ = function.__name__
        self.__doc__ = function.__doc__

    def __call__(self, *args: P.args, **kwargs: P.kwargs) -> float:
        """Value of the law for these arguments."""
        return self.function(*args, **kwargs)


def law(formula: str, **symbols: str) -> Callable[[Callable[P, float]], Law[P]]:
    """Attach `formula` to a pure function; `symbols` maps each formula symbol to an argument name."""

    def attach(function: Callable[P, float]) -> Law[P]:
        return Law(function, formula, symbols)

    return attach
