"""A rule set ready for use: look-ups by kind, with a version and a digest that every answer repeats."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from fnmatch import fnmatchcase
from functools import cached_property
from typing import Any, TypeVar

import rfc8785

from millphase.rulebook.model import Bands, Coefficients, Constant, Limit, Rule, Table

KINDS: dict[str, type[Rule]] = {
    "limit": Limit, "constant": Constant, "coefficients": Coefficients, "table": Table, "bands": Bands, "text": Rule,
    "steps": Rule,
}  # fmt: skip
AnyRule = TypeVar("AnyRule", bound=Rule)


class RuleWithdrawn(LookupError):
    """A question asked for a rule that this rule set has withdrawn."""

    def __init__(self, rule: str, reason: str) -> None:
        super().__init__(f"rule {rule} is withdrawn: {reason}")
        self.rule, self.reason = rule, reason


def digest_of(pack: Mapping[str, Any]) -> str:
    """``sha256:`` of the RFC 8785 form of a compiled rule set."""
    return "sha256:" + hashlib.sha256(rfc8785.dumps(dict(pack))).hexdigest()


class Rulebook:
    """One loaded rule set.

    Parameters
    ----------
    pack : mapping
        The compiled set: ``schema``, ``name``, ``version``, ``title``, ``licence``, ``sources`` and ``rules``.
    """

    def __init__(self, pack: Mapping[str, Any]) -> None:
        self.pack = pack
        self.name: str = pack["name"]
        self.version: str = pack["version"]
        self.sources: Mapping[str, Mapping[str, str]] = pack["sources"]
        self.rules: dict[str, Rule] = {
            rule_id: KINDS[data["kind"]](data, self.sources) for rule_id, data in pack["rules"].items()
        }

    @cached_property
    def digest(self) -> str:
        """Identity of the content, wherever and however it is stored."""
        return digest_of(self.pack)

    @property
    def identity(self) -> dict[str, str]:
        """Name, version and digest as an answer shows them."""
        return {"name": self.name, "version": self.version, "digest": self.digest}

    def view(self, patterns: Iterable[str]) -> View:
        """The rules one question may ask for; asking for another is a fault of the program."""
        return View(self, tuple(patterns))


class View:
    """A rule set as one question sees it, remembering which rules were asked for."""

    def __init__(self, book: Rulebook, patterns: tuple[str, ...]) -> None:
        self.book, self.patterns = book, patterns
        self.asked: dict[str, None] = {}

    @property
    def identity(self) -> dict[str, str]:
        """Name, version and digest of the set behind this view."""
        return self.book.identity

    def _get(self, rule_id: str, kind: type[AnyRule]) -> AnyRule:
        if not any(fnmatchcase(rule_id, pattern) for pattern in self.patterns):
            raise KeyError(f"the question does not declare rule {rule_id}")
        rule = self.book.rules.get(rule_id)
        if rule is None:
            raise KeyError(f"the rule set {self.book.name} has no rule {rule_id}")
        if "withdrawn" in rule.data:
            raise RuleWithdrawn(rule_id, rule.data["withdrawn"])
        if type(rule) is not kind and kind is not Rule:
            raise KeyError(f"rule {rule_id} is a {rule.kind}, not a {kind.__name__.lower()}")
        self.asked[rule_id] = None
        return rule  # type: ignore[return-value]

    def has(self, rule_id: str) -> bool:
        """Whether the set holds this rule in force."""
        rule = self.book.rules.get(rule_id)
        return rule is not None and "withdrawn" not in rule.data

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
