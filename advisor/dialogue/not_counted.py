"""What was typed and not understood: kept among the notes, and first on the card until it is said in other words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from advisor.loader.answer_codec import NONE_WORDS, plain
from advisor.model.problems import shown

if TYPE_CHECKING:
    from advisor.nlu.result import Heard

#: Ahead of the words of a note of what was typed and not understood.
NOT_COUNTED = "typed and not understood: "
#: Ahead of the words of a line that was not understood and was then typed anew, nearly the same.
TYPED_ANEW = "typed anew and understood: "
#: Ahead of the words of a sentence that were not understood, while the rest of it counts.
PART_NOT_COUNTED = "not understood: "
#: How a note of something said in doubt begins; `how sure` names each.
SAID_IN_DOUBT = "said in doubt: "
#: Ahead of a note typed as such, in which something of the tire was heard.
NOTED_ONLY = "noted, not counted: "
#: So many of them stand on the card; all are among the notes.
MOST_LOST_SHOWN = 3
#: A shorter word alone is a slip of a key more often than news of the tire.
SHORTEST_WORD = 4
#: A slip on so many letters still makes the same word.
LETTERS_TO_SLIPS = 3
_WORD = re.compile(r"[^\W\d_]+")
_NOTHING_TOLD = NONE_WORDS | {"yes", "ok", "okay"}
_FIGURE = re.compile(r"\d+(?:[.,/]\d+)*")


def tells_something(text: str, ended: bool) -> bool:
    """Whether a line that was not understood may have told something: two words or figures, or a word that is no slip.

    `ended`: no question is open, at which one word or figure could be a mere slip of a key.
    """
    words = [word for word in _WORD.findall(text) if len(word) > 1]
    if plain(text) in _NOTHING_TOLD:
        return False
    several = len(words) + len(_FIGURE.findall(text)) > (0 if ended else 1)
    return several or any(len(word) >= SHORTEST_WORD for word in words)


def noted_only(heard: Heard, words: str) -> str:
    """A note as it is kept: where the ear hears something of the tire in it, ahead of it that it does not count."""
    return f"{NOTED_ONLY}{words}" if heard.understood or heard.proposed or heard.asks_back else words


def part_note(words: Iterable[str]) -> str:
    """The note of a sentence's words that were not understood."""
    return PART_NOT_COUNTED + " ".join(shown(word, 40) for word in words)


def lost_lines(notes: Iterable[str], fewest: int = 2) -> tuple[str, ...]:
    """What was typed, was not understood, and was not typed anew since; of a sentence so many words and more."""
    lost: dict[str, None] = {}
    for note in notes:
        if note.startswith(NOT_COUNTED):
            lost[note.removeprefix(NOT_COUNTED)] = None
        elif note.startswith(TYPED_ANEW):
            lost.pop(note.removeprefix(TYPED_ANEW), None)
        elif note.startswith(PART_NOT_COUNTED):
            words = note.removeprefix(PART_NOT_COUNTED)
            if sum(len(word) >= SHORTEST_WORD for word in _WORD.findall(words)) >= fewest:
                lost[words] = None
    return tuple(lost)


def typed_anew(notes: Sequence[str], text: str) -> tuple[str, ...]:
    """The note that ends the last line not understood where this one is the same with a slip mended."""
    lost = [line for line in lost_lines(notes[-1:]) if notes[-1].startswith(NOT_COUNTED)]
    return tuple(f"{TYPED_ANEW}{line}" for line in lost if _same_but_for_a_slip(line, text))


def _same_but_for_a_slip(one: str, other: str) -> bool:
    from rapidfuzz.distance import OSA

    words, others = plain(one).split(), plain(other).split()
    if " ".join(others).endswith(" " + " ".join(words)):
        return True  # the same with what was missing ahead of it: found 12 mm
    if len(words) != len(others) or re.findall(r"\d+", one) != re.findall(r"\d+", other):
        return False
    pairs = zip(words, others, strict=True)
    return all(OSA.distance(word, with_it) <= len(word) // LETTERS_TO_SLIPS for word, with_it in pairs)


def said_first(notes: Sequence[str], repair: bool = False) -> str:
    """What the card says ahead of all else; empty where nothing was lost. Of a `repair` a single word as well."""
    noted = (note.removeprefix(NOTED_ONLY) for note in notes if note.startswith(NOTED_ONLY))
    both = (
        ("Not understood, so not counted", lost_lines(notes, 1 if repair else 2)),
        ("Noted, not counted", tuple(dict.fromkeys(noted))),
    )
    said = [f"{head}: {_last(lines)}." for head, lines in both if lines]
    return " ".join((*said, "If it bears on the tire, say it again.")) if said else ""


def _last(lines: Sequence[str]) -> str:
    words = ", ".join(f'"{shown(each, 60)}"' for each in lines[-MOST_LOST_SHOWN:])
    return f"{len(lines)} lines, the last: {words}" if len(lines) > MOST_LOST_SHOWN else words
