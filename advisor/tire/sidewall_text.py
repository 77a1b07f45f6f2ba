"""What was typed from a sidewall, made even: capitals, single spaces, one x, slash and point."""

from __future__ import annotations

import re

#: Characters that are read; what stands after them is named as not read.
MOST_READ = 300

_SIGNS: dict[int, str | None] = {
    **dict.fromkeys((*range(32), *range(127, 160)), " "),
    **dict.fromkeys((0xAD, *range(0x200B, 0x2010), *range(0x202A, 0x202F), *range(0x2060, 0x206A), 0xFEFF)),
    **{ord(sign): "X" for sign in "×✕✖╳*"},
    **{ord(sign): "-" for sign in "‐‑‒–—−"},
    **{ord(sign): "/" for sign in "⁄∕／\\"},
    **{ord(sign): " " for sign in "|;"},
    ord("½"): " 1/2",
}
_ZERO = re.compile(r"(?<=[0-9])O+(?=(?:ZR|PR|PLY|[A-Z])?(?![A-Z]))|(?<=[0-9O][./])O+(?=[0-9RD /-]|$)")
_ONE = re.compile(r"(?<=[0-9])I(?=[0-9])|(?<=[0-9][R/])I(?=[0-9])")
_COMMA = re.compile(r"(?<=[0-9]),(?=5(?![0-9])|(?:00|25|50|75) ?[RD-])")
_HALF = re.compile(r"(?<=[0-9]) 1/2(?![0-9])")


def even(text: str) -> str:
    """The first 300 characters in one even form; understands ×, *, ½, a decimal comma, the letters O for 0 and I for 1.

    >>> even("2o5/55 r16   91v")
    '205/55 R16 91V'
    """
    plain = text[:MOST_READ].upper().translate(_SIGNS)
    plain = " ".join(plain.split())
    if "O" in plain:
        plain = _ZERO.sub(lambda found: "0" * len(found[0]), plain)
    if "I" in plain:
        plain = _ONE.sub("1", plain)
    if "," in plain:
        plain = _COMMA.sub(".", plain)
    if "1/2" in plain:
        plain = _HALF.sub(".5", plain)
    return plain
