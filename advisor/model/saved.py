"""Where a consultation stands, as frozen data: what a journal keeps and gives back."""

from __future__ import annotations

from advisor.model.case import Case, Key
from advisor.quick import dataclass


@dataclass(frozen=True, slots=True)
class Saved:
    """The case, the order in which its answers were given, the earlier question asked again, and whether it ended."""

    case: Case
    order: tuple[Key, ...] = ()
    asking: Key | None = None
    ended: bool = False
