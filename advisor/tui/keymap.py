"""The keys in words, one home for footer, help and command palette. On the start-up path: imports nothing heavy."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from collections.abc import Iterable

    from advisor.wording.blocks import Said


class KeyHint(NamedTuple):
    """A key: what is pressed, how it is written, its id (also the name of what it does), label and sentence."""

    key: str
    written: str
    id: str
    label: str
    says: str


KEYS = (
    KeyHint("f1", "F1", "help", "help", "The keys that work now, and what can be typed."),
    KeyHint("f2", "F2", "why", "why", "Why the verdict is what it is, as things stand."),
    KeyHint("f3", "F3", "why_asked", "why ask", "How this question is found out, and why it is asked."),
    KeyHint("f4", "F4", "change", "change", "So far: all answers, to look at or to change one."),
    KeyHint("f5", "F5", "back", "back", "Back to the answer before."),
    KeyHint("f6", "F6", "word", "word", "A term of the trade explained."),
    KeyHint("f7", "F7", "copy", "copy", "Send the verdict as it stands to the terminal's clipboard."),
    KeyHint("f8", "F8", "save", "save", "Save as text, as a page to print (.html) or as a case (.json)."),
    KeyHint(
        "f9", "F9", "start_over", "anew", "Another tire: begin anew; asks first, and says what becomes of the answers."
    ),
    KeyHint("f10", "F10", "light", "light/dark", "Change between light and dark."),
    KeyHint("ctrl+g", "^G", "draw", "draw", "The drawings: where to measure, the injury's path, the tread unrolled."),
    KeyHint("ctrl+t", "^T", "work", "work", "Walk through the work step by step, with ticks, notes and a timer."),
    KeyHint("ctrl+y", "^Y", "today", "today", "Today's tires: what is drying, unfinished, restricted; and into any."),
    KeyHint("ctrl+r", "^R", "casings", "casings", "Look through the recorded casings, each with its history."),
    KeyHint("ctrl+l", "^L", "practise", "practise", "Made-up tires to learn on: decide first, then the rules answer."),
    KeyHint("ctrl+o", "^O", "beside", "other rules", "The same tire under the other rule sets, side by side."),
    KeyHint("f12", "F12", "report", "report", "The report as a page: saved beside the record, opened in the browser."),
    KeyHint("escape", "Esc", "cancel", "never mind", "Empty a line not taken, or leave everything as it was."),
    KeyHint("ctrl+q", "^Q", "quit", "quit", "Leave; asks first when answers would be lost."),
)

#: What is left to the palette where the keys have one row: the first of these first.
SPARED = (
    "copy", "light", "practise", "casings", "beside", "word", "draw", "report", "today", "save", "back", "why_asked",
    "start_over", "work", "change", "why",
)  # fmt: skip

_ALWAYS = (
    ("PgUp, PgDn", "read further up or down in the conversation"),
    ("Up, Down", "move among the choices; without choices, read on"),
    ("Space", "mark a choice where several can be taken"),
    ("Enter", "take what is typed, else what is marked or picked"),
    ("Ctrl+P", "all that can be done, to search in"),
)


def key_help(can: Callable[[str], bool]) -> tuple[Said, ...]:
    """The keys that work now and what can be typed."""
    from advisor.dialogue.talk_commands import help_blocks
    from advisor.wording.blocks import Block

    keys = (*((key.written, key.says) for key in KEYS if can(key.id)), *_ALWAYS)
    return (
        Block("Keys that work now:", role="title"),
        *(Block(says, role="entry", lead=key) for key, says in keys),
        Block("What can be typed:", role="title"),
        *help_blocks(),
    )


def work_help(keys: Iterable[KeyHint]) -> tuple[Said, ...]:
    """The keys of the work's screen that work now, and what can be typed there."""
    from advisor.dialogue.talk_commands import WORK_ENTRIES
    from advisor.wording.blocks import Block

    return (
        Block("Keys that work now:", role="title"),
        *(Block(key.says, role="entry", lead=key.written) for key in keys),
        Block("What can be typed:", role="title"),
        *(Block(says, role="entry", lead=typed) for typed, says in WORK_ENTRIES),
    )
