"""Released packs: the canonical bytes of a rule set, written once and never again.

Beside the packs, ``index.json`` lists for each ``name@version`` the digest of the pack and the fingerprint of the
files it was compiled from. Where a tree of rule files still has that fingerprint, the pack is loaded in its place:
it was checked when it was released, and its digest proves that it is that pack.
"""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import rfc8785

from millphase.rulebook.loader import RuleFault, RuleFaults
from millphase.rulebook.versions import is_identity

FOLDER = "released"
INDEX = "index.json"
PACK_LIMIT = 8 * 1024 * 1024
"""Largest pack [bytes] that is read, received or sent."""


def canonical(pack: Mapping[str, Any]) -> bytes:
    """RFC 8785 bytes of a pack: what its digest is taken of."""
    return rfc8785.dumps(dict(pack))


def digest_of_bytes(raw: bytes) -> str:
    """``sha256:`` and the hex digits of the SHA-256 of `raw`."""
    return "sha256:" + hashlib.sha256(raw).hexdigest()


def file_name(name: str, version: str) -> str:
    """Name of the file that holds this version of this set."""
    return f"{name}-{version}.json"


def fingerprint(folder: Path) -> str:
    """SHA-256 over path and content of every rule file in `folder`, in order of path."""
    total = hashlib.sha256()
    root = os.fspath(folder)
    for path in sorted(os.path.join(base, name) for base, _, names in os.walk(root) for name in names):  # noqa: PTH118
        if path.endswith(".yaml"):
            with open(path, "rb") as stream:  # noqa: PTH123 - hundreds of files, each Path costs
                total.update(path[len(root) :].replace(os.sep, "/").encode() + b"\0")
                total.update(hashlib.sha256(stream.read()).digest())
    return "sha256:" + total.hexdigest()


def index(folder: Path) -> dict[str, dict[str, str]]:
    """What ``index.json`` in a folder of released packs says; empty where there is none."""
    try:
        found = json.loads((folder / INDEX).read_bytes())
    except FileNotFoundError:
        return {}
    except ValueError as error:
        raise RuleFaults([RuleFault(f"{FOLDER}/{INDEX}", 0, "", f"not JSON ({error}); restore the file")]) from None
    if not isinstance(found, dict) or not all(is_identity(key) and _is_entry(entry) for key, entry in found.items()):
        message = "not a list of packs name@version with digest and files each; restore the file"
        raise RuleFaults([RuleFault(f"{FOLDER}/{INDEX}", 0, "", message)])
    return found


def _is_entry(entry: object) -> bool:
    return (
        isinstance(entry, dict)
        and set(entry) == {"digest", "files"}
        and all(isinstance(text, str) for text in entry.values())
    )


def read_pack(path: Path, digest: str | None = None) -> tuple[dict[str, Any], str]:
    """Read a pack file and return pack and digest.

    Parameters
    ----------
    path : Path
        The file.
    digest : str, optional
        The digest that our own index states.

    Raises
    ------
    RuleFaults
        The file is too large, has another digest, or is not the canonical form of a JSON object.
    """
    shown = path.name
    if path.stat().st_size > PACK_LIMIT:
        raise RuleFaults([RuleFault(shown, 0, "", f"larger than {PACK_LIMIT} bytes; this is no rule set")])
    return pack_of(path.read_bytes(), shown, digest, own=True)


def pack_of(raw: bytes, shown: str, digest: str | None = None, *, own: bool = False) -> tuple[dict[str, Any], str]:
    """Pack and digest of the bytes of a pack file; see :func:`read_pack`.

    With `own`, `digest` comes from our own index: bytes that have it were canonical when they were released.
    """
    found = digest_of_bytes(raw)
    if digest is not None and found != digest:
        message = f"the content has digest {found}, not {digest}: it was altered; fetch or restore it"
        raise RuleFaults([RuleFault(shown, 0, "", message)])
    try:
        pack = json.loads(raw)
        same = (own and digest is not None) or canonical(pack) == raw
    except (ValueError, RecursionError, TypeError, AttributeError, rfc8785.CanonicalizationError):
        pack, same = None, False
    if not same or not isinstance(pack, dict):
        message = "not the canonical form (RFC 8785) of a rule set; fetch it again"
        raise RuleFaults([RuleFault(shown, 0, "", message)])
    return pack, found


def write_once(path: Path, raw: bytes) -> bool:
    """Write a file that never changes afterwards, all of it or nothing.

    Returns
    -------
    bool
        False when the very same file is there already.

    Raises
    ------
    FileExistsError
        The file is there with other content; it is left alone.
    """
    if path.exists():
        if path.read_bytes() == raw:
            return False
        raise FileExistsError(f"{path} is there with other content; a rule set never changes under one version")
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, part = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(raw)
            stream.flush()
            os.fsync(stream.fileno())
        Path(part).chmod(0o644)
        # A link fails where a rename would replace: two writers cannot both win.
        os.link(part, path)
    except FileExistsError:
        return write_once(path, raw)
    finally:
        Path(part).unlink(missing_ok=True)
    _sync(path.parent)
    return True


def replace(path: Path, raw: bytes) -> None:
    """Replace a file by new content in one step."""
    handle, part = tempfile.mkstemp(prefix=f".{path.name}.", suffix=".part", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(raw)
            stream.flush()
            os.fsync(stream.fileno())
        Path(part).chmod(0o644)
        Path(part).replace(path)
    finally:
        Path(part).unlink(missing_ok=True)
    _sync(path.parent)


def _sync(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
