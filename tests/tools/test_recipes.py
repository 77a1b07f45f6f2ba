"""The recipes of DEVELOPERS.md, followed word for word in copies: each block goes where it says, each command runs."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from functools import lru_cache
from pathlib import Path
from textwrap import indent

import pytest
from msgspec import Struct

from advisor.cli import main
from advisor.loader.paths import trees_folder
from tests.loader.test_formerly import renamed

ROOT = Path(__file__).resolve().parents[2]
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
_BLOCK = re.compile(r"```(yaml|text)\n(.*?)```", re.S)
_COMMAND = re.compile(r"advisor (?P<words>.*?) +# (?P<code>\d)(?:: (?P<says>[^(\n]*))?")


class Recipe(Struct, frozen=True):
    """A recipe: its edits in order, each where it goes and what; its commands with exit code and what they say."""

    edits: tuple[tuple[str, str], ...]
    commands: tuple[tuple[str, int, str], ...]


@lru_cache(maxsize=1)
def recipes() -> dict[str, Recipe]:
    """Every recipe that has blocks, by its heading, in the order of the text."""
    how_to = TEXT[TEXT.index("## How to") : TEXT.index("## Tests")]
    _, *pieces = re.split(r"^\*\*(.+?)\.\*\*", how_to, flags=re.M)
    found = {}
    for name, body in zip(pieces[::2], pieces[1::2], strict=True):
        blocks = _BLOCK.findall(body)
        edits = (text.removeprefix("# ").split("\n", 1) for kind, text in blocks if kind == "yaml" and text[0] == "#")
        lines = [line for kind, text in blocks if kind == "text" for line in text.splitlines()]
        commands = [(m["words"], int(m["code"]), (m["says"] or "").strip()) for m in map(_COMMAND.match, lines) if m]
        assert len(commands) == len(lines), name
        recipe = Recipe(tuple((where, text) for where, text in edits), tuple(commands))
        if recipe.edits or recipe.commands:
            found[name] = recipe
    return found


def followed(recipe: Recipe, folder: Path) -> None:
    """Makes the recipe's edits in a rule folder."""
    for where, text in recipe.edits:
        name, _, place = where.partition(", ")
        path = folder / name
        path.parent.mkdir(exist_ok=True)
        old = path.read_text(encoding="utf-8") if path.exists() else ""
        path.write_text(edited(old, name, place, text), encoding="utf-8")


def edited(old: str, name: str, place: str, text: str) -> str:
    """A file's text with a block put at its place."""
    if name == "about.yaml":
        return with_keys(old, text)
    if not place:
        return f"{old.rstrip()}\n{text}".lstrip()
    if found := re.fullmatch(r"in (\S+)", place):
        start, end = entry(old, found[1])
        return old[:start] + with_keys(old[start:end], indent(text, "  ")) + old[end:]
    if found := re.fullmatch(r"a ruling at (\S+)", place):
        start, end = entry(old, found[1])
        rulings = old.index("rulings:\n", start, end) + len("rulings:\n")
        deep = re.match(r" *", old[rulings:])
        assert deep
        return old[:rulings] + indent(text, deep[0]) + old[rulings:]
    if found := re.fullmatch(r"after (\S+)", place):
        start, end = entry(old, found[1])
        deep = re.match(r" *", old[start:])
        assert deep
        return old[:end] + indent(text, deep[0]) + old[end:]
    found = re.fullmatch(r"a step of (\S+) after (\S+)", place)
    assert found, place
    start, end = entry(old, found[1])
    line = re.compile(rf"^ *- (\{{step: )?{found[2]}\b.*\n", re.M).search(old, start, end)
    assert line
    return old[: line.end()] + indent(text, "    ") + old[line.end() :]


def entry(text: str, name: str) -> tuple[int, int]:
    """Where an entry begins and ends: its key and all that is set in further, or blank, or a remark."""
    head = re.search(rf"^( *){name}:", text, re.M)
    assert head, name
    rest = re.compile(rf"^ {{0,{len(head[1])}}}[^ #\n]", re.M).search(text, head.end())
    end = rest.start() if rest else len(text)
    body = re.sub(r"(\n *(#.*)?)+\Z", "\n", text[head.start() : end])
    return head.start(), head.start() + len(body)


def with_keys(old: str, text: str) -> str:
    """Lines with keys put in place of those with the same keys."""
    for line in text.splitlines():
        key = re.match(r" *[a-z-]+:", line)
        assert key
        old, count = re.subn(rf"^{key[0]}.*$", line, old, flags=re.M)
        assert count == 1, line
    return old


def run(words: str, copy: Path, new: Path) -> int:
    return main([{"COPY": str(copy), "NEW": str(new)}.get(word, word) for word in shlex.split(words)])


NEEDS = {"Add a caution": ("Add a limit",), "Add a ruling": ("Add a limit", "Add a caution")}


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    return Path(shutil.copytree(trees_folder() / "us-road", tmp_path / "copy"))


@pytest.mark.parametrize("name", recipes())
def test_a_recipe_does_what_it_says(name: str, copy: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for each in (*NEEDS.get(name, ()), name):
        followed(recipes()[each], copy)
    for words, code, says in recipes()[name].commands:
        got = run(words, copy, tmp_path / "new")
        said = capsys.readouterr()
        assert got == code, f"{words}\n{said.out}{said.err}"
        if "cases" in says and words.startswith("check"):
            assert set(re.findall(r"^copy/(\S+?):.*: (\S+): ", said.err, re.M)) == {
                ("cases/boundary_cases.csv", "case-ends-otherwise")
            }, said.err
        elif code == 1:
            assert set(re.findall(r"^copy/\S+: (\S+): ", said.err, re.M)) == {says}, said.err


def test_the_recipe_of_a_rename(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert "formerly: [OLD-ID]" in TEXT
    assert main(["check", str(renamed(tmp_path / "copy", {"sealant": "sealer-inside"}))]) == 0, capsys.readouterr().err
    capsys.readouterr()


def test_the_recipes_that_the_rule_language_needs_are_there() -> None:
    things = ("limit", "caution", "ruling", "case", "question", "step")
    assert {"Change a limit", "Begin the rules of a country", *(f"Add a {thing}" for thing in things)} <= set(recipes())


def test_an_edit_that_goes_nowhere_is_noticed(copy: Path) -> None:
    for where in ("limits.yaml, in no-such-limit", "paths.yaml, after no-such-node", "paths.yaml, somewhere"):
        with pytest.raises(AssertionError):
            followed(Recipe(((where, "value: 1 mm\n"),), ()), copy)


@pytest.mark.long
@pytest.mark.parametrize(
    "tests", ["trees", "laws", "replay", "drawings", "tui/test_pictures.py", "tools/test_coverage.py"]
)
def test_the_tests_that_read_the_rules_pass_on_a_copy_that_followed_all_recipes(tests: str, tmp_path: Path) -> None:
    """All that only adds, in a copy of the checkout; each transcript has the new question's answer typed by itself."""
    for name in ("advisor", "tests", "trees", "transcripts_demo", "README.md", "DEVELOPERS.md", "pyproject.toml"):
        there, here = tmp_path / name, ROOT / name
        shutil.copytree(here, there) if here.is_dir() else shutil.copy(here, there)
    for name, recipe in recipes().items():
        if name.startswith("Add "):
            followed(recipe, tmp_path / "trees" / "us-road")
    own = {**os.environ, "PYTHONPATH": str(tmp_path), "ADVISOR_CACHE": str(tmp_path / "cache")}
    python = [sys.executable, "-m"]
    if tests == "replay":
        transcripts = map(str, sorted((tmp_path / "transcripts_demo").glob("*.txt")))
        subprocess.run([*python, "advisor", "replay", "--write", *transcripts], cwd=tmp_path, env=own, check=True)
    others = [f"--ignore-glob=*/test_{country}_*.py" for country in ("de", "uk")]  # their rules are as they were
    command = [*python, "pytest", "-q", "-n0", "-p", "no:cacheprovider", *others, f"tests/{tests}"]
    done = subprocess.run(command, cwd=tmp_path, env=own, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout[-3000:]
