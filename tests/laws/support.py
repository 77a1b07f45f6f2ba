"""What the tests of judging share: three stated base cases, changes to them, and one way to have them judged."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from functools import lru_cache
from typing import Any

from advisor.console.json_output import answer_of
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.answer_codec import written
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.kept_cases import older_answer, with_older_answers
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set, trees_folder
from advisor.model.case import Case
from advisor.model.ruleset import Question, RuleSet

TODAY = date(2026, 3, 14)
CaseData = dict[str, Any]


@lru_cache(maxsize=1)
def rules() -> RuleSet:
    """The shipped rule set for US roads."""
    return load_rule_set(find_rule_set("us-road"))


def as_kept(case: CaseData) -> CaseData:
    """A base case with what it counts as where it is older than a question (`older-cases`), as if it answered that."""
    for question in rules().questions.values():
        if (answer := older_answer(question)) is not None:
            earlier = case["answers"].get("earlier-repairs", [])
            of = {"tire": [case["answers"]], "injuries": case["injuries"], "earlier-repairs": earlier}
            for answers in of[question.over]:
                answers.setdefault(question.key, written(answer))
    return case


def older_answers(rules: RuleSet) -> dict[str, dict[str, str]]:
    """By what is asked of, what a case file from before counts as at questions that are younger, as it is written."""
    found: dict[str, dict[str, str]] = {"tire": {}, "injuries": {}, "earlier-repairs": {}}
    for question in rules.questions.values():
        if (answer := older_answer(question)) is not None:
            found[question.over][question.key] = json.dumps(written(answer))
    return found


def with_older_replies(consultation: Consultation, texts: Iterable[str]) -> Iterator[str]:
    """One line after another, and what older talks count as wherever a question is asked that is younger than they."""
    for text in (*texts, None):
        while (ask := consultation.ask) is not None and ask.question.older_cases and not ask.given and not ask.confirms:
            yield older_reply(ask.question)
        if text is not None:
            yield text


def say_through(consultation: Consultation, texts: Iterable[str]) -> None:
    """Types one line after another, and what older talks count as at a question that is younger than they."""
    for text in with_older_replies(consultation, texts):
        say(consultation, text)


def older_reply(question: Question) -> str:
    """What is typed at a question that is younger than a test. Raises KeyError where it does not say."""
    if question.older_cases is None:
        raise KeyError(question.id)
    return ", ".join(question.older_cases.counts_as)


def reply(answers: Mapping[str, str], question: Question) -> str:
    """What is typed at a question: the answer by its id, what older talks count as, or that it is left out."""
    return answers.get(question.id) or (older_reply(question) if question.older_cases else "skip")


#: The tires that every boundary is tried on, each a sound one with a nail hole: passenger, light truck to load range E,
#: medium truck. `advisor check --coverage` reads the same file.
_BASES = json.loads((trees_folder() / "us-road" / "cases" / "base_cases.json").read_text(encoding="utf-8"))
TIRES: dict[str, CaseData] = {tire: as_kept(case) for tire, case in _BASES.items()}
#: A straight 4 mm nail hole in the crown, seen from both sides, nothing else found.
NAIL_HOLE: dict[str, Any] = TIRES["passenger"]["injuries"][0]


def base(tire: str) -> CaseData:
    """A fresh case that the rules allow to be repaired: the tire's own answers and one nail hole."""
    return copy.deepcopy(TIRES[tire])


def changed(case: CaseData, changes: dict[str, Any]) -> CaseData:
    """The case with dotted keys set (`answers.tread-depth`, `injuries[0].injury-size`); None takes one out.

    A list may grow by one: `injuries[1]`. Raises KeyError where the way to a key leads nowhere.
    """
    case = copy.deepcopy(case)
    for path, value in changes.items():
        *way, last = [int(name) if name.isdigit() else name for name in re.findall(r"[^.\[\]]+", path)]
        holder: Any = case
        for name in way:
            holder = holder[name]
        if isinstance(holder, list) and last == len(holder):
            holder.append(value)
        elif value is None:
            del holder[last]
        else:
            holder[last] = value
    return case


@lru_cache(maxsize=1)
def judge() -> Judge:
    """One judge for all tests; it is pure."""
    return Judge(rules())


def read(case: CaseData, by: RuleSet | None = None) -> Case:
    """The case as the program reads it from a case file in JSON; by other rules without what us-road alone asks."""
    by = by or rules()
    lately = {name for name, question in rules().questions.items() if question.older_cases} - by.questions.keys()
    answers = {name: answer for name, answer in case["answers"].items() if name not in lately}
    injuries = [{name: each[name] for name in each if name not in lately} for each in case.get("injuries", [])]
    (text,) = split_cases(json.dumps({**case, "answers": answers, "injuries": injuries}), "case.json")
    return with_older_answers(read_case(text, by, TODAY), by)


def judged(case: CaseData) -> Judgement:
    """The judgement of a case that goes in as a case file."""
    return judge().judge(read(case))


def answered(case: CaseData) -> dict[str, Any]:
    """The JSON answer for a case that goes in as a case file."""
    return answer_of(judged(case), judge())


def method_rank(judgement: Judgement) -> int:
    """How demanding the method is; -1 where there is none."""
    return rules().methods[judgement.method].rank if judgement.method else -1
