"""The consultation in plain lines: one prompt a question, numbered choices, append-only, no control codes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from advisor.console.verdict_lines import card_lines, section_lines, short_lines, wrapped
from advisor.dialogue.asides import said_beside
from advisor.dialogue.event_sink import Recorder, kept
from advisor.dialogue.not_counted import lost_lines
from advisor.dialogue.session import Ask, Consultation
from advisor.dialogue.talk_commands import say
from advisor.engine.evaluator import Judge
from advisor.loader.answer_codec import plain
from advisor.wording.blocks import Block, blocks_of, under
from advisor.wording.messages import Message

QUIT_WORDS = frozenset({"quit", "exit", "q"})
PROMPT = "> "
#: How a message of a kind begins.
_SIGNS = {"complaint": "Not understood: ", "noted": "Noted: ", "reason": "Counts: "}
#: The first of two columns: what can be typed, ahead of what it is for.
_LEAD_COLUMNS = 15


def opening_lines(judge: Judge) -> list[str]:
    """What is said before the first question."""
    about = judge.rules.about
    return [
        *wrapped(f"{about.title}, edition {about.edition}. {about.scope}"),
        *wrapped(
            "It judges by the rules named and never says that a repair is safe. "
            f"The last word: {'; '.join(about.defers_to)}."
        ),
        *(
            line
            for name in about.before
            for line in wrapped(f"First: {judge.in_words(judge.rules.cautions[name].says)}")
        ),
        *wrapped("Answer with a number or in your own words. Type help for what else you can type."),
    ]


def ask_lines(ask: Ask) -> list[str]:
    """A question with its choices and how to answer it."""
    where = "Question" if ask.question.over == "tire" else ask.title.partition(":")[0].capitalize()
    lines = ["", *wrapped(f"{where}: {ask.asks}")]
    lines += wrapped(f"How: {ask.how}", "  ", "  ") if ask.how else []
    for place, choice in enumerate(ask.question.choices, 1):
        lines += wrapped(f"{place} {choice.says}", "  ", "    ")
    if ask.can_be_unknown:
        lines.append(f"  {len(ask.question.choices) + 1} Can't tell")
    lines += wrapped(plain_hint(ask), "  ", "  ")
    return [*lines, *together_lines(ask)]


def together_lines(ask: Ask) -> list[str]:
    """What may be answered in the same line."""
    if not ask.beside:
        return []
    from advisor.dialogue.prompt import taken_words

    lines = ["  In the same line, as far as it is known:"]
    for each in taken_words([each.question for each in ask.beside]):
        lines += wrapped(f"- {each}", "    ", "      ")
    return lines


def offer(left: int) -> str:
    """What is left once the verdict is settled."""
    return f"Settled; {left} more for a whole record: Enter, or stop"


def again_lines(ask: Ask) -> list[str]:
    """A question that is still open, in short."""
    says = [choice.says for choice in ask.question.choices]
    says += ["Can't tell"] if ask.can_be_unknown else []
    choices = "; ".join(f"{place} {text}" for place, text in enumerate(says, 1))
    return list(wrapped(f"Still asked: {ask.asks} {choices}{' ' if choices else ''}{plain_hint(ask)}"))


def plain_hint(ask: Ask) -> str:
    """What can be typed as an answer here."""
    question = ask.question
    parts = []
    if question.kind == "choice":
        parts.append("a number or words" + (", or a clock direction such as 1:30" if question.or_clock else ""))
    elif question.kind == "choices":
        parts.append("numbers or words with commas between, none, or can't tell")
    elif question.kind == "text":
        parts.append(f"such as {question.shown_as}" if question.shown_as else "in your words")
    else:
        example = f", such as {question.shown_as}" if question.shown_as else ""
        unit = {"32nds": "32nds of an inch", "deg": "degrees", "in": "inches"}.get(question.unit, question.unit)
        parts.append(f"a figure{f' in {unit} or another unit' if unit else ''}{example}, or can't tell")
    if ask.optional:
        parts.append("skip to leave it out")
    if ask.instead:
        parts.append(f"skip to {ask.instead}")
    if ask.given:
        parts.append(f"Enter keeps: {ask.given}")
    return f"({'; '.join(parts)})"


def message_lines(message: Message) -> list[str]:
    """A message as lines."""
    if message.card is not None:
        return ["", *short_lines(message.card)]
    sign = _SIGNS.get(message.kind, "")
    lines: list[str] = []
    for place, block in enumerate(blocks_of(message.blocks)):
        lines += _block_lines(block, sign if place == 0 or message.kind == "reason" else "")
    return lines


def _block_lines(block: Block, sign: str) -> list[str]:
    """A block, and what belongs to it set in by two more."""
    lines: list[str] = []
    if block.role == "entry":
        lines += wrapped(f"{block.lead:<{_LEAD_COLUMNS}}{block.text}", "  ", " " * (2 + _LEAD_COLUMNS))
    elif block.text or not block.details:
        lines += wrapped(f"{sign}{block.said}", "  ", "  ")
    for detail in under(block):
        lines += wrapped(f"- {detail.said}" if detail.role == "item" else detail.said, "    ", "      ")
    return lines


def says_of(message: Message) -> str:
    """A message as one text for scripts: a line each, what belongs under another set in by two."""
    lines = (
        line
        for block in blocks_of(message.blocks)
        for line in (block.said, *(f"  {each.said}" for each in under(block)))
    )
    return "\n".join(lines)


def converse(
    consultation: Consultation,
    typed: Iterable[str],
    echo: Callable[[str], None],
    recorder: Recorder | None = None,
    whole: bool = True,
) -> Iterator[str]:
    """Carries a consultation on with typed lines, one after another; gives the lines to show.

    `echo` is called with each line as it is taken, for a transcript. What was said is kept by the recorder
    before anything else shows. Ends when the lines end or when the technician quits. `whole`: who reads can type no
    more once the lines have ended, so what stands behind the verdict follows then.
    """
    yield from opening_lines(consultation.judge)
    lines = iter(typed)
    shown_end, of_record, lost = False, consultation.state.kept_as, lost_lines(())
    put: Ask | None = None
    while True:
        ask = consultation.ask
        if of_record and of_record != consultation.state.kept_as:
            shown_end, put = False, None
        of_record = consultation.state.kept_as
        if ask is not None:
            again = put is not None and ask.key == put.key and ask.given == put.given
            yield from again_lines(ask) if again else ask_lines(ask)
            shown_end = False
        elif not shown_end:
            yield from message_lines(Message("card", (), consultation.card()))
            yield ""
            judgement = consultation.judgement
            done = "That is the verdict" if not judgement.missing else "That is how it stands"
            work = "type work to go through the steps, " if consultation.judge.methods.plan(judgement) else ""
            if left := consultation.for_the_record:
                yield from wrapped(f"{offer(left)}.")
                done = "That is the verdict"
            yield from wrapped(f"{done}. Ask why, {work}change an answer, go on, start over, or quit.")
            if recorder is not None and not recorder.casing:
                yield from wrapped("Name it, if you like: type casing and its number, or plate and its number.")
            yield from wrapped(f"More: type {', '.join(consultation.card().words)}, or more for all of it.")
            shown_end, lost = True, lost_lines(consultation.notes)
        put = ask
        text = next(lines, None)
        if text is None:
            break
        echo(text)
        if plain(text) in QUIT_WORDS:
            return
        messages = said_beside(recorder, consultation, text)
        messages = say(consultation, text) if messages is None else messages
        for message in [*messages, *kept(recorder, consultation)]:
            yield from message_lines(message)
        shown_end = shown_end or (consultation.ask is None and any(each.card for each in messages))
    card = consultation.card()
    if consultation.ask is not None:
        yield from ("", "The input ended here. As things stand:", "", *card_lines(card))
    elif lost != lost_lines(consultation.notes):
        yield from ("", "The input ended here. The verdict, and what was typed since:", "", *card_lines(card))
    elif whole:
        yield from ("", "The input ended here. Behind the verdict:", *section_lines(card))
