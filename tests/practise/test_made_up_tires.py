"""Made-up tires: everything is reached by construction, only likely ones come in, a seed makes the same again."""

from __future__ import annotations

import pytest

from advisor.model.case import Measure, Readings
from advisor.practise.garage import misfit
from advisor.practise.looking import seen, ways_of
from advisor.practise.made_up import places_of
from advisor.practise.tire_plan import DOUBT
from advisor.tools.coverage import Coverage
from tests.practise.support import maker

RULES = ("uk-road", "us-road")
#: The larger rule set takes a while; it is tried in the longer form.
LONGER = ("uk-road", pytest.param("us-road", marks=pytest.mark.long))
#: Everything that can be reached is reached by so many tires for each thing to be reached; `advisor practise --reach`
#: says them.
MOST = 0.58
REASONS = (
    "nobody who stands before the tire can't tell that",
    "only on an unlikely tire",
    "on no likely tire it is shown",
    "no case of the checks shows it",
    "a case file does not say it",
)


@pytest.mark.parametrize("name", RULES)
def test_every_ruling_and_both_sides_of_every_limit_are_reached_or_named(name: str) -> None:
    making, coverage, count = maker(name), Coverage(maker(name).rules), 0
    for planned in making.plan.tires:
        kind, _, about = planned.item.partition("/")
        if (kind, about) in coverage.met or "+" in about:
            continue
        coverage.add(making.made(planned.item, 1).case)
        count += kind != DOUBT
    bare = {(item.kind, item.name) for item in coverage.bare() if item.kind not in ("way on", "ending", "method")}
    left = {tuple(item.split("/", 1)) for item in making.plan.left}
    assert bare <= left
    assert count <= MOST * sum(not planned.item.startswith(DOUBT) for planned in making.plan.tires)
    assert all(why.startswith(REASONS) for why in making.plan.left.values())
    assert len([item for item in left if item[0] in ("ruling", "limit within", "limit beyond")]) <= 10
    assert {str(planned.verdict) for planned in making.plan.tires} == {"repair", "refer", "hold", "scrap"}
    wanted = {method.id for method in making.rules.methods.values() if method.when is not None}
    assert wanted <= {planned.method for planned in making.plan.tires}


@pytest.mark.parametrize("name", LONGER)
def test_the_rules_judge_just_what_can_be_seen(name: str) -> None:
    making = maker(name)
    for planned in making.plan.tires[::9]:
        tire = making.made(planned.item, 5)
        now = making.judge.judge(tire.case)
        assert (str(now.verdict), now.method, now.missing) == (planned.verdict, planned.method, ())
        looked = tuple(way.id for way in ways_of(tire, making.rules))
        if "gauge" in looked and looked.index("gauge") < looked.index("demount"):
            told = making.judge.judge(seen(tire, looked, making.rules))
            assert (told.verdict, told.ending, told.method) == (now.verdict, now.ending, now.method), planned.item


def test_readings_stay_with_what_is_judged() -> None:
    making = maker("uk-road")
    spread = 0
    for planned in making.plan.tires[::5]:
        tire = making.made(planned.item, 2)
        for where, answer in places_of(tire.case):
            shown = tire.readings.get((where[2], where[1]))
            if isinstance(answer, Measure) and shown:
                ends = {str(answer.low), str(answer.high)}
                spread += len(ends) > 1
                assert len(shown) == (2 if answer.exact else 3)
            if isinstance(answer, Readings):
                assert sorted(shown or ()) == sorted(map(str, answer.readings))
    assert spread > 20


@pytest.mark.parametrize("name", LONGER)
def test_only_likely_tires_come_in(name: str) -> None:
    making = maker(name)
    odd = {ruling.id for ruling in making.rules.rulings() if ruling.doubts}
    for planned in making.plan.tires[::4]:
        kind, _, about = planned.item.partition("/")
        if about in odd or kind == "limit beyond" or making.plan.left.get(planned.item):
            continue
        tire = making.made(planned.item, 3)
        why = misfit(tire.case, making.rules)
        caution = any(r.id == about and r.cautions and not r.ending for r in making.rules.rulings())
        assert not why or caution or kind.startswith("limit"), (planned.item, why)


def test_the_same_seed_makes_the_same_tire_and_another_seed_another() -> None:
    making = maker("uk-road")
    item = making.plan.tires[3].item
    assert making.made(item, 7) == making.made(item, 7)
    assert len({making.made(item, seed).mark for seed in range(6)}) > 3


def test_doubtful_tires_are_held_and_name_what_to_measure_again() -> None:
    making = maker("uk-road")
    doubts = [planned for planned in making.plan.tires if planned.item.startswith(DOUBT)]
    assert len(doubts) >= 5
    for planned in doubts:
        now = making.judge.judge(making.made(planned.item, 1).case)
        assert now.measure_again
