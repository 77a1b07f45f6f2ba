"""Where a consultation stands, as data: the question as it is put now."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.engine.templates import value_in_words
from advisor.engine.traversal import Walk
from advisor.model import inputs
from advisor.model.case import Case, Key
from advisor.model.ruleset import CantTellRule, Node, Question, RuleSet, Verdict
from advisor.wording.verdict_card import question_in_words


class Ask(Struct, frozen=True):
    """A question as it is put now."""

    key: Key
    question: Question
    node: Node
    title: str
    asks: str
    how: str
    given: str = ""
    #: Whether it only asks if a sentence was understood right.
    confirms: bool = False
    #: What may be answered in the same line.
    beside: tuple[Ask, ...] = ()

    @property
    def optional(self) -> bool:
        """Whether it may be left out."""
        return self.node.optional and not self.node.told

    @property
    def can_be_unknown(self) -> bool:
        """Whether "can't tell" stands among its choices: whoever said a sentence can tell what they said."""
        return self.question.kind == "choice" and not self.confirms

    @property
    def instead(self) -> str:
        """How it can be settled by other questions, or an empty text."""
        return self.node.instead


def ask_at(key: Key, judgement: Judgement, judge: Judge) -> Ask:
    """The question at an address as it is put now, with what was answered before."""
    rules, walk = judge.rules, judgement.walk
    question = rules.questions[key[0]]
    visit = walk.to_ask.get(key) or walk.missing.get(key)
    visit = visit or next((met for met in walk.visits if met.asked and met.key == key), None)
    given = walk.tire.case.get(question.over, key)
    asks, how = question.asks, question.how
    if "{" in asks or "{" in how:
        facts, filler = walk.tire.part(question.over, key[1]), judge.methods.filler
        asks, how = filler.fill(asks, facts), filler.fill(how, facts)
    return Ask(
        key,
        question,
        visit.stop.node if visit else _node_of(question, rules),
        question_in_words(key, rules),
        asks,
        how,
        value_in_words(given, question) if given is not None else "",
    )


def _node_of(question: Question, rules: RuleSet) -> Node:
    """The node that asks a question; one that no node asks was told in a sentence and may be left out again."""
    found = (node for node in rules.nodes.values() if node.asks == question.id)
    told = Node(question.id, "", question.id, True, "", None, CantTellRule(), (), ())
    return next(found, told)


def anything_open(walk: Walk, aside: frozenset[Key] = frozenset()) -> bool:
    """Whether anything is still to be asked: a needed answer, or one that who is asked has to give."""
    told = (key for key, visit in walk.to_ask.items() if visit.stop.node.told)
    return any(key not in aside for key in (*walk.missing, *told))


def first_open(walk: Walk) -> Key:
    """The first question to put: by the graph's order; one that was left for others, only after those."""
    if any(key in walk.missing or visit.stop.node.told for key, visit in walk.to_ask.items()):
        return next(iter(walk.to_ask))
    first = next(iter(walk.missing))
    return next((key for key, visit in walk.to_ask.items() if visit.facts is walk.missing[first].facts), first)


def due(first: Key, case: Case, judgement: Judgement, judge: Judge) -> Key:
    """The question due, or one whose order with it is free and which narrows more."""
    if not any(first[0] in group for group in judge.rules.any_order):
        return first
    from advisor.dialogue.question_order import first_of

    return first_of(first, judge, case, judgement, judgement.walk.missing)


def settled_now(now: Judgement, judge: Judge) -> bool:
    """Whether nothing left to ask can change the verdict; what may be left out counts as well, where it could."""
    if not now.settled or now.verdict is Verdict.SCRAP:
        return now.settled
    from advisor.dialogue.asking_order import order_of

    return not order_of(judge).could_worsen(now)


def prompt_keys(
    case: Case, now: Judgement, judge: Judge, aside: frozenset[Key] = frozenset(), in_order: bool = False
) -> tuple[Key, ...]:
    """The questions put together now, the one due first; none at the end. `aside`: those that stay open.

    `in_order`: one by one, as they stand in the rules.
    """
    if in_order:
        if not anything_open(now.walk, aside):
            return ()
        if not aside:
            return (due(first_open(now.walk), case, now, judge),)
        return next(((key,) for key in now.walk.to_ask if key not in aside), ())
    from advisor.dialogue.asking_order import order_of

    found = order_of(judge).prompts(case, now, aside)
    return found[0].keys if found else ()


def taken_words(questions: Sequence[Question]) -> list[str]:
    """For each further question of a prompt what may be typed for it, in short."""
    return [f"{question.name}: {_typed_for(question)}" for question in questions]


def _typed_for(question: Question) -> str:
    if question.choices:
        says = [choice.says.partition(" (")[0].partition(",")[0] for choice in question.choices]
        short = [each if each.isupper() else each.lower() for each in says]
        return ", ".join((["none"] if question.kind == inputs.CHOICES else []) + list(dict.fromkeys(short)))
    if question.kind == inputs.TEXT:
        return f"such as {question.shown_as}" if question.shown_as else "words"
    if question.kind == inputs.CLOCK_KIND:
        return "a place by the clock, such as 2:00"
    unit = {"32nds": "in or mm", "deg": "degrees", "in": "inches"}.get(question.unit, question.unit)
    return f"a figure with its unit ({unit})"
