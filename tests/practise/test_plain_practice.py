"""A sitting in a pipe: facts only when looked at, the own verdict first, then the rules; nothing in the journal."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from tests.practise.support import ALL_LOOKS, practise

#: A sound tire with a nail hole that may be repaired: the first of this set in uk-road.
SET = ("--rules", "uk-road", "--theme", "size", "--seed", "7")
OWN = ("decide", "repair", "1", "6 mm", "2", "one-piece", "none", "4")


def test_nothing_of_the_answer_shows_before_the_verdict_is_whole() -> None:
    done = practise(*SET, typed=[*ALL_LOOKS, *OWN[:-1]])
    assert done.returncode == 0, done.stderr
    said = done.stdout.partition("This sitting")[0]
    for word in ("The rules say", "theirs", "limit ", "Why, and whose rule", "HOLD:", "SCRAP:", "REPAIR:"):
        assert word not in said, word
    whole = practise(*SET, typed=[*ALL_LOOKS, *OWN]).stdout
    assert "The rules say:" in whole
    assert "Yours beside theirs:" in whole
    assert "Why, and whose rule:" in whole


def test_a_fact_comes_only_when_it_is_looked_at() -> None:
    before = practise(*SET, typed=["outside", "facts", "quit"]).stdout
    assert "the pressure found" not in before
    assert "the tread depth" not in before
    after = practise(*SET, typed=["tread", "quit"]).stdout
    assert "the tread depth: " in after
    assert "readings)" in after


def test_nothing_inside_is_seen_before_it_is_off_the_wheel() -> None:
    said = practise(*SET, typed=["inside", "quit"]).stdout
    assert "nothing can be seen inside" in said
    assert "signs around the injury inside" not in said


def test_a_look_inside_on_the_wheel_is_no_look() -> None:
    early = practise(*SET, typed=["driver", "gauge", "inside", "demount", *OWN, "quit"]).stdout
    assert "decided before looking inside" in early
    offered = early[early.index("comes off the wheel") :].partition("> decide")[0]
    assert "look inside" in offered


def test_deciding_before_demounting_is_a_fault_whatever_was_said() -> None:
    said = practise(*SET, typed=["outside", *OWN, "quit"]).stdout
    assert "decided before it was taken off the wheel" in said
    looked = practise(*SET, typed=[*ALL_LOOKS, *OWN, "quit"]).stdout
    assert "decided before" not in looked


def test_air_let_out_before_gauging_is_gone() -> None:
    said = practise(*SET, typed=["demount", "gauge", "quit"]).stdout
    assert "The air is out already" in said


def test_every_block_says_that_it_is_practice() -> None:
    done = practise(*SET, typed=["outside", "facts", "order", "help", *OWN, "twin", "quit"])
    blocks = [block for block in done.stdout.split("\n\n") if block.strip()]
    marked = [block for block in blocks if "Practice" in block or "Cross-section" in block or "Cut along" in block]
    assert len(marked) >= len(blocks) - 3
    assert "certified" not in done.stdout.casefold()


def test_bad_input_is_asked_again_and_the_end_of_input_is_no_fault() -> None:
    done = practise(*SET, typed=["99", "what now", "decide", "9", "maybe", "repair", "1", "six"])
    assert done.returncode == 0
    assert done.stdout.count("Not understood") == 5
    assert done.stdout.rstrip().endswith("fit for the work.")


def test_a_twin_differs_in_the_fact_that_turns_it() -> None:
    said = practise(*SET, typed=[*ALL_LOOKS, *OWN, "twin", *ALL_LOOKS, "facts", "quit"]).stdout
    assert "near twin]" in said
    assert "Like the one before, but for one thing" in said


def test_practice_leaves_the_journal_alone(tmp_path: Path) -> None:
    journal = tmp_path / "journal.sqlite"
    subprocess.run(
        [sys.executable, "-m", "advisor", "--plain", "--data", str(tmp_path)],
        input="car\nquit\n", capture_output=True, text=True, timeout=120, check=True,
    )  # fmt: skip
    before, names = (journal.read_bytes(), journal.stat().st_mtime_ns), {path.name for path in tmp_path.iterdir()}
    done = practise(*SET, "--name", "Kim", typed=[*ALL_LOOKS, *OWN, "quit"], data=tmp_path)
    assert done.returncode == 0
    assert (journal.read_bytes(), journal.stat().st_mtime_ns) == before
    assert {path.name for path in tmp_path.iterdir()} == {*names, "practice"}


def test_without_a_name_nothing_is_kept(tmp_path: Path) -> None:
    practise(*SET, typed=[*ALL_LOOKS, *OWN, "quit"], data=tmp_path)
    assert not list(tmp_path.iterdir())
