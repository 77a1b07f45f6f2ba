"""A rule set's phrases made ready for matching: the longest phrase from a word on, and what it means.

Sets a misspelled word right where only one word of the trade is near enough, and never an ordinary word.

Slips are letters left out, put in, changed or swapped with the next (optimal string alignment distance).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from msgspec import Struct
from msgspec.structs import replace

from advisor.model.lexicon_entries import Given
from advisor.model.ruleset import RuleSet
from advisor.nlu.frames import Frames
from advisor.nlu.scope_words import ASSUMING, DENYING
from advisor.nlu.tokenizer import NUMBER_WORDS, SPLITS
from advisor.nlu.words_alone import words_alone

#: Shorter words are left as they are: one letter makes another word of them.
SHORTEST = 5
TWO_SLIPS_FROM = 9
#: Shorter words ahead of a vehicle are small ones, and no name.
SHORTEST_NAME = 3


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

    def may_be(self, word: str, others: Iterable[str]) -> bool:
        """Whether a word is one of those known, or one slip away from one of some others."""
        from rapidfuzz.distance import OSA
        from rapidfuzz.process import extractOne

        known = word in self.known or word in self.fixed
        return known or extractOne(word, [*others], scorer=OSA.distance, score_cutoff=1) is not None

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


GAP = "..."
MOST_IN_GAP = 4
NOT_IN_GAP = frozenset(("but", "and", "then", "though", "however", ",", ";", ".", "!", "?", "\n", "(", ")"))
#: A misspelling is only ever set right to a word of a phrase that says something of a tire.
_MEANT = frozenset({"said", "doubtful", "alone", "noun", "denied", "label", "repair", "thing", "opening", "asks"})
#: The class of words that make no vehicle of the road of the one they stand ahead of: fork, hand.
_OFF_THE_ROAD = "off-the-road"
#: The class of those that only say which vehicle it is.
_VEHICLE_NAMED = "vehicle-named"


class Sense(Struct, frozen=True, gc=False):
    """What a phrase means. `how`: an answer's way of counting, `label`, or a cue's role."""

    how: str
    gives: tuple[Given, ...] = ()


class Hit(Struct, frozen=True, gc=False):
    """A phrase found: how many words it took, its senses, and the phrase itself where it has a gap."""

    length: int
    senses: tuple[Sense, ...]
    hows: frozenset[str]
    gap: tuple[str, ...] = ()

    def has(self, *hows: str) -> bool:
        """Whether one of its senses is of one of these kinds."""
        return not self.hows.isdisjoint(hows)

    @property
    def vague(self) -> bool:
        """Whether it only touches a question, or says nothing."""
        return all(sense.how in ("asks", "filler", "beside", "nothing", "opening", "thing") for sense in self.senses)

    @property
    def open(self) -> bool:
        """Whether what it answers is only taken with a question back."""
        return all(sense.how == "doubtful" for sense in self.senses)


class _Ready(Struct, frozen=True):
    """The phrases that begin with one word: those without a gap, their lengths from the longest on, those with one."""

    plain: dict[tuple[str, ...], list[Sense]]
    lengths: tuple[int, ...]
    gaps: tuple[Hit, ...]
    hits: dict[tuple[str, ...], Hit]

    def hit(self, phrase: tuple[str, ...]) -> Hit | None:
        """What a phrase without a gap means, made ready when it is first heard."""
        if phrase not in self.hits and phrase in self.plain:
            self.hits[phrase] = _hit(phrase, self.plain[phrase])
        return self.hits.get(phrase)


def _hit(phrase: tuple[str, ...], senses: Sequence[Sense]) -> Hit:
    hows = frozenset(sense.how for sense in senses)
    return Hit(len(phrase), tuple(senses), hows, phrase if GAP in phrase else ())


class Lexicon:
    """All phrases of a rule set; those that begin with a word are made ready when that word is first heard."""

    def __init__(self, rules: RuleSet) -> None:
        phrases = rules.phrases
        self._fixed = {wrong: right for wrong, right in phrases.spellings.items() if " " not in wrong}
        self._added: dict[str, list[tuple[str, Sense]]] = {}
        self._ready: dict[str, _Ready] = {}
        self._known: set[str] = set()
        for how, found in phrases.says.items():
            senses = {gives: Sense(how, gives) for gives in set(found.values())}
            for phrase, gives in found.items():
                self._add(phrase, senses[gives])
        labels = {names: Sense("label", tuple((name, "") for name in names)) for names in set(phrases.labels.values())}
        for phrase, names in phrases.labels.items():
            self._add(phrase, labels[names])
        meant = set(" ".join(self._known).split())
        roles_of = {role: Sense(role) for roles in phrases.cues.values() for role in roles}
        for phrase, roles in phrases.cues.items():
            for role in roles:
                self._add(phrase, roles_of[role])
            if _MEANT & set(roles):
                meant.update(phrase.split())
        self._add_choices(rules)
        self.frames = Frames(phrases.frames, phrases.classes, self._fixed)
        self._known |= self.frames.words
        meant |= self.frames.words
        words = {self._fixed.get(word, word) for word in set(" ".join(self._known).split())} - {GAP}
        ordinary = phrases.ordinary | {*ASSUMING, *SPLITS, *NUMBER_WORDS}
        self.speller = Speller(words, ordinary, self._fixed, words & {self._fixed.get(word, word) for word in meant})
        self.units = phrases.units
        self.dictated, self.telling = phrases.dictated, phrases.telling
        self._off_the_road, self._vehicle_named = (
            frozenset(phrases.classes.get(name, ())) for name in (_OFF_THE_ROAD, _VEHICLE_NAMED)
        )

    def _add(self, phrase: str, sense: Sense) -> None:
        if phrase:
            self._known.add(phrase)
            head = phrase.partition(" ")[0]
            self._added.setdefault(self._fixed.get(head, head), []).append((phrase, sense))

    def may_name_a_vehicle(self, word: str) -> bool:
        """Whether a word says so, or is none of the trade's and not near one that tells of something bad or denies."""
        if word in self._vehicle_named or word in self._off_the_road:
            return word in self._vehicle_named
        named = word.isalpha() and len(word) >= SHORTEST_NAME
        return named and not self.speller.may_be(word, self.telling | DENYING)

    def _from(self, head: str) -> _Ready:
        """The phrases that begin with a word."""
        ready = self._ready.get(head)
        if ready is None:
            found: dict[tuple[str, ...], list[Sense]] = {}
            for phrase, sense in self._added.get(head, ()):
                senses = found.setdefault(tuple(self._fixed.get(word, word) for word in phrase.split()), [])
                if sense not in senses:
                    senses.append(sense)
            gaps = tuple(_hit(phrase, found.pop(phrase)) for phrase in [*found] if GAP in phrase)
            lengths = tuple(sorted({*map(len, found)}, reverse=True))
            ready = self._ready[head] = _Ready(found, lengths, gaps, {})
        return ready

    def _add_choices(self, rules: RuleSet) -> None:
        """The choices' other words: two words and more count anywhere, single ones alone between two commas."""
        for word, question, choice in words_alone(rules):
            if word not in self._known:
                self._add(word, Sense("said" if " " in word else "alone", ((question, choice),)))

    def single(self, word: str) -> Hit | None:
        """What a word means by itself, or None."""
        return self._from(word).hit((word,))

    def longest(self, words: Sequence[str], start: int) -> Hit | None:
        """The longest phrase that begins at a word, or None."""
        ready = self._from(words[start])
        best: Hit | None = None
        for length in ready.lengths:
            best = ready.hit(tuple(words[start : start + length])) if start + length <= len(words) else None
            if best is not None:
                break
        for hit in ready.gaps:
            length = _fits(hit.gap, words, start)
            if length and (best is None or length > best.length):
                best = replace(hit, length=length)
        return best


def _fits(phrase: tuple[str, ...], words: Sequence[str], start: int) -> int:
    """How many words a phrase with a gap takes from here; 0 where it doesn't fit."""
    at = phrase.index(GAP)
    head, tail = phrase[:at], phrase[at + 1 :]
    if tuple(words[start : start + len(head)]) != head:
        return 0
    begin = start + len(head)
    for skipped in range(1, MOST_IN_GAP + 1):
        if begin + skipped > len(words) or words[begin + skipped - 1] in NOT_IN_GAP:
            return 0
        if tuple(words[begin + skipped : begin + skipped + len(tail)]) == tail:
            return len(head) + skipped + len(tail)
    return 0
