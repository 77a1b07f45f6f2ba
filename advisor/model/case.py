"""A case: what was answered, for the tire, for each earlier repair and for each injury."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from enum import Enum

from msgspec import Struct, field
from msgspec.structs import replace

from advisor.model import inputs
from advisor.model.quantity import Measure


class CantTell(Enum):
    """Said by someone who looked and can't tell. Never the same as "no", and never the same as not asked."""

    CANT_TELL = "cant-tell"

    def __str__(self) -> str:
        return "can't tell"


CANT_TELL = CantTell.CANT_TELL


class Choice(Struct, frozen=True):
    """One of a question's choices, by id."""

    id: str

    def __str__(self) -> str:
        return self.id


class Choices(Struct, frozen=True):
    """Several of a question's choices: those found, and those looked for and not found.

    `absent` None means that everything not found was looked for.
    """

    present: frozenset[str]
    absent: frozenset[str] | None = None

    @property
    def complete(self) -> bool:
        """Whether everything was looked for."""
        return self.absent is None

    def __str__(self) -> str:
        if self.complete:
            return ", ".join(sorted(self.present)) or "none"
        parts = [", ".join(sorted(self.present)), *(f"no {name}" for name in sorted(self.absent or ()))]
        return ", ".join(part for part in parts if part) or "not looked at yet"


class Readings(Struct, frozen=True):
    """Several readings of one measure, as a tread depth at several places."""

    readings: tuple[Measure, ...]

    def __str__(self) -> str:
        return ", ".join(str(reading) for reading in self.readings)


class Text(Struct, frozen=True):
    """Words as typed, such as what a sidewall says."""

    text: str

    def __str__(self) -> str:
        return self.text


Answer = CantTell | Choice | Choices | Measure | Readings | Text
Answers = Mapping[str, Answer]

#: An answer's address: question id, and which injury or earlier repair (-1 for the tire itself).
Key = tuple[str, int]
TIRE = -1


class Case(Struct, frozen=True):
    """All that was answered. Grows by `answered`; never changes in place."""

    answers: Answers = field(default_factory=dict)
    repairs: tuple[Answers, ...] = ()
    injuries: tuple[Answers, ...] = ()
    today: date | None = None
    skipped: frozenset[Key] = frozenset()

    def instances(self, over: str) -> tuple[Answers, ...]:
        """The answers of a part: `tire`, `earlier-repairs` or `injuries`."""
        if over == "tire":
            return (self.answers,)
        return self.repairs if over == inputs.OVER_REPAIRS else self.injuries

    def of(self, over: str, index: int) -> Answers:
        """The answers of the tire, of an earlier repair or of an injury; none where there is no such one."""
        if over == "tire":
            return self.answers
        items = self.repairs if over == inputs.OVER_REPAIRS else self.injuries
        return items[index] if 0 <= index < len(items) else {}

    def get(self, over: str, key: Key) -> Answer | None:
        """The answer at an address, or None."""
        return self.answers.get(key[0]) if over == "tire" else self.of(over, key[1]).get(key[0])

    def with_answer(self, over: str, key: Key, answer: Answer | None) -> Case:
        """The case with one answer set, or taken out when it is None."""
        name, index = key
        skipped = self.skipped - {key}
        if over == "tire":
            return replace(self, answers=_changed(self.answers, name, answer), skipped=skipped)
        items = list(self.instances(over))
        items.extend({} for _ in range(index + 1 - len(items)))
        items[index] = _changed(items[index], name, answer)
        if over == inputs.OVER_REPAIRS:
            return replace(self, repairs=tuple(items), skipped=skipped)
        return replace(self, injuries=tuple(items), skipped=skipped)

    def with_skipped(self, key: Key) -> Case:
        """The case with a question left out on purpose; an answer given to it before counts no longer."""
        case = self
        for over in inputs.OVERS:
            if (over == "tire") == (key[1] == TIRE) and case.get(over, key) is not None:
                case = case.with_answer(over, key, None)
        return replace(case, skipped=case.skipped | {key})


def _changed(answers: Answers, name: str, answer: Answer | None) -> dict[str, Answer]:
    changed = dict(answers)
    if answer is None:
        changed.pop(name, None)
    else:
        changed[name] = answer
    return changed
