"""An answer as a person reads it in a terminal: the outcome, what decided it, what to do, and the working."""

from __future__ import annotations

import os
import re
import shutil
import textwrap
from collections.abc import Iterator, Mapping
from typing import Any, TextIO

from millphase.quantity import number_text

_COLOURS = {"accept": "32", "caution": "33", "inconclusive": "36", "reject": "31"}
_MARKS = {"accept": "+", "caution": "~", "inconclusive": "?", "reject": "x"}
WIDTH = 96
_NARROWEST = 40
# A number stays on one line with its unit.
_NUMBER_AND_UNIT = re.compile(r"(?<=[0-9]) (?=[A-Za-z°%µΩ]{1,5}\b|%)")
# A bore is cut to the micrometre: four digits would print 28.021 mm as 28.02 mm.
_GAUGED = {"mm", "um", "in", "thou"}
# Finding texts may carry signs a plain terminal cannot show.
_PLAIN = str.maketrans({"−": "-", "×": "x", "√": "sqrt", "π": "pi", "°": "deg ", "²": "^2", "³": "^3", "·": ".", "≥": ">=", "≤": "<=", "→": "->", "–": "-", "—": "-", "’": "'", "“": '"', "”": '"', "…": "...", "Ω": "ohm", "µ": "u"})  # fmt: skip


class Terminal:
    """Writes to a stream, with colour only where a person looks at it."""

    def __init__(self, stream: TextIO) -> None:
        self.stream = stream
        self.colour = stream.isatty() and not os.environ.get("NO_COLOR")
        encoding = (getattr(stream, "encoding", None) or "utf-8").lower()
        self.plain = "utf" not in encoding
        self.width = WIDTH
        if stream.isatty():
            self.width = max(_NARROWEST, min(WIDTH, shutil.get_terminal_size((WIDTH, 24)).columns))

    def line(self, text: str = "") -> None:
        """One line; signs are spelt in ASCII where the terminal cannot show them."""
        if self.plain:
            text = text.translate(_PLAIN).encode("ascii", "replace").decode("ascii")
        self.stream.write(text.rstrip() + "\n")

    def lines(self, texts: Iterator[str]) -> None:
        """Several lines."""
        for text in texts:
            self.line(text)

    def tint(self, outcome: str, text: str) -> str:
        """`text` in the colour of an outcome."""
        return f"\x1b[1;{_COLOURS[outcome]}m{text}\x1b[0m" if self.colour else text

    def wrapped(self, text: str, first: str, rest: str | None = None) -> Iterator[str]:
        """`text` in lines of the terminal's width, with a first and a following indent."""
        following = first if rest is None else rest
        tied = _NUMBER_AND_UNIT.sub("\N{NO-BREAK SPACE}", text)
        lines = textwrap.wrap(tied, self.width, initial_indent=first, subsequent_indent=following)
        yield from (line.replace("\N{NO-BREAK SPACE}", " ") for line in lines or [first])

    def answer(self, answer: Mapping[str, Any], title: str, *, working: bool = False, brief: bool = False) -> None:
        """Print one answer."""
        outcome = answer["outcome"]
        word = outcome.upper()
        self.line(f"{title} {'.' * max(3, self.width - len(title) - len(word) - 2)} {self.tint(outcome, word)}")
        self.lines(self.wrapped(answer["summary"], "  "))
        self._parts(answer["values"])
        for finding in _deciding(answer["findings"]) if brief else answer["findings"]:
            mark = self.tint(finding["outcome"], _MARKS[finding["outcome"]]) if finding["decides"] else "i"
            self.lines(self._finding(finding, mark))
        self._assumed(answer["assumptions"])
        if not brief:
            self._rest(answer)
        if working:
            self.sheet(answer)

    def _parts(self, values: Mapping[str, Any]) -> None:
        """What each part of a changeover says, in one sentence."""
        for name, part in values.get("answers", {}).items():
            told = f"{name}: {part['outcome']}. {part['summary']}"
            first, *rest = self.wrapped(told, "    ", "      ")
            self.line(f"  {self.tint(part['outcome'], _MARKS[part['outcome']])} {first.strip()}")
            self.lines(iter(rest))

    def _rest(self, answer: Mapping[str, Any]) -> None:
        shown = {name: value for name, value in answer["values"].items() if _is_plain(value) and value != []}
        if shown:
            self.line("  values")
            width = max(map(len, shown))
            self.lines(f"    {name:<{width}}  {spelt(value)}" for name, value in shown.items())
        for name, value in answer["values"].items():
            if name == "checklist":
                self.numbered("  checklist", [f"{entry['do']}  ({entry['question']})" for entry in value])
            elif name not in shown and name != "answers" and value:
                self.line(f"  {name.replace('_', ' ')}")
                self.lines(self._listed(value))
        self.numbered("  next", answer["next_steps"])
        self.bulleted("  take care", answer["cautions"])
        book = answer["rule_set"]
        self.line(f"  rule set {book['name']}@{book['version']}  {book['digest'][:19]}")

    def _assumed(self, assumptions: list[Mapping[str, Any]]) -> None:
        if assumptions:
            self.line("  assumed, because it was not given")
            for entry in assumptions:
                self.lines(
                    self.wrapped(f"{entry['field']} = {entry['assumed']}   [{_source(entry)}]", "    ", "      ")
                )

    def numbered(self, heading: str, texts: list[str]) -> None:
        """A numbered list under a heading, if there is anything in it."""
        if texts:
            self.line(heading)
            for number, text in enumerate(texts, 1):
                self.lines(self.wrapped(text, f"   {number:>2}  ", "       "))

    def bulleted(self, heading: str, texts: list[str]) -> None:
        """A list of cautions under a heading, if there is anything in it."""
        if texts:
            self.line(heading)
            for text in texts:
                self.lines(self.wrapped(text, "    !  ", "       "))

    def sheet(self, answer: Mapping[str, Any]) -> None:
        """The calculation sheet: every step with formula, substitution and result."""
        self.line("  calculation sheet")
        for number, step in enumerate(answer["working"], 1):
            rule = f"   [{step['rule']}]" if "rule" in step else ""
            self.lines(self.wrapped(f"{step['what']}{rule}", f"   {number:>2}  ", "       "))
            left = step["formula"].split("=", 1)
            self.lines(self.wrapped(step["formula"], "         ", "           "))
            indent = " " * (len(left[0].rstrip()) + 1) if len(left) == 2 else ""
            self.lines(self.wrapped(f"{indent}= {step['with']}", "         ", "           "))
            self.line(f"         {indent}= {spelt(step['gives'], 7)}")

    def _finding(self, finding: Mapping[str, Any], mark: str) -> Iterator[str]:
        numbers = ""
        if "measured" in finding:
            numbers = spelt(finding["measured"])
            if "limit" in finding:
                numbers += f" against {spelt(finding['limit'])}"
            numbers += ": "
        elif "limit" in finding:
            numbers = f"limit {spelt(finding['limit'])}: "
        text = next(lines := self.wrapped(f"{numbers}{finding['because']}", "    ", "      "))
        yield f"  {mark} {text.strip()}"
        yield from lines
        yield from self.wrapped(f"[{_source(finding)}]", "      ")

    def _listed(self, value: Any) -> Iterator[str]:
        if isinstance(value, Mapping):
            for name, part in value.items():
                yield from self.wrapped(f"{name}: {spelt(part) if _is_plain(part) else part}", "    - ", "      ")
            return
        for item in value:
            if isinstance(item, Mapping):
                parts = "; ".join(
                    f"{name} {spelt(part)}" for name, part in item.items() if _is_plain(part) and part != []
                )
                yield from self.wrapped(parts, "    - ", "      ")
            else:
                yield from self.wrapped(spelt(item), "    - ", "      ")


def _deciding(findings: list[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """The findings that decide, of each rule only the one with the least room."""
    tightest: dict[tuple[str, str], Mapping[str, Any]] = {}
    for finding in findings:
        key = (finding["rule"], finding["outcome"])
        margin = finding.get("margin", 0.0)
        if finding["decides"] and (key not in tightest or margin < tightest[key].get("margin", 0.0)):
            tightest[key] = finding
    return list(tightest.values())


def _source(entry: Mapping[str, Any]) -> str:
    source = entry["source"]
    place = "" if source["locator"] == "-" else f", {source['locator']}"
    return f"{entry['rule']}: {source['title']}{place}; {source['basis']}, checked: {source['checked']}"


def spelt(value: Any, digits: int = 4) -> str:
    """A value as a person writes it."""
    if isinstance(value, Mapping):
        if value["unit"] in _GAUGED:
            digits = max(digits, 6)
        unit = {"degC": "°C", "1": ""}.get(value["unit"], value["unit"])
        return f"{number_text(value['value'], digits)} {unit}".strip()
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return number_text(value, digits)
    if isinstance(value, list):
        return ", ".join(map(spelt, value))
    return str(value)


def _is_plain(value: Any) -> bool:
    if isinstance(value, list):
        return all(isinstance(item, str) and len(item) < 24 for item in value)
    return not isinstance(value, Mapping) or set(value) == {"value", "unit"}
