"""A verdict card as plain lines of at most 78 columns, with no control codes."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from advisor.engine.decision import Judgement
from advisor.engine.evaluator import Judge
from advisor.model.problems import shown
from advisor.wording.verdict_card import VERDICT_SIGNS, Card, verdict_card

PRINT_WIDTH = 78


def verdict_lines(judgement: Judgement, judge: Judge, name: str = "") -> list[str]:
    """The lines that say a judgement, with the case's name ahead."""
    head = [f"Case: {shown(name)}"] if name else []
    return head + card_lines(verdict_card(judgement, judge))


def card_lines(card: Card) -> list[str]:
    """A card as lines: verdict and headline, then each section under its title."""
    lines = wrapped(f"{VERDICT_SIGNS[card.verdict]}: {card.headline}")
    for section in card.sections:
        lines += ["", f"{section.title}:", *bulleted(section.lines)]
    return lines


def bulleted(texts: Iterable[str]) -> list[str]:
    """Texts with a dash before each; one that begins with two spaces goes under the one above."""
    lines: list[str] = []
    for text in texts:
        first, rest = ("    ", "    ") if text.startswith("  ") else ("  - ", "    ")
        lines += wrapped(text.strip(), first, rest)
    return lines


def wrapped(text: str, first: str = "", rest: str = "") -> list[str]:
    """A text in lines of at most 78 columns; control and direction characters by name."""
    return textwrap.wrap(
        shown(text, 4000),
        PRINT_WIDTH,
        initial_indent=first,
        subsequent_indent=rest,
        break_on_hyphens=False,
    ) or [""]
