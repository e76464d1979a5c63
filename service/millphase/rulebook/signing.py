"""Sign a pack and check a signature: Ed25519 (RFC 8032) over name, version and digest.

A digest proves that a pack is whole; a signature proves whose it is. The signature stands in a small file beside
the pack. It needs the extra ``sign`` (the `cryptography` library); everything else works without.
"""

from __future__ import annotations

import base64
import binascii
import json
import os
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

SIGNATURE_LIMIT = 4096
"""Largest signature file [bytes]."""
_FIELDS = {"rule_set", "digest", "key", "signature"}


class SignatureRefused(ValueError):
    """The signature does not hold, or cannot be made; the message says why."""


def signature_file(pack: Path) -> Path:
    """Where the signature of a pack stands."""
    return pack.with_name(f"{pack.name}.signature")


def _message(name: str, version: str, digest: str) -> bytes:
    # The first line keeps a signature from being taken for one over anything else.
    return f"rule set signature 1\n{name}@{version}\n{digest}\n".encode()


def _need_library() -> None:
    if find_spec("cryptography") is None:
        raise SignatureRefused("signatures need the extra 'sign': pip install 'millphase[sign]'")


def new_key(path: Path) -> str:
    """Make a private key in a file that only its owner can read; returns the public key as PEM text.

    Raises
    ------
    SignatureRefused
        The file is there already, or cannot be written.
    """
    _need_library()
    from cryptography.hazmat.primitives import serialization as form
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    key = Ed25519PrivateKey.generate()
    text = key.private_bytes(form.Encoding.PEM, form.PrivateFormat.PKCS8, form.NoEncryption())
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as stream:
            stream.write(text)
    except OSError as error:
        raise SignatureRefused(f"cannot make {path}: {error.strerror}; a key is never overwritten") from None
    public = key.public_key().public_bytes(form.Encoding.PEM, form.PublicFormat.SubjectPublicKeyInfo)
    return public.decode("ascii")


def _private(path: Path) -> Ed25519PrivateKey:
    _need_library()
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    try:
        key = load_pem_private_key(path.read_bytes(), None)
    except (OSError, ValueError, TypeError) as error:
        raise SignatureRefused(f"{path} holds no private key that can be read ({error})") from None
    if not isinstance(key, Ed25519PrivateKey):
        raise SignatureRefused(f"{path} holds another kind of key; Ed25519 is wanted")
    return key


def _public(path: Path) -> Ed25519PublicKey:
    _need_library()
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
    from cryptography.hazmat.primitives.serialization import load_pem_public_key

    try:
        key = load_pem_public_key(path.read_bytes())
    except (OSError, ValueError, UnsupportedAlgorithm) as error:
        raise SignatureRefused(f"{path} holds no public key that can be read ({error})") from None
    if not isinstance(key, Ed25519PublicKey):
        raise SignatureRefused(f"{path} holds another kind of key; Ed25519 is wanted")
    return key


def _name(key: Ed25519PublicKey) -> str:
    return "ed25519:" + base64.b64encode(key.public_bytes_raw()).decode("ascii")


def sign(name: str, version: str, digest: str, key: Path) -> bytes:
    """The signature file for a pack.

    Raises
    ------
    SignatureRefused
        The key cannot be used.
    """
    private = _private(key)
    signature = base64.b64encode(private.sign(_message(name, version, digest))).decode("ascii")
    stated = {
        "rule_set": f"{name}@{version}",
        "digest": digest,
        "key": _name(private.public_key()),
        "signature": signature,
    }
    return (json.dumps(stated, indent=2) + "\n").encode()


def check_signature(name: str, version: str, digest: str, raw: bytes, key: Path) -> str:
    """Check the signature file `raw` of a pack against the public key in `key`; returns the key's name.

    Raises
    ------
    SignatureRefused
        It is damaged, for another pack, by another key, or wrong.
    """
    public = _public(key)
    from cryptography.exceptions import InvalidSignature

    stated = _stated(raw)
    if (stated["rule_set"], stated["digest"]) != (f"{name}@{version}", digest):
        raise SignatureRefused(f"the signature is for {stated['rule_set']} {stated['digest']}, not for this pack")
    if stated["key"] != _name(public):
        raise SignatureRefused(f"signed by {stated['key']}, not by the key you trust ({_name(public)})")
    try:
        public.verify(base64.b64decode(stated["signature"], validate=True), _message(name, version, digest))
    except (InvalidSignature, binascii.Error, ValueError):
        raise SignatureRefused("the signature is wrong: the pack or the signature was altered") from None
    return _name(public)


def _stated(raw: bytes) -> dict[str, str]:
    try:
        stated = json.loads(raw) if len(raw) <= SIGNATURE_LIMIT else None
    except (ValueError, RecursionError):
        stated = None
    if not isinstance(stated, dict) or set(stated) != _FIELDS or not all(isinstance(v, str) for v in stated.values()):
        raise SignatureRefused("the signature file is damaged; fetch it again")
    return stated
