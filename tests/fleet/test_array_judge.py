"""Rows judged by arrays against the one-case judge: verdict, ending, method, restrictions, settled, what is missing."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from random import Random

import pyarrow
import pytest

import advisor
from advisor.engine.at_once import ByNumbers
from advisor.engine.evaluator import Judge
from advisor.fleet import array_judge, columns
from advisor.fleet.array_judge import RowsJudge
from advisor.fleet.columns import batch_judge
from advisor.loader.case_file import read_case
from advisor.loader.kept_cases import DAY, kept_texts, with_older_answers
from advisor.loader.paths import trees_folder
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import CANT_TELL, Case
from advisor.model.problems import Problems
from advisor.model.ruleset import RuleSet
from advisor.tools.verify.boundary_values import answers_for
from tests.engine.test_plan import cases as any_cases
from tests.fleet.made_up_fleet import write_fleet
from tests.fleet.support import compared
from tests.loader.test_dated_limits import rules_in

#: Each set with the one beside whose rules the cases stand that it is held to.
SETS = {"us-road": "us-road", "uk-road": "uk-road", "de-road": "de-road", "demo-shop": "us-road"}


@lru_cache
def judge_of(name: str) -> Judge:
    return Judge(load_rule_set(find_rule_set(name)))


def kept_cases(name: str, rules: RuleSet) -> list[Case]:
    """The cases beside the rules that can be read, with what they count as at questions that are younger."""
    found = []
    for text in kept_texts(trees_folder() / SETS[name]):
        try:
            found.append(with_older_answers(read_case(text, rules, DAY), rules))
        except Problems:
            continue
    return found


def near_cases(rules: RuleSet, known: list[Case], count: int, seed: int) -> Iterator[Case]:
    """Known cases with some answers changed, taken back or not told."""
    dice = Random(seed)
    given = {each.id: [*answers_for(each, rules, ()), CANT_TELL, None] for each in rules.questions.values()}
    questions = [each for each in rules.questions.values() if each.id != rules.more_of(each.over)]
    for _ in range(count):
        case = dice.choice(known)
        for _ in range(dice.randrange(6)):
            question = dice.choice(questions)
            index = dice.randrange(len(case.instances(question.over)) or 1)
            if question.over == "tire" or case.instances(question.over):
                key = question.id, -1 if question.over == "tire" else index
                case = case.with_answer(question.over, key, dice.choice(given[question.id]))
        yield case


def _held(name: str, count: int, seed: int) -> Counter[str]:
    judge = judge_of(name)
    rows, numbers, known, total = RowsJudge(judge), ByNumbers(judge), kept_cases(name, judge.rules), Counter[str]()
    for begun in range(0, count, 2000):
        near = near_cases(judge.rules, known, min(1600, count), seed + begun)
        for cases in (list(near), list(any_cases(judge.rules, min(400, count // 4)))) if begun == 0 else (list(near),):
            total += compared(judge, rows, numbers, cases)
    return total


@pytest.mark.parametrize("name", SETS)
def test_random_cases_come_out_as_one_by_one(name: str) -> None:
    total = _held(name, 400, 3)
    assert total["alike"] > 5 * total["alone"], "few are left to the one-case judge"
    assert all(total[f"verdict {verdict}"] for verdict in range(4)) and total["restricted"] and total["with a method"]
    assert total["settled"] and total["not settled"]
    assert total["at once"] > 0.3 * total["alike"], "many are said at once"


@pytest.mark.long
@pytest.mark.parametrize("name", SETS)
def test_very_many_random_cases_come_out_as_one_by_one(name: str) -> None:
    assert _held(name, 31_250, 11)["alike"] > 20_000


@pytest.mark.parametrize("name", SETS)
def test_the_cases_beside_the_rules_come_out_as_one_by_one(name: str) -> None:
    judge = judge_of(name)
    known = kept_cases(name, judge.rules)
    total = compared(judge, RowsJudge(judge), ByNumbers(judge), known)
    assert total["alike"] + total["alone"] == len(known) > 100 and total["alike"] > 8 * total["alone"]


def test_each_row_is_judged_by_the_limits_of_its_day(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    judge = Judge(load_rule_set(rules_in(tmp_path)))
    days = ["2026-12-31", "2027-01-01", "2025-06-01", "2028-02-03"]
    cells = {"findings": "none", "sealant": "yes", "washed": "yes", "size": "5 mm"}
    batch = pyarrow.RecordBatch.from_pydict({"today": days * 5, **{name: [text] * 20 for name, text in cells.items()}})
    found = batch_judge(judge, DAY)(batch)
    assert found["verdict"].to_pylist()[:4] == ["repair", "scrap", "repair", "scrap"]
    monkeypatch.setattr(columns, "FEWEST_BY_ARRAYS", 1_000)
    assert found.to_pylist() == batch_judge(judge, DAY)(batch).to_pylist()


TABLE = {
    "vehicle": ["truck", "car", "truck", "bus", "lorry", "", "truck", "truck", "truck", "truck"],
    "sidewall": [*["275/70R22.5 148/145M"] * 9, ""],
    "tread-depth": ["9/32 in", "cant-tell", "8/32 in; 7/32 in", "deep", "9/32 in", "", "9/32 in", "2/32 in", "", ""],
    "dot-code": ["2319", "", "9999", "2319", "", "", "5226", "", "", ""],
    "today": ["2026-03-14", "", "", "tomorrow", "", "", "2026-01-01", "", "", ""],
    "earlier-repairs[0].repair-clock": ["", "", "", "", "", "", "", "1:00", "", ""],
    "earlier-repairs[1].repair-clock": ["", "", "", "", "", "", "", "5:00", "", "6:00"],
    "injury-size[0]": ["8 mm", "8 mm", "", "", "", "", "4 mm", "about 6 mm", "", "1 in"],
    "injury-size[1]": ["", "2 mm", "3 mm", "", "", "", "", "", "5 mm", ""],
    "more-injuries[0]": ["no", "no", "yes", "", "", "", "yes", "cant-tell", "", ""],
    "offset[0]": ["900 mm", "-35 mm", "", "", "", "", "20 mm", "", "", ""],
    "unit-length": ["", "90 mm", "", "", "", "", "9000 mm", "", "", ""],
}


@pytest.mark.parametrize("name", ["us-road", "uk-road", "de-road"])
def test_rows_of_odd_shapes_come_out_as_one_by_one(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    judge = judge_of(name)
    table = {column: cells for column, cells in TABLE.items() if _asks(judge.rules, column)}
    batch = pyarrow.RecordBatch.from_pydict({column: cells * 3 for column, cells in table.items()})
    by_arrays = batch_judge(judge, DAY)(batch)
    monkeypatch.setattr(columns, "FEWEST_BY_ARRAYS", 1_000)
    assert by_arrays.to_pylist() == batch_judge(judge, DAY)(batch).to_pylist()
    problems = by_arrays["problem"].to_pylist()
    assert any("lorry" in (each or "") for each in problems) and None in problems


def _asks(rules: RuleSet, column: str) -> bool:
    key = column.partition("[")[0] if "." not in column else column.rpartition(".")[2]
    return column == "today" or any(key == known for _, known in rules.by_case_key)


def test_a_fleet_is_judged_by_arrays_nearly_all_of_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    rules = advisor.load("us-road", DAY)
    table = _with_older_answers(pyarrow.parquet.read_table(write_fleet(tmp_path, 1500)), judge_of("us-road").rules)
    judge = rules.column_function({"record": ""})
    left: list[int] = []
    judged = RowsJudge.judged

    def counted(self: RowsJudge, rows: array_judge.CodedRows) -> array_judge.Outcomes:
        found = judged(self, rows)
        left.append(int(found.alone.sum()))
        return found

    monkeypatch.setattr(RowsJudge, "judged", counted)
    found = [row for batch in table.to_batches(max_chunksize=500) for row in judge(batch).to_pylist()]
    assert len(left) == 3 and sum(left) < 30
    monkeypatch.setattr(columns, "FEWEST_BY_ARRAYS", 1_000)
    one_by_one = rules.column_function({"record": ""})
    assert found[:300] == one_by_one(table.slice(0, 300).to_batches()[0]).to_pylist()


def _with_older_answers(table: pyarrow.Table, rules: RuleSet) -> pyarrow.Table:
    """Records with what they count as at questions of the tire or an injury that are younger."""
    for question in rules.questions.values():
        if question.older_cases and question.over in ("tire", "injuries"):
            name, text = question.key + "[0]" * (question.over == "injuries"), "; ".join(question.older_cases.counts_as)
            table = table.append_column(name, pyarrow.array([text] * table.num_rows))
    return table


def test_what_is_kept_between_batches_is_bounded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(array_judge, "_MOST_REMEMBERED", 50)
    judge = batch_judge(judge_of("us-road"), DAY)
    batches = [
        pyarrow.RecordBatch.from_pydict({"injury-size[0]": [f"{place}.{n} mm" for place in range(1, 21)]})
        for n in range(6)
    ]
    kept = []
    for batch in batches:
        judge(batch)
        kept.append(judge._rows_judge.coder.kept)
    assert max(kept) < 120
