"""Work shared out over the cores in chunks, never far ahead of what is written out, results in order."""

from __future__ import annotations

import os
import signal
import sys
import time
from collections import deque
from collections.abc import Callable, Iterator
from multiprocessing import get_context
from typing import Any, BinaryIO, TypeVar

from advisor.quick import dataclass

A_CHUNK = 100
CHUNKS_AHEAD = 4
BAR_COLUMNS = 30

#: A case as it was read: its line in the file, and what stands there.
Item = tuple[int, Any]
Chunk = list[Item]


@dataclass(frozen=True, slots=True)
class Done:
    """What came of some cases: what to write out, the problems told, the exit code, how many cases and faults."""

    out: str
    problems: str
    code: int
    cases: int
    failed: int


Judging = Callable[[Chunk], Done]
Found = TypeVar("Found")


@dataclass(frozen=True, slots=True)
class Cores:
    """How many processes, and how each is made ready for the work."""

    count: int
    begin: Callable[[Any], None]
    work: Any


def run_chunks(judge: Judging, items: Iterator[Item], cores: Cores, first: int, bar: Bar | None) -> int:
    """Writes out what comes of all items, in their order; gives the exit code."""
    code, number, failed = 0, first - 1, 0
    try:
        for done in each_done(judge, items, cores):
            sys.stdout.write(done.out)
            sys.stdout.flush()
            if bar:
                bar.clear()
            sys.stderr.write(done.problems)
            code, number, failed = max(code, done.code), number + done.cases, failed + done.failed
            if bar:
                bar.show(number)
        sys.stdout.flush()
        if failed:
            sys.stderr.write(f"Not judged: {failed} of {number - first + 1} cases. The others are.\n")
    except KeyboardInterrupt:
        sys.stdout.flush()
        sys.stderr.write(f"\nStopped after case {number}. To go on with the rest: --from {number + 1}")
        sys.stderr.write(", or with --into the same command once more\n")
        raise
    finally:
        if bar:
            bar.clear()
    return code


def each_done(judge: Callable[[Chunk], Found], items: Iterator[Item], cores: Cores) -> Iterator[Found]:
    """What comes of each chunk of items, in their order."""
    chunks = _chunks(items)
    head = next(chunks, None)
    if head is None:
        return
    second = next(chunks, None)
    if second is None or cores.count == 1 or not hasattr(os, "fork"):
        yield judge(head)
        if second is not None:
            yield judge(second)
            yield from map(judge, chunks)
        return
    yield from _on_cores(judge, [head, second], chunks, cores)


def _on_cores(
    judge: Callable[[Chunk], Found], first: list[Chunk], chunks: Iterator[Chunk], cores: Cores
) -> Iterator[Found]:
    with get_context("fork").Pool(cores.count, _ready, (cores,)) as pool:
        waiting = deque(pool.apply_async(judge, (chunk,)) for chunk in first)
        while waiting:
            while len(waiting) < cores.count * CHUNKS_AHEAD and (chunk := next(chunks, None)) is not None:
                waiting.append(pool.apply_async(judge, (chunk,)))
            yield waiting.popleft().get()


def _ready(cores: Cores) -> None:
    """Makes a process ready; Ctrl-C is left to the one that writes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    cores.begin(cores.work)


def _chunks(items: Iterator[Item]) -> Iterator[Chunk]:
    chunk: Chunk = []
    for item in items:
        chunk.append(item)
        if len(chunk) >= A_CHUNK:
            yield chunk
            chunk = []
    if chunk:
        yield chunk


class Bar:
    """How far it is, on the terminal's error output; drawn at most ten times a second."""

    def __init__(self, size: int, file: BinaryIO) -> None:
        self._size, self._file = max(1, size), file
        self._begun = self._shown = time.monotonic()

    def show(self, number: int) -> None:
        """Draws the bar."""
        now = time.monotonic()
        if now - self._shown < 0.1:
            return
        self._shown = now
        share = min(1.0, self._file.tell() / self._size)
        full = round(share * BAR_COLUMNS)
        rate = number / max(0.001, now - self._begun)
        text = f"[{'#' * full}{'.' * (BAR_COLUMNS - full)}] {share:4.0%}  {number} cases, {rate:.0f} a second"
        sys.stderr.write(f"\r{text}")
        sys.stderr.flush()

    def clear(self) -> None:
        """Takes the bar away."""
        sys.stderr.write(f"\r{' ' * (BAR_COLUMNS + 50)}\r")
