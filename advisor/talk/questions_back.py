"""Questions that the technician asks back in the middle of a consultation."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from advisor.model.phrases import folded
from advisor.talk.message import Message
from advisor.talk.questions import NARROWS, told
from advisor.talk.sentence import listener_of

if TYPE_CHECKING:
    from advisor.talk.consultation import Consultation

_HOW = re.compile(
    r"how (?:do|can|should|would) (?:i|you|we|one) (?:measure|find out|tell|check|gauge|find|see|read)"
    r"\s+(?P<what>.+?)\s*\??",
    re.I,
)


def question_back(consultation: Consultation, text: str) -> list[Message]:
    """The answer to a question back; nothing where the text is none."""
    said = " ".join(text.replace("’", "'").split())
    if match := _HOW.fullmatch(said):
        return _how_to(consultation, match["what"])
    if NARROWS.fullmatch(said):
        return [narrowest(consultation)]
    if re.fullmatch(r"why\s*\??", said, re.I):
        return []
    judge, case = consultation.judge, consultation.case
    listener = (
        listener_of(consultation)
        if re.match(r"(?:and |so |but )?(?:what|how about|suppose|would)", said, re.I)
        else None
    )
    found = told(judge, case, consultation.judgement, said, listener, consultation.question_key)
    return [found.message()] if found else []


def _how_to(consultation: Consultation, what: str) -> list[Message]:
    """How to find out what was named: by a question's name, or a word that stands beside its figure."""
    rules = consultation.judge.rules
    word = folded(what)
    for start in ("the ", "an ", "a ", "its ", "my ", "how "):
        word = word.removeprefix(start)
    names = {folded(question.name).removeprefix("the "): question for question in rules.questions.values()}
    names |= {name.replace("-", " "): question for name, question in rules.questions.items()}
    names |= {phrase: rules.questions[found[0]] for phrase, found in rules.phrases.labels.items()}
    names |= {folded(question.name).removeprefix("the injury's "): question for question in rules.questions.values()}
    question = names.get(word)
    if question is None or not question.how:
        return []
    return [
        Message(
            "help", (f"{question.name[:1].upper()}{question.name[1:]}: {consultation.judge.in_words(question.how)}",)
        )
    ]


def narrowest(consultation: Consultation) -> Message:
    """The open question whose answers leave the fewest verdicts; said as information, the order stays."""
    from advisor.talk.narrows import narrows_most

    found = narrows_most(consultation.judge, consultation.case, consultation.judgement)
    if found is None:
        return Message("help", ("No question is open that could narrow it.",))
    lines = (
        f"It narrows most to know: {found.name}.",
        f"  Its answers leave {found.left:.1f} of {len(consultation.judgement.could_end)} verdicts open on average.",
        "The order of the questions is fixed by the rules; change takes up any that was answered.",
    )
    return Message("help", lines)
