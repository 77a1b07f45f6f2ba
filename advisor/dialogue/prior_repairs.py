"""Earlier repairs that a record speaks of: shown when they are asked, counted only when they were seen on the tire."""

from __future__ import annotations

import re
from typing import Any

from msgspec.structs import replace

from advisor.dialogue.changes import take_several
from advisor.dialogue.state import LONGEST_KEPT, SessionState, View
from advisor.engine.spelling_variant import spelled
from advisor.model import inputs
from advisor.model.case import TIRE, Case, Choice, Key
from advisor.model.problems import shown
from advisor.model.proposed import Proposed
from advisor.model.ruleset import RuleSet
from advisor.wording.blocks import Block, Said
from advisor.wording.messages import Message

_ASKED = inputs.EARLIER_REPAIRS
_SEEN = re.compile(r"\s*(?P<no>not\s+)?seen\s+(?P<number>\d{1,2})\s*", re.I)


def proposal_blocks(state: SessionState, rules: RuleSet) -> tuple[Said, ...]:
    """The repairs still to be looked for, numbered; empty where there is none."""
    waiting = [(number, one) for number, one in enumerate(state.proposed, 1) if one is not None]
    if not waiting:
        return ()
    return (
        Block(
            spelled("The journal speaks of these. None of it counts until you have seen it on the tire:", rules),
            tuple(f"{number}. {one.says}" for number, one in waiting),
        ),
        "Look for each. Type seen 1 if it is there and where it says, not seen 1 if it is not.",
    )


def take_seen(view: View, text: str) -> tuple[SessionState, list[Message]] | None:
    """Takes `seen 1` or `not seen 1`; None where the text is neither, or nothing was proposed."""
    match, state, rules = _SEEN.fullmatch(text), view.state, view.judge.rules
    if match is None or not state.proposed:
        return None
    place = int(match["number"]) - 1
    one = state.proposed[place] if 0 <= place < len(state.proposed) else None
    if one is None:
        lines = (f"There is no {place + 1} still to be looked for.", *proposal_blocks(state, rules))
        return state, [Message("complaint", lines)]
    state = replace(state, proposed=(*state.proposed[:place], None, *state.proposed[place + 1 :]))
    if match["no"]:
        state = state.noting(spelled(f"not seen on the tire: {shown(one.says, LONGEST_KEPT)}", rules))
        doubt = "Noted. If a recorded repair is not there, it may be another casing: look at its number again."
        return state, [Message("note", (doubt, *proposal_blocks(state, rules)))]
    state, messages = take_several(view, state, _given(state.case, one, rules))
    rest = proposal_blocks(state, rules)
    return state, [*messages, *([Message("note", rest)] if rest else [])]


def said_in_time(view: View, answered: Key) -> list[Message]:
    """The repairs to be looked for, when the earlier repairs are asked next or were said to be none."""
    lines = proposal_blocks(view.state, view.judge.rules) if view.state.proposed else ()
    if not lines:
        return []
    asked, name = view.question_key, view.judge.rules.question_now(_ASKED)
    if asked == (name, TIRE):
        return [Message("note", lines)]
    if answered == (name, TIRE) and view.state.case.answers.get(name) == Choice("no"):
        doubt = "The journal speaks of earlier repairs on this casing. Look again, or see whether it is that casing."
        return [Message("note", (doubt, *lines))]
    return []


def _given(case: Case, one: Proposed, rules: RuleSet) -> list[tuple[Key, Any]]:
    """The answers of a repair that was seen; whether it is sound is asked next."""
    index = len(case.repairs)
    given: list[tuple[Key, Any]] = [((rules.question_now(_ASKED), TIRE), Choice("yes"))]
    if index and (more := rules.more_of(inputs.OVER_REPAIRS)):
        given.append(((more, index - 1), Choice("yes")))
    return [*given, *(((name, index), answer) for name, answer in one.answers.items())]
