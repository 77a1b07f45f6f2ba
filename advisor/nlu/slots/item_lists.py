"""Several injuries told one after another, and which clause is whose: two holes: 5 mm crown, 4 mm shoulder."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.model import inputs
from advisor.nlu.slots.measures import ROUND
from advisor.nlu.tagger import LIST_ENDED, Clause, Mark, beside, gives_of
from advisor.nlu.tokenizer import CLOCK_TIME

#: What each injury of a list has to have one of: its place, or a length; a length alone may be that of two screws,
#: and of a cut it may be either way across.
TOLD_OF_EACH = ("zone", "length")
#: Labels that a figure of such a list may have.
OF_INJURY = frozenset(
    {
        inputs.INJURY_SIZE,
        inputs.INJURY_LENGTH,
        inputs.INJURY_ANGLE,
        inputs.INJURY_DEPTH,
        inputs.INJURY_ZONE,
        inputs.CLOCK,
    }
)
_KINDS = {
    inputs.INJURY_ZONE: "zone",
    inputs.INJURY_ANGLE: "angle",
    inputs.INJURY_DEPTH: "depth",
    inputs.LEAN: "angle",
    inputs.CLOCK: CLOCK_TIME,
}
#: Clauses that speak of one injury at most: its place, its size, its angle.
MOST_CLAUSES = 3


def mark_list(declaring: Clause, following: Sequence[Clause], injuries: int) -> None:
    """Notes of which injury each clause tells, where the clauses behind a number of injuries tell of each in turn.

    It is a list when every injury gets the same kinds of telling in the same order, and nothing of the kind follows.
    """
    if any(clause.having("first", "another") for at, clause in enumerate(following) if at + 1 != injuries):
        return
    openings = declaring.having("opening")
    round_ones = bool(openings) and all(mark.text in ROUND for mark in openings)
    kinds_told = TOLD_OF_EACH if round_ones else TOLD_OF_EACH[:1]
    begin = next((at for at, clause in enumerate(following) if _kinds(clause)), len(following))
    told: list[frozenset[str]] = []
    for clause in following[begin:]:
        kinds = _kinds(clause)
        if not kinds or clause.sentence != following[begin].sentence:
            break
        if openings and not round_ones and "length" in kinds and not clause.having("label"):
            return
        told.append(kinds)
    if told and told[0] == {"zone"} and not any("zone" in kinds for kinds in told[1:]):
        begin, told = begin + 1, told[1:]
    for each in range(1, MOST_CLAUSES + 1):
        if _is_list(told, injuries, each, kinds_told):
            for at, clause in enumerate(following[begin : begin + injuries * each]):
                clause.item = at // each
            for clause in following[begin + injuries * each : begin + injuries * each + 1]:
                clause.item = LIST_ENDED
            return


def _is_list(told: Sequence[frozenset[str]], injuries: int, each: int, of_each: Sequence[str]) -> bool:
    """Whether the first clauses tell of every injury in turn, `each` clauses for one."""
    listed, rest = told[: injuries * each], told[injuries * each :]
    if len(listed) < injuries * each:
        return False
    heads = listed[::each]
    shared = [kind for kind in of_each if all(kind in kinds for kinds in heads)]
    if not any(all(kind not in kinds for kinds in rest) for kind in shared):
        return False
    if each == 1:
        return True
    apart = sum(len(kinds) for kinds in listed[:each]) == len(frozenset().union(*listed[:each]))
    return apart and all(kinds == listed[at % each] for at, kinds in enumerate(listed))


def _kinds(clause: Clause) -> frozenset[str]:
    """What a clause tells of an injury: zone, length, angle, depth, clock; nothing where it speaks of anything else."""
    if clause.having("all", "no", "cannot-tell", "not-yet", "repair-named", "road", "time-of-day", "unit-named"):
        return frozenset()
    found: set[str] = set()
    for at, mark in enumerate(clause.marks):
        kind = _kind_told(mark, clause.marks[at - 1] if at else None)
        if kind is None:
            return frozenset()
        found.add(kind)
    return frozenset(found - {""})


def _kind_told(mark: Mark, ahead: Mark | None) -> str | None:
    if mark.kind == CLOCK_TIME:
        return CLOCK_TIME
    if mark.figure is not None:
        if not mark.figure.unit and not mark.figure.fraction:
            return CLOCK_TIME if ahead is not None and ahead.text == "at" else None
        quantity = mark.figure.quantity or "length"
        return quantity if quantity in ("length", "angle") else None
    if (beside(mark) and mark.text != "off") or mark.kind in ("word", "print", "sign"):
        return None
    given = [question for question, _ in gives_of(mark)]
    given += [question for sense in mark.senses if sense.how == "label" for question, _ in sense.gives]
    if any(question not in OF_INJURY and question not in _KINDS for question in given):
        return None
    return next((_KINDS[question] for question, _ in gives_of(mark) if question in _KINDS), "")
