"""Single faults put into the files of a rule set by program, one at a time, and what tells each of them.

Every item of every list dropped, every `unless`, `in-doubt`, `optional`, `instead`, `figures-said`, step's `when`,
unit, plausible range, standing and clause taken away, narrowed or changed, every node led past the one that follows,
every limit moved and turned.

Run as a program it prints a table for each rule set, and every fault that is open or silent:
    python -m tests.tools.file_mutants [EVERY or EVERY+FROM] [RULES or RULES:FILE ...] [--told FILE]
EVERY takes only each so-many-th fault, from the first or from a later one (60+7), and the table says of how many; 1
takes all. Without a FILE named, those of files that only say words are left out. `--told` keeps in a file what was told
of each, so that a run that was stopped goes on there; a line counts while program and rules are as they were. A process
a core that this one may use (`taskset -c 0`: one).
"""

from __future__ import annotations

import argparse
import gc
import json
import os
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from hashlib import sha256
from multiprocessing import Pool
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

import yaml

from advisor.engine.evaluator import Judge
from advisor.loader.composed import Composed
from advisor.loader.kept_cases import kept_texts
from advisor.loader.renamed import asked_as_inputs
from advisor.loader.ruleset_loader import load_rule_set
from advisor.loader.shared import ASKED_FILES
from advisor.loader.yaml_nodes import documents
from advisor.model.case import Case
from advisor.model.problems import Problems
from advisor.model.ruleset import RuleSet
from advisor.tools.checks import CHECKS
from advisor.tools.diff.entries import ASKED, DECIDES, differing_entries
from advisor.tools.diff.ruleset_diff import compare, said_of_changes
from advisor.tools.verify.case_space import paired
from advisor.tools.verify.workbench import Bench
from tests.whole_rules import whole_copy

ROOT = Path(__file__).resolve().parents[2]
#: What tells a fault, the best first. `open` is said to be neither shown nor proved; `silent` is said to change
#: nothing, and a case tried by chance comes out otherwise.
TOLD = CASE, HEADING, CHECK, PROVED, OPEN, SILENT = (
    *("a case of compare", "a heading of compare", "check or loading", "proved to change nothing", "open", "silent"),
)
RULE_SETS = ("us-road", "uk-road", "de-road", "demo-shop")
#: Cases made by chance, which have to come out alike where no case is said to come out otherwise.
CHANCE_CASES = 300
#: A process begins anew after so many lots of faults, for the sake of its memory.
AT_ONCE = 100
UNITS = {"mm": "in", "in": "mm", "32nds": "mm", "psi": "kPa", "kPa": "psi", "mph": "km/h", "km/h": "mph"}
_TAKEN_AWAY = (
    "asked",
    "unless",
    "in-doubt",
    "optional",
    "instead",
    "when",
    "held-by",
    "fits",
    "not-with",
    "at-once",
    "plausible",
    "standing",
    "clause",
)


class Fault(NamedTuple):
    """A fault by name, in a file, with what the whole file says then."""

    name: str
    file: str
    content: Any

    @property
    def decides(self) -> bool:
        """Whether it is in a file that more than wording stands in."""
        return self.file not in ("phrases.yaml", "words.yaml", "sources.yaml", *ASKED_FILES)


def faults(folder: Path) -> Iterator[Fault]:
    """Every single fault of the files in a folder."""
    for path in sorted(folder.glob("*.yaml")):
        content = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.CBaseLoader)
        for where, change in _faults_in(content, content, ()):
            yield Fault(f"{path.name}: {where}", path.name, change)


def _faults_in(value: Any, whole: Any, path: tuple[Any, ...]) -> Iterator[tuple[str, Any]]:
    where = "/".join(map(str, path))
    if isinstance(value, list):
        for number, item in enumerate(value):
            name = item.get("id", number) if isinstance(item, dict) else item
            yield f"{where}: {name} dropped", _with(whole, path, value[:number] + value[number + 1 :])
            yield from _faults_in(item, whole, (*path, number))
    elif isinstance(value, dict):
        if path[-1:] == ("nodes",):
            yield from _led_past(value, whole, path)
        for key, item in value.items():
            if key in _TAKEN_AWAY:
                yield f"{where}: {key} taken away", _with(whole, path, {k: v for k, v in value.items() if k != key})
            for what, other in _changed(key, item, value):
                yield f"{where}: {key} {what}", _with(whole, (*path, key), other)
            yield from _faults_in(item, whole, (*path, key))


def _led_past(nodes: dict[str, Any], whole: Any, path: tuple[Any, ...]) -> Iterator[tuple[str, Any]]:
    """Each node that leads to the one that follows, led past it."""
    names = [*nodes, "end"]
    for name, past in zip(names, names[2:], strict=False):
        if "next" not in nodes[name]:
            yield (
                f"{'/'.join((*path, name))}: past the next",
                _with(whole, (*path, name), {**nodes[name], "next": past}),
            )


def _changed(key: str, item: Any, holder: dict[str, Any]) -> Iterator[tuple[str, Any]]:
    """Other values of a key that a slip could give it."""
    if key == "unit" and isinstance(item, str) and item in UNITS:
        yield "changed", UNITS[item]
    elif key == "at-limit":
        yield "turned", "fails" if item == "passes" else "passes"
    elif key == "worse" and item in ("above", "below"):
        yield "turned", "below" if item == "above" else "above"
    elif key == "value" and isinstance(item, str) and item[:1].isdigit() and "at-limit" in holder:
        yield "moved", f"9{item}"


def _with(whole: Any, path: tuple[Any, ...], value: Any) -> Any:
    """A copy of the content with another value at a place."""
    if not path:
        return value
    copy = list(whole) if isinstance(whole, list) else dict(whole)
    copy[path[0]] = _with(whole[path[0]], path[1:], value)
    return copy


class Edited(Composed):
    """The files of rule sets as nodes, each composed once, but for the one that a fault is in."""

    def __init__(self) -> None:
        super().__init__()
        self._whole: dict[Path, list[yaml.Node]] = {}
        self.edit: tuple[Path, str] | None = None

    def documents(self, path: Path, name: str) -> list[yaml.Node]:
        """The documents of a file as it stands, or as the fault has it."""
        if self.edit is not None and path == self.edit[0]:
            return documents(self.edit[1], name)
        if path not in self._whole:
            self._whole[path] = super().documents(path, name)
        return self._whole[path]


class Telling:
    """A rule set, and what tells the faults of its files."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.files = Edited()
        self.rules = load_rule_set(self.folder, self.files)
        self.space = paired(self.rules, self.rules)[0]
        self.cases = list(chance_cases(Bench(self.rules)))
        self.kept = list(kept_texts(self.folder))
        self.outcomes = self._outcomes(self.rules)

    def _outcomes(self, rules: RuleSet) -> list[str]:
        judge = Judge(rules)
        return [said_of_changes(judge.judge(case)) for case in self.cases]

    def tells(self, fault: Fault) -> str:
        """What tells a fault, the best of `TOLD`."""
        self.files.edit = self.folder / fault.file, json.dumps(fault.content)
        gc.disable()  # there are hardly any cycles, and looking for them costs more than what is looked at
        try:
            return self._told(load_rule_set(self.folder, self.files))
        except Problems:
            return CHECK
        finally:
            gc.enable()

    def _told(self, new: RuleSet) -> str:
        entries = list(differing_entries(self.rules, new))
        if entries and not {entry.heading for entry in entries} & {DECIDES, ASKED}:
            return HEADING
        comparison = compare(self.rules, new, to_first_change=True, like=self.space, kept=self.kept)
        if comparison.changes:
            return CASE
        if comparison.cautions or comparison.asked or comparison.unshown:
            return HEADING
        if has_problem(new):
            return CHECK
        if comparison.open:
            return OPEN
        if self._outcomes(new) != self.outcomes:
            return SILENT
        return HEADING if any(entry.heading == ASKED for entry in entries) else PROVED


def has_problem(rules: RuleSet) -> bool:
    """Whether a check finds anything; no further than to the first problem."""
    known = asked_as_inputs(rules)
    return any(next(iter(check.check(known)), None) is not None for check in CHECKS)


def chance_cases(bench: Bench, count: int = CHANCE_CASES) -> Iterator[Case]:
    """Cases with a few groups moved from the quiet case, the same ones each time."""
    random = Random(11)
    groups = [number for number, names in enumerate(bench.space.groups) if names]
    for _ in range(count):
        moved = random.sample(groups, random.randint(1, 4))
        real = [[state for state in bench.space.states(number) if state.real] for number in moved]
        yield bench.case([random.choice(states) for states in real if states])


_telling: list[Telling] = []


def _begin(folder: Path) -> None:
    _telling[:] = [Telling(folder)]


def _told(fault: Fault) -> tuple[str, str, float]:
    """A fault's name, what tells it, and the processor time that it took."""
    start = time.process_time()
    told = _telling[0].tells(fault)
    return fault.name, told, time.process_time() - start


class ToldBefore:
    """What was told of faults in a run before, for the same program and rules; without a file nothing is kept."""

    def __init__(self, file: Path | None, folder: Path) -> None:
        places = (ROOT / "advisor", ROOT / "trees" / "common", folder)
        kinds = (".py", ".yaml", ".csv", ".json")
        sources = (path for place in places for path in sorted(place.rglob("*.*")) if path.suffix in kinds)
        self.mark = sha256(b"".join(path.read_bytes() for path in sources)).hexdigest()
        self.file, self.told = file, dict[str, str]()
        if file is not None and file.exists():
            lines = map(json.loads, file.read_text(encoding="utf-8").splitlines())
            self.told = {name: told for mark, name, told in lines if mark == self.mark}

    def keep(self, name: str, told: str) -> None:
        """Appends what tells a fault."""
        self.told[name] = told
        if self.file is not None:
            with self.file.open("a", encoding="utf-8") as file:
                file.write(json.dumps([self.mark, name, told]) + "\n")


def table(name: str, every: int, first: int, processes: int, kept: Path | None = None) -> None:
    """Tries each so-many-th fault of a rule set, from one of them on, and prints what tells them."""
    name, _, file = name.partition(":")
    spent = 0.0
    folder = whole_copy(Path(tempfile.mkdtemp()) / name, name)
    wanted = [each for each in faults(folder) if file == each.file or (not file and each.decides)]
    tried, before = wanted[first::every], ToldBefore(kept, folder)
    left = [fault for fault in tried if fault.name not in before.told]
    with Pool(processes, _begin, (folder,), maxtasksperchild=AT_ONCE) as pool:
        for fault, told, seconds in pool.imap(_told, left, chunksize=4):
            before.keep(fault, told)
            spent += seconds
    counts = Counter(before.told[fault.name] for fault in tried)
    for told in (SILENT, OPEN):
        print("".join(f"{told:8}{each.name}\n" for each in tried if before.told[each.name] == told), end="")
    now = f"{len(left)} tried now in {spent:.0f} s of processor time"
    print(f"\n{name} {file}: {len(tried)} of {len(wanted)} faults, {now}")
    for told in TOLD:
        print(f"  {counts[told]:5}  {told}", flush=True)


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("every", nargs="?", default="1")
    parser.add_argument("rules", nargs="*", default=RULE_SETS)
    parser.add_argument("--told", type=Path, default=None)
    asked = parser.parse_args()
    step, _, start = asked.every.partition("+")
    for each in asked.rules:
        table(each, int(step), int(start or 0), len(os.sched_getaffinity(0)), asked.told)
