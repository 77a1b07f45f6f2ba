"""Frames: a thing and what is said of it, in any order - liner stained, stained liner, liner looks badly stained.

A frame is `@liner & stained|creased`: one of each of its parts, told by a word class or by words. With nothing but
joining words between its parts it says that outright, as a phrase does; with others between it is only a hint.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import pairwise, product

from msgspec import Struct

from advisor.model.lexicon_entries import Given, WordFrame
from advisor.nlu.scope_words import BETWEEN_NOT, DENYING, JOINING

#: So many words may stand between the parts of a frame.
MOST_BETWEEN = 7
#: Words of this length and more are known in the plural as well.
_SHORTEST_SINGULAR = 3


class FrameFound(Struct, frozen=True, gc=False):
    """A frame found: its tokens, what it gives, whether that is absent, and whether only joining words stand within.

    `own` are the places of its parts.
    """

    start: int
    end: int
    gives: Given
    absent: bool = False
    glued: bool = True
    outright: bool = True
    denial_plain: bool = True
    sign: bool = False
    own: frozenset[int] = frozenset()


class Frames:
    """The frames of a rule set made ready: which part begins with which word."""

    def __init__(
        self, frames: Iterable[WordFrame], classes: Mapping[str, Sequence[str]], fixed: Mapping[str, str]
    ) -> None:
        self._parts: dict[str, int] = {}
        #: By the first word, then by the second; by an empty one where there is none.
        self._heads: dict[str, dict[str, list[tuple[tuple[str, ...], int]]]] = {}
        #: By the first part, then by the last, each with its number.
        self._frames: dict[int, dict[int, list[tuple[int, WordFrame, tuple[int, ...]]]]] = {}
        self._fixed = fixed
        #: The line looked at last, and where which part stands in it.
        self._line: tuple[list[str], list[tuple[int, int, int]]] = ([], [])
        for at, frame in enumerate(frames):
            parts = tuple(self._part(part, classes) for part in frame.parts)
            self._frames.setdefault(parts[0], {}).setdefault(parts[-1], []).append((at, frame, parts))
        #: Every word of a frame.
        self.words = frozenset(
            word for by in self._heads.values() for entries in by.values() for words, _ in entries for word in words
        )

    def _part(self, text: str, classes: Mapping[str, Sequence[str]]) -> int:
        """The number of a part, made known by its first words."""
        if text in self._parts:
            return self._parts[text]
        number = self._parts[text] = len(self._parts)
        for option in text.split("|"):
            for said in classes[option[1:]] if option.startswith("@") else (option,):
                words = tuple(self._fixed.get(word, word) for word in said.replace("_", " ").split())
                second = words[1] if len(words) > 1 else ""
                self._heads.setdefault(words[0], {}).setdefault(second, []).append((words, number))
        return number

    def found(self, words: Sequence[str], begin: int, end: int) -> Iterator[FrameFound]:
        """The frames between two places, which no break lies between."""
        line = self._line
        if line[0] != words:
            line = self._line = ([*words], [*self._placed(words)])
        there: dict[int, list[tuple[int, int]]] = {}
        for start, stop, number in line[1]:
            if begin <= start and stop <= end:
                there.setdefault(number, []).append((start, stop))
        for number in there:
            by_last = self._frames.get(number)
            lasts = by_last and by_last.keys() & there.keys()
            if not by_last or not lasts:
                continue
            for _, frame, parts in sorted(each for last in lasts for each in by_last[last]):
                if all(part in there for part in parts[1:-1]):
                    nearest = _nearest([there[part] for part in parts])
                    if nearest is not None:
                        yield _found(frame, nearest, words)

    def _placed(self, words: Sequence[str]) -> Iterator[tuple[int, int, int]]:
        """Where each part stands in a line."""
        forms = [_singulars(word) for word in words]
        for place, heads in enumerate(forms):
            seconds = ("", *forms[place + 1]) if place + 1 < len(forms) else ("",)
            for by_second in [self._heads[head] for head in heads if head in self._heads]:
                for second in seconds:
                    for said, number in by_second.get(second, ()):
                        stop = place + len(said)
                        rest = zip(said[2:], forms[place + 2 : stop], strict=False) if len(said) > 2 else ()
                        if stop <= len(forms) and (not rest or all(one in form for one, form in rest)):
                            yield place, stop, number


@lru_cache(maxsize=4096)
def _singulars(word: str) -> tuple[str, ...]:
    if len(word) > _SHORTEST_SINGULAR and word.endswith("s") and not word.endswith("ss"):
        return (word, word[:-1], word[:-2]) if word.endswith("es") else (word, word[:-1])
    return (word,)


def _nearest(places: Sequence[Sequence[tuple[int, int]]]) -> list[tuple[int, int]] | None:
    """One place of each part, so that they lie nearest together and none over another."""
    best: tuple[int, list[tuple[int, int]]] | None = None
    for chosen in product(*places) if len(places) > 1 else ([each] for each in places[0]):
        order = sorted(chosen)
        gaps = [after[0] - before[1] for before, after in pairwise(order)]
        if all(0 <= gap <= MOST_BETWEEN for gap in gaps) and (best is None or sum(gaps) < best[0]):
            best = (sum(gaps), order)
    return best[1] if best else None


def _found(frame: WordFrame, places: Sequence[tuple[int, int]], words: Sequence[str]) -> FrameFound:
    own = frozenset(at for start, stop in places for at in range(start, stop))
    start, end = places[0][0], places[-1][1]
    between = [words[at] for at in range(start, end) if at not in own]
    glued = all(word in JOINING or word in DENYING for word in between)
    plain = all(word in BETWEEN_NOT or word in DENYING for word in between)
    return FrameFound(start, end, frame.gives, frame.absent, glued, frame.outright, plain, frame.sign, own)
