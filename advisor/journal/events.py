"""Entries of the journal and the hashes that chain them.

Each entry is linked to the one before in its own consultation (`link`, the same in every journal that holds it), and
to the one before in this journal (`chain`). Personal words stand in the entry only as a commitment: the SHA-256 of
a random salt and the words. Taking salt and words away later leaves every hash as it was (FIPS 180-4 for SHA-256).

Where a consultation went on otherwise on another machine, that way is kept beside ours as a branch, ID~MARK. Its links
are those that it has there, so that it is known again wherever it comes from; the chain holds the branch's name.
"""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Mapping
from typing import Any

from msgspec import Struct

NOTHING_BEFORE = bytes(32)
SALT_BYTES = 32
BRANCH = "~"
#: What is noted beside the consultations, each in a chain of one entry: words forgotten, and words that never came.
FORGOTTEN, WITHHELD = "forgotten", "withheld"


class Private(Struct, frozen=True):
    """Personal words and the salt that hides them in the chain."""

    words: str
    salt: bytes

    @property
    def commitment(self) -> str:
        """What stands for the words in the entry."""
        return hashlib.sha256(self.salt + self.words.encode("utf-8", "backslashreplace")).hexdigest()


class NewEvent(Struct, frozen=True):
    """An entry that is still to be put in its place. `private` holds personal words by field."""

    consultation: str
    at: str
    kind: str
    rules: str
    body: str
    private: tuple[Private, ...] = ()


class Entry(Struct, frozen=True):
    """An entry in its place: `seq` in this journal, `step` in its consultation; both count from 1."""

    seq: int
    consultation: str
    step: int
    at: str
    kind: str
    rules: str
    body: str
    link: bytes
    chain: bytes

    @property
    def data(self) -> dict[str, Any]:
        """The body as plain data; empty for a body that was changed so that it can't be read."""
        try:
            found = json.loads(self.body)
        except (ValueError, RecursionError):
            return {}
        return found if isinstance(found, dict) else {}


_SORTED = json.JSONEncoder(sort_keys=True, separators=(",", ":"))
_IN_ORDER = json.JSONEncoder(separators=(",", ":"))


def canonical(data: Mapping[str, Any]) -> str:
    """Plain data as text, the same for the same data; ASCII only."""
    return _SORTED.encode(data)


def draft(
    consultation: str, at: str, kind: str, rules: str, body: Mapping[str, Any], private: Mapping[str, str] | None = None
) -> NewEvent:
    """An entry made ready; `private` words come in by commitment only."""
    hidden = {
        name: Private(words.encode("utf-8", "backslashreplace").decode(), secrets.token_bytes(SALT_BYTES))
        for name, words in (private or {}).items()
    }
    whole = dict(body)
    if hidden:
        whole["private"] = {name: each.commitment for name, each in hidden.items()}
    return NewEvent(consultation, at, kind, rules, canonical(whole), tuple(hidden.values()))


def link_of(before: bytes, consultation: str, step: int, at: str, kind: str, rules: str, body: str) -> bytes:
    """The hash of an entry and of the one before it in its consultation."""
    content = _IN_ORDER.encode([origin_of(consultation), step, at, kind, rules, body])
    return hashlib.sha256(before + content.encode()).digest()


def chain_of(before: bytes, seq: int, link: bytes, consultation: str = "") -> bytes:
    """The hash of an entry's link, its place, the branch it stands in, and all before it in the journal."""
    branch = consultation.partition(BRANCH)[2]
    return hashlib.sha256(before + seq.to_bytes(8, "big") + link + branch.encode()).digest()


def origin_of(consultation: str) -> str:
    """The id under which a consultation was begun; a branch bears it before its mark."""
    return consultation.partition(BRANCH)[0]


def mark_of(link: bytes) -> str:
    """What tells a branch apart: eight signs of the SHA-256 of a link in it."""
    return hashlib.sha256(link).hexdigest()[:8]


def noted_beside(kind: str, at: str, body: Mapping[str, Any]) -> NewEvent:
    """A note beside the consultations; the same note has the same name in every journal."""
    text = canonical(body)
    name = hashlib.sha256(f"{at} {text}".encode()).hexdigest()[:16]
    return NewEvent(f"#{kind}-{name}", at, kind, "", text)
