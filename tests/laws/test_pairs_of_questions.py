"""Worse damage and doubt over every pair of questions: two answers at once, each made worse or unknown."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations, islice, product

import pytest

from advisor.engine.judgement_types import Judgement
from advisor.engine.traversal import Graph
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import CANT_TELL, Answer, Case, Choice, Choices, Readings
from advisor.model.quantity import Measure
from advisor.model.ruleset import Question, Verdict
from advisor.tools.case_writer import case_text
from advisor.tools.verify.boundary_values import answers_for
from advisor.tools.verify.monotonicity import at_most_hold, is_better
from advisor.tools.verify.workbench import Bench
from tests.laws.support import TIRES, read

BASES = {
    "us-road": ("passenger", "medium-truck"),
    "uk-road": ("passenger",),
    "de-road": ("passenger",),
    "demo-shop": ("medium-truck",),
}
#: Answers for each question at most: the first, the last, and those between evenly spread.
MOST = 4
#: One pair in so many is tried without --long, and where that starts.
EVERY = 4
STARTS = {each: start for start, each in enumerate((name, tire) for name, tires in BASES.items() for tire in tires)}
Place = tuple[str, tuple[str, int]]


@lru_cache(maxsize=8)
def bench(name: str) -> Bench:
    return Bench(load_rule_set(find_rule_set(name)))


def answers(question: Question, name: str) -> list[Answer]:
    limits = bench(name).space.limits_of(question.id) if question.id in bench(name).space.tested else []
    known = [a for a in answers_for(question, bench(name).rules, limits) if _exact(a)]
    if question.worse:
        known.sort(key=lambda answer: _worse_by(question, answer))
    if question.worse_order:
        known = [Choice(choice) for choice in question.worse_order]
    step = max(1, -(-len(known) // MOST))
    return list(dict.fromkeys([*known[::step], *known[-1:]]))


def _exact(answer: Answer) -> bool:
    if isinstance(answer, Readings):
        answer = answer.readings[0]
    return answer is not CANT_TELL and not (isinstance(answer, Measure) and not answer.exact)


def _worse_by(question: Question, answer: Answer) -> tuple[str, float]:
    if isinstance(answer, Readings):
        answer = answer.readings[0]
    if isinstance(answer, Measure):
        return answer.compared_in, float(answer.low) * (1 if question.worse == "above" else -1)
    return "", float(isinstance(answer, Choices) and bool(answer.present))


def worse_pairs(question: Question, known: list[Answer]) -> Iterator[tuple[Answer, Answer]]:
    """Each answer with every worse one that is of its unit."""
    if not (question.worse or question.worse_order):
        return
    for milder, worse in combinations(known, 2):
        first, second = _worse_by(question, milder), _worse_by(question, worse)
        if question.worse_order or (first[0] == second[0] and first < second):
            yield milder, worse


def asked(case: Case, graph: Graph) -> list[Place]:
    """Every question that the base case answers or could answer, once for its tire and its first injury."""
    walk = graph.walk(case)
    found = {(visit.facts.over, visit.key) for visit in walk.visits if visit.stop.node.asks}
    return sorted(found - {("earlier-repairs", key) for _, key in found if key[1] < 0})


def lifted(question: Question, milder: Answer, worse: Answer) -> bool:
    """Whether a reason is stated why this pair has no order somewhere; the check of the rule set holds it elsewhere."""
    return any((each.less, each.more) == (str(milder), str(worse)) for each in question.not_ordered)


@pytest.mark.parametrize(("name", "tire"), STARTS)
def test_no_pair_of_questions_lets_worse_damage_or_doubt_look_better(name: str, tire: str, long: bool) -> None:
    """A quarter of the pairs, for each rule set and tire another; with --long all of them.

    The checks `worse-damage` and `doubt` hold every pair without trying cases one by one (tests/tools).
    """
    here = bench(name)
    every = 1 if long else EVERY
    base = read(TIRES[tire], here.rules)
    places = asked(base, here.judge.graph)
    lots = {place: answers(here.rules.questions[place[1][0]], name) for place in places}
    pairs = cases = steps = 0

    for one, two in islice(combinations(places, 2), STARTS[name, tire] % every, None, every):
        pairs += 1
        question = here.rules.questions[one[1][0]]
        other = here.rules.questions[two[1][0]]
        known = {}
        for first, second in product([*lots[one], CANT_TELL], [*lots[two], CANT_TELL]):
            cases += 1
            known[first, second] = here.judge.judge(base.with_answer(*one, first).with_answer(*two, second))
        for asks, mine, theirs, flip in ((question, lots[one], lots[two], False), (other, lots[two], lots[one], True)):
            for beside in (*theirs, CANT_TELL):
                line = {a: known[(beside, a) if flip else (a, beside)] for a in (*mine, CANT_TELL)}
                for milder, worse in worse_pairs(asks, mine):
                    steps += 1
                    before, after = line[milder], line[worse]
                    bad = is_better(before, after, here.rules) and not lifted(asks, milder, worse)
                    assert not bad or unanswered(after), shown(base, one, two, name, asks, milder, worse, beside, flip)
                for answer in mine:
                    steps += 1
                    bad = is_better(line[answer], line[CANT_TELL], here.rules, at_most_hold)
                    assert not bad, shown(base, one, two, name, asks, answer, CANT_TELL, beside, flip)
    print(f"{name}, {tire}: {len(places)} questions, {pairs} pairs, {cases} cases, {steps} steps")
    assert pairs > 300 // every


def unanswered(judgement: Judgement) -> bool:
    """Whether the worse answer asks for more, so that hold stands where a graver verdict is still possible."""
    return bool(judgement.missing) and judgement.verdict is Verdict.HOLD


def shown(
    base: Case,
    one: Place,
    two: Place,
    name: str,
    asks: Question,
    first: Answer,
    second: Answer,
    beside: Answer,
    flip: bool,
) -> str:
    """The two cases as case files."""
    both = []
    for answer in (first, second):
        answers = (beside, answer) if flip else (answer, beside)
        both.append(case_text(base.with_answer(*one, answers[0]).with_answer(*two, answers[1]), bench(name).rules))
    return f"{asks.id}:\n" + "---\n".join(both)
