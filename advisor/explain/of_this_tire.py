"""The cautions that say how this tire stands in what is asked about; they stand ahead of what holds of every tire."""

from __future__ import annotations

import re
from collections.abc import Iterable

from advisor.explain.asked_case import AskedCase, caution_blocks
from advisor.explain.question_answers import MOST_WITH_TEXT
from advisor.explain.question_reader import ReadQuestion
from advisor.loader.schema_types import PLACEHOLDER
from advisor.model.ruleset import Basis
from advisor.wording.blocks import Block
from advisor.wording.messages import Message

_FIGURES = re.compile(r"(?<![\w./])\d+(?:\.\d+)?(?![\w./]*\d)")


def own_cautions(names: Iterable[str], state: AskedCase) -> list[tuple[Block, str, Basis]]:
    """Of some cautions those that the answers bring and that say how this tire stands."""
    rules, brought = state.judge.rules, state.now.cautions
    own = [name for name in dict.fromkeys(names) if name in brought and rules.cautions[name].of_this_tire]
    return list(caution_blocks(own, state))[:MOST_WITH_TEXT]


def warned_of_figure(state: AskedCase, read: ReadQuestion) -> Message | None:
    """What this tire's own cautions say of an answer whose figure is named, unit or none."""
    rules, figures = state.judge.rules, {*_FIGURES.findall(read.text)}

    def has_figure(name: str) -> bool:
        of = [
            rules.questions[each] for each in PLACEHOLDER.findall(rules.cautions[name].says) if each in rules.questions
        ]
        given = (state.case.get(each.over, state.key(each)) for each in of)
        return any(figures & {*_FIGURES.findall(str(answer))} for answer in given if answer is not None)

    rows = own_cautions(filter(has_figure, state.now.cautions), state)
    blocks, sources = tuple(block for block, _, _ in rows), tuple((says, basis) for _, says, basis in rows)
    return Message("word", blocks, intent="matters", sources=sources) if rows else None
