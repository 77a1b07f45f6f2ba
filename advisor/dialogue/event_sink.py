"""What a face may pass in to have a consultation kept. The talk itself knows of no journal."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from contextlib import suppress
from typing import TYPE_CHECKING, Any, Protocol

from msgspec.structs import replace

from advisor.dialogue.not_counted import NOTED_ONLY, noted_only
from advisor.dialogue.session import Consultation
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.model import inputs
from advisor.model.problems import shown
from advisor.model.proposed import Proposed
from advisor.model.ruleset import About, RuleSet, Verdict
from advisor.model.saved import Saved
from advisor.wording.blocks import Said
from advisor.wording.messages import Message
from advisor.work.progress import readings_from, work_data, work_from

if TYPE_CHECKING:
    from advisor.journal.resume import TakenUp
    from advisor.journal.tires_of_day import TireOfDay

CODE = inputs.DOT_CODE
PLACE = (inputs.REPAIR_CLOCK, inputs.REPAIR_OFFSET)
_LONGEST_NAME = 120
_LONGEST_NOTE = 500
_NAME = re.compile(r"name(?: it)?\s*:?\s+(?P<words>\S.*)", re.IGNORECASE | re.DOTALL)
#: So many words are a name, whatever they mean: Worker Two.
_LONGEST_BARE_NAME = 2
_ASIDE = re.compile(r"(note|casing|technician|plate)\s*:?\s+(\S.*)", re.IGNORECASE | re.DOTALL)


NOTE_IS_NO_ANSWER = "A note does not count, and the card says so. If that is so on this tire, say it without note."


class Recorder(Protocol):
    """Keeps a consultation. Each call returns when what it was given is kept; what it gives is to be said.

    `consultation` is the id under which it is kept.
    """

    consultation: str

    @property
    def safe(self) -> bool:
        """Whether everything is kept for good, so that leaving loses nothing."""

    def keep(
        self,
        saved: Saved,
        judgement: Judgement | None,
        notes: Sequence[str] = (),
        work: Mapping[str, Any] | None = None,
        heard: Sequence[str] = (),
        finished: bool = True,
    ) -> tuple[str, ...]:
        """Keeps the state, the verdict where there is one, the notes that are new, and the work as plain data.

        `heard` are the lines of what waits to be confirmed; `finished`: no repair was begun that is not done.
        """

    @property
    def casing(self) -> str:
        """The name of the casing, or an empty text."""

    def judged_by(self, about: About, digest: str) -> None:
        """From now on these rules judge; what is kept says so."""

    def add(self, field: str, words: str) -> tuple[str, ...]:
        """Keeps a note, or whose casing, which technician, which plate."""

    def readings_of_day(self) -> list[Any]:
        """What was read at the work on other tires of the day, oldest first, as plain data."""

    def tires_of_day(self) -> list[TireOfDay]:
        """The tires of the day as they are kept, in the order in which they were begun."""

    def go_into(self, record: str, rules: RuleSet) -> TakenUp | None:
        """Goes on with another consultation; None where it is open elsewhere, or can't be read."""

    def known_casing(self, name: str, judge: Judge) -> tuple[tuple[Said, ...], list[Proposed]]:
        """What is known of a casing, and earlier repairs to be looked for."""


def kept(recorder: Recorder | None, consultation: Consultation) -> list[Message]:
    """Keeps the consultation as it stands; gives what is to be said."""
    if recorder is None:
        return []
    ask, state = consultation.ask, consultation.state
    judgement = consultation.judgement if ask is None else None
    if judgement is not None and not consultation.day_looked_up:
        _remember_the_day(recorder, consultation)
    heard = state.pending.lines if state.pending else ()
    work = work_data(state.work) if state.work.begun else None
    finished = ask is not None or at_its_end(consultation)
    said = _notes(recorder.keep(state.saved, judgement, state.notes, work, heard, finished))
    if state.kept_as != recorder.consultation:
        consultation.become(replace(consultation.state, kept_as=recorder.consultation))
    code = str(consultation.case.answers.get(consultation.judge.rules.question_now(CODE), ""))
    if code and code != consultation.state.looked_up and not recorder.casing:
        consultation.become(replace(consultation.state, looked_up=code))
        said += look_up(recorder, consultation, code)
    return said


def _remember_the_day(recorder: Recorder, consultation: Consultation) -> None:
    """Takes what was read at the work on the tires before, so that unit and batch need not be typed again."""
    consultation.day_looked_up = True
    with suppress(KeyError, TypeError, ValueError):
        readings = readings_from({"readings": recorder.readings_of_day()})
        consultation.become(replace(consultation.state, of_day=(*readings, *consultation.state.of_day)))


def look_up(recorder: Recorder, consultation: Consultation, casing: str) -> list[Message]:
    """What is known of a casing; its earlier repairs are proposed, to be looked for on the tire."""
    known, proposed = recorder.known_casing(casing, consultation.judge)
    place = tuple(map(consultation.judge.rules.question_now, PLACE))
    here = [[each.get(name) for name in place] for each in consultation.case.repairs]
    new = tuple(each for each in proposed if [each.answers.get(name) for name in place] not in here)
    consultation.become(replace(consultation.state, proposed=new))
    if not new:
        return _notes(known)
    from advisor.dialogue.prior_repairs import proposal_blocks

    return _notes((*known, *proposal_blocks(consultation.state, consultation.judge.rules)))


def at_its_end(consultation: Consultation) -> bool:
    """Whether nothing is left of a consultation to be taken up: no question, and no repair that was begun."""
    if consultation.ask is not None or consultation.pending is not None:
        return False
    if not consultation.work.ticks or consultation.judgement.verdict is not Verdict.REPAIR:
        return True
    plan = consultation.judge.methods.plan(consultation.judgement)
    return consultation.work.current(plan) is None


def said_aside(recorder: Recorder | None, consultation: Consultation, text: str) -> list[Message] | None:
    """Takes `note …`, `casing …`, `technician …` or `plate …`; None where the text is none of these.

    Once the work can begin, a note is one of the work. A technician's name counts for the report without a recorder.
    """
    if (name := _NAME.fullmatch(text.strip())) and recorder is not None and consultation.ask is None:
        words = shown(" ".join(name["words"].split()), _LONGEST_NAME)
        return [Message("complaint", (f"Say which name that is: casing {words}, plate {words}, or note {words}.",))]
    match = _ASIDE.fullmatch(text.strip())
    if match is None or (recorder is None and match[1].lower() != "technician"):
        return None
    field, words = match[1].lower(), match[2]
    if field == "note" and consultation.ask is None:
        return None
    if field == "technician":
        technician = shown(" ".join(words.split()), _LONGEST_NAME)
        consultation.become(replace(consultation.state, technician=technician))
        told = _told_behind(consultation, words)
        told = told or _told_in_name(consultation, words)
        if told or (len(words.split()) > _LONGEST_BARE_NAME and (told := note_beside(consultation, words))):
            return [Message("noted", (f"technician: {technician}", *told)), *_notes_of(recorder, field, words)]
    if field == "note":
        note = " ".join(words.split())[:_LONGEST_NOTE]
        lines = (f"note: {shown(words, 200)}", *note_beside(consultation, note))
        if len(lines) == 1:
            consultation.become(consultation.state.noting(note))
        return [Message("noted", lines)]
    said = _notes_of(recorder, field, words)
    if field == "casing" and recorder is not None:
        said += look_up(recorder, consultation, recorder.casing)
    return [Message("noted", (f"{field}: {shown(words, 200)}",)), *said]


def _told_in_name(consultation: Consultation, words: str) -> tuple[str, ...]:
    """What stands in place of a name and tells something bad, denies or doubts: technician found rust."""
    from advisor.nlu.what_weighs import weighs_at_work

    every, phrases = words.split(), consultation.judge.rules.phrases
    small = [word for word in every if word.islower()]  # Worker Two is a name
    if len(every) == 1 or not ("not" in small or any(weighs_at_work(word, phrases) for word in small)):
        return ()
    return _kept_as_note(consultation, words)


def _kept_as_note(consultation: Consultation, words: str) -> tuple[str, ...]:
    consultation.become(consultation.state.noting(f"{NOTED_ONLY}{' '.join(words.split())[:_LONGEST_NOTE]}"))
    return (NOTE_IS_NO_ANSWER,)


def _told_behind(consultation: Consultation, words: str) -> tuple[str, ...]:
    """What stands behind a name and a comma and may tell something: it does not count, and the card says so."""
    from advisor.nlu.what_weighs import weighs_at_work

    told = words.partition(",")[2].strip()
    if not any(weighs_at_work(word, consultation.judge.rules.phrases) for word in told.split()):
        return ()
    return _kept_as_note(consultation, words)


def note_beside(consultation: Consultation, note: str) -> tuple[str, ...]:
    """That a note does not count, where it tells something of the tire: it stands on the card then."""
    kept = noted_only(consultation.listener.hear(note, consultation.case), note)
    if kept == note:
        return ()
    consultation.become(consultation.state.noting(kept))
    return (NOTE_IS_NO_ANSWER,)


def take_up(
    consultation: Consultation,
    saved: Saved,
    notes: Sequence[str],
    work: Mapping[str, Any] | None,
    heard: Sequence[str] = (),
) -> list[Message]:
    """Takes a consultation up where it was left: its notes, the work done, and a sentence still to be confirmed."""
    consultation.resume(saved)
    consultation.become(consultation.state.noting(*notes))
    if work is not None:
        with suppress(KeyError, TypeError, ValueError):
            consultation.become(replace(consultation.state, work=work_from(work)))
    return [message for text in heard for message in consultation.answer(text)]


def _notes_of(recorder: Recorder | None, field: str, words: str) -> list[Message]:
    return _notes(recorder.add(field, words)) if recorder is not None else []


def _notes(said: tuple[Said, ...]) -> list[Message]:
    return [Message("note", said)] if said else []
