"""Where round the tire: a clock position, valve at 12:00, seen from the serial side, clockwise.

One hour is 30 degrees, one minute half a degree (360 degrees / 12 h; arithmetic).
"""

from __future__ import annotations

import re
from fractions import Fraction

from advisor.model.problems import Misread
from advisor.model.quantity import Measure

FULL_TURN_DEG = 360
_MINUTE_DEG = Fraction(1, 2)
#: "About" widens a position by a quarter of an hour each way: a figure of this project's own.
ABOUT_DEG = Fraction(15, 2)
_CLOCK = re.compile(r"([0-9]{1,2}) *(?:: *([0-9]{2})(?: *o'? ?clock)?|o'? ?clock)", re.IGNORECASE)
_ABOUT = re.compile(r"(?:about|approx(?:imately)?\.?|around|roughly|some|circa|ca\.?|~|≈) *", re.IGNORECASE)
_DEGREES = re.compile(r"([0-9]{1,4}(?:\.[0-9]{1,9})?) *(?:deg|degs|degree|degrees|°)?", re.IGNORECASE)
_DEGREE_SIGN = re.compile(r"(?:deg|degs|degree|degrees|°)$", re.IGNORECASE)
_RANGE = re.compile(r" *(?:-|–|—|\bto\b) *", re.IGNORECASE)
_EXPECTED = "a clock position from 12:00 to 11:59 as 2:00 or 2:00-2:30, or degrees from 0 to 360 as 60 deg"
_DO = "look from the serial side, valve at 12:00, and read the position clockwise"


def read_clock(text: str) -> Measure:
    """A clock position as typed, in degrees clockwise from the valve.

    Parameters
    ----------
    text : `2:00`, `2 o'clock`, `11:45-12:15`, `about 2:00`, `60 deg`, at most 60 characters; `0:07` and `12:07` are the
        same. A bare number is no position

    Returns
    -------
    angle in deg with 0 <= low < 360. A range runs clockwise from its first end to its second, and past 360 where it
    crosses the valve; `about` widens by a quarter of an hour each way. `typed` holds the text

    Raises
    ------
    Misread : an hour past 12, a minute past 59, more than 360 degrees, a range from a place once round to itself
        (`0-360 deg`, which is anywhere and not the valve), or anything else

    References
    ----------
    One hour is 30 degrees (360 / 12, arithmetic). The quarter of an hour for `about` is a figure of this project's own.

    Examples
    --------
    >>> [(float(found.low), float(found.high)) for found in map(read_clock, ("2:30", "11:45-12:15", "about 2:00"))]
    [(75.0, 75.0), (352.5, 367.5), (52.5, 67.5)]
    >>> read_clock("13:00")
    Traceback (most recent call last):
    ...
    advisor.model.problems.Misread: "13:00" as a clock position; expected ...
    """
    typed = text.strip().replace("’", "'")
    about = _ABOUT.match(typed)
    parts = _RANGE.split(typed[about.end() :] if about else typed) if len(text) <= 60 else []
    if len(parts) not in (1, 2):
        raise _misread(text)
    in_degrees = _DEGREE_SIGN.search(parts[-1]) is not None
    ends = [_one(part, in_degrees, text) for part in parts]
    low, high = ends[0] % FULL_TURN_DEG, ends[-1] % FULL_TURN_DEG
    if low == high and ends[0] != ends[-1]:
        raise _misread(text)
    high = high if high >= low else high + FULL_TURN_DEG
    if about:
        low, high = low - ABOUT_DEG, high + ABOUT_DEG
    back = FULL_TURN_DEG if low < 0 else 0
    if high - low >= FULL_TURN_DEG:
        raise _misread(text)
    return Measure(low + back, high + back, "deg", text.strip())


def clock_in_words(measure: Measure) -> str:
    """Degrees as a clock position for people, to the nearest minute of the clock (half a degree).

    Parameters
    ----------
    measure : angle, clockwise from the valve; a range may run past 360 degrees

    Returns
    -------
    `2:00`, or `11:45 to 12:15` for a range; noon is 12:00, never 0:00

    Examples
    --------
    >>> clock_in_words(exactly(60, "deg")), clock_in_words(between("352.5", "367.5", "deg"))
    ('2:00', '11:45 to 12:15')
    """
    degrees = measure.to("deg")
    low, high = _face(degrees.low), _face(degrees.high)
    return low if low == high else f"{low} to {high}"


def turned(clock: Measure, by_deg: Fraction | int) -> Measure:
    """The position after the whole tire was turned.

    Parameters
    ----------
    clock : angle in deg, clockwise from the valve
    by_deg : degrees, + clockwise, any number of turns

    Returns
    -------
    angle in deg with 0 <= low < 360; a range keeps its width

    Examples
    --------
    >>> clock_in_words(turned(exactly(330, "deg"), 60)), clock_in_words(turned(exactly(30, "deg"), -60))
    ('1:00', '11:00')
    """
    low = (clock.low + by_deg) % FULL_TURN_DEG
    return Measure(low, low + clock.high - clock.low, "deg")


def _one(part: str, in_degrees: bool, text: str) -> Fraction:
    face = _CLOCK.fullmatch(part)
    if face:
        hour, minute = int(face[1]), int(face[2] or 0)
        if hour > 12 or minute > 59:
            raise _misread(text)
        return hour * Fraction(30) + minute * _MINUTE_DEG
    plain = _DEGREES.fullmatch(part) if in_degrees else None
    if not plain or Fraction(plain[1]) > FULL_TURN_DEG:
        raise _misread(text)
    return Fraction(plain[1])


def _face(degrees: Fraction) -> str:
    minutes = round(degrees / _MINUTE_DEG) % 720
    return f"{minutes // 60 or 12}:{minutes % 60:02d}"


def _misread(text: str) -> Misread:
    return Misread(f'"{text}" as a clock position', _EXPECTED, _DO)
