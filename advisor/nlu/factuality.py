"""Which clauses state no fact of this tire: questions, suppositions, orders, rules, the past, another tire."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.model import inputs
from advisor.nlu.negation_scope import presupposed
from advisor.nlu.qualifiers import CONTRARY
from advisor.nlu.scope_words import ASKS, ASKS_WITHIN, REPORTED, TAGS
from advisor.nlu.small_words import said_pattern, said_words
from advisor.nlu.tagger import Clause, Mark, gives_of
from advisor.nlu.tokenizer import CLOCK_TIME
from advisor.nlu.which_tire import OfTires

LATER = said_words("later")
#: Why clauses count for nothing: of another tire, up to where this one is named; compared with one, that one alone.
ELSEWHERE, COMPARED = "elsewhere", "compared"
LIKENING = frozenset({"like", "unlike"})
HOW_IT_IS = said_pattern("how-it-is")
_OF_INJURY = ("length", "angle")
VERBS = said_words("verbs")
GOING_ON = VERBS | said_words("going-on")
#: So many words stand at most ahead of the verb of a clause that tells something.
MOST_AHEAD = 4


def stated(clauses: Sequence[Clause], tires: OfTires) -> list[Clause]:
    """The clauses that state something of this tire, in order."""
    kept: list[Clause] = []
    sentence, closed, why, asked = -1, "", "", list[Clause]()
    several = any(mark.text.endswith("s") for clause in clauses for mark in clause.having("thing", "opening"))
    for clause in clauses:
        if clause.sentence != sentence:
            sentence, closed, why = clause.sentence, "", ""
            asked = asked_in([each for each in clauses if each.sentence == sentence])
        over = closed == COMPARED or (closed == ELSEWHERE and id(clause) in tires.this)
        before, closed = closed, _closed(clause, "" if over else closed, several)
        if (
            closed == before == "supposed"
            and HOW_IT_IS.match(f"{clause.opens} {clause.text}".strip(" ,"))
            and not clause.having("supposed", "unsafe")
        ):
            closed, why = "", f'"{clause.text}": so of this tire, or supposed?'
        there = clause.having("cannot-tell", "past") and any(presupposed(mark, clause) for mark in clause.marks)
        open_ones = not closed and not _aside(clause) and (not _past(clause) or _set_against_now(clause, clauses))
        asks = any(clause is each for each in asked)
        if (open_ones or there) and not asks and id(clause) not in tires.closed:
            kept.append(clause)
            if why:
                tires.held.setdefault(id(clause), why)
    return kept


def _aside(clause: Clause) -> bool:
    """Whether a clause speaks of a rule or of something else than the tire: 4/32 is what a steer tire must have."""
    required = False
    for mark in clause.marks:
        if required and mark.figure is not None and mark.figure.written().endswith("/32 in"):
            return True
        required = mark.has("required") or (required and mark.figure is None)
    return any(not _of_pressure(mark, clause) for mark in clause.having("aside"))


def _of_pressure(mark: Mark, clause: Clause) -> bool:
    """Whether what is wanted is a pressure, told as one or behind the one found: wants 36 psi, 95 psi wants 110."""
    place = clause.marks.index(mark)
    behind = next((each.figure for each in clause.marks[place + 1 : place + 2]), None)
    pressures = [each for each in clause.marks[: place + 2] if each.figure and each.figure.quantity == "pressure"]
    return behind is not None and mark.has("label") and bool(pressures)


def _closed(clause: Clause, closed: str, several: bool) -> str:
    """Why the rest of the sentence counts for nothing, or an empty text; of `several` injuries one may be the other."""
    if closed == ELSEWHERE and any(_comes_back(mark, clause) for mark in clause.having("back-to")):
        closed = ""
    if closed == "thought" and clause.opens in CONTRARY:
        closed = ""
    if any(mark.text.startswith("thought") for mark in clause.having("supposed")):
        return "thought"
    supposed = any(_supposes(mark, clause) for mark in clause.having("supposed", "unsafe"))
    if closed == "supposed" or supposed:
        return "supposed"
    elsewhere = [mark for mark in clause.having("elsewhere")
                 if not _between_figures(mark, clause) and not (several and mark.has("another"))]  # fmt: skip
    if elsewhere and not any(_comes_back(mark, clause) for mark in clause.having("back-to")):
        return closed or (COMPARED if any(mark.text in LIKENING for mark in clause.marks) else ELSEWHERE)
    return closed


def _supposes(mark: Mark, clause: Clause) -> bool:
    """Whether words suppose something; not: I make it 5; couldn't say how big or if it goes through."""
    if mark.text == "if" and any(each.start < mark.start for each in clause.having("cannot-tell")):
        return False
    if mark.text in ("if", "would") and _reported(clause) and _asks(clause):
        return False
    return not (mark.text == "would" and _asks(clause)) and not _measures(mark, clause)


def _measures(mark: Mark, clause: Clause) -> bool:
    """Whether a figure stands behind what one makes it, and is what was measured: I make it 5."""
    place = clause.marks.index(mark)
    who, behind = clause.marks[:place][-1:], clause.marks[place + 1 : place + 3]
    return (
        mark.text == "make it" and any(each.text in ("i", "we") for each in who) and any(each.figure for each in behind)
    )


def _comes_back(mark: Mark, clause: Clause) -> bool:
    """Whether words for this tire tell of it: the other was run flat, not [this one] does not."""
    place = clause.marks.index(mark)
    return not (place and clause.marks[place - 1].has("no"))


def _between_figures(mark: Mark, clause: Clause) -> bool:
    """Whether "instead of" stands between two figures: 40 psi instead of 100."""
    place = clause.marks.index(mark)
    beside = clause.marks[max(0, place - 1) : place] + clause.marks[place + 1 : place + 2]
    return mark.text == "instead of" and [each.kind for each in beside] == ["figure", "figure"]


def asked_in(sentence: Sequence[Clause]) -> list[Clause]:
    """The clauses of a sentence that ask, and what follows on them up to a clause that tells something by itself."""
    if not any(map(_asks, sentence)):
        told = [at for at, each in enumerate(sentence) if _tells(each) or not tells_nothing(each)]
        if sentence[0].question and told and tells_nothing(sentence[-1]):
            return [*sentence[told[-1] + 1 :]]
        return [*sentence] if sentence[0].question else []
    asked, going_on = list[Clause](), False
    for clause in sentence:
        asks = _asks(clause)
        going_on = asks or (going_on and not _tells(clause))
        if going_on:
            asked.append(clause)
        going_on = going_on and not (asks and _reported(clause))
    return asked


def _reported(clause: Clause) -> bool:
    return not clause.question and bool(REPORTED.search(clause.text))


def _asks(clause: Clause) -> bool:
    first, text = clause.marks[0], clause.text
    if clause.question and (text in TAGS or clause.having("supposed")):
        return True
    if clause.having("cannot-tell") and not clause.question:
        return False
    if ASKS_WITHIN.search(text):
        return True
    return bool(ASKS.match(text)) and not (first.has("label", "said", "noun") or first.text in TAGS)


def _tells(clause: Clause) -> bool:
    """Whether a clause has a subject and a verb, names an injury with its place or size, or begins with a print."""
    words = clause.words
    if clause.marks[0].kind == "print" or words[0].endswith(("'s", "'ve")):
        return True
    if words[0] in GOING_ON:
        return False
    measured = any(mark.figure is not None or gives_of(mark, "said", "noun", "alone") for mark in clause.marks)
    named = bool(clause.having("thing", "opening")) and measured
    return named or not VERBS.isdisjoint(words[1 : MOST_AHEAD + 1])


def tells_nothing(clause: Clause) -> bool:
    """Whether a clause tells nothing by itself."""
    return not any(
        mark.kind in ("figure", "print", CLOCK_TIME, "item")
        or gives_of(mark)
        or mark.has("asks", "thing", "opening", "repair", "repair-doubtful")
        for mark in clause.marks
    )


def _past(clause: Clause) -> bool:
    return bool(clause.having("past")) and not of_repair(clause)


def _set_against_now(clause: Clause, clauses: Sequence[Clause]) -> bool:
    """Whether what was so stands in its sentence ahead of what is so now: no bulge yesterday, today there is one."""
    if clause.having("no") and any(mark.text in ("until", "till") for mark in clause.marks):
        return True
    if not clause.having("no") and not any(mark.figure and mark.figure.quantity in _OF_INJURY for mark in clause.marks):
        return False
    behind = (each for each in clauses[clauses.index(clause) + 1 :] if each.sentence == clause.sentence)
    return any(not LATER.isdisjoint(mark.text for mark in each.marks) for each in behind)


def of_repair(clause: Clause) -> bool:
    """Whether a clause speaks of an earlier repair."""
    return bool(clause.having("repair-named")) or any(_names_repair(mark) for mark in clause.marks)


def _names_repair(mark: Mark) -> bool:
    return any(question == inputs.EARLIER_REPAIRS or (question, choice) == (inputs.FINDINGS, "puncture-plug-only")
               for question, choice in gives_of(mark))  # fmt: skip
