"""The columns of records in rows, and what stands in them beside answers."""

from __future__ import annotations

import json
from collections.abc import Iterable

from msgspec import Struct

from advisor.journal.case_data import key_data, key_from
from advisor.model import inputs
from advisor.model.case import TIRE, Case, Key
from advisor.model.problems import Misread
from advisor.model.ruleset import Question, RuleSet

#: Columns of a record that are not answers, in their order.
ABOUT = (
    "consultation", "begun", "decided", "rules", "edition", "digest", "casing", "technician", "plate", "verdict",
    "ending", "method", "today", "left-out",
)  # fmt: skip
PERSONAL = ("technician", "plate")


class AnswerColumn(Struct, frozen=True):
    """One answer's column: its question, and which injury or earlier repair."""

    question: Question
    index: int

    @property
    def name(self) -> str:
        """The column's name, as a batch names it."""
        if self.question.over == "tire":
            return self.question.key
        if self.question.over == inputs.OVER_REPAIRS:
            return f"{inputs.EARLIER_REPAIRS}[{self.index}].{self.question.key}"
        return f"{self.question.key}[{self.index}]"


def answered_columns(rules: RuleSet, used: Iterable[tuple[str, Key]]) -> list[AnswerColumn]:
    """The columns for the answers that are used, in the order of the rule set's questions."""
    order = {name: place for place, name in enumerate(rules.questions)}
    places = {"tire": 0, inputs.OVER_REPAIRS: 1, "injuries": 2}
    keys = sorted(
        {(places[over], key[1], order[key[0]], key[0]) for over, key in used if key[0] in order},
    )
    return [AnswerColumn(rules.questions[name], index) for _, index, _, name in keys]


def keys_in(case: Case) -> Iterable[tuple[str, Key]]:
    """Where a case holds answers."""
    for over in inputs.OVERS:
        for index, answers in enumerate(case.instances(over)):
            for name in answers:
                yield over, (name, TIRE if over == "tire" else index)


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
