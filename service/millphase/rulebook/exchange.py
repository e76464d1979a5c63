"""Fetch a pack from another instance: all of it and unaltered, or nothing.

The other end is not trusted. Only http and https are spoken, a redirect may not leave the host, no encoding is
unpacked, size and time are bounded, and no byte reaches its place on the disk before digest, form, every rule and
(where a key is given) the signature have been checked.
"""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import httpx2

from millphase.rulebook import packs, released
from millphase.rulebook.book import Rulebook
from millphase.rulebook.loader import RuleFaults
from millphase.rulebook.places import data_root
from millphase.rulebook.sets import held
from millphase.rulebook.signing import SIGNATURE_LIMIT, SignatureRefused, check_signature, signature_file

ATTEMPTS = 4
DEADLINE = 120.0
"""Longest time [s] for one attempt, however slowly bytes keep coming."""
REDIRECTS = 3
_HOST = re.compile(rb"[A-Za-z0-9._:-]+\Z")
_DIGEST = re.compile(r"sha256:[0-9a-f]{64}\Z")
_PATH = re.compile(r"/rule-sets/(?P<name>[^/]+)/(?P<version>[^/]+)/?\Z")


class PullRefused(ValueError):
    """The pack was not taken; nothing was written. The message says why, and what to do."""


class _Interrupted(Exception):
    """The connection failed half-way; trying again is right."""


@dataclass(frozen=True, slots=True)
class Pulled:
    """A pack that is now here."""

    book: Rulebook
    path: Path
    new: bool
    signed_by: str | None
    held: bool
    """Whether its base was here, so that what it says of its changes could be proved."""


def pull(
    url: str, into: Path, *, digest: str | None = None, key: Path | None = None, deadline: float = DEADLINE,
    pause: Callable[[float], None] = time.sleep, transport: httpx2.BaseTransport | None = None, rules: Path | None = None,
) -> Pulled:  # fmt: skip
    """Fetch the pack at `url` into the folder `into`.

    Parameters
    ----------
    url : str
        ``http(s)://…/v1/rule-sets/NAME/VERSION``.
    into : Path
        Folder of fetched packs.
    digest : str, optional
        Digest the pack must have; without it the one that the other instance states in its ETag.
    key : Path, optional
        Public key (PEM) by which the pack must be signed.
    deadline : float
        Longest time for one attempt [s].
    pause : callable
        Waits between attempts [s].
    transport : httpx2.BaseTransport, optional
        How to reach the other instance.
    rules : Path, optional
        Folder of rule sets in which the base of the pack may be; the program's own if absent.

    Raises
    ------
    PullRefused
        Nothing was written.
    """
    if digest is not None and not _DIGEST.match(digest):
        raise PullRefused(f"{digest!r} is no digest; write sha256: and 64 hex digits")
    start = _address(url)
    with httpx2.Client(
        timeout=httpx2.Timeout(20.0, connect=10.0), follow_redirects=False, transport=transport,
        headers={"Accept": "application/json", "Accept-Encoding": "identity", "User-Agent": "millphase"},
    ) as client:  # fmt: skip
        raw, tag = _fetch(client, start, released.PACK_LIMIT, deadline, pause)
        wanted = digest or tag
        if wanted is None:
            raise PullRefused("the other instance states no digest (ETag); ask its keeper for it and give --digest")
        book, proved = _book(raw, wanted, asked=_asked(start), rules=data_root("rules", rules), into=into)
        signature = None
        if key is not None:
            address = start.copy_with(path=start.path.rstrip("/") + "/signature")
            signature, _ = _fetch(client, address, SIGNATURE_LIMIT, deadline, pause)
    signer = _verified(book, signature, key) if key is not None and signature is not None else None
    return _keep(book, raw, signature, into, signer, proved)


def _asked(address: httpx2.URL) -> str | None:
    """``name@version`` that an address of the usual form asks for."""
    found = _PATH.search(address.path)
    return f"{found['name']}@{found['version']}" if found else None


def _book(raw: bytes, wanted: str, *, asked: str | None, rules: Path, into: Path) -> tuple[Rulebook, bool]:
    """The set in the bytes of a pack, once it is sound and the one asked for; and whether its base was here."""
    try:
        book = packs.from_bytes(raw, "the pack", wanted)
        if asked is not None and asked != f"{book.name}@{book.version}":
            raise PullRefused(
                f"asked for {asked}, the other instance sent {book.name}@{book.version}; nothing was written"
            )
        return book, held(book, rules, into)
    except RuleFaults as error:
        more = f" (and {len(error.faults) - 1} more faults)" if len(error.faults) > 1 else ""
        raise PullRefused(f"{error.faults[0]}{more}; nothing was written") from None


def _verified(book: Rulebook, signature: bytes, key: Path) -> str:
    try:
        return check_signature(book.name, book.version, book.digest, signature, key)
    except SignatureRefused as error:
        raise PullRefused(f"{error}; nothing was written") from None


def _keep(
    book: Rulebook, raw: bytes, signature: bytes | None, into: Path, signer: str | None, proved: bool
) -> Pulled:  # fmt: skip
    path = into / released.file_name(book.name, book.version)
    try:
        into.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise PullRefused(f"cannot write into {into}: {error.strerror}") from None
    sweep(into)
    try:
        new = released.write_once(path, raw)
        if signature is not None:
            released.replace(signature_file(path), signature)
    except FileExistsError as error:
        raise PullRefused(f"{error}; the one here was kept. Ask which is right before you move it away") from None
    except OSError as error:
        raise PullRefused(f"cannot write into {into}: {error.strerror}") from None
    return Pulled(book, path, new, signer, proved)


def sweep(folder: Path, older_than: float = 3600.0) -> None:
    """Remove half-written files that a killed process left in `folder` more than `older_than` [s] ago."""
    for part in folder.glob(".*.part"):
        try:
            if time.time() - part.stat().st_mtime > older_than:
                part.unlink()
        except OSError:
            continue


def _address(url: str) -> httpx2.URL:
    try:
        address = httpx2.URL(url)
    except (httpx2.InvalidURL, ValueError):
        raise PullRefused(f"{url!r} is no address; give http(s)://HOST/v1/rule-sets/NAME/VERSION") from None
    if address.host and not _HOST.match(address.raw_host):
        raise PullRefused(f"{url!r} is no address; give http(s)://HOST/v1/rule-sets/NAME/VERSION")
    if address.scheme not in ("http", "https") or not address.host:
        raise PullRefused(f"{url!r}: only http and https addresses are fetched")
    if address.userinfo:
        raise PullRefused("an address with a user name or password in it is not fetched; rule sets are open to read")
    return address


def _fetch(
    client: httpx2.Client, address: httpx2.URL, limit: int, deadline: float, pause: Callable[[float], None]
) -> tuple[bytes, str | None]:
    """Body and stated digest; a broken connection is tried again, anything else is final."""
    trouble = ""
    for attempt in range(ATTEMPTS):
        if attempt:
            pause(0.5 * 2**attempt)
        try:
            return _attempt(client, address, limit, time.monotonic() + deadline)
        except (httpx2.TransportError, _Interrupted) as error:
            trouble = str(error) or type(error).__name__
    raise PullRefused(f"no whole answer from {address.host} after {ATTEMPTS} attempts ({trouble}); try again later")


def _attempt(client: httpx2.Client, address: httpx2.URL, limit: int, until: float) -> tuple[bytes, str | None]:
    for _ in range(REDIRECTS + 1):
        with client.stream("GET", address) as response:
            if response.status_code in (301, 302, 303, 307, 308):
                address = _next(address, response.headers.get("location", ""))
                continue
            if response.status_code >= 500:
                raise _Interrupted(f"status {response.status_code}")
            if response.status_code != 200:
                raise PullRefused(f"{address} answers {response.status_code}: {_meaning(response.status_code)}")
            return _body(response, limit, until), _stated(response.headers.get("etag", ""))
    raise PullRefused(f"more than {REDIRECTS} redirects; give the address that they lead to")


def _meaning(status: int) -> str:
    if status == 404:
        return "there is no such rule set, version or signature"
    return "the other instance refuses; ask its keeper"


def _next(address: httpx2.URL, location: str) -> httpx2.URL:
    try:
        target = address.join(location)
    except (httpx2.InvalidURL, ValueError):
        raise PullRefused("redirected to something that is no address") from None
    origins = [
        (one.scheme, one.host, one.port or {"http": 80, "https": 443}.get(one.scheme)) for one in (address, target)
    ]
    upgraded = origins[0] == ("http", target.host, 80) and origins[1][::2] == ("https", 443)
    if not location or target.userinfo or (origins[0] != origins[1] and not upgraded):
        raise PullRefused(
            f"redirected from {address.host} to another place ({target.scheme}://{target.netloc.decode('ascii', 'replace')}); "
            "if that is where the rule set lives now, give its address yourself"
        )
    return target


def _stated(tag: str) -> str | None:
    value = tag.removeprefix("W/").strip('"')
    return value if _DIGEST.match(value) else None


def _body(response: httpx2.Response, limit: int, until: float) -> bytes:
    encoding = response.headers.get("content-encoding", "identity").strip().lower()
    if encoding not in ("", "identity"):
        raise PullRefused(f"the body is encoded ({encoding}), which was not asked for; it is not unpacked")
    length = response.headers.get("content-length", "")
    if length.isascii() and length.isdigit() and int(length[:20]) > limit:
        raise PullRefused(f"the body says it is {length[:20]} bytes, more than the {limit} a rule set may have")
    received = bytearray()
    # Pieces as they come: waiting for full ones would let a slow sender outlast the deadline.
    for piece in response.iter_raw():
        received += piece
        if len(received) > limit:
            raise PullRefused(f"the body is longer than the {limit} bytes that a rule set may have")
        if time.monotonic() > until:
            raise _Interrupted("it came too slowly")
    return bytes(received)
