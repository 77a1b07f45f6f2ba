"""A reading beside the limits that it was held against: on which side it lies, and by how much."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator

from msgspec.structs import replace

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.explain.sensitivity import figures_against
from advisor.explain.why_not import reading_of
from advisor.model.case import Case, Key
from advisor.model.limits import Limit
from advisor.model.quantity import Measure
from advisor.model.ruleset import RuleSet
from advisor.wording.explanation import kept_limit


def tested_limits(now: Judgement, rules: RuleSet) -> set[str]:
    """The limits that were held against the answers by what decides; a caution's limit is none to come near to."""
    kept = {
        leaf.operand[0]
        for visit in now.walk.visits
        for ruling, _ in visit.stop.rulings
        if (ruling.ending or ruling.allows or ruling.restrictions)
        and (leaf := kept_limit(ruling, visit.facts, rules)) is not None
    }
    return kept | {each.limit.id for each in now.reasons if each.limit is not None and not each.only_warns}


def strictest(limits: Iterable[tuple[Measure, Limit]]) -> tuple[Measure, Limit] | None:
    """Of figures that are all worse on the same side the one that is met first; none where the sides differ."""
    rows = [(figure, limit) for figure, limit in limits if limit.worse]
    if len({limit.worse for _, limit in rows}) != 1:
        return None
    first = max if rows[0][1].worse == "below" else min
    return first(rows, key=lambda row: row[0].to(rows[0][0].unit).low)


def reading_beside(reading: Measure, figure: Measure, limit: Limit) -> str:
    """A reading beside a limit's figure; of one that is not exact whether it lies on both sides."""
    here = reading.to(figure.unit)
    low, high = here.low - figure.low, here.high - figure.low
    if low != high:
        if low <= 0 <= high:
            return f"{reading} lies on both sides of the limit of {figure}, so it can't be told: measure again."
        outside = (low > 0) == (limit.worse == "above")
        return f"{reading} is {'outside' if outside else 'within'} the limit of {figure} with the whole of its range."
    if low == 0:
        return f"{reading} is the limit itself, and the limit itself {'passes' if limit.at_limit_passes else 'fails'}."
    outside = (low > 0) == (limit.worse == "above")
    apart = replace(here, low=abs(low), high=abs(low), typed="")
    return f"{reading} is {'outside' if outside else 'within'} the limit of {figure} by {apart}."


def beside_tested(
    key: Key, case: Case, now: Judgement, judge: Judge, among: Container[str] | None = None
) -> Iterator[str]:
    """A measured answer of a case beside the strictest of the limits that it was held against there, or among some."""
    reading = reading_of(case.get(judge.rules.questions[key[0]].over, key))
    tested = tested_limits(now, judge.rules) if among is None else among
    held = strictest((figure, limit) for figure, limit in figures_against(key, case, judge) if limit.id in tested)
    if reading is not None and held is not None:
        yield reading_beside(reading, *held)
