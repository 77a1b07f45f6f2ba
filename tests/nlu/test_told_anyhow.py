"""What people say in their own words is in the answers or among the proposals: a table, through `advisor hear`."""

import csv
from pathlib import Path

import pytest

from tests.nlu.test_said_and_not_said import hear_all

TABLE = Path(__file__).resolve().parent.parent / "tables" / "told_anyhow.csv"
LISTS = ("findings", "inside-signs", "run-low-inside")


def told(part):
    """Single statements: `bulge`, `!bulge` for none found, `injury-size=5 mm`, `r.sound=yes` of an earlier repair."""
    found = set()
    for answers in (part["answers"], *part["injuries"]):
        for name, written in answers.items():
            if name in LISTS and isinstance(written, dict):
                found |= {*written.get("present", ()), *(f"!{each}" for each in written.get("absent", ()))}
            elif name == "earlier-repairs":
                found.add("repairs=yes" if written not in ([], "no") else "repairs=no")
                repairs = written if isinstance(written, list) else []
                found |= {f"r.{key}={value}" for repair in repairs for key, value in repair.items()}
            else:
                several = written if isinstance(written, list) else [written]
                found |= {f"{name}={each}" for each in several}
    return {each.replace("about ", "") for each in found}


@pytest.mark.parametrize("rules", ["us-road", "uk-road"])
def test_what_was_told_is_said_or_proposed(rules):
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["rules"] == rules]
    heard = hear_all([row["sentence"] for row in rows], rules)
    lost = {
        row["sentence"]: gone
        for row, each in zip(rows, heard, strict=True)
        if (gone := set(row["told"].split("; ")) - told(each) - told(each["proposed"]))
    }
    assert lost == {}
