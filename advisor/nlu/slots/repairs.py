"""What is said of earlier repairs: that there are some, how many, and of each whether it is sound, and where."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from advisor.model import inputs
from advisor.model.case import TIRE
from advisor.nlu.evidence import Piece
from advisor.nlu.negation_scope import Denial, denial_of
from advisor.nlu.slots.base import Sayer
from advisor.nlu.tagger import Clause, Mark, gives_of
from advisor.nlu.tokenizer import NUMBER_WORDS

NAMED = (inputs.EARLIER_REPAIRS, "yes")
MOST_REPAIRS = 6
_OF_UNIT = {
    inputs.UNIT_LENGTH: inputs.REPAIR_UNIT_LENGTH,
    inputs.INJURY_LENGTH: inputs.REPAIR_UNIT_LENGTH,
    inputs.UNIT_WIDTH: inputs.REPAIR_UNIT_WIDTH,
    inputs.INJURY_SIZE: inputs.REPAIR_UNIT_WIDTH,
    inputs.OFFSET: inputs.REPAIR_OFFSET,
}


class RepairAnswers(Sayer):
    """Answers about earlier repairs; `repairing` is the clause's repair, -1 for none."""

    def _repair_step(self, clause: Clause) -> None:
        """Moves to the earlier repair that a clause speaks of, if it speaks of one."""
        if clause.having("open", "not-yet", "cannot-tell"):
            self.repairing = -1
            return
        named = [mark for mark in clause.marks if NAMED in gives_of(mark) and denial_of(mark, clause) is Denial.SAID]
        again = clause.opens == "," and clause.sentence == self.repair_sentence and self.repairs == 1
        if named and again and not clause.having("another") and not _counted(named[0], clause):
            self.repairing = 0
        elif self.repairs_open and not named and not clause.having("thing", "opening") and leads_one(clause):
            self.repair_turn = min(self.repair_turn + 1, self.repairs)
            self.repairing = self.repair_turn - 1
        elif named:
            number = _number_of(named[0], clause)
            self.repairing = self.repairs
            self.repairs = min(self.repairs + number, MOST_REPAIRS)
            self.repairs_open, self.repair_turn = number > 1, self.repairing
            self.repair_sentence = clause.sentence
            for choice in (
                self.rules.questions[inputs.REPAIR_KIND].choices if inputs.REPAIR_KIND in self.rules.questions else ()
            ):
                if choice.id.replace("-", " ") in named[0].text:
                    for place in range(self.repairing, self.repairs):
                        self.gathered.say(Piece(inputs.REPAIR_KIND, place, choice.id, self._words(named[0])))
        elif self.repairing >= 0 and clause.having("another") and not clause.having("thing", "opening"):
            self.repairing, self.repairs_open = min(self.repairs, MOST_REPAIRS - 1), False
            self.repairs = self.repairing + 1
        elif clause.sentence != self.repair_sentence or clause.having("thing", "opening") or clause.having("back-to"):
            if not (self.repairs == 1 and clause.having("repair-named")):
                self.repairing = -1
            else:
                self.repairing = 0

    def _repair_words(self, clause: Clause) -> None:
        """Whether the repair is sound, and of which kind."""
        if self.repairing < 0:
            return
        for mark in clause.marks:
            for sense in mark.senses:
                if sense.how in ("repair", "repair-doubtful"):
                    self._of_repair(mark, clause, sense.gives[0], sense.how == "repair-doubtful")

    def _of_repair(self, mark: Mark, clause: Clause, given: tuple[str, str], doubtful: bool) -> None:
        question, choice = given
        denial = denial_of(mark, clause)
        if (
            denial is not Denial.SAID
            and question == inputs.REPAIR_SOUND
            and choice == "yes"
            and denial is Denial.DENIED
        ):
            choice = "no"
        elif denial is not Denial.SAID:
            self.gathered.ask(question, self.repairing, f'"{mark.text}": said, or denied?')
            return
        doubt = f'"{mark.text}" mostly means that, not always' if doubtful else ""
        said = len(self.gathered.pieces)
        self._say_of_repair(question, choice, mark, clause, doubt)
        if choice == "yes":
            for piece in self.gathered.pieces[said:]:
                piece.hedge = doubt

    def _say_of_repair(self, question: str, written: str, mark: Mark, clause: Clause, doubt: str) -> None:
        open_ones = self.repairs_open and self.repair_turn <= self.repairing
        if open_ones and not _all_of(clause):
            self.gathered.ask(question, self.repairing, f'"{mark.text}": of which earlier repair?')
            return
        places = range(self.repairing, self.repairs) if open_ones else (self.repairing,)
        for place in places:
            self.gathered.say(Piece(question, place, written, self._words(mark), doubt))
        clause.take(mark, *clause.having("all"))

    def _repair_clock(self, mark: Mark, clause: Clause) -> bool:
        """Whether a clock position is that of an earlier repair; then it is taken."""
        if self.repairing < 0 or clause.having("time-of-day"):
            return False
        index = self.clocks_of_repairs()
        if (self.repairs_open or index) and index < MOST_REPAIRS and not clause.having("correction"):
            self.repairs = max(self.repairs, index + 1)
            why = f"{mark.text}: of one of the earlier repairs?"
            self.gathered.say(Piece(inputs.REPAIR_CLOCK, index, mark.text, self._words(mark), hedge=why))
            clause.take(mark)
            return True
        self._say_of_repair(inputs.REPAIR_CLOCK, mark.text, mark, clause, "")
        return True

    def clocks_of_repairs(self) -> int:
        """Of how many earlier repairs the place on the clock was told so far."""
        return sum(piece.question == inputs.REPAIR_CLOCK for piece in self.gathered.pieces)

    def _repair_figure(
        self, mark: Mark, clause: Clause, question: str, written: str, why: str, labels: Sequence[Mark]
    ) -> bool:
        """Whether a figure is one of an earlier repair; then it is taken, or asked back."""
        own = _OF_UNIT.get(question)
        if self.repairing < 0 or (own is None and question):
            return False
        if mark.figure is not None and mark.figure.crossed and self._crossed_unit(mark, clause):
            return True
        if own is None or why:
            asked = own or (inputs.REPAIR_OFFSET if "serial" in why else inputs.REPAIR_UNIT_LENGTH)
            self.gathered.ask(asked, self.repairing, why.rpartition("|")[2] or f"{mark.text}: which measure?")
            clause.take(mark)
            return True
        self._say_of_repair(own, written, mark, clause, "")
        clause.take(*labels, *clause.having("unit-named"))
        return True

    def _crossed_unit(self, mark: Mark, clause: Clause) -> bool:
        """Proposes both measures of an earlier unit, told as 130 by 100: longer along the tire than across."""
        behind = (each for each in clause.marks[clause.marks.index(mark) + 1 :] if each.figure is not None)
        other = next(behind, None)
        figures = [each.figure for each in (mark, other) if each is not None and each.figure is not None]
        if other is None or len(figures) < 2 or any(each.high for each in figures):
            return False
        figures.sort(key=lambda each: -sum(map(Fraction, each.low.split())))
        unit = next((each.unit for each in figures if each.unit), "mm")
        for name, figure in zip((inputs.REPAIR_UNIT_LENGTH, inputs.REPAIR_UNIT_WIDTH), figures, strict=True):
            if name in self.rules.questions:
                written = figure.written(figure.unit or unit)
                why = "which is along the tire?"
                self.gathered.say(Piece(name, self.repairing, written, self._text(mark, other), hedge=why))
        clause.take(mark, other)
        return True

    def _name_repairs(self) -> None:
        """With details of a repair said, that there is one is said too."""
        pieces = self.gathered.pieces
        if self.repairs and not any(piece.question == inputs.EARLIER_REPAIRS for piece in pieces):
            pieces.append(Piece(inputs.EARLIER_REPAIRS, TIRE, "yes", "an earlier repair"))


def _counted(mark: Mark, clause: Clause) -> bool:
    """Whether a number or an article stands ahead of a repair, which may be a further one."""
    place = clause.marks.index(mark)
    words = [*clause.marks[max(0, place - 2) : place], mark]
    return any(word in NUMBER_WORDS or word in ("a", "an", "the") or word.isdecimal()
               for each in words for word in each.text.split())  # fmt: skip


def leads_one(clause: Clause) -> bool:
    """Whether a clause begins with one of several: one good at 3 o'clock."""
    return any(mark.text == "one" or mark.has("first", "another") for mark in clause.marks[:2])


def _all_of(clause: Clause) -> bool:
    """Whether a clause speaks of every earlier repair: both sound."""
    return bool(clause.having("all")) or any(mark.text.split()[0] in ("both", "all") for mark in clause.marks)


def _number_of(mark: Mark, clause: Clause) -> int:
    place = clause.marks.index(mark)
    for other in clause.marks[max(0, place - 2) : place]:
        number = NUMBER_WORDS.get(other.text, 0)
        number = int(other.text) if other.text.isascii() and other.text.isdecimal() and len(other.text) < 3 else number
        if 2 <= number <= MOST_REPAIRS:
            clause.take(other)
            return number
    said = max((NUMBER_WORDS.get(word, 1) for word in mark.text.split()), default=1)
    return max(1, min(said, MOST_REPAIRS))
