"""What `advisor check` keeps from one time to the next, so that after an edit only what hangs on it is looked at anew.

What it said of rules in which it found nothing is said again of the same rules, cases and program. Beside that stands
a memory: what was found sound, or read without a problem, by a hash of all that it hangs on, its inputs and the whole
program. What is remembered is thus true of the very same inputs only; whatever is not the same is looked up in vain.
Where a problem was found nothing is remembered of what showed it. Both are copies as `cache.py` has them: damaged, cut
off, of another program or written by somebody else they count for nothing, and all is proved anew.
"""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from pathlib import Path

import msgspec

from advisor.loader.cache import (
    PROGRAM,
    SEAL_BYTES,
    mark_of_rules,
    own_bytes,
    place_of_copy,
    seal_over,
    sealed,
    shares_of,
    write_copy,
)
from advisor.model.ruleset import RuleSet

_CASES = "cases"
#: So many bytes are kept besides what was of use the last time.
MOST_BYTES = 4_000_000
#: Under this name stands what marks the program: what another one kept is of no use.
_OF = "program"


class CheckMemory:
    """What was found sound of the rule set in a folder, by what it hangs on; kept once it is written."""

    def __init__(self, folder: Path, copies: Path) -> None:
        self._copy, self._program = place_of_copy(folder, copies, "proved"), _mark_of_whole_program()
        self._mark = seal_over(self._program or b"")
        self._of = msgspec.json.encode(self._mark.hex())
        self._before = self._read()
        self._now: dict[str, msgspec.Raw] = {}

    def _read(self) -> dict[str, msgspec.Raw]:
        with suppress(OSError, msgspec.MsgspecError, UnicodeDecodeError):
            data = own_bytes(self._copy)
            whole = memoryview(data)[SEAL_BYTES:]
            if self._program is not None and data.startswith(seal_over(whole)):
                kept = msgspec.json.decode(whole, type=dict[str, msgspec.Raw])
                if bytes(kept.pop(_OF, b"")) == self._of:
                    return kept
        return {}

    def key(self, of: str, *parts: bytes) -> str:
        """By what something is remembered: what it is, the program, and each part of what it hangs on, in order."""
        whole = b"".join(b"%d\n%s" % (len(part), part) for part in (self._mark, *parts))
        return f"{of} {seal_over(whole).hex()}"

    def recalled(self, key: str) -> bytes | None:
        """What was kept, as JSON; None where nothing was."""
        if (found := self._now.get(key, self._before.get(key))) is None:
            return None
        self._now[key] = found
        return bytes(found)

    def keep(self, key: str, value: object) -> None:
        """Remembers something as JSON."""
        self._now[key] = msgspec.Raw(msgspec.json.encode(value, enc_hook=str))

    def write(self) -> None:
        """Keeps what was recalled or learned now, and of the rest what was so last; not if the program was edited."""
        whole, left = dict(self._now), MOST_BYTES - sum(map(len, map(bytes, self._now.values())))
        for key, value in self._before.items():
            if key not in whole and (left := left - len(bytes(value))) >= 0:
                whole[key] = value
        if whole != self._before and self._program is not None:
            with suppress(OSError):
                if _mark_of_whole_program() == self._program:
                    write_copy(self._copy, sealed(msgspec.json.encode({_OF: msgspec.Raw(self._of), **whole})))


def seal_of_checked(folder: Path) -> bytes | None:
    """A hash of all that a check goes by: rules, cases, and the whole program; None where a file can't be read."""
    mark, program, cases = mark_of_rules(folder), _mark_of_whole_program(), _bytes_of_cases(folder)
    return None if mark is None or program is None or cases is None else seal_over(mark + program + cases)


def _bytes_of_cases(folder: Path) -> bytes | None:
    """All that stands beside the rules as cases, byte for byte; None where a file can't be read."""
    with suppress(OSError):
        paths = (path for path in sorted((folder / _CASES).rglob("*")) if path.is_file())
        parts = ((os.fsencode(path), path.read_bytes()) for path in paths)
        return b"".join(b"%s %d\n%s\n" % (name, len(data), data) for name, data in parts)
    return None


def _mark_of_whole_program() -> bytes | None:
    """What marks Python and each file of the program; None where one can't be looked at."""
    parts = [sys.version]
    with suppress(OSError):
        for home, folders, files in os.walk(PROGRAM):
            folders[:] = sorted(name for name in folders if name != "__pycache__")
            for name in sorted(files):
                details = os.stat(os.path.join(home, name))
                parts.append(f"{home} {name} {details.st_size} {details.st_mtime_ns}")
        return "\n".join(parts).encode()
    return None


def said_when_checked(folder: Path, copies: Path, mark: bytes | None) -> str | None:
    """What was said of a rule set in which nothing was found; None where anything is other since, or a problem was."""
    try:
        data = own_bytes(place_of_copy(folder, copies, "checked"))
    except OSError:
        return None
    whole = data[SEAL_BYTES:]
    ours = mark is not None and data.startswith(seal_over(whole)) and whole.startswith(mark)
    return whole[SEAL_BYTES:].decode() if ours else None


def keep_said(rules: RuleSet, folder: Path, copies: Path, mark: bytes | None, says: str) -> None:
    """Keeps what was said of a rule set in which nothing was found, unless something was edited meanwhile."""
    with suppress(OSError):
        plain = not rules.about.builds_on and rules.about.shares == shares_of(folder)
        if plain and mark is not None and seal_of_checked(folder) == mark:
            write_copy(place_of_copy(folder, copies, "checked"), sealed(mark + says.encode()))
