"""Routes to the questions: one address for each, and a batch."""

from __future__ import annotations

from collections.abc import Callable

from flask import Blueprint, Flask, Response, request

from millphase.questions import base
from millphase.web import body
from millphase.web.answers import batch, listed
from millphase.web.replies import reply
from millphase.web.service import service

routes = Blueprint("questions", __name__)


@routes.get("/v1/questions")
def list_questions() -> Response:
    """List the questions, in the order in which a job asks them."""
    return reply({"questions": [listed(question) for question in base.registry().values()]})


@routes.post("/v1/batch")
def answer_batch() -> Response:
    """Answer many questions; each item by itself."""
    return reply({"results": batch(body.read(request, body.BATCH_LIMIT))})


def install(app: Flask) -> None:
    """Give every question of the registry its address."""
    app.register_blueprint(routes)
    for name in base.registry():
        app.add_url_rule(f"/v1/{name}", endpoint=f"ask:{name}", view_func=_view(name), methods=["POST"])


def _view(name: str) -> Callable[[], Response]:
    limit = base.registry()[name].largest_body
    return lambda: reply(service().answer(name, body.raw(request, limit)))
