"""The collector of reference cycles rests while a start imports and reads, and afterwards leaves alone what stands.

What a start makes is kept to the end and is in no cycles worth collecting; looking through it again and again takes
a tenth of a short run.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


def begin() -> None:
    """The collector rests from now on."""
    gc.disable()


def done() -> None:
    """What stands now is left alone; what comes is collected as ever."""
    gc.freeze()
    gc.enable()


@contextmanager
def at_rest() -> Iterator[None]:
    """The collector rests through work that makes much and leaves no cycles worth collecting before its end."""
    collecting = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collecting:
            gc.enable()
