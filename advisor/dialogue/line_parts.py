"""A line of which one part is not understood: what the others say beyond doubt stays, and that part is heard by itself.

Nothing becomes milder by it: a part that the one not understood may alter is left to the ear with the whole line.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from advisor.dialogue.prompt_line import (
    UNITLESS,
    LineSays,
    OpenQuestions,
    answered_first,
    bare_words,
    both_said,
    by_name,
    closes,
    half_denied,
    parts_of,
    print_ahead,
    read_part,
    still_open,
)
from advisor.domain.sidewall.parser import read_sidewall
from advisor.loader.answer_codec import bare_choice, plain, written
from advisor.model import inputs
from advisor.model.case import TIRE, Answer, Case, Choice, Choices, Key, Readings, Text
from advisor.model.problems import Misread
from advisor.model.quantity import Measure
from advisor.model.ruleset import Question, RuleSet
from advisor.nlu.hedge_scope import BESIDE_A_DENIAL
from advisor.nlu.part_runs import any_word_of, part_runs_of
from advisor.nlu.pipeline import CORRECTS, Listener
from advisor.nlu.qualifiers import CONTRARY, TAKES_BACK
from advisor.nlu.result import Heard, Understood
from advisor.nlu.scope_words import ALTERS, HEDGE, NOT_LOOKED, OTHER_TIME, OTHERS_WORD, ROUGHLY, SUPPOSED
from advisor.nlu.tagger import marked

_CORRECTED = re.compile(rf"(?<!\w){CORRECTS.pattern}", re.I)
#: The first two are a part's own where it tells something by itself: tread nearly bald.
_DOUBTS = (ALTERS, ROUGHLY, HEDGE, NOT_LOOKED, OTHER_TIME, OTHERS_WORD, SUPPOSED, _CORRECTED)
#: The class of small words that a choice is said with: it's off, not a run-flat.
_LITTLE = "little"


class AskedNow(Struct, frozen=True):
    """What a line is read by: the questions of the prompt `here`, the `others` that are open, what `stands` already."""

    here: OpenQuestions
    others: OpenQuestions
    stands: OpenQuestions
    case: Case
    listener: Listener

    @property
    def rules(self) -> RuleSet:
        """The rules whose questions they are."""
        return self.listener.rules


class Parts(Struct):
    """What the parts of a line say: answers, the words that each came from, and the parts that say nothing known.

    `bare` are those said to the question put first in a bare word or number, `behind` is what follows on it, `halves`
    are denials of one thing of several.
    """

    said: LineSays
    words: dict[Key, str]
    unknown: list[str]
    bare: set[Key]
    behind: str
    halves: set[Key]

    @property
    def shown_back(self) -> bool:
        """Whether it has to be confirmed before it counts."""
        return bool(self.unknown or self.halves)


#: The parts of a line, what they say beyond doubt, and what they were read by.
LineRead = tuple[Parts, LineSays, AskedNow]


def read_parts(text: str, line: AskedNow) -> Parts:
    """The parts of a line, each read by itself."""
    lead = next(iter(line.here))
    found, parts = Parts({}, {}, [], set(), "", set()), parts_of(text)
    if line.here[lead].kind == inputs.TEXT:
        parts = [each for part in parts for each in print_ahead(part)]
    for place, part in enumerate(parts):
        first = answered_first(part, parts[1:], line.here[lead]) if not place else None
        if first is not None:
            _note(found, {lead: first[0]}, part)
            found.bare.add(lead)
            found.behind = text[text.index(part) + len(part) - len(first[1]) :].lstrip(" ,;")
            if not (part := first[1]):
                continue
        if plain(part) == "nothing else" and found.said:
            continue  # beside what was said: what it leaves open is asked
        said = _said(part, lead if not place and first is None else None, line, found.said)
        if said is not None:
            _note(found, said, part)
        elif halves := [key for key, each in still_open(line.here, found.said).items() if half_denied(part, each)]:
            _note(found, {halves[0]: Choice("no")}, part)
            found.halves.add(halves[0])
        elif not (closes(part, {**line.others, **line.here}, line.rules) or _idle(part, line, found.said)):
            found.unknown.append(part)
    _leave_to_the_injury(found, line)
    _leave_letters(found, line)
    return found


def _leave_to_the_injury(found: Parts, line: AskedNow) -> None:
    """Leaves a bare figure beside an injury, or ahead of one that is named, to the ear: crown, 4 mm, tread 6 mm."""
    of = line.rules.questions
    figures = [key for key, answer in found.said.items() if isinstance(answer, Measure | Readings) and key[1] == TIRE
               and key not in found.bare]  # fmt: skip
    named = {key: [_named(part, of[key[0]], line.rules) for part in parts_of(found.words[key])] for key in figures}
    ahead = [key for key in figures if True in named[key] and not named[key][0]]
    bare = [key for key in figures if key not in ahead and not _named(found.words[key], of[key[0]], line.rules)]
    if bare and not (_tells_of_injury(found.said) or _tells_of_injury(_touched(line.listener.hear(
        ", ".join(found.unknown), line.case)))):  # fmt: skip
        bare = []
    for key in (*ahead, *bare):
        del found.said[key]
        found.unknown.append(found.words.pop(key))


def _leave_letters(found: Parts, line: AskedNow) -> None:
    """Leaves a letter by itself to the ear where no print stands that it can be the load range of."""
    stands = any(line.rules.input_of(key[0]) == inputs.SIDEWALL for key in (*found.said, *line.stands))
    for key in [*found.said] if not stands else ():
        letter = len(found.words[key].strip()) == 1 and line.rules.input_of(key[0]) == inputs.LOAD_RANGE
        if letter and key not in found.bare:
            del found.said[key]
            found.unknown.append(found.words.pop(key))


def _tells_of_injury(keys: Iterable[Key]) -> bool:
    return any(key[1] != TIRE for key in keys)


def _said(part: str, lead: Key | None, line: AskedNow, found: LineSays) -> LineSays | None:
    """What one part says of the prompt, or of just one question elsewhere: a figure only where no other can have it."""
    here, others = still_open(line.here, found), still_open(line.others, found)
    if bare_words(part):  # said to what was asked, or to a list of findings
        here, others = {key: each for key, each in here.items() if each.kind == inputs.CHOICES}, {}
    if lead is not None and line.here[lead].kind == inputs.TEXT and read_sidewall(part).tells:
        return {lead: Text(" ".join(part.split()))} if not read_sidewall(part).not_read else None
    try:
        if said := read_part(part, here, line.rules, lead, asked=True):
            return said
        pair = line.here[next(iter(line.here))].kind != inputs.TEXT and UNITLESS.fullmatch(part.strip())
        said = read_part(part, others, line.rules, None, asked=bool(pair))
    except Misread:
        return None
    figures = [key for key, answer in (said or {}).items() if isinstance(answer, Measure | Readings)]
    if pair or len(figures) > 1 or all(_named(part, others[key], line.rules) for key in figures):
        return said
    return None


def _named(part: str, question: Question, rules: RuleSet) -> bool:
    """Whether a figure says what it is of: its name, or 32nds of an inch."""
    return (question.kind == inputs.READINGS and "/32" in part) or bool(by_name(part, question, rules))


def _note(found: Parts, said: LineSays, part: str) -> None:
    for key, answer in said.items():
        before = found.said.get(key)
        found.said[key] = both_said(before, answer) if before is not None else answer
        found.words[key] = f"{found.words[key]}, {part}" if key in found.words else part


def _idle(part: str, line: AskedNow, found: LineSays) -> bool:
    """Whether a part tells nothing new: what was answered before, or words that the ear knows and makes nothing of."""
    of = line.rules.over_of
    told = {**{key: line.case.get(of(key[0]), key) for key in line.stands}, **found}
    runs = part_runs_of(line.rules.phrases)
    if runs.made_up(part, "well"):
        return True
    if runs.made_up(part, "well", "absent") and not line.listener.hear(part, line.case).understood:
        return True
    every = {**line.stands, **line.others, **line.here}
    try:
        said = read_part(part, {key: every[key] for key in told}, line.rules, None, asked=False) or {}
    except Misread:
        said = {}
    if said:
        return all(answer == told[key] for key, answer in said.items())
    if line.listener.hear(part, line.case).passed_over:
        return False
    marks = [mark for clause in marked(part, line.listener.lexicon)[1] for mark in clause.marks]
    if not line.rules.phrases.telling.isdisjoint(word for mark in marks for word in mark.text.split()):
        return False
    idle = all(mark.has("thing", "filler") and not mark.has("about", "perhaps", "no") for mark in marks)
    return idle and any(mark.has("thing") for mark in marks)


def beyond_doubt(found: Parts, line: AskedNow) -> LineSays:
    """What the parts say that the unknown ones can't alter: the ear hears each of them with those alone."""
    clear, rest = found.said, found.unknown
    while rest:
        left = {key: answer for key, answer in clear.items() if _stays(key, answer, rest, found, line)}
        if len(left) == len(clear):
            break
        rest = [*rest, *(found.words[key] for key in clear if key not in left)]
        clear = left
    return clear


def _stays(key: Key, answer: Answer | None, unknown: Sequence[str], found: Parts, line: AskedNow) -> bool:
    rest = ", ".join(unknown)
    beside, doubted = line.listener.hear(rest, line.case), _doubtful(rest)
    told = _touched(beside)
    if key in told:
        agrees = [BESIDE_A_DENIAL not in hedge and same_answer(said, answer) for hedge, said in _of(key, beside)]
        denies = not any(bare_words(part) or _doubtful(part.removeprefix("no ")) for part in unknown)
        return isinstance(answer, Choice) and denies and bool(agrees) and all(agrees)
    if key in found.bare:
        return not _restricts(unknown[0]) and (bool(told) or not doubted)
    if isinstance(answer, Text):
        return not _CORRECTED.search(rest) and not _restricts(rest)
    figure = isinstance(answer, Measure | Readings)
    if doubted and (figure or any(_doubts(part, line) for part in unknown)):
        return False
    heard = line.listener.hear(f"{found.words[key]}, {rest}", line.case, key)
    outright = [one for one in heard.understood if one.key == key]
    if outright and _touched(heard).count(key) == len(outright):
        return all(same_answer(one.answer, answer) for one in outright)
    alone = line.listener.hear(found.words[key], line.case, key)
    return answer is None or key in found.halves or _of(key, alone) == _of(key, heard)


def _doubts(part: str, line: AskedNow) -> bool:
    """Whether an unknown part may put what stands beside it in doubt: not what tells something and makes it worse."""
    telling = bool(_touched(line.listener.hear(part, line.case)))
    return "?" in part or _restricts(part) or any(doubt.search(plain(part)) for doubt in _DOUBTS[2 * telling :])


def _of(key: Key, heard: Heard) -> list[tuple[str, Answer]]:
    """What was heard of a question, and why it was not said outright."""
    return [(one.hedge, one.answer) for one in (*heard.understood, *heard.proposed) if one.key == key]


def _touched(heard: Heard) -> list[Key]:
    """What a text tells of, outright or not."""
    return [one.key for one in (*heard.understood, *heard.proposed)] + [ask.key for ask in heard.asks_back]


def _doubtful(text: str) -> bool:
    """Whether a text may put what stands beside it in doubt."""
    words = plain(text)
    return "?" in text or any(doubt.search(words) for doubt in _DOUBTS) or _restricts(words)


def _restricts(text: str) -> bool:
    return plain(text).split()[0] in TAKES_BACK | CONTRARY


def same_answer(one: Answer, other: Answer | None) -> bool:
    """Whether two answers say the same: of a figure its ends, of findings that none is there but those."""
    if isinstance(one, Measure) and isinstance(other, Measure) and one.quantity == other.quantity:
        here = one.to(other.unit)
        return (here.low, here.high) == (other.low, other.high)
    if isinstance(one, Readings) and isinstance(other, Readings) and len(one.readings) == len(other.readings):
        return all(same_answer(*pair) for pair in zip(one.readings, other.readings, strict=True))
    if isinstance(one, Choices) and isinstance(other, Choices):
        return one.present <= other.present
    if isinstance(one, Text) and isinstance(other, Text):
        return plain(one.text) in plain(other.text)
    return one == other


def said_strictly(words: str, key: Key, answer: Answer, rules: RuleSet) -> bool:
    """Whether some words are this answer by themselves, as a line for several questions is read."""
    little = any_word_of(rules.phrases.classes.get(_LITTLE, ()))
    question, words = rules.questions[key[0]], re.sub(rf"\b(?:{little})\s+", "", plain(words))
    if bare_choice(question, words):
        return True
    try:
        said = read_part(words, {key: question}, rules, key, asked=True) or {}
    except Misread:
        return False
    return key in said and same_answer(answer, said[key])


def with_parts(heard: Heard, clear: LineSays, found: Parts, line: AskedNow) -> Heard:
    """What the ear made of a line, with what its parts say beyond doubt said outright; no part is passed over."""
    prints = {one.key for one in heard.understood if isinstance(one.answer, Text)}
    clear = {key: answer for key, answer in clear.items() if key not in prints}
    told = tuple(
        Understood(key, line.rules.over_of(key[0]), answer, written(answer), found.words[key])
        for key, answer in clear.items()
        if answer is not None
    )
    read = " ".join(found.words[key] for key in clear).split()
    unread = [word for word in heard.not_understood if word not in read]
    dropped = [found.words[key] for key in found.said if key not in clear and key not in {*_touched(heard), *prints}]
    silent = [*dropped, *found.unknown]
    silent = [part for part in silent if not _touched(line.listener.hear(part, line.case))]
    unread += [part for part in silent if not set(part.split()) & set(unread)]
    return replace(
        heard,
        understood=(*told, *(one for one in heard.understood if one.key not in clear)),
        proposed=tuple(
            one for one in heard.proposed if one.key not in clear and not _sound_repair(one, clear, line.rules)
        ),
        asks_back=tuple(ask for ask in heard.asks_back if ask.key not in clear),
        not_understood=tuple(unread),
    )


def denied_but_for(heard: Heard, rules: RuleSet) -> tuple[str, ...]:
    """The parts of a text that make an exception of which nothing was heard but denials: no plugs but one."""
    found, runs = list[str](), part_runs_of(rules.phrases)
    for part in parts_of(heard.text):
        words = set(plain(part).split())
        told = [one.answer for one in (*heard.understood, *heard.proposed) if set(plain(one.words).split()) <= words]
        if told and all(is_denial(answer) for answer in told) and runs.within(part, "exception"):
            found.append(part)
    return tuple(found)


def doubly_told(heard: Heard, case: Case, listener: Listener) -> tuple[str, ...]:
    """The parts of a text that tell by themselves what the whole of it was heard to deny in doubt: no rust, rust."""
    parts = parts_of(heard.text)
    doubted = {one.key: one.answer for one in heard.proposed if is_denial(one.answer)}
    if len(parts) < 2 or not doubted:
        return ()
    alone = [(part, listener.hear(part, case)) for part in parts]
    return tuple(
        part
        for part, of_part in alone
        if any(one.key in doubted and not is_denial(one.answer) for one in (*of_part.understood, *of_part.proposed))
    )


def is_denial(answer: Answer) -> bool:
    return answer == Choice("no") or (isinstance(answer, Choices) and not answer.present)


def without_well(heard: Heard, rules: RuleSet) -> Heard:
    """What was heard, without words that the line says only in parts that tell nothing bad."""
    runs, words = part_runs_of(rules.phrases), re.compile(r"\w+")
    said = Counter(words.findall(plain(heard.text)))
    parts = [part for part in parts_of(heard.text) if runs.made_up(part, "well", "absent")]
    well = Counter(word for part in parts for word in words.findall(plain(part)))
    over = {word for word, times in well.items() if said[word] <= times}
    not_understood = tuple(word for word in heard.not_understood if plain(word) not in over)
    passed_over = tuple(word for word in heard.passed_over if plain(word) not in over)
    return replace(heard, not_understood=not_understood, passed_over=passed_over)


def _sound_repair(one: Understood, clear: LineSays, rules: RuleSet) -> bool:
    """Whether a proposal is that an earlier repair is sound, where the line says that there is none."""
    none = any(rules.input_of(key[0]) == inputs.EARLIER_REPAIRS and said == Choice("no") for key, said in clear.items())
    return none and rules.input_of(one.key[0]) == inputs.REPAIR_SOUND and one.answer == Choice("yes")
