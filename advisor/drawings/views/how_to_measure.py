"""Where to read the tread depth: the tread's profile with a gauge in a major groove, and the places round the tire.

How the measures of an injury are taken: two sketches without scale, of the cross-section and of the liner.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

from advisor.domain.clock import FULL_TURN_DEG, clock_in_words
from advisor.drawings.outlines import arc, box, chain
from advisor.drawings.scene import Fill, Label, Name, Picture, SceneSpan, Spot, Stroke
from advisor.model.quantity import Measure

#: The sketch of the cross-section: center line, outer and inner end, tread's edge, casing.
_MIDDLE, _OUTER, _INNER, _EDGE, _DEEP = 20.0, 55.0, 75.0, 105.0, 22.0
#: The sketch of the liner: valve, injury, where the unit stands, and how long the strokes of the directions are.
_VALVE, _AT, _UNIT, _STROKE = 10.0, 95.0, (165.0, 215.0), 26.0
_HALF = 60.0


def path_sketch() -> Picture:
    """Offset, tread width, angle and casing thickness, each where it is measured."""
    end = _EDGE + _DEEP
    lines = [
        Stroke(0.0, 0.0, _EDGE, 0.0),
        Stroke(0.0, _DEEP, _EDGE, _DEEP, "thick"),
        Stroke(0.0, 0.0, 0.0, _DEEP, "thin"),
        Stroke(_MIDDLE, 0.0, _MIDDLE, _DEEP, "dotted"),
        Stroke(_OUTER, 0.0, _OUTER, _DEEP, "dotted"),
        Stroke(_OUTER, 0.0, _INNER, _DEEP, "thick"),
        *chain(arc(_EDGE, _DEEP, _DEEP, -90, 0), "solid"),
        Stroke(_EDGE, _DEEP, end, _DEEP, "dotted"),
    ]
    return Picture(
        "How the injury's path is measured",
        *(0.0, end, 0.0, _DEEP),
        tuple(lines),
        named=(Name(_OUTER, 0.6 * _DEEP, _OUTER + 0.6 * (_INNER - _OUTER), 0.95 * _DEEP, "angle", left_first=True),),
        above=((SceneSpan(_MIDDLE, _EDGE, "half the tread's width"),), (SceneSpan(_MIDDLE, _OUTER, "offset"),)),
        below=((Label(_MIDDLE, "center line"), Label(_INNER, "inner end")),),
        beside=((_DEEP / 2, "casing thickness"),),
        notes=(
            "The tire cut across at the injury, a sketch without scale; serial side on the right.",
            "Offset: from the tread's center line to the middle of the hole, outside; plus towards the serial side.",
            "Angle: how far the awl leans from square to the tread; straight in is 0.",
            "Casing thickness: from the tread's surface to the liner, where the injury is.",
        ),
        to_scale=True,
    )


def place_sketch() -> Picture:
    """Clock position, offset, the direction of a lean, and a unit's length and width, as seen from inside."""
    left, right = _UNIT
    top, bottom, y = -30.0, 10.0, -18.0
    ways = ((0.0, -1.0, "12:00"), (1.0, 0.0, "3:00"), (0.0, 1.0, "6:00"), (-1.0, 0.0, "9:00"))
    lines = [
        Stroke(0.0, 0.0, right + 32, 0.0, "dotted"),
        Stroke(0.0, -_HALF, right + 32, -_HALF),
        Stroke(0.0, _HALF, right + 32, _HALF),
        Stroke(_VALVE, -_HALF, _VALVE, _HALF, "thin"),
        *(Stroke(_AT, y, _AT + dx * _STROKE, y + dy * _STROKE * 0.8) for dx, dy, _ in ways),
        *box([(left, top), (right, top), (right, bottom), (left, bottom)], "solid"),
        Stroke(right + 5, top, right + 5, bottom, "thin"),
    ]
    names = [_at(_AT + dx * _STROKE * 1.3, y + dy * _STROKE * 1.15, text) for dx, dy, text in ways]
    return Picture(
        "How places on the tire are measured",
        *(0.0, right + 32, -_HALF - 6, _HALF + 6),
        tuple(lines),
        spots=(Spot(_AT, y, "x"),),
        named=(*names, Name(left, top, right, bottom, "unit"), _at(right + 18, (top + bottom) / 2, "width")),
        above=(
            (SceneSpan(_VALVE, _AT, "clock position"), SceneSpan(left, right, "length")),
            (Label(_AT, "serial side"),),
        ),
        below=((Label(_VALVE, "valve", "start"), Label(_AT, "other side")),),
        notes=(
            "The tread from inside, a sketch without scale: serial side on top, clockwise round the tire to the right.",
            "Clock position: lay the tire serial side up, the valve at 12:00, and read the place like a clock.",
            "A lean: 12:00 is towards the serial side, 3:00 on round the tire as the clock runs, 6:00 away from the "
            "serial side, 9:00 back; or say towards the shoulder, towards the center, along the tread.",
            "A unit's length lies along the tread, its width across.",
        ),
    )


def _at(x: float, y: float, text: str) -> Name:
    """A name in the middle of a place."""
    return Name(x - 10, y - 5, x + 10, y + 5, text)


#: The profile is a sketch without scale: a rib is 16 wide, a groove 9 wide and 10 deep, a wear bar 3 high.
_RIB, _GROOVE, _DEEP, _BAR = 16.0, 9.0, 10.0, 3.0
_GROOVES = 4
_BAR_IN = 2
_READ_IN = (0, 3)
_WIDE = _GROOVES * (_RIB + _GROOVE) + _RIB


def tread_picture(places: int) -> Picture:
    """The picture for a depth that is read at so many places round the tire, the first beside the valve.

    Raises ValueError for no place at all.
    """
    if places < 1:
        raise ValueError("tread depth is read at one place at least")
    lines = [*_profile(), *(line for groove in _READ_IN for line in _gauge(_middle(groove)))]
    return Picture(
        "Where to read the tread depth",
        *(0.0, _WIDE, -6.0, _DEEP + 4),
        tuple(lines),
        fills=(*_ribs(), Fill(_between(_start(_BAR_IN), _start(_BAR_IN) + _GROOVE, _DEEP - _BAR, _DEEP), crossed=True)),
        above=(
            (
                *(Label(_middle(groove), "gauge here") for groove in _READ_IN),
                Label(_middle(_BAR_IN), "not on the wear bar"),
            ),
        ),
        below=(
            (*(Label(_middle(groove), "major groove") for groove in _READ_IN), Label(_middle(_BAR_IN), "wear bar")),
        ),
        notes=(
            "The tread seen from the end, a sketch without scale.",
            "Stand the gauge on the floor of a major groove, square to the tread, not on a wear bar, hump or fillet.",
            f"Read {_round_the_tire(places)}; the lowest reading counts.",
            "Where a wear bar is flush with the tread beside it, the tread is worn out there.",
        ),
    )


def _start(groove: int) -> float:
    return _RIB + groove * (_RIB + _GROOVE)


def _middle(groove: int) -> float:
    return _start(groove) + _GROOVE / 2


def _profile() -> list[Stroke]:
    """Ribs and grooves as one line, and the casing under them."""
    points = [(0.0, 0.0)]
    for groove in range(_GROOVES):
        left, right = _start(groove), _start(groove) + _GROOVE
        floor = _DEEP - _BAR if groove == _BAR_IN else _DEEP
        points += [(left, 0.0), (left, floor), (right, floor), (right, 0.0)]
    points.append((_WIDE, 0.0))
    lines = [Stroke(*here, *there) for here, there in pairwise(points)]
    bar = _start(_BAR_IN)
    lines.append(Stroke(bar, _DEEP, bar + _GROOVE, _DEEP, "dotted"))
    return [*lines, Stroke(0.0, _DEEP + 4, _WIDE, _DEEP + 4)]


def _ribs() -> list[Fill]:
    """The rubber: the ribs, and what lies under the grooves."""
    starts = [0.0, *(_start(groove) + _GROOVE for groove in range(_GROOVES))]
    return [
        *(Fill(_between(start, start + _RIB, 0.0, _DEEP)) for start in starts),
        Fill(_between(0.0, _WIDE, _DEEP, _DEEP + 4)),
    ]


def _between(left: float, right: float, top: float, bottom: float) -> tuple[tuple[float, float], ...]:
    return (left, top), (right, top), (right, bottom), (left, bottom)


def _gauge(x: float) -> list[Stroke]:
    """A gauge: its foot across the groove, its pin on the floor."""
    foot = Stroke(x - 0.9 * _GROOVE, -0.4, x + 0.9 * _GROOVE, -0.4, "thick")
    return [foot, Stroke(x, -5.0, x, _DEEP, "thick")]


def _round_the_tire(places: int) -> str:
    step = Fraction(FULL_TURN_DEG, places)
    clocks = [clock_in_words(Measure(step * place, step * place, "deg")) for place in range(places)]
    if places == 1:
        return "beside the valve"
    return f"at {places} places round the tire, the first beside the valve: {', '.join(clocks)}"
