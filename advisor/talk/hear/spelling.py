"""Sets a misspelled word right where only one word of the trade is near enough, and never an ordinary word.

Slips are letters left out, put in, changed or swapped with the next (optimal string alignment distance).
"""

from __future__ import annotations

from collections.abc import Iterable

#: Shorter words are left as they are: one letter makes another word of them.
SHORTEST = 5
TWO_SLIPS_FROM = 9


class Speller:
    """Knows all words, those that may have been meant, and ordinary words that are no misspelling of them."""

    def __init__(
        self, known: Iterable[str], ordinary: Iterable[str], fixed: dict[str, str], meant: Iterable[str]
    ) -> None:
        self.known = frozenset(known)
        self.ordinary = frozenset(ordinary)
        self.fixed = fixed
        self._by_first: dict[str, list[str]] = {}
        for word in sorted(meant):
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
        from rapidfuzz.distance import OSA  # loaded when a word is first not known

        most = 2 if len(word) >= TWO_SLIPS_FROM else 1
        near = [
            (slips, known)
            for known in self._by_first.get(word[0], ())
            if abs(len(known) - len(word)) <= most
            and len(known) >= (TWO_SLIPS_FROM - 1 if most == 2 else SHORTEST - 1)
            and known not in (f"{word}s", word.removesuffix("s"))
            and (slips := OSA.distance(word, known, score_cutoff=most)) <= most
        ]
        near.sort()
        if not near or (len(near) > 1 and near[1][0] == near[0][0]):
            return word
        return near[0][1]
