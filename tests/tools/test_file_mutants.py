"""A sample of single slips in the files of us-road: none that decides is passed over in silence by compare."""

from __future__ import annotations

import tempfile
from functools import lru_cache
from pathlib import Path
from random import Random

import pytest

from tests.tools.file_mutants import CASE, HEADING, SILENT, Fault, Telling, faults
from tests.whole_rules import whole_copy

#: So many of all faults are tried here; `python -m tests.tools.file_mutants` tries every one.
SAMPLE = 5


@lru_cache(maxsize=1)
def telling() -> Telling:
    return Telling(whole_copy(Path(tempfile.mkdtemp()) / "us-road"))


@lru_cache(maxsize=1)
def sample() -> list[Fault]:
    return Random(20).sample([fault for fault in faults(telling().folder) if fault.decides], SAMPLE)


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
    ],
)
def test_a_slip_that_is_hard_to_show_is_told(name: str, told: str) -> None:
    assert telling().tells(next(each for each in faults(telling().folder) if each.name.endswith(name))) == told


def test_the_table_can_find_a_silent_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """A comparison that looks at nothing is found out by the cases made by chance."""
    fault = next(each for each in faults(telling().folder) if "inside-damage-light dropped" in each.name)
    monkeypatch.setattr("tests.tools.file_mutants.compare", lambda old, new, **_: _Blind())
    monkeypatch.setattr("tests.tools.file_mutants.has_problem", lambda rules: False)
    assert telling().tells(fault) == SILENT


class _Blind:
    changes = cautions = asked = unshown = open = ()
