"""Nothing typed arrives milder than it was said: figures set against a later one, strokes, denials behind, softeners.

Each line is said twice: where a mild answer stands already, and where its question is put. Whatever comes of it, taken
by a yes or not, the mild answer does not stand alone.
"""

from __future__ import annotations

import json

import pytest

from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.loader.answer_codec import read_typed
from advisor.loader.case_file import read_case, split_cases
from advisor.model.case import Choices, Readings
from advisor.model.problems import Misread
from tests.laws.ledger import TODAY, judge_of

RULES = ("us-road", "uk-road", "de-road")
MILD = {
    "vehicle": "car",
    "found-pressure": "30 psi",
    "set-pressure": "33 psi",
    "run-low": "no",
    "demounted": "yes",
    "sealant": "no",
    "findings": ["none"],
    "tread-depth": "9 mm",
    "earlier-repairs": [],
}
MILD_INJURY = {
    "injury-depth": "through",
    "injury-zone": "crown",
    "injury-size": "6 mm",
    "injury-angle": "10 deg",
    "inside-signs": ["none"],
}
#: What is said, of which question, and what has to be reached: a figure at its worse end, a choice, a finding.
SAID = [
    ("6 mm hole, now 14 mm", "injury-size", 14),
    ("hole was 6 mm, now 14 mm", "injury-size", 14),
    ("hole was 6 mm but it is 14 mm now", "injury-size", 14),
    ("nail hole used to be 6 mm, 14 mm now", "injury-size", 14),
    ("hole 6 mm at first, today 14 mm", "injury-size", 14),
    ("hole was 14 mm, now 6 mm", "injury-size", 14),
    ("tread was 9 mm, now 1 mm", "tread-depth", 1),
    ("angle was 10 degrees, now 50", "injury-angle", 50),
    ("angle was 10 degrees, now 50 degrees", "injury-angle", 50),
    ("pressure found was 30 psi, now 0 psi", "found-pressure", 0),
    ("hole was in the crown, now in the shoulder", "injury-zone", "shoulder"),
    ("no bulge before, now there is one", "findings", "bulge"),
    ("no bulge yesterday, today there is one", "findings", "bulge"),
    ("no bulge until today", "findings", "bulge"),
    ("was never run flat, until today", "run-low", "yes"),
    ("no sealant until last week", "sealant", "yes"),
    ("loose cords, none", "inside-signs", "loose-cord"),
    ("none but rust, no", "inside-signs", "rust"),
    ("no rust but cords cut, no", "inside-signs", "loose-cord"),
    ("no bulge but cord showing, none", "findings", "exposed-cord"),
    ("cord showing, no, nothing", "findings", "exposed-cord"),
    ("it is corded", "findings", "exposed-cord"),
    ("canvas showing", "findings", "exposed-cord"),
    ("knot in the sidewall", "findings", "bulge"),
    ("bead wire kinked", "findings", "bead-damage"),
    ("there is delamination", "findings", "separation"),
    ("crumbs of rubber inside", "findings", "run-flat-signs"),
    ("limped in on the rim", "run-low", "yes"),
    ("it came in stone flat", "found-pressure", 0),
    ("hole 9.9 mm, maybe more", "injury-size", 10.1),
    ("hole is 9.9 mm plus", "injury-size", 10.1),
    ("hole 9.9+ mm", "injury-size", 10.1),
    ("hole is a good 10 mm", "injury-size", 10.1),
    ("hole is 10 mm and a bit", "injury-size", 10.1),
    ("hole 6 mm give or take 8", "injury-size", 14),
    ("hole 6 mm plus or minus 8 mm", "injury-size", 14),
]


def standing(rules: str) -> Consultation:
    """A consultation in which everything mild stands."""
    consultation = Consultation(judge_of(rules), TODAY)
    text = json.dumps({"answers": MILD, "injuries": [MILD_INJURY]})
    case = read_case(next(split_cases(text, "a test")), consultation.judge.rules, TODAY)
    consultation.resume(type(consultation.saved)(case))
    return consultation


def reaches(consultation: Consultation, name: str, worse: object) -> bool:
    """Whether an answer is open, or no milder than what was said."""
    question = consultation.judge.rules.questions[name]
    answer = consultation.case.get(question.over, (name, -1 if question.over == "tire" else 0))
    if answer is None or str(answer) in ("can't tell", "cant-tell"):
        return True
    if isinstance(answer, Choices):
        return worse in answer.present or (not answer.complete and worse not in (answer.absent or ()))
    if isinstance(worse, str):
        return str(answer) == worse
    for each in answer.readings if isinstance(answer, Readings) else (answer,):
        here = each.to({"length": "mm", "pressure": "psi", "angle": "deg"}[question.quantity])
        if here.low <= worse <= here.high or (here.low >= worse if question.worse == "above" else here.high <= worse):
            return True
    return False


@pytest.mark.parametrize("rules", RULES)
@pytest.mark.parametrize(("line", "name", "worse"), SAID)
def test_over_a_mild_answer(rules: str, line: str, name: str, worse: object) -> None:
    consultation = standing(rules)
    if name not in consultation.judge.rules.questions:
        pytest.skip("not asked by these rules")
    assert not reaches(consultation, name, worse)
    say(consultation, line)
    if consultation.state.pending:
        say(consultation, "yes")
    assert reaches(consultation, name, worse), line


#: At the prompt of a question; taken by its number or not, it stays open past what was said.
AT_THE_PROMPT = [
    ("it was 6 mm, now 14 mm", "injury-size", 14),
    ("9.9 mm plus", "injury-size", 10.1),
    ("it is 9.9 mm plus", "injury-size", 10.1),
    ("9.9+ mm", "injury-size", 10.1),
    ("9.9 mm, maybe more", "injury-size", 10.1),
    ("a good 10 mm", "injury-size", 10.1),
    ("pushing 10 mm", "injury-size", 10.1),
    ("north of 9.9 mm", "injury-size", 10.1),
    ("10 mm and a bit", "injury-size", 10.1),
    ("almost crown", "injury-zone", "shoulder"),
    ("crown almost", "injury-zone", "shoulder"),
    ("nearly in the crown", "injury-zone", "shoulder"),
]


@pytest.mark.parametrize("rules", RULES)
@pytest.mark.parametrize(("line", "name", "worse"), AT_THE_PROMPT)
def test_at_its_prompt(rules: str, line: str, name: str, worse: object) -> None:
    consultation = standing(rules)
    consultation.change((name, 0))
    say(consultation, line)
    if consultation.state.pending:
        say(consultation, "take 1")
    if consultation.state.pending:
        say(consultation, "yes")
    asked = consultation.ask is not None and consultation.ask.key == (name, 0)
    assert asked or reaches(consultation, name, worse), line


@pytest.mark.parametrize("rules", RULES)
@pytest.mark.parametrize("line", ["6/14 mm", "9/14 mm", "1/2 mm", "6/14", "3/10 in", "5/12 cm", "9/14 millimetres"])
def test_a_stroke_is_a_fraction_of_an_inch_or_refused(rules: str, line: str) -> None:
    consultation = standing(rules)
    consultation.change(("injury-size", 0))
    say(consultation, line)
    assert consultation.ask is not None and consultation.ask.key == ("injury-size", 0)
    with pytest.raises(Misread):
        read_typed(consultation.ask.question, line)


@pytest.mark.parametrize(("line", "inches"), [("3/8 in", "3/8 in"), ("1 1/2 in", "1 1/2 in"), ("5/16", "5/16 in")])
def test_fractions_of_an_inch_stay(line: str, inches: str) -> None:
    question = judge_of("us-road").rules.questions["injury-size"]
    assert str(read_typed(question, line)) == inches


@pytest.mark.parametrize("line", ["No 2", "no. 2", "number 2", "No2", "no 2, no 3"])
def test_a_number_in_the_list_is_not_denied_by_no(line: str) -> None:
    question = judge_of("us-road").rules.questions["findings"]
    with pytest.raises(Misread):
        read_typed(question, line)
    consultation = standing("us-road")
    consultation.change(("findings", -1))
    say(consultation, line)
    assert consultation.ask is not None and consultation.ask.key == ("findings", -1)
