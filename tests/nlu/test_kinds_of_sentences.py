"""Sentences by kind, each kind by many of its own: what is told, what is never said outright, what never at all."""

import csv
from functools import lru_cache
from pathlib import Path

import pytest

from tests.nlu.test_said_and_not_said import RULES, atoms, hear_all, listed
from tests.nlu.test_told_anyhow import told

TABLE = Path(__file__).resolve().parent.parent / "tables" / "kinds_of_sentences.csv"


@lru_cache(maxsize=1)
def rows():
    with TABLE.open(encoding="utf-8", newline="") as file:
        return tuple(csv.DictReader(file))


def said_in(part):
    return {each.replace("about ", "") for each in atoms(part) | told(part)}


def rows_by_kind():
    found = {}
    for row in rows():
        for rules in RULES if row["rules"] == "both" else (row["rules"],):
            found.setdefault((row["kind"], rules), []).append(row)
    return found


@pytest.mark.parametrize(("kind", "rules"), rows_by_kind())
def test_what_is_told_and_what_is_not(kind, rules):
    own = rows_by_kind()[kind, rules]
    wrong = {}
    for row, heard in zip(own, hear_all([row["sentence"] for row in own], rules), strict=True):
        said, held = said_in(heard), said_in(heard["proposed"])
        found = [f"lacks {each}" for each in listed(row["told"]) if each not in said | held]
        found += [f"says {each}" for each in listed(row["never says"]) if each in said]
        found += [f"tells {each}" for each in listed(row["never"]) if each in said | held]
        if found:
            wrong[row["sentence"]] = found
    assert wrong == {}
