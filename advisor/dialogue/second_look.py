"""A figure that may not be meant: a number of the list just shown, a date code, what a second look calls a slip.

It is asked back once, or its question is put again; nothing of it counts silently.
"""

from __future__ import annotations

from msgspec.structs import replace

from advisor.dialogue.changes import capital
from advisor.dialogue.holder import Holder
from advisor.dialogue.prompt import Ask
from advisor.dialogue.prompt_line import looks_like_date_code
from advisor.dialogue.state import SessionState, View
from advisor.engine.templates import value_in_words
from advisor.loader.answer_codec import plain, read_typed
from advisor.model import inputs
from advisor.model.case import Answer, Choice, Key
from advisor.model.problems import Misread
from advisor.wording.messages import Message
from advisor.wording.verdict_card import question_in_words

#: The numbers that answer a sentence read back: yes, and no.
_OF_A_LIST = ("1", "2")
_MEASURED = ("length", "pressure")


def number_asked_back(talk: Holder, text: str) -> tuple[SessionState, list[Message]] | None:
    """A bare 1 or 2 for a measure right behind a list, or a bare date code for a length: what it would be, once."""
    state, ask, noted = talk.state, talk.ask, talk.state.as_said
    said = text.strip()
    if ask is None or ask.confirms or ask.question.quantity not in _MEASURED or talk.in_order:
        return None
    coded = ask.question.quantity == "length" and looks_like_date_code(said) and not ask.question.choices
    behind = state.refused or state.list_before or (noted is not None and not noted.held)
    if state.asked_back == said or not (coded or (behind and said in _OF_A_LIST)):
        return None
    try:
        answer = value_in_words(read_typed(ask.question, said), ask.question)
    except Misread:
        return None
    head = f"{said} may be a date code" if coded else f"Nothing waits here for a {said}"
    code = f" The date code: type dot {said}." if coded else ""
    again = f"{head}. {capital(ask.title)}: {answer}. If that is meant, type it once more.{code}"
    state = replace(state, asked_back=said, as_said=replace(noted, held=True) if noted is not None else None)
    return state, [Message("complaint", (again,))]


def questioned_now(view: View, ask: Ask) -> list[Key]:
    """What the question put now takes a second look at, as far as it was answered, the last answered first."""
    order, rules = view.state.saved.order, view.judge.rules
    for name, over, doubted in view.judge.graph.questioned:
        if name == ask.key[0]:
            keys = [(each, ask.key[1] if of == over else -1) for of, each in doubted]
            answered = [key for key in keys if view.state.case.get(rules.over_of(key[0]), key) is not None]
            return sorted(answered, key=lambda key: order.index(key) if key in order else -1, reverse=True)
    return []


def slip(view: View, ask: Ask, answer: Answer) -> Key | None:
    """What is asked again behind an answer that one of the figures was a slip."""
    order = ask.question.worse_order
    if not isinstance(answer, Choice) or order[-1:] != (answer.id,) or answer.id != "no":
        return None
    return next(iter(questioned_now(view, ask)), None)


def asked_again_says(key: Key, view: View) -> Message:
    """That a figure is asked again, and how another one is."""
    name = question_in_words(key, view.judge.rules)
    return Message("note", (f"Asked again: {name}. For another figure type change and its name.",))


def round_after_all(view: View, ask: Ask, text: str) -> Key | None:
    """The figure looked at again that a text leaves out in so many words: its round."""
    questions = view.judge.rules.questions
    found = (key for key in questioned_now(view, ask) if plain(text) in questions[key[0]].left_out_by)
    return next(found, None) if plain(text) not in ("no", "none") and ask.question.kind == inputs.CHOICE else None
