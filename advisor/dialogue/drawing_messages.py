"""What is said when drawings are asked for in a consultation."""

from __future__ import annotations

from advisor.dialogue.session import Consultation
from advisor.drawings.scene import Names, Picture
from advisor.drawings.selection import (
    distance_lines,
    left_out_lines,
    picture_asked,
    pictures_for,
    terminal_lines,
    too_close_lines,
)
from advisor.wording.messages import Message

#: A line of a message is indented by two in plain lines of 78 columns.
_COLUMNS = 76
#: A braille character without dots: a blank that no wrapping of lines takes away.
_BLANK = "\u2800"
NOTHING_YET = "Nothing to draw yet: no injury and no earlier repair has its place."


def drawing_messages(consultation: Consultation, columns: int = _COLUMNS, unit: Names | None = None) -> list[Message]:
    """The picture for the question put now, where it has one, and those that the answers allow, with distances.

    `unit` is the one that lengths are written in; without it, the one that was measured in.
    """
    judge, judgement = consultation.judge, consultation.judgement
    pictures = [*_asked(consultation), *pictures_for(judgement, judge, unit)]
    drawings = [
        Message("drawing", (*([""] if number else []), *map(_kept, terminal_lines(picture, columns))))
        for number, picture in enumerate(pictures)
    ]
    distances = (*distance_lines(judgement, judge, unit), *too_close_lines(judgement, judge))
    said = [Message("help", distances)] if distances else []
    if pictures:
        return [*drawings, *said]
    left_out = left_out_lines(judgement, judge) or (NOTHING_YET,)
    return [*said, Message("help", left_out)]


def _asked(consultation: Consultation) -> list[Picture]:
    ask = consultation.ask
    asked = picture_asked(ask.key[0], consultation.judge) if ask else None
    return [asked] if asked else []


def _kept(line: str) -> str:
    """A line whose leading blanks stay."""
    text = line.lstrip(" ")
    return _BLANK * (len(line) - len(text)) + text
