"""The JSON Schemas of a rule set in a hidden folder beside its files, where an editor finds them; kept up to date."""

from __future__ import annotations

import json
from pathlib import Path

from advisor.loader.builder import UNREAD, Builder
from advisor.loader.json_schema import schemas
from advisor.loader.ruleset_loader import folders_read, read_folder, shipped, trees_folder
from advisor.model.problems import Problems

HIDDEN = ".schemas"
#: The first line by which an editor finds the schema of a file.
FIRST_LINE = "# yaml-language-server: $schema={folder}/{name}.json\n"


def write_schemas(folder: Path, out: Path) -> list[str]:
    """Writes the schemas of the rule set in a folder to another; gives their file names.

    Names that lead nowhere yet are no hindrance. Raises Problems where a file can't be read, OSError for the other.
    """
    return _written(_draft_of(folder), out)


def write_shared_schemas(folder: Path) -> list[str]:
    """Writes the schemas beside shared files: they know the ids of all shipped rule sets that share them."""
    whole = Builder()
    for name in shipped():
        draft = _draft_of(trees_folder() / name)
        if draft.about is not None and draft.about.shares == folder.name:
            for field in (each for each in draft.__struct_fields__ if isinstance(getattr(draft, each), dict)):
                setattr(whole, field, getattr(draft, field) | getattr(whole, field))
            whole.parts += draft.parts
    return _written(whole, folder / HIDDEN)


def _draft_of(folder: Path) -> Builder:
    draft = Builder()
    read_folder(folder, draft, [])
    if unread := [problem for problem in draft.all_problems() if problem.id in UNREAD]:
        raise Problems(unread)
    return draft


def _written(draft: Builder, out: Path) -> list[str]:
    out.mkdir(parents=True, exist_ok=True)
    names = []
    for file, schema in schemas(draft).items():
        name, text = f"{Path(file).stem}.json", json.dumps(schema, indent=1, ensure_ascii=False) + "\n"
        if not (out / name).is_file() or (out / name).read_text(encoding="utf-8") != text:
            (out / name).write_text(text, encoding="utf-8")
        names.append(name)
    return names


def renew_schemas(folder: Path) -> None:
    """Writes the schemas beside a rule set's files anew, where there are any; what can't be read or written stays."""
    if (folder / HIDDEN).is_dir():
        try:
            write_schemas(folder, folder / HIDDEN)
            for each in folders_read(folder):
                if each != folder and not (each / "about.yaml").exists() and (each / HIDDEN).is_dir():
                    write_shared_schemas(each)
        except (Problems, OSError):
            return
