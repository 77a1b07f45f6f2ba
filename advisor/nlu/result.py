"""What was understood of a sentence, as data."""

from __future__ import annotations

from typing import Any

from advisor.model.case import Answer, Key
from advisor.quick import dataclass

#: How the reason ends where an answer was said and not of which injury.
SEVERAL_OPEN = "which of the injuries?"


@dataclass(frozen=True, slots=True)
class Understood:
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


@dataclass(frozen=True, slots=True)
class AskBack:
    """A question that the sentence touches and does not settle, and why."""

    key: Key
    why: str


@dataclass(frozen=True, slots=True)
class Heard:
    """All that came of a sentence: `understood` was said outright, `proposed` rests on a hedge or somebody's word."""

    text: str
    understood: tuple[Understood, ...] = ()
    not_understood: tuple[str, ...] = ()
    asks_back: tuple[AskBack, ...] = ()
    injuries: int = 0
    corrects: bool = False
    repairs: int = 0
    proposed: tuple[Understood, ...] = ()
