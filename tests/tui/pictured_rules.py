"""The rules that the pictures are drawn by: those that are shipped, without what came in since.

What a recipe of DEVELOPERS.md adds - a question with its node, a ruling, a step - alters no kept picture: what
`pictures/drawn_by.yaml` does not list is left out. `python -m tests.tui.write_pictures` lists all that there is.
"""

from __future__ import annotations

import tempfile
from functools import lru_cache
from pathlib import Path
from shutil import copytree, ignore_patterns
from typing import Any

import yaml

from advisor.loader.paths import DEFAULT_RULES, find_rule_set, trees_folder
from tests.tui.scenes import FOLDER

DRAWN_BY = FOLDER / "drawn_by.yaml"


def _read(path: Path) -> Any:
    return yaml.load(path.read_text(encoding="utf-8"), yaml.CBaseLoader)


def _named(listed: Any) -> str:
    return listed.get("step") or listed["id"] if isinstance(listed, dict) else listed


def ids_of(folder: Path) -> dict[str, list[str]]:
    """The ids of a rule folder's nodes, rulings and steps."""
    nodes = {
        name: node for part in _read(folder / "paths.yaml")["parts"].values() for name, node in part["nodes"].items()
    }
    steps = [_named(each) for method in _read(folder / "methods.yaml").values() for each in method["steps"]]
    rulings = [ruling["id"] for node in nodes.values() for ruling in node.get("rulings", ())]
    return {"nodes": sorted(nodes), "rulings": sorted(rulings), "steps": sorted({*steps})}


@lru_cache(maxsize=1)
def pictured_rules() -> str:
    """A folder with them."""
    home, known = Path(tempfile.mkdtemp()), {kind: {*ids} for kind, ids in _read(DRAWN_BY).items()}
    shipped = find_rule_set(DEFAULT_RULES)
    copytree(trees_folder() / "common", home / "common")
    folder = Path(copytree(shipped, home / shipped.name, ignore=ignore_patterns("cases", ".*")))
    about, paths, methods = (_read(folder / f"{name}.yaml") for name in ("about", "paths", "methods"))
    about["edition"] = "2026-01-01"
    for part in paths["parts"].values():
        part["nodes"] = {name: node for name, node in part["nodes"].items() if name in known["nodes"]}
        for node in part["nodes"].values():
            if "rulings" in node:
                node["rulings"] = [each for each in node["rulings"] if each["id"] in known["rulings"]]
    for method in methods.values():
        method["steps"] = [each for each in method["steps"] if _named(each) in known["steps"]]
    for name, content in (("about", about), ("paths", paths), ("methods", methods)):
        (folder / f"{name}.yaml").write_text(yaml.safe_dump(content, sort_keys=False), encoding="utf-8")
    return str(folder)
