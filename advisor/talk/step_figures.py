"""What a step is shown with: what its figures rest on, each with source and standing, and what limits the use after."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.engine.judge import Judge
from advisor.engine.judgement import Judgement, PlannedStep
from advisor.engine.wording import fill, limit_in_words
from advisor.model.rules import UNSOURCED, Basis, RuleSet
from advisor.quick import replace
from advisor.talk.card import sources_in_words
from advisor.units import Measure, in_words


def standing_mark(standing: str) -> str:
    """A standing for people: `published`, or `common practice, no rule behind it`."""
    return f"{standing}, no rule behind it" if standing in UNSOURCED else standing


def _rests_on(basis: Basis, rules: RuleSet) -> str:
    """Source, clause and standing; a source that nobody published says no more than the standing does."""
    if basis.standing in UNSOURCED:
        basis = replace(basis, sources=tuple(s for s in basis.sources if rules.sources[s].publisher != "none"))
    return sources_in_words(basis, rules)


def figure_lines(planned: PlannedStep, judgement: Judgement, judge: Judge) -> Iterator[str]:
    """A line for each figure of a step: `1200 rpm - fastest turning …; Shop columns … (common practice, …)`."""
    rules = judge.rules
    for name in planned.step.figures:
        limit = rules.limits.get(name)
        if limit is not None:
            rests_on = _rests_on(limit.basis, rules)
            yield f"{limit_in_words(limit)} - {limit.says}{' ' if rests_on.startswith('(') else '; '}{rests_on}"
            continue
        value = judgement.values.get(name, judgement.values.get(f"{name}[{planned.injury or 0}]"))
        if isinstance(value, Measure):
            bare = Measure(value.low, value.high, value.unit)
            yield f"{in_words(bare)} - {rules.values[name].name} (worked out)"


def restriction_lines(planned: PlannedStep, judgement: Judgement, judge: Judge) -> Iterator[str]:
    """A line for each restriction that is said again at a step."""
    rules, tire = judge.rules, judgement.walk.tire
    yield from (f"Restriction: {fill(rules.restrictions[name].says, tire, rules)}" for name in planned.restrictions)
