"""A quiet case, in which nothing speaks against a repair, and cases made from it that show what a check found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TYPE_CHECKING

from advisor.checks.case_text import case_text
from advisor.checks.effects import Effects
from advisor.checks.placing import SIDEWALL, SIDEWALL_OF_CLASS
from advisor.checks.samples import TODAY, answers_for
from advisor.checks.space import Answered, Space, State, case_of
from advisor.engine.judge import Judge
from advisor.engine.judgement import Judgement
from advisor.errors import Place, Problem
from advisor.model.case import Answer, Case, Choice, Choices, Readings
from advisor.model.rules import Question, RuleSet, Verdict
from advisor.units import exactly

if TYPE_CHECKING:
    from advisor.checks.firing import Firing

#: Answers of a sound tire with a small hole, tried first; a rule set with other questions gets the first that is quiet.
SOUND: dict[str, Answer] = {
    "vehicle": Choice("car"),
    "wheel-position": Choice("drive"),
    "tire-class": Choice("passenger"),
    "load-range": Choice("SL"),
    "construction": Choice("radial"),
    "tube": Choice("tubeless"),
    "retread": Choice("no"),
    "found-pressure": exactly(100, "psi"),
    "set-pressure": exactly(100, "psi"),
    "run-low": Choice("no"),
    "demounted": Choice("yes"),
    "sealant": Choice("no"),
    "tread-depth": Readings((exactly(8, "mm"),)),
    "self-supporting": Choice("no"),
    "earlier-repairs": Choice("no"),
    "injury-depth": Choice("through"),
    "injury-zone": Choice("crown"),
    "injury-size": exactly(3, "mm"),
    "injury-angle": exactly(0, "deg"),
    "more-injuries": Choice("no"),
    "more-repairs": Choice("no"),
    "repair-sound": Choice("yes"),
    "repair-clock": exactly(180, "deg"),
    "repair-offset": exactly(0, "mm"),
    "repair-unit-length": exactly(60, "mm"),
    "repair-unit-width": exactly(60, "mm"),
}


@dataclass(frozen=True, slots=True)
class Proof(Problem):
    """A problem with the case that shows it, as a case file that runs."""

    case: str = field(default="", compare=False)


class Bench:
    """A rule set made ready for all checks of its meaning: its facts, its effects, and a quiet case to start from."""

    def __init__(self, rules: RuleSet, also: RuleSet | None = None) -> None:
        self.rules, self.space = rules, Space(rules, also)
        self.effects, self.judge = Effects(self.space), Judge(rules)
        self.harmless: set[tuple[object, object]] = set()
        self._asked: dict[tuple[str, ...], frozenset[str]] = {}
        self.firings: dict[str, Firing] = {}
        self.quiet: Answered = self._quiet()

    def _quiet(self) -> Answered:
        """Answers to every question that has to be asked, such that nothing speaks against a repair."""
        answers = dict(self._placed(SOUND))
        for _ in range(len(self.rules.questions) + 1):
            judgement = self.judge.judge(case_of(answers))
            missing = [key for key in judgement.missing if self._where(key) not in answers]
            if not missing:
                break
            for key in missing:
                answers[self._where(key)] = self._best(self.rules.questions[key[0]], self._where(key), answers)
        return self._quieter(answers)

    def _quieter(self, answers: dict[tuple[str, int, str], Answer]) -> Answered:
        """The answers with one after another changed for the better, the greatest step first, until none is left."""
        weight = _weight(self.judge.judge(case_of(answers)))
        while weight[0] > Verdict.REPAIR:
            steps = []
            for where in answers:
                question = self.rules.questions[where[2]]
                for answer in self._known(question):
                    steps.append((_weight(self.judge.judge(case_of({**answers, where: answer}))), where, answer))
            best = min(steps, key=lambda step: step[0])
            if best[0] >= weight:
                break
            weight, answers = best[0], {**answers, best[1]: best[2]}
        return answers

    def _known(self, question: Question) -> list[Answer]:
        return answers_for(question, self.rules, self.space.tested.get(question.id, {}).values())

    def _where(self, key: tuple[str, int]) -> tuple[str, int, str]:
        return self.rules.questions[key[0]].over, key[1], key[0]

    def _placed(self, answers: dict[str, Answer]) -> dict[tuple[str, int, str], Answer]:
        found = {}
        for name, answer in answers.items():
            question = self.rules.questions.get(name)
            if question is not None and _fits(question, answer) and question.over != "earlier-repairs":
                found[(question.over, -1 if question.over == "tire" else 0, name)] = answer
        return found

    def _best(self, question: Question, where: tuple[str, int, str], answers: Answered) -> Answer:
        """The answer that gives the mildest verdict, the first of those."""
        if question.id in SOUND and _fits(question, SOUND[question.id]):
            return SOUND[question.id]
        ranked = [(_weight(self.judge.judge(case_of({**answers, where: a}))), a) for a in self._known(question)]
        least = min(weight for weight, _ in ranked)
        return next(answer for weight, answer in ranked if weight == least)

    def case(self, states: Sequence[State]) -> Case:
        """The quiet case with these states put in, and every further question that they raise answered quietly."""
        answers, cleared = self._put_in(states)
        return case_of(self._filled(answers, cleared))

    def rough(self, states: Sequence[State]) -> Case:
        """The quiet case with these states put in; questions that they raise stay unanswered."""
        return case_of(self._put_in(states)[0])

    def _put_in(self, states: Sequence[State]) -> tuple[dict[tuple[str, int, str], Answer], set[tuple[str, int, str]]]:
        put_in: dict[tuple[str, int, str], Answer] = {}
        cleared: set[tuple[str, int, str]] = set()
        for state in states:
            put_in.update({where: answer for where, answer in state.context.items() if where not in put_in})
        for state in states:
            put_in.update(state.answers)
            cleared |= {where for where in self.quiet if where[2] in self._questions(state)} - set(state.answers)
        answers = {where: answer for where, answer in self.quiet.items() if where not in cleared or where in put_in}
        answers.update(put_in)
        _fit_print(answers, {where for state in states for where in state.answers})
        return answers, cleared

    def _questions(self, state: State) -> frozenset[str]:
        key = tuple(state.looks)
        found = self._asked.get(key)
        if found is None:
            found = self._asked[key] = frozenset(q for name in key for q in self.space.inputs(name))
        return found

    def _filled(self, answers: dict[tuple[str, int, str], Answer], left: set[tuple[str, int, str]]) -> Answered:
        for _ in range(4):
            missing = [self._where(key) for key in self.judge.graph.walk(case_of(answers)).missing]
            missing = [where for where in missing if where not in answers and where not in left]
            if not missing:
                break
            for where in missing:
                home = answers.get((where[0], 0, where[2]))
                answers[where] = home or self._best(self.rules.questions[where[2]], where, answers)
        return answers

    def completed(self, case: Case) -> Case:
        """The case with every question that has to be asked here and was not answered, answered quietly."""
        answers = {("tire", -1, name): answer for name, answer in case.answers.items()}
        for over, items in (("earlier-repairs", case.repairs), ("injuries", case.injuries)):
            answers |= {
                (over, index, name): answer for index, item in enumerate(items) for name, answer in item.items()
            }
        return case_of(self._filled({w: a for w, a in answers.items() if w[2] in self.rules.questions}, set()))

    def judged(self, case: Case) -> Judgement:
        """The engine's own judgement of a case."""
        return self.judge.judge(case)

    def text(self, *cases: Case) -> str:
        """The cases as one case file."""
        return "---\n".join(case_text(case, self.rules) for case in cases)

    def place(self, node: str) -> Place:
        """Where a node stands."""
        return self.rules.place_of("paths.yaml", node)


def _fit_print(answers: dict[tuple[str, int, str], Answer], given: set[tuple[str, int, str]]) -> None:
    """Where a print stands in for its size only, it is one of the class that was answered."""
    tire_class = answers.get(("tire", -1, "tire-class"))
    stands_in = SIDEWALL not in given and answers.get(SIDEWALL) == SIDEWALL_OF_CLASS["passenger"]
    if stands_in and isinstance(tire_class, Choice):
        answers[SIDEWALL] = SIDEWALL_OF_CLASS.get(tire_class.id, answers[SIDEWALL])


def _weight(judgement: Judgement) -> tuple[int, int]:
    return int(judgement.verdict), sum(1 for reason in judgement.reasons if reason.ending or reason.restriction)


def _fits(question: Question, answer: Answer) -> bool:
    if isinstance(answer, Choice):
        return question.choice(answer.id) is not None
    if isinstance(answer, Choices):
        return question.kind == "choices"
    if isinstance(answer, Readings):
        return question.kind == "readings"
    return question.kind in ("measure", "clock") and not isinstance(answer, Fraction)


_KEPT: list[Bench] = []


def bench_of(rules: RuleSet) -> Bench:
    """The bench of a rule set; the last one is kept, since every check asks for it."""
    if not _KEPT or _KEPT[0].rules is not rules:
        _KEPT[:] = [Bench(rules)]
    return _KEPT[0]


__all__ = ["TODAY", "Bench", "Proof", "bench_of"]
