"""Whether a word names the tire's own vehicle or wheel, and not something that merely stands beside it."""

from __future__ import annotations

from advisor.talk.hear.mark_senses import gives_of
from advisor.talk.hear.marks import Clause, Mark

MOST_UNKNOWN = 2
#: What is known to say nothing of another vehicle, on either side of a vehicle's name.
KNOWN = ("said", "doubtful", "thing", "label", "opening", "noun", "perhaps", "side", "denied", "asks", "repair", "no")
#: A word for an axle is a verb after one of these, and before one of those.
VERB_AFTER = frozenset(
    (
        "i", "we", "he", "she", "they", "you", "to", "can", "can't", "will", "would", "please", "didn't", "don't",
        "doesn't", "did", "do", "does",
    )
)  # fmt: skip
VERB_BEFORE = frozenset(
    {"it", "away", "to", "home", "me", "him", "them", "there", "over", "up", "off", "out", "back", "by"}
)


def framed(mark: Mark, clause: Clause) -> bool:
    """Whether a word for a vehicle names the one the tire is from: off a truck, van tire, truck, …"""
    before, after = _around(mark, clause)
    unknown = sum(each.kind == "word" for each in clause.marks)
    if unknown > MOST_UNKNOWN:
        return False
    near = [each for each in before if not each.has("side")][-2:]
    if unknown <= 1 and near and near[-1].has("noun-before"):
        return True
    if len(near) > 1 and near[-2].has("noun-before") and near[-1].kind == "word" and unknown <= 1:
        return True
    if after and after[0].has("noun-after"):
        return True
    if before and before[-1].kind == "word":
        before = before[:-1]
    if all(_idle(each) for each in before) and all(_known(each) for each in after[:1]) and unknown <= 1:
        return True
    return unknown == 0 and all(_known(each) for each in (*before, *after))


def position_named(mark: Mark, clause: Clause) -> bool:
    """Whether a word for an axle names the tire's place: LF steer, steer 6/32, nearside drive; never "drive it"."""
    before, after = _around(mark, clause)
    if before and (before[-1].text.split()[-1] in VERB_AFTER or before[-1].kind == "word"):
        return False
    return not (after and (after[0].text.split()[0] in VERB_BEFORE or after[0].kind == "word"))


def _around(mark: Mark, clause: Clause) -> tuple[list[Mark], list[Mark]]:
    place = clause.marks.index(mark)
    return clause.marks[:place], clause.marks[place + 1 :]


def _idle(mark: Mark) -> bool:
    return (
        mark.kind in ("item", "figure")
        or mark.has("side", "perhaps", "nothing")
        or (mark.has("filler") and not mark.has("no"))
    )


def _known(mark: Mark) -> bool:
    if mark.text == "#":
        return True
    return mark.kind in ("print", "figure", "clock", "item") or mark.idle or mark.has(*KNOWN) or bool(gives_of(mark))
