"""What commands print in plain lines of at most 78 columns, with no control codes: cards, drawings, reports, lists.

One case under several rule sets in plain lines: the table, then where and why they differ.

A verdict card as plain lines of at most 78 columns, with no control codes.
The drawings of a case as plain lines: each picture with its sentences, then the distances between the units.
The report as plain text of at most 78 columns.
Recorded consultations as plain lines: a list, and a casing's history with all places in one drawing.
Limits and sources as plain lines; what rests on no text that can be looked up comes first.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Sequence

from advisor.dialogue.ruleset_comparison import Judged, agree, differences, table
from advisor.drawings.scene import Names
from advisor.drawings.selection import distance_lines, left_out_lines, pictures_for, terminal_lines, too_close_lines
from advisor.engine.decision import Judgement
from advisor.engine.evaluator import Judge
from advisor.engine.templates import limit_in_words
from advisor.journal.casing_history import CasingVisit, detail_lines, overview_lines, visits_put_together
from advisor.journal.queries import STATES, Summary
from advisor.model.problems import shown
from advisor.model.ruleset import STANDINGS, UNSOURCED, Limit, RuleSet
from advisor.wording.verdict_card import VERDICT_SIGNS, Card, verdict_card
from advisor.work.record_model import Report
from advisor.work.record_text import report_lines

_WIDTH = 78


def verdict_lines(judgement: Judgement, judge: Judge, name: str = "") -> list[str]:
    """The lines that say a judgement, with the case's name ahead."""
    head = [f"Case: {shown(name)}"] if name else []
    return head + card_lines(verdict_card(judgement, judge))


def card_lines(card: Card) -> list[str]:
    """A card as lines: verdict and headline, then each section under its title."""
    lines = wrapped(f"{VERDICT_SIGNS[card.verdict]}: {card.headline}")
    for section in card.sections:
        lines += ["", f"{section.title}:", *bulleted(section.lines)]
    return lines


def bulleted(texts: Iterable[str]) -> list[str]:
    """Texts with a dash before each; one that begins with two spaces goes under the one above."""
    lines: list[str] = []
    for text in texts:
        first, rest = ("    ", "    ") if text.startswith("  ") else ("  - ", "    ")
        lines += wrapped(text.strip(), first, rest)
    return lines


def wrapped(text: str, first: str = "", rest: str = "") -> list[str]:
    """A text in lines of at most 78 columns; control and direction characters by name."""
    return textwrap.wrap(
        shown(text, 4000),
        _WIDTH,
        initial_indent=first,
        subsequent_indent=rest,
        break_on_hyphens=False,
    ) or [""]


_COLUMNS = 80


def drawing_lines(
    judgement: Judgement, judge: Judge, name: str = "", unit: Names | None = None, ascii_only: bool = False
) -> list[str]:
    """The lines of all that can be drawn of a case, at most 80 columns wide, and what is lacking for the rest."""
    blocks: list[list[str]] = [[f"Case: {shown(name)}"]] if name else []
    blocks += [terminal_lines(picture, _COLUMNS, ascii_only) for picture in pictures_for(judgement, judge, unit)]
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
    for line in report_lines(report):
        text = line.lstrip(" ")
        indent = line[: len(line) - len(text)]
        hanging = indent + ("  " if text.startswith("- ") else "    " if indent else "")
        yield from wrapped(text, indent, hanging) if text else ("",)


def list_lines(found: Sequence[Summary], most: int) -> Iterator[str]:
    """One line a consultation: id, day, verdict, casing, technician, plate."""
    rows = [_row(each) for each in found]
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))] if rows else []
    for row in rows:
        yield "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
    if len(found) >= most:
        yield f"The latest {most} are shown; more words narrow it down."


def _row(each: Summary) -> tuple[str, ...]:
    verdict = each.verdict or STATES.get(each.state, each.state)
    words = (each.casing, each.technician, each.plate)
    return (each.id, (each.decided or each.begun)[:10], verdict, *(shown(word, 40) for word in words))


def history_page(casing: str, visits: list[CasingVisit], others: Sequence[Summary], judge: Judge) -> Iterator[str]:
    """A casing's history on one page: a line each time, all places in one drawing, then all that is recorded."""
    for line in overview_lines(casing, visits):
        yield from _wrapped_line(line)
    if others:
        names = ", ".join(each.id for each in others[:5])
        more = " and more" if len(others) > 5 else ""
        yield from wrapped(f"Without a name, and with the same code, so it may be this casing: {names}{more}.")
    case, labels = visits_put_together(visits, judge)
    drawn = drawing_lines(judge.judge(case), judge)
    if drawn:
        yield ""
        yield "All places together:"
        yield from drawn
        yield from (f"  {label}" for label in labels)
    for line in detail_lines(visits, judge):
        if not line.startswith(" "):
            yield ""
        yield from _wrapped_line(line)


def _wrapped_line(line: str) -> list[str]:
    return wrapped(line.strip(), " " * (len(line) - len(line.lstrip())), "    ")


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


def side_by_side(judged: Sequence[Judged]) -> Iterator[str]:
    """The lines that set the judgements of one case by several rule sets side by side."""
    yield "Side by side:"
    yield ""
    yield from table(judged, _WIDTH)
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
