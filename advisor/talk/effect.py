"""What an answer did to the verdict, and what the case could still end as."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.engine.judge import Judge
from advisor.engine.judgement import Judgement, Reason
from advisor.engine.wording import fill
from advisor.model.rules import Verdict
from advisor.talk.card import reason_lines
from advisor.talk.message import Message


def standing(judgement: Judgement) -> str:
    """One line: what the case could still end as."""
    could = _or([str(verdict).upper() for verdict in judgement.could_end])
    return f"Settled: {could}" if judgement.settled else f"Could still end as: {could}"


def what_changed(before: Judgement, now: Judgement, judge: Judge) -> Iterable[Message]:
    """What is ruled out, what is settled, what now stands against repair."""
    known = {(reason.ruling, reason.key) for reason in before.reasons if not _asked_next(reason, before, judge)}
    new = [
        reason
        for reason in now.reasons
        if (reason.ruling, reason.key) not in known
        and reason.verdict is not Verdict.REPAIR
        and not _asked_next(reason, now, judge)
    ]
    if new:
        yield Message("reason", reason_lines(new, judge.rules))
        yield from _do_now(new, now, judge)
    yield from _asked_back(before, now, judge)
    still = {(reason.ruling, reason.key) for reason in now.reasons}
    gone = [reason for reason in before.reasons if (reason.ruling, reason.key) not in still]
    if any(reason.verdict is not Verdict.REPAIR for reason in gone):
        yield Message("note", (f"That changed what counts. {_stands(now)}",))
    elif now.could_end != before.could_end:
        yield Message("standing", (_stands(now),))


def _asked_next(reason: Reason, judgement: Judgement, judge: Judge) -> bool:
    """Whether a reason that questions an answer is put as a question of its own, still open."""
    rulings = judge.rules.nodes[reason.node].rulings
    return reason.key in judgement.walk.to_ask and any(r.doubts for r in rulings if r.id == reason.ruling)


def _asked_back(before: Judgement, now: Judgement, judge: Judge) -> Iterable[Message]:
    """What does not fit together since this answer, each in one line, for it to be looked at again."""
    known = {reason.caution for reason in before.caution_reasons}
    for name in dict.fromkeys(reason.caution for reason in now.caution_reasons):
        if name not in known and judge.rules.cautions[name].at_once:
            yield Message("note", (f"Look again: {judge.caution_in_words(name, now)}",))


def _do_now(new: list[Reason], now: Judgement, judge: Judge) -> Iterable[Message]:
    """What the gravest of new reasons asks for at once, unless something graver counts already."""
    endings = [judge.rules.endings[reason.ending] for reason in new if reason.ending]
    gravest = max(endings, key=lambda ending: ending.verdict, default=None)
    counting = (judge.rules.endings[reason.ending].verdict for reason in now.reasons if reason.ending)
    if gravest is not None and gravest.verdict is max(counting):
        says = (fill(text, now.walk.tire, judge.rules) for text in gravest.do_now)
        yield Message("do", (f"{str(gravest.verdict).upper()}. Do now: {' '.join(says)}",))


def _stands(now: Judgement) -> str:
    if not now.settled or not now.missing:
        return standing(now)
    return f"{standing(now)}. You can stop here, or go on so that the record is whole."


def _or(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} or {words[-1]}"
