"""The table of sentences: false understanding is the worst error, so there is none."""

import pytest

from advisor.nlu.case_of import as_json
from tests.nlu.sentence_table import by_address, expected, hear, rows, rules, wrong_of

MOST_MISSED = 0.05
SPEAKERS = sorted({row.who for row in rows()})


def said_by(who):
    return [row for row in rows() if row.who == who]


def test_there_are_enough_sentences_from_three_sides():
    assert len(rows()) >= 150
    by_who = {who: sum(row.who == who for row in rows()) for who in {row.who for row in rows()}}
    assert len(by_who) == 3 and min(by_who.values()) >= 25


@pytest.mark.parametrize("who", SPEAKERS)
def test_nothing_is_understood_that_was_not_said(who):
    wrong = {}
    for row in said_by(who):
        wrong[row.text] = wrong_of(hear(row.text), row)
    assert wrong
    assert {text: names for text, names in wrong.items() if names} == {}


@pytest.mark.parametrize("who", SPEAKERS)
def test_what_is_in_doubt_is_asked_back(who):
    unasked = {}
    for row in said_by(who):
        asked = {ask["id"] for ask in as_json(hear(row.text), rules())["asks_back"]}
        unasked[row.text] = set(row.asks) - asked
    assert {text: names for text, names in unasked.items() if names} == {}


def test_what_is_asked_back_is_a_question_that_a_case_answers():
    ids = {question.key for question in rules().questions.values() if question.over != "earlier-repairs"}
    for row in rows():
        for ask in as_json(hear(row.text), rules())["asks_back"]:
            assert ask["id"] in ids, row.text
            assert ask["why"]


@pytest.mark.parametrize(
    ("said", "asked"),
    [
        ("first nail 5 mm in the crown, second nail near the shoulder", ("injury-zone", "injury 2: near the")),
        ("first nail near the shoulder, second nail 5 mm in the crown", ("injury-zone", "injury 1: near the")),
        ("nail near the shoulder", ("injury-zone", "near the")),
    ],
)
def test_of_several_injuries_the_reason_names_the_one(said, asked):
    asks = [(ask["id"], ask["why"]) for ask in as_json(hear(said), rules())["asks_back"]]
    assert any(name == asked[0] and why.startswith(asked[1]) for name, why in asks), asks


@pytest.mark.parametrize(
    "said", ["two nails in the tread", "two holes, crown 4 mm, straight in", "2 cuts at 20 degrees"]
)
def test_where_it_is_open_which_injury_is_meant_the_reason_names_none(said):
    asks = as_json(hear(said), rules())["asks_back"]
    assert asks
    assert all(ask["why"].endswith("which of the injuries?") for ask in asks)
    assert not any(ask["why"].startswith("injury ") for ask in asks)


def test_precision_is_one_and_recall_is_high(record_property):
    right = wrong = missed = 0
    for row in rows():
        found, must = by_address(hear(row.text)), expected(row)
        right += sum(must.get(name) == value for name, value in found.items())
        wrong += len(wrong_of(hear(row.text), row))
        missed += sum(found.get(name) != value for name, value in must.items())
    record_property("precision", right / (right + wrong))
    record_property("recall", right / (right + missed))
    assert wrong == 0
    assert missed / (right + missed) <= MOST_MISSED


def test_every_word_is_understood_asked_back_or_named():
    """Words that are no filler turn up: as the words of an answer, in what is asked back, or as not understood."""
    for row in rows():
        heard = hear(row.text)
        if not heard.understood and not heard.asks_back and not heard.injuries and row.text.strip():
            assert heard.not_understood or row.text.casefold().startswith(("hello", "it has")), row.text
