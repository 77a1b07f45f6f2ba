"""The same said otherwise gives the same answers: case, order, units, spelling, marks between; and loads as a case."""

import json
import random
from datetime import date

import pytest

from advisor.loader.case_file import read_case, split_cases
from advisor.model.quantity import read_measure
from advisor.nlu.case_of import as_json, as_yaml_lines
from tests.nlu.sentence_table import by_address, hear, listener, rows, rules

PLAIN = [row for row in rows() if row.must and row.text.isascii()]
#: Clauses that stand by themselves, so that their order says nothing.
LOOSE = [
    ["drive axle", "tread 9/32", "no sealant", "hole in the crown 8 mm", "straight in"],
    ["trailer tire", "no cord", "no bulge", "found at 92 psi", "should be 110 psi"],
    ["off a box truck", "load range H", "never driven soft", "off the rim", "nail in the shoulder"],
    ["11R22.5", "steer axle", "not recapped or regrooved", "no old repairs", "1/4 in hole"],
]


@pytest.mark.parametrize("otherwise", [str.upper, lambda text: "  " + text.replace(" ", "  ")], ids=["case", "blanks"])
def test_letter_case_and_blanks_say_nothing(otherwise):
    assert len(PLAIN) > 800
    for row in PLAIN:
        assert by_address(listener().hear(otherwise(row.text))) == by_address(hear(row.text)), row.text


@pytest.mark.parametrize("clauses", LOOSE, ids=lambda clauses: clauses[0])
def test_word_order_says_nothing(clauses):
    want = by_address(listener().hear(", ".join(clauses)))
    assert len(want) >= 5
    shuffler = random.Random(5)
    for _ in range(20):
        shuffler.shuffle(clauses)
        got = by_address(listener().hear(", ".join(clauses)))
        assert {name: got[name] for name in got if name in want} == got
        lost = set(want) - set(got)
        assert lost <= {"injury-angle[0]"}, clauses
        assert by_address(listener().hear("; ".join(clauses))) == got


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("hole is 8 mm", "hole is 0.8 cm"),
        ("hole is 1/4 in", 'hole is 1/4"'),
        ("hole is 1/4 in", "hole is a quarter inch"),
        ("tread 9/32", "tread 9/32 inch"),
        ("tread 9/32", "tread is 9 32nds"),
        ("angle 30", "angle is thirty degrees"),
        ("angle 30", "30 degree angle"),
        ("hole is 8 mm", "eight millimeter hole"),
        ("hole is 8-10 mm", "hole is between 8 and 10 mm"),
        ("hole is 8-10 mm", "hole is 8 to 10mm"),
    ],
)
def test_units_and_ways_of_writing_say_the_same(one, other):
    first, second = by_address(listener().hear(one)), by_address(listener().hear(other))
    assert set(first) == set(second) and first
    for name, text in first.items():
        quantity = "angle" if "angle" in name else "length"
        here, there = read_measure(text, quantity), read_measure(second[name], quantity)
        assert (here.low, here.high) == (there.to(here.unit).low, there.to(here.unit).high)


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("trailer tire", "trialer tire"),
        ("screw in the shoulder", "screw in the sholder"),
        ("straight in", "strait in"),
        ("never retreaded or regrooved, tubeless", "never retreaded or regrooved, tubless"),
        ("tread separation", "tread seperation"),
        ("no sealant", "no sealent"),
        ("screw dead center", "screw dead centre"),
    ],
)
def test_misspelled_words_are_set_right(right, wrong):
    assert by_address(listener().hear(wrong)) == by_address(listener().hear(right))


@pytest.mark.parametrize("word", ["steel", "bread", "tired", "stern", "broom", "should", "angle of repose", "trade"])
def test_ordinary_words_are_no_misspellings(word):
    assert by_address(listener().hear(f"{word} tire, fine")) == {}


def test_what_is_printed_as_json_loads_as_a_case():
    for row in rows():
        found = as_json(hear(row.text), rules())
        assert list(found) == ["answers", "injuries", "proposed", "not_understood", "asks_back"]
        loads_as_heard(row, json.dumps({"answers": found["answers"], "injuries": found["injuries"]}))


def test_what_is_printed_as_yaml_loads_as_a_case():
    for row in rows():
        loads_as_heard(row, "\n".join(as_yaml_lines(hear(row.text), rules())))


def loads_as_heard(row, text):
    """A case file with this text holds the answers that were heard in the row."""
    heard = hear(row.text)
    case = read_case(next(split_cases(text, "heard")), rules(), date(2026, 3, 14))
    for one in heard.understood:
        if one.key[0] != "more-injuries":
            assert case.get(one.over, one.key) == one.answer, row.text
    assert len(case.injuries) == heard.injuries, row.text


def test_silence_fills_nothing():
    """A positive finding does not say that the rest was looked for, and one injury named is no count."""
    assert by_address(listener().hear("a bulge")) == {"findings": {"present": ["bulge"], "absent": []}}
    heard = by_address(listener().hear("no cord, no bulge"))
    assert heard == {"findings": {"present": [], "absent": ["bulge", "exposed-cord"]}}
