"""What a hostile body and one integration of the rectifier cost; printed, not judged."""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path

import pytest

from millphase.physics.rectifier import steady_state
from millphase.questions.base import ask, registry
from millphase.rulebook import workshop
from millphase.settings import Settings
from millphase.web import create_app
from web.test_bad_input import HOSTILE


def best(repeats: int, call: Callable[[], object]) -> float:
    """Shortest processor time of several calls [s]."""
    times = []
    for _ in range(repeats):
        start = time.process_time()
        call()
        times.append(time.process_time() - start)
    return min(times)


def test_cost_of_a_refusal(tmp_path: Path) -> None:
    client = create_app(Settings(database=tmp_path / "records.sqlite3")).test_client()
    client.get("/v1/questions")
    taken = {
        name: best(3, lambda path=path, body=body: client.post(path, data=body, content_type="application/json"))
        for name, (path, body) in HOSTILE.items()
    }
    slowest = max(taken, key=lambda name: taken[name])
    print(f"\nslowest of {len(taken)} refusals: {1e3 * taken[slowest]:.0f} ms, {slowest}")


@pytest.mark.parametrize("name", list(registry()))
def test_cost_of_an_answer(name: str) -> None:
    def answer() -> None:
        steady_state.cache_clear()
        ask(name, dict(registry()[name].example), workshop()).as_json()

    print(f"\n{name}: {1e3 * best(10, answer):.2f} ms, nothing remembered")
