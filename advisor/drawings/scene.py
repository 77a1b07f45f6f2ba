"""One picture, to be drawn in a terminal or as SVG: lines and words at places in mm, and sentences for it.

Nothing here knows a screen. x runs to the right, y down. A line's style tells things apart, never a colour.
"""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

from msgspec import Struct

from advisor.domain.geometry.zones import ORDER, Zones
from advisor.domain.intervals import size_of
from advisor.model.quantity import Measure, in_words

Style = Literal["solid", "thick", "thin", "dashed", "dotted"]
Anchor = Literal["start", "middle", "end"]
Names = Literal["mm", "in"]


class Stroke(Struct, frozen=True):
    """A straight line from (x1, y1) to (x2, y2), in mm."""

    x1: float
    y1: float
    x2: float
    y2: float
    style: Style = "solid"


class Label(Struct, frozen=True):
    """Words over or under the picture at x mm; left out where `room` mm are given and do not hold them."""

    x: float
    text: str
    anchor: Anchor = "middle"
    room: float | None = None


class SceneSpan(Struct, frozen=True):
    """A dimension over or under the picture: from x1 to x2 mm, with what it measures.

    Where there is no room between, the words stand beside it; those of a band are left out.
    """

    x1: float
    x2: float
    text: str
    band: bool = False


class Fill(Struct, frozen=True):
    """A convex shape to be hatched, or crossed twice; corners in mm, in order round it."""

    corners: tuple[tuple[float, float], ...]
    crossed: bool = False


class Spot(Struct, frozen=True):
    """A small mark at a place in the picture, in mm: `x` an outer end, `o` an inner end."""

    x: float
    y: float
    mark: Literal["x", "o"]


class Name(Struct, frozen=True):
    """A name for what stands between `left` and `right`, `top` and `bottom` mm; the face finds a free place for it.

    Inside where there is room, else beside it, on the left first where `left_first`.
    """

    left: float
    top: float
    right: float
    bottom: float
    text: str
    left_first: bool = False


class Picture(Struct, frozen=True):
    """What is drawn. `to_scale`: one scale for both directions, so that angles are true."""

    title: str
    left: float
    right: float
    top: float
    bottom: float
    lines: tuple[Stroke, ...]
    fills: tuple[Fill, ...] = ()
    spots: tuple[Spot, ...] = ()
    named: tuple[Name, ...] = ()
    above: tuple[tuple[Label | SceneSpan, ...], ...] = ()
    below: tuple[tuple[Label | SceneSpan, ...], ...] = ()
    beside: tuple[tuple[float, str], ...] = ()
    notes: tuple[str, ...] = ()
    to_scale: bool = False

    @property
    def says(self) -> str:
        """The same in one line of text."""
        return " ".join(self.notes)


def mm_ends(measure: Measure) -> tuple[float, float]:
    """A length's ends in mm."""
    in_mm = measure.to("mm")
    return float(in_mm.low), float(in_mm.high)


def mm_middle(measure: Measure) -> float:
    """A length's middle in mm."""
    low, high = mm_ends(measure)
    return (low + high) / 2


def length_words(measure: Measure, names: Names) -> str:
    """A length for people in the unit asked for: `47.7 mm`, `1.88 in`."""
    same = measure.to(names)
    shown = Measure(_shown(same.low, names), _shown(same.high, names), names)
    return in_words(shown)


def offset_words(offset: Measure, names: Names) -> str:
    """An offset for people: how far from the center line, and to which side."""
    far = length_words(size_of(offset), names)
    if offset.low == offset.high == 0:
        return "on the center line"
    if offset.low >= 0:
        return f"{far} from the center line towards the serial side"
    if offset.high <= 0:
        return f"{far} from the center line away from the serial side"
    return f"{far} from the center line, the side open"


def zone_words(zones: Zones) -> str:
    """The possible zones, best first: `crown`, `crown or shoulder (open)`."""
    names = [zone for zone in ORDER if zone in zones]
    return names[0] if len(names) == 1 else f"{' or '.join(names)} (open)" if names else "zone not known"


def _shown(figure: Fraction, names: Names) -> Fraction:
    """A tenth of a mm, or a hundredth of an inch unless it is a fraction of the ruler."""
    if names == "in" and figure.denominator in (1, 2, 4, 8, 16, 32, 64):
        return figure
    return round(figure, 1 if names == "mm" else 2)
