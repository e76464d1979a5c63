"""Health of the rules that ship: used, cited, in order, in the trade's words. Values are checked elsewhere, against sources."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from fnmatch import fnmatchcase
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

import millphase.questions
from millphase import units
from millphase.quantity import Quantity
from millphase.questions.base import registry
from millphase.rulebook import Rulebook, check, workshop
from millphase.rulebook.audit import released_faults
from millphase.rulebook.model import to_quantity
from millphase.rulebook.places import data_root
from millphase.rulebook_cli import question_faults

RULE_ID = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*/[a-z0-9]+(?:-[a-z0-9]+)*\Z")
SERVICE = Path(millphase.questions.__file__).parents[1]


@pytest.fixture
def rules() -> dict[str, Any]:
    return {rule_id: rule.data for rule_id, rule in workshop().rules.items()}


@pytest.fixture(scope="module")
def patterns() -> set[str]:
    return {pattern for question in registry().values() for pattern in question.rules}


def _texts(rules: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """Everything in a rule that a person reads."""
    for rule_id, data in rules.items():
        words = [data["title"], data.get("text", ""), data.get("note", ""), *data.get("steps", ())]
        words += [band["label"] for band in data.get("bands", ())]
        words += [cell for row in data.get("rows", ()) for cell in row if isinstance(cell, str)]
        words += [cite["locator"] for cite in _cites(data)]
        for text in words:
            yield rule_id, text


def _cites(data: dict[str, Any]) -> list[dict[str, str]]:
    return [data["cite"], *(entry["cite"] for entry in data.get("cell_cites", ()))]


def _program_texts(*parts: str) -> set[str]:
    """Every text constant in the program; parts of an f-string stand with * for what is filled in."""
    found: set[str] = set()
    for part in parts:
        for path in (SERVICE / part).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                if isinstance(node, ast.JoinedStr):
                    found.add("".join(v.value if isinstance(v, ast.Constant) else "*" for v in node.values))
                elif isinstance(node, ast.Constant) and isinstance(node.value, str):
                    found.add(node.value)
    return found


def test_every_rule_may_be_asked_for_by_some_question(rules: dict[str, Any], patterns: set[str]) -> None:
    assert [rule for rule in rules if not any(fnmatchcase(rule, pattern) for pattern in patterns)] == []


def test_every_pattern_of_a_question_finds_a_rule(rules: dict[str, Any], patterns: set[str]) -> None:
    assert [pattern for pattern in sorted(patterns) if not any(fnmatchcase(rule, pattern) for rule in rules)] == []


def test_no_rule_is_an_orphan(rules: dict[str, Any]) -> None:
    """A rule that nothing names is dead weight, and a limit nobody applies is worse: it looks as if somebody did."""
    named = {text for text in _program_texts("questions", "reports") if "/" in text and len(text) < 80}
    named |= {str(cell) for data in rules.values() for row in data.get("rows", ()) for cell in row}
    assert [rule for rule in rules if not any(fnmatchcase(rule, name) for name in named if name.strip("*/"))] == []


def test_every_id_that_the_program_names_exists(rules: dict[str, Any]) -> None:
    topics = {rule.partition("/")[0] for rule in rules}
    named = {
        text
        for text in _program_texts("questions", "reports")
        if RULE_ID.match(text) and text.partition("/")[0] in topics
    }
    assert sorted(named - set(rules)) == []


def test_cautions_named_in_the_contract_exist(rules: dict[str, Any]) -> None:
    assert {
        f"caution/{name}" for name in (
            "isolate-and-lock-off", "dc-link-wait", "never-test-through-a-drive", "discharge-after-test", "never-defeat-rcd",
            "never-lift-earth", "local-code-and-licensed-practice", "no-switching-behind-drive",
        )
    } <= set(rules)  # fmt: skip


def test_every_rule_passes_the_checks_that_files_pass(rules: dict[str, Any]) -> None:
    """Also on the loaded set, which a mutation run changes without touching a file."""
    faults = [
        str(fault)
        for rule_id, data in rules.items()
        for fault in (
            check.schema_faults("rule", data, {}, f"{rule_id}.yaml")
            or check.rule_faults(data, {}, f"{rule_id}.yaml", workshop().sources)
        )
    ]
    assert faults == []


def test_every_source_is_cited(rules: dict[str, Any]) -> None:
    assert check.set_faults(rules, workshop().sources) == []


def test_additions_fit_the_questions() -> None:
    assert question_faults(workshop().pack) == []


def test_released_packs_are_whole() -> None:
    assert [str(fault) for fault in released_faults(data_root("rules"))] == []


def test_nothing_is_read_without_where(rules: dict[str, Any]) -> None:
    sources = workshop().sources
    for rule_id, data in rules.items():
        for cite in _cites(data):
            if cite["checked"] == "memory":
                continue
            read = cite.get("through", cite["source"])
            assert cite["seen_on"] >= "2026-01-01", rule_id
            record = sources[read]
            where = record.get("url") or record.get("note") or re.search(r"\bcop(?:y|ies) on\b", record["publisher"])
            assert where or record["kind"] in ("handbook", "practice"), (rule_id, read)


def test_a_locator_says_where(rules: dict[str, Any]) -> None:
    """A hyphen says nothing; only common practice and plain physics have no place in a text."""
    for rule_id, data in rules.items():
        for cite in _cites(data):
            assert cite["locator"] != "-" or cite["basis"] in ("common-practice", "physics"), rule_id


def test_a_standard_that_was_read_has_an_edition(rules: dict[str, Any]) -> None:
    """Whoever has read a standard knows which edition; a page that restates it often does not say."""
    for rule_id, data in rules.items():
        for cite in _cites(data):
            record = workshop().sources[cite["source"]]
            if record["kind"] in ("standard", "law") and cite["checked"] == "read":
                assert record.get("edition") or record.get("issued"), (rule_id, cite["source"])


def test_no_publisher_stands_in_a_rule(rules: dict[str, Any]) -> None:
    """Makers are named in source records only; standards bodies' names belong to their standards' numbers."""
    sources = workshop().sources.values()
    names = {record["publisher"] for record in sources if record["kind"] in ("maker", "page", "trade-body")}
    words = {
        word for name in names for word in re.findall(r"[A-Za-z][A-Za-z-]{3,}", name)
        if word[0].isupper() and word.lower() not in COMMON_WORDS
    }  # fmt: skip
    texts = [*_texts(rules), *((source, record["title"]) for source, record in workshop().sources.items())]
    found = [(where, word) for where, text in texts for word in words if re.search(rf"\b{re.escape(word)}\b", text)]
    assert found == []


# Words that publishers' names share with the trade's own language.
COMMON_WORDS = {
    "electric", "electrical", "motor", "motors", "drives", "drive", "group", "company", "institute", "association", "standards",
    "engineering", "national", "international", "commission", "committee", "technical", "machine", "machines", "tools", "tool",
    "cable", "cables", "safety", "service", "services", "university", "wiring", "power", "control", "controls", "automation",
    "industrial", "industries", "instruments", "test", "testing", "copper", "development", "council", "trust", "publications",
    "magazine", "journal", "book", "books", "press", "manufacturers", "equipment", "systems", "technology", "technologies",
    "society", "federation", "government", "ministry", "department", "office", "british", "german", "european", "american",
    "state", "standard", "health", "executive", "belt", "belts", "transmission", "mechanical", "engineers",
    "rotor", "mark", "zone", "direct", "carrier", "nema", "network", "code", "information", "engineer", "contractors", "contractor", "accessories", "shop", "supply", "components", "filter", "filters", "world",
    "guide", "online", "limited", "public", "various", "authors", "wikipedia", "common", "practice", "none", "unknown", "union",
    "products", "product", "distribution", "energy", "apparatus", "heating", "center", "centre", "semiconductor",
    "semiconductors", "devices", "first", "fire", "protection", "bureau", "weights", "measures", "institution", "meteorological",
    "with", "from", "maker", "makers", "reprint", "home", "fixings", "fastener", "fasteners", "gears", "gear", "bearing",
    "bearings", "steel", "metal", "data", "sheet", "sheets", "handbook", "machinery", "repair", "installation", "installations",
    "page", "pages", "site", "trade", "free", "library", "archive", "reference", "tables", "table", "calculator", "insulation",
    "resistance", "regulations", "electricians", "electrician", "earthing", "residual", "current", "device", "north", "south",
    "rubber", "plastics", "pulley", "pulleys", "keys", "shaft", "school", "college", "open", "education", "learning",
}  # fmt: skip


def test_texts_are_written_for_people(rules: dict[str, Any]) -> None:
    for rule_id, text in _texts(rules):
        assert not re.search(r"https?://|TODO|FIXME|XXX|lorem", text), rule_id
        assert text == text.strip(), (rule_id, text)
        assert "  " not in text, (rule_id, text)
    for rule_id, data in rules.items():
        assert data["title"][0] == data["title"][0].upper() or not data["title"][0].isalpha(), rule_id
        assert not data["title"].endswith("."), rule_id


def test_no_two_rules_of_a_topic_have_one_title(rules: dict[str, Any]) -> None:
    """Only the parallel topics of the wiring rules share titles, rule by rule."""
    titles: dict[str, str] = {}
    for rule_id, data in rules.items():
        topic = "" if not rule_id.startswith("cable-") else rule_id.partition("/")[0]
        assert titles.setdefault(f"{topic} {data['title']}", rule_id) == rule_id, data["title"]


# ---- what physics asks of values, whatever a file says of itself

# As the first rises, the second may not fall (+1) or may not rise (-1).
PHYSICS = {
    ("area", "current"): (1, "a thicker conductor carries no less"),
    ("area", "resistance-per-length"): (-1, "a thicker conductor has no more resistance"),
    ("area", "voltage-drop-coefficient"): (-1, "a thicker conductor drops no more"),
    ("power", "current"): (1, "a stronger motor draws no less"),
    ("power", "torque"): (1, "a stronger motor turns no less"),
}


def _series(rule: Any, by: str, of: str) -> Iterator[list[tuple[float, float]]]:
    """Values of one column against another, one series for each combination of the other key columns."""
    names = [column["name"] for column in rule["columns"]]
    others = [name for name in rule["key"] if name != by]
    groups: dict[tuple[Any, ...], list[tuple[float, float]]] = {}
    for row in rule["rows"]:
        cells = dict(zip(names, row, strict=True))
        if cells[by] is not None and cells[of] is not None:
            groups.setdefault(tuple(cells[name] for name in others), []).append((cells[by], cells[of]))
    for group in groups.values():
        yield sorted(group)


def test_tables_run_as_physics_says(rules: dict[str, Any]) -> None:
    for rule_id, rule in rules.items():
        if rule["kind"] != "table":
            continue
        columns = {column["name"]: column.get("dimension") for column in rule["columns"]}
        for by in rule["key"]:
            for of, dimension in columns.items():
                way, why = PHYSICS.get((str(columns[by]), str(dimension)), (0, ""))
                if not way or of in rule["key"]:
                    continue
                for series in _series(rule, by, of):
                    for (_, before), (after_by, after) in pairwise(series):
                        assert (after - before) * way >= 0, f"{rule_id}: {of} at {by} {after_by}: {why}"


def test_a_table_of_one_size_column_says_which_way_it_runs(rules: dict[str, Any]) -> None:
    """Where every series of a column does run one way, the file says so, and the loader holds it to that."""
    for rule_id, rule in rules.items():
        if rule["kind"] != "table":
            continue
        columns = {column["name"]: column.get("dimension") for column in rule["columns"]}
        said = {tuple(pair) for way in ("rising", "falling") for pair in rule.get(way, ())}
        for by in rule["key"]:
            for of, dimension in columns.items():
                if (str(columns[by]), str(dimension)) in PHYSICS and of not in rule["key"]:
                    assert (by, of) in said or len(rule["rows"]) < 3, (
                        f"{rule_id}: say rising or falling for [{by}, {of}]"
                    )


def test_reference_methods_name_tables_and_columns_that_are_there(rules: dict[str, Any]) -> None:
    for topic in ("cable-iec-60364", "cable-bs-7671", "cable-nfpa-70"):
        rule = rules[f"{topic}/reference-methods"]
        names = [column["name"] for column in rule["columns"]]
        for row in rule["rows"]:
            cells = dict(zip(names, row, strict=True))
            for loaded in ("two", "three"):
                table, column = cells.get(f"{loaded}_loaded", cells.get("capacity")), cells[f"{loaded}_column"]
                if table is None or column is None:
                    continue
                columns = {found["name"] for found in rules[f"{topic}/{table}"]["columns"]}
                assert column in columns, (topic, cells)
            for part in ("ambient", "grouping"):
                assert cells.get(part) is None or f"{topic}/{cells[part]}" in rules, (topic, cells)
            if cells.get("soil") is not None:
                assert cells["soil"] in {found["name"] for found in rules[f"{topic}/soil"]["columns"]}, (topic, cells)


def test_likelihoods_are_likelihoods(rules: dict[str, Any]) -> None:
    for rule_id, rule in rules.items():
        if rule_id.startswith("diagnosis/") and rule["kind"] == "table":
            shares = [index for index, column in enumerate(rule["columns"]) if column.get("unit") == "1"]
            for row in rule["rows"]:
                assert all(0 <= row[index] <= 1 for index in shares), (rule_id, row)


def _thread_diameter(name: str) -> float:
    """Diameter that the name of a thread or bolt states, in its own unit."""
    size = name.removeprefix("BSW ").removeprefix("UNC ").removesuffix(" in").partition("-")[0]
    if size.startswith("M"):
        return float(size[1:])
    top, _, bottom = size.partition("/")
    return float(top) / float(bottom or 1)


def test_bolts_are_as_thick_as_they_are_called(rules: dict[str, Any]) -> None:
    for rule_id, names in (
        ("frame/iec-foot", ("bolt", "bolt_diameter", "hole")),
        ("frame/nema-foot", ("bolt", "bolt_diameter", "hole")),
    ):
        columns = [column["name"] for column in rules[rule_id]["columns"]]
        for row in rules[rule_id]["rows"]:
            bolt, thick, hole = (row[columns.index(name)] for name in names)
            assert thick == _thread_diameter(bolt), (rule_id, row)
            assert thick < hole < 1.6 * thick, (rule_id, row)
    for rule_id in ("hub/set-screw", "hub/jacking"):
        columns = [column["name"] for column in rules[rule_id]["columns"]]
        name = "metric_screw" if "metric_screw" in columns else "thread"
        for row in rules[rule_id]["rows"]:
            assert row[columns.index("screw_diameter")] == _thread_diameter(row[columns.index(name)]), (rule_id, row)


def test_an_end_of_one_range_is_the_start_of_the_next(rules: dict[str, Any]) -> None:
    """Tables by range: over … up to and including …, without gap or overlap."""
    for rule_id, rule in rules.items():
        names = [column["name"] for column in rule.get("columns", ())]
        if rule["kind"] == "table" and {"over", "up_to"} <= set(names) and rule["key"] == ["up_to"]:
            over, up_to = names.index("over"), names.index("up_to")
            for before, after in pairwise(rule["rows"]):
                assert before[up_to] == after[over] < after[up_to], (rule_id, after)


def test_inch_sizes_are_what_their_names_say(rules: dict[str, Any]) -> None:
    for name, size in rules["fit/inch-sizes"]["rows"]:
        whole, _, part = name.removesuffix(" in").rpartition("-")
        top, _, bottom = part.partition("/")
        assert size == int(whole or 0) + int(top) / int(bottom or 1), name


def test_values_are_of_a_sane_size(rules: dict[str, Any]) -> None:
    """No zero, no sign slip, no thousandfold unit slip: what a workshop of 0.1 to 11 kW can meet at all."""
    for rule_id, data in rules.items():
        if data["kind"] in ("limit", "constant"):
            _sane(rule_id, to_quantity(data["value"], data["dimension"]))
        for value in data.get("values", {}).values():
            assert abs(to_quantity(value).si) < 1e12, rule_id


REACH = {
    "resistance": (1e-3, 1e11), "voltage": (1, 2e5), "current": (1e-6, 1e5), "power": (1, 1e6), "length": (1e-6, 1e4),
    "frequency": (1, 1e6), "rotational-frequency": (0.1, 1e3), "duration": (1e-7, 3e9), "temperature": (-60, 1100),
    "temperature-difference": (0.1, 500), "torque": (1e-3, 1e4), "capacitance": (1e-12, 1), "area": (1e-8, 1e-2),
}  # fmt: skip


def _sane(rule_id: str, quantity: Quantity) -> None:
    low, high = REACH.get(quantity.dimension, (-1e12, 1e12))
    assert low <= quantity.si <= high, f"{rule_id}: {quantity} is beyond what this program is about"


def test_units_match_dimensions(rules: dict[str, Any]) -> None:
    table = units.table()
    for rule_id, data in rules.items():
        for column in data.get("columns", ()):
            assert "dimension" not in column or column["unit"] in table[column["dimension"]], rule_id
        if "value" in data:
            assert to_quantity(data["value"], data["dimension"]).dimension == data["dimension"], rule_id


def test_the_set_is_one_and_the_same_whenever_it_is_loaded() -> None:
    book = workshop()
    assert Rulebook(book.pack).digest == book.digest
