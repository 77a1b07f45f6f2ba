"""What was said and then said milder: the card of a repair keeps a short trace of it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import count

from advisor.dialogue.if_counted import is_worse
from advisor.dialogue.not_counted import SAID_WORSE
from advisor.dialogue.state import View
from advisor.engine.templates import value_in_words
from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Answer, Case, Choices, Key
from advisor.wording.verdict_card import question_in_words


def notes_of_milder(view: View, before: Case) -> Iterator[str]:
    """A note of each answer that stood before, by which the verdict would be worse than by the one that stands now."""
    case = view.state.saved.case
    for key, old in _no_longer(before, case):
        rules = view.judge.rules
        over = rules.over_of(key[0])
        new = case.get(over, key)
        if new is None or CANT_TELL in (new, old) or rules.input_of(key[0]) == inputs.DEMOUNTED:
            continue
        question = rules.questions[key[0]]
        order = [str(each) for each in (old, new) if str(each) in question.worse_order]
        by_order = len(order) > 1 and question.worse_order.index(order[0]) > question.worse_order.index(order[1])
        then, stands = view.judge.judge(case.with_answer(over, key, old)), view.judgement
        by_method = stands.method in view.judge.rules.methods and then.method != stands.method
        if by_order or by_method or is_worse(then, stands) or set(then.cautions) - set(stands.cautions):
            was, now = (_in_short(value_in_words(each, question)) for each in (old, new))
            if isinstance(old, Choices) and isinstance(new, Choices):
                gone = [each.says for each in question.choices if each.id in old.present - new.present]
                was, now = ", ".join(gone), "no more"
            if was:
                yield f"{SAID_WORSE}{question_in_words(key, rules)}: {was} before, then {now}"


def _in_short(words: str) -> str:
    return words.partition(" (")[0]


def _no_longer(before: Case, case: Case) -> Iterator[tuple[Key, Answer]]:
    """The answers of the tire and of its injuries that stand no longer as they did, by their addresses."""
    injuries = zip(count(), before.injuries, case.injuries, strict=False)
    for index, old, new in ((TIRE, before.answers, case.answers), *injuries):
        if old is not new and not old.items() <= new.items():
            for name, answer in old.items():
                if new.get(name) != answer:
                    yield (name, index), answer
