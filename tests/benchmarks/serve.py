"""Runs the service and a bare JSON echo side by side on one waitress server; prints its port."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from flask import Flask, Response, request
from waitress.server import create_server

from millphase.settings import Settings
from millphase.web import create_app
from millphase.web.serving import THREADS


def bare_echo() -> Flask:
    """The least that Flask can do with JSON: read it and write it."""
    app = Flask("echo")

    @app.post("/echo")
    def echo() -> Response:
        return Response(json.dumps(json.loads(request.get_data())), content_type="application/json")

    return app


def main() -> None:
    service, echo = create_app(Settings(database=Path(sys.argv[1]))), bare_echo()

    def both(environ: dict[str, Any], start_response: Any) -> Iterable[bytes]:
        return (echo if environ["PATH_INFO"] == "/echo" else service)(environ, start_response)

    server = create_server(both, host="127.0.0.1", port=0, threads=THREADS)
    print(server.effective_port, flush=True)
    server.run()


if __name__ == "__main__":
    main()
