"""A module that is imported when something of it is first used, so that a start does not wait for it.

For the checker of types the module is imported in the ordinary way beside it:

    if TYPE_CHECKING:
        from advisor.domain.sidewall import parser
    else:
        parser = later("advisor.domain.sidewall.parser")
"""

from __future__ import annotations

from importlib import import_module
from typing import Any


class _Later:
    """Stands for a module until an attribute of it is asked for; keeps each attribute once it was."""

    def __init__(self, name: str) -> None:
        self._name = name

    def __getattr__(self, attribute: str) -> Any:
        found = getattr(import_module(self._name), attribute)
        setattr(self, attribute, found)
        return found


def later(name: str) -> Any:
    """The module of this name, imported at the first use of something in it."""
    return _Later(name)
