"""Whether a phrase is denied where it stands: "no cord", "cord isn't showing", "no cord or bulge".

A denial never crosses an unknown word, and what a sentence takes as being there (the bulge, this separation) is
said, whatever else is denied of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from enum import Enum

from advisor.model import inputs
from advisor.nlu.scope_words import (
    BEHIND,
    BETWEEN_NO,
    BETWEEN_NOT,
    DEFINITE,
    EXCEPTING,
    NO_DENIAL,
    NO_WORDS,
    NOTICING,
    PLACING,
    PLAIN_ADJECTIVES,
    SEARCHED,
    UNTIL,
)
from advisor.nlu.small_words import said_pattern, said_words
from advisor.nlu.tagger import Clause, Mark, gives_of
from advisor.nlu.tokenizer import CLOCK_TIME

OWN_DENIAL = said_words("own-denial")
NOT = said_words("denies-a-verb")
#: Things that are there or not: what is said of "the bulge" says that there is one.
THINGS = frozenset({inputs.FINDINGS, inputs.INSIDE_SIGNS, inputs.SEALANT, inputs.EARLIER_REPAIRS})
AFFIRMS = said_words("affirms")
NONE_THAT_IS_WELL = said_pattern("none-that-is-well")
JOINING_VERBS = frozenset({"is", "are", "was", "were", "has", "been"})
#: At the end these leave out what they deny: screw goes through, cut in the sidewall doesn't.
OBJECT_LEFT_OUT = frozenset({"doesn't", "didn't", "hasn't", "don't", "won't", "haven't", "wasn't", "isn't"})
ANSWERS = ("said", "doubtful", "alone", "denied", "noun")


class Denial(Enum):
    """Said, denied, or not to be told."""

    SAID = "said"
    DENIED = "denied"
    UNCLEAR = "unclear"


def denial_of(mark: Mark, clause: Clause) -> Denial:
    """Whether a phrase of a clause is denied."""
    place = clause.marks.index(mark)
    if any(other.text in AFFIRMS for other in clause.marks[place + 1 : place + 2]):
        return Denial.UNCLEAR if _before(mark, clause.marks[:place], []) is not Denial.SAID else Denial.SAID
    if mark.text.split()[0] in OWN_DENIAL:
        ahead = [other for other in clause.marks[:place] if not other.has("filler") or other.has("no")]
        unclear = (ahead and ahead[-1].has("no")) or _of_none_that_is_well(mark, clause)
        return Denial.UNCLEAR if unclear else Denial.SAID
    before = _before(mark, clause.marks[:place], clause.marks[place + 1 :])
    behind = [other for other in clause.marks[place + 1 :] if not other.has("filler") or other.has("no")]
    if not _is_thing(mark) and len(behind) == 1 and behind[0].text in OBJECT_LEFT_OUT:
        return Denial.UNCLEAR
    after = _after(clause.marks[place + 1 :])
    if mark.denied:
        plain = before is Denial.SAID and not after and not mark.loose
        return Denial.DENIED if plain else Denial.UNCLEAR
    if before is Denial.UNCLEAR or (before is Denial.DENIED and (after or _of_none_that_is_well(mark, clause))):
        return Denial.UNCLEAR
    if after:
        return Denial.UNCLEAR if _is_thing(mark) and _definite(_words(clause.marks[:place])) else Denial.DENIED
    if before is Denial.SAID and _is_thing(mark) and _denied_open(clause.marks[place + 1 :]):
        known = _words(clause.marks[:place])[-1:]
        return before if _definite(known) or known in (["a"], ["an"]) else Denial.UNCLEAR
    return before


def _of_none_that_is_well(mark: Mark, clause: Clause) -> bool:
    """Whether what is denied is that one is well: not one cord is whole, no wire without rust."""
    words = " ".join(mark.text for mark in clause.marks[clause.marks.index(mark) + 1 :])
    return bool(NONE_THAT_IS_WELL.match(words)) and _is_thing(mark)


def presupposed(mark: Mark, clause: Clause) -> bool:
    """Whether a clause takes a thing as being there, whatever it says of it: can't explain the bulge."""
    place = clause.marks.index(mark)
    own = mark.text.split()[0] in OWN_DENIAL
    open_ones = any(each.text.split()[-1] in ("if", "whether") for each in clause.having("cannot-tell"))
    told_of = not JOINING_VERBS.isdisjoint(mark.text.split())  # if the cord is cut; not: if the old repair is any good
    named = _is_thing(mark) and mark.has("said") and not (own or (open_ones and told_of))
    return named and _definite(_words(clause.marks[:place]))


def _is_thing(mark: Mark) -> bool:
    return any(question in THINGS for question, _ in gives_of(mark))


def _words(marks: Sequence[Mark]) -> list[str]:
    return [word for mark in marks for word in mark.text.split()]


def _definite(words: Sequence[str]) -> bool:
    """Whether the words ahead of a thing take it as being there: the bulge, that old bulge, the driver's bulge."""
    near = [word for word in words[-3:] if word not in PLAIN_ADJECTIVES][-2:]
    if not near:
        return False
    if near[-1] in DEFINITE or (near[-1].endswith("'s") and near[-1] not in ("it's", "there's", "that's", "here's")):
        return True
    loose = near[-1] in PLACING or near[-1] in BETWEEN_NOT or near[-1] in NO_WORDS
    return len(near) > 1 and near[-2] in DEFINITE - {"that", "which"} and not loose


def spent(mark: Mark, clause: Clause) -> bool:
    """Whether a denial has its own object right behind it, and the next phrase tells of something else outright.

    No sealant tubeless; never "no sealant retread", where both may be denied: the caller sees to that.
    """
    place = clause.marks.index(mark)
    denials = [at for at, other in enumerate(clause.marks[:place]) if other.has("no")]
    between = clause.marks[denials[-1] + 1 : place] if denials else []
    if len(denials) != 1 or len(between) != 1 or not mark.has("said") or _after(clause.marks[place + 1 :]):
        return False
    here, there = ({name for s in each.senses for name, _ in s.gives} for each in (mark, between[0]))
    return between[0].has("said", "denied") and not here & there


def _before(mark: Mark, marks: list[Mark], behind: list[Mark]) -> Denial:
    """What the words ahead do: the last denial, and whether it reaches here."""
    denials = [place for place, other in enumerate(marks) if other.has("no")]
    thing = _is_thing(mark)
    if not denials:
        ahead = [word for word in _words(marks) if word not in ("a", "an", "any")]
        return Denial.UNCLEAR if thing and " ".join(ahead[-2:]) in SEARCHED else Denial.SAID
    last = marks[denials[-1]]
    between = marks[denials[-1] + 1 :]
    words = _words(between)
    if thing and (last.text in EXCEPTING or _definite(_words(marks))):
        return Denial.SAID
    if last.text in ("no", "not", "nothing") and words[:1] and words[0] in NO_DENIAL:
        return Denial.SAID if thing else Denial.UNCLEAR
    if any(NOT & set(other.text.split()) for other in marks[: denials[-1]] if not other.has("no", *ANSWERS)):
        return Denial.UNCLEAR
    if len(denials) > 1 and not any(other.has(*ANSWERS) for other in marks[denials[-2] : denials[-1]]):
        return Denial.UNCLEAR
    if any(other.kind in ("figure", "print", CLOCK_TIME) for other in between):
        return Denial.SAID if between[-1].kind != "figure" else Denial.UNCLEAR
    if last.text in NOT and words and words[0] in PLACING:
        return Denial.UNCLEAR
    found = _reaches(last, between)
    if found is Denial.DENIED and UNTIL & set(_words(behind)):
        return Denial.SAID if thing and NOTICING & {*words, *last.text.split()} else Denial.UNCLEAR
    return found


def _reaches(last: Mark, between: list[Mark]) -> Denial:
    """Whether a denial reaches over what stands between it and a thing: only over a closed list of words."""
    allowed = BETWEEN_NO if last.text.split()[-1] in (*NO_WORDS, "any", "of") else BETWEEN_NOT
    if last.text in ("nothing", "nobody", "no one", "noone"):
        return Denial.UNCLEAR
    for place, other in enumerate(between):
        if other.has(*ANSWERS, "opening", "thing"):
            if not _joined(between, place):
                return Denial.UNCLEAR
        elif not set(other.text.split()) <= allowed:
            return Denial.UNCLEAR
    return Denial.DENIED


def _joined(between: list[Mark], place: int) -> bool:
    """Whether or, nor stands after an answer ahead: no cord or bulge."""
    rest = between[place + 1 : place + 3]
    return any(mark.text in ("or", "nor", "any") for mark in rest)


def _denied_open(marks: list[Mark]) -> bool:
    """Whether a denial stands right behind with more words: bulge not noted on the card."""
    near = [mark for mark in marks[:2] if mark.text not in ("is", "are", "was", "were", "as")]
    return bool(near) and near[0].has("no") and near[0].text in NOT | {"no", "none"}


def _after(marks: list[Mark]) -> bool:
    """Whether a denial stands right behind: cord not showing, bulge: none."""
    for place, mark in enumerate(marks):
        if mark.has("no"):
            if marks[place + 1 : place + 2] and marks[place + 1].figure is not None:
                return False
            rest = marks[place + 1 :]
            return set(_words(rest)) <= BEHIND and mark.text not in EXCEPTING
        if not (mark.text in ("is", "are", "was", "were", "showing", "there", "there's") or mark.text == ":"):
            return False
    return False
