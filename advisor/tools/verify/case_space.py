"""Every fact that a rule set's conditions look at, in groups that answers decide apart from each other.

A group is a set of questions with the values worked out of them. Its states are what the conditions can see of it,
each with the fewest answers that bring it about. Tests are held against states by the engine's own code, once for
each test and state; everything else is built on those outcomes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import product

from advisor.engine.conditions import Test, compiled
from advisor.engine.derived.registry import CALLS, FUNCTIONS
from advisor.engine.facts import NOT_APPLICABLE, Facts, Tables, Value
from advisor.model.case import Answer, Choice, Key
from advisor.model.quantity import exactly
from advisor.model.ruleset import Condition, Leaf, Limit, RuleSet, leaves
from advisor.tools.verify.abstractions import FREE, Assumed, assumed_of
from advisor.tools.verify.boundary_values import CONTEXT, INPUTS, answers_for
from advisor.tools.verify.partitions import FactorLook, Looks, State, case_with, outcome_of


class Space:
    """The groups of a rule set and their states, each worked out when first needed.

    `also` is another rule set at whose limits measures are cut as well, so that both can be compared.
    """

    def __init__(self, rules: RuleSet, also: RuleSet | None = None) -> None:
        self.rules = rules
        self.tables = Tables(rules, CALLS)
        self.tested: dict[str, dict[Leaf, None]] = {}
        for condition in every_condition(rules):
            for leaf in leaves(condition):
                self.tested.setdefault(leaf.subject, {})[leaf] = None
        self.other = Space(also) if also is not None else None
        must = (node for node in rules.nodes.values() if not (node.optional or node.unless or node.instead))
        self.optional = set(rules.questions) - {node.asks for node in must}
        self.home: dict[str, int] = {}
        self.groups, self.group_of = self._grouped()
        self._assumed: dict[int, Assumed] = {}
        self._rows: dict[int, list[tuple[State, int]]] = {}
        self._states: dict[int, list[State]] = {}
        self._outcomes: dict[Leaf, list[object]] = {}
        self._turned: dict[tuple[int, int], tuple[bool, ...]] = {}

    def inputs(self, name: str) -> tuple[str, ...]:
        """The questions that a name rests on."""
        if name in self.rules.questions:
            return (name,)
        known = INPUTS.get(self.rules.values[name].function, ())
        return tuple(question for question in map(self.rules.question_now, known) if question in self.rules.questions)

    def resting_on(self, question: str) -> list[str]:
        """The tested names that rest on a question."""
        number = self.home.get(question, -1)
        return [name for name in self.groups[number] if question in self.inputs(name)] if number >= 0 else []

    def _grouped(self) -> tuple[list[list[str]], dict[str, int]]:
        """Names that rest on a common question fall into one group."""
        home = self.home
        groups: list[list[str]] = []
        for name in self.tested:
            roots = self._roots(name)
            together = sorted({home[root] for root in roots if root in home})
            members = [name, *(each for number in together for each in groups[number])]
            for number in together:
                groups[number] = []
            groups.append(members)
            home.update(dict.fromkeys({root for each in members for root in self._roots(each)}, len(groups) - 1))
        return groups, {name: number for number, names in enumerate(groups) for name in names}

    def _roots(self, name: str) -> tuple[str, ...]:
        return self.inputs(name) or (f"free:{FREE.get(self.rules.values[name].function, name)}",)

    def numbers(self, names: Iterable[str]) -> tuple[int, ...]:
        """The groups that names lie in, each once, in order."""
        return tuple(sorted({self.group_of[name] for name in names if name in self.group_of}))

    def states(self, number: int) -> list[State]:
        """The states of a group that differ in what conditions see, each with the fewest answers."""
        if number not in self._states:
            self._gather(number)
        return self._states[number]

    def rows(self, number: int) -> list[tuple[State, int]]:
        """Every choice of sample answers to a group's questions, and the number of the state that it is in."""
        if number not in self._rows:
            self._gather(number)
        return self._rows[number]

    def _gather(self, number: int) -> None:
        places: dict[tuple[object, ...], int] = {}
        states: list[State] = []
        rows: list[tuple[State, int]] = []
        tests = [compiled(leaf, self.rules) for leaf in self._leaves(number)]
        for state in (*self._sampled(number), *(self.assumed(number).rows)):
            seen = self._seen(state, tests), self._turns(number, state)
            place = places.setdefault(seen, len(states))
            if place == len(states):
                states.append(state)
            elif state.real and (not states[place].real or len(state.answers) < len(states[place].answers)):
                states[place] = state
            rows.append((state, place))
        self._states[number], self._rows[number] = states, rows
        self._turned.update({(number, place): seen[1] for seen, place in places.items()})  # type: ignore[misc]
        for n, leaf in enumerate(self._leaves(number)):
            self._outcomes[leaf] = [seen[0][n] for seen in places]  # type: ignore[index]

    def kind_of(self, number: int, state: State) -> int:
        """The number of the state that a row is one of; -1 where none is like it."""
        tests = [compiled(leaf, self.rules) for leaf in self._leaves(number)]
        seen = self._seen(state, tests)
        return next((place for place, known in enumerate(self.states(number)) if self._seen(known, tests) == seen), -1)

    def place_of(self, number: int, state: State) -> int:
        """The number of the state that a row is one of; a new one where none was like it."""
        place = self.kind_of(number, state)
        if place >= 0:
            if not self._states[number][place].real:
                self._states[number][place] = state
            return place
        place = len(self._states[number])
        self._states[number].append(state)
        self._rows[number].append((state, place))
        self._turned[(number, place)] = self._turns(number, state)
        for leaf in self._leaves(number):
            self._outcomes[leaf].append(outcome_of(compiled(leaf, self.rules)(Looks(state.looks)), state))  # type: ignore[arg-type]
        return place

    def _seen(self, state: State, tests: list[Test]) -> tuple[object, ...]:
        """How every test comes out in a state, what can't be told in it, what is not answered, and if all is certain.

        Two rows for which all of this is the same are one state.
        """
        looks = Looks(state.looks)
        outcomes = (outcome_of(test(looks), state) for test in tests)  # type: ignore[arg-type]
        return (*outcomes, state.not_told, state.certain, state.silent)

    def outcomes(self, leaf: Leaf) -> list[object]:
        """How a test comes out in each state of its subject's group: True, False or open with names and silence."""
        self.states(self.group_of[leaf.subject])
        return self._outcomes[leaf]

    def turned(self, number: int, place: int) -> tuple[bool, ...]:
        """Which tests of a group's names come out otherwise under the other rule set; empty without one."""
        self.states(number)
        return self._turned.get((number, place), ())

    def _turns(self, number: int, state: State) -> tuple[bool, ...]:
        if self.other is None:
            return ()
        other = self.other
        shared = [leaf for leaf in self._leaves(number) if leaf in other.tested.get(leaf.subject, ())]
        facts = Facts(other.tables, case_with({**state.context, **state.answers}))
        overs = other.tables.overs
        theirs = Looks({leaf.subject: facts.part(overs[leaf.subject], 0).look(leaf.subject) for leaf in shared})
        mine = Looks(state.looks)
        pairs = ((compiled(leaf, self.rules), compiled(leaf, other.rules)) for leaf in shared)
        return tuple(outcome_of(one(mine), state) != outcome_of(two(theirs), state) for one, two in pairs)  # type: ignore[arg-type]

    def _leaves(self, number: int) -> list[Leaf]:
        return [leaf for name in self.groups[number] for leaf in self.tested[name]]

    def assumed(self, number: int) -> Assumed:
        """What is taken of a group's worked-out values beyond the sample answers: see `contracts`."""
        if number not in self._assumed:
            names = self.groups[number]
            self._assumed[number] = assumed_of(self.rules, self.tables, names, self._limits_of(names))
        return self._assumed[number]

    def _sampled(self, number: int) -> Iterator[State]:
        """Every choice of sample answers to a group's questions, as states; fewest answers first."""
        names = self.groups[number]
        questions = list(dict.fromkeys(root for name in names for root in self.inputs(name)))
        if not questions:
            yield from () if self.assumed(number).rows else self._free(names)
            return
        functions = [self.rules.values[name].function for name in names if name in self.rules.values]
        contexts = next((CONTEXT[function] for function in functions if function in CONTEXT), ({},))
        samples: list[list[Answer | None]] = [
            [*self._samples(question, names, functions), *([None] if question in self.optional else [])]
            for question in questions
        ]
        for row in product(*samples):
            for context in contexts:
                yield self.state(number, dict(zip(questions, row, strict=True)), context)

    def limits_of(self, name: str) -> list[Limit]:
        """The limits that a name is held against, in the other rule set too."""
        own = [self.rules.limits[leaf.operand[0]] for leaf in self.tested.get(name, ()) if _is_held(leaf)]
        return [*own, *(self.other.limits_of(name) if self.other is not None else ())]

    def _limits_of(self, names: Iterable[str]) -> list[Limit]:
        return [limit for name in names for limit in self.limits_of(name)]

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

    def state(self, number: int, row: Mapping[str, Answer | None], context: Mapping[str, Answer]) -> State:
        """What the conditions see of a group with these answers, None for a question that is left out."""
        given = self._placed({question: answer for question, answer in row.items() if answer is not None})
        behind = self._placed({question: answer for question, answer in context.items() if question not in row})
        facts = Facts(self.tables, case_with({**behind, **given}))
        looks = {name: facts.part(self.tables.overs[name], 0).look(name) for name in self.groups[number]}
        return State(looks, given, behind, silent=frozenset(q for q, answer in row.items() if answer is None))

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
        for limit in self.limits_of(name):
            figure = limit.figures[0]
            values += [exactly(figure.low + step, figure.unit) for step in (-1, 0, 1)]
        if function.quantity and not values:
            values = [exactly(1, function.unit)] if function.unit else []
        for value in (*values, NOT_APPLICABLE, None):
            keys: frozenset[Key] = frozenset({(name, -1)}) if value is None else frozenset()
            look: FactorLook = (value, keys)
            yield State({name: look}, {}, {}, False, frozenset({name}) if value is None else frozenset())


def _is_held(leaf: Leaf) -> bool:
    return leaf.test in ("beyond", "within")


def every_condition(rules: RuleSet) -> Iterator[Condition]:
    """Every condition that can decide something: of rulings, ways on, parts, unless and methods."""
    for node in rules.nodes.values():
        yield from (ruling.when for ruling in node.rulings)
        yield from (edge.when for edge in node.next if edge.when is not None)
        if node.unless is not None:
            yield node.unless
    yield from (part.when for part in rules.parts if part.when is not None)
    yield from (method.when for method in rules.methods.values() if method.when is not None)
    for question in rules.questions.values():
        yield from (each.when for each in question.not_ordered if each.when is not None)
    for node in rules.nodes.values():
        if node.asks:
            yield Leaf(node.asks, "known", ())
