"""What the checks take of zones and gaps is kept by the functions that work them out: tried on a grid of measures.

The geometry itself is held to independent libraries and to figures of its own in tests/domain; here only the order
counts: worse measures never give a better zone or a larger gap, doubt leaves open whatever the known measure gives.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise, product

import pytest

from advisor.engine.derived.injury import ZONES
from advisor.engine.derived.registry import CALLS
from advisor.engine.facts import Facts, OneOf, Tables, Value, is_certain
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import CANT_TELL, Answer, Case, Choice, Text
from advisor.model.quantity import Measure, between, exactly
from advisor.tools.verify.abstractions import READS, assumed_of
from advisor.tools.verify.case_space import Space

OFFSETS = [exactly(n, "mm") for n in (0, 30, 55, 64, 72, 80, 95, 108)]
ANGLES = [exactly(n, "deg") for n in (0, 10, 25, 35)]
LEANS: list[Answer] = [Choice(n) for n in ("toward-centre", "along-tread", "toward-shoulder")]
KNOWN: dict[str, Answer] = {
    "injury-depth": Choice("through"),
    "injury-zone": Choice("crown"),
    "tread-width": exactly(200, "mm"),
    "casing-thickness": exactly(20, "mm"),
    "injury-size": exactly(4, "mm"),
}
DOUBTS: dict[str, list[Answer]] = {
    "offset": [CANT_TELL, between(50, 80, "mm")],
    "injury-angle": [CANT_TELL, between(5, 30, "deg")],
    "lean": [CANT_TELL],
    "casing-thickness": [CANT_TELL, between(15, 25, "mm")],
    "tread-width": [CANT_TELL, between(180, 220, "mm")],
}


@lru_cache(maxsize=2)
def tables(name: str) -> Tables:
    return Tables(load_rule_set(find_rule_set(name)), CALLS)


def look(name: str, rules: str, answers: dict[str, Answer]) -> tuple[Value | None, frozenset[str]]:
    tire = {"sidewall": Text("205/55R16 91V")}
    value, keys = Facts(tables(rules), Case(tire, (), (answers,))).part("injuries", 0).look(name)
    return value, frozenset(key for key, _ in keys)


def zones(value: Value | None) -> tuple[str, ...]:
    """The zones that a value leaves possible; every one where it is not known."""
    if isinstance(value, Choice):
        return (value.id,)
    return value.possible if isinstance(value, OneOf) else ZONES


def rank(value: Value | None) -> int:
    return max(ZONES.index(zone) for zone in zones(value))


@pytest.mark.parametrize(("rules", "name"), [("us-road", "measured-zone"), ("us-road", "zone"), ("uk-road", "zone")])
def test_farther_out_and_more_slanting_is_never_a_better_zone(rules: str, name: str) -> None:
    for lean, angle in product(LEANS, ANGLES):
        at = [look(name, rules, {**KNOWN, "offset": o, "injury-angle": angle, "lean": lean})[0] for o in OFFSETS]
        assert all(rank(one) <= rank(two) for one, two in pairwise(at)) or lean == Choice("toward-centre")
    for lean, offset in product(LEANS, OFFSETS):
        at = [look(name, rules, {**KNOWN, "offset": offset, "injury-angle": a, "lean": lean})[0] for a in ANGLES]
        assert all(rank(one) <= rank(two) for one, two in pairwise(at))


@pytest.mark.parametrize(("rules", "name"), [("us-road", "measured-zone"), ("us-road", "zone"), ("uk-road", "zone")])
def test_doubt_leaves_open_whatever_the_known_measure_gives(rules: str, name: str) -> None:
    doubtful = 0
    for lean, angle, offset in product(LEANS, ANGLES, OFFSETS):
        answers = {**KNOWN, "offset": offset, "injury-angle": angle, "lean": lean}
        known, _ = look(name, rules, answers)
        for question, instead in DOUBTS.items():
            for doubt in instead:
                if not _holds(doubt, answers[question]):
                    continue
                value, open_for = look(name, rules, {**answers, question: doubt})
                assert set(zones(known)) <= set(zones(value)), (answers, question, doubt)
                if not is_certain(value):
                    doubtful += 1
                    function = tables(rules).rules.values[name].function
                    assert open_for <= {*READS[function], "injury-zone"}
    assert doubtful


def _holds(doubt: Answer, known: Answer) -> bool:
    if not isinstance(doubt, Measure):
        return True
    return isinstance(known, Measure) and doubt.low <= known.low <= doubt.high


def test_nothing_but_what_the_checks_assume_comes_of_the_tape_and_the_grooves() -> None:
    rules = tables("us-road").rules
    space = Space(rules)
    names = space.groups[space.group_of["zone"]]
    assumed = assumed_of(rules, space.tables, names, ())
    seen = ("zone", "measured-zone", "injury-zone", "inside-grooves")
    every = {tuple(str(state.looks[name][0]) for name in seen) for state in assumed.rows}
    tires = [{"tire-class": Choice(name)} for name in ("passenger", "medium-truck")]
    said = [*map(Choice, ZONES), CANT_TELL, None]
    offsets = [*OFFSETS, *DOUBTS["offset"]]
    for tire, zone, offset, grooves in product(tires, said, offsets, [Choice("yes"), Choice("no"), CANT_TELL, None]):
        given = {**KNOWN, "injury-zone": zone, "offset": offset, "inside-grooves": grooves}
        injury = {name: answer for name, answer in given.items() if answer is not None}
        facts = Facts(tables("us-road"), Case(tire, (), (injury,))).part("injuries", 0)
        assert tuple(str(facts.look(name)[0]) for name in seen) in every, (tire, injury)


def two_injuries(clock: Answer, offset: Answer, length: Answer) -> tuple[Value | None, frozenset[str]]:
    first: dict[str, Answer] = {
        "injury-depth": Choice("through"),
        "clock": exactly(60, "deg"),
        "offset": exactly(-20, "mm"),
    }
    second: dict[str, Answer] = {"injury-depth": Choice("through"), "clock": clock, "offset": offset}
    tire: dict[str, Answer] = {
        "sidewall": Text("205/55R16 91V"),
        "unit-length": length,
        "unit-width": exactly(30, "mm"),
    }
    case = Case(tire, (), ({**first, "more-injuries": Choice("yes")}, {**second, "more-injuries": Choice("no")}))
    value, keys = Facts(tables("us-road"), case).look("nearest-repair")
    return value, frozenset(key for key, _ in keys)


def test_a_gap_shrinks_with_nearness_and_doubt_holds_the_known_one() -> None:
    lengths = [exactly(n, "mm") for n in (30, 50, 70)]
    for clock, offset in product(
        [exactly(n, "deg") for n in (60, 64, 75, 120)], [exactly(n, "mm") for n in (0, 20, 40)]
    ):
        gaps = [two_injuries(clock, offset, length)[0] for length in lengths]
        assert all(isinstance(gap, Measure) for gap in gaps)
        assert all(one.low >= two.low for one, two in pairwise(gaps))  # type: ignore[union-attr]
        wide: list[tuple[Answer, Answer, Answer]] = [
            (CANT_TELL, offset, lengths[1]),
            (clock, CANT_TELL, lengths[1]),
            (clock, offset, CANT_TELL),
            (clock, Measure(offset.low - 5, offset.high + 5, "mm"), lengths[1]),
            (Measure(clock.low - 3, clock.high + 3, "deg"), offset, lengths[1]),
            (clock, offset, between(45, 55, "mm")),
        ]
        for answers in wide:
            value, open_for = two_injuries(*answers)
            known = gaps[1]
            assert isinstance(known, Measure)
            assert value is None or (isinstance(value, Measure) and value.low <= known.low <= value.high)
            assert open_for <= set(READS["nearest-repair"])


def test_the_checks_let_a_zone_and_a_gap_be_all_that_they_can_be() -> None:
    space = Space(load_rule_set(find_rule_set("us-road")))
    for name in ("zone", "nearest-repair"):
        number = space.group_of[name]
        assumed = assumed_of(space.rules, space.tables, space.groups[number], space.limits_of("nearest-repair"))
        values = {str(state.looks[name][0]) for state in assumed.rows}
        wanted = {"crown", "shoulder", "sidewall", "crown or shoulder", "shoulder or sidewall"}
        assert wanted <= values if name == "zone" else {"10 mm", "0 mm", "-10 mm", "None"} <= values, values
        assert assumed.steps and assumed.doubts
