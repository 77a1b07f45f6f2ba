"""The conversation as data, and its lines at the width of the screen. The last turns only are wrapped and shown."""

from __future__ import annotations

from advisor.screens.lines import Line, Para, wrap

#: More turns than this are not kept on the screen; the answers themselves are never dropped.
MOST_TURNS = 240
#: So many go at once, so that the work is not done at every message.
DROPPED_AT_ONCE = 60


class Transcript:
    """Turns said so far. `new_from` is the first turn of what was said last."""

    def __init__(self) -> None:
        self.turns: list[tuple[Para, ...]] = []
        self.count = 0
        self.new_from = 0
        self._wrapped: list[list[Line]] = []
        self._width = 0

    def begin(self) -> None:
        """What is added from here on is what was said last."""
        self.new_from = len(self.turns)

    def add(self, turn: tuple[Para, ...]) -> None:
        """Adds a turn."""
        if not turn:
            return
        self.count += 1
        self.turns.append(turn)
        if len(self.turns) > MOST_TURNS:
            del self.turns[:DROPPED_AT_ONCE], self._wrapped[:DROPPED_AT_ONCE]
            self.new_from = max(0, self.new_from - DROPPED_AT_ONCE)

    def clear(self) -> None:
        """Forgets all turns."""
        self.turns.clear()
        self._wrapped.clear()
        self.new_from = 0

    def lines(self, width: int) -> tuple[list[Line], int]:
        """All lines at a width, and where what was said last begins among them."""
        if width != self._width:
            self._wrapped.clear()
            self._width = width
        for turn in self.turns[len(self._wrapped) :]:
            self._wrapped.append(wrap(turn, width))
        lines: list[Line] = []
        start = 0
        for place, wrapped in enumerate(self._wrapped):
            if place == self.new_from:
                start = len(lines)
            lines.extend(wrapped)
        return lines, start if self.new_from < len(self._wrapped) else len(lines)
