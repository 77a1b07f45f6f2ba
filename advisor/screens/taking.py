"""Takes what was picked or marked to the consultation."""

from __future__ import annotations

from advisor.errors import Misread
from advisor.model.case import CANT_TELL, Choice, Choices
from advisor.screens.prompts import Row
from advisor.talk.consultation import Consultation
from advisor.talk.message import Message
from advisor.talk.typed import read_typed


class Refused(ValueError):
    """Something typed or picked was not taken; the lines say why."""

    def __init__(self, *lines: str) -> None:
        self.lines = lines
        super().__init__(" ".join(lines))


def take_row(consultation: Consultation, row: Row) -> list[Message]:
    """Takes a row of a question."""
    means = row.means
    if means == "skip":
        return consultation.skip()
    if means == "keep":
        return consultation.go_on()
    if means == "stop":
        return consultation.stop()
    if means == "none":
        return consultation.take(Choices(frozenset()))
    if means is CANT_TELL:
        return consultation.answer("can't tell")
    assert isinstance(means, Choice)
    several = consultation.ask is not None and consultation.ask.question.kind == "choices"
    return consultation.take(Choices(frozenset({means.id})) if several else means)


def take_marked(consultation: Consultation, marked: frozenset[str], row: Row | None) -> list[Message]:
    """Takes the marked rows; `row` is where the arrows stand. Raises Refused where the two contradict each other."""
    if row is not None and not isinstance(row.means, Choice) and row.means not in ("keep", "stop"):
        raise Refused(f"There are marks above, and {row.says.lower()} goes against them. Space takes a mark away.")
    return consultation.take(Choices(marked))


def with_marks(consultation: Consultation, marked: frozenset[str], text: str) -> list[Message]:
    """Takes a typed line together with the marks. Raises Refused where they don't go together."""
    ask = consultation.ask
    assert ask is not None
    try:
        typed = read_typed(ask.question, text)
    except Misread:
        typed = CANT_TELL
    if not isinstance(typed, Choices) or not typed.present or typed.absent:
        raise Refused("There are marks above as well. Clear the line and press Enter to take them, or Space them away.")
    return consultation.take(Choices(marked | typed.present))
