"""Cases as rows by numbers, judged by arrays, and what the one-case judge says of them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date
from typing import Any

import numpy

from advisor.engine.at_once import ByNumbers
from advisor.engine.evaluator import Judge, label_of
from advisor.fleet.array_judge import RowsJudge
from advisor.fleet.coded_rows import AnswerSpot, CodedRows
from advisor.model import inputs
from advisor.model.case import TIRE, Case
from advisor.model.ruleset import RuleSet

Said = tuple[Any, ...]


def coded(judge: RowsJudge, cases: Sequence[Case]) -> CodedRows:
    """The cases as rows by numbers."""
    coder, answers = judge.coder, dict[AnswerSpot, Any]()
    days = numpy.zeros(len(cases), numpy.int32)
    for row, case in enumerate(cases):
        assert isinstance(case.today, date)
        days[row] = coder.day_number(case.today.isoformat(), case.today)
        for over in inputs.OVERS:
            for index, part in enumerate(case.instances(over)):
                for name, answer in part.items():
                    spot = over, TIRE if over == "tire" else index, name
                    codes = answers.setdefault(spot, numpy.zeros(len(cases), numpy.int32))
                    codes[row] = coder.numbers[name].of_answer(answer)
    return coder.whole(answers, days, numpy.zeros(len(cases), bool))


def by_arrays(judge: RowsJudge, rows: CodedRows) -> list[Said | None]:
    """Verdict, ending, method, restrictions, settled and missing of each row; None where it was left alone."""
    found, names = judge.judged(rows), judge.names
    endings, methods, restrictions, missing = map(
        list, (names.endings, names.methods, names.restrictions, names.missing)
    )
    each = zip(
        found.verdict.tolist(),
        [endings[number] for number in found.ending],
        [methods[number] for number in found.method],
        [restrictions[number] for number in found.restrictions],
        map(bool, found.settled),
        [missing[number] for number in found.missing],
        strict=True,
    )
    return [None if alone else said for alone, said in zip(found.alone.tolist(), each, strict=True)]


def one_by_one(judge: Judge, case: Case) -> Said:
    """The same by the one-case judge."""
    found = judge.judge(case)
    missing = tuple(dict.fromkeys(label_of(key, judge.rules) for key in found.not_given))
    return int(found.verdict), found.ending, found.method, found.restrictions, found.settled, missing


def at_once(judge: ByNumbers, rules: RuleSet, case: Case) -> Said | None:
    """The same by numbers; None where it takes the whole judge to say."""
    found = judge.at_once(case)
    if found is None:
        return None
    missing = tuple(dict.fromkeys(label_of(key, rules) for key in found.not_given))
    return int(found.verdict), found.ending, found.method, found.restrictions, found.settled, missing


def compared(judge: Judge, rows: RowsJudge, numbers: ByNumbers, cases: Sequence[Case]) -> Counter[str]:
    """How many cases came out alike, and how many of each verdict; those left alone are counted apart.

    Each is held to the one-case judge by numbers as well: `at once` are those that it could say.
    """
    counts: Counter[str] = Counter()
    every = coded(rows, cases)
    for row, said in enumerate(by_arrays(rows, every)):
        case = rows.coder.case_of(every, row)
        whole, quick = one_by_one(judge, case), at_once(numbers, judge.rules, case)
        assert quick is None or quick == whole, case
        counts["at once"] += quick is not None
        if said is None:
            counts["alone"] += 1
            continue
        assert said == whole, case
        counts["alike"] += 1
        counts[f"verdict {said[0]}"] += 1
        counts["settled" if said[4] else "not settled"] += 1
        counts["restricted"] += bool(said[3])
        counts["with a method"] += bool(said[2])
    return counts
