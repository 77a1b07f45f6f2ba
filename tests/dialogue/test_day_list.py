"""The day's list: what is drying, unfinished, restricted; into any tire and back, as if nothing had been between."""

from __future__ import annotations

import io
import os
import sys
import time
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.console.session_lines import converse
from advisor.dialogue.day_list import day_rows
from advisor.dialogue.event_sink import kept
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.dialogue.work_steps import step_in_hand
from advisor.journal.log import Journal
from advisor.journal.resume import MovingKeeper, begin_recording
from advisor.journal.tires_of_day import readings_since
from tests.journal.record_support import SAID, TALK, TODAY, checked, judge
from tests.laws.ledger import judge_of
from tests.laws.support import reply

TRUCK = {**SAID, "vehicle": "truck", "sidewall": "275/70R22.5 148/145M LOAD RANGE H TUBELESS",
         "found-pressure": "100 psi", "set-pressure": "110 psi", "tread-depth": "9/32"}  # fmt: skip
STEER = {**TRUCK, "wheel-position": "steer", "tread-depth": "3.5/32 in"}


class Shop:
    """Plain lines into one journal, with a clock that goes on only when it is told to."""

    def __init__(self, folder: Path) -> None:
        self.time = datetime(2026, 3, 14, 9)
        self.folder = folder
        self.open()

    def open(self) -> None:
        """Another window on the journal."""
        self.journal = Journal(self.folder, lambda: self.time)
        self.keeper: MovingKeeper = begin_recording(self.journal, judge().rules)
        self.consultation = Consultation(judge(), TODAY, lambda: self.time, True)

    def type(self, *lines: str) -> str:
        """What is said to these lines, on one line."""
        said = converse(self.consultation, iter([*lines, "quit"]), lambda text: None, self.keeper, False)
        return " ".join(" ".join(said).split())

    def answer(self, said: dict[str, str], upto: int = 99) -> None:
        """Answers up to the verdict, or so many questions."""
        for _ in range(min(upto, 60)):
            if (ask := self.consultation.ask) is None:
                break
            say(self.consultation, reply(said, ask.question))
        kept(self.keeper, self.consultation)

    def close(self) -> None:
        self.journal.close()
        assert not checked(self.folder).problems


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[Shop]:
    made = Shop(tmp_path / "journal")
    yield made
    made.close()


def _to_drying(shop: Shop) -> None:
    shop.type("casing T42")
    shop.answer(SAID)
    for _ in range(30):
        planned = step_in_hand(shop.consultation)
        assert planned is not None
        said = say(shop.consultation, "6 mm" if planned.step.measures else "tick")
        if "Timer set (let it dry)" in " ".join(text for message in said for text in message.texts):
            kept(shop.keeper, shop.consultation)
            return
    raise AssertionError("no coat was ticked")


def test_what_is_drying_unfinished_and_restricted(shop: Shop) -> None:
    _to_drying(shop)
    shop.type("start over", "casing T43")
    shop.answer(STEER)
    shop.type("start over", "casing T44")
    shop.answer(SAID, 6)
    shop.time += timedelta(minutes=2)
    said = shop.type("today")
    assert "Today, 09:02: 3 tires - 1 drying or waiting, 3 unfinished, 1 restricted." in said
    assert "1. casing T42, P215/60R16, drive, 6 mm crown - REPAIR Let it dry, injury 1: 3 min left, until 09:05" in said
    assert "2. casing T43" in said and "restricted: Not on the steer axle, now or after any repair." in said
    assert "3. casing T44" in said and "questions open, in hand 6 answers; asked next: " in said
    shop.time += timedelta(minutes=5)
    assert "Let it dry, injury 1: over since 09:05" in shop.type("day list")


def test_into_another_tire_and_back_loses_nothing(shop: Shop) -> None:
    _to_drying(shop)
    shop.type("note the rim is rusty")
    before = (shop.consultation.saved, shop.consultation.work)
    shop.type("start over", "casing T44")
    shop.answer(TRUCK, 6)
    other, asked = shop.consultation.saved, shop.consultation.ask
    assert "casing T42, P215/60R16, drive, 6 mm crown: taken up where it was left." in shop.type("today 1")
    assert (shop.consultation.saved, shop.consultation.work) == before and shop.keeper.casing == "T42"
    assert "is the tire in hand" in shop.type("today 1")
    shop.time += timedelta(minutes=6)
    assert "Done at 09:06: let it dry" in shop.type("tick")
    shop.type("today 2")
    assert shop.consultation.saved == other and shop.consultation.ask == asked and not shop.consultation.work.begun
    shop.close()
    shop.open()
    assert "1. casing T42" in shop.type("today") and "step 19 of" in shop.type("today")
    shop.type("today 1")
    assert shop.consultation.work.tick_of(("dry", 0)) is not None


def test_a_number_that_is_not_there_and_no_journal(shop: Shop) -> None:
    assert "No tire was begun today." in shop.type("today")
    assert "the list is empty" in shop.type("today 2")
    alone = " ".join(converse(shop.consultation, iter(["today"]), lambda text: None, None, False))
    assert "Nothing is kept here" in alone


def test_a_repair_begun_stays_open_for_the_next_start(shop: Shop) -> None:
    _to_drying(shop)
    shop.type("start over")
    shop.close()
    shop.open()
    said = shop.type("today")
    assert "1. casing T42" in said
    shop.time += timedelta(days=3)
    assert "1. casing T42" in shop.type("today"), "what is not finished is not forgotten with the day"


@pytest.mark.parametrize("zone", ["UTC", "America/Denver", "Australia/Brisbane"])
def test_the_day_is_the_same_in_every_time_zone(shop: Shop, zone: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TZ", zone)
    time.tzset()
    try:
        _to_drying(shop)
        shop.type("timer 9")
        shop.type("unit batch B4711")
        shop.keeper.journal.write_out()
        db = shop.journal.db
        assert db is not None
        for hours, there in ((1, True), (13, True), (15, False), (20, False)):
            assert bool(list(readings_since(db, shop.time + timedelta(hours=hours), ""))) is there, hours
    finally:
        monkeypatch.undo()
        time.tzset()


def test_as_a_command(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
    data = ["--data", str(tmp_path)]
    assert main(["today", *data]) == 0 and "No tire was begun today." in capsys.readouterr().out

    def typed(*lines: str) -> None:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO("\n".join(lines).encode() + b"\n")))

    typed("casing T42", *TALK, "tick", "quit")
    assert main(["--plain", "--in-order", *data]) == 0
    capsys.readouterr()
    assert main(["today", *data]) == 0
    assert "1. casing T42, P215/60R16, drive, 4 mm crown - REPAIR" in capsys.readouterr().out
    typed("work log", "quit")
    assert main(["today", "1", "--plain", *data]) == 0
    said = capsys.readouterr().out
    assert "Taken up where it was left." in said and "1 steps ticked" in said
    assert main(["today", "2", *data]) == 2
    assert "expected  a number from 1 to 1" in capsys.readouterr().err
    assert os.listdir(tmp_path)


def test_a_tire_that_other_rules_judged_says_how_far_its_work_is(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.answer(SAID)

    def stands() -> tuple[str, ...]:
        return day_rows(shop.keeper.tires_of_day(), judge_of("uk-road"), shop.time)[0].stands

    by, step = stands()
    assert by == "by us-road" and step.startswith("work not begun; step "), step
    shop.type("tick")
    by, now = stands()
    assert by == "by us-road" and now.startswith("step ") and now not in step, now
    shop.close()
