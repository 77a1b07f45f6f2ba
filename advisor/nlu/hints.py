"""What a sentence hints at and does not say outright: a weak word, a frame with strange words in it, a loose figure.

A hint is always a proposal with its words, never an answer, and only where the sentence told nothing of the question.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from advisor.model import inputs
from advisor.model.case import TIRE, Key
from advisor.model.ruleset import Question
from advisor.nlu.evidence import Loose, Piece
from advisor.nlu.interpreter import ClauseAnswers
from advisor.nlu.lexicon import YES_NO, Lexicon
from advisor.nlu.negation_scope import OWN_DENIAL
from advisor.nlu.scope_words import BETWEEN_NOT, DENYING, OTHER_TIRE
from advisor.nlu.sentence_figures import Figure
from advisor.nlu.slots.base import ZONE
from advisor.nlu.slots.measures import figure_fits, figure_with_unit
from advisor.nlu.tagger import Clause, Mark, beside, gives_of

#: Of figures that a reason of these takes out of play nothing is proposed.
_OUT_OF_PLAY = ("a distance", "a bound", "denied", "what it has to be", "which is across", "of the air", "degrees of")
_WEAK = ("noun", "alone", "doubtful")


class Hint(Struct, frozen=True):
    """One thing hinted at: address, value as written, its words, whether it is that there is none."""

    key: Key
    written: str
    words: str
    absent: bool = False
    clause: object = None


def propose(clauses: Sequence[Clause], sense: ClauseAnswers, lexicon: Lexicon) -> None:
    """Adds what is hinted at to what was gathered, each held back with its words."""
    hints: dict[tuple[Key, str], list[Hint]] = {}
    for hint in _all(clauses, sense, lexicon):
        question = sense.rules.questions[hint.key[0]]
        several = question.kind in ("choices", "readings")
        hints.setdefault((hint.key, hint.written if several else ""), []).append(hint)
    told = {_address(piece, sense) for piece in sense.gathered.pieces}
    for (key, part), found in hints.items():
        question = sense.rules.questions[key[0]]
        if (key, part if question.kind == "choices" else "") in told or (key, "none") in told:
            continue
        if (hint := _one(question, found)) is not None:
            why = f'"{hint.words}" may say that'
            piece = Piece(key[0], key[1], hint.written, hint.words, hedge=why, denied=hint.absent, clause=hint.clause)
            sense.gathered.pieces.append(piece)
            if question.over == "injuries":
                sense.injuries.count = max(sense.injuries.count, key[1] + 1)


def _address(piece: Piece, sense: ClauseAnswers) -> tuple[Key, str]:
    question = sense.rules.questions[piece.question]
    return ((piece.question, TIRE if question.over == "tire" else piece.index),
            piece.written if question.kind == "choices" else "")  # fmt: skip


def _one(question: Question, found: Sequence[Hint]) -> Hint | None:
    """One of several hints at the same: the worst where one is worse; none where they contradict each other."""
    if len({(hint.written, hint.absent) for hint in found}) == 1:
        return found[0]
    order = question.worse_order
    if all(hint.written in order for hint in found):
        return max(found, key=lambda hint: order.index(hint.written))
    return None


def _all(clauses: Sequence[Clause], sense: ClauseAnswers, lexicon: Lexicon) -> Iterator[Hint]:
    words = [token.text for token in sense.tokens]
    for clause in clauses:
        if clause.question or clause.having("cannot-tell", "not-yet", "open", "supposed"):
            continue
        if OTHER_TIRE.search(" ".join(mark.text for mark in clause.marks)):
            continue
        begin, end = clause.marks[0].start, clause.marks[-1].end
        for frame in lexicon.frames.found(words, begin, end):
            question = sense.rules.questions[frame.gives[0]]
            said = _said(clause, words, frame.start, frame.end)
            if frame.absent:
                said = {"said": "denied", "denied": ""}.get(said, "")
            yield from _hint(question, frame.gives[1], said, frame.start, frame.end, clause, sense)
        for mark in clause.marks:
            yield from _of_mark(mark, clause, words, sense)
    for loose in sense.gathered.loose:
        yield from _of_figure(loose, sense)


def _of_mark(mark: Mark, clause: Clause, words: Sequence[str], sense: ClauseAnswers) -> Iterator[Hint]:
    """What a word says mostly, or by itself: said where nothing else told of its question."""
    given = gives_of(mark, *_WEAK)
    place = clause.marks.index(mark)
    near = clause.marks[max(0, place - 2) : place]
    for name, choice in given:
        question = sense.rules.questions[name]
        if name == ZONE and (not sense.injury_named or any(q == inputs.FINDINGS for m in clause.marks for q, _ in gives_of(m, "said"))):
            continue
        if any(beside(each) for each in near) and choice != question.worse_order[-1:]:
            if name != ZONE:
                continue
        yield from _hint(question, choice, _said(clause, words, mark.start, mark.end), mark.start, mark.end, clause, sense)


def _said(clause: Clause, words: Sequence[str], start: int, end: int) -> str:
    """`said`, `denied` by plain words, or empty where it can't be told."""
    inside = [word for word in words[start:end] if word in DENYING and words[start] not in OWN_DENIAL]
    ahead = [mark for mark in clause.marks if mark.has("no") and mark.end <= start]
    behind = [mark for mark in clause.marks if mark.has("no") and end <= mark.start <= end + 1]
    if len(inside) + len(ahead) + len(behind) > 1:
        return ""
    if ahead:
        return "denied" if set(words[ahead[0].end : start]) <= BETWEEN_NOT else ""
    return "denied" if inside or behind else "said"


def _hint(
    question: Question, choice: str, said: str, start: int, end: int, clause: Clause, sense: ClauseAnswers
) -> Iterator[Hint]:
    tokens = sense.tokens
    words = sense.line[tokens[start].start : tokens[end - 1].end]
    absent = False
    if not said:
        return
    if said == "denied":
        if question.kind == "choices" and choice != "none":
            absent = True
        elif {each.id for each in question.choices} >= YES_NO and choice in YES_NO:
            choice = "no" if choice == "yes" else "yes"
        else:
            return
    for index in sense.places(clause, question):
        yield Hint((question.id, index), choice, words, absent, clause)


def _of_figure(loose: Loose, sense: ClauseAnswers) -> Iterator[Hint]:
    """What a figure may be of that no word beside it told: the nearest label of its clause, or its unit."""
    mark, clause = loose.mark, loose.clause
    figure = mark.figure
    if figure is None or any(why in loose.why for why in _OUT_OF_PLAY) or clause.question:
        return
    name = _labelled(mark, figure, clause, sense) or _by_unit(figure, clause, sense)
    question = sense.rules.questions.get(name)
    if question is None or not figure_fits(question, figure):
        return
    written, _ = figure_with_unit(figure, question)
    index = TIRE if question.over == "tire" else max(loose.index, 0)
    yield Hint((name, index), written, mark.text, False, clause)


def _labelled(mark: Mark, figure: Figure, clause: Clause, sense: ClauseAnswers) -> str:
    place = clause.marks.index(mark)
    best = ("", 99)
    for at, other in enumerate(clause.marks):
        for each in other.senses:
            for name, _ in each.gives if each.how == "label" else ():
                distance = place - at if at < place else at - place
                if figure_fits(sense.rules.questions.get(name), figure) and distance < best[1]:
                    best = (name, distance)
    return best[0]


def _by_unit(figure: Figure, clause: Clause, sense: ClauseAnswers) -> str:
    if figure.unit == "32nds" or "/32" in figure.written():
        return inputs.TREAD_DEPTH
    if figure.quantity == "pressure":
        return inputs.FOUND_PRESSURE
    if figure.quantity == "angle":
        return inputs.INJURY_ANGLE
    if figure.quantity == "length" or figure.fraction:
        return inputs.INJURY_SIZE if sense.injury_named else ""
    return ""
