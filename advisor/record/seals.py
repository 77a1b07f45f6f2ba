"""Seals: how many entries a journal held on a day and its last hash, noted outside the journal, signed or not.

A seal shows later that nothing up to its entry was changed, taken out or cut off at the end. The one that lies beside
the journal shows loss and mistakes; whoever may write in that folder can write both anew. One that is kept elsewhere,
or is signed by a key that is, shows more. No seal says anything of entries that came after it, nor that the clock was
right, nor that what was typed is true.
"""

from __future__ import annotations

import json
import os
import sqlite3
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from advisor.errors import Misread, shown
from advisor.record.entry import canonical
from advisor.record.place import OWNER_ONLY_FILE
from advisor.record.signing import Checker, Signer, seal_message
from advisor.record.store import last_in

BESIDE = "seals.jsonl"
LONGEST_LINE, MOST_SEALS = 2000, 200_000


@dataclass(frozen=True, slots=True)
class Seal:
    """One line of a file of seals. `key` and `signature` are empty where it is not signed."""

    at: str
    entries: int
    hash: str
    key: str = ""
    signature: str = ""
    where: str = ""

    @property
    def text(self) -> str:
        """What is sealed, as text."""
        return canonical({"at": self.at, "entries": self.entries, "hash": self.hash})


def seal_of(db: sqlite3.Connection, at: str, signer: Signer | None = None) -> Seal:
    """The seal of a journal as it stands."""
    entries, chain = last_in(db)
    bare = Seal(at, entries, chain.hex())
    if signer is None:
        return bare
    return Seal(at, entries, chain.hex(), signer.mark, signer.sign(seal_message(bare.text)))


def add_seal(path: Path, seal: Seal) -> None:
    """Adds a seal to a file that only its owner can read. Raises OSError."""
    data = {"at": seal.at, "entries": seal.entries, "hash": seal.hash}
    if seal.key:
        data |= {"key": seal.key, "signature": seal.signature}
    descriptor = os.open(path, os.O_CREAT | os.O_RDWR | os.O_APPEND, OWNER_ONLY_FILE)
    with os.fdopen(descriptor, "a", encoding="ascii") as file:
        torn = os.lseek(descriptor, 0, os.SEEK_END) > 0 and os.lseek(descriptor, -1, os.SEEK_END) >= 0
        torn = torn and os.read(descriptor, 1) != b"\n"
        file.write("\n" * torn + canonical(data) + "\n")


def seals_in(path: Path, faults: list[str] | None = None) -> Iterator[Seal]:
    """The seals of a file. A line that is none goes to `faults`, or raises Misread without them. Raises OSError."""
    with path.open("rb") as file:
        for number in range(1, MOST_SEALS):
            line = file.readline(LONGEST_LINE)
            if not line:
                return
            if line.strip():
                try:
                    yield _seal(line, f"{shown(path.name, 80)}:{number}")
                except Misread as error:
                    if faults is None:
                        raise
                    faults.append(error.found)


def _seal(line: bytes, where: str) -> Seal:
    with suppress(ValueError, RecursionError, TypeError, KeyError):
        data = json.loads(line)
        seal = Seal(data["at"], data["entries"], data["hash"], data.get("key", ""), data.get("signature", ""), where)
        texts = (seal.at, seal.hash, seal.key, seal.signature)
        if all(isinstance(text, str) for text in texts) and type(seal.entries) is int and seal.entries >= 0:
            return seal
    raise Misread(f"{where}: a line that is no seal", "a file that --seal wrote")


def signature_fault(seal: Seal, checker: Checker | None) -> str:
    """What is wrong with a seal's signature, or an empty text; without a key nothing is."""
    if checker is None:
        return ""
    if not seal.key:
        return f"{seal.where}: a seal that is not signed"
    if seal.key != checker.mark:
        return f"{seal.where}: a seal signed by another key, {shown(seal.key, 20)}"
    if not checker.holds(seal_message(seal.text), seal.signature):
        return f"{seal.where}: a seal whose signature does not hold"
    return ""
