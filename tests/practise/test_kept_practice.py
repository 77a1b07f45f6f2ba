"""What is kept of practice: a file of its own, forgotten when asked, not lost by damage, due again when changed."""

from __future__ import annotations

import subprocess
import sys
from datetime import datetime
from pathlib import Path
from shutil import copytree

from advisor.loader.ruleset_loader import load_rule_set
from advisor.model.ruleset import RuleSet
from advisor.practise.learned import Attempt, Learned, due_of, kept_record, print_of, read_record
from tests.practise.support import AT, practise

ROOT = Path(__file__).resolve().parents[2]
UK = ("--rules", "uk-road")


def attempt(rules: RuleSet, rating: int, unsafe: bool = False, at: datetime = AT) -> Attempt:
    item, limit = "ruling/small-hole", "limit/minor-injury-size"
    mark = "unsafe" if unsafe else "right"
    return Attempt(
        at.isoformat(), rules.about.id, rules.about.edition, rules.digest, "a tire", "mark", {"verdict": "repair"},
        {"verdict": "repair"}, {"verdict": mark}, 4, items={item: rating, limit: rating},
        prints={item: print_of(item, rules), limit: print_of(limit, rules)},
    )  # fmt: skip


def test_what_went_wrong_comes_due_before_what_went_well(tmp_path: Path) -> None:
    rules = load_rule_set(ROOT / "trees" / "uk-road")
    (again, *_) = due_of(Learned("Kim", (attempt(rules, 1, unsafe=True),)), rules)
    (well, *_) = due_of(Learned("Kim", (attempt(rules, 4),)), rules)
    assert again.at < well.at
    assert (again.misses, again.unsafe, well.misses) == (1, 1, 0)


def test_a_changed_limit_is_due_at_once(tmp_path: Path) -> None:
    kept_record(tmp_path, Learned("Kim", (attempt(load_rule_set(ROOT / "trees" / "uk-road"), 4),)))
    before = practise("--learned", "--name", "Kim", *UK, data=tmp_path).stdout
    assert "it was changed" not in before
    copy = tmp_path / "uk-road"
    copytree(ROOT / "trees" / "uk-road", copy)
    if (ROOT / "trees" / "common").is_dir():
        copytree(ROOT / "trees" / "common", tmp_path / "common")
    limits = copy / "limits.yaml"
    text = limits.read_text(encoding="utf-8")
    place = text.index("minor-injury-size:")
    limits.write_text(text[:place] + text[place:].replace("value: 6 mm", "value: 5 mm", 1), encoding="utf-8")
    after = practise("--learned", "--name", "Kim", "--rules", str(copy), data=tmp_path).stdout
    assert "limit/minor-injury-size: 1 tries, 0 misses; due: it was changed" in " ".join(after.split())


def test_a_damaged_file_is_named_and_left_as_it_is(tmp_path: Path) -> None:
    rules = load_rule_set(ROOT / "trees" / "uk-road")
    kept_record(tmp_path, Learned("Kim", (attempt(rules, 3), attempt(rules, 3))))
    (file,) = (tmp_path / "practice").iterdir()
    damaged = file.read_text(encoding="utf-8").replace('"sure":4', '"sure":"', 1)
    file.write_text(damaged, encoding="utf-8")
    done = practise("--name", "Kim", *UK, typed=["quit"], data=tmp_path)
    assert done.returncode == 2
    assert "damaged-practice" in done.stderr
    assert f"{file}:2:1" in done.stderr
    assert "nothing was changed" in done.stderr
    assert file.read_text(encoding="utf-8") == damaged


def test_forgetting_asks_and_then_deletes(tmp_path: Path) -> None:
    rules = load_rule_set(ROOT / "trees" / "uk-road")
    kept_record(tmp_path, Learned("Kim", (attempt(rules, 3),)))
    practise("--forget", "Kim", typed=["no"], data=tmp_path)
    assert read_record(tmp_path, "Kim").attempts
    done = practise("--forget", "kim", typed=["yes"], data=tmp_path)
    assert "Forgotten: kim." in done.stdout
    assert not list((tmp_path / "practice").iterdir())
    assert "Nothing is kept" in practise("--forget", "Kim", data=tmp_path).stdout


def test_two_sittings_under_one_name_lose_nothing_of_each_other(tmp_path: Path) -> None:
    words = ("--name", "Kim", *UK, "--theme", "size", "--seed", "7")
    said = ["decide", "repair", "1", "6 mm", "2", "one-piece", "none", "4", "quit"]
    first = subprocess.Popen(
        [sys.executable, "-m", "advisor", "practise", *words, "--data", str(tmp_path)],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
    )  # fmt: skip
    assert first.stdout is not None
    while "Work order" not in first.stdout.readline():
        pass
    practise(*words, typed=said, data=tmp_path)
    first.communicate("".join(f"{line}\n" for line in said), timeout=300)
    assert len(read_record(tmp_path, "Kim").attempts) == 2


def test_a_name_is_all_that_is_kept_of_a_person(tmp_path: Path) -> None:
    done = practise("--name", " ", *UK, typed=["quit"], data=tmp_path)
    assert done.returncode == 2
    assert "bad-name" in done.stderr
