"""Draws that are the same for the same seed on every machine and under every Python."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from hashlib import blake2b
from typing import TypeVar

_Each = TypeVar("_Each")
_BYTES = 8


class Chance:
    """A stream of draws that hangs on its names alone."""

    def __init__(self, *names: object) -> None:
        self._names = "/".join(map(str, names))
        self._drawn = 0

    def of(self, *names: object) -> Chance:
        """A stream of its own, whatever was drawn from this one."""
        return Chance(self._names, *names)

    def below(self, count: int) -> int:
        """A whole number from 0 on, less than `count`."""
        self._drawn += 1
        drawn = blake2b(f"{self._names}#{self._drawn}".encode(), digest_size=_BYTES).digest()
        return int.from_bytes(drawn, "big") % count

    def pick(self, each: Sequence[_Each]) -> _Each:
        """One of several."""
        return each[self.below(len(each))]

    def shuffled(self, each: Sequence[_Each]) -> list[_Each]:
        """All of them, in an order of chance."""
        left = list(each)
        return [left.pop(self.below(len(left))) for _ in range(len(each))]

    def share(self, steps: int = 100) -> Fraction:
        """A share from 0 to 1, in so many steps."""
        return Fraction(self.below(steps + 1), steps)
