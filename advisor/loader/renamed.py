"""What was recorded under former ids of the rules, read under those that they bear now; no record is rewritten."""

from __future__ import annotations

from msgspec.structs import replace

from advisor.model import inputs
from advisor.model.case import TIRE, Answer, Answers, Case, Choice, Choices, Key
from advisor.model.ruleset import Question, RuleSet
from advisor.model.saved import Saved


def questions_by_key(rules: RuleSet) -> dict[tuple[str, str], Question]:
    """The questions by what they are asked of and their name in a case file; by former ids too."""
    living = {(question.over, question.key): question for question in rules.questions.values()}
    former = {(question.over, old): question for question in rules.questions.values() for old in question.formerly}
    return former | living


def renames_answers(rules: RuleSet) -> bool:
    """Whether an answer may have been recorded under another id."""
    return bool(rules.renamed["question"]) or any(
        choice.formerly for question in rules.questions.values() for choice in question.choices
    )


def saved_now(saved: Saved, rules: RuleSet) -> tuple[Saved, list[tuple[str, Key]]]:
    """A state by the ids of today, and where an answer stands under two of them that do not say the same.

    Those are taken out, so that the question is asked again.
    """
    if not renames_answers(rules):
        return saved, []
    case, twice = saved.case, list[tuple[str, Key]]()
    tire = _answers_now(case.answers, inputs.OVER_TIRE, TIRE, rules, twice)
    repairs, injuries = (
        tuple(_answers_now(each, over, index, rules, twice) for index, each in enumerate(case.instances(over)))
        for over in (inputs.OVER_REPAIRS, inputs.OVER_INJURIES)
    )
    skipped = frozenset(key_now(key, rules) for key in case.skipped)
    case = Case(tire, repairs, injuries, case.today, skipped)
    order = tuple(dict.fromkeys(key_now(key, rules) for key in saved.order))
    asking = key_now(saved.asking, rules) if saved.asking else None
    return replace(saved, case=case, order=order, asking=asking), twice


def case_now(case: Case, rules: RuleSet) -> Case:
    """A case by the ids of today."""
    return saved_now(Saved(case), rules)[0].case


def key_now(key: Key, rules: RuleSet) -> Key:
    """An answer's address by the id of today."""
    return rules.question_now(key[0]), key[1]


def answers_now(answers: Answers, over: str, rules: RuleSet) -> Answers:
    """The answers of a part by the ids of today."""
    return _answers_now(answers, over, TIRE, rules, [])


def _answers_now(answers: Answers, over: str, index: int, rules: RuleSet, twice: list[tuple[str, Key]]) -> Answers:
    found: dict[str, Answer] = {}
    at_odds = set[str]()
    for name, answer in answers.items():
        now = _name_now(name, over, rules)
        question = rules.questions.get(now)
        answer = answer_now(answer, question) if question else answer
        if found.setdefault(now, answer) != answer:
            at_odds.add(now)
    twice += ((over, (name, index)) for name in sorted(at_odds))
    return {name: answer for name, answer in found.items() if name not in at_odds}


def _name_now(name: str, over: str, rules: RuleSet) -> str:
    now = rules.question_now(name)
    return now if now in rules.questions and rules.questions[now].over == over else name


def answer_now(answer: Answer, question: Question) -> Answer:
    """An answer by the ids that its choices bear now."""
    if isinstance(answer, Choice):
        now = question.choice_now(answer.id)
        return answer if now == answer.id else Choice(now)
    if isinstance(answer, Choices):
        present = frozenset(map(question.choice_now, answer.present))
        absent = None if answer.absent is None else frozenset(map(question.choice_now, answer.absent))
        return Choices(present, absent)
    return answer


def read_as(old: str, now: str) -> str:
    """That a former id was read as the one borne now."""
    return f"{old} was read as {now}, its name now"
