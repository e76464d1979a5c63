"""Routes to the drawings: one for each question that has a drawing."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any

from flask import Blueprint, Flask, Response, g, request
from marshmallow import ValidationError

from millphase.answer import Contradiction
from millphase.questions import base
from millphase.questions.base import Invalid
from millphase.reports.drawings import of_parameters, of_question, picture
from millphase.web import body
from millphase.web.answers import CONTRADICTORY, book_for, refusal
from millphase.web.problems import Fault, Problem
from millphase.web.replies import reply

routes = Blueprint("drawings", __name__)

SVG = "image/svg+xml"


def _choices(schema: type[base.Part]) -> dict[str, str]:
    declared: dict[str, Any] = schema._declared_fields
    return {name: "|".join(field.choices) for name, field in declared.items()}


PARAMETERS = {f"parameters:{name}": _choices(schema) for name, (schema, _) in of_parameters().items()}
"""Query parameters of the drawings that take any; each is a choice."""


@cache
def drawn() -> tuple[str, ...]:
    """Return the names of the questions that have a drawing, in working order."""
    return tuple(name for name in base.registry() if of_question(name) is not None)


@routes.get("/v1/drawings")
def list_drawings() -> Response:
    """List the questions that have a drawing."""
    found = [
        {"question": name, "title": base.registry()[name].title, "href": f"/v1/drawings/{name}.svg"} for name in drawn()
    ]
    return reply({"drawings": found})


def install(app: Flask) -> None:
    """Give every drawing its address: POST draws a request, GET the example of the published document."""
    app.register_blueprint(routes)
    for name in drawn():
        path = f"/v1/drawings/{name}.svg"
        app.add_url_rule(path, endpoint=f"draw:{name}", view_func=_view(name), methods=["POST"])
        app.add_url_rule(path, endpoint=f"example:{name}", view_func=_example_view(name), methods=["GET"])
    for name in of_parameters():
        path, endpoint = f"/v1/drawings/{name}.svg", f"parameters:{name}"
        app.add_url_rule(path, endpoint=endpoint, view_func=_parameters_view(name), methods=["GET"])


def _parameters_view(name: str) -> Callable[[], Response]:
    return lambda: _draw_parameters(name, g.query)


def _draw_parameters(name: str, asked: dict[str, str]) -> Response:
    schema, draw = of_parameters()[name]
    try:
        return _svg(draw(schema().load(asked), book_for({}).view(("*",))))
    except ValidationError as error:
        told: dict[str, list[str]] = error.messages_dict
        faults = [Fault(str(words[0]), parameter=name) for name, words in told.items()]
        raise Problem("invalid-request", f"{faults[0].parameter}: {faults[0].message}", faults) from None
    except Contradiction as error:
        fault = Fault(error.message, parameter=error.pointer.lstrip("/"), code=CONTRADICTORY)
        raise Problem(CONTRADICTORY, error.message, [fault]) from None


def _view(name: str) -> Callable[[], Response]:
    return lambda: _draw(name, body.read(request, base.registry()[name].largest_body))


def _example_view(name: str) -> Callable[[], Response]:
    return lambda: _draw(name, dict(base.registry()[name].example))


def _draw(name: str, asked: dict[str, Any]) -> Response:
    try:
        loaded = base.load(base.registry()[name], asked)
        return _svg(picture(name, loaded, book_for(loaded)))
    except Invalid as invalid:
        raise refusal(invalid) from None


def _svg(drawing: str) -> Response:
    # An SVG opened by itself is a document: nothing in it may run or load.
    headers = {"Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'"}
    return reply(drawing.encode(), headers=headers, media_type=SVG)
