"""Places round the tire as people say them: 3 o'clock, 3:30, half past seven, a quarter to four."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.talk.hear.tokens import NUMBER_WORDS

_PAST = {"half": 30, "quarter": 15, "five": 5, "ten": 10, "twenty": 20}
_OCLOCK = (("o'clock",), ("oclock",), ("o", "'", "clock"), ("o", "clock"), ("o'", "clock"))


def clock_at(words: Sequence[str], place: int) -> tuple[str, int] | None:
    """The clock position that begins at a word, as a case file writes it, and where it ends."""
    hour = _hour(words, place)
    if hour:
        for said in _OCLOCK:
            if tuple(words[place + 1 : place + 1 + len(said)]) == said:
                return f"{hour}:00", place + 1 + len(said)
    minutes = _PAST.get(words[place], 0)
    if minutes and words[place + 1 : place + 2] in (["past"], ["to"]):
        then = _hour(words, place + 2)
        end = place + 3
        for said in _OCLOCK:
            if tuple(words[end : end + len(said)]) == said:
                end += len(said)
                break
        if then and words[place + 1] == "past":
            return f"{then}:{minutes:02}", end
        if then and minutes != 30:
            return f"{(then - 2) % 12 + 1}:{60 - minutes}", end
    return None


def _hour(words: Sequence[str], place: int) -> int:
    text = words[place] if place < len(words) else ""
    number = int(text) if text.isascii() and text.isdecimal() and len(text) < 3 else NUMBER_WORDS.get(text, 0)
    return number if 1 <= number <= 12 else 0
