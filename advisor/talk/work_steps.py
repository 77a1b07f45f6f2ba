"""The steps as the report shows them: what was planned, what was done and when, what was noted."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from advisor.engine.judge import Judge
from advisor.engine.judgement import Judgement
from advisor.engine.wording import fill
from advisor.model.rules import UNSOURCED, Step
from advisor.quick import dataclass
from advisor.talk.work import StepKey, Tick, Work, key_of


@dataclass(frozen=True, slots=True)
class StepLine:
    """A step: under which heading it stands, its text, standing, when it was done (empty: not ticked), its notes."""

    heading: str
    says: str
    standing: str
    done: str
    notes: tuple[str, ...] = ()


def step_report(judgement: Judgement, judge: Judge, work: Work) -> Iterator[StepLine]:
    """The plan with what was done of it, and before it what was done while another method stood."""
    plan = judge.methods.plan(judgement)
    planned_keys = set(map(key_of, plan))
    for tick in work.ticks:
        if tick.key not in planned_keys:
            yield _done_before(tick, judgement, judge, work)
    for planned in plan:
        tick_here = work.tick_of(key_of(planned))
        where = f"{planned.method.title}, {_of(planned.injury)}"
        yield _step_line(where, planned.says, planned.step, tick_here, key_of(planned), work)


def _done_before(tick: Tick, judgement: Judgement, judge: Judge, work: Work) -> StepLine:
    """A step that was done and is no longer in the plan."""
    name, index = tick.key
    tire = judgement.walk.tire
    facts = tire.part("injuries", max(index, 0))
    method = judge.rules.methods.get(tick.method)
    step = next((each for each in method.steps if each.id == name), None) if method else None
    says = fill(step.says, facts, judge.rules) if step else name.replace("-", " ")
    where = f"Done before the verdict or the method changed, {_of(None if index < 0 else index)}"
    return _step_line(where, says, step, tick, tick.key, work)


def _step_line(where: str, says: str, step: Step | None, tick: Tick | None, key: StepKey, work: Work) -> StepLine:
    standing = step.basis.standing if step else ""
    mark = f"{standing}, no rule behind it" if standing in UNSOURCED else standing
    notes = tuple(note.text for note in work.notes if note.key == key)
    return StepLine(where, says, mark, _stamped("done", tick.at) if tick else "", notes)


def _of(injury: int | None) -> str:
    return "the tire" if injury is None else f"injury {injury + 1}"


def loose_notes(judgement: Judgement, judge: Judge, work: Work) -> Iterator[str]:
    """The notes that stand at no step of the report, with their times."""
    shown_at = {*map(key_of, judge.methods.plan(judgement)), *(tick.key for tick in work.ticks)}
    yield from (_stamped(note.text, note.at) for note in work.notes if note.key not in shown_at)


def _stamped(text: str, at: datetime | None) -> str:
    return f"{text} {at:%Y-%m-%d %H:%M}" if at is not None else text
