"""The tire's cross-section at the injury: the channel at its true angle, both ends, the zones, and what was measured.

The half of the tread with the injury is drawn, from the center line out; more where an end lies past it. The tread is
flat, as the arithmetic takes it; what lies beyond its edge is laid flat too. Seen along the tread, serial side on the
right.

The channel in its own plane: the casing cut along the slant, so that the angle is true whichever way it leans.
"""

from __future__ import annotations

import math

from msgspec import Struct

from advisor.domain.clock import clock_in_words
from advisor.domain.geometry.injury_channel import Direction, Lean, channel_length, channel_run, inner_offset, zones_at
from advisor.domain.intervals import Figures, in_family, not_below_zero, size_of
from advisor.drawings.outlines import arc, chain
from advisor.drawings.scene import (
    Fill,
    Label,
    Name,
    Names,
    Picture,
    SceneSpan,
    Stroke,
    Style,
    length_words,
    mm_ends,
    offset_words,
    zone_words,
)
from advisor.drawings.views.liner import zone_names
from advisor.model.quantity import Measure, in_words


def channel_picture(
    casing_thickness: Measure, angle: Measure, lean: Lean | Measure, names: Names = "mm", size: Measure | None = None
) -> Picture:
    """The casing cut along the channel, outer end on top; `lean` says which way the cut runs.

    Raises Misread for a negative casing, or an angle outside 0 to below 90 degrees.
    """
    run, long = channel_run(casing_thickness, angle), channel_length(casing_thickness, angle)
    deep, (least, most) = mm_ends(casing_thickness)[1], mm_ends(run)
    half = mm_ends(size)[1] / 2 / math.cos(math.radians(angle.high)) if size and run.exact else 0.0
    left, right = -1.2 * deep - half, max(most + half, deep) + 1.2 * deep
    ways = [(-half, -half + least), (half, half + most)] if half else [(0.0, least), (0.0, most)]
    style: Style = "thick" if run.exact else "dashed"
    lines = [
        Stroke(left, 0.0, right, 0.0),
        Stroke(left, deep, right, deep, "thick"),
        Stroke(left, 0.0, left, deep, "thin"),
        Stroke(0.0, 0.0, 0.0, deep, "dotted"),
        *(Stroke(top, 0.0, bottom, deep, style) for top, bottom in dict.fromkeys(ways)),
    ]
    near = 0.6 * least - half
    where = "along the tread, either way round" if not isinstance(lean, Measure) else f"towards {clock_in_words(lean)}"
    return Picture(
        "Cut along the channel",
        *(left, right, 0.0, deep),
        tuple(lines),
        named=(Name(0.0, 0.6 * deep, max(near, 0.0), 0.95 * deep, in_words(angle), left_first=True),),
        above=((Label(0.0, "outer end"),),),
        below=((SceneSpan(0.0, most, f"runs {length_words(run, names)}"),),),
        beside=((deep / 2, length_words(casing_thickness, names)),),
        notes=(
            f"Cut along the channel, {where}: it slants {in_words(angle)} from square, is {length_words(long, names)} "
            f"long, and its inner end lies {length_words(run, names)} to the side of the outer.",
        ),
        to_scale=True,
    )


#: How far the drawing goes past the farthest end, and past the center line, as a share of half the tread.
_BEYOND, _PAST_MIDDLE = 0.18, 0.1
#: How wide the room between square and channel has to be for the angle to stand in it, as a share of the casing.
_WIDE_ENOUGH = 0.3
_LEANS: dict[str | None, str] = {
    "toward-shoulder": "towards the shoulder",
    "toward-centre": "towards the center line",
    "along-tread": "along the tread, so it is drawn straight in",
    None: "in a direction not known, so both ways are drawn",
}


class _Shape(Struct, frozen=True):
    """What is drawn, in mm: half the tread, where the crown ends, the casing, both ends, and the sheet's edges."""

    half: float
    edge: float | None
    deep: float
    outer: tuple[float, float]
    inner: tuple[float, float]
    left: float
    right: float

    @property
    def flat(self) -> bool:
        """Whether an end lies beyond the tread's edge."""
        return max(abs(end) for end in (*self.outer, *self.inner)) > self.half


def section_picture(
    tread_width: Measure,
    casing_thickness: Measure,
    offset: Measure,
    angle: Measure,
    lean: Direction,
    crown_margin: Figures | None,
    names: Names = "mm",
    size: Measure | None = None,
    by_area: bool = False,
) -> Picture:
    """The cross-section as a picture; `size` is the injury's width, for the channel's walls.

    Without a `crown_margin` the crown's edges are not drawn and no zone is named. `by_area`: the margin bounds a
    repair area, and whether the injury lies in it is for the rule set to say, as its size counts too.

    Raises Misread for a tread width or casing of 0 or less, or an angle outside 0 to below 90 degrees.
    """
    not_below_zero("casing thickness", casing_thickness, zero_too=False)
    inner = inner_offset(offset, angle, casing_thickness, lean)
    half = mm_ends(not_below_zero("tread width", tread_width, zero_too=False))[1] / 2
    edge = half - mm_ends(in_family(crown_margin, offset))[1] if crown_margin else None
    outer_mm, inner_mm, deep = mm_ends(offset), mm_ends(inner), mm_ends(casing_thickness)[1]
    shape = _Shape(half, edge, deep, outer_mm, inner_mm, *_window(half, deep, outer_mm, inner_mm))
    zoned = None if by_area else crown_margin
    notes = _notes(tread_width, casing_thickness, offset, angle, lean, zoned, names, inner)
    if shape.flat:
        notes.append("What lies beyond the tread's edge is drawn laid flat.")
    thick = length_words(casing_thickness, names)
    turned = size_of(angle).high != 0 and lean != "along-tread" and not isinstance(lean, Measure)
    channel = _channel(shape, angle, size)
    return Picture(
        "Cross-section at the injury",
        *(shape.left, shape.right, 0.0, deep),
        (*_casing(shape), *_middle(shape), *(_square(shape) if turned else ()), *channel),
        fills=tuple(_shoulders(shape)),
        named=_angle(shape, angle, channel) if turned else (),
        above=(_zones(shape, by_area), (_dimension(shape.outer, "outer end", offset, names),)),
        below=((_dimension(shape.inner, "inner end", inner, names),), _sides(shape)),
        beside=((deep / 2, thick),),
        notes=tuple(notes),
        to_scale=True,
    )


def _window(half: float, deep: float, outer: tuple[float, float], inner: tuple[float, float]) -> tuple[float, float]:
    """The sheet's left and right edge: from past the center line to past the tread's edge, on the injury's side."""
    if outer[0] + outer[1] == 0:
        far = max(half + 1.25 * deep, *(abs(end) + _BEYOND * half for end in (*outer, *inner)))
        return -far, far
    side = -1 if outer[0] + outer[1] < 0 else 1
    ends = [side * end for end in (*outer, *inner)]
    far = max(half + 1.25 * deep, max(ends) + _BEYOND * half)
    near = min(0.0, *ends) - _PAST_MIDDLE * half
    if near < -half / 2:
        near = -far if min(ends) >= -half else min(ends) - _BEYOND * half
    return (near, far) if side > 0 else (-far, -near)


def _casing(shape: _Shape) -> list[Stroke]:
    """Tread and liner, with the tread's edges as far as they are on the sheet."""
    lines: list[Stroke] = []
    left, right = max(shape.left, -shape.half), min(shape.right, shape.half)
    for y in (0.0, shape.deep):
        lines.append(Stroke(left, y, right, y, "thick" if y else "solid"))
        if shape.flat:
            lines += [Stroke(shape.left, y, left, y, "dotted"), Stroke(right, y, shape.right, y, "dotted")]
    for side in (-1, 1):
        if shape.left < side * shape.half < shape.right:
            lines += _tread_edge(shape, side)
        if shape.edge is not None and shape.edge > 0 and shape.left < side * shape.edge < shape.right:
            lines.append(Stroke(side * shape.edge, 0.0, side * shape.edge, shape.deep, "dashed"))
    return lines


def _tread_edge(shape: _Shape, side: int) -> list[Stroke]:
    """The tread's edge, and the shoulder's round down to the sidewall; a straight one where all is laid flat."""
    at = side * shape.half
    upright = Stroke(at, 0.0, at, shape.deep, "solid" if shape.flat else "thin")
    if shape.flat:
        return [upright]
    end = at + side * shape.deep
    round_down = arc(at, shape.deep, shape.deep, -90, 0 if side > 0 else -180)
    return [upright, *chain(round_down, "solid"), Stroke(at, shape.deep, end, shape.deep, "dotted")]


def _middle(shape: _Shape) -> list[Stroke]:
    """The center line; and how thick the casing is, at the sheet's left edge."""
    dimension = [Stroke(shape.left, 0.0, shape.left, shape.deep, "thin")]
    return [Stroke(0.0, 0.0, 0.0, shape.deep, "dotted"), *dimension]


def _shoulders(shape: _Shape) -> list[Fill]:
    if shape.edge is None:
        return []
    inside = max(shape.edge, 0.0)
    fills = []
    for side in (-1, 1):
        left, right = sorted((side * inside, side * shape.half))
        left, right = max(left, shape.left), min(right, shape.right)
        if left < right:
            fills.append(Fill(((left, 0.0), (right, 0.0), (right, shape.deep), (left, shape.deep))))
    return fills


def _square(shape: _Shape) -> list[Stroke]:
    """Square to the tread at the outer end, from where the angle counts."""
    middle = sum(shape.outer) / 2
    return [Stroke(middle, 0.0, middle, shape.deep, "dotted")]


def _channel(shape: _Shape, angle: Measure, size: Measure | None) -> list[Stroke]:
    """The channel, or where an end is in doubt its two outermost courses."""
    doubt = shape.outer[0] != shape.outer[1] or shape.inner[0] != shape.inner[1]
    if doubt or size is None:
        courses = list(dict.fromkeys(zip(shape.outer, shape.inner, strict=True)))
        return [Stroke(top, 0.0, bottom, shape.deep, "dashed" if doubt else "thick") for top, bottom in courses]
    half = mm_ends(size)[1] / 2 / math.cos(math.radians(angle.high))
    return [Stroke(shape.outer[0] + way, 0.0, shape.inner[0] + way, shape.deep, "thick") for way in (-half, half)]


def _angle(shape: _Shape, angle: Measure, channel: list[Stroke]) -> tuple[Name, ...]:
    """The angle, near the liner: between the square and the channel where that is wide enough, else beside both."""
    square, at, low = sum(shape.outer) / 2, 0.6, 0.95
    leans = 1 if sum(shape.inner) >= sum(shape.outer) else -1
    walls = [line.x1 + (line.x2 - line.x1) * at for line in channel]
    between = min(leans * (wall - square) for wall in walls)
    if between > _WIDE_ENOUGH * shape.deep:
        left, right = sorted((square, square + leans * between))
        return (Name(left, at * shape.deep, right, low * shape.deep, in_words(angle), left_first=leans > 0),)
    y = low * shape.deep - (low - at) * shape.deep / 2
    return (Name(min(*walls, square), y, max(*walls, square), y, in_words(angle), left_first=leans > 0),)


def _zones(shape: _Shape, by_area: bool) -> tuple[Label | SceneSpan, ...]:
    if shape.edge is None:
        return ()
    inside = max(shape.edge, 0.0)
    crown, shoulder = zone_names(by_area)
    bands = [(crown, -inside, inside)] if inside else []
    for side in (-1, 1):
        beyond = shape.right if side > 0 else -shape.left
        bands += [(shoulder, side * inside, side * shape.half), ("sidewall", side * shape.half, side * beyond)]
    spans = []
    for name, start, end in bands:
        left, right = max(min(start, end), shape.left), min(max(start, end), shape.right)
        if right - left > 0.3 * shape.deep and right > left:
            spans.append(SceneSpan(left, right, name, band=True))
    return tuple(sorted(spans, key=lambda span: span.x1))


def _dimension(ends: tuple[float, float], name: str, offset: Measure, names: Names) -> Label | SceneSpan:
    """From the center line to an end; the farther one where it is in doubt."""
    if ends == (0.0, 0.0):
        return Label(0.0, f"{name} on the center line")
    low, high = ends
    start, far = (0.0, max(ends, key=abs)) if low >= 0 or high <= 0 else (low, high)
    return SceneSpan(start, far, f"{name} {length_words(size_of(offset), names)}")


def _sides(shape: _Shape) -> tuple[Label, ...]:
    labels = [Label(0.0, "center line")]
    if shape.left <= -shape.half:
        labels.append(Label(shape.left, "other side", "start"))
    if shape.right >= shape.half:
        labels.append(Label(shape.right, "serial side", "end"))
    return tuple(labels)


def _notes(
    tread_width: Measure,
    casing_thickness: Measure,
    offset: Measure,
    angle: Measure,
    lean: Direction,
    crown_margin: Figures | None,
    names: Names,
    inner: Measure,
) -> list[str]:
    wide, thick = length_words(tread_width, names), length_words(casing_thickness, names)
    long = length_words(channel_length(casing_thickness, angle), names)
    slant = "runs straight in" if size_of(angle).high == 0 else f"slants {in_words(angle)} {_towards(lean)}"
    outer_zone, inner_zone = (_zone_of(end, tread_width, crown_margin) for end in (offset, inner))
    return [
        f"Cross-section, serial side on the right: tread {wide} wide, casing {thick} thick.",
        f"Outer end {offset_words(offset, names)}{outer_zone}.",
        f"The channel {slant}; it is {long} long.",
        f"Inner end {offset_words(inner, names)}{inner_zone}.",
    ]


def _towards(lean: Direction) -> str:
    if isinstance(lean, Measure):
        return f"towards {clock_in_words(lean)} (12:00 is the serial side), drawn as it shows across the tread"
    return _LEANS[lean]


def _zone_of(end: Measure, tread_width: Measure, crown_margin: Figures | None) -> str:
    return f": {zone_words(zones_at(end, tread_width, crown_margin))}" if crown_margin else ""
