"""Which question a figure answers: by the word beside it, by its unit, by what is spoken of; never by guessing.

Takes the figures and clock positions of a clause, and tells the two pressures apart.

Where a figure can go: what is known of its clause, whether it fits a question, and the unit it gets.
Which question a figure answers that has no word beside it to tell: by its unit, and by what is spoken of.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from advisor.model import inputs
from advisor.model.case import TIRE, Key
from advisor.model.problems import Misread
from advisor.model.quantity import exactly, number_of, read_measure
from advisor.model.ruleset import Question, RuleSet
from advisor.nlu.coreference import Injuries
from advisor.nlu.evidence import Loose, Piece
from advisor.nlu.sentence_figures import Figure
from advisor.nlu.slots.base import Placed, Pressure
from advisor.nlu.slots.repairs import RepairAnswers, leads_one
from advisor.nlu.small_words import said_pattern, said_words
from advisor.nlu.tagger import Clause, Mark, a_place, beside, gives_of, labels_for, span_of
from advisor.nlu.tokenizer import CLOCK_TIME, NUMBER_WORDS

_SIDES = said_words("sides")


WHERE_IT_IS = said_words("where-it-is")


#: A bare pressure with a point in it is in bar up to here.
MOST_BAR = 12


class Spoken(Struct, frozen=True):
    """What a figure's clause is about: the injury, the question asked, the label of the figure before."""

    rules: RuleSet
    injuries: Injuries
    asked: Key | None
    last: str
    opening_ahead: bool = False
    injury_named: bool = False
    of_unit: bool = False
    touched: str = ""
    of_apart: bool = False


def figure_fits(question: Question | None, figure: Figure) -> bool:
    """Whether a figure can be the answer: of the same quantity, and a clock direction never."""
    if question is None or not question.quantity or question.kind == inputs.CLOCK_KIND:
        return False
    quantity = figure.quantity or ("length" if figure.fraction else "")
    return not quantity or question.quantity == quantity


def _too_much_for_bar(figure: Figure, question: Question) -> bool:
    """Whether a bare pressure can only be in psi: in bar it would be more than is plausible."""
    if question.unit != "psi" or question.plausible is None:
        return False
    return exactly(figure.low, "bar").to("psi").low > question.plausible.high


def in_fahrenheit(rules: RuleSet) -> bool:
    """Whether warmth is told in Fahrenheit where these rules hold: where tread is read in 32nds of an inch."""
    tread = rules.questions.get(inputs.TREAD_DEPTH)
    return tread is not None and tread.unit == "32nds"


def figure_with_unit(figure: Figure, question: Question, fahrenheit: bool = False) -> tuple[str, str]:
    """The figure as written, with the question's unit where none was said, and whether that is asked back."""
    if question.quantity == "temperature" and question.plausible is not None and figure.unit in ("", "deg"):
        most = question.plausible.to("C").high
        return replace(figure, unit="").written("F" if fahrenheit or number_of(figure.low) > most else "C"), NO_DEGREES
    if figure.unit or figure.fraction:
        return figure.written(), ""
    if question.unit == "32nds" and figure.low.isdigit():
        ends = [f"{end}/32" for end in (figure.low, figure.high) if end]
        return f"{'about ' if figure.about else ''}{'-'.join(ends)} in", "no unit was said; 32nds of an inch were taken"
    if question.unit == "psi" and "." in figure.low and exactly(figure.low, "bar").low <= MOST_BAR:
        return figure.written("bar"), "no unit was said; bar was taken"
    written = figure.written(question.unit)
    if question.unit == "deg" or _too_much_for_bar(figure, question):
        return written, ""
    return written, f"no unit was said; {question.unit} was taken"


def measured_from(clause: Clause, behind: list[Mark]) -> bool:
    """Whether a figure counts from somewhere: 20 mm in from the shoulder, 5 cm right of the rib."""
    behind = behind[: next((at for at, mark in enumerate(behind) if mark.figure is not None), len(behind))]
    texts = [mark.text for mark in behind[:2]]
    if texts[:1] and texts[0] in _SIDES and texts[1:] == ["of"]:
        return True
    return any(
        (mark.text.startswith(("from", "off", "apart")) and not gives_of(mark, "said"))
        or (mark.has("beside") and mark.text not in ("and", "or", "over", "under"))
        for mark in behind
    )


def joins(mark: Mark, figure: Figure) -> bool:
    """Whether the mark is the word that opens a range, which the figure then is: between 8 and 10."""
    return mark.text == "between" and bool(figure.high)


CUTS = said_words("cuts")
ALONG_CUT = "is that across, or along the cut?"
ROUND = said_words("round-openings")


def unlabelled(figure: Figure, mark: Mark, clause: Clause, spoken: Spoken, place: int) -> Placed:
    quantity = figure.quantity or ("length" if figure.fraction else "")
    bare = all(other is mark or other.idle or other.has("about") or joins(other, figure) for other in clause.marks)
    if spoken.asked and bare and figure_fits(spoken.rules.questions.get(spoken.asked[0]), figure):
        written, doubt = figure_with_unit(figure, spoken.rules.questions[spoken.asked[0]], in_fahrenheit(spoken.rules))
        return Placed(spoken.asked[0], written, "; ".join(text for text in (figure.ask, doubt) if text))
    touched = spoken.rules.questions.get(spoken.touched)
    if spoken.touched == inputs.TREAD_DEPTH and spoken.injuries.now >= 0 and bare and quantity == "length":
        of_hole = figure.unit != "32nds" and "/32" not in figure.low
        return Placed(
            "", why=f"{inputs.INJURY_SIZE if of_hole else inputs.TREAD_DEPTH}|{mark.text}: of the tread, or the hole?"
        )
    if touched is not None and bare and figure_fits(touched, figure) and (figure.unit or touched.unit == "deg"):
        return Placed(touched.id, figure.written(touched.unit), f"{mark.text}: said of that?")
    if spoken.touched == inputs.INJURY_DEPTH and bare and quantity == "length":
        return Placed("", why=f"{inputs.INJURY_SIZE}|{mark.text}: across, or how deep?")
    if quantity == "angle":
        return _angle(figure, clause, spoken)
    if quantity == "length":
        return _length(figure, mark, clause, spoken, place, bare)
    if quantity == "temperature":
        return Placed("", why=f"{inputs.SHOP_TEMPERATURE}|{mark.text}: of the air where you work?")
    return Placed("")


def _angle(figure: Figure, clause: Clause, spoken: Spoken) -> Placed:
    after = [each.text for each in clause.marks if each.figure is None and each.start == figure.end]
    if clause.having("warmth") or after[:1] in (["outside"], ["out"], ["today"]):
        return Placed("", why=f"{inputs.SHOP_TEMPERATURE}|degrees of what: Celsius or Fahrenheit?")
    round_tire = clause.having("valve-side")
    if round_tire and any("valve" in mark.text for mark in round_tire):
        return Placed(inputs.CLOCK, figure.written())
    if round_tire:
        return Placed("", why=f"{inputs.CLOCK}|degrees round from the valve, or from something else?")
    if any(
        text in clause.text
        for text in ("to the tread", "from the surface", "to the surface", "from the tread", "off the tread")
    ):
        return Placed("", why=f"{inputs.INJURY_ANGLE}|from square to the tread, or from its surface? Straight in is 0")
    if spoken.injuries.count:
        return Placed(inputs.INJURY_ANGLE, figure.written())
    return Placed("", why=f"{inputs.INJURY_ANGLE}|the angle of what?")


def _length(figure: Figure, mark: Mark, clause: Clause, spoken: Spoken, place: int, bare: bool) -> Placed:
    if spoken.last == inputs.TREAD_DEPTH and bare and clause.having("side"):
        return Placed(inputs.TREAD_DEPTH, figure.written(), figure.ask)
    if "/32" in figure.written() or figure.unit == "32nds":
        before = clause.marks[place - 1].figure if place else None
        if spoken.last == inputs.TREAD_DEPTH and (bare or (before is not None and "/32" in before.written())):
            return Placed(inputs.TREAD_DEPTH, figure.written())
        if not spoken.injuries.count and not spoken.injury_named:
            return Placed(inputs.TREAD_DEPTH, figure.written(), "32nds of an inch, with no word of what they measure")
        return Placed("", why=f"{inputs.TREAD_DEPTH}|{mark.text}: the tread depth?")
    after = clause.marks[place + 1] if place + 1 < len(clause.marks) else None
    ahead = [each for each in clause.marks[:place] if not each.has("filler", "about", "perhaps")]
    if after is not None and after.text in WHERE_IT_IS:
        return Placed("", why=f"{inputs.INJURY_SIZE}|{mark.text}: of what?")
    if after is not None and after.text in CUTS and not after.text.endswith("s"):
        return Placed("", why=f"{inputs.INJURY_SIZE}|{ALONG_CUT}")
    if measured_from(clause, clause.marks[place + 1 :]):
        return Placed("", why=f"{inputs.INJURY_SIZE}|{mark.text}: a distance, or the size?")
    if place > 1 and beside(clause.marks[place - 2]) and _given(clause.marks[place - 1]):
        return Placed("", why=f"{inputs.INJURY_SIZE}|{mark.text}: a distance, or the size?")
    of_object = bool(ahead) and ahead[-1].has("thing") and not ahead[-1].has("opening", "said")
    behind = [
        each for each in clause.marks[place + 1 :] if not any(how == inputs.INJURY_ZONE for how, _ in _given(each))
    ]
    if behind and behind[0].text in ROUND and not of_object:
        return Placed(inputs.INJURY_SIZE, figure.written(), figure.ask)
    if of_object or (after is not None and after.has("thing") and not after.has("said", "opening")):
        return Placed("", why=f"{inputs.INJURY_SIZE}|the size of the object, or of the injury cleaned to sound rubber?")
    openings = [each for each in clause.having("opening", "said") if each.has("opening") or each.text in ROUND]
    if openings and not all(each.text in ROUND for each in openings):
        return Placed("", why=f"{inputs.INJURY_SIZE}|{ALONG_CUT}")
    if (
        spoken.injuries.kind == "opening"
        and not openings
        and bare
        and spoken.injuries.now >= 0
        and spoken.last == "cut"
    ):
        return Placed("", why=f"{inputs.INJURY_SIZE}|{ALONG_CUT}")
    of_tire = spoken.asked is not None and spoken.rules.questions[spoken.asked[0]].over == "tire"
    if bare and of_tire and not (openings or spoken.injury_named or spoken.opening_ahead):
        return Placed("", why=f"{inputs.INJURY_SIZE}|{mark.text}: of what?")  # the tread, as likely as the hole
    strange = [each for each in clause.marks if each is not mark and _strange(each) and not joins(each, figure)]
    if (spoken.injuries.now >= 0 or openings or (spoken.opening_ahead and bare)) and not strange:
        return Placed(inputs.INJURY_SIZE, figure.written(), figure.ask)
    return Placed("", why=f"{inputs.INJURY_SIZE}|{mark.text}: of what?")


def _given(mark: Mark) -> list[tuple[str, str]]:
    return [given for sense in mark.senses if sense.how in ("said", "noun") for given in sense.gives]


def _strange(mark: Mark) -> bool:
    """Whether a mark beside a bare size may mean that the size is of something else: an unknown word, a label."""
    if mark.kind in ("word", "sign"):
        return True
    return mark.has("label", "time-of-day", "road", "repair-named", "bound") and not mark.has("thing", "opening")


MOST_AWAY = 4
#: Two labels at one figure, the one ahead and the one behind, and what they mean together.
TOGETHER = {
    (inputs.TREAD_DEPTH, inputs.CUT_DEPTH): inputs.TREAD_DEPTH,
    (inputs.TREAD_DEPTH, inputs.INJURY_SIZE): inputs.TREAD_WIDTH,
    (inputs.CASING_THICKNESS, inputs.CUT_DEPTH): inputs.CASING_THICKNESS,
    (inputs.BULGE_HEIGHT, inputs.INJURY_SIZE): "",
}
OF_OBJECT = said_words("of-object")
OWN_WIDTH = said_words("own-width")
#: Long and wide, said of the repair unit.
OF_UNIT = {inputs.INJURY_LENGTH: inputs.UNIT_LENGTH, inputs.INJURY_SIZE: inputs.UNIT_WIDTH}
#: Why a figure counts for nothing: it isn't 30.
DENIED = "denied"
#: With more digits a figure in a unit that may be another one is only proposed: 250 mil.
MOST_DIGITS = 2
#: Why a figure of warmth is only proposed.
NO_DEGREES = "C or F was not said"
ARRIVAL = said_pattern("arrival")
WHICH_PRESSURE = "the pressure found, or the one it should have?"


#: The word class of the side from which an offset counts.
SERIAL_SIDE = "serial"


def figure_placed(mark: Mark, clause: Clause, spoken: Spoken) -> Placed:
    """Where one figure goes."""
    figure = mark.figure
    assert figure is not None
    place = clause.marks.index(mark)
    ahead, behind = clause.marks[:place], clause.marks[place + 1 :]
    figure = _with_about(figure, ahead, behind)
    labelling = [each for each in ahead[::-1] if not a_place(each, clause)]
    before, after = _label(labelling, figure, spoken), _label(behind, figure, spoken, 2, behind=True)
    question, labels = _by_label(before, after)
    if spoken.of_apart and question == inputs.INJURY_SIZE and labels[0].text == "across":
        return Placed("", why=f"{question}|{mark.text}: a distance, or the size?", labels=labels)
    if spoken.of_unit:
        question = OF_UNIT.get(question, question)
    near = [each for each in ahead[-2:] if not each.has("filler") or each.has("bound", "no")]
    near = [each for each in near if not (figure.quantity == "speed" and labels_for(each, inputs.MEAN_SPEED))]
    if any(each.has("no") for each in near):
        return Placed("", why=DENIED if question else "", labels=labels)
    if question in (inputs.TREAD_DEPTH, "") and any(each.has("required") for each in ahead[-2:]):
        return Placed("", why=f"what it has to be is no reading: {mark.text}", labels=labels)
    if any(each.has("bound") for each in near) or (behind and behind[0].has("bound") and not behind[0].has("label")):
        return Placed("", why=f"a bound is no reading: {mark.text}", labels=labels) if question else Placed("")
    if figure.crossed or _crossed_before(clause, place):
        opening = f"{inputs.INJURY_SIZE}|" if clause.having("opening") or spoken.injuries.count else ""
        return Placed("", why=f"{opening}{mark.text}: which is across, which is along?")
    if question:
        return _checked(question, figure, mark, clause, spoken, labels, behind)
    return unlabelled(figure, mark, clause, spoken, place)


def corrected(figure: Figure, question: Question, mark: Mark, clause: Clause) -> Placed | None:
    """A figure that corrects the one before, where it stands by itself and is of the same kind."""
    around = [each for each in clause.marks if each is not mark]
    alone = all(each.idle or each.has("no", "about", "opening", "thing", "label", "time-of-day") for each in around)
    if not alone or not figure_fits(question, figure) or question.id == inputs.OFFSET:
        return None
    written, doubt = figure_with_unit(figure, question)
    return Placed(question.id, written, "; ".join(text for text in (figure.ask, doubt) if text))


def _with_about(figure: Figure, ahead: list[Mark], behind: list[Mark]) -> Figure:
    near = [mark for mark in ahead[-2:] if mark.has("about")]
    if near and ahead[-1] is not near[-1] and not ahead[-1].idle:
        near = []
    after = [mark for mark in (*behind[:1], *behind[-1:]) if mark.has("about")]
    ahead_of_one = any(mark.kind == "figure" for mark in behind[:2])
    return replace(figure, about=True) if near or (after and not ahead_of_one) else figure


def _crossed_before(clause: Clause, place: int) -> bool:
    return any(mark.figure is not None and mark.figure.crossed for mark in clause.marks[max(0, place - 2) : place])


def _label(
    marks: list[Mark], figure: Figure, spoken: Spoken, most: int = MOST_AWAY, behind: bool = False
) -> tuple[str, Mark] | None:
    """The nearest label of a fitting kind, before anything else that speaks of something.

    Behind a pressure one stands that is of the next: 90 psi [should be] 115.
    """
    for place, mark in enumerate(marks[:most]):
        if mark.kind == "figure":
            return None
        follows = marks[place + 1 : place + 2] if behind else []
        if mark.text == "in it" and not behind and any(each.figure is not None for each in marks[place + 1 :][:1]):
            return None
        for sense in mark.senses:
            if sense.how == "label":
                for question, _ in sense.gives:
                    of_next = bool(follows) and follows[0].figure is not None and question.endswith("-pressure")
                    if figure_fits(spoken.rules.questions.get(question), figure) and not of_next:
                        return question, mark
        if mark.has("thing", "opening") or not (
            mark.has("filler", "about", "perhaps", "bound", "no") or mark.text in (":", "between")
        ):
            return None
    return None


def _by_label(before: tuple[str, Mark] | None, after: tuple[str, Mark] | None) -> tuple[str, tuple[Mark, ...]]:
    if before and after and before[0] != after[0]:
        marks = (before[1], after[1])
        if (before[0], after[0]) in TOGETHER:
            return TOGETHER[(before[0], after[0])], marks
        if before[0].endswith("pressure"):
            return before[0], (before[1],)
        return after[0], marks
    if before and after:
        return before[0], (before[1], after[1])
    one = before or after
    return (one[0], (one[1],)) if one else ("", ())


def _checked(
    question: str,
    figure: Figure,
    mark: Mark,
    clause: Clause,
    spoken: Spoken,
    labels: tuple[Mark, ...],
    behind: list[Mark],
) -> Placed:
    """A labelled figure, unless what stands about it speaks against the label."""
    why = _against(question, figure, clause, spoken, labels, behind)
    if why:
        return Placed("", why=why if why != "-" else "", labels=labels)
    if question == inputs.OFFSET:
        return _offset(figure, clause, labels, spoken.rules.phrases.classes.get(SERIAL_SIDE, ()))
    written, doubt = figure_with_unit(figure, spoken.rules.questions[question], in_fahrenheit(spoken.rules))
    return Placed(question, written, "; ".join(text for text in (figure.ask, doubt) if text), labels)


def _against(
    question: str, figure: Figure, clause: Clause, spoken: Spoken, labels: tuple[Mark, ...], behind: list[Mark]
) -> str:
    bare = not figure.unit and not figure.fraction
    if bare and behind and not (behind[0].has("label", "filler", "perhaps") or behind[0].text in ("of", ":")):
        return "-"
    if bare and behind and behind[0].has("opening", "thing"):
        return "-"
    openings = clause.having("opening")
    if (
        question == inputs.INJURY_LENGTH
        and not openings
        and (clause.having("thing") or spoken.injuries.kind == "thing")
    ):
        return "how long the object is says nothing of the injury"
    if question == inputs.INJURY_SIZE and any(mark.text in OF_OBJECT for mark in labels):
        things = [mark for mark in clause.having("thing") if clause.marks.index(mark) < clause.marks.index(labels[0])]
        if things and not openings:
            return "how wide the object is says nothing certain of the injury, cleaned to sound rubber"
    known = openings or spoken.injuries.count or spoken.opening_ahead or any(mark.has("cleaned") for mark in labels)
    if question in (inputs.INJURY_SIZE, inputs.INJURY_LENGTH) and not known:
        return "of what?"
    own = bool(behind) and behind[0].text in OWN_WIDTH
    if question == inputs.INJURY_SIZE and not own and measured_from(clause, behind):
        return "a distance, or the size?"
    thick = any(mark.text in ("thick", "thickness") for mark in labels)
    if question == inputs.CASING_THICKNESS and thick and not any("casing" in mark.text for mark in clause.marks):
        return "-"
    cut = any("cut" in mark.text for mark in labels)
    if question == inputs.CUT_DEPTH and not (openings or cut or spoken.injuries.kind == "opening"):
        return "how deep what is?"
    if (
        question == inputs.FOUND_PRESSURE
        and bare
        and any(labels_for(each, inputs.LINER_TEMPERATURE) for each in clause.marks)
    ):
        return "-"
    if question == inputs.SET_PRESSURE and clause.having("capacity"):
        return "the most that the sidewall gives, or the pressure it should have?"
    if question == inputs.TREAD_DEPTH and bare and not figure.low.isdigit():
        return "in 32nds of an inch, or in mm?"
    if question == inputs.INJURY_ANGLE and clause.having("warmth"):
        return "-"
    return ""


def _offset(figure: Figure, clause: Clause, labels: tuple[Mark, ...], sides: Sequence[str]) -> Placed:
    signed = figure.low.startswith("-") or number_of(figure.low or "0") == 0
    if not signed and not any(side in clause.text for side in sides):
        return Placed("", why=f"{inputs.OFFSET}|toward the serial side (plus), or away from it (minus)?", labels=labels)
    away = not signed and any(word in clause.text for word in ("away", "opposite", "other", "not"))
    written = figure.written("mm")
    return Placed(inputs.OFFSET, f"-{written}" if away else written, figure.ask, labels)


#: The whole hours of a clock's face.
HOURS = frozenset(f"{hour}:00" for hour in NUMBER_WORDS.values() if 1 <= hour <= NUMBER_WORDS["twelve"])


class FigureAnswers(RepairAnswers):
    """Answers that are figures."""

    def _figures(self, clause: Clause) -> None:
        self._of_pair(clause)
        for mark in clause.marks:
            if mark.kind == CLOCK_TIME:
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
            self._ask(inputs.CLOCK, f"{mark.text}: where the injury is, by the clock?")
        else:
            why = f"{mark.text}: where the injury is, by the clock?"
            index = max(self.injuries.now, 0)
            self.gathered.say(Piece(inputs.CLOCK, index, hour, self._words(mark), hedge=why))
            self.gathered.ask(inputs.CLOCK, index, why)
        clause.take(mark)

    def _placed(self, mark: Mark, clause: Clause) -> Placed:
        """Where a figure goes: as what it corrects, with the readings before it, or by what stands about it."""
        figure = mark.figure
        assert figure is not None
        spoken = Spoken(
            self.rules, self.injuries, self.asked, self.last, self.opening_ahead, self.injury_named, self.of_unit,
            self.touched, clause.sentence == self.apart_sentence,
        )  # fmt: skip
        if mark.run and self.last == inputs.TREAD_DEPTH:
            return _checked(inputs.TREAD_DEPTH, figure, mark, clause, spoken, (), [])
        where = figure_placed(mark, clause, spoken)
        if (target := self.correcting_to or self.denied_to) and (not where.question or _only("now", where)):
            known = self.rules.questions[target]
            if known.over == "injuries" and self.injuries.now < 0 and not self.denied_to:
                return where
            return corrected(figure, known, mark, clause) or where
        of_asked = self.asked is not None and self.asked[0] == where.question
        if _only("now", where) and not (figure.unit or self.pressures or of_asked):
            return Placed("", why=f"{where.question}|{mark.text}: of what?")
        return where

    def _of_pair(self, clause: Clause) -> None:
        """`92 of 110 psi`: the first is what was found, the second what it should have."""
        for place in range(len(clause.marks) - 2):
            one, joint, other = clause.marks[place : place + 3]
            if one.figure is None or other.figure is None or joint.text not in ("of", "out of", "instead of", "from"):
                continue
            units = {each.figure.unit for each in (one, other) if each.figure and each.figure.unit}
            bare = not units and joint.text != "from" and _like_pressures(one.figure, other.figure)
            ahead = clause.marks[:place]
            other_word = any(each.text in LOST or labels_for(each, inputs.SET_PRESSURE) for each in ahead)
            whole = joint.text in ("of", "out of") and not other_word and _first_with_unit(one.figure, other.figure)
            of_pressure = (other.figure.quantity == "pressure" or whole) and one.figure.quantity in ("", "pressure")
            if not bare and (len(units) != 1 or not of_pressure):
                continue
            unit = units.pop() if units else self.rules.questions[inputs.SET_PRESSURE].unit
            for mark, question in ((one, inputs.FOUND_PRESSURE), (other, inputs.SET_PRESSURE)):
                assert mark.figure is not None
                at = clause.marks.index(mark)
                written = _with_about(mark.figure, clause.marks[:at], clause.marks[at + 1 :]).written(unit)
                self._say(question, written, self._words(mark), "no unit was said" if bare else "")
                if bare:
                    self.gathered.pieces[-1].hedge = "no unit was said"
                clause.take(mark, joint, *(each for each in clause.marks if labels_for(each, question)))
        for mark in clause.marks:
            for question, figure in _slashed_pressures(mark.figure):
                bare = not figure.unit
                written = figure.written(figure.unit or self.rules.questions[question].unit)
                self._say(question, written, self._words(mark), "no unit was said" if bare else "")
                self.gathered.pieces[-1].hedge = "no unit was said" if bare else ""
                clause.take(mark)

    def _put(self, mark: Mark, clause: Clause, where: Placed) -> None:
        if where.question == inputs.TREAD_DEPTH and self._other_wheel(clause):
            where = Placed("", why=f"{inputs.TREAD_DEPTH}|{mark.text}: of this tire, or of another one?")
        if where.question == inputs.TREAD_DEPTH and self._slashed(mark):
            where = Placed("", why=f"{inputs.TREAD_DEPTH}|{mark.text} and more behind the stroke: which readings?")
        if where.why == DENIED:
            named = (name for label in where.labels for s in label.senses if s.how == "label" for name, _ in s.gives)
            self.denied_to = next(named, "")
            return
        self.denied_to = ""
        if where.question:
            if self.injuries.open and not self.all_of and self.rules.questions[where.question].over == "injuries":
                self.gathered.loose.append(Loose(mark, clause, -1, where.why))
            about = [each for each in clause.having("about") if each.end == mark.start]
            self._say(where.question, where.written, self._text(*span_of(mark, (*where.labels, *about))), where.why)
            if where.question == inputs.SET_PRESSURE and not self._of_two() and _only("cold", where):
                self.gathered.pieces[-1].hedge = f"{mark.text}: {WHICH_PRESSURE}"
            if NO_DEGREES in where.why and where.labels:
                self.gathered.pieces[-1].hedge = NO_DEGREES
            if mark.figure and mark.figure.ask and len(mark.figure.low) > MOST_DIGITS:
                self.gathered.pieces[-1].hedge = mark.figure.ask
            clause.take(mark, *where.labels)
            self.last = where.question
            return
        self.gathered.loose.append(Loose(mark, clause, self.injuries.now, where.why))
        if "|" in where.why:
            question, _, why = where.why.partition("|")
            self._ask(question, why)
            clause.take(mark, *where.labels)
        elif where.why and where.labels:
            labelled = next((name for s in where.labels[0].senses if s.how == "label" for name, _ in s.gives), "")
            if labelled:
                self._ask(labelled, where.why)
            clause.take(mark, *where.labels)

    def _of_two(self) -> bool:
        """Whether another pressure was told besides."""
        return len(self.pressures) > 1 or any(each.question == inputs.FOUND_PRESSURE for each in self.gathered.pieces)

    def _other_wheel(self, clause: Clause) -> bool:
        """Whether a wheel position is named beside a reading and not taken: readings of several tires."""
        return any(
            mark.start not in clause.taken and any(q == inputs.WHEEL_POSITION for q, _ in gives_of(mark, "alone"))
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
        named = any(labels_for(each, inputs.CLOCK) for each in clause.marks)
        if self.injuries.open and self.clocks == self.injuries.declared:
            self.gathered.say(Piece(inputs.CLOCK, self.clocks_said, mark.text, self._words(mark)))
            self.clocks_said += 1
            clause.take(mark)
            return
        if (
            (self.injuries.count or named)
            and not self.injuries.open
            and not any(q == inputs.EARLIER_REPAIRS for m in clause.marks for q, _ in gives_of(m))
            and not (clause.having("repair-named") and not clause.having("thing", "opening"))
        ):
            about = [each for each in clause.having("about") if 0 <= mark.start - each.end <= 1]
            written = f"about {mark.text}" if about else mark.text
            self._say(inputs.CLOCK, written, self._text(*span_of(mark, about)), "")
        elif clause.having("repair-named") and inputs.REPAIR_CLOCK in self.rules.questions:
            why = f"{mark.text}: of the earlier repair?"
            self.gathered.say(
                Piece(inputs.REPAIR_CLOCK, max(self.repairs - 1, 0), mark.text, self._words(mark), hedge=why)
            )
        else:
            why = f"{mark.text}: where the injury is, or the time?"
            self._ask(inputs.CLOCK, why)
            if clause.having("first", "another") or leads_one(clause):
                self.gathered.say(Piece(inputs.CLOCK, self.clocks_said, mark.text, self._words(mark), hedge=why))
                self.clocks_said += 1
        clause.take(mark, *clause.having("label") if "o'clock" in mark.text else ())

    def _told_apart(self) -> None:
        """Of two pressures, neither said to be what it should be, the lower is never lost.

        It was found where it was so on arrival or only the other one has no word; else it may be either of them.
        """
        two = [each for each in self.pressures if each.place.question in ("", inputs.FOUND_PRESSURE)]
        labelled = [each for each in two if each.place.question]
        early = [each for each in two if ARRIVAL.search(each.clause.text)]
        if len(two) != 2 or len(self.pressures) != 2 or not (early or len(labelled) == 1):
            return
        units = [each.mark.figure.unit for each in two if each.mark.figure and each.mark.figure.unit]
        unit = units[0] if units else self.rules.questions[inputs.FOUND_PRESSURE].unit
        said = [(each.mark.figure.written(unit), each) for each in two if each.mark.figure]
        try:
            said.sort(key=lambda one: read_measure(one[0], "pressure").to("kPa").low)
        except Misread:
            return
        found = said[0][1] in early or labelled == [said[0][1]]
        for (written, each), name in zip(said, (inputs.FOUND_PRESSURE, inputs.SET_PRESSURE), strict=True):
            piece = Piece(name if found else inputs.FOUND_PRESSURE, TIRE, written, self._words(each.mark))
            plain = labelled == [each] and name == inputs.FOUND_PRESSURE and each.mark.figure and each.mark.figure.unit
            piece.hedge = "" if plain else f"{each.mark.text}: {WHICH_PRESSURE}"
            piece.clause = each.clause
            self.gathered.say(piece)
            each.clause.take(each.mark, *each.place.labels)
        self.pressures.clear()

    def _settle_pressures(self) -> None:
        """Two pressures tell each other apart; one alone without a word beside it is asked back."""
        self._told_apart()
        units = [each.mark.figure.unit for each in self.pressures if each.mark.figure and each.mark.figure.unit]
        sets = [each for each in self.pressures if each.place.question == inputs.SET_PRESSURE]
        loose = [each for each in self.pressures if not each.place.question]
        found = [each for each in self.pressures if each.place.question == inputs.FOUND_PRESSURE]
        for each in self.pressures:
            figure = each.mark.figure
            where = each.place
            assert figure is not None
            if not where.question and not where.why and len(loose) == 1 and len(sets) == 1 and not found:
                where = Placed(inputs.FOUND_PRESSURE, figure.written(units[0] if units else "psi"))
            elif not where.question and not where.why:
                where = Placed("", why=f"{inputs.FOUND_PRESSURE}|{each.mark.text}: {WHICH_PRESSURE}")
            elif where.question and not figure.unit and units:
                where = Placed(where.question, figure.written(units[0]), "", where.labels)
            self.gathered.clause = each.clause
            self._put(each.mark, each.clause, where)


def _first_with_unit(found: Figure, meant: Figure) -> bool:
    """Whether a pressure is said out of a bare number that is no less: 95 psi of 110."""
    if found.quantity != "pressure" or meant.quantity or meant.unit or "/" in meant.low:
        return False
    try:
        now, most = (read_measure(each.written(found.unit), "pressure") for each in (found, meant))
    except Misread:
        return False
    return now.high <= most.low


def _slashed_pressures(figure: Figure | None) -> tuple[tuple[str, Figure], ...]:
    """What `92/110 psi` parts, or 104/110 without a unit: what was found of what there should be."""
    found, slash, meant = figure.low.partition("/") if figure else ("", "", "")
    if figure is None or not slash or figure.high or figure.about or " " in figure.low:
        return ()
    one, other = replace(figure, low=found), replace(figure, low=meant)
    if figure.quantity == "pressure" or (not figure.unit and meant not in RULED and _like_pressures(one, other)):
        return (inputs.FOUND_PRESSURE, one), (inputs.SET_PRESSURE, other)
    return ()


def _only(word: str, where: Placed) -> bool:
    """Whether nothing but one word says of what a figure is: read cold, or to be so; now."""
    return [label.text for label in where.labels] == [word]


def _like_pressures(found: Figure, meant: Figure) -> bool:
    """Whether two bare numbers can be what was found and what should be: 102 of 105."""
    both = [found.low, meant.low]
    return all(each.isdecimal() and not figure.high for each, figure in zip(both, (found, meant), strict=True)) and (
        LEAST_PRESSURE <= int(meant.low) <= MOST_PRESSURE and int(found.low) <= int(meant.low)
    )


#: Behind a stroke these make a fraction of an inch: 9/32.
RULED = frozenset({"32", "64"})
LOST = said_words("lost-air")
#: Bare numbers that are pressures in psi, where one is said out of the other.
LEAST_PRESSURE, MOST_PRESSURE = 25, 150


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
    injury = of.has("thing", "opening", "another", "first") or any(q == inputs.INJURY_ZONE for q, _ in gives_of(of))
    hour = f"{figure.low}:00"
    return hour if injury and hour in HOURS else ""
