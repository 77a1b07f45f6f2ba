"""The plan of a rule set: all its conditions as bits, so that one look at each fact decides all of them at once.

A condition is written out as one or more terms, each a conjunction of tests or of their denials, by the distributive
and De Morgan's laws, which hold for three values as for two. Every term has a bit. What is seen of a question or
worked-out value rules some terms out and leaves some open; a condition is yes where one of its terms is neither, no
where all are ruled out, else open (conditions.py says which answers leave it open).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from itertools import product

from advisor.engine.conditions import tested
from advisor.engine.facts import Facts, Value
from advisor.model.case import CANT_TELL
from advisor.model.ruleset import Condition, Leaf, RuleSet

#: A test, and whether it is denied.
Literal = tuple[Leaf, bool]
Conjunction = frozenset[Literal]
#: Where there is no condition: a term that nothing rules out.
NO_CONDITION = 1


class Sight:
    """What the conditions see of one question or worked-out value."""

    __slots__ = ("_literals", "_rules", "known", "name", "terms")
    #: So many values are kept with their marks before all are let go.
    MOST = 20_000

    def __init__(self, name: str, rules: RuleSet) -> None:
        self.name, self.terms, self._rules = name, 0, rules
        self._literals: dict[Leaf, list[int]] = {}
        self.known: dict[Value | None, tuple[int, int]] = {}

    def add(self, leaf: Leaf, denied: bool, bit: int) -> None:
        """A term in which a test of it stands."""
        self._literals.setdefault(leaf, [0, 0])[denied] |= bit
        self.terms |= bit
        self.known.clear()

    def marks(self, value: Value | None) -> tuple[int, int]:
        """The terms that a value rules out, and those that it leaves open."""
        found = self.known.get(value)
        if found is None:
            if len(self.known) >= self.MOST:
                self.known.clear()
            found = self.known[value] = self._marks(value)
        return found

    def _marks(self, value: Value | None) -> tuple[int, int]:
        out = left_open = 0
        for leaf, (wanted, denied) in self._literals.items():
            state = tested(leaf, self._rules)(value)
            if state is None:
                left_open |= wanted | denied
            else:
                out |= denied if state else wanted
        return out, left_open


class SeenHere:
    """What counts at one place of a case: the terms that hold (`sure`), and those not ruled out (`alive`)."""

    __slots__ = ("alive", "left_open", "out", "sure")

    def __init__(self, out: int, left_open: int, every: int, unseen: int = 0) -> None:
        self.out, self.left_open = out, left_open
        self.alive = every & ~out
        self.sure = self.alive & ~(left_open | unseen)

    @classmethod
    def of_terms(cls, alive: int, sure: int) -> SeenHere:
        """What counts where it is known which terms are not ruled out, and which hold."""
        return cls(~alive, alive & ~sure, alive)

    def state(self, terms: int) -> bool | None:
        """Whether a condition holds; None while it is open."""
        return True if self.sure & terms else None if self.alive & terms else False


class Plan:
    """The conditions of a rule set as terms, and what of a case decides them."""

    def __init__(self, rules: RuleSet) -> None:
        self.rules = rules
        self.every = NO_CONDITION
        self._bits: dict[Conjunction, int] = {}
        self._masks: dict[Condition, int] = {}
        self._sights: dict[str, Sight] = {}
        self._by_over: dict[str, tuple[dict[str, Sight], list[Sight]]] = {}
        self._unseen: dict[str, int] = {}
        self._unanswered: dict[tuple[str, ...], tuple[int, int]] = {}

    def terms(self, condition: Condition | None) -> int:
        """The bits of a condition's terms."""
        if condition is None:
            return NO_CONDITION
        found = self._masks.get(condition)
        if found is None:
            found = 0
            for term in as_conjunctions(condition):
                found |= self._bit(term)
            self._masks[condition] = found
        return found

    def _bit(self, term: Conjunction) -> int:
        bit = self._bits.get(term)
        if bit is None:
            bit = self._bits[term] = 2 << len(self._bits)
            self.every |= bit
            self._unanswered.clear()
            for leaf, denied in term:
                self._sight(leaf.subject).add(leaf, denied, bit)
        return bit

    def _sight(self, name: str) -> Sight:
        found = self._sights.get(name)
        if found is None:
            found = self._sights[name] = Sight(name, self.rules)
            over = self.rules.over_of(name)
            asked, worked_out = self._by_over.setdefault(over, ({}, []))
            if name in self.rules.questions:
                asked[name] = found
            else:
                worked_out.append(found)
        return found

    def sights(self, over: str) -> tuple[dict[str, Sight], list[Sight]]:
        """What the conditions see of the questions of a part, by name, and of its worked-out values."""
        return self._by_over.get(over, _NONE)

    def see(self, facts: Facts, tire: SeenHere | None = None) -> SeenHere:
        """All that is known at one place; what is worked out only where a term still hangs on it.

        `tire`: what is seen of the tire, for an injury or an earlier repair.
        """
        out, left_open = (0, 0) if tire is None else (tire.out, tire.left_open)
        answers, counts_as = facts.answers, facts.counts_as
        asked, worked_out = self._by_over.get(facts.over, _NONE)
        no, maybe = self._unanswered.get((facts.over, *answers)) or self.of_unanswered(facts.over, answers)
        out |= no
        left_open |= maybe
        value: Value | None
        for name, value in answers.items():
            if (sight := asked.get(name)) is not None:
                if value is CANT_TELL:
                    value = counts_as.get(name, value)
                no, maybe = sight.known.get(value) or sight.marks(value)
                out |= no
                left_open |= maybe
        for sight in worked_out:
            if sight.terms & ~out:
                value = facts.look(sight.name)[0]
                no, maybe = sight.known.get(value) or sight.marks(value)
                out |= no
                left_open |= maybe
        return SeenHere(out, left_open, self.every, self.not_seen_from(facts.over))

    def of_unanswered(self, over: str, answers: Iterable[str]) -> tuple[int, int]:
        """The terms that unanswered questions rule out, and those that they leave open, where these are answered."""
        given, out, left_open = set(answers), 0, 0
        for name, sight in self._by_over.get(over, _NONE)[0].items():
            if name not in given:
                no, maybe = sight.marks(None)
                out |= no
                left_open |= maybe
        if len(self._unanswered) >= Sight.MOST:
            self._unanswered.clear()
        self._unanswered[over, *answers] = out, left_open
        return out, left_open

    def see_again(self, facts: Facts, tire: SeenHere | None = None) -> SeenHere:
        """The same where a case follows another: what was seen of a name is known where nothing of it changed."""
        out, left_open = (0, 0) if tire is None else (tire.out, tire.left_open)
        asked, worked_out = self._by_over.get(facts.over, _NONE)
        marked, known = facts.marked, list[str]()
        for sight in asked.values():
            marks = marked.get(sight.name)
            if marks is None:
                value: Value | None = facts.answers.get(sight.name)
                if value is CANT_TELL:
                    value = facts.counts_as.get(sight.name, value)
                marks = marked[sight.name] = sight.marks(value)
            out |= marks[0]
            left_open |= marks[1]
        for sight in worked_out:
            if sight.terms & ~out:
                marks = marked.get(sight.name)
                if marks is None:
                    marks = marked[sight.name] = sight.marks(facts.get(sight.name))
                else:
                    known.append(sight.name)
                out |= marks[0]
                left_open |= marks[1]
        if known:
            facts.take_up(known)
        unseen = self._unseen.get(facts.over)
        return SeenHere(out, left_open, self.every, self.not_seen_from(facts.over) if unseen is None else unseen)

    def marks_of(self, looks: Mapping[str, tuple[Value | None, object]]) -> tuple[int, int]:
        """The terms that these values rule out, and those that they leave open."""
        out = left_open = 0
        for name, (value, _) in looks.items():
            sight = self._sights.get(name)
            if sight is not None:
                no, maybe = sight.marks(value)
                out |= no
                left_open |= maybe
        return out, left_open

    def not_seen_from(self, over: str) -> int:
        """The terms about what belongs to another injury or repair: they stay open."""
        found = self._unseen.get(over)
        if found is None:
            found = 0
            for other, (asked, worked_out) in self._by_over.items():
                if other not in (over, "tire"):
                    for sight in (*asked.values(), *worked_out):
                        found |= sight.terms
            self._unseen[over] = found
        return found


_NONE: tuple[dict[str, Sight], list[Sight]] = ({}, [])


def _fewest(terms: Iterable[Conjunction]) -> frozenset[Conjunction]:
    every = set(terms)
    return frozenset(term for term in every if not any(other < term for other in every))


def as_conjunctions(
    condition: Condition,
    denied: bool = False,
    kept: Callable[[Iterable[Conjunction]], frozenset[Conjunction]] = _fewest,
) -> frozenset[Conjunction]:
    """A condition as terms of which one at least has to hold; those that another one makes superfluous left out."""
    if isinstance(condition, Leaf):
        return frozenset({frozenset({(condition, denied)})})
    if condition.how == "not":
        return as_conjunctions(condition.parts[0], not denied, kept)
    parts = [as_conjunctions(part, denied, kept) for part in condition.parts]
    if (condition.how == "any") is not denied:
        return kept(term for part in parts for term in part)
    return kept(frozenset[Literal]().union(*choice) for choice in product(*parts))


def absorbs(condition: Condition) -> bool:
    """Whether some of its terms are superfluous, so that what it looks at is more than what its terms look at."""
    return as_conjunctions(condition) != as_conjunctions(condition, kept=frozenset)
