"""Questions and endings that nothing leads to.

unreached (error): a question or an ending that no way leads to.
Why it is bad: it was written to count, and it never does; a way that should lead there goes elsewhere.
PASS:
  paths.yaml: {nodes/sealant/next: washed}
FAIL:
  paths.yaml: {nodes/sealant/next: end}
"""

from __future__ import annotations

from collections.abc import Iterator

from advisor.engine.question_graph import unreached
from advisor.model.problems import Problem
from advisor.model.ruleset import RuleSet
from advisor.tools.verify.reachability import WAY_ENDS, path_order


def check(rules: RuleSet) -> Iterator[Problem]:
    """Nodes or endings that nothing leads to."""
    if _is_plainly_sound(rules):
        return
    for name in unreached(rules):
        kind, _, ending = name.rpartition(":")
        place = rules.place_of("endings.yaml" if kind else "paths.yaml", ending)
        what = f'the ending "{ending}"' if kind else f'the node "{name}"'
        yield Problem(
            "unreached",
            place,
            f"{what}, which nothing leads to",
            "a way to it",
            "lead a node or ruling to it, or take it out",
        )


def _is_plainly_sound(rules: RuleSet) -> bool:
    """Whether every way leads onward in one order that holds all nodes, and every ending is named on it.

    That is quick to see and enough; only where it is not so the graph is built, to say what is wrong.
    """
    order = [name for part in rules.parts for name in path_order(part.starts, rules.nodes)]
    places = {name: place for place, name in enumerate(order)}
    if places.keys() != rules.nodes.keys():
        return False
    onward = all(
        edge.to == WAY_ENDS or places.get(edge.to, -1) > places[n.id] for n in rules.nodes.values() for edge in n.next
    )
    return onward and all(node.next for node in rules.nodes.values()) and set(rules.endings) <= set(_named(rules))


def _named(rules: RuleSet) -> Iterator[str]:
    yield from (rules.about.when_unanswered, rules.about.when_in_doubt)
    yield from (method.ending for method in rules.methods.values())
    for node in rules.nodes.values():
        yield node.cant_tell.ending
        for ruling in node.rulings:
            yield from (ruling.ending, ruling.in_doubt, ruling.doubt_ending)
