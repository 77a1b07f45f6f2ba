"""A recorded case in CSV cells and back, exact. What no cell text gives back exactly is written as JSON."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from advisor.errors import Misread
from advisor.loading.batch_rows import Cells
from advisor.loading.sections import Notes
from advisor.model.case import CANT_TELL, TIRE, Answer, Case, Choices, Key, Readings
from advisor.model.rules import Question, RuleSet
from advisor.record.case_data import answer_data, answer_from, key_data, key_from
from advisor.record.entry import canonical

#: Columns of a record that are not answers, in their order.
ABOUT = (
    "consultation", "begun", "decided", "rules", "edition", "digest", "casing", "technician", "plate", "verdict",
    "ending", "method", "today", "left-out",
)  # fmt: skip
PERSONAL = ("technician", "plate")


@dataclass(frozen=True, slots=True)
class Answered:
    """One answer's column: its question, and which injury or earlier repair."""

    question: Question
    index: int

    @property
    def name(self) -> str:
        """The column's name, as a batch names it."""
        if self.question.over == "tire":
            return self.question.key
        if self.question.over == "earlier-repairs":
            return f"earlier-repairs[{self.index}].{self.question.key}"
        return f"{self.question.key}[{self.index}]"


def answered_columns(rules: RuleSet, used: Iterable[tuple[str, Key]]) -> list[Answered]:
    """The columns for the answers that are used, in the order of the rule set's questions."""
    order = {name: place for place, name in enumerate(rules.questions)}
    places = {"tire": 0, "earlier-repairs": 1, "injuries": 2}
    keys = sorted(
        {(places[over], key[1], order[key[0]], key[0]) for over, key in used if key[0] in order},
    )
    return [Answered(rules.questions[name], index) for _, index, _, name in keys]


def keys_in(case: Case) -> Iterable[tuple[str, Key]]:
    """Where a case holds answers."""
    for over in ("tire", "earlier-repairs", "injuries"):
        for index, answers in enumerate(case.instances(over)):
            for name in answers:
                yield over, (name, TIRE if over == "tire" else index)


def cell_of(answer: Answer, question: Question, cells: Cells) -> str:
    """An answer as a cell that gives the same answer back."""
    text = _text(answer)
    notes = Notes("")
    if text and not text.startswith("{") and cells.answer(question, text, notes) == answer and not notes.problems:
        return text
    return canonical({"answer": answer_data(answer)})


def _text(answer: Answer) -> str:
    if answer is CANT_TELL:
        return "cant-tell"
    if isinstance(answer, Choices):
        absent = [f"no {name}" for name in sorted(answer.absent or ())]
        rest = [] if answer.complete else [*absent, "the rest not looked for"]
        return "; ".join([*sorted(answer.present), *rest]) or "none"
    if isinstance(answer, Readings):
        return "; ".join(str(reading) for reading in answer.readings)
    return str(answer)


def answer_of_cell(text: str, question: Question, cells: Cells, notes: Notes) -> Answer | None:
    """The answer in a cell; None for an empty one, or with a problem noted. Raises Misread."""
    if not text.startswith('{"answer":'):
        return cells.answer(question, text, notes)
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        data = None
    if not isinstance(data, Mapping) or set(data) != {"answer"}:
        raise Misread(f"the cell of {question.key}", "an answer as this program writes it")
    return answer_from(data["answer"])


def left_out_cell(case: Case) -> str:
    """The questions left unmeasured on purpose, as a cell."""
    return json.dumps([key_data(key) for key in sorted(case.skipped)]) if case.skipped else ""


def left_out_of_cell(text: str) -> frozenset[Key]:
    """The questions left unmeasured on purpose, out of a cell. Raises Misread."""
    if not text:
        return frozenset()
    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        data = None
    if not isinstance(data, list):
        raise Misread("the cell left-out", "a list as this program writes it")
    return frozenset(key_from(item) for item in data)
