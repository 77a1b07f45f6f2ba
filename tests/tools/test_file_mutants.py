"""A sample of single slips in the files of us-road: none that decides is passed over in silence by compare."""

from __future__ import annotations

import json
import tempfile
from functools import lru_cache
from pathlib import Path
from random import Random

import pytest

from advisor.loader.ruleset_loader import load_rule_set
from advisor.tools.diff.ruleset_diff import compare
from tests.tools.file_mutants import CASE, HEADING, SILENT, Fault, Telling, faults, table
from tests.whole_rules import whole_copy

#: So many of all faults are tried here; `python -m tests.tools.file_mutants` tries every one.
SAMPLE = 5


@lru_cache(maxsize=2)
def telling(name: str = "us-road") -> Telling:
    return Telling(whole_copy(Path(tempfile.mkdtemp()) / name, name))


@lru_cache(maxsize=1)
def sample() -> list[Fault]:
    return Random(20).sample([fault for fault in faults(telling().folder) if fault.decides], SAMPLE)


def _fault(ending: str, of: Telling) -> Fault:
    """The fault of a rule set whose name ends so."""
    return next(each for each in faults(of.folder) if each.name.endswith(ending))


@pytest.mark.parametrize("number", range(SAMPLE))
def test_a_slip_is_told(number: int) -> None:
    fault = sample()[number]
    assert telling().tells(fault) != SILENT, fault.name


@pytest.mark.parametrize(
    ("name", "told"),
    [
        # shown only by a case in which what hangs together over groups of answers fits
        ("load-range/asked/unless/any: 1 dropped", CASE),
        ("repair-unit-length: asked taken away", CASE),
        # shown only by a print that goes against the answer, or tells what the answers don't
        ("injury-size/rulings/2/when/tire-group/one-of: other dropped", CASE),
        ("parts/tire/nodes/tube: asked taken away", CASE),
        # another ruling shows that caution too
        ("rulings: earlier-nail-hole-steer dropped", HEADING),
        # shown only by a case beside the rules, or one that differs from such a case by one answer
        ("injury-angle/rulings: unit-not-over-opening dropped", HEADING),
        ("injury-zone/rulings/1/in-doubt/same-for: lean dropped", CASE),
        ("injury/nodes/lean/asked: unless taken away", HEADING),
        ("injury-zone/rulings/2/in-doubt/same-for: casing-thickness dropped", CASE),
        ("placing/nodes/place-clock/asked/unless/any: 0 dropped", CASE),
        # shown only by a case in which the question was left out on purpose
        ("injury/nodes/injury-zone: instead taken away", HEADING),
        # no digest is of it
        ("found-pressure/words-for/0 psi: flat dropped", HEADING),
        ("demounted/after: found-pressure dropped", HEADING),
        # proved: without a chart of units nothing goes by it
        ("together/nodes/fitting-together: asked taken away", HEADING),
    ],
)
def test_a_slip_that_is_hard_to_show_is_told(name: str, told: str) -> None:
    assert telling().tells(_fault(name, telling())) == told


@pytest.mark.parametrize(
    "name",
    [
        # something as grave beside it has the ending, and what this one brings the method
        "injury-zone/rulings/4/when/zone/one-of: sidewall dropped",
        # a ruling is open for want of a question that is asked otherwise, or no longer asked
        "parts/tyre/nodes/vehicle: past the next",
        "parts/tyre/nodes/trailer-weight: optional taken away",
    ],
)
def test_a_slip_beside_something_as_grave_or_left_out_is_told(name: str) -> None:
    uk = telling("uk-road")
    assert uk.tells(_fault(name, uk)) == CASE


def test_a_question_that_must_be_answered_now_is_shown_where_its_part_hangs_on_it() -> None:
    """Shown by a region strewn round those that differ: where a repair is there, and all the rest of it told."""
    de = telling("de-road")
    assert (
        de.tells(next(each for each in faults(de.folder) if each.name.endswith("repair-kind: optional taken away")))
        == CASE
    )


def test_a_question_no_longer_asked_that_a_value_of_others_reads_is_not_told_for_certain() -> None:
    """The zone is worked out by the print too, which stands in another group of answers."""
    uk = telling("uk-road")
    fault = next(
        each for each in faults(uk.folder) if each.name.endswith("parts/tyre/nodes/wheel-position: past the next")
    )
    uk.files.edit = uk.folder / fault.file, json.dumps(fault.content)
    comparison = compare(uk.rules, load_rule_set(uk.folder, uk.files), like=uk.space)
    assert "question sidewall" in comparison.open or any(c.about == "question sidewall" for c in comparison.changes)


def test_a_table_that_was_stopped_goes_on_where_it_was(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    kept = tmp_path / "told.jsonl"
    for tried in (2, 0):
        table("demo-shop", 40, 0, 1, kept)
        assert f"2 of 73 faults, {tried} tried now" in capsys.readouterr().out
    kept.write_text(kept.read_text().replace('["', '["other', 1))
    table("demo-shop", 40, 0, 1, kept)
    assert "2 of 73 faults, 1 tried now" in capsys.readouterr().out


def test_the_table_can_find_a_silent_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """A comparison that looks at nothing is found out by the cases made by chance."""
    fault = next(each for each in faults(telling().folder) if "inside-damage-light dropped" in each.name)
    monkeypatch.setattr("tests.tools.file_mutants.compare", lambda old, new, **_: _Blind())
    monkeypatch.setattr("tests.tools.file_mutants.has_problem", lambda rules: False)
    assert telling().tells(fault) == SILENT


class _Blind:
    changes = cautions = asked = unshown = open = ()
