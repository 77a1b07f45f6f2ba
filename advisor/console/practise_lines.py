"""A sitting of practice in plain lines: what is shown, what was typed, append-only."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from advisor.console.printers import PICTURE_COLUMNS, drawing_lines
from advisor.console.session_lines import message_lines
from advisor.drawings.selection import pictures_for, terminal_lines
from advisor.practise.sitting import (
    Round,
    Sitting,
    closing,
    judgement_of,
    order_message,
    prompt,
    sitting_opening,
    take_line,
)
from advisor.wording.messages import Message


def practise_lines(sitting: Sitting, typed: Iterable[str], echo: Callable[[str], None]) -> Iterator[str]:
    """Carries a sitting on with typed lines; gives the lines to show. Ends with the figures of it."""
    yield from message_lines(sitting_opening(sitting))
    now = sitting.begin()
    if now is None:
        yield "No tire fits that."
        return
    yield ""
    yield from message_lines(order_message(now, sitting))
    lines, asked = iter(typed), None
    while not now.over:
        asks = prompt(now, sitting)
        if asks != asked:
            yield ""
            yield from message_lines(asks)
            asked = asks
        text = next(lines, None)
        if text is None:
            break
        echo(text)
        now, messages = take_line(sitting, now, text)
        if any(message.kind == "complaint" for message in messages):
            asked = None
        for message in messages:
            yield from _lines_of(message, now, sitting)
    yield ""
    yield from message_lines(closing(sitting))


def _lines_of(message: Message, now: Round, sitting: Sitting) -> Iterator[str]:
    if message.kind == "drawing":
        yield ""
        yield from drawing_lines(judgement_of(now), sitting.judge)
    elif message.kind == "first drawing":
        for picture in pictures_for(judgement_of(now), sitting.judge)[:1]:
            yield ""
            yield from terminal_lines(picture, PICTURE_COLUMNS)
    else:
        yield from message_lines(message)
