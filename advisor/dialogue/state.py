"""Where a consultation stands, as one frozen value, and what may be looked at to find the next one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from msgspec import Struct
from msgspec.structs import replace

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.model.case import Answer, Case, Key
from advisor.model.proposed import Proposed
from advisor.model.saved import Saved
from advisor.wording.messages import Message
from advisor.work.progress import FieldReading, Work

if TYPE_CHECKING:
    from advisor.nlu.pipeline import Listener
    from advisor.nlu.result import Heard, Understood

LONGEST_KEPT = 300


class Pending(Struct, frozen=True):
    """What was understood and waits to be confirmed; `proposed` was not said outright, and yes leaves it out.

    `lines` were typed one after another to come here; a journal keeps them. `left_out` are questions that yes leaves
    out: round, so it has no length. `drops` is the number of an injury that yes takes back.
    """

    heard: Heard
    answers: tuple[Understood, ...]
    proposed: tuple[Understood, ...] = ()
    lines: tuple[str, ...] = ()
    left_out: tuple[Key, ...] = ()
    drops: int = 0

    @property
    def outright(self) -> bool:
        """Whether all of the line was understood, and said outright."""
        heard = self.heard
        return not (heard.not_understood or heard.passed_over or heard.asks_back or self.proposed)


class AsSaid(Struct, frozen=True):
    """A sentence that was counted: as it would have waited, or waited, and what stood before and after.

    `held`: a yes or no was typed behind it, and asked what it was meant for. `confirmed`: it was counted with a yes,
    so that only what drops it speaks of it.
    """

    pending: Pending
    before: Saved
    notes: tuple[str, ...]
    after: Saved
    held: bool = False
    confirmed: bool = False


class SessionState(Struct, frozen=True):
    """All that a consultation is, besides the rules: every line typed gives the next one.

    `saved` is the case, the order of answering and the question asked again; `pending` a sentence that waits to be
    confirmed; `notes` the words not understood and the doubts said. `technician` does the work, for the report;
    `kept_as` is the id under which a journal keeps it. `proposed` are earlier repairs that a record speaks of, still to
    be looked for, None in the place of one that was; `looked_up` the casing that they were looked up for. `whole`: it
    goes on for a whole record, though it is settled.
    `of_day` is what was read at the work on the tires before, on this day; `finds` what turned up at the work, as each
    answer stood before it. `answered_last` is what a question was answered with, for one that follows on it;
    `asked_last` is that question.
    `refused`: the line before was one of several words, and nothing of it was taken; `list_before`: it answered a
    list or was answered by one; `asked_back` is a bare number that was asked back; `as_said`: it was a sentence that
    counts without being confirmed, until the next line is typed.
    """

    saved: Saved
    pending: Pending | None = None
    notes: tuple[str, ...] = ()
    work: Work = Work()
    technician: str = ""
    kept_as: str = ""
    proposed: tuple[Proposed | None, ...] = ()
    looked_up: str = ""
    whole: bool = False
    of_day: tuple[FieldReading, ...] = ()
    finds: tuple[tuple[Key, Answer | None, str], ...] = ()
    answered_last: Message | None = None
    asked_last: str = ""
    refused: bool = False
    list_before: bool = False
    asked_back: str = ""
    as_said: AsSaid | None = None

    @property
    def case(self) -> Case:
        """The case as answered so far."""
        return self.saved.case

    def noting(self, *notes: str) -> SessionState:
        """With further notes."""
        return replace(self, notes=(*self.notes, *notes))


class View(Protocol):
    """What may be looked at to find the next state: nothing here can be written."""

    @property
    def judge(self) -> Judge:
        """Judges by the rules that count now."""

    @property
    def state(self) -> SessionState:
        """The state as it stands."""

    @property
    def judgement(self) -> Judgement:
        """What is decided of the case as it stands."""

    def judged(self, case: Case) -> Judgement:
        """What is decided of a case; of the one looked at last it is known."""

    @property
    def question_key(self) -> Key | None:
        """The address of the open question, also while a sentence waits to be confirmed."""

    @property
    def listener(self) -> Listener:
        """Hears sentences by these rules."""
