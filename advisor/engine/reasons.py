"""Turns a ruling that counts into a reason that can be read and looked up."""

from __future__ import annotations

from advisor.engine.conditions import row_tested
from advisor.engine.facts import Facts
from advisor.engine.judgement_types import Counted, Reason
from advisor.engine.templates import fill, value_in_words
from advisor.model.case import TIRE, Key, Readings
from advisor.model.quantity import Measure
from advisor.model.ruleset import Basis, Join, Leaf, Limit, Node, RuleSet, Ruling, leaves

CANT_TELL_BASIS = Basis("derived", (), "in doubt the answer is the safe one")


def reason_for(
    ruling: Ruling, counted: Counted, rules: RuleSet, tested: Leaf | Join | None, terms: tuple[str, ...] = ()
) -> Reason:
    """The reason that a ruling gives here; `tested` its test against limits."""
    facts, doubt = counted.facts, counted.doubt
    leaf = row_tested(tested, facts, rules)
    limit = rules.limits[leaf.operand[0]] if leaf else None
    like = _reading(leaf, limit, facts) if leaf and limit else None
    key = _subject(ruling, counted, rules)
    question = rules.questions.get(key[0])
    says = fill(ruling.because, facts, rules, limit, like)
    return Reason(
        ruling=ruling.id,
        node=counted.stop.node.id,
        question=key[0],
        key=key,
        injury=facts.index if facts.over == "injuries" else None,
        answer=value_in_words(facts.get(key[0]), question) if key[0] else "",
        says=says if ruling.doubts else _in_doubt(says, _answered(doubt, facts), rules, limit, like),
        basis=limit.basis if limit and ruling.by_limit else ruling.basis,
        limit=limit,
        figure=limit.figure_for(like) if limit and like else (limit.figures[0] if limit else None),
        ending=counted.ending,
        restrictions=ruling.restrictions,
        cautions=ruling.cautions,
        verdict=counted.verdict,
        doubt=doubt,
        table=tested.table if isinstance(tested, Join) else "",
        soon=limit.soon(facts.today) if limit and limit.later else None,
        terms=terms,
    )


def _answered(doubt: frozenset[Key], facts: Facts) -> frozenset[Key]:
    """The answers in doubt that were given; all of them where none was."""
    return frozenset(key for key in doubt if facts.answer_at(key) is not None) or doubt


def _in_doubt(says: str, doubt: frozenset[Key], rules: RuleSet, limit: Limit | None, like: Measure | None) -> str:
    """The reason's text; where doubt makes it count, that comes first."""
    if not doubt:
        return says
    if limit is not None and like is not None and limit.is_beyond(like) is None:
        return f"{like} lies on both sides of {limit.figure_for(like)}, so it can't be told: {says}"
    names = ", ".join(dict.fromkeys(rules.questions[name].name for name, _ in sorted(doubt)))
    return f"in doubt ({names}), so it counts: {says}"


def cant_tell_name(node: Node) -> str:
    """What the reason is called that an answer "can't tell" gives at a node."""
    return f"{node.id}-cant-tell"


def cant_tell_reason(counted: Counted, rules: RuleSet) -> Reason:
    """The reason that an answer "can't tell" gives at a node."""
    node, facts = counted.stop.node, counted.facts
    question, rule = rules.questions[node.asks], node.cant_tell
    says = fill(rule.because, facts, rules) if rule.because else f"it can't be told: {question.name}"
    return Reason(
        ruling=cant_tell_name(node),
        node=node.id,
        question=question.id,
        key=facts.key(node.asks),
        injury=facts.index if facts.over == "injuries" else None,
        answer="can't tell",
        says=says,
        basis=CANT_TELL_BASIS,
        ending=counted.ending,
        verdict=counted.verdict,
        doubt=counted.doubt,
    )


def _reading(leaf: Leaf, limit: Limit, facts: Facts) -> Measure | None:
    """The reading that is held against the limit; of several the one that lies beyond it."""
    value = facts.get(leaf.subject)
    if isinstance(value, Readings):
        beyond = (reading for reading in value.readings if limit.is_beyond(reading) is not False)
        return next(beyond, value.readings[0])
    return value if isinstance(value, Measure) else None


def _subject(ruling: Ruling, counted: Counted, rules: RuleSet) -> Key:
    """The question that a ruling is about: its node's, else the first that its condition names or rests on."""
    facts, asks = counted.facts, counted.stop.node.asks
    if asks:
        return facts.key(asks)
    for leaf in leaves(ruling.when):
        if leaf.subject in rules.questions:
            return facts.key(leaf.subject)
    for leaf in leaves(ruling.when):
        _, keys = facts.look(leaf.subject)
        if keys:
            return min(keys)
    return "", TIRE
