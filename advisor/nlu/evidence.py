"""Gathers what was understood: one value for each question; what contradicts itself is asked back, not taken."""

from __future__ import annotations

from typing import Any

from msgspec import Struct, field

from advisor.loader.answer_codec import looked_for, read_readings, read_written
from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Answer, Choices, Key
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, in_words
from advisor.model.ruleset import Question, RuleSet
from advisor.nlu.result import AskBack, Understood
from advisor.nlu.tagger import Clause, Mark


class Piece(Struct):
    """One thing said: question, injury (or TIRE), the value as written, the words, and why it is asked back.

    `clause` is where it was said, `hedge` why it was not said outright; `there`: a sentence took it as being there.
    """

    question: str
    index: int
    written: str
    words: str
    doubt: str = ""
    denied: bool = False
    corrected: bool = False
    denies: str = ""
    weak: bool = False
    clause: object = None
    hedge: str = ""
    there: bool = False


#: With so many named and denied, a doubtful "none" is no more than these.
MOST_BESIDE_NONE = 2


class Loose(Struct, frozen=True):
    """A figure that no question was found for: its mark and clause, the injury spoken of then, and why."""

    mark: Mark
    clause: Clause
    index: int
    why: str


class Gathered(Struct):
    """Everything said so far, in order; `clause` is the one heard now, `corrections` those that one begins in."""

    rules: RuleSet
    pieces: list[Piece] = field(default_factory=list)
    asks: dict[Key, str] = field(default_factory=dict)
    clause: object = None
    corrections: list[object] = field(default_factory=list)
    loose: list[Loose] = field(default_factory=list)

    def say(self, piece: Piece) -> None:
        """Notes one thing said."""
        piece.clause = piece.clause or self.clause
        self.pieces.append(piece)

    def ask(self, question: str, index: int, why: str) -> None:
        """Notes a question to be asked back; the first reason stays."""
        over = self.rules.questions[question].over if question in self.rules.questions else "tire"
        self.asks.setdefault((question, TIRE if over == "tire" else max(index, 0)), why)

    def settled(self) -> tuple[list[Understood], list[Understood]]:
        """What was said outright, and what is only proposed: one answer for each question, in the order said.

        Contradictions and misfits go to what is asked back.
        """
        by_key: dict[Key, list[Piece]] = {}
        for piece in self.pieces:
            over = self.rules.questions[piece.question].over
            by_key.setdefault((piece.question, TIRE if over == "tire" else piece.index), []).append(piece)
        plain, proposed = list[Understood](), list[Understood]()
        for key, pieces in by_key.items():
            said, held = _apart(self.rules.questions[key[0]], pieces)
            for some, into in ((said, plain), (held, proposed)):
                answer = self._one(key, some) if some else None
                if answer is not None:
                    (proposed if answer.hedge else into).append(answer)
        return plain, proposed

    def _one(self, key: Key, pieces: list[Piece]) -> Understood | None:
        question = self.rules.questions[key[0]]
        told = [piece for piece in pieces if piece.written != "cant-tell"]
        if told and len(told) < len(pieces):
            pieces = told
            told[-1].doubt = "; ".join(text for text in (told[-1].doubt, "said along with can't tell") if text)
        try:
            written, answer = _KINDS.get(question.kind, _single)(question, pieces)
        except Misread as error:
            self.asks[key] = f"{error.found}; expected {error.expected}"
            worse = None if self.corrections else _worse_of(question, pieces)
            if worse is None:
                return None
            words = "; ".join(dict.fromkeys(piece.words for piece in pieces))
            return Understood(key, question.over, worse[1], worse[0], words, self.asks[key], error.found)
        words = "; ".join(dict.fromkeys(piece.words for piece in pieces))
        hedge = "; ".join(dict.fromkeys(piece.hedge for piece in _counted(pieces) if piece.hedge))
        doubts = dict.fromkeys(piece.doubt for piece in _counted(pieces) if piece.doubt)
        each_one = dict.fromkeys(part for text in (hedge, *doubts) for part in text.split("; ") if part)
        doubt = "; ".join(each_one)
        if doubt:
            self.asks[key] = "; ".join(dict.fromkeys((self.asks[key], doubt))) if key in self.asks else doubt
        elif question.kind != "choices":
            left_open = self.asks.pop(key, "")
            if question.kind == "measure" and left_open and not any(sign.isdigit() for sign in words):
                doubt = hedge = self.asks[key] = left_open  # straight in, at an angle
        elif key in self.asks and answer == Choices(frozenset()):
            doubt = hedge = self.asks[key]  # nothing found, one crack
        return Understood(key, question.over, answer, written, words, doubt, hedge)


def _apart(question: Question, pieces: list[Piece]) -> tuple[list[Piece], list[Piece]]:
    """What of one question was said outright, and what is only proposed: the worse of what contradicts itself, and
    what was denied outright and then in part.
    """
    if question.kind == "choices":
        return _findings_apart(_named(pieces) if question.id == inputs.FINDINGS else pieces)
    counted = _counted(pieces)
    if not any(piece.hedge for piece in counted):
        return pieces, []
    told = {piece.written for piece in counted if piece.written != "cant-tell"}
    last = next((piece for piece in reversed(counted) if piece.written != "cant-tell"), counted[-1])
    taken_back = bool(last.hedge) and last.denies != "" and [last.written] == [*question.worse_order[:1]]
    if len(told) == 1 and not taken_back and not all(piece.hedge for piece in counted if piece.written != "cant-tell"):
        return [piece for piece in pieces if not piece.hedge], []
    return [], pieces


def _findings_apart(pieces: list[Piece]) -> tuple[list[Piece], list[Piece]]:
    """Findings: one in doubt takes a plain "none" with it, and is left open among those found absent."""
    pieces = _last_corrected(pieces)
    held = [piece for piece in pieces if piece.hedge]
    said = [piece for piece in pieces if not piece.hedge]
    there = {piece.written for piece in pieces if not piece.denied and piece.written != "none"}
    last = {piece.written: piece for piece in pieces if piece.written in there}
    for piece in [*said]:
        if (piece.written == "none" and there) or (piece.denied and piece.written in there):
            said.remove(piece)
            if piece.written != "none":
                last[piece.written].doubt = f"{piece.written.replace('-', ' ')} both found and not found"
                if last[piece.written] is piece:
                    piece.hedge = last[piece.written].doubt
                    held.extend(each for each in said if each.written == piece.written)
                    said = [each for each in said if each.written != piece.written]
    gone = {"none"} if there else set[str]()
    return said, [piece for piece in held if piece.written not in (there if piece.denied else gone)]


def _named(pieces: list[Piece]) -> list[Piece]:
    """Where several were named and denied, these count, and no hint at nothing at all: nothing else, no bulges."""
    if len({piece.written for piece in pieces if piece.denied}) < MOST_BESIDE_NONE:
        return pieces
    return [piece for piece in pieces if piece.written != "none" or not piece.hedge]


def _last_corrected(pieces: list[Piece]) -> list[Piece]:
    """From the last correction on: what was said before it no longer counts."""
    at = max((place for place, piece in enumerate(pieces) if piece.corrected), default=0)
    return pieces[at:]


def _counted(pieces: list[Piece]) -> list[Piece]:
    """What counts of what was said: from the last correction on, and what mostly means something only by itself."""
    last = _last_corrected(pieces)
    return [piece for piece in last if not piece.weak] or last


def _single(question: Question, pieces: list[Piece]) -> tuple[Any, Answer]:
    counted = _counted(pieces)
    values = {piece.written: read_written(question, piece.written) for piece in counted}
    different = list(dict.fromkeys(_comparable(value) for value in values.values()))
    if len(different) > 1:
        said = " and ".join(f'"{piece.words}"' for piece in counted)
        raise Misread(f"{said} for {question.name}", "one of them")
    written = next(iter(values))
    if question.id == inputs.EARLIER_REPAIRS:
        return ([] if written == "no" else written), values[written]
    return written, values[written]


def _worse_of(question: Question, pieces: list[Piece]) -> tuple[str, Answer] | None:
    """What answers that contradict each other may come to: the worse one, or from the one figure to the other."""
    written = list(dict.fromkeys(piece.written for piece in _counted(pieces)))
    if len(written) < 2:
        return None
    if question.kind == "choice" and set(written) <= set(question.worse_order):
        worst = max(written, key=question.worse_order.index)
        return worst, read_written(question, worst)
    try:
        measures = [each for text in written if isinstance(each := read_written(question, text), Measure)]
        if question.kind != "measure" or len(measures) < len(written):
            return None
        same = [each.to(measures[0].unit) for each in measures]
        span = in_words(Measure(min(each.low for each in same), max(each.high for each in same), same[0].unit))
        return span, read_written(question, span)
    except Misread:
        return None


def _comparable(value: Answer) -> Any:
    return (value.low, value.high, value.compared_in) if isinstance(value, Measure) else value


def _several(question: Question, pieces: list[Piece]) -> tuple[Any, Answer]:
    pieces = _last_corrected(pieces)
    present = {piece.written for piece in pieces if not piece.denied}
    absent = {piece.written for piece in pieces if piece.denied}
    if "none" in present:
        if len(present) > 1:
            raise Misread(f"nothing found, and {', '.join(sorted(present - {'none'}))}", "one of them")
        return ["none"], Choices(frozenset())
    answer = looked_for(question, present, absent)
    written: dict[str, list[str]] = {"present": sorted(present)} if present else {}
    return {**written, "absent": sorted(absent)}, answer


def _readings(question: Question, pieces: list[Piece]) -> tuple[Any, Answer]:
    pieces = _last_corrected(pieces)
    if any(piece.written == "cant-tell" for piece in pieces):
        return "cant-tell", CANT_TELL
    written = list(dict.fromkeys(piece.written for piece in pieces))
    return (written[0] if len(written) == 1 else written), read_readings(question, written)


_KINDS = {"choices": _several, "readings": _readings}


def asked_back(asks: dict[Key, str]) -> tuple[AskBack, ...]:
    """What is asked back, in the order noted."""
    return tuple(AskBack(key, why) for key, why in asks.items())
