"""Tables of limits in which two rows hold at once, or none does, where readings are held against them.

Each condition that names a table is looked at by the engine's own states: wherever the rest of it holds, and the way
to its ruling is open, just one row has to hold, unless an answer is lacking or can't be told.

limit-table (error): a table of limits of which two rows hold for one case, or none does where a reading is held.
Why it is bad: without a row no figure counts and the reading passes; of two rows the upper hides the other's figure.
PASS:
  limits.yaml:
    after-sealant:
      {says: smaller, value: 3 mm, worse: above, at-limit: passes,
       standing: invented for the demo, source: made-up, clause: none}
    hole:
      says: widest hole
      by:
        - {when: {sealant: {is: "no"}}, limit: largest-hole}
        - {when: {sealant: {is: "yes"}}, limit: after-sealant}
  paths.yaml: {nodes/size/rulings/hole-too-wide/when: {size: {beyond: hole}}}
FAIL:
  limits.yaml:
    after-sealant:
      {says: smaller, value: 3 mm, worse: above, at-limit: passes,
       standing: invented for the demo, source: made-up, clause: none}
    hole: {says: widest hole, by: [{when: {sealant: {is: "yes"}}, limit: after-sealant}]}
  paths.yaml: {nodes/size/rulings/hole-too-wide/when: {size: {beyond: hole}}}
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor.model.problems import Problem
from advisor.model.ruleset import Condition, Join, LimitTable, RuleSet, leaves
from advisor.tools.verify.reachability import Ways
from advisor.tools.verify.workbench import Bench, bench_of


def check(rules: RuleSet) -> Iterator[Problem]:
    """The tables that overlap or leave a gap where they are used, each such slip once."""
    if not rules.tables:
        return
    bench, told = bench_of(rules), set()
    for name, condition, entered in _uses(rules):
        for table, beside in _tested(condition, ()):
            for wrong in _slips(rules.tables[table], (*beside, *entered), bench):
                if (table, wrong) not in told:
                    told.add((table, wrong))
                    yield Problem(
                        "limit-table",
                        rules.place_of("limits.yaml", table),
                        f'the table "{table}", used by {name}: {wrong}',
                        "just one row for every case in which a reading is held against it",
                        "mend the rows, or narrow the condition that uses the table",
                    )


def _uses(rules: RuleSet) -> Iterator[tuple[str, Condition, tuple[Condition, ...]]]:
    """Each condition that may use a table: whose it is, and what has to hold besides where it is looked at."""
    ways = Ways(rules)
    for node in rules.nodes.values():
        for ruling in node.rulings:
            yield f"the ruling {ruling.id}", ruling.when, tuple(ways.entered(node.id))
        for edge in node.next:
            if edge.when is not None:
                yield f"a way on from {node.id}", edge.when, tuple(ways.entered(node.id))
        if node.unless is not None:
            yield f"the node {node.id}", node.unless, ()
    yield from ((f"the part {part.id}", part.when, ()) for part in rules.parts if part.when is not None)
    for question in rules.questions.values():
        yield from ((f"the order of {question.id}", n.when, ()) for n in question.not_ordered if n.when is not None)
    for method in rules.methods.values():
        if method.when is not None:
            yield f"the method {method.id}", method.when, ()
        for step in method.steps:
            if step.when is not None:
                yield f"the step {method.id}.{step.id}", step.when, ()


def _tested(condition: Condition, beside: tuple[Condition, ...]) -> Iterator[tuple[str, tuple[Condition, ...]]]:
    """Each table that a condition uses, with all that has to hold beside it."""
    if not isinstance(condition, Join):
        return
    if condition.table:
        yield condition.table, beside
        return
    for part in condition.parts:
        others = tuple(each for each in condition.parts if each is not part) if condition.how == "all" else ()
        yield from _tested(part, (*beside, *others))


def _slips(table: LimitTable, beside: tuple[Condition, ...], bench: Bench) -> Iterator[str]:
    """What is wrong with a table where these conditions hold: a gap, then rows that overlap."""
    tests, whens = bench.effects.tests, [row.when for row in table.rows]
    if not all(leaf.subject in bench.space.group_of for when in whens for leaf in leaves(when)):
        return  # used by nothing that decides, only by steps
    groups: set[int | None] = set(bench.space.numbers(leaf.subject for when in whens for leaf in leaves(when)))
    near = [each for each in beside if {bench.space.group_of.get(leaf.subject) for leaf in leaves(each)} <= groups]
    whole = tests.local(Join("all", (*near, *whens)))
    around, rows = [tests.seen(each) for each in near], [tests.seen(when) for when in whens]
    found: dict[str, None] = {}
    for cell in whole.cells({}):
        if any(test(cell) is not True for test in around):
            continue
        states = [row(cell) for row in rows]
        held = [number for number, state in enumerate(states, 1) if state is True]
        if len(held) > 1:
            found[f"rows {' and '.join(map(str, held))} hold at once, as with {_case(cell, bench)}"] = None
        elif all(state is False for state in states):
            found[f"no row holds, as with {_case(cell, bench)}"] = None
    yield from list(found)[:1]


def _case(cell: dict[int, int], bench: Bench) -> str:
    """What the answers of a choice of states are, or what is seen in them."""
    words = []
    for number, place in cell.items():
        state = bench.space.states(number)[place]
        answers = {name: str(answer) for (_, _, name), answer in state.answers.items()}
        words += [f"{name} {answer}" for name, answer in answers.items()] or [str(dict(state.looks))]
    return ", ".join(words) or "any answers"
