"""Two injuries kept apart by the tape from hole to hole: what counts, what is asked instead, and what doubt does."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

import pytest

from advisor.console.session_lines import converse
from advisor.dialogue.session import Consultation
from advisor.engine.judgement_types import Judgement
from advisor.loader.case_file import read_case, split_cases
from advisor.model.quantity import Measure
from tests.journal.record_support import SAID
from tests.work.work_support import case_text, judge_of, judged

TWO = ({}, {"injury-size": "5 mm"})
SIZES = {"unit-length": "70 mm", "unit-width": "60 mm"}
FAR = {"clock": '"3:00"', "offset": "0 mm"}, {"clock": '"9:00"', "offset": "0 mm"}


def taped(along: str, across: str, *injuries: dict[str, str], **tire: str) -> Judgement:
    return judged({**SIZES, "apart-along": along, "apart-across": across, **tire}, *(injuries or TWO))


def gap_of(judgement: Judgement) -> str:
    return str(judgement.values["nearest-repair"])


@pytest.mark.parametrize(
    ("along", "across", "gap", "verdict"),
    [
        ("120 mm", "30 mm", "50 mm", "repair"),  # 120 - 70 along, the units overlap across
        ("30 mm", "90 mm", "30 mm", "repair"),  # 90 - 60 across
        ("70 mm", "0 mm", "0 mm", "refer"),  # they touch
        ("60 mm", "0 mm", "-10 mm", "refer"),
        ("110 mm", "90 mm", "50 mm", "repair"),  # corner to corner, 40 and 30
        ("65-80 mm", "0 mm", "-5 to 10 mm", "hold"),
    ],
)
def test_the_gap_is_what_the_tape_leaves_between_the_units(along: str, across: str, gap: str, verdict: str) -> None:
    judgement = taped(along, across)
    assert gap_of(judgement) == gap and str(judgement.verdict) == verdict


def test_where_the_tape_was_laid_no_clock_is_asked() -> None:
    asked = {name for name, _ in taped("120 mm", "30 mm").missing}
    assert not asked & {"clock", "offset", "sidewall"}
    assert {"clock", "offset"} <= {name for name, _ in judged(SIZES, *TWO).missing}


def test_a_tape_that_tells_nothing_is_no_distance() -> None:
    places = tuple({**one, **place} for one, place in zip(TWO, FAR, strict=True))
    assert str(judged(SIZES, *places).verdict) == "repair"
    for along, across in (("cant-tell", "30 mm"), ("120 mm", "cant-tell")):
        assert str(taped(along, across, *places).verdict) == "hold"


def test_places_that_are_nearer_than_the_tape_says_are_in_doubt() -> None:
    """The same hour on the clock and 300 mm on the tape can't both be right: what lies between counts."""
    places = tuple({**one, "clock": '"3:00"', "offset": "0 mm"} for one in TWO)
    assert str(judged({**SIZES, "sidewall": "275/70R22.5 148/145M LRH TUBELESS"}, *places).verdict) == "refer"
    judgement = taped("300 mm", "0 mm", *places, sidewall="275/70R22.5 148/145M LRH TUBELESS")
    assert str(judgement.verdict) == "hold" and "apart-along" in {name for name, _ in judgement.measure_again}


def test_beside_an_earlier_repair_the_tape_between_the_injuries_says_too_little() -> None:
    repairs = "[{sound: yes}]".replace("yes", '"yes"')
    judgement = taped("120 mm", "30 mm", **{"earlier-repairs": repairs})
    assert gap_of(judgement) == "None" and {"clock", "repair-clock"} <= {name for name, _ in judgement.missing}


def test_a_unit_that_is_turned_reaches_elsewhere() -> None:
    turned = taped("120 mm", "0 mm", {"unit-turn": "90 deg"}, {"injury-size": "5 mm"})
    assert gap_of(turned) == "55 mm" and str(turned.verdict) == "repair", "120 less 30 and 35"
    any_way = taped("120 mm", "0 mm", {"unit-turn": "cant-tell"}, {"injury-size": "5 mm"})
    value = any_way.values["nearest-repair"]
    assert isinstance(value, Measure) and value.low == 20, "120 less 35 and the most that any turn reaches"


@pytest.mark.parametrize("rules", ["us-road", "uk-road", "de-road"])
def test_the_tape_is_asked_first_and_the_clock_where_it_is_left_out(rules: str) -> None:
    def lines(tape: list[str]) -> Iterator[str]:
        answers = {**SAID, "more-injuries": "yes", "clock": "3:00"}
        for _ in range(90):
            ask = consultation.ask
            if ask is None:
                return
            if ask.key == ("more-injuries", 1):
                yield "no"
            elif ask.key[0].startswith("apart-"):
                yield tape.pop(0)
            else:
                asked.append(ask.key[0])
                yield answers.get(ask.key[0], "skip" if ask.optional else "can't tell")

    for tape, clocks in ((["120 mm", "30 mm"], 0), (["skip"], 2)):
        asked = list[str]()
        consultation = Consultation(judge_of(rules), date(2026, 3, 14), None, True)
        list(converse(consultation, lines(tape), lambda text: None, None, False))
        assert asked.count("clock") == clocks and not tape


def test_the_card_says_it_as_taped() -> None:
    judge = judge_of()
    consultation = Consultation(judge, date(2026, 3, 14))
    (text,) = split_cases(case_text({**SIZES, "apart-along": "120 mm", "apart-across": "30 mm"}, *TWO), "case.yaml")
    consultation.resume(type(consultation.saved)(read_case(text, judge.rules, date(2026, 3, 14))))
    said = " ".join(converse(consultation, iter(["more"]), lambda text: None, None, False))
    assert "by the tape, the nearest two: 50 mm apart" in said and "place or size not known" not in said
