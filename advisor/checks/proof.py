"""A quiet case, in which nothing speaks against a repair, and cases made from it that show what a check found."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING
from fractions import Fraction

from advisor.checks.case_text import case_text
from advisor.checks.effects import Effects
from advisor.checks.placing import SIDEWALL, SIDEWALL_OF_CLASS
from advisor.checks.samples import TODAY
from advisor.checks.space import Answered, Space, State, case_of
from advisor.engine.judge import Judge
from advisor.engine.judgement import Judgement
from advisor.errors import Place, Problem
from advisor.model.case import Answer, Case, Choice, Choices, Readings
from advisor.model.rules import Question, RuleSet
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

    def __init__(self, rules: RuleSet) -> None:
        self.rules, self.space = rules, Space(rules)
        self.effects, self.judge = Effects(self.space), Judge(rules)
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
        return answers

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
        from advisor.checks.samples import answers_for

        if question.id in SOUND and _fits(question, SOUND[question.id]):
            return SOUND[question.id]
        known = answers_for(question, self.rules, self.space.tested.get(question.id, {}).values())
        ranked = [(self.judge.judge(case_of({**answers, where: answer})), answer) for answer in known]
        least = min(_weight(judgement) for judgement, _ in ranked)
        return next(answer for judgement, answer in ranked if _weight(judgement) == least)

    def case(self, states: Sequence[State]) -> Case:
        """The quiet case with these states put in, and every further question that they raise answered quietly."""
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
        return case_of(self._filled(answers, cleared))

    def _questions(self, state: State) -> set[str]:
        return {question for name in state.looks for question in self.space.inputs(name)}

    def _filled(self, answers: dict[tuple[str, int, str], Answer], left: set[tuple[str, int, str]]) -> Answered:
        for _ in range(4):
            judgement = self.judge.judge(case_of(answers))
            missing = [self._where(key) for key in judgement.missing]
            missing = [where for where in missing if where not in answers and where not in left]
            if not missing:
                break
            for where in missing:
                home = answers.get((where[0], 0, where[2]))
                answers[where] = home or self._best(self.rules.questions[where[2]], where, answers)
        return answers

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
    if SIDEWALL in answers and SIDEWALL not in given and isinstance(tire_class, Choice):
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
