"""What was typed and not understood: kept among the notes, and first on the card until it is said in other words."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from typing import TYPE_CHECKING

from advisor.loader.answer_codec import NONE_WORDS, YES_OR_NO, plain
from advisor.model.problems import shown

if TYPE_CHECKING:
    from advisor.model.lexicon_entries import Phrases
    from advisor.nlu.result import Heard

#: Ahead of the words of a note of what was typed and not understood.
NOT_COUNTED = "typed and not understood: "
#: Ahead of the words of a line that was not understood and was then typed anew, nearly the same.
TYPED_ANEW = "typed anew and understood: "
#: Ahead of the words of a sentence that were not understood, while the rest of it counts.
PART_NOT_COUNTED = "not understood: "
#: Ahead of known words that tell of something bad and that nothing was made of, and of words behind a print.
PASSED_OVER = "said, and nothing made of it: "
#: So many words of one line are kept.
MOST_WORDS_KEPT = 200
#: How a note of something said in doubt begins; `how sure` names each.
SAID_IN_DOUBT = "said in doubt: "
#: Ahead of a note typed as such, in which something of the tire was heard.
NOTED_ONLY = "noted, not counted: "
#: Ahead of what a question took to be so on this tire, and that was neither said nor denied.
ASKED_OF = "asked of, and not said: "
#: Ahead of an answer that stood and was set right to a milder one.
SAID_WORSE = "said worse before: "
#: Ahead of what a question took to be so, once it was said or denied.
ASKED_AND_SAID = "asked of, and said since: "
#: Typed by a technician of whose words that were not understood none bears on the tire.
LAY_ASIDE = "no news"
#: Ahead of each of the lines of which that was said.
LAID_ASIDE = "said to be no news of the tire: "
#: The class of words of something bad that are asked about in general as often as not.
ASKED_IN_GENERAL = "asked-in-general"
#: So many of them stand on the card; all are among the notes.
MOST_LOST_SHOWN = 3
#: So many letters of a line stand on the card.
LONGEST_QUOTED = 60
#: Between the words of a note and the clause that they stand in.
_IN_CLAUSE = ', from "'
_CLAUSE = re.compile(r"[,;]\s+|(?<=[^\W\d_])[.!?]\s+|\n+")
_CLAUSE_END = re.compile(r"[,.;:?!]\s+|\s-+\s")
#: A shorter word alone is a slip of a key more often than news of the tire.
SHORTEST_WORD = 4
#: A slip on so many letters still makes the same word.
LETTERS_TO_SLIPS = 3
_WORD = re.compile(r"[^\W\d_]+")
_FIGURE = re.compile(r"\d+(?:[.,/]\d+)*")
#: Signs that make a figure another one: 4 mm+.
_ALTERS = re.compile(r"[+~±<>?]")


def tells_something(text: str, ended: bool, phrases: Phrases, measured: bool = False) -> bool:
    """Whether a line that was not understood may have told something: all but a slip of a key and what tells nothing.

    `ended`: no question is open, at which a letter or a figure of a list could be such a slip. `measured`: a figure
    was asked for, at which none is news.
    """
    if measured and plain(text) in NONE_WORDS - {"no"}:
        return True
    if plain(text) in NONE_WORDS | YES_OR_NO or not any(sign.isalnum() or not sign.isascii() for sign in text):
        return False
    slip = len(text.strip()) == 1 and text.isascii()
    if slip:
        return ended and text.strip().isdigit()
    from advisor.dialogue.no_news import is_no_news

    return not is_no_news(text, phrases)


def tells_besides(rest: str, phrases: Phrases) -> bool:
    """Whether what stands in a line beside words that are asked back may have told something too."""
    from advisor.nlu.what_weighs import weighs

    return bool(rest.strip()) and (
        any(len(word) >= SHORTEST_WORD for word in _WORD.findall(rest)) or weighs(rest, phrases)
    )


def noted_only(heard: Heard, words: str) -> str:
    """A note as it is kept: where the ear hears something of the tire in it, ahead of it that it does not count."""
    told = heard.understood or heard.proposed or heard.asks_back or heard.passed_over
    return f"{NOTED_ONLY}{words}" if told else words


def notes_of_words(heard: Heard) -> list[str]:
    """The notes of a sentence's words that were not understood, and of those that tell of something bad."""
    over = (word for word in heard.passed_over if word not in {each.casefold() for each in heard.not_understood})
    kept = ((PART_NOT_COUNTED, heard.not_understood[:MOST_WORDS_KEPT]), (PASSED_OVER, tuple(over)))
    return [
        f"{head}{' '.join(shown(word, 40) for word in words)}{_in_its_clause(words, heard.text)}"
        for head, words in kept
        if words
    ]


def _in_its_clause(words: Sequence[str], text: str) -> str:
    """The clauses of a line that hold some words, where they say more than those; else an empty text."""
    clauses, low = [each.strip() for each in _CLAUSE.split(text) if each.strip()], {each.casefold() for each in words}
    held = [
        each for each in clauses if any(re.search(rf"(?<!\w){re.escape(word)}(?!\w)", each.casefold()) for word in low)
    ]
    said = ", ".join(held)
    return f'{_IN_CLAUSE}{shown(said, LONGEST_QUOTED)}"' if held and plain(said) != plain(" ".join(words)) else ""


def words_of_note(line: str) -> str:
    """The words of a note themselves, without the clause that they stand in."""
    return line.partition(_IN_CLAUSE)[0]


def _clause_of(line: str) -> str:
    """The clause that the words of a note stand in; the words where it says no more."""
    words, _, clause = line.partition(_IN_CLAUSE)
    return clause.removesuffix('"') or words


def note_of_print(words: Sequence[str]) -> list[str]:
    """The note of the words typed behind a print or a date code that are none of it."""
    return [PASSED_OVER + " ".join(shown(word, 40) for word in words[:MOST_WORDS_KEPT])] if words else []


def lost_lines(notes: Iterable[str], repair: bool = False) -> tuple[str, ...]:
    """What was typed, was not understood, and was not typed anew since; of a sentence what is more than a word.

    Where it ends in a `repair`, single words too, and those known ones that tell of something bad.
    """
    lost: dict[str, None] = {}
    for note in notes:
        if note.startswith(NOT_COUNTED):
            lost[note.removeprefix(NOT_COUNTED)] = None
        elif note.startswith((TYPED_ANEW, LAID_ASIDE)):
            lost.pop(note.removeprefix(TYPED_ANEW).removeprefix(LAID_ASIDE), None)
        elif note.startswith(PART_NOT_COUNTED):
            line = note.removeprefix(PART_NOT_COUNTED)
            words = words_of_note(line)
            long = sum(len(word) >= SHORTEST_WORD for word in _WORD.findall(words))
            if long > 1 or (repair and _tells(words)):
                lost[line] = None
        elif note.startswith(PASSED_OVER) and repair:
            lost[note.removeprefix(PASSED_OVER)] = None
    return tuple(lost)


def noted_lines(notes: Iterable[str]) -> tuple[str, ...]:
    """What was typed as a note, speaks of the tire and does not count."""
    kept: dict[str, None] = {}
    for note in notes:
        if note.startswith(NOTED_ONLY):
            kept[note.removeprefix(NOTED_ONLY)] = None
        elif note.startswith(LAID_ASIDE):
            kept.pop(note.removeprefix(LAID_ASIDE), None)
    return tuple(kept)


def no_news(notes: Sequence[str], phrases: Phrases) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What stands on the card and names nothing bad, which may be laid aside by a word; and the rest, which may not."""
    lines = tuple(dict.fromkeys((*lost_lines(notes, repair=True), *noted_lines(notes))))
    bad = tuple(line for line in lines if named_bad(words_of_note(line), phrases))
    return tuple(line for line in lines if line not in bad), bad


def asked_of(notes: Iterable[str]) -> tuple[str, ...]:
    """What questions took to be so on this tire, and that was neither said nor denied since."""
    kept: dict[str, None] = {}
    for note in notes:
        if note.startswith(ASKED_OF):
            kept[note.removeprefix(ASKED_OF)] = None
        elif note.startswith(ASKED_AND_SAID):
            kept.pop(note.removeprefix(ASKED_AND_SAID), None)
    return tuple(kept)


def named_bad(words: str, phrases: Phrases) -> set[str]:
    """The words of a question that name what is bad; where there are none, those that are asked about in general."""
    found = {word for word in _WORD.findall(words.casefold()) if word in phrases.telling}
    return found.difference(phrases.classes.get(ASKED_IN_GENERAL, ())) or found


def _tells(words: str) -> bool:
    """Whether words left of a sentence may tell something: a figure, capitals, a word of three letters."""
    return bool(_FIGURE.search(words)) or any(len(word) > 2 or word.isupper() for word in _WORD.findall(words))


def typed_anew(notes: Sequence[str], text: str, telling: Collection[str]) -> tuple[str, ...]:
    """The note that ends the last line not understood where this one is the same with a slip mended.

    A line that is one of the words that tell of something bad was no slip.
    """
    lost = [line for line in lost_lines(notes[-1:]) if notes[-1].startswith(NOT_COUNTED) and plain(line) not in telling]
    return tuple(f"{TYPED_ANEW}{line}" for line in lost if _same_but_for_a_slip(line, text))


def _same_but_for_a_slip(one: str, other: str) -> bool:
    from rapidfuzz.distance import OSA

    words, others = plain(one).split(), plain(other).split()
    if _ALTERS.findall(one) != _ALTERS.findall(other):
        return False
    if " ".join(others).endswith(" " + " ".join(words)):
        return True  # the same with what was missing ahead of it: found 12 mm
    if len(words) != len(others) or re.findall(r"\d+", one) != re.findall(r"\d+", other):
        return False
    pairs = zip(words, others, strict=True)
    return all(OSA.distance(word, with_it) <= len(word) // LETTERS_TO_SLIPS for word, with_it in pairs)


def said_first(notes: Sequence[str], phrases: Phrases, repair: bool = False) -> str:
    """What the card says ahead of all else; empty where nothing was lost. Of a `repair` a single word as well.

    Of a `repair` words that by themselves tell nothing bad stand at the end (`said_besides`): what is said of every
    line is read of none.
    """
    lost = tuple(line for line in lost_lines(notes, repair) if not repair or _weighs(line, notes, phrases))
    both = (
        (
            "You asked about this, and did not say whether it is so",
            _quotable(asked_of(notes), phrases) if repair else (),
        ),
        ("Not understood, so not counted", _quotable(lost, phrases)),
        ("Noted, not counted", _quotable(noted_lines(notes), phrases)),
    )
    said = [f"{head}: {last_quoted(lines)}." for head, lines in both if lines]
    if not said:
        return ""
    aside = f"; if it does not, type {LAY_ASIDE}" if no_news(notes, phrases)[0] else ""
    return " ".join((*said, f"If it bears on the tire, say it again{aside}."))


def _quotable(lines: Iterable[str], phrases: Phrases) -> tuple[str, ...]:
    """Lines as the card quotes them, those that name something bad at the end, which is what is shown of many."""
    worst_last = sorted(lines, key=lambda line: bool(named_bad(words_of_note(line), phrases)))
    return tuple(dict.fromkeys(_where_it_tells(_clause_of(line), phrases) for line in worst_last))


def _where_it_tells(line: str, phrases: Phrases) -> str:
    """A line as the card quotes it: of a long one the clause that first tells of something bad, and its end where that
    does so too; of one that names nothing such its beginning and its end.
    """
    if len(line) <= LONGEST_QUOTED:
        return line
    bad = named_bad(line, phrases)
    told = [word.start() for word in _WORD.finditer(line) if word[0].casefold() in bad]
    at = told[0] if told else 0
    begins = max((end.end() for end in _CLAUSE_END.finditer(line, 0, at + 1)), default=0)
    if at - begins > LONGEST_QUOTED // 2:
        begins = line.rfind(" ", 0, at - LONGEST_QUOTED // 2) + 1
    ahead = "… " if begins else ""
    if told and told[-1] < begins + LONGEST_QUOTED - SHORTEST_WORD:
        return f"{ahead}{line[begins:]}"
    last = line.find(" ", min(len(line), told[-1] + 1 if told else len(line)) - LONGEST_QUOTED // 2) + 1
    return f"{ahead}{line[begins : line.rfind(' ', begins, begins + LONGEST_QUOTED // 3)]} … {line[last:]}"


def said_besides(notes: Sequence[str], phrases: Phrases) -> str:
    """What the card of a repair says at the end of what to do: words not understood that by themselves tell nothing."""
    lost = [line for line in lost_lines(notes, repair=True) if not _weighs(line, notes, phrases)]
    worse = dict.fromkeys(note.removeprefix(SAID_WORSE) for note in notes if note.startswith(SAID_WORSE))
    said = [f"Also said, and not understood: {last_quoted([_clause_of(line) for line in lost])}."] if lost else []
    return " ".join((*said, *(f"Said of {each}." for each in worse)))


def _weighs(line: str, notes: Sequence[str], phrases: Phrases) -> bool:
    """Whether a line may tell of something bad; the words left of a sentence may do so of what else it names."""
    from advisor.nlu.what_weighs import weighs

    return weighs(words_of_note(line), phrases, named=f"{PART_NOT_COUNTED}{line}" in notes)


def last_quoted(lines: Sequence[str]) -> str:
    """Lines as they are told: the last of them first, in quotes."""
    words = ", ".join(f'"{shown(each, LONGEST_QUOTED)}"' for each in reversed(lines[-MOST_LOST_SHOWN:]))
    return f"{len(lines)} lines, among them: {words}" if len(lines) > MOST_LOST_SHOWN else words
