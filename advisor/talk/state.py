"""Where a consultation stands, as data: the question as it is put now."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.model.case import Key
from advisor.model.rules import Node, Question


@dataclass(frozen=True, slots=True)
class Ask:
    """A question as it is put now."""

    key: Key
    question: Question
    node: Node
    title: str
    asks: str
    how: str
    given: str = ""

    @property
    def optional(self) -> bool:
        """Whether it may be left out."""
        return self.node.optional

    @property
    def instead(self) -> str:
        """How it can be settled by other questions, or an empty text."""
        return self.node.instead
