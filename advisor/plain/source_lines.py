"""Limits and sources as plain lines; what rests on no text that can be looked up comes first."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.engine.wording import limit_in_words
from advisor.model.rules import STANDINGS, UNSOURCED, Limit, RuleSet
from advisor.plain.verdict_lines import wrapped


def limit_lines(rules: RuleSet) -> Iterator[str]:
    """Every limit, grouped by standing: figure, what it is, which side is worse, sources and clause, note."""
    about = rules.about
    yield f"{about.title} ({about.id}), edition {about.edition}, digest {rules.digest}"
    order = [name for name in reversed(STANDINGS) if name in UNSOURCED]
    order += [name for name in STANDINGS if name not in UNSOURCED]
    for standing in order:
        limits = [limit for limit in rules.limits.values() if limit.basis.standing == standing]
        if limits:
            mark = " - no rule or text stands behind these" if standing in UNSOURCED else ""
            yield ""
            yield f"{standing.upper()} ({len(limits)}){mark}"
        for limit in limits:
            yield from _limit(limit, rules)


def _limit(limit: Limit, rules: RuleSet) -> Iterator[str]:
    yield from wrapped(f"{limit.id}: {limit_in_words(limit)} - {limit.says}", "  ", "    ")
    if limit.worse:
        at = "the figure itself passes" if limit.at_limit_passes else "the figure itself fails"
        yield f"      {limit.worse} is worse; {at}"
    titles = "; ".join(rules.sources[source].title for source in limit.basis.sources)
    clause = "" if limit.basis.clause in ("", "none") else f"; {limit.basis.clause}"
    yield from wrapped(f"source: {titles}{clause}", "      ", "        ")
    if limit.note:
        yield from wrapped(f"note: {limit.note}", "      ", "        ")


def source_lines(rules: RuleSet) -> Iterator[str]:
    """Every source: title, publisher, edition, kind, how it was read, and how many limits rest on it."""
    for source in rules.sources.values():
        count = sum(source.id in limit.basis.sources for limit in rules.limits.values())
        yield from wrapped(f"{source.id}: {source.title}", "", "  ")
        yield from wrapped(f"{source.publisher}; {source.edition}", "    ", "    ")
        yield f"    {source.kind}, read {source.read}; {count} limits rest on it"
