"""What people ask, as a rule set gives it: kinds of question, what they can be about, and texts that answer them."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct, field

from advisor.model.limits import Basis


class AskedKind(Struct, frozen=True):
    """A kind of question, or with `stands_for` words that mean the same, under a name for patterns.

    `offer`: what it tells and how it is asked, for where a question was not understood. `forms`: sentences with holes.
    `not_behind`: a question with that word at its head is not of it. `question`: what a figure is of that is said in
    these words; `quantities`: of what quantity a figure is that is asked for in them. `means`: what words stand for.
    """

    id: str
    said: tuple[str, ...] = ()
    stands_for: tuple[str, ...] = ()
    offer: str = ""
    forms: tuple[str, ...] = ()
    not_behind: tuple[str, ...] = ()
    question: str = ""
    quantities: tuple[str, ...] = ()
    means: Mapping[str, str] = field(default_factory=dict)


class AskedSubject(Struct, frozen=True):
    """Something that a question can be about, and where the rules speak of it.

    `said`: words that name it, besides those of its word and question. `weak`: it counts only where nothing else is
    named. `whole`: who asks of it asks of the tire as it stands. `as_if`: an answer by question that is tried where it
    is asked whether that matters or may be. `of_use`: it is a use of the tire, so of one that is scrap or held an
    answer to whether it may be begins with no.
    """

    id: str
    said: tuple[str, ...] = ()
    name: str = ""
    question: str = ""
    as_if: Mapping[str, str] = field(default_factory=dict)
    limits: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    word: str = ""
    sketch: str = ""
    weak: bool = False
    whole: bool = False
    of_use: bool = False


class ReadyAnswer(Struct, frozen=True):
    """A text for questions of some kinds about some subjects, all of which have to be named; or asked in these words.

    `says` may be empty, then the rules' own cautions, limits and steps answer. `verdict`: how things stand comes too.
    `leave`: what is said first where it is asked whether that may be. `first`: it goes ahead of what else would answer.
    `unruled`: no ruling touches what it is about.
    `held_beside`: answers and values, beside which a figure that is named is held. `of_use`: as of a subject.
    """

    id: str
    basis: Basis
    about: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    said: tuple[str, ...] = ()
    says: str = ""
    cautions: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    verdict: bool = False
    leave: str = ""
    held_beside: tuple[str, ...] = ()
    of_use: bool = False
    first: bool = False
    unruled: bool = False
