"""Where a consultation stands, as frozen data: what a journal keeps and gives back."""

from __future__ import annotations

from msgspec import Struct

from advisor.model.case import Case, Key


class Saved(Struct, frozen=True):
    """The case, the order in which its answers were given, the earlier question asked again, and whether it ended."""

    case: Case
    order: tuple[Key, ...] = ()
    asking: Key | None = None
    ended: bool = False
