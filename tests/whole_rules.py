"""The default rules copied so that they stand by themselves: what they share is written out in their own files.

Line by line, so that a test finds the text that it edits: blocks of entries and of keys, none of them parsed.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from typing import Any

import yaml

from advisor.loader.paths import DEFAULT_RULES, find_rule_set, trees_folder
from advisor.loader.ruleset_loader import load_rule_set
from advisor.loader.shared import ASKED_FILES

_Blocks = dict[str, list[str]]


def whole_copy(folder: Path, name: str = DEFAULT_RULES, **options: Any) -> Path:
    """A copy of the default rules that shares nothing; of others one as it is."""
    shutil.copytree(find_rule_set(name), folder, **options)
    if name != DEFAULT_RULES:
        return folder
    rules = load_rule_set(find_rule_set(DEFAULT_RULES))
    step_ids = {step.id for method in rules.methods.values() for step in method.steps}
    about = folder / "about.yaml"
    text = about.read_text(encoding="utf-8")
    about.write_text(text.replace(f"shares: {rules.about.shares}\n", ""), encoding="utf-8")
    for path in sorted((trees_folder() / rules.about.shares).glob("*.yaml")):
        text, own = path.read_text(encoding="utf-8"), folder / path.name
        if path.name in ASKED_FILES:  # names of other rule sets are left out of these
            own.write_text(yaml.safe_dump(rules.content[path.name], sort_keys=False), encoding="utf-8")
            continue
        if own.exists():
            used = step_ids if path.stem == "steps" else getattr(rules, path.stem)
            entries = {key: block for key, block in _blocks(text, 0).items() if key in used}
            text = "".join(_put_over(entries, _blocks(own.read_text(encoding="utf-8"), 0), 0))
        own.write_text(text, encoding="utf-8")
    return folder


def _put_over(shared: _Blocks, own: _Blocks, indent: int) -> list[str]:
    """The lines of both, the own in place of the shared, below entries key by key and choice by choice."""
    for key, block in own.items():
        below = key in shared and (indent == 0 or key == "choices")
        parts = (_blocks("".join(each[1:]), indent + 2) for each in (shared[key], block)) if below else ()
        shared[key] = [block[0], *_put_over(*parts, indent + 2)] if below else _over_line(shared.get(key, []), block)
    return [line for block in shared.values() for line in block]


def _over_line(shared: list[str], own: list[str]) -> list[str]:
    """An own block in place of a shared one; a choice on a line of its own keeps what only the shared one says."""
    if len(shared) != 1 or len(own) != 1:
        return own
    ((key, less),), ((_, more),) = (yaml.load(each[0], yaml.BaseLoader).items() for each in (shared, own))
    if not (isinstance(less, dict) and isinstance(more, dict)):
        return own
    indent = own[0][: len(own[0]) - len(own[0].lstrip())]
    both = yaml.safe_dump(less | more, default_flow_style=True, sort_keys=False, width=1000).strip()
    return [f"{indent}{key}: {both}\n"]


def _blocks(text: str, indent: int) -> _Blocks:
    """The lines of each key that stands at an indent; remarks and gaps go with the key before."""
    found: _Blocks = {}
    key = ""
    for line in text.splitlines(keepends=True):
        if match := re.match(rf' {{{indent}}}"?([a-z][\w-]*)"?:', line):
            key = match[1]
        if key:
            found.setdefault(key, []).append(line)
    return found
