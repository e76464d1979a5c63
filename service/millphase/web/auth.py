"""Who may see the records: holders of a token, or, without any tokens, callers on this machine."""

from __future__ import annotations

import ipaddress

from flask import Request

from millphase.settings import Tokens
from millphase.web.problems import Problem


def require(request: Request, tokens: Tokens) -> str | None:
    """Let the request pass to the records, or refuse it.

    Returns
    -------
    str or None
        Id of the workshop that the caller's token is bound to; None where it opens everything.

    Raises
    ------
    Problem
        401 without a known token where there are tokens; 403 without any tokens for a request that was
        addressed to another name than this machine's own loopback names.
    """
    if not tokens:
        # A page in a browser can point a name of its own at 127.0.0.1; it cannot choose the Host header.
        if not _is_loopback_name(request):
            raise Problem("not-allowed-here")
        return None
    scheme, _, credentials = request.headers.get("Authorization", "").partition(" ")
    label = tokens.label_of(credentials.strip()) if scheme.lower() == "bearer" else None
    if label is None:
        raise Problem("token-required", headers={"WWW-Authenticate": 'Bearer realm="records"'})
    return tokens.workshops.get(label)


def _is_loopback_name(request: Request) -> bool:
    host = request.headers.get("Host", "")
    name = host.rsplit(":", 1)[0] if not host.endswith("]") else host
    name = name.strip("[]").lower()
    if name == "localhost":
        return True
    try:
        return ipaddress.ip_address(name).is_loopback
    except ValueError:
        return False
