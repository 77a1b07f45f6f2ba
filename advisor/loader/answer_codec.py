"""Every text of an answer goes through here: typed, of a case file, a cell of a row, the journal's data, a sentence.

`write` and `read` are inverse, so what is kept of an answer gives the same answer back; so are `written` (the answer as
a case file holds it) and `read_written`, and `cell_of` and `answer_of_cell`. What an earlier edition of this program
kept in a form that read otherwise is taken with the meaning that it had then.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from msgspec.structs import replace

from advisor.domain.clock import read_clock
from advisor.model import inputs
from advisor.model.case import CANT_TELL, Answer, Choice, Choices, Readings, Text
from advisor.model.problems import Misread, closest, shown
from advisor.model.quantity import UNITS, Measure, in_words, read_measure
from advisor.model.ruleset import ChoiceText, Question

if TYPE_CHECKING:
    import yaml

    from advisor.loader.reader import Diagnostics

MOST_READINGS = 60
LONGEST_TEXT = 500
CANT_TELL_WORD = "cant-tell"
NONE_WORD = "none"
#: In a cell, beside what was found and what was not: the rest was not looked for yet.
REST_OPEN = "the rest not looked for"
_LIKE_CLOCK = re.compile(r"\s*\d{1,4}\s*(?::|o'? ?clock|deg|°|\.\d|-)", re.IGNORECASE)


# What an answer may be, however it was given


def checked(measure: Measure, question: Question) -> Measure:
    """The measure, if it lies in the question's plausible range; otherwise Misread, which names the range."""
    plausible = question.plausible
    if plausible is None:
        return measure
    here = measure.to(plausible.unit)
    if plausible.low <= here.low and here.high <= plausible.high:
        return measure
    raise Misread(shown(f'"{measure}"', 80), f"{question.name} from {in_words(plausible)}", "measure or type it again")


def clock_direction(question: Question, text: str) -> Measure | None:
    """The clock direction in a text, where the question takes one; None for a text without a clock or degrees.

    Raises Misread for 13:00 and the like.
    """
    if not question.or_clock or not _LIKE_CLOCK.match(text):
        return None
    try:
        return read_clock(text)
    except Misread as error:
        do = "give 12:00 for towards the serial side, 3:00 for on round the tire as the clock runs"
        raise Misread(error.found, "a choice, or a clock direction such as 1:30 or 1:00-2:00", do) from None


def said_figure(question: Question, text: str) -> Measure | None:
    """The figure that words stand for, such as a wear bar flush with the tread; None for other words."""
    figure = question.figures_said.get(" ".join(text.casefold().split()).rstrip(".!"))
    return replace(figure, typed=f"{text.strip()} ({figure})") if figure else None


def with_unit(text: str, question: Question) -> Measure:
    """The measure in a text; where its unit is missing, the error names the plausible range too. Raises Misread."""
    try:
        return read_measure(text, question.quantity)
    except Misread as error:
        if question.plausible is None or "without a unit" not in error.found:
            raise
        expected = f"{error.expected}, plausible from {in_words(question.plausible)}"
        raise Misread(error.found, expected, error.do, error.nearest) from None


def looked_for(question: Question, present: Iterable[str], absent: Iterable[str]) -> Choices:
    """What was found, and what was looked for and not found; where that is all there is, everything was looked for.

    Raises Misread for what is said to be both.
    """
    found, not_found = frozenset(present), frozenset(absent)
    if both := sorted(found & not_found):
        raise Misread(f"{', '.join(both)} both found and not found", "each finding once", "take one out")
    whole = {choice.id for choice in question.choices} <= found | not_found
    return Choices(found, None if whole else not_found)


def _readings_of(measures: Iterable[Measure]) -> Readings:
    readings = tuple(measures)
    if len(readings) > MOST_READINGS:
        raise Misread(f"{len(readings)} readings", f"at most {MOST_READINGS}", "give the lowest ones")
    return Readings(readings)


def check_fit(answer: Answer, question: Question) -> None:
    """Checks an answer that was kept against its question. Raises Misread."""
    if answer is CANT_TELL:
        return
    fits = {"choice": Choice, "choices": Choices, "measure": Measure, "readings": Readings, "text": Text}
    direction = question.or_clock and isinstance(answer, Measure)
    kind = Measure if direction else fits.get(question.kind, Measure)
    if not isinstance(answer, kind):
        raise Misread(shown(f'"{answer}"', 60), f"an answer of the kind {question.kind}")
    if isinstance(answer, Choice):
        _known(frozenset({answer.id}), question)
    elif isinstance(answer, Choices):
        _known(answer.present | (answer.absent or frozenset()), question)
        if answer.present & (answer.absent or frozenset()):
            raise Misread(shown(f'"{answer}"', 60), "each finding once")
    elif isinstance(answer, Text):
        if len(answer.text) > LONGEST_TEXT:
            raise Misread(f"{len(answer.text)} characters", f"at most {LONGEST_TEXT}")
    elif isinstance(answer, Readings):
        if not 0 < len(answer.readings) <= MOST_READINGS:
            raise Misread(f"{len(answer.readings)} readings", f"1 to {MOST_READINGS}")
        for reading in answer.readings:
            _check_measure(reading, question)
    elif isinstance(answer, Measure):
        _check_measure(answer, question)


def _known(names: frozenset[str], question: Question) -> None:
    unknown = names - {choice.id for choice in question.choices}
    if unknown:
        raise Misread(f'"{shown(min(unknown), 60)}"', f"one of: {', '.join(each.id for each in question.choices)}")


def _check_measure(answer: Measure, question: Question) -> None:
    quantity = question.quantity or "angle"
    if answer.quantity != quantity:
        raise Misread(f'"{shown(str(answer), 60)}"', f"a figure of {quantity}")
    if question.kind == inputs.CLOCK_KIND or question.or_clock:
        read: Measure | None = _read_again(answer, read_clock)
        if answer.unit != "deg" or not 0 <= answer.low < 360 or answer.high >= answer.low + 360:
            raise Misread(f'"{shown(str(answer), 60)}"', "a clock position")
    else:
        checked(answer, question)
        read = _read_again(answer, lambda text: read_measure(text, quantity, answer.unit))
    if read is not None and (read.low, read.high, read.unit) != (answer.low, answer.high, answer.unit):
        raise Misread(f'"{shown(answer.typed, 60)}" beside another figure', "the figure that was typed")


def _read_again(answer: Measure, read: Callable[[str], Measure]) -> Measure | None:
    """What was typed, read once more; None where it can't be, as with words that stand for a figure."""
    try:
        return read(answer.typed) if answer.typed else None
    except Misread:
        return None


# Typed: a number from the list, words, figures with or without units

CANT_TELL_WORDS = frozenset({
    "can't tell", "cant tell", "cant-tell", "can not tell", "cannot tell", "can't say", "cant say", "don't know",
    "dont know", "do not know", "i don't know", "i dont know", "dunno", "dk", "idk", "no idea", "not sure", "unsure",
    "unknown", "no clue", "hard to tell", "can't see", "cant see", "no way to tell", "can't be told",
})  # fmt: skip
LEAVES_OUT = frozenset({"skip", "leave it out", "leave out", "left out"})
#: Words for yes and no that are not in a question's own list.
OTHER_YES = frozenset({"yep", "yup", "yeah", "ya", "aye", "yessir"})
OTHER_NO = frozenset({"nope", "nah", "naw", "nay"})
YES_OR_NO = OTHER_YES | OTHER_NO | {"yes", "y", "no", "n"}
NONE_WORDS = OTHER_NO | {
    "none", "nothing", "no", "none of them", "none of these", "nothing else", "all clear", "nothing found",
    "none found",
}  # fmt: skip
#: A choice may be typed by its beginning from this many letters on; shorter ones are too easily meant otherwise.
SHORTEST_BEGINNING = 4
_ITEM = re.compile(r"\s*(?:[,;]|\band\b|\+)\s+|\s*;\s*|,(?=\D)")
#: One to three digits, a comma and just three digits: thousands, or a decimal comma. `more`: it can be but the first.
_THOUSANDS = re.compile(r"(?<![\d.,])[1-9]\d{0,2},\d{3}(?P<more>(?:,\d{3})+|\.\d+)?(?![\d,])")
#: Several figures with blanks between them, and a unit each or none.
_SPACED = re.compile(r"\d+(?:[.,]\d+)?(?:/\d+)?\s*(?:mm|cm|in|inch|inches|32nds|\"|″)?(?=\s|$)", re.I)
_MIXED = re.compile(r"\d+\s+\d+/(?!32)\d+")
_UNIT_AT_END = re.compile(r"\d\s*(mm|cm|in|inch|inches|32nds|\"|″)$", re.I)
#: A bare figure under one: by itself nobody can say whether inches or millimetres are meant.
_BARE_PART = re.compile(r"0?[.,]\d+")


@lru_cache(maxsize=10_000)
def plain(text: str) -> str:
    """A text made comparable: lower case, straight apostrophes, single spaces, no closing dot."""
    return " ".join(text.replace("’", "'").casefold().split()).rstrip(".!")


def is_cant_tell(text: str) -> bool:
    """Whether a text says that it can't be told."""
    return plain(text) in CANT_TELL_WORDS


#: A number of the list with a sign about it: #2, (2), 2., "2".
_LISTED = re.compile(r"""\s*["'(\[#]*\s*(?P<number>\d{1,2})\s*[)\].:"'!]*\s*""")


def read_typed(question: Question, text: str) -> Answer:
    """The answer that a typed text gives. Raises Misread with what was found and what was expected."""
    if is_cant_tell(text):
        return CANT_TELL
    listed = _LISTED.fullmatch(text) if question.choices else None
    return _TYPED[question.kind](question, listed["number"] if listed else text)


def _typed_choice(question: Question, text: str) -> Answer:
    if plain(text) == str(len(question.choices) + 1):
        return CANT_TELL
    return clock_direction(question, text) or Choice(_one(question, text).id)


def _one(question: Question, text: str) -> ChoiceText:
    word = plain(text)
    if word.isascii() and word.isdigit():
        if 1 <= int(word[:6]) <= len(question.choices):
            return question.choices[int(word[:6]) - 1]
        raise _no_choice(question, text)
    word = "yes" if word in OTHER_YES else "no" if word in OTHER_NO else word
    exact = [choice for choice in question.choices if word in words_for(choice)]
    begun = exact
    if not exact and len(word) >= SHORTEST_BEGINNING:
        begun = [choice for choice in question.choices if any(name.startswith(word) for name in words_for(choice))]
    if len(begun) == 1:
        return begun[0]
    if begun:
        fits = ", ".join(choice.says for choice in begun)
        raise Misread(f'"{shown(text, 60)}", which fits several', f"one of: {fits}", "type its number")
    raise _no_choice(question, text)


@lru_cache(maxsize=5_000)
def words_for(choice: ChoiceText) -> tuple[str, ...]:
    """What a choice goes by when it is typed: its ids, what it says, other words."""
    says = plain(choice.says)
    ids = (name for each in (choice.id, *choice.formerly) for name in (each.casefold(), each.replace("-", " ")))
    return (*ids, says, says.partition(" (")[0], *map(plain, choice.also))


def bare_choice(question: Question, text: str) -> str:
    """The choice that a bare yes or no stands for, in whatever word; empty for none."""
    word = plain(text)
    said = "yes" if word in OTHER_YES | {"yes", "y"} else "no" if word in OTHER_NO | {"no", "n"} else ""
    return said if question.choice(said) else ""


def _no_choice(question: Question, text: str) -> Misread:
    words = [name for choice in question.choices for name in words_for(choice)]
    numbers = f"a number from 1 to {len(question.choices) + (question.kind == 'choice')}, or the words beside it"
    return Misread(f'"{shown(text, 60)}"', numbers, "type it again, or can't tell", closest(plain(text), words))


def _typed_choices(question: Question, text: str) -> Answer:
    if plain(text) in NONE_WORDS or plain(text) == "0":  # the number of "none" on the screen
        return Choices(frozenset())
    present, absent = set[str](), set[str]()
    for item in _items(text):
        word = plain(item)
        if re.match(r"no\.? ?\d", word):
            raise Misread(f'"{shown(item.strip(), 60)}"', "the number alone, or no and what was not found", "say which")
        if word.startswith("no ") and len(word) > len("no "):
            absent.add(_one(question, item.strip()[len("no ") :]).id)
        else:
            present.add(_one(question, item).id)
    if absent:
        return looked_for(question, present, absent)
    return Choices(frozenset(present))


def _items(text: str) -> Iterable[str]:
    if re.fullmatch(r"[\d\s,;]+", text):
        return re.findall(r"\d+", text)
    return [item for item in _ITEM.split(text) if item.strip()]


def _without_thousands(text: str, question: Question) -> str:
    """A text whose comma parts thousands, without it: where only that can be meant. Raises Misread where either can."""
    found = _THOUSANDS.search(text)
    if found is None:
        return text
    bare = text[: found.start()] + found[0].replace(",", "") + text[found.end() :]
    if found["more"]:
        return bare

    def likely(typed: str) -> bool:
        try:
            checked(read_measure(typed, question.quantity, question.unit), question)
        except Misread:
            return False
        return True

    if likely(bare) and not likely(text):
        return bare
    comma = found[0].replace(",", ".")
    raise Misread(f'"{shown(text, 60)}"', f"{found[0].replace(',', '')} or {comma}", "type it without the comma")


def _of_words(question: Question, text: str) -> str:
    """The figure that words stand for, such as flat, as typed; the text where they stand for none."""
    word = plain(text).removeprefix("it is ").removeprefix("it's ")
    return next((figure for figure, words in question.words_for.items() if word in words), text)


def _typed_measure(question: Question, text: str) -> Answer:
    text = _without_thousands(_of_words(question, text), question)
    if question.quantity == "length" and question.unit == "mm" and _BARE_PART.fullmatch(text.strip()):
        bare = text.strip()
        raise Misread(f'"{bare}" without a unit', f"{bare} in or {bare} mm", "type it with its unit")
    return checked(read_measure(text, question.quantity, question.unit), question)


def _readings_in_text(text: str) -> list[str]:
    """The readings of a text, with commas or with blanks between them; a unit at the end counts for all of them."""
    words = text.strip()
    spaced = _SPACED.findall(words)
    if len(spaced) > 1 and not _MIXED.search(words) and not _SPACED.sub("", words).strip():
        items = [item.strip() for item in spaced]
    else:
        items = [item.strip() for item in _items(text)]
    unit = _UNIT_AT_END.search(items[-1]) if items else None
    return [
        f"{item} {unit[1]}" if unit and item.replace(".", "").replace(",", "").isdecimal() else item for item in items
    ]


def _typed_readings(question: Question, text: str) -> Answer:
    readings = [
        said_figure(question, item) or checked(read_measure(item, question.quantity, question.unit), question)
        for item in _readings_in_text(text)
    ]
    if not readings:
        raise Misread(f'"{shown(text, 60)}"', "a reading such as 9/32, or several: 9/32, 8/32", "type it again")
    return _readings_of(readings)


def _typed_text(question: Question, text: str) -> Answer:
    words = " ".join(shown(text, LONGEST_TEXT + 1).split())
    if not words or len(words) > LONGEST_TEXT:
        raise Misread(f'"{shown(text, 60)}"', f"some words, at most {LONGEST_TEXT} characters", "type it again")
    return Text(words)


def _typed_clock(question: Question, text: str) -> Answer:
    return read_clock(text)


_TYPED: dict[str, Callable[[Question, str], Answer]] = {
    "choice": _typed_choice,
    "choices": _typed_choices,
    "measure": _typed_measure,
    "readings": _typed_readings,
    "text": _typed_text,
    inputs.CLOCK_KIND: _typed_clock,
}


# As a case file writes it: ids of choices, figures with their units, lists


def written(answer: Answer) -> Any:
    """An answer as a case file holds it: a text, a list of texts, or what was found and not found by name.

    `read_written` gives the same answer back, but for the words in which a measure without any was told.
    """
    if answer is CANT_TELL:
        return CANT_TELL_WORD
    if isinstance(answer, Choices):
        if answer.absent is not None:
            return {"present": sorted(answer.present), "absent": sorted(answer.absent)}
        return sorted(answer.present) or [NONE_WORD]
    if isinstance(answer, Readings):
        return [_reading_written(each) for each in answer.readings]
    return str(answer)


def _reading_written(reading: Measure) -> str:
    """A reading; of words that stand for a figure the words alone, as the figure is the rule set's to say."""
    words, bracket, _ = reading.typed.partition(" (")
    return words if bracket else str(reading)


def read_written(question: Question, text: str) -> Answer:
    """The answer in one text of a case file. Raises Misread."""
    if text == CANT_TELL_WORD:
        return CANT_TELL
    return _WRITTEN[question.kind](question, text)


def _written_choice(question: Question, word: str) -> Answer:
    if meant := _choice_meant(question, word):
        return Choice(meant)
    if direction := clock_direction(question, word):
        return direction
    known = [choice.id for choice in question.choices]
    others = "cant-tell, or a clock direction as 1:30" if question.or_clock else CANT_TELL_WORD
    nearest = closest(word, [*known, CANT_TELL_WORD])
    raise Misread(f'"{shown(word, 60)}"', f"one of: {', '.join(known)}, {others}", "correct it", nearest)


def _written_measure(question: Question, text: str) -> Answer:
    return checked(with_unit(text, question), question)


def _written_reading(question: Question, text: str) -> Measure:
    return said_figure(question, text) or checked(with_unit(text, question), question)


def read_readings(question: Question, texts: Iterable[str]) -> Readings:
    """Several readings, each as a case file writes it. Raises Misread."""
    return _readings_of(_written_reading(question, text) for text in texts)


def _written_readings(question: Question, text: str) -> Answer:
    return read_readings(question, (text,))


def _written_text(question: Question, text: str) -> Answer:
    if len(text) > LONGEST_TEXT:
        raise Misread(f"{len(text)} characters", f"at most {LONGEST_TEXT}", "shorten it")
    return Text(text)


def _choice_meant(question: Question, word: str) -> str:
    """The id of the choice that bears a word as its id, or bore it; an empty text where none does."""
    found = question.choice(word) or question.choice(question.choice_now(word))
    return found.id if found else ""


def _written_word(question: Question, word: str) -> Answer:
    found = frozenset({_choice_meant(question, word) or word}) - {NONE_WORD}
    _known(found, question)
    return Choices(found)


_WRITTEN: dict[str, Callable[[Question, str], Answer]] = {
    "choice": _written_choice,
    "choices": _written_word,
    "measure": _written_measure,
    "readings": _written_readings,
    "text": _written_text,
    inputs.CLOCK_KIND: _typed_clock,
}


def read_answer(question: Question, node: yaml.Node, notes: Diagnostics) -> Answer | None:
    """The answer in a node of a case file, or None with a problem noted at its place."""
    from advisor.loader import reader

    if node.value == CANT_TELL_WORD:
        return CANT_TELL
    try:
        if question.kind == "choices":
            return _choices_of(question, node, notes)
        if question.kind == "readings":
            return _readings_in(question, node, notes)
        text = reader.text_of(node, notes, question.key)
        return read_written(question, text) if text else None
    except Misread as error:
        found = f"{error.found} for {question.key}"
        notes.add("bad-answer", node, found, error.expected, error.do or "correct it", error.nearest)
        return None


def _choices_of(question: Question, node: yaml.Node, notes: Diagnostics) -> Answer | None:
    import yaml

    if isinstance(node, yaml.MappingNode):
        return _looked_for_in(question, node, notes)
    words = _words(question, node, notes)
    if CANT_TELL_WORD in words:
        return Choices(frozenset(words) - {CANT_TELL_WORD}, frozenset())
    if NONE_WORD in words and len(words) > 1:
        raise Misread('"none" beside something found', '"none" alone, or what was found', "take one of them out")
    return Choices(frozenset(words) - {NONE_WORD}) if words else None


def _looked_for_in(question: Question, node: yaml.Node, notes: Diagnostics) -> Answer:
    """`{absent: […]}`: looked for and not found; the rest was not looked for yet. `present` may stand beside it."""
    from advisor.loader import reader

    sets: dict[str, frozenset[str]] = {"present": frozenset(), "absent": frozenset()}
    for key, key_node, value in reader.pairs_of(node, notes, question.key):
        if key in sets:
            sets[key] = frozenset(_words(question, value, notes)) - {NONE_WORD, CANT_TELL_WORD}
        else:
            notes.add(
                "unknown-key",
                key_node,
                f'the key "{shown(key, 60)}" in {question.key}',
                "absent, or present and absent",
                "correct it",
                closest(key, sets),
            )
    return looked_for(question, sets["present"], sets["absent"])


def _words(question: Question, node: yaml.Node, notes: Diagnostics) -> list[str]:
    from advisor.loader import reader

    known = [choice.id for choice in question.choices]
    allowed = {*known, NONE_WORD, CANT_TELL_WORD}
    words = []
    for item in reader.items_of(node, notes, question.key):
        word = reader.text_of(item, notes, question.key)
        if word in allowed:
            words.append(word)
        elif known_as := _choice_meant(question, word):
            words.append(known_as)
        elif word:
            notes.add(
                "bad-answer",
                item,
                f'"{shown(word, 60)}" for {question.key}',
                f"one of: none, {', '.join(known)}, cant-tell",
                "correct it",
                closest(word, known),
            )
    return words


def _readings_in(question: Question, node: yaml.Node, notes: Diagnostics) -> Answer | None:
    from advisor.loader import reader

    items = reader.items_of(node, notes, question.key)
    _readings_of(() if len(items) <= MOST_READINGS else (_NO_READING,) * len(items))
    readings = []
    for item in items:
        try:
            text = reader.text_of(item, notes, question.key)
            if text:
                readings.append(_written_reading(question, text))
        except Misread as error:
            notes.add("bad-answer", item, f"{error.found} for {question.key}", error.expected, error.do or "correct it")
    return Readings(tuple(readings)) if readings else None


_NO_READING = Measure(Fraction(0), Fraction(0), "mm")


# A cell of a row: the same texts, several of them with semicolons between. `read_plain` may remember what it read.

if TYPE_CHECKING:
    CellReader = Callable[[Question, str, Diagnostics], Answer | None]


def cell_of(answer: Answer, question: Question, read_plain: CellReader | None = None) -> str:
    """An answer as a cell that gives the same answer back; what no plain text gives back is written as JSON."""
    from advisor.loader import reader

    text = _cell_text(answer)
    if text and not text.startswith("{"):
        notes = reader.Diagnostics("")
        if (read_plain or read_cell)(question, text, notes) == answer and not notes.problems:
            return text
    import json

    return json.dumps({"answer": write(answer)}, sort_keys=True, separators=(",", ":"))


def _cell_text(answer: Answer) -> str:
    if isinstance(answer, Choices):
        absent = [f"no {name}" for name in sorted(answer.absent or ())]
        rest = [] if answer.complete else [*absent, REST_OPEN]
        return "; ".join([*sorted(answer.present), *rest]) or NONE_WORD
    if isinstance(answer, Readings):
        return "; ".join(map(str, answer.readings))
    return str(written(answer))


def answer_of_cell(
    text: str, question: Question, notes: Diagnostics, read_plain: CellReader | None = None
) -> Answer | None:
    """The answer in a cell of ours; None for an empty one, or with a problem noted. Raises Misread."""
    if not text.startswith('{"answer":'):
        return (read_plain or read_cell)(question, text, notes)
    import json

    try:
        data = json.loads(text)
    except (ValueError, RecursionError):
        data = None
    if not isinstance(data, Mapping) or set(data) != {"answer"}:
        raise Misread(f"the cell of {question.key}", "an answer as this program writes it")
    return read(data["answer"])


def read_cell(question: Question, text: str, notes: Diagnostics) -> Answer | None:
    """The answer in a cell of a row; None for an empty one, or with a problem noted."""
    from advisor.loader import reader

    text = text.strip()
    if not text:
        return None
    node, list_node = reader.text_node, reader.list_node
    several = question.kind in ("choices", "readings")
    items = [item.strip() for item in text.split(";") if item.strip()] if several else []
    if not items or items == [CANT_TELL_WORD]:
        return read_answer(question, node(items[0] if items else text), notes)
    absent = [item[len("no ") :].strip() for item in items if item.startswith("no ")]
    if question.kind == "choices" and (absent or REST_OPEN in items):
        present = [item for item in items if not item.startswith("no ") and item != REST_OPEN]
        return read_answer(question, reader.lists_node({"present": present, "absent": absent}), notes)
    return read_answer(question, list_node(items), notes)


# Plain data for the journal, exact: figures as fractions, and what was typed

_LONGEST_KEPT = 2000
MOST_ITEMS = 1000
#: Questions left out, each with its injury or earlier repair.
MOST_LEFT_OUT = 20_000
_FRACTION = re.compile(r"-?[0-9]{1,40}(?:/[0-9]{1,40})?")
#: How a bare figure was kept that was asked for in 32nds, when the words typed got this behind them as they were.
_BARE_32NDS = "/32 in"


def write(answer: Answer) -> Any:
    """An answer as plain data."""
    if answer is CANT_TELL:
        return CANT_TELL_WORD
    if isinstance(answer, Choice):
        return {"choice": answer.id}
    if isinstance(answer, Choices):
        absent = None if answer.absent is None else sorted(answer.absent)
        return {"present": sorted(answer.present), "absent": absent}
    if isinstance(answer, Readings):
        return {"readings": [_measure_data(reading) for reading in answer.readings]}
    if isinstance(answer, Measure):
        return _measure_data(answer)
    return {"text": str(answer)}


def _measure_data(measure: Measure) -> dict[str, str]:
    data = {"low": str(measure.low), "unit": measure.unit}
    if not measure.exact:
        data["high"] = str(measure.high)
    if measure.typed:
        data["typed"] = measure.typed
    return data


def read(data: Any, question: Question | None = None) -> Answer:
    """The answer in plain data, held against its question where that is given.

    Raises Misread for anything that `write` does not give, and for what does not fit the question.
    """
    answer = _of_data(data)
    if question is not None:
        check_fit(answer, question)
    return answer


def _of_data(data: Any) -> Answer:
    if data == CANT_TELL_WORD:
        return CANT_TELL
    keys = frozenset(mapping_in(data, "an answer"))
    if keys == {"choice"}:
        return Choice(text_in(data["choice"]))
    if keys == {"text"}:
        return Text(text_in(data["text"]))
    if keys == {"present", "absent"}:
        absent = data["absent"]
        return Choices(_names_in(data["present"]), None if absent is None else _names_in(absent))
    if keys == {"readings"}:
        return Readings(tuple(_measure_in(item) for item in list_in(data["readings"], "readings")))
    return _measure_in(data)


def _measure_in(data: Any) -> Measure:
    keys = frozenset(mapping_in(data, "a measure"))
    if not {"low", "unit"} <= keys <= {"low", "high", "unit", "typed"}:
        raise bad_data(data, "a measure with low, unit, and high and typed where needed")
    low = _fraction(data["low"])
    high = _fraction(data.get("high", data["low"]))
    unit = text_in(data["unit"])
    if unit not in UNITS or low > high:
        raise bad_data(data, "a known unit, and low not above high")
    return _as_typed_today(Measure(low, high, unit, text_in(data.get("typed", ""))))


def _as_typed_today(kept: Measure) -> Measure:
    """A bare figure kept by an earlier edition as `8-10/32 in`, which reads as 8 10/32, as it is kept today."""
    if kept.unit != "32nds" or not kept.typed.endswith(_BARE_32NDS):
        return kept
    try:
        today = read_measure(kept.typed.removesuffix(_BARE_32NDS), "length", kept.unit)
    except Misread:
        return kept
    return today if (today.low, today.high) == (kept.to(today.unit).low, kept.to(today.unit).high) else kept


def _fraction(data: Any) -> Fraction:
    found = _read_fraction(data) if isinstance(data, str) else None
    if found is None:
        raise bad_data(data, "a figure such as 8 or 5/2")
    return found


@lru_cache(maxsize=10_000)
def _read_fraction(text: str) -> Fraction | None:
    """A figure as it was written; the same ones come again and again."""
    try:
        return Fraction(text) if _FRACTION.fullmatch(text) else None
    except ZeroDivisionError:
        return None


def _names_in(data: Any) -> frozenset[str]:
    return frozenset(text_in(name) for name in list_in(data, "names"))


def text_in(data: Any) -> str:
    """A text in plain data. Raises Misread."""
    if isinstance(data, str) and len(data) <= _LONGEST_KEPT:
        return data
    raise bad_data(data, f"a text of at most {_LONGEST_KEPT} characters")


def list_in(data: Any, what: str, most: int = MOST_ITEMS) -> list[Any]:
    """A list in plain data. Raises Misread."""
    if isinstance(data, list) and len(data) <= most:
        return data
    raise bad_data(data, f"{what} as a list of at most {most}")


def mapping_in(data: Any, what: str) -> Mapping[str, Any]:
    """Keys and values in plain data. Raises Misread."""
    if isinstance(data, dict) and len(data) <= MOST_ITEMS:
        return data
    raise bad_data(data, f"{what} as keys and values")


def bad_data(data: Any, expected: str) -> Misread:
    """What is raised for plain data that is not as this program writes it."""
    return Misread(shown(repr(data)[:80], 60), expected, "correct it")
