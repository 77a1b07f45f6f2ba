"""What is said, in blocks: a text, what belongs under it, and the part it plays. Only a face lays it out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Literal

from msgspec import Struct

#: `entry`: what can be typed (`lead`) and what it is for. `item`: one of several under a title. `look`: it has to be
#: looked at, `beside`: it needs no look. The last seven are of a step of the work; `reply`: what is to be typed there.
Role = Literal[
    "plain", "title", "item", "entry", "look", "beside",
    "step", "stage", "caution", "hold", "figure", "timer", "reply",
]  # fmt: skip


class Block(Struct, frozen=True):
    """A text with what belongs under it; `lead` names what the text says. Without a text the details stand alone."""

    text: str
    details: tuple[Said, ...] = ()
    role: Role = "plain"
    lead: str = ""

    @property
    def said(self) -> str:
        """The text behind its lead."""
        return f"{self.lead}: {self.text}" if self.lead else self.text


#: A bare text is a plain block.
Said = str | Block


def blocks_of(said: Iterable[Said]) -> list[Block]:
    """Blocks, bare texts made into such."""
    return [Block(each) if isinstance(each, str) else each for each in said]


def under(block: Block) -> Iterator[Block]:
    """All that belongs under a block, at whatever depth."""
    for detail in blocks_of(block.details) if block.details else ():
        yield detail
        yield from under(detail)


def texts_of(said: Iterable[Said]) -> Iterator[str]:
    """Every text, each ahead of what belongs under it."""
    for block in blocks_of(said):
        if block.text or not block.details:
            yield block.said
        yield from texts_of(block.details)
