"""Which consultations are open in a living window: a lock each, which the system lets go when the process ends."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from advisor.journal.data_folder import OWNER_ONLY_FILE, make_folder

try:
    import fcntl
except ImportError:  # where there are no such locks nothing is claimed
    fcntl = None  # type: ignore[assignment]

FOLDER, MENDING = "open", "mending"


class Claims:
    """The claims of one process."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder / FOLDER
        self._held: dict[str, int] = {}

    def take(self, consultation: str) -> bool:
        """Claims a consultation; tells whether it was free. Where nothing can be written it counts as free."""
        if consultation in self._held or fcntl is None:
            return True
        try:
            make_folder(self._folder)
            held = self._locked(self._folder / consultation)
        except OSError:
            return True
        if held is None:
            return False
        self._held[consultation] = held
        return True

    @staticmethod
    def _locked(path: Path) -> int | None:
        """A lock on the file of this name; None where another has it. Raises OSError where it can't be made."""
        while True:
            held = os.open(path, os.O_CREAT | os.O_RDWR, OWNER_ONLY_FILE)
            try:
                fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                os.close(held)
                return None
            except OSError:
                os.close(held)
                raise
            with suppress(OSError):
                if os.path.samestat(os.fstat(held), path.stat()):
                    return held
            os.close(held)  # taken away by the one who held it just before

    def let_go(self, consultation: str) -> None:
        """Gives a claim up."""
        held = self._held.pop(consultation, None)
        if held is not None:
            (self._folder / consultation).unlink(missing_ok=True)
            os.close(held)

    def close(self) -> None:
        """Gives every claim up."""
        for consultation in list(self._held):
            self.let_go(consultation)


@contextmanager
def mending(folder: Path) -> Iterator[None]:
    """Only one window at a time sets a damaged journal aside; another waits until it is done."""
    held = -1
    if fcntl is not None:
        with suppress(OSError):
            held = os.open(folder / MENDING, os.O_CREAT | os.O_RDWR, OWNER_ONLY_FILE)
            fcntl.flock(held, fcntl.LOCK_EX)
    try:
        yield
    finally:
        if held >= 0:
            os.close(held)
