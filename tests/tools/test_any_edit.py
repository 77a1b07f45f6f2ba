"""Any edit of a rule set's files: the loader names what is wrong with a place, or every case is judged and worded.

Every key and item deleted, one at a time; and random edits, several at once: deleted, given twice, swapped, an id or
word put in place of another.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from random import Random
from typing import Any, NamedTuple

import pytest
import yaml

from advisor.console.json_output import answer_of
from advisor.console.verdict_lines import verdict_lines
from advisor.engine.evaluator import Judge
from advisor.explain.why import why
from advisor.loader.case_file import CaseText, read_case, split_cases
from advisor.loader.kept_cases import DAY, kept_texts
from advisor.loader.ruleset_loader import load_rule_set, trees_folder
from advisor.model.case import Case
from advisor.model.problems import Problem, Problems
from advisor.model.ruleset import RuleSet, Verdict
from advisor.report.html import report_page
from advisor.tools.case_writer import case_text
from advisor.tools.checks import problems_of
from advisor.tools.verify.workbench import Bench, forget_proofs
from advisor.work.record_model import report_of
from tests.longer import first
from tests.tools.file_mutants import chance_cases
from tests.tools.samples import BASE

US = trees_folder() / "us-road"
#: So many cases made by chance are judged by each edited rule set.
CASES = 6
Path_ = tuple[Any, ...]


class Edit(NamedTuple):
    """An edit in a few words, and what the files say then."""

    name: str
    files: dict[str, Any]


@lru_cache(maxsize=2)
def files_of(folder: Path) -> dict[str, Any]:
    read = {path.name: yaml.load(path.read_text(encoding="utf-8"), yaml.CBaseLoader) for path in folder.glob("*.yaml")}
    return dict(sorted(read.items()))


@lru_cache(maxsize=2)
def cases_of(folder: Path, every: bool) -> list[CaseText]:
    """Case files: one without an answer, those made by chance, those kept beside the rules or some of them."""
    rules = load_rule_set(folder)
    texts = "---\n".join(case_text(case, rules) for case in (Case(), *chance_cases(Bench(rules), CASES)))
    kept = list(kept_texts(folder))
    return [*split_cases(texts, "chance.yaml"), *(kept if every else Random(5).sample(kept, min(CASES, len(kept))))]


def places(value: Any, path: Path_ = ()) -> Iterator[Path_]:
    """Every key and item of a tree."""
    for key in value if isinstance(value, dict) else range(len(value)) if isinstance(value, list) else ():
        yield (*path, key)
        yield from places(value[key], (*path, key))


def at(value: Any, path: Path_) -> Any:
    return at(value[path[0]], path[1:]) if path else value


def put(value: Any, path: Path_, new: Any) -> Any:
    """A copy of a tree with something else at a place."""
    if not path:
        return new
    copy = list(value) if isinstance(value, list) else dict(value)
    copy[path[0]] = put(value[path[0]], path[1:], new)
    return copy


def without(value: Any, path: Path_) -> Any:
    """A copy of a tree without a key or item."""
    holder = at(value, path[:-1])
    if isinstance(holder, dict):
        return put(value, path[:-1], {key: each for key, each in holder.items() if key != path[-1]})
    return put(value, path[:-1], [each for number, each in enumerate(holder) if number != path[-1]])


def deletions(folder: Path) -> list[tuple[str, Path_]]:
    return [(name, path) for name, tree in files_of(folder).items() for path in places(tree or {})]


def deleted(folder: Path, name: str, path: Path_) -> Edit:
    files = files_of(folder)
    return Edit(f"{name}: {'/'.join(map(str, path))}", {**files, name: without(files[name], path)})


def any_edit(folder: Path, random: Random) -> Edit:
    """A few random slips at once."""
    files, said = dict(files_of(folder)), []
    for _ in range(random.choice((1, 1, 2, 3))):
        name = random.choice(
            [each for each, tree in files.items() if tree and each != "about.yaml"] * 3 + ["about.yaml"]
        )
        tree = files[name]
        path = random.choice(list(places(tree)))
        how = random.choice(("deleted", "twice", "swapped", "word"))
        said.append(f"{name}: {'/'.join(map(str, path))} {how}")
        files[name] = _slipped(tree, path, how, files, random)
    return Edit("; ".join(said), files)


def _slipped(tree: Any, path: Path_, how: str, files: dict[str, Any], random: Random) -> Any:
    holder = at(tree, path[:-1])
    if how == "deleted":
        return without(tree, path)
    if how == "twice" and isinstance(holder, list):
        return put(tree, path[:-1], [*holder[: path[-1]], holder[path[-1]], *holder[path[-1] :]])
    if how == "twice":
        return put(tree, path[:-1], {**holder, f"{path[-1]}-2": holder[path[-1]]})
    if how == "swapped":
        others = [each for each in places(tree) if len(each) == len(path) and each[:-1] != path]
        other = random.choice([each for each in others if each[: len(path)] != path] or [path])
        mine, theirs = at(tree, path), at(tree, other)
        return put(put(tree, path, theirs), other, mine)
    return put(tree, path, _other_word(at(tree, path), files, random))


def _other_word(value: Any, files: dict[str, Any], random: Random) -> Any:
    """Another id of the rule set in place of a word; a word in place of a tree."""
    ids = [key for tree in files.values() if isinstance(tree, dict) for key in tree]
    return random.choice(
        [*ids, "none", "yes", "no", "end", "{limit}", "3 mm", "", str(value)[:7], [value], {"is": value}]
    )


def written(edit: Edit, folder: Path) -> Path:
    folder.mkdir(parents=True)
    for name, tree in edit.files.items():
        (folder / name).write_text(json.dumps(tree), encoding="utf-8")
    return folder


def loaded(edit: Edit, folder: Path) -> RuleSet | None:
    """The edited rule set; None where the loader names what is wrong with it, each with its place."""
    try:
        return load_rule_set(written(edit, folder))
    except Problems as problems:
        assert problems.problems
        for problem in problems.problems:
            assert _is_placed(problem, folder), f"{edit.name}: {problem}"
        return None


def _is_placed(problem: Problem, folder: Path) -> bool:
    return problem.place.file.startswith(f"{folder.name}/") and bool(problem.found and problem.expected and problem.do)


def judge_and_word(edit: Edit, rules: RuleSet, cases: list[CaseText]) -> int:
    """Every case that can still be read has a verdict that goes with its ending, and every face has words for it."""
    judge, read = Judge(rules), 0
    for text in cases:
        try:
            case = read_case(text, rules, DAY)
        except Problems:
            continue
        read += 1
        judgement = judge.judge(case)
        ending = rules.endings[judgement.ending]
        assert judgement.verdict in Verdict and ending.verdict is judgement.verdict, edit.name
        assert verdict_lines(judgement, judge) and why(judge, case, judgement), edit.name
        assert json.dumps(answer_of(judgement, judge)), edit.name
        judge.methods.plan(judgement)
        assert "</html>" in report_page([report_of(judgement, judge, "case")]), edit.name
    return read


def holds(edit: Edit, folder: Path, scratch: Path, checked: bool, every_case: bool = False) -> bool:
    """Whether the loader took an edit; fails where anything of what follows comes to grief."""
    rules = loaded(edit, scratch / folder.name)
    if rules is None:
        return False
    try:
        if checked:
            problems_of(rules)
        judge_and_word(edit, rules, cases_of(folder, every_case))
    except Exception as fault:
        raise AssertionError(edit.name) from fault
    finally:
        forget_proofs()
    return True


@pytest.mark.parametrize("lot", range(4))
def test_every_key_of_a_small_rule_set_can_be_deleted(lot: int, tmp_path: Path) -> None:
    taken = [
        holds(deleted(BASE, *each), BASE, tmp_path / str(number), checked=False)
        for number, each in enumerate(deletions(BASE)[lot::4])
    ]
    assert 0 < sum(taken) < len(taken)


@pytest.mark.long
def test_every_key_of_a_small_rule_set_can_be_deleted_and_checked(tmp_path: Path) -> None:
    for number, each in enumerate(deletions(BASE)):
        holds(deleted(BASE, *each), BASE, tmp_path / str(number), checked=True)


@pytest.mark.parametrize("seed", first(2, range(24)))
def test_keys_of_a_shipped_rule_set_can_be_deleted(seed: int, tmp_path: Path) -> None:
    for number, each in enumerate(Random(seed).sample(deletions(US), 6)):
        holds(deleted(US, *each), US, tmp_path / str(number), checked=False)


@pytest.mark.parametrize("seed", first(4, range(40)))
def test_any_edit_of_a_small_rule_set(seed: int, tmp_path: Path) -> None:
    random = Random(seed)
    for number in range(25):
        holds(any_edit(BASE, random), BASE, tmp_path / str(number), checked=True)


@pytest.mark.parametrize("seed", first(2, range(30)))
def test_any_edit_of_a_shipped_rule_set(seed: int, tmp_path: Path) -> None:
    random = Random(seed)
    for number in range(6):
        holds(any_edit(US, random), US, tmp_path / str(number), checked=False)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(6))
def test_any_edit_of_a_shipped_rule_set_can_be_checked(seed: int, tmp_path: Path) -> None:
    random = Random(seed + 100)
    while not holds(any_edit(US, random), US, tmp_path / str(random.random()), checked=True, every_case=True):
        pass
