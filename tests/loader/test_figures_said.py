"""Words that stand for a figure: a wear bar flush with the tread, typed, in a case file and in a sentence."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from advisor.engine.evaluator import Judge
from advisor.loader.answer_codec import read as answer_from
from advisor.loader.answer_codec import read_typed
from advisor.loader.answer_codec import write as answer_data
from advisor.loader.answer_fit import check_answer
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import Readings
from advisor.model.problems import Misread, Problems
from advisor.model.quantity import Measure
from advisor.model.ruleset import RuleSet
from advisor.nlu.pipeline import Listener

RULES: RuleSet = load_rule_set(find_rule_set("us-road"))
DEPTH = RULES.questions["tread-depth"]
BAR = RULES.limits["wear-bar-height"].figures[0]


def same(reading: Measure, figure: Measure) -> bool:
    return (reading.low, reading.high, reading.unit) == (figure.low, figure.high, figure.unit)


@pytest.mark.parametrize("words", ["wear bar flush", "Wear bars  touching.", "worn to the bars", "flush"])
def test_typed_it_reads_as_the_bars_height_and_says_its_standing(words: str) -> None:
    answer = read_typed(DEPTH, words)
    assert isinstance(answer, Readings)
    (reading,) = answer.readings
    assert same(reading, BAR)
    assert str(reading) == f"{words.strip()} (2/32 in, published)"


def test_it_stands_among_other_readings_and_the_lowest_counts() -> None:
    answer = read_typed(DEPTH, "9/32, wear bar flush, 5 mm")
    assert isinstance(answer, Readings)
    assert [str(each) for each in answer.readings] == ["9/32 in", "wear bar flush (2/32 in, published)", "5 mm"]


def test_other_words_are_refused() -> None:
    for words in ("wear bar", "no wear bar flush", "nearly flush", "bar"):
        with pytest.raises(Misread):
            read_typed(DEPTH, words)


@pytest.mark.parametrize(
    ("vehicle", "tire", "ending"), [("car", "P215/65R16 96H", "scrap"), ("truck", "11R22.5 14PR", "refer")]
)
def test_in_a_case_it_is_judged_as_the_floor_itself(vehicle: str, tire: str, ending: str) -> None:
    def verdicts(depth: str) -> set[str]:
        answers = {"vehicle": vehicle, "sidewall": tire, "tread-depth": depth}
        (text,) = split_cases(json.dumps({"answers": answers}), "case")
        reasons = Judge(RULES).judge(read_case(text, RULES, None)).reasons
        return {str(reason.verdict) for reason in reasons if reason.question == "tread-depth" and reason.verdict}

    assert verdicts("wear bar touching") == verdicts("2/32 in") == {ending}
    assert verdicts("3/32 in") == set()


def test_a_flush_bar_where_the_figure_itself_passes_is_to_be_measured() -> None:
    """The UN figure passes under the British rules, yet a bar that touches may have worn down: open, so hold."""
    british = Judge(load_rule_set(find_rule_set("uk-road")))
    answers = {"vehicle": "car", "tread-depth": "wear bar flush"}
    (text,) = split_cases(json.dumps({"answers": answers}), "case")
    judgement = british.judge(read_case(text, british.rules, None))
    assert ("tread-depth", -1) in judgement.measure_again


def test_heard_in_a_sentence_and_written_as_a_case() -> None:
    heard = Listener(RULES).hear("drive axle of a truck, worn down to the wear bars", None)
    (one,) = [each for each in heard.understood if each.key[0] == "tread-depth"]
    assert isinstance(one.answer, Readings) and same(one.answer.readings[0], BAR)


def test_kept_and_read_back() -> None:
    answer = read_typed(DEPTH, "wear bar flush")
    again = answer_from(json.loads(json.dumps(answer_data(answer))))
    assert again == answer
    check_answer("tread-depth", "tire", again, RULES)


def test_the_limit_behind_the_words_has_to_exist(tmp_path: Path) -> None:
    (tmp_path / "about.yaml").write_text("id: odd\ntitle: odd\nedition: x\nbuilds-on: us-road\n", encoding="utf-8")
    (tmp_path / "questions.yaml").write_text(
        "rung-depth:\n  name: n\n  asks: a\n  why: w\n  kind: readings\n  of: length\n  unit: mm\n"
        "  plausible: 0-40 mm\n  figures-said: {no-such-limit: [flush]}\n",
        encoding="utf-8",
    )
    with pytest.raises(Problems) as caught:
        load_rule_set(tmp_path)
    assert "no-such-limit" in "\n".join(str(problem) for problem in caught.value.problems)
