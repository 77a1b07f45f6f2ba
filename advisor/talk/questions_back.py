"""Questions that the technician asks back in the middle of a consultation."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from advisor.talk.doubt_heard import doubts_noted
from advisor.talk.how_sure import with_doubts
from advisor.talk.message import Message
from advisor.talk.questions import told
from advisor.talk.sentence import listener_of

if TYPE_CHECKING:
    from advisor.talk.consultation import Consultation


def question_back(consultation: Consultation, text: str) -> list[Message]:
    """The answer to a question back; nothing where the text is none."""
    said = " ".join(text.replace("’", "'").split())
    if re.fullmatch(r"why\s*\??", said, re.I):
        return []
    judge, case = consultation.judge, consultation.case
    listener = (
        listener_of(consultation)
        if re.match(r"(?:and |so |but )?(?:what|how about|suppose|would)", said, re.I)
        else None
    )
    found = told(judge, case, consultation.judgement, said, listener, consultation.question_key)
    if found and found.kind == "how-sure":
        found = with_doubts(found, doubts_noted(consultation.notes))
    return [found.message()] if found else []


def narrowest(consultation: Consultation) -> Message:
    """What it could still be, and the open question whose answers leave the fewest verdicts."""
    from advisor.talk.asked_about import could_be

    return Message("help", could_be(consultation.judge, consultation.case, consultation.judgement).lines)
