"""Files as YAML nodes, kept while a rule set is read again and again: what was not saved anew is not parsed anew."""

from __future__ import annotations

import os
from pathlib import Path

import yaml

from advisor.loader.yaml_nodes import documents, read_text

_Stamp = tuple[int, int, int]


class Composed:
    """What was composed last of each file, by the file's time, size and number."""

    def __init__(self) -> None:
        self._kept: dict[Path, tuple[_Stamp, list[yaml.Node]]] = {}

    def documents(self, path: Path, name: str) -> list[yaml.Node]:
        """The documents of a file. Raises Problems when it can't be read or isn't YAML; that is never kept."""
        stamp = _stamp(path)
        kept = self._kept.get(path)
        if kept is not None and kept[0] == stamp:
            return kept[1]
        found = documents(read_text(path, name), name)
        if stamp is not None and stamp == _stamp(path):
            self._kept[path] = stamp, found
        return found


def _stamp(path: Path) -> _Stamp | None:
    try:
        details = os.stat(path)
    except (OSError, ValueError):
        return None
    return details.st_mtime_ns, details.st_size, details.st_ino
