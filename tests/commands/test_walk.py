"""`advisor walk`: a line a case, what was put together, after which prompt it was settled."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.console.session_lines import converse
from advisor.dialogue.session import Consultation
from advisor.dialogue.walking import Walked, walked
from advisor.engine.evaluator import Judge
from advisor.loader.answer_codec import written
from advisor.loader.case_file import read_case
from advisor.loader.kept_cases import kept_texts, with_older_answers
from advisor.loader.paths import find_rule_set
from advisor.model.case import Case, Key
from advisor.model.ruleset import Verdict
from tests.laws.ledger import TODAY, judge_of
from tests.laws.support import TIRES, base, changed, read

pytestmark = pytest.mark.free_order

FIELDS = ["prompts", "questions", "settled_after_prompts", "settled_after_questions", "verdict", "order"]


def walk(capsys: pytest.CaptureFixture[str], *words: str) -> list[dict[str, object]]:
    """The rows of a walk."""
    assert main(["walk", *words, "--json"]) == 0
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def lines_of(tmp_path: Path, *cases: dict[str, object]) -> str:
    """A file of cases as JSON lines."""
    file = tmp_path / "cases.jsonl"
    file.write_text("\n".join(json.dumps(case) for case in cases), encoding="utf-8")
    return str(file)


def test_a_line_a_case(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    rows = walk(capsys, lines_of(tmp_path, *(base(tire) for tire in sorted(TIRES))))
    assert [list(row) for row in rows] == [FIELDS] * 3
    for row in rows:
        order = row["order"]
        assert isinstance(order, list)
        assert row["verdict"] == "repair"
        assert row["prompts"] == len(order)
        assert row["questions"] == sum(map(len, order))
        assert row["settled_after_prompts"] <= row["prompts"]
        assert row["prompts"] < row["questions"] / 2


def test_a_sidewall_puncture_of_a_car_does_not_wait(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    case = changed(base("passenger"), {"injuries[0].injury-zone": "sidewall"})
    (free,) = walk(capsys, lines_of(tmp_path, case))
    (fixed,) = walk(capsys, lines_of(tmp_path, case), "--in-order")
    assert free["verdict"] == fixed["verdict"] == "scrap"
    assert free["settled_after_prompts"] <= 4
    assert fixed["settled_after_prompts"] >= 15


def test_several_documents_and_csv(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file, table = tmp_path / "two.yaml", tmp_path / "two.csv"
    file.write_text("answers: {vehicle: car}\n---\nrules: de-road\nanswers: {vehicle: truck}\n", encoding="utf-8")
    table.write_text("vehicle,demounted\ncar,no\ntruck,yes\n", encoding="utf-8")
    rows = walk(capsys, str(file), str(table))
    assert len(rows) == 4
    assert all(row["settled_after_prompts"] is None for row in rows)
    assert {row["verdict"] for row in rows} == {"hold"}


def test_what_is_bad_is_told_and_the_rest_goes_on(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["walk", lines_of(tmp_path, {"answers": {"vehicle": "boat"}}, base("passenger")), "--json"]) == 2
    said = capsys.readouterr()
    bad, good = (json.loads(line) for line in said.out.splitlines())
    assert bad["verdict"] is None
    assert good["verdict"] == "repair"
    assert "boat" in said.err


def test_the_order_in_words(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    assert main(["walk", lines_of(tmp_path, base("passenger"))]) == 0
    said = capsys.readouterr().out
    assert ": REPAIR" in said
    assert "settled here, after" in said
    assert "injury 1: the injury's angle: 0" in said


@pytest.mark.parametrize("tire", sorted(TIRES))
def test_each_prompt_of_a_walk_is_one_line_to_type(
    tire: str, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (row,) = walk(capsys, lines_of(tmp_path, base(tire)))
    case, consultation = read(base(tire)), Consultation(judge_of("us-road"), TODAY)
    lines: list[str] = []

    def said() -> str:
        ask = consultation.ask
        assert ask is not None
        parts = []
        for each in (ask, *ask.beside):
            given, question = case.get(each.question.over, each.key), each.question
            if given is not None:
                texts = written(given)
                words = ", ".join(texts) if isinstance(texts, list) else texts
                parts.append(words if not ask.beside else f"{question.id.replace('-', ' ')} {words}")
            elif question.left_out_by:
                parts.append("round")
        return ", ".join(parts) or "skip"

    def typing() -> Iterator[str]:
        while consultation.ask is not None and len(lines) < 40:
            lines.append(said())
            yield lines[-1]

    list(converse(consultation, typing(), lambda text: None))
    assert str(consultation.judgement.verdict) == row["verdict"]
    assert len(lines) == row["settled_after_prompts"], lines


@pytest.mark.parametrize("rules", ["us-road", "uk-road", "de-road"])
def test_settled_stays_settled_and_both_orders_end_alike(rules: str) -> None:
    judge = judge_of(rules)
    texts = [text for text in kept_texts(find_rule_set(rules)) if text.node is not None][::25][:12]
    seen = set()
    for text in texts:
        whole = with_older_answers(read_case(text, judge.rules, TODAY), judge.rules)
        found, fixed = walked(judge, whole), walked(judge, whole, in_order=True)
        free, ends = _played(judge, whole, found)
        ended, same = _played(judge, whole, fixed)[0], _keys(found) == _keys(fixed)
        assert free == ended if same else free >= ended, text.line  # asked for more, it is never milder
        after = found.settled_after
        if after is not None:
            seen.add(free)
            assert set(ends[after[0] - 1 :]) == {free}, text.line
    assert len(seen) > 1


def _keys(found: Walked) -> set[Key]:
    return {key for prompt in found.prompts for key in prompt.keys}


def _played(judge: Judge, whole: Case, found: Walked) -> tuple[Verdict, list[Verdict]]:
    """The verdict at the end of a walk, and that after each prompt."""
    case, ends = Case(today=whole.today), list[Verdict]()
    for prompt in found.prompts:
        for key in prompt.keys:
            over = judge.rules.questions[key[0]].over
            answer = whole.get(over, key)
            case = case.with_answer(over, key, answer) if answer is not None else case.with_skipped(key)
        ends.append(judge.judge(case).verdict)
    return ends[-1], ends
