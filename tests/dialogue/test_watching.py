"""Rules edited while a consultation runs: no half-saved file judges, no answer is lost, and what changed is said."""

from __future__ import annotations

import gc
import os
import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from weakref import ref

import pytest

from advisor.dialogue.hot_reload import LiveRules
from advisor.dialogue.session import Consultation
from advisor.dialogue.talk_commands import say
from advisor.engine.evaluator import Judge
from advisor.loader.ruleset_loader import load_rule_set, trees_folder
from advisor.loader.watcher import Watch
from advisor.model.problems import Problems
from advisor.model.ruleset import Verdict
from tests.laws.support import say_through
from tests.whole_rules import whole_copy

ANSWERS = ("car", "drive", "P215/65R16 96H", "tubeless", "no", "skip", "30", "33", "no", "yes", "no", "none", "5/32")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return whole_copy(tmp_path / "edit")


def live_on(folder: Path, answers: tuple[str, ...] = ANSWERS) -> LiveRules:
    watch = Watch(folder)
    consultation = Consultation(Judge(load_rule_set(folder)), date(2026, 3, 14))
    say_through(consultation, answers)
    return LiveRules(consultation, watch)


def edit(folder: Path, file: str, old: str, new: str) -> None:
    """Puts one text in place of another, and moves the time on so that it can't be missed."""
    path = folder / file
    text = path.read_text()
    assert old in text
    save(path, text.replace(old, new, 1))


_CLOCK = iter(range(10**9, 2 * 10**9))


def save(path: Path, text: str) -> None:
    path.write_text(text)
    when = next(_CLOCK)
    os.utime(path, ns=(when * 10**6, when * 10**6))


def said(live: LiveRules, looks: int = 2) -> str:
    return "\n".join(line for _ in range(looks) for message in live.look() for line in message.texts)


TREAD = "value: [2/32 in, 1.6 mm]"


def test_nothing_saved_nothing_said(folder: Path) -> None:
    live = live_on(folder)
    judge = live.consultation.judge
    assert said(live, 5) == "" and live.consultation.judge is judge


def test_a_saved_figure_counts_at_the_second_look_and_the_answers_stay(folder: Path) -> None:
    live = live_on(folder)
    before = live.consultation.saved
    edit(folder, "limits.yaml", "value: [1/4 in, 6 mm]", "value: [3/16 in, 5 mm]")
    assert said(live, 1) == ""
    text = said(live, 1)
    assert "limit changed: nail-hole-size-light (1/4 in (6 mm) is now 3/16 in (5 mm))" in text
    assert "Verdict: still HOLD (hold-unanswered)" in text
    assert live.consultation.saved == before and live.consultation.judge.rules.digest in text


def test_a_turned_verdict_is_told_with_the_new_reason_and_back_again(folder: Path) -> None:
    live = live_on(folder)
    path = folder / "limits.yaml"
    old = path.read_text()
    block = old[old.index("tread-floor-light:") :]
    changed = block.replace(block.split("value: ")[1].split("\n")[0], "[6/32 in, 4.8 mm]", 1)
    save(path, old.replace(block, changed))
    text = said(live)
    assert "Verdict: HOLD (hold-unanswered) is now SCRAP (scrap-tread)" in text and "New reasons:" in text
    assert live.consultation.judgement.verdict is Verdict.SCRAP
    save(path, old)
    text = said(live)
    assert "SCRAP (scrap-tread) is now HOLD" in text and "Reasons that are gone:" in text


def test_comments_and_order_change_nothing_and_that_is_said(folder: Path) -> None:
    live = live_on(folder)
    digest = live.consultation.judge.rules.digest
    save(folder / "words.yaml", "# a remark\n" + (folder / "words.yaml").read_text())
    assert "mean the same" in said(live) and live.consultation.judge.rules.digest == digest


def test_with_problems_the_last_good_rules_go_on_and_each_is_said_once(folder: Path) -> None:
    live = live_on(folder)
    good = live.consultation.judge
    edit(folder, "limits.yaml", "at-limit: passes", "at-limit: passed")
    text = said(live)
    assert "The rules as saved can't be used" in text and "edit/limits.yaml:" in text and '"passed"' in text
    assert live.consultation.judge is good and live.flag.startswith("RULES AS SAVED: ")
    assert said(live, 4) == ""
    edit(folder, "limits.yaml", "at-limit: passed", "at-limit: passes")
    assert "problems are mended" in said(live) and live.flag == ""


def pieces(text: str, count: int) -> Iterator[str]:
    """Ever longer beginnings of a text, as a slow writer leaves them."""
    yield ""
    yield from (text[: len(text) * n // count] for n in range(1, count))


@pytest.mark.parametrize("file", ["paths.yaml", "limits.yaml", "words.yaml"])
def test_a_file_that_is_still_being_written_is_never_judged_by(folder: Path, file: str) -> None:
    live = live_on(folder)
    good, path = live.consultation.judge, folder / file
    text = path.read_text() + "\n# the end\n"
    for piece in pieces(text, 12):
        save(path, piece)
        assert said(live, 1) == "" and live.consultation.judge is good
    save(path, text)
    assert "mean the same" in said(live)


def test_what_changes_while_it_is_read_is_read_again(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from advisor.loader import watcher

    live = live_on(folder)
    good = live.consultation.judge
    edit(folder, "limits.yaml", "at-limit: passes", "at-limit: passed")
    real = watcher.load_rule_set

    def while_reading(*given: object) -> object:
        monkeypatch.setattr(watcher, "load_rule_set", real)
        try:
            return real(*given)
        finally:
            edit(folder, "limits.yaml", "at-limit: passed", "at-limit: passes")

    monkeypatch.setattr(watcher, "load_rule_set", while_reading)
    assert said(live) == "" and live.consultation.judge is good
    assert "can't be used" not in said(live) and not live.flag


def test_a_save_by_a_new_file_in_its_place_is_seen(folder: Path) -> None:
    live = live_on(folder)
    path = folder / "limits.yaml"
    new = folder / "limits.yaml.new"
    save(new, path.read_text().replace("value: [1/4 in, 6 mm]", "value: [3/16 in, 5 mm]", 1))
    assert said(live) == ""
    new.replace(path)
    assert "nail-hole-size-light" in said(live)


def test_an_edit_of_the_base_reaches_the_overlay(folder: Path) -> None:
    over = folder.parent / "over"
    over.mkdir()
    (over / "about.yaml").write_text("id: over\ntitle: Over\nedition: 2026-11-25\nbuilds-on: edit\n")
    live = live_on(over)
    edit(folder, "limits.yaml", "value: [1/4 in, 6 mm]", "value: [3/16 in, 5 mm]")
    assert "nail-hole-size-light" in said(live)


QUESTION = "rim-colour:\n  name: the rim's colour\n  kind: text\n  asks: Which colour is the rim?\n  why: Demo.\n"
NODE = "nodes:\n  rim-colour:\n    after: vehicle\n    ask: rim-colour\n    cant-tell: goes-on\n"


def test_an_answer_that_is_not_asked_any_more_comes_back_with_its_question(folder: Path) -> None:
    over = folder.parent / "over"
    over.mkdir()
    (over / "about.yaml").write_text("id: over\ntitle: Over\nedition: 2026-11-25\nbuilds-on: edit\n")
    (over / "questions.yaml").write_text(QUESTION)
    (over / "paths.yaml").write_text(NODE)
    live = live_on(over, ("car", "silver", "drive"))
    save(over / "paths.yaml", "nodes: {}\n")
    save(over / "questions.yaml", "{}\n")
    assert "Kept, but not asked by these rules: rim-colour" in said(live)
    assert list(live.consultation.case.answers) == ["vehicle", "wheel-position"]
    say(live.consultation, "P215/65R16 96H")
    save(over / "questions.yaml", QUESTION)
    save(over / "paths.yaml", NODE)
    said(live)
    case = live.consultation.case
    assert str(case.answers["rim-colour"]) == "silver" and str(case.answers["sidewall"]) == "P215/65R16 96H"
    assert {key[0] for key in live.consultation.saved.order} == {"vehicle", "rim-colour", "wheel-position", "sidewall"}


def test_a_missing_file_and_a_missing_folder_are_problems_not_ends(folder: Path) -> None:
    live = live_on(folder)
    (folder / "limits.yaml").unlink()
    assert "can't be used" in said(live)
    shutil.move(folder, folder.parent / "away")
    assert "can't be used" in said(live) or live.flag
    shutil.move(folder.parent / "away", folder)
    shutil.copy(trees_folder() / "us-road" / "limits.yaml", folder)
    said(live, 3)
    assert live.flag == "" and live.consultation.judge.rules.limits


def test_load_raises_only_what_stands_still(folder: Path) -> None:
    watch = Watch(folder)
    edit(folder, "limits.yaml", "at-limit: passes", "at-limit: passed")
    with pytest.raises(Problems):
        watch.load()


def test_the_journal_learns_which_rules_judge(folder: Path) -> None:
    told: list[str] = []

    class Told:
        safe = True

        def judged_by(self, about: object, digest: str) -> None:
            told.append(digest)

    live = live_on(folder)
    edit(folder, "limits.yaml", "value: [1/4 in, 6 mm]", "value: [3/16 in, 5 mm]")
    live.look()
    live.look(Told())  # type: ignore[arg-type]
    assert told == [live.consultation.judge.rules.digest]


@pytest.mark.free_order
def test_a_judge_is_let_go_once_no_consultation_goes_by_it(folder: Path) -> None:
    consultation = Consultation(Judge(load_rule_set(folder)), date(2026, 3, 14))
    say(consultation, "truck")
    assert consultation.ask is not None
    judge = ref(consultation.judge)
    del consultation
    gc.collect()
    assert judge() is None
