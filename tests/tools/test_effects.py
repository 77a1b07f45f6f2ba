"""What the checks take each ruling to bring, by a few facts, is what the engine says of whole cases."""

from __future__ import annotations

from functools import lru_cache
from random import Random

import pytest

from advisor.engine.facts import Facts
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import Case
from advisor.tools.verify.backtracking import Nearest
from advisor.tools.verify.baseline_case import state_in
from advisor.tools.verify.workbench import Bench

#: So many cases of each shipped rule set are made by chance; in each a few facts are moved from the quiet case.
CASES = 120


@lru_cache(maxsize=3)
def bench(name: str) -> Bench:
    return Bench(load_rule_set(find_rule_set(name)))


def some_case(random: Random, on: Bench) -> Nearest:
    """The quiet case with a few groups moved to states that answers are known for."""
    chosen = {}
    for number in random.sample([n for n, names in enumerate(on.space.groups) if names], random.randint(1, 5)):
        places = [place for place, state in enumerate(on.space.states(number)) if state.real]
        if places:
            chosen[number] = random.choice(places)
    return Nearest(chosen, on.quiet)


def lies_there(on: Bench, near: Nearest, case: Case) -> bool:
    """Whether every group of a case is in the state that the choice says: questions raised further on add answers."""
    answers = {("tire", -1, name): answer for name, answer in case.answers.items()}
    for over in ("earlier-repairs", "injuries"):
        answers |= {(over, 0, n): a for each in case.instances(over)[:1] for n, a in each.items()}
    facts = Facts(on.space.tables, case)
    return all(
        on.space.kind_of(number, state_in(on.space, number, answers, facts)) == near[number]
        for number, names in enumerate(on.space.groups)
        if names
    )


@pytest.mark.parametrize("name", ["us-road", "uk-road", "de-road", "demo-shop"])
def test_what_is_said_to_hold_for_certain_holds_in_the_engine(name: str) -> None:
    on, random, met = bench(name), Random(7), 0
    for _ in range(CASES):
        near = some_case(random, on)
        states = on.states_of(near)
        assert states is not None
        case = on.case(states)
        judgement = on.judged(case)
        if judgement.missing or not lies_there(on, near, case):
            continue  # the questions raised further on are answered quietly, which the choice did not lay down
        met += 1
        certain = {r.ruling for r in (*judgement.reasons, *judgement.caution_reasons) if not r.doubt}
        doubtful = {r.ruling for r in judgement.reasons if r.doubt}
        for effect in on.effects.every:
            brings = effect.at(near)
            if effect.ruling is not None and brings.certain:
                assert effect.id in certain, (effect.id, case)
            elif effect.counts and (brings.verdict is not None or brings.restrictions):
                assert effect.id in doubtful, (effect.id, case)
            else:
                assert effect.id not in certain, (effect.id, case)
    assert met > CASES // 3
