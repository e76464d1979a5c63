"""RFC 9457: every answer that is not a success is a problem; RFC 9110: 405 names the methods that are allowed."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from flask import Flask, abort
from flask.testing import FlaskClient

from millphase.questions.base import registry
from millphase.settings import Settings
from millphase.web import create_app
from millphase.web.problems import FAULTS_SHOWN, KINDS, Fault, Problem, from_http, pointer

NAME = next(iter(registry()))


def test_not_found(http: FlaskClient) -> None:
    for path in ("/", "/v1/", "/v1//questions", "/v1/no-such-question", "/v1/%00", "/v1/%ff", "/v1/rules/a/b/c"):
        response = http.get(path)
        assert response.status_code == 404, path
        assert response.get_json()["type"] == "/problems/not-found"
        assert response.mimetype == "application/problem+json"


def test_method_not_allowed_names_those_allowed(http: FlaskClient) -> None:
    response = http.put(f"/v1/{NAME}")
    assert response.status_code == 405
    assert "POST" in response.headers["Allow"]
    assert response.get_json()["type"] == "/problems/method-not-allowed"


@pytest.mark.parametrize("path", ["/v1/questions?a=1", "/v1/questions?a", f"/v1/rule-sets?{'a' * 100}", "/docs?x=1"])
def test_unknown_query_parameters(http: FlaskClient, path: str) -> None:
    response = http.get(path)
    assert response.status_code == 422
    assert "parameter" in response.get_json()["errors"][0]


@pytest.mark.parametrize("query", ["limit=0", "limit=101", "limit=%20 5", "limit=1_0", "limit=٣", "limit=5&limit=5",
                                   "cursor=-1", "cursor=x", "cursor=" + "9" * 30, "question=none", "limit="])  # fmt: skip
def test_query_parameters_of_another_form(http: FlaskClient, query: str) -> None:
    response = http.get(f"/v1/assessments?{query}")
    assert response.status_code == 422
    assert response.get_json()["errors"][0]["parameter"] in query


def test_long_query(http: FlaskClient) -> None:
    response = http.get("/v1/questions?" + "a" * 3000)
    assert response.status_code == 400
    assert response.get_json()["type"] == "/problems/address-too-long"


@pytest.mark.provokes_failure
def test_an_unforeseen_error_tells_nothing(app: Flask) -> None:
    @app.get("/fails")
    def fails() -> str:
        raise RuntimeError("secret of the inside")

    response = app.test_client().get("/fails")
    assert response.status_code == 500
    assert "secret" not in response.text
    assert response.get_json()["instance"] == response.headers["X-Request-Id"]


@pytest.mark.parametrize("code", [400, 401, 404, 405, 413, 414, 415, 418, 422, 429, 431, 500, 501, 503, 504])
def test_every_error_of_the_framework_is_a_problem(code: int) -> None:
    app = Flask(__name__)
    with app.test_request_context(), pytest.raises(Exception) as raised:  # noqa: PT011
        abort(code)
    problem = from_http(raised.value)
    assert problem.kind.status // 100 == code // 100


def test_pointer_follows_rfc_6901() -> None:
    # RFC 6901, section 5: the pointers of its own example document.
    assert pointer([]) == ""
    assert pointer(["foo", 0]) == "/foo/0"
    assert pointer([""]) == "/"
    assert pointer(["a/b"]) == "/a~1b"
    assert pointer(["m~n"]) == "/m~0n"
    assert pointer([" "]) == "/ "


def test_a_long_list_of_faults_is_cut() -> None:
    document = Problem("invalid-request", faults=[Fault("no", "/a")] * (FAULTS_SHOWN + 7)).document()
    assert len(document["errors"]) == FAULTS_SHOWN
    assert document["errors_not_shown"] == 7


def test_half_a_surrogate_can_be_answered() -> None:
    document = Problem("malformed-json", "\ud800", [Fault("no", "/\udfff")]).document()
    json.dumps(document, ensure_ascii=False).encode("utf-8")


def test_every_kind_has_a_page(http: FlaskClient) -> None:
    for slug, kind in KINDS.items():
        page = http.get(kind.type)
        assert page.status_code == 200
        assert page.mimetype == "text/html"
        assert kind.title in page.text.replace("&#39;", "'"), slug
    assert http.get("/problems/none").status_code == 404


def test_a_bad_host_header(tmp_path: Path) -> None:
    client = create_app(Settings(database=tmp_path / "r.sqlite3")).test_client()
    response = client.get("/v1/assessments", headers={"Host": "a b\x7f"})
    assert response.status_code in {400, 403}
    assert response.mimetype == "application/problem+json"
