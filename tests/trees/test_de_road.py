"""What the German rules say: their boundary cases, each with its source, and the same tires under three countries."""

from __future__ import annotations

import csv
import json
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest

from advisor.cli import main
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.case_file import read_case, split_cases
from advisor.loader.paths import trees_folder
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.ruleset import STANDINGS, Limit, Verdict, leaves
from tests.laws.support import TODAY, base, changed

CASES = trees_folder() / "de-road" / "cases"
BASES = json.loads((CASES / "base_cases.json").read_text(encoding="utf-8"))
FEWEST_ROWS = 40
ROWS = [row for name in ("boundary_cases.csv", "germany_cases.csv")
        for row in csv.DictReader((CASES / name).open(encoding="utf-8", newline=""))]  # fmt: skip
COUNTRIES = list(csv.DictReader((Path(__file__).parent / "three_countries.csv").open(encoding="utf-8", newline="")))
RULES = ("us-road", "uk-road", "de-road")


@lru_cache(maxsize=1)
def judge() -> Judge:
    return Judge(load_rule_set(find_rule_set("de-road")))


def judged(row: dict[str, str]) -> Judgement:
    case = changed(BASES[row["base"]], json.loads(row["changes"]))
    (text,) = split_cases(json.dumps(case), "case.json")
    return judge().judge(read_case(text, judge().rules, TODAY))


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["case"])
def test_a_boundary_case_ends_as_its_source_says(row: dict[str, str]) -> None:
    got = judged(row)
    names = {name for name in row["restrictions"].split(";") if name}
    assert (str(got.verdict), got.ending, got.method, set(got.restrictions)) == (
        row["verdict"], row["ending"], row["method"], names)  # fmt: skip
    assert {name for name in row["cautions"].split(";") if name} <= set(got.cautions)


def test_the_tables_are_large_and_every_row_says_who_says_so() -> None:
    assert len(ROWS) >= FEWEST_ROWS and len({row["case"] for row in ROWS}) == len(ROWS)
    for row in ROWS:
        assert row["source"] and row["why"] and row["standing"] in STANDINGS, row
        assert row["clause"] or row["standing"] not in ("published", "second-hand"), row


@pytest.mark.parametrize("name", BASES)
def test_each_base_case_is_a_plain_repair_but_on_a_farm(name: str) -> None:
    got = judged({"base": name, "changes": "{}"})
    assert got.missing == () and str(got.verdict) == ("refer" if name == "farm" else "repair")


def test_every_ruling_is_met_by_a_row() -> None:
    questions = {ruling.id for ruling in judge().rules.rulings() if ruling.doubts}
    reasons = [reason for row in ROWS for reason in judged(row).reasons]
    met = {reason.ruling for reason in reasons if not reason.doubt or reason.ruling in questions}
    decides = {ruling.id for ruling in judge().rules.rulings() if ruling.ending or ruling.allows or ruling.restrictions}
    assert decides <= met, sorted(decides - met)


#: A second opinion, by the sources that the table names: what the figure itself does.
FIGURES = {row["limit"]: row for row in csv.DictReader(
    (Path(__file__).parents[1] / "tables" / "german_figures.csv").open(encoding="utf-8", newline=""))}  # fmt: skip


def deciding() -> list[Limit]:
    names = {leaf.operand[0] for ruling in judge().rules.rulings() if ruling.ending or ruling.allows
             or ruling.restrictions for leaf in leaves(ruling.when) if leaf.test in ("beyond", "within")}  # fmt: skip
    return [judge().rules.limits[name] for name in sorted(names)]


def test_each_deciding_limit_is_the_second_opinions() -> None:
    for limit in deciding():
        (figure,), row = limit.figures, FIGURES[limit.id]
        assert (str(figure), limit.basis.standing) == (row["figure"], row["standing"]), limit.id
        assert limit.is_beyond(figure) is (row["itself"] == "fails"), limit.id
        assert row["source"] and row["clause"], limit.id


def test_nothing_scraps_on_practice_or_memory() -> None:
    endings = judge().rules.endings
    for ruling in judge().rules.rulings():
        if ruling.ending and endings[ruling.ending].verdict is Verdict.SCRAP:
            assert ruling.basis.standing in ("published", "second-hand", "derived"), ruling.id


def test_only_statutes_that_were_read_are_published() -> None:
    rules = judge().rules
    for each in (*rules.limits.values(), *rules.rulings()):
        if each.basis.standing == "published":
            assert all(rules.sources[name].read == "first hand" for name in each.basis.sources), each.id


@pytest.mark.parametrize("row", COUNTRIES, ids=lambda row: row["case"])
def test_three_countries_side_by_side(row: dict[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """One case file, three rule sets in one command: each says its own, and misses nothing."""
    file = tmp_path / "case.json"
    file.write_text(json.dumps(changed(base(row["base"]), json.loads(row["changes"]))), encoding="utf-8")
    assert main(["decide", str(file), "--json", *(word for name in RULES for word in ("--rules", name))]) == 0
    answers = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [answer["rules"]["id"] for answer in answers] == list(RULES)
    assert [answer["verdict"] for answer in answers] == [row[name] for name in RULES], row["why"]
    assert [answer["missing"] for answer in answers] == [[], [], []]


@pytest.mark.parametrize(
    ("said", "heard"),
    [
        ("motorcycle, nail in the crown", 'vehicle: "motorcycle"'),
        ("moped, nail in the crown", 'vehicle: "light-motorcycle"'),
        ("sealant was all cleaned out", 'sealant: "yes"'),
        ("never been retreaded or regrooved", 'retread: "no"'),
    ],
)
def test_what_german_rules_hear_otherwise(said: str, heard: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["hear", said, "--rules", "de-road"]) == 0
    assert heard in capsys.readouterr().out


def heard_in(capsys: pytest.CaptureFixture[str], said: str) -> dict[str, Any]:
    assert main(["hear", said, "--rules", "de-road", "--json"]) == 0
    return json.loads(capsys.readouterr().out)  # type: ignore[no-any-return]


@pytest.mark.parametrize(
    ("said", "gives"),
    [
        ("Gewebe sichtbar", {"findings": {"present": ["exposed-cord"], "absent": []}}),
        ("Wulst beschädigt", {"findings": {"present": ["bead-damage"], "absent": []}}),
        ("Beule an der Seitenwand", {"findings": {"present": ["bulge"], "absent": []}}),
        ("Ablösung an der Schulter", {"findings": {"present": ["separation"], "absent": []}}),
        ("tiefe Risse", {"findings": {"present": ["deep-cracking"], "absent": []}}),
        ("keine Beule", {"findings": {"absent": ["bulge"]}}),
        ("platt gefahren", {"run-low": "yes"}),
        ("Dichtmittel drin", {"sealant": "yes"}),
        ("noch auf der Felge", {"demounted": "no"}),
        ("Luftdruck 1,2 bar, soll 2,5 bar", {"found-pressure": "1.2 bar", "set-pressure": "2.5 bar"}),
    ],
)
def test_german_words_are_heard(said: str, gives: dict[str, object], capsys: pytest.CaptureFixture[str]) -> None:
    assert heard_in(capsys, said)["answers"] == gives


@pytest.mark.parametrize("said", ["Nagel in der Lauffläche, 4 mm", "Schnitt in der Seitenwand, 4 mm breit"])
def test_an_injury_in_german_words_is_heard(said: str, capsys: pytest.CaptureFixture[str]) -> None:
    heard = heard_in(capsys, said)
    assert heard["injuries"][0]["injury-size"] == "4 mm"
    both = {**heard["injuries"][0], **(heard["proposed"]["injuries"] or [{}])[0]}
    assert both["injury-zone"] == ("crown" if "Nagel" in said else "sidewall")


@pytest.mark.parametrize("said", ["vielleicht keine Beule", "nicht platt gefahren, glaube ich", "ist da keine Beule",
                                  "der andere Reifen hat keine Beule", "Kunde sagt, nicht platt gefahren"])  # fmt: skip
def test_what_is_no_plain_denial_in_german_is_no_answer(said: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert heard_in(capsys, said)["answers"] == {}
