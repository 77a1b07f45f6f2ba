"""Where to read the tread depth: the tread's profile with a gauge in a major groove, and the places round the tire."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

from advisor.tire.clock import FULL_TURN_DEG, clock_in_words
from advisor.tire.drawing import Fill, Label, Line, Picture
from advisor.units import Measure

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


def _profile() -> list[Line]:
    """Ribs and grooves as one line, and the casing under them."""
    points = [(0.0, 0.0)]
    for groove in range(_GROOVES):
        left, right = _start(groove), _start(groove) + _GROOVE
        floor = _DEEP - _BAR if groove == _BAR_IN else _DEEP
        points += [(left, 0.0), (left, floor), (right, floor), (right, 0.0)]
    points.append((_WIDE, 0.0))
    lines = [Line(*here, *there) for here, there in pairwise(points)]
    bar = _start(_BAR_IN)
    lines.append(Line(bar, _DEEP, bar + _GROOVE, _DEEP, "dotted"))
    return [*lines, Line(0.0, _DEEP + 4, _WIDE, _DEEP + 4)]


def _ribs() -> list[Fill]:
    """The rubber: the ribs, and what lies under the grooves."""
    starts = [0.0, *(_start(groove) + _GROOVE for groove in range(_GROOVES))]
    return [
        *(Fill(_between(start, start + _RIB, 0.0, _DEEP)) for start in starts),
        Fill(_between(0.0, _WIDE, _DEEP, _DEEP + 4)),
    ]


def _between(left: float, right: float, top: float, bottom: float) -> tuple[tuple[float, float], ...]:
    return (left, top), (right, top), (right, bottom), (left, bottom)


def _gauge(x: float) -> list[Line]:
    """A gauge: its foot across the groove, its pin on the floor."""
    foot = Line(x - 0.9 * _GROOVE, -0.4, x + 0.9 * _GROOVE, -0.4, "thick")
    return [foot, Line(x, -5.0, x, _DEEP, "thick")]


def _round_the_tire(places: int) -> str:
    step = Fraction(FULL_TURN_DEG, places)
    clocks = [clock_in_words(Measure(step * place, step * place, "deg")) for place in range(places)]
    if places == 1:
        return "beside the valve"
    return f"at {places} places round the tire, the first beside the valve: {', '.join(clocks)}"
