"""Whether recorded or imported answers fit a rule set's questions: the same checks as for what is typed."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress

from msgspec.structs import replace

from advisor.loader.answer_codec import check_fit
from advisor.loader.case_constraints import impossible
from advisor.loader.renamed import answers_now, saved_now
from advisor.model import inputs
from advisor.model.case import TIRE, Answer, Answers, Case, Key
from advisor.model.problems import Misread, shown
from advisor.model.ruleset import RuleSet
from advisor.model.saved import Saved


def misfits(case: Case, rules: RuleSet) -> list[str]:
    """What in a case does not fit the questions of a rule set, in words; empty where all fits."""
    saved, twice = saved_now(Saved(case), rules)
    case = saved.case
    found = [f"{_label(over, key)}: said twice, under two names" for over, key in twice]
    found += [f"{_label(over, key)}: {error}" for over, key, error in _each_misfit(case, rules)]
    if found:
        return found
    return [f"{label}: {error}" for _, label, error in impossible(case, rules)]


def fitted(saved: Saved, rules: RuleSet) -> tuple[Saved, list[str]]:
    """A state with only what fits a rule set, and what was left out, in words."""
    saved, twice = saved_now(saved, rules)
    left_out = [_label(over, key) for over, key in twice]
    case, order = saved.case, saved.order
    for over, key, _ in _each_misfit(case, rules):
        left_out.append(_label(over, key))
        case = case.with_answer(over, key, None)
    known = {key for key in case.skipped if key[0] in rules.questions}
    case = replace(case, skipped=frozenset(known))
    order = tuple(key for key in order if key[0] in rules.questions)
    asking = saved.asking if saved.asking and saved.asking[0] in rules.questions else None
    return Saved(case, order, asking, saved.ended), left_out


def fitted_answers(over: str, answers: Answers, rules: RuleSet) -> Answers:
    """Only those answers of a part that fit a rule set's questions."""
    found = {}
    for name, answer in answers_now(answers, over, rules).items():
        with suppress(Misread):
            check_answer(name, over, answer, rules)
            found[name] = answer
    return found


def _each_misfit(case: Case, rules: RuleSet) -> Iterator[tuple[str, Key, Misread]]:
    for over in inputs.OVERS:
        for index, answers in enumerate(case.instances(over)):
            for name, answer in answers.items():
                try:
                    check_answer(name, over, answer, rules)
                except Misread as error:
                    yield over, (name, TIRE if over == "tire" else index), error


def _label(over: str, key: Key) -> str:
    name = shown(key[0], 60)
    return name if over == "tire" else f"{over}[{key[1]}].{name}"


def check_answer(name: str, over: str, answer: Answer, rules: RuleSet) -> None:
    """Checks one answer against its question. Raises Misread."""
    question = rules.questions.get(name)
    if question is None or question.over != over:
        raise Misread(f'"{shown(name, 60)}"', f"a question of the rule set {rules.about.id} over {over}")
    check_fit(answer, question)
