"""Versions of rule sets: three numbers, and what a step from one to the next promises."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

STEPS = ("none", "patch", "minor", "major")
"""Steps in rising order: wording only, new rules or values, an outcome that can change."""

NAME = r"[a-z0-9]+(?:-[a-z0-9]+)*"
_NUMBER = r"(?:0|[1-9][0-9]{0,3})"
_IDENTITY = re.compile(rf"(?P<name>{NAME})@(?P<version>{_NUMBER}\.{_NUMBER}\.{_NUMBER})\Z")
_VERSION = re.compile(rf"{_NUMBER}\.{_NUMBER}\.{_NUMBER}\Z")


@dataclass(frozen=True, order=True, slots=True)
class Version:
    """A version ``major.minor.patch``; versions order by number, so 1.10.0 comes after 1.9.0."""

    major: int
    minor: int
    patch: int

    @classmethod
    def read(cls, text: str) -> Version:
        """Read ``"1.4.0"``.

        Raises
        ------
        ValueError
            The text is not three plain numbers.
        """
        if not _VERSION.match(text):
            raise ValueError(f"{text!r} is no version; write major.minor.patch, e.g. 1.4.0")
        return cls(*map(int, text.split(".")))

    def __str__(self) -> str:
        return f"{self.major}.{self.minor}.{self.patch}"

    def after(self, step: str) -> Version:
        """The version that follows this one by `step`."""
        return {
            "none": self,
            "patch": Version(self.major, self.minor, self.patch + 1),
            "minor": Version(self.major, self.minor + 1, 0),
            "major": Version(self.major + 1, 0, 0),
        }[step]


def newest(identities: Iterable[str], name: str) -> Version | None:
    """The highest version of the set `name` among identities ``name@version``, or None where it is not among them."""
    versions = [split_identity(identity) for identity in identities]
    return max((Version.read(version) for other, version in versions if other == name), default=None)


def split_identity(text: str) -> tuple[str, str]:
    """Name and version of ``name@version``.

    Raises
    ------
    ValueError
        The text has another form.
    """
    found = _IDENTITY.match(text)
    if not found:
        raise ValueError(f"{text!r} names no rule set; write name@version, e.g. workshop@1.0.0")
    return found["name"], found["version"]


def is_identity(text: str) -> bool:
    """Whether a text has the form ``name@version``."""
    return _IDENTITY.match(text) is not None
