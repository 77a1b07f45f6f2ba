"""Which open question narrows most: the verdicts left open, averaged over its answers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise

from msgspec import Struct

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.model.case import Answer, Case, Choice, Choices, Key, Readings
from advisor.model.quantity import Measure
from advisor.model.ruleset import Question, leaves
from advisor.wording.verdict_card import question_in_words


class Narrowing(Struct, frozen=True):
    """An open question and how many verdicts its answers leave open, on average."""

    key: Key
    name: str
    left: float


def narrows_most(judge: Judge, case: Case, now: Judgement, among: tuple[Key, ...] | None = None) -> Narrowing | None:
    """The open question that leaves the fewest verdicts open; the first of equals in the order of asking.

    `among`: the open questions to choose from; left out, all of them.
    """
    best: Narrowing | None = None
    for key in now.missing if among is None else among:
        question = judge.rules.questions[key[0]]
        counts = [
            len(judge.judge(case.with_answer(question.over, key, answer)).each_alone)
            for answer in possible_answers(question, judge)
        ]
        if counts:
            left = sum(counts) / len(counts)
            if left < len(now.could_end) and (best is None or left < best.left):
                best = Narrowing(key, question_in_words(key, judge.rules), left)
    return best


def free_with(key: Key, judge: Judge, open_keys: Iterable[Key]) -> tuple[Key, ...]:
    """The open questions that may be asked in any order with one, itself first; it alone where the order is fixed."""
    group = next((names for names in judge.rules.any_order if key[0] in names), ())
    others = [other for other in open_keys if other[0] in group and other[1] == key[1] and other != key]
    return (key, *others)


def first_of(key: Key, judge: Judge, case: Case, now: Judgement, open_keys: Iterable[Key]) -> Key:
    """Which question to put where this one is due: of those free in their order, the one that narrows most."""
    free = free_with(key, judge, open_keys)
    if len(free) < 2:
        return key
    best = narrows_most(judge, case, now, free)
    return best.key if best else key


def possible_answers(question: Question, judge: Judge) -> Iterator[Answer]:
    """Answers that stand for all: each choice, each finding alone and none, a figure on either side of each limit."""
    if question.kind == "choice":
        yield from (Choice(choice.id) for choice in question.choices)
    elif question.kind == "choices":
        yield Choices(frozenset())
        yield from (Choices(frozenset({choice.id})) for choice in question.choices)
    elif question.plausible is not None and question.kind in ("measure", "readings"):
        for figure in _figures(question, judge):
            yield Readings((figure,)) if question.kind == "readings" else figure


def _figures(question: Question, judge: Judge) -> Iterator[Measure]:
    plausible = question.plausible
    assert plausible is not None
    limits = {
        leaf.operand[0]
        for ruling in judge.rules.rulings()
        for leaf in leaves(ruling.when)
        if leaf.test in ("beyond", "within") and leaf.subject == question.id
    }
    places = sorted({judge.rules.limits[name].figures[0].to(plausible.unit).low for name in limits})
    edges = [plausible.low, *places, plausible.high]
    for low, high in pairwise(edges):
        middle = (low + high) / 2
        yield Measure(middle, middle, plausible.unit)
