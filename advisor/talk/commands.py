"""What can be typed besides an answer: back, change, why, how, what is …, so far, stop. One home for both faces."""

from __future__ import annotations

import re
from collections.abc import Callable

from advisor.talk.consultation import Consultation
from advisor.talk.drawing_messages import drawing_messages
from advisor.talk.earlier import change_answer, so_far_lines
from advisor.talk.message import Message
from advisor.talk.steps import step_messages
from advisor.talk.typed import plain
from advisor.talk.why import explain_word, what_lies_ahead, why_asked, why_verdict

HELP_LINES = (
    "Type an answer in your own units and words: 3/8 in, 10mm, 8-10 mm, about 9 mm, or a choice's number.",
    "can't tell     when it can't be told; it is never taken as no",
    "how            how to find out or measure it",
    "why ask        why this is asked",
    "why            why the verdict is what it is, as things stand",
    "what is TERM   a term of the trade explained",
    "so far         what was answered, with numbers",
    "ahead          what is still to be asked, and how it can still end",
    "back           to the answer before",
    "change NUMBER  change that answer; or: change tread depth",
    "skip           leave out a question that may be left out",
    "verdict        the verdict as things stand",
    "steps          the steps of the method, with every figure and what it rests on",
    "draw           the drawings: where to measure, the cross-section, the tread unrolled with all repairs",
    "stop           end here with the verdict as things stand",
    "go on          take up again after stop",
    "start over     begin anew",
    "quit           leave the program",
)
_WHAT_IS = re.compile(
    r"(?:what (?:does|do) (?:an? |the )?(?P<meant>.+?) mean|"
    r"(?:what is|what's|whats|what are|explain|define)\s+(?:an?\s+|the\s+)?(?P<term>.+?))\??",
    re.I,
)
_CHANGE = re.compile(r"change(?:\s+(?P<what>.+))?", re.I)


def say(consultation: Consultation, text: str) -> list[Message]:
    """What comes of a typed line: a command carried out, or an answer taken."""
    word = plain(text)
    command = _COMMANDS.get(word.rstrip("?").rstrip())
    if command is not None:
        return command(consultation)
    if match := _WHAT_IS.fullmatch(text.strip()):
        return [explain_word(match["meant"] or match["term"], consultation.judge)]
    if match := _CHANGE.fullmatch(text.strip()):
        return change_answer(consultation, match["what"] or "")
    return consultation.answer(text)


def _ahead(consultation: Consultation) -> list[Message]:
    ask = consultation.ask
    if ask is None:
        return [Message("help", ("No question is open.",))]
    return [what_lies_ahead(consultation.judgement, consultation.judge, ask.node)]


def _how(consultation: Consultation) -> list[Message]:
    ask = consultation.ask
    lines = (ask.how,) if ask and ask.how else ("There is nothing more to say on how to find it out.",)
    return [Message("help", lines)]


def _why_ask(consultation: Consultation) -> list[Message]:
    ask = consultation.ask
    return [why_asked(consultation.judge, ask.key[0]) if ask else Message("help", ("No question is open.",))]


def _why(consultation: Consultation) -> list[Message]:
    return [why_verdict(consultation.judgement, consultation.judge)]


def _verdict(consultation: Consultation) -> list[Message]:
    return [Message("card", (), consultation.card())]


def _so_far(consultation: Consultation) -> list[Message]:
    return [Message("help", (*so_far_lines(consultation), consultation.standing()))]


_COMMANDS: dict[str, Callable[[Consultation], list[Message]]] = {
    "help": lambda consultation: [Message("help", HELP_LINES)],
    "ahead": _ahead,
    "what comes next": _ahead,
    "how": _how,
    "how do i measure it": _how,
    "why": _why,
    "why ask": _why_ask,
    "why do you ask": _why_ask,
    "so far": _so_far,
    "verdict": _verdict,
    "steps": step_messages,
    "draw": drawing_messages,
    "back": Consultation.back,
    "go back": Consultation.back,
    "skip": Consultation.skip,
    "measure": Consultation.skip,
    "measure it": Consultation.skip,
    "stop": Consultation.stop,
    "stop here": Consultation.stop,
    "go on": Consultation.go_on,
    "start over": Consultation.start_over,
}
