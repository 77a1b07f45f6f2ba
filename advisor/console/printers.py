"""What commands print in lines of at most 78 columns: drawings, reports, limits and sources, rule sets side by side."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from advisor.console.verdict_lines import PRINT_WIDTH, bulleted, wrapped
from advisor.dialogue.ruleset_comparison import Judged, agree, differences, table
from advisor.drawings.scene import Names
from advisor.drawings.selection import distance_lines, left_out_lines, pictures_for, terminal_lines, too_close_lines
from advisor.engine.evaluator import Judge
from advisor.engine.judgement_types import Judgement
from advisor.engine.templates import limit_in_words
from advisor.model.problems import shown
from advisor.model.ruleset import STANDINGS, UNSOURCED, Limit, RuleSet
from advisor.wording.blocks import blocks_of, under
from advisor.wording.condition_text import condition_words
from advisor.work.record_model import Report
from advisor.work.record_text import report_blocks

PICTURE_COLUMNS = 80


def drawing_lines(
    judgement: Judgement, judge: Judge, name: str = "", unit: Names | None = None, ascii_only: bool = False
) -> list[str]:
    """The lines of all that can be drawn of a case, at most 80 columns wide, and what is lacking for the rest."""
    blocks: list[list[str]] = [[f"Case: {shown(name)}"]] if name else []
    blocks += [terminal_lines(picture, PICTURE_COLUMNS, ascii_only) for picture in pictures_for(judgement, judge, unit)]
    distances = (*distance_lines(judgement, judge, unit), *too_close_lines(judgement, judge))
    if distances:
        blocks.append(["Between the repair units:", *bulleted(distances)])
    left_out = [line for text in left_out_lines(judgement, judge) for line in wrapped(text)]
    if left_out:
        blocks.append(left_out)
    return [line for number, block in enumerate(blocks) for line in ([""] if number else []) + block]


def text_lines(report: Report) -> list[str]:
    """The report's lines, wrapped, with no control codes."""
    return list(_wrapped(report))


def _wrapped(report: Report) -> Iterator[str]:
    for block in blocks_of(report_blocks(report)):
        yield from wrapped(block.said) if block.text else ("",)
        for row in blocks_of(block.details):
            item = row.role == "item"
            yield from wrapped(f"- {row.said}", "  ", "    ") if item else wrapped(row.said, "  ", "      ")
            indent = "    " if item else "      "
            for detail in under(row):
                yield from wrapped(detail.said, indent, f"{indent}    ")


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
    if rules.tables:
        yield ""
        yield f"CHOSEN BY A TABLE ({len(rules.tables)})"
    for chosen in rules.tables.values():
        yield from wrapped(f"{chosen.id}: {chosen.says}", "  ", "    ")
        for row in chosen.rows:
            figure = f"{limit_in_words(rules.limits[row.limit])} ({row.limit})"
            yield from wrapped(f"{figure} where {condition_words(row.when, rules)}", "      ", "        ")
        if chosen.note:
            yield from wrapped(f"note: {chosen.note}", "      ", "        ")


def _limit(limit: Limit, rules: RuleSet) -> Iterator[str]:
    yield from wrapped(f"{limit.id}: {limit_in_words(limit)} - {limit.says}", "  ", "    ")
    if limit.worse:
        at = "the figure itself passes" if limit.at_limit_passes else "the figure itself fails"
        yield f"      {limit.worse} is worse; {at}"
    titles = "; ".join(rules.sources[source].title for source in limit.basis.sources)
    clause = "" if limit.basis.clause in ("", "none") else f"; {limit.basis.clause}"
    yield from wrapped(f"source: {titles}{clause}", "      ", "        ")
    for each in limit.later:
        says = f"from {each.day} on: {limit_in_words(each.limit)} ({each.limit.basis.standing})"
        yield from wrapped(says, "      ", "        ")
    if limit.note:
        yield from wrapped(f"note: {limit.note}", "      ", "        ")


def source_lines(rules: RuleSet) -> Iterator[str]:
    """Every source: title, publisher, edition, kind, how it was read, and how many limits rest on it."""
    for source in rules.sources.values():
        count = sum(source.id in limit.basis.sources for limit in rules.limits.values())
        yield from wrapped(f"{source.id}: {source.title}", "", "  ")
        yield from wrapped(f"{source.publisher}; {source.edition}", "    ", "    ")
        yield f"    {source.kind}, read {source.read}; {count} limits rest on it"


def side_by_side(judged: Sequence[Judged]) -> Iterator[str]:
    """The lines that set the judgements of one case by several rule sets side by side."""
    yield "Side by side:"
    yield ""
    yield from table(judged, PRINT_WIDTH)
    yield ""
    yield "They agree on verdict, method and restrictions." if agree(judged) else "They do not agree."
    apart = list(differences(judged))
    if apart:
        yield ""
        yield "Where and why they differ:"
    for difference in apart:
        yield f"  {difference.label}"
        for rules, texts in difference.says:
            for text in texts:
                yield from wrapped(f"{rules}: {text}", "    ", "      ")
