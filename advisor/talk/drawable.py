"""Whether there is anything to draw: cheap to ask, so that a face can say so after each answer."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from advisor.engine.judge import Judge
    from advisor.talk.consultation import Consultation

#: The question that a picture goes with, and the limit that it needs.
TREAD_QUESTION, TREAD_LIMIT = "tread-depth", "tread-readings"


def goes_with(question: str, judge: Judge) -> bool:
    """Whether a question has a picture that shows how to answer it."""
    return question == TREAD_QUESTION and TREAD_LIMIT in judge.rules.limits


def anything_placed(consultation: Consultation) -> bool:
    """Whether some injury or earlier repair has a place, so that there may be a drawing of it."""
    case = consultation.case
    return any("offset" in each for each in case.injuries) or any("repair-offset" in each for each in case.repairs)


def anything_to_draw(consultation: Consultation) -> bool:
    """Whether a picture goes with the question put now, or something has a place."""
    ask = consultation.ask
    return anything_placed(consultation) or (ask is not None and goes_with(ask.key[0], consultation.judge))
