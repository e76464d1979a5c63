"""Every way to be wrong is a 4xx problem that says where and what to send; none is a 500."""

from __future__ import annotations

import json
from typing import Any

import pytest
from flask.testing import FlaskClient

from millphase.questions.base import registry
from millphase.web.body import BATCH_LIMIT, DEPTH, LIMIT

NAME = next(iter(registry()))
PATH = f"/v1/{NAME}"
EXAMPLE = dict(registry()[NAME].example)


def text(**changes: Any) -> bytes:
    return json.dumps({**EXAMPLE, **changes}).encode()


def with_raw(name: str, raw: str) -> bytes:
    """The example with one member put in as written, whatever it is."""
    return text()[:-1] + f', "{name}": {raw}}}'.encode()


MALFORMED = {
    "nothing": (b"", ""),
    "only space": (b" \n\t ", ""),
    "not JSON": (b"rated_voltage: 400 V", ""),
    "a comma too many": (b'{"a": 1,}', ""),
    "two values": (b"{} {}", ""),
    "not UTF-8": (b'{"a": "\xff"}', ""),
    "UTF-16": ('{"a": 1}'.encode("utf-16"), ""),
    "byte order mark": (b"\xef\xbb\xbf{}", ""),
    "half a surrogate pair": (with_raw("note", '"\\ud800"'), "/note"),
    "half a surrogate pair in a name": (b'{"\\udfff": 1}', "/?"),
    "NaN": (with_raw("note", "NaN"), "/note"),
    "infinity": (with_raw("note", "-Infinity"), "/note"),
    "1e999": (with_raw("note", "1e999"), "/note"),
    "5,000 digits": (with_raw("note", "9" * 5000), "/note"),
    "5,000 digits negative": (with_raw("note", "-" + "9" * 5000), "/note"),
    "the same name twice": (b'{"a": {"b~/": 1, "b~/": 2}}', "/a/b~0~1"),
    "the same name twice, escaped": (b'{"a": 1, "\\u0061": 2}', "/a"),
    "100,000 opening brackets": (b"[" * 60_000, ""),
    "closed deep nesting": (b"[" * 20_000 + b"]" * 20_000, ""),
    "deep objects": (b'{"a":' * 5_000 + b"1" + b"}" * 5_000, ""),
    "one level too deep": (b'{"a":' * (DEPTH + 1) + b"1" + b"}" * (DEPTH + 1), "/a" * DEPTH),
    "a control character written raw": (b'{"a": "\x00"}', ""),
}


@pytest.mark.parametrize("case", MALFORMED)
def test_malformed_json(http: FlaskClient, case: str) -> None:
    body, pointer = MALFORMED[case]
    response = http.post(PATH, data=body, content_type="application/json")
    assert response.status_code == 400
    problem = response.get_json()
    assert response.mimetype == "application/problem+json"
    assert problem["type"] == "/problems/malformed-json"
    # How deep the reader goes before it gives up differs between Pythons; what it then says is checked either way.
    assert {pointer, "/a" * DEPTH} & {fault["pointer"] for fault in problem["errors"]}
    assert all("end" in fault["message"] or "leave" in fault["message"] for fault in problem["errors"]), (
        "says what to do"
    )


FORM = {
    "a list": (b"[]", ""),
    "a string": (b'"400 V"', ""),
    "null": (b"null", ""),
    "unknown field": (text(voltage_rated="400 V"), "/voltage_rated"),
    "NUL in a name": (with_raw("a\\u0000b", "1"), "/a\x00b"),
    "an integer no double holds exactly": (with_raw("note", "12345678901234567890"), "/note"),
    "a rule set that is no name": (text(rule_set="latest"), "/rule_set"),
    "NUL in text": (with_raw("rule_set", '"workshop@1.0.0\\u0000"'), "/rule_set"),
    "null for a value": (text(rule_set=None), "/rule_set"),
    "a number for text": (text(rule_set=1), "/rule_set"),
    "a word not in the list": (text(wiring_rules="my-own"), "/wiring_rules"),
}


@pytest.mark.parametrize("case", FORM)
def test_another_form_than_the_published_one(http: FlaskClient, case: str) -> None:
    body, pointer = FORM[case]
    response = http.post(PATH, data=body, content_type="application/json")
    assert response.status_code == 422
    problem = response.get_json()
    assert problem["type"] == "/problems/invalid-request"
    assert pointer in [fault["pointer"] for fault in problem["errors"]]


def test_all_faults_at_once(http: FlaskClient) -> None:
    response = http.post(PATH, json={**EXAMPLE, "one": 1, "two": 2, "wiring_rules": 3})
    assert {fault["pointer"] for fault in response.get_json()["errors"]} >= {"/one", "/two", "/wiring_rules"}


def test_a_rule_set_that_is_not_loaded(http: FlaskClient) -> None:
    response = http.post(PATH, json={**EXAMPLE, "rule_set": "workshop@999.0.0"})
    assert response.status_code == 404
    assert response.get_json()["type"] == "/problems/unknown-rule-set"
    assert response.get_json()["errors"][0]["pointer"] == "/rule_set"


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 415),
        ({"Content-Type": "text/plain"}, 415),
        ({"Content-Type": "application/x-www-form-urlencoded"}, 415),
        ({"Content-Type": "application/vnd.api+json"}, 415),
        ({"Content-Type": "application/json; charset=latin-1"}, 415),
        ({"Content-Type": "application/json; profile=x"}, 415),
        ({"Content-Type": "application/json", "Content-Encoding": "gzip"}, 415),
        ({"Content-Type": "application/json; charset=UTF-8"}, 200),
        ({"Content-Type": "Application/JSON"}, 200),
    ],
)
def test_media_types(http: FlaskClient, headers: dict[str, str], status: int) -> None:
    response = http.post(PATH, data=text(), headers=headers)
    assert response.status_code == status
    if status == 415:
        assert response.get_json()["type"] == "/problems/unsupported-media-type"
        assert response.headers["Accept"] == "application/json"


SIZES = {f"/v1/{name}": question.largest_body for name, question in registry().items()}


@pytest.mark.parametrize(
    ("path", "limit"), [*SIZES.items(), ("/v1/assessments", max(SIZES.values())), ("/v1/batch", BATCH_LIMIT)]
)
def test_size_at_the_limit_and_above(http: FlaskClient, path: str, limit: int) -> None:
    fits = http.post(path, data=b'{"a":1}'.ljust(limit), content_type="application/json")
    assert fits.status_code == 422, "read, and refused for its form only"
    over = http.post(path, data=b'{"a":1}'.ljust(limit + 1), content_type="application/json")
    assert over.status_code == 413
    assert f"{limit // 1024} KiB" in over.get_json()["detail"]


def test_a_body_without_a_length(http: FlaskClient) -> None:
    import io

    stream = io.BytesIO(b'{"a":1}'.ljust(LIMIT + 1))
    response = http.post(
        PATH,
        input_stream=stream,
        content_type="application/json",
        headers={"Transfer-Encoding": "chunked"},
        environ_overrides={"wsgi.input_terminated": True},
    )
    assert response.status_code == 413


TREND = dict(registry()["insulation-trend"].example)


def a_thousand(reading: Any) -> bytes:
    return json.dumps({**TREND, "readings": [reading] * 1000}).encode()


HOSTILE = {
    "a thousand empty readings": ("/v1/insulation-trend", a_thousand({})),
    "a thousand readings in the wrong unit": (
        "/v1/insulation-trend",
        a_thousand({**TREND["readings"][0], "resistance": "5 V"}),
    ),
    "a thousand readings with unknown fields": (
        "/v1/insulation-trend",
        a_thousand({**TREND["readings"][0], "x": 1, "y": 2}),
    ),
    "a thousand readings that are none": ("/v1/insulation-trend", a_thousand(0)),
    **{name: (PATH, body) for name, (body, _) in (MALFORMED | FORM).items()},
    "a megabyte": (PATH, b"x" * 1_000_000),
    "a megabyte to the batch": ("/v1/batch", b"x" * 1_000_000),
    "a megabyte of zeros in a list": ("/v1/batch", b'{"items":[' + b"0," * 500_000 + b"0]}"),
    "a megabyte of empty lists": ("/v1/batch", b'{"items":[' + b"[]," * 340_000 + b"0]}"),
    "100,000 brackets to the batch": ("/v1/batch", b"[" * 100_000),
    "one string of a megabyte": ("/v1/batch", b'{"items":["' + b"\\ud800" * 170_000 + b'"]}'),
    "ten thousand unknown fields": (PATH, json.dumps({f"f{n}": 0 for n in range(5_500)}).encode()),
    "a long list": (PATH, with_raw("readings", "[" + ",".join(["0"] * 30_000) + "]")),
    "many nulls": (PATH, with_raw("readings", "[" + ",".join(["null"] * 100) + "]")),
    "a power tower": (PATH, text(rated_voltage="9**9**9 V")),
    "a power tower in ohm": (PATH, text(rated_voltage="9**9**9 ohm")),
    "a long number": (PATH, text(rated_voltage="1" * 60_000 + " V")),
    "parentheses": (PATH, text(rated_voltage="(" * 60_000)),
    "no number": (PATH, text(rated_voltage="nan V")),
    "an infinite number": (PATH, text(rated_voltage="1e999 V")),
}


@pytest.mark.parametrize("case", HOSTILE)
def test_a_hostile_body_is_refused_and_the_refusal_is_short(http: FlaskClient, case: str) -> None:
    path, body = HOSTILE[case]
    response = http.post(path, data=body, content_type="application/json")
    assert 400 <= response.status_code < 500
    assert response.mimetype == "application/problem+json"
    assert len(response.data) < 100_000
