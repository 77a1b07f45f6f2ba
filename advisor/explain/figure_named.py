"""A figure that a question names, such as 1/4 in: the limit, or the worked-out value, that has it in this case."""

from __future__ import annotations

import re
from collections.abc import Iterable
from contextlib import suppress
from fractions import Fraction

from msgspec import Struct

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.engine.templates import limit_in_words, value_in_words
from advisor.explain.beside_limit import tested_limits
from advisor.explain.dependencies import rests_on
from advisor.explain.question_reader import forms_of
from advisor.explain.sentence_forms import FIGURE
from advisor.explain.why_not import reading_of
from advisor.model.case import TIRE, Case
from advisor.model.limits import Basis
from advisor.model.problems import Misread
from advisor.model.quantity import Measure, quantity_named, read_measure
from advisor.model.ruleset import RuleSet
from advisor.wording.blocks import Block
from advisor.wording.verdict_card import question_in_words


class FigureNamed(Struct, frozen=True):
    """What has the figure: in words, on what it rests, and the id of the limit or value."""

    id: str
    says: str
    basis: Basis | None
    worked_out: Block | None = None


def _figures(text: str, rules: RuleSet) -> Iterable[tuple[Fraction, str]]:
    """The figures of a text, each with its unit as the rules write it; none for no unit."""
    for match in re.finditer(rf"(?<![\w./:])({FIGURE})(?![/:\d])\s*-?({forms_of(rules).unit})?", text, re.IGNORECASE):
        quantity = quantity_named(f" {match[2] or ''}")
        with suppress(Misread, ValueError, ZeroDivisionError):
            measure = read_measure(f"{match[1]} {match[2]}", quantity) if quantity else None
            yield (measure.low, str(measure.unit)) if measure else (Fraction(match[1]), "")


def _has(figure: Measure, number: Fraction, unit: str) -> bool:
    return figure.low == number and unit in ("", str(figure.unit))


def figures_named(text: str, judge: Judge, case: Case, now: Judgement) -> list[FigureNamed]:
    """Limits with a figure of the text: those held against the answers, else any; then values worked out here."""
    rules, tested, found = judge.rules, tested_limits(now, judge.rules), list[FigureNamed]()
    for number, unit in _figures(text, rules):
        fitting = [each for each in rules.limits.values() if any(_has(one, number, unit) for one in each.figures)]
        here = [each for each in fitting if each.id in tested]
        for limit in here or (fitting if unit else []):
            found.append(FigureNamed(limit.id, f"{limit.says}: {limit_in_words(limit)}", limit.basis))
        if not found:
            found += _worked_out(number, unit, judge, case, now)
    return found


def _worked_out(number: Fraction, unit: str, judge: Judge, case: Case, now: Judgement) -> Iterable[FigureNamed]:
    rules = judge.rules
    for label, value in now.values.items():
        name, _, index = label.partition("[")
        measure = reading_of(value)
        if measure is None or not _has(measure, number, unit):
            continue
        of, at = rules.values[name], int(index.rstrip("]")) if index else TIRE
        keys = sorted(rests_on(judge, case, name, of.over, at))
        given = [(key, answer) for key in keys if (answer := case.get(rules.questions[key[0]].over, key)) is not None]
        rows = [
            f"{question_in_words(key, rules)}: {value_in_words(answer, rules.questions[key[0]])}"
            for key, answer in given
        ]
        limits = [rules.limits[one] for one in of.figures.values() if one in rules.limits]
        rows += [f"{limit.says}: {limit_in_words(limit)}" for limit in limits]
        block = Block(f"{measure} is {of.name}, worked out of:", tuple(rows), "title")
        yield FigureNamed(name, of.name, limits[0].basis if limits else None, block)
