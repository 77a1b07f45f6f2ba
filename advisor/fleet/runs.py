"""What is done with each partition of a fleet: judged by one rule set, or by two editions and held side by side."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Any

import pyarrow
import pyarrow.compute as compute
from msgspec import Struct

from advisor.fleet.columns import BatchJudge, judged_table
from advisor.fleet.dataset import MOST_TOLD, PartOutcome
from advisor.model.ruleset import RuleSet

#: Between the verdict before and the verdict now in the name of a count.
_TO = " to "
NOT_READ = "not read"
RECALL = pyarrow.schema([
    ("old", pyarrow.string()),
    ("new", pyarrow.string()),
    ("old_method", pyarrow.string()),
    ("new_method", pyarrow.string()),
    ("restrictions_added", pyarrow.list_(pyarrow.string())),
    ("restrictions_gone", pyarrow.list_(pyarrow.string())),
    ("problem", pyarrow.string()),
])  # fmt: skip


class Decided(Struct, frozen=True):
    """Every row judged."""

    judge: BatchJudge

    def __call__(self, table: pyarrow.Table) -> PartOutcome:
        """All rows, and how many came to each verdict."""
        found = judged_table(table, self.judge)
        problems = found["problem"]
        counts = Counter(verdict for verdict in found["verdict"].to_pylist() if verdict)
        return PartOutcome(found, None, len(problems) - problems.null_count, _first(problems), dict(counts))


class Rejudgement(Struct, frozen=True):
    """Every row judged by two editions; what is written is the recall list: the rows that come out otherwise.

    `names` are ids of methods and restrictions that the new edition has renamed, and as what.
    """

    old: BatchJudge
    new: BatchJudge
    names: tuple[tuple[str, str], ...]

    def __call__(self, table: pyarrow.Table) -> PartOutcome:
        """The rows that differ, and how many went from which verdict to which."""
        before, after = judged_table(table, self.old), judged_table(table, self.new)
        perhaps = compute.indices_nonzero(_unequal(before, after))
        each = zip(perhaps.to_pylist(), before.take(perhaps).to_pylist(), after.take(perhaps).to_pylist(), strict=True)
        rows = [(place, row) for place, one, other in each if (row := self._row(one, other)) is not None]
        counts = Counter(f"{row['old'] or NOT_READ}{_TO}{row['new'] or NOT_READ}" for _, row in rows)
        unread = _unread(before, after)
        places = pyarrow.array([place for place, _ in rows], pyarrow.int64())
        told = _first(after["problem"]) or _first(before["problem"])
        return PartOutcome(
            pyarrow.Table.from_pylist([row for _, row in rows], RECALL), places, unread, told, dict(counts)
        )

    def _row(self, old: dict[str, Any], new: dict[str, Any]) -> dict[str, Any] | None:
        """What differs between the results of one row; None where only a name is another one."""
        names = dict(self.names)
        method = names.get(old["method"], old["method"])
        had = {names.get(name, name) for name in old["restrictions"] or ()}
        has = set(new["restrictions"] or ())
        if (old["verdict"], method, had) == (new["verdict"], new["method"], has):
            return None
        return {
            "old": old["verdict"],
            "new": new["verdict"],
            "old_method": method,
            "new_method": new["method"],
            "restrictions_added": sorted(has - had),
            "restrictions_gone": sorted(had - has),
            "problem": new["problem"] or old["problem"],
        }


def renamed_names(rules: RuleSet) -> tuple[tuple[str, str], ...]:
    """Methods and restrictions that a rule set has under another id than formerly."""
    return tuple(sorted({**rules.renamed["method"], **rules.renamed["restriction"]}.items()))


def _unequal(before: pyarrow.Table, after: pyarrow.Table) -> pyarrow.ChunkedArray:
    marks = [compute.not_equal(*(_texts(table, name) for table in (before, after))) for name in _COMPARED]
    found = marks[0]
    for mark in marks[1:]:
        found = compute.or_(found, mark)
    return found


_COMPARED = ("verdict", "method", "restrictions")


def _texts(table: pyarrow.Table, name: str) -> pyarrow.ChunkedArray:
    """A column in which equal texts are equal results."""
    column = table[name]
    return compute.fill_null(compute.binary_join(column, ";") if name == "restrictions" else column, "")


def _unread(before: pyarrow.Table, after: pyarrow.Table) -> int:
    either = compute.or_(compute.is_valid(before["problem"]), compute.is_valid(after["problem"]))
    return compute.sum(either).as_py() or 0


def _first(problems: pyarrow.ChunkedArray) -> tuple[tuple[int, str], ...]:
    """Place and text of the first rows that could not be read."""
    places: Sequence[int] = compute.indices_nonzero(compute.is_valid(problems)).to_pylist()[:MOST_TOLD]
    return tuple((place, problems[place].as_py()) for place in places)
