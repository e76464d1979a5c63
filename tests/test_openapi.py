"""The published document: it is what would be built, it is valid, it names every route, and its examples work."""

from __future__ import annotations

import importlib.util
import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from flask import Flask
from flask.testing import FlaskClient
from openapi_spec_validator import validate
from referencing import Registry, Resource

from millphase.questions.base import registry
from millphase.settings import Settings
from millphase.web import create_app
from millphase.web.problems import KINDS

ROOT = Path(__file__).parents[1]


def _build() -> Any:
    spec = importlib.util.spec_from_file_location("openapi_build", ROOT / "openapi" / "build.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


BUILD = _build()
BUILT: bytes = BUILD.build()
DOCUMENT: dict[str, Any] = json.loads(BUILT)
OPERATIONS = [
    (method, path, operation)
    for path, methods in DOCUMENT["paths"].items()
    for method, operation in methods.items()
    if method in {"get", "post", "put", "patch", "delete"}
]


@pytest.fixture
def app(tmp_path: Path) -> Flask:
    return create_app(Settings(database=tmp_path / "records.sqlite3"))


@pytest.fixture
def http(app: Flask) -> FlaskClient:
    return app.test_client()


def validator(schema: dict[str, Any]) -> jsonschema.Draft202012Validator:
    """A validator whose references lead into the document."""
    resource = Resource.from_contents(DOCUMENT, default_specification=_specification())
    known: Registry[Any] = Registry().with_resource("urn:document", resource)
    rooted = json.loads(json.dumps(schema).replace('"#/components', '"urn:document#/components'))
    return jsonschema.Draft202012Validator(rooted, registry=known)


def _specification() -> Any:
    from referencing.jsonschema import DRAFT202012

    return DRAFT202012


def test_the_committed_document_is_what_would_be_built() -> None:
    assert BUILD.TARGET.read_bytes() == BUILT, "run python openapi/build.py"
    assert BUILD.TYPES.read_bytes() == BUILD.client_types(BUILT), "run python openapi/build.py"


def test_drift_is_told(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(BUILD, "TARGET", tmp_path / "openapi.json")
    monkeypatch.setattr(BUILD, "TYPES", tmp_path / "types.py")
    monkeypatch.setattr("sys.argv", ["build.py", "--check"])
    assert BUILD.main() == 1
    assert "run python openapi/build.py" in capsys.readouterr().err
    monkeypatch.setattr("sys.argv", ["build.py"])
    assert BUILD.main() == 0
    monkeypatch.setattr("sys.argv", ["build.py", "--check"])
    assert BUILD.main() == 0


def test_the_document_is_valid_openapi() -> None:
    assert DOCUMENT["openapi"].startswith("3.1")
    validate(DOCUMENT)


def test_every_schema_is_valid_json_schema() -> None:
    for schema in DOCUMENT["components"]["schemas"].values():
        jsonschema.Draft202012Validator.check_schema(schema)


def test_every_route_is_documented_and_every_documented_route_is_there(app: Flask) -> None:
    routes = {
        (method.lower(), re.sub(r"<(?:[a-z]+:)?([a-z_]+)>", r"{\1}", rule.rule))
        for rule in app.url_map.iter_rules()
        for method in rule.methods or ()
        if method not in {"HEAD", "OPTIONS"}
    }
    assert routes == {(method, path) for method, path, _ in OPERATIONS}


def test_operations_are_named_once_summarised_and_tagged() -> None:
    names = [operation["operationId"] for _, _, operation in OPERATIONS]
    assert len(names) == len(set(names))
    tags = {tag["name"] for tag in DOCUMENT["tags"]}
    for _, path, operation in OPERATIONS:
        assert operation["summary"], path
        assert set(operation["tags"]) <= tags
        assert operation["responses"]["default"]["content"].keys() == {"application/problem+json"}
        for status, response in operation["responses"].items():
            if status[0] in "45":
                assert response["content"].keys() == {"application/problem+json"}, path


def test_every_reference_and_link_leads_somewhere() -> None:
    schemas = DOCUMENT["components"]["schemas"]
    text = BUILT.decode()
    assert set(re.findall(r'"#/components/schemas/([A-Za-z]+)"', text)) == set(schemas), "no schema missing or unused"
    names = {operation["operationId"] for _, _, operation in OPERATIONS}
    for _, _, operation in OPERATIONS:
        for response in operation["responses"].values():
            for link in response.get("links", {}).values():
                assert link["operationId"] in names


@pytest.mark.parametrize("name", registry())
def test_examples_of_questions_fit_their_schema_and_answers_fit_theirs(http: FlaskClient, name: str) -> None:
    operation = DOCUMENT["paths"][f"/v1/{name}"]["post"]
    content = operation["requestBody"]["content"]["application/json"]
    for example in content["examples"].values():
        validator(content["schema"]).validate(example["value"])
        answer = http.post(f"/v1/{name}", json=example["value"])
        assert answer.status_code == 200
        validator(operation["responses"]["200"]["content"]["application/json"]["schema"]).validate(answer.get_json())


def test_other_examples_fit_and_their_responses_too(http: FlaskClient) -> None:
    for path, status in (("/v1/batch", 200), ("/v1/assessments", 201)):
        operation = DOCUMENT["paths"][path]["post"]
        content = operation["requestBody"]["content"]["application/json"]
        example = content["examples"]["example"]["value"]
        validator(content["schema"]).validate(example)
        response = http.post(path, json=example)
        assert response.status_code == status
        schema = operation["responses"][str(status)]["content"]["application/json"]["schema"]
        validator(schema).validate(response.get_json())
    page = http.get("/v1/assessments").get_json()
    validator({"$ref": "#/components/schemas/AssessmentPage"}).validate(page)


def test_records_fit_their_schemas(http: FlaskClient) -> None:
    """From an empty workshop to a machine with readings, every success is what the document promises."""
    known: dict[str, str] = {}

    def call(method: str, path: str, status: int, **more: Any) -> Any:
        operation = DOCUMENT["paths"][path][method]
        address = re.sub(r"\{([a-z_]+)\}", lambda match: known[match[1]], path)
        response = http.open(address, method=method.upper(), **more)
        assert response.status_code == status, response.text
        validator(operation["responses"][str(status)]["content"]["application/json"]["schema"]).validate(response.json)
        return response.json

    def example(method: str, path: str, name: str = "example") -> Any:
        content = DOCUMENT["paths"][path][method]["requestBody"]["content"]["application/json"]
        body = content["examples"][name]["value"]
        validator(content["schema"]).validate(body)
        return body

    one, readings = "/v1/machines/{machine_id}", "/v1/machines/{machine_id}/readings"
    known["workshop_id"] = call("post", "/v1/workshops", 201, json=example("post", "/v1/workshops"))["id"]
    plate = {**example("post", "/v1/machines"), "workshop": known["workshop_id"]}
    known["machine_id"] = call("post", "/v1/machines", 201, json=plate)["id"]
    call("get", f"{one}/status", 200)
    for name in ("example", "sensor"):
        known["reading_id"] = call("post", readings, 201, json=example("post", readings, name))["id"]
    call("post", f"{readings}/import", 201, json=example("post", f"{readings}/import"))
    withdrawal = "/v1/readings/{reading_id}/withdrawal"
    call("post", withdrawal, 200, json=example("post", withdrawal), headers={"If-Match": '"1"'})
    call("put", one, 200, json=example("put", one), headers={"If-Match": '"1"'})
    call("put", "/v1/workshops/{workshop_id}", 200, json={"name": "x"}, headers={"If-Match": '"1"'})
    for path in ("/v1/workshops", "/v1/workshops/{workshop_id}", "/v1/machines", one, f"{one}/versions", readings,
                 "/v1/readings/{reading_id}", f"{one}/status", f"{one}/trend"):  # fmt: skip
        call("get", path, 200)


def test_problems_fit_their_schema(http: FlaskClient) -> None:
    name = next(iter(registry()))
    problem = validator({"$ref": "#/components/schemas/Problem"})
    for response in (http.get("/nope"), http.put("/v1"), http.post(f"/v1/{name}", json={}), http.get("/v1?x=1"),
                     http.post(f"/v1/{name}", data="{"), http.post(f"/v1/{name}", json={"wrong": {}})):  # fmt: skip
        problem.validate(response.get_json())
    assert {kind.type for kind in KINDS.values()} == set(
        DOCUMENT["components"]["schemas"]["Problem"]["properties"]["type"]["enum"]
    )


def test_declared_values_stand_in_the_answer_schema() -> None:
    for name, question in registry().items():
        schema = DOCUMENT["components"]["schemas"][f"{BUILD.camel(name)}Answer"]
        assert schema["properties"]["values"]["properties"].keys() == question.values.keys()
