"""A rule set kept ready in a folder of copies, so that a start need not read its YAML anew.

A copy holds the very bytes of the files it was made of and what marks this program's own files, and counts only where
all of that is still the same; so it can't be out of date. It holds a rule set in which no problem was found.

Two things keep another verdict out of it. A hash of all that it holds stands ahead and is looked at before anything is
read: that shows accidents, a byte turned or an end cut off, and no more, as whoever can write a copy can work its hash
out. That nobody else did is shown by the rights: file and folder must be this user's own, and not to be written to by
others. What is in it is plain JSON, in which nothing can be run. Whatever goes wrong with a copy, it is passed over
without a word and the YAML is read instead. Overlays are always read from their YAML.
"""

from __future__ import annotations

import gc
import os
import re
import stat
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING
from zlib import crc32

from advisor.loader.paths import find_rule_set, shared_folder
from advisor.loader.ruleset_codec import rule_set_from_json, rule_set_to_json
from advisor.model.version import __version__

if TYPE_CHECKING:
    from advisor.model.ruleset import RuleSet

_FOLDER_VARIABLE = "ADVISOR_CACHE"
_LARGEST_BYTES = 16 * 2**20
SEAL_BYTES = 32
_SHARES = re.compile(rb"^shares:[ \t]*([\w.-]+)[ \t]*\r?$", re.MULTILINE)
#: The folders of the program whose code makes a rule set of YAML.
_MAKERS = ("", "engine", "engine/derived", "loader", "model")
PROGRAM = Path(__file__).resolve().parent.parent


def ready(name: str, environment: Mapping[str, str]) -> RuleSet:
    """The rule set named by id or folder, ready for judging. Raises Problems."""
    return ready_rule_set(find_rule_set(name), copies_folder(environment))


def copies_folder(environment: Mapping[str, str]) -> Path:
    """The folder named in ADVISOR_CACHE, else this user's cache folder."""
    if environment.get(_FOLDER_VARIABLE):
        return Path(environment[_FOLDER_VARIABLE])
    from platformdirs import user_cache_path

    return user_cache_path("tire-repair-advisor", appauthor=False)


def ready_rule_set(folder: Path, copies: Path | None) -> RuleSet:
    """The rule set in a folder, from its copy where that counts. Raises Problems with every problem of all files."""
    mark = mark_of_rules(folder) if copies is not None else None
    if copies is None or mark is None:
        return _read_anew(folder)
    copy = place_of_copy(folder, copies, "rules")
    found = _from_copy(copy, mark, folder)
    if found is not None:
        return found
    rules = _read_anew(folder)
    about = rules.about
    with suppress(OSError, TypeError, ValueError):
        if not about.builds_on and about.shares == shares_of(folder) and mark_of_rules(folder) == mark:
            write_copy(copy, sealed(mark + rule_set_to_json(rules)))
    return rules


def place_of_copy(folder: Path, copies: Path, kind: str) -> Path:
    """Where something of a kind is kept of the rule set in a folder."""
    return copies / f"{folder.name}-{crc32(os.fsencode(folder.resolve())):08x}.{kind}"


def _read_anew(folder: Path) -> RuleSet:
    from advisor.loader.ruleset_loader import load_rule_set

    return load_rule_set(folder)


def mark_of_rules(folder: Path) -> bytes | None:
    """Program and files, those that it shares too, byte for byte; None where a file can't be read."""
    parts = [_mark_of_program()]
    try:
        shared = shared_folder(shares_of(folder), folder)
        for home in (folder,) if shared is None else (folder, shared):
            parts.append(os.fsencode(home.name) + b"\n")
            for path in sorted(home.iterdir()):
                if ".y" in path.name and not path.is_file():
                    return None
                if ".y" in path.name:
                    parts.append(b"%s %d\n%s\n" % (os.fsencode(path.name), path.stat().st_size, path.read_bytes()))
    except OSError:
        return None
    return b"".join(parts)


def shares_of(folder: Path) -> str:
    """The folder that about.yaml shares, where a line says so plainly; no copy is made where one says it otherwise."""
    found = _SHARES.search((folder / "about.yaml").read_bytes())
    return os.fsdecode(found[1]) if found else ""


def _mark_of_program() -> bytes:
    """The version, and name, size and time of each file whose code counts, as Python marks its own compiled files."""
    files = [
        (entry.name, details.st_size, details.st_mtime_ns)
        for name in _MAKERS
        for entry in os.scandir(PROGRAM / name)
        if entry.name.endswith(".py") and (details := entry.stat())
    ]
    return f"advisor {__version__} {sorted(files)}\n".encode()


def _from_copy(copy: Path, mark: bytes, folder: Path) -> RuleSet | None:
    try:
        data = own_bytes(copy)
        whole = memoryview(data)[SEAL_BYTES:]
        if not data.startswith(seal_over(whole)) or not data.startswith(mark, SEAL_BYTES):
            return None
        return _rules(whole[len(mark) :], folder)
    except (OSError, ValueError, LookupError, TypeError, AttributeError, ArithmeticError, RecursionError, MemoryError):
        return None


def sealed(data: bytes) -> bytes:
    """What a copy holds, with the hash that shows damage ahead of it."""
    return seal_over(data) + data


def seal_over(data: bytes | memoryview) -> bytes:
    """A hash of all that something holds, or goes by."""
    try:
        from _blake2 import blake2b  # hashlib would load OpenSSL first, which takes longer than the hash
    except ImportError:
        from hashlib import blake2b
    return blake2b(data, digest_size=SEAL_BYTES).digest()


def _rules(data: memoryview, folder: Path) -> RuleSet:
    """Nothing made here is in a cycle, so the collector of cycles rests."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        return rule_set_from_json(data, lambda: _read_anew(folder).content)
    finally:
        if collecting:
            gc.enable()


def own_bytes(copy: Path) -> bytes:
    """The bytes of a copy that nobody but this user can have written. Raises OSError for any other.

    What is looked at is the open file, so that nothing can be put in its place meanwhile; a link is not followed, and
    nothing is waited for.
    """
    if os.name != "posix":
        return copy.read_bytes() if copy.stat().st_size <= _LARGEST_BYTES else b""
    folder = _opened(copy.parent, os.O_DIRECTORY, None)
    try:
        file = _opened(Path(copy.name), os.O_NOFOLLOW | os.O_NONBLOCK, folder)
        with open(file, "rb") as stream:
            details = os.fstat(file)
            if not stat.S_ISREG(details.st_mode) or details.st_size > _LARGEST_BYTES:
                raise OSError("no copy of ours")
            return stream.read(details.st_size)
    finally:
        os.close(folder)


def _opened(path: Path, how: int, folder: int | None) -> int:
    """A file or folder opened to read, which is this user's and which nobody else can write to. Raises OSError."""
    found = os.open(path, os.O_RDONLY | how, dir_fd=folder)
    details = os.fstat(found)
    if details.st_uid != os.getuid() or details.st_mode & (stat.S_IWGRP | stat.S_IWOTH):
        os.close(found)
        raise OSError("somebody else could have written it")
    return found


def write_copy(copy: Path, data: bytes) -> None:
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
