"""The calculation sheet: comparisons, guard band, the worst finding, and that nothing undeclared gets out."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

import working
from millphase.answer import Contradiction, Outcome, Sheet
from millphase.physics.law import law
from millphase.quantity import Quantity
from millphase.rulebook import Rulebook
from millphase.rulebook.book import RuleWithdrawn

CITE = {"source": "book", "locator": "page 1", "basis": "handbook", "checked": "memory"}


def _book() -> Rulebook:
    def rule(rule_id: str, **data: Any) -> dict[str, Any]:
        return {"id": rule_id, "title": "A made-up rule", "cite": CITE, **data}

    rules = [
        rule("t/least", kind="limit", dimension="resistance", sense="at-least", value="5 Mohm"),
        rule("t/most", kind="limit", dimension="current", sense="at-most", value="9 mA"),
        rule("t/factor", kind="constant", dimension="ratio", value=0.8),
        rule("t/words", kind="text", text="Mind your fingers."),
        rule("t/steps", kind="steps", steps=["one", "two"]),
        rule("t/gone", kind="text", text="Old words here.", withdrawn="replaced"),
        rule("t/pair", kind="coefficients", values={"a": 17.62, "b": "243.12 degC"}),
        rule("t/bands", kind="bands", dimension="ratio", unit="1",
             bands=[{"below": 1.0, "label": "low"}, {"from": 1.0, "below": 2.0, "label": "middle"}, {"from": 2.0, "label": "high"}]),
        rule("t/table", kind="table", key=["size", "method"],
             columns=[{"name": "size", "dimension": "area", "unit": "mm2"}, {"name": "method", "choices": ["b", "c"]},
                      {"name": "capacity", "dimension": "current", "unit": "A"}, {"name": "remark", "text": True}],
             rows=[[1.5, "c", 19.5, "x"], [2.5, "c", 27, "y"], [4, "c", None, "z"], [2.5, "b", 24, "w"]],
             cell_cites=[{"rows": {"size": [2.5], "method": ["c"]}, "columns": ["capacity"], "cite": {**CITE, "checked": "secondary"}}]),
    ]  # fmt: skip
    pack = {
        "schema": 1, "name": "made-up", "version": "1.0.0", "title": "Made up", "licence": "none",
        "sources": {"book": {"title": "A book", "publisher": "Nobody", "kind": "handbook"}},
        "rules": {entry["id"]: entry for entry in rules},
    }  # fmt: skip
    return Rulebook(pack)


@pytest.fixture
def sheet() -> Sheet:
    return Sheet("q", _book().view(["t/*"]), {"x": None})


@pytest.mark.parametrize(
    ("reading", "accuracy", "outcome", "margin"),
    [
        (5.0, None, Outcome.ACCEPT, 0.0), (4.999, None, Outcome.REJECT, -0.0002), (15.0, None, Outcome.ACCEPT, 2.0),
        (5.3, 0.4, Outcome.CAUTION, 0.06), (5.4, 0.4, Outcome.ACCEPT, 0.08), (4.8, 0.4, Outcome.REJECT, -0.04),
    ],
)  # fmt: skip
def test_at_least_with_guard_band(
    sheet: Sheet, reading: float, accuracy: float | None, outcome: Outcome, margin: float
) -> None:
    limit = sheet.book.limit("t/least")
    width = None if accuracy is None else Quantity.of(accuracy, "Mohm")
    finding = sheet.compare(limit, Quantity.of(reading, "Mohm"), because="so", accuracy=width)
    assert finding.outcome is outcome
    assert finding.margin is not None
    assert math.isclose(finding.margin, margin, abs_tol=1e-9)
    assert sheet.outcome is outcome


@pytest.mark.parametrize(
    ("reading", "outcome"), [(9.0, Outcome.ACCEPT), (9.001, Outcome.CAUTION), (0.0, Outcome.ACCEPT)]
)
def test_at_most_softened(sheet: Sheet, reading: float, outcome: Outcome) -> None:
    finding = sheet.compare(
        sheet.book.limit("t/most"), Quantity.of(reading, "mA"), because="so", otherwise=Outcome.CAUTION
    )
    assert finding.outcome is outcome


@given(st.floats(0.1, 100), st.floats(0.1, 100), st.floats(0, 5))
def test_more_is_never_worse_for_at_least(a: float, b: float, width: float) -> None:
    low, high = sorted((a, b))
    made = Sheet("q", _book().view(["t/*"]))
    limit = made.book.limit("t/least")
    found = [
        made.compare(limit, Quantity.of(x, "Mohm"), because="so", accuracy=Quantity.of(width, "Mohm")).outcome
        for x in (low, high)
    ]
    assert found[1] <= found[0]


def test_the_worst_deciding_finding_is_the_outcome(sheet: Sheet) -> None:
    rule = sheet.book.rule("t/words")
    assert sheet.outcome is Outcome.INCONCLUSIVE
    sheet.find(Outcome.ACCEPT, rule, because="fine")
    sheet.find(Outcome.REJECT, rule, because="only told", decides=False)
    assert sheet.outcome is Outcome.ACCEPT
    sheet.find(Outcome.CAUTION, rule, because="hm")
    sheet.find(
        Outcome.INCONCLUSIVE, rule, because="not tested", measured=Quantity.of(1, "A"), limit=Quantity.of(2, "A")
    )
    assert sheet.answer("done").outcome is Outcome.INCONCLUSIVE


def test_working_is_printed_as_it_was_done(sheet: Sheet) -> None:
    @law("P = U²/R", U="voltage_v", R="resistance_ohm")
    def power(voltage_v: float, resistance_ohm: float) -> float:
        return voltage_v**2 / resistance_ohm

    sheet.step(
        "heat",
        power,
        unit="kW",
        rule=sheet.book.constant("t/factor"),
        U=Quantity.of(230, "V"),
        R=Quantity.of(10, "ohm"),
    )
    sheet.step("share", "s = I/B", unit="%", I=Quantity.of(10, "mA"), B=sheet.book.limit("t/most").value)
    sheet.looked_up("factor", sheet.book.constant("t/factor"))
    row = sheet.book.table("t/table").row(size=Quantity.of(2.5, "mm2"), method="c")
    assert row is not None
    sheet.looked_up("capacity", row["capacity"])
    sheet.procedure("hypotenuse", math.hypot, unit="m", result=5.0, x=Quantity.of(3, "m"), y=4.0)
    sheet.value("x", [{"a": Quantity.of(1, "V"), "b": 0.1 + 0.2}])
    sheet.assume("ambient", Quantity.of(20, "degC"), sheet.book.constant("t/factor"))
    sheet.caution("t/words", "t/words")
    sheet.next_step("measure", "measure")
    answer = sheet.answer("done")
    body = answer.as_json()
    assert [step["with"] for step in body["working"]] == [
        "(230 V)²/10 ohm", "10 mA/9 mA", "0.8", "27 A", "hypot(x = 3 m, y = 4)",
    ]  # fmt: skip
    assert body["working"][0]["gives"] == {"value": 5.29, "unit": "kW"}
    assert body["working"][1]["gives"]["value"] == pytest.approx(111.111, abs=1e-3)
    assert body["working"][3]["source"]["checked"] == "secondary"
    assert body["values"]["x"] == [{"a": {"value": 1.0, "unit": "V"}, "b": 0.3}]
    assert body["assumptions"][0]["assumed"] == "20 °C"
    assert body["cautions"] == ["Mind your fingers."]
    assert body["next_steps"] == ["measure"]
    assert body["rule_set"]["digest"].startswith("sha256:")
    assert answer.quantity("x") is None
    assert working.check({"working": body["working"][:4]}) == 4


def test_no_value_is_a_contradiction_not_a_crash(sheet: Sheet) -> None:
    with pytest.raises(Contradiction, match="no value"):
        sheet.step("ratio", "r = 1/a", unit="1", a=0.0)
    with pytest.raises(Contradiction, match="no finite value"):
        sheet.procedure("it", math.hypot, unit="1", result=math.inf, x=1.0)


def test_a_fault_of_the_program_is_loud(sheet: Sheet) -> None:
    with pytest.raises(KeyError, match="does not declare the value"):
        sheet.value("y", "z")
    with pytest.raises(KeyError, match="does not declare rule"):
        sheet.book.text("other/words")
    with pytest.raises(KeyError, match="has no rule"):
        sheet.book.text("t/none")
    with pytest.raises(KeyError, match="is a text, not a limit"):
        sheet.book.limit("t/words")
    with pytest.raises(KeyError, match="holds no quantity"):
        sheet.looked_up("x", sheet.book.table("t/table").rows(method="c")[2]["capacity"])
    with pytest.raises(RuleWithdrawn, match="replaced"):
        sheet.book.text("t/gone")


def test_look_ups(sheet: Sheet) -> None:
    table = sheet.book.table("t/table")
    two = Quantity.of(2, "mm2")
    above, below = table.row_at_or_above("size", two, method="c"), table.row_at_or_below("size", two, method="c")
    assert above is not None
    assert below is not None
    assert above.q("capacity").value == 27
    assert below.text("remark") == "x"
    assert above["remark"].cited.source["checked"] == "memory"
    assert above.cited.rule == "t/table"
    assert table.row_at_or_above("size", Quantity.of(5, "mm2")) is None
    assert table.row_at_or_below("size", Quantity.of(1, "mm2")) is None
    assert table.row(size=two) is None
    assert table.row(size="two") is None
    assert table.row(remark=two) is None
    with pytest.raises(KeyError, match="no quantity in capacity"):
        table.rows(method="c")[2].q("capacity")
    bands = sheet.book.bands("t/bands")
    assert [bands.of(Quantity.of(x, "1")) for x in (0.5, 1.0, 1.99, 2.0)] == ["low", "middle", "middle", "high"]
    assert sheet.book.coefficients("t/pair")["b"].si == 243.12
    assert sheet.book.steps("t/steps") == ["one", "two"]
    assert sheet.book.has("t/words")
    assert not sheet.book.has("t/gone")
    assert not sheet.book.has("t/none")
    assert list(sheet.book.asked) == ["t/table", "t/bands", "t/pair", "t/steps"]
