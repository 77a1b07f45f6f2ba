"""What was understood, as a case file writes it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from advisor.model.case import TIRE
from advisor.model.rules import RuleSet
from advisor.talk.hear.heard import Heard, Understood


def as_json(heard: Heard, rules: RuleSet) -> dict[str, Any]:
    """The contract's object: answers, injuries, not_understood, asks_back."""
    return {
        "answers": {_key(one, rules): one.written for one in heard.understood if one.key[1] == TIRE},
        "injuries": [
            {_key(one, rules): one.written for one in heard.understood if one.key[1] == index}
            for index in range(heard.injuries)
        ],
        "not_understood": list(heard.not_understood),
        "asks_back": [
            {"id": rules.questions[ask.key[0]].key, "why": _why(ask.why, ask.key[1], heard)} for ask in heard.asks_back
        ],
    }


def as_yaml_lines(heard: Heard, rules: RuleSet) -> Iterator[str]:
    """A case to read and to judge, with the words that each answer came from, and what is open, as comments."""
    tire = [one for one in heard.understood if one.key[1] == TIRE]
    yield "answers:" if tire else "answers: {}"
    for one in tire:
        yield f"  {_line(one, rules)}"
    if heard.injuries:
        yield "injuries:"
    for index in range(heard.injuries):
        own = [one for one in heard.understood if one.key[1] == index]
        if not own:
            yield "  - {}"
        for place, one in enumerate(own):
            yield f"  {'-' if place == 0 else ' '} {_line(one, rules)}"
    for ask in heard.asks_back:
        yield f"# asked back: {rules.questions[ask.key[0]].key}: {_flat(_why(ask.why, ask.key[1], heard))}"
    if heard.not_understood:
        yield f"# not understood: {_flat(', '.join(heard.not_understood))}"


def _key(one: Understood, rules: RuleSet) -> str:
    return rules.questions[one.key[0]].key


def _line(one: Understood, rules: RuleSet) -> str:
    return f"{_key(one, rules)}: {json.dumps(one.written, ensure_ascii=False)}   # from: {_flat(one.words)}"


def _flat(text: str) -> str:
    from advisor.errors import shown

    return shown(" ".join(text.split()), 300)


def _why(why: str, index: int, heard: Heard) -> str:
    return f"injury {index + 1}: {why}" if heard.injuries > 1 and index != TIRE else why
