"""Plain geometry for drawings: closed lines, arcs, clipping, hatching, what two convex shapes have in common.

Corners go round the shape either way. Plain figures in any one unit.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

from advisor.drawings.scene import Stroke, Style

Point = tuple[float, float]


def box(corners: Iterable[Point], style: Style) -> list[Stroke]:
    """The closed line through the corners."""
    points = list(corners)
    return [Stroke(*here, *there, style) for here, there in zip(points, points[1:] + points[:1], strict=True)]


def chain(points: Iterable[Point], style: Style) -> list[Stroke]:
    """The open line through the points."""
    return [Stroke(*here, *there, style) for here, there in pairwise(points)]


def arc(x: float, y: float, radius: float, start_deg: float, end_deg: float, steps: int = 10) -> list[Point]:
    """Points on an arc about (x, y), from one bearing to another; 0 to the right, 90 down."""
    turns = [math.radians(start_deg + (end_deg - start_deg) * step / steps) for step in range(steps + 1)]
    return [(x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in turns]


def clipped(line: Stroke, left: float, right: float, top: float, bottom: float) -> Stroke | None:
    """The part of a line inside a frame, or None."""
    return within(line, [(left, top), (right, top), (right, bottom), (left, bottom)])


def within(line: Stroke, shape: Sequence[Point]) -> Stroke | None:
    """The part of a line inside a convex shape, or None."""
    way = 1 if _area(shape) > 0 else -1
    start, end = 0.0, 1.0
    dx, dy = line.x2 - line.x1, line.y2 - line.y1
    for (ax, ay), (bx, by) in zip(shape, [*shape[1:], shape[0]], strict=True):
        across = way * ((bx - ax) * dy - (by - ay) * dx)
        inside = way * ((bx - ax) * (line.y1 - ay) - (by - ay) * (line.x1 - ax))
        if across == 0:
            if inside < 0:
                return None
        elif across > 0:
            start = max(start, -inside / across)
        else:
            end = min(end, -inside / across)
    if start > end:
        return None
    return Stroke(line.x1 + start * dx, line.y1 + start * dy, line.x1 + end * dx, line.y1 + end * dy, line.style)


def in_common(first: Sequence[Point], second: Sequence[Point]) -> list[Point]:
    """The corners of what two convex shapes share; empty where they do not overlap."""
    shape = list(first)
    way = 1 if _area(second) > 0 else -1
    for (ax, ay), (bx, by) in zip(second, [*second[1:], second[0]], strict=True):
        sides = [way * ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) for x, y in shape]
        kept: list[Point] = []
        for place, here in enumerate(shape):
            side, before = sides[place], sides[place - 1]
            if (side > 0) != (before > 0) and side != before:
                share = before / (before - side)
                px, py = shape[place - 1]
                kept.append((px + (here[0] - px) * share, py + (here[1] - py) * share))
            if side > 0:
                kept.append(here)
        shape = kept
        if not shape:
            return []
    return shape if abs(_area(shape)) > 0 else []


def hatching(shape: Sequence[Point], step: float, rising: bool = True) -> Iterator[Stroke]:
    """Slanting lines a step apart that fill a convex shape; the same lines for every shape, so that fills join."""
    way = 1 if rising else -1
    marks = [x + way * y for x, y in shape]
    low, high = min(y for _, y in shape), max(y for _, y in shape)
    for place in range(math.ceil(min(marks) / step), math.floor(max(marks) / step) + 1):
        at = place * step
        part = within(Stroke(at - way * low, low, at - way * high, high), shape)
        if part is not None:
            yield part


def crossing(shape: Sequence[Point], y: float) -> Point | None:
    """From where to where a level line runs inside a convex shape, or None where it passes it by."""
    found = []
    for (ax, ay), (bx, by) in zip(shape, [*shape[1:], shape[0]], strict=True):
        if min(ay, by) <= y <= max(ay, by):
            found += [ax, bx] if ay == by else [ax + (bx - ax) * (y - ay) / (by - ay)]
    return (min(found), max(found)) if found else None


def _area(shape: Sequence[Point]) -> float:
    """Twice the area; its sign tells which way round the corners go."""
    sides = zip(shape, [*shape[1:], shape[0]], strict=True)
    return sum(ax * by - ay * bx for (ax, ay), (bx, by) in sides)
