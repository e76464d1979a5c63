"""The client: one method for each operation, typed answers, typed errors, finite waits, retries that do no harm."""

from __future__ import annotations

import ast
import json
import re
import socket
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import httpx2
import pytest

import millphase_client
from millphase.questions.base import registry
from millphase.settings import Settings, Tokens, new_token
from millphase.web import create_app
from millphase.web.serving import DEFAULT_PORT, Server
from millphase_client import (
    ApiError,
    Client,
    Conflict,
    Invalid,
    Machine,
    NotAllowed,
    NotFound,
    Quantity,
    Reading,
    Refused,
    ServerError,
    UnreachableError,
    Workshop,
)

ROOT = Path(__file__).parents[2]
NAME = next(iter(registry()))
EXAMPLE = dict(registry()[NAME].example)
DOCUMENT = json.loads((ROOT / "openapi" / "openapi.json").read_text("utf-8"))
OPERATIONS = {
    operation["operationId"]: (method.upper(), path)
    for path, methods in DOCUMENT["paths"].items()
    for method, operation in methods.items()
}


@pytest.fixture
def client(tmp_path: Path) -> Iterator[Client]:
    app = create_app(Settings(database=tmp_path / "records.sqlite3"))
    with Client("http://localhost", transport=httpx2.WSGITransport(app=app)) as client:
        yield client


def method_of(operation: str) -> str:
    """Name of the client's method for an operation; drawings share one method for each HTTP method."""
    for prefix, shared in (("example_drawing_", "example_drawing"), ("draw_", "draw")):
        if operation.startswith(prefix):
            return shared
    return operation


NOBODY = "00000000-0000-4000-8000-000000000000"
ONE = {"id": NOBODY, "version": 1, "created_at": "", "changed_at": "", "name": "shaper"}

ARGUMENTS: dict[str, tuple[Any, ...]] = {
    "create_workshop": ({"name": "Tansy Yard"},),
    "workshop": (NOBODY,),
    "change_workshop": (Workshop.read(ONE), {"name": "x"}),
    "delete_workshop": (Workshop.read(ONE),),
    "create_machine": ({},),
    "machine": (NOBODY,),
    "change_machine": (Machine.read({**ONE, "workshop": NOBODY}), {}),
    "delete_machine": (Machine.read({**ONE, "workshop": NOBODY}),),
    "machine_versions": (NOBODY,),
    "machine_trend": (NOBODY,),
    "machine_status": (NOBODY,),
    "machine_report": (NOBODY,),
    "readings": (NOBODY,),
    "add_reading": (NOBODY, {}),
    "import_readings": (NOBODY, [{}]),
    "reading": (NOBODY,),
    "withdraw_reading": (Reading(NOBODY, NOBODY, "", 1, ""), "wrong"),
    "batch": ([(NAME, EXAMPLE)],),
    "rule_set": ("workshop", "1.0.0"),
    "rule_set_signature": ("workshop", "1.0.0"),
    "rule": ("caution", "dc-link-wait"),
    "topic_page": ("caution",),
    "rule_page": ("caution", "dc-link-wait"),
    "source_page": ("common-practice",),
    "judge_again": ("00000000-0000-4000-8000-000000000000",),
    "source": ("common-practice",),
    "store_assessment": (NAME, EXAMPLE),
    "assessment": ("00000000-0000-4000-8000-000000000000",),
    "problem_page": ("not-found",),
    "terminal_board": ("delta",),
}


@pytest.mark.parametrize("operation", OPERATIONS)
def test_every_operation_has_one_method_that_sends_it(operation: str) -> None:
    sent: list[tuple[str, str]] = []

    def record(request: httpx2.Request) -> httpx2.Response:
        sent.append((request.method, request.url.path))
        raise httpx2.ReadError("recorded")

    method, path = OPERATIONS[operation]
    arguments = ARGUMENTS.get(operation, ())
    if operation.replace("_", "-") in registry():
        arguments = ({},)
    elif operation.startswith(("draw_", "example_drawing_")):
        question = path.removeprefix("/v1/drawings/").removesuffix(".svg")
        arguments = (question, {}) if method == "POST" else (question,)
    with (
        Client("http://localhost", retries=0, transport=httpx2.MockTransport(record)) as client,
        pytest.raises(UnreachableError),
    ):
        getattr(client, method_of(operation))(*arguments)
    assert len(sent) == 1
    assert sent[0][0] == method
    assert re.fullmatch(re.sub(r"\{[a-z_]+\}", "[^/]+", path), sent[0][1])


def test_every_question_known_to_the_design_has_a_method() -> None:
    # The names that are fixed for callers written today.
    names = ["insulation_acceptance", "insulation_trend", "winding_balance", "connection_choice", "drive_sizing", "cable_sizing",
             "leakage_budget", "trip_diagnosis", "motor_fit", "spindle_speeds", "commissioning_check", "changeover"]  # fmt: skip
    assert all(callable(getattr(Client, name)) for name in names)


@pytest.mark.parametrize("name", registry())
def test_answers_are_typed_and_lose_nothing(client: Client, name: str) -> None:
    answer = getattr(client, name.replace("-", "_"))(dict(registry()[name].example))
    assert answer.question == name
    assert answer.outcome in {"accept", "caution", "inconclusive", "reject"}
    assert answer.extra == {}
    assert answer.rule_set.digest.startswith("sha256:")
    for finding in answer.findings:
        assert finding.source.checked in {"read", "secondary", "memory"}
        assert finding.extra == finding.source.extra == {}
        assert finding.limit is None or isinstance(finding.limit, Quantity)
    for step in answer.working:
        assert step.substitution
        assert isinstance(step.gives, Quantity)


def test_rules_and_lists(client: Client) -> None:
    assert [question.name for question in client.questions()] == list(registry())
    first = client.rule_sets()[0]
    assert client.rule_set(first["name"], first["version"])["name"] == first["name"]
    assert client.rule("caution", "dc-link-wait")["rule"]["kind"] == "text"
    assert client.source("common-practice")["source"]["id"] == "common-practice"
    assert client.health()
    assert client.version()["rule_set"]["name"] == first["name"]
    assert client.index()["links"]["questions"] == "/v1/questions"
    assert client.openapi()["openapi"].startswith("3.1")
    with pytest.raises(NotFound):
        client.rule_set_signature(first["name"], first["version"])
    assert "dc-link-wait" in client.rules_page("DC link")
    assert "<html" in client.topic_page("caution")
    assert "<html" in client.rule_page("caution", "dc-link-wait")
    assert "<html" in client.source_page("common-practice")
    assert "<html" in client.documentation()
    assert "<html" in client.problem_page("not-found")
    for question in client.drawings():
        assert client.draw(question, dict(registry()[question].example)).startswith("<svg")
        assert client.example_drawing(question).startswith("<svg")
    assert "L1 goes on T1" in client.terminal_board("star", marking="nema", leads="6")
    assert "L1 goes on U1" in client.terminal_board("delta")


def test_batch_tells_answers_from_problems(client: Client) -> None:
    good, bad = client.batch([(NAME, EXAMPLE), (NAME, {"wrong": 1})])
    assert good.answer is not None
    assert good.answer.question == NAME
    assert bad.answer is None
    assert bad.problem is not None
    assert "/wrong" in [fault.pointer for fault in bad.problem.errors]


def test_records(client: Client) -> None:
    stored = client.store_assessment(NAME, EXAMPLE)
    assert client.assessment(stored.id) == stored
    same = client.store_assessment(NAME, EXAMPLE, idempotency_key="mine")
    assert client.store_assessment(NAME, EXAMPLE, idempotency_key="mine") == same
    assert [entry.id for entry in client.every_assessment()] == [same.id, stored.id]
    page = client.assessments(limit=1, question=NAME)
    assert page.items[0].id == same.id
    rest = client.assessments(limit=1, cursor=page.cursor)
    assert [entry.id for entry in rest.items] == [stored.id]
    assert rest.cursor is None
    assert client.judge_again(stored.id)
    with pytest.raises(NotFound):
        client.assessment("none")


PLATE = {"name": "shaper", "rated_voltage": "400 V", "winding": "random-wound", "manufactured": 1987}
VISIT = {
    "insulation": [{"between": "UVW-earth", "resistance": "85 Mohm", "test_voltage": "500 V", "after": "60 s",
                    "instrument": "insulation-tester", "winding_temperature": "20 degC"}],
    "drive_disconnected": True,
}  # fmt: skip


def test_workshops_machines_and_readings(client: Client) -> None:
    workshop = client.create_workshop({"name": "Tansy Yard"})
    assert client.workshop(workshop.id) == workshop
    assert client.workshops().items == (workshop,)
    renamed = client.change_workshop(workshop, {**workshop.fields, "note": "key at the house"})
    assert (renamed.name, renamed.version) == ("Tansy Yard", 2)
    machine = client.create_machine({**PLATE, "workshop": workshop.id}, idempotency_key="one")
    assert client.create_machine({**PLATE, "workshop": workshop.id}, idempotency_key="one") == machine
    assert (machine.name, machine.fields) == ("shaper", PLATE)
    assert client.machine(machine.id) == machine
    assert client.machines(workshop=workshop.id, retired=False).items == (machine,)
    assert client.machines(retired=True).items == ()
    moved = client.change_machine(machine, {**machine.fields, "place": "north wall"})
    assert [state.fields.get("place") for state in client.machine_versions(machine.id).items] == ["north wall", None]
    with pytest.raises(Conflict):
        client.change_machine(machine, PLATE)
    stored = client.import_readings(machine.id, [{**VISIT, "at": f"2025-0{n}-01T08:00:00Z"} for n in (1, 2, 3)])
    warm = client.add_reading(machine.id, {"winding_temperature": "31 degC"})
    assert client.reading(warm.id) == warm
    assert [reading.id for reading in client.every_reading(machine.id)] == [warm.id, *(r.id for r in stored[::-1])]
    page = client.readings(machine.id, limit=2, measured="insulation")
    rest = client.readings(machine.id, limit=2, measured="insulation", cursor=page.cursor)
    assert [reading.at[:7] for reading in page.items + rest.items] == ["2025-03", "2025-02", "2025-01"]
    gone = client.withdraw_reading(stored[2], "wrong motor")
    assert gone.withdrawn is not None
    assert (gone.withdrawn.reason, gone.fields["insulation"]) == ("wrong motor", VISIT["insulation"])
    status = client.machine_status(machine.id)
    assert (status.outcome, status.overdue, status.tests, status.unit) == ("caution", True, 2, "Mohm")
    trend = client.machine_trend(machine.id)
    assert (trend.used, trend.left_out) == (2, ())
    assert trend.answer.values["direction"] == "too-few-readings"
    assert "<svg" in client.machine_report(machine.id)
    about = client.store_assessment(NAME, EXAMPLE, machine=machine.id)
    assert about.machine == machine.id
    assert [entry.id for entry in client.every_assessment(machine=machine.id)] == [about.id]
    with pytest.raises(Conflict):
        client.delete_machine(moved)
    other = client.create_machine({**PLATE, "workshop": workshop.id})
    client.delete_machine(other)
    with pytest.raises(NotFound):
        client.machine(other.id)
    spare = client.create_workshop({"name": "spare"})
    client.delete_workshop(spare)


def test_a_changeover_gives_its_parts(client: Client) -> None:
    answer = client.changeover(dict(registry()["changeover"].example))
    assert answer.answers
    assert all(part.question == name for name, part in answer.answers.items())
    assert client.ask(NAME, EXAMPLE).answers == {}


def test_faults_come_with_their_place(client: Client) -> None:
    with pytest.raises(Invalid, match="/wrong") as raised:
        client.ask(NAME, {**EXAMPLE, "wrong": 1})
    assert raised.value.status == 422
    assert not raised.value.contradictory
    assert raised.value.request_id
    with pytest.raises(Invalid) as contradiction:
        client.insulation_acceptance({**registry()["insulation-acceptance"].example, "rated_voltage": "900 kV"})
    assert contradiction.value.contradictory
    with pytest.raises(NotFound, match=r"workshop@999\.0\.0"):
        client.ask(NAME, {**EXAMPLE, "rule_set": "workshop@999.0.0"})
    with pytest.raises(ValueError, match="JSON"):
        client.ask(NAME, {"a": float("nan")})


def test_no_text_of_a_caller_reaches_another_address(client: Client) -> None:
    for text in ("a/b", "../rules", "a?b=c", "a#b", "a%2fb"):
        with pytest.raises(NotFound):
            client.source(text)
    for text in ("", ".", ".."):
        with pytest.raises(ValueError, match="address"):
            client.source(text)


def problem(status: int) -> httpx2.Response:
    body = {"type": "/problems/x", "title": "X", "status": status, "detail": "why", "new": 1}
    return httpx2.Response(status, json=body, headers={"Content-Type": "application/problem+json"})


@pytest.mark.parametrize(
    ("status", "kind"),
    [(400, Refused), (401, NotAllowed), (403, NotAllowed), (404, NotFound), (405, Refused), (409, Conflict), (412, Conflict),
     (413, Refused), (415, Refused), (422, Invalid), (428, Conflict), (500, ServerError), (507, ServerError)],
)  # fmt: skip
def test_each_status_has_its_type(status: int, kind: type[ApiError]) -> None:
    with (
        Client("http://x", transport=httpx2.MockTransport(lambda _: problem(status))) as client,
        pytest.raises(kind, match="why") as raised,
    ):
        client.index()
    assert raised.value.status == status
    assert raised.value.problem.extra == {"new": 1}


def test_an_answer_in_no_form() -> None:
    for response in (httpx2.Response(502, text="<html>"), httpx2.Response(400, json=[1])):
        with (
            Client("http://x", retries=0, transport=httpx2.MockTransport(lambda _, r=response: r)) as client,
            pytest.raises(ApiError) as raised,
        ):
            client.index()
        assert raised.value.status == response.status_code
    with (
        Client("http://x", transport=httpx2.MockTransport(lambda _: httpx2.Response(200, text="<html>"))) as client,
        pytest.raises(UnreachableError, match="JSON"),
    ):
        client.index()


@pytest.fixture
def pauses(monkeypatch: pytest.MonkeyPatch) -> list[float]:
    slept: list[float] = []
    monkeypatch.setattr("millphase_client.transport.time.sleep", slept.append)
    return slept


def flaky(
    *replies: httpx2.Response | Exception,
) -> tuple[list[httpx2.Request], Callable[[httpx2.Request], httpx2.Response]]:
    seen: list[httpx2.Request] = []

    def handle(request: httpx2.Request) -> httpx2.Response:
        seen.append(request)
        reply = replies[len(seen) - 1]
        if isinstance(reply, Exception):
            raise reply
        return reply

    return seen, handle


def test_retries_with_the_same_key_and_no_longer_than_bounded(pauses: list[float]) -> None:
    stored = {"id": "1", "question": NAME, "request": {}, "created_at": "", "answer": {
        "question": NAME, "outcome": "accept", "summary": "", "values": {}, "findings": [], "working": [], "next_steps": [],
        "cautions": [], "assumptions": [], "rule_set": {"name": "w", "version": "1", "digest": "sha256:0"}}}  # fmt: skip
    busy = problem(503)
    busy.headers["Retry-After"] = "3600"
    seen, handle = flaky(httpx2.ConnectError("no"), busy, httpx2.Response(201, json=stored))
    with Client("http://x", transport=httpx2.MockTransport(handle)) as client:
        client.store_assessment(NAME, {})
    assert len({request.headers["Idempotency-Key"] for request in seen}) == 1
    assert len(seen) == 3
    assert pauses[1] == 5.0
    assert pauses[0] <= 0.2


CHANGES = [
    lambda client: client.change_machine(Machine.read({**ONE, "workshop": NOBODY}), {}),
    lambda client: client.delete_workshop(Workshop.read(ONE)),
    lambda client: client.withdraw_reading(Reading(NOBODY, NOBODY, "", 1, ""), "wrong"),
]


@pytest.mark.parametrize("change", CHANGES)
def test_a_change_is_not_sent_again_when_it_may_have_been_made(
    pauses: list[float], change: Callable[[Client], object]
) -> None:
    """Its first attempt would have moved the version, and the second would be told that it is stale."""
    for failure, kind in (
        (httpx2.ReadTimeout("slow"), UnreachableError),
        (problem(502), ServerError),
        (problem(504), ServerError),
    ):
        seen, handle = flaky(failure)
        with Client("http://x", transport=httpx2.MockTransport(handle)) as client, pytest.raises(kind):
            change(client)
        assert len(seen) == 1
        assert seen[0].headers["If-Match"] == '"1"'
    done = httpx2.Response(200, json={**ONE, "workshop": NOBODY, "machine": NOBODY, "at": ""})
    # Never sent, or told that nothing was stored: then it is.
    seen, handle = flaky(httpx2.ConnectError("no"), problem(503), done)
    with Client("http://x", transport=httpx2.MockTransport(handle)) as client:
        change(client)
    assert len(seen) == 3


def test_gives_up_after_the_last_retry(pauses: list[float]) -> None:
    seen, handle = flaky(*[httpx2.ReadTimeout("slow")] * 3)
    with (
        Client("http://x", transport=httpx2.MockTransport(handle)) as client,
        pytest.raises(UnreachableError, match="slow"),
    ):
        client.ask(NAME, {})
    assert len(seen) == 3
    seen, handle = flaky(*[problem(503)] * 3)
    with Client("http://x", transport=httpx2.MockTransport(handle)) as client, pytest.raises(ServerError):
        client.ask(NAME, {})


@pytest.mark.parametrize("status", [400, 404, 422, 500, 507])
def test_what_will_not_get_better_is_not_retried(pauses: list[float], status: int) -> None:
    seen, handle = flaky(problem(status), problem(status))
    with Client("http://x", transport=httpx2.MockTransport(handle)) as client, pytest.raises(ApiError):
        client.ask(NAME, {})
    assert len(seen) == 1
    assert pauses == []


def test_waits_are_finite() -> None:
    with socket.create_server(("127.0.0.1", 0)) as silent:
        port = silent.getsockname()[1]
        start = time.monotonic()
        with Client(f"http://127.0.0.1:{port}", timeout=0.2, retries=0) as client, pytest.raises(UnreachableError):
            client.health()
        assert time.monotonic() - start < 5
    for timeout in (0, -1, float("inf")):
        with pytest.raises(ValueError, match="timeout"):
            Client(timeout=timeout)
    with pytest.raises(ValueError, match="retries"):
        Client(retries=-1)


def test_over_a_real_socket_with_a_token(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    token, line = new_token("panel")
    (tmp_path / "tokens").write_text(line, "utf-8")
    settings = Settings(database=tmp_path / "records.sqlite3", tokens=Tokens.load(tmp_path / "tokens"))
    server = Server(port=0, settings=settings)
    thread = threading.Thread(target=server.run)
    thread.start()
    # A proxy of the environment must not come between the client and its own machine.
    monkeypatch.setenv("HTTP_PROXY", "http://127.0.0.1:9")
    monkeypatch.setenv("MILLPHASE_URL", server.url)
    try:
        with Client() as client:
            assert client.ask(NAME, EXAMPLE).question == NAME
            with pytest.raises(NotAllowed):
                client.store_assessment(NAME, EXAMPLE)
        with Client(token=token) as client:
            stored = client.store_assessment(NAME, EXAMPLE)
            assert [entry.id for entry in client.every_assessment()] == [stored.id]
    finally:
        server.stop()
        thread.join(10)


def test_the_default_address_is_the_one_that_is_served() -> None:
    from millphase_client.transport import DEFAULT_URL

    assert DEFAULT_URL.endswith(f":{DEFAULT_PORT}")


def test_the_client_imports_nothing_of_the_service_and_itself_relatively() -> None:
    for path in (ROOT / "clients" / "python" / "src" / "millphase_client").glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            names = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom) and node.level == 0:
                names = [node.module or ""]
            assert not [name for name in names if name.split(".")[0].startswith("millphase")], path


def test_models_keep_what_a_newer_service_adds() -> None:
    from millphase_client.models import Answer

    source = {"id": "s", "title": "t", "locator": "-", "basis": "standard", "checked": "read", "edition": "2"}
    answer = Answer.read({
        "question": "q", "outcome": "accept", "summary": "s", "values": {"a": {"value": 1.5, "unit": "Mohm"}, "rows": [{"b": {"value": 2, "unit": "V"}}]},
        "findings": [{"rule": "r", "outcome": "accept", "because": "b", "source": source, "decides": True, "new": 1}],
        "working": [{"what": "w", "formula": "a = b", "with": "1", "gives": {"value": 1, "unit": "V"}}],
        "next_steps": ["n"], "cautions": ["c"], "assumptions": [{"field": "f", "assumed": "20 degC", "rule": "r"}],
        "rule_set": {"name": "n", "version": "v", "digest": "d"}, "since": "2",
    })  # fmt: skip
    assert answer.extra == {"since": "2"}
    assert answer.values["a"] == Quantity(1.5, "Mohm")
    assert str(answer.values["a"]) == "1.5 Mohm"
    assert answer.values["rows"][0]["b"] == Quantity(2, "V")
    assert answer.findings[0].extra == {"new": 1}
    assert answer.findings[0].source.extra == {"edition": "2"}
    assert answer.working[0].substitution == "1"
    assert set(millphase_client.__all__) <= set(dir(millphase_client))
