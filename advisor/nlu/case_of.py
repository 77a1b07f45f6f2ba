"""What was understood, as a case file writes it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from msgspec.structs import replace

from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Key
from advisor.model.problems import json_shown
from advisor.model.ruleset import RuleSet
from advisor.nlu.result import SEVERAL_OPEN, AskBack, Heard, Understood


def as_json(heard: Heard, rules: RuleSet) -> dict[str, Any]:
    """The contract's object: what was said outright, what is only proposed, what was not understood, what is asked."""
    said, held = heard.understood, heard.proposed
    most = max([heard.injuries, *(one.key[1] + 1 for one in held if one.over == "injuries")])
    return {
        "answers": _of_tire(said, heard, rules),
        "injuries": [_of(said, rules, "injuries", index) for index in range(heard.injuries)],
        "proposed": {
            "answers": _of_tire(held, heard, rules),
            "injuries": [_of(held, rules, "injuries", index) for index in range(most)]
            if any(one.over == "injuries" for one in held)
            else [],
        },
        "not_understood": list(heard.not_understood),
        "asks_back": [{"id": _asked(ask.key, rules), "why": _why(ask, heard, rules)} for ask in heard.asks_back],
    }


def _for_a_case(heard: Heard, rules: RuleSet) -> tuple[Understood, ...]:
    """What was said outright; what may be left out and was said in doubt can't be told, as a case reader has it too."""
    known = {one.key for one in heard.understood}
    optional = {node.asks for node in rules.nodes.values() if node.optional}
    open_ones = [
        one
        for one in heard.proposed
        if one.key not in known and one.key[0] in optional and (one.over != inputs.OVER_REPAIRS or heard.repairs)
    ]
    return (*heard.understood, *(replace(one, written="cant-tell", answer=CANT_TELL) for one in open_ones))


def _of(said: Iterable[Understood], rules: RuleSet, over: str, index: int) -> dict[str, Any]:
    return {rules.questions[one.key[0]].key: one.written for one in said if one.over == over and one.key[1] == index}


def _of_tire(said: Iterable[Understood], heard: Heard, rules: RuleSet) -> dict[str, Any]:
    answers = _of(said, rules, "tire", TIRE)
    details = any(one.over == inputs.OVER_REPAIRS for one in said)
    asked = rules.question_now(inputs.EARLIER_REPAIRS)
    if answers.get(asked) == "yes" or (details and asked not in answers):
        answers[asked] = [_of(said, rules, inputs.OVER_REPAIRS, index) for index in range(max(heard.repairs, 1))]
    return answers


def as_yaml_lines(heard: Heard, rules: RuleSet) -> Iterator[str]:
    """A case to read and to judge, with the words that each answer came from, and what is open, as comments."""
    said = _for_a_case(heard, rules)
    tire = [one for one in said if one.over == "tire"]
    yield "answers:" if tire else "answers: {}"
    for one in tire:
        if one.key[0] == rules.question_now(inputs.EARLIER_REPAIRS) and one.written == "yes":
            yield f"  {inputs.EARLIER_REPAIRS}:   # from: {_flat(one.words)}"
            for index in range(max(heard.repairs, 1)):
                yield from _item_lines(said, rules, inputs.OVER_REPAIRS, index, "    ")
        else:
            yield f"  {_line(one, rules)}"
    if heard.injuries:
        yield "injuries:"
    for index in range(heard.injuries):
        yield from _item_lines(said, rules, "injuries", index, "  ")
    for one in heard.proposed:
        yield f"# may have heard, not counted: {_flat(_proposed(one, heard, rules))}"
    for ask in heard.asks_back:
        yield f"# asked back: {_asked(ask.key, rules)}: {_flat(_why(ask, heard, rules))}"
    if heard.not_understood:
        yield f"# not understood: {_flat(', '.join(heard.not_understood))}"


def _item_lines(said: Iterable[Understood], rules: RuleSet, over: str, index: int, inset: str) -> Iterator[str]:
    own = [one for one in said if one.over == over and one.key[1] == index]
    if not own:
        yield f"{inset}- {{}}"
    for place, one in enumerate(own):
        yield f"{inset}{'-' if place == 0 else ' '} {_line(one, rules)}"


def _line(one: Understood, rules: RuleSet) -> str:
    key = rules.questions[one.key[0]].key
    return f"{key}: {json_shown(one.written)}   # from: {_flat(one.words)}"


def _proposed(one: Understood, heard: Heard, rules: RuleSet) -> str:
    """A proposal in words: its id, its value, the words it came from, and why it is none."""
    of = f"injury {one.key[1] + 1}: " if one.over == "injuries" and heard.injuries > 1 else ""
    written = json_shown(one.written)
    return f"{of}{rules.questions[one.key[0]].key}: {written}, from: {one.words}; {one.hedge}"


def _flat(text: str) -> str:
    from advisor.model.problems import shown

    return shown(" ".join(text.split()), 300)


def _asked(key: Key, rules: RuleSet) -> str:
    """The id that a case file has for a question; what is asked of an earlier repair stands under earlier-repairs."""
    question = rules.questions[key[0]]
    return inputs.EARLIER_REPAIRS if question.over == inputs.OVER_REPAIRS else question.key


def _why(ask: AskBack, heard: Heard, rules: RuleSet) -> str:
    question = rules.questions[ask.key[0]]
    if question.over == inputs.OVER_REPAIRS:
        return f"{question.name}: {ask.why}"
    several = question.over == "injuries" and heard.injuries > 1 and not ask.why.endswith(SEVERAL_OPEN)
    return f"injury {ask.key[1] + 1}: {ask.why}" if several else ask.why
