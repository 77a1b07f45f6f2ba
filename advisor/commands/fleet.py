"""`decide` and `compare --records` over a Parquet dataset on a cluster: what is asked, how far it is, what came."""

from __future__ import annotations

import sys
from argparse import Namespace
from collections import Counter
from collections.abc import Callable
from datetime import date
from typing import TYPE_CHECKING, Any

from msgspec.structs import replace

from advisor import start
from advisor.api import load
from advisor.commands.batch import Bar
from advisor.commands.command_parser import rules_named, usage_error
from advisor.engine.evaluator import Judge
from advisor.fleet.packages import needs
from advisor.model.exit_code import ExitCode
from advisor.model.problems import Problems, json_shown, shown
from advisor.model.ruleset import RuleSet

if TYPE_CHECKING:
    from advisor.fleet.columns import BatchJudge
    from advisor.fleet.dataset import Dataset, PartDone, PartWork, ResultFolder

#: Columns of a record that are carried into the results where they are there.
CARRIED = ("consultation", "casing", "decided")
MOST_TOLD_IN_ALL = 20
_PLAIN = (str, int, float, list, type(None))


def decide_fleet(options: Namespace, today: date) -> ExitCode:
    """Judges every row of a dataset; each partition's results are a file of the folder. Gives the exit code."""
    if len(options.words) != 1 or len(options.rules) > 1 or options.json or options.brief or options.first:
        expected = "one dataset and one rule set, without --json, --brief and --from: the results are Parquet"
        raise usage_error("bad-option", "--cluster as it stands", expected)
    _checked(options)
    from advisor.fleet.columns import batch_judge
    from advisor.fleet.dataset import Dataset, day_begun
    from advisor.fleet.runs import Decided

    day = today if options.today else day_begun(options.into, today)
    rules = load(rules_named(options), day)
    start.done()
    carried = (*CARRIED, *options.carry)
    judge = batch_judge(rules.judge_of_rules, day, dict(options.map), carried)
    dataset = Dataset(options.words[0])
    for path, header in dataset.headers.items():
        found = judge.columns_of(header, path.name)
        sys.stderr.writelines(f"Note: {says}.\n" for says in found.read_as)
    run = _Run(options, "decide", [judge], dataset, day)
    counts, failed = run.through(Decided(judge), carried)
    sys.stdout.write(f"Rows judged by {_named(judge)}: {dataset.rows - failed}\n")
    for verdict in ("repair", "refer", "hold", "scrap"):
        sys.stdout.write(f"  {verdict}: {counts[verdict]}\n" if counts[verdict] else "")
    run.tell_where("their results", failed)
    return ExitCode.BAD_INPUT if failed else ExitCode.DONE


def compare_fleet(old: RuleSet, new: RuleSet, options: Namespace) -> ExitCode:
    """Judges every row by two editions; the recall list, the rows that come out otherwise, is what is written."""
    if not options.data:
        raise usage_error(
            "bad-option", "--cluster without --data", "--data DATASET: a Parquet file or folder of records"
        )
    _checked(options)
    from advisor.fleet.columns import batch_judge
    from advisor.fleet.dataset import Dataset, day_begun
    from advisor.fleet.runs import Rejudgement, renamed_names

    day = day_begun(options.into, date.today())
    carried = (*CARRIED, *options.carry)
    dataset = Dataset(options.data)
    names = dict.fromkeys(name for header in dataset.headers.values() for name in header)
    both = Judge(old), Judge(new)
    known = [_known(batch_judge(judge, day, {}, carried), names) for judge in both]
    judges = []
    for side, judge in enumerate(both):
        over, about = [name for name in known[1 - side] if name not in known[side]], judge.rules.about
        if over:
            words = ", ".join(shown(name, 60) for name in over)
            sys.stderr.write(f"Note: passed over, as {about.id} {about.edition} has no question: {words}.\n")
        judges.append(batch_judge(judge, day, {}, (*carried, *over)))
    try:
        for path, header in dataset.headers.items():
            for each in judges:
                each.columns_of(header, path.name)
    except Problems as error:
        do = "name it as the question is named, or take it along: --carry COLUMN"
        raise Problems([replace(problem, do=do) for problem in error.problems]) from None
    run = _Run(options, "compare", judges, dataset, day)
    counts, failed = run.through(Rejudgement(judges[0], judges[1], renamed_names(new)), carried)
    if options.json:
        run.print_lines()
    out = sys.stderr if options.json else sys.stdout
    out.write(f"Rows judged by {_named(judges[0])} and by {_named(judges[1])}: {dataset.rows}\n")
    for name, count in sorted(counts.items()):
        before, _, after = name.partition(" to ")
        out.write(f"  {name if before != after else f'{before}, with another method or restriction'}: {count}\n")
    if not counts:
        out.write("  none would be decided otherwise\n")
    run.tell_where("the recall list", failed, out)
    return ExitCode.FOUND if counts else ExitCode.DONE


def _checked(options: Namespace) -> None:
    if not options.into:
        raise usage_error("bad-option", "--cluster without --into", "--into FOLDER, where the results go")
    needs("pyarrow", "fleet")
    needs("distributed", "fleet")


def _known(judge: BatchJudge, names: dict[str, None]) -> set[str]:
    """The columns that fit a question of the rules."""
    found = set()
    for name in names:
        try:
            judge.columns_of([name])
        except Problems:
            continue
        found.add(name)
    return found


def _named(judge: BatchJudge) -> str:
    about = judge.rules.about
    return f"{about.id} {about.edition} ({judge.rules.digest})"


class _Run:
    """One run over a dataset into a folder."""

    def __init__(self, options: Namespace, what: str, judges: list[BatchJudge], dataset: Dataset, day: date) -> None:
        from advisor.fleet.dataset import ResultFolder, manifest_of

        columns = {"map": dict(options.map) if what == "decide" else {}, "carry": sorted(options.carry)}
        rules = [(rules.about.id, rules.about.edition, rules.digest) for rules in (each.rules for each in judges)]
        self._options, self._dataset = options, dataset
        self._folder: ResultFolder = ResultFolder(options.into, manifest_of(what, rules, day, dataset, columns))
        self._told = 0

    def through(self, outcome: Callable[[Any], Any], carried: tuple[str, ...]) -> tuple[Counter[str], int]:
        """Has every partition done that is not yet; gives the counts of all of them, and how many rows did not fit."""
        from advisor.fleet.cluster import cluster_client, each_part
        from advisor.fleet.dataset import PartWork

        folder, parts = self._folder, self._dataset.partitions
        every = folder.done(parts)
        rows = before = sum(done.rows for done in every.values())
        if folder.begun:
            sys.stderr.write(
                f"{len(every)} of {len(parts)} partitions are in {shown(str(folder.path), 200)} already.\n"
            )
        work: PartWork = PartWork(outcome, str(folder.path), folder.run, carried)
        left = [part for part in parts if part.number not in every]
        bar = Bar(lambda number: number / self._dataset.rows, before, "rows") if sys.stderr.isatty() else None
        try:
            if left:
                with cluster_client(self._options.cluster, self._options.cores) as client:
                    for done in each_part(client, work, left):
                        rows += done.rows
                        every[done.number] = done
                        self._tell(done, bar, rows)
        except (KeyboardInterrupt, Problems):
            sys.stderr.write(f"\nStopped with {len(every)} of {len(parts)} partitions written.")
            sys.stderr.write(" The same command goes on with the rest.\n")
            raise
        finally:
            if bar:
                bar.clear()
        folder.tidy()
        counts: Counter[str] = Counter()
        for done in every.values():
            counts.update(done.counts)
        return counts, sum(done.failed for done in every.values())

    def _tell(self, done: PartDone, bar: Bar | None, rows: int) -> None:
        if bar and done.told:
            bar.clear()
        for text in done.told[: MOST_TOLD_IN_ALL - self._told]:
            self._told += 1
            sys.stderr.write(f"{shown(text)}\n")
        if bar:
            bar.show(rows)

    def tell_where(self, what: str, failed: int, out: Any = None) -> None:
        """Where the results are, and that some rows could not be read."""
        (out or sys.stdout).write(f"Written, {what}: {shown(str(self._folder.path), 200)}\n")
        if failed:
            sys.stderr.write(f"Not judged: {failed} of {self._dataset.rows} rows. The others are.\n")

    def print_lines(self) -> None:
        """The rows that were written, one object a line, in the order of the dataset."""
        for row in self._folder.rows(self._dataset.partitions):
            plain = {name: each if isinstance(each, _PLAIN) else str(each) for name, each in row.items()}
            sys.stdout.write(f"{json_shown(plain)}\n")
