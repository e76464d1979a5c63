"""Joined terminals and line terminals of every marking, read from the link tables."""

from __future__ import annotations

from dataclasses import dataclass

from millphase.questions.base import View
from millphase.rulebook import Cited

MARKINGS = ["iec", "din", "gost", "bs", "nema"]
LEAD_GROUPS = ["three", "six", "nine-wye", "nine-delta", "twelve"]


@dataclass(frozen=True)
class Links:
    """How the leads of one motor are joined.

    Attributes
    ----------
    joined : list of str
        Groups of joined terminals, e.g. ``"U1-W2"``; empty where nothing is joined.
    lines : list of str
        Terminals that take the three line conductors, in phase order.
    cited : Cited
        The link table.
    """

    joined: list[str]
    lines: list[str]
    cited: Cited


def find(book: View, marking: str, leads: str, connection: str) -> Links | None:
    """Links of a connection, or None where the marking has no table row for it."""
    if marking not in MARKINGS:
        return None
    row = book.table(f"connection/links-{marking}").row(leads=leads, connection=connection)
    if row is None:
        return None
    joined = row["joined"].value
    return Links(str(joined).split() if joined else [], row.text("lines").split(), row.cited)


def marking_of(book: View, marking: str | None, leads: str) -> str:
    """The marking given, or the one taken for granted for this number of leads."""
    if marking is not None:
        return marking
    return book.table("connection/marking-by-leads").rows(leads=leads.partition("-")[0])[0].text("marking")
