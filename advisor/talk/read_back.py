"""Says back what was worked out of an answer, so that a misreading is seen at once."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.engine.facts import NOT_APPLICABLE, Facts
from advisor.engine.judgement import Judgement
from advisor.engine.print_values import printed
from advisor.engine.wording import value_in_words
from advisor.errors import shown
from advisor.model.case import CANT_TELL
from advisor.model.rules import RuleSet
from advisor.units import Measure, in_words


def worked_out_lines(before: Judgement, now: Judgement, rules: RuleSet) -> Iterator[str]:
    """What an answer newly gave: each value by name, and what a sidewall's print did not tell."""
    said = set[str]()
    for name, value in now.values.items():
        home = rules.values[name.partition("[")[0]]
        if not home.said_back or value in (None, CANT_TELL, NOT_APPLICABLE) or value == before.values.get(name):
            continue
        words = in_words(value) if isinstance(value, Measure) else value_in_words(value)
        line = f"{home.name}: {words}"
        if words not in said or isinstance(value, Measure):
            yield f"  worked out: {line}"
        said.add(words)
    if now.walk.tire.said("sidewall") != before.walk.tire.said("sidewall"):
        yield from _print_left_open(now.walk.tire)


def _print_left_open(tire: Facts) -> Iterator[str]:
    sidewall = printed(tire)
    if sidewall is None:
        return
    if sidewall.not_read:
        yield f"  not read: {shown(' '.join(sidewall.not_read), 120)}"
    missing = [what for what in sidewall.missing if what.replace(" ", "-") not in tire.answers]
    if missing:
        yield f"  the print as typed does not tell: {', '.join(missing)}"
