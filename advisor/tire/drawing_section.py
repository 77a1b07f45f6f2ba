"""The tire's cross-section at the injury: the channel at its true angle, both ends, and the zones.

The tread is drawn flat, as the arithmetic takes it; what lies beyond its edge is laid flat too.
Seen along the tread, serial side on the right.
"""

from __future__ import annotations

import math

from advisor.tire.clock import clock_in_words
from advisor.tire.drawing import Label, Line, Names, Picture, length_words, mm_ends, offset_words, zone_words
from advisor.tire.lean import Direction
from advisor.tire.path import channel_length, inner_offset, zones_at
from advisor.tire.spans import Figures, in_family, not_below_zero, size_of
from advisor.units import Measure, in_words

_BEYOND = 1.15
_LEANS: dict[str | None, str] = {
    "toward-shoulder": "towards the shoulder",
    "toward-centre": "towards the center line",
    "along-tread": "along the tread, so it is drawn straight in",
    None: "in a direction not known, so both ways are drawn",
}


def section_picture(
    tread_width: Measure,
    casing_thickness: Measure,
    offset: Measure,
    angle: Measure,
    lean: Direction,
    crown_margin: Figures | None,
    names: Names = "mm",
    size: Measure | None = None,
) -> Picture:
    """The cross-section as a picture; `size` is the injury's width, for the channel's walls.

    Without a `crown_margin` the crown's edges are not drawn and no zone is named.

    Raises Misread for a tread width or casing of 0 or less, or an angle outside 0 to below 90 degrees.
    """
    not_below_zero("casing thickness", casing_thickness, zero_too=False)
    inner = inner_offset(offset, angle, casing_thickness, lean)
    half, deep = mm_ends(tread_width)[1] / 2, mm_ends(casing_thickness)[1]
    edge = half - mm_ends(in_family(crown_margin, offset))[1] if crown_margin else 0.0
    outer_mm, inner_mm = mm_ends(offset), mm_ends(inner)
    reach = _BEYOND * max(half, *(abs(end) for end in (*outer_mm, *inner_mm)))
    lines = [*_casing(half, edge, deep, reach), *_channel(outer_mm, inner_mm, deep, angle, size)]
    notes = _notes(tread_width, casing_thickness, offset, angle, lean, crown_margin, names, inner)
    if max(abs(end) for end in (*outer_mm, *inner_mm)) > half:
        notes.append("What lies beyond the tread's edge is drawn laid flat.")
    return Picture(
        "Cross-section at the injury",
        *(-reach, reach, 0.0, deep),
        tuple(lines),
        above=(_zone_names(half, edge, reach) if crown_margin else (), _ends("v", "outer end", outer_mm)),
        below=(_ends("^", "inner end", inner_mm), _sides(reach)),
        notes=tuple(notes),
        to_scale=True,
    )


def _casing(half: float, edge: float, deep: float, reach: float) -> list[Line]:
    lines = []
    for y in (0.0, deep):
        lines.append(Line(-half, y, half, y))
        lines += [Line(-reach, y, -half, y, "dotted"), Line(half, y, reach, y, "dotted")]
    for side in (-1, 1):
        lines.append(Line(side * half, 0.0, side * half, deep))
        if edge > 0:
            lines.append(Line(side * edge, 0.0, side * edge, deep, "dashed"))
    return lines


def _channel(
    outer: tuple[float, float], inner: tuple[float, float], deep: float, angle: Measure, size: Measure | None
) -> list[Line]:
    """The channel, or where an end is in doubt its two outermost courses."""
    doubt = outer[0] != outer[1] or inner[0] != inner[1]
    if doubt or size is None:
        courses = list(dict.fromkeys(zip(outer, inner, strict=True)))
        return [Line(top, 0.0, bottom, deep, "dashed" if doubt else "thick") for top, bottom in courses]
    half = mm_ends(size)[1] / 2 / math.cos(math.radians(angle.high))
    return [Line(outer[0] + way, 0.0, inner[0] + way, deep) for way in (-half, half)]


def _zone_names(half: float, edge: float, reach: float) -> tuple[Label, ...]:
    bands = [("crown", -edge, edge)] if edge > 0 else []
    inside = max(edge, 0.0)
    for side in (-1, 1):
        bands += [("shoulder", side * inside, side * half), ("sidewall", side * half, side * reach)]
    return tuple(Label((start + end) / 2, name, room=abs(end - start)) for name, start, end in bands)


def _ends(mark: str, name: str, ends: tuple[float, float]) -> tuple[Label, ...]:
    low, high = ends
    words = f"{mark} {name}" if high <= 0 else f"{name} {mark}"
    at, other = (high, low) if high <= 0 else (low, high)
    label = Label(at, words, "start" if high <= 0 else "end")
    return (label,) if low == high else (label, Label(other, mark))


def _sides(reach: float) -> tuple[Label, ...]:
    return (
        Label(-reach, "other side", "start"),
        Label(0.0, "center line"),
        Label(reach, "serial side", "end"),
    )


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
