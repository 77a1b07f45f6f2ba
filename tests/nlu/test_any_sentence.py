"""Any text at all: nothing is raised, everything is printed as a case that loads, and nothing odd is understood."""

import json
import random
from datetime import date

from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.loader.case_file import read_case, split_cases
from advisor.nlu.case_of import as_json
from tests.nlu.sentence_table import listener, rows, rules

WORDS = sorted({word for row in rows() for word in row.text.split()})


def loads(text):
    found = as_json(listener().hear(text), rules())
    kept = json.dumps({"answers": found["answers"], "injuries": found["injuries"]})
    read_case(next(split_cases(kept, "heard")), rules(), date(2026, 3, 14))
    return found


@settings(max_examples=150, deadline=None)
@given(st.text(max_size=200))
def test_any_text(text):
    loads(text)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.sampled_from(WORDS), max_size=25))
def test_any_words_of_the_trade_in_any_order(words):
    loads(" ".join(words))


def test_a_question_gives_no_answer():
    for row in rows():
        if row.must and not set(row.text) & set(";?!\n") and ". " not in row.text:
            found = listener().hear(f"what if {row.text}")
            assert not found.understood, row.text


def test_another_tire_gives_no_answer():
    shuffler = random.Random(3)
    for row in shuffler.sample(rows(), 60):
        if not set(row.text) & set(";?!\n") and ". " not in row.text:
            assert not listener().hear(f"the other tire: {row.text}").understood, row.text
