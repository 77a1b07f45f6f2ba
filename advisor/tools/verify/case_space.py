"""Every fact that a rule set's conditions look at, in groups that answers decide apart from each other.

A group is a set of questions with the values worked out of them. Its states are what the conditions can see of it,
each with the fewest answers that bring it about. Tests are held against states by the engine's own code, once for
each test and state; everything else is built on those outcomes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import product

import msgspec

from advisor.engine.condition_plan import Plan
from advisor.engine.conditions import compiled
from advisor.engine.derived.registry import CALLS, FUNCTIONS
from advisor.engine.facts import NOT_APPLICABLE, Facts, Tables, Value
from advisor.loader.cache import seal_over
from advisor.loader.ruleset_codec import exact_text
from advisor.model.case import Answer, Choice, Choices, Key
from advisor.model.quantity import exactly
from advisor.model.ruleset import Condition, Leaf, Limit, Question, RuleSet, leaves
from advisor.tools.verify.abstractions import FREE, Assumed, assumed_of
from advisor.tools.verify.boundary_values import BESIDE_PRINT, CONTEXT, INPUTS, answers_for, set_pressures
from advisor.tools.verify.kept_states import KeptPair, KeptStates, state_seen
from advisor.tools.verify.partitions import FactorLook, Looks, State, case_with, outcome_of


class Space:
    """The groups of a rule set and their states, each worked out when first needed.

    `paired` makes two that share groups and states: each state is told apart by what either rule set sees in it.
    """

    def __init__(self, rules: RuleSet, kept: KeptStates | None = None) -> None:
        """`kept` is what is remembered of states."""
        self.rules, self._kept = rules, kept
        self.tables, self.plan = Tables(rules, CALLS), Plan(rules)
        self.tested: dict[str, dict[Leaf, None]] = {}
        for condition in every_condition(rules):
            self.plan.terms(condition)
            for leaf in leaves(condition):
                self.tested.setdefault(leaf.subject, {})[leaf] = None
        must = (node for node in rules.nodes.values() if not (node.optional or node.unless or node.instead))
        self.optional = set(rules.questions) - {node.asks for node in must}
        self._assumed: dict[int, Assumed] = {}
        self._rows: dict[int, list[tuple[State, int]]] = {}
        self._states: dict[int, list[State]] = {}
        self._kinds: dict[int, dict[tuple[object, ...], int]] = {}
        self._outcomes: dict[Leaf, list[object]] = {}
        self._tested: dict[tuple[str, FactorLook | None, frozenset[str]], list[object]] = {}
        self._alike: tuple[Space, bool] | None = None
        self._keys: dict[int, str] = {}
        self._seen_as: dict[int, bytes] = {}
        self._instead: list[tuple[int, int, State]] = []
        self._added: dict[int, list[tuple[State, int]]] = {}
        self._share((self,))

    def _share(self, sides: tuple[Space, ...], like: Space | None = None) -> None:
        self.sides, self._like = sides, like
        #: The mildest answer to each question, once it is known.
        self.mild: dict[str, Answer] = {}
        self.groups, self.home = _grouped(sides)
        self.group_of = {name: number for number, names in enumerate(self.groups) for name in names}

    def inputs(self, name: str) -> tuple[str, ...]:
        """The questions that a name rests on."""
        if name in self.rules.questions:
            return (name,)
        value = self.rules.values.get(name)
        if value is None:
            return ()
        known = (self.rules.read_by(value, each) for each in INPUTS.get(value.function, ()))
        return tuple(question for question in known if question in self.rules.questions)

    def resting_on(self, question: str) -> list[str]:
        """The tested names that rest on a question."""
        number = self.home.get(question, -1)
        return [name for name in self.groups[number] if question in self.inputs(name)] if number >= 0 else []

    def roots(self, name: str) -> tuple[str, ...]:
        """What a name rests on, whatever is free under a name of its own; nothing where it is not known here."""
        value = self.rules.values.get(name)
        free = () if value is None else (f"free:{FREE.get(value.function, name)}",)
        return self.inputs(name) or free

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
        self.states(number)
        if number not in self._rows:
            self._rows[number] = [*self._made_anew.rows(number), *self._added.get(number, ())]
        return self._rows[number]

    def _gather(self, number: int) -> None:
        like = self._like
        if like is not None and all(side.sees_as(like, number) for side in self.sides):
            for side in self.sides:
                side._rows[number], side._states[number] = list(like.rows(number)), list(like.states(number))
                side._outcomes.update({leaf: list(like.outcomes(leaf)) for leaf in side._leaves(number)})
            return
        key = self._key(number)
        if self._kept is not None and (found := self._kept.recalled(key, self._known(number))) is not None:
            self._states[number], self._seen_as[number] = found.states, found.seen
            self._outcomes.update(zip(self._leaves(number), found.outcomes, strict=True))
            self._kinds[number] = {
                ((tuple(lot[place] for lot in found.outcomes), state.not_told, state.certain, state.silent),): place
                for place, state in enumerate(self._states[number])
            }
            return
        places: dict[tuple[object, ...], int] = {}
        for side in self.sides:
            side._states[number], side._rows[number], side._kinds[number] = [], [], places
        for row in self._every_row(number):
            seen = self._seen_by_all(number, row)
            place = places.setdefault(seen, len(places))
            for side, state in zip(self.sides, row, strict=True):
                side._put(number, place, state)
        for n, side in enumerate(self.sides):
            for m, leaf in enumerate(side._leaves(number)):
                side._outcomes[leaf] = [seen[n][0][m] for seen in places]  # type: ignore[index]
        if self._kept is not None:
            outcomes = [self._outcomes[leaf] for leaf in self._leaves(number)]
            self._seen_as[number] = self._kept.keep(key, self._known(number), self._states[number], outcomes)

    def pairs(self, number: int, of: str, every: Callable[[], Iterable[KeptPair]]) -> Sequence[KeptPair]:
        """Pairs of a group's rows, found now where they are not remembered."""
        if self._kept is None or any(state.answers for state, _ in self._added.get(number, ())):
            return list(every())
        found = self._kept.pairs(self._key(number), of)
        if found is None:
            found = self._kept.keep_pairs(self._key(number), of, every())
        return found

    def seen_as(self) -> list[bytes] | None:
        """All that proofs see of the states, group by group, then of those put in later; None where it is not known."""
        if self._kept is None:
            return None
        numbers = [number for number, names in enumerate(self.groups) if names]
        for number in numbers:
            self.states(number)
        added = [(number, place, state) for number, each in self._added.items() for state, place in each]
        later = [
            (number, place, state_seen(state, self._outcomes_in(number, state)))
            for number, place, state in (*added, *self._instead)
        ]
        return [*(self._seen_as[number] for number in numbers), msgspec.json.encode(later)]

    def _key(self, number: int) -> str:
        """By what the states of a group are remembered; empty where nothing is."""
        if number not in self._keys:
            self._keys[number] = self._kept.key(self.hangs_on(number)) if self._kept is not None else ""
        return self._keys[number]

    def hangs_on(self, number: int) -> tuple[object, ...]:
        """All that the states of a group hang on."""
        held = {one.operand[0]: self.rules.limits[one.operand[0]] for one in self._leaves(number) if _is_held(one)}
        asked = {question for name in self.groups[number] for question in self.inputs(name)}
        return (
            self.groups[number],
            self._leaves(number),
            held,
            sorted(self.optional & asked),
            self._looked_up,
        )

    @cached_property
    def _made_anew(self) -> Space:
        """The same space without what is remembered, which tells states alone and no rows."""
        return Space(self.rules)

    @cached_property
    def _looked_up(self) -> str:
        return seal_over(
            msgspec.json.encode([_goes_by(self.rules), set_pressures(self.rules)], enc_hook=exact_text)
        ).hex()

    def sees_as(self, other: Space, number: int) -> bool:
        """Whether facts are looked up as in another space, and a group is of the same names, tests and figures there.

        Then its states are the same, whatever else the two rule sets say.
        """
        if self.groups[number] not in other.groups[number : number + 1] or not self._looks_up_as(other):
            return False
        leaves_here, names = self._leaves(number), self.groups[number]
        asked = {question for name in names for question in self.inputs(name)}
        return (
            leaves_here == other._leaves(number)
            and all(
                self.rules.limits[one.operand[0]] == other.rules.limits[one.operand[0]]
                for one in leaves_here
                if _is_held(one)
            )
            and self.optional & asked == other.optional & asked
        )

    def _looks_up_as(self, other: Space) -> bool:
        """Whether every answer and value comes out as in another space: all that facts and functions go by."""
        if self._alike is None or self._alike[0] is not other:
            self._alike = other, _goes_by(self.rules) == _goes_by(other.rules)
        return self._alike[1]

    def _put(self, number: int, place: int, state: State) -> None:
        """Adds a row to its state; the one with the fewest answers stands for it."""
        states = self._states[number]
        if place == len(states):
            states.append(state)
        elif state.real and (not states[place].real or len(state.answers) < len(states[place].answers)):
            states[place] = state
        if number in self._rows:
            self._rows[number].append((state, place))

    def kind_of(self, number: int, *row: State) -> int:
        """The number of the state that a row is one of, told for each side; -1 where none is like it."""
        self.states(number)
        places = self._kinds.get(number)
        if places is None:
            places = {}
            for place, states in enumerate(zip(*(side._states[number] for side in self.sides), strict=True)):
                places.setdefault(self._seen_by_all(number, states), place)
            for side in self.sides:
                side._kinds[number] = places
        return places.get(self._seen_by_all(number, row), -1)

    def _seen_by_all(self, number: int, row: Sequence[State]) -> tuple[object, ...]:
        return tuple([side._seen(number, state) for side, state in zip(self.sides, row, strict=True)])

    def place_of(self, number: int, *row: State) -> int:
        """The number of the state that a row is one of; a new one where none was like it."""
        place = self.kind_of(number, *row)
        new = place < 0
        if new:
            self._kinds[number][self._seen_by_all(number, row)] = len(self._states[number])
        for side, state in zip(self.sides, row, strict=True):
            if new:
                side._added.setdefault(number, []).append((state, len(side._states[number])))
                side._put(number, len(side._states[number]), state)
                for leaf, outcome in zip(side._leaves(number), side._outcomes_in(number, state), strict=True):
                    side._outcomes[leaf].append(outcome)
            elif not side._states[number][place].real:
                side._states[number][place] = state
                side._instead.append((number, place, state))
        return len(self._states[number]) - 1 if new else place

    def _seen(self, number: int, state: State) -> tuple[object, ...]:
        """How every test comes out in a state, what can't be told in it, what is not answered, and if all is certain.

        Two rows for which all of this is the same are one state.
        """
        return tuple(self._outcomes_in(number, state)), state.not_told, state.certain, state.silent

    def _outcomes_in(self, number: int, state: State) -> list[object]:
        """How every test of a group comes out in a state; each is held against each value once."""
        found: list[object] = []
        for name in self.groups[number]:
            if name in self.tested:
                look = state.looks.get(name)
                known = self._tested.get((name, look, state.silent))
                if known is None:
                    tests = [compiled(leaf, self.rules) for leaf in self.tested[name]]
                    known = [outcome_of(test(Looks(state.looks)), state) for test in tests]  # type: ignore[arg-type]
                    self._tested[name, look, state.silent] = known
                found += known
        return found

    def outcomes(self, leaf: Leaf) -> list[object]:
        """How a test comes out in each state of its subject's group: True, False or open with names and silence."""
        self.states(self.group_of[leaf.subject])
        return self._outcomes[leaf]

    def _leaves(self, number: int) -> list[Leaf]:
        return [leaf for name in self.groups[number] for leaf in self.tested.get(name, ())]

    def _known(self, number: int) -> list[str]:
        """The names of a group that this rule set has; in a pair the other may have more."""
        return [name for name in self.groups[number] if name in self.rules.questions or name in self.rules.values]

    def assumed(self, number: int) -> Assumed:
        """What is taken of a group's worked-out values beyond the sample answers: see `contracts`."""
        if self._kept is not None:
            return self._made_anew.assumed(number)
        if number not in self._assumed:
            names = self._known(number)
            self._assumed[number] = assumed_of(self.rules, self.tables, names, self._limits_of(names))
        return self._assumed[number]

    def _every_row(self, number: int) -> Iterator[tuple[State, ...]]:
        """Every choice of sample answers to a group's questions, as a state for each side; fewest answers first.

        Then what is assumed beyond the samples, which is the same to both where their values are.
        """
        yield from self._sampled(number)
        like = [[side.rules.values.get(name) for name in self.groups[number]] for side in self.sides]
        for side in self.sides if any(each != like[0] for each in like) else self.sides[:1]:
            yield from ((state,) * len(self.sides) for state in side.assumed(number).rows)

    def _sampled(self, number: int) -> Iterator[tuple[State, ...]]:
        sides = self.sides
        names = [(side, side._known(number)) for side in sides]
        questions = list(dict.fromkeys(root for side, own in names for name in own for root in side.inputs(name)))
        if not questions:
            free = () if any(side.assumed(number).rows for side in sides) else names
            yield from ((state,) * len(sides) for side, own in free if own for state in side._free(own))
            return
        functions = [
            side.rules.values[name].function for side, own in names for name in own if name in side.rules.values
        ]
        contexts = next((CONTEXT[function] for function in functions if function in CONTEXT), ({},))
        if len(sides) > 1:  # held together, two rule sets may differ in what print and answer leave open
            contexts += next((BESIDE_PRINT[function] for function in functions if function in BESIDE_PRINT), ())
        samples: list[list[Answer | None]] = [
            [
                *self._samples(question, names, functions),
                *([None] if any(question in s.optional for s in sides) else []),
            ]
            for question in questions
        ]
        for row in product(*samples):
            for context in contexts:
                yield tuple(side.state(number, dict(zip(questions, row, strict=True)), context) for side in sides)

    def limits_of(self, name: str) -> list[Limit]:
        """The limits that a name is held against, by either side."""
        return [
            side.rules.limits[leaf.operand[0]]
            for side in self.sides
            for leaf in side.tested.get(name, ())
            if _is_held(leaf)
        ]

    def _limits_of(self, names: Iterable[str]) -> list[Limit]:
        return [limit for name in names for limit in self.limits_of(name)]

    def _samples(
        self, question: str, names: Iterable[tuple[Space, list[str]]], functions: list[str]
    ) -> Iterable[Answer]:
        """The sample answers that every side which asks the question can take."""
        function = next((each for each in functions if each in ("zone", "zone-in-area", "cut-by-width")), "")
        found: dict[Answer, None] = {}
        asked = []
        for side, own in names:
            if question in side.rules.questions:
                resting = [name for name in own if question in side.inputs(name)]
                limits = [*self._limits_of(resting), *side._figures_of(question, resting)]
                asked.append(side.rules.questions[question])
                found |= dict.fromkeys(answers_for(asked[-1], side.rules, limits, function))
        return [answer for answer in found if all(_may_be_given(answer, each) for each in asked)]

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
        looks = {name: facts.part(self.tables.overs[name], 0).look(name) for name in self._known(number)}
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
        if function.without_units and not self.rules.units:
            yield from (State({name: (Choice(each), frozenset())}, {}, {}, False) for each in function.without_units)
            return
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


def paired(old: RuleSet, new: RuleSet, like: Space | None = None) -> tuple[Space, Space]:
    """The spaces of two rule sets as one: the same groups and states, the common refinement of both.

    `like`: the space of the old one paired with itself, whose states are taken where both see a group as it does.
    """
    sides = Space(old), Space(new)
    for side in sides:
        side._share(sides, like)
    return sides


def _goes_by(rules: RuleSet) -> tuple[object, ...]:
    """All of a rule set that answers, worked-out values and what is assumed of them go by; no condition is among it."""
    figures = {name for value in rules.values.values() for name in value.figures.values()}
    counts_as = {node.asks: node.cant_tell.counts_as for node in rules.nodes.values() if node.cant_tell.counts_as}
    more = [(part.over, part.more) for part in rules.parts]
    limits = {name: rules.limits[name] for name in sorted(figures)}
    return rules.questions, rules.values, limits, counts_as, more, rules.units, rules.names_now


def _grouped(sides: tuple[Space, ...]) -> tuple[list[list[str]], dict[str, int]]:
    """Names that rest on a common question fall into one group; and the group of each question."""
    home: dict[str, int] = {}
    groups: list[list[str]] = []
    roots = {
        name: tuple(dict.fromkeys(root for each in sides for root in each.roots(name)))
        for side in sides
        for name in side.tested
    }
    for name, own in roots.items():
        together = sorted({home[root] for root in own if root in home})
        members = [name, *(each for number in together for each in groups[number])]
        for number in together:
            groups[number] = []
        groups.append(members)
        home.update(dict.fromkeys({root for each in members for root in roots[each]}, len(groups) - 1))
    return groups, home


def _may_be_given(answer: Answer, question: Question) -> bool:
    """Whether a question has the choices of an answer."""
    names = {answer.id} if isinstance(answer, Choice) else answer.present if isinstance(answer, Choices) else ()
    return all(question.choice(name) is not None for name in names)


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
