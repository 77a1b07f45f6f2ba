"""One case under several rule sets in plain lines: the table, then where and why they differ."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from advisor.plain.verdict_lines import WIDTH, wrapped
from advisor.talk.side_by_side import Judged, agree, differences, table


def side_by_side(judged: Sequence[Judged]) -> Iterator[str]:
    """The lines that set the judgements of one case by several rule sets side by side."""
    yield "Side by side:"
    yield ""
    yield from table(judged, WIDTH)
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
