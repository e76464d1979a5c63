"""What the operator of a service decides: where the rules, the records and the tokens are."""

from __future__ import annotations

import hashlib
import hmac
import os
import re
import secrets
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

_TOKEN_LINE = re.compile(
    r"(?P<label>[a-z0-9][a-z0-9-]{0,62})\s+sha256:(?P<digest>[0-9a-f]{64})"
    r"(?:\s+workshop:(?P<workshop>[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}))?"
)


class SettingsError(ValueError):
    """The settings cannot be used; the message says what to change."""


@dataclass(frozen=True, slots=True)
class Tokens:
    """Bearer tokens as the service keeps them: a label and a SHA-256 digest each, never the token itself.

    A token is 256 random bits, so one round of SHA-256 is as strong as the token; a slow password hash would
    only slow down every request.

    Attributes
    ----------
    digests : mapping
        SHA-256 of each token, by label.
    workshops : mapping
        Id of the workshop that a token is bound to, by label; a token without one opens everything.
    """

    digests: Mapping[str, str] = field(default_factory=dict)
    workshops: Mapping[str, str] = field(default_factory=dict)

    def __bool__(self) -> bool:
        return bool(self.digests)

    @classmethod
    def load(cls, path: Path) -> Tokens:
        """Read a token file: one ``label sha256:<hex digits>`` a line, perhaps with ``workshop:<id>``; # begins a comment.

        Raises
        ------
        SettingsError
            The file cannot be read, or a line has another form.
        """
        try:
            lines = path.read_text("utf-8").splitlines()
        except (OSError, UnicodeDecodeError) as error:
            raise SettingsError(f"the token file {path} cannot be read: {error}") from None
        digests: dict[str, str] = {}
        workshops: dict[str, str] = {}
        for number, line in enumerate(lines, start=1):
            text = line.strip()
            if not text or text.startswith("#"):
                continue
            match = _TOKEN_LINE.fullmatch(text)
            if match is None or match["label"] in digests:
                raise SettingsError(
                    f"{path}, line {number}: write a label used once, a space, and sha256: with 64 hex digits,"
                    " then perhaps a space and workshop: with the id of a workshop"
                )
            digests[match["label"]] = match["digest"]
            if match["workshop"]:
                workshops[match["label"]] = match["workshop"]
        if not digests:
            raise SettingsError(f"the token file {path} holds no token: make one, or leave the setting out")
        return cls(digests, workshops)

    def label_of(self, token: str) -> str | None:
        """Return the label of `token`, or None; the time taken does not tell how much of it was right."""
        digest = digest_of(token)
        found = None
        for label, kept in self.digests.items():
            if hmac.compare_digest(digest, kept):
                found = label
        return found


def digest_of(token: str) -> str:
    """Return the hex digest that the service keeps of a token."""
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


def new_token(label: str, workshop: str | None = None) -> tuple[str, str]:
    """Return a fresh token, to give to its holder, and the line for the token file.

    Parameters
    ----------
    label : str
        Who holds it.
    workshop : str, optional
        Id of the one workshop that it opens; everything if absent.

    Raises
    ------
    SettingsError
        The label is not made of small letters, digits and hyphens, or the workshop is not an id.
    """
    token = secrets.token_urlsafe(32)
    line = f"{label} sha256:{digest_of(token)}"
    if _TOKEN_LINE.fullmatch(line) is None:
        raise SettingsError("a token's label is made of small letters, digits and hyphens, at most 63")
    if workshop is None:
        return token, line
    bound = f"{line} workshop:{workshop}"
    if _TOKEN_LINE.fullmatch(bound) is None:
        raise SettingsError("a workshop is named by its id, as /v1/workshops lists it")
    return token, bound


@dataclass(frozen=True, slots=True)
class Settings:
    """Settings of one service.

    Parameters
    ----------
    rules : Path, optional
        Directory of rules; the packaged ones if absent.
    packs : Path, optional
        Directory of rule sets fetched from elsewhere; the user's data directory if absent.
    rule_set : str, optional
        ``name@version`` of the rule set that answers; the base set if absent.
    database : Path, optional
        SQLite file of the records; made when the first record is stored.
    tokens : Tokens
        Tokens that open the records; without any, the records are open to callers on this machine.
    """

    rules: Path | None = None
    packs: Path | None = None
    rule_set: str | None = None
    database: Path = field(default_factory=lambda: default_database(os.environ))
    tokens: Tokens = field(default_factory=Tokens)

    @classmethod
    def from_environment(cls, environ: Mapping[str, str] = os.environ) -> Settings:
        """Read ``MILLPHASE_RULES``, ``MILLPHASE_PACKS``, ``MILLPHASE_DATABASE``, ``MILLPHASE_TOKENS`` (paths) and
        ``MILLPHASE_RULE_SET`` (``name@version``).

        Raises
        ------
        SettingsError
            The token file cannot be used.
        """
        rules = environ.get("MILLPHASE_RULES")
        packs = environ.get("MILLPHASE_PACKS")
        tokens = environ.get("MILLPHASE_TOKENS")
        return cls(
            rules=Path(rules) if rules else None,
            packs=Path(packs) if packs else None,
            rule_set=environ.get("MILLPHASE_RULE_SET") or None,
            database=default_database(environ),
            tokens=Tokens.load(Path(tokens)) if tokens else Tokens(),
        )


def default_database(environ: Mapping[str, str]) -> Path:
    """Return where the records are kept: ``MILLPHASE_DATABASE``, else the user's data directory."""
    named = environ.get("MILLPHASE_DATABASE")
    if named:
        return Path(named)
    data = environ.get("XDG_DATA_HOME")
    base = Path(data) if data and Path(data).is_absolute() else Path.home() / ".local" / "share"
    return base / "millphase" / "records.sqlite3"
