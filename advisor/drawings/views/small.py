"""Small sketches without scale beside a question: which zone, how deep, how wide, how slanted, where to look."""

from __future__ import annotations

from itertools import pairwise

from advisor.domain.geometry.zones import ORDER
from advisor.drawings.scene import Label, Name, Picture, SceneSpan, Stroke, Style

#: Half of a tire cut across, from the middle of the tread to the bead; the other half is its mirror.
_OUTSIDE = ((50.0, 2.0), (72.0, 3.0), (84.0, 7.0), (92.0, 15.0), (95.0, 25.0), (92.0, 35.0), (86.0, 44.0))
_INSIDE = ((50.0, 9.0), (70.0, 10.0), (79.0, 13.0), (85.0, 19.0), (88.0, 26.0), (86.0, 33.0), (80.0, 41.0))
_WIDE, _TALL = 100.0, 46.0


def _half(points: tuple[tuple[float, float], ...], style: Style) -> list[Stroke]:
    return [Stroke(*here, *there, style) for here, there in pairwise(points)]


def _both(strokes: list[Stroke]) -> list[Stroke]:
    mirrored = [Stroke(_WIDE - each.x1, each.y1, _WIDE - each.x2, each.y2, each.style) for each in strokes]
    return [*strokes, *mirrored]


def _section(*cuts: int) -> tuple[Stroke, ...]:
    """The tire cut across, with a line where one zone ends and the next begins."""
    lines = [*_half(_OUTSIDE, "thick"), *_half(_INSIDE, "solid"), Stroke(*_OUTSIDE[-1], *_INSIDE[-1], "thick")]
    lines += [Stroke(*_OUTSIDE[place], *_INSIDE[place]) for place in cuts]
    return tuple(_both(lines))


def _named(text: str, x: float, y: float) -> Name:
    half = len(text) * 1.6
    return Name(x - half, y - 2.5, x + half, y + 2.5, text)


def zone_sketch() -> Picture:
    """Crown, shoulder, sidewall and bead in the tire cut across."""
    places = zip(ORDER, ((50, 14), (36, 21), (33, 28), (33, 40)), strict=True)
    names = tuple(_named(zone, x, y) for zone, (x, y) in places)
    return Picture("", 0.0, _WIDE, 0.0, _TALL, _section(1, 3, 5), named=names, to_scale=True)


def look_sketch() -> Picture:
    """Where an inspection looks: tread, sidewall, bead, and the liner inside."""
    names = (
        _named("tread", 50, 14),
        _named("liner inside", 52, 24),
        _named(ORDER[2], 33, 33),
        _named(ORDER[3], 33, 41),
    )
    return Picture("", 0.0, _WIDE, 0.0, _TALL, _section(1, 5), named=names, to_scale=True)


def depth_sketch() -> Picture:
    """How deep: in the rubber only, to the cord, or through to the inside."""
    cord, floor = 16.0, 30.0
    lines = [
        Stroke(0.0, 0.0, _WIDE, 0.0),
        Stroke(0.0, cord, _WIDE, cord, "dashed"),
        Stroke(0.0, cord + 4, _WIDE, cord + 4, "dashed"),
        Stroke(0.0, floor, _WIDE, floor, "thick"),
        *_cut(16.0, 9.0),
        *_cut(50.0, cord + 2),
        *_cut(84.0, floor),
    ]
    return Picture(
        "",
        *(0.0, _WIDE, -1.0, floor + 1),
        tuple(lines),
        above=((Label(16.0, "rubber only"), Label(50.0, "to the cord"), Label(84.0, "through")),),
        below=((Label(2.0, "dashed: cord; thick: liner", "start"),),),
        to_scale=True,
    )


def _cut(x: float, deep: float) -> list[Stroke]:
    return [Stroke(x - 3, 0.0, x, deep, "thick"), Stroke(x + 3, 0.0, x, deep, "thick")]


def size_sketch() -> Picture:
    """Width across the tire and length round it, where the rubber is sound again."""
    left, right, top, bottom = 30.0, 62.0, 6.0, 26.0
    points = (
        (left, 16.0),
        (36.0, 9.0),
        (46.0, top),
        (56.0, 9.0),
        (right, 16.0),
        (56.0, 23.0),
        (46.0, bottom),
        (36.0, 23.0),
    )
    hole = [Stroke(*here, *there, "thick") for here, there in pairwise((*points, points[0]))]
    ruler = [Stroke(72.0, top, 72.0, bottom), Stroke(69.0, top, 75.0, top), Stroke(69.0, bottom, 75.0, bottom)]
    return Picture(
        "",
        *(0.0, _WIDE, 2.0, 30.0),
        (*hole, *ruler),
        named=(_named("length", 86, 16),),
        above=((SceneSpan(left, right, "width"),),),
        below=((Label(46.0, "to sound rubber, across and along"),),),
        to_scale=True,
    )


def angle_sketch() -> Picture:
    """How far the path leans from square to the tread."""
    deep = 26.0
    lines = (
        Stroke(0.0, 0.0, _WIDE, 0.0),
        Stroke(0.0, deep, _WIDE, deep, "thick"),
        Stroke(44.0, -6.0, 44.0, deep, "dotted"),
        Stroke(40.0, -6.0, 60.0, deep, "thick"),
    )
    return Picture(
        "",
        *(0.0, _WIDE, -6.0, deep + 1),
        lines,
        named=(_named("angle", 72, 18),),
        above=((Label(44.0, "straight in is 0"),),),
        below=((Label(50.0, "inside of the tire"),),),
        to_scale=True,
    )
