"""What was recorded under former ids of the rules, read under those that they bear now; no record is rewritten."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from msgspec.structs import replace

from advisor.model import inputs
from advisor.model.case import TIRE, Answer, Answers, Case, Choice, Choices, Key
from advisor.model.ruleset import Question, RuleSet
from advisor.model.saved import Saved

_PLACEHOLDER = re.compile(r"\{([a-z0-9-]+)\}")


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
    return rules.renamed["question"].get(key[0], key[0]), key[1]


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
    now = rules.renamed["question"].get(name, name)
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


#: Where a question's id stands in a rule set, by the field of the model.
_NAMES_A_QUESTION = frozenset({"subject", "asks", "more", "doubts", "same_for", "any_order", "after"})


def asked_as_in(rules: RuleSet, later: RuleSet) -> RuleSet:
    """An edition in which each question bears the id that it has in a later one, so that both can be held together."""
    former = later.renamed["question"].items()
    return asked_as(rules, {old: now for old, now in former if old in rules.questions and old not in later.questions})


def asked_as_inputs(rules: RuleSet) -> RuleSet:
    """The rules in which each question bears the id by which the program knows it, where it was renamed."""
    names = {name: rules.input_of(name) for name in rules.questions}
    return asked_as(rules, {name: known for name, known in names.items() if known != name})


def asked_as(rules: RuleSet, names: Mapping[str, str]) -> RuleSet:
    """The rules in which some questions bear other ids; what their files say (`content`) stays as it is."""
    if not names:
        return rules
    from advisor.loader.ruleset_codec import rule_set_from_json, rule_set_to_json

    data: dict[str, Any] = json.loads(rule_set_to_json(rules))
    phrases = data["language"].pop("phrases")
    phrases["says"] = {
        how: {phrase: [[names.get(name, name), choice] for name, choice in gives] for phrase, gives in found.items()}
        for how, found in phrases["says"].items()
    }
    phrases["labels"] = {phrase: [names.get(name, name) for name in each] for phrase, each in phrases["labels"].items()}
    for frame in phrases["frames"]:
        frame["gives"][0] = names.get(frame["gives"][0], frame["gives"][0])
    for run in phrases["runs"]:
        run["said"] = re.sub("<([^>]+)>", lambda match: f"<{names.get(match[1], match[1])}>", run["said"])
        run["drops"] = [names.get(name, name) for name in run["drops"]]
    data = _asked_as(data, names)
    data["language"]["phrases"] = phrases
    questions = ((names.get(name, name), question) for name, question in data["questions"].items())
    data["questions"] = {name: {**question, "id": name} for name, question in questions}
    home = "questions.yaml#"
    places = {f"{home}{name}": f"{home}{now}" for name, now in names.items()}
    data["places"] = {places.get(place, place): each for place, each in data["places"].items()}
    return rule_set_from_json(json.dumps(data).encode(), rules.normalised)


def _asked_as(value: Any, names: Mapping[str, str], named: bool = False) -> Any:
    if isinstance(value, dict):
        return {key: _asked_as(each, names, key in _NAMES_A_QUESTION) for key, each in value.items()}
    if isinstance(value, list):
        return [_asked_as(each, names, named) for each in value]
    if not isinstance(value, str):
        return value
    if named and value in names:
        return names[value]
    return _PLACEHOLDER.sub(lambda found: f"{{{names.get(found[1], found[1])}}}", value) if "{" in value else value
