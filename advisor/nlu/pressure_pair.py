"""Which of a sentence's two pressures is set and which was found, by the words nearest to each: 36 set, 22 found."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from advisor.loader.answer_codec import read_written
from advisor.model import inputs
from advisor.model.case import TIRE
from advisor.model.problems import Misread
from advisor.nlu.evidence import Piece
from advisor.nlu.interpreter import ClauseAnswers
from advisor.nlu.loose_figures import LEAST_READ, of_another_tire
from advisor.nlu.slots.measures import figure_with_unit, in_fahrenheit
from advisor.nlu.small_words import said_words
from advisor.nlu.tagger import Clause, Mark

WANTED, FOUND = said_words("pressure-wanted"), said_words("pressure-found")
_PRESSURES = (inputs.FOUND_PRESSURE, inputs.SET_PRESSURE)


def pressures_in_pair(clauses: Sequence[Clause], sense: ClauseAnswers) -> None:
    """Proposes which of a sentence's two pressures is set and which was found, by the words nearest to each."""
    questions = [sense.rules.questions.get(name) for name in _PRESSURES]
    if not all(questions) or WANTED.isdisjoint(token.text for token in sense.tokens):
        return
    for number in dict.fromkeys(clause.sentence for clause in clauses):
        here = [each for each in clauses if each.sentence == number and not of_another_tire(each, sense)]
        own = [piece for piece in sense.gathered.pieces if any(piece.clause is clause for clause in here)]
        told = [piece for piece in own if piece.question in _PRESSURES]
        pair = [(mark, clause) for clause in here for mark in clause.marks if _may_be_pressure(mark, clause, told)]
        plain = {piece.question for piece in told if not piece.hedge}
        if len(pair) != len(_PRESSURES) or len(plain) == len(_PRESSURES):
            continue
        words = [(word, mark.start) for clause in here for mark in clause.marks for word in mark.text.split()]
        wanted, found = ([at for word, at in words if word in kind] for kind in (WANTED, FOUND))
        (one, _), (other, _) = pair
        if not wanted:
            continue
        far = len(sense.tokens)
        straight = _nearest(other.start, wanted, far) + _nearest(one.start, found, far)
        turned = _nearest(one.start, wanted, far) + _nearest(other.start, found, far)
        if straight == turned:
            continue
        in_order = pair if straight < turned else pair[::-1]
        unit = next((mark.figure.unit for mark, _ in pair if mark.figure and mark.figure.quantity == "pressure"), "")
        for (mark, clause), question in zip(in_order, questions, strict=True):
            figure = mark.figure
            if figure is None or question is None or question.id in plain:
                continue
            written, _ = figure_with_unit(
                replace(figure, unit=figure.unit if figure.quantity == "pressure" else unit),
                question,
                in_fahrenheit(sense.rules),
            )
            try:
                read_written(question, written)
            except Misread:
                continue
            sense.gathered.pieces[:] = [
                each for each in sense.gathered.pieces if each not in told or each.question != question.id
            ]
            words_of = sense.words_at(mark.start, mark.end)
            hedge = f'"{words_of}": the pressure {"it is to have" if question.id == inputs.SET_PRESSURE else "found"}?'
            sense.gathered.say(Piece(question.id, TIRE, written, words_of, clause=clause, hedge=hedge))
            clause.take(mark)


def _nearest(place: int, others: Sequence[int], far: int) -> int:
    """How far the nearest of some places is; `far` where there is none."""
    return min((abs(place - other) for other in others), default=far)


def _may_be_pressure(mark: Mark, clause: Clause, told: Sequence[Piece]) -> bool:
    """Whether a figure may be a pressure: by its unit, or bare and whole where nothing else was made of it."""
    figure = mark.figure
    if figure is None or figure.quantity == "pressure":
        return figure is not None
    if clause.having("thing", "opening", "time-of-day", "road") or figure.fraction:
        return False
    if figure.unit == "in":
        return figure.low.isdecimal() and int(figure.low) >= LEAST_READ  # 62 in, 65 set
    taken = mark.start in clause.taken and not any(piece.clause is clause for piece in told)
    return figure.low.isdecimal() and not (figure.unit or figure.quantity or taken)
