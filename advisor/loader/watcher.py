"""Looks whether the files of a rule set were saved anew, by their times and sizes; never reads one that is half saved.

A look costs a few dozen `stat` calls. Files count as saved once two looks running find them the same; when they
changed while they were read, what was read is dropped and the next looks decide.
"""

from __future__ import annotations

from pathlib import Path

from advisor.loader.composed import Composed
from advisor.loader.ruleset_loader import folders_read, load_rule_set
from advisor.loader.schema_files import renew_schemas
from advisor.model.problems import Problems
from advisor.model.ruleset import RuleSet

_Stamp = tuple[tuple[str, int, int], ...]


class Watch:
    """The files of a rule set, its bases and what they share. Made before they are first read: no save is missed."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._composed = Composed()
        self._folders = folders_read(self.folder)
        self._read = self._last = self._stamp()

    def ready(self) -> bool:
        """One look: whether files have been saved since they were read, and stand still now."""
        stamp = self._stamp()
        still, self._last = stamp == self._last, stamp
        return still and stamp != self._read

    @property
    def changed(self) -> bool:
        """Whether files have been saved since they were read; they may still be being saved."""
        return self._stamp() != self._read

    def load(self) -> RuleSet | None:
        """The rule set as saved; None where it was saved again meanwhile. Raises Problems with all that is wrong."""
        stamp = self._stamp()
        try:
            rules = load_rule_set(self.folder, self._composed)
        except Problems:
            if self._settled(stamp):
                raise
            return None
        return rules if self._settled(stamp) else None

    def _settled(self, stamp: _Stamp) -> bool:
        """Whether nothing was saved since the stamp was taken; then it is what was read."""
        self._last = self._stamp()
        if self._last != stamp:
            return False
        self._folders = folders_read(self.folder)
        self._read = self._last = self._stamp()
        renew_schemas(self.folder)
        return True

    def _stamp(self) -> _Stamp:
        found = []
        for folder in self._folders:
            try:
                for path in sorted(folder.glob("*.y*ml")):
                    details = path.stat()
                    found.append((str(path), details.st_mtime_ns, details.st_size))
            except OSError:
                found.append((str(folder), 0, 0))  # being put in its place just now
        return tuple(found)
