"""What stands beside a figure or behind a denial and alters it: but the outer rib is bald, opens to 12, just some wire.

A closed list of words leaves a figure as it is. Any other word behind it, another figure that nothing was made of,
or a clause behind it that tells nothing by itself makes it a proposal, never an answer.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

from advisor.model import inputs
from advisor.model.ruleset import Question, RuleSet
from advisor.nlu.evidence import Piece
from advisor.nlu.part_runs import part_runs_of
from advisor.nlu.scope_words import ALTERS, EXCEPTING, PLAIN
from advisor.nlu.small_words import said_pattern, said_words
from advisor.nlu.tagger import Clause, Mark, gives_of, labels_for
from advisor.nlu.tokenizer import CLOCK_TIME
from advisor.nlu.what_weighs import NO_NEWS, weighs

#: How a hedge begins where what stands beside a figure or a denial alters it.
ALTERED = "altered by"
MEASURED = ("measure", "readings")
WITHDRAWS = said_words("withdraws")
_GOOD = said_words("good")
CONTRARY = said_words("contrary")
TAKES_BACK = said_words("takes-back")
ONE = said_words("speaks-of-one")
#: The class of units that no measure of a tire has.
_NO_MEASURE = "no-measure"
_NEARLY = said_pattern("nearly")
_LEAST = said_pattern("at-its-least")
ONE_PLACE = said_pattern("one-place")
AT_ITS_WORST = said_words("at-its-worst")
_AS_IT_IS = said_words("as-it-is")


class Tail(Struct):
    """What alters the figures of a clause, its denials, and its graded choices; empty: nothing does.

    `place` is what alters where an injury is and how deep it goes: what makes a figure larger does not.
    """

    figure: str = ""
    graded: str = ""
    place: str = ""
    denial: str = ""


def tails(sentences: Sequence[Sequence[Clause]], pieces: Sequence[Piece], rules: RuleSet) -> dict[int, Tail]:
    """What alters what was told, for each clause that tells something, by the clause's identity."""
    told: dict[int, list[Piece]] = {}
    for piece in pieces:
        told.setdefault(id(piece.clause), []).append(piece)
    found = {clause: Tail() for clause in told}
    for place, sentence in enumerate(sentences):
        ahead = sentence
        if place and not any(id(clause) in told for clause in sentence):
            ahead = sentences[place - 1]
        for clause in sentence:
            for piece in told.get(id(clause), ()):
                question = rules.questions[piece.question]
                worse = worse_named(question, piece, sentence, pieces) or _of_what_stands_ahead(piece, clause, sentence)
                found[id(clause)].graded = found[id(clause)].graded or worse
            if id(clause) in told:
                _beside(clause, told[id(clause)], found[id(clause)], rules)
        for clause, why, restricts, larger in _behind(sentence, told, ahead is not sentence, rules):
            nearest = _nearest(ahead, clause, told)
            for each in ahead:
                tail = found.get(id(each))
                if tail is None:
                    continue
                alters = larger or restricts or not clause.having("no")  # "no plugs" alters no figure
                if alters and (each is nearest or _same_injury(told[id(each)], told.get(id(nearest), []), rules)):
                    tail.figure = tail.figure or why
                if each is nearest:
                    tail.denial = tail.denial or why
                    tail.graded = tail.graded or (why if restricts else "")
                    tail.place = tail.place or (why if restricts or not larger else "")
        _unread(ahead, sentence, told, found, rules)
    return found


def _nearest(ahead: Sequence[Clause], tail: Clause, told: dict[int, list[Piece]]) -> Clause | None:
    at = ahead.index(tail) if tail in ahead else len(ahead)
    return next((clause for clause in reversed(ahead[:at]) if id(clause) in told), None)


def _same_injury(one: Sequence[Piece], other: Sequence[Piece], rules: RuleSet) -> bool:
    """Whether both tell of an injury: what alters its lean may alter its width."""
    return all(any(rules.questions[piece.question].over == "injuries" for piece in each) for each in (one, other))


def _beside(clause: Clause, pieces: Sequence[Piece], tail: Tail, rules: RuleSet) -> None:
    """What alters the figures of a clause within it."""
    text = clause.text
    alters = altered_within(clause)
    measured = [piece for piece in pieces if rules.questions[piece.question].kind in MEASURED]
    if any(rules.questions[piece.question].kind == "readings" for piece in measured) and not AT_ITS_WORST & set(
        text.split()
    ):
        alters = alters or ONE_PLACE.search(text)
    if any(rules.questions[piece.question].over == "injuries" for piece in measured):
        alters = alters or _LEAST.search(text)
    first = next((place for place, mark in enumerate(clause.marks) if mark.figure is not None), len(clause.marks))
    behind = clause.marks[first + 1 :]
    more = next((place for place, mark in enumerate(clause.marks) if place and mark.has("another")), len(clause.marks))
    another = next((mark.text for mark in clause.marks[more:] if mark.has("opening")), "")
    word = alters[0] if alters else another or _beside_another(clause, measured) or next(strange(behind, clause), "")
    if word and measured:
        tail.figure = f'{ALTERED} "{word}"'
    if word := nearly(clause):
        tail.graded = f'{ALTERED} "{word}"'
    if something := _of_something(clause, pieces):
        tail.graded = f'{ALTERED} "{something}"'
    if another:
        tail.graded = f'{ALTERED} "{another}"'
    if not any(piece.corrected for piece in pieces) and (word := _corrected_in_vain(clause)):
        tail.figure = tail.graded = tail.denial = f'{ALTERED} "{word}"'


def altered_within(clause: Clause) -> re.Match[str] | None:
    """What within a clause makes its figures other ones; a range has told its own ends, a speed is a mean."""
    of_speed = any(mark.figure is not None and mark.figure.quantity == "speed" for mark in clause.marks)
    marks = (
        each for each in clause.marks if not (gives_of(each) or (of_speed and labels_for(each, inputs.MEAN_SPEED)))
    )
    texts = ("0" if mark.figure and mark.figure.high else mark.text for mark in marks)
    return ALTERS.search(" ".join(texts))


def nearly(clause: Clause) -> str:
    """What leaves a place or a grade open: almost crown. What stands ahead of a figure is the figure's own."""
    for place, mark in enumerate(clause.marks):
        text = mark.text
        if text in ("just", "close", "not", "near", "more", "verging", "bordering"):
            text = " ".join(each.text for each in clause.marks[place : place + 3])
        if not _NEARLY.match(text):
            continue
        behind = [each for each in clause.marks[place + 1 :] if not each.has("filler")]
        ahead = clause.marks[max(0, place - 1) : place]
        if (behind and behind[0].figure is None and gives_of(behind[0])) or (not behind and any(map(gives_of, ahead))):
            return mark.text
    return ""


def _beside_another(clause: Clause, measured: Sequence[Piece]) -> str:
    """A figure right behind another one where not each of them was taken: 7 mm 1 mm."""
    figures = [mark for mark in clause.marks if mark.figure is not None]
    pairs = [second for first, second in pairwise(figures) if first.end == second.start]
    return pairs[0].text if pairs and len(measured) < len(figures) else ""


def _corrected_in_vain(clause: Clause) -> str:
    """What stands behind a correction within a clause and is not understood: in the crown make that the wall."""
    at = next((place for place, mark in enumerate(clause.marks) if place and mark.has("correction")), len(clause.marks))
    return next(strange(clause.marks[at + 1 :], clause), "")


def _behind(
    sentence: Sequence[Clause], told: dict[int, list[Piece]], other_sentence: bool, rules: RuleSet
) -> Iterator[tuple[Clause, str, bool, bool]]:
    """The clauses that tell nothing by themselves and may alter what stands ahead: why; whether one takes some of it
    back, or only makes a figure another one."""
    for place, clause in enumerate(sentence):
        text = clause.text
        words = text.split()
        alters = ALTERS.search(text) or ONE_PLACE.search(text)
        if (not place and not other_sentence) or (id(clause) in told and not (alters and clause.opens in CONTRARY)):
            if place and (word := _of_something(clause, told.get(id(clause), ()))):
                yield clause, f'{ALTERED} "{word}"', False, False
            continue
        if beside_the_tire(clause, rules):
            continue
        restricts = words[0] in TAKES_BACK or (clause.opens in CONTRARY and not _own(clause))
        if alters or restricts or (clause.having("opening") and not clause.having("no") and not other_sentence):
            yield clause, f'{ALTERED} "{text}"', restricts, bool(alters)
        elif (figures := [mark for mark in clause.marks if mark.figure is not None]) and all(
            _of_no_measure(mark, clause, rules) for mark in figures
        ):
            continue  # drove 20 miles
        elif clause.marks[0].has("no") and not clause.marks[0].has("correction"):
            continue  # no signs of running low: what it denies is its own
        elif not other_sentence and not _own(clause) and (word := next(strange(clause.marks, clause), "")):
            yield clause, f'{ALTERED} "{word}"', False, False


def beside_the_tire(clause: Clause, rules: RuleSet) -> bool:
    """Whether a clause that tells nothing can't alter what stands ahead of it: it is well, or of no part of a tire."""
    text = clause.text
    if clause.opens in CONTRARY or text.split()[0] in TAKES_BACK or not ONE.isdisjoint(text.split()):
        return part_runs_of(rules.phrases).made_up(text, *NO_NEWS)
    return not weighs(text, rules.phrases)


def _of_what_stands_ahead(piece: Piece, clause: Clause, sentence: Sequence[Clause]) -> str:
    """What a depth may be said of where the clause ahead names that, and none an injury: bit of scorch, but shallow."""
    at = next(place for place, each in enumerate(sentence) if each is clause)
    if piece.question != inputs.INJURY_DEPTH or not at or any(each.having("thing", "opening") for each in sentence):
        return ""
    word = next(strange(sentence[at - 1].marks, sentence[at - 1]), "")
    return f'{ALTERED} "{word}"' if word else ""


def _of_something(clause: Clause, pieces: Sequence[Piece]) -> str:
    """The word for what an injury's depth is said of, where that is no injury: the chunk missing is only rubber."""
    if clause.having("thing", "opening") or not any(piece.question == inputs.INJURY_DEPTH for piece in pieces):
        return ""
    return next(strange(clause.marks, clause), "")


def _own(clause: Clause) -> bool:
    """Whether a clause tells of its own question that it is open: pressure unknown."""
    return bool(clause.having("cannot-tell", "not-yet"))


def strange(marks: Sequence[Mark], clause: Clause) -> Iterator[str]:
    """The words of no closed list, and of nothing understood; what a hole came from alters nothing."""
    cause = False
    for place, mark in enumerate(marks):
        named = any(other.has("thing") for other in marks[place:])
        cause = (mark.text == "from" and named) or (cause and mark.kind == "word")
        if (
            cause
            or mark.start in clause.taken
            or _of_distance(mark, marks[:place])
            or mark.kind in ("figure", "print", CLOCK_TIME, "item")
        ):
            continue
        if mark.kind in ("word", "sign") or mark.has("past"):
            words = [word.removesuffix("'s") for word in mark.text.split()]
            yield from (word for word in words if word not in PLAIN and word not in _AS_IT_IS)


def _of_distance(mark: Mark, ahead: Sequence[Mark]) -> bool:
    """Whether a mark tells that the figure right ahead of it is how far apart two lie."""
    return mark.text == "apart" and bool(ahead) and ahead[-1].figure is not None and bool(ahead[-1].figure.unit)


def _unread(
    ahead: Sequence[Clause],
    sentence: Sequence[Clause],
    told: dict[int, list[Piece]],
    found: dict[int, Tail],
    rules: RuleSet,
) -> None:
    """Another figure of the sentence that may be of the same thing: nothing was made of it, or it went off bare."""
    figures = [
        (clause, mark)
        for clause in sentence
        for place, mark in enumerate(clause.marks)
        if mark.figure is not None and not withdrawn(clause, place)
    ]
    for where, mark in figures:
        figure = mark.figure
        assert figure is not None
        if _of_no_measure(mark, where, rules):
            continue
        quantities = {figure.quantity} if figure.quantity else {"length", "angle", "pressure"}
        there = [(rules.questions[piece.question], piece.index) for piece in told.get(id(where), ())]
        injuries = {index for question, index in there if question.over == "injuries"}
        bare = not (figure.unit or figure.fraction or where.having("label") or _beside_its_unit(mark, where, there))
        for clause in ahead:
            here = {(rules.questions[piece.question].quantity, piece.index) for piece in told.get(id(clause), ())}
            other_injury = injuries and where is not clause and injuries.isdisjoint(index for _, index in here)
            measured = quantities & {quantity for quantity, _ in here}
            elsewhere = bare and where is not clause and not measured & {question.quantity for question, _ in there}
            if measured and not other_injury and (mark.start not in where.taken or elsewhere):
                tail = found[id(clause)]
                tail.figure = tail.figure or f'{ALTERED} another figure, "{figure.written().strip()}"'


def _beside_its_unit(mark: Mark, clause: Clause, told: Sequence[tuple[Question, int]]) -> bool:
    """Whether all that a clause tells is of the unit that another of its figures has: 26 of 33 psi."""
    others = {each.figure.quantity for each in clause.marks if each.figure and each is not mark and each.figure.unit}
    return len(others) == 1 and {question.quantity for question, _ in told} == others


def _of_no_measure(mark: Mark, clause: Clause, rules: RuleSet) -> bool:
    """Whether a figure is of something that no measure of a tire is: 10 miles, 20 minutes, 3 times."""
    behind = next((each.text.split()[0] for each in clause.marks if each.start == mark.end), "")
    return behind in rules.phrases.classes.get(_NO_MEASURE, ())


def withdrawn(clause: Clause, place: int) -> bool:
    """Whether a figure is said not to be so: 12 mm, not 16; scratch 5-7. Not: 12 mm, no 16; scratch that, 7."""
    before = [mark.text for mark in clause.marks[:place] if not (mark.has("filler", "about") and not mark.has("no"))]
    return bool(before) and before[-1] in WITHDRAWS


def worse_named(question: Question, piece: Piece, sentence: Sequence[Clause], pieces: Sequence[Piece]) -> str:
    """A worse place or grade that the sentence names and tells nothing of: in the crown, edge of the shoulder."""
    order = question.worse_order
    worse = set(order[order.index(piece.written) + 1 :]) if piece.written in order else set()
    worse -= {each.written for each in pieces if each.question == question.id}
    if not worse:
        return ""
    for clause in sentence:
        words = set(clause.words)
        if words & _GOOD or any(mark.text not in EXCEPTING for mark in clause.having("no")):
            continue
        for mark in clause.marks:
            if any(name == question.id and choice in worse for name, choice in gives_of(mark)):
                return f'{ALTERED} "{mark.text}"'
    return ""
