"""Single faults put into a rule set by program: each ruling deleted, turned, made milder or mild in doubt, each limit
moved or turned, each way on dropped, turned or led past a node, each "can't tell" passed over, each method widened.

Run as a program it tries every mutant and prints which of check, compare and the project's own cases notice it:
    python -m tests.tools.mutants [RULES] [EVERY]
EVERY takes only each so-many-th mutant.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

from msgspec.structs import replace

from advisor.commands.check_coverage import usual_cases
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.quantity import Measure
from advisor.model.ruleset import CantTellRule, Condition, Join, Leaf, Limit, Node, RuleSet, Ruling, Verdict, leaves
from advisor.tools.checks import CHECKS
from advisor.tools.coverage import Coverage
from advisor.tools.diff.ruleset_diff import compare
from advisor.tools.verify.backtracking import Wish
from advisor.tools.verify.case_space import every_condition
from advisor.tools.verify.effects import Brings, Effect
from advisor.tools.verify.workbench import bench_of

ROOT = Path(__file__).parent.parent.parent
Mutant = tuple[str, RuleSet]


def mutants(rules: RuleSet) -> Iterator[Mutant]:
    """Every single fault of a rule set, by name."""
    for ruling in rules.rulings():
        yield f"delete {ruling.id}", _with_ruling(rules, ruling, None)
        turned = _turned(ruling.when)
        if turned != ruling.when:
            yield f"turn {ruling.id}", _with_ruling(rules, ruling, replace(ruling, when=turned))
        milder = _milder(ruling, rules)
        if milder:
            yield f"milder {ruling.id}", _with_ruling(rules, ruling, replace(ruling, ending=milder))
            mild = next(ending.id for ending in rules.endings.values() if ending.verdict is Verdict.REFER)
            doubtless = replace(ruling, in_doubt=mild, same_for=frozenset(), doubt_ending="")
            yield f"mild in doubt {ruling.id}", _with_ruling(rules, ruling, doubtless)
    for limit in rules.limits.values():
        if limit.worse:
            yield f"loosen {limit.id}", _with_limit(rules, _moved(limit))
            at_limit = replace(limit, at_limit_passes=not limit.at_limit_passes)
            yield f"figure of {limit.id}", _with_limit(rules, at_limit)
            side = "below" if limit.worse == "above" else "above"
            yield f"side of {limit.id}", _with_limit(rules, replace(limit, worse=side))

    yield from _of_the_graph(rules)
    for method in rules.methods.values():
        if isinstance(method.when, Join) and method.when.how == "all":
            for number in range(len(method.when.parts)):
                parts = (*method.when.parts[:number], *method.when.parts[number + 1 :])
                wider = replace(method, when=Join("all", parts))
                methods = {**rules.methods, method.id: wider}
                yield f"test {number + 1} dropped of {method.id}", replace(rules, methods=methods)


def _of_the_graph(rules: RuleSet) -> Iterator[Mutant]:
    for node in rules.nodes.values():
        for number, edge in enumerate(node.next[:-1]):
            fewer = (*node.next[:number], *node.next[number + 1 :])
            yield f"way {number + 1} dropped of {node.id}", _with_node(rules, replace(node, next=fewer))
            turned = (
                *node.next[:number],
                replace(edge, when=Join("not", (_given(edge.when),))),
                *node.next[number + 1 :],
            )
            yield f"way {number + 1} turned of {node.id}", _with_node(rules, replace(node, next=turned))
        following = rules.nodes.get(node.next[0].to) if len(node.next) == 1 else None
        if following is not None and len(following.next) == 1:
            yield f"past {following.id} from {node.id}", _with_node(rules, replace(node, next=following.next))
        if node.asks and node.cant_tell.ending:
            passed = replace(node, cant_tell=CantTellRule())
            yield f"can't tell passed over at {node.id}", _with_node(rules, passed)
            question = rules.questions[node.asks]
            best = (*question.worse_order, *(choice.id for choice in question.choices))[:1]
            if question.kind == "choice":
                counts_as = replace(node, cant_tell=CantTellRule(counts_as=best[0]))
                yield f"can't tell counts as {best[0]} at {node.id}", _with_node(rules, counts_as)


def _given(condition: Condition | None) -> Condition:
    assert condition is not None
    return condition


def _with_node(rules: RuleSet, node: Node) -> RuleSet:
    return replace(rules, nodes={**rules.nodes, node.id: node})


def _with_ruling(rules: RuleSet, old: Ruling, new: Ruling | None) -> RuleSet:
    node = rules.nodes[old.node]
    rulings = tuple(new if each is old else each for each in node.rulings if each is not old or new is not None)
    nodes = {**rules.nodes, node.id: replace(node, rulings=tuple(each for each in rulings if each is not None))}
    return replace(rules, nodes=nodes)


def _with_limit(rules: RuleSet, limit: Limit) -> RuleSet:
    return replace(rules, limits={**rules.limits, limit.id: limit})


def _turned(condition: Condition) -> Condition:
    """The condition with its comparisons swapped: beyond and within, has-any and has-none."""
    swap = {"beyond": "within", "within": "beyond", "has-any": "has-none", "has-none": "has-any"}
    if isinstance(condition, Leaf):
        return replace(condition, test=swap.get(condition.test, condition.test))
    return replace(condition, parts=tuple(_turned(part) for part in condition.parts))


def _milder(ruling: Ruling, rules: RuleSet) -> str:
    own = rules.endings[ruling.ending].verdict if ruling.ending else Verdict.REPAIR
    wanted = Verdict(own - 1) if own > Verdict.REFER else None
    return next((ending.id for ending in rules.endings.values() if ending.verdict is wanted), "")


def _moved(limit: Limit) -> Limit:
    def moved(figure: Measure) -> Measure:
        low = figure.low + (abs(figure.low) / 10 or Fraction(1)) * (1 if limit.worse == "above" else -1)
        return Measure(low, low, figure.unit)

    return replace(limit, figures=tuple(moved(figure) for figure in limit.figures))


def of_a_ruling_or_limit(fault: str, rules: RuleSet) -> bool:
    """Whether a fault deletes, turns or softens a ruling, or lies in a limit that a reading is held against.

    The others have equals among them: a way on that only leads past a question nobody needs, a method's test that a
    ruling makes again, a figure that is only worded.
    """
    kind, _, name = fault.rpartition(" ")
    tested = {leaf.operand[:1] for condition in every_condition(rules) for leaf in leaves(condition)}
    return kind in ("delete", "turn", "milder") or (kind in ("loosen", "figure of", "side of") and (name,) in tested)


#: Functions that look at what a limit's own figure does; the others take the figure alone.
LOOK_AT_THE_FIGURE = frozenset({"zone-in-area", "zone-by-area", "cut-by-width"})


def decides_nothing(fault: str, rules: RuleSet) -> bool:
    """Whether no case can come out otherwise by a fault.

    So it is in a limit that only wording and steps name, and with the worse side or the figure itself of one that is
    only a figure of values worked out, whose functions take the figure and nothing else.
    """
    kind, _, name = fault.rpartition(" ")
    tested = {leaf.operand[:1] for condition in every_condition(rules) for leaf in leaves(condition)}
    functions = {value.function for value in rules.values.values() if name in value.figures.values()}
    if name not in rules.limits or (name,) in tested:
        return False
    return not functions or (kind in ("figure of", "side of") and not functions & LOOK_AT_THE_FIGURE)


def never_doubted_alone(fault: str, rules: RuleSet) -> bool:
    """Whether a ruling made mild in doubt is the same as before: whatever leaves it open brings as much elsewhere.

    Proved, not tried: no choice of facts leaves the ruling open and nothing else as grave beside it.
    """
    name = fault.rpartition(" ")[2]
    ruling = next((each for each in rules.rulings() if each.id == name), None)
    if ruling is None or not fault.startswith("mild in doubt"):
        return False
    bench = bench_of(rules)
    effect = bench.effects.of(ruling)
    doubted = Wish(effect, lambda brings: brings.verdict is not None and not brings.certain)

    def outweighs(other: Effect, brings: Brings) -> bool:
        return other is not effect and brings.verdict is not None and brings.verdict >= Verdict.HOLD

    return next(bench.found([doubted], {}, outweighs), None) is None


class Noticing:
    """What notices a fault of a rule set that passes every check and all cases: check, compare, the project's cases."""

    def __init__(self, rules: RuleSet) -> None:
        self.rules = rules
        coverage = Coverage(rules)
        judge = Judge(rules)
        self.cases = {repr(case): case for _, case in usual_cases(find_rule_set(rules.about.id), coverage, ROOT)}
        self.expected = {mark: outcome(judge.judge(case)) for mark, case in self.cases.items()}

    def by_check(self, mutant: RuleSet) -> bool:
        """Whether some check finds a problem."""
        return any(next(check.check(mutant), None) is not None for check in CHECKS)

    def by_compare(self, mutant: RuleSet) -> bool:
        """Whether comparing with the rule set shows a change."""
        comparison = compare(self.rules, mutant)
        return bool(
            comparison.changes or comparison.cautions or comparison.reasons or comparison.unshown or comparison.open
        )

    def by_cases(self, mutant: RuleSet) -> bool:
        """Whether a case of the boundary table, beside the rules or of a transcript comes out otherwise."""
        judge = Judge(mutant)
        return any(outcome(judge.judge(case)) != self.expected[mark] for mark, case in self.cases.items())


def outcome(judgement: Judgement) -> tuple[object, ...]:
    """What a test of a case looks at: verdict, ending, method, restrictions and cautions."""
    cautions = frozenset(judgement.cautions)
    return judgement.verdict, judgement.ending, judgement.method, frozenset(judgement.restrictions), cautions


def main(name: str = "us-road", every: str = "1") -> None:
    """Prints the table."""
    rules = load_rule_set(find_rule_set(name))
    noticing = Noticing(rules)
    counts = {"mutants": 0, "check": 0, "compare": 0, "cases": 0}
    missed, equal = [], []
    for number, (fault, mutant) in enumerate(mutants(rules)):
        if number % int(every):
            continue
        if decides_nothing(fault, rules):
            equal.append(fault)
            continue
        found = noticing.by_check(mutant), noticing.by_compare(mutant), noticing.by_cases(mutant)
        counts["mutants"] += 1
        for by, yes in zip(("check", "compare", "cases"), found, strict=True):
            counts[by] += yes
        print(
            f"{fault:56} " + "  ".join(f"{by} {'yes' if yes else 'no '}" for by, yes in zip(BY, found, strict=True)),
            flush=True,
        )
        if not any(found):
            (equal if never_doubted_alone(fault, rules) else missed).append(fault)
    print("\n" + ", ".join(f"{count} {by}" for by, count in counts.items()))
    print(f"noticed by none: {', '.join(missed) or 'none'}")
    print(f"provably equal: {', '.join(equal) or 'none'}")


BY = ("check", "compare", "cases")

if __name__ == "__main__":
    import sys

    main(*sys.argv[1:])
