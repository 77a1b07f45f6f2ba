"""Figures that measure nothing of this tire: the most that its print allows, a torque, a rim, how many of something."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from advisor.nlu.part_runs import PartRuns
from advisor.nlu.tagger import Clause, Mark
from advisor.nlu.tokenizer import NUMBER_WORDS
from advisor.nlu.which_tire import sign_of

NO_READING = "no-reading"
#: The kind of a mark that was taken for a figure.
COUNT = "count"


def leave_aside(clauses: Sequence[Clause], parts: PartRuns) -> None:
    """Makes such figures marks of a kind of their own, that no question is answered by."""
    for clause in clauses:
        signs = [(word, at) for at, mark in enumerate(clause.marks) for word in _signs(mark)]
        if not any(word.startswith("#") for word, _ in signs):
            continue
        for found in parts.found([word for word, _ in signs], NO_READING):
            for word, at in signs[found.start : found.end]:
                if word.startswith("#"):
                    clause.marks[at] = replace(clause.marks[at], kind=COUNT, figure=None)


def _signs(mark: Mark) -> list[str]:
    """A mark's words, with # for a figure or a number in words; one is a thing as often."""
    if mark.figure is not None:
        return [sign_of(mark.figure)]
    return ["#"] if NUMBER_WORDS.get(mark.text, 1) != 1 else mark.text.split()
