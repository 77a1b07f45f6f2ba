"""What a trainer sees: figures by ruling and limit, results as rows, the same tire given to several people."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from pathlib import Path

from msgspec import Struct

from advisor.loader.yaml_nodes import read_text
from advisor.model.problems import Place, Problem, Problems, shown
from advisor.model.ruleset import RuleSet
from advisor.practise.grading import GRADED_PARTS, UNSAFE
from advisor.practise.job import VERDICT
from advisor.practise.learned import Attempt, Learned, due_of, figures_of
from advisor.practise.tire_plan import DOUBT, TirePlan
from advisor.wording.blocks import Block, Said

#: The columns of results; what was said and what the rules have stand for each part.
COLUMNS_OF_RESULTS = (
    "practice", "name", "at", "rules", "edition", "set", "tire", "mark", "unsafe", "sure", "faults",
    *(f"{part}: {what}" for part in GRADED_PARTS for what in ("mark", "said", "rules")),
)  # fmt: skip
_PRACTICE_CELL = "made up"
_FORMULA_SIGNS = ("=", "+", "-", "@", "\t")
_MOST_ROWS = 100_000


class ResultRow(Struct, frozen=True):
    """One tire of one person, as a row of results says it."""

    name: str
    tire: str
    mark: str
    said: str
    theirs: str
    verdict_mark: str
    unsafe: bool
    sure: int
    faults: str


def results_csv(records: Iterable[Learned]) -> str:
    """Every attempt as a row; a cell that a spreadsheet would take for a formula is led by an apostrophe."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(COLUMNS_OF_RESULTS)
    for record in records:
        for each in record.attempts:
            writer.writerow([_safe(cell) for cell in _cells(record.name, each)])
    return text.getvalue()


def _cells(name: str, each: Attempt) -> Iterator[str]:
    unsafe = "yes" if UNSAFE in each.marks.values() else "no"
    yield from (_PRACTICE_CELL, name, each.at, each.rules, each.edition, each.set, each.tire, each.mark, unsafe)
    yield from (str(each.sure), "; ".join(each.faults))
    for part in GRADED_PARTS:
        yield from (each.marks.get(part, ""), each.said.get(part, ""), each.theirs.get(part, ""))


def _safe(cell: str) -> str:
    return f"'{cell}" if cell.startswith(_FORMULA_SIGNS) else cell


def rows_of_file(file: str) -> list[ResultRow]:
    """The rows of a file of results. Raises Problems."""
    reader = csv.DictReader(io.StringIO(read_text(Path(file), file)))
    lacking = [column for column in COLUMNS_OF_RESULTS if column not in (reader.fieldnames or ())]
    if lacking:
        found = f"a file without the column {shown(lacking[0], 40)}"
        raise Problems([Problem("no-results", Place(file), found, "results, as --results writes them")])
    rows = []
    for number, row in enumerate(reader, 2):
        sure = (row["sure"] or "").strip()
        if None in row.values() or not sure.isdecimal() or number > _MOST_ROWS:
            raise Problems([Problem("no-results", Place(file, number), "a row that is no result", "a whole row")])
        rows.append(_row_of(row))
    return rows


def _row_of(row: dict[str, str]) -> ResultRow:
    cell = {name: value.removeprefix("'") for name, value in row.items() if isinstance(value, str)}
    return ResultRow(
        cell["name"],
        cell["tire"],
        cell["mark"],
        cell[f"{VERDICT}: said"],
        cell[f"{VERDICT}: rules"],
        cell[f"{VERDICT}: mark"],
        cell["unsafe"] == "yes",
        int(cell["sure"]),
        cell["faults"],
    )


def rows_of_records(records: Iterable[Learned]) -> list[ResultRow]:
    """The same rows of what is kept here."""
    return [
        ResultRow(
            record.name,
            each.tire,
            each.mark,
            each.said[VERDICT],
            each.theirs[VERDICT],
            each.marks[VERDICT],
            UNSAFE in each.marks.values(),
            each.sure,
            "; ".join(each.faults),
        )
        for record in records
        for each in record.attempts
    ]


def compared_people(rows: Sequence[ResultRow]) -> list[Said]:
    """Every tire that several people had, with what each said of it; each person's first answer counts."""
    tires: dict[str, dict[str, ResultRow]] = {}
    for row in rows:
        tires.setdefault(row.mark, {}).setdefault(row.name, row)
    said: list[Said] = []
    for people in tires.values():
        if len(people) > 1:
            first = next(iter(people.values()))
            lines = tuple(map(_of_person, people.values()))
            said.append(Block(f"{first.tire}: the rules say {first.theirs}", lines, "title"))
    if not said:
        return ["No tire here was given to more than one name."]
    names = list(dict.fromkeys(row.name for row in rows))
    totals = tuple(_totals(name, [people[name] for people in tires.values() if name in people]) for name in names)
    return [*said, Block("Together, each name's first answers:", totals, "title")]


def _of_person(row: ResultRow) -> str:
    unsafe = ", UNSAFE" if row.unsafe else ""
    faults = f"; {row.faults}" if row.faults else ""
    return f"{row.name}: {row.said} ({row.verdict_mark}{unsafe}; sure {row.sure} of 4){faults}"


def _totals(name: str, rows: Sequence[ResultRow]) -> str:
    right, unsafe = sum(row.verdict_mark == "right" for row in rows), sum(row.unsafe for row in rows)
    return f"{name}: {len(rows)} tires, {right} right, {unsafe} unsafe"


def learned_blocks(record: Learned, rules: RuleSet, at: datetime) -> list[Said]:
    """What was learned under a name: the figures, then by ruling and limit, what is due first."""
    own = [each for each in record.attempts if each.rules == rules.about.id]
    figures = tuple(f"{name}: {count}" for name, count in figures_of(own).items())
    rows = []
    for due in due_of(record, rules):
        when = "due: it was changed" if due.changed else "due" if due.at <= at else f"due {due.at:%Y-%m-%d}"
        unsafe = f", {due.unsafe} unsafe" if due.unsafe else ""
        rows.append(f"{due.item}: {due.tries} tries, {due.misses} misses{unsafe}; {when}")
    about = rules.about
    head = f"[Practice, made up] {record.name}, by {about.id}, edition {about.edition}:"
    return [Block(head, figures, "title"), Block("By ruling and limit:", tuple(rows) or ("nothing yet",), "title")]


def reach_blocks(plan: TirePlan, rules: RuleSet, fewest: Sequence[str]) -> list[Said]:
    """What tires can be made for, within how many, and why not for the rest."""
    kinds = dict.fromkeys(each.item.partition("/")[0] for each in plan.tires)
    made = tuple(f"{kind}: {sum(each.item.startswith(f'{kind}/') for each in plan.tires)}" for kind in kinds)
    left = tuple(f"{item}: {why}" for item, why in plan.left.items() if not item.startswith(DOUBT))
    doubts = tuple(item.partition("/")[2] for item in plan.left if item.startswith(DOUBT))
    about = rules.about
    said: list[Said] = [
        Block(f"[Practice, made up] {about.id} {about.edition}: {len(plan.tires)} tires can be made", made, "title"),
        f"Every ruling and both sides of every limit that can be reached are reached within {len(fewest)} tires.",
        Block("Not made, and why:", left or ("nothing",), "title"),
    ]
    if doubts:
        said.append(Block("Limits across which no reading decides:", (", ".join(doubts),), "title"))
    return said
