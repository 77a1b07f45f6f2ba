"""Runs of words with figures, as the phrases give them, found in a line: parts in order, gaps, figures of questions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence, Set

from msgspec import Struct

from advisor.nlu.sentence_figures import Figure

#: So many words may stand in a wide gap, and in a narrow one.
MOST_WORDS_WIDE = 8
MOST_WORDS_NARROW = 2
GAPS = {"...": MOST_WORDS_WIDE, "..": MOST_WORDS_NARROW}
#: No gap goes beyond one of these.
_STOPS = frozenset("?!;\n")
#: Ahead of a part these are passed over.
_COMMAS = frozenset(",.")

SaidWords = tuple[str, ...]


class RunPart(Struct, frozen=True):
    """A part of a run: the question of its figure, or words of which one stands there, or a gap of so many words.

    `words` are by the first of them, the longest first.
    """

    figure: str = ""
    words: Mapping[str, Sequence[SaidWords]] = {}
    gap: int = 0
    optional: bool = False
    repeated: bool = False
    barred: bool = False

    def lengths(self, words: Sequence[str], at: int) -> Iterator[int]:
        """How many words each of its options takes that stands at a place."""
        for each in self.words.get(words[at], ()) if at < len(words) else ():
            if tuple(words[at : at + len(each)]) == each:
                yield len(each)


class RunFound(Struct, frozen=True, gc=False):
    """A run found: its tokens, its figures with their questions and places, and the gaps between."""

    start: int
    end: int
    figures: tuple[tuple[str, Figure, int], ...] = ()
    gaps: tuple[tuple[int, int], ...] = ()


class WordRun:
    """A run made ready."""

    def __init__(self, text: str, classes: Mapping[str, Sequence[str]], fixed: Mapping[str, str]) -> None:
        self._classes, self._fixed = classes, fixed
        self._parts = [self._part(each) for each in text.split()]
        needed = (part for part in self._parts if part.words and not (part.optional or part.repeated or part.barred))
        self.heads = sorted((part.words.keys() for part in needed), key=len)
        self._first = self._begins_with()

    def _begins_with(self) -> frozenset[str] | None:
        """The words that it may begin with; None where any word may be one."""
        first = frozenset[str]()
        for part in self._parts:
            if not part.words or part.barred:
                return None
            first |= part.words.keys()
            if not (part.optional or part.repeated):
                return first
            first |= _COMMAS
        return None

    def _part(self, text: str) -> RunPart:
        if text in GAPS:
            return RunPart(gap=GAPS[text])
        if text.startswith("<"):
            return RunPart(figure=text[1:-1])
        bare = text.removeprefix("!").removesuffix("*")
        every = [each for option in bare.split("|") for each in self._of(option)]
        said = (tuple(self._fixed.get(word, word) for word in each.replace("_", " ").split()) for each in every)
        words: dict[str, list[SaidWords]] = {}
        for each in sorted((each for each in said if each != ("-",)), key=len, reverse=True):
            words.setdefault(each[0], []).append(each)
        return RunPart("", words, 0, "-" in every, text.endswith("*"), text.startswith("!"))

    def _of(self, option: str) -> Sequence[str]:
        return self._classes.get(option[1:], ()) if option.startswith("@") else (option,)

    def may_stand(self, words: Set[str]) -> bool:
        """Whether a line has a word of each part that has to be there."""
        return all(not words.isdisjoint(heads) for heads in self.heads)

    def found(self, words: Sequence[str], figures: Mapping[int, tuple[Figure, int]]) -> Iterator[RunFound]:
        """Where it stands in a line, one behind the other. `figures`: by their beginnings, with their ends."""
        end = 0
        for at in self._starts(words, figures):
            here = next(self._from(0, at, words, figures), None) if at >= end else None
            if here is not None and here.end > at:
                yield RunFound(at, here.end, here.figures, here.gaps)
                end = here.end

    def _starts(self, words: Sequence[str], figures: Mapping[int, tuple[Figure, int]]) -> Sequence[int]:
        """Where it may begin, in order."""
        if self._parts[0].figure:
            return sorted(figures)
        first = self._first
        return range(len(words)) if first is None else [at for at, word in enumerate(words) if word in first]

    def ends(self, words: Sequence[str], at: int) -> set[int]:
        """Where it may end that begins at a word, in words without figures."""
        if self._first is not None and words[at : at + 1] and words[at] not in self._first:
            return set()
        return {found.end for found in self._from(0, at, words, {})}

    def _from(
        self, number: int, at: int, words: Sequence[str], figures: Mapping[int, tuple[Figure, int]]
    ) -> Iterator[RunFound]:
        if number == len(self._parts):
            yield RunFound(at, at)
            return
        part = self._parts[number]
        begin = at + 1 if number and at < len(words) and words[at] in _COMMAS and not part.gap else at
        if part.gap:
            for stop in range(at, min(at + part.gap, len(words)) + 1):
                for rest in self._from(number + 1, stop, words, figures):
                    yield RunFound(at, rest.end, rest.figures, ((at, stop), *rest.gaps))
                if words[stop : stop + 1] and words[stop] in _STOPS:
                    return
        elif part.figure:
            if begin in figures:
                figure, end = figures[begin]
                for rest in self._from(number + 1, end, words, figures):
                    yield RunFound(at, rest.end, ((part.figure, figure, begin), *rest.figures), rest.gaps)
        elif part.barred:
            if not any(part.lengths(words, at)):
                yield from self._from(number + 1, at, words, figures)
        else:
            for length in part.lengths(words, begin):
                yield from self._from(number + (not part.repeated), begin + length, words, figures)
            if part.optional or part.repeated:
                yield from self._from(number + 1, at, words, figures)


class WordRuns:
    """Several runs made ready, and which of them may stand in a line."""

    def __init__(self, texts: Iterable[str], classes: Mapping[str, Sequence[str]], fixed: Mapping[str, str]) -> None:
        self._runs = [WordRun(text, classes, fixed) for text in texts]
        #: By each word of the part that fewest words begin; by an empty one those that need none.
        self._by_word: dict[str, list[int]] = {}
        for number, run in enumerate(self._runs):
            for word in run.heads[0] if run.heads else ("",):
                self._by_word.setdefault(word, []).append(number)

    def standing(self, words: Set[str]) -> list[tuple[int, WordRun]]:
        """The runs of which a line has a word of each part that has to be there, in order, with their numbers."""
        numbers = {number for word in ("", *words) for number in self._by_word.get(word, ())}
        return [(number, self._runs[number]) for number in sorted(numbers) if self._runs[number].may_stand(words)]
