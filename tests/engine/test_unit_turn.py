"""Units that sit turned: in a case file, judged and drawn, against an independent geometry library."""

from __future__ import annotations

import math
import random
from fractions import Fraction

import pytest
import shapely
from shapely.affinity import rotate, translate

from advisor.drawings.selection import pictures_for
from advisor.engine.judgement_types import Judgement
from advisor.model.quantity import Measure
from advisor.model.ruleset import Verdict
from tests.engine.geometry_support import Data, case_of, judge, judged

ONCE = math.pi * 958


def tire(turn: str | None, old_turn: str | None, clock: str = "12:20", sizes: tuple[int, int] = (140, 60)) -> Judgement:
    repair: Data = {"sound": "yes", "clock": clock, "offset": "0 mm"}
    repair |= {"unit-length": f"{sizes[0]} mm", "unit-width": f"{sizes[1]} mm"}
    injury: Data = {"injury-zone": "crown", "clock": "12:00", "offset": "10 mm"}
    for each, turned in ((repair, old_turn), (injury, turn)):
        if turned is not None:
            each["unit-turn"] = turned
    answers = {"unit_length": "90 mm", "unit_width": "75 mm", "earlier_repairs": [repair]}
    return judged(case_of("truck", [injury], **answers))


def gap(judgement: Judgement) -> Measure:
    found = judgement.values["nearest-repair"]
    assert isinstance(found, Measure)
    return found


def test_a_quarter_turn_swaps_the_sides() -> None:
    assert gap(tire(None, "90 deg")) == gap(tire(None, None, sizes=(60, 140)))
    assert gap(tire(None, "0 deg")) == gap(tire(None, "180 deg")) == gap(tire(None, None))


@pytest.mark.parametrize("seed", range(40))
def test_against_an_independent_library(seed: int) -> None:
    draw = random.Random(seed)
    turn, old_turn, minute = draw.randint(-180, 180), draw.randint(-180, 180), draw.randrange(60)
    got = float(gap(tire(f"{turn} deg", f"{old_turn} deg", f"12:{minute:02d}")).low)
    new = translate(rotate(shapely.box(-45, -37.5, 45, 37.5), turn, origin=(0, 0)), 0, 10)
    old = rotate(shapely.box(-70, -30, 70, 30), old_turn, origin=(0, 0))
    old = translate(old, float(Fraction(minute, 720)) * ONCE, 0)
    if new.disjoint(old):
        assert got == pytest.approx(new.distance(old), abs=1e-6)
    else:
        assert got <= 0


def test_a_turn_alone_changes_the_verdict() -> None:
    """At 12:28, 14 degrees of pi x 958 are 117.0 mm: square to the tread 117 - 45 - 70 = 2 mm are left."""
    assert float(gap(tire(None, None, "12:28")).low) == pytest.approx(2.04, abs=0.01)
    assert tire(None, None, "12:28").verdict is Verdict.REPAIR
    assert tire("45 deg", "-5 deg", "12:28").verdict is Verdict.REFER


def test_a_turn_that_cannot_be_told_is_any_turn() -> None:
    near = tire(None, "cant-tell", "12:28")
    assert near.verdict is Verdict.HOLD and gap(near).low <= 0 < gap(near).high
    assert tire(None, "cant-tell", "4:00").verdict is Verdict.REPAIR


def test_the_drawing_says_the_turn() -> None:
    says = " ".join(picture.says for picture in pictures_for(tire("-20 deg", "30 deg"), judge()))
    assert "turned -20°" in says and "turned 30°" in says
