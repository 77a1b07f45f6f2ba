"""Rule sets as they stood: a git revision of a folder, or the last state of an edition, read through git itself."""

from __future__ import annotations

import io
import re
import subprocess
import tarfile
from pathlib import Path

from advisor.commands.command_parser import usage_error
from advisor.loader.ruleset_loader import find_rule_set
from advisor.model.problems import Problems, shown

_EDITION = re.compile(r"^edition:\s*[\"']?([^\s\"'#]+)", re.MULTILINE)
_DATE = re.compile(r"\d{4}-\d{2}-\d{2}(\.\d+)?$")
EXPECTED = "NAME@REVISION, NAME@EDITION or REVISION:FOLDER, in a git repository that holds the folder"


def folder_as_named(name: str, scratch: Path) -> Path:
    """The folder of a rule set by id or folder, or as it stood: `NAME@REVISION`, `NAME@EDITION`, `REVISION:FOLDER`.

    What git holds is put into the scratch folder. Raises Problems.
    """
    if Path(name).is_dir():
        return find_rule_set(name)
    before, at, when = name.rpartition("@")
    if at and before and when:
        folder = find_rule_set(before).resolve()
        top = Path(_git(folder, name, "rev-parse", "--show-toplevel").decode().strip()).resolve()
        inside = folder.relative_to(top).as_posix()
        revision = _revision_of_edition(top, inside, when, name) if _DATE.match(when) else when
        return _unpacked(top, revision, inside, scratch, name)
    revision, colon, inside = name.partition(":")
    if not colon:
        return find_rule_set(name)
    return _unpacked(Path.cwd(), revision, inside.rstrip("/"), scratch, name)


def _unpacked(where: Path, revision: str, folder: str, scratch: Path, name: str) -> Path:
    """A folder as it stood in a revision, with those beside it that it may build on."""
    around = str(Path(folder).parent)
    commit = _git(where, name, "rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}")
    packed = _git(where, name, "archive", "--format=tar", commit.decode().strip(), *([around] if around != "." else []))
    with tarfile.open(fileobj=io.BytesIO(packed)) as archive:
        archive.extractall(scratch, filter="data")
    return scratch / folder


def _revision_of_edition(top: Path, folder: str, edition: str, name: str) -> str:
    """The newest revision in which a folder's about.yaml gives this edition."""
    for commit in _git(top, name, "log", "--format=%H", "--", folder).decode().split():
        about = _git(top, name, "show", f"{commit}:{folder}/about.yaml").decode("utf-8", "replace")
        found = _EDITION.search(about)
        if found is not None and found[1] == edition:
            return commit
    raise _problem(name, f"no revision of {folder} is of edition {edition}")


def _git(where: Path, name: str, *words: str) -> bytes:
    """What git writes. Its words go to it one by one, never through a shell. Raises Problems where it fails."""
    try:
        done = subprocess.run(["git", "-C", str(where), *words], capture_output=True, check=False)  # noqa: S603, S607
    except OSError as error:
        raise _problem(name, f"git could not be run: {error.strerror or error}") from None
    if done.returncode:
        said = done.stderr.decode("utf-8", "replace").strip().splitlines()
        raise _problem(name, said[-1] if said else "git knows no such revision")
    return done.stdout


def _problem(name: str, why: str) -> Problems:
    return usage_error("unknown-revision", f'"{shown(name)}": {why}', EXPECTED, "")
