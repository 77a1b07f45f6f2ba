"""A line at the work that gives a step's own reading without the field's name: `35 psi`, `no bubbles, holds`."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import date

from advisor.dialogue.session import Consultation
from advisor.dialogue.work_fields import as_written_down, example_here, keep_field
from advisor.dialogue.work_tests import fits_beside, has_failed, is_of_test, names_failure, spoken_words
from advisor.engine.judgement_types import PlannedStep
from advisor.loader.answer_codec import plain
from advisor.model.problems import Misread, shown
from advisor.model.ruleset import StepField
from advisor.wording.messages import Message
from advisor.work.progress import key_of

#: A figure with its unit takes at most so many words.
_MOST_WORDS = 3
#: A batch without its name: letters and figures in one word.
_BATCH = re.compile(r"[a-z]{1,4}-?\d{2,}\w*", re.I)
_BARE = re.compile(r"(?<!\S)\d{1,4}(?:[.,]\d{1,2})?(?!\S)")
#: Kinds of field whose figure is nothing else where no question of the step takes it.
_TOLD_APART = frozenset({"torque", "pressure", "use-by"})


def own_line(
    consultation: Consultation, plan: Sequence[PlannedStep], planned: PlannedStep, text: str
) -> list[Message] | None:
    """What comes of a line that is the reading of the step in hand, or of a test beside it; else None."""
    if (tested := _test_line(consultation, plan, planned, text)) is not None:
        return tested
    if "?" in text:
        return None
    given = [(field, said) for field in planned.step.fields for said in readings_in(field, text)]
    if len(given) == 1:
        field, said = given[0]
        return keep_field(consultation, planned, field, said)
    if not given and (late := _of_step_before(consultation, plan, planned, text)) is not None:
        return late
    if given:
        ways = ", or ".join(f"{field.id.replace('-', ' ')} {said}" for field, said in given)
        consultation.lose(text.strip())
        return [Message("complaint", (f"{shown(text.strip(), 40)} of what? Type: {ways}.",))]
    return _without_its_unit(consultation, planned, text)


def test_of_step(consultation: Consultation, planned: PlannedStep, text: str) -> list[Message] | None:
    """A line at a step that says whether it passed: `bubbles at the valve`; else None."""
    for field in planned.step.fields:
        if field.fails and is_of_test(field, text):
            return keep_field(consultation, planned, field, text.strip())
    return None


def _test_line(
    consultation: Consultation, plan: Sequence[PlannedStep], planned: PlannedStep, text: str
) -> list[Message] | None:
    """A test's line at its own step, at the step before it, or later; what passed counts at its own step alone."""
    if (tested := test_of_step(consultation, planned, text)) is not None:
        return tested
    here = plan.index(planned)
    for place, each in enumerate(plan[: here + 2]):
        for field in each.step.fields:
            if each == planned or not field.fails or not (is_of_test(field, text) and names_failure(field, text)):
                continue
            if place < here or has_failed(field, text):
                return keep_field(consultation, each, field, text.strip())
            first = (
                f"Step {place + 1}, {each.step.title}, takes that; {here + 1}, {planned.step.title}, comes before it."
            )
            consultation.lose(text.strip())
            return [Message("complaint", (first,))]
    return None


def _of_step_before(
    consultation: Consultation, plan: Sequence[PlannedStep], planned: PlannedStep, text: str
) -> list[Message] | None:
    """What a line gives a field of the step ticked last that was left empty; None where it is no such reading."""
    before = plan[plan.index(planned) - 1] if plan.index(planned) else None
    if before is None:
        return None
    empty = (field for field in before.step.fields if consultation.work.reading_of(key_of(before), field.id) is None)
    given = [(field, said) for field in empty if field.kind in _TOLD_APART for said in readings_in(field, text)]
    return keep_field(consultation, before, *given[0]) if len(given) == 1 else None


def readings_in(field: StepField, text: str) -> Iterator[str]:
    """What a line gives a field: its one figure or batch, where every other word may stand beside it."""
    words = [word.rstrip(",;.!") for word in text.split()]
    for start, word in enumerate(words):
        if not any(sign.isdigit() for sign in word):
            continue
        for end in range(min(len(words), start + _MOST_WORDS), start, -1):
            said, others = " ".join(words[start:end]), spoken_words(plain(" ".join((*words[:start], *words[end:]))))
            named = any(other in spoken_words(plain(field.name)) for other in others)
            if all(fits_beside(field, other) for other in others) and _is_of_kind(field, said, named):
                yield said
                return
        return


def _is_of_kind(field: StepField, said: str, named: bool) -> bool:
    """Whether a text can be a field's; a material past its date is refused as such later."""
    if field.kind == "words":
        return not field.fails and bool(_BATCH.fullmatch(said))
    if field.kind not in _TOLD_APART and not named:
        return False
    try:
        return bool(as_written_down(field, said, date.min))
    except Misread:
        return False


def _without_its_unit(consultation: Consultation, planned: PlannedStep, text: str) -> list[Message] | None:
    """A bare number at a step that writes a figure down, with words of the step alone: the unit is to be said."""
    bare = _BARE.search(text)
    others = spoken_words(plain(_BARE.sub(" ", text, count=1)))
    for field in planned.step.fields:
        if bare and field.kind in ("torque", "pressure") and all(fits_beside(field, word) for word in others):
            consultation.lose(text.strip())
            such = f"{bare[0]} {example_here(consultation, field).partition(' ')[2]}"
            return [Message("complaint", (f"{bare[0]} what? Type the unit with it, such as: {such}.",))]
    return None
