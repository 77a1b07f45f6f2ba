"""Decides whether a damaged tire may be repaired, by which method, or is scrap.

`advisor.load("us-road")` gives a rule set that judges cases; everything named in `__all__` stays as it is described
in `advisor/api.py`. It is imported when first asked for, so that the command line's start pays nothing for it.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

from advisor.model.version import __version__ as __version__

if TYPE_CHECKING:
    from advisor.api import Case, CaseJudgement, Place, Problem, Problems, Rules, load

__all__ = ["Case", "CaseJudgement", "Place", "Problem", "Problems", "Rules", "__version__", "load"]


def __getattr__(name: str) -> Any:
    if name in __all__:
        return getattr(import_module("advisor.api"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
