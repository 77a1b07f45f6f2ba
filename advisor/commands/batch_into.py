"""A batch written into a file and gone on with after a stop, a kill or a power cut: whole lines there stay."""

from __future__ import annotations

import json
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stdout, suppress
from pathlib import Path

from advisor.errors import Place, Problem, Problems, shown

_OWNER_ONLY = 0o600
_A_BLOCK = 2**20


@contextmanager
def into(name: str, digest: str) -> Iterator[int]:
    """Lets what is printed go into a file behind its last whole line; gives the number of the first case to judge.

    `digest` is that of the rules: lines of JSON judged by others are not mixed with these. Raises Problems.
    """
    path = Path(name)
    try:
        descriptor = os.open(path, os.O_CREAT | os.O_RDWR, _OWNER_ONLY)
    except OSError as error:
        raise _problem(name, f"a file that can't be written: {(error.strerror or '').lower()}") from None
    with os.fdopen(descriptor, "r+b") as file:
        count, end, last = _whole_lines(file.fileno())
        other = _digest_in(last)
        if other and other != digest:
            raise _problem(name, f"results by rules of digest {shown(other, 20)}, not {digest}")
        file.truncate(end)
    with path.open("a", encoding="utf-8", newline="\n") as out, redirect_stdout(out):
        if count:
            sys.stderr.write(f"{count} cases are in {shown(name, 200)} already; going on with the next.\n")
        yield count + 1
        out.flush()
        os.fsync(out.fileno())


def _whole_lines(descriptor: int) -> tuple[int, int, bytes]:
    """How many whole lines a file holds, where the last of them ends, and that line."""
    count, end, at, last, rest = 0, 0, 0, b"", b""
    while block := os.pread(descriptor, _A_BLOCK, at):
        at += len(block)
        *lines, rest = (rest + block).split(b"\n")
        if lines:
            count, last, end = count + len(lines), lines[-1], at - len(rest)
    return count, end, last


def _digest_in(line: bytes) -> str:
    with suppress(ValueError, RecursionError, TypeError, KeyError):
        found = json.loads(line)["rules"]["digest"]
        return found if isinstance(found, str) else ""
    return ""


def _problem(name: str, found: str) -> Problems:
    return Problems(
        [Problem("bad-option", Place(shown(name, 200)), found, "a new file, or one begun by the same rules")]
    )
