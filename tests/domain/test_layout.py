"""Units on the unrolled liner, against an independent geometry library and hand-worked figures."""

from __future__ import annotations

import math
import random
from fractions import Fraction

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import rotate, translate

from advisor.domain.clock import read_clock, turned
from advisor.domain.geometry.liner_layout import Patch, circumference, gap, nearest, place_on_liner
from advisor.domain.geometry.polygons import polygons_apart, rectangle, rectangles_apart
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, between, exactly

ROUND = exactly(3000, "mm")


def mm(value: int | str | Fraction) -> Measure:
    return exactly(value, "mm")


def deg(value: int | str | Fraction) -> Measure:
    return exactly(value, "deg")


def unit(
    clock: str | Measure,
    across: int = 0,
    length: int = 90,
    width: int = 75,
    turn: int | str = 0,
    once: Measure = ROUND,
) -> Patch:
    place = read_clock(clock) if isinstance(clock, str) else clock
    return place_on_liner(place, mm(across), mm(length), mm(width), once, deg(turn))


def test_once_round_worked_by_hand() -> None:
    """pi x (1000 - 2 x 22) = pi x 956 = 3003.3625768… mm; 40 in, no casing: pi x 1016 = 3191.8581… mm."""
    assert circumference(mm(1000), mm(22)) == mm("3003.362576832")
    assert circumference(exactly(40, "in")) == mm("3191.858136047")
    wide = circumference(mm(1000), between(20, 24, "mm"))
    assert wide.low < circumference(mm(1000), mm(22)).low < wide.high
    assert float(wide.low) == pytest.approx(math.pi * 952)
    with pytest.raises(Misread, match="less than half"):
        circumference(mm(1000), mm(500))
    with pytest.raises(Misread):
        circumference(mm(0))


def test_place_on_liner() -> None:
    assert unit("2:00").along_mm == mm(500)
    assert unit("11:45-12:15").along_mm == between("2937.5", "3062.5", "mm")
    with pytest.raises(Misread, match="at most once round"):
        unit("2:00", length=3001)
    with pytest.raises(Misread):
        unit("2:00", width=-1)
    moved = place_on_liner(deg(60), mm(0), mm(90), mm(75), ROUND, shift=between(-5, 5, "mm"))
    assert moved.along_mm == between(495, 505, "mm")


@pytest.mark.parametrize(
    ("first", "second", "apart"),
    [
        (unit("2:00"), unit("3:00"), mm(160)),
        (unit("11:30"), unit("12:30"), mm(160)),
        (unit("12:30"), unit("11:30"), mm(160)),
        (unit("6:00"), unit("12:00"), mm(1410)),
        (unit("2:00", -50), unit("2:00", 50), mm(25)),
        (unit("2:00", -50, 90, 100), unit("2:00", 50, 90, 100), mm(0)),
        (unit("2:00"), unit("2:00"), mm(-75)),
        (unit("11:54"), unit("12:06"), mm(-40)),
        (unit("2:00", -60, 70, 60), unit("2:24", 40, 70, 60), mm(50)),
        (unit("12:00", 0, 100, 50, 90), unit("12:24", 0, 100, 50, 90), mm(50)),
    ],
)
def test_gaps_worked_by_hand(first: Patch, second: Patch, apart: Measure) -> None:
    assert gap(first, second, ROUND) == apart
    assert gap(second, first, ROUND) == apart


def test_ranges_open_where_the_doubt_straddles() -> None:
    near = gap(unit("2:00-2:12"), unit("3:00"), ROUND)
    assert near == between(110, 160, "mm")
    across_valve = gap(unit("11:45-12:15"), unit("12:00"), ROUND)
    assert across_valve == between(-75, "-27.5", "mm")
    tight = gap(unit("11:54", once=between(2990, 3010, "mm")), unit("12:30"), between(2990, 3010, "mm"))
    assert tight == between("59.5", "60.5", "mm")


def _shape(clock_deg: float, across: float, length: float, width: float, turn: float, once: float) -> shapely.Polygon:
    plain = shapely.box(-length / 2, -width / 2, length / 2, width / 2)
    return translate(rotate(plain, turn, origin=(0, 0)), clock_deg / 360 * once, across)


def _apart(first: shapely.Polygon, second: shapely.Polygon, once: float) -> tuple[float, float]:
    """Least distance over the pictures a turn on and back, and the area they share."""
    images = [translate(second, turn * once, 0) for turn in (-1, 0, 1)]
    return min(first.distance(image) for image in images), max(first.intersection(i).area for i in images)


@pytest.mark.parametrize("turning", [False, True])
def test_against_an_independent_library(turning: bool) -> None:
    draw = random.Random(20260314)
    overlaps = seams = 0
    for _ in range(1500):
        once = Fraction(draw.randint(15000, 35000), 10)
        rows = []
        for _ in range(2):
            near_seam = draw.random() < 0.4
            clock = Fraction(draw.randint(-300, 300) % 7200 if near_seam else draw.randint(0, 7199), 20)
            sizes = [Fraction(draw.randint(200, 2000), 10) for _ in range(2)]
            turn = Fraction(draw.randint(-1800, 1800), 10) if turning else Fraction(0)
            rows.append((clock, Fraction(draw.randint(-900, 900), 10), *sizes, turn))
        patches = [place_on_liner(deg(c), mm(a), mm(le), mm(w), exactly(once, "mm"), deg(t)) for c, a, le, w, t in rows]
        ours = gap(*patches, exactly(once, "mm"))
        distance, shared = _apart(*(_shape(*map(float, row), float(once)) for row in rows), float(once))
        assert ours.exact
        if distance > 0:
            assert float(ours.low) == pytest.approx(distance, abs=1e-6)
        elif shared > 1e-6:
            assert ours.low < 0
            overlaps += 1
        seams += abs(rows[0][0] - rows[1][0]) > 180
    assert overlaps > 50
    assert seams > 100


def test_the_depth_of_an_overlap_parts_the_two() -> None:
    """Moved by the depth along some direction the two touch; by less along none of many they come apart."""
    draw = random.Random(7)
    for _ in range(40):
        one, two = (rectangle(draw.uniform(40, 90), draw.uniform(40, 90), draw.uniform(0, 180)) for _ in range(2))
        x, y = draw.uniform(-30, 30), draw.uniform(-30, 30)
        depth = -rectangles_apart(one, two, x, y)
        if depth <= 0:
            continue
        here = shapely.Polygon(one.corners())
        there = translate(shapely.Polygon(two.corners()), x, y)
        ways = [(math.cos(math.radians(a / 2)), math.sin(math.radians(a / 2))) for a in range(720)]
        freed = [here.distance(translate(there, dx * depth * 1.001, dy * depth * 1.001)) for dx, dy in ways]
        held = [here.intersects(translate(there, dx * depth * 0.999, dy * depth * 0.999)) for dx, dy in ways]
        assert all(held)
        assert max(freed) > 0 or polygons_apart(one.corners(), [(px + x, py + y) for px, py in two.corners()]) < 0


degrees = st.integers(0, 719).map(lambda half: Fraction(half, 2))
placed = st.tuples(degrees, st.integers(-80, 80), st.integers(20, 200), st.integers(20, 150), st.integers(0, 179))


def _place(
    row: tuple[Fraction, int, int, int, int], doubt: Fraction = Fraction(0), by: Fraction = Fraction(0)
) -> Patch:
    clock = turned(Measure(row[0], row[0] + doubt, "deg"), by)
    across = between(row[1], row[1] + doubt, "mm")
    size = between(row[2], row[2] + doubt, "mm")
    return place_on_liner(clock, across, size, mm(row[3]), ROUND, deg(row[4]))


@given(placed, placed, st.integers(0, 719))
def test_turning_the_whole_tire_changes_nothing(
    first: tuple[Fraction, int, int, int, int], second: tuple[Fraction, int, int, int, int], by: int
) -> None:
    still = gap(_place(first), _place(second), ROUND)
    moved = gap(_place(first, by=Fraction(by, 2)), _place(second, by=Fraction(by, 2)), ROUND)
    assert abs(moved.low - still.low) <= Fraction(1, 10**8)


@settings(max_examples=60)
@given(placed, placed, st.integers(0, 20), st.fractions(0, 1, max_denominator=8))
def test_wider_doubt_holds_the_plain_figure(
    first: tuple[Fraction, int, int, int, int],
    second: tuple[Fraction, int, int, int, int],
    doubt: int,
    share: Fraction,
) -> None:
    wide = gap(_place(first, Fraction(doubt)), _place(second), ROUND)
    clock, across, length = (figure + doubt * share for figure in first[:3])
    point = place_on_liner(deg(clock), mm(across), mm(length), mm(first[3]), ROUND, deg(first[4]))
    plain = gap(point, _place(second), ROUND)
    assert wide.low - Fraction(1, 10**8) <= plain.low <= wide.high + Fraction(1, 10**8)


@settings(max_examples=60)
@given(placed, placed, st.integers(0, 60), st.fractions(0, 1, max_denominator=8))
def test_a_turn_in_doubt_holds_the_plain_figure(
    first: tuple[Fraction, int, int, int, int],
    second: tuple[Fraction, int, int, int, int],
    doubt: int,
    share: Fraction,
) -> None:
    args = (mm(first[1]), mm(first[2]), mm(first[3]), ROUND)
    wide = place_on_liner(deg(first[0]), *args, between(first[4], first[4] + doubt, "deg"))
    plain = place_on_liner(deg(first[0]), *args, deg(first[4] + doubt * share))
    held, one = gap(wide, _place(second), ROUND), gap(plain, _place(second), ROUND)
    assert held.low - Fraction(1, 10**8) <= one.low <= held.high + Fraction(1, 10**8)


def test_nearest_pairs_have_a_new_unit_in_them() -> None:
    new, old = [unit("2:00"), unit("4:00")], [unit("2:30"), unit("8:00"), unit("8:10")]
    pairs = nearest(new, old, ROUND)
    assert [(i, j) for i, j, _ in pairs][:2] == [(0, 2), (1, 2)]
    assert len(pairs) == 7
    assert [g.low for _, _, g in pairs] == sorted(g.low for _, _, g in pairs)
    assert all(g == gap([*new, *old][i], [*new, *old][j], ROUND) for i, j, g in pairs)


def test_a_patch_without_its_clock_counts_from_the_valve() -> None:
    first = Patch(mm(2990), mm(0), mm(90), mm(75))
    assert gap(first, Patch(mm(110), mm(0), mm(90), mm(75)), ROUND) == mm(30)
