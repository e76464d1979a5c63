"""The HTTP service: an application that answers the questions, shares the rules and keeps the records."""

from __future__ import annotations

from flask import Flask, Response, g, request

from millphase.records.store import Store, StoreError, StoreFullError
from millphase.rulebook.book import RuleWithdrawn
from millphase.rulebook.library import Library
from millphase.settings import Settings
from millphase.web import (
    drawings,
    pages,
    problems,
    questions,
    records,
    records_machines,
    records_readings,
    records_state,
    records_workshops,
    rule_pages,
    rules,
)
from millphase.web.problems import Problem
from millphase.web.replies import query
from millphase.web.service import Service

PARAMETERS = {
    **records.PARAMETERS,
    **records_workshops.PARAMETERS,
    **records_machines.PARAMETERS,
    **records_readings.PARAMETERS,
    **rule_pages.PARAMETERS,
    **drawings.PARAMETERS,
}
"""Query parameters of the routes that take any."""

RETRY_SECONDS = "5"


def create_app(settings: Settings | None = None) -> Flask:
    """Return the application.

    Parameters
    ----------
    settings : Settings, optional
        Where rules, records and tokens are; read from the environment if absent.

    Raises
    ------
    SettingsError
        The token file cannot be used.
    RuleFaults
        The rules have faults; each is named.
    UnknownRuleSet
        The rule set that is to answer is not there.
    """
    chosen = Settings.from_environment() if settings is None else settings
    app = Flask(__name__, static_folder=None, template_folder=None)
    app.url_map.merge_slashes = False
    library = Library.load(chosen.rules, chosen.packs, chosen.rule_set)
    Service(chosen, library, Store(chosen.database)).attach(app)
    problems.install(app)
    questions.install(app)
    drawings.install(app)
    # The modules of the records share one blueprint; the last of them stands for all.
    for part in (pages, records_state, rule_pages, rules):
        app.register_blueprint(part.routes)
    app.before_request(_read_query)
    app.after_request(_finish)
    app.register_error_handler(StoreError, _no_store)
    app.register_error_handler(RuleWithdrawn, _withdrawn)
    return app


def _read_query() -> None:
    if request.endpoint is not None:
        g.query = query(request, PARAMETERS.get(request.endpoint, {}))


def _finish(response: Response) -> Response:
    response.headers["X-Request-Id"] = problems.request_id()
    response.headers["X-Content-Type-Options"] = "nosniff"
    if response.mimetype == "text/html":
        response.headers["Content-Security-Policy"] = "default-src 'none'; style-src 'unsafe-inline'"
    return response


def _withdrawn(error: RuleWithdrawn) -> Response:
    # A question answers "inconclusive" by itself; a drawing has no way to say that.
    return problems.respond(Problem("not-found", f"The drawing cannot be made: {error}."))


def _no_store(error: StoreError) -> Response:
    problems.LOGGER.error("%s: %s", problems.request_id(), error)
    if isinstance(error, StoreFullError):
        return problems.respond(Problem("storage-full"))
    return problems.respond(Problem("storage-unavailable", headers={"Retry-After": RETRY_SECONDS}))
