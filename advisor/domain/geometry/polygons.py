"""Distance between flat convex shapes: signed, so that an overlap is below 0 by the depth of it.

The depth is the shortest move that parts the two. Rectangles are treated in closed form; other convex
shapes by their corners. Plain figures in one length unit. Source: the separating axis theorem for convex
polygons.
"""

from __future__ import annotations

import math
from typing import NamedTuple

_Point = tuple[float, float]
Polygon = list[_Point]


class Rectangle(NamedTuple):
    """A rectangle by half its sides, turned about its centre from the first axis towards the second."""

    half_length: float
    half_width: float
    cos: float
    sin: float

    def corners(self) -> Polygon:
        """The four corners, in order round the rectangle."""
        lx, ly = self.half_length * self.cos, self.half_length * self.sin
        wx, wy = -self.half_width * self.sin, self.half_width * self.cos
        return [(lx + wx, ly + wy), (wx - lx, wy - ly), (-lx - wx, -ly - wy), (lx - wx, ly - wy)]

    def inwards(self, x: float, y: float) -> _Point:
        """A point given along the outer axes, along the rectangle's own."""
        return x * self.cos + y * self.sin, y * self.cos - x * self.sin


def rectangle(length: float, width: float, turn_deg: float) -> Rectangle:
    """A rectangle by its sides and its turn about its centre.

    Parameters
    ----------
    length, width : in one unit; before it is turned, the length lies along the first axis
    turn_deg : degrees, from the first axis towards the second; quarter turns come out exact

    Returns
    -------
    the rectangle, its centre at (0, 0)

    Examples
    --------
    >>> rectangle(80, 50, 90).corners()
    [(-25.0, 40.0), (-25.0, -40.0), (25.0, -40.0), (25.0, 40.0)]
    """
    quarter = round(turn_deg / 90)
    rest = math.radians(turn_deg - 90 * quarter)
    cos, sin = math.cos(rest), math.sin(rest)
    for _ in range(quarter % 4):
        cos, sin = -sin, cos
    return Rectangle(length / 2, width / 2, cos, sin)


def rectangles_apart(first: Rectangle, second: Rectangle, x: float, y: float) -> float:
    """The signed distance of two rectangles.

    Parameters
    ----------
    first, second : rectangles in one unit
    x, y : from the first's centre to the second's

    Returns
    -------
    the shortest way from edge to edge; 0 where they touch, below 0 the shortest move that parts them

    References
    ----------
    Separating axis theorem for convex polygons.

    Examples
    --------
    >>> square = rectangle(80, 50, 0)
    >>> [rectangles_apart(square, square, x, y) for x, y in ((100, 0), (83, 54), (70, 0))]
    [20.0, 5.0, -10.0]
    """
    own_x, own_y = first.inwards(x, y)
    their_x, their_y = second.inwards(-x, -y)
    cos = first.cos * second.cos + first.sin * second.sin
    sin = first.cos * second.sin - first.sin * second.cos
    wide, thin = abs(cos), abs(sin)
    split = max(
        abs(own_x) - first.half_length - second.half_length * wide - second.half_width * thin,
        abs(own_y) - first.half_width - second.half_length * thin - second.half_width * wide,
        abs(their_x) - second.half_length - first.half_length * wide - first.half_width * thin,
        abs(their_y) - second.half_width - first.half_length * thin - first.half_width * wide,
    )
    if split <= 0:
        return split
    return min(
        _nearest_corner(first, second, own_x, own_y, cos, sin),
        _nearest_corner(second, first, their_x, their_y, cos, -sin),
    )


def polygons_apart(first: Polygon, second: Polygon) -> float:
    """The signed distance of two convex polygons.

    Parameters
    ----------
    first, second : corners in order, in one unit; each needs an area

    Returns
    -------
    as `rectangles_apart`

    References
    ----------
    Separating axis theorem for convex polygons.

    Examples
    --------
    >>> left = [(0.0, 0.0), (4.0, 0.0), (0.0, 3.0)]
    >>> [round(polygons_apart(left, [(x, 0.0), (9.0, 0.0), (9.0, 2.0), (x, 2.0)]), 9) for x in (7.0, 3.0)]
    [3.0, -0.6]
    """
    split = max(_split(first, second), _split(second, first))
    if split <= 0:
        return split
    return min(_corner_to_side(first, second), _corner_to_side(second, first))


def swept(shape: Polygon, x: tuple[float, float], y: tuple[float, float]) -> Polygon:
    """All that a convex shape covers while it is moved.

    Parameters
    ----------
    shape : corners of a convex polygon
    x, y : from and to, along each axis

    Returns
    -------
    the corners of the convex polygon that holds it, in order

    Examples
    --------
    >>> sorted(swept([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0)], (0.0, 2.0), (0.0, 0.0)))
    [(0.0, 0.0), (1.0, 1.0), (3.0, 0.0), (3.0, 1.0)]
    """
    return _around([(px + dx, py + dy) for px, py in shape for dx in x for dy in y])


def _nearest_corner(box: Rectangle, other: Rectangle, x: float, y: float, cos: float, sin: float) -> float:
    """How far the other's nearest corner lies from the box; its centre and turn are given along the box's own axes."""
    wide, high = box.half_length, box.half_width
    ax, ay = other.half_length * cos, other.half_length * sin
    bx, by = -other.half_width * sin, other.half_width * cos
    nearest = math.inf
    for px, py in ((ax + bx, ay + by), (ax - bx, ay - by), (bx - ax, by - ay), (-ax - bx, -ay - by)):
        dx, dy = abs(x + px) - wide, abs(y + py) - high
        away = (dx * dx if dx > 0 else 0.0) + (dy * dy if dy > 0 else 0.0)
        if away < nearest:
            nearest = away
    return math.sqrt(nearest)


def _sides(shape: Polygon) -> list[tuple[_Point, _Point]]:
    return list(zip(shape, shape[1:] + shape[:1], strict=True))


def _split(first: Polygon, second: Polygon) -> float:
    best = -math.inf
    for (ax, ay), (bx, by) in _sides(first):
        length = math.hypot(bx - ax, by - ay)
        if not length:
            continue
        nx, ny = (by - ay) / length, (ax - bx) / length
        here = [px * nx + py * ny for px, py in first]
        there = [px * nx + py * ny for px, py in second]
        best = max(best, min(there) - max(here), min(here) - max(there))
    return best


def _corner_to_side(corners: Polygon, shape: Polygon) -> float:
    return min(_to_side(corner, start, end) for corner in corners for start, end in _sides(shape))


def _to_side(point: _Point, start: _Point, end: _Point) -> float:
    dx, dy = end[0] - start[0], end[1] - start[1]
    square = dx * dx + dy * dy
    along = ((point[0] - start[0]) * dx + (point[1] - start[1]) * dy) / square if square else 0.0
    along = min(max(along, 0.0), 1.0)
    return math.hypot(point[0] - start[0] - along * dx, point[1] - start[1] - along * dy)


def _around(points: list[_Point]) -> Polygon:
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return ordered
    return _half(ordered) + _half(ordered[::-1])


def _half(ordered: list[_Point]) -> Polygon:
    chain: Polygon = []
    for px, py in ordered:
        while len(chain) > 1:
            (ax, ay), (bx, by) = chain[-2], chain[-1]
            if (bx - ax) * (py - ay) - (by - ay) * (px - ax) > 0:
                break
            chain.pop()
        chain.append((px, py))
    return chain[:-1]
