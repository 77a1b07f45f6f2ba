"""What is typed beside the answers where a consultation is kept: its names, notes, and the tires of the day."""

from __future__ import annotations

from advisor.dialogue.event_sink import Recorder, said_aside
from advisor.dialogue.session import Consultation
from advisor.wording.messages import Message, as_spelled_here

#: A text that could ask for the day's list; only then is anything more loaded.
_DAY = ("today", "day list", "day's list", "the day")


def said_beside(recorder: Recorder | None, consultation: Consultation, text: str) -> list[Message] | None:
    """What comes of `today`, `today 2`, `note …`, `casing …` and the like; None where a text is none of these."""
    messages = _of_the_day(recorder, consultation, text) or said_aside(recorder, consultation, text)
    rules = consultation.judge.rules
    return [as_spelled_here(message, rules) for message in messages] if messages is not None else None


def _of_the_day(recorder: Recorder | None, consultation: Consultation, text: str) -> list[Message] | None:
    if not text.strip().casefold().startswith(_DAY):
        return None
    from advisor.dialogue.day_list import day_line

    return day_line(recorder, consultation, text)
