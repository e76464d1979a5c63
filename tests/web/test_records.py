"""Stored assessments over HTTP: created once, read back as they were, listed a page at a time, closed to strangers."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from millphase.questions.base import registry
from millphase.settings import Settings, SettingsError, Tokens, digest_of, new_token
from millphase.web import create_app

NAME = next(iter(registry()))
BODY = {"question": NAME, "request": dict(registry()[NAME].example)}


def test_store_and_read_back(http: FlaskClient) -> None:
    stored = http.post("/v1/assessments", json=BODY)
    assert stored.status_code == 201
    body = stored.get_json()
    assert stored.headers["Location"] == f"/v1/assessments/{body['id']}"
    assert body["request"] == BODY["request"]
    assert body["answer"] == http.post(f"/v1/{NAME}", json=BODY["request"]).get_json()
    read = http.get(stored.headers["Location"])
    assert read.data == stored.data
    assert read.headers["ETag"] == stored.headers["ETag"] == '"1"'
    assert http.get(stored.headers["Location"], headers={"If-None-Match": '"1"'}).status_code == 304
    assert http.get("/v1/assessments/none").status_code == 404


def test_what_is_refused_is_not_stored(http: FlaskClient) -> None:
    for body in ({}, {"question": NAME}, {"question": "none", "request": {}}, {**BODY, "more": 1},
                 {"question": NAME, "request": {"wrong": 1}}, {"question": 1, "request": []}):  # fmt: skip
        assert http.post("/v1/assessments", json=body).status_code in {404, 422}
    assert http.get("/v1/assessments").get_json() == {"items": []}


def test_the_same_key_stores_once(http: FlaskClient) -> None:
    first = http.post("/v1/assessments", json=BODY, headers={"Idempotency-Key": "abc-1"})
    again = http.post("/v1/assessments", json=BODY, headers={"Idempotency-Key": '"abc-1"'})
    assert again.status_code == 201
    assert again.data == first.data
    assert again.headers["Idempotency-Replayed"] == "true"
    assert "Idempotency-Replayed" not in first.headers
    other = {**BODY, "request": {**BODY["request"], "wiring_rules": "bs-7671"}}
    refused = http.post("/v1/assessments", json=other, headers={"Idempotency-Key": "abc-1"})
    assert refused.status_code == 409
    assert refused.get_json()["type"] == "/problems/idempotency-key-reused"
    assert len(http.get("/v1/assessments").get_json()["items"]) == 1


@pytest.mark.parametrize("key", ["", '"', "a b", "ä", "x" * 65, '"a'])
def test_keys_of_another_form(http: FlaskClient, key: str) -> None:
    response = http.post("/v1/assessments", json=BODY, headers={"Idempotency-Key": key})
    assert response.status_code == 400
    assert response.get_json()["errors"][0]["parameter"] == "Idempotency-Key"


def test_pages(http: FlaskClient) -> None:
    made = [http.post("/v1/assessments", json=BODY).get_json()["id"] for _ in range(7)]
    seen, address = [], f"/v1/assessments?limit=3&question={NAME}"
    pages = 0
    while address:
        response = http.get(address)
        page = response.get_json()
        seen += [entry["id"] for entry in page["items"]]
        address = page.get("next", "")
        assert response.headers.get("Link", "") == (f'<{address}>; rel="next"' if address else "")
        pages += 1
        if pages == 1:
            # A record stored meanwhile must not shift the pages that follow.
            http.post("/v1/assessments", json=BODY)
    assert seen == made[::-1]
    assert pages == 3
    entry = http.get("/v1/assessments?limit=1").get_json()["items"][0]
    assert http.get(entry["href"]).get_json()["answer"]["outcome"] == entry["outcome"]


@pytest.fixture
def guarded(tmp_path: Path) -> tuple[FlaskClient, str]:
    token, line = new_token("shop-panel")
    path = tmp_path / "tokens"
    path.write_text(f"# panel in the shop\n\n{line}\n{new_token('other')[1]}\n", "utf-8")
    settings = Settings(database=tmp_path / "records.sqlite3", tokens=Tokens.load(path))
    return create_app(settings).test_client(), token


def test_records_need_the_token_and_nothing_else_does(guarded: tuple[FlaskClient, str]) -> None:
    http, token = guarded
    for header in (None, "Bearer", "Bearer ", f"Basic {token}", f"Bearer {token}x", f"Bearer {token[:-1]}", "Bearer ä"):
        headers = {} if header is None else {"Authorization": header}
        for response in (http.get("/v1/assessments", headers=headers), http.get("/v1/assessments/x", headers=headers),
                         http.post("/v1/assessments", data=b"{", headers=headers)):  # fmt: skip
            assert response.status_code == 401, header
            assert response.headers["WWW-Authenticate"].startswith("Bearer")
    good = {"Authorization": f"bearer {token}"}
    assert http.post("/v1/assessments", json=BODY, headers=good).status_code == 201
    assert http.post(f"/v1/{NAME}", json=BODY["request"]).status_code == 200
    assert http.get("/v1/rule-sets").status_code == 200


def test_without_tokens_only_this_machine_may_see_records(http: FlaskClient) -> None:
    for host, status in {"localhost": 200, "localhost:8421": 200, "127.0.0.1:8421": 200, "[::1]:8421": 200, "127.9.9.9": 200,
                         "millphase.example": 403, "192.0.2.7": 403, "localhost.example": 403}.items():  # fmt: skip
        assert http.get("/v1/assessments", headers={"Host": host}).status_code == status, host


def test_tokens_are_kept_as_digests_only(tmp_path: Path) -> None:
    token, line = new_token("panel")
    assert token not in line
    assert digest_of(token) in line
    assert len(token) >= 43, "256 bits"
    for text, told in {"": "no token", "panel": "line 1", f"{line}\n{line}": "line 2", f"A {line}": "line 1",
                       f"{line} workshop:mine": "line 1", f"{line} workshop:": "line 1"}.items():  # fmt: skip
        (tmp_path / "t").write_text(text, "utf-8")
        with pytest.raises(SettingsError, match=told):
            Tokens.load(tmp_path / "t")
    with pytest.raises(SettingsError, match="cannot be read"):
        Tokens.load(tmp_path / "none")
    with pytest.raises(SettingsError, match="label"):
        new_token("Panel 1")


def test_settings_from_the_environment(tmp_path: Path) -> None:
    _, line = new_token("panel")
    (tmp_path / "t").write_text(line, "utf-8")
    named = {"MILLPHASE_TOKENS": str(tmp_path / "t"), "MILLPHASE_DATABASE": "r.sqlite3", "MILLPHASE_RULES": "rules"}
    settings = Settings.from_environment(named)
    assert settings.tokens
    assert settings.database == Path("r.sqlite3")
    assert settings.rules == Path("rules")
    default = Settings.from_environment({"XDG_DATA_HOME": str(tmp_path)})
    assert default.database == tmp_path / "millphase" / "records.sqlite3"
    # XDG base directory specification: a relative path is to be ignored.
    assert Settings.from_environment({"XDG_DATA_HOME": "data"}).database.is_absolute()
    assert not default.tokens


@pytest.mark.provokes_failure
def test_records_that_cannot_be_reached(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a directory", "utf-8")
    (tmp_path / "garbage").write_bytes(b"no database" * 1000)
    for path in (tmp_path / "file" / "records.sqlite3", tmp_path / "garbage"):
        http = create_app(Settings(database=path)).test_client()
        for response in (http.post("/v1/assessments", json=BODY), http.get("/v1/assessments")):
            assert response.status_code == 503
            assert response.get_json()["type"] == "/problems/storage-unavailable"
            assert response.headers["Retry-After"]
        assert http.post(f"/v1/{NAME}", json=BODY["request"]).status_code == 200, "questions need no records"


@pytest.mark.provokes_failure
def test_a_full_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """SQLite's own page limit stands for the disk's: it fails in the same place with the same code."""
    from millphase.records.store import Store

    path = tmp_path / "records.sqlite3"
    http = create_app(Settings(database=path)).test_client()
    kept = [http.post("/v1/assessments", json=BODY).get_json()["id"]]
    opened = Store._open

    def small(store: Store) -> sqlite3.Connection:
        connection = opened(store)
        connection.execute("PRAGMA max_page_count = 40")
        return connection

    monkeypatch.setattr(Store, "_open", small)
    statuses = set()
    for number in range(200):
        response = http.post("/v1/assessments", json=BODY, headers={"Idempotency-Key": f"k{number}"})
        statuses.add(response.status_code)
        if response.status_code != 201:
            break
        kept.append(response.get_json()["id"])
    assert statuses == {201, 507}
    assert response.get_json()["type"] == "/problems/storage-full"
    monkeypatch.undo()
    assert http.post("/v1/assessments", json=BODY).status_code == 201, "goes on once there is room"
    listed = json.loads(http.get("/v1/assessments?limit=100").data)["items"]
    assert [entry["id"] for entry in listed[1:]] == kept[::-1][:99], (
        "nothing acknowledged is lost, nothing else is kept"
    )
