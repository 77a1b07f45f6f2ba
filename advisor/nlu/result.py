"""What was understood of a sentence, as data."""

from __future__ import annotations

from typing import Any

from msgspec import Struct

from advisor.model.case import Answer, Key

#: How the reason ends where an answer was said and not of which injury.
SEVERAL_OPEN = "which of the injuries?"


class Understood(Struct, frozen=True):
    """An answer taken from a sentence: its address, its value, the same as a case file writes it, and its words.

    `doubt` is why it is asked back, or an empty text; `hedge` why it was not said outright, and is only proposed.
    """

    key: Key
    over: str
    answer: Answer
    written: Any
    words: str
    doubt: str = ""
    hedge: str = ""


class AskBack(Struct, frozen=True):
    """A question that the sentence touches and does not settle, and why."""

    key: Key
    why: str


class Heard(Struct, frozen=True):
    """All that came of a sentence: `understood` was said outright, `proposed` rests on a hedge or somebody's word."""

    text: str
    understood: tuple[Understood, ...] = ()
    not_understood: tuple[str, ...] = ()
    asks_back: tuple[AskBack, ...] = ()
    injuries: int = 0
    corrects: bool = False
    repairs: int = 0
    proposed: tuple[Understood, ...] = ()
    #: Words that tell of something bad and that nothing was made of, though the ear knows them.
    passed_over: tuple[str, ...] = ()

    @property
    def idle(self) -> bool:
        """Whether nothing of it tells anything: only small words, courtesy, how and by whom it was looked at."""
        return not (self.understood or self.proposed or self.asks_back or self.not_understood or self.passed_over)
