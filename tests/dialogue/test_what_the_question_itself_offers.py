"""Words that the question put now offers, or that go with its figure, are its answer."""

from __future__ import annotations

import pytest

from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.model.case import CANT_TELL, Choices
from advisor.model.ruleset import Verdict
from tests.laws.test_bad_news_stays import said_on_the_card_of_a_repair
from tests.work.work_support import TODAY, judge_of

pytestmark = pytest.mark.free_order

PICKUP = (
    "pickup, front",
    "LT275/65R18 123/120S LOAD RANGE E TUBELESS, first tread, dot 2319, not run flat",
    "20/60, driven soft, 9/32 in",
    "through, crown",
)
INSIDE = ("off, no sealant, never patched, all looked at, none",)


def after(*lines: str) -> Consultation:
    consultation = Consultation(judge_of(), TODAY)
    for line in lines:
        say(consultation, line)
    return consultation


def told(consultation: Consultation, line: str) -> str:
    return " ".join(" ".join(text.split()) for message in say(consultation, line) for text in message.texts)


@pytest.mark.parametrize(
    ("line", "present"),
    [
        ("rubber dust and creases", {"creases", "rubber-dust"}),
        ("rubber dust", {"rubber-dust"}),
        ("creases, rubber dust", {"creases", "rubber-dust"}),
    ],
)
def test_words_of_the_list_asked_are_its_answer_though_another_list_has_them_too(line: str, present: set[str]) -> None:
    consultation = after(*PICKUP, "5 round, straight", *INSIDE)
    assert consultation.ask and consultation.ask.key[0] == "run-low-inside" and consultation.ask.beside
    say(consultation, line)
    assert consultation.case.answers["run-low-inside"] == Choices(frozenset(present))
    assert consultation.judgement.verdict is Verdict.SCRAP


def test_a_wrinkled_ring_round_the_sidewall_is_heard_as_a_sign_of_running_low() -> None:
    consultation = after(*PICKUP, "5 round, straight", *INSIDE)
    said = told(consultation, "hmm ok theres grey dust in the bottom n a wrinkled ring round the sidewall")
    assert "signs inside of running low: Creases, or a band worn into the liner, Rubber dust or crumbs" in said
    say(consultation, "take 1")
    say(consultation, "take 2")
    say(consultation, "yes")
    assert consultation.judgement.verdict is Verdict.SCRAP


@pytest.mark.parametrize("line", ["5 round", "5 round, straight", "5 mm round, straight"])
def test_a_width_that_is_round_asks_no_length(line: str) -> None:
    consultation = after(*PICKUP)
    said = told(consultation, line)
    assert "length: left out" in said and "width: 5 mm" in said
    assert consultation.ask and consultation.ask.key[0] != "injury-length"


def test_all_the_rest_unknown_is_said_of_one_question_as_of_several() -> None:
    consultation = after(*PICKUP, "5 round, straight", *INSIDE, "none", "none")
    assert consultation.ask and not consultation.ask.beside
    name, index = consultation.ask.key
    say(consultation, "rest can't tell")
    assert consultation.case.get("injuries", (name, index)) is CANT_TELL


def test_the_card_says_truly_what_became_of_a_doubt() -> None:
    lines = ("58/60, not driven soft, 9/32 in", "through, crown", "5 round, straight", "its inside is clean, no dust")
    answers = ("off", "none", "none", "none", "none", "no")
    first = said_on_the_card_of_a_repair(*PICKUP[:2], *lines, "yes", *answers)
    assert "answered otherwise" not in first
    assert "then answered the same" in first and "dust" in first
