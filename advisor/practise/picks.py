"""Which tire comes next: those of a set in their order, else what is due, else what was never tried."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import datetime

from msgspec import Struct

from advisor.model.problems import Place, Problem, Problems, closest, shown
from advisor.model.ruleset import RuleSet
from advisor.practise.chance import Chance
from advisor.practise.learned import Learned, due_now, never_tried
from advisor.practise.made_up import MadeUpTire
from advisor.practise.tire_maker import TireMaker, drawn, fitting
from advisor.practise.tire_plan import MIXED, THEMES, PlannedTire

_MOST_TIRES = 200
_SHORT = 8


class TireSet(Struct, frozen=True):
    """A fixed set, which one line hands out: the same tires for whoever is given it."""

    rules: str
    edition: str
    seed: str
    theme: str = MIXED
    tires: int = 10
    level: int = 0
    digest: str = ""

    @property
    def line(self) -> str:
        """The line to hand out."""
        level = f" level {self.level}" if self.level else ""
        digest = f" digest {self.digest[:_SHORT]}" if self.digest else ""
        return f"{self.rules} {self.edition}{digest} seed {self.seed} theme {self.theme} tires {self.tires}{level}"


_LINE = re.compile(
    r"(?P<rules>\S+) (?P<edition>.+?)(?: digest (?P<digest>[0-9a-f]+))? seed (?P<seed>[\w-]{1,20})"
    r"(?: theme (?P<theme>\S+))?(?: tires (?P<tires>\d{1,3}))?(?: level (?P<level>\d))?"
)
EXAMPLE = "us-road 2026-11-29 seed 7 theme size tires 10"


def set_of(line: str) -> TireSet:
    """The set that a line names. Raises Problems."""
    found = _LINE.fullmatch(" ".join(line.split()))
    if found is None:
        raise _bad_set(f'"{shown(line, 100)}" as a set', f'a line such as "{EXAMPLE}"')
    theme = found["theme"] or MIXED
    if theme not in THEMES:
        raise _bad_set(f'the theme "{shown(theme, 40)}"', f"one of: {', '.join(THEMES)}", closest(theme, THEMES))
    tires = int(found["tires"] or 10)
    if not 0 < tires <= _MOST_TIRES or found["level"] not in (None, "1", "2", "3"):
        raise _bad_set(f'"{shown(line, 100)}" as a set', f"1 to {_MOST_TIRES} tires, and a level from 1 to 3")
    return TireSet(
        found["rules"], found["edition"], found["seed"], theme, tires, int(found["level"] or 0), found["digest"] or ""
    )


def check_edition(wanted: TireSet, rules: RuleSet) -> None:
    """Refuses a set of another edition, which would be other tires. Raises Problems."""
    about = rules.about
    if (wanted.rules, wanted.edition) != (about.id, about.edition) or not rules.digest.startswith(wanted.digest):
        here = f"{about.id}, edition {about.edition}, digest {rules.digest[:_SHORT]}"
        there = f"{wanted.rules}, edition {wanted.edition}" + (f", digest {wanted.digest}" if wanted.digest else "")
        do = "ask for a new line, or practise with the rules it was made with; other rules make other tires"
        raise Problems([Problem("other-edition", Place("command line"), f"a set of {there}", f"a set of {here}", do)])


def _bad_set(found: str, expected: str, nearest: tuple[str, ...] = ()) -> Problems:
    return Problems([Problem("bad-set", Place("command line"), found, expected, "see --help", nearest)])


def tires_of(wanted: TireSet, maker: TireMaker) -> Iterator[MadeUpTire]:
    """The tires of a set, in their order."""
    for number, item in enumerate(drawn(maker.whole(), wanted.theme, wanted.level, wanted.tires, wanted.seed), 1):
        yield maker.made(item, f"{wanted.seed}-{number}")


class FreePick(Struct, frozen=True):
    """How tires are picked where no set says it: theme, level, and the seed of this sitting."""

    theme: str
    level: int
    seed: str

    def item(self, maker: TireMaker, record: Learned, at: datetime, shown_before: Sequence[str]) -> PlannedTire:
        """What comes next: due first, then what was never tried, then anything."""
        plan = maker.whole() if shown_before else maker.plan
        lot = fitting(plan, self.theme, self.level) or list(plan.tires)
        chance = Chance("free", self.seed, len(shown_before))
        fresh = [each for each in lot if each.item not in shown_before] or lot
        for due in due_now(record, maker.rules, at):
            found = [each for each in fresh if due.item in each.trains]
            if found:
                return chance.pick(found)
        new = set(never_tried(record, (name for each in lot for name in each.trains)))
        untried = [each for each in fresh if new & set(each.trains)] or fresh
        verdicts = sorted({each.verdict for each in untried})
        wanted = verdicts[len(shown_before) % len(verdicts)]
        return chance.pick([each for each in untried if each.verdict == wanted])
