"""Reads a condition: a closed set of tests, joined by all, any and not. No expressions, no figures."""

from __future__ import annotations

import yaml

from advisor.loader.builder import Builder
from advisor.loader.reader import Notes, closest, described, items_of, pairs_of, text_of
from advisor.model.ruleset import Condition, Join, Leaf

TESTS = ("is", "one-of", "has-any", "has-none", "beyond", "within", "known")
JOINTS = ("all", "any", "not")


def read_condition(node: yaml.Node, notes: Notes, what: str, draft: Builder, over: str) -> Condition | None:
    """The condition in a node; several keys side by side must all hold. None when it can't be read."""
    parts: list[Condition] = []
    for key, key_node, value in pairs_of(node, notes, what):
        if key in JOINTS:
            part = _join(key, value, notes, what, draft, over)
        else:
            part = _tests(key, key_node, value, notes, what, draft, over)
        if part is not None:
            parts.append(part)
    if not parts:
        return None
    return parts[0] if len(parts) == 1 else Join("all", tuple(parts))


def _join(how: str, node: yaml.Node, notes: Notes, what: str, draft: Builder, over: str) -> Condition | None:
    nodes = [node] if how == "not" else items_of(node, notes, f'"{how}" in {what}')
    read = (read_condition(item, notes, what, draft, over) for item in nodes)
    parts = tuple(part for part in read if part is not None)
    return Join(how, parts) if parts else None


def _tests(
    subject: str, key_node: yaml.Node, node: yaml.Node, notes: Notes, what: str, draft: Builder, over: str
) -> Condition | None:
    draft.refer("question value", subject, key_node, notes, what, over)
    if isinstance(node, yaml.ScalarNode) and node.value == "known":
        return Leaf(subject, "known", ())
    parts: list[Condition] = []
    for test, test_node, value in pairs_of(node, notes, f'the test of "{subject}" in {what}'):
        if test not in TESTS:
            notes.add(
                "unknown-test",
                test_node,
                f'the test "{test}" in {what}',
                f"one of: {', '.join(TESTS)}",
                "use one of these; figures are named as limits",
                closest(test, TESTS),
            )
            continue
        parts.append(_leaf(subject, test, value, notes, what, draft))
    if not parts:
        return None
    return parts[0] if len(parts) == 1 else Join("all", tuple(parts))


def _leaf(subject: str, test: str, node: yaml.Node, notes: Notes, what: str, draft: Builder) -> Leaf:
    if test in ("beyond", "within"):
        limit = text_of(node, notes, f'"{test}" in {what}')
        if limit[:1].isdigit():
            notes.add(
                "figure-in-condition",
                node,
                f"the figure {described(node)} in {what}",
                "the id of a limit",
                "give the figure a name and a source in limits.yaml, and use the name",
            )
            return Leaf(subject, test, ())
        draft.refer("testable-limit", limit, node, notes, what, subject=subject)
        return Leaf(subject, test, (limit,))
    if test == "known":
        return Leaf(subject, test, ())
    operands = []
    for item in items_of(node, notes, f'"{test}" in {what}'):
        word = text_of(item, notes, f'"{test}" in {what}')
        draft.refer(f"choice:{subject}", word, item, notes, what)
        operands.append(word)
    return Leaf(subject, test, tuple(operands))
