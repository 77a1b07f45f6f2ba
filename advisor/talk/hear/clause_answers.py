"""Takes the answers out of clauses, one after another."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.model.case import TIRE
from advisor.talk.hear.denial import Denial, denial_of
from advisor.talk.hear.figure_answers import FigureAnswers
from advisor.talk.hear.gather import Piece
from advisor.talk.hear.lexicon import YES_NO
from advisor.talk.hear.mark_senses import gives_of
from advisor.talk.hear.marks import Clause
from advisor.talk.hear.phrase_answers import PhraseAnswers
from advisor.talk.hear.prints import prints_of
from advisor.talk.hear.zone_answers import ZoneAnswers


class ClauseAnswers(PhraseAnswers, ZoneAnswers, FigureAnswers):
    """What is made of the clauses of one sentence."""

    def hear_all(self, clauses: Sequence[Clause]) -> None:
        """Takes every clause."""
        correcting = False
        pieces_before = 0
        for place, clause in enumerate(clauses):
            only_no = [mark.text for mark in clause.marks if not mark.has("filler")] in (["no"], ["none"], ["absent"])
            if only_no:
                self._plain_no(clause, place)
            if only_no and place > 0 and self._denied_behind(pieces_before):
                continue
            correcting = correcting or bool(clause.having("correction")) or (only_no and place > 0)
            pieces_before = len(self.gathered.pieces)
            follows = clauses[place + 1] if place + 1 < len(clauses) else None
            self._clause(clause, correcting, follows)
            self.before = pieces_before
            if self.gathered.pieces and correcting and self.gathered.pieces[-1].corrected:
                correcting = False
        self._settle_pressures()
        self._one_vehicle(clauses)
        self._cross_check()
        self._all_denied()

    def _plain_no(self, clause: Clause, place: int) -> None:
        """A bare "no" ahead answers a yes-or-no question that was just asked; else it begins a correction."""
        question = self.rules.questions.get(self.asked[0]) if self.asked else None
        clause.take(*clause.marks)
        if question is not None and place == 0 and {choice.id for choice in question.choices} == YES_NO and self.asked:
            self.gathered.ask(question.id, self.asked[1], "was that no the answer, or did it correct another one?")

    def _denied_behind(self, start: int) -> bool:
        """`bulge - none`: a denial by itself behind what can be denied; whether it was that."""
        pieces = self.gathered.pieces[start:]
        if not pieces:
            return False
        changed = []
        for piece in pieces:
            several = self.rules.questions[piece.question].kind == "choices"
            flipped = "" if several else self._flipped(piece.question, piece.written)
            if piece.denied or piece.written == "none" or not (several or flipped):
                return False
            changed.append(
                Piece(piece.question, piece.index, flipped or piece.written, f"{piece.words}: no", piece.doubt, several)
            )
        self.gathered.pieces[start:] = changed
        return True

    def _clause(self, clause: Clause, correcting: bool, follows: Clause | None) -> None:
        self.zone_doubt = ""
        self.opening_ahead = follows is not None and bool(follows.having("opening")) and self.injuries.now < 0
        zones = self._zones(clause, follows)
        nouns = [mark for mark in clause.having("thing", "opening") if denial_of(mark, clause) is Denial.SAID]
        if clause.having("road") and not nouns:
            zones = []
        of_repair = any(question == "earlier-repairs" for mark in clause.marks for question, _ in gives_of(mark))
        self.injuries.step(clause, [] if of_repair else nouns, bool(zones))
        clause.take(*clause.having("thing", "opening", "first", "another"))
        self.figured = any(mark.kind in ("figure", "clock") and mark.start not in clause.taken for mark in clause.marks)
        start = len(self.gathered.pieces)
        self.between = any(mark.text == "between" for mark in clause.marks)
        if clause.having("cannot-tell"):
            if not any(gives_of(mark) for mark in clause.marks):
                self._doubt_behind(start)
            self._cannot_tell(clause, zones)
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

    def _doubt_behind(self, start: int) -> None:
        """`gone through, can't tell`: what the clause before said is in doubt."""
        for piece in self.gathered.pieces[self.before : start]:
            piece.doubt = "; ".join(text for text in (piece.doubt, "followed by can't tell") if text)

    def _one_vehicle(self, clauses: Sequence[Clause]) -> None:
        """Two vehicles named, and no phrase that names the tire's own: which one is asked, neither is taken."""
        marks = [mark for clause in clauses for mark in clause.marks]
        named = {choice for mark in marks for question, choice in gives_of(mark) if question == "vehicle"}
        own = [piece for piece in self.gathered.pieces if piece.question == "vehicle"]
        outright = any(len(gives_of(mark, "said")) > 1 for mark in marks if mark.has("said"))
        if len(named) > 1 and own and not outright and not any(piece.corrected for piece in own):
            self.gathered.pieces[:] = [piece for piece in self.gathered.pieces if piece.question != "vehicle"]
            self.gathered.ask("vehicle", TIRE, f"{' and '.join(sorted(named))} were named: which is the tire from?")

    def _all_denied(self) -> None:
        """Neither retreaded nor regrooved: with every other choice denied the one left is in no doubt."""
        for question in {piece.question for piece in self.gathered.pieces if piece.denies}:
            own = [piece for piece in self.gathered.pieces if piece.question == question]
            others = {choice.id for choice in self.rules.questions[question].choices} - {own[0].written}
            if others == {piece.denies for piece in own}:
                for piece in own:
                    piece.doubt = ""

    def _cross_check(self) -> None:
        """What is said of vehicle and wheel has to fit together; where it doesn't, it is asked and not taken."""
        said = {piece.question: piece.written for piece in self.gathered.pieces}
        vehicle, wheel = said.get("vehicle"), said.get("wheel-position")
        if (
            vehicle
            and wheel
            and (wheel == "trailer") != (vehicle == "trailer")
            and wheel != "other"
            and "cant-tell" not in (vehicle, wheel)
        ):
            drop = "vehicle" if wheel == "trailer" else "wheel-position"
            self.gathered.pieces[:] = [piece for piece in self.gathered.pieces if piece.question != drop]
            self.gathered.asks.pop((drop, TIRE), None)
            self.gathered.ask(
                drop, TIRE, f"{said[drop]}, and {wheel if drop == 'vehicle' else vehicle}: which of the two?"
            )
