"""A made-up tire: what is true of it, and how a case that shows something is turned into one that could come in.

A case of the checks is a quiet one with a few answers changed. Those few are put on a likely tire of the garage; what
they measure is brought near the limit that it is held against; then everything that does not change what the case
shows is given a likely figure, and last each measure gets the spread of real readings. Whatever would change the
outcome is not done, so the rules judge exactly what can be seen and measured.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise

from msgspec import Struct
from msgspec.structs import replace

from advisor.domain.sidewall.parser import read_sidewall
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Answer, Case, Choice, Choices, Key, Readings, Text
from advisor.model.quantity import Measure, exactly, read_measure
from advisor.model.ruleset import Question, RuleSet
from advisor.practise.chance import Chance
from advisor.practise.garage import (
    GarageTire,
    band_of,
    chosen,
    class_of,
    garage,
    garage_tires,
    id_of,
    likely_answers,
    misfit,
)
from advisor.tools.verify.boundary_values import TODAY
from advisor.tools.verify.case_space import Space

#: An answer's place in a case, and what it is.
Where = tuple[str, int, str]
Answered = Mapping[Where, Answer]
#: Measures that stand for others: of one reading of the tread so many are shown.
_MOST_READINGS = 3
_WEEK_DAYS = 7


class MadeUpTire(Struct, frozen=True):
    """A tire that never was. `case` holds all that can be found out about it; `shown_by` what each measure reads.

    `name` says how it is made again; `themes`, `level` and `items` what it trains; `ends`: what its maker wrote of it.
    """

    name: str
    rules: str
    mark: str
    case: Case
    items: tuple[str, ...]
    themes: tuple[str, ...]
    level: int
    vehicle: str
    order: tuple[str, ...]
    readings: Mapping[Key, tuple[str, ...]] = {}
    twin_of: str = ""


def places_of(case: Case) -> Iterator[tuple[Where, Answer]]:
    """Every answer of a case with its place."""
    for over in inputs.OVERS:
        for index, answers in enumerate(case.instances(over)):
            for name, answer in answers.items():
                yield (over, TIRE if over == "tire" else index, name), answer


def with_answers(case: Case, answers: Mapping[Where, Answer | None]) -> Case:
    """The case with these answers put in, None taking one out."""
    for (over, index, name), answer in answers.items():
        case = case.with_answer(over, (name, index), answer)
    return replace(case, skipped=frozenset())


def what_counts(judgement: Judgement) -> tuple[object, ...]:
    """What must stay the same while a tire is dressed up."""
    reasons = frozenset((reason.ruling, reason.injury, bool(reason.doubt)) for reason in judgement.reasons)
    return (
        judgement.verdict,
        judgement.ending,
        judgement.method,
        judgement.restrictions,
        judgement.measure_again,
        judgement.missing,
        reasons,
    )


class Workshop:
    """Makes tires for one rule set: what its questions can be set to, and by what a case is judged."""

    def __init__(self, rules: RuleSet, day: date | None = None) -> None:
        """`day`: the real one; by it limits count that change on a day, and nothing else hangs on it."""
        begun = [each for each in rules.days if day is not None and each <= day]
        self.day = max(begun, default=TODAY)
        self.rules = rules.on(self.day)
        self.judge = Judge(self.rules)
        self._space: Space | None = None

    @property
    def space(self) -> Space:
        """The groups of the rules' facts; made when first needed."""
        if self._space is None:
            self._space = Space(self.rules)
        return self._space

    def question(self, name: str) -> Question | None:
        """A question by the program's own id."""
        return self.rules.questions.get(self.rules.question_now(name))

    def sound(self, tire: GarageTire, chance: Chance) -> Case:
        """A likely tire of the garage with one small hole, before anything is the matter with it."""
        rules, case = self.rules, Case(today=self.day, injuries=({},))
        for name, answer in likely_answers(tire, rules).items():
            over = rules.questions[name].over
            if over != inputs.OVER_REPAIRS:
                case = case.with_answer(over, (name, TIRE if over == "tire" else 0), answer)
        for name, words in {**garage().hole, inputs.SET_PRESSURE: tire.set}.items():
            case = self._measured(case, name, chance.of(name).pick(words))
        case = self._measured(case, inputs.FOUND_PRESSURE, chance.of(inputs.SET_PRESSURE).pick(tire.set))
        low, high = tire.tread
        depth = exactly(low + chance.of("tread").below(high - low + 1), "32nds")
        case = self._put(case, inputs.TREAD_DEPTH, Readings((depth,)))
        for name in (inputs.FINDINGS, inputs.INSIDE_SIGNS):
            case = self._put(case, name, Choices(frozenset()))
        return case

    def _measured(self, case: Case, name: str, words: str) -> Case:
        question = self.question(name)
        return case if question is None else self._put(case, name, read_measure(words, question.quantity or "angle"))

    def _put(self, case: Case, name: str, answer: Answer) -> Case:
        question = self.question(name)
        if question is None:
            return case
        return case.with_answer(question.over, (question.id, TIRE if question.over == "tire" else 0), answer)

    def on_a_tire(self, tire: GarageTire, few: Mapping[Where, Answer | None], chance: Chance) -> Case:
        """The few answers that matter, put on a likely tire; pressures keep their share of the set one."""
        rules = self.rules
        case = self.sound(tire, chance)
        named = {rules.input_of(where[2]) for where in few}
        printed = ("tire", TIRE, rules.question_now(inputs.SIDEWALL))
        by_print = {inputs.TIRE_CLASS, inputs.LOAD_RANGE, inputs.CONSTRUCTION, inputs.TUBE}
        if named & by_print and inputs.SIDEWALL not in named:
            case = with_answers(case, {printed: None})
        return self.counted(with_answers(case, self._scaled(few, case)))

    def counted(self, case: Case) -> Case:
        """The case in which each injury and earlier repair but the last one says that one more follows."""
        for over in (inputs.OVER_REPAIRS, inputs.OVER_INJURIES):
            more, many = self.rules.more_of(over), len(case.instances(over))
            for index in range(many) if more else ():
                case = case.with_answer(over, (more, index), Choice("no" if index == many - 1 else "yes"))
        return case

    def _scaled(self, few: Mapping[Where, Answer | None], case: Case) -> dict[Where, Answer | None]:
        """Where only the found pressure matters, its share of the set one is kept."""
        from advisor.tools.verify.boundary_values import SET_TO

        rules = self.rules
        found, should = (("tire", TIRE, rules.question_now(n)) for n in (inputs.FOUND_PRESSURE, inputs.SET_PRESSURE))
        answers = dict(few)
        reading, now = answers.get(found), case.answers.get(should[2])
        if should not in few and isinstance(reading, Measure) and isinstance(now, Measure):
            turns = now.to("psi").low / SET_TO
            reading = reading.to("psi")
            answers[found] = Measure(reading.low * turns, reading.high * turns, "psi")
        return answers

    # Figures near the limits

    def steps(self, where: Where, case: Case) -> list[Measure]:
        """Figures that a measure of a made-up tire may have: near each limit that it is held against, and between."""
        question = self.rules.questions[where[2]]
        now = _one_of(case.get(where[0], (where[2], where[1])))
        if now is None:
            return []
        step = Fraction(garage().steps.get(now.unit, "1"))
        figures = sorted(set(self._cuts(question, now, case)))
        low, high = self._band(question, now.unit)
        near = {cut + n * step for cut in figures for n in (-2, -1, 0, 1, 2)}
        ends = [low, *figures, high]
        near |= {_even((first + second) / 2, step) for first, second in pairwise(ends)}
        return [exactly(each, now.unit) for each in sorted(near) if low <= each <= high]

    def across(self, where: Where, limit: str, case: Case) -> Iterator[Measure]:
        """Readings of a measure that lie on both sides of a limit that it is held against."""
        now = _one_of(case.get(where[0], (where[2], where[1])))
        if now is None:
            return
        step = Fraction(garage().steps.get(now.unit, "1"))
        for cut in dict.fromkeys(self._cuts(self.rules.questions[where[2]], now, case, frozenset({limit}))):
            if cut > step:
                yield Measure(cut - step, cut + step, now.unit)

    def _cuts(
        self, question: Question, now: Measure, case: Case, only: frozenset[str] | None = None
    ) -> Iterator[Fraction]:
        for name in self.space.resting_on(question.id):
            for limit in self.space.limits_of(name):
                if only is not None and limit.id not in only:
                    continue
                figure = limit.figure_for(now)
                if figure.quantity == now.quantity:
                    yield figure.to(now.unit).low
                elif figure.quantity == "share" and now.quantity == "pressure":
                    should = case.answers.get(self.rules.question_now(inputs.SET_PRESSURE))
                    if isinstance(should, Measure) and should.exact:
                        yield should.to(now.unit).low * figure.low / 100

    def _band(self, question: Question, unit: str) -> tuple[Fraction, Fraction]:
        like = exactly(0, unit)
        low, high = Fraction(0), Fraction(1000)
        if question.plausible is not None and question.plausible.quantity == like.quantity:
            ends = question.plausible.to(unit)
            low, high = ends.low, ends.high
        band = band_of(self.rules.input_of(question.id))
        if band is not None and band[0].quantity == like.quantity:
            low, high = max(low, band[0].to(unit).low), min(high, band[1].to(unit).low)
        return low, high

    def made_likely(self, case: Case, shows: Callable[[Case], bool], odd: frozenset[str]) -> Case | None:
        """The case with every unlikely measure brought near a limit, as long as it shows the same; None where none."""
        case = self._lengthened(self._lettered(case, shows), shows)
        for where, answer in list(places_of(case)):
            if not misfit(case, self.rules, odd):
                break
            now = _one_of(answer)
            if now is None or self._fits_alone(where, answer):
                continue
            near = _nearest_first(self.steps(where, case), now)
            changed = (with_answers(case, {where: like(answer, each)}) for each in near)
            case = next((each for each in changed if shows(each)), case)
        return None if misfit(case, self.rules, odd) or not shows(case) else case

    def _lettered(self, case: Case, shows: Callable[[Case], bool]) -> Case:
        """A load range that goes with the class, where it shows the same with another letter."""
        name, tire_class = self.rules.question_now(inputs.LOAD_RANGE), class_of(case, self.rules)
        letters = garage().letters.get(tire_class, ())
        if id_of(case, self.rules, inputs.LOAD_RANGE) in ("", *letters):
            return case
        others = (
            case.with_answer("tire", (name, TIRE), chosen(self.rules, inputs.LOAD_RANGE, each)) for each in letters
        )
        return next((other for other in others if shows(other)), case)

    def _lengthened(self, case: Case, shows: Callable[[Case], bool]) -> Case:
        """No injury shorter than it is wide, where it shows the same round or longer."""
        size, length = map(self.rules.question_now, (inputs.INJURY_SIZE, inputs.INJURY_LENGTH))
        for index, injury in enumerate(case.injuries):
            wide, long = injury.get(size), injury.get(length)
            if isinstance(wide, Measure) and isinstance(long, Measure) and long.to("mm").low < wide.to("mm").low:
                longer = Measure(wide.low * 2, wide.high * 2, wide.unit)
                others = (
                    case.with_answer(inputs.OVER_INJURIES, (length, index), each) for each in (None, longer, wide)
                )
                case = next((other for other in others if shows(other)), case)
        return case

    def _fits_alone(self, where: Where, answer: Answer) -> bool:
        return not misfit(with_answers(Case(injuries=({},), repairs=({},)), {where: answer}), self.rules)

    # Dressing up

    def varied(self, case: Case, shows: Callable[[Case], bool], near: frozenset[str], chance: Chance) -> Case:
        """Other figures for each exact measure that limits are held against.

        Near them where one of the limits in `near` is among them, else away from them.
        """
        allowed = ("", misfit(case, self.rules))
        for where, answer in list(places_of(case)):
            now, question = _one_of(answer), self.rules.questions[where[2]]
            if now is None or not now.exact or self.rules.input_of(question.id) == inputs.SET_PRESSURE:
                continue
            cuts, close = list(self._cuts(question, now, case)), [*self._cuts(question, now, case, near)]
            pressure = self.rules.input_of(question.id) == inputs.FOUND_PRESSURE
            if not cuts or (pressure and not close):
                continue
            others = {each: with_answers(case, {where: like(answer, each)}) for each in self.steps(where, case)}
            fit = [each for each, other in others.items() if misfit(other, self.rules) in allowed]
            kept = [each for each in fit if self._not_over_set(where, each, case) and shows(others[each])]
            if kept:
                kept = _by_distance(kept, cuts)
                half = (len(kept) + 1) // 2
                lot = kept[:half] if close else kept[-half:]
                case = others[chance.of(*where).pick(lot)]
        return case

    def _not_over_set(self, where: Where, reading: Measure, case: Case) -> bool:
        """Whether a pressure is not above the set one, unless it was before."""
        if self.rules.input_of(where[2]) != inputs.FOUND_PRESSURE:
            return True
        should, found = case.answers.get(self.rules.question_now(inputs.SET_PRESSURE)), case.answers.get(where[2])
        if not (isinstance(should, Measure) and isinstance(found, Measure)):
            return True
        most = max(should.to("kPa").low, found.to("kPa").low)
        return reading.to("kPa").low <= most

    def dressed(self, case: Case, tire: GarageTire, shows: Callable[[Case], bool], chance: Chance) -> Case:
        """Its date, a wheel, where the injuries sit: whatever leaves the outcome as it is."""
        extras = list(self._extras(case, tire, chance))
        whole = with_answers(case, {where: answer for more in reversed(extras) for where, answer in more.items()})
        if shows(whole):
            return whole
        for more in extras:
            changed = with_answers(case, more)
            if shows(changed):
                case = changed
        return case

    def _extras(self, case: Case, tire: GarageTire, chance: Chance) -> Iterator[dict[Where, Answer]]:
        yield self._named({inputs.DOT_CODE: Text(_date_code(self.day, chance.of("age")))})
        width = exactly(tire.tread_width, "mm")
        every = [self._named({inputs.TREAD_WIDTH: width}, index) for index in range(len(case.injuries))]
        yield {where: answer for each in every for where, answer in each.items()}
        yield self._named({inputs.UNIT_LENGTH: exactly(tire.unit, "mm"), inputs.UNIT_WIDTH: exactly(tire.unit, "mm")})
        for index, injury in enumerate(case.injuries):
            own, half = chance.of("place", index), tire.tread_width // 2
            zone = injury.get(self.rules.question_now(inputs.INJURY_ZONE))
            far = _OFFSETS.get(zone.id if isinstance(zone, Choice) else "", (0, 0))
            across = Fraction(far[0] * half + own.below(100) * (far[1] - far[0]) * half // 100, 100)
            offset = exactly(round(across) * (1 if own.below(2) else -1), "mm")
            around = exactly((15 + 30 * own.below(12) + 150 * index) % 360, "deg")
            yield self._named(
                {
                    inputs.OFFSET: offset,
                    inputs.TREAD_WIDTH: exactly(tire.tread_width, "mm"),
                    inputs.CASING_THICKNESS: exactly(tire.thickness, "mm"),
                    inputs.LEAN: Choice("along-tread"),
                    inputs.CLOCK: around,
                },
                index,
            )
            yield self._named(
                {inputs.OFFSET: offset, inputs.TREAD_WIDTH: exactly(tire.tread_width, "mm"), inputs.CLOCK: around},
                index,
            )

    def where_it_sits(self, tire: GarageTire, around: int, index: int) -> dict[str, Answer]:
        """A place in the crown, by the program's ids: one injury each side of the center line."""
        across = Fraction(tire.tread_width, 8) * (1 if index else -1)
        return {inputs.CLOCK: exactly(around, "deg"), inputs.OFFSET: exactly(round(across), "mm")}

    def _named(self, answers: Mapping[str, Answer], index: int = 0) -> dict[Where, Answer]:
        found: dict[Where, Answer] = {}
        for name, answer in answers.items():
            question = self.question(name)
            if question is not None:
                found[(question.over, TIRE if question.over == "tire" else index, question.id)] = answer
        return found

    def read(
        self, case: Case, shows: Callable[[Case], bool], chance: Chance
    ) -> tuple[Case, dict[Key, tuple[str, ...]]]:
        """The case with each measure as several readings of it give it, and those readings in words."""
        shown: dict[Key, tuple[str, ...]] = {}
        for where, answer in list(places_of(case)):
            if not isinstance(answer, Measure | Readings):
                continue
            key, own = (where[2], where[1]), chance.of("read", *where)
            question = self.rules.questions[where[2]]
            answer = _in_its_unit(answer, question)
            case = with_answers(case, {where: answer})
            if isinstance(answer, Measure) and (question.kind == inputs.CLOCK_KIND or self._given(question)):
                continue
            spread = self._spread(answer, question, own)
            changed = with_answers(case, {where: spread})
            likely = misfit(changed, self.rules) in ("", misfit(case, self.rules))
            if spread != answer and likely and shows(changed):
                case, answer = changed, spread
            shown[key] = _in_readings(answer, own)
        return case, shown

    def _given(self, question: Question) -> bool:
        """Whether it stands on the work order or a box, and is not measured."""
        return self.rules.input_of(question.id) in (inputs.SET_PRESSURE, inputs.UNIT_LENGTH, inputs.UNIT_WIDTH)

    def _spread(self, answer: Measure | Readings, question: Question, chance: Chance) -> Answer:
        """A single figure as a tool shows it when it is held on three times."""
        one = _one_of(answer)
        if one is None or not one.exact:
            return answer
        by = Fraction(garage().spreads.get(one.unit, "0"))
        if isinstance(answer, Readings):
            more = [one.low + by * (1 + chance.below(3)) for _ in range(_MOST_READINGS - len(answer.readings))]
            return Readings((*answer.readings, *(exactly(each, one.unit) for each in more)))
        low, high = self._band(question, one.unit)
        ends = max(one.low - by, low), min(one.low + by, high)
        return answer if not by or ends[0] >= ends[1] else Measure(*ends, one.unit)


#: Where an injury sits in its zone, in hundredths of half the tread's width from the center line.
_OFFSETS = {"crown": (0, 45), "shoulder": (88, 99), "sidewall": (115, 150), "bead": (165, 180)}


def _by_distance(figures: list[Measure], cuts: list[Fraction]) -> list[Measure]:
    """Figures, those nearest to any limit first."""
    return sorted(figures, key=lambda each: min(abs(each.low - cut) for cut in cuts))


def offset_in(zone: str, width: Measure) -> Fraction:
    """How far from the center line an injury of a zone sits, in mm, on a tread so wide."""
    low, high = _OFFSETS.get(zone, (0, 0))
    return Fraction(round(width.to("mm").low * (low + high) / 400))


def _nearest_first(figures: list[Measure], now: Measure) -> list[Measure]:
    return sorted(figures, key=lambda each: abs(each.low - now.low))


def _one_of(answer: Answer | None) -> Measure | None:
    """The measure of an answer; of several readings the only one."""
    if isinstance(answer, Readings):
        return answer.readings[0] if len(answer.readings) == 1 else None
    return answer if isinstance(answer, Measure) else None


def _in_its_unit(answer: Measure | Readings, question: Question) -> Measure | Readings:
    """Inches as 32nds where the question asks for these, which are compared alike."""
    if isinstance(answer, Readings):
        return Readings(tuple(_as_32nds(each, question) for each in answer.readings))
    return _as_32nds(answer, question)


def _as_32nds(measure: Measure, question: Question) -> Measure:
    return measure.to("32nds") if question.unit == "32nds" and measure.unit == "in" else measure


def like(answer: Answer, measure: Measure) -> Answer:
    """A measure as an answer of the same kind."""
    return Readings((measure,)) if isinstance(answer, Readings) else measure


def _even(figure: Fraction, step: Fraction) -> Fraction:
    return round(figure / step) * step


def _date_code(today: date, chance: Chance) -> str:
    day = today - timedelta(days=_WEEK_DAYS * (30 + chance.below(150)))
    year, week, _ = day.isocalendar()
    return f"{min(week, 52):02d}{year % 100:02d}"


def _in_readings(answer: Answer, chance: Chance) -> tuple[str, ...]:
    """What the tool shows: each reading in words."""
    if isinstance(answer, Readings):
        return tuple(str(each) for each in chance.shuffled(answer.readings))
    assert isinstance(answer, Measure)
    if answer.exact:
        return (str(answer), str(answer))
    middle = (answer.low + answer.high) / 2
    return tuple(str(exactly(each, answer.unit)) for each in chance.shuffled([answer.low, answer.high, middle]))


def few_of(case: Case, quiet: Answered) -> dict[Where, Answer | None]:
    """What sets a case apart from the quiet one: what it answers otherwise, and what it leaves out."""
    own = dict(places_of(case))
    few: dict[Where, Answer | None] = {where: answer for where, answer in own.items() if quiet.get(where) != answer}
    few |= {where: None for where in quiet if where not in own}
    return few


def likely_tires(few: Mapping[Where, Answer | None], rules: RuleSet) -> list[GarageTire]:
    """The garage's tires, those first of which the few answers already hold."""

    def unlike(tire: GarageTire) -> int:
        own = likely_answers(tire, rules)
        same = {inputs.VEHICLE, inputs.TIRE_CLASS, inputs.WHEEL_POSITION, inputs.LOAD_RANGE}
        other = sum(
            answer is not None and own.get(where[2]) != answer
            for where, answer in few.items()
            if rules.input_of(where[2]) in same
        )
        printed = few.get(("tire", TIRE, rules.question_now(inputs.SIDEWALL)))
        by_print = read_sidewall(printed.text).tire_class if isinstance(printed, Text) else None
        return other + (by_print is not None and by_print != tire.likely[inputs.TIRE_CLASS])

    return sorted(garage_tires(rules), key=unlike)


def is_told(answer: Answer | None) -> bool:
    """Whether an answer says something, rather than that it can't be told."""
    return answer is not None and answer is not CANT_TELL


__all__ = ["MadeUpTire", "Workshop", "class_of", "few_of", "likely_tires"]
