"""The question graph in networkx: nodes, ways on, endings. The only room that knows networkx, and only when entered.

The walk itself follows the compiled stops of `walk.py`, which hold the same edges; a test holds the two together.
Here stand the questions about the graph as a whole: what leads where, what is never reached.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from advisor.model.decision_graph import END
from advisor.model.quantity import Measure
from advisor.model.ruleset import Limit, RuleSet

if TYPE_CHECKING:
    import networkx as nx


def question_graph(rules: RuleSet) -> nx.DiGraph[str]:
    """The graph of a rule set.

    Nodes are `part/node` for questions and rulings (attributes `part`, `asks`), `part:` for a part's end,
    `ending:` for each ending that a ruling can bring (attribute `verdict`). Edges are the ways on
    (attribute `otherwise`), from node to ending for each ruling (attribute `ruling`), and from part to part.
    """
    import networkx as nx

    graph: nx.DiGraph[str] = nx.DiGraph(rules=rules.about.id)
    for node in rules.nodes.values():
        graph.add_node(node.id, part=node.part, asks=node.asks)
        for edge in node.next:
            target = edge.to if edge.to != END else f"part:{node.part}"
            graph.add_edge(node.id, target, otherwise=edge.when is None)
        for ruling in node.rulings:
            if ruling.ending:
                graph.add_edge(node.id, f"ending:{ruling.ending}", ruling=ruling.id)
            for ending_id in (ruling.in_doubt, ruling.doubt_ending):
                if ending_id not in ("", "same", "never"):
                    graph.add_edge(node.id, f"ending:{ending_id}", ruling=ruling.id)
        if node.cant_tell.ending:
            graph.add_edge(node.id, f"ending:{node.cant_tell.ending}", ruling=f"{node.id}-cant-tell")
    for ending in rules.endings.values():
        graph.add_node(f"ending:{ending.id}", verdict=str(ending.verdict))
    previous = ""
    for part in rules.parts:
        if previous:
            graph.add_edge(f"part:{previous}", part.starts, otherwise=True)
        previous = part.id
    if rules.parts:
        for method in rules.methods.values():
            if method.ending:
                graph.add_edge(f"part:{previous}", f"ending:{method.ending}", ruling=method.id)
        for ending_id in (rules.about.when_unanswered, rules.about.when_in_doubt):
            graph.add_edge(f"part:{previous}", f"ending:{ending_id}", ruling="about")
    return graph


def unreached(rules: RuleSet) -> list[str]:
    """Nodes and endings that no way leads to, in the order of the files."""
    import networkx as nx

    graph = question_graph(rules)
    first = rules.parts[0].starts
    reached = {first, *nx.descendants(graph, first)}
    return [name for name in graph.nodes if name not in reached and not name.startswith("part:")]


def endings_from(rules: RuleSet, node: str) -> list[str]:
    """The endings that can still be reached from a node on, itself included, in the order of the files."""
    import networkx as nx

    reached = nx.descendants(question_graph(rules), node)
    return [ending for ending in rules.endings if f"ending:{ending}" in reached]


def nodes_beside(rules: RuleSet, node: str) -> list[str]:
    """A node with those that lead to it and those that it leads to."""
    graph = question_graph(rules)
    around = {node, *graph.predecessors(node), *graph.successors(node)}
    return [name for name in rules.nodes if name in around]


def conflict_graph(pairs: Iterable[tuple[str, str, Measure]], apart: Limit | None) -> nx.Graph[str]:
    """The repair units of a tire as nodes, and an edge between each two that come too close.

    `pairs` are two units by name and their distance edge to edge. `apart` is the rule set's limit for it; without
    one, units that touch or overlap are too close. Edges carry `gap`, and `certain`: False where the doubt of a
    measure straddles the limit.
    """
    import networkx as nx

    graph: nx.Graph[str] = nx.Graph()
    for first, second, gap in pairs:
        graph.add_nodes_from((first, second))
        close = apart.is_beyond(gap) if apart else (True if gap.high <= 0 else None if gap.low <= 0 else False)
        if close is not False:
            graph.add_edge(first, second, gap=gap, certain=close is True)
    return graph


def crowded(conflicts: nx.Graph[str]) -> list[list[str]]:
    """The groups of units that hang together by conflicts, each in order of its names, the largest first."""
    import networkx as nx

    groups = [sorted(group) for group in nx.connected_components(conflicts) if len(group) > 1]
    return sorted(groups, key=lambda group: (-len(group), group))
