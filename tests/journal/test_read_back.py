"""What was typed is read back: any text that is taken comes back equal, whichever way it went."""

from __future__ import annotations

import io
import json
import re
import sqlite3
from collections.abc import Iterator
from contextlib import closing, redirect_stderr, redirect_stdout
from functools import cache
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.cli import main
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.engine.evaluator import Judge
from advisor.journal.casing_history import visits_of
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.events import draft
from advisor.journal.recorder import verdict_data
from advisor.journal.rejudge import rejudged
from advisor.journal.resume import begin_recording, offers, take_up_record
from advisor.journal.state_diff import saved_data
from advisor.loader.answer_codec import answer_of_cell, cell_of, check_fit, read, read_typed, write, written
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.case_rows import guarded, unguarded
from advisor.loader.reader import Diagnostics
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.case import TIRE, Answer, Case, Readings
from advisor.model.problems import Misread, Problems, json_shown
from advisor.model.quantity import UNITS, Measure, read_measure, units_for
from advisor.model.ruleset import Question
from advisor.model.saved import Saved
from advisor.nlu.case_of import as_json, as_yaml_lines
from advisor.nlu.pipeline import Listener
from tests.journal.record_support import SAID, TODAY, journal_in
from tests.longer import first

RULE_SETS = ("us-road", "uk-road", "de-road", "demo-shop")
BARE = ("2", "9", "8-10", "about 9", "9, 8, 7", "3 or 4", "5.5", "10±2", "7; 8/32; 6 mm", "2…3", "about 3 or 4")
TEXTS = (
    *BARE, "9/32", "9/32 in", '9/32"', "about 9/32", "8/32-9/32", "5 mm", "0", "1/4", "about 3/8", '1 1/2"', "30 deg",
    "about 30", "10-20", "10 ± 2 mm", "2:00", "about 2:00", "11:45-12:15", "60 deg", "1:30", "2 o'clock", "92 psi",
    "90-95", "about 92 psi", "640 kPa", "54 F", "-35 mm", "−35 mm", "+20", "65 %", "none", "1", "1, 2", "no 1",
    "no 1, no 2, no 3, no 4, no 5, no 6, no 7, no 8, no 9, no 10, no 11, no 12", "1, no 2", "can't tell", "no idea",
    "wear bar flush", "9/32, wear bar flush, 5 mm", "2319", "DOT 2319", "275/70R22.5 148/145M", ";=1+1", "=1+1",
    "＝1+1", "'x", "a;b", '{"answer":1}', "no bulge; rust", "the rest not looked for", "\x1b[31mred", "\x01" * 200,
    "a\u2028b", "x" * 500, "Zoë \N{WHEEL}", ",".join(["9"] * 70), ",".join(["9"] * 300), "9" + " " * 70 + "mm",
    "about " + "9" * 9 + "." + "9" * 9, "no", "yes", "unknown", "; ", "-0", "1-1/2", "2 cm", "1,5, 2,5",
)  # fmt: skip

_number = st.one_of(
    st.integers(0, 200).map(str),
    st.decimals(0, 99, places=2).map(str),
    st.tuples(st.integers(0, 40), st.sampled_from([2, 4, 8, 16, 32, 3])).map(lambda pair: f"{pair[0]}/{pair[1]}"),
    st.tuples(st.integers(1, 3), st.integers(1, 7)).map(lambda pair: f"{pair[0]} {pair[1]}/8"),
    st.integers(0, 12 * 60).map(lambda minutes: f"{minutes // 60}:{minutes % 60:02d}"),
)
_unit = st.sampled_from(["", "", "", " mm", "mm", " in", '"', "/32", "/32nds", " 32nds", " psi", " kPa", " bar", "°",
                         " deg", " C", " F", " %", " cm"])  # fmt: skip
_figure = st.builds(
    lambda about, sign, one, unit, joint, two, last: f"{about}{sign}{one}{unit}{joint}{two}{last}" if joint
    else f"{about}{sign}{one}{unit}",
    st.sampled_from(["", "", "", "about ", "~", "approx. "]),
    st.sampled_from(["", "", "", "-", "+"]),
    _number, _unit,
    st.sampled_from(["", "", "", "-", " - ", " to ", " or ", "±", " ± ", "–", "...", "…"]),
    _number, _unit,
)  # fmt: skip
TYPED = st.one_of(
    st.sampled_from(TEXTS),
    _figure,
    st.lists(_figure, min_size=2, max_size=4).map(", ".join),
    st.lists(_figure, min_size=2, max_size=3).map("; ".join),
    st.text(max_size=30),
)


@cache
def judge_of(rules: str) -> Judge:
    return Judge(load_rule_set(find_rule_set(rules)))


def _taken(question: Question, text: str) -> Answer | None:
    try:
        return read_typed(question, text)
    except Misread:
        return None


def _same(one: Answer | None, other: Answer | None) -> None:
    assert one == other
    if isinstance(one, Measure | Readings):
        assert str(one) == str(other)


def _through_everything(question: Question, answer: Answer, rules: str) -> None:
    """The codec's own ways: data, the check, a guarded cell, a case file."""
    kept = json.loads(json.dumps(write(answer)))
    _same(read(kept, question), answer)
    check_fit(answer, question)
    notes = Diagnostics("")
    _same(answer_of_cell(unguarded(guarded(cell_of(answer, question))), question, notes), answer)
    assert not notes.problems
    case = {question.key: written(answer)}
    parts = {"tire": {"answers": case}, "injuries": {"injuries": [case]}}
    data = parts.get(question.over, {"answers": {"earlier-repairs": [case]}})
    (text,) = split_cases(json.dumps(data, ensure_ascii=False), "case.json")
    try:
        back = read_case(text, judge_of(rules).rules, TODAY)
    except Problems as error:
        assert {each.id for each in error.problems} <= {"impossible-measure", "bad-date-code"}, str(error)
        return
    _same(back.get(question.over, (question.id, TIRE if question.over == "tire" else 0)), answer)


@pytest.mark.parametrize("rules", RULE_SETS)
@pytest.mark.parametrize("text", TEXTS)
def test_each_of_these_is_read_back_from_every_form(rules: str, text: str) -> None:
    for question in judge_of(rules).rules.questions.values():
        if (answer := _taken(question, text)) is not None:
            _through_everything(question, answer, rules)


@settings(max_examples=400, deadline=None)
@given(rules=st.sampled_from(RULE_SETS), text=TYPED)
def test_any_text_that_is_taken_is_read_back_from_every_form(rules: str, text: str) -> None:
    for question in judge_of(rules).rules.questions.values():
        if (answer := _taken(question, text)) is not None:
            _through_everything(question, answer, rules)


@settings(max_examples=600, deadline=None)
@given(quantity=st.sampled_from(sorted({unit.quantity for unit in UNITS.values()})), text=_figure, data=st.data())
@example(quantity="length", text="8-10", data=None)
@example(quantity="length", text="about 0..0.5", data=None)
def test_the_words_of_a_measure_read_as_that_measure(quantity: str, text: str, data: st.DataObject | None) -> None:
    """Without any unit to fall back on: what is shown of a measure is all that is needed to read it again."""
    unit = "32nds" if data is None else data.draw(st.sampled_from(["", *units_for(quantity)]))
    try:
        measure = read_measure(text, quantity, unit)
    except Misread:
        return
    assert read_measure(str(measure), quantity) == measure


# A whole record: journal, resume, export, import, report, casings --show, judged again


def _base(rules: str) -> Case:
    consultation = Consultation(judge_of(rules), TODAY)
    for _ in range(60):
        if consultation.ask is None:
            break
        say(consultation, SAID.get(consultation.ask.key[0], "skip"))
    return consultation.case


def _typed_in(rules: str, texts: dict[str, str]) -> Iterator[Consultation]:
    """Consultations in which these texts were typed to these questions, each beside answers that end it."""
    consultation = Consultation(judge_of(rules), TODAY)
    consultation.resume(Saved(_base(rules)))
    for name, text in texts.items():
        question = judge_of(rules).rules.questions[name]
        key = (name, TIRE if question.over == "tire" else 0)
        answer = _taken(question, text)
        if answer is None or question.id.startswith("more-"):
            continue
        if any(node.asks == name for node in consultation.judge.rules.nodes.values()):
            consultation.change(key)
            consultation.answer(text)
        else:
            consultation.take_several([(key, answer)])
        if consultation.pending is not None:
            consultation.back()
        consultation.go_on()
        yield consultation


def _recorded(folder: Path, consultation: Consultation, rules: str) -> str:
    """Kept as a consultation of the casing T42; gives its id."""
    journal = journal_in(folder)
    keeper = begin_recording(journal, consultation.judge.rules)
    keeper.add("casing", "T42")
    keeper.keep(consultation.saved, consultation.judgement)
    journal.close()
    return keeper.consultation


def _comes_back(folder: Path, consultation: Consultation, rules: str) -> None:
    case, here = consultation.case, consultation.judge
    name = _recorded(folder / "a", consultation, rules)
    journal = journal_in(folder / "a")
    (offer,) = offers(journal, here.rules.about.id)
    taken = take_up_record(journal, offer, here.rules)
    assert taken is not None and taken.saved.case == case and taken.says == ()
    taken.keeper.end()
    journal.close()
    shown = _printed("casings", "--show", "T42", "--data", f"{folder}/a", "--rules", rules)
    report = _printed("report", name, "--data", f"{folder}/a", "--rules", rules)
    assert "left out" not in report and consultation.judgement.verdict.name in report
    for ending in (".jsonl", ".csv"):
        file = f"{folder}/out{ending}"
        _printed("casings", "--export", file, "--data", f"{folder}/a", "--rules", rules)
        home = f"{folder}/in{ending}"
        said = _printed("casings", "--import", file, "--data", home, "--rules", rules)
        assert "1 new" in said and "not taken" not in said
        with closing(sqlite3.connect(f"{home}/{FILE_NAME}")) as db:
            (visit,) = visits_of(db, "T42")
            assert visit.case == case
            (again,) = rejudged(db, here, here, here.rules.about.id)
            assert (again.new, again.not_fitting, again.problem) == (again.recorded, (), "")
            assert again.recorded == str(consultation.judgement.verdict)
        assert _hashless(_printed("report", name, "--data", home, "--rules", rules)) == _hashless(report)
        if ending == ".jsonl":
            assert _printed("casings", "--show", "T42", "--data", home, "--rules", rules) == shown


def _hashless(report: str) -> str:
    """A report without the hash of its record: taken in from a file, it is chained anew."""
    bare, count = re.subn(r"\b[0-9a-f]{64}\b", "", report)
    assert count == 1
    return bare


def _printed(*words: str) -> str:
    out, err = io.StringIO(), io.StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = main([*words])
    assert code == 0, out.getvalue() + err.getvalue()
    return out.getvalue()


@pytest.mark.parametrize("text", first(5, BARE))
def test_a_bare_tread_depth_is_recorded_and_comes_back(tmp_path: Path, text: str) -> None:
    (consultation,) = _typed_in("us-road", {"tread-depth": text})
    _comes_back(tmp_path, consultation, "us-road")


@settings(max_examples=3, deadline=None)
@given(rules=st.sampled_from(RULE_SETS), data=st.data())
def test_any_texts_that_are_taken_come_back_from_a_record(
    rules: str, data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    texts = {name: data.draw(TYPED) for name in judge_of(rules).rules.questions}
    for last in [*_typed_in(rules, texts)][-1:]:
        _comes_back(tmp_path_factory.mktemp("any"), last, rules)


# What an earlier edition of the program kept


OLD_FORMS = {
    "2": {"low": "2", "unit": "32nds", "typed": "2/32 in"},
    "8-10": {"low": "8", "high": "10", "unit": "32nds", "typed": "8-10/32 in"},
    "about 9": {"low": "81/10", "high": "99/10", "unit": "32nds", "typed": "about 9/32 in"},
    "3 or 4": {"low": "3", "high": "4", "unit": "32nds", "typed": "3 or 4/32 in"},
    "5.5": {"low": "11/2", "unit": "32nds", "typed": "5.5/32 in"},
}


@pytest.mark.parametrize("text", OLD_FORMS)
def test_a_bare_figure_that_an_earlier_edition_kept_has_its_meaning(text: str) -> None:
    question = judge_of("us-road").rules.questions["tread-depth"]
    assert read({"readings": [OLD_FORMS[text]]}, question) == read_typed(question, text)


def test_a_figure_beside_other_words_is_still_refused() -> None:
    question = judge_of("us-road").rules.questions["tread-depth"]
    for forged in ({"low": "9", "unit": "32nds", "typed": "2/32 in"}, {"low": "1/4", "unit": "in", "typed": "2/32 in"}):
        with pytest.raises(Misread):
            read({"readings": [forged]}, question)


@pytest.mark.parametrize("ending", [".jsonl", ".csv"])
def test_a_scrap_that_an_earlier_edition_kept_stays_one(tmp_path: Path, ending: str) -> None:
    """The entries as they were written then; they are read, reported, judged again, carried out and in."""
    old = {"readings": [OLD_FORMS["2"]]}
    journal = journal_in(tmp_path / "a")
    here = judge_of("us-road")
    case = replace(_base("us-road"), answers={**_base("us-road").answers, "tread-depth": Readings(())})
    scrap = replace(case, answers={**case.answers, "tread-depth": read(old)})
    data = json.loads(json.dumps(verdict_data(scrap, here.judge(scrap))))
    whole = json.loads(json.dumps(saved_data(Saved(scrap))))
    data["case"]["answers"]["tread-depth"] = whole["case"]["answers"]["tread-depth"] = old
    digest, name, at = here.rules.digest, "260314-0a1b2c3d4e", "2026-03-14T09:00:00.000000Z"
    begun = {"rules": "us-road", "edition": here.rules.about.edition, "today": "2026-03-14", "program": "1.0"}
    kinds = [("begin", begun), ("casing", {"casing": "T42"}), ("case", whole), ("verdict", data)]
    journal.append([draft(name, at, kind, digest, body) for kind, body in kinds])
    journal.close()
    assert "SCRAP" in _printed("report", name, "--data", f"{tmp_path}/a")
    file = f"{tmp_path}/out{ending}"
    _printed("casings", "--export", file, "--data", f"{tmp_path}/a")
    assert "1 new" in _printed("casings", "--import", file, "--data", f"{tmp_path}/b")
    assert "SCRAP" in _printed("report", name, "--data", f"{tmp_path}/b")


# Sentences: the case file that is printed reads as what was understood

SENTENCES = (
    "drive axle of a truck, tread 9/32, screw in the crown about 8 mm, straight in, no cord, no bulge",
    "tread 8-10 thirty-seconds, 30 psi, set 35, found at about 2:00, off centre 20 mm",
    "car, P215/60R16 95H, made 2319, two nails: one 4 mm at 10 degrees, the other 3/16 in the shoulder",
    "worn to the bars, no exposed cord, no bulge, no separation, no bead damage, nothing found",
    "earlier repair at 7:30, 20 mm off centre, sound; humidity 65 %, 12 C",
    "humidity 0…1 1/8°",
    "shop at 68 1/2 degrees, injury 1 1/8 by 3/4 in",
)
_WORDS = st.sampled_from([word for sentence in SENTENCES for word in sentence.split()])


def _hears_and_reads(rules: str, sentence: str) -> None:
    here = judge_of(rules).rules
    heard = Listener(here).hear(sentence)
    for text in ("\n".join(as_yaml_lines(heard, here)), json_shown(as_json(heard, here))):
        (one,) = split_cases(text, "heard")
        try:
            case = read_case(one, here, TODAY)
        except Problems as error:
            assert {each.id for each in error.problems} <= {"impossible-measure", "bad-date-code"}, str(error)
            continue
        for each in heard.understood:
            _same(case.get(each.over, each.key), each.answer)


@pytest.mark.parametrize("rules", RULE_SETS)
@pytest.mark.parametrize("sentence", SENTENCES)
def test_a_sentence_is_read_back_as_it_was_understood(rules: str, sentence: str) -> None:
    _hears_and_reads(rules, sentence)


@settings(max_examples=60, deadline=None)
@given(
    rules=st.sampled_from(RULE_SETS),
    words=st.lists(st.one_of(_WORDS, _WORDS, _figure, st.sampled_from(TEXTS), st.text(max_size=6)), max_size=14),
)
def test_any_sentence_is_read_back_as_it_was_understood(rules: str, words: list[str]) -> None:
    _hears_and_reads(rules, " ".join(words))
