"""Signatures by a key file: Ed25519 (RFC 8032), by the package cryptography, which is imported only here and only then.

A record's signature is over its last link, which stands for everything in it; it travels with the record. A seal's
is over the number of entries and the last hash of a journal.
"""

from __future__ import annotations

import hashlib
import os
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.journal.data_folder import OWNER_ONLY_FILE
from advisor.model.problems import Misread, Problems, shown

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

LARGEST_KEY_BYTES = 10_000
_RECORD, _SEAL = b"tire-repair-advisor record 1\n", b"tire-repair-advisor seal 1\n"


def record_message(consultation: str, link: bytes) -> bytes:
    """What is signed for a record."""
    return _RECORD + consultation.encode() + b"\n" + link


def seal_message(text: str) -> bytes:
    """What is signed for a seal."""
    return _SEAL + text.encode()


class Signer:
    """A private key out of a file."""

    def __init__(self, path: Path) -> None:
        """Reads the key. Raises Misread where there is none in the file, or the package is missing."""
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
        from cryptography.hazmat.primitives.serialization import load_pem_private_key

        text = _bytes(path)
        try:
            key = load_pem_private_key(text, None)
        except (ValueError, TypeError):
            raise _no_key(path, "an unlocked private key") from None
        if not isinstance(key, Ed25519PrivateKey):
            raise _no_key(path, "an Ed25519 private key")
        self._key: Ed25519PrivateKey = key
        self.mark = _mark(key.public_key())

    def sign(self, message: bytes) -> str:
        """The signature, as hexadecimal text."""
        return self._key.sign(message).hex()


class Checker:
    """A public key out of a file."""

    def __init__(self, path: Path) -> None:
        """Reads the key. Raises Misread where there is none in the file, or the package is missing."""
        from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
        from cryptography.hazmat.primitives.serialization import load_pem_public_key

        text = _bytes(path)
        try:
            key = load_pem_public_key(text)
        except (ValueError, TypeError):
            raise _no_key(path, "a public key") from None
        if not isinstance(key, Ed25519PublicKey):
            raise _no_key(path, "an Ed25519 public key")
        self._key: Ed25519PublicKey = key
        self.mark = _mark(key)

    def holds(self, message: bytes, signature: str) -> bool:
        """Whether a signature is this key's over a message."""
        from cryptography.exceptions import InvalidSignature

        try:
            self._key.verify(bytes.fromhex(signature), message)
        except (InvalidSignature, ValueError):
            return False
        return True


def signer(path: Path) -> Signer:
    """The private key in a file. Raises Misread."""
    need_signing_package()
    return Signer(path)


def checker(path: Path) -> Checker:
    """The public key in a file. Raises Misread."""
    need_signing_package()
    return Checker(path)


def make_key(path: Path) -> tuple[Path, str]:
    """Makes a new pair: the private key in `path`, for the owner only, the public one in `path` with .pub behind.

    Gives the public key's path and its mark. Raises Misread where a file is there already, OSError.
    """
    need_signing_package()
    from cryptography.hazmat.primitives import serialization as form
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    public = path.with_name(f"{path.name}.pub")
    for each in (path, public):
        if each.exists():
            raise Misread(f"{shown(str(each), 200)}, which is there already", "a new file")
    key = Ed25519PrivateKey.generate()
    _write(path, key.private_bytes(form.Encoding.PEM, form.PrivateFormat.PKCS8, form.NoEncryption()))
    _write(public, key.public_key().public_bytes(form.Encoding.PEM, form.PublicFormat.SubjectPublicKeyInfo))
    return public, _mark(key.public_key())


def need_signing_package() -> None:
    """Raises Misread where the package that signs is not installed."""
    if find_spec("cryptography") is None:
        do = "install it with: pip install 'tire-repair-advisor[sign]'"
        raise Misread("no package cryptography", "the package that makes and checks signatures", do)


def _mark(key: Ed25519PublicKey) -> str:
    """What tells keys apart: the first 16 signs of the SHA-256 of the public key."""
    return hashlib.sha256(key.public_bytes_raw()).hexdigest()[:16]


def _bytes(path: Path) -> bytes:
    from advisor.loader.yaml_nodes import opened

    try:
        with opened(path, str(path)) as file:
            return file.read(LARGEST_KEY_BYTES)
    except Problems as error:
        reason = error.problems[0].found
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
    raise Misread(f"{shown(str(path), 200)}: {reason}", "a key file that can be read")


def _write(path: Path, data: bytes) -> None:
    descriptor = os.open(path, os.O_CREAT | os.O_WRONLY | os.O_EXCL, OWNER_ONLY_FILE)
    with os.fdopen(descriptor, "wb") as file:
        file.write(data)


def _no_key(path: Path, expected: str) -> Misread:
    return Misread(f"{shown(str(path), 200)} as a key", expected, "make a pair with: advisor casings --make-key FILE")
