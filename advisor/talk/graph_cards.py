"""What a drawing of the question graph is made of: cards, chips, parts. Data only; the faces draw it."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.engine.graph import Stretch
from advisor.model.rules import Verdict
from advisor.talk.card import VERDICT_SIGNS

#: What is no verdict: a restriction, and a way that a case goes.
RESTRICTS = "RESTRICTS"
ALLOWS = "speaks for repair"


@dataclass(frozen=True, slots=True)
class Chip:
    """What a question can bring: a verdict's ending, or a restriction (`verdict` None).

    `doubt`: because it can't be told or is in doubt. `count` is by how many rulings. `says` stands only where one
    question is looked at closely.
    """

    name: str
    verdict: Verdict | None
    doubt: bool = False
    count: int = 1
    lit: bool = False
    says: tuple[str, ...] = ()

    @property
    def word(self) -> str:
        """The verdict as a word."""
        return RESTRICTS if self.verdict is None else VERDICT_SIGNS[self.verdict]

    @property
    def text(self) -> str:
        """Word and name, the verdict said once: `SCRAP tread`, `HOLD cant-tell`."""
        lead = f"{self.verdict}-" if self.verdict is not None else ""
        many = f" ×{self.count}" if self.count > 1 else ""
        return f"{self.word} {self.name.removeprefix(lead)}{many}"


@dataclass(frozen=True, slots=True)
class Card:
    """A question or a bare place of rulings. `step` is when the case came by, 0 for never; `said` what it answered."""

    id: str
    layer: int
    name: str
    chips: tuple[Chip, ...]
    ways: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    asks: bool = True
    step: int = 0
    said: str = ""
    near: bool = False
    reached: bool = True


@dataclass(frozen=True, slots=True)
class PartPicture:
    """A part: heading, its cards row by row, the ways between rows, which of them the case took."""

    id: str
    heading: str
    cards: tuple[Card, ...]
    stretch: Stretch
    lit: frozenset[tuple[int, int]] = frozenset()


@dataclass(frozen=True, slots=True)
class GraphPicture:
    """The whole drawing, or one `around` a question or ending; `case` is what is said of the lit case.

    `headline` is that of the ending which it is around.
    """

    title: str
    parts: tuple[PartPicture, ...]
    ends: tuple[Chip, ...]
    endings: tuple[tuple[Verdict, str, str], ...]
    case: str = ""
    around: str = ""
    headline: str = ""
