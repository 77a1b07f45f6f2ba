"""Where the nodes of a part lead: what `asked` and `next` say of them, as the ways on of the model.

A node leads to the one that follows in the file, unless its `next` says otherwise. One with `asked: {when: …}` is met
only once that holds: each way to it has that condition, and beside it stands the way to what follows.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import dropwhile, pairwise

from advisor.loader.schema_types import Values
from advisor.model.decision_graph import END
from advisor.model.ruleset import Condition, Edge, Join


def asked_when(values: Values) -> Condition | None:
    """What has to hold for a node or a part to be met."""
    asked = values["asked"]
    return asked["when"] if asked else None


def asked_unless(values: Values) -> Condition | None:
    """What, once it holds, keeps a question from being asked."""
    asked = values["asked"]
    return asked["unless"] if asked else None


def joined(how: str, *conditions: Condition | None) -> Condition | None:
    """Conditions as one; None where there is none."""
    found = tuple(condition for condition in conditions if condition is not None)
    return Join(how, found) if len(found) > 1 else found[0] if found else None


def ways_in_part(nodes: Mapping[str, Values]) -> Iterator[tuple[Edge, ...]]:
    """The ways on of each node of a part, in their order; keeps the place of each where the file has one for it."""
    for name, following in pairwise([*nodes, END]):
        ways: list[Edge] = []
        for when, to, says, key in _given(nodes[name]) or [(None, following, None, "")]:
            for edge in _met(to, when, nodes):
                ways.append(edge)
                if says is not None:
                    says.place_part(f"{name}/way-{len(ways)}", key)
                elif edge.when is not None:
                    nodes[edge.to]["asked"].place_part(f"{name}/way-{len(ways)}", "when")
        yield tuple(ways)


def _given(values: Values) -> list[tuple[Condition | None, str, Values | None, str]]:
    """What `next` says: a condition, a node, and where that stands. A list ends with just one that always holds."""
    there = values["next"]
    if isinstance(there, str):
        return [(None, there, values, "next")] if there else []
    if [way["when"] is None for way in there] != [False] * (len(there) - 1) + [True]:
        found = f"{values.what} whose ways on do not end with just one otherwise"
        values.problem("ways-on", "next", found, "a last item with only go", "add {go: node} as the last item")
    return [(way["when"], way["go"] or END, way, "") for way in there]


def _met(to: str, when: Condition | None, nodes: Mapping[str, Values]) -> Iterator[Edge]:
    """The ways to a node, and past it where it waits for something, to those that follow."""
    for name in dropwhile(lambda name: name != to, nodes):
        waits = asked_when(nodes[name])
        yield Edge(joined("all", when, waits), name)
        if waits is None:
            return
    yield Edge(when, END if to in nodes else to)
