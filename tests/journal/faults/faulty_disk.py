"""A disk that fails where it is told to, under the very SQLite that the program uses.

SQLite lets a program put its own layer between it and the files (sqlite.org/vfs.html). The one here is the usual one
with three doors changed: writing, cutting off and syncing. It is made with ctypes in the library that the module
sqlite3 has loaded, so nothing is built, installed or preloaded. It also writes down what went to which file and what
was synced, so that the files can be put together as they could lie there after a power cut at any moment.
"""

from __future__ import annotations

import _sqlite3
import ctypes
import random
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from ctypes import CFUNCTYPE, POINTER, c_char_p, c_int, c_int64, c_void_p
from dataclasses import dataclass, field
from pathlib import Path

FULL, IOERR_WRITE, IOERR_FSYNC, IOERR_TRUNCATE = 13, 778, 1034, 1546
KEPT_FILES = 0x100 | 0x80000  # SQLITE_OPEN_MAIN_DB, SQLITE_OPEN_WAL
SECTOR = 512

_WRITE = CFUNCTYPE(c_int, c_void_p, c_void_p, c_int, c_int64)
_TRUNCATE = CFUNCTYPE(c_int, c_void_p, c_int64)
_SYNC = CFUNCTYPE(c_int, c_void_p, c_int)
_OPEN = CFUNCTYPE(c_int, c_void_p, c_void_p, c_void_p, c_int, c_void_p)


class _Methods(ctypes.Structure):
    _fields_ = [("version", c_int)] + [
        (name, c_void_p)
        for name in ("close", "read", "write", "truncate", "sync", "size", "lock", "unlock", "reserved", "control",
                     "sector", "device", "shm_map", "shm_lock", "shm_barrier", "shm_unmap", "fetch", "unfetch")
    ]  # fmt: skip


class _Vfs(ctypes.Structure):
    _fields_ = [
        ("version", c_int), ("file_size", c_int), ("longest_path", c_int), ("next", c_void_p), ("name", c_char_p),
        ("data", c_void_p), ("open", c_void_p), *((f"other{each}", c_void_p) for each in range(15)),
    ]  # fmt: skip


@dataclass
class Change:
    """What went to a file: bytes at a place, the length it was cut to, or a sync."""

    kind: str
    name: str
    place: int = 0
    data: bytes = b""


@dataclass
class Disk:
    """What was done, and what is to fail: a function of the kind of change and how many there were before."""

    fails: Callable[[str, int], str] = lambda kind, count: ""
    log: list[Change] = field(default_factory=list)
    failed: int = 0

    def power_cut(self, after: int, dice: random.Random) -> dict[str, bytes]:
        """The files as they could be after a power cut: what was synced, and of the rest whatever got there."""
        durable: dict[str, bytearray] = {}
        pending: dict[str, list[Change]] = {}
        for change in self.log[:after]:
            if change.kind == "sync":
                for each in pending.pop(change.name, []):
                    _apply(durable.setdefault(change.name, bytearray()), each, [])
            else:
                pending.setdefault(change.name, []).append(change)
        for name, changes in pending.items():
            for each in changes:
                if dice.random() < 0.5:
                    torn = [n for n in range(len(each.data) // SECTOR + 1) if dice.random() < 0.3]
                    _apply(durable.setdefault(name, bytearray()), each, torn)
        return {name: bytes(content) for name, content in durable.items()}


def _apply(content: bytearray, change: Change, torn: list[int]) -> None:
    """Puts a change in; sectors that are torn stay as they were."""
    if change.kind == "truncate":
        del content[change.place :]
        return
    end = change.place + len(change.data)
    content.extend(bytes(max(0, end - len(content))))
    old = bytes(content[change.place : end])
    content[change.place : end] = change.data
    for number in torn:
        start = number * SECTOR
        content[change.place + start : change.place + start + len(old[start : start + SECTOR])] = old[
            start : start + SECTOR
        ]


def library() -> ctypes.CDLL | None:
    """The SQLite that the module sqlite3 uses; None where it is built into it and can't be reached."""
    with open("/proc/self/maps", encoding="utf-8", errors="replace") as maps:
        paths = [line.split()[-1] for line in maps if "libsqlite3" in line]
    found = ctypes.CDLL(paths[0] if paths else _sqlite3.__file__)
    try:
        found.sqlite3_libversion.restype = c_char_p
        return found if found.sqlite3_libversion().decode() == sqlite3.sqlite_version else None
    except AttributeError:
        return None


@contextmanager
def faulty_disk() -> Iterator[Disk]:
    """Puts the layer in for every file that is opened from now on."""
    lib = library()
    assert lib is not None
    lib.sqlite3_vfs_find.restype = POINTER(_Vfs)
    usual = lib.sqlite3_vfs_find(None)
    shim = _Shim(usual, disk := Disk())
    lib.sqlite3_vfs_register(ctypes.byref(shim.vfs), 1)
    try:
        yield disk
    finally:
        lib.sqlite3_vfs_register(usual, 1)
        lib.sqlite3_vfs_unregister(ctypes.byref(shim.vfs))
        _KEPT.append(shim)  # a connection that is still open goes on through it


_KEPT: list[object] = []


class _Shim:
    """The layer: the usual one with `open` changed, which gives each file methods of its own."""

    def __init__(self, usual: ctypes._Pointer[_Vfs], disk: Disk) -> None:
        self.disk = disk
        self._names: dict[int, str] = {}
        self._methods: dict[int, tuple[_Methods, object]] = {}
        self._usual = usual
        self._open = ctypes.cast(usual.contents.open, _OPEN)
        self._opens = _OPEN(self.opened)
        self.vfs = _Vfs.from_buffer_copy(usual.contents)
        self.vfs.name, self.vfs.next = b"faulty", None
        self.vfs.open = ctypes.cast(self._opens, c_void_p).value

    def opened(self, _vfs: int, name: int | None, file: int, flags: int, out: int) -> int:
        """Opens a file by the usual way, and puts our methods in the place of its own.

        The name is handed on as it lies in memory: SQLite goes on reading it there.
        """
        code = self._open(ctypes.cast(self._usual, c_void_p), name, file, flags, out)
        methods = c_void_p.from_address(file)
        if code == 0 and flags & KEPT_FILES and name and methods.value:
            self._names[file] = Path(ctypes.string_at(name).decode()).name
            methods.value = ctypes.addressof(self._ours(methods.value))
        return code

    def _ours(self, address: int) -> _Methods:
        if address not in self._methods:
            own = _Methods.from_address(address)
            write, truncate, sync = _WRITE(own.write), _TRUNCATE(own.truncate), _SYNC(own.sync)

            def writes(file: int, data: int, size: int, place: int) -> int:
                if how := self._fails("write"):
                    if how == "short":
                        write(file, data, size // 2, place)
                        self.disk.log.append(
                            Change("write", self._names[file], place, ctypes.string_at(data, size // 2))
                        )
                    return FULL if how == "full" else IOERR_WRITE
                self.disk.log.append(Change("write", self._names[file], place, ctypes.string_at(data, size)))
                return write(file, data, size, place)

            def truncates(file: int, size: int) -> int:
                if self._fails("truncate"):
                    return IOERR_TRUNCATE
                self.disk.log.append(Change("truncate", self._names[file], size))
                return truncate(file, size)

            def syncs(file: int, flags: int) -> int:
                if self._fails("sync"):
                    return IOERR_FSYNC
                self.disk.log.append(Change("sync", self._names[file]))
                return sync(file, flags)

            ours = _Methods.from_buffer_copy(own)
            calls = _WRITE(writes), _TRUNCATE(truncates), _SYNC(syncs)
            ours.write, ours.truncate, ours.sync = (ctypes.cast(call, c_void_p).value for call in calls)
            self._methods[address] = (ours, calls)
        return self._methods[address][0]

    def _fails(self, kind: str) -> str:
        how = self.disk.fails(kind, len(self.disk.log))
        self.disk.failed += bool(how)
        return how
