"""Damage that was said stays said: through lines for several questions, a second finding, and while a sentence waits.

Each consultation would end in REPAIR without its bad news, and never does with it.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from advisor.console.session_lines import converse
from advisor.dialogue.session import Consultation
from advisor.model.ruleset import Verdict
from tests.asking import asked_in_order
from tests.laws.ledger import TODAY, judge_of
from tests.laws.support import with_older_replies
from tests.laws.talking import TRUCK, said_where_asked

pytestmark = pytest.mark.free_order

TOGETHER = (
    "275/70R22.5 148/145M LRH TUBELESS, first tread, dot 2319, not run flat",
    "104/110, not soft, 9/32 in",
    "off, all looked at, none",
    "6 mm round 10° crown through",
    "none, no",
    "truck, drive",
)
ONE_BY_ONE = (
    "truck", "drive", "275/70R22.5 148/145M LRH TUBELESS", "no", "2319", "104 psi", "110 psi", "no", "yes", "no",
    "none", "9/32", "no", "no", "through", "crown", "6 mm", "skip", "10", "none", "no",
)  # fmt: skip
FINDINGS, SIGNS = ONE_BY_ONE.index("none"), len(ONE_BY_ONE) - 2


@pytest.fixture
def in_order() -> Iterator[None]:
    asked_in_order(True)
    yield
    asked_in_order(False)


def ended(*lines: str) -> tuple[Consultation, str]:
    """The consultation after some lines, and all that was said, on one line."""
    consultation = Consultation(judge_of("us-road"), TODAY)
    said = converse(consultation, with_older_replies(consultation, lines), lambda text: None)
    return consultation, " ".join(" ".join(said).split())


def verdict(*lines: str) -> Verdict:
    """How the card reads after some lines."""
    return ended(*lines)[0].card().verdict


def in_place(place: int, said: str, *before: str) -> tuple[str, ...]:
    """The answers one by one, after a sentence, with another at one place."""
    return (*before, *ONE_BY_ONE[:place], said, *ONE_BY_ONE[place + 1 :])


def test_without_bad_news_both_end_in_repair(in_order: None) -> None:
    assert verdict(*ONE_BY_ONE) is Verdict.REPAIR
    asked_in_order(False)
    assert verdict(*TOGETHER) is Verdict.REPAIR


@pytest.mark.parametrize("bad", ["it has a bulge", "liner split", "rust in the injury", "plies coming apart"])
def test_none_in_a_line_for_several_questions_takes_nothing_back(bad: str) -> None:
    consultation, said = ended(bad, "yes", *TOGETHER)
    assert consultation.card().verdict is not Verdict.REPAIR, said


@pytest.mark.parametrize(
    ("bad", "second"),
    [("tread separation", "9"), ("tread separation", "12"), ("cord is showing", "liner split"), ("bead is torn", "9")],
)
def test_a_second_finding_comes_beside_the_first(bad: str, second: str, in_order: None) -> None:
    alone = verdict(*in_place(FINDINGS, "none", bad, "yes"))
    assert alone is verdict(*in_place(FINDINGS, second, bad, "yes")) is Verdict.SCRAP


@pytest.mark.parametrize("second", ["1", "2", "3"])
def test_a_second_sign_comes_beside_the_first(second: str, in_order: None) -> None:
    bad = ("plies coming apart around the hole", "yes")
    assert verdict(*in_place(SIGNS, second, *bad)) is verdict(*in_place(SIGNS, "none", *bad)) is Verdict.SCRAP


@pytest.mark.parametrize(
    "after",
    [
        (), ("change 1", ""), ("change 1", "truck"), ("change tread depth", "9/32"), ("stop",), ("stop", "go on"),
        ("stop", "work", "tick"), ("verdict",), ("report",), ("so far",),
    ],
)  # fmt: skip
@pytest.mark.parametrize("answers", [TOGETHER, ONE_BY_ONE])
def test_what_waits_to_be_confirmed_is_passed_over_by_nothing(
    answers: tuple[str, ...], after: tuple[str, ...], request: pytest.FixtureRequest
) -> None:
    if answers is ONE_BY_ONE:
        request.getfixturevalue("in_order")
    consultation, said = ended(*answers, "there is a bulge in the sidewall", *after)
    assert consultation.pending is not None and consultation.card().verdict is Verdict.HOLD, said
    assert consultation.ask is not None and consultation.ask.confirms and not consultation.work.ticks
    assert "This is the worse of with it and without." in said.rpartition("The input ended here.")[2]
    assert verdict(*answers, "there is a bulge in the sidewall", *after, "no") is Verdict.REPAIR


def test_a_bulge_that_waits_in_the_middle_is_asked_for_still(in_order: None) -> None:
    before, rest = ONE_BY_ONE[:FINDINGS], ONE_BY_ONE[FINDINGS:]
    for between in (("change 1", "truck"), ("stop", "go on")):
        consultation, said = ended(*before, "there is a bulge in the sidewall", *between, "yes", *rest)
        assert consultation.card().verdict is not Verdict.REPAIR, said


@pytest.mark.parametrize(
    "said",
    [
        "was never run flat, until today", "cracked all round the sidewall", "dry rotted",
        "somebody put a plug in it", "tread is bald", "not taken off", "he drove on it while it was going down",
        "hole is 6 mm but 14 mm inside", "hole is 6 mm, opens to 14",
        "pressure found was 104 psi, now 0 psi", "no bulge before, now there is one",
    ],
)  # fmt: skip
def test_what_is_asked_back_after_the_verdict_is_asked(said: str) -> None:
    """Whatever was understood of it: a repair does not stand as if nothing had been said."""
    consultation, told = ended(*TOGETHER, said)
    if "asked back" in told.rpartition(TOGETHER[-1])[2] or consultation.pending is not None:
        more = ("yes",) if consultation.pending is not None else ()
        consultation, told = ended(*TOGETHER, said, *more)
        assert consultation.ask is not None or consultation.card().verdict is not Verdict.REPAIR, told
    else:
        assert "Not understood" in told.rpartition(TOGETHER[-1])[2]


@pytest.mark.parametrize("word", ["bulge", "separation"])
def test_one_word_after_the_verdict_is_shown_back(word: str) -> None:
    consultation, said = ended(*TOGETHER, word)
    assert consultation.pending is not None, said
    assert verdict(*TOGETHER, word, "yes") is not Verdict.REPAIR


def test_bare_words_count_for_what_was_asked_alone() -> None:
    consultation, said = ended("none, no")
    assert not consultation.case.answers and not consultation.case.skipped, said


@pytest.mark.parametrize("said", ["fibres all over the shop", "gribbled along one edge", "make it wobbly"])
def test_what_is_not_understood_after_the_verdict_stands_on_the_card(said: str) -> None:
    consultation, told = ended(*TOGETHER, said)
    assert "Not understood" in told and not consultation.pending
    assert f'Not understood, so not counted: "{said}"' in str(consultation.card().short.do_now[0])


@pytest.mark.parametrize(
    ("typed", "verdict_then"),
    [
        ("change what the inspection found to bulge", Verdict.HOLD),
        ("change findings to cord showing", Verdict.SCRAP),
        ("change injury's width to 14 mm", Verdict.REFER),
        ("change injury's zone to sidewall", Verdict.REFER),
    ],
)
def test_an_answer_is_changed_in_one_line(typed: str, verdict_then: Verdict) -> None:
    assert verdict(*TOGETHER, typed) is verdict_then


@pytest.mark.parametrize(
    "asked",
    [
        "is it bad that the cord is showing?",
        "what if there is a bulge?",
    ],
)
def test_a_question_that_names_a_finding_says_that_it_counts_for_nothing(asked: str) -> None:
    assert ("A question counts for nothing" in ended(*TOGETHER, asked)[1]) is not asked.startswith("what if")
    assert "A question counts" not in ended(*TOGETHER, "what is a bulge?")[1]


@pytest.mark.parametrize("late", [("it is regrooved", "yes"), ("change new, recapped or regrooved", "regrooved")])
@pytest.mark.parametrize("then", [(), ("stop",), ("skip", "stop"), ("work",)])
def test_a_question_that_a_late_answer_opens_holds_the_tire(late: tuple[str, ...], then: tuple[str, ...]) -> None:
    consultation, said = ended(*TOGETHER, *late, *then)
    assert consultation.card().verdict is Verdict.HOLD and consultation.judgement.missing, said


LOST = ("it gribbled at one edge", "fibres all over the shop", "gribbled", "wobbly bit next to the hole")


@pytest.mark.parametrize("said", LOST)
@pytest.mark.parametrize("place", range(len(TOGETHER)))
def test_what_is_not_understood_at_an_open_question_stands_on_the_card(said: str, place: int) -> None:
    consultation, told = ended(*TOGETHER[:place], said, *TOGETHER[place:])
    assert "Not understood" in told and not consultation.pending
    assert f'Not understood, so not counted: "{said}"' in str(consultation.card().short.do_now[0])


@pytest.mark.parametrize("place", range(len(ONE_BY_ONE)))
def test_a_line_lost_anywhere_in_order_stands_on_the_card(place: int, in_order: None) -> None:
    said = ONE_BY_ONE[place]
    again = (said,) if said in ("yes", "no") else ()  # the first time it only says what it would answer
    consultation, told = ended(*ONE_BY_ONE[:place], LOST[0], *again, *ONE_BY_ONE[place:])
    assert consultation.card().verdict is not Verdict.REPAIR or LOST[0] in str(consultation.card().short.do_now), told


def test_a_slip_of_a_key_typed_anew_is_no_news(in_order: None) -> None:
    consultation, said = ended("trrrck", *ONE_BY_ONE)
    assert "Not understood" in said and consultation.card().verdict is Verdict.REPAIR
    assert "not counted" not in str(consultation.card().short.do_now), consultation.notes


@pytest.mark.parametrize(("slip", "then"), [("gribbled edge", "none"), ("14 mmm croown", "6 mm crown")])
def test_other_words_and_figures_set_nothing_right(slip: str, then: str, in_order: None) -> None:
    place = ONE_BY_ONE.index("none")
    assert slip in str(ended(*ONE_BY_ONE[:place], slip, then)[0].card().short.do_now)


def test_what_comes_after_the_verdict_stands_there_when_the_lines_end() -> None:
    _, told = ended(*TOGETHER, LOST[0])
    assert f'not counted: "{LOST[0]}"' in told.rpartition("The input ended here.")[2]


@pytest.mark.parametrize("said", ["correction, one repair, lifting", "one repair and it is lifting"])
def test_a_doubt_opens_what_stands_in_its_way(said: str) -> None:
    """An earlier repair said in doubt over a plain none: it can't be told then whether there is one."""
    assert verdict(*TOGETHER, said, "yes") in (Verdict.HOLD, Verdict.SCRAP)


def test_a_wheel_said_in_doubt_brings_its_restriction() -> None:
    consultation, said = ended(*TOGETHER, "retread on the front of a bus", "yes")
    assert consultation.judgement.restrictions, said


@pytest.mark.parametrize("said", ["none apart from a bulge", "none except cord showing", "none but the liner is split"])
def test_none_but_one_is_heard_whichever_is_asked(said: str) -> None:
    for place in range(len(TOGETHER)):
        consultation, told = ended(*TOGETHER[:place], said, "yes", *TOGETHER[place:])
        lost = said in str(consultation.card().short.do_now)
        assert lost or consultation.card().verdict is not Verdict.REPAIR, told


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        (("14 not 6",), "14 not 6"), (("two",), "two"), (("1/2",), "1/2"), (("found two holes",), "found two holes"),
        (("found nothing but a small bubble",), "small bubble"), (("work", "tick 1-6", "12 mm"), "12 mm"),
        (("note bulge on sidewall",), "bulge on sidewall"), (("work", "note cord is cut"), "cord is cut"),
        (("change the thingy to 14",), "thingy"),
    ],
)  # fmt: skip
def test_what_is_refused_or_only_noted_stands_on_the_card(lines: tuple[str, ...], words: str) -> None:
    consultation, told = ended(*TOGETHER, *lines)
    card = consultation.card()
    assert card.verdict is not Verdict.REPAIR or words in str(card.short.do_now[0]), told


def test_a_figure_said_anew_as_a_find_is_no_longer_lost() -> None:
    consultation, told = ended(*TOGETHER, "work", "tick 1-6", "6 mm", "found 6 mm")
    assert "not counted" not in str(consultation.card().short.do_now), told


@pytest.mark.parametrize("said", ["drive but its gone bald", "drive, run flat for 2 miles", "truck and it is bald"])
def test_what_is_asked_back_beside_an_answer_is_asked(said: str) -> None:
    """Though its question was answered before: a repair does not stand on the answer that was spoken over."""
    consultation, told = ended(*TOGETHER[:-1], said, "yes", "truck", "drive")
    card = consultation.card()
    assert card.verdict is not Verdict.REPAIR or "run soft" in told.rpartition("REPAIR:")[2], told


@pytest.mark.parametrize("said", ["drive no steer", "crown no sidewall", "crown, no, the shoulder"])
def test_a_choice_set_right_in_the_same_breath_is_not_taken(said: str, in_order: None) -> None:
    place = ONE_BY_ONE.index("crown" if "crown" in said else "drive")
    consultation, told = ended(*in_place(place, said), "yes")
    assert consultation.card().verdict is not Verdict.REPAIR, told


@pytest.mark.parametrize("asked", ["does it matter that it was run flat", "should i worry the bead is torn"])
def test_a_worry_that_names_a_finding_says_that_it_counts_for_nothing(asked: str) -> None:
    told = ended(*TOGETHER, asked)[1]
    assert "A question counts for nothing" in told or "Noted, not counted" in told


@pytest.mark.parametrize(
    ("said", "words"),
    [("might be a bulge in it", "bulge"), ("could have been run flat", "flat"), ("maybe a bit of rust", "rust")],
)
@pytest.mark.parametrize("place", range(3))
def test_a_doubt_that_an_answer_passed_over_stands_on_the_card_of_a_repair(said: str, words: str, place: int) -> None:
    consultation, told = ended(*TOGETHER[:place], said, "yes", *TOGETHER[place:])
    card = consultation.card()
    assert card.verdict is not Verdict.REPAIR or words in str(card.short.do_now[0]), told


def test_a_doubt_that_was_borne_out_or_is_milder_is_no_news(in_order: None) -> None:
    consultation, told = ended("maybe a truck", "yes", *ONE_BY_ONE)
    assert consultation.card().verdict is Verdict.REPAIR
    assert "in doubt" not in str(consultation.card().short.do_now), (consultation.notes, told)


@pytest.mark.parametrize("behind", [" sidewall cracked", ", sidewall cracked", " cracked", " with a ragged hole"])
def test_damage_behind_a_print_stands_on_the_card_of_a_repair(behind: str, in_order: None) -> None:
    printed = ONE_BY_ONE[2]
    consultation, _ = ended(*ONE_BY_ONE[:2], printed + behind, "yes", *ONE_BY_ONE[3:])
    card = consultation.card()
    assert behind.split()[-1] in card.short.do_now[0] or "ragged" in card.short.do_now[0]


@pytest.mark.parametrize("word", ["ragged", "oblong"])
def test_one_word_of_a_sentence_that_is_not_understood_stands_on_the_card_of_a_repair(
    word: str, in_order: None
) -> None:
    place = ONE_BY_ONE.index("through")
    consultation, _ = ended(*ONE_BY_ONE[:place], f"through, {word}", "yes", *ONE_BY_ONE[place + 1 :])
    assert word in consultation.card().short.do_now[0]


@pytest.mark.parametrize("said", ["1010 not 2319", "1010 or 2319", "1010 2319"])
def test_two_date_codes_are_refused(said: str, in_order: None) -> None:
    consultation, told = ended(*in_place(ONE_BY_ONE.index("2319"), said))
    assert "2 dates in it" in told
    assert consultation.card().verdict is not Verdict.REPAIR or said in consultation.card().short.do_now[0]


def said_on_the_card_of_a_repair(*lines: str) -> str:
    """What the card says ahead of all else, where the lines end in repair; else the verdict."""
    card = ended(*lines)[0].card()
    return card.short.do_now[0] if card.verdict is Verdict.REPAIR else card.verdict.name


@pytest.mark.parametrize(
    "tail", ["flat", "wet", "two nails", "repaired", "run on rim", "burst", "kerbed", "old", "ROF"]
)
@pytest.mark.parametrize("print_", ["275/70R22.5 148/145M", "275/70R22.5 148/145M LRH TUBELESS"])
def test_no_word_behind_a_print_is_swallowed(tail: str, print_: str, in_order: None) -> None:
    lines = (*ONE_BY_ONE[:2], f"{print_} {tail}", "yes", *ONE_BY_ONE[3:])
    if "TUBELESS" not in print_:
        lines = tuple(line for line in lines if line != "yes" or lines.index(line) != 3)
        lines = (*lines[:3], "tubeless", *lines[3:])
    first = said_on_the_card_of_a_repair(*lines)
    assert first not in ("REPAIR", "Work through the steps in order.")
    assert first in ("HOLD", "SCRAP", "REFER") or tail.split()[-1].casefold() in first.casefold()


@pytest.mark.parametrize(
    ("place", "said", "word"),
    [
        ("through", "through, water inside", "water"),
        ("through", "through, both of them", "both"),
        ("through", "through, wet", "wet"),
        ("through", "through, slash", "slash"),
        ("through", "through, 2x", "2"),
        ("crown", "crown, 3 of them", "3"),
        ("drive", "drive axle, will be put on front", "front"),
    ],
)
def test_a_telling_word_that_nothing_was_made_of_stands_on_the_card_of_a_repair(
    place: str, said: str, word: str, in_order: None
) -> None:
    at = ONE_BY_ONE.index(place)
    first = said_on_the_card_of_a_repair(*ONE_BY_ONE[:at], said, "yes", *ONE_BY_ONE[at + 1 :])
    assert word in first or first == "HOLD"


@pytest.mark.parametrize(
    ("question", "said", "word"),
    [
        ("tread-depth", "7/32 in, bald on the inside", "bald"),
        ("injury-size", "6 mm, slit", "slit"),
        ("injury-zone", "crown, cut", "cut"),
        ("injury-angle", "10, other one 50", "50"),
        ("dot-code", "14 mm hole by the way", "14 mm"),
        ("found-pressure", "20 mm hole by the way", "20 mm"),
        ("injury-depth", "through, slanting", "slanting"),
        ("injury-depth", "through, screw at a slant", "slant"),
        ("wheel-position", "drive axle, soft", "soft"),
    ],
)
@pytest.mark.parametrize("one_by_one", [True, False])
def test_what_altered_an_answer_or_was_left_open_stands_on_the_card_when_it_was_answered_without_it(
    question: str, said: str, word: str, one_by_one: bool
) -> None:
    card = said_where_asked(TRUCK | {"dot-code": "2319"}, question, said, in_order=one_by_one).card()
    assert card.verdict is Verdict.REPAIR and word in card.short.do_now[0]


@pytest.mark.parametrize("said", ["all good", "clean", "nope", "no more", "rest is fine"])
def test_a_line_that_tells_of_nothing_bad_leaves_no_notice(said: str, in_order: None) -> None:
    at = ONE_BY_ONE.index("none")
    consultation, _ = ended(*ONE_BY_ONE[:at], said, *ONE_BY_ONE[at:])
    assert not any(said in line for line in consultation.card().short.do_now)


@pytest.mark.parametrize("said", ["through, not torn", "through, no cuts or tears", "is it wet? through"])
def test_what_is_denied_or_asked_is_not_passed_over(said: str) -> None:
    assert Consultation(judge_of("us-road"), TODAY).listener.hear(said).passed_over == ()


@pytest.mark.parametrize(
    ("place", "said"),
    [
        ("6 mm", "14+"),
        ("6 mm", ">6"),
        ("6 mm", "6/14"),
        ("10", "40+"),
        ("104 psi", "<5"),
        ("9/32", "<2/32"),
        ("9/32", "none"),
        ("none", "2?"),
        ("none", "NG"),
        ("none", "cut"),
        ("none", "gone"),
        ("none", "💥"),
        ("crown", "3?"),
    ],
)
def test_a_short_line_that_is_refused_is_no_slip_of_a_key(place: str, said: str, in_order: None) -> None:
    at = ONE_BY_ONE.index(place)
    assert f'{said}"' in said_on_the_card_of_a_repair(*ONE_BY_ONE[:at], said, *ONE_BY_ONE[at:])


@pytest.mark.parametrize("said", ["#2", "(2)", "2)", '"2"', "2."])
def test_a_number_of_the_list_with_a_sign_about_it_is_that_number(said: str, in_order: None) -> None:
    at = ONE_BY_ONE.index("none")
    with_sign, plain_one = (ended(*ONE_BY_ONE[:at], each)[0] for each in (said, "2"))
    assert with_sign.case == plain_one.case


@pytest.mark.parametrize(
    "said",
    ["technician Joe, cord showing", "technician Bob found another hole in the sidewall", "technician Joe saw rust"],
)
def test_a_finding_behind_the_technician_stands_on_the_card(said: str, in_order: None) -> None:
    assert "Noted, not counted" in said_on_the_card_of_a_repair(said, *ONE_BY_ONE)


def test_a_technicians_name_is_no_news(in_order: None) -> None:
    assert said_on_the_card_of_a_repair("technician Joe", *ONE_BY_ONE).startswith("Work through")


@pytest.mark.parametrize(
    "said", ["no bulge outside, inside yes", "no bulge inside, outside yes", "outside no bulge, inside definitely"]
)
def test_what_is_denied_at_one_place_and_there_at_another_is_not_denied(said: str, in_order: None) -> None:
    at = ONE_BY_ONE.index("none")
    first = said_on_the_card_of_a_repair(*ONE_BY_ONE[:at], said, "yes", *ONE_BY_ONE[at:])
    assert "side" in first or first in ("HOLD", "SCRAP", "REFER")


@pytest.mark.parametrize(
    "said",
    [
        "may I repair it, there is a hole in the shoulder too",
        "how deep may it be, tread is 1/32",
        "why not, there is a bulge",
    ],
)
def test_what_a_question_goes_on_to_state_is_shown_back(said: str, in_order: None) -> None:
    consultation, told = ended(*ONE_BY_ONE[:4], said)
    assert consultation.pending is not None and consultation.pending.answers, told


def test_a_letter_of_the_list_of_finds_counts_without_the_word() -> None:
    before, after = (ended(*TOGETHER, "work", "found", each)[0] for each in ("found e", "e"))
    assert after.case == before.case != ended(*TOGETHER, "work")[0].case


@pytest.mark.parametrize(
    ("question", "said"),
    [
        ("more-injuries", "no, yes"),
        ("findings", "none, yes one"),
        ("findings", "none, one"),
        ("inside-signs", "none, one"),
        ("more-injuries", "no, a couple"),
        ("findings", "none, there is"),
        ("more-injuries", "no and one"),
    ],
)
@pytest.mark.parametrize("one_by_one", [True, False])
def test_a_yes_behind_a_no_in_the_same_line_is_no_no(question: str, said: str, one_by_one: bool) -> None:
    card = said_where_asked(TRUCK, question, said, in_order=one_by_one).card()
    assert card.verdict is not Verdict.REPAIR or f'"{said}"' in card.short.do_now[0]


@pytest.mark.parametrize(
    "line", ["off, all looked at, none, no more, yes one", "off, none, yes there is, no more", "off, yes, no more"]
)
def test_a_yes_among_answers_is_not_swallowed(line: str) -> None:
    consultation, _ = ended(*TOGETHER[:2], line, "yes", *TOGETHER[2:])
    card = consultation.card()
    assert card.verdict is not Verdict.REPAIR or "yes" in card.short.do_now[0]


@pytest.mark.parametrize("behind", ["cord", "and another one", "2 of them", "wider inside", "14", "rest is bad"])
def test_what_stands_behind_a_yes_at_a_read_back_is_not_lost(behind: str, in_order: None) -> None:
    consultation, _ = ended(*ONE_BY_ONE[:3], "through the tread, wet", f"yes, {behind}", "yes", *ONE_BY_ONE[3:])
    card = consultation.card()
    assert card.verdict is not Verdict.REPAIR or behind in card.short.do_now[0]


@pytest.mark.parametrize("part", ["outer crown", "crown side"])
def test_a_word_that_moves_a_place_is_not_passed_over(part: str) -> None:
    line = f"6 mm round 10° {part} through".replace("° ", "°, ").replace(" through", ", through")
    consultation, _ = ended(*TOGETHER[:3], line, "yes", "6 mm round 10° crown through", *TOGETHER[4:])
    card = consultation.card()
    assert card.verdict is not Verdict.REPAIR or part in card.short.do_now[0] or "outer" in card.short.do_now[0]


@pytest.mark.parametrize(
    "said",
    [
        "unit covers a split in the liner",
        "unit B4711 laid over an old patch",
        "unit lifted at the edge, liner bubbled",
        "torque wrench slipped, bead tore",
        "cement use by 2024-05, tube inside",
    ],
)
@pytest.mark.parametrize("work", [("work",), ("work", "tick", "tick", "tick")])
def test_bad_news_in_a_field_of_the_work_stands_on_the_card(said: str, work: tuple[str, ...]) -> None:
    card = ended(*TOGETHER, *work, said)[0].card()
    assert card.verdict is Verdict.REPAIR and f'not counted: "{said}"' in card.short.do_now[0]


@pytest.mark.parametrize("said", ["unit batch B4711", "unit name round patch 45 mm", "cement use by 2027-05"])
def test_a_field_of_the_work_is_no_news(said: str) -> None:
    card = ended(*TOGETHER, "work", said)[0].card()
    assert "not counted" not in card.short.do_now[0]
