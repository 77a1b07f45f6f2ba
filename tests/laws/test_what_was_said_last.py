"""The case that stands is what was said last about each thing; what is listed as answered is what is judged."""

from __future__ import annotations

import json
from collections import Counter

import pytest
from msgspec.structs import replace

from advisor.console.json_output import answer_of
from advisor.loader.case_file import read_case, split_cases
from advisor.model.case import Case
from advisor.tools.case_writer import case_text
from tests.laws.ledger import TODAY, Player, answers_of, judge_of, played

#: Sequences of each rule set; with --long more.
SEEDS, MORE_SEEDS = range(12), range(60)
RULES = ("us-road", "uk-road", "de-road", "demo-shop")


def shown(player: Player) -> str:
    return "\n".join(player.typed)


@pytest.mark.parametrize("rules", RULES)
def test_the_case_is_what_was_said_last(rules: str, long: bool) -> None:
    for seed in MORE_SEEDS if long else SEEDS:
        player = played(rules, seed)
        assert not player.ledger.differs(player.consultation.case, judge_of(rules).rules), (seed, shown(player))
        assert player.consultation.case.skipped == player.ledger.left, (seed, shown(player))
    seeds = MORE_SEEDS if long else SEEDS
    counts = sum((played(rules, seed).count for seed in seeds), Counter())
    print(f"\n{rules}: {len(seeds)} sequences, {sum(counts.values())} lines: {dict(counts.most_common())}")
    assert {"hedged", "left", "drop", "change", "skip", "confirm take", "confirm yes"} <= set(counts)


@pytest.mark.parametrize("rules", RULES)
def test_what_is_listed_as_left_out_was_left_out_and_is_no_answer(rules: str, long: bool) -> None:
    for seed in MORE_SEEDS if long else SEEDS:
        player = played(rules, seed)
        consultation = player.consultation
        listed = {key for key, _ in consultation.left_out}
        asked_anyway = set(consultation.judgement.walk.to_ask)
        assert listed == player.ledger.left - asked_anyway, (seed, shown(player))
        assert not listed & set(answers_of(consultation.case))


def without(case: Case, keys: list[tuple[str, tuple[str, int]]]) -> Case:
    for over, key in keys:
        case = case.with_answer(over, key, None)
    return replace(case, skipped=frozenset())


def judged(case: Case, rules: str) -> str:
    return json.dumps(answer_of(judge_of(rules).judge(replace(case, skipped=frozenset())), judge_of(rules)))


@pytest.mark.parametrize("rules", RULES)
def test_what_is_listed_as_answered_is_what_is_judged(rules: str, long: bool) -> None:
    for seed in MORE_SEEDS if long else SEEDS:
        consultation = played(rules, seed).consultation
        rows = consultation.answered
        assert {row[0] for row in rows} == set(answers_of(consultation.case))
        questions = judge_of(rules).rules.questions
        idle = [(questions[key[0]].over, key) for key, _, _, counts in rows if not counts]
        assert judged(without(consultation.case, idle), rules) == judged(consultation.case, rules), (seed, idle)


@pytest.mark.parametrize("rules", RULES)
def test_a_case_file_of_what_stands_is_judged_the_same(rules: str, long: bool) -> None:
    for seed in MORE_SEEDS if long else SEEDS:
        consultation = played(rules, seed).consultation
        text = case_text(consultation.case, judge_of(rules).rules)
        (one,) = split_cases(text, "case.yaml")
        read = read_case(one, judge_of(rules).rules, TODAY)
        assert judge_of(rules).judge(read).verdict is consultation.judgement.verdict, (seed, text)
