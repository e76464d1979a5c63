"""What the reading pages show of a rule set: topics, rules with value, source, status and history, and a search."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from itertools import pairwise
from typing import Any

from millphase.questions.base import Question
from millphase.rulebook import Rule, Rulebook
from millphase.rulebook.difference import differences

CHECKED = {
    "read": "the cited text itself was read",
    "secondary": "a page that restates it was read",
    "memory": "quoted from memory, not read",
}
SENSES = {"at-least": "at least", "at-most": "at most"}
CHANGES = {"tighten": "Tightened", "loosen": "Loosened", "add": "Added", "withdraw": "Withdrawn"}
ABBREVIATIONS = {"bs", "dc", "iec", "nfpa", "rcd"}
NOT_TABULATED = "–"


@dataclass(frozen=True)
class Topic:
    """A topic and its rules."""

    name: str
    rules: Sequence[Rule]

    @property
    def title(self) -> str:
        """The topic as a heading."""
        return heading(self.name)


@dataclass(frozen=True)
class Citation:
    """Where a value comes from, for a reader; `mark` points at the cells it holds for, if not all."""

    source: str
    title: str
    locator: str
    basis: str
    checked: str
    seen_on: str
    through: str
    through_title: str
    mark: str = ""

    @property
    def how_far(self) -> str:
        """How far the value was checked, in words."""
        return CHECKED[self.checked]


@dataclass(frozen=True)
class Cell:
    """One cell of a table: text, whether it is a number, and the mark of its own citation."""

    text: str
    number: bool
    mark: str = ""


@dataclass(frozen=True)
class Entry:
    """One rule as a page shows it."""

    rule: Rule
    status: str
    in_force: bool
    amount: str = ""
    columns: Sequence[str] = ()
    rows: Sequence[Sequence[Cell]] = ()
    citations: Sequence[Citation] = ()
    history: Sequence[tuple[str, str]] = ()
    questions: Sequence[Question] = field(default=())

    @property
    def anchor(self) -> str:
        """Id of the rule's place on a page."""
        return self.rule.id.replace("/", "-")


def heading(topic: str) -> str:
    """A topic's name as a heading: ``cable-bs-7671`` reads "Cable, BS 7671"."""
    words = [word.upper() if word in ABBREVIATIONS else word for word in topic.split("-")]
    first = words[0] if words[0].isupper() else words[0].capitalize()
    abbreviated = len(words) > 1 and words[1].isupper()
    return f"{first}{',' if abbreviated else ''} {' '.join(words[1:])}".strip()


def topics(book: Rulebook) -> list[Topic]:
    """Every topic with its rules, in order of name."""
    found: dict[str, list[Rule]] = {}
    for rule in sorted(book.rules.values(), key=lambda rule: rule.id):
        found.setdefault(rule.id.partition("/")[0], []).append(rule)
    return [Topic(name, rules) for name, rules in found.items()]


def search(book: Rulebook, words: str) -> list[Rule]:
    """Rules in which every one of `words` stands: in id, title, text, note, value, words of a table, or title of the source."""
    wanted = words.casefold().split()
    return [
        rule
        for rule in sorted(book.rules.values(), key=lambda rule: rule.id)
        if all(word in haystack for haystack in (_haystack(book, rule),) for word in wanted)
    ]


def _haystack(book: Rulebook, rule: Rule) -> str:
    data = rule.data
    parts = [rule.id, rule.title, data.get("text", ""), data.get("note", ""), str(data.get("value", ""))]
    parts += [*data.get("steps", ()), *(str(value) for value in data.get("values", ()))]
    parts += [column["name"].replace("_", " ") for column in data.get("columns", ())]
    parts += [cell for row in data.get("rows", ()) for cell in row if isinstance(cell, str)]
    parts += [band["label"] for band in data.get("bands", ())]
    parts.append(book.sources[data["cite"]["source"]]["title"])
    return "\n".join(parts).casefold()


def entry(book: Rulebook, rule: Rule, questions: Iterable[Question], versions: Sequence[Rulebook] = ()) -> Entry:
    """Everything a page shows of one rule.

    Parameters
    ----------
    book : Rulebook
        The set it stands in.
    rule : Rule
        The rule.
    questions : iterable of Question
        All questions; those that declare the rule are named.
    versions : sequence of Rulebook
        Versions of the set, oldest first, for the history.
    """
    data = rule.data
    note, withdrawn = data.get("changed"), data.get("withdrawn")
    status = f"Withdrawn: {withdrawn}" if withdrawn else "In force"
    if note:
        was = f" (it was {note['was']})" if "was" in note else ""
        status = f"{CHANGES[note['change']]} by {note['by']}{was}: {note['reason']}"
    marks = [chr(ord("a") + index) for index in range(len(data.get("cell_cites", ())))]
    cited = [_citation(book, data["cite"])]
    cited += [
        _citation(book, exception["cite"], mark)
        for mark, exception in zip(marks, data.get("cell_cites", ()), strict=True)
    ]
    columns, rows = _table(data, marks)
    history = [(str(item["version"]), _was(item)) for item in data.get("history", ())] + _history(rule.id, versions)
    used_by = [question for question in questions if any(fnmatchcase(rule.id, pattern) for pattern in question.rules)]
    return Entry(rule, status, not withdrawn, _amount(data), columns, rows, cited, history, used_by)


def _amount(data: Mapping[str, Any]) -> str:
    sense = f"{SENSES[data['sense']]} " if "sense" in data else ""
    return f"{sense}{data['value']}" if "value" in data else ""


def _was(item: Mapping[str, Any]) -> str:
    return f"{item['change']} (it was {item['was']})" if "was" in item else str(item["change"])


def _citation(book: Rulebook, cite: Mapping[str, str], mark: str = "") -> Citation:
    through = cite.get("through", "")
    return Citation(
        cite["source"], book.sources[cite["source"]]["title"], cite["locator"], cite["basis"].replace("-", " "),
        cite["checked"], cite.get("seen_on", ""), through, book.sources[through]["title"] if through else "", mark,
    )  # fmt: skip


def _table(data: Mapping[str, Any], marks: Sequence[str]) -> tuple[list[str], list[list[Cell]]]:
    """Headings and cells of a table, of bands and of named values alike."""
    if data["kind"] == "coefficients":
        return ["name", "value"], [
            [Cell(name, False), Cell(str(value), True)] for name, value in data["values"].items()
        ]
    if data["kind"] == "bands":
        unit = "" if data["unit"] == "1" else f" [{data['unit']}]"
        rows = [
            [
                Cell(str(band.get("from", NOT_TABULATED)), True),
                Cell(str(band.get("below", NOT_TABULATED)), True),
                Cell(band["label"], False),
            ]
            for band in data["bands"]
        ]
        return [f"from{unit}", f"below{unit}", "called"], rows
    if data["kind"] != "table":
        return [], []
    columns = data["columns"]
    names = [column["name"] for column in columns]
    headings = [
        column["name"].replace("_", " ") + (f" [{column['unit']}]" if column.get("unit", "1") != "1" else "")
        for column in columns
    ]
    rows = []
    for row in data["rows"]:
        raw = dict(zip(names, row, strict=True))
        rows.append(
            [
                Cell(
                    NOT_TABULATED if raw[name] is None else str(raw[name]),
                    "dimension" in column,
                    _mark(data, raw, name, marks),
                )
                for name, column in zip(names, columns, strict=True)
            ]
        )
    return headings, rows


def _mark(data: Mapping[str, Any], raw: Mapping[str, Any], column: str, marks: Sequence[str]) -> str:
    found = ""
    if column in data["key"] or raw[column] is None:
        return found
    for mark, exception in zip(marks, data.get("cell_cites", ()), strict=True):
        columns, rows = exception.get("columns", []), exception.get("rows", {})
        if (not columns or column in columns) and all(raw[name] in wanted for name, wanted in rows.items()):
            found = mark
    return found


def _history(rule_id: str, versions: Sequence[Rulebook]) -> list[tuple[str, str]]:
    """What each version of the set changed in one rule, computed from the versions themselves."""
    found = []
    for before, after in pairwise(versions):
        for difference in differences(_only(before, rule_id), _only(after, rule_id)):
            found.append((after.version, difference.words))
    return found


def _only(book: Rulebook, rule_id: str) -> dict[str, Any]:
    rule = book.rules.get(rule_id)
    return {"rules": {rule_id: rule.data} if rule else {}, "sources": {}}
