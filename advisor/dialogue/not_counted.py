"""What was typed and not understood: kept among the notes, and first on the card until it is said in other words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from advisor.loader.answer_codec import plain
from advisor.model.problems import shown

#: Ahead of the words of a note of what was typed and not understood.
NOT_COUNTED = "typed and not understood: "
#: Ahead of the words of a line that was not understood and was then typed anew, nearly the same.
TYPED_ANEW = "typed anew and understood: "
#: Ahead of the words of a sentence that were not understood, while the rest of it counts.
PART_NOT_COUNTED = "not understood: "
#: So many of them stand on the card; all are among the notes.
MOST_LOST_SHOWN = 3
#: A shorter word alone is a slip of a key more often than news of the tire.
SHORTEST_WORD = 4
#: A slip on so many letters still makes the same word.
LETTERS_TO_SLIPS = 3
_WORD = re.compile(r"[^\W\d_]+")


def tells_something(text: str) -> bool:
    """Whether a line that was not understood may have told something: two words, or one that is no mere slip."""
    words = _WORD.findall(text)
    return sum(len(word) > 1 for word in words) > 1 or any(len(word) >= SHORTEST_WORD for word in words)


def part_note(words: Iterable[str]) -> str:
    """The note of a sentence's words that were not understood."""
    return PART_NOT_COUNTED + " ".join(shown(word, 40) for word in words)


def lost_lines(notes: Iterable[str]) -> tuple[str, ...]:
    """What was typed, was not understood, and was not typed anew since; of a sentence what is more than a word."""
    lost: dict[str, None] = {}
    for note in notes:
        if note.startswith(NOT_COUNTED):
            lost[note.removeprefix(NOT_COUNTED)] = None
        elif note.startswith(TYPED_ANEW):
            lost.pop(note.removeprefix(TYPED_ANEW), None)
        elif note.startswith(PART_NOT_COUNTED):
            words = note.removeprefix(PART_NOT_COUNTED)
            if sum(len(word) >= SHORTEST_WORD for word in _WORD.findall(words)) > 1:
                lost[words] = None
    return tuple(lost)


def typed_anew(notes: Sequence[str], text: str) -> tuple[str, ...]:
    """The note that ends the last line not understood where this one is the same with a slip mended."""
    lost = [line for line in lost_lines(notes[-1:]) if notes[-1].startswith(NOT_COUNTED)]
    return tuple(f"{TYPED_ANEW}{line}" for line in lost if _same_but_for_a_slip(line, text))


def _same_but_for_a_slip(one: str, other: str) -> bool:
    from rapidfuzz.distance import OSA

    words, others = plain(one).split(), plain(other).split()
    if len(words) != len(others) or re.findall(r"\d+", one) != re.findall(r"\d+", other):
        return False
    pairs = zip(words, others, strict=True)
    return all(OSA.distance(word, with_it) <= len(word) // LETTERS_TO_SLIPS for word, with_it in pairs)


def said_first(notes: Iterable[str]) -> str:
    """What the card says ahead of all else; empty where nothing was lost."""
    lost = lost_lines(notes)
    if not lost:
        return ""
    words = ", ".join(f'"{shown(each, 60)}"' for each in lost[-MOST_LOST_SHOWN:])
    more = f"{len(lost)} lines, the last: " if len(lost) > MOST_LOST_SHOWN else ""
    return f"Not understood, so not counted: {more}{words}. If it bears on the tire, say it again."
