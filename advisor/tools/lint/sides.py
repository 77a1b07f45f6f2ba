"""Texts that contradict each other on one card, and cautions that never show.

Cautions, endings and restrictions say in `speaks` which side they take on a topic (air, repair, road); cautions say in
`fits` and `not-with` where they stand. Every two that can meet on one card are gone through.

never-shown (error): a caution named where the verdict keeps it from being shown.
Why it is bad: somebody meant to warn there, and nobody is warned.
PASS:
  cautions.yaml: {cage/fits: [repair, hold]}
FAIL:
  cautions.yaml: {cage/fits: [scrap]}

contradiction (error): two texts that can stand on one card, the one for and the other against the same thing.
Why it is bad: a card that says to inflate and not to inflate leaves the choice to whoever reads it.
PASS:
  about.yaml: {always-shown: [cage]}
  cautions.yaml: {cage/fits: ~, cage/speaks: {air: neither}}
FAIL:
  about.yaml: {always-shown: [cage]}
  cautions.yaml: {cage/fits: ~}
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import chain, combinations, count, islice

from msgspec import Struct

from advisor.engine.cautions import caution_fits
from advisor.engine.judgement_types import Judgement
from advisor.model.case import TIRE, Case
from advisor.model.problems import Place, Problem
from advisor.model.ruleset import Ending, Method, Restriction, RuleSet, Ruling, Verdict
from advisor.tools.verify.backtracking import Wish
from advisor.tools.verify.effects import Brings, Effect
from advisor.tools.verify.workbench import MOST_CASES, Bench, Proof, bench_of

#: So many steps a search may take; what it has not told apart by then is taken to meet.
MOST_STEPS = 10_000
#: Refused by what has the other sign.
OTHER = {"for": "against", "against": "for"}


class _TooLong(Exception):
    """A search that would take too long."""


class SideText(Struct, frozen=True):
    """Something that stands on a card: an ending, a caution or a restriction, and the ruling that brings it, if one."""

    what: str
    place: Place
    speaks: Mapping[str, str]
    caution: str = ""
    restriction: str = ""
    ruling: Ruling | None = None


def check(rules: RuleSet) -> Iterator[Problem]:
    """Cautions that never show where they are named, and pairs that contradict each other."""
    yield from _named_in_vain(rules)
    for ending in rules.endings.values():
        yield from _of_ending(ending, rules)


def _named_in_vain(rules: RuleSet) -> Iterator[Problem]:
    """Cautions named where the verdict is known and keeps them from being shown."""
    named = [(name, "about.yaml, always shown", ending) for name in rules.about.always for ending in rules.endings]
    named += [
        (name, "about.yaml, shown with a repair", ending.id)
        for name in rules.about.with_repair
        for ending in rules.endings.values()
        if ending.verdict is Verdict.REPAIR
    ]
    for ending in rules.endings.values():
        named += [(name, f"the ending {ending.id}", ending.id) for name in ending.cautions]
    for method, where, ending_id in _methods(rules):
        names = chain(method.cautions, *(chain(step.cautions, step.held_by) for step in method.steps))
        named += [(name, where, ending_id) for name in names]
    said = set()
    for name, where, ending_id in named:
        caution, ending = rules.cautions[name], rules.endings[ending_id]
        if not caution_fits(caution, ending.verdict, ending_id, ()) and (name, where) not in said:
            said.add((name, where))
            yield Problem(
                "never-shown",
                rules.place_of("cautions.yaml", name),
                f'the caution "{name}", named by {where} and not fit for {ending_id}',
                "a caution that fits where it is named",
                "widen its fits, or name it elsewhere",
            )


def _methods(rules: RuleSet) -> Iterator[tuple[Method, str, str]]:
    """Each method with the endings beside which its plan stands."""
    for method in rules.methods.values():
        for ending in rules.endings.values():
            if method.id == ending.method or (method.when is not None and ending.id == method.ending):
                yield method, f"the method {method.id}", ending.id


def _of_ending(ending: Ending, rules: RuleSet) -> Iterator[Problem]:
    """Every two texts that can meet on a card with this ending."""
    texts = [text for text in _texts(ending, rules) if any(side in OTHER for side in text.speaks.values())]
    for first, second in combinations(texts, 2):
        topic = next((t for t, side in first.speaks.items() if OTHER.get(side) == second.speaks.get(t, "")), "")
        if not topic or _kept_apart(first, second, rules):
            continue
        bench = bench_of(rules)
        try:
            case = _met(ending, (first, second), bench)
        except _TooLong:
            case = bench.case([])
        if case is not None:
            yield Proof(
                "contradiction",
                second.place,
                f"{first.what} and {second.what} on one card, the one for and the other against: {topic}",
                "texts that say the same",
                "say in fits or not-with where the caution stands, or word it so that it fits",
                see=((first.place, first.what), (second.place, second.what)),
                case=bench.text(case) if _stand_on(case, ending, (first, second), bench) else "",
            )


def _kept_apart(first: SideText, second: SideText, rules: RuleSet) -> bool:
    """Whether one of two is a caution that the other, a restriction, keeps from being shown."""
    pairs = ((first, second), (second, first))
    return any(one.caution and two.restriction in rules.cautions[one.caution].not_with for one, two in pairs)


def _texts(ending: Ending, rules: RuleSet) -> Iterator[SideText]:
    yield SideText(f"the ending {ending.id}", rules.place_of("endings.yaml", ending.id), ending.speaks)
    names = list(chain(ending.cautions, rules.about.always))
    names += rules.about.with_repair if ending.verdict is Verdict.REPAIR else ()
    for method, _, ending_id in _methods(rules):
        if ending_id == ending.id:
            names += chain(method.cautions, *(step.cautions for step in method.steps))
    for name in dict.fromkeys(names):
        if caution_fits(rules.cautions[name], ending.verdict, ending.id, ()):
            yield _of_caution(name, rules)
    for ruling in rules.rulings():
        for name in ruling.cautions:
            if caution_fits(rules.cautions[name], ending.verdict, ending.id, ()):
                yield _of_caution(name, rules, ruling)
        for name in ruling.restrictions:
            restriction: Restriction = rules.restrictions[name]
            place = rules.place_of("restrictions.yaml", restriction.id)
            what = f"the restriction {restriction.id}"
            yield SideText(what, place, restriction.speaks, restriction=restriction.id, ruling=ruling)


def _of_caution(name: str, rules: RuleSet, ruling: Ruling | None = None) -> SideText:
    caution = rules.cautions[name]
    return SideText(f"the caution {name}", rules.place_of("cautions.yaml", name), caution.speaks, name, "", ruling)


def _met(ending: Ending, texts: tuple[SideText, SideText], bench: Bench) -> Case | None:
    """A case whose card has the ending and both texts, confirmed by the engine, or None."""
    steps = count()

    def holds(brings: Brings) -> bool:
        if next(steps) > MOST_STEPS:
            raise _TooLong
        return brings.holds

    wishes = [Wish(bench.effects.of(text.ruling), holds) for text in texts if text.ruling]

    def worse(effect: Effect, brings: Brings) -> bool:
        if next(steps) > MOST_STEPS:
            raise _TooLong
        return brings.verdict is not None and (brings.verdict > ending.verdict or ending.verdict is Verdict.REPAIR)

    for bringing in _bringing(ending, bench):
        wanted = [*wishes, *([Wish(bringing, lambda brings: brings.verdict is ending.verdict)] if bringing else [])]
        for near in islice(bench.found(wanted, {}, worse), MOST_CASES):
            states = bench.states_of(near)
            for case in _cases(ending, bench.case(states), bench) if states is not None else ():
                if _stand_on(case, ending, texts, bench):
                    return case
    return None


def _bringing(ending: Ending, bench: Bench) -> Iterator[Effect | None]:
    """What can bring an ending; for a repair, and where answers lack, nothing has to."""
    about = bench.rules.about
    if ending.verdict is Verdict.REPAIR or ending.id == about.when_unanswered:
        yield None
    for effect in bench.effects.every:
        if effect.ruling is None:
            brought = {bench.rules.nodes[effect.node].cant_tell.ending}
        else:
            ruling = effect.ruling
            brought = {ruling.ending, ruling.doubt_ending, ruling.in_doubt or about.when_in_doubt}
            brought = brought if ruling.ending else set()
        if ending.id in brought:
            yield effect


def _cases(ending: Ending, case: Case, bench: Bench) -> Iterable[Case]:
    """The case itself; where the ending is that of an unfinished one, the case with one answer left out."""
    yield case
    if ending.id == bench.rules.about.when_unanswered:
        for name in case.answers:
            yield case.with_answer("tire", (name, TIRE), None)


def _stand_on(case: Case, ending: Ending, texts: tuple[SideText, SideText], bench: Bench) -> bool:
    judgement = bench.judged(case)
    return all(_shows(judgement, ending, text, bench) for text in texts)


def _shows(judgement: Judgement, ending: Ending, text: SideText, bench: Bench) -> bool:
    """Whether the card of a judgement has an ending and a text."""
    if judgement.ending != ending.id:
        return False
    at_steps = (name for step in bench.judge.methods.plan(judgement) for name in step.cautions)
    names = {*judgement.cautions, *at_steps}
    return (not text.caution or text.caution in names) and (
        not text.restriction or text.restriction in judgement.restrictions
    )
