"""What is said to the user: a kind and blocks; a face lays them out."""

from __future__ import annotations

from typing import Any

from msgspec import Struct

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.engine.templates import fill
from advisor.model.case import Choices
from advisor.model.limits import Basis
from advisor.model.problems import Misread, shown
from advisor.wording.blocks import Said, texts_of
from advisor.wording.verdict_card import Card

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


def complaint(error: Misread) -> Message:
    """What is wrong with something typed, and what to type."""
    lines = [f"Found {error.found}; expected {error.expected}."]
    if error.nearest:
        lines.append(f"Nearest: {', '.join(shown(name) for name in error.nearest)}.")
    return Message("complaint", tuple(lines))
