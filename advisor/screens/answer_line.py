"""The input line: while empty, digits and Space go to the rows; what is pasted loses its tricks."""

from __future__ import annotations

from typing import Protocol

from textual import events
from textual.widgets import Input

from advisor.errors import shown

LONGEST_PASTE = 2000


class Taker(Protocol):
    """Who takes what the line is given. Called at once, so that typing ahead keeps its order."""

    def take_enter(self) -> None:
        """Enter was pressed."""

    def take_digit(self, digit: str) -> bool:
        """A digit was typed into the empty line; tells whether it was taken, else it is text."""

    def take_space(self) -> bool:
        """Space was typed into the empty line; tells whether it was taken, else it is text."""

    def take_too_long(self, text: str) -> None:
        """What was pasted is longer than any answer."""


class AnswerLine(Input):
    """One line to type into."""

    def __init__(self, taker: Taker, id: str) -> None:
        super().__init__(id=id, compact=True, select_on_focus=False)
        self.taker = taker
        self.cursor_blink = False

    def on_key(self, event: events.Key) -> None:
        """Offers digits and Space while nothing is typed."""
        sign = event.character or ""
        if self.value or len(sign) != 1:
            return
        taken = False
        if sign in "123456789":
            taken = self.taker.take_digit(sign)
        elif sign == " ":
            taken = self.taker.take_space()
        if taken:
            event.stop()
            event.prevent_default()

    async def action_submit(self) -> None:
        """Hands the line over."""
        self.taker.take_enter()

    def on_paste(self, event: events.Paste) -> None:
        """Puts in what is pasted, on one line, with control and direction characters by name."""
        event.stop()
        event.prevent_default()
        text = event.text.strip("\r\n")
        if len(text) + len(self.value) > LONGEST_PASTE:
            self.taker.take_too_long(text)
            return
        clean = shown(" ".join(text.replace("\t", " ").splitlines()), LONGEST_PASTE)
        start, end = sorted(self.selection)
        self.replace(clean, start, end)

    def hold(self, text: str) -> None:
        """Holds a text from now on."""
        if text != self.value:
            self.value = text
            self.cursor_position = len(text)
