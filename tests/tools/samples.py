"""Puts the samples of the checks into practice: an edit of the small rule set of the checks, written as a folder."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import yaml

import advisor.tools

BASE = Path(advisor.tools.__file__).parent / "sample_rules"


def edited(sample: str, folder: Path) -> Path:
    """The folder with the sample rules as an edit makes them."""
    edit = yaml.load(sample, Loader=yaml.BaseLoader)
    folder.mkdir()
    for path in BASE.glob("*.yaml"):
        tree = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
        for where, value in edit.pop(path.name, {}).items():
            put(tree, where.split("/"), value)
        write(folder / path.name, tree)
    for name, tree in edit.items():
        write(folder / name, tree)
    return folder


def write(path: Path, tree: Any) -> None:
    text = yaml.safe_dump(tree, sort_keys=False, allow_unicode=True)
    path.parent.mkdir(exist_ok=True)
    path.write_text(f"# A sample of a check.\n{text}", encoding="utf-8")


def put(tree: Any, path: list[str], value: Any) -> None:
    """Puts a value at a path; `~` takes out what stands there."""
    if path[0] == "nodes":
        tree = next(part for part in tree["parts"].values() if path[1] in part["nodes"])
    *way, last = path
    for step in way:
        tree = tree[step] if isinstance(tree, dict) else tree[place_of(tree, step)]
    if last == "+":
        tree.append(value)
        return
    key: Any = last if isinstance(tree, dict) else place_of(tree, last)
    if value == "~":
        del tree[key]
    else:
        tree[key] = value


def place_of(items: list[dict[str, Any]], name: str) -> int:
    return next(number for number, item in enumerate(items) if item["id"] == name)
