"""The journal opened beside the screen: the first question does not wait for it, the first answer does."""

from __future__ import annotations

from collections.abc import Callable
from threading import Event
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.tui.presenter import Desk
    from advisor.tui.recording import ScreenRecording

LONGEST_START_S, LONGEST_WAIT_S = 1.0, 10.0


class Beside:
    """Opens the journal with `record`; without one nothing is kept."""

    def __init__(self, record: Callable[[], ScreenRecording] | None) -> None:
        self._record = record
        self.recording: ScreenRecording | None = None
        #: Set once the first question shows; until then the journal is left alone.
        self.shown = Event()
        self._open, self._begun = Event(), False

    def open(self, desk: Desk) -> bool:
        """Opens it, in a thread; tells whether there is one to begin with."""
        if self._record is None:
            return False
        self.shown.wait(LONGEST_START_S)
        try:
            recording = self._record()
            recording.open(desk)
            self.recording = recording
        finally:
            self._open.set()
        return True

    def begin(self, desk: Desk, in_time: bool = True) -> bool:
        """From here on the desk's consultation is kept; tells whether this was the first call once it is open."""
        if self.recording is None or self._begun:
            return False
        self._begun = True
        self.recording.begin(desk, in_time)
        return True

    def wait(self, desk: Desk) -> None:
        """Waits until answers can be kept: none is taken before."""
        desk.before = None
        if self._record is not None and not self._begun:
            self._open.wait(LONGEST_WAIT_S)
            self.begin(desk, in_time=False)
