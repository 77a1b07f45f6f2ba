"""Which verdicts a case can still end in, more exactly: few open choices are each tried out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

from advisor.engine.judgement_types import Judgement
from advisor.model.case import CANT_TELL, Answer, Case, Choice, Key
from advisor.model.ruleset import Question, RuleSet, Verdict

#: With more open answers than this nearly every verdict can be reached, and trying would take long.
MOST_OPEN = 3
#: How many answers are tried at most; each takes one judging.
MOST_TRIED = 24


def sharper_ends(rules: RuleSet, judge: Callable[[Case], Judgement], judgement: Judgement) -> tuple[Verdict, ...]:
    """The verdicts that can be reached, best first: those that the rulings taken one by one leave open,
    less those that no answer to an open choice brings.

    Two rulings that share an open answer (scrap if it is a light tire, refer if it is not) each leave a
    repair open; only together they rule it out. Every verdict that can be reached is always among them.
    """
    still = set(judgement.each_alone)
    open_keys = tuple(dict.fromkeys((*judgement.missing, *judgement.measure_again)))
    if len(still) > 1 and len(open_keys) <= MOST_OPEN:
        for key, question in _worth_trying(rules, judgement, open_keys):
            still &= _reached(judge, judgement, key, question)
    return tuple(sorted(still | {judgement.verdict}))


def _worth_trying(rules: RuleSet, judgement: Judgement, keys: tuple[Key, ...]) -> list[tuple[Key, Question]]:
    """The open choices that two rulings or more wait for, as many as can be tried, the shortest first."""
    waiting = Counter(key for each in judgement.possible for key in each.keys)
    choices = [(key, rules.questions[key[0]]) for key in keys if waiting[key] > 1]
    found: list[tuple[Key, Question]] = []
    tried = 0
    for key, question in sorted(choices, key=lambda each: len(each[1].choices)):
        tried += len(question.choices) + 1
        if question.kind == "choice" and tried <= MOST_TRIED:
            found.append((key, question))
    return found


def _reached(judge: Callable[[Case], Judgement], judgement: Judgement, key: Key, question: Question) -> set[Verdict]:
    """The verdicts left open by each answer; what lies below hold after "can't tell" some choice leaves open too."""
    case = judgement.walk.tire.case

    def left(answer: Answer) -> tuple[Verdict, ...]:
        return judge(case.with_answer(question.over, key, answer)).each_alone

    found = {verdict for choice in question.choices for verdict in left(Choice(choice.id))}
    return found | {verdict for verdict in left(CANT_TELL) if verdict >= Verdict.HOLD}
