"""Which tire each clause speaks of: this one, another one that was named ahead of it, or tires in general."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct, field

from advisor.model import inputs
from advisor.nlu.part_runs import PartRuns
from advisor.nlu.sentence_figures import Figure
from advisor.nlu.tagger import Clause, gives_of

#: Kinds of runs in the phrases: another tire, somebody else's, several, one of them in turn, this one (at the
#: beginning, anywhere), any tire.
OTHER, OWNED, SEVERAL, IN_TURN, THIS, ON_THIS, GENERAL = (
    "other-tire", "owned-tire", "several-tires", "in-turn", "this-tire", "on-this-tire", "in-general",
)  # fmt: skip
#: That this one is as what was said ahead, or is not; that what was said stood on some paper only.
AS_OTHER, ON_PAPER = "as-the-other", "on-paper"
#: In inches a whole number of so many digits is that of a rim.
DIGITS_OF_RIM = 2
#: What one of several was like before this one is spoken of.
_GONE = frozenset({"had", "was", "were", "came", "got", "went", "needed", "did"})


class OfTires(Struct):
    """Of a line's clauses: those of other tires or of any, those that begin with this one, those that may be of others.

    All are known by their clauses' identities; `held` says why.
    """

    closed: set[int] = field(default_factory=set)
    this: set[int] = field(default_factory=set)
    held: dict[int, str] = field(default_factory=dict)


def which_tires(clauses: Sequence[Clause], parts: PartRuns) -> OfTires:
    """What each clause of a line speaks of."""
    found = OfTires()
    every = frozenset(word for clause in clauses for word in words_heard(clause))
    known = {kind for kind in (OTHER, OWNED, SEVERAL, THIS, ON_THIS, GENERAL, AS_OTHER) if parts.may_stand(every, kind)}
    if not known:
        return found
    for number in sorted({clause.sentence for clause in clauses}):
        _sentence([clause for clause in clauses if clause.sentence == number], parts, found)
    return found


def words_heard(clause: Clause) -> list[str]:
    """The words of a clause as they were understood; a figure as # with what it measures: #length, #32nds, #."""
    return [word for mark in clause.marks for word in ([sign_of(mark.figure)] if mark.figure else mark.text.split())]


def sign_of(figure: Figure) -> str:
    """A figure as one word."""
    if figure.unit == "32nds" or figure.low.endswith("/32"):
        return "#32nds"
    if figure.unit == "in" and len(figure.low.partition(".")[0]) == DIGITS_OF_RIM and not figure.fraction:
        return "#rim"
    return f"#{figure.quantity or ('length' if figure.fraction else '')}"


def _of_this(words: Sequence[str], parts: PartRuns) -> bool:
    return parts.begins(words, THIS) or parts.whole_words(words, AS_OTHER) or parts.has(words, ON_THIS)


def _figures(words: Sequence[str]) -> set[str]:
    """What the figures of a clause measure."""
    return {word for word in words if word.startswith("#")}


def _wheels(clause: Clause) -> bool:
    """Whether a clause names a wheel's place."""
    return any(name == inputs.WHEEL_POSITION for mark in clause.marks for name, _ in gives_of(mark))


def _sentence(sentence: Sequence[Clause], parts: PartRuns, found: OfTires) -> None:
    words = [words_heard(clause) for clause in sentence]
    heads = [at for at, each in enumerate(words) if _of_this(each, parts)]
    turns = [at for at, each in enumerate(words) if parts.begins(each, IN_TURN)]
    several = len(turns) + len(heads) > 1 and any(parts.has(each, SEVERAL) for each in words)
    found.this |= {id(sentence[at]) for at in heads}
    other = False
    for at, clause in enumerate(sentence):
        set_against = bool(heads) and at < heads[-1]
        if at in heads:
            other = False
        elif parts.has(words[at], OTHER):
            other = True
        elif parts.has(words[at], OWNED):
            other = set_against
            if not other:
                found.held[id(clause)] = f'"{" ".join(words[at])}": of this tire?'
        elif several and at in turns:
            other = (at < turns[-1] or set_against) and not _GONE.isdisjoint(words[at])
            if at < turns[-1] and not other:
                found.held[id(clause)] = f'"{" ".join(words[at])}": of this tire?'
        elif set_against and not other and _figures(words[at]) & _figures(words[heads[-1]]):
            found.held[id(clause)] = f'"{" ".join(words[at])}": of this tire?'
        elsewhere = set_against and not other and _wheels(clause) and any(map(_wheels, sentence[heads[-1] :]))
        if other or elsewhere or parts.has(words[at], GENERAL):
            found.closed.add(id(clause))
    if any(id(clause) in found.closed for clause in sentence):
        for at, clause in enumerate(sentence):
            if at not in heads and not (heads and at > heads[0]):
                found.held.setdefault(id(clause), "another tire is spoken of beside it")
