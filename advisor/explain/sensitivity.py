"""The figures at which a measured answer would bring something else: every limit that it is held against."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.explain.dependencies import rests_on
from advisor.explain.sufficient_reason import answered_keys
from advisor.explain.why_not import reading_of
from advisor.model.case import TIRE, Answer, Case, Key, Readings
from advisor.model.quantity import Measure
from advisor.model.ruleset import Condition, Leaf, Limit, leaves

#: Just past a limit: a thousandth of the limit's unit.
JUST = Fraction(1, 1000)


def measured_keys(case: Case, judgement: Judgement, judge: Judge) -> list[Key]:
    """The measured answers that count, in the order of the questions."""
    rules = judge.rules
    reached = judgement.walk.reached
    return [
        key
        for key in answered_keys(case, rules)
        if key in reached
        and rules.questions[key[0]].kind in ("measure", "readings")
        and isinstance(case.get(rules.questions[key[0]].over, key), Measure | Readings)
    ]


def figures_against(key: Key, case: Case, judge: Judge) -> Iterator[tuple[Measure, Limit]]:
    """Each figure, in the answer's own unit family, at which a test of the rules could turn, with its limit."""
    rules = judge.rules
    answer = reading_of(case.get(rules.questions[key[0]].over, key))
    if answer is None:
        return
    seen: set[tuple[Fraction, str]] = set()
    for leaf in _tests(judge):
        limit = rules.limits[leaf.operand[0]]
        over = rules.over_of(leaf.subject)
        if key not in rests_on(judge, case, leaf.subject, over, key[1] if over != "tire" else TIRE):
            continue
        for figure in _figures(key, limit, answer, leaf, case, judge):
            if (figure.low, figure.unit) not in seen:
                seen.add((figure.low, figure.unit))
                yield figure, limit


def _tests(judge: Judge) -> Iterator[Leaf]:
    """The tests that decide about the tire; a figure that can hardly be right is no limit to come near to."""
    rules = judge.rules
    decide = (ruling for ruling in rules.rulings() if (ruling.ending or ruling.allows) and not ruling.doubts)
    conditions: list[Condition | None] = [ruling.when for ruling in decide]
    conditions += [method.when for method in rules.methods.values()]
    for condition in conditions:
        for leaf in leaves(condition):
            if leaf.test in ("beyond", "within"):
                yield leaf


def _figures(key: Key, limit: Limit, answer: Measure, leaf: Leaf, case: Case, judge: Judge) -> Iterator[Measure]:
    quantity = limit.figures[0].quantity
    if quantity == answer.quantity:
        yield limit.figure_for(answer)
    elif quantity == "share" and answer.quantity == "pressure" and answer.exact:
        share = _share(leaf, case, judge)
        if share is not None and share.low:
            turns = answer.low * limit.figures[0].low / share.low
            there = _share(leaf, with_figure(case, key, turns, str(answer.unit), judge), judge)
            if there is not None and there.low == limit.figures[0].low:  # not so of a pressure that it is a share of
                yield Measure(turns, turns, answer.unit)


def _share(leaf: Leaf, case: Case, judge: Judge) -> Measure | None:
    found = judge.graph.walk(case).tire.get(leaf.subject) if judge.rules.over_of(leaf.subject) == "tire" else None
    return found if isinstance(found, Measure) and found.exact else None


def with_figure(case: Case, key: Key, figure: Fraction, unit: str, judge: Judge) -> Case:
    """The case with one measured answer at another figure."""
    over = judge.rules.questions[key[0]].over
    one = Measure(figure, figure, unit)
    old = case.get(over, key)
    answer: Answer = Readings((one,)) if isinstance(old, Readings) else one
    return case.with_answer(over, key, answer)
