"""Every fact that a rule set's conditions look at, in groups that answers decide apart from each other.

A group is a set of questions with the values worked out of them. Its states are what the conditions can see of it,
each with the fewest answers that bring it about. Conditions are held against states by the engine's own tests.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import product

from advisor.checks.placing import GAP_FUNCTIONS, gap_states
from advisor.checks.samples import CONTEXT, INPUTS, TODAY, answers_for
from advisor.engine.conditions import Test, compiled
from advisor.engine.facts import NOT_APPLICABLE, Facts, Tables, Value, is_certain
from advisor.engine.worked_out import CALLS, FUNCTIONS
from advisor.model.case import CANT_TELL, Answer, Case, Choice, Key
from advisor.model.rules import Condition, Leaf, Limit, RuleSet, leaves
from advisor.units import exactly

Look = tuple[Value | None, frozenset[Key]]
#: Answers by part (tire, earlier-repairs, injuries), index and question.
Answered = Mapping[tuple[str, int, str], Answer]


@dataclass(frozen=True, eq=False)
class State:
    """What the conditions see of a group, and answers that bring it about. `real` is False where none are known.

    `silent` holds the questions left unanswered in it.
    """

    looks: Mapping[str, Look]
    answers: Answered
    context: Answered
    real: bool = True
    silent: frozenset[str] = frozenset()

    @cached_property
    def certain(self) -> bool:
        """Whether nothing in it is open."""
        return all(is_certain(value) for value, _ in self.looks.values())


class Looks:
    """Stands in for the engine's facts: a condition asks it by name."""

    __slots__ = ("silent", "table")

    def __init__(self, table: Mapping[str, Look], silent: frozenset[str] = frozenset()) -> None:
        self.table, self.silent = table, silent

    def look(self, name: str) -> Look:
        """A value and the answers that leave it open; open where nothing was laid down."""
        return self.table.get(name) or (None, frozenset({(name, -1)}))

    def plus(self, state: State) -> Looks:
        """The same with the facts of a further group."""
        return Looks({**self.table, **state.looks}, self.silent | state.silent)


class Space:
    """The groups of a rule set and their states, each worked out when first needed."""

    def __init__(self, rules: RuleSet, also: RuleSet | None = None) -> None:
        self.rules = rules
        self.tables = Tables(rules, CALLS)
        self.tested: dict[str, dict[str, Limit]] = {}
        for condition in every_condition(rules):
            for leaf in leaves(condition):
                limits = self.tested.setdefault(leaf.subject, {})
                if leaf.test in ("beyond", "within"):
                    limits[leaf.operand[0]] = rules.limits[leaf.operand[0]]
        self.leaf_set = dict.fromkeys(leaf for each in every_condition(rules) for leaf in leaves(each))
        self.also = self._cut_also(also) if also is not None else {}
        self.other = Space(also) if also is not None else None
        self._turned: dict[int, tuple[bool, ...]] = {}
        self._both: dict[int, list[tuple[str, Test, Test]]] = {}
        self._kept_alive: list[State] = []
        must = (node for node in rules.nodes.values() if not (node.optional or node.unless or node.instead))
        self.optional = set(rules.questions) - {node.asks for node in must}
        self._states: dict[int, list[State]] = {}
        self._tests: dict[int, list[Test]] = {}
        self.groups, self.group_of = self._grouped()

    def _cut_also(self, other: RuleSet) -> dict[str, list[Limit]]:
        """Limits of another rule set by the names they are held against there: measures are cut at them too."""
        found: dict[str, list[Limit]] = {}
        for condition in every_condition(other):
            for leaf in leaves(condition):
                if leaf.test in ("beyond", "within") and leaf.subject in self.tested:
                    found.setdefault(leaf.subject, []).append(other.limits[leaf.operand[0]])
        return found

    def inputs(self, name: str) -> tuple[str, ...]:
        """The questions that a name rests on."""
        if name in self.rules.questions:
            return (name,)
        known = INPUTS.get(self.rules.values[name].function, ())
        return tuple(question for question in known if question in self.rules.questions)

    def _grouped(self) -> tuple[list[list[str]], dict[str, int]]:
        """Names that rest on a common question fall into one group."""
        home: dict[str, int] = {}
        groups: list[list[str]] = []
        for name in self.tested:
            roots = self.inputs(name) or (f"free:{self._free_kind(name)}",)
            together = sorted({home[root] for root in roots if root in home})
            members = [name, *(each for number in together for each in groups[number])]
            for number in together:
                groups[number] = []
            groups.append(members)
            every_root = {root for each in members for root in self.inputs(each) or (f"free:{self._free_kind(each)}",)}
            home.update(dict.fromkeys(every_root, len(groups) - 1))
        return groups, {name: number for number, names in enumerate(groups) for name in names}

    def _free_kind(self, name: str) -> str:
        return "gap" if self.rules.values[name].function in GAP_FUNCTIONS else name

    def numbers(self, names: Iterable[str]) -> list[int]:
        """The groups that names lie in, each once, in order."""
        return sorted({self.group_of[name] for name in names if name in self.group_of})

    def states(self, number: int) -> list[State]:
        """The states of a group that differ in what conditions see, fewest answers first."""
        found = self._states.get(number)
        if found is None:
            by_looks: dict[tuple[object, ...], State] = {}
            for state in self.rows(number):
                first = by_looks.setdefault(self.seen(number, state), state)
                if len(state.answers) < len(first.answers):
                    by_looks[self.seen(number, state)] = state
            found = self._states[number] = list(by_looks.values())
        return found

    def seen(self, number: int, state: State) -> tuple[object, ...]:
        """How every test of the group's names comes out in a state: what one state has in common with another."""
        tests = self._tests.get(number)
        if tests is None:
            tests = self._tests[number] = [compiled(leaf, self.rules) for leaf in self._leaves(number)]
        looks = Looks(state.looks)
        outcomes = tuple(_outcome(test(looks)) for test in tests)  # type: ignore[arg-type]
        outcomes += self.turned(number, state)
        return (*outcomes, tuple(value is CANT_TELL for value, _ in state.looks.values()), state.certain, state.silent)

    def turned(self, number: int, state: State) -> tuple[bool, ...]:
        """Which tests of the group's names come out otherwise under the other rule set; empty without one."""
        if self.other is None:
            return ()
        key = id(state)
        found = self._turned.get(key)
        if found is None:
            facts = Facts(self.other.tables, case_of({**state.context, **state.answers}))
            pairs = self._pairs(number)
            overs = self.other.tables.overs
            names = {name for name, _, _ in pairs}
            theirs = Looks({name: facts.part(overs[name], 0).look(name) for name in names})
            mine = Looks(state.looks)
            found = tuple(_outcome(one(mine)) != _outcome(two(theirs)) for _, one, two in pairs)  # type: ignore[arg-type]
            self._turned[key] = found
            self._kept_alive.append(state)
        return found

    def _pairs(self, number: int) -> list[tuple[str, Test, Test]]:
        """The tests of a group's names that both rule sets know, as each of them makes them."""
        found = self._both.get(number)
        if found is None and self.other is not None:
            shared = [leaf for leaf in self._leaves(number) if leaf in self.other.leaf_set]
            found = [(leaf.subject, compiled(leaf, self.rules), compiled(leaf, self.other.rules)) for leaf in shared]
            self._both[number] = found
        return found or []

    def _leaves(self, number: int) -> list[Leaf]:
        names = set(self.groups[number])
        return [leaf for leaf in self.leaf_set if leaf.subject in names]

    def rows(self, number: int) -> Iterator[State]:
        """Every choice of sample answers to a group's questions, as states; fewest answers first."""
        names = self.groups[number]
        if self._free_kind_of_group(names) == "gap":
            yield from gap_states(self.rules, self.tables, names, self._limits_of(names))
            return
        questions = list(dict.fromkeys(root for name in names for root in self.inputs(name)))
        if not questions:
            yield from self._free(names)
            return
        functions = [self.rules.values[name].function for name in names if name in self.rules.values]
        contexts = next((CONTEXT[function] for function in functions if function in CONTEXT), ({},))
        samples: list[list[Answer | None]] = [
            [*self._samples(question, names, functions), *([None] if question in self.optional else [])]
            for question in questions
        ]
        for row in product(*samples):
            for context in contexts:
                yield self._state(names, dict(zip(questions, row, strict=True)), context)

    def _free_kind_of_group(self, names: list[str]) -> str:
        return self._free_kind(names[0]) if names and not self.inputs(names[0]) else ""

    def _limits_of(self, names: Iterable[str]) -> list[Limit]:
        return [limit for name in names for limit in (*self.tested[name].values(), *self.also.get(name, ()))]

    def _samples(self, question: str, names: list[str], functions: list[str]) -> list[Answer]:
        resting = [name for name in names if question in self.inputs(name)]
        function = next((each for each in functions if each in ("zone", "zone-in-area", "cut-by-width")), "")
        limits = [*self._limits_of(resting), *self._figures_of(question, resting)]
        return answers_for(self.rules.questions[question], self.rules, limits, function)

    def _figures_of(self, question: str, names: list[str]) -> list[Limit]:
        """Limits that worked-out values take as figures of the question's own quantity."""
        quantity = self.rules.questions[question].quantity
        values = [self.rules.values[name] for name in names if name in self.rules.values]
        limits = [self.rules.limits[limit] for value in values for limit in value.figures.values()]
        return [limit for limit in limits if limit.worse and limit.figures[0].quantity == quantity]

    def _state(self, names: list[str], row: Mapping[str, Answer | None], context: Mapping[str, Answer]) -> State:
        given = self._placed({question: answer for question, answer in row.items() if answer is not None})
        behind = self._placed({question: answer for question, answer in context.items() if question not in row})
        facts = Facts(self.tables, case_of({**behind, **given}))
        looks = {name: facts.part(self.tables.overs[name], 0).look(name) for name in names}
        silent = frozenset(question for question, answer in row.items() if answer is None)
        return State(looks, given, behind, silent=silent)

    def _placed(self, answers: Mapping[str, Answer]) -> dict[tuple[str, int, str], Answer]:
        questions = self.rules.questions
        return {
            (questions[name].over, 0 if questions[name].over != "tire" else -1, name): answer
            for name, answer in answers.items()
            if name in questions
        }

    def _free(self, names: list[str]) -> Iterator[State]:
        """States of a value whose answers are not known here: each thing that its function can give."""
        (name,) = names
        function = FUNCTIONS[self.rules.values[name].function]
        values: list[Value | None] = [Choice(outcome) for outcome in function.outcomes]
        for limit in self.tested[name].values():
            figure = limit.figures[0]
            values += [exactly(figure.low + step, figure.unit) for step in (-1, 0, 1)]
        if function.quantity and not values:
            values = [exactly(1, function.unit)] if function.unit else []
        for value in (*values, NOT_APPLICABLE, None):
            keys = frozenset({(name, -1)}) if value is None else frozenset[Key]()
            yield State({name: (value, keys)}, {}, {}, False, frozenset({name}) if value is None else frozenset())

    def choices(self, numbers: Iterable[int], most: int = 40000) -> Iterator[tuple[State, ...]]:
        """Every choice of one state for each group; stops after `most`."""
        for count, chosen in enumerate(product(*(self.states(number) for number in numbers))):
            if count >= most:
                return
            yield chosen


def every_condition(rules: RuleSet) -> Iterator[Condition]:
    """Every condition that can decide something: of rulings, ways on, parts, unless and methods."""
    for node in rules.nodes.values():
        yield from (ruling.when for ruling in node.rulings)
        yield from (edge.when for edge in node.next if edge.when is not None)
        if node.unless is not None:
            yield node.unless
    yield from (part.when for part in rules.parts if part.when is not None)
    yield from (method.when for method in rules.methods.values() if method.when is not None)
    for node in rules.nodes.values():
        if node.asks and node.cant_tell.ending:
            yield _asked(node.asks)


def _asked(question: str) -> Condition:
    return Leaf(question, "known", ())


def _outcome(state: bool | frozenset[Key]) -> bool | None:
    return state if isinstance(state, bool) else None


def looks_of(states: Iterable[State]) -> Looks:
    """What conditions see where these states hold together."""
    table: dict[str, Look] = {}
    silent: frozenset[str] = frozenset()
    for state in states:
        table.update(state.looks)
        silent |= state.silent
    return Looks(table, silent)


def case_of(answers: Answered) -> Case:
    """A case with these answers."""
    case = Case(today=TODAY)
    for (over, index, question), answer in sorted(answers.items(), key=lambda item: item[0][:2]):
        case = case.with_answer(over, (question, index), answer)
    return case
