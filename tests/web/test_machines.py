"""Workshops, machines and readings over HTTP: entered once, changed only as seen, withdrawn but not lost, judged when asked."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from millphase.settings import Settings, Tokens, new_token
from millphase.web import create_app, records_state
from millphase.web.problems import KINDS

NOBODY = "6f1f2a52-7c1e-4c3e-9d0a-2b8a5c9d1e77"
PLATE = {"name": "shaping machine", "rated_voltage": "400 V", "winding": "random-wound", "manufactured": 1987}


def reading(at: str, ohms: str = "85 Mohm", **more: Any) -> dict[str, Any]:
    """A complete insulation test of the whole winding."""
    item = {
        "between": "UVW-earth", "resistance": ohms, "test_voltage": "500 V", "instrument": "insulation-tester",
        "after": "60 s", "winding_temperature": "20 degC",
    }  # fmt: skip
    return {"at": at, "insulation": [item], "drive_disconnected": True, **more}


def days_ago(days: int) -> str:
    return f"{datetime.now(UTC) - timedelta(days=days):%Y-%m-%dT%H:%M:%SZ}"


@pytest.fixture
def workshop(http: FlaskClient) -> str:
    return str(http.post("/v1/workshops", json={"name": "Tansy Yard"}).get_json()["id"])


@pytest.fixture
def machine(http: FlaskClient, workshop: str) -> str:
    made = http.post("/v1/machines", json={**PLATE, "workshop": workshop})
    assert made.status_code == 201
    return f"/v1/machines/{made.get_json()['id']}"


def problem_of(response: TestResponse) -> str:
    problem = response.get_json()
    assert response.mimetype == "application/problem+json"
    assert problem["status"] == response.status_code == KINDS[problem["type"].removeprefix("/problems/")].status
    return str(problem["type"].removeprefix("/problems/"))


def test_a_machine_is_entered_read_changed_and_its_past_kept(http: FlaskClient, workshop: str) -> None:
    made = http.post("/v1/machines", json={**PLATE, "workshop": workshop})
    body = made.get_json()
    assert made.headers["Location"] == f"/v1/machines/{body['id']}"
    assert made.headers["ETag"] == '"1"'
    path = made.headers["Location"]
    assert http.get(path).data == made.data
    assert http.get(path, headers={"If-None-Match": '"1"'}).status_code == 304
    changed = http.put(path, json={**PLATE, "place": "north wall"}, headers={"If-Match": '"1"'})
    assert changed.status_code == 200
    assert changed.headers["ETag"] == '"2"'
    assert http.get(path).data == changed.data
    versions = http.get(f"{path}/versions").get_json()["items"]
    assert [(state["version"], state.get("place")) for state in versions] == [(2, "north wall"), (1, None)]
    assert [entry["id"] for entry in http.get("/v1/machines").get_json()["items"]] == [body["id"]]


@pytest.mark.parametrize("method", ["put", "delete"])
def test_no_change_without_the_version_it_is_meant_for(http: FlaskClient, machine: str, method: str) -> None:
    send = getattr(http, method)
    more = {"json": PLATE} if method == "put" else {}
    assert problem_of(send(machine, **more)) == "precondition-required"
    for tag in ('"2"', 'W/"1"', '"1', "", '"x"'):
        # RFC 9110, 13.1.1: If-Match compares strongly, so a weak tag never matches.
        assert problem_of(send(machine, **more, headers={"If-Match": tag})) == "changed-meanwhile", tag
    assert http.get(machine).headers["ETag"] == '"1"'
    assert send(machine, **more, headers={"If-Match": '"0", "1"'}).status_code in {200, 204}


def test_any_version_may_be_meant(http: FlaskClient, machine: str) -> None:
    # RFC 9110, 13.1.1: an asterisk stands for whatever is there.
    assert http.put(machine, json=PLATE, headers={"If-Match": "*"}).status_code == 200


def test_what_was_entered_by_mistake_is_deleted(http: FlaskClient, workshop: str, machine: str) -> None:
    held = http.delete(f"/v1/workshops/{workshop}", headers={"If-Match": '"1"'})
    assert problem_of(held) == "has-records"
    gone = http.delete(machine, headers={"If-Match": '"1"'})
    assert (gone.status_code, gone.data) == (204, b"")
    assert "Content-Type" not in gone.headers
    for method in (http.get, http.delete):
        assert problem_of(method(machine, headers={"If-Match": '"1"'})) == "not-found"
    assert http.delete(f"/v1/workshops/{workshop}", headers={"If-Match": '"1"'}).status_code == 204


def test_a_machine_with_readings_is_retired_not_deleted(http: FlaskClient, machine: str) -> None:
    kept = http.post(f"{machine}/readings", json=reading(days_ago(400))).get_json()
    assert problem_of(http.delete(machine, headers={"If-Match": '"1"'})) == "has-records"
    assert http.get(f"{machine}/status").get_json()["overdue"] is True
    retired = {**PLATE, "retired": {"at": "2026-11-01T00:00:00Z", "reason": "motor burnt out"}}
    assert http.put(machine, json=retired, headers={"If-Match": '"1"'}).status_code == 200
    assert [entry["id"] for entry in http.get(f"{machine}/readings").get_json()["items"]] == [kept["id"]]
    status = http.get(f"{machine}/status").get_json()
    assert status["retired"] is True
    assert status["attention"] is False
    assert not {"next_due", "overdue"} & status.keys()
    assert status["summary"].startswith("Out of use since 2026-11-01.")
    assert len(http.get("/v1/machines?retired=yes").get_json()["items"]) == 1
    assert http.get("/v1/machines?retired=no").get_json()["items"] == []


def test_a_workshop_is_changed_as_a_machine_is(http: FlaskClient, workshop: str) -> None:
    path = f"/v1/workshops/{workshop}"
    assert http.get(path, headers={"If-None-Match": '"1"'}).status_code == 304
    assert problem_of(http.put(path, json={"name": "x"})) == "precondition-required"
    changed = http.put(path, json={"name": "Tansy Yard", "note": "key at the house"}, headers={"If-Match": '"1"'})
    assert changed.get_json()["version"] == 2
    assert http.get("/v1/workshops").get_json()["items"] == [changed.get_json()]


def test_a_sensor_sends_one_number(http: FlaskClient, machine: str) -> None:
    before = datetime.now(UTC).replace(microsecond=0)
    sent = http.post(f"{machine}/readings", json={"winding_temperature": "31.5 degC"})
    assert sent.status_code == 201
    body = sent.get_json()
    assert before <= datetime.fromisoformat(body["at"]) <= datetime.now(UTC)
    assert body["winding_temperature"] == "31.5 degC"
    assert http.get(sent.headers["Location"]).data == sent.data
    assert http.get(machine).headers["ETag"] == '"1"', "the plate is not touched"


@pytest.mark.parametrize(("sent", "kept"), [
    ("2026-11-25T18:30:00Z", "2026-11-25T18:30:00Z"),
    ("2026-11-25T18:30:00.999999Z", "2026-11-25T18:30:00Z"),
    ("2026-11-25T01:30:00.5+02:00", "2026-11-24T23:30:00Z"),
    ("2024-02-29T23:59:59-05:00", "2024-03-01T04:59:59Z"),
])  # fmt: skip
def test_times_are_kept_in_utc(http: FlaskClient, machine: str, sent: str, kept: str) -> None:
    stored = http.post(f"{machine}/readings", json={"at": sent, "residual_current": "4 mA"})
    assert stored.get_json()["at"] == kept


def far_ahead() -> str:
    return f"{datetime.now(UTC) + timedelta(days=2):%Y-%m-%dT%H:%M:%SZ}"


CONTRADICTORY: dict[str, tuple[Any, str]] = {
    "a day that never was": (lambda: {"at": "2026-02-30T00:00:00Z", "residual_current": "4 mA"}, "/at"),
    "a time to come": (lambda: {"at": far_ahead(), "residual_current": "4 mA"}, "/at"),
    "a winding at 900 °C": (lambda: {"winding_temperature": "900 degC"}, "/winding_temperature"),
    "between windings that are joined": (
        lambda: {"links": "fitted", "insulation": [{"between": "U-V", "resistance": "2 ohm"}]},
        "/insulation/0/between",
    ),
    "a multimeter that applies 500 V": (
        lambda: {"insulation": [{"between": "UVW-earth", "resistance": "2 Mohm", "instrument": "multimeter",
                                 "test_voltage": "500 V"}]},
        "/insulation/0/test_voltage",
    ),
    "ten minutes without one": (
        lambda: {"insulation": [{"between": "UVW-earth", "resistance": "2 Mohm", "after": "600 s"}]},
        "/insulation/0/after",
    ),
    "phases of a star": (
        lambda: {"winding_balance": {"connection": "star", "resistances": {"U": "7 ohm"}}},
        "/winding_balance/resistances",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CONTRADICTORY)
def test_readings_that_cannot_be_are_refused_with_their_place(http: FlaskClient, machine: str, case: str) -> None:
    make, pointer = CONTRADICTORY[case]
    alone = http.post(f"{machine}/readings", json=make())
    assert problem_of(alone) == "contradictory-input"
    assert [fault["pointer"] for fault in alone.get_json()["errors"]] == [pointer]
    many = http.post(f"{machine}/readings/import", json={"items": [reading(days_ago(1)), make()]})
    assert problem_of(many) == "contradictory-input"
    assert [fault["pointer"] for fault in many.get_json()["errors"]] == [f"/items/1{pointer}"]
    assert http.get(f"{machine}/readings").get_json() == {"items": []}


@pytest.mark.parametrize(("body", "pointer"), [
    ({}, ""), ({"note": "nothing"}, ""), ({"insulation": []}, "/insulation"), ({"at": "2026-11-25", "air": {}}, "/at"),
    ({"at": "2026-11-25 18:30:00Z", "residual_current": "1 mA"}, "/at"), ({"residual_current": 4}, "/residual_current"),
    ({"residual_current": "-1 mA"}, "/residual_current"), ({"winding_temprature": "20 degC"}, "/winding_temprature"),
    ({"insulation": [{"between": "UVW-earth"}]}, "/insulation/0/resistance"),
    ({"winding_balance": {"connection": "star"}}, "/winding_balance/resistances"),
])  # fmt: skip
def test_readings_of_another_form(http: FlaskClient, machine: str, body: dict[str, Any], pointer: str) -> None:
    response = http.post(f"{machine}/readings", json=body)
    assert problem_of(response) == "invalid-request"
    assert pointer in [fault["pointer"] for fault in response.get_json()["errors"]]


@pytest.mark.parametrize(("change", "pointer"), [
    ({"rated_voltage": None}, "/rated_voltage"), ({"rated_voltage": "400"}, "/rated_voltage"), ({"name": ""}, "/name"),
    ({"name": "a\u0000b"}, "/name"), ({"manufactured": 1700}, "/manufactured"), ({"leads": 5}, "/leads"),
    ({"nameplate": {"power": "2.2"}}, "/nameplate/power"), ({"workshop": "mine"}, "/workshop"),
    ({"retired": {"at": "2026-01-01T00:00:00Z"}}, "/retired/reason"), ({"colour": "grey"}, "/colour"),
])  # fmt: skip
def test_machines_of_another_form(http: FlaskClient, workshop: str, change: dict[str, Any], pointer: str) -> None:
    response = http.post("/v1/machines", json={**PLATE, "workshop": workshop, **change})
    assert problem_of(response) == "invalid-request"
    assert [fault["pointer"] for fault in response.get_json()["errors"]] == [pointer]


def test_a_plate_that_contradicts_the_record(http: FlaskClient, workshop: str, machine: str) -> None:
    two = {**PLATE, "thermal_class": "B", "nameplate": {"thermal_class": "F"}}
    for response in (http.post("/v1/machines", json={**two, "workshop": workshop}),
                     http.put(machine, json=two, headers={"If-Match": '"1"'})):  # fmt: skip
        assert problem_of(response) == "contradictory-input"
        assert response.get_json()["errors"][0]["pointer"] == "/thermal_class"


def test_an_import_is_stored_whole_and_once(http: FlaskClient, machine: str) -> None:
    items = [
        reading(f"2025-{number % 12 + 1:02d}-{number % 28 + 1:02d}T00:00:{number % 60:02d}Z") for number in range(1000)
    ]
    first = http.post(f"{machine}/readings/import", json={"items": items}, headers={"Idempotency-Key": "2025"})
    assert first.status_code == 201
    assert [entry["at"] for entry in first.get_json()["items"]] == [item["at"] for item in items]
    again = http.post(f"{machine}/readings/import", json={"items": items}, headers={"Idempotency-Key": "2025"})
    assert again.data == first.data
    assert again.headers["Idempotency-Replayed"] == "true"
    more = http.post(f"{machine}/readings/import", json={"items": [*items, items[0]]})
    assert problem_of(more) == "invalid-request"
    other = http.post(f"{machine}/readings/import", json={"items": items[:1]}, headers={"Idempotency-Key": "2025"})
    assert problem_of(other) == "idempotency-key-reused"
    # The same key and body for another address is another request.
    other = http.post(f"{machine}/readings", json=items[0], headers={"Idempotency-Key": "2025"})
    assert problem_of(other) == "idempotency-key-reused"
    assert http.get(f"{machine}/status").get_json()["tests"] == 1000
    trend = http.get(f"{machine}/trend").get_json()
    assert trend["used"] == 1000
    http.post(f"{machine}/readings", json=reading("2026-01-01T00:00:00Z"))
    assert http.get(f"{machine}/trend").get_json()["left_out"] == [{"because": "older", "readings": 1}]


def test_pages_of_readings(http: FlaskClient, machine: str) -> None:
    for month in (3, 1, 2):
        http.post(f"{machine}/readings", json=reading(f"2026-{month:02d}-01T00:00:00Z"))
    http.post(f"{machine}/readings", json={"at": "2026-02-15T00:00:00Z", "residual_current": "3 mA"})
    seen, address = [], f"{machine}/readings?limit=2"
    while address:
        response = http.get(address)
        seen += [entry["at"][5:10] for entry in response.get_json()["items"]]
        address = response.get_json().get("next", "")
        assert response.headers.get("Link", "") == (f'<{address}>; rel="next"' if address else "")
    assert seen == ["03-01", "02-15", "02-01", "01-01"]
    only = http.get(f"{machine}/readings?measured=residual_current").get_json()["items"]
    assert [entry["at"][5:10] for entry in only] == ["02-15"]
    for query in ("cursor=1", "measured=length", "limit=0", "cursor=20260101000000-0"):
        assert problem_of(http.get(f"{machine}/readings?{query}")) == "invalid-request"


def test_a_wrong_reading_is_withdrawn_and_counts_no_more(http: FlaskClient, machine: str) -> None:
    http.post(f"{machine}/readings", json=reading(days_ago(30)))
    wrong = http.post(f"{machine}/readings", json=reading(days_ago(1), "40 kohm"))
    path = wrong.headers["Location"]
    assert http.get(f"{machine}/status").get_json()["outcome"] == "reject"
    reason = {"reason": "leads were on the wrong motor"}
    assert problem_of(http.post(f"{path}/withdrawal", json=reason)) == "precondition-required"
    assert problem_of(http.post(f"{path}/withdrawal", json=reason, headers={"If-Match": '"2"'})) == "changed-meanwhile"
    assert problem_of(http.post(f"{path}/withdrawal", json={}, headers={"If-Match": '"1"'})) == "invalid-request"
    done = http.post(f"{path}/withdrawal", json=reason, headers={"If-Match": '"1"'})
    assert done.status_code == 200
    assert done.headers["ETag"] == '"2"'
    assert done.get_json()["withdrawn"]["reason"] == reason["reason"]
    assert http.get(path).data == done.data
    again = http.post(f"{path}/withdrawal", json=reason, headers={"If-Match": '"2"'})
    assert problem_of(again) == "already-withdrawn"
    listed = http.get(f"{machine}/readings").get_json()["items"]
    assert [("withdrawn" in entry) for entry in listed] == [True, False]
    status = http.get(f"{machine}/status").get_json()
    assert (status["outcome"], status["resistance"]) == ("accept", 85)


def test_status_is_flat_and_tells_when_it_changes(http: FlaskClient, machine: str) -> None:
    empty = http.get(f"{machine}/status")
    assert empty.get_json()["outcome"] == "inconclusive"
    assert empty.get_json()["attention"] is True
    http.post(f"{machine}/readings", json={"winding_temperature": "30 degC"})
    assert http.get(f"{machine}/status", headers={"If-None-Match": empty.headers["ETag"]}).status_code == 304
    http.post(f"{machine}/readings", json=reading(days_ago(3)))
    told = http.get(f"{machine}/status", headers={"If-None-Match": empty.headers["ETag"]})
    assert told.status_code == 200
    status = told.get_json()
    assert not [name for name, value in status.items() if value is None or isinstance(value, dict | list)]
    # 85 Mohm at 20 °C is a quarter at 40 °C by halving each 10 K; IEEE 43-2013 asks 5 Mohm of a random-wound stator.
    assert (status["resistance"], status["resistance_at_40c"], status["minimum_at_40c"]) == (85, 21.25, 5)
    assert (status["unit"], status["age_days"], status["direction"]) == ("Mohm", 3, "too-few-readings")
    assert status["next_due"] == f"{datetime.now(UTC) - timedelta(days=3) + timedelta(days=365):%Y-%m-%d}"
    assert http.get(f"{machine}/status").data == told.data
    changed = http.put(machine, json={**PLATE, "stands_idle": True}, headers={"If-Match": '"1"'})
    assert changed.status_code == 200
    idle = http.get(f"{machine}/status", headers={"If-None-Match": told.headers["ETag"]}).get_json()
    assert idle["due_by_rule"] == "insulation/retest-idle"


def test_an_unchanged_status_is_not_worked_out_again(
    http: FlaskClient, machine: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    http.post(f"{machine}/readings", json=reading(days_ago(3)))
    first = http.get(f"{machine}/status")

    def fails(*_: object) -> None:
        raise AssertionError("worked out again")

    monkeypatch.setattr(records_state, "_status", fails)
    assert http.get(f"{machine}/status").data == first.data
    assert http.get(f"{machine}/status", headers={"If-None-Match": first.headers["ETag"]}).status_code == 304


def test_only_the_last_statuses_are_kept() -> None:
    kept, made = records_state.Kept(2), []

    def make(key: str) -> bytes:
        made.append(key)
        return key.encode()

    for key in ("a", "b", "a", "c", "a", "b"):
        assert kept.get(key, lambda key=key: make(key)) == key.encode()
    assert made == ["a", "b", "c", "b"]


def test_trend_over_what_can_be_compared(http: FlaskClient, machine: str) -> None:
    # Resistance that halves in a year: ln 2 / 365 = 0.19 % a day.
    items = [
        reading(f"2025-{month:02d}-01T08:00:00Z", f"{200 * 0.5 ** ((month - 1) / 12):.1f} Mohm")
        for month in range(1, 13)
    ]
    items.append({"at": "2025-07-20T08:00:00Z", "insulation": [{"between": "U-earth", "resistance": "300 Mohm"}]})
    assert http.post(f"{machine}/readings/import", json={"items": items}).status_code == 201
    found = http.get(f"{machine}/trend").get_json()
    assert (found["used"], found["left_out"]) == (12, [{"because": "not-the-whole-winding", "readings": 1}])
    assert found["answer"]["question"] == "insulation-trend"
    assert found["answer"]["values"]["direction"] == "worsening"
    assert found["answer"]["values"]["halving_time"]["value"] == pytest.approx(365, rel=0.02)


def test_stored_readings_are_judged_as_if_they_had_been_asked(http: FlaskClient, machine: str) -> None:
    """Keeping records changes no answer: the questions, asked by hand with the same readings, say the same."""
    air = {"temperature": "18 degC", "relative_humidity": "60 %"}
    ohms = {f"2026-{month:02d}-01T08:00:00Z": f"{300 - 20 * month} Mohm" for month in range(1, 11)}
    items = [reading(at, read, air=air) for at, read in ohms.items()]
    assert http.post(f"{machine}/readings/import", json={"items": items}).status_code == 201
    plate = {"rated_voltage": "400 V", "winding": "random-wound", "manufactured": 1987}
    how = {"instrument": "insulation-tester", "test_voltage": "500 V", "drive_disconnected": True}
    asked = [{"at": at, "resistance": read, "winding_temperature": "20 degC", "air": air} for at, read in ohms.items()]
    by_hand = http.post("/v1/insulation-trend", json={**plate, **how, "readings": asked}).get_json()
    assert http.get(f"{machine}/trend").get_json()["answer"] == by_hand
    latest = {**plate, "drive_disconnected": True, "air": air, "readings": items[-1]["insulation"]}
    accepted = http.post("/v1/insulation-acceptance", json=latest).get_json()
    status = http.get(f"{machine}/status").get_json()
    assert status["resistance_at_40c"] == accepted["values"]["resistance_at_40c"]["value"]
    assert status["minimum_at_40c"] == by_hand["values"]["minimum_at_40c"]["value"]
    order = ["accept", "caution", "inconclusive", "reject"]
    assert status["outcome"] == max(accepted["outcome"], by_hand["outcome"], key=order.index)


def test_the_report_prints_everything_and_runs_nothing(http: FlaskClient, machine: str) -> None:
    empty = http.get(f"{machine}/report")
    assert empty.status_code == 200
    assert "None are stored" in empty.text
    http.post(f"{machine}/readings", json=reading(days_ago(2), note="<script>alert(1)</script>"))
    gone = http.post(f"{machine}/readings", json=reading(days_ago(1), "1 Mohm"))
    withdrawal = {"reason": "wrong <b>motor</b>"}
    http.post(f"{gone.headers['Location']}/withdrawal", json=withdrawal, headers={"If-Match": '"1"'})
    asked = {"question": "winding-balance", "machine": machine.rpartition("/")[2],
             "request": {"connection": "star", "resistances": {"U-V": "7 ohm", "V-W": "7 ohm", "W-U": "7 ohm"}}}  # fmt: skip
    assert http.post("/v1/assessments", json=asked).status_code == 201
    page = http.get(f"{machine}/report")
    assert page.mimetype == "text/html"
    assert page.headers["Content-Security-Policy"].startswith("default-src 'none'")
    for words in ("Tansy Yard", "shaping machine", "1987", "85 Mohm", "<svg", "winding-balance", "Withdrawn", "Measured by",
                  "&lt;script&gt;", "&lt;b&gt;", "@media print", "Take care", "lock it off"):  # fmt: skip
        assert words in page.text, words
    assert "<script" not in page.text
    assert http.get(f"{machine}/report", headers={"If-None-Match": page.headers["ETag"]}).status_code == 304


def test_an_assessment_may_name_its_machine(http: FlaskClient, machine: str) -> None:
    identity = machine.rpartition("/")[2]
    asked = {"question": "winding-balance", "request": {"connection": "star", "resistances": {"U-V": "7 ohm"}}}
    named = http.post("/v1/assessments", json={**asked, "machine": identity})
    assert named.get_json()["machine"] == identity
    assert "machine" not in http.post("/v1/assessments", json=asked).get_json()
    listed = http.get(f"/v1/assessments?machine={identity}").get_json()["items"]
    assert [(entry["id"], entry["machine"]) for entry in listed] == [(named.get_json()["id"], identity)]
    assert problem_of(http.delete(machine, headers={"If-Match": '"1"'})) == "has-records"
    for wrong, kind in ((NOBODY, "not-found"), ("x", "invalid-request"), (7, "invalid-request")):
        refused = http.post("/v1/assessments", json={**asked, "machine": wrong})
        assert problem_of(refused) == kind
        assert refused.get_json()["errors"][0]["pointer"] == "/machine"


def test_nothing_at_addresses_of_nobody(http: FlaskClient, workshop: str) -> None:
    made = http.post("/v1/machines", json={**PLATE, "workshop": NOBODY})
    assert problem_of(made) == "not-found"
    assert made.get_json()["errors"][0]["pointer"] == "/workshop"
    for part in ("", "/readings", "/trend", "/status", "/report", "/versions"):
        for identity in (NOBODY, "none", "%00", "é"):
            assert problem_of(http.get(f"/v1/machines/{identity}{part}")) == "not-found"
    for path in (f"/v1/machines/{NOBODY}/readings", f"/v1/machines/{NOBODY}/readings/import",
                 f"/v1/readings/{NOBODY}/withdrawal"):  # fmt: skip
        assert problem_of(http.post(path, json={"winding_temperature": "20 degC"})) == "not-found"


def test_methods_that_are_there_are_named(http: FlaskClient, machine: str) -> None:
    for path, allowed in ((machine, {"GET", "PUT", "DELETE"}), (f"{machine}/readings", {"GET", "POST"}),
                          (f"{machine}/readings/import", {"POST"}), (f"{machine}/status", {"GET"})):  # fmt: skip
        response = http.patch(path)
        assert problem_of(response) == "method-not-allowed"
        assert allowed <= {word.strip() for word in response.headers["Allow"].split(",")}


class Guarded:
    """A service with a token that opens everything, and one for each of two workshops."""

    def __init__(self, folder: Path) -> None:
        settings = Settings(database=folder / "records.sqlite3")
        local = create_app(settings).test_client()
        self.workshops = [local.post("/v1/workshops", json={"name": name}).get_json()["id"] for name in ("a", "b")]
        made = [new_token("keeper"), *(new_token(f"shop-{n}", self.workshops[n]) for n in (0, 1))]
        (folder / "tokens").write_text("\n".join(line for _, line in made), "utf-8")
        tokens = Tokens.load(folder / "tokens")
        self.http = create_app(Settings(database=settings.database, tokens=tokens)).test_client()
        self.keeper, *self.bound = [{"Authorization": f"Bearer {token}"} for token, _ in made]


@pytest.fixture
def guarded(tmp_path: Path) -> Guarded:
    return Guarded(tmp_path)


def test_a_token_of_a_workshop_sees_nothing_of_another(guarded: Guarded) -> None:
    http, (mine, theirs) = guarded.http, guarded.bound
    made = http.post("/v1/machines", json={**PLATE, "workshop": guarded.workshops[1]}, headers=theirs)
    path = made.headers["Location"]
    sent = http.post(f"{path}/readings", json=reading(days_ago(1)), headers=theirs)
    stored = http.post(
        "/v1/assessments", headers=theirs, json={"question": "winding-balance", "machine": made.get_json()["id"],
        "request": {"connection": "star", "resistances": {"U-V": "7 ohm"}}},
    )  # fmt: skip
    versioned = {**mine, "If-Match": '"1"'}
    attempts = [
        *(
            http.get(f"{path}{part}", headers=mine)
            for part in ("", "/readings", "/trend", "/status", "/report", "/versions")
        ),
        http.get(f"/v1/workshops/{guarded.workshops[1]}", headers=mine),
        http.get(sent.headers["Location"], headers=mine),
        http.get(stored.headers["Location"], headers=mine),
        http.get(f"{stored.headers['Location']}/judged-again", headers=mine),
        http.put(path, json=PLATE, headers=versioned),
        http.put(path, json=PLATE, headers=mine),
        http.delete(path, headers=versioned),
        http.put(f"/v1/workshops/{guarded.workshops[1]}", json={"name": "x"}, headers=versioned),
        http.delete(f"/v1/workshops/{guarded.workshops[1]}", headers=versioned),
        http.post(f"{path}/readings", json=reading(days_ago(1)), headers=mine),
        http.post(f"{sent.headers['Location']}/withdrawal", json={"reason": "no reason"}, headers=versioned),
        http.post("/v1/machines", json={**PLATE, "workshop": guarded.workshops[1]}, headers=mine),
    ]
    for response in attempts:
        assert problem_of(response) == "not-found", response.request.path
    # Word for word what a record that never was gets, so that nothing is given away.
    never = http.get(f"/v1/machines/{NOBODY}", headers=mine).get_json()
    assert {**attempts[0].get_json(), "instance": ""} == {**never, "instance": ""}
    for path in ("/v1/machines", f"/v1/machines?workshop={guarded.workshops[1]}", "/v1/assessments"):
        assert http.get(path, headers=mine).get_json() == {"items": []}
    assert [entry["name"] for entry in http.get("/v1/workshops", headers=mine).get_json()["items"]] == ["a"]


def test_only_a_token_without_a_workshop_makes_one(guarded: Guarded) -> None:
    refused = guarded.http.post("/v1/workshops", json={"name": "c"}, headers=guarded.bound[0])
    assert problem_of(refused) == "token-of-one-workshop"
    assert guarded.http.post("/v1/workshops", json={"name": "c"}, headers=guarded.keeper).status_code == 201
    assert len(guarded.http.get("/v1/workshops", headers=guarded.keeper).get_json()["items"]) == 3
    assert problem_of(guarded.http.get("/v1/machines")) == "token-required"


def test_an_assessment_without_a_machine_belongs_to_the_workshop_of_its_token(guarded: Guarded) -> None:
    asked = {"question": "winding-balance", "request": {"connection": "star", "resistances": {"U-V": "7 ohm"}}}
    made = guarded.http.post("/v1/assessments", json=asked, headers=guarded.bound[0]).headers["Location"]
    assert guarded.http.get(made, headers=guarded.bound[0]).status_code == 200
    assert problem_of(guarded.http.get(made, headers=guarded.bound[1])) == "not-found"
    assert guarded.http.get(made, headers=guarded.keeper).status_code == 200


@pytest.mark.provokes_failure
def test_records_out_of_reach(tmp_path: Path) -> None:
    (tmp_path / "garbage").write_bytes(b"no database" * 1000)
    http = create_app(Settings(database=tmp_path / "garbage")).test_client()
    for response in (http.get("/v1/machines"), http.post("/v1/workshops", json={"name": "a"}),
                     http.get(f"/v1/machines/{NOBODY}/status")):  # fmt: skip
        assert problem_of(response) == "storage-unavailable"
        assert json.loads(response.data)["detail"]
