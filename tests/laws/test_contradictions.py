"""Figures that can't be right together are questioned in one line, and hold the tire until they are confirmed."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest

from tests.laws.ledger import judge_of
from tests.laws.support import read
from tests.laws.talking import CAR, TRUCK, Talk, talked
from tests.tui.driving import NAIL_HOLE, Screen, drive

RULES = ("us-road", "uk-road", "de-road", "demo-shop")
HOLE = {"injury-size": "4 mm"}
ON_A_TRAILER = {**CAR, "vehicle": "trailer", "trailer-weight": "light", "wheel-position": "trailer axle"}
#: The tire, what is said otherwise of it, the question that is asked of it, and how that begins.
FIGURES = {
    "a car's tread of 30/32": (CAR, {"tread-depth": "30/32"}, "tread-checked", "You said 30/32 in: deeper than"),
    "a truck's tread of 40/32": (TRUCK, {"tread-depth": "40/32"}, "tread-checked", "You said 40/32 in: deeper than"),
    "one tread reading of three": (CAR, {"tread-depth": "9/32, 29/32, 9/32"}, "tread-checked", "You said 9/32 in, 2"),
    "pressures swapped": (CAR, {"found-pressure": "99 psi", "set-pressure": "33 psi"}, "pressure-checked", "You said"),
    "165 of 110 psi": (TRUCK, {"found-pressure": "165 psi"}, "pressure-checked", "You said 165 psi found and 110"),
    "180 of 110 psi": (TRUCK, {"found-pressure": "180 psi"}, "pressure-checked", "You said 180 psi found and 110"),
    "7 psi in a truck's": (
        TRUCK, {"found-pressure": "7 psi", "set-pressure": "7 psi"}, "set-checked", "You said that it should have 7",
    ),
    "7 bar in a car's": (
        CAR, {"found-pressure": "7 bar", "set-pressure": "7 bar"}, "set-checked", "You said that it should have 7 bar",
    ),
    "110 psi in a car's": (
        CAR, {"found-pressure": "110 psi", "set-pressure": "110 psi"}, "set-checked", "You said that it should have",
    ),
    "a car's at 100 psi on a trailer": (
        ON_A_TRAILER, {"found-pressure": "100 psi", "set-pressure": "100 psi"}, "set-checked", "You said that it",
    ),
    "longer across than along": (
        CAR, {"injury-length": "3 mm"}, "length-checked", "You said 3 mm long and 4 mm wide: shorter than",
    ),
}  # fmt: skip
EACH = pytest.mark.parametrize("what", FIGURES)


@cache
def plain(what: str, rules: str, **more: str) -> Talk:
    """The tire in plain lines, with the figures questioned and further answers."""
    tire, said, _, _ = FIGURES[what]
    return talked({**tire, **HOLE, **said, **{name.replace("_", "-"): text for name, text in more.items()}}, (), rules)


def in_a_file(what: str, rules: str, checked: str = "") -> Any:
    """The judgement of the same case given as a file."""
    tire, said, asks, _ = FIGURES[what]
    case = {**tire, **HOLE, **said}
    names = {name: q for name, q in judge_of(rules).rules.questions.items() if name in case and case[name] != "skip"}
    consultation = plain(what, rules, **{asks.replace("-", "_"): "yes"}).consultation.case
    answers: dict[str, Any] = {
        names[name].key: str(answer) for name, answer in consultation.answers.items() if name in names
    }
    answers |= {"findings": ["none"], "tread-depth": case["tread-depth"].split(", "), "earlier-repairs": []}
    answers.pop("run-low-inside", None)
    injury = {names[name].key: str(answer) for name, answer in consultation.injuries[0].items() if name in names}
    injury |= {"inside-signs": ["none"]}
    if checked:
        (injury if asks == "length-checked" else answers)[asks] = checked
    return judge_of(rules).judge(read({"answers": answers, "injuries": [injury]}, judge_of(rules).rules))


@pytest.mark.parametrize("rules", RULES)
@EACH
def test_it_is_questioned_in_one_line_and_never_silently_taken(what: str, rules: str) -> None:
    asks, begins = FIGURES[what][2:]
    talk = plain(what, rules)
    assert begins in talk.text and "Is that right?" in talk.text, talk.text[-2000:]
    assert talk.verdict == "hold", (asks, talk.verdict)


@pytest.mark.parametrize("rules", RULES)
@EACH
def test_a_second_reading_confirms_it_and_no_holds_it(what: str, rules: str) -> None:
    asks = FIGURES[what][2].replace("-", "_")
    confirmed = plain(what, rules, **{asks: "yes"})
    assert confirmed.verdict in ("repair", "refer"), confirmed.text[-2000:]
    for said in ("no", "can't tell"):
        assert plain(what, rules, **{asks: said}).verdict == "hold"


@pytest.mark.parametrize("rules", RULES)
@EACH
def test_a_case_file_holds_with_the_reason_and_what_to_read_again(what: str, rules: str) -> None:
    asks = FIGURES[what][2]
    got = in_a_file(what, rules)
    held = [reason for reason in got.reasons if reason.node == asks]
    assert (str(got.verdict), got.ending, len(held)) == ("hold", "hold-questioned", 1)
    assert held[0].basis.standing and held[0].limit is not None
    assert set(got.measure_again) & {
        ("tread-depth", -1), ("found-pressure", -1), ("set-pressure", -1), ("injury-length", 0)
    }  # fmt: skip
    assert str(in_a_file(what, rules, "no").verdict) == "hold"
    assert str(in_a_file(what, rules, "cant-tell").verdict) == "hold"
    assert str(in_a_file(what, rules, "yes").verdict) in ("repair", "refer")


@pytest.mark.parametrize("rules", RULES)
def test_what_fits_is_not_questioned(rules: str) -> None:
    for tire in (CAR, TRUCK, {**CAR, "injury-length": "6 mm"}):
        text = talked(tire, (), rules).text
        assert "Is that right?" not in text


def test_what_was_confirmed_is_asked_again_once_it_was_changed() -> None:
    tire = {**CAR, "tread-depth": "30/32", "tread-checked": "yes"}
    assert talked(tire).verdict == "repair"
    talk = talked(tire, ["change tread depth", "45/32"])
    assert (talk.verdict, talk.consultation.ask.key[0]) == ("hold", "tread-checked")  # type: ignore[union-attr]
    assert talked(tire, ["change tread depth", "12/32"]).verdict == "repair"
    assert "tread-checked" not in talked(tire, ["change tread depth", "12/32"]).consultation.case.answers
    short = {**CAR, "injury-length": "3 mm", "length-checked": "yes"}
    talk = talked(short, ["change injury's width", "6 mm"])
    assert "length-checked" not in talk.consultation.case.injuries[0]


def test_on_the_screen_the_line_is_the_question() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer({**NAIL_HOLE, "tread-depth": "30/32"}, until="tread-checked")
        assert screen.asked == "tread-checked"
        assert "You said 30/32 in: deeper than" in screen.desk.consultation.ask.asks  # type: ignore[union-attr]

    drive(steps)


@pytest.mark.parametrize("rules", RULES)
def test_no_angle_lies_flat_or_beyond(rules: str) -> None:
    talk = talked(CAR, (), rules)
    assert talk.verdict == "repair"
    for angle in ("90", "95", "-5"):
        stopped = talked({**CAR, "injury-angle": angle}, (), rules)
        assert f'Found "{angle}°"' in stopped.text
        assert "injury-angle" not in stopped.consultation.case.injuries[0]
