"""The table of small words: each entry is read by some module or is a part of another one, and patterns compile."""

from __future__ import annotations

import re
from pathlib import Path

import advisor
from advisor.nlu import small_words

FOLDER = Path(advisor.__file__).parent
TABLE = (FOLDER / "nlu" / "small_words.txt").read_text(encoding="utf-8")
READ = re.compile(r'said_(words|pattern)\(\s*"([a-z-]+)"')


def read_by_modules() -> set[tuple[str, str]]:
    return {found for file in FOLDER.rglob("*.py") for found in READ.findall(file.read_text(encoding="utf-8"))}


def test_no_entry_stands_idle_and_none_is_missing() -> None:
    named = re.findall(r"^([a-z-]+): ", TABLE, re.MULTILINE)
    used = {name for _, name in read_by_modules()} | {*re.findall(r"<([a-z-]+)>", TABLE.partition("\n# What")[2])}
    assert sorted(named) == sorted(used)


def test_a_list_is_told_from_a_pattern() -> None:
    for kind, name in read_by_modules():
        if kind == "pattern":
            assert small_words.said_pattern(name).pattern.count("<") == small_words.said_pattern(name).pattern.count(
                "(?<"
            )
        else:
            assert not {"(", "|", "\\"} & set("".join(small_words.said_words(name))), name


def test_a_part_of_a_pattern_is_any_word_of_its_list() -> None:
    assert small_words.said_pattern("hedge").search("i put it down as rubber only")
    assert small_words.said_words("excepting") >= {"except", "other than"}
