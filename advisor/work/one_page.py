"""What stands on the report's first page: tire, injuries, why, times, readings, what could still be done."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from advisor.engine.evaluator import Judge
from advisor.engine.facts import Facts
from advisor.engine.judgement_types import Judgement, PlannedStep
from advisor.engine.templates import fill, value_in_words
from advisor.model import inputs
from advisor.model.case import Choice
from advisor.model.quantity import Measure
from advisor.model.ruleset import RuleSet, Verdict
from advisor.wording.verdict_card import basis_in_words, questions_in_words, where
from advisor.work.hand_on import needed_next
from advisor.work.plan import PlanStage, stages_of
from advisor.work.progress import BEGUN, MINUTES, Tick, Work, empty_fields, key_of

_TIRE = (
    *(inputs.SIDEWALL, inputs.DOT_CODE, inputs.VEHICLE, inputs.WHEEL_POSITION, inputs.TREAD_DEPTH),
    *(inputs.FOUND_PRESSURE, inputs.SET_PRESSURE, inputs.FINDINGS, inputs.EARLIER_REPAIRS),
    *(inputs.APART_ALONG, inputs.APART_ACROSS),
)
_INJURY = (
    *(inputs.INJURY_ZONE, inputs.CLOCK, inputs.OFFSET, inputs.INJURY_DEPTH, inputs.INJURY_SIZE, inputs.INJURY_LENGTH),
    *(inputs.INJURY_ANGLE, inputs.INSIDE_SIGNS),
)
#: More reasons than this stand in the annex alone.
MOST_ON_PAGE = 4
BEFORE = "before the verdict"


class ShortRow(Struct, frozen=True):
    """A name and what was found."""

    name: str
    value: str


class SketchPlace(Struct, frozen=True):
    """Where an injury is drawn: `across` from -1 to 1 over the tread's half width, angles in degrees, None unknown.

    `lean` is the side to which the inner end lies, by the choice's id; empty where it was not said.
    """

    zone: str
    across: float | None = None
    angle: float | None = None
    clock: float | None = None
    lean: str = ""


class InjuryBrief(Struct, frozen=True):
    """An injury in a few rows, and where it is drawn."""

    title: str
    rows: tuple[ShortRow, ...]
    place: SketchPlace


class StageLine(Struct, frozen=True):
    """A stage of the work with its times, and what was said where a step was ticked early."""

    heading: str
    when: str
    done: bool
    notes: tuple[str, ...] = ()


class WhyLine(Struct, frozen=True):
    """A reason that decides, and the rule that it rests on."""

    says: str
    rests_on: str


class OnePage(Struct, frozen=True):
    """All that stands on the first page beside verdict, method, restrictions and the driver's part."""

    tire: tuple[ShortRow, ...]
    injuries: tuple[InjuryBrief, ...]
    why: tuple[WhyLine, ...]
    still: tuple[str, ...]
    stages: tuple[StageLine, ...]
    progress: str
    not_done: tuple[str, ...]
    readings: tuple[ShortRow, ...]
    found: tuple[str, ...]


def one_page(judgement: Judgement, judge: Judge, work: Work) -> OnePage:
    """The first page of a report."""
    tire = judgement.walk.tire
    plan = judge.methods.plan(judgement)
    done = sum(map(work.done, plan))
    stages = tuple(_stage(stage, plan, work) for stage in stages_of(plan)) if judgement.method else ()
    deciding = judgement.deciding[:MOST_ON_PAGE]
    return OnePage(
        tire=tuple(_rows(tire, _TIRE, judge)),
        injuries=tuple(_injury(facts, judgement, judge) for facts in tire.each(inputs.OVER_INJURIES)),
        why=tuple(WhyLine(f"{where(reason)}{reason.says}", basis_in_words(reason, judge.rules)) for reason in deciding),
        still=tuple(_still(judgement, judge)) if judgement.verdict is not Verdict.REPAIR else (),
        stages=(*_before(plan, work), *(stage for stage in stages if stage.when)),
        progress=_progress(done, len(plan)),
        not_done=tuple(dict.fromkeys(stage.heading for stage in stages if not stage.done)),
        readings=tuple(readings_in_words(plan, work, judge.rules)),
        found=tuple(note.text for note in work.notes if note.text.startswith(("found ", "taken back: "))),
    )


def _progress(done: int, whole: int) -> str:
    if not whole:
        return ""
    return f"all {whole} steps done" if done == whole else f"{done} of {whole} steps done, not finished"


def readings_in_words(plan: Sequence[PlannedStep], work: Work, rules: RuleSet) -> Iterator[ShortRow]:
    """What was read at the work, step by step: unit, batch, torque, a width measured again."""
    named = {(key_of(planned), field.id): field.name for planned in plan for field in planned.step.fields}
    for each in work.readings:
        if each.field not in (MINUTES, BEGUN):
            of = f" (injury {each.key[1] + 1})" if each.key[1] > 0 else ""
            again = f"{rules.questions[each.field].name}, measured again" if each.field in rules.questions else ""
            name = named.get((each.key, each.field)) or again or each.field.replace("-", " ")
            at = f", {each.at:%H:%M}" if each.at else ""
            yield ShortRow(
                f"{name.removeprefix('the ')}{of}", f"{each.text} - FAILED{at}" if each.failed else each.text
            )

    ticked = (planned for planned in plan if work.tick_of(key_of(planned)))
    if empty := dict.fromkeys(name for planned in ticked for name in empty_fields(work, planned)):
        yield ShortRow("not written down", ", ".join(empty))


def _rows(facts: Facts, wanted: Sequence[str], judge: Judge) -> Iterator[ShortRow]:
    """What was answered of some questions; what was not is left out."""
    for name in map(judge.rules.question_now, wanted):
        question, answer = judge.rules.questions.get(name), facts.answers.get(name)
        if question is not None and answer is not None:
            yield ShortRow(question.name.removeprefix("the "), value_in_words(answer, question))


def _injury(facts: Facts, judgement: Judgement, judge: Judge) -> InjuryBrief:
    part = judgement.injuries[facts.index] if facts.index < len(judgement.injuries) else None
    method = (
        f", {judge.rules.methods[part.method].title}" if part and part.method and len(judgement.injuries) > 1 else ""
    )
    return InjuryBrief(f"Injury {facts.index + 1}{method}", tuple(_rows(facts, _INJURY, judge)), _place(facts, judge))


def _place(facts: Facts, judge: Judge) -> SketchPlace:
    def figure(name: str, unit: str) -> float | None:
        value = facts.answers.get(judge.rules.question_now(name))
        return float((value.to(unit).low + value.to(unit).high) / 2) if isinstance(value, Measure) else None

    zone = facts.answers.get(judge.rules.question_now(inputs.INJURY_ZONE))
    offset, wide = figure(inputs.OFFSET, "mm"), figure(inputs.TREAD_WIDTH, "mm")
    across = max(-1.0, min(1.0, 2 * offset / wide)) if offset is not None and wide else None
    named = zone.id if isinstance(zone, Choice) else ""
    lean = facts.answers.get(judge.rules.question_now(inputs.LEAN))
    side = lean.id if isinstance(lean, Choice) else ""
    return SketchPlace(named, across, figure(inputs.INJURY_ANGLE, "deg"), figure(inputs.CLOCK, "deg"), side)


def _still(judgement: Judgement, judge: Judge) -> Iterator[str]:
    """What could still be done with a tire that is not repaired here."""
    yield from judge.do_now(judgement)
    if judgement.measure_again:
        again = ", ".join(questions_in_words(judgement.measure_again, judge.rules))
        yield f"Measure again, as its doubt decides: {again}."
    if judgement.missing:
        yield f"Not answered yet: {', '.join(questions_in_words(judgement.missing, judge.rules))}."
    if judgement.verdict is Verdict.REFER:
        lacking = [line.rpartition(" - ")[0] for line in needed_next(judgement, judge) if line.endswith("not measured")]
        if lacking:
            yield f"The next shop will also ask for: {', '.join(lacking)}."


def _stage(stage: PlanStage, plan: Sequence[PlannedStep], work: Work) -> StageLine:
    steps = [plan[place] for place in stage.places]
    titled = [(planned.step.title, tick) for planned in steps if (tick := work.tick_of(key_of(planned)))]
    ticks = [tick for _, tick in titled]
    done = sum(map(work.done, steps))
    notes = tuple(f"{title}: {tick.said}" for title, tick in titled if tick.said)
    when = _when(ticks) if ticks else BEFORE if done else ""
    part = "" if done in (0, len(steps)) else f", {done} of {len(steps)}"
    return StageLine(stage.heading, f"{when}{part}" if done else "", done == len(steps), notes)


def _before(plan: Sequence[PlannedStep], work: Work) -> Iterator[StageLine]:
    """What was ticked and is no longer in the plan, in one line."""
    here = [work.tick_of(key_of(planned)) for planned in plan]
    ticks = [tick for tick in work.ticks if tick not in here]
    if ticks:
        notes = tuple(f"{tick.key[0].replace('-', ' ')}: {tick.said}" for tick in ticks if tick.said)
        heading = "done before the verdict or the method changed"
        count = "1 step" if len(ticks) == 1 else f"{len(ticks)} steps"
        yield StageLine(heading, f"{count}, {_when(ticks)}", True, notes)


def _when(ticks: Sequence[Tick]) -> str:
    times = sorted(tick.at for tick in ticks if tick.at is not None)
    if not times:
        return "done, no clock"
    first, last = f"{times[0]:%H:%M}", f"{times[-1]:%H:%M}"
    return first if first == last else f"{first} to {last}"


def steps_for_driver(judgement: Judgement, judge: Judge) -> Iterator[str]:
    """What steps of a repair have to be told to the driver, such as when the wheel nuts are tightened again."""
    if judgement.verdict is Verdict.REPAIR:
        for planned in judge.methods.plan(judgement):
            if planned.step.tell_driver:
                yield fill(planned.step.tell_driver, judgement.walk.tire, judge.rules)
