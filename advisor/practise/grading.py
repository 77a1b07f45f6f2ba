"""Holds a learner's own verdict against the rules', part by part; what is wrong to the unsafe side stands apart."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from msgspec import Struct

from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement, Reason
from advisor.engine.templates import limit_in_words
from advisor.explain.least_change import TurningPoint, turns
from advisor.model import inputs
from advisor.model.case import Case, Key
from advisor.model.quantity import Measure, exactly
from advisor.model.ruleset import Limit, RuleSet, Verdict, leaves
from advisor.practise.job import (
    LIMIT,
    METHOD,
    NONE,
    NOTHING_AGAINST,
    REASON,
    RESTRICTIONS,
    SOURCE,
    VERDICT,
    WHOSE,
    Job,
    whose_of,
)
from advisor.practise.looking import (
    DEMOUNT,
    INSIDE,
    can_be_seen,
    comes_off,
    inside_bare,
    seen,
    too_late,
)
from advisor.practise.made_up import places_of, with_answers
from advisor.tools.verify.boundary_values import INPUTS
from advisor.wording.verdict_card import questions_in_words

RIGHT, NEAR, WRONG, UNSAFE, CAREFUL, NOT_ASKED = "right", "near", "wrong", "unsafe", "careful", "not asked"
LOOKED = "looking"
#: The parts of a grade, in the order in which they are shown.
GRADED_PARTS = (VERDICT, REASON, LIMIT, SOURCE, METHOD, RESTRICTIONS, LOOKED)
#: From here on of four a learner was sure.
SURE_FROM = 3
#: What a mark weighs in the figures: wrong to the unsafe side counts five times, too careful not at all.
WEIGHTS = {RIGHT: 0, NEAR: 0, NOT_ASKED: 0, CAREFUL: 0, WRONG: 1, UNSAFE: 5}
#: How far a limit from memory may be off to count as near, as a share of it; and what rounding may take.
_NEAR_SHARE, _SAME_SHARE = Fraction(1, 5), Fraction(2, 100)


class GradeMark(Struct, frozen=True):
    """One part of a grade: how it was, what was said, and what the rules have."""

    part: str
    mark: str
    said: str
    rules: str
    note: str = ""


class Grade(Struct, frozen=True):
    """All the marks of a job, with what the rules say of all that could be found out."""

    marks: tuple[GradeMark, ...]
    judgement: Judgement
    faults: tuple[str, ...]
    sure: int

    def of(self, part: str) -> GradeMark:
        """The mark of a part."""
        return next(each for each in self.marks if each.part == part)

    @property
    def unsafe(self) -> bool:
        """Whether anything is wrong to the unsafe side."""
        return any(each.mark == UNSAFE for each in self.marks)

    @property
    def sure_and_wrong(self) -> bool:
        """Whether the verdict was wrong, and the learner sure."""
        return self.sure >= SURE_FROM and self.of(VERDICT).mark in (WRONG, UNSAFE, CAREFUL)

    @property
    def weight(self) -> int:
        """What was wrong, weighed."""
        return sum(WEIGHTS[each.mark] for each in self.marks)


def graded(job: Job, judge: Judge) -> Grade:
    """The grade of a job in which everything was said."""
    rules = judge.rules
    now = judge.judge(can_be_seen(job.tire, job.looked, rules))
    faults = tuple(looking_faults(job, judge))
    marks = (
        _verdict(job, now),
        _reason(job, now, judge),
        _limit(job, now, judge),
        _source(job, now, rules),
        _method(job, now, rules),
        _restrictions(job, now, rules),
        GradeMark(
            LOOKED, WRONG if faults else RIGHT, "; ".join(faults), "" if not faults else "look first, then decide"
        ),
    )
    return Grade(marks, now, faults, job.own.sure)


def _verdict(job: Job, now: Judgement) -> GradeMark:
    said, wanted = job.own.verdict, str(now.verdict)
    order = [str(each) for each in Verdict]
    better = order.index(said) < now.verdict
    if said == wanted:
        mark = RIGHT
    elif better and said in (str(Verdict.REPAIR), str(Verdict.REFER)):
        mark = UNSAFE
    else:
        mark = WRONG if better else CAREFUL
    return GradeMark(VERDICT, mark, said, wanted)


def deciding_reasons(now: Judgement) -> tuple[Reason, ...]:
    """The reasons that bring the verdict; where doubt about a method alone does, those that count at all."""
    return now.deciding or now.reasons


def reason_questions(now: Judgement, judge: Judge) -> tuple[set[str], set[str]]:
    """The questions that decide, and those that are beside them in the same rulings."""
    rules = judge.rules
    rulings = {ruling.id: ruling for ruling in rules.rulings()}
    decide, beside = {name for name, _ in now.measure_again}, set[str]()
    for reason in now.deciding:
        decide |= {reason.question} if reason.question else set()
        decide |= {name for name, _ in reason.doubt}
        ruling = rulings.get(reason.ruling)
        for leaf in leaves(ruling.when) if ruling is not None else ():
            names = set(_roots(leaf.subject, rules))
            if leaf.test in ("beyond", "within"):
                decide |= names
            else:
                beside |= names
    return decide, beside - decide


def _roots(name: str, rules: RuleSet) -> Iterator[str]:
    if name in rules.questions:
        yield name
    elif name in rules.values:
        known = map(rules.question_now, INPUTS.get(rules.values[name].function, ()))
        yield from (each for each in known if each in rules.questions)


def _reason(job: Job, now: Judgement, judge: Judge) -> GradeMark:
    rules, said = judge.rules, job.own.reason
    decide, beside = reason_questions(now, judge)
    words = ", ".join(rules.questions[name].name for name in rules.questions if name in decide) or "nothing"
    if now.verdict is Verdict.REPAIR:
        near = {turn.key[0] for turn in nearest_turns(judge, now.walk.tire.case, now)}
        decide |= near | {NOTHING_AGAINST}
        words = f"nothing speaks against it{f'; nearest: {_nearest(now, judge)}' if near else ''}"
    said_words = "nothing" if said == NOTHING_AGAINST else rules.questions[said].name
    mark = RIGHT if said in decide else NEAR if said in beside else WRONG
    return GradeMark(REASON, mark, said_words, words)


def _nearest(now: Judgement, judge: Judge) -> str:
    first = nearest_turns(judge, now.walk.tire.case, now)[0]
    return judge.rules.questions[first.key[0]].name


def nearest_turns(judge: Judge, case: Case, now: Judgement) -> list[TurningPoint]:
    """The figures at which the verdict turns, the nearest first; readings that lie apart count as their middle.

    Where their spread is what decides, they stay as they are.
    """
    middle = case
    for where, answer in places_of(case):
        if isinstance(answer, Measure) and not answer.exact:
            middle = with_answers(middle, {where: exactly((answer.low + answer.high) / 2, answer.unit)})
    there = judge.judge(middle)
    same = (there.verdict, there.ending, there.method, there.measure_again) == (
        now.verdict,
        now.ending,
        now.method,
        now.measure_again,
    )
    found = turns(judge, middle, there) if same else turns(judge, case, now)
    return sorted(found, key=lambda turn: turn.share)


def wanted_limits(now: Judgement, judge: Judge) -> list[Limit]:
    """The limits on which the verdict rests."""
    found = {reason.limit.id: reason.limit for reason in now.deciding if reason.limit is not None}
    if not found and now.measure_again:
        for limit in _straddled(now, judge):
            found[limit.id] = limit
    return list(found.values())


def _straddled(now: Judgement, judge: Judge) -> Iterator[Limit]:
    """The limits of methods across which a reading lies."""
    for method in judge.rules.methods.values():
        for leaf in leaves(method.when):
            if leaf.test in ("beyond", "within"):
                limit = judge.rules.limits[leaf.operand[0]]
                for facts in now.walk.tire.each(inputs.OVER_INJURIES):
                    value = facts.get(leaf.subject)
                    if isinstance(value, Measure) and limit.is_beyond(value) is None:
                        yield limit


def _limit(job: Job, now: Judgement, judge: Judge) -> GradeMark:
    said, limits = job.own.limit, wanted_limits(now, judge)
    words = "; ".join(f"{limit_in_words(limit)}, {limit.says}" for limit in limits) or "none"
    if said is None:
        return GradeMark(LIMIT, RIGHT if not limits else WRONG, "none", words)
    off = [share for limit in limits for share in _off(said, limit)]
    if not off:
        return GradeMark(LIMIT, WRONG, str(said), words)
    least = min(off)
    mark = RIGHT if least <= _SAME_SHARE else NEAR if least <= _NEAR_SHARE else WRONG
    note = "" if mark == RIGHT else f"off by {round(least * 100)} %"
    return GradeMark(LIMIT, mark, str(said), words, note)


def _off(said: Measure, limit: Limit) -> Iterator[Fraction]:
    """How far a figure from memory is off each of a limit's, as a share of it."""
    for figure in limit.figures:
        if figure.quantity == said.quantity:
            here, there = said.to(figure.unit).low, figure.low
            yield abs(here - there) / abs(there) if there else Fraction(0 if here == there else 1)


def _source(job: Job, now: Judgement, rules: RuleSet) -> GradeMark:
    wanted = set[str]().union(*(whose_of(reason.basis, rules) for reason in deciding_reasons(now)))
    said = job.own.source
    words = "; ".join(says for id, says in WHOSE.items() if id in wanted)
    if not wanted:
        return GradeMark(SOURCE, NOT_ASKED, WHOSE[said], "no ruling decides")
    return GradeMark(SOURCE, RIGHT if said in wanted else WRONG, WHOSE[said], words)


def _method(job: Job, now: Judgement, rules: RuleSet) -> GradeMark:
    said, wanted = job.own.method, now.method
    if not said:
        return GradeMark(METHOD, NOT_ASKED, "", _title(wanted, rules))
    if said in (wanted or NONE, *now.also_allowed):
        return GradeMark(METHOD, RIGHT, _title(said, rules), _title(wanted, rules))
    lesser = said in rules.methods and wanted in rules.methods and rules.methods[said].rank < rules.methods[wanted].rank
    mark = UNSAFE if lesser else WRONG
    return GradeMark(METHOD, mark, _title(said, rules), _title(wanted, rules))


def _title(name: str, rules: RuleSet) -> str:
    return rules.methods[name].title if name in rules.methods else "no method"


def _restrictions(job: Job, now: Judgement, rules: RuleSet) -> GradeMark:
    wanted = set(now.restrictions)
    words = "; ".join(rules.restrictions[name].says for name in rules.restrictions if name in wanted) or "none"
    if job.own.restrictions is None:
        return GradeMark(RESTRICTIONS, NOT_ASKED, "", words)
    said = set(job.own.restrictions)
    own = "; ".join(rules.restrictions[name].says for name in rules.restrictions if name in said) or "none"
    mark = RIGHT if said == wanted else UNSAFE if wanted - said else CAREFUL
    return GradeMark(RESTRICTIONS, mark, own, words)


def looking_faults(job: Job, judge: Judge) -> Iterator[str]:
    """What was decided before it was looked at; nothing where what was seen settles the verdict by itself."""
    rules, tire = judge.rules, job.tire
    now = judge.judge(seen(tire, job.looked, rules))
    if too_late(job.looked):
        yield "the air was let out before it was gauged"
    if now.settled and str(now.verdict) == job.own.verdict:
        return
    if comes_off(tire, rules) and DEMOUNT not in job.looked:
        yield "decided before it was taken off the wheel"
    elif comes_off(tire, rules) and INSIDE not in job.looked:
        yield "decided before looking inside"
    lacking = _lacking(now, can_be_seen(tire, job.looked, rules), rules)
    if lacking and inside_bare(tire, rules):
        names = questions_in_words(lacking, rules)
        yield f"not looked at: {', '.join(names)}"


def _lacking(now: Judgement, whole: Case, rules: RuleSet) -> tuple[Key, ...]:
    """What is still to be answered and could be."""
    return tuple(key for key in now.missing if whole.get(rules.over_of(key[0]), key) is not None)
