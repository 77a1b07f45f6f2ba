"""Why a verdict is what it is, as data: what every way of asking why, and the report, are made of."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct

from advisor.engine.conditions import compiled, row_tested
from advisor.engine.evaluator import Judge
from advisor.engine.facts import Facts
from advisor.engine.judgement_types import Judgement, Reason
from advisor.engine.templates import limit_in_words, value_in_words
from advisor.model.case import Key, Readings
from advisor.model.quantity import Measure
from advisor.model.ruleset import Condition, Join, Leaf, RuleSet, Ruling, Verdict
from advisor.wording.messages import headline


class Explanation(Struct, frozen=True):
    """`core`: the answers that bring the verdict; `rest`: those that keep it from being another one.

    `steps`: the rulings that bring it, or all that hold where none does; `others` hold as well. `passed`: the limits
    held against the answers and not exceeded. `open`: the questions whose answers could still change the verdict.
    """

    headline: str
    verdict: Verdict
    core: tuple[Key, ...]
    rest: tuple[Key, ...]
    steps: tuple[Reason, ...]
    others: tuple[Reason, ...]
    passed: tuple[str, ...]
    open: tuple[Key, ...]

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """Every ruling that holds, those that bring the verdict first."""
        return (*self.steps, *self.others)


def explain(judge: Judge, now: Judgement, core: tuple[Key, ...] = (), rest: tuple[Key, ...] = ()) -> Explanation:
    """The explanation of a judgement; the shortest reason is handed in, since finding it takes long."""
    steps = tuple(now.deciding or now.reasons)
    return Explanation(
        headline=headline(now, judge),
        verdict=now.verdict,
        core=core,
        rest=rest,
        steps=steps,
        others=tuple(reason for reason in now.reasons if reason not in steps),
        passed=tuple(dict.fromkeys(_passed(now, judge.rules))),
        open=() if now.settled else now.missing,
    )


def _passed(judgement: Judgement, rules: RuleSet) -> Iterator[str]:
    """The limits that decide elsewhere, held against the answers and not exceeded."""
    for visit in judgement.walk.visits:
        for ruling, _ in visit.stop.rulings:
            leaf = kept_limit(ruling, visit.facts, rules) if ruling.counts else None
            if leaf is not None:
                limit = rules.limits[leaf.operand[0]]
                here = value_in_words(visit.facts.get(leaf.subject), rules.questions.get(leaf.subject))
                yield f"{limit.says}: {limit_in_words(limit)} ({limit.basis.standing}); here {here}"


def kept_limit(ruling: Ruling, facts: Facts, rules: RuleSet) -> Leaf | None:
    """The test against a limit that alone keeps a ruling from holding, or None."""
    parts = ruling.when.parts if isinstance(ruling.when, Join) and ruling.when.how == "all" else (ruling.when,)
    tests = [(part, leaf) for part in parts if (leaf := _beyond(part, facts, rules)) is not None]
    if len(tests) != 1 or compiled(tests[0][0], rules)(facts) is not False:
        return None
    (test, leaf), *_ = tests
    applies = all(compiled(part, rules)(facts) is True for part in parts if part is not test)
    return leaf if applies and isinstance(facts.get(leaf.subject), Measure | Readings) else None


def _beyond(part: Condition, facts: Facts, rules: RuleSet) -> Leaf | None:
    """A test for lying beyond a limit, or beyond the one that a table has here."""
    leaf = row_tested(part, facts, rules) if isinstance(part, Leaf) or part.table else None
    return leaf if leaf is not None and leaf.test == "beyond" else None
