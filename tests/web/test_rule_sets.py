"""Rule sets over HTTP: fetched, pinned, signed, read as pages; stored assessments judged again under another set."""

from __future__ import annotations

import hashlib
import json
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
import rfc8785
from flask import Flask
from flask.testing import FlaskClient

from millphase.questions.base import registry
from millphase.rulebook import Rulebook, released, workshop
from millphase.rulebook.library import Library
from millphase.settings import Settings
from millphase.web import create_app
from millphase.web.service import Service

FLOOR = "insulation/random-wound-minimum"
REQUEST: dict[str, Any] = {
    "rated_voltage": "400 V", "winding": "random-wound", "under_test": "motor", "drive_disconnected": True,
    "readings": [
        {
            "between": "UVW-earth", "resistance": "7 Mohm", "test_voltage": "500 V", "after": "60 s",
            "instrument": "insulation-tester", "winding_temperature": "40 degC",
        }
    ],
}  # fmt: skip


def _stricter(name: str = "barn-club", version: str = "3.0.0") -> bytes:
    """A fetched pack of a made-up club: the base set with one limit doubled."""
    pack = json.loads(json.dumps(workshop().pack))
    floor = pack["rules"][FLOOR]
    note = {
        "by": f"{name}@{version}",
        "change": "tighten",
        "reason": "Our machines stand in a barn.",
        "was": floor["value"],
    }
    pack["rules"][FLOOR] = {**floor, "value": "10 Mohm", "changed": note}
    return released.canonical({**pack, "name": name, "version": version})


@pytest.fixture
def app(tmp_path: Path) -> Flask:
    packs = tmp_path / "packs"
    packs.mkdir()
    (packs / "barn-club-3.0.0.json").write_bytes(_stricter())
    (packs / "barn-club-3.0.0.json.signature").write_bytes(b'{"key": "ed25519:AA"}')
    return create_app(Settings(database=tmp_path / "records.sqlite3", packs=packs))


def test_sets_are_listed_the_default_one_first(http: FlaskClient) -> None:
    listed = http.get("/v1/rule-sets").get_json()["rule_sets"]
    assert listed[0]["name"] == "workshop"
    assert "barn-club" in [entry["name"] for entry in listed]


def test_a_pack_is_the_bytes_its_digest_is_of(http: FlaskClient) -> None:
    response = http.get("/v1/rule-sets/barn-club/3.0.0")
    assert response.data == rfc8785.dumps(json.loads(response.data)) == _stricter()
    assert response.headers["ETag"] == f'"sha256:{hashlib.sha256(response.data).hexdigest()}"'
    assert response.headers["Cache-Control"] == "public, max-age=31536000, immutable"
    again = http.get("/v1/rule-sets/barn-club/3.0.0", headers={"If-None-Match": response.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")


def test_signatures(http: FlaskClient) -> None:
    assert http.get("/v1/rule-sets/barn-club/3.0.0/signature").get_json() == {"key": "ed25519:AA"}
    book = workshop()
    refused = http.get(f"/v1/rule-sets/{book.name}/{book.version}/signature")
    assert (refused.status_code, refused.get_json()["type"]) == (404, "/problems/not-found")


@pytest.mark.parametrize(
    "path",
    ["/v1/rule-sets/barn-club/9.0.0", "/v1/rule-sets/barn-club/9.0.0/signature", "/v1/rule-sets/..%2f..%2fetc/1.0.0"],
)
def test_a_set_that_is_not_here(http: FlaskClient, path: str) -> None:
    response = http.get(path)
    assert response.status_code == 404
    assert response.mimetype == "application/problem+json"


def test_a_request_pins_a_set_and_the_answer_says_which(http: FlaskClient) -> None:
    own = http.post("/v1/insulation-acceptance", json=REQUEST).get_json()
    pinned = http.post("/v1/insulation-acceptance", json={**REQUEST, "rule_set": "barn-club@3.0.0"}).get_json()
    assert own["rule_set"] == workshop().identity
    assert (pinned["rule_set"]["name"], pinned["rule_set"]["version"]) == ("barn-club", "3.0.0")
    assert own["outcome"] != pinned["outcome"]
    assert [f["outcome"] for f in pinned["findings"] if f["rule"] == FLOOR] == ["caution"]


def test_a_pinned_set_that_is_not_here_is_a_404_with_the_place(http: FlaskClient) -> None:
    response = http.post("/v1/insulation-acceptance", json={**REQUEST, "rule_set": "barn-club@9.0.0"})
    assert response.status_code == 404
    problem = response.get_json()
    assert problem["type"] == "/problems/unknown-rule-set"
    assert problem["errors"][0]["pointer"] == "/rule_set"
    assert "barn-club@3.0.0" in problem["detail"]
    assert http.get(problem["type"]).status_code == 200


def test_each_item_of_a_batch_pins_its_own(http: FlaskClient) -> None:
    items = [
        {"question": "insulation-acceptance", "request": {**REQUEST, "rule_set": name}}
        for name in ("barn-club@3.0.0", "barn-club@9.0.0")
    ]
    results = http.post(
        "/v1/batch", json={"items": [*items, {"question": items[0]["question"], "request": REQUEST}]}
    ).get_json()["results"]
    assert [result["status"] for result in results] == [200, 404, 200]


def test_another_set_can_answer_by_default(tmp_path: Path) -> None:
    (tmp_path / "barn-club-3.0.0.json").write_bytes(_stricter())
    app = create_app(Settings(database=tmp_path / "records.sqlite3", packs=tmp_path, rule_set="barn-club@3.0.0"))
    with app.test_client() as http:
        assert http.post("/v1/insulation-acceptance", json=REQUEST).get_json()["rule_set"]["name"] == "barn-club"
        assert http.get("/v1/version").get_json()["rule_set"]["name"] == "barn-club"
        book = workshop()
        pinned = {**REQUEST, "rule_set": f"{book.name}@{book.version}"}
        assert http.post("/v1/insulation-acceptance", json=pinned).get_json()["rule_set"] == book.identity


def test_settings_name_the_packs_and_the_default_set() -> None:
    found = Settings.from_environment({"MILLPHASE_PACKS": "/packs", "MILLPHASE_RULE_SET": "barn-club@3.0.0"})
    assert (found.packs, found.rule_set) == (Path("/packs"), "barn-club@3.0.0")
    assert Settings.from_environment({}).rule_set is None


# ---- judging again


def _store(http: FlaskClient) -> str:
    stored = http.post("/v1/assessments", json={"question": "insulation-acceptance", "request": REQUEST})
    assert stored.status_code == 201
    return str(stored.headers["Location"])


def test_a_stored_assessment_is_judged_again_and_the_difference_explained(http: FlaskClient) -> None:
    location = _store(http)
    same = http.get(f"{location}/judged-again").get_json()
    assert (same["same"], same["reproduced"]) == (True, True)
    response = http.get(f"{location}/judged-again?rule_set=barn-club@3.0.0")
    assert response.headers["Cache-Control"] == "private, no-cache"
    found = response.get_json()
    assert (found["same"], found["reproduced"]) == (False, True)
    assert [change["rule"] for change in found["because"]] == [FLOOR]
    assert "at least 5 Mohm became at least 10 Mohm, stricter" in found["summary"]


def test_judging_again_refuses_what_is_not_there(http: FlaskClient) -> None:
    location = _store(http)
    assert (
        http.get(f"{location}/judged-again?rule_set=barn-club@9.0.0").get_json()["type"] == "/problems/unknown-rule-set"
    )
    assert http.get(f"{location}/judged-again?rule_set=nonsense").status_code == 422
    nowhere = "/v1/assessments/00000000-0000-0000-0000-000000000000/judged-again"
    assert http.get(nowhere).get_json()["type"] == "/problems/not-found"


def test_the_rules_of_its_day_may_be_gone_or_others_under_its_name(app: Flask, http: FlaskClient) -> None:
    location = _store(http)
    service: Service = app.extensions["millphase"]
    stricter = json.loads(_stricter("workshop", workshop().version))
    service.library = type(service.library)(Rulebook(stricter))
    found = http.get(f"{location}/judged-again").get_json()
    assert (found["reproduced"], found["because"]) == (None, [])
    service.library = type(service.library)(Rulebook({**stricter, "version": "8.0.0"}))
    assert http.get(f"{location}/judged-again").get_json()["reproduced"] is None


# ---- pages


class Page(HTMLParser):
    """Enough of a page to test it: text, links, and whether every tag is closed."""

    VOID = frozenset({"meta", "br", "input", "link", "hr", "img"})

    def __init__(self, html: str) -> None:
        super().__init__()
        self.links: list[str] = []
        self.ids: list[str] = []
        self.open: list[str] = []
        self.text = ""
        self.tags: list[str] = []
        self.feed(html)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        named = dict(attrs)
        self.tags.append(tag)
        self.links += [str(named["href"])] if "href" in named else []
        self.ids += [str(named["id"])] if "id" in named else []
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if tag not in self.VOID:
            assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data


def _page(http: FlaskClient, path: str) -> Page:
    response = http.get(path)
    assert response.status_code == 200, path
    assert response.mimetype == "text/html"
    assert response.headers["Content-Security-Policy"].startswith("default-src 'none'")
    page = Page(response.text)
    assert "script" not in page.tags
    assert len(page.ids) == len(set(page.ids))
    assert page.tags.count("h1") == 1
    return page


def test_the_front_page_leads_to_every_topic(http: FlaskClient) -> None:
    page = _page(http, "/rules")
    topics = {rule.partition("/")[0] for rule in workshop().rules}
    assert {f"/rules/{topic}" for topic in topics} <= set(page.links)
    assert f"{len(workshop().rules)} rules" in page.text
    assert workshop().digest in page.text
    assert "Cable, BS 7671" in page.text


def test_every_rule_stands_on_the_page_of_its_topic(http: FlaskClient) -> None:
    topics = {rule.partition("/")[0] for rule in workshop().rules}
    for topic in sorted(topics):
        page = _page(http, f"/rules/{topic}")
        own = [rule for rule in workshop().rules.values() if rule.id.startswith(f"{topic}/")]
        for rule in own:
            assert rule.id in page.text
            assert rule.title in page.text
            assert rule.data.get("text", "") in page.text
            assert str(rule.data.get("value", "")) in page.text
        assert {f"#{rule.id.replace('/', '-')}" for rule in own} <= set(page.links)
        assert page.text.count("Used by") == len(own)


def test_one_rule_says_value_source_status_history_and_use(http: FlaskClient) -> None:
    page = _page(http, f"/rules/{FLOOR}")
    for words in (
        "at least 5 Mohm",
        "In force",
        "Secondary",
        "a page that restates it was read",
    ):
        assert words in page.text
    packs = [rule_set.pack["rules"] for rule_set in Library.load().history("workshop")]
    settled = next(rule for rule, data in packs[0].items() if all(pack.get(rule) == data for pack in packs))
    assert "unchanged in the versions that are here" in _page(http, f"/rules/{settled}").text
    rule = workshop().rules[FLOOR]
    assert rule.data["cite"]["locator"] in page.text
    assert f"/rules/sources/{rule.data['cite']['source']}" in page.links
    assert registry()["insulation-acceptance"].title in page.text
    assert f"/v1/rules/{FLOOR}" in page.links


def test_a_clubs_page_says_what_the_club_changed(http: FlaskClient) -> None:
    page = _page(http, f"/rules/{FLOOR}?rule_set=barn-club@3.0.0")
    assert "at least 10 Mohm" in page.text
    assert "Tightened by barn-club@3.0.0 (it was 5 Mohm): Our machines stand in a barn." in page.text
    assert "/rules?rule_set=barn-club%403.0.0" in page.links


def test_a_withdrawn_rule_says_by_whom_and_why(http: FlaskClient) -> None:
    page = _page(http, "/rules/cable-iec-60364/default-method?rule_set=cold-barn-club@1.0.0")
    assert "Withdrawn by cold-barn-club@1.0.0: A member says how the cable runs or gets no size" in page.text


def test_the_history_of_a_rule_over_the_versions_that_are_here(tmp_path: Path) -> None:
    """What a version changed is computed from the versions; what a file says of earlier times stands before it."""
    first = json.loads(_stricter("workshop", "0.8.0"))
    told = [
        {"version": "0.7.0", "was": "1 Mohm", "change": "Raised after a motor failed."},
        {"version": "0.6.0", "change": "First."},
    ]
    first["rules"][FLOOR]["history"] = told
    second = json.loads(_stricter("workshop", "0.9.0"))
    second["rules"][FLOOR] |= {"value": "12 Mohm", "history": told}
    del second["rules"]["insulation/armature-minimum"]
    for pack in (first, second):
        del pack["rules"][FLOOR]["changed"]
        (tmp_path / f"workshop-{pack['version']}.json").write_bytes(released.canonical(pack))
    app = create_app(Settings(database=tmp_path / "records.sqlite3", packs=tmp_path, rule_set="workshop@0.9.0"))
    with app.test_client() as http:
        page = _page(http, f"/rules/{FLOOR}")
        assert "0.7.0: Raised after a motor failed. (it was 1 Mohm)" in page.text
        assert "0.6.0: First." in page.text
        assert "0.9.0: insulation/random-wound-minimum: at least 10 Mohm became at least 12 Mohm, stricter" in page.text
        assert http.get("/rules/insulation/armature-minimum").status_code == 404


def test_search(http: FlaskClient) -> None:
    page = _page(http, "/rules?q=RANDOM-wound+minimum")
    assert f"/rules/{FLOOR}" in page.links
    assert "/rules/frame/iec-foot" in _page(http, "/rules?q=M10").links
    none = _page(http, "/rules?q=zyzzyva")
    assert "0 rules with “zyzzyva”" in none.text
    assert "Try fewer or shorter words" in none.text
    odd = _page(http, "/rules?q=%3Cscript%3Ealert(1)%3C/script%3E")
    assert "<script>alert(1)</script>" in odd.text
    club = _page(http, "/rules?q=minimum&rule_set=barn-club@3.0.0")
    assert f"/rules/{FLOOR}?rule_set=barn-club%403.0.0" in club.links


def test_source_pages(http: FlaskClient) -> None:
    for source, record in workshop().sources.items():
        page = _page(http, f"/rules/sources/{source}")
        assert record["title"] in page.text
        assert record["publisher"] in page.text


def test_no_link_of_the_pages_is_dead(http: FlaskClient) -> None:
    topics = {rule.partition("/")[0] for rule in workshop().rules}
    links = {
        link.partition("#")[0]
        for topic in topics
        for link in _page(http, f"/rules/{topic}").links
        if link.startswith("/")
    }
    for link in sorted(links):
        assert http.get(link).status_code == 200, link


@pytest.mark.parametrize(
    ("path", "status"),
    [
        ("/rules/nothing", 404), ("/rules/insulation/nothing", 404), ("/rules/sources/nothing", 404),
        ("/rules?rule_set=barn-club@9.0.0", 404), ("/rules?rule_set=x", 422), ("/rules?z=1", 422),
        ("/rules?q=%00", 422), (f"/rules?q={'a' * 101}", 422), ("/rules/insulation?q=a", 422),
    ],
)  # fmt: skip
def test_pages_that_are_not_there(http: FlaskClient, path: str, status: int) -> None:
    response = http.get(path)
    assert (response.status_code, response.mimetype) == (status, "application/problem+json")


def test_pages_are_tagged(http: FlaskClient) -> None:
    tag = http.get("/rules").headers["ETag"]
    assert http.get("/rules", headers={"If-None-Match": tag}).status_code == 304
