"""Builds openapi.json, and from it the client's types; run it after any change to a question or a route.

``python openapi/build.py`` writes both, ``python openapi/build.py --check`` fails when either has drifted.
"""

from __future__ import annotations

import importlib.util
import json
import re
import sys
from pathlib import Path
from typing import Any

from apispec import APISpec

from millphase import __version__, quantity, units
from millphase.answer import Outcome
from millphase.questions import base, out
from millphase.questions._machine import MEASURED, UUID, MachinePart, NewMachinePart, WithdrawalPart, WorkshopPart
from millphase.questions._machine import reading_schema as reading_request
from millphase.questions.base import RULE_SET_PATTERN, Question
from millphase.questions.fields import object_schema
from millphase.reports.drawings import of_parameters
from millphase.web.body import BATCH_LIMIT
from millphase.web.drawings import drawn
from millphase.web.problems import KINDS, MEDIA_TYPE
from millphase.web.records import LARGEST_BODY
from millphase.web.records_readings import IMPORTED

Json = dict[str, Any]

TARGET = Path(__file__).with_name("openapi.json")
TYPES = Path(__file__).parents[1] / "clients" / "python" / "src" / "millphase_client" / "types.py"

DESCRIPTION = f"""Turns readings and nameplates of an old three-phase machine tool on a drive into decisions, each with the limit,
its source and the working.

Requests are JSON in UTF-8; unknown fields are refused. A quantity is text: a number, then its unit (`"47 kohm"`). Whatever is not a success is an RFC 9457 problem. A body that fits its schema is refused with
422 only when its readings contradict each other (type `{KINDS["contradictory-input"].type}`).

Within `/v1` members and operations are only ever added."""

TAGS = {
    "questions": "Decisions: a request with readings in, an answer with sources and working out. They store nothing.",
    "drawings": "Drawings that belong to answers.",
    "rules": "The rules that answer, and where they come from.",
    "records": "Workshops, their machines with readings, and stored assessments. Where the service has tokens, one is needed.",
    "service": "The service itself.",
}

TEXT: Json = {"type": "string"}
SLUG = "^[a-z0-9][a-z0-9.-]{0,99}$"
DIGEST: Json = {"type": "string", "pattern": "^sha256:[0-9a-f]{64}$"}
TIME: Json = {"type": "string", "format": "date-time"}
IDENTITY: Json = {"type": "string", "format": "uuid"}
SECURITY: Json = {"security": [{}, {"token": []}]}


def ref(name: str) -> Json:
    """Return a reference to a schema of the document."""
    return {"$ref": f"#/components/schemas/{name}"}


def closed(properties: Json, required: list[str] | None = None, description: str = "") -> Json:
    """Return the schema of an object; its members are all required unless `required` says which are."""
    names = list(properties) if required is None else required
    found: Json = {"type": "object", "properties": properties, "required": names}
    return {**found, "description": description} if description else found


def many(items: Json) -> Json:
    """Return the schema of a list."""
    return {"type": "array", "items": items}


def camel(name: str) -> str:
    """Return ``cable-sizing`` as ``CableSizing``."""
    return "".join(part.capitalize() for part in name.split("-"))


def shared_schemas() -> dict[str, Json]:
    """Return the schemas that every answer and problem is made of."""
    outcome: Json = {"type": "string", "enum": [outcome.word for outcome in Outcome]}
    return {
        "Quantity": closed({"value": {"type": "number"}, "unit": TEXT}, description="A number with its unit."),
        "Outcome": {**outcome, "description": "How an answer ends; the worst deciding finding counts."},
        "CitedSource": closed(
            {
                "id": TEXT,
                "title": TEXT,
                "locator": {**TEXT, "description": "Edition, clause, table or page."},
                "basis": {"type": "string", "enum": ["standard", "handbook", "maker", "common-practice", "physics"]},
                "checked": {
                    "type": "string",
                    "enum": ["read", "secondary", "memory"],
                    "description": "Whether somebody read the source, a page that restates it, or neither.",
                },
            },
            description="Where a value comes from, and how far that was checked.",
        ),
        "Finding": closed(
            {
                "rule": TEXT,
                "outcome": ref("Outcome"),
                "decides": {"type": "boolean", "description": "False for information that does not decide."},
                "measured": ref("Quantity"),
                "limit": ref("Quantity"),
                "margin": {"type": "number", "description": "Room to the limit as a share of it; negative beyond it."},
                "because": TEXT,
                "source": ref("CitedSource"),
            },
            ["rule", "outcome", "decides", "because", "source"],
        ),
        "Step": closed(
            {
                "what": TEXT,
                "formula": TEXT,
                "with": {**TEXT, "description": "The formula with the numbers put in."},
                "gives": ref("Quantity"),
                "rule": TEXT,
                "source": ref("CitedSource"),
            },
            ["what", "formula", "with", "gives"],
            "One step of the working, to be redone with pencil and paper.",
        ),
        "Assumption": closed(
            {"field": TEXT, "assumed": TEXT, "rule": TEXT, "source": ref("CitedSource")},
            description="A field that was left out, and what was taken instead.",
        ),
        "RuleSetIdentity": closed({"name": TEXT, "version": TEXT, "digest": DIGEST}),
        "Fault": closed(
            {
                "pointer": {**TEXT, "description": "RFC 6901 pointer into the body."},
                "parameter": {**TEXT, "description": "Name of a query parameter or header."},
                "code": TEXT,
                "message": {**TEXT, "description": "What to send, measure or read again."},
            },
            ["code", "message"],
        ),
        "Problem": closed(
            {
                "type": {"type": "string", "enum": [kind.type for kind in KINDS.values()]},
                "title": TEXT,
                "status": {"type": "integer", "minimum": 400, "maximum": 599},
                "detail": TEXT,
                "instance": {**TEXT, "description": "Names this occurrence; quote it when reporting a fault."},
                "errors": many(ref("Fault")),
                "errors_not_shown": {"type": "integer", "minimum": 1},
            },
            ["type", "title", "status", "detail"],
            "RFC 9457 problem; an item of a batch has no `instance`.",
        ),
    }


def quantity_schemas() -> dict[str, Json]:
    """Return a schema for the text of each dimension, signed or not, zero or not, and for its value in an answer."""
    found: dict[str, Json] = {}
    for dimension in units.dimensions():
        name = camel(dimension)
        for negative, zero, form in ((False, False, ""), (False, True, "OrZero"), (True, True, "WithSign")):
            found[f"{name}Text{form}"] = {
                "type": "string",
                "pattern": quantity.pattern(dimension, negative=negative, zero=zero),
                "maxLength": quantity.TEXT_LIMIT,
                "examples": [quantity.EXAMPLES[dimension]],
            }
        value = out.quantity(dimension, units.codes(dimension)[0], "").json_schema()
        found[f"{name}Value"] = {key: part for key, part in value.items() if key != "description"}
    return found


def with_references(schema: Any, shared: dict[str, Json]) -> Any:
    """Return `schema` with each part that equals a shared schema, but for its description, replaced by a reference."""
    if isinstance(schema, list):
        return [with_references(part, shared) for part in schema]
    if not isinstance(schema, dict):
        return schema
    bare = {key: part for key, part in schema.items() if key != "description"}
    for name, candidate in shared.items():
        if bare == candidate:
            return {**ref(name), **({"description": schema["description"]} if "description" in schema else {})}
    return {key: with_references(part, shared) for key, part in schema.items()}


def answer_schema(question: Question) -> Json:
    """Return the schema of the answer to `question`, with the values it declares."""
    values = {name: value.json_schema() for name, value in question.values.items()}
    for name, value in question.values.items():
        if value.schema == out.answers("").schema:
            others = [other for other in base.registry() if other != question.name]
            answers = {other: ref(f"{camel(other)}Answer") for other in others}
            values[name] = {"type": "object", "properties": answers, "description": value.help}
    return closed(
        {
            "question": {"const": question.name},
            "outcome": ref("Outcome"),
            "summary": {**TEXT, "description": "One plain sentence to act on."},
            "values": {"type": "object", "properties": values, "additionalProperties": False},
            "findings": many(ref("Finding")),
            "working": many(ref("Step")),
            "next_steps": many(TEXT),
            "cautions": many(TEXT),
            "assumptions": many(ref("Assumption")),
            "rule_set": ref("RuleSetIdentity"),
        }
    )


def json_content(schema: Json, media_type: str = "application/json") -> Json:
    """Return the content of a body."""
    return {media_type: {"schema": schema}}


def problem_response(description: str) -> Json:
    """Return a response that is a problem."""
    return {"description": description, "content": json_content(ref("Problem"), MEDIA_TYPE)}


def responses(success: Json, *statuses: int, status: str = "200") -> Json:
    """Return the responses of an operation: its success, the named statuses, and a problem for all others."""
    titles: dict[int, list[str]] = {}
    for kind in KINDS.values():
        titles.setdefault(kind.status, []).append(kind.title)
    named = {str(code): problem_response("; or: ".join(titles[code]) + ".") for code in statuses}
    headers = {"X-Request-Id": {"description": "URN of this request.", "schema": TEXT}}
    found = {**success, "headers": {**headers, **success.get("headers", {})}}
    return {status: found, **named, "default": problem_response("Any other problem.")}


def tagged(success: Json) -> tuple[Json, list[Json], Json]:
    """Return `success` with an entity tag, the parameter that asks by it, and the response that needs no body."""
    etag = {"ETag": {"description": "Strong entity tag.", "schema": TEXT}}
    asks = [{"name": "If-None-Match", "in": "header", "schema": TEXT, "description": "Tags that the caller has."}]
    unchanged = {"304": {"description": "Unchanged.", "headers": etag}}
    return {**success, "headers": {**etag, **success.get("headers", {})}}, asks, unchanged


def reading(
    tag: str, name: str, summary: str, success: Json, *, parameters: list[Json] | None = None, **more: Any
) -> Json:
    """Return a GET operation whose response carries an entity tag."""
    with_tag, asks, unchanged = tagged(success)
    statuses = [404] if parameters else []
    return {
        "get": {
            "tags": [tag],
            "operationId": name,
            "summary": summary,
            "parameters": [*(parameters or []), *asks],
            "responses": {**responses(with_tag, *statuses), **unchanged},
            **more,
        }
    }


def plain_reading(tag: str, name: str, summary: str, schema: Json, description: str, **more: Any) -> Json:
    """Return a GET operation without parameters or entity tag."""
    success = {"description": description, "content": json_content(schema)}
    return {"get": {"tags": [tag], "operationId": name, "summary": summary, "responses": responses(success), **more}}


def path_parameter(name: str, schema: Json, description: str, example: str | None = None) -> Json:
    """Return a parameter in the path."""
    found: Json = {"name": name, "in": "path", "required": True, "schema": schema, "description": description}
    return found if example is None else {**found, "example": example}


def body(schema: Json, examples: dict[str, Any], description: str = "") -> Json:
    """Return a JSON request body with its examples."""
    shown = {name: {"value": value} for name, value in examples.items()}
    content = {"application/json": {"schema": schema, "examples": shown}}
    found: Json = {"required": True, "content": content}
    return {**found, "description": description} if description else found


def add_question(spec: APISpec, question: Question) -> None:
    """Add a question: its request, its answer, its operation, and its drawing where there is one."""
    name = camel(question.name)
    snake = question.name.replace("-", "_")
    spec.components.schema(f"{name}Request", object_schema(question.request))
    spec.components.schema(f"{name}Answer", answer_schema(question))
    answered = {"description": "The answer.", "content": json_content(ref(f"{name}Answer"))}
    asked = body(
        ref(f"{name}Request"), {"example": dict(question.example)}, f"At most {question.largest_body // 1024} KiB."
    )
    operation = {
        "tags": ["questions"],
        "operationId": snake,
        "summary": question.title,
        "description": question.summary,
        "requestBody": asked,
        "responses": responses(answered, 400, 404, 413, 415, 422),
    }
    spec.path(f"/v1/{question.name}", operations={"post": operation})
    if question.name in drawn():
        drawing = {
            "description": "The drawing.",
            "content": json_content(TEXT, "image/svg+xml"),
            "headers": {"Content-Security-Policy": {"schema": TEXT}},
        }
        operations = {
            "get": {
                "tags": ["drawings"],
                "operationId": f"example_drawing_{snake}",
                "summary": f"Drawing of the example: {question.title}",
                "responses": responses(drawing),
            },
            "post": {
                "tags": ["drawings"],
                "operationId": f"draw_{snake}",
                "summary": f"Drawing: {question.title}",
                "requestBody": asked,
                "responses": responses(drawing, 400, 404, 413, 415, 422),
            },
        }
        spec.path(f"/v1/drawings/{question.name}.svg", operations=operations)


def add_boards(spec: APISpec) -> None:
    """Add the drawings that are asked for by parameters in the address."""
    drawing = {
        "description": "The drawing.",
        "content": json_content(TEXT, "image/svg+xml"),
        "headers": {"Content-Security-Policy": {"schema": TEXT}},
    }
    for name, (schema, draw) in of_parameters().items():
        declared: dict[str, Any] = schema._declared_fields
        queries = [
            {"name": key, "in": "query", "required": field.required, "schema": field.json_schema()}
            for key, field in declared.items()
        ]
        operation = {
            "tags": ["drawings"],
            "operationId": name.replace("-", "_"),
            "summary": str(draw.__doc__).partition("\n")[0],
            "parameters": queries,
            "responses": responses(drawing, 400, 422),
        }
        spec.path(f"/v1/drawings/{name}.svg", operations={"get": operation})


def add_lists(spec: APISpec) -> None:
    """Add the list of questions, the batch, and the list of drawings."""
    questions = list(base.registry().values())
    summary = closed({"name": TEXT, "title": TEXT, "summary": TEXT, "href": TEXT})
    spec.path(
        "/v1/questions",
        operations=plain_reading(
            "questions", "questions", "List the questions", closed({"questions": many(summary)}), "In working order."
        ),
    )
    item = {
        "description": "An item that does not fit is answered with a problem in its place; it does not spoil the rest.",
        "properties": {
            "question": {"description": "Name of a question."},
            "request": {"description": "Request of that question."},
        },
    }
    spec.components.schema(
        "BatchRequest",
        {
            **closed({"items": {"type": "array", "minItems": 1, "maxItems": 1000, "items": item}}),
            "additionalProperties": False,
        },
    )
    result = closed(
        {
            "status": {"type": "integer", "description": "Status that the item alone would have had."},
            "answer": {"anyOf": [ref(f"{camel(question.name)}Answer") for question in questions]},
            "problem": ref("Problem"),
        },
        ["status"],
    )
    spec.components.schema("BatchResults", closed({"results": many(result)}))
    example = {"items": [{"question": question.name, "request": dict(question.example)} for question in questions[:2]]}
    answered = {"description": "One result for each item, in order.", "content": json_content(ref("BatchResults"))}
    operation = {
        "tags": ["questions"],
        "operationId": "batch",
        "summary": "Ask many questions in one call",
        "requestBody": body(ref("BatchRequest"), {"example": example}, f"At most {BATCH_LIMIT // 1024} KiB."),
        "responses": responses(answered, 400, 413, 415, 422),
    }
    spec.path("/v1/batch", operations={"post": operation})
    drawing = closed({"question": TEXT, "title": TEXT, "href": TEXT})
    spec.path(
        "/v1/drawings",
        operations=plain_reading(
            "drawings", "drawings", "List the drawings", closed({"drawings": many(drawing)}), "In working order."
        ),
    )


def add_rules(spec: APISpec) -> None:
    """Add rule sets, rules and sources."""
    listed = closed(
        {
            "name": TEXT,
            "version": TEXT,
            "digest": DIGEST,
            "title": TEXT,
            "licence": TEXT,
            "rules": {"type": "integer"},
            "sources": {"type": "integer"},
            "href": TEXT,
        }
    )
    first = {"name": "$response.body#/rule_sets/0/name", "version": "$response.body#/rule_sets/0/version"}
    lists = plain_reading(
        "rules", "rule_sets", "List the rule sets", closed({"rule_sets": many(listed)}), "The default one first."
    )
    lists["get"]["responses"]["200"]["links"] = {"first": {"operationId": "rule_set", "parameters": first}}
    spec.path("/v1/rule-sets", operations=lists)
    pack = closed(
        {"name": TEXT, "version": TEXT, "rules": {"type": "object"}, "sources": {"type": "object"}},
        description="A whole rule set in RFC 8785 form: the SHA-256 of these bytes is its digest.",
    )
    slug = {"type": "string", "pattern": SLUG}
    which = [
        path_parameter("name", slug, "Name of the set."),
        path_parameter("version", {"type": "string", "pattern": r"^[0-9]+\.[0-9]+\.[0-9]+$"}, "Version."),
    ]
    spec.path(
        "/v1/rule-sets/{name}/{version}",
        operations=reading(
            "rules",
            "rule_set",
            "Fetch a whole rule set",
            {"description": "The set; it never changes.", "content": json_content(pack)},
            parameters=which,
        ),
    )
    signature = closed(
        {"rule_set": TEXT, "digest": DIGEST, "key": TEXT, "signature": TEXT},
        description="Ed25519 over name, version and digest.",
    )
    spec.path(
        "/v1/rule-sets/{name}/{version}/signature",
        operations=reading(
            "rules",
            "rule_set_signature",
            "Fetch the signature of a rule set",
            {"description": "The signature; 404 where the set is not signed.", "content": json_content(signature)},
            parameters=which,
        ),
    )
    rule = closed({"rule": {"type": "object"}, "sources": many({"type": "object"}), "rule_set": ref("RuleSetIdentity")})
    spec.path(
        "/v1/rules/{topic}/{rule}",
        operations=reading(
            "rules",
            "rule",
            "Read one rule",
            {"description": "The rule and the sources it cites.", "content": json_content(rule)},
            parameters=[
                path_parameter("topic", slug, "First part of the rule's id.", "caution"),
                path_parameter("rule", slug, "Second part of the rule's id.", "isolate-and-lock-off"),
            ],
        ),
    )
    source = closed({"source": {"type": "object"}, "cited_by": many(TEXT), "rule_set": ref("RuleSetIdentity")})
    spec.path(
        "/v1/sources/{source}",
        operations=reading(
            "rules",
            "source",
            "Read one source record",
            {"description": "The record and the rules that cite it.", "content": json_content(source)},
            parameters=[path_parameter("source", slug, "Id of the source.", "common-practice")],
        ),
    )


def assessment_schemas(spec: APISpec) -> None:
    """Add the schemas of stored assessments."""
    questions = list(base.registry().values())
    requests = [
        closed(
            {
                "question": {"const": question.name},
                "request": ref(f"{camel(question.name)}Request"),
                "machine": {"type": "string", "pattern": UUID, "description": "Id of the machine it is about."},
            },
            ["question", "request"],
        )
        for question in questions
    ]
    choices = [{**choice, "additionalProperties": False} for choice in requests]
    spec.components.schema("AssessmentRequest", {"oneOf": choices})
    spec.components.schema(
        "Assessment",
        closed(
            {
                "id": IDENTITY,
                "question": TEXT,
                "machine": IDENTITY,
                "created_at": TIME,
                "request": {"type": "object"},
                "answer": {"anyOf": [ref(f"{camel(question.name)}Answer") for question in questions]},
            },
            ["id", "question", "created_at", "request", "answer"],
            description="A stored answer with the request that led to it and the rules of its day. It never changes.",
        ),
    )
    entry = {
        "id": IDENTITY,
        "question": TEXT,
        "machine": IDENTITY,
        "outcome": ref("Outcome"),
        "summary": TEXT,
        "rule_set": ref("RuleSetIdentity"),
        "created_at": TIME,
        "href": TEXT,
    }
    always = [name for name in entry if name != "machine"]
    spec.components.schema("AssessmentPage", page_schema(closed(entry, always)))


def record_parameters() -> dict[str, Json]:
    """Return the parameters that several records share, by a short name."""
    limit = {"type": "integer", "minimum": 1, "maximum": 100, "default": 50}
    return {
        "key": {
            "name": "Idempotency-Key",
            "in": "header",
            "description": "Any text of the caller's own. The same key with the same body stores nothing twice within 24 h.",
            "schema": {"type": "string", "pattern": '^("[A-Za-z0-9._~:-]{1,64}"|[A-Za-z0-9._~:-]{1,64})$'},
        },
        "if_match": {
            "name": "If-Match",
            "in": "header",
            "description": "ETag of the record as the caller knows it; 428 without, 412 when it is another by now.",
            "schema": TEXT,
        },
        "limit": {"name": "limit", "in": "query", "schema": limit, "description": "Most entries on a page."},
        "cursor": {
            "name": "cursor",
            "in": "query",
            "schema": {"type": "string", "pattern": "^[1-9][0-9]{0,17}$"},
            "description": "Where to continue; take it from `next`.",
        },
        "machine": {
            "name": "machine",
            "in": "query",
            "schema": {"type": "string", "pattern": UUID},
            "description": "Only of this machine.",
        },
    }


PARAMETERS = record_parameters()


def created(schema: Json, links: Json, description: str = "Stored, and on the disk.") -> Json:
    """Return the response to a request that made a record."""
    etag = {"Location": {"schema": TEXT}, "ETag": {"schema": TEXT}}
    replayed = {"description": "Present when an earlier call stored it.", "schema": {"const": "true"}}
    headers = {**etag, "Idempotency-Replayed": replayed}
    return {"description": description, "content": json_content(schema), "headers": headers, "links": links}


def changed(schema: Json) -> Json:
    """Return the response to a request that changed a record."""
    headers = {"ETag": {"description": "Tag of the new version.", "schema": TEXT}}
    return {"description": "Changed, and on the disk.", "content": json_content(schema), "headers": headers}


def record_operation(name: str, summary: str, success: Json, *statuses: int, status: str = "200", **more: Any) -> Json:
    """Return an operation on records; 401, 403 and 503 can happen to all of them."""
    return {
        "tags": ["records"],
        "operationId": name,
        "summary": summary,
        "responses": responses(success, *sorted({401, 403, 503, *statuses}), status=status),
        **SECURITY,
        **more,
    }


def creating(name: str, summary: str, asked: Json, success: Json, **more: Any) -> Json:
    """Return an operation that creates records under an Idempotency-Key."""
    statuses = (400, 404, 409, 413, 415, 422, 507)
    parameters = [PARAMETERS["key"], *more.pop("parameters", [])]
    return record_operation(
        name, summary, success, *statuses, status="201", parameters=parameters, requestBody=asked, **more
    )


def changing(name: str, summary: str, asked: Json, success: Json, where: list[Json], *statuses: int) -> Json:
    """Return an operation that changes a record that the caller has seen."""
    return record_operation(
        name, summary, success, 400, 404, 412, 413, 415, 422, 428, 507, *statuses,
        parameters=[*where, PARAMETERS["if_match"]], requestBody=asked,
    )  # fmt: skip


def deleting(name: str, summary: str, where: list[Json]) -> Json:
    """Return an operation that deletes a record that nothing belongs to."""
    gone: Json = {"description": "Deleted."}
    parameters = [*where, PARAMETERS["if_match"]]
    return record_operation(name, summary, gone, 404, 409, 412, 428, 507, status="204", parameters=parameters)


def listing(name: str, summary: str, schema: str, order: str, parameters: list[Json], *statuses: int) -> Json:
    """Return an operation that lists records a page at a time."""
    headers = {"Link": {"description": "The next page, if there is one.", "schema": TEXT}}
    success = {"description": order, "content": json_content(ref(schema)), "headers": headers}
    return record_operation(name, summary, success, 422, *statuses, parameters=parameters)


def record_reading(name: str, summary: str, success: Json, where: list[Json]) -> Json:
    """Return a GET operation of records whose response carries an entity tag."""
    operation = reading("records", name, summary, success, parameters=where, **SECURITY)["get"]
    unavailable = {str(code): problem_response("The records are closed to the caller.") for code in (401, 403)}
    operation["responses"] = {**operation["responses"], **unavailable}
    return operation  # type: ignore[no-any-return]


def page_schema(entry: Json) -> Json:
    """Return the schema of a page of a list."""
    page = {"items": many(entry), "next": {**TEXT, "description": "Address of the next page, if there is one."}}
    return closed(page, ["items"])


def versioned(request: Json, own: Json, description: str) -> Json:
    """Return the schema of a record: what was sent of it, and what the service adds."""
    added: Json = {
        "id": IDENTITY,
        **own,
        "version": {
            "type": "integer",
            "minimum": 1,
            "description": "Goes up with each change; in quotes it is the ETag.",
        },
        "created_at": TIME,
    }
    properties = {**added, **request["properties"]}
    return closed(properties, [*added, *request.get("required", [])], description)


def link(operation: str, parameters: Json, **more: Any) -> Json:
    """Return a link to an operation."""
    return {"operationId": operation, "parameters": parameters, **more}


def links_to_record(name: str, parameter: str) -> Json:
    """Return the links from a created record to reading, changing and deleting it."""
    this = {parameter: "$response.body#/id"}
    known = {**this, "header.If-Match": "$response.header.ETag"}
    return {
        "read": link(name, this),
        "change": link(f"change_{name}", known),
        "delete": link(f"delete_{name}", known),
    }


def add_workshops(spec: APISpec) -> None:
    """Add the workshops."""
    asked = object_schema(WorkshopPart)
    changed_at: Json = {"changed_at": TIME}
    spec.components.schema("WorkshopRequest", asked)
    record = versioned(asked, changed_at, "A place with machines; a token can be bound to it.")
    spec.components.schema("Workshop", record)
    spec.components.schema("WorkshopPage", page_schema(ref("Workshop")))
    sent = body(ref("WorkshopRequest"), {"example": {"name": "Tansy Yard Workshop"}})
    machine = {"workshop": "$response.body#/id", "name": "shaping machine", "rated_voltage": "400 V"}
    links = links_to_record("workshop", "workshop_id") | {"machine": link("create_machine", {}, requestBody=machine)}
    spec.path(
        "/v1/workshops",
        operations={
            "get": listing(
                "workshops", "List the workshops", "WorkshopPage", "Newest first.",
                [PARAMETERS["limit"], PARAMETERS["cursor"]],
            ),
            "post": creating("create_workshop", "Enter a workshop", sent, created(ref("Workshop"), links)),
        },
    )  # fmt: skip
    where = [path_parameter("workshop_id", IDENTITY, "Id of the workshop.")]
    found = {"description": "The workshop.", "content": json_content(ref("Workshop"))}
    spec.path(
        "/v1/workshops/{workshop_id}",
        operations={
            "get": record_reading("workshop", "Read a workshop", found, where),
            "put": changing("change_workshop", "Change a workshop", sent, changed(ref("Workshop")), where),
            "delete": deleting("delete_workshop", "Delete a workshop that nothing belongs to", where),
        },
    )


MACHINE = {
    "name": "shaping machine",
    "rated_voltage": "400 V",
    "winding": "random-wound",
    "manufactured": 1987,
    "nameplate": {
        "delta_voltage": "230 V", "star_voltage": "400 V", "frequency": "50 Hz", "power": "2.2 kW",
        "speed": "1430 r/min",
    },
    "leads": 6,
    "stands_idle": True,
}  # fmt: skip

READING = {
    "at": "2026-11-25T18:30:00Z",
    "insulation": [
        {
            "between": "UVW-earth", "resistance": "85 Mohm", "test_voltage": "500 V", "instrument": "insulation-tester",
            "after": "60 s",
        }
    ],
    "drive_disconnected": True,
    "winding_temperature": "19 degC",
    "air": {"temperature": "18 degC", "relative_humidity": "60 %"},
}  # fmt: skip


def machine_links() -> Json:
    """Return the links from an entered machine to everything under it."""
    this = {"machine_id": "$response.body#/id"}
    under = ("readings", "add_reading", "import_readings", "machine_versions", "machine_trend", "machine_status",
             "machine_report")  # fmt: skip
    return links_to_record("machine", "machine_id") | {name: link(name, this) for name in under}


def machine_schemas(spec: APISpec) -> None:
    """Add the schemas of machines."""
    new, asked = object_schema(NewMachinePart), object_schema(MachinePart)
    spec.components.schema("MachineRequest", new)
    spec.components.schema("MachineChange", asked)
    own: Json = {"workshop": IDENTITY, "changed_at": TIME}
    spec.components.schema(
        "Machine", versioned(asked, own, "A machine of a workshop, with the fields that questions need.")
    )
    spec.components.schema("MachinePage", page_schema(ref("Machine")))
    since: Json = {"version": {"type": "integer", "minimum": 1}, "since": TIME}
    state = closed(
        {**since, **asked["properties"]}, [*since, *asked["required"]], "What a machine said from a time on."
    )
    spec.components.schema("MachineVersionPage", page_schema(state))


def add_machines(spec: APISpec) -> None:
    """Add the machines."""
    machine_schemas(spec)
    owned = {"workshop": "6f1f2a52-7c1e-4c3e-9d0a-2b8a5c9d1e77", **MACHINE}
    filters = [
        {**PARAMETERS["machine"], "name": "workshop", "description": "Only of this workshop."},
        {
            "name": "retired",
            "in": "query",
            "schema": {"type": "string", "enum": ["yes", "no"]},
            "description": "Only those out of use, or only those in use; all if left out.",
        },
    ]
    pages = [PARAMETERS["limit"], PARAMETERS["cursor"]]
    sent = body(ref("MachineRequest"), {"example": owned})
    spec.path(
        "/v1/machines",
        operations={
            "get": listing("machines", "List the machines", "MachinePage", "Newest first.", [*pages, *filters]),
            "post": creating("create_machine", "Enter a machine", sent, created(ref("Machine"), machine_links())),
        },
    )
    where = [path_parameter("machine_id", IDENTITY, "Id of the machine.")]
    found = {"description": "The machine.", "content": json_content(ref("Machine"))}
    anew = body(ref("MachineChange"), {"example": MACHINE}, "The whole record: what is left out is gone from it.")
    spec.path(
        "/v1/machines/{machine_id}",
        operations={
            "get": record_reading("machine", "Read a machine", found, where),
            "put": changing("change_machine", "Change or retire a machine", anew, changed(ref("Machine")), where),
            "delete": deleting("delete_machine", "Delete a machine without readings, entered by mistake", where),
        },
    )
    spec.path(
        "/v1/machines/{machine_id}/versions",
        operations={
            "get": listing(
                "machine_versions", "List what a machine says and said before", "MachineVersionPage",
                "Today's version first.", [*where, *pages], 404,
            )
        },
    )  # fmt: skip


def reading_schemas(spec: APISpec) -> None:
    """Add the schemas of readings."""
    asked = reading_request()
    spec.components.schema("ReadingRequest", asked)
    items = {"type": "array", "minItems": 1, "maxItems": IMPORTED, "items": ref("ReadingRequest")}
    spec.components.schema("ReadingImport", {**closed({"items": items}), "additionalProperties": False})
    own: Json = {"machine": IDENTITY}
    record = versioned(asked, own, "One visit to a machine. It never changes; a wrong one is withdrawn.")
    record["properties"] |= {
        "at": {**TIME, "description": "When it was measured."},
        "withdrawn": closed(
            {"at": TIME, "reason": TEXT}, description="Present when the reading counts in no judgement, and why."
        ),
    }
    record["required"].append("at")
    spec.components.schema("Reading", record)
    spec.components.schema("ReadingPage", page_schema(ref("Reading")))
    spec.components.schema("ReadingsStored", closed({"items": many(ref("Reading"))}))
    spec.components.schema("WithdrawalRequest", object_schema(WithdrawalPart))


def add_readings(spec: APISpec) -> None:
    """Add the readings of a machine."""
    reading_schemas(spec)
    machine = [path_parameter("machine_id", IDENTITY, "Id of the machine.")]
    cursor = {**PARAMETERS["cursor"], "schema": {"type": "string", "pattern": "^[0-9]{14}-[1-9][0-9]{0,17}$"}}
    measured = {
        "name": "measured",
        "in": "query",
        "schema": {"type": "string", "enum": list(MEASURED)},
        "description": "Only readings that hold this.",
    }
    known = {"reading_id": "$response.body#/id", "header.If-Match": "$response.header.ETag"}
    links = {
        "read": link("reading", {"reading_id": "$response.body#/id"}),
        "withdraw": link("withdraw_reading", known),
    }
    sent = body(
        ref("ReadingRequest"),
        {"example": READING, "sensor": {"winding_temperature": "31.5 degC"}},
        "What was measured: one thing at least.",
    )
    spec.path(
        "/v1/machines/{machine_id}/readings",
        operations={
            "get": listing(
                "readings", "List the readings of a machine", "ReadingPage",
                "The latest measurement first; withdrawn readings stay in the list.",
                [*machine, PARAMETERS["limit"], cursor, measured], 404,
            ),
            "post": creating(
                "add_reading", "Store a reading", sent, created(ref("Reading"), links), parameters=machine
            ),
        },
    )  # fmt: skip
    whole = body(
        ref("ReadingImport"),
        {"example": {"items": [READING]}},
        f"At most {BATCH_LIMIT // 1024} KiB, stored together or not at all.",
    )
    stored = created(ref("ReadingsStored"), {}, "All stored, and on the disk, in the order in which they were sent.")
    for name in ("Location", "ETag"):
        del stored["headers"][name]
    del stored["links"]
    operation = creating("import_readings", "Store many readings at once", whole, stored, parameters=machine)
    spec.path("/v1/machines/{machine_id}/readings/import", operations={"post": operation})
    add_one_reading(spec)


def add_one_reading(spec: APISpec) -> None:
    """Add reading and withdrawing one reading."""
    where = [path_parameter("reading_id", IDENTITY, "Id of the reading.")]
    found = {"description": "The reading.", "content": json_content(ref("Reading"))}
    spec.path(
        "/v1/readings/{reading_id}",
        operations={"get": record_reading("reading", "Read a reading", found, where)},
    )
    reason = body(ref("WithdrawalRequest"), {"example": {"reason": "read on the wrong machine"}})
    operation = changing("withdraw_reading", "Withdraw a wrong reading", reason, changed(ref("Reading")), where, 409)
    spec.path("/v1/readings/{reading_id}/withdrawal", operations={"post": operation})


def status_schema() -> Json:
    """Return the schema of a machine's status: flat, without nulls, each resistance in one unit."""
    resistance: Json = {"type": "number", "minimum": 0}
    judged = {
        "machine": IDENTITY,
        "name": TEXT,
        "outcome": ref("Outcome"),
        "summary": {**TEXT, "description": "One sentence for a person, or two."},
        "direction": {
            "type": "string",
            "enum": ["improving", "steady", "worsening", "too-few-readings"],
            "description": "Where the insulation is going.",
        },
        "attention": {"type": "boolean", "description": "Whether somebody should look: not accepted, and not retired."},
        "retired": {"type": "boolean", "description": "Whether the machine is out of use."},
        "tests": {"type": "integer", "minimum": 0, "description": "Insulation tests that count, at most 1,000."},
        "rule_set": {**TEXT, "description": "Rules that judged, as name@version."},
    }
    measured = {
        "measured_at": {**TIME, "description": "When the winding was last tested."},
        "age_days": {"type": "integer", "minimum": 0, "description": "Whole days since."},
        "unit": {"const": "Mohm", "description": "Unit of every resistance here."},
        "resistance": {**resistance, "description": "Lowest resistance of that test, as read."},
        "over_range": {
            "type": "boolean",
            "description": "Whether the instrument showed more than that, its highest reading.",
        },
        "resistance_at_40c": {
            **resistance,
            "description": "The same at 40 °C, where the winding temperature is known.",
        },
        "minimum_at_40c": {**resistance, "description": "Least resistance at 40 °C."},
        "margin": {"type": "number", "description": "Least room to a limit as a share of it; negative beyond it."},
        "next_due": {
            "type": "string",
            "format": "date",
            "description": "Day by which the winding is to be tested again.",
        },
        "due_by_rule": {**TEXT, "description": "Rule that sets that day."},
        "overdue": {"type": "boolean", "description": "Whether that day has passed."},
    }
    description = "How a machine is. A key is left out where nothing is known of it."
    return {**closed({**judged, **measured}, list(judged), description), "additionalProperties": False}


def add_state(spec: APISpec) -> None:
    """Add what is worked out of a machine's readings: trend, status, report."""
    spec.components.schema("MachineStatus", status_schema())
    left_out = closed({"because": TEXT, "readings": {"type": "integer", "minimum": 1}})
    trend = {
        "machine": IDENTITY,
        "used": {"type": "integer", "minimum": 0, "description": "Readings in the record that was judged."},
        "left_out": {**many(left_out), "description": "How many readings cannot be compared with the latest, and why."},
        "answer": ref("InsulationTrendAnswer"),
    }
    spec.components.schema("MachineTrend", closed(trend, description="The insulation trend of a machine."))
    where = [path_parameter("machine_id", IDENTITY, "Id of the machine.")]
    answered = {"description": "The answer.", "content": json_content(ref("MachineTrend"))}
    operation = record_operation(
        "machine_trend", "Insulation trend over the stored readings", answered, 404, 422, parameters=where
    )
    spec.path("/v1/machines/{machine_id}/trend", operations={"get": operation})
    status = {"description": "The status.", "content": json_content(ref("MachineStatus"))}
    spec.path(
        "/v1/machines/{machine_id}/status",
        operations={"get": record_reading("machine_status", "Status of a machine, to be polled", status, where)},
    )
    page = {
        "description": "A page to be printed.",
        "content": json_content(TEXT, "text/html"),
        "headers": {"Content-Security-Policy": {"schema": TEXT}},
    }
    spec.path(
        "/v1/machines/{machine_id}/report",
        operations={"get": record_reading("machine_report", "Report of a machine, to print and sign", page, where)},
    )


def add_assessments(spec: APISpec) -> None:
    """Add the stored assessments."""
    assessment_schemas(spec)
    first = next(iter(base.registry().values()))
    sent = body(
        ref("AssessmentRequest"),
        {"example": {"question": first.name, "request": dict(first.example)}},
        f"At most {LARGEST_BODY // 1024} KiB.",
    )
    links = {"read": link("assessment", {"assessment_id": "$response.body#/id"})}
    question = {
        "name": "question",
        "in": "query",
        "schema": {"type": "string", "enum": list(base.registry())},
        "description": "Only assessments of this question.",
    }
    queries = [PARAMETERS["limit"], PARAMETERS["cursor"], question, PARAMETERS["machine"]]
    summary = "Answer a question and store request and answer"
    spec.path(
        "/v1/assessments",
        operations={
            "get": listing("assessments", "List stored assessments", "AssessmentPage", "Newest first.", queries),
            "post": creating("store_assessment", summary, sent, created(ref("Assessment"), links)),
        },
    )
    where = [path_parameter("assessment_id", IDENTITY, "Id of the assessment.")]
    found = {"description": "The assessment.", "content": json_content(ref("Assessment"))}
    spec.path(
        "/v1/assessments/{assessment_id}",
        operations={"get": record_reading("assessment", "Read a stored assessment", found, where)},
    )


def add_judging_again(spec: APISpec) -> None:
    """Add the comparison of a stored assessment with what another rule set makes of the same readings."""
    side = closed({"rule_set": ref("RuleSetIdentity"), "outcome": TEXT, "summary": TEXT})
    difference = closed(
        {
            "rule": TEXT,
            "kind": {"type": "string", "enum": ["added", "removed", "withdrawn", "restored", "limit", "value"]},
            "direction": {"type": "string", "enum": ["stricter", "looser", "unknown"]},
            "words": TEXT,
            "before": {},
            "after": {},
        },
        ["rule", "kind", "direction", "words"],
        "A rule that differs between the two sets and was used.",
    )
    found = closed(
        {
            "question": TEXT,
            "then": side,
            "now": side,
            "same": {"type": "boolean"},
            "reproduced": {
                "type": ["boolean", "null"],
                "description": "Whether this program still gives the stored answer under the rules of its day; null without them.",
            },
            "because": many(difference),
            "findings": many(closed({"rule": TEXT, "then": TEXT, "now": TEXT})),
            "summary": TEXT,
        },
        description="The stored judgement and today's, and why they differ.",
    )
    spec.components.schema("JudgedAgain", found)
    pinned = {
        "name": "rule_set",
        "in": "query",
        "schema": {"type": "string", "pattern": RULE_SET_PATTERN},
        "description": "Rule set to judge under, as name@version; the service's own if absent.",
    }
    identity = path_parameter("assessment_id", IDENTITY, "Id of the assessment.")
    answered = {"description": "Then and now.", "content": json_content(ref("JudgedAgain"))}
    operation = {
        "tags": ["records"],
        "operationId": "judge_again",
        "summary": "Judge a stored assessment again",
        "parameters": [identity, pinned],
        "responses": responses(answered, 401, 403, 404, 422, 503),
        **SECURITY,
    }
    spec.path("/v1/assessments/{assessment_id}/judged-again", operations={"get": operation})


def add_service(spec: APISpec) -> None:
    """Add what describes the service itself."""
    links = closed({"links": {"type": "object", "additionalProperties": TEXT}})
    spec.path("/v1", operations=plain_reading("service", "index", "Links to everything", links, "The links."))
    version = closed(
        {"version": TEXT, "rule_set": ref("RuleSetIdentity"), "openapi": DIGEST, "python": TEXT, "sqlite": TEXT}
    )
    spec.path(
        "/v1/version",
        operations=plain_reading("service", "version", "Versions of program and rules", version, "The versions."),
    )
    health = closed({"status": {"const": "ok"}})
    spec.path("/healthz", operations=plain_reading("service", "health", "Whether the service is well", health, "Well."))
    document = {"description": "This document.", "content": json_content({"type": "object"})}
    spec.path("/v1/openapi.json", operations=reading("service", "openapi", "This document", document))
    page = {"description": "A page for people.", "content": json_content(TEXT, "text/html")}
    page["headers"] = {"Content-Security-Policy": {"schema": TEXT}}
    spec.path("/docs", operations=reading("service", "documentation", "Operations and questions as a page", page))
    which = {
        "name": "rule_set",
        "in": "query",
        "schema": {"type": "string", "pattern": RULE_SET_PATTERN},
        "description": "Rule set to read, as name@version; the service's own if absent.",
    }
    words = {
        "name": "q",
        "in": "query",
        "schema": {"type": "string", "maxLength": 100, "pattern": r"^[^\x00-\x1f\x7f]*$"},
        "description": "Words that must all stand in a rule.",
    }
    front = reading(
        "rules", "rules_page", "Topics of a rule set, and a search, as a page", page, parameters=[which, words]
    )
    spec.path("/rules", operations=front)
    part: Json = {"type": "string", "pattern": SLUG}
    for path, name, summary, names in (
        ("/rules/{topic}", "topic_page", "The rules of a topic as a page", {"topic": "caution"}),
        ("/rules/{topic}/{rule}", "rule_page", "One rule as a page", {"topic": "caution", "rule": "dc-link-wait"}),
        (
            "/rules/sources/{source}",
            "source_page",
            "A source and what cites it, as a page",
            {"source": "common-practice"},
        ),
    ):
        places = [path_parameter(key, part, f"Name of the {key}.", example) for key, example in names.items()]
        spec.path(path, operations=reading("rules", name, summary, page, parameters=[*places, which]))
    slug = path_parameter("slug", {"type": "string", "enum": list(KINDS)}, "Last part of the problem's type.")
    spec.path(
        "/problems/{slug}",
        operations=reading("service", "problem_page", "What a type of problem means", page, parameters=[slug]),
    )


def build() -> bytes:
    """Return the document."""
    spec = APISpec(
        title="Millphase",
        version=__version__,
        openapi_version="3.1.0",
        info={
            "summary": "Readings and nameplates in, decisions with their sources out",
            "description": DESCRIPTION,
            "license": {"name": "MIT", "identifier": "MIT"},
        },
        servers=[{"url": "/"}],
        # Open unless an operation says otherwise: questions and rules are for everybody to read.
        security=[],
    )
    for name, description in TAGS.items():
        spec.tag({"name": name, "description": description})
    spec.components.security_scheme("token", {"type": "http", "scheme": "bearer"})
    for name, schema in shared_schemas().items():
        spec.components.schema(name, schema)
    for question in base.registry().values():
        add_question(spec, question)
    add_boards(spec)
    add_lists(spec)
    add_rules(spec)
    for part in (add_workshops, add_machines, add_readings, add_state, add_assessments, add_judging_again):
        part(spec)
    add_service(spec)
    return (json.dumps(shortened(spec.to_dict()), indent=1, ensure_ascii=False) + "\n").encode()


def shortened(document: Json) -> Json:
    """Return the document with the schemas of quantities written once each."""
    shared = quantity_schemas()
    short: Json = with_references(document, shared)
    used = set(re.findall(r'"#/components/schemas/([A-Za-z]+)"', json.dumps(short)))
    short["components"]["schemas"] |= {name: schema for name, schema in shared.items() if name in used}
    return short


def client_types(document: bytes) -> bytes:
    """Return the module of the client's types that belongs to the document."""
    beside = Path(__file__).with_name("client_types.py")
    found = importlib.util.spec_from_file_location("client_types", beside)
    if found is None or found.loader is None:
        raise ImportError(f"{beside} cannot be loaded")
    module = importlib.util.module_from_spec(found)
    found.loader.exec_module(module)
    records = ["WorkshopRequest", "MachineRequest", "MachineChange", "ReadingRequest"]
    written: bytes = module.client_types(json.loads(document), [camel(name) for name in base.registry()], records)
    return written


def main() -> int:
    """Write the files, or with ``--check`` say whether they are what would be written."""
    document = build()
    drifted = False
    for target, built in ((TARGET, document), (TYPES, client_types(document))):
        if "--check" not in sys.argv[1:]:
            target.write_bytes(built)
            print(f"wrote {target.name}, {len(built)} bytes")
        elif not target.is_file() or target.read_bytes() != built:
            drifted = True
            print(f"{target.name} has drifted: run python openapi/build.py", file=sys.stderr)
    return int(drifted)


if __name__ == "__main__":
    sys.exit(main())
