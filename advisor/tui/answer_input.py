"""The input line: while empty, Space goes to the rows; what is pasted loses its tricks.

A digit is text like any other: a sentence or a figure may begin with it. Only Enter takes anything.
"""

from __future__ import annotations

from typing import ClassVar, Protocol

from textual import events
from textual.binding import Binding, BindingType
from textual.widgets import Input

from advisor.model.problems import shown

LONGEST_PASTE = 2000
#: How a refused text of more than so many letters is dealt with is said; a shorter one is sooner typed again.
LONGEST_TYPED_AGAIN = 24
REFUSED_STAYS = "Typing takes its place, Up brings it back; End or Left mends it, Esc empties the line."


class Taker(Protocol):
    """Who takes what the line is given. Called at once, so that typing ahead keeps its order."""

    def take_enter(self) -> None:
        """Enter was pressed."""

    def take_space(self) -> bool:
        """Space was typed into the empty line; tells whether it was taken, else it is text."""

    def take_too_long(self, text: str) -> None:
        """What was pasted is longer than any answer."""


class AnswerLine(Input):
    """One line to type into. The keys for reading and choosing stand here, so that they keep their place in line."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "screen.move(-1)", "up", show=False, id="up", tooltip="The choice above, or a line up."),
        Binding("down", "screen.move(1)", "down", show=False, id="down", tooltip="The choice below, or a line down."),
        Binding("pageup", "screen.page(-1)", "page up", show=False, id="page_up", tooltip="Read further up."),
        Binding("pagedown", "screen.page(1)", "page down", show=False, id="page_down", tooltip="Read further down."),
        Binding("ctrl+home", "screen.page(-9999)", "to the top", show=False, id="top", tooltip="To the first line."),
        Binding("ctrl+end", "screen.page(9999)", "to the end", show=False, id="end", tooltip="To the last line."),
    ]

    def __init__(self, taker: Taker, id: str) -> None:
        super().__init__(id=id, compact=True, select_on_focus=False)
        self.taker = taker
        self.cursor_blink = False
        self.refused = False
        self.replaced = ""

    async def on_key(self, event: events.Key) -> None:
        """Offers Space while nothing is typed, and carries out every other key on the spot.

        Left to itself a key that is no text goes up to the app and is carried out later than text typed after it.
        """
        if event.key == "up" and self.replaced and self.value:
            self.hold(self.replaced)
            self.replaced = ""
            event.stop()
            event.prevent_default()
            return
        bound = None if event.is_printable else self.screen.active_bindings.get(event.key)
        if self.refused and event.is_printable:
            self.replaced, self.value = self.value, ""
        own = bound is not None and bound.node is self
        if self.refused and own:
            self.cursor_position = len(self.value)
        if event.is_printable or own:
            self.refused = False  # any other key does something elsewhere, and leaves the line as it is
        if event.is_printable:
            taken = not self.value and event.character == " " and self.taker.take_space()
        else:
            taken = bound is not None and bound.enabled
            if bound is not None and taken:
                await self.app.run_action(bound.binding.action, bound.node)
        if taken:
            event.stop()
            event.prevent_default()

    async def action_submit(self) -> None:
        """Hands the line over."""
        self.replaced = ""
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

    @property
    def hint(self) -> tuple[str, ...]:
        """What can be done with a long text that was refused; nothing where there is none."""
        return (REFUSED_STAYS,) if self.refused and len(self.value) > LONGEST_TYPED_AGAIN else ()

    def hold(self, text: str, refused: bool = False) -> None:
        """Holds a text from now on. One that was refused is marked: the next typing takes its place.

        Every other key works on it as ever, from its end; Up brings back what was typed over.
        """
        if text != self.value:
            self.value = text
            self.cursor_position = len(text)
        self.refused = refused and bool(text)
        if self.refused:
            self.select_all()
