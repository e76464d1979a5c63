"""Routes that describe the service: links, versions, the published document, and pages for people."""

from __future__ import annotations

import hashlib
import json
import platform
import re
import sqlite3
from functools import lru_cache
from typing import Any

from flask import Blueprint, Response, current_app, render_template, request

from millphase import __version__
from millphase.questions import base
from millphase.web.problems import KINDS, Problem
from millphase.web.replies import reply, tagged
from millphase.web.service import service

routes = Blueprint("pages", __name__, template_folder="templates")

HTML = "text/html; charset=utf-8"

LINKS = {
    "questions": "/v1/questions",
    "batch": "/v1/batch",
    "drawings": "/v1/drawings",
    "rule_sets": "/v1/rule-sets",
    "workshops": "/v1/workshops",
    "machines": "/v1/machines",
    "assessments": "/v1/assessments",
    "version": "/v1/version",
    "openapi": "/v1/openapi.json",
    "docs": "/docs",
    "rules": "/rules",
    "health": "/healthz",
}


@routes.get("/v1")
def index() -> Response:
    """Link to everything that the service offers."""
    return reply({"links": LINKS})


@routes.get("/v1/version")
def version() -> Response:
    """Say which program, rules and platform answer."""
    return reply(
        {
            "version": __version__,
            "rule_set": service().book.identity,
            "openapi": f"sha256:{service().document_tag}",
            "python": platform.python_version(),
            "sqlite": sqlite3.sqlite_version,
        }
    )


@routes.get("/healthz")
def health() -> Response:
    """Say that the service runs and has its rules."""
    return reply({"status": "ok"}, headers={"Cache-Control": "no-store"})


@routes.get("/v1/openapi.json")
def openapi() -> Response:
    """Return the published document, byte for byte."""
    return tagged(request, service().document, service().document_tag)


@routes.get("/docs")
def docs() -> Response:
    """Show operations and questions with their fields and examples."""
    page = _docs_page(_operations())
    return tagged(request, page, hashlib.sha256(page).hexdigest(), media_type=HTML)


@routes.get("/problems/<slug>")
def problem(slug: str) -> Response:
    """Explain one type of problem."""
    kind = KINDS.get(slug)
    if kind is None:
        raise Problem("not-found", "No problem of that type is ever answered.")
    page = render_template("problem.html", kind=kind).encode()
    return tagged(request, page, hashlib.sha256(page).hexdigest(), media_type=HTML)


def _operations() -> tuple[tuple[str, str, str], ...]:
    """Return method, path and summary of every route, in the order in which they were made."""
    found = []
    for rule in current_app.url_map.iter_rules():
        kind, _, name = rule.endpoint.partition(":")
        if kind == "parameters":
            summary = f"Drawing: {name.replace('-', ' ')}"
        elif name in base.registry():
            what = {"ask": "Answer", "draw": "Drawing", "example": "Drawing of the example"}[kind]
            summary = f"{what}: {base.registry()[name].title}"
        else:
            summary = (current_app.view_functions[rule.endpoint].__doc__ or "").partition("\n")[0]
        path = re.sub(r"<(?:[a-z]+:)?([a-z_]+)>", r"{\1}", rule.rule)
        found += [(method, path, summary) for method in sorted((rule.methods or set()) - {"HEAD", "OPTIONS"})]
    return tuple(found)


@lru_cache(maxsize=1)
def _docs_page(operations: tuple[tuple[str, str, str], ...]) -> bytes:
    """Render the page of these operations and of the questions."""
    questions = [
        {
            "question": question,
            "fields": list(_rows(base.fields.object_schema(question.request))),
            "example": json.dumps(question.example, indent=2, ensure_ascii=False),
        }
        for question in base.registry().values()
    ]
    return render_template(
        "docs.html",
        version=__version__,
        operations=operations,
        questions=questions,
        kinds=KINDS.values(),
    ).encode()


def _values(schema: dict[str, Any]) -> str:
    """Return the values that a field takes, in words, where they can be told."""
    if "enum" in schema:
        return ", ".join(str(choice) for choice in schema["enum"])
    if schema.get("type") == "boolean":
        return "true or false"
    if schema.get("type") in {"integer", "number"} and {"minimum", "maximum"} <= schema.keys():
        kind = "whole number" if schema["type"] == "integer" else "number"
        return f"{kind} from {schema['minimum']} to {schema['maximum']}"
    return ""


def _rows(schema: dict[str, Any], prefix: str = "") -> list[dict[str, Any]]:
    """Return one row for each field of a request schema, nested ones after the field that holds them."""
    rows: list[dict[str, Any]] = []
    for name, part in schema.get("properties", {}).items():
        nested, marks = part, ""
        while nested.get("type") == "array":
            nested, marks = nested["items"], marks + "[]"
        rows.append(
            {
                "name": prefix + name + marks,
                "required": name in schema.get("required", ()),
                "what": part.get("description", ""),
                "values": _values(nested),
                "examples": nested.get("examples", ()),
            }
        )
        rows += _rows(nested, f"{prefix}{name}{marks}.")
    return rows
