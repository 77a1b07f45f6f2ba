"""Several answers taken at once."""

from __future__ import annotations

from typing import Any

from advisor.engine.judge import Judge
from advisor.engine.wording import value_in_words
from advisor.loading.case_checks import impossible
from advisor.model.case import Case, Key
from advisor.talk.card import question_in_words
from advisor.talk.message import Message, complaint


def take_several(
    given: list[tuple[Key, Any]], case: Case, order: tuple[Key, ...], judge: Judge
) -> tuple[list[Message], Case, tuple[Key, ...]]:
    """The messages, the case and the order of answering with these answers; one that can't be true is left out."""
    rules, messages = judge.rules, list[Message]()
    for key, answer in given:
        question = rules.questions[key[0]]
        tried = case.with_answer(question.over, key, answer)
        known = {label for _, label, _ in impossible(case, rules)}
        wrong = [error for _, label, error in impossible(tried, rules) if label not in known]
        if wrong:
            messages.append(complaint(wrong[0]))
            continue
        case, order = tried, order if key in order else (*order, key)
        said = f"{question_in_words(key, rules)}: {value_in_words(answer, question)}"
        messages.append(Message("noted", (f"{said[:1].upper()}{said[1:]}",)))
    return messages, case, order
