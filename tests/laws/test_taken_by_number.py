"""What was heard and not said outright: taken by its number, refused, never counted by itself, in both faces."""

from __future__ import annotations

import pytest

from advisor.dialogue.session import Consultation
from advisor.model.case import CANT_TELL, Choice
from advisor.model.quantity import Measure
from tests.laws.talking import CAR, Talk, talked
from tests.tui.driving import NAIL_HOLE, Screen, drive

MAYBE = "maybe the hole is about 4 mm wide"
TWO = "I think it's in the shoulder and maybe 9 mm"


def ended(*lines: str, rules: str = "us-road", **other: str) -> Talk:
    """A sound car tire with a nail hole of 5 mm in the crown, and what is said after its verdict."""
    return talked({**CAR, **other}, lines, rules)


def size(consultation: Consultation) -> str:
    return str(consultation.case.injuries[0].get("injury-size"))


def test_taken_counts_after_yes_only_and_keeps_its_doubt() -> None:
    assert size(ended(MAYBE).consultation) == "5 mm"
    assert size(ended(MAYBE, "take 1").consultation) == "5 mm"
    talk = ended(MAYBE, "take 1", "yes", "how sure")
    answer = talk.consultation.case.injuries[0]["injury-size"]
    assert isinstance(answer, Measure) and not answer.exact
    assert 'said with "maybe"' in talk.text.rpartition("> how sure")[2]


@pytest.mark.parametrize("words", ["take 7", "take 0", "take 1"])
def test_a_wrong_number_and_one_taken_twice_change_nothing(words: str) -> None:
    first = [MAYBE, "take 1"] if words == "take 1" else [MAYBE]
    talk = ended(*first, words)
    assert "Not understood" in talk.text.rpartition("> take")[2]
    assert talk.consultation.pending is not None and size(talk.consultation) == "5 mm"


@pytest.mark.parametrize("gone", ["back", "no", "not 1", "2"])
def test_after_it_was_dropped_nothing_is_taken(gone: str) -> None:
    talk = ended(MAYBE, gone, "take 1")
    assert "Nothing waits" in talk.text.rpartition("> take 1")[2]
    assert size(talk.consultation) == "5 mm" and talk.consultation.pending is None


@pytest.mark.parametrize("at", ["vehicle", "sidewall", "tread-depth", "findings", "injury-size", "dot-code"])
def test_take_without_anything_waiting_is_no_answer(at: str) -> None:
    talk = ended(f"change {at}", "take 1")
    assert "Nothing waits" in talk.text.rpartition("> take 1")[2]
    assert talk.consultation.case == ended().consultation.case


def test_two_at_once_are_taken_one_by_one() -> None:
    one = ended(TWO, "take 2", "yes")
    assert one.consultation.case.injuries[0]["injury-zone"] is CANT_TELL, "the doubt opens what stood"
    assert size(one.consultation) == "about 9 mm"
    both = ended(TWO, "take 1", "take 2", "yes")
    assert both.consultation.case.injuries[0]["injury-zone"] == Choice("shoulder")
    assert size(both.consultation) == "about 9 mm" and both.verdict == "scrap"


def test_said_outright_after_all_counts_and_the_doubt_is_still_named() -> None:
    talk = ended("maybe the hole is about 9 mm wide", "5 mm", "take 1", "yes", "how sure")
    assert "Not understood" in talk.text.rpartition("> take 1")[2]
    assert size(talk.consultation) == "5 mm"
    assert "about 9 mm" in talk.text.rpartition("> how sure")[2]


def test_a_taken_one_that_is_said_anew_is_still_named_as_doubt() -> None:
    talk = ended("maybe the hole is about 9 mm wide", "take 1", "no, 5 mm", "yes", "how sure")
    assert size(talk.consultation) == "5 mm"
    assert "about 9 mm" in talk.text.rpartition("> how sure")[2]


def test_the_key_for_back_drops_what_waits_also_before_the_first_answer() -> None:
    async def steps(screen: Screen) -> None:
        await screen.type("truck on the drive axle, blorp")
        assert "F5 back" in screen.keys
        await screen.press("f5")
        assert screen.desk.consultation.pending is None and screen.asked == "vehicle"

    drive(steps)


def test_the_end_speaks_of_drawings_only_where_there_are_any() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer(NAIL_HOLE)
        assert "draw for the drawings" not in screen.text() and "^g draw" not in screen.keys.lower()

    drive(steps)


def test_what_was_dropped_is_not_taken_later() -> None:
    talk = ended(MAYBE, "change tread depth", "no", "change tread depth", "8/32", "take 1", "yes")
    assert "First say yes to count it, or no to drop it" in talk.text
    assert "Nothing waits" in talk.text.rpartition("> take 1")[2]
    assert size(talk.consultation) == "5 mm"


@pytest.mark.parametrize("rules", ["us-road", "uk-road", "de-road"])
@pytest.mark.parametrize("said", ["the driver says 5 mm", "the hole is 5 mm"])
def test_a_narrower_reading_over_a_range_asks_who_measured_it(rules: str, said: str) -> None:
    talk = ended("the hole is 5-10 mm", "yes", said, "take 1", "yes", rules=rules)
    assert "who measured it, and how?" in talk.text
    assert size(talk.consultation) == "5-10 mm" and talk.verdict != "repair"
    mended = ended("the hole is 5-10 mm", "yes", said, "yes", "I measured it again myself, the hole is 5 mm", "yes",
                   rules=rules)  # fmt: skip
    assert size(mended.consultation) == "5 mm" and mended.verdict == "repair"


@pytest.mark.parametrize("rules", ["us-road", "uk-road", "de-road"])
@pytest.mark.parametrize("taken", [(), ("take 1",)])
@pytest.mark.parametrize("said", ["it is in the crown", "the driver says it is in the crown"])
def test_shoulder_in_doubt_then_crown(rules: str, taken: tuple[str, ...], said: str) -> None:
    """The worse counts until the doubt is taken back; what was taken by its number is an answer like any other."""
    first = ("I think it may be the shoulder", *taken, "yes")
    talk = ended(*first, said, "take 1", "yes", rules=rules)
    if taken and said == "it is in the crown":
        assert talk.consultation.case.injuries[0]["injury-zone"] == Choice("crown")
        return
    assert talk.consultation.case.injuries[0]["injury-zone"] in (CANT_TELL, Choice("shoulder"))
    assert talk.verdict != "repair"
    mended = ended(*first, said, "yes", "I checked it again myself, it is in the crown", "yes", rules=rules)
    assert mended.consultation.case.injuries[0]["injury-zone"] == Choice("crown")


def test_on_the_screen() -> None:
    async def steps(screen: Screen) -> None:
        await screen.answer({**NAIL_HOLE, "injury-size": "5 mm"})
        consultation = screen.desk.consultation
        await screen.type(TWO)
        assert screen.asked == "understood" and "take 1 or take 2" in " ".join(screen.text().split())
        await screen.type("take 9")
        assert "no number 9" in screen.complaint
        await screen.press("escape")
        await screen.type("take 2")
        await screen.type("take 1")
        assert "taken already" in screen.complaint
        await screen.press("escape")
        assert size(consultation) == "5 mm"
        await screen.press("f5")
        assert consultation.pending is None
        await screen.type("take 1")
        assert "Nothing waits" in screen.complaint
        await screen.press("escape")
        await screen.type(TWO)
        await screen.type("take 2")
        await screen.press("1", "enter")
        assert size(consultation) == "about 9 mm"
        assert consultation.case.injuries[0]["injury-zone"] is CANT_TELL
        assert str(consultation.judgement.verdict) == "scrap"

    drive(steps)
