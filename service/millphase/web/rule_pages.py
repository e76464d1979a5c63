"""Routes to the reading pages: the rules by topic, one by one, and their sources, with a search."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from flask import Blueprint, Response, g, render_template, request

from millphase import reports
from millphase.questions.base import RULE_SET_PATTERN, registry
from millphase.reports import rule_pages
from millphase.rulebook import Rulebook
from millphase.rulebook.census import census
from millphase.web.answers import rule_set
from millphase.web.problems import Problem
from millphase.web.replies import tagged
from millphase.web.rules import cited_sources
from millphase.web.service import service

routes = Blueprint("rule_pages", __name__, template_folder=str(Path(reports.__file__).parent / "templates"))

HTML = "text/html; charset=utf-8"
WHICH = {"rule_set": RULE_SET_PATTERN.strip("^$")}
PARAMETERS = {
    "rule_pages.front": {**WHICH, "q": r"[^\x00-\x1f\x7f]{0,100}"},
    "rule_pages.topic": WHICH,
    "rule_pages.rule": WHICH,
    "rule_pages.source": WHICH,
}
"""Query parameters of the pages."""


@routes.get("/rules")
def front() -> Response:
    """Show the topics of a rule set, or what a search finds in it."""
    book = _book()
    words = g.query.get("q", "").strip()
    found = rule_pages.search(book, words) if words else []
    return _page(
        "rules.html", book, words=words, found=found, topics=rule_pages.topics(book), census=census(book.pack),
        sets=[f"{other.name}@{other.version}" for other in service().library.usable()],
    )  # fmt: skip


@routes.get("/rules/<topic>")
def topic(topic: str) -> Response:
    """Show every rule of a topic."""
    book = _book()
    chosen = next((found for found in rule_pages.topics(book) if found.name == topic), None)
    if chosen is None:
        raise Problem("not-found", f"No topic of that name in {book.name}@{book.version}: /rules lists them.")
    return _page("rule_topic.html", book, topic=chosen, entries=_entries(book, chosen.rules))


@routes.get("/rules/<topic>/<rule>")
def rule(topic: str, rule: str) -> Response:
    """Show one rule."""
    book = _book()
    found = book.rules.get(f"{topic}/{rule}")
    if found is None:
        raise Problem("not-found", f"No rule of that name in {book.name}@{book.version}: /rules finds them by words.")
    return _page("rule.html", book, entry=_entries(book, [found])[0], heading=rule_pages.heading(topic))


@routes.get("/rules/sources/<source>")
def source(source: str) -> Response:
    """Show a source record and the rules that cite it."""
    book = _book()
    record = book.sources.get(source)
    if record is None:
        raise Problem("not-found", f"No source of that name in {book.name}@{book.version}.")
    citing = [found for found in book.rules.values() if source in cited_sources(found.data)]
    return _page(
        "rule_source.html", book, source=source, record=record, citing=sorted(citing, key=lambda found: found.id)
    )


def _book() -> Rulebook:
    pinned = g.query.get("rule_set")
    return service().book if pinned is None else rule_set(pinned)


def _entries(book: Rulebook, rules: Any) -> list[rule_pages.Entry]:
    versions = service().library.history(book.name)
    return [rule_pages.entry(book, found, registry().values(), versions) for found in rules]


def _page(template: str, book: Rulebook, **parts: Any) -> Response:
    pinned = g.query.get("rule_set")
    suffix = f"?{urlencode({'rule_set': pinned})}" if pinned else ""
    page = render_template(template, book=book, pinned=pinned, suffix=suffix, **parts).encode()
    return tagged(request, page, hashlib.sha256(page).hexdigest(), media_type=HTML)
