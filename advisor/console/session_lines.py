"""Runs the plain consultation on standard input and output.

The consultation in plain lines: one prompt a question, numbered choices, append-only, no control codes.
The plain consultation while its rules are edited: looks at the files while it waits, and says what came of it.
The journal in the plain face: opened, an unfinished consultation offered, and taken up where it was left.
"""

from __future__ import annotations

import os
import re
import select
import sys
import time
from collections.abc import Callable, Generator, Iterable, Iterator, Mapping
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from advisor import start
from advisor.console.printers import card_lines, wrapped
from advisor.dialogue.answer_list import so_far_lines
from advisor.dialogue.event_sink import Recorder, at_its_end, kept, look_up, said_aside
from advisor.dialogue.event_sink import take_up as resume
from advisor.dialogue.hot_reload import LiveRules
from advisor.dialogue.session import Ask, Consultation
from advisor.dialogue.talk_commands import say
from advisor.engine.evaluator import Judge
from advisor.journal.log import Journal
from advisor.journal.recorder import Keeper
from advisor.journal.resume import Offer, begin_recording, offer_in_words, offers, take_up_record
from advisor.loader.answer_codec import plain
from advisor.loader.cache import copies_folder, ready_rule_set
from advisor.loader.paths import DEFAULT_RULES, find_rule_set
from advisor.model.problems import Problems
from advisor.quick import dataclass, field, replace
from advisor.wording.messages import Message

if TYPE_CHECKING:
    from advisor.journal.signing import Signer
    from advisor.loader.watcher import Watch


QUIT_WORDS = frozenset({"quit", "exit", "q"})
PROMPT = "> "
#: What can be typed, ahead of what it is for; further lines of the second column stand under its first.
_COLUMN = re.compile(r"\S.{0,13}?\s{2,}(?=\S)")


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
    return lines


def again_lines(ask: Ask) -> list[str]:
    """A question that is still open, in short."""
    says = [choice.says for choice in ask.question.choices]
    says += ["Can't tell"] if ask.can_be_unknown else []
    choices = "; ".join(f"{place} {text}" for place, text in enumerate(says, 1))
    return wrapped(f"Still asked: {ask.asks} {choices}{' ' if choices else ''}{plain_hint(ask)}")


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
        return ["", *card_lines(message.card)]
    sign = {"complaint": "Not understood: ", "noted": "Noted: ", "reason": "Counts: "}.get(message.kind, "")
    lines: list[str] = []
    for place, text in enumerate(message.lines):
        inner = text.startswith("  ")
        lead = sign if place == 0 or (message.kind == "reason" and not inner) else ""
        column = _COLUMN.match(text) if message.kind == "help" else None
        hang = " " * (2 + column.end()) if column else "      " if inner else "  "
        lines += wrapped(f"{lead}{text.strip()}", "    " if inner else "  ", hang)
    return lines


def converse(
    consultation: Consultation,
    typed: Iterable[str],
    echo: Callable[[str], None],
    recorder: Recorder | None = None,
) -> Iterator[str]:
    """Carries a consultation on with typed lines, one after another; gives the lines to show.

    `echo` is called with each line as it is taken, for a transcript. What was said is kept by the recorder
    before anything else shows. Ends when the lines end, when the
    technician quits, or with the verdict when nothing is left to ask.
    """
    yield from opening_lines(consultation.judge)
    lines = iter(typed)
    shown_end = False
    put: Ask | None = None
    while True:
        ask = consultation.ask
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
            yield from wrapped(f"{done}. Ask why, {work}change an answer, go on, start over, or quit.")
            shown_end = True
        put = ask
        text = next(lines, None)
        if text is None:
            break
        echo(text)
        if plain(text) in QUIT_WORDS:
            return
        messages = said_aside(recorder, consultation, text)
        messages = say(consultation, text) if messages is None else messages
        for message in [*messages, *kept(recorder, consultation)]:
            yield from message_lines(message)
    if consultation.ask is not None:
        yield ""
        yield "The input ended here. As things stand:"
        yield from message_lines(Message("card", (), consultation.card()))


_LOOK_EVERY_S = 1 / 30
#: In a pipe a line waits for rules that are just being saved, so many looks at most.
MOST_LOOKS = 100


class LiveLines:
    """Looks at the files of the rules between typed lines. `recorder` gives the keeper, once there is one."""

    def __init__(self, live: LiveRules, recorder: Callable[[], Recorder | None] = lambda: None) -> None:
        self.live, self.recorder = live, recorder

    def while_waiting(self) -> None:
        """On a terminal: looks again and again until a line was typed; what there is to say shows at once."""
        if not hasattr(select, "poll"):
            return  # no waiting for a line with a time limit here; the look before each line has to do
        while not select.select([sys.stdin], [], [], _LOOK_EVERY_S)[0]:
            said = list(self._lines(self.live.look(self.recorder())))
            if said:
                sys.stdout.write("\n" + "".join(f"{line}\n" for line in said) + PROMPT)
                sys.stdout.flush()

    def before_a_line(self) -> None:
        """Before a line counts: waits until what is being saved is whole, and says what came of it."""
        looks = 0
        while self.live.watch.changed and looks < MOST_LOOKS:
            said = list(self._lines(self.live.look(self.recorder())))
            sys.stdout.write("".join(f"{line}\n" for line in said))
            looks += 1
            if not said:
                time.sleep(_LOOK_EVERY_S)

    def _lines(self, messages: list[Message]) -> Iterator[str]:
        if not messages:
            return
        for message in messages:
            yield from message_lines(message)
        consultation = self.live.consultation
        ask = consultation.ask
        yield from ask_lines(ask) if ask is not None else message_lines(Message("card", (), consultation.card()))


GO_ON_WORDS = frozenset({"go on", "yes", "y", "1", "resume"})
DROP_WORDS = frozenset({"drop", "3"})


class PlainRecording:
    """One consultation in the plain face and its journal. Raises NewerJournal."""

    def __init__(self, folder: Path, now: Callable[[], datetime], consultation: Consultation) -> None:
        self.journal = Journal(folder, now)
        self.consultation = consultation
        self.rules = consultation.judge.rules
        self.keeper: Keeper = begin_recording(self.journal, self.rules)

    def opening(self, typed: Iterator[str], ask: bool, resume: bool, about: Mapping[str, str]) -> Iterator[str]:
        """The lines before the first question; asks whether to go on only where `ask`."""
        yield from self._noticed()
        waiting = offers(self.journal, self.rules.about.id) if ask or resume else []
        if waiting and (resume or (yield from self._asked(waiting[0], len(waiting) - 1, typed))):
            yield from self._take_up(waiting[0])
        elif resume:
            yield from wrapped("There is no unfinished consultation by these rules. A new one begins.")
        for name, words in about.items():
            self.keeper.add_first(name, words)
        if self.keeper.casing:
            yield from self._said(look_up(self.keeper, self.consultation, self.keeper.casing))
        if technician := about.get("technician", ""):
            self.consultation.become(replace(self.consultation.state, technician=technician))

    def _asked(self, offer: Offer, more: int, typed: Iterator[str]) -> Generator[str, None, bool]:
        yield from wrapped(offer_in_words(offer, more))
        yield from wrapped("Type go on to take it up, new to begin another, or drop to put it away.")
        word = plain(next(typed, "new"))
        if word in DROP_WORDS and (taken := take_up_record(self.journal, offer, self.rules)):
            taken.keeper.leave()
            yield from self._noticed()
        return word in GO_ON_WORDS

    def _take_up(self, offer: Offer) -> Iterator[str]:
        taken = take_up_record(self.journal, offer, self.rules)
        if taken is None:
            yield from wrapped("It was just taken up in another window. A new one begins.")
            return
        self.keeper = taken.keeper
        self.consultation.become(replace(self.consultation.state, technician=offer.summary.technician))
        heard = resume(self.consultation, taken.saved, taken.notes, taken.work, taken.heard)
        for line in ("Taken up where it was left.", *taken.says, *so_far_lines(self.consultation)):
            yield from wrapped(line)
        yield from self._said(heard)

    @staticmethod
    def _said(messages: Iterable[Message]) -> Iterator[str]:
        for message in messages:
            yield from message_lines(message)

    def _noticed(self) -> Iterator[str]:
        for line in self.journal.take_notices():
            yield from wrapped(line)

    def close(self) -> Iterator[str]:
        """Closes the journal; gives what is to be said."""
        if at_its_end(self.consultation):
            self.keeper.end()
        for line in self.journal.close():
            yield from wrapped(line)


@dataclass(frozen=True, slots=True)
class Kept:
    """Whether and where a consultation is kept: `folder` '' stands for the user's own one, on a terminal only.

    `about` is what is said of it beside its answers: casing, technician, plate. `watch` is whether the rules are
    looked at again while it goes on.
    """

    folder: str = ""
    resume: bool = False
    never: bool = False
    about: Mapping[str, str] = field(default_factory=dict)
    signer: Signer | None = None
    watch: bool = False


NOTHING_SAID_OF_KEEPING = Kept()


def run_plain(rules: list[str], kept: Kept = NOTHING_SAID_OF_KEEPING) -> int:
    """The consultation in plain lines; gives the exit code. End of input says what is known so far."""
    try:
        folder = find_rule_set(rules[-1] if rules else DEFAULT_RULES)
        watch = _watch(folder) if kept.watch else None
        judge = Judge(ready_rule_set(folder, copies_folder(os.environ)))
    except Problems as error:
        sys.stderr.write(f"{error}\n")
        return 2
    start.done()
    consultation = Consultation(judge, date.today(), datetime.now)
    on_terminal = sys.stdin.isatty()
    live = _live(consultation, watch) if watch is not None else None
    if not kept.never and (kept.folder or kept.resume or on_terminal):
        return _recorded(consultation, kept, on_terminal, live)
    for line in converse(consultation, _typed(on_terminal, live), lambda text: _echo(text, on_terminal)):
        sys.stdout.write(f"{line}\n")
    return 0


def _recorded(consultation: Consultation, kept: Kept, on_terminal: bool, live: LiveLines | None) -> int:
    from advisor.journal.data_folder import data_folder
    from advisor.journal.log import NewerJournal

    try:
        recording = PlainRecording(data_folder(kept.folder, os.environ), datetime.now, consultation)
    except NewerJournal as error:
        sys.stderr.write(f"{error}\n")
        return 2
    recording.journal.signer = kept.signer
    if live is not None:
        live.recorder = lambda: recording.keeper
    typed = _typed(on_terminal, live)
    try:
        for line in recording.opening(typed, on_terminal, kept.resume, kept.about):
            sys.stdout.write(f"{line}\n")
        talk = converse(consultation, typed, lambda text: _echo(text, on_terminal), recording.keeper)
        for line in talk:
            sys.stdout.write(f"{line}\n")
    finally:
        for line in recording.close():
            sys.stdout.write(f"{line}\n")
    return 0


def _watch(folder: Path) -> Watch:
    from advisor.loader.watcher import Watch

    return Watch(folder)


def _live(consultation: Consultation, watch: Watch) -> LiveLines:
    from advisor.dialogue.hot_reload import LiveRules

    return LiveLines(LiveRules(consultation, watch))


def _typed(on_terminal: bool, live: LiveLines | None) -> Iterator[str]:
    """The lines typed; bytes that are not UTF-8 are taken as signs for them, nothing is lost."""
    while True:
        sys.stdout.write(PROMPT if on_terminal else "")
        sys.stdout.flush()
        if live is not None and on_terminal:
            live.while_waiting()
        line = sys.stdin.buffer.readline()
        if not line:
            if on_terminal:
                sys.stdout.write("\n")
            return
        if live is not None:
            live.before_a_line()
        yield line.decode("utf-8", "backslashreplace").rstrip("\r\n")


def _echo(text: str, on_terminal: bool) -> None:
    """In a pipe or log the line taken is written out, so that the log can be read by itself."""
    if not on_terminal:
        from advisor.model.problems import shown

        sys.stdout.write(f"{PROMPT}{shown(text)}\n")
