"""`advisor check` says of a slip with a warm memory what it says without one; one not its own counts for nothing."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from random import Random

import pytest
import yaml

from advisor import cli
from advisor.loader.paths import DEFAULT_RULES, trees_folder
from advisor.tools import case_ends, checks
from tests.longer import first
from tests.tools.file_mutants import Fault, faults
from tests.tools.slips import Slip
from tests.tools.slips_of_meaning import SLIPS
from tests.whole_rules import whole_copy

#: So many slips of a hand and faults of a program are planted; with `--long` so many.
FEW, MANY = 4, 60
#: Files of a rule set and shared ones, in which the faults are planted.
HOMES = (DEFAULT_RULES, "common")
Said = tuple[int, str, str]
Check = Callable[[Path, Path], Said]


@pytest.fixture
def check(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Check:
    """What is said of the rules in a folder, by what is kept in another."""

    def run(rules: Path, copies: Path) -> Said:
        monkeypatch.setenv("ADVISOR_CACHE", str(copies))
        code = cli.main(["check", str(rules)])
        return int(code), *capsys.readouterr()

    return run


@pytest.fixture(scope="module")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with rules that stand by themselves, rules that share files, and a memory of both."""
    home = tmp_path_factory.mktemp("home")
    whole_copy(home / "whole" / DEFAULT_RULES)
    shutil.copytree(trees_folder(), home / "sharing")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("ADVISOR_CACHE", str(home / "warm"))
        for name in ("whole", "sharing"):
            assert cli.main(["check", str(home / name / DEFAULT_RULES)]) == 0
    return home


def both(rules: Path, file: Path, text: str, home: Path, check: Check, copies: Path) -> tuple[Said, Said]:
    """What is said of an edited file, with the memory of the rules before and without one."""
    before = file.read_text(encoding="utf-8")
    shutil.copytree(home / "warm", copies / "warm")
    file.write_text(text, encoding="utf-8")
    try:
        return check(rules, copies / "warm"), check(rules, copies / "cold")
    finally:
        file.write_text(before, encoding="utf-8")


@pytest.mark.parametrize(
    "slip", first(FEW, Random(14).sample(SLIPS, min(MANY, len(SLIPS)))), ids=lambda slip: slip.name
)
def test_a_slip_is_named_as_without_a_memory(slip: Slip, home: Path, check: Check, tmp_path: Path) -> None:
    rules = home / "whole" / DEFAULT_RULES
    file = rules / slip.file
    text = file.read_text(encoding="utf-8").replace(slip.old, slip.new, 1)
    warm, cold = both(rules, file, text, home, check, tmp_path)
    assert warm == cold and f": {slip.gives}: " in warm[2]


@lru_cache(maxsize=1)
def sample() -> list[tuple[str, Fault]]:
    every = [(name, fault) for name in HOMES for fault in faults(trees_folder() / name)]
    return Random(22).sample(every, MANY)


@pytest.mark.parametrize("number", first(FEW, range(MANY)))
def test_a_fault_is_told_as_without_a_memory(number: int, home: Path, check: Check, tmp_path: Path) -> None:
    name, fault = sample()[number]
    sharing = home / "sharing"
    text = yaml.safe_dump(fault.content, sort_keys=False, allow_unicode=True)
    warm, cold = both(sharing / DEFAULT_RULES, sharing / name / fault.file, text, home, check, tmp_path)
    assert warm == cold, fault.name


@pytest.mark.parametrize(
    ("file", "old", "new", "gives"),
    [
        ("common/phrases.yaml", "\n    drive: [", "\n    drive: [steering axle, ", "phrase-twice"),
        ("common/subjects.yaml", "\ndepth-asked:", "\nsize-asked:", "duplicate-key"),
        ("us-road/values.yaml", "\nzone:", "\nzones:", "unknown-name"),
        ("us-road/answers.yaml", "limits: [", "limits: [no-such-limit, ", "unknown-name"),
        ("us-road/limits.yaml", "\ntread-steer:", "\ntread-steering:", "unknown-name"),
    ],
)
def test_a_name_that_leads_nowhere_any_more_is_told(
    file: str, old: str, new: str, gives: str, home: Path, check: Check, tmp_path: Path
) -> None:
    sharing = home / "sharing"
    path = sharing / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    warm, cold = both(sharing / DEFAULT_RULES, path, text.replace(old, new, 1), home, check, tmp_path)
    assert warm == cold and f": {gives}: " in warm[2]


def test_after_an_edit_of_wording_nothing_is_proved_or_judged_and_after_one_of_a_case_that_file_is(
    home: Path, check: Check, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rules, done = shutil.copytree(home / "sharing", tmp_path / "trees") / DEFAULT_RULES, list[str]()
    fail, judge = checks.failing, case_ends.KeptCaseJudge._judged
    monkeypatch.setattr(checks, "failing", lambda proofs, *more: done.extend(map(str, proofs)) or fail(proofs, *more))
    monkeypatch.setattr(
        case_ends.KeptCaseJudge,
        "_judged",
        lambda self, path, label, only=None: done.append(label) or judge(self, path, label, only),
    )
    assert check(rules, tmp_path / "copies")[0] == 0 and len(done) > len(checks.PROOFS)
    for file, old, new in (
        ("cautions.yaml", "says: >-\n    ", "says: >-\n    Mind this: "),
        ("limits.yaml", "note: >-\n    ", "note: >-\n    As it is printed. "),
        ("about.yaml", "edition: ", "edition: 9"),
        ("paths.yaml", "because: it ran low", "because: so it ran low"),
    ):
        done.clear()
        path = rules / file
        text = path.read_text(encoding="utf-8")
        path.write_text(text.replace(old, new, 1), encoding="utf-8")
        assert path.read_text(encoding="utf-8") != text
        assert check(rules, tmp_path / "copies")[0] == 0 and done == [], file
    (case, *_) = sorted((rules / "cases").glob("*.yaml"))
    case.write_text(f"# a remark\n{case.read_text(encoding='utf-8')}", encoding="utf-8")
    assert check(rules, tmp_path / "copies")[0] == 0 and done == [f"us-road/cases/{case.name}"]


#: A figure of a limit, and what stands in conditions, with what is put in its place.
FIGURE, TESTED = (
    re.compile(r"(?<=value: )\[?(\d+)"),
    re.compile(r"\b(beyond|within|has-any|has-none)\b|\{is: ([a-z-]+)\}"),
)
TURNED = {"beyond": "within", "within": "beyond", "has-any": "has-none", "has-none": "has-any"}
#: So many edits, one upon the other; with `--long` so many.
FEW_EDITS, MANY_EDITS = 8, 120


def edited(rules: Path, random: Random) -> tuple[Path, str]:
    """A file of the rules with a limit moved, a test turned round, or another choice asked for."""
    file = rules / random.choice(("limits.yaml", "paths.yaml"))
    text = file.read_text(encoding="utf-8")
    found = random.choice(list((FIGURE if file.stem == "limits" else TESTED).finditer(text)))
    if file.stem == "limits":
        start, end, new = *found.span(1), str(max(1, int(found[1]) + random.choice((-2, -1, 1, 2))))
    elif found[1]:
        start, end, new = *found.span(1), TURNED[found[1]]
    else:
        others = [each[2] for each in TESTED.finditer(text) if each[2] and each[2] != found[2]]
        start, end, new = *found.span(2), random.choice(others)
    return file, text[:start] + new + text[end:]


@pytest.mark.parametrize("edits", first(1, (FEW_EDITS, MANY_EDITS)))
def test_edits_of_limits_and_rulings_one_upon_the_other_are_told_as_without_a_memory(
    edits: int, home: Path, check: Check, tmp_path: Path
) -> None:
    rules = Path(shutil.copytree(home / "sharing", tmp_path / "trees")) / DEFAULT_RULES
    warm, random, told = shutil.copytree(home / "warm", tmp_path / "warm"), Random(3), 0
    check(rules, warm)
    for number in range(edits):
        file, text = edited(rules, random)
        before = file.read_text(encoding="utf-8")
        file.write_text(text, encoding="utf-8")
        said = check(rules, warm)
        assert said == check(rules, tmp_path / f"cold-{number}"), text
        told += said[0] == 1
        if said[0] == 2 or random.random() < 0.5:
            file.write_text(before, encoding="utf-8")
    assert told


def test_after_an_edit_of_a_limit_or_a_ruling_only_what_it_can_touch_is_judged_and_proved(
    home: Path, check: Check, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    rules, done = Path(shutil.copytree(home / "sharing", tmp_path / "trees")) / DEFAULT_RULES, list[object]()
    check(rules, tmp_path / "copies")
    judge, prove, proved = case_ends._judged, checks._failing, list[object]()
    monkeypatch.setattr(checks, "_failing", lambda proofs, known: proved.extend(proofs) or prove(proofs, known))
    monkeypatch.setattr(case_ends, "_judged", lambda text, by: done.append(text) or judge(text, by))
    for file, old, new, most in (
        ("cautions.yaml", "says: >-\n    ", "says: >-\n    Mind this: ", 0),
        ("limits.yaml", "value: [1/4 in, 6 mm]", "value: [1/4 in, 6.01 mm]", 0),
        ("limits.yaml", "value: [1/4 in, 6.01 mm]", "value: [1/4 in, 6.5 mm]", 20),
        (
            "paths.yaml",
            "recapped}}\n            caution: retread-front",
            "regrooved}}\n            caution: retread-front",
            40,
        ),
    ):
        done.clear()
        path = rules / file
        text = path.read_text(encoding="utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), encoding="utf-8")
        check(rules, tmp_path / "copies")
        assert len(done) <= most and (not most or done), (new, len(done))
        assert most or len(proved) <= 3, proved  # those that ask the engine about cases


def turned(copy: Path, other: Path) -> None:
    data = bytearray(copy.read_bytes())
    data[len(data) // 2] ^= 1
    copy.write_bytes(data)


def cut_off(copy: Path, other: Path) -> None:
    copy.write_bytes(copy.read_bytes()[:-10])


def emptied(copy: Path, other: Path) -> None:
    copy.write_bytes(b"")


def of_other_rules(copy: Path, other: Path) -> None:
    copy.write_bytes(other.read_bytes())


def open_to_others(copy: Path, other: Path) -> None:
    os.chmod(copy, 0o666)


@pytest.mark.parametrize("damage", [turned, cut_off, emptied, of_other_rules, open_to_others])
def test_a_memory_that_is_not_ours_counts_for_nothing(
    damage: Callable[[Path, Path], None], check: Check, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    small = Path(shutil.copytree(Path(checks.__file__).parent / "sample_rules", tmp_path / "small"))
    other = Path(shutil.copytree(small, tmp_path / "other"))
    limits = other / "limits.yaml"
    limits.write_text(limits.read_text(encoding="utf-8").replace("6 mm", "7 mm"), encoding="utf-8")
    copies = tmp_path / "copies"
    assert check(other, copies)[0] == check(small, copies)[0] == 0
    copy, kept = (next(copies.glob(f"{name}-*.proved")) for name in ("small", "other"))
    for checked in copies.glob("*.checked"):
        checked.unlink()
    done, fail = list[object](), checks.failing
    monkeypatch.setattr(checks, "failing", lambda proofs, *more: done.extend(proofs) or fail(proofs, *more))
    check(small, copies)
    assert done == []
    for checked in copies.glob("*.checked"):
        checked.unlink()
    damage(copy, kept)
    assert check(small, copies)[0] == 0 and done == list(checks.PROOFS)
