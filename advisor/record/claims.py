"""Which consultations are open in a living window: a lock each, which the system lets go when the process ends."""

from __future__ import annotations

import os
from pathlib import Path

from advisor.record.place import OWNER_ONLY_FILE, make_folder

try:
    import fcntl
except ImportError:  # where there are no such locks nothing is claimed
    fcntl = None  # type: ignore[assignment]

FOLDER = "open"


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
            held = os.open(self._folder / consultation, os.O_CREAT | os.O_RDWR, OWNER_ONLY_FILE)
        except OSError:
            return True
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            os.close(held)
            return False
        self._held[consultation] = held
        return True

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
