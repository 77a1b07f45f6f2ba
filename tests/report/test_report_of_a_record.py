"""`advisor report RECORD`: a kept consultation by its id or its casing, with the times, the name, and what changed."""

from __future__ import annotations

import os
import subprocess
import sys
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest

from advisor.cli import main
from advisor.commands.report_page import open_in_browser
from advisor.dialogue.event_sink import kept, said_aside
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.engine.evaluator import Judge
from advisor.journal.data_folder import FILE_NAME
from advisor.journal.events import Entry
from advisor.journal.log import Journal
from advisor.journal.queries import entries_of
from advisor.journal.resume import begin_recording
from advisor.journal.store import opened_to_read
from advisor.loader.ruleset_loader import load_rule_set
from advisor.wording.messages import Message
from tests.laws.support import reply
from tests.whole_rules import whole_copy
from tests.work.test_work import said
from tests.work.work_support import INJURY, TIRE, judge_of

PLAIN = ("car", "drive", "P215/65R16 96H", "tubeless", "no", "2319", 30, 33, "no", "yes", "no", "none", "9/32", "no",
         "no", "through", "crown", "6 mm", "skip", 10, "none", "no")  # fmt: skip


def run(words: list[str]) -> int:
    return main(["report", *words])


NAME = "A. Demo <img src=x onerror=alert(1)>"
TYPED = {**TIRE, **INJURY, "dot-code": "2323", "retread": "no", "run-low": "no", "demounted": "yes", "findings": "none",
         "self-supporting": "no", "sealant": "no", "earlier-repairs": "no", "inside-signs": "none",
         "more-injuries": "no"}  # fmt: skip


class Clock:
    """A clock that goes on by a minute each time it is looked at."""

    def __init__(self) -> None:
        self.at = datetime(2026, 3, 14, 8, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.at += timedelta(minutes=1)
        return self.at


def keep(folder: Path, *lines: str, judge: Judge | None = None, upto: int = 99) -> tuple[str, list[Message]]:
    """A consultation kept in a folder's journal; gives its id and what came of the last line."""
    judge, clock = judge or judge_of(), Clock()
    journal = Journal(folder, clock)
    keeper = begin_recording(journal, judge.rules)
    consultation = Consultation(judge, date(2026, 3, 14), clock)
    for line in (f"technician {NAME}", "casing DEMO-1"):
        said_aside(keeper, consultation, line)
    last: list[Message] = []
    while (ask := consultation.ask) is not None and len(consultation.answered) < upto:
        say(consultation, reply(TYPED, ask.question))
        kept(keeper, consultation)
    for line in lines:
        last = say(consultation, line)
        kept(keeper, consultation)
    journal.close()
    return keeper.consultation, last


def entries_in(folder: Path, number: str) -> list[Entry]:
    with closing(opened_to_read(folder / FILE_NAME)) as db:
        return entries_of(db, number)


def report(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert run(list(words)) == 0, capsys.readouterr().err
    return " ".join(capsys.readouterr().out.split())


def test_a_record_by_its_id_and_by_its_casing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    number, _ = keep(tmp_path, "tick", "tick", "note stands set on the frame", "tick")
    for word in (number, "DEMO-1", "demo-1"):
        text = report(capsys, word, "--data", str(tmp_path))
        assert f"casing DEMO-1, consultation {number}, kept 2026-03-14 08:" in text
        assert f"Technician: {NAME}" in text
        assert (
            text.count("- done 2026-03-14 08:") == 3
            and "done 2026-03-14 08:" in text
            and "Note: stands set on the frame" in text
        )
        assert "REPAIR: " in text and "Recorded as" not in text
        entries = entries_in(tmp_path, number)
        assert f"Record {number}, hash {entries[-1].link.hex()}" in text


def test_the_page_of_a_record(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    keep(tmp_path, "tick")
    page = tmp_path / "page.html"
    assert run(["DEMO-1", "--data", str(tmp_path), "--html", str(page), "--technician", "B. Demo"]) == 0
    text = page.read_text(encoding="utf-8")
    assert "<img" not in text and "B. Demo" in text and "[x]" in text and "done 2026-03-14 08:" in text


def test_the_report_typed_in_the_consultation_says_how_to_print_it(tmp_path: Path) -> None:
    number, last = keep(tmp_path, "tick", "report")
    assert f"advisor report {number} --html report.html" in said(last) and f"Technician: {NAME}" in said(last)


def test_a_record_under_rules_that_have_changed_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    old = whole_copy(tmp_path / "old")
    limits = old / "limits.yaml"
    limits.write_text(limits.read_text().replace("value: [3/8 in, 10 mm]", "value: [1/8 in, 3 mm]", 1))
    keep(tmp_path, judge=Judge(load_rule_set(old)))
    text = report(capsys, "DEMO-1", "--data", str(tmp_path))
    assert "NOTE: Recorded as REFER by us-road" in text and "This report judges by us-road" in text
    assert ": REPAIR." in text


def test_a_record_without_a_verdict(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    keep(tmp_path, upto=6)
    text = report(capsys, "DEMO-1", "--data", str(tmp_path))
    assert "No verdict was recorded; this is how it stands." in text and "HOLD: " in text and "not answered yet" in text


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["nobody"], "no casing or consultation in the journal"),
        (["nobody.yaml"], "can't be read"),
        (["no/body"], "can't be read"),
        (["<script>"], '"<script>"'),
        (["\u202eDEMO"], "\\u202eDEMO"),
        (["a", "b"], "2 names"),
        ([""], "no case and no record"),
        (["\udcff"], "no casing or consultation in the journal"),
        (["a\0b"], "no casing or consultation in the journal"),
        (["'; drop table entry; --"], "no casing or consultation in the journal"),
    ],
)
def test_what_is_no_record(words: list[str], says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    keep(tmp_path)
    assert run([*words, "--data", str(tmp_path)]) == 2
    done = capsys.readouterr()
    assert says in done.err and not done.out and "Traceback" not in done.err


def test_without_a_journal(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["DEMO-1", "--data", str(tmp_path)]) == 2
    assert "there is no journal" in capsys.readouterr().err
    (tmp_path / "journal.sqlite").write_bytes(b"no journal at all, but some bytes" * 50)
    assert run(["DEMO-1", "--data", str(tmp_path)]) == 2
    assert "can't be read" in capsys.readouterr().err


def test_a_file_of_that_name_goes_first(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    keep(tmp_path)
    monkeypatch.chdir(tmp_path)
    Path("DEMO-1").write_text("answers: {vehicle: truck}\n", encoding="utf-8")
    assert "Case: DEMO-1" in report(capsys, "DEMO-1", "--data", str(tmp_path))


def test_the_page_from_the_plain_face(tmp_path: Path) -> None:
    lines = [*map(str, PLAIN), "report page"]
    env = {name: value for name, value in os.environ.items() if name not in ("DISPLAY", "WAYLAND_DISPLAY")}
    command = [sys.executable, "-m", "advisor", "--plain", "--data", str(tmp_path)]
    done = subprocess.run(
        command, input="\n".join(lines), capture_output=True, text=True, timeout=60, env=env, check=True
    )
    (page,) = (tmp_path / "reports").iterdir()
    flat = "".join(done.stdout.split())
    assert f"Saved;openitinabrowsertoprintit:{page}" in flat, done.stdout[-800:]
    text = page.read_text(encoding="utf-8")
    assert f"Record {page.stem}, hash " in text and text.startswith("<!DOCTYPE html>")
    assert page.stat().st_mode & 0o077 == 0, "for its owner only, as the journal"


def test_without_a_journal_there_is_no_record_to_put_a_page_beside() -> None:
    from tests.work.test_work import at_work

    assert "Nothing is kept here" in said(say(at_work(), "report page"))


def test_a_browser_in_the_terminal_is_not_opened(monkeypatch: pytest.MonkeyPatch) -> None:
    opened: list[str] = []
    for name, opens in (("w3m", False), ("/usr/bin/lynx", False), ("somewhere", True)):
        browser = SimpleNamespace(name=name, open=lambda address: opened.append(address) or True)
        monkeypatch.setattr("webbrowser.get", lambda browser=browser: browser)
        monkeypatch.setenv("DISPLAY", ":0")
        assert open_in_browser("file:///x") is opens
    assert opened == ["file:///x"]


def test_the_unit_of_the_tire_before_is_known_in_a_later_run(tmp_path: Path) -> None:
    keep(tmp_path, "tick 1-11", "tick anyway", "unit T9", "unit batch A1")
    _, last = keep(tmp_path, "tick 1-11", "tick anyway", "work")
    assert "Type same to write down: the unit's name and size T9, the unit's batch A1." in said(last)
