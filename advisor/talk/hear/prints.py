"""What is read off the tire in a sentence: the size, the load range, the date code."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from advisor.model.case import TIRE
from advisor.talk.hear.gather import Piece
from advisor.talk.hear.marks import Clause, Mark
from advisor.talk.hear.tokens import SIZE, Token
from advisor.tire.sidewall import read_sidewall

_WEEK = re.compile(r"(?:0[1-9]|[1-4]\d|5[0-3])\d\d")
_RANGE = re.compile(r"lr([a-hj-n])")
_LETTER = re.compile(r"[a-hj-n]|sl|xl")


def prints_of(clause: Clause, tokens: Sequence[Token], line: str) -> Iterator[Piece]:
    """The prints of a clause; what is taken is noted there."""
    for place, mark in enumerate(clause.marks):
        if mark.kind == "print":
            yield from _size(mark, clause)
        elif found := _load_range(place, mark, clause):
            letter, marks = found
            clause.take(*marks)
            yield Piece(
                "load-range", TIRE, letter.upper(), line[tokens[marks[0].start].start : tokens[marks[-1].end - 1].end]
            )
        elif _is_label(mark, "dot-code"):
            yield from _date(place, clause)


def _size(mark: Mark, clause: Clause) -> Iterator[Piece]:
    sidewall = read_sidewall(mark.text)
    if sidewall.size and not sidewall.not_read:
        size = re.match(SIZE, mark.text, re.IGNORECASE)
        head, tail = ("".join(size[0].split()), mark.text[size.end() :].strip()) if size else (mark.text, "")
        clause.take(mark)
        service = re.sub(r"\s+(?=[A-Z]$)", "", " ".join(tail.upper().split()))
        yield Piece("sidewall", TIRE, f"{head} {service}".strip().upper().replace(",", "."), mark.text)


def _load_range(place: int, mark: Mark, clause: Clause) -> tuple[str, list[Mark]] | None:
    short = _RANGE.fullmatch(mark.text)
    if short:
        return short[1], [mark]
    later = [other for other in clause.marks[place + 1 : place + 3] if other.text not in ("is", "of", '"', "'")]
    after = later[0] if later else None
    if (_is_label(mark, "load-range") or mark.text == "lr") and after is not None and _LETTER.fullmatch(after.text):
        return after.text, [mark, after]
    return None


def _date(place: int, clause: Clause) -> Iterator[Piece]:
    """The last four figures, where the week can be one."""
    for mark in clause.marks[place + 1 :]:
        if mark.kind == "figure" and mark.figure is not None and not mark.figure.unit and _WEEK.fullmatch(mark.text):
            clause.take(clause.marks[place], mark)
            yield Piece("dot-code", TIRE, mark.text, mark.text)
            return
        if mark.kind == "figure":
            return


def _is_label(mark: Mark, question: str) -> bool:
    return any(sense.how == "label" and (question, "") in sense.gives for sense in mark.senses)
