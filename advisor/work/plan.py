"""The plan in stages: which steps stand under which heading, and which cautions a step is the first to bring."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from msgspec import Struct

from advisor.engine.judgement_types import PlannedStep
from advisor.model.ruleset import STAGE_HEADINGS
from advisor.work.progress import Work

_ANEW = "re-measure"


class PlanStage(Struct, frozen=True):
    """Steps that stand together under a heading, by their places in the plan."""

    heading: str
    places: tuple[int, ...]


def heading_of(planned: PlannedStep) -> str:
    """The heading that a step stands under; one of no stage, or that measures nothing anew, under its own name."""
    stages = planned.step.stages
    alone = not stages or (stages[0] == _ANEW and not planned.step.measures)
    return planned.step.title if alone else STAGE_HEADINGS[stages[0]]


def stages_of(plan: Sequence[PlannedStep]) -> list[PlanStage]:
    """The stages of a plan in order; a heading that comes again begins a stage of its own."""
    grouped = groupby(range(len(plan)), lambda place: heading_of(plan[place]))
    return [PlanStage(heading, tuple(places)) for heading, places in grouped]


def first_cautions(plan: Sequence[PlannedStep], place: int) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The cautions of a step that no step before brought, and those that one did; what the answers show brings none."""
    brought = {name for planned in plan[:place] if not planned.shown for name in planned.cautions}
    cautions = [name for name in plan[place].cautions if name not in plan[place].held]
    return (
        tuple(name for name in cautions if name not in brought),
        tuple(name for name in cautions if name in brought),
    )


def stage_in_hand(plan: Sequence[PlannedStep], work: Work) -> PlanStage | None:
    """The stage of the step in hand, or None where all is done."""
    place = work.current(plan)
    return next((stage for stage in stages_of(plan) if place in stage.places), None)
