"""Where the journal lies: a folder named by the user, else this user's data folder. Readable by the owner only."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from contextlib import suppress
from pathlib import Path

_FOLDER_VARIABLE = "ADVISOR_DATA"
FILE_NAME = "journal.sqlite"
OWNER_ONLY_FOLDER, OWNER_ONLY_FILE = 0o700, 0o600


def data_folder(given: str, environment: Mapping[str, str]) -> Path:
    """The folder named, or the one in ADVISOR_DATA, or the user's data folder."""
    if given:
        return Path(given)
    if environment.get(_FOLDER_VARIABLE):
        return Path(environment[_FOLDER_VARIABLE])
    from platformdirs import user_data_path

    return user_data_path("tire-repair-advisor", appauthor=False)


def make_folder(folder: Path) -> None:
    """Makes a folder that only its owner can read, where there is none. Raises OSError."""
    if not folder.is_dir():
        folder.mkdir(mode=OWNER_ONLY_FOLDER, parents=True, exist_ok=True)


def make_file(path: Path) -> None:
    """Makes an empty file that only its owner can read, or takes the rights of others away. Raises OSError."""
    descriptor = os.open(path, os.O_CREAT | os.O_RDWR, OWNER_ONLY_FILE)
    try:
        if os.name == "posix" and os.fstat(descriptor).st_mode & 0o077:
            os.fchmod(descriptor, OWNER_ONLY_FILE)
    finally:
        os.close(descriptor)


def write_private(path: Path, texts: Iterable[str]) -> None:
    """Writes a file for its owner only; it takes its name once it is whole and on disk. Raises OSError.

    What is there and is no file, such as /dev/stdout, is written to as it is.
    """
    if path.exists() and not path.is_file() and not path.is_dir():
        with path.open("w", encoding="utf-8", errors="backslashreplace", newline="") as device:
            device.writelines(texts)
        return
    unfinished = path.with_name(f"{path.name}.part")
    with suppress(FileNotFoundError):
        unfinished.unlink()
    descriptor = os.open(unfinished, os.O_CREAT | os.O_WRONLY | os.O_EXCL, OWNER_ONLY_FILE)
    try:
        with os.fdopen(descriptor, "w", encoding="utf-8", errors="backslashreplace", newline="") as file:
            file.writelines(texts)
            file.flush()
            os.fsync(file.fileno())
        os.replace(unfinished, path)
    except BaseException:
        unfinished.unlink(missing_ok=True)
        raise
