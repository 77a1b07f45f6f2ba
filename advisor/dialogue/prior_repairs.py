"""Earlier repairs that a record speaks of: shown when they are asked, counted only when they were seen on the tire."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from advisor.engine.spelling_variant import spelled
from advisor.model.case import TIRE, Choice, Key
from advisor.model.problems import shown
from advisor.model.proposed import Proposed
from advisor.wording.messages import Message

if TYPE_CHECKING:
    from advisor.dialogue.session import Consultation

ASKED, MORE = "earlier-repairs", "more-repairs"
_SEEN = re.compile(r"\s*(?P<no>not\s+)?seen\s+(?P<number>\d{1,2})\s*", re.I)


def proposal_lines(consultation: Consultation) -> tuple[str, ...]:
    """The repairs still to be looked for, numbered; empty where there is none."""
    rules = consultation.judge.rules
    waiting = [(number, one) for number, one in enumerate(consultation.proposed, 1) if one is not None]
    if not waiting:
        return ()
    return (
        spelled("The journal speaks of these. None of it counts until you have seen it on the tire:", rules),
        *(f"  {number}. {one.says}" for number, one in waiting),
        "Look for each. Type seen 1 if it is there and where it says, not seen 1 if it is not.",
    )


def take_seen(consultation: Consultation, text: str) -> list[Message] | None:
    """Takes `seen 1` or `not seen 1`; None where the text is neither, or nothing was proposed."""
    match = _SEEN.fullmatch(text)
    if match is None or not consultation.proposed:
        return None
    place = int(match["number"]) - 1
    one = consultation.proposed[place] if 0 <= place < len(consultation.proposed) else None
    if one is None:
        return [
            Message("complaint", (f"There is no {place + 1} still to be looked for.", *proposal_lines(consultation)))
        ]
    consultation.proposed[place] = None
    if match["no"]:
        consultation.notes.append(spelled(f"not seen on the tire: {shown(one.says, 300)}", consultation.judge.rules))
        doubt = "Noted. If a recorded repair is not there, it may be another casing: look at its number again."
        return [Message("note", (doubt, *proposal_lines(consultation)))]
    return [*consultation.take_several(_given(consultation, one)), *_rest(consultation)]


def said_in_time(consultation: Consultation, answered: Key) -> list[Message]:
    """The repairs to be looked for, when the earlier repairs are asked next or were said to be none."""
    lines = proposal_lines(consultation)
    if not lines:
        return []
    asked = consultation.question_key
    if asked == (ASKED, TIRE):
        return [Message("note", lines)]
    if answered == (ASKED, TIRE) and consultation.case.answers.get(ASKED) == Choice("no"):
        doubt = "The journal speaks of earlier repairs on this casing. Look again, or see whether it is that casing."
        return [Message("note", (doubt, *lines))]
    return []


def _rest(consultation: Consultation) -> list[Message]:
    lines = proposal_lines(consultation)
    return [Message("note", lines)] if lines else []


def _given(consultation: Consultation, one: Proposed) -> list[tuple[Key, Any]]:
    """The answers of a repair that was seen; whether it is sound is asked next."""
    case = consultation.case
    index = len(case.repairs)
    given: list[tuple[Key, Any]] = [((ASKED, TIRE), Choice("yes"))]
    if index and MORE in consultation.judge.rules.questions:
        given.append(((MORE, index - 1), Choice("yes")))
    return [*given, *(((name, index), answer) for name, answer in one.answers.items())]
