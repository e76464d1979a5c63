"""Routes to the rules: whole sets to share, single rules and sources to read."""

from __future__ import annotations

import hashlib
from typing import Any

from flask import Blueprint, Response, request

from millphase.rulebook import Rulebook
from millphase.web.answers import rule_set
from millphase.web.problems import Problem
from millphase.web.replies import reply, tagged
from millphase.web.service import service

routes = Blueprint("rules", __name__)

FOREVER = "public, max-age=31536000, immutable"


def described(book: Rulebook) -> dict[str, Any]:
    """Return what a list shows of a rule set."""
    return {
        **book.identity,
        "title": book.pack["title"],
        "licence": book.pack["licence"],
        "rules": len(book.rules),
        "sources": len(book.sources),
        "href": f"/v1/rule-sets/{book.name}/{book.version}",
    }


@routes.get("/v1/rule-sets")
def list_rule_sets() -> Response:
    """List the rule sets that can answer."""
    return reply({"rule_sets": [described(book) for book in service().library.usable()]})


@routes.get("/v1/rule-sets/<name>/<version>")
def get_rule_set(name: str, version: str) -> Response:
    """Return a set as the bytes that its digest is taken of, so that whoever fetches it can check them."""
    book = rule_set(f"{name}@{version}")
    cache = FOREVER if service().library.settled(book) else "no-cache"
    return tagged(request, book.canonical, book.digest, cache=cache)


@routes.get("/v1/rule-sets/<name>/<version>/signature")
def get_signature(name: str, version: str) -> Response:
    """Return the signature that the keeper of a set has put beside it."""
    book = rule_set(f"{name}@{version}")
    signature = service().library.signature(f"{name}@{version}")
    if signature is None:
        raise Problem("not-found", f"Rule set {name}@{version} is not signed.")
    return tagged(request, signature, f"{book.digest}/{hashlib.sha256(signature).hexdigest()}")


@routes.get("/v1/rules/<topic>/<rule>")
def get_rule(topic: str, rule: str) -> Response:
    """Return one rule of the set that answers by default, with the source records it cites."""
    book = service().book
    found = book.rules.get(f"{topic}/{rule}")
    if found is None:
        raise Problem("not-found", f"No rule {topic}/{rule} in {book.name}@{book.version}.")
    cited = sorted(set(cited_sources(found.data)))
    body = {
        "rule": dict(found.data),
        "sources": [{"id": source, **book.sources[source]} for source in cited],
        "rule_set": book.identity,
    }
    return tagged(request, body, f"{book.digest}/{topic}/{rule}")


@routes.get("/v1/sources/<source>")
def get_source(source: str) -> Response:
    """Return one source record and the rules that cite it."""
    book = service().book
    record = book.sources.get(source)
    if record is None:
        raise Problem("not-found", f"No source {source} in {book.name}@{book.version}.")
    citing = [rule.id for rule in book.rules.values() if source in cited_sources(rule.data)]
    body = {"source": {"id": source, **record}, "cited_by": sorted(citing), "rule_set": book.identity}
    return tagged(request, body, f"{book.digest}/{source}")


def cited_sources(data: Any) -> list[str]:
    """Return the ids of all sources that a rule cites or was read through, wherever in it they stand."""
    if isinstance(data, dict):
        own = [data[name] for name in ("source", "through") if isinstance(data.get(name), str)]
        return own + [found for part in data.values() for found in cited_sources(part)]
    if isinstance(data, list):
        return [found for part in data for found in cited_sources(part)]
    return []
