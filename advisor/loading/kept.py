"""A rule set kept ready in a folder of copies, so that a start need not read its YAML anew.

A copy begins with the very bytes of the files it was made of and with what marks this program's own files, and counts
only where all of that is still the same; so it can't be out of date. It holds a rule set in which no problem was
found. Whatever goes wrong with a copy, the YAML is read instead. Overlays are always read from their YAML.
"""

from __future__ import annotations

import gc
import os
import stat
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING
from zlib import crc32

from advisor import __version__
from advisor.loading.where import find_rule_set
from advisor.model.plain_text import rules_of_text, text_of_rules

if TYPE_CHECKING:
    from advisor.model.rules import RuleSet

FOLDER_VARIABLE = "ADVISOR_CACHE"
LARGEST_BYTES = 16 * 2**20
#: The folders of the program whose code makes a rule set of YAML.
_MAKERS = ("", "engine", "loading", "model")
_PROGRAM = Path(__file__).resolve().parent.parent


def ready(name: str, environment: Mapping[str, str]) -> RuleSet:
    """The rule set named by id or folder, ready for judging. Raises Problems."""
    return ready_rule_set(find_rule_set(name), copies_folder(environment))


def copies_folder(environment: Mapping[str, str]) -> Path:
    """The folder named in ADVISOR_CACHE, else this user's cache folder."""
    if environment.get(FOLDER_VARIABLE):
        return Path(environment[FOLDER_VARIABLE])
    from platformdirs import user_cache_path

    return user_cache_path("tire-repair-advisor", appauthor=False)


def ready_rule_set(folder: Path, copies: Path | None) -> RuleSet:
    """The rule set in a folder, from its copy where that counts. Raises Problems with every problem of all files."""
    mark = _mark(folder) if copies is not None else None
    if copies is None or mark is None:
        return _read_anew(folder)
    copy = copies / f"{folder.name}-{crc32(os.fsencode(folder.resolve())):08x}.rules"
    found = _from_copy(copy, mark, folder)
    if found is not None:
        return found
    rules = _read_anew(folder)
    if not rules.about.builds_on and _mark(folder) == mark:
        with suppress(OSError, TypeError, ValueError):
            _write(copy, mark + text_of_rules(rules).encode())
    return rules


def _read_anew(folder: Path) -> RuleSet:
    from advisor.loading.rule_set import load_rule_set

    return load_rule_set(folder)


def _mark(folder: Path) -> bytes | None:
    """Program and files, byte for byte; None where a file can't be read."""
    try:
        files = [path for path in sorted(folder.iterdir()) if ".y" in path.name]
        parts = [b"%s %d\n%s\n" % (os.fsencode(path.name), path.stat().st_size, path.read_bytes()) for path in files]
    except OSError:
        return None
    return b"".join((_mark_of_program(), os.fsencode(folder.name), b"\n", *parts))


def _mark_of_program() -> bytes:
    """The version, and name, size and time of each file whose code counts, as Python marks its own compiled files."""
    files = [
        (entry.name, details.st_size, details.st_mtime_ns)
        for name in _MAKERS
        for entry in os.scandir(_PROGRAM / name)
        if entry.name.endswith(".py") and (details := entry.stat())
    ]
    return f"advisor {__version__} {sorted(files)}\n".encode()


def _from_copy(copy: Path, mark: bytes, folder: Path) -> RuleSet | None:
    try:
        if not _is_own(copy):
            return None
        data = copy.read_bytes()
        return _rules(data[len(mark) :].decode(), folder) if data.startswith(mark) else None
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return None


def _rules(text: str, folder: Path) -> RuleSet:
    """Nothing made here is in a cycle, so the collector of cycles rests."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        return rules_of_text(text, lambda: _read_anew(folder).content)
    finally:
        if collecting:
            gc.enable()


def _is_own(copy: Path) -> bool:
    """Whether nobody but this user can have written a copy."""
    for path in (copy, copy.parent):
        details = path.stat()
        if os.name == "posix" and (details.st_uid != os.getuid() or details.st_mode & (stat.S_IWGRP | stat.S_IWOTH)):
            return False
    return copy.stat().st_size <= LARGEST_BYTES


def _write(copy: Path, data: bytes) -> None:
    """Puts a copy in place at once or not at all, for its owner only. Raises OSError."""
    from tempfile import NamedTemporaryFile

    copy.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with NamedTemporaryFile(dir=copy.parent, prefix=".", delete=False) as file:
        try:
            file.write(data)
            file.close()
            os.replace(file.name, copy)
        except OSError:
            with suppress(OSError):
                os.unlink(file.name)
            raise
