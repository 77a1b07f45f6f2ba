"""An injury that a line says not to be there: taken back once that is confirmed."""

from __future__ import annotations

import re

from msgspec.structs import replace

from advisor.dialogue.changes import take_several
from advisor.dialogue.no_news import is_no_news
from advisor.dialogue.read_back import shown_back
from advisor.dialogue.state import Pending, SessionState, View
from advisor.dialogue.withdrawals import taken_back
from advisor.loader.answer_codec import plain
from advisor.model import inputs
from advisor.model.case import Choice
from advisor.nlu.result import Heard, Understood
from advisor.nlu.small_words import said_pattern
from advisor.wording.messages import Message

_NO_FURTHER = said_pattern("no-further")
_DENIES = re.compile(r"\b(?:no|not|never|isn't)\b")
_MORE_THAN_ONE = said_pattern("more-than-one")


def tells_of_more_than_one(view: View, text: str) -> str:
    """The part of a line that speaks of more than one hole where one injury is described: right through twice."""
    if sum(bool(answers) for answers in view.state.case.injuries) != 1 or _DENIES.search(plain(text)):
        return ""
    parts = (part.strip() for part in text.split(",") if _MORE_THAN_ONE.search(plain(part)))
    return next((part for part in parts if not (" " in part and is_no_news(part, view.judge.rules.phrases))), "")


def no_further_injury(view: View, text: str) -> tuple[SessionState, list[Message]] | None:
    """Takes `there is no second hole, just the one`, at any question, once it is confirmed; None for no such line.

    An injury that was described is taken back by a yes; one that was only said to be there is said not to be.
    """
    said, state, rules = plain(text).rstrip(".!"), view.state, view.judge.rules
    match, more = _NO_FURTHER.fullmatch(said), rules.more_of(inputs.OVER_INJURIES)
    injuries = state.case.injuries
    if match is None or not _DENIES.search(said) or state.pending is not None or not more:
        return None
    told, first = [index for index, answers in enumerate(injuries) if answers], (more, 0)
    if told and max(told) == 1:
        pending = Pending(Heard(text), (), lines=(text,), drops=2)
    elif told == [0] and injuries[0].get(more) == Choice("yes"):
        one = Understood(first, inputs.OVER_INJURIES, Choice("no"), "no", text)
        pending = Pending(Heard(text, (one,)), (one,), lines=(text,))
    elif told == [0] and view.question_key == first:
        return take_several(view, state, [(first, Choice("no"))])
    else:
        return None
    return replace(state, pending=pending), [Message("note", tuple(shown_back(view, pending)))]


def drops_now(view: View, pending: Pending) -> tuple[SessionState, list[Message]]:
    """Takes back the injury that waits to be dropped, and says that the one before was the last."""
    rules, index = view.judge.rules, pending.drops - 1
    state, said = taken_back(replace(view.state, pending=None), rules, inputs.OVER_INJURIES, index)
    last, saved = (rules.more_of(inputs.OVER_INJURIES), index - 1), state.saved
    case = saved.case.with_answer(inputs.OVER_INJURIES, last, Choice("no"))
    saved = replace(saved, case=case, order=(*(key for key in saved.order if key != last), last))
    return replace(state, saved=saved), said
