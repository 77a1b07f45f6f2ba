"""What a step is shown with: what its figures rest on, each with source and standing, and what limits the use after.

The steps as the report shows them: what was planned, what was done and when, what was noted.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from msgspec import Struct
from msgspec.structs import replace

from advisor.engine.conditions import limit_named
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement, PlannedStep
from advisor.engine.spelling_variant import spelled
from advisor.engine.templates import fill, limit_in_words
from advisor.model.quantity import Measure, in_words
from advisor.model.ruleset import UNSOURCED, Basis, RuleSet, Step
from advisor.wording.verdict_card import sources_in_words
from advisor.work.progress import StepKey, Tick, Work, key_of

#: What stands at a step that was done before the verdict.
SHOWN_DONE = "done before the verdict, as the answers show"


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
    rules, tire = judge.rules, judgement.walk.tire
    facts = tire if planned.injury is None else tire.part("injuries", planned.injury)
    for name in planned.step.figures:
        limit = limit_named(name, facts, rules)
        if limit is not None:
            rests_on = _rests_on(limit.basis, rules)
            yield f"{limit_in_words(limit)} - {limit.says}{' ' if rests_on.startswith('(') else '; '}{rests_on}"
            continue
        value = judgement.values.get(name, judgement.values.get(f"{name}[{planned.injury or 0}]"))
        if isinstance(value, Measure):
            bare = Measure(value.low, value.high, value.unit)
            yield f"{in_words(bare)} - {rules.values[name].name} (worked out)"


_SIDES = {"above": "at most ", "below": "at least "}


def short_figures(planned: PlannedStep, judgement: Judgement, judge: Judge) -> Iterator[str]:
    """The step's figures for this tire, each with what it is: `at most 1200 rpm - fastest turning of the burr …`."""
    rules, tire = judge.rules, judgement.walk.tire
    facts = tire if planned.injury is None else tire.part("injuries", planned.injury)
    for name in planned.step.figures:
        limit = limit_named(name, facts, rules)
        if limit is not None:
            yield f"{_SIDES.get(limit.worse, '')}{limit_in_words(limit)} - {limit.says}"
            continue
        value = judgement.values.get(name, judgement.values.get(f"{name}[{planned.injury or 0}]"))
        if isinstance(value, Measure):
            yield f"{in_words(Measure(value.low, value.high, value.unit))} - {rules.values[name].name}"


def restriction_lines(planned: PlannedStep, judgement: Judgement, judge: Judge) -> Iterator[str]:
    """A line for each restriction that is said again at a step."""
    rules, tire = judge.rules, judgement.walk.tire
    yield from (f"Restriction: {fill(rules.restrictions[name].says, tire, rules)}" for name in planned.restrictions)


class StepLine(Struct, frozen=True):
    """A step: heading, text, standing, when it was done (empty: not ticked), notes, figures, holds, restrictions.

    `number` is its place in the plan, as on the screen; 0 for one that is no longer in it.
    """

    heading: str
    says: str
    standing: str
    done: str
    notes: tuple[str, ...] = ()
    figures: tuple[str, ...] = ()
    holds: tuple[str, ...] = ()
    restrictions: tuple[str, ...] = ()
    title: str = ""
    number: int = 0


def step_report(judgement: Judgement, judge: Judge, work: Work) -> Iterator[StepLine]:
    """The plan with what was done of it, and before it what was done while another method stood."""
    plan = judge.methods.plan(judgement)
    ticks = [work.tick_of(key_of(planned)) for planned in plan]
    for tick in work.ticks:
        if tick not in ticks:
            yield _done_before(tick, judgement, judge, work)
    for number, (planned, tick_here) in enumerate(zip(plan, ticks, strict=True), 1):
        where = f"{planned.method.title}, {_of(planned.injury, judge)}"
        figures = tuple(figure_lines(planned, judgement, judge))
        open_ = not work.done(planned)
        holds = tuple(judge.caution_in_words(name, judgement) for name in planned.held if open_)
        keys = {key_of(planned), *((tick_here.key,) if tick_here else ())}
        done = _done(tick_here) if tick_here else SHOWN_DONE if planned.shown else ""
        mark = standing_mark(planned.step.basis.standing)
        limits = tuple(restriction_lines(planned, judgement, judge))
        yield StepLine(
            *(where, planned.says, mark, done, _notes(work, keys), figures, holds, limits, planned.step.title, number)
        )


def _done_before(tick: Tick, judgement: Judgement, judge: Judge, work: Work) -> StepLine:
    """A step that was done and is no longer in the plan."""
    name, index = tick.key
    facts = judgement.walk.tire.part("injuries", max(index, 0))
    method = judge.rules.methods.get(tick.method)
    step = next((each for each in method.steps if each.id == name), None) if method else None
    says = fill(step.says, facts, judge.rules) if step else name.replace("-", " ")
    where = f"Done before the verdict or the method changed, {_of(None if index < 0 else index, judge)}"
    mark = standing_mark(step.basis.standing) if step else ""
    return StepLine(where, says, mark, _done(tick), _notes(work, {tick.key}), title=_title(step, name))


def _done(tick: Tick) -> str:
    """When a step was done, and what was said as it was ticked."""
    return _stamped("done", tick.at) + (f" ({tick.said})" if tick.said else "")


def _title(step: Step | None, name: str) -> str:
    return step.title if step else name.replace("-", " ")


def _notes(work: Work, keys: set[StepKey]) -> tuple[str, ...]:
    return tuple(note.text for note in work.notes if note.key in keys)


def _of(injury: int | None, judge: Judge) -> str:
    return spelled("the tire", judge.rules) if injury is None else f"injury {injury + 1}"


def loose_notes(judgement: Judgement, judge: Judge, work: Work) -> Iterator[str]:
    """The notes that stand at no step of the report, with their times."""
    shown_at = {*map(key_of, judge.methods.plan(judgement)), *(tick.key for tick in work.ticks)}
    yield from (_stamped(note.text, note.at) for note in work.notes if note.key not in shown_at)


def _stamped(text: str, at: datetime | None) -> str:
    return f"{text} {at:%Y-%m-%d %H:%M}" if at is not None else text
