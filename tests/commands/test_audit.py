"""`advisor sources --audit`: every limit once, what rests on memory first, each line of a block true to the rules."""

from __future__ import annotations

import csv
import re
import shutil
from functools import lru_cache
from pathlib import Path

import pytest

from advisor.cli import main
from advisor.console.audit_lines import audit_lines
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set, shipped
from advisor.model.ruleset import RuleSet, leaves


def sources(words: list[str]) -> int:
    return main(["sources", *words])


ROOT = Path(__file__).resolve().parents[2]
HEAD = re.compile(r"\[ \] ([a-z0-9-]+): ")


@lru_cache(maxsize=4)
def rules_of(name: str) -> RuleSet:
    return load_rule_set(find_rule_set(name))


def blocks(lines: list[str]) -> dict[str, str]:
    """The text of each limit's block, by the limit."""
    found: dict[str, str] = {}
    name = ""
    for line in lines:
        match = HEAD.match(line)
        name = match[1] if match else name
        if name:
            found[name] = f"{found.get(name, '')} {line.strip()}"
    return found


@pytest.mark.parametrize("name", shipped())
def test_every_limit_has_a_block_that_says_what_the_rules_say(name: str) -> None:
    rules = rules_of(name)
    lines = list(audit_lines(rules, None))
    assert all(len(line) <= 78 for line in lines)
    found = blocks(lines)
    assert set(found) == set(rules.limits)
    for limit in rules.limits.values():
        text = found[limit.id]
        assert f"standing  {limit.basis.standing}" in text
        assert all(rules.sources[source].title.split()[0] in text for source in limit.basis.sources)
        if limit.worse:
            itself = "passes" if limit.at_limit_passes else "fails"
            assert f"{limit.worse} is worse; a reading of just the figure {itself}" in " ".join(text.split())
        for ruling in rules.rulings():
            uses = any(leaf.operand[:1] == (limit.id,) for leaf in leaves(ruling.when))
            assert (f"ruling {ruling.id} (" in text) is uses, (limit.id, ruling.id)


@pytest.mark.parametrize("name", shipped())
def test_what_rests_on_memory_comes_first_then_what_has_no_text_behind_it(name: str) -> None:
    rules = rules_of(name)
    standings = [rules.limits[limit].basis.standing for limit in blocks(list(audit_lines(rules, None)))]
    ranks = {"from memory": 0, "common practice": 1, "invented for the demo": 2}
    assert [ranks.get(each, 3) for each in standings] == sorted(ranks.get(each, 3) for each in standings)


def test_the_rows_named_hold_a_reading_against_the_limit(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(ROOT)
    assert sources(["--audit"]) == 0
    out = capsys.readouterr().out
    found = blocks(out.splitlines())
    with (ROOT / "trees/us-road/cases/boundary_cases.csv").open(newline="", encoding="utf-8") as file:
        rows = dict(enumerate(csv.DictReader(file), 2))
    lines = re.search(
        r"tested +at its figure: us-road/cases/boundary_cases.csv:([\d, ]+)", found["nail-hole-size-light"]
    )
    assert lines
    sizes = [rows[int(line)]["changes"] for line in lines[1].replace(" ", "").strip(",").split(",")]
    assert all(re.search(r'"(6(\.0)? mm|0?\.6 cm|1/4 in|0?\.25 in)"', size) for size in sizes), sizes
    assert "no test row beyond of: none" in out and "no test row within of: none" in out


def test_of_rules_without_cases_it_says_that_no_rows_are_at_hand(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    shutil.copytree(ROOT / "trees/uk-road", tmp_path / "bare", ignore=shutil.ignore_patterns("cases"))
    assert sources(["--audit", "--rules", "./bare"]) == 0
    out = capsys.readouterr().out
    assert "No test rows are at hand here" in out and "tested  " not in out


def test_the_audit_says_what_decides_what_conflicts_and_what_was_not_found() -> None:
    rules = rules_of("us-road")
    text = " ".join(" ".join(audit_lines(rules, None)).split())
    decides = text[: text.index("[ ]")]
    for heading in ("Rulings by standing", "neither scraps nor passes", "in conflict", "Looked for and not found"):
        assert heading in decides
    assert "hold: inside-damage-light (common practice)" in decides
    assert "scrap: " not in decides and "pass: " not in decides
    for conflict in rules.about.conflicts:
        assert " ".join(conflict.counts.split()) in decides
    for each in rules.about.looked_for:
        assert " ".join(each.instead.split()) in decides
    assert len(rules.about.conflicts) > 10 and len(rules.about.looked_for) > 10


@pytest.mark.parametrize("name", shipped())
def test_nothing_scraps_or_passes_on_practice_or_memory_alone(name: str) -> None:
    rules = rules_of(name)
    decides = [r for r in rules.rulings() if r.allows or (r.ending and str(rules.endings[r.ending].verdict) == "scrap")]
    assert len(decides) > 20
    for ruling in decides:
        assert not {"common practice", "from memory"}.intersection(rules.standings_of(ruling)), ruling.id
