"""A bounded number of real kills, in plain lines and on the full screen; tests/bench/kill.py does five hundred."""

from __future__ import annotations

import os
import random
from pathlib import Path

import pytest

from tests.journal.killing import One, Tally, kill_and_look, one_plain, one_screen
from tests.journal.record_support import checked

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="needs a system with fork and terminals")


@pytest.mark.parametrize(("one", "count"), [(one_plain, 4), (one_screen, 1)], ids=["plain", "screen"])
def test_killed_at_seeded_moments_it_goes_on_exactly_where_it_was(
    tmp_path: Path, one: One, count: int, long: bool
) -> None:
    """With --long ten times as many."""
    count *= 10 if long else 1
    dice, tally = random.Random(11), Tally()
    for number in range(count):
        kill_and_look(tmp_path, dice, number, one, tally)
    assert tally.faults == 0, tally
    assert tally.acknowledged > count
    assert checked(tmp_path).problems == []
