"""The steps of the method, in order, each with what it rests on and the cautions that go with it."""

from __future__ import annotations

from advisor.model.rules import UNSOURCED
from advisor.talk.consultation import Consultation
from advisor.talk.message import Message


def step_messages(consultation: Consultation) -> list[Message]:
    """The steps for this tire as things stand; none while no method is chosen."""
    judge, judgement = consultation.judge, consultation.judgement
    steps = judge.methods.plan(judgement)
    if not steps:
        return [Message("help", ("No method is chosen as things stand, so there are no steps.",))]
    lines: list[str] = []
    head = ""
    for number, planned in enumerate(steps, 1):
        where = "" if planned.injury is None else f", injury {planned.injury + 1}"
        if head != f"{planned.method.title}{where}":
            head = f"{planned.method.title}{where}"
            lines.append(f"{head}:")
        standing = planned.step.basis.standing
        mark = f" ({standing})" if standing in UNSOURCED else ""
        lines.append(f"  {number}. {planned.says}{mark}")
        lines += [f"  Caution: {judge.caution_in_words(name, judgement)}" for name in planned.step.cautions]
    return [Message("help", tuple(lines))]
