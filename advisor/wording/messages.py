"""What is said to the user: a kind and blocks; a face lays them out."""

from __future__ import annotations

import re
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.engine.spelling_variant import spelled
from advisor.engine.templates import fill
from advisor.model.case import Choices
from advisor.model.limits import Basis
from advisor.model.problems import Misread, shown
from advisor.model.ruleset import RuleSet
from advisor.wording.blocks import Said, texts_of
from advisor.wording.verdict_card import Card

#: What was typed, between quotes.
_QUOTED = re.compile(r'("[^"]*")')
MessagePart = dict[str, Any]


def headline(judgement: Judgement, judge: Judge) -> str:
    """The verdict with its headline: `SCRAP: The injury is too large …`."""
    ending = judge.rules.endings[judgement.ending]
    says = fill(ending.headline, judgement.walk.tire, judge.rules)
    return (
        says if says.upper().startswith(str(judgement.verdict).upper()) else f"{str(judgement.verdict).upper()}: {says}"
    )


def findings_merged(old: object, new: Choices) -> Choices:
    """Findings said before and now: what was found stays until it is said by name that it is not there.

    "None" takes no finding back that was named before; and where the last one is taken back, nothing is known but
    that: the rest has not been looked for in so many words.
    """
    if not isinstance(old, Choices):
        return new
    present = (old.present - (new.absent or frozenset())) | new.present
    if old.present and not present and new.absent is not None:
        return Choices(present, (old.absent or frozenset()) | new.absent)
    if old.complete or new.complete:
        return Choices(present)
    return Choices(present, ((old.absent or frozenset()) | (new.absent or frozenset())) - present)


class Message(Struct, frozen=True):
    """Something said. `kind`: noted, reason, do, standing, complaint, card, help, note, work, report or drawing.

    Answers to a question about a case are why, why-not, what-if, how-sure or word; `parts` say them for scripts,
    `intent` is the kind of question answered, `subject` what it is about, `sources` what each thing said rests on.
    """

    kind: str
    blocks: tuple[Said, ...]
    card: Card | None = None
    parts: tuple[MessagePart, ...] = ()
    intent: str = ""
    subject: str = ""
    sources: tuple[tuple[str, Basis], ...] = ()

    @property
    def texts(self) -> tuple[str, ...]:
        """Every text of it, in order, without its layout."""
        return tuple(texts_of(self.blocks))


def as_spelled_here(message: Message, rules: RuleSet) -> Message:
    """A message in the spelling of the rules; what was typed, noted or stands between quotes stays as it was."""
    if not rules.about.spelled or message.kind in ("noted", "card"):
        return message
    return replace(message, blocks=tuple(_spelled_said(said, rules) for said in message.blocks))


def _spelled_said(said: Said, rules: RuleSet) -> Said:
    if isinstance(said, str):
        return "".join(part if part[:1] == '"' else spelled(part, rules) for part in _QUOTED.split(said))
    details = tuple(_spelled_said(each, rules) for each in said.details)
    return replace(said, text=str(_spelled_said(said.text, rules)), details=details)


def complaint(error: Misread) -> Message:
    """What is wrong with something typed, and what to type."""
    lines = [f"Found {error.found}; expected {error.expected}."]
    if error.nearest:
        lines.append(f"Nearest: {', '.join(shown(name) for name in error.nearest)}.")
    return Message("complaint", tuple(lines))
