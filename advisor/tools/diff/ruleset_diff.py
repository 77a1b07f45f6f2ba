"""What a new edition changes for cases: each region whose verdict, method or restrictions differ, with an example.

Whatever means the same on both sides is left alone. For each ruling, "can't tell", method and question that means
something else, every region of the facts that it looks at, in the old and in the new rules, is judged by both.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from msgspec import Struct
from msgspec.structs import replace

from advisor.engine.conditions import compiled
from advisor.engine.facts import Facts
from advisor.engine.judgement import Judgement
from advisor.model import inputs
from advisor.model.case import Case
from advisor.model.ruleset import Condition, RuleSet, Ruling, Verdict, leaves
from advisor.tools.case_writer import answer_text
from advisor.tools.diff.fingerprint import Meaning, changed_limits
from advisor.tools.diff.limit_use import Unshown, limits_in, unshown
from advisor.tools.diff.regions import Region, of_effect, of_method, of_question
from advisor.tools.verify.partitions import case_with
from advisor.tools.verify.workbench import Bench


class RuleChange(Struct, frozen=True, eq=False):
    """Regions that came out otherwise in the same way: how many, what touched them, and one example case."""

    about: str
    names: tuple[str, ...]
    before: str
    after: str
    direction: str
    regions: int
    case: Case
    example: tuple[str, ...] = ()


class Comparison(Struct, frozen=True, eq=False):
    """All changes, what means something else, the rulings that only show a caution or reason otherwise, every entry
    whose text differs, what has more regions than were looked at, and figures that moved with no case to show it."""

    changes: tuple[RuleChange, ...]
    touched: tuple[str, ...]
    shown: tuple[str, ...]
    worded: tuple[str, ...]
    cut: tuple[str, ...] = ()
    unshown: tuple[Unshown, ...] = ()


def compare(old: RuleSet, new: RuleSet) -> Comparison:
    """What changed for cases from one rule set to another."""
    before, after = Bench(old, also=new), Bench(new, also=old)
    found: dict[tuple[str, str, str], RuleChange] = {}
    touched: dict[str, None] = {}
    seen: set[tuple[str, str]] = set()
    cut: set[str] = set()
    for job in _jobs(before, after, cut):
        touched[job.about] = None
        for region in job.regions:
            change = _in_region(region, job, before, after, seen)
            if change is not None:
                key = (job.about, change.before, change.after)
                found[key] = _together(found[key], change) if key in found else change
    shown = tuple(_shown_otherwise(old, new))
    changes = tuple(found.values())
    moved = tuple(unshown(old, new, (name for change in changes for name in change.names)))
    return Comparison(changes, tuple(touched), shown, tuple(_worded(old, new)), tuple(sorted(cut)), moved)


def _shown_otherwise(old: RuleSet, new: RuleSet) -> Iterator[str]:
    """The rulings that only bring a caution, or only speak for repair, and do so in other cases than before."""
    before, after = Meaning(old), Meaning(new)
    rulings = [{r.id: r for r in rules.rulings() if r.caution or r.allows} for rules in (old, new)]
    for name in dict.fromkeys((*rulings[0], *rulings[1])):
        one, two = rulings[0].get(name), rulings[1].get(name)
        if one is None or two is None or (before.ruling(one), one.caution) != (after.ruling(two), two.caution):
            yield name


def _in_region(region: Region, job: _Job, before: Bench, after: Bench, seen: set[tuple[str, str]]) -> RuleChange | None:
    """How a region comes out otherwise. Where its plainest case shows no difference in what the ruling brings, every
    other case of it shows none either."""
    for case in region:
        mark = (job.about, repr(case))
        if mark in seen:
            continue
        seen.add(mark)
        if not job.may_differ(case):
            return None
        change, alike = _judged(case, job, before, after)
        if change is not None or alike:
            return change
    return None


def _together(first: RuleChange, second: RuleChange) -> RuleChange:
    """Two changes of the same kind as one, with the plainer of the two cases as the example."""
    plainer = min(first, second, key=lambda change: len(change.example))
    names = tuple(dict.fromkeys((*first.names, *second.names)))
    return replace(plainer, regions=first.regions + 1, names=names)


class _Job(Struct, frozen=True, eq=False):
    """What means something else, the ids that name it, and the regions in which it can count otherwise.

    A region is a few cases that are one and the same to it; the first that comes out otherwise stands for all.
    """

    about: str
    names: tuple[str, ...]
    regions: Iterator[Iterable[Case]]
    asked: bool = False
    may_differ: Callable[[Case], bool] = lambda case: True


def _jobs(before: Bench, after: Bench, cut: set[str]) -> Iterator[_Job]:
    limits = frozenset(changed_limits(before.rules, after.rules))
    old, new = Meaning(before.rules), Meaning(after.rules)
    apart = Meaning(before.rules, limits), Meaning(after.rules, limits)
    rulings = [{ruling.id: ruling for ruling in bench.rules.rulings()} for bench in (before, after)]
    for name in dict.fromkeys((*rulings[0], *rulings[1])):
        one, two = rulings[0].get(name), rulings[1].get(name)
        either = one or two
        if either is None or either.caution or either.allows or (one and two and old.ruling(one) == new.ruling(two)):
            continue
        same_but = one is not None and two is not None and apart[0].ruling(one) == apart[1].ruling(two)
        tested = {leaf.operand[0] for r in (one, two) if r for leaf in leaves(r.when) if leaf.operand} & limits
        used = _changed(((r.when, r.node) for r in (one, two) if r), (old, new), limits)
        about = f"limit {used[0]}" if same_but and used else f"ruling {name}"
        may_differ = _turns(one, two, before, after) if one and two and same_but and tested else _always
        yield _Job(about, (name, *used), of_effect(name, (before, after), cut), may_differ=may_differ)
    for name in dict.fromkeys((*before.rules.nodes, *after.rules.nodes)):
        node, other = before.rules.nodes.get(name), after.rules.nodes.get(name)
        asks = next((each.asks for each in (node, other) if each is not None and each.asks), "")
        if asks and (node is None or other is None or old.node(node) != new.node(other)):
            same_but = node is not None and other is not None and apart[0].node(node) == apart[1].node(other)
            used = _changed(((each.unless, each.id) for each in (node, other) if each), (old, new), limits)
            about = f"limit {used[0]}" if same_but and used else f"question {asks}"
            yield _Job(about, (name, asks, *used), of_question(name, asks, (before, after), cut), True)
    for name in dict.fromkeys((*before.rules.methods, *after.rules.methods)):
        way, now = before.rules.methods.get(name), after.rules.methods.get(name)
        if way is None or now is None or old.method(way) != new.method(now):
            used = sorted(limits_in((m.when for m in (way, now) if m), after.rules) & limits)
            about = f"limit {used[0]}" if used else f"method {name}"
            yield _Job(
                about, (name, *used), of_method(name, (before, after), cut), may_differ=_other_method(before, after)
            )


def _changed(
    conditions: Iterable[tuple[Condition | None, str]], meanings: tuple[Meaning, Meaning], limits: frozenset[str]
) -> list[str]:
    """The changed limits by which conditions go, or the ways to their nodes, in either rule set."""
    found: set[str] = set()
    for condition, node in conditions:
        for meaning in meanings:
            ways = meaning.ways.conditions(node) if node in meaning.rules.nodes else ()
            found |= limits_in((condition, *ways), meaning.rules) & limits
    return sorted(found)


def _always(case: Case) -> bool:
    return True


def _turns(one: Ruling, two: Ruling, before: Bench, after: Bench) -> Callable[[Case], bool]:
    """Whether a ruling's own condition comes out otherwise in a case: quick to tell, and nothing else changed."""
    tests = [(compiled(r.when, bench.rules), bench) for r, bench in ((one, before), (two, after))]
    over = next(part.over for part in before.rules.parts if part.id == before.rules.nodes[one.node].part)

    def may_differ(case: Case) -> bool:
        first, second = (test(Facts(bench.space.tables, case).part(over, 0)) for test, bench in tests)
        return first != second

    return may_differ


def _other_method(before: Bench, after: Bench) -> Callable[[Case], bool]:
    """Whether the methods allowed for an injury are others: quick to tell, where nothing but methods changed."""
    tests = [
        (
            {method.id: compiled(method.when, bench.rules) for method in bench.rules.methods.values() if method.when},
            bench,
        )
        for bench in (before, after)
    ]

    def may_differ(case: Case) -> bool:
        allowed = []
        for methods, bench in tests:
            facts = Facts(bench.space.tables, case).part("injuries", 0)
            allowed.append({name for name, test in methods.items() if test(facts) is True})
        return allowed[0] != allowed[1]

    return may_differ


def _judged(case: Case, job: _Job, before: Bench, after: Bench) -> tuple[RuleChange | None, bool]:
    """The change that a case shows, and whether the ruling in question brings the same by both rule sets."""
    first, second = before.judged(case), after.judged(case)
    if not job.asked and (first.missing or second.missing):
        case = before.completed(case)
        first, second = before.judged(case), after.judged(after.completed(case))
    one, two = said_of_changes(first), said_of_changes(second)
    if one == two:
        return None, _brought(first, job.names[0]) == _brought(second, job.names[0])
    unlike = _unlike(case, before)
    return RuleChange(job.about, job.names, one, two, direction(first, second, before, after), 1, case, unlike), False


def _brought(judgement: Judgement, ruling: str) -> frozenset[tuple[str, str, bool]]:
    own = (reason for reason in judgement.reasons if reason.ruling in (ruling, f"{ruling}-cant-tell"))
    return frozenset((reason.ending, reason.restriction, bool(reason.doubt)) for reason in own)


def _unlike(case: Case, bench: Bench) -> tuple[str, ...]:
    """The answers of a case that differ from the quiet one's, in a few words each."""
    quiet = case_with(bench.answers)
    found = []
    for _, item, base in (
        ("tire", case.answers, quiet.answers),
        *(("injuries", each, quiet.injuries[0] if quiet.injuries else {}) for each in case.injuries),
    ):
        names = [name for name in dict.fromkeys((*item, *base)) if name not in inputs.ONE_MORE]
        for name in names:
            if item.get(name) != base.get(name):
                question = bench.rules.questions.get(name)
                answer = item.get(name)
                word = "not answered" if answer is None else answer_text(answer).strip('"')
                found.append(f"{question.key if question else name}: {word}")
    return tuple(found) or ("nothing unusual",)


def said_of_changes(judgement: Judgement) -> str:
    """Verdict, ending, method and restrictions on one line."""
    parts = [f"{judgement.verdict} ({judgement.ending or 'no ending'})"]
    if judgement.method:
        parts.append(f"by {judgement.method}")
    if judgement.restrictions:
        parts.append(f"with {', '.join(sorted(judgement.restrictions))}")
    return " ".join(parts)


def direction(first: Judgement, second: Judgement, before: Bench, after: Bench) -> str:
    """`stricter`, `looser`, or `other` where it is neither."""
    if first.verdict != second.verdict:
        return "stricter" if second.verdict > first.verdict else "looser"
    ranks = [bench.rules.methods[j.method].rank if j.method else -1 for bench, j in ((before, first), (after, second))]
    if first.verdict is Verdict.REPAIR and ranks[0] != ranks[1]:
        return "stricter" if ranks[1] > ranks[0] else "looser"
    gone = set(first.restrictions) - set(second.restrictions)
    if gone:
        return "looser"
    return "stricter" if set(second.restrictions) - set(first.restrictions) else "other"


def _worded(old: RuleSet, new: RuleSet) -> Iterator[str]:
    """Every entry whose text differs: `endings.yaml: scrap-tread`."""
    for file in dict.fromkeys((*old.content, *new.content)):
        one, two = old.content.get(file, {}), new.content.get(file, {})
        if file == "paths.yaml":
            one, two = one.get("nodes", {}), two.get("nodes", {})
        for name in dict.fromkeys((*one, *two)):
            if one.get(name) != two.get(name):
                yield f"{file}: {name}"
