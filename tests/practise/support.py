"""What the tests of practice share: a maker of tires for each rule set, made once a process, and one way to type."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path

from advisor.loader.cache import copies_folder
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.practise.made_up import Workshop
from advisor.practise.tire_maker import TireMaker
from advisor.practise.tire_plan import plan_for

AT = datetime(2026, 3, 14, 8, 0, tzinfo=UTC)
ALL_LOOKS = ("driver", "sidewall", "outside", "gauge", "tread", "demount", "inside", "probe", "size", "place")


@lru_cache(maxsize=4)
def maker(rules: str) -> TireMaker:
    """The maker of a shipped rule set's tires; its plan is kept where the program keeps it."""
    folder = find_rule_set(rules)
    workshop = Workshop(load_rule_set(folder))
    return TireMaker(workshop, plan_for(workshop, copies_folder(os.environ), folder))


def practise(*words: str, typed: Sequence[str] = (), data: Path | None = None) -> subprocess.CompletedProcess[str]:
    """The command in a pipe, as a user types it."""
    more = ("--data", str(data)) if data is not None else ()
    return subprocess.run(
        [sys.executable, "-m", "advisor", "practise", *words, *more],
        input="".join(f"{line}\n" for line in typed),
        capture_output=True,
        text=True,
        timeout=300,
    )
