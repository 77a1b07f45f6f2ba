"""The geometry under the drawings against an independent library, and names that cover nothing."""

from __future__ import annotations

import math
import random

import pytest
import shapely
from shapely.affinity import rotate, translate

from advisor.domain.geometry.liner_layout import circumference, gap, place_on_liner
from advisor.drawings.labels import Box, Named, placed
from advisor.drawings.outlines import arc, crossing, hatching, in_common, within
from advisor.drawings.scene import Stroke
from advisor.drawings.views.liner import PlaceMark, near_picture
from advisor.model.quantity import exactly

Corners = list[tuple[float, float]]


def turned_box(draw: random.Random) -> Corners:
    plain = shapely.box(-draw.uniform(5, 60), -draw.uniform(5, 60), draw.uniform(5, 60), draw.uniform(5, 60))
    shape = translate(rotate(plain, draw.uniform(0, 180)), draw.uniform(-50, 50), draw.uniform(-50, 50))
    corners = list(shape.exterior.coords)[:-1]
    return corners if draw.random() < 0.5 else corners[::-1]


def test_what_two_boxes_share() -> None:
    draw = random.Random(20260314)
    met = 0
    for _ in range(2000):
        first, second = turned_box(draw), turned_box(draw)
        theirs = shapely.Polygon(first).intersection(shapely.Polygon(second)).area
        ours = in_common(first, second)
        assert (shapely.Polygon(ours).area if len(ours) > 2 else 0.0) == pytest.approx(theirs, abs=1e-6)
        met += theirs > 0
    assert met > 500


def test_the_part_of_a_line_inside_a_box() -> None:
    draw = random.Random(7)
    for _ in range(1500):
        shape = turned_box(draw)
        x1, y1, x2, y2 = (draw.uniform(-120, 120) for _ in range(4))
        theirs = shapely.LineString([(x1, y1), (x2, y2)]).intersection(shapely.Polygon(shape)).length
        part = within(Stroke(x1, y1, x2, y2), shape)
        assert (math.hypot(part.x2 - part.x1, part.y2 - part.y1) if part else 0.0) == pytest.approx(theirs, abs=1e-6)


@pytest.mark.parametrize("rising", [True, False])
def test_hatching_stays_inside_and_fills(rising: bool) -> None:
    shape = turned_box(random.Random(3))
    area = shapely.Polygon(shape)
    lines = list(hatching(shape, 2.0, rising))
    assert all(
        area.buffer(1e-6).covers(shapely.LineString([line[:2], line[2:]]))
        for line in ((each.x1, each.y1, each.x2, each.y2) for each in lines)
    )
    length = sum(math.hypot(line.x2 - line.x1, line.y2 - line.y1) for line in lines)
    assert length * 2.0 / math.sqrt(2) == pytest.approx(area.area, rel=0.05)


def test_a_level_line_through_a_box() -> None:
    draw = random.Random(13)
    for _ in range(1000):
        shape, y = turned_box(draw), draw.uniform(-100, 100)
        theirs = shapely.LineString([(-500, y), (500, y)]).intersection(shapely.Polygon(shape))
        ours = crossing(shape, y)
        assert (ours[1] - ours[0] if ours else 0.0) == pytest.approx(theirs.length, abs=1e-6)


def test_an_arc_keeps_its_radius() -> None:
    points = arc(10, 20, 5, -90, 0)
    assert points[0] == pytest.approx((10, 15)) and points[-1] == pytest.approx((15, 20))
    assert all(math.hypot(x - 10, y - 20) == pytest.approx(5) for x, y in points)


def meet(first: Box, second: Box) -> bool:
    return first[0] < second[2] and second[0] < first[2] and first[1] < second[3] and second[1] < first[3]


def test_names_cover_no_mark_and_no_other_name() -> None:
    draw = random.Random(11)
    for _ in range(300):
        things, marks = [], []
        for number in range(draw.randint(1, 6)):
            x, y = draw.uniform(40, 860), draw.uniform(30, 270)
            wide, high = draw.uniform(15, 40), draw.uniform(40, 90)
            things.append(Named((x, y, x + wide, y + high), 7.4 * len(f"R{number}") + 4, 15))
            marks.append((x + wide / 2 - 6, y + high / 2 - 6, x + wide / 2 + 6, y + high / 2 + 6))
        boxes = placed(things, marks, (0, 0, 960, 360), 3)
        assert all(box[0] >= 0 and box[2] <= 960 and box[1] >= 0 and box[3] <= 360 for box in boxes)
        assert not any(meet(box, mark) for box in boxes for mark in marks)
        assert not any(meet(boxes[i], boxes[j]) for i in range(len(boxes)) for j in range(i))


def test_a_name_with_no_room_at_all_stays_on_the_sheet() -> None:
    (box,) = placed([Named((0, 0, 100, 20), 30, 10)], [(0, 0, 100, 20)], (0, 0, 100, 20), 3)
    assert box[0] >= 0 and box[2] <= 100 and box[1] >= 0 and box[3] <= 20


def test_the_close_up_shows_the_distance_that_was_worked_out() -> None:
    """The thin line between two units apart is as long as their gap; overlapping ones have none, but a filling."""
    once = circumference(exactly(958, "mm"))
    draw = random.Random(5)
    seen = {True: 0, False: 0}
    for _ in range(200):
        marks = []
        for name in "AB":
            clock, offset = exactly(draw.randint(-12, 12) % 360, "deg"), exactly(draw.randint(-60, 60), "mm")
            sizes = exactly(draw.randint(30, 90), "mm"), exactly(draw.randint(30, 90), "mm")
            turn = exactly(draw.randint(0, 179), "deg")
            marks.append(PlaceMark(name, "injury", clock, offset, place_on_liner(clock, offset, *sizes, once, turn)))
        first, second = marks
        assert first.patch and second.patch
        apart = float(gap(first.patch, second.patch, once).low)
        picture = near_picture(first, second, once, "near")
        links = [math.hypot(line.x2 - line.x1, line.y2 - line.y1) for line in picture.lines if line.style == "thin"]
        crossed = [fill for fill in picture.fills if fill.crossed]
        assert (len(links), len(crossed)) == ((1, 0) if apart > 0 else (0, 1))
        if apart > 0:
            assert links[0] == pytest.approx(apart, abs=1e-6)
        seen[apart > 0] += 1
    assert min(seen.values()) > 20
