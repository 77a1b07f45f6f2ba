"""Takes the figures and clock positions of a clause, and tells the two pressures apart."""

from __future__ import annotations

from dataclasses import dataclass, field

from advisor.talk.hear.figure_places import DENIED, WHICH_PRESSURE, corrected, placed
from advisor.talk.hear.gather import Piece
from advisor.talk.hear.mark_senses import gives_of, labels_for, span_of
from advisor.talk.hear.marks import Clause, Mark
from advisor.talk.hear.placing import Placed, Spoken
from advisor.talk.hear.repair_answers import RepairAnswers
from advisor.talk.hear.tokens import NUMBER_WORDS

#: The whole hours of a clock's face.
HOURS = frozenset(f"{hour}:00" for hour in NUMBER_WORDS.values() if 1 <= hour <= NUMBER_WORDS["twelve"])


@dataclass(slots=True)
class Pressure:
    """A pressure said, and where it goes as far as its own clause tells."""

    mark: Mark
    clause: Clause
    place: Placed


@dataclass
class FigureAnswers(RepairAnswers):
    """Answers that are figures."""

    pressures: list[Pressure] = field(default_factory=list)

    def _figures(self, clause: Clause) -> None:
        self._of_pair(clause)
        for mark in clause.marks:
            if mark.kind == "clock":
                self._clock(mark, clause)
            if mark.kind != "figure" or set(range(mark.start, mark.end)) <= clause.taken:
                continue
            if hour := _bare_hour(mark, clause):
                self._hour(hour, mark, clause)
                continue
            where = self._placed(mark, clause)
            if self._repair_figure(mark, clause, where.question, where.written, where.why, where.labels):
                continue
            if mark.figure is not None and (mark.figure.quantity == "pressure" or where.question.endswith("-pressure")):
                self.pressures.append(Pressure(mark, clause, where))
                continue
            if not where.question and not where.why and _bare_pressure(mark, clause):
                self.pressures.append(Pressure(mark, clause, where))
                continue
            self._put(mark, clause, where)

    def _hour(self, hour: str, mark: Mark, clause: Clause) -> None:
        """`nail at 9`: taken for a clock position, and asked back."""
        if clause.having("time-of-day", "past") or self.injuries.open:
            self._ask("clock", f"{mark.text}: where the injury is, by the clock?")
        else:
            self._say("clock", hour, self._words(mark), f"{mark.text}: where the injury is, by the clock?")
        clause.take(mark)

    def _placed(self, mark: Mark, clause: Clause) -> Placed:
        """Where a figure goes: as what it corrects, with the readings before it, or by what stands about it."""
        figure = mark.figure
        assert figure is not None
        spoken = Spoken(
            self.rules, self.injuries, self.asked, self.last, self.opening_ahead, self.injury_named, self.of_unit,
            self.touched,
        )  # fmt: skip
        if mark.run and self.last == "tread-depth":
            return Placed("tread-depth", figure.written())
        where = placed(mark, clause, spoken)
        if (target := self.correcting_to or self.denied_to) and not where.question:
            known = self.rules.questions[target]
            if known.over == "injuries" and self.injuries.now < 0 and not self.denied_to:
                return where
            return corrected(figure, known, mark, clause) or where
        return where

    def _of_pair(self, clause: Clause) -> None:
        """`92 of 110 psi`: the first is what was found, the second what it should have."""
        for place in range(len(clause.marks) - 2):
            one, joint, other = clause.marks[place : place + 3]
            if one.figure is None or other.figure is None or joint.text not in ("of", "out of", "instead of"):
                continue
            units = {each.figure.unit for each in (one, other) if each.figure and each.figure.unit}
            if len(units) == 1 and other.figure.quantity == "pressure" and one.figure.quantity in ("", "pressure"):
                unit = units.pop()
                for mark, question in ((one, "found-pressure"), (other, "set-pressure")):
                    assert mark.figure is not None
                    self._say(question, mark.figure.written(unit), self._words(mark), "")
                    clause.take(mark, joint, *(each for each in clause.marks if labels_for(each, question)))

    def _put(self, mark: Mark, clause: Clause, where: Placed) -> None:
        if where.question == "tread-depth" and self._other_wheel(clause):
            where = Placed("", why=f"tread-depth|{mark.text}: of this tire, or of another one?")
        if where.question == "tread-depth" and self._slashed(mark):
            where = Placed("", why=f"tread-depth|{mark.text} and more behind the stroke: which readings?")
        if where.why == DENIED:
            named = (name for label in where.labels for s in label.senses if s.how == "label" for name, _ in s.gives)
            self.denied_to = next(named, "")
            return
        self.denied_to = ""
        if where.question:
            about = [each for each in clause.having("about") if each.end == mark.start]
            self._say(where.question, where.written, self._text(*span_of(mark, (*where.labels, *about))), where.why)
            clause.take(mark, *where.labels)
            self.last = where.question
        elif "|" in where.why:
            question, _, why = where.why.partition("|")
            self._ask(question, why)
            clause.take(mark, *where.labels)
        elif where.why and where.labels:
            labelled = next((name for s in where.labels[0].senses if s.how == "label" for name, _ in s.gives), "")
            if labelled:
                self._ask(labelled, where.why)
            clause.take(mark, *where.labels)

    def _other_wheel(self, clause: Clause) -> bool:
        """Whether a wheel position is named beside a reading and not taken: readings of several tires."""
        return any(
            mark.start not in clause.taken and any(q == "wheel-position" for q, _ in gives_of(mark, "alone"))
            for mark in clause.marks
        )

    def _slashed(self, mark: Mark) -> bool:
        """Whether further readings follow with strokes between them: 12/12/11."""
        texts = [token.text for token in self.tokens[mark.end : mark.end + 1]]
        more = self.tokens[mark.end + 1 : mark.end + 2]
        return texts == ["/"] and bool(more) and more[0].kind == "number"

    def _clock(self, mark: Mark, clause: Clause) -> None:
        if clause.having("time-of-day") or self._repair_clock(mark, clause):
            return
        named = any(labels_for(each, "clock") for each in clause.marks)
        if self.injuries.open and self.clocks == self.injuries.declared:
            self.gathered.say(Piece("clock", self.clocks_said, mark.text, self._words(mark)))
            self.clocks_said += 1
            clause.take(mark)
            return
        if (
            (self.injuries.count or named)
            and not self.injuries.open
            and not any(q == "earlier-repairs" for m in clause.marks for q, _ in gives_of(m))
        ):
            about = [each for each in clause.having("about") if 0 <= mark.start - each.end <= 1]
            written = f"about {mark.text}" if about else mark.text
            self._say("clock", written, self._text(*span_of(mark, about)), "")
        else:
            self._ask("clock", f"{mark.text}: where the injury is, or the time?")
        clause.take(mark, *clause.having("label") if "o'clock" in mark.text else ())

    def _settle_pressures(self) -> None:
        """Two pressures tell each other apart; one alone without a word beside it is asked back."""
        units = [each.mark.figure.unit for each in self.pressures if each.mark.figure and each.mark.figure.unit]
        sets = [each for each in self.pressures if each.place.question == "set-pressure"]
        loose = [each for each in self.pressures if not each.place.question]
        found = [each for each in self.pressures if each.place.question == "found-pressure"]
        for each in self.pressures:
            figure = each.mark.figure
            where = each.place
            assert figure is not None
            if not where.question and not where.why and len(loose) == 1 and len(sets) == 1 and not found:
                where = Placed("found-pressure", figure.written(units[0] if units else "psi"))
            elif not where.question and not where.why:
                where = Placed("", why=f"found-pressure|{each.mark.text}: {WHICH_PRESSURE}")
            elif where.question and not figure.unit and units:
                where = Placed(where.question, figure.written(units[0]), "", where.labels)
            self.gathered.clause = each.clause
            self._put(each.mark, each.clause, where)


def _bare_pressure(mark: Mark, clause: Clause) -> bool:
    """Whether a figure without a unit stands right behind the word pressure or psi."""
    place = clause.marks.index(mark)
    ahead = clause.marks[place - 1].text if place else ""
    return mark.figure is not None and not mark.figure.unit and ahead in ("pressure", "psi", "air pressure")


def _bare_hour(mark: Mark, clause: Clause) -> str:
    """The clock position of `nail at 9`, `the shoulder at 9`; empty for any other figure."""
    figure, place = mark.figure, clause.marks.index(mark)
    after = clause.marks[place + 1 : place + 2]
    if (
        figure is None
        or figure.unit
        or figure.high
        or figure.about
        or place < 2
        or clause.marks[place - 1].text != "at"
    ):
        return ""
    if after and (after[0].kind in ("word", "sign") or after[0].has("label")):
        return ""
    of = clause.marks[place - 2]
    injury = of.has("thing", "opening", "another", "first") or any(q == "injury-zone" for q, _ in gives_of(of))
    hour = f"{figure.low}:00"
    return hour if injury and hour in HOURS else ""
