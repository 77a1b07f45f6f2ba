"""What each check says of itself at the head of its module: its ids, their levels, why, and samples that run.

The head holds a section for each id:

    unused (warning): a limit that nothing names.
    Why it is bad: it looks like a rule.
    PASS:
      FILE: {PATH: VALUE}
    FAIL:
      FILE: {PATH: VALUE}

A sample is an edit of the rule set in `sample_rules`: for each file, values by their path. A path names keys, or in a
list the entry of that `id`, and `nodes/ID` is a node in whichever part; `+` adds to a list; the value `~` takes out.
The tests run every sample.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from types import ModuleType
from typing import NamedTuple

#: An error can end a case wrongly or tell somebody something untrue; a warning is a slip that no case shows.
LEVELS = ("error", "warning")
_SECTION = re.compile(
    rf"^(?P<id>[a-z-]+) \((?P<level>{'|'.join(LEVELS)})\): (?P<finds>.+?)\n"
    r"Why it is bad: (?P<why>.+?)\nPASS:\n(?P<passes>.+?)\nFAIL:\n(?P<fails>.+?)(?:\n\n|\n?\Z)",
    re.MULTILINE | re.DOTALL,
)


class CheckDoc(NamedTuple):
    """One id that a check reports under: what it finds and why that is bad; two edits, the first of them sound."""

    id: str
    level: str
    finds: str
    why: str
    passes: str
    fails: str

    @property
    def text(self) -> str:
        """All of it, as `advisor check --explain` prints it."""
        head = f"{self.id} ({self.level}): {self.finds}\nWhy it is bad: {self.why}"
        return f"{head}\nPASS:\n{self.passes}\nFAIL:\n{self.fails}"


def docs_of(check: ModuleType) -> Iterator[CheckDoc]:
    """Every id that the head of a check's module explains."""
    for found in _SECTION.finditer(f"{check.__doc__}\n"):
        yield CheckDoc(**found.groupdict())
