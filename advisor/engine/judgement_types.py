"""What a judgement says, as data; faces only arrange it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cached_property
from typing import Protocol

from msgspec import Struct

from advisor.engine.facts import Facts, Value
from advisor.engine.traversal import Stop, Walk
from advisor.model.case import Key
from advisor.model.limits import Later
from advisor.model.quantity import Measure
from advisor.model.ruleset import Basis, Limit, Method, Ruling, Step, Verdict


class Reason(Struct, frozen=True):
    """A ruling that holds, or that doubt makes count, with what it brings; `terms`: those by which it came.

    `injury` is its number from 0, or None for the tire as a whole. `doubt` holds the answers whose doubt
    makes it count; empty when it holds for certain. `table`: that by which its limit was chosen; `soon`: what
    the limit is from a day within a year on.
    """

    ruling: str
    node: str
    question: str
    key: Key
    injury: int | None
    answer: str
    says: str
    basis: Basis
    limit: Limit | None = None
    figure: Measure | None = None
    ending: str = ""
    restrictions: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    verdict: Verdict | None = None
    doubt: frozenset[Key] = frozenset()
    table: str = ""
    soon: Later | None = None
    terms: tuple[str, ...] = ()

    @property
    def only_warns(self) -> bool:
        """Whether it brings nothing but cautions."""
        return self.verdict is None and not self.restrictions


class Possible(Struct, frozen=True):
    """A ruling that still could count: the verdicts it could bring, and the answers that leave it open."""

    ruling: Ruling | None
    node: str
    index: int
    verdicts: frozenset[Verdict]
    keys: frozenset[Key]


class Counted(Struct, frozen=True):
    """A ruling that counts, or (`ruling` None) an answer "can't tell" that has an ending, before it is put in words.

    `doubt` as in Reason; `verdict` None where it brings none by itself.
    """

    ruling: Ruling | None
    stop: Stop
    facts: Facts
    doubt: frozenset[Key]
    ending: str
    verdict: Verdict | None

    @property
    def restrictions(self) -> tuple[str, ...]:
        """The restrictions that it brings."""
        return self.ruling.restrictions if self.ruling else ()

    @property
    def cautions(self) -> tuple[str, ...]:
        """The cautions that it brings."""
        return self.ruling.cautions if self.ruling else ()


def worst(counted: Iterable[Counted]) -> Verdict:
    """The worst verdict of what counts; repair where nothing brings one."""
    return max([each.verdict for each in counted if each.verdict is not None], default=Verdict.REPAIR)


class InjuryVerdict(Struct, frozen=True):
    """What counts for one injury taken alone, with its number, before it is put in words."""

    index: int
    verdict: Verdict
    ending: str
    method: str
    also_allowed: tuple[str, ...]


class PartVerdict(Struct, frozen=True):
    """What counts for one injury taken alone."""

    verdict: Verdict
    ending: str
    method: str
    also_allowed: tuple[str, ...]
    reasons: tuple[Reason, ...]


class PlannedStep(Struct, frozen=True):
    """A step of the method for this tire; `injury` None where it is done once for the tire.

    `held` names the cautions that count now and hold the step: it is not to be done until they are gone. `cautions`
    are those of the step that fit the verdict, `restrictions` those to be said again here.
    `shown`: the answers show that it was done.
    """

    step: Step
    method: Method
    injury: int | None
    says: str
    held: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    restrictions: tuple[str, ...] = ()
    shown: bool = False


class PutInWords(Protocol):
    """What a judge adds to a judgement when somebody asks for it."""

    def reasons(self, judgement: Judgement) -> tuple[Reason, ...]:
        """All that counts, in words, those too that only warn."""
        ...

    def cautions(self, judgement: Judgement) -> tuple[str, ...]:
        """The cautions that count, by name."""
        ...

    def later(self, judgement: Judgement) -> tuple[Key, ...]:
        """The needed answers that are not asked for yet."""
        ...

    def sharper(self, judgement: Judgement) -> tuple[Verdict, ...]:
        """The verdicts that can still be reached."""
        ...


class Judgement(Struct, frozen=True, dict=True):
    """The whole judgement of a case under a rule set.

    Verdict, ending, method, restrictions and what is missing are there at once; reasons, cautions and what else is put
    in words come when they are first asked for.
    `each_alone` holds the verdicts left open when each ruling is looked at by itself, best first; `could_end` makes
    them sharper. `counted`: all that counts, in the order of the graph.
    """

    verdict: Verdict
    ending: str
    method: str
    also_allowed: tuple[str, ...]
    restrictions: tuple[str, ...]
    each_alone: tuple[Verdict, ...]
    missing: tuple[Key, ...]
    measure_again: tuple[Key, ...]
    possible: tuple[Possible, ...]
    counted: tuple[Counted, ...]
    each_injury: tuple[InjuryVerdict, ...]
    walk: Walk
    words: PutInWords

    @cached_property
    def _said(self) -> tuple[Reason, ...]:
        return self.words.reasons(self)

    @cached_property
    def reasons(self) -> tuple[Reason, ...]:
        """What brings the verdict, a restriction, or speaks for repair."""
        return tuple([reason for reason in self._said if not reason.only_warns])

    @cached_property
    def caution_reasons(self) -> tuple[Reason, ...]:
        """What brings cautions."""
        return tuple([reason for reason in self._said if reason.cautions])

    @cached_property
    def injuries(self) -> tuple[PartVerdict, ...]:
        """What counts for each injury taken alone."""
        return tuple(
            PartVerdict(
                each.verdict,
                each.ending,
                each.method,
                each.also_allowed,
                tuple(reason for reason in self.reasons if reason.injury == each.index),
            )
            for each in self.each_injury
        )

    @cached_property
    def cautions(self) -> tuple[str, ...]:
        """The cautions that count, each once."""
        return self.words.cautions(self)

    @cached_property
    def later(self) -> tuple[Key, ...]:
        """The needed answers that are not asked for yet, because what they are about can't be seen yet."""
        return self.words.later(self)

    @cached_property
    def could_end(self) -> tuple[Verdict, ...]:
        """The verdicts still possible, best first. Worked out when first asked for."""
        return self.words.sharper(self)

    @property
    def settled(self) -> bool:
        """Whether no answer still missing or in doubt could change the verdict."""
        return len(self.could_end) == 1

    @cached_property
    def values(self) -> Mapping[str, Value | None]:
        """Every worked-out value: by name for the tire, as `name[0]` for an injury. Worked out when first asked for."""
        tire, found = self.walk.tire, dict[str, Value | None]()
        known = {facts.index: facts.values() for facts in tire.each("injuries")}
        of_tire = tire.values()
        for name, value in tire.rules.values.items():
            if value.over == "tire":
                found[name] = of_tire[name]
            elif value.over == "injuries":
                for index, values in known.items():
                    found[f"{name}[{index}]"] = values[name]
        return found

    @property
    def not_given(self) -> tuple[Key, ...]:
        """What is still to be answered, now or later, in the order of asking."""
        lacking = {*self.missing, *self.later}
        return self.walk.in_order(lacking) if lacking else ()

    @property
    def deciding(self) -> tuple[Reason, ...]:
        """The reasons that bring the verdict by themselves; for a repair those that speak for it."""
        return tuple(reason for reason in self.reasons if reason.verdict == self.verdict)
