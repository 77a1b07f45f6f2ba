"""The channel in its own plane: the casing cut along the slant, so that the angle is true whichever way it leans."""

from __future__ import annotations

import math

from advisor.tire.clock import clock_in_words
from advisor.tire.drawing import Label, Line, Name, Names, Picture, Span, Style, length_words, mm_ends
from advisor.tire.lean import Lean
from advisor.tire.path import channel_length, channel_run
from advisor.units import Measure, in_words


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
        Line(left, 0.0, right, 0.0),
        Line(left, deep, right, deep, "thick"),
        Line(left, 0.0, left, deep, "thin"),
        Line(0.0, 0.0, 0.0, deep, "dotted"),
        *(Line(top, 0.0, bottom, deep, style) for top, bottom in dict.fromkeys(ways)),
    ]
    near = 0.6 * least - half
    where = "along the tread, either way round" if not isinstance(lean, Measure) else f"towards {clock_in_words(lean)}"
    return Picture(
        "Cut along the channel",
        *(left, right, 0.0, deep),
        tuple(lines),
        named=(Name(0.0, 0.6 * deep, max(near, 0.0), 0.95 * deep, in_words(angle), left_first=True),),
        above=((Label(0.0, "outer end"),),),
        below=((Span(0.0, most, f"runs {length_words(run, names)}"),),),
        beside=((deep / 2, length_words(casing_thickness, names)),),
        notes=(
            f"Cut along the channel, {where}: it slants {in_words(angle)} from square, is {length_words(long, names)} "
            f"long, and its inner end lies {length_words(run, names)} to the side of the outer.",
        ),
        to_scale=True,
    )
