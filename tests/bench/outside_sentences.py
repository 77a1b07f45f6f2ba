"""How well sentences from outside are heard: `python tests/bench/outside_sentences.py FILE [--misses] [--rules SET]`.

FILE has one JSON object a line, written by somebody who knows neither lexicon nor code: rules, text, answers,
findings_present, findings_absent, injuries, maybe (ids that the sentence hints at), never ([id, value] that would be
false). Figures are compared in SI, so 3/8 in is 9.5 mm. False is an answer outright (answers, injuries) that the
sentence does not give; an answer to what it only hints at is counted apart. Whole is a sentence of which all that was
said is in answers or proposals, with no false answer.
"""

from __future__ import annotations

import argparse
import itertools
import json
import re
import sys
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from advisor.loader.answer_codec import read_written
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.problems import Misread
from advisor.model.quantity import Measure
from advisor.model.ruleset import RuleSet
from advisor.nlu.case_of import as_json
from advisor.nlu.pipeline import Listener

SI = {"length": "mm", "pressure": "kPa", "angle": "deg", "temperature": "C", "share": "%", "mass": "kg"}
#: What a repair is helped by when it is said outright.
HELPS = {"run-low=no", "sealant=no", "earlier-repairs=no", "demounted=yes", "findings=none", "inside-signs=none"}
#: Not more apart than this is the same figure: 3/8 in and 9.5 mm.
NEAR = 0.015
#: Of a sidewall's print the size counts; what stands behind it may be noted under its own questions.
SIZE_PRINT = re.compile(r"(?:P|LT|ST)?\d{2,5}(?:\.\d|R|X)")
BARE_PRINT = str.maketrans("", "", " /")
Atom = tuple[str, Any]


def value_of(rules: RuleSet, name: str, written: Any) -> Any:
    """A value made comparable: measures in SI, choices by id."""
    question = rules.questions.get(name)
    text = str(written).strip().removeprefix("about ").removeprefix("~")
    if question is not None and question.kind == "clock":
        return text if ":" in text else f"{text.split()[0]}:00"
    if question is None or question.kind in ("choice", "text"):
        return text.upper().translate(BARE_PRINT) if name == "sidewall" and text != "cant-tell" else text
    try:
        answer = read_written(question, text)
    except (Misread, ValueError):
        return text
    if not isinstance(answer, Measure):
        return text
    si = answer.to(SI.get(answer.quantity, answer.unit))
    return (float(si.low), float(si.high))


def same(one: Any, other: Any) -> bool:
    """Whether two values are the same but for rounding."""
    if isinstance(one, tuple) and isinstance(other, tuple):
        return all(abs(a - b) <= NEAR * max(abs(a), abs(b), 1) for a, b in zip(one, other, strict=True))
    if isinstance(one, str) and isinstance(other, str) and SIZE_PRINT.match(one):
        return one.startswith(other) or other.startswith(one)
    return bool(one == other)


def atoms(rules: RuleSet, answers: dict[str, Any], of_repair: bool = False) -> Iterator[Atom]:
    """Answers as single statements; those of an earlier repair have the keys of an injury's."""
    ids = {each.key: name for name, each in rules.questions.items() if (each.over == "earlier-repairs") == of_repair}
    for key, written in answers.items():
        name = ids.get(key, key)
        question = rules.questions.get(name)
        if question is not None and question.kind == "choices":
            yield from _choices(name, written)
        elif name == "earlier-repairs":
            yield name, "cant-tell" if written == "cant-tell" else "no" if written in ([], "no") else "yes"
            for repair in written if isinstance(written, list) else ():
                yield from atoms(rules, repair, of_repair=True)
        elif question is not None and question.kind == "readings" and isinstance(written, str):
            yield from ((name, value_of(rules, name, each)) for each in written.split(", "))
        elif isinstance(written, list):
            yield from ((name, value_of(rules, name, each)) for each in written)
        else:
            yield name, value_of(rules, name, written)


def _choices(name: str, written: Any) -> Iterator[Atom]:
    if isinstance(written, dict):
        yield from ((f"{name}:{each}", "present") for each in written.get("present", ()))
        yield from ((f"{name}:{each}", "absent") for each in written.get("absent", ()))
    else:
        listed = [each for each in (written if isinstance(written, list) else [written]) if each != "cant-tell"]
        yield from ((name, "none") if each == "none" else (f"{name}:{each}", "present") for each in listed)


def injuries(rules: RuleSet, listed: list[dict[str, Any]]) -> list[list[Atom]]:
    """The injuries as single statements."""
    return [list(atoms(rules, each)) for each in listed]


class Tally:
    """The counts of one rule set."""

    def __init__(self) -> None:
        self.counts: Counter[str] = Counter()
        self.missed: Counter[str] = Counter()
        self.lines: list[str] = []

    def take(self, row: dict[str, Any], heard: dict[str, Any], rules: RuleSet) -> None:
        """Counts one sentence."""
        hinted = set(row.get("maybe", ()))
        row = {**row, "maybe": [*hinted, *(name for name, each in rules.questions.items() if each.key in hinted)]}
        wanted = list(atoms(rules, row.get("answers", {})))
        wanted += [(f"findings:{each}", "present") for each in row.get("findings_present", ())]
        wanted += [(f"findings:{each}", "absent") for each in row.get("findings_absent", ())]
        hurt = injuries(rules, row.get("injuries", []))
        said, held = (list(atoms(rules, part["answers"])) for part in (heard, heard["proposed"]))
        told, lifted = (injuries(rules, part["injuries"]) for part in (heard, heard["proposed"]))
        plain, either, false = _matched(wanted, said, held, row)
        best = _best(hurt, told, lifted, row)
        every = [*wanted, *(atom for each in hurt for atom in each)]
        loose = [*held, *(atom for each in lifted for atom in each)]
        stray = [one for one in loose if not any(one[0] == name and same(one[1], value) for name, value in every)]
        self.counts.update(stray=sum(not _hinted(one, row) for one in stray))
        self.lines += [
            f"stray  {name}={value}   {row['text']}" for name, value in stray if not _hinted((name, value), row)
        ]
        self._note(row, wanted, hurt, plain + best[0], either + best[1], false + best[2])

    def _note(
        self, row: dict[str, Any], wanted: list[Atom], hurt: list[list[Atom]], plain: int, missed: list[Atom],
        false: list[Atom],
    ) -> None:  # fmt: skip
        count = len(wanted) + sum(map(len, hurt))
        hinted = [atom for atom in false if _hinted(atom, row)]
        false = [atom for atom in false if atom not in hinted]
        absent = [atom for atom in false if atom[1] == "absent" or atom[1] == "none"]
        helping = [atom for atom in false if f"{atom[0]}={atom[1]}" in HELPS or atom in absent]
        self.counts.update(
            sentences=1, wanted=count, plain=plain, either=count - len(missed), false=len(false), absent=len(absent),
            helping=len(helping), hinted=len(hinted), whole=not missed and not false,
        )  # fmt: skip
        self.missed.update(name for name, _ in missed)
        for kind, found in (("FALSE", false), ("hint", hinted), ("missed", missed)):
            self.lines += [f"{kind:6} {name}={value}   {row['text']}" for name, value in found]

    def printed(self, name: str) -> str:
        """One row of the table."""
        counts = self.counts
        wanted = max(counts["wanted"], 1)
        return (
            f"{name:9} {counts['sentences']:5} {counts['false']:6} {counts['absent']:7} {counts['helping']:6} "
            f"{counts['hinted']:6} {counts['plain'] / wanted:8.3f} {counts['either'] / wanted:9.3f} "
            f"{counts['whole'] / max(counts['sentences'], 1):6.1%} {counts['stray']:6}"
        )


def _hinted(atom: Atom, row: dict[str, Any]) -> bool:
    name, value = atom
    bare = name.partition(":")[0]
    never = [(one, str(two)) for one, two in row.get("never", ())]
    if (bare, str(value)) in never or (name.rpartition(":")[2], str(value)) in never or value in ("absent", "none"):
        return False
    if f"{name}={value}" in HELPS:
        return False
    return bool({name, bare, name.rpartition(":")[2]} & set(row.get("maybe", ())))


def _matched(
    wanted: list[Atom], said: list[Atom], held: list[Atom], row: dict[str, Any]
) -> tuple[int, list[Atom], list[Atom]]:
    """How many of what is wanted was said outright, what was neither said nor proposed, and what was said falsely."""

    def there(atom: Atom, among: list[Atom]) -> bool:
        return any(atom[0] == name and same(atom[1], value) for name, value in among)

    plain = sum(there(atom, said) for atom in wanted)
    missed = [atom for atom in wanted if not there(atom, said) and not there(atom, held)]
    false = [atom for atom in said if not there(atom, wanted) and not _no_claim(atom, wanted)]
    return plain, missed, false


def _no_claim(atom: Atom, wanted: list[Atom]) -> bool:
    """Whether an answer claims nothing more: can't tell, or absent where everything was found absent."""
    if atom[1] == "cant-tell":
        return True
    bare = atom[0].partition(":")[0]
    return atom[1] == "absent" and (bare, "none") in wanted


def _best(
    hurt: list[list[Atom]], told: list[list[Atom]], lifted: list[list[Atom]], row: dict[str, Any]
) -> tuple[int, list[Atom], list[Atom]]:
    """The same over injuries, in the order that fits best: an injury heard is held against one that was meant."""
    size = max(len(hurt), len(told), len(lifted))
    wanted, said, held = ([*each, *([[]] * (size - len(each)))] for each in (hurt, told, lifted))
    found = None
    for order in itertools.islice(itertools.permutations(range(size)), 720):
        each = [_matched(wanted[at], said[place], held[place], row) for at, place in enumerate(order)]
        plain = sum(one[0] for one in each)
        missed = [atom for one in each for atom in one[1]]
        false = [atom for one in each for atom in one[2]]
        rank = (-len(missed), -len(false), plain)
        if found is None or rank > found[0]:
            found = (rank, (plain, missed, false))
    return found[1] if found else (0, [], [])


def main() -> int:
    """Prints the table, with --misses what was missed or false line by line."""
    asks = argparse.ArgumentParser()
    asks.add_argument("file")
    asks.add_argument("--misses", action="store_true")
    asks.add_argument("--rules")
    options = asks.parse_args()
    rows = [json.loads(line) for line in Path(options.file).read_text(encoding="utf-8").splitlines() if line.strip()]
    tallies: dict[str, Tally] = {}
    ears: dict[str, tuple[RuleSet, Listener]] = {}
    spent = 0.0
    for row in rows:
        name = row["rules"]
        if options.rules and name != options.rules:
            continue
        if name not in ears:
            rules = load_rule_set(find_rule_set(name))
            ears[name] = (rules, Listener(rules))
            ears[name][1].hear("warm up: bulge on the sidewall")
        rules, ear = ears[name]
        begin = time.process_time()
        heard = ear.hear(row["text"])
        spent += time.process_time() - begin
        tallies.setdefault(name, Tally()).take(row, as_json(heard, rules), rules)
    if options.misses:
        for name, tally in tallies.items():
            print(f"# {name}", *tally.lines, f"# {dict(tally.missed.most_common())}", sep="\n")
    print("rules     lines  false  absent  helps  hinted  answers  proposals  whole  stray")
    for name, tally in tallies.items():
        print(tally.printed(name))
    print(f"{spent * 1000 / max(len(rows), 1):.2f} ms a sentence")
    return 0


if __name__ == "__main__":
    sys.exit(main())
