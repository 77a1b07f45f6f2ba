"""What each question can bring: endings and restrictions, by which rulings, and which of them a case brought."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from advisor.engine.judgement import Judgement
from advisor.model.rules import Node, RuleSet, Ruling, Verdict
from advisor.talk.graph_cards import ALLOWS, Chip
from advisor.talk.rule_words import condition_words


def chips_of(node: Node, rules: RuleSet) -> list[Chip]:
    """What a node can bring, the best first, rulings before doubt."""
    found: dict[tuple[str, bool], Chip] = {}

    def add(name: str, verdict: Verdict | None, doubt: bool = False) -> None:
        there = found.get((name, doubt))
        found[name, doubt] = replace(there, count=there.count + 1) if there else Chip(name, verdict, doubt)

    for ruling in node.rulings:
        if ruling.ending:
            add(ruling.ending, rules.endings[ruling.ending].verdict)
        elif ruling.restriction:
            add(ruling.restriction, None)
        elif ruling.allows:
            add(ALLOWS, Verdict.REPAIR)
        for name in {ruling.in_doubt, ruling.doubt_ending} - {"", "same", "never"}:
            add(name, rules.endings[name].verdict, doubt=True)
    if node.cant_tell.ending:
        add(node.cant_tell.ending, rules.endings[node.cant_tell.ending].verdict, doubt=True)
    return sorted(found.values(), key=lambda chip: (chip.doubt, chip.verdict is None, chip.verdict))


def lit_chips(chips: Iterable[Chip], node: str, judgement: Judgement | None, rules: RuleSet) -> Iterator[Chip]:
    """The chips with those lit that the case brought here, and what only its doubt brings."""
    brought: set[tuple[str, bool]] = set()
    for reason in judgement.reasons if judgement else ():
        if reason.node == node:
            name = reason.ending or reason.restriction or ALLOWS
            brought.add((name, bool(reason.doubt)))
    for chip in chips:
        yield replace(chip, lit=(chip.name, chip.doubt) in brought)
        brought.discard((chip.name, chip.doubt))
    for name, doubt in sorted(brought):
        verdict = rules.endings[name].verdict if name in rules.endings else None
        yield Chip(name, Verdict.REPAIR if name == ALLOWS else verdict, doubt, lit=True)


def why_chip(node: Node, chip: Chip, rules: RuleSet) -> Iterator[str]:
    """What brings a chip at a node: each ruling by id and condition."""
    for ruling in node.rulings:
        bare = ruling.ending or ruling.restriction or ALLOWS
        if not ruling.caution and (chip.name, chip.doubt) == (bare, False):
            yield f"{ruling.id}: {condition_words(ruling.when, rules)}"
        if chip.doubt and chip.name in (ruling.in_doubt, ruling.doubt_ending):
            yield f"{ruling.id}, in doubt{_about(ruling)}"
    if chip.doubt and node.cant_tell.ending == chip.name:
        yield "when it can't be told"


def _about(ruling: Ruling) -> str:
    return f" about {', '.join(sorted(ruling.same_for))}" if ruling.same_for else ""
