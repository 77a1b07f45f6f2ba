"""The words in a sidewall's print: load range, ply rating, tube, construction and the like.

Sources: marking clauses of UN R54 (TUBELESS, REGROOVABLE, M+S, radial and diagonal signs: published, read in
a copy) and UN R30 (REINFORCED, EXTRA LOAD: from memory); ply rating by load range letter: rim-association
tables, from memory. The text is in the form of `sidewall_text.even`.
"""

from __future__ import annotations

import re

from advisor.quick import dataclass, field
from advisor.tire.sidewall_size import READ

#: Load range letter by ply rating. From memory.
LETTER_BY_PLY_RATING = {
    4: "B", 6: "C", 8: "D", 10: "E", 12: "F", 14: "G", 16: "H", 18: "J", 20: "L", 22: "M", 24: "N",
}  # fmt: skip

_WORDS = re.compile(
    r"""(?<![A-Z0-9])(?P<no>(?:NOT|NON|NO)[ -])?(?:
      (?:LOAD[ ]?RANGE|L[ ]?[./]?[ ]?R|RANGE)[ .:"'(-]*(?P<range>SL|XL|[A-HJ-N])[)"']?(?![A-Z0-9+&])
    | (?P<ply>\d\d?)[ ]?-?[ ]?(?:PR|PLY(?:[ -]?RATING)?)(?![ ](?:STEEL|POLYESTER|NYLON|RAYON|ARAMID|CORD))
    | PLY[ -]?RATING[ :]*(?P<rated>\d\d?)
    | (?P<xl>XL|EXTRA[ -]?LOAD|REINFORCED|REINF)
    | (?P<sl>SL|STANDARD[ -]?LOAD)
    | (?P<radial>RADIAL)
    | (?P<bias>BIAS(?:[ -]?(?:BELTED|PLY))?|DIAGONAL|CROSS[ -]?PLY)
    | (?P<tubeless>TUBE[ -]?LESS|TL)
    | (?P<tubed>TUBE[ -]?TYPE|TT)
    | (?P<regroovable>RE-?GROOVE?ABLE)
    | (?P<snow>M[ ]?(?:[+&./]|AND)[ ]?S)
    | (?P<cycle>M/C)
    | (?P<label>LI(?=[ :]+\d)|S[IS](?=[ :]+[A-Z](?![A-Z]))
        |LOAD[ ]?INDEX|SPEED[ ]?(?:SYMBOL|RATING|INDEX)|SERVICE[ ]?DESCRIPTION)
    | (?P<number>(?:R-?DOT|DOT-?R|DOT)(?:[ ][A-Z0-9]{8,13}|(?:[ ][A-Z0-9]{1,8}){0,5}?[ ]\d{3,4}(?!/)))
    )(?![A-Z0-9])""",
    re.ASCII | re.VERBOSE,
)


_GAPS = re.compile(" {2,}")


@dataclass(slots=True)
class Words:
    """What the words say, each thing as often as it was printed; `unread` are phrases set aside whole."""

    said: set[str] = field(default_factory=set)
    ranges: set[str] = field(default_factory=set)
    ply_ratings: set[int] = field(default_factory=set)
    unread: list[str] = field(default_factory=list)

    def one_of(self, first: str, second: str) -> str | None:
        """The one that was said, when the other was not."""
        if (first in self.said) == (second in self.said):
            return None
        return first if first in self.said else second


def find_words(text: str) -> tuple[Words, str]:
    """The words of the trade in the text, and the text with each replaced by a mark. Nothing is raised."""
    words = Words()

    def take(found: re.Match[str]) -> str:
        kind = found.lastgroup or ""
        if kind == "number" or found["no"]:
            words.unread.append(found[0])
        elif kind == "range":
            words.ranges.add(found["range"])
        elif kind in ("ply", "rated"):
            if _of_a_layer(found):
                return found[0]
            words.ply_ratings.add(int(found[kind]))
        elif kind == "label":
            return " "
        else:
            words.said.add(kind)
        return READ

    left = _WORDS.sub(take, text)
    return words, _GAPS.sub(" ", left) if "  " in left else left


def _of_a_layer(found: re.Match[str]) -> bool:
    """Whether plies are counted (`TREAD 4 PLY`) rather than rated."""
    return found.string[: found.start()].rstrip(" :").endswith(("TREAD", "SIDEWALL", "SIDE"))
