"""Cases that are kept beside the rules, and such as differ from one of them by one answer, for what no region shows.

Like strewn regions they prove nothing; what one of them shows is a case like any other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice, zip_longest

from advisor.engine.derived.registry import FUNCTIONS
from advisor.loader.case_file import CaseText, read_case
from advisor.loader.kept_cases import DAY, with_older_answers
from advisor.model.case import CANT_TELL, TIRE, Answer, Case, Key
from advisor.model.problems import Problems
from advisor.model.ruleset import RuleSet

#: So many cases that differ by one answer are judged for one thing, and for all that is left open.
MOST_NEAR, MOST_NEAR_IN_ALL = 6_000, 18_000
#: So many of the answers that kept cases give to a question are tried in others.
_MOST_ANSWERS = 8


def read_by_both(texts: Iterable[CaseText], old: RuleSet, new: RuleSet) -> Iterator[Case]:
    """The kept cases that both rule sets read, and read alike, with what they count as where they are older."""
    for text in texts:
        try:
            one, two = (read_case(text, rules, DAY) for rules in (old, new))
        except Problems:
            continue
        if repr(one) == repr(two):
            yield with_older_answers(one, old, new.questions)


def questions_behind(names: Iterable[str], rules: RuleSet) -> Iterator[str]:
    """The questions among some names, and those that the worked-out values among them read."""
    seen, rest = set[str](), list(names)
    while rest:
        name = rest.pop()
        if name in seen:
            continue
        seen.add(name)
        if name in rules.questions:
            yield name
        elif value := rules.values.get(name):
            rest += (rules.read_by(value, each) for each in FUNCTIONS[value.function].known)


def near(cases: Sequence[Case], questions: Sequence[str], rules: RuleSet) -> Iterator[Case]:
    """Cases with one of some questions in doubt or left out, and with an answer of another case to it, in turn."""
    given = {
        name: {repr(a): a for case in cases for _, a in _answers(case, name, rules) if a is not None}
        for name in questions
    }
    doubt: list[Answer | None] = [CANT_TELL, None]

    def changed(others: Mapping[str, list[Answer | None]]) -> Iterator[Case]:
        for case in cases:
            for name in questions:
                for key, answer in _answers(case, name, rules):
                    for other in others[name]:
                        if other != answer:
                            yield case.with_answer(rules.questions[name].over, key, other)

    by_doubt = changed(dict.fromkeys(questions, doubt))
    by_answer = changed({name: [*islice(every.values(), _MOST_ANSWERS)] for name, every in given.items()})
    yield from (case for turn in zip_longest(cases, by_doubt, by_answer) for case in turn if case is not None)


def _answers(case: Case, name: str, rules: RuleSet) -> Iterator[tuple[Key, Answer | None]]:
    """The answers of a case to a question, one for each thing that it is asked of."""
    over = rules.questions[name].over
    for index, answers in enumerate(case.instances(over)):
        yield (name, TIRE if over == "tire" else index), answers.get(name)


def by_fullness(case: Case, question: str) -> tuple[bool, int]:
    """Cases that answer a question first, then by how much they answer: the more, the more can hang together."""
    items = (case.answers, *case.injuries, *case.repairs)
    return not any(question in item for item in items), -sum(map(len, items))
