"""A strict reader for rule files: JSON's types, YAML's looks, no surprises.

Plain YAML readers turn ``12:30`` into 750, ``NO`` into false and keep the last of two equal keys. A limit that
someone acts on with a screwdriver in hand must not depend on such habits, so everything doubtful is refused
with file, line, key and what to write instead.
"""

from __future__ import annotations

import re
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

SIZE_LIMIT = 65_536
DEPTH_LIMIT = 8
_Base: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_QUOTED = (
    "'",
    '"',
    "|",
    ">",
)  # the C reader marks plain style with an empty text, the Python reader with None
_INTEGER = re.compile(r"-?(?:0|[1-9][0-9]*)\Z")
_FLOAT = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?\Z")
# Plain words that other YAML readers would turn into something else.
_DOUBTFUL = re.compile(
    r"(?:y|n|yes|no|on|off|True|False|TRUE|FALSE|Null|NULL|~|[+-]?\.(?:inf|nan)|0[0-9_]+|0[xob][0-9a-f_]+|[0-9][0-9_]*_[0-9_]*"
    r"|[0-9]+:[0-5]?[0-9](?::[0-5]?[0-9])?|[0-9]{4}-[0-9]{2}-[0-9]{2}.*|=|<<|\+[0-9.]+|\.[0-9]+|[0-9]+\.)\Z",
    re.IGNORECASE,
)


# Nothing that a reader cannot see: it would change what a terminal shows, or what a search finds.
_UNSEEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u00ad\u200b-\u200f\u2028-\u202e\u2060-\u206f\ud800-\udfff\ufeff\ufff9-\ufffb]"
)


def unseen(text: str) -> str | None:
    """What is wrong with a text that holds a control or invisible character; None for any other."""
    found = _UNSEEN.search(text)
    return f"holds a character that nobody can see (U+{ord(found[0]):04X})" if found else None


@dataclass(frozen=True, slots=True)
class RuleFault:
    """One fault in a rule file: where it is and what to do about it."""

    file: str
    line: int
    key: str
    message: str

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        return f"{place}: {self.key}: {self.message}" if self.key else f"{place}: {self.message}"


class RuleFaults(ValueError):
    """A rule set that must not be used; `faults` lists everything wrong with it."""

    def __init__(self, faults: list[RuleFault]) -> None:
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))


class _Refused(Exception):
    def __init__(self, node: Any, key: str, message: str) -> None:
        self.line, self.key, self.message = node.start_mark.line + 1, key, message


def _scalar(node: Any, key: str) -> Any:
    # Five hundred files say the same few words over and over; each is kept in memory once.
    text: str = sys.intern(node.value)
    odd = unseen(text)
    if odd:
        raise _Refused(node, key, f"{odd}; remove it")
    if node.style in _QUOTED:
        return text
    if text == "null":
        return None
    if text in ("true", "false"):
        return text == "true"
    if _INTEGER.match(text):
        if len(text) > 15:
            raise _Refused(node, key, "the number has more than 15 digits; write fewer")
        return int(text)
    if _FLOAT.match(text):
        number = float(text)
        if number in (float("inf"), float("-inf")):
            raise _Refused(node, key, "the number is out of range; write a finite number")
        return number
    if text == "" or _DOUBTFUL.match(text):
        raise _Refused(
            node,
            key,
            f"{text!r} can be read in two ways; quote text, write numbers as 0.5 and truth as true or false",
        )
    return text


def _build(node: Any, key: str, depth: int, lines: dict[str, int]) -> Any:
    if depth > DEPTH_LIMIT:
        raise _Refused(node, key, f"nested deeper than {DEPTH_LIMIT} levels; flatten it")
    lines[key] = node.start_mark.line + 1
    if isinstance(node, yaml.ScalarNode):
        return _scalar(node, key)
    if isinstance(node, yaml.SequenceNode):
        return [_build(item, f"{key}/{index}", depth + 1, lines) for index, item in enumerate(node.value)]
    found: dict[str, Any] = {}
    for key_node, value_node in node.value:
        if not isinstance(key_node, yaml.ScalarNode):
            raise _Refused(key_node, key, "a key must be plain text")
        name = sys.intern(key_node.value)
        if not isinstance(_scalar(key_node, f"{key}/{name}"), str):
            raise _Refused(key_node, key, f"{name!r} is not plain text; quote the key")
        if name in found:
            raise _Refused(key_node, f"{key}/{name}", f"the key {name!r} stands twice; keep one")
        found[name] = _build(value_node, f"{key}/{name}", depth + 1, lines)
    return found


def _refuse_extras(text: str) -> None:
    for token in yaml.scan(text, Loader=_Base):
        if isinstance(token, yaml.AnchorToken | yaml.AliasToken):
            raise _Refused(token, "", "anchors and aliases are not used in rule files; write the value out")
        if isinstance(token, yaml.TagToken | yaml.DirectiveToken):
            raise _Refused(token, "", "tags and directives are not used in rule files; remove it")


def read(path: Path, shown: str) -> tuple[Any, dict[str, int]]:
    """Read one file strictly.

    Returns
    -------
    tuple
        The data, and the line of every value by its JSON pointer.

    Raises
    ------
    RuleFaults
        With file, line and key of the first fault.
    """
    raw = path.read_bytes()
    if len(raw) > SIZE_LIMIT:
        raise RuleFaults([RuleFault(shown, 0, "", f"larger than {SIZE_LIMIT} bytes; split the rule")])
    lines: dict[str, int] = {}
    try:
        text = raw.decode("utf-8")
        if any(mark in text for mark in "&*!%"):
            _refuse_extras(text)
        loader = _Base(text)
        try:
            node = loader.get_single_node()
        finally:
            loader.dispose()
        if node is None:
            raise RuleFaults([RuleFault(shown, 1, "", "the file is empty; write one rule or remove the file")])
        return _build(node, "", 0, lines), lines
    except UnicodeDecodeError:
        raise RuleFaults([RuleFault(shown, 1, "", "not UTF-8 text; save the file as UTF-8")]) from None
    except _Refused as refused:
        raise RuleFaults([RuleFault(shown, refused.line, refused.key, refused.message)]) from None
    except yaml.MarkedYAMLError as error:
        line = error.problem_mark.line + 1 if error.problem_mark else 1
        if isinstance(error, yaml.composer.ComposerError):
            raise RuleFaults([RuleFault(shown, line, "", "a second document; one file holds a single rule")]) from None
        raise RuleFaults(
            [RuleFault(shown, line, "", f"not readable as YAML ({error.problem}); check the indentation")]
        ) from None
    except yaml.YAMLError:
        raise RuleFaults([RuleFault(shown, 1, "", "not readable as YAML; remove control characters")]) from None
