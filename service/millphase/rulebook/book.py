"""A rule set ready for use: look-ups by kind, with a version and a digest that every answer repeats."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from copy import copy
from fnmatch import fnmatchcase
from functools import cache, cached_property
from typing import Any, TypeVar

from millphase.rulebook.model import Bands, Coefficients, Constant, Limit, Rule, Table
from millphase.rulebook.released import canonical, digest_of_bytes

KINDS: dict[str, type[Rule]] = {
    "limit": Limit, "constant": Constant, "coefficients": Coefficients, "table": Table, "bands": Bands, "text": Rule,
    "steps": Rule,
}  # fmt: skip
AnyRule = TypeVar("AnyRule", bound=Rule)


class RuleWithdrawn(LookupError):
    """A question asked for a rule that this rule set has withdrawn."""

    def __init__(self, rule: Rule, reason: str) -> None:
        super().__init__(f"rule {rule.id} is withdrawn: {reason}")
        self.rule, self.reason = rule, reason


class Rulebook:
    """One loaded rule set.

    Parameters
    ----------
    pack : mapping
        The compiled set: ``schema``, ``name``, ``version``, ``title``, ``licence``, ``sources`` and ``rules``.
    digest : str, optional
        Its digest, where the bytes it was read from have proved it already.
    """

    def __init__(self, pack: Mapping[str, Any], digest: str | None = None) -> None:
        self.pack, self._digest = pack, digest
        self.later: Rulebook | None = None
        self.name: str = pack["name"]
        self.version: str = pack["version"]
        self.sources: Mapping[str, Mapping[str, str]] = pack["sources"]
        self.rules: dict[str, Rule] = {
            rule_id: KINDS[data["kind"]](data, self.sources) for rule_id, data in pack["rules"].items()
        }

    def completed_by(self, later: Rulebook) -> Rulebook:
        """The same set, which takes from `later` the rules that questions have come to ask for since it was made.

        A set that was pinned years ago must go on answering. Its own rules decide wherever it has them.
        """
        completed = copy(self)
        completed.later = later
        return completed

    def find(self, rule_id: str) -> Rule | None:
        """The rule that holds under this set: its own, else that of the later set that completes it, else None."""
        own = self.rules.get(rule_id)
        return own if own is not None or self.later is None else self.later.find(rule_id)

    @cached_property
    def digest(self) -> str:
        """Identity of the content, wherever and however it is stored."""
        return self._digest or digest_of_bytes(self.canonical)

    @cached_property
    def canonical(self) -> bytes:
        """The RFC 8785 bytes that the digest is taken of, and that other instances fetch."""
        return canonical(self.pack)

    @cached_property
    def additions(self) -> dict[str, list[Rule]]:
        """Rules that a club adds to a question, by the question's name."""
        found: dict[str, list[Rule]] = {}
        for rule in self.rules.values():
            if "applies_to" in rule.data and "withdrawn" not in rule.data:
                found.setdefault(rule.data["applies_to"]["question"], []).append(rule)
        return found

    @property
    def identity(self) -> dict[str, str]:
        """Name, version and digest as an answer shows them."""
        return {"name": self.name, "version": self.version, "digest": self.digest}

    def view(self, patterns: Iterable[str]) -> View:
        """The rules one question may ask for; asking for another is a fault of the program."""
        return View(self, tuple(patterns))


def notice(rule: Rule) -> str | None:
    """What a user must know about a rule that this set has loosened or withdrawn, or None."""
    note = rule.data.get("changed")
    if note is None or note["change"] not in ("loosen", "withdraw"):
        return None
    if note["change"] == "withdraw":
        return f"Rule set {note['by']} has withdrawn {rule.id} ({rule.title}) and its base has not. Reason given: {note['reason']}"
    was = f" from {note['was']} to {rule.data['value']}" if "was" in note else ""
    return f"Rule set {note['by']} has loosened {rule.id} ({rule.title}){was}. Reason given: {note['reason']}"


@cache
def _declared(rule_id: str, patterns: tuple[str, ...]) -> bool:
    return any(fnmatchcase(rule_id, pattern) for pattern in patterns)


class View:
    """A rule set as one question sees it, remembering which rules were asked for."""

    def __init__(self, book: Rulebook, patterns: tuple[str, ...]) -> None:
        self.book, self.patterns = book, patterns
        self.asked: dict[str, Rule] = {}
        self.missed: dict[str, Rule] = {}

    @property
    def identity(self) -> dict[str, str]:
        """Name, version and digest of the set behind this view."""
        return self.book.identity

    def _get(self, rule_id: str, kind: type[AnyRule]) -> AnyRule:
        rule = self.asked.get(rule_id) or self._first(rule_id)
        if type(rule) is not kind and kind is not Rule:
            raise KeyError(f"rule {rule_id} is a {rule.kind}, not a {kind.__name__.lower()}")
        return rule  # type: ignore[return-value]

    def _first(self, rule_id: str) -> Rule:
        """A rule when it is asked for the first time."""
        if not _declared(rule_id, self.patterns):
            raise KeyError(f"the question does not declare rule {rule_id}")
        rule = self.book.find(rule_id)
        if rule is None:
            raise KeyError(f"the rule set {self.book.name} has no rule {rule_id}")
        if "withdrawn" in rule.data:
            raise RuleWithdrawn(rule, rule.data["withdrawn"])
        self.asked[rule_id] = rule
        return rule

    def has(self, rule_id: str) -> bool:
        """Whether this rule is in force under the set; a withdrawn one that was looked for is noticed."""
        rule = self.book.find(rule_id)
        if rule is not None and "withdrawn" in rule.data:
            self.missed[rule_id] = rule
            return False
        return rule is not None

    def notices(self) -> list[str]:
        """Cautions for rules used that the set has loosened or does not have, and for withdrawn ones looked for."""
        found = [text for text in map(notice, (*self.asked.values(), *self.missed.values())) if text]
        later = self.book.later
        lent = sorted(rule_id for rule_id in self.asked if rule_id not in self.book.rules)
        if later is not None and lent:
            found.append(
                f"Rule set {self.book.name} {self.book.version} does not have these rules yet; they were taken from"
                f" {later.name} {later.version}: {', '.join(lent)}."
            )
        return found

    def rule(self, rule_id: str) -> Rule:
        """A rule of any kind, to cite it."""
        return self._get(rule_id, Rule)

    def limit(self, rule_id: str) -> Limit:
        """A limit to compare with."""
        return self._get(rule_id, Limit)

    def constant(self, rule_id: str) -> Constant:
        """A single value."""
        return self._get(rule_id, Constant)

    def coefficients(self, rule_id: str) -> Coefficients:
        """Named values that belong together."""
        return self._get(rule_id, Coefficients)

    def table(self, rule_id: str) -> Table:
        """A table of values."""
        return self._get(rule_id, Table)

    def bands(self, rule_id: str) -> Bands:
        """Labelled ranges."""
        return self._get(rule_id, Bands)

    def text(self, rule_id: str) -> str:
        """The words of a caution or a piece of advice."""
        return str(self._get(rule_id, Rule).data["text"])

    def steps(self, rule_id: str) -> list[str]:
        """The steps of a procedure, in order."""
        return [str(step) for step in self._get(rule_id, Rule).data["steps"]]
