"""An answer to a question about a case: its kind, what is said in lines, and the same in parts for scripts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from advisor.engine.judge import Judge
from advisor.engine.judgement import Judgement
from advisor.engine.wording import fill
from advisor.model.case import Choices
from advisor.talk.message import Message

Part = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Told:
    """`kind`: why, why-not, what-if, how-sure, word, or empty where the question was not understood."""

    kind: str
    lines: tuple[str, ...]
    parts: tuple[Part, ...] = ()

    def message(self) -> Message:
        """As a message of a consultation."""
        return Message("why" if self.kind else "complaint", self.lines)


def headline(judgement: Judgement, judge: Judge) -> str:
    """The verdict with its headline: `SCRAP: The injury is too large …`."""
    ending = judge.rules.endings[judgement.ending]
    says = fill(ending.headline, judgement.walk.tire, judge.rules)
    return (
        says if says.upper().startswith(str(judgement.verdict).upper()) else f"{str(judgement.verdict).upper()}: {says}"
    )


def put_together(old: object, new: Choices) -> Choices:
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
