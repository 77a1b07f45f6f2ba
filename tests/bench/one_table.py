"""One table of everything that judges, in one run: plain if/else is 1.00, every other way so many times slower.

By number of rulings: us-road, and with made-up rulings beside it that the cases do not touch, 4 and 16 times as many.
Not like for like: if/else and the decision engine get worked-out values handed to them and give a verdict only; their
verdicts are compared with the program's before anything is timed. Columns are judged as one table. Every case comes
once. Judging at once is taken twice: of the first cases, and of cases that come after 2,000 others, by which time most
of what a case is made of was met before; so are whole answers in words, and columns, of a first table and of one behind
another of as many rows.
Processor time; on a shared machine only the ratios mean anything.
Run: python tests/bench/one_table.py [--quick]
"""

from __future__ import annotations

import csv
import json
import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

import pyarrow
from floors import TODAY, cases, engine_table, flat, if_else, table
from made_up_rules import grown
from one_answer import counted_twice
from pyarrow.parquet import write_table
from ratio import noted

from advisor.api import Rules
from advisor.console.replaying import read_transcript
from advisor.console.session_lines import converse
from advisor.dialogue.session import Consultation
from advisor.journal.csv_columns import answered_columns, keys_in
from advisor.loader.answer_codec import cell_of
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set, trees_folder
from advisor.model.case import Case
from advisor.model.ruleset import RuleSet

TIMES = (1, 4, 16)
ROUNDS = 7
#: So many other cases are judged before those that count.
OTHERS = 2000
TRANSCRIPT = "01-nail-in-the-crown.txt"
PLAIN = "plain if/else, verdict only"
ENGINE = "the engine from the registry, one table, verdict only"
FIRST = "the same of the first cases that are judged"
FIRST_WHOLE = "the whole answer as plain data, of the first cases"
LINE = "the whole answer in words as a line of JSON"
FIRST_TABLE = "columns: the first table that is judged, and in the process"
#: At most so many times slower than if/else.
AIMS = {
    "judge: verdict, method, restrictions, settled, missing": 8.0,
    "judge: the whole answer in words, as plain data": 40.0,
    "columns: judge_table": 1.0,
}


def seconds(work: Callable[[], object]) -> float:
    """Processor seconds of one call."""
    begun = time.process_time()
    work()
    return time.process_time() - begun


class Found:
    """Seconds a case, by way and by how many times the rulings."""

    def __init__(self) -> None:
        self.rows: dict[str, dict[int, float]] = {}

    def add(self, way: str, times: int, taken: float) -> None:
        """Notes what a case takes."""
        self.rows.setdefault(way, {})[times] = taken

    def lines(self) -> Iterator[str]:
        """The table."""
        base = self.rows[PLAIN][1]
        heads = "".join(f"{f'{times}x rulings':>14}" for times in TIMES)
        yield f"{'times slower than if/else on us-road':58}{heads}{'a second, 1x':>16}"
        for way, found in self.rows.items():
            cells = "".join(f"{found[times] / base:14.2f}" if times in found else " " * 14 for times in TIMES)
            yield f"{way:58}{cells}{1 / found[1]:16,.0f}"


def texts_of(every: Sequence[Case], rules: RuleSet) -> dict[str, list[str]]:
    """The cases in columns named by question."""
    columns = answered_columns(rules, {key for case in every for key in keys_in(case)})
    found = {}
    for column in columns:
        answers = [case.get(column.question.over, (column.question.id, column.index)) for case in every]
        found[column.name] = ["" if answer is None else cell_of(answer, column.question) for answer in answers]
    return found


def verdict_only(rules: Rules, case: Case) -> object:
    """What stands at once."""
    found = rules.judge(case)
    return found.verdict, found.method, found.restrictions, found.settled, found.missing


def judging(found: Found, count: int, rounds: int) -> None:
    """if/else, the decision engine, judging whole and at once, columns, at each number of rulings."""
    base = load_rule_set(find_rule_set("us-road"))
    every = cases(count * rounds + OTHERS)
    every, others = every[: count * rounds], every[count * rounds :]
    count_of_rows = 1_000 if rounds < ROUNDS else 10_000
    of_tables = cases(2 * count_of_rows)
    before, columns = (pyarrow.table(texts_of(of_tables[at : at + count_of_rows], base)) for at in (0, count_of_rows))
    for times in TIMES:
        rule_set = grown(base, times)
        rules, rows = Rules(rule_set, TODAY), table(rule_set)
        flats = [flat(rule_set, rules.judge_of_rules, case, rows) for case in every]
        plain = if_else(rule_set, rows)
        differing = sum(plain(row) != int(Rules(base, TODAY).judge(case).judgement.verdict) for row, case in zip(
            flats[:count], every, strict=False)) if times == 1 else 0  # fmt: skip
        if times == 1:
            print(f"{len(rows)} rulings as rows, {len(every)} cases; verdicts that differ from if/else: {differing}")
        ways: dict[str, Callable[[int], object]] = {PLAIN: lambda at: plain(flats[at])}  # noqa: B023
        try:
            engine = engine_table(rule_set, rows, flats[0][0])
            assert all(engine(row) == plain(row) for row in flats[: count // times])
            ways[ENGINE] = lambda at: engine(flats[at])  # noqa: B023
        except ImportError:
            print("the engine is not installed: pip install '.[bench]'")
        at_once, whole = AIMS_JUDGE
        used = Rules(rule_set, TODAY)
        in_words = Rules(rule_set, TODAY)
        for case in others:
            verdict_only(used, case)
            in_words.judge(case).to_json_line()
        ways[at_once] = lambda at: verdict_only(used, every[at])  # noqa: B023
        ways[FIRST] = lambda at: verdict_only(rules, every[at])  # noqa: B023
        ways[FIRST_WHOLE] = lambda at: rules.judge(every[at]).to_json()  # noqa: B023
        # each case once: a line of every other one, plain data of the rest
        ways[LINE] = lambda at: in_words.judge(every[at]).to_json_line()  # noqa: B023
        ways[whole] = lambda at: in_words.judge(every[at]).to_json()  # noqa: B023
        taken: dict[str, list[float]] = {}
        for turn in range(rounds):
            places = range(turn * count, (turn + 1) * count)
            for way, work in ways.items():
                some = places[: max(1, count // times)] if way == ENGINE else places[_PART.get(way, slice(None))]
                taken.setdefault(way, []).append(seconds(lambda: [work(at) for at in some]) / len(some))  # noqa: B023
        taken[FIRST_TABLE] = [seconds(lambda: rules.judge_table(columns)) / len(columns)]  # noqa: B023
        used.judge_table(before)
        taken["columns: judge_table"] = [seconds(lambda: used.judge_table(columns)) / len(columns)]  # noqa: B023
        for way, each in taken.items():
            found.add(way, times, statistics.median(each))


_PART = {LINE: slice(0, None, 2), tuple(AIMS)[1]: slice(1, None, 2)}
AIMS_JUDGE = tuple(AIMS)[:2]


def one_answer(found: Found, rounds: int) -> None:
    """From a line of a demo that was read to the next question, in seconds; calls as `one_answer.py` has them."""
    root = Path(__file__).resolve().parents[2] / "transcripts_demo" / TRANSCRIPT
    typed = [text for _, text in read_transcript(root.read_text(encoding="utf-8"), root.name).typed]
    base = load_rule_set(find_rule_set("us-road"))
    for times in TIMES:
        judge = Rules(grown(base, times), TODAY).judge_of_rules
        taken = [each for _ in range(rounds) for each in _answers(judge, typed)]
        found.add("one typed answer until the next question", times, statistics.median(taken))
    counted_twice()


def _answers(judge: Any, typed: list[str]) -> list[float]:
    """The seconds of each answer that is followed by another question."""
    begun, measures = [0.0], list[float]()

    def lines() -> Iterator[str]:
        for place, text in enumerate(typed):
            if place:
                measures.append(time.process_time() - begun[0])
            yield text

    for _ in converse(Consultation(judge, TODAY), lines(), lambda _: begun.__setitem__(0, time.process_time())):
        pass
    return measures


def batches(found: Found, count: int) -> None:
    """`advisor decide` over each kind of file on one core: what a further case takes, the start not counted."""
    rules = load_rule_set(find_rule_set("us-road"))
    with tempfile.TemporaryDirectory() as folder:
        files = {kind: (Path(folder) / f"few.{kind}", Path(folder) / f"all.{kind}") for kind in _WRITERS}
        every = texts_of(cases(count), rules)
        few = {name: texts[: count // 4] for name, texts in every.items()}
        for kind, write in _WRITERS.items():
            write(files[kind][0], few)
            write(files[kind][1], every)
        reader = min(seconds(partial(_read, files["csv"][1])) for _ in range(3)) / count
        found.add("csv.DictReader alone", 1, reader)
        for kind, (small, large) in files.items():
            spent(small, "--brief")  # what is imported for the first time, and the rules kept ready
            for form in ("--brief", "--json"):
                taken = (spent(large, form) - spent(small, form)) / (count - count // 4)
                found.add(f"decide cases.{kind} {form}", 1, taken)
                if (kind, form) == ("csv", "--brief"):
                    noted("decide --brief on CSV", taken / reader, "x csv.DictReader", 10)


def spent(file: Path, form: str) -> float:
    """Processor seconds of a batch on one core."""
    return _whole([sys.executable, "-m", "advisor", "decide", str(file), form, "--cores", "1"])


def _read(file: Path) -> int:
    with file.open(newline="") as rows:
        return sum(len(row) for row in csv.DictReader(rows))


def _csv(file: Path, columns: dict[str, list[str]]) -> None:
    with file.open("w", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(columns)
        writer.writerows(zip(*columns.values(), strict=True))


def _json_lines(file: Path, columns: dict[str, list[str]]) -> None:
    with file.open("w") as out:
        for row in zip(*columns.values(), strict=True):
            answers: dict[str, object] = {}
            injuries: dict[str, dict[str, object]] = {}
            for name, text in zip(columns, row, strict=True):
                key, _, index = name.partition("[")
                value = text.split("; ") if ";" in text else text
                if index:
                    injuries.setdefault(index, {})[key] = value
                else:
                    answers[key] = value
            out.write(json.dumps({"answers": answers, "injuries": list(injuries.values())}) + "\n")


def _parquet(file: Path, columns: dict[str, list[str]]) -> None:
    write_table(pyarrow.table(columns), file)


_WRITERS = {"csv": _csv, "jsonl": _json_lines, "parquet": _parquet}


def proofs(found: Found, quick: bool) -> None:
    """What `advisor check` proves, whole process, against `python -c pass`; and at twice the rulings.

    Of rules checked before: once a file was edited, with all proofs anew; with those kept, as of a comment, a case or
    what people say; and again as they are then, which is only told again.
    """
    nothing = min(_whole([sys.executable, "-c", "pass"]) for _ in range(3))
    for name in ("us-road", *(() if quick else ("uk-road", "de-road"))):
        with tempfile.TemporaryDirectory() as home:
            folder, limits = Path(home) / name, Path(home) / name / "limits.yaml"
            for each in (name, "common"):
                shutil.copytree(trees_folder() / each, Path(home) / each)
            own = {**os.environ, "ADVISOR_CACHE": f"{home}/copies"}
            check = [sys.executable, "-m", "advisor", "check", str(folder)]
            first = _whole(check, own) - nothing
            taken = []
            for proved_anew in (True, False):
                limits.write_text(f"{limits.read_text()}# edited\n")
                for kept in Path(home).glob("copies/*.proved") if proved_anew else ():
                    kept.unlink()
                taken.append(_whole(check, own) - nothing)
            edited, commented = taken
            again = _whole(check, own) - nothing
        print(
            f"advisor check {name} on top of python -c pass: {first:.2f} s, edited {edited:.2f} s, "
            f"only a comment {commented:.2f} s, again {again:.2f} s"
        )
        if name == "us-road":
            found.add("advisor check us-road, whole process, edited: all proofs", 1, edited)
            noted("the proofs of us-road, edited, on top of python -c pass", edited, "s", 0.3)
            noted("us-road with only a comment edited, on top of python -c pass", commented, "s", 0.3)
            noted("us-road as it was checked before, on top of python -c pass", again, "s", 0.3)
    from advisor.tools.checks import problems_of
    from advisor.tools.verify import workbench

    base, before = load_rule_set(find_rule_set("us-road")), 0.0
    for times in () if quick else (1, 2):
        rules = grown(base, times)
        workbench.forget_proofs()
        now = seconds(partial(problems_of, rules))
        print(f"the proofs with {times} times the rulings: {now:.2f} s")
        if before:
            noted("the proofs of twice the rulings", now / before, "x those of us-road", 2.5)
        before = now


def _whole(command: list[str], environment: dict[str, str] | None = None) -> float:
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False, env=environment)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def main() -> int:
    """Prints the table; 1 where an aim was missed."""
    quick = "--quick" in sys.argv
    found = Found()
    judging(found, 10 if quick else 60, 2 if quick else ROUNDS)
    one_answer(found, 1 if quick else 3)
    batches(found, 200 if quick else 2000)
    proofs(found, quick)
    print("\n".join(found.lines()))
    base = found.rows[PLAIN][1]
    met = [noted(way, found.rows[way][1] / base, "times slower than if/else", aim) for way, aim in AIMS.items()]
    for way in AIMS:
        noted(f"{way}, 16 times the rulings", found.rows[way][16] / found.rows[way][1], "x those of us-road")
    return int(not all(met))


if __name__ == "__main__":
    sys.exit(main())
