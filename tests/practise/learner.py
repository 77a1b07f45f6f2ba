"""A simulated newcomer, seeded, with the slips that newcomers make; plays a set through the plain face.

`python -m tests.practise.learner [RULES [TIRES]]` prints the figures that a trainer sees of it.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

from advisor.console import practise_lines as face
from advisor.console.session_lines import message_lines
from advisor.model.quantity import Measure
from advisor.practise.chance import Chance
from advisor.practise.grading import reason_questions, wanted_limits
from advisor.practise.job import (
    LIMIT,
    METHOD,
    REASON,
    RESTRICTIONS,
    SOURCE,
    VERDICT,
    WHOSE,
    field_of,
    offered,
    whose_of,
)
from advisor.practise.learned import Learned, read_record
from advisor.practise.looking import DEMOUNT, INSIDE, ways_of
from advisor.practise.picks import TireSet, tires_of
from advisor.practise.results import learned_blocks
from advisor.practise.sitting import Round, Sitting
from advisor.practise.tire_maker import TireMaker
from advisor.wording.messages import Message
from tests.practise.support import AT, maker

#: How often of a hundred it slips, tire for tire; it gets better as it goes.
SLIPS = {
    "decides before demounting": 20,
    "takes the reading that fits": 60,
    "forgets a restriction": 40,
    "scraps to be safe": 10,
    "does not know the figure": 40,
    "takes habit for law": 40,
}


class Newcomer:
    """Types what a newcomer would: it knows the answer as the rules have it, and slips on some of it."""

    def __init__(self, making: TireMaker, seed: str) -> None:
        self.making, self.seed = making, seed
        self.now: Round | None = None

    def slips(self, what: str) -> bool:
        assert self.now is not None
        rarer = max(0, 100 - 3 * self.now.number)
        drawn = Chance("newcomer", self.seed, what, self.now.number).below(100)
        return drawn < SLIPS[what] * rarer // 100

    def typed(self, sitting: Sitting) -> Iterator[str]:
        """Line after line, by what is on the table."""
        while True:
            assert self.now is not None
            if self.now.grade is not None:
                yield "next"
                continue
            if not self.now.job.deciding:
                yield from self._looks(sitting)
                yield "decide"
                continue
            yield self._said(sitting)

    def _looks(self, sitting: Sitting) -> Iterator[str]:
        assert self.now is not None
        for way in ways_of(self.now.job.tire, sitting.rules):
            if way.id in (DEMOUNT, INSIDE) and self.slips("decides before demounting"):
                continue
            yield way.says

    def _said(self, sitting: Sitting) -> str:
        assert self.now is not None
        job, judge, rules = self.now.job, sitting.judge, sitting.rules
        truth, field = judge.judge(job.tire.case), field_of(self.now.job)
        if field == VERDICT:
            if truth.measure_again and self.slips("takes the reading that fits"):
                return "repair"
            return "scrap" if self.slips("scraps to be safe") else str(truth.verdict)
        if field == REASON:
            decide, _ = reason_questions(truth, judge)
            known = [each for each in offered(REASON, job, rules) if each.id in decide]
            return known[0].id if known else "1"
        if field == LIMIT:
            limits = wanted_limits(truth, judge)
            if not limits:
                return "none"
            figure: Measure = limits[0].figures[0]
            off = Measure(figure.low * 3 / 2, figure.low * 3 / 2, figure.unit)
            return str(off if self.slips("does not know the figure") else figure)
        if field == SOURCE:
            if self.slips("takes habit for law"):
                return WHOSE["law"]
            own = [whose for reason in truth.deciding for whose in whose_of(reason.basis, rules)]
            return WHOSE[own[0]] if own else "1"
        if field == METHOD:
            return truth.method or "no method"
        if field == RESTRICTIONS:
            left = truth.restrictions[1:] if self.slips("forgets a restriction") else truth.restrictions
            return ", ".join(left) or "none"
        return "4"


class Watched(Sitting):
    """A sitting that shows its table to the newcomer, who types by it."""

    newcomer: Newcomer

    def begin(self) -> Round | None:
        found = super().begin()
        self.newcomer.now = found
        return found


def played(rules: str, tires: int, seed: str, folder: Path) -> list[str]:
    """The lines of a sitting in which a newcomer plays a fixed set through."""
    making = maker(rules)
    about = making.rules.about
    wanted = TireSet(about.id, about.edition, seed, tires=tires)
    newcomer = Newcomer(making, seed)
    sitting = Watched(
        making, lambda: AT, Learned("Newcomer"), folder, tires_of(wanted, making), None, tires, wanted.line
    )
    sitting.newcomer = newcomer
    take = face.take_line

    def watched(table: Sitting, now: Round, text: str) -> object:
        found = take(table, now, text)
        newcomer.now = found[0]
        return found

    face.take_line = watched  # type: ignore[assignment]
    try:
        return list(face.practise_lines(sitting, newcomer.typed(sitting), lambda text: None))
    finally:
        face.take_line = take


def figures(rules: str, tires: int, seed: str = "1") -> list[str]:
    """What the trainer sees printed after a newcomer's first tires."""
    with tempfile.TemporaryDirectory() as folder:
        played(rules, tires, seed, Path(folder))
        record = read_record(Path(folder), "Newcomer")
        return message_lines(Message("practice", tuple(learned_blocks(record, maker(rules).rules, AT))))


if __name__ == "__main__":
    name, count = (sys.argv[1:] + ["us-road", "20"][len(sys.argv) - 1 :])[:2]
    print("\n".join(figures(name, int(count))))
