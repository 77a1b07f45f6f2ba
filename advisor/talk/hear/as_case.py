"""What was understood, as a case file writes it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from advisor.errors import json_shown
from advisor.model.case import TIRE, Key
from advisor.model.rules import RuleSet
from advisor.talk.hear.heard import SEVERAL_OPEN, AskBack, Heard, Understood

REPAIRS = "earlier-repairs"


def as_json(heard: Heard, rules: RuleSet) -> dict[str, Any]:
    """The contract's object: answers, injuries, not_understood, asks_back."""
    return {
        "answers": _of_tire(heard, rules),
        "injuries": [_of(heard, rules, "injuries", index) for index in range(heard.injuries)],
        "not_understood": list(heard.not_understood),
        "asks_back": [{"id": _asked(ask.key, rules), "why": _why(ask, heard, rules)} for ask in heard.asks_back],
    }


def _of(heard: Heard, rules: RuleSet, over: str, index: int) -> dict[str, Any]:
    return {
        rules.questions[one.key[0]].key: one.written
        for one in heard.understood
        if one.over == over and one.key[1] == index
    }


def _of_tire(heard: Heard, rules: RuleSet) -> dict[str, Any]:
    answers = _of(heard, rules, "tire", TIRE)
    if answers.get(REPAIRS) == "yes":
        answers[REPAIRS] = [_of(heard, rules, REPAIRS, index) for index in range(max(heard.repairs, 1))]
    return answers


def as_yaml_lines(heard: Heard, rules: RuleSet) -> Iterator[str]:
    """A case to read and to judge, with the words that each answer came from, and what is open, as comments."""
    tire = [one for one in heard.understood if one.over == "tire"]
    yield "answers:" if tire else "answers: {}"
    for one in tire:
        if one.key[0] == REPAIRS and one.written == "yes":
            yield f"  earlier-repairs:   # from: {_flat(one.words)}"
            for index in range(max(heard.repairs, 1)):
                yield from _item_lines(heard, rules, REPAIRS, index, "    ")
        else:
            yield f"  {_line(one, rules)}"
    if heard.injuries:
        yield "injuries:"
    for index in range(heard.injuries):
        yield from _item_lines(heard, rules, "injuries", index, "  ")
    for ask in heard.asks_back:
        yield f"# asked back: {_asked(ask.key, rules)}: {_flat(_why(ask, heard, rules))}"
    if heard.not_understood:
        yield f"# not understood: {_flat(', '.join(heard.not_understood))}"


def _item_lines(heard: Heard, rules: RuleSet, over: str, index: int, inset: str) -> Iterator[str]:
    own = [one for one in heard.understood if one.over == over and one.key[1] == index]
    if not own:
        yield f"{inset}- {{}}"
    for place, one in enumerate(own):
        yield f"{inset}{'-' if place == 0 else ' '} {_line(one, rules)}"


def _line(one: Understood, rules: RuleSet) -> str:
    key = rules.questions[one.key[0]].key
    return f"{key}: {json_shown(one.written)}   # from: {_flat(one.words)}"


def _flat(text: str) -> str:
    from advisor.errors import shown

    return shown(" ".join(text.split()), 300)


def _asked(key: Key, rules: RuleSet) -> str:
    """The id that a case file has for a question; what is asked of an earlier repair stands under earlier-repairs."""
    question = rules.questions[key[0]]
    return REPAIRS if question.over == REPAIRS else question.key


def _why(ask: AskBack, heard: Heard, rules: RuleSet) -> str:
    question = rules.questions[ask.key[0]]
    if question.over == REPAIRS:
        return f"{question.name}: {ask.why}"
    several = question.over == "injuries" and heard.injuries > 1 and not ask.why.endswith(SEVERAL_OPEN)
    return f"injury {ask.key[1] + 1}: {ask.why}" if several else ask.why
