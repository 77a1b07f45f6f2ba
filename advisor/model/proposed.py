"""What a record proposes to be looked for on the tire, as frozen data."""

from __future__ import annotations

from msgspec import Struct

from advisor.model.case import Answers


class Proposed(Struct, frozen=True):
    """An earlier repair that a record speaks of: in words, and the answers it would have if it is there."""

    says: str
    answers: Answers
