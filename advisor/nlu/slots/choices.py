"""Takes the answers that phrases of a clause give: said outright, alone between two commas, denied.

Whether a word names the tire's own vehicle or wheel, and not something that merely stands beside it.
"""

from __future__ import annotations

from collections.abc import Iterable

from advisor.model import inputs
from advisor.model.lexicon_entries import Given
from advisor.nlu.negation_scope import Denial, denial_of, presupposed, spent
from advisor.nlu.scope_words import EXCEPTING
from advisor.nlu.slots.base import ZONE, Sayer
from advisor.nlu.small_words import said_words
from advisor.nlu.tagger import Clause, Mark, gives_of, has_article, labels_for
from advisor.nlu.tokenizer import CLOCK_TIME
from advisor.nlu.words_alone import YES_NO

MOST_UNKNOWN = 2
#: What is known to say nothing of another vehicle, on either side of a vehicle's name.
KNOWN = ("said", "doubtful", "thing", "label", "opening", "noun", "perhaps", "side", "denied", "asks", "repair", "no")
INSIDE = said_words("inside-at-the-injury")
VERB_AFTER = said_words("verb-after")
VERB_BEFORE = said_words("verb-before")


def framed(mark: Mark, clause: Clause) -> bool:
    """Whether a word for a vehicle names the one the tire is from: off a truck, van tire, truck, …"""
    before, after = _around(mark, clause)
    if _where_one_is(before) or (before and before[-1].kind == "word" and before[-1].end == mark.start):
        return False
    unknown = sum(each.kind == "word" for each in clause.marks)
    if unknown > MOST_UNKNOWN:
        return False
    near = [each for each in before if not each.has("side")][-2:]
    if unknown <= 1 and near and near[-1].has("noun-before"):
        return True
    if len(near) > 1 and near[-2].has("noun-before") and near[-1].kind == "word" and unknown <= 1:
        return True
    if after and after[0].has("noun-after"):
        return True
    if before and before[-1].kind == "word":
        before = before[:-1]
    if all(_idle(each) for each in before) and all(_known(each) for each in after[:1]) and unknown <= 1:
        return True
    return unknown == 0 and all(_known(each) for each in (*before, *after))


def _where_one_is(before: list[Mark]) -> bool:
    """Whether a vehicle is where somebody sits or works: doing this in the van, parked beside a truck."""
    words = [word for each in before for word in each.text.split()]
    while words and words[-1] in ("the", "a", "my", "his", "our", "their", "her", "your"):
        words.pop()
    return bool(words) and words[-1] in ("in", "inside", "beside", "behind", "near", "by", "under", "with")


def position_named(mark: Mark, clause: Clause) -> bool:
    """Whether a word for an axle names the tire's place: LF steer, steer 6/32, nearside drive; never "drive it"."""
    before, after = _around(mark, clause)
    if before and (before[-1].text.split()[-1] in VERB_AFTER or before[-1].kind == "word"):
        return False
    return not (after and (after[0].text.split()[0] in VERB_BEFORE or after[0].kind == "word"))


def _around(mark: Mark, clause: Clause) -> tuple[list[Mark], list[Mark]]:
    place = clause.marks.index(mark)
    return clause.marks[:place], clause.marks[place + 1 :]


def _idle(mark: Mark) -> bool:
    return (
        mark.kind in ("item", "figure")
        or mark.has("side", "perhaps", "nothing")
        or (mark.has("filler") and not mark.has("no"))
    )


def _known(mark: Mark) -> bool:
    if mark.text == "#":
        return True
    return mark.kind in ("print", "figure", CLOCK_TIME, "item") or mark.idle or mark.has(*KNOWN) or bool(gives_of(mark))


class PhraseAnswers(Sayer):
    """Answers that are phrases."""

    def _mark(self, mark: Mark, clause: Clause) -> None:
        for sense in mark.senses:
            if sense.how in ("said", "doubtful"):
                self._given(mark, clause, sense.gives, sense.how == "doubtful")
            elif sense.how == "alone" and self._stands_alone(mark, clause):
                self._given(mark, clause, self._for_asked(mark))
                return
            elif sense.how == "denied" and denial_of(mark, clause) is Denial.DENIED and _right_behind_no(mark, clause):
                self._given(mark, clause, sense.gives)
            elif sense.how == "noun":
                self._noun(mark, clause, sense.gives)

    def _asks(self, clause: Clause) -> None:
        """What only touches a question: asked back, where it was not a figure's label."""
        for mark in clause.having("asks"):
            if mark.start not in clause.taken:
                for sense in mark.senses:
                    for question, _ in sense.gives if sense.how == "asks" else ():
                        if question == inputs.FOUND_PRESSURE and denial_of(mark, clause) is Denial.DENIED:
                            continue  # never soft asks for no pressure
                        self._ask(question, f'"{mark.text}" leaves it open')
                        self.touching = question
                clause.take(mark)
        self.touching = self.touching or _label_alone(clause)

    def _stands_alone(self, mark: Mark, clause: Clause) -> bool:
        others = (other for other in clause.marks if other is not mark)
        return (
            all(
                other.idle
                or other.kind == "print"
                or other.has("no", "correction", "cannot-tell", "alone", "side")
                or any(labels_for(other, question) for question, _ in gives_of(mark, "alone"))
                for other in others
            )
            and len(self._for_asked(mark)) == 1
        )

    def _for_asked(self, mark: Mark) -> tuple[Given, ...]:
        """What a word standing alone gives: of the question asked, or the only one that has it."""
        gives = tuple(given for sense in mark.senses if sense.how == "alone" for given in sense.gives)
        asked = tuple(given for given in gives if self.asked and given[0] == self.asked[0])
        return asked or gives

    def _noun(self, mark: Mark, clause: Clause, gives: tuple[Given, ...]) -> None:
        named = position_named if gives[0][0] == inputs.WHEEL_POSITION else framed
        if mark in self.zones if gives[0][0] == ZONE else named(mark, clause):
            self._given(mark, clause, gives)

    def _given(self, mark: Mark, clause: Clause, gives: Iterable[Given], doubtful: bool = False) -> None:
        denial = denial_of(mark, clause)
        self.there = denial is Denial.SAID and presupposed(mark, clause)
        for question, choice in gives:
            if question != ZONE or mark in self.zones:
                self._one(mark, clause, question, choice, denial, doubtful)
        self.there = False
        clause.take(mark)

    def _one(self, mark: Mark, clause: Clause, question: str, choice: str, denial: Denial, doubtful: bool) -> None:
        words = self._words(mark)
        kind = self.rules.questions[question].kind
        place, denies = clause.marks.index(mark), ""
        if kind == "measure" and place and clause.marks[place - 1].has("about"):
            self._ask(question, f'"{clause.marks[place - 1].text} {mark.text}" leaves it open')
            return
        if denial is Denial.UNCLEAR and kind == "choice" and not self._deniable(question) and spent(mark, clause):
            denial = Denial.SAID
        if question == inputs.CONSTRUCTION and _beside_length(mark, clause):
            self._ask(question, f'"{mark.text}": how the tire is built, or which way a length runs?')
            return
        if denial is Denial.UNCLEAR or (mark.sign and denial is Denial.DENIED):
            self._ask(question, f'"{mark.text}": said, or denied?')
            return
        if kind == "choices":
            self._finding(mark, clause, question, choice, denial)
            return
        doubt = f'"{mark.text}" mostly means that, not always' if doubtful else ""
        if question == ZONE:
            doubt = self.zone_doubt
        if denial is Denial.DENIED:
            flipped = self.flipped(question, choice)
            if not flipped and mark.has("alone"):
                return
            if not flipped:
                self._ask(question, f"not {mark.text}: what then?")
                return
            denies, choice, words = choice, flipped, self._denied_words(mark, clause)
            if question == inputs.RETREAD:
                doubt = "denied only in part: new tread, recapped or regrooved?"
        self._say(question, choice, words, doubt, denies=denies, weak=doubtful)
        ahead = clause.marks[place - 1] if place else None
        if question == inputs.VEHICLE and ahead is not None and ahead.kind == "word" and ahead.end == mark.start:
            self.gathered.pieces[-1].hedge = f'"{ahead.text}" ahead of it'

    def _denied_words(self, mark: Mark, clause: Clause) -> str:
        """A phrase with the denial that goes with it, as typed."""
        place = clause.marks.index(mark)
        ahead = [other for other in clause.marks[:place] if other.has("no")]
        behind = [other for other in clause.marks[place + 1 :] if other.has("no")]
        if ahead:
            return self._text(ahead[-1], mark)
        return self._text(mark, behind[0]) if behind else self._words(mark)

    def _deniable(self, question: str) -> bool:
        """Whether a denial of one choice answers a question: sealant, run low, retread."""
        return any(choice.id == "no" for choice in self.rules.questions[question].choices)

    def flipped(self, question: str, choice: str) -> str:
        """What a denial gives: no for a yes; nothing certain for anything else."""
        ids = {found.id for found in self.rules.questions[question].choices}
        if ids >= YES_NO and choice == "yes":
            return "no"
        return "no" if question == inputs.RETREAD and choice != "no" else ""

    def _finding(self, mark: Mark, clause: Clause, question: str, choice: str, denial: Denial) -> None:
        if denial is Denial.SAID and choice == "none":
            self._say(question, choice, self._words(mark), "")
            return
        bare = all(
            other is mark or other.has("filler", "no", "beside") or gives_of(other, "said", "denied")
            for other in clause.marks
        )
        if denial is Denial.SAID and self.denied_list and bare and not self.there and not has_article(mark, clause):
            joined = any(other.text in ("or", "nor") for other in clause.marks)
            if joined or (self.follows and self.follows.marks[0].text in ("or", "nor")):
                denial = Denial.DENIED
            else:
                self._say(question, choice, self._words(mark), "", denied=True)
                self.gathered.pieces[-1].hedge = f'"{mark.text}" after a denial: found, or not found?'
                return
        self.denied_list = denial is Denial.DENIED
        words = self._denied_words(mark, clause) if denial is Denial.DENIED else self._words(mark)
        placed = question != inputs.INSIDE_SIGNS or denial is not Denial.DENIED or self._of_an_injury(clause)
        self._say(question, choice, words, "", denial is Denial.DENIED)
        if not placed:
            self.gathered.pieces[-1].hedge = f'"{words}": round the injury, or anywhere?'

    def _of_an_injury(self, clause: Clause) -> bool:
        """Whether a sign is one at an injury: one was asked of or told of ahead, or it was looked for inside."""
        if self.inside or (self.asked and self.rules.questions[self.asked[0]].over == "injuries"):
            return True
        told = (piece.question for piece in self.gathered.pieces if not piece.hedge)
        ahead = any(name == inputs.DEMOUNTED or self.rules.questions[name].over == "injuries" for name in told)
        last = self.follows if self.follows is not None and self.follows.having("no") else clause
        return ahead or not INSIDE.isdisjoint(token.text for token in self.tokens[: last.marks[-1].end])


def _label_alone(clause: Clause) -> str:
    """What a clause that holds nothing but a label announces the figure of: the width, that's 18 mm."""
    if not all(mark.has("label") or mark.idle or mark.text in EXCEPTING for mark in clause.marks):
        return ""
    labels = {name for mark in clause.marks if not mark.has("filler") for name, _ in gives_of(mark, "label")}
    return labels.pop() if len(labels) == 1 else ""


def _beside_length(mark: Mark, clause: Clause) -> bool:
    """Whether a length stands right beside a word: cut radial 20 mm."""
    place = clause.marks.index(mark)
    near = clause.marks[max(0, place - 1) : place] + clause.marks[place + 1 : place + 2]
    return any(each.figure is not None and each.figure.quantity == "length" for each in near)


def _right_behind_no(mark: Mark, clause: Clause) -> bool:
    """Whether no unknown word stands between a denial and what it denies: not "it didn't reach the cords"."""
    place = clause.marks.index(mark)
    denials = [at for at, other in enumerate(clause.marks[:place]) if other.has("no")]
    return not denials or not any(other.kind == "word" for other in clause.marks[denials[-1] : place])
