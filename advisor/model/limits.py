"""Sources, standings and limits: what a figure says, what it rests on, and which side of it is worse."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from advisor.model.quantity import Measure

STANDINGS = (
    "published",
    "second-hand",
    "common practice",
    "derived",
    "from memory",
    "invented for the demo",
)
#: Standings that rest on no text that can be looked up; the screen says so.
UNSOURCED = frozenset({"common practice", "from memory", "invented for the demo"})
_BY_KIND = {
    "memory": "from memory",
    "derived": "derived",
    "house rule": "invented for the demo",
    "trade press": "common practice",
}
_BY_READING = {"first hand": "published", "second hand": "second-hand", "not seen": "from memory"}
#: Standings by which, alone, nothing is scrapped and nothing passes.
NEVER_ALONE = frozenset({"common practice", "from memory"})


def firmness(standing: str) -> int:
    """The place of a standing from the firmest on; one that is none comes last."""
    return STANDINGS.index(standing) if standing in STANDINGS else len(STANDINGS)


class Source(Struct, frozen=True):
    """A text that limits rest on. `binds`: for a law that does not bind everybody, whom it does."""

    id: str
    title: str
    publisher: str
    edition: str
    kind: str
    read: str
    binds: str = ""

    @property
    def gives(self) -> str:
        """The standing of what rests on it and says none: by its kind, else by how it was read."""
        return _BY_KIND.get(self.kind) or _BY_READING.get(self.read, "")

    @property
    def has_clauses(self) -> bool:
        """Whether a place in it can be named."""
        return self.kind not in _BY_KIND


class Basis(Struct, frozen=True):
    """What a limit or ruling rests on: standing, sources by id, clause."""

    standing: str
    sources: tuple[str, ...]
    clause: str


class Limit(Struct, frozen=True):
    """A named figure, given once or in two unit families as printed.

    `worse` is `above`, `below` or empty for a figure that only wording and steps use. `later`: what it is
    from a day on.
    """

    id: str
    says: str
    figures: tuple[Measure, ...]
    worse: str
    at_limit_passes: bool
    basis: Basis
    note: str = ""
    formerly: tuple[str, ...] = ()
    later: tuple[Later, ...] = ()

    def on(self, day: date) -> Limit:
        """The limit as it stands on a day, with what comes after."""
        begun = [each.limit for each in self.later if each.day <= day]
        return replace(begun[-1] if begun else self, later=self.later[len(begun) :])

    def said(self) -> Measure:
        """Its first figure, for words that stand for it."""
        figure = self.figures[0]
        return replace(figure, typed=f"{figure}, {self.basis.standing}")

    def soon(self, today: date | None) -> Later | None:
        """What it is from a day on that comes within a year; None where none does."""
        begins = [each for each in self.later if today is not None and today < each.day <= today + timedelta(days=366)]
        return begins[0] if begins else None

    def figure_for(self, measure: Measure) -> Measure:
        """The figure to hold a measure against: the one printed in its unit family, else the first one."""
        if len(self.figures) > 1:
            family = measure.compared_in
            for figure in self.figures:
                if figure.compared_in == family:
                    return figure
        return self.figures[0]

    def is_beyond(self, measure: Measure) -> bool | None:
        """Whether a measure lies on the worse side; None when its range straddles the limit."""
        figure = self.figure_for(measure)
        limit, reading = figure.low, measure.to(figure.unit)
        mild, bad = (reading.low, reading.high) if self.worse == "above" else (reading.high, reading.low)
        if mild is bad or self._past(mild, limit):
            return self._past(mild, limit)
        return None if self._past(bad, limit) else False

    def _past(self, reading: Fraction, limit: Fraction) -> bool:
        (over, under), (limit_over, limit_under) = reading.as_integer_ratio(), limit.as_integer_ratio()
        here, there = over * limit_under, limit_over * under  # in whole numbers: a Fraction's own signs take longer
        if here == there:
            return not self.at_limit_passes
        return here > there if self.worse == "above" else here < there


class Later(Struct, frozen=True):
    """A limit from a day on."""

    day: date
    limit: Limit
