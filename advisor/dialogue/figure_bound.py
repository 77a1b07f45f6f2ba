"""A figure said by the least or the most that it is: 4 mm and up, no more than 5 degrees.

Where it is worse the more it is, its least leaves open how bad it is and is no answer; its most is the worst of it.
"""

from __future__ import annotations

import re

from advisor.loader.answer_codec import plain
from advisor.model import inputs
from advisor.model.ruleset import Question
from advisor.nlu.small_words import said_pattern

_FIGURE = r"\d+(?:[.,]\d+)?(?:/\d+)?(?: ?[a-z\"°%]+)?"
_PARTS = re.compile(r",\s+|;\s*")


def _said(ahead: re.Pattern[str], behind: re.Pattern[str]) -> re.Pattern[str]:
    first, last = ahead.pattern, behind.pattern
    return re.compile(rf"(?:{first}) (?P<one>{_FIGURE})(?: (?:{last}))?|(?P<other>{_FIGURE}),? ?(?:{last})")


_LEAST = _said(said_pattern("ahead-of-its-least"), said_pattern("behind-its-least"))
_MOST = _said(said_pattern("ahead-of-its-most"), said_pattern("behind-its-most"))
_BEHIND = said_pattern("leaves-a-figure-open").pattern
#: A figure that may be any other one: 4 mm, give or take a lot; 30 psi by the time it got here.
_LEFT_OPEN = re.compile(rf"{_FIGURE},? ?(?:{_BEHIND})")
#: What leaves open how bad it is, and what is the worst of it, by where it is worse.
_OPEN = {"above": _LEAST, "below": _MOST}
_WORST = {"above": _MOST, "below": _LEAST}


def leaves_worst_open(text: str, question: Question) -> bool:
    """Whether a part of a line gives only the end of a figure that is not its worst."""
    if question.kind not in inputs.FIGURE_KINDS:
        return False
    said, parts = _OPEN.get(question.worse), [plain(part) for part in _PARTS.split(text)]
    bound = said is not None and any(said.fullmatch(part) for part in parts)
    return bound or any(_LEFT_OPEN.fullmatch(part) for part in (plain(text), *parts))


def without_bound(text: str, question: Question) -> str | None:
    """The figure that is the worst it may be, of a line that says no more than that; None for any other."""
    said = _WORST.get(question.worse)
    match = said.fullmatch(plain(text)) if said is not None else None
    return (match["one"] or match["other"]) if match else None
