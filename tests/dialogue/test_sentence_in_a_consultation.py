"""A sentence in a consultation: shown back, confirmed or corrected before it counts; nothing typed is lost."""

from datetime import date

import pytest

from advisor.console.session_lines import message_lines
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.model.case import Case, Choice
from advisor.tui.rendering import message_turn
from tests.dialogue.talk_cases import judge

SENTENCE = "drive axle off a box truck, screw dead centre, about 8 mm, straight in, tread 9/32, blorp"


def talk(*lines):
    consultation = Consultation(judge(), date(2026, 3, 14))
    messages = [message for line in lines for message in say(consultation, line)]
    return consultation, "\n".join(line for message in messages for line in message.texts)


def test_it_is_shown_back_and_does_not_count_yet():
    consultation, text = talk(SENTENCE)
    assert consultation.case.answers == {} and consultation.case.injuries == ()
    for words in ("wheel position: Drive axle", "zone: Crown", "width: about 8 mm", "blorp", "not counted"):
        assert words in text
    assert consultation.ask.question.id == "understood"


@pytest.mark.parametrize("yes", ["yes", "correct", "1", "OK", "that's right"])
def test_it_counts_once_confirmed(yes):
    consultation, _ = talk(SENTENCE, yes)
    assert consultation.case.answers["wheel-position"] == Choice("drive")
    assert str(consultation.case.injuries[0]["injury-size"]) == "about 8 mm"
    assert "more-injuries" not in consultation.case.injuries[0]
    assert any("blorp" in note for note in consultation.notes)


@pytest.mark.parametrize("no", ["no", "2", "drop it", "back"])
def test_it_can_be_dropped(no):
    consultation, text = talk(SENTENCE, no)
    assert consultation.case == Case(today=date(2026, 3, 14))
    assert consultation.ask.question.id == "vehicle"
    assert "Nothing of it counts" in text


def test_it_can_be_corrected_before_it_counts():
    consultation, _ = talk(SENTENCE, "no, the steer axle", "yes")
    assert consultation.case.answers["wheel-position"] == Choice("steer")
    assert consultation.case.answers["vehicle"] == Choice("truck")
    assert any("blorp" in note for note in consultation.notes)


def test_one_answer_can_be_taken_out():
    consultation, text = talk(SENTENCE)
    number = next(line.strip()[0] for line in text.split("\n") if "tread depth" in line)
    say(consultation, f"not {number}")
    say(consultation, "yes")
    assert "tread-depth" not in consultation.case.answers and "vehicle" in consultation.case.answers


def test_an_earlier_answer_is_corrected_and_the_change_is_said():
    consultation, text = talk("truck", "drive", "skip", "no, the steer axle")
    assert "until now: Drive axle" in text
    assert consultation.case.answers["wheel-position"] == Choice("drive")
    say(consultation, "yes")
    assert consultation.case.answers["wheel-position"] == Choice("steer")


def test_two_injuries_in_one_sentence():
    consultation, _ = talk("truck", "two screws, one in the crown 6 mm and one in the shoulder 8 mm", "yes")
    first, second = consultation.case.injuries
    assert (first["injury-zone"], second["injury-zone"]) == (Choice("crown"), Choice("shoulder"))
    assert first["more-injuries"] == Choice("yes") and "more-injuries" not in second


def test_what_changed_in_the_verdict_is_said():
    _, text = talk("car", "sidewall cut goes all the way through, passenger tire", "yes")
    assert "SCRAP" in text


def test_questions_back_change_nothing():
    asked = ("how do I measure the angle?", "what would 30 degrees change?", "what's a liner?", "why do you ask?")
    consultation, text = talk("truck", *asked, "why not repair?", "how sure", "least change")
    assert set(consultation.case.answers) == {"vehicle"} and consultation.pending is None
    assert "protractor" in text and "Nothing in the case was changed" in text


def test_a_question_back_leaves_a_waiting_sentence_waiting():
    consultation, _ = talk(SENTENCE, "why not repair?", "how do I measure the angle?")
    assert consultation.pending is not None
    say(consultation, "yes")
    assert consultation.case.answers


@pytest.mark.parametrize("text", ["just say it passes", "make it pass", "this stupid thing", "pencil whip it"])
def test_orders_and_rude_words_get_a_calm_line(text):
    consultation, said = talk("truck", text)
    assert "can't be talked into a verdict" in said
    assert set(consultation.case.answers) == {"vehicle"}
    assert consultation.notes == (text,)


def test_an_answer_that_fits_two_questions_is_proposed_with_both():
    consultation, text = talk("truck", "92 psi")
    assert "may have heard" in text and "the pressure found, or the one it should have?" in text
    assert set(consultation.case.answers) == {"vehicle"}


NOVEL = "It was a dark and stormy night and the driver told me a long story about his life. " * 400


@pytest.mark.parametrize(
    "text",
    [NOVEL, "шина прицепа 8 мм", "轮胎", "😀😀😀", "\x00\x1b[31m", "-" * 500, "1" * 500, "no " * 400, "/" * 300, "9/0"],
)
def test_odd_input_is_taken_calmly(text):
    consultation, said = talk("truck", text, "so far")
    assert set(consultation.case.answers) == {"vehicle"}
    assert "\x1b" not in said


def test_start_over_forgets_what_waits():
    consultation, _ = talk(SENTENCE, "start over")
    assert consultation.pending is None and consultation.notes == ()


def test_every_command_works_while_a_sentence_waits():
    from advisor.dialogue.talk_commands import _COMMANDS

    for command in _COMMANDS:
        consultation, _ = talk(SENTENCE, command)
        assert consultation.case.answers == {}, command


def test_stopping_waits_for_what_is_not_confirmed():
    consultation, text = talk(SENTENCE, "stop")
    assert consultation.pending is not None
    assert "First say yes to count it, or no to drop it" in text
    say(consultation, "no")
    assert consultation.pending is None and consultation.case.answers == {}


def test_a_bare_figure_corrects_the_one_measure_that_it_fits():
    consultation, _ = talk("hole in the crown about 8 mm, straight in", "no, 7 mm", "yes")
    assert str(consultation.case.injuries[0]["injury-size"]) == "7 mm"


@pytest.mark.parametrize(
    ("line", "size"),
    [
        ("yes except the width, thats 18 mm", "18 mm"),
        ("yes but the width, that's 18 mm", "18 mm"),
        ("yes but the width is more", None),
        ("the width is wrong", None),
        ("ok apart from the width", None),
    ],
)
def test_what_is_spoken_of_again_and_not_set_right_does_not_count(line, size):
    consultation, _ = talk("hole in the crown, 8 mm wide, straight in", line, "yes")
    injury = consultation.case.injuries[0]
    assert str(injury.get("injury-size")) == str(size)
    assert injury["injury-zone"] == Choice("crown") and "injury-angle" in injury


@pytest.mark.parametrize("line", ["no, cm", "sorry that was the cap", "actually larger"])
def test_a_correction_that_is_not_understood_asks_the_last_answer_again(line):
    consultation, _ = talk("hole in the crown, straight in, right through", "yes")
    consultation.change(("injury-size", 0))
    say(consultation, "8")
    consultation.change(("injury-length", 0))
    said = say(consultation, line)
    assert consultation.ask.key == ("injury-size", 0), said
    assert line in "\n".join(each for message in said for each in message.texts)


PRINTED = "truck drive axle 275/70R22.5 148/145M load range H tubeless"


@pytest.mark.parametrize(("sentence", "told"), [(PRINTED, True), (PRINTED.replace("load range H ", ""), False)])
def test_a_load_range_given_beside_the_print_is_not_missed(sentence, told):
    consultation, text = talk(sentence, "yes")
    assert ("load-range" in consultation.case.answers) == told
    assert ("does not tell: load range" in text) != told


def test_a_timer_asked_for_before_it_is_confirmed_says_what_is_open():
    _, text = talk(SENTENCE, "timer 10")
    assert "The work begins when that is answered" in text and "does not wait" not in text


@pytest.mark.parametrize("words", ["skip", "leave it out", "Leave out", "can't tell, or leave it out"])
def test_a_question_is_left_out_in_the_words_that_stand_beside_it(words):
    consultation, _ = talk("truck", "drive", "275/70R22.5 148/145M load range H", "tubeless", "no")
    assert consultation.ask.question.id == "dot-code"
    assert "left out" in say(consultation, words)[0].texts[0]
    assert consultation.ask.question.id != "dot-code"


@pytest.mark.parametrize(
    ("words", "says"), [("other rules", "uk-road"), ("?", "can't tell"), ("is it safe?", "ever says that")]
)
def test_what_a_newcomer_types_is_answered(words, says):
    consultation, text = talk("truck", words)
    assert says in text and consultation.ask.question.id == "wheel-position"


def test_each_ruling_that_an_answer_brings_is_led_in_alike():
    consultation, _ = talk("truck", "drive", "275/70R22.5 148/145M load range H")
    messages = say(consultation, "hole 11 mm in the crown, through") + say(consultation, "yes")
    brought = next(message for message in messages if message.kind == "reason")
    rulings = brought.blocks
    assert len(rulings) == 2
    assert sum(line.startswith("  Counts: ") for line in message_lines(brought)) == len(rulings)
    assert sum(para.lead == "Counts: " for para in message_turn(brought)) == len(rulings)


def test_what_to_do_now_is_not_said_of_less_than_what_counts_already():
    consultation, _ = talk("truck", "drive", "275/70R22.5 148/145M load range H")
    first = say(consultation, "run-flat marks inside, off the wheel") + say(consultation, "yes")
    assert any(message.kind == "do" and message.texts[0].startswith("SCRAP.") for message in first)
    later = say(consultation, "tread 1/32") + say(consultation, "yes")
    assert any(message.kind == "reason" for message in later)
    assert not any(message.kind == "do" for message in later)
