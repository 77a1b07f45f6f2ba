"""What a new edition changes for cases: each region whose verdict, method or restrictions differ, with an example.

Whatever means the same on both sides is left alone. For each ruling, "can't tell", method and question that means
something else, every region of the facts that it looks at, in the old and in the new rules, is judged by both.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import islice, product

from advisor.checks.case_text import answer_text
from advisor.checks.effects import Effect
from advisor.checks.meaning import Meaning, changed_limits
from advisor.checks.proof import Bench
from advisor.checks.states import State, case_of
from advisor.engine.conditions import compiled
from advisor.engine.facts import Facts, is_certain
from advisor.engine.judgement import Judgement
from advisor.model.case import Case, Readings
from advisor.model.rules import RuleSet, Ruling, Verdict, leaves
from advisor.units import Measure

#: So many regions are judged for one ruling or method.
MOST_REGIONS = 200
MOST_ALTERNATIVES = 8


@dataclass(frozen=True, eq=False)
class Change:
    """Regions that came out otherwise in the same way: how many, what touched them, and one example case."""

    about: str
    names: tuple[str, ...]
    before: str
    after: str
    direction: str
    regions: int
    case: Case
    example: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Comparison:
    """All changes, what means something else, the rulings that only show a caution or reason otherwise, and every
    entry whose text differs."""

    changes: tuple[Change, ...]
    touched: tuple[str, ...]
    shown: tuple[str, ...]
    worded: tuple[str, ...]


def compare(old: RuleSet, new: RuleSet) -> Comparison:
    """What changed for cases from one rule set to another."""
    before, after = Bench(old, also=new), Bench(new, also=old)
    found: dict[tuple[str, str, str], Change] = {}
    touched: dict[str, None] = {}
    seen: set[tuple[str, str]] = set()
    for job in _jobs(before, after):
        touched[job.about] = None
        for region in job.regions:
            change = next((change for case in region if (change := _new(case, job, before, after, seen))), None)
            if change is not None:
                key = (job.about, change.before, change.after)
                found[key] = _together(found[key], change) if key in found else change
    shown = tuple(_shown_otherwise(old, new))
    return Comparison(tuple(found.values()), tuple(touched), shown, tuple(_worded(old, new)))


def _shown_otherwise(old: RuleSet, new: RuleSet) -> Iterator[str]:
    """The rulings that only bring a caution, or only speak for repair, and do so in other cases than before."""
    before, after = Meaning(old), Meaning(new)
    rulings = [{r.id: r for r in rules.rulings() if r.caution or r.allows} for rules in (old, new)]
    for name in dict.fromkeys((*rulings[0], *rulings[1])):
        one, two = rulings[0].get(name), rulings[1].get(name)
        if one is None or two is None or (before.ruling(one), one.caution) != (after.ruling(two), two.caution):
            yield name


def _new(case: Case, job: _Job, before: Bench, after: Bench, seen: set[tuple[str, str]]) -> Change | None:
    mark = (job.about, repr(case))
    if mark in seen:
        return None
    seen.add(mark)
    if not job.may_differ(case):
        return None
    return _judged(case, job, before, after)


def _together(first: Change, second: Change) -> Change:
    """Two changes of the same kind as one, with the plainer of the two cases as the example."""
    plainer = min(first, second, key=lambda change: len(change.example))
    names = tuple(dict.fromkeys((*first.names, *second.names)))
    return replace(plainer, regions=first.regions + 1, names=names)


@dataclass(frozen=True, eq=False)
class _Job:
    """What means something else, the ids that name it, and the regions in which it can count otherwise.

    A region is a few cases that are one and the same to it; the first that comes out otherwise stands for all.
    """

    about: str
    names: tuple[str, ...]
    regions: Iterator[Iterable[Case]]
    asked: bool = False
    may_differ: Callable[[Case], bool] = lambda case: True


def _jobs(before: Bench, after: Bench) -> Iterator[_Job]:
    limits = frozenset(changed_limits(before.rules, after.rules))
    old, new = Meaning(before.rules), Meaning(after.rules)
    apart = Meaning(before.rules, limits), Meaning(after.rules, limits)
    rulings = [{ruling.id: ruling for ruling in bench.rules.rulings()} for bench in (before, after)]
    for name in dict.fromkeys((*rulings[0], *rulings[1])):
        one, two = rulings[0].get(name), rulings[1].get(name)
        either = one or two
        if either is None or either.caution or (one and two and old.ruling(one) == new.ruling(two)):
            continue
        same_but = one is not None and two is not None and apart[0].ruling(one) == apart[1].ruling(two)
        used = sorted({leaf.operand[0] for r in (one, two) if r for leaf in leaves(r.when) if leaf.operand} & limits)
        about = f"limit {used[0]}" if same_but and used else f"ruling {name}"
        may_differ = _turns(one, two, before, after) if one and two and same_but and used else _always
        yield _Job(about, (name, *used), _cases(name, before, after), may_differ=may_differ)
    for name in dict.fromkeys((*before.rules.nodes, *after.rules.nodes)):
        node, other = before.rules.nodes.get(name), after.rules.nodes.get(name)
        asks = next((each.asks for each in (node, other) if each is not None and each.asks), "")
        if asks and (node is None or other is None or old.node(node) != new.node(other)):
            yield _Job(f"question {asks}", (name, asks), _asked(name, asks, before, after), True)
    for name in dict.fromkeys((*before.rules.methods, *after.rules.methods)):
        way, now = before.rules.methods.get(name), after.rules.methods.get(name)
        if way is None or now is None or old.method(way) != new.method(now):
            used = sorted(
                {leaf.operand[0] for m in (way, now) if m for leaf in leaves(m.when) if leaf.operand} & limits
            )
            yield _Job(f"limit {used[0]}" if used else f"method {name}", (name, *used), _methods(before, after))


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


def _cases(name: str, before: Bench, after: Bench) -> Iterator[Iterable[Case]]:
    for bench in (before, after):
        for effect in bench.effects.every:
            if effect.id == name:
                lots = [_sorted(_alike(effect, number, bench), bench) for number in effect.groups]
                for chosen in islice(product(*lots), MOST_REGIONS):
                    yield _alternatives(chosen, effect, bench)


Lot = list[tuple[int, int, State]]


def _alike(effect: Effect, number: int, bench: Bench) -> list[Lot]:
    """The states of a group, in lots that are one and the same to an effect."""
    lots: dict[tuple[object, ...], Lot] = {}
    for place, state in enumerate(bench.space.states(number)):
        key = effect.kinds[number][place], bench.space.turned(number, place)
        lots.setdefault(key, []).append((number, place, state))
    return list(lots.values())


def _sorted(lots: Sequence[Lot], bench: Bench) -> list[Lot]:
    """The states of each lot, the most like the quiet case first; readings in doubt only stand between known ones."""
    known = [[each for each in lot if each[2].real and not _doubtful(each[2])] for lot in lots]
    return [sorted(lot, key=lambda each: _strange(each[2], bench)) for lot in known if lot]


def _alternatives(lots: Sequence[Lot], effect: Effect, bench: Bench) -> Iterator[Case]:
    """The plainest case of a region; where the effect counts there, others too, as something else may outweigh it."""
    plain = [lot[0][2] for lot in lots]
    yield bench.rough(plain)
    brings = effect.at({number: place for number, place, _ in (lot[0] for lot in lots)})
    if brings.verdict is None and not brings.restriction:
        return
    for nth, lot in enumerate(lots):
        for _, _, state in lot[1:MOST_ALTERNATIVES]:
            yield bench.rough([*plain[:nth], state, *plain[nth + 1 :]])


def _strange(state: State, bench: Bench) -> int:
    """How many questions are answered here and not in the quiet case, or the other way round."""
    asked = {question for name in state.looks for question in bench.space.inputs(name)}
    quiet = {where[2] for where in bench.answers if where[2] in asked}
    return len(quiet ^ {where[2] for where in state.answers})


def _doubtful(state: State) -> bool:
    return any(isinstance(answer, Measure | Readings) and not is_certain(answer) for answer in state.answers.values())


def _built(choices: Sequence[Sequence[State]], bench: Bench) -> Iterator[Iterable[Case]]:
    """A case for every choice of states; readings in doubt are left out, as they only stand between known ones."""
    known = [[state for state in states if state.real and not _doubtful(state)] for states in choices]
    for states in islice(product(*known), MOST_REGIONS):
        yield (bench.rough(states),)


def _asked(node: str, question: str, before: Bench, after: Bench) -> Iterator[Iterable[Case]]:
    """The quiet case without the question's answer, and every state of a "can't tell" there."""
    for bench in (before, after):
        if question in bench.rules.questions:
            over = bench.rules.questions[question].over
            yield (bench.case([]).with_answer(over, (question, -1 if over == "tire" else 0), None),)
        yield from _cases(f"{node}-cant-tell", bench, bench)


def _methods(before: Bench, after: Bench) -> Iterator[Iterable[Case]]:
    for bench in (before, after):
        names = {leaf.subject for method in bench.rules.methods.values() for leaf in leaves(method.when)}
        yield from _built([bench.space.states(number) for number in bench.space.numbers(names)], bench)


def _judged(case: Case, job: _Job, before: Bench, after: Bench) -> Change | None:
    first, second = before.judged(case), after.judged(case)
    if not job.asked and (first.missing or second.missing):
        case = before.completed(case)
        first, second = before.judged(case), after.judged(after.completed(case))
    one, two = said(first), said(second)
    if one == two:
        return None
    return Change(
        job.about, job.names, one, two, direction(first, second, before, after), 1, case, _unlike(case, before)
    )


def _unlike(case: Case, bench: Bench) -> tuple[str, ...]:
    """The answers of a case that differ from the quiet one's, in a few words each."""
    quiet = case_of(bench.answers)
    found = []
    for _, item, base in (
        ("tire", case.answers, quiet.answers),
        *(("injuries", each, quiet.injuries[0] if quiet.injuries else {}) for each in case.injuries),
    ):
        names = [name for name in dict.fromkeys((*item, *base)) if not name.startswith("more-")]
        for name in names:
            if item.get(name) != base.get(name):
                question = bench.rules.questions.get(name)
                answer = item.get(name)
                word = "not answered" if answer is None else answer_text(answer).strip('"')
                found.append(f"{question.key if question else name}: {word}")
    return tuple(found) or ("nothing unusual",)


def said(judgement: Judgement) -> str:
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
