"""Figures and choices that a sentence's run tells, with no label beside them: had 15, wants 42; no, nearside front.

What is told so is always a proposal. Where a sentence sets something right, what stood before it goes with it.
The runs stand in phrases.yaml.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from advisor.loader.answer_codec import read_written
from advisor.model import inputs
from advisor.model.case import TIRE
from advisor.model.lexicon_entries import FigureRun, Phrases
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, read_measure
from advisor.model.ruleset import Question
from advisor.nlu.evidence import Piece
from advisor.nlu.loose_figures import LEAST_READ
from advisor.nlu.no_reading import COUNT
from advisor.nlu.qualifiers import ALTERED
from advisor.nlu.sentence_figures import Figure
from advisor.nlu.slots.base import ZONE, Sayer
from advisor.nlu.slots.measures import figure_fits, figure_with_unit, in_fahrenheit
from advisor.nlu.small_words import said_words
from advisor.nlu.tagger import Clause, Mark, gives_of
from advisor.nlu.tokenizer import NUMBER_WORDS
from advisor.nlu.word_runs import RunFound, WordRuns
from advisor.nlu.words_alone import YES_NO

#: A figure that was so, is another tire's or the most that may be, and the one that is so now: was <was>, now <is>.
WAS, THEIRS, LIMIT, IS = "was", "theirs", "limit", "is"
POINTED = said_words("pointed")
#: What a bare figure is mostly taken for.
_BARE = (inputs.FOUND_PRESSURE, inputs.INJURY_SIZE)
_CHANGED = (ZONE, inputs.WHEEL_POSITION, inputs.VEHICLE)


class RunTold(Struct, frozen=True):
    """A run found in a line, with what the phrases say of it."""

    entry: FigureRun
    found: RunFound


class Runs:
    """The runs of a rule set made ready."""

    def __init__(self, phrases: Phrases) -> None:
        fixed = {wrong: right for wrong, right in phrases.spellings.items() if " " not in wrong}

        def ready(texts: Iterable[str]) -> WordRuns:
            return WordRuns(texts, phrases.classes, fixed)

        self._entries, self._figures = phrases.runs, ready(each.said for each in phrases.runs)
        self._changes, self._none_of = ready(phrases.sets_right), ready(phrases.none_of)
        self._wanting = frozenset(phrases.classes.get("wanting", ()))

    def told(self, clauses: Sequence[Clause], every: Sequence[Clause], sense: Sayer) -> None:
        """Proposes what the run of a line tells; `clauses` are those of `every` one that tell something."""
        words = [token.text for token in sense.tokens]
        there = frozenset(words)
        open_ones = [*clauses, *filter(self._wants, every)]
        figures = _figures(every, words)
        for number, run in self._figures.standing(there) if figures else ():
            entry = self._entries[number]
            if not entry.having or not there.isdisjoint(entry.having):
                for found in run.found(words, figures):
                    again = _same_again(found, entry, every, sense) if found.figures[-1][0] == IS else found
                    told = RunTold(entry if again is found else replace(entry, drops=_BARE), again)
                    if again.figures and _tells(told, open_ones) and not _of_injuries(told, sense):
                        _tell(told, open_ones, sense)
        change = next((found for _, run in self._changes.standing(there) for found in run.found(words, {})), None)
        if change is not None:
            _changed(change, every, sense)
            _named_anew(change, words, sense)
        for _, run in self._none_of.standing(there) if clauses else ():
            for found in run.found(words, {}):
                _deny(found, sense)

    def _wants(self, clause: Clause) -> bool:
        """Whether a clause is set aside for nothing but what the tire wants."""
        aside = clause.having("aside")
        told = bool(aside) and all(mark.text.split()[0] in self._wanting for mark in aside)
        return told and not clause.question and not clause.having("supposed", "unsafe", "elsewhere")


def _figures(clauses: Sequence[Clause], words: Sequence[str]) -> dict[int, tuple[Figure, int]]:
    """The figures of a line by where they begin, with their ends; a small number in words is one too."""
    marks = [mark for clause in clauses for mark in clause.marks if mark.figure is not None]
    found = {mark.start: (mark.figure, mark.end) for mark in marks if mark.figure}
    aside = [mark for clause in clauses for mark in clause.marks if mark.kind == COUNT]
    within = {at for mark in (*marks, *aside) for at in range(mark.start, mark.end)}
    for at, word in enumerate(words):
        pointed = word == "one" and at > 0 and words[at - 1] in POINTED
        if word in NUMBER_WORDS and at not in within and not pointed:
            found[at] = (Figure(at + 1, str(NUMBER_WORDS[word])), at + 1)
    return found


def _tells(told: RunTold, clauses: Sequence[Clause]) -> bool:
    """Whether the last figure stands where something is told; any of them does where one is set right by another."""
    named = [name for name, _, _ in told.found.figures]
    places = [place for _, _, place in told.found.figures]
    places = places if told.entry.sets or inputs.PAIR_GIRTH in named else places[-1:]
    return any(clause.marks[0].start <= place < clause.marks[-1].end for clause in clauses for place in places)


def _tell(told: RunTold, clauses: Sequence[Clause], sense: Sayer) -> None:
    units = [figure.unit for _, figure, _ in told.found.figures]
    of_all = next(filter(None, units), "")
    ahead = [mark.figure.unit for clause in clauses for mark in clause.marks
             if mark.figure and mark.figure.unit and mark.end <= told.found.figures[0][2]]  # fmt: skip
    values: dict[str, list[str]] = {}
    for name, figure, _ in told.found.figures:
        units_tried = (figure.unit,) if figure.unit else (*filter(None, (of_all, *reversed(ahead))), "")
        tried = (_written(name, figure, each, sense) for each in units_tried)
        written = next(filter(None, tried), "")
        if not written:
            return
        for each in name.split("+"):
            values.setdefault(each, []).append(written)
    for name, several in values.items():
        last = several if sense.rules.questions[name].kind == "readings" else several[-1:]
        _propose(name, last, told, clauses, sense)
    numbers = {each.split()[0] for several in values.values() for each in several}
    numbers |= {figure.low for _, figure, _ in told.found.figures}
    for piece in [*sense.gathered.pieces]:
        if piece.question not in told.entry.drops or piece.denied or piece.question in values:
            continue
        if piece.written.split()[0] in numbers:
            sense.gathered.pieces.remove(piece)
        elif _within(piece, told.found):
            piece.hedge = piece.hedge or f'{ALTERED} "{_said(told.found, sense)}"'


def _same_again(found: RunFound, entry: FigureRun, every: Sequence[Clause], sense: Sayer) -> RunFound:
    """The run with its last figure as one of what the figure ahead of it was of; with none where that can't be told."""
    (kind, first, was), (_, last, at) = found.figures[-2:]
    unit = last.unit or first.unit
    told = [piece.question for piece in sense.gathered.pieces if isinstance(piece.clause, Clause)
            and any(mark.start == was for mark in piece.clause.marks)]  # fmt: skip
    marks = [mark for clause in every for mark in clause.marks if mark.start < found.end and mark.has("label")]
    marks.sort(key=lambda mark: (mark.start > was, abs(was - mark.start)))
    told += [name for mark in marks for each in mark.senses if each.how == "label" for name, _ in each.gives]
    told += [one.why.partition("|")[0] for one in sense.gathered.loose
             if kind == WAS and one.mark.start in (was, at) and "|" in one.why]  # fmt: skip
    of_tread = (kind == THEIRS and (unit or first.fraction)) or unit == "32nds" or "/32" in f"{first.low} {last.low}"
    bare = not unit and last.low.isdecimal() and first.low.isdecimal() and int(first.low) >= LEAST_READ
    of_air = kind == THEIRS or (bare and not sense.injury_named)
    told.append(inputs.TREAD_DEPTH if of_tread else inputs.FOUND_PRESSURE if of_air else inputs.INJURY_SIZE)
    figure = replace(last, unit=unit)
    fits = [name for name in told if figure_fits(sense.rules.questions.get(name), figure)]
    name = next((name for name in fits if figure_fits(sense.rules.questions[name], first)), "")
    told_by = name and name not in entry.drops and not (kind == WAS and _milder(name, first, figure))
    return replace(found, figures=((name, last if last.fraction else figure, at),) if told_by else ())


def _milder(name: str, first: Figure, last: Figure) -> bool:
    """Whether the later figure is the better one, or which of the two is can't be told: the former one stays."""
    unit = first.unit or last.unit
    both = [replace(one, unit=one.unit or unit or ("" if one.fraction else "mm")).written() for one in (first, last)]
    try:
        was, now = (read_measure(one, "length").to("mm").low for one in both)
    except Misread:
        return True
    return now > was if name == inputs.TREAD_DEPTH else now < was


def _of_injuries(told: RunTold, sense: Sayer) -> bool:
    """Whether several readings may as well be the sizes of several injuries, or those of one named ahead of them."""
    ahead = {token.text for token in sense.tokens[max(0, told.found.start - 2) : told.found.start]}
    named = not ahead.isdisjoint({*sense.rules.phrases.classes.get("injury", ())} - {"it"})
    several = named or (max(sense.injuries.declared, sense.injuries.count) > 1 and len(told.found.figures) > 1)
    return several and inputs.INJURY_SIZE in told.entry.drops and told.found.figures[0][0] == inputs.TREAD_DEPTH


def _written(name: str, figure: Figure, unit: str, sense: Sayer) -> str:
    question = sense.rules.questions.get(name.partition("+")[0])
    if question is None:
        return ""
    if figure.unit or (unit and not figure.fraction):
        written = replace(figure, unit=figure.unit or unit).written()
    else:
        written, _ = figure_with_unit(figure, question, in_fahrenheit(sense.rules))
    try:
        answer = read_written(question, written)
    except (Misread, ValueError):
        return ""
    most = question.plausible
    within = most is None or not isinstance(answer, Measure) or answer.to(most.unit).high <= most.high
    return written if within else ""


def _said(found: RunFound, sense: Sayer) -> str:
    return " ".join(sense.words_at(found.start, found.end).split())


def _propose(name: str, values: list[str], told: RunTold, clauses: Sequence[Clause], sense: Sayer) -> None:
    question, sets, said = sense.rules.questions[name], told.entry.sets, _said(told.found, sense)
    why = f'"{said}" may say that'
    index = TIRE if question.over == "tire" else 0
    if question.over == inputs.OVER_REPAIRS:
        if not sense.repairs:
            sense.repairs = 1
            sense.gathered.say(Piece(inputs.EARLIER_REPAIRS, TIRE, "yes", said, hedge=why))
        index = sense.repairs - 1
    elif question.over == "injuries":
        index = max(sense.injuries.now, 0)
        if sense.injuries.count > 1 and not sets:
            return
        sense.injuries.count = max(sense.injuries.count, index + 1)
    there = [piece for piece in sense.gathered.pieces if piece.question == name and piece.index in (index, TIRE, -1)]
    outright = [piece.written for piece in there if not piece.hedge]
    if (outright and not sets) or [piece.written for piece in there] == values == outright:
        return
    sense.gathered.pieces[:] = [piece for piece in sense.gathered.pieces if piece not in there]
    for each in values:
        sense.gathered.say(Piece(name, index, each, said, clause=clauses[0], hedge=why))
    sense.gathered.asks.pop((name, index), None)
    for _, figure, place in told.found.figures:
        clauses[0].taken.update(range(place, figure.end))


def _within(piece: Piece, found: RunFound) -> bool:
    """Whether a piece was told in the words of a run, or its clause reaches into them."""
    if not isinstance(piece.clause, Clause):
        return False
    return piece.clause.marks[0].start < found.end and found.start < piece.clause.marks[-1].end


def _changed(change: RunFound, clauses: Sequence[Clause], sense: Sayer) -> None:
    """Proposes the choice that a sentence puts in the place of another one: drive? nope, its the steer."""
    for name in _CHANGED:
        question = sense.rules.questions.get(name)
        before, behind = list[tuple[str, str]](), list[tuple[str, str]]()
        for clause in clauses:
            for mark in clause.marks if not clause.question or clause is clauses[0] else ():
                given = [choice for one, choice in _given(mark) if one == name] or _of_another(mark, question)
                into = behind if mark.end > change.end else before
                into += [(choice, mark.text) for choice in given]
        if question is None or not before or not behind or behind[0][0] == before[-1][0]:
            continue
        index = TIRE if question.over == "tire" else max(sense.injuries.now, 0)
        sense.gathered.pieces[:] = [piece for piece in sense.gathered.pieces if piece.question != name]
        sense.gathered.asks.pop((name, index), None)
        if question.over == "injuries":
            sense.injuries.count = max(sense.injuries.count, index + 1)
        why = f'set right: "{behind[0][1]}", not "{before[-1][1]}"'
        sense.gathered.say(Piece(name, index, behind[0][0], behind[0][1], clause=clauses[0], hedge=why))


def _named_anew(change: RunFound, words: Sequence[str], sense: Sayer) -> None:
    """Proposes what a choice was set right to by its bare name: load range D, no sorry, it's E."""
    ahead = [piece for piece in sense.gathered.pieces if isinstance(piece.clause, Clause)
             and piece.clause.marks[0].start < change.start]  # fmt: skip
    at = next((at for at in range(change.end, len(words)) if words[at] not in (",", ":", "a", "the")), len(words))
    question = sense.rules.questions[ahead[-1].question] if ahead and at < len(words) else None
    if question is None or question.kind != "choice":
        return
    other = next((each.id for each in question.choices if each.id.casefold() == words[at]), ahead[-1].written)
    if other != ahead[-1].written and other not in YES_NO:
        ahead[-1].hedge = f'set right: "{words[at]}", not "{ahead[-1].written}"'
        ahead[-1].written = other
        ahead[-1].words = f"{ahead[-1].words}; {sense.words_at(at, at + 1)}"


def _of_another(mark: Mark, question: Question | None) -> list[str]:
    """The choice that the words for another tire hold: the trailer one."""
    if question is None or not mark.has("elsewhere"):
        return []
    return [each.id for each in question.choices if each.id in mark.text.split()]


def _given(mark: Mark) -> Iterator[tuple[str, str]]:
    yield from gives_of(mark, "said", "noun", "doubtful", "alone")


def _deny(found: RunFound, sense: Sayer) -> None:
    """A list of what was looked for that "none of those" ends is denied, each part of it."""
    start, end = found.gaps[-1]
    for piece in sense.gathered.pieces:
        clause = piece.clause
        if not isinstance(clause, Clause) or piece.denied:
            continue
        begins = clause.marks[0].start
        if sense.rules.questions[piece.question].kind == "choices" and found.start <= begins <= end and start < end:
            piece.denied, piece.hedge = True, f'"{_said(found, sense)[-40:]}": none of it?'
            sense.gathered.asks.pop((piece.question, piece.index), None)
