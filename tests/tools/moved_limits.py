"""Every figure of a rule set moved a little in a copy of the checkout, and which tests then fail.

A maintainer edits a limit and the cases beside it. A test that fails all the same has the figure copied in Python, and
hangs on it: it is read from the rules instead, or becomes a case file. Where a case only takes a figure as an input
that lies well off the limit, nothing fails, and nothing needs an edit.

    python -m tests.tools.moved_limits FOLDER RULES tests/FOLDER ... [--limit ID]

FOLDER takes the copy. Without --limit all limits are moved at once. Tests of the case files themselves fail too: their
rows are what a maintainer edits.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
COPIED = ("advisor", "tests", "trees", "transcripts_demo", "README.md", "DEVELOPERS.md", "pyproject.toml")
_ENTRY = re.compile(r"^(?P<id>[a-z][\w-]*):\n(?P<body>(?:[ #].*\n|\n)*)", re.M)
_VALUE = re.compile(r"^(?P<head> +value: )(?P<value>.+)$", re.M)
_FIGURE = re.compile(r"(\d+ )?(\d+)/(\d+)|\d+(\.\d+)?")
#: A little more, and a little less for shares, which may not pass a whole.
MORE, LESS = 1.06, 0.96


def copied(folder: Path) -> None:
    """A copy of the checkout."""
    for name in COPIED:
        there, here = folder / name, ROOT / name
        if here.is_dir():
            shutil.copytree(here, there, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy(here, there)


def moved(text: str, only: str = "") -> tuple[str, list[str]]:
    """A limits.yaml with the figures moved, and the limits that were."""
    done: list[str] = []

    def entry(found: re.Match[str]) -> str:
        if only not in ("", found["id"]) or "value:" not in found["body"]:
            return found[0]
        done.append(found["id"])
        return f"{found['id']}:\n{_VALUE.sub(lambda one: one['head'] + _moved_value(one['value']), found['body'])}"

    return _ENTRY.sub(entry, text), done


def _moved_value(value: str) -> str:
    factor = LESS if "%" in value else MORE
    return _FIGURE.sub(lambda found: f"{_number(found) * factor:.5g}", value)


def _number(found: re.Match[str]) -> float:
    whole, above, below, _ = found.groups()
    return float(found[0]) if above is None else float(whole or 0) + int(above) / int(below)


def failing(folder: Path, tests: list[str]) -> int:
    """Runs tests in a copy and lists those that fail."""
    own = {**os.environ, "PYTHONPATH": str(folder), "ADVISOR_CACHE": str(folder / "cache")}
    command = [sys.executable, "-m", "pytest", "-q", "-n0", "-rfE", "--tb=no", "-p", "no:cacheprovider", *tests]
    return subprocess.run(command, cwd=folder, env=own, check=False).returncode


if __name__ == "__main__":
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=Path)
    parser.add_argument("rules")
    parser.add_argument("tests", nargs="+")
    parser.add_argument("--limit", default="")
    asked = parser.parse_args()
    copied(asked.folder)
    limits = asked.folder / "trees" / asked.rules / "limits.yaml"
    text, names = moved(limits.read_text(encoding="utf-8"), asked.limit)
    limits.write_text(text, encoding="utf-8")
    print(f"{asked.rules}: {len(names)} limits moved", flush=True)
    sys.exit(failing(asked.folder, asked.tests))
