"""The table of sentences: false understanding is the worst error, so there is none."""

import pytest
from sentence_table import by_address, expected, listener, rows, rules

from advisor.talk.hear.as_case import as_json

MOST_MISSED = 0.05


def test_there_are_enough_sentences_from_three_sides():
    assert len(rows()) >= 150
    by_who = {who: sum(row.who == who for row in rows()) for who in {row.who for row in rows()}}
    assert len(by_who) == 3 and min(by_who.values()) >= 25


@pytest.mark.parametrize("row", rows(), ids=lambda row: row.text[:60])
def test_nothing_is_understood_that_was_not_said(row):
    found, must = by_address(listener().hear(row.text)), expected(row)
    assert {name: value for name, value in found.items() if must.get(name) != value} == {}
    assert not set(row.must_not) & set(found)


@pytest.mark.parametrize("row", [row for row in rows() if row.asks], ids=lambda row: row.text[:60])
def test_what_is_in_doubt_is_asked_back(row):
    asked = {ask["id"] for ask in as_json(listener().hear(row.text), rules())["asks_back"]}
    assert set(row.asks) <= asked


def test_precision_is_one_and_recall_is_high(record_property):
    right = wrong = missed = 0
    for row in rows():
        found, must = by_address(listener().hear(row.text)), expected(row)
        right += sum(must.get(name) == value for name, value in found.items())
        wrong += sum(must.get(name) != value for name, value in found.items())
        missed += sum(found.get(name) != value for name, value in must.items())
    record_property("precision", right / (right + wrong))
    record_property("recall", right / (right + missed))
    assert wrong == 0
    assert missed / (right + missed) <= MOST_MISSED


@pytest.mark.parametrize("row", rows(), ids=lambda row: row.text[:60])
def test_every_word_is_understood_asked_back_or_named(row):
    """Words that are no filler turn up: as the words of an answer, in what is asked back, or as not understood."""
    heard = listener().hear(row.text)
    if not heard.understood and not heard.asks_back and not heard.injuries and row.text.strip():
        assert heard.not_understood or row.text.casefold().startswith(("hello", "it has"))
