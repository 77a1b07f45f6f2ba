"""Takes the answers out of clauses, one after another."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from advisor.model.case import TIRE, Key
from advisor.model.phrases import Given
from advisor.model.rules import RuleSet
from advisor.talk.hear.denial import Denial, denial_of
from advisor.talk.hear.figure_places import WHICH_PRESSURE, Placed, Spoken, placed
from advisor.talk.hear.gather import Gathered, Piece
from advisor.talk.hear.injuries import Injuries
from advisor.talk.hear.lexicon import YES_NO
from advisor.talk.hear.marks import Clause, Mark
from advisor.talk.hear.prints import prints_of
from advisor.talk.hear.tokens import Token

ZONE = "injury-zone"
SEVERAL_OPEN = "which of the injuries?"
_WEEK = re.compile(r"(?:0[1-9]|[1-4]\d|5[0-3])\d\d")


@dataclass(slots=True)
class _Pressure:
    mark: Mark
    clause: Clause
    place: Placed


@dataclass
class ClauseAnswers:
    """What is made of the clauses of one sentence; `gathered` and `injuries` grow."""

    rules: RuleSet
    gathered: Gathered
    injuries: Injuries
    asked: Key | None
    line: str
    tokens: Sequence[Token]
    last: str = ""
    denied_list: bool = False
    zone_doubt: str = ""
    _pressures: list[_Pressure] = field(default_factory=list)

    def hear_all(self, clauses: Sequence[Clause]) -> None:
        """Takes every clause."""
        correcting = False
        for place, clause in enumerate(clauses):
            only_no = [mark.text for mark in clause.marks if not mark.has("filler")] == ["no"]
            if only_no:
                self._plain_no(clause, place)
            correcting = correcting or bool(clause.having("correction")) or (only_no and place > 0)
            follows = clauses[place + 1] if place + 1 < len(clauses) else None
            self._clause(clause, correcting, follows)
            if self.gathered.pieces and correcting and self.gathered.pieces[-1].corrected:
                correcting = False
        self._settle_pressures()
        self._cross_check()

    def _plain_no(self, clause: Clause, place: int) -> None:
        """A bare "no" ahead answers a yes-or-no question that was just asked; else it begins a correction."""
        question = self.rules.questions.get(self.asked[0]) if self.asked else None
        clause.take(*clause.marks)
        if question is not None and place == 0 and {choice.id for choice in question.choices} == YES_NO and self.asked:
            self.gathered.ask(question.id, self.asked[1], "was that no the answer, or did it correct another one?")

    def _clause(self, clause: Clause, correcting: bool, follows: Clause | None) -> None:
        self.zone_doubt = ""
        zones = self._zones(clause, follows)
        nouns = [mark for mark in clause.having("thing", "opening") if denial_of(mark, clause) is Denial.SAID]
        if clause.having("road") and not nouns:
            zones = []
        of_repair = any(question == "earlier-repairs" for mark in clause.marks for question, _ in _gives(mark))
        self.injuries.step(clause, [] if of_repair else nouns, bool(zones))
        clause.take(*clause.having("thing", "opening", "first", "another"))
        start = len(self.gathered.pieces)
        if clause.having("cannot-tell"):
            self._cannot_tell(clause)
        elif clause.having("not-yet"):
            self._not_yet(clause)
        else:
            for mark in clause.marks:
                self._mark(mark, clause, zones, nouns, follows)
            for piece in prints_of(clause, self.tokens, self.line):
                self.gathered.say(piece)
            self._figures(clause)
            self._asks(clause)
        self._hedge(clause, self.gathered.pieces[start:], correcting)

    # Phrases

    def _mark(self, mark: Mark, clause: Clause, zones: list[Mark], nouns: list[Mark], follows: Clause | None) -> None:
        for sense in mark.senses:
            if sense.how in ("said", "doubtful"):
                self._given(mark, clause, sense.gives, sense.how == "doubtful", zones, follows)
            elif sense.how == "alone" and self._stands_alone(mark, clause):
                self._given(mark, clause, self._for_asked(mark), False, zones, follows)
                return
            elif sense.how == "denied" and denial_of(mark, clause) is Denial.DENIED:
                self._given(mark, clause, sense.gives, False, zones, follows)
            elif sense.how == "noun":
                self._noun(mark, clause, sense.gives, zones, nouns, follows)

    def _asks(self, clause: Clause) -> None:
        """What only touches a question: asked back, where it was not a figure's label."""
        for mark in clause.having("asks"):
            if mark.start not in clause.taken:
                for sense in mark.senses:
                    for question, _ in sense.gives if sense.how == "asks" else ():
                        self._ask(question, f'"{mark.text}" leaves it open')
                clause.take(mark)

    def _stands_alone(self, mark: Mark, clause: Clause) -> bool:
        others = (other for other in clause.marks if other is not mark)
        return all(other.idle or other.has("no", "correction", "cannot-tell") for other in others) and len(self._for_asked(mark)) == 1

    def _for_asked(self, mark: Mark) -> tuple[Given, ...]:
        """What a word standing alone gives: of the question asked, or the only one that has it."""
        gives = tuple(given for sense in mark.senses if sense.how == "alone" for given in sense.gives)
        asked = tuple(given for given in gives if self.asked and given[0] == self.asked[0])
        return asked or gives

    def _noun(
        self, mark: Mark, clause: Clause, gives: tuple[Given, ...], zones: list[Mark], nouns: list[Mark], follows: Clause | None
    ) -> None:
        if gives[0][0] == ZONE:
            if mark in zones:
                self._given(mark, clause, gives, False, zones, follows)
        elif _framed(mark, clause):
            self._given(mark, clause, gives, False, zones, follows)

    def _given(
        self, mark: Mark, clause: Clause, gives: Iterable[Given], doubtful: bool, zones: list[Mark], follows: Clause | None
    ) -> None:
        denial = denial_of(mark, clause)
        for question, choice in gives:
            if question == ZONE and mark not in zones:
                continue
            self._one(mark, clause, question, choice, denial, doubtful, follows)
        clause.take(mark)

    def _one(
        self, mark: Mark, clause: Clause, question: str, choice: str, denial: Denial, doubtful: bool, follows: Clause | None
    ) -> None:
        words = self._words(mark)
        kind = self.rules.questions[question].kind
        if denial is Denial.UNCLEAR:
            self._ask(question, f'"{mark.text}": said, or denied?')
            return
        if kind == "choices":
            self._finding(mark, clause, question, choice, denial, follows)
            return
        doubt = f'"{mark.text}" mostly means that, not always' if doubtful else ""
        if question == ZONE:
            doubt = self.zone_doubt
        if denial is Denial.DENIED:
            flipped = self._flipped(question, choice)
            if not flipped:
                self._ask(question, f'not {mark.text}: what then?')
                return
            choice, words = flipped, f"no {words}"
            if question == "retread":
                doubt = "denied only in part: new tread, recapped or regrooved?"
        self._say(question, choice, words, doubt)

    def _flipped(self, question: str, choice: str) -> str:
        """What a denial gives: no for a yes; nothing certain for anything else."""
        ids = {found.id for found in self.rules.questions[question].choices}
        if ids == YES_NO and choice == "yes":
            return "no"
        return "no" if question == "retread" and choice != "no" else ""

    def _finding(self, mark: Mark, clause: Clause, question: str, choice: str, denial: Denial, follows: Clause | None) -> None:
        if denial is Denial.SAID and choice == "none":
            self._say(question, choice, self._words(mark), "")
            return
        bare = all(other is mark or other.has("filler", "no") for other in clause.marks)
        if denial is Denial.SAID and self.denied_list and bare and not _article(mark, clause):
            if clause.marks[0].text in ("or", "nor") or (follows and follows.marks[0].text in ("or", "nor")):
                denial = Denial.DENIED
            else:
                self._ask(question, f'"{mark.text}" after a denial: found, or not found?')
                return
        self.denied_list = denial is Denial.DENIED
        words = f"no {self._words(mark)}" if denial is Denial.DENIED else self._words(mark)
        self._say(question, choice, words, "", denial is Denial.DENIED)

    # Zones

    def _zones(self, clause: Clause, follows: Clause | None) -> list[Mark]:
        """The words for a zone that tell where the injury is, and not where it is near to or something else is."""
        found = [mark for mark in clause.marks if any(question == ZONE for question, _ in _gives(mark))]
        if not found:
            return []
        findings = [m for m in clause.marks if any(q == "findings" for q, _ in _gives(m, "said"))]
        nouns = clause.having("thing", "opening")
        named = any(_labels(mark, ZONE) for mark in clause.marks)
        ahead = follows is not None and bool(follows.having("thing", "opening")) and follows.sentence == clause.sentence
        about_injury = nouns or named or any(q in ("injury-depth", "injury-angle") for m in clause.marks for q, _ in _gives(m, "said"))
        if findings and not nouns:
            return []
        counted = []
        for mark in found:
            place = clause.marks.index(mark)
            before = [other for other in clause.marks[max(0, place - 3) : place]]
            near = [other for other in before if other.has("beside") and other.text not in ("and", "or", "either", "over", "by")]
            if near:
                self.zone_doubt = f"{near[-1].text} the {mark.text}: in it, or beside it?"
                self._ask(ZONE, self.zone_doubt)
                clause.take(mark, *near)
                continue
            alone = all(other.idle or other.has("beside", "about", "no", "cannot-tell") or other in found or other.kind in ("figure", "clock") for other in clause.marks)
            if mark.has("said") or about_injury or (alone and (self.injuries.now >= 0 or ahead or (self.injuries.declared > 1 and bool(clause.having("first", "another"))))):
                counted.append(mark)
        return counted

    # What can't be told, what was not looked at, how sure

    def _cannot_tell(self, clause: Clause) -> None:
        asked: dict[str, None] = {}
        for mark in clause.marks:
            for question, _ in _gives(mark):
                asked[question] = None
            for sense in mark.senses:
                if sense.how == "label":
                    asked.update(dict.fromkeys(name for name, _ in sense.gives))
        figures = any(mark.kind == "figure" for mark in clause.marks)
        for question in asked:
            known = self.rules.questions[question]
            if figures or known.kind == "choices" or len(asked) > 1:
                self._ask(question, "can't it be told, or was that the answer?")
            else:
                self._say(question, "cant-tell", self._text(clause.marks[0], clause.marks[-1]), "")
        if asked:
            clause.take(*(mark for mark in clause.marks if mark.kind == "phrase"))

    def _not_yet(self, clause: Clause) -> None:
        for mark in clause.marks:
            names = [name for name, _ in _gives(mark)]
            names += [name for sense in mark.senses if sense.how in ("label", "asks") for name, _ in sense.gives]
            for name in names:
                self._ask(name, "not looked at yet, as was said")
                clause.take(mark)
        clause.take(*clause.having("not-yet"))

    def _hedge(self, clause: Clause, pieces: Sequence[Piece], correcting: bool) -> None:
        hedges = clause.having("perhaps")
        for piece in pieces:
            piece.corrected = piece.corrected or correcting
            hedge = hedges[0].text if hedges else next((word for word in ("maybe", "perhaps", "probably") if word in piece.words.casefold().split()), "")
            if hedge:
                piece.doubt = "; ".join(text for text in (piece.doubt, f'said with "{hedge}"') if text)
        clause.take(*hedges, *clause.having("correction", "cannot-tell"))

    # Figures

    def _of_pair(self, clause: Clause) -> None:
        """`92 of 110 psi`: the first is what was found, the second what it should have."""
        for place in range(len(clause.marks) - 2):
            one, joint, other = clause.marks[place : place + 3]
            if one.figure is None or other.figure is None or joint.text not in ("of", "out of"):
                continue
            units = {each.figure.unit for each in (one, other) if each.figure and each.figure.unit}
            if len(units) == 1 and other.figure.quantity == "pressure" and one.figure.quantity in ("", "pressure"):
                unit = units.pop()
                for mark, question in ((one, "found-pressure"), (other, "set-pressure")):
                    assert mark.figure is not None
                    self._say(question, mark.figure.written(unit), self._words(mark), "")
                    clause.take(mark, joint)

    def _figures(self, clause: Clause) -> None:
        self._of_pair(clause)
        for mark in clause.marks:
            if mark.kind == "clock":
                self._clock(mark, clause)
            if mark.kind != "figure" or set(range(mark.start, mark.end)) <= clause.taken:
                continue
            where = placed(mark, clause, Spoken(self.rules, self.injuries, self.asked, self.last))
            if mark.figure is not None and (mark.figure.quantity == "pressure" or where.question.endswith("-pressure")):
                self._pressures.append(_Pressure(mark, clause, where))
                continue
            self._put(mark, clause, where)

    def _put(self, mark: Mark, clause: Clause, where: Placed) -> None:
        if where.question:
            self._say(where.question, where.written, self._text(*_span(mark, where.labels)), where.why)
            clause.take(mark, *where.labels)
            self.last = where.question
        elif "|" in where.why:
            question, _, why = where.why.partition("|")
            self._ask(question, why)
            clause.take(mark)
        elif where.why and where.labels:
            labelled = next((name for s in where.labels[0].senses if s.how == "label" for name, _ in s.gives), "")
            if labelled:
                self._ask(labelled, where.why)
            clause.take(mark, *where.labels)

    def _clock(self, mark: Mark, clause: Clause) -> None:
        if clause.having("time-of-day"):
            return
        if self.injuries.count and not self.injuries.open and not any(q == "earlier-repairs" for m in clause.marks for q, _ in _gives(m)):
            self._say("clock", mark.text, self._words(mark), "")
        else:
            self._ask("clock", f"{mark.text}: where the injury is, or the time?")
        clause.take(mark, *clause.having("label") if "o'clock" in mark.text else ())

    def _settle_pressures(self) -> None:
        """Two pressures tell each other apart; one alone without a word beside it is asked back."""
        units = [each.mark.figure.unit for each in self._pressures if each.mark.figure and each.mark.figure.unit]
        sets = [each for each in self._pressures if each.place.question == "set-pressure"]
        loose = [each for each in self._pressures if not each.place.question]
        found = [each for each in self._pressures if each.place.question == "found-pressure"]
        for each in self._pressures:
            figure = each.mark.figure
            where = each.place
            assert figure is not None
            if not where.question and not where.why and len(loose) == 1 and len(sets) == 1 and not found:
                where = Placed("found-pressure", figure.written(units[0] if units else "psi"))
            elif not where.question and not where.why:
                where = Placed("", why=f"found-pressure|{each.mark.text}: {WHICH_PRESSURE}")
            elif where.question and not figure.unit and units:
                where = Placed(where.question, figure.written(units[0]), "", where.labels)
            self._put(each.mark, each.clause, where)

    # What goes together

    def _cross_check(self) -> None:
        """What is said of vehicle and wheel has to fit together; where it doesn't, it is asked and not taken."""
        said = {piece.question: piece.written for piece in self.gathered.pieces}
        vehicle, wheel = said.get("vehicle"), said.get("wheel-position")
        if vehicle and wheel and (wheel == "trailer") != (vehicle == "trailer") and wheel != "other" and "cant-tell" not in (vehicle, wheel):
            drop = "vehicle" if wheel == "trailer" else "wheel-position"
            self.gathered.pieces[:] = [piece for piece in self.gathered.pieces if piece.question != drop]
            self.gathered.asks.pop((drop, TIRE), None)
            self.gathered.ask(drop, TIRE, f"{said[drop]}, and {wheel if drop == 'vehicle' else vehicle}: which of the two?")

    # Helpers

    def _say(self, question: str, written: str, words: str, doubt: str, denied: bool = False) -> None:
        over = self.rules.questions[question].over
        if over == "injuries" and self.injuries.open:
            if question == ZONE and not denied:
                for index in range(self.injuries.declared):
                    self.gathered.say(Piece(question, index, written, words, doubt, denied))
                return
            self._ask(question, f'"{words}": {SEVERAL_OPEN}')
            return
        index = TIRE if over == "tire" else max(self.injuries.now, 0)
        if over == "injuries":
            self.injuries.now, self.injuries.count = index, max(self.injuries.count, index + 1)
        self.gathered.say(Piece(question, index, written, words, doubt, denied))

    def _ask(self, question: str, why: str) -> None:
        self.gathered.ask(question, max(self.injuries.now, 0), why)

    def _words(self, mark: Mark) -> str:
        return self._text(mark, mark)

    def _text(self, first: Mark, last: Mark) -> str:
        return self.line[self.tokens[first.start].start : self.tokens[last.end - 1].end]


def _gives(mark: Mark, *hows: str) -> list[Given]:
    """What a mark could give, by any way of counting that is an answer."""
    wanted = hows or ("said", "doubtful", "alone", "noun", "denied")
    return [given for sense in mark.senses if sense.how in wanted for given in sense.gives]


def _labels(mark: Mark, question: str) -> bool:
    return any(sense.how == "label" and (question, "") in sense.gives for sense in mark.senses)


def _article(mark: Mark, clause: Clause) -> bool:
    place = clause.marks.index(mark)
    return place > 0 and clause.marks[place - 1].text in ("a", "an", "one", "some")


def _framed(mark: Mark, clause: Clause) -> bool:
    """Whether a word for a vehicle names the one the tire is from: off a truck, van tire, truck, …"""
    place = clause.marks.index(mark)
    before, after = clause.marks[:place], clause.marks[place + 1 :]
    if before and before[-1].has("noun-before"):
        return True
    if len(before) > 1 and before[-2].has("noun-before") and before[-1].kind == "word":
        return True
    if after and after[0].has("noun-after"):
        return True
    idle = all(each.has("filler") and not each.has("no") for each in before)
    beside = [*before, *after]
    known = all(each.kind in ("print", "figure") or each.idle or each.has("said", "doubtful", "thing", "label", "opening", "noun", "perhaps") for each in beside)
    return idle and known


def _span(mark: Mark, labels: Sequence[Mark]) -> tuple[Mark, Mark]:
    every = sorted([mark, *labels], key=lambda each: each.start)
    return every[0], every[-1]
