"""A rule set made ready for all checks of its meaning, and the cases that show what they found."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any, Generic, TypeVar

import msgspec
from msgspec.structs import replace

from advisor.engine.evaluator import Judge
from advisor.engine.facts import Facts, is_certain
from advisor.engine.judgement_types import Judgement
from advisor.loader.kept_language import Remembers
from advisor.loader.ruleset_codec import rule_set_to_json
from advisor.model import inputs
from advisor.model.case import Case, Choice
from advisor.model.problems import Place, Problem
from advisor.model.ruleset import RuleSet
from advisor.tools.case_writer import case_text
from advisor.tools.verify.backtracking import Nearest, Wish, solutions
from advisor.tools.verify.baseline_case import BaselineAnswers, filled, mildest, quiet_answers, state_in
from advisor.tools.verify.boundary_values import TODAY
from advisor.tools.verify.case_space import Space
from advisor.tools.verify.dominance import Pair, assumed_pairs, pairs
from advisor.tools.verify.effects import Brings, Effect, Effects
from advisor.tools.verify.factors import Chosen, Local
from advisor.tools.verify.kept_states import KeptStates
from advisor.tools.verify.partitions import PRINT_ADDRESS, SIDEWALL_OF_CLASS, State, case_with

#: So many choices are given to the engine before one that it does not confirm is taken as none.
MOST_CASES = 40
#: So often a quiet case is looked at again after it was made quieter.
MOST_ROUNDS = 4
Breaks = Callable[[Effect, Brings], bool]
AnyLocal = TypeVar("AnyLocal", bound=Local[Any])


class Proof(Problem, frozen=True):
    """A problem with the case that shows it, as a case file that runs."""

    case: str = ""


class Bench:
    """A rule set made ready for all checks of its meaning: its facts, its effects, and a quiet case to start from."""

    def __init__(self, rules: RuleSet, space: Space | None = None, start: BaselineAnswers | None = None) -> None:
        """`start` is the quiet case of a bench that shares the space."""
        self.rules, self.space, self.judge = rules, space or Space(rules), Judge(rules)
        #: Whether a proof has asked the engine about a case, and so hangs on more than states.
        self.asked_engine = False
        #: The quiet case and the state of every group in it; `at_rest` also answers what it does not ask.
        self.answers = quiet_answers(rules, self.judge.graph, self.space, start)
        self.quiet = self._places()
        self.effects = Effects(self.space)
        for _ in range(MOST_ROUNDS):
            if not self._made_quieter():
                break
            self.quiet = self._places()
            self.effects = Effects(self.space)
        self._speaking()

    def renew(self) -> None:
        """Looks at the states again, where another bench that shares them has added some."""
        self.effects = Effects(self.space)
        self._speaking()

    def _speaking(self) -> None:
        self.at_rest = self._answered_beforehand()
        self.noisy = [each for each in self.effects.every if _speaks(each.at(self.at_rest))]
        self.speaking = Lookout(self.effects.touching, _speaks, self.at_rest)
        self.unanswered = Lookout(self.effects.unanswered, bool, self.at_rest)
        self._orders: dict[int, list[int]] = {}

    def _places(self) -> list[int]:
        """The state of every group in the quiet case."""
        case = case_with(self.answers)
        sides = [(side, Facts(side.tables, case)) for side in self.space.sides]
        return [
            self.space.place_of(n, *(state_in(side, n, self.answers, facts) for side, facts in sides)) if names else 0
            for n, names in enumerate(self.space.groups)
        ]

    def _made_quieter(self) -> bool:
        """Changes one group after another for the better where something speaks against a repair."""
        moved: dict[int, int] = {}
        for effect in self.effects.every:
            if effect.counts and _speaks(effect.at(self.quiet)):
                weight, number, place = min((step for n in effect.groups for step in self._steps(n)), default=(0, 0, 0))
                if weight < 0:
                    self.quiet[number] = moved[number] = place
        if moved:
            answers, _ = self._put_in([self.space.states(number)[place] for number, place in moved.items()])
            self.answers = filled(answers, self.rules, self.judge.graph, self.space)
        return bool(moved)

    def _answered_beforehand(self) -> list[int]:
        """The state of every group in the quiet case, what is not asked there taken as answered mildly.

        So would it be answered where it were asked, and a search begins with no question open.
        """
        given = {where[2]: answer for where, answer in self.answers.items()}
        at_rest = list(self.quiet)
        for number in {each.group for lot in self.effects.unanswered.values() for each in lot}:
            if self.space.states(number)[self.quiet[number]].silent:
                asked = (question for name in self.space.groups[number] for question in self.space.inputs(name))
                row = {name: given.get(name) or mildest(self.rules.questions[name], self.space) for name in asked}
                place = self.space.kind_of(number, *(side.state(number, row, {}) for side in self.space.sides))
                near = Nearest({number: place}, self.quiet)
                if place >= 0 and not any(_speaks(each.at(near)) for each in self.effects.touching.get(number, ())):
                    at_rest[number] = place
        return at_rest

    def _steps(self, number: int) -> Iterator[tuple[int, int, int]]:
        """How much more each real state of a group would speak against a repair, the group, and the state."""
        touching = self.effects.touching.get(number, ())
        now = _weight(touching, self.quiet)
        for place, state in enumerate(self.space.states(number)):
            if state.real and state.certain:
                yield _weight(touching, Nearest({number: place}, self.quiet)) - now, number, place

    def view(self) -> list[bytes] | None:
        """All that a proof goes by which asks the engine nothing; None where that is not known.

        The rules without the figures that values are held against, what is seen of states, and which of them are pairs.
        """
        seen, rules = self.space.seen_as(), self.rules
        if seen is None:
            return None
        figures = {name for value in rules.values.values() for name in value.figures.values()}
        limits = {
            name: limit if name in figures or limit.later else replace(limit, figures=())
            for name, limit in rules.limits.items()
        }
        found = []
        for doubt in (False, True):
            lots = (pairs(question, self.space, doubt) for question in rules.questions.values())
            found += [(each.about, each.places, each.beside) for lot in lots for each in lot]
            found += [(each.about, each.places, each.beside) for each in assumed_pairs(self.space, doubt)]
        return [rule_set_to_json(replace(rules, limits=limits)), msgspec.json.encode(found), *seen]

    def order(self, number: int) -> list[int]:
        """The states of a group as they are tried: the quiet one, then the real ones most like it."""
        found = self._orders.get(number)
        if found is None:
            states, quiet = self.space.states(number), self.quiet[number]
            at_rest = {where[2] for where in states[quiet].answers}

            def strange(place: int) -> tuple[bool, bool, bool, int]:
                state = states[place]
                return place != quiet, not state.real, not state.certain, len(at_rest ^ {w[2] for w in state.answers})

            found = self._orders[number] = sorted(range(len(states)), key=strange)
        return found

    def mild_order(self, number: int) -> list[int]:
        """The states of a group, those first that speak least against a repair, then those most like the quiet case."""
        touching, states = self.effects.touching.get(number, ()), self.space.states(number)
        asked = {question for name in self.space.groups[number] for question in self.space.inputs(name)}
        quiet = {where: answer for where, answer in self.answers.items() if where[2] in asked}

        def grave(place: int) -> tuple[bool, bool, int, int]:
            answers = states[place].answers
            doubtful = not all(map(is_certain, answers.values()))
            weight = _weight(touching, Nearest({number: place}, self.quiet))
            unlike = sum(answers.get(where) != quiet.get(where) for where in {**answers, **quiet})
            return not states[place].real, doubtful, weight, unlike

        return sorted(self.order(number), key=grave)

    def certain_order(self, number: int) -> list[int]:
        """The states of a group in which everything is certain, as they are tried."""
        states = self.space.states(number)
        return [place for place in self.order(number) if states[place].certain]

    def found(
        self,
        wishes: Sequence[Wish],
        fixed: Mapping[int, int],
        breaks: Breaks,
        order: Callable[[int], Sequence[int]] | None = None,
    ) -> Iterator[Nearest]:
        """Choices of states that grant every wish and that no effect breaks, nearest to the quiet case first.

        Effects are asked only where a choice leaves the quiet case: there is none where none comes out.
        """
        wishes, known = list(wishes), set[str]()
        while True:
            more: list[Wish] = []
            for chosen in solutions(wishes, fixed, order or self.order):
                near = Nearest(chosen, self.at_rest)
                more = self._broken(near, breaks, known)
                if more:
                    break
                yield near
            if not more:
                return
            wishes += more

    def grants(self, near: Nearest, breaks: Breaks) -> bool:
        """Whether no effect breaks a choice of states, and no question that has to be answered is left out in it."""
        return not self._broken(near, breaks, set())

    def _broken(self, near: Nearest, breaks: Breaks, known: set[str]) -> list[Wish]:
        found = []
        for effect in self.around(near) if breaks is not nothing else ():
            if effect.id not in known and breaks(effect, effect.at(near)):
                known.add(effect.id)
                found.append(Wish(effect, lambda brings, effect=effect: not breaks(effect, brings)))  # type: ignore[misc]
        for local in self.unanswered.near(near):
            if local.at(near):
                found.append(Wish(local, lambda unanswered: not unanswered))
        return found

    def around(self, near: Nearest) -> Iterator[Effect]:
        """Every effect that brings something in a choice of states; some that bring nothing may be among them."""
        yield from {effect.id: effect for effect in (*self.noisy, *self.speaking.near(near))}.values()

    def states_of(self, near: Mapping[int, int], *instead: State) -> list[State] | None:
        """The states that a choice puts in the quiet case's place; None where no answers bring one of them about."""
        own = {name for state in instead for name in state.looks}
        states = [
            self.space.states(number)[place]
            for number, place in near.items()
            if place != self.quiet[number] and not own & set(self.space.groups[number])
        ]
        states += instead
        return states if all(state.real for state in states) else None

    def case(self, states: Sequence[State]) -> Case:
        """The quiet case with these states put in, and every further question that they raise answered quietly."""
        self.asked_engine = True
        answers, cleared = self._put_in(states)
        return case_with(filled(answers, self.rules, self.judge.graph, self.space, frozenset(cleared)))

    def _put_in(self, states: Sequence[State]) -> tuple[BaselineAnswers, set[tuple[str, int, str]]]:
        put_in: BaselineAnswers = {}
        cleared: set[tuple[str, int, str]] = set()
        for state in states:
            put_in.update({where: answer for where, answer in state.context.items() if where not in put_in})
        for state in sorted(states, key=lambda state: len(state.answers)):  # a whole picture wins over a single answer
            put_in.update(state.answers)
            asked = {question for name in state.looks for question in self.space.inputs(name)}
            cleared |= {where for where in self.answers if where[2] in asked} - set(state.answers)
        answers = {where: answer for where, answer in self.answers.items() if where not in cleared or where in put_in}
        answers.update(put_in)
        _fit_print(answers, {where for state in states for where in state.answers})
        return answers, cleared

    def completed(self, case: Case) -> Case:
        """The case with every question that has to be asked here and was not answered, answered quietly."""
        answers: BaselineAnswers = {("tire", -1, name): answer for name, answer in case.answers.items()}
        for over, items in ((inputs.OVER_REPAIRS, case.repairs), ("injuries", case.injuries)):
            answers |= {(over, n, name): answer for n, item in enumerate(items) for name, answer in item.items()}
        return case_with(filled(answers, self.rules, self.judge.graph, self.space))

    def real(self, pair: Pair, side: int) -> tuple[State, ...]:
        """A row of a pair, or any other of its state that answers are known for."""
        row, _ = self.space.rows(pair.group)[pair.rows[side]]
        return (row,) if row.real else (self.space.states(pair.group)[pair.places[side]],)

    def named(self, name: str) -> tuple[str, Place]:
        """How a question or worked-out value is called, and where it stands."""
        if name in self.rules.questions:
            return self.rules.questions[name].name, self.rules.place_of("questions.yaml", name)
        return self.rules.values[name].name, self.rules.place_of("values.yaml", name)

    def judged(self, case: Case) -> Judgement:
        """The engine's own judgement of a case."""
        self.asked_engine = True
        return self.judge.judge(case)

    def text(self, *cases: Case) -> str:
        """The cases as one case file."""
        return "---\n".join(case_text(case, self.rules) for case in cases)

    def place(self, node: str) -> Place:
        """Where a node stands."""
        return self.rules.place_of("paths.yaml", node)


class Lookout(Generic[AnyLocal]):
    """What looks at each group, such that what counts near a quiet case is found without looking at all of it."""

    def __init__(self, touching: Mapping[int, Sequence[AnyLocal]], counts: Callable[[Any], bool], quiet: Sequence[int]):
        self._touching, self._counts, self._quiet = touching, counts, quiet
        self._alone: dict[tuple[int, int], list[AnyLocal]] = {}

    def near(self, near: Nearest) -> Iterable[AnyLocal]:
        """All that counts in a choice of states and looks at a group of it, each once; some more may be among it.

        What looks at just one of the groups that left their quiet state gives what it gives where that one alone did.
        """
        found: dict[int, AnyLocal] = {}
        moved = {number for number, place in near.items() if place != self._quiet[number]}
        widest = max(moved, key=lambda number: len(self._touching.get(number, ())), default=-1)
        for number, place in near.items():
            found.update((id(each), each) for each in self._by_itself(number, place))
            if number in moved and number != widest:
                several = (each for each in self._touching.get(number, ()) if len(moved.intersection(each.groups)) > 1)
                found.update((id(each), each) for each in several)
        return found.values()

    def _by_itself(self, number: int, place: int) -> list[AnyLocal]:
        """What counts where a group is in this state and all others are in their quiet ones."""
        found = self._alone.get((number, place))
        if found is None:
            one = Nearest({number: place}, self._quiet)
            found = [each for each in self._touching.get(number, ()) if self._counts(each.at(one))]
            self._alone[number, place] = found
        return found


def _weight(effects: Iterable[Effect], chosen: Chosen) -> int:
    brought = (each.at(chosen) for each in effects)
    return sum(int(each.verdict or 0) + 1 for each in brought if _speaks(each))


def _speaks(brings: Brings) -> bool:
    return brings.verdict is not None or bool(brings.restrictions)


def _fit_print(answers: BaselineAnswers, given: set[tuple[str, int, str]]) -> None:
    """Where a print stands in for its size only, it is one of the class that was answered."""
    tire_class = answers.get(("tire", -1, inputs.TIRE_CLASS))
    stands_in = PRINT_ADDRESS not in given and answers.get(PRINT_ADDRESS) == SIDEWALL_OF_CLASS["passenger"]
    if stands_in and isinstance(tire_class, Choice):
        answers[PRINT_ADDRESS] = SIDEWALL_OF_CLASS.get(tire_class.id, answers[PRINT_ADDRESS])


def nothing(effect: Effect, brings: Brings) -> bool:
    """What no effect does: for looking only at whether something can be at all."""
    return False


_KEPT: list[Bench] = []


def bench_of(rules: RuleSet) -> Bench:
    """The bench of a rule set; the last one is kept, since every check asks for it."""
    if not _KEPT or _KEPT[0].rules is not rules:
        _KEPT[:] = [Bench(rules)]
    return _KEPT[0]


def make_bench(rules: RuleSet, memory: Remembers) -> Bench:
    """Makes the bench of a rule set, of states that were made before where they are remembered."""
    _KEPT[:] = [Bench(rules, Space(rules, KeptStates(memory)))]
    return _KEPT[0]


def forget_proofs() -> None:
    """Lets go of the bench that is kept."""
    _KEPT.clear()


__all__ = ["TODAY", "Bench", "Proof", "bench_of"]
