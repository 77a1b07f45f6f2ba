"""Words and phrases that people say, as a rule set gives them: what they mean, and what they must not be taken for."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field

#: An answer that a phrase gives: question id and choice id, or a measure as typed text.
Given = tuple[str, str]


class _Says(Struct, frozen=True):
    """What one phrase gives. `how`: said, doubtful (filled and asked back), alone, denied, noun or asks."""

    gives: tuple[Given, ...]
    how: str


class WordFrame(Struct, frozen=True):
    """What is said by several parts in any order, each `@class` or words with | between: `@liner`, `stained|creased`.

    `absent`: it says that there is no such thing. `outright`: it counts, with nothing but joining words within.
    `sign`: only one sign of several, so that its denial is not yet that of the thing.
    """

    gives: Given
    parts: tuple[str, ...]
    absent: bool = False
    outright: bool = True
    sign: bool = False


class FigureRun(Struct, frozen=True):
    """A run of words with figures, `<id>` being one of that question.

    `having`: one of these words has to be in the line. `sets`: what was told of the same before no longer holds.
    `drops`: what the same words were taken for besides is in doubt.
    """

    said: str
    sets: bool = False
    drops: tuple[str, ...] = ()
    having: tuple[str, ...] = ()


class Phrases(Struct, frozen=True):
    """All phrases of a rule set.

    `says`: phrase to answers, by way of counting (said, doubtful, alone, denied, noun, asks).
    `labels`: phrase to the question whose figure stands beside it. `cues`: phrase to its roles.
    `units`: a unit as people say it to the unit meant and why it is asked back.
    `only_when_asked`: words of a question's choices that count as an answer to that question alone.
    `classes`: words of one kind under a name, for the `frames`. `ordinary`: words that are no misspelling of another.
    `runs`: figures told by the run of a line; behind `sets_right` another choice of the same question is meant; a list
    that one of `none_of` ends is denied.
    `telling`: words that tell of something bad, so that they are never passed over without a word.
    `parts`: runs by what a part of a line is that they make up. `bare`: words for a bare yes, no, none or can't tell.
    `dictated`: a word that is also heard for another one, that one, and the words beside which it is.
    """

    says: Mapping[str, Mapping[str, tuple[Given, ...]]] = field(default_factory=dict)
    labels: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    cues: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    units: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    spellings: Mapping[str, str] = field(default_factory=dict)
    only_when_asked: frozenset[str] = frozenset()
    classes: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    frames: tuple[WordFrame, ...] = ()
    ordinary: frozenset[str] = frozenset()
    runs: tuple[FigureRun, ...] = ()
    sets_right: tuple[str, ...] = ()
    none_of: tuple[str, ...] = ()
    dictated: Mapping[str, tuple[str, frozenset[str]]] = field(default_factory=dict)
    telling: frozenset[str] = frozenset()
    parts: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    bare: Mapping[str, frozenset[str]] = field(default_factory=dict)


def folded(text: str) -> str:
    """A phrase made comparable: lower case, straight apostrophes, hyphens as spaces, single spaces."""
    return " ".join(text.replace("’", "'").replace("-", " ").casefold().split())
