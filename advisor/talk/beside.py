"""The case of a consultation under other rule sets as well: its answers taken over as far as each set asks them."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.engine.judge import Judge
from advisor.errors import Problems
from advisor.loading.fitting import fitted
from advisor.loading.rule_set import find_rule_set, load_rule_set, shipped
from advisor.talk.consultation import Consultation
from advisor.talk.message import Message
from advisor.talk.side_by_side import Judged, agree, differences, said_by

NONE_LEFT = "There is no other rule set to set beside this one."


def judged_beside(consultation: Consultation, names: Sequence[str] = ()) -> tuple[list[Judged], list[str]]:
    """The case by its own rules first, then by the rule sets named, or by all that come with the program.

    Also what some of them don't ask, in words. Raises Problems where one can't be read.
    """
    own = consultation.judge
    judged: list[Judged] = [(own, consultation.judgement)]
    notes: list[str] = []
    for name in names or shipped():
        judge = Judge(load_rule_set(find_rule_set(name)))
        if judge.rules.digest == own.rules.digest:
            continue
        saved, left_out = fitted(consultation.saved, judge.rules)
        judged.append((judge, judge.judge(saved.case)))
        if left_out:
            notes.append(f"{judge.rules.about.id} does not ask: {', '.join(left_out)}")
    return judged, notes


def beside_messages(consultation: Consultation, names: Sequence[str] = ()) -> list[Message]:
    """The same in the conversation."""
    try:
        judged, notes = judged_beside(consultation, names)
    except Problems as problems:
        return [Message("complaint", tuple(line for problem in problems.problems for line in problem.lines()))]
    if len(judged) == 1:
        return [Message("help", (NONE_LEFT,))]
    lines = [line for each in judged for line in said_by(*each)]
    lines.append("They agree on verdict, method and restrictions." if agree(judged) else "They do not agree.")
    lines += notes
    for difference in differences(judged):
        lines.append(f"{difference.label}:")
        lines += [f"  {rules}: {text}" for rules, texts in difference.says for text in texts]
    return [Message("why", tuple(lines))]
