"""The audit of a rule set's limits, to be printed: source, clause, standing, who decides at the limit, who uses it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from advisor.engine.wording import limit_in_words
from advisor.model.rules import STANDINGS, UNSOURCED, Limit, RuleSet, leaves
from advisor.plain.verdict_lines import wrapped

#: Test rows by the limit that they check, or by `clause …` where they name its clause: `boundary_cases.csv:12`.
Rows = Mapping[str, Sequence[str]]


def audit_lines(rules: RuleSet, rows: Rows) -> Iterator[str]:
    """Every limit as a block of lines; what rests on memory or common practice only comes first."""
    about = rules.about
    yield f"Audit of {about.title} ({about.id}), edition {about.edition}, digest {rules.digest}"
    order = ["from memory", *(s for s in STANDINGS if s in UNSOURCED and s != "from memory")]
    order += [s for s in STANDINGS if s not in UNSOURCED]
    limits = sorted(rules.limits.values(), key=lambda limit: order.index(limit.basis.standing))
    bare = [limit.id for limit in limits if limit.worse and _rulings(limit, rules) and not _tested(limit, rows)]
    yield f"{len(limits)} limits, {sum(limit.basis.standing in UNSOURCED for limit in limits)} with no text behind them"
    if rows:
        yield from wrapped(f"decide something and stand in no test row: {', '.join(bare) or 'none'}", "", "  ")
    for limit in limits:
        yield ""
        yield from _block(limit, rules, rows)


def _block(limit: Limit, rules: RuleSet, rows: Rows) -> Iterator[str]:
    yield from wrapped(f"[ ] {limit.id}: {limit_in_words(limit)} - {limit.says}", "", "    ")
    yield f"    standing  {limit.basis.standing}"
    for name in limit.basis.sources:
        source = rules.sources[name]
        yield from wrapped(f"source    {source.title}; {source.publisher}; {source.edition}", "    ", "              ")
    yield from wrapped(f"clause    {limit.basis.clause}", "    ", "              ")
    if limit.worse:
        at = "the figure itself passes" if limit.at_limit_passes else "the figure itself fails"
        yield f"    at it     {limit.worse} is worse; {at}"
        deciders = "; ".join(rules.about.defers_to)
        yield from wrapped(
            f"decides   where it is in doubt the tire is held; the last word: {deciders}", "    ", "              "
        )
    yield from wrapped(f"used by   {', '.join(_uses(limit, rules)) or 'wording only'}", "    ", "              ")
    if limit.worse:
        yield from wrapped(
            f"tested    {', '.join(_tested(limit, rows)) or 'by no row found here'}", "    ", "              "
        )


def _tested(limit: Limit, rows: Rows) -> Sequence[str]:
    return rows.get(limit.id) or rows.get(f"clause {limit.basis.clause}", ())


def _rulings(limit: Limit, rules: RuleSet) -> list[str]:
    return [r.id for r in rules.rulings() if any(leaf.operand[:1] == (limit.id,) for leaf in leaves(r.when))]


def _uses(limit: Limit, rules: RuleSet) -> Iterator[str]:
    yield from _rulings(limit, rules)
    for value in rules.values.values():
        if limit.id in value.figures.values():
            yield f"worked-out {value.id}"
    for method in rules.methods.values():
        if any(leaf.operand[:1] == (limit.id,) for leaf in leaves(method.when)):
            yield f"method {method.id}"
    for node in rules.nodes.values():
        if any(leaf.operand[:1] == (limit.id,) for edge in node.next for leaf in leaves(edge.when)):
            yield f"way on from {node.id}"
