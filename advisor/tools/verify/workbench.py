"""A rule set made ready for all checks of its meaning, and the cases that show what they found."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

from advisor.engine.evaluator import Judge
from advisor.engine.facts import Facts, is_certain
from advisor.engine.judgement_types import Judgement
from advisor.model import inputs
from advisor.model.case import Case, Choice
from advisor.model.problems import Place, Problem
from advisor.model.ruleset import RuleSet
from advisor.tools.case_writer import case_text
from advisor.tools.verify.backtracking import Nearest, Wish, solutions
from advisor.tools.verify.baseline_case import BaselineAnswers, filled, quiet_answers, state_in
from advisor.tools.verify.boundary_values import TODAY
from advisor.tools.verify.case_space import Space
from advisor.tools.verify.dominance import Pair
from advisor.tools.verify.effects import Brings, Effect, Effects
from advisor.tools.verify.factors import Chosen
from advisor.tools.verify.partitions import PRINT_ADDRESS, SIDEWALL_OF_CLASS, State, case_with

#: So many choices are given to the engine before one that it does not confirm is taken as none.
MOST_CASES = 40
#: So often a quiet case is looked at again after it was made quieter.
MOST_ROUNDS = 4
Breaks = Callable[[Effect, Brings], bool]


class Proof(Problem, frozen=True):
    """A problem with the case that shows it, as a case file that runs."""

    case: str = ""


class Bench:
    """A rule set made ready for all checks of its meaning: its facts, its effects, and a quiet case to start from."""

    def __init__(self, rules: RuleSet, space: Space | None = None, start: BaselineAnswers | None = None) -> None:
        """`start` is the quiet case of a bench that shares the space."""
        self.rules, self.space, self.judge = rules, space or Space(rules), Judge(rules)
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
        self.noisy = [each for each in self.effects.every if _speaks(each.at(self.quiet))]
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

    def _steps(self, number: int) -> Iterator[tuple[int, int, int]]:
        """How much more each real state of a group would speak against a repair, the group, and the state."""
        touching = self.effects.touching.get(number, ())
        now = _weight(touching, self.quiet)
        for place, state in enumerate(self.space.states(number)):
            if state.real and state.certain:
                yield _weight(touching, Nearest({number: place}, self.quiet)) - now, number, place

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
                near = Nearest(chosen, self.quiet)
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
        unanswered = self.effects.unanswered
        for local in {id(each): each for number in near for each in unanswered.get(number, ())}.values():
            if local.at(near):
                found.append(Wish(local, lambda unanswered: not unanswered))
        return found

    def around(self, near: Nearest) -> Iterator[Effect]:
        """Every effect that may come out otherwise than in the quiet case, and those that count even there."""
        seen: set[str] = set()
        moved = (number for number, place in near.items() if place != self.quiet[number])
        touched = (effect for number in moved for effect in self.effects.touching.get(number, ()))
        for effect in (*self.noisy, *touched):
            if effect.id not in seen:
                seen.add(effect.id)
                yield effect

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
        row = pair.second if side else pair.first
        return (row,) if row.real else (self.space.states(pair.group)[pair.places[side]],)

    def named(self, name: str) -> tuple[str, Place]:
        """How a question or worked-out value is called, and where it stands."""
        if name in self.rules.questions:
            return self.rules.questions[name].name, self.rules.place_of("questions.yaml", name)
        return self.rules.values[name].name, self.rules.place_of("values.yaml", name)

    def judged(self, case: Case) -> Judgement:
        """The engine's own judgement of a case."""
        return self.judge.judge(case)

    def text(self, *cases: Case) -> str:
        """The cases as one case file."""
        return "---\n".join(case_text(case, self.rules) for case in cases)

    def place(self, node: str) -> Place:
        """Where a node stands."""
        return self.rules.place_of("paths.yaml", node)


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


def forget_proofs() -> None:
    """Lets go of the bench that is kept."""
    _KEPT.clear()


__all__ = ["TODAY", "Bench", "Proof", "bench_of"]
