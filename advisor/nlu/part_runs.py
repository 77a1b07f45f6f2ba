"""What a part of a line is by its words alone, as `parts` of the phrases give it: it closes, it tells nothing bad."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from functools import cached_property

from advisor.model.lexicon_entries import Phrases, folded
from advisor.nlu.word_runs import RunFound, WordRun, WordRuns

#: A longer part is looked at no further: it may tell anything.
MOST_PART_WORDS = 24
_WORD = re.compile(r"[^\W_]+(?:'[^\W_]+)*|[^\s\w]|_")


def any_word_of(words: Iterable[str]) -> str:
    """A pattern for one of some words, the longest first; where there are none, for nothing."""
    return "|".join(map(re.escape, sorted(words, key=len, reverse=True))) or "(?!)"


class PartRuns:
    """The runs of a rule set's phrases, by what a part is that they make up; made ready when first needed."""

    def __init__(self, phrases: Phrases) -> None:
        self._phrases = phrases
        self._fixed = {wrong: right for wrong, right in phrases.spellings.items() if " " not in f"{wrong}{right}"}
        self._ready: dict[str, WordRuns] = {}
        self._of_classes: dict[tuple[str, ...], frozenset[str]] = {}

    @cached_property
    def known(self) -> frozenset[str]:
        """Every word that is ordinary, tells of something bad, or is of any class."""
        said = (word for each in self._phrases.classes.values() for word in " ".join(each).split())
        return frozenset((*self._phrases.ordinary, *self._phrases.telling, *said))

    def words_of(self, *classes: str) -> frozenset[str]:
        """All words of some classes."""
        if classes not in self._of_classes:
            every = (self._phrases.classes.get(name, ()) for name in classes)
            self._of_classes[classes] = frozenset(word for words in every for word in words)
        return self._of_classes[classes]

    def _of(self, kind: str, words: Iterable[str]) -> list[WordRun]:
        """The runs of a kind that may stand among some words."""
        if kind not in self._ready:
            runs = self._phrases.parts.get(kind, ())
            self._ready[kind] = WordRuns(runs, self._phrases.classes, self._fixed)
        return [run for _, run in self._ready[kind].standing(set(words))]

    def words(self, text: str) -> list[str]:
        """The words of a text as the runs are held to them, signs among them."""
        words = _WORD.findall(folded(text).rstrip(".!"))
        return [";" if word == "." else self._fixed.get(word, word) for word in words]

    def whole(self, text: str, kind: str) -> bool:
        """Whether one run is all of a text."""
        words = self.words(text)
        return self.whole_words(words, kind)

    def may_stand(self, words: Iterable[str], kind: str) -> bool:
        """Whether words hold one of each part that has to be there of a run of a kind."""
        return bool(self._of(kind, words))

    def found(self, words: Sequence[str], kind: str) -> Iterator[RunFound]:
        """Where runs of a kind stand in words as they are."""
        for run in self._of(kind, words):
            yield from run.found(words, {})

    def has(self, words: Sequence[str], kind: str) -> bool:
        """Whether a run of a kind stands in words as they are."""
        return any(True for _ in self.found(words, kind))

    def whole_words(self, words: Sequence[str], kind: str) -> bool:
        """Whether a run of a kind is all of some words as they are."""
        return any(len(words) in run.ends(words, 0) for run in self._of(kind, words))

    def begins(self, words: Sequence[str], kind: str) -> bool:
        """Whether words as they are begin with a run of a kind."""
        return any(run.ends(words, 0) for run in self._of(kind, words))

    def longest(self, words: Sequence[str], kind: str) -> int:
        """How many words at the head of words as they are the longest run of a kind takes."""
        return max((end for run in self._of(kind, words) for end in run.ends(words, 0)), default=0)

    def within(self, text: str, kind: str) -> str:
        """The first words of a text that a run takes, or an empty text."""
        words = self.words(text)
        found = (" ".join(words[one.start : one.end]) for run in self._of(kind, words) for one in run.found(words, {}))
        return next(found, "")

    def made_up(self, text: str, *kinds: str) -> bool:
        """Whether a text is nothing but runs of these kinds, one behind the other, with idle words about them."""
        words = self.words(text)
        if len(words) > MOST_PART_WORDS:
            return False
        idle = self._of("idle", words)
        runs = [run for kind in kinds for run in self._of(kind, words)]
        so_far, told = {0}, set[int]()
        for at in range(len(words)):
            if at not in so_far | told:
                continue
            ends = {end for run in runs for end in run.ends(words, at) if end > at}
            passed = {end for run in idle for end in run.ends(words, at) if end > at}
            told |= ends | (passed if at in told else set())
            so_far |= passed if at in so_far else set()
        return len(words) in told


_READY: list[tuple[Phrases, PartRuns]] = []
#: Of so many rule sets they are kept.
_MOST_KEPT = 4


def part_runs_of(phrases: Phrases) -> PartRuns:
    """The runs of some phrases made ready, once."""
    for known, runs in _READY:
        if known is phrases:
            return runs
    _READY[:] = [(phrases, PartRuns(phrases)), *_READY[: _MOST_KEPT - 1]]
    return _READY[0][1]
