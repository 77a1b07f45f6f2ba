"""Worked-out values that give something else in a case, as the wording of a step shows it, though no ruling minds."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from advisor.engine.facts import Facts, Value
from advisor.model.case import TIRE, Answer, Case, Choice, Readings, Text
from advisor.model.quantity import Measure
from advisor.tools.case_writer import answer_text, measure_text
from advisor.tools.diff.kept import questions_behind
from advisor.tools.verify.workbench import Bench

#: How far beside a figure it is tried, as a share of it.
_BESIDE = (Fraction(1), Fraction(101, 100), Fraction(99, 100))

Benches = tuple[Bench, Bench]


def worked_out_otherwise(names: Iterable[str], cases: Sequence[Case], benches: Benches) -> Iterator[str]:
    """A line for each value that one of some cases, or one near a figure, works out otherwise."""
    for name in names:
        found = (_told(name, case, by, benches) for case, by in _tried(name, cases, benches))
        yield from (line for line in [next(filter(None, found), "")] if line)


def _told(name: str, case: Case, by: str, benches: Benches) -> str:
    before, after = (_gives(name, case, bench) for bench in benches)
    return f"{name}: {_said(before)} -> {_said(after)}, where {by}" if _said(before) != _said(after) else ""


def _gives(name: str, case: Case, bench: Bench) -> Value | None:
    tables = bench.space.tables
    return Facts(tables, case).part(tables.overs[name], 0).look(name)[0]


def _said(value: Value | None) -> str:
    if isinstance(value, Text | Choice):
        return str(value)
    return measure_text(value) if isinstance(value, Measure) else "not worked out" if value is None else str(value)


def _tried(name: str, cases: Sequence[Case], benches: Benches) -> Iterator[tuple[Case, str]]:
    """Cases as they are, then with each question that the value reads answered near each of its figures."""
    asked = sorted(questions_behind([name], benches[1].rules))
    for case in cases:
        yield case, _answers(case, asked, benches)
    for question in asked:
        for answer in _near_figures(name, question, benches):
            yield _with(cases[0], question, answer, benches), f"{question}: {answer_text(answer)}"


def _answers(case: Case, asked: Iterable[str], benches: Benches) -> str:
    questions = benches[1].rules.questions
    given = {name: case.instances(questions[name].over) for name in asked}
    first = {name: items[0].get(name) for name, items in given.items() if items}
    return "; ".join(f"{name}: {answer_text(answer)}" for name, answer in first.items() if answer is not None)


def _near_figures(name: str, question: str, benches: Benches) -> Iterator[Answer]:
    """A measure at each figure that a value goes by, and just beside it on both sides."""
    asked = benches[1].rules.questions[question]
    limits = {
        (figure.low, figure.unit): figure
        for rules in (bench.rules for bench in benches)
        for limit in rules.values[name].figures.values()
        for figure in rules.limits[limit].figures
        if figure.quantity == asked.quantity
    }
    for figure in limits.values():
        for share in _BESIDE:
            measure = Measure(figure.low * share, figure.low * share, figure.unit)
            yield Readings((measure,)) if asked.kind == "readings" else measure


def _with(case: Case, question: str, answer: Answer, benches: Benches) -> Case:
    over = benches[1].rules.questions[question].over
    return case.with_answer(over, (question, TIRE if over == "tire" else 0), answer)
