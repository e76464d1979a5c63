"""Rules as data: load, check, look up and identify the rule sets that every answer cites."""

from millphase.rulebook.book import Rulebook
from millphase.rulebook.loader import RuleFault, RuleFaults
from millphase.rulebook.model import Bands, Cell, Cited, Coefficients, Constant, Limit, Row, Rule, Table
from millphase.rulebook.sets import load_set, workshop

__all__ = [
    "Bands", "Cell", "Cited", "Coefficients", "Constant", "Limit", "Row", "Rule", "RuleFault", "RuleFaults", "Rulebook",
    "Table", "load_set", "workshop",
]  # fmt: skip
