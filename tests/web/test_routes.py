"""What each address answers when all is well."""

from __future__ import annotations

import hashlib
import json
import re
import xml.etree.ElementTree as ET

import pytest
from flask import Flask
from flask.testing import FlaskClient

from millphase import __version__
from millphase.questions.base import registry
from millphase.web import drawings

NAME = next(iter(registry()))


@pytest.mark.parametrize("name", registry())
def test_every_question_answers_its_example(http: FlaskClient, name: str) -> None:
    question = registry()[name]
    first = http.post(f"/v1/{name}", json=dict(question.example))
    assert first.status_code == 200
    assert first.get_json()["question"] == name
    assert first.get_json()["rule_set"] == http.get("/v1/version").get_json()["rule_set"]
    again = http.post(f"/v1/{name}", json=dict(question.example))
    assert again.data == first.data, "same request, same rules, same bytes"


def test_questions_are_listed_in_working_order(http: FlaskClient) -> None:
    listed = http.get("/v1/questions").get_json()["questions"]
    assert [entry["name"] for entry in listed] == list(registry())
    assert all(entry["summary"] and entry["href"] == f"/v1/{entry['name']}" for entry in listed)


def test_a_pinned_rule_set_answers(http: FlaskClient) -> None:
    identity = http.get("/v1/version").get_json()["rule_set"]
    pin = f"{identity['name']}@{identity['version']}"
    answer = http.post(f"/v1/{NAME}", json={**registry()[NAME].example, "rule_set": pin})
    assert answer.status_code == 200
    assert answer.get_json()["rule_set"] == identity


def test_batch_keeps_order_and_one_bad_item_spoils_nothing(http: FlaskClient) -> None:
    good = {"question": NAME, "request": dict(registry()[NAME].example)}
    unknown_field = {"question": NAME, "request": {**registry()[NAME].example, "wrong": 1}}
    items = [good, unknown_field, {"question": "none", "request": {}}, {"question": NAME}, 7, {**good, "x": 1}, good]
    response = http.post("/v1/batch", json={"items": items})
    assert response.status_code == 200
    results = response.get_json()["results"]
    assert [result["status"] for result in results] == [200, 422, 404, 422, 422, 422, 200]
    assert results[0]["answer"] == results[6]["answer"] == http.post(f"/v1/{NAME}", json=good["request"]).get_json()
    assert results[1]["problem"]["errors"][0]["pointer"] == "/wrong"
    assert results[3]["problem"]["errors"][0]["pointer"] == "/request"


@pytest.mark.parametrize("body", [{}, {"items": []}, {"items": {}}, {"items": [1] * 1001}, {"items": [1], "more": 1}])
def test_a_batch_of_another_form(http: FlaskClient, body: object) -> None:
    assert http.post("/v1/batch", json=body).status_code == 422


def test_a_rule_set_can_be_checked_by_whoever_fetches_it(http: FlaskClient) -> None:
    listed = http.get("/v1/rule-sets").get_json()["rule_sets"]
    response = http.get(listed[0]["href"])
    digest = "sha256:" + hashlib.sha256(response.data).hexdigest()
    assert digest == listed[0]["digest"]
    assert response.headers["ETag"] == f'"{digest}"'
    # Files that nobody has released yet may still change under their version.
    assert response.headers["Cache-Control"] in ("public, max-age=31536000, immutable", "no-cache")
    unchanged = http.get(listed[0]["href"], headers={"If-None-Match": f'"{digest}"'})
    assert unchanged.status_code == 304
    assert unchanged.data == b""
    assert http.get("/v1/rule-sets/workshop/0.0.0").status_code == 404


def test_every_rule_and_source_of_the_set_can_be_read(http: FlaskClient) -> None:
    pack = http.get(http.get("/v1/rule-sets").get_json()["rule_sets"][0]["href"]).get_json()
    for rule in pack["rules"]:
        read = http.get(f"/v1/rules/{rule}").get_json()
        assert read["rule"] == pack["rules"][rule]
        assert read["sources"], rule
    for source in pack["sources"]:
        read = http.get(f"/v1/sources/{source}").get_json()
        assert read["source"] == {"id": source, **pack["sources"][source]}
        assert read["cited_by"], source
    assert http.get("/v1/rules/none/none").status_code == 404
    assert http.get("/v1/sources/none").status_code == 404


def test_links_lead_somewhere(http: FlaskClient) -> None:
    for name, link in http.get("/v1").get_json()["links"].items():
        # 405 for the batch, which is there and takes POST.
        assert http.get(link).status_code == (405 if name == "batch" else 200), link


def test_version_and_health(http: FlaskClient) -> None:
    told = http.get("/v1/version").get_json()
    assert told["version"] == __version__
    assert told["openapi"] == "sha256:" + hashlib.sha256(http.get("/v1/openapi.json").data).hexdigest()
    assert http.get("/healthz").get_json() == {"status": "ok"}


@pytest.mark.parametrize("path", ["/v1/openapi.json", "/docs", "/problems/not-found", "/v1/sources/common-practice"])
def test_entity_tags(http: FlaskClient, path: str) -> None:
    tag = http.get(path).headers["ETag"]
    assert re.fullmatch(r'"[^"]+"', tag), "strong"
    assert http.get(path, headers={"If-None-Match": tag}).status_code == 304
    assert http.get(path, headers={"If-None-Match": f'"other", W/{tag}'}).status_code == 304
    assert http.get(path, headers={"If-None-Match": "*"}).status_code == 304
    assert http.get(path, headers={"If-None-Match": '"other"'}).status_code == 200


def test_the_page_needs_no_script_and_names_every_question_and_field(http: FlaskClient) -> None:
    page = http.get("/docs")
    assert page.mimetype == "text/html"
    assert "<script" not in page.text
    assert "http://" not in page.text
    assert "https://" not in page.text, "loads nothing from elsewhere"
    for name, question in registry().items():
        assert f"POST /v1/{name}" in page.text
        for field in question.request._declared_fields:
            assert f"<code>{field}" in page.text
        for value in question.values:
            assert f"<code>{value}</code>" in page.text
    assert "</code></td><td></td>" not in page.text.partition('id="operations"')[2], "every operation says what it does"
    for link in re.findall(r'href="([^"#]+)', page.text):
        assert http.get(link).status_code == 200


@pytest.mark.parametrize("name", drawings.drawn())
def test_drawings(http: FlaskClient, name: str) -> None:
    path = f"/v1/drawings/{name}.svg"
    drawn = http.post(path, json=dict(registry()[name].example))
    assert drawn.status_code == 200
    assert drawn.mimetype == "image/svg+xml"
    assert ET.fromstring(drawn.text).tag == "{http://www.w3.org/2000/svg}svg"
    assert http.get(path).data == drawn.data
    assert http.post(path, json={"wrong": 1}).status_code == 422


def test_a_terminal_board_is_drawn_from_the_address(http: FlaskClient) -> None:
    drawn = http.get("/v1/drawings/terminal-board.svg?marking=din&connection=delta")
    assert drawn.status_code == 200
    assert drawn.mimetype == "image/svg+xml"
    assert "U with Z" in drawn.text
    assert "default-src 'none'" in drawn.headers["Content-Security-Policy"]


@pytest.mark.parametrize(
    ("query", "kind", "parameter"),
    [
        ("marking=din", "invalid-request", "connection"),
        ("connection=delta&marking=runes", "invalid-request", "marking"),
        ("connection=delta&colour=red", "invalid-request", "colour"),
        ("connection=delta&connection=star", "invalid-request", "connection"),
        ("connection=parallel-star&marking=iec", "contradictory-input", "connection"),
    ],
)
def test_a_board_that_cannot_be_drawn_says_which_parameter(
    http: FlaskClient, query: str, kind: str, parameter: str
) -> None:
    refused = http.get(f"/v1/drawings/terminal-board.svg?{query}")
    assert refused.status_code == 422
    assert refused.json is not None
    assert refused.json["type"].endswith(kind)
    assert [fault["parameter"] for fault in refused.json["errors"]] == [parameter]


def test_a_drawing_whose_rule_is_withdrawn(app: Flask, monkeypatch: pytest.MonkeyPatch) -> None:
    from millphase.rulebook.book import RuleWithdrawn
    from millphase.rulebook.model import Rule

    def draw(*_: object) -> str:
        raise RuleWithdrawn(Rule({"id": "a/b", "title": "Any", "kind": "text"}, {}), "superseded")

    name = next(iter(drawings.drawn()))
    monkeypatch.setattr("millphase.reports.drawings.of_question", lambda _: draw)
    response = app.test_client().get(f"/v1/drawings/{name}.svg")
    assert response.status_code == 404
    assert "superseded" in response.get_json()["detail"]


def test_every_answer_is_marked(http: FlaskClient) -> None:
    for path in ("/v1", "/nope", "/docs"):
        response = http.get(path)
        assert response.headers["X-Content-Type-Options"] == "nosniff"
        assert response.headers["X-Request-Id"].startswith("urn:uuid:")


def test_an_answer_that_is_no_number_is_a_fault_not_a_null(app: Flask) -> None:
    from millphase.web.replies import reply

    with pytest.raises(ValueError, match="JSON"):
        reply({"value": float("nan")})
    assert json.loads(reply({"value": "µ"}).data) == {"value": "µ"}
