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

    `0:07` and `12:07` are the same. A range runs clockwise from its first end to its second, and past 360
    where it crosses the valve: `11:45-12:15` gives 352.5 to 367.5; `about 2:00` is 1:45 to 2:15. Always
    0 <= low < 360.
    Raises Misread for an hour past 12, a minute past 59, more than 360 degrees, or anything else.
    """
    typed = text.strip().replace("’", "'")
    about = _ABOUT.match(typed)
    parts = _RANGE.split(typed[about.end() :] if about else typed) if len(text) <= 60 else []
    if len(parts) not in (1, 2):
        raise _misread(text)
    in_degrees = _DEGREE_SIGN.search(parts[-1]) is not None
    ends = [_one(part, in_degrees, text) for part in parts]
    low, high = ends[0], ends[-1]
    high = high if high >= low else high + FULL_TURN_DEG
    if about:
        low, high = low - ABOUT_DEG, high + ABOUT_DEG
    back = FULL_TURN_DEG if low < 0 else 0
    if high - low >= FULL_TURN_DEG:
        raise _misread(text)
    return Measure(low + back, high + back, "deg", text.strip())


def clock_in_words(measure: Measure) -> str:
    """Degrees as a clock position for people, to the nearest minute: `2:00`, `11:45 to 12:15`."""
    degrees = measure.to("deg")
    low, high = _face(degrees.low), _face(degrees.high)
    return low if low == high else f"{low} to {high}"


def turned(clock: Measure, by_deg: Fraction | int) -> Measure:
    """The position after the whole tire was turned by that many degrees; 0 <= low < 360."""
    low = (clock.low + by_deg) % FULL_TURN_DEG
    return Measure(low, low + clock.high - clock.low, "deg")


def _one(part: str, in_degrees: bool, text: str) -> Fraction:
    face = _CLOCK.fullmatch(part)
    if face:
        hour, minute = int(face[1]), int(face[2] or 0)
        if hour > 12 or minute > 59:
            raise _misread(text)
        return (hour % 12) * Fraction(30) + minute * _MINUTE_DEG
    plain = _DEGREES.fullmatch(part) if in_degrees else None
    if not plain or Fraction(plain[1]) > FULL_TURN_DEG:
        raise _misread(text)
    return Fraction(plain[1]) % FULL_TURN_DEG


def _face(degrees: Fraction) -> str:
    minutes = round(degrees / _MINUTE_DEG) % 720
    return f"{minutes // 60 or 12}:{minutes % 60:02d}"


def _misread(text: str) -> Misread:
    return Misread(f'"{text}" as a clock position', _EXPECTED, _DO)
