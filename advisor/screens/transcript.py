"""The conversation as data, and its lines at the width of the screen. The last turns only are wrapped and shown."""

from __future__ import annotations

from advisor.screens.lines import Line, Para, wrap

#: More turns than this are not kept on the screen; the answers themselves are never dropped.
MOST_TURNS = 240
#: So many go at once, so that the work is not done at every message.
DROPPED_AT_ONCE = 60


class Transcript:
    """Turns said so far. `new_from` is the first turn of what was said last, `count` how many there ever were."""

    def __init__(self) -> None:
        self.turns: list[tuple[Para, ...]] = []
        self.count = 0
        self.new_from = 0
        self._lines: list[Line] = []
        self._starts: list[int] = []
        self._width = 0

    def begin(self) -> None:
        """What is added from here on is what was said last."""
        self.new_from = len(self.turns)

    def add(self, turn: tuple[Para, ...]) -> None:
        """Adds a turn."""
        self.count += 1
        self.turns.append(turn)
        if len(self.turns) > MOST_TURNS:
            del self.turns[:DROPPED_AT_ONCE]
            self.new_from = max(0, self.new_from - DROPPED_AT_ONCE)
            self._width = 0

    def clear(self) -> None:
        """Forgets all turns."""
        self.turns.clear()
        self.new_from = self._width = 0

    def lines(self, width: int) -> tuple[list[Line], int]:
        """All lines at a width, not to be changed, and where what was said last begins among them."""
        if width != self._width:
            self._lines, self._starts, self._width = [], [], width
        for turn in self.turns[len(self._starts) :]:
            self._starts.append(len(self._lines))
            self._lines.extend(wrap(turn, width))
        start = self._starts[self.new_from] if self.new_from < len(self._starts) else len(self._lines)
        return self._lines, start
