"""The conversation as data, and its lines at the width of the screen. The last turns only are wrapped and shown.

What is said, as paragraphs: messages, cards, questions. Knows no widget.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from advisor.dialogue.session import Ask
from advisor.engine.evaluator import Judge
from advisor.tui.text_blocks import AS_IT_IS, BLANK, Line, Para, wrap
from advisor.wording.messages import Message
from advisor.wording.verdict_card import VERDICT_SIGNS, Card

Turn = tuple[Para, ...]

_NEVER_SAFE = "It judges by the rules named and never says that a repair is safe."
_LEADS = {"noted": "Noted: ", "reason": "Counts: ", "complaint": "Not taken: "}
#: Two columns in one line, as in the list of what can be typed.
_COLUMNS = re.compile(r"(\S.{0,13}?)\s{2,}(\S.*)")
_COLUMN = 16


def opening(judge: Judge) -> Turn:
    """What is said before the first question."""
    about = judge.rules.about
    return (
        Para(f"{about.title}, edition {about.edition}.", "title", indent=1),
        Para(about.scope, "quiet", indent=1),
        Para(f"{_NEVER_SAFE} The last word: {'; '.join(about.defers_to)}.", "quiet", indent=1),
        *(Para(judge.in_words(judge.rules.cautions[name].says), "", "First: ", "label", 1) for name in about.before),
    )


def said_turn(text: str, apart: bool) -> Turn:
    """The technician's own line; `apart` when no question stands right above it."""
    line = Para(text, "said", "> ", "said", 1)
    return (BLANK, line) if apart else (line,)


def message_turn(message: Message) -> Turn:
    """A message as paragraphs."""
    if message.card is not None:
        return card_turn(message.card)
    lead = _LEADS.get(message.kind, "")
    gap = (BLANK,) if message.kind in ("why", "help", "drawing") else ()
    lines = message.lines
    led = {place for place, line in enumerate(lines) if place == 0 or (message.kind == "reason" and line[:2] != "  ")}
    return (*gap, *(_said_line(line, lead if place in led else "", message.kind) for place, line in enumerate(lines)))


def _said_line(line: str, lead: str, kind: str) -> Para:
    if kind == "drawing":
        return Para(line, AS_IT_IS, indent=1)
    if line.startswith("  "):
        return Para(line.strip(), "quiet", indent=4)
    if kind == "help" and (columns := _COLUMNS.fullmatch(line)):
        return Para(columns[2], "", columns[1].ljust(_COLUMN), "key", 2)
    if kind in ("help", "why") and line.endswith(":"):
        return Para(line, "title", indent=1)
    style = {"do": "strong", "standing": "quiet", "note": "note", "complaint": "wrong"}.get(kind, "")
    return Para(line.strip(), style, lead, "label", 2)


def card_turn(card: Card) -> Turn:
    """A verdict card: the sign word first, then each section under its title."""
    sign = VERDICT_SIGNS[card.verdict]
    head = Para(card.headline, "strong", f" {sign} ", f"sign-{card.verdict}", 1)
    return (BLANK, head, *(para for part in card.sections for para in _section(part.title, part.lines)))


def _section(title: str, lines: Sequence[str]) -> Iterator[Para]:
    yield BLANK
    yield Para(title, "title", indent=1)
    for line in lines:
        inner = line.startswith("  ")
        yield Para(line.strip(), "quiet", indent=4) if inner else Para(line, "", "- ", "", 2)


def question_turn(ask: Ask, number: int) -> Turn:
    """A question's wording and how to find it out, without its choices; number 0 stands for none."""
    part = "" if ask.question.over == "tire" else f"{ask.title.partition(':')[0].capitalize()}: "
    lead = f"{number}. " if number else "-  "
    paras = [BLANK, Para(f"{part}{ask.asks}", "ask", lead, "number", 1)]
    if ask.how:
        paras.append(Para(ask.how, "quiet", "How: ", "label", 3))
    return tuple(paras)


def asked_turn(ask: Ask, number: int) -> Turn:
    """A question as it stays in the conversation once it is answered, or with no number when it was left out."""
    return question_turn(ask, number)[:2]


#: More turns than this are not kept on the screen; the answers themselves are never dropped.
MOST_TURNS = 240
#: So many go at once, so that the work is not done at every message.
DROPPED_AT_ONCE = 60


class TurnLog:
    """Turns said so far. `new_from` is the first turn of what was said last, `count` how many there ever were."""

    def __init__(self) -> None:
        self.turns: list[tuple[Para, ...]] = []
        self.count = 0
        self.new_from = 0
        self._lines: list[Line] = []
        self._starts: list[int] = []
        self._width = 0

    def begin(self) -> None:
        """What is added from here on is what was said last."""
        self.new_from = len(self.turns)

    def add(self, turn: tuple[Para, ...]) -> None:
        """Adds a turn."""
        self.count += 1
        self.turns.append(turn)
        if len(self.turns) > MOST_TURNS:
            del self.turns[:DROPPED_AT_ONCE]
            self.new_from = max(0, self.new_from - DROPPED_AT_ONCE)
            self._width = 0

    def clear(self) -> None:
        """Forgets all turns."""
        self.turns.clear()
        self.new_from = self._width = 0

    def lines(self, width: int) -> tuple[list[Line], int]:
        """All lines at a width, not to be changed, and where what was said last begins among them."""
        if width != self._width:
            self._lines, self._starts, self._width = [], [], width
        for turn in self.turns[len(self._starts) :]:
            self._starts.append(len(self._lines))
            self._lines.extend(wrap(turn, width))
        start = self._starts[self.new_from] if self.new_from < len(self._starts) else len(self._lines)
        return self._lines, start
