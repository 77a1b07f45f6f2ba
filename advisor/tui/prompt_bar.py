"""What the technician is asked for now: a heading, rows to pick from, and how the input line behaves.

Takes what was picked or marked to the consultation.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Literal

from msgspec import Struct
from rich.cells import cell_len, set_cell_size

from advisor.dialogue.place_in_whole import group_of, group_place, kept_words, short_name
from advisor.dialogue.prompt import settled_now
from advisor.dialogue.session import Ask, Consultation
from advisor.engine.evaluator import Judge
from advisor.loader.answer_codec import read_typed
from advisor.model.case import CANT_TELL, Answer, Choice, Choices, Key
from advisor.model.problems import Misread, shown
from advisor.model.ruleset import Word
from advisor.tui.rendering import Turn, beside_turn, question_turn
from advisor.tui.text_blocks import Para
from advisor.wording.messages import Message


class Refused(ValueError):
    """Something typed or picked was not taken; the lines say why."""

    def __init__(self, *lines: str) -> None:
        self.lines = lines
        super().__init__(" ".join(lines))


def take_row(consultation: Consultation, row: PromptRow) -> list[Message]:
    """Takes a row of a question."""
    means = row.means
    if means == "skip":
        return consultation.skip()
    if means == "keep":
        return consultation.go_on()
    if means == "stop":
        return consultation.stop()
    if means == "none":
        return consultation.take(Choices(frozenset()))
    if means is CANT_TELL:
        return consultation.answer("can't tell")
    assert isinstance(means, Choice)
    several = consultation.ask is not None and consultation.ask.question.kind == "choices"
    return consultation.take(Choices(frozenset({means.id})) if several else means)


def take_marked(consultation: Consultation, marked: frozenset[str], row: PromptRow | None) -> list[Message]:
    """Takes the marked rows; `row` is where the arrows stand. Raises Refused where the two contradict each other."""
    if row is not None and not isinstance(row.means, Choice) and row.means not in ("keep", "stop"):
        raise Refused(f"There are marks above, and {row.says.lower()} goes against them. Space takes a mark away.")
    return consultation.take(Choices(marked))


def with_marks(consultation: Consultation, marked: frozenset[str], text: str) -> list[Message]:
    """Takes a typed line together with the marks. Raises Refused where they don't go together."""
    ask = consultation.ask
    assert ask is not None
    try:
        typed = read_typed(ask.question, text)
    except Misread:
        typed = CANT_TELL
    if not isinstance(typed, Choices) or not typed.present or typed.absent:
        raise Refused("There are marks above as well. Clear the line and press Enter to take them, or Space them away.")
    return consultation.take(Choices(marked | typed.present))


#: What the ending of a file's name saves.
SAVED_AS = {
    ".txt": "the verdict with all its parts, and the answers, as text",
    ".html": "the report as a page, to print",
    ".json": "the case, which advisor decide judges again",
}
PromptKind = Literal["question", "end", "change", "word", "file", "name", "start-over", "take-up", "quit"]


class PromptRow(Struct, frozen=True):
    """Something to pick: what is shown, its number (empty for none), and what it stands for.

    With an `answer` it is a row of a table, under the heading `group`.
    """

    says: str
    number: str
    means: Answer | Key | Word | str
    answer: str = ""
    group: str = ""


class Prompt(Struct, frozen=True):
    """What is asked for now.

    `several`: rows are marked and taken together. `text`: what the line begins with.
    `begin`: where the arrows stand at first. `given`: an earlier answer is asked again. `also`: what may be answered in
    the same line.
    """

    kind: PromptKind
    heading: Turn
    rows: tuple[PromptRow, ...] = ()
    hint: str = ""
    several: bool = False
    text: str = ""
    begin: int | None = None
    given: bool = False
    also: Turn = ()

    def row_numbered(self, text: str) -> int | None:
        """The place of the row with a number as typed."""
        wanted = text.strip()
        return next((place for place, row in enumerate(self.rows) if row.number and row.number == wanted), None)


def question_prompt(consultation: Consultation, ask: Ask) -> Prompt:
    """The prompt for a question, with can't tell and, where it may be left out, a row for that."""
    rows = _choice_rows(ask)
    if consultation.pending is None:
        rows += _other_rows(consultation, ask)
    given = consultation.case.get(ask.question.over, ask.key)
    begin = next((place for place, row in enumerate(rows) if given is not None and row.means == given), None)
    if ask.given:
        begin = next((place for place, row in enumerate(rows) if row.means == "keep"), begin)
    heading = () if ask.confirms else question_turn(ask)
    if ask.given:
        heading = (*heading, Para(ask.given, "", "Answered before: ", "label", 3))
    several = ask.question.kind == "choices"
    again = consultation.saved.asking is not None
    return Prompt("question", heading, tuple(rows), hint(ask), several, "", begin, again, beside_turn(ask))


def _choice_rows(ask: Ask) -> list[PromptRow]:
    question = ask.question
    rows = [PromptRow(choice.says, str(place), Choice(choice.id)) for place, choice in enumerate(question.choices, 1)]
    return [*rows, PromptRow("None of these", "0", "none")] if question.kind == "choices" else rows


def _other_rows(consultation: Consultation, ask: Ask) -> list[PromptRow]:
    counted = ask.question.kind == "choice"
    number = len(ask.question.choices)
    rows: list[PromptRow] = []

    def add(says: str, means: Answer | Literal["skip", "keep", "stop"], numbered: bool = counted) -> None:
        rows.append(PromptRow(says, str(number + len(rows) + 1) if numbered else "", means))

    if ask.given and not counted:
        add(f"Keep {ask.given}", "keep")
    if ask.instead and ask.key not in consultation.case.skipped:
        add(f"Can't tell: {ask.instead}", "skip")
    elif ask.optional and not ask.node.cant_tell.ending:
        add("Can't tell, or leave it out", "skip")
    else:
        add("Can't tell", CANT_TELL)
        if ask.optional:
            add("Leave it out", "skip")
    if consultation.judgement.settled and not ask.given:
        verdict = str(consultation.judgement.verdict).upper()
        surely = settled_now(consultation.judgement, consultation.judge)
        says = f"{verdict} is settled" if surely else f"{verdict} so far, with this left open"
        add(f"Stop here: {says}", "stop", numbered=False)
    return rows


def hint(ask: Ask) -> str:
    """What can be typed as an answer here, with an example of this question, in a few words for the empty line."""
    question = ask.question
    if ask.confirms:
        numbers = "1, 2 or 3" if question.choice("take") else "1 or 2"
        return f"{numbers}; not 2 takes number 2 out; or set it right: no, the steer axle"
    sentence = ", or all of it in one sentence"
    words = ", ".join(sorted((choice.id.replace("-", " ") for choice in question.choices), key=len)[:2])
    if question.or_clock:
        return f"a number, words, or a clock direction such as 1:30{sentence}"
    if question.kind == "choice":
        return f"a number or words ({words}){sentence}"
    if question.kind == "choices":
        return f"numbers or words ({words}), none; Space marks, Enter takes"
    shown_as = f" such as {question.shown_as}" if question.shown_as else ""
    if question.kind == "text":
        return f"type it{shown_as}{sentence}"
    unit = {"32nds": "32nds of an inch", "deg": "degrees"}.get(question.unit, question.unit)
    return f"a figure{f' in {unit}' if unit else ''}{shown_as}{sentence}"


def marked_before(consultation: Consultation, ask: Ask | None) -> frozenset[str]:
    """The choices that an earlier answer named."""
    if ask is None:
        return frozenset()
    given = consultation.case.get(ask.question.over, ask.key)
    return given.present if isinstance(given, Choices) else frozenset()


def end_prompt(rows: tuple[PromptRow, ...], stopped: bool, work: bool, drawn: bool, left: int = 0) -> Prompt:
    """Nothing is asked now: `stopped` when something could be, `work` when there are steps, `drawn` when drawings.

    `left`: it is settled, and so many questions are left for a whole record.
    """
    record = f"Enter: {left} more for the record, stop ends; " if left else ""
    parts = max((row.number for row in rows), default="1", key=lambda number: int(number or 0))
    typed = ("go on" * (stopped and not left), "why", "work" * work, "change", "draw" * drawn)
    return Prompt("end", (), rows, f"{record}1-{parts} opens a part; {', '.join(filter(None, typed))}")


def hint_at(hint: str, width: int) -> str:
    """A hint at a width: whole, else without the examples between brackets, else as many of its parts as fit."""
    bare = _EXAMPLES.sub("", hint)
    if cell_len(hint) <= width or cell_len(bare) <= width:
        return hint if cell_len(hint) <= width else bare
    places = (bare.rfind(sign, 0, width + 1) for sign in ("; ", ", "))
    return next((bare[:place] for place in places if place > 0), bare)


_EXAMPLES = re.compile(r" \([^()]*\)")


#: The row under a verdict that offers to name the tire.
NAME_IT = "name it"


def name_row() -> PromptRow:
    """Offers to say whose tire it was."""
    return PromptRow("Name it: casing or fleet number, plate, where it sat", "", NAME_IT)


def name_prompt() -> Prompt:
    """Whose tire it was."""
    heading = (
        Para("Casing or fleet number, then the plate, then where it sat; commas between.", "ask", indent=1),
        Para("Any of them may be left empty: T42, AB 123, drive left outer", "quiet", indent=1),
    )
    return Prompt("name", heading, hint="T42, AB 123, drive left outer; Esc leaves it without a name")


def change_prompt(consultation: Consultation) -> Prompt:
    """Which earlier answer to change."""
    heading = (Para("Which answer do you want to change?", "ask", indent=1),)
    return Prompt("change", heading, answer_rows(consultation), "a number, or arrows and Enter; Esc leaves it as is")


def answer_rows(consultation: Consultation) -> tuple[PromptRow, ...]:
    """All that was answered or left out, grouped as tire, inspection, earlier repairs, injuries; each by its number."""
    judge = consultation.judge
    said = [
        (key, name, answer if counts else f"x not counted: {answer}")
        for key, name, answer, counts in consultation.answered
    ]
    said += [(key, name, "left out") for key, name in consultation.left_out]
    rows = [
        PromptRow(short_name(name), str(number), key, answer, group_of(key, judge))
        for number, (key, name, answer) in enumerate(said, 1)
    ]
    groups = sorted({(group_place(key, judge), group_of(key, judge)) for key, *_ in said})
    return tuple(row for _, group in groups for row in rows if row.group == group)


def word_prompt(judge: Judge, asked: str) -> Prompt:
    """Which term to explain; those used in the open question come first."""
    here = asked.casefold()
    words = sorted(judge.rules.words.values(), key=lambda word: (not _used(word, here), word.title.casefold()))
    heading = (Para("Which word? Type it, or pick one.", "ask", indent=1),)
    return Prompt("word", heading, tuple(PromptRow(word.title, "", word) for word in words), "a word; Esc goes back")


def _used(word: Word, text: str) -> bool:
    return any(name.casefold() in text for name in (word.title, *word.also))


def file_prompt(name: str, folder: str) -> Prompt:
    """What the text file shall be called; without a folder of its own it goes into this one."""
    heading = (
        Para("Save under which name? Enter saves, Esc goes back.", "ask", indent=1),
        Para(f"It goes into {folder}; a folder typed ahead of the name is another.", "quiet", indent=1),
        Para("The ending of the name says what is saved:", "quiet", indent=1),
        *(Para(says, "", f"{ending:<7}", "key", 3) for ending, says in SAVED_AS.items()),
    )
    return Prompt("file", heading, hint="a file name", text=name)


def start_over_prompt(kept: bool, going: bool = False) -> Prompt:
    """Whether to begin anew; `going`: a repair was begun and is not done."""
    heading = (Para(f"Start over? {kept_words(kept, going)}", "ask", indent=1),)
    rows = (PromptRow("Yes, start over", "1", "yes"), PromptRow("No, go on here", "2", "no"))
    return Prompt("start-over", heading, rows, "1 or 2 and Enter")


def take_up_prompt(says: str) -> Prompt:
    """Whether to take up a consultation that was not brought to an end."""
    rows = (
        PromptRow("Yes, go on where it was left", "1", "yes"),
        PromptRow("No, begin another; it is offered again next time", "2", "no"),
        PromptRow("No, put it away: it is kept, and not offered again", "3", "drop"),
    )
    return Prompt("take-up", (Para(f"{says} Take it up?", "ask", indent=1),), rows, "1, 2 or 3 and Enter")


def quit_prompt() -> Prompt:
    """Whether to leave, when something would be lost."""
    heading = (Para("Leave now? Answers and verdict are not kept unless you save them (F8).", "ask", indent=1),)
    rows = (PromptRow("Yes, leave", "1", "yes"), PromptRow("No, go on here", "2", "no"))
    return Prompt("quit", heading, rows, "1 or 2 and Enter; Ctrl+Q again leaves")


def prompt_paras(prompt: Prompt, at: int | None, marked: frozenset[str], width: int = 80) -> Turn:
    """A prompt with its rows; the row at which the arrows stand has a sign before it, marked rows another."""
    paras = list(prompt.heading)
    wide = max((len(row.number) for row in prompt.rows), default=0)
    columns = name_columns(prompt.rows, width - wide - 4)
    group = ""
    for place, row in enumerate(prompt.rows):
        if row.group and row.group != group:
            group = row.group
            paras.append(Para(group, "title", indent=1))
        here = place == at
        box = _box(row, marked) if prompt.several else ""
        lead = f"{'>' if here else ' '} {box}{row.number.rjust(wide)}{' ' if wide else ''}"
        style = "at" if here else "row"
        says = table_row(row, columns, width - wide - 4) if row.answer else row.says
        paras.append(Para(says, style, lead, style if here else "number", 1, place, bool(row.answer)))
    return tuple(paras)


#: So much of a name is left where its answer takes the room.
_LEAST_NAME = 10


def name_columns(rows: Sequence[PromptRow], width: int) -> int:
    """How wide the names of a table are at a width."""
    longest = max((cell_len(shown(row.says)) for row in rows if row.answer), default=0)
    return max(_LEAST_NAME, min(longest, width * 48 // 100))


def table_row(row: PromptRow, columns: int, width: int) -> str:
    """Name and answer on one line; what is longer than its column takes what the other leaves, the answer first."""
    name = shown(row.says)
    answer = _in_short(shown(row.answer), max(4, width - columns - 2), max(4, width - _LEAST_NAME - 2))
    begins = min(max(columns, cell_len(name)) + 2, width - cell_len(answer))
    name = _fitted(name, begins - 2)
    return f"{name}{' ' * (begins - cell_len(name))}{answer}"


def _in_short(answer: str, columns: int, most: int) -> str:
    """An answer that fits, without what only explains it where it is longer: Crown (the middle of the tread)."""
    plainer = (answer, answer.partition(" (")[0], re.sub(r"^(Yes|No|None), .*", r"\1", answer))
    return next((each for each in plainer if cell_len(each) <= columns), _fitted(plainer[1], most))


def _fitted(text: str, columns: int) -> str:
    return text if cell_len(text) <= columns else f"{set_cell_size(text, columns - 1).rstrip()}…"


def _box(row: PromptRow, marked: frozenset[str]) -> str:
    if not isinstance(row.means, Choice):
        return "    "
    return "[x] " if row.means.id in marked else "[ ] "
