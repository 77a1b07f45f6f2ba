"""Where in a case's text something stands that cannot be true."""

from __future__ import annotations

import yaml

from advisor.loading.case_checks import impossible
from advisor.loading.sections import Notes
from advisor.model.case import Case
from advisor.model.rules import RuleSet


def check_case(case: Case, node: yaml.Node, notes: Notes, rules: RuleSet) -> None:
    """Notes a problem for answers that cannot be true together."""
    for problem_id, label, error in impossible(case, rules):
        notes.add(problem_id, _node_of(node, label), f"{error.found} for {label}", error.expected, error.do)


def _node_of(node: yaml.Node, label: str) -> yaml.Node:
    """The node that a label names, or the nearest one above it."""
    for name in label.replace("]", "").replace("[", ".").split("."):
        below = _child(node, name)
        if below is None and name == "earlier-repairs":
            answers = _child(node, "answers")
            below = _child(answers, name) if answers is not None else None
        if below is None:
            return node
        node = below
    return node


def _child(node: yaml.Node, name: str) -> yaml.Node | None:
    if isinstance(node, yaml.MappingNode):
        found = next((value for key, value in node.value if key.value == name), None)
        return found if isinstance(found, yaml.Node) else None
    if isinstance(node, yaml.SequenceNode) and name.isdigit() and int(name) < len(node.value):
        item = node.value[int(name)]
        return item if isinstance(item, yaml.Node) else None
    return None
