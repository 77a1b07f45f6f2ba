"""What is said when drawings are asked for in a consultation."""

from __future__ import annotations

from advisor.talk.consultation import Consultation
from advisor.talk.drawings import (
    distance_lines,
    left_out_lines,
    picture_asked,
    pictures_for,
    terminal_lines,
    too_close_lines,
)
from advisor.talk.message import Message

#: A line of a message is indented by two in plain lines of 78 columns.
COLUMNS = 76
#: A braille character without dots: a blank that no wrapping of lines takes away.
_BLANK = "\u2800"
NOTHING_YET = "Nothing to draw yet: no injury and no earlier repair has its place."


def drawing_messages(consultation: Consultation) -> list[Message]:
    """The picture for the question put now, where it has one; else those that the answers allow, with distances."""
    ask, judge = consultation.ask, consultation.judge
    asked = picture_asked(ask.key[0], judge) if ask else None
    judgement = consultation.judgement
    pictures = [asked] if asked else pictures_for(judgement, judge)
    drawings = [
        Message("drawing", (*([""] if number else []), *map(_kept, terminal_lines(picture, COLUMNS))))
        for number, picture in enumerate(pictures)
    ]
    if asked:
        return drawings
    distances = (*distance_lines(judgement, judge), *too_close_lines(judgement, judge))
    said = [Message("help", distances)] if distances else []
    if pictures:
        return [*drawings, *said]
    left_out = left_out_lines(judgement, judge) or (NOTHING_YET,)
    return [*said, Message("help", left_out)]


def _kept(line: str) -> str:
    """A line whose leading blanks stay."""
    text = line.lstrip(" ")
    return _BLANK * (len(line) - len(text)) + text
