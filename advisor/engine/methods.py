"""Chooses the method of an injury and plans its steps."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec.structs import replace

from advisor.engine.cautions import caution_fits
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
        method = self.rules.methods[name]
        for step in method.steps:
            if self._steps[(method.id, step.id)](facts) is not False:
                held = tuple(caution for caution in step.held_by if caution in judgement.cautions)
                shown = tuple(name for name in step.cautions if self._fits(name, judgement))
                again = tuple(name for name in judgement.restrictions if self._said_at(name, step))
                done = self._shown.get((method.id, step.id))
                is_done = done is not None and done(facts) is True
                yield PlannedStep(step, method, injury, self._says(step, facts), held, shown, again, is_done)

    def _fits(self, caution: str, judgement: Judgement) -> bool:
        return caution_fits(self.rules.cautions[caution], judgement.verdict, judgement.ending, judgement.restrictions)

    def _said_at(self, restriction: str, step: Step) -> bool:
        """Whether a restriction is said again at a step, by the stage of the work that it is."""
        return not set(self.rules.restrictions[restriction].said_at).isdisjoint(step.stages)

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
