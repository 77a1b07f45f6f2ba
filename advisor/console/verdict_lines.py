"""A verdict card as plain lines of at most 78 columns, with no control codes."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from functools import lru_cache

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.model.problems import shown
from advisor.wording.blocks import Said, blocks_of, under
from advisor.wording.verdict_card import VERDICT_SIGNS, Card, short_parts, verdict_card

PRINT_WIDTH = 78


def verdict_lines(judgement: Judgement, judge: Judge, name: str = "") -> list[str]:
    """The lines that say a judgement, with the case's name ahead."""
    head = [f"Case: {shown(name)}"] if name else []
    return head + card_lines(verdict_card(judgement, judge))


def card_lines(card: Card) -> list[str]:
    """A card as lines: verdict, headline and method, then each section under its title."""
    lines = _head(card)
    for section in card.sections:
        lines += ["", f"{section.title}:", *bulleted(section.blocks)]
    return lines


def _head(card: Card) -> list[str]:
    lines = wrapped(f"{VERDICT_SIGNS[card.verdict]}: {card.headline}")
    return [*lines, *(wrapped(f"Method: {card.short.method}", "", "  ") if card.short.method else ())]


def section_lines(card: Card) -> list[str]:
    """What stands behind the short card, each part under its title."""
    parts = (part for word in card.words for part in card.under(word))
    return [line for part in parts for line in ("", f"{part.title}:", *bulleted(part.blocks))]


def short_lines(card: Card) -> list[str]:
    """The card in one glance: verdict, method, what to do, what limits and decides, what can hurt first."""
    lines = _head(card)
    for part in short_parts(card):
        lines += ["", f"{part.title}:", *bulleted(part.blocks)]
    return lines


def bulleted(said: Iterable[Said]) -> list[str]:
    """Blocks with a dash before each, and under it what belongs to it."""
    lines: list[str] = []
    for block in blocks_of(said):
        lines += wrapped(block.said, "  - ", "    ")
        for detail in under(block):
            lines += wrapped(detail.said, "    ", "    ")
    return lines


@lru_cache(maxsize=2048)
def wrapped(text: str, first: str = "", rest: str = "") -> tuple[str, ...]:
    """A text in lines of at most 78 columns; control and direction characters by name."""
    lines = textwrap.wrap(
        shown(text, 4000),
        PRINT_WIDTH,
        initial_indent=first,
        subsequent_indent=rest,
        break_on_hyphens=False,
    )
    return tuple(lines) or ("",)
