"""The graph of units that come too close: edges only where they do, groups that hang together, doubt kept."""

from __future__ import annotations

import subprocess
import sys

import pytest

from advisor.engine.question_graph import conflict_graph, crowded
from advisor.loader.ruleset_loader import find_rule_set, load_rule_set
from advisor.model.quantity import Measure, between, exactly

APART = load_rule_set(find_rule_set("us-road")).limits["repair-units-apart"]


def mm(value: int | str) -> Measure:
    return exactly(value, "mm")


def test_edges_only_between_units_that_come_too_close() -> None:
    pairs = [
        ("injury 1", "injury 2", mm(-3)),
        ("injury 2", "injury 3", mm(0)),
        ("injury 1", "injury 3", mm("0.1")),
        ("injury 1", "earlier repair 1", between(-1, 4, "mm")),
        ("injury 4", "earlier repair 2", mm(300)),
    ]
    graph = conflict_graph(pairs, APART)
    assert set(graph.nodes) == {*(f"injury {i}" for i in range(1, 5)), "earlier repair 1", "earlier repair 2"}
    assert graph.edges["injury 1", "injury 2"] == {"gap": mm(-3), "certain": True}
    assert graph.edges["injury 2", "injury 3"]["certain"] is True
    assert graph.edges["injury 1", "earlier repair 1"]["certain"] is False
    assert not graph.has_edge("injury 1", "injury 3") and not graph.has_edge("injury 4", "earlier repair 2")
    assert crowded(graph) == [["earlier repair 1", "injury 1", "injury 2", "injury 3"]]


@pytest.mark.parametrize(
    ("gap", "edge"), [(mm(-1), True), (mm(0), True), (mm("0.001"), None), (between(-1, 1, "mm"), False)]
)
def test_without_a_limit_touching_and_overlapping_count(gap: Measure, edge: bool | None) -> None:
    graph = conflict_graph([("a", "b", gap)], None)
    assert (graph.edges["a", "b"]["certain"] if graph.has_edge("a", "b") else None) is edge


def test_networkx_is_loaded_only_for_the_graph() -> None:
    program = "import sys, advisor.drawings.selection, advisor.commands.draw; print('networkx' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout.strip() == "False"
