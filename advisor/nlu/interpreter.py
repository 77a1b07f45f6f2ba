"""Takes the answers out of clauses, one after another."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from advisor.model import inputs
from advisor.nlu.consistency import CrossChecks
from advisor.nlu.evidence import Piece
from advisor.nlu.factuality import LATER, of_repair
from advisor.nlu.negation_scope import Denial, denial_of, presupposed
from advisor.nlu.qualifiers import CONTRARY
from advisor.nlu.slots.base import ZONE
from advisor.nlu.slots.choices import PhraseAnswers
from advisor.nlu.slots.injury_zones import ZoneAnswers
from advisor.nlu.slots.item_lists import mark_list
from advisor.nlu.slots.measures import FigureAnswers, figure_fits
from advisor.nlu.slots.sidewall_prints import prints_of
from advisor.nlu.tagger import Clause, Mark, gives_of
from advisor.nlu.tokenizer import CLOCK_TIME, NUMBER_WORDS
from advisor.nlu.words_alone import YES_NO

#: What is asked of an earlier repair and that a place or a figure answers.
_OF_A_REPAIRS_PLACE = (inputs.REPAIR_CLOCK, inputs.REPAIR_OFFSET, inputs.REPAIR_UNIT_LENGTH, inputs.REPAIR_UNIT_WIDTH)
_BARE_NO = (["no"], ["none"], ["absent"])


class ClauseAnswers(PhraseAnswers, ZoneAnswers, FigureAnswers, CrossChecks):
    """What is made of the clauses of one sentence."""

    def hear_all(self, clauses: Sequence[Clause]) -> None:
        """Takes every clause."""
        correcting = False
        pieces_before = 0
        if self.asked and self.asked[0] in _OF_A_REPAIRS_PLACE:
            self.repairs = self.repairing = self.asked[1]
            self.repair_sentence = 0
        self.paired = any(clause.opens == "," and [mark.text for mark in clause.marks] == ["yes"] for clause in clauses)
        self.clocks = sum(mark.kind == CLOCK_TIME for clause in clauses for mark in clause.marks)
        self.injury_named = any(clause.having("thing", "opening") for clause in clauses)
        for place, clause in enumerate(clauses):
            self.gathered.clause = clause
            corrects = bool(clause.having("correction")) and not _nothing_wrong(clause)
            if corrects:
                self.gathered.corrections.append(clause)
            only_no = [mark.text for mark in clause.marks if not mark.has("filler")] in _BARE_NO
            if only_no:
                self._plain_no(clause, place)
            if only_no and place > 0 and self._denied_behind(pieces_before, clause):
                continue
            correcting = (
                correcting
                or (place == 0 and _begins_with_no_it(clause))
                or corrects
                or (only_no and place > 0)
                or (place > 0 and self._corrected_by_no(clause))
            )
            pieces_before = len(self.gathered.pieces)
            follows = clauses[place + 1] if place + 1 < len(clauses) else None
            self.correcting_to = self.last if correcting else self._before_now(clause)
            open_before = self.injuries.open
            self._clause(clause, follows, clauses[place - 1] if place else None)
            clause.take(*clause.having("perhaps", "correction"))
            for piece in self.gathered.pieces[pieces_before:] if correcting else ():
                piece.corrected = True
            if self.injuries.open and not open_before:
                mark_list(clause, clauses[place + 1 :], self.injuries.declared)
            self.before = pieces_before
            if self.gathered.pieces and correcting and self.gathered.pieces[-1].corrected:
                correcting = False
        self.gathered.clause = None
        self._settle_pressures()
        self._name_repairs()
        self._one_vehicle(clauses)
        self._front_or_rear()
        self._cross_check()
        self._all_denied()

    def _plain_no(self, clause: Clause, place: int) -> None:
        """A bare "no" ahead answers a yes-or-no question that was just asked; else it begins a correction."""
        question = self.rules.questions.get(self.asked[0]) if self.asked else None
        clause.take(*clause.marks)
        if question is not None and place == 0 and {choice.id for choice in question.choices} >= YES_NO and self.asked:
            self.gathered.ask(question.id, self.asked[1], "was that no the answer, or did it correct another one?")

    def _corrected_by_no(self, clause: Clause) -> bool:
        """Whether a clause such as "no 10 mm" or "no drive" corrects the one before; then its no is taken out."""
        telling = [mark for mark in clause.marks if not mark.has("filler") or mark.has("no")]
        if len(telling) < 2 or telling[0].text != "no" or not self.gathered.pieces:
            return False
        before = self.gathered.pieces[-1].question
        if telling[1].figure is not None and self.last:
            clause.drop(telling[0])
            return True
        same = any(question == before for question, _ in gives_of(telling[1]))
        if same and self.rules.questions[before].kind == "choice" and telling[1].text.split()[0] != "no":
            last = self.gathered.pieces[-1]
            last.doubt = "; ".join(text for text in (last.doubt, f'"no {telling[1].text}": a correction?') if text)
        return False

    def _before_now(self, clause: Clause) -> str:
        """Which figure of the sentence a later one stands beside: 6 mm hole, now 14 mm. Empty where there is none."""
        figures = [mark.figure for mark in clause.marks if mark.figure is not None]
        if not figures or LATER.isdisjoint(mark.text for mark in clause.marks):
            return ""
        for piece in reversed(self.gathered.pieces):
            same = isinstance(piece.clause, Clause) and piece.clause.sentence == clause.sentence
            if same and figure_fits(self.rules.questions[piece.question], figures[0]):
                return piece.question
        return ""

    def _denied_behind(self, start: int, clause: Clause) -> bool:
        """`bulge - none`: a denial by itself behind what can be denied; whether it was that.

        Behind a comma it may be the answer to another question: what was named stays, and is asked back, unless the
        line pairs another thing with a yes: demounted, yes; sealant, no.
        """
        pieces = self.gathered.pieces[start:]
        if not pieces:
            return False
        changed = []
        for piece in pieces:
            several = self.rules.questions[piece.question].kind == "choices"
            flipped = "" if several else self.flipped(piece.question, piece.written)
            if piece.denied or piece.written == "none" or not (several or flipped):
                return False
            if clause.opens == "," and not self.paired:
                changed.append(piece)
                continue
            changed.append(
                Piece(
                    piece.question,
                    piece.index,
                    flipped or piece.written,
                    f"{piece.words}: no",
                    piece.doubt,
                    several,
                    clause=piece.clause,
                )
            )
        for piece in changed if clause.opens == "," and not self.paired else ():
            piece.hedge = f'"{clause.marks[0].text}" behind it: there, or not?'
        self.gathered.pieces[start:] = changed
        return True

    def _clause(self, clause: Clause, follows: Clause | None, before: Clause | None) -> None:
        self.beside_before, self.zone_doubt = bool(self.zone_doubt), ""
        self.touched, self.touching = self.touching, ""
        if clause.opens in CONTRARY:
            self.denied_list = False
        ahead = follows is not None and bool(follows.having("opening")) and not follows.having("no")
        self.opening_ahead = ahead and self.injuries.now < 0
        self._repair_step(clause)
        self._figures_of(clause)
        nouns = [mark for mark in clause.having("thing", "opening") if denial_of(mark, clause) is Denial.SAID]
        if not nouns and all(mark.has("thing", "opening", "no", "filler") for mark in clause.marks):
            self.denied_list = bool(clause.having("no") and clause.having("thing", "opening"))
        if self.denied_list and joined_by_or(clause, follows):
            nouns = []
        about_repair = of_repair(clause) or self.repairing >= 0
        excepted = clause.opens in CONTRARY and not (self.injuries.count or nouns)  # all good but the bead
        zones = [] if about_repair or excepted else self._zones(clause, follows)
        if clause.having("road") and not nouns and not clause.having("first", "another"):
            zones = []
        self.zones, self.follows = zones, follows
        if not about_repair or (self.injuries.count and not of_repair(clause) and clause.having("first", "another")):
            self.injuries.step(clause, [] if about_repair else nouns, zones)
        if self.zone_doubt:
            self._ask(ZONE, self.zone_doubt)
        now = self.injuries.now
        several = range(self.injuries.declared)
        self.spoken_of[id(clause)] = tuple(several) if self.injuries.open else (max(now, 0),)
        self.all_of = max(self.injuries.declared, self.injuries.count) > 1 and _for_all(clause)
        clause.take(*clause.having("thing", "opening", "first", "another"), *_items(clause))
        if self.all_of:
            self.spoken_of[id(clause)] = tuple(range(max(self.injuries.declared, self.injuries.count)))
            clause.take(*clause.having("all"))
        self.figured = any(
            mark.kind in ("figure", CLOCK_TIME) and mark.start not in clause.taken for mark in clause.marks
        )
        self.figured = self.figured or _of_some(clause)
        start = len(self.gathered.pieces)
        told_before = bool(self.injuries.count or self.injury_named)
        if clause.having("cannot-tell", "not-yet", "open"):
            self._taken_as_there(clause)
        self.between = any(mark.text == "between" for mark in clause.marks)
        if clause.having("cannot-tell"):
            if not any(gives_of(mark) or mark.has("label") for mark in clause.marks):
                self._doubt_behind(start)
                self._told_ahead(before, clause)
            self._cannot_tell(clause, zones)
        elif clause.having("not-yet", "open"):
            self._not_yet(clause)
        else:
            self._repair_words(clause)
            for mark in clause.marks:
                if mark.start not in clause.taken or mark.has("thing", "opening"):
                    self._mark(mark, clause)
            for piece in prints_of(clause, self.tokens, self.line):
                self.gathered.say(piece)
            self._figures(clause)
            self._asks(clause)
        self._of_no_injury(start, before, clause, bool(told_before or nouns or zones))

    def _figures_of(self, clause: Clause) -> None:
        """Whether the sentence speaks of a repair unit, or of how far two injuries lie apart."""
        if clause.having("unit-named"):
            self.unit_sentence = clause.sentence
        if any(mark.text == "apart" for mark in clause.marks):
            self.apart_sentence = clause.sentence
        self.of_unit = self.unit_sentence == clause.sentence and not clause.having("opening", "thing")

    def _of_no_injury(self, start: int, before: Clause | None, clause: Clause, injured: bool) -> None:
        """How deep a finding is says nothing of an injury, where none was named: cracks, but shallow."""
        asks = any((inputs.FINDINGS, "") in gives_of(mark, "asks") for mark in clause.marks)
        if injured or not (asks or (before is not None and _of_findings(before, clause))):
            return
        kept = [piece for piece in self.gathered.pieces[start:] if piece.question != inputs.INJURY_DEPTH]
        if len(kept) < len(self.gathered.pieces) - start:
            self.gathered.pieces[start:] = kept
            self.injuries.now, self.injuries.count = -1, 0

    def _taken_as_there(self, clause: Clause) -> None:
        """What a clause that tells nothing else takes as being there: can't explain the bulge."""
        zones, self.zones = self.zones, []
        for mark in clause.marks:
            if presupposed(mark, clause) and denial_of(mark, clause) is Denial.SAID:
                self._mark(mark, clause)
        self.zones = zones

    def _told_ahead(self, before: Clause | None, clause: Clause) -> None:
        """`dot's worn off, can't read it`: what the clause before names and tells nothing of may not be told."""
        if before is None or before.sentence != clause.sentence or any(mark.figure for mark in before.marks):
            return
        names = {name for mark in before.marks if not mark.has("filler") for name, _ in gives_of(mark, "label")}
        if len(names) == 1 and not any(map(gives_of, before.marks)):
            self._say(names.pop(), "cant-tell", self._text(clause.marks[0], clause.marks[-1]), "")
            self.gathered.pieces[-1].hedge = f'"{before.text}": can\'t that be told?'

    def _doubt_behind(self, start: int) -> None:
        """`gone through, can't tell`: what the clause before said is in doubt."""
        for piece in self.gathered.pieces[self.before : start]:
            piece.doubt = "; ".join(text for text in (piece.doubt, "followed by can't tell") if text)


def _of_findings(before: Clause, clause: Clause) -> bool:
    """Whether a clause goes on from one of the same sentence that names a finding."""
    named = any(name == inputs.FINDINGS for mark in before.marks for name, _ in gives_of(mark, "said", "denied"))
    return named and before.sentence == clause.sentence and not before.having("no")


def joined_by_or(clause: Clause, follows: Clause | None) -> bool:
    """Whether nothing but names goes on from a denial up to an or: no bulges, [cuts or cracks]."""
    ors = ("or", "nor")
    names = all(
        mark.text in ors or mark.has("thing", "opening", "denied") or gives_of(mark, "said") for mark in clause.marks
    )
    joined = any(mark.text in ors for mark in clause.marks)
    return names and (joined or (follows is not None and follows.marks[0].text in ors))


def _of_some(clause: Clause) -> bool:
    """Whether a clause tells of some of the injuries and not of all: one of the two nails."""
    some = {*NUMBER_WORDS, "some", "most", "either", "neither"}
    return any(word in some and after == "of" for word, after in pairwise(clause.words))


def _for_all(clause: Clause) -> bool:
    """Whether a clause speaks of all injuries at once: both straight in."""
    first = next((mark for mark in clause.marks if mark.text not in ("and", "the", "they're", "are")), None)
    last = clause.marks[-1]
    each = any(mark.text in ("each", "both", "neither") for mark in clause.marks)
    each = each or any(ahead.has("thing", "opening") and mark.has("all") for ahead, mark in pairwise(clause.marks))
    return (first is not None and first.has("all")) or (last.has("all") and len(clause.marks) > 1) or each


def _begins_with_no_it(clause: Clause) -> bool:
    """Whether a line begins with a no that stands for itself: no it has two patches; then that no is taken out."""
    marks = clause.marks
    if len(marks) < 2 or marks[0].text != "no":
        return False
    if marks[1].text.split()[0] not in ("it", "it's", "its", "that's", "there's"):
        return False
    clause.take(marks[0])
    clause.drop(marks[0])
    return True


def _nothing_wrong(clause: Clause) -> bool:
    """Whether "wrong" stands behind a nothing, and corrects nothing: nothing else wrong."""
    texts = [mark.text for mark in clause.marks]
    return "nothing" in texts and "wrong" in texts[texts.index("nothing") :]


def _items(clause: Clause) -> list[Mark]:
    return [mark for mark in clause.marks if mark.kind == "item"]
