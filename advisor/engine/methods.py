"""Chooses the method of an injury and plans its steps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import partial

from msgspec.structs import replace

from advisor.engine.cautions import Fitting
from advisor.engine.condition_plan import Plan, SeenHere
from advisor.engine.conditions import Test, compiled
from advisor.engine.facts import Facts
from advisor.engine.judgement_types import InjuryVerdict, Judgement, PlannedStep
from advisor.engine.templates import Filler
from advisor.engine.traversal import Walk
from advisor.model.case import Key
from advisor.model.ruleset import WORK_ORDER, Method, RuleSet, Step


class Methods:
    """The methods of a rule set, the least demanding first."""

    def __init__(self, rules: RuleSet, plan: Plan) -> None:
        self.rules = rules
        self.filler = Filler(rules)
        ranked = sorted(rules.methods.values(), key=lambda method: method.rank)
        self.ranked: list[tuple[Method, Test, int]] = [
            (method, compiled(method.when, rules), plan.terms(method.when))
            for method in ranked
            if method.when is not None
        ]
        every = [(method, step) for method in ranked for step in method.steps]
        self._steps: dict[tuple[str, str], Test] = {
            (method.id, step.id): compiled(step.when, rules) for method, step in every
        }
        self._shown: dict[tuple[str, str], Test] = {
            (method.id, step.id): compiled(step.done_where, rules) for method, step in every if step.done_where
        }
        self.fitting = Fitting(rules.cautions)
        self._each_here = {method.id: [partial(self._here, method, step) for step in method.steps] for method in ranked}

    def chosen(self, seen: SeenHere) -> tuple[str, tuple[str, ...]]:
        """The least demanding method that certainly applies, and the others that apply as well."""
        fitting = self._fitting(seen.sure)
        return (fitting[0], tuple(fitting[1:])) if fitting else ("", ())

    def _fitting(self, sure: int) -> list[str]:
        return [method.id for method, _, terms in self.ranked if sure & terms]

    def first(self, sure: int) -> str:
        """The least demanding method that applies where these terms hold; an empty text where none does."""
        return next(iter(self._fitting(sure)), "")

    def ending_of(self, method: str) -> str:
        """The ending of a repair by this method."""
        return self.rules.methods[method].ending if method else ""

    def most_demanding(self, injuries: Sequence[InjuryVerdict]) -> tuple[str, tuple[str, ...]]:
        """The method that the whole case needs, and what else is allowed for every injury that needs it."""
        rank = {method.id: method.rank for method, _, _ in self.ranked}
        method = max((injury.method for injury in injuries if injury.method), key=lambda m: rank[m], default="")
        needing = [injury for injury in injuries if injury.method == method]
        also = [name for name in rank if all(name in injury.also_allowed for injury in needing)]
        return method, tuple(also) if needing and method else ()

    def doubts(self, walk: Walk) -> Iterable[Key]:
        """The answers whose doubt leaves open whether a less demanding method would do."""
        for facts in walk.tire.each("injuries"):
            seen = walk.see(facts)
            for _, test, terms in self.ranked:
                if seen.sure & terms:
                    break
                state = test(facts) if seen.alive & terms else False
                if not isinstance(state, bool):
                    yield from sorted(state)

    def plan(self, judgement: Judgement) -> list[PlannedStep]:
        """The steps in order: those of each injury that is repaired, or of the method that a referral needs.

        The last one says every restriction again.
        """
        steps = self._plan(judgement)
        if steps and judgement.restrictions:
            steps[-1] = replace(steps[-1], restrictions=judgement.restrictions)
        return steps

    def _plan(self, judgement: Judgement) -> list[PlannedStep]:
        tire = judgement.walk.tire
        if judgement.method and judgement.verdict.name == "REFER":
            return list(self._planned(judgement, judgement.method, tire.part("injuries", 0), None))
        if not judgement.method:
            return []
        each = [
            list(self._planned(judgement, injury.method, tire.part("injuries", index), index))
            for index, injury in enumerate(judgement.each_injury)
        ]
        return each[0] if len(each) == 1 else _in_order(each)

    def _planned(self, judgement: Judgement, name: str, facts: Facts, injury: int | None) -> Iterable[PlannedStep]:
        method, restrictions = self.rules.methods[name], judgement.restrictions
        fits = self.fitting.on(judgement.verdict, judgement.ending, restrictions)
        each = facts.each_made(("steps", name), self._each_here[name])
        for step, here in zip(method.steps, each, strict=True):
            if here is not None:
                held = tuple([caution for caution in step.held_by if caution in judgement.cautions])
                shown = tuple([name for name in step.cautions if name in fits])
                again = tuple([name for name in restrictions if self._said_at(name, step)]) if restrictions else ()
                says, is_done = here
                yield PlannedStep(step, method, injury, says, held, shown, again, is_done)

    def _here(self, method: Method, step: Step, facts: Facts) -> tuple[str, bool] | None:
        """What a step says here, and whether the answers show that it was done; None where it is left out."""
        if self._steps[method.id, step.id](facts) is False:
            return None
        done = self._shown.get((method.id, step.id))
        return self._says(step, facts), done is not None and done(facts) is True

    def _said_at(self, restriction: str, step: Step) -> bool:
        """Whether a restriction is said again at a step, by the stage of the work that it is."""
        return any(stage in step.stages for stage in self.rules.restrictions[restriction].said_at)

    def _says(self, step: Step, facts: Facts) -> str:
        return self.filler.fill(step.says, facts)


def _in_order(each: list[list[PlannedStep]]) -> list[PlannedStep]:
    """The steps of several injuries: what is done once for the tire first or last, each injury's own between.

    Of the injuries' next steps the one of the earliest stage comes first: all are buffed before one is cemented.
    """
    every = [planned for steps in each for planned in steps]
    once = {when: {p.step.id: p for p in reversed(every) if p.step.once == when} for when in ("before", "after")}
    order = {planned.step.id: place for place, planned in reversed(list(enumerate(every)))}
    for_tire = {
        when: [replace(found[name], injury=None) for name in sorted(found, key=lambda name: order[name])]
        for when, found in once.items()
    }
    left = [[planned for planned in steps if not planned.step.once] for steps in each]
    own = list[PlannedStep]()
    while any(left):
        own.append(min((steps for steps in left if steps), key=_stage_of_first).pop(0))
    return [*for_tire["before"], *own, *for_tire["after"]]


def _stage_of_first(steps: list[PlannedStep]) -> int:
    stages = steps[0].step.stages
    return WORK_ORDER.index(stages[0]) if stages else -1
