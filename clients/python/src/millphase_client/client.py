"""The client: one method for each operation of the service."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Iterator, Mapping
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self, cast
from urllib.parse import quote

import httpx2

from .models import Answer, Assessment, BatchResult, Entry, Page, QuestionSummary
from .transport import Transport

if TYPE_CHECKING:
    from . import types

Json = dict[str, Any]
RequestBody = Mapping[str, object]

VERSION = "0.1.0"


class Client:
    """Asks a running service; use it in a ``with`` block, or close it.

    Parameters
    ----------
    base_url : str, optional
        Address of the service; ``MILLPHASE_URL`` of the environment if absent, else the local default.
    token : str, optional
        Bearer token for the records.
    timeout : float
        Longest wait for an answer [s]; to connect, 2 s at most.
    retries : int
        Further attempts after a lost connection or 502, 503, 504.
    transport : httpx2.BaseTransport, optional
        Replaces the network, for tests.

    Notes
    -----
    Every method raises :class:`~millphase_client.UnreachableError` when no answer comes, and a subclass of
    :class:`~millphase_client.ApiError` when the service answers with a problem.
    """

    def __init__(
        self,
        base_url: str | None = None,
        *,
        token: str | None = None,
        timeout: float = 10.0,
        retries: int = 2,
        transport: httpx2.BaseTransport | None = None,
    ) -> None:
        self._transport = Transport(base_url, token, timeout, retries, transport, f"millphase-client/{VERSION}")

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def close(self) -> None:
        """Close the connections."""
        self._transport.close()

    # Questions: each takes the request as the service documents it and returns the answer.

    def ask(self, question: str, request: RequestBody) -> Answer[Any]:
        """Ask a question by its name; the methods below do so for the questions known to this client."""
        return Answer.read(self._transport.json("POST", f"/v1/{_segment(question)}", body=request))

    def insulation_acceptance(
        self, request: types.InsulationAcceptanceRequest
    ) -> Answer[types.InsulationAcceptanceValues]:
        """Decide whether an insulation resistance is good enough to energise the winding."""
        return self.ask("insulation-acceptance", request)

    def insulation_trend(self, request: types.InsulationTrendRequest) -> Answer[types.InsulationTrendValues]:
        """Decide whether insulation gets better or worse over the years, and when it meets its limit."""
        return self.ask("insulation-trend", request)

    def winding_balance(self, request: types.WindingBalanceRequest) -> Answer[types.WindingBalanceValues]:
        """Decide whether the three winding resistances agree."""
        return self.ask("winding-balance", request)

    def connection_choice(self, request: types.ConnectionChoiceRequest) -> Answer[types.ConnectionChoiceValues]:
        """Choose star or delta, name the links, and say what the drive must be told."""
        return self.ask("connection-choice", request)

    def drive_sizing(self, request: types.DriveSizingRequest) -> Answer[types.DriveSizingValues]:
        """Decide whether a drive is large enough, and what it takes from the supply."""
        return self.ask("drive-sizing", request)

    def cable_sizing(self, request: types.CableSizingRequest) -> Answer[types.CableSizingValues]:
        """Choose the cross-section and the protective device of a circuit."""
        return self.ask("cable-sizing", request)

    def leakage_budget(self, request: types.LeakageBudgetRequest) -> Answer[types.LeakageBudgetValues]:
        """Decide whether a residual-current device will hold, and whether it still protects."""
        return self.ask("leakage-budget", request)

    def trip_diagnosis(self, request: types.TripDiagnosisRequest) -> Answer[types.TripDiagnosisValues]:
        """Rank what may be tripping a residual-current device, and name the next test."""
        return self.ask("trip-diagnosis", request)

    def motor_fit(self, request: types.MotorFitRequest) -> Answer[types.MotorFitValues]:
        """Decide whether another motor fits the feet, the shaft, the pulley and the key."""
        return self.ask("motor-fit", request)

    def spindle_speeds(self, request: types.SpindleSpeedsRequest) -> Answer[types.SpindleSpeedsValues]:
        """Work out the spindle speeds, the torque at each, and what limits them."""
        return self.ask("spindle-speeds", request)

    def commissioning_check(self, request: types.CommissioningCheckRequest) -> Answer[types.CommissioningCheckValues]:
        """Decide whether the tests of a finished machine allow it to be handed over."""
        return self.ask("commissioning-check", request)

    def changeover(self, request: types.ChangeoverRequest) -> Answer[types.ChangeoverValues]:
        """Answer every question of a changeover in one call, each fed from the one before it."""
        return self.ask("changeover", request)

    def questions(self) -> list[QuestionSummary]:
        """List the questions that the service answers."""
        return [QuestionSummary.read(part) for part in self._transport.json("GET", "/v1/questions")["questions"]]

    def batch(self, items: Iterable[tuple[str, RequestBody]]) -> list[BatchResult]:
        """Ask many questions in one call; one bad item does not spoil the rest."""
        body = {"items": [{"question": question, "request": request} for question, request in items]}
        return [BatchResult.read(part) for part in self._transport.json("POST", "/v1/batch", body=body)["results"]]

    # Drawings

    def drawings(self) -> list[str]:
        """List the questions whose answers can be drawn."""
        found = self._transport.json("GET", "/v1/drawings")["drawings"]
        return [part["question"] for part in found]

    def draw(self, question: str, request: RequestBody) -> str:
        """Return the SVG drawing that belongs to the answer."""
        return self._transport.send("POST", f"/v1/drawings/{_segment(question)}.svg", body=request).text

    def example_drawing(self, question: str) -> str:
        """Return the SVG drawing of the example that the service documents for the question."""
        return self._transport.send("GET", f"/v1/drawings/{_segment(question)}.svg").text

    def terminal_board(self, connection: str, *, marking: str = "iec", leads: str | None = None) -> str:
        """Return the SVG drawing of a motor's terminal board with its links.

        Parameters
        ----------
        connection : str
            star, delta, parallel-star, series-star, parallel-delta or series-delta.
        marking : str
            iec, din, gost, bs or nema.
        leads : str, optional
            3, 6, 9 or 12; six for star and delta, nine for the others, if not given.
        """
        query = {"connection": connection, "marking": marking} | ({"leads": leads} if leads else {})
        return self._transport.send("GET", "/v1/drawings/terminal-board.svg", query=query).text

    # Rules and sources

    def rule_sets(self) -> list[Json]:
        """List the rule sets that the service answers by."""
        return cast("list[Json]", self._transport.json("GET", "/v1/rule-sets")["rule_sets"])

    def rule_set(self, name: str, version: str) -> Json:
        """Return a whole rule set, as it can be shared."""
        return cast("Json", self._transport.json("GET", f"/v1/rule-sets/{_segment(name)}/{_segment(version)}"))

    def rule_set_signature(self, name: str, version: str) -> Json:
        """Return the signature that the keeper of a rule set has put beside it; NotFound where there is none."""
        path = f"/v1/rule-sets/{_segment(name)}/{_segment(version)}/signature"
        return cast("Json", self._transport.json("GET", path))

    def rule(self, topic: str, rule: str) -> Json:
        """Return one rule: its value, where it comes from, and how far that was checked."""
        return cast("Json", self._transport.json("GET", f"/v1/rules/{_segment(topic)}/{_segment(rule)}"))

    def source(self, source: str) -> Json:
        """Return one source record."""
        return cast("Json", self._transport.json("GET", f"/v1/sources/{_segment(source)}"))

    # Records

    def store_assessment(
        self, question: str, request: RequestBody, *, idempotency_key: str | None = None
    ) -> Assessment:
        """Ask a question and store request and answer; the same key never stores twice within 24 h."""
        key = str(uuid.uuid4()) if idempotency_key is None else idempotency_key
        body = {"question": question, "request": request}
        headers = {"Idempotency-Key": key}
        return Assessment.read(self._transport.json("POST", "/v1/assessments", body=body, headers=headers))

    def assessment(self, assessment_id: str) -> Assessment:
        """Return a stored assessment."""
        return Assessment.read(self._transport.json("GET", f"/v1/assessments/{_segment(assessment_id)}"))

    def assessments(self, *, question: str | None = None, limit: int = 50, cursor: str | None = None) -> Page[Entry]:
        """Return one page of stored assessments, newest first."""
        query = {"limit": str(limit)}
        if question is not None:
            query["question"] = question
        if cursor is not None:
            query["cursor"] = cursor
        page = self._transport.json("GET", "/v1/assessments", query=query)
        following = page.get("next")
        return Page(
            tuple(Entry.read(part) for part in page["items"]),
            httpx2.URL(following).params["cursor"] if following else None,
        )

    def judge_again(self, assessment_id: str, *, rule_set: str | None = None) -> Json:
        """Return what a stored assessment says under another rule set, and the difference; today's if none is named."""
        query = {} if rule_set is None else {"rule_set": rule_set}
        path = f"/v1/assessments/{_segment(assessment_id)}/judged-again"
        return cast("Json", self._transport.json("GET", path, query=query))

    def every_assessment(self, *, question: str | None = None) -> Iterator[Entry]:
        """Go through all stored assessments, newest first, a page at a time."""
        cursor: str | None = None
        while True:
            page = self.assessments(question=question, limit=100, cursor=cursor)
            yield from page.items
            cursor = page.cursor
            if cursor is None:
                return

    # The service itself

    def index(self) -> Json:
        """Return the links that everything else is reached by."""
        return cast("Json", self._transport.json("GET", "/v1"))

    def version(self) -> Json:
        """Return the versions of the service, its rules and its platform."""
        return cast("Json", self._transport.json("GET", "/v1/version"))

    def health(self) -> bool:
        """Return whether the service says that it is well."""
        return bool(self._transport.json("GET", "/healthz")["status"] == "ok")

    def openapi(self) -> Json:
        """Return the OpenAPI document of the service."""
        return cast("Json", self._transport.json("GET", "/v1/openapi.json"))

    def documentation(self) -> str:
        """Return the page of operations and questions, as HTML."""
        return self._transport.send("GET", "/docs").text

    def rules_page(self, words: str | None = None) -> str:
        """Return the page of topics, or of the rules in which all the words stand, as HTML."""
        return self._transport.send("GET", "/rules", query={} if words is None else {"q": words}).text

    def topic_page(self, topic: str) -> str:
        """Return the page of the rules of one topic, as HTML."""
        return self._transport.send("GET", f"/rules/{_segment(topic)}").text

    def rule_page(self, topic: str, rule: str) -> str:
        """Return the page of one rule, as HTML."""
        return self._transport.send("GET", f"/rules/{_segment(topic)}/{_segment(rule)}").text

    def source_page(self, source: str) -> str:
        """Return the page of one source and the rules that cite it, as HTML."""
        return self._transport.send("GET", f"/rules/sources/{_segment(source)}").text

    def problem_page(self, slug: str) -> str:
        """Return the page that explains one type of problem, as HTML."""
        return self._transport.send("GET", f"/problems/{_segment(slug)}").text


def _segment(text: str) -> str:
    """Return `text` as one path segment, so that no input of a caller reaches another address."""
    if text in {"", ".", ".."}:
        raise ValueError(f"{text!r} cannot be part of an address")
    return quote(text, safe="")
