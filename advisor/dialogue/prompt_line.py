"""One line for several questions of a prompt: `62/100 psi`, `6 mm 10° crown through`, `off, all looked at, none`.

Each part goes to the one question that it can belong to: words of its choices, a figure with its unit, its name with an
answer. A bare number goes to the question put first alone; what could belong to two is asked back; what is not said is
asked next. A line that is no such line is left to others.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from itertools import chain

from msgspec.structs import replace

from advisor.domain.clock import read_clock
from advisor.domain.sidewall.parser import read_sidewall
from advisor.loader.answer_codec import (
    CANT_TELL_WORDS,
    LEAVES_OUT,
    NONE_WORDS,
    OTHER_NO,
    OTHER_YES,
    bare_choice,
    is_cant_tell,
    plain,
    read_typed,
    words_for,
)
from advisor.loader.case_constraints import unread_words
from advisor.model import inputs
from advisor.model.case import CANT_TELL, Answer, Choice, Choices, Key, Readings, Text
from advisor.model.lexicon_entries import folded
from advisor.model.problems import Misread, shown
from advisor.model.quantity import Measure, read_measure
from advisor.model.ruleset import Question, RuleSet
from advisor.nlu.part_runs import part_runs_of

#: Said of a part of a line: this may be left out.
LEFT_OUT = None
LineSays = dict[Key, Answer | None]
OpenQuestions = Mapping[Key, Question]

_PARTS = re.compile(r"\s*[,;]\s+|\s*;\s*|,(?=\D)|\s+and\s+|(?<=[a-z])(?<!\bno)\.\s+", re.I)
_ALL_NONE = re.compile(
    r"(?:(?:all|everything) (?:was )?(?:looked at|checked|gone over)"
    r"|(?:i )?(?:looked|checked|went)(?: it)? all over(?: it)?)[ ,:-]*(?:and )?(?:none|nothing)(?: found| there)?",
    re.I,
)
#: That a tread is as deep everywhere.
_ALL_ROUND = re.compile(r"(?<=\S)\s+all (?:over|a?round|(?:the way )?(?:a?round|across))$", re.I)
_STOP = re.compile(r"(?<=\w)\.$")
#: That all of a prompt that a line does not say can't be told.
_REST_UNKNOWN = re.compile(
    rf"(?:(?:and )?(?:all|everything|(?:all )?the rest|rest|anything) (?:else )?(?:is |are )?)"
    rf"(?:{'|'.join(re.escape(word) for word in sorted(CANT_TELL_WORDS, key=len, reverse=True))})[ .]*$",
    re.I,
)
#: Two figures in one: what was found of what there should be, how wide by how long.
_PAIR = re.compile(
    r"(?P<about>(?:about|around|roughly)\s+)?(?P<one>\d+(?:\.\d+)?)\s*(?:(?P<first>mm|cm|in|inch|inches|\")\s*(?=x|×|by))?"
    r"(?P<sign>/|x|×|by|of)\s*(?P<two>\d+(?:\.\d+)?)\s*(?P<unit>[a-zA-Z\"°%²/0-9]*)",
    re.I,
)
#: What was found of what there should be, with no unit: 100/110.
UNITLESS = re.compile(r"\d{2,3}(?:\.\d+)?\s*/\s*\d{2,3}(?:\.\d+)?")
#: What a repair unit's two figures are called.
_SIDES_SAID = {
    "width": ("wide", "width", "across"),
    "length": ("long", "length", "along"),
}
_UNITS_SIDES = {
    inputs.UNIT_WIDTH: "width",
    inputs.REPAIR_UNIT_WIDTH: "width",
    inputs.UNIT_LENGTH: "length",
    inputs.REPAIR_UNIT_LENGTH: "length",
}
_SIZES = (inputs.INJURY_SIZE, inputs.INJURY_LENGTH)
_SIDED = re.compile(
    rf"(?:(?P<ahead>width|length)\s+(?:is\s+)?)?(?P<figure>\d.*?)"
    rf"(?:\s+(?:in )?(?P<behind>{'|'.join(word for words in _SIDES_SAID.values() for word in words)}))?",
    re.I,
)
_UNIT_AHEAD = re.compile(
    r"^(?:(?:the|my|our|both|all)\s+)*units?(?:\s+(?:is|are|of|size|measures?))*[:\s]+(?=(?:(?:about|around|roughly)\s+)?\d)",
    re.I,
)
#: As wide as it is long.
_SQUARE = re.compile(r"(?P<figure>\d+(?:\.\d+)?)\s*(?P<unit>mm|cm|in|\"|inch|inches)?\s*(?:round|square)\.?$", re.I)
#: A bare width, and that it is as long as that.
_BARE_ROUND = re.compile(r"(?P<figure>\d+) (?P<round>round)", re.I)
_TREAD_PARTS = ("32", "64", "16")
_HAS_UNIT = re.compile(r"\d.*(?:[a-z\"″°%]|/32)", re.I)
_CLOCK = re.compile(r"\d{1,2}(?::\d{2}| ?o'?clock)", re.I)
_DENIED = re.compile(
    r"(?:(?:it|it's|its|there) )?(?:(?:is|was|has|were) )?(?:no|not|never|(?:was|is|has|were)n'?t)"
    r" (?:been |any )?(?P<what>.+)"
)
_JUST = re.compile(r"^(?:just|only) (?:an? |the |some )?")
#: Choices that mean in each question something else.
_OF_EACH = frozenset({"yes", "no", "other"})
#: Of which side a wheel is nothing is asked.
_SIDES = frozenset({"nearside", "offside", "n/s", "o/s", "near-side", "off-side"})
#: That nothing was found, said of one list by its place.
_NONE_SAID = {
    inputs.FINDINGS: re.compile(
        r"(?:the )?inspection(?: found| is)?:? (?:none|nothing|clear)|findings:? (?:none|nothing)"
    ),
    inputs.INSIDE_SIGNS: re.compile(
        r"(?:none|nothing|no signs?)(?: found| there| seen)?"
        r" (?:on the inside|inside|(?:a?round|at) (?:it|the (?:hole|injury))(?: on the inside| inside)?)"
        r"|(?:on the )?inside:? (?:none|nothing)"
    ),
}
_SMALL = frozenset({"a", "an", "at", "in", "is", "it", "its", "on", "the", "of", "to", "with", "-"})
#: A week and a year: 2319.
_DATE_CODE = re.compile(r"(?:dated? )?(?P<code>(?:0[1-9]|[1-4]\d|5[0-3])\d\d)", re.I)
_LONGEST = 8
_NOTHING = NONE_WORDS - OTHER_NO - {"no"}
_YES = OTHER_YES | {"yes", "y"}
_LETTERS = frozenset({"y", "n"})
_BARE = NONE_WORDS | _YES | _LETTERS


def looks_like_date_code(text: str) -> bool:
    """Whether a text is a bare number that can be a week and a year."""
    return text.isascii() and text.isdecimal() and bool(_DATE_CODE.fullmatch(text))


class Ambiguous(Misread):
    """A part that could belong to several questions."""


def read_prompt_line(text: str, questions: OpenQuestions, rules: RuleSet, asked: bool = True) -> LineSays | None:
    """What a line says of the questions of a prompt, the one put first ahead; None where it is no such line.

    Not `asked`, of another prompt than the one put now, it takes no figure without its unit, and not one answer alone.
    Raises Ambiguous for a part that could belong to several.
    """
    lead = next(iter(questions))
    found: LineSays = {}
    rest, swept = _of_a_unit(text, questions, rules) if asked else text, dict[Key, Question]()
    if asked and _ALL_NONE.search(text):
        rest = re.sub(r"\band\s*$", "", _ALL_NONE.sub(" ", text)).strip(" ,;.")
        found |= _none_of_all(questions, rules, parts_of(rest))
        swept = {key: questions[key] for key in found}
    unknown = _REST_UNKNOWN.search(plain(rest)) if asked else None
    if unknown:
        rest = plain(rest)[: unknown.start()].strip(" ,;")
    parts = _told_apart(parts_of(rest), questions, rules, lead not in found) if asked else parts_of(rest)
    prints = [part for part in parts if asked and questions[lead].kind == inputs.TEXT and read_sidewall(part).tells]
    if len(parts) > 1 and any(read_sidewall(part).not_read for part in prints):
        return None  # it tells more than the print: 295/75R22.5 drive truck
    for place, part in enumerate(parts):
        if part in prints:
            continue
        first = lead if asked and place == 0 and lead not in found else None
        if first is not None and len(parts) > 1 and bare_choice(questions[lead], part):
            found[lead] = Choice(bare_choice(questions[lead], part))  # said to what was asked
            continue
        left = still_open(questions, found)
        if len(parts) > 1 and part_runs_of(rules.phrases).whole(part, "closing") and closes(part, left, rules):
            continue
        said = read_part(part, left, rules, first, asked) or read_part(part, swept, rules, None, asked)
        if said is None:
            if len(parts) > 1 and _only_well(part, rules):
                continue
            return None
        for key, answer in said.items():
            before = found.get(key)
            found[key] = both_said(before, answer) if before is not None else answer
    if prints:
        found[lead] = Text(" ".join(" ".join(prints).split()))
    if unknown:
        return found | dict.fromkeys((key for key in questions if key not in found), CANT_TELL)
    told = [key for key, answer in found.items() if answer is not None]
    if not told and asked and found and lead not in found:
        return found  # only that something is left out: round
    if len(told) < (1 if asked else 2) or (len(parts) < 2 and told == [lead]):
        return None
    return found


def _of_a_unit(text: str, questions: OpenQuestions, rules: RuleSet) -> str:
    """A line for a unit's two figures, without its name, and both said where it is round: unit is 45 mm round."""
    if {_UNITS_SIDES.get(rules.input_of(name)) for name, _ in questions} != _SIDES_SAID.keys():
        return text
    return _SQUARE.sub(r"\g<figure> x \g<figure> \g<unit>", _UNIT_AHEAD.sub("", text.strip())).strip()


def _by_side(text: str, questions: OpenQuestions, rules: RuleSet) -> tuple[Key, Answer | None] | None:
    """A figure that is said to be wide or long, where just one question of the prompt measures that of a unit."""
    match = _SIDED.fullmatch(text.strip())
    word = match and (match["ahead"] or match["behind"])
    if not match or not word:
        return None
    side = next(name for name, words in _SIDES_SAID.items() if word.casefold() in words)
    fits = [key for key in questions if _UNITS_SIDES.get(rules.input_of(key[0])) == side]
    with suppress(Misread):
        return (fits[0], read_typed(questions[fits[0]], match["figure"])) if len(fits) == 1 else None
    return None


def parts_of(text: str) -> list[str]:
    """The parts of a line, by its commas and ands."""
    return [closed(part) for part in _PARTS.split(text) if part.strip()]


def closed(text: str) -> str:
    """A text without its full stop."""
    return _STOP.sub("", text.strip())


def bare_answer(text: str, question: Question) -> str:
    """An answer without its full stop; of a tread, without that it is so all round."""
    return _ALL_ROUND.sub("", closed(text)) if question.kind == inputs.READINGS else closed(text)


def rest_unknown(text: str) -> bool:
    """Whether a line says of all that is left, and of nothing else, that it can't be told."""
    return bool(_REST_UNKNOWN.fullmatch(plain(text)))


def contrary_part(text: str, rules: RuleSet) -> str:
    """The part of a line that says yes behind a no, or only that there is one or one more; empty for none."""
    parts = _PARTS.split(text)
    first, *others = (each.strip() for each in parts if each.strip()) if len(parts) > 1 else parts
    if not others:
        return ""
    runs = part_runs_of(rules.phrases)
    denied = runs.whole(first, "denial")
    for part in others:
        again = runs.whole(part, "yes-again") or only_one(part, rules)
        if runs.whole(part, "there-is") or (denied and again):
            return part
        denied = denied or runs.whole(part, "denial")
    return ""


def only_one(part: str, rules: RuleSet) -> bool:
    """Whether a part says that there is only the one: no further injury, or an exception to what was denied."""
    return part_runs_of(rules.phrases).whole(part, "only-one")


def unread_parts(text: str, questions: OpenQuestions, rules: RuleSet) -> list[str]:
    """The parts of a line that say nothing of the questions of a prompt, where others do."""
    parts, unread = parts_of(_ALL_NONE.sub(" ", text)), list[str]()
    for part in parts:
        try:
            known = read_part(part, questions, rules, next(iter(questions)), asked=True)
        except Misread:
            known = {}
        if known is None and not read_sidewall(part).tells:
            unread.append(part)
    return unread if len(unread) < len(parts) or _ALL_NONE.search(text) else []


def bare_words(text: str) -> bool:
    """Whether a line holds yes, no or none alone: said to what was asked, and to nothing else."""
    parts = [plain(part) for part in _PARTS.split(text)]
    return all(part in _BARE for part in parts)


def begins_bare(text: str) -> bool:
    """Whether yes, no or none stands ahead of other words: none apart from a bulge."""
    first, *others = re.split(r"[\s,;]+", plain(text), maxsplit=1)
    return first in _BARE and bool(others)


def _told_apart(parts: list[str], questions: OpenQuestions, rules: RuleSet, lead_open: bool) -> list[str]:
    """The parts of a line, with a letter ahead of it and what stands right behind a print by themselves."""
    lead = next(iter(questions))
    if parts and lead_open:
        parts = [*_letter_apart(parts[0], questions, rules), *parts[1:]]
    if parts and lead_open and rules.input_of(lead[0]) == inputs.INJURY_SIZE:
        wide = _BARE_ROUND.fullmatch(parts[0])
        parts = [*(wide.groups() if wide else parts[:1]), *parts[1:]]
    if questions[lead].kind != inputs.TEXT:
        return parts
    return [each for part in parts for each in _print_apart(part, still_open(questions, {lead: None}), rules)]


def _letter_apart(part: str, questions: OpenQuestions, rules: RuleSet) -> list[str]:
    """A letter for yes or no ahead of all else, said to what was asked, and the rest: `n 6mm`; `n bulge` is no two."""
    letter, _, rest = part.partition(" ")
    if letter.casefold() not in _LETTERS or not rest or not bare_choice(questions[next(iter(questions))], letter):
        return [part]
    with suppress(Misread):
        if not _longest(["no", *rest.split()], questions, rules, asked=True)[0]:
            return [letter, rest]
    return [part]


def _print_apart(part: str, others: OpenQuestions, rules: RuleSet) -> list[str]:
    """A print, and what is typed right behind it and answers other questions: `275/70R22.5 148/145M new no`."""
    printed, words = read_sidewall(part), part.split()
    if not printed.tells or not printed.not_read:
        return [part]
    place = next((place for place, word in enumerate(words) if word.upper() == printed.not_read[0]), 0)
    head, tail = " ".join(words[:place]), " ".join(words[place:])
    with suppress(Misread):
        if {plain(word) for word in tail.split()} & (_BARE - {"no"}) or bare_words(tail):
            return [part]
        if head and not read_sidewall(head).not_read and read_part(tail, others, rules, None, asked=True):
            return [head, tail]
    return [part]


def print_ahead(part: str) -> list[str]:
    """A print and what stands behind it that is no print."""
    printed, words = read_sidewall(part), part.split()
    if not printed.tells or not printed.not_read:
        return [part]
    place = next((place for place, word in enumerate(words) if word.upper() == printed.not_read[0]), 0)
    head, tail = " ".join(words[:place]), " ".join(words[place:])
    return [head, tail] if head and not read_sidewall(head).not_read else [part]


def answered_first(part: str, behind: Sequence[str], question: Question) -> tuple[Answer | None, str] | None:
    """What the first part of a line says to the question put first by a bare word or number, and what follows on it.

    None where it is no such part.
    """
    word, _, rest = part.partition(" ")
    rest = rest if plain(word) in _YES else ""
    choice = bare_choice(question, word if rest else part)
    if choice and (rest or behind):
        return Choice(choice), rest
    if not behind:
        return None
    if question.kind in (inputs.CHOICE, inputs.CHOICES) and (part.isdecimal() or plain(part) in NONE_WORDS):
        with suppress(Misread):
            return read_typed(question, part), ""
    if plain(part) in question.left_out_by or (question.left_out_by and plain(part) in LEAVES_OUT):
        return LEFT_OUT, ""
    return (CANT_TELL, "") if is_cant_tell(part) else None


def in_order_shown(text: str, questions: OpenQuestions, rules: RuleSet) -> LineSays:
    """What a line says that answers the questions of a prompt one after another: none, round, none; else nothing.

    A bare word goes to the question whose turn it is; any other part has to answer that one too.
    """
    parts, found = parts_of(text), LineSays()
    if len(parts) > len(questions):
        return {}
    for place, (part, (key, question)) in enumerate(zip(parts, questions.items(), strict=False)):
        first = answered_first(part, ["more"], question)
        said = {key: first[0]} if first and not first[1] else None
        try:
            said = said or read_part(part, {key: question}, rules, key if not place else None, asked=True)
        except Misread:
            return {}
        if not said:
            return {}
        found |= said
    return found


def half_denied(part: str, question: Question) -> bool:
    """Whether a part denies one of the choices beside no: not retreaded, where it might have been regrooved."""
    said = _DENIED.fullmatch(folded(part))
    others = [] if question.choice("yes") else [each for each in question.choices if each.id not in _OF_EACH]
    words = {folded(word) for each in others for word in words_for(each)} - {"yes"}
    return said is not None and question.choice("no") is not None and said["what"] in words


def closes(part: str, questions: OpenQuestions, rules: RuleSet) -> bool:
    """Whether a part only closes a line: no more, that's it."""
    closing = part_runs_of(rules.phrases).whole(part, "closing") or _only_well(part, rules)
    return closing and not any(by_name(part, each, rules) for each in questions.values())


def _only_well(part: str, rules: RuleSet) -> bool:
    """Whether a part just says that the tire is well, and is no answer to a list."""
    return plain(part) not in _BARE and part_runs_of(rules.phrases).made_up(part, "well")


def still_open(questions: OpenQuestions, found: LineSays) -> OpenQuestions:
    """What is still open, and what a further part may add to."""
    return {key: each for key, each in questions.items() if key not in found or _more(found[key], each)}


def _more(answer: Answer | None, question: Question) -> bool:
    """Whether a further part may add to an answer: one finding more, one reading more."""
    return question.kind in (inputs.CHOICES, inputs.READINGS) and not isinstance(answer, Text) and answer is not None


def both_said(one: Answer, other: Answer | None) -> Answer | None:
    if isinstance(one, Choices) and isinstance(other, Choices):
        present, both = one.present | other.present, (one, other)
        if all(each.complete for each in both) or any(each.complete and not each.present for each in both):
            return Choices(present)
        return Choices(present, frozenset().union(*(each.absent or () for each in both)) - present)
    if isinstance(one, Readings) and isinstance(other, Readings):
        return Readings((*one.readings, *other.readings))
    return other


def _none_of_all(questions: OpenQuestions, rules: RuleSet, beside: Iterable[str]) -> LineSays:
    """That nothing was found, for each item of the list; what has to be gone over for itself only where it is put.

    Where parts `beside` it deny an item by its name, it is said of the first list alone: no sealant, no old repairs.
    """
    found: LineSays = {}
    for place, (key, question) in enumerate(questions.items()):
        if place and rules.input_of(question.id) == inputs.RUN_LOW_INSIDE:
            continue
        if question.kind == inputs.CHOICES:
            found[key] = Choices(frozenset())
        elif question.effort == "inside" and question.choice("no"):
            found[key] = Choice("no")
    first = next((key for key in found if questions[key].kind == inputs.CHOICES), None)
    named = any(by_name(part, questions[key], rules) for part in beside for key in found if key != first)
    return {first: found[first]} if first is not None and named else found


def read_part(part: str, questions: OpenQuestions, rules: RuleSet, lead: Key | None, asked: bool) -> LineSays | None:
    """What one part says: in pieces from left to right, each as long as can be."""
    if asked and (dated := _dated(part, questions, rules, lead)):
        return dated
    if part.strip().isdecimal():
        if lead is None or questions[lead].kind not in (inputs.MEASURE, inputs.READINGS):
            return None
        if questions[lead].quantity == "length" and looks_like_date_code(part.strip()):
            return None
        return {lead: read_typed(questions[lead], part)}
    words, found = [word for word in part.split() if word.casefold() not in _SIDES], LineSays()
    while words:
        ends = found and len(words) == 2 and plain(words[0]) in _NOTHING and words[1].casefold() in _LETTERS  # none n
        length, said = _longest(words[:1] if ends else words, still_open(questions, found), rules, asked)
        article = length == 1 < len(words) and words[0].casefold() == "a"  # and no letter of a print
        if said is None or article:
            if words[0].casefold() not in _SMALL or len(words) == 1:
                return None
            length, said = 1, {}
        for key, answer in said.items():
            before = found.get(key)
            found[key] = both_said(before, answer) if before is not None else answer
        words = words[length:]
    return found or None


def _dated(part: str, questions: OpenQuestions, rules: RuleSet, lead: Key | None) -> LineSays | None:
    """The date code, week and year, where it is asked and no bare figure is."""
    code = _DATE_CODE.fullmatch(part.strip())
    if code is None or (lead is not None and questions[lead].kind in inputs.FIGURE_KINDS):
        return None
    asks = [key for key in questions if rules.input_of(key[0]) == inputs.DOT_CODE]
    return {asks[0]: Text(code["code"])} if len(asks) == 1 else None


def _longest(words: list[str], questions: OpenQuestions, rules: RuleSet, asked: bool) -> tuple[int, LineSays | None]:
    """The longest piece at the head of some words that says something, and what it says."""
    for length in range(min(len(words), _LONGEST), 0, -1):
        text = " ".join(words[:length])
        if length == 1 and len(words) > 1 and plain(text) in {*_BARE, "never", "not"}:
            break  # no bulge is no no and a bulge
        if (pair := _pair(text, questions, rules, asked)) is not None:
            return length, pair
        if middle := _in_the_middle(text, questions, rules):
            return length, middle
        if (said := _piece(text, questions, rules)) is not None:
            return length, dict([said])
    return 0, None


def _in_the_middle(text: str, questions: OpenQuestions, rules: RuleSet) -> LineSays:
    """What a word for an injury's distance from the center line says of that, and of its zone: dead center."""
    found = LineSays()
    for key, question in questions.items():
        said = question.kind == "measure" and question.words_for and plain(text) in chain(*question.words_for.values())
        if said and rules.input_of(key[0]) == inputs.OFFSET:
            found[key] = read_typed(question, text)
    for key, question in questions.items() if found else ():
        if rules.input_of(key[0]) == inputs.INJURY_ZONE:
            for answer in _strictly(text, question):
                found[key] = answer
    return found


def _pair(part: str, questions: OpenQuestions, rules: RuleSet, asked: bool) -> LineSays | None:
    """Two figures in one; where their unit is none of the question's, it is no such pair."""
    figures = _UNIT_AHEAD.sub("", part.strip())
    match = _PAIR.fullmatch(figures)
    if match is None or not (match["unit"] or match["first"] or asked):
        return None
    quantity = "pressure" if match["sign"] in ("/", "of") else "length"
    measures = [key for key, question in questions.items() if question.kind == inputs.MEASURE]
    measures = [key for key in measures if questions[key].quantity == quantity]
    of_unit = [key for key in measures if rules.input_of(key[0]) in _UNITS_SIDES]
    told = figures != part.strip() or not any(rules.input_of(key[0]) in _SIZES for key in measures)
    both = of_unit if told and len(of_unit) == 2 else measures[:2]
    if len(both) < 2:
        return None
    tread = any(question.kind == inputs.READINGS for question in questions.values())
    if quantity == "pressure" and match["two"] in _TREAD_PARTS and not match["unit"] and tread:
        raise Ambiguous(f'"{shown(part, 40)}"', f"{part.strip()} psi for pressures, {part.strip()} in for the tread")
    about, last = match["about"] or "", match["unit"] or match["first"] or ""
    said = zip(both, ((match["one"], match["first"] or last), (match["two"], last)), strict=True)
    try:
        return {key: read_typed(questions[key], f"{about}{figure} {unit}".strip()) for key, (figure, unit) in said}
    except Misread:
        return None


def _piece(text: str, questions: OpenQuestions, rules: RuleSet) -> tuple[Key, Answer | None] | None:
    if sided := _by_side(text, questions, rules):
        return sided
    named = [(key, answer) for key, question in questions.items() for answer in by_name(text, question, rules)]
    if named:
        return named[0] if len({key for key, _ in named}) == 1 else None
    taken = {key: answer for key, question in questions.items() for answer in _strictly(text, question)}
    if _past_the_first(taken, questions):
        return None
    if not taken:
        return next(((key, LEFT_OUT) for key, each in questions.items() if plain(text) in _round_words(each)), None)
    kinds = {questions[key].kind for key in taken}
    if len(taken) > 1 and kinds == {inputs.MEASURE}:
        return next(iter(taken.items()))  # figures of one kind in the order in which they are asked
    if len(taken) > 1 and is_one_thing(taken.values()):
        return next(iter(taken.items()))
    if len(taken) > 1:
        names = " or ".join(questions[key].name for key in taken)
        raise Ambiguous(
            f'"{shown(text, 40)}", which could be {names}', "its name with it", "say which: its name, then that"
        )
    return next(iter(taken.items()))


def _past_the_first(taken: Mapping[Key, Answer], questions: OpenQuestions) -> bool:
    """Whether a figure fits a question only because one ahead of it, of the same quantity, can't have it."""
    for key, answer in taken.items():
        if isinstance(answer, Measure):
            same = [each for each, question in questions.items() if question.quantity == questions[key].quantity]
            return any(each not in taken for each in same[: same.index(key)])
    return False


def is_one_thing(answers: Iterable[Answer | None]) -> bool:
    """Whether answers to several questions are the same choice, such as trailer: said of the first, it is clear."""
    ids = {answer.id if isinstance(answer, Choice) else "no" for answer in answers}
    return len(ids) == 1 and not ids & _OF_EACH


def _round_words(question: Question) -> tuple[str, ...]:
    return tuple(word for word in question.left_out_by if word not in NONE_WORDS)


def _strictly(text: str, question: Question) -> Iterable[Answer]:
    """The answer that a text is by itself and beyond doubt: exact words of one choice, a figure with a unit."""
    text = bare_answer(text, question)
    word = plain(text)
    if question.kind == inputs.CHOICE:
        fits = [choice.id for choice in question.choices if word in words_for(choice)]
        return [Choice(fits[0])] if len(fits) == 1 and not word.isdecimal() else []
    if question.kind == inputs.CHOICES:
        if word in _NOTHING:
            return [Choices(frozenset())]
        word = _JUST.sub("", word)
        named = word.removeprefix("no ")
        found = frozenset(choice.id for choice in question.choices if named in words_for(choice))
        if len(found) != 1 or named.isdecimal():
            return []
        return [Choices(found) if named == word else Choices(frozenset(), found)]
    if any(word in words for words in question.words_for.values()):
        return [read_typed(question, text)]
    if doubly := _figure_and_word(word, question):
        return doubly
    try:
        if question.kind == inputs.CLOCK_KIND:
            return [read_clock(text)] if _CLOCK.fullmatch(text.strip()) else []
        if question.quantity and _HAS_UNIT.search(text):
            measured = read_measure(text, question.quantity)
            return [Readings((measured,)) if question.kind == inputs.READINGS else read_typed(question, text)]
    except Misread:
        pass
    return []


def _figure_and_word(word: str, question: Question) -> list[Answer]:
    """A bare figure with a word that says the same: 0 straight."""
    figure, _, rest = word.partition(" ")
    if not any(rest in words for words in question.words_for.values()):
        return []
    with suppress(Misread):
        said, told = read_typed(question, figure), read_typed(question, rest)
        if isinstance(said, Measure) and isinstance(told, Measure) and replace(said, typed=told.typed) == told:
            return [said]
    return []


def by_name(text: str, question: Question, rules: RuleSet) -> Iterable[Answer]:
    """The answer behind a question's name, or ahead of it: `sealant no`, `angle can't tell`, `no earlier repairs`."""
    word = folded(text)
    none_said = _NONE_SAID.get(rules.input_of(question.id))
    if none_said is not None and none_said.fullmatch(word):
        return [Choices(frozenset())]
    if _denied(word, question, rules):
        return [Choice("no")]
    if _affirmed(word, question, rules):
        return [Choice("yes")]
    for name in names_in_a_line(question, rules):
        if question.quantity and word.endswith(f" {name}"):
            figure = text.strip()[: -len(name)].strip()
            return [read_typed(question, figure)] if figure.isdecimal() else _strictly(figure, question)
        if not word.startswith(f"{name} ") and not word.startswith(f"{name}: "):
            continue
        said = bare_answer(text, question)[len(name) :].strip(" :")
        if is_cant_tell(said):
            return [CANT_TELL]
        if question.kind == inputs.CHOICES and plain(said) in NONE_WORDS:
            return [Choices(frozenset())]
        if unread_words(rules.input_of(question.id), said):
            return []
        try:
            return [read_typed(question, said)] if said and not (question.choices and said.isdecimal()) else []
        except Misread:
            return []
    return []


def _denied(word: str, question: Question, rules: RuleSet) -> bool:
    """Whether a text says no to a question in so many words: `no sealant`, `not soft`, `not driven soft`."""
    said = _DENIED.fullmatch(word)
    yes = question.choice("yes")
    if said is None or question.choice("no") is None or yes is None:
        return False
    what, names = said["what"], names_in_a_line(question, rules)
    begun = (" " in what or what == "more") and any(name.startswith(f"{what} ") for name in names)
    touched = {name for name, _ in rules.phrases.says.get("asks", {}).get(what, ())}
    happened = not word.removeprefix("it's ").removeprefix("its ").startswith(("not ", "no "))
    if happened and inputs.RUN_LOW in touched and rules.input_of(question.id) != inputs.RUN_LOW:
        return begun  # never run flat: how it was driven, and not how it is made
    return begun or what in names or what in {folded(each) for each in words_for(yes)} - {"yes", "y"}


def _affirmed(word: str, question: Question, rules: RuleSet) -> bool:
    """Whether a text names what a question asks for and a yes is the worse answer: `driven soft`, `sealant`."""
    order = question.worse_order
    if not {"yes", "no"} <= set(order) or order.index("yes") < order.index("no"):
        return False
    names = names_in_a_line(question, rules)
    return word in names or (" " in word and any(name.startswith(f"{word} ") for name in names))


def names_in_a_line(question: Question, rules: RuleSet) -> list[str]:
    """What a question goes by in a line, the longest first."""
    short = folded(question.name).removeprefix("the ").removeprefix("a ").removeprefix("injury's ")
    begin, either, last = short.rpartition(" or ")
    others = [f"{begin.rpartition(' ')[0]} {last}"] if either and " " in begin else []  # driven soft, driven flat
    labels = [phrase for phrase, named in rules.phrases.labels.items() if question.id in named]
    return sorted({question.id.replace("-", " "), short, *others, *labels}, key=len, reverse=True)
