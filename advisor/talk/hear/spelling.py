"""Sets a misspelled word right where only one word of the trade is near enough, and never an ordinary word."""

from __future__ import annotations

from collections.abc import Iterable

#: Shorter words are left as they are: one letter makes another word of them.
SHORTEST = 5
TWO_SLIPS_FROM = 9


class Speller:
    """Knows the words of the trade, and ordinary words that are no misspelling of them."""

    def __init__(self, known: Iterable[str], ordinary: Iterable[str], fixed: dict[str, str]) -> None:
        self.known = frozenset(known)
        self.ordinary = frozenset(ordinary)
        self.fixed = fixed
        self._by_first: dict[str, list[str]] = {}
        for word in sorted(self.known):
            if len(word) >= SHORTEST - 1 and word.isalpha():
                self._by_first.setdefault(word[0], []).append(word)
        self._seen: dict[str, str] = {}

    def right(self, word: str) -> str:
        """The word of the trade that was meant, or the word itself."""
        if word in self.fixed:
            return self.fixed[word]
        if word in self.known or word in self.ordinary or len(word) < SHORTEST or not word.isalpha():
            return word
        if word not in self._seen:
            if len(self._seen) > 5000:
                self._seen.clear()
            self._seen[word] = self._nearest(word)
        return self._seen[word]

    def _nearest(self, word: str) -> str:
        most = 2 if len(word) >= TWO_SLIPS_FROM else 1
        near = [
            (slips, known)
            for known in self._by_first.get(word[0], ())
            if abs(len(known) - len(word)) <= most
            and len(known) >= (TWO_SLIPS_FROM - 1 if most == 2 else SHORTEST - 1)
            and known not in (f"{word}s", word.removesuffix("s"))
            and (slips := slips_between(word, known)) <= most
        ]
        near.sort()
        if not near or (len(near) > 1 and near[1][0] == near[0][0]):
            return word
        return near[0][1]


def slips_between(one: str, other: str) -> int:
    """Letters left out, put in, changed or swapped with the next (optimal string alignment distance)."""
    before: list[int] = []
    last = list(range(len(other) + 1))
    for row, letter in enumerate(one, 1):
        here = [row]
        for column, sign in enumerate(other, 1):
            cost = 0 if letter == sign else 1
            best = min(last[column] + 1, here[column - 1] + 1, last[column - 1] + cost)
            if row > 1 and column > 1 and letter == other[column - 2] and one[row - 2] == sign:
                best = min(best, before[column - 2] + 1)
            here.append(best)
        before, last = last, here
    return last[-1]
