"""More of anything than a tire has: refused while it is typed, or read back; never taken and not read again."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.journal.queries import entries_of, state_after
from advisor.journal.rejudge import rejudged
from advisor.journal.resume import begin_recording, offers
from advisor.journal.store import opened_to_read
from advisor.model.case import Answers, Case, Choice
from advisor.model.saved import Saved
from tests.journal.record_support import TALK, TODAY, journal_in, judge, talk

MORE = {"injuries": "more-injuries", "earlier-repairs": "more-repairs"}


def _base() -> Case:
    consultation = Consultation(judge(), TODAY)
    for line in TALK:
        say(consultation, line)
    return consultation.case


def _many(over: str, count: int, last: str | None) -> Case:
    """A case with that many injuries or earlier repairs; `last` says whether there is one more."""
    base, more = _base(), MORE[over]
    one: Answers = base.injuries[0] if over == "injuries" else {"repair-sound": Choice("yes")}
    items = [{**one, more: Choice("yes")} for _ in range(count)]
    items[-1] = {key: value for key, value in items[-1].items() if key != more}
    if last is not None:
        items[-1][more] = Choice(last)
    if over == "injuries":
        return Case(base.answers, (), tuple(items), TODAY)
    return Case({**base.answers, "earlier-repairs": Choice("yes")}, tuple(items), base.injuries, TODAY)


@pytest.mark.parametrize("over", MORE)
def test_one_more_than_can_be_kept_is_refused_when_it_is_typed_with_the_number(over: str) -> None:
    consultation = Consultation(judge(), TODAY)
    consultation.resume(Saved(_many(over, 99, None)))
    consultation.change((MORE[over], 98))
    before = consultation.case
    said = [text for message in say(consultation, "yes") for text in message.texts]
    assert any("99" in line for line in said), said
    assert consultation.case == before
    say(consultation, "can't tell")
    assert len(consultation.case.instances(over)) == 99 and consultation.judgement.verdict.name != "REPAIR"


@pytest.mark.parametrize("over", MORE)
def test_as_many_as_are_taken_come_back(tmp_path: Path, over: str, capsys: pytest.CaptureFixture[str]) -> None:
    """And those of an earlier edition, which took more."""
    for count in (99, 140):
        here, case = tmp_path / str(count), _many(over, count, "no")
        journal = journal_in(here / "a")
        keeper = begin_recording(journal, judge().rules)
        keeper.add("casing", "T42")
        judgement = judge().judge(case)
        keeper.keep(Saved(case), judgement)
        keeper.end()
        journal.close()
        for ending in (".jsonl", ".csv"):
            words = ["casings", "--export", str(here / f"out{ending}"), "--data", str(here / "a")]
            assert main(words) == 0
            words = ["casings", "--import", str(here / f"out{ending}"), "--data", str(here / ending[1:])]
            assert main(words) == 0, capsys.readouterr()
            with closing(opened_to_read(here / ending[1:] / "journal.sqlite")) as db:
                assert state_after(entries_of(db, keeper.consultation)).case == case
                [again] = rejudged(db, judge(), judge(), "us-road")
                assert again.new == again.recorded == str(judgement.verdict) and not again.problem


def test_many_questions_left_out_are_read_back_and_offered(tmp_path: Path) -> None:
    """More of them than of anything else: each injury has some of its own."""
    case = _many("injuries", 60, "no")
    optional = [name for name, question in judge().rules.questions.items() if question.over == "injuries"][:8]
    for index in range(60):
        for name in optional:
            case = case.with_skipped((name, index)) if name not in case.injuries[index] else case
    assert len(case.skipped) > 200
    journal = journal_in(tmp_path)
    keeper = begin_recording(journal, judge().rules)
    keeper.keep(Saved(case), None)
    journal.close()
    again = journal_in(tmp_path)
    [offer] = offers(again, "us-road")
    assert offer.saved.case == case


def test_a_consultation_changed_very_often_is_carried_out_and_in(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    journal = journal_in(tmp_path / "a")
    consultation, keeper = talk(journal, ["casing T42", *TALK], end=False)
    keeper.keep(consultation.saved, consultation.judgement, [f"looked again {number}" for number in range(5100)])
    keeper.end()
    journal.close()
    assert main(["casings", "--export", str(tmp_path / "out.jsonl"), "--data", str(tmp_path / "a")]) == 0
    assert main(["casings", "--import", str(tmp_path / "out.jsonl"), "--data", str(tmp_path / "b")]) == 0
    assert "1 new" in capsys.readouterr().out
