"""More damage never gives a better verdict, a lesser method or fewer restrictions."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from advisor.engine.judgement_types import Judgement
from advisor.model.problems import Problems
from advisor.model.ruleset import Verdict
from tests.laws.cases import few
from tests.laws.support import NAIL_HOLE, base, changed, judged, method_rank
from tests.laws.worse import WAYS, Pair, pairs

EXAMPLES = 30


def unanswered(judgement: Judgement) -> bool:
    """Whether answers are missing that could still change the verdict."""
    return bool(judgement.missing) and not judgement.settled


def restrictions(judgement: Judgement, firm_only: bool) -> set[str]:
    """The restrictions; `firm_only` leaves out those that rest on doubt."""
    return {name for r in judgement.reasons if not (firm_only and r.doubt) for name in r.restrictions}


def weaker(pair: Pair) -> str:
    """What the worse case of a pair is let off, or an empty text.

    A referral for another reason may come without a method; that is no lesser one. Where the better case is on hold
    because it is not answered yet, the best that it could still end as counts instead. A verdict or a restriction
    that rests on doubt may go back to hold where the damage asks for more answers, as long as it stays possible.
    A tire that comes to be scrap needs no restriction.
    """
    better, worse = (judged(case) for case in pair)
    waits = not better.settled and unanswered(worse) and worse.could_end[-1] >= better.verdict
    if worse.verdict < better.verdict and not unanswered(better) and not waits:
        return f"verdict {worse.verdict} after {better.verdict}"
    if worse.could_end[0] < better.could_end[0]:
        return f"could end as {worse.could_end[0]}, before at best as {better.could_end[0]}"
    both = worse.verdict == better.verdict and worse.method and better.method
    if both and method_rank(worse) < method_rank(better):
        return f"method {worse.method} after {better.method}"
    if worse.verdict is Verdict.SCRAP and better.verdict is not Verdict.SCRAP:
        return ""
    lost = restrictions(better, firm_only=unanswered(worse)) - set(worse.restrictions)
    return f"restrictions {sorted(lost)} lost" if lost else ""


@pytest.mark.parametrize("way", WAYS)
def test_more_damage_is_never_let_off(way: str) -> None:
    @few(EXAMPLES)
    @given(pairs(way))
    def holds(pair: Pair) -> None:
        try:
            found = weaker(pair)
        except Problems:
            assume(False)
            return
        assert not found, pair

    holds()


@few(20)
@given(st.data())
def test_the_same_case_is_never_weaker_than_itself(data: st.DataObject) -> None:
    better, _ = data.draw(pairs("one more injury"))
    try:
        assert not weaker((better, better))
    except Problems:
        assume(False)


def test_a_pair_the_wrong_way_round_is_found() -> None:
    case = base("medium-truck")
    worse = changed(case, {"injuries[0].injury-size": "12 mm"})
    assert weaker((worse, case)).startswith("verdict")
    slanted = changed(case, {"injuries[0].injury-angle": "30 deg"})
    assert weaker((slanted, case)).startswith("method")
    worn = changed(case, {"answers.wheel-position": "steer", "answers.tread-depth": "3/32 in"})
    assert weaker((worn, case)).startswith("restrictions")


@pytest.mark.parametrize("tire", ["passenger", "medium-truck"])
def test_a_second_injury_does_not_lift_the_doubt_about_the_first(tire: str) -> None:
    one = changed(base(tire), {"injuries[0].injury-zone": "cant-tell"})
    two = changed(one, {"injuries[1]": dict(NAIL_HOLE)})
    assert ("injury-zone", 0) in judged(two).measure_again
    assert any(reason.doubt and reason.injury == 0 for reason in judged(two).reasons)
