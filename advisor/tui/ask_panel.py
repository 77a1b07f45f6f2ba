"""What stands in the frame above the line: the open question with its sketch, or the verdict with its sections folded.

Lines at a width, and of the verdict at a height: what is long is cut there, and whole in its section.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from itertools import zip_longest
from typing import NamedTuple

from rich.cells import cell_len

from advisor.tui.prompt_bar import Prompt, PromptRow, prompt_paras
from advisor.tui.rendering import HOW_LEAD
from advisor.tui.text_blocks import Line, Para, wrap, wrap_para
from advisor.wording.blocks import blocks_of, under
from advisor.wording.verdict_card import DANGER, OPEN_PARTS, SECTIONS, VERDICT_SIGNS, Card, CardPart, short_parts

#: A sketch takes so many columns at the right of the choices, which keep at least so many.
SKETCH_COLUMNS, LEAST_BESIDE = 36, 34
#: One small enough to stand at the right of choices as they are, where a few of them are short.
SMALL_SKETCH_COLUMNS = 24
_WHOLE = 999


class _Level(NamedTuple):
    """How many lines each reason, the danger, what was not counted, each thing to do and what is to be looked at again
    may take, and how many reasons stand there.
    """

    because: int = _WHOLE
    danger: int = _WHOLE
    first: int = 1
    do_now: int = _WHOLE
    again: int = _WHOLE
    reasons: int = _WHOLE


#: From what is whole to what fits the smallest screen: what is cut is whole in its section, so reasons go last.
_LEVELS = (
    _Level(first=2),
    _Level(3, 3, 1, 3),
    _Level(2, 2, 1, 2, 2),
    _Level(2, 2, 1, 2, 2, 2),
    _Level(2, 2, 1, 2, 2, 1),
    _Level(2, 1, 1, 2, 1, 1),
    _Level(1, 1, 1, 1, 1, 1),
)
#: What is said of the same line, and one question of it.
ONE_BESIDE = 2
#: Where more is read of how an answer is found out.
READ_ON = "… F3"
#: The column in which the words of the short card begin.
_LABEL = 9
_LABELS = {
    "Restrictions": "Limits",
    "Look or measure again, this decides": "Again",
    "Still to answer": "Open",
    DANGER: "Danger",
}
#: What was typed or said and does not count, and the section that has it whole.
_FIRST, SAID_IN_VAIN = "First", "not counted"
_CUT = {"Because": "because", "Danger": "danger", "Do now": "do_now", "Again": "again"}
#: The section that has whole what is cut of a part.
_WHOLE_IN = {"Because": "reasons", "Again": "reasons", "Do now": "cautions", "Danger": "cautions"}
_SENTENCE = re.compile(r"(?<=[.!?])\s+")


def question_panel(
    prompt: Prompt,
    at: int | None,
    marked: frozenset[str],
    width: int,
    height: int,
    sketch: Sequence[str] = (),
    small: Sequence[str] = (),
) -> list[Line]:
    """A question with its choices; a sketch stands at their right where there is room, else under them.

    Under them what may be answered in the same line. Where all of it is higher than the frame can be, that is cut to a
    line each, then named alone, then the sketch is small or left out. How to find it out is cut last of all, with the
    key that shows the rest: what keeps from harm stands there.
    """
    paras = prompt_paras(prompt, at, marked, width)
    cuts = (
        *((_WHOLE, also, drawn) for drawn, also in ((sketch, _WHOLE), (sketch, 1), (sketch, 0), ((), 1), ((), 0))),
        *((how, 0, ()) for how in (2, 1)),
    )
    for how, also, drawn in cuts:
        lines = [*_question(paras, width, drawn, how), *_also(prompt.also, width, also)]
        if len(lines) <= height:
            break
    return _drawn_into(lines, small, width) if sketch and not drawn else lines


def _drawn_into(lines: list[Line], sketch: Sequence[str], width: int) -> list[Line]:
    """Lines with a sketch at the right of choices that leave room for it; as they are where none do."""
    wide = max((cell_len(each) for each in sketch), default=0)
    free = [each.row >= 0 and sum(cell_len(text) for text, _ in each.pieces) + 1 + wide <= width for each in lines]
    for start in range(len(lines) - len(sketch) + 1):
        if sketch and all(free[start : start + len(sketch)]):
            inside = zip(lines[start:], sketch, strict=False)
            drawn = [_side_by_side(line, each.ljust(wide), width - wide - 1) for line, each in inside]
            return [*lines[:start], *drawn, *lines[start + len(sketch) :]]
    return lines


def _also(paras: Sequence[Para], width: int, most: int) -> list[Line]:
    """What may be answered in the same line: for each question so many lines, with none its name alone."""
    if most and len(paras) > ONE_BESIDE:
        return [line for para in paras for line in _cut(para, width, most)]
    names = ", ".join(para.text if most else para.text.partition(":")[0] for para in paras[1:])
    return wrap([Para(names, "quiet", "In the same line: ", "label", 3)], width) if paras else []


def _question(paras: Sequence[Para], width: int, sketch: Sequence[str], how: int) -> list[Line]:
    def lines_of(some: Iterable[Para]) -> list[Line]:
        cut = ((para, how if para.lead == HOW_LEAD else _WHOLE) for para in some)
        return [line for para, most in cut for line in _cut(para, width, most, READ_ON)]

    beside = width - SKETCH_COLUMNS - 1
    if not sketch or beside < LEAST_BESIDE:
        return [*lines_of(paras), *(_sketched(line) for line in sketch)]
    head = lines_of(para for para in paras if para.row < 0)
    rows = wrap([para for para in paras if para.row >= 0], beside)
    pairs = zip_longest(rows, sketch, fillvalue=None)
    return [*head, *(_side_by_side(left, right or "", beside) for left, right in pairs)]


def _sketched(text: str) -> Line:
    return Line(((f" {text}", "drawing"),))


def _side_by_side(left: Line | None, right: str, width: int) -> Line:
    pieces = left.pieces if left is not None else ()
    gap = width - sum(cell_len(text) for text, _ in pieces)
    return Line((*pieces, (" " * (gap + 1), ""), (right, "drawing")), left.row if left is not None else -1)


def heading_panel(prompt: Prompt, width: int) -> list[Line]:
    """What is asked, without its choices: while something long is being read."""
    lines = wrap(prompt.heading[:1], width)
    return [*lines, *wrap([Para("Esc or an arrow key shows the choices again.", "quiet", indent=1)], width)]


def card_panel(
    card: Card, rows: Sequence[PromptRow], at: int | None, opened: Collection[str], width: int, height: int
) -> list[Line]:
    """The verdict in one glance, then its sections: as much of it as fits the height, what is cut with a sign."""
    under_it = [line for place, row in enumerate(rows) for line in _section(card, row, place, at, opened, width)]
    closed = len(rows)
    for level in _LEVELS:
        short = glance_lines(card, width, level, rows)
        if len(short) + closed <= height:
            break
    gap = [Line(())] if len(short) + closed < height else []
    return [*short, *gap, *under_it]


def open_at_first(card: Card, rows: Sequence[PromptRow], width: int, height: int) -> frozenset[str]:
    """The sections that stand open where the screen has room for them, in their order."""
    opened: frozenset[str] = frozenset()
    for word in card.words:
        more = opened | {word}
        if len(card_panel(card, rows, None, more, width, height)) < height:
            opened = more
    return opened


def _read_on(rows: Sequence[PromptRow], section: str) -> str:
    """The sign that there is more to read, and by which key."""
    return next((f"… {row.number}" for row in rows if row.means == section), "…")


def glance_lines(card: Card, width: int, level: _Level = _LEVELS[0], rows: Sequence[PromptRow] = ()) -> list[Line]:
    """Verdict, method, what to do, what limits and decides, what can hurt first.

    What was typed and does not count stands ahead, in so few lines that it pushes nothing out. What is cut ends with
    the key of the section that has it whole.
    """
    sign = VERDICT_SIGNS[card.verdict]
    lines = wrap([Para(card.headline, "strong", f" {sign} ", f"sign-{card.verdict}", 1)], width)
    if card.short.method:
        lines += wrap([_labelled("Method", card.short.method)], width)
    first = card.short.first
    if first:
        lines += _cut(_labelled(_FIRST, first), width, level.first, _read_on(rows, SAID_IN_VAIN))
    always = {block.said for part in card.under("always") for block in blocks_of(part.blocks)}
    for part in short_parts(card):
        label = _LABELS.get(part.title, part.title)
        most = getattr(level, _CUT[label]) if label in _CUT else 1 if label == "Open" else _WHOLE
        texts = [block.said for block in blocks_of(part.blocks) if not first or block.said != first]
        texts = texts[: level.reasons] if label == "Because" else texts
        if label == "Again" and len(texts) > most:
            texts = [f"{len(texts)} things, first: {'; '.join(texts)}"]
        for number, text in enumerate(texts):
            sign = _read_on(rows, "always" if text in always else _WHOLE_IN.get(label, ""))
            lines += _cut(_labelled("" if number else label, text), width, most, sign)
    return lines


def _labelled(label: str, text: str) -> Para:
    danger = label == "Danger"
    return Para(text, "strong" if danger else "", label.ljust(_LABEL), "wrong" if danger else "label", 1)


def _cut(para: Para, width: int, most: int, sign: str = "…") -> list[Line]:
    """The lines of a paragraph, so many at most, and whole sentences where one fits; a sign where there is more."""
    lines = list(wrap_para(para, width))
    if len(lines) <= most:
        return lines
    sentences = _SENTENCE.split(para.text)
    for count in range(len(sentences) - 1, 0, -1):
        some = list(wrap_para(para._replace(text=f"{' '.join(sentences[:count])} {sign}"), width))
        if len(some) <= most:
            return some
    last = lines[most - 1]
    *before, (text, style) = last.pieces
    room = max(0, width - sum(cell_len(piece) for piece, _ in before) - cell_len(sign) - 1)
    while cell_len(text) > room:
        text = text.rpartition(" ")[0] if " " in text.strip() else text[:-1]
    return [*lines[: most - 1], Line((*before, (f"{text.rstrip()} {sign}", style)), last.row)]


def _section(
    card: Card, row: PromptRow, place: int, at: int | None, opened: Collection[str], width: int
) -> Iterator[Line]:
    """A section's title as a row to pick, and where it is open what stands in it."""
    here, is_open = place == at, row.means in opened
    style = "at" if here else "row"
    sign = "[-]" if is_open else "[+]" if row.means in (*SECTIONS, SAID_IN_VAIN) else "..."
    lead = f"{'>' if here else ' '} {row.number or ' '} {sign} "
    yield from wrap([Para(row.says, style, lead, style if here else "number", 1, place)], width)
    parts = _parts(card, str(row.means)) if is_open else ()
    for part in parts:
        if part.title not in row.says:
            yield from wrap([Para(part.title, "title", indent=5)], width)
        for block in blocks_of(part.blocks):
            yield from wrap([Para(block.said, "", "- ", "", 5)], width)
            yield from wrap([Para(detail.said, "quiet", indent=7) for detail in under(block)], width)


def _parts(card: Card, word: str) -> tuple[CardPart, ...]:
    if word == SAID_IN_VAIN:
        return (CardPart(_WHOLE_TITLE, (card.short.first,)),)
    long = tuple(text for text in card.short.do_now if text != card.short.first and len(_SENTENCE.split(text)) > 1)
    return (*((CardPart("Do now", long),) if word == "cautions" and long else ()), *card.under(word))


_WHOLE_TITLE = "Typed or said, and not counted"


def section_rows(card: Card) -> tuple[PromptRow, ...]:
    """The sections of a card as rows to pick, each with how many things stand in it; last what does not count."""
    rows = []
    for number, word in enumerate(card.words, 1):
        parts = card.under(word)
        title = SECTIONS[word] if word == "reasons" else parts[0].title
        asked = sum(len(part.blocks) for part in parts if part.title in OPEN_PARTS)
        count = sum(len(part.blocks) for part in parts) - asked
        counted = f"{title} ({count}{f', and {asked} still open' if asked else ''})" if word in _COUNTED else title
        rows.append(PromptRow(counted, str(number), word))
    if card.short.first:
        rows.append(PromptRow(_WHOLE_TITLE, str(len(rows) + 1), SAID_IN_VAIN))
    return tuple(rows)


_COUNTED = frozenset({"reasons", "cautions", "always"})
