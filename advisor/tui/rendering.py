"""The conversation as data, and its lines at the width of the screen. The last turns only are wrapped and shown.

What is said, as paragraphs: messages, cards, questions. Knows no widget.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from advisor.dialogue.session import Ask
from advisor.engine.evaluator import Judge
from advisor.tui.text_blocks import AS_IT_IS, BLANK, Line, Para, wrap
from advisor.wording.blocks import Block, blocks_of, under
from advisor.wording.messages import Message
from advisor.wording.verdict_card import VERDICT_SIGNS, Card, CardPart

Turn = tuple[Para, ...]

_NEVER_SAFE = "It judges by the rules named and never says that a repair is safe."
_LEADS = {"noted": "Noted: ", "reason": "Counts: ", "complaint": "Not taken: "}
_STYLES = {"do": "strong", "standing": "quiet", "note": "note", "complaint": "wrong"}
#: Kinds that stand apart from what was said before.
_APART = frozenset({"why", "why-not", "what-if", "how-sure", "word", "help", "drawing"})
#: The first of two columns, as in the list of what can be typed.
_COLUMN = 16
#: What stands before how an answer is found out.
HOW_LEAD = "How: "


def opening(judge: Judge) -> Turn:
    """What is said before the first question."""
    about = judge.rules.about
    return (
        Para(f"{about.title}, edition {about.edition}.", "title", indent=1),
        *(Para(judge.in_words(judge.rules.cautions[name].says), "", "First: ", "label", 1) for name in about.before),
        Para(about.scope, "quiet", indent=1),
        Para(f"{_NEVER_SAFE} The last word: {'; '.join(about.defers_to)}.", "quiet", indent=1),
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
    paras = [BLANK] if message.kind in _APART else []
    for place, block in enumerate(blocks_of(message.blocks)):
        paras += _block(block, lead if place == 0 or message.kind == "reason" else "", message.kind)
    return tuple(paras)


def reply_turns(messages: Sequence[Message]) -> Iterator[Turn]:
    """What is said in reply, a turn a message; answers that were taken together stand in one paragraph."""
    noted = [message for message in messages if message.kind == "noted"]
    together = len(noted) > 1 and not any(each.details for message in noted for each in blocks_of(message.blocks))
    if together:
        texts = (text for message in noted for text in message.texts)
        yield (Para(" · ".join(texts), "", _LEADS["noted"], "label", 2),)
    for message in messages:
        if message.kind != "standing" and not (together and message.kind == "noted"):
            yield message_turn(message)


def _block(block: Block, lead: str, kind: str) -> Iterator[Para]:
    """A block and, set in under it, what belongs to it."""
    if kind == "drawing":
        yield Para(block.text, AS_IT_IS, indent=1)
    elif block.role == "entry":
        yield Para(block.text, "", block.lead.ljust(_COLUMN), "key", 2)
    elif block.role == "title":
        yield Para(block.said, "title", indent=1)
    elif block.role == "beside":
        yield Para(block.text, "quiet", f"{block.lead}: ", "label", 2)
    elif block.text or not block.details:
        yield Para(block.said, _STYLES.get(kind, ""), lead, "label", 2)
    yield from _inner(block)


def _inner(block: Block) -> Iterator[Para]:
    for detail in under(block):
        if detail.role == "look":
            number, _, says = detail.said.partition(" ")
            yield Para(says, "", f"{number} ", "number", 4)
            continue
        yield Para(f"- {detail.said}" if detail.role == "item" else detail.said, "quiet", indent=4)


def card_turn(card: Card) -> Turn:
    """A verdict card: the sign word first, then each section under its title."""
    sign = VERDICT_SIGNS[card.verdict]
    head = Para(card.headline, "strong", f" {sign} ", f"sign-{card.verdict}", 1)
    return (BLANK, head, *(para for part in card.sections for para in _section(part)))


def _section(part: CardPart) -> Iterator[Para]:
    yield BLANK
    yield Para(part.title, "title", indent=1)
    for block in blocks_of(part.blocks):
        yield Para(block.said, "", "- ", "", 2)
        yield from _inner(block)


IN_THE_SAME_LINE = "In the same line, as far as it is known, commas between:"


def question_turn(ask: Ask) -> Turn:
    """A question's wording and how to find it out, without its choices."""
    part = "" if ask.question.over == "tire" else f"{ask.title.partition(':')[0].capitalize()}: "
    paras = [Para(f"{part}{ask.asks}", "ask", indent=1)]
    if ask.how:
        paras.append(Para(ask.how, "quiet", HOW_LEAD, "label", 3))
    return tuple(paras)


def beside_turn(ask: Ask) -> Turn:
    """What may be answered in the same line: what is said of it, then a paragraph for each question."""
    if not ask.beside:
        return ()
    from advisor.dialogue.prompt import taken_words

    says = taken_words([each.question for each in ask.beside])
    return (Para(IN_THE_SAME_LINE, "label", indent=3), *(Para(each, "quiet", "- ", "label", 3) for each in says))


def asked_turn(ask: Ask) -> Turn:
    """A question as it stays in the conversation once it is answered or was left out."""
    return (BLANK, question_turn(ask)[0])


#: More turns than this are not kept on the screen; the answers themselves are never dropped.
MOST_TURNS = 240
#: So many go at once, so that the work is not done at every message.
DROPPED_AT_ONCE = 60


class TurnLog:
    """Turns said so far. `new_from` is the first turn of what was said last, `count` how many there ever were.

    `reply_from` is the first turn behind the technician's own line.
    """

    def __init__(self) -> None:
        self.turns: list[tuple[Para, ...]] = []
        self.count = 0
        self.new_from = self.reply_from = 0
        self._lines: list[Line] = []
        self._starts: list[int] = []
        self._width = 0

    def begin(self) -> None:
        """What is added from here on is what was said last."""
        self.new_from = self.reply_from = len(self.turns)

    def reply(self) -> None:
        """What is added from here on answers it."""
        self.reply_from = len(self.turns)

    def add(self, turn: tuple[Para, ...]) -> None:
        """Adds a turn."""
        self.count += 1
        self.turns.append(turn)
        if len(self.turns) > MOST_TURNS:
            del self.turns[:DROPPED_AT_ONCE]
            self.new_from = max(0, self.new_from - DROPPED_AT_ONCE)
            self.reply_from = max(0, self.reply_from - DROPPED_AT_ONCE)
            self._width = 0

    def clear(self) -> None:
        """Forgets all turns."""
        self.turns.clear()
        self.new_from = self.reply_from = self._width = 0

    def lines(self, width: int) -> tuple[list[Line], int]:
        """All lines at a width, not to be changed, and where what was said last begins among them."""
        if width != self._width:
            self._lines, self._starts, self._width = [], [], width
        for turn in self.turns[len(self._starts) :]:
            self._starts.append(len(self._lines))
            self._lines.extend(wrap(turn, width))
        return self._lines, self._start_of(self.new_from)

    @property
    def reply_start(self) -> int:
        """Where among the lines last asked for the answer to the technician's own line begins."""
        return self._start_of(self.reply_from)

    def _start_of(self, turn: int) -> int:
        return self._starts[turn] if turn < len(self._starts) else len(self._lines)
