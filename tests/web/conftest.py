from __future__ import annotations

import logging
from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient

from millphase.settings import Settings
from millphase.web import create_app


@pytest.fixture
def app(tmp_path: Path) -> Flask:
    return create_app(Settings(database=tmp_path / "records.sqlite3"))


@pytest.fixture
def http(app: Flask) -> FlaskClient:
    return app.test_client()


@pytest.fixture(autouse=True)
def no_hidden_failure(caplog: pytest.LogCaptureFixture, request: pytest.FixtureRequest) -> Iterator[None]:
    """A fault of the service answers a tidy 500, so the log must stay empty unless a test provokes a fault."""
    yield
    if request.node.get_closest_marker("provokes_failure") is None:
        records = [record for when in ("setup", "call") for record in caplog.get_records(when)]
        assert [record.getMessage() for record in records if record.levelno >= logging.ERROR] == []
