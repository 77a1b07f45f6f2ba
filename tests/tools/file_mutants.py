"""Single faults put into the files of a rule set by program, one at a time, and what tells each of them.

Every item of every list dropped, every `unless`, `in-doubt`, `optional`, `instead`, `figures-said`, step's `when`,
unit and plausible range taken away, narrowed or changed, every only way on led past the next node, every limit moved
and turned.

Run as a program it prints a table for each rule set, and every fault that is silent:
    python -m tests.tools.file_mutants [EVERY] [RULES or RULES:FILE ...]
EVERY takes only each so-many-th fault, 1 all of them: about two hours of processor time for us-road.
"""

from __future__ import annotations

import json
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

import yaml

from advisor.engine.evaluator import Judge
from advisor.loader.ruleset_loader import load_rule_set, trees_folder
from advisor.model.case import Case
from advisor.model.problems import Problems
from advisor.model.ruleset import RuleSet
from advisor.tools.checks import problems_of
from advisor.tools.diff.entries import ASKED, DECIDES, differing_entries
from advisor.tools.diff.ruleset_diff import compare, said_of_changes
from advisor.tools.verify.workbench import Bench

#: What tells a fault, the best first. `open` is said to be neither shown nor proved; `silent` is said to change
#: nothing, and a case tried by chance comes out otherwise.
TOLD = CASE, HEADING, CHECK, PROVED, OPEN, SILENT = (
    *("a case of compare", "a heading of compare", "check or loading", "proved to change nothing", "open", "silent"),
)
RULE_SETS = ("us-road", "uk-road", "de-road", "demo-shop")
#: Cases made by chance, which have to come out alike where no case is said to come out otherwise.
CHANCE_CASES = 300
UNITS = {"mm": "in", "in": "mm", "32nds": "mm", "psi": "kPa", "kPa": "psi", "mph": "km/h", "km/h": "mph"}
_TAKEN_AWAY = (
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
)


class Fault(NamedTuple):
    """A fault by name, in a file, with what the whole file says then."""

    name: str
    file: str
    content: Any

    @property
    def decides(self) -> bool:
        """Whether it is in a file that more than wording stands in."""
        return self.file not in ("phrases.yaml", "words.yaml", "sources.yaml")


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
        for key, item in value.items():
            if key in _TAKEN_AWAY:
                yield f"{where}: {key} taken away", _with(whole, path, {k: v for k, v in value.items() if k != key})
            for what, other in _changed(key, item, value, whole):
                yield f"{where}: {key} {what}", _with(whole, (*path, key), other)
            yield from _faults_in(item, whole, (*path, key))


def _changed(key: str, item: Any, holder: dict[str, Any], whole: Any) -> Iterator[tuple[str, Any]]:
    """Other values of a key that a slip could give it."""
    if key == "unit" and item in UNITS:
        yield "changed", UNITS[item]
    elif key == "at-limit":
        yield "turned", "fails" if item == "passes" else "passes"
    elif key == "worse" and item in ("above", "below"):
        yield "turned", "below" if item == "above" else "above"
    elif key == "next" and isinstance(item, str):
        following = whole["nodes"].get(item, {}).get("next")
        if isinstance(following, str):
            yield "past the next", following
    elif key == "value" and isinstance(item, str) and item[:1].isdigit() and "at-limit" in holder:
        yield "moved", f"9{item}"


def _with(whole: Any, path: tuple[Any, ...], value: Any) -> Any:
    """A copy of the content with another value at a place."""
    if not path:
        return value
    copy = list(whole) if isinstance(whole, list) else dict(whole)
    copy[path[0]] = _with(whole[path[0]], path[1:], value)
    return copy


class Telling:
    """A rule set, and what tells the faults of its files."""

    def __init__(self, name: str) -> None:
        self.folder = trees_folder() / name
        self.rules = load_rule_set(self.folder)
        self.cases = list(_chance_cases(Bench(self.rules)))
        self.outcomes = self._outcomes(self.rules)

    def _outcomes(self, rules: RuleSet) -> list[str]:
        judge = Judge(rules)
        return [said_of_changes(judge.judge(case)) for case in self.cases]

    def tells(self, fault: Fault) -> str:
        """What tells a fault, the best of `TOLD`."""
        with tempfile.TemporaryDirectory() as scratch:
            copy = Path(scratch) / self.folder.name
            shutil.copytree(self.folder, copy)
            (copy / fault.file).write_text(json.dumps(fault.content), encoding="utf-8")
            try:
                return self._told(load_rule_set(copy))
            except Problems:
                return CHECK

    def _told(self, new: RuleSet) -> str:
        entries = list(differing_entries(self.rules, new))
        if entries and not {entry.heading for entry in entries} & {DECIDES, ASKED}:
            return HEADING
        comparison = compare(self.rules, new)
        if comparison.changes:
            return CASE
        if comparison.cautions or comparison.asked or comparison.unshown:
            return HEADING
        if problems_of(new):
            return CHECK
        if comparison.open:
            return OPEN
        if self._outcomes(new) != self.outcomes:
            return SILENT
        return HEADING if any(entry.heading == ASKED for entry in entries) else PROVED


def _chance_cases(bench: Bench) -> Iterator[Case]:
    """Cases with a few groups moved from the quiet case, the same ones each time."""
    random = Random(11)
    groups = [number for number, names in enumerate(bench.space.groups) if names]
    for _ in range(CHANCE_CASES):
        moved = random.sample(groups, random.randint(1, 4))
        real = [[state for state in bench.space.states(number) if state.real] for number in moved]
        yield bench.case([random.choice(states) for states in real if states])


def table(name: str, every: int) -> None:
    """Tries each so-many-th fault of a rule set, and prints what tells them."""
    name, _, file = name.partition(":")
    telling, counts, start = Telling(name), Counter[str](), time.process_time()
    tried = [fault for fault in faults(telling.folder) if file in ("", fault.file)][::every]
    for fault in tried:
        told = telling.tells(fault)
        counts[told] += 1
        if told in (SILENT, OPEN):
            print(f"{told:8}{fault.name}", flush=True)
    print(f"\n{name} {file}: {len(tried)} faults, {time.process_time() - start:.0f} s of processor time")
    for told in TOLD:
        print(f"  {counts[told]:5}  {told}", flush=True)


if __name__ == "__main__":
    for each in sys.argv[2:] or RULE_SETS:
        table(each, int((sys.argv[1:] or ["1"])[0]))
