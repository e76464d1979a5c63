"""The client: one method for each operation of the service."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterable, Iterator, Mapping
from types import TracebackType
from typing import TYPE_CHECKING, Any, Self, TypeVar, cast
from urllib.parse import quote

import httpx2

from .models import (
    Answer,
    Assessment,
    BatchResult,
    Entry,
    Machine,
    MachineStatus,
    MachineTrend,
    MachineVersion,
    Page,
    QuestionSummary,
    Reading,
    Workshop,
)
from .transport import Transport

if TYPE_CHECKING:
    from . import types

Json = dict[str, Any]
RequestBody = Mapping[str, object]
Item = TypeVar("Item")

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

    # Workshops

    def create_workshop(self, workshop: types.WorkshopRequest, *, idempotency_key: str | None = None) -> Workshop:
        """Enter a workshop; the same key never stores twice within 24 h."""
        return Workshop.read(self._create("/v1/workshops", workshop, idempotency_key))

    def workshops(self, *, limit: int = 50, cursor: str | None = None) -> Page[Workshop]:
        """Return one page of workshops, newest first."""
        return self._page("/v1/workshops", Workshop.read, limit, cursor)

    def workshop(self, workshop_id: str) -> Workshop:
        """Return a workshop."""
        return Workshop.read(self._transport.json("GET", f"/v1/workshops/{_segment(workshop_id)}"))

    def change_workshop(self, workshop: Workshop, record: types.WorkshopRequest) -> Workshop:
        """Replace what `workshop` says; :class:`~millphase_client.Conflict` if somebody changed it meanwhile."""
        return Workshop.read(self._change("PUT", f"/v1/workshops/{_segment(workshop.id)}", workshop.version, record))

    def delete_workshop(self, workshop: Workshop) -> None:
        """Delete a workshop that nothing belongs to."""
        self._delete(f"/v1/workshops/{_segment(workshop.id)}", workshop.version)

    # Machines

    def create_machine(self, machine: types.MachineRequest, *, idempotency_key: str | None = None) -> Machine:
        """Enter a machine of a workshop; the same key never stores twice within 24 h."""
        return Machine.read(self._create("/v1/machines", machine, idempotency_key))

    def machines(
        self, *, workshop: str | None = None, retired: bool | None = None, limit: int = 50, cursor: str | None = None
    ) -> Page[Machine]:
        """Return one page of machines, newest first; `retired` asks for those out of use, or in use, only."""
        asked = {"workshop": workshop, "retired": None if retired is None else "yes" if retired else "no"}
        return self._page("/v1/machines", Machine.read, limit, cursor, **asked)

    def machine(self, machine_id: str) -> Machine:
        """Return a machine."""
        return Machine.read(self._transport.json("GET", _machine(machine_id)))

    def change_machine(self, machine: Machine, record: types.MachineChange) -> Machine:
        """Replace what `machine` says, or retire it; :class:`~millphase_client.Conflict` if it was changed meanwhile."""
        return Machine.read(self._change("PUT", _machine(machine.id), machine.version, record))

    def delete_machine(self, machine: Machine) -> None:
        """Delete a machine that was entered by mistake and has no readings."""
        self._delete(_machine(machine.id), machine.version)

    def machine_versions(self, machine_id: str, *, limit: int = 50, cursor: str | None = None) -> Page[MachineVersion]:
        """Return one page of what a machine says and said before, today's version first."""
        return self._page(f"{_machine(machine_id)}/versions", MachineVersion.read, limit, cursor)

    def machine_trend(self, machine_id: str) -> MachineTrend:
        """Return the insulation trend over the stored readings of a machine."""
        return MachineTrend.read(self._transport.json("GET", f"{_machine(machine_id)}/trend"))

    def machine_status(self, machine_id: str) -> MachineStatus:
        """Return how a machine is and when its winding is to be tested again."""
        return MachineStatus.read(self._transport.json("GET", f"{_machine(machine_id)}/status"))

    def machine_report(self, machine_id: str) -> str:
        """Return the report of a machine, as HTML to print."""
        return self._transport.send("GET", f"{_machine(machine_id)}/report").text

    # Readings

    def add_reading(
        self, machine_id: str, reading: types.ReadingRequest, *, idempotency_key: str | None = None
    ) -> Reading:
        """Store a reading of a machine; the same key never stores twice within 24 h."""
        return Reading.read(self._create(f"{_machine(machine_id)}/readings", reading, idempotency_key))

    def import_readings(
        self, machine_id: str, readings: Iterable[types.ReadingRequest], *, idempotency_key: str | None = None
    ) -> list[Reading]:
        """Store up to 1,000 readings of a machine: all of them, or none."""
        body = {"items": list(readings)}
        stored = self._create(f"{_machine(machine_id)}/readings/import", body, idempotency_key)
        return [Reading.read(part) for part in stored["items"]]

    def readings(
        self, machine_id: str, *, measured: str | None = None, limit: int = 50, cursor: str | None = None
    ) -> Page[Reading]:
        """Return one page of a machine's readings, the latest first, withdrawn ones among them."""
        return self._page(f"{_machine(machine_id)}/readings", Reading.read, limit, cursor, measured=measured)

    def every_reading(self, machine_id: str, *, measured: str | None = None) -> Iterator[Reading]:
        """Go through all readings of a machine, the latest first, a page at a time."""
        return _every(lambda cursor: self.readings(machine_id, measured=measured, limit=100, cursor=cursor))

    def reading(self, reading_id: str) -> Reading:
        """Return a reading."""
        return Reading.read(self._transport.json("GET", f"/v1/readings/{_segment(reading_id)}"))

    def withdraw_reading(self, reading: Reading, reason: str) -> Reading:
        """Withdraw a wrong reading: it stays in the list and counts in no judgement."""
        path = f"/v1/readings/{_segment(reading.id)}/withdrawal"
        return Reading.read(self._change("POST", path, reading.version, {"reason": reason}))

    # Assessments

    def store_assessment(
        self, question: str, request: RequestBody, *, machine: str | None = None, idempotency_key: str | None = None
    ) -> Assessment:
        """Ask a question and store request and answer; the same key never stores twice within 24 h.

        Parameters
        ----------
        question : str
            Name of the question.
        request : mapping
            Its request.
        machine : str, optional
            Id of the machine that it is about.
        idempotency_key : str, optional
            Key of your own; a new one if not given.
        """
        body = {"question": question, "request": request} | ({} if machine is None else {"machine": machine})
        return Assessment.read(self._create("/v1/assessments", body, idempotency_key))

    def assessment(self, assessment_id: str) -> Assessment:
        """Return a stored assessment."""
        return Assessment.read(self._transport.json("GET", f"/v1/assessments/{_segment(assessment_id)}"))

    def assessments(
        self, *, question: str | None = None, machine: str | None = None, limit: int = 50, cursor: str | None = None
    ) -> Page[Entry]:
        """Return one page of stored assessments, newest first."""
        return self._page("/v1/assessments", Entry.read, limit, cursor, question=question, machine=machine)

    def judge_again(self, assessment_id: str, *, rule_set: str | None = None) -> Json:
        """Return what a stored assessment says under another rule set, and the difference; today's if none is named."""
        query = {} if rule_set is None else {"rule_set": rule_set}
        path = f"/v1/assessments/{_segment(assessment_id)}/judged-again"
        return cast("Json", self._transport.json("GET", path, query=query))

    def every_assessment(self, *, question: str | None = None, machine: str | None = None) -> Iterator[Entry]:
        """Go through all stored assessments, newest first, a page at a time."""
        return _every(lambda cursor: self.assessments(question=question, machine=machine, limit=100, cursor=cursor))

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

    # What the methods above share

    def _create(self, path: str, body: Mapping[str, Any], key: str | None) -> Json:
        headers = {"Idempotency-Key": str(uuid.uuid4()) if key is None else key}
        return cast("Json", self._transport.json("POST", path, body=body, headers=headers))

    def _change(self, method: str, path: str, version: int, body: Mapping[str, Any]) -> Json:
        headers = {"If-Match": f'"{version}"'}
        return cast("Json", self._transport.json(method, path, body=body, headers=headers, repeatable=False))

    def _delete(self, path: str, version: int) -> None:
        self._transport.send("DELETE", path, headers={"If-Match": f'"{version}"'}, repeatable=False)

    def _page(
        self, path: str, read: Callable[[Json], Item], limit: int, cursor: str | None, **asked: str | None
    ) -> Page[Item]:
        query = {"limit": str(limit), "cursor": cursor, **asked}
        given = {name: value for name, value in query.items() if value is not None}
        page = self._transport.json("GET", path, query=given)
        following = page.get("next")
        return Page(
            tuple(read(part) for part in page["items"]),
            httpx2.URL(following).params["cursor"] if following else None,
        )


def _every(page_at: Callable[[str | None], Page[Item]]) -> Iterator[Item]:
    """Go through all pages of a list."""
    cursor: str | None = None
    while True:
        page = page_at(cursor)
        yield from page.items
        cursor = page.cursor
        if cursor is None:
            return


def _machine(machine_id: str) -> str:
    return f"/v1/machines/{_segment(machine_id)}"


def _segment(text: str) -> str:
    """Return `text` as one path segment, so that no input of a caller reaches another address."""
    if text in {"", ".", ".."}:
        raise ValueError(f"{text!r} cannot be part of an address")
    return quote(text, safe="")
