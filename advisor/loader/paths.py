"""Where rule sets lie: those that come with the program, and folders that the user names."""

from __future__ import annotations

from pathlib import Path

from advisor.model.problems import Place, Problem, Problems, closest

DEFAULT_RULES = "us-road"


def trees_folder() -> Path:
    """The folder of the shipped rule sets: inside an installed package, or beside it in a checkout."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "trees"
    return inside if inside.is_dir() else package.parent / "trees"


def in_checkout() -> bool:
    """Whether the shipped rule sets lie beside the package, where they are edited."""
    return (trees_folder().parent / "pyproject.toml").is_file()


def shipped() -> list[str]:
    """The ids of the rule sets that come with the program."""
    return sorted(folder.name for folder in trees_folder().iterdir() if (folder / "about.yaml").is_file())


def shared_folders() -> list[str]:
    """The folders of files to be shared that come with the program: no rule sets of their own."""
    folders = (folder for folder in trees_folder().iterdir() if folder.is_dir() and any(folder.glob("*.yaml")))
    return sorted(folder.name for folder in folders if not (folder / "about.yaml").exists())


def shared_folder(name: str, folder: Path) -> Path | None:
    """The folder of shared files that the rule set in a folder names: beside it, or a shipped one; None for none."""
    for home in (folder.resolve().parent, trees_folder()):
        found = home / name
        try:
            if name and found.is_dir() and any(found.glob("*.yaml")):
                return None if (found / "about.yaml").exists() else found
        except (OSError, ValueError):
            continue
    return None


def find_rule_set(name: str) -> Path:
    """The folder of a rule set named by id or by folder. Raises Problems when there is none."""
    known = trees_folder() / name
    if name and "/" not in name and not name.startswith(".") and (known / "about.yaml").is_file():
        return known
    folder = Path(name)
    try:
        if (folder / "about.yaml").is_file():
            return folder
    except (OSError, ValueError):
        pass
    ids = shipped()
    raise Problems(
        [
            Problem(
                "unknown-rule-set",
                Place("--rules"),
                f'"{name}"',
                f"one of {', '.join(ids)}, or a folder",
                "name a rule set or a folder that holds about.yaml",
                closest(name, ids),
            )
        ]
    )
