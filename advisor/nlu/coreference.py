"""Which injury a clause speaks of, and how many there are."""

from __future__ import annotations

from msgspec import Struct

from advisor.nlu.tagger import LIST_ENDED, Clause, Mark
from advisor.nlu.tokenizer import CLOCK_TIME, NUMBER_WORDS

MOST_INJURIES = 6
_ORDINALS = {"second": 1, "2nd": 1, "third": 2, "3rd": 2}


class Injuries(Struct):
    """The injury spoken of now (-1: none yet), how many there are, and whether which one is meant is open."""

    now: int = -1
    count: int = 0
    declared: int = 0
    kind: str = ""
    zoned: bool = False
    ones: int = 0

    @property
    def open(self) -> bool:
        """Whether several were named and it was not said which one is meant."""
        return self.declared > 1 and self.now < 0

    def step(self, clause: Clause, nouns: list[Mark], has_zone: bool) -> None:
        """Moves to the injury that a clause speaks of; `nouns` are its things and openings that are not denied."""
        declared = _declared(clause, nouns)
        if declared:
            self.declared = max(declared, self.declared)
            self.count = max(self.count, declared)
            self.now, self.kind = -1, ""
            return
        if clause.item == LIST_ENDED and self.declared > 1:
            self.now, self.kind = -1, ""
        place = self._item(clause)
        if place is None:
            place = self._pointed(clause)
        if place is not None:
            self._go(place, nouns)
        elif nouns and self._is_new(clause, nouns, has_zone):
            self._go(self.count if self.now >= 0 else 0, nouns)
        elif nouns and self.now < 0 and not self.open:
            self._go(0, nouns)
        if nouns and not self.kind:
            self.kind = _kind(nouns)
        self.zoned = self.zoned or has_zone

    def _go(self, place: int, nouns: list[Mark]) -> None:
        self.now = min(place, MOST_INJURIES - 1)
        self.count = max(self.count, self.now + 1)
        self.kind, self.zoned = _kind(nouns), False

    def _item(self, clause: Clause) -> int | None:
        """The injury whose number in a list begins a clause: 2) cut, 10 mm."""
        if clause.item >= 0:
            return clause.item
        first = clause.marks[0]
        if first.kind != "item":
            return None
        digits = [letter for letter in first.text if letter.isdigit()]
        self.declared = max(self.declared, 2)
        return int(digits[0]) - 1

    def _pointed(self, clause: Clause) -> int | None:
        """The injury named by first, second, one …, the other …"""
        for mark in clause.having("first", "another"):
            if mark.text.startswith("one"):
                if self.declared > 1:
                    self.ones += 1
                    return self.ones - 1
                if mark.text != "one more" and self.now >= 0 and clause.opens in ("and", "plus", "&", "+", ","):
                    return self.count
                if mark.text == "one more" and self.now >= 0:
                    return self.count
                continue
            if mark.has("first"):
                return 0
            if self.declared > 1:
                self.ones = max(self.ones, _ORDINALS.get(mark.text, 1) + 1)
                return _ORDINALS.get(mark.text, 1)
            if self.now >= 0:
                return _ORDINALS.get(mark.text, self.count)
        if self.declared > 1 and _leading(clause) == "one":
            self.ones += 1
            return self.ones - 1
        return None

    def _is_new(self, clause: Clause, nouns: list[Mark], has_zone: bool) -> bool:
        """Whether `a nail …` begins another injury: the one before has its place, and this one gets its own."""
        joined = clause.opens in ("and", "plus", "&", "+") and _kind(nouns) == "thing"
        if self.now < 0 or not (joined or (self.zoned and has_zone)):
            return False
        place = clause.marks.index(nouns[0])
        named = any(mark.text.split()[-1] in ("a", "an", "one") for mark in clause.marks[max(0, place - 2) : place])
        placed = self.zoned and has_zone
        return named or (joined and (placed or any(mark.kind == CLOCK_TIME for mark in clause.marks)))


def _leading(clause: Clause) -> str:
    """The first word of a clause, articles aside."""
    return next((mark.text for mark in clause.marks if mark.text not in ("the", "a")), "")


def _kind(nouns: list[Mark]) -> str:
    return "opening" if any(mark.has("opening") for mark in nouns) else "thing" if nouns else ""


def _declared(clause: Clause, nouns: list[Mark]) -> int:
    """The number in `two screws`; 0 for none."""
    for noun in nouns:
        place = clause.marks.index(noun)
        if not noun.text.endswith("s") and noun.text != "injuries":
            continue
        for mark in clause.marks[max(0, place - 2) : place]:
            number = (
                2
                if mark.text == "both"
                else NUMBER_WORDS.get(mark.text)
                or (int(mark.text) if mark.text.isdigit() and len(mark.text) < 3 else 0)
            )
            if 2 <= number <= MOST_INJURIES:
                clause.take(mark)
                return number
    return 0
