"""What is read off the tire in a sentence: the size, the load range, the date code."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from advisor.domain.sidewall.parser import read_sidewall
from advisor.model import inputs
from advisor.model.case import TIRE
from advisor.nlu.evidence import Piece
from advisor.nlu.tagger import Clause, Mark, gives_of, labels_for
from advisor.nlu.tokenizer import SIZE, Token

_WEEK = re.compile(r"(?:0[1-9]|[1-4]\d|5[0-3])\d\d")
#: A date code has four figures since 2000: week and year (49 CFR 574.5).
_FIRST_YEAR = 2000
_LAST_WEEK = 53
#: By itself such a word may be of another day than the tire's.
_DATES = frozenset({"date", "dates"})
_RANGE = re.compile(r"lr([a-hj-n])")
#: A load index and a speed symbol that a size was read without.
_MORE = re.compile(r"[\s,(]*\d{2,3}(?:\s*/\s*\d{2,3})?\s*[ABDEG-HJ-NP-Y]\b", re.IGNORECASE)
_BEHIND_SIZE = re.compile(r"[b-hj-n]")
_LETTER = re.compile(r"[a-hj-n]|sl|xl")


def prints_of(clause: Clause, tokens: Sequence[Token], line: str) -> Iterator[Piece]:
    """The prints of a clause; what is taken is noted there."""
    for place, mark in enumerate(clause.marks):
        if mark.kind == "print":
            more = _MORE.match(line[tokens[mark.start].end :])
            yield from _size(mark, clause, f'"{more[0].strip()}" behind it' if more else "")
            if behind := _letter_behind(place, mark, clause):
                clause.take(behind)
                words = line[tokens[mark.start].start : tokens[behind.start].end]
                yield Piece(inputs.LOAD_RANGE, TIRE, behind.text.upper(), words)
        elif found := _load_range(place, mark, clause) or _letter_rated(place, mark, clause):
            letter, marks = found
            clause.take(*marks)
            yield Piece(
                inputs.LOAD_RANGE,
                TIRE,
                letter.upper(),
                line[tokens[marks[0].start].start : tokens[marks[-1].end - 1].end],
                hedge="" if labels_for(marks[0], inputs.LOAD_RANGE) or mark.text == "lr" else "no load range was named",
            )
        elif labels_for(mark, inputs.DOT_CODE):
            yield from _date(place, clause)


def _size(mark: Mark, clause: Clause, hedge: str) -> Iterator[Piece]:
    sidewall = read_sidewall(mark.text)
    if sidewall.size and not sidewall.not_read:
        size = re.match(SIZE, mark.text, re.IGNORECASE)
        head, tail = ("".join(size[0].split()), mark.text[size.end() :].strip()) if size else (mark.text, "")
        clause.take(mark)
        service = re.sub(r"\s+(?=[A-Z]\)?$)", "", " ".join(tail.upper().split()))
        written = f"{head} {service}".strip().upper().replace(",", ".")
        yield Piece(inputs.SIDEWALL, TIRE, written, mark.text, hedge=hedge)


def _letter_behind(place: int, mark: Mark, clause: Clause) -> Mark | None:
    """The load range that ends a light-truck or truck size with no load index: LT245/75R16 E, 295/75R22.5 G.

    Behind other sizes a letter may as well be the speed symbol.
    """
    of_truck = mark.text.casefold().startswith("lt") or mark.text.rstrip().endswith((".5", ",5"))
    behind = clause.marks[place + 1 : place + 2]
    after = clause.marks[place + 2 : place + 3]
    if not of_truck or not behind or not _BEHIND_SIZE.fullmatch(behind[0].text):
        return None
    return behind[0] if not after or after[0].idle or after[0].kind == "phrase" else None


def _load_range(place: int, mark: Mark, clause: Clause) -> tuple[str, list[Mark]] | None:
    short = _RANGE.fullmatch(mark.text)
    if short:
        return short[1], [mark]
    later = [other for other in clause.marks[place + 1 : place + 3] if other.text not in ("is", "of", '"', "'")]
    after = later[0] if later else None
    if (
        (labels_for(mark, inputs.LOAD_RANGE) or mark.text == "lr")
        and after is not None
        and _LETTER.fullmatch(after.text)
    ):
        return after.text, [mark, after]
    return None


def _letter_rated(place: int, mark: Mark, clause: Clause) -> tuple[str, list[Mark]] | None:
    """E rated, E load, letter E, 10 ply E."""
    after = clause.marks[place + 1 : place + 2]
    if after and _BEHIND_SIZE.fullmatch(mark.text) and after[0].text.split()[0] in ("rated", "load", "range"):
        return mark.text, [mark, after[0]]
    if after and mark.text.split()[-1] in ("letter", "ply", "range") and _BEHIND_SIZE.fullmatch(after[0].text):
        return after[0].text, [mark, after[0]]
    return None


def _date(place: int, clause: Clause) -> Iterator[Piece]:
    """The last four figures, where the week can be one; or the week and the year said."""
    weeks = [at for at, mark in enumerate(clause.marks) if {"week", "wk"} & set(mark.text.split())]
    if weeks:
        yield from _week(place, clause) if place in weeks else ()
        return
    label = clause.marks[place]
    if label.text in _DATES and any(
        name == inputs.RETREAD for mark in clause.marks[:place] for name, _ in gives_of(mark)
    ):
        return
    behind = [mark for mark in clause.marks[place + 1 :] if mark.figure is not None and mark.start not in clause.taken]
    ahead = [mark for mark in clause.marks[:place] if not mark.idle and mark.start not in clause.taken][-1:]
    for mark in (*behind, *(each for each in ahead if each.figure is not None)):
        if mark.figure is None or mark.figure.unit:
            return
        if _WEEK.fullmatch(mark.text):
            clause.take(label, mark)
            loose = label.text in _DATES or any(
                each.kind == "word" for each in clause.marks[place : clause.marks.index(mark)]
            )
            hedge = f'"{label.text}": of the tire?' if loose else ""
            yield Piece(inputs.DOT_CODE, TIRE, mark.text, mark.text, hedge=hedge)
            return


def _week(place: int, clause: Clause) -> Iterator[Piece]:
    """Week 23 of 2019; with more in its clause only proposed, and only where a date is spoken of."""
    rest = [mark for mark in clause.marks[place + 1 :] if not mark.idle]
    around = [mark for mark in (*clause.marks[:place], *rest[2:])
              if not mark.idle and not mark.has("noun-before") and not labels_for(mark, inputs.DOT_CODE)]  # fmt: skip
    dated = any(labels_for(mark, inputs.DOT_CODE) for mark in clause.marks if mark is not clause.marks[place])
    if (around and not dated) or not all(mark.figure is not None and mark.text.isdigit() for mark in rest[:2]):
        return
    week, year = (int(mark.text) for mark in rest[:2]) if len(rest) > 1 else (0, 0)
    if 1 <= week <= _LAST_WEEK and _FIRST_YEAR <= year < _FIRST_YEAR + 100:
        clause.take(clause.marks[place], *rest[:2])
        words = f"week {week} of {year}"
        hedge = f'{words}, "{around[0].text}"' if around else ""
        yield Piece(inputs.DOT_CODE, TIRE, f"{week:02}{year - _FIRST_YEAR:02}", words, hedge=hedge)
