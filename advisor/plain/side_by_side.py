"""One case under several rule sets, side by side: what each says, and where and why they part."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from advisor.engine.judge import Judge, label_of
from advisor.engine.judgement import Judgement, Reason
from advisor.model.rules import Verdict
from advisor.plain.verdict_lines import wrapped
from advisor.talk.card import VERDICT_SIGNS
from advisor.units import in_words

Judged = tuple[Judge, Judgement]
#: What a reason does, and the figure it goes by: two rule sets agree where these are the same.
Effect = tuple[str, str]


def side_by_side(judged: Sequence[Judged]) -> list[str]:
    """The lines that set the judgements of one case by several rule sets side by side."""
    lines = ["Side by side:", *_table(judged), ""]
    apart = list(_apart(judged))
    same = len({(judgement.verdict, judgement.method, judgement.restrictions) for _, judgement in judged}) == 1
    lines.append("They agree on verdict, method and restrictions." if same else "They do not agree.")
    if apart:
        lines += ["", "Where and why they differ:"]
        lines += [line for each in apart for line in each]
    return lines


def _table(judged: Sequence[Judged]) -> list[str]:
    rows = [("rules", "verdict", "method", "restrictions", "still open")]
    for judge, judgement in judged:
        still = "" if judgement.settled else f"{len(judgement.missing)} to answer"
        if judgement.measure_again:
            still = "look again"
        rows.append(
            (
                judge.rules.about.id,
                VERDICT_SIGNS[judgement.verdict],
                judgement.method or "-",
                ", ".join(judgement.restrictions) or "-",
                still or "-",
            )
        )
    widths = [max(len(row[column]) for row in rows) for column in range(len(rows[0]))]
    return [
        "  " + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows
    ]


def _apart(judged: Sequence[Judged]) -> Iterable[list[str]]:
    """For each question where the rule sets' reasons differ: its name, and what each says there."""
    reasons = [_by_question(judge, judgement) for judge, judgement in judged]
    for label in dict.fromkeys(label for each in reasons for label in each):
        effects = {tuple(sorted({_effect(reason) for reason in each.get(label, [])})) for each in reasons}
        if len(effects) > 1:
            yield [f"  {label}", *_says(label, judged, reasons)]


def _by_question(judge: Judge, judgement: Judgement) -> dict[str, list[Reason]]:
    found: dict[str, list[Reason]] = {}
    for reason in judgement.reasons:
        label = label_of(reason.key, judge.rules) if reason.question else "everything together"
        found.setdefault(label, []).append(reason)
    return found


def _effect(reason: Reason) -> Effect:
    what = reason.restriction or ("allows" if reason.verdict is Verdict.REPAIR else str(reason.verdict))
    return what, in_words(reason.figure) if reason.figure is not None else ""


def _says(label: str, judged: Sequence[Judged], reasons: Sequence[dict[str, list[Reason]]]) -> Iterable[str]:
    for (judge, _), each in zip(judged, reasons, strict=True):
        name = judge.rules.about.id
        if label not in each:
            yield f"    {name}: no ruling counts here"
        for reason in each.get(label, []):
            what, figure = _effect(reason)
            limit = f" at {figure} ({reason.basis.standing})" if figure else f" ({reason.basis.standing})"
            yield from wrapped(f"{name}: {what}{limit} - {reason.says}", "    ", "      ")
