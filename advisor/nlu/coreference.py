"""Which injury a clause speaks of, and how many there are."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct, field

from advisor.model import inputs
from advisor.nlu.small_words import said_words
from advisor.nlu.tagger import LIST_ENDED, Clause, Mark, gives_of
from advisor.nlu.tokenizer import CLOCK_TIME, NUMBER_WORDS

MOST_INJURIES = 6
#: What joins another injury to the one before.
JOINED = ("and", "plus", "&", "+", ",")
OF_A_CAUSE = said_words("of-a-cause")
MADE_BY_A_THING = said_words("made-by-a-thing")
_ORDINALS = {word: place for place, words in enumerate(("second 2nd", "third 3rd", "fourth 4th"), 1)
             for word in words.split()}  # fmt: skip


class Injuries(Struct):
    """The injury spoken of now (-1: none yet), how many there are, and whether which one is meant is open.

    `told` is what was told of each so far, by slot: its zone, its place on the clock, its size. What is told again and
    otherwise begins another injury, unless it corrects the one before.
    """

    now: int = -1
    count: int = 0
    declared: int = 0
    kind: str = ""
    ones: int = 0
    told: list[dict[str, str]] = field(default_factory=list)
    telling: dict[str, str] = field(default_factory=dict)

    @property
    def open(self) -> bool:
        """Whether several were named and it was not said which one is meant."""
        return self.declared > 1 and self.now < 0

    def step(self, clause: Clause, nouns: list[Mark], zones: Sequence[Mark]) -> None:
        """Moves to the injury that a clause speaks of; `nouns` are its things and openings that are not denied."""
        self.telling = _slots(clause, nouns, zones)
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
        if place is None and self._is_new(clause, nouns):
            place = self.count
        if place is None and nouns and self.now < 0 and not self.open:
            place = 0
        if place is not None:
            self._go(place, nouns)
        elif nouns and not self.kind:
            self.kind = _kind(nouns)
        if self.now >= 0:
            self._of_now().update(self.telling)

    def _go(self, place: int, nouns: list[Mark]) -> None:
        self.now = min(place, MOST_INJURIES - 1)
        self.count = max(self.count, self.now + 1)
        self.kind = _kind(nouns)

    def _of_now(self) -> dict[str, str]:
        """What was told of the injury spoken of now."""
        while len(self.told) <= self.now:
            self.told.append({})
        return self.told[self.now]

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
                if self.now >= 0 and (mark.text == "one more" or clause.opens in JOINED):
                    return self.count
                continue
            if mark.has("first"):
                return 0
            if self.declared > 1:
                self.ones = max(self.ones, _ORDINALS.get(mark.text, 1) + 1)
                return _ORDINALS.get(mark.text, 1)
            if self.now >= 0:
                return _ORDINALS.get(mark.text, self.count)
        leading = _leading(clause)
        if self.declared > 1 and leading in ("one", "other"):
            self.ones = max(self.ones + 1, 2 if leading == "other" else 1)
            return self.ones - 1
        placed = any(name == inputs.INJURY_ZONE for mark in clause.marks for name, _ in gives_of(mark))
        if placed and leading.split()[:1] == ["one"] and clause.marks[0].text.startswith("one"):
            return self.count if self.now >= 0 else 0
        return None

    def _is_new(self, clause: Clause, nouns: list[Mark]) -> bool:
        """Whether a clause begins another injury: it names one, and tells otherwise what was told of the one before."""
        if self.open:
            more = _several_before(clause, nouns)
            self.declared = self.count + 1 if more else self.declared
            return more
        if self.now < 0 or clause.having("correction", "cleaned", "no"):
            return False
        before = self._of_now()
        again = [slot for slot, value in self.telling.items() if slot in before]
        otherwise = [slot for slot in again if before[slot] != self.telling[slot]]
        if not nouns:
            return len(otherwise) > 1
        place = clause.marks.index(nouns[0])
        placed = bool({"zone", CLOCK_TIME} & set(self.telling))
        if not placed and self.kind == "opening" and _kind(nouns) == "thing" and _of_its_cause(clause, place):
            return False
        article = any(
            mark.text.split()[-1] in ("a", "an", "one", "new") for mark in clause.marks[max(0, place - 2) : place]
        )
        leads = place == 0 and _kind(nouns) == self.kind and bool({"zone", CLOCK_TIME} & set(again))
        own = _kind(nouns) == "thing" or (placed and article and nouns[0].text not in MADE_BY_A_THING)
        joined = clause.opens in JOINED[:4] and own
        return bool((article and (again or joined)) or leads or (joined and placed))


def _of_its_cause(clause: Clause, place: int) -> bool:
    """Whether a thing is what a hole came from: came from a 1 inch roofing nail."""
    ahead = next((clause.marks[:at] for at, mark in enumerate(clause.marks) if mark.figure or at == place), [])
    words = {word for mark in ahead for word in mark.text.split()}
    return bool(words & {"from", "by"}) and words <= OF_A_CAUSE


def _several_before(clause: Clause, nouns: list[Mark]) -> bool:
    """Whether behind several injuries a clause names one of its own: and a bolt hole."""
    if not nouns or nouns[0].text.endswith("s"):
        return False
    place = clause.marks.index(nouns[0])
    ahead = [mark.text.split()[-1] for mark in clause.marks[max(0, place - 2) : place]]
    return clause.opens in JOINED and bool({"a", "an"} & set(ahead))


def _slots(clause: Clause, nouns: list[Mark], zones: Sequence[Mark]) -> dict[str, str]:
    """What a clause tells of an injury that another one could have otherwise: zone, clock, and a size beside a noun."""
    found = {}
    given = [choice for mark in zones for question, choice in gives_of(mark) if question == inputs.INJURY_ZONE]
    if given:
        found["zone"] = given[0]
    for mark in clause.marks:
        if mark.kind == CLOCK_TIME:
            found[CLOCK_TIME] = mark.text
        figure = mark.figure
        if figure is None or not (nouns or zones) or "/32" in figure.written():
            continue
        if figure.quantity == "length" or figure.fraction:
            found["size"] = figure.written()
    return found


def _leading(clause: Clause) -> str:
    """The first word of a clause, articles aside."""
    return next((mark.text for mark in clause.marks if mark.text not in ("the", "a")), "")


def _kind(nouns: list[Mark]) -> str:
    return "opening" if any(mark.has("opening") for mark in nouns) else "thing" if nouns else ""


def _declared(clause: Clause, nouns: list[Mark]) -> int:
    """The number in `two screws`; 0 for none."""
    for noun in nouns:
        place = clause.marks.index(noun)
        ahead = clause.marks[max(0, place - 2) : place]
        if not noun.text.endswith("s"):
            ahead = [mark for mark in ahead if mark.end == noun.start]  # tire hav 2 hole
        for mark in ahead:
            number = (
                2
                if mark.text in ("both", "pair")
                else NUMBER_WORDS.get(mark.text)
                or (int(mark.text) if mark.text.isdigit() and len(mark.text) < 3 else 0)
            )
            if 2 <= number <= MOST_INJURIES:
                clause.take(mark)
                return number
    return 0
