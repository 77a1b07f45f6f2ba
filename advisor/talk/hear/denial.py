"""Whether a phrase is denied where it stands: "no cord", "cord isn't showing", "no cord or bulge"."""

from __future__ import annotations

from enum import Enum

from advisor.talk.hear.marks import Clause, Mark

#: More unknown words than this between a denial and a phrase leave it open whether it reaches that far.
MOST_BETWEEN = 1
#: A phrase that begins with one of these holds its own denial.
OWN_DENIAL = frozenset({"no", "not", "never", "without", "neither", "nothing", "none"})
#: "Not in a repair", "isn't near the bead" deny a place, and not that there is such a thing.
NOT = frozenset({"not", "never", "isn't", "wasn't", "aren't", "weren't"})
PLACING = frozenset(
    {"in", "into", "inside", "near", "at", "by", "under", "beside", "close", "within", "next", "through"}
)
ANSWERS = ("said", "doubtful", "alone", "denied", "noun")


class Denial(Enum):
    """Said, denied, or not to be told."""

    SAID = "said"
    DENIED = "denied"
    UNCLEAR = "unclear"


def denial_of(mark: Mark, clause: Clause) -> Denial:
    """Whether a phrase of a clause is denied."""
    place = clause.marks.index(mark)
    if mark.text.split()[0] in OWN_DENIAL:
        ahead = [other for other in clause.marks[:place] if not other.has("filler") or other.has("no")]
        return Denial.UNCLEAR if ahead and ahead[-1].has("no") else Denial.SAID
    before = _before(clause.marks[:place])
    after = _after(clause.marks[place + 1 :])
    if mark.denied:
        return Denial.UNCLEAR if before is not Denial.SAID or after else Denial.DENIED
    if before is Denial.UNCLEAR or (before is Denial.DENIED and after):
        return Denial.UNCLEAR
    if after:
        return Denial.DENIED
    return before


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


def _before(marks: list[Mark]) -> Denial:
    """What the words ahead do: the last denial, and whether it reaches here."""
    denials = [place for place, mark in enumerate(marks) if mark.has("no")]
    if not denials:
        return Denial.SAID
    between = marks[denials[-1] + 1 :]
    if len(denials) > 1 and not any(mark.has(*ANSWERS) for mark in marks[denials[-2] : denials[-1]]):
        return Denial.UNCLEAR
    if any(mark.kind in ("figure", "print", "clock") for mark in between):
        return Denial.SAID if between[-1].kind != "figure" else Denial.UNCLEAR
    if marks[denials[-1]].text in NOT and between and between[0].text.split()[0] in PLACING:
        return Denial.UNCLEAR
    answers = [place for place, mark in enumerate(between) if mark.has(*ANSWERS, "opening", "thing")]
    if answers and not all(_joined(between, place) for place in answers):
        return Denial.UNCLEAR
    unknown = sum(mark.kind == "word" for mark in between)
    return Denial.DENIED if unknown <= MOST_BETWEEN else Denial.UNCLEAR


def _joined(between: list[Mark], place: int) -> bool:
    """Whether or, nor stands after an answer ahead: no cord or bulge."""
    rest = between[place + 1 : place + 3]
    return any(mark.text in ("or", "nor", "any") for mark in rest)


def _after(marks: list[Mark]) -> bool:
    """Whether a denial stands right behind: cord not showing, bulge: none."""
    for place, mark in enumerate(marks):
        if mark.has("no"):
            if marks[place + 1 : place + 2] and marks[place + 1].figure is not None:
                return False
            return not any(
                other.kind == "word" or other.has(*ANSWERS, "thing", "opening", "repair", "repair-doubtful", "asks")
                for other in marks[place + 1 :]
            )
        if not (mark.text in ("is", "are", "was", "were", "showing", "there", "there's") or mark.text == ":"):
            return False
    return False
