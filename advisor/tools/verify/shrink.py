"""The smallest case that shows a problem: answers are left out one after another as long as it still shows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from advisor.engine.judgement_types import Judgement
from advisor.model import inputs
from advisor.model.case import Case, Key

if TYPE_CHECKING:
    from advisor.tools.verify.workbench import Bench

Shows = Callable[[Judgement, Judgement], bool]


def smallest(cases: Sequence[Case], bench: Bench, shows: Shows) -> tuple[Case, ...]:
    """Two cases with every answer left out, in both at once, without which the engine still shows the same."""
    if not cases:
        return ()
    first, second = cases
    for over, key in _keys(first):
        one, two = first.with_answer(over, key, None), second.with_answer(over, key, None)
        if shows(bench.judged(one), bench.judged(two)):
            first, second = one, two
    return first, second


def _keys(case: Case) -> list[tuple[str, Key]]:
    """The addresses of all answers of a case; those that count injuries and repairs stay."""
    found: list[tuple[str, Key]] = [("tire", (name, -1)) for name in case.answers]
    for over in (inputs.OVER_REPAIRS, "injuries"):
        for index, answers in enumerate(case.instances(over)):
            found += [(over, (name, index)) for name in answers if name not in inputs.ONE_MORE]
    return found
