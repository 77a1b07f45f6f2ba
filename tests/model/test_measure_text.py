"""Measures as people type them, exact; the factors are those of NIST SP 811, Appendix B."""

from fractions import Fraction

import pytest

from advisor.model.problems import Misread
from advisor.model.quantity import PSI_IN_KPA, exactly, in_words, lowest, read_measure

F = Fraction


@pytest.mark.parametrize(
    ("text", "quantity", "default", "low", "high", "unit"),
    [
        ("3/8", "length", "mm", F(3, 8), F(3, 8), "in"),
        ("9/32", "length", "", F(9, 32), F(9, 32), "in"),
        ("7/32-9/32", "length", "", F(7, 32), F(9, 32), "in"),
        ("10mm", "length", "mm", 10, 10, "mm"),
        ("8-10 mm", "length", "mm", 8, 10, "mm"),
        ("8 to 10", "length", "mm", 8, 10, "mm"),
        ("about 9", "length", "mm", F(81, 10), F(99, 10), "mm"),
        ("about -10 mm", "length", "", -11, -9, "mm"),
        ("10 ± 1 mm", "length", "", 9, 11, "mm"),
        ('1 1/2"', "length", "", F(3, 2), F(3, 2), "in"),
        ("1-1/2 in", "length", "", F(3, 2), F(3, 2), "in"),
        ("2.5/32 in", "length", "", F(5, 64), F(5, 64), "in"),
        ("9/32nds", "length", "", 9, 9, "32nds"),
        ("9", "length", "32nds", F(9, 32), F(9, 32), "in"),
        ("10,2 mm", "length", "", F(51, 5), F(51, 5), "mm"),
        ("-35 to -30 mm", "length", "", -35, -30, "mm"),
        ("0", "pressure", "", 0, 0, "kPa"),
        ("92 psi", "pressure", "", 92, 92, "psi"),
        ("30°", "angle", "", 30, 30, "deg"),
        ("12 °C", "temperature", "", 12, 12, "C"),
        ("65 %", "share", "", 65, 65, "%"),
    ],
)
def test_reads_what_people_type(text, quantity, default, low, high, unit):
    measure = read_measure(text, quantity, default)
    assert (measure.low, measure.high, measure.unit) == (low, high, unit)


@pytest.mark.parametrize(
    "text",
    [
        "10",
        "1/3",
        "9/320",
        "ten mm",
        "10 psi",
        "1e5 mm",
        "",
        "8-10 mm 5",
        "- mm",
        "5 mm to 3 in",
        "1/0 in",
        "9 mil",
        "10 mm\x00",
        "9" * 5000,
    ],
)
def test_refuses_the_rest_and_says_what_was_expected(text):
    with pytest.raises(Misread) as caught:
        read_measure(text, "length")
    assert caught.value.expected


def test_factors_are_the_published_ones():
    assert exactly(1, "in").to("mm") == exactly(F(254, 10), "mm")  # NIST SP 811: exact
    assert exactly(1, "32nds").to("mm").low == F(79375, 100000)  # 25.4 / 32
    assert abs(PSI_IN_KPA - F("6.894757293168")) < F(1, 10**12)  # NIST SP 811 prints 6.894757
    assert exactly(1, "bar").to("kPa").low == 100
    assert exactly(212, "F").to("C").low == 100


def test_to_and_fro_changes_nothing():
    for unit in ("in", "32nds", "cm", "ft"):
        assert exactly(F(7, 3), unit).to("mm").to(unit).low == F(7, 3)
    with pytest.raises(ValueError, match="cannot be given"):
        exactly(1, "mm").to("psi")


def test_in_words_as_a_technician_writes():
    assert in_words(exactly(F(3, 8), "in")) == "3/8 in"
    assert in_words(exactly(F(3, 2), "in")) == "1 1/2 in"
    assert in_words(exactly(9, "32nds")) == "9/32 in"
    assert in_words(read_measure("8-10 mm", "length")) == "8 to 10 mm"
    assert in_words(exactly(25, "deg")) == "25°"


def test_lowest_keeps_the_doubt_of_every_reading():
    readings = [read_measure(text, "length") for text in ("9/32 in", "8/32 in", "7-9 mm")]
    low = lowest(readings)
    assert low.to("mm").high == F(8, 32) * F(254, 10)
    assert low.to("mm").low == F(8, 32) * F(254, 10)
    assert lowest([read_measure("5-9 mm", "length"), read_measure("6 mm", "length")]).low == 5
