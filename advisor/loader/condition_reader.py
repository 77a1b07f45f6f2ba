"""A condition: a closed set of tests, joined by all, any and not, and terms by name. No expressions, no figures."""

from __future__ import annotations

from typing import Any

import yaml
from msgspec.structs import replace

from advisor.loader.builder import Builder
from advisor.loader.reader import closest, described, items_of, pairs_of, text_of
from advisor.loader.schema_types import JsonSchema, Offered, Reading, Schema, note_twice
from advisor.model.ruleset import LONE_TESTS, Condition, Join, Leaf, Term, leaves

LIMIT_TESTS = ("beyond", "within")
#: Tests of a question only.
OF_QUESTION = ("answered", "unanswered")
TESTS = ("is", "one-of", "has-any", "has-none", *LIMIT_TESTS, *LONE_TESTS)
JOINTS = ("all", "any", "not")
#: Behind the name of a term: that it holds.
HOLDS = "holds"


class When(Schema):
    """A condition over what its entry looks at, over what is named, or `anywhere`; None when it can't be read."""

    default = None

    def __init__(self, over: str = "", required: bool = False, key: str = "", anywhere: bool = False) -> None:
        super().__init__(required=required, key=key)
        self._over, self._anywhere = over, anywhere

    def read(self, node: yaml.Node, at: Reading, what: str) -> Condition | None:
        """Several keys side by side must all hold."""
        _note_empty(node, at, f"a condition in {what}", f"a test, or {', '.join(JOINTS)} with some")
        parts: list[Condition | None] = []
        over = "" if self._anywhere else self._over or at.over
        for key, key_node, value in pairs_of(node, at.diagnostics, what):
            if key in JOINTS:
                _note_empty(value, at, f'"{key}" in {what}', "what it joins")
                nodes = [value] if key == "not" else items_of(value, at.diagnostics, f'"{key}" in {what}')
                joined = tuple(part for item in nodes if (part := self.read(item, at, what)) is not None)
                parts.append(Join(key, joined) if joined else None)
            elif _word(value) == HOLDS:
                parts.append(_term(key, key_node, at, what, over))
            else:
                kinds = "question" if _word(value) in OF_QUESTION else "question value"
                key = at.refer(kinds, key, key_node, what, over)
                parts.append(_tests(key, value, at, what, over))
        return _all(parts)

    def json_schema(self, names: Offered) -> JsonSchema:
        return names.condition()


class LaterWhen(When):
    """The condition of a term, which `read_term` reads."""

    def read(self, node: yaml.Node, at: Reading, what: str) -> Any:
        return None


def read_terms(draft: Builder) -> None:
    """Reads the terms that nothing has used so far."""
    for name in tuple(draft.unread):
        read_term(name, draft)


def read_term(name: str, draft: Builder) -> Term | None:
    """The term of a name, its condition read on its first use; None where there is none, or none that can be read."""
    if (values := draft.unread.pop(name, None)) is not None:
        draft.reading.append(name)
        at = Reading(values.at.diagnostics, draft)
        at.top = name
        condition = When().read(values.nodes["when"], at, f'"when" of {values.what}')
        draft.reading.pop()
        if condition is None:
            draft.failed.add(name)
        else:
            draft.terms[name] = Term(name, values["says"], condition)
    return draft.terms.get(name)


def _term(name: str, node: yaml.Node, at: Reading, what: str, over: str) -> Condition | None:
    """What a term stands for, under its name."""
    if name in at.draft.reading:
        ring = " of ".join(f'"{each}"' for each in [*at.draft.reading[at.draft.reading.index(name) :], name])
        found, do = f"the term {ring}: it is made of itself", "take one of them out"
        at.diagnostics.add("ring-of-terms", node, found, "a term made of others only", do)
        return None
    at.refer("term", name, node, what, over)
    term = read_term(name, at.draft)
    if term is None:
        return None
    if isinstance(term.when, Join) and not term.when.term:
        return replace(term.when, term=name)
    return Join("all", (term.when,), name)


def _all(parts: list[Condition | None]) -> Condition | None:
    found = tuple(part for part in parts if part is not None)
    return Join("all", found) if len(found) > 1 else found[0] if found else None


def _note_empty(node: yaml.Node, at: Reading, what: str, expected: str) -> None:
    """Nothing inside would hold of everything, and look like a test."""
    if isinstance(node, yaml.MappingNode | yaml.SequenceNode) and not node.value:
        at.diagnostics.add("empty-condition", node, f"nothing in {what}", expected, "write the test, or take it out")


def _word(node: yaml.Node) -> str:
    return str(node.value) if isinstance(node, yaml.ScalarNode) else ""


def _tests(subject: str, node: yaml.Node, at: Reading, what: str, over: str) -> Condition | None:
    if _word(node) in LONE_TESTS:
        return Leaf(subject, _word(node), ())
    _note_empty(node, at, f'the test of "{subject}" in {what}', f"one of: {', '.join(TESTS)}")
    parts: list[Condition | None] = []
    for test, test_node, value in pairs_of(node, at.diagnostics, f'the test of "{subject}" in {what}'):
        if test in TESTS:
            parts.append(_leaf(subject, test, value, at, what, over))
        else:
            at.diagnostics.add(
                "unknown-test",
                test_node,
                f'the test "{test}" in {what}',
                f"one of: {', '.join(TESTS)}",
                "use one of these; figures are named as limits",
                closest(test, TESTS),
            )
    return _all(parts)


def _leaf(subject: str, test: str, node: yaml.Node, at: Reading, what: str, over: str) -> Condition:
    if test in LONE_TESTS:
        return Leaf(subject, test, ())
    if test in LIMIT_TESTS:
        limit = text_of(node, at.diagnostics, f'"{test}" in {what}')
        if limit[:1].isdigit():
            at.diagnostics.add(
                "figure-in-condition",
                node,
                f"the figure {described(node)} in {what}",
                "the id of a limit",
                "give the figure a name and a source in limits.yaml, and use the name",
            )
            return Leaf(subject, test, ())
        limit = at.refer("testable-limit table", limit, node, what, subject=subject)
        table = at.draft.tables.get(limit)
        if table is None:
            return Leaf(subject, test, (limit,))
        for chosen_by in dict.fromkeys(leaf.subject for row in table.rows for leaf in leaves(row.when)):
            at.refer("question value", chosen_by, node, f"the table {limit} in {what}", over)
        return table.held_against(subject, test)
    _note_empty(node, at, f'"{test}" in {what}', "a choice of it")
    operands, items = [], items_of(node, at.diagnostics, f'"{test}" in {what}')
    for item in items:
        word = text_of(item, at.diagnostics, f'"{test}" in {what}')
        operands.append(at.refer(f"choice:{subject}", word, item, what))
    note_twice(operands, items, at, f'"{test}" in {what}')
    return Leaf(subject, test, tuple(operands))
