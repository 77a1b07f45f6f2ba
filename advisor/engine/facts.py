"""What is known of a case at one place: answers and worked-out values, and which answers leave a value open."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from datetime import date
from enum import Enum
from itertools import zip_longest
from typing import Any, Protocol, TypeVar

from msgspec import Struct
from msgspec.structs import replace

from advisor.model.case import CANT_TELL, TIRE, Answer, Answers, Case, Choice, Choices, Key, Readings, Text
from advisor.model.inputs import OVER_INJURIES, OVER_REPAIRS, OVERS
from advisor.model.quantity import Measure
from advisor.model.ruleset import Limit, Question, RuleSet, WorkedOut


class OneOf(Struct, frozen=True):
    """A worked-out choice in doubt: one of several, best first where they are ranked."""

    possible: tuple[str, ...]

    def __str__(self) -> str:
        return " or ".join(self.possible)


class NotApplicable(Enum):
    """A worked-out value that has no meaning in this case, such as the distance to a repair where there is none."""

    NOT_APPLICABLE = "not-applicable"


_YES = Choice("yes")
_NOTHING_OPEN: frozenset[Key] = frozenset()
_NO_ANSWERS: Answers = {}
_NOTHING: frozenset[str] = frozenset()
NOT_APPLICABLE = NotApplicable.NOT_APPLICABLE

#: Values of these kinds leave nothing open, whatever they are.
CERTAIN = frozenset({Choice, Text, NotApplicable})

Value = Answer | OneOf | NotApplicable
LimitFigures = Mapping[str, Limit]


def one_of(possible: set[str] | frozenset[str], ranked: tuple[str, ...]) -> Value | None:
    """The choice where only one is possible, else all of them in their order; None where none is."""
    names = tuple(name for name in ranked if name in possible)
    if not names:
        return None
    return Choice(names[0]) if len(names) == 1 else OneOf(names)


def is_certain(value: Value | None) -> bool:
    """Whether a value leaves nothing open."""
    if value.__class__ in CERTAIN:
        return True
    if isinstance(value, Measure):
        return value.exact
    if isinstance(value, Readings):
        return all(reading.exact for reading in value.readings)
    return isinstance(value, Choices) and value.complete


#: Something of a case that a function can read: an answer by its part, index and question; how many injuries or
#: earlier repairs there are (`count`); the day; what came of a step (`step`). What a case has there.
ReadAt = tuple[str, int, str]
ReadThere = Any
COUNT_SPOT, DAY_SPOT, STEP_SPOT = "count", "day", "step"
StepValue = TypeVar("StepValue")


class Trail:
    """Which answers a worked-out value has read; which of those are unknown or in doubt, or at odds with each other.

    `names`: what its function reads, by the name by which it knows it, where these rules name it otherwise.
    `path`: everything of the case that it read, in that order; what a step read is in `within` instead.
    """

    __slots__ = ("at_odds", "doubtful", "names", "path", "read", "within")

    def __init__(self, names: Mapping[str, str]) -> None:
        self.names = names
        self.path: dict[ReadAt, ReadThere] = {}
        self.within: dict[ReadAt, None] = {}
        self.read: dict[Key, None] = {}
        self.doubtful: dict[Key, None] = {}
        self.at_odds: dict[Key, None] = {}


class Remembered(Struct, frozen=True):
    """A worked-out value, what leaves it open, and all that was read for it: `path` and `within` as in `Trail`."""

    look: tuple[Value | None, frozenset[Key]]
    path: Mapping[ReadAt, ReadThere]
    within: Mapping[ReadAt, None]


class SharedStep:
    """What came of a step of several worked-out values, and what it adds to the trail of each; one object for each."""

    __slots__ = ("path", "trail", "value")

    def __init__(self, value: object, trail: Trail) -> None:
        self.value, self.trail, self.path = value, trail, trail.path


class Fork(Struct, frozen=True):
    """What a function reads next, and where each answer there leads."""

    spot: ReadAt
    place: Key
    ways: dict[ReadThere, Fork | Remembered | SharedStep]


class Memory:
    """Worked-out values by what was read for them, one question after another, as their functions read it.

    A function reads the same next where it has read the same before, so that every way leads to one value.
    """

    #: So many values are kept before all are let go.
    MOST = 50_000

    def __init__(self) -> None:
        self._first: dict[tuple[Hashable, int], Fork | Remembered | SharedStep] = {}
        self._steps: dict[object, SharedStep] = {}
        self.kept = 0

    def step(self, value: object, trail: Trail) -> SharedStep:
        """The one object for what comes of a step."""
        read = trail.path, trail.within, trail.read, trail.doubtful, trail.at_odds
        key = value, *(tuple(each) for each in read)
        return self._steps.setdefault(key, SharedStep(value, trail))

    def recall(self, name: Hashable, facts: Facts) -> Any:
        """What comes out here; None where it was never worked out for such answers."""
        found: Any = self._first.get((name, facts.index))
        parts = facts._parts
        while found.__class__ is Fork:
            home = parts.get(found.place)
            spot = found.spot
            found = found.ways.get(facts.at(spot) if home is None else home.answers.get(spot[2]))
        return found

    def keep(
        self, name: Hashable, index: int, path: Mapping[ReadAt, ReadThere], found: Remembered | SharedStep
    ) -> None:
        """Remembers a value by what was read for it."""
        if self.kept >= self.MOST:
            self._first.clear()
            self._steps.clear()
            self.kept = 0
        ways: dict[Any, Fork | Remembered | SharedStep] = self._first
        step: object = (name, index)
        for spot, answer in path.items():
            fork = ways.setdefault(step, Fork(spot, spot[:2], {}))
            if not isinstance(fork, Fork) or fork.spot != spot:
                return  # what is read next hangs on more than what was read: then it is worked out each time
            ways, step = fork.ways, answer
        ways[step] = found
        self.kept += 1


class Opened(dict[Callable[["Facts"], "bool | frozenset[Key]"], frozenset[Key]]):
    """The answers that leave each test open at one place; worked out when first asked for."""

    __slots__ = ("facts",)
    facts: Facts

    def __missing__(self, test: Callable[[Facts], bool | frozenset[Key]]) -> frozenset[Key]:
        state = test(self.facts)
        found = self[test] = _NOTHING_OPEN if isinstance(state, bool) else state
        return found


class RememberingCase(Protocol):
    """A case among many, which remembers what was made at its places for all of them."""

    def remembered(self, label: Hashable, facts: Facts, function: Callable[[Facts], StepValue], /) -> StepValue:
        """What a function gives at a place, remembered under a name by what it read."""
        ...

    def each_made(
        self, label: Hashable, facts: Facts, functions: Sequence[Callable[[Facts], StepValue]], /
    ) -> Sequence[StepValue]:
        """What each of some functions gives at a place, remembered in the same way."""
        ...


class CaseBefore:
    """A case judged before, and what is other in the next one: so all that nothing of it touches is taken over."""

    __slots__ = ("changed", "facts", "names", "subjects")

    def __init__(self, facts: Facts, case: Case, subjects: Mapping[Callable[[Facts], Any], frozenset[str]]) -> None:
        """`facts` of the tire in that case; `subjects`: what each test looks at."""
        self.facts, self.subjects = facts, subjects
        for part in facts._parts.values():
            part._before = None  # the case before that one is let go
        was = facts.case
        changed: set[ReadAt] = {(DAY_SPOT, TIRE, "")} if was.today != case.today else set()
        #: The names of what is other, by place.
        self.names: dict[Key, set[str]] = {}
        places = [("tire", TIRE, was.answers, case.answers)] if was.answers is not case.answers else []
        for over, old, new in (
            (OVER_REPAIRS, was.repairs, case.repairs),
            (OVER_INJURIES, was.injuries, case.injuries),
        ):
            if old is not new:
                changed.add((COUNT_SPOT, TIRE, over))
                pairs = zip_longest(old, new, fillvalue=_NO_ANSWERS)
                places += [(over, index, one, two) for index, (one, two) in enumerate(pairs)]
        for over, index, one, two in places:
            names = {name for name in {**one, **two} if one.get(name) is not two.get(name)}
            self.names[over, index] = names
            changed.update([(over, index, name) for name in names])
        self.changed = frozenset(changed)


class Facts:
    """The facts of one part of a case: of the tire, of one earlier repair or of one injury.

    `memo`: what was looked at, by name; `trails`: those of the values at work, the innermost last. `marked`: what the
    plan's conditions see of each name. `follows`: whether its case follows another one, of which it may take things
    over; `kept`: worked-out values taken over from that.
    """

    __slots__ = (
        "_affected", "_before", "_coded", "_kept", "_parts", "_recalled", "_steps", "_tables",
        "answers", "case", "follows", "index", "marked", "memo", "opened", "over", "trails",
    )  # fmt: skip

    def __init__(
        self,
        tables: Tables,
        case: Case,
        over: str = "tire",
        index: int = TIRE,
        parts: dict[Key, Facts] | None = None,
        trails: list[Trail] | None = None,
        before: CaseBefore | None = None,
        coded: RememberingCase | None = None,
    ) -> None:
        self._tables, self.case, self.over, self.index, self._before = tables, case, over, index, before
        self._coded = coded
        answers = case.answers if over == "tire" else case.of(over, max(index, 0))
        self.answers = answers if coded else tables.one_each(answers)
        self.memo: dict[str, tuple[Value | None, frozenset[Key]]] = {}
        self._recalled: dict[str, Remembered] = {}
        self._steps: dict[str, SharedStep] = {}
        self._parts: dict[Key, Facts] = {} if parts is None else parts
        self.trails: list[Trail] = [] if trails is None else trails
        self._parts[(over, index)] = self
        self.marked: dict[str, tuple[int, int]] = {}
        self.opened = Opened()
        self.opened.facts = self
        self._kept: dict[str, Remembered] = {}
        self._affected: frozenset[str] = frozenset()
        self.follows = before is not None
        if before is not None:
            self._take_over(before)

    def _take_over(self, before: CaseBefore) -> None:
        """Takes from the case before what no changed answer touches."""
        old, changed, values = before.facts._parts.get((self.over, self.index)), before.changed, self._tables.values_of
        home = None if self.over == "tire" else self._parts["tire", TIRE]
        if old is None:
            self._affected = self._tables.every_name
            return
        kept = self._kept
        for name, each in (old._kept | old._recalled).items():
            if changed.isdisjoint(each.path) and changed.isdisjoint(each.within):
                kept[name] = each
        here = before.names.get((self.over, self.index), _NOTHING)
        affected = (values[self.over] - kept.keys()) | here
        self._affected = affected if home is None else affected | home._affected
        self.marked = dict(old.marked)
        for name in affected & old.marked.keys():
            del self.marked[name]
        for test, keys in old.opened.items():
            if before.subjects[test].isdisjoint(self._affected):
                self.opened[test] = keys

    def take_up(self, names: Iterable[str]) -> None:
        """Takes up values that were known in the case before, as if they were looked at."""
        for name in names:
            kept = self._kept.get(name)
            if kept is not None:
                self.memo[name], self._recalled[name] = kept.look, kept

    def values(self) -> dict[str, Value | None]:
        """Every worked-out value of this part."""
        found: dict[str, Value | None] = {}
        for name in self._tables.values_of[self.over]:
            look, kept = self.memo.get(name), self._kept.get(name)
            if look is None and kept is not None:
                look = self.memo[name] = kept.look
                self._recalled[name] = kept
            found[name] = self.look(name)[0] if look is None else look[0]
        return found

    @property
    def rules(self) -> RuleSet:
        """The rule set in force."""
        return self._tables.rules

    @property
    def counts_as(self) -> Mapping[str, Value]:
        """What "can't tell" counts as, by question, where the rules say it."""
        return self._tables.counts_as

    @property
    def today(self) -> date | None:
        """The day on which the case is judged."""
        self._note((DAY_SPOT, TIRE, ""), self.case.today)
        return self.case.today

    def at(self, spot: ReadAt) -> ReadThere:
        """What the case has at a spot."""
        over, index, name = spot
        home = self._parts.get((over, index))
        if home is not None:
            return home.answers.get(name)
        if over is COUNT_SPOT:
            return self._count(name)
        if over is STEP_SPOT:
            return self._step(name, index)
        return self.case.today if over is DAY_SPOT else self.part(over, index).answers.get(name)

    def _note(self, spot: ReadAt, found: ReadThere) -> None:
        for trail in self.trails[-1:]:
            trail.path.setdefault(spot, found)

    def step(self, function: Callable[[Facts], StepValue]) -> StepValue:
        """What a function gives here that several worked-out values go by, remembered by what it read.

        For what leaves a value open it is as if the value's own function had read all that the step did.
        """
        names = self.trails[-1].names if self.trails else self._tables.names
        label = f"{function.__module__}.{function.__qualname__}"
        if names is not self._tables.names:
            label = f"{label} {id(names)}"
        self._tables.steps.setdefault(label, (function, self.over, names))
        found = self._step(label, self.index)
        for trail in self.trails[-1:]:
            self._take_step((STEP_SPOT, self.index, label), found, trail)
        return found.value  # type: ignore[return-value]

    def _take_step(self, spot: ReadAt, step: SharedStep, trail: Trail) -> None:
        inner = step.trail
        trail.path.setdefault(spot, step)
        trail.within.update(inner.within)
        trail.within.update(dict.fromkeys(inner.path))
        trail.read.update(inner.read)
        trail.doubtful.update(inner.doubtful)
        trail.at_odds.update(inner.at_odds)

    def _step(self, label: str, index: int) -> SharedStep:
        function, over, names = self._tables.steps[label]
        here = self if over == self.over and index == self.index else self.part(over, index)
        found = here._steps.get(label)
        if found is None:
            memory = self._tables.memory
            found = memory.recall(label, here)
            if found is None:
                trail = Trail(names)
                found = memory.step(here._followed(function, trail), trail)
                memory.keep(label, index, trail.path, found)
            here._steps[label] = found
        return found

    def _followed(self, function: Callable[[Facts], StepValue], trail: Trail) -> StepValue:
        """What a function gives here, with all that it reads on a trail."""
        self.trails.append(trail)
        try:
            return function(self)
        finally:
            self.trails.pop()

    def with_path(self, function: Callable[[Facts], StepValue]) -> tuple[StepValue, Mapping[ReadAt, ReadThere]]:
        """What a function gives here, and all that was read for it."""
        trail = Trail(self._tables.names)
        return self._followed(function, trail), trail.path

    def remembered(self, label: Hashable, function: Callable[[Facts], StepValue]) -> StepValue:
        """What a function gives here, remembered under a name by what it read."""
        if self.trails:
            return function(self)  # what it reads belongs to what is at work
        if self._coded is not None:
            return self._coded.remembered(label, self, function)
        memory = self._tables.memory
        found = memory.recall(label, self)
        if found is None:
            trail = Trail(self._tables.names)
            found = SharedStep(self._followed(function, trail), trail)
            memory.keep(label, self.index, trail.path, found)
        value: StepValue = found.value
        return value

    def each_made(self, label: Hashable, functions: Sequence[Callable[[Facts], StepValue]]) -> Sequence[StepValue]:
        """What each of some functions gives here; `label`: always the same for the same functions."""
        if self._coded is None or self.trails:
            return [function(self) for function in functions]
        return self._coded.each_made(label, self, functions)

    def _count(self, over: str) -> int:
        items = self.case.instances(over)
        return min(len(items), live_count(items, self._tables.more.get(over, "")))

    def part(self, over: str, index: int) -> Facts:
        """The facts of another part of the same case."""
        if over == "tire":
            index = TIRE
        found = self._parts.get((over, index))
        if found is None:
            found = Facts(self._tables, self.case, over, index, self._parts, self.trails, self._before, self._coded)
        return found

    def each(self, over: str) -> list[Facts]:
        """The facts of every injury or earlier repair that still counts."""
        count = self._count(over)
        self._note((COUNT_SPOT, TIRE, over), count)
        return [self.part(over, index) for index in range(count)]

    def named(self, name: str) -> str:
        """What a name stands for in these rules: for a function that is at work as its value says, else as it was."""
        return (self.trails[-1].names if self.trails else self._tables.names).get(name, name)

    def question(self, name: str) -> Question | None:
        """The question that a name stands for; None where these rules lack it."""
        return self.rules.questions.get(self.named(name))

    def key(self, question: str) -> Key:
        """The address of a question's answer as seen from here; a former id leads to where it is asked now."""
        return self._address(self.named(question))

    def _address(self, question: str) -> Key:
        return question, (self.index if self._tables.overs.get(question) != "tire" else TIRE)

    def keys_read(self) -> set[Key]:
        """The addresses of all answers of the case that were looked at so far."""
        questions = self._tables.rules.questions
        found = {part.key(name) for part in self._parts.values() for name in part.memo if name in questions}
        every = (each for part in self._parts.values() for each in part._recalled.values())
        spots = {spot for each in every for spot in (*each.path, *each.within)}
        return found | {(name, index) for over, index, name in spots if over in OVERS}

    def seen_at_each(self) -> Iterator[tuple[str, dict[str, Value | None]]]:
        """Each place of the case that was looked at: its part, its answers, and every value looked at there so far."""
        for part in self._parts.values():
            yield part.over, {**part.answers, **{name: value for name, (value, _) in part.memo.items()}}

    def worked_out(self, name: str) -> Remembered:
        """A worked-out value that belongs here, made anew, with all that was read for it."""
        return self._work_out(*self._tables.values[name])

    def look(self, name: str) -> tuple[Value | None, frozenset[Key]]:
        """A value (None when it isn't known) and the answers that leave it open."""
        if self.trails:
            return self._look(self.trails[-1].names.get(name, name))
        found = self.memo.get(name)
        if found is None:
            found = self._first_look(name)
            if found is None:
                return None, _NOTHING_OPEN
            self.memo[name] = found
        return found

    def _look(self, name: str) -> tuple[Value | None, frozenset[Key]]:
        found = self.memo.get(name)
        if found is None:
            found = self._first_look(name)
            if found is None:
                return None, _NOTHING_OPEN
            self.memo[name] = found
        if self.trails:
            self._leave_trail(name, found)
        return found

    def _first_look(self, name: str) -> tuple[Value | None, frozenset[Key]] | None:
        """What is to be remembered of a name; None where these rules lack it, or another injury or repair has it."""
        tables = self._tables
        home = tables.overs.get(name)
        if home is None and name in tables.names:
            return self._look(tables.names[name])
        if home != self.over:
            return self.part("tire", TIRE)._look(name) if home == "tire" else None
        worked_out = tables.values.get(name)
        if worked_out is None:
            value: Value | None = self.answers.get(name)
            if value is CANT_TELL:
                value = tables.counts_as.get(name, value)
            certain = value.__class__ in CERTAIN or (value is not None and is_certain(value))
            return value, _NOTHING_OPEN if certain else frozenset({(name, self.index)})
        known = (self._kept and self._kept.get(name)) or tables.memory.recall(name, self)
        if known is None:
            known = self._work_out(*worked_out)
            tables.memory.keep(name, self.index, known.path, known)
        self._recalled[name] = known
        look: tuple[Value | None, frozenset[Key]] = known.look
        return look

    def look_and_path(self, name: str) -> tuple[tuple[Value | None, frozenset[Key]], Mapping[ReadAt, ReadThere]]:
        """A worked-out value of this part as `look` gives it, and all that was read for it."""
        return self.look(name), self._recalled[name].path

    def get(self, name: str) -> Value | None:
        """A value, or None when it isn't known; "can't tell" comes back as it is."""
        return self.look(name)[0]

    def said(self, question: str) -> Answer | None:
        """The answer as it was given, wherever it belongs; None when there is none."""
        question = self.named(question)
        over = self._tables.overs.get(question, self.over)
        home = self if over == self.over else self.part("tire", TIRE)
        answer = home.answers.get(question)
        self._note((home.over, home.index, question), answer)
        return answer

    def answer_at(self, key: Key) -> Answer | None:
        """The answer at an address of the case, as it was given."""
        over = self._tables.overs[key[0]]
        answer = self.case.get(over, key)
        self._note((over, key[1], key[0]), answer)
        return answer

    def measure(self, name: str) -> Measure | None:
        """A value where it is a measure, else None."""
        value = self.get(name)
        return value if isinstance(value, Measure) else None

    def _work_out(self, worked_out: WorkedOut, figures: LimitFigures, names: Mapping[str, str]) -> Remembered:
        trail, function = Trail(names), self._tables.functions[worked_out.function]
        value = self._followed(lambda facts: function(facts, figures), trail)
        doubtful = () if is_certain(value) else trail.at_odds or trail.doubtful or trail.read
        return Remembered((value, frozenset(doubtful)), trail.path, trail.within)

    def at_odds(self, *questions: str) -> None:
        """Says that these answers do not go together, so that the value being worked out is in doubt for them."""
        for trail in self.trails[-1:]:
            trail.at_odds.update({self.key(question): None for question in questions})

    def _leave_trail(self, name: str, found: tuple[Value | None, frozenset[Key]]) -> None:
        trail = self.trails[-1]
        if name in self._tables.rules.questions:
            trail.read[self._address(name)] = None
            home = self if self._tables.overs[name] == self.over else self.part("tire", TIRE)
            trail.path.setdefault((home.over, home.index, name), home.answers.get(name))
        else:
            home = self if name in self._recalled else self.part("tire", TIRE)
            recalled = home._recalled.get(name)
            if recalled is not None:
                for spot, answer in recalled.path.items():
                    trail.path.setdefault(spot, answer)
                trail.within.update(recalled.within)
        for key in found[1]:
            trail.read[key] = None
            trail.doubtful[key] = None


def live_count(items: Sequence[Answers], more: str) -> int:
    """How many injuries or earlier repairs there are: each but the first needs a "yes, one more" before it."""
    if not more:
        return len(items)
    for index, answers in enumerate(items):
        if answers.get(more) != _YES:
            return index + 1
    return len(items) + 1 if items else 0


class Tables:
    """What facts look up again and again, made once for a rule set."""

    def __init__(self, rules: RuleSet, functions: Mapping[str, Callable[[Facts, LimitFigures], Value | None]]) -> None:
        self.rules = rules
        self.functions = functions
        self.memory = Memory()
        self.steps: dict[str, tuple[Callable[[Facts], object], str, Mapping[str, str]]] = {}
        self._known: dict[object, Measure] = {}
        self.names = rules.names_now
        self.overs = {name: rules.over_of(name) for name in (*rules.questions, *rules.values)}
        self.values_of = {over: frozenset([n for n, v in rules.values.items() if v.over == over]) for over in OVERS}
        self.every_name = frozenset(self.overs)
        self.values: dict[str, tuple[WorkedOut, LimitFigures, Mapping[str, str]]] = {
            name: (
                value,
                {argument: rules.limits[limit] for argument, limit in value.figures.items()},
                {**self.names, **value.reads} if value.reads else self.names,
            )
            for name, value in rules.values.items()
        }
        self.more = {part.over: part.more for part in rules.parts if part.more}
        self.counts_as = {
            node.asks: _counted(rules.questions[node.asks], node.cant_tell.counts_as)
            for node in rules.nodes.values()
            if node.asks and node.cant_tell.counts_as
        }

    def one_each(self, answers: Answers) -> Answers:
        """The answers with one object for each measure, however often it comes: so it is found by being the same."""
        if len(self._known) > Memory.MOST:
            self._known.clear()
        same = dict(answers)
        for name, each in answers.items():
            if each.__class__ is Measure:
                low, high, unit, typed = each.low, each.high, each.unit, each.typed
                ends = low.as_integer_ratio(), None if low is high else high.as_integer_ratio()
                same[name] = self._known.setdefault((*ends, unit, typed), each)
        return same


def _counted(question: Question, says: str) -> Value:
    """What "can't tell" counts as at a question: a choice or a measure."""
    if not question.quantity:
        return Choice(says)
    from advisor.model.quantity import read_measure

    return replace(read_measure(says, question.quantity), typed=f"{says} (not known)")
