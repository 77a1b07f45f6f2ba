"""What stands of a case at once, by numbers and without a word of why: verdict, ending, method, restrictions, missing.

Each answer is a number, with the terms of the plan that it leaves standing. A worked-out value is looked up by the
numbers of all that its function ever read; the way through a part, and what counts on it, by which of its terms stand.
What was not met before is taken from the judge's own walk and judgement, so nothing is defined here a second time. When
words are asked for, what a function makes of a place (a reason, a step, a value as written) is looked up likewise. A
case that takes trying out answers, and one whose injuries do not stand in a row, is left to the judge.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from functools import partial, reduce
from itertools import chain, count
from operator import attrgetter, itemgetter, or_
from threading import RLock
from typing import Any, cast

from msgspec import Struct

from advisor.engine.condition_plan import SeenHere, Sight, absorbs
from advisor.engine.conditions import Test
from advisor.engine.evaluator import Judge
from advisor.engine.facts import (
    COUNT_SPOT,
    DAY_SPOT,
    STEP_SPOT,
    Facts,
    ReadAt,
    SharedStep,
    StepValue,
    Value,
    is_certain,
)
from advisor.engine.judgement_types import Counted, InjuryVerdict, Judgement, Possible, Reason, worst
from advisor.engine.reachable import MOST_OPEN
from advisor.engine.traversal import Passage, Stop, Visit, Walk, WayThrough
from advisor.model import inputs
from advisor.model.case import CANT_TELL, TIRE, Answer, Answers, Case, Choice, Key
from advisor.model.inputs import OVER_INJURIES, OVER_REPAIRS, OVERS
from advisor.model.ruleset import Part, Ruling, Verdict, leaves

#: What a worked-out value or several come to: the terms left standing, those left open, and of each value that
#: something leaves open the terms that look at it, its place among all values, and the number of what does.
CodedValue = tuple[int, int, Sequence[tuple[int, int, int]]]
#: An answer: its number, the terms that it leaves standing, those it leaves open, the number of its doubt (else 0).
CodedAnswer = tuple[int, int, int, int]
#: A worked-out value of a place: the terms that look at it, its place among all values, what conditions see of it.
ValueHere = tuple[int, "LookedUp", int, Sight]
#: Values looked up as one: their terms; what of a case they read (None for one that goes by steps); what they came to.
ReadTogether = tuple[int, "Callable[[CaseNumbers], Any] | None", dict[Any, CodedValue], list[ValueHere]]
#: Several things made that are looked up as one: by which numbers, what they came to, which of all they are.
MadeTogether = tuple["Callable[[CaseNumbers], Any] | None", dict[Any, Sequence[Any]], list[int]]
#: A day or number at each place of a case that holds an answer.
CaseNumbers = list[Any]
_NO, _YES = Choice("no"), Choice("yes")
#: Values are looked up as one whose outcomes, each taken with each, are so many at most.
MOST_JOINED = 100
#: With so many outcomes kept, values are put together anew.
MOST_OUTCOMES = 1_000
#: Instead of the name of an answer that stands where no question asks for it.
_NOT_ASKED_HERE = ""


class AtOnce(Struct, frozen=True):
    """What stands of a case; `not_given`: what is still to be answered, now or later, in the order of asking."""

    verdict: Verdict
    ending: str
    method: str
    restrictions: tuple[str, ...]
    settled: bool
    not_given: tuple[Key, ...]


class AnsweredHere(Struct, frozen=True):
    """Which questions of a part are answered: the terms that the others leave standing, and those they leave open.

    `chosen` takes the answers that are choices, `choices` are their questions, `together` what comes of all of them:
    the numbers of the part's choices, the terms left standing and open, the numbers of doubts. `figures`: of each other
    answer its question, its place among the part's, and its numbers so far.
    """

    number: int
    stand: int
    left_open: int
    chosen: Callable[[Any], Any]
    choices: tuple[str, ...]
    together: dict[Any, tuple[list[int], int, int, list[int]]]
    figures: tuple[tuple[str, int, dict[Answer, CodedAnswer]], ...]


class CountsForSure(Struct, frozen=True):
    """What the rulings that hold on a way bring: the worst verdict, its ending and where that stands, and the rest.

    `open_terms`: the terms by which other rulings could still be open. `mixed`: what holds, where some of these terms
    are of a ruling that holds as well.
    """

    verdict: Verdict
    place: tuple[int, int]
    ending: str
    restrictions: frozenset[str]
    referred: frozenset[str]
    open_terms: int = 0
    mixed: int = 0


class CountsInDoubt(Struct, frozen=True):
    """What open rulings on a way bring as things stand, and what could still come.

    `could`: verdicts; `lacking`; `put_off`: left for later; `waits_for`: the answers that could still decide. Of a
    single way also what `counted`, without its facts, what could come there, and what is only perhaps met.
    """

    now: CountsForSure
    could: frozenset[Verdict]
    lacking: tuple[Key, ...]
    put_off: tuple[Key, ...]
    waits_for: frozenset[Key]
    counted: tuple[Counted, ...] = ()
    come: tuple[Possible, ...] = ()
    perhaps: tuple[Possible, ...] = ()


class CodedWay(Struct, frozen=True):
    """A way through a part, by the number of what is asked on it.

    `plain`: the terms of its `rulings`, which stand worst first; `perhaps`: of those only perhaps met; `rest`: with
    these, of those that bring doubt with them; `sure`, `doubtful`: what counted, by what stood. `hangs_on`: by the
    terms that are open and the place, what matters of all that leaves values open. `whole`: by what stood and was open,
    all that counted; `each`: all that may, its place in the graph, by which terms and what it brings for certain.
    """

    number: int
    way: WayThrough
    plain: int
    perhaps: int
    rest: int
    rulings: tuple[tuple[int, CountsForSure], ...]
    sure: dict[int, CountsForSure]
    hangs_on: dict[tuple[int, int], Callable[[CaseNumbers], Any]]
    doubtful: dict[object, CountsInDoubt]
    whole: dict[object, WayWhole]
    each: tuple[tuple[int, int, Counted | None], ...]


class Along(Struct, frozen=True):
    """The ways through all parts that one place leads along, as one: their terms, and what they come to together.

    `sure`: what counts there for certain, of all ways and of each; `hangs_on`, `doubtful` as of a single way; `whole`:
    the same with each ruling.
    """

    number: int
    ways: tuple[tuple[CodedWay, Part], ...]
    plain: int
    perhaps: int
    rest: int
    sure: dict[int, tuple[CountsForSure, tuple[CountsForSure, ...]]]
    hangs_on: dict[tuple[int, int], Callable[[CaseNumbers], Any]]
    doubtful: dict[object, CountsInDoubt]
    whole: dict[object, AllHere]


class WayWhole(Struct, frozen=True):
    """All that counts on a way, without its facts, in the order of the graph; `part`: the number of the part.

    `reasons`: what puts each in words, with where that is looked up at the place.
    """

    part: int
    way: WayThrough
    counted: tuple[Counted, ...]
    in_doubt: CountsInDoubt
    reasons: tuple[tuple[LookedUp, Callable[[Facts], Reason]], ...]


class AllHere(Struct, frozen=True):
    """All that counts at a place, way by way; `alone`: what that comes to for the injury alone, by terms of methods."""

    ways: tuple[WayWhole, ...]
    alone: dict[int, InjuryVerdict]


#: The parts that a place leads through, their routing terms as one, and the ways along them that were met.
Entered = tuple[tuple[Part, ...], int, dict[tuple[int, int], Along]]


class LookedUp:
    """A worked-out value or a step at one place, by the numbers of all that its function ever read."""

    __slots__ = ("frame", "known", "name", "numbers_of", "over_index", "spots", "steps")

    def __init__(self, frame: CaseFrame, name: str, over_index: Key) -> None:
        self.frame, self.name, self.over_index = frame, name, over_index
        self.spots: dict[ReadAt, None] = {}
        self.steps: tuple[LookedUp, ...] = ()
        self.known: dict[Any, Any] = {}
        self.numbers_of: Callable[[CaseNumbers], Any] = _nothing_read

    def read(self, path: Mapping[ReadAt, Any]) -> bool:
        """Takes note of what was read; what is known by less is let go. Whether there was any."""
        new = [spot for spot in path if spot not in self.spots]
        if new:
            self.known.clear()
            self.spots.update(dict.fromkeys(new))
            self.numbers_of = self.frame.taking(self.spots)
            self.steps = tuple(self.frame.step(spot) for spot in self.spots if spot[0] is STEP_SPOT)
            self.frame.home.note(len(new))
        return bool(new)

    def key(self, numbers: CaseNumbers, hand: CaseInHand) -> Any:
        """What its outcome hangs on."""
        here = self.numbers_of(numbers)
        if not self.steps:
            return here
        every = [here]
        for step in self.steps:
            found = step.known.get(step.key(numbers, hand) if step.steps else step.numbers_of(numbers))
            every.append(found[0] if found else step.step_number(numbers, hand))
        return tuple(every)

    def step_number(self, numbers: CaseNumbers, hand: CaseInHand) -> int:
        """The number of what comes of a step, not met before."""
        step: SharedStep = hand.tire.at((STEP_SPOT, self.over_index[1], self.name))
        self.read(step.path)
        number = self.frame.home.number(step)
        self.known[self.key(numbers, hand)] = number, 0, ()
        self.frame.home.note(1)
        return number


def _nothing_read(numbers: object) -> int:
    return 0


class Together:
    """Several things made at one place, each by its function; those that come to few outcomes looked up as one."""

    __slots__ = ("_frame", "_groups", "_in_order", "_members")

    def __init__(self, frame: CaseFrame, over_index: Key, count: int) -> None:
        self._frame, self._members = frame, [LookedUp(frame, "", over_index) for _ in range(count)]
        self._groups: list[MadeTogether] = []
        self._in_order: Callable[[Sequence[Any]], Sequence[Any]] = tuple

    def made(self, facts: Facts, functions: Sequence[Callable[[Facts], Any]], hand: CaseInHand) -> Sequence[Any]:
        """What each function gives."""
        groups, found, numbers = self._groups or self._put_together(), list[Any](), hand.numbers
        in_order = self._in_order
        for group in groups:
            numbers_of, known, _ = group
            here = known.get(numbers_of(numbers)) if numbers_of else None
            if here is None:
                with self._frame.home.lock:
                    here = self._each(group, facts, functions, hand)
            found += here
        return in_order(found)

    def _put_together(self) -> list[MadeTogether]:
        members, together = self._members, few_together(self._members)
        at = {number: place for place, number in enumerate(chain.from_iterable(group for _, group in together))}
        if len(members) > 1:
            self._in_order = itemgetter(*[at[number] for number in range(len(members))])
        groups = [
            (
                None if members[places[0]].steps else self._frame.taking(spots),
                members[places[0]].known if len(places) == 1 else {},
                places,
            )
            for spots, places in together
        ]
        self._groups = groups
        return groups

    def _each(
        self,
        group: MadeTogether,
        facts: Facts,
        functions: Sequence[Callable[[Facts], Any]],
        hand: CaseInHand,
    ) -> Sequence[Any]:
        numbers_of, kept, places = group
        groups, here, home = self._groups, list[Any](), self._frame.home
        for place in places:
            member = self._members[place]
            found = member.known.get(member.key(hand.numbers, hand))
            if found is None:
                value, path = facts.with_path(functions[place])
                if member.read(path):
                    self._groups = []
                found = member.known[member.key(hand.numbers, hand)] = (value,)
                home.note(1)
            here += found
        if len(places) > 1 and numbers_of and self._groups is groups:
            kept[numbers_of(hand.numbers)] = here
            home.note(1)
            if len(kept) > 2 * MOST_JOINED:
                self._groups = []
        return here


def few_together(every: Sequence[LookedUp]) -> list[tuple[dict[ReadAt, None], list[int]]]:
    """In groups that may be looked up as one: those that came to few outcomes, and none that has steps.

    Each group with what it reads.
    """
    found: list[tuple[dict[ReadAt, None], int, list[int]]] = []
    for number in sorted(range(len(every)), key=lambda number: len(every[number].known)):
        value = every[number]
        many, place = max(1, len(value.known)), len(found)
        for at, (spots, so_far, _) in enumerate(found):
            both = so_far if value.spots.keys() <= spots.keys() else so_far * many
            if both <= MOST_JOINED and not value.steps:
                many, place = both, at
                break
        spots, _, group = found[place] if place < len(found) else ({}, 0, [])
        many = MOST_JOINED + 1 if value.steps else many
        found[place : place + 1] = [({**spots, **value.spots}, many, [*group, number])]
    return [(spots, group) for spots, _, group in found]


class PlaceInFrame:
    """The tire, an earlier repair or an injury: where its answers stand among the numbers; what is worked out there."""

    __slots__ = ("groups", "index", "number", "over", "seen", "start", "values")

    def __init__(self, over: str, index: int, start: int, seen: int, number: int) -> None:
        self.over, self.index, self.start, self.seen, self.number = over, index, start, seen, number
        self.values: list[ValueHere] = []
        self.groups: list[ReadTogether] = []

    def put_together(self, frame: CaseFrame) -> list[ReadTogether]:
        """Its values in groups that are looked up as one: those that came to few outcomes, and none that has steps."""
        together = few_together([value for _, value, *_ in self.values])
        found = [(spots, [self.values[number] for number in group]) for spots, group in together]
        self.groups = [
            (
                reduce(or_, (terms for terms, *_ in group)),
                None if group[0][1].steps else frame.taking(spots),
                group[0][1].known if len(group) == 1 else {},
                group,
            )
            for spots, group in found
        ]
        return self.groups


class CaseFrame:
    """Cases with so many earlier repairs and injuries."""

    def __init__(self, home: CodedJudge, repairs: int, injuries: int) -> None:
        self.home = home
        self._steps: dict[ReadAt, LookedUp] = {}
        self.places: list[PlaceInFrame] = []
        self.starts: dict[tuple[str, int], int] = {}
        self.size, self.values = 1, dict[tuple[str, Key], int]()
        plan = home.judge.graph.plan
        for over, indices in (("tire", [TIRE]), (OVER_REPAIRS, range(repairs)), (OVER_INJURIES, range(injuries))):
            for index in indices:
                number = home.number((repairs, injuries, self.size))
                place = PlaceInFrame(over, index, self.size, ~plan.not_seen_from(over), number)
                for sight in plan.sights(over)[1]:
                    at = self.values[sight.name, (over, index)] = len(self.values)
                    place.values.append((sight.terms, LookedUp(self, sight.name, (over, index)), at, sight))
                self.places.append(place)
                self.starts[over, index] = self.size
                self.size += len(home.slots[over]) + 1  # one for what is not asked there
        self.entry = reduce(or_, (terms for _, terms, _ in home.judge.graph.entries), 0)
        #: What was made at a place, by its name.
        self.made: dict[tuple[Hashable, str, int], LookedUp] = {}
        self.together: dict[tuple[Hashable, str, int], Together] = {}
        #: By what holds and stands of the terms that lead into the parts: what each place leads through.
        self.entered: dict[tuple[int, int], list[Entered]] = {}

    def enter(self, sure: int, stand: int) -> list[Entered]:
        """What each place leads through, by the terms of the tire; empty where a part is open or nothing was told."""
        graph, parts = self.home.judge.graph, [list[Part]() for _ in self.places]
        known = True
        for part, terms, _ in graph.entries:
            here = [through for place, through in zip(self.places, parts, strict=True) if place.over == part.over]
            if sure & terms:
                known = known and (bool(here) or not (part.at_least_one or part.more))
                for through in here:
                    through.append(part)
            known = known and bool(sure & terms or not stand & terms)
        found = self.entered[sure & self.entry, stand & self.entry] = [
            (
                tuple(through),
                reduce(or_, (graph.routing[part.id] for part in through), 0),
                self.home.along.setdefault(tuple(part.id for part in through), {}),
            )
            for through in (parts if known else ())
        ]
        self.home.note(len(parts))
        return found

    def made_at(self, over: str, index: int, label: Hashable) -> LookedUp:
        """Where what is made at a place is looked up, by its name."""
        found = self.made.get((label, over, index))
        if found is None:
            found = self.made[label, over, index] = LookedUp(self, "", (over, index))
        return found

    def taking(self, spots: Iterable[ReadAt]) -> Callable[[CaseNumbers], Any]:
        """What takes the numbers at these spots."""
        positions = [at for spot in spots if (at := self.position(spot)) is not None]
        return itemgetter(*positions) if positions else _nothing_read

    def position(self, spot: ReadAt) -> int | None:
        """Where the number of an answer stands; None for what all cases of this frame have alike, and for a step."""
        over, index, name = spot
        if over is DAY_SPOT:
            return 0
        if over is COUNT_SPOT or over is STEP_SPOT:
            return None
        start, slot = self.starts.get((over, index)), self.home.slots[over].get(name)
        return None if start is None or slot is None else start + slot

    def step(self, spot: ReadAt) -> LookedUp:
        """A step at a place, one for all values that go by it."""
        found = self._steps.get(spot)
        if found is None:
            found = self._steps[spot] = LookedUp(self, spot[2], (spot[0], spot[1]))
        return found


class CaseInHand:
    """The case being judged, in numbers, with what the judge says of it once that is asked for."""

    __slots__ = ("_case", "_frame", "_judge", "_judged", "_tire", "_walk", "numbers")

    def __init__(self, judge: Judge, case: Case, frame: CaseFrame) -> None:
        self._judge, self._case, self._frame = judge, case, frame
        self.numbers: CaseNumbers = []
        self._tire: Facts | None = None
        self._judged: Judgement | None = None
        self._walk: Walk | None = None

    @property
    def tire(self) -> Facts:
        """The facts of its tire."""
        if self._tire is None:
            self._tire = Facts(self._judge.graph.tables, self._case, coded=self)
        return self._tire

    def remembered(self, label: Hashable, facts: Facts, function: Callable[[Facts], StepValue]) -> StepValue:
        """What a function gives at a place, looked up by the numbers of all that it ever read."""
        return self.all_remembered([(self._frame.made_at(facts.over, facts.index, label), function)], facts)[0]

    def all_remembered(
        self, made: Iterable[tuple[LookedUp, Callable[[Facts], StepValue]]], facts: Facts
    ) -> list[StepValue]:
        """What each of some functions gives at a place, looked up in this way."""
        found, numbers = list[Any](), self.numbers
        for known, function in made:
            value = known.known.get(known.key(numbers, self) if known.steps else known.numbers_of(numbers), known)
            if value is known:
                with self._frame.home.lock:
                    value, path = facts.with_path(function)
                    known.read(path)
                    known.known[known.key(numbers, self)] = value
                    self._frame.home.note(1)
            found.append(value)
        return found

    def each_made(
        self, label: Hashable, facts: Facts, functions: Sequence[Callable[[Facts], StepValue]]
    ) -> Sequence[StepValue]:
        """What each of some functions gives at a place, looked up in the same way, several as one."""
        place = label, facts.over, facts.index
        together = self._frame.together.get(place)
        if together is None:
            together = self._frame.together[place] = Together(self._frame, (facts.over, facts.index), len(functions))
        return together.made(facts, functions, self)

    def walk(self, ways: list[Passed]) -> Walk:
        """Its walk along these ways, without what is only perhaps met."""
        if self._walk is None:
            self._walk = Walk(self._judge.graph, self.tire)
            self._walk.passages = [
                Passage(self.tire.part(place.over, place.index), SeenHere.of_terms(stand, sure), way.way)
                for way, place, _, stand, sure in ways
            ]
            self._walk.take_stock()
        return self._walk

    @property
    def judged(self) -> Judgement:
        """The whole judgement."""
        if self._judged is None:
            self._judged = self._judge.judge(self._case)
        return self._judged


#: What the answers of a place leave standing and open, and the numbers of all else about them that could matter.
AnsweredPlace = tuple[int, int, list[int]]
#: A way with its place and part, the terms that stand there and those that hold.
Passed = tuple[CodedWay, PlaceInFrame, Part, int, int]
#: A place with all that it leads along, the terms that stand there, those that hold, a number for all else.
PassedPlace = tuple[Along, PlaceInFrame, int, int, int]


class CodedJudge:
    """A judge made ready for saying at once what stands; what it has met stays for the next cases, up to a bound."""

    #: So much is kept before all is let go: a kilobyte each, so some 40 MB.
    MOST = 40_000
    #: So many cases are left to the judge before anything is learned: that takes longer than it saves them.
    FEW = 10
    #: So many cases are put in words by number whatever they bring.
    MOST_ALWAYS = 1_000
    #: Where so many cases lately brought more than so much each that was not met before, from then on one in so many.
    MOST_LATELY = 100
    MOST_NEW = 8
    ONE_IN = 10

    def __init__(self, judge: Judge) -> None:
        self.judge, self.rules = judge, judge.rules
        every = self.rules.questions.items()
        self._choices = {over: [n for n, q in every if q.over == over and q.kind in _CHOICES] for over in OVERS}
        figures = {over: [n for n, q in every if q.over == over and q.kind not in _CHOICES] for over in OVERS}
        self.slots = {o: {name: at for at, name in enumerate((*self._choices[o], *figures[o]))} for o in OVERS}
        self._more = {over: self.rules.more_of(over) for over in (OVER_REPAIRS, OVER_INJURIES)}
        self._order = {part.id: at for at, (part, *_) in enumerate(judge.graph.entries)}
        self._of_methods = reduce(or_, (terms for *_, terms in judge.methods.ranked), 0)
        self.lock, self._last, self._asked = RLock(), count(1), 0
        self._wholes, self._noted, self._noted_before, self._new_each = 0, 0, 0, 0.0
        self._begin()

    def _begin(self) -> None:
        self.kept = 0
        self._frames: dict[tuple[int, int], CaseFrame] = {}
        self._answers: dict[str, dict[Answer, CodedAnswer]] = {}
        self._answered: dict[tuple[str, ...], AnsweredHere] = {}
        self.ways: dict[str, dict[tuple[int, int], CodedWay]] = {}
        self.along: dict[tuple[str, ...], dict[tuple[int, int], Along]] = {}
        self._numbers: dict[object, int] = {}
        self._methods: dict[tuple[str, ...], tuple[str, str]] = {}
        self._restrictions: dict[frozenset[str], tuple[str, ...]] = {frozenset(): ()}
        self._in_order: dict[object, tuple[Key, ...]] = {}

    def note(self, more: int) -> None:
        """Counts what is kept."""
        self.kept += more
        self._noted += more

    def number(self, of: object) -> int:
        """A number for each thing that differs."""
        found = self._numbers.get(of)
        if found is None:
            found = self._numbers[of] = next(self._last)
            self.note(1)
        return found

    def judged(self, case: Case) -> AtOnce | None:
        """What stands of a case; None where it takes the whole judge to say."""
        found = self._gone_through(case)
        return None if found is None else self._counted(*found)

    def whole(self, case: Case) -> Judgement | None:
        """The judgement of a case, to be put in words; None where it takes the whole judge, or cases are too unlike."""
        self._wholes += 1
        if self._wholes > self.MOST_ALWAYS and self._new_each > self.MOST_NEW and self._wholes % self.ONE_IN:
            return None
        self._new_each += (self._noted - self._noted_before - self._new_each) / self.MOST_LATELY
        self._noted_before = self._noted
        found = self._gone_through(case)
        return None if found is None else self._whole(*found)

    def _gone_through(self, case: Case) -> tuple[CaseFrame, CaseNumbers, list[PassedPlace], CaseInHand] | None:
        self._asked += 1
        if self._asked <= self.FEW:
            return None
        if self.kept > self.MOST:
            self._begin()
        size = len(case.repairs), len(case.injuries)
        frame = self._frames.get(size)
        if frame is None:
            frame = self._frames[size] = CaseFrame(self, *size)
        if not self._lined_up(case.injuries, OVER_INJURIES):
            return None
        if case.repairs and not self._lined_up(case.repairs, OVER_REPAIRS):
            return None
        hand = CaseInHand(self.judge, case, frame)
        hand.numbers, answered = self._coded(case, frame)
        ways = self._ways_through(frame, hand.numbers, answered, hand)
        return None if ways is None else (frame, *ways, hand)

    def _lined_up(self, items: tuple[Answers, ...], over: str) -> bool:
        """Whether each but the last one says that there is one more, and the last that there is none."""
        more = self._more[over]
        if not items or not more:
            return True
        for each in items[:-1]:
            if each.get(more) != _YES:
                return False
        return items[-1].get(more) == _NO

    def _coded(self, case: Case, frame: CaseFrame) -> tuple[CaseNumbers, list[AnsweredPlace]]:
        """The case in numbers, with what the answers of each place leave standing and open."""
        numbers: CaseNumbers = [0] * frame.size
        numbers[0] = case.today
        found = []
        for place, answers in zip(frame.places, (case.answers, *case.repairs, *case.injuries), strict=True):
            over, start = place.over, place.start
            here = self._answered.get((over, *answers)) or self._answered_here(over, answers)
            together = here.together.get(here.chosen(answers)) or self._together(over, answers, here)
            codes, stand, left_open, context = together
            numbers[start : start + len(codes)] = codes
            context = context.copy()
            for name, slot, known in here.figures:
                answer = answers[name]
                number, stays, maybe, unsure = known.get(answer) or self._answer(known, name, answer)
                numbers[start + slot] = number
                stand &= stays
                left_open |= maybe
                if unsure:
                    context.append(unsure)
            found.append((stand, left_open, context))
        return numbers, found

    def _together(self, over: str, answers: Answers, here: AnsweredHere) -> tuple[list[int], int, int, list[int]]:
        """What comes of all choices of a place together."""
        codes, stand, left_open, context = [0] * len(self._choices[over]), here.stand, here.left_open, [here.number]
        for name in here.choices:
            known, answer = self._answers.setdefault(name, {}), answers[name]
            number, stays, maybe, unsure = known.get(answer) or self._answer(known, name, answer)
            codes[self.slots[over][name]] = number
            stand &= stays
            left_open |= maybe
            if unsure:
                context.append(unsure)
        found = here.together[here.chosen(answers)] = codes, stand, left_open, context
        self.note(1)
        return found

    def _answered_here(self, over: str, answers: Answers) -> AnsweredHere:
        plan, slots = self.judge.graph.plan, self.slots[over]
        out, left_open = plan.of_unanswered(over, answers)
        choices = tuple(name for name in self._choices[over] if name in answers)
        figures = tuple(
            (
                name,
                slots.get(name, len(slots)),
                self._answers.setdefault(name if name in slots else _NOT_ASKED_HERE, {}),
            )
            for name in answers
            if name not in choices
        )
        chosen = itemgetter(*choices) if choices else _nothing_read
        found = AnsweredHere(self.number((over, *answers)), plan.every & ~out, left_open, chosen, choices, {}, figures)
        self._answered[over, *answers] = found
        self.note(len(answers))
        return found

    def _answer(self, known: dict[Answer, CodedAnswer], name: str, answer: Answer) -> CodedAnswer:
        plan, value = self.judge.graph.plan, cast(Value, answer)
        if answer is CANT_TELL:
            value = self.judge.graph.tables.counts_as.get(name, value)
        out, left_open = plan.marks_of({name: (value, None)})
        doubt = "not told" if answer is CANT_TELL else "" if is_certain(answer) else answer.__class__.__name__
        unsure = self.number((name, doubt, left_open)) if doubt else 0
        known[answer] = found = self.number((name, answer)), plan.every & ~out, left_open, unsure
        self.note(1)
        return found

    def _ways_through(
        self, frame: CaseFrame, numbers: CaseNumbers, answered: list[AnsweredPlace], hand: CaseInHand
    ) -> tuple[CaseNumbers, list[PassedPlace]] | None:
        """What leaves values open, and the ways through all parts; None where a part is open or nothing was told."""
        seen: list[tuple[PlaceInFrame, int, int, list[int]]] = []
        opened: CaseNumbers = [0] * len(frame.values)
        tire_stand, tire_open = self.judge.graph.plan.every, 0
        for place, (stand, left_open, context) in zip(frame.places, answered, strict=True):
            stand, left_open = self._see(frame, place, numbers, hand, stand & tire_stand, left_open | tire_open, opened)
            if place.index == TIRE:
                tire_stand, tire_open = stand, left_open
            seen.append((place, stand, stand & ~left_open & place.seen, context))
        sure, entry, of_tire = seen[0][2], frame.entry, 0
        entered = frame.entered.get((sure & entry, tire_stand & entry))
        if entered is None:
            entered = frame.enter(sure, tire_stand)
        if not entered:
            return None
        found, known = list[PassedPlace](), self._numbers
        for (place, stand, sure, context), (parts, routing, alongs) in zip(seen, entered, strict=True):
            along = alongs.get((sure & routing, stand & routing))
            if along is None:
                along = alongs[sure & routing, stand & routing] = self._along(parts, place, sure, stand, hand)
            mark = of_tire, place.number, along.number, *context
            number = known.get(mark) or self.number(mark)
            of_tire = of_tire or number
            if parts:
                found.append((along, place, stand, sure, number))
        return opened, found

    def _along(self, parts: tuple[Part, ...], place: PlaceInFrame, sure: int, stand: int, hand: CaseInHand) -> Along:
        """The ways through parts that a place leads along by these terms."""
        found = list[tuple[CodedWay, Part]]()
        for part in parts:
            routing, ways = self.judge.graph.routing[part.id], self.ways.setdefault(part.id, {})
            way = ways.get((sure & routing, stand & routing))
            if way is None:
                way = ways[sure & routing, stand & routing] = self._way(part, place, hand)
            found.append((way, part))
        number = self.number(tuple(way.number for way, _ in found))
        plain, perhaps, rest = (
            reduce(or_, map(of, (way for way, _ in found)), 0) for of in map(attrgetter, ("plain", "perhaps", "rest"))
        )
        return Along(number, tuple(found), plain, perhaps, rest, {}, {}, {}, {})

    def _see(
        self,
        frame: CaseFrame,
        place: PlaceInFrame,
        numbers: CaseNumbers,
        hand: CaseInHand,
        stand: int,
        left_open: int,
        opened: CaseNumbers,
    ) -> tuple[int, int]:
        """The terms that stand and those left open once all was looked at that some term hangs on."""
        for terms, numbers_of, known, group in place.groups or place.put_together(frame):
            if terms & stand:
                found = known.get(numbers_of(numbers) if numbers_of else group[0][1].key(numbers, hand))
                stays, maybe, marks = found or self._look_together(place, numbers_of, known, group, numbers, hand)
                for of_value, at, number in marks:
                    if of_value & stand:
                        opened[at] = number
                stand &= stays
                left_open |= maybe
        return stand, left_open

    def _look_together(
        self,
        place: PlaceInFrame,
        numbers_of: Callable[[CaseNumbers], Any] | None,
        kept: dict[Any, CodedValue],
        group: list[ValueHere],
        numbers: CaseNumbers,
        hand: CaseInHand,
    ) -> CodedValue:
        """What the values of a group come to; kept while none of them reads more than was known of it."""
        groups, stand, left_open, marks = place.groups, self.judge.graph.plan.every, 0, list[tuple[int, int, int]]()
        for each in group:
            value = each[1]
            stays, maybe, opened = value.known.get(value.key(numbers, hand)) or self._look(each, numbers, hand)
            stand &= stays
            left_open |= maybe
            marks += opened
        if len(group) > 1 and numbers_of and place.groups is groups:
            kept[numbers_of(numbers)] = stand, left_open, marks
            self.note(1)
            if len(kept) > MOST_OUTCOMES:
                place.groups = []
        return stand, left_open, marks

    def _look(self, of: ValueHere, numbers: CaseNumbers, hand: CaseInHand) -> CodedValue:
        terms, value, at, sight = of
        facts = hand.tire.part(*value.over_index)
        look, path = facts.look_and_path(value.name)
        if value.read(path):
            for place in value.frame.places:
                place.groups = []
        out, left_open = sight.marks(look[0])
        marks = ((terms, at, self.number((value.name, look[1], left_open))),) if look[1] else ()
        found = value.known[value.key(numbers, hand)] = self.judge.graph.plan.every & ~out, left_open, marks
        self.note(1)
        return found

    def _way(self, part: Part, place: PlaceInFrame, hand: CaseInHand) -> CodedWay:
        walk = hand.judged.walk
        way = _passage(walk, part, place).way
        plain = perhaps = rest = 0
        rulings = []
        for terms, ruling, _, stop in way.rulings:
            if ruling and not ruling.doubts:
                plain |= terms
                rulings.append((terms, self._put_together([self._sure(ruling, stop)])))
            else:
                rest |= terms
        rulings.sort(key=lambda each: (-each[1].verdict, each[1].place))
        for visit in self._perhaps(walk, part, place):
            for terms in visit.stop.terms:
                perhaps |= terms
        each = tuple(
            (
                self.judge.place(stop.node, ruling),
                terms,
                None if not ruling or ruling.doubts else self._sure(ruling, stop),
            )
            for terms, ruling, _, stop in way.entries
        )
        asked = tuple(stop.node.asks for stop, is_asked in way.stops if is_asked)
        number = self.number((part.id, asked, tuple(stop.node.asks for stop in (*way.must, *way.put_off))))
        return CodedWay(number, way, plain, perhaps, rest | perhaps, tuple(rulings), {}, {}, {}, {}, each)

    def _sure(self, ruling: Ruling, stop: Stop) -> Counted:
        return Counted(ruling, stop, _NO_FACTS, _NO_DOUBT, *self.judge.certainly(ruling))

    @staticmethod
    def _perhaps(walk: Walk, part: Part, place: PlaceInFrame) -> list[Visit]:
        return [each for each in walk.perhaps if _is_at(each.facts, place) and each.stop.node.part == part.id]

    def _counted(
        self, frame: CaseFrame, opened: CaseNumbers, places: list[PassedPlace], hand: CaseInHand
    ) -> AtOnce | None:
        """All that counts at these places put together; None where answers would have to be tried out."""
        every, now_open, doubtful = list[CountsForSure](), list[CountsForSure](), list[CountsInDoubt]()
        lacking, come = list[Key](), list[Verdict]()
        for passed in places:
            along, place, stand, sure, context = passed
            here = sure & along.plain
            holds, _ = along.sure.get(here) or self._sure_along(along, here)
            still = stand & (along.rest | holds.open_terms)
            hangs_on = along.hangs_on.get((still, place.number)) or self._hangs_on(along, place, still, frame, hand)
            key = still, sure & along.perhaps, holds.mixed, context, hangs_on(opened)
            open_here = along.doubtful.get(key) or self._doubt_along(places, passed, key, frame, opened, hand)
            every.append(holds)
            if open_here is not _NOTHING_OPEN:
                doubtful.append(open_here)
                now_open.append(open_here.now)
                lacking += open_here.lacking
                come += open_here.could
        certain = max([each.verdict for each in every])
        every += now_open
        now = max([each.verdict for each in every])
        first = min([each for each in every if each.verdict is now], key=_place)
        settled = (
            len(self.judge.could_end(come, certain, now, bool(lacking))) == 1 if come or lacking else certain is now
        )
        if not settled and len(set(lacking)) <= MOST_OPEN:
            return None
        ending, method = first.ending, ""
        if lacking and now < Verdict.HOLD and not settled:
            now, ending = Verdict.HOLD, self.rules.about.when_unanswered
        elif now is Verdict.REFER:
            method = self.judge.most_demanding(name for each in every for name in each.referred)
        elif now is Verdict.REPAIR:
            method, called = self._method(sure for _, place, _, sure, _ in places if place.over == OVER_INJURIES)
            if not method:
                return None
            ending = called or ending
        restrictions = _NONE_NAMED.union(*[each.restrictions for each in every if each.restrictions])
        said = self._restrictions.get(restrictions)
        if said is None:
            said = tuple(name for name in self.rules.restrictions if name in restrictions)
            self._restrictions[restrictions] = said
        missing = self._missing(places, doubtful, lacking) if doubtful or lacking else ()
        return AtOnce(now, ending, method, said, settled, missing)

    def _whole(self, frame: CaseFrame, opened: CaseNumbers, places: list[PassedPlace], hand: CaseInHand) -> Judgement:
        """The judgement of all that counts at these places."""
        tire, walk, alone = hand.tire, Walk(self.judge.graph, hand.tire), dict[int, InjuryVerdict]()
        ways = list[tuple[int, WayWhole, Facts, SeenHere]]()
        for passed in places:
            along, place, stand, sure, context = passed
            here = sure & along.plain
            holds, _ = along.sure.get(here) or self._sure_along(along, here)
            still = stand & (along.rest | holds.open_terms)
            hangs_on = along.hangs_on.get((still, place.number)) or self._hangs_on(along, place, still, frame, hand)
            key = still, sure & along.perhaps, holds.mixed, context, hangs_on(opened)
            whole = along.whole.get((here, key)) or self._whole_along(places, passed, key, frame, opened, hand)
            facts, seen = tire.part(place.over, place.index), SeenHere.of_terms(stand, sure)
            walk.seen[place.over, place.index] = seen
            if place.over == OVER_INJURIES:
                alone[place.index] = whole.alone.get(sure & self._of_methods) or self._alone(whole, facts, seen)
            ways += [(each.part, each, facts, seen) for each in whole.ways]
        ways.sort(key=itemgetter(0))
        counted, possible, missing = list[Counted](), list[Possible](), dict[Key, None]()
        for _, way, facts, seen in ways:
            walk.passages.append(Passage(facts, seen, way.way))
            counted += way.counted
            possible += way.in_doubt.come
            missing.update(dict.fromkeys(way.in_doubt.lacking))
        possible += [each for _, way, *_ in ways for each in way.in_doubt.perhaps]
        if possible or any(each.verdict for each in counted if each.doubt):
            walk.take_stock()
        else:
            walk.missing_keys, walk.lacking = tuple(missing), frozenset(missing)
        each = [alone.get(at) or self._not_walked(walk, at) for at in range(len(tire.case.injuries))]
        words = SaidByNumbers(self.judge, hand, [(way, facts) for _, way, facts, _ in ways])
        return self.judge.put_together(walk, counted, possible, tuple(each), words)

    def _not_walked(self, walk: Walk, index: int) -> InjuryVerdict:
        """What counts for an injury that no part is about."""
        return self.judge.injury_alone(index, (), (), lambda: walk.see(walk.tire.part(OVER_INJURIES, index)))

    def _whole_along(
        self,
        places: list[PassedPlace],
        passed: PassedPlace,
        key: tuple[int, int, int, int, Any],
        frame: CaseFrame,
        opened: CaseNumbers,
        hand: CaseInHand,
    ) -> AllHere:
        """All that counts at a place; kept where what counts in doubt is."""
        along, place, _, sure, _ = passed
        ways, kept = list[WayWhole](), True
        for way, part, of_way, in_doubt in self._each_in_doubt(places, passed, frame, opened, hand):
            found = way.whole.get((sure & way.plain, of_way)) or self._way_whole(
                way, part, place, frame, sure, in_doubt
            )
            ways.append(found)
            if of_way in way.doubtful:
                way.whole[sure & way.plain, of_way] = found
            else:
                kept = False
        together = AllHere(tuple(ways), {})
        if kept:
            along.whole[sure & along.plain, key] = together
            self.note(1)
        return together

    def _way_whole(
        self, way: CodedWay, part: Part, here: PlaceInFrame, frame: CaseFrame, sure: int, in_doubt: CountsInDoubt
    ) -> WayWhole:
        doubtful = {self.judge.place(each.stop.node, each.ruling): each for each in in_doubt.counted}
        counted, reasons = list[Counted](), list[tuple[LookedUp, Callable[[Facts], Reason]]]()
        for place, terms, certain in way.each:
            each = doubtful.get(place) or (certain if sure & terms else None)
            if each:
                counted.append(each)
                looked_up = frame.made_at(here.over, here.index, (place, each.doubt, each.ending, each.verdict))
                reasons.append((looked_up, partial(self.judge.reason_at, each)))
        self.note(1)
        return WayWhole(self._order[part.id], way.way, tuple(counted), in_doubt, tuple(reasons))

    def _alone(self, whole: AllHere, facts: Facts, seen: SeenHere) -> InjuryVerdict:
        own = [each for way in whole.ways for each in way.counted]
        lacking = [key for way in whole.ways for key in way.in_doubt.lacking]
        found = self.judge.injury_alone(facts.index, own, lacking, lambda: seen)
        whole.alone[seen.sure & self._of_methods] = found
        self.note(1)
        return found

    def _sure_along(self, along: Along, sure: int) -> tuple[CountsForSure, tuple[CountsForSure, ...]]:
        """What the rulings on all ways of a place bring that these terms make hold; and those on each."""
        each = tuple(way.sure.get(sure & way.plain) or self._for_sure(way, sure & way.plain) for way, _ in along.ways)
        as_one = each[0]
        if len(each) > 1:
            open_terms = reduce(or_, [holds.open_terms for holds in each])
            as_one = _as_one(each, open_terms, self.number(tuple([holds.mixed for holds in each])))
        found = along.sure[sure] = as_one, each
        self.note(1)
        return found

    def _doubt_along(
        self,
        places: list[PassedPlace],
        passed: PassedPlace,
        key: tuple[int, int, int, int, Any],
        frame: CaseFrame,
        opened: CaseNumbers,
        hand: CaseInHand,
    ) -> CountsInDoubt:
        """What counts in doubt on all ways of a place; kept where that on each was."""
        along = passed[0]
        each = list(self._each_in_doubt(places, passed, frame, opened, hand))
        found, kept = [in_doubt for *_, in_doubt in each], all(of_way in way.doubtful for way, _, of_way, _ in each)
        as_one = CountsInDoubt(
            _as_one([each.now for each in found]),
            frozenset[Verdict]().union(*(each.could for each in found)),
            tuple(chain.from_iterable(each.lacking for each in found)),
            tuple(chain.from_iterable(each.put_off for each in found)),
            frozenset[Key]().union(*(each.waits_for for each in found)),
        )
        as_one = _NOTHING_OPEN if as_one == _NOTHING_OPEN else as_one
        if kept:
            along.doubtful[key] = as_one
            self.note(1)
        return as_one

    def _each_in_doubt(
        self,
        places: list[PassedPlace],
        passed: PassedPlace,
        frame: CaseFrame,
        opened: CaseNumbers,
        hand: CaseInHand,
    ) -> Iterator[tuple[CodedWay, Part, object, CountsInDoubt]]:
        """What counts in doubt on each way of a place, by what that hangs on."""
        along, place, stand, sure, context = passed
        for (way, part), holds in zip(along.ways, along.sure[sure & along.plain][1], strict=True):
            still = stand & (way.rest | holds.open_terms)
            hangs_on = way.hangs_on.get((still, place.number))
            if hangs_on is None:
                read = self._read_in_doubt(way, place, part, still, frame, hand)
                hangs_on = way.hangs_on[still, place.number] = itemgetter(*read) if read else _nothing_read
            of_way = still, sure & way.perhaps, holds.mixed, context, hangs_on(opened)
            one = way, place, part, stand, sure
            yield way, part, of_way, way.doubtful.get(of_way) or self._in_doubt(places, one, of_way, hand)

    def _missing(self, places: list[PassedPlace], counts: list[CountsInDoubt], lacking: list[Key]) -> tuple[Key, ...]:
        """What is still to be answered, now or later."""
        put_off = [key for found in counts for key in found.put_off]
        if put_off:
            deciding = frozenset[Key]().union(*(found.waits_for for found in counts))
            lacking = [*lacking, *(key for key in put_off if key in deciding)]
        if not lacking:
            return ()
        wanted = frozenset(lacking)
        at = wanted, *[(id(along), place.index) for along, place, *_ in places]
        found = self._in_order.get(at)
        if found is None:
            keys, ways = self.judge.graph.keys, self._ways_of(places)
            met = [
                keys[stop.node.asks, here.index]
                for way, here, *_ in ways
                for stop, _ in way.way.stops
                if stop.node.asks
            ]
            found = self._in_order[at] = tuple(key for key in dict.fromkeys(met) if key in wanted)
            self.note(len(found))
        return found

    def _ways_of(self, places: list[PassedPlace]) -> list[Passed]:
        """The ways of all places, part by part."""
        ways = [(way, place, part, stand, sure) for along, place, stand, sure, _ in places for way, part in along.ways]
        in_order = [part.id for part, *_ in self.judge.graph.entries]
        return sorted(ways, key=lambda each: in_order.index(each[2].id))

    def _for_sure(self, way: CodedWay, sure: int) -> CountsForSure:
        """What the rulings bring that these terms make hold."""
        held = [each for each in way.rulings if sure & each[0]]
        left = reduce(or_, [terms for terms, _ in way.rulings if not sure & terms], 0)
        mixed = reduce(or_, [sure & terms for terms, _ in held if terms & left], 0)
        first = held[0][1] if held else _NOTHING
        restrictions = _NONE_NAMED.union(*[counts.restrictions for _, counts in held])
        referred = _NONE_NAMED.union(*[counts.referred for _, counts in held])
        found = CountsForSure(first.verdict, first.place, first.ending, restrictions, referred, left, mixed)
        way.sure[sure] = found
        self.note(1)
        return found

    def _in_doubt(
        self, places: list[PassedPlace], passed: Passed, key: tuple[int, int, int, int, Any], hand: CaseInHand
    ) -> CountsInDoubt:
        """What the judge says that counts on a way in doubt; kept unless it hangs on other places."""
        way, place, part, *_ = passed
        keys, perhaps = self.judge.graph.keys, key[0] & way.perhaps
        walk = hand.judged.walk if perhaps else hand.walk(self._ways_of(places))
        here, come = list[Counted](), list[Possible]()
        self.judge.on_passage(_passage(walk, part, place), walk, here, come)
        later = list[Possible]()
        if perhaps:
            of_part = (each for each in hand.judged.possible if self.rules.nodes[each.node].part == part.id)
            later += [each for each in of_part if each.index == place.index][len(come) :]
        facts = walk.tire.part(place.over, place.index)
        must, put_off = (
            [keys[stop.node.asks, place.index] for stop in each] for each in (way.way.must, way.way.put_off)
        )
        open_here = self._open_here(way, place, part, key[0], hand)
        hangs_on = [facts.opened[test] for _, test in open_here] + [each.keys for each in (*come, *later)]
        kept = all(self._is_here(each, place) for opened in hangs_on for each in opened)
        in_doubt = [each for each in here if each.doubt]
        found = CountsInDoubt(
            self._put_together(in_doubt),
            frozenset[Verdict]().union(*(each.verdicts for each in (*come, *later))),
            tuple(each for each in must if each in walk.lacking),
            tuple(each for each in put_off if walk.tire.answer_at(each) is None),
            frozenset[Key]().union(*(each.keys for each in (*come, *later))),
            tuple(Counted(c.ruling, c.stop, _NO_FACTS, c.doubt, c.ending, c.verdict) for c in in_doubt),
            tuple(come),
            tuple(later),
        )
        if kept and not any(absorbs(ruling.when) for ruling, _ in open_here):
            way.doubtful[key] = found
            self.note(1)
        return found

    def _open_here(
        self, way: CodedWay, place: PlaceInFrame, part: Part, still: int, hand: CaseInHand
    ) -> list[tuple[Ruling, Test]]:
        """The rulings that these terms could leave open, those too that are only perhaps met."""
        found = [(ruling, test) for terms, ruling, test, _ in way.way.rulings if ruling and still & terms]
        for visit in self._perhaps(hand.judged.walk, part, place) if still & way.perhaps else ():
            found += [each for terms, each in zip(visit.stop.terms, visit.stop.rulings, strict=True) if still & terms]
        return found

    def _hangs_on(
        self, along: Along, place: PlaceInFrame, still: int, frame: CaseFrame, hand: CaseInHand
    ) -> Callable[[CaseNumbers], Any]:
        """Takes of what leaves values open that which rulings look at that are open by these terms."""
        read = {at for way, part in along.ways for at in self._read_in_doubt(way, place, part, still, frame, hand)}
        found = along.hangs_on[still, place.number] = itemgetter(*sorted(read)) if read else _nothing_read
        self.note(1)
        return found

    def _read_in_doubt(
        self, way: CodedWay, place: PlaceInFrame, part: Part, still: int, frame: CaseFrame, hand: CaseInHand
    ) -> list[int]:
        rulings = self._open_here(way, place, part, still, hand)
        names = {leaf.subject for ruling, _ in rulings for leaf in leaves(ruling.when)}
        if still & way.perhaps:
            stops = (stop for stop in self.judge.graph.stops.values() if stop.node.part == part.id)
            names |= {leaf.subject for stop in stops for edge in stop.node.next for leaf in leaves(edge.when)}
        here = [("tire", TIRE), (place.over, place.index)]
        return sorted({n for name in names for p in here if (n := frame.values.get((name, p))) is not None})

    def _is_here(self, key: Key, place: PlaceInFrame) -> bool:
        over = self.rules.over_of(key[0])
        return over == "tire" or (over == place.over and key[1] == place.index)

    def _put_together(self, counted: list[Counted]) -> CountsForSure:
        now = worst(counted)
        first = self.judge.first_of(counted, now)
        return CountsForSure(
            now,
            (int(bool(first.doubt)), self.judge.place(first.stop.node, first.ruling)) if first else _NOWHERE,
            first.ending if first else "",
            frozenset(name for each in counted for name in each.restrictions),
            frozenset(self.rules.endings[each.ending].method for each in counted if each.verdict is Verdict.REFER),
        )

    def _method(self, injuries: Iterable[int]) -> tuple[str, str]:
        """The method for injuries at which these terms hold, and its ending; none where one of them has none."""
        methods = self.judge.methods
        names = tuple(methods.first(sure) for sure in injuries)
        if not names or not all(names):
            return "", ""
        found = self._methods.get(names)
        if found is None:
            each = [InjuryVerdict(0, Verdict.REPAIR, "", name, ()) for name in names]
            method, _ = methods.most_demanding(each)
            found = self._methods[names] = method, methods.ending_of(method)
        return found


def _as_one(every: Sequence[CountsForSure], open_terms: int = 0, mixed: int = 0) -> CountsForSure:
    """What several bring together."""
    now = max([each.verdict for each in every])
    first = min([each for each in every if each.verdict is now], key=_place)
    restrictions = _NONE_NAMED.union(*[each.restrictions for each in every])
    referred = _NONE_NAMED.union(*[each.referred for each in every])
    return CountsForSure(now, first.place, first.ending, restrictions, referred, open_terms, mixed)


def _passage(walk: Walk, part: Part, place: PlaceInFrame) -> Passage:
    return next(e for e in walk.passages if _is_at(e.facts, place) and e.way.stops[0][0].node.part == part.id)


def _is_at(facts: Facts, place: PlaceInFrame) -> bool:
    return facts.over == place.over and facts.index == place.index


#: Behind every place, those of rulings in doubt too.
_NOWHERE = 2, 0
_place = attrgetter("place")
_NONE_NAMED = frozenset[str]()
_NO_DOUBT = frozenset[Key]()
#: What counts where no ruling holds.
_NOTHING = CountsForSure(worst([]), _NOWHERE, "", _NONE_NAMED, _NONE_NAMED)
_NOTHING_OPEN = CountsInDoubt(_NOTHING, frozenset(), (), (), frozenset())
_CHOICES = (inputs.CHOICE, inputs.CHOICES)
#: What a ruling brings for certain hangs on no facts.
_NO_FACTS: Any = None


class SaidByNumbers(Struct, frozen=True):
    """What the judge adds to a judgement by numbers when somebody asks for it."""

    judge: Judge
    hand: CaseInHand
    ways: Sequence[tuple[WayWhole, Facts]]

    def reasons(self, judgement: Judgement) -> tuple[Reason, ...]:
        """All that counts, in words, those too that only warn."""
        found = list[Reason]()
        for way, facts in self.ways:
            found += self.hand.all_remembered(way.reasons, facts)
        return tuple(found)

    def cautions(self, judgement: Judgement) -> tuple[str, ...]:
        """The cautions that count, by name."""
        return self.judge.cautions(judgement)

    def later(self, judgement: Judgement) -> tuple[Key, ...]:
        """The needed answers that are not asked for yet."""
        return self.judge.later(judgement)

    def sharper(self, judgement: Judgement) -> tuple[Verdict, ...]:
        """The verdicts that can still be reached."""
        return self.judge.sharper(judgement)


class ByNumbers:
    """Says at once what stands of a case, by the limits of its day."""

    def __init__(self, judge: Judge) -> None:
        self._judge, self._of_days = judge, dict[int, CodedJudge]()

    def _of(self, case: Case) -> CodedJudge:
        judge = self._judge.on(case.today)
        return self._of_days.get(id(judge)) or self._of_days.setdefault(id(judge), CodedJudge(judge))

    def at_once(self, case: Case) -> AtOnce | None:
        """What stands of a case; None where it takes the whole judge to say."""
        coded = self._of(case)
        with coded.lock:
            return coded.judged(case)

    def whole(self, case: Case) -> Judgement | None:
        """The judgement of a case, whose words are looked up by numbers too; None where it takes the whole judge."""
        coded = self._of(case)
        with coded.lock:
            return coded.whole(case)
